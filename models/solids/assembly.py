"""From a resolved strut to its solid bodies: one cast body or the parts of a welded one, and the bearings."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from strutwright.models import frames
from strutwright.models.finding import Finding, Standing, Verdict
from strutwright.models.frames import Vector
from strutwright.models.geometry import members
from strutwright.models.geometry.members import ArmRoots, Member
from strutwright.models.geometry.roots import Root, Slab
from strutwright.models.solids import arm as arms
from strutwright.models.solids import barrel as barrels
from strutwright.models.solids import bearing as bearings
from strutwright.models.solids import kernel, watch, welds
from strutwright.models.solids import palm as palms
from strutwright.models.solids import skeg as skegs
from strutwright.models.solids.kernel import KernelError, Made, Solid
from strutwright.models.solids.watch import LOST_CODES, LostError
from strutwright.models.spec import Arm, Palm, Strut
from strutwright.params.words import Words, fine_mm, mm, say

Colour = tuple[float, float, float]
BRONZE: Colour = (0.72, 0.55, 0.30)
STEEL: Colour = (0.70, 0.72, 0.74)
SHELL: Colour = (0.80, 0.68, 0.32)
RUBBER: Colour = (0.15, 0.15, 0.16)
BUSH: Colour = (0.85, 0.84, 0.78)
BEAD: Colour = (0.55, 0.55, 0.52)

Bead = tuple[Arm | None, str, Solid]  # whose it is (None: the skeg's), name, body


KERNEL_CODES = {
    "kernel_failed",
    "arm_misses_barrel",
    "palm_misses_arm",
    "skeg_misses_barrel",
    "solid_not_valid",
    "bead_not_made",
}
"""Findings of what the kernel could not make, perhaps only for the place of the barrel's seam."""
DEEPER = (1.5, 2.2, 4.0)  # times the usual depth of a blend in what it stands on, tried when a joint goes wrong


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


@dataclass(slots=True)
class _Job:
    """What building gathers on its way."""

    strut: Strut
    seam: Vector
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
        self.findings.append(
            Finding(
                code,
                verdict,
                what,
                demanded,
                actual,
                "" if math.isnan(demanded) else "mm",
                "text",
                math.nan,
                "",
                Standing.GEOMETRY,
                advice,
                parameter,
                "build",
            )
        )

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
            self.fail(
                code,
                say("{what} could not be made: {why_not}", what=what, why_not=why_not),
                advice or f"change {parameter} or what it joins",
                parameter,
            )
        return made

    def add(self, name: str, kind: str, shape: Solid | None, colour: Colour, material: str, parameter: str) -> None:
        """Take a body in; a finding says when it is not one valid closed solid."""
        if shape is None:
            return
        shape = kernel.smoothed(shape)
        try:
            with watch.step(f"the finished {name}", parameter):
                if not (sound := kernel.is_sound(shape) and kernel.closes(shape)):
                    shape = kernel.smoothed(kernel.mended(shape))
                    sound = kernel.is_sound(shape) and kernel.closes(shape)
                volume = kernel.volume_mm3(shape)
        except LostError as error:
            self.findings.append(error.lost.finding("build"))
            return
        if not sound:
            self.fail(
                "solid_not_valid",
                f"the {name} is not a valid closed solid",
                f"change {parameter} a little; two surfaces may just touch",
                parameter,
            )
        self.parts.append(Part(name, kind, shape, colour, material, volume, parameter))


def build(strut: Strut) -> Built:
    """Return the solid bodies of a strut, in the strut frame, and what went wrong in building.

    Never raises on a resolved strut: what cannot be built as asked comes back as a finding of group "build" that names
    the parameter to change. A part that could not be made at all is left out.
    """
    begun = time.perf_counter()
    job = _made(strut, seams_of(strut)[0])
    for seam in seams_of(strut)[1:]:
        if not {f.code for f in job.findings} & KERNEL_CODES or any(f.code in LOST_CODES for f in job.findings):
            break
        again = _made(strut, seam)
        if not {f.code for f in again.findings} & KERNEL_CODES:
            job = again
    _bearings(job)
    _bush(job)
    name = strut.identity.name
    if strut.identity.hand != "centre":
        name = f"{name}, {strut.identity.hand}"
    return Built(name, tuple(job.parts), job.findings, time.perf_counter() - begun)


