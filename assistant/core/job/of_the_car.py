"""What was said of the car: that something holds or no longer does, or that it is not safe."""

from __future__ import annotations

from assistant.core.job import events as e
from assistant.core.job import moving
from assistant.core.job.conditions import ways_of
from assistant.core.job.moving import Draft
from assistant.core.job.question import Question, question
from assistant.core.job.state import State
from assistant.core.types import Intent


def condition(draft: Draft, intent: Intent, asked: Question) -> None:
    """Take what was said of the car: that a condition holds, or no longer does."""
    name, _, holds = (intent.option or "").partition(":")
    known = {one.id for one in draft.state.procedure.conditions}
    if name not in known:
        draft.add(e.Refused("answer", "That answers nothing that I asked. Say: repeat that."))
        return
    wanted = holds == "holds"
    hazard = draft.state.procedure.condition(name).hazard
    if wanted and not hazard and not is_asked_for(draft.state, asked, name):
        draft.add(e.Refused("answer", "I did not ask for that. Say: repeat that."))
        return
    moving.change(draft, name, holds=wanted, said=True)
    for other in draft.state.procedure.condition(name).excludes if wanted else ():
        if other in draft.state.forgotten:  # elsewhere only its own word tells that it is over
            moving.change(draft, other, holds=False)
    if not draft.events:
        draft.add(e.Asked("repeat"))


def is_asked_for(state: State, asked: Question, name: str) -> bool:
    """Return whether it was asked to bring a condition about, and there is a way to."""
    unmet = asked.unmet
    return unmet is not None and unmet.wanted and unmet.condition.id == name and bool(ways_of(state, unmet))


def led_back(draft: Draft) -> None:
    """Lead to the step that brings about what is lacking now, where that needs its gate."""
    asked = question(draft.state)
    if asked.unmet and asked.unmet.wanted and asked.unmet.condition.gated:
        moving.lead_back(draft, asked.unmet.condition.id)


def danger(draft: Draft, intent: Intent, asked: Question) -> None:
    """Take the car for unsafe: nothing that makes it safe can be relied on any more."""
    draft.add(e.DangerSaid())
    for one in draft.state.procedure.conditions:
        if not one.hazard:
            moving.change(draft, one.id, holds=None)
