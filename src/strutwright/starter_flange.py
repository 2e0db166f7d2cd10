"""A new parameter set of a flanged housing from a few answers: the lightest that its check passes, commented."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from strutwright.models.finding import Finding, Verdict, ranked
from strutwright.models.resolve import resolve
from strutwright.models.sizing.flange_size import FAMILY, size_flanged
from strutwright.models.sizing.known import SizingError
from strutwright.models.sizing.set_text import yaml_text
from strutwright.params import quantity, tables
from strutwright.params.limits import Limits
from strutwright.params.loader import loads
from strutwright.params.problems import ParameterError
from strutwright.params.quantity import FileUnits
from strutwright.params.words import Amount
from strutwright.starter import Asked, DisagreeError, Question, Started, units_of
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
    Question("name", "What is the housing called?", "New housing", part=FAMILY),
    Question("units", "Units of bare numbers?", "mm", ("mm", "in"), part=FAMILY),
    Question(
        "hand",
        "Which side of the boat? (pair: port and starboard)",
        "centre",
        ("port", "starboard", "centre", "pair"),
        "identity.hand",
        part=FAMILY,
    ),
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


ASKED: Asked = (QUESTIONS, default_of)


class _Started(Started):
    """As of a strut; which answers are behind a warning is not told."""

    def told(self, units: FileUnits) -> list[str]:
        """Return the warnings in words."""
        return [_line(f, units) for f in self.warnings]


def _line(finding: Finding, units: FileUnits) -> str:
    return f"{finding.about(units)}: {finding.measure(units)}"


def complete(values: Mapping[str, str | float], limits: Limits | None = None) -> Started:
    """Return a set that fails none of its own checks: the lightest for the propeller and the power that are usual on
    such a shaft, which the file leaves to be said. values: the answers of `ask`. Raises DisagreeError for answers that
    make no housing, or none that passes."""
    from strutwright.job import run_checks

    keys, units = {q.key for q in QUESTIONS[3:]}, units_of(values)
    try:
        best = size_flanged({**_known(values), **_usual(float(values["shaft"]))}, limits).best
        data = best.make.data(best.sizes)
        text = _text(values, {k: v for k, v in data.items() if k not in _ASSUMED})
        found = ranked(run_checks(resolve(loads(text), limits), limits=limits))
    except SizingError as error:
        raise DisagreeError(f"your answers do not go together\n{error}", keys) from None
    except ParameterError as error:
        told = "\n".join(f"{p.path} {p.what}\n    do:      {p.advice}" for p in error.problems)
        raise DisagreeError(f"your answers do not go together\n{told}", keys) from None
    if failing := [f for f in found if f.fails]:
        told = "\n".join(_line(f, units) for f in failing)
        raise DisagreeError(f"no set for these answers passes its own check\n{told}", keys)
    return _Started(text, values, tuple(f for f in found if f.verdict is Verdict.WARN))


_ASSUMED = ("propeller", "duty")


def _said(value: float, unit: str) -> str:
    return Amount(value, unit).read("mm")


def _usual(shaft_mm: float) -> dict[str, Any]:
    """Propeller and power that are usual on a shaft, for which the sizes are found; common practice, no source: as on
    30 mm, torque by the cube of the shaft, speed of the tips alike."""
    k = shaft_mm / 30.0
    return {
        "propeller": {
            "diameter": _said(420 * k, "mm"),
            "blades": 3,
            "mass": _said(9 * k**3, "kg"),
            "hub_length": _said(80 * k, "mm"),
            "hub_gap": _said(15 * k, "mm"),
        },
        "duty": {
            "power": _said(18 * k**2, "kW"),
            "shaft_speed": _said(1100 / k, "rpm"),
            "boat_speed": _said(8.0, "kn"),
        },
    }


def _known(values: Mapping[str, str | float]) -> dict[str, Any]:
    """What the answers say, as a parameter file has it."""
    inch = units_of(values) == "in"

    def exact(mm: float) -> str:
        return f"{mm / quantity.INCH_MM:.6g} in" if inch else f"{mm:.6g} mm"

    shaft, bore = float(values["shaft"]), float(values["bore"])
    timber = values["base"] == "timber"
    step = quantity.INCH_MM / 8 if inch else 1.0
    return {
        "part": FAMILY,
        "identity": {"name": values["name"], "hand": values["hand"]},
        "units": values["units"],
        "construction": values["construction"],
        "materials": {"base": BASES[str(values["base"])]},
        "shaft": {"diameter": exact(shaft)},
        "bolts": {"fastener": values["fastener"]},
        "base": {"bore": exact(bore), **({"density": LIGHT_TIMBER} if timber else {})},
        "spigot": {"use": "base_bore", "length": exact(math.ceil(shaft / step) * step)},
    }


def _text(values: Mapping[str, str | float], data: dict[str, Any]) -> str:
    such = SUCH_AS[units_of(values)]
    notes = {
        "units": "Bare numbers are in these; a quantity may carry its own unit.",
        "shaft": f"Measured with a micrometer, not nominal. bearing_span: such as {such['span']}, to the next bearing\n"
        "# forward, when it is known",
        "bearing": "Take the bearing in hand and give outside_measured (by micrometer: the bore is made to it).",
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
    if not data.get("bearing"):
        del notes["bearing"]
    return f"""# {values["name"]}: a parameter set for strutwright. A line `name: value` says one thing;
# what is left out is derived. `strutwright meaning flange --part {FAMILY}` tells what a name means.
# Sizes of bearing left out come from the example table. Take the bearing in hand and give outside_diameter (nominal),
#   outside_measured, length, shell
{yaml_text(data, notes)}propeller: {{}}   # such as {such["propeller"]}
duty: {{}}   # such as {such["duty"]}
"""
