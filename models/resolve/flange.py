"""A flanged housing: the flange, what it is bolted to, its fasteners, spigot, ribs and gasket."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from strutwright.models import rules
from strutwright.models.geometry.flange import ends_in_face, slant_mm
from strutwright.models.metals import metal
from strutwright.models.outline import Outline
from strutwright.models.resolve.armless import armless
from strutwright.models.resolve.barrel import barrel_of, station_mm
from strutwright.models.resolve.bearing import bearing_of
from strutwright.models.resolve.bolts import bolt_of, holes_of
from strutwright.models.resolve.book import Book
from strutwright.models.resolve.duty import casting_of, duty_of
from strutwright.models.resolve.metals import Metals, metals_of
from strutwright.models.resolve.palm import outline_of
from strutwright.models.resolve.protection import protection_of
from strutwright.models.resolve.screws import screw_thread_of, set_screws_of
from strutwright.models.resolve.shaft import shaft_of
from strutwright.models.spec import Barrel, Identity, LeadIn, PalmHole, Strut
from strutwright.models.spec_boat import HullFit
from strutwright.models.spec_flange import Base, Flange, FlangePlane, Gasket, Ribs, Spigot
from strutwright.params.words import fine_mm, mm, say

NAMES = {"width_forward": "width_top", "width_aft": "width_bottom"}
"""What the sizes of an outline are called where its length stands upright."""
TIMBER_ENGAGED, METAL_ENGAGED = 8.0, 1.5
"""Thread in timber and in metal over the fastener's diameter; common practice, no source."""
SPIGOT_CLEARANCE_MM = 0.5
"""Of the spigot in the bore of the base, on the diameter; common practice, no source: bedding fills it."""


def housing_of(book: Book, identity: Identity) -> Strut:
    """Return a flanged housing. Raises ParameterError with every fault found.

    >>> housing_of(book("deadwood-cutter"), shipped("deadwood-cutter").identity).flange.thickness_mm  # as said
    14.0
    """
    said, metals = book.said, metals_of(book)
    cast, thread = casting_of(book, metals.strut.name), screw_thread_of(book)
    raw = [bearing_of(book, i, metals.strut) for i in range(len(said.bearing))]
    made = book.stage(lambda: barrel_of(book, raw, thread, cast))
    barrel, bearings = made or (None, None)
    if barrel is not None and said.spigot is not None:
        barrel = _into_spigot(book, barrel)
    flange = book.stage(lambda: flange_of(book, barrel, metals))
    screws = book.stage(lambda: set_screws_of(book, barrel, bearings, thread))
    duty, shaft = duty_of(book), shaft_of(book, metals.shaft)
    book.closed()
    part = armless(
        book,
        identity,
        metals.strut.name,
        hull=HullFit.of_none(metals.hull, said.base.thickness),
        shaft=shaft,
        barrel=barrel,
        bearings=bearings,
        screws=screws,
        duty=duty,
        protection=protection_of(book),
    )
    return replace(part, edge_rule=said.bolts.edge_rule, casting=cast, flange=book.need(flange))


def _into_spigot(book: Book, barrel: Barrel) -> Barrel:
    """The barrel without a chamfer where its bore goes on into the spigot."""
    end = book.said.flange.looks
    if getattr(book.said.barrel.lead_in, end) is not None:
        book.no_meaning(f"barrel.lead_in.{end}", "an end on which the spigot stands")
    rule = "none: the bore goes on into the spigot"
    book.derived(f"barrel.lead_in.{end}.length", 0.0, rule)
    none = LeadIn(length_mm=0.0, angle_deg=45.0)
    return replace(barrel, lead_in_forward=none) if end == "forward" else replace(barrel, lead_in_aft=none)


