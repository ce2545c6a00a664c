"""Which of several jobs is meant, and how they are offered. The jobs and cars are invented."""

from __future__ import annotations

import pytest

from assistant import wiring
from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.grammar.parsing import parse
from assistant.core.grammar.word_graph import word_graph
from assistant.core.job.which_job import Offer, called, offer, phrases
from assistant.core.types import Hypothesis, Verdict

PICKUP, HATCHBACK = "Bannockfield Heron 2.5 pickup (invented)", "Tarnwick Plover 1.6 petrol (invented)"
OIL, BRAKES = "Engine oil and filter change", "Front brake pads"
OIL_OF_PICKUP = Offer("1", OIL, PICKUP, "Let it drain")
OIL_OF_HATCHBACK = Offer("2", OIL, HATCHBACK, "Tools")
BRAKES_OF_PICKUP = Offer("3", BRAKES, PICKUP, "Wheel off")
LABELLED = Offer("4", OIL, PICKUP, "Tools", label="Friday's change")
TWICE = (OIL_OF_PICKUP, Offer("5", OIL, PICKUP, "Tools"))


def meant(offers: tuple[Offer, ...], text: str) -> set[str]:
    """Return the jobs that a text calls, word for word."""
    words = text.lower().split()
    return {
        phrase.option or phrase.intent
        for phrase in phrases(offers)
        if parse(word_graph(parse_expansion(phrase.says), {}), words) is not None
    }


@pytest.mark.parametrize(
    ("offers", "text", "job"),
    [
        ((OIL_OF_PICKUP, OIL_OF_HATCHBACK), "carry on with the oil of the pickup", "1"),
        ((OIL_OF_PICKUP, OIL_OF_HATCHBACK), "carry on with the plover", "2"),
        ((OIL_OF_PICKUP, OIL_OF_HATCHBACK), "the pickup", "1"),
        ((OIL_OF_PICKUP, OIL_OF_HATCHBACK), "the second one", "2"),
        ((OIL_OF_PICKUP, OIL_OF_HATCHBACK), "the last one", "2"),
        ((OIL_OF_PICKUP, OIL_OF_HATCHBACK), "engine oil and filter change of the tarnwick plover petrol", "2"),
        ((OIL_OF_PICKUP, BRAKES_OF_PICKUP), "carry on with the brakes of the pickup", "3"),
        ((OIL_OF_PICKUP, BRAKES_OF_PICKUP), "go on with the front brake pads", "3"),
        ((LABELLED, OIL_OF_PICKUP), "continue with friday's change", "4"),
        (TWICE, "number one", "1"),
        ((OIL_OF_PICKUP, OIL_OF_HATCHBACK), "say that again", "repeat"),
    ],
)
def test_a_job_is_called_by_its_work_its_vehicle_its_name_or_its_place(
    offers: tuple[Offer, ...], text: str, job: str
) -> None:
    assert meant(offers, text) == {job}


@pytest.mark.parametrize(
    ("offers", "text"),
    [
        ((OIL_OF_PICKUP, OIL_OF_HATCHBACK), "carry on with the oil"),
        ((OIL_OF_PICKUP, OIL_OF_HATCHBACK), "engine oil and filter change"),
        ((OIL_OF_PICKUP, BRAKES_OF_PICKUP), "carry on with the pickup"),
        (TWICE, "the oil of the pickup"),
        ((OIL_OF_PICKUP, OIL_OF_HATCHBACK), "the third one"),
    ],
)
def test_what_two_jobs_share_calls_neither(offers: tuple[Offer, ...], text: str) -> None:
    assert meant(offers, text) == set()


def test_the_question_names_each_job_and_ends_with_the_words_to_say() -> None:
    assert offer((OIL_OF_PICKUP, BRAKES_OF_PICKUP), more=1) == (
        "Three jobs are unfinished. First: engine oil and filter change of the Bannockfield Heron pickup, at: let it "
        "drain. Second: front brake pads of the Bannockfield Heron pickup, at: wheel off. One more is on the screen. "
        "Which one do you carry on with? Say, for instance: carry on with the first one."
    )


@pytest.mark.parametrize(
    ("text", "jobs"),
    [("1", {"1"}), ("Friday's change", {"4"}), ("pickup", {"1", "3", "4"}), ("brakes", {"3"}), ("brake", {"3"}),
     ("oil plover", {"2"}), ("", set()), ("the", set()), ("../1", set())],
)  # fmt: skip
def test_a_written_name_calls_all_jobs_that_have_each_of_its_words(text: str, jobs: set[str]) -> None:
    every = (OIL_OF_PICKUP, OIL_OF_HATCHBACK, BRAKES_OF_PICKUP, LABELLED)
    assert {one.name for one in called(every, text)} == jobs


def test_no_denial_takes_up_a_job() -> None:
    book = wiring.phrasebook({})
    own = phrases((OIL_OF_PICKUP, OIL_OF_HATCHBACK))
    for text in ("don't carry on with the pickup", "not the pickup", "do not continue with the second one"):
        match = book.read(Hypothesis(text, 0.0, "typed"), book.with_contraries(own))
        assert not (match.verdict is Verdict.ACCEPTED and match.best and match.best.phrase.intent == "job"), text
