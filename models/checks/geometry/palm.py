"""Checks of the palm and its bolts: thickness, heads, edges, pitches, and room beside the arm."""

from __future__ import annotations

import functools
import itertools
from dataclasses import dataclass

import numpy as np

from strutwright.models import halves
from strutwright.models.arrays import Num
from strutwright.models.checks.check import rows_of
from strutwright.models.checks.results import Results
from strutwright.models.edge_rules import BESIDE, EDGE_RULES
from strutwright.models.finding import WARNS, WITHIN
from strutwright.models.frames import Vector
from strutwright.models.geometry import footprints, toe_bound
from strutwright.models.spec import Arm, Bolt, Palm, Plate, Strut
from strutwright.models.struts import Struts
from strutwright.params.limits import Limits
from strutwright.params.words import Words, joined, mm, say

CHECKS = (
    THICKNESS,
    ARM,
    APART,
    HEAD,
    LAND,
    OUTSIDE,
    EDGE,
    PITCH,
    SEAL,
    RIM_EDGE,
    RIM_BEVEL,
    RIM_ARM,
    DRIVER,
    COUNT,
    SIZE,
) = rows_of("palm")


def check(out: Results) -> None:
    """Check the palms: thickness, the arms on them, and every bolt hole.

    >>> round(found(check, "canal-tender")["head_land"].actual, 2)  # 10 mm of palm, 4.65 mm of head
    5.35
    """
    strut, d = out.strut, out.strut.shaft.diameter_mm
    least = functools.reduce(np.minimum, [p.least_mm for p in out.struts.inputs.palms])
    out.least(THICKNESS, least, "palm_thickness", per=d)
    _bolt(out)
    stands = [_stand(out, k) for k in (range(len(strut.arms)) if out.tells else halves.unlike(out.struts.inputs))]
    stands *= len(strut.arms) // len(stands)
    for arm, stand in zip(strut.arms, stands, strict=True):
        _arm_on_palm(out, arm, stand)
    for k, palm in enumerate(strut.palms):
        _plate(out, k)
        for arm, stand in zip(strut.arms, stands, strict=True):
            if arm.palm_index == k:
                _beside_arm(out, palm, arm, stand)
    if len(strut.palms) == 2:
        _apart(out)


def check_plate(out: Results, index: int, *, size: bool = True) -> None:
    """Check the bolts of a plate: their heads, the holes in it, and their size against the shaft where that is asked.

    >>> round(found(lambda out: check_plate(out, 0), "canal-tender")["head_land"].actual, 2)
    5.35
    """
    _bolt(out, size)
    _plate(out, index)


def _bolt(out: Results, size: bool = True) -> None:
    plate, d = out.strut.plates[0], out.strut.shaft.diameter_mm
    bolt, least = plate.bolt, functools.reduce(np.minimum, [p.least_mm for p in out.struts.inputs.palms])
    if size:
        low, high = mm(out.value("bolt_size_least", d)), mm(out.value("bolt_size_most", d))
        out.within(SIZE, bolt.major_mm, "bolt_size_least", "bolt_size_most", per=d, least=low, most=high)
    if bolt.head.recess:
        _heads(out, bolt, least, plate.thickness_mm - least)


def _plate(out: Results, index: int) -> None:
    _count(out, out.strut.plates[index])
    _edges(out, index)
    _pitches(out, index)


def _heads(out: Results, bolt: Bolt, least_mm: Num, less_mm: Num) -> None:
    """least_mm: thickness where the palms are thinnest, by less_mm than in the middle."""
    depth = bolt.head_depth_mm
    wanted = depth / out.value("countersink_share"), depth + out.value("countersink_land")
    out.most(HEAD, depth, "countersink_share", per=least_mm, thick=mm(wanted[0] + less_mm))
    out.least(LAND, least_mm - depth, "countersink_land", thick=mm(wanted[1] + less_mm))


def _uv(palm: Plate) -> Vector:
    return np.array([[h.u_mm, h.v_mm] for h in palm.holes])


@dataclass(frozen=True, slots=True, eq=False)
class _Stand:
    """An arm on its palm in numbers, and what the words about one strut need beside."""

    on: footprints.OnPalm
    end: str = ""
    size_mm: tuple[float, float] = (0.0, 0.0)
    near_toe: int = 0
    near_arm: int = 0
    """Numbers of the holes nearest to the toe and to the arm above it."""


