"""A rudder shoe: boss and bush round the stock, the plate under the keel, and what is known of rudder and keel."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from strutwright.models import rules
from strutwright.models.metals import metal
from strutwright.models.outline import Outline
from strutwright.models.resolve.armless import armless
from strutwright.models.resolve.barrel import barrel_of, station_mm
from strutwright.models.resolve.bearing import bearing_of, shell_limits
from strutwright.models.resolve.bolts import bolt_of, holes_of
from strutwright.models.resolve.book import Book
from strutwright.models.resolve.duty import casting_of
from strutwright.models.resolve.flange import base_of, engaged_of, gasket_of, ribs_of, root_of
from strutwright.models.resolve.metals import Metals, metals_of
from strutwright.models.resolve.palm import outline_of
from strutwright.models.resolve.protection import protection_of
from strutwright.models.resolve.screws import screw_thread_of, set_screws_of
from strutwright.models.spec import Barrel, Bearing, Identity, PalmHole, Strut
from strutwright.models.spec_boat import Duty, HullFit, Protection, Shaft, Use
from strutwright.models.spec_flange import Flange, FlangePlane
from strutwright.models.spec_shoe import Shoe
from strutwright.params import tables
from strutwright.params.words import fine_mm, mm, say

BUSH_WALL_SHARE, BUSH_WALL_MM = 0.1, 3.0
"""Wall of a plain bush over the stock's diameter, and the least of it; common practice, no source."""
METAL_BUSH, OTHER_BUSH = "C90300", "glass-epoxy shell"
"""Material of a plain bush where the file says none: in a yellow metal, and in others, against a couple."""
SLOPE = 0.002
"""Running clearance of a plain bush over the stock's diameter, of plastic; common practice, no source."""


def shoe_of(book: Book, identity: Identity) -> Strut:
    """Return a rudder shoe. Raises ParameterError with every fault found.

    >>> made = shoe_of(book("creek-yawl"), shipped("creek-yawl").identity)
    >>> made.family, made.barrel.length_mm, made.flange.plane.looks
    ('rudder_shoe', 76.0, 'aft')
    """
    said, metals = book.said, metals_of(book)
    cast, thread = casting_of(book, metals.strut.name), screw_thread_of(book)
    raw = [bush_of(book, metals)]
    if said.boss.floor is not None and said.boss.length is None:
        book.missing("boss.length", "a boss with a floor")
    made = book.stage(lambda: barrel_of(book, raw, thread, cast))
    barrel, bearings = made or (None, None)
    if barrel is not None:
        _floor(book, barrel)
    plate = book.stage(lambda: plate_of(book, barrel, metals))
    screws = book.stage(lambda: set_screws_of(book, barrel, bearings, thread))
    shoe = book.stage(lambda: _shoe(book, bearings))
    book.closed()
    part = armless(
        book,
        identity,
        metals.strut.name,
        hull=HullFit.of_none(metal(metals.hull).name, said.keel.thickness),
        shaft=Shaft(diameter_mm=said.stock.diameter, material=metals.shaft, bearing_span_mm=None),
        barrel=barrel,
        bearings=bearings,
        screws=screws,
        duty=_duty(book),
        protection=_protection(book),
    )
    return replace(part, edge_rule=said.bolts.edge_rule, casting=cast, flange=book.need(plate), shoe=book.need(shoe))


def bush_of(book: Book, metals: Metals) -> Bearing:
    """Return the bush, not placed yet: its station is nan.

    >>> told = book("creek-yawl")
    >>> bush_of(told, metals_of(told)).plain
    True
    """
    said, d = book.said.bush, book.said.stock.diameter
    if said.kind == "fluted_rubber":
        return bearing_of(book, 0, metals.strut)
    for name in ("shell", "stiffness", "flutes"):
        if getattr(said, name) not in (None, type(said).model_fields[name].default):
            book.no_meaning(f"bush.{name}", "a plain bush")
    usual_metal = METAL_BUSH if metals.strut.family in ("bronze", "brass") else OTHER_BUSH
    why = "bronze in a yellow metal, glass-epoxy in others, against a couple; common practice"
    name = book.take("bush.shell_material", usual_metal, why, "")
    found = book.table("bush.shell_material", "materials", tables.material, name)
    rule = say("{share} of the stock, at least {0.1 mm}; common practice", share=f"{SLOPE:g}")
    inside = d + book.take(
        "bush.running_clearance", max(0.1, round(SLOPE * d, 2), rules.heel_clearance_least_mm(d, book.limits)), rule
    )
    wall = max(BUSH_WALL_MM, BUSH_WALL_SHARE * d)
    usual = float(rules.up_mm(inside + 2 * wall, book.whole_mm))
    if said.outside_measured is not None and said.outside_diameter is None:
        usual = round(said.outside_measured * 10) / 10
    outside = book.take("bush.outside_diameter", usual, "a tenth of the stock in each wall; common practice")
    if outside < inside + 2 * rules.LEAST_WALL_MM:
        what, least = "leaves no wall round the stock", fine_mm(inside + 2 * rules.LEAST_WALL_MM)
        book.fault("bush.outside_diameter", what, "make it larger", given=fine_mm(outside), at_least=least)
    upper, lower = shell_limits(book, "bush", said, outside)
    return Bearing(
        outside_mm=outside,
        outside_upper_mm=upper,
        outside_lower_mm=lower,
        length_mm=said.length,
        aft_station_mm=math.nan,
        inside_mm=inside,
        shell_mm=max((outside - inside) / 2, 0.0),
        shell_material=found.name if found else name,
        flute_count=0,
        flute_width_mm=0.0,
        flute_depth_mm=0.0,
        flute_clock_deg=0.0,
        measured_mm=said.outside_measured,
    )


