"""What is done to steps while they are unfolded: tags of a group's use, the way on after it, stages of a tightening."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from assistant.core.data.short_form.names import IS_NAME, Item
from assistant.core.data.short_form.places import Ledger, Origin, Piece, Place

STAGE = "stage"
"""In a step with stages, `{stage}` is the id of the stage."""
_OF_THE_LAST = ("tighten", "closes", "replaces", "sets", "ends", "denied", "then", "repeat", "finding")
"""What only the last stage of a tightening has: before it the part is not closed, and its torque can't be asked for."""


@dataclass(frozen=True)
class Tags:
    """Tags that a use of a group, or a loop, adds to each of its steps, with the places where they are written."""

    when: tuple[tuple[str, Origin], ...] = ()
    unless: tuple[tuple[str, Origin], ...] = ()

    def inside(self, outer: Tags) -> Tags:
        """Return these with those of what is around."""
        return Tags((*self.when, *outer.when), (*self.unless, *outer.unless))


NO_TAGS = Tags()


def tagged(piece: Piece, tags: Tags) -> Piece:
    """Return a step with the tags added that it does not have."""
    for field, added in (("when", tags.when), ("unless", tags.unless)):
        own = piece.data.get(field, [])
        new = {tag: at for tag, at in added if isinstance(own, list) and tag not in own}
        if new:
            inner: dict[Place, Origin] = {(field, len(own) + number): at for number, at in enumerate(new.values())}
            piece = replace(piece, data={**piece.data, field: [*own, *new]}, inner={**piece.inner, **inner})
    return piece


def then_on(piece: Piece, then: Any, at: Origin, ledger: Ledger) -> Piece:
    """Return the last step of a group with the step that follows it."""
    if not isinstance(piece.data, dict) or "then" in piece.data:
        ledger.fault(at, "the last step of the group says itself what follows", piece.at)
        return piece
    return replace(piece, data={**piece.data, "then": then}, inner={**piece.inner, ("then",): at})


def staged(node: dict[Any, Any], stages: Any, at: Origin, ledger: Ledger) -> Iterator[tuple[dict[Any, Any], Item]]:
    """Yield the raw step of each stage of a tightening, with what its stage is; only the last closes the part."""
    place = at.down("tighten", "stages")
    items = [_stage(stage) for stage in stages] if isinstance(stages, list) else []
    if len(items) < 2 or not all(items):
        ledger.fault(place, "stages are two at least, as in [half, full], each a name or {id: half, name: half of it}")
    elif not isinstance(node.get("id"), str):
        ledger.fault(at, "a step with stages has an id")
    else:
        for number, item in enumerate(items, 1):
            body = {**node, "id": f"{node['id']}-{{{STAGE}}}"}
            if number < len(items):
                yield {key: one for key, one in body.items() if key not in _OF_THE_LAST}, item or Item({})
            else:
                yield {**body, "tighten": _without_stages(node["tighten"])}, item or Item({})


def duplicates(steps: Sequence[Piece], ledger: Ledger) -> None:
    """Note as faults the steps that have the same id, with both places."""
    seen: dict[str, Origin] = {}
    for piece in steps:
        name = piece.data.get("id") if isinstance(piece.data, dict) else None
        if isinstance(name, str):
            if name in seen:
                ledger.fault(piece.at.down("id"), f"two steps have the id {name!r}", seen[name].down("id"))
            seen.setdefault(name, piece.at)


def _stage(stage: Any) -> Item | None:
    fields = {"id": stage, "name": stage} if isinstance(stage, str) else stage
    if not isinstance(fields, dict) or not isinstance(fields.get("id"), str) or not IS_NAME.fullmatch(fields["id"]):
        return None
    return Item({"name": fields["id"], **fields})


def _without_stages(tighten: dict[Any, Any]) -> dict[Any, Any]:
    return {key: one for key, one in tighten.items() if key != "stages"}
