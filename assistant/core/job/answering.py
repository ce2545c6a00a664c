"""Answers to what was asked: of a list, to a challenge of a gate, and what they disprove."""

from __future__ import annotations

from datetime import timedelta

from assistant.core.data.gate import Option
from assistant.core.job import events as e
from assistant.core.job import moving
from assistant.core.job.aside import deciding as beside
from assistant.core.job.moving import Draft
from assistant.core.job.question import Question, Waiting
from assistant.core.job.state import State
from assistant.core.job.stopping import stop
from assistant.core.job.timer import AGAIN, Timer
from assistant.core.quantities.saying import say_duration
from assistant.core.types import Intent


def option(draft: Draft, intent: Intent, asked: Question) -> None:
    """Take an answer of the list that is asked for; one that is refused leaves its question open."""
    if draft.state.aside:
        beside.tell(draft, draft.sums, intent)
        return
    found = next((one for one in _options(draft, asked) if one.id == intent.option), None)
    if found is None:
        draft.add(e.Refused("answer", "That answers nothing that I asked. Say: repeat that."))
    elif asked.waiting not in (Waiting.EVIDENCE, Waiting.CHOICE):
        draft.add(e.Refused("answer", "First I need another answer. Say: repeat that."))
    elif found.refuse:
        _refused(draft, asked, found, found.refuse)
    elif asked.waiting is Waiting.EVIDENCE:
        evidence(draft, asked, found.show)
    elif draft.state.here.choice:
        _choose(draft, draft.state.here.choice.name, found)


def _options(draft: Draft, asked: Question) -> tuple[Option, ...]:
    choice = draft.state.here.choice
    return asked.ask.options if asked.ask else choice.options if choice else ()


def _refused(draft: Draft, asked: Question, option: Option, why: str) -> None:
    """Refuse an answer: the job is stopped for it, or the question stays, at once or after a time."""
    if option.stop:
        stop(draft, option.stop, why)
    else:
        draft.add(e.Refused("again" if option.again else "evidence", why))
    disproved(draft, asked)
    elsewhere(draft, asked)
    if option.again:
        due = draft.at + timedelta(minutes=option.again)
        draft.add(e.TimerStarted(draft.state.step + AGAIN, due, option.again))


def elsewhere(draft: Draft, asked: Question) -> None:
    """Ask for all the evidence of a gate anew, where an answer means that the car has to be set up anew."""
    if asked.ask and asked.ask.undoes:
        moving.let_gate_fall(draft, asked.gate, "disproved")


def _choose(draft: Draft, name: str, option: Option) -> None:
    """Take a choice; while a time runs that must not be cut short, only one that can't wait."""
    wait, timer = draft.state.here.wait, running(draft.state)
    if timer and wait and wait.hard and not option.at_once:
        draft.add(e.Refused("wait", f"Too early. Time left: {say_duration((timer.due - draft.at).total_seconds())}."))
        return
    draft.add(e.ChoiceMade(name, option.id))
    moving.complete(draft)


def disproved(draft: Draft, asked: Question) -> None:
    """Let nothing be relied on any more that an answer disproves: a car that moved has to be set up anew."""
    for name in asked.ask.undoes if asked.ask else ():
        moving.change(draft, name, holds=None)


def evidence(draft: Draft, asked: Question, answer: str) -> None:
    """Take evidence towards a gate, with what it tells of the car."""
    assert asked.gate and asked.ask
    draft.add(e.EvidenceGiven(asked.gate.id, asked.ask.id, answer))
    for name in asked.ask.ends:
        moving.change(draft, name, holds=False)
    for name in asked.ask.sets:
        moving.change(draft, name, holds=True)


def running(state: State) -> Timer | None:
    """Return the time for which the present step waits, if it runs."""
    return next((timer for timer in state.timers if timer.name == state.step), None)
