"""What facts of values change: those of the vehicle, of tools, and readings."""

from __future__ import annotations

from datetime import datetime

from assistant.core.job import events as e
from assistant.core.job.state.changing import Change, but, said, unsaid, with_key, without_keys
from assistant.core.job.state.state import State, TakenReading


def _tool_measured(state: State, event: e.ToolMeasured, at: datetime) -> State:
    return but(state, tools=with_key(state.tools, event.tool, event.length))


def _value_told(state: State, event: e.ValueTold, at: datetime) -> State:
    told, unknown = with_key(state.told, event.name, event.spec), state.unknown - {event.name}
    return said(but(state, told=told, unknown=unknown, pending=None, doubted=""), event)


def _value_unknown(state: State, event: e.ValueUnknown, at: datetime) -> State:
    return said(but(state, unknown=state.unknown | {event.name}, pending=None, doubted=""), event)


def _value_withdrawn(state: State, event: e.ValueWithdrawn, at: datetime) -> State:
    told = without_keys(state.told, lambda name: name == event.name)
    without = but(state, told=told, unknown=state.unknown - {event.name}, doubted=event.name, pending=None)
    return unsaid(without, lambda one: isinstance(one, e.ValueTold | e.ValueUnknown) and one.name == event.name)


def _reading_taken(state: State, event: e.ReadingTaken, at: datetime) -> State:
    reading = TakenReading(event.step, event.name, event.value, event.adds, at, event.removes, event.of)
    return said(but(state, readings=(*state.readings, reading)), event)


def _reading_withdrawn(state: State, event: e.ReadingWithdrawn, at: datetime) -> State:
    key = (event.step, event.name)
    for index in range(len(state.readings) - 1, -1, -1):
        reading = state.readings[index]
        if (reading.step, reading.name) == key:
            without = but(state, readings=state.readings[:index] + state.readings[index + 1 :])
            return unsaid(without, lambda one: isinstance(one, e.ReadingTaken) and (one.step, one.name) == key)
    return state


def _vehicle_offered(state: State, event: e.VehicleOffered, at: datetime) -> State:
    offered = but(state, offered=event.vehicle, declined=None)
    return unsaid(offered, lambda one: isinstance(one, e.VehicleDeclined))


def _vehicle_taken(state: State, event: e.VehicleTaken, at: datetime) -> State:
    taken = but(state, vehicle=event.vehicle, vehicle_before=state.vehicle, offered=None, declined=None)
    if event.taken_back:
        return unsaid(taken, lambda one: isinstance(one, e.VehicleTaken))
    return said(taken, event)


def _vehicle_declined(state: State, event: e.VehicleDeclined, at: datetime) -> State:
    return said(but(state, offered=None, declined=state.offered), event)


CHANGES: dict[type[e.Event], Change] = {
    e.ToolMeasured: _tool_measured,
    e.ValueTold: _value_told,
    e.ValueUnknown: _value_unknown,
    e.ValueWithdrawn: _value_withdrawn,
    e.ReadingTaken: _reading_taken,
    e.ReadingWithdrawn: _reading_withdrawn,
    e.VehicleOffered: _vehicle_offered,
    e.VehicleTaken: _vehicle_taken,
    e.VehicleDeclined: _vehicle_declined,
}
