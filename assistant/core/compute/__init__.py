"""What a person under a car cannot work out with oily hands: pure functions, a module for each thing that is asked.

Every one takes amounts with their units, refuses what cannot be with a `ReadingError`, and never guesses. README.md in
this folder lists them with the source of each formula and the checks that it passes; `work_out.py` names them for the
command line. Whether an amount that was told in a job is plausible is in `core/job/readings.py`.
"""
