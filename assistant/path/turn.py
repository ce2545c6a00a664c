"""THE DATA PATH, top to bottom: sound → utterance → hypotheses → intent → events → journal → state → reply → speech.

`Desk` holds the one job at hand and the ports; `heard` and `time_passes` are the only ways in.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from assistant.core.data.catalogue import ASKS, NO_SUMS, Sums
from assistant.core.errors import DeviceError, ReadingError
from assistant.core.hearing.phrases import allowed
from assistant.core.hearing.sound.segmenting import Segmenter
from assistant.core.hearing.verdict.attention import ATTENTIVE, called, with_call
from assistant.core.hearing.verdict.found import Match
from assistant.core.hearing.verdict.matching import LONG_TALK
from assistant.core.hearing.verdict.understanding import understand
from assistant.core.job import events as e
from assistant.core.job.alone import ALARM, moment
from assistant.core.job.aside.telling import TOLD
from assistant.core.job.engine import decide, understood
from assistant.core.job.question import Waiting, question
from assistant.core.job.state import State, evolve
from assistant.core.job.typed_value import typed_value
from assistant.core.reply.answers import answer, present
from assistant.core.types import RATE, Hypothesis, Intent, Phrase, Reply, Tone, Understanding, Verdict
from assistant.path.ears import Ears
from assistant.path.mouth import VOICE_BACK, Mouth
from assistant.path.stream import Spoken, Stream
from assistant.ports import Caller, Clock, Journal, LosableSource, SoundSource, VoiceActivity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

HEARD_AGAIN = "I hear you again."
SIMULATED_STEP = 15.0
"""Simulated time passes in steps of this length, so that nothing in it is jumped over [second]."""


@dataclass(frozen=True, slots=True)
class Turn:
    """One turn of the talk: what was understood, which facts followed, what was answered."""

    understanding: Understanding | None
    recorded: tuple[e.Recorded, ...]
    state: State
    reply: Reply


@dataclass(slots=True)
class Desk:
    """The job at hand, and what stands behind each port. The state changes only in `_take`."""

    job: str
    state: State
    journal: Journal
    clock: Clock
    ears: Ears
    phrases: tuple[Phrase, ...]
    sums: Sums = NO_SUMS
    """What may be worked out beside the job."""
    mouth: Mouth = field(default_factory=Mouth)
    call: Phrase | None = None
    """The words by which it wants to be called first; None where it need not be."""
    attentive_until: datetime | None = None
    """Until when it need not be called: it was called, or spoke itself, just before."""
    check_in_after: timedelta | None = None
    caller: Caller | None = None
    """Runs the owner's command for an alarm; None where none is set."""
    deaf: DeviceError | None = None
    """Why nothing is heard at all; None while all is well."""
    keeps_words: bool = False
    """Whether the journal keeps, word for word, what was not understood or not meant for the assistant."""
    prompted: str = ""
    """The question whose possible answers were told last, until something is understood again."""


def listen(desk: Desk, source: SoundSource, voice: VoiceActivity, segmenter: Segmenter) -> Iterator[Turn]:
    """Yield each turn that the sound of a source brings; time passes with the sound."""
    stream = Stream(desk.ears, voice, segmenter)
    losable = source if isinstance(source, LosableSource) else None
    for block in source.blocks():
        desk.clock.move(len(block) / RATE)
        audible = desk.mouth.audible
        turn = (_lost(desk, losable, stream) if losable else None) or _next(desk, stream, block)
        if turn:
            if (audible or desk.mouth.audible) and turn.reply.say:
                source.forget()
                stream.forget()
            yield turn
    if spoken := stream.flush(lambda: _phrases(desk)):
        yield heard_sound(desk, spoken)


def _next(desk: Desk, stream: Stream, block: NDArray[np.float32]) -> Turn | None:
    """Take the next block of sound."""
    spoken = stream.push(block, lambda: _phrases(desk))
    return heard_sound(desk, spoken) if spoken else _between(desk, stream)


def _lost(desk: Desk, source: LosableSource, stream: Stream) -> Turn | None:
    """Tell that the microphone is gone; that it is back is told once nobody speaks. Drop what a gap has cut off."""
    if source.broken:
        stream.forget()
    before, desk.deaf = desk.deaf, source.lost
    if before and not desk.deaf:
        desk.ears.warnings.append(HEARD_AGAIN)
    if before or not desk.deaf:
        return None
    desk.ears.faults.append(desk.deaf)
    desk.ears.warnings.append(desk.deaf.say)
    return _tell(desk)


