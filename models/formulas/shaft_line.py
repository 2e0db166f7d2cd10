"""A shaft lying on its bearings: their loads, its slope in the strut bearing, the pressure there, its open coupling.

From the foremost bearing aft to the strut bearing, with an end beyond each that hangs free. Beam theory without shear;
bearings carry a shaft that lies in them. Lengths mm, forces N, slopes rad: positive where the shaft's aft end is up.
Heights are over one straight line, up positive. Moments are positive where the shaft sags. Broadcasts over candidates.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from strutwright.models.arrays import Num


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Line:
    """A shaft on its bearings. spans_mm: from the foremost bearing aft; heights_mm: of the bearings, one more.

    aft_mm, aft_n: overhang beyond the strut bearing, propeller's weight at its end; forward_mm, forward_n: beyond the
    foremost bearing, and half a coupling. held: that the forward end is held level, at forward_height_mm.
    tilting_nmm: what the strut bearing resists a tilt of the shaft against its own slope, bearing_slope, per rad.
    """

    spans_mm: tuple[Num, ...]
    heights_mm: tuple[Num, ...]
    weight_n_mm: Num
    stiffness_nmm2: Num
    aft_mm: Num = 0.0
    aft_n: Num = 0.0
    forward_mm: Num = 0.0
    forward_n: Num = 0.0
    held: bool = False
    forward_height_mm: Num = 0.0
    tilting_nmm: Num = 0.0
    bearing_slope: Num = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Bent:
    """How a shaft lies: loads of the bearings from the foremost aft, negative where it would lift; slopes over the
    foremost and in the strut bearing; moment that the strut bearing's tilting puts into it; moments in it at the
    bearings."""

    loads_n: tuple[Num, ...]
    slope_forward: Num
    slope: Num
    tilting_nmm: Num
    moments_nmm: tuple[Num, ...] = ()


def bend(line: Line) -> Bent:
    """Return how the shaft lies, by the equations of three moments (Clapeyron; any text on beams).

    >>> middle = Line(spans_mm=(1200.0, 1200.0), heights_mm=(0.0, 0.0, 0.0), weight_n_mm=0.151784,
    ...     stiffness_nmm2=5.92117e10, aft_mm=200.0, aft_n=300.0)
    >>> [round(n, 2) for n in bend(middle).loads_n], round(1000.0 * bend(middle).slope, 4)  # beam elements: the same
    ([81.44, 148.88, 464.32], -0.2803)
    """
    q, stiff, spans, heights = line.weight_n_mm, 6.0 * line.stiffness_nmm2, line.spans_mm, line.heights_mm
    aft = -(line.aft_n * line.aft_mm + q * line.aft_mm**2 / 2.0)
    rises = [(h - g) / s for g, h, s in zip(heights[:-1], heights[1:], spans, strict=True)]
    sags = [q * s * s * s / 4.0 for s in spans]
    rows: list[_Row] = []
    if line.held:
        c = line.forward_mm
        own = q * c * c * c / 4.0
        lead = (heights[0] - line.forward_height_mm) / c
        rows.append((0.0, 2.0 * c, c, stiff * lead - own))
        rows.append((c, 2.0 * (c + spans[0]), spans[0], stiff * (rises[0] - lead) - own - sags[0]))
    else:
        rows.append((0.0, 1.0, 0.0, -(line.forward_n * line.forward_mm + q * line.forward_mm**2 / 2.0)))
    for n, (a, b) in enumerate(pairwise(spans)):
        rows.append((a, 2.0 * (a + b), b, stiff * (rises[n + 1] - rises[n]) - sags[n] - sags[n + 1]))
    last, by = spans[-1], line.tilting_nmm / stiff
    tilted = aft + by * (stiff * (line.bearing_slope - rises[-1]) - sags[-1])
    rows.append((by * last, 1.0 + 2.0 * by * last, 0.0, tilted))
    moments = _three_by_three(rows)
    first, *_ = held = moments[1:] if line.held else moments
    loads = [q * (a + b) / 2.0 for a, b in zip((0.0, *spans), (*spans, 0.0), strict=True)]
    for n, s in enumerate(spans):
        shear = (held[n + 1] - held[n]) / s
        loads[n], loads[n + 1] = loads[n] + shear, loads[n + 1] - shear
    loads[-1] = loads[-1] + q * line.aft_mm + line.aft_n
    if line.held:
        loads[0] = loads[0] + q * line.forward_mm / 2.0 + (moments[0] - first) / line.forward_mm
    else:
        loads[0] = loads[0] + q * line.forward_mm + line.forward_n
    front = rises[0] - (sags[0] + 2.0 * first * spans[0] + held[1] * spans[0]) / stiff
    back = rises[-1] + (sags[-1] + held[-2] * last + 2.0 * held[-1] * last) / stiff
    return Bent(tuple(loads), front, back, held[-1] - aft, tuple(held))


def slopes(line: Line, lies: Bent) -> tuple[Num, ...]:
    """Return the slope of a shaft over each of its bearings, from the foremost aft. lies: by `bend` of the line.

    >>> raised = Line(spans_mm=(1200.0, 1200.0), heights_mm=(0.0, 1.0, 0.0), weight_n_mm=0.0, stiffness_nmm2=5.92117e10)
    >>> [round(1000.0 * slope, 3) + 0.0 for slope in slopes(raised, bend(raised))]  # 3 / 2 l, beam tables
    [1.25, 0.0, -1.25]
    """
    made = []
    for n, s in enumerate(line.spans_mm):
        rise = (line.heights_mm[n + 1] - line.heights_mm[n]) / s
        sag = line.weight_n_mm * s * s * s / 4.0
        turned = sag + (2.0 * lies.moments_nmm[n] + lies.moments_nmm[n + 1]) * s
        made.append(rise - turned / (6.0 * line.stiffness_nmm2))
    return (*made, lies.slope)


_Row = tuple[Num, Num, Num, Num]
"""What the moments before, at and behind a bearing count, and what they make."""


def _three_by_three(rows: Sequence[_Row]) -> list[Num]:
    """Solve a chain of equations of three neighbours each (Thomas)."""
    kept: list[tuple[Num, Num]] = []
    carry, made = 0.0 * rows[0][1], 0.0 * rows[0][1]
    for before, at, behind, right in rows:
        left = at - before * carry
        carry, made = behind / left, (right - before * made) / left
        kept.append((carry, made))
    out = [kept[-1][1]]
    for carry, made in reversed(kept[:-1]):
        out.append(made - carry * out[-1])
    return out[::-1]


def influence_n_mm(line: Line) -> tuple[tuple[Num, ...], ...]:
    """Return by how much each bearing's load grows, N, when a bearing is raised by 1 mm: rows by the bearing raised.

    A row sums to nothing, and so does its moment; the table is symmetric.

    >>> two = Line(spans_mm=(1200.0, 1200.0), heights_mm=(0.0, 0.0, 0.0), weight_n_mm=0.15, stiffness_nmm2=5.92117e10)
    >>> [[round(n, 1) for n in row] for row in influence_n_mm(two)]  # 3 E I / 2 l^3, beam tables
    [[51.4, -102.8, 51.4], [-102.8, 205.6, -102.8], [51.4, -102.8, 51.4]]
    """
    count = len(line.heights_mm)
    bare = replace(line, weight_n_mm=0.0 * line.weight_n_mm, aft_n=0.0, forward_n=0.0)
    return tuple(
        bend(replace(bare, heights_mm=tuple(float(k == raised) for k in range(count)))).loads_n
        for raised in range(count)
    )


@dataclass(frozen=True, slots=True, eq=False)
class Pressed:
    """How a shaft presses on a bearing: greatest over mean pressure, the share of the length that carries, and its
    slope against the bearing."""

    peak_over_mean: Num
    carrying: Num
    slope: Num


def pressed(line: Line, length_mm: Num, rubber_n_mm2: Num) -> Pressed:
    """Return how the shaft presses on the strut bearing as on a bed of springs. rubber_n_mm2: N/mm per mm of length.

    A straight piece of shaft on a bed: the load lies e off the middle, the pressure is as 1 + 6 e / L; where e is over
    L / 6 one end lies free and the other presses with 4 L / 3 (L - 2 e). To that comes what the shaft bends within the
    bearing. From 2 % under beam elements on springs that only push to 4 % over them; over by more where the shaft is
    slender and hangs on one end.

    >>> one = Line(spans_mm=(1200.0, 1200.0), heights_mm=(0.0, 0.0, 0.0), weight_n_mm=0.151784,
    ...     stiffness_nmm2=5.92117e10, aft_mm=200.0, aft_n=300.0)
    >>> round(float(pressed(one, 200.0, 25.0).peak_over_mean), 2)  # beam elements 1.397
    1.4
    """
    whole = rubber_n_mm2 * length_mm**3 / 12.0
    spring = rubber_n_mm2 * length_mm
    free, full = (_sunk(replace(line, tilting_nmm=k), spring) for k in (0.0 * whole, whole))
    load, room = np.maximum(full.load_n, 1e-9), np.abs(free.slope - line.bearing_slope)
    # By how much a moment there turns the shaft back, per N mm; then the slope at which part of the bed makes as much.
    moment = np.maximum(np.abs(full.tilting_nmm), 1e-12)
    back = np.maximum(room - np.abs(full.slope - line.bearing_slope), 0.0) / moment
    touching = moment / load <= length_mm / 6.0
    root = np.sqrt(np.maximum(room, 1e-12))
    lack, give = back * load * length_mm / 2.0 - room, back * load * np.sqrt(2.0 * load / rubber_n_mm2) / 3.0
    for _ in range(6):
        # y^3 + lack y - give = 0 of the root y of the slope, by Newton's method from above.
        square = root * root
        root = (2.0 * square * root + give) / np.maximum(3.0 * square + lack, 1e-18)
    slope = np.where(touching, np.abs(full.slope - line.bearing_slope), root**2)
    carrying = np.where(touching, 1.0, np.minimum(np.sqrt(2.0 * load / (rubber_n_mm2 * root**2)) / length_mm, 1.0))
    peak = np.where(touching, 1.0 + 6.0 * moment / (load * length_mm), 2.0 / carrying)
    aft = full.tilting_nmm > 0.0
    shift = np.where(touching, moment, load * length_mm * (0.5 - carrying / 3.0)) * np.where(aft, 1.0, -1.0)
    peak = peak + _bends_more(line, length_mm, spring, load, shift)
    return Pressed(peak[()], carrying[()], slope[()])


def _bends_more(line: Line, length_mm: Num, spring_n_mm: Num, load_n: Num, shift_nmm: Num) -> Num:
    """What the bending of the shaft within the bearing adds to its greatest over mean pressure.

    Its ends press more where it is bent down over the bearing: by its mean curvature, and by how that changes along it.
    shift_nmm: load by how far it lies aft of the middle. Where it lies forward beam elements have half as much more.
    """
    hung = line.aft_n + line.weight_n_mm * line.aft_mm
    over = line.aft_n * line.aft_mm + line.weight_n_mm * line.aft_mm**2 / 2.0
    mean = over - load_n * length_mm / 6.0 - shift_nmm / 2.0
    changes = (load_n - 2.0 * hung) / 2.0 + shift_nmm / length_mm
    ahead = shift_nmm < 0.0
    bent = length_mm * length_mm / 12.0 * (mean + np.where(ahead, -0.1, 0.1) * length_mm * changes)
    more: Num = np.where(ahead, 1.5, 1.0) * spring_n_mm * bent / (line.stiffness_nmm2 * load_n)
    return np.maximum(more, 0.0)


@dataclass(frozen=True, slots=True)
class _Aft:
    """Load, slope and moment of the strut bearing."""

    load_n: Num
    slope: Num
    tilting_nmm: Num


def _sunk(line: Line, spring_n_mm: Num) -> _Aft:
    """How the shaft lies in a strut bearing that it presses down, by as much as its load makes it."""
    *others, last = line.heights_mm
    one, raised = bend(line), bend(replace(line, heights_mm=(*others, last + 1.0)))
    down = one.loads_n[-1] / (spring_n_mm + raised.loads_n[-1] - one.loads_n[-1])
    return _Aft(
        one.loads_n[-1] - down * (raised.loads_n[-1] - one.loads_n[-1]),
        one.slope - down * (raised.slope - one.slope),
        one.tilting_nmm - down * (raised.tilting_nmm - one.tilting_nmm),
    )


@dataclass(frozen=True, slots=True, eq=False)
class OpenCoupling:
    """A shaft's half of a coupling hanging free: below the straight line, and how far its face leans, open below."""

    sag_mm: Num
    slope: Num


def open_coupling(line: Line) -> OpenCoupling:
    """Return how the forward end hangs, with half its coupling, nothing holding it. The gap is the slope by the flange.

    >>> hung = open_coupling(Line(spans_mm=(1200.0,), heights_mm=(0.0, 0.0), weight_n_mm=0.151784, aft_mm=200.0,
    ...     stiffness_nmm2=5.92117e10, aft_n=300.0, forward_mm=1200.0, forward_n=40.0))
    >>> round(hung.sag_mm, 4), round(1000.0 * hung.slope, 5)  # beam elements: the same
    (2.3626, 2.31553)
    """
    c, q, w, stiff = line.forward_mm, line.weight_n_mm, line.forward_n, line.stiffness_nmm2
    slope = bend(line).slope_forward
    own = (q * c**4 / 8.0 + w * c**3 / 3.0) / stiff
    return OpenCoupling(own + slope * c - line.heights_mm[0], slope + (q * c**3 / 6.0 + w * c**2 / 2.0) / stiff)
