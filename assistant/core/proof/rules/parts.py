"""Rules of parts: what is opened is closed again, and what has a torque gets it."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.core.data.procedure import Procedure
from assistant.core.proof.rules.rule import Beside, Found, Rule, Severity, numbered


def _never_closed(job: Procedure, beside: Beside) -> Iterator[Found]:
    closed = {part for step in job.steps for part in step.closes}
    for place, step in numbered(job.steps, "steps"):
        for part in step.opens:
            if part not in closed:
                yield (*place, "opens"), f"{step.id!r} opens {part!r}, and no step closes it"


def _never_opened(job: Procedure, beside: Beside) -> Iterator[Found]:
    opened = {part for step in job.steps for part in step.opens}
    for place, step in numbered(job.steps, "steps"):
        for part in step.closes:
            if part not in opened:
                yield (*place, "closes"), f"{step.id!r} closes {part!r}, and no step opens it"


def _closed_before(job: Procedure, beside: Beside) -> Iterator[Found]:
    """Without a `then` that leads back, what is closed only before it is opened stays open."""
    if any(step.then for step in job.steps):
        return
    last = {part: number for number, step in enumerate(job.steps) for part in step.closes}
    for number, step in enumerate(job.steps):
        for part in step.opens:
            if last.get(part, number) < number:
                yield ("steps", number, "opens"), f"{step.id!r} opens {part!r}, and only steps before it close it"


def _unused(job: Procedure, beside: Beside) -> Iterator[Found]:
    used = {part for step in job.steps for part in (*step.opens, *step.closes)}
    used |= {step.tighten.part for step in job.steps if step.tighten}
    for place, part in numbered(job.parts, "parts"):
        if part.id not in used:
            yield (*place, "id"), f"no step opens, closes or tightens {part.id!r}"


def _untightened(job: Procedure, beside: Beside) -> Iterator[Found]:
    tightened = {step.tighten.part for step in job.steps if step.tighten}
    touched = {part for step in job.steps for part in (*step.opens, *step.closes)}
    for place, part in numbered(job.parts, "parts"):
        if part.torque and part.id in touched - tightened:
            yield (*place, "torque"), f"no step tightens {part.id!r}, which has a torque"


def _without_torque(job: Procedure, beside: Beside) -> Iterator[Found]:
    torques = {part.id: part.torque for part in job.parts}
    for place, step in numbered(job.steps, "steps"):
        if step.tighten and step.tighten.part in torques and not torques[step.tighten.part]:
            yield (*place, "tighten", "part"), f"{step.tighten.part!r} is tightened, and has no torque"


RULES = (
    Rule("opened-never-closed", Severity.FAULT, "A job can't end while a part is open.",
         "Add the step that closes it.", _never_closed),
    Rule("closed-before-opened", Severity.FAULT, "What is opened last stays open.",
         "Put the step that closes it behind the one that opens it.", _closed_before),
    Rule("closed-never-opened", Severity.WARNING, "What is closed without having been opened was open unnoticed.",
         "Add `opens` to the step that opens it, or take `closes` away.", _never_opened),
    Rule("part-unused", Severity.WARNING, "A part that no step touches is only a name that may be confused.",
         "Name it in a step, or take it out.", _unused),
    Rule("torque-never-given", Severity.FAULT, "A part with a torque that nobody gives it is left loose.",
         "Add `tighten` to the step that closes it, or take its `torque` away.", _untightened),
    Rule("torque-unknown", Severity.FAULT, "What is tightened without a torque can't be checked.",
         "Give the part a `torque`: the name of a value.", _without_torque),
)  # fmt: skip
