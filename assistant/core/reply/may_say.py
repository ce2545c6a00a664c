"""What may be said now, as data: for a page, a test or another program that answers without knowing the job.

It is made from the phrases that the grammar of the moment is made of (`allowed`), so the two agree. Left out is
what is understood only to be refused: another name than the one that waits, units of another kind.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Any

from assistant.core.data.catalogue import ASKS
from assistant.core.grammar.in_full import in_brief, in_full
from assistant.core.grammar.jsgf import parse_expansion, references
from assistant.core.hearing.answer_phrases import TOOL_SAYS
from assistant.core.hearing.phrases import allowed, answers
from assistant.core.job import known
from assistant.core.job.bounds import Bounds, expected, of_asked, of_tool, unit_for
from assistant.core.job.engine import ALWAYS, TOPICS
from assistant.core.job.question import OF_STEP, Question, Waiting, question
from assistant.core.job.state import State
from assistant.core.quantities.saying import say_number, say_unit
from assistant.core.quantities.units import SYMBOLS, Kind, convert
from assistant.core.types import Phrase

LEVELS = ("near the low mark", "halfway", "three quarters", "at the full mark", "above the full mark")
"""Readings of the dipstick that are given as examples: each leads a job another way."""
SIMPLE = Decimal(4)
"""The number of an example where a value has no bounds."""
_WORDS = {"number": "four", "quantity": "four", "unit": "litres", "one-by-one": "one two three four"}
"""What stands in an example for what is no amount of one kind; the words are examples of the form only."""
_LEADING = {Waiting.NEXT: "next", Waiting.TIME: "next", Waiting.PARKED: "go-on", Waiting.PAUSED: "listen",
            Waiting.BLOCKED: "back"}  # fmt: skip
"""The general phrases that answer a question."""
_FINEST = Decimal("0.001")
"""To what bounds are rounded, inwards."""


Answering = frozenset[tuple[str, str | None]]
"""Intents and options of what answers the open question."""


@dataclass(frozen=True, slots=True)
class Sayable:
    """One thing that may be said."""

    intent: str
    example: str
    """A wording that is understood as this; a number in it lies within its bounds, and is the right one where only one
    is."""
    answers: bool
    """Whether it answers the open question; the others ask something, or lead elsewhere."""
    option: str | None = None
    kind: str | None = None
    """Of what a value is needed: a kind of amount, `level` for the dipstick, `number`, `unit`, or `one-by-one` for
    figures; None where there is no value in it."""
    least: Decimal | None = None
    most: Decimal | None = None
    """Between what the value has to lie; None where nothing bounds it."""
    unit: str | None = None
    """The symbol of the owner's unit for both; None for counts and levels."""


def may_say(state: State, general: tuple[Phrase, ...], call: str = "") -> tuple[Sayable, ...]:
    """Return what may be said now, what answers the open question first; `call` comes before each where it is wanted.

    What is here is understood. It may still be refused, in words: an answer that shows the opposite of what is wanted.
    """
    asked = question(state)
    permitted, own = allowed(state, general), frozenset(answers(state))
    answering = frozenset((phrase.intent, phrase.option) for phrase in permitted if phrase in own)
    first: dict[tuple[str, str | None], Phrase] = {}
    for phrase in sorted(permitted, key=lambda one: one not in own):
        if not phrase.rare and _leads_on(state, asked, phrase):
            first.setdefault((phrase.intent, phrase.option), phrase)
    found = [
        one
        for phrase in first.values()
        for one in _said(state, phrase, call, _answers(state, asked, phrase, answering))
    ]
    return tuple(sorted(found, key=lambda one: not one.answers))


def of_phrases(phrases: Iterable[Phrase]) -> tuple[Sayable, ...]:
    """Return what may be said before there is a job: phrases without values, each meaning once."""
    first: dict[tuple[str, str | None], Phrase] = {}
    for phrase in phrases:
        first.setdefault((phrase.intent, phrase.option), phrase)
    return tuple(
        Sayable(one.intent, " ".join(in_full(parse_expansion(one.says))), one.affirms, one.option)
        for one in first.values()
    )


