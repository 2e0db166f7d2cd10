"""From the readings of a survey to points in the strut's frame, for many slightly changed surveys at once.

All readings of one side stand in one vector, so that a figure's uncertainty is the sum over what it changes by when
each is changed by its scatter (GUM 5.1.2). Arrays are (b, ...) for b such vectors. Boat frame: x forward, y to port, z
up. Strut frame: as models.spec has it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Floats
from strutwright.params.bench.survey import LEVEL, NEAREST_MM, Place, Reference, Side, Spot, Survey


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """The readings of one side as a vector, and what they are of.

    values, scatter: (n,) each; part: 0 where the scatter is that of hull points, 1 of points on the line, 2 one of its
    own. at: where each kind of reading stands in the vector. hull, line,
    tip: names of the points; of: which reference each was measured from; used: which of them count. scatter is 1 where
    it is to be found from the residuals. points: of places along the shaft, the point each is measured from, or "".
    side: +1 port, -1 starboard, 0 on the keel.
    """

    values: Floats
    scatter: Floats
    part: Floats
    at: dict[str, slice]
    hull: tuple[str, ...]
    line: tuple[str, ...]
    tip: tuple[str, ...]
    of: dict[str, tuple[int, ...]]
    references: tuple[Reference, ...]
    points: tuple[tuple[str, str], ...]
    said: Survey
    side: int
    known: dict[str, bool]
    used: dict[str, tuple[int, ...]]

    def of_kind(self, x: Floats, name: str) -> Floats:
        """Return a kind of readings of vectors (b, n): points (b, k, 3), angles and places (b, k)."""
        part = x[:, self.at[name]]
        return part.reshape(len(x), -1, 3) if name in ("hull", "line", "tip", "marks") else part

    @property
    def from_string(self) -> bool:
        """Whether all hull points are measured from the shaft line itself."""
        return bool(self.hull) and all(self.references[k].way == "string" for k in self.of["hull"])


class NoLineError(ValueError):
    """The points of the shaft line do not say how the shaft lies; the text says why."""


_LEAST_FORWARD = 0.5
"""Share of a shaft's length that it goes forward at the least: it would lie 60 degrees off the boat's length."""
ANGLES = ("shaft", "run", "deadrise", "plan")
MARKS = ("stern", "stem", "upright")
ALONG = ("mid_barrel", "hub", "next_bearing")


def readings_of(said: Survey, side: Side | None) -> Readings:
    """Return the readings of one side of a survey; of the only one where side is None.

    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, angles: {shaft: 9, run: 1, deadrise: 0}, drop: {vertical: 200}}"
    >>> found = readings_of(reads(text, Survey).said, None)
    >>> found.values[found.at["angles"]].tolist()  # shaft, run, deadrise, plan
    [9.0, 1.0, 0.0, 0.0]
    """
    hull, line, tip, places = said.on(side)
    marks: dict[str, Place] = {p.what: p for p in sorted(places, key=lambda p: p.side is not None)}
    level = Reference(name=LEVEL, way="level")
    references = (level, *said.references)
    index = {r.name: k for k, r in enumerate(references)}
    build = _Vector(said)
    for name, spots in (("hull", hull), ("line", line), ("tip", tip)):
        build.points(name, spots, [references[index[s.reference or LEVEL]] for s in spots])
    build.add("marks", [c for m in MARKS if m in marks for c in _mark(marks[m])], 1.0)
    build.angles(references)
    drop = [v for v in (said.drop.vertical, said.drop.square_to_shaft, said.drop.square_to_hull) if v is not None]
    build.add("drop", drop, said.drop.scatter)
    for name in ALONG:
        place = marks.get(name)
        along = [] if place is None else [place.along if place.along is not None else place.distance]
        build.add(name, along, 0.0 if place is None else place.scatter)
    hand = side or said.side
    return Readings(
        values=np.array(build.values, dtype=float),
        scatter=np.array(build.scatter, dtype=float),
        part=np.array(build.part, dtype=float),
        at=build.at,
        hull=tuple(s.name for s in hull),
        line=tuple(s.name for s in line),
        tip=tuple(s.name for s in tip),
        of={
            n: tuple(index[s.reference or LEVEL] for s in s_)
            for n, s_ in (("hull", hull), ("line", line), ("tip", tip))
        },
        references=references,
        points=tuple((n, marks[n].point or "") for n in ALONG if n in marks),
        said=said,
        side={"port": 1, "starboard": -1, "centre": 0}[hand],
        known={"hull": said.instrument.scatter is not None, "line": _line_scatter(said) is not None},
        used={"hull": tuple(range(len(hull))), "line": tuple(range(len(line)))},
    )


def _line_scatter(said: Survey) -> float | None:
    of = said.instrument
    return of.line_scatter if of.line_scatter is not None else of.scatter


def _mark(place: Place) -> tuple[float, float, float]:
    return place.along or 0.0, place.port, place.up


class _Vector:
    """Readings put one behind the other."""

    def __init__(self, said: Survey) -> None:
        self.said = said
        self.values: list[float] = []
        self.scatter: list[float] = []
        self.part: list[int] = []
        self.at: dict[str, slice] = {}

    def add(self, name: str, values: list[float], scatter: float | list[float], part: int = 2) -> None:
        """Add readings of one kind."""
        start = len(self.values)
        self.values += values
        self.scatter += scatter if isinstance(scatter, list) else [scatter] * len(values)
        self.part += [part] * len(values)
        self.at[name] = slice(start, len(self.values))

    def points(self, name: str, spots: list[Spot], references: list[Reference]) -> None:
        """Add points, each with the scatter of its reference, else that of the instrument, else one to be found."""
        of = self.said.instrument
        common = _line_scatter(self.said) if name == "line" else of.scatter
        values: list[float] = []
        scatter: list[float] = []
        for spot, reference in zip(spots, references, strict=True):
            own = reference.scatter if reference.scatter is not None else common if common is not None else 1.0
            flat = own if of.along_scatter is None or name == "line" else of.along_scatter
            values += [spot.along, spot.port, spot.up]
            scatter += [flat, flat, own]
        self.add(name, values, scatter, 1 if name == "line" else 0)
        for k, reference in enumerate(references):
            if reference.scatter is not None:
                start = self.at[name].start + 3 * k
                self.part[start : start + 3] = [2, 2, 2]

    def angles(self, references: tuple[Reference, ...]) -> None:
        """Add the angles that were read, and those of the references."""
        said = self.said.angles
        read = [getattr(said, n) for n in ANGLES]
        known = [
            0.0 if v is None or n not in said.model_fields_set else said.scatter
            for n, v in zip(ANGLES, read, strict=True)
        ]
        self.add("angles", [v or 0.0 for v in read], known)
        tilts = [v for r in references for v in (r.slope, r.cant)]
        sure = [r.slope_scatter if r.way == "straight_edge" else 0.0 for r in references for _ in (0, 1)]
        self.add("tilts", tilts, sure)


# --- into the boat's frame --------------------------------------------------------------------------------------------


def boat_points(of: Readings, x: Floats, name: str) -> Floats:
    """Return points (b, k, 3) in the boat's frame, level as she floats; those measured from the string are left as they
    were read.

    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, references: [{name: e, way: straight_edge, slope: 90 deg}], hull: "
    >>> text = text.replace("90", "30") + "[{name: a, along: 100, port: 0, up: 0, reference: e}]}"
    >>> found = readings_of(reads(text, Survey).said, None)
    >>> boat_points(found, found.values[None], "hull").round(1).tolist()  # 100 up a slope of 30 degrees
    [[[86.6, 0.0, 50.0]]]
    """
    read = of.of_kind(x, name)
    out = np.array(read)
    tilts = np.radians(of.of_kind(x, "tilts")).reshape(len(x), -1, 2)
    for k in sorted(set(of.of[name])):
        reference = of.references[k]
        if reference.way == "string":
            continue
        rows = [i for i, r in enumerate(of.of[name]) if r == k]
        own = read[:, rows] * np.array([1.0, 1.0, -1.0 if reference.counts == "down" else 1.0])
        axes = _axes(tilts[:, k, 0], tilts[:, k, 1], np.radians(reference.plan), plumb=reference.offsets == "plumb")
        out[:, rows] = np.einsum("bki,bij->bkj", own, axes) + np.array([reference.along, reference.port, reference.up])
    return _afloat(of, _by_centre_line(of, x, out))


def _axes(slope: Floats, cant: Floats, plan: float, *, plumb: bool) -> Floats:
    """Axes (b, 3, 3), one a row, of a reference that falls going aft and rises going to port."""
    zero, one = np.zeros_like(slope), np.ones_like(slope)
    along = np.stack([np.cos(slope), zero, np.sin(slope)], axis=1)
    port = np.stack([zero, np.cos(cant), np.sin(cant)], axis=1)
    port = port - along * np.einsum("bi,bi->b", along, port)[:, None]
    port /= np.linalg.norm(port, axis=1)[:, None]
    up = np.stack([zero, zero, one], axis=1) if plumb else np.cross(along, port)
    axes = np.stack([along, port, up], axis=1)
    c, s = np.cos(plan), np.sin(plan)
    return np.asarray(axes @ np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]]))


def _afloat(of: Readings, points: Floats) -> Floats:
    """Points or ways (b, k, 3) turned from how the boat stood to how she floats."""
    attitude = of.said.attitude
    if not attitude.trim and not attitude.heel:
        return points
    t, h = np.radians(attitude.trim), np.radians(attitude.heel)
    level = np.array([[np.cos(t), 0.0, np.sin(t)], [0.0, 1.0, 0.0], [-np.sin(t), 0.0, np.cos(t)]])
    upright = np.array([[1.0, 0.0, 0.0], [0.0, np.cos(h), np.sin(h)], [0.0, -np.sin(h), np.cos(h)]])
    # The boat's own axes as they stood; a point's parts along them are where it is when she floats.
    return np.asarray(points @ (upright @ level).T)


# --- the shaft line and the strut's frame -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class StrutFrame:
    """The strut's frame in the boat's. origin: (b, 3) mid-barrel; axes: (b, 3, 3), one a row. mid: (b,) how far along
    the line from `start` mid-barrel is. level_known: whether the axes say where up is.
    """

    origin: Floats
    axes: Floats
    start: Floats
    mid: Floats

    def into(self, points: Floats) -> Floats:
        """Return points (b, k, 3) of the boat's frame in the strut's."""
        return np.asarray(np.einsum("bki,bji->bkj", points - self.origin[:, None], self.axes))

    @property
    def shaft_deg(self) -> Floats:
        """How far the shaft goes down going aft, from the level."""
        return np.asarray(np.degrees(np.arcsin(np.clip(self.axes[:, 0, 2], -1.0, 1.0))))

    @property
    def plan_deg(self) -> Floats:
        """Angle of the shaft in plan, positive when it goes to port going forward."""
        return np.asarray(np.degrees(np.arctan2(self.axes[:, 0, 1], self.axes[:, 0, 0])))


def strut_frame(of: Readings, x: Floats) -> StrutFrame:
    """Return the strut's frame for readings (b, n).

    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, angles: {shaft: 9, run: 1, deadrise: 0}, drop: {vertical: 200}}"
    >>> found = readings_of(reads(text, Survey).said, None)
    >>> strut_frame(found, found.values[None]).shaft_deg.round(6).tolist()
    [9.0]
    """
    line, start, direction = _line(of, x)
    up = _up(of, x, start, direction)
    port = np.cross(up, direction)
    port /= np.linalg.norm(port, axis=1)[:, None]
    axes = np.stack([direction, port, np.cross(direction, port)], axis=1)
    mid = place_mm(of, x, "mid_barrel", line, start, direction)
    return StrutFrame(origin=start + mid[:, None] * direction, axes=axes, start=start, mid=mid)


def place_mm(of: Readings, x: Floats, name: str, line: Floats, start: Floats, direction: Floats) -> Floats:
    """Return how far along the line from its start a place is, (b,); 0 where it was not measured.

    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, angles: {shaft: 0, run: 1, deadrise: 0}, drop: {vertical: 200}, places: "
    >>> found = readings_of(reads(text + "[{what: hub, along: -90}]}", Survey).said, None)
    >>> zero = np.zeros((1, 3))
    >>> place_mm(found, found.values[None], "hub", np.zeros((1, 0, 3)), zero, np.array([[1.0, 0, 0]])).tolist()
    [-90.0]
    """
    told = of.of_kind(x, name)
    if told.shape[1] == 0:
        return np.zeros(len(x))
    point = dict(of.points)[name]
    if point:
        there = line[:, of.line.index(point)] - start
        return np.asarray(np.einsum("bi,bi->b", there, direction) + told[:, 0])
    if of.from_string or not of.line:
        return told[:, 0]
    return np.asarray((told[:, 0] - start[:, 0]) / direction[:, 0])


def _line(of: Readings, x: Floats) -> tuple[Floats, Floats, Floats]:
    """Points of the line in the boat's frame, one place on it and its direction, forward."""
    line = boat_points(of, x, "line")
    angles = np.radians(of.of_kind(x, "angles"))
    slope, plan = angles[:, 0], angles[:, 3]
    flat = np.cos(slope)
    told = _afloat(of, np.stack([flat * np.cos(plan), flat * np.sin(plan), np.sin(slope)], axis=1)[:, None])[:, 0]
    if line.shape[1] < 2:
        return line, line[:, 0] if line.shape[1] else np.zeros((len(x), 3)), told
    used = line[:, list(of.used["line"])]
    middle = used.mean(axis=1)
    around = used - middle[:, None]
    _, _, axes = np.linalg.svd(around, full_matrices=False)
    direction = axes[:, 0]
    if np.ptp(np.einsum("bki,bi->bk", around, direction), axis=1).min() < NEAREST_MM:
        raise NoLineError("the points lie on one place and do not say which way the shaft leads")
    if of.said.frame == "boat" and np.abs(direction[:, 0]).min() < _LEAST_FORWARD:
        raise NoLineError("the points lead upright or athwart, not forward: look at along, port and up of each")
    return line, middle, direction * np.where(direction[:, :1] < 0.0, -1.0, 1.0)


