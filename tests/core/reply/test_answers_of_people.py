"""What people answer to every question of the oil job becomes what it should; what fits nothing moves nothing on."""

from __future__ import annotations

import random
import re
import string
from collections.abc import Iterator
from itertools import islice

import pytest

from assistant.adapters.library import Library
from assistant.core.hearing.verdict.matching import Phrasebook
from assistant.core.job.question import Waiting, question
from assistant.core.job.state import State
from tests.benchmarks.answers import ANSWERS, Place, Room, expected_of, questions_of, tried
from tests.benchmarks.sayings import other_talk
from tests.conftest import ROOT

FEWEST = 10
"""So many answers has every question."""
CHANCE = 1
"""Seed of the sentences by chance."""
OWNED = 5
"""So many of the answers are given at no other question by a group."""
NOT_OF_THIS_JOB = {Waiting.OUT, Waiting.NEW, Waiting.TURN}
"""What only other jobs ask: how to stop, whether something is new, a turn after the torque."""
NEVER_EVIDENCE = ("yes", "yeah", "ok", "okay", "done", "sure", "right", "yes please", "okay done", "fine", "good")
"""What shows nobody that somebody looked."""


@pytest.fixture(scope="module")
def room(library: Library, phrasebook: Phrasebook) -> Room:
    return Room(library, phrasebook)


@pytest.fixture(scope="module")
def places(room: Room) -> dict[str, Place]:
    return room.places()


def test_every_question_of_the_job_is_reached_and_has_its_answers(room: Room, places: dict[str, Place]) -> None:
    asked = questions_of(room.job)
    assert asked - set(places) == set()
    assert asked - set(ANSWERS["answers"]) == set()
    assert set(ANSWERS["answers"]) - set(places) == set()
    for name in ANSWERS["answers"]:
        answers = [text for text, _ in expected_of(name)]
        assert len(set(answers)) == len(answers), name
        assert len(answers) >= FEWEST, name
        assert sum(len(texts) for outcome, texts in ANSWERS["answers"][name].items() if outcome != "like") >= OWNED, (
            name
        )


def test_every_answer_becomes_what_it_should(room: Room, places: dict[str, Place]) -> None:
    cases = list(tried(room, places, list(ANSWERS["answers"])))
    assert not [(case.question, case.answer, case.expected, case.came, case.said) for case in cases if not case.right]
    assert all(case.said for case in cases if case.came != "left alone")


def test_nothing_that_shows_nothing_is_evidence(room: Room, places: dict[str, Place]) -> None:
    asked = [place for place in places.values() if question(place.state).waiting in (Waiting.EVIDENCE, Waiting.CONFIRM)]
    assert len(asked) > FEWEST
    for place in asked:
        for text in NEVER_EVIDENCE:
            assert what_matters(room.answer(place, text).state) == what_matters(place.state), (text, place.state.step)


def what_matters(state: State) -> tuple[object, ...]:
    """Return what must not change by what was not meant: all but what waits, and what is done about care."""
    return (
        state.step, state.path, state.gates, state.evidence, state.ledger, state.torques, state.readings,
        state.choices, state.told, state.tools, state.conditions, state.unsure, state.drained, state.finished_at,
    )  # fmt: skip


def of_each_kind(places: dict[str, Place]) -> dict[str, Place]:
    """Return a place for each kind of question, several where numbers, answers and names are asked for."""
    named = ("evidence:place/ground", "evidence:under-car/stands", "evidence:place/rating", "odometer",
             "dipstick", "pour-first", "confirm:the drain plug", "confirm:oil capacity with filter",
             "confirm:going under the car", "are you all right")  # fmt: skip
    found = {name: places[name] for name in named}
    for name, place in places.items():
        if question(place.state).waiting not in {question(other.state).waiting for other in found.values()}:
            found[name] = place
    return found


def sentences(room: Room, chance: random.Random) -> Iterator[str]:
    """Yield a hundred lines: other talk, what is written of the program, the job's own texts, and nonsense."""
    talk = [text[: chance.randrange(20, 200)] for text in islice(other_talk(), 200)]
    prose = [" ".join(part.split())[:200] for part in re.split(r"\n\n+", (ROOT / "README.md").read_text("utf-8"))]
    own = [text for step in room.job.steps for text in (step.say, step.why, *step.cautions)]
    own += [text for gate in room.job.gates for ask in gate.asks for text in (ask.ask, ask.denied)]
    for texts in (talk, prose, own):
        yield from chance.sample(texts, 20)
    signs = string.ascii_lowercase + "     " + string.punctuation
    yield from ("".join(chance.choices(signs, k=chance.randrange(1, 60))) for _ in range(20))
    yield from (f"{chance.uniform(-1e6, 1e6):.{chance.randrange(6)}f}{sign}" for sign in "×%°€-/^~")
    yield from ("", " ", '""', "''", "“”", "👍", "🔧🔧🔧 ok 🔧", "½¼¾", "-5", "+7", "1e9", "0x1F", "ß", "\t\n", "…")


def longest(chance: random.Random) -> str:
    """Return a line that nobody reads to its end."""
    return " ".join(chance.choices(("oil", "two", "not", "the", "filter", "half", "and", "is"), k=120))


def test_lines_by_chance_move_nothing_on(room: Room, places: dict[str, Place]) -> None:
    chance = random.Random(CHANCE)
    lines = [*islice(sentences(room, chance), 100)]
    kinds = of_each_kind(places)
    assert len(lines) == 100
    assert {question(place.state).waiting for place in kinds.values()} == set(Waiting) - NOT_OF_THIS_JOB
    for name, place in kinds.items():
        for line in (*lines, longest(chance)):
            turn = room.answer(place, line)
            assert what_matters(turn.state) == what_matters(place.state), (name, line)
            assert not turn.state.pending or turn.state.pending == place.state.pending, (name, line)
            assert turn.reply.say or place.state.paused, (name, line)
            assert place.state.paused or not turn.state.paused, (name, line)
