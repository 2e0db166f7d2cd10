"""The parts of a welded strut: barrel, arms, palms and skeg cut to each other, and the weld beads between them."""

from __future__ import annotations

import math
from functools import partial
from typing import NamedTuple

from strutwright.models import frames
from strutwright.models.geometry import members
from strutwright.models.geometry.members import Member
from strutwright.models.geometry.roots import Root
from strutwright.models.solids import barrel as barrels
from strutwright.models.solids import kernel, welds
from strutwright.models.solids import palm as palms
from strutwright.models.solids import skeg as skegs
from strutwright.models.solids.job import BEAD, STEEL, WHOLE, Job, Split, arm_to, barrel_cutters, cut_away, palm_cutters
from strutwright.models.solids.kernel import KernelError, Solid
from strutwright.models.spec import Arm, Strut
from strutwright.params.words import fine_mm, say

Bead = tuple[Arm | None, str, Solid]  # whose it is (None: the skeg's), name, body


def welded(job: Job, split: Split = WHOLE) -> None:
    """Add the parts of a welded strut and its beads to the job; what could not be made is left out, with a finding.

    >>> bare, room = shipped("canal-tender", arms=(), palms=(), set_screws=()), members.root_room(standard())
    >>> job = Job(bare, frames.radial(180.0), room)
    >>> welded(job)
    >>> [(p.name, round(p.volume_mm3 / 1000, 1)) for p in job.parts]  # cm3, pi (2.4^2 - 1.6^2) x 7.4 less the lead-ins
    [('barrel', 74.3)]
    """
    strut, barrel, weld = job.strut, job.strut.barrel, job.strut.weld
    whole = job.stage("the barrel", "barrel.length", partial(barrels.envelope, barrel, job.seam))
    if whole is None:
        return
    tube = cut_away(job, split.opened(job, split.eared(job, whole)), [*barrel_cutters(job), *split.cutters(job)])
    job.add("barrel", "barrel", tube, STEEL, strut.material, "barrel.bore")
    split.other(job, STEEL)

    plates = [job.stage(f"the {p.called}", palms.blamed(p), partial(palms.plate, p)) for p in strut.palms]
    made_arms: list[tuple[Arm, Solid]] = []
    beads: list[Bead] = []
    for a in strut.arms:
        palm = strut.palms[a.palm_index]
        blank = arm_to(job, a, -palm.thickness_mm)
        if blank is None:
            continue
        trim = partial(_trimmed, blank, [whole, *(s for _, s in made_arms)])
        trimmed = job.stage(f"the {a.called}", "arms.position", trim)
        if trimmed is None:
            continue
        final, grooves = trimmed, list[Bead]()
        if weld.prep == "double_bevel":
            final, grooves = _bevelled(job, a, trimmed)
        if weld.beads:
            beads += _beads(job, a, blank, whole, plates[a.palm_index]) + grooves
        made_arms.append((a, final))
        job.add(a.called, "arm", final, STEEL, strut.material, "arms.section.chord")

    for k, (palm, plate) in enumerate(zip(strut.palms, plates, strict=True)):
        if plate is None:
            continue
        drilled = cut_away(job, plate, palm_cutters(job, k))
        job.add(palm.called, "palm", drilled, STEEL, strut.material, "bolts.pattern")
    _welded_skeg(job, whole, beads)
    _take_beads(job, beads, made_arms)


def _trimmed(body: Solid, tools: list[Solid]) -> Solid:
    """Return the largest piece of body less tools."""
    return _piece(kernel.cut(body, tools))


def _piece(shape: object) -> Solid:
    """Return the largest body of a trimmed part. Raises KernelError when nothing is left."""
    found = kernel.solids(shape)
    if not found:
        raise KernelError("nothing is left after trimming")
    return found[0]


def _bevelled(job: Job, a: Arm, trimmed: Solid) -> tuple[Solid, list[Bead]]:
    """Return an arm with its ends prepared for welding, and the filling of the grooves."""
    strut = job.strut
    grooves: list[Bead] = []

    def make() -> tuple[list[welds.Wedge], Solid]:
        made = welds.wedges(a, strut.barrel, strut.palms[a.palm_index], strut.weld)
        for w in made:
            if w.solid is not None:
                fill = _piece(kernel.common(trimmed, w.solid))
                grooves.append((a, f"weld {a.called} to {w.end}, {w.side} groove", fill))
        return made, _trimmed(trimmed, [w.solid for w in made if w.solid is not None])

    advice = "set welds.prep to none, or reduce welds.root_face"
    done = job.stage(f"the bevels of the {a.called}", "welds.prep", make, "bevel_not_made", advice)
    if done is None:
        return trimmed, []
    made, final = done
    for w in made:
        if w.solid is None:
            stands = f"the {w.side} flank of the {a.called} stands at {w.flank_deg:.0f} degrees to the {w.end}"
            advice = "agree the preparation of that side with the welder"
            job.warn("bevel_left_out", f"{stands}; no bevel is cut there", advice, "welds.prep_angle")
    return final, grooves


