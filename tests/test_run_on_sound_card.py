"""A job as a person has it: the real program on a virtual sound card, spoken to by recordings. Skipped without one."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from queue import Queue

import numpy as np
import pytest
import soundfile

from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.speech_pyttsx3 import Pyttsx3Speech
from assistant.core.job import events as e
from tests.sound_card import LOUD, RATE, Card, Recorder, is_possible, wait_until, with_lead

pytestmark = pytest.mark.skipif(not is_possible(), reason="needs a virtual sound card: PulseAudio and PortAudio")

RECORDINGS = Path(__file__).resolve().parents[1] / "procedures" / "demo" / "oil-and-filter"

STOPS = 0.45
"""Time from the beginning of a word to silence [second]: 0.13 to know a voice, 0.2 for the loudspeaker, and the rest
for a computer that is busy with other things. On a busy one 0.18 and 0.24 were measured."""

BREATH = 0.35
"""Silence between two things that the person says [second]: the program answers so soon that there is hardly more."""


class Program:
    """The assistant at a job, and what it printed."""

    def __init__(self, card: Card, data: Path, *options: str) -> None:
        command = [sys.executable, "-m", "assistant", "run", "oil-and-filter", "--vehicle", "tarnwick-plover-16",
                   "--json", "--data", str(data), *options]  # fmt: skip
        self.card, self.data = card, data
        self.turns: Queue[dict] = Queue()
        self._process = subprocess.Popen(
            command, env=card.environment(), stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        )
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        assert self._process.stdout
        for line in self._process.stdout:
            self.turns.put(json.loads(line))

    def turn(self) -> dict:
        """Return the next turn; one that does not come fails the test."""
        return self.turns.get(timeout=60)

    def hear(self, recording: Path) -> None:
        """Play a recording into the microphone, after a short silence."""
        self.card.play(with_lead(recording, self.data / "said.wav"), "ears")

    def close(self) -> list[e.Event]:
        """End the program and return all facts of its journal."""
        self._process.terminate()
        self._process.wait(timeout=20)
        self._reader.join(timeout=10)
        if self._process.stdout:
            self._process.stdout.close()
        journal = SqliteJournal(self.data / "journal.sqlite")
        facts = [row.event for name in journal.jobs() for row in journal.read(name)]
        journal.close()
        return facts


@pytest.fixture(autouse=True)
def quiet_room(card: Card) -> Iterator[None]:
    """What the microphone hears while nobody speaks."""
    with card.room("ears"):
        yield


@pytest.fixture
def mouth(card: Card) -> Iterator[Recorder]:
    """What the loudspeaker is given."""
    recorder = Recorder(card, "mouth")
    yield recorder
    recorder.close()


@contextmanager
def room(card: Card) -> Iterator[None]:
    """The loudspeaker is heard by the microphone, a tenth of a second later."""
    module = card.control("load-module", "module-loopback", "source=mouth.monitor", "sink=ears", "latency_msec=100")
    try:
        yield
    finally:
        card.control("unload-module", module.strip())


def test_recorded_commands_are_taken_and_its_own_words_are_not(card: Card, mouth: Recorder, tmp_path: Path) -> None:
    """Half-duplex on a loudspeaker that the microphone hears: a turn for each command, and none from its replies."""
    with room(card):
        program = Program(card, tmp_path)
        said = [program.turn()["say"]]
        wait_until(lambda: card.is_heard("ears"), 60, "it does not listen")
        for number in (1, 2, 3, 10):
            program.hear(RECORDINGS / f"{number:02d}.ogg")
            turn = program.turn()
            said.append(turn["say"])
        wait_until(lambda: mouth.quiet > 3, 30, "it does not stop talking")
        facts = program.close()
    # the commands, as written in procedures/demo/oil-and-filter.yaml: a reading, "next step", "I have got the tools"
    told = [fact for fact in facts if isinstance(fact, e.ReadingTaken | e.StepDone)]
    assert [type(fact).__name__ for fact in told] == ["ReadingTaken", "StepDone", "StepDone", "StepDone"]
    assert (told[0].value.magnitude, told[0].value.unit) == (84200, "kilometre")
    # what nobody said is not there: of all that could be heard only the talk about a match was for nobody
    [alone] = [fact for fact in facts if isinstance(fact, e.LeftAlone | e.NotUnderstood | e.Asked | e.Refused)]
    assert "match" in turn["heard"]
    assert alone.heard == ""  # what people say to each other is nobody's business
    assert program.turns.empty()
    assert said[-1] == ""
    assert_said(mouth.sound, [text for text in said if text])


def test_with_a_headset_a_word_ends_the_speech_and_it_can_be_had_again(
    card: Card, mouth: Recorder, tmp_path: Path
) -> None:
    program, ears = Program(card, tmp_path, "--headset"), Recorder(card, "ears")
    program.turn()
    wait_until(lambda: card.is_heard("ears") and np.abs(mouth.sound).max() > LOUD, 60, "it does not speak")
    program.hear(RECORDINGS / "01.ogg")
    answer = program.turn()
    wait_until(lambda: mouth.quiet < 0.5, 30, "it does not answer")
    program.hear(spoken("repeat that", tmp_path))
    again = program.turn()
    wait_until(lambda: mouth.quiet < 0.5, 30, "it does not answer")
    program.hear(spoken("stop talking", tmp_path))
    hushed = program.turn()
    ears.close()
    facts = program.close()
    assert answer["say"].startswith("I heard eighty-four thousand two hundred kilometres")
    assert again["say"] == answer["say"]
    assert (hushed["intent"], hushed["say"]) == ("hush", "")
    assert [fact.topic for fact in facts if isinstance(fact, e.Asked)] == ["repeat", "hush"]
    _, *words = spans(ears, BREATH)
    assert len(words) == 2
    for asked, _ in words:
        [ended] = [end for start, end in spans(mouth) if start < asked < end]
        assert ended - asked < STOPS


@pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="needs a process that can be stopped")
def test_a_sound_system_that_hangs_is_told_and_all_is_back_when_it_goes_on(card: Card, tmp_path: Path) -> None:
    """A stopped sound server stands for microphone and loudspeaker unplugged at once: no call of them returns."""
    program = Program(card, tmp_path)
    try:
        program.turn()
        wait_until(lambda: card.is_heard("ears"), 60, "it does not listen")
        os.kill(card.server.pid, signal.SIGSTOP)
        lost = program.turn()["say"]
    finally:
        os.kill(card.server.pid, signal.SIGCONT)
    assert "microphone" in lost
    said = ""
    while not ("My voice is back." in said and "I hear you again." in said):
        said += program.turn()["say"]
    wait_until(lambda: card.is_heard("ears"), 60, "it does not listen again")
    with card.room("ears"):
        program.hear(RECORDINGS / "01.ogg")
        answer = program.turn()["say"]
    facts = program.close()
    assert answer.startswith("I heard eighty-four thousand two hundred kilometres")
    assert [type(fact).__name__ for fact in facts if isinstance(fact, e.ReadingTaken)] == ["ReadingTaken"]


def spans(recorder: Recorder, gap: float = 0.7) -> list[tuple[float, float]]:
    """Return when each stretch of sound between two gaps began and ended, by the clock of the computer [second]."""
    loud = np.flatnonzero(np.abs(recorder.sound) > LOUD)
    parts = np.split(loud, np.flatnonzero(np.diff(loud) > gap * RATE) + 1)
    return [(recorder.began + part[0] / RATE, recorder.began + part[-1] / RATE) for part in parts]


def spoken(text: str, folder: Path) -> Path:
    """Return a recording of a synthesised voice, another than the assistant's."""
    speech = Pyttsx3Speech(voice="en")
    file = folder / f"{text.replace(' ', '_')}.wav"
    soundfile.write(file, 0.5 * speech.render(text), RATE)
    speech.close()
    return file


