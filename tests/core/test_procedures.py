"""The data that travels with the program: phrases that can be told apart, words for the ear, values with sources."""

from __future__ import annotations

import re

import pytest

from assistant.adapters.library import Library
from assistant.core import facts
from assistant.core.compute.torque import agrees
from assistant.core.engine import INTENTS
from assistant.core.hearing.grammar import parse_expansion
from assistant.core.hearing.word_graph import word_graph
from assistant.core.procedure import Procedure, Vehicle, names_in
from assistant.core.units import convert

SHELF = Library()
LONGEST_SENTENCE = 25
"""Words that one spoken sentence may have at most; a checklist item of aviation is shorter still."""

jobs = pytest.mark.parametrize("job", SHELF.jobs(), ids=lambda job: job.id)
vehicles = pytest.mark.parametrize("vehicle", SHELF.vehicles(), ids=lambda vehicle: vehicle.id)


def shortest(says: str) -> int:
    """Fewest words of a phrase, by the graph of its words."""
    graph = word_graph(parse_expansion(says), SHELF.rules())
    reach = {0: 0}
    for _ in range(graph.points):
        for start, end in graph.leaps:
            if start in reach:
                reach[end] = min(reach.get(end, 99), reach[start])
        for step in graph.steps:
            if step.source in reach:
                reach[step.target] = min(reach.get(step.target, 99), reach[step.source] + 1)
    return reach[1]


def test_every_general_meaning_is_known_and_has_two_phrasings_of_two_words() -> None:
    says: dict[str, list[str]] = {}
    for phrase in SHELF.phrases():
        says.setdefault(phrase.intent, []).append(phrase.says)
    assert set(says) <= set(INTENTS)
    for intent, texts in says.items():
        assert len(texts) >= 2, intent
        assert all(shortest(text) >= 2 for text in texts), intent


@jobs
def test_every_step_says_short_sentences(job: Procedure) -> None:
    for step in job.steps:
        for text in step.texts():
            for sentence in re.split(r"[.!?:] ", text):
                assert len(sentence.split()) <= LONGEST_SENTENCE, (step.id, sentence)


@jobs
@vehicles
def test_every_name_in_braces_is_known(job: Procedure, vehicle: Vehicle) -> None:
    known = {*job.values, *facts.COMPUTED, "next-date"}
    tags = set(vehicle.tags)
    for step in job.steps:
        fits = not any(tag.split(":")[0] in ("filter", "tray") and tag not in tags for tag in step.when)
        for text in step.texts():
            for name in names_in(text):
                assert name in known or not fits or name in vehicle.notes, (step.id, name)


@jobs
def test_every_way_under_the_car_asks_for_the_five_proofs(job: Procedure) -> None:
    for step in job.steps:
        if step.where != "under":
            continue
        for lift in ("lift:stands", "lift:ramps"):
            asks = [ask for gate in step.needs for ask in job.gate(gate).asks if ask.applies(frozenset({lift}))]
            proven = {proof for ask in asks for proof in ask.proves}
            assert proven >= {"level-ground", "brake", "chocks", "support", "push-test"}, step.id


@vehicles
@jobs
def test_every_value_is_plausible_and_has_a_source(job: Procedure, vehicle: Vehicle) -> None:
    for name, spec in vehicle.values.items():
        wanted = job.values[name]
        assert spec.value.kind is wanted.kind
        value = convert(spec.value, wanted.least.unit).magnitude
        assert wanted.least.magnitude <= value <= convert(wanted.most, wanted.least.unit).magnitude
        assert "invented" in spec.source
    for part in job.parts:
        if part.torque and part.torque in vehicle.values:
            assert agrees(vehicle.values[part.torque].value, vehicle.values[part.torque].value)
