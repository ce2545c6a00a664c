"""What a person under a car cannot work out with oily hands: pure functions, a module for each subject.

Every one takes amounts with their units, refuses what cannot be with a `ReadingError`, and never guesses.

============ ========================================================= ============================================
module       answers                                                   rests on
============ ========================================================= ============================================
`fill`       how much to pour in first; from when the engine may run   capacity, span between the marks, jug
`oil_level`  what a dipstick reading means; what to pour or draw off;  reading, span, capacity, what was poured in
             whether it fits what was poured in
`torque`     whether a torque that was given is the one wanted         ISO 6789 class A
`lifting`    what each stand must be rated for                         mass, share of it on the axle, margin
`drain_pan`  how large the drain pan must be                           capacity, margin
`intervals`  when the job is next due, by distance and by date         odometer, day, service plan
============ ========================================================= ============================================

Whether an amount that was told is plausible is in `core/readings.py`, with bounds from the procedure's file.
"""
