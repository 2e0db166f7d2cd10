"""Draft on flat shapes: a roof over a face, an outline leaned out to both sides of the parting, palms. Pure numpy."""

from __future__ import annotations

import math
from functools import partial
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from strutwright.models import frames
from strutwright.models.frames import Axes, Vector
from strutwright.models.geometry.solve import bisect
from strutwright.models.outline import Outline
from strutwright.models.shop.foundry import Draft, FoundryError, face_draft_deg
from strutwright.models.spec import Palm, Plate
from strutwright.models.spec_flange import Flange

SKEW_DEG = 3.0  # see palm_split_mm
RIDGE_CLEAR_MM = 2.0  # likewise: as far as draft may stand out of a palm's faces
PALM_ALONG = math.cos(math.radians(45))  # a palm is drawn edgeways when more of the pull than this lies along it


class Roof(NamedTuple):
    """Two planes that meet in a ridge in the parting plane, and lean in from it by at least the draft.

    ridge_mm: place of the ridge along `outward`. tan_plus, tan_minus: lean of the two sides.
    """

    ridge_mm: float
    tan_plus: float
    tan_minus: float


def roof(points: Vector, pull: Vector, outward: Vector, drafts_deg: tuple[float, float]) -> Roof:
    """Return the least roof over the rim of a face, for a parting plane through the origin.

    points: (k, 3) of the rim, mm. pull, outward: unit vectors (3,), square to each other. drafts_deg: least lean on
    the positive and the negative side of the pull.

    >>> rim = np.array([[0.0, -20.0, 0.0], [0.0, 20.0, 0.0]])  # 20 to either side of the parting: 20 tan(2 degrees)
    >>> round(roof(rim, np.array([0.0, 1.0, 0.0]), np.array([1.0, 0.0, 0.0]), (2.0, 2.0)).ridge_mm, 4)
    0.6984
    """
    w, h = points @ pull, points @ outward
    plus, minus = (math.tan(math.radians(d)) for d in drafts_deg)
    ridge = float(np.max(h + np.abs(w) * np.where(w > 0, plus, minus)))
    sides = []
    for sign, tan in ((1.0, plus), (-1.0, minus)):
        on = sign * w > 1e-6
        sides.append(float(np.min((ridge - h[on]) / np.abs(w[on]))) if on.any() else tan)
    return Roof(ridge, sides[0], sides[1])


class _Chain(NamedTuple):
    """Half an outline over its split, from the right end over the top to the left end: (n, 3) x, y, bulge rows."""

    rows: NDArray[np.float64]


def drafted_outline(outline: Outline, pull_uv: Vector, split_mm: float, drafts_deg: tuple[float, float]) -> Outline:
    """Return a plate's outline with its edges leaned out toward the parting line, where they stand too steep.

    outline: closed. pull_uv: (2,) pull in the plane of the plate. split_mm: place of the parting line along it.
    drafts_deg: least lean of the edges to the pull on its positive and its negative side, 0 to below 45. Nothing is
    taken away. An outline that does not lie on both sides of the line, or crosses it more than twice, comes back as it
    is.

    >>> from strutwright.models.outline import rectangle
    >>> drawn = drafted_outline(rectangle(100.0, 60.0), np.array([0.0, 1.0]), 0.0, (2.0, 2.0))
    >>> round(drawn.bounding_box().xmax, 4)  # 50 + 30 tan(2 degrees)
    51.0476
    """
    if max(drafts_deg) <= 0:
        return outline
    turn = math.pi / 2 - math.atan2(pull_uv[1], pull_uv[0])
    rows = _split_level(outline.normalised().rotate(turn).translate(0.0, -split_mm))
    at = [k for k in range(len(rows)) if rows[k, 1] == 0.0]
    if len(at) != 2:
        return outline
    first, second = at
    chains = [rows[first : second + 1], np.concatenate((rows[second:], rows[: first + 1]))]
    heights = Outline(chains[0], closed=False).polyline(0.1)[:, 1]  # of an arc from line to line both ends are 0
    if -heights.min() > heights.max():
        chains.reverse()
    upper, lower = _Chain(chains[0]), _Chain(chains[1] * (-1.0, -1.0, 1.0))
    if upper.rows[:, 1].min() < 0 or lower.rows[:, 1].min() < 0:
        return outline
    plus, minus = (math.radians(d) for d in drafts_deg)
    right = max(_foot(upper, plus, 1), _foot(lower, minus, -1))
    left = max(_foot(upper, plus, -1), _foot(lower, minus, 1))
    top, bottom = _leaned(upper, right, left, plus), _leaned(lower, left, right, minus)
    joined = np.concatenate((top, bottom * (-1.0, -1.0, 1.0)))
    ahead = np.roll(joined, -1, axis=0)
    keep = np.hypot(*(ahead - joined)[:, :2].T) > 1e-6
    return Outline(joined[keep]).translate(0.0, split_mm).rotate(-turn)


