"""The strut and what stands beside it as simple convex bodies, for the least distances between them. mm, numpy only.

What is simplified: an arm's cross-section between its ends is taken as that of the hull of both (a little larger where
chord and thickness taper unlike each other); bolt holes, countersinks and slots are not cut out; an outline that is
not convex is taken in triangles, its bevel left out. All of it makes a body larger, never smaller, by more than
`FINE_MM`. The blades are the whole cylinder they sweep, as long as the hub: their rake and their breadth along the
shaft are not known.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from strutwright.models import frames
from strutwright.models.frames import Axes, Vector, unit
from strutwright.models.geometry import shapes
from strutwright.models.geometry.barrel import leaves_cylinder, outside_rows
from strutwright.models.geometry.clearances import Body, Hull, Round, convex_pieces, cylinder, least_gap_mm, plate
from strutwright.models.geometry.members import arm_member, fin_member
from strutwright.models.geometry.skeg import foot_start_mm, stock_axis
from strutwright.models.outline import OutlineError
from strutwright.models.shop.bolting import way_in_mm
from strutwright.models.spec import Arm, Barrel, Heel, Palm, PalmHole, SetScrew, Skeg, Strut
from strutwright.models.spec_boat import Propeller

FINE_MM = 0.02
"""How far the bodies' curved outlines may lie inside the true ones."""
HUB_SHARE = 0.22
"""Diameter of the hub over the propeller's, where only that is known; common practice, no source."""
_SLICES = 4
_SHARPEST = 0.35
"""Sharpest corner (radians) that a fillet is reckoned in."""
_X = np.array([1.0, 0.0, 0.0])


@dataclass(frozen=True)
class Part:
    """A part of the strut in simple bodies. name: as in findings; parameter: the path that moves it; made: what works
    out its bodies, once they are asked for."""

    name: str
    kind: str
    parameter: str
    made: Callable[[], Sequence[Body]]

    @functools.cached_property
    def bodies(self) -> tuple[Body, ...]:
        """The bodies."""
        return tuple(self.made())


# --- the strut ------------------------------------------------------------------------------------------------------


def strut_parts(strut: Strut) -> list[Part]:
    """Return barrel, arms with their roots, palms, and the skeg's fin, foot and boss.

    >>> [part.name for part in strut_parts(shipped("yawl-with-heel"))]
    ['barrel', 'arm', 'palm', 'skeg', 'foot', 'heel boss']
    """
    by = functools.partial
    parts = [Part("barrel", "barrel", "barrel.length", lambda: [_barrel_body(strut.barrel)])]
    parts += [Part(a.called, "arm", "arms.rake", by(_arm_bodies, strut, a)) for a in strut.arms]
    parts += [Part(p.called, "palm", "palm.outline", by(palm_bodies, p)) for p in strut.palms]
    skeg = strut.skeg
    if skeg is not None:
        parts.append(Part("skeg", "skeg", "skeg.root_aft", by(fin_bodies, strut, skeg)))
        heel = skeg.heel
        if heel is not None:
            at = "skeg.heel.behind_barrel"
            parts.append(Part("foot", "foot", at, lambda: [foot_body(strut, skeg, heel)]))
            parts.append(Part("heel boss", "heel boss", at, lambda: [boss_body(heel)]))
    return parts


def _barrel_body(barrel: Barrel) -> Round:
    """Return the barrel's outside."""
    stations, radii = outside_rows(barrel, 25)
    return Round(np.zeros(3), _X, stations - barrel.length_mm / 2, radii)


def _arm_bodies(strut: Strut, arm: Arm) -> list[Body]:
    """Return an arm from the barrel's outside to its palm's water face, with its roots at both."""
    a, b = arm_member(strut, arm).lines()
    palm = strut.palms[arm.palm_index]
    hull = frames.palm_axes(palm)
    on = a + leaves_cylinder(a, b, strut.barrel.outside_mm / 2)[0][:, None] * b
    k = (-palm.thickness_mm - (a - hull.origin) @ hull.n) / (b @ hull.n)
    water = a + k[:, None] * b
    welded = strut.construction == "welded"
    return [
        Hull(np.concatenate([on, water])),
        *_root(on, _out_of_barrel(on), b, arm.barrel_root_mm, welded),
        *_root(water, np.broadcast_to(-hull.n, water.shape), -b, arm.palm_root_mm, welded),
    ]


def _out_of_barrel(on: Vector) -> Vector:
    square = on * np.array([0.0, 1.0, 1.0])
    return np.asarray(square / np.maximum(np.linalg.norm(square, axis=1), 1e-9)[:, None])


