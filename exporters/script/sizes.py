"""The sizes of one part as plain assignments, and the records that the builders take, made of them."""

from __future__ import annotations

import dataclasses
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from strutwright.exporters.script.flatten import WIDE, Reach
from strutwright.exporters.script.modules import Key
from strutwright.exporters.script.words import words
from strutwright.models import families
from strutwright.models.outline import Outline
from strutwright.models.spec import BarrelEnd, BoreStep, Land, Palm, PalmHole, SetScrew, Strut
from strutwright.models.spec_let_in import LockingScrew, Seat

ROWS = (SetScrew, PalmHole, BoreStep, Land, Seat, LockingScrew)
"""Records of which there are several alike: one row each."""
CALLED = {"plane": "face", "drawing": "drawing_holes", "locking": "locking_screws", "end_diameter_mm": "diameter_mm"}
"""What a member is called in the names of sizes where it is not called as in the program."""
TITLES = {
    "barrel": "Barrel",
    "bearings": "Bearing",
    "arms": "Arms",
    "palms": "Palm and its bolts",
    "set_screws": "Set screws",
    "skeg": "Skeg",
    "weld": "Welds",
    "flange": "Flange and its fasteners",
    "let_in": "How it is let in",
}
"""Headings, by the member of a strut; in this order, before what has none."""


def literal(value: Any) -> str:
    """Return a value as Python text, floats to twelve figures.

    >>> literal(203.21999999999997), literal(74.0), literal((1.0, "cast"))
    ('203.22', '74.0', '(1.0, "cast")')
    """
    if isinstance(value, str):
        text = repr(value)
        return f'"{text[1:-1]}"' if '"' not in text else text
    if isinstance(value, float | np.floating):
        text = f"{float(value) + 0.0:.12g}"
        return text if any(c in text for c in ".en") else f"{text}.0"
    if isinstance(value, tuple | list):
        inner = ", ".join(map(literal, value))
        return f"({inner}{',' if len(value) == 1 else ''})"
    return repr(value)


def key_of(record: object) -> Key:
    """Return where a record's class is defined."""
    return type(record).__module__, type(record).__name__


def records(value: Any, reach: Reach) -> set[Key]:
    """Return the classes of a record and of all that it holds, as far as the script keeps them."""
    if isinstance(value, tuple):
        return {k for v in value for k in records(v, reach)}
    if isinstance(value, Outline):
        return {key_of(value)}
    if not dataclasses.is_dataclass(value):
        return set()
    key = key_of(value)
    return {key}.union(*(records(getattr(value, f), reach) for f in reach.fields(key)))


@dataclass(slots=True)
class Sizes:
    """What is written: lines of assignments, and the expressions of the records.

    called: names of the classes. derived: what stands in place of a size that hangs on others, by class and field.
    """

    reach: Reach
    called: Mapping[Key, str]
    derived: Mapping[tuple[str, str], Any]
    lines: list[str] = field(default_factory=list)
    names: set[str] = field(default_factory=set)

    def heading(self, title: str) -> None:
        """Begin a group of sizes."""
        self.lines += ["", f"# {title}"]

    def assign(self, name: str, text: str, about: str = "") -> str:
        """Add an assignment with its comment, and return the name."""
        assert name not in self.names
        self.names.add(name)
        line = f"{name} = {text}"
        if "\n" not in text and len(line) + len(about) + 4 <= WIDE:
            self.lines.append(line + (f"  # {about}" if about else ""))
        else:
            wrapped = textwrap.wrap(about, WIDE - 2)
            self.lines += [*(f"# {part}" for part in wrapped), line]
        return name

    def made(self, items: Sequence[Any], names: Sequence[str], shared: str) -> list[str]:
        """Return the expressions of records of one class, each of its sizes assigned: once under the shared name where
        all have the same."""
        first = items[0]
        cls = type(first).__name__
        fields = self.reach.fields(key_of(first))
        parts: list[list[str]] = [[] for _ in items]
        for f in fields:
            for out, text in zip(parts, self._field(cls, f, items, names, shared), strict=True):
                out.append(f"{f}={text}")
        made = self.called[key_of(first)]
        return [_call(made, p) for p in parts]

    def _field(self, cls: str, f: str, items: Sequence[Any], names: Sequence[str], shared: str) -> list[str]:
        rule = self.derived.get((cls, f))
        values = [getattr(i, f) for i in items]
        worked_out = [rule(i) if rule else None for i in items]
        if all(worked_out):
            return [str(w) for w in worked_out]
        if f in ("name", "number", "palm_index", "family") or all(v is None or v == () for v in values):
            return [literal(v) for v in values]
        tail = CALLED.get(f, f)
        if len(items) > 1 and all(v == values[0] for v in values):
            return self._values(cls, f, values[:1], [f"{shared}_{tail}"], f"{shared}_{tail}") * len(items)
        return self._values(cls, f, values, [f"{n}_{tail}" for n in names], f"{shared}_{tail}")

    def _values(self, cls: str, f: str, values: Sequence[Any], names: Sequence[str], shared: str) -> list[str]:
        if isinstance(values[0], Outline):
            return [self._outline(v, n) for v, n in zip(values, names, strict=True)]
        if isinstance(values[0], tuple) and values[0] and isinstance(values[0][0], ROWS):
            return [self.rows(v, n) for v, n in zip(values, names, strict=True)]
        if dataclasses.is_dataclass(values[0]) and all(type(v) is type(values[0]) for v in values):
            return self.made(values, names, shared)
        if any(dataclasses.is_dataclass(v) for v in values):
            return [literal(v) if v is None else self.made([v], [n], n)[0] for v, n in zip(values, names, strict=True)]
        about = words(cls, f) or words("Palm", f)
        return [self.assign(n, literal(v), about) for v, n in zip(values, names, strict=True)]

    def _outline(self, outline: Outline, name: str) -> str:
        rows = [literal(tuple(row)) for row in outline.vertices.tolist()]
        about = (
            "corners in order: x and y in the plate's own axes (mm), and how the edge from there bulges, as the "
            "tangent of a quarter of its turn: 0 straight, 1 half a circle"
        )
        made = self.assign(f"{name}_mm", _many(rows), about)
        closed = "" if outline.closed else ", closed=False"
        return f"{self.called[key_of(outline)]}(np.array({made}){closed})"

    def rows(self, rows: Sequence[Any], name: str) -> str:
        """Assign a table of records alike, one row each, and return the expression that makes them."""
        fields = self.reach.fields(key_of(rows[0]))
        made = self.assign(
            name,
            _many([literal(tuple(getattr(r, f) for f in fields)) for r in rows]),
            f"each: {', '.join(fields)}{words(type(rows[0]).__name__)}",
        )
        each = ", ".join(fields) + ("," if len(fields) == 1 else "")
        cls = self.called[key_of(rows[0])]
        return _call("tuple", [f"{_call(cls, [f'{f}={f}' for f in fields])}\nfor {each} in {made}"], comma="")


