"""Holds the guided recogniser, Moonshine tiny.en in a child process. Never touches the network.

Moonshine (Jeffries et al. 2024) hears only as much sound as there is, so that a short command takes a fifth of a
second. It is run by ONNX Runtime from the weights in the package `moonshine-voice`, because that package's own
interface neither leads the writing along phrases nor tells how likely they are.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from assistant.core.grammar.jsgf import Rules
from assistant.core.grammar.word_graph import WordGraphs
from assistant.core.hearing.guided.decoding import Guide, Guided, search
from assistant.core.hearing.guided.pieces import Pieces
from assistant.core.hearing.guided.token_graph import TokenGraph
from assistant.core.types import RATE, Heard, Hypothesis, Phrase, Utterance, Weighed
from assistant.system.engine_process import EngineProcess, check_weights, is_heard, weights_fault

if TYPE_CHECKING:
    from numpy.typing import NDArray

ENGINE = "moonshine"
PACKAGE = "moonshine-voice==0.0.69"
ENCODER, DECODER, VOCABULARY = "encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin"
FIRST_TEXT_PIECE, BEGIN, END = 259, 1, 2
"""Numbers of the vocabulary: those below the first are the unknown, the marks of begin and end, and single bytes."""
LAYERS, HEADS, WIDTH = 6, 8, 36
"""Shape of the decoder's memory."""
LEAD = 0.25
"""Silence put before and behind the utterance [second]: without it 0.79 of a hundred lone digits were right, with it
0.90, and with 0.5 s no more."""
TOLD = 3
"""Of so many texts, those it holds likeliest, it is told what the sound tells of them: each takes time."""
UNHEARD = 0.8
"""Share of what makes a text likely before anything is heard that is taken off for that: as Whisper's, not fitted."""
MOST_GRAPHS = 64
"""So many sets of phrases are kept ready."""


class MoonshineModel:
    """The model itself, loaded from checked files; its home is the child process."""

    def __init__(self, folder: Path, digests: Mapping[str, str], rules: Rules, threads: int = 1) -> None:
        """Load from `folder`; `digests` names the SHA-256 of each file; raises `DeviceError`."""
        check_weights(folder, digests, PACKAGE)
        os.environ["ORT_DISABLE_TELEMETRY"] = "1"  # or the library gives the computer a number and reports its use
        import onnxruntime

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = threads
        options.inter_op_num_threads = 1
        self._encoder = onnxruntime.InferenceSession(folder / ENCODER, options, providers=["CPUExecutionProvider"])
        self._decoder = onnxruntime.InferenceSession(folder / DECODER, options, providers=["CPUExecutionProvider"])
        self._results = [result.name for result in self._decoder.get_outputs()]
        self._pieces = Pieces(list(_vocabulary((folder / VOCABULARY).read_bytes())), FIRST_TEXT_PIECE)
        stops = [piece for sign in ".?!" if (cut := self._pieces.cut(sign)) for piece in cut]
        self._guide = Guide(begin=BEGIN, end=END, stops=tuple(stops))
        self._word_graphs = WordGraphs(rules)
        self._graphs: dict[tuple[str, ...], TokenGraph] = {}
        self._last: tuple[NDArray[np.float32], NDArray[np.float32], Guided] | None = None
        """The utterance heard last, as encoded, and what was found in it: what is weighed next is the same."""

    def __call__(self, samples: NDArray[np.float32], says: tuple[str, ...], weigh: bool = False) -> Heard:
        """Return what is written freely, and which of the phrases allowed are likeliest; or only weigh texts."""
        if weigh:
            return Heard(allowed=self.weigh(samples, says))
        found = self.search(samples, says)
        score = min(0.0, found.free_likelihood / (len(found.free) + 1))
        text = self._pieces.text(found.free)
        return Heard((Hypothesis(text, score, ENGINE),) if text else (), found.allowed)

    def search(self, samples: NDArray[np.float32], says: tuple[str, ...]) -> Guided:
        """Return what the guided search finds among phrases, given as JSGF expansions."""
        encoded = self._encoded(samples)
        found = self._search(encoded, len(samples), says)
        self._last = samples, encoded, found
        return found

    def weigh(self, samples: NDArray[np.float32], texts: tuple[str, ...]) -> tuple[Weighed, ...]:
        """Return how likely each text is beside what is written freely, likeliest first; of the first few, what the
        sound tells of them: how much likelier they are with it than with its mean at all times."""
        if self._last is None or not np.array_equal(self._last[0], samples):
            self.search(samples, ())
        assert self._last
        _, encoded, heard = self._last
        known = {item.words: item for item in heard.allowed}
        if new := tuple(text for text in texts if text not in known):
            known |= {item.words: item for item in self._search(encoded, len(samples), new).allowed}
        ranked = sorted((known[text] for text in texts if text in known), key=self._guide.rank)
        mean = np.broadcast_to(encoded.mean(axis=1, keepdims=True), encoded.shape)
        alone = replace(self._guide, writes_freely=False)
        unheard = self._search(mean, len(samples), tuple(item.words for item in ranked[:TOLD]), alone)
        usual = {item.words: item.likelihood for item in unheard.allowed}
        return tuple(
            replace(item, information=item.likelihood + heard.free_likelihood - UNHEARD * usual[item.words])
            if item.words in usual
            else item
            for item in ranked
        )

    def _encoded(self, samples: NDArray[np.float32]) -> NDArray[np.float32]:
        sound = np.pad(samples, int(LEAD * RATE)).astype(np.float32)[None]
        encoded: NDArray[np.float32] = self._encoder.run(
            None, {"input_values": sound, "attention_mask": np.ones(sound.shape, np.int64)}
        )[0]
        return encoded

    def _search(
        self, encoded: NDArray[np.float32], samples: int, says: tuple[str, ...], guide: Guide | None = None
    ) -> Guided:
        writer = _Writer(self._decoder, self._results, encoded, samples + 2 * int(LEAD * RATE))
        return search(writer, self._graph(says), guide or self._guide)

    def _graph(self, says: tuple[str, ...]) -> TokenGraph:
        if says not in self._graphs:
            if len(self._graphs) >= MOST_GRAPHS:
                self._graphs.clear()
            self._graphs[says] = TokenGraph([self._word_graphs[text] for text in says], self._pieces)
        return self._graphs[says]


