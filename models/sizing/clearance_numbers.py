"""How very many candidates stand against the checks of the boat in the way (`checks.clearances`).

A bound that never says more than the true distance, in arrays, clears nearly all of them; what it cannot clear is
made into its own strut and measured like any other.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import NotYetTyped as Num
from strutwright.models.checks.bench import Bench
from strutwright.models.checks.geometry import clearances, screws
from strutwright.models.finding import Finding, Verdict
from strutwright.models.frames import Vector, unit
from strutwright.models.geometry import bodies
from strutwright.models.geometry.bodies import strut_parts
from strutwright.models.geometry.clearances import least_gap_mm
from strutwright.models.geometry.skeg import stock_axis
from strutwright.models.outline import OutlineError, rectangle, stadium
from strutwright.models.shop.bolting import way_in_mm
from strutwright.models.sizing.candidates import Candidates, holes_of
from strutwright.models.spec import Palm, Strut
from strutwright.params.limits import Limits

_LEVELS = {Verdict.FAIL: 2, Verdict.WARN: 1}
_MOVED = (
    clearances.SHAFT,
    clearances.BLADES,
    clearances.TIPS,
    clearances.STOCK,
    clearances.TOOL,
    clearances.KEY,
    clearances.ENTRY,
)
X, Y = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])


def clearance_levels(
    c: Candidates, limits: Limits, order: Sequence[int] | None = None, enough: int | None = None
) -> dict[str, Num]:
    """Return the level (0 within, 1 warning, 2 failure) of candidates in each check that is said of their strut.

    order: the candidates that are measured where a bound does not tell, best first, all when left out; the others count
    as clear. enough: so many of them that do not fail are enough: those after them that no bound clears count as
    failing.
    """
    bench = Bench(c.strut, limits)
    finders = {check.code: find for check, find in clearances.FINDERS if check in _MOVED}
    codes = _said(c.strut)
    if c.count == 1:
        own = _found(strut_of(c, 0), limits, [finders[code] for code in codes])
        return {code: _level(own, code) for code in codes}
    diameter, driver = c.inputs.propeller_mm, bench.value("driver_to_arm")
    bounds: dict[str, Callable[[], tuple[Num, ...]]] = {
        clearances.SHAFT.code: lambda: (_shaft(c), bench.value("shaft_to_strut")),
        clearances.BLADES.code: lambda: (
            _blades(c),
            bench.value("blade_to_strut") * diameter,
            bench.value("blade_to_strut_hard") * diameter,
            _blades_at_most(c),
        ),
        clearances.TIPS.code: lambda: (_tips(c), bench.value("tip_clearance") * diameter),
        clearances.STOCK.code: lambda: (_stock(c), bench.value("stock_to_strut")),
        clearances.TOOL.code: lambda: (
            _over_holes(c, lambda palm, _: (bench.value("driver_height"), palm.bolt.driver_diameter_mm), own=False),
            driver,
        ),
        clearances.ENTRY.code: lambda: (
            _over_holes(c, lambda palm, thick: (way_in_mm(c.strut, palm, thick), palm.bolt.rim_mm), own=True),
            driver,
        ),
        clearances.KEY.code: lambda: (_keys(c, bench), driver),
    }
    out: dict[str, Num] = {}
    unknown: dict[str, Num] = {}
    for code in codes:
        least, aim, *more = bounds[code]()
        clear = np.broadcast_to(np.asarray(least >= aim), (c.count,)) | ~c.buildable
        level = np.zeros(c.count, dtype=np.int8)
        if more:
            hard, most = more
            clear = clear | ((least >= hard) & (most < aim)) | (most < hard)
            level = np.where(most < hard, np.int8(2), np.where((least < aim) & (most < aim), np.int8(1), level))
        out[code], unknown[code] = level, ~clear
    good = 0
    for n in range(c.count) if order is None else order:
        asked = [code for code in codes if unknown[code][n]]
        if enough is not None and good >= enough:
            for code in asked:
                out[code][n] = 2
            continue
        if asked:
            found = _found(strut_of(c, n), limits, [finders[code] for code in asked])
            for code in asked:
                out[code][n] = _level(found, code)
        good += all(out[code][n] < 2 for code in codes)
    return out


def _said(strut: Strut) -> list[str]:
    """Return the codes that the checks say something of."""
    said = {
        clearances.SHAFT: True,
        clearances.BLADES: strut.propeller.diameter_mm is not None,
        clearances.TIPS: strut.propeller.diameter_mm is not None,
        clearances.STOCK: strut.skeg is not None and strut.skeg.heel is not None,
        clearances.TOOL: any(p.holes for p in strut.palms),
        clearances.KEY: bool(strut.set_screws),
        clearances.ENTRY: strut.hull.thickness_mm is not None
        and any(p.holes and p.bolt.kind != "plain" for p in strut.palms),
    }
    return [check.code for check, so in said.items() if so]


def _found(strut: Strut | None, limits: Limits, finders: Sequence[Any]) -> list[Finding]:
    if strut is None:
        return []
    bench = Bench(strut, limits)
    try:
        parts = strut_parts(strut)
        for find in finders:
            find(bench, parts)
    except (ValueError, ArithmeticError, LookupError):
        return bench.findings  # as in the checks: what cannot be worked out is told there
    return bench.findings


def _level(found: Sequence[Finding], code: str) -> int:
    return max((_LEVELS.get(f.verdict, 0) for f in found if f.code == code), default=0)


# --- one candidate as a strut ---------------------------------------------------------------------------------------


def strut_of(c: Candidates, n: int) -> Strut | None:
    """Return candidate n with the sizes that the checks of the boat in the way and of the roots look at; None where
    its palm has no outline."""

    def one(x: Num) -> float:
        return float(x) if np.ndim(x) == 0 else float(np.broadcast_to(x, (c.count,))[n])

    i, s = c.inputs, c.strut
    length = one(i.barrel_length_mm)
    ends = [
        replace(end, length_mm=one(size), end_diameter_mm=one(diameter))
        for end, (size, diameter) in (
            (s.barrel.aft_end, (i.aft_end_length_mm, i.aft_end_diameter_mm)),
            (s.barrel.forward_end, (i.forward_end_length_mm, i.forward_end_diameter_mm)),
        )
    ]
    barrel = replace(
        s.barrel, length_mm=length, outside_mm=one(i.barrel_outside_mm), aft_end=ends[0], forward_end=ends[1]
    )
    arms = tuple(
        replace(
            arm,
            station_mm=one(a.x_mm) + length / 2,
            chord_barrel_mm=one(a.chord_barrel_mm),
            thickness_barrel_mm=one(a.thickness_barrel_mm),
            chord_palm_mm=one(a.chord_palm_mm),
            thickness_palm_mm=one(a.thickness_palm_mm),
            edge_radius_mm=one(a.edge_radius_mm),
            barrel_root_mm=one(a.barrel_root_mm),
            palm_root_mm=one(a.palm_root_mm),
        )
        for arm, a in zip(s.arms, i.arms, strict=True)
    )
    palms = []
    for k, palm in enumerate(s.palms):
        made = _palm(c, k, palm, one)
        if made is None:
            return None
        palms.append(made)
    propeller = replace(
        s.propeller,
        diameter_mm=_known(one(i.propeller_mm)),
        hub_gap_mm=_known(one(i.hub_gap_mm)),
        hub_length_mm=_known(one(i.hub_length_mm)),
    )
    return replace(
        s,
        barrel=barrel,
        arms=arms,
        palms=tuple(palms),
        propeller=propeller,
        hull=replace(s.hull, drop_square_to_shaft_mm=one(c.drop_mm)),
        set_screws=tuple(replace(w, station_mm=one(at)) for w, at in zip(s.set_screws, c.screws_mm, strict=True)),
    )


def _known(x: float) -> float | None:
    return None if math.isnan(x) else x


def _palm(c: Candidates, index: int, palm: Palm, one: Any) -> Palm | None:
    own, shape = c.inputs.palms[index], c.palms[index]
    outline = palm.outline
    middle = one(shape.middle_u_mm), one(shape.middle_v_mm)
    if shape.fixed:
        outline = outline.translate(*middle)
    else:
        radius = one(shape.radius_mm)
        long, wide = 2 * (one(shape.core_u_mm) + radius), 2 * (one(shape.core_v_mm) + radius)
        try:
            made = (
                stadium(long, wide)
                if 2 * radius >= wide * (1 - 1e-9) and long >= wide
                else rectangle(long, wide, min(radius, wide / 2, long / 2))
            )
        except OutlineError:
            return None
        outline = made.translate(*middle)
    holes = tuple(replace(h, u_mm=one(u), v_mm=one(v)) for h, (u, v) in zip(palm.holes, holes_of(own), strict=True))
    zero = tuple(one(z) for z in own.zero_mm)
    return replace(
        palm,
        thickness_mm=one(own.thickness_mm),
        outline=outline,
        holes=holes,
        zero_mm=(zero[0], zero[1], zero[2]),
        plane=replace(palm.plane, drop_mm=one(c.drop_mm)),
    )


# --- bounds in arrays -----------------------------------------------------------------------------------------------


def _palm_reach(c: Candidates, index: int, way: Vector) -> Num:
    """How far (mm, from the origin) a palm reaches along a direction."""
    own, shape = c.inputs.palms[index], c.palms[index]
    u, v, n = (sum(float(a) * float(w) for a, w in zip(axis, way, strict=True)) for axis in (own.u, own.v, own.normal))
    at = sum(z * float(w) for z, w in zip(own.zero_mm, way, strict=True))
    at = at + shape.middle_u_mm * u + shape.middle_v_mm * v
    thick = np.maximum(-own.thickness_mm * n, 0.0)
    if shape.fixed:
        return at + thick + float((shape.outline.polyline(0.05) @ np.array([u, v])).max()) + 0.05
    return at + thick + shape.core_u_mm * abs(u) + shape.core_v_mm * abs(v) + shape.radius_mm * math.hypot(u, v)


def _arm_reach(c: Candidates, index: int, way: Vector) -> Num:
    """How far at most (mm, from the origin) an arm with its roots reaches along a direction."""
    own, arm = c.inputs.arms[index], c.strut.arms[index]
    plane = frames.arm_plane(c.strut, arm)
    axes, hull = frames.arm_axes(arm, c.strut.barrel, plane), frames.plane_axes(0.0, plane.pitch_deg, plane.tilt_deg).n
    u, v, n = float(axes.u @ way), float(axes.v @ way), float(axes.n @ way)
    into = float(axes.n @ hull)
    # Where the palm leans, one edge of the arm goes on beyond the axis' end; at the barrel the flanks go on inward.
    over = (
        own.chord_palm_mm / 2 * abs(float(axes.u @ hull)) + own.thickness_palm_mm / 2 * abs(float(axes.v @ hull))
    ) / into
    ends = []
    chord, thickness = (
        np.maximum(a, b)
        for a, b in ((own.chord_barrel_mm, own.chord_palm_mm), (own.thickness_barrel_mm, own.thickness_palm_mm))
    )
    sunk = own.start_mm - own.thickness_barrel_mm / 2
    lean, rake = (
        1 / math.tan(math.radians(max(90.0 - a, 20.0)) / 2)
        for a in (math.degrees(math.acos(min(1.0, into))), math.degrees(math.asin(min(1.0, abs(float(axes.n[0]))))))
    )
    # A flank leaves the round barrel at more than a right angle: the fillet's toe there is nearer than its radius.
    root = own.barrel_root_mm * (abs(v) + rake * math.sqrt(max(1.0 - v * v, 0.0)))
    for along, long, thick, toe in (
        (sunk, chord, thickness, root),
        (own.end_mm + over, own.chord_palm_mm, thickness, own.palm_root_mm * lean),
    ):
        ends.append(along * n + long / 2 * abs(u) + thick / 2 * abs(v) + toe)
    return own.x_mm * float(way[0]) + np.maximum(ends[0], ends[1])


def _round_reach(way: Vector, from_x: Num, to_x: Num, radius: Num) -> Num:
    return np.maximum(from_x * float(way[0]), to_x * float(way[0])) + radius * math.hypot(float(way[1]), float(way[2]))


def _shaft(c: Candidates) -> Num:
    r = c.strut.shaft.diameter_mm / 2
    bound: Num = _heel_gaps(c.strut)[0]
    for k, palm in enumerate(c.inputs.palms):
        n = np.array(palm.normal, dtype=float)
        way = unit(np.array([0.0, n[1], n[2]]))
        bound = np.minimum(bound, -_palm_reach(c, k, -way) - r)
    return bound


@functools.lru_cache(maxsize=8)
def _heel_gaps(strut: Strut) -> tuple[float, float]:
    """What does not move where there is a skeg: shaft to foot and boss, rudder stock to barrel and fin, mm."""
    skeg = strut.skeg
    if skeg is None or skeg.heel is None:
        return math.inf, math.inf
    parts = strut_parts(strut)
    return (
        clearances.nearest(
            bodies.shaft_bodies(strut, strut.barrel.length_mm), clearances.of_kind(parts, "foot", "heel boss")
        )[0],
        clearances.nearest(bodies.stock_bodies(strut, skeg.heel), clearances.of_kind(parts, "barrel", "skeg"))[0],
    )


def _stock(c: Candidates) -> Num:
    """A bound of the rudder stock and its tube to palms and arms, from directions square to the stock."""
    assert c.strut.skeg is not None
    assert c.strut.skeg.heel is not None
    heel = c.strut.skeg.heel
    bound: Num = _heel_gaps(c.strut)[1]
    up, foot = stock_axis(heel), np.asarray(heel.centre_mm, dtype=float)
    r = max(heel.stock_mm, heel.tube_mm or 0.0) / 2
    fore = unit(np.cross(np.array([0.0, 1.0, 0.0]), up))
    side = np.cross(up, fore)
    ways = [math.cos(t) * fore + math.sin(t) * side for t in np.linspace(0.0, 2 * math.pi, 13)[:-1].tolist()]
    for reach, count in ((_palm_reach, len(c.palms)), (_arm_reach, len(c.inputs.arms))):
        for k in range(count):
            free: Num = -math.inf
            for way in ways:
                free = np.maximum(free, float(foot @ way) - r - reach(c, k, way))
            bound = np.minimum(bound, free)
    return bound


def _blades(c: Candidates) -> Num:
    i = c.inputs
    start = -(i.barrel_length_mm / 2 + np.nan_to_num(i.hub_gap_mm))
    end = start - np.nan_to_num(i.hub_length_mm)
    bound: Num = math.inf
    for k in range(len(i.arms)):
        bound = np.minimum(bound, -_arm_reach(c, k, -X) - _round_reach(X, end, start, i.propeller_mm / 2))
    for k, palm in enumerate(i.palms):
        ways = (X, np.array(palm.normal, dtype=float))
        bound = np.minimum(
            bound, np.maximum(*(-_palm_reach(c, k, -w) - _round_reach(w, end, start, i.propeller_mm / 2) for w in ways))
        )
    return bound


def _tips(c: Candidates) -> Num:
    i = c.inputs
    start = -(i.barrel_length_mm / 2 + np.nan_to_num(i.hub_gap_mm))
    middle = start - np.nan_to_num(i.hub_length_mm) / 2
    bound: Num = math.inf
    for k, palm in enumerate(i.palms):
        ways = (X, np.array(palm.normal, dtype=float))
        gap = np.maximum(*(-_palm_reach(c, k, -w) - _round_reach(w, middle, middle, i.propeller_mm / 2) for w in ways))
        bound = np.where(-_palm_reach(c, k, -X) < start, np.minimum(bound, gap), bound)
    return bound


def _blades_at_most(c: Candidates) -> Num:
    """What the room swept by the blades is at most from an arm's trailing edge where it leaves the barrel."""
    i = c.inputs
    most: Num = math.inf
    for own, arm in zip(i.arms, c.strut.arms, strict=True):
        axes = frames.arm_axes(arm, c.strut.barrel, frames.arm_plane(c.strut, arm))
        edge = own.x_mm + own.start_mm * float(axes.n[0]) - own.chord_barrel_mm / 2 * float(axes.u[0])
        most = np.minimum(most, edge + i.barrel_length_mm / 2 + np.nan_to_num(i.hub_gap_mm))
    # An edge that is not within the blades' circle says nothing, nor one abaft their forward side.
    return np.where((i.propeller_mm > 1.2 * i.barrel_outside_mm) & (most > 0), most, math.inf)


