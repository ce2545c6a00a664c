"""Groups, loops and stages become plain definitions and steps, with the way back; the rest is refused at its place."""

from __future__ import annotations

from typing import Any

import pytest

from assistant.core.data.short_form.places import Flat, Origin, UnfoldError, Use
from assistant.core.data.short_form.using import Source
from assistant.core.data.unfold import unfold
from assistant.system import strict_yaml

LISTS = "lists: {wheels: [{id: left, name: left wheel, side: near}, {id: right, name: right wheel, side: far}]}"


def flat(job: str, **groups: str) -> Flat:
    """Return the flat form of a job written in YAML without its format, with groups written so too."""
    sources = {name.replace("_", "-"): text for name, text in groups.items()}
    return unfold(
        Source("job", strict_yaml.read(f"format: 2\n{job}")[0]),
        {
            name: Source(name, strict_yaml.read(f"format: 2\ngroup: {name}\n{text}")[0])
            for name, text in sources.items()
        },
    )


def refused(job: str, **groups: str) -> list[tuple[str, tuple[int | str, ...], str]]:
    """Return file, place and reason of each fault."""
    with pytest.raises(UnfoldError) as error:
        flat(job, **groups)
    return [(fault.at.file, fault.at.place, fault.why) for fault in error.value.faults]


def ids(data: Any) -> list[str]:
    return [step["id"] for step in data["steps"]]


def test_a_group_stands_where_it_is_used_with_its_parameters_and_tags() -> None:
    job = flat(
        "steps:\n  - {id: first}\n  - {use: up, with: {end: front}, when: [lift:stands], unless: [done], then: first}",
        up="parameters: {end: which}\nsteps:\n  - {id: 'raise-{end}', say: 'The {end}, {mass}.', when: [one]}\n"
        "  - {id: lock, when: [lift:stands]}",
    )
    assert job.data["steps"] == [
        {"id": "first"},
        {"id": "raise-front", "say": "The front, {mass}.", "when": ["one", "lift:stands"], "unless": ["done"]},
        {"id": "lock", "when": ["lift:stands"], "unless": ["done"], "then": "first"},
    ]
    way = (Use("up", "job", ("steps", 1)),)
    assert job.origin(("steps", 1, "say")) == Origin("up", ("steps", 0, "say"), way)
    assert job.origin(("steps", 1, "when", 0)) == Origin("up", ("steps", 0, "when", 0), way)
    assert job.origin(("steps", 1, "when", 1)) == Origin("job", ("steps", 1, "when", 0))
    assert job.origin(("steps", 2, "then")) == Origin("job", ("steps", 1, "then"))


def test_a_parameter_is_as_given_as_usual_or_as_around() -> None:
    group = "parameters: {a: one, b: {about: two, usual: 2}}\nthings: ['{a}', '{b}', 'is {b}']"
    assert flat("include: [{use: inner, with: {a: y, b: z}}]", inner=group).data["things"] == ["y", "z", "is z"]
    outer = "parameters: {a: one}\ninclude: [{use: inner}]"
    assert flat("include: [{use: inner, with: {a: [x]}}]", inner=group).data["things"] == [["x"], 2, "is 2"]
    assert flat("with: {a: y, b: z}\ninclude: [{use: inner}]", inner=group).data["things"] == ["y", 2, "is 2"]
    assert flat("include: [{use: outer, with: {a: y}}]", inner=group, outer=outer).data["things"] == ["y", 2, "is 2"]
    assert refused("include: [{use: inner, with: {c: 1}}]", inner=group) == [
        ("job", ("include", 0, "with", "c"), "inner has no such parameter; it has: a, b"),
        ("job", ("include", 0), "inner needs the parameter a (one): give it `with`"),
    ]