class _Writer:
    """The decoder with its memory of one utterance: a step takes one piece for each hypothesis."""

    def __init__(self, decoder: Any, results: Sequence[str], hidden: NDArray[np.float32], samples: int) -> None:
        self._decoder, self._results = decoder, results
        self._hidden, self._samples = hidden, samples
        nothing = np.zeros((1, HEADS, 0, WIDTH), np.float32)
        self._memory = {
            f"past_key_values.{layer}.{part}.{half}": nothing
            for layer in range(LAYERS)
            for part in ("decoder", "encoder")
            for half in ("key", "value")
        }
        self._begun = False

    def __call__(self, rows: Sequence[int], pieces: Sequence[int]) -> NDArray[np.float32]:
        """Take the newest piece of each hypothesis, and the row that it goes on from."""
        count = len(pieces)
        memory = {
            name: kept[list(rows)] if ".decoder." in name and self._begun else np.repeat(kept[:1], count, 0)
            for name, kept in self._memory.items()
        }
        values = self._decoder.run(
            self._results,
            memory
            | {
                "input_ids": np.array(pieces, np.int64)[:, None],
                "encoder_hidden_states": np.repeat(self._hidden, count, 0),
                "encoder_attention_mask": np.ones((count, self._samples), np.int64),
                "use_cache_branch": np.array([self._begun]),
            },
        )
        for name, value in zip(self._results, values, strict=True):
            if name.startswith("present") and (".decoder." in name or not self._begun):
                self._memory[name.replace("present", "past_key_values")] = value
        self._begun = True
        likely = values[self._results.index("logits")][:, -1]
        likely = likely - likely.max(axis=1, keepdims=True)
        result: NDArray[np.float32] = likely - np.log(np.exp(likely).sum(axis=1, keepdims=True))
        return result


class MoonshineRecogniser:
    """Implements `ports.WeighingRecogniser`. Call `warm_up` early: loading takes about a second."""

    name = "Moonshine tiny.en"
    engine = ENGINE

    def __init__(
        self,
        digests: Mapping[str, str],
        rules: Rules,
        folder: Path | None = None,
        *,
        threads: int = 1,
        deadline: float = 5.0,
        loading_deadline: float = 30.0,
    ) -> None:
        """Take the SHA-256 of each weight file by name, and the rules of the phrases; deadlines in seconds of its
        own work."""
        load = partial(MoonshineModel, folder or packaged_weights(), dict(digests), dict(rules), threads)
        self._process = EngineProcess(self.name, load, loading_deadline, is_heard)
        self._deadline = deadline

    def warm_up(self) -> None:
        """Begin to load in the background; returns at once."""
        self._process.warm_up()

    def check(self) -> None:
        """See that its process is there and answers; raises `DeviceError`."""
        self._process.check()

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        """Return what it writes freely and the phrases allowed that are likeliest; raises `DeviceError`."""
        return self._ask(utterance, tuple(dict.fromkeys(phrase.says for phrase in phrases)))

    def weigh(self, utterance: Utterance, texts: Sequence[str], heard: Heard) -> tuple[Weighed, ...]:
        """Return how likely each text is, as words; `heard` is not used: it remembers. Raises `DeviceError`."""
        return self._ask(utterance, tuple(texts), weigh=True).allowed

    def _ask(self, utterance: Utterance, says: tuple[str, ...], *, weigh: bool = False) -> Heard:
        if len(utterance.samples) == 0:
            return Heard()
        heard: Heard = self._process.ask(self._deadline, utterance.samples, says, weigh)
        return heard

    def close(self) -> None:
        """End the child process; may be called twice."""
        self._process.close()


def packaged_weights() -> Path:
    """Return the folder of the weights inside the package `moonshine-voice`; raises `DeviceError`."""
    spec = find_spec("moonshine_voice")  # only its data is wanted: the package itself is not loaded
    if spec is None or spec.origin is None:
        raise weights_fault("the package with the weights is not installed", PACKAGE)
    return Path(spec.origin).parent / "assets" / "tiny-en"


def _vocabulary(data: bytes) -> Iterator[bytes]:
    """Yield the pieces of the vocabulary file: each with its length before it, in one byte or, from 128 on, in two."""
    place = 0
    while place < len(data):
        length = data[place]
        place += 1
        if length >= 128:
            length += data[place] * 128 - 128
            place += 1
        yield data[place : place + length]
        place += length