def flange_of(book: Book, barrel: Barrel | None, metals: Metals) -> Flange | None:
    """Return the flange with all that belongs to it; None where what is told leaves no outline or no fastener.

    >>> told = book("deadwood-cutter")
    >>> len(flange_of(told, shipped("deadwood-cutter").barrel, metals_of(told)).holes)
    8
    """
    said: Any = book.said.flange
    bolt, shape = bolt_of(book, metals.bolts), outline_of(book, "flange.outline", NAMES)
    if bolt is None or shape is None:
        return None
    middle = (said.offset.up, said.offset.port)
    holes = holes_of(book, shape, middle)
    barrel = book.need(barrel)
    plane = _plane(book, barrel)
    # Said up and to port; a face that looks forward has its v axis to starboard.
    placed, turned = shape.translate(*middle), plane.looks == "forward"
    flange = Flange(
        name="flange",
        thickness_mm=said.thickness,
        outline=placed.mirror("x") if turned else placed,
        bevel_width_mm=0.0,
        bevel_height_mm=0.0,
        bolt=bolt,
        holes=tuple(PalmHole(number=n + 1, u_mm=u, v_mm=-v if turned else v) for n, (u, v) in enumerate(holes)),
        plane=plane,
        root_mm=root_of(book, barrel),
        base=base_of(book, metals),
        fastener=book.said.bolts.fastener,
        engaged_mm=engaged_of(book, metals, bolt.major_mm),
        spigot=_spigot(book, barrel, plane),
        ribs=ribs_of(book, barrel, shape),
        gasket=gasket_of(book, barrel),
    )
    return flange


def _plane(book: Book, barrel: Barrel) -> FlangePlane:
    said, at = book.said.flange, book.said.flange.position
    station = barrel.length_mm if at is None else station_mm(at.end, at.distance, barrel.length_mm)
    rule = (
        "flush with the barrel's forward face"
        if at is None
        else say("{d} in from {end}", d=mm(at.distance), end=at.end)
    )
    book.derived("flange.station", station, rule)
    lean = said.off_square
    plane = FlangePlane(station_mm=station, lean_deg=lean.profile, turn_deg=lean.plan, looks=said.looks)
    free = station - said.thickness if said.looks == "forward" else station + said.thickness
    if not min(station, free) >= -1e-9 or max(station, free) > barrel.length_mm + 1e-9:
        book.fault(
            "flange.position",
            "leaves the flange beyond an end of the barrel",
            "move it so that the whole thickness lies between the barrel's faces",
            given=mm(station),
            allowed=say("the flange within {length} of barrel", length=mm(barrel.length_mm)),
        )
    return plane


def root_of(book: Book, barrel: Barrel) -> float:
    """Return the fillet (cast) or the weld's leg (welded) between barrel and flange, mm, as said or by rule.

    >>> root_of(book("deadwood-cutter"), shipped("deadwood-cutter").barrel)
    6.0
    """
    said = book.said.flange
    wrong = "weld_leg" if book.cast else "root_fillet"
    if getattr(said, wrong) is not None:
        other = "welded" if book.cast else "cast"
        book.fault(f"flange.{wrong}", f"belongs to a {other} housing", f"remove it, or set `construction: {other}`")
    if book.cast:
        usual = rules.up_mm(rules.fillet_mm(said.thickness, barrel.wall_mm, book.limits), book.half_mm)
        return float(book.take("flange.root_fillet", usual, "a fillet in proportion to flange and wall"))
    usual = rules.leg_mm(said.thickness, barrel.wall_mm, rules.leg_share("none"), inch=book.inch)
    return float(book.take("flange.weld_leg", usual, "the thinner of flange and wall, as for arms"))


def base_of(book: Book, metals: Metals) -> Base:
    """Return what the flange is bolted to.

    >>> told = book("deadwood-cutter")
    >>> base_of(told, metals_of(told)).density_kg_m3
    660.0
    """
    said = book.said.base
    timber = metal(metals.hull).family == "timber"
    if not timber and said.density is not None:
        book.no_meaning("base.density", "a base that is not of timber")
    return Base(
        material=metals.hull,
        bore_mm=said.bore,
        thickness_mm=said.thickness,
        density_kg_m3=said.density,
        grain=said.grain,
        water_inside=said.water_inside,
        isolated=said.isolated,
    )


def engaged_of(book: Book, metals: Metals, major_mm: float) -> float | None:
    """Return the length of thread in the base, mm; None of through bolts.

    >>> told = book("deadwood-cutter")
    >>> engaged_of(told, metals_of(told), 10.0)
    90.0
    """
    said, timber = book.said.bolts, metal(metals.hull).family == "timber"
    if said.fastener == "through_bolt":
        if said.engaged is not None:
            book.no_meaning("bolts.engaged", "through bolts")
        return None
    if said.fastener == "lag_screw" and not timber:
        what, advice = "is for a base of timber", "choose a stud or a through bolt, or set materials.base to a timber"
        book.fault("bolts.fastener", what, advice, given="lag_screw")
    times = TIMBER_ENGAGED if timber else METAL_ENGAGED
    usual = float(rules.up_mm(times * major_mm, book.whole_mm))
    return float(book.take("bolts.engaged", usual, f"{times:g} diameters; common practice"))


