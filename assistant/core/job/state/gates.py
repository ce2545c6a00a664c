"""What facts of permissions change."""

from __future__ import annotations

from datetime import datetime

from assistant.core.job import events as e
from assistant.core.job.state.changing import Change, but, not_asked_again, said, unsaid, with_key, without_keys
from assistant.core.job.state.state import Said, State


def _evidence_given(state: State, event: e.EvidenceGiven, at: datetime) -> State:
    key = (event.gate, event.ask)
    evidence, shown = (with_key(known, key, event.answer) for known in (state.evidence, state.shown))
    return said(but(not_asked_again(state), evidence=evidence, shown=shown), event)


def _evidence_withdrawn(state: State, event: e.EvidenceWithdrawn, at: datetime) -> State:
    key = (event.gate, event.ask)
    evidence = without_keys(state.evidence, lambda known: known == key)
    without = but(state, evidence=evidence, shown=without_keys(state.shown, lambda known: known == key))
    return unsaid(without, lambda one: isinstance(one, e.EvidenceGiven) and (one.gate, one.ask) == key)


def _gate_passed(state: State, event: e.GatePassed, at: datetime) -> State:
    return said(but(state, gates=(*state.gates, event.gate)), event)


def _gate_fell(state: State, event: e.GateFell, at: datetime) -> State:
    return but(
        state,
        gates=tuple(gate for gate in state.gates if gate != event.gate),
        evidence=without_keys(state.evidence, lambda key: key[0] == event.gate),
        begun=state.begun and event.gate not in state.here.needs,  # what needs it is begun anew
        said=tuple(entry for entry in state.said if not _of_gate(entry, event.gate)),
    )


def _of_gate(entry: Said, gate: str) -> bool:
    return isinstance(entry.event, e.EvidenceGiven | e.GatePassed) and entry.event.gate == gate


CHANGES: dict[type[e.Event], Change] = {
    e.EvidenceGiven: _evidence_given,
    e.EvidenceWithdrawn: _evidence_withdrawn,
    e.GatePassed: _gate_passed,
    e.GateFell: _gate_fell,
}
