"""Plain full-size DXF for machines: closed outlines, hole circles, check bars, text on its own layer.

One `CutFile` is one file. Geometry goes in as millimetres and is written 1:1 in the file's unit. Only LINE,
ARC, CIRCLE, TEXT and LWPOLYLINE (POLYLINE in R12) are written: no blocks, hatches, splines or dimensions,
which cutting programs read badly (common practice, no source).

    cut = CutFile("palm", unit="mm")
    cut.add_outline("CUT_OUTER", palm.outline)
    for hole in palm.holes:
        cut.add_circle("DRILL", hole.centre, hole.diameter_mm)
    cut.add_check_square((0.0, -80.0))
    cut.add_text("palm, water face, PORT", (0.0, -90.0))
    cut.save(Path("palm_port_mm.dxf"))
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
from ezdxf.document import Drawing
from numpy.typing import ArrayLike, NDArray

from strutwright.exporters.drawing.dxfdoc import DxfVersion, add_linetype, draw, new_document, save_dxf, unit_factor
from strutwright.exporters.drawing.shapes import (
    Box,
    Line,
    Shape,
    Text,
    bounds,
    circle,
    flatten,
    from_vertices,
    union,
    xy,
)
from strutwright.exporters.drawing.text import drawable
from strutwright.models.families import drawn
from strutwright.models.outline import Outline
from strutwright.models.outline.segments import POINT_TOL_MM
from strutwright.models.spec import Strut
from strutwright.params.quantity import INCH_MM, FileUnits
from strutwright.params.words import Amount, drawn_mm

Point = Sequence[float]


@dataclass(frozen=True, slots=True)
class CutLayer:
    """A layer: DXF colour index (1 to 255), and the line type, "CONTINUOUS", "DASHED" or "CENTER"."""

    name: str
    colour: int
    linetype: str = "CONTINUOUS"


LAYERS: tuple[CutLayer, ...] = (
    CutLayer("CUT_OUTER", 7),
    CutLayer("CUT_INNER", 4),
    CutLayer("DRILL", 1),
    CutLayer("COUNTERSINK", 6),
    CutLayer("ENGRAVE", 3),
    CutLayer("CENTRE", 2, "CENTER"),
    CutLayer("PHANTOM", 8, "DASHED"),
    CutLayer("TEMPLATE", 7),
    CutLayer("FOLD", 5, "DASHED"),
    CutLayer("TEXT", 3),
    CutLayer("CHECK", 30),
)
"""Layers every file may use without declaring them. Colours carry one meaning each."""

_LINETYPES = {"CENTER": ("Centre ____ _ ____", (10.0, 2.0, 1.0, 2.0)), "DASHED": ("Dashed _ _ _", (3.0, 1.5))}


class CutFile:
    """Collects full-size geometry and writes one DXF. All lengths and places are given in millimetres."""

    def __init__(self, name: str, unit: FileUnits = "mm", own: Callable[[str], str] = str) -> None:
        """name: what the file shows, used in messages. unit: unit of the written file, "mm" or "in". own: says a text
        in the words that the drawn part has for it."""
        self.name = name
        self.own = own
        self.unit: FileUnits = unit
        self._factor = unit_factor(unit)
        self._layers: dict[str, CutLayer] = {layer.name: layer for layer in LAYERS}
        self._items: list[tuple[str, Shape | Text]] = []
        self._drawn: int | None = None
        self.facts: list[tuple[str, float]] = []
        """The sentences under the drawing and the heights (mm) they are written in, before they are broken to rows."""
        self._pieces: NDArray[np.float64] = np.empty((0, 2, 2))
        self._flattened = 0

    def add_layer(self, name: str, colour: int, linetype: str = "CONTINUOUS") -> None:
        """Declare a further layer. name: letters, digits, "_" and "-", at most 31 (R12). Raises ValueError."""
        if not name or len(name) > 31 or not all(c.isalnum() or c in "_-" for c in name) or not name.isascii():
            raise ValueError(f"layer name {name!r}: allowed are up to 31 letters, digits, '_' and '-'")
        if linetype != "CONTINUOUS" and linetype not in _LINETYPES:
            raise ValueError(f"line type {linetype!r}: allowed are CONTINUOUS, {', '.join(sorted(_LINETYPES))}")
        self._layers[name] = CutLayer(name, colour, linetype)

    def _on(self, layer: str) -> str:
        if layer not in self._layers:
            raise ValueError(f"layer {layer!r} of {self.name}: not declared; known are {', '.join(self._layers)}")
        return layer

    def add_outline(self, layer: str, outline: Outline) -> None:
        """Add an outline of the models, mm."""
        self.add_polyline(layer, outline.vertices, closed=outline.closed)

    def add_polyline(self, layer: str, vertices: ArrayLike, *, closed: bool = True) -> None:
        """Add a polyline. vertices: (n, 2) or (n, 3) x, y[, bulge] in mm. Zero-length pieces are dropped.

        Raises ValueError for another shape, for numbers that are not finite, and when fewer than two vertices
        (closed with straight sides only: three) remain.
        """
        shape = from_vertices(vertices, closed)
        if len(shape.points) < 2 or (closed and len(shape.points) < 3 and not shape.bulges):
            raise ValueError(f"polyline on {layer} of {self.name}: fewer than the vertices it needs remain")
        self._items.append((self._on(layer), shape))

    def add_circle(self, layer: str, centre: Point, diameter_mm: float) -> None:
        """Add a circle. centre: (x, y) in mm; diameter_mm > 0, else ValueError."""
        if not diameter_mm > 0.0:
            raise ValueError(f"circle of {self.name}: diameter must be above 0 mm, got {diameter_mm}")
        self._items.append((self._on(layer), circle(centre, diameter_mm)))

    def add_line(self, layer: str, start: Point, end: Point) -> None:
        """Add a straight line between two points (x, y) in mm. Raises ValueError when it has no length."""
        p, q = xy(start), xy(end)
        if math.dist(p, q) <= POINT_TOL_MM:
            raise ValueError(f"line of {self.name}: has no length at ({p[0]:g}, {p[1]:g})")
        self._items.append((self._on(layer), Line(p, q)))

    def add_centre_mark(self, centre: Point, size_mm: float, layer: str = "CENTRE") -> None:
        """Add a cross of two lines of length size_mm through `centre` (x, y), in mm."""
        (x, y), h = xy(centre), size_mm / 2.0
        self.add_line(layer, (x - h, y), (x + h, y))
        self.add_line(layer, (x, y - h), (x, y + h))

    def add_text(self, text: str, at: Point, height_mm: float = 3.5, *, turn: float = 0.0, layer: str = "TEXT") -> None:
        """Add one line of text, in the part's own words, with its lower left corner at `at` (x, y), in mm; turn in
        radians. Empty text is a ValueError."""
        self.write(self.own(text), at, height_mm, turn=turn, layer=layer)

    def write(self, text: str, at: Point, height_mm: float = 3.5, *, turn: float = 0.0, layer: str = "TEXT") -> None:
        """Add text as `add_text` does, word for word: what was measured in the part's own words before."""
        if not text.strip() or "\n" in text:
            raise ValueError(f"text of {self.name}: one line that is not empty is needed, got {text!r}")
        self._items.append((self._on(layer), Text(drawable(text), xy(at), height_mm, turn=turn)))

    @property
    def items(self) -> tuple[tuple[str, Shape | Text], ...]:
        """All that is drawn, in mm, in its order, each after the name of its layer."""
        return tuple(self._items)

    def begin_facts(self) -> None:
        """Say that the drawing is done: what is added from here on are check bars and the sentences under it."""
        self._drawn = len(self._items)

    @property
    def drawn(self) -> int:
        """How many items, from the first, are the drawing itself."""
        return len(self._items) if self._drawn is None else self._drawn

    @property
    def unit_word(self) -> str:
        """The unit as it stands in a sentence, where "in" would be read as a word."""
        return "inch" if self.unit == "in" else self.unit

    def length(self, length_mm: float) -> str:
        """Return a length in the file's unit with the unit's name, such as "100 mm" or "4 in"."""
        return self.said(drawn_mm(length_mm))

    def figure(self, length_mm: float) -> str:
        """Return a length as `length` does, without the unit's name."""
        return drawn_mm(length_mm).figure(self.unit)[0]

    def said(self, amount: Amount) -> str:
        """Return a quantity as it is written in the file."""
        return amount.read(self.unit)

    def add_check_bar(self, at: Point, length_mm: float | None = None, *, vertical: bool = False) -> None:
        """Add a check bar of known length with end ticks and its length as text, on layer CHECK.

        at: its left or lower end (x, y) in mm. length_mm: 100 mm, or 101.6 mm (4 in) in an inch file, when left out.
        """
        length = length_mm if length_mm is not None else (100.0 if self.unit == "mm" else 4.0 * INCH_MM)
        x, y = xy(at)
        tick = 2.5
        label = f"CHECK {self.length(length)}"
        if vertical:
            self.add_line("CHECK", (x, y), (x, y + length))
            for end in (y, y + length):
                self.add_line("CHECK", (x - tick, end), (x + tick, end))
            self.write(label, (x - 1.5, y + 4.0), 3.5, turn=math.pi / 2)
        else:
            self.add_line("CHECK", (x, y), (x + length, y))
            for end in (x, x + length):
                self.add_line("CHECK", (end, y - tick), (end, y + tick))
            self.write(label, (x + 4.0, y + 1.5), 3.5)

    def add_check_square(self, at: Point, side_mm: float | None = None) -> None:
        """Add a check square, which also shows a sheared or unevenly scaled plot. Arguments as `add_check_bar`.

        side_mm: 50 mm, or 50.8 mm (2 in) in an inch file, when left out.
        """
        side = side_mm if side_mm is not None else (50.0 if self.unit == "mm" else 2.0 * INCH_MM)
        x, y = xy(at)
        self.add_polyline("CHECK", Box(x, y, x + side, y + side).corners())
        self.write(f"CHECK {self.length(side)} square", (x + 2.0, y + 2.0), 2.5)

    def bounds(self, layer: str = "") -> Box:
        """Return the box in mm round all lines, arcs and circles, or those on one layer; text is not counted.

        Raises ValueError when there is nothing to bound.
        """
        return self._box(shape for on, shape in self._items if layer in ("", on) and not isinstance(shape, Text))

    def holds(self, layer: str) -> bool:
        """True when something is on a layer."""
        return any(on == layer for on, _ in self._items)

    def extents(self, count: int | None = None) -> Box:
        """Return the same with text, as it is with the shipped font. count: only so many items, from the first.

        Raises ValueError when nothing is drawn.
        """
        return self._box(shape for _, shape in self._items[:count])

    def _box(self, shapes: Iterable[Shape | Text]) -> Box:
        boxes = [bounds(shape) for shape in shapes]
        if not boxes:
            raise ValueError(f"{self.name}: nothing drawn yet")
        return union(boxes)

    def words(self) -> list[Text]:
        """Return all texts with their places, in mm."""
        return [shape for _, shape in self._items if isinstance(shape, Text)]

    def pieces(self) -> NDArray[np.float64]:
        """Return all lines, arcs and circles as straight pieces (n, 2 ends, 2) in mm, within 0.05 mm."""
        for _, shape in self._items[self._flattened :]:
            if not isinstance(shape, Text):
                points = flatten(shape, 0.05)
                self._pieces = np.concatenate((self._pieces, np.stack((points[:-1], points[1:]), axis=1)))
        self._flattened = len(self._items)
        return self._pieces

    def document(self, version: DxfVersion = "R2010") -> Drawing:
        """Return the DXF document, version "R2010" or "R12"."""
        doc = new_document(version, self.unit)
        k = self._factor
        for name, (description, pattern) in _LINETYPES.items():
            add_linetype(doc, name, pattern, self.unit, description)
        used = {on for on, _ in self._items}
        for layer in self._layers.values():
            if layer.name in used:
                doc.layers.add(layer.name, color=layer.colour, linetype=layer.linetype)
        space = doc.modelspace()
        for on, shape in self._items:
            draw(space, shape, k, layer=on)
        x0, y0, x1, y1 = self.bounds()
        space.reset_extents((x0 * k, y0 * k, 0.0), (x1 * k, y1 * k, 0.0))
        doc.set_modelspace_vport(height=max(y1 - y0, 1.0) * k * 1.1, center=((x0 + x1) / 2.0 * k, (y0 + y1) / 2.0 * k))
        return doc

    def save(self, path: Path, version: DxfVersion = "R2010") -> None:
        """Write the file to `path` as DXF version "R2010" or "R12"."""
        save_dxf(self.document(version), path)


def cut_file(strut: Strut, name: str) -> CutFile:
    """Return an empty file that shows a part, or something of it, in its unit and its own words."""
    return CutFile(name, strut.file_units, partial(drawn, family=strut.family))
