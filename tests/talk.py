"""A talk in tests: words go in as typed lines, through the real matcher, engine and journal."""

from __future__ import annotations

from assistant import wiring
from assistant.adapters.clock import MovableClock
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.library import Library
from assistant.core.data.vehicle import Vehicle
from assistant.core.hearing.verdict.matching import Phrasebook
from assistant.core.job.events import Event
from assistant.core.job.question import question
from assistant.core.job.state import State, fold
from assistant.core.types import Hypothesis
from assistant.path.desk import Desk, Turn
from assistant.path.ears import Ears
from assistant.path.hearing import heard
from assistant.path.turn import time_passes

SUMS = Library().sums()
PLACE = "on concrete / it stayed in its place / one tonne / confirm the parking place"
READY = f"""eighty four thousand two hundred kilometres / next step / next step / next step / with jack and stands
{PLACE} / next step / next step / next step / next step / next step / next step""".replace("\n", " / ")
EVIDENCE = "the brake light is on / both back wheels / two / it stood firm / confirm going under the car"
DRAIN = "next step / next step / next step / next step / @600 / next step"
PLUG = "next step / next step"
CLOSE = (
    f"{PLUG} / "
    + """thirty newton metres / confirm drain plug / next step / twenty five newton metres
confirm filter housing / three point five litres / the filler cap is tight / confirm filler cap / it is completely dry
next step""".replace("\n", " / ")
)
LOWER = "next step / next step"
START = "outdoors / it is all clear there / four clicks / it is in neutral / confirm starting the engine"
RUN = f"{LOWER} / {START} / the oil lamp went out / @60 / nothing at all / next step / next step / @300 / next step"
TOP_UP = "near low / point seven litres / the filler cap is tight / confirm filler cap / @300 / next step"
END = "three quarters / it is completely dry / next step / next step / next step"
WHOLE = " / ".join((READY, EVIDENCE, DRAIN, CLOSE, RUN, TOP_UP, END))
RAMPS = f"""sixty thousand kilometres / next step / next step / next step / on the ramps / on concrete
it stayed in its place / confirm the parking place / next step / {START} / next step / the car is on the ramps
next step / next step / next step / next step""".replace("\n", " / ")
ON_RAMPS = "the brake light is on / both back wheels / in the hollows / it stood firm / confirm going under the car"


class Talk:
    """One job, as a person has it."""

    def __init__(self, library: Library, phrasebook: Phrasebook, journal: SqliteJournal, clock: MovableClock) -> None:
        self.library, self.phrasebook, self.journal, self.clock = library, phrasebook, journal, clock
        self.desk: Desk
        self.said = ""
        self.begin(library.vehicle("tarnwick-plover-16"))

    def begin(self, vehicle: Vehicle, job: str = "oil-and-filter") -> None:
        started, _ = wiring.new_job(self.journal, self.library.job(job), vehicle, self.clock)
        self.desk = Desk(
            started.name, started.state, self.journal, self.clock, Ears(self.phrasebook),
            (*self.library.phrases(), *SUMS.catalogue.phrases()), sums=SUMS, check_in_after=wiring.CHECK_IN_AFTER,
        )  # fmt: skip

    def say(self, words: str) -> Turn:
        """Say several things, separated by slashes; `@60` lets 60 seconds pass. Returns the last turn."""
        turn: Turn | None = None
        for part in (part.strip() for part in words.split("/")):
            if part.startswith("@"):
                turn = self.wait(int(part[1:])) or turn
            else:
                self.clock.move(2)
                turn = heard(self.desk, Hypothesis(part, 0.0, "typed"))
        assert turn
        self.said = turn.reply.say
        return turn

    def wait(self, seconds: int) -> Turn | None:
        found = None
        for _ in range(0, seconds, 5):
            self.clock.move(5)
            found = time_passes(self.desk) or found
        return found

    @property
    def state(self) -> State:
        return self.desk.state

    @property
    def waiting(self) -> str:
        return str(question(self.state))

    def facts(self) -> list[Event]:
        return [row.event for row in self.journal.read(self.desk.job)]

    def replayed(self) -> State:
        return fold(self.journal.read(self.desk.job))
