"""Checks of the set screws: in the bearing, off the rubber, clear of everything else, within reach of a key."""

from __future__ import annotations

import itertools
import math

import numpy as np

from strutwright.models import frames
from strutwright.models.checks.bench import Bench
from strutwright.models.checks.check import Check
from strutwright.models.finding import Standing
from strutwright.models.formulas.bearing import flute_clock
from strutwright.models.geometry import shapes
from strutwright.models.geometry.barrel import parallel_part, seats_on
from strutwright.models.geometry.shapes import OnBarrel
from strutwright.models.spec import Bearing, SetScrew, WaterSlots
from strutwright.params import tables
from strutwright.params.words import deg, mm, say

_GROUP = "set screws"
PRESENT = Check("screws_present", _GROUP, "set screws are there to hold or back up the bearing")
INSIDE = Check("screw_inside_bearing", _GROUP, "a screw stands well inside its bearing", ("screw_bearing_end",))
BARREL = Check("screw_inside_barrel", _GROUP, "a screw stands inside the barrel", ("screw_barrel_end",))
EVEN = Check("screws_symmetric", _GROUP, "screws stand at equal distances from both bearing ends", ("screw_symmetry",))
FLUTE = Check(
    "screw_off_flute", _GROUP, "a screw stands over a land of the rubber, not over a flute", ("screw_past_flute",)
)
DIMPLE = Check("dimple_in_shell", _GROUP, "the dimple stays within the shell", ("dimple",))
ARM = Check("screw_clear_of_arm", _GROUP, "a screw is clear of the arm and its fillet or weld", ("screw_beside_root",))
SKEG = Check(
    "screw_clear_of_skeg", _GROUP, "a screw is clear of the skeg and its fillet or weld", ("screw_beside_root",)
)
END = Check("screw_clear_of_end", _GROUP, "a screw stands on the parallel part, not on the faired end")
SLOT = Check("screw_clear_of_slot", _GROUP, "metal between a screw and a water slot", ("screw_to_slot",))
APART = Check("screws_apart", _GROUP, "screws are clear of each other", ("screws_apart",))
STEP = Check(
    "screw_clear_of_step",
    _GROUP,
    "a screw hole meets one diameter of the bore, on which the shell seats",
    ("screw_to_step",),
)
KEY = Check("screw_key_room", _GROUP, "room above a screw for its key, before hull or palm is met", ("screw_key_room",))
THROUGH = 0.99  # of the shell: a dimple as deep as that is through it
CHECKS = (PRESENT, INSIDE, BARREL, EVEN, FLUTE, DIMPLE, ARM, SKEG, END, SLOT, APART, STEP, KEY)


def check(bench: Bench) -> None:
    """Find on the set screws."""
    strut = bench.strut
    press = strut.barrel.fit == "press"
    bench.holds(
        PRESENT,
        "set screws",
        bool(strut.set_screws),
        warn=press,
        source="none",
        standing=Standing.PRACTICE,
        parameter="set_screws.positions",
        advice="leave set_screws.positions out for two screws"
        if press
        else "a slide fit is held by its screws alone: give set_screws.positions",
    )
    arms = [(arm.name, shapes.arm_on_barrel(strut, arm), arm.barrel_root_mm) for arm in strut.arms]
    for s in strut.set_screws:
        _one(bench, s, strut.bearings[s.bearing_index], arms)
    for i, b in enumerate(strut.bearings):
        _symmetry(bench, b, [s for s in strut.set_screws if s.bearing_index == i])
    _apart(bench)


