"""What the founder and the pattern maker are told in figures: sizes from part to pattern, targets, what arrives, and
where metal is heavy. Pure numpy; mm.

Modulus is volume over cooled surface: by Chvorinov's rule (1940) metal of a higher one freezes later. An arm counts as
a long bar, walls and palms as plates, and where two meet as a plate as thick as the largest circle in the section,
which errs towards more feeding. Figures of feeders and yield are common practice, no source: the founder's own count.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Floats
from strutwright.models.formulas.inscribed import largest_circle
from strutwright.models.frames import Vector
from strutwright.models.geometry import flange as flanges
from strutwright.models.geometry.barrel import bore_points, is_faired, parallel_part
from strutwright.models.geometry.casting import cast_tolerance_mm, casting_of
from strutwright.models.geometry.skeg import chord_at, foot_start_mm
from strutwright.models.geometry.stations import arm_stations, half_thickness_mm, skeg_stations
from strutwright.models.shop import drafted, foundry
from strutwright.models.shop.foundry import FoundrySpec
from strutwright.models.shop.split_casting import ear_face_mm, split_casting
from strutwright.models.spec import Arm, Palm, Plate, Skeg, Strut
from strutwright.models.spec_flange import Flange
from strutwright.models.spec_hanger import Cap

FEEDER = 1.2
"""Modulus of a feeder over that of what it feeds; common practice, from memory of founders' textbooks."""
_NEARLY = 0.99
"""Share of a fin's thickness at which a section shows it as thick as it is."""
YIELD = (0.5, 0.7)
"""Weight of a bronze or steel casting with heavy ends over the metal poured for it; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternSize:
    """A size on its way from part to pattern. finished_mm: None where the part has no such size; stock_mm: on each of
    so many faces, minus where metal is left inside; draft: whether draft adds to it."""

    what: str
    finished_mm: float | None
    faces: int
    stock_mm: float
    casting_mm: float
    pattern_mm: float
    draft: bool = False


def pattern_sizes(strut: Strut, spec: FoundrySpec) -> list[PatternSize]:
    """Return the sizes of barrel, core, palms and fillets from part to pattern.

    >>> launch = resolved("harbour-launch")
    >>> spec = foundry.foundry_settings(launch)
    >>> first = pattern_sizes(launch.strut, spec)[0]
    >>> first.what, first.casting_mm, round(first.pattern_mm, 3)  # 68 x 1.0182
    ('barrel, outside', 68.0, 69.238)
    """
    b, k, made = strut.barrel, spec.factor, []

    def add(what: str, finished: float | None, casting: float, faces: int = 0, stock: float = 0.0) -> None:
        draft = finished is not None and abs(casting - finished - faces * stock) > 5e-4
        made.append(
            PatternSize(
                what=what,
                finished_mm=finished,
                faces=faces,
                stock_mm=stock,
                casting_mm=casting,
                pattern_mm=k * casting,
                draft=draft,
            )
        )

    add("barrel, outside", b.outside_mm, b.outside_mm)
    for word, end in (("aft", b.aft_end), ("forward", b.forward_end)):
        if is_faired(b, end):
            add(f"barrel, {word} end narrowed to", end.end_diameter_mm, end.end_diameter_mm)
            add(f"over a length, to the finished {word} face", end.length_mm, end.length_mm)
    ends = spec.stock_ends_mm
    if all(foundry.free_ends(strut)):
        add("barrel, length at the rim", b.length_mm, b.length_mm + 2 * ends, 2, ends)
    if spec.cored:
        core, stock = spec.core_diameter_mm, spec.stock_bore_mm
        add("bore; core", core + 2 * stock, core, 2, -stock)
        low, high = foundry.core_ends_mm(strut, spec)
        add("core over its prints", None, high - low)
        add("core print, each end", None, spec.print_length_mm)
    cast = foundry.casting_strut(strut, spec)
    for row in (*_split_sizes(strut, spec), *_flange_sizes(strut, spec, cast)):
        add(*row)
    for palm, rough in _different(strut, cast):
        over = rough.thickness_mm - palm.thickness_mm
        add(f"{palm.called}, thickness", palm.thickness_mm, rough.thickness_mm, 1, over)
        own, leaned = palm.outline.bounding_box(), _leaned(strut, spec, rough)
        add(f"{palm.called}, length over all", own.xmax - own.xmin, leaned[0])
        add(f"{palm.called}, width over all", own.ymax - own.ymin, leaned[1])
        rise = rough.plane.drop_mm - palm.plane.drop_mm
        add(f"{palm.called}, shaft line to hull face at mid-barrel", palm.plane.drop_mm, rough.plane.drop_mm, 1, rise)
    for arm in strut.arms[:1] if _alike(strut) else strut.arms:
        add(f"fillet of the {_said(strut, arm)} at the barrel, radius", arm.barrel_root_mm, arm.barrel_root_mm)
        add(f"fillet of the {_said(strut, arm)} at the palm, radius", arm.palm_root_mm, arm.palm_root_mm)
    for row in _skeg_sizes(strut, spec, cast):
        add(*row)
    return made


_Row = tuple[str, float | None, float, int, float]


def _split_sizes(strut: Strut, spec: FoundrySpec) -> list[_Row]:
    """The sizes of a split hanger's ears."""
    split = split_casting(strut, spec)
    if split is None:
        return []
    cap, deep = split.cap, split.cap.ear_thickness_mm - split.cap.gap_mm / 2
    aft, fore = ear_face_mm(strut, spec)
    long, faces = cap.ear_to_mm - cap.ear_from_mm, sum(abs(e) > 1e-6 for e in _beyond(strut, cap, aft, fore))
    return [
        ("ears of the body, face of the split to outer face", deep, deep + split.stock_mm, 1, split.stock_mm),
        ("ears of the cap, face of the split to outer face", deep, deep + split.cap_stock_mm, 1, split.cap_stock_mm),
        ("ears over all, across", 2 * cap.ear_out_mm, 2 * cap.ear_out_mm, 0, 0.0),
        ("ears, length at the edge", long, fore - aft, faces, spec.stock_ends_mm if faces else 0.0),
        ("core, flat beyond the shaft line", None, split.open_mm, 0, 0.0),
    ]


