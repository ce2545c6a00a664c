"""Which phrases are allowed in a state. Everything else that is said is not for the assistant."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from assistant.core.data.catalogue import ASKS, FIGURES, THREAD, UNIT, Catalogue
from assistant.core.data.gate import Option
from assistant.core.data.part import Part
from assistant.core.data.procedure import Procedure
from assistant.core.data.step import Step
from assistant.core.job import known
from assistant.core.job.aside.asking import questions
from assistant.core.job.conditions import Unmet, may_be_under, never_at
from assistant.core.job.events import AsideAsked
from assistant.core.job.fastening import is_or_are
from assistant.core.job.question import DRAWN_OFF, OF_STEP, Question, Waiting, of_step, question
from assistant.core.job.state import State
from assistant.core.job.vehicle_file import KEEP_SAYS, NEW_VALUES
from assistant.core.quantities.units import Amount, Kind
from assistant.core.types import Phrase

WHILE_PARKED = ("go-on", "repeat", "open", "where", "help", "hush", "attend", "alarm", "danger", "out", "here")
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
DURING_ASIDE = ("leave", "repeat", "help", "undo", "park", "pause", "hush", "alarm", "danger", "out", "here")
"""What of the general may be said while something is asked beside the job: what is of the job itself may not."""
TURN_SAYS = ("[[it is | they are | I] turned [it | them]] [by] <quantity>",)
OUT_SAYS = ("I am out",)
"""The shortest way to say that one is out from under the car, where the job was put aside or is to be stopped."""
OTHER_UNIT = 4.0
"""How much less often a value is said in a unit of another kind, or in none, than in one of the kind that is asked
for [nat]. An estimate: that a person says litres for newton metres is heard, but only where it is clear."""
OTHER_NAME = 2.0
"""How much less often another name is confirmed than the one that waits [nat]. An estimate."""


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
    return (*_only(general, *DURING_ASIDE), *offered, *answers, *_slot(asked.slot))


def situations_beside(catalogue: Catalogue, general: tuple[Phrase, ...]) -> dict[str, tuple[Phrase, ...]]:
    """Return all that may be allowed at once beside a job, each under the first question where it is."""
    found: dict[frozenset[Phrase], tuple[str, tuple[Phrase, ...]]] = {}
    for name, asked in questions(catalogue):
        phrases = aside(asked, general)
        found.setdefault(frozenset(phrases), (name, phrases))
    return dict(found.values())


def _slot(slot: str) -> tuple[Phrase, ...]:
    """Return the ways to say a value that is asked for beside the job."""
    if slot in _OWN_SAYS:
        return _phrases("value", _OWN_SAYS[slot])
    return _values(slot, READING_SAYS) if slot else ()


_OWN_SAYS = {
    THREAD: THREAD_SAYS,
    FIGURES: FIGURES_SAYS,
    UNIT: UNIT_SAYS,
    "level": ("<level>",),
    "quantity": READING_SAYS,
}


def answers(state: State) -> tuple[Phrase, ...]:
    """Return those of them that answer the open question, general phrases aside."""
    asked = question(state)
    if asked.waiting is Waiting.ASIDE:
        return aside(state.aside[-1], ())
    return _of(state.procedure, state.here, asked, _kind(state))


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
    return tuple(phrase for one in over for phrase in _condition(Unmet(one, wanted=False), None))


def _begun(job: Procedure, step: Step, asked: Question, possible: Collection[str]) -> tuple[Phrase, ...]:
    """Return the ways to say that a hazard began that only a gate lets begin: somebody may have started the engine."""
    if asked.waiting not in OF_STEP and asked.waiting is not Waiting.EVIDENCE:
        return ()
    news = [
        one for one in job.conditions if one.hazard and one.gated and one.id not in (*possible, *step.sets, *step.ends)
    ]
    return tuple(phrase for one in news for phrase in _condition(Unmet(one, wanted=True), None))


def _condition(unmet: Unmet, tags: frozenset[str] | None) -> tuple[Phrase, ...]:
    """Return the ways to say that a condition holds or is over; without tags, in all circumstances."""
    condition, wanted = unmet.condition, unmet.wanted
    every = condition.begin if wanted else condition.end
    ways = every if tags is None else condition.ways(wanted, tags)
    option = f"{condition.id}:{'holds' if wanted else 'over'}"
    says = dict.fromkeys(text for way in ways for text in way.says)
    return tuple(Phrase("condition", text, option=option, affirms=True) for text in says)


def allowed_at(state: State, general: tuple[Phrase, ...]) -> tuple[Phrase, ...]:
    """Return all that may be said at the step of a state, whichever of its questions is open.

    What waits to be confirmed at one of them is another name at the next; here a name is confirmed by its own words.
    """
    job, step = state.procedure, state.here
    own = [phrase for asked, kind in _questions_of(job, step) for phrase in _of(job, step, asked, kind)]
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
        return (*_only(general, *WHILE_PARKED), *_phrases("out", OUT_SAYS))
    usual = tuple(one for one in general if one.intent not in ("go-on", "listen", "leave"))
    usual = tuple(one for one in usual if one.intent != ASKS or one.option is None)
    return usual if asked.waiting is Waiting.FINISHED else (*usual, *_of(job, step, asked, kind))


def _without(general: tuple[Phrase, ...], *intents: str) -> tuple[Phrase, ...]:
    return tuple(phrase for phrase in general if phrase.intent not in intents)


def _only(general: tuple[Phrase, ...], *intents: str) -> tuple[Phrase, ...]:
    return tuple(phrase for phrase in general if phrase.intent in intents)


def _of(job: Procedure, step: Step, asked: Question, kind: Kind | str) -> tuple[Phrase, ...]:
    match asked.waiting:
        case Waiting.CONFIRM:
            return (*_confirm(job, asked), *(_values(kind, READING_SAYS) if kind else ()))
        case Waiting.CONDITION if asked.unmet:
            return _condition(asked.unmet, None)
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
            return _phrases("out", OUT_SAYS)
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


def _kind(state: State) -> Kind | str:
    """Return the kind of the value that waits to be confirmed; empty where none does."""
    value = state.pending.value if state.pending else None
    return value.kind if isinstance(value, Amount) else ""


def _values(kind: Kind | str, says: tuple[str, ...]) -> tuple[Phrase, ...]:
    """Return the ways to say a value: in units of its kind, and more rarely in any other or in none."""
    if kind == "level":
        return _phrases("value", says)
    own = tuple(text.replace("<quantity>", f"<{kind}>") for text in says)
    if kind == Kind.ANGLE:  # "degrees" would be of a temperature in any other slot
        return _phrases("value", own)
    other = tuple(Phrase("value", text, rare=OTHER_UNIT, affirms=True) for text in says)
    return (*_phrases("value", own), *other)


def _of_step(step: Step) -> tuple[Phrase, ...]:
    found = list(_phrases("done", step.done))
    if step.reading:
        usual = ("<level>",) if step.reading.kind == "level" else READING_SAYS
        found += _values(step.reading.kind, step.reading.says or usual)
    if step.tighten:
        found += _values("torque", TIGHTEN_SAYS)
        found += [phrase for tool, says in TOOL_SAYS.items() for phrase in _phrases(tool, says)]
    if step.claim:
        found += _phrases("claim", step.claim.says)
    if step.choice:
        found += _options(step.choice.options)
    return tuple(found)


def _phrases(intent: str, says: tuple[str, ...]) -> tuple[Phrase, ...]:
    return tuple(Phrase(intent, text, affirms=intent in AFFIRMS) for text in says)


def _options(options: tuple[Option, ...]) -> tuple[Phrase, ...]:
    return tuple(Phrase("option", text, option.id, affirms=True) for option in options for text in option.says)
