"""What is worked out beside a job: asked for by voice or by keyboard, its inputs asked one by one, and answered.

Path: `data/catalogue.py` (what may be asked for) → `asking.py` (the questions) → `known.py` (what the job knows
already) → `telling.py` (what was said, as text) → `deciding.py` (facts). The state keeps the facts; the job waits.
"""
