"""Arms and the fin as ruled sides that stand on barrel and palms: their roots, what fits, and where they end.

One home for the joints of a strut: solids, checks, templates and the measuring of a written file ask here where a
root's ball touches, how large it may be, and where a weld's toes lie. Numpy; strut frame, mm.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import combinations
from typing import Any, NamedTuple

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Floats, Num
from strutwright.models.frames import Axes
from strutwright.models.geometry.barrel import outside_chain
from strutwright.models.geometry.beads import toes
from strutwright.models.geometry.polygons import apart
from strutwright.models.geometry.roots import Contact, Places, Root, Round, Ruled, Slab, roll
from strutwright.models.geometry.skeg import fin_section
from strutwright.models.geometry.skins import End, arc_points
from strutwright.models.geometry.solve import bisect
from strutwright.models.sections import Section, kind_of
from strutwright.models.spec import Arm, Barrel, Palm, Skeg, Strut
from strutwright.params.limits import Limits

BURIED_SHORT_MM = 0.25  # what is buried in the barrel ends so far inside its faces
RUNS_ON = 0.01  # least way of a blend's surface for one of the ball's middle
_AROUND, _ALONG = 49, 9  # places on each curve and line of a section at which a root is looked at
_HALVINGS = 10  # the largest that fits is found within a thousandth of the one asked


def edge_radius_at(arm: Arm, thickness_mm: Num) -> Num | None:
    """Return the radius (mm) of an arm's edges where it is thickness_mm thick; broadcasts. None where it has none.

    >>> float(edge_radius_at(shipped("canal-tender").arms[0], 10.0))  # half-round edges
    5.0
    """
    thinnest = min(arm.thickness_barrel_mm, arm.thickness_palm_mm)
    return kind_of(arm.shape).edge_at(arm.edge_radius_mm, thinnest, thickness_mm)


def arm_section(arm: Arm, chord_mm: float, thickness_mm: float) -> Section:
    """Return an arm's section of a size, its edges as they are made. Raises SectionError on sizes that make none.

    >>> arm_section(shipped("canal-tender").arms[0], 56.0, 14.0).edge_radius
    7.0
    """
    edge = edge_radius_at(arm, thickness_mm)
    return Section(arm.shape, chord_mm, thickness_mm, None if edge is None else float(edge))


@dataclass(frozen=True, slots=True)
class Member:
    """An arm or the fin. ruled: its side, k = 0 at the barrel's outside, 1 at the palm's hull face or the fin's tip;
    buried_k: a k at which all of it is inside the barrel."""

    name: str
    ruled: Ruled
    buried_k: float

    def around(self) -> Places:
        """Return the places all round at which it is looked at."""
        return [
            (i, np.linspace(0.0, 1.0, _AROUND if p.kind != "line" else _ALONG))
            for i, p in enumerate(self.ruled.loops[0])
        ]

    def lines(self) -> tuple[Floats, Floats]:
        """Return its straight lines all round: where they leave the barrel (n, 3), and the steps (n, 3) to the end."""
        start, _, step, _ = self.ruled.lines(self.around())
        after = (np.roll(x, -1, axis=0) - x for x in (start, start + step))
        apart_mm = sum(np.linalg.norm(x, axis=1) for x in after)
        return start[apart_mm > 1e-9], step[apart_mm > 1e-9]  # one piece begins where another ends


def arm_member(strut: Strut, arm: Arm) -> Member:
    """Return an arm as it stands. Raises SectionError when its section cannot be.

    >>> strut = shipped("canal-tender")
    >>> round(arm_member(strut, strut.arms[0]).buried_k, 3)  # (32 / 4 - 24) / (203.22 - 24)
    -0.089
    """
    return _arm_member(strut.barrel, strut.palms[arm.palm_index], arm)


@functools.lru_cache(maxsize=64)
def _arm_member(barrel: Barrel, palm: Palm, arm: Arm) -> Member:
    axes, ends = frames.arm_axes(arm, barrel, palm.plane), frames.arm_ends_mm(arm, barrel, palm.plane)
    at = tuple(Axes(axes.origin + along * axes.n, axes.u, axes.v, axes.n) for along in ends)
    loops = tuple(
        arm_section(arm, *size).loop()
        for size in ((arm.chord_barrel_mm, arm.thickness_barrel_mm), (arm.chord_palm_mm, arm.thickness_palm_mm))
    )
    return Member(
        arm.name, Ruled((at[0], at[1]), (loops[0], loops[1])), (barrel.bore_mm / 4 - ends[0]) / (ends[1] - ends[0])
    )


@functools.lru_cache(maxsize=16)
def fin_member(skeg: Skeg, barrel: Barrel) -> Member:
    """Return the fin of a skeg as it stands. Raises SectionError when its section cannot be.

    >>> strut = shipped("yawl-with-heel")
    >>> round(fin_member(strut.skeg, strut.barrel).buried_k, 3)  # (55 / 4 - 83 / 2) / (324 - 83 / 2)
    -0.098
    """
    root = barrel.outside_mm / 2
    chord = skeg.root_forward_station_mm - skeg.root_aft_station_mm
    lead = barrel.x(skeg.root_forward_station_mm)
    x, y, z = np.eye(3)
    at, loops = [], []
    for below, front, length, thick in (
        (root, lead, chord, skeg.thickness_root_mm),
        (skeg.depth_mm, lead - skeg.sweep_mm, skeg.tip_chord_mm, skeg.thickness_tip_mm),
    ):
        at.append(Axes(np.array([front - length / 2, 0.0, -below]), x, y, z))
        loops.append(fin_section(skeg, length, thick).loop())
    return Member(
        "skeg", Ruled((at[0], at[1]), (loops[0], loops[1])), (barrel.bore_mm / 4 - root) / (skeg.depth_mm - root)
    )


# --- what they stand on ----------------------------------------------------------------------------------------------


@functools.lru_cache(maxsize=32)
def barrel_base(barrel: Barrel) -> Round:
    """Return the barrel's outside, bore filled.

    >>> barrel_base(shipped("canal-tender").barrel).near(np.array([0.0, 0.0, 30.0])).distance.tolist()  # 30 - 48 / 2
    [6.0]
    """
    return Round(np.array([(barrel.x(s), r, bulge) for s, r, bulge in outside_chain(barrel)]))


@functools.lru_cache(maxsize=32)
def palm_base(palm: Palm) -> Slab:
    """Return a palm as the arm sees it: everything behind its water face.

    >>> palm_base(shipped("canal-tender").palms[0]).near(np.zeros(3)).distance.round(2).tolist()  # 203.22 cos 9 - 10
    [190.72]
    """
    axes = frames.palm_axes(palm)
    return Slab(((axes.origin - palm.thickness_mm * axes.n, -axes.n),))


def barrel_root(member: Member, barrel: Barrel, radius_mm: float) -> Root:
    """Return the root of an arm or the fin on the barrel.

    >>> strut = shipped("canal-tender")
    >>> barrel_root(arm_member(strut, strut.arms[0]), strut.barrel, 6.0).name
    'the arm at the barrel'
    """
    return Root(barrel_base(barrel), radius_mm, (member.buried_k, 1.0), f"the {member.name} at the barrel")


def palm_root(member: Member, palm: Palm, radius_mm: float, base: Slab | None = None) -> Root:
    """Return the root of an arm on its palm. base: its water face where that is not plane, as on a pattern.

    >>> strut = shipped("canal-tender")
    >>> palm_root(arm_member(strut, strut.arms[0]), strut.palms[0], 7.0).name
    'the arm at the palm'
    """
    base = palm_base(palm) if base is None else base
    a, _, b, _ = member.ruled.lines(member.around())
    deepest = max(float(np.max(((point - a) @ normal) / (b @ normal))) for point, normal in base.planes)
    return Root(base, radius_mm, (deepest + 1e-3, 0.0), f"the {member.name} at the palm")


def barrel_end(member: Member, barrel: Barrel, radius_mm: float) -> End:
    """Return the end of an arm or the fin inside the barrel, its cap along the section there.

    >>> strut = shipped("canal-tender")
    >>> end = barrel_end(arm_member(strut, strut.arms[0]), strut.barrel, 6.0)
    >>> end.plane[0].round(6).tolist()  # 32 / 4 over the shaft line
    [0.0, 0.0, 8.0]
    """
    frame, other = member.ruled.at
    point = frame.origin + member.buried_k * (other.origin - frame.origin)
    return End(
        (point, frames.unit(np.cross(frame.u, frame.v))),
        barrel_root(member, barrel, radius_mm) if radius_mm > 0 else None,
    )


def face_radii_mm(barrel: Barrel) -> tuple[float, float]:
    """Return the outside radius (mm) at the aft and the forward face.

    >>> [round(radius, 3) for radius in face_radii_mm(shipped("harbour-launch").barrel)]  # 56.3 / 2 and 59 / 2
    [28.15, 29.5]
    """
    rows = outside_chain(barrel)
    return rows[0][1], rows[-1][1]


def past_faces(member: Member, barrel: Barrel) -> tuple[bool, bool]:
    """Return whether the buried end of an arm or the fin, which leans, comes out of the barrel's aft and forward face.

    Looked at within the face's own circle; over it the root's toe keeps from the face.

    >>> strut = shipped("canal-tender")
    >>> past_faces(arm_member(strut, strut.arms[0]), strut.barrel)
    (False, False)
    """
    a, _, b, _ = member.ruled.lines(member.around())
    points = (a + np.linspace(member.buried_k, 0.0, 33)[:, None, None] * b).reshape(-1, 3)
    around, half = np.hypot(points[:, 1], points[:, 2]), barrel.length_mm / 2 - BURIED_SHORT_MM
    x = [points[around < radius, 0] for radius in face_radii_mm(barrel)]
    return bool((x[0] < -half).any()), bool((x[1] > half).any())


def palm_end(member: Member, palm: Palm, radius_mm: float, base: Slab | None = None) -> End:
    """Return the end of an arm halfway into its palm.

    >>> strut = shipped("canal-tender")
    >>> palm_end(arm_member(strut, strut.arms[0]), strut.palms[0], 7.0).plane[0].round(2).tolist()  # 203.22 - 5 cos 9
    [-0.78, 0.0, 198.28]
    """
    axes = frames.palm_axes(palm)
    return End(
        (axes.origin - palm.thickness_mm / 2 * axes.n, axes.n),
        palm_root(member, palm, radius_mm, base) if radius_mm > 0 else None,
    )


def tip_end(skeg: Skeg) -> End:
    """Return the lower end of the fin.

    >>> tip_end(shipped("yawl-with-heel").skeg).plane[0].tolist()
    [0.0, 0.0, -324.0]
    """
    return End((np.array([0.0, 0.0, -skeg.depth_mm]), np.array([0.0, 0.0, -1.0])))


# --- what fits -------------------------------------------------------------------------------------------------------


class RootRoom(NamedTuple):
    """The room that roots are to have. face_mm: from a toe to a face of the barrel; bare_share: bare side between an
    arm's two roots, of its length; open_deg: between the sides of a fillet weld, and short of flat."""

    face_mm: float
    bare_share: float
    open_deg: float

    def reach_mm(self, barrel: Barrel) -> float:
        """How far from mid-barrel the toe of a root may reach."""
        return barrel.length_mm / 2 - self.face_mm


