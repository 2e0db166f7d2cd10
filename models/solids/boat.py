"""Shaft, blades, rudder stock and tools held against the finished solids: what the solid says counts.

The bodies are those of `geometry.bodies`; the distances are the kernel's. `checks.clearances` has worked the same
distances out by formula: where the solid comes nearer than that by more than `AGREE_MM`, the finding here tells it and
is judged by the same limits.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from strutwright.models.checks.check import Check
from strutwright.models.checks.geometry import clearances, screws
from strutwright.models.checks.geometry import palm as palm_checks
from strutwright.models.checks.results import Results
from strutwright.models.finding import Finding, not_checked
from strutwright.models.geometry import bodies
from strutwright.models.geometry.clearances import Round
from strutwright.models.solids import kernel
from strutwright.models.solids.job import Part
from strutwright.models.solids.kernel import Solid
from strutwright.models.spec import Strut
from strutwright.params.limits import Limits
from strutwright.params.words import Amount, mm, say

AGREE_MM = 0.3
"""How much nearer a solid may come than the formula says: fillets are splines there and slices here."""
SOLID = Check(
    code="clearance_on_solid", group="build", meaning="the solids leave the boat the room that was worked out"
)
_THIN_MM = 0.01
_TOUCH_MM = 1e-6
_BOX_MM = 1.0
"""How much larger the kernel's box round a face may be than the face."""
_PARTS = ("strut", "barrel", "cap", "arm", "palm", "skeg", "foot", "heel boss", "weld")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """What stands in the way of the solids: the check whose limits it has, its bodies, and how far it is to be.

    worked_mm: the distance by formula, or how far the bodies are kept off what they stand on where that is less.
    """

    check: Check
    name: str
    rods: Sequence[Round]
    parameter: str
    worked_mm: float
    off_mm: float = 0.0
    against: tuple[str, ...] = _PARTS


def boat_findings(strut: Strut, parts: Sequence[Part], limits: Limits | None = None) -> list[Finding]:
    """Return what shaft, blades, rudder stock and tools find of the solids; nothing of a housing. Never raises
    on built parts.

    >>> block = kernel.cylinder(np.array([60.0, 0.0, 0.0]), np.eye(3)[2], 10.0, 10.0)  # on the shaft
    >>> found = boat_findings(shipped("canal-tender"), [Part("block", "palm", block, (0.0, 0.0, 0.0), "", 3142.0)])
    >>> [f.code for f in found if f.fails]
    ['shaft_to_strut']
    """
    if strut.flange is not None or strut.let_in is not None:
        return []  # its members are round the shaft or beside it by the very formulas of their checks
    out = Results.of(strut, limits)
    for room in _rooms(out):
        way = clearances.way_of(room.check)
        aim = float(out.value(way.aim, way.per(strut)))
        made, why_not = kernel.attempt(partial(_nearest, strut, parts, room, aim))
        if made is None:
            what = f"{room.name} beside the solids"
            out.findings.append(not_checked(SOLID.code, what, why_not, parameter=room.parameter, group=SOLID.group))
        else:
            _tell(out, room, *made)
    return out.findings


def _rooms(out: Results) -> list[_Room]:
    strut, simple = out.strut, bodies.strut_parts(out.strut)
    formula = Results(out.struts, out.limits)
    clearances.check(formula)
    palm_checks.check(formula)

    def worked(*checks: Check) -> float:
        return min((f.actual for f in formula.findings if f.code in {c.code for c in checks}), default=math.inf)

    rooms = _along_the_shaft(strut, simple, worked(clearances.SHAFT), worked(clearances.BLADES))
    if strut.skeg is not None and strut.skeg.heel is not None:
        off = 2 * out.value("stock_to_strut")
        rooms.append(
            _Room(
                check=clearances.STOCK,
                name="rudder stock",
                rods=bodies.stock_bodies(strut, strut.skeg.heel),
                parameter="skeg.heel.behind_barrel",
                worked_mm=min(worked(clearances.STOCK), off),
                off_mm=off,
                against=("strut", "barrel", "arm", "palm", "skeg", "weld"),
            )
        )
    off = 2 * out.value("driver_to_arm")
    for check, name, rods, parameter, checks in (
        (clearances.ENTRY, "bolts on their way in", _ways_in(strut), "bolts.pattern", (clearances.ENTRY,)),
        (clearances.TOOL, "tools on the bolts", _tools(out), "bolts.pattern", (clearances.TOOL, palm_checks.DRIVER)),
        (clearances.KEY, "keys on the set screws", _keys(out), "set_screws.positions", (clearances.KEY,)),
    ):
        if rods:
            near = min(worked(*checks), off)
            rooms.append(_Room(check=check, name=name, rods=rods, parameter=parameter, worked_mm=near, off_mm=off))
    return rooms


