"""The parts of a strut as triangles, of the curves that the builders take, without the CAD kernel: to look at while it
changes. mm, numpy, and a library that cuts a face with holes into triangles.

What is left out: slots, threads, weld beads, the bevel of an edge where its outline cannot be set in, the cut of one
part where it stands in another. Nothing is measured or written by these.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from strutwright.models import frames
from strutwright.models.arrays import Floats
from strutwright.models.frames import Axes, Vector
from strutwright.models.geometry import flange as flanges
from strutwright.models.geometry import splines
from strutwright.models.geometry.barrel import leaves_cylinder, outside_rows
from strutwright.models.geometry.bodies import boss_body, foot_body
from strutwright.models.geometry.members import Member, arm_member, barrel_end, fin_member, palm_end, tip_end
from strutwright.models.geometry.skeg import boss_bore_mm, stock_axis
from strutwright.models.geometry.skins import Patch, SkinError, skin
from strutwright.models.outline import OutlineError
from strutwright.models.sections.kind import SectionError
from strutwright.models.spec import Arm, Barrel, Bolt, PalmHole, Plate, SetScrew, Skeg, Strut

FINE_MM = 0.1
"""How far chords of an outline stay from its arcs."""
_AROUND = 72
_ALONG_PATCH, _ACROSS_PATCH = 9, 5
_X = np.array([1.0, 0.0, 0.0])
Row = tuple[float, float]
Ring = tuple[Floats, bool]


@dataclass(frozen=True, slots=True)
class Surface:
    """One part. name: as in findings; kind: as of the built part. corners (n, 3), mm; triangles (m, 3) of their
    numbers; edges: places (k, 3) along each, and whether the surface runs on smoothly over it."""

    name: str
    kind: str
    corners: Floats
    triangles: NDArray[np.int64]
    edges: tuple[Ring, ...]


def surfaces(strut: Strut) -> list[Surface]:
    """Return the parts of a strut, or of another part of its kin, as far as they can be made: sizes that give no skin
    give straight sides without roots, and what cannot be at all is left out.

    >>> [part.name for part in surfaces(shipped("yawl-with-heel"))]
    ['barrel', 'bearing', 'arm', 'palm', 'set screws', 'skeg', 'foot', 'heel boss']
    """
    found: list[Surface] = []
    for make in _makers(strut):
        try:
            found.append(make())
        except (ArithmeticError, ValueError, SectionError, OutlineError):
            continue
    return found


def _makers(strut: Strut) -> Iterator[Callable[[], Surface]]:
    yield lambda: _barrel(strut)
    for bearing in strut.bearings:
        x = strut.barrel.x(bearing.aft_station_mm)
        yield lambda b=bearing, x=x: _bearing(x, b.length_mm, b.inside_mm, b.outside_mm)  # type: ignore[misc]
    for arm in strut.arms:
        yield lambda a=arm: _arm(strut, a)  # type: ignore[misc]
    for plate in strut.plates:
        yield lambda p=plate: _plate(strut, p)  # type: ignore[misc]
    if strut.set_screws:
        yield lambda: _screws(strut.barrel, strut.set_screws)
    if strut.flange is not None and strut.flange.ribs is not None:
        yield lambda: _ribs(strut)
    skeg = strut.skeg
    if skeg is not None:
        yield lambda: _fin(strut, skeg)
        if skeg.heel is not None:
            yield lambda: _foot(strut, skeg)
            yield lambda: _boss(skeg)


# --- of each part ---------------------------------------------------------------------------------------------------


def _barrel(strut: Strut) -> Surface:
    outside, bore = flanges.half_section(strut)
    if strut.flange is None or strut.flange.spigot is None:
        stations, radii = outside_rows(strut.barrel, 25)
        x = stations - strut.barrel.length_mm / 2
        out = [(float(a), float(r)) for a, r in zip(x, radii, strict=True)]
    else:
        out = [(x, r) for x, r, _ in outside]
    return _revolved("barrel", "barrel", [*out, *bore[::-1]], np.zeros(3), _X)


def _bearing(x: float, length: float, inside: float, outside: float) -> Surface:
    rows = [(x, outside / 2), (x + length, outside / 2), (x + length, inside / 2), (x, inside / 2)]
    return _revolved("bearing", "bearing rubber", rows, np.zeros(3), _X)


def _arm(strut: Strut, arm: Arm) -> Surface:
    member, palm = arm_member(strut, arm), strut.palms[arm.palm_index]
    roots = (arm.barrel_root_mm, arm.palm_root_mm) if strut.construction == "cast" else (0.0, 0.0)
    try:
        ends = barrel_end(member, strut.barrel, roots[0]), palm_end(member, palm, roots[1])
        strips = skin(member.ruled, *ends).strips
        return _skinned(arm.called, "arm", strips)
    except (SkinError, ArithmeticError, ValueError):
        hull = frames.palm_axes(palm)
        return _sides(arm.called, "arm", member, strut.barrel, hull.origin - palm.thickness_mm * hull.n, hull.n)


def _fin(strut: Strut, skeg: Skeg) -> Surface:
    member = fin_member(skeg, strut.barrel)
    root = skeg.root_mm if strut.construction == "cast" else 0.0
    try:
        strips = skin(member.ruled, barrel_end(member, strut.barrel, root), tip_end(skeg)).strips
        return _skinned("skeg", "skeg", strips)
    except (SkinError, ArithmeticError, ValueError):
        tip = np.array([0.0, 0.0, -skeg.depth_mm])
        return _sides("skeg", "skeg", member, strut.barrel, tip, np.array([0.0, 0.0, -1.0]))


def _foot(strut: Strut, skeg: Skeg) -> Surface:
    assert skeg.heel is not None
    points = foot_body(strut, skeg, skeg.heel).points
    low, high = np.split(points, 2)
    return _lofted("foot", "foot", low, high)


def _boss(skeg: Skeg) -> Surface:
    heel = skeg.heel
    assert heel is not None
    body, bore = boss_body(heel), boss_bore_mm(heel) / 2
    low, high = float(body.along[0]), float(body.along[-1])
    r = heel.outside_mm / 2
    rows = [(low, r), (high, r), (high, bore), (low, bore)]
    return _revolved("heel boss", "heel boss", rows, np.asarray(body.origin, dtype=float), stock_axis(heel))


def _screws(barrel: Barrel, screws: Sequence[SetScrew]) -> Surface:
    made = []
    for screw in screws:
        way = frames.radial(screw.clock_deg)
        inner, outer = barrel.bore_mm / 2, barrel.outside_mm / 2 + 0.5
        rows = [(inner, 0.0), (inner, screw.major_mm / 2), (outer, screw.major_mm / 2), (outer, 0.0)]
        made.append(_revolved("", "", rows, barrel.x(screw.station_mm) * _X, way))
    return _together("set screws", "set screw", made)


def _ribs(strut: Strut) -> Surface:
    flange = strut.flange
    assert flange is not None
    assert flange.ribs is not None
    half, made = flange.ribs.thickness_mm / 2, []
    for clock in flange.ribs.clocks_deg:
        rows = np.array(flanges.rib_profile(flange, strut.barrel, clock))
        out, side = frames.radial(clock), np.cross(_X, frames.radial(clock))
        ring = rows[:, :1] * _X + rows[:, 1:] * out
        made.append(_lofted("", "", ring - half * side, ring + half * side))
    return _together("ribs", "rib", made)


def _plate(strut: Strut, plate: Plate) -> Surface:
    """A palm or flange with its holes and their recesses; a flange's middle is left open for its barrel."""
    axes, thick = frames.plate_axes(strut, plate), plate.thickness_mm
    ring = _left_about(plate.outline.polyline(FINE_MM))
    open_ = [_open(strut, axes, down) for down in (0.0, thick)] if plate is strut.flange else []
    rings = [(ring, 0.0)]
    if plate.bevel_width_mm > 0 and plate.bevel_height_mm > 0:
        rings.append((ring, thick - plate.bevel_height_mm))
        try:
            rings.append((_left_about(plate.outline.inset(plate.bevel_width_mm).polyline(FINE_MM)), thick))
        except OutlineError:
            rings[-1] = (ring, thick)
    else:
        rings.append((ring, thick))
    walls = [_wall(plate.bolt, hole, thick) for hole in plate.holes]

    def placed(points: Floats, down: float) -> Floats:
        up = plate.height_mm(points[:, 0], points[:, 1]) if down == 0.0 else 0.0
        return axes.to_strut(points) + np.outer(up - down + np.zeros(len(points)), axes.n)

    out = _Pile()
    holes = [[w[k][0] for w in walls] + [open_[k] for _ in open_[:1]] for k in (0, -1)]
    out.face([placed(r, 0.0) for r in (ring, *holes[0])], axes, flip=False)
    out.face([placed(r, thick) for r in (rings[-1][0], *holes[1])], axes, flip=True)
    levels = [placed(points, down) for points, down in rings]
    for k, (a, b) in enumerate(itertools.pairwise(levels)):
        out.band(b, a) if len(a) == len(b) else out.stitch(b, a)
        out.edge(a)
        if k == len(levels) - 2:
            out.edge(b)
    if open_:
        walls = [*walls, [(_left_about(open_[0]), 0.0), (_left_about(open_[1]), thick)]]
    for wall in walls:
        placed_wall = [placed(points, down) for points, down in wall]
        for a, b in itertools.pairwise(placed_wall):
            out.band(a, b)
        for ring_ in placed_wall:
            out.edge(ring_)
    return out.surface(plate.called, "palm" if plate is not strut.flange else "flange")


