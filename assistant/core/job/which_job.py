"""Which of several unfinished jobs is meant: how each may be called, and how they are offered. Knows no journal.

A job is called by the name that its owner gave it, by its work ("the brakes"), by its vehicle ("the pickup"), by both,
or by its place among those that were offered. A word that two jobs share calls neither.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from assistant.core.data.car import CALLED
from assistant.core.quantities.saying import say_integer, say_ordinal
from assistant.core.types import Phrase

MOST = 4
"""So many jobs are offered at once: nobody keeps more in mind."""
TAKE_UP = "job"
"""The intent of who calls a job; its option is the job's name in the journal."""
AGAIN = Phrase("repeat", "(repeat that | say that again | once more)")
_LEADS = "[carry on with | go on with | continue with] [the]"
_LIGHT = frozenset({"and", "the", "of", "a", "an", "with", "for", "to", "on", "in", "job", *CALLED.split()})
_NOT_SAID = re.compile(r"\(.*?\)")


@dataclass(frozen=True, slots=True)
class Offer:
    """An unfinished job, as it is offered."""

    name: str
    """Its name in the journal."""
    work: str
    """The title of its procedure."""
    vehicle: str
    """The title of its vehicle."""
    step: str
    label: str = ""
    """The name that its owner gave it; empty where none."""

    @property
    def title(self) -> str:
        """What the job is called to a person."""
        return title_of(self.work, self.vehicle, self.label)


def title_of(work: str, vehicle: str, label: str) -> str:
    """Return what a job is called: by the name that its owner gave it, or else by its work and its vehicle."""
    return label or f"{_lower(work)} of the {_spoken(vehicle)}"


def phrases(offers: Sequence[Offer]) -> tuple[Phrase, ...]:
    """Return how each job may be called, and how to hear them again."""
    works, vehicles = [words_of(one.work) for one in offers], [words_of(one.vehicle) for one in offers]
    labels = Counter(" ".join(words_of(one.label)) for one in offers)
    found = []
    for place, offer in enumerate(offers):
        work, vehicle = _ways(works, place), _ways(vehicles, place)
        says = [_ordinal(place, len(offers))]
        if own := " ".join(words_of(offer.label)) if labels[" ".join(words_of(offer.label))] == 1 else "":
            says.append(own)
        says += [way for way, alone in (*work, *vehicle) if alone]
        says += [f"{one} (of | on) [the] {other}" for one, apart in work for other, too in vehicle if apart or too
                 or _one_of(offers, place)]  # fmt: skip
        found.append(Phrase(TAKE_UP, f"{_LEADS} ({' | '.join(dict.fromkeys(says))})", offer.name, affirms=True))
    return (*found, AGAIN)


def _one_of(offers: Sequence[Offer], place: int) -> bool:
    """Return whether no other job does the same work on the same vehicle."""
    pairs = [(one.work, one.vehicle) for one in offers]
    return pairs.count(pairs[place]) == 1


def _ways(rows: Sequence[Sequence[str]], place: int) -> list[tuple[str, bool]]:
    """Return how one of several titles may be said, each with whether it calls none of the others.

    The whole title, and each word that says something; those that another has too only beside something else.
    """
    own = rows[place]
    others = [row for row in rows if list(row) != list(own)]
    same = [list(row) for row in rows].count(list(own)) > 1
    ways = [(" ".join(own), not same)] if own else []
    for word in own:
        if word not in _LIGHT and len(own) > 1 and _one(word) not in {_one(other) for row in others for other in row}:
            ways.append((f"({_one(word)} | {_one(word)}s)", not same))
    return ways


def words_of(title: str) -> list[str]:
    """Return the words of a title that can be said: no figures, and nothing in brackets."""
    return re.findall(r"[a-z]+(?:'[a-z]+)?", _NOT_SAID.sub(" ", title).lower())


def _ordinal(place: int, several: int) -> str:
    says = [f"{say_ordinal(place + 1)} [(one | job)]", f"number {say_integer(place + 1)}"]
    if place == several - 1 > 0:
        says.append("last [(one | job)]")
    return f"({' | '.join(says)})"


def offer(offers: Sequence[Offer], more: int = 0) -> str:
    """Return the question which of the jobs to take up, for the ear; `more` are unfinished too and not offered."""
    told = [f"{say_ordinal(place).capitalize()}: {one.title}, at: {_lower(one.step)}." for place, one in
            enumerate(offers, 1)]  # fmt: skip
    rest = f" {say_integer(more).capitalize()} more {'is' if more == 1 else 'are'} on the screen." if more else ""
    return (
        f"{say_integer(len(offers) + more).capitalize()} jobs are unfinished. {' '.join(told)}{rest} "
        f"Which one do you carry on with? Say, for instance: carry on with the {say_ordinal(1)} one."
    )


def called(offers: Sequence[Offer], text: str) -> list[Offer]:
    """Return the jobs that a written name calls: the one of that very name, else all that have each of its words."""
    exact = [one for one in offers if text and text in (one.name, one.label)]
    if exact:
        return exact
    wanted = {_one(word) for word in words_of(text) if word not in _LIGHT}
    known = [{_one(word) for word in words_of(f"{one.label} {one.work} {one.vehicle}")} for one in offers]
    return [one for one, words in zip(offers, known, strict=True) if wanted and wanted <= words]


def _one(word: str) -> str:
    """Return a word without the sign of several, or of whose it is: "the brakes" calls what is titled "brake pads"."""
    return word.removesuffix("s").removesuffix("'")


def _lower(title: str) -> str:
    """Return a title within a sentence: its first letter small, unless the word is a name in capitals."""
    return title if title[:2].isupper() else title[:1].lower() + title[1:]


def _spoken(title: str) -> str:
    """Return a title without figures and what stands in brackets."""
    return " ".join(word for word in _NOT_SAID.sub(" ", title).split() if not any(map(str.isdigit, word)))
