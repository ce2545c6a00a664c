"""Each file of the core has a test of its own name in the same folder, or stands in `covered.yaml` with another."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

TESTS = Path(__file__).resolve().parent
CORE = TESTS.parent.parent / "assistant" / "core"
COVERED: dict[str, list[str]] = yaml.safe_load((TESTS / "covered.yaml").read_text(encoding="utf-8"))
ELSEWHERE = {name: test for test, names in COVERED.items() for name in names}


def mirrored(name: str) -> Path:
    """The test of the same name."""
    file = TESTS / name
    return file.with_name(f"test_{file.name}")


def untested(names: list[str]) -> list[str]:
    """Those of some files of the core that no test covers by its name, or by the list."""
    return [name for name in names if not mirrored(name).exists() and name not in ELSEWHERE]


def files() -> list[str]:
    return sorted(file.relative_to(CORE).as_posix() for file in CORE.rglob("*.py") if file.name != "__init__.py")


def test_every_file_of_the_core_has_a_test() -> None:
    assert untested(files()) == []


def test_a_file_without_a_test_is_noticed() -> None:
    assert untested(["job/ledger.py", "job/no_such_subject.py"]) == ["job/no_such_subject.py"]


def test_the_list_names_what_is_there_once_and_only_where_it_is_needed() -> None:
    assert sum(map(len, COVERED.values())) == len(ELSEWHERE)
    assert set(ELSEWHERE) <= {*files()}
    assert [name for name in ELSEWHERE if mirrored(name).exists()] == []


@pytest.mark.parametrize("test", [*COVERED])
def test_each_test_that_is_named_is_there(test: str) -> None:
    assert "def test_" in (TESTS.parent / test).read_text(encoding="utf-8")
