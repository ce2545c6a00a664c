"""Time that leaps: a clock that is set, a computer that sleeps, a job that was off. Waits never get shorter by it."""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from assistant.adapters.clock import ShiftedClock, SystemClock
from assistant.adapters.library import Library
from assistant.core.job import events as e
from assistant.core.job.alone import moment
from assistant.core.job.engine import decide
from assistant.core.job.question import Waiting, question
from assistant.core.job.state import State
from assistant.core.quantities.saying import say_duration
from assistant.core.reply.answers import answer
from assistant.core.reply.showing import left, summary_lines
from assistant.core.types import Intent
from tests.straight import after, straight_on

SHELF = Library()
JOB, CAR = SHELF.job("oil-and-filter"), SHELF.vehicle("tarnwick-plover-16")
STATES = [state for state, _ in straight_on(JOB, CAR, {})]
FIRST = timedelta(minutes=10)
BERLIN = ZoneInfo("Europe/Berlin")


class Times:
    """A wall clock that somebody sets, and one that nobody does."""

    def __init__(self, wall: datetime = datetime(2026, 3, 14, 9, tzinfo=UTC)) -> None:
        self.wall, self.steady = wall, 1000.0

    def clock(self, kind: type[SystemClock] = SystemClock) -> SystemClock:
        return kind(lambda: self.wall, lambda: self.steady)

    def passes(self, seconds: float) -> None:
        self.wall += timedelta(seconds=seconds)
        self.steady += seconds


def at_wait(name: str) -> State:
    return next(state for state in STATES if state.step == name and state.timers)


def said(state: State, facts: tuple[e.Event, ...], at: datetime) -> tuple[State, str]:
    then = after(state, facts, at)
    return then, answer(state, facts, then).say


def taken_up(state: State, gone: timedelta) -> tuple[State, str, tuple[e.Event, ...]]:
    """A job that is taken up so long after its program ended; the clock was set back where it is negative."""
    assert state.heard_at
    at = state.heard_at + gone
    facts = decide(state, Intent("go-on"), at)
    return *said(state, facts, at), facts


# --- the clock ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "leap", [timedelta(hours=30), timedelta(hours=-30), timedelta(hours=1), timedelta(days=-20_000)]
)
@pytest.mark.parametrize("kind", [SystemClock, ShiftedClock])
def test_a_clock_that_is_set_while_the_program_runs_changes_nothing(leap: timedelta, kind: type[SystemClock]) -> None:
    times = Times()
    clock = times.clock(kind)
    began = clock.now()
    times.passes(60)
    times.wall += leap
    times.passes(60)
    assert clock.now() - began == timedelta(minutes=2)


def test_time_that_is_let_pass_is_added() -> None:
    times = Times()
    clock = times.clock(ShiftedClock)
    began = clock.now()
    times.passes(5)
    clock.move(60)
    clock.move(-60)
    assert clock.now() - began == timedelta(seconds=65)


def test_the_real_clock_tells_the_time() -> None:
    first, second = SystemClock().now(), SystemClock().now()
    assert abs((first - datetime.now(UTC)).total_seconds()) < 60
    assert second - first < timedelta(minutes=1)
    assert first.tzinfo is not None


@pytest.mark.parametrize("leap", [timedelta(hours=30), timedelta(hours=-30)])
def test_at_no_step_does_a_leap_of_the_clock_end_a_wait_or_ask_twice(leap: timedelta) -> None:
    for state in STATES:
        times = Times()
        clock = times.clock()
        shift = clock.now() - (state.heard_at or clock.now())
        state = replace(
            state, heard_at=clock.now(), timers=tuple(replace(one, due=one.due + shift) for one in state.timers)
        )
        times.wall += leap
        for asked in (0, 1):
            facts = moment(state, clock.now(), FIRST)
            assert [one for one in facts if isinstance(one, e.TimerEnded)] == []
            assert len([one for one in facts if isinstance(one, e.CheckedIn)]) == 0
            times.passes(2 if not asked else 0)


# --- someone alone -----------------------------------------------------------------------------------------------