def _beyond(strut: Strut, cap: Cap, aft_mm: float, fore_mm: float) -> tuple[float, float]:
    """By how much the ears' ends as cast lie beyond the finished ones."""
    return strut.barrel.x(cap.ear_from_mm) - aft_mm, fore_mm - strut.barrel.x(cap.ear_to_mm)


def _skeg_sizes(strut: Strut, spec: FoundrySpec, cast: Strut) -> list[_Row]:
    skeg, told = strut.skeg, list[_Row]()
    if skeg is None:
        return told
    told.append(("skeg, depth below the shaft line", skeg.depth_mm, skeg.depth_mm, 0, 0.0))
    told.append(("fillet of the skeg, radius", skeg.root_mm, skeg.root_mm, 0, 0.0))
    if skeg.heel is not None and cast.skeg is not None and cast.skeg.heel is not None:
        told.append(("heel boss, height", skeg.heel.height_mm, cast.skeg.heel.height_mm, 2, spec.stock_ends_mm))
        told.append(("heel boss, outside; cast solid", skeg.heel.outside_mm, skeg.heel.outside_mm, 0, 0.0))
    return told


def _flange_sizes(strut: Strut, spec: FoundrySpec, cast: Strut) -> list[_Row]:
    """The sizes of a flange, its spigot and ribs: what, finished, casting, faces with stock, stock on each."""
    flange, rough = strut.flange, cast.flange
    if flange is None or rough is None:
        return []
    (aft, fore), ends, face = foundry.end_faces_mm(strut, spec), spec.stock_ends_mm, spec.stock_palm_mm
    b, leaned, own = strut.barrel, _leaned(strut, spec, rough), flange.outline.bounding_box()
    on_shaft, free = b.x(rough.plane.station_mm), foundry.free_ends(strut)[0]
    told: list[_Row] = [
        ("flange, thickness", flange.thickness_mm, rough.thickness_mm, 1, face),
        ("flange, height over all", own.xmax - own.xmin, leaned[0], 0, 0.0),
        ("flange, width over all", own.ymax - own.ymin, leaned[1], 0, 0.0),
        ("fillet of the flange at the barrel, radius", flange.root_mm, flange.root_mm, 0, 0.0),
    ]
    if free:
        over = on_shaft - aft[0] - flange.plane.station_mm
        told.insert(
            0, ("aft face to bedding face, on the shaft line", flange.plane.station_mm, on_shaft - aft[0], 1, over)
        )
    else:
        station = b.length_mm - flange.plane.station_mm
        over = fore[0] - on_shaft - station
        told.insert(0, ("forward face to bedding face, on the shaft line", station, fore[0] - on_shaft, 1, over))
    if flange.spigot is not None and rough.spigot is not None:
        s, r = flange.spigot, rough.spigot
        told.append(("spigot, outside", s.outside_mm, r.outside_mm, 2, ends))
        more = r.length_mm - s.length_mm
        told.append(("spigot, length from the bedding face", s.length_mm, r.length_mm, int(abs(more) > 5e-4), more))
    if flange.ribs is not None:
        told.append(("ribs, thickness", flange.ribs.thickness_mm, flange.ribs.thickness_mm, 0, 0.0))
    return told