def seams_of(strut: Strut) -> list[Vector]:
    """Return where the seams of a strut's barrel may lie, the best place first."""
    return barrels.seam_directions([a.clock_deg for a in strut.arms] + ([180.0] if strut.skeg else []))


def _made(strut: Strut, seam: Vector) -> _Job:
    """Return what is built of arms, palms, barrel and skeg with the barrel's seam in a direction (3,)."""
    job = _Job(strut, seam)
    _sense(job)
    if strut.construction == "cast":
        _cast(job)
    else:
        _welded(job)
    return job


def outer_envelope(strut: Strut) -> Solid:
    """Return the barrel with its bore, slots and screw holes filled."""
    return barrels.envelope(strut.barrel, seams_of(strut)[0])


def _sense(job: _Job) -> None:
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
                    job.fail(
                        "arm_overhangs_barrel",
                        say(
                            "the root of the {arm} reaches {reach} from mid-barrel, past the {where} face",
                            arm=arm_name(a),
                            reach=mm(abs(x)),
                            where=where,
                        ),
                        "move arms.position or shorten arms.section.chord",
                        "arms.section.chord",
                        barrel.length_mm / 2,
                        abs(x),
                    )
                    break
        if a.thickness_barrel_mm >= barrel.outside_mm:
            job.fail(
                "arm_thicker_than_barrel",
                f"the {arm_name(a)} is thicker than the barrel",
                "make arms.section.thickness less than the barrel's outside",
                "arms.section.thickness",
                barrel.outside_mm,
                a.thickness_barrel_mm,
            )
    if strut.skeg is not None:
        s = strut.skeg
        if s.root_aft_station_mm < 0 or s.root_forward_station_mm > barrel.length_mm:
            job.fail(
                "skeg_overhangs_barrel",
                "the root of the skeg reaches past a face of the barrel",
                "keep skeg.root_aft and skeg.root_forward within the barrel",
                "skeg.root_forward",
                barrel.length_mm,
                s.root_forward_station_mm,
            )


def arm_name(a: Arm) -> str:
    """Return the name of an arm in plain words."""
    return a.name if "arm" in a.name else f"{a.name} arm"


def palm_name(name: str) -> str:
    """Return the name of a palm in plain words."""
    return name if "palm" in name else f"{name} palm"


# --- roots ----------------------------------------------------------------------------------------------------------


def _radius(job: _Job, asked_mm: float, fits_mm: float, what: str, parameter: str) -> float:
    """Return the radius with which a root is built: the one asked, or what fits, with a finding."""
    if fits_mm >= asked_mm:
        return asked_mm
    good = members.buildable_mm(fits_mm)
    code = "fillet_reduced" if good > 0 else "fillet_not_made"
    made = say("was made with radius {good}", good=fine_mm(good)) if good > 0 else say("was left out")
    job.fail(
        code,
        say(
            "the fillet {what} {made}: a ball of {asked} does not touch both sides all round",
            what=what,
            made=made,
            asked=fine_mm(asked_mm),
        ),
        say("set {parameter} to {good} or leave more room round the root", parameter=parameter, good=fine_mm(good)),
        parameter,
        asked_mm,
        good,
    )
    return good


# --- cast -----------------------------------------------------------------------------------------------------------


def cast_body(
    strut: Strut,
    barrel: Solid,
    plate: Callable[[Palm], Solid] = palms.plate,
    base: Callable[[Palm], Slab] = members.palm_base,
) -> tuple[Solid, list[Finding]]:
    """Return the body of a casting with its root blends, before anything is bored or drilled, and what went wrong.

    barrel: the solid to begin with. plate: makes a palm's plate without holes. base: that plate's water face, on which
    the arm's root stands.
    """
    job = _Job(strut, np.zeros(3))
    return _grown(job, barrel, plate, base), job.findings


def _grown(job: _Job, body: Solid, plate: Callable[[Palm], Solid], base: Callable[[Palm], Slab]) -> Solid:
    """Return the barrel with arms, skeg and palms joined to it."""
    faces = [base(p) for p in job.strut.palms]
    fits = job.stage("the roots", "arms.root_fillet", partial(members.fitting_roots, job.strut, faces))
    if fits is None:
        return body
    for a, radii in zip(job.strut.arms, fits.arms, strict=True):
        body = _join_arm(job, body, a, radii, faces[a.palm_index])
    body = _join_skeg(job, body, fits.skeg_mm)
    for k in range(len(job.strut.palms)):
        body = _join_palm(job, body, k, plate)
    return body


