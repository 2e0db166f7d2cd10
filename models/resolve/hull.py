"""How the hull lies over the shaft: run, angles and drop from whatever was measured, compared."""

from __future__ import annotations

import math
from typing import Any

from strutwright.models import frames
from strutwright.models.resolve.book import Book, off_by
from strutwright.models.spec import Barrel, Hand, PalmPlane
from strutwright.models.spec_boat import HullFit, HullPlate
from strutwright.params import schema_boat
from strutwright.params.problems import ParameterError
from strutwright.params.words import Amount, deg, say, told

SAME = 1e-6  # two inputs this near, mm or degrees, are one
SIDE = {"port": 1, "starboard": -1, "centre": 0}


def hull_of(book: Book, barrel: Barrel | None, hand: Hand, material: str) -> tuple[HullFit, tuple[PalmPlane, ...]]:
    """Return how the strut sits under the hull, and the plane of each palm.

    Raises ParameterError where the file does not say enough, MissingPartError without a barrel to go by.

    >>> hull, _ = hull_of(book("canal-tender"), shipped("canal-tender").barrel, "centre", "FRP laminate")
    >>> hull.shaft_to_waterline_deg  # 9 degrees to the hull, less the run of 1.5
    7.5
    """
    said, before = book.said.hull, len(book.problems)
    _ask_for_angle_and_drop(book)
    book.stop_if_faulty(before)
    known_run = _run(book)
    run = known_run or 0.0
    deadrise = said.deadrise
    if "deadrise" not in said.model_fields_set:
        book.derived("hull.deadrise", deadrise, "not given: a bottom that is flat athwart", "deg")
    two_sided = hand == "centre" and book.said.arms.arrangement == "vee" and book.palm_on_each_arm
    if hand == "centre" and deadrise and not two_sided:
        _ask_for_hand(book, deadrise)
    book.stop_if_faulty(before)
    # Palms on both sides of the keel lie on the V bottom: their true angle and distance are those of its sides.
    on = 1 if two_sided else SIDE[hand]
    pitch, waterline = _pitch(book, said.shaft_angle, run, deadrise if on else 0.0)
    tilt = frames.athwart_tilt_deg(deadrise, run, pitch, on)
    hull_inputs = _HullInputs(book, known_run is not None)
    hull_inputs.angles(waterline, pitch, frames.shaft_to_palm_deg(pitch, tilt))
    mirror = "; of the port palm, the starboard one mirrors it" if two_sided else ""
    book.derived("hull.athwart_tilt", tilt, f"deadrise seen along the shaft{mirror}", "deg")
    turn, rule = frames.trace_to_projection_deg(pitch, tilt), "from the trace to the shaft's projection on the palm"
    book.derived("hull.trace_to_projection", turn, f"{rule}{mirror}", "deg")
    vertical_of, normal_of = frames.drop_factors(waterline, run, pitch, tilt)
    drop = hull_inputs.drops(book.need(barrel).length_mm, pitch, vertical_of, normal_of)
    fit = HullFit(
        shaft_to_waterline_deg=waterline,
        shaft_to_hull_deg=pitch,
        shaft_to_palm_deg=frames.shaft_to_palm_deg(pitch, tilt),
        run_deg=run,
        deadrise_deg=deadrise,
        drop_vertical_mm=drop * vertical_of,
        drop_square_to_shaft_mm=drop,
        drop_square_to_hull_mm=drop * normal_of,
        trace_to_projection_deg=turn,
        thickness_mm=said.thickness,
        material=material,
        conflicts=tuple(hull_inputs.conflicts),
        isolated=said.isolated,
        plate=_plate(book),
        fitting=said.fitting,
        run_known=known_run is not None,
    )
    tilts = (tilt, -tilt) if two_sided else (tilt,)
    return fit, tuple(PalmPlane(drop_mm=drop, pitch_deg=pitch, tilt_deg=t) for t in tilts)


