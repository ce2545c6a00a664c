"""Takes what an owner says about a car: the answers that then count, and what to reply before the next question.

What can't be right is refused in words, and nothing changes. Going back takes back the last answer, and only that.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from assistant.core.car_talk.given import (
    BOTH,
    LONGEST_NAME,
    REPLACE,
    Asked,
    Given,
    Talk,
    Topic,
    asked,
    car,
    specs_of,
)
from assistant.core.compute.bolts.stress import plausible, usual_friction
from assistant.core.data.vehicle import Spec, System
from assistant.core.errors import DataError, ReadingError
from assistant.core.job.vehicle_values import check_all, check_values, check_wanted
from assistant.core.quantities.saying import capital, say_amount
from assistant.core.quantities.units import Amount, Kind, Level, write_amount
from assistant.core.types import Intent

ALL_JOBS = "all"
"""The answer that means every job."""
TOLD = "told by the owner"
SAME = "same"
"""The answer that means the source of the value before."""
FEWEST_LETTERS = 3
"""A source has at least so many letters, as in a vehicle's file."""
NOTHING_BEFORE = "There is nothing before this."
NOT_THAT = "Then tell me what it is."
UNKNOWN_HERE = "That has to be told."
KEPT = "What you told is kept."

Taken = tuple[Talk, str]
"""The talk after an answer, and what is said of it."""


def take(talk: Talk, intent: Intent) -> Taken:
    """Return the talk after something was said, and what to say of it before the next question is asked."""
    if intent.name in _ALWAYS:
        return _ALWAYS[intent.name](talk, intent)
    return at(talk, asked(talk), intent)


def at(talk: Talk, now: Asked, intent: Intent) -> Taken:
    """Return the talk after an answer to some question of it."""
    answer = _ANSWERS[now.topic].get(intent.name)
    try:
        return answer(talk, now, intent) if answer else (talk, "")
    except ReadingError as error:
        return talk, error.say


# --- what may be said at any question ---


def _back(talk: Talk, intent: Intent) -> Taken:
    if talk.kept or not talk.given:
        return talk, NOTHING_BEFORE
    return talk.without(talk.given[-1]), ""


def _wrong(talk: Talk, intent: Intent) -> Taken:
    """Ask anew for what is said to be wrong: a value with its source, or one of the first answers."""
    if talk.kept:
        return talk, ""
    about = intent.option or ""
    topics = (Topic(about),) if about in (Topic.NAME, Topic.UNITS, Topic.BUILT, Topic.JOBS) else ()
    dropped = [one for one in talk.given if one.topic in topics or (not topics and one.about == about)]
    if Topic.NAME in topics:
        dropped += [one for one in talk.given if one.topic is Topic.TAKEN]
    if not dropped:
        return talk, "Nobody has told me that yet."
    return talk.without(*dropped), ""


def _denied(talk: Talk, intent: Intent) -> Taken:
    whole = asked(talk).topic is Topic.WHOLE
    return talk, "Then it is not written. Say what is wrong, or: go back one step." if whole else NOT_THAT


_ALWAYS: Mapping[str, Callable[[Talk, Intent], Taken]] = {
    "back": _back,
    "undo": _back,
    "wrong": _wrong,
    "denied": _denied,
}


# --- answers ---


def _go_on(talk: Talk, now: Asked, intent: Intent) -> Taken:
    return replace(talk, given=talk.kept, kept=()), "I carry on."


def _anew(talk: Talk, now: Asked, intent: Intent) -> Taken:
    return replace(talk, kept=()), "I begin anew."


def _jobs(talk: Talk, now: Asked, intent: Intent) -> Taken:
    every = [job.id for job in talk.ground.jobs]
    chosen = every if intent.option == ALL_JOBS else (intent.option or "").split()
    if not chosen or not set(chosen).issubset(every):
        raise ReadingError(f"there is no job {intent.option!r}", say="I know no such job.")
    return talk.with_given(Given(Topic.JOBS, what=" ".join(chosen))), ""


def _name(talk: Talk, now: Asked, intent: Intent) -> Taken:
    name = " ".join((intent.option or intent.words).split())
    if not (1 < len(name) <= LONGEST_NAME and name.isprintable() and any(map(str.isalnum, name))):
        raise ReadingError(
            f"{name!r} is no name for a car", say=f"A name has two to {LONGEST_NAME} letters. Choose another."
        )
    return talk.with_given(Given(Topic.NAME, what=name)), f"{name}."


def _taken(talk: Talk, now: Asked, intent: Intent) -> Taken:
    if intent.option not in (REPLACE, BOTH):
        return talk, ""
    return talk.with_given(Given(Topic.TAKEN, now.about, intent.option)), ""


def _units(talk: Talk, now: Asked, intent: Intent) -> Taken:
    if intent.option not in tuple(System):
        return talk, ""
    return talk.with_given(Given(Topic.UNITS, what=intent.option)), ""


def _built(talk: Talk, now: Asked, intent: Intent) -> Taken:
    options = {build.tag or "none": build for build in talk.groups[now.about].options}
    if intent.option not in options:
        return talk, ""
    found = options[intent.option]
    return talk.with_given(Given(Topic.BUILT, now.about, found.tag or "")), f"{capital(found.called)}."


