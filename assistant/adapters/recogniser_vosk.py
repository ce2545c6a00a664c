"""The streaming first witness, Vosk with the words of the state. Never asks the network for a model.

Its word list makes it force any speech onto a word, often with confidence 1.0, so its score is only a weak
hint: what it wrote is judged by the matcher like any other writing.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.core.errors import DeviceError
from assistant.core.types import RATE, Heard, Hypothesis, Phrase, Utterance

ENGINE = "vosk"
UNKNOWN = "[unk]"
ALTERNATIVES = 3
_BLOCK = RATE // 4

Words = Callable[[Sequence[Phrase]], Sequence[str]]


class VoskRecogniser:
    """Implements `ports.StreamingRecogniser`: `begin`, `push` while a person speaks, and `hear` to end."""

    name = "Vosk"
    engine = ENGINE

    def __init__(self, folder: Path, words_of: Words) -> None:
        """Load the model in a folder; DeviceError where it is none. `words_of` gives the words of phrases."""
        import vosk

        vosk.SetLogLevel(-1)
        if not (folder / "conf").is_dir() and not (folder / "mfcc.conf").is_file():
            raise DeviceError(f"{folder} holds no Vosk model; fetch it again with: assistant models fetch")
        try:
            self._model = vosk.Model(str(folder))
        except Exception as error:  # the library raises plain exceptions
            raise DeviceError(f"the Vosk model in {folder} can't be loaded: {error}") from error
        self._vosk = vosk
        self._words_of = words_of
        self._recogniser: Any = None
        self.missing: tuple[str, ...] = ()
        """Words of the last phrases that the model does not know; it can't hear them."""

    def begin(self, phrases: Sequence[Phrase]) -> None:
        """Begin an utterance that may hold the words of these phrases; none means any words."""
        words = tuple(dict.fromkeys(self._words_of(phrases)))
        known = [word for word in words if self._knows(word)]
        self.missing = tuple(word for word in words if word not in known)
        if self._knows(UNKNOWN):
            known.append(UNKNOWN)
        arguments = (json.dumps(known, ensure_ascii=False),) if known else ()
        self._recogniser = self._vosk.KaldiRecognizer(self._model, RATE, *arguments)
        self._recogniser.SetMaxAlternatives(ALTERNATIVES)

    def _knows(self, word: str) -> bool:
        return bool(self._model.vosk_model_find_word(word) >= 0)

    def push(self, samples: NDArray[np.float32]) -> None:
        """Take the next piece of the utterance, mono at `RATE`."""
        pcm = np.clip(samples * 32767, -32768, 32767).astype("<i2")
        self._recogniser.AcceptWaveform(pcm.tobytes())

    def finish(self) -> tuple[Hypothesis, ...]:
        """End the utterance and return what was written, most likely first."""
        result = json.loads(self._recogniser.FinalResult())
        self._recogniser = None
        found = [(entry["text"].replace(UNKNOWN, "").strip(), entry.get("confidence", 0.0)) for entry in
                 result.get("alternatives", [])]  # fmt: skip
        best = max((confidence for _, confidence in found), default=0.0)
        # The confidences are sums over the lattice in no fixed scale: only their order and distance mean anything.
        ranked = [Hypothesis(text, min(0.0, (confidence - best) / 100), ENGINE) for text, confidence in found if text]
        return tuple(ranked)

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        """Return what was said in one utterance, most likely first; empty where nothing was.

        What was pushed since `begin` is that utterance; without a `begin` its own samples are heard.
        """
        if self._recogniser is None:
            self.begin(phrases)
            for start in range(0, len(utterance.samples), _BLOCK):
                self.push(utterance.samples[start : start + _BLOCK])
        return Heard(self.finish())

    def close(self) -> None:
        """Let the model go; may be called twice."""
        self._recogniser = None
