"""Contraries that are spoken, by live synthetic voices to the real engines: none is taken for what it denies."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from shutil import which

import numpy as np
import pytest

from assistant import wiring
from assistant.core.hearing.phrases import situations
from assistant.core.hearing.sound.mixing import mixed
from assistant.core.types import RATE, Phrase, Utterance, Verdict
from assistant.path.ears import Ears
from tests.benchmarks.sounds import compressor, say

pytestmark = pytest.mark.skipif(not (which("flite") and which("espeak-ng")), reason="needs flite and espeak-ng")
VOICES = ("flite slt", "flite awb", "espeak-ng en-gb")
CLAIM = (
    Phrase("claim", "[the] valve is tight", affirms=True),
    Phrase("claim", "I turned the valve tight", affirms=True),
)
PUSH = (Phrase("option", "[it] stayed completely still", "firm", affirms=True),
        Phrase("option", "it moved", "moved", affirms=True))  # fmt: skip


@pytest.fixture(scope="module")
def ears(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Ears]:
    rules = wiring.library(tmp_path_factory.mktemp("data")).rules()
    ears = Ears(wiring.phrasebook(rules), wiring.chosen_recognisers(Path(), ["moonshine", "whisper"], rules))
    yield ears
    ears.close()


@pytest.fixture(scope="module")
def general() -> tuple[Phrase, ...]:
    """What may be said in every job, beside the question."""
    shelf = wiring.library(Path())
    return next(
        found for job in shelf.jobs() for name, found in situations(job, shelf.phrases()).items() if "finished" in name
    )


def heard(ears: Ears, text: str, voice: str, folder: Path, phrases: tuple[Phrase, ...], noise_db: float | None):
    sound = say(text, voice, folder)
    if noise_db is not None:
        sound = mixed(sound, compressor(len(sound), 1), noise_db, 1).samples
    return ears.hear(Utterance(np.asarray(sound, np.float32), 0, snr_db=noise_db, voiced=len(sound) / RATE), phrases)


@pytest.mark.parametrize("noise_db", [None, 10.0])
@pytest.mark.parametrize("voice", VOICES)
@pytest.mark.parametrize(
    ("question", "text"),
    [(CLAIM, "the valve is not tight"), (CLAIM, "the valve isn't tight yet"), (CLAIM, "I think the valve is tight"),
     (CLAIM, "I have not turned the valve tight"), (PUSH, "it did not stay completely still"),
     (PUSH, "it never stayed completely still")],
)  # fmt: skip
def test_a_contrary_is_never_affirmed(
    ears: Ears, general, tmp_path: Path, question: tuple[Phrase, ...], text: str, voice: str, noise_db: float | None
) -> None:
    match = heard(ears, text, voice, tmp_path, (*general, *question), noise_db)
    assert match.verdict is not Verdict.ACCEPTED or not match.best or not match.best.phrase.affirms


@pytest.mark.parametrize("voice", VOICES)
@pytest.mark.parametrize(
    ("question", "text", "denied"),
    [(CLAIM, "the valve is not tight", "claim"), (PUSH, "it did not stay completely still", "option:firm")],
)  # fmt: skip
def test_in_quiet_a_plain_contrary_is_a_denial(
    ears: Ears, general, tmp_path: Path, question: tuple[Phrase, ...], text: str, denied: str, voice: str
) -> None:
    match = heard(ears, text, voice, tmp_path, (*general, *question), None)
    assert match.verdict is Verdict.ACCEPTED
    assert match.best
    assert (match.best.phrase.intent, match.best.phrase.option) == ("denied", denied)


@pytest.mark.parametrize("voice", VOICES)
@pytest.mark.parametrize(("question", "text"), [(CLAIM, "the valve is tight"), (PUSH, "it stayed completely still")])
def test_what_affirms_is_still_taken(
    ears: Ears, general, tmp_path: Path, question: tuple[Phrase, ...], text: str, voice: str
) -> None:
    match = heard(ears, text, voice, tmp_path, (*general, *question), None)
    assert (match.verdict, match.best and match.best.words) == (Verdict.ACCEPTED, text)
