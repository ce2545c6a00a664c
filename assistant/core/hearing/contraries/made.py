"""Makes the contraries of a phrase by rule: what says that it is not so, or is not to happen.

Each rule takes a clause and yields clauses in which something is denied once. The words are data
(`turning_words.py`). A contrary is no exact opposite: "only one back wheel" denies "both back wheels" too. What can't
be made by rule is left to what is judged of words left over (`left_over.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from assistant.core.grammar.jsgf import SPECIAL, Node, parse_expansion, references, written
from assistant.core.hearing.contraries.clauses import Clause, clauses, either, holds_a_word, of
from assistant.core.hearing.contraries.turning_words import TurningWords
from assistant.core.types import Phrase

DENIED = "denied"
"""The intent of what denies; its option says what is denied."""

NOT = "[it is | it's | they are | they're | that is] not | it isn't | they aren't"
"""What stands before something that has no verb of its own."""
DO_NOT = "[I] (do not | don't) | never"
"""What stands before a request."""
_FEW = "(neither | only one | just one)"
_FEW_OF = "not both [the] | not all [the] | (neither | none | only one | one) of the"
_YET = parse_expansion("[yet]")


TAKEN_BACK = frozenset({"undo", "back", "park", "go-on", "pause", "listen", "wrong", "leave"})
"""Intents that say nothing of the car, and whose effect a word takes back: a denial of them is found in what is left
over of a text, and does not compete in the sound. With it "that was wrong" was asked again for "that wasn't wrong"."""


class Contraries:
    """Makes contraries, each phrase's once."""

    def __init__(self, words: TurningWords) -> None:
        self._words = words
        self._known: dict[Phrase, Phrase | None] = {}
        self._about_verbs: tuple[Callable[[Clause], Iterator[Clause]], ...] = (
            self._auxiliary, self._past, self._present, self._request, self._without_not,
        )  # fmt: skip

    def with_contraries(self, phrases: Sequence[Phrase]) -> tuple[Phrase, ...]:
        """Return phrases, and behind them what denies those that affirm, and whatever may be denied."""
        affirming = [phrase for phrase in phrases if phrase.affirms]
        made = [contrary for phrase in affirming if (contrary := self.of(phrase))]
        call = next((f"[{phrase.says}] " for phrase in phrases if phrase.intent == "attend"), "")
        usual = [Phrase(DENIED, f"{call}({says})") for says in self._words.denials] if affirming else []
        return tuple(dict.fromkeys((*phrases, *made, *usual)))

    def of(self, phrase: Phrase) -> Phrase | None:
        """Return all contraries of a phrase as one; None where it only holds a value, or is easily taken back."""
        if phrase.intent in TAKEN_BACK:
            return None
        if phrase not in self._known:
            self._known[phrase] = self._made(phrase)
        return self._known[phrase]

    def _made(self, phrase: Phrase) -> Phrase | None:
        whole = parse_expansion(phrase.says)
        parts = [_without_value(clause) for clause in clauses(whole, self._words.operative)]
        parts = [part for part in parts if any(map(holds_a_word, part))]
        rules = self._about_verbs if has_value(whole) else (*self._about_verbs, self._opposite, self._few)
        found = [of(contrary) for clause in parts for rule in rules for contrary in rule(clause)]
        if not has_value(whole) and all(map(self._has_no_verb, parts)):  # all of it at once
            found += [of(contrary) for contrary in self._not_so((whole,))]
        else:
            found += [of(contrary) for clause in parts for contrary in self._fragment(clause)]
        return Phrase(DENIED, written(either(found)), denied(phrase)) if found else None

    def _auxiliary(self, clause: Clause) -> Iterator[Clause]:
        """Deny the first verb that comes with another one: "is not", "isn't", "it's not", "there is no"."""
        place = self._at_auxiliary(clause)
        if place is None or _has_not(clause):
            return
        verb, before = clause[place].text, clause[place - 1].text if place else ""
        rest = (*clause[place + 1 :], *_later(clause))
        if verb in ("have", "has") and before and not self._participle(clause[place + 1 :]):
            do = "do" if verb == "have" else "does"  # "I do not have the tools"
            yield (*clause[:place], parse_expansion(f"({do} not | {do}n't) have"), *rest)
            return
        yield (*clause[:place], parse_expansion(self._words.auxiliaries[verb]), *rest)
        short = self._words.shortened.get(verb, "")
        if before and short and (short == "'s" or before in self._words.subjects):
            yield (*clause[: place - 1], Node("word", before + short), Node("word", "not"), *rest)
        if before == "there":
            yield (*clause[: place + 1], Node("word", "no"), *rest)

    def _participle(self, clause: Clause) -> bool:
        """Tell whether the first word of a clause is a verb in its past form: "got", "stopped"."""
        return self._words.past(_first(clause)) is not None

    def _at_auxiliary(self, clause: Clause) -> int | None:
        return next((place for place, part in enumerate(clause) if part.text in self._words.auxiliaries), None)

    def _past(self, clause: Clause) -> Iterator[Clause]:
        """Deny a verb in the past: "did not stay", "never stayed", "has not stayed"."""
        if self._at_auxiliary(clause) is not None or _first(clause) in self._words.imperatives:
            return
        for place, part in enumerate(clause):
            if part.kind != "word" or not (verb := self._words.past(part.text)):
                continue
            before, rest = clause[:place], (*clause[place + 1 :], *_later(clause))
            yield (*before, parse_expansion(f"(did not | didn't) {verb.base} | never {part.text}"), *rest)
            if subject := _last(before):
                have = "have" if subject in self._words.several or _is_plural(subject) else "has"
                yield (*before, parse_expansion(f"({have} not | {have}n't) {verb.perfect}"), *rest)
            return

    def _present(self, clause: Clause) -> Iterator[Clause]:
        """Deny a verb in the present behind its subject: "does not drip", "do not sit"."""
        place = self._at_present(clause)
        if place is None:
            return
        start, verb = place, clause[place].text
        while clause[start - 1].text in self._words.adverbs:
            start -= 1
        several = clause[start - 1].text in self._words.several or _is_plural(clause[start - 1].text)
        do, base = ("do", verb) if several else ("does", _one_less(verb))
        rest = (*clause[start:place], Node("word", base), *clause[place + 1 :], *_later(clause))
        yield (*clause[:start], parse_expansion(f"{do} not | {do}n't"), *rest)

    def _at_present(self, clause: Clause) -> int | None:
        if self._at_auxiliary(clause) is not None:
            return None
        subject = ""
        for place, part in enumerate(clause):
            word = part.text if part.kind == "word" else ""
            if subject and self._is_present(word, subject):
                return place
            subject = word if word not in self._words.adverbs else subject
        return None

    def _is_present(self, word: str, subject: str) -> bool:
        verbs, nouns_too = self._words.presents, self._words.nouns_too
        if subject in self._words.several or _is_plural(subject):
            return word in verbs or word in nouns_too
        if subject in self._words.subjects or subject == "everything":
            return _is_plural(word)
        return _is_plural(word) and _one_less(word) in verbs

    def _request(self, clause: Clause) -> Iterator[Clause]:
        """Deny what a request is for: "do not confirm"."""
        place = next((at for at, part in enumerate(clause) if part.kind == "word"), None)
        if place is not None and clause[place].text in self._words.requests:
            place += 1
        if place is not None and place < len(clause) and clause[place].text in self._words.imperatives:
            yield (*clause[:place], parse_expansion(DO_NOT), *clause[place:])

    def _fragment(self, clause: Clause) -> Iterator[Clause]:
        """Deny what has no verb: "not", "it is not"."""
        if _first(clause) in self._words.questions:
            yield (Node("word", "not"), *clause)
        elif self._has_no_verb(clause):
            yield from self._not_so(clause)

    def _not_so(self, clause: Clause) -> Iterator[Clause]:
        yield (parse_expansion(NOT), *clause, *_later(clause))
        parts = clause[0].parts if len(clause) == 1 and clause[0].kind == "all" else clause
        if len(parts) > 1 and parts[0].kind == "maybe" and parts[0].parts[0].kind == "all":
            yield (parts[0], parse_expansion(NOT), *parts[1:])  # the words by which the assistant is called come before

    def _has_no_verb(self, clause: Clause) -> bool:
        verb = self._at_auxiliary(clause) is not None or self._at_present(clause) is not None or _has_not(clause)
        asked = _first(clause) in (*self._words.imperatives, *self._words.questions)
        return not (verb or asked or any(self._past(clause)))

    def _opposite(self, clause: Clause) -> Iterator[Clause]:
        """Exchange words that have an opposite for it, each alone; a longer row of words goes before those in it."""
        texts = [part.text if part.kind == "word" else "" for part in clause]
        found = list(self._words.rows_with_opposite(texts))
        for place, end, others in found:
            if others:
                yield (*clause[:place], _choice(others), *clause[end:])
        for place, word in enumerate(texts):
            within = any(start <= place < end for start, end, _ in found)
            if word in self._words.particles and not within and self._is_predicate(clause, place):
                still = parse_expansion(f"[still] ({' | '.join(self._words.particles[word])})")
                yield (*clause[:place], still, *clause[place + 1 :])
                return

    def _is_predicate(self, clause: Clause, place: int) -> bool:
        """Tell whether a little word says how something is: "is off", "took the tray off"."""
        if not place:
            return len(clause) == 1
        return clause[place - 1].text in ("is", "are") or _is_end(clause, place)

    def _few(self, clause: Clause) -> Iterator[Clause]:
        """Deny that it is all of them: "neither", "only one", "not both", "not everything"."""
        texts = [part.text if part.kind == "word" else "" for part in clause]
        for whole in ("everything", "both"):
            if whole in texts:
                at = texts.index(whole)
                yield from _not_both(clause, at) if whole == "both" else _not_everything(clause, at)
                return
        place, verb = _plural(texts), self._at_auxiliary(clause)
        begins = next((at for at, part in enumerate(clause) if part.kind == "word" and part.text != "the"), 0)
        alone = verb is None and place == len(clause) - 1 and self._has_no_verb(clause)
        if place is not None and (verb == place + 1 or alone):
            if any(text in self._words.prepositions for text in texts[:place]):
                return
            yield (parse_expansion(_FEW_OF), *clause[begins:])
            if verb is None:
                yield (parse_expansion(_FEW), *clause[begins:place], Node("word", _one_less(texts[place])))
            elif texts[verb] == "are":
                one = (*clause[begins:place], Node("word", _one_less(texts[place])), Node("word", "is"))
                yield (parse_expansion(_FEW), *one, *clause[verb + 1 :])

    def _without_not(self, clause: Clause) -> Iterator[Clause]:
        """Take a negation away: "listen to me now" for "do not listen to me now"."""
        for place, part in enumerate(clause):
            if part.text == "not" and place and clause[place - 1].text == "do":
                yield (*clause[: place - 1], *clause[place + 1 :])


