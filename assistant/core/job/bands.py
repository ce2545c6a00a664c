"""In which band a reading or a computed value lies, and the limits of a reading: each a number, an amount or a name."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from assistant.core.data.measured import Band, Bound
from assistant.core.data.step import Reading
from assistant.core.errors import ReadingError
from assistant.core.job import worked
from assistant.core.job.state import State, TakenReading
from assistant.core.job.worked import Missing
from assistant.core.quantities.units import Amount, Kind, amount, convert


def amount_named(state: State, name: str) -> Amount:
    """Return an amount by its name: a value, a computed one, or what was read off; `Missing` where there is none."""
    if name in state.procedure.computed:
        try:
            found = worked.value_of(state, name)
        except ReadingError as error:  # from what was read off nothing follows, or the values can't all be right
            raise Missing(name) from error
    elif spec := state.spec(name):
        found = spec.value
    else:
        reading = state.last(name)
        found = reading.value if reading and isinstance(reading.value, Amount) else ""
    if not isinstance(found, Amount):
        raise Missing(name)
    return found


def is_named(state: State, bound: str) -> bool:
    """Return whether a limit is the name of something, and no amount as it is written."""
    job = state.procedure
    return bound in job.values or bound in job.computed or bound in worked.names_read(state)


def limit(state: State, bound: Bound, unit: str) -> Decimal:
    """Return a limit in a unit; `Missing` where nobody knows what it names."""
    if isinstance(bound, int):
        return Decimal(bound)
    found = amount_named(state, bound) if is_named(state, bound) else amount(bound)
    return convert(found, unit).magnitude


def limit_of(state: State, bound: Bound | None, unit: str, kind: Kind) -> Amount | None:
    """Return a limit in a unit of its kind; None where there is none, or nobody knows what it names."""
    if bound is None:
        return None
    try:
        return Amount(limit(state, bound, unit), unit, kind)
    except Missing:
        return None


def names_in_bounds(state: State, reading: Reading) -> Iterator[str]:
    """Yield the names by which a reading is held against something."""
    bounds = [reading.least, reading.most, *(each for band in reading.bands for each in (band.below, band.above))]
    return (bound for bound in bounds if isinstance(bound, str) and is_named(state, bound))


def band_at(state: State, bands: tuple[Band, ...], value: Amount) -> Band | None:
    """Return the first band that fits a value; None where a limit on the way to it is not known."""
    try:
        return next((band for band in bands if _fits(state, band, value)), None)
    except Missing:
        return None


def _fits(state: State, band: Band, value: Amount) -> bool:
    below = band.below is None or value.magnitude < limit(state, band.below, value.unit)
    return below and (band.above is None or value.magnitude > limit(state, band.above, value.unit))


def bands_of(state: State) -> Mapping[str, Band]:
    """Return the band of each reading and each computed value that lies in one, by its name."""
    if "bands" not in state.derived:
        state.derived["bands"] = dict(_bands_of(state))
    known: Mapping[str, Band] = state.derived["bands"]
    return known


def _bands_of(state: State) -> Iterator[tuple[str, Band]]:
    latest = {taken.name: taken for taken in state.readings}
    for name, taken in latest.items():
        if band := of_reading(state, taken):
            yield name, band
    for name, computed in state.procedure.computed.items():
        if computed.bands and (band := _of_computed(state, name)):
            yield name, band


def news_of_bands(before: State, after: State, reading: str, *, stops: bool = False) -> Iterator[Band]:
    """Yield the bands that a reading falls into, and those that what is worked out from it falls into anew.

    With `stops`, those alone that stop the job.
    """
    was = bands_of(before)
    for name, band in bands_of(after).items():
        if (name == reading or band is not was.get(name)) and (band.stop or not stops):
            yield band


def of_reading(state: State, taken: TakenReading) -> Band | None:
    """Return the band in which a reading lies; None where its step has none."""
    reading = state.procedure.step(taken.step).reading
    if not reading or reading.name != taken.name or not isinstance(taken.value, Amount):
        return None
    return band_at(state, reading.bands, taken.value)


def _of_computed(state: State, name: str) -> Band | None:
    try:
        return band_at(state, state.procedure.computed[name].bands, amount_named(state, name))
    except Missing:
        return None
