"""Which parts of projected curves can be seen: true curves from the kernel, sight lines against a fine mesh.

The kernel projects edges and outlines of the true surfaces; its own hiding compares every curve with every other and
takes seconds on a strut with filleted roots. Here each curve is walked in short steps and each place is looked at from
the eye: it is hidden when a facet of the body's mesh lies in front of it. Where that changes, the place is found by
halving. Curves are exact; the ends of their hidden parts are as good as the mesh (Fineness).
"""

from __future__ import annotations

import itertools
import math
from collections import OrderedDict
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from strutwright.models.geometry.solve import bisect
from strutwright.models.solids.triangles import facets as facets_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MESH_ANGLE = 0.35
"""Greatest angle (radians) between neighbouring facets of a curved face."""


@dataclass(frozen=True, slots=True)
class Fineness:
    """How finely a body is looked at, mm. mesh: greatest distance of a facet from the true surface; beside: sight lines
    pass a curve this far on either side, it is seen when one of them is free; step: between places looked at, a gap
    in a line that is much shorter may be missed.
    """

    mesh: float
    beside: float
    step: float


def fineness(diagonal_mm: float) -> Fineness:
    """Return the fineness for a body of that size: what a fine pen can show of it on an A1 sheet."""
    mesh = min(max(1e-4 * diagonal_mm, 0.01), 0.3)
    return Fineness(mesh, 0.7 * mesh, min(max(diagonal_mm / 600.0, 0.2), 3.0))


_KEPT = 12
_meshes: OrderedDict[int, tuple[Any, Floats, Ints, Fineness]] = OrderedDict()


def facets(shape: Any) -> tuple[Floats, Ints, Fineness]:
    """Return the vertices (n, 3) mm and triangles (m, 3) of a fine mesh of a kernel shape, outward by the right hand,
    and how fine it is.

    The mesh is made on a copy, so that the shape itself carries none into other files, and kept for further views.
    """
    key = hash(shape)
    kept = _meshes.get(key)
    if kept is not None and kept[0].IsSame(shape):
        _meshes.move_to_end(key)
        return kept[1], kept[2], kept[3]
    fine = fineness(_diagonal(shape))
    points, triangles = _mesh(shape, fine)
    _meshes[key] = (shape, points, triangles, fine)
    while len(_meshes) > _KEPT:
        _meshes.popitem(last=False)
    return points, triangles, fine


def _diagonal(shape: Any) -> float:
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.Add_s(shape, box, False)
    return float(box.CornerMin().Distance(box.CornerMax()))


def _mesh(shape: Any, fine: Fineness) -> tuple[Floats, Ints]:
    import cadquery as cq
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
    from OCP.BRepMesh import BRepMesh_IncrementalMesh

    copy = BRepBuilderAPI_Copy(shape, False, False).Shape()
    BRepMesh_IncrementalMesh(copy, fine.mesh, False, MESH_ANGLE, False)
    cut = facets_of(cq.Shape(copy))
    return cut.points, cut.triangles


def off_body(places: Floats, points: Floats, triangles: Ints) -> Floats:
    """Return the distance (n,) of each place (n, 3) from a mesh: vertices (m, 3), triangles (k, 3)."""
    a, b, c = (points[triangles[:, i]] for i in range(3))
    normal = np.cross(b - a, c - a)
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-12)[:, None]
    out = np.empty(len(places))
    for i, place in enumerate(places):
        square = np.full(len(a), np.inf)
        inside = np.ones(len(a), dtype=bool)
        for p, q in ((a, b), (b, c), (c, a)):
            way, to = q - p, place - p
            share = np.clip((to * way).sum(axis=1) / np.maximum((way * way).sum(axis=1), 1e-18), 0.0, 1.0)
            square = np.minimum(square, ((to - share[:, None] * way) ** 2).sum(axis=1))
            inside &= (np.cross(way, to) * normal).sum(axis=1) >= 0.0
        height = ((place - a) * normal).sum(axis=1)
        out[i] = np.sqrt(np.where(inside, np.minimum(height**2, square), square).min())
    return out


def within(places: Floats, points: Floats, triangles: Ints) -> NDArray[np.bool_]:
    """Return whether each place (n, 3) lies within a closed mesh: vertices (m, 3), triangles (k, 3).

    By the solid angle that the mesh fills as seen from there (van Oosterom and Strackee, IEEE Trans. Biomed. Eng. 30,
    1983, from memory).
    """
    out = np.empty(len(places), dtype=bool)
    for i, place in enumerate(places):
        a, b, c = (points[triangles[:, k]] - place for k in range(3))
        la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
        over = (a * np.cross(b, c)).sum(axis=1)
        under = la * lb * lc + (a * b).sum(axis=1) * lc + (b * c).sum(axis=1) * la + (c * a).sum(axis=1) * lb
        out[i] = abs(float(np.arctan2(over, under).sum())) > math.pi
    return out


