"""The data that travels with the program: phrases that can be told apart, words for the ear, values with sources."""

from __future__ import annotations

import re

import pytest

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library, data_folder, read_yaml
from assistant.core.compute.bolts.torque import agrees
from assistant.core.data.base import names_in
from assistant.core.data.procedure import Procedure, Vehicle
from assistant.core.hearing.near.likeness import Likeness
from assistant.core.hearing.near.phrase_rules import (
    NEAREST_NUMBER,
    badly_heard,
    like_talk,
    limit,
    one_way_only,
    pairs,
    talk,
    too_near,
    too_short,
)
from assistant.core.hearing.phrases import situations
from assistant.core.job.engine import INTENTS
from assistant.core.job.findings import VERDICT
from assistant.core.proof.promises import SUPPORT
from assistant.core.quantities.numbers import level_of, quantity_of
from assistant.core.quantities.saying import say_amount, say_level
from assistant.core.quantities.units import convert
from assistant.core.types import Phrase
from tests.fitting import FITTING, NAMES

SHELF = Library()
NEAR = read_yaml(data_folder("procedures") / "phrases" / "near.yaml")
BADLY_HEARD = read_yaml(data_folder("procedures") / "phrases" / "badly-heard.yaml")
LONGEST_SENTENCE = 25
"""Words that one spoken sentence may have at most; a checklist item of aviation is shorter still."""

jobs = pytest.mark.parametrize("job", SHELF.jobs(), ids=lambda job: job.id)
fitting = pytest.mark.parametrize(("job", "vehicle"), FITTING, ids=NAMES)


@pytest.fixture(scope="module")
def at_once() -> dict[str, tuple[Phrase, ...]]:
    """All that may be allowed at once in any job."""
    general = SHELF.phrases()
    return {f"{job.id}: {name}": found for job in SHELF.jobs() for name, found in situations(job, general).items()}


@pytest.fixture(scope="module")
def phrases(at_once: dict[str, tuple[Phrase, ...]]) -> tuple[Phrase, ...]:
    return tuple(dict.fromkeys(phrase for found in at_once.values() for phrase in found))


@pytest.fixture(scope="module")
def likeness(phrases: tuple[Phrase, ...]) -> Likeness:
    return Likeness([talk(), *BADLY_HEARD, *(phrase.says for phrase in phrases)], SHELF.rules(), pronounce)


def test_meanings_that_may_be_said_at_once_sound_different(at_once, likeness: Likeness) -> None:
    excepted = {frozenset(pair["words"]): pair["reason"] for pair in NEAR["pairs"]}
    broken = {f"{name}: {fault}" for name, found in at_once.items() for fault in too_near(found, likeness, excepted)}
    assert not broken


def test_every_exception_is_needed_and_has_a_reason(at_once, likeness: Likeness) -> None:
    near = [frozenset(pair.near.words) for found in at_once.values() for pair in pairs(found, likeness, limit)]
    for pair in NEAR["pairs"]:
        assert frozenset(pair["words"]) in near, pair
        assert len(pair["reason"].split()) > 5, pair


def test_every_meaning_can_be_said_in_two_ways_that_sound_different(at_once, likeness: Likeness) -> None:
    broken = {f"{name}: {fault}" for name, found in at_once.items() for fault in one_way_only(found, likeness)}
    assert not broken


def test_phrases_that_matter_are_long_enough_and_unlike_talk(phrases, likeness: Likeness) -> None:
    assert not list(too_short(phrases, pronounce, [short["words"] for short in NEAR["short"]]))
    assert not list(like_talk(phrases, likeness))


def test_no_phrase_allows_what_is_heard_badly(phrases, likeness: Likeness) -> None:
    assert not list(badly_heard(phrases, likeness, BADLY_HEARD))


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


@jobs
def test_every_step_says_short_sentences(job: Procedure) -> None:
    for step in job.steps:
        for text in step.texts():
            for sentence in re.split(r"[.!?:] ", text):
                assert len(sentence.split()) <= LONGEST_SENTENCE, (step.id, sentence)


@fitting
def test_every_name_in_braces_is_known(job: Procedure, vehicle: Vehicle) -> None:
    known = {*job.values, *job.computed, VERDICT}
    built = {tag.split(":")[0] for group in job.groups for tag in group.tags}
    tags = set(vehicle.tags)
    for step in job.steps:
        fits = not any(tag.split(":")[0] in built and tag not in tags for tag in step.when)
        for text in step.texts():
            for name in names_in(text):
                assert name in known or not fits or name in vehicle.notes, (step.id, name)


@jobs
def test_every_way_under_the_car_asks_for_the_five_proofs(job: Procedure) -> None:
    for step in job.steps:
        if step.where not in ("under", "arch"):
            continue
        for lift in ("lift:stands", "lift:ramps"):
            asks = [ask for gate in step.needs for ask in job.gate(gate).asks if ask.applies(frozenset({lift}))]
            proven = {proof for ask in asks for proof in ask.proves}
            assert proven >= SUPPORT, step.id


@pytest.mark.parametrize("vehicle", SHELF.vehicles(), ids=lambda vehicle: vehicle.id)
def test_every_value_of_a_vehicle_is_asked_for_by_a_job_and_has_a_source(vehicle: Vehicle) -> None:
    asked = {name for job in SHELF.jobs() for name in job.values}
    assert asked.issuperset(vehicle.values)
    assert all("invented" in spec.source for spec in (*vehicle.values.values(), *vehicle.notes.values()))


@fitting
def test_every_value_is_plausible(job: Procedure, vehicle: Vehicle) -> None:
    for name, wanted in job.values.items():
        spec = vehicle.values.get(name)
        if not spec:
            continue
        assert spec.value.kind is wanted.kind
        value = convert(spec.value, wanted.least.unit).magnitude
        assert wanted.least.magnitude <= value <= convert(wanted.most, wanted.least.unit).magnitude
    for part in job.parts:
        if part.torque and part.torque in vehicle.values:
            assert agrees(vehicle.values[part.torque].value, vehicle.values[part.torque].value)
