"""Checks of the set screws: in the bearing, off the rubber, clear of everything else, within reach of a key."""

from __future__ import annotations

import itertools
import math

import numpy as np

from strutwright.models import frames, rules
from strutwright.models.arrays import Floats, Num
from strutwright.models.checks.check import Check, rows_of
from strutwright.models.checks.results import Results
from strutwright.models.finding import Standing
from strutwright.models.formulas.bearing import flute_clock
from strutwright.models.geometry import footprints, shapes
from strutwright.models.geometry.barrel import round_part, seats_on
from strutwright.models.geometry.footprints import OnBarrel
from strutwright.models.spec import Bearing, SetScrew, WaterSlots
from strutwright.models.struts import Struts
from strutwright.params import tables
from strutwright.params.words import Words, deg, mm, say

THROUGH = 0.99  # of the shell: a dimple as deep as that is through it
CHECKS = (PRESENT, INSIDE, BARREL, EVEN, FLUTE, DIMPLE, ARM, SKEG, END, SLOT, APART, STEP, KEY) = rows_of("screws")


def check(out: Results) -> None:
    """Check each set screw, and the pattern of them.

    >>> round(found(check, "canal-tender")["screws_apart"].actual, 3)  # 80 - 20 - 20
    40.0
    """
    strut = out.strut
    press = strut.barrel.fit == "press"
    out.holds(
        PRESENT,
        bool(strut.set_screws),
        warn=press,
        source="none",
        standing=Standing.PRACTICE,
        advice="leave set_screws.positions out for two screws"
        if press
        else "give set_screws.positions, as a slide fit is held by its screws alone",
        count=str(len(strut.set_screws) or "none"),
    )
    arms = [
        (arm.name, footprints.on_barrel(out.struts, k, out.roll), arm.barrel_root_mm)
        for k, arm in enumerate(strut.arms)
    ]
    for s in strut.set_screws:
        _one(out, s, strut.bearings[s.bearing_index], arms)
    for i, b in enumerate(strut.bearings):
        _symmetry(out, b, [s for s in strut.set_screws if s.bearing_index == i])
    _apart(out)


def _one(out: Results, s: SetScrew, b: Bearing, arms: list[tuple[str, OnBarrel, float]]) -> None:
    strut, barrel = out.strut, out.strut.barrel
    at, name = f"set_screws.positions[{s.number - 1}]", f"set screw {s.number}"
    _along(out, s, b, at, name)
    _point(out, s, b, at, name)
    for arm, on, root_mm in arms:
        _beside(out, ARM, s, on, root_mm, f"{name} and the {arm}", at)
    if strut.skeg is not None:
        _beside(
            out, SKEG, s, footprints.skeg_on_barrel(strut, strut.skeg), strut.skeg.root_mm, f"{name} and the skeg", at
        )
    if barrel.slots is not None:
        _slot(out, s, barrel.slots, at, name)
    _steps(out, s, at, name)
    _key(out, s, at, name)


def _along(out: Results, s: SetScrew, b: Bearing, at: str, name: str) -> None:
    barrel = out.strut.barrel
    out.least(
        INSIDE,
        np.minimum(s.station_mm - b.aft_station_mm, b.forward_station_mm - s.station_mm),
        "screw_bearing_end",
        per=s.major_mm,
        name=name,
        at=at,
        quarter=mm(b.length_mm / 4),
    )
    out.least(
        BARREL,
        np.minimum(s.station_mm, barrel.length_mm - s.station_mm),
        "screw_barrel_end",
        per=s.major_mm,
        name=name,
        at=at,
    )
    half = shapes.screw_half_mm(s)
    start, stop = round_part(barrel, s.station_mm)
    out.least(
        END,
        np.minimum(s.station_mm - start, stop - s.station_mm) - half,
        0.0,
        name=name,
        at=at,
        start=mm(start + half),
        stop=mm(stop - half),
    )


def _point(out: Results, s: SetScrew, b: Bearing, at: str, name: str) -> None:
    out.most(
        DIMPLE,
        s.dimple_depth_mm,
        "dimple",
        per=b.shell_mm,
        hard=THROUGH * b.shell_mm,
        name=name,
        shell=mm(b.shell_mm),
        usual=mm(rules.dimple_share(out.limits) * b.shell_mm),
    )
    if b.plain:
        return
    flute = flute_clock(s.clock_deg, b.flute_count, b.flute_clock_deg, b.flute_width_mm, b.inside_mm)
    pitch = 180 / b.flute_count
    out.least(
        FLUTE,
        float(flute.past_flute_edge_deg),
        "screw_past_flute",
        unit="deg",
        name=name,
        off=deg(float(flute.to_flute_centre_deg)),
        at=at,
        turn=deg(abs(pitch - float(flute.to_flute_centre_deg))),
    )


