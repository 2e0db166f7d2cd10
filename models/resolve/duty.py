"""Power and speeds, the propeller, and how a strut is cast or welded: taken as said but for a few rules."""

from __future__ import annotations

from typing import Any

from strutwright.models.resolve.book import Book
from strutwright.models.rules import USUAL_DRAFT_DEG
from strutwright.models.spec import Casting, Weld
from strutwright.models.spec_boat import Duty, Propeller, Use
from strutwright.params import tables


def duty_of(book: Book) -> Duty:
    """Return power and speeds; the shaft's speed by engine and gear where the file does not give it.

    >>> duty_of(book("canal-tender")).shaft_rpm  # as said
    1500.0
    """
    duty: Any = book.said.duty
    shaft_rpm, disagree = _shaft_speed(book)
    return Duty(
        power_kw=duty.power,
        shaft_rpm=shaft_rpm,
        idle_rpm=duty.idle_speed,
        boat_speed_kn=duty.boat_speed,
        waterline_length_m=None if duty.waterline_length is None else duty.waterline_length / 1000,
        service=duty.service,
        rudder_area_m2=duty.rudder_area,
        conflicts=disagree,
        use=tuple(Use(one.name, one.hours, one.speed) for one in duty.use),
    )


def _shaft_speed(book: Book) -> tuple[float | None, tuple[tuple[str, float, float], ...]]:
    """The shaft's speed (rpm), and where engine and gear make another: (path, given and taken, theirs)."""
    duty: Any = book.said.duty
    shaft, engine, ratio = duty.shaft_speed, duty.engine_speed, duty.gear_ratio
    if shaft is None and (engine is None) != (ratio is None):
        lacking = "engine_speed" if engine is None else "gear_ratio"
        what = "is missing: the shaft's speed follows from engine_speed and gear_ratio"
        book.fault(f"duty.{lacking}", what, f"add `{lacking}:`, or give `shaft_speed:`")
        return None, ()
    if engine is None or ratio is None:
        if shaft is not None and engine is not None:
            book.derived("duty.gear_ratio", engine / shaft, "engine speed over shaft speed", "")
        elif shaft is not None and ratio is not None:
            book.derived("duty.engine_speed", shaft * ratio, "shaft speed times gear ratio", "rpm")
        return shaft, ()
    implied = engine / ratio
    if shaft is None:
        return book.derived("duty.shaft_speed", float(implied), "engine speed over gear ratio", "rpm"), ()
    return shaft, (("duty.shaft_speed", shaft, implied),) if abs(shaft - implied) > 1e-6 * implied else ()


def propeller_of(book: Book) -> Propeller:
    """Return the propeller as said.

    >>> propeller_of(book("canal-tender")).diameter_mm
    280.0
    """
    said: Any = book.said.propeller
    return Propeller(
        diameter_mm=said.diameter,
        blades=said.blades,
        mass_kg=said.mass,
        hub_length_mm=said.hub_length,
        hub_gap_mm=said.hub_gap,
        pitch_mm=said.pitch,
    )


def weld_of(book: Book) -> Weld:
    """Return how the joints of a welded strut are made, as said.

    >>> weld_of(book("canal-tender")).prep, weld_of(book("survey-launch")).prep
    ('none', 'double_bevel')
    """
    said: Any = book.said.welds
    return Weld(
        prep=said.prep,
        prep_angle_deg=said.prep_angle,
        root_face_mm=said.root_face,
        beads=said.beads,
        root_gap_mm=said.root_gap,
    )


def casting_of(book: Book, material: str) -> Casting | None:
    """Return how closely a cast strut is cast, None for a welded one. material: of the strut.

    >>> casting_of(book("harbour-launch"), "C95800").tolerance_grade  # its file says so
    'CT11'
    """
    if not book.cast:
        if book.loaded.says("pattern"):
            book.fault("pattern", "belongs to a cast strut", "remove it, or set `construction: cast`")
        return None
    said, usual = book.said.pattern, tables.casting_grades(material)
    rule = "single casting moulded by hand in sand, ISO 8062-4: {} to {}; confirm with the founder"
    finest, coarsest, allowance, most = usual.finest, usual.coarsest, usual.allowance, usual.allowance_most
    book.take("pattern.draft", USUAL_DRAFT_DEG, "at least; more on low faces, each by its height, ISO 8062-4", "deg")
    return Casting(
        tolerance_grade=book.take("pattern.tolerance_grade", finest, rule.format(finest, coarsest), ""),
        allowance_grade=book.take("pattern.allowance_grade", allowance, rule.format(allowance, most), ""),
        core_shift_mm=said.core_shift,
        stock_bore_mm=said.stock.bore,
    )
