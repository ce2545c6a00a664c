"""What is said of the talk: what was heard, taken back, denied, refused or not understood."""

from __future__ import annotations

from assistant.core.job import events as e
from assistant.core.job.question import OF_STEP, Question, Waiting, denies_the_bad, question
from assistant.core.job.state import State
from assistant.core.job.wording import say_value, spoken
from assistant.core.quantities.figures import digit_by_digit, twins_of
from assistant.core.reply.acknowledging.words import Words
from assistant.core.reply.asking import present
from assistant.core.reply.fastenings import not_new
from assistant.core.reply.possible import in_short, name_of, possible
from assistant.core.reply.topics import answer_topic


def _claim(before: State, event: e.ClaimHeard, after: State) -> str:
    if event.value:
        return f"I heard: {name_of(event.what)}, {say_value(event.value)}."
    claim = after.here.claim
    return f"You say that {claim.show if claim and claim.show else f'{event.what} is tight'}."


def _dropped(before: State, event: e.ClaimDropped, after: State) -> str:
    pending = before.pending
    value = f", {say_value(pending.value)}" if pending and pending.value else ""
    return f"Taken back: {name_of(event.what)}{value}."


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
    return "That was not clear. Say it again." if event.first else f"I did not get that. {in_short(after)}"


SAID: dict[type[e.Event], Words] = {
    e.ClaimHeard: _claim,
    e.ClaimDropped: _dropped,
    e.Refused: lambda before, event, after: event.say,
    e.Denied: _denied,
    e.NotUnderstood: _not_understood,
    e.Asked: lambda before, event, after: answer_topic(after, event.topic, present),
    e.ListeningPaused: lambda before, event, after: "I stop listening. When you need me, say: listen again.",
    e.ListeningResumed: lambda before, event, after: "I am listening again.",
}