def test_definitions_of_groups_come_first_and_the_same_counts_once() -> None:
    engine = "conditions: [{id: running, name: It runs}]\nthings: [the key]"
    job = flat(
        "include: [{use: raised}, {use: engine}]\nvalues: {mass: {kind: mass}}\nconditions: [{id: own}]\n"
        "things: [the key, the pan]\nsteps: [{use: last}]",
        engine=engine, raised="include: [{use: engine}]\nconditions: [{id: up}]", last="parts: [{id: lid}]\nsteps: []",
    )  # fmt: skip
    assert [one["id"] for one in job.data["conditions"]] == ["running", "up", "own"]
    assert (job.data["things"], job.data["parts"], job.data["steps"]) == (["the key", "the pan"], [{"id": "lid"}], [])
    assert job.origin(("conditions", 0, "name")).place == ("conditions", 0, "name")
    assert [use.group for use in job.origin(("conditions", 0)).way] == ["raised", "engine"]


def test_a_clash_names_both_places() -> None:
    with pytest.raises(UnfoldError) as error:
        flat("include: [{use: one}]\nparts: [{id: lid, name: a lid}]", one="parts: [{id: lid, name: the lid}]")
    (fault,) = error.value.faults
    assert (fault.at, fault.why) == (Origin("job", ("parts", 0)), "lid is defined twice, and differs")
    assert fault.other == Origin("one", ("parts", 0), (Use("one", "job", ("include", 0)),))


def test_loops_stand_once_an_item_wherever_there_is_a_list() -> None:
    job = flat(
        f"{LISTS}\nparts:\n  - {{id: lid}}\n"
        "  - {for_each: wheels, as: wheel, id: 'nuts-{wheel}', name: '{wheel.name}'}\n"
        "values:\n  'torque-{wheel}': {for_each: wheels, as: wheel, name: 'on the {wheel.side} side'}\n"
        "gates:\n  - {id: g, asks: [{id: a}, {for_each: wheels, as: wheel, id: 'ask-{wheel}'}, {id: b}]}\n"
        "steps:\n  - for_each: wheels\n    as: wheel\n    when: [go]\n"
        "    steps: [{id: 'off-{wheel}', say: 'Take {wheel.name} off {other}.'}]\n"
    )  # fmt: skip
    assert [part["id"] for part in job.data["parts"]] == ["lid", "nuts-left", "nuts-right"]
    assert job.data["values"] == {
        "torque-left": {"name": "on the near side"},
        "torque-right": {"name": "on the far side"},
    }
    assert [ask["id"] for ask in job.data["gates"][0]["asks"]] == ["a", "ask-left", "ask-right", "b"]
    assert job.data["steps"][1] == {"id": "off-right", "say": "Take right wheel off {other}.", "when": ["go"]}
    assert job.origin(("gates", 0, "asks", 3, "id")) == Origin("job", ("gates", 0, "asks", 2, "id"))
    assert job.origin(("steps", 1, "say")) == Origin("job", ("steps", 0, "steps", 0, "say"))
    assert job.origin(("values", "torque-left", "name")) == Origin("job", ("values", "torque-{wheel}", "name"))
    assert "lists" not in job.data and "format" not in job.data


def test_an_item_goes_into_a_group_with_all_its_fields() -> None:
    group = "parameters: {it: a wheel}\nsteps: [{id: 'off-{it}', say: '{it.name}'}]"
    loop = f"{LISTS}\nsteps: [{{for_each: wheels, as: wheel, steps: [{{use: away, with: {{it: '{{wheel}}'}}}}]}}]"
    assert [step["say"] for step in flat(loop, away=group).data["steps"]] == ["left wheel", "right wheel"]
    by_name = loop.replace("as: wheel", "as: it").replace(", with: {it: '{wheel}'}", "")
    assert flat(by_name, away=group).data == flat(loop, away=group).data


def test_a_list_may_come_from_a_group_and_be_named_by_a_parameter() -> None:
    group = "parameters: {end: which}\nsteps: [{for_each: '{end}-wheels', as: w, steps: [{id: 'a-{w}'}]}]"
    lists = "lists: {front-wheels: [{id: one, name: the one}]}"
    assert ids(flat("include: [{use: lists}]\nsteps: [{use: g, with: {end: front}}]", g=group, lists=lists).data) == [
        "a-one"
    ]
    assert (
        "there is no list 'back-wheels'; there are: none"
        in refused("steps: [{use: g, with: {end: back}}]", g=group)[0][2]
    )


