"""What may be said about a car: at each question far apart, long enough, and heard as what it means."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library, data_folder, read_yaml
from assistant.core.car_talk.given import Given, Ground, Talk, Topic, asked
from assistant.core.car_talk.phrases import allowed
from assistant.core.car_talk.words import question
from assistant.core.hearing.near.likeness import Likeness
from assistant.core.hearing.near.phrase_rules import badly_heard, too_near, too_short
from assistant.core.types import Phrase

SHELF = Library()
NEAR = read_yaml(data_folder("procedures") / "phrases" / "near.yaml")
BADLY_HEARD = read_yaml(data_folder("procedures") / "phrases" / "badly-heard.yaml")
NOUGHTS = {
    frozenset(("oh point oh", "i don't know")): "People say so anyway. A value of nothing is refused, and asked again.",
    frozenset(("oh two nine oh", "i do not know")): "As above: no value on a car is told with a nought before it.",
}
JOB = SHELF.job("oil-and-filter")
GROUND = Ground.of((JOB,), frozenset({"hatchback"}), SHELF.tables(), "2026-03-14")
TOLD = (
    Given(Topic.NAME, what="The hatchback"),
    Given(Topic.TAKEN, "hatchback", "both"),
    Given(Topic.UNITS, what="metric"),
    Given(Topic.BUILT, "filter:cartridge filter:spin-on", "filter:cartridge"),
    Given(Topic.BUILT, "tray:fitted", ""),
)
VALUES = tuple(
    given
    for name, text in (("oil-capacity", "4.3 L"), ("dipstick-span", "1 L"), ("drain-plug-torque", "30 N·m"))
    for given in (Given(Topic.VALUE, name, text), Given(Topic.SOURCE, name, "manual"))
)


def questions() -> Iterator[Talk]:
    """Yield a talk at each kind of question."""
    yield Talk(GROUND, kept=TOLD)
    every = (*TOLD, *VALUES)
    for count in range(len(every) + 1):
        yield Talk(GROUND, every[:count])
    yield Talk(GROUND, (*every, Given(Topic.ENOUGH)))
    yield Talk(Ground.of((JOB, JOB.model_copy(update={"id": "pads", "title": "Brake pads"})), frozenset(), {}, ""))


TALKS = {f"{place} {asked(talk).topic} {asked(talk).about}": talk for place, talk in enumerate(questions())}


def may_be_said(talk: Talk) -> tuple[Phrase, ...]:
    return allowed(talk, SHELF.phrases(), SHELF.rules())


@pytest.fixture(scope="module")
def likeness() -> Likeness:
    says = dict.fromkeys(phrase.says for talk in TALKS.values() for phrase in may_be_said(talk))
    return Likeness([*BADLY_HEARD, *says], SHELF.rules(), pronounce)


def test_meanings_sound_different_at_each_question(likeness: Likeness) -> None:
    excepted = {frozenset(pair["words"]): pair["reason"] for pair in NEAR["pairs"]} | NOUGHTS
    broken = {
        f"{name}: {fault}" for name, talk in TALKS.items() for fault in too_near(may_be_said(talk), likeness, excepted)
    }
    assert not broken, "\n".join(sorted(broken))


def test_phrases_are_long_enough_and_none_is_heard_badly(likeness: Likeness) -> None:
    phrases = tuple(dict.fromkeys(phrase for talk in TALKS.values() for phrase in may_be_said(talk)))
    assert not list(too_short(phrases, pronounce))
    assert not list(badly_heard(phrases, likeness, BADLY_HEARD))


@pytest.mark.parametrize("talk", TALKS.values(), ids=TALKS)
def test_questions_are_short_and_without_figures(talk: Talk) -> None:
    said = question(talk, typed=False)
    assert not any(sign.isdigit() or sign in "{}_" for sign in said), said
    assert all(len(sentence.split()) <= 25 for sentence in said.replace("?", ".").replace(":", ".").split(". ")), said
