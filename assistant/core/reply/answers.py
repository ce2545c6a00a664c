"""State and events to words, tone, and what is shown. Every reply is made here; nothing here decides anything.

Written for the ear: what was heard first, then one action; the number last; units in full.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from assistant.core.compute import marks
from assistant.core.data.measured import Fluid
from assistant.core.data.procedure import Step
from assistant.core.job import events as e
from assistant.core.job import known as facts
from assistant.core.job.alone import ALARM
from assistant.core.job.bands import news_of_bands
from assistant.core.job.conditions import blocked, driving, may_be_under, ways_of
from assistant.core.job.filling import draws_off, fill_of
from assistant.core.job.question import OF_STEP, Question, Waiting, denies_the_bad, question
from assistant.core.job.state import State
from assistant.core.job.timer import step_of
from assistant.core.job.vehicle_file import NEW_VALUES, told_differences
from assistant.core.job.which_job import title_of
from assistant.core.job.wording import fill_words, lacking_notes, say_for_owner, say_value, spoken
from assistant.core.quantities.numbers import digit_by_digit, twins_of
from assistant.core.quantities.saying import say_duration, say_integer
from assistant.core.quantities.units import Level
from assistant.core.reply.fastenings import ask_new, ask_turn, before_torque, not_new, says_new, torque_last
from assistant.core.reply.leaving import come_out, over, stop_called, stop_dropped, stopped, where_help
from assistant.core.reply.possible import aside_question, name_of, possible
from assistant.core.reply.summary import finish
from assistant.core.reply.topics import answer_topic, purpose, tools
from assistant.core.types import Reply, Tone

_ASIDE = (e.Asked, e.LeftAlone, e.TimerEnded, e.CheckedIn, e.HelpCalled, e.HelpTried, e.CameOut)
"""Facts after which nothing leads on: what was waited for is still waited for."""


def answer(before: State, events: Sequence[e.Event], after: State) -> Reply:
    """Return what to say and show after these events, which led from one state to the other."""
    parts = [text for event in events if (text := _acknowledge(before, event, after))]
    came_out = after.stopping and any(isinstance(event, e.CameOut) for event in events)
    if came_out or not all(isinstance(event, _ASIDE) for event in events):
        parts += _go_on(before, events, after)
    say = " ".join(part for part in parts if part)
    return Reply(say, say, _tone(events, after))


def present(state: State) -> str:
    """Return what a person needs to hear now: the open question, with its step where that matters."""
    asked = question(state)
    prompt = ask(state, asked)
    return f"{instruction(state, state.here)} {prompt}".strip() if asked.waiting in OF_STEP else prompt


def instruction(state: State, step: Step) -> str:
    """Return what a step tells the person to do, its cautions first."""
    cautions = " ".join(f"Careful. {spoken(state, caution)}" for caution in step.cautions)
    filled = fill_of(state, step)
    amount = fill_words(state, filled) if filled else ""
    unknown = lacking_notes(state, step.say)
    fastened = before_torque(state, step), torque_last(state, step)
    parts = (cautions, fastened[0], spoken(state, step.say), unknown, amount, fastened[1])
    return " ".join(part for part in parts if part)


def ask(state: State, asked: Question) -> str:
    """Return the words of an open question; empty where "next step" is all that is waited for."""
    say = _ASKS.get(asked.waiting)
    return say(state, asked) if say else ""


def _to_confirm(state: State, asked: Question) -> str:
    if asked.about == NEW_VALUES and state.offered:
        differ = told_differences(state.procedure, state.vehicle, state.offered)
        return f"The vehicle's file has changed since this job began. {differ}. {possible(state)}"
    heard = f"I heard: {_evidence_of(state, asked)}. " if asked.gate else ""
    return f"{heard}Say: confirm {name_of(asked.about)}."


def _missing(state: State, asked: Question) -> str:
    wanted = state.procedure.values[asked.about]
    without = " Or say: that value is unknown." if wanted.unknown else ""
    return f"I do not know the {wanted.name}. {wanted.find} Then tell me.{without}"


def _when_done(state: State, asked: Question) -> str:
    return f"Stop {state.vehicle.called} first. {possible(state)}" if driving(state) else ""


def _of_step(state: State, asked: Question) -> str:
    step = state.here
    if draws_off(state, step):
        return "How much did you draw off?"
    questions = (step.reading, step.choice, step.claim, step.tighten)
    return next((spoken(state, found.ask) for found in questions if found), "")


def _condition(state: State, asked: Question) -> str:
    """Return what stands against the step, what to do about it, and the words by which to say that it is done."""
    assert asked.unmet
    condition, wanted = asked.unmet.condition, asked.unmet.wanted
    ways = ways_of(state, asked.unmet)
    why = "" if wanted else f"{condition.name}, as far as I know."
    if condition.id in state.forgotten:
        why = f"I do not know whether {_lower(condition.name)} If {'not' if wanted else 'so'}:"
    return " ".join(part for part in ("Stop.", why, spoken(state, ways[0].do) if ways else "", possible(state)) if part)


def _lower(name: str) -> str:
    """Return the name of a condition as a clause, which ends."""
    return f"{name[:1].lower()}{name[1:]}."


_ASKS: dict[Waiting, Callable[[State, Question], str]] = {
    Waiting.FINISHED: lambda state, asked: over(state),
    Waiting.PARKED: lambda state, asked: "The job is parked. Say: carry on with the job.",
    Waiting.PAUSED: lambda state, asked: "I am not listening. Say: listen again.",
    Waiting.ASIDE: lambda state, asked: aside_question(state.aside[-1]) if state.aside else "",
    Waiting.OUT: lambda state, asked: come_out(state),
    Waiting.CONFIRM: _to_confirm,
    Waiting.CONDITION: _condition,
    Waiting.VALUE: _missing,
    Waiting.BLOCKED: lambda state, asked: blocked(state, state.here),
    Waiting.EVIDENCE: lambda state, asked: spoken(state, asked.ask.ask) if asked.ask else "",
    Waiting.READING: _of_step,
    Waiting.CHOICE: _of_step,
    Waiting.CLAIM: _of_step,
    Waiting.NEW: lambda state, asked: ask_new(state, asked.about),
    Waiting.TIGHTEN: _of_step,
    Waiting.TURN: lambda state, asked: ask_turn(state),
    Waiting.TIME: _when_done,
    Waiting.NEXT: _when_done,
}
"""The words of each kind of question."""


def _evidence_of(state: State, asked: Question) -> str:
    """Return what was answered to the challenges of a gate, in their order."""
    assert asked.gate
    given = (state.evidence.get((asked.gate.id, ask.id)) for ask in asked.gate.asks)
    return ", ".join(answer for answer in given if answer)


_REACHES = (e.StepEntered, e.StepReopened, e.Resumed, e.JobOpened, e.ListeningResumed, e.StepBegun, e.StopDropped)
"""Facts after which a person needs to hear the step in full."""


_TELLS = (
    e.ValueTold, e.ValueUnknown, e.ValueWithdrawn, e.ConditionChanged, e.VehicleTaken, e.VehicleDeclined,
)  # fmt: skip
"""Facts after which what is waited for is another thing than before, and is told in full."""


def _go_on(before: State, events: Sequence[e.Event], after: State) -> list[str]:
    """Return what leads on; from what was asked beside the job, back to where it was."""
    if not any(isinstance(event, e.AsideLeft | e.WorkedOut) for event in events):
        return _on(before, events, after)
    begun = any(isinstance(event, _REACHES) for event in events)
    return [f"Back to: {after.here.title.lower()}.", present(after) if begun else ask(after, question(after))]


def _on(before: State, events: Sequence[e.Event], after: State) -> list[str]:
    """Return what leads on: a step that was just reached in full, a question that is new in short."""
    asked = question(after)
    reached = any(isinstance(event, _REACHES) for event in events)
    told = any(isinstance(event, _TELLS) for event in events)
    if any(_says_all(event) for event in events):
        return []
    if asked.waiting is Waiting.EVIDENCE and asked.gate:
        fresh = question(before).gate is not asked.gate or reached
        return [*([asked.gate.intro] if fresh else []), ask(after, asked)]
    if asked.waiting is Waiting.CONFIRM:
        heard_it = any(isinstance(event, e.Refused | e.NotUnderstood | e.Denied) for event in events)
        return [f"Say: confirm {name_of(asked.about)}." if heard_it else ask(after, asked)]
    if any(isinstance(event, e.ReadingWithdrawn) for event in events) and asked.waiting is Waiting.READING:
        return ["How much was it really?" if fill_of(after, after.here) else ask(after, asked)]
    if (
        any(isinstance(event, e.TimerEnded) and event.name == after.step for event in events)
        and asked.waiting in OF_STEP
    ):
        return [ask(after, asked)]  # what it was waited for is over
    if reached or told:
        return [present(after)]
    return [_again(before, events, after, asked)]


def _says_all(event: e.Event) -> bool:
    """Return whether nothing leads on after a fact: possible answers were just told, or it is asked again later."""
    if isinstance(event, e.NotUnderstood):
        return not event.first
    later = isinstance(event, e.Refused) and event.code == "again"
    return later or isinstance(event, (*e.ENDS, e.Parked, e.ListeningPaused))


def _again(before: State, events: Sequence[e.Event], after: State, asked: Question) -> str:
    """Return the question again, where the person has to answer it still."""
    if any(isinstance(event, e.ReadingTaken) for event in events):
        filled = fill_of(after, after.here)
        return f"{fill_words(after, filled)} {ask(after, asked)}" if filled else present(after)
    refused = next((event for event in events if isinstance(event, e.Refused)), None)
    repeats = refused is None or refused.code in (
        "answer",
        "gate",
        "reading",
        "condition",
        "confirm",
        "evidence",
        "aside",
    )
    return ask(after, asked) if repeats and asked.waiting is not Waiting.BLOCKED else ""


def _tone(events: Sequence[e.Event], after: State) -> Tone:
    if any(isinstance(event, e.CheckedIn) for event in events):
        return Tone.ALARM if after.check_in >= ALARM or after.calling else Tone.WARN
    if any(isinstance(event, e.HelpCalled | e.DangerSaid) for event in events):
        return Tone.ALARM
    if any(isinstance(event, e.Refused | e.Denied | e.StopCalled) for event in events):
        return Tone.WARN
    if any(isinstance(event, e.NotUnderstood | e.ClaimHeard) for event in events):
        return Tone.ASK
    if any(isinstance(event, e.StepDone | e.TimerEnded | e.JobFinished | e.JobStopped) for event in events):
        return Tone.DONE
    return Tone.PLAIN


def _acknowledge(before: State, event: e.Event, after: State) -> str:
    say = _SAID.get(type(event))
    return say(before, event, after) if say else ""


def _opened(before: State, event: e.JobOpened, after: State) -> str:
    return f"{event.procedure.title}. {event.vehicle.title.split(' (')[0]}. The service manual goes before what I say."


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _evidence(before: State, event: e.EvidenceGiven, after: State) -> str:
    gate = after.procedure.gate(event.gate)
    last = all((gate.id, ask.id) in after.evidence for ask in gate.asks if ask.applies(facts.tags(after)))
    return "" if last else f"{_capital(event.answer)}."  # the last is read back with the others


def _passed(before: State, event: e.GatePassed, after: State) -> str:
    return after.procedure.gate(event.gate).granted


def _fell(before: State, event: e.GateFell, after: State) -> str:
    """Return that checks have to be made again, where the person had the permission and would use it now."""
    if event.gate not in before.gates or event.gate not in after.here.needs:
        return ""
    return f"So the checks for {after.procedure.gate(event.gate).name} have to be made again."


def _turned(before: State, event: e.AngleGiven, after: State) -> str:
    return f"Noted: {name_of(after.procedure.part(event.part).name)}, turned by {say_value(event.value)}."


def _untightened(before: State, event: e.TorqueWithdrawn, after: State) -> str:
    value = before.torques.get(event.part)
    name = name_of(after.procedure.part(event.part).name)
    return f"Taken back: {name}{f', {say_value(value)}' if value else ''}."


def _entered(before: State, event: e.StepEntered, after: State) -> str:
    """Return that a round begins again, where a step led back because it was not yet so."""
    repeat = before.here.repeat if before.step else None
    led_back = repeat and event.step == repeat.to and event.step != before.step
    return "Not yet. Once more." if led_back else ""


def _claim(before: State, event: e.ClaimHeard, after: State) -> str:
    if event.value:
        return f"I heard: {name_of(event.what)}, {say_value(event.value)}."
    claim = after.here.claim
    return f"You say that {claim.show if claim and claim.show else f'{event.what} is tight'}."


def _dropped(before: State, event: e.ClaimDropped, after: State) -> str:
    pending = before.pending
    value = f", {say_value(pending.value)}" if pending and pending.value else ""
    return f"Taken back: {name_of(event.what)}{value}."


def _torque(before: State, event: e.TorqueGiven, after: State) -> str:
    return f"Noted: {name_of(after.procedure.part(event.part).name)}, {say_value(event.value)}."


def _reading(before: State, event: e.ReadingTaken, after: State) -> str:
    heard = f"I heard {say_value(event.value)}."
    if isinstance(event.value, Level):
        return " ".join(part for part in (heard, *_level_words(after, event.of, event.value)) if part)
    several = sum(fact.adds and fact.of == event.of for fact in after.readings) > 1
    ended = fill_of(before, before.here) and after.step != before.step
    if event.adds and several and ended:
        heard += f" In all {say_for_owner(after, facts.poured(after, event.of))}."
    return " ".join([heard, *_judged(before, event, after)])


def _judged(before: State, event: e.ReadingTaken, after: State) -> list[str]:
    """Return what is said of a reading by its band, and of what is worked out from it by the bands of those."""
    news = news_of_bands(before, after, event.name)
    return [spoken(after, band.say) for band in news if band.say]


def _level_words(state: State, name: str, level: Level) -> list[str]:
    """Return whether a level fits what was poured in, and what it means."""
    fluid = state.procedure.fluids.get(name)
    if not fluid:
        return []
    word = {"low": f"More {fluid.name} is needed.", "ok": "That is a good level.", "over": "That is too much."}
    return [_doubt(state, name, fluid, level), word[marks.status(level)]]


def _doubt(state: State, name: str, fluid: Fluid, level: Level) -> str:
    if name not in state.drained or not fluid.span:
        return ""
    capacity, span = facts.value(state, fluid.capacity), facts.value(state, fluid.span)
    poured = facts.poured(state, name)
    return marks.disagreement(level, poured, capacity, span, fluid.name, state.vehicle.called)


def _timer_ended(before: State, event: e.TimerEnded, after: State) -> str:
    step, again = after.procedure.step(step_of(event.name)), event.name != step_of(event.name)
    if event.early or not (step.wait or again):
        return ""
    if again:
        return _asked_again(before, after)
    assert step.wait
    if late := _late(before, event, after):
        say = " Say: next step." if question(after).waiting is Waiting.TIME else ""
        return f"By the clock, the time for {step.wait.about} ended {say_duration(late)} ago.{say}"
    ended = f"The time for {step.wait.about} is over."
    if after.aside or after.stopping:
        return ended  # what is to be said then is told once the job goes on
    if step.choice and not after.paused:
        return f"{ended} {step.choice.ask}"
    if driving(after) and not after.paused:
        return f"{ended} {ask(after, question(after))}"
    return f"{ended} Say: {'listen again' if after.paused else 'next step'}."


def _asked_again(before: State, after: State) -> str:
    """Return the question that is asked again now; a job that is taken up asks it anyway."""
    if before.parked:
        return ""
    return f"Look again. {ask(after, question(after))}".strip()


def _late(before: State, event: e.TimerEnded, after: State) -> float:
    """Return how long ago a time ended that is told only now, because nobody was there [second]; else nothing."""
    due = next((timer.due for timer in before.timers if timer.name == event.name), None)
    ago = (after.heard_at - due).total_seconds() if due and after.heard_at else 0.0
    return ago if ago >= LATE else 0.0


LATE = 90.0
"""From so long after its end on it is said when a time ended [second]."""


def _time_begins(before: State, event: e.TimerStarted, after: State) -> str:
    """Return when it is asked again; and that a time begins anew, where the clock was set back while it ran."""
    timer = next(timer for timer in after.timers if timer.name == event.name)
    whole, now = timer.whole(after.procedure), after.heard_at
    due = next((timer.due for timer in before.timers if timer.name == event.name), None)
    told = say_duration(whole.total_seconds())
    if due and now and due - now > whole:
        return f"The clock was set back. So the time for {purpose(after, timer)} begins anew: {told}."
    return f"I ask again in: {told}." if timer.again else ""


def _resumed(before: State, event: e.Resumed, after: State) -> str:
    carries_on = f"Carrying on with {title_of(after.procedure.title, after.vehicle.title, after.label)}."
    for timer in after.timers:
        now = after.heard_at
        if timer in before.timers and now:
            left = say_duration((timer.due - now).total_seconds())
            carries_on += f" Time left for {purpose(after, timer)}: {left}."
    return f"{lost(before.lost, after.vehicle.called)} {carries_on}".strip()


def _told(before: State, event: e.ValueTold, after: State) -> str:
    return f"Noted, as told by you: {after.procedure.values[event.name].name}, {say_value(event.spec.value)}."


def _not_known(before: State, event: e.ValueUnknown, after: State) -> str:
    return spoken(after, after.procedure.values[event.name].unknown)


def _vehicle_taken(before: State, event: e.VehicleTaken, after: State) -> str:
    """Return what counts from now on, and what was tightened by what counted before."""
    said = "Taken back: the new values." if event.taken_back else "Noted: from now on the new values."
    for part in after.procedure.parts:
        if part.id in before.torques and part.id not in after.torques:
            said += f" {_capital(part.name)} was tightened to {say_value(before.torques[part.id])}. Tighten it anew."
    return said


def _untold(before: State, event: e.ValueWithdrawn, after: State) -> str:
    spec, name = before.told.get(event.name), after.procedure.values[event.name].name
    return f"Taken back: {name}{f', {say_value(spec.value)}' if spec else ''}."


def _withdrawn(before: State, event: e.ReadingWithdrawn, after: State) -> str:
    fact = next((one for one in reversed(before.readings) if (one.step, one.name) == (event.step, event.name)), None)
    return f"Taken back: {say_value(fact.value)}." if fact else "Taken back."


def _chosen_not(before: State, event: e.ChoiceWithdrawn, after: State) -> str:
    return f"Taken back: {_shown(after, event.name, dict(before.choices).get(event.name, ''))}."


def _shown(state: State, name: str, option: str) -> str:
    """Return an option of a choice as it is read back."""
    steps = (state.here, *state.procedure.steps)
    choices = [step.choice for step in steps if step.choice and step.choice.name == name]
    return next((one.show for choice in choices for one in choice.options if one.id == option), option)


def _answered_not(before: State, event: e.EvidenceWithdrawn, after: State) -> str:
    return f"Taken back: {before.evidence.get((event.gate, event.ask), 'that answer')}."


def _condition_changed(before: State, event: e.ConditionChanged, after: State) -> str:
    condition = after.procedure.condition(event.condition)
    if not event.said:
        return f"Taken back. {condition.name}, as far as I know." if _was_said(before, after, event) else ""
    return f"Noted. {condition.name}." if event.holds else "Noted."


def _was_said(before: State, after: State, event: e.ConditionChanged) -> bool:
    """Return whether a change takes back what the person said of the car."""
    said = [one.event for one in before.said if isinstance(one.event, e.ConditionChanged)]
    return any(one.condition == event.condition for one in said) and len(before.said) > len(after.said)


def _opened_again(before: State, event: e.PartOpened, after: State) -> str:
    """Return that a part counts as open again, where it had been closed and the person went back."""
    part = after.procedure.part(event.part)
    went_back = event.part not in before.ledger.parts and event.part not in before.here.opens
    return f"{_capital(part.name)} counts as open again." if went_back else ""


def _reopened(before: State, event: e.StepReopened, after: State) -> str:
    return f"Back to: {after.procedure.step(event.step).title.lower()}."


def _checked_in(before: State, event: e.CheckedIn, after: State) -> str:
    if after.calling:
        return f"Help is needed here. Come to {after.vehicle.called} now."
    asked = ("Are you all right? Say: I am here.", "Please answer. Say: I am here.")
    if event.level < ALARM:
        return asked[event.level - 1]
    return f"No answer. I raise the alarm. Someone may need help {where_help(after)}. Say: I am here."


def _danger(before: State, event: e.DangerSaid, after: State) -> str:
    return f"Come out from under {after.vehicle.called} now. Keep clear of it."


def _help_called(before: State, event: e.HelpCalled, after: State) -> str:
    come = f"Help is needed here. Come to {after.vehicle.called} now."
    return f"I call for help. {come} If all is well, say: I am all right."


def _help_tried(before: State, event: e.HelpTried, after: State) -> str:
    if event.trial:
        return f"The trial call failed: {event.fault}." if event.fault else "The trial call for help worked."
    return f"The call for help failed: {event.fault}. Shout." if event.fault else "The call for help went out."


def _parked(before: State, event: e.Parked, after: State) -> str:
    said = ["The job is parked. Nothing is lost."]
    said += [come_out(after)] if may_be_under(after) else []
    running = [one for one in after.procedure.conditions if one.hazard and one.gated and one.id in after.possible]
    said += [f"{one.name}, as far as I know. {one.end[0].do} Leave the parking brake on." for one in running if one.end]
    return " ".join([*said, "To go on, say: carry on with the job."])


def lost(tail: e.TailLost | None, vehicle: str) -> str:
    """Return what was lost of the record of a job, and what that means; empty where nothing was."""
    if tail is None:
        return ""
    much = say_integer(tail.facts) if tail.facts else "some"
    return (
        f"My record of this job is damaged. Of its end I lost {much} {'fact' if tail.facts == 1 else 'facts'}. "
        f"I am not sure of {vehicle} any more. Before each step, look whether it is done already."
    )


def _denied(before: State, event: e.Denied, after: State) -> str:
    """Return what to do where something is not so."""
    asked = question(after)
    if event.what in ("back", "undo", "skip", "park", "go-on", "pause", "listen", "wrong"):
        return "Then I leave it as it is."
    if asked.waiting is Waiting.ASIDE:
        return ""
    if asked.waiting is Waiting.CHOICE or denies_the_bad(asked, event.what):
        return f"Then tell me what it is. {possible(after)}"
    if asked.waiting is Waiting.EVIDENCE and asked.ask:
        refused = any(event.what == f"option:{one.id}" and one.refuse for one in asked.ask.options)
        return possible(after) if refused else spoken(after, asked.ask.denied)  # "it did not move" is no bad news
    if asked.waiting is Waiting.CONFIRM and asked.gate:
        return "Then I permit nothing. To take the last answer back, say: that was wrong."
    if asked.waiting is Waiting.NEW:
        return not_new(after.procedure.part(asked.about).once)
    if asked.waiting not in OF_STEP:
        return "Noted: it is not so."
    step = after.here
    return f"{spoken(after, step.denied) if step.denied else _not_yet(after, asked)} {_then_say(after, asked)}".strip()


def _not_yet(state: State, asked: Question) -> str:
    return f"Then it is not done yet. {spoken(state, state.here.say)}"


def _then_say(state: State, asked: Question) -> str:
    return possible(state) if asked.waiting in (Waiting.NEXT, Waiting.TIME) else ""


def _not_understood(before: State, event: e.NotUnderstood, after: State) -> str:
    if event.second in twins_of(event.first) and "point" not in event.first.split():
        return f"Not clear. Say: {digit_by_digit(event.first)}. Or: {digit_by_digit(event.second)}."
    if event.first and event.second:
        return f"Not clear. Was it: {event.first}? Or: {event.second}? Say it again."
    return "That was not clear. Say it again." if event.first else f"I did not get that. {possible(after)}"


_SAID: dict[type[e.Event], Callable[[State, Any, State], str]] = {
    e.JobOpened: _opened,
    e.EvidenceGiven: _evidence,
    e.GatePassed: _passed,
    e.GateFell: _fell,
    e.ClaimHeard: _claim,
    e.ClaimDropped: _dropped,
    e.AngleGiven: _turned,
    e.TorqueWithdrawn: _untightened,
    e.NewShown: lambda before, event, after: f"{_capital(says_new(after.procedure.part(event.part).once))}.",
    e.NewWithdrawn: lambda before, event, after: f"Taken back: {says_new(after.procedure.part(event.part).once)}.",
    e.StepEntered: _entered,
    e.StopCalled: stop_called,
    e.StopDropped: stop_dropped,
    e.JobStopped: stopped,
    e.ChoiceMade: lambda before, event, after: f"{_capital(_shown(before, event.name, event.option))}.",
    e.ChoiceWithdrawn: _chosen_not,
    e.TorqueGiven: _torque,
    e.ReadingTaken: _reading,
    e.ReadingWithdrawn: _withdrawn,
    e.EvidenceWithdrawn: _answered_not,
    e.ConditionChanged: _condition_changed,
    e.PartOpened: _opened_again,
    e.StepReopened: _reopened,
    e.StepSkipped: lambda before, event, after: "Left out.",
    e.TimerStarted: _time_begins,
    e.TimerEnded: _timer_ended,
    e.ToolMeasured: lambda before, event, after: tools(after),
    e.ValueTold: _told,
    e.ValueUnknown: _not_known,
    e.VehicleTaken: _vehicle_taken,
    e.VehicleDeclined: lambda before, event, after: "I keep the old values.",
    e.ValueWithdrawn: _untold,
    e.CheckedIn: _checked_in,
    e.HelpCalled: _help_called,
    e.HelpTried: _help_tried,
    e.DangerSaid: _danger,
    e.CameOut: lambda before, event, after: f"Good. You are out.{'' if after.stopping else ' I stop asking.'}",
    e.AsideAsked: lambda before, event, after: event.say,
    e.AsideTakenBack: lambda before, event, after: "Taken back.",
    e.AsideLeft: lambda before, event, after: "I forget it.",
    e.WorkedOut: lambda before, event, after: event.say,
    e.Refused: lambda before, event, after: event.say,
    e.Denied: _denied,
    e.NotUnderstood: _not_understood,
    e.Asked: lambda before, event, after: answer_topic(after, event.topic, present),
    e.ListeningPaused: lambda before, event, after: "I stop listening. When you need me, say: listen again.",
    e.ListeningResumed: lambda before, event, after: "I am listening again.",
    e.Parked: _parked,
    e.Resumed: _resumed,
    e.JobFinished: lambda before, event, after: finish(after),
}
