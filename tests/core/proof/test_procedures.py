"""The data that travels with the program: phrases that can be told apart, words for the ear, values with sources."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library, data_folder, read_yaml
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.hearing.near.likeness import Likeness
from assistant.core.hearing.near.phrase_rules import (
    NEAREST_NUMBER,
    limit,
    pairs,
)
from assistant.core.hearing.phrases import situations
from assistant.core.job.engine import INTENTS
from assistant.core.proof.rules.every import OF_JOBS
from assistant.core.proof.rules.heard import measure_of
from assistant.core.proof.rules.rule import Beside, Rule
from assistant.core.quantities.levels import level_of
from assistant.core.quantities.numbers import quantity_of
from assistant.core.quantities.saying import say_amount, say_level
from assistant.core.types import Phrase
from tests.fitting import FITTING, NAMES

SHELF = Library()
NEAR = read_yaml(data_folder("procedures") / "phrases" / "near.yaml")

jobs = pytest.mark.parametrize("job", SHELF.jobs(), ids=lambda job: job.id)
fitting = pytest.mark.parametrize(("job", "vehicle"), FITTING, ids=NAMES)


@pytest.fixture(scope="module")
def at_once() -> dict[str, tuple[Phrase, ...]]:
    """All that may be allowed at once in any job."""
    general = SHELF.phrases()
    return {f"{job.id}: {name}": found for job in SHELF.jobs() for name, found in situations(job, general).items()}


@pytest.fixture(scope="module")
def beside() -> Beside:
    hearing = replace(SHELF.hearing(), lexicon=pronounce)
    return Beside(SHELF.rules(), SHELF.jobs(), SHELF.vehicles(), SHELF.tables(), hearing)


@jobs
@pytest.mark.parametrize("rule", [rule for rule in OF_JOBS if rule.slow], ids=lambda rule: rule.id)
def test_what_may_be_said_breaks_no_rule(job: Procedure, rule: Rule[Procedure], beside: Beside) -> None:
    """The other rules are held against the files in `rules/test_rules.py`."""
    assert not list(rule.finds(job, beside))


def test_every_exception_is_needed_and_has_a_reason(at_once, beside: Beside) -> None:
    likeness = measure_of(SHELF.jobs()[0], beside)
    near = [frozenset(pair.near.words) for found in at_once.values() for pair in pairs(found, likeness, limit)]
    for pair in NEAR["pairs"]:
        assert frozenset(pair["words"]) in near, pair
        assert len(pair["reason"].split()) > 5, pair


def test_every_general_meaning_is_known() -> None:
    assert {phrase.intent for phrase in SHELF.phrases()} <= set(INTENTS)


@pytest.mark.parametrize(("one", "other"), NEAR["numbers"])
def test_numbers_that_sound_alike_are_read_back_with_their_digits(one: str, other: str) -> None:
    likeness = Likeness([one, other], {}, pronounce)
    assert likeness.distance(one, other) < NEAREST_NUMBER
    for number in (one, other):
        said = say_amount(quantity_of(f"{number} newton metres", "metric"))
        assert re.fullmatch(rf"{number}, newton metres, \w+ \w+", said)


@pytest.mark.parametrize(("one", "other"), NEAR["levels"])
def test_readings_that_sound_alike_are_read_back_in_other_words(one: str, other: str) -> None:
    assert Likeness([one, other], {}, pronounce).distance(one, other) < NEAREST_NUMBER
    said = [say_level(level_of(reading)) for reading in (one, other)]
    assert Likeness(said, {}, pronounce).distance(*said) > Likeness([one, other], {}, pronounce).distance(one, other)


@pytest.mark.parametrize("vehicle", SHELF.vehicles(), ids=lambda vehicle: vehicle.id)
def test_every_value_that_is_invented_says_so(vehicle: Vehicle) -> None:
    assert all("invented" in spec.source for spec in vehicle.values.values())
