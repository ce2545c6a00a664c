"""Each rule of phrases on one that breaks it and one that keeps it."""

from __future__ import annotations

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.hearing.near.likeness import Likeness
from assistant.core.hearing.near.phrase_rules import badly_heard, like_talk, one_way_only, talk, too_near, too_short
from assistant.core.types import Phrase

NUMBERS = {"number": parse_expansion("five | six | twenty")}


def laid_out(*phrases: Phrase) -> Likeness:
    return Likeness([talk(), "go on", *(phrase.says for phrase in phrases)], NUMBERS, pronounce)


def near(*phrases: Phrase, excepted: dict[frozenset[str], str] | None = None) -> list[str]:
    return list(too_near(phrases, laid_out(*phrases), excepted or {}))


def test_too_near() -> None:
    broken = near(Phrase("option", "front wheels", "front"), Phrase("option", "rear wheels", "rear"))
    assert len(broken) == 1
    assert "'front wheels' (option front)" in broken[0]
    assert not near(Phrase("next", "next step"), Phrase("undo", "that was wrong"))


def test_what_means_the_same_may_be_near() -> None:
    assert not near(Phrase("undo", "that was wrong"), Phrase("undo", "that is wrong"))
    assert not near(Phrase("next", "next step"))
    assert not near()


def test_a_number_may_be_a_little_nearer() -> None:
    assert near(Phrase("hush", "stop"), Phrase("value", "<number>"))
    assert not near(Phrase("here", "I am here"), Phrase("value", "<number>"))


def test_an_exception_is_one_pair_of_wordings() -> None:
    excepted = {frozenset(("stop", "five")): "it has to be heard"}
    assert not near(Phrase("hush", "stop"), Phrase("value", "<number>"), excepted=excepted)
    assert near(Phrase("hush", "step"), Phrase("value", "<number>"), excepted=excepted)


def test_too_short() -> None:
    def broken(phrase: Phrase) -> bool:
        return bool(list(too_short([phrase], pronounce)))

    assert broken(Phrase("next", "next [step]"))
    assert broken(Phrase("done", "[it is] on it"))
    assert broken(Phrase("option", "grass", "soft"))
    assert not broken(Phrase("next", "next step"))
    assert not broken(Phrase("option", "concrete", "concrete"))
    assert not broken(Phrase("hush", "stop"))
    assert not broken(Phrase("value", "<number>"))


def test_one_way_only() -> None:
    def broken(*says: str) -> bool:
        phrases = [Phrase("claim", text) for text in says]
        return bool(list(one_way_only(phrases, laid_out(*phrases))))

    assert broken("the plug is tight")
    assert broken("the plug is tight", "[the] plug is tied")
    assert not broken("the plug is tight", "I tightened the drain plug")
    assert not broken("<number>")


def test_like_talk() -> None:
    def broken(phrase: Phrase) -> bool:
        return bool(list(like_talk([phrase], laid_out(phrase))))

    assert broken(Phrase("confirm", "yes [that is] right"))
    assert broken(Phrase("done", "all right now"))
    assert not broken(Phrase("why", "right now"))
    assert not broken(Phrase("confirm", "confirm the drain plug"))


def test_badly_heard() -> None:
    phrases = [Phrase("next", "go on [now]"), Phrase("back", "go back")]
    broken = list(badly_heard(phrases, laid_out(*phrases), ["go on"]))
    assert len(broken) == 1
    assert "'go on' (next)" in broken[0]
