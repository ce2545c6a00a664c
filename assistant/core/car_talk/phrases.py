"""What an owner may say about a car at each question: few phrases, far apart (procedures/README.md, Phrases)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assistant.core.car_talk.given import BOTH, REPLACE, Asked, Talk, Topic, asked
from assistant.core.car_talk.taking import ALL_JOBS, SAME, TOLD
from assistant.core.car_talk.words import KINDS
from assistant.core.grammar.jsgf import Rules
from assistant.core.hearing.answer_phrases import OTHER_UNIT
from assistant.core.job.which_job import words_of
from assistant.core.quantities.saying import say_ordinal
from assistant.core.types import Phrase

GENERAL = ("back", "undo", "repeat", "help")
"""Intents of the phrases of every job that are heard here too."""


def allowed(talk: Talk, general: Sequence[Phrase], rules: Rules) -> tuple[Phrase, ...]:
    """Return what may be said now: the answers to the open question, and what leads back."""
    now = asked(talk)
    usual = [phrase for phrase in general if phrase.intent in GENERAL]
    park = [*_of("park", "put the car aside", "finish this car later"), *_of("help", "what may I say")]
    return (*usual, *park, *_answers(talk, now, rules), *(_wrong(talk) if now.topic is not Topic.RESUME else ()))


def _of(intent: str, *says: str, option: str | None = None, affirms: bool = False) -> tuple[Phrase, ...]:
    return tuple(Phrase(intent, text, option, affirms=affirms) for text in says)


def _option(option: str, *says: str) -> tuple[Phrase, ...]:
    return _of("option", *says, option=option, affirms=True)


def _answers(talk: Talk, now: Asked, rules: Rules) -> tuple[Phrase, ...]:
    if now.topic in _FIXED:
        return _FIXED[now.topic]
    match now.topic:
        case Topic.JOBS:
            return tuple(_jobs(talk))
        case Topic.BUILT:
            options = talk.groups[now.about].options
            return tuple(phrase for build in options for phrase in _option(build.tag or "none", *build.phrases))
        case Topic.VALUE:
            return (*_values(talk, now, rules), *_UNKNOWN, *_ENOUGH)
        case Topic.SOURCE:
            return tuple(_sources(talk, now, rules))
        case _:
            return _of("confirm", "confirm [the] car", "[the] car is confirmed", affirms=True)


_UNKNOWN = _of("unknown", "I do not know [that]", "I don't know [that]", "leave that one out")
_ENOUGH = _of("enough", "that is enough for now", "leave out all the rest", affirms=True)


def _kind(kind: str) -> tuple[Phrase, ...]:
    return _of("name", f"[it is] [(the | a | an)] {kind}", option=f"The {kind}", affirms=True)


_FIXED = {
    Topic.RESUME: (
        *_of("go-on", "carry on with the car", "continue with it", affirms=True),
        *_of("anew", "begin it anew", "start from the beginning", affirms=True),
    ),
    Topic.NAME: tuple(phrase for kind in KINDS for phrase in _kind(kind)),
    Topic.TAKEN: (
        *_option(REPLACE, "replace the old file", "overwrite it"),
        *_option(BOTH, "keep both [of them]", "it is another car"),
    ),
    Topic.UNITS: (
        *_option("metric", "[in] metric [units]", "newton metres and litres"),
        *_option("imperial", "[in] [British] imperial", "as in Great Britain"),
        *_option("us", "[in] American measures", "as in the United States"),
    ),
}
"""What may be said at questions that are the same for every car."""


def _jobs(talk: Talk) -> Iterator[Phrase]:
    for place, job in enumerate(talk.ground.jobs):
        words = " ".join(words_of(job.title))
        yield from _option(job.id, *([f"[the] {words}"] if words else []), f"[the] {say_ordinal(place + 1)} one")
    yield from _option(ALL_JOBS, "all of the jobs", "every one of them")


def _values(talk: Talk, now: Asked, rules: Rules) -> tuple[Phrase, ...]:
    """Return the ways to say a value: in units of its kind, and more rarely in any other or in none."""
    kind = str(talk.wanted[now.about][0].kind)
    own = _of("value", f"[it is] <{kind}>", affirms=True) if kind in rules else ()
    if own and now.topic is Topic.VALUE and any(one.topic is Topic.SOURCE for one in talk.given):
        own += _of("value", f"[it is] <{kind}> [from] [the] same source", option=SAME, affirms=True)
    return (*own, Phrase("value", "[it is] <quantity>", rare=OTHER_UNIT, affirms=True))


def _sources(talk: Talk, now: Asked, rules: Rules) -> Iterator[Phrase]:
    page = "[on] page <count>"
    for option, name in (("service manual", "service manual"), ("owner's handbook", "handbook")):
        yield from _of("source", f"[in] [the] {name} [{page}]", option=option, affirms=True)
    yield from _of(
        "source", "[it is] on the plate", "[it is] stamped on a plate", option="plate on the car", affirms=True
    )
    yield from _of("source", "I told you [myself]", "told by me", "I know it myself", option=TOLD, affirms=True)
    if any(one.topic is Topic.SOURCE for one in talk.given):
        yield from _of("source", "[from] the same source", "[at] the same place", option=SAME, affirms=True)
    yield from _values(talk, now, rules)


def _wrong(talk: Talk) -> Iterator[Phrase]:
    """Yield the ways to say that an earlier answer is wrong."""
    told = dict.fromkeys(one.about for one in talk.given if one.topic is Topic.VALUE and one.what)
    for name in (one for one in told if one in talk.wanted):
        called = talk.wanted[name][0].name
        yield from _of("wrong", f"[the] {called} is wrong", f"correct the {called}", option=name, affirms=True)
    for topic, called in ((Topic.NAME, "name"), (Topic.UNITS, "units"), (Topic.BUILT, "way it is built")):
        if any(one.topic is topic for one in talk.given):
            says = f"[the] {called} {'are' if topic is Topic.UNITS else 'is'} wrong"
            yield from _of("wrong", says, f"correct the {called}", option=str(topic), affirms=True)