def _beside(out: Results, check: Check, s: SetScrew, on: OnBarrel, root_mm: Num, what: str, at: str) -> None:
    """Where the screw's station is within the root, its clock must be off it by half its width, the fillet and more."""
    reach = root_mm + shapes.screw_half_mm(s)
    angle = frames.angle_between_deg(s.clock_deg, on.clock_deg)
    need = on.half_deg + np.degrees(root_mm / (out.strut.barrel.outside_mm / 2)) + out.value("screw_beside_root")
    within = np.logical_and(on.aft_mm - reach < s.station_mm, s.station_mm < on.forward_mm + reach)
    out.least(
        check,
        np.maximum(on.aft_mm - s.station_mm, s.station_mm - on.forward_mm),
        reach,
        what=f"{what}, along the barrel",
        parameter=f"{at}.distance",
        advice="",
        where=np.logical_not(within),
    )

    def turned() -> Words:
        clock = on.clock_deg + math.copysign(need, (s.clock_deg - on.clock_deg + 180) % 360 - 180)
        return say(
            "move {at}.clock to at least {need} from it, such as {clock}",
            at=at,
            clock=deg(math.copysign(math.ceil(abs(clock)), clock)),
        )

    out.least(
        check,
        angle,
        need,
        also="screw_beside_root",
        what=f"{what}, round the barrel",
        unit="deg",
        parameter=f"{at}.clock",
        advice=turned,
        where=within,
    )


def _slot(out: Results, s: SetScrew, slots: WaterSlots, at: str, name: str) -> None:
    radius = out.strut.barrel.outside_mm / 2
    clocks = slots.first_clock_deg + 360.0 / slots.count * np.arange(slots.count)
    round_mm = min(frames.angle_between_deg(s.clock_deg, float(c)) for c in clocks) * math.pi / 180 * radius
    straight = max(slots.length_mm - slots.width_mm, 0.0) / 2
    along = np.maximum(np.abs(s.station_mm - slots.centre_station_mm) - straight, 0.0)
    metal = np.hypot(along, round_mm) - slots.width_mm / 2 - s.major_mm / 2
    out.least(SLOT, metal, "screw_to_slot", per=s.major_mm, hard=0.0, name=name, at=at)


def _steps(out: Results, s: SetScrew, at: str, name: str) -> None:
    barrel = out.strut.barrel
    b = out.strut.bearings[s.bearing_index]
    for k, step in enumerate(barrel.steps):
        off = np.maximum(step.from_station_mm - s.station_mm, s.station_mm - step.to_station_mm)
        if step.use.seats and seats_on(step, b):
            off = np.abs(off)  # the bearing's own seat: only its ends matter
        out.least(
            STEP,
            off - s.tap_drill_mm / 2,
            "screw_to_step",
            name=name,
            step=step.kind,
            start=mm(step.from_station_mm),
            stop=mm(step.to_station_mm),
            at=at,
            k=k,
        )


def key_mm(s: SetScrew) -> float:
    """Return the size (mm, across flats) of a set screw's hexagon key; half the thread where no table has it.

    >>> key_mm(shipped("canal-tender").set_screws[0])  # M6, flat point
    3.0
    """
    try:
        return float(tables.set_screw(tables.thread(s.thread).size, s.point).key_mm)
    except tables.NotInTable:
        return s.major_mm / 2


def _key(out: Results, s: SetScrew, at: str, name: str) -> None:
    key = key_mm(s)
    room = run_to_hull_mm(out.struts, s, key / math.sqrt(3))
    free = np.isinf(room)
    out.holds(KEY, True, where=free, name=name, at=at)
    out.least(
        KEY,
        np.where(free, 1.0, room),
        "screw_key_room",
        form="under hull",
        per=key,
        where=np.logical_not(free),
        name=name,
        key=mm(key),
        at=at,
    )


