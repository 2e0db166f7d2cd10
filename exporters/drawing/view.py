"""A view: model geometry in mm with what is to be said about it. Where dimensions and notes go is decided in `fit`.

front = View("front", slot="front") front.add_projection(project(part, FRONT)) front.horizontal((-60, 0), (60, 0),
side="below") front.vertical((60, 0), (60, 20), side="right", label=Label(deviations=(0.1, -0.1))) front.diameter((0,
40), 8, Label(prefix="2×", suffix="THRU")) front.note((22, 55), ["BREAK EDGES 0.3"])
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strutwright.exporters.drawing import dims, shapes, symbols
from strutwright.exporters.drawing.dims import DimSizes, Said
from strutwright.exporters.drawing.figures import PLAIN, Figures, Label
from strutwright.exporters.drawing.items import DimKind, Item, Stroke
from strutwright.exporters.drawing.shapes import Arc, Box, Line, P, Placing, Shape, Text, along, bounds
from strutwright.exporters.drawing.style import Kind, Shade
from strutwright.exporters.drawing.text import text_width
from strutwright.exporters.drawing.ties import Tie

if TYPE_CHECKING:
    from strutwright.exporters.drawing.projection import Projected, Section

Side = Literal["above", "below", "left", "right"]
Seen = Literal["seen from top", "seen from below", "seen from left", "seen from right"]
Slot = Literal["front", "free", "foot"] | Side | Seen
"""Where a view stands. "seen from ..." obeys the sheet's projection (a view from the top goes above the front view in
third angle, below it in first angle); "above", "below", "left" and "right" are places whatever the projection.
"""

_WAY: dict[Side, P] = {"above": (0.0, 1.0), "below": (0.0, -1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}

LEAST_TEXT_MM = 2.5
OWN_SHARE = 1.4
"""How many times nearer to its own point than to another a label's text stands at least."""
_LABEL_DEG = (45, 135, -45, -135, 0, 180, 90, -90, 20, 160, -20, -160, 68, 112, -68, -112)

SCALES: tuple[float, ...] = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02)
"""Scales of ISO 5455 that are tried, paper per model."""


@dataclass(frozen=True, slots=True)
class Setting:
    """How a view is put on paper: its scale and place, the sizes of letters and arrows, how figures are written."""

    place: Placing
    sizes: DimSizes
    figures: Figures

    def said(self, owner: str, name: str, kind: DimKind, label: Label, value: float, lines: Sequence[str] = ()) -> Said:
        """Return what a dimension of a measured value says. lines: in place of those the label gives."""
        text = lines[0] if lines else label.text(self.figures, value)
        lines = lines or label.lines(self.figures, value)
        scale = 1.0 if kind == "angular" else self.place.scale
        return Said(
            name=name,
            owner=owner,
            text=text,
            value=value,
            sizes=self.sizes,
            kind=kind,
            lines=lines,
            scale=scale,
            boxed=label.basic,
            row=label.row,
        )


@dataclass(frozen=True, slots=True)
class Straight:
    """A horizontal or vertical dimension of two points, on one side of the view, and what is tied to it."""

    p: P
    q: P
    side: Side
    label: Label
    ties: tuple[Tie, ...] = ()


@dataclass(frozen=True, slots=True)
class Fixed:
    """Built as soon as the scale is known. The forms it may take, the wanted one first.

    late: placed after the horizontal and vertical dimensions, whose extension lines it then keeps clear of. optional:
    placed last, and only where it is in nobody's way.
    """

    build: Callable[[Setting], Sequence[Item]]
    late: bool = False
    optional: bool = False


class Lead(NamedTuple):
    """A leader on paper: from its tip in a direction (radians) over a reach."""

    tip: P
    direction: float
    reach: float

    @property
    def knee(self) -> P:
        """Its other end."""
        return along(self.tip, self.direction, self.reach)