def assert_said(recorded: np.ndarray, texts: list[str]) -> None:
    """See that each text was played whole and in order: it is as long and as loud, all along, as what is rendered.

    Loudness, because the speech engine never renders a text twice to the very same samples.
    """
    replies = between_silences(recorded)
    assert len(replies) == len(texts)
    speech = Pyttsx3Speech()
    try:
        for text, reply in zip(texts, replies, strict=True):
            assert likeness(loudness(reply), loudness(between_silences(speech.render(text))[0])) > 0.8, text
    finally:
        speech.close()


def between_silences(recorded: np.ndarray, pause: float = 1.5) -> list[np.ndarray]:
    """Return what sounds between silences that are longer than any between two sentences [second]."""
    loud = np.flatnonzero(np.abs(recorded) > LOUD)
    parts = np.split(loud, np.flatnonzero(np.diff(loud) > pause * RATE) + 1)
    return [recorded[part[0] : part[-1] + 1] for part in parts]


def loudness(sound: np.ndarray, frame: int = RATE // 50) -> np.ndarray:
    """Return the root mean square of each fiftieth of a second."""
    return np.sqrt(np.mean(sound[: len(sound) // frame * frame].reshape(-1, frame) ** 2, axis=1))


def likeness(heard: np.ndarray, wanted: np.ndarray, tone: int = 25) -> float:
    """Return the correlation of the two; a signal of up to half a second may sound before the words."""
    assert abs(len(heard) - len(wanted)) < 2 * tone
    wanted = wanted[: min(len(heard), len(wanted)) - tone]
    fits = (np.corrcoef(heard[late : late + len(wanted)], wanted)[0, 1] for late in range(tone + 1))
    return float(max(fit for fit in fits))
