"""Load a parameter file: strict YAML, then the schema; every fault found is told at once with its place."""

from __future__ import annotations

import difflib
import math
import re
import types
import typing
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError, WithJsonSchema
from pydantic.fields import FieldInfo

from strutwright.params import strict_yaml
from strutwright.params.families import PartSet, root_of
from strutwright.params.fields import Group
from strutwright.params.problems import ParameterError, Problem, shown
from strutwright.params.quantity import KINDS, Kind
from strutwright.params.schema import ParameterSet
from strutwright.params.strict_yaml import Document, Path_

SETS = Path(__file__).parent / "sets"
M = TypeVar("M", bound=Group)


@dataclass(frozen=True, slots=True)
class Loaded:
    """A parameter set and the document it was read from."""

    said: PartSet
    document: Document

    @property
    def of_strut(self) -> ParameterSet:
        """What it says of a strut. Raises TypeError where it is the file of another part."""
        if not isinstance(self.said, ParameterSet):
            raise TypeError(f"{self.document.file} is no strut")
        return self.said

    def says(self, path: str) -> bool:
        """Return whether the file itself gives a value at a dotted path."""
        return split(path) in self.document.values

    def problem(self, path: str, what: str, given: str = "", allowed: str = "", advice: str = "") -> Problem:
        """Return a Problem at a dotted path (`barrel.wall`, `bolts.pattern.points[2]`)."""
        return self.document.problem(split(path), what, given, allowed, advice, key=True)


def load(path: Path) -> Loaded:
    """Return the parameter set in a YAML file. Raises ParameterError with every fault found."""
    document = strict_yaml.read_file(path)
    return Loaded(validated(document, root_of(document)), document)


def loads(text: str, name: str = "<text>") -> Loaded:
    """Return the parameter set in a YAML text. Raises ParameterError with every fault found."""
    document = strict_yaml.read_text(text, name)
    return Loaded(validated(document, root_of(document)), document)


def of_data(data: dict[str, object], name: str = "<data>") -> Loaded:
    """Return the parameter set of plain data, as of a text that says the same. Raises ParameterError with every fault
    found."""
    document = strict_yaml.of_data(data, name)
    return Loaded(validated(document, root_of(document)), document)


def shipped() -> dict[str, Path]:
    """Return the shipped sets by name; those made to fail are named `failing/...`."""
    return {p.relative_to(SETS).with_suffix("").as_posix(): p for p in sorted(SETS.rglob("*.yaml"))}


def validated(document: Document, root: type[M]) -> M:
    """Return what a document says, by the schema of its kind of file. Raises ParameterError with every fault found."""
    data = without_empty(document.data, root)
    units = data.get("units", "mm")
    try:
        said = root.model_validate(data, context={"units": units if units in ("mm", "in") else "mm"})
    except ValidationError as error:
        told = {fault.path for fault in document.faults}
        faults = error.errors()
        # A number out of its range is not also told that it is none of the words that may stand there.
        ranged = {_place(e["loc"], document) for e in faults if e["type"] in _BOUNDS}
        found = [
            _problem(e, document, root)
            for e in faults
            if (e["type"] != "literal_error" or _place(e["loc"], document) not in ranged)
            and (e["type"] not in _BOUNDS or _place(e["loc"], document) not in document.unsure)
        ]
        raise ParameterError(document.faults + [p for p in found if p.path not in told]) from None
    if document.faults:
        raise ParameterError(document.faults)
    return said


def without_empty(value: Any, root: type[Group] = ParameterSet, path: Path_ = ()) -> Any:
    """Drop names with nothing behind them: an empty value means `not said`. A name that its group does not know stays,
    to be told: it may be a value whose colon was forgotten."""
    if isinstance(value, dict):
        group = model_at(path, root)
        return {
            k: without_empty(v, root, (*path, k))
            for k, v in value.items()
            if v is not None or (group is not None and k not in group.model_fields)
        }
    if isinstance(value, list):
        return [without_empty(v, root, path) for v in value]
    return value


