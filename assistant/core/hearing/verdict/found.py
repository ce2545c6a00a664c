"""Holds what the hearing finds: a phrase as it was probably said, and the verdict. Decides nothing."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.core.grammar.slots import slots_of
from assistant.core.grammar.word_graph import Step
from assistant.core.quantities.numbers import meaning_of
from assistant.core.types import Hypothesis, Phrase, Verdict

Meaning = tuple[str, str | None, tuple[tuple[str, object], ...]]
"""An intent, an option, and what fills each slot."""


@dataclass(frozen=True, slots=True)
class Found:
    """A phrase as it was probably said."""

    phrase: Phrase
    steps: tuple[Step, ...]
    """The words, each with the rules that it was said in."""
    score: float
    """How well it explains the sounds, for each of them; 0 is perfect."""
    evidence: float
    """How likely it is beside other findings for the same sound [nat]."""

    @property
    def words(self) -> str:
        """The words as they were probably said."""
        return " ".join(step.word for step in self.steps)

    @property
    def slots(self) -> tuple[tuple[str, str], ...]:
        """The rules that the phrase refers to, each with what was said there, in order."""
        return slots_of(self.steps)

    @property
    def meaning(self) -> Meaning:
        """What two findings share that mean the same, however it is worded or spelt."""
        return self.phrase.intent, self.phrase.option, tuple(_filling(name, said) for name, said in self.slots)


def _filling(name: str, said: str) -> tuple[str, object]:
    """Return what fills a slot; a value is the same in whichever slot it is said."""
    value = meaning_of(name, said)
    return (name, value) if isinstance(value, str) else ("", value)


@dataclass(frozen=True, slots=True)
class Match:
    """The verdict of the matcher."""

    verdict: Verdict
    best: Found | None = None
    runner_up: Found | None = None
    """The next meaning; None with an unclear verdict where even the best was too far from what was heard."""
    margin: float = float("inf")
    """By how much the best meaning is likelier than the next [nat]; where all engines were asked, scores better [nat a
    letter]."""
    heard: tuple[Hypothesis, ...] = ()
    noisy: bool = False
    """Whether there was so much noise that nothing consequential is believed."""
