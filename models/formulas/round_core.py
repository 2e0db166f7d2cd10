"""A rigid round core in the middle of a round plate of rings: what force and tilt it withstands, N, mm, rad.

Exact for small deflection: bending and transverse shear (Reissner and Mindlin's plate), rings of any stiffness joined
at their edges. Membrane action is left out, as is the bulge of a bottom: both would make it stiffer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Floats, Num

_HERE = math.pi / 64.0 * (np.arange(64) + 0.5)
_FAR = 0.1 * np.arange(140)


@dataclass(frozen=True, slots=True)
class Ring:
    """A ring of plate out to a radius (mm): bending stiffness (N mm), shear stiffness (N/mm), Poisson's ratio."""

    outer_mm: Num
    bending_nmm: Num
    shear_n_mm: Num
    poisson: float = 0.3


@dataclass(frozen=True, slots=True)
class CoreSprings:
    """What a rigid core in a plate withstands: force square to the plate, N/mm, and a tilt, N mm/rad."""

    push_n_mm: Num
    tilt_nmm: Num


def round_core(core_mm: Num, rings: Sequence[Ring], clamped: bool) -> CoreSprings:
    """Return the springs of a core of radius `core_mm` in rings of plate, the innermost first; broadcasts.

    clamped: whether the outermost edge is built in or simply supported. Checked against closed forms for one thin ring
    and against elements.

    >>> plate = Ring(300.0, 4.5011e6, 1e12)  # 16 mm of 12 GPa, without shear; thin-plate tables: 6898 and 1.3804e8
    >>> found = round_core(85.0, [plate], clamped=True)
    >>> round(float(found.push_n_mm), -1), round(float(found.tilt_nmm) / 1e8, 4)
    (6900.0, 1.3804)
    """
    shape = np.broadcast_shapes(
        np.shape(core_mm), *(np.shape(v) for r in rings for v in (r.outer_mm, r.bending_nmm, r.shear_n_mm))
    )

    def full(v: Num) -> Floats:
        return np.broadcast_to(np.asarray(v, dtype=np.float64), shape)

    core = full(core_mm)
    # In lengths of the core and stiffnesses of the innermost ring: powers of radii stay near 1.
    unit = full(rings[0].bending_nmm)
    scaled = [
        Ring(full(r.outer_mm) / core, full(r.bending_nmm) / unit, full(r.shear_n_mm) * core**2 / unit, r.poisson)
        for r in rings
    ]
    push = _solve(scaled, clamped, _push_basis, _PUSH)
    tilt = _solve(scaled, clamped, _tilt_basis, _TILT)
    # The last term of each basis carries the load: 8 pi D of r2 ln r, 4 pi D of r ln r.
    return CoreSprings(8.0 * math.pi * np.abs(push) * unit / core**2, 4.0 * math.pi * np.abs(tilt) * unit)


_PUSH = ((1.0, 0.0), (0, 1), (0, 2))
_TILT = ((1.0, -1.0, 1.0), (0, 1, 2), (0, 3, 2))
"""Movements of the core's rim; rows held at a clamped edge and at a simply supported one. The first half of the rows of
a basis are movements, the second the forces that go with them."""


def _solve(rings: list[Ring], clamped: bool, basis, rule) -> Floats:  # type: ignore[no-untyped-def]
    """The amount of each basis' last term in the innermost ring, for one unit of movement of the core."""
    moved, held = rule[0], rule[1] if clamped else rule[2]
    half = len(moved)
    n = 2 * half * len(rings)
    shape = np.shape(rings[0].outer_mm)
    a, rhs = np.zeros((*shape, n, n)), np.zeros((*shape, n))
    rhs[..., :half] = moved
    row, inner = half, np.ones(shape)
    for k, ring in enumerate(rings):
        columns = slice(2 * half * k, 2 * half * (k + 1))
        inside, outside = basis(inner, ring, inner), basis(np.asarray(ring.outer_mm), ring, inner)
        if k == 0:
            a[..., :half, columns] = inside[..., :half, :]
        else:
            a[..., row : row + 2 * half, columns] = -inside
            row += 2 * half
        if k == len(rings) - 1:
            a[..., row : row + half, columns] = outside[..., held, :]
        else:
            a[..., row : row + 2 * half, columns] = outside
        inner = np.asarray(ring.outer_mm)
    found = np.linalg.solve(a, rhs[..., None])[..., 0]
    out: Floats = found[..., 2 * half - 1]
    return out


