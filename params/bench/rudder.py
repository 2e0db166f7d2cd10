"""What is measured of a rudder stock over a strut with a heel, and of how true it runs."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from strutwright.params.fields import Group, Length, Text, doc, must, offset_to, up_to
from strutwright.params.measured import Reading


class StockPoint(Group):
    """A point on the middle line of the stock, or of the tube or bearing it runs in."""

    name: Text | None = doc("Its name")
    behind_barrel: offset_to(6000) = must("Aft of the barrel's aft face, along the shaft")
    port: offset_to(2000) = doc("To port of the vertical plane through the shaft", 0.0)
    above_shaft: offset_to(6000) = must("Above the shaft line, square to it; minus below")


class HeelPoint(Group):
    """A point on the heel: of the bore on its middle line or its wall, or on a face of the boss square to it."""

    name: Text | None = doc("Its name")
    on: Literal["middle", "wall", "upper face", "lower face"] = must("What it lies on")
    behind_barrel: offset_to(6000) = must("Aft of the barrel's aft face, along the shaft")
    port: offset_to(2000) = doc("To port of the vertical plane through the shaft", 0.0)
    above_shaft: offset_to(6000) = must("Above the shaft line, square to it; minus below")


class Turned(Group):
    """Dial on the stock or the pintle while it is turned."""

    at: Text = must("Where, such as the pintle, lower end")
    least: Annotated[Length, Field(ge=-50, le=50)] = must("Least reading of the dial")
    most: Annotated[Length, Field(ge=-50, le=50)] = must("Greatest reading of the dial")


class RudderStock(Reading):
    """Points on a rudder stock, and how true it runs."""

    scatter: Annotated[Length, Field(gt=0, le=50)] | None = doc(
        "Scatter of a reading (its standard deviation)", left_out="found from how far the readings lie off a line"
    )
    points: list[StockPoint] = Field(
        default_factory=list, max_length=200, description="Points on the middle line of the stock, two at least"
    )
    heel: list[HeelPoint] = Field(
        default_factory=list, max_length=200, description="Points on the heel; without any, its bore counts as drawn"
    )
    heel_scatter: Annotated[Length, Field(gt=0, le=50)] | None = doc(
        "Scatter of a reading on the heel (its standard deviation)", left_out="found from how far they lie off the fit"
    )
    turned: list[Turned] = Field(default_factory=list, max_length=20, description="How true stock and pintle run")
    bush_length: up_to(500) | None = doc("Length of the heel's bush", left_out="the height of the boss")
