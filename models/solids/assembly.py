"""From a resolved strut to its solid bodies: one cast body or the parts of a welded one, and the bearings."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from strutwright.models import frames
from strutwright.models.finding import Finding
from strutwright.models.frames import Vector
from strutwright.models.geometry.members import RootRoom, root_room
from strutwright.models.solids import barrel as barrels
from strutwright.models.solids import bearing as bearings
from strutwright.models.solids import skeg as skegs
from strutwright.models.solids.cast import cast
from strutwright.models.solids.flange import flanged
from strutwright.models.solids.hanger import cast_split, welded_split
from strutwright.models.solids.job import BUSH, RUBBER, SHELL, Job, Part
from strutwright.models.solids.kernel import Solid
from strutwright.models.solids.let_in import let_in
from strutwright.models.solids.watch import LOST_CODES
from strutwright.models.solids.welded import welded
from strutwright.models.spec import Strut
from strutwright.params import limits as limit_table
from strutwright.params.limits import Limits
from strutwright.params.words import mm, say

KERNEL_CODES = {
    "kernel_failed",
    "arm_misses_barrel",
    "palm_misses_arm",
    "skeg_misses_barrel",
    "solid_not_valid",
    "bead_not_made",
}
"""Findings of what the kernel could not make, perhaps only for the place of the barrel's seam."""


@dataclass(frozen=True, slots=True)
class Built:
    """A built strut. name: for the assembly, with the hand. seconds: how long the building took."""

    name: str
    parts: tuple[Part, ...]
    findings: list[Finding]
    seconds: float

    def part(self, name: str) -> Part:
        """Return the part of that name. Raises KeyError naming the parts there are."""
        for p in self.parts:
            if p.name == name:
                return p
        raise KeyError(f"no part {name!r}; there are {', '.join(p.name for p in self.parts)}")

    @property
    def sound(self) -> bool:
        """True when nothing failed in building."""
        return not any(f.fails for f in self.findings)


def build(strut: Strut, limits: Limits | None = None) -> Built:
    """Return the solid bodies of a strut, in the strut frame, and what went wrong in building.

    Never raises on a resolved strut: what cannot be built as asked comes back as a finding of group "build" that names
    the parameter to change. A part that could not be made at all is left out. limits: as shipped when left out.

    >>> bare = build(shipped("canal-tender", arms=(), palms=(), bearings=(), set_screws=()))
    >>> [(p.name, round(p.volume_mm3 / 1000, 1)) for p in bare.parts]  # cm3, pi (2.4^2 - 1.6^2) x 7.4 less the lead-ins
    [('barrel', 74.3)]
    """
    begun = time.perf_counter()
    room = root_room(limit_table.standard() if limits is None else limits)
    job = _made(strut, seams_of(strut)[0], room)
    for seam in seams_of(strut)[1:]:
        if not {f.code for f in job.findings} & KERNEL_CODES or any(f.code in LOST_CODES for f in job.findings):
            break
        again = _made(strut, seam, room)
        if not {f.code for f in again.findings} & KERNEL_CODES:
            job = again
    beside(job)
    name = strut.identity.name
    if strut.identity.hand != "centre":
        name = f"{name}, {strut.identity.hand}"
    return Built(name, tuple(job.parts), job.findings, time.perf_counter() - begun)


def seams_of(strut: Strut) -> list[Vector]:
    """Return where the seams of a strut's barrel may lie, the best place first.

    >>> [seam.round(2).tolist() for seam in seams_of(shipped("canal-tender"))][0]  # 10 degrees from opposite the arm
    [0.0, 0.17, -0.98]
    """
    split = [] if strut.hanger is None or strut.hanger.cap is None else [strut.hanger.cap.clock_deg - 90.0]
    clocks = [a.clock_deg for a in strut.arms] + ([180.0] if strut.skeg else [])
    return barrels.seam_directions(clocks + [clock + turn for clock in split for turn in (0.0, 180.0)])


def _made(strut: Strut, seam: Vector, room: RootRoom) -> Job:
    """Return what is built of arms, palms, barrel and skeg with the barrel's seam in a direction (3,)."""
    job = Job(strut, seam, room)
    for make in makers(strut):
        make(job)
    return job


