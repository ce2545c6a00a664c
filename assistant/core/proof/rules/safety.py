"""Rules of the person's safety: no dangerous place without its proofs, no hazard without a caution."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.core.data.car import Act, Where
from assistant.core.data.gate import Ask
from assistant.core.data.procedure import Procedure
from assistant.core.data.step import Step
from assistant.core.proof.promises import SUPPORT
from assistant.core.proof.rules.rule import Beside, Found, Rule, Severity, numbered

GATED = frozenset({"under", "arch"})
"""Places that nobody may be in without proof of what carries the car."""
CAUTIONED = frozenset({Act.RAISING, Act.LOWERING, Act.DRIVING})
"""What happens to the car that hurts whoever is near. An engine is started behind its gate."""


def _without_gate(job: Procedure, beside: Beside) -> Iterator[Found]:
    gates = {gate.id: gate for gate in job.gates}
    for place, step in numbered(job.steps, "steps"):
        if step.where not in GATED:
            continue
        asks = [ask for name in step.needs if name in gates for ask in gates[name].asks]
        if lacking := _lacking(asks):
            where = f"{step.id!r} is done {step.where}"
            yield (*place, "needs"), f"{where}, and its gates do not ask for {', '.join(sorted(lacking))}"


def _lacking(asks: list[Ask]) -> frozenset[str]:
    """Return the proofs that are not asked for, whichever one of the tags holds that the asks depend on."""
    tags = {tag for ask in asks for tag in (*ask.when, *ask.unless)}
    for held in (frozenset[str](), *(frozenset({tag}) for tag in sorted(tags))):
        proven = {proof for ask in asks if ask.applies(held) for proof in ask.proves}
        if held and not any(held.issuperset(ask.when) for ask in asks if ask.when):
            continue  # nothing is asked because of it: it only leaves asks out
        if lacking := SUPPORT - proven:
            return lacking
    return frozenset()


def _without_exposure(job: Procedure, beside: Beside) -> Iterator[Found]:
    guarded = {str(where) for rule in job.exposure for where in rule.where if rule.never}
    for place, step in numbered(job.steps, "steps"):
        if step.where in GATED and step.where not in guarded:
            yield (*place, "where"), f"no exposure says what must never be while somebody is {step.where}"


def _without_caution(job: Procedure, beside: Beside) -> Iterator[Found]:
    for place, step in numbered(job.steps, "steps"):
        hazard = _hazard(step)
        if hazard and not (step.cautions or step.optional):
            yield (*place, "cautions"), f"{step.id!r} has no caution, and {hazard}"


def _hazard(step: Step) -> str:
    """Return the hazard of a step in words; empty where it has none that hurts at once."""
    if acts := CAUTIONED.intersection(step.acts):
        return f"the car is {' and '.join(sorted(acts))}"
    if step.drains and step.where in (*GATED, Where.BAY):
        return "its fluid runs out over the hands"
    return ""


def _parts_while_running(job: Procedure, beside: Beside) -> Iterator[Found]:
    hazards = {one.id for one in job.conditions if one.hazard and one.gated}
    held_off = {name for rule in job.exposure if rule.parts for name in rule.never}
    touches = any(step.opens or step.closes or step.tighten for step in job.steps)
    if touches and hazards - held_off:
        yield ("exposure",), f"parts may be worked at with {', '.join(sorted(hazards - held_off))}"


RULES = (
    Rule("place-without-gate", Severity.FAULT, "Who goes under a car that is not proven to stand may be crushed.",
         "Let the step need the gates that ask for all of it.", _without_gate),
    Rule("place-without-exposure", Severity.FAULT, "Under a car with its engine running somebody may be caught.",
         "Add the place to an `exposure` with `never`.", _without_exposure),
    Rule("hazard-without-caution", Severity.WARNING, "What hurts at once is said before it is done.",
         "Add a sentence to `cautions`.", _without_caution),
    Rule("parts-while-running", Severity.FAULT, "A part that is opened with the engine running may hurt.",
         "Add `- {parts: true, never: [...]}` to `exposure`.", _parts_while_running),
)  # fmt: skip
