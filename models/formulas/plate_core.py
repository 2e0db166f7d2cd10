"""A rigid rectangular core (a palm) in the middle of a rectangular plate between stiffeners: what force and tilts it
withstands. N, mm, rad.

What a plate of strips would withstand, times factors from a table that was worked out by finite elements with shear
(`python -m tests.plates.table`), moved by 2 % toward the end of the range that its edge stands for, clamped stiffer,
supported softer: within 4 % of them and never to the other side, the softest cores included; where one gap is more
than five of the other, and of planks, within 7 %, and to the other side by 3 % at the most; beyond eight a bound.
A tilt is held in two parts, as one is left however soft the core: the turning of the plate's normal, and the going up
and down of the core's sides. Small deflection; the bulge of a bottom, which makes it stiffer, is left out.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from strutwright.models.arrays import Floats, Num

_TABLE = Path(__file__).with_name("plate_core.txt")
CORE_TO_GAP = (0.08, 40.0)
"""Core over gap, along and across, that the table spans; beyond it the factor of its end is taken."""
GAP_TO_GAP = 8.0
"""Gap along over gap across, and the reverse. Beyond it the stiff end is that of a plate clamped as near as this, the
soft end falls by a power of what is beyond: elements are within, up to 40 times this."""
_SAFE_BEYOND = 0.27
PLANKS = 0.65
"""Mixed stiffness over the root of the two bending stiffnesses at which the table holds planks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A plate between stiffeners and the core in its middle: clear lengths, mm; bending stiffness along and across,
    N mm, and shear stiffness along, N/mm. mixed: mixed bending stiffness over the root of the two, 1 where all
    directions are alike; shear goes as the root of the bending stiffnesses."""

    along_mm: Num
    across_mm: Num
    core_along_mm: Num
    core_across_mm: Num
    bending_along_nmm: Num
    bending_across_nmm: Num
    shear_n_mm: Num
    mixed: float = 1.0


@dataclass(frozen=True, slots=True)
class Springs:
    """Force square to the plate, N/mm, and moments that tilt the core along its length and across it, N mm/rad."""

    normal_n_mm: Num
    tilt_along_nmm: Num
    tilt_across_nmm: Num


@dataclass(frozen=True, slots=True)
class Parts:
    """What strips withstand of force; and of the tilts along and across by the turning of the plate's normal, which is
    left however soft its shear, and by the going up and down of the core's sides."""

    push: Num
    sides: tuple[Num, Num]
    turns: tuple[Num, Num]


def strips(plate: Plate, clamped: bool) -> Springs:
    """Return what four strips from the core's sides to the stiffeners and plain terms for the corners withstand: the
    measure of the table's factors; broadcasts.

    >>> even = Plate(along_mm=400.0, across_mm=400.0, core_along_mm=360.0, core_across_mm=360.0,
    ...     bending_along_nmm=1.0, bending_across_nmm=1.0, shear_n_mm=1e9)
    >>> round(float(strips(even, True).normal_n_mm), 2)  # 4 strips of 12 D b / g3, and 40 D / g2 for the corners
    2.26
    """
    p = _alike(plate)
    found = parts(p, p.bending_across_nmm / p.shear_n_mm, clamped)
    return _back(plate, found.push, *(side + turn for side, turn in zip(found.sides, found.turns, strict=True)))


def parts(p: Plate, soft_mm2: Num, clamped: bool) -> Parts:
    """Return the parts of `strips` of a plate that bends alike in both directions; soft: bending over shear stiffness.

    >>> even = Plate(along_mm=400.0, across_mm=400.0, core_along_mm=360.0, core_across_mm=360.0,
    ...     bending_along_nmm=1.0, bending_across_nmm=1.0, shear_n_mm=1e9)
    >>> found = parts(even, 1e12, True)  # so soft that the sides withstand nothing
    >>> found.sides[0] < 1e-5, round(found.turns[0], 1)  # (2 + 0.7) b / g, and 2.5 for the corners
    (True, 51.1)
    """
    length, width, d = p.core_along_mm, p.core_across_mm, p.bending_across_nmm
    gx, gy = (p.along_mm - length) / 2.0, (p.across_mm - width) / 2.0
    push_x, side_x = _ends(width, length / 2.0, gx, d, soft_mm2, clamped)
    push_y, side_y = _ends(length, width / 2.0, gy, d, soft_mm2, clamped)
    # The corners, no farther off than the nearer of their sides.
    e = 2.0 * gx * gy / (gx + gy)
    corner = (40.0 if clamped else 12.0) * d / (e * e + (12.0 if clamped else 3.0) * soft_mm2)
    sides = (
        side_x + push_y * length * length / 12.0 + corner * ((length + e) / 2.0) ** 2,
        side_y + push_x * width * width / 12.0 + corner * ((width + e) / 2.0) ** 2,
    )
    # The normal turns as a sheet in its own plane moves: strips beside the core are sheared, those at its ends pulled.
    x, y = width / gx, length / gy
    if clamped:
        return Parts(push_x + push_y + corner, sides, (d * (2.0 * x + 0.7 * y + 2.5), d * (2.0 * y + 0.7 * x + 2.5)))
    r = gx / gy
    return Parts(
        push_x + push_y + corner, sides, (d * (0.7 * y + 1.4 * r / (1.0 + 0.6 * r)), d * (0.7 * x + 1.4 / (r + 0.6)))
    )


