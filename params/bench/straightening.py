"""What is read on a palm that is straightened cold: before, between and after the strokes of a press."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from strutwright.params.fields import Angle, Force, Group, Length, Stress, Text, doc, must, offset_to, tilt, up_to
from strutwright.params.measured import Measured, Reading
from strutwright.params.problems import ParameterError, Problem

Scatter = Annotated[Length, Field(gt=0, le=1)]
Stage = Annotated[int, Field(ge=0, le=60)]


class PalmSaid(Group, left_out="as the set has it"):
    """The palm."""

    name: Text | None = doc("Which palm of the set, by its name", left_out="the first")
    part: Literal["palm", "arm"] = doc("What is bent: the palm, or an arm, which is taken as a plate", "palm")
    length: up_to(2000) | None = doc("Length of the palm, along the shaft")
    width: up_to(2000) | None = doc("Width of the palm, across")
    thickness: up_to(150) | None = doc("Thickness of the palm, measured")
    material: Text | None = doc("Metal of the palm, by its name in the table of materials")
    yield_strength: Annotated[Stress, Field(gt=0, le=2000)] | None = doc(
        "Yield by the plate's certificate", left_out="the least of its kind by the table"
    )
    made: Literal["plate", "casting"] | None = doc("Whether it is plate or a casting")
    face: Literal["plane", "curved"] | None = doc(
        "How the hull face is made now: plane, or to the hull's curve of the set", left_out="as the set has it"
    )
    tolerance: Annotated[Length, Field(gt=0.05, le=10)] | None = doc(
        "Flatness that is wanted, minimum zone", left_out="as on the drawing; without a set {0.5 mm}"
    )


class PressSaid(Group):
    """The press and what the palm rests on."""

    force: Annotated[Force, Field(gt=0, le=1e7)] | None = doc("Force of the press", left_out="not judged")
    span_along: up_to(2000) | None = doc(
        "Distance of the supports along, and of the ball seats", left_out="0.8 of the length"
    )
    span_across: up_to(2000) | None = doc(
        "Distance of the supports across, and of the ball seats", left_out="0.8 of the width"
    )
    bed: up_to(2000) | None = doc("Longest distance of supports that the press allows", left_out="no limit")
    bar_length: up_to(2000) | None = doc(
        "Length of the bar and of the parallels; a longer place is pressed in bites", left_out="no limit"
    )
    bar: up_to(300) = doc("Diameter of the round bar under the ram", 40.0)
    ball: up_to(150) = doc("Diameter of the balls in the countersinks", 20.0)
    setting: Scatter = doc("Scatter of a stroke as it is set, a standard deviation", 0.03)


class BoreSaid(Group, left_out="not compared"):
    """How the palm's face stands to the bore: the angle itself, or the heights of a test bar in the bore over it."""

    stage: Stage = doc("Strokes made before this was measured", 0)
    angle: tilt(-60, 60) | None = doc("Angle of the palm's plane to the bore; plus where the bore nears it forward")
    height_aft: up_to(3000) | None = doc("Height aft of the test bar's middle over the face")
    height_forward: up_to(3000) | None = doc("Height forward of the test bar's middle over the face")
    apart: up_to(3000) | None = doc("Distance of the two places along the bar")
    drawing: tilt(-60, 60) | None = doc("That angle on the drawing", left_out="as the set has it")
    mock_up: tilt(-60, 60) | None = doc("That angle on the mock-up", left_out="not measured")
    tolerance: Annotated[Angle, Field(gt=0, le=5)] | None = doc(
        "How far it may be off", left_out="as on the drawing; without a set {0.25 deg}"
    )


class InstrumentSaid(Group):
    """What it was read with."""

    scatter: Scatter = doc("Scatter of one reading, a standard deviation", 0.02)


class Height(Group):
    """One reading on the hull face; places count from the palm's middle, forward and to port."""

    stage: Stage = doc("Strokes made before this reading: 0 before the first", 0)
    along: offset_to(1000) = must("Place along, from the palm's middle, forward")
    across: offset_to(1000) = must("Place across, from the palm's middle, to port")
    reading: offset_to(100) = must("Dial, gap under the straight edge, or depth from the parallels")
    line: Text | None = doc("Name of the line that the straight edge lay on", left_out="none; for feelers only")


