"""Which recognisers there are by name."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant import wiring
from assistant.core.errors import DataError, DeviceError


def test_an_engine_is_had_by_its_short_name(tmp_path: Path) -> None:
    [engine] = wiring.chosen_recognisers(tmp_path, ["whisper"], {})
    assert engine.name.startswith("Whisper")
    engine.close()


def test_an_unknown_engine_names_the_known_ones(tmp_path: Path) -> None:
    with pytest.raises(DataError, match=f"no engine 'ear'. There are: {', '.join(wiring.ENGINES)}"):
        wiring.chosen_recognisers(tmp_path, ["whisper", "ear"], {})


def test_an_engine_whose_model_is_not_there_says_how_to_get_it(tmp_path: Path) -> None:
    with pytest.raises(DeviceError, match="fetch it with: assistant models fetch") as caught:
        wiring.chosen_recognisers(tmp_path, ["vosk"], {})
    assert len(caught.value.say.split()) <= 15


def test_a_job_has_the_usual_engines_and_nothing_is_amiss(tmp_path: Path) -> None:
    notes: list[str] = []
    engines = wiring.recognisers(tmp_path, notes.append)
    names = [engine.engine for engine in engines]
    for engine in engines:
        engine.close()
    assert notes == []
    assert names == list(wiring.USUAL)