def _leaned(strut: Strut, spec: FoundrySpec, rough: Plate) -> tuple[float, float]:
    pull = foundry.parting_axes(strut, spec.parting).n
    box = drafted.drafted_palm_outline(rough, pull, spec.draft).bounding_box()
    return box.xmax - box.xmin, box.ymax - box.ymin


def _different(strut: Strut, cast: Strut) -> list[tuple[Palm, Palm]]:
    """The palms with their rough ones; of two that are alike the first."""
    pairs = list(zip(strut.palms, cast.palms, strict=True))
    sizes = [(p.thickness_mm, p.outline.bounding_box()[2:], p.plane.drop_mm) for p in cast.palms]
    return pairs[:1] if len(pairs) > 1 and _alike(strut) and sizes[0][0] == sizes[1][0] else pairs


def _alike(strut: Strut) -> bool:
    """Whether all arms have the same sizes."""
    sizes = {
        (
            a.chord_barrel_mm,
            a.chord_palm_mm,
            a.thickness_barrel_mm,
            a.thickness_palm_mm,
            a.edge_radius_mm,
            round(frames.arm_ends_mm(a, strut.barrel, frames.arm_plane(strut, a))[1], 4),
            a.barrel_root_mm,
            a.palm_root_mm,
        )
        for a in strut.arms
    }
    return len(strut.arms) > 1 and len(sizes) == 1


def _said(strut: Strut, arm: Arm) -> str:
    return "arms" if _alike(strut) else arm.called


def arms_told(strut: Strut) -> list[tuple[str, Arm]]:
    """Return the arms whose ordinates are told, with what they are called: of two alike the first, for both.

    >>> [name for name, arm in arms_told(shipped("work-launch-vee"))]
    ['arms']
    """
    return [(_said(strut, a), a) for a in (strut.arms[:1] if _alike(strut) else strut.arms)]


@dataclass(frozen=True, slots=True)
class Target:
    """A datum target on the casting: its name, its place in the strut frame (3,), mm, and what it is on."""

    name: str
    at: Vector
    on: str


