"""Checks byte-pair encoding against the general library for it, on a vocabulary that the library learns itself."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tokenizers import Tokenizer, models, trainers

from assistant.core.hearing.guided.pieces import GAP, Pieces

TEXTS = ["the drain plug is tight", "drain the oil", "tighten the plug", "the filter is tight", "next step please"]


@pytest.fixture(scope="module")
def learned() -> tuple[Tokenizer, Pieces]:
    """Return a tokeniser of the library (Hugging Face tokenizers), and the same vocabulary here."""
    library = Tokenizer(models.BPE())
    library.train_from_iterator(
        [text.replace(" ", GAP) for text in TEXTS], trainers.BpeTrainer(vocab_size=60, show_progress=False)
    )
    numbers = library.get_vocab()
    texts = [text.encode() for text in sorted(numbers, key=lambda text: numbers[text])]
    return library, Pieces(texts, 0)


@given(words=st.lists(st.sampled_from(sorted({word for text in TEXTS for word in text.split()})), min_size=1))
def test_words_are_cut_as_the_library_cuts_them(learned: tuple[Tokenizer, Pieces], words: list[str]) -> None:
    library, pieces = learned
    text = GAP.join(words)
    cut = pieces.cut(text)
    assert cut is not None
    assert list(cut) == library.encode(text).ids
    assert pieces.text(cut) == " ".join(words)


def test_a_letter_that_is_no_piece_is_told(learned: tuple[Tokenizer, Pieces]) -> None:
    assert learned[1].cut("ÿ") is None
    assert learned[1].cut("") is None