def root_room(limits: Limits) -> RootRoom:
    """Return the room that limits ask for.

    >>> root_room(standard())
    RootRoom(face_mm=0.5, bare_share=0.01, open_deg=20.0)
    """
    return RootRoom(limits["root_to_face"].value, limits["root_bare_arm"].value, limits["weld_open"].value)


def rolled(member: Member, root: Root, radius_mm: float) -> Contact:
    """Return the ball of a root all round, touching (not sunk as built). Its arrays are shared: not to be changed.

    >>> strut = shipped("harbour-launch")
    >>> arm = arm_member(strut, strut.arms[0])
    >>> bool(rolled(arm, barrel_root(arm, strut.barrel, 6.0), 6.0).ok.all())
    True
    """
    return _rolled(_Same(member), _Same(root.base), radius_mm, root.reach)


class _Same:
    """A thing that equals only itself, and stays while a cache holds it."""

    __slots__ = ("it",)

    def __init__(self, it: Any) -> None:
        self.it = it

    def __hash__(self) -> int:
        return id(self.it)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.it is other.it


@functools.lru_cache(maxsize=128)
def _rolled(member: _Same, base: _Same, radius_mm: float, reach: tuple[float, float]) -> Contact:
    return roll(member.it.ruled, base.it, radius_mm, member.it.around(), reach)


