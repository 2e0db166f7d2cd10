"""How near the strut and the propeller come to a scanned bottom."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Floats
from strutwright.models.bench.survey_frames import boat_points, place_mm, readings_of, strut_frame
from strutwright.models.geometry.skeg import foot_start_mm
from strutwright.models.resolve import Resolved
from strutwright.models.spec import Barrel, Palm, Skeg, Strut
from strutwright.params.bench.survey import Spot, Survey
from strutwright.params.words import Words, joined, mm, say

_SHAFTS = 1.5
"""What a scan shows within so many shaft diameters of the shaft line is not the hull over the blades."""
_BESIDE_MM = 10.0
"""So far beyond the palm's edge the hull counts as under it."""


@dataclass(frozen=True, slots=True)
class Clearance:
    """How near a part comes to the scan, mm, and where, in the strut's frame; 0 where the scan reaches into it."""

    part: str
    least_mm: float
    at_mm: tuple[float, float, float]


def in_strut_frame(said: Survey, cloud: Floats) -> Floats:
    """Return points (n, 3) of a survey's boat frame in the strut's.

    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, angles: {shaft: 0, run: 1, deadrise: 0}, drop: {vertical: 200}}"
    >>> in_strut_frame(reads(text, Survey).said, np.array([[1.0, 2.0, 3.0]])).tolist()
    [[1.0, 2.0, 3.0]]
    """
    of = readings_of(said, None)
    return np.asarray(strut_frame(of, of.values[None]).into(cloud[None])[0])


def with_tip(said: Survey, found: Resolved, points: Floats) -> Survey:
    """Return a survey with the place of a scan that is nearest to the shaft abreast of the propeller as a point over
    its blades. points: (n, 3) of the scan in the strut's frame.

    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, angles: {shaft: 0, run: 1, deadrise: 0}, drop: {vertical: 200}}"
    >>> one, points = reads(text, Survey).said, np.array([[-135.0, 0.0, 300.0], [0.0, 0.0, 160.0]])
    >>> some = with_tip(one, resolved("harbour-launch"), points)
    >>> some.tip[0].along, some.tip[0].up
    (-135.0, 300.0)
    """
    blades = _blades(found, said)
    if blades is None:
        return said
    middle, long, _ = blades
    abreast = points[np.abs(points[:, 0] - middle) <= long / 2 + _BESIDE_MM]
    away = np.hypot(abreast[:, 1], abreast[:, 2])
    hull = away > _SHAFTS * found.strut.shaft.diameter_mm
    abreast, away = abreast[hull], away[hull]
    if not len(away):
        return said
    of = readings_of(said, None)
    frame = strut_frame(of, of.values[None])
    along, port, up = (float(c) for c in abreast[int(np.argmin(away))] @ frame.axes[0] + frame.origin[0])
    return said.model_copy(update={"tip": [Spot(name="T1", along=along, port=port, up=up)]})


def _blades(found: Resolved, said: Survey) -> tuple[float, float, float] | None:
    """Middle and length along the shaft of what the blades sweep, and its radius; None where they are not known."""
    propeller = found.said.propeller
    diameter = said.propeller_diameter or propeller.diameter
    face = _hub_mm(said)
    if face is None and propeller.hub_gap is not None:
        face = -found.strut.barrel.length_mm / 2 - propeller.hub_gap
    if diameter is None or face is None:
        return None
    hub = said.hub_length or propeller.hub_length or 0.0
    return face - hub / 2, hub, diameter / 2


def _hub_mm(said: Survey) -> float | None:
    """Where the hub's forward face was measured, forward of mid-barrel; None where it was not."""
    of = readings_of(said, None)
    x = of.values[None]
    if of.of_kind(x, "hub").shape[1] == 0:
        return None
    frame = strut_frame(of, x)
    line = boat_points(of, x, "line")
    return float((place_mm(of, x, "hub", line, frame.start, frame.axes[:, 0]) - frame.mid)[0])


def round_part_mm(points: Floats, middle_mm: float, long_mm: float, radius_mm: float) -> Floats:
    """Return how far points (n, 3) are from a cylinder about the shaft line, 0 within it.

    >>> round_part_mm(np.array([[0.0, 30.0, 40.0], [54.0, 0.0, 23.0]]), 0.0, 100.0, 20.0).tolist()
    [30.0, 5.0]
    """
    beyond = np.maximum(np.abs(points[:, 0] - middle_mm) - long_mm / 2, 0.0)
    out = np.maximum(np.hypot(points[:, 1], points[:, 2]) - radius_mm, 0.0)
    return np.hypot(beyond, out)


