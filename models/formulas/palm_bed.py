"""A bolted palm on the bed that its hull is: what a moment, a pull or a press does to bolts, plate and hull.

The bed pushes only, bolts pull only (springs E A / grip, no preload: it delays the parting, not what follows). The
arm's root is rigid, the palm beside it a plate. A stiff palm tips about a neutral axis found from the springs; one that
bends presses the hull nearer to the root, which shortens the lever of the bolts, and pries on them at its other edge.
Tipping about the palm's toe is the limit of a rigid hull and a rigid palm: the least that the bolts can carry.

N, mm, MPa; bed in N/mm3. Balance of forces and beam theory; the reach of the pressed side is fitted to beams with
contact.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np

from strutwright.models.arrays import Num, Six, add, greatest, mul

FITTED, FITTED_PRESSED, FITTED_LIFTED = 0.17, 0.6, 0.3
"""Added to tension, and to bending on both sides of the root, where the palm bends: what the fit of the reach falls
short of beams with contact."""

SHIELDED = 0.8
"""Added to the tension where a row nearer to the root holds the plate and leaves nothing to one behind it."""

PRESSED, NARROW, NARROW_FROM = 0.12, 3.5, 0.3
"""Added to the pressure where the palm bends, and for what its pressed share is short of the last: near bolts pry."""

AT_EDGE = 0.48
"""Push of the lifted edge over the bolt's pull, for each spread that the bolt stands from the root."""

LEFT = 0.3
"""Share of the moment of the pulls that prying never takes away."""

PRIED_WITHIN = 1.2
"""Beyond a bolt a palm that bends comes to the hull within so many spreads."""

CORNER = 0.5
"""Share that a corner beyond the root presses of what it would if its two sides did so each by itself: of plates on a
bed by elements."""

OBLIQUE_FROM, OBLIQUE = 0.45, 1.6
"""On a bed so soft that a palm presses it over more than this share of its length, bending over a corner pulls harder
than the sum of both ways: each is raised by so much of what is beyond that share. Fitted to grids of cells."""


def bed_n_mm3(hull_mm: Num, hull_mpa: Num, bedding_mm: Num, bedding_mpa: Num) -> Num:
    """Stiffness of a hull across its thickness and of the bedding on it, per area, N/mm3: 1 / (h / E + b / E_b).

    Springs in series.

    >>> round(bed_n_mm3(16.0, 6350.0, 2.0, 2000.0), 1)  # laminate on thickened resin
    284.1
    """
    return 1.0 / (hull_mm / hull_mpa + bedding_mm / bedding_mpa)


def bolt_spring_n_mm(modulus_mpa: Num, stress_mm2: Num, grip_mm: Num) -> Num:
    """Stiffness of a bolt between head and nut, N/mm: E A / grip.

    >>> bolt_spring_n_mm(117_000.0, 58.0, 30.0)
    226200.0
    """
    return modulus_mpa * stress_mm2 / grip_mm


def plate_bending_nmm(modulus_mpa: Num, thickness_mm: Num) -> Num:
    """Bending stiffness of a plate per mm of its width, E t^3 / 12, N mm, free to curl across.

    >>> plate_bending_nmm(114e3, 12.0)
    16416000.0
    """
    return modulus_mpa * thickness_mm * thickness_mm * thickness_mm / 12.0


def spread_mm(bending_nmm: Num, bed: Num) -> Num:
    """Length over which a plate spreads a line of force on its bed, (4 E I / k)^(1/4), mm; beam on an elastic bed.

    >>> round(float(spread_mm(114e3 * 14.0**3 / 12.0, 400.0)), 1)
    22.6
    """
    length: Num = np.sqrt(np.sqrt(4.0 * bending_nmm / bed))
    return length


