"""Checks of the palm and its bolts: thickness, heads, edges, pitches, and room beside the arm."""

from __future__ import annotations

import functools
import itertools
from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import NotYetTyped as Num
from strutwright.models.checks.check import Check
from strutwright.models.checks.geometry import footprints
from strutwright.models.checks.results import Results
from strutwright.models.checks.struts import Struts
from strutwright.models.frames import Vector
from strutwright.models.geometry import members, shapes
from strutwright.models.geometry.polygons import distance_to_polygon
from strutwright.models.spec import Arm, Palm, Strut
from strutwright.params import tables
from strutwright.params.limits import Limits
from strutwright.params.words import mm, say

_GROUP = "palm"
_BOLTS = "bolts"
THICKNESS = Check("palm_thickness", _GROUP, "thickness of the palm against the shaft", ("palm_thickness",))
ARM = Check("arm_on_palm", _GROUP, "the arm and its fillet or weld land on the palm, on the flat of its water face")
APART = Check("palms_apart", _GROUP, "the two palms of a vee do not meet")
HEAD = Check("head_depth", _BOLTS, "depth of the heads in the palm", ("countersink_share",))
LAND = Check("head_land", _BOLTS, "straight hole left under the heads", ("countersink_land",))
OUTSIDE = Check("bolt_inside_palm", _BOLTS, "bolt holes lie inside the outline")
EDGE = Check(
    "bolt_edge_distance",
    _BOLTS,
    "hole centre to the outline by the edge rule chosen",
    ("bolt_edge_ec3", "bolt_edge_light_craft", "bolt_edge_aerospace", "bolt_edge_aisc_small", "bolt_edge_aisc_large"),
)
PITCH = Check(
    "bolt_pitch",
    _BOLTS,
    "hole centres apart by the edge rule chosen",
    (
        "bolt_pitch_ec3_along",
        "bolt_pitch_ec3_across",
        "bolt_pitch_aisc",
        "bolt_pitch_light_craft",
        "bolt_pitch_aerospace",
    ),
)
SEAL = Check("bolt_pitch_sealing", _BOLTS, "bolts round the palm are near enough to seal", ("bolt_pitch_sealing",))
RIM_EDGE = Check("rim_to_edge", _BOLTS, "rim of a head to the palm's edge", ("rim_to_edge",))
RIM_BEVEL = Check("rim_to_bevel", _BOLTS, "rim of a head to the bevel of the water face", ("rim_to_bevel",))
RIM_ARM = Check("rim_to_arm_root", _BOLTS, "rim of a head to the toe of the arm's fillet or weld", ("rim_to_root",))
DRIVER = Check(
    "driver_to_arm", _BOLTS, "the tool on a bolt is clear of the arm and its root", ("driver_to_arm", "driver_height")
)
COUNT = Check("bolt_count", _BOLTS, "number of bolts to a palm", ("bolt_count", "bolt_count_unbacked"))
SIZE = Check("bolt_size", _BOLTS, "bolt diameter against the shaft", ("bolt_size_least", "bolt_size_most"))
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
)


def check(out: Results) -> None:
    """Check the palms: thickness, the arms on them, and every bolt hole."""
    strut, d = out.strut, out.strut.shaft.diameter_mm
    palm, bolt = strut.palms[0], strut.palms[0].bolt
    out.least(
        THICKNESS,
        "palm thickness",
        palm.thickness_mm,
        "palm_thickness",
        per=d,
        parameter="palm.thickness",
        advice="make palm.thickness about {need}",
    )
    out.within(
        SIZE,
        "bolt diameter",
        bolt.major_mm,
        "bolt_size_least",
        "bolt_size_most",
        per=d,
        parameter="bolts.size",
        advice=say(
            "choose bolts.size between {least} and {most}",
            least=mm(out.value("bolt_size_least", d)),
            most=mm(out.value("bolt_size_most", d)),
        ),
    )
    if bolt.kind != "plain":
        _heads(out, palm)
    stands = [_stand(out, k) for k in range(len(strut.arms))]
    for arm, stand in zip(strut.arms, stands, strict=True):
        _arm_on_palm(out, arm, stand)
    for k, palm in enumerate(strut.palms):
        _count(out, palm)
        _edges(out, k)
        _pitches(out, k)
        for arm, stand in zip(strut.arms, stands, strict=True):
            if arm.palm_index == k:
                _beside_arm(out, palm, arm, stand)
    if len(strut.palms) == 2:
        _apart(out)


