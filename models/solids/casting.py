"""The solids of a cast strut's pattern set: pattern, its two halves, core and core box, at pattern scale."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np

from strutwright.models import frames
from strutwright.models.finding import Finding, Verdict, in_words
from strutwright.models.frames import Axes, Vector
from strutwright.models.geometry import members
from strutwright.models.geometry.barrel import outside_chain
from strutwright.models.geometry.flange import rib_profile
from strutwright.models.geometry.roots import Slab
from strutwright.models.outline import Outline
from strutwright.models.shop import drafted, foundry, pattern_findings
from strutwright.models.shop.foundry import FoundrySpec
from strutwright.models.shop.ribs_drawn import aslant_deg, how_drawn
from strutwright.models.shop.split_casting import SplitCasting, split_casting
from strutwright.models.solids import casting_split, kernel, triangles, watch
from strutwright.models.solids import flange as flanges
from strutwright.models.solids import palm as palms
from strutwright.models.solids.assembly import seams_of
from strutwright.models.solids.cast import cast_body
from strutwright.models.solids.drafting import rim, roof_planes, roofed
from strutwright.models.solids.job import Colour, Job, Part
from strutwright.models.solids.kernel import KernelError, Made, Solid
from strutwright.models.spec import Palm, Plate, Strut
from strutwright.models.spec_flange import Flange
from strutwright.params import limits as limit_table
from strutwright.params.limits import Limits
from strutwright.params.words import Words, mm, say

WOOD: Colour = (0.82, 0.66, 0.42)
WOOD_DARK: Colour = (0.66, 0.50, 0.31)
SAND: Colour = (0.80, 0.76, 0.66)
X = np.array([1.0, 0.0, 0.0])
BOX_WALL_MM = 20.0  # least wood round the core in its box; common practice, no source
DOWEL_MM = 8.0  # dowels of the core box
DOWEL_DEEP_MM = 12.0
LOOSE_MM = 0.02  # corners of a solid that miss each other by more are no corners
BESIDE_MM = (0.001, -0.001, 0.003, -0.003)  # how far beside its plane a half is parted when nothing else does it
FLAKE = 1e-6  # of the pattern: a piece of less is a slip of the kernel along the parting plane


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternSet:
    """A built pattern set; all parts at pattern scale in the strut frame, the datum being the origin.

    pattern: in one piece, with core prints; of a split hanger that of the body, whose cap has a pattern of its own, in
    one piece on a flat joint. halves: the same, parted, the one on the pull's positive side first; empty
    when it could not be parted. core, core_box: empty when the bore is cast solid. casting_mm3, cap_mm3: volume of the
    rough castings, contraction taken out, bore as cast. pull: unit vector (3,) in which the first half leaves the
    mould. limits: those of the job.
    """

    strut: Strut
    spec: FoundrySpec
    pattern: Part
    halves: tuple[Part, ...]
    core: tuple[Part, ...]
    core_box: tuple[Part, ...]
    casting_mm3: float
    pull: Vector
    findings: list[Finding]
    seconds: float
    limits: Limits = field(default_factory=limit_table.standard)
    cap: tuple[Part, ...] = ()
    cap_mm3: float = 0.0

    def parts(self) -> tuple[Part, ...]:
        """Return all parts of the set."""
        return (self.pattern, *self.halves, *self.cap, *self.core, *self.core_box)

    @property
    def casting_kg(self) -> float:
        """Weight of the rough castings together, without runners and feeders, kg."""
        return foundry.casting_weight_kg(self.casting_mm3 + self.cap_mm3, self.spec.density_kg_m3)


@dataclass(slots=True)
class _Job:
    strut: Strut
    spec: FoundrySpec
    seam: Vector
    limits: Limits
    findings: list[Finding] = field(default_factory=list)
    split: SplitCasting | None = None
    of_cap: bool = False
    """Whether it is the cap of a split hanger that is made, on its flat joint."""

    @property
    def pull(self) -> Vector:
        if self.of_cap and self.split is not None:
            return self.split.toward
        return foundry.parting_axes(self.strut, self.spec.parting).n

    @property
    def joint_mm(self) -> float:
        """Where the parting plane lies along the pull."""
        return -self.split.open_mm if self.of_cap and self.split is not None else 0.0

    def say(self, code: str, verdict: Verdict, what: Words, advice: Words, parameter: str) -> None:
        self.findings.append(in_words(code, verdict, what, advice, parameter, group=pattern_findings.GROUP))

    def stage(self, what: str, make: Callable[[], Made], parameter: str) -> Made | None:
        with watch.step(what, parameter):
            made, why_not = kernel.attempt(make)
        if why_not:
            told = say("{what} could not be made: {why_not}", what=what, why_not=why_not)
            self.say("pattern_not_made", Verdict.FAIL, told, f"change {parameter} a little", parameter)
        return made

    def part(self, name: str, kind: str, shape: Solid, colour: Colour, material: str) -> Part:
        with watch.step(f"the finished {name}", "pattern"):
            sound, volume = kernel.is_sound(shape), kernel.volume_mm3(shape)
        if not sound:
            what = f"the {name} is not a valid closed solid"
            advice = "change arms.root_fillet or pattern.draft a little"
            self.say("pattern_not_valid", Verdict.FAIL, what, advice, "pattern.draft")
        return Part(name, kind, shape, colour, material, volume, "pattern")


def build_pattern(strut: Strut, spec: FoundrySpec, limits: Limits | None = None) -> PatternSet | None:
    """Return the pattern set of a cast strut of one hand, or None when the kernel cannot make its barrel.

    What was built otherwise than asked, or cannot be drafted, is in the findings (group "pattern"). As with the strut
    itself, the seam of the barrel is tried elsewhere when something fails. limits: as shipped when left out.
    """
    limits = limit_table.standard() if limits is None else limits
    best: tuple[int, PatternSet] | None = None
    for seam in seams_of(strut):
        made = _with_seam(strut, spec, seam, limits)
        fails = sum(f.fails for f in made.findings) if made is not None else 0
        if made is not None and (best is None or fails < best[0]):
            best = fails, made
        if not fails:
            break
    return None if best is None else best[1]


def _with_seam(strut: Strut, spec: FoundrySpec, seam: Vector, limits: Limits) -> PatternSet | None:
    begun = time.perf_counter()
    job = _Job(strut, spec, seam, limits, split=split_casting(strut, spec))
    cast = foundry.casting_strut(strut, spec)
    barrel = job.stage("the barrel of the pattern", partial(_barrel, job), "barrel.length")
    if barrel is None:
        return None
    if job.split is not None:
        barrel = (
            job.stage("the ears of the pattern", partial(_eared, job, job.split, barrel), "cap.ear_thickness") or barrel
        )
    body = _body(job, cast, barrel)
    if job.split is not None:
        cut = partial(casting_split.opened, strut, spec, job.split, body, job.pull)
        body = job.stage("the split of the pattern", cut, "cap.ear_thickness") or body
    solid_volume = kernel.volume_mm3(body)
    core: tuple[Part, ...] = ()
    box: tuple[Part, ...] = ()
    core_in_metal = 0.0
    if spec.cored:
        rod = job.stage("the core", partial(_core, job), "pattern.stock.bore")
        printed = job.stage("the core prints", partial(_with_prints, job, body), "pattern.stock.bore")
        if rod is not None and printed is not None:
            core_in_metal = float(sum(s.Volume() for s in kernel.solids(kernel.common(body, rod))))
            body = printed
            core = (job.part("core", "core", _scaled(job, rod), SAND, "core sand"),)
            box = tuple(job.stage("the core box", partial(_core_box, job), "pattern.stock.bore") or ())
    else:
        what = say("the bore is cast solid: a core would be under {least} thick", least=mm(foundry.SOLID_BORE_MM))
        job.say("pattern_bore_solid", Verdict.INFORMATION, what, "drill and bore from solid", "barrel.bore")
    pattern = job.part("pattern", "pattern", _scaled(job, body), WOOD, "pattern material by choice")
    halves = job.stage("the halves of the pattern", partial(_halves, job, pattern.shape), "pattern.parting") or ()
    cap = None if job.split is None else _cap(replace(job, of_cap=True), job.split)
    rough_mm3, seconds = solid_volume - core_in_metal, time.perf_counter() - begun
    return PatternSet(
        strut=strut,
        spec=spec,
        pattern=pattern,
        halves=tuple(halves),
        core=core,
        core_box=box,
        casting_mm3=rough_mm3,
        pull=job.pull,
        findings=job.findings,
        seconds=seconds,
        limits=limits,
        cap=() if cap is None else (cap[0],),
        cap_mm3=0.0 if cap is None else cap[1],
    )


# --- split hanger ---------------------------------------------------------------------------------------------------


def _eared(job: _Job, split: SplitCasting, barrel: Solid) -> Solid:
    way = 1.0 if job.of_cap else -1.0
    return kernel.fuse(barrel, casting_split.ears(job.strut, job.spec, split, way, job.pull))[0]


def _cap(job: _Job, split: SplitCasting) -> tuple[Part, float] | None:
    """Return the pattern of a split hanger's cap, and the volume of its rough casting."""

    def make() -> tuple[Solid, float]:
        whole = _eared(job, split, _barrel(job))
        half = casting_split.cut_flat(split, job.spec, whole)
        volume = kernel.volume_mm3(half)
        if not job.spec.cored:
            return half, volume
        core = kernel.common(half, _rod(job, *foundry.core_ends_mm(job.strut, job.spec)))
        return _with_prints(job, half), volume - sum(s.Volume() for s in kernel.solids(core))

    made = job.stage("the pattern of the cap", make, "cap.ear_thickness")
    if made is None:
        return None
    return job.part("cap pattern", "pattern", _scaled(job, made[0]), WOOD_DARK, "pattern material by choice"), made[1]