def stand_in(book: Book) -> tuple[HullFit, tuple[PalmPlane, ...]]:
    """Return a usual hull, to go on looking for faults with where the file's own cannot be worked out.

    >>> stand_in(book("canal-tender"))[0].drop_vertical_mm  # eight shafts of 20
    160.0
    """
    drop, pitch = 8.0 * book.said.shaft.diameter, 10.0
    usual: dict[str, Any] = {f"shaft_to_{name}_deg": pitch for name in ("waterline", "hull", "palm")}
    usual |= {f"{name}_deg": 0.0 for name in ("run", "deadrise", "trace_to_projection")}
    usual |= {f"drop_{name}_mm": drop for name in ("vertical", "square_to_shaft", "square_to_hull")}
    fit = HullFit(**usual, thickness_mm=None, material="")
    return fit, (PalmPlane(drop_mm=drop, pitch_deg=pitch, tilt_deg=0.0),) * (2 if book.palm_on_each_arm else 1)


class _HullInputs:
    """The ways to say the angle and the drop: the value that holds for each, and where another one given did not win.

    conflicts: (path, given, as the others make it), degrees or mm. run_known: whether the file says the run.
    """

    def __init__(self, book: Book, run_known: bool) -> None:
        self.book, self.run_known = book, run_known
        self.conflicts: list[tuple[str, float, float]] = []

    def angles(self, waterline: float, pitch: float, true_angle: float) -> None:
        angle = self.book.said.hull.shaft_angle
        ways = {
            "to_waterline": (waterline, "to hull less the run"),
            "to_hull": (pitch, "to waterline plus the run, or from the true angle"),
            "to_palm": (true_angle, "true angle to the palm plane"),
        }
        first = next(n for n in ("to_hull", "to_waterline", "to_palm") if getattr(angle, n) is not None)
        for name, (value, rule) in ways.items():
            if name != "to_waterline" or self.run_known:
                self.hold(f"hull.shaft_angle.{name}", value, "deg", getattr(angle, name), first, rule)

    def drops(self, barrel_mm: float, pitch: float, vertical_of: float, normal_of: float) -> float:
        """Return the drop square to the shaft at mid-barrel (mm)."""
        drop = self.book.said.hull.drop
        x_at = {"mid": 0.0, "aft": -barrel_mm / 2, "forward": barrel_mm / 2}[drop.at]
        fall = x_at * math.tan(math.radians(pitch))
        ways = [
            ("vertical", drop.vertical, vertical_of),
            ("square_to_shaft", drop.square_to_shaft, 1.0),
            ("square_to_hull", drop.square_to_hull, normal_of),
        ]
        first, at_mid = next((name, float(said / of + fall)) for name, said, of in ways if said is not None)
        for name, said, of in ways:
            path = f"hull.drop.{name}"
            if name == "vertical" and not self.run_known:
                continue
            if x_at and said is not None:
                self.hold(f"{path}_at_{drop.at}", (at_mid - fall) * of, "mm", said, first, "", path)
            at = f"at mid-barrel, from {first} at {drop.at}"
            self.hold(path, at_mid * of, "mm", None if x_at else said, first, at)
        return at_mid

    def hold(
        self, record: str, value: float, unit: str, said: float | None, first: str, rule: str, path: str = ""
    ) -> None:
        """Record one way. first: the way that governs; path: the place in the file, where the record has another."""
        if said is None:
            self.book.derived(record, value, rule, unit)
        elif abs(said - value) <= SAME:
            self.book.note(record, value, unit, "given", "")
        else:
            self.conflicts.append((path or record, said, value))
            given = Amount(said, unit, fine=True)
            off = off_by(said - value, unit)
            way = "more" if said > value else "less"
            words = "from {first}, which governs; given as {said}, {off} {way}"
            self.book.derived(record, value, say(words, first=first, said=given, off=off, way=way), unit)