def pressed_mm2(
    area_mm2: Num, root_mm: tuple[Num, Num], beyond_mm: tuple[Sequence[Num], Sequence[Num]], spread: Num
) -> Num:
    """Area of the hull, mm2, that a press through the root counts on, as if the palm were rigid there.

    root_mm: its size either way; beyond_mm: of the palm beyond it on either side of each; spread: of the plate on its
    bed, over which a plate that is held straight by the root presses as if it were rigid (beam on an elastic bed). At
    most the palm's own area. The pressure is then 4 % under to 40 % over that of plates by elements.

    >>> round(float(pressed_mm2(12_904.0, (70.7, 28.0), ([44.6, 44.7], [32.0, 32.0]), 19.5)))  # 0.51 of the palm
    6589
    """
    u, v = (add(*(np.minimum(np.maximum(d, 0.0), spread) for d in sides)) for sides in beyond_mm)
    area: Num = root_mm[0] * root_mm[1] + root_mm[0] * v + root_mm[1] * u + CORNER * u * v
    return np.minimum(area, area_mm2)


def pried_mpa(bolt_n: Num, lever_mm: Num, width_mm: Num, spread: Num) -> Num:
    """Greatest pressure, MPa, of a palm's edge beyond a bolt that holds it while it is pulled straight off.

    bolt_n: pull on the bolt without prying; lever_mm: from it to the root; width_mm: of the plate that it bends;
    spread: of the plate on its bed. The strip bends from the root as a cantilever, F m^2 / (2 E I), which nothing
    hinders; beyond the bolt, which does not give, it presses as a plate does that is turned so at its end: at most that
    turn times the spread on the bed. With k = 4 E I / s^4: 2 F m^2 / (w s^3). On the safe side of plates and cells with
    contact of any outline, thickness and bed by a fifth at least, and by four times in the middle: bolts and bed give,
    and the hull hinders the turn. A palm that is rigid on its bed presses nothing.

    >>> round(float(pried_mpa(1250.0, 22.2, 50.0, 31.6)), 2)  # an eighth of 10 kN
    0.78
    """
    return 2.0 * bolt_n * lever_mm * lever_mm / (width_mm * spread * spread * spread)


def on_strip_n_mm(spring_n_mm: Num, lever_mm: Num, bending_nmm2: Num) -> Num:
    """Stiffness of a bolt at the end of a strip of plate that stands out from the root, N/mm: springs in series.

    bending_nmm2: E I of the strip. Cantilever, lever^3 / (3 E I).

    >>> round(on_strip_n_mm(1000.0, 30.0, 9e6))  # as stiff as the bolt
    500
    """
    return 1.0 / (1.0 / spring_n_mm + lever_mm * lever_mm * lever_mm / (3.0 * bending_nmm2))


def neutral_axis_mm(rows_mm: Sequence[Num], springs_n_mm: Sequence[Num], bed_n_mm2: Num) -> Num:
    """Distance of the neutral axis of a rigid palm from its pressed edge, mm.

    rows_mm: bolts from that edge; those behind it (below 0) do nothing. bed_n_mm2: bed times width. The bed's push
    equals the bolts' pull, b x^2 / 2 = sum k (y - x) over the bolts beyond x: solved exactly for the bolts taken to
    pull, of which those within x are dropped until none is left.

    >>> round(float(neutral_axis_mm([18.0, 92.0], [678_600.0, 678_600.0], 400.0 * 210.0)), 3)
    31.313
    """
    if all(np.ndim(y) == 0 for y in rows_mm):  # of one strut: bolts that stand alike are one
        alike: dict[float, Num] = {}
        for y, k in zip(rows_mm, springs_n_mm, strict=True):
            alike[float(y)] = alike.get(float(y), 0.0) + k
        rows_mm, springs_n_mm = list(alike), list(alike.values())
    x: Num = 0.0
    for _ in range(len(rows_mm)):
        pulls = [np.where(y > x, k, 0.0) for y, k in zip(rows_mm, springs_n_mm, strict=True)]
        first, spring = add(*(k * y for k, y in zip(pulls, rows_mm, strict=True))), add(*pulls)
        was, x = x, 2.0 * first / (spring + np.sqrt(spring * spring + 2.0 * bed_n_mm2 * first))
        if np.array_equal(was, x):
            break
    return x


class Prying(NamedTuple):
    """Of a bolt on a strip whose edge touches the hull, per mm that the strip would move: its pull and the edge's
    push, N, and its pull when the edge is free."""

    bolt: Num
    edge: Num
    free: Num


