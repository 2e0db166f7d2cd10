"""The numbers of a cast strut's pattern: contraction, stock, draft, core. Pure numpy.

Pattern = (part + machining stock + draft) x contraction, all about the datum (the origin of the strut frame), so that
one factor serves every size. Holes for bolts and screws, slots, lead-ins and steps of the bore are machined later and
are not in the pattern. Draft only ever adds metal.

The parting plane holds the shaft line. `arm_plane`: it also holds the arm's axis, or the bisector of two arms, and the
pull is athwart, positive to port. `barrel_plane`: the pull lies along that axis, square to the shaft, positive toward
the hull. Of a part without arms that axis stands upright: a flange is drawn edgeways in either.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from strutwright.models import families, frames, rules
from strutwright.models.frames import Axes, Vector, unit
from strutwright.models.geometry import flange as flanges
from strutwright.models.geometry.barrel import outside_radius_mm
from strutwright.models.geometry.casting import cast_tolerance_mm, casting_of
from strutwright.models.resolve import Resolved
from strutwright.models.spec import Casting, Strut
from strutwright.params import tables
from strutwright.params.quantity import GRAVITY_M_S2
from strutwright.params.schema_let_in import LetInSet
from strutwright.params.words import Words, deg, mm, read, say

Parting = Literal["arm_plane", "barrel_plane"]

SOLID_BORE_MM = 25.0  # smaller bores are cast solid; common practice, no source
FULL_PRINT_MM = 76.2  # round prints as long as thick up to 3 in, then less; published foundry practice
CORE_DENSITY_KG_M3 = 1600.0  # rammed dry sand; from memory
STOCK_STEP_MM = 0.5  # stock derived here is rounded up to this


class FoundryError(ValueError):
    """A pattern cannot be worked out; the text says what is missing and what to say in the file."""


@dataclass(frozen=True, slots=True)
class Draft:
    """The draft of a pattern's faces: one angle for all of them as given, or each face's own by its height.

    given_deg: None where the file leaves it out.
    """

    given_deg: float | None = None

    def at(self, height_mm: float) -> float:
        """Return the draft (degrees) of a face of a height (mm) along the pull.

        >>> Draft().at(34.0), Draft(1.0).at(34.0)
        (2.2, 1.0)
        """
        return rules.draft_deg(height_mm) if self.given_deg is None else self.given_deg

    @property
    def given(self) -> bool:
        """True when the file says one draft for all faces."""
        return self.given_deg is not None

    @property
    def under_root_deg(self) -> float:
        """Draft (degrees) of a palm's water face, whatever its height.

        The arm grows from it over the ridge that draft leaves in the parting plane; more lean leaves the blend of the
        root no ground there.
        """
        return rules.USUAL_DRAFT_DEG if self.given_deg is None else self.given_deg

    @property
    def none(self) -> bool:
        """True when no face gets any."""
        return self.given_deg == 0

    @property
    def note(self) -> Words:
        """Where the angles come from."""
        if self.given_deg is not None:
            return "as said in the file"
        return say("by height, ISO 8062-4 Table 4, {usual} at least", usual=deg(rules.USUAL_DRAFT_DEG))


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundrySpec:
    """What the pattern of one strut is made to. Lengths mm, angles degrees; nothing here has contraction in it.

    factor: pattern size over part size. stock_*: per face, the bore's on its radius; stock_notes says of each where it
    comes from; that of the ends is also on a spigot's outside and end, that of a palm on a flange's bedding face.
    core_diameter_mm, print_length_mm: of the sand core, 0 when the bore is cast solid. largest_mm: the greatest overall
    size of the finished part.
    """

    alloy: str
    density_kg_m3: float
    contraction_percent: float
    contraction_note: str
    master_percent: float
    factor: float
    draft: Draft
    parting: Parting
    stock_bore_mm: float
    stock_ends_mm: float
    stock_palm_mm: float
    stock_notes: tuple[str, str, str]
    core_diameter_mm: float
    print_length_mm: float
    largest_mm: float

    @property
    def cored(self) -> bool:
        """True when the bore is cored."""
        return self.core_diameter_mm > 0

    @property
    def double(self) -> bool:
        """True when the contraction of a metal pattern is included as well."""
        return self.master_percent > 0

    def contraction_text(self) -> str:
        """Return the contraction in words, for sheets."""
        if self.double:
            return (
                f"contraction INCLUDED, DOUBLE: {self.contraction_percent:g} % casting and {self.master_percent:g} % "
                f"metal pattern, factor {self.factor:.6f}"
            )
        if self.contraction_percent == 0:
            return "contraction NOT INCLUDED, factor 1"
        return f"contraction INCLUDED, SINGLE: {self.contraction_percent:g} %, factor {self.factor:.6f}"


# --- rules ----------------------------------------------------------------------------------------------------------


def contraction_factor(percent: float, master_percent: float = 0.0) -> float:
    """Return pattern size over part size: (1 + s)(1 + m).

    percent: linear contraction of the casting. master_percent: that of a metal pattern cast from this one, 0 for none.

    >>> round(8 * contraction_factor(100 * 7 / 32 / 12), 4)  # 8 in at 7/32 in to the foot
    8.1458
    """
    return (1 + percent / 100) * (1 + master_percent / 100)


def raw_dimension_mm(
    finished_mm: float, allowance_mm: float, tolerance_mm: float, *, faces: Literal[1, 2] = 2, inside: bool = False
) -> float:
    """Return the size to cast: R = F + faces RMA + CT/2, or F - faces RMA - CT/2 inside (ISO 8062; the rule is from
    memory, the values of the tables are published).

    finished_mm: size after machining. allowance_mm: required machining allowance of a face. tolerance_mm: total
    casting tolerance. faces: how many ends of the dimension are machined.

    >>> raw_dimension_mm(92.0, 3.5, 4.4), raw_dimension_mm(92.0, 3.5, 4.4, faces=1)  # 92 + 2 x 3.5 + 2.2
    (101.2, 97.7)
    """
    more = faces * allowance_mm + tolerance_mm / 2
    return finished_mm - more if inside else finished_mm + more


def stock_mm(dimension_mm: float, largest_mm: float, casting: Casting, *, faces: Literal[1, 2] = 2) -> float:
    """Return the stock (mm) on each machined face of a dimension, rounded up to STOCK_STEP_MM.

    dimension_mm: the finished dimension between the faces, or from the cast face to the machined one. largest_mm: the
    greatest overall size of the part. Sizes off the tables use their nearest row. ISO 8062, published (typed copy);
    see raw_dimension_mm.

    >>> stock_mm(92.0, 400.0, Casting(tolerance_grade="CT11", allowance_grade="G"))  # 3.5 + 4.4 / 4, rounded up
    5.0
    """
    tolerance = float(cast_tolerance_mm(casting.tolerance_grade, dimension_mm))
    each = (
        raw_dimension_mm(dimension_mm, allowance_mm(casting, largest_mm), tolerance, faces=faces) - dimension_mm
    ) / faces
    return math.ceil(each / STOCK_STEP_MM - 1e-9) * STOCK_STEP_MM


def allowance_mm(casting: Casting, largest_mm: float) -> float:
    """Return the required machining allowance (mm) of a face; ISO 8062-4, published (typed copy).

    Castings over the table's greatest size (1000 mm) take its last row.

    >>> allowance_mm(Casting(tolerance_grade="CT11", allowance_grade="G"), 400.0)  # the row of 250 to 400
    3.5
    """
    return tables.machining_allowance_mm(casting.allowance_grade, min(largest_mm, 1000.0))


def core_diameter_mm(bore_mm: float, stock_bore_mm: float) -> float:
    """Return the diameter of the core (mm): bore less twice the stock; 0 when that is small enough to cast solid.

    >>> core_diameter_mm(50.0, 4.0), core_diameter_mm(30.0, 4.0)  # 22 is cast solid
    (42.0, 0.0)
    """
    core = bore_mm - 2 * stock_bore_mm
    return core if core >= SOLID_BORE_MM else 0.0


def print_length_rule_mm(core_mm: float) -> float:
    """Return the length (mm) of a round horizontal core print, each end.

    As long as the core is thick up to 3 in, then half as much again per mm (the published rule says only "relatively
    less"; the half is common practice, no source).

    >>> print_length_rule_mm(50.0), print_length_rule_mm(96.2)  # 76.2 and half of 20
    (50.0, 86.2)
    """
    return min(core_mm, FULL_PRINT_MM) + max(core_mm - FULL_PRINT_MM, 0.0) / 2


def draft_offset_mm(height_mm: float, draft_deg: float) -> float:
    """Return how much a face leans out over a height along the pull (mm).

    >>> round(draft_offset_mm(100.0, 2.0), 3)  # 100 tan(2 degrees)
    3.492
    """
    return height_mm * math.tan(math.radians(draft_deg))


def casting_weight_kg(volume_mm3: float, density_kg_m3: float) -> float:
    """Return the weight of a casting from its volume without contraction.

    >>> round(casting_weight_kg(1e6, 7600.0), 3)  # a litre of bronze
    7.6
    """
    return volume_mm3 * 1e-9 * density_kg_m3


def in_metal_mm(strut: Strut, spec: FoundrySpec) -> float:
    """Return the length (mm) of the core between its prints.

    >>> launch = resolved("harbour-launch")  # a barrel of 146
    >>> in_metal_mm(launch.strut, replace(foundry_settings(launch), stock_ends_mm=4.0))
    154.0
    """
    aft, fore = _rims_mm(strut, spec)
    return fore - aft


def core_lift_n(core_mm: float, in_metal_mm: float, density_kg_m3: float) -> float:
    """Return the net lift (N) on a horizontal core in the liquid metal (buoyancy less its own weight).

    in_metal_mm: its length between the prints. The metal's density when solid is taken, which is on the safe side; the
    weight of the prints is left out, likewise.

    >>> round(core_lift_n(50.0, 200.0, 7600.0), 2)  # pi / 4 x 0.05^2 x 0.2 m3 of 6000 kg/m3, times 9.80665
    23.11
    """
    volume = math.pi / 4 * core_mm**2 * in_metal_mm
    return volume * 1e-9 * (density_kg_m3 - CORE_DENSITY_KG_M3) * GRAVITY_M_S2


# --- settings -------------------------------------------------------------------------------------------------------


def foundry_settings(resolved: Resolved) -> FoundrySpec:
    """Return what the pattern is made to, from the file's `pattern` group, the alloy and the rules above.

    Raises FoundryError for a welded strut, and when neither the file nor the table knows the contraction.

    >>> spec = foundry_settings(resolved("harbour-launch"))
    >>> spec.core_diameter_mm + 2 * spec.stock_bore_mm, round(spec.factor, 4)  # its bore is 50
    (50.0, 1.0182)
    """
    strut, whole = resolved.strut, resolved.said
    if strut.construction != "cast" or isinstance(whole, LetInSet):
        made = strut.construction
        raise FoundryError(f"a {made} {families.called(strut)} has no pattern; one that is cast has")
    said = whole.pattern
    metal = tables.material(strut.material)
    percent, note = said.contraction, "as said in the file"
    if percent is None:
        percent, note = metal.contraction_percent, f"table value for {metal.name}, to be confirmed by the founder"
    if percent is None:
        raise FoundryError(
            f"no contraction is known for {strut.material}; say pattern.contraction in per cent, as the "
            "founder gives it"
        )
    barrel, largest, casting = strut.barrel, _largest_size_mm(strut), casting_of(strut)
    bore_least = math.ceil(casting.core_shift_mm / STOCK_STEP_MM - 1e-9) * STOCK_STEP_MM  # or a shifted core shows
    derived = (
        max(stock_mm(barrel.bore_mm, largest, casting), bore_least),
        stock_mm(barrel.length_mm, largest, casting),
        stock_mm(max((p.thickness_mm for p in strut.plates), default=0.0), largest, casting, faces=1),
    )
    given = (said.stock.bore, said.stock.barrel_ends, said.stock.on_face)
    rule = read(
        say(
            "ISO 8062 {allowance} and {tolerance}, largest size {largest}",
            allowance=casting.allowance_grade,
            tolerance=casting.tolerance_grade,
            largest=mm(largest),
        ),
        strut.file_units,
    )
    bore, ends, palm = (d if g is None else g for g, d in zip(given, derived, strict=True))
    core = core_diameter_mm(_narrowest_mm(strut), bore)
    notes = tuple("as said in the file" if g is not None else rule for g in given)
    return FoundrySpec(
        alloy=strut.material,
        density_kg_m3=metal.density_kg_m3,
        contraction_percent=percent,
        contraction_note=note,
        master_percent=said.master_contraction,
        factor=contraction_factor(percent, said.master_contraction),
        draft=Draft(said.draft),
        parting=said.way,
        stock_bore_mm=bore,
        stock_ends_mm=ends,
        stock_palm_mm=palm,
        stock_notes=(notes[0], notes[1], notes[2]),
        core_diameter_mm=core,
        print_length_mm=print_length_rule_mm(core) if core else 0.0,
        largest_mm=largest,
    )


def _narrowest_mm(strut: Strut) -> float:
    """Return the least diameter (mm) of what is bored, through a spigot too."""
    barrel, spigot = strut.barrel, None if strut.flange is None else strut.flange.spigot
    bored = [barrel.bore_mm, *(s.diameter_mm for s in barrel.steps)]
    return min(bored if spigot is None else [*bored, spigot.bore_mm])


def _largest_size_mm(strut: Strut) -> float:
    """Return the greatest side (mm) of the box round the finished strut, along the strut's axes."""
    b = strut.barrel
    half = np.array([b.length_mm, b.outside_mm, b.outside_mm]) / 2
    corners = [np.stack([-half, half])]
    for palm in strut.plates:
        box = palm.outline.bounding_box()
        uv = np.array([(box.xmin, box.ymin), (box.xmax, box.ymin), (box.xmax, box.ymax), (box.xmin, box.ymax)])
        axes = frames.plate_axes(strut, palm)
        corners += [axes.to_strut(uv), axes.to_strut(uv, -palm.thickness_mm)]
    beyond = None if strut.flange is None else flanges.spigot_end_mm(strut.flange, b)
    if beyond is not None:
        corners.append(np.array([[beyond, 0.0, 0.0]]))
    if strut.skeg is not None:
        s = strut.skeg
        lead = b.x(s.root_forward_station_mm) - s.sweep_mm
        corners.append(np.array([[lead, 0.0, -s.depth_mm], [lead - s.tip_chord_mm, 0.0, -s.depth_mm]]))
        if s.heel is not None:
            reach = np.array([s.heel.outside_mm, s.heel.outside_mm, s.heel.height_mm]) / 2
            corners += [np.asarray(s.heel.centre_mm) + k * reach[None, :] for k in (-1, 1)]
    every = np.concatenate(corners)
    return float(np.max(every.max(axis=0) - every.min(axis=0)))


# --- parting and pull -----------------------------------------------------------------------------------------------


def _arm_way(strut: Strut) -> Vector:
    """Return the unit vector (3,), square to the shaft, of the arm's axis or the bisector of two arms."""
    way = sum((frames.arm_direction(a.clock_deg, a.rake_deg) for a in strut.arms), np.zeros(3))
    way[0] = 0.0
    return unit(way) if np.linalg.norm(way) > 1e-9 else frames.radial(0.0)


def parting_axes(strut: Strut, parting: Parting) -> Axes:
    """Return the axes of the parting plane: u forward along the shaft line, v away from the shaft in the plane, n the
    pull (against u x v for `arm_plane`, so that v points toward the hull and n to port).

    >>> parting_axes(shipped("harbour-launch"), "arm_plane").n.tolist()  # an upright arm is drawn to port
    [0.0, 1.0, 0.0]
    """
    way, x = _arm_way(strut), np.array([1.0, 0.0, 0.0])
    across = np.cross(way, x)
    v, n = (way, across) if parting == "arm_plane" else (across, way)
    return Axes(np.zeros(3), x, v, n)


def half_names(parting: Parting, family: str) -> tuple[str, str]:
    """Return the names of the two halves of a pattern of a family: the one on the pull's positive side first.

    >>> half_names("barrel_plane", "strut"), half_names("barrel_plane", "flanged_housing")
    (('hull half', 'water half'), ('upper half', 'lower half'))
    """
    return ("port half", "starboard half") if parting == "arm_plane" else families.HALVES[family]


def face_draft_deg(normal: Vector, pull: Vector) -> float:
    """Return the angle (degrees) by which a face opens along the pull; negative is back-draft (overhang).

    normal: outward unit normal (3,). pull: unit vector in which the pattern leaves the mould on that side.

    >>> round(face_draft_deg(frames.radial(88.0), frames.radial(0.0)), 6)  # a side face that leans by 2 degrees
    2.0
    """
    return math.degrees(math.asin(float(np.clip(normal @ pull, -1, 1))))


def casting_strut(strut: Strut, spec: FoundrySpec) -> Strut:
    """Return the strut with stock on the palms' hull faces and the heel boss's two faces; the water faces stay. A
    flange has it on its bedding face, and on its spigot.

    A hull face that is made to a curve is cast plain, with the stock over its highest place: a hollow face would hold
    the pattern in the sand, and either draws only with its axis along the parting. The barrel is left alone: its stock
    goes on as collars, so that its fairings keep their place. Arms keep their taper and are carried on into the stock.

    >>> launch = resolved("harbour-launch")
    >>> spec = foundry_settings(launch)
    >>> casting_strut(launch.strut, spec).palms[0].thickness_mm - spec.stock_palm_mm  # the finished palm
    14.0
    """
    palms = []
    for palm in strut.palms:
        n, over = frames.palm_axes(palm).n, spec.stock_palm_mm + palm.stands_out_mm
        zero = np.asarray(palm.zero_mm) + over * n
        plane = replace(palm.plane, drop_mm=palm.plane.drop_mm + over / float(n[2]))
        palms.append(
            replace(
                palm,
                plane=plane,
                zero_mm=(float(zero[0]), float(zero[1]), float(zero[2])),
                thickness_mm=palm.thickness_mm + over,
                curve=None,
            )
        )
    arms = []
    for arm in strut.arms:
        ends = frames.arm_ends_mm(arm, strut.barrel, strut.palms[arm.palm_index].plane)
        end = frames.arm_ends_mm(arm, strut.barrel, palms[arm.palm_index].plane)[1]
        chord, thickness = frames.arm_size_at(arm, ends, end)
        arms.append(replace(arm, chord_palm_mm=chord, thickness_palm_mm=thickness))
    skeg = strut.skeg
    if skeg is not None and skeg.heel is not None:
        skeg = replace(skeg, heel=replace(skeg.heel, height_mm=skeg.heel.height_mm + 2 * spec.stock_ends_mm))
    flange = strut.flange
    if flange is not None:
        flange = flanges.with_stock(flange, spec.stock_palm_mm, spec.stock_ends_mm)
    return replace(strut, palms=tuple(palms), arms=tuple(arms), skeg=skeg, flange=flange)


# --- where things lie along the shaft --------------------------------------------------------------------------------


def end_faces_mm(strut: Strut, spec: FoundrySpec) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return ((x of the cast face at its rim, x at the parting plane) aft, the same forward) in mm, no contraction.

    At the rim the face holds the stock; toward the parting plane the draft comes on top.

    >>> launch = resolved("harbour-launch")  # a barrel of 146
    >>> spec = replace(foundry_settings(launch), draft=Draft(0.0), stock_ends_mm=4.0)
    >>> end_faces_mm(launch.strut, spec)  # half of it, and the stock
    ((-77.0, -77.0), (77.0, 77.0))
    """
    out = []
    for sign, rim, radius in zip((-1, 1), _rims_mm(strut, spec), end_radii_mm(strut, spec), strict=True):
        out.append((rim, rim + sign * draft_offset_mm(radius, spec.draft.at(radius))))
    return out[0], out[1]


def _rims_mm(strut: Strut, spec: FoundrySpec) -> tuple[float, float]:
    """x of the cast faces at their rims, aft and forward. Where a slanting flange is the end, its farthest place at the
    core."""
    half = strut.barrel.length_mm / 2 + spec.stock_ends_mm
    flange = casting_strut(strut, spec).flange
    if flange is None or all(free_ends(strut)):
        return -half, half
    end = flanges.spigot_end_mm(flange, strut.barrel)
    sign = 1.0 if flange.plane.looks == "forward" else -1.0
    if end is None:
        slant = flanges.slant_mm(flange.plane, spec.core_diameter_mm / 2)
        end = strut.barrel.x(flange.plane.station_mm) + sign * slant
    return (-half, end) if sign > 0 else (end, half)


def free_ends(strut: Strut) -> tuple[bool, bool]:
    """Return whether the barrel's aft and forward end stand free, and do not end in a flange.

    >>> free_ends(shipped("harbour-launch")), free_ends(shipped("deadwood-cutter"))
    ((True, True), (True, False))
    """
    flange = strut.flange
    if flange is None or not flanges.ends_in_face(flange.plane, strut.barrel):
        return True, True
    return flange.plane.looks == "forward", flange.plane.looks == "aft"


def end_radii_mm(strut: Strut, spec: FoundrySpec) -> tuple[float, float]:
    """Return the radius (mm) of the rough casting's round ends, aft and forward: of the barrel, of the spigot, or of
    the flange in which the barrel ends.

    >>> cutter = resolved("deadwood-cutter")  # its aft end is narrowed to 60; a spigot of 61.5 with 5 of stock round it
    >>> end_radii_mm(cutter.strut, foundry_settings(cutter))
    (30.0, 35.75)
    """
    barrel = strut.barrel
    aft, fore = (float(outside_radius_mm(barrel, s)) for s in (0.0, barrel.length_mm))
    flange = casting_strut(strut, spec).flange
    if flange is None or all(free_ends(strut)):
        return aft, fore
    box = flange.outline.bounding_box()
    end = max(abs(v) for v in box) if flange.spigot is None else flange.spigot.outside_mm / 2
    return (aft, end) if flange.plane.looks == "forward" else (end, fore)


def end_drafts_deg(strut: Strut, spec: FoundrySpec) -> tuple[float, float]:
    """Return the draft (degrees) of the barrel's aft and forward face.

    >>> launch = resolved("harbour-launch")  # faces of 68, 34 high to both sides of the parting
    >>> end_drafts_deg(launch.strut, foundry_settings(launch))
    (2.2, 2.2)
    """
    aft, fore = (spec.draft.at(r) for r in end_radii_mm(strut, spec))
    return aft, fore


def core_ends_mm(strut: Strut, spec: FoundrySpec) -> tuple[float, float]:
    """Return x of the core's two ends (mm, no contraction): print_length beyond the cast faces at the parting plane.

    >>> launch = resolved("harbour-launch")  # a barrel of 146
    >>> spec = replace(foundry_settings(launch), draft=Draft(0.0), stock_ends_mm=4.0, print_length_mm=42.0)
    >>> core_ends_mm(launch.strut, spec)  # 73 + 4 + 42
    (-119.0, 119.0)
    """
    aft, fore = end_faces_mm(strut, spec)
    return aft[1] - spec.print_length_mm, fore[1] + spec.print_length_mm
