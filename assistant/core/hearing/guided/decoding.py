"""Holds the guided search: which of the phrases allowed now a recogniser would write, and how likely each is.

A recogniser that writes piece by piece tells after each piece how likely every next one is. Here it is led along
the phrases allowed (a beam search), and beside them it writes freely: what it would rather have written is what
a phrase is measured by. Arithmetic only; the recogniser itself is a function.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.core.hearing.guided.token_graph import State, TokenGraph
from assistant.core.types import Weighed

Next = Callable[[Sequence[int], Sequence[int]], NDArray[np.float32]]
"""Takes for each hypothesis the row it goes on from (of the call before) and its newest piece; returns for each the
log-probabilities of all pieces."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Guide:
    """How the search is led."""

    begin: int
    """The piece that begins a text."""
    end: int
    """The piece that ends one."""
    stops: tuple[int, ...]
    """Pieces such as a full stop, that may come before the end and mean nothing."""
    beams: int = 10
    """So many hypotheses are followed at once: of 120 sentences in quiet and with an impact wrench (5 dB) .98 and .82
    were taken right by this engine alone with 8, and with 16, which takes a quarter more time."""
    found: int = 8
    """So many phrases are returned at most."""
    longest: int = 48
    """So many pieces a text holds at most."""
    writes_freely: bool = True
    """Whether it also writes freely; without it the phrases are measured by nothing."""
    word: float = 3.0
    """Likelihood that a word of a phrase is worth where the likeliest are chosen [nat]: without it what is short
    would always seem likeliest."""

    def rank(self, phrase: Weighed) -> float:
        """Return a number that is the less, the likelier a phrase is beside longer and shorter ones."""
        return -phrase.likelihood - self.word * len(phrase.words.split())


@dataclass(frozen=True, slots=True)
class Guided:
    """What the search found."""

    free: tuple[int, ...]
    """The pieces that were written freely."""
    free_likelihood: float
    """How likely they are [nat]."""
    allowed: tuple[Weighed, ...]
    """The phrases found, likeliest first; their likelihood is relative to the free text, if there is any."""


@dataclass(frozen=True, slots=True)
class _Way:
    pieces: tuple[int, ...]
    likelihood: float
    state: State | None
    """Where it stands in the phrases; None for what is written freely."""
    row: int


def search(after: Next, graph: TokenGraph, guide: Guide) -> Guided:
    """Return the phrases of a graph that are likeliest, and the free text beside them."""
    ways = [_Way((), 0.0, graph.start, 0)]
    free: tuple[int, ...] = ()
    free_likelihood = 0.0
    if guide.writes_freely:
        ways.insert(0, _Way((), 0.0, None, 0))
    ended: dict[tuple[int, ...], float] = {}
    for _ in range(guide.longest):
        likely = after([way.row for way in ways], [way.pieces[-1] if way.pieces else guide.begin for way in ways])
        going: list[_Way] = []
        for row, way in enumerate(ways):
            if way.state is None:
                best = int(likely[row].argmax())
                free_likelihood = way.likelihood + float(likely[row, best])
                if best != guide.end:
                    free = (*way.pieces, best)
                    going.append(_Way(free, free_likelihood, None, row))
                continue
            if graph.may_end(way.state):
                ended[way.pieces] = way.likelihood + _ending(likely[row], guide)
            going += _onward(way, row, likely[row], graph)
        ways = _kept(going, ended, guide)
        if not ways:
            break
    return Guided(free, free_likelihood, _ranked(ended, graph, guide, free_likelihood))


def _ending(likely: NDArray[np.float32], guide: Guide) -> float:
    return float(np.logaddexp.reduce([likely[guide.end], *(likely[stop] for stop in guide.stops)]))


def _onward(way: _Way, row: int, likely: NDArray[np.float32], graph: TokenGraph) -> list[_Way]:
    assert way.state is not None
    following = graph.after(way.state)
    return [
        _Way((*way.pieces, piece), way.likelihood + float(likely[piece]), state, row)
        for piece, state in following.items()
    ]


def _kept(going: Sequence[_Way], ended: dict[tuple[int, ...], float], guide: Guide) -> list[_Way]:
    """Return the likeliest ways, as far as they may still beat what has ended; the free one stays."""
    free = [way for way in going if way.state is None]
    led = sorted((way for way in going if way.state is not None), key=lambda way: -way.likelihood)[: guide.beams]
    enough = sorted(ended.values(), reverse=True)[guide.found - 1 : guide.found]
    return [*free, *(way for way in led if not enough or way.likelihood > enough[0])]


def _ranked(
    ended: dict[tuple[int, ...], float], graph: TokenGraph, guide: Guide, written: float
) -> tuple[Weighed, ...]:
    """Return the phrases beside what was written freely, spellings of the same words taken together."""
    found: dict[str, float] = {}
    for pieces, likelihood in ended.items():
        words = graph.words(pieces)
        found[words] = float(np.logaddexp(found.get(words, float("-inf")), likelihood))
    ranked = sorted((Weighed(words, total - written) for words, total in found.items()), key=guide.rank)
    return tuple(ranked[: guide.found])