def denied(phrase: Phrase) -> str:
    """Return what a contrary of a phrase denies: its intent, and its option where it has one."""
    return f"{phrase.intent}:{phrase.option}" if phrase.option else phrase.intent


def has_value(node: Node) -> bool:
    """Return whether a phrase holds a value, which is said in a rule of the grammar."""
    return any(name not in SPECIAL for name in references(node))


def _without_value(clause: Clause) -> Clause:
    """Return a clause without the value in it, and the "to" before it: what is denied has none."""
    kept: list[Node] = []
    for part in clause:
        if holds_a_word(part):
            kept.append(part)
        elif kept and kept[-1].text == "to":
            kept.pop()
    return tuple(kept)


def _not_both(clause: Clause, place: int) -> Iterator[Clause]:
    texts = [part.text if part.kind == "word" else "" for part in clause]
    end = next((at for at in range(place + 1, len(texts)) if _is_plural(texts[at])), None)
    before, after = clause[:place], clause[place + 1 :]
    yield (*before, parse_expansion("not both"), *after)
    if end is None or any(text in ("in", "on", "at", "are", "have") for text in texts[place:end]):
        yield (*before, parse_expansion(f"{_FEW} | one"), *after)
        return
    one = (*clause[place + 1 : end], Node("word", _one_less(texts[end])))
    rest = clause[end + 1 :]
    yield (*before, parse_expansion(f"{_FEW} | one"), *one, *_as_of_one(rest))
    yield (*before, parse_expansion("(neither | only one | one) of the"), *after)