def _many(rows: Iterable[str]) -> str:
    return "[\n" + "".join(f"    {row},\n" for row in rows) + "]"


def _call(name: str, parts: Sequence[str], comma: str = ",") -> str:
    line = f"{name}({', '.join(parts)})"
    if len(line) <= 90 and "\n" not in line:
        return line
    return f"{name}(\n" + "".join(textwrap.indent(p, "    ") + f"{comma}\n" for p in parts) + ")"


def singular(names: Sequence[str], one: str) -> list[str]:
    """Return names of things for use in names of sizes: by number where they have no names of their own.

    >>> singular(["port arm", "starboard arm"], "arm"), singular(["", ""], "bearing"), singular(["arm"], "arm")
    (['port_arm', 'starboard_arm'], ['bearing_1', 'bearing_2'], ['arm'])
    """
    if len(names) == 1:
        return [one]
    if all(names):
        return [n.replace(" ", "_").replace("-", "_") for n in names]
    return [f"{one}_{k + 1}" for k in range(len(names))]


def sizes_of(strut: Strut, reach: Reach, called: Mapping[Key, str], zero: str) -> tuple[list[str], str]:
    """Return the assignments, and the function that makes the strut of them. called: the
    names of classes; zero: the function of the palm zero."""
    derived: dict[tuple[str, str], Any] = {
        ("BarrelEnd", "end_diameter_mm"): lambda e: _as_barrel(e, strut),
        ("Palm", "zero_mm"): lambda p: zero and f"{zero}(barrel, {_plane_name(p, strut)}, {_arms_on(p, strut)})",
        ("Palm", "plane"): lambda p: _plane_name(p, strut),
    }
    out = Sizes(reach, called, derived)
    body: list[str] = []
    made: dict[str, str] = {}
    kept = reach.fields(key_of(strut))
    for f in [*(t for t in TITLES if t in kept), *(k for k in kept if k not in TITLES)]:
        value = getattr(strut, f)
        if value is None or value == ():
            made[f] = literal(value)
            continue
        if f in TITLES:
            out.heading(TITLES[f])
        made[f] = _member(out, f, value, strut, body)
    parts = [f"{f}={made[f]}" for f in kept]
    body.append(f"return {_call(called[key_of(strut)], parts)}")
    head = f'def the_strut() -> {called[key_of(strut)]}:\n    """Return all sizes as the builders take them."""\n'
    return out.lines, head + textwrap.indent("\n".join(body), "    ")


def _member(out: Sizes, f: str, value: Any, strut: Strut, body: list[str]) -> str:
    """Return the expression of a member of the strut; records are made before, under its name."""
    if isinstance(value, tuple) and isinstance(value[0], ROWS):
        return out.rows(value, f)
    if isinstance(value, tuple):
        one = {"bearings": "bearing", "arms": "arm", "palms": "palm"}[f]
        called = [getattr(v, "called", "") if len(value) > 1 else one for v in value]
        if f == "palms":
            _planes(out, value, strut, body)
        texts = out.made(value, singular(called, one), f)
        body.append(f"{f} = (\n" + "".join(textwrap.indent(t, "    ") + ",\n" for t in texts) + ")")
        return f
    if dataclasses.is_dataclass(value):
        body.append(f"{f} = {out.made([value], [f], f)[0]}")
        return f
    if f == "family":
        return literal(families.called(strut))
    return out.assign(f, literal(value), words("Strut", f))


def _planes(out: Sizes, palms: Sequence[Palm], strut: Strut, body: list[str]) -> None:
    """Assign the hull faces, each once."""
    for palm in palms:
        name = _plane_name(palm, strut)
        if not any(line.startswith(f"{name} = ") for line in body):
            body.append(f"{name} = {out.made([palm.plane], [name], name)[0]}")


def _plane_name(palm: Palm, strut: Strut) -> str:
    if len({p.plane for p in strut.palms}) == 1:
        return "hull_face"
    return f"{palm.name.split()[0]}_hull_face"


def _arms_on(palm: Palm, strut: Strut) -> str:
    index = strut.palms.index(palm)
    these = [k for k, a in enumerate(strut.arms) if a.palm_index == index]
    if len(these) == len(strut.arms):
        return "arms"
    return f"arms[{these[0]}:{these[-1] + 1}]"


def _as_barrel(end: BarrelEnd, strut: Strut) -> str:
    """The face of a straight end is as wide as the barrel."""
    same = end.shape == "straight" and end.end_diameter_mm == strut.barrel.outside_mm
    return "barrel_outside_mm" if same else ""
