"""From what was said or typed to a turn: what it means here, and whether it is for the assistant."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, timedelta

from assistant.core.data.catalogue import ASKS
from assistant.core.errors import ReadingError
from assistant.core.hearing.phrases import allowed
from assistant.core.hearing.verdict.attention import called, with_call
from assistant.core.hearing.verdict.found import Match
from assistant.core.hearing.verdict.matching import LONG_TALK
from assistant.core.hearing.verdict.understanding import understand
from assistant.core.job import events as e
from assistant.core.job.aside.telling import TOLD
from assistant.core.job.engine import understood
from assistant.core.job.question import Waiting, question
from assistant.core.job.typed_value import typed_value
from assistant.core.types import Hypothesis, Intent, Phrase, Understanding, Verdict
from assistant.path.desk import Desk, Turn
from assistant.path.stream import Spoken
from assistant.path.turn import take


def heard_sound(desk: Desk, spoken: Spoken) -> Turn:
    """Take what was said in one utterance to speech."""
    began = desk.clock.now() - timedelta(seconds=spoken.utterance.seconds)
    talk = spoken.utterance.amid_talk or (spoken.utterance.voiced or 0.0) >= LONG_TALK
    in_time = desk.attentive_until is not None and began <= desk.attentive_until
    return _understood(desk, spoken.match, began, expected=in_time and not talk and _answerable(desk))


_ANSWERABLE = frozenset({Waiting.ASIDE, Waiting.CONFIRM, Waiting.CONDITION, Waiting.VALUE, Waiting.EVIDENCE,
                         Waiting.READING, Waiting.CHOICE, Waiting.CLAIM, Waiting.NEW, Waiting.TIGHTEN, Waiting.TURN,
                         Waiting.OUT})  # fmt: skip
"""Questions that somebody was just asked; beside "next step" people talk of other things."""


def _answerable(desk: Desk) -> bool:
    """Return whether an answer is waited for whose possible answers were not told just now."""
    asked = question(desk.state)
    return asked.waiting in _ANSWERABLE and desk.prompted != str(asked)


def heard(desk: Desk, text: Hypothesis) -> Turn:
    """Take what was written on a keyboard to speech."""
    match = desk.ears.read(text, phrases_now(desk))
    now = desk.clock.now()
    beside = _beside(desk, text, match) if _addressed(desk, match, now) is match else None
    if beside:
        understanding = Understanding(Verdict.ACCEPTED, beside, heard=match.heard or (text,), expected=True)
        return take(desk, understood(desk.state, understanding, now, desk.sums), understanding)
    if match.verdict is Verdict.ACCEPTED or _addressed(desk, match, now) is not match:
        return _understood(desk, match, now, expected=True)
    try:
        value = typed_value(desk.state, text.text)
    except ReadingError as error:
        return take(desk, (e.Refused(error.code, error.say),), Understanding(Verdict.UNCLEAR, heard=match.heard))
    if value is None:
        return _understood(desk, match, now, expected=True)
    understanding = Understanding(
        Verdict.ACCEPTED, Intent("value", text.text, value), heard=match.heard or (text,), expected=True
    )
    return take(desk, understood(desk.state, understanding, now, desk.sums), understanding)


def _beside(desk: Desk, text: Hypothesis, match: Match) -> Intent | None:
    """Return what a typed line means beside the job: an answer with figures, or one that can't be said; or, word for
    word, what is to be worked out. None for any other line."""
    state, waiting = desk.state, question(desk.state).waiting
    if waiting is Waiting.ASIDE and state.aside[-1].work:
        asked = state.aside[-1]
        free = not (asked.slot or asked.options) and match.verdict is not Verdict.ACCEPTED
        return Intent(TOLD, text.text) if free or re.search(r"[0-9]", text.text) else None
    if waiting in (Waiting.PARKED, Waiting.PAUSED, Waiting.FINISHED, Waiting.ASIDE):
        return None
    option = desk.sums.catalogue.word_for_word(text.text)
    return Intent(ASKS, text.text, option=option) if option in desk.sums.catalogue.sums else None


def _understood(desk: Desk, match: Match, began: datetime, *, expected: bool) -> Turn:
    addressed = _addressed(desk, match, began)
    expected = expected and addressed is match
    match = addressed
    try:
        understanding = understand(match, str(desk.state.vehicle.units))
    except ReadingError as error:
        understanding = Understanding(Verdict.UNCLEAR, heard=match.heard)
        return take(desk, (e.Refused(error.code, error.say),), understanding)
    understanding = replace(understanding, expected=expected)
    events = understood(desk.state, understanding, desk.clock.now(), desk.sums)
    if not desk.keeps_words:
        events = tuple(e.without_words(event) for event in events)
    unheard = all(isinstance(event, e.NotUnderstood | e.LeftAlone) for event in events)
    desk.prompted = str(question(desk.state)) if unheard else ""
    return take(desk, events, understanding)


def _addressed(desk: Desk, match: Match, began: datetime) -> Match:
    """Return what was said to the assistant: where it wants to be called, all else is not for it.

    Somebody who was asked whether they are all right need not call.
    """
    attentive = desk.attentive_until and began <= desk.attentive_until
    if not desk.call or attentive or desk.state.check_in or called(match, desk.call):
        return match
    return Match(Verdict.NOT_FOR_ME, heard=match.heard)


def phrases_now(desk: Desk) -> tuple[Phrase, ...]:
    """Return what may be said now."""
    phrases = allowed(desk.state, desk.phrases)
    return with_call(phrases, desk.call) if desk.call else phrases
