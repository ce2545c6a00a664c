"""How a job is stopped before all is done: why is said, the car is made safe to leave, and the end confirmed by name.

Until it is confirmed, "that was wrong" leads back to where it was called. Nobody is left under the car, and what is
open stays open, in the record and in words.
"""

from __future__ import annotations

from assistant.core.job import events as e
from assistant.core.job.moving import Draft
from assistant.core.job.question import Question, Waiting
from assistant.core.job.wording import spoken
from assistant.core.types import Intent


def stop(draft: Draft, end: str, reason: str, *, reading: str = "") -> None:
    """Call for a safe end, for a reason that is said first.

    Parameters
    ----------
    end : str
        The id of one of the job's safe ends.
    reason : str
        Why, in words; names of values in braces are said.
    reading : str
        The name of the reading of this step that showed it, if one did: "that was wrong" takes it back too.
    """
    draft.add(e.StopCalled(end, spoken(draft.state, reason), reading))


def drop(draft: Draft) -> None:
    """Take back what led to the end: the job goes on where it was called."""
    called = draft.state.stopping
    assert called
    draft.add(e.StopDropped(called.end))
    if called.reading:
        draft.add(e.ReadingWithdrawn(draft.state.step, called.reading))


_ELSE = frozenset({"undo", "back", "confirm", "denied", "condition", "alarm", "out", "danger", "pause", "listen",
                   "park", "go-on"})  # fmt: skip
"""What is acted on while an end waits to be confirmed."""


def waits_for_end(draft: Draft, intent: Intent, asked: Question) -> bool:
    """Act on what was meant while an end waits to be confirmed; False where it is the same as ever then."""
    called = draft.state.stopping
    if not called or draft.state.aside:
        return False
    ends = asked.waiting is Waiting.CONFIRM
    if intent.name in ("undo", "back"):
        drop(draft)
    elif intent.name == "confirm" and ends and (not intent.option or intent.option == asked.about):
        draft.add(e.JobStopped(called.end, called.reason))
    elif intent.name == "denied" and ends and not _of_person(draft, intent):
        draft.add(e.Denied(intent.option or "", intent.words))
        drop(draft)
    elif intent.name in _ELSE:
        return False
    else:
        draft.add(e.Refused("stop", "The job can't go on from here. If that is wrong, say: that was wrong."))
    return True


def _of_person(draft: Draft, intent: Intent) -> bool:
    """Return whether it is denied that the person is well, which calls for help."""
    return intent.option == "here" or bool(draft.state.check_in and not intent.option)