def _ends(width: Num, half: Num, gap: Num, d: Num, soft_mm2: Num, clamped: bool) -> tuple[Num, Num]:
    """Push of the two strips on opposite sides of a core, as beams with shear, and what their ends' going up and down
    withstands of a tilt."""
    k, shear = 2.0 * width * d / gap**3, 12.0 * soft_mm2 / gap**2
    if clamped:
        k = k / (1.0 + shear)
        return 12.0 * k, k * (12.0 * half * (half + gap) + 3.0 * gap * gap)
    k = 3.0 * k / (1.0 + shear / 4.0)
    return k, k * (half + gap) ** 2


def table_factors(plate: Plate, clamped: bool) -> Floats:
    """Return the natural logarithms of the factors on `strips`: force, tilt along, tilt across; shape (3, ...).

    >>> wide = Plate(along_mm=400.0, across_mm=400.0, core_along_mm=380.0, core_across_mm=380.0,
    ...     bending_along_nmm=1.0, bending_across_nmm=1.0, shear_n_mm=1e9)
    >>> np.abs(table_factors(wide, True)).max() < 0.03  # a narrow gap all round: strips are nearly all of it
    np.True_
    """
    whole = _alike(plate)
    beyond = _beyond(whole)
    p = _cut(whole) if clamped and np.any(beyond > 1.0) else whole
    found, own_strips = (parts(q, q.bending_across_nmm / q.shear_n_mm, clamped) for q in (p, whole))
    places = np.broadcast_arrays(*_places(p), *softness(p, clamped))
    edge = "clamped" if clamped else "supported"
    sizes = (*_table()[f"{edge} push"].shape, *(_table()[f"{edge} sides"].shape[-1],) * 2)
    x, y, gaps, *soft = (_waves(np.ravel(v), n) for v, n in zip(places, sizes, strict=True))
    at, turned = [x, y, gaps], [y, x, gaps * (-1.0) ** np.arange(len(gaps))[:, None]]

    def factor(part: str, way: list[Floats], own: Floats | None = None) -> Floats:
        out = _sum(_table()[f"{edge} {part}"], way if own is None else [*way, own])
        if plate.mixed < 1.0:
            # What the sides withstand by shear alone does not ask how the plate bends.
            bends = 1.0 if own is None else 1.0 - ((own[1] + 1.0) / 2.0) ** 2
            out = out + bends * _less_mixed(_sum(_table()[f"{edge} planks {part}"], way), plate.mixed)
        return out.reshape(places[0].shape)

    logs = [factor("push", at, soft[0]) + np.log(found.push / own_strips.push)]
    sums = (side + turn for side, turn in zip(own_strips.sides, own_strips.turns, strict=True))
    for way, side, turn, own, of_strips in zip((at, turned), found.sides, found.turns, soft[1:], sums, strict=True):
        both = side * np.exp(factor("sides", way, own)) + turn * np.exp(factor("turning", way))
        logs.append(np.log(both / of_strips))
    safe = 0.0 if clamped else _SAFE_BEYOND * np.log(beyond)
    return np.stack(np.broadcast_arrays(*logs)) - safe


def _beyond(p: Plate) -> Floats:
    """How many times the table's greatest ratio of gaps is that of a plate; 1 within the table."""
    gx, gy = (p.along_mm - p.core_along_mm) / 2.0, (p.across_mm - p.core_across_mm) / 2.0
    return np.maximum(np.maximum(gx / gy, gy / gx) / GAP_TO_GAP, 1.0)


def _cut(p: Plate) -> Plate:
    """A plate whose greater gap is cut to what the table spans: clamped nearer, it is never softer."""
    gx, gy = (p.along_mm - p.core_along_mm) / 2.0, (p.across_mm - p.core_across_mm) / 2.0
    return replace(
        p,
        along_mm=p.core_along_mm + 2.0 * np.minimum(gx, GAP_TO_GAP * gy),
        across_mm=p.core_across_mm + 2.0 * np.minimum(gy, GAP_TO_GAP * gx),
    )