def asked_after(state: State, gaps: list[float]) -> list[int]:
    """Return how urgently somebody is asked at each look at the clock, so long after the last one [second]."""
    at, found = state.heard_at, []
    assert at
    for gap in gaps:
        at += timedelta(seconds=gap)
        facts = moment(state, at, FIRST)
        state = after(state, facts, at)
        found.append(max((one.level for one in facts if isinstance(one, e.CheckedIn)), default=0))
    return found


UNDER = next(state for state in STATES if state.step == "tray-off" and state.begun)


def test_who_was_not_asked_while_the_computer_slept_is_asked_once_and_gets_time_to_answer() -> None:
    assert asked_after(UNDER, [3 * 3600, 1, 1, 60, 60, 30, 31, 21, 1]) == [1, 0, 0, 0, 2, 0, 3, 4, 0]


def test_awake_it_is_asked_after_ten_two_and_one_minutes_and_then_every_twenty_seconds() -> None:
    assert asked_after(UNDER, [599, 1, 119, 1, 59, 1, 19, 1]) == [0, 1, 0, 2, 0, 3, 0, 4]


def test_who_called_for_help_hears_the_alarm_once_after_a_sleep() -> None:
    calling = after(UNDER, (e.HelpCalled(),), UNDER.heard_at)
    assert asked_after(calling, [3600, 1, 19, 20]) == [1, 0, 2, 3]


# --- a job that was off ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("gone", "words"), [
    (timedelta(minutes=15), "By the clock, the time for draining ended five minutes ago. Say: next step."),
    (timedelta(hours=1, minutes=40), "the time for draining ended about an hour and a half ago."),
    (timedelta(hours=36, minutes=10), "the time for draining ended about a day and a half ago."),
    (timedelta(minutes=4), "filter change of the Tarnwick Plover petrol. Time left for draining: six minutes."),
    (timedelta(minutes=10), "The time for draining is over."),
    (-timedelta(hours=30), "The clock was set back. So the time for draining begins anew: ten minutes."),
])  # fmt: skip
def test_what_became_of_a_wait_while_the_program_was_off_is_said(gone: timedelta, words: str) -> None:
    state, text, _ = taken_up(at_wait("drain"), gone)
    assert words in text
    assert "thousand" not in text
    assert (state.timers == ()) == ("ended" in text or "is over" in text)


def test_a_wait_that_begins_anew_takes_its_whole_time() -> None:
    state, _, _ = taken_up(at_wait("settle"), -timedelta(hours=30))
    assert state.heard_at
    [timer] = state.timers
    assert timer.due - state.heard_at == timedelta(minutes=5)
    assert moment(state, state.heard_at + timedelta(minutes=4), None) == ()
    early = decide(state, Intent("next"), state.heard_at + timedelta(minutes=4))
    assert early == (e.Refused("wait", "Too early. Time left: sixty seconds."),)


def test_a_little_set_back_counts_what_the_clock_says() -> None:
    state, text, _ = taken_up(at_wait("settle"), -timedelta(seconds=0))
    assert "begins anew" not in text
    assert "Time left for settling: five minutes." in text
    assert state.timers == at_wait("settle").timers


@pytest.mark.parametrize("gone", [timedelta(hours=30), -timedelta(hours=30), timedelta(seconds=20)])
def test_a_minute_of_the_engine_that_was_cut_off_is_run_anew(gone: timedelta) -> None:
    """Nobody knows whether it ran on: the job leads back to its start, and the minute begins with it."""
    state, text, facts = taken_up(at_wait("run"), gone)
    assert state.step == "start-engine"
    assert state.timers == ()
    assert "the time for running ended" not in text
    assert not [
        one for one in moment(state, state.heard_at + timedelta(hours=1), None) if isinstance(one, e.TimerEnded)
    ]
    assert facts


