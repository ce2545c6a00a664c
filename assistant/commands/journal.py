"""The command `journal`: lists all jobs, or shows the facts of one, also as they come. Prints nothing."""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Callable
from pathlib import Path

from assistant import wiring
from assistant.core.errors import DataError
from assistant.core.reply.showing import fact_record
from assistant.ports import Journal
from assistant.shelf import Note, follow, rows_of
from assistant.system.ending import FAILED

LOOK_AGAIN = 0.5
"""After how long a journal that is followed is looked at again [second]."""


def command(options: argparse.Namespace, data: Path, show: Callable[[str], None], note: Callable[[str], None]) -> int:
    """Show what the options ask for, and return the exit code: that of a failure where the journal is damaged."""
    store, name = wiring.journal(data, only_read=options.follow), options.job or options.named
    if options.follow and not name:
        raise DataError("say which job to follow, with --job NAME. List them with: assistant journal")
    if name:
        return _facts(store, name, show, note, follows=options.follow, as_json=options.json)
    return _jobs(store, show, note, as_json=options.json)


def _jobs(store: Journal, show: Callable[[str], None], note: Note, *, as_json: bool) -> int:
    code = 0
    for name in store.jobs():
        if count := len(rows_of(store, name, note)):
            damage = store.damage(name)
            listed = {"id": name, "facts": count, "damage": str(damage) if damage else None}
            show(json.dumps(listed, ensure_ascii=False) if as_json else f"{name}: {count} facts")
        code |= _damage(store, name, note)
    return code


def _damage(store: Journal, name: str, note: Note) -> int:
    """Say what can't be believed of a job, and return the exit code."""
    damage = store.damage(name)
    if damage:
        note(f"damaged: {damage}")
    return FAILED if damage else 0


def _facts(store: Journal, name: str, show: Callable[[str], None], note: Note, *, follows: bool, as_json: bool) -> int:
    rows = store.read(name)
    if not rows and not store.damage(name):
        raise DataError(f"there is no job {name!r} in {store.where}. List them with: assistant journal")
    for row in follow(store, name, lambda: time.sleep(LOOK_AGAIN)) if follows else rows:
        fact = fact_record(row)
        show(json.dumps(fact, ensure_ascii=False) if as_json else "{number} {at} {fact}".format(**fact))
    return _damage(store, name, note)
