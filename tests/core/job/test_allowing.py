"""A step may declare that a part is open which would block it; no other step gets that permission."""

from __future__ import annotations

import pytest

from assistant.adapters.library import Library
from assistant.core.proof.checks import faults_of
from tests.in_short import Way, job

TEXT = """
id: bleeding
title: Bleed the coolant
about: Invented for tests; nothing of it is meant to be done.
parts:
  - {id: cap, name: the cap, blocks: [running]}
  - {id: tap, name: the drain tap, blocks: [running]}
steps:
  - {id: open, title: Open, where: bay, say: Take the cap off., why: So that no pressure builds., opens: [cap]}
  - {id: tap-open, title: Tap, where: bay, say: Open the tap., why: To drain., opens: [tap]}
  - {id: tap-shut, title: Tap, where: bay, say: Shut the tap., why: To fill., closes: [tap]}
  - {id: run, title: Run, where: bay, say: Let it run., why: To bleed it., acts: [running], allows: [cap]}
  - {id: run-on, title: Run on, where: bay, say: Let it run., why: To warm it., acts: [running]}
  - {id: shut, title: Shut, where: bay, say: Put the cap on., why: To drive., closes: [cap]}
"""
JOB = job(TEXT)


def test_what_a_step_allows_does_not_block_it_and_blocks_the_next() -> None:
    way = Way(JOB)
    way.do("next", "next", "next")
    assert way.waiting == "next"
    assert way.state.step == "run"
    assert "Still open: the cap." in way.do("next")
    assert way.waiting == "blocked:run-on"


def test_it_allows_nothing_else() -> None:
    shut = "say: Shut the tap., why: To fill., closes: [tap]"
    assert shut in TEXT
    way = Way(job(TEXT.replace(shut, "say: Look at the tap., why: To see.")))
    assert way.do("next", "next", "next") == "The engine must not run yet. Still open: the drain tap."


BROKEN = {
    "allows: [cap]": ("allows: [hose]", "'hose' is no part that blocks one of the acts"),
    "acts: [running], allows: [cap]": ("allows: [cap]", "'cap' is no part that blocks one of the acts"),
    "allows: [cap]}": ("repeat: {to: shut, until: [warm], most: 2, out: shut}}", "'shut' comes after the step"),
    "acts: [running], allows: [cap]}": (
        "repeat: {to: tap-shut, until: [warm], most: 2, out: run}}", "'run' is one of the steps that are repeated"),
    "name: the drain tap, blocks": ("name: the drain tap, angle: far, blocks", "after a `torque`, and it has none"),
    "name: the drain tap, block": ("name: the drain tap, count: many, block", "'many' is not among the `values`"),
    "name: the drain tap, bloc": ("name: the drain tap, order: star, bloc", "an order needs the `count`"),
    "steps:": ("safe_ends: [{id: so, name: leaving it so, say: Leave it., holds: [chocked]}]\nsteps:",
               "it names the condition 'chocked'"),
}  # fmt: skip


@pytest.mark.parametrize("before", [*BROKEN])
def test_what_contradicts_itself_is_told_when_the_file_is_read(before: str) -> None:
    after, fault = BROKEN[before]
    assert before in TEXT
    rules = Library().rules()
    assert list(faults_of(JOB, rules)) == []
    found = [text for _, text in faults_of(job(TEXT.replace(before, after)), rules)]
    assert any(fault in text for text in found), found


ENDS = """
conditions:
  - {id: up, name: It is up, gated: true, begin: [{do: Raise it., says: [it is up]}]}
  - {id: still, name: It is still}
safe_ends: [{id: so, name: leaving it so, say: Leave it., holds: [HOLDS], never: [NEVER]}]
steps:"""


@pytest.mark.parametrize(
    ("holds", "never", "fault"),
    [("up", "", "it is `gated`"), ("still", "", "it has no `begin`"), ("", "still", "it has no `end`")],
)
def test_an_end_asks_only_for_what_the_person_can_bring_about(holds: str, never: str, fault: str) -> None:
    text = TEXT.replace("steps:", ENDS.replace("HOLDS", holds).replace("NEVER", never).strip())
    found = [text for _, text in faults_of(job(text), Library().rules())]
    assert any(fault in text for text in found), found


def test_an_answer_that_stops_names_an_end_that_is_there() -> None:
    choice = "choice: {name: it, ask: How, options: [{id: good, says: [it is good], show: good}, OTHER]}"
    bad = "{id: bad, says: [it is bad], show: bad, refuse: It is bad., stop: nowhere}"
    text = TEXT.replace("why: To drain., opens: [tap]", f"why: To drain., {choice.replace('OTHER', bad)}")
    found = [text for _, text in faults_of(job(text), Library().rules())]
    assert any("there is no safe end 'nowhere'" in text for text in found), found