def run_to_hull_mm(struts: Struts, s: SetScrew, rod_mm: float) -> Num:
    """Return how far (mm) a rod on a set screw's axis goes from the barrel's outside to the hull or the water face of a
    palm; inf when it meets neither.

    rod_mm: its radius; its edge meets a leaning face before its middle does. It meets a palm where its middle comes
    within its own shadow of the outline: at a corner it may have a little more room.

    >>> strut = shipped("sloop-with-skeg")
    >>> [round(float(run_to_hull_mm(Struts.of(strut), s, 3.0))) for s in strut.set_screws[2:]]
    [507]
    """
    barrel, out = struts.strut.barrel, frames.radial(s.clock_deg)
    from_x, reach = s.station_mm - barrel.length_mm / 2, barrel.outside_mm / 2
    room: Floats = np.array(np.inf)
    for plane, side in shapes.hull_planes(struts.own):
        n = frames.plane_axes(0.0, plane.pitch_deg, plane.tilt_deg).n
        run, _ = _run_to(from_x, reach, out, struts.drop_mm * n[2], n, rod_mm)
        here = (side == 0) | ((reach + run) * out[1] * side >= -1e-9 - rod_mm)
        room = np.where(here, np.minimum(room, run), room)
    for shape, palm in zip(struts.palms, struts.inputs.palms, strict=True):
        n = np.array(palm.normal)
        level = sum(palm.zero_mm[j] * n[j] for j in range(3)) - palm.thickness_mm
        run, shadow = _run_to(from_x, reach, out, level, n, rod_mm)
        at = [
            from_x - palm.zero_mm[0],
            (reach + run) * out[1] - palm.zero_mm[1],
            (reach + run) * out[2] - palm.zero_mm[2],
        ]
        u, v = (sum(a * w for a, w in zip(at, way, strict=True)) for way in (palm.u, palm.v))
        met = np.isfinite(run)
        hit = shape.inside_mm(np.where(met, u, 0.0), np.where(met, v, 0.0)) >= -1e-6 - shadow
        room = np.where(met & hit, np.minimum(room, run), room)
    return room[()]


def _run_to(from_x: Num, reach: Num, out: frames.Vector, level: Num, n: frames.Vector, rod: float) -> tuple[Num, float]:
    """How far a rod that starts on the barrel's outside goes to a plane n . p = level (inf when never), and its shadow
    there."""
    climb = float(out @ n)
    height = level - (from_x * n[0] + reach * (out[1] * n[1] + out[2] * n[2]))
    if climb <= 1e-9:
        return np.full(np.shape(height), np.inf), 0.0
    lean = math.sqrt(max(1 - climb * climb, 0.0))
    run = np.where(height > 0, np.maximum(height - rod * lean, 0.0) / climb, np.inf)
    return run, rod * (climb + lean * lean / climb)


def _symmetry(out: Results, b: Bearing, screws: list[SetScrew]) -> None:
    if len(screws) < 2:
        return
    aft = _sorted([s.station_mm - b.aft_station_mm for s in screws])
    forward = _sorted([b.forward_station_mm - s.station_mm for s in screws])
    off = np.abs(aft - forward).max(axis=0)
    inside = out.value("screw_bearing_end", per=max(s.major_mm for s in screws))  # or following it breaks that
    advice = say(
        "measure the screws from bearing_aft and bearing_forward with one distance, about {distance}",
        distance=mm(np.maximum((aft[0] + forward[0]) / 2, inside)),
    )
    own = np.logical_and(out.strut.barrel.fit == "slide", off > out.value("screw_symmetry"))
    out.inform(EVEN, where=own, advice=advice, off=mm(off))
    out.most(EVEN, off, "screw_symmetry", form="held", where=np.logical_not(own), share=False, advice=advice)


def _sorted(distances: list[Num]) -> Floats:
    return np.sort(np.stack(np.broadcast_arrays(*distances)), axis=0)


def _apart(out: Results) -> None:
    """The two screws that are nearest to each other for their size."""
    pairs = []
    for a, b in itertools.combinations(out.strut.set_screws, 2):
        round_mm = math.radians(frames.angle_between_deg(a.clock_deg, b.clock_deg)) * out.strut.barrel.bore_mm / 2
        pairs.append((np.hypot(round_mm, a.station_mm - b.station_mm), max(a.major_mm, b.major_mm), a, b))
    if out.tells:
        pairs = sorted(pairs, key=lambda p: p[0] / p[1])[:1]
    for distance, size, a, b in pairs:
        out.least(APART, distance, "screws_apart", per=size, hard=size, number=a.number, other=b.number, k=b.number - 1)
