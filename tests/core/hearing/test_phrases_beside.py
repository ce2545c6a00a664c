"""What may be said to questions beside a job: it can be told apart, and everything that is asked for can be said."""

from __future__ import annotations

import pytest

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library, data_folder, read_yaml
from assistant.core.compute.work_out import CALCULATIONS
from assistant.core.hearing.near.likeness import Likeness
from assistant.core.hearing.near.phrase_rules import (
    badly_heard,
    like_talk,
    limit,
    one_way_only,
    pairs,
    talk,
    too_near,
    too_short,
)
from assistant.core.hearing.phrases import situations_beside
from assistant.core.job.aside.asking import questions
from assistant.core.types import Phrase

SHELF = Library()
CATALOGUE = SHELF.beside()
NEAR = read_yaml(data_folder("procedures") / "phrases" / "near.yaml")
BADLY_HEARD = read_yaml(data_folder("procedures") / "phrases" / "badly-heard.yaml")
LONGEST_SENTENCE = 25


@pytest.fixture(scope="module")
def at_once() -> dict[str, tuple[Phrase, ...]]:
    return situations_beside(CATALOGUE, (*SHELF.phrases(), *CATALOGUE.phrases()))


@pytest.fixture(scope="module")
def phrases(at_once: dict[str, tuple[Phrase, ...]]) -> tuple[Phrase, ...]:
    return tuple(dict.fromkeys(phrase for found in at_once.values() for phrase in found))


@pytest.fixture(scope="module")
def likeness(phrases: tuple[Phrase, ...]) -> Likeness:
    return Likeness([talk(), *BADLY_HEARD, *(phrase.says for phrase in phrases)], SHELF.rules(), pronounce)


def test_what_may_be_said_at_once_sounds_different(at_once, likeness: Likeness) -> None:
    excepted = {frozenset(pair["words"]): pair["reason"] for pair in (*NEAR["pairs"], *NEAR["beside"])}
    assert not {f"{name}: {fault}" for name, found in at_once.items() for fault in too_near(found, likeness, excepted)}


def test_every_exception_is_needed(at_once, likeness: Likeness) -> None:
    near = [frozenset(pair.near.words) for found in at_once.values() for pair in pairs(found, likeness, limit)]
    assert not [pair for pair in NEAR["beside"] if frozenset(pair["words"]) not in near or len(pair["reason"]) < 30]


def test_every_meaning_can_be_said_in_two_ways(at_once, likeness: Likeness) -> None:
    assert not {f"{name}: {fault}" for name, found in at_once.items() for fault in one_way_only(found, likeness)}


def test_phrases_are_long_enough_and_unlike_talk(phrases, likeness: Likeness) -> None:
    assert not list(too_short(phrases, pronounce, [short["words"] for short in NEAR["short"]]))
    assert not list(like_talk(phrases, likeness))
    assert not list(badly_heard(phrases, likeness, BADLY_HEARD))


def test_every_computation_can_be_asked_for() -> None:
    assert set(CATALOGUE.sums) == set(CALCULATIONS)
    assert {name for subject in CATALOGUE.subjects for name in CATALOGUE.of_subject(subject)} == set(CALCULATIONS)


def test_every_question_is_short_and_in_words() -> None:
    for name, asked in questions(CATALOGUE):
        assert all(len(sentence.split()) <= LONGEST_SENTENCE for sentence in asked.ask.split(". ")), name
        said = asked.ask.replace("assistant work-out", "") if asked.ask.startswith("Type this") else asked.ask
        assert asked.ask.startswith("Type this") or not any(letter.isdigit() for letter in said), name