def _root(ring: Vector, up: Vector, side: Vector, size_mm: float, welded: bool) -> list[Body]:
    """The fillet (radius) or weld (leg) round a section where it stands on a face.

    ring: where the section's sides meet the face; up: square to the face there; side: along the sides, away from the
    face; all (n, 3). Side by side of the section, so that the root goes round a corner as the ball does.
    """
    if size_mm <= 0:
        return []
    after = np.roll(np.arange(len(ring)), -1)
    long = np.linalg.norm(ring[after] - ring, axis=1) > 1e-9
    edge = (ring[after] - ring)[long]
    corner, up, side = (np.vstack([x[long], x[after][long]]) for x in (ring, up, side))
    outward = np.cross(np.vstack([edge, edge]), up)
    outward = outward / np.maximum(np.linalg.norm(outward, axis=1), 1e-12)[:, None]
    outward = outward * math.copysign(1.0, float(np.sum(outward * (corner - ring.mean(axis=0)))))
    side = side / np.linalg.norm(side, axis=1)[:, None]
    if welded:
        return [Hull(np.concatenate([ring, corner + size_mm * outward, corner + size_mm * side]))]
    open_ = np.arccos(np.clip(np.sum(side * outward, axis=1), -1.0, 1.0))
    reach = size_mm / np.tan(np.maximum(open_, _SHARPEST) / 2)
    toe, turned = corner + reach[:, None] * outward, math.pi - np.maximum(open_, _SHARPEST)
    rings = []
    for share in np.linspace(0.0, 1.0, _SLICES + 1):
        phi = (share * turned)[:, None]
        rings.append(toe - size_mm * np.sin(phi) * outward + size_mm * (1 - np.cos(phi)) * up)
    return [Hull(np.concatenate([low, high])) for low, high in itertools.pairwise(rings)]


def palm_bodies(palm: Palm) -> list[Body]:
    """Return a palm in convex plates, without its holes.

    >>> strut = shipped("canal-tender")
    >>> [len(palm_bodies(palm)) for palm in strut.palms]  # its outline is convex
    [1]
    """
    axes, thick = frames.palm_axes(palm), palm.thickness_mm
    ring = palm.outline.polyline(FINE_MM)
    pieces = convex_pieces(ring)
    if len(pieces) == 1 and palm.bevel_width_mm > 0 and palm.bevel_height_mm > 0:
        try:
            top = palm.outline.inset(palm.bevel_width_mm).polyline(FINE_MM)
        except OutlineError:
            top = ring
        return [plate([(ring, 0.0), (ring, -(thick - palm.bevel_height_mm)), (top, -thick)], axes)]
    return [plate([(p, 0.0), (p, -thick)], axes) for p in pieces]


def fin_bodies(strut: Strut, skeg: Skeg) -> list[Body]:
    """Return the skeg's fin from the barrel to its lower edge, with its root.

    >>> strut = shipped("yawl-with-heel")
    >>> round(float(fin_bodies(strut, strut.skeg)[0].box[0][2]), 6)  # down to its lower edge
    -324.0
    """
    a, b = fin_member(skeg, strut.barrel).lines()
    on = a + leaves_cylinder(a, b, strut.barrel.outside_mm / 2)[0][:, None] * b
    return [
        Hull(np.concatenate([on, a + b])),
        *_root(on, _out_of_barrel(on), b, skeg.root_mm, strut.construction == "welded"),
    ]


def foot_body(strut: Strut, skeg: Skeg, heel: Heel) -> Hull:
    """Return the bar from the fin's leading edge to the middle of the boss; what its end leaves free is not cut out.

    >>> strut = shipped("yawl-with-heel")
    >>> float(foot_body(strut, strut.skeg, strut.skeg.heel).box[1][1])  # 40 / 2
    20.0
    """
    start = np.array(foot_start_mm(strut.barrel, skeg, heel))
    way = np.asarray(heel.centre_mm) - start
    long, b = float(np.linalg.norm(way)), heel.foot_thickness_mm / 2
    u = unit(way)
    v = unit(np.cross(np.array([0.0, 0.0, 1.0]), u))
    axes = Axes(start, u, v, np.cross(u, v))
    turn = np.linspace(math.pi / 2, 3 * math.pi / 2, 49)
    ring = np.vstack([np.column_stack([b + b * np.cos(turn), b * np.sin(turn)]), [[long, -b], [long, b]]])
    return plate([(ring, -heel.foot_height_mm / 2), (ring, heel.foot_height_mm / 2)], axes)


