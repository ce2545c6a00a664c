"""The phrases that answer one question: a value, an option, a confirmation by name, that something is so."""

from __future__ import annotations

from assistant.core.data.catalogue import FIGURES, THREAD, UNIT
from assistant.core.data.gate import Option
from assistant.core.data.part import Part
from assistant.core.data.procedure import Procedure
from assistant.core.data.step import Step
from assistant.core.job.conditions import Unmet
from assistant.core.job.fastening import is_or_are
from assistant.core.job.question import DRAWN_OFF, Question, Waiting
from assistant.core.job.vehicle_file import KEEP_SAYS, NEW_VALUES
from assistant.core.quantities.units import Kind
from assistant.core.types import Phrase

READING_SAYS = ("<quantity>",)
"""How a value may be said where the procedure names no way: alone."""
DRAWN_SAYS = ("<quantity>", "[I drew off] <quantity>")
TIGHTEN_SAYS = ("[[it is | I] tightened [it] to | it got] <quantity>",)
TOOL_SAYS = {
    "adapter": ("my adapter is <length> [long]", "the adapter measures <length>"),
    "wrench": ("my wrench is <length> [long]", "the wrench measures <length>"),
}
"""How long the tools are: said where something is tightened."""
AFFIRMS = frozenset({"next", "done", "claim", "confirm", "option", "value", "adapter", "wrench", "undo", "skip", "back",
                     "park", "go-on", "pause", "listen", "here", "condition", "out", "wrong", "leave",
                     "new"})  # fmt: skip
"""Intents that say that something is so, or is to happen. All others only ask."""
UNIT_SAYS = ("[in | to] <unit>",)
THREAD_SAYS = ("(metric | m) <number> [by <number>]",)
FIGURES_SAYS = ("<one-by-one>",)
TURN_SAYS = ("[[it is | they are | I] turned [it | them]] [by] <quantity>",)
OUT_SAYS = ("I am out",)
"""The shortest way to say that one is out from under the car, where the job was put aside or is to be stopped."""
OTHER_UNIT = 4.0
"""How much less often a value is said in a unit of another kind, or in none, than in one of the kind that is asked
for [nat]. An estimate: that a person says litres for newton metres is heard, but only where it is clear."""
OTHER_NAME = 2.0
"""How much less often another name is confirmed than the one that waits [nat]. An estimate."""


def slot_says(slot: str) -> tuple[Phrase, ...]:
    """Return the ways to say a value that is asked for beside the job."""
    if slot in _OWN_SAYS:
        return phrases_of("value", _OWN_SAYS[slot])
    return _values(slot, READING_SAYS) if slot else ()


_OWN_SAYS = {
    THREAD: THREAD_SAYS,
    FIGURES: FIGURES_SAYS,
    UNIT: UNIT_SAYS,
    "level": ("<level>",),
    "quantity": READING_SAYS,
}


def of_condition(unmet: Unmet, tags: frozenset[str] | None) -> tuple[Phrase, ...]:
    """Return the ways to say that a condition holds or is over; without tags, in all circumstances."""
    condition, wanted = unmet.condition, unmet.wanted
    every = condition.begin if wanted else condition.end
    ways = every if tags is None else condition.ways(wanted, tags)
    option = f"{condition.id}:{'holds' if wanted else 'over'}"
    says = dict.fromkeys(text for way in ways for text in way.says)
    return tuple(Phrase("condition", text, option=option, affirms=True) for text in says)


def of_question(job: Procedure, step: Step, asked: Question, kind: Kind | str) -> tuple[Phrase, ...]:
    """Return what answers a question at a step; `kind` is that of the value that is asked for."""
    match asked.waiting:
        case Waiting.CONFIRM:
            return (*_confirm(job, asked), *(_values(kind, READING_SAYS) if kind else ()))
        case Waiting.CONDITION if asked.unmet:
            return of_condition(asked.unmet, None)
        case Waiting.VALUE:
            return _values(job.values[asked.about].kind, READING_SAYS)
        case Waiting.EVIDENCE if asked.ask:
            numbers = _values(asked.ask.kind, asked.ask.says or READING_SAYS) if asked.ask.kind else ()
            return (*_options(asked.ask.options), *numbers)
        case Waiting.BLOCKED:
            return ()
        case _:
            return _of_stage(job, step, asked)