class StrokeSaid(Group):
    """A stroke that was made."""

    way: Literal["along", "across", "twist"] = must("What it bent")
    place: Annotated[int, Field(ge=1, le=60)] = doc("Which place, by the card's number", 1)
    travel: up_to(200) = must("Travel of the ram from touching to the end of the stroke")
    force: Annotated[Force, Field(ge=0, le=1e7)] | None = doc("Force that was read", left_out="not read")


class Straightening(Reading):
    """What is read on a palm that is straightened cold."""

    palm: PalmSaid = doc("The palm", PalmSaid())
    press: PressSaid = doc("The press and the supports", PressSaid())
    bore: BoreSaid = doc("How the palm stands to the bore", BoreSaid())
    how: Literal["dial", "feeler", "depth"] = doc("How it was read: hull face up", "dial")
    instrument: InstrumentSaid = doc("What it was read with", InstrumentSaid())
    heights: list[Height] = doc("Readings of the hull face", [])
    strokes: list[StrokeSaid] = doc("Strokes made, in order", [])


def checked(measured: Measured[Straightening], *, has_set: bool) -> Straightening:
    """Return the readings when they can be worked with. Raises ParameterError with every fault."""
    faults = list(_faults(measured, measured.said, has_set=has_set))
    if faults:
        raise ParameterError(faults)
    return measured.said


def _faults(measured: Measured[Straightening], said: Straightening, *, has_set: bool) -> Iterator[Problem]:
    if not has_set:
        for name in ("length", "width", "thickness", "material"):
            if getattr(said.palm, name) is None:
                advice = "measure it, or name the strut's set with --set"
                yield measured.problem(f"palm.{name}", "is not given", "", "", advice)
        if said.palm.face == "curved":
            yield measured.problem("palm.face", "has no curve", "curved", "plane", "name the strut's set with --set")
    yield from measured.no_material("palm.material", said.palm.material)
    if not said.heights:
        yield measured.problem("heights", "has no reading", "", "a grid of 3 by 3 at least", "read the hull face")
        return
    seen: set[tuple[int, float, float, str | None]] = set()
    for k, row in enumerate(said.heights):
        key = (row.stage, row.along, row.across, row.line)
        if key in seen:
            yield measured.problem(f"heights[{k}]", "is read twice", "", "", "keep one of the two rows")
        seen.add(key)
        if row.stage > len(said.strokes):
            allowed = f"0 to {len(said.strokes)}, as `strokes` has them"
            yield measured.problem(f"heights[{k}].stage", "is after no stroke", str(row.stage), allowed)
        if said.how == "feeler" and row.line is None:
            yield measured.problem(f"heights[{k}].line", "is not given", "", "", "name the line the edge lay on")
        for name, most in (("along", said.palm.length), ("across", said.palm.width)):
            if most is not None and abs(getattr(row, name)) > most / 2.0 + 1e-6:
                yield measured.problem(f"heights[{k}].{name}", "lies off the palm")
    yield from _bore_faults(measured, said)
    for stage in sorted(set(range(len(said.strokes) + 1)) - {row.stage for row in said.heights}):
        yield measured.problem(
            "heights",
            f"has no reading of stage {stage}",
            "",
            "",
            "read the face before the first and after each stroke",
        )


def _bore_faults(measured: Measured[Straightening], said: Straightening) -> Iterator[Problem]:
    bore = said.bore
    heights = {"height_aft": bore.height_aft, "height_forward": bore.height_forward, "apart": bore.apart}
    for name, value in heights.items():
        if value is None and any(v is not None for v in heights.values()):
            yield measured.problem(f"bore.{name}", "is not given", "", "both heights and their distance, or the angle")
    if bore.angle is not None and bore.apart is not None:
        yield measured.problem("bore.angle", "is given beside the heights", "", "one of the two", "leave one out")
    elif None not in (bore.height_aft, bore.height_forward, bore.apart):
        assert bore.height_aft is not None
        assert bore.height_forward is not None
        assert bore.apart is not None
        if abs(bore.height_aft - bore.height_forward) >= 0.87 * bore.apart:
            yield measured.problem("bore.apart", "is too short for these heights", "", "an angle of 60 degrees at most")
    if bore.stage > len(said.strokes):
        allowed = f"0 to {len(said.strokes)}, as `strokes` has them"
        yield measured.problem("bore.stage", "is after no stroke", str(bore.stage), allowed)