def clearances(found: Resolved, said: Survey, points: Floats, apart_mm: float = 0.0) -> list[Clearance]:
    """Return how near propeller, barrel, arms, skeg and palms come to a scan. points: (n, 3) of it, strut's frame;
    apart_mm: how far these are apart, as the surface between them may come nearer: what it may is taken off.

    An arm is taken as large as the box round its thickest section, a fin as thick as it is anywhere, heel and foot as
    large as what holds them: never less than they are. The hull over an arm's palm is left out, and so is the rod that
    marks the shaft line. A palm lies on the hull: near to it counts what stands lower than the bedding takes.

    >>> from strutwright.params.measured import reads
    >>> one = reads("{side: centre, angles: {shaft: 0, run: 1, deadrise: 0}, drop: {vertical: 200}}", Survey).said
    >>> some = clearances(resolved("harbour-launch"), one, np.array([[-135.5, 0.0, 300.0], [0.0, 0.0, 160.0]]))
    >>> [(c.part, round(c.least_mm, 3)) for c in some[:2]]  # 300 - 480 / 2; 160 - 68 / 2
    [('propeller', 60.0), ('barrel', 126.0)]
    """
    strut = found.of_hand("starboard") if said.side == "starboard" else found.strut
    if said.scan.rod_radius is not None:
        points = points[np.hypot(points[:, 1], points[:, 2]) > 2.0 * said.scan.rod_radius]
    barrel = strut.barrel
    parts = {"barrel": round_part_mm(points, 0.0, barrel.length_mm, barrel.outside_mm / 2)}
    blades = _blades(found, said)
    if blades is not None:
        parts = {"propeller": round_part_mm(points, *blades), **parts}
    parts |= {arm.name: _from_arm(strut, k, points) for k, arm in enumerate(strut.arms)}
    if strut.skeg is not None:
        parts["skeg"] = from_skeg_mm(strut.skeg, barrel, points)
    parts |= {palm.called: from_palm_mm(palm, said.bedding.takes, points) for palm in strut.palms}
    out = []
    for part, away in parts.items():
        if len(away) and math.isfinite(float(away.min())):
            k = int(np.argmin(away))
            # What lies nearest of the surface is at most so far from a point of it, square to the distance.
            least = math.sqrt(max(float(away[k]) ** 2 - apart_mm**2, 0.0))
            out.append(Clearance(part, least, (float(points[k, 0]), float(points[k, 1]), float(points[k, 2]))))
    return out


def _from_arm(strut: Strut, index: int, points: Floats) -> Floats:
    """How far points are from the box round an arm; infinitely far where they lie over its palm."""
    arm = strut.arms[index]
    palm = strut.palms[arm.palm_index]
    axes = frames.arm_axes(arm, strut.barrel, palm.plane)
    _, end = frames.arm_ends_mm(arm, strut.barrel, palm.plane)
    along = np.clip((points - axes.origin) @ axes.n, 0.0, end - palm.thickness_mm)
    off = points - axes.origin - np.outer(along, axes.n)
    chord, thick = max(arm.chord_barrel_mm, arm.chord_palm_mm), max(arm.thickness_barrel_mm, arm.thickness_palm_mm)
    over = off @ axes.u, off @ axes.v, off @ np.cross(axes.u, axes.v)
    away = np.sqrt(
        np.maximum(np.abs(over[0]) - chord / 2, 0.0) ** 2
        + np.maximum(np.abs(over[1]) - thick / 2, 0.0) ** 2
        + over[2] ** 2
    )
    uv = frames.palm_axes(palm).from_strut(points)
    box = palm.outline.bounding_box()
    under = (uv[:, 0] > box.xmin - _BESIDE_MM) & (uv[:, 0] < box.xmax + _BESIDE_MM)
    under &= (uv[:, 1] > box.ymin - _BESIDE_MM) & (uv[:, 1] < box.ymax + _BESIDE_MM)
    return np.asarray(np.where(under & (uv[:, 2] > -palm.thickness_mm), np.inf, away))


