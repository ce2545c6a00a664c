"""The answers to questions that change nothing: what is open, what torque, where am I. Only words, no decisions."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from functools import partial

from assistant.core.compute.bolts.crow_foot import wrench_setting
from assistant.core.data.base import names_in
from assistant.core.errors import ReadingError
from assistant.core.job import known
from assistant.core.job.filling import fill_of
from assistant.core.job.question import question
from assistant.core.job.state import State
from assistant.core.job.timer import Timer
from assistant.core.job.wording import fill_words, say_for_owner, say_value, spoken
from assistant.core.quantities.owner_units import IN_UNITS, owner_unit, rounded_in
from assistant.core.quantities.saying import say_duration, say_integer
from assistant.core.quantities.units import Amount, Kind, kind_of
from assistant.core.reply.possible import possible

PLACES = {
    "bench": "at the bench",
    "beside": "beside {vehicle}",
    "under": "under {vehicle}",
    "bay": "at the engine bay",
    "seat": "in the driver's seat",
    "arch": "in the wheel arch",
    "drive": "on the road",
}


def answer_topic(state: State, topic: str, present: Callable[[State], str]) -> str:
    """Return the answer to a question of the person; `present` says what is waited for now."""
    if topic in ("repeat", "here"):
        return ("Good. " if topic == "here" else "") + present(state)
    return _TOPICS[topic](state)


def what_is_open(state: State) -> str:
    """Return what is open, in the order in which it was opened."""
    parts = state.ledger.open_in(state.procedure)
    dry = "".join(f" The {name} is drained." for name in _dry(state))
    if not parts:
        return f"Nothing is open.{dry}"
    return f"Open: {', '.join(part.name.removeprefix('the ') for part in parts)}.{dry}"


def _dry(state: State) -> list[str]:
    """Return the fluids that ran out and of which nothing is in yet."""
    fluids = state.procedure.fluids.items()
    return [one.name for name, one in fluids if name in state.drained and known.poured(state, name).magnitude <= 0]


def _where(state: State) -> str:
    step = state.here
    steps = [other.id for other in state.procedure.steps if other.applies(known.tags(state))]
    left = len(steps) - steps.index(step.id) - 1 if step.id in steps else 0
    place = PLACES[step.where].format(vehicle=state.vehicle.called)
    return f"Step: {step.title.lower()}, {place}.{_holding(state)} Steps left: {say_integer(left)}."


def _holding(state: State) -> str:
    """Return what holds of the vehicle, as far as it was said."""
    return "".join(f" {one.name}." for one in state.procedure.conditions if one.id in state.conditions)


def _torque(state: State) -> str:
    part = known.bolt(state)
    if not part:
        return "No torque belongs to this step."
    wanted = _known(state, part.torque or "")
    if not wanted:
        return f"I do not know the torque of {part.name}. Look in the service manual."
    at_bolt = f"{part.name.removeprefix('the ').capitalize()}: {say_for_owner(state, wanted)}."
    return f"{at_bolt} {_setting(state, wanted)}".strip() if state.tools.get("adapter") else at_bolt


def tools(state: State) -> str:
    """Return what to set the wrench to with its adapter, or what is still to be told for that."""
    part = known.bolt(state)
    wanted = _known(state, part.torque or "") if part else None
    return _setting(state, wanted) if wanted else "Noted."


def _setting(state: State, wanted: Amount) -> str:
    """Return what to set the wrench to, with the adapter straight on; never more than the torque at the bolt."""
    adapter, wrench = state.tools.get("adapter"), state.tools.get("wrench")
    if adapter is None:
        return "How long is the adapter? Say: my adapter is, and its length."
    if wrench is None:
        return "How long is the wrench, from grip to square? Say: my wrench is, and its length."
    told = f"Adapter {say_value(adapter)}, wrench {say_value(wrench)}."
    try:
        setting = wrench_setting(wanted, wrench, adapter, Amount(Decimal(0), "degree_of_arc", Kind.ANGLE)).value
    except ReadingError as error:
        return f"{told} {error.say}"
    system = str(state.vehicle.units)
    rounded = rounded_in(setting, owner_unit(Kind.TORQUE, system))
    return f"{told} With it straight on, set the wrench to: {say_value(rounded)}. Then tell me the torque at the bolt."


def _in_other_unit(state: State, unit: str) -> str:
    """Return the torque or the amount that the step speaks of in another unit."""
    if unit == "US_quart" and str(state.vehicle.units) == "imperial":
        unit = "imperial_quart"
    kind = kind_of(unit)
    names = known.names_of(state, state.here)
    if kind is Kind.TORQUE and (part := known.bolt(state)):
        names = (part.torque or "", *names)  # what the step itself speaks of goes before
    found = [value for name in names if (value := _known(state, name)) and value.kind is kind]
    return f"It is: {say_value(rounded_in(found[-1], unit))}." if found else f"There is no {kind} here."


def _known(state: State, name: str) -> Amount | None:
    """Return a value of the vehicle, or one that is computed; None where nobody gave it."""
    try:
        return known.value(state, name)
    except known.Missing:
        return None


def _amount(state: State) -> str:
    if filled := fill_of(state, state.here):
        return fill_words(state, filled)
    volumes = [name for name in names_in(state.here.say) if _is_volume(state, name)]
    if volumes:
        return f"{_amount_word(state, volumes[0])}."
    fluids = state.procedure.fluids
    reading = state.here.reading
    own = reading.of if reading and reading.of else next(iter(fluids), "")
    if not own:
        return "No amount belongs to this step."
    fluid, poured = fluids[own], known.poured(state, own)
    if reading and reading.removes and fluid.surplus and _known(state, fluid.surplus):
        return f"{_amount_word(state, fluid.surplus)}."
    said = f"Poured in so far: {say_for_owner(state, poured)}." if poured.magnitude else ""
    return f"{said} Capacity: {_amount_word(state, fluid.capacity)}.".strip()


def _is_volume(state: State, name: str) -> bool:
    value = None if name in state.vehicle.notes else _known(state, name)
    return value is not None and value.kind is Kind.VOLUME


def _amount_word(state: State, name: str) -> str:
    return spoken(state, "{" + name + "}")


def _source(state: State) -> str:
    step = state.here
    names = [name for name in known.names_of(state, step) if not known.is_words(state, name)]
    if not names:
        return "This step has no number. The service manual goes before what I say."
    return known.source(state, names[-1])


def _why(state: State) -> str:
    asked = question(state)
    if asked.gate:
        return f"It is a check before {asked.gate.name}. What nobody looked at can't be relied on."
    return spoken(state, state.here.why)


def _time(state: State) -> str:
    now = state.heard_at
    if not state.timers or not now:
        return "No time is running."
    times = ((purpose(state, timer), say_duration((timer.due - now).total_seconds())) for timer in state.timers)
    return " ".join(f"Time left for {what}: {left}." for what, left in times)


def purpose(state: State, timer: Timer) -> str:
    """Return what a time is for, as in "Time left for cooling"."""
    wait = state.procedure.step(timer.step).wait
    return "asking again" if timer.again or not wait else wait.about


def _help(state: State) -> str:
    if state.aside:
        return possible(state)
    usual = "Always: repeat that, what is still open, go back one step, park the job, call for help."
    return f"{possible(state)} {usual}".strip()


_TOPICS: dict[str, Callable[[State], str]] = {
    "where": _where,
    "open": what_is_open,
    "torque": _torque,
    "amount": _amount,
    "why": _why,
    "source": _source,
    "time": _time,
    "help": _help,
    "hush": lambda state: "",
    "attend": lambda state: "I am listening.",
    **{topic: partial(_in_other_unit, unit=unit) for topic, unit in IN_UNITS.items()},
}
