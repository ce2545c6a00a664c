"""Holds the recogniser that is led by sentences, Vosk in a child process. Never asks the network for a model.

Its list of sentences makes it take any speech for some of their words, often with confidence 1.0. So what it writes
is no evidence and only a candidate, and each text is weighed alone: how well it explains the sound, beside the words
of all phrases in whatever order suits the sound best.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from assistant.core.errors import DeviceError
from assistant.core.grammar.covering import covering
from assistant.core.grammar.jsgf import Rules
from assistant.core.grammar.parsing import parse
from assistant.core.grammar.word_graph import WordGraphs
from assistant.core.quantities.figures import written_as_words
from assistant.core.types import RATE, Heard, Phrase, Utterance, Weighed
from assistant.system.engine_process import EngineProcess, check_weights, is_heard, weights_fault

if TYPE_CHECKING:
    from numpy.typing import NDArray

ENGINE = "vosk"
SPELT: Mapping[str, str] = {"chocks": "chalks", "kilopascals": "kilo pascal"}
"""Words that the small English model lacks, by words that it knows and that sound like them."""
SHORTEST_PART = 3
"""Length of the parts into which a word that the model lacks is cut, where it knows both: "under tray" [letter]."""
LEVEL = 0.05
"""Root mean square to which an utterance is brought before it is heard, of full scale."""
LEAD = 0.25
"""Faint hiss put before and behind the utterance [second]: the model was trained on speech that does not begin at
once, and is no good at digital silence."""
HISS = 0.002
"""Its root mean square beside that of the utterance."""
CANDIDATES = 3
"""So many texts are looked at for phrases."""
EASE = 0.5
"""How much likelier a right text is than what the words of all phrases explain, for each of its letters [nat]: beside
them it need not compete with other words. From 0.1 to 0.5 the verdict over 480 sentences is the same."""
SPARE = 4
"""So many letters are added to a length, or short words would be judged too hard."""
UNLIKELY = -0.6
"""The least for each letter [nat]: what a text has of which the engine left words out rather than hear them. In noise
it does so with what was said, too."""
MOST_TEXTS = 8
"""So many texts are weighed at most."""


class VoskModel:
    """The model itself; its home is the child process."""

    def __init__(self, folder: Path, rules: Rules, digests: Mapping[str, str]) -> None:
        """Load from `folder`; `digests` names the SHA-256 of each file in it; raises `DeviceError`."""
        check_weights(folder, digests, "")
        if unknown := [name for name in _files(folder) if digests and name not in digests]:
            raise weights_fault(
                f"{folder / unknown[0]} is no part of it"
            )  # the library reads some only if they are there
        import vosk

        vosk.SetLogLevel(-1)
        if not (folder / "conf").is_dir() and not (folder / "mfcc.conf").is_file():
            raise DeviceError(f"{folder} holds no Vosk model; fetch it again with: assistant models fetch")
        try:
            self._model = vosk.Model(str(folder))
        except Exception as error:  # the library raises plain exceptions
            raise DeviceError(f"the Vosk model in {folder} can't be loaded: {error}") from error
        self._vosk = vosk
        self._spelt: dict[str, tuple[str, ...]] = {}
        self._graphs = WordGraphs(rules)
        self._sentences: dict[str, dict[str, str]] = {}

    def __call__(self, samples: NDArray[np.float32], says: tuple[str, ...], best: float | None = None) -> Heard:
        """Return which phrases may have been said, or how likely texts are beside the best that was found."""
        pcm = _pcm(samples)
        if best is not None:
            return Heard(allowed=self._weighed(pcm, says, best))
        spelt = {known: words for text in says for known, words in self._covering(text).items()}
        found = self._heard(pcm, [*spelt], CANDIDATES) if pcm and spelt else []
        if not found:
            return Heard()
        best = max(likelihood for _, likelihood in found)
        sayable = [words for text, _ in found if (words := self._allowed(text, spelt, says))]
        return Heard(allowed=self._weighed(pcm, sayable, best), best=best)

    def spelt(self, text: str) -> str:
        """Return a text in words that the model knows; a word that it lacks, and nothing like it, is left out."""
        return " ".join(part for word in (written_as_words(text) or text).split() for part in self._parts(word))

    def _parts(self, word: str) -> tuple[str, ...]:
        if word not in self._spelt:
            cuts = range(SHORTEST_PART, len(word) - SHORTEST_PART + 1)
            ways = [(word,), tuple(SPELT.get(word, "").split()), *((word[:cut], word[cut:]) for cut in cuts)]
            self._spelt[word] = next((way for way in ways if way and all(map(self._knows, way))), ())
        return self._spelt[word]

    def _knows(self, word: str) -> bool:
        return bool(self._model.vosk_model_find_word(word) >= 0)

    def _covering(self, says: str) -> dict[str, str]:
        """Return sentences that use all of a phrase, by how they are spelt in words that the model knows."""
        if says not in self._sentences:
            spelt = {self.spelt(sentence): sentence for sentence in covering(self._graphs[says])}
            self._sentences[says] = {known: sentence for known, sentence in spelt.items() if known}
        return self._sentences[says]

    def _allowed(self, text: str, spelt: Mapping[str, str], says: Sequence[str]) -> str:
        """Return the words of a phrase that a text is; empty where it is none."""
        words = spelt.get(text, text)
        return words if any(parse(self._graphs[each], words.split()) is not None for each in says) else ""

    def _weighed(self, pcm: bytes, texts: Sequence[str], best: float) -> tuple[Weighed, ...]:
        """Return how likely each text is, heard alone, beside the best of all phrases together [nat]."""
        return tuple(Weighed(text, self._weigh(pcm, text, best)) for text in texts[:MOST_TEXTS])

    def _weigh(self, pcm: bytes, text: str, best: float) -> float:
        spelt, letters = self.spelt(text), len(text) + SPARE
        found = self._heard(pcm, [spelt], 1) if spelt else []
        if not found or found[0][0] != spelt:
            return UNLIKELY * letters
        return max(UNLIKELY * letters, found[0][1] - best - EASE * letters)

    def _heard(self, pcm: bytes, sentences: Sequence[str], most: int) -> list[tuple[str, float]]:
        """Return what is heard where these sentences may be said, and how well it explains the sound [nat]."""
        recogniser = self._vosk.KaldiRecognizer(self._model, RATE, json.dumps(sentences, ensure_ascii=False))
        recogniser.SetMaxAlternatives(most)
        recogniser.AcceptWaveform(pcm)
        found: Any = json.loads(recogniser.FinalResult()).get("alternatives", [])
        return [(entry["text"].strip(), float(entry["confidence"])) for entry in found if entry["text"].strip()]


class VoskRecogniser:
    """Implements `ports.WeighingRecogniser`. Call `warm_up` early: loading takes about a second."""

    name = "Vosk"
    engine = ENGINE

    def __init__(
        self,
        folder: Path,
        rules: Rules,
        digests: Mapping[str, str],
        *,
        deadline: float = 5.0,
        loading_deadline: float = 30.0,
    ) -> None:
        """Take the folder of a model, the rules of the phrases, and the SHA-256 of each file of the model by its path.

        Without any of these the model is believed as it is: for trying one that the manifest does not know.
        Deadlines in seconds of its own work; nothing is loaded yet.
        """
        load = partial(VoskModel, folder, dict(rules), dict(digests))
        self._process = EngineProcess(self.name, load, loading_deadline, is_heard)
        self._deadline = deadline

    def warm_up(self) -> None:
        """Begin to load in the background; returns at once."""
        self._process.warm_up()

    def check(self) -> None:
        """See that its process is there and answers; raises `DeviceError`."""
        self._process.check()

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        """Return the phrases that were heard word for word; it writes nothing freely. Raises `DeviceError`."""
        return self._ask(utterance, tuple(dict.fromkeys(phrase.says for phrase in phrases)))

    def weigh(self, utterance: Utterance, texts: Sequence[str], heard: Heard) -> tuple[Weighed, ...]:
        """Return how likely each text is, as words, beside what was heard; raises `DeviceError`."""
        return self._ask(utterance, tuple(texts), heard.best).allowed if heard.best is not None else ()

    def _ask(self, utterance: Utterance, says: tuple[str, ...], *best: float) -> Heard:
        if len(utterance.samples) == 0 or not says:
            return Heard()
        heard: Heard = self._process.ask(self._deadline, utterance.samples, says, *best)
        return heard

    def close(self) -> None:
        """End the child process; may be called twice."""
        self._process.close()


def _files(folder: Path) -> list[str]:
    return [path.relative_to(folder).as_posix() for path in sorted(folder.rglob("*")) if not path.is_dir()]


def _pcm(samples: NDArray[np.float32]) -> bytes:
    """Return the sound at one level for all, in 16 bits; empty where it is digital silence."""
    level = float(np.sqrt(np.mean(np.square(samples, dtype=np.float64))))
    if level == 0:
        return b""
    hiss = np.random.default_rng(0).normal(0, HISS * LEVEL, int(LEAD * RATE)).astype(np.float32)
    sound = np.concatenate([hiss, samples * np.float32(LEVEL / level), hiss])
    pcm: NDArray[np.int16] = np.clip(sound * 32767, -32768, 32767).astype("<i2")
    return pcm.tobytes()
