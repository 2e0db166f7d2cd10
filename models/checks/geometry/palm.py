"""Checks of the palm and its bolts: thickness, heads, edges, pitches, and room beside the arm."""

from __future__ import annotations

import numpy as np

from strutwright.models.checks.bench import Bench
from strutwright.models.checks.check import Check
from strutwright.models.frames import Vector
from strutwright.models.geometry import members, shapes
from strutwright.models.geometry.polygons import distance_to_polygon
from strutwright.models.spec import Arm, Palm
from strutwright.params import tables
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


def check(bench: Bench) -> None:
    """Find on the palms and their bolts."""
    strut, d = bench.strut, bench.strut.shaft.diameter_mm
    palm, bolt = strut.palms[0], strut.palms[0].bolt
    bench.least(
        THICKNESS,
        "palm thickness",
        palm.thickness_mm,
        "palm_thickness",
        per=d,
        parameter="palm.thickness",
        advice="make palm.thickness about {need}",
    )
    bench.within(
        SIZE,
        "bolt diameter",
        bolt.major_mm,
        "bolt_size_least",
        "bolt_size_most",
        per=d,
        parameter="bolts.size",
        advice=say(
            "choose bolts.size between {least} and {most}",
            least=mm(bench.value("bolt_size_least", d)),
            most=mm(bench.value("bolt_size_most", d)),
        ),
    )
    if bolt.kind != "plain":
        depth = bolt.head_depth_mm
        bench.most(
            HEAD,
            "depth of the heads",
            depth,
            "countersink_share",
            per=palm.thickness_mm,
            parameter="palm.thickness",
            advice=say(
                "make palm.thickness about {thick}, or the bolts smaller",
                thick=mm(depth / bench.value("countersink_share")),
            ),
        )
        bench.least(
            LAND,
            "land under the heads",
            palm.thickness_mm - depth,
            "countersink_land",
            parameter="palm.thickness",
            advice=say("make palm.thickness at least {thick}", thick=mm(depth + bench.value("countersink_land"))),
        )
    for arm in strut.arms:
        _arm_on_palm(bench, arm)
    for palm in strut.palms:
        _count(bench, palm)
        _edges(bench, palm)
        _pitches(bench, palm)
        _beside_arms(bench, palm, [a for a in strut.arms if strut.palms[a.palm_index] is palm])
    if len(strut.palms) == 2:
        _apart(bench)


def _uv(palm: Palm) -> Vector:
    return np.array([[h.u_mm, h.v_mm] for h in palm.holes])


def _arm_on_palm(bench: Bench, arm: Arm) -> None:
    palm = bench.strut.palms[arm.palm_index]
    toe = members.palm_toe(bench.strut, arm)
    inside = palm.outline.distance_to_boundary(toe)
    worst = int(np.argmin(inside))
    flat = float(inside[worst]) - palm.bevel_width_mm
    size, over = np.ptp(toe, axis=0), max(-flat, 0.0)
    where = "aft" if toe[worst, 0] < float(toe[:, 0].mean()) else "forward"
    # A root that runs out on the bevel can be made; one that hangs over the edge cannot.
    bench.least(
        ARM,
        f"flat of the palm beyond the root of the {arm.name}, {where} end",
        flat,
        0.0,
        warn=float(inside[worst]) >= 0,
        parameter="palm.outline",
        advice=say(
            "the root covers {along} by {across}: enlarge palm.outline by about {larger}, or move "
            "palm.offset by {shift}",
            along=mm(size[0]),
            across=mm(size[1]),
            larger=mm(2 * over),
            shift=mm(over),
        ),
    )


def _count(bench: Bench, palm: Palm) -> None:
    n = len(palm.holes)
    if bench.strut.backing_plate:
        bench.least(
            COUNT,
            f"bolts in the {palm.name}",
            n,
            "bolt_count",
            unit="bolts",
            parameter="bolts.pattern",
            advice="give bolts.pattern at least {need}",
        )
    else:
        bench.least(
            COUNT,
            f"bolts in the {palm.name}, without a backing plate",
            n,
            "bolt_count_unbacked",
            unit="bolts",
            hard="bolt_count",
            parameter="bolts.backing_plate",
            advice="fit a backing plate (bolts.backing_plate: true) or give bolts.pattern at least {need}",
        )


def _edges(bench: Bench, palm: Palm) -> None:
    bolt = palm.bolt
    inside = palm.outline.distance_to_boundary(_uv(palm))
    k = int(np.argmin(inside))
    hole, edge = palm.holes[k].number, float(inside[k])
    at = "bolts.pattern"
    bench.least(
        OUTSIDE,
        f"hole {hole} of the {palm.name} inside the outline",
        edge,
        bolt.hole_mm / 2,
        parameter=at,
        advice=f"move hole {hole} inward or enlarge palm.outline",
    )
    name, need = _edge_rule(bench, palm)
    bench.least(
        EDGE,
        f"hole {hole} of the {palm.name} to the edge",
        edge,
        name,
        per=need / bench.limits[name].value,
        parameter=at,
        advice=say(
            "move hole {hole} inward by {by} or enlarge palm.outline; {need} is wanted", hole=hole, by=mm(need - edge)
        ),
    )
    rim = edge - palm.bolt.rim_mm / 2
    bench.least(
        RIM_EDGE,
        f"rim of hole {hole} of the {palm.name} to the edge",
        rim,
        "rim_to_edge",
        parameter=at,
        advice=say(
            "move hole {hole} inward by {by} or enlarge palm.outline",
            hole=hole,
            by=mm(bench.value("rim_to_edge") - rim),
        ),
    )
    if palm.bevel_width_mm > 0:
        bench.least(
            RIM_BEVEL,
            f"rim of hole {hole} of the {palm.name} to the bevel",
            rim - palm.bevel_width_mm,
            "rim_to_bevel",
            parameter="palm.bevel.width",
            advice=say("make palm.bevel.width at most {width}, or move the bolts inward", width=mm(max(rim, 0.0))),
        )


