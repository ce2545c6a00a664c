"""What is said while a part is closed and tightened: that something is new, the torque, and the further turn."""

from __future__ import annotations

from assistant.core.job import events as e
from assistant.core.job import moving
from assistant.core.job.fastening import check_turn
from assistant.core.job.moving import Draft
from assistant.core.job.question import Question, Waiting
from assistant.core.quantities.units import Amount, Value
from assistant.core.types import Intent


def new(draft: Draft, intent: Intent, asked: Question) -> None:
    """Take it that what may be used once only is new; the step goes on with its own question."""
    if asked.waiting is not Waiting.NEW or intent.option != asked.about:
        draft.add(e.Refused("answer", "I did not ask for that. Say: repeat that."))
        return
    draft.add(e.NewShown(asked.about))


def turned(draft: Draft, value: Value) -> None:
    """Read back by how much the part was turned further, to be confirmed by its name."""
    tighten = draft.state.here.tighten
    assert tighten
    part = draft.state.procedure.part(tighten.part)
    draft.add(e.ClaimHeard(part.name, check_turn(draft.state, part, value)))


def tightened(draft: Draft, part: str, value: Amount) -> None:
    """Take a torque, or the further turn, that was confirmed; the step ends with the last of the two."""
    if draft.state.turning:
        draft.add(e.AngleGiven(part, value))
    else:
        draft.add(e.TorqueGiven(part, value))
    if not draft.state.turning:
        moving.complete(draft)