def _open(strut: Strut, axes: Axes, down: float) -> Floats:
    """Where the barrel's outside, or the spigot's, goes through a flange's face: points (n, 2) in its axes."""
    turn = np.linspace(0.0, 2 * math.pi, _AROUND, endpoint=False)
    r = strut.barrel.outside_mm / 2 - 0.05
    on = r * np.column_stack([0 * turn, np.sin(turn), np.cos(turn)])
    level = axes.origin - down * axes.n
    along = ((level - on) @ axes.n) / float(_X @ axes.n)
    return axes.from_strut(on + along[:, None] * _X)[:, :2]


def _left_about(ring: Floats) -> Floats:
    """A ring (n, 2) that runs counter-clockwise."""
    x, y = ring.T
    return ring if float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) > 0 else ring[::-1]


def _wall(bolt: Bolt, hole: PalmHole, thick: float) -> list[tuple[Floats, float]]:
    """Rings of a hole from the hull face to the water face: points (n, 2) and their depth under the hull face."""
    turn = np.linspace(0.0, 2 * math.pi, 36, endpoint=False)
    circle = np.column_stack([np.cos(turn), np.sin(turn)])
    rows = [(0.0, bolt.hole_mm / 2)]
    rows += [(max(thick - float(down), 0.0), float(r)) for down, r in bolt.recess] or [(thick, bolt.hole_mm / 2)]
    middle = np.array([hole.u_mm, hole.v_mm])
    return [(middle + r * circle, down) for down, r in rows]


