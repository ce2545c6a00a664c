"""Holds the first talk with a new user: it hears their room and ten sentences, and keeps what follows. Prints nothing.

With sound files in place of a microphone the first is the room's silence, and one sentence follows in each.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from assistant import wiring
from assistant.core.errors import DataError
from assistant.core.hearing.sound.room import Room, room, voice
from assistant.core.hearing.sound.segmenting import Segmenter
from assistant.core.hearing.verdict.found import Match
from assistant.core.hearing.verdict.tuning import SENTENCES, Take, advice, tuned
from assistant.core.types import RATE, Hypothesis, Phrase, Reply, Verdict
from assistant.path.ears import Ears
from assistant.path.mouth import Mouth
from assistant.path.stream import Spoken, Stream
from assistant.ports import SoundSource

if TYPE_CHECKING:
    from numpy.typing import NDArray

SILENCE = 3.0
"""How long the room is listened to [second]."""
PATIENCE = 8.0
"""How long a sentence is waited for [second]."""
QUIET = "Please be quiet for three seconds."


def command(options: argparse.Namespace, data: Path, show: Callable[[str], None], note: Callable[[str], None]) -> int:
    """Hold the first talk, show what came of it, and return the exit code."""
    if options.list:
        show(json.dumps(SENTENCES) if options.json else "\n".join(SENTENCES))
        return 0
    mouth = Mouth()
    if not options.sound:
        mouth.player = wiring.player(None, options.loudspeaker, note)
        mouth.speech = wiring.speech() if mouth.player else None
    with closing(mouth):
        found = tune(data, options.user, options.sound, mouth, microphone=options.microphone, show=note, note=note)
    if options.json:
        show(json.dumps(found, ensure_ascii=False))
        return 0
    show(f"{found['right']} of {len(SENTENCES)} sentences were heard right.")
    show("\n".join(found["advice"]) or "All is well: nothing needs to be changed.")
    show(f"kept for {found['user']}: {found['kept']}")
    return 0


def tune(
    data: Path,
    user: str,
    files: Sequence[Path],
    mouth: Mouth,
    *,
    microphone: str | None,
    show: Callable[[str], None],
    note: Callable[[str], None],
) -> dict[str, Any]:
    """Hear the room and the sentences, keep the result for a user, and return what was found, JSON-ready.

    Raises DataError where the files are not one for the room and one for each sentence. What was kept before
    stays until all has been heard.
    """
    if files and len(files) != len(SENTENCES) + 1:
        message = f"{len(files)} files were given: give the room's silence first, and then {len(SENTENCES)} sentences"
        raise DataError(message, say="Give eleven sound files.")
    rules = wiring.library(data).rules()
    phrases = (*wiring.library(data).phrases(), *(Phrase("value", f"<{kind}>") for kind in ("torque", "volume")))
    phrases += (Phrase("value", "<number>"), Phrase("value", "[[the] dipstick [is]] <level>"))
    settings = wiring.fitted()
    ears = Ears(wiring.phrasebook(rules), wiring.recognisers(data, note, rules))
    with closing(ears):
        sounds = _from_files(files) if files else _from_microphone(microphone, ears, phrases, mouth, show)
        silent = room(next(sounds))
        takes = [_take(ears, phrases, asked, sound, silent) for asked, sound in zip(SENTENCES, sounds, strict=True)]
    own = tuned(settings, takes)
    said = advice(silent, takes)
    where = wiring.keep_user(data, user, own)
    return {
        "user": user,
        "room": asdict(silent),
        "takes": [asdict(take) | {"verdict": str(take.verdict)} for take in takes],
        "right": sum(take.right for take in takes),
        "settings": asdict(own),
        "advice": said,
        "kept": str(where),
    }


def _from_files(files: Sequence[Path]) -> Iterator[NDArray[np.float32]]:
    for file in files:
        yield wiring.read_sound(file)


def _from_microphone(
    name: str | None, ears: Ears, phrases: Sequence[Phrase], mouth: Mouth, show: Callable[[str], None]
) -> Iterator[NDArray[np.float32]]:
    """Yield the room's silence, and each sentence as it was spoken after it was asked for."""
    with closing(wiring.source(None, name)) as source:
        blocks = source.blocks()
        _ask(QUIET, source, mouth, show)
        yield np.concatenate([next(blocks) for _ in range(int(SILENCE * RATE / 512))])
        for sentence in SENTENCES:
            _ask(f"Say: {sentence}.", source, mouth, show)
            stream = Stream(ears, wiring.SileroVoice(), Segmenter())
            spoken: Spoken | None = None
            for _ in range(int(PATIENCE * RATE / 512)):
                if spoken := stream.push(next(blocks), lambda: phrases):
                    break
            yield spoken.utterance.samples if spoken else np.zeros(0, np.float32)


def _ask(text: str, source: SoundSource, mouth: Mouth, show: Callable[[str], None]) -> None:
    show(text)
    mouth.say(Reply(text, text))
    source.forget()


def _take(ears: Ears, phrases: Sequence[Phrase], asked: str, sound: NDArray[np.float32], silent: Room) -> Take:
    """Return how one sentence was heard: the last thing that was said in the sound."""
    stream = Stream(ears, wiring.SileroVoice(), Segmenter())
    padded = np.pad(sound, (RATE // 2, RATE + -len(sound) % 512))
    blocks = padded[: len(padded) // 512 * 512].reshape(-1, 512).astype(np.float32)
    found = [spoken for block in blocks if (spoken := stream.push(block, lambda: phrases))]
    if not found:
        return Take(asked, "", Verdict.NOT_FOR_ME, 0.0, right=False, voice=None)
    match = found[-1].match
    right = match.verdict is Verdict.ACCEPTED and _meaning(match) == _meaning(
        ears.read(Hypothesis(asked, 0.0, ""), phrases)
    )
    heard, score = (match.best.words, match.best.score) if match.best else ("", 0.0)
    return Take(asked, heard, match.verdict, score, right, voice(found[-1].utterance.samples, silent))


def _meaning(match: Match) -> object:
    return match.best.meaning if match.best else None
