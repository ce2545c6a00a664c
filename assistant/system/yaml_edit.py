"""Changes single entries of a YAML file as text: comments, order and all that is not changed stay as they are.

Every function takes a text and returns the changed one. Whoever calls them reads the result back, and compares it with
what was meant: what somebody wrote in a way that is not foreseen here comes out wrong, or as no YAML, and is refused.
"""

from __future__ import annotations

from collections.abc import Mapping

import yaml

from assistant.system import strict_yaml

Item = tuple[yaml.Node, yaml.Node]
"""Where an entry begins and where it ends: a key and its value, or one of a list, twice."""


class Unforeseen(ValueError):  # noqa: N818 — the shortest true name
    """The text can't be changed so by command."""


def with_scalar(text: str, key: str, written: str) -> str:
    """Return a text with another value of one of its outermost keys, which may be new."""
    root = _root(text)
    value = _value(root, key)
    return _added(text, root, f"{key}: {written}") if value is None else _replaced(text, value, written)


def with_entry(text: str, section: str, name: str, fields: Mapping[str, str]) -> str:
    """Return a text with an entry in a section, as `name: {field: value}`; of one that is there the fields change."""
    whole = f"{name}: {{{', '.join(f'{field}: {written}' for field, written in fields.items())}}}"
    root = _root(text)
    found = _value(root, section)
    if found is None:
        inside = f" {{{whole}}}" if root.flow_style else f"{_newline(text)}  {whole}"
        return _added(text, root, f"{section}:{inside}")
    if _value(found, name) is None:
        return _added(text, found, whole)
    for field, written in fields.items():
        entry = _value(_value(_root(text), section), name)
        value = _value(entry, field)
        text = _replaced(text, value, written) if value else _added(text, entry, f"{field}: {written}")
    return text


def without_entry(text: str, section: str, name: str) -> str:
    """Return a text without an entry of a section."""
    node = _mapping(_value(_root(text), section))
    place = next(number for number, (key, _) in enumerate(node.value) if key.value == name)
    return _removed(text, section, node, place)


def with_item(text: str, section: str, written: str) -> str:
    """Return a text with one more in a list, which may be new."""
    root = _root(text)
    found = _value(root, section)
    return _added(text, root, f"{section}: [{written}]") if found is None else _added(text, found, written)


def without_item(text: str, section: str, item: str) -> str:
    """Return a text without one of a list."""
    node = _value(_root(text), section)
    if not isinstance(node, yaml.SequenceNode):
        raise Unforeseen(f"{section} is no list")
    place = next(number for number, one in enumerate(node.value) if one.value == item)
    return _removed(text, section, node, place)


# --- nodes ---


def _root(text: str) -> yaml.MappingNode:
    return _mapping(strict_yaml.read(text)[1])


def _mapping(node: yaml.Node | None) -> yaml.MappingNode:
    if not isinstance(node, yaml.MappingNode):
        raise Unforeseen("it is no mapping")
    return node


def _value(node: yaml.Node | None, key: str) -> yaml.Node | None:
    pairs: list[Item] = _mapping(node).value
    return next((value for name, value in pairs if name.value == key), None)


def _items(node: yaml.Node) -> list[Item]:
    if isinstance(node, yaml.MappingNode):
        return list(node.value)
    if isinstance(node, yaml.SequenceNode):
        return [(one, one) for one in node.value]
    raise Unforeseen("it is neither a mapping nor a list")


def _end(node: yaml.Node) -> int:
    """Return where a node ends: of a block that is where its last value does, not where the next thing begins."""
    if isinstance(node, yaml.ScalarNode):
        if node.style in ("|", ">"):
            raise Unforeseen("a text over several lines can't be changed by command")
        return int(node.end_mark.index)
    items = _items(node)
    return int(node.end_mark.index) if getattr(node, "flow_style", True) or not items else _end(items[-1][1])


# --- text ---


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _line_end(text: str, place: int) -> int:
    found = text.find("\n", place)
    return len(text) if found < 0 else found - (text[found - 1] == "\r")


def _line_start(text: str, place: int) -> int:
    return text.rfind("\n", 0, place) + 1


def _replaced(text: str, node: yaml.Node, written: str) -> str:
    return text[: node.start_mark.index] + written + text[_end(node) :]


def _added(text: str, node: yaml.Node | None, written: str) -> str:
    """Return a text with one more entry at the end of a mapping or a list."""
    assert node is not None
    items = _items(node)
    if not items:
        place = node.end_mark.index - 1
        return text[:place] + written + text[place:]
    end = _end(items[-1][1])
    if getattr(node, "flow_style", False):
        return f"{text[:end]}, {written}{text[end:]}"
    first = items[0][0].start_mark.index
    lead = text[_line_start(text, first) : first]  # spaces, and the dash of a list
    place = _line_end(text, end)
    return text[:place] + _newline(text) + lead + written + text[place:]


def _removed(text: str, section: str, node: yaml.Node, place: int) -> str:
    """Return a text without one entry of a section; an empty section stays, in brackets."""
    items = _items(node)
    begin, end = items[place][0].start_mark.index, _end(items[place][1])
    if getattr(node, "flow_style", False):
        if place + 1 < len(items):
            return text[:begin] + text[items[place + 1][0].start_mark.index :]
        return text[: _end(items[place - 1][1]) if place else begin] + text[end:]
    begin, end = _line_start(text, begin), _line_end(text, end)
    end += len(_newline(text)) if end < len(text) else 0
    rest = text[:begin] + text[end:]
    if len(items) > 1:
        return rest
    key = next(key for key, value in _items(_root(text)) if key.value == section)
    colon = rest.index(":", key.end_mark.index) + 1
    return f"{rest[:colon]} {'{}' if isinstance(node, yaml.MappingNode) else '[]'}{rest[colon:]}"
