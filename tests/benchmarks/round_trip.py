"""Says numbers as the assistant says them, hears them again, and prints which of them came back right.

Worded by the program, spoken by its speech engine, written down freely by Whisper and by Moonshine, and
read by `numbers.py`. A number is right where one of the two writes it, an amount where its unit is written with it;
what both miss is shown.
The numbers are invented; the torques cover what a car needs (common practice, no source) and every teen and ten, which
sound alike. A recogniser is no person: what it gets right is not proven clear, but what it gets wrong is unclear.

    python -m tests.benchmarks.round_trip
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from fractions import Fraction
from itertools import chain
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.library import Library, read_manifest
from assistant.adapters.recogniser_moonshine import MoonshineRecogniser
from assistant.adapters.recogniser_whisper import WhisperRecogniser
from assistant.adapters.speech_pyttsx3 import Pyttsx3Speech
from assistant.core.errors import ReadingError
from assistant.core.job import events as e
from assistant.core.job.engine import open_job
from assistant.core.job.state import State, evolve, fold
from assistant.core.job.wording import say_value
from assistant.core.quantities.figures import written_as_words
from assistant.core.quantities.number_words import number_of
from assistant.core.quantities.numbers import quantity_of
from assistant.core.quantities.saying import say_duration
from assistant.core.quantities.units import Amount, Kind, amount
from assistant.core.reply.answers import answer
from assistant.core.types import RATE, Utterance

AT = datetime(2026, 1, 1, tzinfo=UTC)
TORQUES = (
    *(f"{number} N·m" for number in (
        8, 10, "12.5", 13, 14, 15, 16, 17, 18, 19, 20, "22.5", 25, 28, 30, 33, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80,
        90, 98, 100, 110, 113, 120, 130, 140, 150, 160, 180, 200)),
    *(f"{number} lbf·ft" for number in (9, 18, 22, 28, 30, 50, 66, 80, 100)),
)  # fmt: skip
VOLUMES = ("0.2 L", "0.5 L", "0.7 L", "0.8 L", "1.3 L", "3.5 L", "3.8 L", "4.3 L", "5.6 L", "6.2 L", "0.5 US qt",
           "0.9 US qt", "5.5 US qt", "6.9 imp pt")  # fmt: skip
DISTANCES = ("84200 km", "99200 km", "15000 km", "50000 km", "113040 km", "7500 mi", "52000 mi", "60400 mi")
MASSES = ("1340 kg", "1000 kg", "1780 kg", "4080 lb", "2 t")
MOST_WORDS = 12
"""Words that an amount may have."""
Named = TypeVar("Named")
DURATIONS = (15, 30, 45, 60, 180, 300, 600, 780, 900, 1800, 3000)
"""Times that are left [second]."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """What is said, and the number in it."""

    text: str
    value: Amount


def sentences() -> Iterator[Sentence]:
    """Yield every sentence, worded by the procedure and by the program itself."""
    state = _state()
    for written in TORQUES:
        yield _of_step(state, "drain-plug-torque", amount(written))
        yield _read_back(state, "the drain plug", amount(written))
    for number, written in enumerate(VOLUMES):
        yield _of_step(state, ("first-fill", "top-up")[number % 2], amount(written))
    for written in DISTANCES:
        yield _read_back(state, "the odometer", amount(written))
    for written in MASSES:
        yield _read_back(state, "the mass", amount(written))
    for seconds in DURATIONS:
        short = seconds < 90
        value = Amount(Decimal(seconds if short else seconds // 60), "second" if short else "minute", Kind.DURATION)
        yield Sentence(f"Too early. Time left: {say_duration(seconds)}.", value)


def _state() -> State:
    library = Library()
    begun = open_job(library.job("oil-and-filter"), library.vehicle("tarnwick-plover-16"), AT)
    return fold(e.Recorded("any", number, AT, event) for number, event in enumerate(begun, 1))


def _of_step(state: State, name: str, value: Amount) -> Sentence:
    """Return what the step says that tells a value of that name."""
    slot = "{" + name + "}"
    text = next(step.say for step in state.procedure.steps if slot in step.say)
    return Sentence(text.replace(slot, say_value(value)), value)


def _read_back(state: State, name: str, value: Amount) -> Sentence:
    """Return how a claim about a thing is read back."""
    claim = e.ClaimHeard(name, value)
    text = answer(state, (claim,), evolve(state, claim, AT)).say
    return Sentence(text, value)


class Listener:
    """Two recognisers that are not told which words are allowed."""

    def __init__(self) -> None:
        manifest = read_manifest()
        self._engines = (
            WhisperRecogniser(manifest.digests("whisper-tiny-en"), deadline=60),
            MoonshineRecogniser(manifest.digests("moonshine-tiny-en"), {}, deadline=60),
        )

    def hear(self, sound: NDArray[np.float32]) -> tuple[str, ...]:
        """Return what each wrote down."""
        utterance = Utterance(np.pad(sound, (RATE // 4, RATE // 2)), 0)
        heard = [engine.hear(utterance, ()).written for engine in self._engines]
        return tuple(written[0].text if written else "" for written in heard)

    def close(self) -> None:
        """End their processes."""
        for engine in self._engines:
            engine.close()


def amounts_in(text: str) -> list[Amount]:
    """Return the amounts that a text names: a number with its unit each."""
    return _longest_runs(text.replace("quartz", "quarts"), _amount)


def numbers_in(text: str) -> list[Fraction]:
    """Return the numbers that a text names, whatever follows them."""
    return _longest_runs(text, _number)


def _longest_runs(text: str, read: Callable[[Sequence[str]], Named | None]) -> list[Named]:
    """Return what can be read in a text: each time from the longest run of words from which it can."""
    words, found, start = written_as_words(text).split(), list[Named](), 0
    while start < len(words):
        runs = ((end, read(words[start:end])) for end in range(min(len(words), start + MOST_WORDS), start, -1))
        end, value = next(((end, value) for end, value in runs if value is not None), (start + 1, None))
        found += [value] if value is not None else []
        start = end
    return found


def _number(words: Sequence[str]) -> Fraction | None:
    with suppress(ReadingError):
        return number_of(words)
    return None


def _amount(words: Sequence[str]) -> Amount | None:
    for system in ("us", "metric"):  # a quart is an American one, and a ton is a tonne
        with suppress(ReadingError):
            value = quantity_of(" ".join(words), system)
            return value if value.kind is not Kind.COUNT else None
    return None


def _names(value: Amount) -> tuple[Amount, ...]:
    """Return an amount, and the same as an owner in the United States names it."""
    return value, Amount(value.magnitude, value.unit.replace("imperial_", "US_"), value.kind)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rate", type=int, default=145, help="words a minute")
    parser.add_argument("--voice", default="", help="a voice of the speech engine")
    options = parser.parse_args()
    speech, listener = Pyttsx3Speech(options.rate, options.voice), Listener()
    counts: dict[str, list[tuple[bool, bool]]] = {}
    print("| kind | said | written by Whisper | written by Moonshine |\n|---|---|---|---|")
    try:
        for sentence in sentences():
            written = listener.hear(speech.render(sentence.text))
            found = [amounts_in(text) for text in written]
            right = any(value in amounts for value in _names(sentence.value) for amounts in found)
            number = right or any(Fraction(sentence.value.magnitude) in numbers_in(text) for text in written)
            counts.setdefault(sentence.value.kind, []).append((number, right))
            if not right:
                print(f"| {sentence.value.kind} | {sentence.text} | {' | '.join(written)} |", flush=True)
    finally:
        speech.close()
        listener.close()
    print("\n| kind | number right | with its unit | of |\n|---|---|---|---|")
    for kind, results in (*counts.items(), ("all", list(chain(*counts.values())))):
        numbers, amounts = (sum(column) for column in zip(*results, strict=True))
        print(f"| {kind} | {numbers} | {amounts} | {len(results)} |")


if __name__ == "__main__":
    main()
