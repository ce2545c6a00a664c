"""A voice or a loudspeaker that goes away: the text goes on, the next voice speaks, and what is back is told."""

from __future__ import annotations

import os
import shutil
import signal
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.adapters import speech_program
from assistant.adapters.speech_program import PROGRAMS, ProgramSpeech, found_programs
from assistant.adapters.speech_pyttsx3 import Pyttsx3Speech
from assistant.core.errors import DeviceError
from assistant.core.reply.answers import present
from assistant.core.types import RATE, Reply, Tone
from assistant.path.mouth import Mouth
from assistant.path.replying import speak
from tests.spinning import beside
from tests.talk import EVIDENCE, READY, Talk


class Voice:
    """Renders a hum, whose length tells the text; or fails, or gives silence."""

    def __init__(self, name: str = "voice", *, fails: bool = False, silent: bool = False) -> None:
        self.name, self.fails, self.silent = name, fails, silent
        self.rendered: list[str] = []

    def render(self, text: str) -> NDArray[np.float32]:
        self.rendered.append(text)
        if self.fails:
            raise DeviceError(f"{self.name} hangs")
        return np.zeros(800, np.float32) if self.silent else np.sin(np.arange(800) * 0.1).astype(np.float32)

    def prepare(self, text: str) -> None:
        pass

    def close(self) -> None:
        pass


class Loudspeaker:
    """Plays, or is gone."""

    name = "loudspeaker"

    def __init__(self, *, gone: bool = False) -> None:
        self.gone, self.tones, self.lengths, self.tried = gone, [], [], 0

    def play(self, samples: NDArray[np.float32], tone: Tone = Tone.PLAIN) -> None:
        self.tried += 1
        if self.gone:
            raise DeviceError("the loudspeaker is gone")
        if np.any(samples) or tone is not Tone.PLAIN:
            self.tones.append(tone)
            self.lengths.append(len(samples))

    start = play
    playing = False

    def stop(self) -> None:
        pass

    def close(self) -> None:
        pass


@pytest.fixture
def loudspeaker() -> Loudspeaker:
    return Loudspeaker()


@pytest.fixture
def spoken(talk: Talk, loudspeaker: Loudspeaker) -> Iterator[Talk]:
    """A talk with a voice and a loudspeaker."""
    talk.desk.mouth = Mouth(Voice(), loudspeaker)
    yield talk
    talk.desk.mouth.close()