def _along_the_shaft(strut: Strut, simple: Sequence[bodies.Part], shaft_mm: float, blades_mm: float) -> list[_Room]:
    """The shaft and the room swept by the blades, which are shaft_mm and blades_mm from the strut by formula."""
    cast = strut.construction == "cast"
    reach = max(float(b.box[1][0]) for part in simple for b in part.bodies) + 1.0
    # A cast body is one: its arms' roots on the barrel are then what is nearest to the shaft.
    ends = (strut.barrel.outside_mm, strut.barrel.aft_end.end_diameter_mm, strut.barrel.forward_end.end_diameter_mm)
    beside = (min(ends) - strut.shaft.diameter_mm) / 2 if cast else math.inf
    rooms = [
        _Room(
            check=clearances.SHAFT,
            name="shaft",
            rods=bodies.shaft_bodies(strut, reach),
            parameter="palm.offset.forward",
            worked_mm=min(shaft_mm, beside),
            against=("strut", "palm", "foot", "heel boss"),
        )
    ]
    swept = bodies.blades_body(strut, strut.propeller)
    if swept is None:
        return rooms
    if cast:  # one body: what is nearest may be fin, foot or boss, which have limits of their own beside these
        blades_mm = min(blades_mm, bodies.nearest([swept], bodies.of_kind(simple, "skeg", "foot", "heel boss"))[0])
    rooms.append(
        _Room(
            check=clearances.BLADES,
            name="room swept by the blades",
            rods=[swept],
            parameter="propeller.hub_gap",
            worked_mm=blades_mm,
            against=("strut", "arm", "palm", "weld"),
        )
    )
    return rooms


def _ways_in(strut: Strut) -> list[Round]:
    if strut.hull.thickness_mm is None:
        return []
    return [bodies.bolt_way(strut, p, hole) for p in strut.palms for hole in p.holes if p.bolt.head.recess]


def _tools(out: Results) -> list[Round]:
    high = out.value("driver_height")
    return [bodies.bolt_tool(palm, hole, high) for palm in out.strut.palms for hole in palm.holes]


def _keys(out: Results) -> list[Round]:
    sizes = [(s, screws.key_mm(s)) for s in out.strut.set_screws]
    return [bodies.key_body(out.strut, s, size, out.value("screw_key_room", size)) for s, size in sizes]


def _nearest(strut: Strut, parts: Sequence[Part], room: _Room, aim_mm: float) -> tuple[float, str, float]:
    """Return the least distance (mm), the part that has it, and the volume (mm3) of it that is cut.

    What cannot be nearer than is of interest is not measured; the distance then is inf.
    """
    off_barrel = room.check in (clearances.SHAFT, clearances.BLADES)
    pairs = []
    for n, part in enumerate(parts):
        if part.kind not in room.against or (part.kind == "weld" and off_barrel and "skeg" in part.name):
            continue
        own = (
            _off_barrel(part.shape, strut.barrel.outside_mm / 2) if off_barrel and part.kind == "strut" else part.shape
        )
        box = own.BoundingBox()
        low, high = np.array([box.xmin, box.ymin, box.zmin]), np.array([box.xmax, box.ymax, box.zmax])
        for m, rod in enumerate(room.rods):
            apart = np.maximum(np.maximum(low - rod.box[1], rod.box[0] - high), 0.0)
            pairs.append((float(np.linalg.norm(apart)), n, m, own))
    best, name, cut = math.inf, "", 0.0
    for bound, n, m, own in sorted(pairs, key=lambda pair: pair[:3]):
        if bound > min(best, max(room.worked_mm, aim_mm) + AGREE_MM):
            break
        solid = _solid(room.rods[m], room.off_mm)
        gap = _distance_mm(solid, own)
        if gap < best:
            best, name = gap, parts[n].name
        if gap < _TOUCH_MM:
            cut = max(cut, sum(kernel.volume_mm3(s) for s in kernel.solids(kernel.common(parts[n].shape, solid))))
    return best, name, cut


def _distance_mm(first: Any, second: Any) -> float:
    """Return the kernel's least distance (mm) between two shapes, 0 when they touch or share room."""
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape

    made = BRepExtrema_DistShapeShape(first.wrapped, second.wrapped)
    if not made.IsDone():
        raise kernel.KernelError("the kernel found no distance")
    return float(made.Value())


def _solid(rod: Round, off_mm: float) -> Solid:
    start, end = float(rod.along.min()), float(rod.along.max())
    off = min(off_mm, 0.5 * (end - start))
    return kernel.cylinder(
        rod.origin + (start + off) * rod.axis, rod.axis, float(rod.radii.max()), max(end - start - off, _THIN_MM)
    )


def _off_barrel(body: Any, radius_mm: float) -> Any:
    """Return the faces of a cast body that are not those of its barrel and bore."""
    import cadquery as cq

    kept = []
    for face in body.Faces():
        box = face.BoundingBox()
        if max(abs(box.ymin), abs(box.ymax), abs(box.zmin), abs(box.zmax)) > radius_mm + _BOX_MM:
            kept.append(face)
    return cq.Compound.makeCompound(kept) if kept else body


def _tell(out: Results, room: _Room, gap_mm: float, part: str, cut_mm3: float) -> None:
    worked, what = room.worked_mm, f"{room.name} to the {part}"
    if gap_mm >= worked - AGREE_MM and gap_mm >= _TOUCH_MM:
        words = "{what}: {gap} measured on the solid, {worked} by formula"
        told = say(words, what=what, gap=mm(gap_mm), worked=mm(worked))
        if gap_mm > worked + AGREE_MM:
            words = "{name}: measured on the solid, nothing is nearer than the {worked} found by formula"
            told = say(words, name=room.name, worked=mm(worked))
        out.holds(SOLID, True, what=told, parameter=room.parameter, advice="")
        return
    if cut_mm3 > 0:
        words = "{what}, measured on the solid, where it cuts {cut} out of it"
        told = say(words, what=what, cut=Amount(cut_mm3 / 1000, "cm3"))
        gap_mm = min(worked, 0.0) - _TOUCH_MM
    else:
        words = "{what}, measured on the solid, nearer than the {worked} found by formula"
        told = say(words, what=what, worked=mm(worked))
    advice = "leave {need} as measured on the solid, which counts, not the distance by formula"
    clearances.clear(out, room.check, told, gap_mm, parameter=room.parameter, advice=advice)
