"""What is measured of a barrel's bore, a bearing and a shaft before the bearing is fitted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Annotated, Literal

from pydantic import Field

from strutwright.params.fields import (
    Clock,
    Force,
    Group,
    Length,
    ScrewThread,
    Temperature,
    Text,
    doc,
    must,
    offset_to,
    up_to,
)
from strutwright.params.measured import Measured, Reading
from strutwright.params.problems import ParameterError, Problem
from strutwright.params.words import fine_mm, mm

Celsius = Annotated[Temperature, Field(ge=-30, le=60)]
Scatter = Annotated[Length, Field(gt=0, le=1)]
DIRECTIONS = ("upright", "level", "slant")


class Across(Group):
    """A diameter at one place, in up to three directions."""

    at: Annotated[Length, Field(ge=-50, le=3000)] = must("Place along, from the aft end of what is measured")
    upright: up_to(1000) | None = doc("Diameter, upright", left_out="not measured")
    level: up_to(1000) | None = doc("Diameter, athwart", left_out="not measured")
    slant: up_to(1000) | None = doc("Diameter, at 45 degrees between", left_out="not measured")

    @property
    def read_mm(self) -> tuple[float, ...]:
        """The diameters that were read."""
        return tuple(v for v in (self.upright, self.level, self.slant) if v is not None)


class BarrelSaid(Group, left_out="as the set has it"):
    """The barrel."""

    length: up_to(3000) | None = doc("Length of the barrel")
    outside: up_to(1000) | None = doc("Outside diameter of the barrel, measured")
    material: Text | None = doc("Metal of the barrel, by its name in the table of materials")
    fit: Literal["press", "slide"] | None = doc("Fit of the bearing")
    celsius: Celsius | None = doc("Temperature of the barrel when it was measured", left_out="that of the shop")
    in_structure: bool | None = doc(
        "Housing in its structure when its bore was measured (yes, no)",
        left_out="of a housing that is pressed in and not bored in place: not yet, so what that closes comes on top",
    )


class ShellSaid(Group, left_out="as the set has it"):
    """The bearing."""

    which: Annotated[int, Field(ge=1, le=2)] = doc("Which bearing of the set, counted from aft", 1)
    length: up_to(3000) | None = doc("Length of the bearing, measured")
    wall: up_to(50) | None = doc("Wall of the shell, mean of what was measured")
    wall_least: up_to(50) | None = doc("Least wall of the shell that was measured", left_out="that of `wall`")
    inside: up_to(900) | None = doc("Bore over the rubber before fitting, least that was measured")
    material: Text | None = doc("Material of the shell, by its name in the table of materials")
    flutes: Annotated[int, Field(ge=1, le=60)] | None = doc("Number of flutes")
    flute_width: up_to(100) | None = doc("Width of a flute at the bore")
    celsius: Celsius | None = doc("Temperature of the bearing when it was measured", left_out="that of the shop")


class Instruments(Group):
    """Scatter of one reading: the standard deviation. Defaults are common practice, no source."""

    bore: Scatter = doc("Scatter of a reading of the bore", 0.004)
    outside: Scatter = doc("Scatter of a reading of the bearing's outside", 0.003)
    inside: Scatter = doc("Scatter of a reading over the rubber", 0.02)
    shaft: Scatter = doc("Scatter of a reading of the shaft", 0.003)


class Screw(Group):
    """A set screw, where no parameter set says it."""

    at: up_to(3000) = must("Place of the screw, from the barrel's aft face")
    clock: Clock = must("Clock angle of the screw: 0 toward the hull, positive toward port")
    thread: ScrewThread = must("Thread")
    point: Literal["flat", "cone", "dog", "cup"] = doc("Point", "cone")
    dimple: up_to(30) | None = doc("Depth of the dimple", left_out="by the limit `dimple`, of the least wall of shell")


class Fitting(Reading):
    """What is measured before a bearing is fitted."""

    barrel: BarrelSaid = doc("The barrel", BarrelSaid())
    bearing: ShellSaid = doc("The bearing", ShellSaid())
    shaft: up_to(800) | None = doc("Shaft in way of the bearing, greatest measured", left_out="as the set has it")
    instruments: Instruments = doc("What it was measured with", Instruments())
    press: Annotated[Force, Field(gt=0, le=1e7)] | None = doc("Force of the shop's press", left_out="no press")
    enters: Literal["aft", "forward"] = doc("Face of the barrel at which the bearing enters", "aft")
    sits: offset_to(1000) | None = doc(
        "Aft end of the bearing forward of the barrel's aft face, as it is to sit, or once in, as it sits",
        left_out="as the set has it; without a set, flush",
    )
    first_flute: Clock | None = doc("Clock angle of a flute's middle once in", left_out="worked out")
    bore: list[Across] = doc("Bore of the barrel by place", [])
    outside: list[Across] = doc("Outside of the bearing by place", [])
    screws: list[Screw] = doc("Set screws", [])


def checked(measured: Measured[Fitting], *, has_set: bool) -> Fitting:
    """Return the readings when they can be worked with. Raises ParameterError with every fault."""
    faults = list(_faults(measured, measured.said, has_set=has_set))
    if faults:
        raise ParameterError(faults)
    return measured.said


def _faults(measured: Measured[Fitting], said: Fitting, *, has_set: bool) -> Iterator[Problem]:
    for name, rows in (("bore", said.bore), ("outside", said.outside)):
        yield from _table_faults(measured, name, rows)
    if not has_set:
        groups = (
            ("barrel", said.barrel, ("length", "outside", "material")),
            ("bearing", said.bearing, ("length", "wall", "inside", "material")),
        )
        lacking = [f"{g}.{n}" for g, group, names in groups for n in names if getattr(group, n) is None]
        lacking += [] if said.shaft is not None else ["shaft"]
        for path in lacking:
            yield measured.problem(path, "is not given", "", "", "measure it, or name the strut's set with --set")
    yield from measured.no_material("barrel.material", said.barrel.material)
    yield from measured.no_material("bearing.material", said.bearing.material)
    wall, least = said.bearing.wall, said.bearing.wall_least
    if wall is not None and least is not None and least > wall:
        yield measured.problem(
            "bearing.wall_least",
            "is over the mean",
            fine_mm(least).read(said.units),
            f"{fine_mm(wall).read(said.units)} at most",
        )


def _table_faults(measured: Measured[Fitting], name: str, rows: Sequence[Across]) -> Iterator[Problem]:
    if not rows:
        yield measured.problem(name, "has no reading", "", "one place at least", "measure it at three places")
    read = sorted(v for row in rows for v in row.read_mm)
    middle = read[len(read) // 2] if read else 0.0
    for k, row in enumerate(rows):
        if not row.read_mm:
            yield measured.problem(f"{name}[{k}]", "has no diameter", "", ", ".join(DIRECTIONS), "measure one")
        for way in DIRECTIONS:
            value = getattr(row, way)
            if value is not None and abs(value - middle) > 0.02 * middle:
                given = " beside ".join(fine_mm(v).read(measured.said.units) for v in (value, middle))
                yield measured.problem(f"{name}[{k}].{way}", "is far from the others", given, "", "measure it again")
    places = [row.at for row in rows]
    for k, at in enumerate(places):
        if at in places[:k]:
            yield measured.problem(
                f"{name}[{k}].at", "is given twice", mm(at).read(measured.said.units), "", "keep one of the two rows"
            )
