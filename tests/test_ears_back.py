"""What becomes of engines that fail: left out while they fail, told, and back. Real ones, really stopped and killed."""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import chain, repeat
from pathlib import Path

import pytest

from assistant import wiring
from assistant.adapters.sound_file import read_sound
from assistant.core.errors import DeviceError
from assistant.core.job.pauses import QUICK_IN_A_ROW
from assistant.core.types import Heard, Hypothesis, Phrase, Utterance, Verdict, Weighed
from assistant.path.ears import ALL_BACK, ALL_FAILED, BACK, FAILED, QUICK, SLOW, Ears
from tests.talk import Talk

SOUND = Utterance(read_sound(Path(__file__).parent / "adapters" / "data" / "what_torque.flac"), 0)
PHRASES = (Phrase("torque", "what torque"), Phrase("open", "what is open"))

signals = pytest.mark.skipif(sys.platform == "win32", reason="a process cannot be stopped by a signal there")


@pytest.fixture
def ears(talk: Talk) -> Iterator[Ears]:
    """Two real engines, loaded."""
    engines = wiring.chosen_recognisers(Path(), ["moonshine", "whisper"], talk.library.rules())
    ears = Ears(talk.phrasebook, engines)
    for engine in engines:
        engine.hear(SOUND, PHRASES)
    yield ears
    ears.close()


def until(holds: Callable[[], object], seconds: float = 30.0) -> float:
    """Wait until something holds, and return for how long that took [second]."""
    began = time.monotonic()
    while not holds():
        assert time.monotonic() - began < seconds
        time.sleep(0.05)
    return time.monotonic() - began


def names(ears: Ears) -> list[str]:
    ears.catch_up()
    return [engine.engine for engine in ears.engines]


def send(ears: Ears, number: int, which: signal.Signals) -> int:
    """Send a signal to an engine's process, and return its id."""
    pid = ears.engines[number]._process._child.process.pid  # type: ignore[attr-defined]
    os.kill(pid, which)
    return int(pid)


@signals
def test_an_engine_that_hangs_is_left_out_told_and_comes_back_at_its_place(ears: Ears, talk: Talk) -> None:
    hung = send(ears, 0, signal.SIGSTOP)
    match = ears.hear(SOUND, PHRASES)
    assert match.best
    assert match.best.words == "what torque"  # the other engine goes on, with this very utterance
    assert len(ears.faults) == 1
    with pytest.raises(ProcessLookupError):
        os.kill(hung, 0)
    talk.desk.ears = ears
    assert talk.say("what is open").reply.say == f"{FAILED} Nothing is open."
    assert talk.say("what is open").reply.say == "Nothing is open."
    until(lambda: names(ears) == ["moonshine", "whisper"])
    assert talk.say("what is open").reply.say == f"{BACK} Nothing is open."
    assert talk.say("what is open").reply.say == "Nothing is open."
    assert ears.hear(SOUND, PHRASES).verdict is Verdict.ACCEPTED


@signals
@pytest.mark.parametrize("how", [signal.SIGSTOP, signal.SIGKILL])
def test_while_nobody_speaks_a_lost_engine_is_noticed_told_and_comes_back(
    ears: Ears, talk: Talk, how: signal.Signals
) -> None:
    talk.desk.ears = ears
    ears.watch()
    send(ears, 1, how)
    said: list[str] = []

    def told() -> bool:
        turn = talk.wait(5)  # nobody speaks, and time passes
        said.extend([turn.reply.say] if turn else [])
        return bool(said)

    assert until(told) < 5  # two seconds on a free machine
    assert said == [FAILED]
    until(lambda: told() and len(said) == 2)
    assert said == [FAILED, BACK]
    assert names(ears) == ["moonshine", "whisper"]


@signals
def test_the_only_engine_starts_anew_and_both_is_told(talk: Talk) -> None:
    ears = Ears(talk.phrasebook, wiring.chosen_recognisers(Path(), ["moonshine"], talk.library.rules()))
    try:
        assert ears.hear(SOUND, PHRASES).verdict is Verdict.ACCEPTED
        send(ears, 0, signal.SIGSTOP)
        assert ears.hear(SOUND, PHRASES).verdict is Verdict.NOT_FOR_ME
        assert ears.warnings == [ALL_FAILED]
        ears.warnings.clear()
        assert ears.hear(SOUND, PHRASES).verdict is Verdict.ACCEPTED
        until(lambda: names(ears) and ears.warnings)
        assert ears.warnings == [ALL_BACK]
    finally:
        ears.close()


@dataclass
class Moody:
    """An engine that fails as often as it was told, and takes its time by a clock that is moved by hand."""

    fails: Iterator[bool] = field(default_factory=lambda: repeat(False))
    takes: Iterator[float] = field(default_factory=lambda: repeat(0.0))
    name: str = "moody"
    engine: str = "moody"
    now: float = 0.0
    closed: int = 0

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        if next(self.fails):
            raise DeviceError("it fails")
        if utterance is SOUND:
            self.now += next(self.takes)
        return Heard((Hypothesis("What torque.", -0.1, self.engine),), (Weighed("what torque", 0.0),))

    def close(self) -> None:
        self.closed += 1


def test_an_engine_that_fails_again_and_again_is_told_once_and_tried_with_pauses(talk: Talk) -> None:
    moody, steady = Moody(chain([True] * 3, repeat(False))), Moody(name="steady", engine="steady")
    ears = Ears(talk.phrasebook, [moody, steady])
    assert ears.hear(SOUND, PHRASES).verdict is Verdict.ACCEPTED
    assert ears.engines == (steady,)
    assert until(lambda: names(ears) == ["moody", "steady"]) > 0.5 + 1 + 2 - 1
    assert ears.warnings == []  # told neither, for nobody was told before it was back
    assert ears.hear(SOUND, PHRASES).verdict is Verdict.ACCEPTED
    ears.close()


def test_that_it_is_slow_is_said_once_and_that_it_is_over_once(talk: Talk) -> None:
    moody = Moody(takes=iter([9.0, 5.0, 6.0, *[0.2] * (QUICK_IN_A_ROW + 1)]))
    ears = Ears(talk.phrasebook, [moody], waited_for=True, steady=lambda: moody.now)
    told = []
    for _ in range(QUICK_IN_A_ROW + 4):
        ears.hear(SOUND, PHRASES)
        told.append(ears.warnings[:])
        ears.warnings.clear()
    assert told == [[], [SLOW], *[[]] * QUICK_IN_A_ROW, [QUICK], []]
    assert ears.engines == [moody]  # slow is no reason to be left out


def test_what_comes_back_after_the_end_is_closed(talk: Talk) -> None:
    moody, steady = Moody(chain([True], repeat(False))), Moody(name="steady", engine="steady")
    ears = Ears(talk.phrasebook, [moody, steady])
    ears.hear(SOUND, PHRASES)
    until(lambda: ears._out[0].revival._found)
    closed = moody.closed
    ears.close()
    assert moody.closed > closed