def _scaled(job: _Job, solid: Solid) -> Solid:
    return solid.scale(job.spec.factor) if job.spec.factor != 1.0 else solid


# --- drafted pieces -------------------------------------------------------------------------------------------------


def _barrel(job: _Job) -> Solid:
    """Return the barrel in the solid, with the stock and draft of its free ends as collars."""
    b = job.strut.barrel
    (aft_rim, aft), (fore_rim, fore) = foundry.end_faces_mm(job.strut, job.spec)
    rows = [(b.x(s), r, bulge) for s, r, bulge in outside_chain(b)]
    first, last = rows[0], rows[-1]
    aft_free, fore_free = foundry.free_ends(job.strut)
    aft, fore = aft if aft_free else first[0], fore if fore_free else last[0]
    if job.of_cap:  # its draft begins at the joint
        more = [foundry.draft_offset_mm(-job.joint_mm, d) for d in foundry.end_drafts_deg(job.strut, job.spec)]
        aft, fore = aft - more[0], fore + more[1]
    if first[0] - aft > 1e-6:
        rows.insert(0, (aft, first[1], 0.0))
    if fore - last[0] > 1e-6:
        rows[-1] = (last[0], last[1], 0.0)
        rows.append((fore, last[1], 0.0))
    made = kernel.revolve(Outline(np.array([*rows, (fore, 0.0, 0.0), (aft, 0.0, 0.0)])), np.zeros(3), X, job.seam)
    if job.of_cap and job.split is not None and first[1] == last[1] == b.outside_mm / 2:
        made = kernel.fuse(made, casting_split.straight(job.split, job.spec, b.outside_mm / 2, aft, fore))[0]
    leans_aft, leans_fore = foundry.end_drafts_deg(job.strut, job.spec)
    if aft_free and not job.spec.draft.none:
        made = roofed(made, job.pull, rim(first[1], aft_rim), -X, (leans_aft, leans_aft), job.joint_mm)
    if fore_free and not job.spec.draft.none:
        made = roofed(made, job.pull, rim(last[1], fore_rim), X, (leans_fore, leans_fore), job.joint_mm)
    return made


