"""The state of a job: the fold of its facts, and nothing else. Changed only by `evolve`, which is a pure function.

`state.py` says what is known, a file for each subject of `job/events/` what its facts change of it, and `folding.py`
puts that together.
"""

from assistant.core.job.state.folding import evolve, fold, opening
from assistant.core.job.state.state import Said, State, TakenReading
from assistant.core.job.state.steps import place_of

__all__ = ["Said", "State", "TakenReading", "evolve", "fold", "opening", "place_of"]