def upper_half(outline: Outline) -> Outline:
    """Return the part of a section's closed outline above y = 0 as an open chain from its right end to its left end.

    Raises FoundryError when the outline does not cross y = 0 exactly twice.

    >>> from strutwright.models.outline import stadium
    >>> round(upper_half(stadium(80.0, 20.0)).perimeter_mm(), 3)  # 60 along the top and two quarter turns of 10
    91.416
    """
    rows = _split_level(outline.normalised())
    at = [k for k in range(len(rows)) if rows[k, 1] == 0.0]
    if len(at) == 2:
        for half in (rows[at[0] : at[1] + 1], np.concatenate((rows[at[1] :], rows[: at[0] + 1]))):
            if half[:, 1].min() >= 0:
                return Outline(half, closed=False)
    raise FoundryError("a section does not lie evenly on both sides of its chord")


def _split_level(outline: Outline) -> NDArray[np.float64]:
    """Return the vertices of an outline with one put in wherever it crosses y = 0."""
    seg = outline.segments()
    out: list[tuple[float, float, float]] = []
    for k in range(len(seg.chord)):
        y0, y1, sweep = float(seg.start[k, 1]), float(seg.end[k, 1]), float(seg.sweep_rad[k])
        cuts: list[float] = []  # shares of the segment
        if sweep == 0.0:
            if y0 * y1 < 0:
                cuts = [y0 / (y0 - y1)]
        else:
            (cx, cy), r = seg.centre[k], float(seg.radius[k])
            if abs(cy) < r:
                begin = math.atan2(y0 - cy, float(seg.start[k, 0]) - cx)
                for angle in (math.asin(-cy / r), math.pi - math.asin(-cy / r)):
                    gone = (angle - begin) % (2 * math.pi) if sweep > 0 else (begin - angle) % (2 * math.pi)
                    cuts.append(gone / abs(sweep))
            cuts = sorted(c for c in cuts if 1e-9 < c < 1 - 1e-9)
        places = [0.0, *cuts, 1.0]
        for a, b in pairwise(places):
            x, y = _on(seg.start[k], seg.end[k], float(seg.bulge[k]), a)
            level = a > 0 or abs(y) < 1e-9
            out.append((x, 0.0 if level else y, math.tan((b - a) * sweep / 4)))
    return np.array(out)


def _on(start: Vector, end: Vector, bulge: float, share: float) -> tuple[float, float]:
    """Return the point at a share of a line or arc."""
    if abs(bulge) < 1e-12:
        x, y = start + share * (end - start)
        return float(x), float(y)
    chord = complex(*(end - start))
    half = 2 * math.atan(bulge)  # half the arc's turn: the chord turns by it from the tangent at the start
    part = share * half
    reach = chord * (math.sin(part) / math.sin(half)) * complex(math.cos(part - half), math.sin(part - half))
    return float(start[0]) + reach.real, float(start[1]) + reach.imag


