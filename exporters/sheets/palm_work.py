"""What is done to a palm when it is drilled, in order, and what is in the way of drill and bolts."""

from __future__ import annotations

import numpy as np

from strutwright.exporters.sheets.context import SheetContext
from strutwright.models.geometry import bodies, footprints
from strutwright.models.geometry.bodies import strut_parts
from strutwright.models.shop.pressing import machining_stock_mm
from strutwright.models.spec import Arm, Palm, Strut
from strutwright.params import tables
from strutwright.params.limits import Limits


def landing(strut: Strut, palm: Palm) -> list[Arm]:
    """Return the arms that stand on a palm."""
    return [a for a in strut.arms if strut.palms[a.palm_index] is palm]


def chuck_fouls(strut: Strut, palm: Palm, chuck_mm: float, limits: Limits) -> list[int]:
    """Return the numbers of the holes at which a drill chuck of that diameter would touch an arm."""
    uv = np.array([[h.u_mm, h.v_mm] for h in palm.holes])
    free, height = np.full(len(uv), np.inf), limits["driver_height"].value
    for arm in landing(strut, palm):
        free = np.minimum(free, footprints.arm_feet(strut, arm, height).beside_arm_mm(uv))
    return [h.number for h, gap in zip(palm.holes, free.tolist(), strict=True) if gap < chuck_mm / 2]


def drilling_steps(ctx: SheetContext, palm: Palm) -> tuple[list[str], str]:
    """Return what is done to the palm, in order, and what goes wrong in another order."""
    strut, bolt, f = ctx.strut, palm.bolt, ctx.figures
    done = "machine the hull face" if palm.curve is None else "machine the hull face to the hull's curve"
    warned = "Holes drilled before the hull face is machined do not stand square to it."
    if strut.construction == "welded":
        if machining_stock_mm(strut, palm, ctx.limits, inch=ctx.inch) > 0.0:
            done = f"weld, {done} to the palm's thickness"
        else:
            done, warned = "weld, flatten as the press card says", "Holes drilled before pressing go oval."
    packed = "" if palm.curve is None else " and packing, until the water face is level"
    recess = f"{bolt.head.recess} from the WATER FACE" if bolt.head.recess else "spot-face the seats if needed"
    if bolt.head.conical:
        turned, below = f.angle(bolt.head_angle_deg), ctx.with_unit(0.5)
        recess = f"{bolt.head.recess} {turned} from the WATER FACE, try with a bolt: flush or up to {below} below"
    steps = [
        done,
        f"bed the hull face on parallels{packed}, water face up, clamp",
        "mark out or set the jig",
        "centre-drill",
        "pilot",
        f"drill Ø{f.length(bolt.hole_mm)}",
        recess,
        "deburr both sides",
    ]
    return steps, warned


def obstacles(ctx: SheetContext, palm: Palm) -> list[str]:
    """Where the arm is in the way of a drill chuck, or of bolts put in from the water side."""
    strut, bolt, notes = ctx.strut, palm.bolt, []
    try:
        chuck = tables.tool_outside_mm("drill chuck", min(bolt.hole_mm, 16.0))
        fouls = chuck_fouls(strut, palm, chuck, ctx.limits)
    except tables.NotInTable:
        chuck, fouls = 0.0, []
    if fouls:
        which = "all holes" if len(fouls) == len(palm.holes) else bodies.numbered(fouls)
        touches = f"A chuck of Ø{ctx.length(chuck)} touches the arm at {which}"
        notes.append(f"{touches}: drill there from the hull face, or with a long drill.")
    if not bolt.head.recess and strut.hull.thickness_mm is not None:
        room = ctx.limits["driver_to_arm"].value
        inside = bodies.entered_from_inside(strut, palm, strut_parts(strut), room)
        if inside:
            where = f"The arm is in the way of the bolts at {bodies.numbered(inside)} on the water side"
            notes.append(f"{where}: put them in from inside the boat, with the nuts on the palm's water face.")
    return notes
