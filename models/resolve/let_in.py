"""A let-in housing: seats in the structure, collar, steps and chamfer outside, welds, locking and drawing screws."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np

from strutwright.models import rules
from strutwright.models.arrays import Num, as_field
from strutwright.models.geometry.barrel import is_faired
from strutwright.models.metals import metal
from strutwright.models.resolve.armless import armless
from strutwright.models.resolve.barrel import barrel_of
from strutwright.models.resolve.bearing import bearing_of
from strutwright.models.resolve.book import Book
from strutwright.models.resolve.duty import casting_of, duty_of
from strutwright.models.resolve.metals import Metals, metals_of
from strutwright.models.resolve.protection import protection_of
from strutwright.models.resolve.screws import screw_thread_of, set_screws_of
from strutwright.models.resolve.shaft import shaft_of
from strutwright.models.screw_points import POINTS
from strutwright.models.spec import Barrel, Identity, Land, Strut
from strutwright.models.spec_boat import HullFit
from strutwright.models.spec_let_in import Collar, DrawingHoles, LetIn, LockingScrew, Seat, Structure
from strutwright.params import tables
from strutwright.params.words import fine_mm, mm, say

GAP_MM = 2.0
"""Usual gap for resin, on the radius; common practice, no source."""
ENTRY_DEG = 15.0
"""Usual chamfer of a part that is pressed in; common practice, no source."""
DOG_SHARE = 0.7
"""Width of a dog point over its thread, where the tables have none; common practice, no source."""
BITE_SHARE = 0.25
"""Usual bite of a locking screw over its thread; common practice, no source."""
BEDDED_OFF_MM = 0.2
"""How far the outside of a housing that lies in resin or in clearance may be under its size; common practice."""
BORED_OFF_MM = 0.5
"""How far the hole for it may be over its size; common practice, no source."""


def let_in_of(book: Book, identity: Identity) -> Strut:
    """Return a let-in housing. Raises ParameterError with every fault found.

    >>> let_in_of(book("skeg-sleeve"), shipped("skeg-sleeve").identity).let_in.hold
    'pressed'
    """
    said, metals = book.said, metals_of(book)
    thread = screw_thread_of(book)
    raw = [bearing_of(book, i, metals.strut) for i in range(len(said.bearing))]
    made = book.stage(lambda: barrel_of(book, raw, thread, casting_of(book, metals.strut.name)))
    barrel, bearings = made or (None, None)
    whole = book.stage(lambda: _let_in(book, book.need(barrel), metals))
    let_in, barrel = (None, barrel) if whole is None else whole
    screws = book.stage(lambda: set_screws_of(book, barrel, bearings, thread))
    duty, shaft = duty_of(book), shaft_of(book, metals.shaft)
    book.closed()
    part = armless(
        book,
        identity,
        metals.strut.name,
        hull=HullFit.of_none(metals.hull),
        shaft=shaft,
        barrel=barrel,
        bearings=bearings,
        screws=screws,
        duty=duty,
        protection=protection_of(book),
    )
    return replace(part, let_in=book.need(let_in))


def _let_in(book: Book, barrel: Barrel, metals: Metals) -> tuple[LetIn, Barrel]:
    """How it is let in, and the barrel with its collar, steps and chamfer."""
    said: Any = book.said
    _belongs(book, metals)
    from_aft = said.entered_from == "aft"
    outer_end, inner_end = (barrel.aft_end, barrel.forward_end) if from_aft else (barrel.forward_end, barrel.aft_end)
    outer, inner = ("aft", "forward") if from_aft else ("forward", "aft")
    if is_faired(barrel, inner_end):
        book.no_meaning(f"barrel.ends.{inner}", "the end that goes into the structure: its chamfer is `entry`")
    if said.collar is not None and is_faired(barrel, outer_end):
        book.no_meaning(f"barrel.ends.{outer}", "an end with a collar")
    structure, out = _structure(book, metals), _stands_out(book, barrel)
    book.stop_if_faulty()
    long = barrel.length_mm - out
    seats_along = _along(book, barrel, long)
    entry, angle = _entry(book, barrel, seats_along)
    book.stop_if_faulty()

    def station(from_mouth_mm: float) -> float:
        return out + from_mouth_mm if from_aft else barrel.length_mm - out - from_mouth_mm

    seats = tuple(_seat(book, station, *run) for run in seats_along)
    let_in = LetIn(
        hold=said.hold,
        entered_from=said.entered_from,
        stands_out_mm=out,
        mouth_mm=station(0.0),
        inner_mm=station(long),
        seats=seats,
        structure=structure,
        collar=None
        if said.collar is None
        else Collar(diameter_mm=said.collar.diameter, thickness_mm=said.collar.thickness),
        entry_mm=entry,
        entry_deg=angle,
        weld_leg_mm=_leg(book, barrel, structure),
        inner_weld=said.welded.inner_end if said.hold == "welded" else False,
        bored_in_place=book.take("bored_in_place", said.hold == "welded", "after welding only", ""),
        released=said.bedded.released if said.hold == "bedded" else False,
        bond_mpa=said.bedded.shear,
        press_n=said.pressed.press_force,
        screw_material=metals.bolts,
        locking=_locking(book, station, seats, metals),
        drawing=_drawing(book, barrel),
        hole_class=said.pressed.hole_class if said.hold == "pressed" else "",
        sleeve_class=said.pressed.sleeve_class if said.hold == "pressed" else "",
    )
    face_mm = seats[-1].outside_mm - 2 * entry * math.tan(math.radians(angle))
    return let_in, replace(barrel, lands=lands_of(barrel, let_in, face_mm))


def _belongs(book: Book, metals: Metals) -> None:
    """Tell what is said of another way of holding, and a way that the materials do not allow."""
    said, base = book.said, metal(metals.hull)
    for group in ("pressed", "bedded", "welded"):
        if group != said.hold and book.loaded.says(group):
            book.fault(group, f"says nothing for a housing that is {said.hold}", f"remove it, or set `hold: {group}`")
    metallic = not (math.isnan(float(base.poisson)) or base.family in ("timber", "composite", "rubber"))
    if said.hold == "pressed" and not metallic:
        what = "is no way to hold it in a structure of timber or laminate, which gives way under a press fit in time"
        book.fault("hold", what, "bed it in resin: `hold: bedded`", given="pressed")
    if said.hold == "welded":
        own = metals.strut
        alike = {own.family, base.family}
        if not metallic or not (own.family == base.family or alike <= {"stainless", "duplex", "steel"}):
            what = f"needs metals that weld to each other; here are {own.name} and {base.name}"
            book.fault("hold", what, "bed it or press it in, or choose other materials", given="welded")
    if base.name == metals.strut.name == "":
        book.missing("materials.base", "a let-in housing")


def _structure(book: Book, metals: Metals) -> Structure:
    said: Any = book.said.structure
    round_one = said.kind == "tube"
    wanted, others = (
        ("outside_diameter", ("thickness", "above", "below")) if round_one else ("thickness", ("outside_diameter",))
    )
    if getattr(said, wanted) is None:
        book.missing(f"structure.{wanted}", f"the structure `{said.kind}`")
    for name in others:
        if getattr(said, name) is not None:
            book.no_meaning(f"structure.{name}", f"the structure `{said.kind}`")
    bored = said.counterbore
    if bored is not None and book.said.collar is None:
        book.no_meaning("structure.counterbore", "a housing without a collar")
    return Structure(
        kind=said.kind,
        material=metals.hull,
        thickness_mm=said.thickness,
        outside_mm=said.outside_diameter,
        above_mm=said.above,
        below_mm=said.below,
        depth_mm=said.depth,
        open_end=said.end == "open",
        off_line_mm=said.off_line,
        counterbore_mm=bored.diameter if bored else 0.0,
        counterbore_depth_mm=bored.depth if bored else 0.0,
        water_inside=said.water_inside,
        isolated=said.isolated,
    )


def _stands_out(book: Book, barrel: Barrel) -> float:
    """How far the outer end stands out of the mouth of the hole proper; a counterbore counts as outside of it."""
    said: Any = book.said
    if said.collar is None:
        out = float(book.take("stands_out", 0.0, "flush with the face of the structure"))
    else:
        if said.stands_out is not None:
            book.no_meaning("stands_out", "a housing with a collar, which lies on the structure")
        out = said.collar.thickness
        sunk = said.structure.counterbore.depth if said.structure.counterbore else 0.0
        book.derived("stands_out", out - sunk, "the collar's thickness less the depth of its counterbore")
    if out >= barrel.length_mm:
        at = "collar.thickness" if said.collar is not None else "stands_out"
        what, under = "leaves nothing of the housing in the structure", mm(barrel.length_mm)
        book.fault(at, what, "make it less, or lengthen barrel.length", given=mm(out), under=under)
    return out


def _along(book: Book, barrel: Barrel, long_mm: float) -> list[tuple[float, float, float, str]]:
    """Lengths of the outside in the structure, as (from the mouth, to, diameter, path), outermost first."""
    runs: list[tuple[float, float, float, str]] = []
    at, wider = long_mm, barrel.outside_mm
    for k, step in reversed(list(enumerate(book.said.outside_steps))):
        path = f"outside_steps[{k}].diameter"
        if step.diameter >= wider - 1e-9:
            what, advice = "is no smaller than what lies outside of it", "give the steps from the inner end outward"
            book.fault(path, what, advice, given=step.diameter, under=wider)
        if step.diameter <= barrel.bore_mm + rules.LEAST_WALL_MM:
            what, over = "leaves no wall outside the bore", fine_mm(barrel.bore_mm + rules.LEAST_WALL_MM)
            book.fault(path, what, "make it larger", given=fine_mm(step.diameter), over=over)
        wider = step.diameter
    for k, step in enumerate(book.said.outside_steps):
        runs.append((at - step.length, at, step.diameter, f"outside_steps[{k}].diameter"))
        at -= step.length
    if at < 1.0:
        what, most = "are together as long as the part in the structure", mm(max(long_mm - 1.0, 0.0))
        book.fault("outside_steps", what, "shorten them", given=mm(long_mm - at), at_most=most)
    runs.append((0.0, at, barrel.outside_mm, "barrel.outside_diameter"))
    return runs[::-1]


def _entry(book: Book, barrel: Barrel, runs: list[tuple[float, float, float, str]]) -> tuple[float, float]:
    said = book.said.entry
    low, high, across, _ = runs[-1]
    usual = float(usual_entry_mm(across, high - low, barrel.bore_mm, book.half_mm))
    if said is not None:
        length, angle = said.length, said.angle
    else:
        length = book.derived(
            "entry.length", usual, say("a twentieth of the outside, at least {2 mm}; common practice")
        )
        angle = book.derived("entry.angle", ENTRY_DEG, "common practice", "deg")
    if length >= high - low:
        book.fault(
            "entry.length", "is longer than what it stands on", "shorten it", given=mm(length), under=mm(high - low)
        )
    face = across - 2 * length * math.tan(math.radians(angle))
    least = least_face_mm(barrel, book.said.entered_from)
    if face <= least:
        what = "leaves no face between it and the chamfer of the bore"
        book.fault("entry.length", what, "make it shorter or steeper", given=fine_mm(face), over=fine_mm(least))
    return length, angle


def usual_entry_mm(across_mm: Num, long_mm: Num, bore_mm: Num, step_mm: float) -> Num:
    """Return the usual length (mm) of the chamfer on a seat so wide and long: a twentieth of the outside, at least
    2 mm, as far as seat and wall have room; to a step of the shop.

    >>> usual_entry_mm(59.0, 45.0, 40.0, 0.5)
    3.0
    """
    wanted = np.maximum(2.0, 0.05 * across_mm)
    return rules.near_mm(np.minimum(np.minimum(wanted, long_mm / 3), 0.4 * (across_mm - bore_mm)), step_mm)


def least_face_mm(barrel: Barrel, entered_from: str) -> float:
    """Return what the outside at the inner face has to be more than, mm: over the chamfer of the bore and its steps.

    >>> round(least_face_mm(shipped("skeg-sleeve").barrel, "aft"), 1)  # 40, a chamfer of 1 at 45 degrees, and a little
    42.2
    """
    lead = barrel.lead_in_forward if entered_from == "aft" else barrel.lead_in_aft
    mouth = barrel.bore_mm + 2 * lead.length_mm * math.tan(math.radians(lead.angle_deg))
    return float(max([mouth, *(s.diameter_mm for s in barrel.steps)]) + rules.LEAST_WALL_MM)


def _seat(book: Book, station: Any, low: float, high: float, across: float, path: str) -> Seat:
    """One seat, and the hole for it."""
    said: Any = book.said
    hole, own, bored = across, (-BEDDED_OFF_MM, 0.0), (0.0, BORED_OFF_MM)
    if said.hold == "pressed":
        classes = []
        for at, symbol in (("hole_class", said.pressed.hole_class), ("sleeve_class", said.pressed.sleeve_class)):
            found = book.table(f"pressed.{at}", "tolerance classes", tables.iso286, symbol, across)
            if found is not None and (symbol[:1].isupper() != (at == "hole_class")):
                what = "is a class of shafts" if at == "hole_class" else "is a class of holes"
                book.fault(f"pressed.{at}", what, "a capital letter stands for holes, a small one for shafts")
            classes.append((0.0, 0.0) if found is None else (found.lower_mm, found.upper_mm))
        bored, own = classes
    else:
        hole = across + (2 * _gap(book) if said.hold == "bedded" else said.welded.clearance)
    ends = sorted((station(low), station(high)))
    return Seat(
        from_station_mm=ends[0],
        to_station_mm=ends[1],
        outside_mm=across,
        outside_lower_mm=own[0],
        outside_upper_mm=own[1],
        hole_mm=hole,
        hole_lower_mm=bored[0],
        hole_upper_mm=bored[1],
        path=path,
    )


def _gap(book: Book) -> float:
    """The gap for resin on the radius: as said, or what a hole that is there leaves."""
    said: Any = book.said.bedded
    if said.hole is None:
        return float(book.take("bedded.gap", GAP_MM, say("{2 mm}; common practice")))
    outside = book.records["barrel.outside_diameter"].value if "barrel.outside_diameter" in book.records else None
    outside = float(outside) if isinstance(outside, float) else float(book.said.barrel.outside_diameter)
    gap = (said.hole - outside) / 2
    if said.gap is not None and abs(said.gap - gap) > 0.01:
        what, advice = "does not agree with the hole and the housing's outside", "give one of the two"
        book.fault("bedded.gap", what, advice, given=fine_mm(said.gap), allowed=fine_mm(gap))
    if gap < 0.05:
        what, over = "is no larger than the housing", fine_mm(outside + 0.1)
        book.fault("bedded.hole", what, "make it larger, or the housing smaller", given=fine_mm(said.hole), over=over)
    return float(book.derived("bedded.gap", max(gap, 0.05), "half of hole less the housing's outside"))


def _leg(book: Book, barrel: Barrel, structure: Structure) -> float:
    if book.said.hold != "welded":
        return 0.0
    usual = usual_leg_mm(structure, barrel.outside_mm, barrel.bore_mm, inch=book.inch)
    return float(book.take("welded.leg", usual, "the thinner of housing and structure, as for arms"))


def usual_leg_mm(structure: Structure, outside_mm: Num, bore_mm: Num, *, inch: bool) -> Num:
    """Return the usual leg (mm) of the fillet at the mouth, by the thinner of housing and structure.

    outside_mm, bore_mm: of the housing; inch: to the inch's steps.

    >>> liner = shipped("tube-liner-pair")  # a wall of 16 in one of 19
    >>> usual_leg_mm(liner.let_in.structure, 107.0, 75.0, inch=False)
    11.0
    """
    beside = structure.thickness_mm if structure.outside_mm is None else structure.outside_mm
    wall = np.maximum(((2 * outside_mm if beside is None else beside) - outside_mm) / 2, 3.0)
    return rules.leg_mm(wall, (outside_mm - bore_mm) / 2, rules.leg_share("none"), inch=inch)


def lands_of(barrel: Barrel, it: LetIn, face_mm: Num) -> tuple[Land, ...]:
    """Return the collar, the steps and the chamfer, from aft forward. face_mm: diameter at the inner face.

    >>> liner = shipped("tube-liner-pair")
    >>> [land.from_station_mm for land in lands_of(liner.barrel, liner.let_in, 104.0)]  # a chamfer of 5.5 alone
    [224.5]
    """
    made: list[Land] = []
    forward = it.entered_from == "aft"

    def land(one: float, other: float, outer_mm: float, inner_mm: float) -> None:
        """Between two stations, the outer one first, with the diameters there."""
        if forward:
            made.append(Land(from_station_mm=one, to_station_mm=other, aft_mm=outer_mm, forward_mm=inner_mm))
        else:
            made.insert(0, Land(from_station_mm=other, to_station_mm=one, aft_mm=inner_mm, forward_mm=outer_mm))

    if it.collar is not None:
        outer_face = 0.0 if forward else barrel.length_mm
        across = it.collar.diameter_mm
        land(outer_face, outer_face + it.inward * it.collar.thickness_mm, across, across)
    for k, seat in enumerate(it.seats):
        outer, inner = (
            (seat.from_station_mm, seat.to_station_mm) if forward else (seat.to_station_mm, seat.from_station_mm)
        )
        last = k == len(it.seats) - 1
        end = inner - it.inward * it.entry_mm if last else inner
        if k > 0:
            land(outer, end, seat.outside_mm, seat.outside_mm)
        if last:
            land(end, inner, seat.outside_mm, as_field(face_mm))
    return tuple(made)


def _locking(book: Book, station: Any, seats: tuple[Seat, ...], metals: Metals) -> tuple[LockingScrew, ...]:
    said = book.said.locking_screws
    if said is None:
        return ()
    thread = book.table("locking_screws.thread", "threads", tables.thread, said.thread)
    if thread is None:
        return ()
    base = metal(metals.hull).family
    if said.bushed and base not in ("timber", "composite"):
        book.no_meaning("locking_screws.bushed", "a structure of metal, which is tapped itself")
    bite = book.take(
        "locking_screws.bite", float(rules.up_mm(BITE_SHARE * thread.major_mm, book.half_mm)), "a quarter of the screw"
    )
    made = []
    for k, place in enumerate(said.positions):
        path, at = f"locking_screws.positions[{k}]", station(place.distance)
        own = [s for s in seats if s.from_station_mm - 1e-9 <= at <= s.to_station_mm + 1e-9]
        if not own:
            what, most = "lies beyond the housing", mm(sum(s.length_mm for s in seats))
            advice = "bring it over the housing"
            book.fault(f"{path}.distance", what, advice, given=mm(place.distance), at_most=most)
            continue
        book.derived(f"{path}.station", at, "from the mouth of the hole")
        made.append(
            LockingScrew(
                number=k + 1,
                station_mm=at,
                from_mouth_mm=place.distance,
                clock_deg=place.clock,
                thread=thread.designation,
                major_mm=thread.major_mm,
                pitch_mm=thread.pitch_mm,
                tap_drill_mm=thread.tap_drill_mm,
                stress_area_mm2=thread.stress_area_mm2,
                point=said.point,
                bite_mm=bite,
                width_mm=float(dimple_mm(said.point, bite, thread.designation)),
                bushed=said.bushed,
            )
        )
    return tuple(made)


def dimple_mm(point: str, bite_mm: Num, screw: str) -> Num:
    """Return how wide (mm) the dimple of a locking screw is at the outside. screw: its thread.

    >>> dimple_mm("dog", 3.0, "M10 x 1.5"), round(float(dimple_mm("cone", 3.0, "M10 x 1.5")), 3)
    (7.0, 6.0)
    """
    thread = tables.thread(screw)
    try:
        dog = tables.set_screw(thread.size, "dog").point_diameter_mm
    except tables.NotInTable:
        dog = DOG_SHARE * thread.major_mm
    return POINTS[point].dimple_mm(bite_mm, dog)


def _drawing(book: Book, barrel: Barrel) -> DrawingHoles | None:
    said, collar = book.said.drawing_holes, book.said.collar
    if said is None:
        return None
    thread = book.table("drawing_holes.thread", "threads", tables.thread, said.thread)
    if said.way == "jack":
        if collar is None:
            book.fault("drawing_holes.way", "needs a collar to go through", "set `way: draw`, or add a collar")
            return None
        if said.depth is not None:
            book.no_meaning("drawing_holes.depth", "holes that go through")
    if thread is None:
        return None
    rule = "the middle of the metal that there is for them"
    usual = usual_circle_mm(barrel, book.said.entered_from, said.way, None if collar is None else collar.diameter)
    circle = float(book.take("drawing_holes.circle", float(usual), rule))
    deep = (
        collar.thickness
        if said.way == "jack"
        else float(book.take("drawing_holes.depth", 2.0 * thread.major_mm, "twice the screw; common practice"))
    )
    return DrawingHoles(
        way=said.way,
        thread=thread.designation,
        major_mm=thread.major_mm,
        pitch_mm=thread.pitch_mm,
        tap_drill_mm=thread.tap_drill_mm,
        stress_area_mm2=thread.stress_area_mm2,
        count=said.count,
        circle_mm=circle,
        depth_mm=deep,
        first_clock_deg=said.first_clock,
    )


def usual_circle_mm(barrel: Barrel, entered_from: str, way: str, collar_mm: Num | None) -> Num:
    """Return the usual diameter (mm) of the circle of drawing holes: the middle of the metal at the outer face, or of
    the collar's that stands out. collar_mm: its diameter, None without one.

    >>> usual_circle_mm(shipped("skeg-sleeve").barrel, "aft", "jack", 100.0)  # round a sleeve of 60
    80.0
    """
    aft = entered_from == "aft"
    lead, end = (barrel.lead_in_aft, barrel.aft_end) if aft else (barrel.lead_in_forward, barrel.forward_end)
    if way == "jack" and collar_mm is not None:
        return (barrel.outside_mm + collar_mm) / 2
    mouth = barrel.bore_mm + 2 * lead.length_mm * math.tan(math.radians(lead.angle_deg))
    outside = end.end_diameter_mm if collar_mm is None else np.minimum(collar_mm, barrel.outside_mm)
    return rules.as_given((mouth + outside) / 2)
