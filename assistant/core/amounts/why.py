"""Why a text is no amount, for who wrote it: a range, a bound, about so much, two amounts. Only words for refusals.

The signs of all these are told here once: a typed line is held against them too (`typed.py`), beside its words.
"""

from __future__ import annotations

import re

from assistant.core.amounts.figures import MINUS

ABOUT, BOUND = "~≈±∼", "<>≤≥≦≧"
"""Signs before a number that is only about right, or a bound."""
GIVE_OR_TAKE = r"±|\+/-"
TO = rf"[{re.escape(MINUS)}~]|\.\.+|…"
"""What stands between the ends of a range."""
MANY = "That is more than one number. Give me one."

_ABOUT = re.compile(
    rf"^(?:[{ABOUT}]|(?:about|approx\w*|ca|circa|around|roughly|some|nearly|almost|say|maybe|perhaps|or so)\b)"
    rf"|\b(?:or so|ish|approx\w*|roughly|give or take)\b|{GIVE_OR_TAKE}|\?"
)
_BOUND = re.compile(
    rf"[{BOUND}]|\b(?:max|maximum|min|minimum|at least|at most|up to|less than|more than|no more than|over|under|above"
    r"|below|not|or more|or less)\b"
)
_RANGE = re.compile(
    rf"[\d½¼¾]\s*[^\s\d]*\s*(?:{TO}|\bto\b|\btill\b|\band\b|\bor\b|/)\s*[.\d]|\bbetween\b|\bfrom\b.*\bto\b"
    r"|\w \b(?:to|or)\b \w"
)


def why_not(text: str) -> tuple[str, str]:
    """Return why a text may be no amount, for the eye, and what to do, for the ear; the first empty if unknown."""
    low = text.lower()
    if _ABOUT.search(low):
        return "is only about so much: give the number itself", "That is only about. Give me the exact number."
    if _BOUND.search(low):
        return "is a bound, no amount: give the number itself", "That is a limit. Give me the number itself."
    if _RANGE.search(low):
        return "is a range, or more than one number: give one number", MANY
    return "", ""
