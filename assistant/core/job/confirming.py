"""What is confirmed by its own name, and what follows from it."""

from __future__ import annotations

from assistant.core.data.vehicle import Spec
from assistant.core.job import events as e
from assistant.core.job import moving, undoing
from assistant.core.job.moving import Draft
from assistant.core.job.question import Question, Waiting
from assistant.core.job.tightening import tightened
from assistant.core.job.vehicle_file import NEW_VALUES, with_new_values
from assistant.core.types import Intent


def confirm(draft: Draft, intent: Intent, asked: Question) -> None:
    """Take what is confirmed by its own name; another name confirms nothing."""
    if asked.waiting is not Waiting.CONFIRM:
        draft.add(e.Refused("confirm", "There is nothing to confirm. Say: repeat that."))
    elif intent.option and intent.option != asked.about:
        draft.add(e.Refused("confirm", f"Not {intent.option}. What waits to be confirmed is {asked.about}."))
    elif asked.gate:
        draft.add(e.GatePassed(asked.gate.id))
    elif asked.about == NEW_VALUES and draft.state.offered:
        undoing.take_vehicle(draft, with_new_values(draft.state.vehicle, draft.state.offered))
    else:
        _confirm_claim(draft)


def _confirm_claim(draft: Draft) -> None:
    state, pending = draft.state, draft.state.pending
    assert pending
    if pending.name and pending.value:
        source = f"told by the owner, {draft.at:%Y-%m-%d}"
        draft.add(e.ValueTold(state.vehicle.id, pending.name, Spec(value=pending.value, source=source)))
        return
    if state.here.tighten and pending.value:
        tightened(draft, state.here.tighten.part, pending.value)
    else:
        moving.complete(draft)
