"""The command `models`: shows the models of the engines that hear, fetches one, or packs one. Prints nothing."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from pathlib import Path

from assistant import wiring
from assistant.core.errors import DataError

USUAL = "vosk-small-en-us"
"""The model that is fetched where none is named: no package carries it."""


def command(options: argparse.Namespace, data: Path, show: Callable[[str], None], note: Callable[[str], None]) -> int:
    """List, fetch or pack as the options say, and return the exit code."""
    if options.action == "fetch":
        model = options.model or USUAL
        note(f"fetching {model}")
        show(wiring.fetch_model(data, model, _progress(note), options.place))
    elif options.action == "pack":
        show(_packed(data, options.model, options.archive))
    else:
        show(_listed(wiring.list_models(data), as_json=options.json))
    return 0


def _packed(data: Path, model: str | None, archive: Path | None) -> str:
    if not model:
        raise DataError("say which model to pack. List them with: assistant models")
    file, known = wiring.pack_model(data, model, archive)
    return f"{file}: {known.size} bytes, SHA-256 {known.sha256}"


def _listed(rows: list[dict[str, str]], *, as_json: bool) -> str:
    if as_json:
        return json.dumps(rows, ensure_ascii=False)
    return "\n".join(f"{row['id']}: {row['title']} ({row['state']})" for row in rows)


def _progress(note: Callable[[str], None]) -> Callable[[int, int], None]:
    """Return what tells every tenth of the way on a line of its own."""
    told = [-1]

    def tell(done: int, total: int) -> None:
        tenth = 10 * done // max(total, 1)
        if tenth > told[0]:
            told[0] = tenth
            note(f"{10 * tenth} % of {total / 1e6:.0f} MB")

    return tell
