"""Says amounts of a workshop and prints which are heard, by kind and unit; and how long the grammars take.

    python -m tests.benchmarks.spoken_amounts [--noise 10] [--json heard.jsonl]
    python -m tests.benchmarks.spoken_amounts --asks
    python -m tests.benchmarks.spoken_amounts --time

Each amount is said by one of ten synthetic voices in turn, where a question beside the job asks for its kind, and heard
by the engines of a job. The amounts are invented; teens, tens, small decimals and degrees below zero are among them.
With `--asks` the words are said that ask for each computation and each subject, where all of them are allowed.
With `--time` the same sentences are heard with the phrases of a step without and with the words that ask for what is
worked out beside the job, and with those of the first question there; the times are of one run, so their ratio holds.
"""

from __future__ import annotations

import argparse
import json
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import suppress
from decimal import Decimal
from pathlib import Path
from statistics import median

from assistant import wiring
from assistant.adapters.library import Library
from assistant.core.errors import ReadingError
from assistant.core.grammar.in_full import in_full
from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.hearing.phrases import aside, situations
from assistant.core.hearing.verdict.understanding import understand
from assistant.core.job.aside.asking import ask_what
from assistant.core.job.events import AsideAsked
from assistant.core.quantities.saying import say_number
from assistant.core.quantities.units import Amount, kind_of
from assistant.core.types import Phrase, Utterance, Verdict
from assistant.path.ears import Ears
from tests.benchmarks.hearing import VOICES
from tests.benchmarks.sounds import NOISES, in_noise, say

AMOUNTS = {
    "volts": ("volt", "12.4 12.65 13.8 14.2 9.6 10.5 11.9 14.75 12 9.05 13.05 8.7 12.15 14.4"),
    "amps": ("ampere", "200 0.05 15 50 30 13 350 1.5 520 600 80 18 0.035 7.5"),
    "percent": ("percent", "50 15 30 60 75 13 33 40 97 2.5 0.5 100 45 16"),
    "metres": ("metre", "3 1.8 4.2 15 0.5 2.65 13 30 6 0.75 9 1.25 50 16"),
    "degrees": ("degree_Celsius", "-5 -20 -13 -30 -37 -15 -40 -8 20 15 50 35 -18 90"),
    "newton metres": ("newton_metre", "30 13 25 110 8 15 50 16 60 120 33 140 9.5 22.5"),
    "litres": ("litre", "3.8 4.3 0.7 15 50 6 13 2.5 0.25 1.9 30 5.6 1.05 60"),
    "millilitres": ("millilitre", "700 250 50 15 350 30 125 500 80 18 400 75 150 60"),
    "kilopascals": ("kilopascal", "220 230 15 50 101 180 250 13 30 60 115 240 350 90"),
    "p s i": ("psi", "32 33 36 15 50 30 13 60 28 14 40 44 80 35"),
    "bar": ("bar", "2.3 2.5 1.8 2.15 3 0.5 2.05 15 50 2.9 13 30 1.1 2.6"),
}
"""The words of a unit, what the program calls it, and the numbers that are said."""


def sayings() -> Iterator[tuple[str, str, Amount]]:
    """Yield the words of a unit, a sentence, and its amount."""
    for words, (unit, numbers) in AMOUNTS.items():
        for number in map(Decimal, numbers.split()):
            yield words, f"{say_number(number).replace('-', ' ')} {words}", Amount(number, unit, kind_of(unit))


def outcome(ears: Ears, utterance: Utterance, phrases: Sequence[Phrase], wanted: Amount) -> tuple[str, str]:
    """Return what became of an amount: right, asked, silent or wrong; and for what it was taken."""
    match = ears.hear(utterance, phrases)
    taken = match.best.words if match.best else ""
    if match.verdict is not Verdict.ACCEPTED:
        return "asked" if match.verdict is Verdict.UNCLEAR else "silent", taken
    with suppress(ReadingError):
        found = understand(match, "metric").intent
        return ("right" if found and found.value == wanted else "wrong"), taken
    return "refused", taken


