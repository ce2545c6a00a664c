"""Hears sound files by a grammar, or by a step of a job, and tells what was said in them. Prints nothing.

Voice activity, cutting, recogniser and matching are those of a real job; nothing follows from what is heard.
"""

from __future__ import annotations

import argparse
import json
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING
from zlib import crc32

import numpy as np

from assistant import wiring
from assistant.core.errors import AssistantError, DataError, ReadingError
from assistant.core.grammar.jsgf import Rules
from assistant.core.grammar.public_rules import phrases_of
from assistant.core.hearing.phrases import allowed_at
from assistant.core.hearing.sound.levels import inspect_sound
from assistant.core.hearing.sound.mixing import Mixture, mixed, require_mixable
from assistant.core.hearing.sound.segmenting import Segmenter
from assistant.core.hearing.verdict.found import Match
from assistant.core.hearing.verdict.report import Heard, line, record, summary
from assistant.core.job.at_step import state_at
from assistant.core.types import RATE, Phrase, Utterance, Verdict
from assistant.path.ears import Ears
from assistant.path.stream import Spoken, Stream
from assistant.ports import VoiceActivity

if TYPE_CHECKING:
    from numpy.typing import NDArray

Mix = Callable[["NDArray[np.float32]", Path], Mixture]
"""Lays a noise under the sound of a file."""

NO_SPEECH = "No speech was found in it."
BLOCK = 512
"""What the voice detector takes at once [sample]."""
LEAD = 0.3
"""Silence put before a file, and the silence that ends an utterance after it [second]: a recording that is cut close
to its words is waited for as a microphone is. Of 100 lone digits of four people, cut close, 99 were so found; 91
without a lead, and 98 with 0.1, 0.5 or 1 second."""
PROGRESS = 20
"""So many times at most it is told how far the work is."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What may be said."""

    phrases: tuple[Phrase, ...]
    rules: Rules
    system: str
    """The owner's system of units."""
    depth: int | None
    """How many rules inside each other are told as slots; None means all."""


@dataclass(frozen=True, slots=True)
class Way:
    """How files are listened to."""

    end_silence: float
    """Silence that ends an utterance [second]."""
    noise: Path | None = None
    snr_db: float | None = None
    engines: tuple[str, ...] = ()
    """Short names; none means all that are there."""
    seed: int = 0
    """By which the place in the noise is drawn for each file."""


def command(options: argparse.Namespace, data: Path, show: Callable[[str], None], note: Callable[[str], None]) -> int:
    """Tell what is said in the files that the options name, and return the exit code."""
    if options.grammar:
        wanted = by_grammar(options.grammar)
    elif options.step:
        wanted = by_step(data, options.job, options.step, options.vehicle)
    else:
        raise DataError(
            f"say at which step, with --step STEP. List them with: assistant list steps --job {options.job}"
        )
    way = Way(options.end_silence, options.noise, options.snr, options.engines, options.seed)
    return hear(options.files, wanted, way, data, as_json=options.json, show=show, note=note)


def by_grammar(file: Path) -> Wanted:
    """Return what the public rules of a grammar file allow."""
    grammar = wiring.read_grammar(file)
    return Wanted(phrases_of(grammar, str(file)), grammar.rules, "", None)


def by_step(data: Path, job: str, step: str, vehicle: str | None) -> Wanted:
    """Return what may be said at a step of a job; without a vehicle, on the first that there is."""
    shelf = wiring.library(data)
    car = shelf.vehicle(vehicle) if vehicle else shelf.vehicles()[0]
    state = state_at(shelf.job(job), car, step, wiring.SystemClock().now())
    return Wanted(allowed_at(state, shelf.phrases()), shelf.rules(), str(car.units), 1)


@dataclass(slots=True)
class Listener:
    """What listens to one file after the other."""

    ears: Ears
    phrases: tuple[Phrase, ...]
    voice: VoiceActivity
    end_silence: float
    mix: Mix

    def hear(self, file: Path) -> Iterator[Heard]:
        """Yield what was heard in a file, one after the other; at least one.

        DataError where it is no sound file, or the noise can't be laid under it.
        """
        samples = wiring.read_sound(file)
        lead = int(LEAD * RATE)
        around = np.pad(samples, (lead, int(self.end_silence * RATE) + BLOCK))
        both = self.mix(around, file)
        under = both.noise_start, both.snr_db
        heard_any = False
        stream = Stream(self.ears, self.voice, Segmenter(end_silence=self.end_silence))
        self.voice.reset()
        for one in listened(stream, both.samples, self.phrases):
            heard_any = True
            utterance = one.spoken.utterance
            start = max(0, utterance.start - lead)
            note = _note(utterance)
            yield Heard(str(file), start, utterance.seconds, one.spoken.match, one.computed, one.late, note, *under)
        if not heard_any:
            fault = inspect_sound(samples)
            note = f"{fault.value} {NO_SPEECH}" if fault else NO_SPEECH
            yield Heard(str(file), 0, len(samples) / RATE, Match(Verdict.NOT_FOR_ME), 0.0, None, note, *under)


