"""What is said of the car: what was tightened, what is new, what is open again, what holds of it."""

from __future__ import annotations

from assistant.core.job import events as e
from assistant.core.job.state import State
from assistant.core.job.wording import as_clause, say_value
from assistant.core.quantities.saying import capital
from assistant.core.reply.acknowledging.words import Words
from assistant.core.reply.fastenings import says_new
from assistant.core.reply.possible import name_of


def _turned(before: State, event: e.AngleGiven, after: State) -> str:
    return f"Noted: {name_of(after.procedure.part(event.part).name)}, turned by {say_value(event.value)}."


def _untightened(before: State, event: e.TorqueWithdrawn, after: State) -> str:
    value = before.torques.get(event.part)
    name = name_of(after.procedure.part(event.part).name)
    return f"Taken back: {name}{f', {say_value(value)}' if value else ''}."


def _torque(before: State, event: e.TorqueGiven, after: State) -> str:
    return f"Noted: {name_of(after.procedure.part(event.part).name)}, {say_value(event.value)}."


def _condition_changed(before: State, event: e.ConditionChanged, after: State) -> str:
    condition = after.procedure.condition(event.condition)
    if event.said:
        return f"Noted. {condition.name}." if event.holds else "Noted."
    if not _was_said(before, after, event):
        return ""
    if condition.hazard:
        return f"Taken back. {condition.name}, as far as I know."
    return f"Taken back. I do not know whether {as_clause(condition.name)}"  # nothing counts on it


def _was_said(before: State, after: State, event: e.ConditionChanged) -> bool:
    """Return whether a change takes back what the person said of the car."""
    said = [one.event for one in before.said if isinstance(one.event, e.ConditionChanged)]
    return any(one.condition == event.condition for one in said) and len(before.said) > len(after.said)


def _opened_again(before: State, event: e.PartOpened, after: State) -> str:
    """Return that a part counts as open again, where it had been closed and the person went back."""
    part = after.procedure.part(event.part)
    went_back = event.part not in before.ledger.parts and event.part not in before.here.opens
    return f"{capital(part.name)} counts as open again." if went_back else ""


SAID: dict[type[e.Event], Words] = {
    e.AngleGiven: _turned,
    e.TorqueWithdrawn: _untightened,
    e.NewShown: lambda before, event, after: f"{capital(says_new(after.procedure.part(event.part).once))}.",
    e.NewWithdrawn: lambda before, event, after: f"Taken back: {says_new(after.procedure.part(event.part).once)}.",
    e.TorqueGiven: _torque,
    e.ConditionChanged: _condition_changed,
    e.PartOpened: _opened_again,
}