def pried(spring_n_mm: Num, bending_nmm2: Num, m_mm: Num, n_mm: Num, edge_n_mm: Num, lifts: tuple[Num, Num]) -> Prying:
    """Pull on a bolt at m from the root on a strip that ends n beyond it, and push at that end.

    lifts: how far bolt and end would move away from the hull with a rigid strip, mm. edge_n_mm: spring of the hull
    under the end. Cantilever with two forces; the end pushes only where it comes to the hull. When both lift alike that
    is where m^2 n k / (2 E I) exceeds 1.

    >>> t = 8.0  # 70 wide of bronze, 19 and 18 mm: the spring's pull of 10 kN grows by a sixth
    >>> bolt, edge, _ = pried(226_200.0, 114e3 * 70.0 * t**3 / 12.0, 19.0, 18.0, 1e12, (1.0, 1.0))
    >>> round(float(bolt / (bolt - edge)), 2)
    1.18
    """
    at_bolt = m_mm * m_mm * m_mm / (3.0 * bending_nmm2) + 1.0 / spring_n_mm
    across = m_mm * m_mm * (m_mm / 3.0 + n_mm / 2.0) / bending_nmm2
    whole = m_mm + n_mm
    at_end = whole * whole * whole / (3.0 * bending_nmm2) + 1.0 / edge_n_mm
    bolt, end = lifts
    push = np.maximum((across * bolt - at_bolt * end) / (at_bolt * at_end - across * across), 0.0)
    free = bolt / at_bolt
    return Prying(free + push * across / at_bolt, push, free)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plate:
    """What a palm is to its bolts, one way of tipping.

    root_mm: from the pressed edge to the root; beyond_mm: to the root's far side; far_mm: to the far edge. width_mm:
    that presses. bending_nmm: E t^3 / 12. soft, stiff: least and greatest bed, N/mm3. bolt_n_mm: spring of a bolt
    alone. strip_mm: width of plate to a bolt.
    """

    root_mm: Num
    beyond_mm: Num
    far_mm: Num
    width_mm: Num
    bending_nmm: Num
    soft: Num
    stiff: Num
    bolt_n_mm: Num
    strip_mm: Num

    spread_mm: Num = field(init=False)
    """Over which the bed spreads a line of force, (4 E I / k)^(1/4)."""

    def __post_init__(self) -> None:
        """Work out the spread, which much is measured by."""
        object.__setattr__(self, "spread_mm", spread_mm(self.bending_nmm, self.stiff))


class Tipped(NamedTuple):
    """What a moment of 1 N mm does: tension of the most loaded bolt, N, pressure, MPa, and bending of the palm along
    the root's pressed side, N mm per mm of width. share: of its reach over which the palm presses the hull."""

    tension: Num
    pressure: Num
    bending: Num
    share: Num

    def among_others(self, apart: Num) -> Tipped:
        """Return it as one of several ways that are added; apart: its tension where the palm has left the hull."""
        oblique = 1.0 + OBLIQUE * np.maximum(self.share - OBLIQUE_FROM, 0.0)
        return self._replace(tension=np.maximum(self.tension * oblique, apart))


def reach_mm(plate: Plate, pulled: Num) -> Num:
    """How far beyond the root a palm presses the hull as if it were rigid, mm; at most to its edge.

    pulled: stiffness of the bolts beyond the pressed side, N/mm. Between a plate stiff against the bolts and one that
    only the bed spreads: the greater of s / sqrt(1 + K s^3 / (3 E I)) and the bed's spread.

    >>> palm = Plate(root_mm=37.0, beyond_mm=73.0, far_mm=110.0, width_mm=210.0, bending_nmm=114e3 * 14.0**3 / 12.0,
    ...     soft=400.0, stiff=400.0, bolt_n_mm=226_200.0, strip_mm=70.0)
    >>> round(float(reach_mm(palm, 3 * 226_200.0)), 1)
    22.6
    """
    s = plate.root_mm
    bends = pulled * s * s * s / (3.0 * plate.bending_nmm * plate.width_mm)
    return np.maximum(s / np.sqrt(1.0 + bends), np.minimum(s, plate.spread_mm))


