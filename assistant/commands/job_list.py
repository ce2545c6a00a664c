"""The jobs in the journal: lists them, names one, puts one away, deletes one. Prints nothing."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from assistant import wiring
from assistant.core.errors import DataError
from assistant.core.job import events as e
from assistant.core.job.state import State
from assistant.core.quantities.units import write_amount
from assistant.path.typed import lines_of
from assistant.shelf import Job, Note, all_told, offer_of, offered, once, read_job, readable, the_one

LONGEST = 60
"""So many letters a name of the owner's has at most."""


@dataclass(frozen=True, slots=True)
class Request:
    """What the command line asks for."""

    action: str = "list"
    """`list`, `show`, `rename`, `put-away` or `delete`."""
    job: str | None = None
    """The name of a job, or words that call it."""
    name: str | None = None
    """With `rename`: the new name; empty takes it away."""
    every: bool = False
    """With `list`: those that are finished or put away, too."""
    sure: bool = False
    """With `delete`: whether it is not asked about."""


def command(options: argparse.Namespace, data: Path, show: Callable[[str], None], note: Callable[[str], None]) -> int:
    """Do what the options ask for with the jobs, and return the exit code."""

    def ask(question: str) -> str:
        """Show a question where it is no part of the output, and return the answer; empty where nobody answers."""
        note(question)
        return next((text for _, text in lines_of(sys.stdin)), "")

    asked = Request(options.action, options.job, options.name, options.every, options.sure)
    return job_list(data, asked, as_json=options.json, show=show, ask=ask, note=note)


def job_list(
    data: Path, asked: Request, *, as_json: bool, show: Callable[[str], None], ask: Callable[[str], str], note: Note
) -> int:
    """Do what is asked, and return the exit code; `ask` shows a question and returns the answer, empty without one."""
    note = once(note)
    if asked.action == "list":
        records = [_record(job) for job in listed(data, note, every=asked.every)]
        text = "\n".join(map(line, records)) or "No job is unfinished. Show all with: assistant jobs list --all"
        show(json.dumps(records, ensure_ascii=False) if as_json else text)
        return 0
    job = the_one(listed(data, note, every=True), asked.job)
    if asked.action == "rename":
        job = rename(data, job, asked.name)
    elif asked.action == "put-away":
        job = put_away(data, job)
    elif asked.action == "delete":
        return _delete(data, job, asked, as_json=as_json, show=show, ask=ask, note=note)
    show(json.dumps(_record(job), ensure_ascii=False) if as_json else line(_record(job)))
    return 0


def listed(data: Path, note: Note, *, every: bool) -> list[Job]:
    """Return the jobs that can be read, the one last heard of first; without `every` only those that are offered."""
    with closing(wiring.journal(data)) as store:
        return readable(store, note) if every else offered(store, note)


def rename(data: Path, job: Job, name: str | None) -> Job:
    """Give a job a name of the owner's, and return it so."""
    if name is None:
        raise DataError("say the new name as well: assistant jobs rename NAME NEW")
    name = " ".join(name.split())
    if len(name) > LONGEST or not name.isprintable():
        raise DataError(f"a name has {LONGEST} letters at most, and only such as can be shown")
    return _with(data, job, e.JobNamed(name))


def put_away(data: Path, job: Job) -> Job:
    """Put a job away, and return it so."""
    if job.state.finished_at:
        raise DataError(f"the job is {_standing(job.state)}: it is not offered any more")
    return _with(data, job, e.JobPutAway())


def _with(data: Path, job: Job, fact: e.Event) -> Job:
    with closing(wiring.journal(data)) as store:
        store.append(job.name, (fact,), wiring.SystemClock().now())
        changed = read_job(store, job.name)
        assert changed
        return changed


def _delete(
    data: Path, job: Job, asked: Request, *, as_json: bool, show: Callable[[str], None], ask: Callable[[str], str],
    note: Note,
) -> int:  # fmt: skip
    store = wiring.journal(data)
    try:
        told = [one for one in all_told(store, note) if one.job == job.name]
        values = ", ".join(f"{one.name} {write_amount(one.spec.value)}" for one in told)
        files = wiring.files_of(job.name, data)
        also = "".join([
            f" With it goes what you told in it of the vehicle: {values}." if values else "",
            f" Its files go too: {', '.join(file.name for file in files)}." if files else "",
        ])  # fmt: skip
        if not asked.sure:
            answer = ask(f"{line(_record(job))}\nDelete this job for ever?{also} Type yes to delete it: ")
            if answer.strip().lower() != "yes":
                note("Nothing was deleted.")
                return 1
        store.delete(job.name)
        for file in files:
            file.unlink(missing_ok=True)
    finally:
        store.close()
    show(json.dumps(_record(job) | {"state": "deleted"}, ensure_ascii=False) if as_json else f"deleted: {job.name}")
    return 0


def _standing(state: State) -> str:
    if state.finished_at:
        return "stopped" if state.stopped else "finished"
    return "put away" if state.put_away else "unfinished"


def _record(job: Job) -> dict[str, Any]:
    state = job.state
    heard = state.heard_at or state.opened_at
    return {
        "id": job.name,
        "name": state.label,
        "job": state.procedure.id,
        "title": offer_of(job).title,
        "vehicle": state.vehicle.id,
        "state": _standing(state),
        "step": state.here.title,
        "heard": heard.isoformat(),
    }


def line(record: dict[str, Any]) -> str:
    """Return a job for the eye."""
    at = "" if record["state"] == "finished" else f", at: {record['step']}"
    heard = datetime.fromisoformat(record["heard"])
    of = f"{record['id']}: {record['title']} ({record['vehicle']})"
    return f"{of}, {record['state']}{at}, last heard {heard:%Y-%m-%d %H:%M}"