def _over_holes(c: Candidates, room: Callable[[Palm, Num], tuple[Num, float]], *, own: bool) -> Num:
    """How far at least (mm) the room over the bolt holes is from barrel and arms.

    room: height over the water face and width (mm), of a palm of that thickness. own: the palm's own arms count.
    """
    i, strut = c.inputs, c.strut
    bound: Num = math.inf
    half = i.barrel_length_mm / 2
    for k, palm in enumerate(i.palms):
        n = np.array(palm.normal, dtype=float)
        height, wide = room(strut.palms[k], palm.thickness_mm)
        against: list[tuple[Sequence[Vector], Callable[[Vector], Num]]] = [
            ((n, Y, -Y), lambda way: _round_reach(way, -half, half, i.barrel_outside_mm / 2))
        ]
        for m, arm in enumerate(strut.arms):
            if own or arm.palm_index != k:
                axes = frames.arm_axes(arm, strut.barrel, frames.arm_plane(strut, arm))
                turns = np.linspace(0.0, 2 * math.pi, 9)[:-1].tolist() if arm.palm_index == k else (0.0, math.pi)
                against.append(
                    ([math.cos(t) * axes.v + math.sin(t) * axes.u for t in turns], functools.partial(_arm_reach, c, m))
                )
        for u, v in holes_of(palm):
            top = [palm.zero_mm[j] + u * palm.u[j] + v * palm.v[j] for j in range(3)]
            for ways, reach in against:
                free: Num = -math.inf
                for way in ways:
                    rise = float(n @ way)
                    low = sum(t * float(w) for t, w in zip(top, way, strict=True)) - np.maximum(
                        palm.thickness_mm * rise, (palm.thickness_mm + height) * rise
                    )
                    free = np.maximum(free, low - wide / 2 * math.sqrt(max(1 - rise * rise, 0.0)) - reach(way))
                bound = np.minimum(bound, free)
    return bound


