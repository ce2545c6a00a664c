"""Values of the kind that is asked for, and within its limits; the words that refuse others."""

from __future__ import annotations

from assistant.core.errors import ReadingError
from assistant.core.job.state import State
from assistant.core.job.wording import say_for_owner
from assistant.core.quantities.units import Amount, Kind, Value, convert, write_amount

_EXAMPLES = {
    Kind.TORQUE: "a torque, with its unit",
    Kind.VOLUME: "an amount{of}, with its unit",
    Kind.DISTANCE: "a distance, with its unit",
    Kind.MASS: "a weight, with its unit",
    Kind.COUNT: "a number",
    Kind.DURATION: "a time, in months",
    Kind.LENGTH: "a length, with its unit",
}


def wrong_value(kind: Kind | None, of: str = "", gauge: str = "") -> ReadingError:
    """Return the refusal of a value of the wrong kind or without a unit.

    Without a kind a level is needed. `of` is the name of the fluid, and `gauge` that of what it is read from.
    """
    if kind is None:
        name = gauge.removeprefix("the ").removesuffix("level").strip()
        return ReadingError(
            "a reading between two marks is needed",
            say=f"Say the {f'{name} level'.strip()}, for instance: near low.",
        )
    example = _EXAMPLES.get(kind, f"a {kind}, with its unit").format(of=f" of {of}" if of else "")
    return ReadingError(f"a value of the kind {kind} is needed", say=f"I need {example}.")


def of_kind(value: Value, kind: Kind, of: str = "") -> Amount:
    """Return an amount of that kind that is not less than nothing; ReadingError for any other value."""
    if not isinstance(value, Amount) or value.kind is not kind:
        raise wrong_value(kind, of)
    if not value.magnitude.is_finite() or (value.magnitude < 0 and kind is not Kind.TEMPERATURE):
        raise ReadingError(
            f"{write_amount(value)} is less than nothing", say="That can't be less than nothing. Read it again."
        )
    return value


def within(state: State, value: Amount, least: Amount, most: Amount) -> Amount:
    """Return an amount between two others, with them; ReadingError for any other, which says what is allowed."""
    if not (convert(least, value.unit).magnitude <= value.magnitude <= convert(most, value.unit).magnitude):
        heard, low, high = (say_for_owner(state, each) for each in (value, least, most))
        raise ReadingError(
            f"{value.magnitude} {value.unit} is outside {least.magnitude} to {most.magnitude} {most.unit}",
            say=f"I heard {heard}. Allowed: {low} to {high}. Say it again.",
        )
    return value