@dataclass(frozen=True, slots=True)
class Timed:
    """What was said, and how long it took."""

    spoken: Spoken
    computed: float
    """Time of the processor's work on it [second]."""
    late: float
    """From the last voiced sound to the verdict, had the sound come from a microphone [second]."""


def listened(stream: Stream, samples: NDArray[np.float32], phrases: Sequence[Phrase]) -> Iterator[Timed]:
    """Yield what is said in a sound, block by block as from a microphone, which does not wait for what takes long."""
    computed = behind = 0.0
    for block in (*np.pad(samples, (0, -len(samples) % BLOCK)).reshape(-1, BLOCK), None):
        began = time.perf_counter()
        spoken = stream.flush(lambda: phrases) if block is None else stream.push(block, lambda: phrases)
        took = time.perf_counter() - began
        behind = max(0.0, behind - BLOCK / RATE) + took
        computed += took
        if spoken:
            yield Timed(spoken, computed, spoken.utterance.waited + behind)
        if spoken or not stream.speaking:
            computed = 0.0


def _note(utterance: Utterance) -> str | None:
    """Return what may have harmed an utterance."""
    fault = inspect_sound(utterance.samples)
    notes = [str(fault.value)] if fault else []
    if utterance.cut:
        notes.append(f"It was cut after {utterance.seconds:.0f} seconds.")
    return " ".join(notes) or None


def hear(
    files: Sequence[Path],
    wanted: Wanted,
    way: Way,
    data: Path,
    *,
    as_json: bool,
    show: Callable[[str], None],
    note: Callable[[str], None],
) -> int:
    """Hear all files and return the exit code: 0, 1 where an engine failed, 2 where a file could not be read."""
    mix = mixer(way.noise, way.snr_db, way.seed)
    if way.engines:
        engines = wiring.chosen_recognisers(data, way.engines, wanted.rules)
    else:
        engines = wiring.recognisers(data, note, wanted.rules)
    ears = Ears(wiring.phrasebook(wanted.rules), engines)
    listener = Listener(ears, wanted.phrases, wiring.SileroVoice(), way.end_silence, mix)
    ears.hear(Utterance(np.zeros(RATE // 2, np.float32), 0), wanted.phrases)  # what is loaded late delays no verdict
    try:
        return _hear_all(files, wanted, listener, as_json=as_json, show=show, note=note)
    finally:
        ears.close()


def _hear_all(
    files: Sequence[Path],
    wanted: Wanted,
    listener: Listener,
    *,
    as_json: bool,
    show: Callable[[str], None],
    note: Callable[[str], None],
) -> int:
    began, code = time.perf_counter(), 0
    heard: list[Heard] = []
    for number, file in enumerate(files, 1):
        if len(files) > 1 and number % -(-len(files) // PROGRESS) == 0:
            note(f"{number} of {len(files)}: {file}")
        try:
            for one in listener.hear(file):
                heard.append(one)
                show(json.dumps(record(one, wanted.system, wanted.depth), ensure_ascii=False) if as_json else line(one))
        except DataError as error:
            note(f"error: {error}")
            code = 2
        code = max(code, _faults(listener.ears, note))
    if not as_json:
        show("\n".join(summary(heard, len(files), time.perf_counter() - began)))
    return code


def _faults(ears: Ears, note: Callable[[str], None]) -> int:
    """Tell what failed and was done without; return the exit code that it makes."""
    faults: list[AssistantError] = [*ears.faults]
    ears.faults.clear()
    for fault in faults:
        note(f"note: {fault}")
    return 1 if faults else 0


@dataclass(slots=True)
class Mixer:
    """Lays a stretch of its own of one noise under each file."""

    noise: Path
    samples: NDArray[np.float32]
    snr_db: float
    seed: int
    names: Counter[str] = field(default_factory=Counter)

    def __call__(self, samples: NDArray[np.float32], file: Path) -> Mixture:
        """Return the mixture; the place depends on the seed, the file's name and how often the name came before.

        So a file has the same noise alone, among others and in another folder. DataError where it can't be done.
        """
        self.names[file.name] += 1
        seed = self.seed, crc32(file.name.encode()), self.names[file.name]
        try:
            return mixed(samples, self.samples, self.snr_db, seed)
        except ReadingError as error:
            raise DataError(f"{self.noise}, for {file}: {error}", say=error.say) from error


def mixer(noise: Path | None, snr_db: float | None, seed: int) -> Mix:
    """Return what lays the noise in a file under sounds; DataError where it can't be done."""
    if noise is None and snr_db is None:
        return lambda samples, _: Mixture(samples)
    if noise is None or snr_db is None:
        raise DataError("noise takes both: --noise FILE, and --snr DB for how far the speech lies above it")
    under = wiring.read_sound(noise)
    try:
        require_mixable(under, snr_db)
    except ReadingError as error:
        raise DataError(f"{noise}: {error}", say=error.say) from error
    return Mixer(noise, under, snr_db, seed)
