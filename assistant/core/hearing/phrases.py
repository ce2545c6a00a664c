"""Which phrases are allowed in a state. Everything else that is said is not for the assistant."""

from __future__ import annotations

from assistant.core.procedure import Option, Step
from assistant.core.question import Question, Waiting, question
from assistant.core.state import State
from assistant.core.types import Phrase
from assistant.core.units import Amount

READING_SAYS = ("<quantity>",)
"""How a value may be said where the procedure names no way: alone."""
TIGHTEN_SAYS = ("[[it is | I] tightened [it] to | it got] <quantity>",)
OTHER_UNIT = 4.0
"""How much less often a value is said in a unit of another kind, or in none, than in one of the kind that is asked
for [nat]. An estimate: that a person says litres for newton metres is heard, but only where it is clear."""


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
                *(_values(_kind(state), READING_SAYS) if _kind(state) else ()),
            )
        case Waiting.VALUE:
            return _values(state.procedure.values[asked.about].kind, READING_SAYS)
        case Waiting.EVIDENCE if asked.ask:
            numbers = _values(asked.ask.kind, READING_SAYS) if asked.ask.kind else ()
            return (*_options(asked.ask.options), *numbers)
        case Waiting.SEALED:
            return ()
        case _:
            return _of_step(step)


def _kind(state: State) -> str:
    """Return the kind of the value that waits to be confirmed; empty where none does."""
    value = state.pending.value if state.pending else None
    return value.kind if isinstance(value, Amount) else ""


def _values(kind: str, says: tuple[str, ...]) -> tuple[Phrase, ...]:
    """Return the ways to say a value: in units of its kind, and more rarely in any other or in none."""
    if kind == "level":
        return _phrases("value", says)
    own = tuple(text.replace("<quantity>", f"<{kind}>") for text in says)
    other = tuple(Phrase("value", text, rare=OTHER_UNIT) for text in says)
    return (*_phrases("value", own), *other)


def _of_step(step: Step) -> tuple[Phrase, ...]:
    found = list(_phrases("done", step.done))
    if step.reading:
        usual = ("<level>",) if step.reading.kind == "level" else READING_SAYS
        found += _values(step.reading.kind, step.reading.says or usual)
    if step.tighten:
        found += _values("torque", TIGHTEN_SAYS)
    if step.claim:
        found += _phrases("claim", step.claim.says)
    if step.choice:
        found += _options(step.choice.options)
    return tuple(found)


def _phrases(intent: str, says: tuple[str, ...]) -> tuple[Phrase, ...]:
    return tuple(Phrase(intent, text) for text in says)


def _options(options: tuple[Option, ...]) -> tuple[Phrase, ...]:
    return tuple(Phrase("option", text, option.id) for option in options for text in option.says)
