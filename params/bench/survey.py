"""What is measured of hull and shaft line where a strut is to stand, or on an old strut at the bench."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from pathlib import PurePath
from typing import Annotated, Literal

from pydantic import Field

from strutwright.params.fields import Angle, Group, Length, Text, doc, must, offset_to, tilt, up_to
from strutwright.params.measured import Measured, Reading
from strutwright.params.problems import ParameterError, Problem

LEVEL = "level"
"""Reference of a point that names none: level, with the boat's own zero."""
MOST_POINTS = 200
NEAREST_MM = 10.0
"""Points of the shaft line that are all nearer to each other do not say which way it leads."""
Side = Literal["port", "starboard"]
Way = Literal["level", "water_level", "total_station", "straight_edge", "string"]


class Instrument(Group):
    """What the points were measured with."""

    scatter: Annotated[Length, Field(gt=0, le=50)] | None = doc(
        "Scatter of a reading of hull points (its standard deviation)",
        left_out="found from how far the readings lie off; wider, as Student's factor counts",
    )
    along_scatter: Annotated[Length, Field(ge=0, le=100)] | None = doc(
        "Scatter of the readings along and to port", left_out="that of `scatter`"
    )
    line_scatter: Annotated[Length, Field(gt=0, le=50)] | None = doc(
        "Scatter of a reading of points on the shaft line", left_out="that of `scatter`, else found from the readings"
    )


class Attitude(Group):
    """How the boat stood while she was measured, against how she floats."""

    trim: tilt(-20, 20) = doc("Bow up by so much more than afloat", 0.0)
    heel: tilt(-20, 20) = doc("Port side up by so much more than afloat", 0.0)


class Angles(Group):
    """Angles read with an inclinometer."""

    shaft: tilt(-10, 30) | None = doc("Shaft, down going aft, from the level")
    run: tilt(-10, 20) | None = doc("Rise of the bottom going aft, along the buttock, from the level")
    deadrise: tilt(-10, 60) | None = doc("Rise of the bottom going outboard, square to the centre line")
    plan: tilt(-20, 20) = doc("Shaft in plan, from the centre line, positive when it goes to port going forward", 0.0)
    scatter: Annotated[Angle, Field(gt=0, le=5)] = doc("Scatter of one of these angles (its standard deviation)", 0.1)


class MeasuredDrop(Group):
    """Hull to shaft line, measured straight."""

    vertical: up_to(5000) | None = doc("Drop measured with a plumb line")
    square_to_shaft: up_to(5000) | None = doc("Drop square to the shaft, in the vertical plane through it")
    square_to_hull: up_to(5000) | None = doc("Drop square to the hull")
    at: Literal["mid", "aft", "forward"] = doc(
        "Drop at which point of the barrel: its middle or one of its faces", "mid"
    )
    scatter: Annotated[Length, Field(gt=0, le=50)] = doc("Scatter of the drop's reading (its standard deviation)", 1.0)


class PalmSize(Group):
    """Where the palm is to lie, where no parameter set says it."""

    length: up_to(3000) | None = doc("Length of the palm", left_out="as the set has it")
    width: up_to(2000) | None = doc("Width of the palm", left_out="as the set has it")
    forward: offset_to(1000) = doc("Palm's middle, forward of mid-barrel", 0.0)
    port: offset_to(1000) = doc("Palm's middle, to port of the shaft line", 0.0)


class Bedding(Group):
    """What takes up the hull's curve under a flat palm; common practice, no source."""

    takes: Annotated[Length, Field(gt=0, le=20)] = doc("Unevenness that the bedding takes", 2.0)
    pads: Annotated[Length, Field(gt=0, le=50)] = doc("Unevenness up to which the hull is padded or spot-faced", 6.0)


class Scan(Group):
    """A scan of the bottom; points of `line` and marks are then places in it, the aft point of the line first."""

    file: Text | None = doc("Name of the STL, PLY, OBJ or XYZ file, beside this one", left_out="no scan")
    unit: Literal["mm", "cm", "m", "in"] = doc("Unit of the scan", "mm")
    up: Literal["found", "x", "-x", "y", "-y", "z", "-z"] = doc(
        "Which axis of the scan is up; found: the one that leads from the shaft to the hull", "z"
    )
    rod_radius: up_to(300) | None = doc(
        "Radius of a rod on the shaft line that the scan shows between the points of `line`",
        left_out="the points of `line` lie on the shaft line",
    )
    reach: Annotated[Length, Field(ge=0, le=1000)] = doc("How far round the palm the hull is taken", 50.0)