def _support(chain: _Chain, lean: float, side: int) -> tuple[float, int, float]:
    """Return (how far, segment, share of it) of the chain's farthest point toward (side cos, sin) of the lean."""
    m = np.array([side * math.cos(lean), math.sin(lean)])
    rows = chain.rows
    far = rows[:, :2] @ m
    k = int(np.argmax(far))
    best = (float(far[k]), min(k, len(rows) - 2), 0.0 if k < len(rows) - 1 else 1.0)
    for i in range(len(rows) - 1):
        if rows[i, 2] <= 1e-12:  # an arc that bends the other way has no farthest point inside it
            continue
        start, end, bulge = rows[i, :2], rows[i + 1, :2], float(rows[i, 2])
        sweep = 4 * math.atan(bulge)
        chord = complex(*(end - start))
        begin = math.atan2(chord.imag, chord.real) - sweep / 2 - math.pi / 2  # direction of the normal at the start
        share = ((math.atan2(m[1], m[0]) - begin) % (2 * math.pi)) / sweep
        if 0 < share < 1:
            value = float(np.array(_on(start, end, bulge, share)) @ m)
            if value > best[0] + 1e-12:
                best = (value, i, share)
    return best


def _foot(chain: _Chain, lean: float, side: int) -> float:
    """Return how far out (mm) on y = 0 the leaned edge starts."""
    return _support(chain, lean, side)[0] / math.cos(lean)


def _short_of(foot: float, chain: _Chain, side: int, lean: float) -> bool:
    return _foot(chain, lean, side) < foot


def _leaned(chain: _Chain, right: float, left: float, lean: float) -> NDArray[np.float64]:
    """Return the chain between (right, 0) and (-left, 0) with straight edges up to where they touch it."""
    cuts = []
    for side, foot in ((1, right), (-1, left)):
        low, high = lean, math.radians(89.0)
        if foot > _foot(chain, lean, side) + 1e-9:  # the other half reaches farther out: lean more, to start with it
            low, _ = bisect(partial(_short_of, foot, chain, side), low, high)
        cuts.append(_support(chain, low, side))
    rows = chain.rows
    (_, i, a), (_, j, b) = cuts
    out = [(right, 0.0, 0.0)]
    for k in range(i, j + 1):
        start = a if k == i else 0.0
        stop = b if k == j else 1.0
        if stop <= start:
            continue
        x, y = _on(rows[k, :2], rows[k + 1, :2], float(rows[k, 2]), start)
        out.append((x, y, math.tan((stop - start) * math.atan(float(rows[k, 2])))))
    x, y = _on(rows[j, :2], rows[j + 1, :2], float(rows[j, 2]), b)
    out += [(x, y, 0.0), (-left, 0.0, 0.0)]
    clean = [out[0]]
    for row in out[1:]:
        if math.dist(row[:2], clean[-1][:2]) > 1e-6:
            clean.append(row)
        else:
            clean[-1] = (clean[-1][0], clean[-1][1], row[2])
    return np.array(clean[:-1])


def face_of(plate: Plate) -> Axes:
    """Return the axes of a plate's face on what it is bolted to; of a flange about a place on the shaft line, as no
    pull lies along that.

    >>> face_of(shipped("deadwood-cutter").flange).n.tolist()
    [1.0, 0.0, 0.0]
    """
    if isinstance(plate, Flange):
        return frames.face_axes(plate.plane)
    assert isinstance(plate, Palm)
    return frames.palm_axes(plate)


