"""What is typed about a car and is no phrase: amounts in figures, with or without their source, names, threads."""

from __future__ import annotations

import pytest

from assistant.adapters.library import Library
from assistant.core.car_talk.given import Given, Ground, Talk, Topic
from assistant.core.car_talk.typed_answers import typed_intent
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, write_amount

SHELF = Library()
JOB = SHELF.job("oil-and-filter")
BUILT = (
    Given(Topic.NAME, what="Red car"),
    Given(Topic.UNITS, what="us"),
    Given(Topic.BUILT, "filter:cartridge filter:spin-on", "filter:cartridge"),
    Given(Topic.BUILT, "tray:fitted"),
)
OTHERS = tuple(Given(Topic.VALUE, name) for name in JOB.values if name not in ("drain-plug-torque", "oil-capacity"))
START = Talk(Ground.of((JOB,), frozenset(), SHELF.tables(), "2026-03-14"), (*BUILT, *OTHERS))
AT_CAPACITY = START.with_given(Given(Topic.VALUE, "drain-plug-torque"))
AT_TORQUE = START.with_given(Given(Topic.VALUE, "oil-capacity"))
AT_SOURCE = AT_TORQUE.with_given(Given(Topic.VALUE, "drain-plug-torque", "30 N·m"))


@pytest.mark.parametrize(
    ("talk", "line", "value", "source"),
    [
        (AT_TORQUE, "22,5 Nm", "22.5 N·m", None),
        (AT_TORQUE, "22 lbf·ft", "22 lbf·ft", None),
        (AT_TORQUE, "3 kgf·m", "3 kgf·m", None),
        (AT_TORQUE, "34,5 Nm, manual, page 3", "34.5 N·m", "manual, page 3"),
        (AT_TORQUE, "30 Nm from the same source", "30 N·m", "same"),
        (AT_TORQUE, "30 Nm; weighed 2 times", "30 N·m", "weighed 2 times"),
        (AT_CAPACITY, "5 1/2 qt", "5.5 US qt", None),
        (AT_CAPACITY, "4,300 ml, a friend", None, None),
        (AT_SOURCE, "31 Nm", "31 N·m", None),
    ],
)
def test_an_amount_in_figures_is_read_exactly_or_refused(
    talk: Talk, line: str, value: str | None, source: str | None
) -> None:
    if value is None:
        with pytest.raises(ReadingError):
            typed_intent(talk, line)
        return
    intent = typed_intent(talk, line)
    assert intent is not None and isinstance(intent.value, Amount)
    assert (intent.name, write_amount(intent.value), intent.option) == ("value", value, source)


@pytest.mark.parametrize(
    ("line", "name", "option"),
    [("M14x1,5", "thread", "M14x1.5"), ("on M14 x 1.5", "thread", "M14x1.5"), ("m14", "thread", "M14"),
     ("manual p. 12", "source", None), ("page 12", "source", None)],
)  # fmt: skip
def test_beside_its_source_a_torque_may_be_given_its_thread(line: str, name: str, option: str | None) -> None:
    intent = typed_intent(AT_SOURCE, line)
    assert intent is not None
    assert (intent.name, intent.option) == (name, option)


@pytest.mark.parametrize("line", ["no", "what", "is that so?", "it is wrong", "help"])
@pytest.mark.parametrize("talk", [AT_SOURCE, Talk(START.ground)])
def test_what_answers_something_else_is_neither_a_source_nor_a_name(talk: Talk, line: str) -> None:
    assert typed_intent(talk, line) is None
