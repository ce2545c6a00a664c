"""An audit that was none is called so, and a known vulnerability fails: with answers as pip-audit gives them."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from tests.supply.audit import NOT_DONE, audit

WELL = {"name": "a", "version": "1", "vulns": []}
KNOWN = {"name": "b", "version": "2", "vulns": [{"id": "PYSEC-1", "fix_versions": ["3"], "description": "bad"}]}
UNKNOWN = {"name": "c", "skip_reason": "Dependency not found and could not be audited: c (1)"}
PROGRAM = """#!{python}
import sys
assert "c==1" in open(sys.argv[2]).read().split()
print({says!r})
print("no way there", file=sys.stderr)
sys.exit({code})
"""


@pytest.mark.skipif(sys.platform == "win32", reason="the stand-in is a script that is run by its first line")
@pytest.mark.parametrize(("answer", "code", "expected", "told"), [
    ([WELL, UNKNOWN], 0, 0, "audited: 1 distributions; unknown there: c"),
    ([WELL, KNOWN], 1, 1, "b 2: PYSEC-1, mended in 3"),
    ([UNKNOWN, UNKNOWN], 0, 0, f"{NOT_DONE}: the advisory service knows none"),
    (None, 1, 0, f"{NOT_DONE}: no way there"),
])  # fmt: skip
def test_answers(
    answer: list | None, code: int, expected: int, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    says = json.dumps({"dependencies": answer, "fixes": []}) if answer else "Traceback"
    program = tmp_path / "pip-audit"
    program.write_text(PROGRAM.format(python=sys.executable, says=says, code=code), encoding="utf-8")
    program.chmod(0o755)
    assert audit(str(program), ["a==1", "c==1"], required=False) == expected
    assert told in capsys.readouterr().out
    assert audit(str(program), ["c==1"], required=True) == (1 if NOT_DONE in told else expected)


def test_without_the_program_there_is_no_audit(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert audit(str(tmp_path / "none"), ["a==1"], required=False) == 0
    assert NOT_DONE in capsys.readouterr().out
    assert audit(str(tmp_path / "none"), ["a==1"], required=True) == 1