@functools.lru_cache(maxsize=8)
def _keys_to_fin(strut: Strut, room: float) -> float:
    if strut.skeg is None:
        return math.inf
    fin = bodies.fin_bodies(strut, strut.skeg)
    return min(
        (
            least_gap_mm([bodies.key_body(strut, s, screws.key_mm(s), room * screws.key_mm(s))], fin)
            for s in strut.set_screws
        ),
        default=math.inf,
    )


def _keys(c: Candidates, bench: Bench) -> Num:
    i, strut = c.inputs, c.strut
    bound: Num = _keys_to_fin(strut, bench.limits["screw_key_room"].value)
    for s, station in zip(strut.set_screws, c.screws_mm, strict=True):
        size = screws.key_mm(s)
        r, high = size / math.sqrt(3), bench.value("screw_key_room", size)
        out, x = frames.radial(s.clock_deg), station - i.barrel_length_mm / 2
        for k, arm in enumerate(strut.arms):
            across = frames.arm_axes(arm, strut.barrel, frames.arm_plane(strut, arm)).v
            ways = [
                unit(math.cos(t) * across + math.sin(t) * X + s * frames.radial(arm.clock_deg))
                for t in np.linspace(0.0, 2 * math.pi, 17)[:-1].tolist()
                for s in (0.0, -0.4)
            ]
            free: Num = -math.inf
            for way in ways:
                rise = float(out @ way)
                low = x * float(way[0]) + np.minimum(
                    i.barrel_outside_mm / 2 * rise, (i.barrel_outside_mm / 2 + high) * rise
                )
                free = np.maximum(free, low - r * math.sqrt(max(1 - rise * rise, 0.0)) - _arm_reach(c, k, way))
            bound = np.minimum(bound, free)
    return bound
