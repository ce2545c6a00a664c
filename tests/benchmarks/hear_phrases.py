"""Says every phrase in several synthetic voices in a compressor's noise, and counts how often it is taken for itself.

Of each phrase the shortest wording is said, the hardest to hear; those with a number in them are left to `hearing.py`.
What was heard is kept in a file, and not heard again: what the engines of a job made of it together, and what Whisper
wrote by itself, for `confusions.py`. Synthetic speech is easier than people.

    python -m tests.benchmarks.hear_phrases heard.jsonl
"""

from __future__ import annotations

import argparse
import json
import tempfile
from collections import Counter
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from typing import Any

from assistant import wiring
from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library, data_folder, read_yaml
from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.grammar.word_graph import word_graph
from assistant.core.hearing.near.phrase_rules import has_slot, meaning
from assistant.core.hearing.near.shortest import shortest
from assistant.core.types import Phrase, Utterance, Verdict
from assistant.path.ears import Ears
from tests.benchmarks.phrase_distances import all_situations
from tests.benchmarks.sounds import in_noise, say

VOICES = ("flite rms", "espeak-ng en-gb", "flite slt", "espeak-ng en-us+f3")
RATIO_DB = 10.0
"""How far the speech is above the noise."""

Known = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Wording:
    """What is said, what it means, and what else may be said then."""

    words: str
    phrase: Phrase
    allowed: tuple[Phrase, ...]


def wordings(library: Library) -> list[Wording]:
    """Return the shortest wording of each phrase where most else is allowed, and those known to be heard badly."""
    found: dict[str, Wording] = {}
    situations = sorted(all_situations(library).values(), key=len)
    for allowed in situations:
        for phrase in (phrase for phrase in allowed if not has_slot(phrase.says)):
            graph = word_graph(parse_expansion(phrase.says), {})
            words = " ".join(shortest(graph, lambda word: len(pronounce(word)[0])))
            found[words] = Wording(words, phrase, allowed)
    for words in read_yaml(data_folder("procedures") / "phrases" / "badly-heard.yaml"):
        refused = Phrase("refused", words)
        found.setdefault(words, Wording(words, refused, (*situations[-1], refused)))
    return list(found.values())


def hear(missing: list[tuple[str, Wording]], file: Path, library: Library) -> None:
    """Add what is heard of each wording in its voice to the file."""
    engines = wiring.chosen_recognisers(Path(), ["moonshine", "whisper"], library.rules())
    ears = Ears(wiring.phrasebook(library.rules()), engines)
    with tempfile.TemporaryDirectory() as folder, file.open("a", encoding="utf-8") as lines:
        for seed, (voice, wording) in enumerate(missing):
            sound = say(wording.words, voice, Path(folder))
            utterance = Utterance(in_noise(sound, "compressor", RATIO_DB, seed), 0)
            match, written = ears.hear(utterance, wording.allowed), engines[-1].hear(utterance, ()).written
            right = match.best is not None and meaning(match.best.phrase) == meaning(wording.phrase)
            came = ("right" if right else "wrong") if match.verdict is Verdict.ACCEPTED else str(match.verdict)
            one = {
                "text": wording.words,
                "voice": voice,
                "noise": f"{RATIO_DB:g} dB",
                "came": came,
                "taken": match.best and match.best.words,
            }
            lines.write(json.dumps(one | {"hypotheses": [[text.text, text.score] for text in written]}) + "\n")
            lines.flush()
    ears.close()


def read(file: Path) -> dict[tuple[str, str], Known]:
    """Return what was heard, by voice and words."""
    lines = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
    return {(one["voice"], one["text"]): one for one in map(json.loads, lines)}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path, help="the file to read and to add to, one line of JSON a sound")
    file = parser.parse_args().heard
    library = Library()
    wanted = wordings(library)
    known = read(file)
    missing = [(voice, wording) for voice, wording in product(VOICES, wanted) if (voice, wording.words) not in known]
    if missing:
        hear(missing, file, library)
        known = read(file)
    came = {one.words: Counter(known[voice, one.words]["came"] for voice in VOICES) for one in wanted}
    for one in sorted(wanted, key=lambda one: (came[one.words]["right"], one.words)):
        print(f"{came[one.words]['right']} of {len(VOICES)}  {one.words:40} {meaning(one.phrase):18} "
              f"{dict(came[one.words])}")  # fmt: skip


if __name__ == "__main__":
    main()