def _one(bench: Bench, s: SetScrew, b: Bearing, arms: list[tuple[str, OnBarrel, float]]) -> None:
    strut, barrel = bench.strut, bench.strut.barrel
    at, name = f"set_screws.positions[{s.number - 1}]", f"set screw {s.number}"
    bench.least(
        INSIDE,
        f"{name} from the nearer bearing end",
        min(s.station_mm - b.aft_station_mm, b.forward_station_mm - s.station_mm),
        "screw_bearing_end",
        per=s.major_mm,
        parameter=f"{at}.distance",
        advice=say(
            "measure {at} from an end of the bearing, at least {need} in; a quarter of the bearing, "
            "{quarter}, is usual",
            at=at,
            quarter=mm(b.length_mm / 4),
        ),
    )
    bench.least(
        BARREL,
        f"{name} from the nearer barrel face",
        min(s.station_mm, barrel.length_mm - s.station_mm),
        "screw_barrel_end",
        per=s.major_mm,
        parameter=f"{at}.distance",
        advice=f"move {at} inward to at least {{need}} from the face",
    )
    half = shapes.screw_half_mm(s)
    start, stop = parallel_part(barrel)
    bench.least(
        END,
        f"edge of {name} inside the parallel part",
        min(s.station_mm - start, stop - s.station_mm) - half,
        0.0,
        parameter=f"{at}.distance",
        advice=say(
            "keep the screw between stations {start} and {stop}, or shorten barrel.ends",
            start=mm(start + half),
            stop=mm(stop - half),
        ),
    )
    bench.most(
        DIMPLE,
        say("dimple of {name} in a shell of {shell}", name=name, shell=mm(b.shell_mm)),
        s.dimple_depth_mm,
        "dimple",
        per=b.shell_mm,
        hard=THROUGH * b.shell_mm,
        parameter="set_screws.dimple_depth",
        advice=say(
            "make set_screws.dimple_depth about {half}: the point must never reach the rubber", half=mm(b.shell_mm / 2)
        ),
    )
    flute = flute_clock(s.clock_deg, b.flute_count, b.flute_clock_deg, b.flute_width_mm, b.inside_mm)
    pitch = 180 / b.flute_count
    bench.least(
        FLUTE,
        say(
            "{name} past the edge of the nearest flute ({off} from its middle)",
            name=name,
            off=deg(float(flute.to_flute_centre_deg)),
        ),
        float(flute.past_flute_edge_deg),
        "screw_past_flute",
        unit="deg",
        parameter=f"{at}.clock",
        advice=say(
            "turn the bearing (bearing.flutes.clock) or the screw ({at}.clock) by {turn} to stand over "
            "the middle of a land",
            at=at,
            turn=deg(abs(pitch - float(flute.to_flute_centre_deg))),
        ),
    )
    for arm, on, root_mm in arms:
        _beside(bench, ARM, s, on, root_mm, f"{name} and the {arm}", at)
    fin = shapes.skeg_on_barrel(strut)
    if fin is not None and strut.skeg is not None:
        _beside(bench, SKEG, s, fin, strut.skeg.root_mm, f"{name} and the skeg", at)
    if barrel.slots is not None:
        _slot(bench, s, barrel.slots, at, name)
    _steps(bench, s, at, name)
    _key(bench, s, at, name)


def _beside(bench: Bench, check: Check, s: SetScrew, on: OnBarrel, root_mm: float, what: str, at: str) -> None:
    """Where the screw's station is within the root, its clock must be off it by half its width, the fillet and more."""
    reach = root_mm + shapes.screw_half_mm(s)
    angle = frames.angle_between_deg(s.clock_deg, on.clock_deg)
    need = on.half_deg + math.degrees(root_mm / (bench.strut.barrel.outside_mm / 2)) + bench.value("screw_beside_root")
    if not on.aft_mm - reach < s.station_mm < on.forward_mm + reach:
        bench.least(
            check,
            f"{what}: along the barrel",
            max(on.aft_mm - s.station_mm, s.station_mm - on.forward_mm),
            reach,
            parameter=f"{at}.distance",
            advice="",
        )
        return
    clock = on.clock_deg + math.copysign(need, (s.clock_deg - on.clock_deg + 180) % 360 - 180)
    bench.least(
        check,
        f"{what}: round the barrel",
        angle,
        need,
        unit="deg",
        parameter=f"{at}.clock",
        advice=say(
            "move {at}.clock to at least {need} from it, such as {clock}",
            at=at,
            clock=deg(math.copysign(math.ceil(abs(clock)), clock)),
        ),
    )


def _slot(bench: Bench, s: SetScrew, slots: WaterSlots, at: str, name: str) -> None:
    radius = bench.strut.barrel.outside_mm / 2
    clocks = slots.first_clock_deg + 360.0 / slots.count * np.arange(slots.count)
    round_mm = min(frames.angle_between_deg(s.clock_deg, float(c)) for c in clocks) * math.pi / 180 * radius
    straight = max(slots.length_mm - slots.width_mm, 0.0) / 2
    along = max(abs(s.station_mm - slots.centre_station_mm) - straight, 0.0)
    metal = math.hypot(along, round_mm) - slots.width_mm / 2 - s.major_mm / 2
    bench.least(
        SLOT,
        f"metal between {name} and a water slot",
        metal,
        "screw_to_slot",
        per=s.major_mm,
        hard=0.0,
        parameter=f"{at}.clock",
        advice=f"turn barrel.slots.first_clock or move {at} to leave {{need}}",
    )


