"""Metals that touch in sea water: how far apart they are, which wastes, notes on the alloys.

Whether strut and hull, strut and shell, strut and bolts may touch is checked with the geometry; here are the figures.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models import wetted
from strutwright.models.arrays import Num
from strutwright.models.bolt_heads import HEADS
from strutwright.models.checks.check import Check, of_groups
from strutwright.models.checks.outcome import Outcome, at_most, finding_of, inform, information
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import corrosion as rules
from strutwright.models.inputs import Inputs
from strutwright.models.metals import Metal
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.words import Amount, Words, say

GROUP = "corrosion"

CHECKS = of_groups(GROUP)
_PAIRS = {
    "couple_strut_shaft": "shaft",
    "couple_strut_bolts": "bolt",
    "couple_strut_hull": "hull",
    "couple_strut_shell": "shell",
}
"""The part that the strut touches, by code."""


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the differences of potential from the strut, mV, and the area ratio of the bolts, by code; broadcasts.

    >>> apart = numbers(engineering_inputs("harbour-launch"))["couple_strut_shaft"]
    >>> float(apart.demand)  # -0.05 V and -0.18 V, in mV
    130.0
    """
    out: dict[str, Outcome] = {}
    for code, name in _PAIRS.items():
        apart = 1000.0 * np.abs(inputs.strut.potential_v - getattr(inputs, name).potential_v)
        # The series has two decimals of a volt: what is 200 mV exactly must not trip on rounding.
        judged = code == "couple_strut_shaft" and not inputs.anodes
        out[code] = at_most(np.round(apart, 6), inputs.limit("galvanic")) if judged else information(apart)
    out["bolt_attack"] = information(rules.attack_factor(_heads_mm2(inputs), wetted.strut_mm2(inputs)))
    return out


def _heads_mm2(inputs: Inputs) -> Num:
    count = sum(p.bolt_count for p in inputs.palms)
    wide = inputs.bolt_head_mm if HEADS[inputs.bolt_kind].recess else 2.0 * inputs.bolt_mm
    return count * math.pi / 4.0 * wide**2


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of corrosion: couples, alloy notes.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> found = {f.code: f for f in findings(shipped("harbour-launch"), inputs, numbers(inputs))}
    >>> found["couple_strut_shaft"].measure("mm")
    '130 mV against at most 200 mV'
    """
    out = []
    checks = {c.code: c.under(inputs.limits) for c in CHECKS}
    for code, name in _PAIRS.items():
        number, other = checks[code], getattr(inputs, name)
        if other.family in ("composite", "timber", "rubber"):
            continue  # no metal, no couple
        if other.name == inputs.strut.name:
            continue
        advice = ""
        if name == "shaft" and inputs.strut.family == "aluminium":
            advice = (
                "keep the shaft electrically apart from strut and hull (non-metal bearing shell, insulated "
                "coupling) with an anode of its own, and anodes on the strut"
            )
        if name == "shaft" and inputs.anodes:
            number, advice = replace(number, limit_is="information"), "look at the anodes often, as they do the work"
        number = _resting(number, inputs.strut.name, other.name)
        out.append(
            finding_of(
                number,
                numbers_[number.code],
                inputs,
                advice=advice,
                what=say(
                    "{what}, {strut} and {other}{who}",
                    what=number.meaning,
                    strut=inputs.strut.name,
                    other=other.name,
                    who=_who(inputs.strut, other, inputs.limit("galvanic")),
                ),
            )
        )
    if (
        inputs.palms and not inputs.bolt.potential_v >= inputs.strut.potential_v
    ):  # also where the series does not hold one of them
        out.append(
            finding_of(
                checks["bolt_attack"],
                numbers_["bolt_attack"],
                inputs,
                advice="choose bolts at least as noble as the strut; small ones waste fast in a large, nobler strut",
            )
        )
    return [*out, *_notes(strut, inputs)]


def _resting(number: Check, *names: str) -> Check:
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


def _who(first: Metal, second: Metal, protect_mv: float) -> Words:
    if math.isnan(first.potential_v) or math.isnan(second.potential_v):
        return ""
    apart = rules.couple(
        *(rules.Potential(*(tables.material(m.name).potential_v_sce or (0.0, 0.0))) for m in (first, second))
    )
    if apart.difference_mv < 1.0:
        return say(" (same potential, up to {apart} apart)", apart=Amount(apart.worst_mv, "mV"))
    words = {
        "compatible": "compatible",
        "doubtful": "doubtful with both at the ends of their ranges",
        "protect": "fit anodes",
    }
    wastes = first.name if apart.anode_is_first else second.name
    return say(
        " ({level}; {wastes} corrodes, up to {apart} apart)",
        level=words[apart.level(protect_mv)],
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
                    inform(
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
