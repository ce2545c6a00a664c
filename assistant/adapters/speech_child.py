"""The program of the child process that renders speech. It only writes sound files; it never plays one.

pyttsx3 can neither be stopped nor trusted to say when it is done, so it lives here, where it can be killed.
Each line on standard input is a JSON object with `text`, `file`, `rate` and `voice`; each is answered by a line.
"""

from __future__ import annotations

import ctypes
import json
import os
import sys
from typing import Any, TextIO


def load_library() -> str | None:
    """Load the speech library that pip brought, and return the name of its driver; None for the platform's own."""
    if not sys.platform.startswith("linux"):
        return None
    import espeakng_loader

    # pyttsx3 looks for the library by its soname: once loaded for all, it is found without a system package.
    ctypes.CDLL(espeakng_loader.get_library_path(), mode=ctypes.RTLD_GLOBAL)
    os.environ["ESPEAK_DATA_PATH"] = os.path.dirname(espeakng_loader.get_data_path())  # noqa: PTH120 — no paths here
    return "espeak"


def serve(requests: TextIO, answers: TextIO) -> None:
    """Render each request, until there are no more."""
    import pyttsx3

    engine = pyttsx3.init(load_library())
    for line in requests:
        _render(engine, json.loads(line))
        answers.write("done\n")
        answers.flush()


def _render(engine: Any, request: dict[str, Any]) -> None:
    engine.setProperty("rate", request["rate"])
    if request["voice"]:
        engine.setProperty("voice", request["voice"])
    engine.save_to_file(request["text"], request["file"])
    engine.runAndWait()


def main() -> None:
    """Serve standard input; the library's own chatter goes to standard error."""
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    sys.stdin.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
    serve(sys.stdin, answers)


if __name__ == "__main__":
    main()
