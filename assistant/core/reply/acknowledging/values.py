"""What is said of values: told by the owner, changed in the vehicle's file, read off or measured."""

from __future__ import annotations

from assistant.core.compute import marks
from assistant.core.data.measured import Fluid
from assistant.core.job import events as e
from assistant.core.job import known
from assistant.core.job.bands import news_of_bands
from assistant.core.job.filling import fill_of
from assistant.core.job.state import State
from assistant.core.job.wording import say_for_owner, say_value, spoken
from assistant.core.quantities.saying import capital
from assistant.core.quantities.units import Level
from assistant.core.reply.acknowledging.words import Words
from assistant.core.reply.topics import tools


def _reading(before: State, event: e.ReadingTaken, after: State) -> str:
    heard = f"I heard {say_value(event.value)}."
    if isinstance(event.value, Level):
        return " ".join(part for part in (heard, *_level_words(after, event.of, event.value)) if part)
    several = sum(one.adds and one.of == event.of for one in after.readings) > 1
    ended = fill_of(before, before.here) and after.step != before.step
    if event.adds and several and ended:
        heard += f" In all {say_for_owner(after, known.poured(after, event.of))}."
    return " ".join([heard, *_judged(before, event, after)])


def _judged(before: State, event: e.ReadingTaken, after: State) -> list[str]:
    """Return what is said of a reading by its band, and of what is worked out from it by the bands of those."""
    news = news_of_bands(before, after, event.name)
    return [spoken(after, band.say) for band in news if band.say]


def _level_words(state: State, name: str, level: Level) -> list[str]:
    """Return whether a level fits what was poured in, and what it means."""
    fluid = state.procedure.fluids.get(name)
    if not fluid:
        return []
    word = {"low": f"More {fluid.name} is needed.", "ok": "That is a good level.", "over": "That is too much."}
    return [_doubt(state, name, fluid, level), word[marks.status(level)]]


def _doubt(state: State, name: str, fluid: Fluid, level: Level) -> str:
    if name not in state.drained or not fluid.span:
        return ""
    capacity, span = known.value(state, fluid.capacity), known.value(state, fluid.span)
    poured = known.poured(state, name)
    return marks.disagreement(level, poured, capacity, span, fluid.name, state.vehicle.called)


def _withdrawn(before: State, event: e.ReadingWithdrawn, after: State) -> str:
    taken = next((one for one in reversed(before.readings) if (one.step, one.name) == (event.step, event.name)), None)
    return f"Taken back: {say_value(taken.value)}." if taken else "Taken back."


def _told(before: State, event: e.ValueTold, after: State) -> str:
    return f"Noted, as told by you: {after.procedure.values[event.name].name}, {say_value(event.spec.value)}."


def _not_known(before: State, event: e.ValueUnknown, after: State) -> str:
    return spoken(after, after.procedure.values[event.name].unknown)


def _vehicle_taken(before: State, event: e.VehicleTaken, after: State) -> str:
    """Return what counts from now on, and what was tightened by what counted before."""
    said = "Taken back: the new values." if event.taken_back else "Noted: from now on the new values."
    for part in after.procedure.parts:
        if part.id in before.torques and part.id not in after.torques:
            said += f" {capital(part.name)} was tightened to {say_value(before.torques[part.id])}. Tighten it anew."
    return said


def _untold(before: State, event: e.ValueWithdrawn, after: State) -> str:
    spec, name = before.told.get(event.name), after.procedure.values[event.name].name
    return f"Taken back: {name}{f', {say_value(spec.value)}' if spec else ''}."


SAID: dict[type[e.Event], Words] = {
    e.ReadingTaken: _reading,
    e.ReadingWithdrawn: _withdrawn,
    e.ToolMeasured: lambda before, event, after: tools(after),
    e.ValueTold: _told,
    e.ValueUnknown: _not_known,
    e.VehicleTaken: _vehicle_taken,
    e.VehicleDeclined: lambda before, event, after: "I keep the old values.",
    e.ValueWithdrawn: _untold,
}
