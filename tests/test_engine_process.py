"""Slow is told from hung, by real processes that really do it: stopped, killed, spinning, sleeping, raising."""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Callable, Iterator
from functools import partial

import pytest

from assistant.core.errors import DeviceError
from assistant.core.types import Heard, Weighed
from assistant.system.engine_process import EngineProcess, is_heard
from tests.spinning import beside

signals = pytest.mark.skipif(sys.platform == "win32", reason="a process cannot be stopped by a signal there")


def answer(what: str, much: float = 0.0) -> object:
    """The model in the child: it works, sleeps, spins or raises, as it is told."""
    began, worked = time.monotonic(), time.process_time()
    match what:
        case "work":  # so much of its own time, however long that takes
            while time.process_time() - worked < much:
                pass
        case "sleep":
            time.sleep(much)
        case "raise":
            raise ValueError("a tensor of the wrong shape")
        case "die":
            os._exit(3)
        case "nonsense":
            return "nonsense"
    return Heard(allowed=(Weighed(f"{time.monotonic() - began:.2f}", -1.0),))


def load() -> Callable[..., object]:
    return answer


@pytest.fixture
def engine() -> Iterator[EngineProcess]:
    process = EngineProcess("test", load, 30.0, is_heard)
    process.check()
    yield process
    process.close()


def stop(engine: EngineProcess) -> int:
    assert engine._child
    pid = engine._child.process.pid
    assert pid
    os.kill(pid, signal.SIGSTOP)
    return pid


def test_slow_is_not_hung_beside_four_processes_that_spin(engine: EngineProcess) -> None:
    with beside(4):
        began = time.monotonic()
        assert is_heard(engine.ask(1.0, "work", 0.6))
        assert time.monotonic() - began > 0.6


@signals
@pytest.mark.parametrize("ask", [partial(EngineProcess.ask, deadline=60.0), EngineProcess.check])
def test_hung_is_not_slow_and_is_noticed_within_two_seconds(engine: EngineProcess, ask: Callable[..., object]) -> None:
    hung = stop(engine)
    began = time.monotonic()
    with pytest.raises(DeviceError, match="hangs"):
        ask(engine)
    assert time.monotonic() - began < 4  # two on a free machine
    with pytest.raises(ProcessLookupError):
        os.kill(hung, 0)


@signals
def test_a_question_that_is_longer_than_the_pipe_does_not_wait_for_ever(engine: EngineProcess) -> None:
    stop(engine)
    with pytest.raises(DeviceError, match="hangs"):
        engine.ask(60.0, "work", 0.0, bytes(4_000_000))


def test_a_child_that_waits_for_what_never_comes_is_hung_too(engine: EngineProcess) -> None:
    with pytest.raises(DeviceError, match="hangs"):
        engine.ask(60.0, "sleep", 600.0)


def test_a_child_that_works_without_an_end_is_ended(engine: EngineProcess) -> None:
    with pytest.raises(DeviceError, match=r"within 0\.5 s of its work"):
        engine.ask(0.5, "work", 600.0)


@pytest.mark.parametrize(
    ("what", "why"), [("raise", "a tensor of the wrong shape"), ("nonsense", "rubbish"), ("die", "its process ended")]
)
def test_a_child_that_raises_or_answers_rubbish_or_dies_is_told_at_once_and_started_anew(
    engine: EngineProcess, what: str, why: str
) -> None:
    began = time.monotonic()
    with pytest.raises(DeviceError, match=why):
        engine.ask(60.0, what)
    assert time.monotonic() - began < 2
    assert is_heard(engine.ask(60.0, "work", 0.0))


def test_a_child_that_died_unasked_is_told_by_the_next_check_and_by_that_only(engine: EngineProcess) -> None:
    assert engine._child
    engine._child.process.kill()
    engine._child.process.join()
    with pytest.raises(DeviceError, match="ended"):
        engine.check()
    engine.check()


@pytest.mark.parametrize(
    "answer", [None, "next step", Heard(allowed=(Weighed("next step", float("nan")),)), (Heard(),)]
)
def test_what_no_engine_can_have_heard_is_rubbish(answer: object) -> None:
    assert not is_heard(answer)
    assert is_heard(Heard(allowed=(Weighed("next step", float("-inf")),)))
