"""What is said of permissions: what was shown for them, that they are given, that they ended."""

from __future__ import annotations

from assistant.core.job import events as e
from assistant.core.job import known
from assistant.core.job.state import State
from assistant.core.quantities.saying import capital
from assistant.core.reply.acknowledging.words import Words


def _evidence(before: State, event: e.EvidenceGiven, after: State) -> str:
    gate = after.procedure.gate(event.gate)
    last = all((gate.id, ask.id) in after.evidence for ask in gate.asks if ask.applies(known.tags(after)))
    return "" if last else f"{capital(event.answer)}."  # the last is read back with the others


def _passed(before: State, event: e.GatePassed, after: State) -> str:
    return after.procedure.gate(event.gate).granted


def _fell(before: State, event: e.GateFell, after: State) -> str:
    """Return that checks have to be made again, where the person had the permission and would use it now."""
    if event.gate not in before.gates or event.gate not in after.here.needs:
        return ""
    return f"So the checks for {after.procedure.gate(event.gate).name} have to be made again."


def _answered_not(before: State, event: e.EvidenceWithdrawn, after: State) -> str:
    return f"Taken back: {before.evidence.get((event.gate, event.ask), 'that answer')}."


SAID: dict[type[e.Event], Words] = {
    e.EvidenceGiven: _evidence,
    e.GatePassed: _passed,
    e.GateFell: _fell,
    e.EvidenceWithdrawn: _answered_not,
}
