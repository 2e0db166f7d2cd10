"""Weights: the strut, each part of it, its bearings and its stock. Nothing here passes or fails."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from strutwright.models import weights
from strutwright.models.checks.check import of_groups
from strutwright.models.checks.outcome import Outcome, finding_of, inform, information
from strutwright.models.finding import Finding
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.params.words import Words, mm, say

GROUP = "weight"
CHECKS = of_groups(GROUP)


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return weight, centre and stock by code; broadcasts.

    >>> round(float(numbers(engineering_inputs("canal-tender"))["strut_stock"].demand), 2)  # 390 800 mm3 of blanks
    3.13
    """
    whole = weights.whole(weights.parts(inputs))
    return {
        "strut_weight": information(whole.mass_kg),
        "strut_centre_forward": information(whole.centre_mm[0]),
        "strut_centre_up": information(whole.centre_mm[2]),
        "strut_stock": information(weights.stock_kg(inputs)),
    }


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of weight: the whole, each part, and the stock.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> found = findings(shipped("harbour-launch"), inputs, numbers(inputs))
    >>> [f.measure("mm") for f in found if f.code == "part_weight"]  # the last: (24 437 x 14 - 8 x 3484) x 7.64e-6
    ['1.711 kg', '3.785 kg', '2.4 kg']
    """
    raw: Words = "weight of the stock (tube and plain blanks)"
    if strut.construction == "turned":
        raw = say("weight of the stock, hollow bar with {2 mm} to turn off everywhere")
    if strut.construction == "cast":
        raw = "weight of the casting with its machining stock, before draft and tolerance"
    out = [finding_of(c, numbers_[c.code], inputs, what=raw if c.code == "strut_stock" else "") for c in CHECKS]
    for part in weights.parts(inputs):
        x, y, z = (float(c) for c in part.centre_mm)
        out.append(
            inform(
                "part_weight",
                GROUP,
                say(
                    "weight of the {part}, its centre {forward} forward, {port} to port, {up} up from the shaft line "
                    "at mid-barrel",
                    part=part.name,
                    forward=mm(x),
                    port=mm(y),
                    up=mm(z),
                ),
                "",
                "materials.strut",
                actual=float(part.mass_kg),
                unit="kg",
                source="by formula",
            )
        )
    each = [
        replace(Inputs.from_strut(strut, bearing=k), bearing_total_mm=b.length_mm) for k, b in enumerate(strut.bearings)
    ]
    out.append(
        inform(
            "bearing_weight",
            GROUP,
            "weight of the bearing" if len(each) == 1 else "weight of both bearings",
            "",
            "bearing.shell_material",
            actual=float(sum(weights.bearing_kg(e) for e in each)),
            unit="kg",
            source="by formula",
        )
    )
    return out