def _cast(job: _Job) -> None:
    strut, barrel = job.strut, job.strut.barrel
    body = job.stage("the barrel", "barrel.length", partial(barrels.envelope, barrel, job.seam))
    if body is None:
        return
    body = _grown(job, body, palms.plate, members.palm_base)
    groups = _barrel_cutters(job) + _palm_cutters(job)
    if strut.skeg is not None and strut.skeg.heel is not None:
        bore = job.stage("the heel bore", "skeg.heel.pintle_diameter", partial(skegs.boss_bore, strut.skeg.heel))
        groups += [("the heel bore", "skeg.heel.pintle_diameter", [bore])] if bore is not None else []
        groups += [("the faces of the heel boss", "skeg.heel.foot_height", skegs.over_boss(strut.skeg.heel))]
    body = _cut_away(job, body, groups)
    job.add("strut", "strut", body, BRONZE, strut.material, "arms.root_fillet")


def _arm_to(job: _Job, a: Arm, height_mm: float) -> Solid | None:
    """Return an arm up to a height (mm) over its palm's hull face, its barrel end still inside the barrel."""
    return job.stage(f"the {arm_name(a)}", "arms.section.chord", partial(arms.plain, job.strut, a, height_mm))


def _join_arm(job: _Job, body: Solid, a: Arm, fits: ArmRoots, water: Slab) -> Solid:
    name = arm_name(a)
    radii = (
        _radius(job, a.barrel_root_mm, fits.barrel_mm, f"of the {name} at the barrel", "arms.root_fillet.barrel"),
        _radius(job, a.palm_root_mm, fits.palm_mm, f"of the {name} at the palm", "arms.root_fillet.palm"),
    )
    made = job.stage(f"the {name}", "arms.section.chord", partial(arms.rooted, job.strut, a, radii, water))
    if made is None:
        return body
    joined = job.stage(
        f"the joint of the {name} and the barrel",
        "arms.position",
        partial(_joined, body, made, partial(arms.rooted, job.strut, a, radii, water)),
        "arm_misses_barrel",
        "move arms.position to within the barrel",
    )
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


def _join_palm(job: _Job, body: Solid, index: int, plate: Callable[[Palm], Solid]) -> Solid:
    palm = job.strut.palms[index]
    made = job.stage(
        f"the {palm_name(palm.name)}",
        "palm.bevel.width" if palm.bevel_width_mm > 0 else "palm.outline",
        partial(plate, palm),
    )
    if made is None:
        return body
    pair = job.stage(
        f"the joint of the {palm_name(palm.name)} and its arm",
        "palm.outline",
        partial(kernel.fuse, body, made),
        "palm_misses_arm",
        "move palm.offset or enlarge palm.outline",
    )
    return body if pair is None else pair[0]


def _join_skeg(job: _Job, body: Solid, fits_mm: float) -> Solid:
    strut = job.strut
    skeg = strut.skeg
    if skeg is None:
        return body
    radius = _radius(job, skeg.root_mm, fits_mm, "of the skeg at the barrel", "skeg.root_fillet")
    fin = job.stage("the skeg", "skeg.tip_chord", partial(skegs.fin, skeg, strut.barrel, radius))
    if fin is None:
        return body
    joined = job.stage(
        "the joint of the skeg and the barrel",
        "skeg.root_forward",
        partial(_joined, body, fin, partial(skegs.fin, skeg, strut.barrel, radius)),
        "skeg_misses_barrel",
        "keep skeg.root_aft and skeg.root_forward within the barrel",
    )
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


Cutters = tuple[str, str, list[Solid]]  # what they make, the parameter to blame, the solids


def _cut_away(job: _Job, body: Solid, groups: Sequence[Cutters]) -> Solid:
    """Return body less all cutters, still in one piece; what would take it apart is left out, with a finding."""
    with suppress(LostError), watch.step("all cutters together", groups[0][1] if groups else ""):
        done, _ = kernel.attempt(partial(kernel.drilled, body, [s for _, _, tools in groups for s in tools]))
        if done is not None:
            return done
    for what, parameter, tools in groups:
        less = job.stage(
            what,
            parameter,
            partial(kernel.drilled, body, tools),
            "cut_in_pieces",
            f"change {parameter}, so that the part stays in one piece",
        )
        body = body if less is None else less
    return body