def _leads_on(state: State, asked: Question, phrase: Phrase) -> bool:
    """Return whether a general phrase is of use here: others are understood, and refused."""
    if asked.waiting is Waiting.FINISHED:
        return phrase.intent in (*TOPICS, *ALWAYS)
    match phrase.intent:
        case "next":
            return asked.waiting in (Waiting.NEXT, Waiting.TIME)
        case "skip":
            return state.here.optional and asked.waiting in OF_STEP
        case "wrong":
            return phrase.option in state.told
    return True


def _answers(state: State, asked: Question, phrase: Phrase, answering: Answering) -> bool:
    if phrase.intent == "here":  # it is allowed only where somebody was asked whether they are all right
        return True
    if asked.waiting is Waiting.ASIDE and (phrase.intent == "leave" or (phrase.intent == ASKS and phrase.option)):
        return True
    if asked.unmet and not asked.unmet.condition.ways(asked.unmet.wanted, known.tags(state)):
        return phrase.intent == "back"
    if phrase.intent == _LEADING.get(asked.waiting):
        return True
    return (phrase.intent, phrase.option) in answering and phrase.intent not in TOOL_SAYS


def _said(state: State, phrase: Phrase, call: str, answering: bool) -> Iterator[Sayable]:
    """Yield a phrase as it may be said: with one value, or with each of some levels."""
    node = parse_expansion(phrase.says)
    slot = next(references(node), None)
    words = " ".join((call, *(in_brief(node) if slot else in_full(node)))).strip()
    if slot is None:
        yield Sayable(phrase.intent, words, answering, phrase.option)
    elif slot == "level":
        for level in LEVELS:
            yield Sayable(phrase.intent, words.replace("<level>", level), answering, phrase.option, slot)
    elif slot in _WORDS:
        yield Sayable(phrase.intent, words.replace(f"<{slot}>", _WORDS[slot]), answering, phrase.option, slot)
    else:
        bounds = of_tool(phrase.intent) if phrase.intent in TOOL_SAYS else of_asked(state)
        yield _with_number(state, Sayable(phrase.intent, words, answering, phrase.option, slot), bounds)


def _with_number(state: State, one: Sayable, bounds: Bounds | None) -> Sayable:
    kind = Kind(one.kind or "")
    unit = unit_for(kind, state.vehicle.units)
    least, most = bounds.within(unit) if bounds else (None, None)
    number = _example(state, one.intent, unit) or SIMPLE
    if (least is not None and number < least) or (most is not None and number > most):
        number = _between(least or Decimal(0), least or Decimal(0) if most is None else most, kind)
    said = f"{say_number(number)} {'' if kind is Kind.COUNT else say_unit(unit, number).removeprefix('imperial ')}"
    return Sayable(
        one.intent,
        one.example.replace(f"<{kind}>", " ".join(said.replace("-", " ").lower().split())),
        one.answers,
        one.option,
        kind,
        least.quantize(_FINEST, ROUND_CEILING) if least is not None else None,
        most.quantize(_FINEST, ROUND_FLOOR) if most is not None else None,
        None if kind is Kind.COUNT else SYMBOLS[unit],
    )


def _example(state: State, intent: str, unit: str) -> Decimal | None:
    """Return the number that is right now, as finely as it can be said."""
    right = expected(state) if intent == "value" else None
    return convert(right, unit).magnitude.quantize(_FINEST) if right else None


def _between(least: Decimal, most: Decimal, kind: Kind) -> Decimal:
    """Return a number between two, with as few figures as there is one; of a count, the least whole one."""
    if kind is Kind.COUNT:
        return least.to_integral_value(ROUND_CEILING)
    middle = (least * most).sqrt() if least > 0 else (least + most) / 2
    for figures in range(1, 7):
        places = figures - 1 - middle.adjusted()
        rounded = middle.quantize(Decimal(1).scaleb(-places))
        if least <= rounded <= most:
            return rounded.normalize() + 0
    return middle


def record_of(one: Sayable) -> dict[str, Any]:
    """Return what may be said as one JSON-ready object."""
    least, most = (float(bound) if bound is not None else None for bound in (one.least, one.most))
    return {
        "intent": one.intent,
        "example": one.example,
        "answers": one.answers,
        "option": one.option,
        "kind": one.kind,
        "least": least,
        "most": most,
        "unit": one.unit,
    }
