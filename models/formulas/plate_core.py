"""A rigid rectangular core (a palm) in the middle of a rectangular plate between stiffeners: what force and tilts it
withstands. N, mm, rad.

What a plate of strips would withstand, times a factor from a table that was worked out by finite elements with shear
(`python -m tests.plates.table`), moved by 2 % toward the end of the range that its edge stands for, clamped stiffer,
supported softer: within 4 % of them over the whole range, soft cores included, in the far corners 6 %, and never by
more than 2 % to the other side. Small deflection; the bulge of a bottom, which makes it stiffer, is left out.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from strutwright.models.arrays import Floats, Num

_TABLE = Path(__file__).with_name("plate_core.txt")
CORE_TO_GAP = (0.08, 40.0)
"""Core over gap, along and across, that the table spans; beyond it the factor of its end is taken."""
GAP_TO_GAP = 8.0
"""Gap along over gap across, and the reverse, likewise."""
SOFT_MOST = 99.0
"""Greatest share of shear in the give over that of bending (see `_softness`), likewise."""
SOFT_DRAWN = 4.0
"""How much the table's axis of softness is drawn out near none."""
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


def strips(plate: Plate, clamped: bool) -> Springs:
    """Return what four strips from the core's sides to the stiffeners and plain terms for the corners withstand: the
    measure of the table's factors; broadcasts.

    >>> even = Plate(along_mm=400.0, across_mm=400.0, core_along_mm=360.0, core_across_mm=360.0,
    ...     bending_along_nmm=1.0, bending_across_nmm=1.0, shear_n_mm=1e9)
    >>> round(float(strips(even, True).normal_n_mm), 2)  # 4 strips of 12 D b / g3, and 40 D / g2 for the corners
    2.26
    """
    p = _alike(plate)
    length, width, d = p.core_along_mm, p.core_across_mm, p.bending_across_nmm
    gx, gy = (p.along_mm - length) / 2.0, (p.across_mm - width) / 2.0
    soft = d / p.shear_n_mm
    push_x, tilt_x = _ends(width, length / 2.0, gx, d, soft, clamped)
    push_y, tilt_y = _ends(length, width / 2.0, gy, d, soft, clamped)
    corner = 1.0 / (gx * gy)
    c = (40.0 if clamped else 12.0) * d * corner / (1.0 + (12.0 if clamped else 3.0) * soft * corner)
    turn = (6.0 if clamped else 4.0) * d
    return _back(
        plate,
        push_x + push_y + c,
        tilt_x + push_y * length * length / 12.0 + c * ((length + gx) / 2.0) ** 2 + turn,
        tilt_y + push_x * width * width / 12.0 + c * ((width + gy) / 2.0) ** 2 + turn,
    )


def _ends(width: Num, half: Num, gap: Num, d: Num, soft: Num, clamped: bool) -> tuple[Num, Num]:
    """Push and tilt of the two strips on opposite sides of a core, as beams with shear."""
    k, shear = 2.0 * width * d / gap**3, 12.0 * soft / gap**2
    if clamped:
        k = k / (1.0 + shear)
        return 12.0 * k, k * (12.0 * half * (half + gap) + (4.0 + shear) * gap * gap)
    k = 3.0 * k / (1.0 + shear / 4.0)
    return k, k * (half + gap) ** 2


def table_factors(plate: Plate, clamped: bool) -> Floats:
    """Return the natural logarithms of the factors on `strips`: force, tilt along, tilt across; shape (3, ...).

    >>> wide = Plate(along_mm=400.0, across_mm=400.0, core_along_mm=380.0, core_across_mm=380.0,
    ...     bending_along_nmm=1.0, bending_across_nmm=1.0, shear_n_mm=1e9)
    >>> np.abs(table_factors(wide, True)).max() < 0.02  # a narrow gap all round: strips are nearly all of it
    np.True_
    """
    p = _alike(plate)
    gx, gy = (p.along_mm - p.core_along_mm) / 2.0, (p.across_mm - p.core_across_mm) / 2.0
    low, high = np.log(CORE_TO_GAP)
    pairs = ((p.core_along_mm, gx), (p.core_across_mm, gy))
    x = [(2.0 * np.log(core / gap) - low - high) / (high - low) for core, gap in pairs]
    x.append(np.log(gx / gy) / np.log(GAP_TO_GAP))
    x.append(2.0 * _softness(p.bending_across_nmm / p.shear_n_mm, gx, gy) - 1.0)
    at = [np.clip(v, -1.0, 1.0) for v in np.broadcast_arrays(*(np.asarray(v, dtype=np.float64) for v in x))]
    edge = "clamped" if clamped else "supported"
    out = _evaluated(_table()[edge], at)
    if plate.mixed < 1.0:
        # Stiffness over the mixed term is a curve that bends down: its chord is on the safe side, also drawn on to 0.
        planks = np.exp(_evaluated(_table()[f"{edge} planks"], at))
        share = (min(plate.mixed, 1.0) - PLANKS) / (1.0 - PLANKS)
        out = out + np.log(np.maximum(planks + share * (1.0 - planks), planks * min(plate.mixed / PLANKS, 1.0)))
    return out


def _softness(soft: Num, gx: Num, gy: Num) -> Num:
    """How soft a plate is by shear, from 0 (thin) to 1 at `SOFT_MOST`; soft: bending over shear stiffness, mm2."""
    root = np.sqrt(soft * (1.0 / gx**2 + 1.0 / gy**2))
    drawn: Num = np.log1p(SOFT_DRAWN * root) / np.log1p(SOFT_DRAWN * SOFT_MOST**0.5)
    return drawn


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
    """Coefficients of Chebyshev polynomials by edge: (2, core along, core across, gaps, softness), force and tilt
    along; in ten-thousandths in the file."""
    out = {}
    for block in _TABLE.read_text(encoding="ascii").split("#")[1:]:
        head, _, body = block.partition("\n")
        name, _, shape = head.strip().rpartition(" ")
        sizes = tuple(int(n) for n in shape.split("x"))
        out[name] = np.array(body.split(), dtype=np.float64).reshape(sizes) * 1e-4
    return out


def _evaluated(table: Floats, at: list[Floats]) -> Floats:
    """Force, tilt along and tilt across at places -1..1 on each axis of a table."""
    turned = [at[1], at[0], -at[2], *at[3:]]
    one, two = _sum(table, at), _sum(table[1:], turned)
    return np.stack([one[0], one[1], two[0]])


def _sum(table: Floats, at: list[Floats]) -> Floats:
    """Sum of the polynomials of all the axes; the first axis of the table is kept."""
    out = table
    for k in range(table.ndim - 1, 0, -1):
        waves = np.cos(np.arange(table.shape[k])[:, None] * np.arccos(np.ravel(at[k - 1])))
        out = out @ waves if out is table else (out * waves).sum(axis=-2)
    shape: Floats = out.reshape(len(table), *np.shape(at[0]))
    return shape