def _steps(bench: Bench, s: SetScrew, at: str, name: str) -> None:
    barrel = bench.strut.barrel
    b = bench.strut.bearings[s.bearing_index]
    for k, step in enumerate(barrel.steps):
        off = max(step.from_station_mm - s.station_mm, s.station_mm - step.to_station_mm)
        if step.kind == "counterbore" and seats_on(step, b):
            off = abs(off)  # the bearing's own seat: only its ends matter
        bench.least(
            STEP,
            say(
                "hole of {name} clear of the {step} at stations {start} to {stop}",
                name=name,
                step=step.kind,
                start=mm(step.from_station_mm),
                stop=mm(step.to_station_mm),
            ),
            off - s.tap_drill_mm / 2,
            "screw_to_step",
            parameter=f"{at}.distance",
            advice=f"move {at} or shorten barrel.steps[{k}].length: the shell must bear where the point presses",
        )


def key_mm(s: SetScrew) -> float:
    """Return the size (mm, across flats) of a set screw's hexagon key; half the thread where no table has it."""
    try:
        return float(tables.set_screw(tables.thread(s.thread).size, s.point).key_mm)
    except tables.NotInTable:
        return s.major_mm / 2


def _key(bench: Bench, s: SetScrew, at: str, name: str) -> None:
    strut, barrel, key = bench.strut, bench.strut.barrel, key_mm(s)
    out = frames.radial(s.clock_deg)
    start = np.array([barrel.x(s.station_mm), 0.0, 0.0]) + barrel.outside_mm / 2 * out
    room = shapes.free_run_mm(strut, start, out, key / math.sqrt(3))
    if math.isinf(room):
        bench.holds(KEY, f"nothing above {name}", True, parameter=f"{at}.clock", advice="")
        return
    bench.least(
        KEY,
        say("room above {name} for a {key} key", name=name, key=mm(key)),
        room,
        "screw_key_room",
        per=key,
        parameter=f"{at}.clock",
        advice=f"turn {at}.clock further from the hull; {{need}} is wanted",
    )


def _symmetry(bench: Bench, b: Bearing, screws: list[SetScrew]) -> None:
    if len(screws) < 2:
        return
    aft = sorted(s.station_mm - b.aft_station_mm for s in screws)
    forward = sorted(b.forward_station_mm - s.station_mm for s in screws)
    off = max(abs(x - y) for x, y in zip(aft, forward, strict=True))
    advice = say(
        "measure the screws from bearing_aft and bearing_forward with one distance, about {distance}",
        distance=mm((aft[0] + forward[0]) / 2),
    )
    if bench.strut.barrel.fit == "slide" and off > bench.value("screw_symmetry"):
        bench.hint(
            EVEN,
            say(
                "screws are not symmetrical by {off}: with a slide fit a pattern of its own is a practice", off=mm(off)
            ),
            parameter="set_screws.positions",
            advice=advice,
        )
    else:
        bench.most(
            EVEN,
            "difference of the screws' distances from the two bearing ends",
            off,
            "screw_symmetry",
            parameter="set_screws.positions",
            advice=advice,
        )


def _apart(bench: Bench) -> None:
    barrel = bench.strut.barrel
    pairs = []
    for a, b in itertools.combinations(bench.strut.set_screws, 2):
        round_mm = math.radians(frames.angle_between_deg(a.clock_deg, b.clock_deg)) * barrel.bore_mm / 2
        size = max(a.major_mm, b.major_mm)
        pairs.append((math.hypot(round_mm, a.station_mm - b.station_mm) / size, size, a, b))
    if pairs:
        ratio, size, a, b = min(pairs, key=lambda p: p[0])
        bench.least(
            APART,
            f"set screws {a.number} and {b.number} apart, at the bore",
            ratio * size,
            "screws_apart",
            per=size,
            hard=size,
            parameter=f"set_screws.positions[{b.number - 1}]",
            advice="move one of the two until they are {need} apart",
        )
