"""Metals that touch in sea water: how far apart they are, which wastes, notes on the alloys, an anode to start from.

Whether strut and hull, strut and shell, strut and bolts may touch is checked with the geometry; here are the figures.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.checks.demand import Demand, Number, at_most, finding_of, hint, information
from strutwright.models.checks.inputs import Inputs, Metal
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import corrosion as rules
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.words import Amount, Words, say

GROUP = "corrosion"
_SERIES = "galvanic series in flowing sea water; 200 mV: yacht-design journal table"
_P = Standing.PUBLISHED

SHAFT = Number(
    "couple_strut_shaft",
    GROUP,
    "strut and shaft",
    "mV",
    "at most",
    _SERIES,
    _P,
    "materials.shaft",
    "bond strut and shaft to one anode (brush on the shaft) and set materials.anodes, "
    "or choose materials nearer to each other",
    warn=True,
)
BOLTS = Number("couple_strut_bolts", GROUP, "strut and palm bolts", "mV", "information", _SERIES, _P, "materials.bolts")
HULL = Number("couple_strut_hull", GROUP, "strut and hull", "mV", "information", _SERIES, _P, "materials.hull")
SHELL = Number(
    "couple_strut_shell", GROUP, "strut and bearing shell", "mV", "information", _SERIES, _P, "bearing.shell_material"
)
AREA = Number(
    "bolt_attack",
    GROUP,
    "how many times area alone hastens the wasting of bolts that are the anode",
    "",
    "information",
    "catchment-area rule, 1 + cathode / anode",
    Standing.LOW,
    "materials.bolts",
)
NUMBERS = (SHAFT, BOLTS, HULL, SHELL, AREA)
_PAIRS = ((SHAFT, "shaft"), (BOLTS, "bolt"), (HULL, "hull"), (SHELL, "shell"))


def numbers(inputs: Inputs) -> dict[str, Demand]:
    """Return the differences of potential from the strut, mV, and the area ratio of the bolts, by code; broadcasts."""
    out: dict[str, Demand] = {}
    for number, name in _PAIRS:
        apart = 1000.0 * np.abs(inputs.strut.potential_v - getattr(inputs, name).potential_v)
        # The series has two decimals of a volt: what is 200 mV exactly must not trip on rounding.
        out[number.code] = (
            at_most(np.round(apart, 6), rules.PROTECT_MV)
            if number is SHAFT and not inputs.anodes
            else information(apart)
        )
    out[AREA.code] = information(rules.attack_factor(_heads_mm2(inputs), wetted_mm2(inputs)))
    return out


def wetted_mm2(inputs: Inputs) -> Num:
    """Return the wetted area of the strut, mm2: barrel outside, arms, water faces of the palms; broadcasts."""
    area = math.pi * inputs.barrel_outside_mm * inputs.barrel_length_mm
    for arm in inputs.arms:
        chord = (arm.chord_barrel_mm + arm.chord_palm_mm) / 2.0
        area = area + 2.05 * chord * (arm.water_mm - arm.start_mm)
    for palm in inputs.palms:
        area = area + palm.area_mm2
    if inputs.skeg is not None:
        s = inputs.skeg
        root = s.root_forward_x_mm - s.root_aft_x_mm
        area = area + (root + s.tip_chord_mm) * (s.depth_mm - inputs.barrel_outside_mm / 2.0)
    return area


def _heads_mm2(inputs: Inputs) -> Num:
    count = sum(p.bolt_count for p in inputs.palms)
    wide = inputs.bolt_head_mm if inputs.bolt_kind != "plain" else 2.0 * inputs.bolt_mm
    return count * math.pi / 4.0 * wide**2


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Demand]) -> list[Finding]:
    """Return the findings of corrosion: couples, alloy notes, anode."""
    out = []
    for number, name in _PAIRS:
        other: Metal = getattr(inputs, name)
        if other.family in ("composite", "timber", "rubber"):
            continue  # no metal, no couple
        if other.name == inputs.strut.name:
            continue
        advice = ""
        if number is SHAFT and inputs.strut.family == "aluminium":
            advice = (
                "keep the shaft electrically apart from strut and hull (non-metal bearing shell, insulated "
                "coupling) with an anode of its own, and anodes on the strut"
            )
        if number is SHAFT and inputs.anodes:
            number, advice = replace(number, limit_is="information"), "the anodes do the work: look at them often"
        number = _resting(number, inputs.strut.name, other.name)
        out.append(
            finding_of(
                number,
                numbers_[number.code],
                inputs,
                advice=advice,
                what=say(
                    "{what}, {strut} and {other}{who}",
                    what=number.what,
                    strut=inputs.strut.name,
                    other=other.name,
                    who=_who(inputs.strut, other),
                ),
            )
        )
    if inputs.bolt.potential_v < inputs.strut.potential_v:
        out.append(
            finding_of(
                AREA,
                numbers_[AREA.code],
                inputs,
                advice="a small anode in a large cathode: bolts at least as noble as the strut are wanted",
            )
        )
    return [*out, *_notes(strut, inputs), _anode(inputs)]


def _resting(number: Number, *names: str) -> Number:
    """Return the number with the lesser standing of a metal that the series does not hold itself."""
    guessed = [n for n in names if tables.material(n).standing("potential_v_sce") != "published"]
    if not guessed:
        return number
    return replace(
        number,
        standing=Standing.MEMORY,
        source=say(
            "{source}; {guessed} taken as passive stainless steel, from memory",
            source=number.source,
            guessed=" and ".join(guessed),
        ),
    )


def _who(first: Metal, second: Metal) -> Words:
    if math.isnan(first.potential_v) or math.isnan(second.potential_v):
        return ""
    apart = rules.couple(
        *(rules.Potential(*(tables.material(m.name).potential_v_sce or (0.0, 0.0))) for m in (first, second))
    )
    if apart.difference_mv < 1.0:
        return say(": of one potential, up to {apart} apart", apart=Amount(apart.worst_mv, "mV"))
    words = {"compatible": "compatible", "doubtful": "doubtful at the far ends of their ranges", "protect": "protect"}
    wastes = first.name if apart.anode_is_first else second.name
    return say(
        ": {level}; {wastes} is the one that wastes, up to {apart} apart",
        level=words[apart.level],
        wastes=wastes,
        apart=Amount(apart.worst_mv, "mV"),
    )


def _notes(strut: Strut, inputs: Inputs) -> list[Finding]:
    out: list[Finding] = []
    told: set[str] = set()
    places = [
        ("strut", inputs.strut, "materials.strut"),
        ("shaft", inputs.shaft, "materials.shaft"),
        ("bolts", inputs.bolt, "materials.bolts"),
        ("bearing shell", inputs.shell, "bearing.shell_material"),
    ]
    for name, m, parameter in places:
        try:
            group = tables.material(m.name).galvanic_group or ""
        except tables.NotInTable:
            continue
        welded = name == "strut" and strut.construction == "welded"
        low_carbon = "L" in m.name.upper() or m.name.upper().startswith("CF3")
        for note in rules.alloy_notes(m.family, group, welded=welded, low_carbon=low_carbon):
            if note not in told:
                told.add(note)
                out.append(
                    hint(
                        "alloy_note",
                        GROUP,
                        f"{name} of {m.name}",
                        note,
                        parameter,
                        source="general knowledge, any corrosion text",
                        standing=Standing.PRACTICE,
                    )
                )
    return out


def _anode(inputs: Inputs) -> Finding:
    shaft = math.pi * inputs.shaft_mm * (inputs.overhang_mm if not math.isnan(inputs.overhang_mm) else 0.0)
    propeller = 0.0 if math.isnan(inputs.propeller_mm) else 2 * 0.6 * math.pi / 4 * inputs.propeller_mm**2
    mass = rules.zinc_a_year_kg(float(wetted_mm2(inputs)) + shaft + propeller)
    return hint(
        "anode",
        GROUP,
        f"anode for a year of bare strut, shaft end and propeller in sea water, {rules.ANODE_METAL}",
        "paint takes off most of it; the anode maker's figures decide. On an aluminium hull no magnesium",
        "materials.strut",
        actual=float(mass),
        unit="kg",
        source="form of DNV-RP-B401, 100 mA/m2; values from memory",
        standing=Standing.LOW,
    )
