"""Which phrases are allowed in a state. Everything else that is said is not for the assistant."""

from __future__ import annotations

from assistant.core.procedure import Option, Step
from assistant.core.question import Question, Waiting, question
from assistant.core.state import State
from assistant.core.types import Phrase

READING_SAYS = ("<quantity>",)
"""How a value may be said where the procedure names no way: alone."""


def allowed(state: State, general: tuple[Phrase, ...]) -> tuple[Phrase, ...]:
    """Return the phrases that may be said now: the general ones, and those of the open question."""
    asked = question(state)
    if asked.waiting is Waiting.PARKED:
        return tuple(
            phrase for phrase in general if phrase.intent in ("go-on", "repeat", "open", "where", "help", "hush")
        )
    usual = tuple(phrase for phrase in general if phrase.intent != "go-on")
    if asked.waiting is Waiting.FINISHED:
        return usual
    return (*usual, *_of(state, asked))


def allowed_at(state: State, general: tuple[Phrase, ...]) -> tuple[Phrase, ...]:
    """Return all that may be said at the step of a state, whichever of its questions is open.

    Those are the challenges of its gates, its own question, and the confirmation of what is claimed there.
    """
    step, job = state.here, state.procedure
    gates = [job.gate(name) for name in step.needs]
    asked = [Question(Waiting.EVIDENCE, gate=gate, ask=ask) for gate in gates for ask in gate.asks]
    claimed = [step.claim.name] if step.claim else [job.part(step.tighten.part).name] if step.tighten else []
    asked += [Question(Waiting.CONFIRM, name) for name in claimed]
    own = [phrase for one in (*asked, Question(Waiting.NEXT)) for phrase in _of(state, one)]
    return tuple(dict.fromkeys((*allowed(state, general), *own)))


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
