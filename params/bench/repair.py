"""What is measured of a strut that has been in use: wear, bore, bends, cracks, bolts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from strutwright.params.bench.fitting import Across
from strutwright.params.fields import Group, Length, Text, doc, must, offset_to, up_to
from strutwright.params.measured import Measured, Reading
from strutwright.params.problems import ParameterError, Problem
from strutwright.params.words import mm

NOT_MEASURED = "not measured"
_BOLT_OVER = 1.02
"""A sound bolt may measure so much over its size."""


class AsItRuns(Group, left_out=NOT_MEASURED):
    """A bearing and the shaft in it as they run, and the centre of its bore."""

    which: Annotated[int, Field(ge=1, le=2)] = doc("Which bearing, counted from aft", 1)
    clearance: Annotated[Length, Field(ge=0, le=50)] | None = doc("Greatest clearance in the bearing, on the diameter")
    flute_depth: Annotated[Length, Field(ge=0, le=50)] | None = doc("Least depth of a flute that is left")
    shaft: up_to(800) | None = doc("Shaft in way of the bearing, least measured")
    up: offset_to(50) = doc("Centre of the bore above the shaft's line", 0.0)
    port: offset_to(50) = doc("Centre of the bore to port of the shaft's line", 0.0)


class Bend(Group):
    """A bent arm or palm."""

    part: Literal["arm", "palm"] = must("What is bent")
    set: up_to(500) = must("How far it is bent, over the span")
    over: up_to(3000) = must("Span over which it is bent")
    name: Text | None = doc("Which one", left_out="not named")
    way: Literal["sideways", "fore and aft"] | None = doc(
        "Which way an arm is bent", left_out="over its chord, which strains it most"
    )


class Crack(Group):
    """A crack."""

    where: Text = must("Where the crack is")
    length: up_to(3000) | None = doc("Length of the crack", left_out=NOT_MEASURED)


class WastedBolt(Group):
    """A bolt that has wasted or is waisted."""

    name: Text = must("Which bolt")
    least: up_to(100) = must("Least diameter of its shank or thread")
    place: Literal["shank", "thread"] | None = doc(
        "Where it is thinnest", left_out="in the thread, whose core has lost as much"
    )


class Repair(Reading):
    """What is measured of a strut that has been in use."""

    bearings: list[AsItRuns] = doc("Bearings, and the shaft in them", [])
    bore: list[Across] = doc(
        "Bore of the barrel by place from its aft face, without bearings; each is of the bearing there", []
    )
    bends: list[Bend] = doc("What is bent", [])
    cracks: list[Crack] = doc("Cracks", [])
    bolts: list[WastedBolt] = doc("Wasted bolts", [])


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """What readings of a strut lie within: how many bearings it has, its barrel's length and outside, shaft, bolts."""

    bearings: int
    barrel_mm: float
    outside_mm: float
    shaft_mm: float
    bolt_mm: float


def checked(measured: Measured[Repair], room: Room) -> Repair:
    """Return the readings when they can be worked with. Raises ParameterError with every fault."""
    faults = list(_faults(measured, measured.said, room))
    if faults:
        raise ParameterError(faults)
    return measured.said


def _faults(measured: Measured[Repair], said: Repair, room: Room) -> Iterator[Problem]:
    bearings, barrel_mm, units = room.bearings, room.barrel_mm, said.units
    if said.model_copy(update={"units": "mm", "by": None, "date": None, "remark": None}) == Repair():
        yield measured.problem("", "has no reading", "", "bearings, bore, bends, cracks or bolts", "measure one")
    seen: set[int] = set()
    for k, one in enumerate(said.bearings):
        if one.which > bearings:
            yield measured.problem(f"bearings[{k}].which", "the set has no such bearing", str(one.which), str(bearings))
        elif one.which in seen:
            yield measured.problem(f"bearings[{k}].which", "is given twice", str(one.which), "", "keep one of the two")
        seen.add(one.which)
    for k, row in enumerate(said.bore):
        if not 0.0 <= row.at <= barrel_mm:
            allowed = f"0 to {mm(barrel_mm).read(said.units)}"
            yield measured.problem(f"bore[{k}].at", "lies outside the barrel", mm(row.at).read(said.units), allowed)
        if not row.read_mm:
            yield measured.problem(f"bore[{k}]", "has no diameter", "", "upright, level, slant", "measure one")
        off = [v for v in row.read_mm if not room.shaft_mm < v < room.outside_mm]
        if off:
            allowed = f"over {mm(room.shaft_mm).read(units)}, the shaft, under {mm(room.outside_mm).read(units)}"
            given = mm(off[0]).read(units)
            yield measured.problem(f"bore[{k}]", "is no bore of this barrel", given, allowed, "measure again")
    for k, bolt in enumerate(said.bolts):
        if bolt.least > _BOLT_OVER * room.bolt_mm:
            given, allowed = mm(bolt.least).read(units), f"at most {mm(room.bolt_mm).read(units)}, the bolt"
            yield measured.problem(f"bolts[{k}].least", "is more than the bolt", given, allowed, "measure again")
    for k, bend in enumerate(said.bends):
        if bend.set > 0.5 * bend.over:
            yield measured.problem(
                f"bends[{k}].set", "is over half the span", mm(bend.set).read(said.units), "", "measure again"
            )
