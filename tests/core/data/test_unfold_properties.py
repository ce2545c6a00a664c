"""Whatever a file holds, it unfolds to what a plain reading by hand gives, or is refused at a place that there is."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.core.data.short_form.places import Flat, Origin, UnfoldError
from assistant.core.data.short_form.using import Source
from assistant.core.data.unfold import unfold

pytestmark = pytest.mark.pure

# --- the same by hand: names are replaced in the written text, and nothing is remembered -----------------------------

LISTS = {"one": [{"id": "i", "name": "item"}], "two": [{"id": "l", "name": "left"}, {"id": "r", "name": "right"}]}


OPEN = "⟨"
"""In place of the brace of a name that was none where it was written: it is none where it is handed to, either."""


class Wrong(Exception):  # noqa: N818
    """The file can't be meant."""


def replaced(node: Any, scope: dict[str, str]) -> Any:
    text = json.dumps(node)
    for name, value in scope.items():
        text = text.replace(f"{{{name}}}", value)
    if any(f"{{{name}.name}}" in text for name in scope if "." not in name and f"{name}.name" not in scope):
        raise Wrong("no item, and no name")
    return json.loads(text)


class ByHand:
    def __init__(self, groups: dict[str, Any]) -> None:
        self.groups = groups
        self.parts: dict[str, Any] = {}
        self.steps: list[Any] = []

    def enter(self, use: Any, scope: dict[str, str], deep: int) -> tuple[Any, dict[str, str]]:
        if use["use"] not in self.groups or deep > 5:
            raise Wrong("no such group, or a circle")
        group = self.groups[use["use"]]
        inner = {}
        if set(use["with"]) - set(group["parameters"]):
            raise Wrong("no such parameter")
        for name in group["parameters"]:
            meant = use["with"].get(name, f"{{{name}}}")
            if name not in use["with"] and name not in scope:
                raise Wrong("a parameter is lacking")
            inner[name] = replaced(meant, scope).replace("{", OPEN)
            if f"{meant[1:-1]}.name" in scope:
                inner[f"{name}.name"] = scope[f"{meant[1:-1]}.name"]
        return group, inner

    def define(self, data: Any, scope: dict[str, str], deep: int) -> None:
        for use in data["include"]:
            group, inner = self.enter(use, scope, deep + 1)
            if "steps" in group:
                raise Wrong("steps have no place")
            self.define(group, inner, deep + 1)
        for part in data["parts"]:
            part = replaced(part, scope)
            if self.parts.setdefault(part["id"], part) != part:
                raise Wrong("a clash")

    def follow(self, nodes: Any, scope: dict[str, str], when: list[str], loops: list[str], deep: int) -> None:
        for node in nodes:
            if "use" in node:
                group, inner = self.enter(node, scope, deep + 1)
                if "steps" not in group:
                    raise Wrong("no steps")
                self.define(group, inner, deep + 1)
                self.follow(group["steps"], inner, [*replaced(node["when"], scope), *when], [], deep + 1)
            elif "for_each" in node:
                if node["for_each"] not in LISTS or node["as"] in scope:
                    raise Wrong("no such list, or a name that is taken")
                for item in LISTS[node["for_each"]]:
                    names = {node["as"]: item["id"], f"{node['as']}.name": item["name"]}
                    self.follow(node["steps"], scope | names, when, [*loops, node["as"]], deep)
            elif not all(f"{{{name}}}" in node["id"] for name in loops):
                raise Wrong("an id without its item")
            else:
                step = replaced(node, scope)
                tags = [*step["when"], *(tag for tag in dict.fromkeys(when) if tag not in step["when"])]
                self.steps.append({**step, "when": tags})


def by_hand(job: Any, groups: dict[str, Any]) -> dict[str, Any]:
    hand = ByHand(groups)
    hand.define(job, {}, 0)
    hand.follow(job["steps"], {}, [], [], 0)
    if max(Counter(step["id"] for step in hand.steps).values(), default=1) > 1:
        raise Wrong("two steps with one id")
    return json.loads(
        json.dumps({"parts": [*hand.parts.values()], "steps": hand.steps}, ensure_ascii=False).replace(OPEN, "{")
    )  # type: ignore[no-any-return]


# --- small files by chance -------------------------------------------------------------------------------------------

text = st.lists(st.sampled_from(["{p}", "{q}", "{w}", "{v}", "{w.name}", "{mass}", "x", "-"]), min_size=1, max_size=3)
words = text.map("".join)
tags = st.lists(st.sampled_from(["a", "b", "c{p}"]), max_size=2, unique=True)
number = st.integers(0, 10**9)
"""Makes ids differ: most files should be right."""
names = st.sampled_from(["wide", "deep"] * 5 + ["none"])
meant = st.one_of(words, st.just("{w}"))
given_names = st.sampled_from(["pq"] * 9 + ["p"]).flatmap(
    lambda names: st.fixed_dictionaries(dict.fromkeys(names, meant))
)
uses = st.fixed_dictionaries({"use": names, "with": given_names, "when": tags})
includes = st.fixed_dictionaries({"use": st.sampled_from(["bare"] * 9 + ["wide"]), "with": given_names})
parts = st.fixed_dictionaries({"id": st.one_of(words, st.just("lid-{p}")), "name": words})
loose = st.builds(lambda name, say, when, n: {"id": f"{name}{n}", "say": say, "when": when}, words, words, tags, number)


