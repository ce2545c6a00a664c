"""What leads on after facts: the step that was just reached, a question that is new, or the one still open."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.core.job import events as e
from assistant.core.job.filling import fill_of
from assistant.core.job.question import OF_STEP, Question, Waiting, question
from assistant.core.job.state import State
from assistant.core.job.wording import fill_words
from assistant.core.reply.asking import ask, present
from assistant.core.reply.possible import name_of

_REACHES = (e.StepEntered, e.StepReopened, e.Resumed, e.JobOpened, e.ListeningResumed, e.StepBegun, e.StopDropped)
"""Facts after which a person needs to hear the step in full."""


_TELLS = (
    e.ValueTold, e.ValueUnknown, e.ValueWithdrawn, e.ConditionChanged, e.VehicleTaken, e.VehicleDeclined,
)  # fmt: skip
"""Facts after which what is waited for is another thing than before, and is told in full."""


def lead_on(before: State, events: Sequence[e.Event], after: State) -> list[str]:
    """Return what leads on; from what was asked beside the job, back to where it was."""
    if not any(isinstance(event, e.AsideLeft | e.WorkedOut) for event in events):
        return _on(before, events, after)
    begun = any(isinstance(event, _REACHES) for event in events)
    return [f"Back to: {after.here.title.lower()}.", present(after) if begun else ask(after, question(after))]


def _on(before: State, events: Sequence[e.Event], after: State) -> list[str]:
    """Return what leads on: a step that was just reached in full, a question that is new in short."""
    asked = question(after)
    reached = any(isinstance(event, _REACHES) for event in events)
    told = any(isinstance(event, _TELLS) for event in events)
    if any(_says_all(event) for event in events):
        return []
    if asked.waiting is Waiting.EVIDENCE and asked.gate:
        fresh = question(before).gate is not asked.gate or reached
        return [*([asked.gate.intro] if fresh else []), ask(after, asked)]
    if asked.waiting is Waiting.CONFIRM:
        heard_it = any(isinstance(event, e.Refused | e.NotUnderstood | e.Denied) for event in events)
        return [f"Say: confirm {name_of(asked.about)}." if heard_it else ask(after, asked)]
    if any(isinstance(event, e.ReadingWithdrawn) for event in events) and asked.waiting is Waiting.READING:
        return ["How much was it really?" if fill_of(after, after.here) else ask(after, asked)]
    if (
        any(isinstance(event, e.TimerEnded) and event.name == after.step for event in events)
        and asked.waiting in OF_STEP
    ):
        return [ask(after, asked)]  # what it was waited for is over
    if reached or told:
        return [present(after)]
    return [_again(before, events, after, asked)]


def _says_all(event: e.Event) -> bool:
    """Return whether nothing leads on after a fact: possible answers were just told, or it is asked again later."""
    if isinstance(event, e.NotUnderstood):
        return not event.first
    later = isinstance(event, e.Refused) and event.code == "again"
    return later or isinstance(event, (*e.ENDS, e.Parked, e.ListeningPaused))


def _again(before: State, events: Sequence[e.Event], after: State, asked: Question) -> str:
    """Return the question again, where the person has to answer it still."""
    if any(isinstance(event, e.ReadingTaken) for event in events):
        filled = fill_of(after, after.here)
        return f"{fill_words(after, filled)} {ask(after, asked)}" if filled else present(after)
    refused = next((event for event in events if isinstance(event, e.Refused)), None)
    repeats = refused is None or refused.code in (
        "answer",
        "gate",
        "reading",
        "condition",
        "confirm",
        "evidence",
        "aside",
    )
    return ask(after, asked) if repeats and asked.waiting is not Waiting.BLOCKED else ""
