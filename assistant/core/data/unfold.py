"""Unfolds a job file: groups, loops and stages become plain definitions and plain steps, before anything is checked.

It works on raw data, as a file holds it, and returns raw data, with the way back from each place to the file, through
the groups. The rest of the program only ever sees the flat job; the format is described in `procedures/README.md`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from assistant.core.data.short_form.loops import Filler
from assistant.core.data.short_form.merging import NAMED, PLAIN, SECTIONS, WITH_ID, Definitions, trace
from assistant.core.data.short_form.places import Flat, Ledger, Origin, Piece, Place
from assistant.core.data.short_form.stepping import STAGE, Tags, duplicates, staged, tagged, then_on
from assistant.core.data.short_form.using import Groups, Source, Spot

MOST_STEPS = 2_000
"""So many steps a job may unfold into: a day holds no more."""
MOST_VALUES = 100_000
"""So many values it may unfold into in all, each counted as often as it is used."""
_SHORT = ("format", "include", "with", "lists")
"""Fields of a job that are gone once it is unfolded."""
_IN_USE = ("use", "with", "when", "unless", "then")
_IN_LOOP = ("for_each", "as", "steps", "when", "unless")


def unfold(job: Source, groups: Mapping[str, Source]) -> Flat:
    """Return a job without any short form; UnfoldError names all faults that were found.

    A group is looked up when it is used; what reading it raises is passed on.
    """
    return _Unfolding(groups).flat(job)


class _Unfolding:
    """One job while it is unfolded."""

    def __init__(self, groups: Mapping[str, Source]) -> None:
        self._ledger = Ledger(MOST_VALUES)
        self._filler = Filler(self._ledger)
        self._groups = Groups(groups, self._filler, self._ledger)
        self._definitions = Definitions(self._ledger)
        self._lists: dict[str, Piece] = {}
        self._steps: list[Piece] = []

    def flat(self, job: Source) -> Flat:
        """Return the whole job, flat."""
        top = Origin(job.file)
        if not self._groups.can_be_read(job.data, top):
            raise self._ledger.error()
        here = Spot(top, self._groups.given(job.data.get("with", {}), Spot(top.down("with"), {})))
        self._define(job.data, here)
        self._unfold_steps(self._listed(job.data, "steps", here), here.down("steps"))
        duplicates(self._steps, self._ledger)
        flat = self._laid_out(job.data, here)
        if self._ledger.faults:
            raise self._ledger.error()
        return flat

    def _laid_out(self, job: dict[Any, Any], here: Spot) -> Flat:
        data: dict[str, Any] = {}
        origins: dict[Place, Origin] = {(): here.at}
        for key, node in job.items():
            if key not in _SHORT and key not in SECTIONS and key != "steps":
                piece = self._filler.piece(node, here.at.down(key), here.scope)
                data[key] = piece.data
                trace(origins, (key,), piece)
        self._definitions.lay_out(data, origins)
        if "steps" in job:
            data["steps"] = [piece.data for piece in self._steps]
            origins["steps",] = here.at.down("steps")
        for number, piece in enumerate(self._steps):
            trace(origins, ("steps", number), piece)
        return Flat(data, origins)

    # --- definitions ---------------------------------------------------------------------------------------------

    def _define(self, data: dict[Any, Any], here: Spot) -> None:
        """Take in what a file includes, then its lists, then its own definitions."""
        for number, use in enumerate(self._listed(data, "include", here)):
            self._include(use, here.down("include", number))
        for name, node in self._named(data, "lists", here):
            self._define_list(name, node, here.down("lists", name))
        for section in NAMED:
            for name, node in self._named(data, section, here):
                self._define_named(section, name, node, here.down(section, name))
        for section in (*WITH_ID, *PLAIN):
            self._define_listed(section, self._listed(data, section, here), here.down(section))

    def _include(self, use: Any, here: Spot) -> None:
        if entered := self._groups.entered(use, here, ("use", "with")):
            group, inside = entered
            if "steps" in group:
                why = f"the group {use['use']} has steps: use it in `steps`, where they should stand"
                self._ledger.fault(here.at, why)
            self._define(group, inside)

    def _listed(self, data: dict[Any, Any], section: str, here: Spot) -> list[Any]:
        found = data.get(section, [])
        if not isinstance(found, list):
            self._ledger.fault(here.at.down(section), "it has to be a list")
        return found if isinstance(found, list) else []

    def _named(self, data: dict[Any, Any], section: str, here: Spot) -> list[tuple[Any, Any]]:
        found = data.get(section, {})
        if not isinstance(found, dict):
            self._ledger.fault(here.at.down(section), "each entry has its name before it")
        return [*found.items()] if isinstance(found, dict) else []

    def _define_list(self, name: Any, node: Any, here: Spot) -> None:
        piece = self._filler.piece(node, here.at, here.scope)
        known = self._lists.setdefault(str(name), piece)
        if known.data != piece.data:
            self._ledger.fault(piece.at, f"{name} is defined twice, and differs", known.at)
        self._filler.lists[str(name)] = known.data

    def _define_named(self, section: str, name: Any, node: Any, here: Spot) -> None:
        repeated = isinstance(node, dict) and "for_each" in node
        ways = self._filler.loop(node, here.at, here.scope) if repeated else [(node, here.at, here.scope)]
        for one, at, scope in ways:
            called = self._filler.text(str(name), at, scope)
            self._definitions.add(section, str(called), self._filler.piece(one, at, scope))

    def _define_listed(self, section: str, nodes: list[Any], here: Spot) -> None:
        for one, at, scope in self._filler.each(nodes, here.at, here.scope):
            piece = self._filler.piece(one, at, scope)
            name = piece.data.get("id") if section in WITH_ID and isinstance(piece.data, dict) else None
            self._definitions.add(section, name if isinstance(name, str) else repr(piece.data), piece)

    # --- steps ---------------------------------------------------------------------------------------------------

    def _unfold_steps(self, nodes: list[Any], here: Spot) -> None:
        for number, node in enumerate(nodes):
            spot = here.down(number)
            if not isinstance(node, dict):
                self._ledger.fault(spot.at, "a step has fields: id, title, where, say, why")
            elif "use" in node:
                self._use(node, spot)
            elif "for_each" in node:
                self._repeat(node, spot)
            else:
                self._step(node, spot)

    def _use(self, node: dict[Any, Any], here: Spot) -> None:
        entered = self._groups.entered(node, here, _IN_USE)
        if not entered:
            return
        group, inside = entered
        if "steps" not in group:
            self._ledger.fault(here.at, f"the group {node['use']} has no steps: take it with `include`")
        before = len(self._steps)
        self._define(group, inside)
        inside = replace(inside, tags=self._tags(node, here))
        self._unfold_steps(self._listed(group, "steps", inside), inside.down("steps"))
        if "then" in node and len(self._steps) > before:
            then = self._filler.piece(node["then"], here.at.down("then"), here.scope)
            self._steps[-1] = then_on(self._steps[-1], then.data, then.at, self._ledger)

    def _repeat(self, node: dict[Any, Any], here: Spot) -> None:
        self._groups.only(node, _IN_LOOP, here.at, "a loop in `steps`")
        if "steps" not in node:
            self._ledger.fault(here.at, "a loop in `steps` holds `steps`")
        for body, at, scope in self._filler.loop(node, here.at, here.scope):
            inside = Spot(at, scope, loops=(*here.loops, node["as"]))
            inside = replace(inside, tags=self._tags(body, replace(inside, tags=here.tags)))
            self._unfold_steps(self._listed(body, "steps", inside), inside.down("steps"))

    def _tags(self, node: dict[Any, Any], here: Spot) -> Tags:
        """Return the tags that a use or a loop adds, with those of what is around it."""
        return Tags(*(self._added(node, field, here) for field in ("when", "unless"))).inside(here.tags)

    def _added(self, node: dict[Any, Any], field: str, here: Spot) -> tuple[tuple[str, Origin], ...]:
        tags = self._filler.piece(self._listed(node, field, here), here.at.down(field), here.scope).data
        for number, tag in enumerate(tags):
            if not isinstance(tag, str):
                self._ledger.fault(here.at.down(field, number), "a tag is a text")
        return tuple((tag, here.at.down(field, number)) for number, tag in enumerate(tags) if isinstance(tag, str))

    def _step(self, node: dict[Any, Any], here: Spot) -> None:
        for name in here.loops:
            if f"{{{name}}}" not in str(node.get("id")):
                why = f"in this loop the id of each step holds {{{name}}}, so that no two have the same"
                self._ledger.fault(here.at.down("id"), why)
        if isinstance(node.get("tighten"), dict) and "stages" in node["tighten"]:
            self._stages(node, here)
        else:
            self._append(self._filler.piece(node, here.at, here.scope), here)

    def _stages(self, node: dict[Any, Any], here: Spot) -> None:
        if STAGE in here.scope:
            self._ledger.fault(here.at, f"{STAGE} already stands for something here: take another name there")
        stages = self._filler.piece(node["tighten"]["stages"], here.at.down("tighten", "stages"), here.scope)
        for body, item in staged(node, stages.data, here.at, self._ledger):
            self._append(self._filler.piece(body, here.at, {**here.scope, STAGE: item}), here)

    def _append(self, piece: Piece, here: Spot) -> None:
        if len(self._steps) == MOST_STEPS:
            self._ledger.fault(here.at, f"it unfolds into more than {MOST_STEPS} steps")
            raise self._ledger.error()
        if isinstance(piece.data, dict):
            piece = tagged(piece, here.tags)
        self._steps.append(piece)