def _stand(out: Results, index: int) -> _Stand:
    height = out.value("driver_height")
    if not out.tells:
        stands = footprints.on_palm if out.roll else toe_bound.on_palm
        on = stands(out.struts, index, height)
        # What cannot be worked out is a warning, as of one strut.
        unknown = np.isnan(on.toe_inside_mm) & out.struts.buildable
        out.keep(ARM, np.where(unknown if out.struts.count > 1 else unknown[0], WARNS, WITHIN), np.nan)
        return _Stand(on)
    arm = out.strut.arms[index]
    palm, feet = out.strut.palms[arm.palm_index], footprints.arm_feet(out.strut, arm, height)
    inside, (to_toe, to_arm) = palm.outline.distance_to_boundary(feet.toe), feet.room_mm(_uv(palm))
    worst, size = int(np.argmin(inside)), np.ptp(feet.toe, axis=0)
    return _Stand(
        footprints.OnPalm(float(inside[worst]), float(to_toe.min()), float(to_arm.min())),
        "aft" if feet.toe[worst, 0] < float(feet.toe[:, 0].mean()) else "forward",
        (float(size[0]), float(size[1])),
        palm.holes[int(np.argmin(to_toe))].number,
        palm.holes[int(np.argmin(to_arm))].number,
    )


def _arm_on_palm(out: Results, arm: Arm, stand: _Stand) -> None:
    palm = out.strut.palms[arm.palm_index]
    flat = stand.on.toe_inside_mm - palm.bevel_width_mm
    over = np.maximum(-flat, 0.0)
    # A root that runs out on the bevel can be made; one that hangs over the edge cannot.
    out.least(
        ARM,
        flat,
        0.0,
        warn=stand.on.toe_inside_mm >= 0,
        arm=arm.name,
        end=stand.end,
        along=mm(stand.size_mm[0]),
        across=mm(stand.size_mm[1]),
        larger=mm(2 * over),
        shift=mm(over),
    )


def _count(out: Results, palm: Plate) -> None:
    n = len(palm.holes)
    if out.strut.hanger is not None:
        out.least(COUNT, n, "bolt_count_foot", form="foot", unit="bolts")
    elif out.strut.backing_plate:
        out.least(COUNT, n, "bolt_count", unit="bolts", palm=palm.name)
    elif out.strut.flange is None:
        out.least(COUNT, n, "bolt_count_unbacked", form="unbacked", unit="bolts", hard="bolt_count", palm=palm.name)
    else:
        out.least(COUNT, n, "bolt_count_unbacked", form="flange", unit="bolts", hard="bolt_count", palm=palm.name)


def _edges(out: Results, index: int) -> None:
    palm, edge, at = out.strut.plates[index], out.struts.hole_edge_mm[index], "bolts.pattern"
    bolt, hole = palm.bolt, 0
    if out.tells:
        hole = palm.holes[int(np.argmin(palm.outline.distance_to_boundary(_uv(palm))))].number
    out.least(OUTSIDE, edge, bolt.hole_mm / 2, hole=hole, palm=palm.name, path=at)
    name, need = edge_rule(out.strut, out.limits)
    beside = functools.partial(_other_rules, out.strut, out.limits) if out.tells else ""
    out.least(EDGE, edge, name, demand=need, hole=hole, palm=palm.name, path=at, by=mm(need - edge), beside=beside)
    rim = edge - palm.bolt.rim_mm / 2
    out.least(RIM_EDGE, rim, "rim_to_edge", hole=hole, palm=palm.name, path=at, by=mm(out.value("rim_to_edge") - rim))
    if palm.bevel_width_mm > 0:
        out.least(
            RIM_BEVEL,
            rim - palm.bevel_width_mm,
            "rim_to_bevel",
            hole=hole,
            palm=palm.name,
            width=mm(np.maximum(rim, 0.0)),
        )


def edge_rule(strut: Strut, limits: Limits) -> tuple[str, float]:
    """Return the limit's name and the least distance (mm) from hole centre to edge by the rule chosen.

    >>> edge_rule(shipped("canal-tender"), standard())  # 1.5 times the 8 mm bolt
    ('bolt_edge_practice', 12.0)
    """
    bolt = strut.plates[0].bolt
    return EDGE_RULES[strut.edge_rule].edge_mm(bolt.size, bolt.major_mm, bolt.hole_mm, limits)


def _other_rules(strut: Strut, limits: Limits) -> Words:
    """What the usual rules ask beside the one chosen: for one strut."""
    bolt = strut.plates[0].bolt
    others = [EDGE_RULES[name] for name in BESIDE if name != strut.edge_rule]
    asked = [rule.edge_mm(bolt.size, bolt.major_mm, bolt.hole_mm, limits)[1] for rule in others]
    return joined(", ", (say("{of} {least}", of=r.called, least=mm(a)) for r, a in zip(others, asked, strict=True)))


def pitch_limits(strut: Strut) -> tuple[str, str]:
    """Return the names of the limits for pitches along and across the palm by the rule chosen.

    >>> pitch_limits(shipped("pilot-vee"))
    ('bolt_pitch_ec3_along', 'bolt_pitch_ec3_across')
    """
    rule = EDGE_RULES[strut.edge_rule]
    return rule.along, rule.across