# --- how surfaces are made ------------------------------------------------------------------------------------------


class _Pile:
    """Corners, triangles and edges as they come."""

    def __init__(self) -> None:
        self._corners: list[Floats] = []
        self._triangles: list[NDArray[Any]] = []
        self._edges: list[Ring] = []
        self._count = 0

    def add(self, corners: Floats, triangles: NDArray[Any]) -> None:
        self._corners.append(corners)
        self._triangles.append(np.asarray(triangles, dtype=np.int64) + self._count)
        self._count += len(corners)

    def edge(self, ring: Floats, *, smooth: bool = False, closed: bool = True) -> None:
        self._edges.append((np.vstack([ring, ring[:1]]) if closed else ring, smooth))

    def band(self, a: Floats, b: Floats) -> None:
        """Between two closed rings of as many points; b lies to the left of a's way as seen from outside."""
        n = len(a)
        i = np.arange(n)
        j = (i + 1) % n
        self.add(np.vstack([a, b]), np.vstack([np.column_stack([i, j, j + n]), np.column_stack([i, j + n, i + n])]))

    def stitch(self, a: Floats, b: Floats) -> None:
        """The same between rings of any number of points: each next one is the nearer."""
        start = int(np.argmin(np.linalg.norm(b - a[0], axis=1)))
        b = np.roll(b, -start, axis=0)
        n, m, i, j, rows = len(a), len(b), 0, 0, []
        while i < n or j < m:
            step_a = np.linalg.norm(a[(i + 1) % n] - b[j % m]) if i < n else math.inf
            step_b = np.linalg.norm(a[i % n] - b[(j + 1) % m]) if j < m else math.inf
            if step_a <= step_b:
                rows.append((i % n, (i + 1) % n, n + j % m))
                i += 1
            else:
                rows.append((i % n, n + (j + 1) % m, n + j % m))
                j += 1
        self.add(np.vstack([a, b]), np.array(rows))

    def face(self, rings: Sequence[Floats], axes: Axes, *, flip: bool) -> None:
        """A face within the first ring, without the others."""
        import mapbox_earcut

        corners = np.vstack(rings)
        flat = axes.from_strut(corners)[:, :2]
        ends = np.cumsum([len(r) for r in rings]).astype(np.uint32)
        found = mapbox_earcut.triangulate_float64(flat, ends).reshape(-1, 3).astype(np.int64)
        a, b, c = (flat[found[:, k]] for k in range(3))
        left = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0] > 0
        wrong = left == flip
        found[wrong] = found[wrong][:, ::-1]
        self.add(corners, found)

    def surface(self, name: str, kind: str) -> Surface:
        return Surface(name, kind, np.vstack(self._corners), np.vstack(self._triangles), tuple(self._edges))


