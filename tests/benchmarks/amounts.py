"""Texts by chance into every field of every computation, and spoken amounts through the path of typed lines.

`python -m tests.benchmarks.amounts --count 1000 --spoken 600` prints what became of them: worked out, refused, or a
traceback; and read right, refused, or wrong.
"""

from __future__ import annotations

import argparse
import random
import time
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

from num2words import num2words

from assistant.adapters.lexicon_cmudict import is_listed, pronounce
from assistant.adapters.library import Library, match_settings
from assistant.core.amounts.unit_names import WHOLE
from assistant.core.compute.work_out import CALCULATIONS, work_out
from assistant.core.errors import ReadingError
from assistant.core.hearing.verdict.matching import Phrasebook
from assistant.core.hearing.verdict.understanding import understand
from assistant.core.quantities.units import Amount
from assistant.core.types import Hypothesis, Phrase, Verdict
from assistant.wiring import library

PIECES = ("0", "1", "25", "3.8", "2,500", "½", "1/2", "-", "–", "...", "<", "~", "±", "'", '"', "N·m", "Nm", "L", "qt",
          "°C", "mm", "of", "to", "and", "a", "half", "twenty", "point", "minus", "full", "low", "below", "%", ":", ",",
          "M14x1,5", "5W-30", "205/55R16", "dot 4", "é", "\u202f", "\0", "٣", "×", "e9", "nan",
          "inf", "2026-03-14")  # fmt: skip
"""Of these, and of letters by chance, texts are made."""


def texts(chance: random.Random, count: int) -> Iterator[str]:
    """Yield texts by chance: of pieces that amounts are made of, with and without spaces, and of any letters."""
    for _ in range(count):
        if chance.random() < 0.2:
            yield "".join(chr(chance.randrange(1, 0x2FFF)) for _ in range(chance.randrange(1, 12)))
        else:
            yield chance.choice(("", " ")).join(chance.choices(PIECES, k=chance.randrange(1, 6)))


def attacked(count: int, seed: int) -> Iterator[tuple[str, str, str, str]]:
    """Yield for each text in each field the computation, the field, the text, and what became of it."""
    chance, tables = random.Random(seed), library(Path()).tables()
    for name, calculation in CALCULATIONS.items():
        for each in calculation.inputs:
            for text in texts(chance, count):
                try:
                    work_out(
                        name, {**calculation.example, each.name: text}, tables, chance.choice((None, "us", "metric"))
                    )
                    outcome = "worked out"
                except ReadingError:
                    outcome = "refused"
                except Exception as error:
                    outcome = f"traceback: {error!r}"
                yield name, each.name, text, outcome


UNITS = {
    "litres": "litre", "millilitres": "millilitre", "newton metres": "newton_metre", "foot pounds": "foot_pound",
    "kilograms": "kilogram", "kilometres": "kilometre", "miles": "mile", "millimetres": "millimetre", "inches": "inch",
    "metres": "metre", "months": "month", "p s i": "psi", "bar": "bar", "volts": "volt", "percent": "percent",
    "amps": "ampere", "degrees celsius": "degree_Celsius", "quarts": "US_quart",
}  # fmt: skip
_PHRASES = tuple(
    Phrase("value", f"<{kind}>", affirms=True)
    for kind in ("volume", "torque", "mass", "distance", "length", "duration", "pressure", "temperature", "voltage",
                 "current", "share")
)  # fmt: skip
DOUBTFUL = ("{a}–{b} {u}", "{a}...{b} {u}", "<{a} {u}", "{a}-{b} {u}", "~{a} {u}", "{a},500 {u}")
"""What must never be taken, as people type it."""


def spoken(chance: random.Random, count: int) -> Iterator[tuple[str, Decimal | None, str]]:
    """Yield amounts as they are said or typed, with the number that each is, or None for what is to be refused."""
    for place in range(count):
        words, unit = chance.choice(list(UNITS.items()))
        number = Decimal(chance.randrange(1, 2000)) / chance.choice((1, 1, 10, 100))
        if place % 4 == 3:
            text = chance.choice(DOUBTFUL).format(a=chance.randrange(1, 9), b=chance.randrange(10, 99), u=words)
            whole = ",500" in text and unit in WHOLE
            yield text, Decimal(text.split()[0].replace(",", "")) if whole else None, unit
        elif place % 4 == 2:
            yield f"{number} {words}", number, unit
        else:
            minus = unit == "degree_Celsius" and place % 2 == 0
            number = number % 100 if minus else number
            said = num2words(number).replace("-", " ").replace(",", "")
            yield f"{'minus ' if minus else ''}{said} {words}", -number if minus else number, unit


def heard(book: Phrasebook, text: str) -> Amount | None:
    """Return the value that a typed line is taken for; None where it is refused or asked again."""
    try:
        found = understand(book.read(Hypothesis(text, 0.0, "typed"), _PHRASES), "us")
    except ReadingError:
        return None
    value = found.intent.value if found.intent and found.verdict is Verdict.ACCEPTED else None
    return value if isinstance(value, Amount) else None


def outcomes(book: Phrasebook, count: int, seed: int) -> Iterator[tuple[str, str]]:
    """Yield what became of spoken amounts: right, refused rightly, asked again, or wrong."""
    for text, number, unit in spoken(random.Random(seed), count):
        read = heard(book, text)
        if read is None:
            yield text, "refused rightly" if number is None else "asked again"
        elif number is not None and (read.unit, read.magnitude) == (unit, number):
            yield text, "right"
        else:
            yield text, f"wrong: {read.magnitude} {read.unit}"


def phrasebook() -> Phrasebook:
    """Return the phrasebook of the program."""
    shelf = Library()
    return Phrasebook(shelf.rules(), pronounce, match_settings(), shelf.turning_words(), is_listed)


def main() -> None:
    """Print both tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--spoken", type=int, default=600)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    began = time.perf_counter()
    found = Counter[str]()
    for name, field, text, outcome in attacked(options.count, options.seed):
        found[outcome.partition(":")[0]] += 1
        if outcome.startswith("traceback"):
            print(name, field, repr(text), outcome)
    print(dict(found), f"{time.perf_counter() - began:.0f} s")
    book, said = phrasebook(), Counter[str]()
    for text, outcome in outcomes(book, options.spoken, options.seed):
        said[outcome.partition(":")[0]] += 1
        if outcome.startswith(("wrong", "asked")):
            print(repr(text), outcome)
    print(dict(said))


if __name__ == "__main__":
    main()
