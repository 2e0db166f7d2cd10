"""The form of a set, from its schema: what there is to give, group by group, with words, unit, range and choices."""

from __future__ import annotations

import functools
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, get_args, get_origin

from strutwright.params import explain
from strutwright.params.families import root
from strutwright.params.fields import Group
from strutwright.params.loader import kind_of, model_at

_DEEPEST = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One value. path: as in the file; text: what it means; takes: what may be written; choices: for a choice;
    unit: its own; number: whether it is a quantity; left_out: what leaving it out means."""

    path: str
    text: str
    takes: str
    choices: tuple[str, ...]
    unit: str
    number: bool
    required: bool
    left_out: str

    @property
    def called(self) -> str:
        """Its name in plain words, within its group."""
        return self.path.split(".", 1)[-1].replace(".", ", ").replace("_", " ")


@dataclass(frozen=True, slots=True)
class Section:
    """A group at the top of the file, with its fields."""

    name: str
    text: str
    fields: tuple[Field, ...]

    @property
    def called(self) -> str:
        """Its name in plain words."""
        return self.name.replace("_", " ")


@functools.cache
def form(family: str) -> tuple[Section, ...]:
    """Return the form of a kind of part. Lists of groups (load cases, several bearings) are edited as text."""
    whole = root(family)
    sections, single = [], []
    for name in whole.model_fields:
        fields = tuple(_fields((name,), family))
        if len(fields) == 1 and fields[0].path == name:
            single.append(fields[0])
        elif fields:
            sections.append(Section(name, explain.meaning(name, family).text, fields))
    return (Section("set", "What holds for the whole set", tuple(single)), *sections) if single else tuple(sections)


def field_at(path: str, family: str) -> Field | None:
    """Return the field of a dotted path, None where the form has none."""
    return next((f for section in form(family) for f in section.fields if f.path == path), None)


def _fields(path: tuple[str, ...], family: str) -> list[Field]:
    whole = root(family)
    model = model_at(path, whole)
    if model is not None:
        if len(path) >= _DEEPEST or (len(path) > 1 and _is_list(path, whole)):
            return []
        return [f for name in model.model_fields for f in _fields((*path, name), family)]
    dotted = ".".join(path)
    said = explain.meaning(dotted, family)
    owner = model_at(path[:-1], whole)
    info = owner.model_fields[path[-1]] if owner is not None else None
    if info is None or said.takes in ("a list", "a group"):
        return []
    kind = kind_of(info)
    choices = (
        tuple(c.strip() for c in said.takes.removeprefix("one of ").split(", "))
        if said.takes.startswith("one of ")
        else ()
    )
    if said.takes == "yes or no":
        choices = ("yes", "no")
    return [
        Field(
            path=dotted,
            text=said.text,
            takes=said.takes,
            choices=choices,
            unit="" if kind is None else kind.unit,
            number=kind is not None,
            required=said.required,
            left_out=said.left_out,
        )
    ]


def _is_list(path: tuple[str, ...], whole: type[Group]) -> bool:
    """Whether a path leads to a list of groups."""
    owner = model_at(path[:-1], whole)
    return owner is not None and any(get_origin(t) is list for t in _parts(owner.model_fields[path[-1]].annotation))


def _parts(of: Any) -> Iterator[Any]:
    yield of
    for part in get_args(of):
        yield from _parts(part)
