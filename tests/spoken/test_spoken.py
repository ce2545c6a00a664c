"""Every word that is spoken in whole dialogues is as it was read and found good: a change of wording is seen."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.adapters.library import Library
from assistant.core.hearing.verdict.matching import Phrasebook
from tests.spoken.scripts import HERE, SCRIPTS, spoken


@pytest.mark.parametrize("name", [*SCRIPTS])
def test_what_is_spoken_is_what_was_read(name: str, library: Library, phrasebook: Phrasebook, tmp_path: Path) -> None:
    kept = (HERE / f"{name}.txt").read_text(encoding="utf-8")
    now = "\n".join(spoken(name, library, phrasebook, tmp_path))
    assert now == kept, "read what changed, then: python -m tests.spoken.scripts"


@pytest.mark.parametrize("name", [name for name in SCRIPTS if name != "denied"])
def test_each_dialogue_ends_with_the_job(name: str) -> None:
    kept = (HERE / f"{name}.txt").read_text(encoding="utf-8")
    assert kept.rstrip().split("\n")[-1].startswith("The job is finished. Nothing is open.")
