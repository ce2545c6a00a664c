"""THE DATA PATH, top to bottom: sound → utterance → hypotheses → intent → events → journal → state → reply → speech.

`Desk` holds the one job at hand and the ports; `heard` and `time_passes` are the only ways in.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from assistant.core import events as e
from assistant.core.answers import answer
from assistant.core.engine import decide, moment, understood
from assistant.core.errors import DeviceError, ReadingError
from assistant.core.hearing.found import Match
from assistant.core.hearing.phrases import allowed
from assistant.core.hearing.segmenting import LONG_END, USUAL_END, Segmenter
from assistant.core.hearing.understanding import understand
from assistant.core.question import Waiting, question
from assistant.core.state import State, evolve
from assistant.core.types import RATE, Hypothesis, Intent, Phrase, Reply, Understanding, Utterance, Verdict
from assistant.ears import Ears
from assistant.ports import Clock, Journal, Player, SoundSource, Speech, VoiceActivity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

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
    speech: Speech | None = None
    player: Player | None = None
    check_in_after: timedelta | None = None


def listen(desk: Desk, source: SoundSource, voice: VoiceActivity, segmenter: Segmenter) -> Iterator[Turn]:
    """Cut a source into utterances and yield each turn as it ends; time passes with the sound."""
    following = False
    for block in source.blocks():
        desk.clock.move(len(block) / RATE)
        segmenter.end_silence = _patience(desk.state)
        utterance = segmenter.push(block, voice(block))
        following = _follow(desk, segmenter, block, following=following)
        if utterance:
            yield heard_sound(desk, utterance)
            source.forget()
            voice.reset()
        elif not segmenter.speaking and (turn := time_passes(desk)):
            yield turn
            source.forget()
    if utterance := segmenter.flush():
        yield heard_sound(desk, utterance)


def _follow(desk: Desk, segmenter: Segmenter, block: NDArray[np.float32], *, following: bool) -> bool:
    """Let the engines that can listen while the person still speaks; return whether somebody speaks."""
    if not segmenter.speaking:
        return False
    if following:
        desk.ears.follow(block, None)
    else:
        desk.ears.follow(segmenter.held, allowed(desk.state, desk.phrases))
    return True


def _patience(state: State) -> float:
    """Return how long a silence ends an utterance [second]: longer where a number may still go on."""
    numbers = (Waiting.READING, Waiting.TIGHTEN, Waiting.VALUE, Waiting.EVIDENCE)
    return LONG_END if question(state).waiting in numbers else USUAL_END


def heard_sound(desk: Desk, utterance: Utterance) -> Turn:
    """Take one utterance from sound to speech."""
    return _understood(desk, desk.ears.hear(utterance, allowed(desk.state, desk.phrases)))


def heard(desk: Desk, text: Hypothesis) -> Turn:
    """Take what was written on a keyboard to speech."""
    return _understood(desk, desk.ears.read(text, allowed(desk.state, desk.phrases)))


def _understood(desk: Desk, match: Match) -> Turn:
    try:
        understanding = understand(match, str(desk.state.vehicle.units))
    except ReadingError as error:
        understanding = Understanding(Verdict.UNCLEAR, heard=match.heard)
        return _take(desk, (e.Refused(error.code, error.say),), understanding)
    return _take(desk, understood(desk.state, understanding, desk.clock.now()), understanding)


def meant(desk: Desk, intent: Intent) -> Turn:
    """Take an intent that was not spoken, for instance carrying on at the start of the program."""
    return _take(desk, decide(desk.state, intent, desk.clock.now()), None)


def time_passes(desk: Desk) -> Turn | None:
    """Take the passing of time; None where it brings nothing."""
    events = moment(desk.state, desk.clock.now(), desk.check_in_after)
    return _take(desk, events, None) if events else None


def let_time_pass(desk: Desk, seconds: float) -> Iterator[Turn]:
    """Let simulated time pass [second], and yield each turn that it brings."""
    while seconds > 0:
        desk.clock.move(min(SIMULATED_STEP, seconds))
        seconds -= SIMULATED_STEP
        if turn := time_passes(desk):
            yield turn


def opening(desk: Desk, recorded: tuple[e.Recorded, ...]) -> Turn:
    """Return the first turn of a job that was just written to the journal; it is not yet spoken."""
    reply = answer(desk.state, [row.event for row in recorded], desk.state)
    return Turn(None, recorded, desk.state, reply)


def _take(desk: Desk, events: Sequence[e.Event], understanding: Understanding | None) -> Turn:
    before, at = desk.state, desk.clock.now()
    recorded = desk.journal.append(desk.job, events, at)  # on disk before anything is said
    for event in events:
        desk.state = evolve(desk.state, event, at)
    reply = answer(before, events, desk.state)
    speak(desk, reply)
    return Turn(understanding, recorded, desk.state, reply)


def speak(desk: Desk, reply: Reply) -> None:
    """Say a reply aloud, and render ahead what "next step" would bring. Without a voice the text goes on."""
    if not (desk.speech and desk.player and reply.say):
        return
    try:
        desk.player.play(desk.speech.render(reply.say), reply.tone)
        desk.speech.prepare(_after_next(desk))
    except DeviceError as fault:
        desk.ears.faults.append(fault)
        desk.speech = None


def _after_next(desk: Desk) -> str:
    at = desk.clock.now()
    events = decide(desk.state, Intent("next"), at)
    after = desk.state
    for event in events:
        after = evolve(after, event, at)
    return answer(desk.state, events, after).say
