"""The bearing: sizes of the file, of the example table or by rule, and the limits of its shell."""

from __future__ import annotations

import math
from contextlib import suppress
from typing import Any

from strutwright.models import rules
from strutwright.models.resolve.book import Book
from strutwright.models.spec import Bearing
from strutwright.params import tables
from strutwright.params.quantity import INCH_MM
from strutwright.params.tables import Material
from strutwright.params.words import fine_mm, say

LEAST_RUBBER_MM = 0.2  # from shell to shaft; half of it, but for rounding, stays under a flute: thinner is none
FAR_MM = 0.5  # a size farther than this from its nominal one is another size


def bearing_of(book: Book, index: int, strut: Material) -> Bearing:
    """Return a bearing of the file (from 0), not placed yet: its station is nan. strut: metal of the barrel.

    >>> bearing_of(book("canal-tender"), 0, tables.material("316L")).inside_mm  # shaft of 20, clearance 0.11
    20.11
    """
    at, d = book.bearing_at(index), book.said.shaft.diameter
    said = book.said.bearing[index]
    outside, shell = _outside_and_shell(book, at)
    shafts = rules.bearing_length_shafts(book.limits)
    rule = f"{'four' if shafts == 4.0 else f'{shafts:g}'} shaft diameters"
    length = book.take(f"{at}.length", float(rules.up_mm(shafts * d, book.whole_mm)), rule)
    usual = "C46400" if strut.family in ("bronze", "brass") else "glass-epoxy shell"
    rule = "metal shell in bronze, glass-epoxy shell in stainless, against a couple"
    metal = book.take(f"{at}.shell_material", usual, rule, "")
    found = book.table(f"{at}.shell_material", "materials", tables.material, metal)
    clearance = _running_clearance(book, f"{at}.running_clearance", outside, shell)
    inside = d + clearance
    rubber = (outside - inside) / 2 - shell
    if outside <= inside:
        allowed = say("more than {size} and two shells with rubber", size=fine_mm(inside))
        what = "is no larger than its running bore, the shaft and its clearance"
        advice = "check the bearing's outside diameter against shaft.diameter"
        book.fault(f"{at}.outside_diameter", what, advice, given=outside, allowed=allowed)
    elif rubber < LEAST_RUBBER_MM:
        most = (outside - inside) / 2 - LEAST_RUBBER_MM
        what, advice = "leaves no room for rubber between shell and shaft", "check outside diameter, shell and shaft"
        book.fault(f"{at}.shell", what, advice, given=shell, at_most=most)
    count, width, depth, clock = _flutes(book, f"{at}.flutes", inside, rubber)
    upper, lower = shell_limits(book, at, said, outside)
    return Bearing(
        outside_mm=outside,
        outside_upper_mm=upper,
        outside_lower_mm=lower,
        length_mm=length,
        aft_station_mm=math.nan,
        inside_mm=inside,
        shell_mm=shell,
        shell_material=found.name if found else metal,
        flute_count=count,
        flute_width_mm=width,
        flute_depth_mm=depth,
        flute_clock_deg=clock,
        measured_mm=said.outside_measured,
        stiffness_n_mm=said.stiffness,
    )


def _running_clearance(book: Book, at: str, outside: float, shell: float) -> float:
    """The running clearance (mm)."""
    d, pressed = book.said.shaft.diameter, (0.0, 0.0)
    if book.said.barrel.fit == "press":
        with suppress(tables.NotInTable):  # told where the limits of the shell are taken from
            pressed = rules.usual_interference_mm(outside)
    if (wanted := book.said.barrel.interference) is not None:
        pressed = wanted, wanted + pressed[1] - pressed[0]
    pressed = rules.closure_mm(pressed, d, outside - 2.0 * shell)
    clearance, usual = rules.running_clearance_mm(d, pressed, book.limits), rules.usual_clearance_mm(d)
    rule = say("0.003 of the shaft diameter, at least {0.08 mm}; common practice, no source")
    if clearance > usual:
        least = fine_mm(rules.wanted_clearance_mm(d, book.limits))
        rule = say("the least clearance wanted, {least}, and what pressing the bearing in takes of it", least=least)
    elif clearance < usual:
        rule = say("the greatest clearance allowed")
    return book.take(at, clearance, rule)


def _outside_and_shell(book: Book, at: str) -> tuple[float, float]:
    """The nominal outside diameter and the shell's thickness (mm)."""
    d = book.said.shaft.diameter
    row = tables.bearing_example(d, tolerance_mm=math.inf)
    assert row is not None
    exact, confirm = abs(row.shaft_mm - d) < 0.02, "confirm against the bearing in hand"

    def example(name: str, value_mm: float) -> float:
        if exact:
            return book.take(f"{at}.{name}", value_mm, f"example table, {confirm}", origin="table")
        scaled = float(rules.near_mm(value_mm * (d / row.shaft_mm), book.half_mm))
        return book.take(f"{at}.{name}", scaled, f"scaled from the nearest row of the example table, {confirm}")

    measured = book.said_at(f"{at}.outside_measured")
    if measured is None or book.said_at(f"{at}.outside_diameter") is not None:
        return example("outside_diameter", row.outside_mm), example("shell", row.shell_mm)
    step = INCH_MM / 64 if book.inch else 0.1
    nominal = round(measured / step) * step
    book.derived(f"{at}.outside_diameter", nominal, "nominal: the measured size, rounded")
    return nominal, example("shell", row.shell_mm)


