"""Rules of phrases: what may be said at once sounds different, is long enough, and can be denied. They take seconds."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from assistant.core.data.procedure import Procedure
from assistant.core.grammar.word_graph import WordGraphs
from assistant.core.hearing.contraries.contrary_rules import taken_for_another, without_contrary
from assistant.core.hearing.contraries.made import Contraries
from assistant.core.hearing.near import phrase_rules as near
from assistant.core.hearing.near.likeness import Likeness
from assistant.core.hearing.phrases import situations
from assistant.core.proof.checks import Place, phrases_in
from assistant.core.proof.rules.rule import Beside, Found, Hearing, Rule, Severity
from assistant.core.types import Phrase


class Said:
    """All that may be said in a job, with where the file writes it; what rests on it is laid out once."""

    def __init__(self, job: Procedure, beside: Beside, hearing: Hearing) -> None:
        self.at_once = situations(job, hearing.general)
        self.phrases = tuple(dict.fromkeys(phrase for found in self.at_once.values() for phrase in found))
        self.places: dict[str, Place] = {}
        for place, text in phrases_in(job):
            self.places.setdefault(text, place)
        self.likeness = _likeness(self.phrases, beside, hearing)

    def place(self, *phrases: Phrase) -> Place:
        """Return where one of some phrases is written; the whole file where none is: it is made, or said in any job."""
        return next((self.places[one.says] for one in phrases if one.says in self.places), ())

    def each(self, faults: Iterable[tuple[Phrase, str]]) -> Iterator[Found]:
        """Yield faults of phrases at their places, each once."""
        yield from dict.fromkeys((self.place(phrase), fault) for phrase, fault in faults)


def measure_of(job: Procedure, beside: Beside) -> Likeness:
    """Return the measure of all that may be said in a job; it needs to be told how words sound."""
    said = _of(job, beside)
    assert said
    return said.likeness


def _likeness(phrases: Iterable[Phrase], beside: Beside, hearing: Hearing) -> Likeness:
    """Return the measure of phrases; one for all jobs, for most of what may be said is the same in each."""
    says = {phrase.says for phrase in phrases}
    if not (hearing.measure and says <= hearing.measure[0][0]):
        others = (phrase.says for job in beside.jobs for found in situations(job, hearing.general).values()
                  for phrase in found)  # fmt: skip
        every = dict.fromkeys((*others, *(phrase.says for phrase in phrases)))
        laid_out = (near.talk(), *hearing.badly_heard, *every)
        hearing.measure[:] = [(frozenset(every), Likeness(laid_out, beside.grammar, hearing.lexicon))]
    likeness: Likeness = hearing.measure[0][1]
    return likeness


def _of(job: Procedure, beside: Beside) -> Said | None:
    """Return what may be said in a job, laid out once for all rules; None where nobody told how words sound."""
    if not beside.hearing:
        return None
    known = beside.hearing.laid_out
    if not (known and known[0][0] is job):
        known[:] = [(job, Said(job, beside, beside.hearing))]
    said: Said = known[0][1]
    return said


def _alike(job: Procedure, beside: Beside) -> Iterator[Found]:
    if not (said := _of(job, beside)) or not beside.hearing:
        return
    excepted = {frozenset(pair["words"]): pair["reason"] for pair in beside.hearing.near.get("pairs", ())}
    found: dict[Found, None] = {}
    for name, phrases in said.at_once.items():
        for pair, fault in near.pairs_too_near(phrases, said.likeness, excepted):
            found.setdefault((said.place(pair.one, pair.other), f"{fault}; at {name}"))
    seen: set[tuple[Place, str]] = set()
    for place, fault in found:
        short = (place, fault.split("; at ")[0])
        if short not in seen:
            seen.add(short)
            yield place, fault


def _one_way(job: Procedure, beside: Beside) -> Iterator[Found]:
    if said := _of(job, beside):
        faults = (
            (_of_meaning(phrases, fault), fault)
            for phrases in said.at_once.values()
            for fault in near.one_way_only(phrases, said.likeness)
        )
        yield from said.each(faults)


def _of_meaning(phrases: Iterable[Phrase], fault: str) -> Phrase:
    return next(phrase for phrase in phrases if fault.startswith(f"{near.meaning(phrase)} can be"))


def _short(job: Procedure, beside: Beside) -> Iterator[Found]:
    if (said := _of(job, beside)) and beside.hearing:
        short = [one["words"] for one in beside.hearing.near.get("short", ())]
        yield from said.each(
            (phrase, fault)
            for phrase in said.phrases
            for fault in near.too_short([phrase], beside.hearing.lexicon, short)
        )


def _talk(job: Procedure, beside: Beside) -> Iterator[Found]:
    if said := _of(job, beside):
        yield from said.each(
            (phrase, fault) for phrase in said.phrases for fault in near.like_talk([phrase], said.likeness)
        )


def _badly_heard(job: Procedure, beside: Beside) -> Iterator[Found]:
    if (said := _of(job, beside)) and beside.hearing:
        yield from said.each(
            (phrase, fault)
            for phrase in said.phrases
            for fault in near.badly_heard([phrase], said.likeness, beside.hearing.badly_heard)
        )


def _undeniable(job: Procedure, beside: Beside) -> Iterator[Found]:
    if (said := _of(job, beside)) and beside.hearing:
        turning = beside.hearing.turning
        contraries, graphs = Contraries(turning), WordGraphs(beside.grammar)
        yield from said.each(
            (phrase, fault)
            for phrase in said.phrases
            for fault in without_contrary([phrase], contraries, turning, graphs)
        )


def _contrary_taken(job: Procedure, beside: Beside) -> Iterator[Found]:
    if (said := _of(job, beside)) and beside.hearing:
        contraries, graphs = Contraries(beside.hearing.turning), WordGraphs(beside.grammar)
        faults = dict.fromkeys(
            fault for phrases in said.at_once.values() for fault in taken_for_another(phrases, contraries, graphs)
        )
        yield from (((), fault) for fault in faults)


RULES = (
    Rule("phrases-alike", Severity.WARNING, "Phrases that sound alike are taken for each other, or asked again.",
         "Reword one of them; where they must stay, write them into phrases/near.yaml with a reason.", _alike, True),
    Rule("one-way-to-say", Severity.WARNING, "Who is not understood in one way needs another.",
         "Add a phrase that sounds different.", _one_way, True),
    Rule("phrase-too-short", Severity.WARNING, "Short words are heard in any noise.",
         "Add a word.", _short, True),
    Rule("phrase-like-talk", Severity.WARNING, "What sounds like talk is taken for an order.",
         "Use words of the work.", _talk, True),
    Rule("phrase-badly-heard", Severity.WARNING, "Of some words it is known that they are heard badly.",
         "Choose longer words.", _badly_heard, True),
    Rule("phrase-without-contrary", Severity.WARNING, "What can't be denied may be taken for its opposite.",
         "Use a plain verb, or add its opposite to phrases/contraries.yaml.", _undeniable, True),
    Rule("contrary-taken", Severity.WARNING, "Words that deny one thing must not say another.",
         "Reword one of the two.", _contrary_taken, True),
)  # fmt: skip