@dataclass(slots=True)
class Screen:
    """The facets that face the eye, sorted into the cells of a grid across the view.

    points: vertices (n, 3) in view axes, z toward the eye; triangles (m, 3).
    """

    points: Floats
    triangles: Ints
    fine: Fineness
    _low: Floats = field(init=False)
    _cell: float = field(init=False)
    _shape: tuple[int, int] = field(init=False)
    _start: Ints = field(init=False)
    _held: Ints = field(init=False)
    _corner: Floats = field(init=False)
    _edges: Floats = field(init=False)
    _plane: Floats = field(init=False)

    def __post_init__(self) -> None:
        p = self.points[self.triangles] if len(self.triangles) else np.zeros((0, 3, 3))
        a, b, c = p[:, 0], p[:, 1], p[:, 2]
        normal = np.cross(b - a, c - a)
        size = np.linalg.norm(normal, axis=1)
        facing = normal[:, 2] > 1e-3 * np.maximum(size, 1e-12)
        a, b, c, normal, size = a[facing], b[facing], c[facing], normal[facing], size[facing]
        tilt = normal[:, 2] / size
        # Lowered so that the faces a curve lies on never hide it: by the mesh's error and by the step to the side.
        sunk = (self.fine.mesh + 3.0 * self.fine.beside) / tilt
        slope = -normal[:, :2] / normal[:, 2:]
        self._plane = np.column_stack([slope, a[:, 2] - (slope * a[:, :2]).sum(axis=1) - sunk])
        self._corner = a[:, :2].copy()
        self._edges = np.column_stack([b[:, :2] - a[:, :2], c[:, :2] - a[:, :2], normal[:, 2]])
        low = np.minimum(np.minimum(a, b), c)[:, :2]
        high = np.maximum(np.maximum(a, b), c)[:, :2]
        if not len(low):
            self._low, self._cell, self._shape = np.zeros(2), 1.0, (1, 1)
            self._start, self._held = np.zeros(2, dtype=np.int64), np.zeros(0, dtype=np.int64)
            return
        self._low = low.min(axis=0)
        extent = high.max(axis=0) - self._low
        self._cell = max(float(extent.max()) / 160.0, 1e-6)
        nx, ny = (int(v) + 1 for v in extent / self._cell)
        self._shape = (nx, ny)
        first = np.floor((low - self._low) / self._cell).astype(np.int64)
        last = np.floor((high - self._low) / self._cell).astype(np.int64)
        across = last - first + 1
        count = across[:, 0] * across[:, 1]
        which = np.repeat(np.arange(len(low)), count)
        step = np.arange(int(count.sum())) - np.repeat(np.cumsum(count) - count, count)
        ix = first[which, 0] + step % across[which, 0]
        iy = first[which, 1] + step // across[which, 0]
        cell = ix * ny + iy
        order = np.argsort(cell, kind="stable")
        self._held = which[order]
        self._start = np.searchsorted(cell[order], np.arange(nx * ny + 1)).astype(np.int64)

    def nearest(self, xy: Floats) -> Floats:
        """Return the height (n,) of the facet nearest to the eye over each place (n, 2), -inf over none."""
        nx, ny = self._shape
        found = np.full(len(xy), -np.inf)
        at = np.floor((xy - self._low) / self._cell).astype(np.int64)
        inside = (at[:, 0] >= 0) & (at[:, 0] < nx) & (at[:, 1] >= 0) & (at[:, 1] < ny)
        asked = np.flatnonzero(inside)
        cell = at[asked, 0] * ny + at[asked, 1]
        begin, count = self._start[cell], self._start[cell + 1] - self._start[cell]
        some = count > 0
        asked, begin, count = asked[some], begin[some], count[some]
        if not len(asked):
            return found
        which = np.repeat(np.arange(len(asked)), count)
        head = np.cumsum(count) - count
        facet = self._held[np.arange(int(count.sum())) - np.repeat(head, count) + np.repeat(begin, count)]
        p = xy[asked[which]]
        d = p - self._corner[facet]
        e = self._edges[facet]
        u = d[:, 0] * e[:, 3] - d[:, 1] * e[:, 2]
        v = e[:, 0] * d[:, 1] - e[:, 1] * d[:, 0]
        within = (u >= 0.0) & (v >= 0.0) & (u + v <= e[:, 4])
        plane = self._plane[facet]
        height = np.where(within, plane[:, 0] * p[:, 0] + plane[:, 1] * p[:, 1] + plane[:, 2], -np.inf)
        found[asked] = np.maximum.reduceat(height, head)
        return found

    def seen(self, points: Floats, across: Floats) -> NDArray[np.bool_]:
        """Return which places (n, 3) of curves can be seen. across (n, 2): unit vectors square to the curves."""
        step = self.fine.beside * across
        left, right = self.nearest(points[:, :2] + step), self.nearest(points[:, :2] - step)
        return np.asarray(points[:, 2] >= np.minimum(left, right), dtype=np.bool_)


