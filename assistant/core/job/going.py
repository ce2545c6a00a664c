"""How the person goes through a job: on, over a step, back, with pauses, and away from it."""

from __future__ import annotations

from assistant.core.job import events as e
from assistant.core.job import moving, undoing
from assistant.core.job.answering import running
from assistant.core.job.aside import deciding as beside
from assistant.core.job.conditions import blocked
from assistant.core.job.moving import Draft
from assistant.core.job.of_the_car import led_back
from assistant.core.job.question import OF_STEP, Question, Waiting
from assistant.core.quantities.saying import say_duration
from assistant.core.types import Intent


def next_step(draft: Draft, intent: Intent, asked: Question) -> None:
    """Go on to the next step, where nothing is left to be answered before it."""
    match asked.waiting:
        case Waiting.NEXT:
            moving.complete(draft)
        case Waiting.TIME:
            _end_wait(draft)
        case Waiting.EVIDENCE:
            draft.add(e.Refused("gate", "Not yet: first I need your answer."))
        case Waiting.BLOCKED:
            draft.add(e.Refused("blocked", blocked(draft.state, draft.state.here)))
        case Waiting.NEW:
            draft.add(e.Refused("answer", "Not yet: first I need to know that it is new."))
        case Waiting.CONFIRM:
            draft.add(e.Refused("confirm", "That has to be confirmed by its name."))
        case Waiting.CONDITION:
            draft.add(e.Refused("condition", "Not yet."))
        case _:
            draft.add(e.Refused("answer", "First I need your answer."))


def _end_wait(draft: Draft) -> None:
    step, timer = draft.state.here, running(draft.state)
    if timer and step.wait and step.wait.hard:
        left = say_duration((timer.due - draft.at).total_seconds())
        draft.add(e.Refused("wait", f"Too early. Time left: {left}."))
        return
    if timer:
        draft.add(e.TimerEnded(step.id, early=True))
    moving.complete(draft)


def skip(draft: Draft, intent: Intent, asked: Question) -> None:
    """Leave the step out, where it is optional."""
    step = draft.state.here
    if asked.waiting in (Waiting.EVIDENCE, Waiting.CONDITION) or (asked.waiting is Waiting.CONFIRM and asked.gate):
        draft.add(e.Refused("gate", "No. That check keeps you safe, so it can't be left out."))
    elif step.optional and asked.waiting in OF_STEP:
        draft.add(e.StepSkipped(step.id))
        moving.go_on(draft, step)
    else:
        draft.add(e.Refused("skip", "This step can't be left out. Do it, then say: next step."))


def back(draft: Draft, intent: Intent, asked: Question) -> None:
    """Go back a step, or take back what was told last beside the job."""
    beside.take_back(draft) if draft.state.aside else undoing.back(draft)


def undo(draft: Draft, intent: Intent, asked: Question) -> None:
    """Take back what was said last."""
    beside.take_back(draft) if draft.state.aside else undoing.undo(draft)


def pause(draft: Draft, intent: Intent, asked: Question) -> None:
    """Hear nothing but the words that end it."""
    draft.add(e.ListeningPaused())


def listen_again(draft: Draft, intent: Intent, asked: Question) -> None:
    """Hear everything again."""
    draft.add(e.ListeningResumed() if draft.state.paused else e.Refused("listening", "I am listening."))


def park(draft: Draft, intent: Intent, asked: Question) -> None:
    """Put the job aside."""
    draft.add(e.Parked())


def go_on(draft: Draft, intent: Intent, asked: Question) -> None:
    """Take up a job that was put aside: nobody knows what was done to the car meanwhile."""
    draft.add(e.Resumed())
    moving.let_gates_fall(draft, "interrupted")
    for known in draft.state.procedure.conditions:
        if known.gated:
            moving.change(draft, known.id, holds=None)
    led_back(draft)
    moving.take_up_time(draft)
