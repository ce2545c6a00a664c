"""Values that a job works out: any computation by name, given what the vehicle, the owner and the readings tell.

Each is worked out once in a state, and again only after something that it may rest on has changed (`State.worked`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from assistant.core.compute.base.result import Answer
from assistant.core.compute.jug import graduation
from assistant.core.compute.work_out import work_out_of
from assistant.core.data.measured import Computed
from assistant.core.data.procedure import Procedure
from assistant.core.errors import ReadingError
from assistant.core.job.state import State
from assistant.core.quantities.units import Amount, Level, Value, write_amount

TODAY, GRADUATION = "today", "graduation"
"""What may be given by name beside values: the day on which the job was begun, and the smallest step of the jug."""


class Missing(Exception):  # noqa: N818 — it is answered by asking, not an error
    """A value that neither the vehicle's file nor the owner gave, or from which, beside the others, nothing follows."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name


def answer_of(state: State, name: str) -> Answer:
    """Return a computed value with what it rests on.

    Raises
    ------
    Missing
        Where something that it rests on is missing.
    ReadingError
        Where what it rests on can't all be right.
    """
    if name not in state.worked:
        state.worked[name] = _outcome(state, name)
    outcome: Answer | Missing | ReadingError = state.worked[name]
    if isinstance(outcome, Exception):
        raise outcome.with_traceback(None)
    return outcome


def _outcome(state: State, name: str) -> Answer | Missing | ReadingError:
    computed = state.procedure.computed[name]
    try:
        given = {each: _given(state, what) for each, what in computed.inputs.items()}
        return work_out_of(computed.work_out, given, state.procedure.tables, str(state.vehicle.units))
    except (Missing, ReadingError) as error:
        return error


def value_of(state: State, name: str) -> Amount | str:
    """Return a computed value, an amount or words, as `answer_of` does."""
    answer, gives = answer_of(state, name), state.procedure.computed[name].gives
    if not gives:
        return answer.value
    more = dict(answer.more)
    if gives not in more:  # it is one that follows only sometimes
        raise Missing(name)
    return more[gives]


def _given(state: State, written: str | tuple[str, ...]) -> Value | str | date:
    if isinstance(written, tuple):
        return ", ".join(_labelled(state, part) for part in written)
    found = _named(state, written)
    return written if found is None else found


def _labelled(state: State, part: str) -> str:
    """Return a part of a list as text, with its label where it has one."""
    label, sign, name = part.rpartition(": ")
    value = _given(state, name)
    return f"{label}{sign}{_as_text(value)}"


def _as_text(value: Value | str | date) -> str:
    match value:
        case Amount():
            return write_amount(value)
        case Level():
            return value.said
        case _:
            return str(value)


def _named(state: State, name: str) -> Value | str | date | None:
    """Return what a name stands for; None where it is an amount or a text as it is written."""
    if name == TODAY:
        return state.opened_at.date()
    if name == GRADUATION:
        return graduation(str(state.vehicle.units))
    if name in state.procedure.computed:
        return value_of(state, name)
    if spec := state.spec(name):
        return spec.value
    if name in state.procedure.values:
        raise Missing(name)
    return _answered(state, name)


def _answered(state: State, name: str) -> Value | str | None:
    """Return what was read off or chosen by a name; None where nothing in the job is called so."""
    if name in names_read(state):
        if reading := state.last(name):
            return reading.value
        raise Missing(name)
    if name in choice_names(state.procedure):
        if option := dict(state.choices).get(name):
            return option
        raise Missing(name)
    return None


def reading_names(job: Procedure) -> frozenset[str]:
    """Return the names of all that is read off in a job."""
    return frozenset(step.reading.name for step in job.steps if step.reading)


def choice_names(job: Procedure) -> frozenset[str]:
    """Return the names of all that is chosen in a job."""
    return frozenset(step.choice.name for step in job.steps if step.choice)


def parts_of(written: str | tuple[str, ...]) -> Iterator[str]:
    """Yield what an input is made of: one name or text, or those of a list without their labels."""
    if isinstance(written, tuple):
        yield from (part.rpartition(": ")[2] for part in written)
    else:
        yield written


def rests_on(job: Procedure, name: str) -> tuple[str, ...]:
    """Return the names, in order, of all values, readings and choices that a computed value is worked out from.

    A circle of names rests on nothing more; such a job is refused when it is read.
    """
    return tuple(dict.fromkeys(_rests_on(job, name, ())))


def _rests_on(job: Procedure, name: str, above: tuple[str, ...]) -> Iterator[str]:
    for part in _parts(job.computed[name]):
        if part in job.computed:
            if part not in above:
                yield from _rests_on(job, part, (*above, name))
        elif part in job.values or part in _asked(job):
            yield part


def _parts(computed: Computed) -> Iterator[str]:
    return (part for written in computed.inputs.values() for part in parts_of(written))


def _asked(job: Procedure) -> frozenset[str]:
    return reading_names(job) | choice_names(job)


def needs(state: State, name: str) -> tuple[str, ...]:
    """Return the names of the vehicle's values that a value is worked out from; its own where it is one of them."""
    if name in state.procedure.computed:
        return _known_needs(state, name)[0]
    return () if name in names_read(state) and name not in state.procedure.values else (name,)


def names_read(state: State) -> frozenset[str]:
    """Return the names of all that is read off in the job of a state."""
    if "read" not in state.worked:
        state.worked["read"] = reading_names(state.procedure)
    known: frozenset[str] = state.worked["read"]
    return known


def reads(state: State, name: str) -> bool:
    """Return whether a computed value also rests on what is read off or chosen in the job."""
    return _known_needs(state, name)[1]


def _known_needs(state: State, name: str) -> tuple[tuple[str, ...], bool]:
    key = ("needs", name)
    if key not in state.worked:
        every = rests_on(state.procedure, name)
        values = tuple(one for one in every if one in state.procedure.values)
        state.worked[key] = values, len(values) < len(every)
    known: tuple[tuple[str, ...], bool] = state.worked[key]
    return known


def at_odds(state: State, known: Iterable[str]) -> str | None:
    """Return which of some values has to be told anew, because they can't all be right: what they give is refused.

    None where nothing speaks against them, or none of them was told: what the vehicle's file says can't be told anew.
    Such values are refused together (`readings.check_together`); a job that was begun before that was so has to go on.
    """
    together = {*known}
    for other in state.procedure.computed:
        needed = needs(state, other)
        if reads(state, other) or not together.issuperset(needed):
            continue
        try:
            answer_of(state, other)
        except Missing:
            continue
        except ReadingError:
            told = [one for one in state.told if one in needed and one not in state.vehicle.values]
            if told:
                return told[-1]
    return None