def told(talk: Talk, seconds: float = 30.0) -> str:
    """Wait for what the assistant says by itself."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        if turn := talk.wait(5):
            return turn.reply.say
        time.sleep(0.05)
    raise TimeoutError


def faults(talk: Talk) -> list[str]:
    return [str(fault) for fault in talk.desk.ears.faults]


def test_without_a_loudspeaker_the_text_goes_on_and_its_return_is_told_with_the_last_question(
    spoken: Talk, loudspeaker: Loudspeaker
) -> None:
    loudspeaker.gone = True
    for _ in range(3):
        assert spoken.say("what is open").reply.say == "Nothing is open."
    assert faults(spoken) == ["the loudspeaker is gone"]  # once, not for each reply
    loudspeaker.gone = False
    assert told(spoken) == f"My voice is back. {present(spoken.state)}"
    assert spoken.say("what is open").reply.say == "Nothing is open."
    assert loudspeaker.lengths == [800, 800]


def test_a_loudspeaker_that_stays_away_is_tried_with_pauses_and_delays_no_reply(
    spoken: Talk, loudspeaker: Loudspeaker
) -> None:
    loudspeaker.gone = True
    spoken.say("what is open")
    began, tried = time.monotonic(), []
    while time.monotonic() < began + 4:
        spoken.say("what is open")
        tried.append(loudspeaker.tried)
    assert 2 <= tried[-1] - 1 <= 3  # after 0.5, 1.5 and 3.5 seconds
    loudspeaker.gone = False


def test_a_warning_that_was_not_heard_is_said_again_when_the_voice_is_back(
    spoken: Talk, loudspeaker: Loudspeaker
) -> None:
    loudspeaker.gone = True
    refused = spoken.say("leave this step out").reply
    spoken.say("what is open")
    loudspeaker.gone = False
    back = told(spoken)
    assert back == f"My voice is back. I could not say: {refused.say} {present(spoken.state)}"
    assert refused.tone is Tone.WARN
    assert loudspeaker.tones == [Tone.WARN]
    assert "could not" not in spoken.say("what is open").reply.say


def test_an_alarm_that_was_not_heard_sounds_when_the_voice_is_back(spoken: Talk, loudspeaker: Loudspeaker) -> None:
    spoken.say(READY)
    spoken.say(EVIDENCE)
    loudspeaker.gone = True
    loudspeaker.tones.clear()
    spoken.say("help me")
    assert loudspeaker.tones == []
    loudspeaker.gone = False
    while not loudspeaker.tones:
        said = told(spoken)
    assert "could not say: " in said
    assert loudspeaker.tones[0] is Tone.ALARM


@pytest.mark.parametrize("how", [{"fails": True}, {"silent": True}])
def test_the_next_voice_says_the_very_reply_that_the_usual_one_could_not(
    spoken: Talk, loudspeaker: Loudspeaker, how: dict[str, bool]
) -> None:
    usual, other = Voice("usual", **how), Voice("other")
    spoken.desk.mouth.speech, spoken.desk.mouth.others = usual, (other,)
    spoken.say("what is open")
    assert other.rendered == ["Nothing is open."]
    assert len(loudspeaker.tones) == len(faults(spoken)) == 1
    usual.fails = usual.silent = False
    assert told(spoken) == "My usual voice is back."
    spoken.say("what is open")
    assert usual.rendered[-1] == "Nothing is open."
    assert len(set(usual.rendered[1:-2])) == len(usual.rendered[1:-2])  # no text is tried that it may have kept


def test_without_any_voice_the_signal_of_a_warning_sounds_at_least(spoken: Talk, loudspeaker: Loudspeaker) -> None:
    spoken.desk.mouth.speech = Voice(fails=True)
    spoken.say("what is open")
    assert loudspeaker.tones == []
    spoken.say("leave this step out")
    assert (loudspeaker.tones, loudspeaker.lengths) == ([Tone.WARN], [0])


def test_a_loudspeaker_that_comes_later_is_taken(talk: Talk, loudspeaker: Loudspeaker) -> None:
    mouth = talk.desk.mouth = Mouth(Voice(), open_player=lambda: loudspeaker)
    mouth.find_player()
    assert told(talk).startswith("My voice is back.")
    assert loudspeaker.lengths == [800]
    mouth.close()


def test_with_a_headset_what_failed_after_it_began_is_said_again(talk: Talk, loudspeaker: Loudspeaker) -> None:
    talk.desk.mouth = Mouth(Voice(), loudspeaker, headset=True)
    speak(talk.desk, Reply("Careful. It is hot.", ""))
    loudspeaker.gone = True  # it was still saying that
    talk.say("what is open")
    loudspeaker.gone = False
    assert told(talk).startswith("My voice is back. I could not say: Careful. It is hot.")
    talk.desk.mouth.close()


@pytest.mark.skipif(sys.platform == "win32", reason="a process cannot be stopped by a signal there")
@pytest.mark.parametrize("how", [signal.SIGSTOP, signal.SIGKILL])
def test_a_real_voice_that_is_stopped_or_killed_says_the_reply_all_the_same(
    talk: Talk, loudspeaker: Loudspeaker, how: signal.Signals
) -> None:
    voice = Pyttsx3Speech(limit=2.0)
    talk.desk.mouth = Mouth(voice, loudspeaker)
    try:
        voice.render("One.")
        assert voice._child
        os.kill(voice._child.pid, how)
        speak(talk.desk, Reply("Nothing is open.", ""))
        assert loudspeaker.lengths
        assert loudspeaker.lengths[0] > RATE / 2
        assert not faults(talk)
    finally:
        talk.desk.mouth.close()


def test_a_real_voice_that_gives_silence_is_given_up(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("assistant.adapters.speech_pyttsx3._whole", lambda file, deadline: np.zeros(RATE, np.float32))
    voice = Pyttsx3Speech()
    with pytest.raises(DeviceError, match="only silence"):
        voice.render("One.")
    voice.close()


@pytest.mark.parametrize("program", PROGRAMS)
def test_a_program_of_the_system_speaks(program: str) -> None:
    if not shutil.which(program):
        pytest.skip(f"{program} is not here")
    voice = ProgramSpeech(program)
    short, long = (voice.render(text) for text in ("Next step.", "-v Tighten the drain plug to 30 newton metres.\n"))
    assert RATE / 2 < len(short) < len(long) < 6 * RATE
    assert np.abs(short).max() > 0.1
    assert program in [found.name for found in found_programs()]


def stub(folder: Path, name: str, does: str) -> None:
    (folder / name).write_text(f"#!/bin/sh\n{does}\n")
    (folder / name).chmod(0o755)


@pytest.mark.skipif(sys.platform == "win32", reason="a shell script stands for the program")
@pytest.mark.parametrize("does", ["exec sleep 60", "exit 1", "exit 0", "kill -9 $$"])
def test_a_program_that_hangs_fails_or_dies_is_a_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, does: str
) -> None:
    stub(tmp_path, "flite", does)
    monkeypatch.setenv("PATH", str(tmp_path), prepend=os.pathsep)
    monkeypatch.setattr(speech_program, "STALLED", 5)
    with pytest.raises(DeviceError, match="flite fails"):
        ProgramSpeech("flite").render("One.")


@pytest.mark.skipif(sys.platform == "win32", reason="a shell script stands for the program")
def test_a_program_that_is_slow_beside_others_is_waited_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It works, or its file grows: neither is a program that hangs."""
    stub(tmp_path, "flite", 'while [ "$i" != xxxxxxxxxx ]; do sleep 0.2; echo x >> "$2"; i=x$i; done')
    monkeypatch.setenv("PATH", str(tmp_path), prepend=os.pathsep)
    monkeypatch.setattr(speech_program, "STALLED", 8)
    with pytest.raises(DeviceError, match=r"Format not recognised|Error opening"):  # it came to its end; it is no sound
        ProgramSpeech("flite").render("One.")


@pytest.mark.parametrize("program", ["espeak-ng", "flite"])
def test_beside_four_spinning_processes_a_program_is_not_taken_for_one_that_hangs(program: str) -> None:
    if not shutil.which(program):
        pytest.skip(f"{program} is not here")
    voice = ProgramSpeech(program)
    with beside(4):
        for number in range(5):
            assert len(voice.render(f"Tighten the drain plug, number {number}, to thirty newton metres.")) > RATE
