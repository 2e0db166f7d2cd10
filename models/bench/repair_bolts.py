"""Wasted bolts of a palm: kept on the area that is left, renewed, or the next sizes in holes that are drilled open."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.bolt_heads import HEADS
from strutwright.models.checks.strength import bolts
from strutwright.models.finding import Finding
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import Resolved
from strutwright.models.spec import Bolt, Strut
from strutwright.params import tables
from strutwright.params.bench.repair import WastedBolt
from strutwright.params.limits import Limits
from strutwright.params.words import Words, mm, say

_SIZES = 2
"""Larger sizes that are tried."""


class Larger(NamedTuple):
    """A larger bolt: its size, and what it takes of the palm; None where the tables do not hold its head."""

    size: str
    bolt: Bolt | None


def larger_bolts(found: Resolved) -> list[Larger]:
    """Return the next sizes of the palm's bolt, of the same kind of head and the same series of holes.

    >>> [(b.size, b.bolt.hole_mm) for b in larger_bolts(resolved("harbour-launch"))]  # of M12; ISO 273, medium
    [('M14', 15.5), ('M16', 17.5)]
    """
    now, said = found.strut.palms[0].bolt, found.of_strut.bolts
    rows = tables.table("clearance_holes_metric" if now.size.upper().startswith("M") else "clearance_holes_inch").rows
    above = [t for t in (tables.thread(str(r["size"])) for r in rows) if t.major_mm > now.major_mm + 1e-6]
    made = []
    for thread in sorted(above, key=lambda t: t.major_mm)[:_SIZES]:
        hole = tables.clearance_hole_mm(thread.size, said.hole_fit)
        kind = HEADS[now.kind]
        standard = now.head_standard if kind.standards else None
        if standard is not None and standard not in tables.COUNTERSUNK:  # by its own sizes
            standard = None
        try:
            head = kind.from_table(thread.size, standard, hole, said.sunk_below)
        except tables.NotInTable:
            made.append(Larger(thread.size, None))
            continue
        bolt = Bolt(
            size=thread.size,
            major_mm=thread.major_mm,
            hole_mm=hole,
            kind=now.kind,
            material=now.material,
            **head._asdict(),
        )
        made.append(Larger(thread.size, bolt))
    return made


def left_mm2(wasted: WastedBolt, major_mm: float, stress_mm2: Num) -> float:
    """Return the area (mm2) that is left of a wasted bolt: of a thread the core has lost as much as its crests have.

    >>> round(float(left_mm2(WastedBolt(name="aft", least=10.0, place="shank"), 12.0, 84.3)), 2)
    78.54
    """
    whole = math.sqrt(4.0 * float(stress_mm2) / math.pi)
    least = float(wasted.least)
    core = least if wasted.place == "shank" else whole - max(major_mm - least, 0.0)
    left = min(max(core, 0.0), whole)
    return math.pi / 4.0 * left * left


def on_what_is_left(strut: Strut, worst: WastedBolt, limits: Limits) -> tuple[list[Finding], list[Finding]]:
    """Return the findings about the bolts as drawn, and with all as thin as the thinnest.

    >>> drawn, left = on_what_is_left(shipped("harbour-launch"), WastedBolt(name="aft", least=6.0), standard())
    >>> sum(f.fails for f in left) > sum(f.fails for f in drawn)
    True
    """
    inputs = Inputs.from_strut(strut, limits=limits)
    area = left_mm2(worst, strut.palms[0].bolt.major_mm, inputs.bolt_stress_mm2)
    thin = replace(inputs, bolt_mm=np.minimum(inputs.bolt_mm, worst.least), bolt_stress_mm2=area)
    drawn, left = (list(bolts.findings(strut, own, bolts.numbers(own))) for own in (inputs, thin))
    return drawn, left


def with_bolts(strut: Strut, bolt: Bolt) -> Strut:
    """Return the strut with other bolts in the holes of all its palms.

    >>> strut = shipped("harbour-launch")
    >>> with_bolts(strut, replace(strut.palms[0].bolt, hole_mm=15.0)).palms[0].bolt.hole_mm
    15.0
    """
    return replace(strut, palms=tuple(replace(p, bolt=bolt) for p in strut.palms))


def words_of(larger: Larger) -> Words:
    """Return what is done for a larger bolt.

    >>> words_of(Larger("M27", None))
    'M27: its head is in no table; give its sizes in a set and check that'
    """
    bolt = larger.bolt
    if bolt is None:
        return f"{larger.size}: its head is in no table; give its sizes in a set and check that"
    recess = bolt.head.recess
    more = say("; {recess} to {wide}", recess=recess, wide=mm(round(bolt.head_diameter_mm, 2))) if recess else ""
    template = "{size} in all holes of the palm, drilled open to {hole}, hull and backing too{more}"
    return say(template, hole=mm(bolt.hole_mm), size=bolt.size, more=more)