def _heads(out: Results, palm: Palm) -> None:
    depth = palm.bolt.head_depth_mm
    out.most(
        HEAD,
        "depth of the heads",
        depth,
        "countersink_share",
        per=palm.thickness_mm,
        parameter="palm.thickness",
        advice=say(
            "make palm.thickness about {thick}, or the bolts smaller", thick=mm(depth / out.value("countersink_share"))
        ),
    )
    out.least(
        LAND,
        "land under the heads",
        palm.thickness_mm - depth,
        "countersink_land",
        parameter="palm.thickness",
        advice=say("make palm.thickness at least {thick}", thick=mm(depth + out.value("countersink_land"))),
    )


def _uv(palm: Palm) -> Vector:
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
    """Of one strut the ball is rolled for the toe; of many a polygon stands for it, on the safe side."""
    if not out.tells:
        return _Stand(footprints.on_palm(out.struts, index, out.value("driver_height")))
    strut, arm = out.strut, out.strut.arms[index]
    palm = strut.palms[arm.palm_index]
    toe, uv = members.palm_toe(strut, arm), _uv(palm)
    inside, to_toe = palm.outline.distance_to_boundary(toe), distance_to_polygon(uv, toe)
    worst, to_arm = int(np.argmin(inside)), to_toe
    top = min(out.value("driver_height"), palm.plane.drop_mm / 2)
    for foot in shapes.arm_footprints(strut, arm, [palm.thickness_mm + h for h in (top / 2, top)]):
        to_arm = np.minimum(to_arm, distance_to_polygon(uv, foot))
    size = np.ptp(toe, axis=0)
    return _Stand(
        footprints.OnPalm(float(inside[worst]), float(to_toe.min()), float(to_arm.min())),
        "aft" if toe[worst, 0] < float(toe[:, 0].mean()) else "forward",
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
        f"flat of the palm beyond the root of the {arm.name}, {stand.end} end",
        flat,
        0.0,
        warn=stand.on.toe_inside_mm >= 0,
        parameter="palm.outline",
        advice=say(
            "the root covers {along} by {across}: enlarge palm.outline by about {larger}, or move "
            "palm.offset by {shift}",
            along=mm(stand.size_mm[0]),
            across=mm(stand.size_mm[1]),
            larger=mm(2 * over),
            shift=mm(over),
        ),
    )


def _count(out: Results, palm: Palm) -> None:
    n = len(palm.holes)
    if out.strut.backing_plate:
        out.least(
            COUNT,
            f"bolts in the {palm.name}",
            n,
            "bolt_count",
            unit="bolts",
            parameter="bolts.pattern",
            advice="give bolts.pattern at least {need}",
        )
    else:
        out.least(
            COUNT,
            f"bolts in the {palm.name}, without a backing plate",
            n,
            "bolt_count_unbacked",
            unit="bolts",
            hard="bolt_count",
            parameter="bolts.backing_plate",
            advice="fit a backing plate (bolts.backing_plate: true) or give bolts.pattern at least {need}",
        )


def _edges(out: Results, index: int) -> None:
    palm, edge, at = out.strut.palms[index], out.struts.hole_edge_mm[index], "bolts.pattern"
    bolt, hole = palm.bolt, 0
    if out.tells:
        hole = palm.holes[int(np.argmin(palm.outline.distance_to_boundary(_uv(palm))))].number
    out.least(
        OUTSIDE,
        f"hole {hole} of the {palm.name} inside the outline",
        edge,
        bolt.hole_mm / 2,
        parameter=at,
        advice=f"move hole {hole} inward or enlarge palm.outline",
    )
    name, need = edge_rule(out.strut, out.limits)
    out.least(
        EDGE,
        f"hole {hole} of the {palm.name} to the edge",
        edge,
        name,
        demand=need,
        parameter=at,
        advice=say(
            "move hole {hole} inward by {by} or enlarge palm.outline; {need} is wanted", hole=hole, by=mm(need - edge)
        ),
    )
    rim = edge - palm.bolt.rim_mm / 2
    out.least(
        RIM_EDGE,
        f"rim of hole {hole} of the {palm.name} to the edge",
        rim,
        "rim_to_edge",
        parameter=at,
        advice=say(
            "move hole {hole} inward by {by} or enlarge palm.outline", hole=hole, by=mm(out.value("rim_to_edge") - rim)
        ),
    )
    if palm.bevel_width_mm > 0:
        out.least(
            RIM_BEVEL,
            f"rim of hole {hole} of the {palm.name} to the bevel",
            rim - palm.bevel_width_mm,
            "rim_to_bevel",
            parameter="palm.bevel.width",
            advice=say(
                "make palm.bevel.width at most {width}, or move the bolts inward", width=mm(np.maximum(rim, 0.0))
            ),
        )


