"""What is said where a job is stopped, and of fasteners, is understood; and its denial is never taken for it."""

from __future__ import annotations

import pytest

from assistant.adapters.library import Library
from assistant.core.hearing.phrases import allowed, situations
from assistant.core.hearing.verdict.matching import Phrasebook
from assistant.core.hearing.verdict.understanding import understand
from assistant.core.quantities.units import amount
from assistant.core.types import Hypothesis, Understanding, Verdict
from assistant.path.ears import Ears
from tests.core.job import test_fastening, test_stopping
from tests.in_short import Way


def understood(way: Way, words: str, phrasebook: Phrasebook, library: Library) -> Understanding:
    match = Ears(phrasebook).read(Hypothesis(words, 0.0, "typed"), allowed(way.state, library.phrases()))
    return understand(match, "metric")


def stopping(*more: str) -> Way:
    way = test_stopping.at_disc()
    way.do("option:crack", *more)
    return way


def at_bolt(*more: str) -> Way:
    way = Way(test_fastening.JOB, test_fastening.car())
    way.do("next", *more)
    return way


TORQUE = (test_fastening.NEW, "value=25 N·m", "confirm")
SAID = {
    "I am out": (stopping(), "out", None),
    "I am out from under the car": (stopping(), "out", None),
    "confirm leaving it on the stands": (stopping("out"), "confirm", None),
    "confirm the wheel": (stopping("out"), "confirm", "the wheel"),
    "that was wrong": (stopping("out"), "undo", None),
    "the bolt is new": (at_bolt(), "new", "bolt"),
    "I have fitted the new bolt": (at_bolt(), "new", "bolt"),
    "the bolt is not new": (at_bolt(), "denied", "new"),
    "the bolt is old": (at_bolt(), "denied", "new"),
    "confirm guide bolt": (at_bolt(*TORQUE, "value=60 °"), "confirm", None),
}  # fmt: skip


@pytest.mark.parametrize("words", [*SAID])
def test_it_is_understood(words: str, phrasebook: Phrasebook, library: Library) -> None:
    way, name, option = SAID[words]
    found = understood(way, words, phrasebook, library)
    assert found.verdict is Verdict.ACCEPTED
    assert found.intent
    assert found.intent.name == name
    assert name == "denied" or found.intent.option == option


@pytest.mark.parametrize(
    ("words", "angle"),
    [("sixty degrees", "60 °"), ("I turned it by ninety degrees", "90 °"),
     ("they are turned by half a turn", "0.5 turn"),
     ("60 °", "60 °"), ("a quarter turn", "0.25 turn")],
)  # fmt: skip
def test_an_angle_is_understood(words: str, angle: str, phrasebook: Phrasebook, library: Library) -> None:
    found = understood(at_bolt(*TORQUE), words, phrasebook, library)
    assert found.verdict is Verdict.ACCEPTED
    assert found.intent
    assert found.intent.value == amount(angle)


def test_every_question_of_these_jobs_has_its_phrases(library: Library) -> None:
    stops, fastens = (situations(job, library.phrases()) for job in (test_stopping.JOB, test_fastening.JOB))
    assert any("out" in {phrase.intent for phrase in phrases} for phrases in stops.values())
    assert any("leaving it on the stands" in phrase.says for phrases in stops.values() for phrase in phrases)
    assert any("<angle>" in phrase.says for phrases in fastens.values() for phrase in phrases)
    assert any(phrase.intent == "new" for phrases in fastens.values() for phrase in phrases)