def _of_stage(job: Procedure, step: Step, asked: Question) -> tuple[Phrase, ...]:
    """Return the answers to what a step asks, and to what is asked in between."""
    match asked.waiting:
        case Waiting.READING if asked.about == DRAWN_OFF and step.reading and step.reading.fills:
            return _values(Kind.VOLUME, DRAWN_SAYS)
        case Waiting.OUT:
            return phrases_of("out", OUT_SAYS)
        case Waiting.NEW:
            return _new(job.part(asked.about))
        case Waiting.TURN:
            return _values(Kind.ANGLE, TURN_SAYS)
        case _:
            return _of_step(step)


def _confirm(job: Procedure, asked: Question) -> tuple[Phrase, ...]:
    """Return the ways to confirm what waits, and those that name something else: only its own name confirms it."""
    names = [part.name for part in job.parts] + [wanted.name for wanted in job.values.values()]
    names += [gate.name for gate in job.gates] + [end.name for end in job.safe_ends] + list(job.things)
    others = [name for name in dict.fromkeys(names) if name != asked.about]
    keep = KEEP_SAYS if asked.about == NEW_VALUES else ()
    return (
        *(Phrase("undo", says, affirms=True) for says in keep),
        *(Phrase("confirm", says, affirms=True) for says in _confirm_says(asked.about)),
        *(
            Phrase("confirm", says, option=name, rare=OTHER_NAME, affirms=True)
            for name in others
            for says in _confirm_says(name)[:2]
        ),
    )


def _confirm_says(name: str) -> tuple[str, ...]:
    bare = name.removeprefix("the ")
    return (f"confirm [the] {bare}", f"[the] {bare} is confirmed", f"I confirm [the] {bare}")


def _new(part: Part) -> tuple[Phrase, ...]:
    """Return the ways to say that what may be used once only is new."""
    bare, verb = part.once.removeprefix("the "), is_or_are(part.once)
    says = (f"[the] {bare} {verb} [brand] new", f"I [have] fitted [the] new {bare}")
    return tuple(Phrase("new", text, option=part.id, affirms=True) for text in says)


def _values(kind: Kind | str, says: tuple[str, ...]) -> tuple[Phrase, ...]:
    """Return the ways to say a value: in units of its kind, and more rarely in any other or in none."""
    if kind == "level":
        return phrases_of("value", says)
    own = tuple(text.replace("<quantity>", f"<{kind}>") for text in says)
    if kind == Kind.ANGLE:  # "degrees" would be of a temperature in any other slot
        return phrases_of("value", own)
    other = tuple(Phrase("value", text, rare=OTHER_UNIT, affirms=True) for text in says)
    return (*phrases_of("value", own), *other)


def _of_step(step: Step) -> tuple[Phrase, ...]:
    found = list(phrases_of("done", step.done))
    if step.reading:
        usual = ("<level>",) if step.reading.kind == "level" else READING_SAYS
        found += _values(step.reading.kind, step.reading.says or usual)
    if step.tighten:
        found += _values("torque", TIGHTEN_SAYS)
        found += [phrase for tool, says in TOOL_SAYS.items() for phrase in phrases_of(tool, says)]
    if step.claim:
        found += phrases_of("claim", step.claim.says)
    if step.choice:
        found += _options(step.choice.options)
    return tuple(found)


def phrases_of(intent: str, says: tuple[str, ...]) -> tuple[Phrase, ...]:
    """Return the phrases of an intent for some ways to say it."""
    return tuple(Phrase(intent, text, affirms=intent in AFFIRMS) for text in says)


def _options(options: tuple[Option, ...]) -> tuple[Phrase, ...]:
    return tuple(Phrase("option", text, option.id, affirms=True) for option in options for text in option.says)
