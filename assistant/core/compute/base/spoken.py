"""An answer for the ear: no figure and no sign, every number with its unit, and how sure it is. Pure.

Texts of answers are written for the eye too, so the figures in them are turned into words here, in one place.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from decimal import ROUND_HALF_EVEN, Decimal

from assistant.core.compute.base.real import plainly
from assistant.core.compute.base.result import Answer, Result
from assistant.core.quantities.saying import say_amount, say_date, say_integer, say_number, say_ordinal
from assistant.core.quantities.units import SYMBOLS, Amount, convert, kind_of

_UNITS = {symbol: unit for unit, symbol in SYMBOLS.items() if unit != "one"}
_SYMBOLS = "|".join(re.escape(symbol) for symbol in sorted(_UNITS, key=len, reverse=True))
_DATE = re.compile(r"\b\d{4}-\d\d-\d\d\b")
_ASIDE = re.compile(r" \([^()]*\)")
"""What stands in parentheses, a law or a page, is for the eye alone."""
_FRACTION = re.compile(r"\b(\d+)/(\d+) (?:inch|in)\b")
_GRADE = re.compile(r"\b(\d+)W(?:-(\d+))?\b")
_THREAD = re.compile(r"\bM(\d+(?:\.\d+)?)(?:[x×](\d+(?:\.\d+)?))?\b")
_NUMBER = re.compile(rf"(?<![\w.])([-−]?\d+(?:\.\d+)?)(?: ?({_SYMBOLS})(?!\w))?")
_CODE = re.compile(r"\b([A-Z]+)(\d+)\b")
"""The name of a standard or of a grade: J300, C3."""
_BEGINNING = re.compile(r"(?<=[.?!] )[a-z]")
_PLACE = re.compile(r"{([^}]+)}")
_SIGNS = {"×": " times ", "±": " give or take ", "≥": " at least ", "/": " per ", "=": " is ", "%": " percent "}

_PARTS = {Decimal("0.25"): "a quarter of a", Decimal("0.5"): "half a", Decimal("0.75"): "three quarters of a"}
_COMMON = ("litre", "US_quart", "imperial_quart")
"""Units of which people say quarters and halves."""


def in_words(text: str) -> str:
    """Return a text without figures and signs: amounts with their units in full, dates, grades and threads in words."""
    text = _ASIDE.sub("", text)
    text = _FRACTION.sub(_parts_of_an_inch, text)
    text = _DATE.sub(lambda found: say_date(date.fromisoformat(found.group())), text)
    text = _GRADE.sub(lambda found: " W ".join(say_number(Decimal(each)) for each in found.groups() if each), text)
    text = _THREAD.sub(
        lambda found: "M " + " by ".join(say_number(Decimal(each)) for each in found.groups() if each), text
    )
    text = _NUMBER.sub(_number, text)
    text = _CODE.sub(lambda found: f"{found[1]} {say_number(Decimal(found[2]))}", text)
    for sign, words in _SIGNS.items():
        text = text.replace(sign, words)
    return " ".join(text.split())


def _parts_of_an_inch(found: re.Match[str]) -> str:
    count, parts = int(found[1]), int(found[2])
    return f"{say_integer(count)} {say_ordinal(parts)}{'' if count == 1 else 's'} of an inch"


def _number(found: re.Match[str]) -> str:
    number, symbol = Decimal(found.group(1).replace("−", "-")), found.group(2)
    if not symbol:
        return say_number(number)
    unit = _UNITS[symbol]
    return say_amount(Amount(number, unit, kind_of(unit)))


def about(value: Amount, off: Amount) -> str:
    """Return a value that is not sure, no finer than it is known: "about a quarter of a litre, give or take ...".

    The uncertainty is told with two digits, or with one from three on, and the value to the last of them.
    """
    spread = _two_digits(off.magnitude)
    known = value.magnitude.quantize(_last_digit(off.magnitude), ROUND_HALF_EVEN)
    known = plainly(known)
    nearest = min(_PARTS, key=lambda part: abs(part - known))
    said = say_amount(Amount(known, value.unit, value.kind))
    if value.unit in _COMMON and abs(nearest - known) <= spread / 10:
        said = f"{_PARTS[nearest]} {say_amount(Amount(Decimal(1), value.unit, value.kind)).partition(' ')[2]}"
    return f"about {said}, give or take {say_amount(_in_small_units(off))}"


def _in_small_units(off: Amount) -> Amount:
    if off.unit == "litre" and off.magnitude < 1:
        off = convert(off, "millilitre")
    return Amount(_two_digits(off.magnitude), off.unit, off.kind)


def _last_digit(number: Decimal) -> Decimal:
    small = number.as_tuple().digits[0] < 3
    return Decimal(1).scaleb(number.adjusted() - (1 if small else 0))


def _two_digits(number: Decimal) -> Decimal:
    return plainly(number.quantize(_last_digit(number), ROUND_HALF_EVEN))


def say_answer(answer: Answer, value: Amount | str, more: Mapping[str, Amount | str]) -> str:
    """Return an answer for the ear: cautions first, then why, the value with how sure it is, and what follows from it.

    Parameters
    ----------
    value : Amount or str
        Its value, rounded as it is shown.
    more : Mapping
        Its further values by name, rounded alike.
    """
    careful = " ".join(f"Careful. {in_words(text)}" for text in answer.cautions)
    said = _said(answer, value)
    also = say_also(answer.also, more)
    whole = f"{careful} {in_words(answer.because)} {said[0].upper()}{said[1:]} {in_words(also)}"
    return _BEGINNING.sub(lambda found: found.group().upper(), " ".join(whole.split()))


def say_also(also: str, more: Mapping[str, Amount | str]) -> str:
    """Return what follows from an answer with the values whose names stand in braces; of `{one±other}` the other one
    tells how sure the first is."""
    return _PLACE.sub(lambda found: _place(found[1], more), also)


def _place(names: str, more: Mapping[str, Amount | str]) -> str:
    name, _, sure = names.partition("±")
    value, off = more[name], more.get(sure)
    return about(value, off) if isinstance(value, Amount) and isinstance(off, Amount) else _say(value)


def _say(value: Amount | str) -> str:
    return say_amount(value) if isinstance(value, Amount) else in_words(value)


def _said(answer: Answer, value: Amount | str) -> str:
    if not isinstance(answer, Result):
        words = in_words(answer.say or answer.value)
        return words if words.endswith((".", "?", "!")) else f"{words}."
    off = answer.uncertainty
    if off is not None and off.magnitude:
        return about(answer.value, off) + "."
    assert isinstance(value, Amount)
    return say_amount(value) + "."
