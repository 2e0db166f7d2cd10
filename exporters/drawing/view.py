"""A view: model geometry in mm with what is to be said about it. Where dimensions and notes go is decided at layout.

front = View("front", slot="front")
front.add_projection(project(part, FRONT))
front.horizontal((-60, 0), (60, 0), side="below")
front.vertical((60, 0), (60, 20), side="right", label=Label(deviations=(0.1, -0.1)))
front.diameter((0, 40), 8, Label(prefix="2×", suffix="THRU"))
front.note((22, 55), ["BREAK EDGES 0.3"])
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strutwright.exporters.drawing import dims, symbols
from strutwright.exporters.drawing.dims import DimSizes
from strutwright.exporters.drawing.figures import PLAIN, Figures, Label
from strutwright.exporters.drawing.items import Item, Occupied, Stroke, own_lines_through_text, quads_hit
from strutwright.exporters.drawing.shapes import (
    TAU,
    Arc,
    Box,
    Line,
    P,
    Placing,
    Poly,
    Shape,
    bounds,
    from_vertices,
    hatch,
    union,
)
from strutwright.exporters.drawing.style import Kind
from strutwright.exporters.drawing.text import Text, text_width

if TYPE_CHECKING:
    from strutwright.exporters.drawing.projection import Projected, Section

Slot = Literal[
    "front",
    "above",
    "below",
    "left",
    "right",
    "seen from top",
    "seen from below",
    "seen from left",
    "seen from right",
    "free",
]
"""Where a view stands. "seen from ..." obeys the sheet's projection (a view from the top goes above the front view in
third angle, below it in first angle); "above", "below", "left" and "right" are places whatever the projection.
"""

Side = Literal["above", "below", "left", "right"]

_ENDS: tuple[Literal["end"], Literal["start"]] = ("end", "start")

_LABEL_DEG = (45, 135, -45, -135, 0, 180, 90, -90, 20, 160, -20, -160, 68, 112, -68, -112)

SCALES: tuple[float, ...] = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02)
"""Scales of ISO 5455 that are tried, paper per model."""

SHORT_MARK_MM = 14.0  # centre marks of less are drawn through

_LEADER_DEG = (60, 120, 45, 135, 30, 150, -60, -120, -45, -135, -30, -150, 75, 105, -75, -105, 15, 165, -15, -165)


@dataclass(frozen=True, slots=True)
class _Straight:
    p: P
    q: P
    side: Side
    label: Label


@dataclass(frozen=True, slots=True)
class _Ordinate:
    origin: P
    points: tuple[P, ...]
    side: Side


@dataclass(frozen=True, slots=True)
class _Fixed:
    """Built as soon as the scale is known. The forms it may take, the wanted one first."""

    build: Callable[[Placing, DimSizes, Figures], Sequence[Item]]
    late: bool = False
    """Placed after the horizontal and vertical dimensions, whose extension lines it then keeps clear of."""
    optional: bool = False
    """Placed last, and only where it is in nobody's way."""


@dataclass(frozen=True, slots=True)
class _Led:
    """Built at a direction and reach of its leader; the layout tries them."""

    build: Callable[[Placing, DimSizes, Figures, float, float], Item]
    tip: Callable[[Placing, float], P]
    prefer_deg: float | None