def _fits(member: Member, root: Root, radius_mm: float, reach_mm: float | None) -> bool:
    found = rolled(member, root, radius_mm)
    if not found.ok.all():
        return False
    if reach_mm is not None and float(np.abs(found.foot[:, 0]).max()) > reach_mm:
        return False
    return radius_mm <= 0.0 or _runs_on(member, radius_mm, found)


def _runs_on(member: Member, radius_mm: float, touch: Contact) -> bool:
    """Return whether the blend runs on round the section everywhere.

    Where the ball's way bends more sharply than its radius, as under a thin edge that leans over the base, the surface
    it leaves would turn back on itself.
    """
    skin = arc_points(radius_mm, touch)
    step, way = np.diff(skin, axis=0), np.diff(touch.centre, axis=0)
    share = np.einsum("nrk,nk->nr", step, way) / np.maximum(np.sum(way * way, axis=1), 1e-18)[:, None]
    starts = np.cumsum([len(s) for _, s in member.around()])[:-1] - 1  # from one piece to the next: the same place
    return bool(np.delete(share, starts, axis=0).min() > RUNS_ON)


def largest_radius_mm(member: Member, root: Root, reach_mm: float | None = None, largest: bool = True) -> float:
    """Return the largest radius (mm) up to the one asked whose ball touches side and base all round; 0 when none does,
    or when the one asked does not and the largest is not looked for.

    reach_mm: how far from mid-barrel the toe of a root on the barrel may reach.

    >>> strut = shipped("harbour-launch")
    >>> arm = arm_member(strut, strut.arms[0])
    >>> largest_radius_mm(arm, barrel_root(arm, strut.barrel, 6.0), strut.barrel.length_mm / 2 - 0.5)  # as asked
    6.0
    """
    if not largest:
        return root.radius_mm if _fits(member, root, root.radius_mm, reach_mm) else 0.0
    return _largest(lambda size: _fits(member, root, size, reach_mm), root.radius_mm)