def plate_of(book: Book, barrel: Barrel | None, metals: Metals) -> Flange | None:
    """Return the plate with its fasteners; None where what is told leaves no outline or no fastener.

    >>> told = book("creek-yawl")
    >>> plate_of(told, shipped("creek-yawl").barrel, metals_of(told)).fastener
    'through_bolt'
    """
    said: Any = book.said.plate
    bolt, shape = bolt_of(book, metals.bolts), outline_of(book, "plate.outline")
    if bolt is None or shape is None:
        return None
    barrel = book.need(barrel)
    plane = _plane(book, barrel)
    return Flange(
        name="plate",
        thickness_mm=said.thickness,
        outline=shape.translate(said.offset.forward, said.offset.port),
        bevel_width_mm=0.0,
        bevel_height_mm=0.0,
        bolt=bolt,
        holes=_holes(book, shape),
        plane=plane,
        root_mm=root_of(book, barrel),
        base=base_of(book, metals),
        fastener=book.said.bolts.fastener,
        engaged_mm=engaged_of(book, metals, bolt.major_mm),
        ribs=ribs_of(book, barrel, shape),
        gasket=gasket_of(book, barrel),
    )


def _holes(book: Book, shape: Outline) -> tuple[PalmHole, ...]:
    said: Any = book.said.bolts.pattern
    port = book.said.plate.offset.port
    if said.kind == "grid":
        if said.aftmost is None:
            book.missing("bolts.pattern.aftmost", "the pattern `grid`")
            return ()
        middle = said.aftmost + ((said.along or 1) - 1) / 2 * (said.pitch_along or 0.0), port
    else:
        if said.aftmost is not None:
            book.no_meaning("bolts.pattern.aftmost", "the pattern `points`")
        middle = book.said.plate.offset.forward, port
    laid = holes_of(book, shape, middle)
    return tuple(PalmHole(number=n + 1, u_mm=u, v_mm=v) for n, (u, v) in enumerate(laid))


def _plane(book: Book, barrel: Barrel) -> FlangePlane:
    said, stock = book.said.plate, book.said.stock
    at = said.position
    station = 0.0 if at is None else station_mm(at.end, at.distance, barrel.length_mm)
    rule = "flush with the upper face of the boss" if at is None else say("{d} in", d=mm(at.distance))
    book.derived("flange.station", station, rule)
    # A stock that leans aft sees the plate's forward edge lower; down is forward along its axis.
    plane = FlangePlane(station_mm=station, lean_deg=-stock.rake + 0.0, turn_deg=stock.cant + 0.0, looks="aft")
    if station + said.thickness > barrel.length_mm + 1e-9:
        what, allowed = "leaves the plate beyond the boss", mm(barrel.length_mm)
        advice = "move it up, or lengthen boss.length, so that the whole thickness lies between the boss's faces"
        book.fault("plate.position", what, advice, given=mm(station + said.thickness), at_most=allowed)
    return plane


def _floor(book: Book, barrel: Barrel) -> None:
    floor = book.said.boss.floor
    if floor is None:
        return
    if floor.sand_hole >= barrel.bore_mm:
        what, advice = "is no smaller than the bore", "make it smaller, or leave the floor out"
        book.fault("boss.floor.sand_hole", what, advice, given=fine_mm(floor.sand_hole), under=fine_mm(barrel.bore_mm))
    if floor.thickness >= barrel.length_mm:
        what, under = "takes up the whole boss", mm(barrel.length_mm)
        book.fault("boss.floor.thickness", what, "make it thinner", given=mm(floor.thickness), under=under)


def _shoe(book: Book, bearings: tuple[Bearing, ...] | None) -> Shoe:
    bush, said = book.need(bearings)[0], book.said
    stop, keel = said.jumping_stop, said.keel
    box = said.plate.outline
    entry = book.take("rudder.entry", bush.forward_station_mm, "to the lower end of the bush")
    if keel.width is not None and box.width is not None and keel.width > 10 * box.width:
        what = "is more than ten times as wide as the plate"
        book.fault(
            "keel.width", what, "leave it out for a flat bottom", given=mm(keel.width), at_most=mm(10 * box.width)
        )
    return Shoe(
        keel_end_mm=keel.end,
        keel_width_mm=keel.width,
        rake_deg=said.stock.rake,
        cant_deg=said.stock.cant,
        entry_mm=entry,
        rudder_height_mm=said.rudder.height,
        rudder_kg=said.rudder.mass,
        foot_gap_mm=said.rudder.foot_gap,
        jump_mm=None if stop is None else stop.gap,
        displacement_kg=said.duty.displacement,
    )


def _protection(book: Book) -> Protection:
    """The anodes; bonded to them is the rudder, taken as one of metal, where the file does not say what is."""
    made, area = protection_of(book), book.said.rudder.area
    if made.bonded_m2 is not None or area is None:
        return made
    both = book.derived("protection.bonded_area", 2.0 * area, "both sides of a rudder of metal", "m2")
    return replace(made, bonded_m2=both)


def _duty(book: Book) -> Duty:
    said, long = book.said.duty, book.said.duty.waterline_length
    return Duty(
        power_kw=None,
        shaft_rpm=None,
        idle_rpm=None,
        boat_speed_kn=said.boat_speed,
        waterline_length_m=None if long is None else long / 1000,
        service=said.service,
        rudder_area_m2=book.said.rudder.area,
        use=tuple(Use(one.name, one.hours, one.speed) for one in said.use),
    )
