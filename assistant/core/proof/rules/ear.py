"""Rules of texts for the ear: short sentences, one action, the number last."""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.core.data.procedure import Procedure
from assistant.core.data.step import Step
from assistant.core.proof.checks import Place
from assistant.core.proof.rules.rule import Beside, Found, Rule, Severity, numbered

LONGEST_SENTENCE = 25
"""Words that one spoken sentence may have at most; a checklist item of aviation is shorter still."""
LONGEST_STEP = 45
"""Words that a step says at once at most, with its cautions: some twenty seconds. Common practice, no source."""
_ENDS = re.compile(r"[.!?:] ")
_AMOUNT_INSIDE = re.compile(r"\{([^{}]+)\}(?!\W*$)")


def _long_sentence(job: Procedure, beside: Beside) -> Iterator[Found]:
    for place, text in _spoken(job):
        for sentence in _ENDS.split(text):
            count = len(sentence.split())
            if count > LONGEST_SENTENCE:
                yield (
                    place,
                    f"a sentence of {count} words, where {LONGEST_SENTENCE} can be followed: {sentence[:40]!r}...",
                )


def _long_step(job: Procedure, beside: Beside) -> Iterator[Found]:
    for place, step in numbered(job.steps, "steps"):
        count = sum(len(text.split()) for text in (step.say, *step.cautions))
        if count > LONGEST_STEP:
            yield (*place, "say"), f"{step.id!r} says {count} words at once, where {LONGEST_STEP} can be kept in mind"


def _number_inside(job: Procedure, beside: Beside) -> Iterator[Found]:
    for place, step in numbered(job.steps, "steps"):
        if not (step.tighten or step.reading):
            continue
        for name in _AMOUNT_INSIDE.findall(step.say):
            if name not in job.notes:
                yield (*place, "say"), f"the number {{{name}}} stands inside of what is said, and not at its end"


def _spoken(job: Procedure) -> Iterator[tuple[Place, str]]:
    for place, step in numbered(job.steps, "steps"):
        for field, text in _texts(step):
            yield (*place, *field), text
    for place, gate in numbered(job.gates, "gates"):
        yield (*place, "intro"), gate.intro
        for ask_place, ask in numbered(gate.asks, *place, "asks"):
            yield from (((*ask_place, field), getattr(ask, field)) for field in ("ask", "denied"))


def _texts(step: Step) -> Iterator[tuple[Place, str]]:
    yield ("say",), step.say
    yield ("why",), step.why
    yield from ((("cautions", number), text) for number, text in enumerate(step.cautions))
    yield ("denied",), step.denied
    for field in ("reading", "choice", "claim", "tighten"):
        if question := getattr(step, field):
            yield (field, "ask"), question.ask


RULES = (
    Rule("sentence-too-long", Severity.WARNING, "Of a long sentence nobody under a car keeps the end.",
         "Make two sentences of it.", _long_sentence),
    Rule("step-too-long", Severity.WARNING, "What is said at once has to be kept in mind until it is done.",
         "Make two steps of it.", _long_step),
    Rule("number-not-last", Severity.WARNING, "The number is what is kept best when it is said last.",
         "Put it at the end, as in: Torque: {name}.", _number_inside),
)  # fmt: skip
