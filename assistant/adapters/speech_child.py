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

_RATE = 1
"""What the library calls its rate of speech."""

CLEAREST = "en-gb-x-rp+f3"
"""The voice of that library where none is named: of 94 torques said in sentences two recognisers wrote down all, with
its own voice 90, with two others 82 and 91 (tests/benchmarks/round_trip.py)."""
ATTEMPTS = 3
"""So often is a text rendered before a rate that does not take is a fault."""


def load_library() -> tuple[str | None, Callable[[], object], Callable[[], int | None]]:
    """Load the speech library that pip brought.

    Return its driver's name, None for the platform's own; a function that returns once the library is idle; and
    one that returns the rate at which it speaks [word a minute], None where that can't be asked.
    """
    if not sys.platform.startswith("linux"):
        return None, lambda: None, lambda: None
    import espeakng_loader

    # pyttsx3 looks for the library by its soname: once loaded for all, it is found without a system package.
    library = ctypes.CDLL(espeakng_loader.get_library_path(), mode=ctypes.RTLD_GLOBAL)
    os.environ["ESPEAK_DATA_PATH"] = os.path.dirname(espeakng_loader.get_data_path())  # noqa: PTH120 — no paths here
    return "espeak", library.espeak_Synchronize, lambda: int(library.espeak_GetParameter(_RATE, 1))


class Renderer:
    """The engine of pyttsx3, made to finish one text before it begins another."""

    def __init__(self) -> None:
        import pyttsx3

        driver, self._wait_until_idle, self._rate_now = load_library()
        self._engine = pyttsx3.init(driver)
        self._usual = CLEAREST if driver == "espeak" else ""
        self._faults: list[Exception] = []
        self._engine.connect("error", self._note)

    def _note(self, name: str, exception: Exception) -> None:
        """Keep what pyttsx3 would swallow, for instance a voice that it does not know."""
        self._faults.append(exception)

    def render(self, request: dict[str, Any]) -> str:
        """Write the sound of one text and return the file; raises what went wrong.

        Setting the rate is a queued command that pyttsx3 now and then cancels: the text would then be spoken at 200
        words a minute, too fast for numbers. So the library is asked afterwards, and the text rendered again.
        """
        for _ in range(ATTEMPTS):
            self._attempt(request)
            if self._rate_now() in (None, request["rate"]):
                return str(request["file"])
        raise RuntimeError(f"it speaks {self._rate_now()} words a minute, not {request['rate']}")

    def _attempt(self, request: dict[str, Any]) -> None:
        self._engine.setProperty("rate", request["rate"])
        if voice := request["voice"] or self._usual:
            self._engine.setProperty("voice", voice)
        # Setting a property keeps the library busy for a moment, and pyttsx3 cancels the text that it then begins.
        self._wait_until_idle()
        self._engine.save_to_file(request["text"], request["file"])
        self._engine.runAndWait()
        self._wait_until_idle()
        if self._faults:
            raise self._faults.pop()


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