class Reference(Group):
    """What points were measured from."""

    name: Text = must("Its name, by which points say that they were measured from it")
    way: Way = must("What it is; offsets from a string on the shaft line are named `string`")
    along: offset_to(60000) = doc("Where its zero lies, forward of the boat's zero", 0.0)
    port: offset_to(20000) = doc("Where its zero lies, to port of the boat's zero", 0.0)
    up: offset_to(20000) = doc("Where its zero lies, over the boat's zero", 0.0)
    slope: tilt(-30, 30) = doc("How it falls going aft (straight edge)", 0.0)
    cant: tilt(-60, 60) = doc("How it rises going to port (straight edge)", 0.0)
    plan: tilt(-180, 180) = doc("How it is turned to port going forward", 0.0)
    offsets: Literal["square", "plumb"] = doc(
        "Whether offsets are measured square to it or with a plumb line", "square"
    )
    counts: Literal["up", "down"] = doc("Whether the readings `up` count up from it or down", "up")
    slope_scatter: Annotated[Angle, Field(ge=0, le=5)] = doc("Scatter of its slope and cant", 0.1)
    scatter: Annotated[Length, Field(gt=0, le=50)] | None = doc(
        "Scatter of readings from it", left_out="that of the instrument"
    )


class Spot(Group):
    """A point that was measured."""

    name: Text = must("Its name, as chalked on the hull")
    along: offset_to(60000) = must("Forward of the zero")
    port: offset_to(20000) = must("To port of the zero, starboard negative")
    up: offset_to(20000) = must("Over the zero, or as the reference counts")
    reference: Text | None = doc("What it was measured from", left_out="level, from the boat's zero")
    side: Side | None = doc("Of which shaft, where both sides of a boat were measured")
    use: Literal["yes", "no", "always"] = doc(
        "Whether it counts; no: left out; always: kept although it is out of line", "yes"
    )


class Place(Group):
    """A place along the shaft, or a mark."""

    what: Literal["mid_barrel", "hub", "next_bearing", "stern", "stem", "upright"] = must(
        "Which place; hub: forward face of the propeller's hub; next_bearing: middle of the next one forward; stern, "
        "stem: two marks on the boat's centre line, for a total station; upright: a mark straight over the axis (bench)"
    )
    along: offset_to(60000) | None = doc("Forward of the zero")
    port: offset_to(20000) = doc("To port of the zero (marks)", 0.0)
    up: offset_to(20000) = doc("Over the zero (marks)", 0.0)
    point: Text | None = doc("In place of `along`: a point of the shaft line that it is measured from")
    distance: offset_to(60000) = doc("From that point, along the shaft, positive forward", 0.0)
    scatter: Annotated[Length, Field(ge=0, le=50)] = doc("Scatter of this reading", 1.0)
    side: Side | None = doc("Of which shaft", left_out="of both")


class Survey(Reading):
    """Points on hull and shaft line, or angles and a drop, where a strut is to stand."""

    side: Literal["port", "starboard", "centre", "pair"] = must(
        "Where the strut stands: pair for both sides of a twin-screw boat"
    )
    frame: Literal["boat", "bench"] = doc(
        "On the boat, or an old strut on the bench, whose `upright` mark says what is up", "boat"
    )
    instrument: Instrument = doc("What the points were measured with", Instrument())
    attitude: Attitude = doc("How the boat stood", Attitude())
    angles: Angles = doc("Angles read with an inclinometer", Angles())
    drop: MeasuredDrop = doc("Hull to shaft line, where no hull points say it", MeasuredDrop())
    barrel_length: up_to(2500) | None = doc("Length of the barrel over its faces", left_out="that of the set")
    propeller_diameter: up_to(5000) | None = doc("Diameter of the propeller", left_out="that of the set")
    hub_length: up_to(1500) | None = doc("Length of the propeller's hub", left_out="that of the set")
    scan: Scan = doc("A scan of the bottom", Scan())
    palm: PalmSize = doc("Where the palm is to lie", PalmSize())
    bedding: Bedding = doc("What takes up the hull's curve", Bedding())
    references: list[Reference] = Field(
        default_factory=list, max_length=20, description="What points were measured from, beside a level"
    )
    hull: list[Spot] = Field(default_factory=list, max_length=MOST_POINTS, description="Points on the hull at the palm")
    line: list[Spot] = Field(
        default_factory=list, max_length=MOST_POINTS, description="Points on the shaft line (string, laser, test bar)"
    )
    tip: list[Spot] = Field(
        default_factory=list, max_length=MOST_POINTS, description="Points on the hull over the propeller's blades"
    )
    places: list[Place] = Field(default_factory=list, max_length=20, description="Places along the shaft, and marks")

    def on(self, side: Side | None) -> tuple[list[Spot], list[Spot], list[Spot], list[Place]]:
        """Return hull, line and tip points and the places of one side; of the only one where side is None."""

        def of(rows: Sequence[Spot]) -> list[Spot]:
            return [row for row in rows if (side is None or row.side == side) and row.use != "no"]

        return (
            of(self.hull),
            of(self.line),
            of(self.tip),
            [p for p in self.places if side is None or p.side in (None, side)],
        )

    @property
    def sides(self) -> tuple[Side | None, ...]:
        """The sides that are measured; (None,) for one strut."""
        return ("port", "starboard") if self.side == "pair" else (None,)


