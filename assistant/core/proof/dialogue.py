"""A way of a walk as lines that somebody types: the shortest wording of each phrase, one line a turn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil

from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.grammar.parsing import parse
from assistant.core.grammar.word_graph import WordGraphs, word_graph
from assistant.core.hearing.contraries.contrary_rules import contraries_of
from assistant.core.hearing.contraries.made import Contraries
from assistant.core.hearing.near.phrase_rules import has_slot
from assistant.core.hearing.near.shortest import shortest
from assistant.core.hearing.phrases import allowed
from assistant.core.job.alone import moment
from assistant.core.job.engine import decide
from assistant.core.job.state import State
from assistant.core.proof.asking import AT, after_all
from assistant.core.proof.explore import begun
from assistant.core.proof.graph import Way
from assistant.core.quantities.units import Kind, Level, Value, write_amount
from assistant.core.types import Intent, Phrase

NOT_YET = "not yet"
"""Denies whatever was asked."""
_LEVELS = {"low": "near low", "good": "three quarters", "over": "over the full mark"}
"""How the readings of a walk are said; what they are called there is their class."""
_AS = {"next": ("next", "done", "claim"), "claim": ("claim", "next", "done")}
"""Intents that mean the same where the other is not asked for."""


@dataclass(frozen=True, slots=True)
class Tongue:
    """What a dialogue is worded with."""

    general: tuple[Phrase, ...]
    contraries: Contraries
    graphs: WordGraphs


def dialogue(procedure: Procedure, vehicle: Vehicle, way: Way, tongue: Tongue) -> tuple[str, ...]:
    """Return the lines that lead a job along a way; a line that begins with `#` stands for what can't be typed."""
    state, at, lines = begun(procedure, vehicle).state, AT, []
    for move in way:
        if move.passes:
            seconds = _left(state, at)
            lines.append(f"@ +{ceil(seconds / 60)}m")
            at += timedelta(seconds=60 * ceil(seconds / 60))
            state = after_all(state, moment(state, at, None))
        for intent in move.meant:
            lines.append(_words(state, intent, tongue) or f"# {move}")
            state = after_all(state, decide(state, intent, at))
    return tuple(lines)


def _left(state: State, at: datetime) -> float:
    """Return how long the times that run still take [second]."""
    return max((timer.due - at).total_seconds() for timer in state.timers)


def _words(state: State, intent: Intent, tongue: Tongue) -> str:
    """Return the shortest line that means something in a state; empty where it can't be typed there."""
    if intent.value is not None:
        return _typed(intent.value)
    if intent.name == "denied":
        return _denial(state, intent, tongue)
    wordings = [_shortest(one) for one in allowed(state, tongue.general) if _means(one, intent)]
    return min(wordings, key=len, default="")


def _means(phrase: Phrase, intent: Intent) -> bool:
    names = _AS.get(intent.name, (intent.name,))
    return phrase.intent in names and phrase.option == intent.option and not has_slot(phrase.says)


def _shortest(phrase: Phrase) -> str:
    return " ".join(shortest(word_graph(parse_expansion(phrase.says), {}), len))


def _typed(value: Value) -> str:
    if isinstance(value, Level):
        return _LEVELS[value.said]
    return f"{value.magnitude.normalize():f}" if value.kind is Kind.COUNT else _plain(value)


def _plain(value: Value) -> str:
    assert not isinstance(value, Level)
    number, _, unit = write_amount(value).partition(" ")
    return f"{float(number):.10g} {unit}" if "E" in number or len(number) > 12 else f"{number} {unit}"


def _denial(state: State, intent: Intent, tongue: Tongue) -> str:
    if not intent.option:
        return NOT_YET
    denials = _denials(state, intent.option, tongue)
    return min(denials, key=len, default="")


def _denials(state: State, what: str, tongue: Tongue) -> Iterator[str]:
    """Yield what denies an answer, and is no answer itself."""
    every = allowed(state, tongue.general)
    for phrase in every:
        if what == f"{phrase.intent}:{phrase.option}":
            for words in contraries_of(phrase, tongue.contraries, tongue.graphs):
                if all(parse(tongue.graphs[one.says], words.split()) is None for one in every):
                    yield words
