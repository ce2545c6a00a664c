"""Checks the layout of a graph of sounds on graphs that can be written down by hand."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.grammar.word_graph import word_graph
from assistant.core.hearing.near.sound_graph import SoundGraph, join, sound_graph
from assistant.core.hearing.near.sounds import BOUNDARY, PHONEMES

pytestmark = pytest.mark.pure

SPELT = {"go": (("G", "OW"),), "on": (("AA", "N"), ("AO", "N"))}


def graph_of(says: str) -> SoundGraph:
    return sound_graph(word_graph(parse_expansion(says), {}), SPELT.__getitem__)


def spoken(graph: SoundGraph, end: int) -> set[str]:
    """All that can be heard on the way from the start to an end."""
    found: set[str] = set()

    def walk(node: int, sounds: tuple[str, ...]) -> None:
        if node == end:
            found.add(" ".join(sounds))
        for source, target in zip(graph.sources, graph.targets, strict=True):
            if source == node:
                walk(int(target), (*sounds, PHONEMES[graph.labels[target]]))

    for start in graph.starts:
        walk(int(start), ())
    return found


def test_every_pronunciation_is_a_way() -> None:
    graph = graph_of("go on")
    assert set().union(*(spoken(graph, end) for end in graph.ends[0])) == {"G OW # AA N #", "G OW # AO N #"}
    assert PHONEMES[graph.labels[0]] == BOUNDARY


def test_a_word_that_may_be_left_out() -> None:
    graph = graph_of("go [on]")
    assert set().union(*(spoken(graph, end) for end in graph.ends[0])) == {"G OW #", "G OW # AA N #", "G OW # AO N #"}


def test_a_word_is_told_by_its_last_sound() -> None:
    graph = graph_of("go on")
    told = [(PHONEMES[label], word.word) for label, word in zip(graph.labels, graph.words, strict=True) if word]
    assert told == [("OW", "go"), ("N", "on"), ("N", "on")]


def test_ways_are_in_the_order_of_their_targets() -> None:
    graph = join([graph_of("go [on]"), graph_of("on | go")])
    assert (np.diff(graph.targets) >= 0).all()


def test_joined_graphs_keep_apart() -> None:
    one, other = graph_of("go"), graph_of("on")
    both = join([one, other])
    assert spoken(both, both.ends[0][0]) == {"G OW #"}
    assert spoken(both, both.ends[1][0]) == {"AA N #", "AO N #"}
    assert len(both.labels) == len(one.labels) + len(other.labels)