def _push_basis(r: Floats, ring: Ring, _: Floats) -> Floats:
    """Movement, slope, bending moment and shear at a radius, of W = 1, r2, ln r and r2 ln r: (..., 4, 4)."""
    d, nu, log = np.asarray(ring.bending_nmm), ring.poisson, np.log(r)
    soft = d / np.asarray(ring.shear_n_mm)
    nil, one = np.zeros_like(r), np.ones_like(r)
    w = (one, r**2, log, r**2 * log)
    slope = (nil, 2.0 * r, 1.0 / r, r * (2.0 * log + 1.0))
    bend = (nil, 2.0 * one, -1.0 / r**2, 2.0 * log + 3.0)
    rows = (
        tuple(f - soft * lap for f, lap in zip(w, (nil, 4.0 * one, nil, 4.0 * log + 4.0), strict=True)),
        slope,
        tuple(-d * (b + nu * s / r) for b, s in zip(bend, slope, strict=True)),
        (nil, nil, nil, -4.0 * d / r),
    )
    return np.moveaxis(np.array(rows), (0, 1), (-2, -1))


def _tilt_basis(r: Floats, ring: Ring, inner: Floats) -> Floats:
    """Movement, turns of the normal along and round the radius, moment, twist and shear at a radius, of W = r, r3, 1/r
    and r ln r and of the edge effect X = I1, K1: (..., 6, 6). The term that carries the load stands last."""
    d, s, nu = np.asarray(ring.bending_nmm), np.asarray(ring.shear_n_mm), ring.poisson
    soft, log = d / s, np.log(r)
    rate = np.sqrt(2.0 / (soft * (1.0 - nu)))
    nil, one = np.zeros_like(r), np.ones_like(r)
    grows, falls = _bessel(rate * r)
    # Each edge effect counts as 1 at the edge where it is largest.
    up, down = np.exp(rate * (r - np.asarray(ring.outer_mm))), np.exp(-rate * (r - inner))
    waves = ((nil,) * 3,) * 3 + ((grows[0] * up, rate * grows[1] * up), (falls[0] * down, rate * falls[1] * down))
    w = (r, r**3, 1.0 / r, nil, nil, r * log)
    first = (one, 3.0 * r**2, -1.0 / r**2, nil, nil, log + 1.0)
    second = (nil, 6.0 * r, 2.0 / r**3, nil, nil, 1.0 / r)
    lap = (nil, 8.0 * r, nil, nil, nil, 2.0 / r)
    lap_slope = (nil, 8.0 * one, nil, nil, nil, -2.0 / r**2)
    x = (nil, nil, nil, waves[3][0], waves[4][0], nil)
    x1 = (nil, nil, nil, waves[3][1], waves[4][1], nil)
    columns = []
    for k in range(6):
        x2 = (rate**2 + 1.0 / r**2) * x[k] - x1[k] / r
        along, round_ = -first[k] + x[k] / r, w[k] / r - x1[k]
        along1 = -second[k] + x1[k] / r - x[k] / r**2
        round1 = first[k] / r - w[k] / r**2 - x2
        columns.append(
            (
                w[k] - soft * lap[k],
                along,
                round_,
                d * (along1 + nu * (along + round_) / r),
                d * (1.0 - nu) / 2.0 * (round1 - (along + round_) / r),
                -d * lap_slope[k] + s * x[k] / r,
            )
        )
    return np.moveaxis(np.array(columns), (0, 1), (-1, -2))


def _bessel(x: Floats) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
    """I1 and its slope over e^x, and K1 and its slope over e^-x; by their integrals, and their series far out."""
    near, far = np.minimum(x, 40.0)[..., None], np.maximum(x, 40.0)
    close = np.exp(near * (np.cos(_HERE) - 1.0))
    away = np.exp(-near * np.minimum(np.cosh(_FAR) - 1.0, 1e9)) * np.where(_FAR == 0.0, 0.05, 0.1)
    out = []
    for order in (0, 1):
        rising = (close * np.cos(order * _HERE)).mean(axis=-1)
        falling = (away * np.cosh(order * _FAR)).sum(axis=-1)
        terms, sign_down = [np.ones_like(far)], [np.ones_like(far)]
        for k in range(1, 9):
            step = (4.0 * order**2 - (2 * k - 1) ** 2) / (k * 8.0 * far)
            terms.append(-terms[-1] * step)
            sign_down.append(sign_down[-1] * step)
        out.append(
            (
                np.where(x > 40.0, sum(terms) / np.sqrt(2.0 * math.pi * far), rising),
                np.where(x > 40.0, sum(sign_down) * np.sqrt(math.pi / (2.0 * far)), falling),
            )
        )
    (i0, k0), (i1, k1) = out
    return (i1, i0 - i1 / x), (k1, -k0 - k1 / x)
