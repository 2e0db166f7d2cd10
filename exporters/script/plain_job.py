"""What building gathers: bodies, and in plain sentences what could not be made."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial

from strutwright.models.frames import Vector
from strutwright.models.geometry.members import RootRoom
from strutwright.models.part_colours import BRONZE, Colour
from strutwright.models.solids import kernel, triangles
from strutwright.models.solids.barrel import seam_directions
from strutwright.models.solids.job import Cutters
from strutwright.models.solids.kernel import Made, Solid
from strutwright.models.spec import Strut

_MADE_OTHERWISE = {
    *("fillet_reduced", "fillet_not_made", "cut_in_pieces", "bevel_left_out", "bevel_not_made"),
    *("arm_overhangs_barrel", "arm_thicker_than_barrel", "skeg_overhangs_barrel"),
}
"""What is made smaller or left out of a body that is made all the same: it is told. Over all else building stops."""


class CannotBuild(Exception):  # noqa: N818 - it is read by who changed a size
    """The sizes cannot be built; the text says what failed and what to change, by its path in the parameter file."""


@dataclass(frozen=True, slots=True)
class Part:
    """One body, in the strut frame: a cadquery Solid. colour: red, green, blue, 0 to 1."""

    name: str
    kind: str
    shape: Solid
    colour: Colour
    material: str


@dataclass(slots=True)
class Job:
    """What building gathers on its way. room: that roots are to have; told, failed: sentences."""

    strut: Strut
    seam: Vector
    room: RootRoom
    parts: list[Part] = field(default_factory=list)
    told: list[str] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)

    def fail(
        self, code: str, what: str, advice: str, parameter: str, demanded: float = 0.0, actual: float = 0.0
    ) -> None:
        """Note what went wrong."""
        (self.told if code in _MADE_OTHERWISE else self.failed).append(f"{what}; {advice}")

    warn = fail

    def stage(
        self, what: str, parameter: str, make: Callable[[], Made], code: str = "kernel_failed", advice: str = ""
    ) -> Made | None:
        """Return what make returns; None, and a sentence, when it cannot."""
        made, why_not = kernel.attempt(make)
        if why_not:
            self.fail(code, f"{what} could not be made: {why_not}", advice or f"change {parameter}", parameter)
        return made

    def add(self, name: str, kind: str, shape: Solid | None, colour: Colour, material: str, parameter: str) -> None:
        """Take a body in; a sentence says when it is not one valid closed solid."""
        if shape is None:
            return
        shape = kernel.smoothed(shape)
        if not (kernel.is_sound(shape) and triangles.closes(shape)):
            shape = kernel.smoothed(kernel.mended(shape))
            if not (kernel.is_sound(shape) and triangles.closes(shape)):
                what = f"the {name} is not a valid closed solid"
                self.fail("solid_not_valid", what, f"change {parameter} a little", parameter)
        self.parts.append(Part(name, kind, shape, colour, material))


def cut_away(job: Job, body: Solid, groups: Sequence[Cutters]) -> Solid:
    """Return body less all cutters, still in one piece; what would take it apart is left out, and told."""
    done, _ = kernel.attempt(partial(kernel.drilled, body, [s for _, _, tools in groups for s in tools]))
    if done is not None:
        return done
    for what, parameter, tools in groups:
        advice = f"change {parameter}, so that the part stays in one piece"
        less = job.stage(what, parameter, partial(kernel.drilled, body, tools), "cut_in_pieces", advice)
        body = body if less is None else less
    return body


def called(strut: Strut) -> str:
    """Return what the part is called."""
    return strut.family


def colour(strut: Strut) -> Colour:
    """Return the colour of its metal."""
    return BRONZE


def build(strut: Strut, room: RootRoom, makers: Sequence[Callable[[Job], None]]) -> list[Part]:
    """Return the bodies of a strut, made one after the other; the barrel's seam is moved when something fails. Raises
    CannotBuild.

    room: that roots are to have.
    """
    last: Job | None = None
    for seam in seam_directions([a.clock_deg for a in strut.arms] + ([180.0] if strut.skeg else [])):
        job = Job(strut, seam, room)
        for make in makers:
            make(job)
        last = last or job
        if not job.failed:
            for sentence in job.told:
                print(f"note: {sentence}", file=sys.stderr)
            return job.parts
    raise CannotBuild("; ".join(last.failed if last else []))
