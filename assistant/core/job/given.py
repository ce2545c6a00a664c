"""What becomes of a value that the person gives: told of the vehicle, read off, tightened to, counted."""

from __future__ import annotations

from assistant.core.data.vehicle import Spec
from assistant.core.errors import TooLittle
from assistant.core.job import events as e
from assistant.core.job import known, moving, undoing
from assistant.core.job.answering import disproved, evidence
from assistant.core.job.aside import deciding as beside
from assistant.core.job.bands import news_of_bands
from assistant.core.job.bounds import drawn_off
from assistant.core.job.filling import draws_off
from assistant.core.job.limits import wrong_value
from assistant.core.job.moving import Draft
from assistant.core.job.question import OF_STEP, Question, Waiting, question
from assistant.core.job.readings import check_evidence, check_reading, check_tool, check_torque
from assistant.core.job.state import State
from assistant.core.job.stopping import stop
from assistant.core.job.tightening import turned
from assistant.core.job.vehicle_values import check_told
from assistant.core.job.wording import say_answer
from assistant.core.quantities.units import Value
from assistant.core.types import Intent


def wrong_told(draft: Draft, intent: Intent, asked: Question) -> None:
    """Put right a value of the vehicle that the owner told wrong."""
    state, name = draft.state, intent.option or ""
    wanted = state.procedure.values.get(name)
    if wanted is None:
        draft.add(e.Refused("undo", "I know no such value. Say: that was wrong."))
    elif name in state.told or name in state.unknown:
        undoing.withdraw_value(draft, state.vehicle.id, name)
    elif spec := state.vehicle.values.get(name):
        draft.add(e.Refused("file", _in_the_file(wanted.name, spec)))
    else:
        draft.add(e.Refused("unknown", f"Nobody has told me the {wanted.name} yet."))


def _in_the_file(name: str, spec: Spec) -> str:
    return f"The {name} is {spec.source}. Put it right in the vehicle's file, and take up this job again."


def value_given(draft: Draft, intent: Intent, asked: Question) -> None:
    """Take a value for what is asked: beside the job, of the vehicle, a torque, a further turn, a reading, a count."""
    state, value = draft.state, intent.value
    if state.aside:
        beside.tell(draft, draft.sums, intent)
        return
    if value is None:
        raise wrong_value(None)
    waiting = Waiting(asked.waiting) if not state.pending else _behind_pending(state)
    if waiting is Waiting.VALUE:
        name = (state.pending and state.pending.name) or state.doubted or known.missing(state, state.here) or ""
        wanted = state.procedure.values[name]
        draft.add(e.ClaimHeard(wanted.name, check_told(state, name, value), name))
    elif waiting is Waiting.TIGHTEN:
        part, given = check_torque(state, value)
        draft.add(e.ClaimHeard(part.name, given))
    elif waiting is Waiting.TURN:
        turned(draft, value)
    elif waiting is Waiting.READING and state.here.reading:
        _reading(draft, intent)
    elif waiting is Waiting.EVIDENCE and asked.ask and asked.ask.kind:
        _number(draft, asked, value)
    else:
        draft.add(e.Refused("no-reading", "I need no number now. Say: repeat that."))


def unknown_value(draft: Draft, intent: Intent, asked: Question) -> None:
    """Tell who does not know a value where to look; where the job can do without, it goes on."""
    state = draft.state
    if asked.waiting is Waiting.VALUE:
        wanted = state.procedure.values[asked.about]
        draft.add(
            e.ValueUnknown(asked.about) if wanted.unknown else e.Refused("unknown", f"{wanted.find} Then tell me.")
        )
    elif asked.waiting in OF_STEP or asked.waiting is Waiting.EVIDENCE:
        draft.add(e.Refused("answer", "Then look, and take your time."))
    else:
        draft.add(e.Refused("unknown", "I asked for no number. Say: repeat that."))


def _number(draft: Draft, asked: Question, value: Value) -> None:
    """Take the number that answers a challenge; what is too little disproves what rests on it."""
    assert asked.ask
    try:
        given = check_evidence(draft.state, asked.ask, value)
    except TooLittle as error:
        draft.add(e.Refused(error.code, error.say))
        disproved(draft, asked)
        return
    evidence(draft, asked, say_answer(asked.ask, given))


def _reading(draft: Draft, intent: Intent) -> None:
    """Take a reading; what pours in ends its step only where enough is in, and not too much."""
    state, reading = draft.state, draft.state.here.reading
    assert reading and intent.value is not None
    if draws_off(state, state.here):
        reading = drawn_off(reading)
    taken = check_reading(state, reading, intent.value)
    draft.add(e.ReadingTaken(state.step, reading.name, taken, reading.adds, reading.removes, reading.of or ""))
    if band := next(news_of_bands(state, draft.state, reading.name, stops=True), None):
        stop(draft, band.stop or "", band.say, reading=reading.name)
    elif question(draft.state).waiting is not Waiting.READING or not reading.fills:
        moving.complete(draft)


def _behind_pending(state: State) -> Waiting:
    if state.pending and state.pending.name:
        return Waiting.VALUE
    if not state.here.tighten:
        return Waiting.CLAIM
    return Waiting.TURN if state.turning else Waiting.TIGHTEN


def tool_measured(draft: Draft, intent: Intent, asked: Question) -> None:
    """Take the length of the wrench or of its adapter, where it can be one."""
    draft.add(e.ToolMeasured(intent.name, check_tool(intent.name, intent.value)))
