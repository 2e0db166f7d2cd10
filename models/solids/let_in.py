"""A let-in housing: the sleeve with collar, steps and chamfer, bored, and drilled for its screws."""

from __future__ import annotations

import math
from functools import partial

import numpy as np

from strutwright.models import frames
from strutwright.models.formulas.set_screws import CONE_DEG
from strutwright.models.geometry.barrel import outside_radius_mm
from strutwright.models.outline import Outline
from strutwright.models.solids import barrel as barrels
from strutwright.models.solids import kernel
from strutwright.models.solids.barrel import CLEAR_MM, X
from strutwright.models.solids.job import BRONZE, STEEL, Colour, Cutters, Job, barrel_cutters, cut_away
from strutwright.models.solids.kernel import Solid
from strutwright.models.spec import Barrel, Strut
from strutwright.models.spec_let_in import LetIn, LockingScrew
from strutwright.params import tables

_YELLOW = ("bronze", "brass")


def let_in(job: Job) -> None:
    """Add the body of a let-in housing to the job; what could not be made is left out, with a finding.

    >>> from strutwright.models.geometry.members import RootRoom
    >>> job = Job(shipped("skeg-sleeve"), frames.radial(10.0), RootRoom(0.5, 0.01, 20.0))
    >>> let_in(job)
    >>> [part.name for part in job.parts], job.findings
    (['housing'], [])
    """
    strut = job.strut
    assert strut.let_in is not None
    whole = job.stage("the sleeve", "barrel.length", partial(barrels.envelope, strut.barrel, job.seam))
    if whole is None:
        return
    body = cut_away(job, whole, [*barrel_cutters(job), *_screw_holes(job, strut.let_in)])
    job.add("housing", "strut", body, _colour(strut), strut.material, "barrel.outside_diameter")


def _colour(strut: Strut) -> Colour:
    return BRONZE if tables.material(strut.material).family in _YELLOW else STEEL


def _screw_holes(job: Job, it: LetIn) -> list[Cutters]:
    barrel = job.strut.barrel
    found: list[Cutters] = []
    for screw in it.locking:
        what, at = f"the dimple of locking screw {screw.number}", f"locking_screws.positions[{screw.number - 1}]"
        made = job.stage(what, at, partial(dimple, barrel, screw))
        found.append((what, at, [] if made is None else [made]))
    if it.drawing is not None:
        what, at = "the holes to draw it out", "drawing_holes"
        found.append((what, at, job.stage(what, at, partial(drawing_holes, barrel, it)) or []))
    return found


def dimple(barrel: Barrel, screw: LockingScrew) -> Solid:
    """Return the cutter of a locking screw's dimple, standing out of the sleeve.

    >>> strut = shipped("skeg-sleeve")
    >>> round(dimple(strut.barrel, strut.let_in.locking[0]).BoundingBox().xlen, 3)  # a dog point of M10
    7.0
    """
    out, seam = frames.radial(screw.clock_deg), X
    top = float(outside_radius_mm(barrel, screw.station_mm))
    foot = top - screw.bite_mm
    centre = np.array([barrel.x(screw.station_mm), 0.0, 0.0])
    if screw.point == "dog":
        return kernel.cylinder(centre + foot * out, out, screw.width_mm / 2, screw.bite_mm + CLEAR_MM)
    slope = math.tan(math.radians(CONE_DEG / 2))
    deep = screw.bite_mm + min(CLEAR_MM, screw.bite_mm)
    profile = Outline(np.array([(0.0, 0.0, 0.0), (deep, 0.0, 0.0), (deep, deep * slope, 0.0)]))
    return kernel.revolve(profile, centre + foot * out, out, seam)


def drawing_holes(barrel: Barrel, it: LetIn) -> list[Solid]:
    """Return the cutters of the tapped holes in the outer face, or through the collar.

    >>> strut = shipped("skeg-sleeve")
    >>> len(drawing_holes(strut.barrel, strut.let_in))
    8
    """
    holes = it.drawing
    assert holes is not None
    inward = it.inward * X
    face = -it.inward * barrel.length_mm / 2 * X
    deep = holes.drilled_mm if holes.way == "draw" else holes.depth_mm + CLEAR_MM
    return [
        kernel.cylinder(
            face + holes.circle_mm / 2 * frames.radial(clock) - CLEAR_MM * inward,
            inward,
            holes.tap_drill_mm / 2,
            deep + CLEAR_MM,
        )
        for clock in holes.clocks_deg
    ]