def palm_drawn(palm: Plate, pull: Vector) -> tuple[Vector, float, float]:
    """Return (pull in palm axes (2,), its share in the plane of the palm, tilt of the hull face to it in degrees).

    tilt: how far the hull face opens on the positive side of the pull; the same is back-draft on the other side.

    >>> palm = shipped("harbour-launch").palms[0]  # it leans by 9 degrees, drawn square to the shaft
    >>> [round(value, 4) for value in palm_drawn(palm, frames.radial(0.0))[1:]]  # sin(9 degrees); 90 - 9
    [0.1564, 81.0]
    """
    axes = face_of(palm)
    flat = np.array([pull @ axes.u, pull @ axes.v])
    return flat, float(np.hypot(*flat)), face_draft_deg(axes.n, pull)


def palm_split_mm(palm: Plate, pull: Vector) -> float:
    """Return where the edges' draft changes sides, along the pull in the palm's plane (mm from the palm zero).

    That is where the parting plane cuts the middle of the thickness. A palm tilted a little to the pull has it just
    past the plane instead, all through its thickness: two edges that cross at a hair's angle confuse the kernel.

    >>> palm = shipped("harbour-launch").palms[0]  # drawn athwart: its zero lies in the parting plane
    >>> abs(round(palm_split_mm(palm, frames.radial(90.0)), 6))
    0.0
    """
    axes = face_of(palm)
    _, share, tilt = palm_drawn(palm, pull)

    def at(height_mm: float) -> float:
        return -float(pull @ (axes.origin + height_mm * axes.n)) / share

    if 1e-6 < abs(tilt) < SKEW_DEG:
        return max(at(RIDGE_CLEAR_MM), at(-palm.thickness_mm - RIDGE_CLEAR_MM)) + 0.1
    return at(-palm.thickness_mm / 2)


def palm_heights_mm(palm: Plate, pull: Vector) -> tuple[float, float]:
    """Return the heights (mm) along the pull of a palm's edges and faces, on its positive and its negative side.

    From the parting plane where the palm crosses it, the less of its two faces'. A palm that lies flat is as high as
    its thickness.

    >>> palm = shipped("harbour-launch").palms[0]  # 112 wide, half of it on each side
    >>> [round(height, 6) for height in palm_heights_mm(palm, frames.radial(90.0))]
    [59.0, 59.0]
    """
    axes = face_of(palm)
    if palm_drawn(palm, pull)[1] < PALM_ALONG:
        height = palm.thickness_mm * abs(float(axes.n @ pull))
        return height, height
    sides = []
    for face_mm in (0.0, -palm.thickness_mm):
        along = axes.to_strut(palm.outline.polyline(0.05), face_mm) @ pull
        low, high = float(along.min()), float(along.max())
        sides.append((high, -low) if low < 0 < high else (high - low, high - low))
    return min(s[0] for s in sides), min(s[1] for s in sides)


def palm_drafts_deg(palm: Plate, pull: Vector, draft: Draft) -> tuple[float, float]:
    """Return the draft (degrees) of a palm's edges and faces on the positive and the negative side of the pull.

    >>> palm_drafts_deg(shipped("harbour-launch").palms[0], frames.radial(90.0), Draft())  # both sides 56 high
    (1.9, 1.9)
    """
    plus, minus = palm_heights_mm(palm, pull)
    return draft.at(plus), draft.at(minus)


def drafted_palm_outline(palm: Plate, pull: Vector, draft: Draft) -> Outline:
    """Return a palm's outline with draft on its edges; as it is where the pull does not lie along the palm.

    >>> palm = shipped("harbour-launch").palms[0]  # 210 x 118 with corners of 20: 85 + 20 / cos(2) + 36 tan(2 degrees)
    >>> round(drafted_palm_outline(palm, frames.radial(90.0), Draft(2.0)).bounding_box().xmax, 3)
    106.374
    """
    flat, share, _ = palm_drawn(palm, pull)
    if share < PALM_ALONG:
        return palm.outline
    plus, minus = (
        math.degrees(math.asin(math.sin(math.radians(d)) / share)) for d in palm_drafts_deg(palm, pull, draft)
    )
    return drafted_outline(palm.outline, flat / share, palm_split_mm(palm, pull), (plus, minus))