def datum_targets(strut: Strut, spec: FoundrySpec) -> list[Target]:
    """Return the places on faces as cast from which a casting is first set up: its barrel's outside near both ends of
    the parallel part for the axis, the palms' water faces for the turn about it, a palm's aft edge fore and aft.

    The barrel's lie on the side away from the hull, 45 degrees to either side, clear of the parting's fin; of the body
    of a split hanger half-way between web and ears.

    >>> launch = resolved("harbour-launch")
    >>> made = datum_targets(launch.strut, foundry.foundry_settings(launch))
    >>> [t.name for t in made], round(float(np.linalg.norm(made[0].at[1:])), 6)  # on an outside of 68
    (['A1', 'A2', 'A3', 'A4', 'B1', 'B2', 'C1'], 34.0)
    """
    made: list[Target] = []
    barrel = strut.barrel
    low, high = (float(s) for s in parallel_part(barrel))
    cast = foundry.casting_strut(strut, spec)
    if cast.flange is not None:
        low, high = _beside_flange(cast.flange, strut, low, high)
    r, middle = barrel.outside_mm / 2, foundry.parting_axes(strut, "arm_plane").v
    clock = math.degrees(math.atan2(middle[1], middle[2])) + 180.0
    turns = _beside_web_deg(strut, spec) or (-45.0, 45.0)
    for station in (low + 0.15 * (high - low), high - 0.15 * (high - low)):
        for turn in turns:
            at = r * frames.radial(clock + turn) + np.array([barrel.x(station), 0.0, 0.0])
            made.append(Target(f"A{len(made) + 1}", at, "barrel's outside"))
    if cast.flange is not None:
        return [*made, *_flange_targets(cast.flange, strut)]
    first, last = cast.palms[0], cast.palms[-1]
    for number, (palm, port) in enumerate(((first, True), (last, False)), 1):
        axes, box = frames.palm_axes(palm), palm.outline.bounding_box()
        v = 0.8 * (box.ymax if port else box.ymin)
        if first is not last:
            v = 0.8 * (box.ymax if axes.v[2] * axes.n[2] >= 0 else box.ymin)
        made.append(Target(f"B{number}", axes.to_strut(np.array([(0.0, v)]), -palm.thickness_mm)[0], "water face"))
    axes, aft = frames.palm_axes(first), first.outline.bounding_box().xmin
    made.append(Target("C1", axes.to_strut(np.array([(aft, 0.0)]), -first.thickness_mm / 2)[0], "palm's aft edge"))
    return made


def _beside_web_deg(strut: Strut, spec: FoundrySpec) -> tuple[float, float] | None:
    """The turns from straight away from the foot to places of a split hanger's body between its web and either ear."""
    split = split_casting(strut, spec)
    if split is None:
        return None
    web, r = strut.arms[0], strut.barrel.outside_mm / 2
    near = math.degrees(math.asin(min(1.0, (web.thickness_barrel_mm / 2 + web.barrel_root_mm) / r)))
    ear = math.degrees(math.asin(min(1.0, split.cap.ear_thickness_mm / r)))
    turned = frames.angle_between_deg(split.cap.clock_deg, 180.0) * math.copysign(1.0, split.cap.clock_deg)
    # A cap that is turned to the left leaves less of the body on the left.
    sides = [(near + 90.0 - way * turned - ear) / 2 for way in (1.0, -1.0)]
    return 180.0 + sides[0], 180.0 - sides[1]


def _beside_flange(flange: Flange, strut: Strut, low: float, high: float) -> tuple[float, float]:
    """The longer stretch of the barrel's parallel part, of stations, that flange, root and ribs leave free."""
    aft, fore = flanges.free_stations_mm(flange, strut.barrel)
    out = max(flange.root_mm, 0.0 if flange.ribs is None else flange.ribs.along_mm)
    thick = fore - aft + flange.thickness_mm
    taken = (aft - out, fore + thick) if flange.plane.looks == "forward" else (aft - thick, fore + out)
    stretches = [(low, min(high, taken[0])), (max(low, taken[1]), high)]
    best = max(stretches, key=lambda s: s[1] - s[0])
    return best if best[1] > best[0] else (low, high)