def _plate(job: _Job, palm: Plate, water: bool = True) -> Solid:
    """Return a palm's plate with draft on its edges, and on its two faces where the pull lies nearly along them. A
    bevelled palm keeps its water face, and any palm without `water`; its edges stay plain where the kernel's bevel does
    not close on the drafted ones."""
    leaned = drafted.drafted_palm_outline(palm, job.pull, job.spec.draft)
    made = _plate_of(job, palm, leaned, water)
    if palm.bevel_width_mm <= 0 or leaned is palm.outline or kernel.slack_mm(made) < LOOSE_MM:
        return made
    if not any(f.code == "pattern_edge_plain" for f in job.findings):
        what = "the palm's edges were left without draft, because their bevel does not close on edges with draft"
        advice = "give the edges draft by hand on the pattern"
        job.say("pattern_edge_plain", Verdict.WARN, what, advice, "pattern.draft")
    return _plate_of(job, palm, palm.outline, water)


def _plate_of(job: _Job, palm: Plate, outline: Outline, water: bool) -> Solid:
    spec, pull, axes, box = job.spec, job.pull, _axes(job, palm), outline.bounding_box()
    if not _drafted_faces(job, palm):
        if isinstance(palm, Palm):
            return palms.plate(replace(palm, outline=outline))
        return kernel.prism(kernel.outline_wire(outline, axes), -palm.thickness_mm * axes.n)
    drafts_deg = drafted.palm_drafts_deg(palm, pull, spec.draft)
    lean = math.tan(math.radians(job.limits["pattern_tilt"].value + max(drafts_deg)))
    room = 1.0 + math.hypot(box.xmax - box.xmin, box.ymax - box.ymin) * lean
    water = water and palm.bevel_width_mm <= 0
    below = palm.thickness_mm + (room if water else 0.0)
    made = kernel.prism(kernel.outline_wire(outline, axes, -below), (below + room) * axes.n)
    if palm.bevel_width_mm > 0:
        made = palms.bevelled(made, outline, axes, below, palm.bevel_width_mm, palm.bevel_height_mm)
    outward = _outward(axes, pull)
    made = roofed(made, job.pull, axes.to_strut(outline.polyline(0.05)), outward, drafts_deg)
    if water:
        leans = spec.draft.under_root_deg
        rim = axes.to_strut(outline.polyline(0.05), -palm.thickness_mm)
        made = roofed(made, job.pull, rim, -outward, (leans, leans))
    return made