def heard(
    ears: Ears, general: tuple[Phrase, ...], noise: float | None, file: Path | None, unit: str = ""
) -> dict[str, Counter[str]]:
    """Return by unit what became of all amounts; each is kept in a file, where one is named."""
    counts: dict[str, Counter[str]] = {}
    kept = file.open("a", encoding="utf-8") if file else None
    with tempfile.TemporaryDirectory() as folder:
        for seed, (words, text, wanted) in enumerate(sayings()):
            if unit not in ("", words):
                continue
            sound = say(text, VOICES[seed % len(VOICES)], Path(folder))
            if noise is not None:
                sound = in_noise(sound, [*NOISES][seed % len(NOISES)], noise, seed)
            phrases = aside(AsideAsked("", "", "", "", str(wanted.kind)), general)
            came, taken = outcome(ears, Utterance(sound, 0), phrases, wanted)
            counts.setdefault(words, Counter())[came] += 1
            if came != "right":
                print(f"  {VOICES[seed % len(VOICES)]:24} {text!r:48} {came:8} {taken!r}", flush=True)
            if kept:
                kept.write(json.dumps({"text": text, "came": came, "taken": taken}) + "\n")
    return counts


def asked_for(ears: Ears, library: Library, general: tuple[Phrase, ...]) -> Counter[str]:
    """Return what became of the words that ask for each subject and computation, where all are allowed."""
    phrases, came = aside(ask_what(library.beside()), general), Counter[str]()
    with tempfile.TemporaryDirectory() as folder:
        for seed, wanted in enumerate(library.beside().phrases()):
            text, voice = " ".join(in_full(parse_expansion(wanted.says))), VOICES[seed % len(VOICES)]
            match = ears.hear(Utterance(say(text, voice, Path(folder)), 0), phrases)
            right = match.best is not None and match.best.phrase.option == wanted.option
            taken = ("right" if right else "wrong") if match.verdict is Verdict.ACCEPTED else str(match.verdict)
            came[taken] += 1
            if taken != "right":
                print(f"  {voice:24} {text!r:40} {taken:10} {match.best.words if match.best else ''!r}", flush=True)
    return came


def timed(ears: Ears, library: Library, general: tuple[Phrase, ...]) -> Iterator[tuple[str, int, float]]:
    """Yield for each grammar its name, how many phrases it has, and the median time of a verdict [second]."""
    own = [one for one in general if one.intent not in ("work-out", "leave")]
    step = next(
        found for name, found in situations(library.job("oil-and-filter"), tuple(own)).items() if "tray" in name
    )
    begins = tuple(one for one in general if one.intent == "work-out" and one.option is None)
    grammars = {
        "a step before": step,
        "a step now": (*step, *begins),
        "what shall I work out": aside(ask_what(library.beside()), general),
    }
    texts = [("repeat that", VOICES[0]), ("say that again please", VOICES[4]), ("that was wrong", VOICES[6]),
             ("call for help", VOICES[8]), ("what can I say", VOICES[9])]  # fmt: skip
    took: dict[str, list[float]] = {name: [] for name in grammars}
    with tempfile.TemporaryDirectory() as folder:
        sounds = [Utterance(say(text, voice, Path(folder)), 0) for text, voice in texts]
    for turn in range(6):
        for name, phrases in grammars.items():
            for sound in sounds:
                began = time.perf_counter()
                ears.hear(sound, phrases)
                took[name] += [time.perf_counter() - began] if turn else []  # the first lays the grammar out
    yield from ((name, len(grammars[name]), median(times)) for name, times in took.items())


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--noise", type=float, metavar="DB", help="how far the speech is above workshop noise")
    parser.add_argument("--unit", default="", help="only amounts in this unit, in its words")
    parser.add_argument("--json", type=Path, help="a file to add what was heard to, a line each")
    parser.add_argument("--asks", action="store_true", help="the words that ask for computations, instead")
    parser.add_argument("--time", action="store_true", help="how long the grammars take, instead")
    options = parser.parse_args()
    library = Library()
    general = (*library.phrases(), *library.beside().phrases())
    assert all(parse_expansion(one.says) for one in general)
    ears = Ears(
        wiring.phrasebook(library.rules()),
        wiring.chosen_recognisers(Path(), ["moonshine", "whisper"], library.rules()),
    )
    try:
        if options.asks:
            print(dict(asked_for(ears, library, general)))
            return
        if options.time:
            found = list(timed(ears, library, general))
            for name, phrases, seconds in found:
                print(f"{name:24} {phrases:4} phrases  {seconds:6.3f} s  {seconds / found[0][2]:5.2f} of the first")
            return
        counts = heard(ears, general, options.noise, options.json, options.unit)
    finally:
        ears.close()
    print("\n| unit | said | right | asked again | silent | refused | wrong |\n|---|---|---|---|---|---|---|")
    for words, came in (*counts.items(), ("all", sum(counts.values(), Counter()))):
        kinds = (came.total(), *(came[kind] for kind in ("right", "asked", "silent", "refused", "wrong")))
        print(f"| {words} | {' | '.join(map(str, kinds))} |")


if __name__ == "__main__":
    main()
