"""The strut as it was made: sizes that were measured put into it, so that the checks can be run again.

A reading that does not say which way (a hole off its place) gives several struts, and the worst of them counts.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from strutwright.models import frames
from strutwright.models.bench.inspection import Judged
from strutwright.models.outline import nearest_on
from strutwright.models.spec import BoreStep, Palm, PalmHole, PalmPlane, SetScrew, Strut
from strutwright.params.quantity import FileUnits

Sizes = Mapping[str, float]
"""What was measured, by the code of its row: mm, degrees."""


def as_made(strut: Strut, rows: Sequence[Judged], units: FileUnits, least_wall_mm: float | None = None) -> list[Strut]:
    """Return the strut with the sizes that rows measured, once for each way it may be; none where it has none of them.

    units: those that the rows are printed in; least_wall_mm: the least wall of the barrel that the checks go by, in
    whose place a measured one is put.

    >>> from strutwright.models.bench.inspection import Row, Value, judged
    >>> thin = Row("palm, thickness", "14", "12.4", "15.6", "calliper", "palm1.thickness", "length")
    >>> rows = [judged(thin, 1, Value(9.0, 0.05), "mm")]
    >>> [made.palms[0].thickness_mm for made in as_made(shipped("harbour-launch"), rows, "mm")]
    [9.0]
    """
    sizes = {r.row.code: r.value.value for r in rows if r.value is not None}
    made, changed = strut, False
    for code in sizes:
        group, _, name = code.partition(".")
        change = next((c for prefix, c in _CHANGES.items() if group.rstrip("0123456789") == prefix), None)
        now = None if change is None else change(made, group, name, sizes)
        if now is not None:
            made, changed = now, True
    walls = [_wall(r, strut, units, least_wall_mm) for r in rows if r.value is not None]
    if thinner := sum(w for w in walls if w is not None):
        barrel = made.barrel
        made, changed = replace(made, barrel=replace(barrel, outside_mm=barrel.outside_mm - 2.0 * thinner)), True
    several = [way for k, palm in enumerate(made.palms) for way in _holes(made, k, palm, sizes)]
    return several or ([made] if changed else [])


def _index(group: str) -> int:
    return int(group.lstrip("abcdefghijklmnopqrstuvwxyz")) - 1


def _wall(row: Judged, strut: Strut, units: FileUnits, least_wall_mm: float | None) -> float | None:
    """How much thinner (mm) than the checks have it the wall is; what is thin on one side counts all round."""
    barrel, value = strut.barrel, 0.0 if row.value is None else row.value.value
    if row.row.code == "barrel.wall":
        asked = (barrel.outside_mm - barrel.bore_mm) / 2.0 if least_wall_mm is None else least_wall_mm
        return max(asked - value, 0.0)
    if row.row.code == "barrel.coaxiality":
        most = row.row.limits(units)[1]
        return None if most is None else max(value - most, 0.0) / 2.0
    return None


def _bore(strut: Strut, group: str, name: str, sizes: Sizes) -> Strut | None:
    gauged = [v for c, v in sizes.items() if c.startswith(f"{group}.gauged.")]
    if not gauged:
        return None
    low, high = min(gauged), max(gauged)
    barrel, mid = strut.barrel, sum(gauged) / len(gauged)
    if abs(barrel.bore_mm - mid) < 1.0 or not barrel.steps:
        made = replace(barrel, bore_lower_mm=low - barrel.bore_mm, bore_upper_mm=high - barrel.bore_mm)
        return replace(strut, barrel=made)
    near = min(barrel.steps, key=lambda s: abs(s.diameter_mm - mid))

    def step(s: BoreStep) -> BoreStep:
        return replace(s, limits_mm=(low - s.diameter_mm, high - s.diameter_mm)) if s is near else s

    return replace(strut, barrel=replace(barrel, steps=tuple(step(s) for s in barrel.steps)))


def _barrel(strut: Strut, group: str, name: str, sizes: Sizes) -> Strut | None:
    if name not in ("length", "outside"):
        return None
    value = sizes[f"{group}.{name}"]
    return replace(strut, barrel=replace(strut.barrel, **{f"{name}_mm": value}))  # type: ignore[arg-type]


def _bearing(strut: Strut, group: str, name: str, sizes: Sizes) -> Strut | None:
    if name not in ("outside", "station"):
        return None
    k, value = _index(group), sizes[f"{group}.{name}"]
    own = strut.bearings[k]
    off = value - own.outside_mm
    made = (
        replace(own, aft_station_mm=value)
        if name == "station"
        else replace(own, outside_upper_mm=off, outside_lower_mm=off)
    )
    return replace(strut, bearings=tuple(made if n == k else b for n, b in enumerate(strut.bearings)))


# --- palms ------------------------------------------------------------------------------------------------------------


def _palm(strut: Strut, group: str, name: str, sizes: Sizes) -> Strut | None:
    k = _index(group)
    palm = strut.palms[k]
    made: Palm | None = None
    if name == "thickness":
        made = replace(palm, thickness_mm=sizes[f"{group}.thickness"])
    elif name in ("pitch", "tilt") or name.startswith("height."):
        return _on_plane(strut, k, _plane(strut, palm.plane, group, sizes))
    elif name in ("zero_forward", "zero_port"):
        made = _aside(strut, palm, name, sizes[f"{group}.{name}"])
    elif name == "holes":
        made = replace(palm, bolt=replace(palm.bolt, hole_mm=sizes[f"{group}.holes"]))
    elif name == "heads":
        made = replace(palm, bolt=replace(palm.bolt, head_diameter_mm=sizes[f"{group}.heads"]))
    return None if made is None else _with_palm(strut, k, made)


def _with_palm(strut: Strut, k: int, made: Palm) -> Strut:
    return replace(strut, palms=tuple(made if n == k else p for n, p in enumerate(strut.palms)))


def _plane(strut: Strut, drawn: PalmPlane, palm: str, sizes: Sizes) -> PalmPlane:
    """The hull face's plane by the angles and by the bar's heights over it; what was not measured is as drawn."""
    plane = drawn
    for name in ("pitch", "tilt"):
        if (angle := sizes.get(f"{palm}.{name}")) is not None:
            plane = replace(plane, **{f"{name}_deg": angle})
    rise, lean = math.tan(math.radians(plane.pitch_deg)), math.tan(math.radians(plane.tilt_deg))
    half = strut.barrel.length_mm / 2.0
    drops = [
        sizes[code] * math.hypot(1.0, rise, lean) + x * rise
        for code, x in ((f"{palm}.height.aft-face", -half), (f"{palm}.height.forward-face", half))
        if code in sizes
    ]
    return replace(plane, drop_mm=sum(drops) / len(drops)) if drops else plane


def _on_plane(strut: Strut, k: int, plane: PalmPlane) -> Strut | None:
    """The palm on another plane: its arm, or the middle of its arms, meets it elsewhere on the same line. Bolted to the
    hull it holds the shaft by as much nearer to it, and as much more aslant."""
    palm, hull = strut.palms[k], strut.hull
    arm = next(a for a in strut.arms if a.palm_index == k)
    origin = np.array([strut.barrel.x(arm.station_mm), 0.0, 0.0])
    try:
        x, y, z = frames.meet_plane(plane, origin, np.asarray(palm.zero_mm) - origin)
    except frames.FrameError:
        return None
    hull = replace(
        hull,
        drop_square_to_shaft_mm=hull.drop_square_to_shaft_mm + plane.drop_mm - palm.plane.drop_mm,
        shaft_to_hull_deg=hull.shaft_to_hull_deg + plane.pitch_deg - palm.plane.pitch_deg,
    )
    made = replace(palm, plane=plane, zero_mm=(float(x), float(y), float(z)))
    return _with_palm(replace(strut, hull=hull), k, made)


def _aside(strut: Strut, palm: Palm, name: str, value: float) -> Palm:
    """The palm with outline and holes aside of its arm, by what its zero is off its place."""
    off = np.zeros(3)
    if name == "zero_forward":
        off[0] = value - (strut.barrel.length_mm / 2.0 + palm.zero_mm[0])
    else:
        off[1] = value - palm.zero_mm[1]
    plane = palm.plane
    off[2] = off[1] * math.tan(math.radians(plane.tilt_deg)) - off[0] * math.tan(math.radians(plane.pitch_deg))
    axes = frames.palm_axes(palm)
    du, dv = float(off @ axes.u), float(off @ axes.v)
    holes = tuple(replace(h, u_mm=h.u_mm + du, v_mm=h.v_mm + dv) for h in palm.holes)
    return replace(palm, outline=palm.outline.translate(du, dv), holes=holes)


def _holes(strut: Strut, k: int, palm: Palm, sizes: Sizes) -> list[Strut]:
    """Holes off their places by half the zone's diameter that was found: all of the palm toward the edge, all toward
    the next hole, all toward the arm. None where no place was measured."""
    off = {h.number: sizes[c] / 2.0 for h in palm.holes if (c := f"palm{k + 1}.hole{h.number}") in sizes}
    if not off:
        return []
    at = np.array([(h.u_mm, h.v_mm) for h in palm.holes])
    # Of two neighbours as far the one that is off its place comes nearer.
    apart = np.linalg.norm(at[:, None] - at[None], axis=2) + np.diag([math.inf] * len(at))
    apart -= [off.get(h.number, 0.0) for h in palm.holes]
    aims = (
        np.array([nearest_on(palm.outline, each) for each in at]),
        at[np.argmin(apart, axis=1)],
        np.zeros_like(at),  # the arm's middle is the palm's zero
    )

    def moved(hole: PalmHole, to: np.ndarray) -> PalmHole:
        way = to - (hole.u_mm, hole.v_mm)
        by = off.get(hole.number, 0.0) * way / max(float(np.linalg.norm(way)), 1e-9)
        return replace(hole, u_mm=hole.u_mm + float(by[0]), v_mm=hole.v_mm + float(by[1]))

    ways = [tuple(moved(h, to) for h, to in zip(palm.holes, aim, strict=True)) for aim in aims]
    return [_with_palm(strut, k, replace(palm, holes=holes)) for holes in ways]


# --- screws and heel --------------------------------------------------------------------------------------------------


def _screw(strut: Strut, group: str, name: str, sizes: Sizes) -> Strut | None:
    """A set screw; its place was read from the nearer end of its bearing."""
    if name not in ("dimple", "clock", "station"):
        return None
    value, number = sizes[f"{group}.{name}"], _index(group) + 1

    def made(s: SetScrew) -> SetScrew:
        if s.number != number:
            return s
        if name == "dimple":
            return replace(s, dimple_depth_mm=value)
        if name == "clock":
            return replace(s, clock_deg=value)
        own = strut.bearings[s.bearing_index]
        from_aft = s.station_mm - own.aft_station_mm <= own.forward_station_mm - s.station_mm
        return replace(s, station_mm=own.aft_station_mm + value if from_aft else own.forward_station_mm - value)

    return replace(strut, set_screws=tuple(made(s) for s in strut.set_screws))


def _heel(strut: Strut, group: str, name: str, sizes: Sizes) -> Strut | None:
    """The boss's place, and the bore that the pintle runs in; the seat of a bush is no size of the strut of its own."""
    skeg = strut.skeg
    if skeg is None or skeg.heel is None:
        return None
    heel, value = skeg.heel, sizes[f"{group}.{name}"]
    x, y, z = heel.centre_mm
    places = {"abaft": (-value - strut.barrel.length_mm / 2.0, y, z), "below": (x, y, -value), "port": (x, value, z)}
    if name in places:
        return replace(strut, skeg=replace(skeg, heel=replace(heel, centre_mm=places[name])))
    seat_mm = heel.bore_mm + 2.0 * heel.bush_wall_mm
    if not name.startswith("bore") or (heel.bush_wall_mm and abs(value - seat_mm) < abs(value - heel.bore_mm)):
        return None
    return replace(strut, skeg=replace(skeg, heel=replace(heel, bore_mm=value)))


_CHANGES: dict[str, Callable[[Strut, str, str, Sizes], Strut | None]] = {
    "bore": _bore,
    "barrel": _barrel,
    "bearing": _bearing,
    "palm": _palm,
    "screw": _screw,
    "heel": _heel,
}
