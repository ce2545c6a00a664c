"""A reply before it is spoken: warnings go first, nothing untrue is promised; and spoken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from assistant.core.job import events as e
from assistant.core.job.engine import decide
from assistant.core.job.state import evolve
from assistant.core.reply.answers import answer
from assistant.core.types import Intent, Reply, Tone
from assistant.path.desk import Desk

KEPT, NOT_KEPT = "Nothing is lost.", "What you said last is not written yet: it is lost where I end now."


def truthful(desk: Desk, reply: Reply) -> Reply:
    """Return a reply without the promise that nothing is lost, where facts still wait to be written."""
    if not desk.journal.behind:
        return reply
    return replace(reply, say=reply.say.replace(KEPT, NOT_KEPT), show=reply.show.replace(KEPT, NOT_KEPT))


def warned(desk: Desk, reply: Reply) -> Reply:
    """Return a reply with what has to be said of ears, mouth and journal before it."""
    desk.mouth.catch_up()
    news = [*desk.mouth.news(), *desk.ears.warnings, *desk.journal.warnings]
    if not news:
        return reply
    say = " ".join([*news, reply.say]).strip()
    desk.ears.warnings.clear()
    desk.journal.warnings.clear()
    tone = Tone.WARN if reply.tone is Tone.PLAIN else reply.tone
    return replace(reply, say=say, show=say, tone=Tone.ALARM if desk.mouth.missed_alarm else tone)


_LEAVES_OFF = (e.Asked("repeat"), e.Asked("hush"))
"""What may be said after breaking in, and the reply that was cut off is still the one to repeat."""


def again(desk: Desk, events: Sequence[e.Event]) -> Reply | None:
    """Return the reply that was cut off, where it is asked for again; forget it where the talk has moved on."""
    if not all(isinstance(event, e.LeftAlone | e.NotUnderstood) or event in _LEAVES_OFF for event in events):
        desk.mouth.cut_off = None
    return desk.mouth.cut_off if e.Asked("repeat") in events else None


def speak(desk: Desk, reply: Reply) -> float:
    """Say a reply aloud, and render ahead what "next step" would bring. Without a voice the text goes on.

    Returns how long it will still sound [second].
    """
    lasts = desk.mouth.say(reply, last=desk.state.finished_at is not None)
    desk.ears.faults += desk.mouth.faults
    desk.mouth.faults.clear()
    if reply.say:
        desk.mouth.prepare(_after_next(desk))
    return lasts


def _after_next(desk: Desk) -> str:
    at = desk.clock.now()
    events = decide(desk.state, Intent("next"), at)
    after = desk.state
    for event in events:
        after = evolve(after, event, at)
    return answer(desk.state, events, after).say
