"""What a parameter means, told from the schema."""

from __future__ import annotations

import difflib
import functools
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from strutwright.params.families import root
from strutwright.params.fields import Group
from strutwright.params.loader import kind_of, model_at
from strutwright.params.part_kinds import FAMILIES, STRUT
from strutwright.params.problems import shown
from strutwright.params.schema import ParameterSet


def schema_file(family: str) -> Path:
    """Return the file that has the JSON Schema of a kind of part, for editors."""
    return Path(__file__).parent / f"{family}.schema.json"


@dataclass(frozen=True, slots=True)
class Meaning:
    """One parameter: dotted path, meaning, what it takes, whether it has to be given, its default, and what it means to
    leave it out."""

    path: str
    text: str
    takes: str
    required: bool
    default: str
    left_out: str
    members: tuple[str, ...]


class NoSuchPathError(KeyError):
    """A dotted path that leads nowhere; the text says what would be near."""


def family_of(path: str) -> str:
    """Return the kind of part whose files have a dotted path, a strut where several have it or none.

    >>> family_of("flange.thickness"), family_of("barrel.wall")
    ('flanged_housing', 'strut')
    """
    name = re.sub(r"\[\d*\]", "", path)
    return next((family for family in FAMILIES if not name or name in all_paths(root(family))), STRUT)


def meaning(path: str, family: str = STRUT) -> Meaning:
    """Return what a dotted path means in the file of a kind of part; an empty path means the whole file.

    Raises NoSuchPathError when the path leads nowhere.
    """
    whole = root(family)
    parts = (
        tuple(p for p in path.split("[", 1)[0].split(".") if p)
        if "[" not in path
        else tuple(p.split("[")[0] for p in path.split(".") if p)
    )
    model = model_at(parts, whole)
    if model is not None:
        members = tuple(model.model_fields)
        return Meaning(path, (model.__doc__ or "").strip(), "a group", False, "", "", members)
    owner = model_at(parts[:-1], whole)
    info = owner.model_fields.get(parts[-1]) if owner is not None else None
    if owner is None or info is None:
        near = difflib.get_close_matches(path, all_paths(whole), n=3, cutoff=0.5)
        hint = f"; did you mean {', '.join(near)}?" if near else ""
        raise NoSuchPathError(f"no parameter is called {shown(path)}{hint}")
    schema = json_schema(family)
    entry = (schema if owner is whole else schema["$defs"][owner.__name__])["properties"][parts[-1]]
    default = "" if info.is_required() or info.default is None else str(info.default)
    left_out = default or entry.get("x-left-out") or owner.left_out
    return Meaning(path, info.description or "", _takes(entry), info.is_required(), default, left_out, ())


def all_paths(root: type[Group] = ParameterSet) -> list[str]:
    """Return the dotted paths of every group and value of the schema, or of that of another kind of file."""
    found: list[str] = []

    def walk(prefix: tuple[str, ...]) -> None:
        model = model_at(prefix, root)
        for name in model.model_fields if model else ():
            found.append(".".join((*prefix, name)))
            if len(prefix) < 6:
                walk((*prefix, name))

    walk(())
    return found


def leaves(said: BaseModel, prefix: str = "") -> Iterator[tuple[str, str | float | bool, str]]:
    """Yield (dotted path, value, unit) of every value of a group, defaults too; what is neither said nor has a default
    is left out."""
    for name, info in type(said).model_fields.items():
        path = f"{prefix}.{name}" if prefix else name
        value = getattr(said, name)
        items = [(f"{path}[{i}]", v) for i, v in enumerate(value)] if isinstance(value, list) else [(path, value)]
        for at, item in items:
            if isinstance(item, BaseModel):
                yield from leaves(item, at)
            elif item is not None:
                yield at, item, _unit(info)


def _unit(info: FieldInfo) -> str:
    kind = kind_of(info)
    return "" if kind is None else kind.unit


@functools.cache
def json_schema(family: str = STRUT) -> dict[str, Any]:
    """Return the JSON Schema of the file of a kind of part, for editors. It is made once: do not change it."""
    schema = root(family).model_json_schema()
    if (several := schema["properties"].get("bearing")) is not None:
        both = [several["items"], several]
        schema["properties"]["bearing"] = {"description": several.pop("description"), "anyOf": both}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **schema,
        "title": f"strutwright parameter set, {family.replace('_', ' ')}",
    }


def schema_text(family: str = STRUT) -> str:
    """Return the JSON Schema as the text of the shipped file."""
    return json.dumps(json_schema(family), indent=1, sort_keys=True) + "\n"


def _takes(entry: dict[str, Any]) -> str:
    if "anyOf" in entry:
        return " or ".join(_takes(e) for e in entry["anyOf"] if e.get("type") != "null")
    if "enum" in entry:
        return "one of " + ", ".join(str(v) for v in entry["enum"])
    if "const" in entry:
        return str(entry["const"])
    if "x-kind" in entry:
        return f"a quantity ({entry['x-kind']}), such as {', '.join(entry.get('examples', ['12 deg']))}"
    words = {"array": "a list", "string": "text", "integer": "a whole number", "boolean": "yes or no"}
    kind = entry.get("type", "a group")
    kind = kind[0] if isinstance(kind, list) else str(kind)
    return words.get(kind, kind)
