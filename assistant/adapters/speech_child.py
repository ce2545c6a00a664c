"""The program of the child process that renders speech. It only writes sound files; it never plays one.

pyttsx3 can neither be stopped nor trusted to say when it is done, so it lives here, where it can be killed.
Each line on standard input is a JSON object with `text`, `file`, `rate` and `voice`; each is answered by a line
with the `file`, or with a `fault` in its place. The folder of the files is the only argument; it is removed when
there are no more requests, so nothing stays behind where the program ends without a farewell.
"""

from __future__ import annotations

import ctypes
import json
import os
import shutil
import signal
import sys
from collections.abc import Callable
from typing import Any, TextIO


def load_library() -> tuple[str | None, Callable[[], object]]:
    """Load the speech library that pip brought.

    Return its driver's name, None for the platform's own, and a function that returns once the library is idle.
    """
    if not sys.platform.startswith("linux"):
        return None, lambda: None
    import espeakng_loader

    # pyttsx3 looks for the library by its soname: once loaded for all, it is found without a system package.
    library = ctypes.CDLL(espeakng_loader.get_library_path(), mode=ctypes.RTLD_GLOBAL)
    os.environ["ESPEAK_DATA_PATH"] = os.path.dirname(espeakng_loader.get_data_path())  # noqa: PTH120 — no paths here
    return "espeak", library.espeak_Synchronize


class Renderer:
    """The engine of pyttsx3, made to finish one text before it begins another."""

    def __init__(self) -> None:
        import pyttsx3

        driver, self._wait_until_idle = load_library()
        self._engine = pyttsx3.init(driver)
        self._faults: list[Exception] = []
        self._engine.connect("error", self._note)

    def _note(self, name: str, exception: Exception) -> None:
        """Keep what pyttsx3 would swallow, for instance a voice that it does not know."""
        self._faults.append(exception)

    def render(self, request: dict[str, Any]) -> str:
        """Write the sound of one text and return the file; raises what went wrong."""
        self._engine.setProperty("rate", request["rate"])
        if request["voice"]:
            self._engine.setProperty("voice", request["voice"])
        # Setting a property keeps the library busy for a moment, and pyttsx3 cancels the text that it then begins.
        self._wait_until_idle()
        self._engine.save_to_file(request["text"], request["file"])
        self._engine.runAndWait()
        self._wait_until_idle()
        if self._faults:
            raise self._faults.pop()
        return str(request["file"])


def serve(requests: TextIO, answers: TextIO) -> None:
    """Render each request, until there are no more; what the engine refuses is answered, not died of."""
    renderer = Renderer()
    for line in requests:
        try:
            answer = {"file": renderer.render(json.loads(line))}
        except Exception as error:  # whatever the engine throws: the text of it goes to whoever asked
            answer = {"fault": f"{type(error).__name__}: {error}"}
        answers.write(json.dumps(answer) + "\n")
        answers.flush()


def main() -> None:
    """Serve standard input; the library's own chatter goes to standard error."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the program, which then still says good-bye
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    sys.stdin.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
    try:
        serve(sys.stdin, answers)
    finally:
        shutil.rmtree(sys.argv[1], ignore_errors=True)


if __name__ == "__main__":
    main()
