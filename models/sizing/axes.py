"""What a study varies: PATH=LOW..HIGH:COUNT or PATH=VALUE,VALUE,..., and all combinations of several of them.

Values are as in the file: bare numbers in its units.
"""

from __future__ import annotations

import difflib
import math
import re
import typing
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic.fields import FieldInfo

from strutwright.models.arrays import Floats
from strutwright.params import quantity, tables
from strutwright.params.families import root
from strutwright.params.loader import model_at
from strutwright.params.part_kinds import STRUT
from strutwright.params.problems import shown
from strutwright.params.quantity import FileUnits, Kind

_BY_NAME: Mapping[str, Callable[[str], object]] = {
    "bolts.size": tables.thread,
    "set_screws.thread": tables.thread,
    "barrel.bore_class": lambda name: tables.iso286(name, 50.0),
    "bearing.shell_material": tables.material,
    **{f"materials.{part}": tables.material for part in ("strut", "housing", "bolts", "shaft", "hull", "base")},
}
"""Texts that are names in a table, and how they are looked up."""


class StudyError(ValueError):
    """A study cannot be made as asked; the text says what was given and what is allowed."""


@dataclass(frozen=True, slots=True)
class Axis:
    """A varied parameter: its path, the unit its values are shown in, and its values.

    shown: values in that unit, or words. values: in mm, degrees, kW, ...; the same words.
    """

    path: str
    unit: str
    shown: tuple[float | str, ...]
    values: tuple[float | str, ...]

    @property
    def numbers(self) -> bool:
        """True when the values are numbers."""
        return not isinstance(self.values[0], str)


@dataclass(frozen=True, slots=True)
class Grid:
    """All combinations of several axes; the last one changes fastest."""

    axes: tuple[Axis, ...]

    @property
    def shape(self) -> tuple[int, ...]:
        """How many values each axis has."""
        return tuple(len(a.values) for a in self.axes)

    @property
    def count(self) -> int:
        """How many combinations there are."""
        return math.prod(self.shape)

    def places(self, which: NDArray[np.intp]) -> tuple[NDArray[np.intp], ...]:
        """Return, axis by axis, which value combinations have, by their numbers."""
        return np.unravel_index(which, self.shape)

    def at(self, which: NDArray[np.intp]) -> dict[str, Floats]:
        """Return the values of combinations by their numbers."""
        return {
            a.path: np.array(a.values, dtype=float)[at] for a, at in zip(self.axes, self.places(which), strict=True)
        }


def axis(text: str, units: FileUnits, family: str = STRUT) -> Axis:
    """Return the axis of PATH=LOW..HIGH:COUNT or PATH=VALUE,VALUE,... Raises StudyError.

    units, family: the file's, for bare numbers and for what its parameters take.

    >>> axis("barrel.wall=8..10:3", "mm").values
    (8.0, 9.0, 10.0)
    """
    path, equals, rest = (p.strip() for p in text.partition("="))
    if not equals or not path or not rest:
        raise StudyError(
            f"{text!r}: write PATH=LOW..HIGH:COUNT or PATH=VALUE,VALUE, such as arms.section.chord=80..140:13"
        )
    kind = kind_of(path, family)
    if ".." in rest:
        if kind is None:
            raise StudyError(f"{path}: takes words or whole numbers: list them, {path}=VALUE,VALUE")
        span, colon, count_text = rest.rpartition(":")
        low_text, _, high_text = span.partition("..")
        if not colon or not count_text.strip().isdigit() or not 2 <= int(count_text) <= 100_000:
            raise StudyError(
                f"{text!r}: say how many values, 2 to 100000, behind a colon: {path}={rest.split(':')[0]}:10"
            )
        low, high = (_value(path, t, kind, units) for t in (low_text, high_text))
        if not low < high:
            raise StudyError(
                f"{text!r}: the range runs from its lower to its higher end; {low:g} to {high:g} was given"
            )
        values: tuple[Any, ...] = tuple(float(v) for v in np.linspace(low, high, int(count_text)))
    else:
        values = tuple(
            _word(path, t.strip(), units, family) if kind is None else _value(path, t, kind, units)
            for t in rest.split(",")
        )
        if len(set(values)) != len(values) or "" in values:
            raise StudyError(f"{text!r}: a value is given twice, or one is empty")
    if kind is None:
        return Axis(path, "", values, values)
    bare = kind.bare[units]
    return Axis(path, bare, tuple(float(f"{v / kind.factors[bare]:.9g}") for v in values), values)