def _beads(job: Job, a: Arm, blank: Solid, whole: Solid, plate: Solid | None) -> list[Bead]:
    """Return the beads of an arm at the barrel and at the palm."""
    strut, palm = job.strut, job.strut.palms[a.palm_index]
    member = members.arm_member(strut, a)
    at_barrel, at_palm = members.barrel_root(member, strut.barrel, 0.0), members.palm_root(member, palm, 0.0)
    joint = _Joint(member, at_barrel, a.barrel_root_mm, job.room.reach_mm(strut.barrel))
    out = _bead(job, a, f"weld {a.called} to barrel", "welds.arm_to_barrel_leg", joint, [blank, whole])
    if plate is not None:
        into = arm_to(job, a, -palm.thickness_mm / 2)
        if into is not None:
            joint = _Joint(member, at_palm, a.palm_root_mm, None)
            out += _bead(job, a, f"weld {a.called} to palm", "welds.arm_to_palm_leg", joint, [into, plate])
    return out


class _Joint(NamedTuple):
    """What is welded to what. reach_mm: how far from mid-barrel toes on the barrel may reach."""

    member: Member
    root: Root
    leg_mm: float
    reach_mm: float | None


def _bead(job: Job, owner: Arm | None, name: str, parameter: str, joint: _Joint, parts: list[Solid]) -> list[Bead]:
    """Return the bead all round a joint."""
    member, root, leg_mm, reach_mm = joint
    if leg_mm <= 0:
        return []
    fits = members.largest_leg_mm(member, root, leg_mm, job.room.open_deg, reach_mm)
    if fits < leg_mm:
        good = members.buildable_mm(fits)
        words = "the {name} was left out, as a leg of {leg} does not lie on both sides all round"
        what = say(words, name=name, leg=fine_mm(leg_mm))
        to_do = say("set {parameter} to {good} at most", parameter=parameter, good=fine_mm(good))
        job.fail("bead_not_made", what, to_do, parameter, leg_mm, good)
        return []
    advice = f"reduce {parameter}, or switch welds.beads off"
    make = partial(welds.bead, member.ruled, root, leg_mm, parts)
    made = job.stage(f"the {name}", parameter, make, "bead_not_made", advice) or []
    return [(owner, name if k == 0 else f"{name} {k + 1}", s) for k, s in enumerate(made)]


def _welded_skeg(job: Job, whole: Solid, beads: list[Bead]) -> None:
    strut = job.strut
    skeg = strut.skeg
    if skeg is None:
        return
    fin = job.stage("the skeg", "skeg.tip_chord", partial(skegs.fin, skeg, strut.barrel))
    if fin is None:
        return
    if strut.weld.beads:
        member = members.fin_member(skeg, strut.barrel)
        root = members.barrel_root(member, strut.barrel, 0.0)
        joint = _Joint(member, root, skeg.root_mm, job.room.reach_mm(strut.barrel))
        beads += _bead(job, None, "weld skeg to barrel", "welds.skeg_to_barrel_leg", joint, [fin, whole])
    heel = skeg.heel
    if heel is None:
        cut_fin = job.stage("the skeg", "skeg.root_forward", partial(_trimmed, fin, [whole]))
        job.add("skeg", "skeg", cut_fin, STEEL, strut.material, "skeg.tip_chord")
        return
    bore = job.stage("the heel bore", "skeg.heel.pintle_diameter", partial(skegs.boss_bore, heel))
    boss = job.stage("the heel boss", "skeg.heel.outside_diameter", partial(skegs.boss, heel))
    foot = job.stage("the foot", "skeg.heel.foot_height", partial(skegs.foot, skeg, heel, strut.barrel))
    if boss is None or foot is None or bore is None:
        return
    cut_fin = job.stage("the skeg", "skeg.root_forward", partial(_trimmed, fin, [whole, foot, boss]))
    cut_foot = job.stage("the foot", "skeg.heel.foot_height", partial(_trimmed, foot, [boss, *skegs.over_boss(heel)]))
    bored = job.stage("the heel boss", "skeg.heel.pintle_diameter", partial(kernel.drilled, boss, [bore]))
    job.add("skeg", "skeg", cut_fin, STEEL, strut.material, "skeg.tip_chord")
    job.add("foot", "foot", cut_foot, STEEL, strut.material, "skeg.heel.foot_height")
    job.add("heel boss", "heel boss", bored, STEEL, strut.material, "skeg.heel.outside_diameter")


def _take_beads(job: Job, beads: list[Bead], made_arms: list[tuple[Arm, Solid]]) -> None:
    """Take the beads in; where two arms stand close, a bead gives way to the other arm and its beads."""
    taken: list[tuple[Arm | None, Solid]] = []
    crowded = _crowded(job.strut)
    for owner, name, shape in beads:
        final: Solid | None = shape
        if crowded and owner is not None and "to barrel" in name:
            others = [s for of, s in [*made_arms, *taken] if of is not None and of is not owner]
            final = job.stage(f"the {name}", "welds.beads", partial(_trimmed, shape, others))
        if final is not None:
            taken.append((owner, final))
            job.add(name, "weld", final, BEAD, job.strut.material, "welds.beads")


def _crowded(strut: Strut) -> bool:
    """Return True when the beads of two arms may meet in the crotch on the barrel; from there the arms diverge."""
    radius = strut.barrel.outside_mm / 2
    for k, a in enumerate(strut.arms):
        for b in strut.arms[:k]:
            open_rad = math.radians(frames.angle_between_deg(a.clock_deg, b.clock_deg))
            for arm in (a, b):
                open_rad -= math.asin(min(arm.thickness_barrel_mm / 2 / radius, 1.0))
            if radius * open_rad < a.barrel_root_mm + b.barrel_root_mm:
                return True
    return False
