"""One rule for the end of speech, with the real voice detector and the real engines, on real recordings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest

from assistant import wiring
from assistant.adapters.sound_file import read_sound
from assistant.core.hearing.sound.pauses import LONG_END, LOOK, SECOND_LOOK, SHORT_END
from assistant.core.hearing.sound.segmenting import Segmenter
from assistant.core.types import RATE, Heard, Phrase, Utterance, Verdict
from assistant.path.ears import Ears
from assistant.path.stream import Spoken, Stream
from assistant.ports import Recogniser

DATA = Path(__file__).parent / "adapters" / "data"
DIGITS = Path(__file__).resolve().parents[2] / "shared" / "speech" / "digits"
OTHER_TALK = Path(__file__).parents[1] / "procedures" / "demo" / "oil-and-filter" / "05.ogg"
BLOCK = 512
PHRASES = (Phrase("torque", "what torque"), Phrase("value", "<volume> [in]"), Phrase("value", "<number>"))


@pytest.fixture(scope="module")
def ears(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Ears]:
    rules = wiring.library(tmp_path_factory.mktemp("data")).rules()
    ears = Ears(wiring.phrasebook(rules), wiring.chosen_recognisers(Path(), ["moonshine"], rules))
    yield ears
    ears.close()


def spoken(ears: Ears, sound: np.ndarray) -> list[Spoken]:
    stream = Stream(ears, wiring.SileroVoice(), Segmenter())
    padded = np.pad(sound, (RATE // 2, -len(sound) % BLOCK + 2 * RATE))
    blocks = padded[: len(padded) // BLOCK * BLOCK].reshape(-1, BLOCK).astype(np.float32)
    found = [stream.push(block, lambda: PHRASES) for block in blocks]
    return [one for one in found if one]


def test_a_whole_phrase_is_answered_after_a_short_silence(ears: Ears) -> None:
    [one] = spoken(ears, read_sound(DATA / "what_torque.flac"))
    assert (one.match.verdict, one.match.best and one.match.best.words) == (Verdict.ACCEPTED, "what torque")
    assert SHORT_END <= one.utterance.waited < SHORT_END + 0.1


def test_other_talk_is_waited_for_longer_and_left_alone(ears: Ears) -> None:
    [one] = spoken(ears, read_sound(OTHER_TALK))
    assert one.match.verdict is Verdict.NOT_FOR_ME
    assert one.utterance.waited >= LONG_END


@dataclass
class Asked:
    """The real engine, and how much sound it was asked about each time."""

    engine: Recogniser
    name: str = "asked"
    samples: list[int] = field(default_factory=list)
    amid_talk: list[bool] = field(default_factory=list)

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        self.amid_talk.append(utterance.amid_talk)
        self.samples.append(len(utterance.samples))
        return self.engine.hear(utterance, phrases)

    def close(self) -> None:
        self.engine.close()


def test_an_engine_works_while_the_silence_is_waited_for_and_is_asked_once_again(ears: Ears) -> None:
    asked = Asked(ears.engines[0])
    [one] = spoken(Ears(ears.phrasebook, [asked]), read_sound(OTHER_TALK))
    whole = len(one.utterance.samples)
    waited = [(LONG_END - looked) * RATE for looked in (LOOK, SECOND_LOOK)]
    assert asked.samples[-2:] == [pytest.approx(whole - each, abs=BLOCK) for each in waited]


def test_a_whole_phrase_is_heard_once(ears: Ears) -> None:
    asked = Asked(ears.engines[0])
    [one] = spoken(Ears(ears.phrasebook, [asked]), read_sound(DATA / "what_torque.flac"))
    assert asked.samples == [pytest.approx(len(one.utterance.samples) - (SHORT_END - LOOK) * RATE, abs=BLOCK)]


@dataclass
class Voice:
    """The real detector, and how often it began anew."""

    detector: wiring.SileroVoice
    begun: int = 0

    def __call__(self, block: np.ndarray) -> float:
        return self.detector(block)

    def reset(self) -> None:
        self.begun += 1
        self.detector.reset()


def test_the_voice_detector_does_not_get_used_to_a_noise(ears: Ears) -> None:
    voice = Voice(wiring.SileroVoice())
    stream = Stream(ears, voice, Segmenter())
    hiss = np.random.default_rng(3).normal(0, 0.01, 10 * RATE // BLOCK * BLOCK).astype(np.float32)
    assert not any(stream.push(block, lambda: PHRASES) for block in hiss.reshape(-1, BLOCK))
    assert voice.begun == 3
    command = read_sound(DATA / "what_torque.flac")
    sound = np.pad(command, (0, -len(command) % BLOCK + 32 * BLOCK)).reshape(-1, BLOCK)
    [one] = [one for block in sound if (one := stream.push(block, lambda: PHRASES))]
    assert one.match.verdict is Verdict.ACCEPTED
    assert voice.begun == 4  # not while somebody speaks, and at the end of it


@pytest.mark.parametrize(
    ("sentences", "pause", "amid"), [(1, 1.0, True), (1, 2.5, False), (2, 5.0, True), (2, 10.5, False)]
)
def test_what_follows_closely_on_other_talk_is_known_to(ears: Ears, sentences: int, pause: float, amid: bool) -> None:
    asked = Asked(ears.engines[0])
    command = read_sound(DATA / "what_torque.flac")
    [one] = spoken(ears, read_sound(OTHER_TALK))
    sentence = one.utterance.samples[: -int(one.utterance.waited * RATE)]  # twice without a pause is one utterance
    sound = np.concatenate([np.tile(sentence, sentences), np.zeros(int(pause * RATE), np.float32), command])
    talk, meant = spoken(Ears(ears.phrasebook, [asked]), sound)
    assert (talk.match.verdict, meant.match.verdict) == (Verdict.NOT_FOR_ME, Verdict.ACCEPTED)
    assert not asked.amid_talk[0]
    assert asked.amid_talk[-1] is amid


@pytest.mark.skipif(not DIGITS.is_dir(), reason="the digit recordings are not here")
def test_a_number_is_not_cut_where_it_may_go_on(ears: Ears) -> None:
    # Free Spoken Digit Dataset (CC BY-SA 4.0): single digits of one person, spoken apart with half a second between.
    digits = [read_sound(DIGITS / f"{digit}_jackson_{take}.wav") for digit, take in ((3, 7), (8, 7))]
    pause = np.zeros(int(0.5 * RATE), np.float32)
    [one] = spoken(ears, np.concatenate([digits[0], pause, digits[1]]))
    assert one.match.best
    assert one.match.best.words == "three eight"
    assert one.utterance.waited >= LONG_END


def test_what_is_forgotten_is_not_heard(ears: Ears) -> None:
    stream = Stream(ears, wiring.SileroVoice(), Segmenter())
    sound = np.pad(read_sound(DATA / "what_torque.flac"), (RATE // 2, 0))
    blocks = sound[: len(sound) // BLOCK * BLOCK].reshape(-1, BLOCK).astype(np.float32)
    assert not any(stream.push(block, lambda: PHRASES) for block in blocks[: len(blocks) * 2 // 3])
    assert stream.speaking
    stream.forget()
    assert not stream.speaking
    assert not any(stream.push(np.zeros(BLOCK, np.float32), lambda: PHRASES) for _ in range(60))