def _as_of_one(clause: Clause) -> Clause:
    """Return what follows several with a verb as it follows one."""
    if not clause or clause[0].kind != "word" or clause[0].text in ("in", "on", "at", "to"):
        return clause
    word = clause[0].text
    return (Node("word", {"are": "is", "have": "has"}.get(word, f"{word}s")), *clause[1:])


def _not_everything(clause: Clause, place: int) -> Iterator[Clause]:
    yield (*clause[:place], parse_expansion("not everything | nothing"), *clause[place + 1 :])


def _plural(texts: Sequence[str]) -> int | None:
    return next((place for place, text in enumerate(texts) if _is_plural(text)), None)


def _is_plural(word: str) -> bool:
    """Tell whether a word ends as several do, or as a verb behind "it"."""
    return len(word) > len("gas") and word.endswith("s") and not word.endswith(("ss", "us", "is", "'s", "as", "oors"))


def _one_less(word: str) -> str:
    """Return one of several, or a verb without its "s"."""
    return word[:-2] if word.endswith(("ches", "shes", "xes", "oes")) else word.removesuffix("s")


def _choice(others: Sequence[str]) -> Node:
    return parse_expansion(" | ".join(others))


def _later(clause: Clause) -> Clause:
    return () if any(part.text == "please" for part in clause) else (_YET,)


def _has_not(clause: Clause) -> bool:
    return any(part.text == "not" for part in clause)


def _is_end(clause: Clause, place: int) -> bool:
    return not any(part.kind == "word" for part in clause[place + 1 :])


def _first(clause: Clause) -> str:
    return next((part.text for part in clause if part.kind == "word"), "")


def _last(clause: Clause) -> str:
    return next((part.text for part in reversed(clause) if part.kind == "word"), "")
