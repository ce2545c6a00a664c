"""A job of ten thousand facts, and hundreds of utterances: nothing that is kept may grow with them without end."""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from datetime import UTC, datetime
from itertools import cycle, islice
from pathlib import Path

import numpy as np
import pytest

from assistant import wiring
from assistant.adapters.clock import MovableClock
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library
from assistant.core.grammar import word_graph
from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.grammar.word_graph import WordGraphs
from assistant.core.hearing.sound.segmenting import Segmenter
from assistant.core.job import chain, events
from assistant.core.job.engine import decide
from assistant.core.job.state import State, evolve, fold
from assistant.core.job.state.changing import but
from assistant.core.types import RATE, Heard, Hypothesis, Intent, Phrase, Utterance
from assistant.path.listening import listen
from assistant.ports import VoiceActivity
from assistant.shelf import offered, take_up
from tests.long_job import facts_of
from tests.talk import Talk

AT = datetime(2026, 3, 14, 9, tzinfo=UTC)
FACTS, BLOCK = 10_000, 512
Facts = list[tuple[events.Event, datetime]]


@pytest.fixture(scope="module")
def facts() -> Facts:
    library = Library()
    day = facts_of(library.job("oil-and-filter"), library.vehicle("tarnwick-plover-16"), AT)
    return list(islice(day, FACTS))


def sizes(of: State) -> int:
    """Return how many things a state holds."""
    held = (getattr(of, field.name) for field in fields(of))
    return sum(len(one) for one in held if isinstance(one, tuple | dict | frozenset))


def test_a_state_holds_no_more_after_thousands_of_facts(facts: Facts) -> None:
    rows = [events.Recorded("day", number, at, event) for number, (event, at) in enumerate(facts, 1)]
    now = fold(rows[:1])
    held = []
    for row in rows[1:]:
        now = evolve(now, row.event, row.at)
        held.append(sizes(now))
    early, late = max(held[: FACTS // 4]), max(held[-FACTS // 4 :])
    assert late < 3 * early  # ten thousand facts are four times as many


def test_of_a_condition_only_the_last_word_is_kept_to_be_taken_back(facts: Facts) -> None:
    now = evolve(fold([events.Recorded("day", 1, AT, facts[0][0])]), events.StepEntered("lift"), AT)
    now = evolve(now, events.ChoiceMade("lift", "stands"), AT)
    for number in range(100):
        now = evolve(now, events.ConditionChanged("in-gear", number % 2 == 0, said=True), AT)
    assert [type(entry.event) for entry in now.said] == [events.ChoiceMade, events.ConditionChanged]
    undone = decide(now, Intent("undo"), AT)
    for event in undone:
        now = evolve(now, event, AT)
    assert any(isinstance(event, events.ConditionChanged) for event in undone)
    assert "in-gear" in now.possible  # a hazard that may be there counts
    assert [type(entry.event) for entry in now.said] == [events.ChoiceMade]


@pytest.mark.parametrize("count", [FACTS // 10, FACTS])
def test_taking_a_job_up_checks_and_folds_each_fact_once(
    facts: Facts, count: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = SqliteJournal(tmp_path / wiring.JOURNAL)
    store.append("day", [event for event, _ in facts[:count]], AT)
    store.close()
    done = {"sealed": 0, "folded": 0}

    def counted(what: str, of):
        def count(*given):
            done[what] += 1
            return of(*given)

        return count

    monkeypatch.setattr(chain, "seal", counted("sealed", chain.seal))
    monkeypatch.setattr("assistant.shelf.evolve", counted("folded", evolve))
    kept = wiring.keeping(tmp_path, pytest.fail)
    job = take_up(kept, "day", MovableClock(AT))
    kept.close()
    assert job.state.events == count
    assert done == {"sealed": count, "folded": count - 1}


def test_a_finished_job_is_not_worked_out_to_tell_that_it_is_not_offered(
    facts: Facts, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = SqliteJournal(tmp_path / wiring.JOURNAL)
    done = [event for event, _ in facts[:100]]
    store.append("done", [*done, events.JobFinished()], AT)
    store.append("open", done, AT)
    folded = []
    monkeypatch.setattr("assistant.shelf.fold", lambda rows: folded.append(rows[0].job) or fold(rows))
    assert [job.name for job in offered(store)] == ["open"]
    assert folded == ["open"]
    store.close()


def test_a_changed_state_is_another_one_like_it_and_forgets_what_was_worked_out() -> None:
    library = Library()
    opened = next(facts_of(library.job("oil-and-filter"), library.vehicle("tarnwick-plover-16"), AT))[0]
    before = fold([events.Recorded("day", 1, AT, opened)])
    before.derived["question"] = "old"
    after = but(before, paused=True)
    differing = {field.name for field in fields(before) if getattr(before, field.name) != getattr(after, field.name)}
    assert differing == {"paused", "derived"}
    assert not before.paused and after.derived == {}


def test_what_is_laid_out_for_texts_without_end_is_let_go(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(word_graph, "MOST_GRAPHS", 10)
    graphs = WordGraphs({})
    for number in range(30):
        assert graphs[f"text number{number}"].steps
    assert len(graphs) == 10 and "text number29" in graphs
    assert all(kept.cache_info().maxsize for kept in (pronounce, parse_expansion))


@dataclass
class Written:
    """An engine that writes what it is given, one after the other."""

    texts: Iterator[str]
    name: str = "written"
    engine: str = "written"
    asked: int = 0

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        self.asked += 1
        return Heard((Hypothesis(next(self.texts), -0.1, self.engine),))

    def close(self) -> None:
        pass


class Loud(VoiceActivity):
    """Takes whatever sounds for a voice."""

    def __call__(self, block: np.ndarray) -> float:
        return float(bool(np.any(np.abs(block) > 0.01)))

    def reset(self) -> None:
        pass


@dataclass
class Sounds:
    """Utterances with silence between them."""

    count: int
    name: str = "utterances"

    def blocks(self) -> Iterator[np.ndarray]:
        voice = np.random.default_rng(1).normal(0, 0.1, 20 * BLOCK).astype(np.float32)
        for _ in range(self.count):
            yield from voice.reshape(-1, BLOCK)
            yield from np.zeros((RATE // BLOCK, BLOCK), np.float32)

    def forget(self) -> None:
        pass

    def close(self) -> None:
        pass


TALK = ("next step", "what is open", "go back one step", "where am i", "some other talk of nobody here")


def test_hundreds_of_utterances_leave_nothing_behind(talk: Talk) -> None:
    engine = Written(cycle(TALK))
    talk.desk.ears.engines = [engine]
    held = []
    for _ in range(4):
        turns = [turn.reply.say for turn in listen(talk.desk, Sounds(20 * len(TALK)), Loud(), Segmenter())]
        assert sum(map(bool, turns)) >= 60  # all but other talk is answered
        del turns
        gc.collect()
        held.append(sys.getallocatedblocks())
    assert engine.asked >= 400
    # less than one piece of memory for each of these utterances; Python's own store of numbers takes up to a hundred
    assert held[-1] - held[1] < 40 * len(TALK)
