"""From what is said to what is built: fill in what rules and tables give, and keep a record of every value.

`resolve` returns the frozen Strut together with records that say of each value whether it was given, derived (by which
rule) or taken from a table. Faults that only show when values meet (two palms on a single arm) are told as problems at
their place in the file.
"""

from __future__ import annotations

import contextlib
import functools
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from strutwright.models import frames
from strutwright.models.geometry import casting
from strutwright.models.geometry.barrel import seat_step
from strutwright.models.outline import OUTLINES, SIZES, Outline, OutlineError, draw
from strutwright.models.sections import LEAST_EDGE_MM, kind_of
from strutwright.models.spec import (
    HAND_MARKS,
    Arm,
    Barrel,
    BarrelEnd,
    Bearing,
    Bolt,
    BoreStep,
    Casting,
    Duty,
    Hand,
    Heel,
    HullFit,
    Identity,
    LeadIn,
    Palm,
    PalmHole,
    PalmPlane,
    Propeller,
    SetScrew,
    Shaft,
    Skeg,
    Strut,
    Tube,
    WaterSlots,
    Weld,
    mirrored,
)
from strutwright.params import explain, limits, schema, tables
from strutwright.params.loader import Loaded
from strutwright.params.problems import ParameterError, Problem
from strutwright.params.quantity import INCH_MM
from strutwright.params.words import Amount, Part, Text, Words, deg, fine_mm, mm, read, say, told

Origin = Literal["given", "derived", "table"]
SAME = 1e-6  # two sayings this near, mm or degrees, are one
LEAST_RUBBER_MM = 0.2  # from shell to shaft; half of it, but for rounding, stays under a flute: thinner is none
FAR_MM = 0.5  # a size farther than this from its nominal one is another size
STAND_IN = "316L"  # a material in the place of one that is not in the table, to go on looking for faults


@dataclass(frozen=True, slots=True)
class ValueRecord:
    """One value of the resolved set: dotted path, value (mm, deg, kg, kW, kn or text), where it comes from."""

    path: str
    value: float | str
    unit: str
    origin: Origin
    note: str


@dataclass(frozen=True, slots=True)
class Resolved:
    """A strut ready to build, the file's own groups, and the record of its values.

    strut is of the hand the file is written for (port for a pair).
    """

    strut: Strut
    said: schema.ParameterSet
    records: tuple[ValueRecord, ...]

    def hands(self) -> tuple[Hand, ...]:
        """Return the hands this file asks for."""
        return ("port", "starboard") if self.strut.identity.pair else (self.strut.identity.hand,)

    def of_hand(self, hand: Hand) -> Strut:
        """Return the strut of a hand: as written, or its mirror image."""
        return self.strut if hand == self.strut.identity.hand else mirrored(self.strut)


def resolve(loaded: Loaded) -> Resolved:
    """Return the resolved strut of a loaded parameter file. Raises ParameterError with every fault found."""
    return _Resolver(loaded).run()