@dataclass(slots=True)
class View:
    """A view under construction. Points and lengths are model mm, the view's own x right and y up.

    name: unique on the sheet. slot: place on the sheet. title: written below it, such as "SECTION A-A". scale: own
    scale (paper per model) of a detail, None for the sheet's. share: instead of a scale of its own, about this share of
    the sheet's, brought down to a scale of ISO 5455.
    """

    name: str
    slot: Slot = "free"
    title: str = ""
    scale: float | None = None
    share: float = 1.0
    _strokes: list[Stroke] = field(default_factory=list)
    _hatches: list[tuple[tuple[NDArray[np.float64], ...], float, float]] = field(default_factory=list)
    _crosses: list[tuple[P, float]] = field(default_factory=list)
    _straight: list[_Straight] = field(default_factory=list)
    _ordinates: list[_Ordinate] = field(default_factory=list)
    _fixed: list[_Fixed] = field(default_factory=list)
    _led: list[_Led] = field(default_factory=list)

    # Geometry

    def add(self, shapes: Iterable[Shape], kind: Kind = "visible") -> None:
        """Add curves of one kind."""
        self._strokes += [Stroke(shape, kind) for shape in shapes]

    def add_outline(self, vertices: ArrayLike, kind: Kind = "visible", *, closed: bool = True) -> None:
        """Add an outline given as (n, 2) or (n, 3) x, y[, bulge]."""
        self.add(from_vertices(vertices, closed), kind)

    def add_projection(self, seen: Projected, *, hidden: bool = True, smooth: bool = False) -> None:
        """Add a hidden-line view: visible edges, hidden ones and smooth ones on request."""
        self.add(seen.visible, "visible")
        if hidden:
            self.add(seen.hidden, "hidden")
        if smooth:
            self.add(seen.smooth, "smooth")

    def add_section(
        self, cut: Section, *, spacing_mm: float = 3.0, angle_deg: float = 45.0, hidden: bool = False
    ) -> None:
        """Add a section: what is seen behind the plane, the cut edges, and hatching. spacing_mm is on paper."""
        self.add_projection(cut.view, hidden=hidden)
        self.hatch(cut.loops, spacing_mm=spacing_mm, angle_deg=angle_deg)

    def hatch(self, loops: Iterable[NDArray[np.float64]], *, spacing_mm: float = 3.0, angle_deg: float = 45.0) -> None:
        """Fill closed loops (polygons (n, 2), even-odd) with section lines spacing_mm apart on paper."""
        self._hatches.append((tuple(loops), spacing_mm, angle_deg))

    def centre_line(self, a: P, b: P) -> None:
        """Add a centre line from a to b; it runs 3 mm on paper beyond both."""

        def build(place: Placing, sizes: DimSizes, figures: Figures) -> list[Item]:
            p, q = place.point(a), place.point(b)
            way = math.atan2(q[1] - p[1], q[0] - p[0])
            over = (3.0 * math.cos(way), 3.0 * math.sin(way))
            line = Line((p[0] - over[0], p[1] - over[1]), (q[0] + over[0], q[1] + over[1]))
            return [Item("centre line", self.name, (Stroke(line, "centre"),))]

        self._fixed.append(_Fixed(build))

    def centre_mark(self, centre: P, diameter_mm: float) -> None:
        """Add the crossing centre lines of a hole or boss of diameter_mm."""
        self._crosses.append((centre, diameter_mm))

    def circle(self, centre: P, diameter_mm: float, kind: Kind = "visible", *, marked: bool = True) -> None:
        """Add a circle, with its centre mark unless told otherwise."""
        self.add([Arc(centre, diameter_mm / 2.0)], kind)
        if marked:
            self.centre_mark(centre, diameter_mm)

    def break_line(self, a: P, b: P) -> None:
        """Add a long break line with a zigzag from a to b, where a part is shown shortened or cut off."""

        def build(place: Placing, sizes: DimSizes, figures: Figures) -> list[Item]:
            return [Item("break line", self.name, tuple(symbols.break_line(place.point(a), place.point(b))))]

        self._fixed.append(_Fixed(build))

    # Dimensions

    def horizontal(self, p: P, q: P, label: Label = PLAIN, *, side: Literal["above", "below"] = "below") -> None:
        """Dimension the horizontal distance of two points, above or below the view."""
        self._straight.append(_Straight(p, q, side, label))

    def vertical(self, p: P, q: P, label: Label = PLAIN, *, side: Literal["left", "right"] = "left") -> None:
        """Dimension the vertical distance of two points, left or right of the view."""
        self._straight.append(_Straight(p, q, side, label))

    def aligned(
        self, p: P, q: P, label: Label = PLAIN, *, offset_mm: float = 8.0, late: bool = False, optional: bool = False
    ) -> None:
        """Dimension the true distance of two points; line offset_mm (paper) to the left of p to q, minus: right.

        late: placed after horizontal and vertical dimensions, clear of their extension lines. optional: placed last of
        all, and left out where it finds no room (for what stands elsewhere too).
        """

        def build(place: Placing, sizes: DimSizes, figures: Figures) -> list[Item]:
            a, b = place.point(p), place.point(q)
            way = math.atan2(b[1] - a[1], b[0] - a[0])
            value = math.dist(p, q)
            text, lines = label.text(figures, value), label.lines(figures, value)
            room = max(math.dist(a, b) - text_width(text, sizes.text_mm), 0.0) / 2.0
            steps = [math.copysign(k * sizes.step_mm, offset_mm) for k in range(6)]
            # The other side only when nothing else helps.
            offsets = [offset_mm + k for k in steps] + [-offset_mm - k for k in steps[:4]]
            return [
                form
                for offset in offsets
                for shift in ((0.0, 0.5 * room, -0.5 * room, 0.95 * room, -0.95 * room) if room > 1.0 else (0.0,))
                for form in dims.linear_forms(
                    "aligned dimension",
                    self.name,
                    a,
                    b,
                    direction=way,
                    base=(a[0] - offset * math.sin(way), a[1] + offset * math.cos(way)),
                    text=text,
                    lines=lines,
                    value=value,
                    scale=place.scale,
                    sizes=sizes,
                    ends=[(outside, 0.0) for outside in _ENDS],
                    shift=shift,
                    kind="aligned",
                    boxed=label.basic,
                    ways=[
                        (reach * math.cos(math.radians(d)), reach * math.sin(math.radians(d)))
                        for reach in (8.0, 14.0, 22.0)
                        for d in (45, 135, -45, -135, 20, 160, -20, -160)
                    ],
                )
            ]

        self._fixed.append(_Fixed(build, late, optional))

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

        def build(place: Placing, sizes: DimSizes, figures: Figures, direction: float, reach: float) -> Item:
            sign = "Ø" if kind == "diameter" else "R"
            lines = [label.text(figures, value, sign), *extra]
            return dims.round_dim(
                f"{kind} {lines[0]}",
                self.name,
                place.point(centre),
                radius * place.scale,
                direction=direction,
                reach=reach,
                lines=lines,
                value=value,
                scale=place.scale,
                sizes=sizes,
                kind=kind,
                boxed=label.basic,
            )

        def tip(place: Placing, direction: float) -> P:
            x, y = place.point(centre)
            r = radius * place.scale
            return (x + r * math.cos(direction), y + r * math.sin(direction))

        self._led.append(_Led(build, tip, at_deg))

    def diameter(
        self,
        centre: P,
        diameter_mm: float,
        label: Label = PLAIN,
        *,
        extra: Sequence[str] = (),
        at_deg: float | None = None,
    ) -> None:
        """Dimension a circle by a leader. extra: further lines of text. at_deg: leader direction, None: found."""
        self._round("diameter", centre, diameter_mm, label, extra, at_deg)

    def radius(
        self, centre: P, radius_mm: float, label: Label = PLAIN, *, at_deg: float, extra: Sequence[str] = ()
    ) -> None:
        """Dimension an arc by a leader that leaves it at at_deg (degrees from the arc's centre)."""
        self._round("radius", centre, radius_mm, label, extra, at_deg)

    def angle(
        self,
        vertex: P,
        first: P,
        second: P,
        label: Label = PLAIN,
        *,
        radius_mm: float = 25.0,
        reach_mm: float | None = None,
        late: bool = False,
        inward: bool = True,
        outer: Literal["first", "second"] = "second",
    ) -> None:
        """Dimension the angle from `first` counter-clockwise to `second`, below 180 degrees.

        radius_mm: of the arc on paper; others are tried when it is in the way. reach_mm: radius in the model instead,
        for small angles that open wide only far out. late: placed after horizontal and vertical dimensions. inward:
        whether radii well under reach_mm may be tried. outer: the side past which the text goes first when the angle
        is too narrow for it. Raises ValueError from 180 degrees on.
        """
        turned = (second[1] - vertex[1]) * (first[0] - vertex[0]) - (second[0] - vertex[0]) * (first[1] - vertex[1])
        if turned <= 0.0:
            raise ValueError(f"angle in view {self.name!r}: must be above 0 and below 180 degrees counter-clockwise")

        def build(place: Placing, sizes: DimSizes, figures: Figures) -> list[Item]:
            a0 = math.atan2(first[1] - vertex[1], first[0] - vertex[0])
            a1 = math.atan2(second[1] - vertex[1], second[0] - vertex[0])
            value = math.degrees((a1 - a0) % TAU)
            if reach_mm is None:
                tried = [radius_mm * times for times in (1.0, 1.3, 0.75, 1.7, 2.2, 0.5, 3.0)]
            else:
                reach = reach_mm * place.scale
                times = (1.0, 1.06, 1.12, 0.94, 0.86, 1.2, 0.75, 0.65, 0.55, 0.45, 1.35)
                tried = [reach * t for t in times if inward or t > 0.93]
            past: tuple[Literal["first", "second"], ...] = (
                ("second", "first") if outer == "second" else ("first", "second")
            )
            return [
                dims.angular(
                    "angle",
                    self.name,
                    place.point(vertex),
                    place.point(first),
                    place.point(second),
                    radius=radius,
                    text=label.text(figures, value, angle=True),
                    value=value,
                    sizes=sizes,
                    beside=beside,
                    boxed=label.basic,
                )
                for beside in (None, *past)
                for radius in tried
            ]

        self._fixed.append(_Fixed(build, late))

    def ordinates(self, origin: P, points: Iterable[P], *, side: Side = "below") -> None:
        """Dimension points by their distance from `origin`: along x for above and below, along y for left and right."""
        self._ordinates.append(_Ordinate(origin, tuple(points), side))

    # Notes and symbols

    def note(
        self, point: P, lines: Sequence[str], *, at_deg: float | None = None, head: Literal["arrow", "dot"] = "arrow"
    ) -> None:
        """Add a leader from `point` to lines of text. head: "arrow" on an edge, "dot" on a face."""

        def build(place: Placing, sizes: DimSizes, figures: Figures, direction: float, reach: float) -> Item:
            tip = place.point(point)
            knee = (tip[0] + reach * math.cos(direction), tip[1] + reach * math.sin(direction))
            return dims.note(f"note {lines[0]}", self.name, tip, knee, lines, sizes=sizes, head=head)

        self._led.append(_Led(build, lambda place, _: place.point(point), at_deg))

    def balloon(self, point: P, text: str, *, at_deg: float | None = None) -> None:
        """Add an item number or characteristic number in a circle, led to `point`."""

        def build(place: Placing, sizes: DimSizes, figures: Figures, direction: float, reach: float) -> Item:
            tip = place.point(point)
            far = reach + 1.25 * sizes.text_mm
            centre = (tip[0] + far * math.cos(direction), tip[1] + far * math.sin(direction))
            return dims.balloon(f"balloon {text}", self.name, tip, centre, text, sizes=sizes)

        self._led.append(_Led(build, lambda place, _: place.point(point), at_deg))

    def tolerance(
        self,
        point: P,
        characteristic: symbols.Characteristic,
        tolerance: str,
        datums: Sequence[str] = (),
        *,
        at_deg: float | None = None,
        ring_mm: float = 0.0,
    ) -> None:
        """Add a geometric tolerance frame led to `point`. tolerance: such as "Ø0.1"; datums: letters in order.

        ring_mm: radius of a hole about `point`, to whose rim the leader goes from its own side, not across it.
        """

        def rim(place: Placing, direction: float) -> P:
            x, y = place.point(point)
            r = ring_mm * place.scale
            return (x + r * math.cos(direction), y + r * math.sin(direction))

        def build(place: Placing, sizes: DimSizes, figures: Figures, direction: float, reach: float) -> Item:
            tip = rim(place, direction)
            x, y = tip[0] + reach * math.cos(direction), tip[1] + reach * math.sin(direction)
            width = symbols.frame_width(tolerance, datums, sizes.text_mm)
            corner = (x + 3.0 if x >= tip[0] else x - 3.0 - width, y - sizes.text_mm)
            return symbols.tolerance_frame(
                f"tolerance {characteristic}",
                self.name,
                corner,
                characteristic,
                tolerance,
                datums,
                text_mm=sizes.text_mm,
                tip=tip,
            )

        self._led.append(_Led(build, rim, at_deg))

    def weld(
        self,
        point: P,
        kind: symbols.Weld,
        size: str,
        *,
        other_side: bool = False,
        all_round: bool = False,
        site: bool = False,
        tail: str = "",
        at_deg: float | None = None,
    ) -> None:
        """Add a weld symbol with its arrow on the joint `point`. size: such as "a5" or "z6"."""

        def build(place: Placing, sizes: DimSizes, figures: Figures, direction: float, reach: float) -> Item:
            tip = place.point(point)
            knee = (tip[0] + reach * math.cos(direction), tip[1] + reach * math.sin(direction))
            return symbols.weld(
                f"weld {size}",
                self.name,
                tip,
                knee,
                kind,
                size,
                text_mm=sizes.text_mm,
                other_side=other_side,
                all_round=all_round,
                site=site,
                tail=tail,
            )

        self._led.append(_Led(build, lambda place, _: place.point(point), at_deg))

    def datum(self, point: P, letter: str, *, toward: Side) -> None:
        """Add a datum feature triangle standing on `point`, its letter on the named side."""
        way = {"above": (0.0, 1.0), "below": (0.0, -1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}[toward]

        def build(place: Placing, sizes: DimSizes, figures: Figures) -> list[Item]:
            return [
                symbols.datum(
                    f"datum {letter}",
                    self.name,
                    place.point(point),
                    letter,
                    toward=way,
                    text_mm=sizes.text_mm,
                    stem_mm=stem * sizes.text_mm,
                )
                for stem in (1.0, 2.0, 3.5, 5.0, 7.0, 9.0)
            ]

        self._fixed.append(_Fixed(build))

    def surface(
        self,
        point: P,
        text: str,
        *,
        turn_deg: float = 0.0,
        removal: Literal["any", "required", "prohibited"] = "required",
        late: bool = False,
    ) -> None:
        """Add a surface-texture symbol on `point`, text such as "Ra 1.6"; turn_deg: slope of the surface there.

        late: placed after horizontal and vertical dimensions.
        """

        def build(place: Placing, sizes: DimSizes, figures: Figures) -> list[Item]:
            spot, turn, name = place.point(point), math.radians(turn_deg), f"surface {text}"
            size = sizes.text_mm
            forms = []
            if math.cos(turn) > -0.01 and math.sin(turn) > -0.99:  # else it would read upside down
                forms.append(
                    symbols.surface_texture(name, self.name, spot, text, text_mm=size, removal=removal, turn=turn)
                )
            for reach in (8.0, 13.0, 20.0, 30.0, 42.0):
                for degrees in (60, 120, 45, 135, 90, 30, 150):
                    way = turn + math.radians(degrees)
                    knee = (spot[0] + reach * math.cos(way), spot[1] + reach * math.sin(way))
                    forms.append(
                        symbols.surface_texture(name, self.name, spot, text, text_mm=size, removal=removal, knee=knee)
                    )
            return forms

        self._fixed.append(_Fixed(build, late))

    def cutting_plane(self, a: P, b: P, letter: str, *, looking: Side) -> None:
        """Add the trace of a cutting plane from a to b. looking: the way one looks at the cut."""
        way = {"above": (0.0, 1.0), "below": (0.0, -1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}[looking]

        def build(place: Placing, sizes: DimSizes, figures: Figures) -> list[Item]:
            p, q = place.point(a), place.point(b)
            name = f"cutting plane {letter}"
            return [symbols.cutting_plane(name, self.name, p, q, letter, toward=way, text_mm=sizes.text_mm)]

        self._fixed.append(_Fixed(build))

    def detail_mark(self, centre: P, diameter_mm: float, letter: str, *, at_deg: float = 45.0) -> None:
        """Mark what a detail view enlarges by a thin circle with a letter."""

        def build(place: Placing, sizes: DimSizes, figures: Figures) -> list[Item]:
            c, r = place.point(centre), diameter_mm * place.scale / 2.0
            big = 1.4 * sizes.text_mm
            reach = r + big
            forms = []
            for turn in range(0, 360, 30):
                way = math.radians(at_deg + turn)
                at = (c[0] + reach * math.cos(way), c[1] + reach * math.sin(way) - big / 2.0)
                ring, written = Stroke(Arc(c, r), "thin"), Text(letter, at, big, "centre")
                forms.append(Item(f"detail {letter}", self.name, (ring,), (written,)))
            return forms

        self._fixed.append(_Fixed(build))

    def arrow(self, tail: P, direction_deg: float, text: str) -> None:
        """Add a direction arrow, such as "FWD", starting at `tail` or, when that is taken, near it."""

        def build(place: Placing, sizes: DimSizes, figures: Figures) -> list[Item]:
            (x, y), way = place.point(tail), math.radians(direction_deg)
            c, s = math.cos(way), math.sin(way)
            size, name = sizes.text_mm, f"arrow {text}"
            return [
                symbols.direction_arrow(
                    name, self.name, (x + a * c - b * s, y + a * s + b * c), way, text, text_mm=size
                )
                for a in (0.0, 6.0, 12.0, 20.0)
                for b in (0.0, -5.0, 5.0, -10.0, 10.0, -16.0, 16.0, -24.0, 24.0)
            ]

        self._fixed.append(_Fixed(build, late=True))

    def force(self, tail: P, tip: P, text: str) -> None:
        """Add the arrow of a force from `tail` to `tip`, where it acts: only its text is moved out of the way."""
        self.add([Line(tail, tip)])

        def build(place: Placing, sizes: DimSizes, figures: Figures) -> list[Item]:
            return symbols.force(
                f"force {text}", self.name, place.point(tail), place.point(tip), text, text_mm=sizes.text_mm
            )

        self._fixed.append(_Fixed(build, late=True))

    def text(self, at: P, text: str, *, height_mm: float | None = None) -> None:
        """Add free text with its left base at `at`. height_mm: on paper, None for the sheet's text height."""

        def build(place: Placing, sizes: DimSizes, figures: Figures) -> list[Item]:
            written = Text(text, place.point(at), height_mm or sizes.text_mm)
            return [Item(f"text {text}", self.name, texts=(written,))]

        self._fixed.append(_Fixed(build))

    def label(
        self, point: P, text: str, *, ring_mm: float = 0.0, height_mm: float | None = None, at_deg: float | None = None
    ) -> None:
        """Add a short text beside `point`, where it is clear. ring_mm: radius (model) it must stay outside of.

        height_mm: on paper, None for the sheet's text height. at_deg: side tried first.
        """
        sides = _LABEL_DEG if at_deg is None else (at_deg, *_LABEL_DEG)

        def build(place: Placing, sizes: DimSizes, figures: Figures) -> list[Item]:
            height = height_mm or sizes.text_mm
            half = text_width(text, height) / 2.0
            x, y = place.point(point)
            forms = []
            for off in (1.2, 2.5, 4.5, 7.0, 10.0):
                for degrees in sides:
                    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
                    reach = (
                        ring_mm * place.scale + off + min(half / max(abs(c), 1e-9), height / 2.0 / max(abs(s), 1e-9))
                    )
                    written = Text(text, (x + reach * c, y + reach * s - height / 2.0), height, "centre")
                    forms.append(Item(f"label {text}", self.name, texts=(written,)))
            return forms

        self._fixed.append(_Fixed(build, late=True))

    # Layout

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
        if not self._strokes:
            raise ValueError(f"view {self.name!r} has no geometry")
        return union(bounds(s.shape) for s in self._strokes)

    def place(
        self, scale: float, sizes: DimSizes, figures: Figures, note: str = "", *, late: bool = False
    ) -> list[Item]:
        """Return all items of the view in paper mm, the model's (0, 0) at (0, 0).

        scale: paper per model. note: second line of the view's title (its own scale). late: angles and notes too come
        after the dimensions. What could not be kept clear is placed where it collides least; `items.collisions` reports
        it.
        """
        place = Placing(scale)
        occupied = Occupied(clearance_mm=0.8, block_clearance_mm=0.8, apart_mm=1.8)
        strokes = [Stroke(place.shape(s.shape), s.kind) for s in self._strokes]
        core = union(bounds(s.shape) for s in strokes)
        for centre, diameter in self._crosses:
            (x, y), r = place.point(centre), diameter * scale / 2.0
            reach = r + min(max(0.3 * r, 1.5), 4.0)
            kind: Kind = "mark" if 2.0 * reach < SHORT_MARK_MM else "centre"
            strokes.append(Stroke(Line((x - reach, y), (x + reach, y)), kind))
            strokes.append(Stroke(Line((x, y - reach), (x, y + reach)), kind))
        items = [Item("geometry", self.name, tuple(strokes))]
        occupied.add(items[0])

        def accept(item: Item) -> None:
            items.append(item)
            occupied.add(item)

        for fixed in self._fixed:
            if not (late or fixed.late or fixed.optional):
                accept(_best_form(fixed, place, sizes, figures, occupied))
        _place_straight(self, place, sizes, figures, core, occupied, accept)
        _place_ordinates(self, place, sizes, figures, core, occupied, accept)
        for fixed in self._fixed:
            if (late or fixed.late) and not fixed.optional:
                accept(_best_form(fixed, place, sizes, figures, occupied))
        shading = [
            line
            for loops, spacing, angle in self._hatches
            for line in hatch([loop * scale for loop in loops], spacing, angle)
        ]
        shaded = Occupied()
        if shading:
            shaded.add(Item("hatching", self.name, tuple(Stroke(line, "thin") for line in shading)))
        for led in self._led:
            accept(_place_led(led, place, sizes, figures, core, occupied, shaded))
        for fixed in self._fixed:
            if fixed.optional:
                last = _best_form(fixed, place, sizes, figures, occupied)
                if not occupied.against(last, 1):
                    accept(last)
        if shading:
            quads = [t.corners(0.6) for i in items for t in i.texts]
            lines = [Stroke(piece, "hatch") for line in shading for piece in _cut(line, quads)]
            items.insert(1, Item("hatching", self.name, tuple(lines)))
        if self.title or note:
            around = union(i.box() for i in items)
            big = 1.4 * sizes.text_mm
            y = around.y0 - 3.0 - big
            lines_of = [t for t in (self.title, note) if t]
            texts = []
            for i, line in enumerate(lines_of):
                height = big if i == 0 and self.title else sizes.text_mm
                texts.append(Text(line, (core.centre[0], y), height, "centre"))
                y -= 1.5 * sizes.text_mm
            accept(Item("title", self.name, texts=tuple(texts)))
        return items


def _best_form(fixed: _Fixed, place: Placing, sizes: DimSizes, figures: Figures, occupied: Occupied) -> Item:
    """The first form that is in nobody's way, else the one that is least so."""
    best: tuple[tuple[int, int], Item] | None = None
    for form in fixed.build(place, sizes, figures):
        hits = len(occupied.against(form, None if best is None else best[0][0] + 1))
        if best is not None and hits > best[0][0]:
            continue
        key = (hits + own_lines_through_text(form), _crossed(form, occupied) + form.cost)
        if best is None or key < best[0]:
            best = (key, form)
        if key == (0, 0):
            break
    if best is None:
        raise ValueError("an item without forms to try")
    return best[1]


def _crossed(item: Item, occupied: Occupied) -> int:
    """How many lines already there the straight lines of an item cross."""
    lines: list[tuple[float, ...]] = []
    for stroke in item.strokes:
        if isinstance(stroke.shape, Line):
            lines.append((*stroke.shape.a, *stroke.shape.b))
        elif isinstance(stroke.shape, Poly):
            lines += [(*a, *b) for a, b in pairwise(stroke.shape.points)]
    return occupied.crossings(np.array(lines, dtype=float).reshape(-1, 4))


def _cut(line: Line, quads: Sequence[tuple[P, P, P, P]]) -> list[Line]:
    """Return the parts of a line outside all quadrangles."""
    a, b = np.array(line.a), np.array(line.b)
    keep = [(0.0, 1.0)]
    for quad in quads:
        corner = np.array(quad)
        if not quads_hit(quad, (line.a, line.b, line.b, line.a)):
            continue
        low, high = 0.0, 1.0
        for i in range(4):
            edge = corner[(i + 1) % 4] - corner[i]
            inward = np.array([-edge[1], edge[0]])
            start, slope = float((a - corner[i]) @ inward), float((b - a) @ inward)
            if abs(slope) < 1e-12:
                if start < 0:
                    low, high = 1.0, 0.0
            elif slope > 0:
                low = max(low, -start / slope)
            else:
                high = min(high, -start / slope)
        if high <= low:
            continue
        keep = [part for u, v in keep for part in ((u, min(v, low)), (max(u, high), v)) if part[1] - part[0] > 1e-6]

    def at(t: float) -> P:
        return (float(a[0] + t * (b[0] - a[0])), float(a[1] + t * (b[1] - a[1])))

    return [Line(at(u), at(v)) for u, v in keep]


@dataclass(frozen=True, slots=True)
class _Row:
    low: float
    high: float
    tier: int


def _clear_shift(low: float, high: float, width: float, lines: Sequence[float]) -> float:
    """Least shift of a text centred between low and high that keeps it off crossing lines; 0 when there is none."""
    room = (high - low - width) / 2.0 - 0.3
    middle, half = (low + high) / 2.0, width / 2.0 + 0.7
    if room <= 0.0:
        return 0.0
    tries = [0.0] + [s for c in lines for s in (c - half - middle, c + half - middle) if abs(s) <= room]
    for shift in sorted(tries, key=lambda s: (round(abs(s), 6), s)):
        if all(abs(c - middle - shift) >= half - 1e-9 for c in lines):
            return shift
    return 0.0


def _beyond(low: float, high: float, width: float, lines: Sequence[float]) -> tuple[float, float]:
    """Least distance of an outside text from each end that keeps it off the extension lines of longer dimensions."""
    leads = []
    for distances in ([c - high for c in lines], [low - c for c in lines]):
        lead = 1.0
        for d in sorted(distances):
            if lead - 0.8 < d < lead + width + 0.8:
                lead = d + 1.2
        leads.append(lead if lead > 1.0 else 0.0)
    return leads[0], leads[1]


def _ways(side: Side, away: float, sizes: DimSizes, middle: float, crossing: Sequence[float], wide: float) -> list[P]:
    """Where (right, up) from the middle of a dimension line a leader may go: outward, and for a level line also past
    the extension lines of longer dimensions, for a text so wide.
    """
    out = (sizes.text_mm + 3.0 * sizes.gap_mm, 1.6 * sizes.step_mm, 2.4 * sizes.step_mm, 3.4 * sizes.step_mm)
    if side in ("left", "right"):
        return [(away * r, up) for r in out for up in (0.0, r, -r, 2.0 * r, -2.0 * r)]
    clear = []
    for dx in sorted({4.0, -4.0, *(c - middle + s * 1.5 for c in crossing for s in (1.0, -1.0))}, key=abs):
        low, high = (dx, dx + wide + 2.5) if dx >= 0.0 else (dx - wide - 2.5, dx)
        if abs(dx) <= 45.0 and not any(low - 1.0 < c - middle < high + 1.0 for c in crossing):
            clear.append(dx)
    return [(dx, away * r) for r in out for dx in clear]


def _place_straight(
    view: View,
    place: Placing,
    sizes: DimSizes,
    figures: Figures,
    core: Box,
    occupied: Occupied,
    accept: Callable[[Item], None],
) -> None:
    """Horizontal and vertical dimensions in tiers: short ones near the part, longer ones outside them."""
    sides: tuple[Side, ...] = ("above", "below", "left", "right")
    for side in sides:
        level = side in ("above", "below")
        axis = 0 if level else 1
        edge = {"above": core.y1, "below": core.y0, "left": core.x0, "right": core.x1}[side]
        away = 1.0 if side in ("above", "right") else -1.0
        wanted = [d for d in view._straight if d.side == side]

        def span(d: _Straight, axis: int = axis) -> tuple[float, float]:
            ends = sorted((place.point(d.p)[axis], place.point(d.q)[axis]))
            return ends[0], ends[1]

        wanted.sort(key=lambda d: (round(span(d)[1] - span(d)[0], 6), span(d)[0]))
        rows: list[_Row] = []
        for index, want in enumerate(wanted):
            low, high = span(want)
            value = abs(want.p[axis] - want.q[axis])
            text = want.label.text(figures, value)
            crossing = [c for d in wanted[index + 1 :] for c in span(d)]
            width = text_width(text, sizes.text_mm)
            lines = want.label.lines(figures, value)
            wide = max(text_width(t, sizes.text_mm) for t in lines) + 1.6 * want.label.basic
            shift = _clear_shift(low, high, width, crossing)
            middle = (low + high) / 2.0 + shift
            between = [abs(c - middle) for c in crossing if low - 1e-6 < c < high + 1e-6]
            room = 2.0 * min(between, default=math.inf) - 1.2
            best: tuple[int, int, int, Item, _Row] | None = None
            after, before = _beyond(low, high, width, crossing)
            sought: list[tuple[Literal["end", "start"], float]] = [("end", after), ("start", before)]
            for tier in range(14):
                offset = edge + away * (sizes.first_mm + tier * sizes.step_mm)
                for item in dims.linear_forms(
                    f"dimension {text}",
                    view.name,
                    place.point(want.p),
                    place.point(want.q),
                    direction=0.0 if level else math.pi / 2,
                    base=(0.0, offset) if level else (offset, 0.0),
                    text=text,
                    lines=lines,
                    value=value,
                    scale=place.scale,
                    sizes=sizes,
                    ends=sought,
                    shift=shift,
                    room=room,
                    boxed=want.label.basic,
                    ways=_ways(side, away, sizes, (low + high) / 2.0, crossing, wide),
                ):
                    reach = [bounds(s.shape) for s in item.strokes[-1 - want.label.basic :]]
                    reach += [t.box() for t in item.texts]
                    whole = union(reach)
                    ends = (whole.x0, whole.x1) if level else (whole.y0, whole.y1)
                    if any(tier <= row.tier and ends[0] < row.high - 0.05 and row.low < ends[1] - 0.05 for row in rows):
                        continue
                    clashes = len(occupied.against(item, None if best is None else best[0] + 1))
                    if best is None or (clashes, item.cost, tier) < best[:3]:
                        best = (clashes, item.cost, tier, item, _Row(ends[0], ends[1], tier))
                if best is not None and best[0] == 0 and best[1] < 20:
                    break
            if best is None:  # every tier is taken over the whole length: cannot be with 14 tiers and few dims
                raise ValueError(f"view {view.name!r}: too many dimensions {side} it ({len(wanted)})")
            rows.append(best[4])
            accept(best[3])


def _place_ordinates(
    view: View,
    place: Placing,
    sizes: DimSizes,
    figures: Figures,
    core: Box,
    occupied: Occupied,
    accept: Callable[[Item], None],
) -> None:
    for want in view._ordinates:
        axis: Literal["x", "y"] = "x" if want.side in ("above", "below") else "y"
        k = 0 if axis == "x" else 1
        edge = {"above": core.y1, "below": core.y0, "left": core.x0, "right": core.x1}[want.side]
        away = 1.0 if want.side in ("above", "right") else -1.0
        points = sorted({round(p[k], 6): p for p in want.points}.values(), key=lambda p: p[k])
        at = [place.point(p)[k] for p in points]
        shifted = _spread(at, 1.7 * sizes.text_mm)
        for tier in range(10):
            level = edge + away * (sizes.first_mm + 2.0 + tier * sizes.step_mm)
            made = []
            for point, here, there in zip(points, at, shifted, strict=True):
                value = abs(point[k] - want.origin[k])
                made.append(
                    dims.ordinate(
                        f"ordinate {figures.length(value)}",
                        view.name,
                        place.point(want.origin),
                        place.point(point),
                        axis=axis,
                        level=level,
                        shift=there - here,
                        text=figures.length(value),
                        value=value,
                        scale=place.scale,
                        sizes=sizes,
                    )
                )
            if not any(occupied.against(item, 1) for item in made) or tier == 9:
                for item in made:
                    accept(item)
                break


def _spread(at: Sequence[float], least: float) -> list[float]:
    """Move sorted places apart to at least `least`, keeping each group's middle."""
    groups = [[x] for x in at]
    middles = list(at)
    i = 0
    while i < len(groups) - 1:
        a, b = groups[i], groups[i + 1]
        if middles[i + 1] - middles[i] < (len(a) + len(b)) / 2.0 * least - 1e-9:
            groups[i : i + 2] = [a + b]
            middles[i : i + 2] = [sum(a + b) / (len(a) + len(b))]
            i = max(i - 1, 0)
        else:
            i += 1
    out = []
    for group, middle in zip(groups, middles, strict=True):
        n = len(group)
        out += group if n == 1 else [middle + (k - (n - 1) / 2.0) * least for k in range(n)]
    return out


def _exit(tip: P, direction: float, core: Box) -> float:
    """Distance from a point along a direction until it has left the box; 0 when it is outside already."""
    c, s = math.cos(direction), math.sin(direction)
    if not (core.x0 <= tip[0] <= core.x1 and core.y0 <= tip[1] <= core.y1):
        return 0.0
    ways = []
    if abs(c) > 1e-9:
        ways.append(((core.x1 if c > 0 else core.x0) - tip[0]) / c)
    if abs(s) > 1e-9:
        ways.append(((core.y1 if s > 0 else core.y0) - tip[1]) / s)
    return max(min(ways), 0.0)


def _place_led(
    led: _Led, place: Placing, sizes: DimSizes, figures: Figures, core: Box, occupied: Occupied, shaded: Occupied
) -> Item:
    """Try directions and reaches of a leader; take the free one that crosses least and is shortest."""
    best: tuple[tuple[int, float], Item] | None = None
    if led.prefer_deg is None:
        directions: Sequence[float] = _LEADER_DEG
    else:
        directions = [led.prefer_deg + fan for fan in (0.0, 15.0, -15.0, 30.0, -30.0)]
        directions += [d for d in _LEADER_DEG if d not in directions]
    for rank, degrees in enumerate(directions):
        if led.prefer_deg is not None and rank == 5 and best is not None and best[0][0] == 0:
            break  # the others only when the wanted ones are all in the way
        direction = math.radians(degrees)
        tip = led.tip(place, direction)
        out = _exit(tip, direction, core)
        reaches = sorted({7.0, 12.0, 18.0, *(out + r for r in (5.0, 9.0, 14.0, 20.0, 28.0, 38.0, 50.0))})
        for reach in reaches:
            least = 0.04 * reach + 0.02 * rank
            if best is not None and (0, least) >= best[0]:
                continue
            item = led.build(place, sizes, figures, direction, reach)
            cost = least + _crossed(item, occupied) + 0.3 * _crossed(item, shaded)
            if item.texts and any(core.hits(t.box()) for t in item.texts):
                cost += 3.0
            if best is not None and (0, round(cost, 6)) >= best[0]:
                continue
            key = (len(occupied.against(item, None if best is None else best[0][0] + 1)), round(cost, 6))
            if best is None or key < best[0]:
                best = (key, item)
    if best is None:
        raise ValueError("a leader without directions to try")
    return best[1]