def _barrel_cutters(job: _Job) -> list[Cutters]:
    """Return the cutters of bore, water slots and set screws."""
    barrel = job.strut.barrel
    wanted: tuple[tuple[str, str, Callable[[], list[Solid]]], ...] = (
        (
            "the bore",
            "barrel.steps" if barrel.steps else "barrel.bore",
            lambda: [barrels.bore_cutter(barrel, job.seam)],
        ),
        ("the water slots", "barrel.slots", lambda: barrels.slot_cutters(barrel)),
        ("the set-screw holes", "set_screws.positions", lambda: barrels.screw_cutters(barrel, job.strut.set_screws)),
    )
    return [(what, parameter, job.stage(what, parameter, make) or []) for what, parameter, make in wanted]


def _palm_cutters(job: _Job, only: int | None = None) -> list[Cutters]:
    """Return the cutters of the bolt holes of all palms or of one."""
    strut = job.strut
    out: list[Cutters] = []
    for k, palm in enumerate(strut.palms):
        if only is not None and k != only:
            continue
        # A head's recess is cut free as far out as a root may stand over the water face.
        root = max((a.palm_root_mm for a in strut.arms if a.palm_index == k), default=0.0)
        above = 1.0 + min(root, palm.bolt.head_diameter_mm)
        what = f"the bolt holes of the {palm_name(palm.name)}"
        made = job.stage(
            what, "bolts.size", partial(palms.hole_cutters, palm, above), advice="change bolts.size or palm.thickness"
        )
        out.append((what, "bolts.pattern", made or []))
    return out


# --- welded ---------------------------------------------------------------------------------------------------------


def _welded(job: _Job) -> None:
    strut, barrel, weld = job.strut, job.strut.barrel, job.strut.weld
    whole = job.stage("the barrel", "barrel.length", partial(barrels.envelope, barrel, job.seam))
    if whole is None:
        return
    tube = _cut_away(job, whole, _barrel_cutters(job))
    job.add("barrel", "barrel", tube, STEEL, strut.material, "barrel.bore")

    plates = [
        job.stage(
            f"the {palm_name(p.name)}",
            "palm.bevel.width" if p.bevel_width_mm > 0 else "palm.outline",
            partial(palms.plate, p),
        )
        for p in strut.palms
    ]
    made_arms: list[tuple[Arm, Solid]] = []
    beads: list[Bead] = []
    for a in strut.arms:
        palm = strut.palms[a.palm_index]
        blank = _arm_to(job, a, -palm.thickness_mm)
        if blank is None:
            continue
        trimmed = job.stage(
            f"the {arm_name(a)}", "arms.position", partial(_trimmed, blank, [whole, *(s for _, s in made_arms)])
        )
        if trimmed is None:
            continue
        final, grooves = trimmed, list[Bead]()
        if weld.prep == "double_bevel":
            final, grooves = _bevelled(job, a, trimmed)
        if weld.beads:
            beads += _beads(job, a, blank, whole, plates[a.palm_index]) + grooves
        made_arms.append((a, final))
        job.add(arm_name(a), "arm", final, STEEL, strut.material, "arms.section.chord")

    for k, (palm, plate) in enumerate(zip(strut.palms, plates, strict=True)):
        if plate is None:
            continue
        drilled = _cut_away(job, plate, _palm_cutters(job, k))
        job.add(palm_name(palm.name), "palm", drilled, STEEL, strut.material, "bolts.pattern")
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


def _bevelled(job: _Job, a: Arm, trimmed: Solid) -> tuple[Solid, list[Bead]]:
    """Return an arm with its ends prepared for welding, and the filling of the grooves."""
    strut = job.strut
    grooves: list[Bead] = []

    def make() -> tuple[list[welds.Wedge], Solid]:
        made = welds.wedges(a, strut.barrel, strut.palms[a.palm_index], strut.weld)
        for w in made:
            if w.solid is not None:
                fill = _piece(kernel.common(trimmed, w.solid))
                grooves.append((a, f"weld {arm_name(a)} to {w.end}, {w.side} groove", fill))
        return made, _trimmed(trimmed, [w.solid for w in made if w.solid is not None])

    done = job.stage(
        f"the bevels of the {arm_name(a)}",
        "welds.prep",
        make,
        "bevel_not_made",
        "set welds.prep to none, or reduce welds.root_face",
    )
    if done is None:
        return trimmed, []
    made, final = done
    for w in made:
        if w.solid is None:
            job.warn(
                "bevel_left_out",
                f"the {w.side} flank of the {arm_name(a)} stands at {w.flank_deg:.0f} degrees "
                f"to the {w.end}; no bevel is cut there",
                "agree the preparation of that side with the welder",
                "welds.prep_angle",
            )
    return final, grooves