class _Resolver:
    def __init__(self, loaded: Loaded) -> None:
        self.loaded, self.said = loaded, loaded.said
        self.records: dict[str, ValueRecord] = {}
        self.problems: list[Problem] = []
        self.inch = self.said.units == "in"

    # --- bookkeeping ------------------------------------------------------------------------------------------------

    def fault(self, path: str, what: Words, *, given: Part = "", allowed: Part = "", advice: Words = "") -> None:
        self.problems.append(self.loaded.problem(path, *(self.read(w) for w in (what, given, allowed, advice))))

    def note(self, path: str, value: float | str, unit: str, origin: Origin, note: Words) -> None:
        self.records[path] = ValueRecord(path, value, unit, origin, self.read(note))

    def read(self, words: Part) -> str:
        """Return words or a size as the writer of the file reads them."""
        return read(words if isinstance(words, (str, Text)) else say("{it}", it=words), self.said.units)

    def given(self, path: str, value: Any, unit: str = "mm", said_at: str = "") -> Any:
        """Record a value that the file says, or the default it leaves standing by not saying it."""
        said = self.loaded.says(said_at or path)
        self.note(path, value, unit, "given" if said else "derived", "" if said else "default")
        return value

    def derived(self, path: str, value: Any, rule: Words, unit: str = "mm") -> Any:
        self.note(path, value, unit, "derived", rule)
        return value

    def or_derived(self, path: str, said: Any, value: Any, rule: Words, unit: str = "mm") -> Any:
        return self.given(path, said, unit) if said is not None else self.derived(path, value, rule, unit)

    def up(self, value_mm: float) -> float:
        """Round a derived size up to a whole mm or sixteenth of an inch, as the file's units are."""
        step = INCH_MM / 16 if self.inch else 1.0
        return math.ceil(value_mm / step - 1e-6) * step

    def near(self, value_mm: float) -> float:
        """Round a derived size to the nearest half mm or 1/32 inch, never to nothing."""
        step = INCH_MM / 32 if self.inch else 0.5
        return max(round(value_mm / step), 1) * step

    def near_up(self, value_mm: float) -> float:
        """Round a derived size up to a half mm or 1/32 inch."""
        step = INCH_MM / 32 if self.inch else 0.5
        return math.ceil(value_mm / step - 1e-6) * step

    def take_up_the_rest(self) -> None:
        """Record what is taken as it is said, or by default, without a rule of its own."""
        one = self.bearing_at(0)
        for path, value, unit in explain.leaves(self.said):
            at = path.replace("bearing[0]", one)
            if at not in self.records:
                self.given(at, ("yes" if value else "no") if isinstance(value, bool) else value, unit)

    def table(self, path: str, what: str, get: Any, *args: Any, advice: str = "") -> Any:
        """Look a name up in a standard table; a miss is a fault at `path`."""
        try:
            return get(*args)
        except tables.NotInTable as error:
            self.fault(
                path,
                f"is not in the table of {what}",
                given=str(args[0]),
                allowed=error.allowed,
                advice=advice or "choose one of these names",
            )
            return None

    # --- the whole --------------------------------------------------------------------------------------------------

    def run(self) -> Resolved:
        said = self.said
        identity = said.identity
        pair = identity.hand == "pair"
        hand: Hand = "port" if identity.hand == "pair" else identity.hand
        material = self.table("materials.strut", "materials", tables.material, said.materials.strut) or tables.material(
            STAND_IN
        )
        self.given("materials.strut", said.materials.strut, "")
        hull_material = self.table("materials.hull", "materials", tables.material, said.materials.hull) or material
        shaft_material = self.shaft_material(material)
        bolt_material = self.bolt_material(material)
        changes: Any = said.drawing.revisions
        if changes and changes[-1].revision != identity.revision:
            self.fault(
                "identity.revision",
                "is not the last of drawing.revisions",
                given=identity.revision,
                allowed=changes[-1].revision,
                advice="bring the two together; the oldest line stands first",
            )
        self.given("shaft.diameter", said.shaft.diameter)
        self.cast = self.casting(material.name)
        screws_said = self.screw_sizes() or tables.thread("M8")
        bearings_raw = [self.bearing(i, b, material) for i, b in enumerate(said.bearing)]
        # What can be told of the rest is told too: a person mends a file once.
        barrel, bearings = self.stage(lambda: self.barrel(bearings_raw, screws_said), (None, None))
        hull, planes = self.stage(lambda: self.hull(barrel, hand, hull_material.name), self.stand_in())
        arms = self.stage(lambda: self.arms(barrel, hull, planes, hand))
        arms, palms = self.stage(lambda: self.palms(arms, barrel, planes, bolt_material), (None, None))
        screws = self.stage(lambda: self.set_screws(barrel, bearings, screws_said))
        skeg = self.stage(lambda: self.skeg(barrel, hull))
        shaft_rpm, disagree = self.shaft_speed()
        self.stop_if_faulty()
        self.take_up_the_rest()
        duty = said.duty
        strut = Strut(
            identity=Identity(
                identity.name, _without_hand(identity.drawing_number, hand), identity.revision, hand, pair
            ),
            file_units=said.units,
            construction=said.construction,
            material=material.name,
            hull=hull,
            shaft=Shaft(said.shaft.diameter, shaft_material, said.shaft.bearing_span),
            barrel=barrel,
            bearings=bearings,
            arms=arms,
            palms=palms,
            set_screws=screws,
            skeg=skeg,
            weld=Weld(
                said.welds.prep, said.welds.prep_angle, said.welds.root_face, said.welds.beads, said.welds.root_gap
            ),
            propeller=Propeller(
                said.propeller.diameter,
                said.propeller.blades,
                said.propeller.mass,
                said.propeller.hub_length,
                said.propeller.hub_gap,
                said.propeller.pitch,
            ),
            duty=Duty(
                duty.power,
                shaft_rpm,
                duty.idle_speed,
                duty.boat_speed,
                None if duty.waterline_length is None else duty.waterline_length / 1000,
                duty.service,
                duty.rudder_area,
                disagree,
            ),
            backing_plate=said.bolts.backing_plate,
            edge_rule=said.bolts.edge_rule,
            anodes=said.materials.anodes,
            casting=self.cast,
        )
        return Resolved(strut, said, tuple(self.records[k] for k in sorted(self.records)))

    def casting(self, material: str) -> Casting | None:
        """Return how closely a cast strut is cast, None for a welded one."""
        if self.said.construction != "cast":
            return None
        said, usual = self.said.pattern, tables.casting_grades(material)
        rule = "single casting moulded by hand in sand, ISO 8062-4: {} to {}; confirm with the founder"
        return Casting(
            self.or_derived(
                "pattern.tolerance_grade",
                said.tolerance_grade,
                usual.finest,
                rule.format(usual.finest, usual.coarsest),
                "",
            ),
            self.or_derived(
                "pattern.allowance_grade",
                said.allowance_grade,
                usual.allowance,
                rule.format(usual.allowance, usual.allowance_most),
                "",
            ),
            said.core_shift,
            said.stock.bore,
        )

    def stop_if_faulty(self, since: int = 0) -> None:
        """Stop when there are faults beyond the first `since` of them."""
        if len(self.problems) > since:
            raise ParameterError(self.problems)

    def stage(self, make: Callable[[], Any], otherwise: Any = None) -> Any:
        """Return what make returns, or otherwise where faults that are told already leave it nothing to go on."""
        try:
            return make()
        except (ParameterError, ArithmeticError, AttributeError, LookupError, TypeError, ValueError):
            if not self.problems:
                raise
            return otherwise

    def stand_in(self) -> tuple[HullFit, tuple[PalmPlane, ...]]:
        """Return a usual hull, to go on looking for faults with where the file's own cannot be worked out."""
        drop, pitch = 8.0 * self.said.shaft.diameter, 10.0
        planes = 2 if self.palm_arrangement() == "each_arm" else 1
        return (
            HullFit(pitch, pitch, pitch, 0.0, 0.0, drop, drop, drop, 0.0, None, "", (), False),
            (PalmPlane(drop, pitch, 0.0),) * planes,
        )

    def shaft_speed(self) -> tuple[float | None, tuple[tuple[str, float, float], ...]]:
        """Return the shaft's speed (rpm), and where engine and gear make another: (path, given and taken, theirs)."""
        duty: Any = self.said.duty
        shaft, engine, ratio = duty.shaft_speed, duty.engine_speed, duty.gear_ratio
        if shaft is None and (engine is None) != (ratio is None):
            lacking = "engine_speed" if engine is None else "gear_ratio"
            self.fault(
                f"duty.{lacking}",
                "is missing: the shaft's speed follows from engine_speed and gear_ratio",
                advice=f"add `{lacking}:`, or give `shaft_speed:`",
            )
            return None, ()
        if engine is None or ratio is None:
            if shaft is not None and engine is not None:
                self.derived("duty.gear_ratio", engine / shaft, "engine speed over shaft speed", "")
            elif shaft is not None and ratio is not None:
                self.derived("duty.engine_speed", shaft * ratio, "shaft speed times gear ratio", "rpm")
            return shaft, ()
        implied = engine / ratio
        if shaft is None:
            return float(self.derived("duty.shaft_speed", implied, "engine speed over gear ratio", "rpm")), ()
        return shaft, (("duty.shaft_speed", shaft, implied),) if abs(shaft - implied) > 1e-6 * implied else ()

    # --- materials --------------------------------------------------------------------------------------------------

    def shaft_material(self, strut: Any) -> str:
        said: Any = self.said.materials.shaft
        if said is not None:
            found = self.table("materials.shaft", "materials", tables.material, said)
            return str(self.given("materials.shaft", found.name if found else STAND_IN, ""))
        return str(
            self.derived(
                "materials.shaft",
                "S32205" if strut and strut.family == "duplex" else "316L",
                "usual shaft steel; common practice",
                "",
            )
        )

    def bolt_material(self, strut: Any) -> str:
        said: Any = self.said.materials.bolts
        if said is not None:
            found = self.table("materials.bolts", "materials", tables.material, said)
            return str(self.given("materials.bolts", found.name if found else STAND_IN, ""))
        bronze = strut is not None and strut.family in ("bronze", "brass")
        name = "F468 C65100" if bronze else "A4-70"
        return str(self.derived("materials.bolts", name, "matched to the strut's metal; common practice", ""))

    # --- bearing and barrel -----------------------------------------------------------------------------------------

    def bearing(self, index: int, said: schema.Bearing, strut: Any) -> Bearing:
        d = self.said.shaft.diameter
        at = self.bearing_at(index)
        row = tables.bearing_example(d, tolerance_mm=math.inf)
        assert row is not None
        exact = abs(row.shaft_mm - d) < 0.02
        ratio = d / row.shaft_mm
        rule = (
            "example table, confirm against the bearing in hand"
            if exact
            else "scaled from the nearest row of the example table, confirm against the bearing in hand"
        )

        def example(path: str, said_value: float | None, value_mm: float) -> float:
            if said_value is not None:
                return float(self.given(path, said_value))
            value = value_mm if exact else self.near(value_mm * ratio)
            self.note(path, value, "mm", "table" if exact else "derived", rule)
            return value

        if said.outside_measured is not None and said.outside_diameter is None:
            step = INCH_MM / 64 if self.inch else 0.1
            outside = float(
                self.derived(
                    f"{at}.outside_diameter",
                    round(said.outside_measured / step) * step,
                    "nominal: the measured size, rounded",
                )
            )
        else:
            outside = example(f"{at}.outside_diameter", said.outside_diameter, row.outside_mm)
        length = said.length
        length = self.or_derived(f"{at}.length", length, self.up(4 * d), "four shaft diameters")
        shell = example(f"{at}.shell", said.shell, row.shell_mm)
        shell_material = self.or_derived(
            f"{at}.shell_material",
            said.shell_material,
            self.shell_default(strut),
            "metal shell in bronze, glass-epoxy shell in stainless, against a couple",
            "",
        )
        found = self.table(f"{at}.shell_material", "materials", tables.material, shell_material)
        clearance = self.or_derived(
            f"{at}.running_clearance",
            said.running_clearance,
            max(0.08, 0.003 * d),
            say("0.003 of the shaft diameter, at least {0.08 mm}; common practice, no source"),
        )
        inside = d + clearance
        rubber = (outside - inside) / 2 - shell
        if outside <= inside:
            self.fault(
                f"{at}.outside_diameter",
                "is no larger than its running bore, the shaft and its clearance",
                given=fine_mm(outside),
                allowed=say("more than {size} and two shells with rubber", size=fine_mm(inside)),
                advice="check the bearing's outside diameter against shaft.diameter",
            )
        elif rubber < LEAST_RUBBER_MM:
            self.fault(
                f"{at}.shell",
                "leaves no room for rubber between shell and shaft",
                given=fine_mm(shell),
                allowed=say("at most {size}", size=fine_mm((outside - inside) / 2 - LEAST_RUBBER_MM)),
                advice="check outside diameter, shell and shaft",
            )
        flutes = said.flutes
        count = self.or_derived(
            f"{at}.flutes.count",
            flutes.count,
            6 if d < 32 else 8 if d < 90 else 10,
            "usual count for the shaft's size; common practice",
            "",
        )
        width = self.or_derived(
            f"{at}.flutes.width",
            flutes.width,
            self.near(0.4 * math.pi * inside / count),
            "two fifths of the flute pitch; common practice",
        )
        depth = self.or_derived(
            f"{at}.flutes.depth", flutes.depth, round(0.5 * rubber, 2), "half the rubber; common practice"
        )
        if rubber >= LEAST_RUBBER_MM and depth > (most := rubber - 0.49 * LEAST_RUBBER_MM):
            self.fault(
                f"{at}.flutes.depth",
                "leaves no rubber on the shell",
                given=fine_mm(depth),
                allowed=say("at most {size}", size=fine_mm(most)),
                advice="make the flutes shallower",
            )
        if count * width >= 0.95 * math.pi * inside:
            self.fault(
                f"{at}.flutes.width",
                "leaves no lands between the flutes",
                given=say("{count} of {width}", count=count, width=fine_mm(width)),
                allowed=say("less than {size} each", size=fine_mm(0.95 * math.pi * inside / count)),
                advice="make the flutes fewer or narrower",
            )
        clock = self.or_derived(
            f"{at}.flutes.clock", flutes.clock, 180.0 - 180.0 / count, "a land at clock 180, under the load", "deg"
        )
        upper, lower = said.outside_upper, said.outside_lower
        if said.outside_measured is not None:
            upper = lower = self.measured(at, said, outside)
        elif upper is None or lower is None:
            if said.outside_diameter is not None and not _nominal(outside):
                self.fault(
                    f"{at}.outside_diameter",
                    "is no nominal size; was it measured?",
                    given=fine_mm(outside),
                    allowed="whole tenths of a millimetre, hundredths or 64ths of an inch",
                    advice="give the nominal size here and what was measured as `outside_measured`: the bore is "
                    "made to that; or give `outside_upper` and `outside_lower`",
                )
            upper, lower, rule = self.shell_limits(f"{at}.outside_diameter", outside)
            self.derived(f"{at}.outside_upper", upper, rule)
            self.derived(f"{at}.outside_lower", lower, rule)
        else:
            self.given(f"{at}.outside_upper", upper)
            self.given(f"{at}.outside_lower", lower)
            if lower > upper:
                self.fault(
                    f"{at}.outside_lower",
                    "is above the upper limit",
                    given=fine_mm(lower),
                    allowed=say("at most {size}", size=fine_mm(upper)),
                    advice="swap the two limits",
                )
        return Bearing(
            outside,
            upper,
            lower,
            length,
            math.nan,
            inside,
            shell,
            found.name if found else shell_material,
            int(count),
            width,
            depth,
            clock,
            said.outside_measured,
        )

    def measured(self, at: str, said: schema.Bearing, outside: float) -> float:
        """Return how far (mm) the measured size of a bearing lies above its nominal one."""
        size = float(self.given(f"{at}.outside_measured", said.outside_measured))
        if abs(size - outside) > FAR_MM:
            self.fault(
                f"{at}.outside_measured",
                "is far from the nominal size",
                given=fine_mm(size),
                allowed=say("{low} to {high}", low=fine_mm(outside - FAR_MM), high=fine_mm(outside + FAR_MM)),
                advice="give the nominal size of the bearing in hand as `outside_diameter`, or measure again",
            )
        for name in ("outside_upper", "outside_lower"):
            if getattr(said, name) is not None:
                self.fault(
                    f"{at}.{name}",
                    "is a limit of a bearing that is not measured yet",
                    advice="remove it: the measured size stands in its place",
                )
        return size - outside

    def bearing_at(self, index: int) -> str:
        """Return the path of a bearing as the file has it: one group, or a list of them."""
        return f"bearing[{index}]" if isinstance(self.loaded.document.data.get("bearing"), list) else "bearing"

    def shell_default(self, strut: Any) -> str:
        return "C46400" if strut.family in ("bronze", "brass") else "glass-epoxy shell"

    def shell_limits(self, path: str, outside_mm: float) -> tuple[float, float, str]:
        """Return the limits (mm) assumed for a shell whose own are not given."""
        symbol = "p6" if self.said.barrel.fit == "press" else "h7"
        try:
            limits = tables.iso286(symbol, outside_mm)
        except tables.NotInTable as error:
            self.fault(
                path,
                "is outside the table that limits are taken from",
                given=fine_mm(outside_mm),
                allowed=error.allowed,
                advice="measure the bearing and give outside_upper and outside_lower",
            )
            return 0.0, 0.0, ""
        return limits.upper_um / 1000, limits.lower_um / 1000, f"ISO 286-2 {symbol} assumed: measure the bearing"

    def barrel(self, raw: list[Bearing], screw: Any) -> tuple[Barrel, tuple[Bearing, ...]]:
        said: Any = self.said.barrel
        outside_bearing = max(b.outside_mm for b in raw)
        if said.fit == "slide":
            gap = self.or_derived(
                "barrel.slide_clearance",
                said.slide_clearance,
                0.3,
                say("hand slide fit; common practice, {0.25 mm} to {0.75 mm}"),
            )
            bore = self.or_derived("barrel.bore", said.bore, outside_bearing + gap, "bearing plus slide clearance")
        else:
            if said.slide_clearance is not None:
                self.fault(
                    "barrel.slide_clearance",
                    "belongs to a slide fit, but the fit is `press`",
                    advice="remove it or set `fit: slide`",
                )
            bore = self.or_derived("barrel.bore", said.bore, outside_bearing, "the bearing's outside diameter")
        self.given("barrel.fit", said.fit, "")
        all_measured = all(b.measured_mm is not None for b in raw)
        if any(b.measured_mm is not None for b in raw) and said.bore_class is not None:
            self.fault(
                "barrel.bore_class",
                "places the bore by its nominal size, but the bearing is measured",
                given=said.bore_class,
                advice="remove it: the bore is made to the bearing's own size; give "
                "`barrel.interference` where another fit is wanted than the usual one",
            )
        if said.interference is not None and (said.fit == "slide" or not all_measured):
            self.fault(
                "barrel.interference",
                "is for a press fit with a measured bearing",
                advice="give `slide_clearance`"
                if said.fit == "slide"
                else "give `bearing.outside_measured`, or remove it: the class of the bore places its limits",
            )
        bore_class = (
            "H7"
            if all_measured
            else self.or_derived("barrel.bore_class", said.bore_class, "H7", "hole basis, ISO 286; usual", "")
        )
        limits = self.table("barrel.bore_class", "tolerance classes", tables.iso286, bore_class, bore)
        upper, lower = (limits.upper_um / 1000, limits.lower_um / 1000) if limits else (0.0, 0.0)
        told_at = say("ISO 286-2 {symbol} at {bore}", symbol=bore_class, bore=fine_mm(bore))
        self.note("barrel.bore_upper", upper, "mm", "table", told_at)
        self.note("barrel.bore_lower", lower, "mm", "table", told_at)
        outside = self.barrel_outside(bore, screw)
        if outside <= bore + 0.2:
            self.fault(
                "barrel.outside_diameter" if said.outside_diameter is not None else "barrel.wall",
                "leaves no wall outside the bore",
                given=say("{outside} over a bore of {bore}", outside=fine_mm(outside), bore=fine_mm(bore)),
                allowed=say("an outside diameter of more than {size}", size=fine_mm(bore + 0.2)),
                advice="make the barrel larger or the bearing smaller",
            )
            raise ParameterError(self.problems)  # whatever else the barrel lacks follows from this
        total = sum(b.length_mm for b in raw) + 3.0 * (len(raw) - 1)
        length = self.or_derived("barrel.length", said.length, self.up(total), "as long as its bearing")
        steps = tuple(self.step(i, s, length) for i, s in enumerate(said.steps))
        aft = self.end("aft", said.ends.aft, bore, outside)
        forward = self.end("forward", said.ends.forward, bore, outside)
        if aft.length_mm + forward.length_mm > length:
            self.fault(
                "barrel.ends",
                "are together longer than the barrel",
                given=mm(aft.length_mm + forward.length_mm),
                allowed=say("at most {size}", size=mm(length)),
                advice="shorten the fairings",
            )
        slots = None
        if said.slots is not None:
            s = said.slots
            slots = WaterSlots(
                s.count,
                self.given("barrel.slots.width", s.width),
                self.given("barrel.slots.length", s.length),
                self.station(s.position.end, s.position.distance, length, None),
                s.first_clock,
            )
            if s.length < s.width:
                self.fault(
                    "barrel.slots.length",
                    "is shorter than the slot is wide",
                    given=fine_mm(s.length),
                    allowed=say("at least {size}", size=fine_mm(s.width)),
                    advice="swap length and width",
                )
        limits = (
            "p6 (assumed)"
            if any(b.outside_upper is None or b.outside_lower is None for b in self.said.bearing)
            else "limits given"
        )
        barrel = Barrel(
            length,
            outside,
            bore,
            upper,
            lower,
            said.fit,
            f"{bore_class}/{limits if said.fit == 'press' else 'slide'}",
            aft,
            forward,
            self.lead_in("aft", said.lead_in.aft, outside, bore),
            self.lead_in("forward", said.lead_in.forward, outside, bore),
            steps,
            slots,
            self.tube(),
        )
        return self.made_to_measure(barrel, self.place_bearings(raw, barrel))

    def made_to_measure(self, barrel: Barrel, bearings: tuple[Bearing, ...]) -> tuple[Barrel, tuple[Bearing, ...]]:
        """Return the barrel with the limits of each seat whose bearings are measured made to them."""
        seats: dict[BoreStep | None, list[Bearing]] = {}
        for bearing in bearings:
            if bearing.measured_mm is not None:
                seats.setdefault(seat_step(barrel, bearing), []).append(bearing)
        for step, own in seats.items():
            nominal = barrel.bore_mm if step is None else step.diameter_mm
            sizes = [b.measured_mm for b in own if b.measured_mm is not None]
            gap = self.wanted_gap(barrel.fit, own[0].outside_mm)
            path = "barrel.bore" if step is None else f"barrel.steps[{barrel.steps.index(step)}].diameter"
            if abs(min(sizes) + gap - nominal) > FAR_MM:
                self.fault(
                    path,
                    "is not a bore for the bearing as measured",
                    given=fine_mm(nominal),
                    allowed=say("about {size}", size=fine_mm(min(sizes) + gap)),
                    advice="change it, or measure again",
                )
            try:
                width = (tables.iso286("H7", nominal).upper_um - tables.iso286("H7", nominal).lower_um) / 1000
            except tables.NotInTable:
                continue  # told where the class of the bore is looked up
            # The wanted clearance is the least of a slide fit, the wanted interference the middle of a press fit. Of
            # two bearings on one seat the smaller one must grip, or the larger one slide.
            low = max(sizes) + gap if barrel.fit == "slide" else min(sizes) + gap - width / 2
            limits = (round(low - nominal, 3), round(low - nominal + width, 3))
            if step is None:
                rule = "made to the measured bearing, within the width of H7"
                self.derived("barrel.bore_lower", limits[0], rule)
                self.derived("barrel.bore_upper", limits[1], rule)
                barrel = replace(barrel, bore_lower_mm=limits[0], bore_upper_mm=limits[1], fit_code="")
            else:
                rule = "above the nominal size, made to the measured bearing"
                self.derived(path.replace("diameter", "lower"), limits[0], rule)
                self.derived(path.replace("diameter", "upper"), limits[1], rule)
                steps = tuple(replace(s, limits_mm=limits) if s is step else s for s in barrel.steps)
                barrel = replace(barrel, steps=steps)
        return barrel, bearings

    def wanted_gap(self, fit: str, outside_mm: float) -> float:
        """Return the bore less the bearing (mm) that is wanted with a measured bearing; negative is interference."""
        said: Any = self.said.barrel
        if fit == "slide":
            return 0.3 if said.slide_clearance is None else said.slide_clearance
        if said.interference is not None:
            return -float(self.given("barrel.interference", said.interference))
        try:
            bore, shell = (tables.iso286(symbol, outside_mm) for symbol in ("H7", "p6"))
        except tables.NotInTable as error:
            self.fault(
                "barrel.interference",
                "is not said, and the bearing is outside the table it is taken from",
                given=fine_mm(outside_mm),
                allowed=error.allowed,
                advice="give the interference wanted",
            )
            return 0.0
        middle = round((shell.upper_um + shell.lower_um - bore.upper_um - bore.lower_um) / 2000, 4)
        return -float(self.derived("barrel.interference", middle, "the middle of H7/p6, a light press fit"))

    def tube(self) -> Tube | None:
        """Return the tube that the barrel is made of, with its tolerances."""
        said: Any = self.said.barrel.tube
        at = "barrel.tube"
        if said is None:
            return None
        if self.said.construction == "cast":
            self.fault(at, "belongs to a welded strut", advice="remove it, or set `construction: welded`")
        if 2 * said.wall >= said.outside_diameter:
            self.fault(
                f"{at}.wall",
                "leaves no bore in the tube",
                given=fine_mm(said.wall),
                allowed=say("less than {size}", size=fine_mm(said.outside_diameter / 2)),
                advice="give the wall, not the bore; a bar has no `tube`",
            )
        off = self.or_derived(
            f"{at}.outside_tolerance",
            said.outside_tolerance,
            max(0.5, 0.01 * said.outside_diameter),
            say("1 % of the outside, at least {0.5 mm}: seamless tube, from memory of EN 10216-5"),
        )
        return Tube(
            said.outside_diameter,
            said.wall,
            float(off),
            said.wall * (1 - said.wall_tolerance / 100),
            said.outside == "turned",
        )

    def barrel_outside(self, bore: float, screw: Any) -> float:
        said, d = self.said.barrel, self.said.shaft.diameter
        if said.tube is not None and said.tube.outside == "as_bought":
            outside = said.tube.outside_diameter
            if said.outside_diameter is not None and abs(said.outside_diameter - outside) > 0.01:
                self.fault(
                    "barrel.outside_diameter",
                    "is not that of the tube, whose outside is left as bought",
                    given=fine_mm(said.outside_diameter),
                    allowed=fine_mm(outside),
                    advice="leave it out, or set `tube.outside: turned`",
                )
            if said.wall is not None and abs(outside - bore - 2 * said.wall) > 0.01:
                self.fault(
                    "barrel.wall",
                    "does not agree with the tube and the bore",
                    given=fine_mm(said.wall),
                    allowed=fine_mm((outside - bore) / 2),
                    advice="leave it out: it follows from the tube",
                )
            self.derived("barrel.wall", (outside - bore) / 2, "half of the tube's outside less bore")
            return float(self.derived("barrel.outside_diameter", outside, "the tube's, left as bought"))
        if (
            said.outside_diameter is not None
            and said.wall is not None
            and abs(said.outside_diameter - bore - 2 * said.wall) > 0.01
        ):
            self.fault(
                "barrel.wall",
                "does not agree with outside diameter and bore",
                given=fine_mm(said.wall),
                allowed=fine_mm((said.outside_diameter - bore) / 2),
                advice="give one of the two",
            )
        if said.outside_diameter is not None:
            outside = float(self.given("barrel.outside_diameter", said.outside_diameter))
            self.derived("barrel.wall", (outside - bore) / 2, "half of outside diameter less bore")
            return outside
        if said.wall is not None:
            self.given("barrel.wall", said.wall)
            return float(self.derived("barrel.outside_diameter", bore + 2 * said.wall, "bore plus two walls"))
        wall = max(d / 4, 1.1 * screw.major_mm if screw else 0.0)
        rule = "a quarter of the shaft diameter, at least 1.1 times the set screw; rounded up"
        if self.cast is not None:
            # No less than a fifth at the worst of the casting; steps of the bore take from the wall as well.
            least = limits.standard()["barrel_wall_hard"].value * d + 0.05
            wide = max([bore, *(float(casting.widest_turned_mm(s.diameter)) for s in said.steps)])
            cast = (casting.least_cast_outside_mm(wide, least, self.cast) - bore) / 2
            if cast > wall:
                wall, rule = (
                    cast,
                    (
                        "a fifth of the shaft diameter at the worst of the casting's tolerance "
                        f"{self.cast.tolerance_grade}; rounded up"
                    ),
                )
        outside = self.up(bore + 2 * wall)
        self.derived("barrel.wall", (outside - bore) / 2, rule)
        return float(self.derived("barrel.outside_diameter", outside, "bore plus two walls, rounded up"))

    def end(self, which: str, said: schema.End, bore: float, outside: float) -> BarrelEnd:
        at = f"barrel.ends.{which}"
        self.given(f"{at}.shape", said.shape, "")
        wall = (outside - bore) / 2
        if said.shape == "straight":
            for name in ("length", "end_diameter"):
                if getattr(said, name) is not None:
                    self.fault(f"{at}.{name}", "has no meaning for a straight end", advice="remove it")
            return BarrelEnd("straight", 0.0, outside)
        share = 0.4 if said.shape == "tapered" else 0.15
        length = self.or_derived(
            f"{at}.length",
            said.length,
            self.near(share * outside),
            f"{share:g} of the outside diameter; common practice",
        )
        default = (
            bore + 2 * max(0.35 * wall, min(3.0, 0.8 * wall))
            if said.shape == "tapered"
            else outside - 2 * min(length, 0.5 * wall)
        )
        diameter = self.or_derived(
            f"{at}.end_diameter", said.end_diameter, default, "leaves a third to half of the wall"
        )
        if not bore < diameter <= outside:
            self.fault(
                f"{at}.end_diameter",
                "does not lie between bore and outside diameter",
                given=fine_mm(diameter),
                allowed=say("more than {bore} and at most {outside}", bore=fine_mm(bore), outside=fine_mm(outside)),
                advice="change it or leave it out",
            )
        if said.shape == "rounded" and length < (outside - diameter) / 2 - 1e-9:
            self.fault(
                f"{at}.length",
                "is too short for the rounding",
                given=fine_mm(length),
                allowed=say("at least {size}", size=fine_mm((outside - diameter) / 2)),
                advice="lengthen it or make the end diameter larger",
            )
        return BarrelEnd(said.shape, length, diameter)

    def lead_in(self, which: str, said: schema.LeadIn | None, outside: float, bore: float) -> LeadIn:
        at = f"barrel.lead_in.{which}"
        d = self.said.shaft.diameter
        if said is not None:
            lead = LeadIn(self.given(f"{at}.length", said.length), self.given(f"{at}.angle", said.angle, "deg"))
        elif which == "aft":
            lead = LeadIn(
                self.derived(
                    f"{at}.length",
                    self.near(min(max(0.06 * d, 2.0), 5.0)),
                    say("entry end: {2 mm} to {5 mm}; common practice"),
                ),
                self.derived(f"{at}.angle", 20.0, "entry end: 20 degrees; common practice", "deg"),
            )
        else:
            lead = LeadIn(
                self.derived(f"{at}.length", self.near(1.0), say("far end: about {1 mm}; common practice")),
                self.derived(f"{at}.angle", 45.0, "far end: 45 degrees; common practice", "deg"),
            )
        if lead.length_mm * math.tan(math.radians(lead.angle_deg)) > 0.6 * (outside - bore) / 2:
            self.fault(
                f"{at}.length",
                "cuts away most of the wall",
                given=fine_mm(lead.length_mm),
                allowed="at most 0.6 of the wall",
                advice="make the chamfer smaller",
            )
        return lead

    def step(self, index: int, said: schema.Step, length: float) -> BoreStep:
        at = f"barrel.steps[{index}]"
        self.given(f"{at}.diameter", said.diameter)
        self.given(f"{at}.length", said.length)
        start = said.start if said.kind == "relief" else 0.0
        if said.kind != "relief" and said.start:
            self.fault(f"{at}.start", "is for a relief only", advice="remove it")
        if start + said.length > length:
            self.fault(
                f"{at}.length",
                "runs out of the barrel",
                given=fine_mm(start + said.length),
                allowed=say("at most {size}", size=fine_mm(length)),
                advice="shorten it",
            )
        if said.end == "barrel_aft":
            return BoreStep(said.kind, start, start + said.length, said.diameter)
        return BoreStep(said.kind, length - start - said.length, length - start, said.diameter)

    def station(self, end: str, distance: float, length: float, bearing: Bearing | None) -> float:
        """Return the station (mm from the barrel's aft face) of a distance inward from a named end."""
        if end == "barrel_aft":
            return distance
        if end == "barrel_forward":
            return length - distance
        assert bearing is not None
        return bearing.aft_station_mm + distance if end == "bearing_aft" else bearing.forward_station_mm - distance

    def place_bearings(self, raw: list[Bearing], barrel: Barrel) -> tuple[Bearing, ...]:
        placed = []
        for i, (bearing, said) in enumerate(zip(raw, self.said.bearing, strict=True)):
            at = f"{self.bearing_at(i)}.position"
            if said.position is not None:
                near = self.station(said.position.end, said.position.distance, barrel.length_mm, None)
                aft = near if said.position.end == "barrel_aft" else near - bearing.length_mm
                self.given(at, aft)
            elif i == 0:
                aft = self.derived(
                    at, self.default_aft_station(barrel), "flush with the aft face, or against the shoulder there"
                )
            else:
                aft = self.derived(at, barrel.length_mm - bearing.length_mm, "flush with the forward face")
            placed.append(replace(bearing, aft_station_mm=aft))
        return tuple(placed)

    @staticmethod
    def default_aft_station(barrel: Barrel) -> float:
        shoulders = [s.to_station_mm for s in barrel.steps if s.kind == "shoulder" and s.from_station_mm == 0]
        return max(shoulders, default=0.0)

    # --- hull -------------------------------------------------------------------------------------------------------

    def hull(self, barrel: Barrel, hand: Hand, material: str) -> tuple[HullFit, tuple[PalmPlane, ...]]:
        said, before = self.said.hull, len(self.problems)
        angle = said.shaft_angle
        if angle.to_waterline is None and angle.to_hull is None and angle.to_palm is None:
            self.fault(
                "hull.shaft_angle",
                "says no angle",
                allowed="to_waterline, to_hull or to_palm",
                advice="give the one that was measured",
            )
        drop = said.drop
        if drop.vertical is None and drop.square_to_shaft is None and drop.square_to_hull is None:
            self.fault(
                "hull.drop",
                "says no drop",
                allowed="vertical, square_to_shaft or square_to_hull",
                advice="give the one that was measured",
            )
        self.stop_if_faulty(before)
        known_run = self.run_of_bottom()
        run = known_run or 0.0
        deadrise = (
            self.given("hull.deadrise", said.deadrise, "deg")
            if "deadrise" in said.model_fields_set
            else self.derived("hull.deadrise", said.deadrise, "not given: a bottom that is flat athwart", "deg")
        )
        side = {"port": 1, "starboard": -1, "centre": 0}[hand]
        two_sided = hand == "centre" and self.said.arms.arrangement == "vee" and self.palm_arrangement() == "each_arm"
        if hand == "centre" and deadrise and not two_sided:
            self.ask_for_hand(deadrise)
        self.stop_if_faulty(before)
        # Palms on both sides of the keel lie on the V bottom: their true angle and distance are those of its sides.
        on = 1 if two_sided else side
        try:
            pitch, waterline = self.pitch(angle, run, deadrise if on else 0.0)
        except ValueError as error:
            self.fault(
                "hull.shaft_angle.to_palm",
                told(error),
                given=deg(angle.to_palm or 0.0),
                advice="check the true angle and the deadrise",
            )
            self.stop_if_faulty(before)
            raise
        tilt = frames.athwart_tilt_deg(deadrise, run, pitch, on)
        true_angle = frames.shaft_to_palm_deg(pitch, tilt)
        angles = {"to_waterline": waterline, "to_hull": pitch, "to_palm": true_angle}
        rules = {
            "to_waterline": "to hull less the run",
            "to_hull": "to waterline plus the run, or from the true angle",
            "to_palm": "true angle to the palm plane",
        }
        first_angle = next(n for n in ("to_hull", "to_waterline", "to_palm") if getattr(angle, n) is not None)
        conflicts: list[tuple[str, float, float]] = []
        for name, value in angles.items():
            if name != "to_waterline" or known_run is not None:
                self.one_saying(
                    f"hull.shaft_angle.{name}", value, "deg", getattr(angle, name), first_angle, rules[name], conflicts
                )
        mirror = "; of the port palm, the starboard one mirrors it" if two_sided else ""
        self.derived("hull.athwart_tilt", tilt, f"deadrise seen along the shaft{mirror}", "deg")
        turn = self.derived(
            "hull.trace_to_projection",
            frames.trace_to_projection_deg(pitch, tilt),
            f"from the trace to the shaft's projection on the palm{mirror}",
            "deg",
        )
        vertical_of, normal_of = frames.drop_factors(waterline, run, pitch, tilt)
        x_at = {"mid": 0.0, "aft": -barrel.length_mm / 2, "forward": barrel.length_mm / 2}[drop.at]
        fall = x_at * math.tan(math.radians(pitch))
        sayings = [
            ("vertical", drop.vertical, vertical_of),
            ("square_to_shaft", drop.square_to_shaft, 1.0),
            ("square_to_hull", drop.square_to_hull, normal_of),
        ]
        first, at_mid = next((name, said_drop / of + fall) for name, said_drop, of in sayings if said_drop is not None)
        for name, said_drop, factor in sayings:
            if name == "vertical" and known_run is None:
                continue
            if x_at:
                if said_drop is not None:
                    self.one_saying(
                        f"hull.drop.{name}_at_{drop.at}",
                        (at_mid - fall) * factor,
                        "mm",
                        said_drop,
                        first,
                        "",
                        conflicts,
                        path=f"hull.drop.{name}",
                    )
                said_drop = None
            self.one_saying(
                f"hull.drop.{name}",
                at_mid * factor,
                "mm",
                said_drop,
                first,
                f"at mid-barrel, from {first} at {drop.at}",
                conflicts,
            )
        fit = HullFit(
            waterline,
            pitch,
            true_angle,
            run,
            deadrise,
            at_mid * vertical_of,
            at_mid,
            at_mid * normal_of,
            turn,
            said.thickness,
            material,
            tuple(conflicts),
            said.isolated,
            known_run is not None,
        )
        if said.thickness is not None:
            self.given("hull.thickness", said.thickness)
        if two_sided:
            return fit, (PalmPlane(at_mid, pitch, tilt), PalmPlane(at_mid, pitch, -tilt))
        return fit, (PalmPlane(at_mid, pitch, tilt),)

    def one_saying(
        self,
        record: str,
        value: float,
        unit: str,
        said: float | None,
        first: str,
        rule: str,
        conflicts: list[tuple[str, float, float]],
        path: str = "",
    ) -> None:
        """Record one of several ways to say a thing: the value that holds, and where another one given did not win.

        first: the way that governs; path: the place in the file, where the record has another name.
        """
        path = path or record
        if said is None:
            self.derived(record, value, rule, unit)
        elif abs(said - value) <= SAME:
            self.note(record, value, unit, "given", "")
        else:
            conflicts.append((path, said, value))
            self.derived(
                record,
                value,
                say(
                    "from {first}, which governs; given as {said}, {off} {way}",
                    first=first,
                    said=Amount(said, unit, fine=True),
                    off=Amount(abs(said - value), unit, fine=True),
                    way="more" if said > value else "less",
                ),
                unit,
            )

    def run_of_bottom(self) -> float | None:
        """Return the run (degrees), None where it is not said and nothing that is built rests on it."""
        said = self.said.hull
        angle, heel = said.shaft_angle, self.said.skeg.heel if self.said.skeg is not None else None
        if said.run is not None:
            return float(self.given("hull.run", said.run, "deg"))
        if angle.to_hull is not None and angle.to_waterline is not None:
            return float(
                self.derived("hull.run", angle.to_hull - angle.to_waterline, "to hull less to waterline", "deg")
            )
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
            self.fault(
                "hull.run",
                f"is not said, but {why}",
                allowed="an angle; 0 for a bottom that runs level",
                advice="measure how the bottom rises going aft, along the buttock there, and add `run:`",
            )
        return None

    def ask_for_hand(self, deadrise_deg: float) -> None:
        """Tell that one flat palm cannot lie on both sides of a V bottom, and ask where it lies."""
        at = self.loaded.problem("hull.deadrise", "")
        vee = self.said.arms.arrangement == "vee"
        self.fault(
            "identity.hand",
            "does the strut stand on the keel, to port or to starboard? It has one flat palm, "
            f"and hull.deadrise ({at.line}:{at.column}) makes the bottom rise on both sides of the centre line",
            given=f"centre, with a deadrise of {deadrise_deg:g} deg",
            allowed="port, starboard or pair; centre with a deadrise of 0"
            + (", or with a palm on each arm" if vee else ""),
            advice="on the keel, or on a pad that is flat athwart: write `deadrise: 0`; beside it: write "
            "the side as `hand`" + ("; a palm on each side: write `palm.arrangement: each_arm`" if vee else ""),
        )

    def pitch(self, angle: schema.ShaftAngle, run: float, deadrise: float) -> tuple[float, float]:
        """Return (shaft to hull, shaft to waterline) in degrees from the first of the angles that is given.

        deadrise: that of the palm, degrees; 0 for a palm that lies level on the centre line.
        """
        if angle.to_hull is not None:
            return angle.to_hull, angle.to_hull - run
        if angle.to_waterline is not None:
            return angle.to_waterline + run, angle.to_waterline
        assert angle.to_palm is not None
        pitch = frames.pitch_from_true_angle_deg(angle.to_palm, deadrise, run)
        return pitch, pitch - run

    def palm_arrangement(self) -> str:
        return self.said.palm.arrangement or ("each_arm" if self.said.arms.arrangement == "vee" else "common")

    # --- arms -------------------------------------------------------------------------------------------------------

    def arms(self, barrel: Barrel, hull: HullFit, planes: tuple[PalmPlane, ...], hand: Hand) -> tuple[Arm, ...]:
        said = self.said.arms
        vee = said.arrangement == "vee"
        if vee and said.included_angle is None:
            self.fault("arms.included_angle", "is missing for a vee", advice="add it, for example 60 deg")
        if not vee and said.included_angle is not None:
            self.fault("arms.included_angle", "is for a vee only", advice="remove it")
        if not vee and self.said.palm.arrangement == "each_arm":
            self.fault("palm.arrangement", "asks for a palm on each arm, but there is one arm", advice="remove it")
        if said.stance == "vertical":
            stance = self.given("arms.stance", 0.0, "deg")
        elif said.stance == "square_to_bottom":
            tilt = frames.athwart_tilt_deg(
                hull.deadrise_deg, hull.run_deg, hull.shaft_to_hull_deg, {"port": 1, "starboard": -1, "centre": 0}[hand]
            )
            stance = self.derived("arms.stance", -tilt, "square to the bottom, seen along the shaft", "deg")
        else:
            stance = self.given("arms.stance", said.stance, "deg")
        if said.position is None:
            station = self.derived("arms.station", barrel.length_mm / 2, "mid-barrel")
        else:
            station = self.given(
                "arms.station",
                self.station(said.position.end, said.position.distance, barrel.length_mm, None),
                said_at="arms.position",
            )
        section = said.section
        chord, thick = (
            self.given("arms.section.chord", section.chord),
            self.given("arms.section.thickness", section.thickness),
        )
        chord_palm = self.or_derived("arms.section.chord_at_palm", section.chord_at_palm, chord, "as at the barrel")
        thick_palm = self.or_derived(
            "arms.section.thickness_at_palm", section.thickness_at_palm, thick, "as at the barrel"
        )
        edge = self.edge_radius(section)
        for what, c, t in (("chord", chord, thick), ("chord_at_palm", chord_palm, thick_palm)):
            if t > c:
                self.fault(
                    f"arms.section.{what}",
                    "is smaller than the thickness",
                    given=fine_mm(c),
                    allowed=say("at least {size}", size=fine_mm(t)),
                    advice="swap chord and thickness",
                )
        barrel_root, palm_root = self.roots(barrel, thick, thick_palm)
        if not vee:
            layout = [("arm", stance)]
        else:
            half = (said.included_angle or 0.0) / 2
            self.given("arms.included_angle", said.included_angle, "deg")
            layout = [
                (f"{side} arm", clock) for side, clock in zip(_sides(hand), (stance + half, stance - half), strict=True)
            ]
        return tuple(
            Arm(
                name,
                clock,
                said.rake,
                station,
                said.toe if i == 0 or not vee else -said.toe,
                said.chord_along,
                section.shape,
                chord,
                thick,
                chord_palm,
                thick_palm,
                edge,
                barrel_root,
                palm_root,
                i if vee and self.palm_arrangement() == "each_arm" else 0,
            )
            for i, (name, clock) in enumerate(layout)
        )

    def edge_radius(self, section: schema.Section) -> float:
        least = min(section.thickness, section.thickness_at_palm or section.thickness)
        kind = kind_of(section.shape)
        if kind.edges is None:
            if section.edge_radius is not None:
                what = f"is not for {kind.one}, which has no edges"
                self.fault("arms.section.edge_radius", what, advice="remove it")
            return 0.0
        most, rule = kind.edges.widest * least, kind.edges.most
        radius = self.or_derived(
            "arms.section.edge_radius", section.edge_radius, kind.usual_edge_mm(least), kind.edges.usual
        )
        low = min(LEAST_EDGE_MM, most)
        if not low - 1e-9 <= radius <= most + 1e-9:
            self.fault(
                "arms.section.edge_radius",
                f"is more than {rule}" if radius > most else "is a knife edge",
                given=fine_mm(radius),
                allowed=say("{low} to {most}", low=fine_mm(low), most=fine_mm(most)),
                advice="make it smaller" if radius > most else "make it larger",
            )
        return float(radius)

    def roots(self, barrel: Barrel, thickness: float, at_palm: float) -> tuple[float, float]:
        if self.said.construction == "cast":
            said = self.said.arms.root_fillet
            rule: Words = say("0.4 of the thinner neighbour, at least {6 mm}; common practice")
            neighbours = (
                ("barrel", said.barrel, thickness, barrel.wall_mm),
                ("palm", said.palm, at_palm, self.said.palm.thickness),
            )
            one, other = (
                self.or_derived(
                    f"arms.root_fillet.{name}", given, self.near_up(max(6.0, 0.4 * min(arm, neighbour))), rule
                )
                for name, given, arm, neighbour in neighbours
            )
            return one, other
        welds = self.said.welds
        if self.said.arms.root_fillet != schema.Roots():
            self.fault("arms.root_fillet", "belongs to a cast strut", advice="give `welds.arm_to_barrel_leg` instead")
        share = 0.7 if welds.prep == "none" else 0.35
        rule = f"{share:g} of the thinner neighbour, at least the table's least leg"
        legs = []
        thickness = min(thickness, at_palm)
        for name, said_leg, other in (
            ("arm_to_barrel_leg", welds.arm_to_barrel_leg, barrel.wall_mm),
            ("arm_to_palm_leg", welds.arm_to_palm_leg, self.said.palm.thickness),
        ):
            least = tables.weld_min_leg_mm(max(thickness, other), inch=self.inch)
            legs.append(
                self.or_derived(f"welds.{name}", said_leg, self.near(max(least, share * min(thickness, other))), rule)
            )
        return legs[0], legs[1]

    # --- palms ------------------------------------------------------------------------------------------------------

    def palms(
        self, arms: tuple[Arm, ...], barrel: Barrel, planes: tuple[PalmPlane, ...], bolt_material: str
    ) -> tuple[tuple[Arm, ...], tuple[Palm, ...]]:
        said = self.said.palm
        bolt = self.bolt(bolt_material)
        shape = self.outline(said.outline)
        self.given("palm.thickness", said.thickness)
        bevel = said.bevel
        if bevel is not None and bevel.height >= said.thickness:
            self.fault(
                "palm.bevel.height",
                "thins the edge to nothing",
                given=fine_mm(bevel.height),
                allowed=say("less than {size}", size=fine_mm(said.thickness)),
                advice="make it smaller",
            )
        if shape is None or bolt is None:
            return arms, ()
        middle = np.array([said.offset.forward, said.offset.port])
        holes = self.holes(shape, middle)
        placed = shape.translate(*middle)
        each = self.palm_arrangement() == "each_arm"
        groups = [(arm,) for arm in arms] if each else [arms]
        origin = np.array([barrel.x(arms[0].station_mm), 0.0, 0.0])
        palms = []
        for i, group in enumerate(groups):
            plane = planes[i] if len(planes) > 1 else planes[0]
            clock = sum(a.clock_deg for a in group) / len(group)
            try:
                zero = frames.meet_plane(plane, origin, frames.arm_direction(clock, group[0].rake_deg))
            except ValueError:
                zero = np.full(3, -1.0)
            if zero[2] <= 0:
                self.fault("arms.stance", "makes the arm miss the hull", advice="bring it nearer to vertical")
                return arms, ()
            turn = frames.trace_to_projection_deg(plane.pitch_deg, plane.tilt_deg) if said.axes == "projection" else 0.0
            flip = each and i == 1
            # The starboard palm of a vee is the mirror image of the port one, in its own axes.
            outline_here = placed.mirror("x") if flip else placed
            holes_here = tuple(PalmHole(n + 1, u, -v if flip else v) for n, (u, v) in enumerate(holes))
            name = group[0].name.replace("arm", "palm") if each else "palm"
            palms.append(
                Palm(
                    name,
                    plane,
                    (float(zero[0]), float(zero[1]), float(zero[2])),
                    said.axes,
                    turn,
                    said.thickness,
                    outline_here,
                    bevel.width if bevel else 0.0,
                    bevel.height if bevel else 0.0,
                    bolt,
                    holes_here,
                )
            )
        return arms, tuple(palms)

    def bolt(self, material: str) -> Bolt | None:
        said: Any = self.said.bolts
        self.given("bolts.size", said.size, "")
        thread = self.table("bolts.size", "threads", tables.thread, said.size)
        if thread is None:
            return None
        hole = self.table("bolts.hole_fit", "clearance holes", tables.clearance_hole_mm, said.size, said.hole_fit)
        if hole is None:
            return None
        self.note("bolts.hole", hole, "mm", "table", f"clearance hole, {said.hole_fit} series")
        if said.head is not None:
            return self.bolt_by_sizes(thread, hole, material)
        metric = said.size.upper().startswith("M")
        if said.kind == "plain":
            nut = self.table(
                "bolts.size", "nuts and washers", tables.nut_and_washer, said.size, advice=self.other_heads(said.size)
            )
            if nut is None:
                return None
            socket = tables.tool_outside_mm("socket", nut.head_across_flats_mm)
            return Bolt(
                said.size,
                thread.major_mm,
                hole,
                "plain",
                "",
                hole,
                0.0,
                0.0,
                max(socket, nut.washer_outside_mm),
                material,
            )
        if said.kind == "counterbored":
            head = self.table(
                "bolts.size", "cap-screw heads", tables.counterbore_head, said.size, advice=self.other_heads(said.size)
            )
            if head is None:
                return None
            width = head.counterbore_diameter_mm or head.sharp_diameter_mm + 1.0
            return Bolt(
                said.size,
                thread.major_mm,
                hole,
                "counterbored",
                head.standard,
                width,
                0.0,
                head.height_mm + said.sunk_below,
                width,
                material,
            )
        standard = self.or_derived(
            "bolts.head_standard",
            said.head_standard,
            "ISO 10642" if metric else "ASME B18.3",
            "socket countersunk head of the bolt's system",
            "",
        )
        head = self.table(
            "bolts.size",
            f"countersunk heads, {standard}",
            tables.countersunk_head,
            said.size,
            standard,
            advice=self.other_heads(said.size, standard),
        )
        if head is None:
            return None
        slope = math.tan(math.radians(head.angle_deg / 2))
        diameter = head.sharp_diameter_mm + 2 * said.sunk_below * slope
        self.note("bolts.head_diameter", diameter, "mm", "table", f"{standard} sharp diameter, sunk below flush")
        try:
            holder = tables.tool_outside_mm("hex key driver", head.key_mm) if head.key_mm else 0.0
        except tables.NotInTable:
            holder = 0.0  # larger keys than the table's have heads wider than their holders
        return Bolt(
            said.size,
            thread.major_mm,
            hole,
            "countersunk",
            standard,
            diameter,
            head.angle_deg,
            (diameter - hole) / 2 / slope,
            max(holder, diameter),
            material,
        )

    @staticmethod
    def other_heads(size: str, standard: str = "") -> str:
        """Return what else can be done for a size whose head a table does not hold."""
        ways = []
        books: list[tuple[str, Callable[[], object]]] = [
            (f"`head_standard: {name}`", functools.partial(tables.countersunk_head, size, name))
            for name in tables.COUNTERSUNK
            if name != standard and standard
        ]
        books += [
            ("`kind: counterbored`", functools.partial(tables.counterbore_head, size)),
            ("`kind: plain`", functools.partial(tables.nut_and_washer, size)),
        ]
        for words, look_up in books:
            with contextlib.suppress(tables.NotInTable):
                look_up()
                ways.append(words)
        own = "give the head's own sizes, measured or from its maker: `head: {diameter: ..., angle: ...}`"
        return f"{own}; {' or '.join(ways)} would do for {size}" if ways else own

    def bolt_by_sizes(self, thread: Any, hole: float, material: str) -> Bolt | None:
        """Return the bolt whose head the file gives by its own sizes."""
        said, at, before = self.said.bolts, "bolts.head", len(self.problems)
        head = said.head
        assert head is not None
        if said.head_standard is not None:
            self.fault(
                "bolts.head_standard",
                "is given beside the head's own sizes",
                given=said.head_standard,
                advice="remove it, or remove `head`",
            )
        if said.kind == "plain":
            self.fault(at, "has no meaning for a plain hole: the head stands on the palm", advice="remove it")
        elif said.kind == "counterbored":
            if head.angle is not None:
                self.fault(f"{at}.angle", "is for a countersunk head only", advice="remove it")
            if head.height is None:
                self.fault(f"{at}.height", "is missing for a counterbored head", advice="add `height`")
        elif (head.angle is None) == (head.height is None):
            self.fault(
                at,
                "wants the angle of the cone or its height",
                allowed="`angle`, or `height`",
                advice="give the one that was measured",
            )
        if head.diameter <= hole:
            self.fault(
                f"{at}.diameter",
                "is no wider than the hole",
                given=mm(head.diameter),
                allowed=say("more than {size}", size=mm(hole)),
                advice="measure it over the head",
            )
        if len(self.problems) > before:
            return None
        own = "by its own sizes"
        if said.kind == "counterbored":
            assert head.height is not None
            width = head.diameter + 1.0
            self.derived("bolts.head_diameter", width, say("counterbore: the head and {1 mm}; common practice"))
            return Bolt(
                said.size,
                thread.major_mm,
                hole,
                "counterbored",
                own,
                width,
                0.0,
                head.height + said.sunk_below,
                width,
                material,
            )
        if head.angle is not None:
            slope = math.tan(math.radians(head.angle / 2))
        else:
            assert head.height is not None
            slope = (head.diameter - thread.major_mm) / 2 / head.height
            self.derived(f"{at}.angle", 2 * math.degrees(math.atan(slope)), "from diameter, height and shank", "deg")
        angle = 2 * math.degrees(math.atan(slope))
        if not 60 <= angle <= 130:
            self.fault(
                f"{at}.height",
                "makes no usual cone with the diameter",
                given=deg(angle),
                allowed="60 to 130 deg",
                advice="measure from the sharp rim to the shank, or give `angle`",
            )
            return None
        diameter = head.diameter + 2 * said.sunk_below * slope
        self.derived("bolts.head_diameter", diameter, "sharp diameter given, sunk below flush")
        return Bolt(
            said.size,
            thread.major_mm,
            hole,
            "countersunk",
            own,
            diameter,
            angle,
            (diameter - hole) / 2 / slope,
            diameter,
            material,
        )

    def outline(self, said: Any) -> Outline | None:
        at = "palm.outline"
        wanted = OUTLINES[said.shape].needs
        ok = True
        for name in SIZES:
            value = getattr(said, name)
            if name in wanted and value is None:
                self.fault(f"{at}.{name}", f"is missing for the outline `{said.shape}`", advice=f"add `{name}`")
                ok = False
            elif name not in wanted and value is not None:
                self.fault(f"{at}.{name}", f"has no meaning for the outline `{said.shape}`", advice="remove it")
            elif value is not None and name != "points":
                self.given(f"{at}.{name}", value)
        if not ok:
            return None
        try:
            return draw(said.shape, said)
        except OutlineError as error:
            self.fault(at, say("cannot be drawn: {error}", error=told(error)), advice="change the sizes")
            return None

    def holes(self, shape: Outline, middle: Any) -> list[tuple[float, float]]:
        """Return hole centres (u, v) in mm, numbered clockwise from the forward port corner seen on the water face."""
        said: Any = self.said.bolts.pattern
        at = "bolts.pattern"
        wanted = {
            "grid": ("along", "across", "pitch_along", "pitch_across"),
            "edge": ("count", "edge_distance"),
            "points": ("points",),
        }[said.kind]
        for name in ("along", "across", "pitch_along", "pitch_across", "count", "edge_distance", "points"):
            value = getattr(said, name)
            single = name.startswith("pitch_") and getattr(said, name.removeprefix("pitch_")) == 1
            if name in wanted and value is None and not single:
                self.fault(f"{at}.{name}", f"is missing for the pattern `{said.kind}`", advice=f"add `{name}`")
            elif name not in wanted and value is not None:
                self.fault(f"{at}.{name}", f"has no meaning for the pattern `{said.kind}`", advice="remove it")
        if self.problems:
            return []
        if said.kind == "grid":
            us = (np.arange(said.along) - (said.along - 1) / 2) * (said.pitch_along or 0.0)
            vs = (np.arange(said.across) - (said.across - 1) / 2) * (said.pitch_across or 0.0)
            points = [(float(u + middle[0]), float(v + middle[1])) for u in us for v in vs]
        elif said.kind == "edge":
            try:
                inner = shape.inset(said.edge_distance)
            except OutlineError as error:
                self.fault(
                    f"{at}.edge_distance",
                    say("leaves no line for the holes: {error}", error=told(error)),
                    advice="make it smaller",
                )
                return []
            pitch = inner.perimeter_mm() / said.count
            start = _along_at_forward_middle(inner) + pitch / 2
            xy, _ = inner.points_at(start + pitch * np.arange(said.count))
            points = [(float(u + middle[0]), float(v + middle[1])) for u, v in xy]
        else:
            points = [(p.forward, p.port) for p in said.points]
        return sorted(
            points,
            key=lambda p: (
                round(math.atan2(p[1] - middle[1], p[0] - middle[0]) % (2 * math.pi), 9),
                math.hypot(p[0] - middle[0], p[1] - middle[1]),
            ),
        )

    # --- set screws -------------------------------------------------------------------------------------------------

    def screw_sizes(self) -> Any:
        said = self.said.set_screws
        d = self.said.shaft.diameter
        metric = "M6" if d <= 30 else "M8" if d <= 50 else "M10" if d <= 80 else "M12" if d <= 120 else "M16"
        inch = {"M6": "1/4-20", "M8": "5/16-18", "M10": "3/8-16", "M12": "1/2-13", "M16": "5/8-11"}[metric]
        name = self.or_derived(
            "set_screws.thread",
            said.thread,
            inch if self.inch else metric,
            "usual size for the shaft; common practice",
            "",
        )
        return self.table("set_screws.thread", "threads", tables.thread, name)

    def set_screws(self, barrel: Barrel, bearings: tuple[Bearing, ...], thread: Any) -> tuple[SetScrew, ...]:
        said = self.said.set_screws
        places = said.positions
        if places is None:
            places = [
                schema.ScrewPlace(
                    end=end, distance=self.near(0.25 * b.length_mm), clock=_land_at_side_deg(b), bearing=i + 1
                )
                for i, b in enumerate(bearings)
                for end in ("bearing_aft", "bearing_forward")
            ]
            self.derived(
                "set_screws.positions",
                f"{len(places)} screws",
                "a quarter of the bearing in from each of "
                "its ends, at the side or the next land below it; common practice",
                "",
            )
        screws = []
        for n, place in enumerate(places):
            at = f"set_screws.positions[{n}]"
            if place.bearing > len(bearings):
                self.fault(
                    f"{at}.bearing",
                    "is not there",
                    given=str(place.bearing),
                    allowed=f"1 to {len(bearings)}",
                    advice="name a bearing of this barrel",
                )
                continue
            bearing = bearings[place.bearing - 1]
            station = self.station(place.end, place.distance, barrel.length_mm, bearing)
            self.note(
                f"{at}.station",
                station,
                "mm",
                "derived",
                say("{distance} in from {end}", distance=fine_mm(place.distance), end=place.end.replace("_", " ")),
            )
            if said.positions is None:
                self.derived(f"{at}.clock", place.clock, "first land from the side downward", "deg")
            depth = self.or_derived(
                "set_screws.dimple_depth", said.dimple_depth, round(0.5 * bearing.shell_mm, 2), "half the shell"
            )
            screws.append(
                SetScrew(
                    n + 1,
                    station,
                    place.clock,
                    thread.designation,
                    thread.major_mm,
                    thread.pitch_mm,
                    thread.tap_drill_mm,
                    said.point,
                    said.spot_face,
                    depth,
                    place.bearing - 1,
                )
            )
        return tuple(screws)

    # --- skeg -------------------------------------------------------------------------------------------------------

    def skeg(self, barrel: Barrel, hull: HullFit) -> Skeg | None:
        said: Any = self.said.skeg
        if said is None:
            return None
        for name in ("root_aft", "root_forward", "depth", "tip_chord", "thickness"):
            self.given(f"skeg.{name}", getattr(said, name))
        if said.root_forward <= said.root_aft:
            self.fault(
                "skeg.root_forward",
                "is not forward of the aft end of the root",
                given=fine_mm(said.root_forward),
                allowed=say("more than {size}", size=fine_mm(said.root_aft)),
                advice="swap the two",
            )
        if said.depth <= barrel.outside_mm / 2 + 2:
            self.fault(
                "skeg.depth",
                "does not reach below the barrel",
                given=fine_mm(said.depth),
                allowed=say("more than {size}", size=fine_mm(barrel.outside_mm / 2 + 2)),
                advice="measure it from the shaft line",
            )
        tip = self.or_derived("skeg.tip_thickness", said.tip_thickness, said.thickness, "as at the root")
        if self.said.construction == "cast":
            root = self.or_derived(
                "skeg.root_fillet",
                said.root_fillet,
                self.near_up(max(6.0, 0.5 * said.thickness)),
                say("half the thickness, at least {6 mm}"),
            )
        else:
            if said.root_fillet is not None:
                self.fault("skeg.root_fillet", "belongs to a cast strut", advice="give `welds.skeg_to_barrel_leg`")
            least = tables.weld_min_leg_mm(max(said.thickness, barrel.wall_mm), inch=self.inch)
            root = self.or_derived(
                "welds.skeg_to_barrel_leg",
                self.said.welds.skeg_to_barrel_leg,
                self.near(max(least, 0.5 * said.thickness)),
                "half the thickness, at least the table's least leg",
            )
        heel = self.heel(said.heel, barrel, hull, said) if said.heel is not None else None
        return Skeg(
            said.kind,
            said.root_aft,
            said.root_forward,
            said.depth,
            said.tip_chord,
            said.sweep,
            said.thickness,
            tip,
            said.leading_edge,
            root,
            heel,
        )

    def heel(self, said: schema.Heel, barrel: Barrel, hull: HullFit, skeg: schema.Skeg) -> Heel:
        at = "skeg.heel"
        rake: Any = said.stock_rake
        if (rake.from_vertical is None) == (rake.from_square_to_shaft is None):
            self.fault(
                f"{at}.stock_rake",
                "wants one angle",
                allowed="from_vertical or from_square_to_shaft",
                advice="give the one that was measured",
            )
            self.stop_if_faulty()
        if rake.from_square_to_shaft is not None:
            lean = self.given(f"{at}.stock_rake", rake.from_square_to_shaft, "deg")
        else:
            lean = self.derived(
                f"{at}.stock_rake",
                rake.from_vertical - hull.shaft_to_waterline_deg,
                "from vertical less the shaft's angle to the waterline",
                "deg",
            )
        pintle = self.given(f"{at}.pintle_diameter", said.pintle_diameter)
        running = pintle + 2 * self.given(f"{at}.sleeve_wall", said.sleeve_wall)
        if said.sleeve_wall:
            self.derived(f"{at}.running_diameter", running, "pintle plus two walls of its sleeve")
        clearance = self.or_derived(
            f"{at}.clearance",
            said.clearance,
            round(0.2 + 0.004 * running, 2),
            say("{0.2 mm} to {0.5 mm} on plastic for small craft; common practice"),
        )
        bore = running + clearance
        seat = bore + 2 * said.bush_wall
        outside = self.or_derived(
            f"{at}.outside_diameter",
            said.outside_diameter,
            self.up(seat + 2 * max(0.35 * running, 6.0)),
            "bush plus a wall of 0.35 of what runs in it",
        )
        if outside <= seat + 2:
            self.fault(
                f"{at}.outside_diameter",
                "leaves no wall round the bush",
                given=fine_mm(outside),
                allowed=say("more than {size}", size=fine_mm(seat + 2)),
                advice="make the boss larger",
            )
        height = self.or_derived(
            f"{at}.height",
            said.height,
            self.up(min(seat, 1.15 * running)),
            "as high as the bush is wide, at most 1.15 of what runs in it",
        )
        foot_height = self.or_derived(f"{at}.foot_height", said.foot_height, height, "as high as the boss")
        foot_thickness = self.or_derived(
            f"{at}.foot_thickness", said.foot_thickness, skeg.thickness, "the fin's thickness at the root"
        )
        centre = (-barrel.length_mm / 2 - said.behind_barrel, said.off_line, -said.below_shaft)
        stock = self.or_derived(
            f"{at}.stock_diameter",
            said.stock_diameter,
            self.up(1.25 * pintle),
            "1.25 pintles; common practice, no source",
        )
        if said.tube_diameter is not None and said.tube_diameter < stock:
            self.fault(
                f"{at}.tube_diameter",
                "is narrower than the stock in it",
                given=fine_mm(said.tube_diameter),
                allowed=say("{size} or more", size=fine_mm(stock)),
                advice="give the outside diameter of the tube",
            )
        return Heel(
            centre,
            lean,
            said.stock_cant,
            pintle,
            bore,
            said.bush_wall,
            outside,
            height,
            foot_height,
            foot_thickness,
            stock,
            said.tube_diameter,
            said.tube_below_hull,
            said.sleeve_wall,
        )


