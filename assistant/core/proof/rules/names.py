"""Rules of names: each names something that there is, and names it once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from assistant.core.data.car import Act
from assistant.core.data.procedure import Procedure
from assistant.core.data.step import Step
from assistant.core.job.worked import rests_on
from assistant.core.proof.checks import Place, phrases_wrong, texts_wrong, values_unasked
from assistant.core.proof.control_checks import faults_of_control
from assistant.core.proof.measures import faults_of_computed, faults_of_measured
from assistant.core.proof.rules.rule import Beside, Found, Rule, Severity, numbered


def _unknown(job: Procedure, beside: Beside) -> Iterator[Found]:
    parts, gates, steps, held = ids_of(job)
    for place, step in numbered(job.steps, "steps"):
        yield from _not_in(place, "part", parts, opens=step.opens, closes=step.closes)
        yield from _not_in((*place, "tighten"), "part", parts, part=[step.tighten.part] if step.tighten else [])
        yield from _not_in(place, "gate", gates, needs=step.needs)
        yield from _not_in(place, "step", steps, then=[step.then] if step.then else [])
        yield from _not_in(place, "condition", held, **_conditions(step))
    for place, rule in numbered(job.exposure, "exposure"):
        yield from _not_in(place, "condition", held, holds=rule.holds, never=rule.never)
    for place, one in numbered(job.conditions, "conditions"):
        yield from _not_in(place, "condition", held, excludes=one.excludes)


def ids_of(job: Procedure) -> tuple[set[str], ...]:
    """Return the ids of the parts, gates, steps and conditions of a job."""
    parts, gates, steps, held = ({item.id for item in items} for items in
                                 (job.parts, job.gates, job.steps, job.conditions))  # fmt: skip
    return parts, gates, steps, held


def _conditions(step: Step) -> dict[str, Iterable[str]]:
    return {"sets": step.sets, "ends": step.ends, "holds": step.holds, "never": step.never}


def _not_in(place: Place, what: str, known: set[str], **fields: Iterable[str]) -> Iterator[Found]:
    for field, names in fields.items():
        for name in names:
            if name not in known:
                there = ", ".join(sorted(known)) or "none"
                yield (*place, field), f"there is no {what} {name!r}; there are: {there}"


def _unknown_of_gates(job: Procedure, beside: Beside) -> Iterator[Found]:
    *_, held = ids_of(job)
    causes = {*map(str, Act), "opened", "interrupted", *(f"{one}:{how}" for one in held for how in ("holds", "over"))}
    for place, gate in numbered(job.gates, "gates"):
        yield from _not_in(place, "cause", causes, falls_on=gate.falls_on)
        for ask_place, ask in numbered(gate.asks, *place, "asks"):
            yield from _not_in(ask_place, "condition", held, sets=ask.sets, ends=ask.ends, undoes=ask.undoes)


def _twice(job: Procedure, beside: Beside) -> Iterator[Found]:
    yield from _doubled("steps", ((place, one.id) for place, one in numbered(job.steps, "steps")))
    yield from _doubled("parts", ((place, one.id) for place, one in numbered(job.parts, "parts")))
    yield from _doubled("gates", ((place, one.id) for place, one in numbered(job.gates, "gates")))
    yield from _doubled("conditions", ((place, one.id) for place, one in numbered(job.conditions, "conditions")))
    for place, gate in numbered(job.gates, "gates"):
        yield from _doubled("asks", ((one, ask.id) for one, ask in numbered(gate.asks, *place, "asks")))
    for place, step in numbered(job.steps, "steps"):
        options = numbered(step.choice.options if step.choice else (), *place, "choice", "options")
        yield from _doubled("options", ((one, option.id) for one, option in options))


def _doubled(what: str, items: Iterable[tuple[Place, str]]) -> Iterator[Found]:
    seen: set[str] = set()
    for place, name in items:
        if name in seen:
            yield (*place, "id"), f"two {what} have the same id, {name!r}"
        seen.add(name)


def names_that_count(job: Procedure, step: Step) -> Iterator[str]:
    """Yield the names of values by which a step measures, beside those in its texts."""
    names = {part.id: part.names for part in job.parts}
    if step.tighten:
        yield from names.get(step.tighten.part, ())
    gates = {gate.id: gate for gate in job.gates}
    for ask in (ask for name in step.needs if name in gates for ask in gates[name].asks):
        yield from worked_from(job, *(bound for bound in (ask.least, ask.most, ask.equal) if isinstance(bound, str)))
    fluid = job.fluids.get(step.reading.of or "") if step.reading else None
    if fluid:
        yield from worked_from(job, fluid.capacity, fluid.least, *filter(None, (fluid.span, fluid.room)))


def worked_from(job: Procedure, *names: str) -> Iterator[str]:
    """Yield the values of the vehicle from which some are worked out; a value is worked out from itself."""
    for name in names:
        yield name
        if name in job.computed:
            yield from rests_on(job, name)


def _in_texts(job: Procedure, beside: Beside) -> Iterator[Found]:
    return texts_wrong(job)


def _in_phrases(job: Procedure, beside: Beside) -> Iterator[Found]:
    return phrases_wrong(job, beside.grammar)


def _computed(job: Procedure, beside: Beside) -> Iterator[Found]:
    return faults_of_computed(job)


def _measured(job: Procedure, beside: Beside) -> Iterator[Found]:
    return faults_of_measured(job)


def _controlled(job: Procedure, beside: Beside) -> Iterator[Found]:
    return faults_of_control(job)


def _unasked(job: Procedure, beside: Beside) -> Iterator[Found]:
    return values_unasked(job)


RULES = (
    Rule("name-unknown", Severity.FAULT, "What is named and is not there can't be done, held or asked for.",
         "Mend the name, or declare what it names.", _unknown),
    Rule("name-unknown-at-gate", Severity.FAULT, "A gate that rests on what nobody knows never falls.",
         "Mend the name, or declare the condition.", _unknown_of_gates),
    Rule("name-twice", Severity.FAULT, "Of two things with one name nobody knows which is meant.",
         "Give one of them another id.", _twice),
    Rule("brace-unknown", Severity.FAULT, "A name in braces that nobody knows would be spoken as it is written.",
         "Mend the name or the brace, or write it into `values` or `notes`.", _in_texts),
    Rule("phrase-unreadable", Severity.FAULT, "A phrase that can't be read can't be heard.",
         "Mend its brackets, or the rule that it refers to.", _in_phrases),
    Rule("value-unasked", Severity.FAULT, "A value that is no value of the job is never asked for.",
         "Write it into `values`, with its kind and where to find it.", _unasked),
    Rule("computed-wrong", Severity.FAULT, "What can't be worked out would be missing in the middle of the job.",
         "Compare it with: assistant work-out --list.", _computed),
    Rule("measured-wrong", Severity.FAULT, "A reading that can't be judged is worth nothing.",
         "Mend its limits, bands or finding.", _measured),
    Rule("control-wrong", Severity.FAULT, "A stop or a repeat that leads nowhere leaves the person alone with it.",
         "Mend the name, or declare what it names.", _controlled),
)  # fmt: skip