def _beads(job: _Job, a: Arm, blank: Solid, whole: Solid, plate: Solid | None) -> list[Bead]:
    """Return the beads of an arm at the barrel and at the palm."""
    strut, palm = job.strut, job.strut.palms[a.palm_index]
    member = members.arm_member(strut, a)
    out = _bead(
        job,
        a,
        f"weld {arm_name(a)} to barrel",
        "welds.arm_to_barrel_leg",
        member,
        members.barrel_root(member, strut.barrel, 0.0),
        a.barrel_root_mm,
        [blank, whole],
        strut.barrel.length_mm / 2,
    )
    if plate is not None:
        into = _arm_to(job, a, -palm.thickness_mm / 2)
        if into is not None:
            out += _bead(
                job,
                a,
                f"weld {arm_name(a)} to palm",
                "welds.arm_to_palm_leg",
                member,
                members.palm_root(member, palm, 0.0),
                a.palm_root_mm,
                [into, plate],
            )
    return out


def _bead(
    job: _Job,
    owner: Arm | None,
    name: str,
    parameter: str,
    member: Member,
    root: Root,
    leg_mm: float,
    parts: list[Solid],
    half_mm: float | None = None,
) -> list[Bead]:
    """Return the bead all round a joint; half_mm: half the barrel's length for one on it."""
    if leg_mm <= 0:
        return []
    fits = members.largest_leg_mm(member, root, leg_mm, half_mm)
    if fits < leg_mm:
        good = members.buildable_mm(fits)
        job.fail(
            "bead_not_made",
            say(
                "the {name} was left out: a leg of {leg} does not lie on both sides all round",
                name=name,
                leg=fine_mm(leg_mm),
            ),
            say("set {parameter} to {good} at most", parameter=parameter, good=fine_mm(good)),
            parameter,
            leg_mm,
            good,
        )
        return []
    made = (
        job.stage(
            f"the {name}",
            parameter,
            partial(welds.bead, member.ruled, root, leg_mm, parts),
            "bead_not_made",
            f"reduce {parameter}, or switch welds.beads off",
        )
        or []
    )
    return [(owner, name if k == 0 else f"{name} {k + 1}", s) for k, s in enumerate(made)]


def _welded_skeg(job: _Job, whole: Solid, beads: list[Bead]) -> None:
    strut = job.strut
    skeg = strut.skeg
    if skeg is None:
        return
    fin = job.stage("the skeg", "skeg.tip_chord", partial(skegs.fin, skeg, strut.barrel))
    if fin is None:
        return
    if strut.weld.beads:
        member = members.fin_member(skeg, strut.barrel)
        beads += _bead(
            job,
            None,
            "weld skeg to barrel",
            "welds.skeg_to_barrel_leg",
            member,
            members.barrel_root(member, strut.barrel, 0.0),
            skeg.root_mm,
            [fin, whole],
            strut.barrel.length_mm / 2,
        )
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


def _take_beads(job: _Job, beads: list[Bead], made_arms: list[tuple[Arm, Solid]]) -> None:
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


# --- bearings and bush ----------------------------------------------------------------------------------------------


def _bearings(job: _Job) -> None:
    barrel = job.strut.barrel
    for k, b in enumerate(job.strut.bearings):
        tail = f" {k + 1}" if len(job.strut.bearings) > 1 else ""
        shell = job.stage("the bearing shell", "bearing.shell", partial(bearings.shell, b, barrel))
        job.add(f"bearing shell{tail}", "bearing shell", shell, SHELL, b.shell_material, "bearing.shell")
        rubber = job.stage("the bearing rubber", "bearing.flutes.width", partial(bearings.rubber, b, barrel))
        job.add(f"bearing rubber{tail}", "bearing rubber", rubber, RUBBER, "rubber", "bearing.flutes.width")


def _bush(job: _Job) -> None:
    skeg = job.strut.skeg
    if skeg is None or skeg.heel is None or skeg.heel.bush_wall_mm <= 0:
        return
    heel = skeg.heel
    made = job.stage("the heel bush", "skeg.heel.bush_wall", partial(skegs.bush, heel))
    job.add("heel bush", "heel bush", made, BUSH, "bush material by choice", "skeg.heel.bush_wall")