def checked(measured: Measured[Survey], *, with_set: bool = False) -> Survey:
    """Return what was measured, once it hangs together. with_set: whether a set says what the readings leave out.

    Raises ParameterError with every fault.
    """
    said = measured.said
    sides = list(_sides(measured))
    problems = [*_names(measured), *_sizes(measured), *sides]
    for side in said.sides if not sides else ():
        problems += [p for p in _enough(measured, side) if p not in problems]
    if said.drop.at != "mid" and said.barrel_length is None and not with_set and not said.hull:
        what = "needs the barrel's length"
        problems.append(measured.problem("drop.at", what, said.drop.at, "", "add barrel_length, or name the set"))
    if problems:
        raise ParameterError(sorted(problems, key=lambda p: (p.line, p.column)))
    return said


_TABLES = ("hull", "line", "tip")
_MARKS = ("stern", "stem", "upright")


def _names(measured: Measured[Survey]) -> Iterator[Problem]:
    """References and points that are named twice, or named and not there."""
    said = measured.said
    known = {LEVEL}
    for k, reference in enumerate(said.references):
        at = f"references[{k}]"
        if reference.name in known:
            yield measured.problem(f"{at}.name", "is named twice", reference.name, "", "give each its own name")
        known.add(reference.name)
        tilted = [n for n in ("slope", "cant") if getattr(reference, n)]
        if tilted and reference.way != "straight_edge":
            what = (
                "has a slope, but is level" if reference.way != "string" else "has a slope; that of a string is found"
            )
            yield measured.problem(f"{at}.{tilted[0]}", what, "", "", "remove it, or write `straight_edge` as its way")
    for table in _TABLES:
        seen: set[tuple[str, str | None]] = set()
        for k, spot in enumerate(getattr(said, table)):
            at = f"{table}[{k}]"
            if (spot.name, spot.side) in seen:
                yield measured.problem(f"{at}.name", "is named twice", spot.name, "", "give each point its own name")
            seen.add((spot.name, spot.side))
            if spot.reference is not None and spot.reference not in known:
                allowed = ", ".join(sorted(known))
                yield measured.problem(f"{at}.reference", "is no reference", spot.reference, allowed, "add its row")
            elif table == "line" and _on_string(said, spot):
                yield measured.problem(f"{at}.reference", "is the shaft line itself", "", "another", "measure from it")
    points = {spot.name for spot in said.line if spot.use != "no"}
    placed: set[tuple[str, str | None]] = set()
    for k, place in enumerate(said.places):
        at = f"places[{k}]"
        if (place.what, place.side) in placed:
            yield measured.problem(f"{at}.what", "is given twice", place.what, "", "keep one")
        placed.add((place.what, place.side))
        if place.point is not None and place.point not in points:
            yield measured.problem(f"{at}.point", "is no point of `line`", place.point, ", ".join(sorted(points)), "")
        if place.what in _MARKS and (place.along is None or place.point is not None):
            yield measured.problem(at, "is a mark", place.what, "along, port and up", "give where it was seen")
        elif (place.along is None) == (place.point is None):
            what = "needs `along`, or `point` and `distance`" if place.along is None else "is told in two ways"
            yield measured.problem(at, what, "", "one of them", "give one")


def _sides(measured: Measured[Survey]) -> Iterator[Problem]:
    """Points without a side where both were measured, and the other way round."""
    said = measured.said
    for table in _TABLES:
        for k, spot in enumerate(getattr(said, table)):
            if said.side == "pair" and spot.side is None:
                yield measured.problem(f"{table}[{k}]", "says no side", spot.name, "port or starboard", "add it")
            elif said.side != "pair" and spot.side not in (None, said.side):
                what = "is of another side"
                yield measured.problem(f"{table}[{k}].side", what, str(spot.side), said.side, "write `side: pair`")