def _axes(job: _Job, plate: Plate) -> Axes:
    return frames.flange_axes(plate, job.strut.barrel) if isinstance(plate, Flange) else drafted.face_of(plate)


def _drafted_faces(job: _Job, palm: Plate) -> bool:
    """Return whether the palm's two faces get draft: not where they would want too much metal for it."""
    return not job.spec.draft.none and not pattern_findings.overhangs(palm, job.pull, job.limits)


def _outward(axes: Axes, pull: Vector) -> Vector:
    return frames.unit(axes.n - float(axes.n @ pull) * pull)


def _water_face(job: _Job, palm: Palm) -> Slab:
    """Return the water face of a palm's plate, on which the arm's root stands: plane, or a roof of two planes."""
    if palm.bevel_width_mm > 0 or not _drafted_faces(job, palm):
        return members.palm_base(palm)
    outline = drafted.drafted_palm_outline(palm, job.pull, job.spec.draft)
    leans = job.spec.draft.under_root_deg
    rim = frames.palm_axes(palm).to_strut(outline.polyline(0.05), -palm.thickness_mm)
    one, other = roof_planes(job.pull, rim, -_outward(frames.palm_axes(palm), job.pull), (leans, leans))
    return Slab((one, other))


def _grown(job: _Job, cast: Strut, barrel: Solid, water: bool = True) -> tuple[Solid, list[Finding]]:
    """Return the drafted body with its root blends, and what went wrong. water: whether the faces on which the rest
    stands have draft."""
    if cast.flange is not None:
        return _flanged(job, cast, cast.flange, barrel, water)
    base = partial(_water_face, job) if water else members.palm_base
    return cast_body(cast, barrel, members.root_room(job.limits), partial(_plate, job, water=water), base)