def _up(of: Readings, x: Floats, start: Floats, direction: Floats) -> Floats:
    """What is up, (b, 3): the boat's z, or at the bench what leads from the axis to the mark."""
    if of.said.frame == "boat":
        return np.broadcast_to(np.array([0.0, 0.0, 1.0]), start.shape)
    there = of.of_kind(x, "marks")[:, -1] - start
    return np.asarray(there - direction * np.einsum("bi,bi->b", there, direction)[:, None])


def _by_centre_line(of: Readings, x: Floats, points: Floats) -> Floats:
    """Points (b, k, 3) turned in plan so that the boat's centre line, where it was marked, runs along x."""
    marks = of.of_kind(x, "marks")
    if marks.shape[1] < 2 or points.shape[1] == 0:
        return points
    way = marks[:, 1] - marks[:, 0]
    length = np.hypot(way[:, 0], way[:, 1])
    c, s = way[:, 0] / length, way[:, 1] / length
    from_stern = points - marks[:, :1]
    turned = np.array(points)
    turned[:, :, 0] = c[:, None] * from_stern[:, :, 0] + s[:, None] * from_stern[:, :, 1]
    turned[:, :, 1] = -s[:, None] * from_stern[:, :, 0] + c[:, None] * from_stern[:, :, 1]
    return turned


