"""Nothing that is typed is taken for its opposite: every affirming phrase of the jobs, by rule and by hand."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from assistant.adapters.library import Library, read_yaml
from assistant.core.grammar.parsing import parse
from assistant.core.grammar.word_graph import WordGraphs
from assistant.core.grammar.wordings import wordings
from assistant.core.hearing.contraries.contrary_rules import contraries_of, is_over, taken_for_another, without_contrary
from assistant.core.hearing.contraries.made import DENIED, Contraries
from assistant.core.hearing.phrases import situations
from assistant.core.hearing.verdict.matching import Phrasebook
from assistant.core.types import Hypothesis, Phrase, Verdict
from assistant.path.ears import Ears

SHELF = Library()
CONTRARIES, GRAPHS = Contraries(SHELF.turning_words()), WordGraphs(SHELF.rules())
BY_HAND = read_yaml(Path(__file__).parents[1] / "hearing" / "contraries" / "contraries.yaml")
"""Sentences that deny, under the phrase that they deny."""
AROUND = ("{}", "okay {}", "well {} now", "um {} please", "{} then")
"""What people say around a sentence, without a change of its meaning."""
EACH = 10
"""So many contraries are typed for each phrase."""


@pytest.fixture(scope="module")
def at_once() -> dict[str, tuple[Phrase, ...]]:
    """All that may be allowed at once in any job."""
    general = SHELF.phrases()
    return {f"{job.id}: {name}": found for job in SHELF.jobs() for name, found in situations(job, general).items()}


def test_every_phrase_that_affirms_has_contraries(at_once: dict[str, tuple[Phrase, ...]]) -> None:
    phrases = tuple(dict.fromkeys(phrase for found in at_once.values() for phrase in found))
    assert not list(without_contrary(phrases, CONTRARIES, SHELF.turning_words(), GRAPHS))


def test_no_contrary_is_allowed_with_another_meaning(at_once: dict[str, tuple[Phrase, ...]]) -> None:
    assert not {
        f"{name}: {fault}" for name, found in at_once.items() for fault in taken_for_another(found, CONTRARIES, GRAPHS)
    }


def affirmed(ears: Ears, text: str, phrases: tuple[Phrase, ...], denies: Phrase | None = None) -> str | None:
    """Return what a typed line is wrongly taken for; another answer to the same question may be what it says."""
    match = ears.read(Hypothesis(text, 0.0, "typed"), phrases)
    if match.verdict is not Verdict.ACCEPTED or not match.best or not match.best.phrase.affirms:
        return None
    taken = match.best.phrase
    if is_over(taken) or (taken.intent == "confirm" and taken.option):  # that names another thing, and is refused
        return None
    another = denies and denies.option and taken.option and taken.option != denies.option
    return None if another and taken.intent == "option" else f"{text!r} is taken for {match.best.words!r}"


def test_typed_contraries_made_by_rule_are_never_affirmed(
    at_once: dict[str, tuple[Phrase, ...]], phrasebook: Phrasebook
) -> None:
    chance, ears, seen = random.Random(1), Ears(phrasebook), set[Phrase]()
    wrong, denied, typed = [], 0, 0
    for phrases in at_once.values():
        for phrase in (phrase for phrase in phrases if phrase.affirms and phrase not in seen):
            seen.add(phrase)
            texts = contraries_of(phrase, CONTRARIES, GRAPHS)
            texts = chance.sample(texts, min(EACH, len(texts)))
            texts += [chance.choice(AROUND[1:]).format(chance.choice(texts)) for _ in range(EACH - len(texts)) if texts]
            for text in texts:
                typed += 1
                match = ears.read(Hypothesis(text, 0.0, "typed"), phrases)
                denied += bool(match.verdict is Verdict.ACCEPTED and match.best and match.best.phrase.intent == DENIED)
                wrong += [fault] if (fault := affirmed(ears, text, phrases, phrase)) else []
    assert not wrong
    assert typed >= EACH * 100
    assert denied >= 0.97 * typed  # the others say an answer of their own, or are asked again


def test_typed_contraries_made_by_hand_are_never_affirmed(
    at_once: dict[str, tuple[Phrase, ...]], phrasebook: Phrasebook
) -> None:
    ears, wrong, found = Ears(phrasebook), [], set()
    for phrase, texts in BY_HAND.items():
        assert len(texts) >= 4, phrase
        for phrases in at_once.values():
            if any(own.affirms and parse(GRAPHS[own.says], phrase.lower().split()) is not None for own in phrases):
                wrong += [fault for text in texts if (fault := affirmed(ears, text, phrases))]
                found.add(phrase)
                break
    assert not wrong
    assert len(found) >= 0.6 * len(BY_HAND)  # the words of jobs change; what is allowed nowhere can't be denied


def test_every_affirming_phrase_is_still_taken_for_itself(
    at_once: dict[str, tuple[Phrase, ...]], phrasebook: Phrasebook
) -> None:
    ears, seen, lost = Ears(phrasebook), set[Phrase](), []
    for phrases in at_once.values():
        for phrase in (phrase for phrase in phrases if phrase.affirms and "<" not in phrase.says):
            if phrase in seen:
                continue
            seen.add(phrase)
            for text in list(wordings(GRAPHS[phrase.says]))[:4]:
                for around in AROUND:
                    match = ears.read(Hypothesis(around.format(text), 0.0, "typed"), phrases)
                    right = match.verdict is Verdict.ACCEPTED and match.best
                    if not right or (right.phrase.intent, right.phrase.option) != (phrase.intent, phrase.option):
                        lost.append((around.format(text), match.verdict, match.best and match.best.words))
    assert not lost
