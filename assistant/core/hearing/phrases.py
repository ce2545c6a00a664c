"""Which phrases are allowed in a state. Everything else that is said is not for the assistant."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.core.procedure import Option, Procedure, Step
from assistant.core.question import Question, Waiting, of_step, question
from assistant.core.state import State
from assistant.core.types import Phrase

WHILE_PARKED = ("go-on", "repeat", "open", "where", "help", "hush")
READING_SAYS = ("<quantity>",)
"""How a value may be said where the procedure names no way: alone."""


def allowed(state: State, general: tuple[Phrase, ...]) -> tuple[Phrase, ...]:
    """Return the phrases that may be said now: the general ones, and those of the open question."""
    valued = state.pending is not None and state.pending.value is not None
    return allowed_at(state.here, question(state), general, valued=valued)


def allowed_at(
    step: Step, asked: Question, general: tuple[Phrase, ...], *, valued: bool = False
) -> tuple[Phrase, ...]:
    """Return the phrases that may be said at a step while something is asked.

    `valued` says that what waits to be confirmed is a value, which may then be said anew.
    """
    if asked.waiting is Waiting.PARKED:
        return tuple(phrase for phrase in general if phrase.intent in WHILE_PARKED)
    usual = tuple(phrase for phrase in general if phrase.intent != "go-on")
    if asked.waiting is Waiting.FINISHED:
        return usual
    return (*usual, *_of(step, asked, valued))


def situations(procedure: Procedure, general: tuple[Phrase, ...]) -> dict[str, tuple[Phrase, ...]]:
    """Return all that may be allowed at once in a job, each under the first step and question where it is.

    Every question is taken as possible at every step that can ask it; so a few are here that no job comes to.
    """
    found: dict[frozenset[Phrase], tuple[str, tuple[Phrase, ...]]] = {}
    for step in procedure.steps:
        for asked in _questions(procedure, step):
            for valued in (False, True) if asked.waiting is Waiting.CONFIRM else (False,):
                phrases = allowed_at(step, asked, general, valued=valued)
                name = f"{step.id}, {asked}" + (", or the value anew" if valued else "")
                found.setdefault(frozenset(phrases), (name, phrases))
    return dict(found.values())


def _questions(procedure: Procedure, step: Step) -> Iterator[Question]:
    """Yield everything that may be asked at a step."""
    yield from (Question(waiting) for waiting in (Waiting.PARKED, Waiting.FINISHED, Waiting.SEALED))
    yield of_step(step)
    for name, wanted in procedure.values.items():
        yield Question(Waiting.VALUE, name)
        yield Question(Waiting.CONFIRM, wanted.name)
    for gate in (procedure.gate(name) for name in step.needs):
        yield from (Question(Waiting.EVIDENCE, f"{gate.id}/{ask.id}", gate, ask) for ask in gate.asks)
    if step.claim:
        yield Question(Waiting.CONFIRM, step.claim.name)
    if step.tighten:
        yield Question(Waiting.CONFIRM, procedure.part(step.tighten.part).name)


def _of(step: Step, asked: Question, valued: bool) -> tuple[Phrase, ...]:
    match asked.waiting:
        case Waiting.CONFIRM:
            name = asked.about.removeprefix("the ")
            confirm = (f"confirm [the] {name}", f"[the] {name} is confirmed", f"I confirm [the] {name}")
            return (*_phrases("confirm", confirm), *(_phrases("value", READING_SAYS) if valued else ()))
        case Waiting.VALUE:
            return _phrases("value", READING_SAYS)
        case Waiting.EVIDENCE if asked.ask:
            numbers = _phrases("value", READING_SAYS) if asked.ask.kind else ()
            return (*_options(asked.ask.options), *numbers)
        case Waiting.SEALED:
            return ()
        case _:
            return _of_step(step)


def _of_step(step: Step) -> tuple[Phrase, ...]:
    found = list(_phrases("done", step.done))
    if step.reading:
        usual = ("<level>",) if step.reading.kind == "level" else READING_SAYS
        found += _phrases("value", step.reading.says or usual)
    if step.tighten:
        found += _phrases("value", ("[[it is | I] tightened [it] to | it got] <quantity>",))
    if step.claim:
        found += _phrases("claim", step.claim.says)
    if step.choice:
        found += _options(step.choice.options)
    return tuple(found)


def _phrases(intent: str, says: tuple[str, ...]) -> tuple[Phrase, ...]:
    return tuple(Phrase(intent, text) for text in says)


def _options(options: tuple[Option, ...]) -> tuple[Phrase, ...]:
    return tuple(Phrase("option", text, option.id) for option in options for text in option.says)
