"""The skeg under the barrel, and the heel with the rudder's lower bearing."""

from __future__ import annotations

from typing import Any

from strutwright.models import rules
from strutwright.models.resolve.book import Book
from strutwright.models.spec import Barrel, Heel, Skeg
from strutwright.models.spec_boat import HullFit
from strutwright.params.words import mm, say


def skeg_of(book: Book, barrel: Barrel | None, hull: HullFit) -> Skeg | None:
    """Return the skeg, None where the file has none. Raises MissingPartError without a barrel to go by.

    >>> strut = shipped("sloop-with-skeg")
    >>> skeg_of(book("sloop-with-skeg"), strut.barrel, strut.hull).depth_mm  # 5 in
    127.0
    """
    said: Any = book.said.skeg
    if said is None:
        return None
    if said.root_forward <= said.root_aft:
        book.fault(
            "skeg.root_forward",
            "is not forward of the aft end of the root",
            "swap the two",
            given=said.root_forward,
            over=said.root_aft,
        )
    barrel = book.need(barrel)
    if said.depth <= (least := barrel.outside_mm / 2 + 2):
        book.fault(
            "skeg.depth",
            "does not reach below the barrel",
            "measure it from the shaft line",
            given=said.depth,
            over=least,
        )
    return Skeg(
        kind=said.kind,
        root_aft_station_mm=said.root_aft,
        root_forward_station_mm=said.root_forward,
        depth_mm=said.depth,
        tip_chord_mm=said.tip_chord,
        sweep_mm=said.sweep,
        thickness_root_mm=said.thickness,
        thickness_tip_mm=book.take("skeg.tip_thickness", said.thickness, "as at the root"),
        leading_edge=said.leading_edge,
        root_mm=_root(book, barrel),
        heel=_heel(book, barrel, hull) if said.heel is not None else None,
    )


def _root(book: Book, barrel: Barrel) -> float:
    """The fillet of a casting or the leg of the weld (mm) at the barrel."""
    said: Any = book.said.skeg
    if book.cast:
        share = rules.fillet_share(rules.SKEG_FILLET, book.limits)
        usual = rules.up_mm(rules.skeg_fillet_mm(said.thickness, book.limits), book.half_mm)
        told = "half" if share == rules.SKEG_FILLET else f"{share:.3g} of"
        rule = say("{told} the thickness, at least {least}", told=told, least=mm(book.limit("pattern_fillet")))
        return float(book.take("skeg.root_fillet", usual, rule))
    if said.root_fillet is not None:
        book.fault("skeg.root_fillet", "belongs to a cast strut", "give `welds.skeg_to_barrel_leg`")
    usual = rules.skeg_leg_mm(said.thickness, barrel.wall_mm, inch=book.inch)
    return float(book.take("welds.skeg_to_barrel_leg", usual, "half the thickness, at least the table's least leg"))


def _heel(book: Book, barrel: Barrel, hull: HullFit) -> Heel:
    at, said = "skeg.heel", book.said_at("skeg.heel")
    lean = _stock_rake(book, hull)
    pintle = said.pintle_diameter
    running = pintle + 2 * said.sleeve_wall
    if said.sleeve_wall:
        book.derived(f"{at}.running_diameter", running, "pintle plus two walls of its sleeve")
    practice = say("{0.2 mm} to {0.5 mm} on plastic for small craft; common practice")
    clearance = book.take(f"{at}.clearance", rules.heel_clearance_mm(running, book.limits, inch=book.inch), practice)
    seat = running + clearance + 2 * said.bush_wall
    usual = rules.heel_outside_mm(seat, running, book.whole_mm)
    outside = book.take(f"{at}.outside_diameter", usual, "bush plus a wall of 0.35 of what runs in it")
    if outside <= seat + 2:
        what, advice = "leaves no wall round the bush", "make the boss larger"
        book.fault(f"{at}.outside_diameter", what, advice, given=outside, over=seat + 2)
    usual = rules.heel_height_mm(seat, running, book.whole_mm, book.limits)
    most = min(rules.HEEL_HEIGHT, book.limit("heel_bush_length"))
    rule = f"as high as the bush is wide, at most {most:g} of what runs in it"
    height = book.take(f"{at}.height", usual, rule)
    usual = float(rules.up_mm(1.25 * pintle, book.whole_mm))
    stock = book.take(f"{at}.stock_diameter", usual, "1.25 pintles; common practice, no source")
    if said.tube_diameter is not None and said.tube_diameter < stock:
        what, advice = "is narrower than the stock in it", "give the outside diameter of the tube"
        book.fault(f"{at}.tube_diameter", what, advice, given=said.tube_diameter, or_more=stock)
    high = book.take(f"{at}.foot_height", height, "as high as the boss")
    thick = book.take(f"{at}.foot_thickness", book.said_at("skeg.thickness"), "the fin's thickness at the root")
    return Heel(
        centre_mm=(-barrel.length_mm / 2 - said.behind_barrel, said.off_line, -said.below_shaft),
        stock_rake_deg=lean,
        stock_cant_deg=said.stock_cant,
        pintle_mm=pintle,
        bore_mm=running + clearance,
        bush_wall_mm=said.bush_wall,
        outside_mm=outside,
        height_mm=height,
        foot_height_mm=high,
        foot_thickness_mm=thick,
        stock_mm=stock,
        tube_mm=said.tube_diameter,
        tube_below_hull_mm=said.tube_below_hull,
        sleeve_wall_mm=said.sleeve_wall,
    )


def _stock_rake(book: Book, hull: HullFit) -> float:
    """The lean (degrees) of the stock from square to the shaft. Raises ParameterError where it is not told once."""
    at, rake = "skeg.heel.stock_rake", book.said_at("skeg.heel.stock_rake")
    if (rake.from_vertical is None) == (rake.from_square_to_shaft is None):
        allowed = "from_vertical or from_square_to_shaft"
        book.fault(at, "wants one angle", "give the one that was measured", allowed=allowed)
        book.stop_if_faulty()
    if rake.from_square_to_shaft is not None:
        return float(book.given(at, rake.from_square_to_shaft, "deg"))
    rule = "from vertical less the shaft's angle to the waterline"
    return float(book.derived(at, rake.from_vertical - hull.shaft_to_waterline_deg, rule, "deg"))
