"""The barrel: bore and its limits, outside, ends, lead-ins, steps and slots, and where the bearings stand in it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from strutwright.models import rules
from strutwright.models.barrel_ends import ENDS, LEAD_IN_SHARE, lead_in_fits
from strutwright.models.bore_steps import STEPS
from strutwright.models.geometry import casting
from strutwright.models.geometry.barrel import seat_step
from strutwright.models.metals import metal
from strutwright.models.resolve.bearing import FAR_MM
from strutwright.models.resolve.book import Book
from strutwright.models.spec import Barrel, BarrelEnd, Bearing, BoreStep, Casting, LeadIn, Tube, WaterSlots
from strutwright.params import schema, tables
from strutwright.params.problems import ParameterError
from strutwright.params.tables import Thread
from strutwright.params.words import fine_mm, mm, say, spoken_share

SLIDE_MM = 0.3


def barrel_of(
    book: Book, raw: list[Bearing], screw: Thread, cast: Casting | None
) -> tuple[Barrel, tuple[Bearing, ...]]:
    """Return the barrel and its bearings in their places, seats of measured bearings made to them.

    raw: the bearings not placed yet. Raises ParameterError where there is no wall.

    >>> thread, bearings = tables.thread("M6"), list(shipped("canal-tender").bearings)
    >>> barrel, _ = barrel_of(book("canal-tender"), bearings, thread, None)
    >>> barrel.bore_mm, barrel.wall_mm, barrel.bore_class
    (32.0, 8.0, 'H7')
    """
    said: Any = book.said.barrel
    bore = _bore(book, max(b.outside_mm for b in raw))
    bore_class, upper, lower = _bore_limits(book, bore, [b.measured_mm is not None for b in raw])
    outside = _outside(book, bore, screw, cast)
    if outside <= bore + rules.LEAST_WALL_MM:
        at = "barrel.outside_diameter" if said.outside_diameter is not None else "barrel.wall"
        given = say("{outside} over a bore of {bore}", outside=fine_mm(outside), bore=fine_mm(bore))
        allowed = say("an outside diameter of more than {size}", size=fine_mm(bore + rules.LEAST_WALL_MM))
        advice = "make the barrel larger or the bearing smaller"
        book.fault(at, "leaves no wall outside the bore", advice, given=given, allowed=allowed)
        raise ParameterError(book.problems)  # whatever else the barrel lacks follows from this
    total = sum(b.length_mm for b in raw) + 3.0 * (len(raw) - 1)
    length = book.take("barrel.length", float(rules.up_mm(total, book.whole_mm)), "as long as its bearing")
    steps = tuple(_step(book, i, s, length) for i, s in enumerate(said.steps))
    aft, forward = (_end(book, which, bore, outside) for which in ("aft", "forward"))
    both = aft.length_mm + forward.length_mm
    if both > length:
        too_long = "are together longer than the barrel"
        book.fault("barrel.ends", too_long, "shorten the fairings", given=mm(both), at_most=mm(length))
    assumed = any(b.outside_upper is None or b.outside_lower is None for b in book.said.bearing)
    shell = "slide" if said.fit == "slide" else "p6 (assumed)" if assumed else "limits given"
    barrel = Barrel(
        length_mm=length,
        outside_mm=outside,
        bore_mm=bore,
        bore_upper_mm=upper,
        bore_lower_mm=lower,
        fit=said.fit,
        bore_class=bore_class,
        shell_class=shell,
        aft_end=aft,
        forward_end=forward,
        lead_in_aft=_lead_in(book, "aft", outside, bore),
        lead_in_forward=_lead_in(book, "forward", outside, bore),
        steps=steps,
        slots=_slots(book, length),
        tube=_tube(book),
    )
    bearings = _placed(book, raw, barrel)
    return _made_to_measure(book, barrel, bearings), bearings


def station_mm(end: str, distance_mm: float, barrel_mm: float, bearing: Bearing | None = None) -> float:
    """Return the station (mm from the barrel's aft face) of a distance (mm) inward from a named end.

    barrel_mm: length of the barrel; bearing: the one whose ends are meant.

    >>> station_mm("barrel_forward", 10.0, 74.0)
    64.0
    """
    if end == "barrel_aft":
        return distance_mm
    if end == "barrel_forward":
        return barrel_mm - distance_mm
    assert bearing is not None
    return bearing.aft_station_mm + distance_mm if end == "bearing_aft" else bearing.forward_station_mm - distance_mm


# --- bore -----------------------------------------------------------------------------------------------------------


def _bore(book: Book, bearing_mm: float) -> float:
    """The nominal bore (mm) for the widest bearing."""
    said: Any = book.said.barrel
    if said.fit == "slide":
        rule = say("hand slide fit; common practice, {0.25 mm} to {0.75 mm}")
        gap = book.take("barrel.slide_clearance", SLIDE_MM, rule)
        return book.take("barrel.bore", bearing_mm + gap, "bearing plus slide clearance")
    if said.slide_clearance is not None:
        belongs = "belongs to a slide fit, but the fit is `press`"
        book.fault("barrel.slide_clearance", belongs, "remove it or set `fit: slide`")
    return book.take("barrel.bore", bearing_mm, "the bearing's outside diameter")


def _bore_limits(book: Book, bore: float, measured: list[bool]) -> tuple[str, float, float]:
    """Tolerance class of the bore, its upper and lower limit (mm). measured: whether each bearing is."""
    said: Any = book.said.barrel
    if any(measured) and said.bore_class is not None:
        advice = (
            "remove it: the bore is made to the bearing's own size; give `barrel.interference` where another fit is "
            "wanted than the usual one"
        )
        what = "places the bore by its nominal size, but the bearing is measured"
        book.fault("barrel.bore_class", what, advice, given=said.bore_class)
    if said.interference is not None and (said.fit == "slide" or not all(measured)):
        measure = "give `bearing.outside_measured`, or remove it: the class of the bore places its limits"
        advice = "give `slide_clearance`" if said.fit == "slide" else measure
        book.fault("barrel.interference", "is for a press fit with a measured bearing", advice)
    symbol = "H7" if all(measured) else book.take("barrel.bore_class", "H7", "hole basis, ISO 286; usual", "")
    found = book.table("barrel.bore_class", "tolerance classes", tables.iso286, symbol, bore)
    upper, lower = (found.upper_mm, found.lower_mm) if found else (0.0, 0.0)
    told = say("ISO 286-2 {symbol} at {bore}", symbol=symbol, bore=fine_mm(bore))
    book.note("barrel.bore_upper", upper, "mm", "table", told)
    book.note("barrel.bore_lower", lower, "mm", "table", told)
    return symbol, upper, lower


def _made_to_measure(book: Book, barrel: Barrel, bearings: tuple[Bearing, ...]) -> Barrel:
    """The barrel with the limits of each seat whose bearings are measured made to them."""
    seats: dict[BoreStep | None, list[Bearing]] = {}
    for bearing in bearings:
        if bearing.measured_mm is not None:
            seats.setdefault(seat_step(barrel, bearing), []).append(bearing)
    for step, own in seats.items():
        nominal = barrel.bore_mm if step is None else step.diameter_mm
        sizes = [b.measured_mm for b in own if b.measured_mm is not None]
        gap = _wanted_gap(book, own[0].outside_mm)
        path = "barrel.bore" if step is None else f"barrel.steps[{barrel.steps.index(step)}].diameter"
        if abs(min(sizes) + gap - nominal) > FAR_MM:
            what, advice = "is not a bore for the bearing as measured", "change it, or measure again"
            book.fault(path, what, advice, given=nominal, about=min(sizes) + gap)
        try:
            width = (tables.iso286("H7", nominal).upper_um - tables.iso286("H7", nominal).lower_um) / 1000
        except tables.NotInTable:
            continue  # told where the class of the bore is looked up
        # The wanted clearance is the least of a slide fit, the wanted interference the middle of a press fit. Of
        # two bearings on one seat the smaller one must grip, or the larger one slide.
        low = max(sizes) + gap if barrel.fit == "slide" else min(sizes) + gap - width / 2
        lower, upper = round(low - nominal, 3), round(low - nominal + width, 3)
        if step is None:
            rule = "made to the measured bearing, within the width of H7"
            book.derived("barrel.bore_lower", lower, rule)
            book.derived("barrel.bore_upper", upper, rule)
            barrel = replace(barrel, bore_lower_mm=lower, bore_upper_mm=upper, bore_class="", shell_class="")
        else:
            rule = "above the nominal size, made to the measured bearing"
            book.derived(path.replace("diameter", "lower"), lower, rule)
            book.derived(path.replace("diameter", "upper"), upper, rule)
            steps = tuple(replace(s, limits_mm=(lower, upper)) if s is step else s for s in barrel.steps)
            barrel = replace(barrel, steps=steps)
    return barrel


def _wanted_gap(book: Book, outside_mm: float) -> float:
    """The bore less the bearing (mm) that is wanted with a measured bearing; negative is interference."""
    said: Any = book.said.barrel
    if said.fit == "slide":
        return SLIDE_MM if said.slide_clearance is None else float(said.slide_clearance)
    if said.interference is not None:
        return -float(said.interference)
    try:
        middle, _ = rules.usual_interference_mm(outside_mm)
    except tables.NotInTable as error:
        book.fault(
            "barrel.interference",
            "is missing, and the bearing is outside the table it is taken from",
            "give the interference wanted",
            given=outside_mm,
            allowed=error.allowed,
        )
        return 0.0
    return -book.derived("barrel.interference", middle, "the middle of H7/p6, a light press fit")


def _step(book: Book, index: int, said: schema.Step, length: float) -> BoreStep:
    at = f"barrel.steps[{index}]"
    start = said.start if STEPS[said.kind].clear else 0.0
    if not STEPS[said.kind].clear and said.start:
        book.fault(f"{at}.start", "is for a relief only", "remove it")
    stop = start + said.length
    if stop > length:
        book.fault(f"{at}.length", "runs out of the barrel", "shorten it", given=stop, at_most=length)
    if said.end != "barrel_aft":
        start, stop = length - start - said.length, length - start
    return BoreStep(kind=said.kind, from_station_mm=start, to_station_mm=stop, diameter_mm=said.diameter)


# --- outside --------------------------------------------------------------------------------------------------------


def _outside(book: Book, bore: float, screw: Thread, cast: Casting | None) -> float:
    """The outside diameter (mm): as bought, as said, or by rule."""
    said: Any = book.said.barrel
    if said.tube is not None and said.tube.outside == "as_bought":
        return _as_bought(book, bore)
    both = said.outside_diameter is not None and said.wall is not None
    if both and abs(said.outside_diameter - bore - 2 * said.wall) > 0.01:
        book.fault(
            "barrel.wall",
            "does not agree with outside diameter and bore",
            "give one of the two",
            given=said.wall,
            allowed=fine_mm((said.outside_diameter - bore) / 2),
        )
    if said.outside_diameter is not None:
        book.derived("barrel.wall", (said.outside_diameter - bore) / 2, "half of outside diameter less bore")
        return float(said.outside_diameter)
    if said.wall is not None:
        return float(book.derived("barrel.outside_diameter", bore + 2 * said.wall, "bore plus two walls"))
    wall, rule = _wall_by_rule(book, bore, screw, cast)
    outside = float(rules.up_mm(bore + 2 * wall, book.whole_mm))
    book.derived("barrel.wall", (outside - bore) / 2, rule)
    return book.derived("barrel.outside_diameter", outside, "bore plus two walls, rounded up")


def _as_bought(book: Book, bore: float) -> float:
    """The outside (mm) of a tube that is not turned; what else the file says of it has to agree."""
    said: Any = book.said.barrel
    outside: float = said.tube.outside_diameter
    if said.outside_diameter is not None and abs(said.outside_diameter - outside) > 0.01:
        book.fault(
            "barrel.outside_diameter",
            "is not that of the tube, whose outside is left as bought",
            "leave it out, or set `tube.outside: turned`",
            given=said.outside_diameter,
            allowed=fine_mm(outside),
        )
    wall, follows = (outside - bore) / 2, "leave it out: it follows from the tube"
    if said.wall is not None and abs(outside - bore - 2 * said.wall) > 0.01:
        what = "does not agree with the tube and the bore"
        book.fault("barrel.wall", what, follows, given=said.wall, allowed=fine_mm(wall))
    book.derived("barrel.wall", wall, "half of the tube's outside less bore")
    return book.derived("barrel.outside_diameter", outside, "the tube's, left as bought")


def _wall_by_rule(book: Book, bore: float, screw: Thread, cast: Casting | None) -> tuple[float, str]:
    """The wall (mm) where the file gives none, before it is rounded, and the rule in words."""
    d = book.said.shaft.diameter
    family = metal(book.said_at(book.own_metal)).family
    wall = rules.wall_mm(d, screw.major_mm, family, book.limits)
    if cast is not None:
        # No less than the hard limit at the worst of the casting; steps of the bore take from the wall as well.
        hard = book.limit("barrel_wall_hard")
        least = hard * d + 0.05
        wide = max([bore, *(float(casting.widest_turned_mm(s.diameter)) for s in book.said.barrel.steps)])
        at_worst = (casting.least_cast_outside_mm(wide, least, cast, book.limit("bore_coaxial_cast")) - bore) / 2
        if at_worst > wall:
            worst = f"at the worst of the casting's tolerance {cast.tolerance_grade}"
            return at_worst, f"{spoken_share(hard)} of the shaft diameter {worst}; rounded up"
    usual, screws = spoken_share(rules.wall_share(book.limits)), rules.screw_share(family, book.limits)
    return wall, f"{usual} of the shaft diameter, at least {screws:g} times the set screw; rounded up"


def _tube(book: Book) -> Tube | None:
    """The tube that the barrel is made of, with its tolerances."""
    said: Any = book.said.barrel.tube
    at = "barrel.tube"
    if said is None:
        return None
    if book.cast:
        book.fault(at, "belongs to a welded strut", "remove it, or set `construction: welded`")
    if 2 * said.wall >= said.outside_diameter:
        advice, radius = "give the wall, not the bore; a bar has no `tube`", said.outside_diameter / 2
        book.fault(f"{at}.wall", "leaves no bore in the tube", advice, given=said.wall, under=radius)
    rule = say("1 % of the outside, at least {0.5 mm}: seamless tube, from memory of EN 10216-5")
    off = book.take(f"{at}.outside_tolerance", rules.tube_tolerance_mm(said.outside_diameter), rule)
    return Tube(
        outside_mm=said.outside_diameter,
        wall_mm=said.wall,
        outside_off_mm=off,
        wall_least_mm=said.wall * (1 - said.wall_tolerance / 100),
        turned=said.outside == "turned",
    )


def _slots(book: Book, length: float) -> WaterSlots | None:
    said = book.said.barrel.slots
    if said is None:
        return None
    if said.length < said.width:
        what, advice = "is shorter than the slot is wide", "swap length and width"
        book.fault("barrel.slots.length", what, advice, given=said.length, at_least=said.width)
    return WaterSlots(
        count=said.count,
        width_mm=said.width,
        length_mm=said.length,
        centre_station_mm=station_mm(said.position.end, said.position.distance, length),
        first_clock_deg=said.first_clock,
    )


# --- ends -----------------------------------------------------------------------------------------------------------


def _end(book: Book, which: str, bore: float, outside: float) -> BarrelEnd:
    at = f"barrel.ends.{which}"
    shape = book.said_at(f"{at}.shape")
    kind = ENDS[shape]
    if not kind.faired:
        for name in ("length", "end_diameter"):
            if book.said_at(f"{at}.{name}") is not None:
                book.no_meaning(f"{at}.{name}", f"a {shape} end")
        return BarrelEnd(shape=shape, length_mm=0.0, end_diameter_mm=outside)
    rule = f"{kind.share:g} of the outside diameter; common practice"
    length = book.take(f"{at}.length", float(kind.length_mm(outside, book.half_mm)), rule)
    usual = float(kind.face_mm(bore, outside, length))
    diameter = book.take(f"{at}.end_diameter", usual, "leaves a third to half of the wall")
    if not kind.between(bore, outside, diameter):
        allowed = say("more than {bore} and at most {outside}", bore=fine_mm(bore), outside=fine_mm(outside))
        what, advice = "does not lie between bore and outside diameter", "change it or leave it out"
        book.fault(f"{at}.end_diameter", what, advice, given=diameter, allowed=allowed)
    drop = (outside - diameter) / 2
    if not kind.long_enough(length, drop):
        what, advice = "is too short for the rounding", "lengthen it or make the end diameter larger"
        book.fault(f"{at}.length", what, advice, given=length, at_least=float(kind.least_length_mm(drop)))
    return BarrelEnd(shape=shape, length_mm=length, end_diameter_mm=diameter)


def _lead_in(book: Book, which: str, outside: float, bore: float) -> LeadIn:
    at = f"barrel.lead_in.{which}"
    if book.said_at(at) is not None:
        length, angle = book.said_at(f"{at}.length"), book.said_at(f"{at}.angle")
    elif which == "aft":
        usual = rules.entry_length_mm(book.said.shaft.diameter, book.half_mm)
        length = book.derived(f"{at}.length", usual, say("entry end: {2 mm} to {5 mm}; common practice"))
        angle = book.derived(f"{at}.angle", 20.0, "entry end: 20 degrees; common practice", "deg")
    else:
        usual = float(rules.near_mm(1.0, book.half_mm))
        length = book.derived(f"{at}.length", usual, say("far end: about {1 mm}; common practice"))
        angle = book.derived(f"{at}.angle", 45.0, "far end: 45 degrees; common practice", "deg")
    if not lead_in_fits(length, angle, bore, outside):
        what, allowed = "cuts away most of the wall", f"at most {LEAD_IN_SHARE:g} of the wall"
        book.fault(f"{at}.length", what, "make the chamfer smaller", given=length, allowed=allowed)
    return LeadIn(length_mm=length, angle_deg=angle)


# --- places ---------------------------------------------------------------------------------------------------------


def _placed(book: Book, raw: list[Bearing], barrel: Barrel) -> tuple[Bearing, ...]:
    placed = []
    for i, (bearing, said) in enumerate(zip(raw, book.said.bearing, strict=True)):
        at = f"{book.bearing_at(i)}.position"
        if said.position is not None:
            near = station_mm(said.position.end, said.position.distance, barrel.length_mm)
            aft = book.given(at, near if said.position.end == "barrel_aft" else near - bearing.length_mm)
        elif i == 0:
            shoulders = [s.to_station_mm for s in barrel.steps if s.use.stops and s.from_station_mm == 0]
            aft = book.derived(
                at, max(shoulders, default=0.0), "flush with the aft face, or against the shoulder there"
            )
        else:
            aft = book.derived(at, barrel.length_mm - bearing.length_mm, "flush with the forward face")
        placed.append(replace(bearing, aft_station_mm=aft))
    return tuple(placed)