def edge_rule(strut: Strut, limits: Limits) -> tuple[str, float]:
    """Return the limit's name and the least distance (mm) from hole centre to edge by the rule chosen."""
    bolt, rule = strut.palms[0].bolt, strut.edge_rule
    if rule == "ec3":
        return "bolt_edge_ec3", limits["bolt_edge_ec3"].value * bolt.hole_mm
    if rule != "aisc":
        name = "bolt_edge_aerospace" if rule == "aerospace" else "bolt_edge_light_craft"
        return name, limits[name].value * bolt.major_mm
    small, large = limits["bolt_edge_aisc_small"], limits["bolt_edge_aisc_large"]
    rows = [
        (r["diameter"], r["edge"])
        for r in tables.table("edge_distance").rows
        if str(r["size"]).startswith("M") == bolt.size.upper().startswith("M")
    ]
    if bolt.major_mm < min(d for d, _ in rows) - 1e-6:
        return small.name, small.value * bolt.major_mm
    # A shop's own figure counts for all sizes; else between two rows of the table the larger bolt's distance is safe.
    by_table = (e for d, e in sorted(rows) if d >= bolt.major_mm - 1e-6 and not large.changed)
    return large.name, next(by_table, large.value * bolt.major_mm)


def pitch_limits(strut: Strut) -> tuple[str, str]:
    """Return the names of the limits for pitches along and across the palm by the rule chosen."""
    rule = strut.edge_rule
    if rule == "ec3":
        return "bolt_pitch_ec3_along", "bolt_pitch_ec3_across"
    name = f"bolt_pitch_{rule if rule in ('aisc', 'aerospace') else 'light_craft'}"
    return name, name


def _pitches(out: Results, index: int) -> None:
    """The two holes that are nearest to each other for what is asked of them, and the ring of the outermost."""
    palm, bolt = out.strut.palms[index], out.strut.palms[index].bolt
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
        f"holes {one} and {other} of the {palm.name} apart",
        np.sqrt(share2) * asked[names.index(name)],
        name,
        per=bolt.hole_mm if out.strut.edge_rule == "ec3" else bolt.major_mm,
        parameter="bolts.pattern",
        advice="use fewer bolts in bolts.pattern or spread them: {need} is wanted",
    )
    out.most(
        SEAL,
        f"greatest pitch round the {palm.name}",
        _sealing_pitch_mm(out, index),
        "bolt_pitch_sealing",
        per=bolt.major_mm,
        parameter="bolts.pattern",
        advice="add bolts to bolts.pattern until neighbours are at most {need} apart",
    )


def _sealing_pitch_mm(out: Results, index: int) -> Num:
    """Greatest pitch round the palm. A grid whose pitches vary keeps its outermost holes."""
    own = _uv(out.struts.own.palms[index])
    ring = _hull_ring(own)
    order = [int(np.argmin(np.hypot(*(own - p).T))) for p in ring]
    holes = [out.strut.palms[index].holes[k] for k in order]
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
        f"rim of hole {stand.near_toe} of the {palm.name} to the root of the {arm.name}",
        gap,
        "rim_to_root",
        parameter="bolts.pattern",
        advice=say(
            "move hole {hole} away from the arm by {by}, or make the fillet or weld at the palm smaller",
            hole=stand.near_toe,
            by=mm(out.value("rim_to_root") - gap),
        ),
    )
    out.least(
        DRIVER,
        f"tool on hole {stand.near_arm} of the {palm.name} clear of the {arm.name}",
        free,
        "driver_to_arm",
        parameter="bolts.pattern",
        advice=say(
            "move hole {hole} away from the arm by {by}, or drill from the hull face and turn the nut",
            hole=stand.near_arm,
            by=mm(out.value("driver_to_arm") - free),
        ),
    )


def _apart(out: Results) -> None:
    """The palms of a vee: port one's innermost point against the starboard one's, athwart."""
    (low, high), (other_low, other_high) = (palm_span_mm(out.struts, k, 1) for k in range(2))
    gap = np.maximum(low - other_high, other_low - high)
    out.least(
        APART,
        "room between the two palms, athwart",
        gap,
        0.0,
        parameter="palm.outline.width",
        advice=say(
            "narrow palm.outline.width by {by}, shift palm.offset.port outward, or use one common palm", by=mm(-gap)
        ),
    )


def palm_span_mm(struts: Struts, index: int, way: int) -> tuple[Num, Num]:
    """Return the least and the greatest coordinate (0: x, 1: y, 2: z) of a palm's outline on the hull face, mm."""
    palm = struts.inputs.palms[index]
    low, high = struts.palms[index].span_mm(float(palm.u[way]), float(palm.v[way]))
    return palm.zero_mm[way] + low, palm.zero_mm[way] + high
