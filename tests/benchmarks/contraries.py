"""Prints what becomes of contraries that are spoken, and of what affirms: nothing may be taken for its opposite.

    python -m tests.benchmarks.contraries [--count 400] [--heard FILE] [--beside FOLDER]

Contraries are made by rule, and taken from those that are written by hand. Each is said beside what is allowed at its
question, in quiet and at 10 dB, in the voices of the other benchmarks in turn. With --heard each result is kept, and a
run that was broken off goes on behind it. With --beside a checkout of older code hears the same affirmative sentences,
one by one in turn, so that the times can be compared.
"""

from __future__ import annotations

import argparse
import json
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from itertools import zip_longest
from pathlib import Path
from typing import IO, Any

import numpy as np

from assistant import wiring
from assistant.adapters.library import Library, read_yaml
from assistant.commands.hear import Timed
from assistant.core.grammar.parsing import parse
from assistant.core.grammar.word_graph import WordGraphs
from assistant.core.hearing.phrases import situations
from assistant.core.hearing.verdict.found import Match
from assistant.core.types import Hypothesis, Phrase, Verdict
from tests.benchmarks.hearing import VOICES, Bench, staged
from tests.benchmarks.sayings import draw
from tests.benchmarks.sounds import NOISES, Sound

BY_HAND = Path(__file__).parent.parent / "core" / "hearing" / "contraries.yaml"
RATIOS = (None, 10.0)
"""Ratios of speech to noise [decibel]; None is a quiet room."""
CAME = ("affirmed", "denied", "asked", "silent", "as said")
"""What may come of a sentence: it is taken for something that affirms and that it does not say, for a denial, asked
again, left alone, or taken for the very phrase that it is, which affirms or only asks."""
HEADER = f"{'what':32} {'sounds':>6}  " + "  ".join(f"{came:>8}" for came in CAME) + "   right  latency   p95"


@dataclass(frozen=True, slots=True)
class Case:
    """A sentence that is said at a question."""

    kind: str
    """`rule`, `hand`, or `affirmative`."""
    text: str
    place: str
    """The situation in which it is said."""
    phrase: Phrase
    """What it denies, or is."""

    def key(self, ratio: float | None) -> str:
        """Return what tells its result from that of others."""
        return " / ".join((self.kind, self.place, self.text, "quiet" if ratio is None else f"{ratio:g} dB"))


def contraries(library: Library, count: int, seed: int = 3) -> list[Case]:
    """Return sentences that deny, by rule and by hand in turn, drawn so that more begin with the same."""
    places = all_places(library)
    by_rule, by_hand = _by_rule(library, places, seed), _by_hand(library, places, seed)
    both = [case for pair in zip_longest(by_rule[:count], by_hand) for case in pair if case]
    return both[:count]


def _by_rule(library: Library, places: dict[str, tuple[Phrase, ...]], seed: int) -> list[Case]:
    from assistant.core.hearing.contraries.contrary_rules import contraries_of
    from assistant.core.hearing.contraries.made import Contraries

    chance, made, graphs = random.Random(seed), Contraries(library.turning_words()), WordGraphs(library.rules())
    found = []
    for place, phrase in _affirming(places):
        texts = contraries_of(phrase, made, graphs)
        found += [
            (rank, Case("rule", text, place, phrase)) for rank, text in enumerate(chance.sample(texts, len(texts)))
        ]
    chance.shuffle(found)
    return [case for _, case in sorted(found, key=lambda one: one[0])]  # one of each phrase, then the next of each


def _by_hand(library: Library, places: dict[str, tuple[Phrase, ...]], seed: int) -> list[Case]:
    chance, graphs, found = random.Random(seed), WordGraphs(library.rules()), []
    for words, texts in read_yaml(BY_HAND).items():
        for place, phrase in _affirming(places):
            if parse(graphs[phrase.says], words.lower().split()) is not None:
                found += [Case("hand", text, place, phrase) for text in texts]
                break
    chance.shuffle(found)
    return found


def affirmatives(library: Library, count: int, seed: int = 4) -> list[Case]:
    """Return sentences that affirm."""
    chance = random.Random(seed)
    phrases = [(place, phrase) for place, phrase in _affirming(all_places(library)) if not phrase.rare]
    found: list[Case] = []
    while len(found) < count:
        chance.shuffle(phrases)
        found += [Case("affirmative", draw(one.says, library.rules(), chance), place, one) for place, one in phrases]
    return found[:count]