def _nominal(size_mm: float) -> bool:
    """Return whether a size (mm) is one that a bearing is ordered by, not one that a micrometer reads."""
    # A 64th may be written in millimetres to two decimals.
    steps = ((0.1, 0.0015), (INCH_MM / 100, 0.0015), (INCH_MM / 64, 0.0051))
    return any(abs(size_mm / step - round(size_mm / step)) * step < off for step, off in steps)


def _land_at_side_deg(bearing: Bearing) -> float:
    """Return the clock (degrees) of the first land from the side, 90, downward, so that no flute lies under a screw."""
    pitch = 360.0 / bearing.flute_count
    return 90.0 + (bearing.flute_clock_deg + pitch / 2 - 90.0) % pitch


def _sides(hand: Hand) -> tuple[str, str]:
    """Return what the port and the starboard arm of a vee are called: where the strut has a hand, inboard and outboard,
    so that the same part has the same name on both hands."""
    if hand == "centre":
        return "port", "starboard"
    return ("outboard", "inboard") if hand == "port" else ("inboard", "outboard")


def _without_hand(number: str, hand: Hand) -> str:
    """Return a drawing number without the mark of its hand, which the mirror image must not take over."""
    letter = HAND_MARKS[hand][1:]
    marked = bool(letter) and len(number) > 2 and number[-1].upper() == letter and number[-2] in "-_. "
    return number[:-2] if marked else number


def _along_at_forward_middle(shape: Outline) -> float:
    """Return the distance along an outline (mm, from its first vertex) of its foremost crossing of the u axis."""
    samples = np.linspace(0.0, shape.perimeter_mm(), 4001)[:-1]
    xy, _ = shape.points_at(samples)
    crossing = np.nonzero((xy[:, 1] <= 0) & (np.roll(xy[:, 1], -1) > 0) & (xy[:, 0] > 0))[0]
    if len(crossing) == 0:
        return 0.0
    k = int(crossing[np.argmax(xy[crossing, 0])])
    low, high = float(samples[k]), float(samples[k] + shape.perimeter_mm() / 4000)
    for _ in range(60):
        mid = (low + high) / 2
        if shape.points_at(np.array([mid]))[0][0, 1] <= 0:
            low = mid
        else:
            high = mid
    return low
