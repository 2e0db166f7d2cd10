"""The table of load cases that a person reads, and what was assumed for them."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from strutwright.models import shoe_hold
from strutwright.models.arrays import Num
from strutwright.models.checks.outcome import inform, source_of
from strutwright.models.checks.strength import load_cases, shoe
from strutwright.models.families import words_of
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import skeg_loads
from strutwright.models.inputs import PATHS, Inputs, missing
from strutwright.models.spec import Strut
from strutwright.params import schema_boat
from strutwright.params.limits import Limits
from strutwright.params.words import Text

COLUMNS = (
    "case",
    "loads",
    "across the shaft N",
    "along the shaft N",
    "about the shaft N m",
    "at the heel N",
    "share of yield allowed",
    "rests on",
    "source",
)
"""Columns of the table of load cases."""


_COLUMN = {"propeller": "across", "barrel": "across", "side": "across", "skeg_side": "across", "skeg_ground": "axial"}
"""In which column a load of a group stands, where it has none of its own."""


def load_table(
    strut: Strut, loads: schema_boat.Loads | None = None, limits: Limits | None = None
) -> list[dict[str, Any]]:
    """Return the load cases of a strut as plain rows (COLUMNS as keys), the file's own last.

    limits: as shipped when left out. Sizes are those that load the strut, as it vibrates; None where the file does not
    say enough, and then `loads` names what is missing.

    >>> seized = load_table(shipped("harbour-launch"))[5]
    >>> seized["loads"], seized["about the shaft N m"]  # 9549.3 x 40 kW / 1300 rpm
    ('torque', 293.8)
    """
    inputs = Inputs.from_strut(strut, loads, limits=limits)
    if inputs.shoe is not None:
        return _of_shoe(inputs)
    with np.errstate(all="ignore"):
        rows = [_row(case, inputs) for case in (*load_cases.cases(inputs), *load_cases.accidents(inputs))]
    return [
        {name: words_of(v, strut.family) if isinstance(v, (str, Text)) else v for name, v in row.items()}
        for row in rows
    ]


def _of_shoe(inputs: Inputs) -> list[dict[str, Any]]:
    """The loads of a rudder shoe: nothing turns in it."""
    blow, weight = float(shoe.numbers(inputs)["shoe_blow"].demand), float(shoe_hold.weight_n(inputs))
    force = float(skeg_loads.heel_reaction_n(shoe_hold.rudder_n(inputs)))
    lacking = ", ".join(missing(inputs, ("rudder_m2", "boat_speed_kn")))
    hard_over = "half of the rudder's force, and the rudder's weight" + (f" (not given: {lacking})" if lacking else "")
    rows = (
        ("rudder hard over", hard_over, force, weight, "yield_service", Standing.MEMORY, _RUDDER),
        ("blow from below", "what bends the plate for good", None, blow, "yield_accident", Standing.GEOMETRY, _BENDS),
    )
    return [
        dict(zip(COLUMNS, (name, said, None, _told(along), None, _told(at), allowed, rests.value, source), strict=True))
        for name, said, at, along, share, rests, source in rows
        for allowed in (inputs.limit(share),)
    ]


_RUDDER = "IACS UR S10 outside its range; half of the rudder's force at the heel"
_BENDS = "simple plastic theory"


def _told(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else round(value, 1)


def _row(case: load_cases.Case, inputs: Inputs) -> dict[str, Any]:
    known, still = load_cases.amplitudes(inputs), load_cases.still(inputs)
    sums: dict[str, float] = {}
    words = []
    for term in case.terms:
        group, value = load_cases.GROUPS[term.source], float(load_cases.size(term, known))
        across = _COLUMN.get(group, group)
        sums[across] = sums.get(across, 0.0) + value
        where = "" if term.clock_deg is None else f" at clock {term.clock_deg:g}"
        factor = "" if term.factor == 1.0 else f" x {term.factor:g}"
        words.append(f"{term.source.replace('_', ' ')}{factor}{_shaken(term.source, known, still)}{where}")
    lacking = missing(inputs, case.needs)
    said = " + ".join(words) + (f" (not given: {', '.join(lacking)})" if lacking else "")

    def shown(key: str, per: float = 1.0) -> float | None:
        value = sums.get(key, 0.0) / per
        return round(value, 1) if math.isfinite(value) else None

    return dict(
        zip(
            COLUMNS,
            (
                case.name,
                said,
                shown("across"),
                shown("axial"),
                shown("couple", 1000.0),
                shown("heel"),
                case.allowed_of_yield,
                case.standing.value,
                source_of(case.source, inputs, *case.limits),
            ),
            strict=True,
        )
    )


def _shaken(source: str, known: dict[str, Num], still: dict[str, Num]) -> str:
    """Return how many times vibration magnifies a load; "" for one that it does not, or where it is not known."""
    if source not in load_cases.MAGNIFIED or not float(still[source]) > 0.0:
        return ""
    return f" x {float(known[source]) / float(still[source]):.2f} by vibration"


def assumed(inputs: Inputs, group: str) -> list[Finding]:
    """Return as information which sizes were assumed because the file does not say them.

    >>> [told.parameter for told in assumed(engineering_inputs("harbour-launch", hub_gap_mm=float("nan")), "arms")]
    ['propeller.hub_gap']
    """
    taken = [
        (name, words)
        for name, words in (
            ("bearing_span_mm", "20 shaft diameters"),
            ("hub_gap_mm", "one shaft diameter"),
            ("hub_length_mm", "two shaft diameters"),
        )
        if missing(inputs, (name,))
    ]
    return [
        inform(
            "load_assumed",
            group,
            f"{PATHS[name]} not given, {words} taken for the loads of the propeller",
            f"give {PATHS[name]}",
            PATHS[name],
            standing=Standing.PRACTICE,
        )
        for name, words in taken
    ]
