"""Checks the guided search against every phrase weighed by itself: the chain rule of probability is the standard."""

from collections.abc import Sequence
from itertools import pairwise, product
from string import ascii_letters

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.core.grammar.jsgf import parse_expansion, parse_jsgf
from assistant.core.grammar.word_graph import word_graph
from assistant.core.hearing.guided.decoding import Guide, search
from assistant.core.hearing.guided.pieces import GAP, Pieces
from assistant.core.hearing.guided.token_graph import TokenGraph

LETTERS = ("<s>", "</s>", ".", "-", GAP, *ascii_letters, *"0123456789")
PIECES = Pieces([letter.encode() for letter in LETTERS], 2)
GUIDE = Guide(begin=0, end=1, stops=(2,), beams=200, found=500, word=0.0)


class Writer:
    """Writes letters by a fixed table of which follows which, made by chance; keeps what each row has written."""

    def __init__(self, seed: int) -> None:
        table = np.random.default_rng(seed).normal(scale=2, size=(len(LETTERS), len(LETTERS)))
        self.table = (table - np.log(np.exp(table).sum(axis=1, keepdims=True))).astype(np.float32)

    def __call__(self, rows: Sequence[int], pieces: Sequence[int]) -> NDArray[np.float32]:
        return self.table[list(pieces)]

    def likelihood(self, text: str) -> float:
        numbers = [0, *(LETTERS.index(letter) for letter in text)]
        steps = sum(float(self.table[one, other]) for one, other in pairwise(numbers))
        last = self.table[numbers[-1]]
        return steps + float(np.logaddexp(last[1], last[2]))


@pytest.mark.pure
@pytest.mark.parametrize("seed", range(5))
def test_every_phrase_has_the_likelihood_of_all_its_spellings(seed: int) -> None:
    writer = Writer(seed)
    found = search(
        writer, TokenGraph([word_graph(parse_expansion("(red | blue) (cap | hat) [on]"), {})], PIECES), GUIDE
    )
    weighed = {item.words: item.likelihood + found.free_likelihood for item in found.allowed}
    assert len(weighed) == 8
    for colour, thing, on in product(("red", "blue"), ("cap", "hat"), ("", "on")):
        words = [word for word in (colour, thing, on) if word]
        spellings = [
            GAP + first + "".join(sign + word for sign, word in zip(signs, words[1:], strict=True))
            for first in (words[0], words[0].capitalize())
            for signs in product((GAP, "-"), repeat=len(words) - 1)
        ]
        expected = np.logaddexp.reduce([writer.likelihood(text) for text in spellings])
        assert weighed[" ".join(words)] == pytest.approx(float(expected), abs=1e-3)


@pytest.mark.pure
def test_the_free_text_is_the_likeliest_letter_each_time() -> None:
    writer = Writer(7)
    found = search(writer, TokenGraph([word_graph(parse_expansion("red cap"), {})], PIECES), GUIDE)
    piece, total = 0, 0.0
    for written in [*found.free, GUIDE.end][: GUIDE.longest]:
        assert written == int(writer.table[piece].argmax())
        total += float(writer.table[piece, written])
        piece = written
    assert found.free_likelihood == pytest.approx(total, abs=1e-3)


@pytest.mark.pure
def test_a_circle_and_no_phrase_at_all_come_to_an_end() -> None:
    rules = parse_jsgf("#JSGF V1.0; grammar g; <digit> = one | two; public <code> = <digit>+;", "g")
    found = search(Writer(1), TokenGraph([word_graph(rules["code"], rules)], PIECES), Guide(begin=0, end=1, stops=()))
    assert 0 < len(found.allowed) <= 8
    assert all(set(item.words.split()) <= {"one", "two"} for item in found.allowed)
    assert search(Writer(1), TokenGraph([], PIECES), GUIDE).allowed == ()


@pytest.mark.pure
def test_words_are_told_as_the_phrase_spells_them_however_they_are_written() -> None:
    graph = TokenGraph([word_graph(parse_expansion("twenty litres"), {})], PIECES)
    for text in ("▁Twenty▁liters", "▁20▁litres", "▁twenty-litres"):
        assert graph.words([LETTERS.index(letter) for letter in text]) == "twenty litres"
    assert graph.words([LETTERS.index(letter) for letter in "▁twenty"]) == ""
