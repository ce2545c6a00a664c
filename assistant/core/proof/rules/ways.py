"""Rules of the ways through a job: which step may follow which, whatever is chosen and read."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.core.data.procedure import Procedure
from assistant.core.data.step import Step
from assistant.core.data.vehicle import Vehicle
from assistant.core.proof.rules.rule import Beside, Found, Rule, Severity, numbered
from assistant.core.proof.ways import END, following, onward, reached


def given_tags(job: Procedure) -> set[str]:
    """Return the tags that the job itself may give: of choices, conditions, open parts and levels."""
    chosen = {f"{step.choice.name}:{one.id}" for step in job.steps if step.choice for one in step.choice.options}
    held = {one.id for one in job.conditions}
    still_open = {f"open:{part.id}" for part in job.parts}
    return chosen | held | still_open | {f"{fluid}:{how}" for fluid in fluids(job) for how in ("low", "ok", "over")}


def fluids(job: Procedure) -> set[str]:
    """Return the names by which tags speak of fluids."""
    return {*job.fluids}


def fits(job: Procedure, step: Step, vehicle: Vehicle) -> bool:
    """Return whether a step may ever apply on a vehicle, whatever is chosen and read."""
    lacking = set(step.when) - given_tags(job) - band_tags(job) - {*vehicle.tags}
    return not lacking and not set(step.unless).intersection(vehicle.tags)


def band_tags(job: Procedure) -> set[str]:
    """Return the tags of the bands into which readings fall."""
    readings = [step.reading for step in job.steps if step.reading]
    bands = [(f"{one.name}:{band.id}") for one in readings for band in one.bands]
    return {*bands, *(f"{name}:{band.id}" for name, one in job.computed.items() for band in one.bands)}


def _unreachable(job: Procedure, beside: Beside) -> Iterator[Found]:
    known = reached(following(job), *onward(job, 0))
    for place, step in numbered(job.steps, "steps"):
        if step.id not in known:
            yield place, f"no way leads to the step {step.id!r}"


def _never_applies(job: Procedure, beside: Beside) -> Iterator[Found]:
    given = given_tags(job) | band_tags(job) | {tag for group in job.one_of for tag in group}
    given |= {tag for group in job.groups for tag in group.tags}
    given |= {tag for vehicle in beside.vehicles for tag in vehicle.tags}
    for place, step in numbered(job.steps, "steps"):
        for tag in step.when:
            if tag not in given:
                yield (*place, "when"), f"nothing gives the tag {tag!r}, so the step {step.id!r} is always left out"


def _no_way_out(job: Procedure, beside: Beside) -> Iterator[Found]:
    changing = given_tags(job) | band_tags(job)
    for place, step in numbered(job.steps, "steps"):
        if step.then and END not in reached(following(job, frozenset(step.when) - changing), step.id):
            yield (*place, "then"), f"from {step.id!r} the way leads round for ever, and never to the end of the job"


RULES = (
    Rule("step-unreachable", Severity.FAULT, "A step that no way leads to is left out without a word.",
         "Mend the `then` before it, or take the step out.", _unreachable),
    Rule("tag-nobody-gives", Severity.WARNING, "A step whose tag nothing gives is left out without a word.",
         "Mend the tag, or give it to a vehicle, a choice or `one_of`.", _never_applies),
    Rule("circle-without-end", Severity.FAULT, "Whoever comes into such a circle never ends the job.",
         "Give a step of the circle `when` or `unless`, or let `then` lead elsewhere.", _no_way_out),
)  # fmt: skip