class Row(NamedTuple):
    """Bolts at one distance from the pressed edge, mm: how many, their springs with their strips taken together, N/mm,
    and the hardest of them."""

    at_mm: Num
    bolts: Num
    spring_n_mm: Num
    hardest_n_mm: Num


def tipped(rows: Sequence[Row], plate: Plate) -> Tipped:
    """What a moment does to a palm and its bolts, the worst of ways in which the plate may carry them; broadcasts.

    Each bolt bends a strip of its own, or the bolts of a row bend the whole width that presses; tension and bending by
    the latter on the hard end of the bed as well. Where rows are unequal, or strips narrow, the one or the other is
    short of beams with contact by up to two thirds. The worst was held against them on 30 000 palms over the whole
    range, 1/125 of their length in thickness to rigid ones, rows of 1 to 6 bolts, strips of a quarter to the whole
    width: 18 000 on five beds each of a range of 1.5 both ways, 12 000 on one bed taken as 1.2 both ways. Where no bolt
    stands further than 2.5 spreads of the stiff bed from the root (`palm_spreads`), two thirds of them, tension was
    never more than 1 % under, bending half a per cent; the pressure of one in 2000 was more than 1.5 % under, the worst
    by 5 %. Beyond, one in 350 was short in tension, the worst by three fifths where one bolt stands near the edge that
    presses and six far out; one in 1000 in bending, by up to 4 %, and as many in pressure, by up to 45 %. On a bed that
    is said exactly one palm in 3000 was short within those spreads, all thin, by up to 7 % in tension and 13 % in
    pressure. Over within them: the tension by 20 % in the middle, one in twenty by twice and more, on narrow strips by
    three times; beyond them by nine times and more.

    >>> palm = Plate(root_mm=37.0, beyond_mm=73.0, far_mm=110.0, width_mm=210.0, bending_nmm=114e3 * 14.0**3 / 12.0,
    ...     soft=400.0, stiff=400.0, bolt_n_mm=226_200.0, strip_mm=40.0)
    >>> spring = on_strip_n_mm(226_200.0, 19.0, 40.0 * palm.bending_nmm)
    >>> rows = [Row(y, 3, 3 * spring, spring) for y in (18.0, 92.0)]
    >>> round(3.25e6 * float(tipped(rows, palm).tension))  # on strips of 70, a third of the width; a beam 14 634
    18352
    """
    wide, over = _over_the_width(rows, plate)
    worst = Tipped(*map(np.maximum, _tipped(rows, plate), _tipped(wide, over)))
    hard = _tipped(wide, replace(over, soft=over.stiff))
    return worst._replace(
        tension=np.maximum(worst.tension, hard.tension), bending=np.maximum(worst.bending, hard.bending)
    )


def _over_the_width(rows: Sequence[Row], plate: Plate) -> tuple[list[Row], Plate]:
    """Rows of which each bends the whole width that presses, and the plate to a bolt of the last one."""
    made: list[Row] = []
    for r in rows:
        lever = np.maximum(np.maximum(plate.root_mm - r.at_mm, r.at_mm - plate.beyond_mm), 0.0)
        spring = on_strip_n_mm(plate.bolt_n_mm, lever, plate.bending_nmm * plate.width_mm / r.bolts)
        made.append(Row(r.at_mm, r.bolts, r.bolts * spring, spring))
    over = greatest([r.at_mm for r in rows])
    outermost = add(*(np.where(r.at_mm > over - 1e-6, r.bolts, 0.0) for r in rows))
    return made, replace(plate, strip_mm=plate.width_mm / outermost)