def _body(job: _Job, cast: Strut, barrel: Solid) -> Solid:
    """Return the drafted body with its root blends, bore solid; the water faces give up their draft where the body
    could not be joined with it."""
    body, findings = _grown(job, cast, barrel)
    sound = kernel.is_sound(body) and triangles.closes(body)
    if (any(f.fails for f in findings) or not sound) and not job.spec.draft.none:
        plain, less = _grown(job, cast, barrel, water=False)
        mends = not sound and kernel.is_sound(plain) and triangles.closes(plain)
        if mends or sum(f.fails for f in less) < sum(f.fails for f in findings):
            body, findings = plain, less
            joins = "arm" if cast.flange is None else "barrel"
            what = (
                f"the palm's water face was left without draft, because the {joins} could not be joined to a face with "
                "draft"
            )
            advice = f"give the water face draft by hand on the pattern, away from the {joins}"
            job.say("pattern_water_face_plain", Verdict.WARN, what, advice, "pattern.draft")
    # A blend a little smaller than on the part is scraped to size on the pattern.
    job.findings += [
        replace(f, group=pattern_findings.GROUP, verdict=Verdict.WARN if f.code == "fillet_reduced" else f.verdict)
        for f in findings
    ]
    return body


# --- flange ---------------------------------------------------------------------------------------------------------


def _flanged(job: _Job, cast: Strut, flange: Flange, barrel: Solid, water: bool = True) -> tuple[Solid, list[Finding]]:
    """Return the drafted body of a housing, bored solid, and what went wrong. water: whether the flange's free face has
    draft."""
    own = Job(cast, job.seam, members.root_room(job.limits))
    # An end that is faced stands free in the casting too, however near stock brings the rough face to it.
    free = all(foundry.free_ends(job.strut))
    made = partial(flanges.ended, flange, cast.barrel, barrel)
    whole = barrel if free else own.stage("the barrel", "barrel.length", made)
    plate = own.stage("the flange", "flange.outline", partial(_plate, job, flange, water))
    if whole is None or plate is None:
        return barrel, own.findings
    pair = own.stage("the joint of flange and barrel", "flange.position", partial(kernel.fuse, whole, plate))
    if pair is None:
        return barrel, own.findings
    risen = replace(flange, thickness_mm=flange.thickness_mm + (_risen_mm(job, flange) if water else 0.0))
    body = flanges.root(own, risen, pair[0])
    ribs = own.stage("the ribs", "flange.ribs", partial(_ribs, job, flange)) or []
    spigot = own.stage("the spigot", "spigot", partial(_spigot, job, own, flange)) or []
    for what, parameter, solids in (("the ribs", "flange.ribs", ribs), ("the spigot", "spigot", spigot)):
        body = flanges.with_solids(own, body, what, parameter, solids)
    return body, own.findings


def _risen_mm(job: _Job, flange: Flange) -> float:
    """How far draft lifts the free face at the edge of the root, where the root's ring has to lie in it, mm."""
    if not _drafted_faces(job, flange):
        return 0.0
    axes, rim = _axes(job, flange), job.strut.barrel.outside_mm / 2 + flange.root_mm
    edge = axes.to_strut(
        drafted.drafted_palm_outline(flange, job.pull, job.spec.draft).polyline(0.05), -flange.thickness_mm
    )
    outward, leans = -_outward(axes, job.pull), job.spec.draft.under_root_deg
    top = drafted.roof(edge - axes.origin, job.pull, outward, (leans, leans))
    off = top.ridge_mm - rim * max(top.tan_plus, top.tan_minus)
    return max(0.0, off - flange.thickness_mm * abs(float(axes.n @ outward)))


def _spigot(job: _Job, own: Job, flange: Flange) -> list[Solid]:
    """The spigot with stock; its end has draft."""
    if flange.spigot is None:
        return []
    forward = int(flange.plane.looks == "forward")
    edge, ridge = foundry.end_faces_mm(job.strut, job.spec)[forward]
    long = flange.spigot.length_mm + abs(ridge - edge)
    (made,) = flanges.spigot(own, replace(flange, spigot=replace(flange.spigot, length_mm=long)))
    if job.spec.draft.none:
        return [made]
    leans = foundry.end_drafts_deg(job.strut, job.spec)[forward]
    return [roofed(made, job.pull, rim(flange.spigot.outside_mm / 2, edge), X if forward else -X, (leans, leans))]


