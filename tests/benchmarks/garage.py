"""The sound of a long day in a workshop, made as it is heard: one person at a car, other talk, machines, and silence.

What the person says depends on where the job is, as in a job; they wait until a reply is over. Voices are synthetic.
"""

from __future__ import annotations

import random
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import cycle
from pathlib import Path

import numpy as np

from assistant.commands.hear import BLOCK
from assistant.core.grammar.jsgf import Rules
from assistant.core.hearing.phrases import allowed
from assistant.core.job.question import Waiting, question
from assistant.core.types import RATE, Intent, Tone
from assistant.path.desk import Desk
from tests.benchmarks.hearing import VOICES
from tests.benchmarks.sayings import draw, other_talk
from tests.benchmarks.sounds import NOISES, Sound, in_noise, say
from tests.long_job import QUESTIONS, Mechanic, wording

HISS, LOUD = 0.0005, 0.05
"""Loudness of a silent room and of a machine, full scale being 1."""
PAUSES = (15.0, 80.0)
"""How long nobody speaks between two utterances, from and to [second]."""
SHARES = {"command": 70, "talk": 12, "noise": 18}
"""How often what comes after a pause [percent]."""
IN_NOISE, RATIO_DB = 0.25, 10.0
"""Share of the commands that are said in a noise, and how far above it [decibel]."""
LEAD = 3 * RATE
"""How long a noise is there before somebody speaks in it."""
AFTER = 4 * RATE
"""Silence after an utterance: longer than any wait for its end."""
KEPT_NOISE = 20 * RATE
AUDIBLE = 0.03
"""Share of its loudest sample below which the end of a sentence is silence."""


@dataclass(slots=True)
class Said:
    """What was said last."""

    meant: Intent
    text: str
    end: int
    """Where it ends in the sound of the day [sample]."""


@dataclass(slots=True)
class Garage:
    """Implements `ports.SoundSource` and `ports.Player`: what it hears and what it plays takes simulated time."""

    desk: Desk
    rules: Rules
    folder: Path
    mechanic: Mechanic
    until: float = 0.0
    """Up to where the sound goes [second]."""
    name: str = "the workshop"
    playing: bool = False
    """Never: a reply is over when `play` returns."""
    position: int = 0
    """How much of the day is over [sample]."""
    said: Said | None = None
    """The command that was said last."""
    late: float | None = None
    """How long after its end the reply to it began [second]; None until there is one."""
    commands: int = 0
    utterances: int = 0
    """How often anybody spoke, other talk included."""
    _behind: float = 0.0
    """How much later than the sound the program is [second]."""
    _yielded: float = 0.0
    _chance: random.Random = field(default_factory=lambda: random.Random(1))
    _hiss: Sound = field(init=False)
    _noises: dict[str, Sound] = field(init=False)
    _talk: Iterator[str] = field(default_factory=lambda: cycle(other_talk()))

    def __post_init__(self) -> None:
        """Make what is heard again and again, so that the benchmark itself needs no more memory later."""
        hiss = np.random.default_rng(1).normal(0, HISS, 10 * RATE)
        self._hiss = hiss.astype(np.float32)
        self._noises = {name: _level(make(KEPT_NOISE, 1)) for name, make in NOISES.items()}

    # --- what is heard ---

    def blocks(self) -> Iterator[Sound]:
        """Yield the day from where it is until `until`."""
        while self.position < self.until * RATE:
            yield from self._fed(self._quiet(self._chance.uniform(*PAUSES)))
            kind = self._chance.choices(tuple(SHARES), tuple(SHARES.values()))[0]
            if kind == "command":
                yield from self._command()
            elif kind == "talk":
                yield from self._other()
            else:
                yield from self._fed(self._noises[self._chance.choice(tuple(NOISES))])
            yield from self._fed(self._quiet(AFTER / RATE))
            self.said = None  # what is said from now on answers something else

    def _command(self) -> Iterator[Sound]:
        state, now = self.desk.state, self.desk.clock.now()
        waits = question(state).waiting is Waiting.TIME
        meant = Intent(self._chance.choice(QUESTIONS)) if waits else self.mechanic.means(state, now)
        text = self.words(meant)
        if not text:
            return
        voice = VOICES[self.commands % len(VOICES)]
        spoken = say(text, voice, self.folder)
        end = int(np.flatnonzero(np.abs(spoken) > AUDIBLE * np.abs(spoken).max())[-1])  # voices end with silence
        if self._chance.random() < IN_NOISE:
            noise = self._chance.choice(tuple(NOISES))
            spoken = in_noise(np.pad(spoken, (LEAD, RATE)), noise, RATIO_DB, self.commands)
            end += LEAD
        self.commands += 1
        self.utterances += 1
        self.said, self.late = Said(meant, text, self.position + end), None
        yield from self._fed(spoken)

    def words(self, meant: Intent) -> str:
        """Return a sentence that says what is meant; empty where nothing that may be said now does."""
        says = wording(meant, allowed(self.desk.state, self.desk.phrases), self._chance)
        return draw(says, self.rules, self._chance) if says else ""

    def _other(self) -> Iterator[Sound]:
        self.utterances += 1
        words = [word for word in next(self._talk).split() if word[0].isalpha()][: self._chance.randint(6, 40)]
        yield from self._fed(say(" ".join(words), self._chance.choice(VOICES), self.folder))

    def _quiet(self, seconds: float) -> Sound:
        return np.zeros(int(seconds * RATE), np.float32)

    def _fed(self, sound: Sound) -> Iterator[Sound]:
        """Yield a sound in blocks, and keep how far the program falls behind it."""
        padded = np.pad(sound, (0, -len(sound) % BLOCK))
        whole = padded + np.resize(self._hiss, len(padded))
        for start in range(0, len(whole), BLOCK):
            self.position += BLOCK
            self._behind = max(0.0, self._behind - BLOCK / RATE)
            self._yielded = time.perf_counter()
            yield whole[start : start + BLOCK]
            self._behind += time.perf_counter() - self._yielded

    def forget(self) -> None:
        """Nothing: what sounds during a reply was never made."""

    def close(self) -> None:
        """Nothing: the day goes on."""

    # --- what is played ---

    def play(self, samples: Sound, tone: Tone = Tone.PLAIN) -> None:
        """Let the time of a reply pass; it comes as late as it would after sound from a microphone."""
        if self.said and self.late is None:
            since = (self.position - self.said.end) / RATE
            self.late = since + self._behind + time.perf_counter() - self._yielded
        self.position += len(samples) // BLOCK * BLOCK
        self.desk.clock.move(len(samples) / RATE)

    start = play

    def stop(self) -> None:
        """Nothing sounds."""


def _level(sound: Sound) -> Sound:
    level = float(np.sqrt(np.mean(np.square(sound))))
    return (sound * np.float32(LOUD / level)).astype(np.float32)