def pitch_of_mm(strut: Strut) -> float:
    """Return the diameter (mm) that those limits are multiples of.

    >>> pitch_of_mm(shipped("canal-tender"))  # M8
    8.0
    """
    bolt = strut.plates[0].bolt
    return EDGE_RULES[strut.edge_rule].of_mm(bolt.major_mm, bolt.hole_mm)


def _pitches(out: Results, index: int) -> None:
    """The two holes that are nearest to each other for what is asked of them, and the ring of the outermost."""
    palm, bolt = out.strut.plates[index], out.strut.plates[index].bolt
    if len(palm.holes) < 2:
        return
    names = pitch_limits(out.strut)
    asked = [np.maximum(out.value(name), 1e-9) for name in names]
    pairs = []
    for a, b in itertools.combinations(palm.holes, 2):
        du, dv = a.u_mm - b.u_mm, a.v_mm - b.v_mm
        wanted = asked[0] if names[0] == names[1] else np.where(np.abs(dv) > np.abs(du), asked[1], asked[0])
        pairs.append(((du * du + dv * dv) / wanted**2, a, b, wanted))
    share2, name, one, other = functools.reduce(np.minimum, [p[0] for p in pairs]), names[0], 0, 0
    if out.tells:
        _, first, second, wanted = min(pairs, key=lambda p: float(p[0]))
        (one, other), name = sorted((first.number, second.number)), names[int(wanted == asked[1])]
    # Both limits of a rule break alike; their pitch is that share of what is wanted.
    out.least(
        PITCH,
        np.sqrt(share2) * asked[names.index(name)],
        name,
        per=pitch_of_mm(out.strut),
        one=one,
        other=other,
        palm=palm.name,
    )
    out.most(SEAL, _sealing_pitch_mm(out, index), "bolt_pitch_sealing", per=bolt.major_mm, palm=palm.name)


def _sealing_pitch_mm(out: Results, index: int) -> Num:
    """Greatest pitch round the palm. A grid whose pitches vary keeps its outermost holes."""
    own = _uv(out.struts.own.plates[index])
    ring = _hull_ring(own)
    order = [int(np.argmin(np.hypot(*(own - p).T))) for p in ring]
    holes = [out.strut.plates[index].holes[k] for k in order]
    most: Num = 0.0
    for a, b in zip(holes, holes[1:] + holes[:1], strict=True):
        most = np.maximum(most, np.hypot(a.u_mm - b.u_mm, a.v_mm - b.v_mm))
    return most


def _hull_ring(points: Vector) -> Vector:
    """Return the points (k, 2) on the convex hull in order, those on its straight sides among them."""
    order = points[np.lexsort((points[:, 1], points[:, 0]))]
    tolerance = 1e-6 * max(float(np.ptp(points)), 1.0) ** 2

    def half(path: Vector) -> list[Vector]:
        out: list[Vector] = []
        for p in path:
            while len(out) > 1 and _turn(out[-2], out[-1], p) < -tolerance:
                out.pop()
            out.append(p)
        return out

    return np.array(half(order)[:-1] + half(order[::-1])[:-1])


def _turn(a: Vector, b: Vector, c: Vector) -> float:
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def _beside_arm(out: Results, palm: Palm, arm: Arm, stand: _Stand) -> None:
    gap, free = (
        stand.on.hole_to_toe_mm - palm.bolt.rim_mm / 2,
        stand.on.hole_to_arm_mm - palm.bolt.driver_diameter_mm / 2,
    )
    out.least(
        RIM_ARM,
        gap,
        "rim_to_root",
        near_toe=stand.near_toe,
        palm=palm.name,
        arm=arm.name,
        hole=stand.near_toe,
        by=mm(out.value("rim_to_root") - gap),
    )
    out.least(
        DRIVER,
        free,
        "driver_to_arm",
        also="driver_height",
        near_arm=stand.near_arm,
        palm=palm.name,
        arm=arm.name,
        hole=stand.near_arm,
        by=mm(out.value("driver_to_arm") - free),
    )


def _apart(out: Results) -> None:
    """The palms of a vee: port one's innermost point against the starboard one's, athwart."""
    (low, high), (other_low, other_high) = (palm_span_mm(out.struts, k, 1) for k in range(2))
    gap = np.maximum(low - other_high, other_low - high)
    out.least(APART, gap, "palms_apart", hard=0.0, by=mm(out.value("palms_apart") - gap))


def palm_span_mm(struts: Struts, index: int, way: int) -> tuple[Num, Num]:
    """Return the least and the greatest coordinate (0: x, 1: y, 2: z) of a palm's outline on the hull face, mm.

    >>> palm_span_mm(Struts.of(shipped("canal-tender")), 0, 1)  # 92 mm wide
    (-46.0, 46.0)
    """
    palm = struts.inputs.palms[index]
    low, high = struts.palms[index].span_mm(float(palm.u[way]), float(palm.v[way]))
    return palm.zero_mm[way] + low, palm.zero_mm[way] + high
