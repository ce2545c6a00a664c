"""Which step of a procedure may follow which, whatever is chosen and read. Knows no state."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set

from assistant.core.data.procedure import Procedure

END = ""
"""Stands for the end of the job, in the place of a step."""


def following(job: Procedure, held: frozenset[str] = frozenset()) -> dict[str, set[str]]:
    """Return which steps may follow each one, by its id; `END` for the end. Of the tags some surely hold, any other
    may hold or not."""
    places = {step.id: place for place, step in enumerate(job.steps)}
    leads: dict[str, set[str]] = {}
    for place, step in enumerate(job.steps):
        starts = [places.get(step.then or "", place + 1)]
        if step.repeat:
            starts += [places[name] for name in (step.repeat.to, step.repeat.out) if name in places]
        leads[step.id] = {name for start in starts for name in onward(job, start, held)}
    return leads


def onward(job: Procedure, place: int, held: frozenset[str] = frozenset()) -> Iterator[str]:
    """Yield the steps that may come next, from a place in the list on; `END` where the job may end."""
    for step in job.steps[place:]:
        yield step.id
        if held.issuperset(step.when) and not step.unless:
            return
    yield END


def reached(leads: Mapping[str, Set[str]], *begin: str) -> set[str]:
    """Return all that is reached along the ways from some steps on, those included."""
    known, waiting = set(begin), [*begin]
    while waiting:
        for other in leads.get(waiting.pop(), frozenset()) - known:
            known.add(other)
            waiting.append(other)
    return known
