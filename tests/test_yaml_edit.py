"""Single entries of a YAML file changed as text: what is not changed stays, to the letter."""

from __future__ import annotations

import json
import string

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.car_talk.file_text import scalar
from assistant.system.strict_yaml import read
from assistant.system.yaml_edit import Unforeseen, with_entry, with_item, with_scalar, without_entry, without_item

FILE = """# My car.
title: Red car   # as we call it
units: metric
tags: [filter:cartridge, tray:fitted]  # both seen
values:
  # From the book.
  mass: {value: 1340 kg, source: plate}  # with a full tank
  plug:   # the drain plug
    value: 30 N·m   # tight
    source: >-
      a long
      story

  cap: {value: 25 N·m,
        source: manual}  # the last
# The end.
notes: {}
"""


def test_a_value_changes_and_every_comment_stays() -> None:
    changed = with_entry(FILE, "values", "mass", {"value": "1400 kg", "source": '"plate, again"'})
    assert changed == FILE.replace("{value: 1340 kg, source: plate}", '{value: 1400 kg, source: "plate, again"}')


def test_a_field_is_added_in_braces_and_in_lines() -> None:
    changed = with_entry(FILE, "values", "cap", {"thread": "M14"})
    assert "        source: manual, thread: M14}  # the last" in changed
    block = FILE.replace("source: >-\n      a long\n      story", "source: manual  # page 3")
    changed = with_entry(block, "values", "plug", {"thread": "M14"})
    assert "    source: manual  # page 3\n    thread: M14\n" in changed


def test_new_entries_go_to_the_end_of_their_section() -> None:
    changed = with_entry(FILE, "values", "span", {"value": "1 L"})
    assert "source: manual}  # the last\n  span: {value: 1 L}\n# The end.\n" in changed
    assert with_entry(FILE, "notes", "oil", {"say": "thin"}).endswith("notes: {oil: {say: thin}}\n")
    bare = "units: us"
    assert with_entry(bare, "values", "a", {"value": "1"}) == "units: us\nvalues:\n  a: {value: 1}"
    assert with_entry("{units: us}", "values", "a", {"value": "1"}) == "{units: us, values: {a: {value: 1}}}"


def test_an_entry_goes_with_its_lines_and_an_empty_section_stays() -> None:
    assert without_entry(FILE, "values", "mass") == "".join(
        line for line in FILE.splitlines(keepends=True) if "mass" not in line
    )
    one = "values:  # all\n  mass: {value: 1 kg}\nnotes: {a: 1, b: 2}\n"
    assert without_entry(one, "values", "mass") == "values: {}  # all\nnotes: {a: 1, b: 2}\n"
    assert without_entry(one, "notes", "a").endswith("notes: {b: 2}\n")
    assert without_entry(one, "notes", "b").endswith("notes: {a: 1}\n")
    assert without_entry(without_entry(one, "notes", "a"), "notes", "b").endswith("notes: {}\n")


def test_tags_and_words_change_alone() -> None:
    assert without_item(FILE, "tags", "tray:fitted") == FILE.replace(", tray:fitted", "")
    assert with_item(FILE, "tags", "a:b") == FILE.replace("tray:fitted]", "tray:fitted, a:b]")
    assert with_item("tags:\n- a\n- b # two\nx: 1\n", "tags", "c") == "tags:\n- a\n- b # two\n- c\nx: 1\n"
    assert without_item("tags:\n  - a\nx: 1\n", "tags", "a") == "tags: []\nx: 1\n"
    assert with_item("x: 1\n", "tags", "a") == "x: 1\ntags: [a]\n"
    assert with_scalar(FILE, "title", '"Blue"') == FILE.replace("Red car", '"Blue"')


def test_lines_that_end_as_on_windows_stay_so() -> None:
    windows = FILE.replace("\n", "\r\n")
    changed = with_entry(windows, "values", "span", {"value": "1 L"})
    assert changed.replace("\r\n", "\n") == with_entry(FILE, "values", "span", {"value": "1 L"})
    assert "\n" not in changed.replace("\r\n", "")
    assert without_entry(windows, "values", "mass").replace("\r\n", "\n") == without_entry(FILE, "values", "mass")


def test_what_is_not_foreseen_is_refused() -> None:
    with pytest.raises(Unforeseen, match="several lines"):
        with_entry(FILE, "values", "plug", {"source": "manual"})
    with pytest.raises(Unforeseen, match="no mapping"):
        with_entry("values: 3\n", "values", "plug", {"source": "manual"})
    with pytest.raises(Unforeseen, match="no list"):
        without_item("tags: a\n", "tags", "a")


@given(st.text(alphabet=st.one_of(st.sampled_from(string.printable), st.characters(codec="utf-8")), max_size=30))
def test_any_text_comes_back_from_a_file(text: str) -> None:
    written = scalar(text)
    assert read(f"a: {written}\nb: {{c: {written}, d: [{written}]}}\n")[0] == {"a": text, "b": {"c": text, "d": [text]}}


@given(st.lists(st.tuples(st.sampled_from("abcd"), st.integers(0, 9)), max_size=12), st.sampled_from(["block", "flow"]))
def test_any_changes_come_to_what_they_mean(changes: list[tuple[str, int]], style: str) -> None:
    start = {"a": {"value": 1, "source": "x"}, "b": {"value": 2, "source": "y"}}
    text = "values:\n  a: {value: 1, source: x} # one\n  b:\n    value: 2 # two\n    source: y\n# end\nunits: us\n"
    text = text if style == "block" else f"values: {json.dumps(start)}\nunits: us\n"
    for name, number in changes:
        if number == 0 and name in start:
            text, _ = without_entry(text, "values", name), start.pop(name)
        else:
            text = with_entry(text, "values", name, {"value": str(number)})
            start[name] = start.get(name, {}) | {"value": number}
        assert yaml.safe_load(text) == {"values": start, "units": "us"}
