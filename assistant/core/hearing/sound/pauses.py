"""How long a silence is that means something. Numbers alone, for the command line names one and loads no arrays."""

from __future__ import annotations

LOOK = 0.12
"""Silence after which it is worth a look what was said [second]: the engines take longer than the rest of the next."""
SECOND_LOOK = 0.3
"""Silence after which what was no whole phrase at the first look is heard anew [second]: the end of "six" is no voice,
and long after it."""
SHORT_END = 0.2
"""Silence that ends a whole phrase that nothing goes on from [second]: longer than any closed consonant."""
USUAL_END = 0.5
"""Silence that ends an utterance where no number is waited for [second]."""
LONG_END = 0.8
"""Silence that ends an utterance whatever was said [second]: a number may go on after "three point"."""
