"""What is said of the way through a job: rounds, what was left out, choices, times."""

from __future__ import annotations

from assistant.core.job import events as e
from assistant.core.job.conditions import driving
from assistant.core.job.question import Waiting, question
from assistant.core.job.state import State
from assistant.core.job.timer import step_of
from assistant.core.quantities.saying import capital, say_duration
from assistant.core.reply.acknowledging.words import Words
from assistant.core.reply.asking import ask
from assistant.core.reply.topics import purpose

LATE = 90.0
"""From so long after its end on it is said when a time ended [second]."""


def _entered(before: State, event: e.StepEntered, after: State) -> str:
    """Return that a round begins again, where a step led back because it was not yet so."""
    repeat = before.here.repeat if before.step else None
    led_back = repeat and event.step == repeat.to and event.step != before.step
    return "Not yet. Once more." if led_back else ""


def _chosen_not(before: State, event: e.ChoiceWithdrawn, after: State) -> str:
    return f"Taken back: {_shown(after, event.name, dict(before.choices).get(event.name, ''))}."


def _shown(state: State, name: str, option: str) -> str:
    """Return an option of a choice as it is read back."""
    steps = (state.here, *state.procedure.steps)
    choices = [step.choice for step in steps if step.choice and step.choice.name == name]
    return next((one.show for choice in choices for one in choice.options if one.id == option), option)


def _reopened(before: State, event: e.StepReopened, after: State) -> str:
    return f"Back to: {after.procedure.step(event.step).title.lower()}."


def _time_begins(before: State, event: e.TimerStarted, after: State) -> str:
    """Return when it is asked again; and that a time begins anew, where the clock was set back while it ran."""
    timer = next(timer for timer in after.timers if timer.name == event.name)
    whole, now = timer.whole(after.procedure), after.heard_at
    due = next((timer.due for timer in before.timers if timer.name == event.name), None)
    told = say_duration(whole.total_seconds())
    if due and now and due - now > whole:
        return f"The clock was set back. So the time for {purpose(after, timer)} begins anew: {told}."
    return f"I ask again in: {told}." if timer.again else ""


def _timer_ended(before: State, event: e.TimerEnded, after: State) -> str:
    step, again = after.procedure.step(step_of(event.name)), event.name != step_of(event.name)
    if event.early or not (step.wait or again):
        return ""
    if again:
        return _asked_again(before, after)
    assert step.wait
    if late := _late(before, event, after):
        say = " Say: next step." if question(after).waiting is Waiting.TIME else ""
        return f"By the clock, the time for {step.wait.about} ended {say_duration(late)} ago.{say}"
    ended = f"The time for {step.wait.about} is over."
    if after.aside or after.stopping:
        return ended  # what is to be said then is told once the job goes on
    if step.choice and not after.paused:
        return f"{ended} {step.choice.ask}"
    if driving(after) and not after.paused:
        return f"{ended} {ask(after, question(after))}"
    return f"{ended} Say: {'listen again' if after.paused else 'next step'}."


def _asked_again(before: State, after: State) -> str:
    """Return the question that is asked again now; a job that is taken up asks it anyway."""
    if before.parked:
        return ""
    return f"Look again. {ask(after, question(after))}".strip()


def _late(before: State, event: e.TimerEnded, after: State) -> float:
    """Return how long ago a time ended that is told only now, because nobody was there [second]; else nothing."""
    due = next((timer.due for timer in before.timers if timer.name == event.name), None)
    ago = (after.heard_at - due).total_seconds() if due and after.heard_at else 0.0
    return ago if ago >= LATE else 0.0


SAID: dict[type[e.Event], Words] = {
    e.StepEntered: _entered,
    e.ChoiceMade: lambda before, event, after: f"{capital(_shown(before, event.name, event.option))}.",
    e.ChoiceWithdrawn: _chosen_not,
    e.StepReopened: _reopened,
    e.StepSkipped: lambda before, event, after: "Left out.",
    e.TimerStarted: _time_begins,
    e.TimerEnded: _timer_ended,
}