def _ribs(job: _Job, flange: Flange) -> list[Solid]:
    """The ribs. One that stands out along the pull, or aslant by so little that it can be filled up, leans in on both
    its sides; the others have no draft, which is told (`shop/ribs_drawn`)."""
    ribs, barrel = flange.ribs, job.strut.barrel
    made = []
    for clock in () if ribs is None else ribs.clocks_deg:
        assert ribs is not None
        if job.spec.draft.none or how_drawn(clock, job.pull) != "along":
            made.append(flanges.rib(flange, barrel, clock))
            continue
        radial = frames.radial(clock)
        across, away = np.cross(X, radial), math.copysign(1.0, float(radial @ job.pull)) * job.pull
        height = barrel.outside_mm / 2 + ribs.out_mm
        leans = job.spec.draft.at(ribs.out_mm)
        aslant = aslant_deg(clock, job.pull)
        solid = flanges.rib(flange, barrel, clock, foundry.draft_offset_mm(height, leans + aslant) + 1.0)
        for side in (1.0, -1.0):
            outward = side * across - float(side * across @ job.pull) * job.pull
            # The side that faces away from the joint opens by itself.
            lean = max(leans, math.degrees(math.asin(float(np.clip(side * across @ away, -1, 1)))))
            corners = [
                np.array([x, 0.0, 0.0]) + r * radial + side * ribs.thickness_mm / 2 * across
                for x, r in rib_profile(flange, barrel, clock)
            ]
            solid = roofed(solid, job.pull, np.array(corners), frames.unit(outward), (lean, lean))
        made.append(solid)
    return made


# --- core -----------------------------------------------------------------------------------------------------------


def _core(job: _Job) -> Solid:
    aft, fore = foundry.core_ends_mm(job.strut, job.spec)
    return _rod(job, aft, fore)


def _rod(job: _Job, aft_mm: float, fore_mm: float) -> Solid:
    """The core between two places: round, or half-round where the barrel is split."""
    radius = job.spec.core_diameter_mm / 2
    if job.split is not None:
        return casting_split.rod(job.split, 1.0 if job.of_cap else -1.0, radius, aft_mm, fore_mm)
    return kernel.cylinder(aft_mm * X, X, radius, fore_mm - aft_mm)


def _with_prints(job: _Job, body: Solid) -> Solid:
    """Return the body with a core print at each end; their faces have draft beyond the core's length. Where the barrel
    is split the print runs on from end to end, along the open side of the bore."""
    spec = job.spec
    radius = spec.core_diameter_mm / 2
    leans = spec.draft.at(radius)
    more = foundry.draft_offset_mm(radius - job.joint_mm, leans)
    ends = foundry.core_ends_mm(job.strut, spec)
    if job.split is not None:
        made = _rod(job, ends[0] - more, ends[1] + more)
        for end in () if spec.draft.none else ends:
            made = roofed(made, job.pull, rim(radius, end), math.copysign(1.0, end) * X, (leans, leans), job.joint_mm)
        return kernel.fuse(body, made)[0]
    for end in ends:
        way = math.copysign(1.0, end) * X
        made = kernel.cylinder(np.zeros(3), way, radius, abs(end) + more)
        if not spec.draft.none:
            made = roofed(made, job.pull, rim(radius, end), way, (leans, leans))
        body = kernel.fuse(body, made)[0]
    return body


