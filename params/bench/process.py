"""What an hour and a kilogram cost in a shop, and how long its work takes: for the process sheet."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from strutwright.params.fields import Duration, Group, Percent, Ratio, Text, doc, must
from strutwright.params.measured import Reading

Money = Annotated[Ratio, Field(ge=0, le=1e6)]
Minutes = Annotated[Duration, Field(ge=0, le=10000)]


class Hours(Group):
    """What an hour costs, in the shop's money."""

    bench: Money = doc("Fitter at the bench", 0.0)
    machine: Money = doc("Machine with its machinist", 0.0)
    welding: Money = doc("Welder with his set", 0.0)
    inspection: Money = doc("Measuring", 0.0)


class Paces(Group):
    """How long work takes. Estimates, common practice, no source: put your own figures in."""

    set_up: Minutes = doc("A set-up on a machine", 40.0)
    boring: Annotated[Ratio, Field(gt=0, le=1000)] = doc("Bore rough cut and finished, cm of length an hour", 20.0)
    milling: Annotated[Ratio, Field(gt=0, le=100000)] = doc("Face milled flat, cm2 an hour", 300.0)
    hole: Minutes = doc("A bolt hole drilled and its head sunk", 9.0)
    tapped_hole: Minutes = doc("A set-screw hole drilled and tapped", 15.0)
    weld_metal: Annotated[Ratio, Field(gt=0, le=100)] = doc("Weld metal laid, kg an hour, pauses counted", 0.6)
    tacking: Minutes = doc("A part cleaned, set in the jig and tacked", 30.0)
    pressing: Minutes = doc("A palm pressed flat", 60.0)
    row: Minutes = doc("A row of the inspection record", 2.0)


class Price(Group):
    """What a material costs."""

    material: Text = must("Name of the material, as in the set")
    per_kg: Money = must("Price of a kilogram, cast or as stock")


class ShopRates(Reading):
    """A shop's rates."""

    currency: Text = doc("The shop's money", "money")
    hours: Hours = doc("What an hour costs", Hours())
    paces: Paces = doc("How long work takes", Paces())
    overhead: Annotated[Percent, Field(ge=0, le=500)] = doc("Added to the cost", 0.0)
    prices: list[Price] = Field(default_factory=list, max_length=60, description="What materials cost")
