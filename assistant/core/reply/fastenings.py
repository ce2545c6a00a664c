"""How fasteners are spoken of: how many, in which order, the torque last; the further turn; what has to be new."""

from __future__ import annotations

from assistant.core.data.base import names_in
from assistant.core.data.step import Step
from assistant.core.job.fastening import count_of, is_or_are, order_of
from assistant.core.job.state import State
from assistant.core.job.wording import spoken
from assistant.core.quantities.saying import say_integer


def before_torque(state: State, step: Step) -> str:
    """Return how many fasteners a step tightens and in which order; empty where its part tells neither."""
    if not step.tighten:
        return ""
    part = state.procedure.part(step.tighten.part)
    count, order = count_of(state, part), order_of(state, part)
    numbered = "around the ring" if part.order == "star" else "row by row"
    said = [f"Number of fasteners: {say_integer(count)}." if count else ""]
    if order:
        said.append(f"Number them {numbered}. Take them in this order: {', '.join(map(say_integer, order))}.")
    elif part.order:
        said.append("Take them in the order that the service manual shows.")
    return " ".join(text for text in said if text)


def torque_last(state: State, step: Step) -> str:
    """Return the torque of what a step tightens, where its fasteners are told one by one and its own text lacks it."""
    part = state.procedure.part(step.tighten.part) if step.tighten else None
    if not part or not part.torque or not (part.count or part.order) or part.torque in names_in(step.say):
        return ""
    return spoken(state, "Tighten to: {" + part.torque + "}.")


def ask_turn(state: State) -> str:
    """Return the request for the further turn after the torque, the angle last."""
    tighten = state.here.tighten
    assert tighten
    part = state.procedure.part(tighten.part)
    each = "each of them" if (count_of(state, part) or 1) > 1 else "it"
    return spoken(state, f"Tell me how far you turned it. Now turn {each} further by: {{{part.angle}}}.")


def ask_new(state: State, part: str) -> str:
    """Return the request to use something new before a part is closed, and the words by which to say so."""
    once = state.procedure.part(part).once
    return f"Use it only once. When a new one is in, say: {says_new(once)}."


def says_new(once: str) -> str:
    """Return the words that say that something is new."""
    return f"{once.removeprefix('the ')} {is_or_are(once)} new"


def not_new(once: str) -> str:
    """Return what to do with what is not new."""
    return f"Then do not close it with that. Put in a new one. Then say: {says_new(once)}."