def _flange_targets(flange: Flange, strut: Strut) -> list[Target]:
    """On the free face at its lower edge; and where the outline is not round, on its port edge for the turn."""
    axes, box = frames.flange_axes(flange, strut.barrel), flange.outline.bounding_box()
    at = axes.to_strut(np.array([(0.8 * box.xmin, 0.0)]), -flange.thickness_mm)[0]
    made = [Target("B1", at, "flange's free face")]
    points = flange.outline.polyline(0.5)
    finished = strut.flange
    if finished is not None and float(np.ptp(np.hypot(*finished.outline.polyline(0.5).T))) > 1.0:
        edge = points[int(np.argmax(points @ (-0.5, 1.0 if axes.v[1] > 0 else -1.0)))]
        made.append(Target("C1", axes.to_strut(edge[None, :], -flange.thickness_mm / 2)[0], "flange's edge"))
    return made


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """What is measured on a casting when it arrives. off_mm: how much more or less it may be; most: at most size_mm."""

    what: str
    size_mm: float
    off_mm: float = 0.0
    most: bool = False


def arrivals(strut: Strut, spec: FoundrySpec) -> list[Arrival]:
    """Return what the shop measures on a casting when it arrives, by its grade of ISO 8062: totals, half either way.

    >>> launch = resolved("harbour-launch")
    >>> first = arrivals(launch.strut, foundry.foundry_settings(launch))[0]
    >>> first.what, first.size_mm, first.off_mm  # CT11: 4.4 in all
    ('barrel, outside', 68.0, 2.2)
    """
    casting = casting_of(strut)

    def row(what: str, size_mm: float) -> Arrival:
        return Arrival(
            what=what, size_mm=size_mm, off_mm=float(cast_tolerance_mm(casting.tolerance_grade, size_mm)) / 2
        )

    left_out = ("core over", "core print", "core, flat", "fillet", "over a length")
    hole = "cored hole" if split_casting(strut, spec) is None else "half hole of the core, across"
    made = [
        row(hole if s.what.startswith("bore") else s.what, s.casting_mm)
        for s in pattern_sizes(strut, spec)
        if not s.what.startswith(left_out)
    ]
    for name, arm in arms_told(strut):
        (middle,) = arm_stations(strut, arm, (50,))
        made += [
            row(f"{name}, chord at half length", middle.section.chord_mm),
            row(f"{name}, thickness at half length", middle.section.thickness_mm),
        ]
    if spec.cored:
        made.append(Arrival(what="cored hole off the middle of the outside", size_mm=casting.core_shift_mm, most=True))
    return made


# --- where metal is heavy -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Heavy:
    """How heavy the casting is at a place. thick_mm: wall, or the circle where two meet; centre_mm: of that circle,
    right and up in the section from the shaft line, None without one."""

    where: str
    thick_mm: float
    modulus_mm: float
    centre_mm: tuple[float, float] | None = None

    @property
    def feeder_mm(self) -> float:
        """Modulus (mm) that a feeder of it has at least."""
        return FEEDER * self.modulus_mm


@dataclass(frozen=True, slots=True)
class Slice:
    """The plane of an arm's axis and its thickness, where the section is thickest: an origin on the shaft's side of the
    arm (3,), right and up (3,), unit vectors. From aft, port is to the left of an upright arm."""

    origin: Vector
    right: Vector
    up: Vector

    @property
    def toward(self) -> Vector:
        """The way to the eye, (3,)."""
        return np.cross(self.right, self.up)

    def seen(self, point: Vector) -> Floats:
        """Return the place (2,) of a point (3,)."""
        off = np.asarray(point) - self.origin
        return np.array([float(off @ self.right), float(off @ self.up)])