@dataclass(frozen=True, slots=True)
class Led:
    """Built at a direction and reach of its leader, which the layout tries; the leader ends on `point`, or on the ring
    of radius ring_mm about it.
    """

    build: Callable[[Setting, Lead], Item]
    point: P
    prefer_deg: float | None
    ring_mm: float = 0.0

    def tip(self, place: Placing, direction: float) -> P:
        """Return where on paper a leader in that direction (radians) ends."""
        return along(place.point(self.point), direction, self.ring_mm * place.scale)


@dataclass(slots=True)
class View:
    """A view under construction. Points and lengths are model mm, the view's own x right and y up.

    name: unique on the sheet. slot: place on the sheet. title: written below it, such as "SECTION A-A". scale: own
    scale (paper per model) of a detail, None for the sheet's. share: instead of a scale of its own, about this share of
    the sheet's, brought down to a scale of ISO 5455. corner: where on the sheet a free view goes if it can; in the
    middle before the tables, elsewhere after them.
    """

    name: str
    slot: Slot = "free"
    title: str = ""
    scale: float | None = None
    share: float = 1.0
    corner: Literal["middle", "top right", "top left", "bottom left"] = "middle"
    strokes: list[Stroke] = field(default_factory=list)
    hatches: list[tuple[tuple[NDArray[np.float64], ...], float, float, Shade]] = field(default_factory=list)
    shaded: list[Line] = field(default_factory=list)
    crosses: list[tuple[P, float]] = field(default_factory=list)
    straights: list[Straight] = field(default_factory=list)
    fixed: list[Fixed] = field(default_factory=list)
    led: list[Led] = field(default_factory=list)
    ringed: list[P] = field(default_factory=list)
    own_words: Callable[[str], str] = str
    """What is written in the place of a text, on a sheet that has words of its own."""

    def in_words(self, own_words: Callable[[str], str]) -> None:
        """Have its title, notes, labels and what stands beside figures written in other words, once only."""
        if self.own_words is not str:
            return
        self.own_words, self.title = own_words, own_words(self.title)
        self.straights = [replace(one, label=self._own(one.label)) for one in self.straights]

    def _own(self, label: Label) -> Label:
        return replace(label, prefix=self.own_words(label.prefix), suffix=self.own_words(label.suffix))

    def _put(self, build: Callable[[Setting], Sequence[Item]], late: bool = False, optional: bool = False) -> None:
        self.fixed.append(Fixed(build, late, optional))

    # Geometry

    def add(self, curves: Iterable[Shape], kind: Kind = "visible") -> None:
        """Add curves of one kind."""
        self.strokes += [Stroke(curve, kind) for curve in curves]

    def add_outline(self, vertices: ArrayLike, kind: Kind = "visible", *, closed: bool = True) -> None:
        """Add an outline given as (n, 2) or (n, 3) x, y[, bulge]."""
        self.add(shapes.from_vertices(vertices, closed).pieces(), kind)

    def add_projection(self, seen: Projected, *, hidden: bool = True) -> None:
        """Add a hidden-line view: visible edges, hidden ones on request."""
        self.add(seen.visible, "visible")
        if hidden:
            self.add(seen.hidden, "hidden")

    def add_section(self, cut: Section) -> None:
        """Add a section: what is seen behind the plane, the cut edges, and hatching."""
        self.add_projection(cut.view, hidden=False)
        self.hatch(cut.loops)

    def hatch(
        self,
        loops: Iterable[NDArray[np.float64]],
        *,
        spacing_mm: float = 3.0,
        angle_deg: float = 45.0,
        kind: Shade = "hatch",
    ) -> None:
        """Fill closed loops (polygons (n, 2), even-odd) with section lines spacing_mm apart on paper."""
        self.hatches.append((tuple(loops), spacing_mm, angle_deg, kind))

    def shade(self, lines: Iterable[Line]) -> None:
        """Add fine lines that are broken off where a text stands, such as lines of equal height."""
        self.shaded += lines

    def centre_line(self, a: P, b: P) -> None:
        """Add a centre line from a to b; it runs 3 mm on paper beyond both."""

        def build(on: Setting) -> list[Item]:
            p, q = on.place.point(a), on.place.point(b)
            way = math.atan2(q[1] - p[1], q[0] - p[0])
            return [
                Item(
                    name="centre line",
                    owner=self.name,
                    strokes=(Stroke(Line(along(p, way, -3.0), along(q, way, 3.0)), "centre"),),
                )
            ]

        self._put(build)

    def centre_mark(self, centre: P, diameter_mm: float) -> None:
        """Add the crossing centre lines of a hole or boss of diameter_mm."""
        self.crosses.append((centre, diameter_mm))

    def circle(self, centre: P, diameter_mm: float, kind: Kind = "visible", *, marked: bool = True) -> None:
        """Add a circle, with its centre mark unless told otherwise."""
        self.add([Arc(centre, diameter_mm / 2.0)], kind)
        if marked:
            self.centre_mark(centre, diameter_mm)

    def break_line(self, a: P, b: P) -> None:
        """Add a long break line with a zigzag from a to b, where a part is shown shortened or cut off."""

        def build(on: Setting) -> list[Item]:
            return [
                Item(
                    name="break line",
                    owner=self.name,
                    strokes=tuple(symbols.break_line(on.place.point(a), on.place.point(b))),
                )
            ]

        self._put(build)

    # Dimensions

    def horizontal(self, p: P, q: P, label: Label = PLAIN, *, side: Literal["above", "below"] = "below") -> None:
        """Dimension the horizontal distance of two points, above or below the view."""
        self.straights.append(Straight(p, q, side, label))

    def vertical(
        self, p: P, q: P, label: Label = PLAIN, *, side: Literal["left", "right"] = "left", ties: tuple[Tie, ...] = ()
    ) -> None:
        """Dimension the vertical distance of two points, left or right of the view."""
        self.straights.append(Straight(p, q, side, label, ties))

    def aligned(
        self, p: P, q: P, label: Label = PLAIN, *, offset_mm: float = 8.0, late: bool = False, optional: bool = False
    ) -> None:
        """Dimension the true distance of two points; line offset_mm (paper) to the left of p to q, minus: right.

        late: placed after horizontal and vertical dimensions, clear of their extension lines. optional: placed last of
        all, and left out where it finds no room (for what stands elsewhere too).
        """

        def build(on: Setting) -> list[Item]:
            a, b = on.place.point(p), on.place.point(q)
            way = math.atan2(b[1] - a[1], b[0] - a[0])
            said = on.said(self.name, "aligned dimension", "aligned", self._own(label), math.dist(p, q))
            room = max(math.dist(a, b) - text_width(said.text, on.sizes.text_mm), 0.0) / 2.0
            steps = [math.copysign(k * on.sizes.step_mm, offset_mm) for k in range(6)]
            # The other side only when nothing else helps.
            offsets = [offset_mm + k for k in steps] + [-offset_mm - k for k in steps[:4]]
            return [
                form
                for offset in offsets
                for share in ((0.0, 0.5, -0.5, 0.95, -0.95) if room > 1.0 else (0.0,))
                for form in dims.linear_forms(
                    said,
                    a,
                    b,
                    direction=way,
                    base=(a[0] - offset * math.sin(way), a[1] + offset * math.cos(way)),
                    ends=[("end", 0.0), ("start", 0.0)],
                    shift=share * room,
                    ways=[
                        along((0.0, 0.0), math.radians(d), reach)
                        for reach in (8.0, 14.0, 22.0)
                        for d in (45, 135, -45, -135, 20, 160, -20, -160)
                    ],
                )
            ]

        self._put(build, late, optional)

    def _round(
        self,
        kind: Literal["diameter", "radius"],
        centre: P,
        value: float,
        label: Label,
        extra: Sequence[str],
        at_deg: float | None,
    ) -> None:
        radius = value / 2.0 if kind == "diameter" else value

        def build(on: Setting, lead: Lead) -> Item:
            first = self._own(label).text(on.figures, value, "Ø" if kind == "diameter" else "R")
            lines = [first, *map(self.own_words, extra)]
            said = on.said(self.name, f"{kind} {lines[0]}", kind, label, value, lines)
            spot, paper = on.place.point(centre), radius * on.place.scale
            return dims.round_dim(said, spot, paper, direction=lead.direction, reach=lead.reach)

        self.led.append(Led(build, centre, at_deg, radius))

    def diameter(self, centre: P, diameter_mm: float, label: Label = PLAIN, *, extra: Sequence[str] = ()) -> None:
        """Dimension a circle by a leader. extra: further lines of text."""
        self._round("diameter", centre, diameter_mm, label, extra, None)

    def radius(self, centre: P, radius_mm: float, label: Label = PLAIN, *, at_deg: float) -> None:
        """Dimension an arc by a leader that leaves it at at_deg (degrees from the arc's centre)."""
        self._round("radius", centre, radius_mm, label, (), at_deg)

    def angle(
        self,
        vertex: P,
        first: P,
        second: P,
        label: Label = PLAIN,
        *,
        radius_mm: float = 25.0,
        reach_mm: float | None = None,
        late: bool = True,
        inward: bool = True,
        outer: Literal["first", "second"] = "second",
    ) -> None:
        """Dimension the angle between two directions, whichever way round is below 180 degrees; nothing when they are
        one line.

        radius_mm: of the arc on paper; others are tried when it is in the way. reach_mm: radius in the model instead,
        for small angles that open wide only far out. late: of one with reach_mm, placed after horizontal and vertical
        dimensions. inward: whether radii well under reach_mm may be tried. outer: the side past which the text goes
        first when the angle is too narrow for it, the one on which it ends counter-clockwise being the second.
        """
        turned = (second[1] - vertex[1]) * (first[0] - vertex[0]) - (second[0] - vertex[0]) * (first[1] - vertex[1])
        if abs(turned) < 1e-4 * math.dist(vertex, first) * math.dist(vertex, second):
            return
        if turned < 0.0:
            first, second = second, first

        def build(on: Setting) -> list[Item]:
            a0 = math.atan2(first[1] - vertex[1], first[0] - vertex[0])
            a1 = math.atan2(second[1] - vertex[1], second[0] - vertex[0])
            value = math.degrees((a1 - a0) % math.tau)
            if reach_mm is None:
                tried = [radius_mm * times for times in (1.0, 1.3, 0.75, 1.7, 2.2, 0.5, 3.0)]
            else:
                reach = reach_mm * on.place.scale
                times = (1.0, 1.06, 1.12, 0.94, 0.86, 1.2, 0.75, 0.65, 0.55, 0.45, 1.35)
                tried = [reach * t for t in times if inward or t > 0.93]
            text = self._own(label).text(on.figures, value, angle=True)
            said = on.said(self.name, "angle", "angular", label, value, [text])
            corners = [on.place.point(p) for p in (vertex, first, second)]
            past: Literal["first", "second"] = "first" if outer == "second" else "second"
            return [
                dims.angular(said, *corners, radius=radius, beside=beside)
                for beside in (None, outer, past)
                for radius in tried
            ]

        self._put(build, late and reach_mm is not None)

    # Notes and symbols

    def note(
        self,
        point: P,
        lines: Sequence[str],
        *,
        at_deg: float | None = None,
        head: Literal["arrow", "dot"] = "arrow",
        row: str = "",
    ) -> None:
        """Add a leader from `point` to lines of text. head: "arrow" on an edge, "dot" on a face. row: see Label."""

        def build(on: Setting, lead: Lead) -> Item:
            said = [self.own_words(line) for line in lines]
            made = dims.note(f"note {said[0]}", self.name, lead.tip, lead.knee, said, sizes=on.sizes, head=head)
            return replace(made, row=row)

        self.led.append(Led(build, point, at_deg))

    def balloon(self, point: P, text: str, *, at_deg: float | None = None) -> None:
        """Add an item number or characteristic number in a circle, led to `point`."""

        def build(on: Setting, lead: Lead) -> Item:
            centre = along(lead.tip, lead.direction, lead.reach + 1.25 * on.sizes.text_mm)
            return dims.balloon(f"balloon {text}", self.name, lead.tip, centre, text, sizes=on.sizes)

        self.led.append(Led(build, point, at_deg))

    def tolerance(
        self,
        point: P,
        characteristic: symbols.Characteristic,
        tolerance: str,
        datums: Sequence[str] = (),
        *,
        at_deg: float | None = None,
        ring_mm: float = 0.0,
        row: str = "",
    ) -> None:
        """Add a geometric tolerance frame led to `point`. tolerance: such as "Ø0.1"; datums: letters in order.

        ring_mm: radius of a hole about `point`, to whose rim the leader goes from its own side, not across it. row: see
        Label.
        """

        def build(on: Setting, lead: Lead) -> Item:
            size, (x, y) = on.sizes.text_mm, lead.knee
            width = symbols.frame_width(tolerance, datums, size)
            corner = (x + 3.0 if x >= lead.tip[0] else x - 3.0 - width, y - size)
            name = f"tolerance {characteristic}"
            made = symbols.tolerance_frame(
                name, self.name, corner, characteristic, tolerance, datums, tip=lead.tip, text_mm=size
            )
            return replace(made, row=row)

        self.led.append(Led(build, point, at_deg, ring_mm))

    def weld(self, point: P, kind: symbols.Weld, size: str, *, tail: str = "", at_deg: float | None = None) -> None:
        """Add the symbol of a weld all round, its arrow on the joint `point`. size: such as "a5" or "z6"."""

        def build(on: Setting, lead: Lead) -> Item:
            name, height = f"weld {size}", on.sizes.text_mm
            return symbols.weld(name, self.name, lead.tip, lead.knee, kind=kind, size=size, tail=tail, text_mm=height)

        self.led.append(Led(build, point, at_deg))

    def datum(self, point: P, letter: str, *, toward: Side) -> None:
        """Add a datum feature triangle standing on `point`, its letter on the named side."""

        def build(on: Setting) -> list[Item]:
            name, spot, size = f"datum {letter}", on.place.point(point), on.sizes.text_mm
            return [
                symbols.datum(name, self.name, spot, letter, toward=_WAY[toward], text_mm=size, stem_mm=stem * size)
                for stem in (1.0, 2.0, 3.5, 5.0, 7.0, 9.0)
            ]

        self._put(build)

    def surface(
        self, point: P, text: str, *, turn_deg: float = 0.0, removal: symbols.Removal = "required", late: bool = False
    ) -> None:
        """Add a surface-texture symbol on `point`, text such as "Ra 1.6"; turn_deg: slope of the surface there.

        late: placed after horizontal and vertical dimensions.
        """

        def build(on: Setting) -> list[Item]:
            spot, turn, size = on.place.point(point), math.radians(turn_deg), on.sizes.text_mm

            def form(turn: float = 0.0, knee: P | None = None) -> Item:
                name = f"surface {text}"
                return symbols.surface_texture(
                    name, self.name, spot, text, text_mm=size, removal=removal, turn=turn, knee=knee
                )

            # Else it would read upside down.
            upright = [form(turn)] if math.cos(turn) > -0.01 and math.sin(turn) > -0.99 else []
            return upright + [
                form(knee=along(spot, turn + math.radians(degrees), reach))
                for reach in (8.0, 13.0, 20.0, 30.0, 42.0)
                for degrees in (60, 120, 45, 135, 90, 30, 150)
            ]

        self._put(build, late)

    def cutting_plane(self, a: P, b: P, letter: str, *, looking: Side) -> None:
        """Add the trace of a cutting plane from a to b. looking: the way one looks at the cut."""

        def build(on: Setting) -> list[Item]:
            p, q, way, size = on.place.point(a), on.place.point(b), _WAY[looking], on.sizes.text_mm
            return [symbols.cutting_plane(f"cutting plane {letter}", self.name, p, q, letter, toward=way, text_mm=size)]

        self._put(build)

    def arrow(self, tail: P, direction_deg: float, text: str) -> None:
        """Add a direction arrow, such as "FWD", starting at `tail` or, when that is taken, near it."""

        def build(on: Setting) -> list[Item]:
            (x, y), way = on.place.point(tail), math.radians(direction_deg)
            c, s = math.cos(way), math.sin(way)
            size, said = on.sizes.text_mm, self.own_words(text)
            name = f"arrow {said}"
            return [
                symbols.direction_arrow(
                    name, self.name, (x + a * c - b * s, y + a * s + b * c), way, said, text_mm=size
                )
                for a in (0.0, 6.0, 12.0, 20.0)
                for b in (0.0, -5.0, 5.0, -10.0, 10.0, -16.0, 16.0, -24.0, 24.0)
            ]

        self._put(build, late=True)

    def force(self, tail: P, tip: P, text: str) -> None:
        """Add the arrow of a force from `tail` to `tip`, where it acts: only its text is moved out of the way."""
        self.add([Line(tail, tip)])

        def build(on: Setting) -> list[Item]:
            ends = on.place.point(tail), on.place.point(tip)
            return symbols.force(f"force {text}", self.name, *ends, text, text_mm=on.sizes.text_mm)

        self._put(build, late=True)

    def label(
        self, point: P, text: str, *, ring_mm: float = 0.0, height_mm: float | None = None, at_deg: float | None = None
    ) -> None:
        """Add a short text beside `point`, where it is clear. ring_mm: radius (model) it must stay outside of; of
        several points with one, no text stands where it could be taken for another's.

        height_mm: on paper, None for the sheet's text height. at_deg: side tried first, further out too.
        """
        if ring_mm > 0.0:
            self.ringed.append(point)

        def build(on: Setting) -> list[Item]:
            said = self.own_words(text)
            spot, ring, full = on.place.point(point), ring_mm * on.place.scale, height_mm or on.sizes.text_mm
            others = [on.place.point(p) for p in self.ringed if p != point] if ring_mm > 0.0 else []
            tries = [(at_deg, off, full) for off in (1.2, 2.5, 4.5) if at_deg is not None]
            # A smaller number rather than one far from its hole.
            small = min(full, LEAST_TEXT_MM)
            steps = [(1.2, full), (2.5, full), (1.2, small), (2.5, small), (4.5, full), (7.0, full), (10.0, full)]
            tries += [(float(way), *step) for step in steps for way in _LABEL_DEG]
            own: list[Item] = []
            doubtful: list[Item] = []
            for degrees, off, height in tries:
                way, half = math.radians(degrees), text_width(said, height) / 2.0
                c, s = abs(math.cos(way)), abs(math.sin(way))
                middle = along(spot, way, ring + off + min(half / max(c, 1e-9), height / 2.0 / max(s, 1e-9)))
                near = any(math.dist(middle, o) < OWN_SHARE * math.dist(middle, spot) for o in others)
                written = Text(said, (middle[0], middle[1] - height / 2.0), height, "centre")
                (doubtful if near else own).append(Item(name=f"label {said}", owner=self.name, texts=(written,)))
            return own or doubtful

        self._put(build, late=True)

    # For the layout

    def own_scale(self, sheet_scale: float) -> float:
        """Return the scale (paper per model) the view is drawn at on a sheet of that scale."""
        if self.scale is not None:
            return self.scale
        if self.share == 1.0:
            return sheet_scale
        wanted = self.share * sheet_scale * (1.0 + 1e-9)
        return max((s for s in SCALES if s <= wanted), default=SCALES[-1])

    def extent(self) -> Box:
        """Return the box in model mm round the geometry. Raises ValueError when there is none."""
        if not self.strokes:
            raise ValueError(f"view {self.name!r} has no geometry")
        return shapes.union(bounds(s.shape) for s in self.strokes)