def _sizes(measured: Measured[Survey]) -> Iterator[Problem]:
    """A palm of which one size is said."""
    palm = measured.said.palm
    if (palm.length is None) != (palm.width is None):
        lacks = "length" if palm.length is None else "width"
        yield measured.problem("palm", f"says no {lacks}", "", "both or neither", f"add palm.{lacks}")


def _on_string(said: Survey, spot: Spot) -> bool:
    return any(r.name == spot.reference and r.way == "string" for r in said.references)


def _enough(measured: Measured[Survey], side: Side | None) -> Iterator[Problem]:
    """What lacks for an answer."""
    said = measured.said
    hull, line, _, places = said.on(side)
    if said.scan.file is not None:
        yield from _for_scan(measured, line)
        return
    whose = f" on the {side} side" if side is not None else ""
    from_string = bool(hull) and all(_on_string(said, spot) for spot in hull)
    marks = {p.what for p in places}
    drops = [n for n in ("vertical", "square_to_shaft", "square_to_hull") if getattr(said.drop, n) is not None]
    if 0 < len(hull) < 3:
        yield measured.problem(
            "hull", f"has too few points{whose}", f"{len(hull)}", "3; better 9 to 15", "measure more"
        )
    if not hull:
        lacks = [n for n in ("run", "deadrise") if getattr(said.angles, n) is None]
        if lacks or len(drops) != 1:
            allowed = "3 points, or angles.run and angles.deadrise and one drop"
            yield measured.problem("hull", f"has no points{whose}, and angles do not say how it lies", "", allowed, "")
    elif drops:
        yield measured.problem(f"drop.{drops[0]}", "is told by the hull points", "", "one of the two", "remove it")
    if len(line) < 2 and said.angles.shaft is None and not from_string:
        allowed = "2 points; better 5, or angles.shaft"
        yield measured.problem("line", f"does not say how the shaft lies{whose}", f"{len(line)} points", allowed, "")
    if hull and not from_string and not line:
        yield measured.problem("line", f"has no point{whose} that says where the shaft lies", "", "one at least", "")
    if hull and not from_string and "mid_barrel" not in marks:
        what = f"say nowhere{whose} where mid-barrel is"
        yield measured.problem("places", what, "", "a row `mid_barrel`", "add it: the strut's figures are told there")
    for k, place in enumerate(said.places):
        named = {spot.name for spot in line}
        if place in places and place.point is not None and place.point not in named and side is not None:
            at = f"places[{k}].point"
            yield measured.problem(
                at, f"is no point of the {side} line", place.point, ", ".join(sorted(named)), "say its side"
            )
    if said.frame == "bench" and said.attitude != Attitude():
        yield measured.problem("attitude", "has no meaning on the bench", "", "", "remove it")
    if said.frame == "bench" and "upright" not in marks:
        yield measured.problem("places", "lack the mark `upright`, without which nothing is up", "", "", "add its row")
    if ("stem" in marks) != ("stern" in marks):
        yield measured.problem("places", "have one mark of the centre line", "", "stem and stern", "add the other")


def _apart_mm(one: Spot, other: Spot) -> float:
    return math.dist((one.along, one.port, one.up), (other.along, other.port, other.up))


def _for_scan(measured: Measured[Survey], line: Sequence[Spot]) -> Iterator[Problem]:
    """What lacks, or is too much, beside a scan."""
    said = measured.said
    file = PurePath(said.scan.file or "")
    if file.is_absolute() or ".." in file.parts or not file.name:
        allowed = "the name of a file beside this one, or in a folder beside it"
        yield measured.problem("scan.file", "leads elsewhere", str(file), allowed, "put the scan there")
    if said.hull:
        yield measured.problem("hull", "are told by the scan", "", "none", "remove them, or the scan")
    if line and line[0].name != line[-1].name and _apart_mm(line[0], line[-1]) < NEAREST_MM:
        allowed, do = (
            "far apart, better a metre than a hand",
            "pick them near the ends of the shaft, and look at their unit",
        )
        yield measured.problem("line", "has its first and last point on one place", "", allowed, do)
    if len(line) < 2:
        allowed = "2 points, the aft one first"
        yield measured.problem("line", "does not say where the shaft line is in the scan", "", allowed, "pick them")
    if said.side == "pair":
        yield measured.problem("side", "are two, and a scan is of one", "pair", "one side", "give each side its file")
    if said.frame == "bench":
        yield measured.problem("frame", "is the bench, and a scan is of a boat", "", "boat", "say up in `scan.up`")