def from_skeg_mm(skeg: Skeg, barrel: Barrel, points: Floats) -> Floats:
    """Return how far points (n, 3) are from a skeg with its heel, 0 within it; never more than they are.

    >>> sloop = shipped("sloop-with-skeg")
    >>> lead = sloop.barrel.x(sloop.skeg.root_forward_station_mm) - sloop.skeg.sweep_mm
    >>> from_skeg_mm(sloop.skeg, sloop.barrel, np.array([[lead - 1.0, 0.0, -sloop.skeg.depth_mm - 10.0]])).tolist()
    [10.0]
    """
    fore, low = barrel.x(skeg.root_forward_station_mm), -skeg.depth_mm
    lead = fore - skeg.sweep_mm
    corners = [(fore, 0.0), (barrel.x(skeg.root_aft_station_mm), 0.0), (lead - skeg.tip_chord_mm, low), (lead, low)]
    aside = np.maximum(np.abs(points[:, 1]) - max(skeg.thickness_root_mm, skeg.thickness_tip_mm) / 2, 0.0)
    out = np.hypot(_from_area(np.array(corners), points[:, [0, 2]]), aside)
    heel = skeg.heel
    if heel is not None:
        centre = np.array(heel.centre_mm)
        boss = np.linalg.norm(points - centre, axis=1) - math.hypot(heel.outside_mm, heel.height_mm) / 2
        start = np.array(foot_start_mm(barrel, skeg, heel))
        foot = _from_line(start, centre, points) - math.hypot(heel.foot_thickness_mm, heel.foot_height_mm) / 2
        out = np.minimum(out, np.maximum(np.minimum(boss, foot), 0.0))
    return np.asarray(out)


def from_palm_mm(palm: Palm, takes_mm: float, points: Floats) -> Floats:
    """Return how far points (n, 3) are from a palm's plate, 0 within it; infinitely far where they lie over its hull
    face, or no more under it than its bedding takes.

    >>> palm = shipped("harbour-launch").palms[0]  # half its length is 105
    >>> low, high = (frames.palm_axes(palm).to_strut(np.array([[125.0, 0.0]]), height) for height in (-5.0, 1.0))
    >>> from_palm_mm(palm, 2.0, np.vstack([low, high])).round(6).tolist()
    [20.0, inf]
    """
    u, v, n = frames.palm_axes(palm).from_strut(points).T
    outline = palm.outline.polyline(0.05)
    aside = _from_area(outline, np.column_stack([u, v]))
    box = palm.outline.bounding_box()
    face = np.asarray(palm.height_mm(np.clip(u, box.xmin, box.xmax), np.clip(v, box.ymin, box.ymax)))
    beneath = np.maximum(-palm.thickness_mm - n, 0.0)
    return np.asarray(np.where(n < face - takes_mm, np.hypot(aside, beneath), np.inf))


def _from_area(corners: Floats, places: Floats) -> Floats:
    """How far places (n, 2) are from an area inside corners, 0 within it."""
    out, inside = np.full(len(places), np.inf), np.zeros(len(places), dtype=bool)
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        out = np.minimum(out, _from_line(a, b, places))
        crosses = (a[1] > places[:, 1]) != (b[1] > places[:, 1])
        rise = b[1] - a[1] or 1.0
        inside ^= crosses & (places[:, 0] < a[0] + (places[:, 1] - a[1]) / rise * (b[0] - a[0]))
    return np.where(inside, 0.0, out)


def _from_line(a: Floats, b: Floats, places: Floats) -> Floats:
    """How far places are from the straight piece from a to b."""
    step = b - a
    share = np.clip((places - a) @ step / max(float(step @ step), 1e-12), 0.0, 1.0)
    return np.asarray(np.linalg.norm(places - a - share[:, None] * step, axis=1))


def in_words(found: list[Clearance], apart_mm: float = 0.0) -> tuple[Words, ...]:
    """Return clearances for a person. apart_mm: how far the points of the scan lie apart.

    >>> str(in_words([Clearance("barrel", 120.0, (0.0, 0.0, 160.0))])[0])
    'nearest to the scan, as the set has them: barrel 120 mm'
    """
    if not found:
        return ()
    each = joined(", ", [say("{part} {by}", part=c.part, by=mm(round(c.least_mm, 1))) for c in found])
    out: list[Words] = [say("nearest to the scan, as the set has them: {list}", list=each)]
    if any(c.least_mm == 0.0 for c in found):
        out.append(
            "at 0 a part touches the scan or stands in it; a palm does where the set has it otherwise than this hull"
        )
    if apart_mm > 0.0:
        template = "points of the scan lie some {apart} apart; what the hull may come nearer between them is taken off"
        out.append(say(template, apart=mm(round(apart_mm, 1))))
    return tuple(out)
