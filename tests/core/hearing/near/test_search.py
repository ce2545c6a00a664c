"""Checks the search against the textbook edit distance, sentence by sentence, and its traces against themselves."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.grammar.jsgf import parse_expansion, parse_jsgf
from assistant.core.grammar.word_graph import word_graph
from assistant.core.hearing.near.search import FAR, Search
from assistant.core.hearing.near.sound_graph import join, sound_graph
from assistant.core.hearing.near.sounds import BOUNDARY, INDEX, loss, sounds_of, substitution

pytestmark = pytest.mark.pure

SPELT = {  # a little dictionary of made-up pronunciations, one word with two
    "next": (("N", "EH", "K", "S", "T"),), "step": (("S", "T", "EH", "P"),), "the": (("DH", "AH"), ("DH", "IY")),
    "back": (("B", "AE", "K"),), "two": (("T", "UW"),), "ten": (("T", "EH", "N"),), "stop": (("S", "T", "AA", "P"),),
}  # fmt: skip
RULES = parse_jsgf("<number> = two | ten;", "numbers")
PHRASES = {  # each with all that it allows
    "[the] next step": ("the next step", "next step"),
    "step back | stop": ("step back", "stop"),
    "<number> back": ("two back", "ten back"),
    "<number>+": tuple(" ".join(words) for count in range(1, 6) for words in product(("two", "ten"), repeat=count)),
}
SEARCH = Search(join([sound_graph(word_graph(parse_expansion(says), RULES), SPELT.__getitem__) for says in PHRASES]))


def edit_distance(heard: tuple[str, ...], meant: tuple[str, ...]) -> float:
    """R. A. Wagner and M. J. Fischer, "The String-to-String Correction Problem", J. ACM 21 (1974) 168."""
    lost, changed = loss(), substitution()
    row = [0.0]
    for sound in meant:
        row.append(row[-1] + float(lost[INDEX[sound]]))
    for extra in heard:
        before, row = row, [row[0] + float(lost[INDEX[extra]])]
        for place, sound in enumerate(meant):
            row.append(
                min(
                    before[place] + float(changed[INDEX[extra], INDEX[sound]]),
                    before[place + 1] + float(lost[INDEX[extra]]),
                    row[-1] + float(lost[INDEX[sound]]),
                )
            )
    return row[-1]


def reference(heard: tuple[str, ...], sentences: tuple[str, ...]) -> float:
    """The least distance to any sentence in any pronunciation; both begin at the same boundary."""
    spoken = [
        [sound for sounds in chosen for sound in (*sounds, BOUNDARY)]
        for sentence in sentences
        for chosen in product(*(SPELT[word] for word in sentence.split()))
    ]
    return min(edit_distance(heard[1:], tuple(sounds)) for sounds in spoken)


writings = st.lists(st.sampled_from(sorted(SPELT)), min_size=1, max_size=4).map(
    lambda words: sounds_of(" ".join(words), SPELT.__getitem__)
)
garbled = st.lists(st.sampled_from([BOUNDARY, "N", "EH", "K", "S", "T", "AH", "B"]), max_size=12).map(
    lambda sounds: (BOUNDARY, *sounds, BOUNDARY)
)


@given(st.lists(writings | garbled, min_size=1, max_size=3))
def test_the_cost_of_a_phrase_is_the_least_edit_distance_to_what_it_allows(heard: list[tuple[str, ...]]) -> None:
    for costs, writing in zip(SEARCH.costs(heard), heard, strict=True):
        for found, sentences in zip(SEARCH.ends(costs), PHRASES.values(), strict=True):
            true = reference(writing, sentences)
            assert found >= true - 1e-4
            if true < 1.5:  # beyond that more sounds may be missing in a row than the search allows
                assert found == pytest.approx(true, abs=1e-4)


@given(writings | garbled)
def test_a_trace_names_a_sentence_that_has_the_cost(writing: tuple[str, ...]) -> None:
    (costs,) = SEARCH.costs([writing])
    for phrase, sentences in enumerate(PHRASES.values()):
        path = SEARCH.trace(costs, writing, phrase)
        said = " ".join(step.word for step in path.words)
        if path.cost >= FAR:
            assert said == ""
            continue
        assert said in sentences
        assert path.cost >= reference(writing, (said,)) - 1e-4
        if path.cost < 1.5:
            assert path.cost == pytest.approx(reference(writing, (said,)), abs=1e-4)


def test_the_words_of_a_slot_are_known() -> None:
    writing = sounds_of("ten back", SPELT.__getitem__)
    (costs,) = SEARCH.costs([writing])
    path = SEARCH.trace(costs, writing, 2)
    assert [(step.word, step.slot) for step in path.words] == [("ten", "number"), ("back", None)]
    assert path.cost == 0