def arm_slice(strut: Strut, arm: Arm) -> Slice:
    """Return the plane in which the thickness of an arm and of what it stands on is seen. An arm that stands square to
    the shaft is seen upright as it stands, so that a vee's two share one plane.

    >>> arm_slice(shipped("harbour-launch"), shipped("harbour-launch").arms[0]).toward.tolist()
    [-1.0, 0.0, 0.0]
    """
    axes = frames.arm_axes(arm, strut.barrel, frames.arm_plane(strut, arm))
    (middle,) = arm_stations(strut, arm, (50,))
    share = np.linspace(0.0, 100.0, 401)
    half = np.array(half_thickness_mm(middle.section, share.tolist()))
    broad = share[half > half.max() - 1e-6]
    at = float(broad[int(np.argmin(np.abs(broad - 50.0)))])  # of a flat bar the middle
    origin = axes.origin + (0.5 - at / 100.0) * middle.section.chord_mm * axes.u
    if abs(float(axes.n[0])) < 1e-9 and abs(float(axes.v[0])) < 1e-9:
        return Slice(np.array([float(origin[0]), 0.0, 0.0]), np.array([0.0, -1.0, 0.0]), np.array([0.0, 0.0, 1.0]))
    return Slice(origin, -axes.v, axes.n)


def skeg_slice(strut: Strut, skeg: Skeg, others: Sequence[Slice] = ()) -> Slice:
    """Return the plane across the shaft in which a skeg is thickest at the barrel; one of others where it is nearly so.

    >>> yawl = shipped("yawl-with-heel")
    >>> 20.0 < float(skeg_slice(yawl, yawl.skeg).origin[0]) + yawl.barrel.length_mm / 2 < 150.0  # within its root
    True
    """
    (root,) = skeg_stations(strut, skeg, (0.0,))
    share = np.linspace(0.0, 100.0, 401)
    half = np.array(half_thickness_mm(root.section, share.tolist()))
    places = chord_at(skeg, strut.barrel, strut.barrel.outside_mm / 2)[0] - share / 100.0 * root.section.chord_mm
    for other in others:
        near = np.interp(float(other.origin[0]), places[::-1], half[::-1], left=0.0, right=0.0)
        if abs(float(other.toward[0])) > 1.0 - 1e-9 and near > _NEARLY * half.max():
            return other
    broad = places[half > half.max() - 1e-6]
    at = float(broad[int(np.argmin(np.abs(broad - places.mean())))])
    return Slice(np.array([at, 0.0, 0.0]), np.array([0.0, -1.0, 0.0]), np.array([0.0, 0.0, 1.0]))


def walls(strut: Strut, spec: FoundrySpec) -> list[Heavy]:
    """Return how heavy barrel, arms and palms are by themselves, in the rough casting.

    >>> launch = resolved("harbour-launch")
    >>> [h.where for h in walls(launch.strut, foundry.foundry_settings(launch))]
    ['barrel wall', 'arm at half length', 'palm']
    """
    b = strut.barrel
    wall = (b.outside_mm - spec.core_diameter_mm) / 2 if spec.cored else b.outside_mm / 2
    made = [
        Heavy(where="barrel wall", thick_mm=wall, modulus_mm=wall / 2)
        if spec.cored  # a round bar of diameter D: D / 4
        else Heavy(where="barrel, cast solid", thick_mm=b.outside_mm, modulus_mm=wall / 2)
    ]
    for name, arm in arms_told(strut):
        (middle,) = arm_stations(strut, arm, (50,))
        area, outline = float(middle.section.properties().area_mm2), middle.section.outline()
        thick = middle.section.thickness_mm
        made.append(Heavy(where=f"{name} at half length", thick_mm=thick, modulus_mm=area / outline.perimeter_mm()))
    cast = foundry.casting_strut(strut, spec)
    for palm, rough in _different(strut, cast):
        thick = rough.thickness_mm
        made.append(Heavy(where=palm.called, thick_mm=thick, modulus_mm=thick / 2))
    if cast.flange is not None:
        thick, spigot = cast.flange.thickness_mm, cast.flange.spigot
        made.append(Heavy(where="flange", thick_mm=thick, modulus_mm=thick / 2))
        if spigot is not None:
            thick = (spigot.outside_mm - spec.core_diameter_mm) / 2
            made.append(Heavy(where="spigot wall", thick_mm=thick, modulus_mm=thick / 2))
    if strut.skeg is not None:
        made += _skeg_walls(strut, strut.skeg)
    return made