def _plate(book: Book) -> HullPlate:
    """The hull round a palm as a plate, as said."""
    said: Any = book.said.hull
    core, measured = said.sandwich, said.stiffness
    if core is not None and said.thickness is None:
        book.missing("hull.thickness", "a sandwich")
    elif core is not None and 2 * core.skin >= said.thickness:
        advice = "give the thickness over all, and that of one skin"
        book.fault("hull.sandwich.skin", "leaves no core", advice, given=core.skin, under=said.thickness / 2)
    return HullPlate(
        modulus_mpa=said.modulus,
        planks_along=said.planks == "along",
        panel_along_mm=said.panel.along,
        panel_across_mm=said.panel.across,
        skin_mm=None if core is None else core.skin,
        core_shear_mpa=0.0 if core is None else core.core_shear,
        core_solid=core is None or core.solid,
        solid_beyond_mm=0.0 if core is None else core.solid_beyond,
        backing_mm=said.backing.thickness,
        backing_beyond_mm=said.backing.beyond_palm,
        backing_bonded=said.backing.bonded,
        springs=None if measured is None else (measured.normal, measured.tilt_along * 1e6, measured.tilt_across * 1e6),
    )


def _ask_for_angle_and_drop(book: Book) -> None:
    angle, drop = book.said.hull.shaft_angle, book.said.hull.drop
    measured = "give the one that was measured"
    if angle.to_waterline is None and angle.to_hull is None and angle.to_palm is None:
        book.fault("hull.shaft_angle", "says no angle", measured, allowed="to_waterline, to_hull or to_palm")
    if drop.vertical is None and drop.square_to_shaft is None and drop.square_to_hull is None:
        book.fault("hull.drop", "says no drop", measured, allowed="vertical, square_to_shaft or square_to_hull")


def _run(book: Book) -> float | None:
    """The run (degrees), None where it is not said and nothing that is built rests on it."""
    said: Any = book.said.hull
    angle, heel = said.shaft_angle, book.said.skeg.heel if book.said.skeg is not None else None
    if said.run is not None:
        return float(said.run)
    if angle.to_hull is not None and angle.to_waterline is not None:
        return float(book.derived("hull.run", angle.to_hull - angle.to_waterline, "to hull less to waterline", "deg"))
    why = (
        "the shaft angle is given to the waterline, and the palm lies at that angle plus the run"
        if angle.to_waterline is not None
        else "the drop is given by a plumb line"
        if said.drop.vertical is not None
        else "the rake of the rudder stock is given from the vertical"
        if heel is not None and heel.stock_rake.from_vertical is not None
        else ""
    )
    if why:
        advice = "measure how the bottom rises going aft, along the buttock there, and add `run:`"
        book.fault("hull.run", f"is missing, but {why}", advice, allowed="an angle; 0 for a bottom that runs level")
    return None


def _ask_for_hand(book: Book, deadrise_deg: float) -> None:
    """Tell that one flat palm cannot lie on both sides of a V bottom, and ask where it lies."""
    at = book.loaded.problem("hull.deadrise", "")
    vee = book.said.arms.arrangement == "vee"
    what = (
        "does the strut stand on the keel, to port or to starboard? It has one flat palm, and hull.deadrise "
        f"({at.line}:{at.column}) makes the bottom rise on both sides of the centre line"
    )
    advice = "on the keel, or on a pad that is flat athwart: write `deadrise: 0`; beside it: write the side as `hand`"
    allowed = "port, starboard or pair; centre with a deadrise of 0"
    if vee:
        advice += "; a palm on each side: write `palm.arrangement: each_arm`"
        allowed += ", or with a palm on each arm"
    given = f"centre, with a deadrise of {deadrise_deg:g} deg"
    book.fault("identity.hand", what, advice, given=given, allowed=allowed)


def _pitch(book: Book, angle: schema_boat.ShaftAngle, run: float, deadrise: float) -> tuple[float, float]:
    """(Shaft to hull, shaft to waterline) in degrees from the first of the angles that is given.

    deadrise: that of the palm, degrees; 0 for a palm that lies level on the centre line.
    """
    if angle.to_hull is not None:
        return angle.to_hull, angle.to_hull - run
    if angle.to_waterline is not None:
        return angle.to_waterline + run, angle.to_waterline
    true_angle = book.need(angle.to_palm)
    try:
        pitch = frames.pitch_from_true_angle_deg(true_angle, deadrise, run)
    except frames.FrameError as error:
        advice = "check the true angle and the deadrise"
        book.fault("hull.shaft_angle.to_palm", told(error), advice, given=deg(true_angle))
        raise ParameterError(book.problems) from None
    return pitch, pitch - run