def _spigot(book: Book, barrel: Barrel, plane: FlangePlane) -> Spigot | None:
    said = book.said.spigot
    if said is None:
        return None
    if not ends_in_face(plane, barrel):
        what = "has no place where the barrel itself goes on beyond the bedding face"
        book.fault("spigot", what, "remove it, or move flange.position to the end of the barrel")
    hose = said.use == "hose"
    if hose and said.hose_inside is None and said.outside_diameter is None:
        book.missing("spigot.hose_inside", "a spigot for a hose")
        return None
    for name in ("hose_inside", "barbs"):
        if not hose and getattr(said, name) is not None:
            book.no_meaning(f"spigot.{name}", "a spigot in the bore of the base")
    usual = (said.hose_inside or 0.0) if hose else book.said.base.bore - SPIGOT_CLEARANCE_MM
    rule = "the hose's inside diameter" if hose else "the bore of the base less a clearance for bedding"
    outside = book.take("spigot.outside_diameter", usual, rule)
    bore = book.take("spigot.bore", barrel.bore_mm, "as the barrel")
    least = book.said.shaft.diameter
    if bore <= least:
        advice = "make it wide enough for shaft and water"
        book.fault("spigot.bore", "is no wider than the shaft", advice, given=fine_mm(bore), over=fine_mm(least))
    if outside <= bore + rules.LEAST_WALL_MM:
        what, over = "leaves no wall outside the spigot's bore", fine_mm(bore + rules.LEAST_WALL_MM)
        book.fault("spigot.outside_diameter", what, "make it larger", given=fine_mm(outside), over=over)
    if not hose and outside > book.said.base.bore:
        what, most = "does not go into the bore of the base", fine_mm(book.said.base.bore)
        book.fault("spigot.outside_diameter", what, "make it smaller", given=fine_mm(outside), at_most=most)
    run = slant_mm(plane, outside / 2)
    if said.length <= run:
        what, over = "ends within the slanting bedding face", mm(run)
        book.fault("spigot.length", what, "make it longer", given=mm(said.length), over=over)
    barbs = said.barbs
    return Spigot(
        use=said.use,
        outside_mm=outside,
        bore_mm=bore,
        length_mm=said.length,
        barbs=barbs.count if barbs else 0,
        barb_height_mm=barbs.height if barbs else 0.0,
        hose_mm=(said.hose_inside or outside) if hose else None,
        clamp_width_mm=said.clamps.width if hose else 0.0,
        clamps=said.clamps.count if hose else 0,
    )


def ribs_of(book: Book, barrel: Barrel, shape: Outline) -> Ribs | None:
    """Return the ribs as said, None without any.

    >>> made = shipped("tube-end-pair")
    >>> ribs_of(book("tube-end-pair"), made.barrel, made.flange.outline).thickness_mm
    10.0
    """
    said = book.said.flange.ribs
    if said is None:
        return None
    return Ribs(
        count=said.count,
        thickness_mm=said.thickness,
        along_mm=said.along,
        out_mm=said.out,
        first_clock_deg=said.first_clock,
    )


def gasket_of(book: Book, barrel: Barrel) -> Gasket:
    """Return what seals the bedding face.

    >>> gasket_of(book("deadwood-cutter"), shipped("deadwood-cutter").barrel).thickness_mm
    1.5
    """
    said = book.said.flange.gasket
    recess = said.recess
    if recess is not None and recess.depth >= book.said.flange.thickness:
        what, under = "goes through the flange", mm(book.said.flange.thickness)
        book.fault("flange.gasket.recess.depth", what, "make it shallower", given=mm(recess.depth), under=under)
    spigot = book.said.spigot
    inside = 0.0 if spigot is None else spigot.outside_diameter or 0.0
    if recess is not None and recess.diameter <= inside:
        what, over = "is no wider than the spigot that stands in it", mm(inside)
        book.fault("flange.gasket.recess.diameter", what, "make it wider", given=mm(recess.diameter), over=over)
    return Gasket(
        thickness_mm=said.thickness,
        recess_mm=recess.diameter if recess else 0.0,
        recess_depth_mm=recess.depth if recess else 0.0,
    )