def all_places(library: Library) -> dict[str, tuple[Phrase, ...]]:
    """Return all that may be allowed at once in any job."""
    general = library.phrases()
    return {name: found for job in library.jobs() for name, found in situations(job, general).items()}


def _affirming(places: dict[str, tuple[Phrase, ...]]) -> Iterator[tuple[str, Phrase]]:
    """Yield each phrase that affirms once, where it is first allowed."""
    seen: set[Phrase] = set()
    for place, phrases in places.items():
        for phrase in phrases:
            if getattr(phrase, "affirms", False) and phrase not in seen:
                seen.add(phrase)
                yield place, phrase


def outcome(found: Sequence[Timed], read: Match) -> str:
    """Return what came of a sentence; one that says another answer may be taken for that."""
    matches = [one.spoken.match for one in found]
    taken = [match.best for match in matches if match.verdict is Verdict.ACCEPTED and match.best]
    said = read.best.meaning if read.verdict is Verdict.ACCEPTED and read.best else None
    if any(best.phrase.affirms and best.meaning != said for best in taken):
        return "affirmed"
    if taken:
        return "denied" if all(best.phrase.intent == "denied" for best in taken) else "as said"
    return "asked" if any(match.verdict is Verdict.UNCLEAR for match in matches) else "silent"


def right(found: Sequence[Timed], meaning: object) -> bool:
    """Return whether a sentence was taken for what it says."""
    taken = [one.spoken.match.best for one in found if one.spoken.match.verdict is Verdict.ACCEPTED]
    return bool(taken) and all(best is not None and best.meaning == meaning for best in taken)


class Hall:
    """Ears with what is allowed where."""

    def __init__(self) -> None:
        library = wiring.library(Path())
        self.places = all_places(library)
        self.bench = Bench(library.rules(), None)
        next(iter(self.bench.listen(np.zeros(16_000, np.float32), next(iter(self.places.values())))), None)

    def hear(self, text: str, place: str, sound: Sound) -> dict[str, Any]:
        """Return what came of a sound in which a sentence was said at a place."""
        phrases = self.places[place]
        read = self.bench.ears.read(Hypothesis(text, 0.0, "script"), phrases)
        found = list(self.bench.listen(sound, phrases))
        matches = [one.spoken.match for one in found]
        return {
            "came": outcome(found, read) if hasattr(phrases[0], "affirms") else "",
            "right": read.best is not None and right(found, read.best.meaning),
            "asked": any(match.verdict is Verdict.UNCLEAR for match in matches),
            "late": found[-1].late if found and not any("<" in phrase.says for phrase in phrases) else None,
            "found": [
                [match.best.words, str(match.verdict), match.runner_up and match.runner_up.words]
                for match in matches
                if match.best
            ],
            "written": [[text.engine, text.text] for match in matches for text in match.heard],
        }