def _together(name: str, kind: str, parts: Sequence[Surface]) -> Surface:
    pile = _Pile()
    for part in parts:
        pile.add(part.corners, part.triangles)
        for edge, smooth in part.edges:
            pile.edge(edge, smooth=smooth, closed=False)
    return pile.surface(name, kind)


def _revolved(name: str, kind: str, rows: Sequence[Row], origin: Vector, axis: Vector) -> Surface:
    """A closed profile (along, radius) turned about an axis."""
    turn = np.linspace(0.0, 2 * math.pi, _AROUND, endpoint=False)
    first = frames.unit(np.cross(axis, np.array([0.0, 1.0, 0.0]) if abs(axis[1]) < 0.9 else _X))
    round_ = np.outer(np.cos(turn), first) + np.outer(np.sin(turn), np.cross(axis, first))
    pile = _Pile()
    for k, (x, r) in enumerate(rows):
        x2, r2 = rows[(k + 1) % len(rows)]
        if (x, r) == (x2, r2) or r == r2 == 0.0:
            continue
        pile.band(origin + x * axis + r * round_, origin + x2 * axis + r2 * round_)
        if r > 0 and _corner(rows, k):
            pile.edge(origin + x * axis + r * round_)
    return pile.surface(name, kind)


def _corner(rows: Sequence[Row], k: int) -> bool:
    """Whether a profile turns at a row by more than what a curve does between its rows."""
    a, b, c = np.array(rows[k - 1]), np.array(rows[k]), np.array(rows[(k + 1) % len(rows)])
    one, two = b - a, c - b
    if not one.any() or not two.any():
        return False
    return float(one @ two) < math.cos(math.radians(12)) * float(np.linalg.norm(one) * np.linalg.norm(two))


def _lofted(name: str, kind: str, low: Floats, high: Floats) -> Surface:
    """Between two plane rings of as many points, closed at both."""
    pile = _Pile()
    way = high.mean(axis=0) - low.mean(axis=0)
    area = np.cross(low - low.mean(axis=0), np.roll(low, -1, axis=0) - low.mean(axis=0)).sum(axis=0)
    turned = float(area @ way) > 0
    pile.band(low, high) if turned else pile.band(high, low)
    n = frames.unit(way)
    u = frames.unit(low[1] - low[0])
    axes = Axes(low[0], frames.unit(u - (u @ n) * n), np.cross(n, frames.unit(u - (u @ n) * n)), n)
    pile.face([high], axes, flip=False)
    pile.face([low], axes, flip=True)
    pile.edge(low)
    pile.edge(high)
    return pile.surface(name, kind)


def _sides(name: str, kind: str, member: Member, barrel: Barrel, point: Vector, normal: Vector) -> Surface:
    """The straight sides of an arm or fin from the barrel's outside to a plane."""
    a, b = member.lines()
    low = a + leaves_cylinder(a, b, barrel.outside_mm / 2)[0][:, None] * b
    high = a + (((point - a) @ normal) / (b @ normal))[:, None] * b
    return _lofted(name, kind, low, high)


def _skinned(name: str, kind: str, strips: Sequence[Sequence[Patch]]) -> Surface:
    """A skin, looked at patch by patch; its ends, which are buried, stay open."""
    pile = _Pile()
    for strip in strips[1:-1] if len(strips) > 2 else strips:
        for patch in strip:
            _patch(pile, patch)
    made = pile.surface(name, kind)
    a, b, c = (made.corners[made.triangles[:, k]] for k in range(3))
    outward = float(np.sum((a - made.corners.mean(axis=0)) * np.cross(b - a, c - a))) > 0
    return made if outward else replace(made, triangles=made.triangles[:, ::-1])


def _patch(pile: _Pile, patch: Patch) -> None:
    rows = patch.poles.shape[1]
    n, m = _ALONG_PATCH, 2 if rows == 2 else _ACROSS_PATCH
    along = splines.basis(patch.knots, np.linspace(patch.knots[0], patch.knots[-1], n))
    t = np.linspace(0.0, 1.0, m)
    across = np.stack([math.comb(rows - 1, k) * t**k * (1 - t) ** (rows - 1 - k) for k in range(rows)], axis=1)
    points = np.einsum("ai,bj,ijc->abc", along, across, patch.poles)
    i, j = np.meshgrid(np.arange(n - 1), np.arange(m - 1), indexing="ij")
    at = (i * m + j).ravel()
    low, high = np.column_stack([at, at + m, at + m + 1]), np.column_stack([at, at + m + 1, at + 1])
    pile.add(points.reshape(-1, 3), np.vstack([low, high]))
    pile.edge(points[:, 0], smooth=True, closed=False)
    pile.edge(points[:, -1], smooth=True, closed=False)
