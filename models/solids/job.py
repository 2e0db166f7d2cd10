"""What building a strut gathers on its way: parts, findings, and the cutters that bore, slot and drill them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import partial

from strutwright.models import frames
from strutwright.models.finding import Finding, Verdict, in_words
from strutwright.models.frames import Vector
from strutwright.models.geometry.members import RootRoom
from strutwright.models.part_colours import BEAD as BEAD
from strutwright.models.part_colours import BRONZE as BRONZE
from strutwright.models.part_colours import BUSH as BUSH
from strutwright.models.part_colours import RUBBER as RUBBER
from strutwright.models.part_colours import SHELL as SHELL
from strutwright.models.part_colours import STEEL as STEEL
from strutwright.models.part_colours import Colour as Colour
from strutwright.models.solids import arm as arms
from strutwright.models.solids import barrel as barrels
from strutwright.models.solids import kernel, triangles, watch
from strutwright.models.solids import palm as palms
from strutwright.models.solids.kernel import Made, Solid
from strutwright.models.solids.watch import LostError
from strutwright.models.spec import Arm, Strut
from strutwright.params.words import Words, say


@dataclass(frozen=True, slots=True)
class Part:
    """One body of a strut, in the strut frame.

    name: plain words, without the hand. kind: strut, barrel, arm, palm, skeg, foot, heel boss, weld, bearing shell,
    bearing rubber or heel bush. shape: a cadquery Solid. colour: red, green, blue, 0 to 1. material: a name.
    parameter: the path to blame when it is no good.
    """

    name: str
    kind: str
    shape: Solid
    colour: Colour
    material: str
    volume_mm3: float
    parameter: str = ""


@dataclass(slots=True)
class Job:
    """What building gathers on its way. room: that roots are to have."""

    strut: Strut
    seam: Vector
    room: RootRoom
    parts: list[Part] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)

    def fail(
        self,
        code: str,
        what: Words,
        advice: Words,
        parameter: str,
        demanded: float = math.nan,
        actual: float = math.nan,
        verdict: Verdict = Verdict.FAIL,
    ) -> None:
        """Note what went wrong. demanded, actual: in mm, where there are such numbers."""
        told = in_words(code, verdict, what, advice, parameter, group="build")
        unit = "" if math.isnan(demanded) else "mm"
        self.findings.append(replace(told, demanded=demanded, actual=actual, unit=unit))

    def warn(self, code: str, what: Words, advice: Words, parameter: str) -> None:
        self.fail(code, what, advice, parameter, verdict=Verdict.WARN)

    def stage(
        self, what: str, parameter: str, make: Callable[[], Made], code: str = "kernel_failed", advice: str = ""
    ) -> Made | None:
        """Return what make returns, or None and a finding when it cannot."""
        try:
            with watch.step(what, parameter):
                made, why_not = kernel.attempt(make)
        except LostError as error:
            self.findings.append(error.lost.finding("build"))
            return None
        if why_not:
            told = say("{what} could not be made: {why_not}", what=what, why_not=why_not)
            self.fail(code, told, advice or f"change {parameter} or what it joins", parameter)
        return made

    def add(self, name: str, kind: str, shape: Solid | None, colour: Colour, material: str, parameter: str) -> None:
        """Take a body in; a finding says when it is not one valid closed solid."""
        if shape is None:
            return
        shape = kernel.smoothed(shape)
        try:
            with watch.step(f"the finished {name}", parameter):
                if not (sound := kernel.is_sound(shape) and triangles.closes(shape)):
                    shape = kernel.smoothed(kernel.mended(shape))
                    sound = kernel.is_sound(shape) and triangles.closes(shape)
                volume = kernel.volume_mm3(shape)
        except LostError as error:
            self.findings.append(error.lost.finding("build"))
            return
        if not sound:
            advice = f"change {parameter} a little; two surfaces may just touch"
            self.fail("solid_not_valid", f"the {name} is not a valid closed solid", advice, parameter)
        self.parts.append(Part(name, kind, shape, colour, material, volume, parameter))


def arm_to(job: Job, a: Arm, height_mm: float) -> Solid | None:
    """Return an arm up to a height (mm) over its palm's hull face, its barrel end still inside the barrel.

    >>> strut = shipped("canal-tender")
    >>> job = Job(strut, barrels.seam_directions([0.0])[0], RootRoom(0.5, 0.01, 20.0))
    >>> kernel.is_sound(arm_to(job, strut.arms[0], -10.0)), job.findings
    (True, [])
    """
    return job.stage(f"the {a.called}", "arms.section.chord", partial(arms.plain, job.strut, a, height_mm))


Cutters = tuple[str, str, list[Solid]]  # what they make, the parameter to blame, the solids


def cut_away(job: Job, body: Solid, groups: Sequence[Cutters]) -> Solid:
    """Return body less all cutters, still in one piece; what would take it apart is left out, with a finding.

    >>> job = Job(shipped("canal-tender"), barrels.seam_directions([0.0])[0], RootRoom(0.5, 0.01, 20.0))
    >>> bar, saw = (kernel.cylinder(x * barrels.X, barrels.X, r, 9.0 - 2 * x) for x, r in ((0, 5.0), (4, 6.0)))
    >>> cut_away(job, bar, [("the slot", "barrel.slots", [saw])]) is bar, job.findings[0].code
    (True, 'cut_in_pieces')
    """
    with suppress(LostError), watch.step("all cutters together", groups[0][1] if groups else ""):
        done, _ = kernel.attempt(partial(kernel.drilled, body, [s for _, _, tools in groups for s in tools]))
        if done is not None:
            return done
    for what, parameter, tools in groups:
        advice = f"change {parameter}, so that the part stays in one piece"
        less = job.stage(what, parameter, partial(kernel.drilled, body, tools), "cut_in_pieces", advice)
        body = body if less is None else less
    return body


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """How a barrel is made of two parts on the way. eared: the barrel with what holds them together; opened: the body
    less the room of the other part; cutters: of the holes in the split; other: adds the other part."""

    eared: Callable[[Job, Solid], Solid]
    opened: Callable[[Job, Solid], Solid]
    cutters: Callable[[Job], list[Cutters]]
    other: Callable[[Job, Colour], None]


def _as_it_is(_job: Job, body: Solid) -> Solid:
    return body


def _none(_job: Job) -> list[Cutters]:
    return []


def _nothing(_job: Job, _colour: Colour) -> None:
    return None


WHOLE = Split(eared=_as_it_is, opened=_as_it_is, cutters=_none, other=_nothing)
"""A barrel in one piece."""


def barrel_cutters(job: Job) -> list[Cutters]:
    """Return the cutters of bore, water slots and set screws.

    >>> job = Job(shipped("sloop-with-skeg"), barrels.seam_directions([0.0])[0], RootRoom(0.5, 0.01, 20.0))
    >>> [(what, len(tools)) for what, _, tools in barrel_cutters(job)]
    [('the bore', 1), ('the water slots', 0), ('the set-screw holes', 3)]
    """
    barrel = job.strut.barrel
    bored_at = "barrel.steps" if barrel.steps else "barrel.bore"
    wanted: tuple[tuple[str, str, Callable[[], list[Solid]]], ...] = (
        ("the bore", bored_at, lambda: [barrels.bore_cutter(barrel, job.seam, bored_past_mm(job.strut))]),
        ("the water slots", "barrel.slots", lambda: barrels.slot_cutters(barrel)),
        ("the set-screw holes", "set_screws.positions", lambda: barrels.screw_cutters(barrel, job.strut.set_screws)),
    )
    return [(what, parameter, job.stage(what, parameter, make) or []) for what, parameter, make in wanted]


def bored_past_mm(strut: Strut) -> tuple[float, float]:
    """Return how far (mm) the bore's cutter stands out of the barrel's aft and forward face: not where a spigot stands.

    >>> bored_past_mm(shipped("canal-tender")), bored_past_mm(shipped("deadwood-cutter"))
    ((5.0, 5.0), (5.0, 0.0))
    """
    flange, past = strut.flange, barrels.CLEAR_MM
    if flange is None or flange.spigot is None:
        return past, past
    return (past, 0.0) if flange.plane.looks == "forward" else (0.0, past)


def palm_cutters(job: Job, only: int | None = None) -> list[Cutters]:
    """Return the cutters of the bolt holes of all palms or of one.

    >>> job = Job(shipped("canal-tender"), barrels.seam_directions([0.0])[0], RootRoom(0.5, 0.01, 20.0))
    >>> [(what, len(tools)) for what, _, tools in palm_cutters(job)]
    [('the bolt holes of the palm', 6)]
    """
    strut = job.strut
    out: list[Cutters] = []
    for k, palm in enumerate(strut.palms):
        if only is not None and k != only:
            continue
        # A head's recess is cut free as far out as a root may stand over the water face.
        root = max((a.palm_root_mm for a in strut.arms if a.palm_index == k), default=0.0)
        above = 1.0 + min(root, palm.bolt.head_diameter_mm)
        what = f"the bolt holes of the {palm.called}"
        advice = "change bolts.size or palm.thickness"
        made = job.stage(
            what, "bolts.size", partial(palms.hole_cutters, palm, frames.palm_axes(palm), above), advice=advice
        )
        out.append((what, "bolts.pattern", made or []))
    return out