def _skeg_walls(strut: Strut, skeg: Skeg) -> list[Heavy]:
    (middle,) = skeg_stations(strut, skeg, (50.0,))
    cooled = float(middle.section.properties().area_mm2) / middle.section.outline().perimeter_mm()
    made = [Heavy(where="skeg at half depth", thick_mm=middle.section.thickness_mm, modulus_mm=cooled)]
    if skeg.heel is not None:
        high, thick, boss = skeg.heel.foot_height_mm, skeg.heel.foot_thickness_mm, skeg.heel.outside_mm
        bar = high * thick / (2.0 * (high + thick))
        made.append(Heavy(where="foot of the heel", thick_mm=min(high, thick), modulus_mm=bar))
        made.append(Heavy(where="heel boss, cast solid", thick_mm=boss, modulus_mm=boss / 4))
    return made


def flange_junction(strut: Strut, spec: FoundrySpec, loops: Sequence[Floats]) -> Heavy:
    """Return how heavy the casting of a housing is where the flange meets the barrel, over the shaft line.

    loops: (n, 2) of the rough casting cut lengthwise, x forward and y from the shaft line, the core's hole among them,
    contraction taken out. Raises ValueError when there is no metal there.

    >>> strut, spec = shipped("deadwood-cutter"), foundry.foundry_settings(resolved("deadwood-cutter"))
    >>> bar = np.array([(60.0, 20.0), (90.0, 20.0), (90.0, 400.0), (60.0, 400.0)])
    >>> round(flange_junction(strut, spec, [bar]).thick_mm, 2)  # in a plain bar of 30
    30.0
    """
    flange = foundry.casting_strut(strut, spec).flange
    assert flange is not None
    deep, barrel = flange.thickness_mm / 2, strut.barrel
    low, high = spec.core_diameter_mm / 2, barrel.outside_mm / 2 + flange.root_mm + deep
    start, end = (np.array([flanges.face_x_mm(flange, barrel, deep, 0.0, r), r]) for r in (low, high))
    circle = largest_circle(loops, start, end, deep + flange.root_mm)
    thick = 2 * circle.radius_mm
    return Heavy(where="root of the flange", thick_mm=thick, modulus_mm=circle.radius_mm, centre_mm=circle.centre)


def junctions(strut: Strut, spec: FoundrySpec, arm: Arm, seen: Slice, loops: Sequence[Floats]) -> tuple[Heavy, Heavy]:
    """Return how heavy the casting is where an arm meets the barrel and where it meets its palm.

    seen: of the arm; loops: (n, 2) of the rough casting in it, the core's hole among them, contraction taken out.
    Raises ValueError when there is no metal there.

    >>> launch = resolved("harbour-launch")
    >>> arm, bar = launch.strut.arms[0], np.array([(-15.0, -50.0), (15.0, -50.0), (15.0, 400.0), (-15.0, 400.0)])
    >>> made = junctions(launch.strut, foundry.foundry_settings(launch), arm, arm_slice(launch.strut, arm), [bar])
    >>> [round(h.thick_mm, 2) for h in made]  # in a plain bar of 30
    [30.0, 30.0]
    """
    cast = foundry.casting_strut(strut, spec)
    rough = cast.arms[strut.arms.index(arm)]
    axes = frames.arm_axes(rough, cast.barrel, frames.arm_plane(cast, rough))
    start, end = frames.arm_ends_mm(rough, cast.barrel, frames.arm_plane(cast, rough))
    palm = cast.palms[rough.palm_index]
    aside = seen.origin - axes.origin
    aside = aside - float(aside @ axes.n) * axes.n  # to where the arm is thickest
    aside = aside - float(aside @ axes.v) * axes.v

    def place(along: float) -> Floats:
        return seen.seen(axes.origin + along * axes.n + aside)

    inner = spec.core_diameter_mm / 2 if spec.cored else 0.0
    outer = start + rough.barrel_root_mm + rough.thickness_barrel_mm / 2
    low = largest_circle(loops, place(inner), place(outer), rough.thickness_barrel_mm / 2 + rough.barrel_root_mm)
    deep = palm.thickness_mm / abs(float(axes.n @ frames.palm_axes(palm).n))
    inside = end - deep - rough.palm_root_mm - rough.thickness_palm_mm / 2
    high = largest_circle(loops, place(inside), place(end), rough.thickness_palm_mm / 2 + rough.palm_root_mm)
    name = "each arm" if _alike(strut) else arm.called
    return (
        Heavy(
            where=f"{name} at the barrel", thick_mm=2 * low.radius_mm, modulus_mm=low.radius_mm, centre_mm=low.centre
        ),
        Heavy(
            where=f"{name} at the palm", thick_mm=2 * high.radius_mm, modulus_mm=high.radius_mm, centre_mm=high.centre
        ),
    )


