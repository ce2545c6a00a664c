"""The command `work-out`: works something out from the values that are given. Prints nothing."""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from assistant import wiring
from assistant.core.compute.base.in_system import example_in
from assistant.core.compute.base.showing_answers import answer_lines, answer_record, listing, listing_record, page
from assistant.core.compute.work_out import CALCULATIONS, calculation, work_out
from assistant.core.errors import DataError


def command(options: argparse.Namespace, data: Path, show: Callable[[str], None], note: Callable[[str], None]) -> int:
    """Work out what the options name, show the answer, and return the exit code."""
    if options.list or not options.subject:
        show(_listed(as_json=options.json))
        return 0
    wanted, tables = calculation(options.subject), wiring.library(data).tables()
    given = _given(options, wanted.name)
    answer = work_out(wanted.name, given or example_in(wanted, options.units), tables, options.units)
    if options.calendar and given:
        note(f"calendar: {wiring.write_due(answer, wiring.SystemClock().now(), options.calendar)}")
    if options.json:
        record = answer_record(wanted, answer) if given else listing_record(wanted, options.units)
        show(json.dumps(record, ensure_ascii=False))
    else:
        show("\n".join(answer_lines(answer) if given else page(wanted, answer, options.units)))
    return 0


def _given(options: argparse.Namespace, name: str) -> dict[str, str]:
    """Return the values that are given; DataError for one that is given twice, and for a day that nothing is due."""
    if doubled := next((one for one, count in Counter(one for one, _ in options.given).items() if count > 1), None):
        raise DataError(f"{doubled} is given twice: give it once")
    if options.calendar and name != "next-due":
        raise DataError("only next-due gives a day for a calendar: leave --calendar out")
    return dict(options.given)


def _listed(*, as_json: bool) -> str:
    every = tuple(CALCULATIONS.values())
    if as_json:
        return json.dumps([listing_record(each) for each in every], ensure_ascii=False)
    return "\n".join(listing(every))
