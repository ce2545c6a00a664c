"""The matcher: right phrases score 0, near ones are taken or asked, speech that is not for it is left alone."""

from __future__ import annotations

import pytest

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library, match_settings
from assistant.core.grammar.jsgf import parse_grammar
from assistant.core.grammar.public_rules import phrases_of
from assistant.core.hearing.verdict.matching import Phrasebook
from assistant.core.types import Hypothesis, Phrase, Verdict

GARAGE = (
    Phrase("value", "[I poured [in]] <quantity> [poured | is] [in]"),
    Phrase("value", "[the] [dipstick | oil] [reads | shows | is] <level>"),
    Phrase("confirm", "confirm [the] drain plug"),
)

UNRELATED = (  # sentences of the Harvard list 1 (IEEE Recommended Practice for Speech Quality Measurements, 1969)
    "the birch canoe slid on the smooth planks",
    "glue the sheet to the dark blue background",
    "it's easy to tell the depth of a well",
    "these days a chicken leg is a rare dish",
    "rice is often served in round bowls",
    "the juice of lemons makes fine punch",
    "the box was thrown beside the parked truck",
    "the hogs were fed chopped corn and garbage",
    "four hours of steady work faced us",
    "a large size in stockings is hard to sell",
)


@pytest.fixture(scope="module")
def matcher(library: Library, phrasebook: Phrasebook):
    return phrasebook.matcher((*library.phrases(), *GARAGE))


def typed(text: str, score: float = 0.0) -> Hypothesis:
    return Hypothesis(text, score, "typed")


def plain(says: str) -> str:
    """The shortest wording of a phrase without slots."""
    import re

    text = re.sub(r"\[[^\[\]]*\]", "", re.sub(r"\[[^\[\]]*\]", "", says))
    return " ".join(text.replace("(", "").replace(")", "").split("|")[0].split())


def test_every_phrase_as_it_stands_is_taken_for_itself(library: Library, matcher) -> None:
    for phrase in library.phrases():
        match = matcher.match([typed(plain(phrase.says))])
        assert match.verdict is Verdict.ACCEPTED, phrase
        assert match.best.phrase.intent == phrase.intent, phrase
        assert match.best.score == 0


@pytest.mark.parametrize("sentence", UNRELATED)
def test_published_sentences_are_never_taken_for_a_command(matcher, sentence: str) -> None:
    assert matcher.match([typed(sentence, -0.2)]).verdict is not Verdict.ACCEPTED


@pytest.mark.parametrize(
    ("heard", "intent", "words"),
    [  # what Whisper tiny.en wrote for the phrase, on synthesised speech
        ("Confirm the drain flood", "confirm", "confirm the drain plug"),
        ("What is open?", "open", "what is still open"),
        ("dipstick near and low.", "value", "dipstick near low"),
        ("Tell me the tort.", "torque", "tell me the torque"),
        ("please repeat that", "repeat", "repeat that"),
    ],
)
def test_words_misheard_are_matched_by_sound(matcher, heard: str, intent: str, words: str) -> None:
    match = matcher.match([typed(heard, -0.3)])
    assert match.verdict is Verdict.ACCEPTED
    assert (match.best.phrase.intent, match.best.words) == (intent, words)


def test_two_numbers_that_fit_equally_are_asked_again(matcher) -> None:
    match = matcher.match([typed("14 liters.", -0.55), typed("40 liters.", -0.57)])
    assert match.verdict is Verdict.UNCLEAR
    assert match.runner_up is not None


def test_two_spellings_of_one_value_are_one_meaning(matcher) -> None:
    match = matcher.match([typed("3.5 liters", -0.2), typed("three point five litres", -0.2)])
    assert match.verdict is Verdict.ACCEPTED


def test_one_value_in_ambiguous_units_is_one_meaning(matcher) -> None:
    # A quart is not the same everywhere, but one and a half of them are 1.5 of them.
    match = matcher.match([typed("one and a half quarts", -0.3), typed("1.5 quarts", -0.3)])
    assert match.verdict is Verdict.ACCEPTED


def test_an_unlikely_slip_of_a_digit_does_not_make_a_long_reading_unclear(matcher) -> None:
    # What Whisper tiny.en wrote for "four point two quarts" of a synthetic voice, in this order.
    heard = [("4.2 quarts", -0.25), ("4.2 quarts.", -0.3), ("4.22 quarts", -0.75)]
    match = matcher.match([typed(text, score) for text, score in heard])
    assert (match.verdict, match.best.slots) == (Verdict.ACCEPTED, (("quantity", "four point two quarts"),))


def test_a_short_phrase_that_the_engine_holds_unlikely_is_not_taken(matcher) -> None:
    # A telephone prompt, the letter Q by its code word, as Whisper tiny.en wrote it.
    heard = [("Quebec.", -0.42), ("Quebec", -0.78), ("Go back.", -0.84), ("Quebec!", -1.01), ("Go back!", -1.33)]
    assert matcher.match([typed(text, score) for text, score in heard]).verdict is not Verdict.ACCEPTED


def test_a_number_is_not_made_of_words_that_only_come_near(matcher) -> None:
    # Prompts of a telephone exchange, as Whisper tiny.en wrote them: none of them is a reading.
    for text in ("Folder five.", "minutes", "Agent logged in.", "Extension.", "One moment please."):
        assert matcher.match([typed(text, -0.3)]).verdict is not Verdict.ACCEPTED, text


@pytest.mark.parametrize("text", ["", "   ", "...", "?!"])
def test_nothing_is_nothing(matcher, text: str) -> None:
    assert matcher.match([typed(text)]).verdict is Verdict.NOT_FOR_ME
    assert matcher.match([]).verdict is Verdict.NOT_FOR_ME


COUNTER = parse_grammar(
    """#JSGF V1.0;
    grammar counter;
    public <order> = (I need | I would like) [a | an] <size> <part> for <car> [please];
    <size> = small | medium | large;
    <part> = gasket | air filter | oil filter;
    <car> = the hatchback | the <colour> van;
    <colour> = red | blue;
    """,
    "an invented parts counter",
)


@pytest.fixture(scope="module")
def counter():
    return Phrasebook(COUNTER.rules, pronounce, match_settings()).matcher(phrases_of(COUNTER, "counter"))


def test_every_slot_of_a_phrase_is_told_in_order(counter) -> None:
    match = counter.match([typed("I would like a large oil filter for the red van please")])
    assert match.verdict is Verdict.ACCEPTED
    assert match.best.slots == (("size", "large"), ("part", "oil filter"), ("car", "the red van"))


def test_another_filling_of_a_slot_is_another_meaning(counter) -> None:
    def meaning(text: str) -> object:
        return counter.match([typed(text)]).best.meaning

    order = meaning("I need a small gasket for the blue van")
    assert meaning("I would like a small gasket for the blue van please") == order
    assert meaning("I need a large gasket for the blue van") != order
    assert meaning("I need a small gasket for the red van") != order


def test_two_orders_that_an_engine_holds_equally_likely_are_asked_again(counter) -> None:
    heard = [
        typed("I need a small air filter for the red van", -0.3),
        typed("I need a small oil filter for the red van", -0.3),
    ]
    match = counter.match(heard)
    assert match.verdict is Verdict.UNCLEAR
    assert {dict(match.best.slots)["part"], dict(match.runner_up.slots)["part"]} == {"air filter", "oil filter"}