def _edge_rule(bench: Bench, palm: Palm) -> tuple[str, float]:
    """Return the limit's name and the least distance (mm) from hole centre to edge by the rule chosen."""
    bolt, rule = palm.bolt, bench.strut.edge_rule
    if rule == "ec3":
        return "bolt_edge_ec3", bench.value("bolt_edge_ec3", bolt.hole_mm)
    if rule == "aerospace":
        return "bolt_edge_aerospace", bench.value("bolt_edge_aerospace", bolt.major_mm)
    if rule != "aisc":
        return "bolt_edge_light_craft", bench.value("bolt_edge_light_craft", bolt.major_mm)
    large = bench.value("bolt_edge_aisc_large", bolt.major_mm)
    rows = [
        (r["diameter"], r["edge"])
        for r in tables.table("edge_distance").rows
        if str(r["size"]).startswith("M") == bolt.size.upper().startswith("M")
    ]
    if bolt.major_mm < min(d for d, _ in rows) - 1e-6:
        return "bolt_edge_aisc_small", bench.value("bolt_edge_aisc_small", bolt.major_mm)
    # Between two rows of the table the larger bolt's distance is the safe one.
    return "bolt_edge_aisc_large", next((e for d, e in sorted(rows) if d >= bolt.major_mm - 1e-6), large)


def _pitches(bench: Bench, palm: Palm) -> None:
    uv, bolt, at = _uv(palm), palm.bolt, "bolts.pattern"
    if len(uv) < 2:
        return
    step = uv[:, None, :] - uv[None, :, :]
    apart = np.linalg.norm(step, axis=2)
    np.fill_diagonal(apart, np.inf)
    rule = bench.strut.edge_rule
    size = bolt.hole_mm if rule == "ec3" else bolt.major_mm
    if rule == "ec3":
        names = ("bolt_pitch_ec3_along", "bolt_pitch_ec3_across")
    else:
        names = (f"bolt_pitch_{rule if rule in ('aisc', 'aerospace') else 'light_craft'}",) * 2
    across = np.abs(step[..., 1]) > np.abs(step[..., 0])
    share = apart / np.where(across, bench.value(names[1]), bench.value(names[0]))
    i, j = (int(k) for k in np.unravel_index(int(np.argmin(share)), share.shape))
    name = names[int(across[i, j])]
    numbers = sorted((palm.holes[i].number, palm.holes[j].number))
    bench.least(
        PITCH,
        f"holes {numbers[0]} and {numbers[1]} of the {palm.name} apart",
        float(apart[i, j]),
        name,
        per=size,
        parameter=at,
        advice="use fewer bolts in bolts.pattern or spread them: {need} is wanted",
    )
    ring = _hull_ring(uv)
    gaps = np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1)
    bench.most(
        SEAL,
        f"greatest pitch round the {palm.name}",
        float(gaps.max()),
        "bolt_pitch_sealing",
        per=bolt.major_mm,
        parameter=at,
        advice="add bolts to bolts.pattern until neighbours are at most {need} apart",
    )


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


def _beside_arms(bench: Bench, palm: Palm, arms: list[Arm]) -> None:
    uv, rim, tool = _uv(palm), palm.bolt.rim_mm / 2, palm.bolt.driver_diameter_mm / 2
    for arm in arms:
        top = min(bench.value("driver_height"), palm.plane.drop_mm / 2)
        below = [palm.thickness_mm + h for h in (top / 2, top)]
        higher = shapes.arm_footprints(bench.strut, arm, below)
        from_toe = distance_to_polygon(uv, members.palm_toe(bench.strut, arm))
        k = int(np.argmin(from_toe))
        gap = float(from_toe[k]) - rim
        number = palm.holes[k].number
        bench.least(
            RIM_ARM,
            f"rim of hole {number} of the {palm.name} to the root of the {arm.name}",
            gap,
            "rim_to_root",
            parameter="bolts.pattern",
            advice=say(
                "move hole {hole} away from the arm by {by}, or make the fillet or weld at the palm smaller",
                hole=number,
                by=mm(bench.value("rim_to_root") - gap),
            ),
        )
        free = from_toe - tool
        for foot in higher:
            free = np.minimum(free, distance_to_polygon(uv, foot) - tool)
        k = int(np.argmin(free))
        bench.least(
            DRIVER,
            f"tool on hole {palm.holes[k].number} of the {palm.name} clear of the {arm.name}",
            float(free[k]),
            "driver_to_arm",
            parameter="bolts.pattern",
            advice=say(
                "move hole {hole} away from the arm by {by}, or drill from the hull face and turn the nut",
                hole=palm.holes[k].number,
                by=mm(bench.value("driver_to_arm") - float(free[k])),
            ),
        )


def _apart(bench: Bench) -> None:
    """The palms of a vee: port one's innermost point against the starboard one's, athwart."""
    first, second = (shapes.palm_points(p)[:, 1] for p in bench.strut.palms)
    gap = max(float(first.min() - second.max()), float(second.min() - first.max()))
    bench.least(
        APART,
        "room between the two palms, athwart",
        gap,
        0.0,
        parameter="palm.outline.width",
        advice=say(
            "narrow palm.outline.width by {by}, shift palm.offset.port outward, or use one common palm", by=mm(-gap)
        ),
    )