def boss_body(heel: Heel) -> Round:
    """Return the heel boss.

    >>> boss_body(shipped("yawl-with-heel").skeg.heel).radii.tolist()  # 60 / 2
    [30.0, 30.0]
    """
    up = stock_axis(heel)
    return cylinder(np.asarray(heel.centre_mm) - heel.height_mm / 2 * up, up, heel.height_mm, heel.outside_mm / 2)


# --- the boat -------------------------------------------------------------------------------------------------------


def shaft_bodies(strut: Strut, reach_mm: float) -> list[Round]:
    """Return the shaft outside the barrel: forward of it for reach_mm, and aft of it to the end of the hub.

    >>> [float(body.along[1]) for body in shaft_bodies(shipped("canal-tender"), 600.0)]  # 600 - 74 / 2; 12 + 55
    [563.0, 67.0]
    """
    r, half = strut.shaft.diameter_mm / 2, strut.barrel.length_mm / 2
    out = [cylinder(half * _X, _X, max(reach_mm - half, 1.0), r)]
    aft = (strut.propeller.hub_gap_mm or 0.0) + (strut.propeller.hub_length_mm or 0.0)
    return [*out, cylinder(-half * _X, -_X, aft, r)] if aft > 0 else out


def blades_body(strut: Strut, propeller: Propeller) -> Round | None:
    """Return the cylinder that the blades sweep, as long as the hub; None where the diameter is not given.

    >>> strut = shipped("canal-tender")
    >>> blades_body(strut, strut.propeller).box[0].round(6).tolist()  # -74 / 2 - 12 - 55; 280 / 2
    [-104.0, -140.0, -140.0]
    """
    if propeller.diameter_mm is None:
        return None
    return cylinder(
        _hub_start_mm(strut, propeller) * _X, -_X, propeller.hub_length_mm or 0.0, propeller.diameter_mm / 2
    )


def _hub_start_mm(strut: Strut, propeller: Propeller) -> float:
    """Return the strut-frame x of the hub's forward end; a gap that is not given counts as none."""
    return -strut.barrel.length_mm / 2 - (propeller.hub_gap_mm or 0.0)


def _tip_circle(strut: Strut, propeller: Propeller) -> Round | None:
    """Return the disc of the blade tips at the middle of the hub; None where the diameter is not given."""
    if propeller.diameter_mm is None:
        return None
    middle = _hub_start_mm(strut, propeller) - (propeller.hub_length_mm or 0.0) / 2
    return cylinder(middle * _X, -_X, 0.0, propeller.diameter_mm / 2)


def stock_bodies(strut: Strut, heel: Heel) -> list[Round]:
    """Return the rudder stock from the heel boss up through the hull, and the tube round it from the hull up.

    >>> strut = shipped("yawl-with-heel")
    >>> [float(body.radii[0]) for body in stock_bodies(strut, strut.skeg.heel)]  # the stock of 38, its tube of 54
    [19.0, 27.0]
    """
    up, foot = stock_axis(heel), np.asarray(heel.centre_mm) + heel.height_mm / 2 * stock_axis(heel)
    hull = frames.plane_axes(*_keel(strut))
    top = float((hull.origin - foot) @ hull.n) / float(up @ hull.n)
    over = 2 * max(p.thickness_mm for p in strut.palms) + heel.stock_mm
    out = [cylinder(foot, up, max(top + over, over), heel.stock_mm / 2)]
    if heel.tube_mm is not None:
        low = max(top - heel.tube_below_hull_mm, 0.0)
        out.append(cylinder(foot + low * up, up, top + over - low, heel.tube_mm / 2))
    return out


def _keel(strut: Strut) -> tuple[float, float, float]:
    plane = shapes.plane_over_shaft(strut)
    return plane.drop_mm, plane.pitch_deg, plane.tilt_deg


# --- tools ----------------------------------------------------------------------------------------------------------


def bolt_tool(palm: Palm, hole: PalmHole, height_mm: float) -> Round:
    """Return the room (a cylinder) of the tool that turns a bolt from the water side, up to a height over the palm.

    >>> palm = shipped("canal-tender").palms[0]
    >>> float(bolt_tool(palm, palm.holes[0], 60.0).radii[0])  # 18.3 / 2
    9.15
    """
    return _over_hole(palm, hole, height_mm, palm.bolt.driver_diameter_mm)