def _tipped(rows: Sequence[Row], plate: Plate) -> Tipped:
    """What a moment does to a palm and its bolts, the plate carrying them as told.

    The palm is rigid over its reach and tips about a neutral axis there; bolts are pried; a row behind another that
    holds the plate pulls less. The added shares were fitted to beams with contact on 22 000 palms drawn by chance, 1/20
    of their length in thickness to rigid ones, 2 to 5 rows of 1 to 6 bolts, beds of 0.5 to 1500 N/mm3 (bedding is no
    harder).

    >>> palm = Plate(root_mm=37.0, beyond_mm=73.0, far_mm=110.0, width_mm=210.0, bending_nmm=114e3 * 14.0**3 / 12.0,
    ...     soft=400.0, stiff=400.0, bolt_n_mm=226_200.0, strip_mm=70.0)
    >>> spring = on_strip_n_mm(226_200.0, 19.0, 70.0 * palm.bending_nmm)
    >>> rows = [Row(y, 3, 3 * spring, spring) for y in (18.0, 92.0)]
    >>> round(3.25e6 * float(tipped(rows, palm).tension))  # a beam with contact: 14 634
    18352
    """
    at, ahead = [r.at_mm for r in rows], [np.where(r.at_mm > plate.root_mm, r.bolts, 0.0) for r in rows]
    reach = reach_mm(plate, plate.bolt_n_mm * add(*ahead))
    behind = plate.root_mm - reach
    x = neutral_axis_mm([y - behind for y in at], [r.spring_n_mm for r in rows], plate.soft * plate.width_mm)
    bent, lever = _bent(plate, greatest(at))
    lifts = [np.maximum(y - behind - x, 0.0) for y in at]
    pulls = [r.spring_n_mm * a for r, a in zip(rows, lifts, strict=True)]
    kept = _shielded(rows, plate, np.maximum(plate.beyond_mm, behind + x))
    held = [p * s * np.where(y < plate.root_mm, 1.0 - bent, 1.0) for p, s, y in zip(pulls, kept, at, strict=True)]
    about = add(*(p * (a + 2.0 / 3.0 * x) for p, a in zip(held, lifts, strict=True)))
    made, moment = _with_prying(rows, lifts, plate, behind + x, about, x)
    late = np.minimum(lever, 1.0)
    alone = 1.0 + SHIELDED * (1.0 - functools.reduce(np.minimum, kept))
    per = (1.0 + FITTED * np.maximum(bent, late * late)) * alone / moment
    tension = made * per
    share = x / (plate.far_mm - behind)
    hard, harder = _on_hard(rows, plate, behind, x)
    push = np.minimum(harder * about * per, add(*pulls) * per)
    pressure, bending = _pressed(push / plate.width_mm, hard, reach, plate)
    little = np.minimum(plate.root_mm / plate.spread_mm / 6.0, 0.05)
    lifted = add(*(p * np.maximum(y - plate.beyond_mm, 0.0) for p, y in zip(pulls, at, strict=True)))
    bending = np.maximum(
        bending * (1.0 + FITTED_PRESSED * np.maximum(bent, little)),
        lifted * per / plate.width_mm * (1.0 + FITTED_LIFTED * late),
    )
    return Tipped(tension, _most_pressed(plate, greatest(at), pressure, tension, share), bending, share)


def _most_pressed(plate: Plate, over: Num, pressure: Num, tension: Num, share: Num) -> Num:
    """Greatest pressure on the hull of a palm that bends: at the pressed side, or under the lifted edge that pries."""
    _, lever = _bent(plate, over)
    bends = np.minimum(np.maximum(plate.root_mm / plate.spread_mm, lever), 1.0)
    bent = 1.0 + PRESSED * np.minimum(4.0 * bends, 1.0)
    pressed = pressure * bent * (1.0 + NARROW * np.maximum(NARROW_FROM - share, 0.0) * bends)
    beyond, room = np.maximum(plate.far_mm - over, 1e-3), lever * plate.spread_mm
    pries = np.minimum(0.125 * room * room * beyond * plate.bolt_n_mm / (plate.bending_nmm * plate.strip_mm), 1.0)
    edge = tension * AT_EDGE * np.minimum(lever, 1.0) * lever * pries
    most: Num = np.maximum(pressed, edge / (np.minimum(plate.spread_mm, beyond) * plate.strip_mm))
    return most


def _bent(plate: Plate, over: Num) -> tuple[Num, Num]:
    """How far a palm bends on its pressed side, 0 to 1, and how many spreads the last bolt stands from the root."""
    part = plate.root_mm / plate.spread_mm
    part = part * part
    return np.minimum(1.0, part * part), np.maximum(over - plate.beyond_mm, 0.0) / plate.spread_mm


