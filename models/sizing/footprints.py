"""Where the arms of very many candidates stand on barrel and palm: `checks.shapes` in arrays, point by point the same.

Polygons are (points, candidates). Candidates are taken in small lots, so that a lot's polygons stay in the cache.
"""
from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from strutwright.models import frames
from strutwright.models.checks.shapes import POINTS
from strutwright.models.engineering.inputs import ArmInputs, Num
from strutwright.models.sections import Kind, boundary_points
from strutwright.models.sizing.candidates import Candidates, Floats

LOT = 512
"""Candidates to a lot: (97, 512) floats are 400 kB."""
_COARSE = 4


@functools.cache
def _unit(shape: Kind) -> tuple[Floats, Floats]:
    points = boundary_points(shape, 1.0, 1.0, POINTS)
    return points[:, 0].copy(), points[:, 1].copy()


def _ring(arm: ArmInputs, chord: Num, thickness: Num) -> tuple[Floats, Floats]:
    """Points round a section, (points, candidates) or (points, 1)."""
    c, t = np.atleast_1d(np.asarray(chord, dtype=float)), np.atleast_1d(np.asarray(thickness, dtype=float))
    if arm.shape in ("foil", "ellipse"):
        x, y = _unit(arm.shape)
        return x[:, None] * c, y[:, None] * t
    # Sizes that make no section get figures without meaning: such a candidate cannot be built anyway.
    thick = np.clip(t, 1e-6, np.maximum(c, 1e-6))
    edge = None
    if arm.shape == "flat":
        edge = thick / 2 if arm.half_round else np.minimum(np.atleast_1d(arm.edge_radius_mm), thick / 2)
    both = boundary_points(arm.shape, np.maximum(c, 1e-6), thick, POINTS, edge)
    return np.ascontiguousarray(both[..., 0].T), np.ascontiguousarray(both[..., 1].T)


@dataclass(frozen=True, slots=True)
class Directions:
    """An arm's directions, which no candidate changes: chord u, across v, along n, and those of its palm, (3,)."""

    u: frames.Vector
    v: frames.Vector
    n: frames.Vector
    palm_u: frames.Vector
    palm_v: frames.Vector
    palm_n: frames.Vector
    even: bool
    """The section's halves are mirror images about the plane of shaft line and arm."""


def directions(c: Candidates, index: int) -> Directions:
    """Return the directions of an arm and of the palm it stands on."""
    strut, arm = c.strut, c.strut.arms[index]
    palm = strut.palms[arm.palm_index]
    axes, hull = frames.arm_axes(arm, strut.barrel, palm.plane), frames.palm_axes(palm)
    even = arm.aligned_with == "shaft" and arm.toe_deg == 0.0
    return Directions(axes.u, axes.v, axes.n, hull.u, hull.v, hull.n, even)


def lots(count: int, *values: Any) -> Iterator[tuple[slice, list[Any]]]:
    """Yield slices of LOT candidates and the values there; what does not vary is as it is."""
    for start in range(0, count, LOT):
        part = slice(start, start + LOT)
        yield part, [v[part] if isinstance(v, np.ndarray) and v.ndim else v for v in values]


# --- on the barrel --------------------------------------------------------------------------------------------------

@dataclass(frozen=True, slots=True, eq=False)
class OnBarrel:
    """What an arm covers of the barrel, root left out: x from mid-barrel (mm), middle clock, half width (degrees)."""

    aft_x_mm: Num
    forward_x_mm: Num
    clock_deg: float
    half_deg: Num


