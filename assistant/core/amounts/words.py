"""The number at the beginning of a text in words, exactly: "minus twenty", "twelve point six", "half a". Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from assistant.core.amounts.figures import decimal_of
from assistant.core.errors import ReadingError
from assistant.core.quantities.number_words import NUMBER_WORDS, number_of
from assistant.core.quantities.saying import say_integer

_JOINING = {*NUMBER_WORDS, "a", "an", "and", "of"}
_MOST_WORDS = 24
"""No amount on a car takes more words; longer texts are no amount, and are not looked through."""


@dataclass(frozen=True, slots=True)
class Worded:
    """A number in words, and the words behind it."""

    value: Decimal
    rest: str


def in_words(text: str) -> str:
    """Return a text with a whole number in figures before other number words in words: "84 thousand", "1 and a half".

    Other figures stay, and make it no number in words.
    """
    match = re.match(r"([0-9]{1,6}) (?=(?:hundred|thousand|and (?:a|one|three) )\b)", text)
    return f"{say_integer(int(match[1]))} {text[match.end() :]}" if match else text


def begin_with_words(text: str) -> Iterator[Worded]:
    """Yield each number that words at the beginning of a text name, the longest first, with what is behind it."""
    kept = re.sub(r"(?<=[A-Za-z])-(?=[A-Za-z])", " ", in_words(text)).split(" ")
    sign = -1 if kept[0].lower() in ("minus", "negative") else 1
    kept = kept[1:] if kept[0].lower() in ("minus", "negative", "plus") else kept
    words = [word.lower() for word in kept]
    if len(words) > _MOST_WORDS:
        return
    most = next((place for place, word in enumerate(words) if word not in _JOINING), len(words))
    for end in range(most, 0, -1):
        value = _value(words[:end])
        if value is not None:
            yield Worded(sign * value, " ".join(kept[end:]))


def _value(words: list[str]) -> Decimal | None:
    """Return the number that words name; "half a" and "two thirds of an" lead to the unit behind them."""
    number = ["a" if word == "an" else word for word in words]
    if len(number) > 1 and number[-1] == "a":
        number = number[:-1]
    if len(number) > 1 and number[-1] == "of":
        number = number[:-1]
    if "of" in number or (number[-1] in ("a", "and") and len(number) > 1):
        return None
    if len(number) < len(words) and not _is_part(number):
        return None
    try:
        return decimal_of(number_of(number))
    except (ReadingError, ValueError):
        return None


def _is_part(number: list[str]) -> bool:
    """Return whether words name a part, of which "of a" or "a" may follow: "half a litre", "point eight of a quart"."""
    return number[-1].rstrip("s") in ("half", "quarter", "third", "fifth", "eighth", "tenth", "sixteenth") or (
        number[0] in ("point", "zero", "oh")
    )