def _bare_share(member: Member, at_barrel: Root, at_palm: Root) -> float:
    """Return the least bare side left between an arm's two roots, as a share of its length; negative: they meet."""
    one, other = (rolled(member, r, r.radius_mm) for r in (at_barrel, at_palm))
    return float((other.k - one.k).min())


def bead_fits(member: Member, root: Root, leg_mm: float, open_deg: float, reach_mm: float | None) -> bool:
    """Return whether a bead's toes lie on side and base all round, which stand open by open_deg at least, and are as
    far from flat.

    reach_mm: how far from mid-barrel the toes of a bead on the barrel may reach.

    >>> strut = shipped("canal-tender")
    >>> arm = arm_member(strut, strut.arms[0])
    >>> root = barrel_root(arm, strut.barrel, 0.0)
    >>> [bead_fits(arm, root, leg, 20.0, 36.5) for leg in (6.0, 9.0)]  # 56 + 2 x 9 is more than 2 x 36.5
    [True, False]
    """
    b = toes(member.ruled, root, leg_mm, member.around())
    return (
        bool(b.ok.all())
        and bool(np.all((b.open_deg > open_deg) & (b.open_deg < 180.0 - open_deg)))
        and (reach_mm is None or float(np.abs(b.on_base[:, 0]).max()) <= reach_mm)
    )


def largest_leg_mm(member: Member, root: Root, leg_mm: float, open_deg: float, reach_mm: float | None) -> float:
    """Return the largest leg (mm) up to the one asked of a bead that fits (see `bead_fits`); 0 when none does.

    >>> strut = shipped("canal-tender")
    >>> arm = arm_member(strut, strut.arms[0])
    >>> largest_leg_mm(arm, barrel_root(arm, strut.barrel, 0.0), 6.0, 20.0, 36.5)  # as asked
    6.0
    """
    return _largest(lambda size: bead_fits(member, root, size, open_deg, reach_mm), leg_mm)


def _largest(fits: Callable[[float], bool], asked: float) -> float:
    return asked if fits(asked) else float(bisect(fits, 0.0, asked, _HALVINGS)[0])


# --- the roots of a whole strut --------------------------------------------------------------------------------------


class ArmRoots(NamedTuple):
    """Root radii of a casting's arm, mm."""

    barrel_mm: float
    palm_mm: float


class Roots(NamedTuple):
    """Root radii of a casting that fit: those asked for, or the largest that do. skeg_mm: 0 without a skeg."""

    arms: tuple[ArmRoots, ...]
    skeg_mm: float