def _with_prying(
    rows: Sequence[Row], lifts: Sequence[Num], plate: Plate, axis: Num, about: Num, x: Num
) -> tuple[Num, Num]:
    """Pull of the most loaded bolt, and the moment, N mm, of the pulls and pushes, for the lifts; about: of the pulls
    without prying; axis: neutral, from the pressed edge.

    The innermost row that pulls beyond the root is pried as the outermost is.
    """
    over = greatest([r.at_mm for r in rows])
    beyond = np.maximum(plate.beyond_mm, axis)
    inner: Num = over
    for r in rows:
        inner = np.where(r.at_mm > beyond, np.minimum(inner, r.at_mm), inner)
    made, outer, n = _pried_at(plate, over, axis)
    first = made if np.array_equal(inner, over) else _pried_at(plate, inner, axis)[0]
    last = [r.at_mm > over - 1e-6 for r in rows]
    count = add(*(np.where(o, r.bolts, 0.0) for o, r in zip(last, rows, strict=True)))
    each = [r.hardest_n_mm * a for r, a in zip(rows, lifts, strict=True)]
    ends = greatest([np.where(o, e, 0.0) for o, e in zip(last, each, strict=True)])
    scale, below = ends / made.free, 2.0 / 3.0 * x
    moment = about + count * scale * ((made.bolt - made.free) * (outer + below) - made.edge * (outer + n + below))
    pull = np.maximum(greatest(each) * np.maximum(first.bolt / first.free, 1.0), made.bolt * scale)
    return pull, np.maximum(moment, LEFT * about)


def _pried_at(plate: Plate, at: Num, axis: Num) -> tuple[Prying, Num, Num]:
    """Prying of a bolt, how far it stands from the neutral axis, and how far beyond it the palm pushes."""
    outer, m = at - axis, np.maximum(at - plate.beyond_mm, 0.0)
    n = np.minimum(np.maximum(plate.far_mm - at, 0.0), PRIED_WITHIN * plate.spread_mm)
    hull = plate.stiff * plate.strip_mm * plate.spread_mm / 2.0
    made = pried(plate.bolt_n_mm, plate.strip_mm * plate.bending_nmm, m, n, hull, (outer, outer + n))
    return made, outer, n


def _on_hard(rows: Sequence[Row], plate: Plate, behind: Num, x: Num) -> tuple[Num, Num]:
    """Depth of the pressed part on the stiffest bed, mm, and the push on it per N mm, both as of a rigid palm.

    By the bolts that pull on the softest bed, so the depth is not too much.
    """
    at = [r.at_mm - behind for r in rows]
    pulling = [np.where(y > x, r.spring_n_mm, 0.0) for y, r in zip(at, rows, strict=True)]
    first, spring = add(*(k * y for k, y in zip(pulling, at, strict=True))), add(*pulling)
    hard = 2.0 * first / (spring + np.sqrt(spring * spring + 2.0 * plate.stiff * plate.width_mm * first))
    lifts = [np.maximum(y - hard, 0.0) for y in at]
    pulls = [r.spring_n_mm * a for r, a in zip(rows, lifts, strict=True)]
    about = add(*(p * (a + 2.0 / 3.0 * hard) for p, a in zip(pulls, lifts, strict=True)))
    return hard, add(*pulls) / about


def _shielded(rows: Sequence[Row], plate: Plate, inner: Num) -> list[Num]:
    """What share of the pull that it would have alone each row keeps where one nearer to the root holds the plate.

    inner: from where on rows pull on a plate that stands out, mm. Two springs on a cantilever; of several the worst.
    """
    whole = plate.bending_nmm * plate.width_mm
    kept: list[Num] = []
    for far in rows:
        least: Num = 1.0
        s = far.at_mm - plate.beyond_mm
        two = s * s * s / (3.0 * whole) + 1.0 / (plate.bolt_n_mm * np.maximum(far.bolts, 1.0))
        for near in rows:
            between = (near.at_mm > inner) & (far.at_mm > near.at_mm + 1e-6)
            if np.any(between):
                m = near.at_mm - plate.beyond_mm
                one = m * m * m / (3.0 * whole) + 1.0 / (plate.bolt_n_mm * np.maximum(near.bolts, 1.0))
                across = m * m * (3.0 * s - m) / (6.0 * whole)
                further = (far.at_mm - plate.root_mm) / (near.at_mm - plate.root_mm)
                share = two * (one - across / further) / (one * two - across * across)
                least = np.where(between, np.minimum(least, np.maximum(share, 0.0)), least)
        kept.append(least)
    return kept


