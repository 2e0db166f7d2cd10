"""The bearings on one shaft of a boat, whose housings they are, and where their bores are found to lie."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from strutwright.params.fields import Force, Group, Length, Mass, Name, Text, doc, must, offset_to
from strutwright.params.measured import Reading

Hand = Literal["port", "starboard", "centre"]
_Off = offset_to(200)


class LineBearing(Group):
    """One bearing of the shaft."""

    called: Text = must("What it is called, such as stern bearing or gearbox")
    set: Name | None = doc(
        "Parameter set of its housing: a file in the same folder, or the name of a shipped set",
        left_out="a bearing that is no housing of yours, such as the gearbox's",
    )
    station: Annotated[Length, Field(ge=0, le=60000)] = must(
        "Middle of its bearing ahead of the middle of the aftmost one, along the shaft"
    )
    place: Literal["fixed", "loose"] = doc(
        "Whether it is fixed in its place: those that are lay down the line", "loose"
    )
    aft_up: _Off | None = doc("Middle of its bore over the line of sight, aft end", left_out="not measured")
    aft_port: _Off | None = doc("The same, to port of it", left_out="not measured")
    forward_up: _Off | None = doc("Middle of its bore over the line of sight, forward end", left_out="not measured")
    forward_port: _Off | None = doc("The same, to port of it", left_out="not measured")


class Wire(Group):
    """The wire that was sighted along; none for a laser or a telescope."""

    diameter: Annotated[Length, Field(gt=0, le=5)] = must("Diameter of the wire")
    pull: Annotated[Force, Field(gt=0, le=5000)] = must("Pull in the wire: the weight that hangs on it")
    aft: offset_to(60000) = must("Its after end, ahead of the middle of the aftmost bearing; minus where it lies aft")
    forward: offset_to(90000) = must("Its forward end, ahead of the middle of the aftmost bearing")


class ShaftLine(Reading):
    """The bearings on one shaft, from aft forward."""

    name: Text | None = doc("Which shaft of which boat")
    hand: Hand = doc("Which shaft it is: port, starboard, or the one in the middle", "centre")
    bearings: list[LineBearing] = Field(min_length=2, max_length=12, description="Bearings of the shaft, two at least")
    coupling: Mass | None = doc("Weight of the shaft's half of the coupling", left_out="none")
    coupling_ahead: Annotated[Length, Field(ge=0, le=20000)] | None = doc(
        "Face of the coupling ahead of the foremost bearing", left_out="the shaft ends in the foremost bearing"
    )
    scatter: Annotated[Length, Field(gt=0, le=10)] = doc("Scatter of a reading (its standard deviation)", 0.1)
    wire: Wire | None = doc("The wire that was sighted along", left_out="a laser or a telescope: the sight is straight")