def test_only_the_last_stage_of_a_tightening_closes_the_part() -> None:
    job = flat(
        "steps:\n  - {id: nuts, say: 'To {stage.name}.', needs: [g], closes: [nut], then: last,"
        " tighten: {part: nut, ask: How much, stages: [{id: half, name: half the torque}, full]}}\n  - {id: last}"
    )
    assert job.data["steps"] == [
        {"id": "nuts-half", "say": "To half the torque.", "needs": ["g"]},
        {"id": "nuts-full", "say": "To full.", "needs": ["g"], "closes": ["nut"], "then": "last",
         "tighten": {"part": "nut", "ask": "How much"}},
        {"id": "last"},
    ]  # fmt: skip
    assert job.origin(("steps", 1, "tighten", "ask")) == Origin("job", ("steps", 0, "tighten", "ask"))


FAULTS = {
    "no such group": ("steps: [{use: uo}]", ("job", ("steps", 0, "use"), "there is no group 'uo'")),
    "a group with steps is included": ("include: [{use: up}]", ("job", ("include", 0), "has steps")),
    "a group without steps in steps": ("steps: [{use: bare}]", ("job", ("steps", 0), "has no steps")),
    "a circle": ("steps: [{use: round}]", ("again", ("include", 0, "use"), "in a circle: round uses again uses round")),
    "a use with another field": ("steps: [{use: up, id: x}]", ("job", ("steps", 0, "id"), "has no field 'id'")),
    "a group with another field": ("include: [{use: odd}]", ("odd", ("title",), "a group has no field 'title'")),
    "a group with another name": ("include: [{use: named}]", ("named", ("group",), "write `group: named`")),
    "no such list": ("steps: [{for_each: x, as: w, steps: []}]", ("job", ("steps", 0, "for_each"), "there is no list")),
    "a loop without a name": ("parts: [{for_each: wheels, id: a}]", ("job", ("parts", 0), "says `as`")),
    "a name that is taken": (
        "with: {w: x}\nparts: [{for_each: wheels, as: w, id: a}]", ("job", ("parts", 0, "as"), "already stands")),
    "an item without a name": (
        "steps: [{for_each: [{id: a}], as: w, steps: []}]", ("job", ("steps", 0, "for_each"), "an `id` and a `name`")),
    "no such field of an item": (
        "parts: [{for_each: wheels, as: w, id: '{w.size}'}]", ("job", ("parts", 0, "id"), "has id, name, side")),
    "an id without the item": (
        "steps: [{for_each: wheels, as: w, steps: [{id: off}]}]",
        ("job", ("steps", 0, "steps", 0, "id"), "the id of each step holds {w}")),
    "two steps with one id": ("steps: [{id: a}, {id: a}]", ("job", ("steps", 1, "id"), "two steps have the id 'a'")),
    "a list in a text": ("with: {a: [x]}\ntitle: 'The {a}.'", ("job", ("title",), "neither a text nor a number")),
    "braces without quotes": ("with: {a: x}\ntitle: {a}", ("job", ("title",), 'between quotation marks: "{a}"')),
    "one stage": ("steps: [{id: a, tighten: {stages: [b]}}]", ("job", ("steps", 0, "tighten", "stages"), "at least")),
    "a way on twice": ("steps: [{use: led, then: a}]", ("job", ("steps", 0, "then"), "says itself what follows")),
    "a section of another kind": ("parts: 5", ("job", ("parts",), "it has to be a list")),
}  # fmt: skip


@pytest.mark.parametrize("name", [*FAULTS])
def test_what_can_not_be_unfolded_is_refused_at_its_place(name: str) -> None:
    job, (file, place, why) = FAULTS[name]
    faults = refused(
        f"{LISTS}\n{job}",
        up="steps: [{id: up}]", bare="parts: [{id: a}]", round="include: [{use: again}]\nsteps: []",
        again="include: [{use: round}]", odd="title: x", led="steps: [{id: o, then: o}]",
    ) if name != "a group with another name" else _misnamed(job)  # fmt: skip
    assert any(fault[:2] == (file, place) and why in fault[2] for fault in faults), faults


