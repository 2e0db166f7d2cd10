"""A flanged housing: barrel, flange, spigot, ribs and the root or weld between them, bored and drilled."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from strutwright.models import frames
from strutwright.models.families import called
from strutwright.models.frames import Axes
from strutwright.models.geometry import flange as shapes
from strutwright.models.outline import Outline
from strutwright.models.solids import barrel as barrels
from strutwright.models.solids import kernel
from strutwright.models.solids import palm as palms
from strutwright.models.solids.barrel import CLEAR_MM, X
from strutwright.models.solids.job import BEAD, BRONZE, STEEL, Cutters, Job, barrel_cutters, cut_away
from strutwright.models.solids.kernel import Solid
from strutwright.models.spec import Barrel, BarrelEnd
from strutwright.models.spec_flange import Flange, Gasket
from strutwright.params.words import fine_mm, say


def flanged(job: Job) -> None:
    """Add the body of a cast housing to the job, or the parts of a welded one; what could not be made is left out, with
    a finding.

    >>> from strutwright.models.geometry.members import RootRoom
    >>> job = Job(shipped("deadwood-cutter"), frames.radial(180.0), RootRoom(0.5, 0.01, 20.0))
    >>> flanged(job)
    >>> [part.name for part in job.parts], job.findings
    (['housing'], [])
    """
    flange = job.strut.flange
    assert flange is not None
    whole = job.stage("the barrel", "barrel.length", partial(_barrel, job, flange))
    plate = job.stage("the flange", "flange.outline", partial(_plate, job, flange))
    if whole is None or plate is None:
        return
    joint, advice = "the joint of flange and barrel", "move flange.position, or enlarge flange.outline"
    joined = job.stage(joint, "flange.position", partial(kernel.fuse, whole, plate), "flange_misses_barrel", advice)
    if joined is None:
        return
    if job.strut.construction == "cast":
        body = root(job, flange, joined[0])
        for what, parameter, make in (("the ribs", "flange.ribs", _ribs), ("the spigot", "spigot", spigot)):
            body = _with(job, body, what, parameter, make, flange)
        body = cut_away(job, body, [*_bored(job, flange), *_drilled(job, flange)])
        job.add(called(job.strut), "strut", body, BRONZE, job.strut.material, "flange.outline")
        return
    _welded(job, flange, whole, plate)


def _with(
    job: Job, body: Solid, what: str, parameter: str, make: Callable[[Job, Flange], list[Solid]], flange: Flange
) -> Solid:
    return with_solids(job, body, what, parameter, job.stage(what, parameter, partial(make, job, flange)) or [])


def with_solids(job: Job, body: Solid, what: str, parameter: str, solids: Sequence[Solid]) -> Solid:
    """Return a body with solids joined to it; what could not be joined is left out, with a finding.

    >>> from strutwright.models.geometry.members import RootRoom
    >>> job = Job(shipped("deadwood-cutter"), frames.radial(180.0), RootRoom(0.5, 0.01, 20.0))
    >>> bar = kernel.cylinder(np.zeros(3), X, 5.0, 9.0)
    >>> with_solids(job, bar, "nothing", "spigot", []) is bar
    True
    """
    for solid in solids:
        pair = job.stage(f"the joint of {what} and the housing", parameter, partial(kernel.fuse, body, solid))
        body = body if pair is None else pair[0]
    return body


def _barrel(job: Job, flange: Flange) -> Solid:
    """The barrel with its bore filled, up to the bedding face where it ends in it."""
    # A cast one ends within the flange, so that no edge of it is left in the face, close to the spigot's.
    deep = flange.thickness_mm / 2 if job.strut.construction == "cast" else 0.0
    barrel = job.strut.barrel
    reach = slanting_mm(flange, barrel)
    if not reach:
        return barrels.envelope(barrel, job.seam)
    # What shape its end has is lost in the flange, on whose free face the parallel part stands.
    plain = BarrelEnd(shape="straight", length_mm=0.0, end_diameter_mm=barrel.outside_mm)
    if flange.plane.looks == "forward":
        longer = barrels.envelope(replace(barrel, forward_end=plain), job.seam, (0.0, reach))
    else:
        longer = barrels.envelope(replace(barrel, aft_end=plain), job.seam, (reach, 0.0))
    return _cut_off(flange, barrel, longer, deep)


def slanting_mm(flange: Flange, barrel: Barrel) -> float:
    """Return how much longer a barrel is made than it is, to be cut off by a slanting bedding face; 0 where it is not.

    >>> strut = shipped("deadwood-cutter")
    >>> slanting_mm(strut.flange, strut.barrel)  # its flange stands square
    0.0
    """
    if flange.plane.square or not shapes.ends_in_face(flange.plane, barrel):
        return 0.0
    return shapes.slant_mm(flange.plane, barrel.outside_mm / 2) + CLEAR_MM


def _cut_off(flange: Flange, barrel: Barrel, longer: Solid, deep_mm: float = 0.0) -> Solid:
    """A barrel cut off so deep under the bedding face."""
    wide = 2 * barrel.outside_mm + 2 * slanting_mm(flange, barrel)
    return kernel.drilled(longer, [kernel.box(frames.flange_axes(flange, barrel), wide, wide, -deep_mm, wide)])


def ended(flange: Flange, barrel: Barrel, whole: Solid) -> Solid:
    """Return a barrel, its bore filled, up to a slanting bedding face where it ends in it; else as it is.

    >>> strut = shipped("deadwood-cutter")
    >>> whole = barrels.envelope(strut.barrel, frames.radial(180.0))
    >>> ended(strut.flange, strut.barrel, whole) is whole  # its flange stands square
    True
    """
    reach = slanting_mm(flange, barrel)
    if not reach:
        return whole
    forward = flange.plane.looks == "forward"
    way = X if forward else -X
    end = way * barrel.length_mm / 2
    radius = (barrel.forward_end if forward else barrel.aft_end).end_diameter_mm / 2
    longer, _ = kernel.fuse(whole, kernel.cylinder(end - CLEAR_MM * way, way, radius, CLEAR_MM + reach))
    return _cut_off(flange, barrel, longer)


def _plate(job: Job, flange: Flange) -> Solid:
    axes = frames.flange_axes(flange, job.strut.barrel)
    return kernel.prism(kernel.outline_wire(flange.outline, axes), -flange.thickness_mm * axes.n)


def root(job: Job, flange: Flange, body: Solid) -> Solid:
    """Return the body with the fillet between barrel and free face; what does not fit is made smaller, with a finding.

    >>> from dataclasses import replace
    >>> from strutwright.models.geometry.members import RootRoom
    >>> strut = shipped("deadwood-cutter")
    >>> job = Job(strut, frames.radial(180.0), RootRoom(0.5, 0.01, 20.0))
    >>> body = barrels.envelope(strut.barrel, job.seam)
    >>> root(job, replace(strut.flange, root_mm=0.0), body) is body
    True
    """
    asked, fits = flange.root_mm, shapes.root_room_mm(flange, job.strut.barrel)
    radius = asked
    if fits < asked:
        radius = math.floor(fits * 2) / 2
        code = "fillet_reduced" if radius > 0 else "fillet_not_made"
        made = say("was made with radius {good}", good=fine_mm(radius)) if radius > 0 else say("was left out")
        words = "the fillet between flange and barrel {made}, as {asked} does not fit all round"
        told = say(words, made=made, asked=fine_mm(asked))
        room = say("set flange.root_fillet to {good} or leave more room round the barrel", good=fine_mm(radius))
        job.fail(code, told, room, "flange.root_fillet", asked, radius)
    if radius <= 0:
        return body
    made_root = job.stage("the fillet of the flange", "flange.root_fillet", partial(_rooted, job, flange, body, radius))
    return body if made_root is None else made_root


def _rooted(job: Job, flange: Flange, body: Solid, radius: float) -> Solid:
    barrel = job.strut.barrel
    if not flange.plane.square:
        axes = frames.flange_axes(flange, barrel)
        made = kernel.rounded(body, axes.origin - flange.thickness_mm * axes.n, axes.n, radius)
        if made is not None:
            return made
    # The ring of a square flange, made to slant as the flange does.
    ring = kernel.revolve(shapes.root_profile(flange, barrel, radius), np.zeros(3), X, job.seam)
    return kernel.fuse(body, ring if flange.plane.square else kernel.sheared(ring, *shapes.shear(flange)))[0]


def _ribs(job: Job, flange: Flange) -> list[Solid]:
    clocks = () if flange.ribs is None else flange.ribs.clocks_deg
    return [rib(flange, job.strut.barrel, clock) for clock in clocks]


def rib(flange: Flange, barrel: Barrel, clock_deg: float, more_mm: float = 0.0) -> Solid:
    """Return a rib at a clock angle, a little into barrel and flange. more_mm: how much thicker on each side.

    >>> strut = shipped("tube-end-pair")
    >>> round(rib(strut.flange, strut.barrel, 90.0).BoundingBox().zlen, 3)  # its thickness
    10.0
    """
    assert flange.ribs is not None
    radial = frames.radial(clock_deg)
    across, half = np.cross(X, radial), flange.ribs.thickness_mm / 2 + more_mm
    corners = shapes.rib_profile(flange, barrel, clock_deg, more_mm)
    profile = Outline(np.array([(x, r, 0.0) for x, r in corners]))
    wire = kernel.outline_wire(profile.normalised(), Axes(-half * across, X, radial, across))
    return kernel.prism(wire, 2 * half * across)


def spigot(job: Job, flange: Flange) -> list[Solid]:
    """Return the spigot with its bore filled, from within the flange; nothing without one.

    >>> from strutwright.models.geometry.members import RootRoom
    >>> strut = shipped("deadwood-cutter")
    >>> (made,) = spigot(Job(strut, frames.radial(180.0), RootRoom(0.5, 0.01, 20.0)), strut.flange)
    >>> round(made.BoundingBox().ylen, 3)  # its outside
    61.5
    """
    if flange.spigot is None:
        return []
    barrel, axes = job.strut.barrel, frames.flange_axes(flange, job.strut.barrel)
    made = kernel.revolve(shapes.spigot_profile(flange, barrel), np.zeros(3), X, job.seam)
    if flange.plane.square:
        return [made]
    # It begins in the middle of the flange's thickness.
    wide = 2 * flange.spigot.outside_mm + 2 * flange.thickness_mm + barrel.length_mm
    return [kernel.drilled(made, [kernel.box(axes, wide, wide, -wide, -flange.thickness_mm / 2)])]


def _bored(job: Job, flange: Flange) -> list[Cutters]:
    """The cutters of the barrel, and of what its bore goes on into."""
    barrel = job.strut.barrel
    out = barrel_cutters(job)
    through = job.stage(
        "the bore through flange and spigot", "spigot.bore", lambda: shapes.through_rows(flange, barrel)
    )
    if through:
        make = partial(kernel.revolve, through, np.zeros(3), X, job.seam)
        made = job.stage("the bore through flange and spigot", "spigot.bore", make)
        out += [] if made is None else [("the bore through flange and spigot", "spigot.bore", [made])]
    return out


def _drilled(job: Job, flange: Flange) -> list[Cutters]:
    axes = frames.flange_axes(flange, job.strut.barrel)
    above = 1.0 + min(flange.root_mm, flange.bolt.head_diameter_mm)
    out: list[Cutters] = []
    holes = job.stage("the holes of the flange", "bolts.size", partial(palms.hole_cutters, flange, axes, above))
    out.append(("the holes of the flange", "bolts.pattern", holes or []))
    gasket = flange.gasket
    if gasket is not None and gasket.recess_mm > 0:
        tool = _recess(job, flange, gasket)
        out.append(("the recess of the bedding face", "flange.gasket.recess", [tool]))
    return out


def _recess(job: Job, flange: Flange, gasket: Gasket) -> Solid:
    """What is cut away for the gasket, round the spigot or the barrel that goes on."""
    barrel, axes = job.strut.barrel, frames.flange_axes(flange, job.strut.barrel)
    deep = gasket.recess_depth_mm
    tool = kernel.cylinder(axes.origin - deep * axes.n, axes.n, gasket.recess_mm / 2, deep + CLEAR_MM)
    kept = 0.0 if shapes.ends_in_face(flange.plane, barrel) else barrel.outside_mm
    if flange.spigot is not None:
        kept = max(kept, flange.spigot.outside_mm)
    if kept <= 0.0:
        return tool
    half = kept + gasket.recess_mm
    return kernel.drilled(tool, [kernel.cylinder(axes.origin - half * X, X, kept / 2, 2 * half)])


def _welded(job: Job, flange: Flange, whole: Solid, plate: Solid) -> None:
    """Barrel with spigot, flange with a hole for it, ribs and the bead between barrel and free face."""
    strut = job.strut
    tube = _with(job, whole, "the spigot", "spigot", spigot, flange)
    tube = cut_away(job, tube, _bored(job, flange))
    job.add("barrel", "barrel", tube, STEEL, strut.material, "barrel.bore")
    ring = job.stage("the hole of the flange", "flange.outline", partial(kernel.drilled, plate, [whole]))
    if ring is not None:
        job.add("flange", "palm", cut_away(job, ring, _drilled(job, flange)), STEEL, strut.material, "flange.outline")
    for k, rib in enumerate(job.stage("the ribs", "flange.ribs", partial(_ribs, job, flange)) or []):
        trimmed = job.stage(f"rib {k + 1}", "flange.ribs", partial(kernel.drilled, rib, [whole, plate]))
        if trimmed is not None:
            job.add(f"rib {k + 1}", "palm", trimmed, STEEL, strut.material, "flange.ribs")
    if strut.weld.beads:
        bead = job.stage("the weld of the flange", "flange.weld_leg", partial(_bead, job, flange))
        if bead is not None:
            job.add("weld flange to barrel", "weld", bead, BEAD, strut.material, "flange.weld_leg")


def _bead(job: Job, flange: Flange) -> Solid:
    """On a slant its legs are measured along the barrel and square to it."""
    ring = kernel.revolve(shapes.bead_profile(flange, job.strut.barrel, flange.root_mm), np.zeros(3), X, job.seam)
    return ring if flange.plane.square else kernel.sheared(ring, *shapes.shear(flange))