def _core_box(job: _Job) -> list[Part]:
    """Return the two halves of the core box at pattern scale: blocks as long as the core, open at both ends, split
    along its axis, with holes for dowels; of a half-round core the one box that makes it."""
    k, spec = job.spec.factor, job.spec
    if job.split is not None:
        low, high = foundry.core_ends_mm(job.strut, spec)
        one = casting_split.core_box(job.split, k, spec.core_diameter_mm / 2, (low, high), BOX_WALL_MM)
        return [job.part("core box", "core box", one, WOOD_DARK, "pattern material by choice")]
    ends = [k * x for x in foundry.core_ends_mm(job.strut, spec)]
    radius = k * spec.core_diameter_mm / 2
    half, middle, length = radius + BOX_WALL_MM, (ends[0] + ends[1]) / 2, ends[1] - ends[0]
    axes = foundry.parting_axes(job.strut, spec.parting)
    rod = kernel.cylinder((ends[0] - 1.0) * X, X, radius, length + 2.0)
    out = []
    for name, n in zip(("first half", "second half"), (axes.n, -axes.n), strict=True):
        frame = Axes(middle * X, X, axes.v, n)
        block = kernel.box(frame, length / 2, half, 0.0, half)
        along, across = (length / 2 - 2 * DOWEL_MM) * X, (radius + BOX_WALL_MM / 2) * axes.v
        places = [middle * X + sx * along + sv * across - n for sx, sv in ((-1, -1), (1, 1), (-1, 1), (1, -1))]
        holes = [kernel.cylinder(at, n, DOWEL_MM / 2, DOWEL_DEEP_MM + 1.0) for at in places]
        made = kernel.drilled(block, [rod, *holes])
        out.append(job.part(f"core box, {name}", "core box", made, WOOD_DARK, "pattern material by choice"))
    return out


# --- parting --------------------------------------------------------------------------------------------------------


def _half(pattern: Solid, axes: Axes, n: Vector, reach_mm: float) -> Solid:
    """Return the half of the pattern on the side of n (3,). Where the parting plane runs along an edge of it, taking
    one side away may fail and keeping the other do, or all of it by a hair less exactly or a hair beside."""

    def side(way: Vector, beside_mm: float = 0.0) -> Solid:
        return kernel.box(Axes(axes.origin + beside_mm * n, axes.u, axes.v, way), reach_mm, reach_mm, 0.0, reach_mm)

    away, keep = side(-n), side(n)
    least = FLAKE * kernel.volume_mm3(pattern)
    why: Words = ""
    spare: Solid | None = None
    for way in (
        partial(kernel.cut, pattern, [away]),
        partial(kernel.common, pattern, keep),
        *(partial(kernel.cut, pattern, [away], fuzzy) for fuzzy in kernel.FUZZY_MM),
        *(partial(kernel.cut, pattern, [side(-n, hair)]) for hair in BESIDE_MM),
    ):
        made, why_not = kernel.attempt(way)
        why = why_not or why
        # The kernel may part the body and then leave both sides.
        bodies = [] if made is None else [s for s in kernel.solids(made) if s.Volume() > least]
        pieces = [s for s in bodies if float((kernel.centre(s) - axes.origin) @ n) > 0]
        for mend in (False, True) if len(pieces) == 1 else ():
            piece = kernel.mended(pieces[0]) if mend else pieces[0]
            if kernel.is_sound(piece):
                if triangles.closes(piece):
                    return piece
                spare = piece if spare is None else spare
    if spare is not None:  # finer triangles may meet where coarse ones do not
        return spare
    raise KernelError(why or "no side of the parting plane is one valid closed body")


def _make_up(whole: Solid, parts: Sequence[Solid]) -> bool:
    """Return whether bodies together have the volume of the whole, by its formula or by its triangles."""
    for volume in (kernel.volume_mm3, partial(triangles.faceted_volume_mm3, chord_mm=0.02)):
        made = sum(volume(p) for p in parts)
        if abs(made - volume(whole)) <= 1e-4 * made:
            return True
    return False


def _halves(job: _Job, pattern: Solid) -> list[Part]:
    """Return the pattern parted in the parting plane, each half one solid."""
    axes = foundry.parting_axes(job.strut, job.spec.parting)
    box = pattern.BoundingBox()
    reach = 2 * max(abs(v) for v in (box.xmin, box.xmax, box.ymin, box.ymax, box.zmin, box.zmax)) + 10.0
    out = []
    for name, n, colour in zip(
        foundry.half_names(job.spec.parting, job.strut.family), (axes.n, -axes.n), (WOOD, WOOD_DARK), strict=True
    ):
        made = _half(pattern, axes, n, reach)
        out.append(job.part(f"pattern, {name}", "pattern half", made, colour, "pattern material by choice"))
    if not _make_up(pattern, [p.shape for p in out]):
        raise KernelError("the two halves do not make the whole")
    return out