def on_barrel(c: Candidates, index: int) -> OnBarrel:
    """Return what an arm covers of the barrel."""
    arm, way = c.inputs.arms[index], directions(c, index)
    prismatic = arm.chord_barrel_mm is arm.chord_palm_mm and arm.thickness_barrel_mm is arm.thickness_palm_mm
    varied = (arm.chord_barrel_mm, arm.thickness_barrel_mm, arm.chord_palm_mm, arm.thickness_palm_mm, arm.start_mm,
              arm.end_mm, c.inputs.barrel_outside_mm / 2, arm.x_mm, arm.edge_radius_mm)
    count = c.count if any(np.ndim(v) for v in varied) else 1
    aft, forward, half = (np.empty(count) for _ in range(3))
    middle = math.degrees(math.atan2(way.n[1], way.n[2]))
    for part, (cb, tb, cp, tp, start, end, r, x0, edge) in lots(count, *varied):
        own = _with_edge(arm, edge)
        x, y = _ring(own, cb, tb)
        if way.even:
            x, y = x[:POINTS // 2 + 1], y[:POINTS // 2 + 1]
        ay, az = (x * way.u[i] + y * way.v[i] + start * way.n[i] for i in (1, 2))
        if prismatic:
            gain_x = gain_y = None
            by, bz = ((end - start) * way.n[i] for i in (1, 2))
        else:
            x2, y2 = _ring(own, cp, tp)
            gain_x, gain_y = x2[:len(x)] - x, y2[:len(y)] - y
            by, bz = (gain_x * way.u[i] + gain_y * way.v[i] + (end - start) * way.n[i] for i in (1, 2))
        aa, ab = by * by + bz * bz, ay * by + az * bz
        root = ab * ab - aa * (ay * ay + az * az - r * r)
        k = (np.sqrt(np.maximum(root, 0.0)) - ab) / aa
        out_y, out_z = ay + k * by, az + k * bz
        along = x * way.u[0] + y * way.v[0] + start * way.n[0] + x0
        step = (end - start) * way.n[0]
        if gain_x is not None and gain_y is not None:
            step = step + gain_x * way.u[0] + gain_y * way.v[0]
        along = along + k * step
        turn_s, turn_c = way.n[1] / math.hypot(way.n[1], way.n[2]), way.n[2] / math.hypot(way.n[1], way.n[2])
        # Clock off the arm's: the greatest angle has the least cosine.
        cosine = (out_y * turn_s + out_z * turn_c) / np.hypot(out_y, out_z)
        aft[part], forward[part] = along.min(axis=0), along.max(axis=0)
        half[part] = np.degrees(np.arccos(np.clip(cosine.min(axis=0), -1.0, 1.0)))
    if count == 1:
        return OnBarrel(float(aft[0]), float(forward[0]), middle, float(half[0]))
    return OnBarrel(aft, forward, middle, half)


def _with_edge(arm: ArmInputs, edge: Num) -> ArmInputs:
    if arm.shape != "flat" or arm.half_round or np.ndim(edge) == 0:
        return arm
    return replace(arm, edge_radius_mm=edge)


# --- on the palm ----------------------------------------------------------------------------------------------------

@dataclass(frozen=True, slots=True, eq=False)
class OnPalm:
    """An arm on its palm, mm: least distance of the root's toe inside the outline; of any bolt hole's centre from the
    toe; and of any centre from the arm up to the height of a tool."""

    toe_inside_mm: Num
    hole_to_toe_mm: Num
    hole_to_arm_mm: Num


def on_palm(c: Candidates, index: int, height_mm: float) -> OnPalm:
    """Return how an arm stands on its palm. height_mm: to which a tool on a bolt must stay clear, at most half the
    drop."""
    arm, way = c.inputs.arms[index], directions(c, index)
    palm, shape = c.inputs.palms[arm.palm_index], c.palms[arm.palm_index]
    outline = c.strut.palms[arm.palm_index].outline
    holes_u, holes_v = np.asarray(palm.holes_u_mm), np.asarray(palm.holes_v_mm)
    top = np.minimum(height_mm, c.drop_mm / 2)
    root_at = tuple((arm.x_mm if i == 0 else 0.0) - palm.zero_mm[i] for i in range(3))
    away_u, away_v, away_n = (sum(r * float(a[i]) for i, r in enumerate(root_at))
                              for a in (way.palm_u, way.palm_v, way.palm_n))
    varied = (arm.chord_barrel_mm, arm.thickness_barrel_mm, arm.chord_palm_mm, arm.thickness_palm_mm, arm.start_mm,
              arm.end_mm, palm.thickness_mm, arm.palm_root_mm, top, away_u, away_v, away_n, arm.edge_radius_mm,
              shape.middle_u_mm, shape.middle_v_mm, shape.core_u_mm, shape.core_v_mm, shape.radius_mm)
    moving = holes_u.ndim > 1
    count = c.count if moving or any(np.ndim(v) for v in varied) else 1
    prismatic = arm.chord_barrel_mm is arm.chord_palm_mm and arm.thickness_barrel_mm is arm.thickness_palm_mm
    inside, toe_gap, arm_gap = (np.empty(count) for _ in range(3))
    for part, own in lots(count, *varied):
        cb, tb, cp, tp, start, end, thick, root, high, u0, v0, h0, edge, mu, mv, ku, kv, radius = own
        cut = _Cut(way, _with_edge(arm, edge), prismatic, (cb, tb, cp, tp), start, end, (u0, v0, h0))
        polygon = cut.at(thick)
        toe = _toe(c, cut, polygon, root)
        if shape.fixed:
            points = np.stack([toe[0] - mu, toe[1] - mv], axis=-1)
            inside[part] = outline.distance_to_boundary(points).min(axis=0)
        else:
            inside[part] = _inside_box(toe[0] - mu, toe[1] - mv, ku, kv, radius).min(axis=0)
        higher = [cut.at(thick + h) for h in (high / 2, high)]
        near: Floats | None = None
        free: Floats | None = None
        for j in range(holes_u.shape[-1]):
            u, v = (np.atleast_1d(h[part, j] if moving else h[j]) for h in (holes_u, holes_v))
            from_toe = distance(u, v, *toe)
            from_arm = functools.reduce(np.minimum, [distance(u, v, *p) for p in higher], from_toe)
            near = from_toe if near is None else np.minimum(near, from_toe)
            free = from_arm if free is None else np.minimum(free, from_arm)
        toe_gap[part], arm_gap[part] = near, free
    if count == 1:
        return OnPalm(float(inside[0]), float(toe_gap[0]), float(arm_gap[0]))
    return OnPalm(inside, toe_gap, arm_gap)


class _Cut:
    """An arm of a lot, ready to be cut by planes parallel to the hull face; points in palm axes."""

    def __init__(self, way: Directions, arm: ArmInputs, prismatic: bool, sizes: Sequence[Num], start: Num, end: Num,
                 away: Sequence[Num]) -> None:
        u, v, n = way.u, way.v, way.n
        hu, hv, hn = way.palm_u, way.palm_v, way.palm_n
        self.turn = [[float(a @ h) for a in (u, v, n)] for h in (hu, hv, hn)]
        self.away, self.start, self.end = away, start, end
        self.x, self.y = _ring(arm, sizes[0], sizes[1])
        self.gain: tuple[Floats, Floats] | None = None
        if not prismatic:
            x2, y2 = _ring(arm, sizes[2], sizes[3])
            self.gain = x2 - self.x, y2 - self.y

    def at(self, below: Num) -> tuple[Floats, Floats]:
        """Return the points round the arm on the plane `below` mm under the hull face."""
        (uu, uv, un), (vu, vv, vn), (nu, nv, nn) = self.turn
        u0, v0, h0 = self.away
        if self.gain is None:
            s = (-below - h0) / nn
            return (self.x * (uu - nu / nn * un) + self.y * (uv - nv / nn * un) + (u0 + s * un),
                    self.x * (vu - nu / nn * vn) + self.y * (vv - nv / nn * vn) + (v0 + s * vn))
        gx, gy = self.gain
        long = self.end - self.start
        k = (-below - h0 - self.start * nn - self.x * nu - self.y * nv) / (gx * nu + gy * nv + long * nn)
        x, y = self.x + k * gx, self.y + k * gy
        s = self.start + k * long
        return x * uu + y * uv + s * un + u0, x * vu + y * vv + s * vn + v0

    def down(self) -> tuple[Num, Num]:
        """Return how far a side's line goes along u and v per mm away from the hull."""
        (uu, uv, un), (vu, vv, vn), (nu, nv, nn) = self.turn
        if self.gain is None:
            return -un / nn, -vn / nn
        gx, gy = self.gain
        long = self.end - self.start
        fall = -1.0 / (gx * nu + gy * nv + long * nn)
        return (gx * uu + gy * uv + long * un) * fall, (gx * vu + gy * vv + long * vn) * fall


def _toe(c: Candidates, cut: _Cut, polygon: tuple[Floats, Floats], root: Num) -> tuple[Floats, Floats]:
    """Points where the root's fillet or weld ends, beside each point of the arm on the water face."""
    u, v = polygon
    out_u = np.empty_like(v)
    out_v = np.empty_like(u)
    out_u[1:-1], out_u[0], out_u[-1] = v[2:] - v[:-2], v[1] - v[-1], v[0] - v[-2]
    out_v[1:-1], out_v[0], out_v[-1] = u[:-2] - u[2:], u[-1] - u[1], u[-2] - u[0]
    sign = _turning(u[:, 0], v[:, 0])
    size = sign / np.maximum(np.sqrt(out_u * out_u + out_v * out_v), 1e-12)
    out_u *= size
    out_v *= size
    if c.strut.construction == "welded":
        offset = root
    else:
        down_u, down_v = cut.down()
        lean = down_u * out_u + down_v * out_v
        # root / tan((90 deg - lean) / 2) with the lean's tangent
        offset = root * (lean + np.sqrt(1.0 + lean * lean))
    return u + offset * out_u, v + offset * out_v


def _turning(u: Floats, v: Floats) -> float:
    return math.copysign(1.0, float(np.sum(u * np.roll(v, -1) - np.roll(u, -1) * v)))


def _inside_box(u: Floats, v: Floats, core_u: Num, core_v: Num, radius: Num) -> Floats:
    """Distance to a rectangle with round corners, positive inside. u, v: from its middle."""
    du, dv = np.abs(u) - core_u, np.abs(v) - core_v
    out_u, out_v = np.maximum(du, 0.0), np.maximum(dv, 0.0)
    return np.asarray(radius - np.sqrt(out_u * out_u + out_v * out_v) - np.minimum(np.maximum(du, dv), 0.0))


def inside(c: Candidates, index: int, u: Num, v: Num) -> Num:
    """Return the distance (mm) of points (palm axes) from a palm's outline, positive inside."""
    shape = c.palms[index]
    if not shape.fixed:
        return _inside_box(u - shape.middle_u_mm, v - shape.middle_v_mm, shape.core_u_mm, shape.core_v_mm,
                           shape.radius_mm)
    points = np.stack(np.broadcast_arrays(u - shape.middle_u_mm, v - shape.middle_v_mm), axis=-1)
    return c.strut.palms[index].outline.distance_to_boundary(points)


def distance(u: Floats, v: Floats, polygon_u: Floats, polygon_v: Floats) -> Floats:
    """Return distances (k,) of one point per candidate from a convex polygon each, (n, k) or (n, 1): positive outside.

    The nearest corner is sought from coarse to fine; the nearest point lies on one of its two sides.
    """
    n, k = len(polygon_u), max(len(u), polygon_u.shape[1])
    pu, pv = (np.broadcast_to(p, (n, k)) for p in (polygon_u, polygon_v))
    du, dv = pu[::_COARSE] - u, pv[::_COARSE] - v
    far = du * du + dv * dv
    at = np.argmin(far, axis=0) * _COARSE
    who = np.arange(k)
    best = far[at // _COARSE, who]
    step = _COARSE // 2
    while step:
        for other in ((at + step) % n, (at - step) % n):
            du, dv = pu[other, who] - u, pv[other, who] - v
            there = du * du + dv * dv
            nearer = there < best
            at, best = np.where(nearer, other, at), np.where(nearer, there, best)
        step //= 2
    au, av = pu[at, who], pv[at, who]
    turning = _turning(pu[:, 0], pv[:, 0])
    outside = np.zeros(k, dtype=bool)
    for other, way in (((at + 1) % n, turning), ((at - 1) % n, -turning)):
        eu, ev = pu[other, who] - au, pv[other, who] - av
        du, dv = u - au, v - av
        t = np.clip((du * eu + dv * ev) / np.maximum(eu * eu + ev * ev, 1e-18), 0.0, 1.0)
        ru, rv = du - t * eu, dv - t * ev
        best = np.minimum(best, ru * ru + rv * rv)
        outside |= way * (eu * dv - ev * du) < 0
    return np.where(outside, np.sqrt(best), -np.sqrt(best))
