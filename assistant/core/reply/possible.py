"""What may be answered to what is waited for, in words: said where an answer fits nothing, and to "what can I say"."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from assistant.core.data.gate import Option
from assistant.core.data.step import SlotKind
from assistant.core.grammar.in_full import in_full
from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.job.aside.asking import LEAVE, OR
from assistant.core.job.conditions import ways_of
from assistant.core.job.events import AsideAsked
from assistant.core.job.filling import draws_off
from assistant.core.job.question import Question, Waiting, question
from assistant.core.job.state import State
from assistant.core.job.vehicle_file import NEW_VALUES
from assistant.core.quantities.units import Kind
from assistant.core.reply.fastenings import says_new
from assistant.core.reply.leaving import over

_NUMBERS: dict[SlotKind | str, str] = {
    Kind.TORQUE: "the torque with its unit, for instance: thirty newton metres",
    Kind.VOLUME: "the amount with its unit, for instance: three point five litres",
    Kind.DISTANCE: "the distance with its unit, for instance: sixty thousand kilometres",
    Kind.MASS: "the weight with its unit, for instance: two tonnes",
    Kind.COUNT: "a number, for instance: two",
    Kind.ANGLE: "the angle, for instance: sixty degrees",
    Kind.DURATION: "the time, for instance: twelve months",
    Kind.LENGTH: "the length with its unit, for instance: twenty millimetres",
    Kind.PRESSURE: "the pressure with its unit, for instance: two point three bar",
    Kind.TEMPERATURE: "the temperature, for instance: minus twenty degrees",
    Kind.VOLTAGE: "the voltage, for instance: twelve point four volts",
    Kind.CURRENT: "the current, for instance: two hundred amps",
    Kind.SHARE: "the share, for instance: fifty percent",
    "thread": "the thread, for instance: metric fourteen by one point five",
    "unit": "the unit, for instance: foot pounds",
    "one-by-one": "its figures, for instance: two four two three",
    "level": "what {gauge} shows, for instance: near low, or three quarters",
}
"""How a value of each kind is said. The numbers are examples of the form only."""


MOST_WAYS = 4
"""So many ways to answer are told unasked. Common practice: about so many are kept in mind."""


def possible(state: State) -> str:
    """Return what may be said now, as a sentence or two."""
    asked = question(state)
    return _POSSIBLE[asked.waiting](state, asked)


def name_of(thing: str) -> str:
    """Return the name of a thing as it is confirmed, without its article."""
    return thing.removeprefix("the ")


def _confirm(state: State, asked: Question) -> str:
    if asked.about == NEW_VALUES:
        return "Say: confirm the new values. Or: keep the old values."
    return f"Say: confirm {name_of(asked.about)}. Or: that was wrong."


def _evidence(state: State, asked: Question) -> str:
    assert asked.ask
    return _answers(asked.ask.options, asked.ask.kind)


def _aside(state: State, asked: Question) -> str:
    """Return how to answer what is asked beside the job, and how to leave it."""
    aside = state.aside[-1]
    if aside.offers:
        return f"Say: {aside.ask.partition('Say: ')[2]} {LEAVE}"
    ways = [in_words(says[0]) for says in aside.options.values()]
    ways += [_NUMBERS.get(_kind_of(aside.slot), "the number").replace("{gauge}", "it")] if aside.slot else []
    return f"Say: {OR.join(ways)}. {LEAVE}" if ways else LEAVE


def in_short(state: State) -> str:
    """Return the same for who was not understood; of many ways not one, for a noise would bring them all each time."""
    if state.aside and len(state.aside[-1].offers) > MOST_WAYS:
        return f"To hear what there is, say: what can I say. {LEAVE}"
    return possible(state)


def aside_question(aside: AsideAsked) -> str:
    """Return what is asked beside the job, of many ways to answer only the first: nobody keeps a dozen in mind."""
    if aside.ask.count(OR) <= MOST_WAYS:
        return aside.ask
    return f"{OR.join(aside.ask.split(OR)[:MOST_WAYS])}. To hear them all, say: what can I say."


def _kind_of(slot: str) -> SlotKind | str:
    return Kind(slot) if slot in {*Kind} else slot


def _condition(state: State, asked: Question) -> str:
    assert asked.unmet
    ways = ways_of(state, asked.unmet)
    return f"Say: {in_words(ways[0].says[0])}." if ways else "Say: go back one step."


def _value(state: State, asked: Question) -> str:
    return _answers((), state.procedure.values[asked.about].kind)


def _reading(state: State, asked: Question) -> str:
    reading = state.here.reading
    assert reading
    fluid = state.procedure.fluids.get(reading.of or "")
    said = _answers((), Kind.VOLUME if draws_off(state, state.here) else reading.kind)
    return said.replace("{gauge}", fluid.gauge if fluid else "it")


def _choice(state: State, asked: Question) -> str:
    return _answers(state.here.choice.options if state.here.choice else ())


def _claim(state: State, asked: Question) -> str:
    return f"Say: {in_words(state.here.claim.says[0])}." if state.here.claim else ""


def _next(state: State, asked: Question) -> str:
    done = state.here.done
    return f"When it is done, say: {in_words(done[0])}." if done else "Say: next step."


def _answers(options: Iterable[Option], kind: SlotKind | None = None) -> str:
    """Return the answers of a list, and how a number is said."""
    words = [in_words(option.says[0]) for option in options]
    words += [_NUMBERS.get(kind, "a number with its unit")] if kind is not None else []
    return f"Say: {OR.join(words)}."


def in_words(says: str) -> str:
    """Return a phrase as a person would say it, with all that may be left out; a number stands for any."""
    return " ".join(in_full(parse_expansion(says))).replace("<number>", "four")


_POSSIBLE: dict[Waiting, Callable[[State, Question], str]] = {
    Waiting.FINISHED: lambda state, asked: over(state),
    Waiting.PARKED: lambda state, asked: "Say: carry on with the job.",
    Waiting.PAUSED: lambda state, asked: "Say: listen again.",
    Waiting.ASIDE: _aside,
    Waiting.OUT: lambda state, asked: "Say: I am out. Or: that was wrong.",
    Waiting.CONFIRM: _confirm,
    Waiting.CONDITION: _condition,
    Waiting.VALUE: _value,
    Waiting.BLOCKED: lambda state, asked: "Say: go back one step.",
    Waiting.EVIDENCE: _evidence,
    Waiting.READING: _reading,
    Waiting.CHOICE: _choice,
    Waiting.CLAIM: _claim,
    Waiting.NEW: lambda state, asked: f"Say: {says_new(state.procedure.part(asked.about).once)}.",
    Waiting.TURN: lambda state, asked: _answers((), Kind.ANGLE),
    Waiting.TIGHTEN: lambda state, asked: _answers((), Kind.TORQUE),
    Waiting.TIME: _next,
    Waiting.NEXT: _next,
}
"""What may be said, for each kind of question."""
