"""What is said for the person's safety."""

from __future__ import annotations

from assistant.core.job import events as e
from assistant.core.job.alone import ALARM
from assistant.core.job.state import State
from assistant.core.reply.acknowledging.words import Words
from assistant.core.reply.leaving import where_help


def _checked_in(before: State, event: e.CheckedIn, after: State) -> str:
    if after.calling:
        return f"Help is needed here. Come to {after.vehicle.called} now."
    asked = ("Are you all right? Say: I am here.", "Please answer. Say: I am here.")
    if event.level < ALARM:
        return asked[event.level - 1]
    return f"No answer. I raise the alarm. Someone may need help {where_help(after)}. Say: I am here."


def _help_called(before: State, event: e.HelpCalled, after: State) -> str:
    come = f"Help is needed here. Come to {after.vehicle.called} now."
    return f"I call for help. {come} If all is well, say: I am all right."


def _help_tried(before: State, event: e.HelpTried, after: State) -> str:
    if event.trial:
        return f"The trial call failed: {event.fault}." if event.fault else "The trial call for help worked."
    return f"The call for help failed: {event.fault}. Shout." if event.fault else "The call for help went out."


def _danger(before: State, event: e.DangerSaid, after: State) -> str:
    return f"Come out from under {after.vehicle.called} now. Keep clear of it."


SAID: dict[type[e.Event], Words] = {
    e.CheckedIn: _checked_in,
    e.HelpCalled: _help_called,
    e.HelpTried: _help_tried,
    e.DangerSaid: _danger,
    e.CameOut: lambda before, event, after: f"Good. You are out.{'' if after.stopping else ' I stop asking.'}",
}
