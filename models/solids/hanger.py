"""The split of a hanger's barrel: ears, the holes of cap bolts and dowels, and the two halves."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np

from strutwright.models import frames
from strutwright.models.frames import Axes, Vector
from strutwright.models.solids import barrel as barrels
from strutwright.models.solids import kernel
from strutwright.models.solids.barrel import CLEAR_MM, X
from strutwright.models.solids.cast import cast
from strutwright.models.solids.job import Colour, Cutters, Job, Split, barrel_cutters, cut_away
from strutwright.models.solids.kernel import Solid
from strutwright.models.solids.welded import welded
from strutwright.models.spec import Barrel
from strutwright.models.spec_hanger import Cap


def with_ears(job: Job, whole: Solid) -> Solid:
    """Return the barrel, its bore filled, with the ears of its cap and body.

    >>> from strutwright.models.geometry.members import RootRoom
    >>> strut = shipped("tunnel-hanger")
    >>> job = Job(strut, frames.radial(170.0), RootRoom(0.5, 0.01, 20.0))
    >>> eared = with_ears(job, barrels.envelope(strut.barrel, job.seam))
    >>> round(eared.BoundingBox().ylen, 3)  # twice ear_out
    148.0
    """
    cap = _cap(job)
    made = job.stage("the ears of the split barrel", "cap.ear_thickness", partial(_eared, job.strut.barrel, cap, whole))
    return whole if made is None else made


def _cap(job: Job) -> Cap:
    assert job.strut.hanger is not None
    assert job.strut.hanger.cap is not None
    return job.strut.hanger.cap


def _axes(cap: Cap, x_mm: float = 0.0) -> Axes:
    """u along the shaft, v across the split to one side, n to the cap's middle."""
    n = frames.radial(cap.clock_deg)
    return Axes(x_mm * X, X, np.cross(n, X), n)


def _eared(barrel: Barrel, cap: Cap, whole: Solid) -> Solid:
    middle = barrel.x((cap.ear_from_mm + cap.ear_to_mm) / 2)
    half, thick = (cap.ear_to_mm - cap.ear_from_mm) / 2, cap.ear_thickness_mm
    return kernel.fuse(whole, kernel.box(_axes(cap, middle), half, cap.ear_out_mm, -thick, thick))[0]


def _places(barrel: Barrel, cap: Cap, out_mm: float, stations_mm: tuple[float, ...]) -> list[Vector]:
    """Places in the split, on both sides of the bore."""
    v = _axes(cap).v
    return [barrel.x(s) * X + side * out_mm * v for s in stations_mm for side in (1.0, -1.0)]


def cap_cutters(job: Job) -> list[Cutters]:
    """Return the cutters of the cap's bolts and dowels.

    >>> from strutwright.models.geometry.members import RootRoom
    >>> job = Job(shipped("tunnel-hanger"), frames.radial(170.0), RootRoom(0.5, 0.01, 20.0))
    >>> [(what, len(tools)) for what, _, tools in cap_cutters(job)]  # four bolts, each with two seats; two dowels
    [('the holes of the cap bolts', 12), ('the holes of the dowels', 2)]
    """
    cap = _cap(job)
    barrel = job.strut.barrel
    made: list[Cutters] = []
    for what, parameter, make in (
        ("the holes of the cap bolts", "cap.bolts", _bolt_holes),
        ("the holes of the dowels", "cap.dowels", _dowel_holes),
    ):
        tools = job.stage(what, parameter, partial(make, barrel, cap)) or []
        if tools:
            made.append((what, parameter, tools))
    return made


def _bolt_holes(barrel: Barrel, cap: Cap) -> list[Solid]:
    bolt, n = cap.bolt, _axes(cap).n
    thick, far = cap.ear_thickness_mm, max(barrel.outside_mm / 2, cap.ear_thickness_mm) + CLEAR_MM
    tools = []
    for at in _places(barrel, cap, bolt.out_mm, bolt.stations_mm):
        tools.append(kernel.cylinder(at + thick * n, n, bolt.head_mm / 2, far - thick))
        if bolt.engaged_mm is None:
            tools.append(kernel.cylinder(at - thick * n, -n, bolt.head_mm / 2, far - thick))
            tools.append(kernel.cylinder(at - far * n, n, bolt.hole_mm / 2, 2 * far))
        else:
            deep = cap.gap_mm / 2 + bolt.engaged_mm + 2 * bolt.pitch_mm
            tools.append(kernel.cylinder(at, n, bolt.hole_mm / 2, far))
            tools.append(kernel.cylinder(at - deep * n, n, bolt.tap_drill_mm / 2, deep + 0.5 * bolt.pitch_mm))
    return tools


