"""What is said of what is worked out beside the job."""

from __future__ import annotations

from assistant.core.job import events as e
from assistant.core.reply.acknowledging.words import Words

SAID: dict[type[e.Event], Words] = {
    e.AsideAsked: lambda before, event, after: event.say,
    e.AsideTakenBack: lambda before, event, after: "Taken back.",
    e.AsideLeft: lambda before, event, after: "I forget it.",
    e.WorkedOut: lambda before, event, after: event.say,
}
