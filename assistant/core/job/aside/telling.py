"""What was said or typed beside a job, as the text of an input; and texts of inputs as they are spoken."""

from __future__ import annotations

import re

from assistant.core.amounts.reader import read_amount
from assistant.core.compute.base.calculation import Input
from assistant.core.compute.base.spoken import in_words
from assistant.core.data.catalogue import FIGURES, THREAD, UNIT, Wish, slot_of
from assistant.core.errors import ReadingError
from assistant.core.quantities.number_words import number_of
from assistant.core.quantities.saying import say_digits
from assistant.core.quantities.units import SYMBOLS, Amount, Kind, Level, Value, kind_of, write_amount
from assistant.core.types import Intent

TOLD = "told"
"""The intent of a line that was typed to what is asked beside the job: its words are the answer."""
_DIGITS = {say_digits(str(figure)): str(figure) for figure in range(10)} | {"oh": "0"}


def text_of(each: Input, wish: Wish, intent: Intent) -> str:
    """Return what was meant as the text of an input, or of a part of one; ReadingError where it can be none."""
    if intent.name == TOLD:
        return _as_typed(intent.words.strip(), wish)
    if intent.option is not None:
        return intent.option
    match slot_of(each, wish):
        case slot if slot == THREAD:
            return _thread(intent.words)
        case slot if slot == FIGURES:
            return _figures(intent.words, wish.figures)
        case slot if slot == UNIT:
            return re.sub(r"^(?:in|to) ", "", intent.words)
    if intent.value is None:
        raise ReadingError(f"{intent.words!r} is no value", say="I heard no number. Say it again.")
    return _listed(each, intent.value) if wish.kind else _amount(intent.value, wish)


def _listed(each: Input, value: Value) -> str:
    """Return the text of a list that is an amount."""
    same = (option for option in each.options if isinstance(value, Amount) and read_amount(option, value.kind) == value)
    return next(same, "")


def _as_typed(line: str, wish: Wish) -> str:
    """Return a typed line; a bare number gets the unit that its question names."""
    return f"{line} {wish.unit}" if wish.unit and re.fullmatch(r"[-+0-9.,]+", line) else line


def _amount(value: Value, wish: Wish) -> str:
    if isinstance(value, Level):
        return value.said
    if wish.unit and value.kind is Kind.COUNT:
        return write_amount(Amount(value.magnitude, _unit_of(wish), kind_of(_unit_of(wish))))
    if value.kind is not Kind.COUNT:
        return write_amount(value)
    number = f"{value.magnitude:f}"
    return wish.number.format(number) if wish.number else number


def _unit_of(wish: Wish) -> str:
    """Return the unit that a question names, as the program calls it."""
    return next(unit for unit, symbol in SYMBOLS.items() if symbol == wish.unit)


def _figures(words: str, count: int) -> str:
    """Return figures that were said one by one; ReadingError for another number of them."""
    figures = "".join(_DIGITS.get(word, "?") for word in words.split())
    if "?" in figures or len(figures) != count:
        raise ReadingError(f"{words!r} are not {count} figures", say=f"Say {in_words(str(count))} figures, one by one.")
    return figures


def _thread(words: str) -> str:
    """Return a thread that was said, "metric fourteen by one point five", as it is written: "M14x1.5"."""
    sizes = re.sub(r"^(?:metric|m) ", "", words).split(" by ")
    return "M" + "x".join(f"{float(number_of(size.split())):g}" for size in sizes)


def spoken(wish: Wish, text: str) -> str:
    """Return the text of an input in words."""
    return say_digits(text) if wish.figures and text.isdecimal() else in_words(text)
