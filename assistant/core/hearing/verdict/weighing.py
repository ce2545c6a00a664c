"""By how much engines hold one phrase likelier than another, and which phrases their words are. Decides nothing."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean

from assistant.core.grammar.parsing import parse
from assistant.core.grammar.word_graph import Step, WordGraph
from assistant.core.hearing.contraries.made import DENIED
from assistant.core.types import Heard, Phrase

Steps = tuple[Step, ...]

FIRST = 0.3
"""Share of the first engine where two meanings are told apart: it hears "sixteen" in "sixty newton", and holds short
texts likely."""


def likelier(one: str, other: str, heard: Sequence[Heard], of_first: float = FIRST) -> float | None:
    """Return by how much the engines after the first, and in part the first, hold words likelier than others [nat].

    None where none of them weighed both. Who heard no speech has nothing to say; an only engine's word counts whole.
    """
    known = [{item.words: item.likelihood for item in each.allowed} if each.is_speech else {} for each in heard]
    first, *later = (each[one] - each[other] if one in each and other in each else None for each in known)
    told = [each for each in later if each is not None]
    return fmean(told) + of_first * (first or 0.0) if told else None if any(known[1:]) else first


def named(words: str, phrases: Sequence[Phrase], graphs: Sequence[WordGraph]) -> list[tuple[Phrase, Steps]]:
    """Return every phrase that words are, each with the steps that they take."""
    found = [(phrase, parse(graph, words.split())) for phrase, graph in zip(phrases, graphs, strict=True)]
    named = [(phrase, steps) for phrase, steps in found if steps is not None]
    return [one for one in named if one[0].intent != DENIED] or named
