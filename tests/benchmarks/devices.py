"""Takes devices and engines away and gives them back, and prints after how long that was noticed, and mended.

    python -m tests.benchmarks.devices [--rounds 5]

Engines and the voice are real processes, really stopped and killed; microphone and loudspeaker are stood for behind the
library that plays and records. "Back" counts from the moment at which it could be back: for processes that is at once.
"""

from __future__ import annotations

import argparse
import os
import signal
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from assistant import wiring
from assistant.adapters import player_soundcard
from assistant.adapters.clock import MovableClock
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.library import Library
from assistant.adapters.player_soundcard import SoundCardPlayer
from assistant.adapters.sound_file import read_sound
from assistant.adapters.speech_pyttsx3 import Pyttsx3Speech
from assistant.core.types import Phrase, Reply, Utterance
from assistant.path.ears import Ears
from assistant.path.mouth import Mouth
from tests.fake_devices import Said, Sound, beside
from tests.talk import Talk

DATA = Path(__file__).parents[1] / "adapters" / "data"
SOUND = Utterance(read_sound(DATA / "what_torque.flac"), 0)
PHRASES = (Phrase("torque", "what torque"), Phrase("open", "what is open"))
Measured = tuple[float, float]
"""After how long it was noticed, and after how long it was back [second]."""


def until(holds: Callable[[], object]) -> float:
    """Wait until something holds; return for how long [second]."""
    began = time.monotonic()
    while not holds():
        time.sleep(0.01)
    return time.monotonic() - began


def engine(talk: Talk, number: int, how: signal.Signals, *, listening: bool) -> Measured:
    """Stop or kill one of the two engines, while it is asked or while nobody speaks."""
    engines = wiring.chosen_recognisers(Path(), ["moonshine", "whisper"], talk.library.rules())
    ears = Ears(talk.phrasebook, engines)
    for one in engines:
        one.hear(SOUND, PHRASES)
    if not listening:
        ears.watch()
    os.kill(engines[number]._process._child.process.pid, how)  # type: ignore[attr-defined]
    began = time.monotonic()
    if listening:
        ears.engines = (ears.engines[number], ears.engines[1 - number])
        ears.hear(SOUND, PHRASES)
    until(lambda: (ears.catch_up(), ears.faults)[1])
    noticed = time.monotonic() - began
    until(lambda: (ears.catch_up(), len(ears.engines) == 2)[1])
    back = time.monotonic() - began
    ears.close()
    return noticed, back


def of_microphone(take: Callable[[Sound], None], give: Callable[[Sound], None]) -> Callable[[Talk], Measured]:
    """Return what takes the microphone away in some way, and gives it back."""

    def measure(talk: Talk) -> Measured:
        sound, found = Sound("USB Audio"), []

        def script(said: Said) -> None:
            until(lambda: sound.opened)
            time.sleep(1.0)
            take(sound)
            found.append(said.wait(1))
            time.sleep(3.0)
            give(sound)
            found.append(said.wait(2))

        beside(talk.desk, sound, script)
        return found[0], found[1]

    return measure


def never_there(talk: Talk) -> Measured:
    sound, found = Sound(), []

    def script(said: Said) -> None:
        found.append(said.wait(1))
        time.sleep(3.0)
        sound.present.append("USB Audio")
        found.append(said.wait(2))

    beside(talk.desk, sound, script)
    return found[0], found[1]


def loudspeaker(talk: Talk, how: str) -> Measured:
    """Let the loudspeaker fail, or its calls never return; noticed is the delay of the reply."""
    sound = Sound()
    player_soundcard._sounddevice = lambda: sound
    mouth = Mouth(Pyttsx3Speech(), SoundCardPlayer(), open_player=lambda: SoundCardPlayer(look_again=True))
    reply = Reply("Nothing is open.", "")
    mouth.say(reply)
    sound.loudspeaker = how
    began = time.monotonic()
    mouth.say(reply)
    noticed = time.monotonic() - began
    assert mouth.faults
    time.sleep(3.0)
    sound.loudspeaker = "there"
    back = until(lambda: (mouth.catch_up(), mouth.news())[1])
    mouth.close()
    return noticed, back


def voice(talk: Talk, how: signal.Signals) -> Measured:
    """Stop or kill the process of the voice; noticed is the delay of the reply, which it says all the same."""
    speech = Pyttsx3Speech()
    speech.render("One.")
    assert speech._child
    os.kill(speech._child.pid, how)
    began = time.monotonic()
    assert np.any(speech.render("Nothing is open."))
    took = time.monotonic() - began
    speech.close()
    return took, took


def _unplug(sound: Sound) -> None:
    sound.present.clear()


def _plug(sound: Sound) -> None:
    sound.present[:] = ["Webcam", "USB Audio"]


CASES: dict[str, Callable[[Talk], Measured]] = {
    **{
        f"{name} {'killed' if how is signal.SIGKILL else 'stopped'}, {'asked' if listening else 'nobody speaks'}": (
            lambda talk, number=number, how=how, listening=listening: engine(talk, number, how, listening=listening)
        )
        for number, name in enumerate(("Moonshine", "Whisper"))
        for how in (signal.SIGSTOP, signal.SIGKILL)
        for listening in (True, False)
    },
    "microphone unplugged, back under another number": of_microphone(_unplug, _plug),
    "microphone taken by another program": of_microphone(
        lambda sound: setattr(sound, "taken", True), lambda sound: setattr(sound, "taken", False)
    ),
    "microphone muted": of_microphone(
        lambda sound: setattr(sound, "muted", True), lambda sound: setattr(sound, "muted", False)
    ),
    "microphone never there": never_there,
    "loudspeaker gone": lambda talk: loudspeaker(talk, "gone"),
    "loudspeaker hangs": lambda talk: loudspeaker(talk, "hangs"),
    "voice stopped": lambda talk: voice(talk, signal.SIGSTOP),
    "voice killed": lambda talk: voice(talk, signal.SIGKILL),
}  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=5, help="how often each is done")
    rounds = parser.parse_args().rounds
    library = Library()
    print(f"{'what':50} times  noticed: median, most [s]  back: median, most [s]")
    with tempfile.TemporaryDirectory() as folder:
        journal = SqliteJournal(Path(folder) / "journal.sqlite")
        clock = MovableClock(datetime(2026, 3, 14, 9, tzinfo=UTC))
        for name, measure in CASES.items():
            found = []
            for _ in range(rounds):
                talk = Talk(library, wiring.phrasebook(library.rules()), journal, clock)
                found.append(measure(talk))
            noticed, back = np.array(found).T
            print(f"{name:50} {rounds:5}  {np.median(noticed):16.2f}  {noticed.max():5.2f}  "
                  f"{np.median(back):15.2f}  {back.max():5.2f}", flush=True)  # fmt: skip
        journal.close()


if __name__ == "__main__":
    main()
