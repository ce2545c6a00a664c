"""What is asked of contraries before anyone says them: that there are some, and that none is taken for an order.

Each rule yields what breaks it, as those of `phrase_rules.py` do. Nothing here hears anything.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assistant.core.grammar.jsgf import Node, parse_expansion
from assistant.core.grammar.parsing import parse
from assistant.core.grammar.word_graph import WordGraphs
from assistant.core.grammar.wordings import wordings
from assistant.core.hearing.contraries.made import TAKEN_BACK, Contraries, has_value
from assistant.core.hearing.contraries.turning_words import TurningWords, whole_words
from assistant.core.hearing.near.phrase_rules import meaning
from assistant.core.types import Phrase


def contraries_of(phrase: Phrase, contraries: Contraries, graphs: WordGraphs) -> list[str]:
    """Return each wording that denies a phrase."""
    made = contraries.of(phrase)
    return list(wordings(graphs[made.says])) if made else []


def without_contrary(
    phrases: Sequence[Phrase], contraries: Contraries, words: TurningWords, graphs: WordGraphs
) -> Iterator[str]:
    """Yield the phrases that affirm and have no contrary by a negation, or none by the opposite of a word of theirs.

    What only holds a value has no wording of its own to be denied.
    """
    competing = (phrase for phrase in phrases if phrase.affirms and phrase.intent not in TAKEN_BACK)
    for phrase in (phrase for phrase in competing if _own_words(parse_expansion(phrase.says))):
        made = [whole_words(text.split()) for text in contraries_of(phrase, contraries, graphs)]
        said = {word for text in made for word in text}
        if not any({"not", "never", "neither"} & {*text} for text in made) and "not" not in phrase.says.split():
            yield f"{phrase.says!r} ({meaning(phrase)}) has no contrary by a negation"
        own = [] if has_value(parse_expansion(phrase.says)) else _own_words(parse_expansion(phrase.says))
        for start, end, others in words.rows_with_opposite(own):
            if others and not any(word in said for other in others for word in other.split()):
                yield f"{phrase.says!r} ({meaning(phrase)}) has no contrary for {' '.join(own[start:end])}"


def taken_for_another(phrases: Sequence[Phrase], contraries: Contraries, graphs: WordGraphs) -> Iterator[str]:
    """Yield the contraries that are, word for word, a phrase that affirms and means another thing.

    One answer may be the contrary of another one to the same question: then it is that other one. So it is where it
    says of the car that something is over.
    """
    affirming = [phrase for phrase in phrases if phrase.affirms]
    known = {phrase.says: frozenset(step.word.lower() for step in graphs[phrase.says].steps) for phrase in affirming}
    for phrase in affirming:
        for text in contraries_of(phrase, contraries, graphs):
            words = text.split()
            said = {word.lower() for word in words}
            for other in affirming:
                if not said <= known[other.says]:
                    continue  # a word that it does not know at all: no need to walk its graph
                answers = other.option and phrase.option != other.option and (phrase.option or is_over(other))
                if not answers and parse(graphs[other.says], words) is not None:
                    yield f"{text!r} denies {meaning(phrase)}, and is allowed as {meaning(other)}"


def is_over(phrase: Phrase) -> bool:
    """Return whether a phrase says that something no longer holds of the car."""
    return phrase.intent == "condition" and (phrase.option or "").endswith(":over")


def _own_words(node: Node) -> list[str]:
    """Return the words of a phrase outside of its values."""
    return [node.text] if node.kind == "word" else [word for part in node.parts for word in _own_words(part)]