def _misnamed(job: str) -> list[Any]:
    with pytest.raises(UnfoldError) as error:
        unfold(Source("job", strict_yaml.read(f"format: 2\n{job}")[0]), {"named": Source("named", {"format": 2})})
    return [(fault.at.file, fault.at.place, fault.why) for fault in error.value.faults]


@pytest.mark.parametrize(
    ("data", "why"), [(None, "no fields"), ({}, "write `format: 2`"), ({"format": 3}, "format 2, and no other")]
)
def test_another_format_is_refused(data: Any, why: str) -> None:
    with pytest.raises(UnfoldError, match=why):
        unfold(Source("job", data), {})


def test_what_doubles_without_end_is_stopped() -> None:
    doubling = {
        f"g{number}": f"parameters: {{a: x}}\n"
        f"steps: [{{use: g{number + 1}, with: {{a: '{{a}}{{a}}'}}}}, {{use: g{number + 1}}}]"
        for number in range(19)
    }  # fmt: skip
    job = "steps: [{use: g0, with: {a: word}}]"
    bare = {name: text.replace("'{a}{a}'", "'{a}'") for name, text in doubling.items()}
    assert "values" in refused(job, **bare, g19="parameters: {a: x}\nsteps: []")[-1][2]
    assert "longer than" in refused(job, **doubling, g19="parameters: {a: x}\nsteps: []")[0][2]
    many = f"lists: {{l: [{', '.join(f'{{id: i{number}, name: x}}' for number in range(50))}]}}\n"
    loops = "steps: [{for_each: l, as: a, steps: [{for_each: l, as: b, steps: [{id: '{a}-{b}'}]}]}]"
    assert refused(many + loops)[-1][2] == "it unfolds into more than 2000 steps"


def test_what_is_around_a_group_counts_in_the_groups_that_it_uses() -> None:
    outer = "steps: [{use: inner, unless: [wet]}]"
    inner = "steps: [{id: a, when: [own]}]"
    job = flat(f"{LISTS}\nsteps: [{{use: outer, when: [cold]}}]", outer=outer, inner=inner)
    assert job.data["steps"] == [{"id": "a", "when": ["own", "cold"], "unless": ["wet"]}]
    looped = f"{LISTS}\nsteps: [{{for_each: wheels, as: w, when: ['{{w}}'], steps: [{{use: outer}}]}}]"
    named = inner.replace("steps", "parameters: {w: a wheel}\nsteps").replace("id: a", "id: 'a-{w}'")
    through = outer.replace("steps", "parameters: {w: a wheel}\nsteps")
    assert [step["when"] for step in flat(looped, outer=through, inner=named).data["steps"]] == [
        ["own", "left"],
        ["own", "right"],
    ]


def test_a_group_says_which_ways_of_building_it_knows() -> None:
    group = "built: [{ask: Which, options: [{tag: bolts}, {tag: studs}]}]\none_of: [[disc, drum]]"
    data = flat("include: [{use: wheel}]\none_of: [[disc, drum], [a, b]]", wheel=group).data
    assert data["built"] == [{"ask": "Which", "options": [{"tag": "bolts"}, {"tag": "studs"}]}]
    assert data["one_of"] == [["disc", "drum"], ["a", "b"]]


def test_a_list_of_a_group_that_is_included_serves_for_parts() -> None:
    job = "include: [{use: lists}]\nparts: [{for_each: wheels, as: wheel, id: 'hub-{wheel}'}]"
    assert flat(job, lists=LISTS).data["parts"] == [{"id": "hub-left"}, {"id": "hub-right"}]
    assert refused("lists: {wheels: [{id: a, name: b}]}\ninclude: [{use: lists}]", lists=LISTS) == [
        ("job", ("lists", "wheels"), "wheels is defined twice, and differs")
    ]