def skeg_junctions(strut: Strut, spec: FoundrySpec, skeg: Skeg, seen: Slice, loops: Sequence[Floats]) -> list[Heavy]:
    """Return how heavy the casting is where a skeg meets the barrel and where it stands on the foot of a heel.

    seen: of the skeg; loops as in `junctions`. Raises ValueError when there is no metal there.

    >>> sloop, bar = resolved("sloop-with-skeg"), np.array([(-15.0, -400.0), (15.0, -400.0), (15.0, 0.0), (-15.0, 0.0)])
    >>> plane, spec = skeg_slice(sloop.strut, sloop.strut.skeg), foundry.foundry_settings(sloop)
    >>> (made,) = skeg_junctions(sloop.strut, spec, sloop.strut.skeg, plane, [bar])
    >>> made.where, round(made.thick_mm, 2)  # in a plain bar of 30
    ('skeg at the barrel', 30.0)
    """
    x, root = float(seen.origin[0]), skeg.thickness_root_mm / 2 + skeg.root_mm
    inner = spec.core_diameter_mm / 2 if spec.cored else 0.0
    made = [("skeg at the barrel", inner, strut.barrel.outside_mm / 2 + root, root)]
    if skeg.heel is not None:
        nose, boss = foot_start_mm(strut.barrel, skeg, skeg.heel), skeg.heel.centre_mm
        middle = -float(np.interp(x, (boss[0], nose[0]), (boss[2], nose[2])))
        half, aside = skeg.heel.foot_height_mm / 2, skeg.heel.foot_thickness_mm / 2
        made.append(("skeg on its foot", middle - half - aside, middle + half, aside))
    found = []
    for where, above, below, aside in made:
        start, end = (seen.seen(np.array([x, 0.0, -depth])) for depth in (above, below))
        circle = largest_circle(loops, start, end, aside)
        found.append(
            Heavy(where=where, thick_mm=2 * circle.radius_mm, modulus_mm=circle.radius_mm, centre_mm=circle.centre)
        )
    return found


def poured_kg(casting_kg: float) -> tuple[float, float]:
    """Return the least and the most metal (kg) that is melted for a casting, runners and feeders counted.

    >>> poured_kg(14.0)
    (20.0, 28.0)
    """
    return casting_kg / YIELD[1], casting_kg / YIELD[0]


def bore_at_mm(strut: Strut, station_mm: float) -> float:
    """Return the diameter (mm) of the finished bore at a station.

    >>> bore_at_mm(shipped("harbour-launch"), 70.0)
    50.0
    """
    stations, radius = zip(*bore_points(strut.barrel), strict=True)
    return 2.0 * float(np.interp(station_mm, stations, radius))