class Beside:
    """Another checkout that hears the same, in a process of its own; it works only while it is waited for."""

    def __init__(self, folder: Path) -> None:
        self._child = subprocess.Popen(
            [sys.executable, str(Path(__file__).resolve()), "--serve"], cwd=folder, env={"PYTHONPATH": str(folder)},
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip

    def hear(self, text: str, place: str, sound: Sound) -> dict[str, Any]:
        """Return what came of a sound; empty where that place is not known there."""
        assert self._child.stdin
        assert self._child.stdout
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "sound.npy"
            np.save(file, sound)
            print(json.dumps([text, place, str(file)]), file=self._child.stdin, flush=True)
            while not (line := self._child.stdout.readline()).startswith("{"):
                if not line:
                    raise RuntimeError("the other checkout ended")
            came: dict[str, Any] = json.loads(line)
            return came

    def close(self) -> None:
        """Let it go."""
        assert self._child.stdin
        self._child.stdin.close()
        self._child.wait()


def serve() -> None:
    """Hear what comes, line by line, and write what came of it."""
    hall = Hall()
    for line in sys.stdin:
        text, place, file = json.loads(line)
        came = hall.hear(text, place, np.load(file)) if place in hall.places else {}
        print(json.dumps(came), flush=True)
    hall.bench.ears.close()


def run(cases: Sequence[Case], hall: Hall, beside: Beside | None, kept: dict[str, Any], out: IO[str] | None) -> None:
    """Hear all sentences that are not yet among what is kept."""
    began, heard = time.perf_counter(), 0
    with tempfile.TemporaryDirectory() as folder:
        numbers = Counter[str]()
        for case in cases:
            number = numbers[kind := "" if case.kind != "affirmative" else case.kind]
            numbers[kind] += 1  # each kind in all voices, though both are heard in turn
            for ratio in RATIOS:
                if (key := case.key(ratio)) in kept:
                    continue
                noise = list(NOISES)[number // len(VOICES) % len(NOISES)] if ratio is not None else ""
                voice, sound = staged(case.text, number, noise, ratio or 0, Path(folder))
                kept[key] = {"key": key, "kind": case.kind, "db": ratio, "text": case.text, "place": case.place,
                             "voice": voice, "noise": noise} | hall.hear(case.text, case.place, sound)  # fmt: skip
                if beside and case.kind == "affirmative":
                    kept[key]["before"] = beside.hear(case.text, case.place, sound)
                heard += 1
                if out:
                    print(json.dumps(kept[key]), file=out, flush=True)
    if heard:
        took = time.perf_counter() - began
        print(f"{heard} sounds took {took:.0f} s; a thousand take {1000 * took / heard / 60:.0f} minutes")


def row(name: str, results: Sequence[dict[str, Any]]) -> str:
    """Return a line of the table."""
    total = max(1, len(results))
    came = Counter(result.get("came") for result in results)
    late = [result["late"] for result in results if result.get("late") is not None]
    median, last = np.quantile(late, (0.5, 0.95)) if late else (float("nan"),) * 2
    share = sum(bool(result.get("right")) for result in results) / total
    counts = "  ".join(f"{came[each]:8}" for each in CAME)
    return f"{name:32} {len(results):6}  {counts}  {share:6.3f}   {median:5.2f} {last:5.2f}"


def show(results: Sequence[dict[str, Any]]) -> None:
    """Print the table, and each sentence that was taken for its opposite."""
    print(HEADER)
    for ratio in RATIOS:
        name = "quiet" if ratio is None else f"{ratio:g} dB"
        here = [result for result in results if result["db"] == ratio]
        for kind in ("rule", "hand", "affirmative"):
            own = [result for result in here if result["kind"] == kind]
            print(row(f"{kind}, {name}" if kind == "affirmative" else f"contraries by {kind}, {name}", own))
        both = [result for result in here if result.get("before")]
        if both:
            print(row(f"    those heard beside, {name}", both))
            print(row("    the code before", [result["before"] for result in both]))
    for result in (one for one in results if one["kind"] != "affirmative" and one["came"] == "affirmed"):
        print(
            f"AFFIRMED: {result['key']} ({result['voice']}, {result['noise']}): {result['found']} {result['written']}"
        )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--count", type=int, default=400, help="how many contraries, and as many affirmative sentences")
    parser.add_argument("--affirmatives", type=int, help="how many of those, if not as many")
    parser.add_argument("--heard", type=Path, metavar="FILE", help="keep what was heard, and go on behind it")
    parser.add_argument("--beside", type=Path, metavar="FOLDER", help="a checkout of other code, to compare with")
    parser.add_argument("--serve", action="store_true", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.serve:
        serve()
        return
    library = wiring.library(Path())
    more = options.count if options.affirmatives is None else options.affirmatives
    cases = [case for pair in zip_longest(contraries(library, options.count), affirmatives(library, more))
             for case in pair if case]  # fmt: skip
    lines = options.heard.read_text("utf-8").splitlines() if options.heard and options.heard.exists() else []
    kept = {result["key"]: result for result in map(json.loads, lines)}
    with ExitStack() as stack:
        out = stack.enter_context(options.heard.open("a", encoding="utf-8")) if options.heard else None
        hall, beside = Hall(), Beside(options.beside.resolve()) if options.beside else None
        run(cases, hall, beside, kept, out)
        hall.bench.ears.close()
        if beside:
            beside.close()
    wanted = {case.key(ratio) for case in cases for ratio in RATIOS}
    show([result for key, result in kept.items() if key in wanted])


if __name__ == "__main__":
    main()
