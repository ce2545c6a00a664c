"""The questions that can be asked beside a job, each as the fact that it was asked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from assistant.core.compute.base.calculation import Input
from assistant.core.compute.work_out import CALCULATIONS
from assistant.core.data.catalogue import Catalogue, Sum, Wish, inputs_of, slot_of
from assistant.core.grammar.in_full import in_full
from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.job.events import AsideAsked

OR = ". Or: "
"""What stands between ways to answer."""
LEAVE = "To leave it, say: forget that question."
"""How to leave what was asked beside the job."""


def ask_what(catalogue: Catalogue) -> AsideAsked:
    """Return the first question: what to work out. A subject may be answered, or the computation itself."""
    subjects = (subject.says[0] for subject in catalogue.subjects.values())
    return _choosing(catalogue.begin, subjects, (*catalogue.subjects, *catalogue.sums))


def ask_which(catalogue: Catalogue, subject: str) -> AsideAsked:
    """Return the question which computation of a subject is wanted."""
    which = catalogue.of_subject(subject)
    return _choosing("Which one?", (catalogue.sums[name].says[0] for name in which), which)


def _choosing(ask: str, ways: Iterable[str], offers: tuple[str, ...]) -> AsideAsked:
    said = OR.join(" ".join(in_full(parse_expansion(way))) for way in ways)
    return AsideAsked("", "", f"{ask} Say: {said}.", "", offers=offers)


def ask_input(work: str, wanted: str, ask: str, wish: Wish) -> AsideAsked:
    """Return the question for an input of a computation, or for a part of one."""
    each = inputs_of(CALCULATIONS[work])[wanted.partition(":")[0]]
    options = {option: tuple(says) for option, says in wish.says.items()}
    return AsideAsked(work, wanted, ask or _typed(work, each), "", slot_of(each, wish), options)


def _typed(work: str, each: Input) -> str:
    """Return the question for what can't be said, with the command by which it is typed."""
    return f"Type this, it can't be said: {each.means}. By the command: assistant work-out {work}."


def wanted(one: Sum, given: Mapping[str, str]) -> Iterator[tuple[str, str, Wish]]:
    """Yield what is still lacking, each with its question; a part of an input behind a colon."""
    for name, wish in one.asks.items():
        if name in given:
            continue
        if wish.parts:
            parts = ((f"{name}:{part}", ask) for part, ask in wish.parts.items())
            yield from ((part, ask, wish) for part, ask in parts if part not in given)
        elif wish.ask or wish.typed:
            yield name, wish.ask, wish


def questions(catalogue: Catalogue) -> Iterator[tuple[str, AsideAsked]]:
    """Yield every question that may be asked beside a job, under a name."""
    yield "what", ask_what(catalogue)
    yield from ((subject, ask_which(catalogue, subject)) for subject in catalogue.subjects)
    for work, one in catalogue.sums.items():
        yield from ((f"{work}, {name}", ask_input(work, name, ask, wish)) for name, ask, wish in wanted(one, {}))
