"""Holds what is said in the benchmarks of hearing: sentences of the oil job, orders at a counter, and long other talk.

All is drawn with a fixed seed, so that every run says the same.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from assistant.adapters.library import Library
from assistant.core.grammar.jsgf import Rules, parse_expansion, parse_grammar
from assistant.core.grammar.public_rules import phrases_of
from assistant.core.grammar.word_graph import word_graph
from assistant.core.hearing.phrases import situations
from assistant.core.types import Phrase

VALUES = {
    "volume": ("three point eight litres", "four point two litres", "three and a half litres", "half a litre",
               "seven hundred millilitres", "oh point five litres", "two point one quarts", "one and a half quarts"),
    "torque": ("thirty newton metres", "twenty five newton metres", "fifteen newton metres", "fifty newton metres",
               "eighteen foot pounds", "twenty two pound feet"),
    "mass": ("one thousand kilograms", "one point five tonnes", "two tonnes", "three thousand pounds"),
    "distance": ("eighty four thousand two hundred kilometres", "sixty one thousand miles",
                 "one hundred and twelve thousand kilometres"),
    "length": ("fifty millimetres", "four hundred millimetres", "two inches", "forty centimetres"),
    "duration": ("one minute", "five minutes", "ten minutes", "three minutes"),
    "count": ("two", "four", "three"),
    "number": ("two", "three", "five"),
    "level": ("near low", "below the low mark", "halfway", "at three quarters", "near the full mark",
              "at the full mark", "above the full mark", "at one quarter"),
}  # fmt: skip
"""What a person reads off in an oil change; invented."""

ORDERS = """#JSGF V1.0; grammar counter;
public <order> = [I would like | can I get | please give me | could I have]
    <count> [<size>] <item> [with <extra>] [in <pack>] [<way>];
<count> = one | two | three | four | five | six;
<size> = small | medium | large | double;
<item> = copper washers | sealing rings | oil filters | hex bolts | wing nuts | brake pads
       | hose clips | spark plugs | wiper blades | fuse boxes | cable ties | wheel weights;
<extra> = red paint | blue paint | no paint | extra grease | clear varnish | thread lock;
<pack> = a bag | a box | a tray | brown paper;
<way> = for pickup | for delivery | to go;
"""
"""Orders at an invented parts counter: up to six slots."""


@dataclass(frozen=True, slots=True)
class Saying:
    """A sentence, and the phrases that are allowed when it is said."""

    text: str
    phrases: tuple[Phrase, ...]


def oil_job(library: Library, count: int, seed: int = 1) -> list[Saying]:
    """Return sentences of the oil job, each beside all that is allowed when its question is open, as in a real job."""
    chance = random.Random(seed)
    general = library.phrases()
    found: list[Saying] = []
    for allowed in situations(library.job("oil-and-filter"), general).values():
        own = [phrase for phrase in allowed if phrase not in general and not phrase.rare]
        usual = chance.sample([phrase for phrase in allowed if phrase in general], 4)
        found += [Saying(draw(phrase.says, library.rules(), chance), allowed) for phrase in (*own, *own, *usual)]
    chance.shuffle(found)
    return found[:count]


def orders(count: int, seed: int = 2) -> tuple[list[Saying], Rules]:
    """Return orders at the counter, with their rules."""
    chance = random.Random(seed)
    grammar = parse_grammar(ORDERS, "counter")
    phrases = phrases_of(grammar, "counter")
    return [Saying(draw(phrases[0].says, grammar.rules, chance), phrases) for _ in range(count)], grammar.rules


def draw(says: str, rules: Rules, chance: random.Random) -> str:
    """Return one of the sentences that an expansion allows; values are typical ones."""
    filled = re.sub(r"<([a-z]+)>", lambda rule: _value(rule.group(1), rule.group(), chance), says)
    graph = word_graph(parse_expansion(filled), rules)
    words, point = [], 0
    while point != 1:
        ways = [(step.word, step.target) for step in graph.steps if step.source == point]
        ways += [("", end) for start, end in sorted(graph.leaps) if start == point]
        word, point = chance.choice(ways)
        words.append(word)
    return " ".join(word for word in words if word)


def _value(name: str, rule: str, chance: random.Random) -> str:
    return f"({chance.choice(VALUES[name])})" if name in VALUES else rule


def other_talk() -> Iterator[str]:
    """Yield paragraphs that nobody means: the reference texts that every Python brings, as prose without code."""
    from pydoc_data.topics import topics

    for text in reversed(topics.values()):
        for paragraph in text.split("\n\n"):
            prose = re.sub(r"[^A-Za-z0-9.,;' -]", " ", " ".join(paragraph.split()))
            if len(prose.split()) >= 12 and not paragraph.startswith("   "):
                yield prose


def places(sayings: Sequence[Saying]) -> list[Saying]:
    """Return where most is allowed of all places without a number, and of those where a torque is waited for.

    Nobody was asked whether they are all right.
    """
    allowed = [tuple(phrase for phrase in saying.phrases if phrase.intent != "here") for saying in sayings]
    plain = [phrases for phrases in allowed if not any("<" in phrase.says for phrase in phrases)]
    valued = [phrases for phrases in allowed if any("<torque>" in phrase.says for phrase in phrases)]
    return [Saying("a step without numbers", max(plain, key=len)), Saying("a step with a torque", max(valued, key=len))]


def digits(folder: Path, every: int) -> list[tuple[Path, Saying]]:
    """Return recordings of single digits (Free Spoken Digit Dataset, CC BY-SA 4.0), each with its word of all ten."""
    names = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
    allowed = tuple(Phrase(name, name) for name in names)
    return [(path, Saying(names[int(path.name[0])], allowed)) for path in sorted(folder.glob("*.wav"))[::every]]