def _between(desk: Desk, stream: Stream) -> Turn | None:
    """Give way to a person who speaks; else let time pass, but not into what is being said."""
    if stream.speaking:
        desk.mouth.give_way()
        return None
    return None if desk.mouth.talking else time_passes(desk)


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
    match = desk.ears.read(text, _phrases(desk))
    now = desk.clock.now()
    beside = _beside(desk, text, match) if _addressed(desk, match, now) is match else None
    if beside:
        understanding = Understanding(Verdict.ACCEPTED, beside, heard=match.heard or (text,), expected=True)
        return _take(desk, understood(desk.state, understanding, now, desk.sums), understanding)
    if match.verdict is Verdict.ACCEPTED or _addressed(desk, match, now) is not match:
        return _understood(desk, match, now, expected=True)
    try:
        value = typed_value(desk.state, text.text)
    except ReadingError as error:
        return _take(desk, (e.Refused(error.code, error.say),), Understanding(Verdict.UNCLEAR, heard=match.heard))
    if value is None:
        return _understood(desk, match, now, expected=True)
    understanding = Understanding(
        Verdict.ACCEPTED, Intent("value", text.text, value), heard=match.heard or (text,), expected=True
    )
    return _take(desk, understood(desk.state, understanding, now, desk.sums), understanding)


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
        return _take(desk, (e.Refused(error.code, error.say),), understanding)
    understanding = replace(understanding, expected=expected)
    events = understood(desk.state, understanding, desk.clock.now(), desk.sums)
    if not desk.keeps_words:
        events = tuple(e.without_words(event) for event in events)
    unheard = all(isinstance(event, e.NotUnderstood | e.LeftAlone) for event in events)
    desk.prompted = str(question(desk.state)) if unheard else ""
    return _take(desk, events, understanding)


def _addressed(desk: Desk, match: Match, began: datetime) -> Match:
    """Return what was said to the assistant: where it wants to be called, all else is not for it.

    Somebody who was asked whether they are all right need not call.
    """
    attentive = desk.attentive_until and began <= desk.attentive_until
    if not desk.call or attentive or desk.state.check_in or called(match, desk.call):
        return match
    return Match(Verdict.NOT_FOR_ME, heard=match.heard)


def _phrases(desk: Desk) -> tuple[Phrase, ...]:
    """Return what may be said now."""
    phrases = allowed(desk.state, desk.phrases)
    return with_call(phrases, desk.call) if desk.call else phrases


def meant(desk: Desk, intent: Intent) -> Turn:
    """Take an intent that was not spoken, for instance carrying on at the start of the program."""
    return _take(desk, decide(desk.state, intent, desk.clock.now(), desk.sums), None)


def time_passes(desk: Desk) -> Turn | None:
    """Take the passing of time; None where it brings nothing."""
    events = moment(desk.state, desk.clock.now(), desk.check_in_after)
    if desk.caller and (tried := desk.caller.outcome()):
        events = (*events, e.HelpTried(tried.trial, tried.fault))
    desk.ears.catch_up()
    desk.mouth.catch_up()
    if events:
        return _take(desk, events, None)
    return _tell(desk) if desk.ears.warnings or desk.mouth.news() else None


def _tell(desk: Desk) -> Turn:
    """Tell what became of ears and mouth, no fact of the job; after a time without them ask the last question again."""
    again = HEARD_AGAIN in desk.ears.warnings or VOICE_BACK in desk.mouth.news()
    asked = present(desk.state) if again else ""
    reply = _warned(desk, Reply(asked, asked))
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
    reply = _warned(desk, answer(desk.state, [row.event for row in recorded], desk.state))
    return Turn(None, recorded, desk.state, reply)


def _take(desk: Desk, events: Sequence[e.Event], understanding: Understanding | None) -> Turn:
    before, at = desk.state, desk.clock.now()
    recorded = desk.journal.append(desk.job, events, at)  # on disk, or known not to be, before anything is said
    for event in events:
        desk.state = evolve(desk.state, event, at)
    _call_for_help(desk, events)
    reply = _true(desk, _warned(desk, _again(desk, events) or answer(before, events, desk.state)))
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


KEPT, NOT_KEPT = "Nothing is lost.", "What you said last is not written yet: it is lost where I end now."


def _true(desk: Desk, reply: Reply) -> Reply:
    """Return a reply without the promise that nothing is lost, where facts still wait to be written."""
    if not desk.journal.behind:
        return reply
    return replace(reply, say=reply.say.replace(KEPT, NOT_KEPT), show=reply.show.replace(KEPT, NOT_KEPT))


def _warned(desk: Desk, reply: Reply) -> Reply:
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


def _again(desk: Desk, events: Sequence[e.Event]) -> Reply | None:
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
