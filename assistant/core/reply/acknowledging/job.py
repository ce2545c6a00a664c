"""What is said of the job as a whole: begun, put aside, taken up, damaged, stopped, finished."""

from __future__ import annotations

from assistant.core.job import events as e
from assistant.core.job.conditions import may_be_under
from assistant.core.job.state import State
from assistant.core.job.which_job import title_of
from assistant.core.quantities.saying import say_duration, say_integer
from assistant.core.reply.acknowledging.words import Words
from assistant.core.reply.leaving import come_out, stop_called, stop_dropped, stopped
from assistant.core.reply.summary import finish
from assistant.core.reply.topics import purpose


def _opened(before: State, event: e.JobOpened, after: State) -> str:
    return f"{event.procedure.title}. {event.vehicle.title.split(' (')[0]}. The service manual goes before what I say."


def _parked(before: State, event: e.Parked, after: State) -> str:
    said = ["The job is parked. Nothing is lost."]
    said += [come_out(after)] if may_be_under(after) else []
    running = [one for one in after.procedure.conditions if one.hazard and one.gated and one.id in after.possible]
    said += [f"{one.name}, as far as I know. {one.end[0].do} Leave the parking brake on." for one in running if one.end]
    return " ".join([*said, "To go on, say: carry on with the job."])


def _resumed(before: State, event: e.Resumed, after: State) -> str:
    carries_on = f"Carrying on with {title_of(after.procedure.title, after.vehicle.title, after.label)}."
    for timer in after.timers:
        now = after.heard_at
        if timer in before.timers and now:
            left = say_duration((timer.due - now).total_seconds())
            carries_on += f" Time left for {purpose(after, timer)}: {left}."
    return f"{lost(before.lost, after.vehicle.called)} {carries_on}".strip()


def lost(tail: e.TailLost | None, vehicle: str) -> str:
    """Return what was lost of the record of a job, and what that means; empty where nothing was."""
    if tail is None:
        return ""
    much = say_integer(tail.facts) if tail.facts else "some"
    return (
        f"My record of this job is damaged. Of its end I lost {much} {'fact' if tail.facts == 1 else 'facts'}. "
        f"I am not sure of {vehicle} any more. Before each step, look whether it is done already."
    )


SAID: dict[type[e.Event], Words] = {
    e.JobOpened: _opened,
    e.StopCalled: stop_called,
    e.StopDropped: stop_dropped,
    e.JobStopped: stopped,
    e.Parked: _parked,
    e.Resumed: _resumed,
    e.JobFinished: lambda before, event, after: finish(after),
}
