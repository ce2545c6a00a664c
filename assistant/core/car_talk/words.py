"""What an owner is asked about a car, in words for the ear: short, one question, the number last."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from assistant.core.car_talk.given import Asked, Talk, Topic, asked, car
from assistant.core.car_talk.wanted import Readiness, groups_of
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.job.which_job import MOST
from assistant.core.quantities.saying import capital, say_amount, say_integer
from assistant.core.quantities.units import amount

KINDS = ("hatchback", "saloon", "estate car", "pickup", "minibus", "sports car", "van with windows", "camper")
"""Names that can be heard; a free name can't."""
UNITS = {"metric": "metric units", "imperial": "British imperial", "us": "American measures"}
"""The systems of units as they are said."""
SAID_KINDS = 3
"""So many of them are said, and one more; the others are heard as well."""
SOURCES = "Where does it stand: service manual, with its page, handbook, on the plate, or told by you?"
CONFIRM = "If it is right, say: confirm the car."
LATER = "Its own name is typed later."


def question(talk: Talk, *, typed: bool) -> str:
    """Return what is asked now; of who types, free texts can be asked for."""
    now = asked(talk)
    if now.topic is Topic.NAME:
        return _name(typed=typed)
    return _QUESTIONS.get(now.topic, _whole)(talk, now)


def _resume(talk: Talk, now: Asked) -> str:
    name = next((one.what for one in talk.kept if one.topic is Topic.NAME), "")
    what = f"A car is told in part{f': {name}' if name else ''}."
    return f"{what} Say: carry on with the car. Or: begin it anew."


def _taken(talk: Talk, now: Asked) -> str:
    return f"There is a car called {talk.called}. Say: replace the old file. Or: keep both of them."


def _units(talk: Talk, now: Asked) -> str:
    return "Which units: metric, British imperial, or American measures?"


def _built(talk: Talk, now: Asked) -> str:
    return talk.groups[now.about].question


def _jobs(talk: Talk, now: Asked) -> str:
    titles = [job.title for job in talk.ground.jobs[:MOST]]
    more = len(talk.ground.jobs) - len(titles)
    rest = f" {say_integer(more).capitalize()} more are on the screen." if more else ""
    return f"For which job shall I know the car? {'. '.join(titles)}.{rest} Or say: all of the jobs."


def _name(*, typed: bool) -> str:
    if typed:
        return "What is the car called? Type its name."
    return f"What kind of car is it: {', '.join(KINDS[:SAID_KINDS])}, or {KINDS[SAID_KINDS]}? {LATER}"


def _value(talk: Talk, now: Asked) -> str:
    wanted = talk.wanted[now.about][0]
    before = [one.about for one in talk.given if one.topic is Topic.VALUE and one.about in talk.wanted]
    again = bool(before) and talk.wanted[before[-1]][0].find == wanted.find
    leave = "" if before else " Or say: leave that one out."
    if sum(one.topic is Topic.SOURCE for one in talk.given) == 1:
        leave = " You may add: from the same source."
    return f"{capital(wanted.name)}?{'' if again else f' {wanted.find}'}{leave}"


def _source(talk: Talk, now: Asked) -> str:
    """Return the question for a source, with the value read back last; who names it has heard the value."""
    heard = f"I heard: {say_amount(amount(talk.what(Topic.VALUE, now.about)))}."
    if any(one.topic is Topic.SOURCE for one in talk.given):
        return f"The same source? {capital(heard.removeprefix('I heard: '))}"
    return f"{SOURCES} {heard}"


def _whole(talk: Talk, now: Asked) -> str:
    """Read the whole back."""
    return f"{' '.join(read_back(car(talk), talk.jobs))}{_left_out(talk)} {CONFIRM}"


_QUESTIONS: Mapping[Topic, Callable[[Talk, Asked], str]] = {
    Topic.RESUME: _resume,
    Topic.JOBS: _jobs,
    Topic.TAKEN: _taken,
    Topic.UNITS: _units,
    Topic.BUILT: _built,
    Topic.VALUE: _value,
    Topic.SOURCE: _source,
}


def _left_out(talk: Talk) -> str:
    known = car(talk).values
    names = [talk.wanted[name][0].name for name in talk.values if name not in known]
    return f" Left out: {', '.join(names)}." if names else ""


def read_back(vehicle: Vehicle, jobs: Sequence[Procedure]) -> list[str]:
    """Return a vehicle in words for the ear, as sentences: its name, how it is built, and each of its values."""
    groups, tags = groups_of(jobs), frozenset(vehicle.tags)
    built = [build.called for build in (group.of(tags) for group in groups.values()) if build]
    names = names_of(jobs)
    return [
        f"{vehicle.title}, in {UNITS[vehicle.units]}.",
        *([f"{capital(', '.join(built))}."] if built else []),
        *(
            f"{capital(names.get(name, plain(name)))}: {say_amount(spec.value)}."
            for name, spec in vehicle.values.items()
        ),
    ]


def names_of(jobs: Sequence[Procedure]) -> dict[str, str]:
    """Return what jobs call the values that they want."""
    return {name: wanted.name for job in reversed(jobs) for name, wanted in job.values.items()}


def plain(name: str) -> str:
    """Return a name of a file as words."""
    return name.replace("-", " ").replace(":", " ")


def ready(found: Readiness) -> str:
    """Return what a job lacks of a vehicle, in words: whether it can be begun, and what it will ask for."""
    title = found.job.title
    if found.fault:
        return f"Not ready for: {title}. {found.fault}."
    asks = "; ".join(f"{wanted.name} ({wanted.find.rstrip('.').lower()})" for wanted in found.wanted)
    notes = ", or ".join(found.job.notes[name].lacks for name in found.notes)
    return (
        f"Ready for: {title}."
        + (f" It will ask for: {asks}." if asks else "")
        + (f" Your file does not say {notes}." if notes else "")
    )


def ready_aloud(found: Sequence[Readiness]) -> str:
    """Return which jobs a vehicle is ready for, and how much of it is asked for later, for the ear."""
    said = []
    for one in found:
        asks = ", ".join(wanted.name for wanted in one.wanted)
        said.append(
            f"Not ready for: {one.job.title}."
            if one.fault
            else f"It is ready for: {one.job.title}." + (f" There I shall ask for: {asks}." if asks else "")
        )
    return " ".join(said)
