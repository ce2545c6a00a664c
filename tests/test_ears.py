"""Which engines are asked for what, and what becomes of those that fail: real ones, really stopped."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from assistant import wiring
from assistant.adapters.sound_file import read_sound
from assistant.core.hearing.contraries.left_over import LeftOver, Turn
from assistant.core.types import RATE, Heard, Hypothesis, Phrase, Utterance, Verdict, Weighed
from assistant.path.ears import Ears
from tests.talk import Talk

SOUND = Path(__file__).parent / "adapters" / "data" / "what_torque.flac"
PHRASES = (Phrase("torque", "what torque"), Phrase("open", "what is open"))


@pytest.mark.parametrize(("voiced", "verdict"), [(0.5, Verdict.ACCEPTED), (0.3, Verdict.NOT_FOR_ME)])
def test_more_words_than_can_be_said_in_a_time_were_not_said(talk: Talk, voiced: float, verdict: Verdict) -> None:
    ears = Ears(talk.phrasebook, wiring.chosen_recognisers(Path(), ["moonshine"], talk.library.rules()))
    try:
        # "what torque" has eleven letters, and nobody says more than thirty in a second
        assert ears.hear(Utterance(read_sound(SOUND), 0, voiced=voiced), PHRASES).verdict is verdict
    finally:
        ears.close()


@pytest.mark.parametrize("around", [{"amid_talk": True}, {"snr_db": 5.0}])
def test_amid_other_talk_and_in_noise_a_phrase_has_to_be_nearer(talk: Talk, around: dict[str, Any]) -> None:
    phrases = (Phrase("next", "next step"), Phrase("last", "last step"))
    # nine letters and two to spare, at -0.3 a letter: between the two thresholds
    heard = Heard(allowed=(Weighed("next step", -0.3 * 11), Weighed("last step", -20.0)))
    utterance = Utterance(np.zeros(RATE, np.float32), 0, snr_db=30.0)
    books = [talk.phrasebook.around(one) for one in (utterance, replace(utterance, **around))]
    usual, strict = (book.judge([heard], phrases) for book in books)
    assert (usual.verdict, strict.verdict) == (Verdict.ACCEPTED, Verdict.UNCLEAR)
    assert books[1].in_doubt(strict, heard, phrases)


@dataclass
class Told:
    """An engine that answers as it was told, and counts how often it was asked."""

    written: str
    allowed: dict[str, float]
    likely: dict[str, float]
    name: str = "told"
    engine: str = "told"
    asked: int = 0

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        self.asked += 1
        texts = (Hypothesis(self.written, -0.1, self.engine),) if self.written else ()
        return Heard(texts, tuple(Weighed(words, value) for words, value in self.allowed.items()))

    def weigh(self, utterance: Utterance, texts: Sequence[str], heard: Heard) -> tuple[Weighed, ...]:
        likely = {text: (self.allowed | self.likely).get(text, -50.0) for text in texts}
        return tuple(Weighed(text, value, len(text) + value) for text, value in likely.items())

    def close(self) -> None:
        pass


WHEELS = (Phrase("front", "both front wheels"), Phrase("back", "both back wheels"), Phrase("open", "what is open"))
SECOND_OF_SOUND = Utterance(np.zeros(RATE, np.float32), 0)


def test_the_second_engine_is_asked_only_where_the_first_is_not_sure(talk: Talk) -> None:
    first, second = Told("both front wheels", {"both front wheels": 0.0}, {}), Told("", {}, {})
    assert Ears(talk.phrasebook, [first, second]).hear(SECOND_OF_SOUND, WHEELS).verdict is Verdict.ACCEPTED
    assert (first.asked, second.asked) == (1, 0)


def test_a_phrase_that_the_first_engine_never_thought_of_is_found_by_what_was_written(talk: Talk) -> None:
    # "more front wheel" sounds like one phrase; the engine that wrote it had another in mind, and holds both possible
    first = Told("More front wheel.", {"what is open": -19.0}, {"both front wheels": -6.0})
    second = Told("Both front wheel.", {}, {"both front wheels": -3.0})
    match = Ears(talk.phrasebook, [first, second]).hear(SECOND_OF_SOUND, WHEELS)
    assert (match.verdict, match.best and match.best.words) == (Verdict.ACCEPTED, "both front wheels")
    assert second.asked == 1


def test_what_two_engines_have_right_in_parts_is_weighed_as_a_whole(talk: Talk) -> None:
    phrases, whole, half = (Phrase("value", "<volume>"),), "three point eight litres", "four point eight litres"
    first = Told("4.8 litres.", {half: -12.0}, {whole: -9.0})
    second = Told("3.1 litres.", {}, {whole: -3.0, half: -20.0})
    match = Ears(talk.phrasebook, [first, second]).hear(SECOND_OF_SOUND, phrases)
    assert (match.verdict, match.best and match.best.words) == (Verdict.ACCEPTED, whole)


def test_an_engine_that_wrote_nothing_speaks_against_every_phrase(talk: Talk) -> None:
    first = Told("Both fronds.", {"both front wheels": -12.0}, {})
    second = Told("", {}, {"both front wheels": 0.0})
    assert Ears(talk.phrasebook, [first, second]).hear(SECOND_OF_SOUND, WHEELS).verdict is not Verdict.ACCEPTED


def test_a_number_is_weighed_beside_its_twin_however_sure_the_first_engine_is(talk: Talk) -> None:
    phrases = (Phrase("value", "<volume>"),)
    first = Told("Fifteen litres.", {"fifteen litres": 0.0, "fifty litres": -9.0}, {})
    second = Told("50 litres.", {}, {"fifteen litres": -6.0, "fifty litres": 0.0})
    match = Ears(talk.phrasebook, [first, second]).hear(SECOND_OF_SOUND, phrases)
    assert match.verdict is Verdict.UNCLEAR
    assert {found and found.words for found in (match.best, match.runner_up)} == {"fifteen litres", "fifty litres"}
    sure = Told("Twelve litres.", {"twelve litres": 0.0, "fifty litres": -9.0}, {})
    assert Ears(talk.phrasebook, [sure, second]).hear(SECOND_OF_SOUND, phrases).verdict is Verdict.ACCEPTED
    assert second.asked == 1


@pytest.mark.parametrize(("voiced", "asked"), [(3.5, 0), (1.5, 1), (None, 1)])
def test_who_talks_on_is_not_asked_about(talk: Talk, voiced: float | None, asked: int) -> None:
    first = Told("What is open on a day like this, if not the road to the sea.", {"what is open": -3.0}, {})
    second = Told("", {}, {})
    match = Ears(talk.phrasebook, [first, second]).hear(replace(SECOND_OF_SOUND, voiced=voiced), WHEELS)
    assert second.asked == asked
    assert asked or match.verdict is Verdict.NOT_FOR_ME


def test_a_long_number_is_no_talk_though_the_first_engine_holds_only_short_ones_likely(talk: Talk) -> None:
    phrases = (Phrase("value", "the odometer shows <distance>"), Phrase("stop", "stop"))
    first = Told("The odometer shows 84,200 kilometers.", {"stop": -3.0}, {})
    second = Told("", {}, {})
    Ears(talk.phrasebook, [first, second]).hear(replace(SECOND_OF_SOUND, voiced=3.5), phrases)
    assert second.asked == 1


def test_far_from_every_phrase_nobody_else_is_asked(talk: Talk) -> None:
    first, second = Told("A long talk about the weather.", {"what is open": -60.0}, {}), Told("", {}, {})
    assert Ears(talk.phrasebook, [first, second]).hear(SECOND_OF_SOUND, WHEELS).verdict is Verdict.NOT_FOR_ME
    assert second.asked == 0


CAP = (Phrase("claim", "the filler cap is tight", affirms=True), Phrase("open", "what is open"))


@pytest.mark.parametrize(
    ("written", "verdict"),
    [("The filler cap is tight.", Verdict.ACCEPTED), ("The filler cap is not tight.", Verdict.UNCLEAR),
     ("The filler cap isn't tight.", Verdict.UNCLEAR), ("Is the filler cap tight?", Verdict.UNCLEAR),
     ("I think the filler cap is tight.", Verdict.UNCLEAR), ("The filler cap will be tight.", Verdict.UNCLEAR),
     ("The filler cap is loose.", Verdict.UNCLEAR), ("The feeler gap is tight.", Verdict.ACCEPTED)],
)  # fmt: skip
def test_what_affirms_is_asked_again_where_an_engine_wrote_a_word_that_turns_it(
    talk: Talk, written: str, verdict: Verdict
) -> None:
    sure = Told(written, {"the filler cap is tight": 0.0}, {})
    match = Ears(talk.phrasebook, [sure]).hear(SECOND_OF_SOUND, CAP)
    assert (match.verdict, match.best and match.best.words) == (verdict, "the filler cap is tight")
    if verdict is Verdict.UNCLEAR:
        assert match.runner_up
        assert (match.runner_up.phrase.intent, match.runner_up.phrase.option) == ("denied", "claim")


OPEN = (Phrase("option", "out in the yard", option="yard", affirms=True), Phrase("open", "what is open"))


@pytest.mark.parametrize(
    ("written", "verdict"),
    [(("No, out in the yard.", "No, out in the yard."), Verdict.UNCLEAR),
     (("Now out in the yard.", "No out in the yard."), Verdict.ACCEPTED),
     (("Not out in a car.", "Not out in a car."), Verdict.ACCEPTED)],
)  # fmt: skip
def test_a_turning_word_that_all_engines_wrote_beside_the_very_phrase_was_said(
    talk: Talk, written: tuple[str, str], verdict: Verdict, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(LeftOver, "heard_turn", lambda *_: Turn.NONE)  # however much it sounds like another word
    held = {"out in the yard": 0.0}
    engines = [
        Told(text, {"out in the yard": -5.0} if number == 0 else held, held) for number, text in enumerate(written)
    ]
    match = Ears(talk.phrasebook, engines).hear(SECOND_OF_SOUND, OPEN)
    assert (match.verdict, match.best and match.best.words) == (verdict, "out in the yard")


def test_contraries_are_heard_where_only_what_affirms_was_given(talk: Talk) -> None:
    sure = Told("The filler cap isn't tight.", {"the filler cap isn't tight": 0.0}, {})
    match = Ears(talk.phrasebook, [sure]).hear(SECOND_OF_SOUND, CAP)
    assert match.verdict is Verdict.ACCEPTED
    assert match.best
    assert (match.best.phrase.intent, match.best.phrase.option) == ("denied", "claim")


def test_the_contrary_that_sounds_most_like_what_was_written_is_weighed_too(talk: Talk) -> None:
    # the first engine never thought of it, and both hold it as likely as what affirms
    first = Told("The filler cap is in tight.", {"the filler cap is tight": -9.0}, {"the filler cap isn't tight": -9.0})
    second = Told("The filler cap is tight.", {}, {"the filler cap is tight": 0.0, "the filler cap isn't tight": -1.0})
    match = Ears(talk.phrasebook, [first, second]).hear(SECOND_OF_SOUND, CAP)
    assert match.verdict is Verdict.UNCLEAR
    assert match.runner_up
    assert match.runner_up.words == "the filler cap isn't tight"


def test_where_only_questions_may_be_asked_nothing_is_denied(talk: Talk) -> None:
    assert tuple(talk.phrasebook.with_contraries(WHEELS)) == WHEELS