def _flutes(book: Book, at: str, inside: float, rubber: float) -> tuple[int, float, float, float]:
    """Count, width (mm), depth (mm) and clock (degrees) of the flutes."""
    d = book.said.shaft.diameter
    rule = "usual count for the shaft's size; common practice"
    count = book.take(f"{at}.count", rules.flute_count(d), rule, "")
    usual = rules.flute_width_mm(inside, count, book.half_mm)
    width = book.take(f"{at}.width", usual, "two fifths of the flute pitch; common practice")
    depth = book.take(f"{at}.depth", round(0.5 * rubber, 2), "half the rubber; common practice")
    if rubber >= LEAST_RUBBER_MM and depth > (most := rubber - 0.49 * LEAST_RUBBER_MM):
        advice = "make the flutes shallower"
        book.fault(f"{at}.depth", "leaves no rubber on the shell", advice, given=depth, at_most=most)
    if count * width >= 0.95 * math.pi * inside:
        given = say("{count} of {width}", count=count, width=fine_mm(width))
        allowed = say("less than {size} each", size=fine_mm(0.95 * math.pi * inside / count))
        what, advice = "leaves no lands between the flutes", "make the flutes fewer or narrower"
        book.fault(f"{at}.width", what, advice, given=given, allowed=allowed)
    clock = book.take(f"{at}.clock", 180.0 - 180.0 / count, "a land at clock 180, under the load", "deg")
    return int(count), width, depth, clock


def shell_limits(book: Book, at: str, said: Any, outside: float) -> tuple[float, float]:
    """Return the upper and lower limit (mm) of a shell above its nominal outside. at: its path; said: its group.

    >>> told = book("canal-tender")
    >>> shell_limits(told, "bearing", told.said.bearing[0], 32.0)  # p6, assumed
    (0.042, 0.026)
    """
    upper, lower = said.outside_upper, said.outside_lower
    if said.outside_measured is not None:
        off = _measured_off_mm(book, at, said, outside)
        return off, off
    if upper is None or lower is None:
        if said.outside_diameter is not None and not _nominal(outside):
            advice = (
                "give the nominal size here and what was measured as `outside_measured`: the bore is made to that; or "
                "give `outside_upper` and `outside_lower`"
            )
            allowed = "whole tenths of a millimetre, hundredths or 64ths of an inch"
            what = "is no nominal size; was it measured?"
            book.fault(f"{at}.outside_diameter", what, advice, given=outside, allowed=allowed)
        return _assumed_limits(book, at, outside)
    if lower > upper:
        book.fault(f"{at}.outside_lower", "is above the upper limit", "swap the two limits", given=lower, at_most=upper)
    return upper, lower


def _measured_off_mm(book: Book, at: str, said: Any, outside: float) -> float:
    """How far (mm) the measured size of a bearing lies above its nominal one."""
    size: float = said.outside_measured
    if abs(size - outside) > FAR_MM:
        allowed = say("{low} to {high}", low=fine_mm(outside - FAR_MM), high=fine_mm(outside + FAR_MM))
        advice = "give the nominal size of the bearing in hand as `outside_diameter`, or measure again"
        book.fault(f"{at}.outside_measured", "is far from the nominal size", advice, given=size, allowed=allowed)
    for name in ("outside_upper", "outside_lower"):
        if getattr(said, name) is not None:
            what = "is a limit of a bearing that is not measured yet"
            book.fault(f"{at}.{name}", what, "remove it: the measured size stands in its place")
    return size - outside


def _assumed_limits(book: Book, at: str, outside_mm: float) -> tuple[float, float]:
    """The limits (mm) assumed for a shell whose own are not given."""
    symbol = "p6" if book.said.barrel.fit == "press" else "h7"
    try:
        limits = tables.iso286(symbol, outside_mm)
    except tables.NotInTable as error:
        what = "is outside the table that limits are taken from"
        advice = "measure the bearing and give outside_upper and outside_lower"
        book.fault(f"{at}.outside_diameter", what, advice, given=outside_mm, allowed=error.allowed)
        return 0.0, 0.0
    rule = f"ISO 286-2 {symbol} assumed; measure the bearing"
    book.derived(f"{at}.outside_upper", limits.upper_mm, rule)
    book.derived(f"{at}.outside_lower", limits.lower_mm, rule)
    return limits.upper_mm, limits.lower_mm


def _nominal(size_mm: float) -> bool:
    """Whether a size (mm) is one that a bearing is ordered by, not one that a micrometer reads."""
    # A 64th may be written in millimetres to two decimals.
    steps = ((0.1, 0.0015), (INCH_MM / 100, 0.0015), (INCH_MM / 64, 0.0051))
    return any(abs(size_mm / step - round(size_mm / step)) * step < off for step, off in steps)
