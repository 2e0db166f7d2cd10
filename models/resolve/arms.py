"""The arms: how they stand, their section at both ends, and the fillets or welds at their roots."""

from __future__ import annotations

from typing import Any

from strutwright.models import frames, rules
from strutwright.models.resolve.barrel import station_mm
from strutwright.models.resolve.book import Book
from strutwright.models.resolve.hull import SIDE
from strutwright.models.sections import kind_of
from strutwright.models.spec import Arm, Barrel, Hand
from strutwright.models.spec_boat import HullFit
from strutwright.params import schema
from strutwright.params.words import fine_mm, mm, say


def arms_of(book: Book, barrel: Barrel | None, hull: HullFit, hand: Hand) -> tuple[Arm, ...]:
    """Return the arms; of a vee the port one first. Raises MissingPartError without a barrel to go by.

    >>> strut = shipped("pilot-vee")  # an included angle of 52 degrees
    >>> [arm.clock_deg for arm in arms_of(book("pilot-vee"), strut.barrel, strut.hull, "centre")]
    [26.0, -26.0]
    """
    said: Any = book.said.arms
    vee = said.arrangement == "vee"
    if vee and said.included_angle is None:
        book.fault("arms.included_angle", "is missing for a vee", "add it, for example 60 deg")
    if not vee and said.included_angle is not None:
        book.fault("arms.included_angle", "is for a vee only", "remove it")
    if not vee and book.said.palm.arrangement == "each_arm":
        book.fault("palm.arrangement", "asks for a palm on each arm, but there is one arm", "remove it")
    stance = _stance(book, hull, hand)
    barrel = book.need(barrel)
    section = said.section
    chord, thick = section.chord, section.thickness
    chord_palm = book.take("arms.section.chord_at_palm", chord, "as at the barrel")
    thick_palm = book.take("arms.section.thickness_at_palm", thick, "as at the barrel")
    thinnest = min(section.thickness, section.thickness_at_palm or section.thickness)
    edge = edge_radius(book, "arms.section.edge_radius", section.shape, section.edge_radius, thinnest)
    for name, c, t in (("chord", chord, thick), ("chord_at_palm", chord_palm, thick_palm)):
        if t > c:
            swap = "check both; were chord and thickness swapped?"
            book.fault(f"arms.section.{name}", "is smaller than the thickness", swap, given=c, at_least=t)
    barrel_root, palm_root = (_fillets if book.cast else _legs)(book, barrel, thick, thick_palm)
    half = (said.included_angle or 0.0) / 2
    layout = [(f"{side} arm", stance + off) for side, off in zip(_sides(hand), (half, -half), strict=True)]
    station = _station(book, barrel.length_mm)
    return tuple(
        Arm(
            name=name,
            clock_deg=clock,
            rake_deg=said.rake,
            station_mm=station,
            toe_deg=said.toe if i == 0 or not vee else -said.toe,
            aligned_with=said.chord_along,
            shape=section.shape,
            chord_barrel_mm=chord,
            thickness_barrel_mm=thick,
            chord_palm_mm=chord_palm,
            thickness_palm_mm=thick_palm,
            edge_radius_mm=edge,
            barrel_root_mm=barrel_root,
            palm_root_mm=palm_root,
            palm_index=i if vee and book.palm_on_each_arm else 0,
        )
        for i, (name, clock) in enumerate(layout if vee else [("arm", stance)])
    )


def _stance(book: Book, hull: HullFit, hand: Hand) -> float:
    """The clock (degrees) of the arm, or of the line half-way between two."""
    said: Any = book.said.arms.stance
    if said == "square_to_bottom":
        tilt = frames.athwart_tilt_deg(hull.deadrise_deg, hull.run_deg, hull.shaft_to_hull_deg, SIDE[hand])
        return book.derived("arms.stance", -tilt, "square to the bottom, seen along the shaft", "deg")
    return float(book.given("arms.stance", 0.0 if said == "vertical" else said, "deg"))


def _station(book: Book, barrel_mm: float) -> float:
    place = book.said.arms.position
    if place is None:
        return book.derived("arms.station", barrel_mm / 2, "mid-barrel")
    return book.given("arms.station", station_mm(place.end, place.distance, barrel_mm), said_at="arms.position")


def edge_radius(book: Book, path: str, shape: str, given: float | None, thinnest_mm: float) -> float:
    """Return the radius (mm) of the edges of an arm, or a web; 0 of a kind that has none. What cannot be is told.

    path, given: in the file; shape: kind of section; thinnest_mm: the lesser thickness of both ends.

    >>> edge_radius(book("canal-tender"), "arms.section.edge_radius", "flat", None, 14.0)
    7.0
    """
    kind = kind_of(shape)
    if kind.edges is None:
        if given is not None:
            book.fault(path, f"is not for {kind.one}, which has no edges", "remove it")
        return 0.0
    low, most = kind.edge_range_mm(thinnest_mm, book.limit("arm_edge_least"))
    radius = book.take(path, float(kind.usual_edge_mm(thinnest_mm)), kind.edges.usual)
    if not low - 1e-9 <= radius <= most + 1e-9:
        large = f"is more than {kind.edges.most}", "make it smaller"
        what, advice = large if radius > most else ("is a knife edge", "make it larger")
        allowed = say("{low} to {most}", low=fine_mm(low), most=fine_mm(most))
        book.fault(path, what, advice, given=radius, allowed=allowed)
    return float(radius)


def _fillets(book: Book, barrel: Barrel, thick: float, at_palm: float) -> tuple[float, float]:
    """Fillet radii (mm) of a casting, at the barrel and at the palm."""
    if book.loaded.says("welds"):
        book.fault("welds", "belongs to a welded strut", "remove it, or set `construction: welded`")
    share = rules.fillet_share(rules.ARM_FILLET, book.limits)
    least = mm(book.limit("pattern_fillet"))
    rule = say("{share} of the thinner neighbour, at least {least}; common practice", share=f"{share:.3g}", least=least)

    def fillet(name: str, arm: float, neighbour: float) -> float:
        usual = rules.up_mm(rules.fillet_mm(arm, neighbour, book.limits), book.half_mm)
        return float(book.take(f"arms.root_fillet.{name}", usual, rule))

    return fillet("barrel", thick, barrel.wall_mm), fillet("palm", at_palm, book.said.palm.thickness)


def _legs(book: Book, barrel: Barrel, thick: float, at_palm: float) -> tuple[float, float]:
    """Legs (mm) of the fillet welds, at the barrel and at the palm."""
    if book.said.arms.root_fillet != schema.Roots():
        book.fault("arms.root_fillet", "belongs to a cast strut", "give `welds.arm_to_barrel_leg` instead")
    share = rules.leg_share(book.said.welds.prep)

    def leg(name: str, neighbour: float) -> float:
        usual = rules.leg_mm(min(thick, at_palm), neighbour, share, inch=book.inch)
        rule = f"{share:g} of the thinner neighbour, at least the table's least leg"
        return float(book.take(f"welds.{name}", usual, rule))

    return leg("arm_to_barrel_leg", barrel.wall_mm), leg("arm_to_palm_leg", book.said.palm.thickness)


def _sides(hand: Hand) -> tuple[str, str]:
    """What the port and the starboard arm of a vee are called: inboard and outboard where the strut has a hand, so that
    the same part has the same name on both hands."""
    if hand == "centre":
        return "port", "starboard"
    return ("outboard", "inboard") if hand == "port" else ("inboard", "outboard")