def _dowel_holes(barrel: Barrel, cap: Cap) -> list[Solid]:
    dowels, n = cap.dowels, _axes(cap).n
    if dowels is None:
        return []
    deep = cap.gap_mm / 2 + dowels.into_mm
    places = _places(barrel, cap, dowels.out_mm, dowels.stations_mm)
    return [kernel.cylinder(at - deep * n, n, dowels.diameter_mm / 2, 2 * deep) for at in places]


def opened(job: Job, body: Solid) -> Solid:
    """Return the body less the room of its cap, and of the shims.

    >>> from strutwright.models.geometry.members import RootRoom
    >>> strut = shipped("tunnel-hanger")
    >>> bar = kernel.cylinder(np.zeros(3), X, 5.0, 9.0)
    >>> left = opened(Job(strut, frames.radial(170.0), RootRoom(0.5, 0.01, 20.0)), bar)
    >>> round(left.BoundingBox().zmin, 3)  # above the split, half of three shims of 0.1 over the shaft line
    0.15
    """
    cap = _cap(job)
    return cut_away(job, body, [("the split of the barrel", "cap.shims", [_room(job.strut.barrel, cap, 1.0)])])


def _room(barrel: Barrel, cap: Cap, side: float) -> Solid:
    """The half of the barrel's room on the cap's side (1) or the body's (-1), with the gap of the shims."""
    axes = _axes(cap)
    wide, high = max(cap.ear_out_mm, barrel.outside_mm / 2) + CLEAR_MM, barrel.outside_mm / 2 + CLEAR_MM
    low, top = (-cap.gap_mm / 2, high) if side > 0 else (-high, cap.gap_mm / 2)
    return kernel.box(axes, barrel.length_mm / 2 + CLEAR_MM, wide, low, top)


def split_barrel(barrel: Barrel, cap: Cap, cutters: Sequence[Solid]) -> list[Solid]:
    """Return the two halves of the barrel alone, body and cap, with their ears, machined.

    cutters: of its bore, slots and screws.

    >>> strut = shipped("tunnel-hanger")
    >>> bore = barrels.bore_cutter(strut.barrel, frames.radial(170.0))
    >>> body, top = split_barrel(strut.barrel, strut.hanger.cap, [bore])
    >>> round(body.BoundingBox().zmin - top.BoundingBox().zmax, 3)  # three shims of 0.1
    0.3
    """
    whole = _eared(barrel, cap, barrels.envelope(barrel, _axes(cap).n))
    tools = [*cutters, *_bolt_holes(barrel, cap), *_dowel_holes(barrel, cap)]
    return [kernel.drilled(whole, [*tools, _room(barrel, cap, side)]) for side in (1.0, -1.0)]


def add_cap(job: Job, colour: Colour) -> None:
    """Add the cap of a split barrel to the job, bored and drilled.

    >>> from strutwright.models.geometry.members import RootRoom
    >>> from strutwright.models.solids.job import BRONZE
    >>> job = Job(shipped("tunnel-hanger"), frames.radial(170.0), RootRoom(0.5, 0.01, 20.0))
    >>> add_cap(job, BRONZE)
    >>> [part.name for part in job.parts], job.findings
    (['cap'], [])
    """
    cap, barrel = _cap(job), job.strut.barrel
    whole = job.stage("the cap", "barrel.length", partial(barrels.envelope, barrel, job.seam))
    if whole is None:
        return
    half = cut_away(job, with_ears(job, whole), [("the split of the cap", "cap.shims", [_room(barrel, cap, -1.0)])])
    done = cut_away(job, half, [*barrel_cutters(job), *cap_cutters(job)])
    job.add("cap", "cap", done, colour, job.strut.material, "cap.ear_thickness")


SPLIT = Split(eared=with_ears, opened=opened, cutters=cap_cutters, other=add_cap)
"""A barrel in body and cap."""


def cast_split(job: Job) -> None:
    """Add the two bodies of a cast hanger with a split barrel to the job.

    >>> from strutwright.models.geometry.members import root_room
    >>> job = Job(shipped("tunnel-hanger"), frames.radial(170.0), root_room(standard()))
    >>> cast_split(job)
    >>> [part.name for part in job.parts]
    ['hanger', 'cap']
    """
    cast(job, SPLIT)


def welded_split(job: Job) -> None:
    """Add the bodies of a welded hanger with a split barrel to the job.

    >>> from strutwright.models.geometry.members import root_room
    >>> bare = shipped("tunnel-hanger", arms=(), palms=())
    >>> job = Job(bare, frames.radial(170.0), root_room(standard()))
    >>> welded_split(job)
    >>> [part.name for part in job.parts]
    ['barrel', 'cap']
    """
    welded(job, SPLIT)
