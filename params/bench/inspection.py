"""What an inspection record says when it comes back from the shop."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field

from strutwright.params.fields import Angle, Date, Group, Length, Text, doc, must
from strutwright.params.measured import Reading


def _said(value: object) -> object:
    """Words for yes and no, which a file gives as such."""
    return ("yes" if value else "no") if isinstance(value, bool) else value


Found = Annotated[Text, BeforeValidator(_said)]


class Instrument(Group):
    """An instrument of the shop, by its name on the record, and what one reading with it is worth."""

    name: Text = must("Its name, as in the record's column of instruments")
    uncertainty: Annotated[Length, Field(gt=0, le=10)] | None = doc(
        "Expanded uncertainty (about 95 %) of one reading of a length", left_out="that of the table `instruments`"
    )
    uncertainty_angle: Annotated[Angle, Field(gt=0, le=10)] | None = doc(
        "The same of an angle", left_out="that of the table `instruments`"
    )


class Line(Group):
    """One line of the record."""

    number: Annotated[int, Field(ge=1, le=9999)] | None = doc("Its number, as on the drawings")
    code: Text = must("Its name in files")
    characteristic: Text | None = doc("What it is")
    nominal: Text | None = doc("Nominal size")
    lower: Text | None = doc("Lower limit")
    upper: Text | None = doc("Upper limit")
    measured: Found | None = doc("What was measured: a number in the record's unit, with a unit of its own, or words")
    instrument: Text | None = doc("What it was measured with")
    by: Text | None = doc("Who measured it")
    date: Date | None = doc("When, year-month-day")


class Inspection(Reading):
    """An inspection record, filled in."""

    part: Text | None = doc("Number or mark of the part that was measured", left_out="left blank on the record")
    parameters: Text | None = doc("First digits of the SHA-256 of what the form asks for, as printed on it")
    instruments: list[Instrument] = Field(
        default_factory=list, max_length=60, description="Instruments of the shop whose uncertainty is known"
    )
    lines: list[Line] = Field(default_factory=list, max_length=2000, description="The lines of the record")
