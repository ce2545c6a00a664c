"""Says every phrase in several synthetic voices in garage noise, and counts how often the right one is taken.

What the recogniser wrote is kept in a file, so what was heard once is not heard again. Of each phrase its shortest
wording is said; those with a number in them are left to `hear_commands.py`. Synthetic speech is easier than people.

    python -m tests.benchmarks.hear_phrases heard.jsonl
"""

from __future__ import annotations

import argparse
import json
import tempfile
from collections import Counter
from itertools import product
from pathlib import Path

import yaml

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library, data_folder, match_settings, read_manifest
from assistant.adapters.recogniser_whisper import WhisperRecogniser
from assistant.core.hearing.grammar import parse_expansion, references
from assistant.core.hearing.matching import Phrasebook
from assistant.core.hearing.mixing import mixed
from assistant.core.hearing.shortest import shortest
from assistant.core.hearing.word_graph import word_graph
from assistant.core.types import Hypothesis, Phrase, Utterance, Verdict
from tests.benchmarks.hear_commands import garage, say
from tests.benchmarks.phrase_distances import all_situations

VOICES = ("flite rms", "espeak-ng en-gb", "flite slt", "espeak-ng en-us+f3")
RATIO_DB = 10.0
"""How far the speech is above the noise."""
BADLY_HEARD = yaml.safe_load((data_folder("procedures") / "phrases" / "badly-heard.yaml").read_text(encoding="utf-8"))

Written = dict[tuple[str, str], list[Hypothesis]]


def spoken(library: Library) -> dict[str, tuple[Phrase, tuple[Phrase, ...]]]:
    """Return for each wording its phrase and what is allowed beside it, where that is most."""
    found: dict[str, tuple[Phrase, tuple[Phrase, ...]]] = {}
    for phrases in sorted(all_situations(library).values(), key=len):
        for phrase in phrases:
            node = parse_expansion(phrase.says)
            if not list(references(node)):
                words = " ".join(shortest(word_graph(node, {}), lambda word: len(pronounce(word)[0])))
                found[words] = phrase, phrases
    largest = max(all_situations(library).values(), key=len)
    for words in BADLY_HEARD:
        own = Phrase("refused", words)
        found.setdefault(words, (own, (*largest, own)))
    return found


def read(file: Path) -> Written:
    """Return what was heard before, by words and voice."""
    lines = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
    known = [json.loads(line) for line in lines]
    return {
        (one["text"], one["voice"]): [Hypothesis(text, score, "whisper") for text, score in one["hypotheses"]]
        for one in known
    }


def hear(wordings: list[str], file: Path) -> Written:
    """Return what is heard of each wording in each voice; what is new is added to the file."""
    known = read(file)
    missing = [pair for pair in product(VOICES, wordings) if (pair[1], pair[0]) not in known]
    if not missing:
        return known
    recogniser = WhisperRecogniser(read_manifest().digests("whisper-tiny-en"), threads=1, deadline=60)
    with tempfile.TemporaryDirectory() as folder, file.open("a", encoding="utf-8") as lines:
        for seed, (voice, words) in enumerate(missing):
            sound = say(words, voice, Path(folder))
            heard = recogniser.hear(Utterance(mixed(sound, garage(len(sound), seed), RATIO_DB), 0))
            one = {"text": words, "voice": voice, "noise": f"{RATIO_DB:g} dB"}
            lines.write(json.dumps(one | {"hypotheses": [[h.text, h.score] for h in heard]}) + "\n")
            lines.flush()
    recogniser.close()
    return read(file)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path, help="the file to read and to add to, one line of JSON a sound")
    options = parser.parse_args()
    library = Library()
    book = Phrasebook(library.rules(), pronounce, match_settings())
    wanted = spoken(library)
    written = hear(list(wanted), options.heard)
    rows = []
    for words, (phrase, allowed) in wanted.items():
        matcher = book.matcher(allowed)
        came: Counter[str] = Counter()
        for voice in VOICES:
            match = matcher.match(written[words, voice])
            taken = match.best.phrase if match.best else phrase
            same = (taken.intent, taken.option) == (phrase.intent, phrase.option)
            right = match.verdict is not Verdict.ACCEPTED or same
            came[str(match.verdict) if right else "wrong"] += 1
        texts = " | ".join(written[words, voice][0].text if written[words, voice] else "-" for voice in VOICES)
        rows.append((came["accepted"], words, dict(came), texts))
    for accepted, words, came, texts in sorted(rows, key=lambda row: row[:2]):
        print(f"{accepted} of {len(VOICES)}  {words:40} {came}  {texts}")


if __name__ == "__main__":
    main()
