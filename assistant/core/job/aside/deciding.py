"""What follows from what is said beside a job: the next question, the answer, or the end of it. Never moves the job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from assistant.core.compute.base.calculation import Form, Input
from assistant.core.compute.base.given import read_input
from assistant.core.compute.base.showing_answers import spoken as say_answer
from assistant.core.compute.work_out import CALCULATIONS, work_out
from assistant.core.data.catalogue import Sum, Sums, Wish, inputs_of
from assistant.core.errors import ReadingError
from assistant.core.job import events as e
from assistant.core.job.aside.asking import LEAVE, ask_input, ask_what, ask_which, wanted
from assistant.core.job.aside.known import TODAY, known
from assistant.core.job.aside.telling import TOLD, spoken, text_of
from assistant.core.job.moving import Draft
from assistant.core.types import Intent

DURING = frozenset({"work-out", "told", "option", "value", "undo", "back", "leave", "denied", "park", "go-on", "pause",
                    "listen", "alarm", "out", "danger"})  # fmt: skip
"""What may be meant while something is asked beside the job; nothing else is taken, and nothing of it moves the job."""
FIRST = f"First my question beside the job. {LEAVE}"
NO_SUCH = "I can't work that out here. Say: work something out."


def ask_for(draft: Draft, sums: Sums, option: str | None) -> None:
    """Begin to work something out: ask what, which of a subject, or for the first input of a computation."""
    catalogue = sums.catalogue
    if option is None and catalogue.sums:
        draft.add(ask_what(catalogue))
    elif option in catalogue.subjects:
        draft.add(ask_which(catalogue, option))
    elif option in catalogue.sums:
        _begin(draft, sums, option)
    else:
        draft.add(e.Refused("aside", NO_SUCH))


def _begin(draft: Draft, sums: Sums, work: str) -> None:
    """Begin a computation with what the job knows of its inputs, which is said."""
    one, inputs = sums.catalogue.sums[work], inputs_of(CALCULATIONS[work])
    given, taken = {}, []
    for name, wish in one.asks.items():
        found = next(filter(None, (known(draft.state, source, draft.at) for source in wish.known)), None)
        if found is not None and _fits(draft, inputs[name], found):
            given[name] = found
            taken += [] if wish.known == (TODAY,) else [f"{name_of(name, wish)}, {spoken(wish, found)}"]
    _go_on(draft, sums, work, given, f"From the job: {'; '.join(taken)}." if taken else "")


def _fits(draft: Draft, each: Input, text: str) -> bool:
    """Return whether what the job knows can be what a computation takes."""
    try:
        read_input(each, text, str(draft.state.vehicle.units), "")
    except ReadingError:
        return False
    return True


def name_of(name: str, wish: Wish) -> str:
    """Return the name of an input as it is spoken."""
    return wish.name or name.replace("-", " ")


def tell(draft: Draft, sums: Sums, intent: Intent) -> None:
    """Take an answer to what is asked beside the job, if it can be right; ask on, or work it out."""
    asked = draft.state.aside[-1]
    one = sums.catalogue.sums.get(asked.work)
    name, _, part = asked.wanted.partition(":")
    if one is None or name not in one.asks:  # it was begun by another version of the program, or it is asked which one
        draft.add(e.Refused("aside", f"I did not get that. {LEAVE}" if not asked.work else NO_SUCH))
        _drop(draft, asked.work)
        return
    each, wish = inputs_of(CALCULATIONS[asked.work])[name], one.asks[name]
    text = text_of(each, wish, intent)
    whole = not part or not text.isdecimal()  # who types the size of a tyre types all of it
    if whole:
        read_input(each, text, str(draft.state.vehicle.units), CALCULATIONS[asked.work].example.get(name, ""))
    unread = intent.name == TOLD and each.takes is Form.TEXT and not wish.figures
    heard = "Noted." if unread else f"I heard {spoken(wish, text)}."
    _go_on(draft, sums, asked.work, {**asked.given, name if whole else asked.wanted: text}, heard)


def _drop(draft: Draft, work: str) -> None:
    if work:
        draft.add(e.AsideLeft())


def _go_on(draft: Draft, sums: Sums, work: str, given: dict[str, str], said: str) -> None:
    """Ask for the next input; where none is lacking, work it out and tell it."""
    one = sums.catalogue.sums[work]
    if lacking := next(wanted(one, given), None):
        draft.add(replace(ask_input(work, *lacking), say=said, given=given))
        return
    answer = work_out(work, joined(one, given), sums.tables, str(draft.state.vehicle.units))
    draft.add(e.WorkedOut(work, given, f"{said} {say_answer(answer)}".strip()))


def joined(one: Sum, given: Mapping[str, str]) -> dict[str, str]:
    """Return the inputs of a computation, those that were told in parts put together."""
    whole = {name: text for name, text in given.items() if ":" not in name}
    for name, wish in one.asks.items():
        if wish.parts and name not in whole:
            whole[name] = wish.form.format(**{part: given[f"{name}:{part}"] for part in wish.parts})
    return whole


def take_back(draft: Draft) -> None:
    """Take back what was told last beside the job; where nothing was, leave it."""
    draft.add(e.AsideTakenBack() if len(draft.state.aside) > 1 else e.AsideLeft())


def leave(draft: Draft) -> None:
    """End what was asked beside the job without an answer."""
    draft.add(e.AsideLeft() if draft.state.aside else e.Refused("aside", "There is no question to forget."))