def loops(inner: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    def named(name: str, of: str, nodes: list[Any]) -> Any:
        for node in nodes:
            if "id" in node and len(node["say"]) % 7:  # now and then an id lacks its item
                node["id"] += f"-{{{name}}}"
        return {"for_each": of, "as": name, "steps": nodes}

    lists = st.sampled_from([*LISTS] * 5 + ["none"])
    return st.builds(named, st.sampled_from(["w", "v"]), lists, st.lists(inner, min_size=1, max_size=2))


nodes = st.lists(st.recursive(st.one_of(loose, uses), loops, max_leaves=3), min_size=1, max_size=3)
parameters = st.sampled_from(["pq"] * 9 + ["p", ""]).map(lambda names: dict.fromkeys(names, "what it is"))
jobs = st.fixed_dictionaries({"include": st.lists(includes, max_size=1), "parts": st.lists(parts, max_size=1),
                              "steps": nodes})  # fmt: skip


@st.composite
def files(draw: st.DrawFn) -> tuple[Any, dict[str, Any]]:
    groups = {}
    for name in ("wide", "deep", "bare"):
        groups[name] = {"format": 2, "group": name, "parameters": draw(parameters), **draw(jobs)}
    del groups["bare"]["steps"]
    return {"format": 2, "lists": LISTS, **draw(jobs)}, groups


def unfolded(job: Any, groups: dict[str, Any]) -> Flat:
    return unfold(Source("job", job), {name: Source(name, data) for name, data in groups.items()})


def reached(at: Origin, job: Any, groups: dict[str, Any]) -> Any:
    """Return what stands at a place of a file; KeyError or IndexError where nothing does."""
    found = {"job": job, **groups}[at.file]
    for key in at.place:
        found = found[key]
    return found


def leaves(node: Any, place: tuple[int | str, ...] = ()) -> Iterator[tuple[tuple[int | str, ...], Any]]:
    inner = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, one in inner:
        yield from leaves(one, (*place, key))
    if not isinstance(node, dict | list):
        yield place, node


outcomes: Counter[str] = Counter()


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(files())
def check_by_hand(both: tuple[Any, dict[str, Any]]) -> None:
    job, groups = both
    try:
        expected = by_hand(job, groups)
    except Wrong as wrong:
        outcomes[str(wrong)] += 1
        with pytest.raises(UnfoldError) as refused:
            unfolded(job, groups)
        for fault in refused.value.faults:
            reached(fault.at, job, groups)
        return
    outcomes["with steps" if expected["steps"] else "empty"] += 1
    flat = unfolded(job, groups)
    assert {"parts": [], **flat.data} == expected
    for place, one in leaves(flat.data):
        written = reached(flat.origin(place), job, groups)
        assert written == one or "{" in written, (place, one, written)


def test_files_unfold_to_what_is_read_by_hand() -> None:
    outcomes.clear()
    check_by_hand()
    assert outcomes["with steps"] > 20, outcomes
    assert sum(count for kind, count in outcomes.items() if kind not in ("with steps", "empty")) > 20, outcomes


# --- nonsense ------------------------------------------------------------------------------------------------------

fields = st.sampled_from(
    [
        "format",
        "group",
        "use",
        "with",
        "for_each",
        "as",
        "steps",
        "include",
        "lists",
        "parts",
        "id",
        "values",
        "gates",
        "things",
        "tighten",
        "stages",
        "when",
        "then",
        "parameters",
        "usual",
        "w",
    ]
)
scalars = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-2, 3),
    st.just(1.5),
    st.sampled_from(["{w}", "{w.name}", "{stage}", "w", "g", "h", "l", "}{", "{", "{w} {x}"]),
)
trees = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(fields | st.integers(0, 1), inner, max_size=4),
    max_leaves=25,
)  # fmt: skip
sections = st.dictionaries(fields, trees, max_size=6)


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(sections, sections, sections)
def test_nonsense_is_refused_at_a_place_or_unfolds(one: Any, two: Any, three: Any) -> None:
    groups = {"g": {"group": "g", **two, "format": 2}, "h": {"group": "h", **three, "format": 2}}
    job = {"lists": {"l": LISTS["two"]}, **one, "format": 2}
    try:
        flat = unfolded(job, groups)
    except UnfoldError as error:
        assert error.faults
        for fault in error.faults:
            reached(fault.at, job, groups) if fault.at.place else None
            assert fault.why
        return
    for place, _ in leaves(flat.data):
        assert flat.origin(place).file in {"job", *groups}
