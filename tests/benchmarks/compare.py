"""Prints how other ways hear the same sounds in the same run: a free text word for word, and a grammar forced on it.

    python -m tests.benchmarks.compare [--count 120]

Needs the package pocketsphinx, which brings its own model. Its search sometimes never ends, so it has 5 s a sound. Vosk
is compared where its model was fetched.
"""

from __future__ import annotations

import argparse
import json
import re
import time
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import islice
from pathlib import Path

from assistant import wiring
from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import data_folder, read_manifest
from assistant.adapters.model_store import ModelStore
from assistant.core.errors import DeviceError
from assistant.core.grammar.covering import covering
from assistant.core.grammar.jsgf import Rules, parse_expansion
from assistant.core.grammar.parsing import parse
from assistant.core.grammar.word_graph import word_graph
from assistant.core.hearing.verdict.matching import Phrasebook
from assistant.core.quantities.figures import written_as_words
from assistant.core.types import RATE, Hypothesis, Phrase, Utterance
from assistant.system.engine_process import EngineProcess
from tests.benchmarks.hearing import HEADER, LEAD, NOISE_LEAD, Bench, Row, spoken
from tests.benchmarks.sayings import Saying, oil_job
from tests.benchmarks.sounds import Sound

Write = Callable[[Sound, Sequence[Phrase]], str]
LIMIT = 5.0
"""What pocketsphinx may take for one sound [second]."""


class Sphinx:
    """pocketsphinx with the phrases of a step as its grammar; runs in a process that can be ended."""

    def __init__(self) -> None:
        import pocketsphinx

        self._decoder = pocketsphinx.Decoder(loglevel="FATAL")
        self._known: set[str] = set()

    def __call__(self, samples: Sound, grammar: str) -> str:
        name = str(abs(hash(grammar)))
        if name not in self._known:
            for word in set(re.findall("[a-z]+", grammar)):
                if not self._decoder.lookup_word(word):  # a grammar with a word that it does not know is refused
                    self._decoder.add_word(word, " ".join(pronounce(word)[0]), True)
            self._decoder.add_jsgf_string(name, grammar)
            self._known.add(name)
        self._decoder.activate_search(name)
        self._decoder.start_utt()
        self._decoder.process_raw((samples * 32767).astype("<i2").tobytes(), full_utt=True)
        self._decoder.end_utt()
        found = self._decoder.hyp()
        return found.hypstr if found else ""


class Vosk:
    """Vosk with sentences of the phrases of a step as its list, which it takes for pairs of words that may follow."""

    def __init__(self, folder: Path, rules: Rules) -> None:
        import vosk

        vosk.SetLogLevel(-1)
        self._vosk, self._model, self._rules = vosk, vosk.Model(str(folder)), rules

    def __call__(self, samples: Sound, phrases: Sequence[Phrase]) -> str:
        graphs = (word_graph(parse_expansion(phrase.says), self._rules) for phrase in phrases if not phrase.rare)
        sentences = dict.fromkeys(written_as_words(text) for graph in graphs for text in covering(graph))
        recogniser = self._vosk.KaldiRecognizer(self._model, RATE, json.dumps([*sentences, "[unk]"]))
        recogniser.AcceptWaveform((samples * 32767).astype("<i2").tobytes())
        return str(json.loads(recogniser.FinalResult())["text"])


def jsgf(phrases: Sequence[Phrase]) -> str:
    """Return the phrases as one grammar, with the rules of numbers."""
    rules = (data_folder("procedures") / "phrases" / "numbers.jsgf").read_text(encoding="utf-8")
    rules = re.sub(r"//[^\n]*", "", rules.partition("grammar numbers;")[2])
    said = " | ".join(f"({phrase.says.lower()})" for phrase in phrases if not phrase.rare)
    return f"#JSGF V1.0;\ngrammar all;\npublic <all> = {said};\n{rules}"


def word_for_word(book: Phrasebook, saying: Saying, rules: Rules, text: str) -> object:
    """Return the meaning of a text that is a phrase as it stands; None where it is none."""
    words = written_as_words(text).split()
    for phrase in saying.phrases:
        if parse(word_graph(parse_expansion(phrase.says), rules), words) is not None:
            match = book.read(Hypothesis(text, 0.0, ""), saying.phrases)
            return match.best.meaning if match.best else None
    return None


def count(row: Row, write: Write, read: Callable[[str], object], saying: Saying, sound: Sound, wanted: object) -> None:
    """Count what another way made of a sound; where it ran out of time it heard nothing.

    It need not find out where the speech is: of the noise before it half a second is left.
    """
    began = time.perf_counter()
    try:
        meaning = read(write(sound, saying.phrases))
    except DeviceError:
        meaning = None
    row.latencies.append(time.perf_counter() - began)
    row.outcomes["right" if meaning == wanted else "wrong" if meaning else "silent"] += 1


def others(rules: Rules) -> Iterator[tuple[str, Write]]:
    """Yield each other way to write down a sound, by its name."""
    whisper = wiring.chosen_recognisers(Path(), ["whisper"], rules)[0]
    sphinx = EngineProcess("pocketsphinx", partial(Sphinx), 30)

    def by_whisper(sound: Sound, phrases: Sequence[Phrase]) -> str:
        written = whisper.hear(Utterance(sound, 0), ()).written
        return written[0].text if written else ""

    yield "Whisper text as it stands", by_whisper
    yield "pocketsphinx JSGF", lambda sound, phrases: str(sphinx.ask(LIMIT, sound, jsgf(phrases)))
    if folder := ModelStore(wiring.default_data() / "models").path(read_manifest().model("vosk-small-en-us")):
        yield "Vosk with sentences", Vosk(folder, rules)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--count", type=int, default=120)
    options = parser.parse_args()
    library = wiring.library(Path())
    rules = library.rules()
    bench = Bench(rules, None)
    ways = dict(others(rules))
    print(HEADER, flush=True)
    for ratio in (None, 10.0):
        noise = "quiet" if ratio is None else f"{ratio:g} dB"
        ours = Row(f"this program, {noise}")
        rows = [Row(f"{name}, {noise}") for name in ways]
        for saying, sound, known in spoken(list(islice(oil_job(library, 10_000), options.count)), ratio):
            bench.judge(ours, saying, sound, known)
            read = partial(word_for_word, bench.ears.phrasebook, saying, rules)
            cut = sound[NOISE_LEAD - LEAD :] if ratio is not None else sound
            for row, write in zip(rows, ways.values(), strict=True):
                count(row, write, read, saying, cut, bench.wanted(saying))
        for row in (ours, *rows):
            print(row, flush=True)
    bench.ears.close()


if __name__ == "__main__":
    main()