def bolt_way(strut: Strut, palm: Palm, hole: PalmHole) -> Round:
    """Return the room (a cylinder as wide as the head) through which a bolt is put in from the water side.

    Raises LookupError when the hull's thickness is not known.

    >>> strut = shipped("canal-tender")
    >>> way = bolt_way(strut, strut.palms[0], strut.palms[0].holes[0])
    >>> round(float(way.along[1]), 2)  # 10 + 2 + 12 + 8, washer 1.6, nut 6.8 and three threads of 1.25
    44.15
    """
    return _over_hole(
        palm, hole, float(way_in_mm(strut, palm, palm.thickness_mm + palm.stands_out_mm)), palm.bolt.rim_mm
    )


def _over_hole(palm: Palm, hole: PalmHole, height_mm: float, wide_mm: float) -> Round:
    axes = frames.palm_axes(palm)
    start = axes.to_strut(np.array([[hole.u_mm, hole.v_mm]]), -palm.thickness_mm)[0]
    return cylinder(start, -axes.n, height_mm, wide_mm / 2)


def key_body(strut: Strut, screw: SetScrew, key_mm: float, height_mm: float) -> Round:
    """Return the room of the hexagon key that turns a set screw, square to the barrel; its long arm is not in it.

    >>> strut = shipped("canal-tender")
    >>> round(float(key_body(strut, strut.set_screws[0], 3.0, 50.0).radii[0]), 3)  # 3 / sqrt 3: over its corners
    1.732
    """
    out = frames.radial(screw.clock_deg)
    start = np.array([strut.barrel.x(screw.station_mm), 0.0, 0.0]) + strut.barrel.outside_mm / 2 * out
    return cylinder(start, out, height_mm, key_mm / math.sqrt(3))


# --- distances --------------------------------------------------------------------------------------------------------


def of_kind(parts: Sequence[Part], *kinds: str) -> list[Part]:
    """Return the parts of some kinds.

    >>> [part.name for part in of_kind(strut_parts(shipped("pilot-vee")), "palm")]
    ['port palm', 'starboard palm']
    """
    return [p for p in parts if p.kind in kinds]


def nearest(group: Sequence[Body], parts: Sequence[Part], enough_mm: float = math.inf) -> tuple[float, Part | None]:
    """Return the least gap (mm) between bodies and parts and the part that has it, or (inf, None).

    enough_mm: no gap of this much or more is looked for.

    >>> parts = strut_parts(shipped("canal-tender"))
    >>> nearest(of_kind(parts, "barrel")[0].bodies, of_kind(parts, "palm"))[1].name
    'palm'
    """
    best, which = enough_mm, None
    for part in parts:
        gap = least_gap_mm(group, part.bodies, best)
        if gap < best:
            best, which = gap, part
    return (math.inf if which is None else best), which


def palm_over_tips(strut: Strut, parts: Sequence[Part]) -> tuple[float, Part] | None:
    """Return the least gap (mm) from the circle of the blade tips to a palm that reaches aft of the hub's forward end,
    and that palm; None without a diameter or such a palm.

    >>> strut = shipped("canal-tender")
    >>> gap, palm = palm_over_tips(strut, strut_parts(strut))
    >>> round(gap, 2), palm.name  # its hull face is 74.41 off, and it is 10 thick
    (64.41, 'palm')
    """
    circle = _tip_circle(strut, strut.propeller)
    start = _hub_start_mm(strut, strut.propeller)
    over = [p for p in of_kind(parts, "palm") if min(float(b.box[0][0]) for b in p.bodies) < start]
    if circle is None or not over:
        return None
    gap, part = nearest([circle], over)
    return None if part is None else (gap, part)


def entered_from_inside(strut: Strut, palm: Palm, parts: Sequence[Part], room_mm: float) -> list[int]:
    """Return the numbers of a palm's holes whose bolts cannot be put in from the water side with room_mm beside them.

    Raises LookupError when the hull's thickness is not known.

    >>> strut = shipped("canal-tender")
    >>> entered_from_inside(strut, strut.palms[0], strut_parts(strut), 2.0)
    []
    """
    against = of_kind(parts, "barrel", "arm")
    return [
        hole.number for hole in palm.holes if nearest([bolt_way(strut, palm, hole)], against, room_mm)[1] is not None
    ]


def numbered(holes: Sequence[int]) -> str:
    """Return "hole 5" or "holes 5 and 6".

    >>> numbered([5]), numbered([1, 5, 6])
    ('hole 5', 'holes 1, 5 and 6')
    """
    if len(holes) == 1:
        return f"hole {holes[0]}"
    return f"holes {', '.join(map(str, holes[:-1]))} and {holes[-1]}"
