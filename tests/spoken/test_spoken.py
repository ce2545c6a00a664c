"""Every word that is spoken in whole dialogues is as it was read and found good: a change of wording is seen."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.adapters.library import Library
from assistant.core.hearing.verdict.matching import Phrasebook
from tests.spoken.of_jobs import OTHERS, STOPPED
from tests.spoken.scripts import HERE, SCRIPTS, spoken

NAMES = (*SCRIPTS, *OTHERS)


@pytest.mark.parametrize("name", NAMES)
def test_what_is_spoken_is_what_was_read(name: str, library: Library, phrasebook: Phrasebook, tmp_path: Path) -> None:
    kept = (HERE / f"{name}.txt").read_text(encoding="utf-8")
    now = "\n".join(spoken(name, library, phrasebook, tmp_path))
    assert now == kept, "read what changed, then: python -m tests.spoken.scripts"


@pytest.mark.parametrize("name", [name for name in NAMES if name not in ("denied", *STOPPED)])
def test_each_dialogue_ends_with_the_job(name: str) -> None:
    kept = (HERE / f"{name}.txt").read_text(encoding="utf-8")
    assert kept.rstrip().split("\n")[-1].startswith("The job is finished. Nothing is open.")


@pytest.mark.parametrize("name", STOPPED)
def test_a_dialogue_that_ends_badly_says_what_stays_open(name: str) -> None:
    kept = (HERE / f"{name}.txt").read_text(encoding="utf-8")
    assert "The job is stopped: leaving it " in kept
    assert kept.rstrip().split("\n")[-1].startswith("Open: ")
