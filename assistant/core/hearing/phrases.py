"""Which phrases are allowed in a state. Everything else that is said is not for the assistant."""

from __future__ import annotations

from assistant.core.procedure import Option, Step
from assistant.core.question import Question, Waiting, question
from assistant.core.state import State
from assistant.core.types import Phrase

READING_SAYS = ("<quantity>",)
"""How a value may be said where the procedure names no way: alone."""


def allowed(state: State, general: tuple[Phrase, ...]) -> tuple[Phrase, ...]:
    """Return the phrases that may be said now: the general ones, and those of the open question.

    Where listening is paused, only the words that end that, and the answer of someone who was asked whether they are
    all right: a pause must not lead to an alarm that nobody can prevent.
    """
    asked = question(state)
    if asked.waiting is Waiting.PARKED:
        return _only(general, "go-on", "repeat", "open", "where", "help", "hush", "attend")
    if asked.waiting is Waiting.PAUSED:
        return _only(general, "listen", *(("here",) if state.check_in else ()))
    usual = tuple(phrase for phrase in general if phrase.intent not in ("go-on", "listen"))
    if asked.waiting is Waiting.FINISHED:
        return usual
    return (*usual, *_of(state, asked))


def _only(general: tuple[Phrase, ...], *intents: str) -> tuple[Phrase, ...]:
    return tuple(phrase for phrase in general if phrase.intent in intents)


def _of(state: State, asked: Question) -> tuple[Phrase, ...]:
    step = state.here
    match asked.waiting:
        case Waiting.CONFIRM:
            name = asked.about.removeprefix("the ")
            confirm = (f"confirm [the] {name}", f"[the] {name} is confirmed", f"I confirm [the] {name}")
            return (
                *_phrases("confirm", confirm),
                *(_phrases("value", READING_SAYS) if _valued(state) else ()),
            )
        case Waiting.VALUE:
            return _phrases("value", READING_SAYS)
        case Waiting.EVIDENCE if asked.ask:
            numbers = _phrases("value", READING_SAYS) if asked.ask.kind else ()
            return (*_options(asked.ask.options), *numbers)
        case Waiting.SEALED:
            return ()
        case _:
            return _of_step(step)


def _valued(state: State) -> bool:
    return state.pending is not None and state.pending.value is not None


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