def _pressed(press: Num, x: Num, reach: Num, plate: Plate) -> tuple[Num, Num]:
    """Greatest pressure on the hull, MPa, and bending at the root, N mm per mm, of a push per width, N/mm, over x."""
    length = x / 2.0 + np.minimum(plate.spread_mm / 4.0, plate.root_mm - reach)
    third = np.maximum(x, 1e-9)
    arm = np.where(x > reach, reach * reach / third * (1.0 - reach / (3.0 * third)), reach - x / 3.0)
    return press / length, press * arm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hold:
    """What holds a palm, per N and per N mm of a load on it at its zero: u forward, v to port, n toward the hull.

    share: of a pull, on the most loaded bolt; centre_u_mm, centre_v_mm: middle of the bolts' springs. off_u_mm,
    off_v_mm: how far the palm's zero lies beyond the middle part in which a press lifts no edge. area_mm2: of the palm;
    pressed_mm2: on which a press counts. over_mm: of the plate beyond the root. mu_plus and so on: tipping by a
    moment about u or v, positive or negative. edge_mpa: pressure of an edge that pries under a pull; none of a rigid
    palm.
    """

    share: Num
    centre_u_mm: Num
    centre_v_mm: Num
    off_u_mm: Num
    off_v_mm: Num
    area_mm2: Num
    pressed_mm2: Num
    over_mm: Num
    mu_plus: Tipped
    mu_minus: Tipped
    mv_plus: Tipped
    mv_minus: Tipped
    edge_mpa: Num = 0.0
    uneven: Num = 1.0
    """Times the pressure of moments, where outline or feet press the hull more unevenly than a rectangle round one."""


def apart_per_nmm(at_mm: Sequence[Num], springs_n_mm: Sequence[Num], middle_mm: Num) -> Num:
    """Tension of the most loaded bolt per N mm where a palm has left the hull, 1/mm: k y / sum k y^2 about the middle
    of the springs; nought for bolts on one line. The textbook's rule for a group of bolts.

    >>> round(float(apart_per_nmm([-37.0, 37.0], [3.0, 3.0], 0.0)) * 74.0, 6)  # a couple
    1.0
    """
    off = [y - middle_mm for y in at_mm]
    pulls = [k * np.abs(y) for k, y in zip(springs_n_mm, off, strict=True)]
    whole = add(*(p * np.abs(y) for p, y in zip(pulls, off, strict=True)))
    rate: Num = np.where(whole > 1e-9, greatest(pulls) / np.maximum(whole, 1e-9), 0.0)
    return rate


class Pressed(NamedTuple):
    """A load on a palm as it feels it: pull and press, N, and the moments about u and v with what these bring, N mm."""

    pull: Num
    press: Num
    mu: Num
    mv: Num


def both_ways(hold: Hold, load: Six) -> tuple[Pressed, Pressed]:
    """Return how a load at a palm's zero (u, v, toward the hull, moments) presses it, and how its opposite does.

    >>> tip = Tipped(1e-3, 2e-6, 1e-3, 0.3)
    >>> hold = Hold(share=0.5, centre_u_mm=10.0, centre_v_mm=0.0, off_u_mm=0.0, off_v_mm=0.0, area_mm2=2e4,
    ...     pressed_mm2=2e4, over_mm=50.0, mu_plus=tip, mu_minus=tip, mv_plus=tip, mv_minus=tip)
    >>> [float(part) for part in both_ways(hold, (0.0, 0.0, -1000.0, 50_000.0, 0.0, 0.0))[0]]  # off its middle by 10
    [1000.0, 0.0, 50000.0, -10000.0]
    """
    _, _, fn, mu, mv, _ = load
    pull, press = np.maximum(-fn, 0.0), np.maximum(fn, 0.0)

    def felt(pull: Num, press: Num, mu: Num, mv: Num) -> Pressed:
        mu = add(mu, mul(hold.centre_v_mm, pull), mul(hold.off_v_mm, press))
        return Pressed(pull, press, mu, add(mv, -mul(hold.centre_u_mm, pull), -mul(hold.off_u_mm, press)))

    return felt(pull, press, mu, mv), felt(press, pull, -mu, -mv)


