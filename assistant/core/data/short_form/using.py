"""Groups that are used: found by name, never in a circle, and given what their parameters stand for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from assistant.core.data.short_form.loops import Filler
from assistant.core.data.short_form.merging import SECTIONS
from assistant.core.data.short_form.names import IS_NAME, Scope, whole_item
from assistant.core.data.short_form.places import Ledger, Origin, Use
from assistant.core.data.short_form.stepping import NO_TAGS, Tags

FORMAT = 2
"""The format of job and group files that is read."""
DEEPEST = 20
"""So many groups may use each other inside each other."""
USE_COUNTS = 25
"""A use of a group counts as so many values: looking at its file takes as long."""
IN_GROUP = ("format", "group", "about", "parameters", "include", "lists", *SECTIONS, "steps")
"""The fields that a group may have."""


@dataclass(frozen=True)
class Source:
    """The raw data of a file, and how the file is called in faults."""

    file: str
    data: Any


@dataclass(frozen=True)
class Spot:
    """A place in a file and what holds there: what names stand for, the tags that steps get, and the loops around."""

    at: Origin
    scope: Scope
    tags: Tags = NO_TAGS
    loops: tuple[str, ...] = ()

    def down(self, *keys: int | str) -> Spot:
        """Return the spot of what stands below."""
        return replace(self, at=self.at.down(*keys))


class Groups:
    """The groups that there are."""

    def __init__(self, sources: Mapping[str, Source], filler: Filler, ledger: Ledger) -> None:
        self._sources = sources
        self._filler = filler
        self._ledger = ledger

    def entered(self, use: Any, here: Spot, allowed: tuple[str, ...]) -> tuple[dict[Any, Any], Spot] | None:
        """Return the data of a group that is used, and the spot at its top; None where it can't be used, a fault."""
        if not isinstance(use, dict) or not isinstance(use.get("use"), str):
            self._ledger.fault(here.at, "a group is used by its name: {use: NAME, with: {PARAMETER: ...}}")
            return None
        self._ledger.spend(here.at, USE_COUNTS)
        self.only(use, allowed, here.at, "a use of a group")
        name = use["use"]
        source = self._looked_up(name, here.at)
        if source is None:
            return None
        top = Origin(source.file, (), (*here.at.way, Use(name, here.at.file, here.at.place)))
        if not self.can_be_read(source.data, top):
            return None
        self.only(source.data, IN_GROUP, top, "a group")
        if source.data.get("group") != name:
            self._ledger.fault(top.down("group"), f"the file is called {name}, so write `group: {name}`")
        return source.data, Spot(top, self._parameters(source.data, use, here, top), here.tags)

    def can_be_read(self, data: Any, at: Origin) -> bool:
        """Return whether a file has the format that is read; a fault where it has not."""
        if not isinstance(data, dict):
            self._ledger.fault(at, "it holds no fields")
        elif "format" not in data:
            self._ledger.fault(at, f"it does not say which format it has: write `format: {FORMAT}` at its top")
        elif data["format"] != FORMAT:
            self._ledger.fault(at.down("format"), f"this program reads format {FORMAT}, and no other")
        else:
            return True
        return False

    def only(self, node: dict[Any, Any], allowed: tuple[str, ...], at: Origin, what: str) -> None:
        """Note as faults the fields that are not allowed."""
        for key in node:
            if key not in allowed:
                self._ledger.fault(at.down(key), f"{what} has no field {str(key)[:40]!r}; it has {', '.join(allowed)}")

    def given(self, node: Any, here: Spot) -> dict[str, Any]:
        """Return what is given for parameters; an item of a list is handed on whole."""
        if not isinstance(node, dict):
            self._ledger.fault(here.at, "each parameter has its name before what is given for it")
            return {}
        given = {}
        for name, one in node.items():
            if self._is_name(name, here.at.down(name)):
                copy = self._filler.piece(one, here.at.down(name), here.scope).data
                given[name] = whole_item(one, here.scope) or copy
        return given

    def _is_name(self, name: Any, at: Origin) -> bool:
        fits = isinstance(name, str) and IS_NAME.fullmatch(name) is not None
        if not fits:
            self._ledger.fault(at, "a parameter is named in lower-case letters and digits, with - between them")
        return fits

    def _looked_up(self, name: str, at: Origin) -> Source | None:
        used = [use.group for use in at.way]
        if name in used:
            circle = " uses ".join([*used[used.index(name) :], name])
            self._ledger.fault(at.down("use"), f"groups use each other in a circle: {circle}")
        elif len(used) >= DEEPEST:
            self._ledger.fault(at.down("use"), f"more than {DEEPEST} groups use each other inside each other")
        elif name not in self._sources:
            known = ", ".join(sorted(self._sources)) or "none"
            self._ledger.fault(at.down("use"), f"there is no group {name[:40]!r}; there are: {known}")
        else:
            return self._sources[name]
        return None

    def _parameters(self, group: dict[Any, Any], use: dict[Any, Any], here: Spot, top: Origin) -> Scope:
        """Return what the parameters of a group stand for: as given, as usual, or as around the place of its use."""
        given = self.given(use.get("with", {}), here.down("with"))
        declared = group.get("parameters", {})
        if not isinstance(declared, dict):
            self._ledger.fault(top.down("parameters"), "each parameter has its name before what it is")
            return {}
        for name in given:
            if name not in declared:
                known = ", ".join(map(str, declared)) or "none"
                self._ledger.fault(here.at.down("with", name), f"{use['use']} has no such parameter; it has: {known}")
        return {
            name: given[name] if name in given else self._not_given(name, about, f"{use['use']} needs", here)
            for name, about in declared.items()
            if self._is_name(name, top.down("parameters", name))
        }

    def _not_given(self, name: str, about: Any, needs: str, here: Spot) -> Any:
        if isinstance(about, dict) and "usual" in about:
            return about["usual"]
        if name not in here.scope:
            what = about.get("about") if isinstance(about, dict) else about
            self._ledger.fault(here.at, f"{needs} the parameter {name} ({what}): give it `with`")
        return here.scope.get(name, name)
