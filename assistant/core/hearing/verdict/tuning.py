"""Holds what follows from a first talk with a person: advice, and thresholds of their own within bounds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from assistant.core.hearing.sound.levels import CLIPPED_LIMIT
from assistant.core.hearing.sound.room import Room, Voice
from assistant.core.hearing.verdict.judging import JudgeSettings
from assistant.core.types import Verdict

LAXER, STRICTER = 0.1, 0.15
"""How far a person's threshold may lie from the fitted one [nat a letter]: what is refused must stay refused."""
SURER = 0.85
"""Probability from which a phrase is taken of a person of whom a wrong one was. A choice."""
QUIETEST_DB = -45.0
"""Level of speech below which a microphone is too far away or turned down, of full scale [decibel]. A choice."""
GOOD_SNR, LEAST_SNR = 15.0, 6.0
"""Ratios of speech to noise that are good, and that are hardly enough [decibel]; see the table in ../README.md."""
HUM = 0.5
"""Share of a room's noise that makes it a hum."""

SENTENCES = (
    "next step", "what is still open", "that was wrong", "say that again", "what is the torque",
    "thirty newton metres", "three point eight litres", "fifteen", "fifty", "the dipstick is near low",
)  # fmt: skip
"""What a new user is asked to say: usual commands, a torque, an amount, and the pair that is confused most."""


@dataclass(frozen=True, slots=True)
class Take:
    """One sentence as it was said and heard."""

    asked: str
    heard: str
    """The phrase that it was taken for, or the best guess; empty where nothing was heard."""
    verdict: Verdict
    score: float
    right: bool
    """Whether what was heard means what was asked."""
    voice: Voice | None
    """None where nobody spoke."""


def tuned(settings: JudgeSettings, takes: Sequence[Take]) -> JudgeSettings:
    """Return a person's thresholds: laxer where right sentences scored low, stricter where a wrong one was taken."""
    wrong = [take.score for take in takes if take.verdict is Verdict.ACCEPTED and not take.right]
    right = [take.score for take in takes if take.right]
    accept, sure = settings.accept, settings.sure
    if wrong:
        accept, sure = min(accept + STRICTER, max(accept, *wrong) + 0.01), max(sure, SURER)
    elif right:
        accept = max(accept - LAXER, min(accept, *right))
    heard = [take.voice.snr_db for take in takes if take.right and take.voice]
    least = max(settings.least_snr, min(heard, default=settings.least_snr) - GOOD_SNR)
    return replace(settings, accept=accept, sure=sure, ask=min(settings.ask, accept), least_snr=least)


def advice(room: Room, takes: Sequence[Take]) -> tuple[str, ...]:
    """Return what to change, most important first; empty where all is well."""
    voices = [take.voice for take in takes if take.voice]
    if not voices:
        return ("I heard no speech at all. Check that the right microphone is chosen, and that it is not muted.",)
    return tuple(_of_the_sound(room, voices)) + tuple(_of_the_words(takes))


def _of_the_sound(room: Room, voices: Sequence[Voice]) -> list[str]:
    said = []
    if sum(voice.clipped > CLIPPED_LIMIT for voice in voices) > len(voices) / 3:
        said.append("Your voice is too loud for the microphone. Turn it down, or move it away from your mouth.")
    if sum(voice.telephone for voice in voices) > len(voices) / 2:
        said.append(
            "The sound is as narrow as a telephone's. Choose another microphone, or turn off the hands-free mode."
        )
    if max(voice.level_db for voice in voices) < QUIETEST_DB:
        said.append("Your voice is faint. Come closer to the microphone, or turn it up.")
    ratios = sorted(voice.snr_db for voice in voices)
    middle = ratios[len(ratios) // 2]
    if middle < GOOD_SNR:
        what = "It is a hum, as from a compressor or a bad cable." if room.hum > HUM else ""
        how = "hardly enough" if middle >= LEAST_SNR else "too little"
        said.append(f"Your voice is {middle:.0f} decibels above the noise, which is {how}. {what}".strip())
        said.append("Come closer, wear a headset, or stop what makes the noise.")
    return said


def _of_the_words(takes: Sequence[Take]) -> list[str]:
    said = []
    for take in takes:
        if take.voice is None:
            said.append(f"I did not hear you say: {take.asked}.")
        elif not take.right:
            heard = f"I took it for: {take.heard}" if take.heard else "I took it for nothing"
            said.append(f"You said: {take.asked}. {heard}. Say it slower, or in other words.")
    numbers = {take.asked for take in takes if not take.right} & {"fifteen", "fifty"}
    if numbers:
        said.append("For numbers that sound alike, say the digits too: one five, five zero.")
    return said