def fitting_roots(strut: Strut, room: RootRoom, bases: Sequence[Slab] | None = None, largest: bool = True) -> Roots:
    """Return the root radii of a casting as asked, or the largest that fit; 0 for those where these are not looked for.

    Each ball touches side and base all round, keeps from the barrel's faces, and leaves bare side and bare base between
    itself and the next; those that do not are made smaller in one proportion. bases: the palms' water faces where they
    are not plane. Raises SectionError when a section cannot be.

    >>> fitting_roots(shipped("harbour-launch"), root_room(standard())).arms[0]  # as asked
    ArmRoots(barrel_mm=6.0, palm_mm=7.0)
    """
    faces = [palm_base(p) for p in strut.palms] if bases is None else list(bases)
    reach = room.reach_mm(strut.barrel)
    found: list[_Standing] = []
    arms = []
    for arm in strut.arms:
        member, base = arm_member(strut, arm), faces[arm.palm_index]
        palm = strut.palms[arm.palm_index]
        one = largest_radius_mm(member, barrel_root(member, strut.barrel, arm.barrel_root_mm), reach, largest)
        other = largest_radius_mm(member, palm_root(member, palm, arm.palm_root_mm, base), None, largest)
        share = _largest_share(partial(_bare, strut, member, palm, base, (one, other), room.bare_share), largest)
        arms.append(ArmRoots(share * one, share * other))
        found.append(_Standing(member, barrel_root(member, strut.barrel, share * one)))
    skeg = 0.0
    if strut.skeg is not None:
        fin = fin_member(strut.skeg, strut.barrel)
        skeg = largest_radius_mm(fin, barrel_root(fin, strut.barrel, strut.skeg.root_mm), reach, largest)
        found.append(_Standing(fin, barrel_root(fin, strut.barrel, skeg)))
    clear = min((_share_apart(a, b, _rolled_out, largest) for k, a in enumerate(found) for b in found[:k]), default=1.0)
    on_palm = [1.0] * len(strut.palms)
    for i, palm in enumerate(strut.palms):
        axes = frames.palm_axes(palm)
        feet = [
            _Standing(s.member, palm_root(s.member, palm, r.palm_mm, faces[i]))
            for arm, s, r in zip(strut.arms, found, arms, strict=False)
            if arm.palm_index == i
        ]
        laid = partial(_in_palm, axes)
        on_palm[i] = min((_share_apart(a, b, laid, largest) for a, b in combinations(feet, 2)), default=1.0)
    made = (
        ArmRoots(clear * r.barrel_mm, on_palm[a.palm_index] * r.palm_mm) for a, r in zip(strut.arms, arms, strict=True)
    )
    return Roots(tuple(made), clear * skeg)


def _fitting_legs(strut: Strut, room: RootRoom, largest: bool) -> Roots:
    """Return the legs (mm) of a welded strut's beads as asked, or the largest that fit; as `fitting_roots` does."""
    reach = room.reach_mm(strut.barrel)

    def fitting(member: Member, root: Root, leg_mm: float, reach_mm: float | None) -> float:
        if largest:
            return largest_leg_mm(member, root, leg_mm, room.open_deg, reach_mm)
        return leg_mm if bead_fits(member, root, leg_mm, room.open_deg, reach_mm) else 0.0

    arms = []
    for arm in strut.arms:
        member, palm = arm_member(strut, arm), strut.palms[arm.palm_index]
        one = fitting(member, barrel_root(member, strut.barrel, 0.0), arm.barrel_root_mm, reach)
        arms.append(ArmRoots(one, fitting(member, palm_root(member, palm, 0.0), arm.palm_root_mm, None)))
    if strut.skeg is None:
        return Roots(tuple(arms), 0.0)
    fin = fin_member(strut.skeg, strut.barrel)
    return Roots(tuple(arms), fitting(fin, barrel_root(fin, strut.barrel, 0.0), strut.skeg.root_mm, reach))


def largest_roots(strut: Strut, room: RootRoom) -> Roots:
    """Return the fillets or legs (mm) as asked, or the largest that fit. Raises SectionError when a section cannot be.

    >>> largest_roots(shipped("canal-tender"), root_room(standard())).arms[0]  # as asked
    ArmRoots(barrel_mm=6.0, palm_mm=7.0)
    """
    return fitting_roots(strut, room) if strut.construction == "cast" else _fitting_legs(strut, room, True)


