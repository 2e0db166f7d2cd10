"""A new parameter set of a flanged housing from a few answers: the lightest that its check passes, commented."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from strutwright.models.sizing.flange_size import FAMILY
from strutwright.params import quantity, tables
from strutwright.starter import Question, units_of
from strutwright.starter_parts import (
    IN_HAND,
    Part,
    boat_lines,
    by_shaft,
    exact,
    exact_mm,
    first_questions,
    on_shaft,
    whose,
)
from strutwright.starter_set import SUCH_AS

BASES: Mapping[str, str] = {"timber": "hardwood", "laminate": "FRP laminate", "steel": "S275", "aluminium": "5083-H111"}
"""What a flange may be bolted to, and its name in the table of materials."""
FASTENERS: Mapping[str, str] = {"timber": "lag_screw", "laminate": "through_bolt", "steel": "stud", "aluminium": "stud"}
"""What is usual in each."""
LIGHT_TIMBER = 480
"""Density (kg/m3) that is taken of timber, on the safe side: of Douglas fir, the lightest usual there."""
_SPIGOT_WALLS, _LEAST_WALLS_MM = 0.35, 10.0
"""Both walls of the spigot in shafts, and the least, by which the hole in the base is wider than the bearing."""
QUESTIONS = (
    *first_questions(FAMILY, "housing"),
    Question("base", "What is the flange bolted to?", "timber", tuple(BASES), "materials.base", part=FAMILY),
    Question("construction", "Cast or welded?", "cast", ("cast", "welded"), "construction", part=FAMILY),
    Question(
        "fastener", "How is it fastened?", "", ("through_bolt", "stud", "lag_screw"), "bolts.fastener", part=FAMILY
    ),
    Question("shaft", "Shaft diameter?", "40 mm", path="shaft.diameter", inch="1 1/4 in", part=FAMILY),
    Question("bore", "Hole in the base, into which the spigot goes?", "", path="base.bore", part=FAMILY),
)


def default_of(question: Question, values: Mapping[str, str | float]) -> str:
    """Return the answer taken when none is given: fasteners by the base, welded on aluminium, a hole that leaves the
    spigot a wall round the bore of the usual bearing."""
    inch = units_of(values) == "in"
    if question.key == "fastener":
        return FASTENERS[str(values["base"])]
    if question.key == "construction" and values.get("base") == "aluminium":
        return "welded"
    if question.key == "bore":
        d = float(values["shaft"])
        example = tables.bearing_example(d, tolerance_mm=math.inf)
        assert example is not None
        step = quantity.INCH_MM / 8 if inch else 1.0
        mm = example.outside_mm * d / example.shaft_mm + max(_SPIGOT_WALLS * d, _LEAST_WALLS_MM)
        mm = math.ceil(mm / step) * step
        return f"{mm / quantity.INCH_MM:g} in" if inch else f"{mm:g} mm"
    return question.inch if inch and question.inch else question.default


def _known(values: Mapping[str, str | float]) -> dict[str, Any]:
    """What the answers say, as a parameter file has it."""
    inch = units_of(values) == "in"
    shaft = float(values["shaft"])
    timber = values["base"] == "timber"
    step = quantity.INCH_MM / 8 if inch else 1.0
    return {
        **whose(FAMILY, values),
        "construction": values["construction"],
        "materials": {"base": BASES[str(values["base"])]},
        "shaft": {"diameter": exact(values, "shaft")},
        "bolts": {"fastener": values["fastener"]},
        "base": {"bore": exact(values, "bore"), **({"density": LIGHT_TIMBER} if timber else {})},
        "spigot": {"use": "base_bore", "length": exact_mm(math.ceil(shaft / step) * step, inch=inch)},
    }


def _notes(values: Mapping[str, str | float]) -> dict[str, str]:
    """Comments to the groups of the file."""
    such = SUCH_AS[units_of(values)]
    return {
        "shaft": on_shaft(values),
        "bearing": IN_HAND,
        "barrel": "The bearing sits flush with the aft face; the slots ahead of it let water in.",
        "flange": "Its bedding face is the forward face of the barrel, square to the shaft.",
        "bolts": "The fasteners stand on a circle about the shaft line.",
        "base": f"Measure the hole. thickness: such as {such['base']}, in the way of the fasteners, when it is known"
        + (
            "\n# Density of the timber, oven dry: oak 660, iroko 600, larch 520, Douglas fir 480"
            * (values["base"] == "timber")
        ),
        "spigot": "Goes into the hole in the base.",
    }


FLANGED = Part(
    family=FAMILY,
    questions=QUESTIONS,
    default=default_of,
    known=_known,
    usual=by_shaft,
    notes=_notes,
    group="flange",
    tail=boat_lines,
)
