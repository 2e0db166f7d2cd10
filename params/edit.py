"""Change values of a parameter file in its text: everything else in it, comments too, stays as it was written.

    changed(text, {"hull.drop.vertical": "252.5 mm"})

Only single values are set, and lists of one-line groups at the top of the file. What comes out is read again by the
strict reader and has to say what the file said, with these changes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import yaml

from strutwright.params import strict_yaml
from strutwright.params.loader import split
from strutwright.params.strict_yaml import Path_, dotted


def changed(text: str, values: Mapping[str, str]) -> str:
    """Return the text of a file with values at dotted paths, each written as the file is to have it; groups that are
    missing are added. Raises ParameterError where the text cannot be read, ValueError where a path leads through a
    value."""
    wanted = strict_yaml.read_text(text, "<text>").data
    for path, value in values.items():
        text = _with_value(text, split(path), value)
        _put(wanted, split(path), strict_yaml.read_text(f"x: {value}", path).data["x"])
    _same(text, wanted)
    return text


def without(text: str, path: str) -> str:
    """Return the text of a file without the value at a dotted path, so that it is left to its rule; one that is not
    there stays away. What is the last of its group takes the group with it. Raises ParameterError where the text cannot
    be read, ValueError where the value stands in a list."""
    wanted = strict_yaml.read_text(text, "<text>").data
    parts = [part for part in split(path) if isinstance(part, str)]
    if len(parts) < len(split(path)):
        raise ValueError(f"{path}: stands in a list")
    groups: list[dict[str, Any]] = [wanted]
    for part in parts[:-1]:
        inner = groups[-1].get(part)
        if not isinstance(inner, dict):
            return text
        groups.append(inner)
    if parts[-1] not in groups[-1]:
        return text
    depth = len(groups) - 1
    while depth and len(groups[depth]) == 1:
        depth -= 1
    del groups[depth][parts[depth]]
    text = _cut(text, tuple(parts[: depth + 1]))
    _same(text, wanted)
    return text


def _cut(text: str, path: Path_) -> str:
    """The text without an entry: its lines, or its part of a group in braces."""
    node = _root(text)
    for part in path[:-1]:
        node = next(v for k, v in node.value if k.value == part)
    index = next(i for i, (k, _) in enumerate(node.value) if k.value == path[-1])
    key, value = node.value[index]
    if node.flow_style:
        if index + 1 < len(node.value):
            return text[: key.start_mark.index] + text[node.value[index + 1][0].start_mark.index :]
        start = node.value[index - 1][1].end_mark.index if index else key.start_mark.index
        return text[:start] + text[value.end_mark.index :]
    start = text.rfind("\n", 0, key.start_mark.index) + 1
    end = text.find("\n", _last(value)) + 1 or len(text)
    return text[:start] + text[end:]


def with_list(text: str, name: str, rows: Sequence[str]) -> str:
    """Return the text of a file with a list at its top level, each row a group in braces; one that is there already is
    replaced where it stands. Raises ParameterError where the text cannot be read."""
    wanted = strict_yaml.read_text(text, "<text>").data
    newline = _newline(text)
    block = newline.join([f"{name}:", *(f"  - {row}" for row in rows)]) + newline
    root = _root(text)
    found = next(((k, v) for k, v in root.value if k.value == name), None)
    if found is None:
        text = f"{text.rstrip()}{newline}{block}"
    else:
        start = found[0].start_mark.index
        end = text.find("\n", _last(found[1])) + 1 or len(text)
        text = text[:start] + block + text[end:]
    wanted[name] = [strict_yaml.read_text(f"x: {row}", name).data["x"] for row in rows]
    _same(text, wanted)
    return text


def _root(text: str) -> Any:
    # The reader in Python: its marks count characters.
    return yaml.compose(text, Loader=yaml.SafeLoader)


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _same(text: str, wanted: dict[str, object]) -> None:
    if strict_yaml.read_text(text, "<text>").data != wanted:
        raise AssertionError("the changed text says something else than was asked")


def _put(data: Any, path: Path_, value: object) -> None:
    for part in path[:-1]:
        if isinstance(data, dict):
            data = data.setdefault(part, {}) if data.get(part) is not None else _fresh(data, part)
        else:
            data = data[part]
    data[path[-1]] = value


def _fresh(data: dict[Any, Any], part: object) -> dict[str, object]:
    data[part] = {}
    return data[part]  # type: ignore[no-any-return]


def _with_value(text: str, path: Path_, value: str) -> str:
    """The text with one value set."""
    node = _root(text)
    for depth, part in enumerate(path):
        if isinstance(node, yaml.SequenceNode) and isinstance(part, int):
            node = node.value[part]
            continue
        if not isinstance(node, yaml.MappingNode):
            raise ValueError(f"{dotted(path[:depth])}: is a value, not a group")
        found = next((v for k, v in node.value if k.value == part), None)
        rest = path[depth + 1 :]
        if found is None:
            return _added(text, node, f"{part}: {_nested(rest, value)}")
        empty = isinstance(found, yaml.ScalarNode) and found.style is None and not found.value
        if empty or (not rest and isinstance(found, yaml.ScalarNode)):
            start, end = found.start_mark.index, found.end_mark.index
            new = _nested(rest, value)
            return text[:start] + (f" {new}" if text[start - 1 : start] == ":" else new) + text[end:]
        node = found
    raise ValueError(f"{dotted(path)}: is a group, not a value")


def _nested(path: Path_, value: str) -> str:
    return value if not path else f"{{{path[0]}: {_nested(path[1:], value)}}}"


def _added(text: str, group: Any, entry: str) -> str:
    """The text with an entry in a group: of one in braces at its end, else on a line of its own behind its last."""
    if group.flow_style:
        close = group.end_mark.index - 1
        kept = text[:close].rstrip()
        return f"{kept}{', ' if group.value else ''}{entry}{text[close:]}"
    last = _last(group.value[-1][1])
    at = text.find("\n", last)
    newline = _newline(text)
    indent = " " * group.value[0][0].start_mark.column
    if at < 0:
        return f"{text}{newline}{indent}{entry}{newline}"
    return f"{text[: at + 1]}{indent}{entry}{newline}{text[at + 1 :]}"


def _last(node: Any) -> int:
    """Where the text of a node ends, without the comments and empty lines behind it."""
    if isinstance(node, yaml.ScalarNode) or node.flow_style or not node.value:
        return int(node.end_mark.index)
    last = node.value[-1]
    return _last(last[1] if isinstance(node, yaml.MappingNode) else last)