class RootsFit(NamedTuple):
    """Whether the roots fit as asked: all those of arms on the barrel, of arms on palms, of the skeg on the barrel."""

    barrel: bool
    palm: bool
    skeg: bool


def roots_fit(strut: Strut, room: RootRoom) -> RootsFit:
    """Return whether fillets or welds fit as asked, without looking for those that would.

    Raises SectionError when a section cannot be.

    >>> roots_fit(shipped("canal-tender"), root_room(standard()))
    RootsFit(barrel=True, palm=True, skeg=True)
    """
    cast = strut.construction == "cast"
    fits = fitting_roots(strut, room, largest=False) if cast else _fitting_legs(strut, room, False)
    arms = list(zip(strut.arms, fits.arms, strict=True))
    return RootsFit(
        all(r.barrel_mm >= a.barrel_root_mm for a, r in arms),
        all(r.palm_mm >= a.palm_root_mm for a, r in arms),
        strut.skeg is None or fits.skeg_mm >= strut.skeg.root_mm,
    )


def _bare(
    strut: Strut, member: Member, palm: Palm, base: Slab, radii_mm: tuple[float, float], least: float, share: float
) -> bool:
    """Return whether a least share of an arm is left bare between its two roots when both are that share of their
    radii."""
    at_palm = palm_root(member, palm, share * radii_mm[1], base)
    return _bare_share(member, barrel_root(member, strut.barrel, share * radii_mm[0]), at_palm) >= least


class _Standing(NamedTuple):
    member: Member
    root: Root


def _rolled_out(feet: Floats, about_rad: float) -> Floats:
    """Return points on the barrel rolled out: x and girth from a clock angle, both mm."""
    turn = np.arctan2(feet[:, 1], feet[:, 2]) - about_rad
    turn = (turn + np.pi) % (2 * np.pi) - np.pi
    return np.column_stack((feet[:, 0], turn * np.hypot(feet[:, 1], feet[:, 2])))


def _in_palm(axes: Axes, feet: Floats, about_rad: float) -> Floats:
    """Return points on a palm in its own axes."""
    return axes.from_strut(feet)[:, :2]


def _share_apart(one: _Standing, other: _Standing, laid: Callable[[Floats, float], Floats], largest: bool) -> float:
    """Return the share of two roots' radii at which they keep clear of each other; 0 when the parts themselves meet."""

    def clear(share: float) -> bool:
        feet = [rolled(s.member, s.root, share * s.root.radius_mm).foot for s in (one, other)]
        ways = [math.atan2(f[:, 1].mean(), f[:, 2].mean()) for f in feet]
        apart_rad = (ways[1] - ways[0] + math.pi) % (2 * math.pi) - math.pi
        about = ways[0] + apart_rad / 2  # the seam lies opposite, where neither stands
        return apart(*(laid(f, about) for f in feet)) > 0.0

    return _largest_share(clear, largest)


def _largest_share(fits: Callable[[float], bool], largest: bool) -> float:
    if not largest:
        return float(fits(1.0))
    return _largest(fits, 1.0) if fits(0.0) else 0.0


def buildable_mm(most_mm: float) -> float:
    """Return the size (mm) to build where most_mm is the largest that fits: a round number under it.

    >>> buildable_mm(6.58)
    6.5
    """
    return math.floor(most_mm * 10) / 10


def palm_toe(strut: Strut, arm: Arm) -> Floats:
    """Return where the fillet or weld of an arm ends on its palm, all round: points (n, 2) in palm axes, mm.

    A fillet's toe is where its ball touches the palm; one whose ball does not fit shows the largest that does.

    >>> strut = shipped("canal-tender")
    >>> round(float(palm_toe(strut, strut.arms[0])[:, 1].max()), 2)  # 14 / 2 and a leg of 7
    14.0
    """
    member, palm = arm_member(strut, arm), strut.palms[arm.palm_index]
    root = palm_root(member, palm, arm.palm_root_mm)
    if strut.construction == "welded":
        feet = toes(member.ruled, root, arm.palm_root_mm, member.around()).on_base
    else:
        feet = rolled(member, root, largest_radius_mm(member, root)).foot
    return frames.palm_axes(palm).from_strut(feet)[:, :2]
