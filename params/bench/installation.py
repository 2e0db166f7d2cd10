"""What was measured while a strut was fitted to the boat, and on its first trial."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from strutwright.params.fields import (
    Drips,
    Group,
    Length,
    Mass,
    Rate,
    Resistance,
    Temperature,
    Text,
    Torque,
    Vibration,
    doc,
    must,
)
from strutwright.params.measured import Reading

Quarter = Literal["top", "port", "bottom", "starboard"]
Gap = Annotated[Length, Field(ge=0, le=20)]


class CouplingGap(Group):
    """Gap between the faces of the coupling, at one place of the rim."""

    at: Quarter = must("Where on the rim")
    gap: Gap | None = doc("Gap by the feeler")
    half_turn: Gap | None = doc("The same with the shaft turned by half")
    afloat: Gap | None = doc("The same afloat, a day or two after launching")


class BearingGap(Group):
    """Gap between shaft and bearing, by the feeler in a land, at one place of one end."""

    end: Literal["aft", "forward"] = must("End of the bearing")
    at: Quarter = must("Where round the shaft")
    gap: Gap | None = doc("Gap by the feeler; 0 where the shaft rests")


class Bolt(Group):
    """One bolt of the palm."""

    palm: Text | None = doc("Which palm, where there are two")
    hole: Annotated[int, Field(ge=1, le=200)] = must("Number of the hole, as on the drilling sheet")
    hull: Annotated[Length, Field(gt=0, le=2000)] | None = doc("Hull at the hole, measured")
    length: Annotated[Length, Field(gt=0, le=3000)] | None = doc("Length of the bolt fitted")
    torque: Annotated[Torque, Field(ge=0, le=20000)] | None = doc("Torque it was drawn up to")


class Bedding(Group):
    """Thickness of the bedding at one place of the palm's edge."""

    at: Text = must("Where, such as the fore end")
    thickness: Annotated[Length, Field(ge=0, le=100)] = must("Thickness")


class Clearances(Group):
    """Clearances with propeller and shaft in place."""

    tip: Annotated[Length, Field(ge=0, le=5000)] | None = doc("Blade tip to hull, least, each blade turned up")
    hub: Annotated[Length, Field(ge=0, le=2000)] | None = doc("Bearing or barrel to the propeller's hub")
    insulation: Annotated[Resistance, Field(ge=0, le=1e6)] | None = doc(
        "Resistance between strut and hull or bolts, dry, bonding open; only where they are insulated"
    )


class Run(Group):
    """One speed of the trial."""

    speed: Annotated[Rate, Field(ge=0, le=20000)] = must("Speed of the shaft")
    vibration: Annotated[Vibration, Field(ge=0, le=1000)] | None = doc("Vibration at the stern gear")
    stuffing_box: Annotated[Temperature, Field(ge=-40, le=200)] | None = doc("Temperature of the stuffing box")
    drips: Annotated[Drips, Field(ge=0, le=10000)] | None = doc("Drips of the stuffing box")
    heard: Text | None = doc("Noise, smell, what was seen")


class AsFitted(Reading):
    """A strut as it was fitted."""

    part: Text | None = doc("Number or mark of the strut")
    mass: Mass | None = doc("Weight of the strut as lifted")
    coupling: list[CouplingGap] = Field(default_factory=list, max_length=8, description="Faces of the coupling")
    bearing: list[BearingGap] = Field(default_factory=list, max_length=16, description="Shaft in the bearing")
    bolts: list[Bolt] = Field(default_factory=list, max_length=200, description="Bolts of the palm")
    bedding: list[Bedding] = Field(default_factory=list, max_length=40, description="Bedding under the palm")
    clearances: Clearances = doc("Clearances", Clearances())
    trial: list[Run] = Field(default_factory=list, max_length=60, description="First trial")