def _less_mixed(planks: Floats, mixed: float) -> Floats:
    """Logarithm of the factor for a mixed stiffness under 1 from that at PLANKS. Stiffness over the mixed term is a
    curve that bends down: its chord is below it, also drawn on to 0."""
    k, share = np.exp(planks), (mixed - PLANKS) / (1.0 - PLANKS)
    out: Floats = np.log(np.maximum(k + share * (1.0 - k), k * min(mixed / PLANKS, 1.0)))
    return out


def _places(p: Plate) -> list[Floats]:
    """Where a plate is on the table's axes, -1 to 1: core over gap along and across, gap over gap."""
    gx, gy = (p.along_mm - p.core_along_mm) / 2.0, (p.across_mm - p.core_across_mm) / 2.0
    low, high = np.log(CORE_TO_GAP)
    pairs = ((p.core_along_mm, gx), (p.core_across_mm, gy))
    x = [(2.0 * np.log(core / gap) - low - high) / (high - low) for core, gap in pairs]
    x.append(np.log(gx / gy) / np.log(GAP_TO_GAP))
    return [np.clip(v, -1.0, 1.0) for v in np.broadcast_arrays(*(np.asarray(v, dtype=np.float64) for v in x))]


def softness(plate: Plate, clamped: bool) -> Floats:
    """Return how much of the give is shear's, -1 (thin) to 1 (all), of force, tilt along, tilt across; (3, ...). By
    the strips, each by its own: what a tilt along feels first may be a narrow gap that a tilt across hardly feels.

    >>> softness(Plate(along_mm=300.0, across_mm=300.0, core_along_mm=100.0, core_across_mm=100.0,
    ...     bending_along_nmm=1e7, bending_across_nmm=1e7, shear_n_mm=1e3), False).round(2)  # 2 sqrt(3/4) - 1
    array([0.73, 0.73, 0.73])
    """
    p = _alike(plate)
    found, thin = (parts(p, soft, clamped) for soft in (p.bending_across_nmm / p.shear_n_mm, 0.0))
    pairs = zip((found.push, *found.sides), (thin.push, *thin.sides), strict=True)
    out = np.broadcast_arrays(*(2.0 * np.sqrt(np.maximum(1.0 - a / b, 0.0)) - 1.0 for a, b in pairs))
    return np.stack(out)


def _alike(p: Plate) -> Plate:
    """The plate drawn together along so that both its bending stiffnesses are that across."""
    if p.bending_along_nmm is p.bending_across_nmm:
        return p
    k = (p.bending_across_nmm / p.bending_along_nmm) ** 0.25
    return Plate(
        along_mm=k * p.along_mm,
        across_mm=p.across_mm,
        core_along_mm=k * p.core_along_mm,
        core_across_mm=p.core_across_mm,
        bending_along_nmm=p.bending_across_nmm,
        bending_across_nmm=p.bending_across_nmm,
        shear_n_mm=k * k * p.shear_n_mm,
        mixed=p.mixed,
    )


def _back(p: Plate, normal: Num, along: Num, across: Num) -> Springs:
    """Springs of the plate as it is from those of the one drawn together."""
    if p.bending_along_nmm is p.bending_across_nmm:
        return Springs(normal, along, across)
    k = (p.bending_across_nmm / p.bending_along_nmm) ** 0.25
    return Springs(normal / k, along / k**3, across / k)


@functools.cache
def _table() -> dict[str, Floats]:
    """Coefficients of Chebyshev polynomials by edge and part: over core along, core across, gaps and, of push and
    sides, softness; of planks at PLANKS, thin ones. Tilts are those along. In ten-thousandths in the file."""
    out = {}
    for block in _TABLE.read_text(encoding="ascii").split("#")[1:]:
        head, _, body = block.partition("\n")
        name, _, shape = head.strip().rpartition(" ")
        sizes = tuple(int(n) for n in shape.split("x"))
        out[name] = np.array(body.split(), dtype=np.float64).reshape(sizes) * 1e-4
    return out


def _waves(x: Floats, n: int) -> Floats:
    """The first n polynomials at places -1..1, (n, places)."""
    out = [np.ones_like(x), x]
    while len(out) < n:
        out.append(2.0 * x * out[-1] - out[-2])
    return np.stack(out)


def _sum(table: Floats, waves: list[Floats]) -> Floats:
    """Sum of the polynomials of all the axes, of which each has its waves at the places, or more of them."""
    pairs = []
    for k in (0, 2):
        one, *other = (w[:n] for w, n in zip(waves[k : k + 2], table.shape[k : k + 2], strict=True))
        pairs.append((one[:, None] * other[0]).reshape(-1, one.shape[-1]) if other else one)
    out: Floats = (table.reshape(len(pairs[0]), -1) @ pairs[1] * pairs[0]).sum(axis=0)
    return out