def _problem(error: Any, document: Document, root: type[Group]) -> Problem:
    path = _place(error["loc"], document)
    kind, context = error["type"], error.get("ctx", {})
    given = (
        ""
        if kind in ("missing", "extra_forbidden") or isinstance(error["input"], (dict, list))
        else shown(error["input"])
    )
    what, allowed, advice = _words(kind, {**context, "of_text": isinstance(error["input"], (str, int, float))})
    if kind in _BOUNDS:
        what, advice = "is outside what can be built", "check the number and its unit"
        allowed = _bound(kind, context, kind_at(path, root), document.data.get("units") == "in")
    if kind == "extra_forbidden":
        known = _fields_at(path[:-1], root)
        advice, allowed = _instead(str(path[-1]), known, root), ", ".join(known)
    if kind == "literal_error":
        near = difflib.get_close_matches(str(error["input"]), re.findall("'([^']+)'", allowed), n=1)
        advice = f"write `{near[0]}`" if near else advice
    if kind == "missing":
        advice = f"add `{path[-1]}:` {_about(path, root)}".rstrip()
        return document.problem(path, what, given, allowed, advice, key=True, at=path[:-1])
    return document.problem(path, what, given, allowed, advice, key=kind == "extra_forbidden")


def _instead(name: str, known: list[str], root: type[Group]) -> str:
    """Return what to do with a name that a group does not know: part it from a value that was written with it, where
    else it belongs, or which one is near."""
    from strutwright.params.explain import all_paths

    first, _, rest = name.replace(":", " ", 1).partition(" ")
    if first in known and rest.strip():
        return f"write `{first}: {rest.strip()}`"
    if name[:1].isdigit():
        return "write the decimal sign as a point, if this is the end of a number"
    groups = [group for group, _, last in (path.rpartition(".") for path in all_paths(root)) if last == name]
    if len(groups) == 1 and groups[0]:
        return f"write it in the group `{groups[0]}`"
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    return f"write `{near[0]}`" if near else "remove it"


_BOUNDS = {
    "greater_than": ("more than", "gt"),
    "greater_than_equal": ("at least", "ge"),
    "less_than": ("less than", "lt"),
    "less_than_equal": ("at most", "le"),
}


def _bound(fault: str, context: dict[str, Any], kind: Kind | None, inch: bool) -> str:
    """Return what a range allows, in the unit that a bare number has there."""
    words, key = _BOUNDS[fault]
    unit = "" if kind is None else kind.bare["in" if inch else "mm"]
    limit = context[key] if kind is None else context[key] / kind.factors[unit]
    # Four decimals, rounded to the side on which the number told is itself allowed.
    step = math.floor if key in ("lt", "le") else math.ceil
    number = f"{step(round(limit * 1e4, 6)) / 1e4:.4f}".rstrip("0").rstrip(".")
    return f"{words} {number} {unit}".rstrip()


def kind_at(path: Path_, root: type[Group] = ParameterSet) -> Kind | None:
    """Return the kind of quantity at a path, None where there is none (a count, a text, a group)."""
    owner = model_at(path[:-1], root)
    info = owner.model_fields.get(str(path[-1])) if owner is not None else None
    return None if info is None else kind_of(info)


def kind_of(info: FieldInfo) -> Kind | None:
    """Return the kind of quantity of a field, from the note its type carries; None where it carries none.

    Making the whole JSON Schema for it would take 40 ms.
    """
    waiting: list[Any] = [info.annotation, *info.metadata]
    while waiting:
        part = waiting.pop(0)
        if isinstance(part, WithJsonSchema):
            notes = part.json_schema or {}
            kinds = [n["x-kind"] for n in (notes, *notes.get("anyOf", ())) if "x-kind" in n]
            if kinds:
                return KINDS[kinds[0]]
        waiting += typing.get_args(part)
    return None