def _tipping(hold: Hold, load: Pressed, felt: Callable[[Tipped], Num]) -> tuple[Num, Num]:
    """What each moment does by tipping the palm its worse way."""
    ways = ((load.mu, hold.mu_plus, hold.mu_minus), (load.mv, hold.mv_plus, hold.mv_minus))
    about_u, about_v = (
        np.abs(mul(moment, felt(plus)))
        if plus is minus
        else np.maximum(mul(moment, felt(plus)), -mul(moment, felt(minus)))
        for moment, plus, minus in ways
    )
    return about_u, about_v


def tension_n(hold: Hold, load: Pressed) -> Num:
    """Tension of the most loaded bolt, N: a pull shared by the springs, each moment by its own tipping, all added.

    On the safe side where the greatest of each falls on different bolts, and where a pull takes part of a moment's
    tipping away: a moment counts with the greater of its tension on the hull and off it. A press eases nothing.

    >>> plate = Plate(root_mm=50.0, beyond_mm=150.0, far_mm=200.0, width_mm=100.0,
    ...     bending_nmm=1e15, soft=1e6, stiff=1e6, bolt_n_mm=1000.0, strip_mm=50.0)
    >>> tip = tipped([Row(50.0, 1, 1e3, 1e3), Row(150.0, 1, 1e3, 1e3)], plate)  # about the toe: 150 / (150^2 + 50^2)
    >>> pair = Hold(share=0.5, centre_u_mm=0.0, centre_v_mm=0.0, off_u_mm=0.0, off_v_mm=0.0, area_mm2=2e4,
    ...     pressed_mm2=2e4, over_mm=50.0, mu_plus=tip, mu_minus=tip, mv_plus=tip, mv_minus=tip)
    >>> round(float(tension_n(pair, Pressed(1000.0, 0.0, 50_000.0, 0.0))))  # 500, and 300
    800
    """
    return add(mul(hold.share, load.pull), *_tipping(hold, load, lambda tip: tip.tension))


def pressure_mpa(hold: Hold, load: Pressed) -> Num:
    """Greatest pressure of a palm on the hull, MPa: of a press over what it presses, of a pull under the edge that
    pries, of each moment by its tipping, added.

    >>> tip = Tipped(1e-3, 2e-6, 1e-3, 0.3)
    >>> hold = Hold(share=0.5, centre_u_mm=0.0, centre_v_mm=0.0, off_u_mm=0.0, off_v_mm=0.0, area_mm2=2e4,
    ...     pressed_mm2=2e4, over_mm=50.0, mu_plus=tip, mu_minus=tip, mv_plus=tip, mv_minus=tip)
    >>> float(pressure_mpa(hold, Pressed(0.0, 2e4, 1e6, 0.0)))  # 1 and 2
    3.0
    """
    about = add(*_tipping(hold, load, lambda tip: tip.pressure))
    return add(load.press / hold.pressed_mm2, mul(hold.edge_mpa, load.pull), mul(hold.uneven, about))


def bending_n(hold: Hold, load: Pressed) -> Num:
    """Bending of a palm along the pressed side of the root, N mm per mm: of a press p c^2 / 2, of moments added.

    >>> tip = Tipped(1e-3, 2e-6, 1e-3, 0.3)
    >>> hold = Hold(share=0.5, centre_u_mm=0.0, centre_v_mm=0.0, off_u_mm=0.0, off_v_mm=0.0, area_mm2=2e4,
    ...     pressed_mm2=2e4, over_mm=40.0, mu_plus=tip, mu_minus=tip, mv_plus=tip, mv_minus=tip)
    >>> float(bending_n(hold, Pressed(0.0, 2e4, 1e6, 0.0)))  # 800 and 1000
    1800.0
    """
    bent = load.press / hold.area_mm2 * (hold.over_mm * hold.over_mm) / 2.0
    return add(bent, *_tipping(hold, load, lambda tip: tip.bending))
