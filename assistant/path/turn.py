"""THE DATA PATH, top to bottom: sound → utterance → hypotheses → intent → events → journal → state → reply → speech.

`listening.py` and `hearing.py` lead here; `desk.py` holds the job at hand and the ports, and `take` alone changes it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta

from assistant.core.hearing.verdict.attention import ATTENTIVE
from assistant.core.job import events as e
from assistant.core.job.alone import ALARM, moment
from assistant.core.job.engine import decide
from assistant.core.job.state import evolve
from assistant.core.reply.answers import answer, present
from assistant.core.types import Intent, Reply, Understanding
from assistant.path.desk import Desk, Turn
from assistant.path.mouth import VOICE_BACK
from assistant.path.replying import again, speak, truthful, warned

HEARD_AGAIN = "I hear you again."
SIMULATED_STEP = 15.0
"""Simulated time passes in steps of this length, so that nothing in it is jumped over [second]."""


def meant(desk: Desk, intent: Intent) -> Turn:
    """Take an intent that was not spoken, for instance carrying on at the start of the program."""
    return take(desk, decide(desk.state, intent, desk.clock.now(), desk.sums), None)


def time_passes(desk: Desk) -> Turn | None:
    """Take the passing of time; None where it brings nothing."""
    events = moment(desk.state, desk.clock.now(), desk.check_in_after)
    if desk.caller and (tried := desk.caller.outcome()):
        events = (*events, e.HelpTried(tried.trial, tried.fault))
    desk.ears.catch_up()
    desk.mouth.catch_up()
    if events:
        return take(desk, events, None)
    return tell(desk) if desk.ears.warnings or desk.mouth.news() else None


def tell(desk: Desk) -> Turn:
    """Tell what became of ears and mouth, no fact of the job; after a time without them ask the last question again."""
    again = HEARD_AGAIN in desk.ears.warnings or VOICE_BACK in desk.mouth.news()
    asked = present(desk.state) if again else ""
    reply = warned(desk, Reply(asked, asked))
    speak(desk, reply)
    return Turn(None, (), desk.state, reply)


def let_time_pass(desk: Desk, seconds: float) -> Iterator[Turn]:
    """Let simulated time pass [second], and yield each turn that it brings."""
    while seconds > 0:
        desk.clock.move(min(SIMULATED_STEP, seconds))
        seconds -= SIMULATED_STEP
        if turn := time_passes(desk):
            yield turn


def let_calls_end(desk: Desk) -> Iterator[Turn]:
    """Wait for the calls for help that still run, and yield each turn that they bring."""
    while desk.caller and desk.caller.wait():
        if turn := time_passes(desk):
            yield turn


def opening(desk: Desk, recorded: tuple[e.Recorded, ...]) -> Turn:
    """Return the first turn of a job that was just written to the journal; it is not yet spoken."""
    reply = warned(desk, answer(desk.state, [row.event for row in recorded], desk.state))
    return Turn(None, recorded, desk.state, reply)


def take(desk: Desk, events: Sequence[e.Event], understanding: Understanding | None) -> Turn:
    """Write facts to the journal, add them to the state, and answer them: the one way by which anything happens."""
    before, at = desk.state, desk.clock.now()
    recorded = desk.journal.append(desk.job, events, at)  # on disk, or known not to be, before anything is said
    for event in events:
        desk.state = evolve(desk.state, event, at)
    _call_for_help(desk, events)
    reply = truthful(desk, warned(desk, again(desk, events) or answer(before, events, desk.state)))
    lasts = speak(desk, reply)
    if reply.say:
        desk.attentive_until = desk.clock.now() + timedelta(seconds=lasts) + ATTENTIVE
    return Turn(understanding, recorded, desk.state, reply)


def _call_for_help(desk: Desk, events: Sequence[e.Event]) -> None:
    """Run the owner's command where the alarm begins."""
    raised = any(
        isinstance(one, e.HelpCalled) or (isinstance(one, e.CheckedIn) and one.level == ALARM) for one in events
    )
    if desk.caller and raised:
        desk.caller.call(trial=False)