def _words(kind: str, context: dict[str, Any]) -> tuple[str, str, str]:
    """Return (what, allowed, advice) for a fault of the schema: in our words, whatever its library calls it."""
    if kind in ("quantity", "text"):
        advice = (
            "write it in one of these units, or bare in the file's units"
            if kind == "quantity"
            else "choose another text"
        )
        return str(context["what"]), str(context["allowed"]), advice
    if kind == "missing":
        return "is missing", "", ""
    if kind == "extra_forbidden":
        return "is not a known key", "", ""
    if kind == "literal_error":
        return "is not one of the choices", str(context["expected"]), "choose one"
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return "is not a group", "a group with lines below it", "put its values on indented lines"
    if kind == "list_type":
        return "is not a list", "a list: lines that begin with `- `", ""
    if kind.startswith("bool"):
        return "is neither yes nor no", "yes or no", "write `yes` or `no`, without quotes"
    if kind.startswith("int"):
        return "is not a whole number", "a whole number, such as 3", "write it in digits, without a unit"
    if kind == "string_type":
        return "is not a line of text", "one line of text", "write one text, not a list or a group"
    if kind == "date":
        return str(context["what"]), str(context["allowed"]), "write a day that there is, with leading noughts"
    most, least = context.get("max_length"), context.get("min_length")
    if kind in ("string_too_long", "string_too_short"):
        return (
            ("is too long", f"at most {most} characters", "shorten it")
            if most is not None
            else ("is empty", f"at least {least} character", "write something, or remove the key")
        )
    if kind in ("too_long", "too_short"):
        if context.get("field_type") == "String" or context.get("of_text"):
            return (
                ("is too long", f"at most {most} characters", "shorten it")
                if most is not None
                else ("is empty", f"at least {least} character", "write something, or remove the key")
            )
        count = f"{context.get('actual_length', 'another number of')} of them"
        return (
            (f"has too many entries: {count}", f"at most {most}", "remove some")
            if most is not None
            else (f"has too few entries: {count}", f"at least {least}", "add some")
        )
    return "cannot be used here", "", "`strutwright meaning` with this name tells what it takes"


def _place(loc: tuple[Any, ...], document: Document) -> Path_:
    """Return the file path of a pydantic location (which has an index where a single bearing was wrapped)."""
    path: list[str | int] = []
    for part in loc:
        if isinstance(part, int) and isinstance(_at(document.data, path), dict):
            continue
        if isinstance(part, str) and part.startswith(("function-", "literal[", "float", "constrained-float")):
            continue
        path.append(part)
    return tuple(path)


def _at(data: Any, path: list[str | int]) -> Any:
    for part in path:
        if isinstance(data, dict):
            data = data.get(part)
        elif isinstance(data, list) and isinstance(part, int) and part < len(data):
            data = data[part]
        else:
            return None
    return data


def model_at(path: Path_, root: type[Group] = ParameterSet) -> type[Group] | None:
    """Return the schema group at a path, or None when the path leads to a value or nowhere."""
    model = root
    for part in path:
        if isinstance(part, int):
            continue
        info = model.model_fields.get(part)
        found = None if info is None else model_in(info.annotation)
        if found is None:
            return None
        model = found
    return model


def model_in(annotation: Any) -> type[Group] | None:
    """Return the group that a field's type is, or is a list of; None where it is none."""
    if isinstance(annotation, type) and issubclass(annotation, Group):
        return annotation
    if typing.get_origin(annotation) in (types.UnionType, typing.Union, list, typing.Annotated):
        for part in typing.get_args(annotation):
            found = model_in(part)
            if found is not None:
                return found
    return None


def _fields_at(path: Path_, root: type[Group]) -> list[str]:
    model = model_at(path, root)
    return sorted(model.model_fields) if model else []


def _about(path: Path_, root: type[Group]) -> str:
    model = model_at(path[:-1], root)
    info = model.model_fields.get(str(path[-1])) if model else None
    return f"({info.description})" if info is not None and info.description else ""


def split(path: str) -> Path_:
    """Return a dotted path (`bolts.pattern.points[2]`) as its names and places in lists."""
    parts: list[str | int] = []
    for part in path.replace("[", ".[").split("."):
        place = part[1:-1] if part[:1] == "[" and part[-1:] == "]" else ""
        parts.append(int(place) if place.isascii() and place.isdecimal() and len(place) < 10 else part)
    return tuple(p for p in parts if p != "")