def _value(talk: Talk, now: Asked, intent: Intent) -> Taken:
    """Take a value, or one that is told anew instead of its source; what speaks against it is told.

    An option is the source, told in the same breath: then the value is read back before the next question.
    """
    if intent.value is None:
        return talk, ""
    value = checked(talk, now.about, intent.value)
    new = talk.with_given(Given(Topic.VALUE, now.about, write_amount(value)))
    check_bolt(new, now.about)
    check_whole(new)
    if not intent.option:
        return new, ""
    new, _ = _source(new, now, Intent("source", intent.option, option=SAME if intent.option == SAME else None))
    return new, f"I heard: {say_amount(value)}."


def _unknown(talk: Talk, now: Asked, intent: Intent) -> Taken:
    """Leave a value out: a job asks for it when it is needed."""
    wanted = talk.wanted[now.about]
    said = (
        "Without it the job does not begin." if any(one.needed for one in wanted) else "Then I ask when it is needed."
    )
    return talk.with_given(Given(Topic.VALUE, now.about)), f"{said} {wanted[0].find}"


def _enough(talk: Talk, now: Asked, intent: Intent) -> Taken:
    return talk.with_given(Given(Topic.ENOUGH)), "The rest is asked for when it is needed."


def _source(talk: Talk, now: Asked, intent: Intent) -> Taken:
    source = source_of(talk, intent)
    if sum(map(str.isalnum, source)) < FEWEST_LETTERS or not source.isprintable():
        raise ReadingError(f"{source!r} is no source", say="Say where it stands, for instance: in the service manual.")
    return talk.with_given(Given(Topic.SOURCE, now.about, source)), ""


def source_of(talk: Talk, intent: Intent) -> str:
    """Return a source as files write it."""
    if intent.option == SAME:
        before = [one.what for one in talk.given if one.topic is Topic.SOURCE]
        if not before:
            raise ReadingError("there is no source yet", say="There is no source before this.")
        return before[-1]
    if intent.option == TOLD:
        return f"{TOLD}, {talk.ground.day}"
    page = intent.value
    on_page = f", page {page.magnitude:f}" if isinstance(page, Amount) else ""
    return f"{intent.option}{on_page}" if intent.option else " ".join(intent.words.split())


def _thread(talk: Talk, now: Asked, intent: Intent) -> Taken:
    """Take the thread of the bolt of a torque; refused where such a bolt can't bear it."""
    if talk.wanted[now.about][0].kind is not Kind.TORQUE or not intent.option:
        return talk, ""
    new = talk.with_given(Given(Topic.THREAD, now.about, intent.option))
    check_bolt(new, now.about)
    return new, f"It is for {intent.option}."


def _confirm(talk: Talk, now: Asked, intent: Intent) -> Taken:
    check_whole(talk)
    return replace(talk, done=True), ""


_AT_VALUE = {"value": _value, "unknown": _unknown, "enough": _enough}
_ANSWERS: Mapping[Topic, Mapping[str, Callable[[Talk, Asked, Intent], Taken]]] = {
    Topic.RESUME: {"go-on": _go_on, "anew": _anew},
    Topic.JOBS: {"option": _jobs},
    Topic.NAME: {"name": _name},
    Topic.TAKEN: {"option": _taken},
    Topic.UNITS: {"option": _units},
    Topic.BUILT: {"option": _built},
    Topic.VALUE: _AT_VALUE,
    Topic.SOURCE: {"value": _value, "source": _source, "thread": _thread},
    Topic.WHOLE: {"confirm": _confirm},
    Topic.DONE: {},
    Topic.THREAD: {"thread": _thread},
    Topic.ENOUGH: {"enough": _enough},
}


# --- what can be right ---


def checked(talk: Talk, name: str, value: Amount | Level) -> Amount:
    """Return a value that every job believes; ReadingError where one does not."""
    for wanted in talk.wanted[name]:
        try:
            given = check_wanted(value, wanted)
        except ReadingError as error:  # where to find it is said again by the question
            raise ReadingError(str(error), say=error.say.removesuffix(wanted.find).strip()) from error
    return given


def check_bolt(talk: Talk, name: str) -> None:
    """Raise ReadingError for a torque that a bolt of its thread can't bear, or for a thread that is none."""
    spec: Spec | None = specs_of(talk, (name,)).get(name)
    if spec and spec.thread:
        threads, classes = talk.ground.tables["threads"], talk.ground.tables["property-classes"]
        plausible(spec.value, spec.thread, spec.strength, usual_friction(), threads, classes)


def check_whole(talk: Talk) -> None:
    """Raise ReadingError for values that can't all be right."""
    whole = car(talk)
    whole = whole.model_copy(update={"values": specs_of(talk)})  # also what is not needed as it is built now
    for job in talk.jobs:
        try:
            check_values(job, whole, talk.ground.tables)
            check_all(job, whole, {})
        except DataError as error:
            raise ReadingError(str(error), say="A value can't be right. Say which one is wrong.") from error
        except ReadingError as error:
            raise ReadingError(str(error), say=f"{error.say} {_either(talk)}".strip()) from error


def _either(talk: Talk) -> str:
    """Return how to put the last value right instead of the one that is asked for."""
    values = [one.about for one in talk.given if one.topic is Topic.VALUE and one.what]
    known = [name for name in values[:-1] if name in talk.wanted]
    return f"Or say: the {talk.wanted[known[-1]][0].name} is wrong." if known else ""