def hull_plane(of: Readings, x: Floats, frame: StrutFrame) -> tuple[Floats, Floats]:
    """Return how the hull rises per unit forward and to port in the strut's frame, (b,) each, by run and deadrise read.

    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, angles: {shaft: 9, run: 1, deadrise: 0}, drop: {vertical: 200}}"
    >>> found = readings_of(reads(text, Survey).said, None)
    >>> forward, _ = hull_plane(found, found.values[None], strut_frame(found, found.values[None]))
    >>> np.degrees(np.arctan(-forward)).round(6).tolist()  # pitch: shaft angle and run together
    [10.0]
    """
    angles = np.radians(of.of_kind(x, "angles"))
    ones = np.ones(len(x))
    square = np.stack([np.tan(angles[:, 1]), -of.side * np.tan(angles[:, 2]), ones], axis=1)
    n = np.einsum("bi,bji->bj", _afloat(of, square[:, None])[:, 0], frame.axes)
    return -n[:, 0] / n[:, 2], -n[:, 1] / n[:, 2]


def strut_points(of: Readings, x: Floats, frame: StrutFrame, name: str) -> Floats:
    """Return points (b, k, 3) in the strut's frame.

    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, references: [{name: s, way: string, offsets: plumb}], angles: {shaft: 30}, hull: "
    >>> text += "[{name: a, along: 0, port: 5, up: 100, reference: s}]}"
    >>> found = readings_of(reads(text, Survey).said, None)
    >>> frame = strut_frame(found, found.values[None])
    >>> strut_points(found, found.values[None], frame, "hull").round(1).tolist()
    [[[50.0, 5.0, 86.6]]]
    """
    read = of.of_kind(x, name)
    out = frame.into(boat_points(of, x, name))
    slope = np.radians(frame.shaft_deg)
    for i, k in enumerate(of.of[name]):
        reference = of.references[k]
        if reference.way != "string":
            continue
        up = read[:, i, 2] * (-1.0 if reference.counts == "down" else 1.0)
        plumb = reference.offsets == "plumb"
        mid = frame.mid if of.from_string else np.zeros(len(x))
        out[:, i, 0] = reference.along + read[:, i, 0] - mid + (up * np.sin(slope) if plumb else 0.0)
        out[:, i, 1] = reference.port + read[:, i, 1]
        out[:, i, 2] = reference.up + (up * np.cos(slope) if plumb else up)
    return out
