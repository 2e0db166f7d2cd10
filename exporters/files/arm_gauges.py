"""Full-size angle gauges for the ends of a welded arm, to cut out and hold into its joints. See `templates`."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strutwright.exporters.drawing.shapes import xy
from strutwright.exporters.drawing.text import text_width
from strutwright.exporters.files.cutfile import CutFile, cut_file
from strutwright.exporters.files.lettering import SMALL_MM, add_centred, finish
from strutwright.models.arrays import Floats
from strutwright.models.shop import arm_ends
from strutwright.models.spec import Arm, Strut
from strutwright.params.quantity import INCH_MM

LEG_MM, LEG_IN = 52.0, 2.0
"""Length of a gauge's two edges."""
CLEAR_MM = 4.0
"""How far a gauge stays clear of the weld's toes."""
BACK_MM = 14.0
"""How broad a gauge is behind the end of an edge."""
APART_MM = 8.0
ROW_MM = 250.0
"""Width of a row of gauges: two rows go on one small sheet, so that no joint of sheets runs through a gauge."""


@dataclass(frozen=True, slots=True)
class Gauge:
    """A gauge: its mark and what it is held to; its angle, degrees; the leg of the weld it is clear of, and the radius
    of a round part that its foot lies on, mm, or infinite."""

    mark: str
    what: str
    angle_deg: float
    leg_mm: float
    round_mm: float = math.inf


def gauges(strut: Strut, arm: Arm) -> list[Gauge]:
    """Return the gauges of an arm's joints: both sides at the barrel and at the palm, and its two edges at the palm.
    Angles are those of the weld sheet and of the bevel table."""
    made: list[Gauge] = []
    for joint in arm_ends.arm_joints(strut, arm):
        at_barrel = joint.end == "barrel"
        leg = arm.barrel_root_mm if at_barrel else arm.palm_root_mm
        met = strut.barrel.outside_mm / 2 if at_barrel else math.inf
        made.append(Gauge(_mark(joint), f"{joint.side} side to the {joint.end}", joint.between_deg, leg, met))
    table = arm_ends.bevel_table(strut, arm)
    for mark, row in (("H-L", table[len(table) // 2]), ("H-T", table[0])):
        made.append(Gauge(mark, f"{row.where} to the palm", row.angle_deg, arm.palm_root_mm))
    return made


def preparations(strut: Strut, arm: Arm) -> list[Gauge]:
    """Return the gauges of an arm's prepared edges; none where no edge is prepared."""
    return [
        Gauge(f"{_mark(j)} PREP", f"edge, {j.side} at the {j.end}", j.prep_deg, 0.0)
        for j in arm_ends.arm_joints(strut, arm)
        if j.groove_deg is not None and j.prep_deg is not None
    ]


def _mark(joint: arm_ends.Joint) -> str:
    return f"{'B' if joint.end == 'barrel' else 'H'}-{joint.side[0].upper()}"


def gauge_outline(gauge: Gauge, long_mm: float) -> Floats:
    """Return the corners (n, 2) of a gauge: its foot along x from the corner, its other edge at the angle; the corner
    is cut off clear of the weld. On a round part the foot is hollow."""
    a = math.radians(gauge.angle_deg)
    way, across = np.array([math.cos(a), math.sin(a)]), np.array([math.sin(a), -math.cos(a)])
    off = gauge.leg_mm + CLEAR_MM if gauge.leg_mm > 0.0 else 0.0
    up = np.array([0.0, 1.0])
    if not math.isfinite(gauge.round_mm):
        foot = np.array([(off, 0.0), (long_mm, 0.0)])
    else:  # the round part's outside falls away from its tangent at the corner
        run = np.linspace(off, min(long_mm, max(0.8 * gauge.round_mm, off + 10.0)), 25)
        turn = 2.0 * np.arcsin(np.minimum(run / 2.0 / gauge.round_mm, 1.0))
        foot = gauge.round_mm * np.column_stack([np.sin(turn), np.cos(turn) - 1.0])
        up = np.array([math.sin(float(turn[-1])), math.cos(float(turn[-1]))])
    top = long_mm * way
    back = [foot[-1] + BACK_MM * up, top + BACK_MM * across]
    return np.array([*foot, *back, top, *([off * way] if off > 0.0 else [])])


def arm_gauges(strut: Strut, arm: Arm) -> list[CutFile]:
    """Return the angle gauges of an arm's ends, full size, and those of its prepared edges; none of a cast strut."""
    if strut.construction != "welded":
        return []
    joints = _gauge_file(
        strut,
        arm,
        "angle gauges",
        gauges(strut, arm),
        [
            "hold a gauge square to the joint, where the arm is thickest, its foot on the part met and its other edge "
            "along the arm; the corner is cut off clear of tacks and weld",
            "B at the barrel, its foot hollow to the outside; H at the palm; P port, S starboard, L leading edge, "
            "T trailing edge",
            "angles are the true ones between the parts, as on the weld sheet; the parts in hand may differ: try the "
            "gauges on them before welding",
        ],
    )
    prepared = preparations(strut, arm)
    if not prepared:
        return [joints]
    facts = [
        "before the arm is fitted: one edge of the gauge along the arm's side, the other along the prepared edge",
        "B at the barrel, H at the palm; P port, S starboard; the parts in hand may differ: try the gauges on them",
    ]
    return [joints, _gauge_file(strut, arm, "preparation gauges", prepared, facts)]


def _gauge_file(strut: Strut, arm: Arm, name: str, made: Sequence[Gauge], facts: Sequence[str]) -> CutFile:
    """Draw gauges in rows, each with its mark and angle in it and what it is for under it."""
    cut = cut_file(strut, f"{arm.name} {name}")
    long = LEG_MM if cut.unit == "mm" else LEG_IN * INCH_MM
    x = y = 0.0
    for gauge in made:
        shape = gauge_outline(gauge, long)
        under = f"{gauge.angle_deg:.1f}° {gauge.what}"
        low, high = shape.min(axis=0), shape.max(axis=0)
        wide = max(float(high[0] - low[0]), text_width(cut.own(under), SMALL_MM))
        if x > 0.0 and x + wide > ROW_MM:
            x, y = 0.0, y - long - BACK_MM - 0.35 * long - APART_MM
        corner = np.array([x - float(low[0]), y])
        cut.add_polyline("CUT_OUTER", shape + corner)
        middle = shape[[0, -5, -4, -3, -2, -1]].mean(axis=0) + corner
        add_centred(cut, gauge.mark, xy(middle), SMALL_MM)
        cut.add_text(under, (x, y + float(low[1]) - 4.5), SMALL_MM)
        x += wide + APART_MM
    finish(cut, strut, f"{arm.name}, {name}", "either", facts)
    return cut