def _value(path: str, text: str, kind: Kind, units: FileUnits) -> float:
    try:
        return quantity.parse(text.strip(), kind, units)
    except quantity.QuantityError as error:
        raise StudyError(f"{path}: {text.strip()!r} {error}; allowed: {error.allowed}") from None


def _word(path: str, text: str, units: FileUnits, family: str) -> str:
    """Return a word or whole number as a parameter takes it. Raises StudyError with what it takes."""
    found = list(_parts(_field(path, family)))
    words = (
        ["yes", "no", "true", "false"]
        if bool in found
        else [str(w) for p in found if typing.get_origin(p) is typing.Literal for w in typing.get_args(p)]
    )
    if words and text not in words:
        if path == "arms.stance":  # the one that takes an angle too
            try:
                quantity.parse(text, quantity.ANGLE, units)
                return text
            except quantity.QuantityError:
                words.append("an angle")
        near = difflib.get_close_matches(text, words, n=1, cutoff=0.4)
        raise StudyError(
            f"{path}: {shown(text)} is not one of its choices"
            + (f"; did you mean {near[0]}?" if near else "")
            + f" It takes {', '.join(words)}"
        )
    if not words and int in found:
        low = max(p.ge for p in found if hasattr(p, "ge"))
        high = min(p.le for p in found if hasattr(p, "le"))
        if not (text.isascii() and text.isdigit() and low <= int(text) <= high):
            raise StudyError(f"{path}: {shown(text)} is not a whole number from {low} to {high}")
    elif not words:
        look_up = _BY_NAME.get(re.sub(r"\[\d+\]", "", path))
        if look_up is None:
            raise StudyError(f"{path}: takes any text, which no check looks at; vary a number or a choice")
        try:
            look_up(text)
        except tables.NotInTable as error:
            raise StudyError(f"{path}: {error.args[0]}") from None
    return text


def kind_of(path: str, family: str = STRUT) -> Kind | None:
    """Return the kind of quantity a parameter takes, or None for words and whole numbers. Raises StudyError.

    >>> kind_of("duty.power").unit
    'kW'
    """
    for part in _parts(_field(path, family)):
        made = getattr(part, "json_schema", None)
        if isinstance(made, dict) and made.get("x-kind") in quantity.KINDS:
            return quantity.KINDS[made["x-kind"]]
    return None


def _field(path: str, family: str) -> FieldInfo:
    """Return the schema's field at a path. Raises StudyError."""
    from strutwright.params.explain import NoSuchPathError, meaning

    try:
        found = meaning(path, family)
    except NoSuchPathError as error:
        raise StudyError(str(error.args[0])) from None
    if found.members:
        raise StudyError(f"{path}: is a group; vary one of {', '.join(found.members)}")
    *groups, name = path.split(".")
    model = model_at(tuple(g.split("[")[0] for g in groups), root(family))
    info = None if model is None else model.model_fields.get(name)
    if info is None:
        raise StudyError(f"{path}: is a list; vary what is in it")
    return info


def _parts(of: Any) -> Iterator[Any]:
    """Yield what a field's type is made of, with the notes that stand beside it."""
    yield of
    if isinstance(of, FieldInfo):
        inner: tuple[Any, ...] = (of.annotation, *of.metadata)
    else:
        inner = () if typing.get_origin(of) is typing.Literal else typing.get_args(of)
    for part in inner:
        yield from _parts(part)
