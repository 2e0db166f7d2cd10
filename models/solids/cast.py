"""The body of a casting: barrel, arms, skeg and palms grown together with their root blends, bored and drilled."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np

from strutwright.models.families import called
from strutwright.models.finding import Finding
from strutwright.models.geometry import members
from strutwright.models.geometry.members import ArmRoots, RootRoom
from strutwright.models.geometry.roots import Slab
from strutwright.models.solids import arm as arms
from strutwright.models.solids import barrel as barrels
from strutwright.models.solids import kernel
from strutwright.models.solids import palm as palms
from strutwright.models.solids import skeg as skegs
from strutwright.models.solids.job import BRONZE, WHOLE, Job, Split, barrel_cutters, cut_away, palm_cutters
from strutwright.models.solids.kernel import KernelError, Solid
from strutwright.models.spec import Arm, Palm, Strut
from strutwright.params.words import fine_mm, say

DEEPER = (1.5, 2.2, 4.0)  # times the usual depth of a blend in what it stands on, tried when a joint goes wrong


def _radius(job: Job, asked_mm: float, fits_mm: float, what: str, parameter: str) -> float:
    """Return the radius with which a root is built: the one asked, or what fits, with a finding."""
    if fits_mm >= asked_mm:
        return asked_mm
    good = members.buildable_mm(fits_mm)
    code = "fillet_reduced" if good > 0 else "fillet_not_made"
    made = say("was made with radius {good}", good=fine_mm(good)) if good > 0 else say("was left out")
    words = "the fillet {what} {made}, as a ball of {asked} does not touch both sides all round"
    told = say(words, what=what, made=made, asked=fine_mm(asked_mm))
    room = "set {parameter} to {good} or leave more room round the root"
    job.fail(code, told, say(room, parameter=parameter, good=fine_mm(good)), parameter, asked_mm, good)
    return good


def cast_body(
    strut: Strut,
    barrel: Solid,
    room: RootRoom,
    plate: Callable[[Palm], Solid] = palms.plate,
    base: Callable[[Palm], Slab] = members.palm_base,
) -> tuple[Solid, list[Finding]]:
    """Return the body of a casting with its root blends, before anything is bored or drilled, and what went wrong.

    barrel: the solid to begin with. room: that roots are to have. plate: makes a palm's plate without holes. base: that
    plate's water face, on which the arm's root stands.
    """
    job = Job(strut, np.zeros(3), room)
    return _grown(job, barrel, plate, base), job.findings


def _grown(job: Job, body: Solid, plate: Callable[[Palm], Solid], base: Callable[[Palm], Slab]) -> Solid:
    """Return the barrel with arms, skeg and palms joined to it."""
    faces = [base(p) for p in job.strut.palms]
    fits = job.stage("the roots", "arms.root_fillet", partial(members.fitting_roots, job.strut, job.room, faces))
    if fits is None:
        return body
    for a, radii in zip(job.strut.arms, fits.arms, strict=True):
        body = _join_arm(job, body, a, radii, faces[a.palm_index])
    body = _join_skeg(job, body, fits.skeg_mm)
    for k in range(len(job.strut.palms)):
        body = _join_palm(job, body, k, plate)
    return body


def cast(job: Job, split: Split = WHOLE) -> None:
    """Add the one body of a cast strut to the job: bored and drilled, or as far as it could be made, with findings.

    >>> bare, room = shipped("canal-tender", arms=(), palms=(), set_screws=()), members.root_room(standard())
    >>> job = Job(bare, -np.eye(3)[2], room)
    >>> cast(job)
    >>> [(p.name, round(p.volume_mm3 / 1000, 1)) for p in job.parts]  # cm3, pi (2.4^2 - 1.6^2) x 7.4 less the lead-ins
    [('strut', 74.3)]
    """
    strut, barrel = job.strut, job.strut.barrel
    body = job.stage("the barrel", "barrel.length", partial(barrels.envelope, barrel, job.seam))
    if body is None:
        return
    body = split.opened(job, _grown(job, split.eared(job, body), palms.plate, members.palm_base))
    groups = barrel_cutters(job) + palm_cutters(job) + split.cutters(job)
    if strut.skeg is not None and strut.skeg.heel is not None:
        bore = job.stage("the heel bore", "skeg.heel.pintle_diameter", partial(skegs.boss_bore, strut.skeg.heel))
        groups += [("the heel bore", "skeg.heel.pintle_diameter", [bore])] if bore is not None else []
        groups += [("the faces of the heel boss", "skeg.heel.foot_height", skegs.over_boss(strut.skeg.heel))]
    body = cut_away(job, body, groups)
    job.add(called(strut), "strut", body, BRONZE, strut.material, "arms.root_fillet")
    split.other(job, BRONZE)


def _join_arm(job: Job, body: Solid, a: Arm, fits: ArmRoots, water: Slab) -> Solid:
    name = a.called
    radii = (
        _radius(job, a.barrel_root_mm, fits.barrel_mm, f"of the {name} at the barrel", "arms.root_fillet.barrel"),
        _radius(job, a.palm_root_mm, fits.palm_mm, f"of the {name} at the palm", "arms.root_fillet.palm"),
    )
    make = partial(arms.rooted, job.strut, a, radii, water)
    made = job.stage(f"the {name}", "arms.section.chord", make)
    if made is None:
        return body
    joint, join = f"the joint of the {name} and the barrel", partial(_joined, body, made, make)
    advice = "move arms.position to within the barrel"
    joined = job.stage(joint, "arms.position", join, "arm_misses_barrel", advice)
    return body if joined is None else joined


def _joined(body: Solid, made: Solid, again: Callable[[float], Solid]) -> Solid:
    """Return body and an arm or fin as one. A joint that goes wrong by a hair is tried with the blends a hair deeper.

    again: makes the arm or fin with its blends so many times as deep.
    """
    joined, why = kernel.attempt(lambda: kernel.fuse(body, made)[0])
    for deep in DEEPER:
        if joined is not None and kernel.is_good(joined):
            return joined
        deeper, _ = kernel.attempt(partial(again, deep))
        pair, _ = (None, "") if deeper is None else kernel.attempt(partial(kernel.fuse, body, deeper))
        joined = joined if pair is None else pair[0]
    if joined is None:
        raise KernelError(why)
    return joined


def _join_palm(job: Job, body: Solid, index: int, plate: Callable[[Palm], Solid]) -> Solid:
    palm = job.strut.palms[index]
    made = job.stage(f"the {palm.called}", palms.blamed(palm), partial(plate, palm))
    if made is None:
        return body
    joint, advice = f"the joint of the {palm.called} and its arm", "move palm.offset or enlarge palm.outline"
    pair = job.stage(joint, "palm.outline", partial(kernel.fuse, body, made), "palm_misses_arm", advice)
    return body if pair is None else pair[0]


def _join_skeg(job: Job, body: Solid, fits_mm: float) -> Solid:
    strut = job.strut
    skeg = strut.skeg
    if skeg is None:
        return body
    radius = _radius(job, skeg.root_mm, fits_mm, "of the skeg at the barrel", "skeg.root_fillet")
    make = partial(skegs.fin, skeg, strut.barrel, radius)
    fin = job.stage("the skeg", "skeg.tip_chord", make)
    if fin is None:
        return body
    joint, join = "the joint of the skeg and the barrel", partial(_joined, body, fin, make)
    advice = "keep skeg.root_aft and skeg.root_forward within the barrel"
    joined = job.stage(joint, "skeg.root_forward", join, "skeg_misses_barrel", advice)
    body = body if joined is None else joined
    heel = skeg.heel
    if heel is None:
        return body
    before = body

    def with_heel() -> Solid:
        joined, _ = kernel.fuse(before, kernel.fuse(skegs.foot(skeg, heel, strut.barrel), skegs.boss(heel))[0])
        return joined

    made = job.stage("the foot and heel boss", "skeg.heel.below_shaft", with_heel)
    return before if made is None else made
