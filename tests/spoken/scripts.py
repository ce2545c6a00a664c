"""Dialogues, whole: what is said in them is kept as text beside this file, so that a change is seen. Those of the
other jobs are in `of_jobs.py`.

    python -m tests.spoken.scripts        # writes the texts anew; read what changed before you commit it

The cars and their numbers are invented.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from assistant.adapters.clock import MovableClock
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.library import Library
from assistant.core.hearing.verdict.matching import Phrasebook
from assistant.wiring import phrasebook
from tests.spoken.of_jobs import OTHERS
from tests.talk import (
    CLOSE,
    DRAIN,
    END,
    EVIDENCE,
    LOWER,
    ON_RAMPS,
    PLACE,
    RAMPS,
    READY,
    RUN,
    START,
    TOP_UP,
    WHOLE,
    Talk,
)

HERE = Path(__file__).parent
DIPSTICK = " / ".join((READY, EVIDENCE, DRAIN, CLOSE, RUN))
RUN_A_MINUTE = "@60 / nothing at all / next step / @300 / next step"
AGAIN = f"{LOWER} / {START} / the oil lamp went out / {RUN_A_MINUTE}"

SCRIPTS = {
    "stands": ("tarnwick-plover-16", WHOLE),
    "ramps": (
        "bannockfield-heron-25",
        f"{RAMPS.replace('sixty thousand kilometres', 'fifty two thousand miles')} / {ON_RAMPS} / next step / next step"
        " / @600 / next step / next step / next step / twenty eight foot pounds / confirm drain plug"
        " / the filter is off / the filter is hand tight / confirm oil filter / four point seven quarts"
        " / the filler cap is tight"
        f" / confirm filler cap / next step / the chocks are out / {START} / the oil lamp went out / next step"
        f" / it is in neutral / the parking brake is on / {RUN_A_MINUTE} / three quarters / it is dry / next step"
        " / next step / next step",
    ),
    "leak-at-the-filter": (
        "tarnwick-plover-16",
        f"{DIPSTICK} / three quarters / wet at the filter / next step / the new ring is in / twenty five newton metres"
        " / confirm filter housing / point four litres / point four litres / the filler cap is tight"
        f" / confirm filler cap / next step / {START} / the oil lamp went out / {RUN_A_MINUTE} / {END}",
    ),
    "leak-at-the-plug": (
        "tarnwick-plover-16",
        f"{' / '.join((READY, EVIDENCE, DRAIN, CLOSE, LOWER, START))} / the oil lamp went out / it drips / next step"
        f" / dripping from the tray / next step / on stands / {PLACE} / next step / next step / next step / next step"
        f" / next step / next step / {EVIDENCE} / I took the tray off / wet at the plug / next step / next step"
        " / the plug is out"
        " / @600 / next step / next step / next step / thirty newton metres / confirm drain plug"
        " / three point five litres / the filler cap is tight / confirm filler cap / it is completely dry / next step"
        f" / {AGAIN} / {TOP_UP} / {END}",
    ),
    "lamp-stays-on": (
        "tarnwick-plover-16",
        f"{' / '.join((READY, EVIDENCE, DRAIN, CLOSE, LOWER, START))} / it did not go out / the oil lamp stays on"
        " / the engine is off / I found nothing / the cause is mended / next step"
        f" / {START} / the oil lamp went out / {RUN_A_MINUTE} / {TOP_UP} / {END}",
    ),
    "too-much-oil": (
        "tarnwick-plover-16",
        f"{' / '.join((READY, EVIDENCE, DRAIN, CLOSE.replace('three point five litres', 'five litres / one litre')))}"
        f" / {RUN} / above the full mark / half a litre / @300 / next step / near low / one litre / point three litres"
        f" / the filler cap is tight / confirm filler cap / @300 / next step / {END}",
    ),
    "denied": (
        "tarnwick-plover-16",
        "eighty four thousand two hundred kilometres / not yet / the parts are not ready / next step / next step"
        " / next step / yes / on stands / not on concrete / on concrete / it did not stay in its place"
        " / it stayed in its place / one tonne / confirm the stands / confirm the parking place / next step"
        " / the parking brake is not on / next step / next step / the chocks are not in place / next step"
        " / it is still hot / next step / it does not stand on the stands / next step / the brake light is off"
        " / four clicks / only one back wheel / both back wheels / one stand / the car stands on both stands"
        " / four clicks / both back wheels / two stands / it did not stay completely still"
        " / the car stands on both stands"
        " / four clicks / both back wheels / two stands / it stood firm / do not confirm going under the car"
        " / confirm drain plug / confirm going under the car / the car has moved",
    ),
}  # fmt: skip
"""What is said in each dialogue, and on which car."""


def spoken(name: str, library: Library, book: Phrasebook, folder: Path) -> Iterator[str]:
    """Yield the lines of a dialogue: what the person says, and what is answered."""
    job, vehicle, script = OTHERS[name] if name in OTHERS else ("oil-and-filter", *SCRIPTS[name])
    journal = SqliteJournal(folder / f"{name}.sqlite")
    talk = Talk(library, book, journal, MovableClock(datetime(2026, 3, 14, 9, tzinfo=UTC)))
    talk.begin(library.vehicle(vehicle), job)
    for part in (part.strip() for part in script.split("/")):
        turn = talk.wait(int(part[1:])) if part.startswith("@") else talk.say(part)
        yield f"> {part}"
        yield f"{turn.reply.say if turn else '(silence)'}"
        yield ""
    journal.close()


def main() -> None:
    """Write all texts anew."""
    library = Library()
    book = phrasebook(library.rules())
    with tempfile.TemporaryDirectory() as folder:
        for name in (*SCRIPTS, *OTHERS):
            text = "\n".join(spoken(name, library, book, Path(folder)))
            (HERE / f"{name}.txt").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
