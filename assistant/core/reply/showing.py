"""A turn, a job, a summary as lines for the eye and as plain data for programs. Only shapes; nothing is decided.

Lines are plain `label: value`, one after the other, so that a screen reader reads them as they are.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from assistant.core.job import events as e
from assistant.core.job.question import question
from assistant.core.job.state import State
from assistant.core.quantities.saying import say_duration
from assistant.core.reply.may_say import Sayable, record_of
from assistant.core.reply.summary import summarise
from assistant.core.types import Reply, Understanding, Verdict


def turn_record(
    understanding: Understanding | None,
    recorded: Sequence[e.Recorded],
    state: State,
    reply: Reply,
    now: datetime,
    sayable: Sequence[Sayable],
) -> dict[str, Any]:
    """Return a turn, with what may be said next, as one JSON-ready object; its keys stand in DEVELOPERS.md."""
    heard = understanding.heard if understanding else ()
    intent = understanding.intent if understanding and understanding.verdict is Verdict.ACCEPTED else None
    return {
        "at": now.isoformat(timespec="seconds"),
        "heard": heard[0].text if heard else None,
        "verdict": str(understanding.verdict) if understanding else None,
        "score": _rounded(understanding.score) if understanding else None,
        "margin": _rounded(understanding.margin) if understanding else None,
        "intent": intent.name if intent else None,
        "events": [_event(row) for row in recorded],
        "say": reply.say,
        "show": reply.show,
        "tone": str(reply.tone),
        "step": state.step,
        "where": str(state.here.where),
        "gates": list(state.gates),
        "open": list(state.ledger.parts),
        "waiting_for": str(question(state)),
        "timers": [
            {"name": timer.name, "seconds_left": max(0, round((timer.due - now).total_seconds()))}
            for timer in state.timers
        ],
        "may_say": [record_of(one) for one in sayable],
    }


def _rounded(number: float) -> float | None:
    return round(number, 3) if abs(number) < 1e6 else None


def fact_record(row: e.Recorded) -> dict[str, Any]:
    """Return a fact of the journal as one JSON-ready object, with all its fields as the journal keeps them."""
    kind, body = e.encode(row.event)
    return {
        "job": row.job,
        "number": row.number,
        "at": row.at.isoformat(),
        "kind": kind,
        "fields": json.loads(body),
        "fact": e.describe(row.event),
    }


def _event(row: e.Recorded) -> dict[str, Any]:
    kind, body = e.encode(row.event)
    if isinstance(row.event, e.JobOpened):
        return {"kind": kind, "procedure": row.event.procedure.id, "vehicle": row.event.vehicle.id}
    return {"kind": kind, **json.loads(body)}


def turn_lines(understanding: Understanding | None, recorded: Sequence[e.Recorded], reply: Reply) -> list[str]:
    """Return what was heard and how surely, what was decided, and what was said."""
    lines = []
    if understanding and understanding.heard:
        best = understanding.heard[0]
        meant = f", taken as: {understanding.intent.words}" if _taken(understanding) and understanding.intent else ""
        score = f", score {understanding.score:.2f}" if abs(understanding.score) < 1e6 else ""
        lines.append(f"heard:   {best.text!r} ({understanding.verdict.replace('_', ' ')}{score}){meant}")
    elif understanding:
        lines.append("heard:   nothing that is speech")
    else:
        lines.append("time:    passes")
    lines.append(f"decided: {'; '.join(e.describe(row.event) for row in recorded)}")
    lines.append(f"said:    {reply.say or '(silence)'}")
    return lines


def _taken(understanding: Understanding) -> bool:
    return understanding.verdict is Verdict.ACCEPTED


def summary_lines(state: State, now: datetime) -> list[str]:
    """Return a job in figures, one a line."""
    summary = summarise(state, now)
    lines = [f"{summary.title}, {summary.vehicle}"]
    lines += [f"{name}: {text}" for name, text in summary.lines]
    return [*lines, f"time taken: {summary.minutes} minutes", f"facts in the journal: {state.events}"]


def report_lines(rows: Sequence[e.Recorded], state: State, now: datetime) -> list[str]:
    """Return the whole report of a job: its figures, then its facts in order."""
    facts = [f"{row.at:%H:%M:%S} {row.number:4d} {e.describe(row.event)}" for row in rows]
    note = "The service manual goes before this report. Values come from the sources named with them."
    sources = [f"{name}: {spec.source}" for name, spec in {**state.vehicle.values, **state.told}.items()]
    return [*summary_lines(state, now), "", note, "", "Sources", *sources, "", "Facts", *facts]


def left(state: State, now: datetime) -> str:
    """Return one line about an unfinished job."""
    gone = (now - (state.heard_at or now)).total_seconds()
    heard = f"last heard {say_duration(gone)} ago" if gone >= 0 else "the clock was set back since"
    return f"{state.procedure.title}, {state.vehicle.title}, at: {state.here.title} ({heard})"