def makers(strut: Strut) -> tuple[Callable[[Job], None], ...]:
    """Return what builds a part, each after the one before; what is `beside` it comes then.

    >>> [make.__name__ for make in makers(shipped("canal-tender"))]
    ['_sense', 'welded']
    """
    if strut.flange is not None:
        return (flanged,)
    if strut.let_in is not None:
        return (let_in,)
    split = strut.hanger is not None and strut.hanger.cap is not None
    ways = (cast_split, welded_split) if split else (cast, welded)
    return _sense, ways[0] if strut.construction == "cast" else ways[1]


def outer_envelope(strut: Strut) -> Solid:
    """Return the barrel with its bore, slots and screw holes filled.

    >>> round(outer_envelope(shipped("canal-tender")).Volume() / 1000, 1)  # cm3, pi 2.4^2 x 7.4
    133.9
    """
    return barrels.envelope(strut.barrel, seams_of(strut)[0])


def _sense(job: Job) -> None:
    """Find what the kernel would build but nobody wants: roots that hang over the barrel's ends."""
    strut, barrel = job.strut, job.strut.barrel
    for a in strut.arms:
        axes = frames.arm_axes(a, barrel, frames.arm_plane(strut, a))
        along = frames.arm_ends_mm(a, barrel, frames.arm_plane(strut, a))[0]
        for sign in (1, -1):
            for at in (0.0, along):
                x = float((axes.origin + at * axes.n + sign * a.chord_barrel_mm / 2 * axes.u)[0])
                if abs(x) >= barrel.length_mm / 2:
                    where = "forward" if x > 0 else "aft"
                    words = "the root of the {arm} reaches {reach} from mid-barrel, past the {where} face"
                    what, key = say(words, arm=a.called, reach=mm(abs(x)), where=where), "arms.section.chord"
                    advice = "move arms.position or shorten arms.section.chord"
                    job.fail("arm_overhangs_barrel", what, advice, key, barrel.length_mm / 2, abs(x))
                    break
        if a.thickness_barrel_mm >= barrel.outside_mm:
            thick, key = f"the {a.called} is thicker than the barrel", "arms.section.thickness"
            advice = "make arms.section.thickness less than the barrel's outside"
            job.fail("arm_thicker_than_barrel", thick, advice, key, barrel.outside_mm, a.thickness_barrel_mm)
    s = strut.skeg
    if s is not None and (s.root_aft_station_mm < 0 or s.root_forward_station_mm > barrel.length_mm):
        past, key = "the root of the skeg reaches past a face of the barrel", "skeg.root_forward"
        advice = "keep skeg.root_aft and skeg.root_forward within the barrel"
        job.fail("skeg_overhangs_barrel", past, advice, key, barrel.length_mm, s.root_forward_station_mm)


# --- bearings and bush ----------------------------------------------------------------------------------------------


def beside(job: Job) -> None:
    """Add what stands in the part or hangs on it, and is none of its metal.

    >>> strut = shipped("canal-tender")
    >>> job = Job(strut, seams_of(strut)[0], root_room(limit_table.standard()))
    >>> beside(job)
    >>> [part.name for part in job.parts]
    ['bearing shell', 'bearing rubber']
    """
    _bearings(job)
    _bush(job)


def _bearings(job: Job) -> None:
    barrel = job.strut.barrel
    for k, b in enumerate(job.strut.bearings):
        tail = f" {k + 1}" if len(job.strut.bearings) > 1 else ""
        if b.plain:
            bush = job.stage("the bush", "bearing.length", partial(bearings.shell, b, barrel))
            job.add("heel bush", "heel bush", bush, BUSH, b.shell_material, "bearing.length")
            continue
        shell = job.stage("the bearing shell", "bearing.shell", partial(bearings.shell, b, barrel))
        job.add(f"bearing shell{tail}", "bearing shell", shell, SHELL, b.shell_material, "bearing.shell")
        rubber = job.stage("the bearing rubber", "bearing.flutes.width", partial(bearings.rubber, b, barrel))
        job.add(f"bearing rubber{tail}", "bearing rubber", rubber, RUBBER, "rubber", "bearing.flutes.width")


def _bush(job: Job) -> None:
    skeg = job.strut.skeg
    if skeg is None or skeg.heel is None or skeg.heel.bush_wall_mm <= 0:
        return
    heel = skeg.heel
    made = job.stage("the heel bush", "skeg.heel.bush_wall", partial(skegs.bush, heel))
    job.add("heel bush", "heel bush", made, BUSH, "bush material by choice", "skeg.heel.bush_wall")