@pytest.mark.parametrize("gone", [timedelta(hours=30), -timedelta(hours=30), timedelta(days=400), timedelta(0)])
def test_at_every_step_a_job_that_was_off_is_taken_up_in_words(gone: timedelta) -> None:
    for state in STATES[:-1]:
        then, text, _ = taken_up(state, gone)
        assert text.startswith("Carrying on")
        assert "minus" not in text
        for timer in then.timers:
            assert then.heard_at
            wait = JOB.step(timer.name).wait
            assert wait
            assert timedelta(0) < timer.due - then.heard_at <= timedelta(minutes=wait.minutes)
        _, time_left = said(then, decide(then, Intent("time"), then.heard_at), then.heard_at)
        assert "thousand" not in time_left
        assert "the clock was set back since" in left(state, state.heard_at + gone) or gone >= timedelta(0)
        assert not [line for line in summary_lines(state, state.heard_at + gone) if ": -" in line]


def test_a_job_put_aside_and_taken_up_says_what_became_of_its_wait() -> None:
    state = at_wait("drain")
    assert state.heard_at
    parked, _ = said(state, decide(state, Intent("park"), state.heard_at), state.heard_at)
    assert moment(parked, state.heard_at + timedelta(hours=2), FIRST) == ()
    _, text, _ = taken_up(parked, timedelta(hours=2))
    assert "By the clock, the time for draining ended about two hours ago." in text


# --- an hour more, an hour less ----------------------------------------------------------------------------------


@pytest.mark.parametrize("before", [datetime(2026, 10, 25, 2, 55, tzinfo=BERLIN),
                                    datetime(2026, 3, 29, 1, 55, tzinfo=BERLIN)])  # fmt: skip
def test_the_hour_that_comes_twice_or_not_at_all_changes_no_wait(before: datetime) -> None:
    state = at_wait("drain")
    began = before.astimezone(UTC)
    shift = began - state.timers[0].due + timedelta(minutes=10)
    state = replace(state, heard_at=began, timers=(replace(state.timers[0], due=state.timers[0].due + shift),))
    nearly, over = ((began + timedelta(minutes=minutes)).astimezone(BERLIN) for minutes in (9, 10))
    assert nearly.utcoffset() != before.utcoffset()  # the hour was given or taken in between
    assert moment(state, _as_written(nearly), FIRST) == ()
    assert moment(state, _as_written(over), FIRST) == (e.TimerEnded("drain"),)


def _as_written(at: datetime) -> datetime:
    """Return a time as the journal keeps it: with its offset, and no name of a place."""
    return datetime.fromisoformat(at.isoformat())


@pytest.mark.parametrize(("instant", "offset"), [("2026-10-25T00:59:59+00:00", 2), ("2026-10-25T01:00:00+00:00", 1)])
@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the place is set for a process, as on POSIX")
def test_the_clock_tells_the_offset_of_the_place_and_moment(
    instant: str, offset: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TZ", "CET-1CEST,M3.5.0,M10.5.0/3")
    time.tzset()
    try:
        now = Times(datetime.fromisoformat(instant)).clock().now()
    finally:
        monkeypatch.undo()
        time.tzset()
    assert now.utcoffset() == timedelta(hours=offset)


@pytest.mark.parametrize(("seconds", "words"), [
    (0, "zero seconds"), (-5, "zero seconds"), (1, "one second"), (89, "eighty-nine seconds"), (90, "two minutes"),
    (89 * 60, "eighty-nine minutes"), (90 * 60, "about an hour and a half"), (2 * 3600, "about two hours"),
    (2.6 * 3600, "about two and a half hours"), (23.5 * 3600, "about twenty-three and a half hours"),
    (24 * 3600, "about a day"), (30.4 * 3600, "about a day and a half"), (108_960, "about a day and a half"),
    (48 * 3600, "about two days"), (100 * 86400, "about one hundred days"),
])  # fmt: skip
def test_a_length_of_time_is_said_as_people_say_it(seconds: float, words: str) -> None:
    assert say_duration(seconds) == words


def test_no_wait_goes_on_at_another_step() -> None:
    state = at_wait("settle")
    led = after(state, (e.StepEntered("start-engine"),), state.heard_at)
    assert led.timers == ()
    assert question(state).waiting is Waiting.TIME