Spans = list[tuple[float, float]]


def spans(screen: Screen, walks: list[Floats], least_mm: float = 0.05) -> tuple[list[Spans], list[Spans]]:
    """Return for each walk along a curve, (n, 3) in view axes, the spans that are seen, and those that are hidden: by
    the numbers of its places, with the fraction of the way to the next. Pieces under least_mm join.
    """
    if not walks:
        return [], []
    sizes = [len(walk) for walk in walks]
    points = np.vstack(walks)
    across = np.vstack([_across(walk) for walk in walks])
    starts = np.cumsum([0, *sizes])
    # Judged in the middle of each step, so that ends, where curves meet others, do not count.
    inner = np.concatenate([np.arange(a, b - 1) for a, b in itertools.pairwise(starts)])
    middle = 0.5 * (points[inner] + points[inner + 1])
    seen = screen.seen(middle, across[inner])
    shown: list[Spans] = []
    hidden: list[Spans] = []
    offset = 0
    change_of: list[tuple[int, int]] = []
    for k, n in enumerate(sizes):
        flags = _settled(seen[offset : offset + n - 1], walks[k], least_mm)
        seen[offset : offset + n - 1] = flags
        change_of += [(k, int(i)) for i in np.flatnonzero(flags[1:] != flags[:-1])]
        offset += n - 1
    turns = _turns(screen, points, across, starts, seen, change_of)
    offset = 0
    for k, n in enumerate(sizes):
        flags = seen[offset : offset + n - 1]
        edges = [0.0, *turns.get(k, []), n - 1.0]
        state = bool(flags[0])
        found: tuple[Spans, Spans] = ([], [])
        for a, b in itertools.pairwise(edges):
            found[0 if state else 1].append((a, b))
            state = not state
        shown.append(found[0])
        hidden.append(found[1])
        offset += n - 1
    return shown, hidden


def _across(points: Floats) -> Floats:
    """Unit vectors (n, 2) square to the curve as seen; for a curve seen end-on any will do."""
    way = np.diff(points[:, :2], axis=0)
    way = np.vstack([way, way[-1:]])
    length = np.hypot(way[:, 0], way[:, 1])
    safe = np.where(length > 1e-12, length, 1.0)
    way = np.where((length > 1e-12)[:, None], way / safe[:, None], np.array([1.0, 0.0]))
    return np.column_stack([-way[:, 1], way[:, 0]])


def _settled(flags: NDArray[np.bool_], points: Floats, least_mm: float) -> NDArray[np.bool_]:
    """Let runs shorter than least_mm as seen follow what stands before them (the first one: what comes after)."""
    out = flags.copy()
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points[:, :2], axis=0).T))])
    changes = np.flatnonzero(out[1:] != out[:-1]) + 1
    runs = list(zip([0, *changes.tolist()], [*changes.tolist(), len(out)], strict=True))
    if len(runs) < 2 or along[-1] <= least_mm:
        return out
    for i, (a, b) in enumerate(runs):
        if along[b] - along[a] < least_mm:
            out[a:b] = out[a - 1] if i else out[b]
    return out


def _turns(
    screen: Screen,
    points: Floats,
    across: Floats,
    starts: Ints,
    seen: NDArray[np.bool_],
    change_of: list[tuple[int, int]],
) -> dict[int, list[float]]:
    """Return for each walk where it passes from seen to hidden or back, by halving all at once."""
    out: dict[int, list[float]] = {}
    if not change_of:
        return out
    first = np.array([starts[k] + i for k, i in change_of])
    # Between the middles of two steps that differ: p0, the place between them, p1.
    p0, p1, p2 = (points[first + j] for j in (0, 1, 2))
    step_at = first - np.array([k for k, _ in change_of])
    before = seen[step_at]

    def same(mid: Floats) -> NDArray[np.bool_]:
        f = mid[:, None]
        here = np.where(f <= 1.0, p0 + f * (p1 - p0), p1 + (f - 1.0) * (p2 - p1))
        return np.asarray(screen.seen(here, np.where(f <= 1.0, across[first], across[first + 1])) == before)

    low, high = bisect(same, np.full(len(first), 0.5), np.full(len(first), 1.5), 14)
    for (k, i), mid in zip(change_of, (0.5 * (low + high)).tolist(), strict=True):
        out.setdefault(k, []).append(i + mid)
    return out
