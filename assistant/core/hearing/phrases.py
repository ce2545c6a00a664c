"""Which phrases are allowed in a state. Everything else that is said is not for the assistant."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from assistant.core.data.catalogue import ASKS, Catalogue
from assistant.core.data.procedure import Procedure
from assistant.core.data.step import Step
from assistant.core.hearing.answer_phrases import OUT_SAYS, of_condition, of_question, phrases_of, slot_says
from assistant.core.job import known
from assistant.core.job.aside.asking import questions
from assistant.core.job.conditions import Unmet, may_be_under, never_at
from assistant.core.job.events import AsideAsked
from assistant.core.job.question import DRAWN_OFF, OF_STEP, Question, Waiting, of_step, question
from assistant.core.job.state import State
from assistant.core.job.vehicle_file import NEW_VALUES
from assistant.core.quantities.units import Amount, Kind
from assistant.core.types import Phrase

WHILE_PARKED = ("go-on", "repeat", "open", "where", "help", "hush", "attend", "alarm", "danger", "out", "here")
DURING_ASIDE = ("leave", "repeat", "help", "undo", "park", "pause", "hush", "alarm", "danger", "out", "here")
"""What of the general may be said while something is asked beside the job: what is of the job itself may not."""


def allowed(state: State, general: tuple[Phrase, ...]) -> tuple[Phrase, ...]:
    """Return the phrases that may be said now: the general ones, and those of the open question.

    Where listening is paused, only the words that end that, a call for help, and the answer of someone who was asked
    whether they are all right: a pause must not lead to an alarm that nobody can prevent. Nobody else says so: "I am
    here" is short, and was heard in two and a half hours of other talk.
    """
    known = state.derived.get("allowed")
    if known is None or known[0] is not general:
        known = state.derived["allowed"] = (general, _allowed(state, general))
    found: tuple[Phrase, ...] = known[1]
    return found


def _allowed(state: State, general: tuple[Phrase, ...]) -> tuple[Phrase, ...]:
    asked = question(state)
    general = _without(general, *(() if state.check_in or state.calling else ("here",)))
    general = _without(general, *(() if may_be_under(state) else ("out",)))
    if asked.waiting is Waiting.PAUSED:
        return _only(general, "listen", "here", "alarm", "danger", "out")
    if asked.waiting is Waiting.ASIDE:
        return aside(state.aside[-1], general)
    told = _wrong(state) if asked.waiting is not Waiting.PARKED else ()
    changed = (
        *_over(state.procedure, state.here, asked, state.possible),
        *_begun(state.procedure, state.here, asked, state.possible),
    )
    return (*_asked_at(state.procedure, state.here, asked, general, _kind(state)), *told, *changed)


def aside(asked: AsideAsked, general: tuple[Phrase, ...]) -> tuple[Phrase, ...]:
    """Return what may be said to a question beside the job: its answers, and little else."""
    offered = tuple(one for one in general if one.intent == ASKS and one.option in asked.offers)
    answers = tuple(
        Phrase("option", text, option, affirms=True) for option, says in asked.options.items() for text in says
    )
    return (*_only(general, *DURING_ASIDE), *offered, *answers, *slot_says(asked.slot))


def situations_beside(catalogue: Catalogue, general: tuple[Phrase, ...]) -> dict[str, tuple[Phrase, ...]]:
    """Return all that may be allowed at once beside a job, each under the first question where it is."""
    found: dict[frozenset[Phrase], tuple[str, tuple[Phrase, ...]]] = {}
    for name, asked in questions(catalogue):
        phrases = aside(asked, general)
        found.setdefault(frozenset(phrases), (name, phrases))
    return dict(found.values())


def answers(state: State) -> tuple[Phrase, ...]:
    """Return those of them that answer the open question, general phrases aside."""
    asked = question(state)
    if asked.waiting is Waiting.ASIDE:
        return aside(state.aside[-1], ())
    return of_question(state.procedure, state.here, asked, _kind(state))


def _wrong(state: State) -> tuple[Phrase, ...]:
    """Return the ways to say that a value is wrong: those that the owner told, and those that the step speaks of."""
    return _wrong_of(state.procedure, (*state.told, *known.names_of(state, state.here)))


def _wrong_of(job: Procedure, names: Iterable[str]) -> tuple[Phrase, ...]:
    return tuple(
        Phrase("wrong", says, option=name, affirms=True)
        for name in dict.fromkeys(names)
        if name in job.values
        for says in (f"[the] {job.values[name].name} is wrong", f"correct the {job.values[name].name}")
    )


def _over(job: Procedure, step: Step, asked: Question, possible: Collection[str]) -> tuple[Phrase, ...]:
    """Return the ways to say that a hazard is over that only a gate lets begin, whenever it may be there.

    Where the step says so by itself, or could not be done with it, they are not needed.
    """
    if asked.waiting not in OF_STEP and asked.waiting not in (Waiting.EVIDENCE, Waiting.BLOCKED):
        return ()
    ends = {*step.ends, *(asked.ask.ends if asked.ask else ()), *(never_at(job, step) - {*step.sets})}
    over = [one for one in job.conditions if one.hazard and one.gated and one.id in possible and one.id not in ends]
    return tuple(phrase for one in over for phrase in of_condition(Unmet(one, wanted=False), None))


def _begun(job: Procedure, step: Step, asked: Question, possible: Collection[str]) -> tuple[Phrase, ...]:
    """Return the ways to say that a hazard began that only a gate lets begin: somebody may have started the engine."""
    if asked.waiting not in OF_STEP and asked.waiting is not Waiting.EVIDENCE:
        return ()
    news = [
        one for one in job.conditions if one.hazard and one.gated and one.id not in (*possible, *step.sets, *step.ends)
    ]
    return tuple(phrase for one in news for phrase in of_condition(Unmet(one, wanted=True), None))


def allowed_at(state: State, general: tuple[Phrase, ...]) -> tuple[Phrase, ...]:
    """Return all that may be said at the step of a state, whichever of its questions is open.

    What waits to be confirmed at one of them is another name at the next; here a name is confirmed by its own words.
    """
    job, step = state.procedure, state.here
    own = [phrase for asked, kind in _questions_of(job, step) for phrase in of_question(job, step, asked, kind)]
    every = dict.fromkeys((*allowed(state, general), *own))
    return tuple(phrase for phrase in every if phrase.intent != "confirm" or phrase.option is None)


def situations(job: Procedure, general: tuple[Phrase, ...]) -> dict[str, tuple[Phrase, ...]]:
    """Return all that may be allowed at once in a job, each under the first step and question where it is.

    Every question is taken as possible at every step that can ask it; so a few are here that no job comes to.
    """
    found: dict[frozenset[Phrase], tuple[str, tuple[Phrase, ...]]] = {}
    for step in job.steps:
        for asked, kind in (*_questions_of(job, step), *_questions_anywhere(job)):
            phrases = _asked_at(job, step, asked, general, kind)
            name = f"{step.id}, {asked}" + (", or the value anew" if kind else "")
            for more, what in _besides(job, step, asked):
                found.setdefault(frozenset((*phrases, *more)), (name + what, (*phrases, *more)))
    return dict(found.values())


def _besides(job: Procedure, step: Step, asked: Question) -> Iterator[tuple[tuple[Phrase, ...], str]]:
    """Yield what may be said beside a question of values and of the car, where hazards may be there and where not."""
    if asked.waiting is Waiting.PARKED:
        yield (), ""
        return
    wrong = _wrong_of(job, job.values)
    yield (*wrong, *_over(job, step, asked, {one.id for one in job.conditions})), ""
    if begun := _begun(job, step, asked, ()):
        yield (*wrong, *begun), ", with the engine off"


Asked = tuple[Question, Kind | str]
"""A question, and the kind of the value that waits to be confirmed and may be said anew; empty where none does."""


def _questions_of(job: Procedure, step: Step) -> Iterator[Asked]:
    """Yield what a step asks: the challenges of its gates, its own question, and what is claimed there."""
    yield of_step(step), ""
    if step.reading and step.reading.fills:
        yield Question(Waiting.READING, DRAWN_OFF), ""
    for gate in (job.gate(name) for name in step.needs):
        yield Question(Waiting.CONFIRM, gate.name, gate), ""
        yield from ((Question(Waiting.EVIDENCE, f"{gate.id}/{ask.id}", gate, ask), "") for ask in gate.asks)
    yield from ((Question(Waiting.NEW, name), "") for name in step.closes if job.part(name).once)
    if step.claim:
        yield Question(Waiting.CONFIRM, step.claim.name), ""
    if step.tighten:
        part = job.part(step.tighten.part)
        yield Question(Waiting.CONFIRM, part.name), Kind.TORQUE
        if part.angle:
            yield Question(Waiting.TURN, part.id), ""
            yield Question(Waiting.CONFIRM, part.name), Kind.ANGLE


def _questions_anywhere(job: Procedure) -> Iterator[Asked]:
    """Yield what may be asked at any step."""
    yield from ((Question(waiting), "") for waiting in (Waiting.PARKED, Waiting.FINISHED, Waiting.BLOCKED))
    for unmet in (Unmet(one, wanted) for one in job.conditions for wanted in (True, False)):
        yield Question(Waiting.CONDITION, unmet.condition.id, unmet=unmet), ""
    yield Question(Waiting.CONFIRM, NEW_VALUES), ""
    for end in job.safe_ends:
        yield Question(Waiting.OUT), ""
        yield Question(Waiting.CONFIRM, end.name), ""
    for name, wanted in job.values.items():
        yield Question(Waiting.VALUE, name), ""
        yield Question(Waiting.CONFIRM, wanted.name), wanted.kind


def _asked_at(
    job: Procedure, step: Step, asked: Question, general: tuple[Phrase, ...], kind: Kind | str
) -> tuple[Phrase, ...]:
    if asked.waiting is Waiting.PARKED:
        return (*_only(general, *WHILE_PARKED), *phrases_of("out", OUT_SAYS))
    usual = tuple(one for one in general if one.intent not in ("go-on", "listen", "leave"))
    usual = tuple(one for one in usual if one.intent != ASKS or one.option is None)
    return usual if asked.waiting is Waiting.FINISHED else (*usual, *of_question(job, step, asked, kind))


def _without(general: tuple[Phrase, ...], *intents: str) -> tuple[Phrase, ...]:
    return tuple(phrase for phrase in general if phrase.intent not in intents)


def _only(general: tuple[Phrase, ...], *intents: str) -> tuple[Phrase, ...]:
    return tuple(phrase for phrase in general if phrase.intent in intents)


def _kind(state: State) -> Kind | str:
    """Return the kind of the value that waits to be confirmed; empty where none does."""
    value = state.pending.value if state.pending else None
    return value.kind if isinstance(value, Amount) else ""
