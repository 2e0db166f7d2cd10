"""Motor yawl strut, on the centre line: the strut as solids. Drawing MY-40-04, revision A.

Written by strutwright 0.2.0 from yawl-with-heel.yaml; it needs Python with cadquery and nothing else. Lengths are
mm, angles degrees; a name ends in its unit. Frame: x forward along the shaft from mid-barrel, y to port, z square
to the shaft in the vertical plane through it, up. Clock angles: 0 along z, positive toward port. Sizes come first,
then how they are built; the last lines make `result`, show it in an editor that has show_object, and write it where
the script is given the name of a STEP file. A size does not move those beside it, and no check is made here: the
parameter file is where a part is changed for good.

Guidance only, not an approval: figures are indicative; class rules, local codes, a surveyor or a licensed engineer
decide.

The builders are part of strutwright; licence Apache-2.0.
"""

from __future__ import annotations

import functools
import itertools
import math
import re
import sys
import weakref
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from itertools import pairwise
from typing import Any, ClassVar, Concatenate, Literal, NamedTuple, ParamSpec, TypeAlias, TypeVar

import cadquery as cq
import numpy as np
from numpy.polynomial import Polynomial
from numpy.typing import ArrayLike, NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_Sewing
from OCP.BRepFilletAPI import BRepFilletAPI_MakeChamfer
from OCP.BRepGProp import BRepGProp
from OCP.BRepLib import BRepLib
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
from OCP.BRepTools import BRepTools
from OCP.Geom import Geom_BezierSurface, Geom_BSplineCurve, Geom_BSplineSurface
from OCP.gp import gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.ShapeFix import ShapeFix_Shape
from OCP.TColgp import TColgp_Array1OfPnt, TColgp_Array2OfPnt
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopAbs import TopAbs_Orientation
from OCP.TopLoc import TopLoc_Location
from OCP.TopTools import TopTools_ListOfShape

# --- sizes ----------------------------------------------------------------------------------------------------------
# Change a number and run the script again.

# Barrel
barrel_length_mm = 166.0  # length over the faces
barrel_outside_mm = 83.0  # outside diameter
barrel_bore_mm = 55.0  # nominal size of the bore
barrel_aft_end_shape = "straight"  # how the end is faired
barrel_aft_end_length_mm = 0.0  # length of the fairing along the axis
barrel_forward_end_shape = "straight"  # how the end is faired
barrel_forward_end_length_mm = 0.0  # length of the fairing along the axis
barrel_lead_in_aft_length_mm = 2.5  # length along the axis
barrel_lead_in_aft_angle_deg = 20.0  # angle to the axis
barrel_lead_in_forward_length_mm = 1.0  # length along the axis
barrel_lead_in_forward_angle_deg = 45.0  # angle to the axis

# Bearing
bearing_outside_mm = 55.0  # nominal outside diameter of the shell, as ordered
bearing_length_mm = 160.0  # length of the bearing
bearing_aft_station_mm = 0.0  # aft end, from the barrel's aft face
bearing_inside_mm = 40.14  # bore of the bearing
bearing_shell_mm = 3.0  # thickness of the shell
bearing_shell_material = "glass-epoxy shell"  # material of the shell
bearing_flute_count = 8  # how many flutes
bearing_flute_width_mm = 6.5  # width of a flute at the shaft
bearing_flute_depth_mm = 2.21  # depth of a flute below the running surface
bearing_flute_clock_deg = 157.5  # clock angle of the middle of one flute

# Arms
arm_clock_deg = 0.0  # direction seen along the shaft: 0 toward the hull, positive toward port
arm_rake_deg = 0.0  # lean in profile, positive with the palm end aft
arm_station_mm = 83.0  # where the arm's axis leaves the shaft line, from the barrel's aft face
arm_toe_deg = 0.0  # turn of the chord about the arm axis, positive leading edge to port
arm_aligned_with = "shaft"  # whether the chord runs along the shaft or along the flow (the hull)
# flat: plate with rounded edges; ellipse; two_arcs: two equal arcs; foil: NACA four-digit symmetrical
arm_shape = "flat"
arm_chord_barrel_mm = 130.0  # chord where the arm leaves the barrel
arm_thickness_barrel_mm = 32.0  # thickness where the arm leaves the barrel
arm_chord_palm_mm = 130.0  # chord at the palm
arm_thickness_palm_mm = 32.0  # thickness at the palm
# radius of the edges: of a flat section half the thickness when left out, of two arcs and of a foil's trailing edge a
# tenth of the thickness, at most 2 mm
arm_edge_radius_mm = 16.0
arm_barrel_root_mm = 8.0  # fillet radius, of a welded strut leg of the weld, at the barrel
arm_palm_root_mm = 9.0  # fillet radius, of a welded strut leg of the weld, at the palm

# Palm and its bolts
hull_face_drop_mm = 350.0  # hull face to shaft line at mid-barrel, square to the shaft
hull_face_pitch_deg = 8.0  # shaft to hull face in the vertical plane through the shaft
hull_face_tilt_deg = 0.0  # hull face athwart, seen along the shaft; positive when it rises to port
palm_thickness_mm = 25.0  # thickness
# corners in order: x and y in the plate's own axes (mm), and how the edge from there bulges, as the tangent of a
# quarter of its turn: 0 straight, 1 half a circle
palm_outline_mm = [
    (-75.0, -90.0, 0.0),
    (75.0, -90.0, 1.0),
    (75.0, 90.0, 0.0),
    (-75.0, 90.0, 1.0),
]
palm_bevel_width_mm = 0.0  # width of the bevel across the water face
palm_bevel_height_mm = 0.0  # how much thinner the edge is
palm_bolt_hole_mm = 15.5  # diameter of the hole
palm_bolt_kind = "countersunk"  # how the head sits in the water face
palm_bolt_head_diameter_mm = 31.8  # diameter of the head's recess at the water face
palm_bolt_head_angle_deg = 90.0  # included angle of a countersink
palm_bolt_head_depth_mm = 8.15  # depth of the recess below the water face
# each: number, u_mm, v_mm; u and v in the plate's own axes
palm_holes = [
    (1, 124.535766742, 40.5241633267),
    (2, 43.8827412287, 64.0),
    (3, -43.8827412287, 64.0),
    (4, -124.535766742, 40.5241633267),
    (5, -124.535766742, -40.5241633267),
    (6, -43.8827412287, -64.0),
    (7, 43.8827412287, -64.0),
    (8, 124.535766742, -40.5241633267),
]
palm_axes_deg = 0.0  # turn of the palm's forward axis from the trace of the vertical plane through the shaft

# Set screws
# each: station_mm, clock_deg, tap_drill_mm, flat_diameter_mm; stations from the barrel's aft face; flat: diameter of a
# spot face, or None
set_screws = [
    (40.0, 90.0, 6.8, None),
    (120.0, 90.0, 6.8, None),
]

# Skeg
skeg_kind = "plate"  # plate or foil fin
skeg_root_aft_station_mm = 20.0  # aft end of the root, station from the barrel's aft face
skeg_root_forward_station_mm = 150.0  # forward end of the root, station from the barrel's aft face
skeg_depth_mm = 324.0  # from the shaft line down to the lower edge, square to the shaft
skeg_tip_chord_mm = 100.0  # chord at the lower edge
skeg_sweep_mm = 20.0  # how far the leading edge goes aft from root to lower edge
skeg_thickness_root_mm = 25.0  # thickness at the root
skeg_thickness_tip_mm = 25.0  # thickness at the lower edge
skeg_leading_edge = "round"  # how a plate fin's leading edge is faired
skeg_root_mm = 12.5  # fillet radius, of a welded strut leg of the weld, at the barrel
skeg_heel_centre_mm = (-363.0, 0.0, -340.0)  # middle of the boss in the strut frame: x, y, z
skeg_heel_stock_rake_deg = -8.0  # lean of the rudder stock from square to the shaft, upper end aft positive
skeg_heel_stock_cant_deg = 0.0  # lean of the rudder stock athwart, upper end to port positive
skeg_heel_bore_mm = 30.3  # bore in which the pintle runs
skeg_heel_bush_wall_mm = 4.0  # wall of the bush
skeg_heel_outside_mm = 60.0  # outside diameter of the boss
skeg_heel_height_mm = 36.0  # height of the boss along the stock
skeg_heel_foot_height_mm = 36.0  # height of the foot that carries the boss
skeg_heel_foot_thickness_mm = 40.0  # thickness of the foot

# Welds
weld_prep = "double_bevel"  # edge preparation of the arm's ends
weld_prep_angle_deg = 50.0  # angle of the bevel to the arm's side
weld_root_face_mm = 2.0  # root face left in the middle
weld_beads = True  # whether the weld beads are modelled as bodies
material = "316L"  # metal, in words

# Room that roots are to have
root_face_mm = 0.5  # least from a root's toe to a face of the barrel
root_bare_share = 0.01  # least of an arm's length that its two roots leave bare
root_open_deg = 20.0  # least between the sides of a fillet weld, and short of flat


def the_strut() -> Strut:
    """Return all sizes as the builders take them."""
    barrel = Barrel(
        length_mm=barrel_length_mm,
        outside_mm=barrel_outside_mm,
        bore_mm=barrel_bore_mm,
        aft_end=BarrelEnd(
            shape=barrel_aft_end_shape,
            length_mm=barrel_aft_end_length_mm,
            end_diameter_mm=barrel_outside_mm,
        ),
        forward_end=BarrelEnd(
            shape=barrel_forward_end_shape,
            length_mm=barrel_forward_end_length_mm,
            end_diameter_mm=barrel_outside_mm,
        ),
        lead_in_aft=LeadIn(length_mm=barrel_lead_in_aft_length_mm, angle_deg=barrel_lead_in_aft_angle_deg),
        lead_in_forward=LeadIn(
            length_mm=barrel_lead_in_forward_length_mm,
            angle_deg=barrel_lead_in_forward_angle_deg,
        ),
        steps=(),
        slots=None,
        lands=(),
    )
    bearings = (
        Bearing(
            outside_mm=bearing_outside_mm,
            length_mm=bearing_length_mm,
            aft_station_mm=bearing_aft_station_mm,
            inside_mm=bearing_inside_mm,
            shell_mm=bearing_shell_mm,
            shell_material=bearing_shell_material,
            flute_count=bearing_flute_count,
            flute_width_mm=bearing_flute_width_mm,
            flute_depth_mm=bearing_flute_depth_mm,
            flute_clock_deg=bearing_flute_clock_deg,
        ),
    )
    arms = (
        Arm(
            name="arm",
            clock_deg=arm_clock_deg,
            rake_deg=arm_rake_deg,
            station_mm=arm_station_mm,
            toe_deg=arm_toe_deg,
            aligned_with=arm_aligned_with,
            shape=arm_shape,
            chord_barrel_mm=arm_chord_barrel_mm,
            thickness_barrel_mm=arm_thickness_barrel_mm,
            chord_palm_mm=arm_chord_palm_mm,
            thickness_palm_mm=arm_thickness_palm_mm,
            edge_radius_mm=arm_edge_radius_mm,
            barrel_root_mm=arm_barrel_root_mm,
            palm_root_mm=arm_palm_root_mm,
            palm_index=0,
        ),
    )
    hull_face = PalmPlane(
        drop_mm=hull_face_drop_mm,
        pitch_deg=hull_face_pitch_deg,
        tilt_deg=hull_face_tilt_deg,
    )
    palms = (
        Palm(
            name="palm",
            thickness_mm=palm_thickness_mm,
            outline=Outline(np.array(palm_outline_mm)),
            bevel_width_mm=palm_bevel_width_mm,
            bevel_height_mm=palm_bevel_height_mm,
            bolt=Bolt(
                hole_mm=palm_bolt_hole_mm,
                kind=palm_bolt_kind,
                head_diameter_mm=palm_bolt_head_diameter_mm,
                head_angle_deg=palm_bolt_head_angle_deg,
                head_depth_mm=palm_bolt_head_depth_mm,
            ),
            holes=tuple(
                PalmHole(number=number, u_mm=u_mm, v_mm=v_mm)
                for number, u_mm, v_mm in palm_holes
            ),
            curve=None,
            plane=hull_face,
            zero_mm=palm_zero_mm(barrel, hull_face, arms),
            axes_deg=palm_axes_deg,
        ),
    )
    skeg = Skeg(
        kind=skeg_kind,
        root_aft_station_mm=skeg_root_aft_station_mm,
        root_forward_station_mm=skeg_root_forward_station_mm,
        depth_mm=skeg_depth_mm,
        tip_chord_mm=skeg_tip_chord_mm,
        sweep_mm=skeg_sweep_mm,
        thickness_root_mm=skeg_thickness_root_mm,
        thickness_tip_mm=skeg_thickness_tip_mm,
        leading_edge=skeg_leading_edge,
        root_mm=skeg_root_mm,
        heel=Heel(
            centre_mm=skeg_heel_centre_mm,
            stock_rake_deg=skeg_heel_stock_rake_deg,
            stock_cant_deg=skeg_heel_stock_cant_deg,
            bore_mm=skeg_heel_bore_mm,
            bush_wall_mm=skeg_heel_bush_wall_mm,
            outside_mm=skeg_heel_outside_mm,
            height_mm=skeg_heel_height_mm,
            foot_height_mm=skeg_heel_foot_height_mm,
            foot_thickness_mm=skeg_heel_foot_thickness_mm,
        ),
    )
    weld = Weld(
        prep=weld_prep,
        prep_angle_deg=weld_prep_angle_deg,
        root_face_mm=weld_root_face_mm,
        beads=weld_beads,
    )
    return Strut(
        material=material,
        barrel=barrel,
        bearings=bearings,
        arms=arms,
        palms=palms,
        set_screws=tuple(
            SetScrew(
                station_mm=station_mm,
                clock_deg=clock_deg,
                tap_drill_mm=tap_drill_mm,
                flat_diameter_mm=flat_diameter_mm,
            )
            for station_mm, clock_deg, tap_drill_mm, flat_diameter_mm in set_screws
        ),
        skeg=skeg,
        weld=weld,
        flange=None,
    )


# --- words ----------------------------------------------------------------------------------------------------------
# Sentences with sizes in them, in millimetres.


Words = str


_UNIT = " mm"  # all sizes of a script are so


def say(template: str, **values: object) -> str:
    """Return a sentence with what is named in it; a fixed size stands in the braces itself."""
    return re.sub(r"\{(.+?)\}", lambda m: str(values.get(m[1], m[1])), template)


def mm(size: float) -> str:
    """Return a size in words."""
    return f"{size:.4g}" + _UNIT


def fine_mm(size: float) -> str:
    """Return a size in words to a thousandth."""
    return f"{round(size, 3):g}" + _UNIT


def told(error: BaseException) -> str:
    """Return what an error says."""
    return str(error)


# --- arrays ---------------------------------------------------------------------------------------------------------
# Numbers that may stand for one strut or for a batch of candidates, and arithmetic on vectors of them.


Floats: TypeAlias = NDArray[np.float64]


Truth: TypeAlias = bool | NDArray[np.bool_]


Num: TypeAlias = float | Floats


# --- frames ---------------------------------------------------------------------------------------------------------
# Frames of the strut: palm planes and axes, arm axes, angles and drops. Pure numpy.


Vector = Floats


class FrameError(ValueError):
    """Angles that belong to no hull, or a line that never meets it; the text says which."""


def unit(v: Vector) -> Vector:
    """Return v (shape (3,)) scaled to length 1."""
    return np.asarray(v / np.linalg.norm(v), dtype=float)


def cross(a: Vector, b: Vector) -> Vector:
    """Return the vector product of two vectors (3,), in a tenth of numpy's time for as few."""
    (ax, ay, az), (bx, by, bz) = a.tolist(), b.tolist()
    return np.array([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx])


@dataclass(frozen=True, slots=True)
class Axes:
    """A right-handed orthonormal frame: origin (mm) and unit vectors, each of shape (3,), in the strut frame."""

    origin: Vector
    u: Vector
    v: Vector
    n: Vector

    def to_strut(self, points_uv: Vector, height_mm: float = 0.0) -> Vector:
        """Return strut-frame points (n, 3) of (n, 2) in-plane points (mm), lifted height_mm along the normal."""
        p = np.atleast_2d(points_uv)
        return np.asarray(self.origin + np.outer(p[:, 0], self.u) + np.outer(p[:, 1], self.v) + height_mm * self.n)


def plane_axes(drop_mm: float, pitch_deg: float, tilt_deg: float, turn_deg: float = 0.0) -> Axes:
    """Return the axes of a hull-face plane with the origin where the z axis meets it.

    u lies along the trace turned by turn_deg toward port, v to port, n toward the hull.
    """
    th, tf = math.radians(pitch_deg), math.tan(math.radians(tilt_deg))
    n = unit(np.array([math.tan(th), -tf, 1.0]))
    e1 = np.array([math.cos(th), 0.0, -math.sin(th)])
    e2 = cross(n, e1)
    a = math.radians(turn_deg)
    u = math.cos(a) * e1 + math.sin(a) * e2
    return Axes(np.array([0.0, 0.0, drop_mm]), u, cross(n, u), n)


def palm_axes(palm: Palm) -> Axes:
    """Return the palm axes (u, v, n toward the hull) with the palm zero as origin."""
    a = plane_axes(palm.plane.drop_mm, palm.plane.pitch_deg, palm.plane.tilt_deg, palm.axes_deg)
    return Axes(np.asarray(palm.zero_mm, dtype=float), a.u, a.v, a.n)


def meet_plane(plane: PalmPlane, origin: Vector, direction: Vector) -> Vector:
    """Return where a line (origin (3,), direction (3,)) meets the hull face. Raises FrameError when parallel."""
    a = plane_axes(plane.drop_mm, plane.pitch_deg, plane.tilt_deg)
    along = float(direction @ a.n)
    if abs(along) < 1e-9:
        raise FrameError("the line never meets the palm plane")
    return np.asarray(origin + ((a.origin - origin) @ a.n) / along * direction, dtype=float)


def arm_direction(clock_deg: float, rake_deg: float) -> Vector:
    """Return the unit vector (3,) of an arm axis from the shaft line toward the hull."""
    c, r = math.radians(clock_deg), math.radians(rake_deg)
    return np.array([-math.sin(r), math.cos(r) * math.sin(c), math.cos(r) * math.cos(c)])


def arm_axes(arm: Arm, barrel: Barrel, plane: PalmPlane) -> Axes:
    """Return the section frame of an arm: origin on the shaft line, u along the chord (leading edge forward),
    v across the arm (port for an upright arm), n along the arm axis.

    u and n are not square to each other when the arm is raked: sections are cut along the chord direction, so that the
    chord keeps its length along the shaft (or the flow). v is square to both.
    """
    d = arm_direction(arm.clock_deg, arm.rake_deg)
    if arm.aligned_with == "shaft":
        f = np.array([1.0, 0.0, 0.0])
    else:
        f = plane_axes(plane.drop_mm, plane.pitch_deg, plane.tilt_deg).u
    t = math.radians(arm.toe_deg)
    # Rodrigues' turn about the arm axis.
    f = f * math.cos(t) + cross(d, f) * math.sin(t) + d * float(d @ f) * (1 - math.cos(t))
    return Axes(np.array([barrel.x(arm.station_mm), 0.0, 0.0]), f, unit(cross(d, f)), d)


def arm_ends_mm(arm: Arm, barrel: Barrel, plane: PalmPlane) -> tuple[float, float]:
    """Return the distances (mm) along the arm axis from the shaft line to the barrel's outside and to the hull face."""
    axes = arm_axes(arm, barrel, plane)
    top = meet_plane(plane, axes.origin, axes.n)
    radial = math.hypot(axes.n[1], axes.n[2])
    return barrel.outside_mm / 2 / radial, float((top - axes.origin) @ axes.n)


def palm_zero_mm(barrel: Barrel, plane: PalmPlane, arms: Sequence[Arm]) -> tuple[float, float, float]:
    """Return the palm zero (mm), where the middle of the arms meets the hull face; below the shaft where it never does.
    """
    clock = sum(a.clock_deg for a in arms) / len(arms)
    origin = np.array([barrel.x(arms[0].station_mm), 0.0, 0.0])
    try:
        x, y, z = meet_plane(plane, origin, arm_direction(clock, arms[0].rake_deg))
    except FrameError:
        return -1.0, -1.0, -1.0
    return float(x), float(y), float(z)


def arm_plane(strut: Strut, arm: Arm) -> PalmPlane:
    """Return the hull-face plane on which the arm lands."""
    return strut.palms[arm.palm_index].plane


def radial(clock_deg: float) -> Vector:
    """Return the unit vector (3,) square to the shaft at a clock angle (degrees)."""
    c = math.radians(clock_deg)
    return np.array([0.0, math.sin(c), math.cos(c)])


def angle_between_deg(first_deg: float, second_deg: float) -> float:
    """Return the smallest angle (0 to 180 degrees) between two clock angles."""
    return abs((first_deg - second_deg + 180) % 360 - 180)


def stock_direction(stock_rake_deg: float, stock_cant_deg: float) -> Vector:
    """Return the unit vector (3,) up the rudder stock; rake positive upper end aft, cant positive upper end to port."""
    return unit(np.array([-math.tan(math.radians(stock_rake_deg)), math.tan(math.radians(stock_cant_deg)), 1.0]))


# --- barrel ends ----------------------------------------------------------------------------------------------------
# The kinds of end that a barrel may have: how each is faired, and what can be built. One class each.


class EndKind:
    """A straight end, and what any other says otherwise. Lengths mm; drop_mm: of the radius from the outside to the
    face; inset_mm: from the face inward.

    share: usual length of the fairing over the outside diameter, 0 where there is none.
    """

    share = 0.0

    @property
    def faired(self) -> bool:
        """Whether it is narrower at the face."""
        return self.share > 0.0

    def lost_mm(self, length_mm: Num, drop_mm: Num, inset_mm: Num) -> Num:
        """Return how far (mm) the end lies inside the full radius. 0 inward of the fairing; past the face the drop goes
        on.
        """
        return 0.0

    def bend_mm(self, length_mm: Num, drop_mm: Num) -> Num | None:
        """Return the radius (mm) of its bend, None where it has none."""
        return None

    def bulge(self, length_mm: float, drop_mm: float) -> float:
        """Return how far it bulges out of its chord, as the outlines have it: tangent of a quarter of its turn."""
        return 0.0


class Tapered(EndKind):
    """A cone."""

    share = 0.4

    def lost_mm(self, length_mm: Num, drop_mm: Num, inset_mm: Num) -> Num:
        """Return how far (mm) it lies inside the full radius."""
        left = np.clip(length_mm - inset_mm, 0.0, length_mm)
        return drop_mm * left / np.where(np.asarray(length_mm) > 0, length_mm, 1.0)


class Rounded(EndKind):
    """A circular arc from the face to the outside, tangent to the outside."""

    share = 0.15

    def lost_mm(self, length_mm: Num, drop_mm: Num, inset_mm: Num) -> Num:
        """Return how far (mm) it lies inside the full radius."""
        left = np.clip(length_mm - inset_mm, 0.0, length_mm)
        bend = self.bend_mm(length_mm, drop_mm)
        return np.where(np.asarray(drop_mm) > 0, bend - np.sqrt(np.maximum(bend**2 - left**2, 0.0)), 0.0)[()]

    def bend_mm(self, length_mm: Num, drop_mm: Num) -> Num:
        """Return the radius (mm) of the arc."""
        return (length_mm**2 + drop_mm**2) / np.maximum(2.0 * drop_mm, 1e-9)

    def bulge(self, length_mm: float, drop_mm: float) -> float:
        """Return its bulge: the chord makes half the arc's turn with the tangent at its inner end."""
        return math.tan(math.atan2(drop_mm, length_mm) / 2)


ENDS: dict[str, EndKind] = {"straight": EndKind(), "tapered": Tapered(), "rounded": Rounded()}


# --- bolt heads -----------------------------------------------------------------------------------------------------
# The kinds of head that a bolt may have: what is cut for it in the palm, where it bears, its name. One row each.


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadKind:
    """One kind. called: the bolt by its head; recess: what is cut for it in the water face, empty for nothing; conical:
    whether head and recess are cones, the head flush; washed: whether it stands on a washer of its own.

    book: the table of its sizes, in words; from_table(size, standard, hole_mm, sunk_mm): the sizes by it, sunk so far
    below flush, raises NotInTable; standards: the usual ones of metric and of inch sizes, where several can be had.
    """

    recess: str = ""
    conical: bool = False

    def lost_mm(self, depth_mm: Num) -> Num:
        """Return how much (mm) of the plate's thickness does not bear on the shank: half of a cone (EN 1993-1-8 Table
        3.4); a cap-screw head stands clear in its hole.
        """
        return depth_mm * (0.5 if self.conical else 1.0)

    def wall(self, hole_mm: Num, head_mm: Num, angle_deg: Num, depth_mm: Num) -> list[tuple[Num, Num]]:
        """Return (depth below the water face, radius) in mm along the wall of the recess, from the hole to the face."""
        hole, head = hole_mm / 2, head_mm / 2
        if not self.recess:
            return []
        if self.conical:
            return [((head - hole) / np.tan(np.radians(angle_deg) / 2), hole), (0.0, head)]
        return [(depth_mm, hole), (depth_mm, head), (0.0, head)]


HEADS = {
    "countersunk": HeadKind(
        recess="countersink",
        conical=True,
        ),
    "counterbored": HeadKind(
        recess="counterbore"
    ),
    "plain": HeadKind(),
}


# --- once -----------------------------------------------------------------------------------------------------------
# Answers that are worked out once and kept with what was asked about, such as the inputs of a batch of candidates.


P = ParamSpec("P")


Answer = TypeVar("Answer")


About = TypeVar("About", bound="KeepsAnswers")


class KeepsAnswers:
    """What can be asked by functions that are `once`."""

    __slots__ = ("_answers",)
    _answers: dict[Any, Any]

    def forget(self) -> None:
        """Let go of all answers."""
        object.__setattr__(self, "_answers", {})


def once(work: Callable[Concatenate[About, P], Answer]) -> Callable[Concatenate[About, P], Answer]:
    """Return the function with its answers kept with its first argument; by the others, which are hashable."""

    def kept(about: About, /, *args: P.args, **named: P.kwargs) -> Answer:
        try:
            answers = about._answers
        except AttributeError:
            about.forget()
            answers = about._answers
        key = (work, args, *named.items())
        if key not in answers:
            answers[key] = work(about, *args, **named)
        answer: Answer = answers[key]
        return answer

    return functools.wraps(work)(kept)


# --- segments -------------------------------------------------------------------------------------------------------
# Lines and arcs as arrays: what is known of each, places along it, distances from it. Lengths mm, angles radians.


POINT_TOL_MM = 1e-6  # two vertices closer than this are one: a thousandth of what any machine can place


FLAT_SWEEP_RAD = 1e-9  # an arc sweeping less than this is a line: its height is below 1e-10 of its chord


class OutlineError(ValueError):
    """An outline cannot be made or used as asked; the text says what was given and what is allowed."""


class Segments(NamedTuple):
    """The m segments of an outline as arrays; a line has radius inf and centre nan."""

    start: Floats  # (m, 2)
    end: Floats  # (m, 2)
    bulge: Floats  # (m,)
    chord: Floats  # (m,) mm
    sweep_rad: Floats  # (m,) included angle, positive counter-clockwise, 0 for a line
    radius: Floats  # (m,) mm, positive
    centre: Floats  # (m, 2)
    length: Floats  # (m,) mm along the segment


def _half_cot(half: Floats) -> Floats:
    """half / sin(half), going to 1 at 0."""
    safe = np.where(np.abs(half) < 1e-8, 1.0, half)
    return np.where(np.abs(half) < 1e-8, 1.0, safe / np.sin(safe))


def segments_of(start: Floats, end: Floats, bulge: Floats) -> Segments:
    """Lines and arcs from start to end (m, 2) with bulges (m,), as in `Outline`; a bulge of 0 is a line."""
    delta = end - start
    chord = np.hypot(delta[:, 0], delta[:, 1])
    sweep = 4.0 * np.arctan(bulge)
    flat = np.abs(sweep) < FLAT_SWEEP_RAD
    b = np.where(flat, 1.0, bulge)
    radius = np.where(flat, np.inf, chord * (1.0 + b * b) / (4.0 * np.abs(b)))
    left = np.column_stack((-delta[:, 1], delta[:, 0]))
    centre = 0.5 * (start + end) + left * ((1.0 - b * b) / (4.0 * b))[:, None]
    centre = np.where(flat[:, None], np.nan, centre)
    sweep = np.where(flat, 0.0, sweep)
    return Segments(
        start=start,
        end=end,
        bulge=bulge,
        chord=chord,
        sweep_rad=sweep,
        radius=radius,
        centre=centre,
        length=chord * _half_cot(0.5 * sweep),
    )


def along(seg: Segments, index: NDArray[np.intp], u: Floats) -> tuple[Floats, Floats]:
    """Points and unit tangents at u in -1..1 of the segments `index`, shape (..., 2) each.

    Written from the chord, so that it does not lose digits when an arc is nearly straight.
    """
    chord = seg.end[index] - seg.start[index]
    half = 0.5 * seg.sweep_rad[index]
    phi = half * u
    curved = half != 0.0
    s = np.where(curved, np.sin(half), 1.0)
    x = np.where(curved, np.sin(phi) / s, u)
    y = np.where(curved, -2.0 * np.sin(0.5 * (half + phi)) * np.sin(0.5 * (half - phi)) / s, 0.0)
    mid = 0.5 * (seg.start[index] + seg.end[index])
    left = np.stack((-chord[..., 1], chord[..., 0]), axis=-1)
    point = mid + 0.5 * (x[..., None] * chord + y[..., None] * left)
    unit = chord / seg.chord[index][..., None]
    unit_left = left / seg.chord[index][..., None]
    tangent = np.cos(phi)[..., None] * unit + np.sin(phi)[..., None] * unit_left
    return point, tangent


# --- chain ----------------------------------------------------------------------------------------------------------
# A closed or open chain of straight lines and circular arcs.


_GAUSS_X, _GAUSS_W = np.polynomial.legendre.leggauss(24)  # rounding only, for degree 4 over a full turn


class Box(NamedTuple):
    """Bounding box, mm."""

    xmin: float
    ymin: float
    xmax: float
    ymax: float


@dataclass(frozen=True, slots=True, eq=False)
class Outline(KeepsAnswers):
    """A closed or open chain of lines and arcs.

    vertices: (n, 3) x mm, y mm, bulge of the segment that starts here (unused at the last vertex of an open
    chain). closed: the last vertex is joined to the first by a segment. The array is copied and made
    read-only, and what follows from it is worked out once. Raises OutlineError when there are too few vertices, a
    value is not finite, or a segment has no length; TypeError for what are no rows of three.
    """

    vertices: Floats
    closed: bool = True

    def __post_init__(self) -> None:
        v = np.array(self.vertices, dtype=np.float64)
        if v.ndim != 2 or v.shape[1] != 3:
            raise TypeError(f"an outline has x, y, bulge rows; shape {v.shape} was given")
        if len(v) < 2:
            raise OutlineError(f"an outline needs two or more vertices; {len(v)} was given")
        if not np.all(np.isfinite(v)):
            raise OutlineError("an outline has a coordinate or bulge that is not a finite number")
        if not self.closed:
            v[-1, 2] = 0.0
        v += 0.0  # no negative zeros: they would print differently
        v.setflags(write=False)
        object.__setattr__(self, "vertices", v)
        chord = self.segments().chord
        if np.any(chord <= POINT_TOL_MM):
            k = int(np.argmin(chord))
            raise OutlineError(
                f"the outline has a segment without length at vertex {k} ({v[k, 0]:.6g}, {v[k, 1]:.6g}); "
                "neighbouring vertices must be further apart"
            )

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Outline) and self.closed == other.closed and np.array_equal(self.vertices, other.vertices)
        )

    def __hash__(self) -> int:
        return hash((self.closed, self.vertices.tobytes()))

    # ---- pieces -------------------------------------------------------------------------------------------

    @once
    def segments(self) -> Segments:
        """The segments as arrays, in order."""
        xy, bulge = self.vertices[:, :2], self.vertices[:, 2]
        if self.closed:
            return segments_of(xy, np.roll(xy, -1, axis=0), bulge)
        return segments_of(xy[:-1], xy[1:], bulge[:-1])

    @once
    def bounding_box(self) -> Box:
        """The exact box, arcs included."""
        seg = self.segments()
        found = [self.vertices[:, :2]]
        arcs = np.flatnonzero(seg.sweep_rad != 0.0)
        if arcs.size:
            mid, _ = along(seg, arcs, np.zeros(arcs.size))
            middle = np.arctan2(*(mid - seg.centre[arcs]).T[::-1])
            for direction in ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)):
                off = math.atan2(direction[1], direction[0]) - middle
                off = np.abs((off + np.pi) % (2.0 * np.pi) - np.pi)
                on = arcs[off <= 0.5 * np.abs(seg.sweep_rad[arcs])]
                found.append(seg.centre[on] + seg.radius[on][:, None] * np.array(direction))
        xy = np.vstack(found)
        low, high = xy.min(axis=0), xy.max(axis=0)
        return Box(float(low[0]), float(low[1]), float(high[0]), float(high[1]))

    # ---- area ---------------------------------------------------------------------------------------------

    def _require_closed(self, what: str) -> None:
        if not self.closed:
            raise TypeError(f"an open chain has no {what}; close the outline first")

    @once
    def signed_area_mm2(self) -> float:
        """Area, positive when the chain runs counter-clockwise. Raises TypeError for an open chain."""
        self._require_closed("area")
        origin = self.vertices[:, :2].mean(axis=0)
        x, y, dx, dy = self._boundary_quadrature(origin)
        return float(0.5 * np.sum(x * dy - y * dx))

    def _boundary_quadrature(self, origin: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """x, y, dx, dy (weights in) at the Gauss points of every segment, relative to `origin`."""
        seg = self.segments()
        index = np.broadcast_to(np.arange(len(seg.chord))[:, None], (len(seg.chord), len(_GAUSS_X)))
        point, tangent = along(seg, index, np.broadcast_to(_GAUSS_X, index.shape))
        step = tangent * (0.5 * seg.length[:, None] * _GAUSS_W)[..., None]
        rel = point - origin
        return rel[..., 0], rel[..., 1], step[..., 0], step[..., 1]

    # ---- order and position -------------------------------------------------------------------------------

    def is_ccw(self) -> bool:
        """True when the closed chain runs counter-clockwise."""
        return self.signed_area_mm2() > 0.0

    def reversed(self) -> Outline:
        """The same chain run the other way."""
        v = self.vertices[::-1].copy()
        v[:, 2] = -np.roll(v[:, 2], -1)
        return Outline(v, self.closed)

    def normalised(self) -> Outline:
        """The same outline, counter-clockwise, starting at its vertex of smallest x, then smallest y."""
        out = self if self.is_ccw() else self.reversed()
        key = np.round(out.vertices[:, :2], 9)
        first = int(np.lexsort((key[:, 1], key[:, 0]))[0])
        return Outline(np.roll(out.vertices, -first, axis=0), True)

    # ---- points -------------------------------------------------------------------------------------------

    # ---- checks -------------------------------------------------------------------------------------------


# --- makers ---------------------------------------------------------------------------------------------------------
# Outlines of plain shapes, centred on the origin, and chains put together.


def stadium(length_mm: float, width_mm: float) -> Outline:
    """A round-ended bar or slot centred on the origin, over-all length along x. Needs length >= width."""
    _require_positive("width", width_mm)
    if length_mm < width_mm:
        raise OutlineError(
            say(
                "a round-ended outline must be at least as long as wide; length {length} and width {width} were given",
                length=fine_mm(length_mm),
                width=fine_mm(width_mm),
            )
        )
    if length_mm - width_mm <= POINT_TOL_MM:
        return circle(width_mm)
    x, r = 0.5 * (length_mm - width_mm), 0.5 * width_mm
    return Outline(np.array(((-x, -r, 0.0), (x, -r, 1.0), (x, r, 0.0), (-x, r, 1.0))))


def circle(diameter_mm: float, centre: tuple[float, float] = (0.0, 0.0)) -> Outline:
    """A circle, as two half circles."""
    _require_positive("diameter", diameter_mm)
    r = 0.5 * diameter_mm
    return Outline(np.array(((centre[0] - r, centre[1], 1.0), (centre[0] + r, centre[1], 1.0))))


def _require_positive(name: str, value: float) -> None:
    if not value > 0.0:
        raise OutlineError(say("the {name} must be above 0; {given} was given", name=name, given=fine_mm(value)))


# --- spec -----------------------------------------------------------------------------------------------------------
# The frozen, resolved strut: every size the builders, checks and exporters read, in one set of frames.


@dataclass(frozen=True, slots=True, kw_only=True)
class PalmPlane:
    """Hull face of a palm: z = drop - x tan(pitch) + y tan(tilt) in the strut frame.

    drop_mm: square to the shaft at mid-barrel. pitch_deg: theta, shaft to hull in the vertical plane through the
    shaft, positive when the hull rises aft from the shaft. tilt_deg: phi, athwart tilt seen along the shaft,
    positive when the face rises to port.
    """

    drop_mm: float
    pitch_deg: float
    tilt_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BarrelEnd:
    """A barrel end by the name of its kind. length_mm: along the axis; end_diameter_mm: outside, at the face."""

    shape: str
    length_mm: float
    end_diameter_mm: float

    @property
    def kind(self) -> EndKind:
        """Its kind."""
        return ENDS[self.shape]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadIn:
    """Chamfer at the mouth of the bore. length_mm: along the axis; angle_deg: to the axis."""

    length_mm: float
    angle_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SetScrew:
    """One tapped hole through the barrel wall, square to the axis."""

    station_mm: float
    clock_deg: float
    tap_drill_mm: float
    flat_diameter_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Barrel:
    """The tube round the bearing."""

    length_mm: float
    outside_mm: float
    bore_mm: float
    aft_end: BarrelEnd
    forward_end: BarrelEnd
    lead_in_aft: LeadIn
    lead_in_forward: LeadIn
    steps: tuple[Any, ...] = ()
    slots: Any | None = None
    lands: tuple[Any, ...] = ()
    """Where its outside is not outside_mm, apart from faired ends; from aft forward, at an end or side by side."""

    def x(self, station_mm: float) -> float:
        """Strut-frame x (mm) of a station (mm from the aft face)."""
        return station_mm - self.length_mm / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Bearing:
    """A fluted rubber bearing: shell outside, rubber inside, flutes along. outside_mm is its nominal size."""

    outside_mm: float
    length_mm: float
    aft_station_mm: float
    inside_mm: float
    shell_mm: float
    shell_material: str
    flute_count: int
    flute_width_mm: float
    flute_depth_mm: float
    flute_clock_deg: float

    @property
    def plain(self) -> bool:
        """Whether it is a bush of one material throughout, without rubber and flutes."""
        return self.flute_count == 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Arm:
    """One arm. The axis leaves the shaft line at station_mm; sections lie in planes that hold the chord direction.

    clock_deg: direction of the axis seen along the shaft. rake_deg: lean of the axis in profile, positive when the
    palm end lies aft. aligned_with: the chord runs along the shaft, or along the flow (the trace of the hull); toe_deg
    turns it about the arm axis, positive leading edge to port. Sizes "at barrel" hold where the axis leaves the
    barrel's outside, "at palm" where it meets the hull face; linear between.
    """

    name: str
    clock_deg: float
    rake_deg: float
    station_mm: float
    toe_deg: float
    aligned_with: Literal["shaft", "flow"]
    shape: str
    chord_barrel_mm: float
    thickness_barrel_mm: float
    chord_palm_mm: float
    thickness_palm_mm: float
    edge_radius_mm: float
    """Radius of the edges, as `sections.SectionKind.edge_at` takes it along the arm; 0 for a kind without edges."""
    barrel_root_mm: float
    """Fillet radius (cast) or weld leg (welded) at the barrel."""
    palm_root_mm: float
    """Fillet radius (cast) or weld leg (welded) at the palm."""
    palm_index: int

    @property
    def called(self) -> str:
        """Its name in plain words."""
        return self.name if "arm" in self.name or self.name == "web" else f"{self.name} arm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bolt:
    """The bolt of a palm and the hole made for it; head_diameter_mm is the diameter cut at the water face."""

    hole_mm: float
    kind: str
    """Name of its kind of head."""
    head_diameter_mm: float
    head_angle_deg: float
    head_depth_mm: float
    """Depth of the head's recess below the water face; 0 without one."""

    @property
    def head(self) -> HeadKind:
        """Its kind of head."""
        return HEADS[self.kind]

    @property
    def recess(self) -> list[tuple[Num, Num]]:
        """The wall of its recess as `HeadKind.wall`; empty where there is none, or it is no wider than the hole."""
        wide, hole = self.head_diameter_mm, self.hole_mm
        return self.head.wall(hole, wide, self.head_angle_deg, self.head_depth_mm) if wide > hole else []


@dataclass(frozen=True, slots=True, kw_only=True)
class PalmHole:
    """One bolt hole, square to the palm; u forward, v port, in the palm axes, mm from the palm zero."""

    number: int
    u_mm: float
    v_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A plate that is bolted down: a palm, or the flange of a housing. outline and holes are in its own axes (u, v),
    its normal toward what it is bolted to, the base.

    bevel: the edge of the face away from the base is thinned by bevel_height over bevel_width. curve: what the face on
    the base is made to, None for a plane; thickness_mm then holds at the middle of the outline's box.
    """

    name: str
    thickness_mm: float
    outline: Outline
    bevel_width_mm: float
    bevel_height_mm: float
    bolt: Bolt
    holes: tuple[PalmHole, ...]
    curve: Any | None = None

    @property
    def called(self) -> str:
        """Its name in plain words."""
        return self.name

    @property
    def middle_mm(self) -> tuple[float, float]:
        """The middle of the outline's box, u and v."""
        box = self.outline.bounding_box()
        return (box.xmin + box.xmax) / 2, (box.ymin + box.ymax) / 2

    @property
    def stands_out_mm(self) -> float:
        """How far the hull face stands out over its plane at most, anywhere in the outline's box; 0 or more."""
        return self._face_range_mm()[1]

    def _face_range_mm(self) -> tuple[float, float]:
        if self.curve is None:
            return 0.0, 0.0
        box = self.outline.bounding_box()
        low, high = self.curve.range_mm((box.xmax - box.xmin) / 2, (box.ymax - box.ymin) / 2)
        return float(low), float(high)

    def height_mm(self, u_mm: Num, v_mm: Num) -> Num:
        """Height of the hull face over its plane at places of the palm, toward the hull positive; broadcasts."""
        middle = self.middle_mm
        return 0.0 * u_mm if self.curve is None else self.curve.height_mm(u_mm - middle[0], v_mm - middle[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Palm(Plate):
    """One palm plate, with the palm zero as origin of its axes.

    zero_mm: the palm zero in the strut frame. axes_deg: turn of the u axis from the trace, about the palm normal,
    positive toward port (0 = trace).
    """

    plane: PalmPlane
    zero_mm: tuple[float, float, float]
    axes_deg: float

    @property
    def called(self) -> str:
        """Its name in plain words."""
        return self.name if "palm" in self.name or self.name == "foot" else f"{self.name} palm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Heel:
    """Boss at the heel of the skeg with the rudder's lower bearing.

    centre_mm: mid-height of the boss on the stock axis, strut frame. stock_rake_deg: lean of the stock axis in
    profile from the strut's z axis, positive when its upper end lies aft; stock_cant_deg: lean athwart, positive
    upper end to port. bore_mm: the bore the pintle runs in; the boss is bored wider by the bush's two walls.
    sleeve_wall_mm: of a liner sleeve on the pintle, which runs in its place; 0 for none.
    """

    centre_mm: tuple[float, float, float]
    stock_rake_deg: float
    stock_cant_deg: float
    bore_mm: float
    bush_wall_mm: float
    outside_mm: float
    height_mm: float
    foot_height_mm: float
    foot_thickness_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Skeg:
    """Fin under the barrel in the plane of the shaft line (clock 180).

    kind: name of its kind of section. Root stations from the barrel's aft face. depth_mm: from the shaft line to the
    fin's lower edge. sweep_mm: how far the lower end of the leading edge lies aft of its upper end.
    """

    kind: str
    root_aft_station_mm: float
    root_forward_station_mm: float
    depth_mm: float
    tip_chord_mm: float
    sweep_mm: float
    thickness_root_mm: float
    thickness_tip_mm: float
    leading_edge: Literal["round", "square"]
    root_mm: float
    """Fillet radius (cast) or weld leg (welded) at the barrel."""
    heel: Heel | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Weld:
    """How a welded strut is joined: edge preparation and whether beads are modelled.

    prep_angle_deg: of the bevel to the side of an arm that stands square. root_gap_mm: between a prepared arm and what
    it meets; the solids are drawn without it, the arm is cut shorter by it.
    """

    prep: Literal["none", "double_bevel"]
    prep_angle_deg: float
    root_face_mm: float
    beads: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Strut:
    """A whole strut, resolved, of one hand; or another part of its kin round the same barrel: then it has no arms and
    palms, and what its own family has in their place (`models.families`)."""

    material: str
    barrel: Barrel
    bearings: tuple[Bearing, ...]
    arms: tuple[Arm, ...]
    palms: tuple[Palm, ...]
    set_screws: tuple[SetScrew, ...]
    skeg: Skeg | None
    weld: Weld
    flange: Any | None = None


# --- barrel ---------------------------------------------------------------------------------------------------------
# The barrel's outside, bore and wall at a station, under a flat and at a set screw. Pure numpy, no kernel.


_ALONG_FLAT = np.linspace(-0.5, 0.5, 41)


def is_faired(barrel: Barrel, end: BarrelEnd) -> Truth:
    """Return whether an end is really narrower than the parallel part."""
    if not end.kind.faired:
        return False
    return np.logical_and(np.asarray(end.length_mm) > 0, np.asarray(end.end_diameter_mm) < barrel.outside_mm)[()]


def parallel_part(barrel: Barrel) -> tuple[Num, Num]:
    """Return the stations (mm) between which the barrel has its full outside diameter."""
    aft, forward = (np.where(is_faired(barrel, e), e.length_mm, 0.0)[()] for e in (barrel.aft_end, barrel.forward_end))
    low, high = aft, barrel.length_mm - forward
    for land, at_aft in zip(barrel.lands, _at_aft_end(barrel), strict=True):
        low = np.where(at_aft, np.maximum(low, land.to_station_mm), low)[()]
        high = np.where(at_aft, high, np.minimum(high, land.from_station_mm))[()]
    return low, high


def _at_aft_end(barrel: Barrel) -> list[Truth]:
    """Whether each land reaches to the aft face, by itself or by others between."""
    found: list[Truth] = []
    reach: Num = 0.0
    at_aft: Truth = True
    for land in barrel.lands:
        at_aft = np.logical_and(at_aft, land.from_station_mm <= reach + 1e-6)[()]
        found.append(at_aft)
        reach = land.to_station_mm
    return found


def outside_radius_mm(barrel: Barrel, station_mm: Num) -> Num:
    """Return the outside radius (mm) at a station; past a face the radius of that end goes on."""
    full = np.asarray(barrel.outside_mm) / 2
    radius = full + np.zeros_like(np.asarray(station_mm, dtype=float))
    for end, inset in ((barrel.aft_end, station_mm), (barrel.forward_end, barrel.length_mm - station_mm)):
        if not end.kind.faired:
            continue
        lost = end.kind.lost_mm(end.length_mm, full - np.asarray(end.end_diameter_mm) / 2, inset)
        radius = np.where(is_faired(barrel, end), np.minimum(radius, full - lost), radius)
    if barrel.lands:
        radius = _on_lands_mm(barrel, radius, np.asarray(station_mm, dtype=float))
    out: Num = radius[()]
    return out


def _on_lands_mm(barrel: Barrel, radius_mm: Floats, station_mm: Floats) -> Floats:
    """The outside radius where lands are too: at a corner the smaller one, past a face that of the face."""
    low, high = parallel_part(barrel)
    found: Floats = np.where((station_mm >= low) & (station_mm <= high), radius_mm, np.inf)
    for end, there in ((barrel.aft_end, station_mm <= low), (barrel.forward_end, station_mm >= high)):
        if end.kind.faired:
            faired = np.logical_and(there, is_faired(barrel, end))
            found = np.where(faired, np.minimum(found, radius_mm), found)
    for land in barrel.lands:
        first = np.where(land.from_station_mm <= 1e-6, -np.inf, land.from_station_mm)
        last = np.where(land.to_station_mm >= barrel.length_mm - 1e-6, np.inf, land.to_station_mm)
        share = np.clip((station_mm - land.from_station_mm) / (land.to_station_mm - land.from_station_mm), 0.0, 1.0)
        here = (land.aft_mm + share * (land.forward_mm - land.aft_mm)) / 2
        found = np.where((station_mm >= first) & (station_mm <= last), np.minimum(found, here), found)
    return found


def _end_points(barrel: Barrel, end: BarrelEnd) -> list[tuple[float, float, float]]:
    """Return (distance from the face, radius, bulge) rows in mm from the face inward to the parallel part."""
    full, face = barrel.outside_mm / 2, end.end_diameter_mm / 2
    if not is_faired(barrel, end):
        return [(0.0, full, 0.0)]
    return [(0.0, face, -end.kind.bulge(end.length_mm, full - face)), (end.length_mm, full, 0.0)]


def _land_points(land: Any) -> list[tuple[float, float, float]]:
    return [(land.from_station_mm, land.aft_mm / 2, 0.0), (land.to_station_mm, land.forward_mm / 2, 0.0)]


def outside_chain(barrel: Barrel) -> list[tuple[float, float, float]]:
    """Return (station, radius, bulge) rows in mm along the outside from the aft face to the forward face."""
    full_mm = barrel.outside_mm / 2
    aft = _end_points(barrel, barrel.aft_end)
    fore = _end_points(barrel, barrel.forward_end)
    reaches = zip(barrel.lands, _at_aft_end(barrel), strict=True)
    at_aft = [land for land, there in reaches if there]
    if at_aft:
        aft = [p for land in at_aft for p in _land_points(land)] + [(at_aft[-1].to_station_mm, full_mm, 0.0)]
    rows = list(aft)
    at_fore = [land for land in barrel.lands if land not in at_aft]
    if at_fore:
        start = at_fore[0].from_station_mm
        rows.append((start, full_mm, 0.0))
        rows += [p for land in at_fore for p in _land_points(land)]
        fore = []
    back = fore[::-1]
    for k, (inset, radius, _) in enumerate(back):
        # Run the other way along an arc that also bends the other way: the same bulge, held by its new first point.
        bulge = back[k + 1][2] if k + 1 < len(back) else 0.0
        rows.append((barrel.length_mm - inset, radius, bulge))
    clean = [rows[0]]
    for row in rows[1:]:
        if row[0] - clean[-1][0] > 1e-6 or abs(row[1] - clean[-1][1]) > 1e-6:
            clean.append(row)
        else:
            clean[-1] = row
    return clean


def bore_points(barrel: Barrel) -> list[tuple[float, float]]:
    """Return (station, radius) points in mm of the bore from the aft face to the forward face, lead-ins included.

    Where two steps overlap the later one counts.
    """
    cuts = sorted(
        {0.0, barrel.length_mm}
        | {s for step in barrel.steps for s in (step.from_station_mm, step.to_station_mm) if 0 < s < barrel.length_mm}
    )
    points: list[tuple[float, float]] = []
    for a, b in itertools.pairwise(cuts):
        radius = barrel.bore_mm / 2
        for step in barrel.steps:
            if step.from_station_mm <= (a + b) / 2 <= step.to_station_mm:
                radius = step.diameter_mm / 2
        if points and abs(points[-1][1] - radius) < 1e-9:
            points[-1] = (b, radius)
        else:
            points += [(a, radius), (b, radius)]
    for lead, at_face in ((barrel.lead_in_aft, 0), (barrel.lead_in_forward, -1)):
        length = lead.length_mm
        if length <= 0:
            continue
        station, radius = points[at_face]
        wide = radius + length * math.tan(math.radians(lead.angle_deg))
        if at_face == 0:
            points[0:1] = [(0.0, wide), (length, radius)]
        else:
            points[-1:] = [(station - length, radius), (station, wide)]
    return points


def flat_floor_mm(barrel: Barrel, station_mm: Num, flat_diameter_mm: Num) -> Num:
    """Return the distance (mm) from the shaft line of a flat sunk until it has its full diameter on the outside.

    What lies past a face is left out. Infinite for a flat that stands clear of the barrel.
    """
    sizes = (station_mm, flat_diameter_mm, barrel.length_mm, barrel.outside_mm)
    at_ends = [n for e in (barrel.aft_end, barrel.forward_end) for n in (e.length_mm, e.end_diameter_mm)]
    lands = [n for land in barrel.lands for n in (land.from_station_mm, land.to_station_mm, land.aft_mm)]
    alone = not any(map(np.ndim, (*sizes, *at_ends, *lands, *(land.forward_mm for land in barrel.lands))))
    # One flat is looked at in one go; arrays place by place, which takes far less memory.
    floor: Num = np.inf
    for share in [_ALONG_FLAT] if alone else _ALONG_FLAT:
        # A place past a face stands for the face itself, where a fairing is lowest.
        at = np.clip(station_mm + flat_diameter_mm * share, 0.0, barrel.length_mm)
        half, along = flat_diameter_mm / 2, at - station_mm
        height = outside_radius_mm(barrel, at) ** 2 - (half**2 - along**2)
        height = np.where(np.abs(along) <= half * (1 + 1e-9), height, np.inf)  # its own rim, in spite of rounding
        floor = np.minimum(floor, height.min() if alone else height)
    return np.sqrt(np.maximum(floor, 0.0))[()]


# --- splines --------------------------------------------------------------------------------------------------------
# Cubic splines through points, for the skins of solids. Numpy only.


DEGREE = 3


def _knots_for(at: Floats) -> Floats:
    """Return the knots (m + 4,) for a spline through m parameters (rising, at least 4), ends fourfold.

    Each inner knot is the mean of three parameters (The NURBS Book, 2nd ed., eq. 9.8; from memory).
    """
    inner = np.convolve(at[1:-1], np.ones(DEGREE) / DEGREE, mode="valid")
    return np.concatenate((np.full(DEGREE + 1, at[0]), inner, np.full(DEGREE + 1, at[-1])))


def basis(knots: Floats, at: Floats) -> Floats:
    """Return the values (n, m) of the m basis functions at n parameters (Cox and de Boor's recursion)."""
    count = len(knots) - DEGREE - 1
    at = np.asarray(at, dtype=float)
    span = np.clip(np.searchsorted(knots, at, side="right") - 1, DEGREE, count - 1)
    values = np.zeros((len(at), len(knots) - 1))
    values[np.arange(len(at)), span] = 1.0
    for degree in range(1, DEGREE + 1):
        n = len(knots) - 1 - degree
        left, right = knots[degree : degree + n] - knots[:n], knots[degree + 1 : degree + 1 + n] - knots[1 : 1 + n]
        up = np.divide(at[:, None] - knots[:n], left, out=np.zeros((len(at), n)), where=left > 0)
        down = np.divide(
            knots[degree + 1 : degree + 1 + n] - at[:, None], right, out=np.zeros((len(at), n)), where=right > 0
        )
        values = up * values[:, :n] + down * values[:, 1 : n + 1]
    return values


@functools.lru_cache(maxsize=8)
def fit(count: int) -> tuple[Floats, Floats, Floats]:
    """Return (knots, solve, middle) for `count` stations at even parameters from 0 to 1.

    solve (count, count) turns points at the stations into poles; middle (count - 1, count) turns them into the spline's
    points halfway between the stations.
    """
    at = np.linspace(0.0, 1.0, count)
    knots = _knots_for(at)
    solve: Floats = np.asarray(np.linalg.inv(basis(knots, at)), dtype=float)
    return knots, solve, basis(knots, 0.5 * (at[:-1] + at[1:])) @ solve


# --- solve ----------------------------------------------------------------------------------------------------------
# Where one number turns over: halving, and false position, for one place or many at once. Numpy only.


_ROUNDS = 100  # at most, of false position


def bisect(holds: Callable[[Any], Truth], low: Num, high: Num, rounds: int = 60) -> tuple[Num, Num]:
    """Return (low, high) drawn together by `rounds` halvings: the last place at which it holds, the first where not.

    holds: whether it holds at a place, or at each of an array of places. low: where it holds; high: where it does not.
    With floats the answer is floats, with arrays arrays.
    """
    if np.ndim(low) == 0 and np.ndim(high) == 0:
        for _ in range(rounds):
            middle = (low + high) / 2
            low, high = (middle, high) if holds(middle) else (low, middle)
        return low, high
    for _ in range(rounds):
        middle = (low + high) / 2
        there = holds(middle)
        low, high = np.where(there, middle, low), np.where(there, high, middle)
    return low, high


def false_position(gap: Callable[[Floats], Floats], low: Floats, high: Floats, within: ArrayLike) -> Floats:
    """Return where gap turns from negative at low to positive at high, for each of many; high where it never does.

    low, high: arrays of one shape, either of them the larger. gap: of such an array of places. within: how near to 0 is
    near enough, for all or for each.
    False position with the value of an end that stays counted half (Illinois; Dowell and Jarratt, BIT 11, 1971, from
    memory), so that a bent gap is no trap.
    """
    low, high = np.array(low, dtype=float), np.array(high, dtype=float)
    under, over = gap(low), gap(high)
    never = over <= 0.0
    at, stayed = high.copy(), np.zeros(np.shape(high))
    for _ in range(_ROUNDS):
        at = np.where(over - under > 1e-300, (low * over - high * under) / np.maximum(over - under, 1e-300), high)
        at = np.where(never, high, np.clip(at, np.minimum(low, high), np.maximum(low, high)))
        value = gap(at)
        if np.all((np.abs(value) <= within) | (np.abs(high - low) <= 1e-15) | never):
            break
        out = value > 0.0
        # An end that stays twice running counts half, so that the other end moves too.
        over, under = (
            np.where(out, value, np.where(stayed < 0, over / 2, over)),
            np.where(out, np.where(stayed > 0, under / 2, under), value),
        )
        stayed = np.where(out, 1, -1)
        low, high = np.where(out, low, at), np.where(out, at, high)
    return at


# --- loops ----------------------------------------------------------------------------------------------------------
# The closed boundary of an arm's or fin's section as smooth pieces, and what follows from them. Numpy only.


Curve = Callable[[Floats], tuple[Floats, Floats]]  # shares (n,) -> points (n, 2), tangents (n, 2)


@dataclass(frozen=True, slots=True)
class Piece:
    """A smooth part of a loop. curve: shares (n,) to points and tangents (n, 2), mm; kind: line, curve or corner."""

    kind: str
    curve: Curve


def _line(a: Floats, b: Floats, s: Floats) -> tuple[Floats, Floats]:
    return a + np.outer(s, b - a), np.broadcast_to(b - a, (len(s), 2)).copy()


def _arc(centre: Floats, rx: float, ry: float, start: float, sweep: float, s: Floats) -> tuple[Floats, Floats]:
    turn = start + sweep * s
    points = centre + np.column_stack((rx * np.cos(turn), ry * np.sin(turn)))
    # The tangent of a corner (radius 0) is the direction alone.
    ax, ay = (rx, ry) if max(rx, ry) > 0 else (1.0, 1.0)
    return points, sweep * np.column_stack((-ax * np.sin(turn), ay * np.cos(turn)))


def arc_piece(x: float, y: float, rx: float, ry: float, start: float, sweep: float) -> Piece:
    """Return a piece of an ellipse with half axes rx, ry (mm) about (x, y), from an angle over a sweep (radians)."""
    kind = "corner" if max(rx, ry) <= 0 else "curve"
    return Piece(kind, partial(_arc, np.array((x, y)), rx, ry, start, sweep))


def line_piece(x0: float, y0: float, x1: float, y1: float) -> Piece:
    """Return the straight piece between two points, mm."""
    return Piece("line", partial(_line, np.array((x0, y0)), np.array((x1, y1))))


def rounded_bar(aft: float, fore: float, half: float, r_aft: float, r_fore: float) -> list[Piece]:
    """Return a bar between x = aft and fore (mm), 2 half thick, its corners rounded by r_aft and r_fore (mm)."""
    pieces = []
    for end, way, r, other, other_r in ((fore, 1.0, r_fore, aft, r_aft), (aft, -1.0, r_aft, fore, r_fore)):
        start, x, y = (0.0 if way > 0 else math.pi), end - way * r, half - r
        if y > 1e-9:
            pieces += [line_piece(end, -way * y, end, way * y), arc_piece(x, way * y, r, r, start, math.pi / 2)]
        else:
            pieces.append(arc_piece(x, 0.0, r, r, start - math.pi / 2, math.pi))
        pieces.append(line_piece(x, way * half, other + way * other_r, way * half))
        if half - other_r > 1e-9:
            pieces.append(
                arc_piece(
                    other + way * other_r, way * (half - other_r), other_r, other_r, start + math.pi / 2, math.pi / 2
                )
            )
    return pieces


# --- roots ----------------------------------------------------------------------------------------------------------
# Where arms and fins leave the barrel and meet the palms: the ball that rolls round a root, and the toes of a weld.


Ints = NDArray[np.intp]


Places = Sequence[tuple[int, Floats]]  # which piece of a loop, and shares of it: n in all


SINK_MM = 0.015  # at most; far below what a casting shows, and a cut of some 4 degrees where the blend runs out


EASE_MM = 1.0  # at most: radius with which creases are rounded for the ball that makes a blend


_STEPS = 32  # places tried along a line before the touch is narrowed down


_TOUCH_MM = 1e-9


class Near(NamedTuple):
    """The nearest place of a body: distance (n,) mm, negative inside; foot (n, 3) on it; patch (n,) which part of its
    surface that is, a face or an edge, as a number."""

    distance: Floats
    foot: Floats
    patch: Ints


@dataclass(frozen=True, slots=True)
class Round:
    """A body of revolution about the x axis.

    chain (m, 3): x, radius (mm) and bulge of the arc to the next, from aft to forward, as of an `Outline`. The faces
    square to the axis close it.
    """

    chain: Floats

    def near(self, points: Floats) -> Near:
        """Return the nearest places to points (n, 3)."""
        p = np.atleast_2d(points)
        rho = np.hypot(p[:, 1], p[:, 2])
        at = np.column_stack((p[:, 0], rho))
        rows = self._closed()
        best, foot, patch = np.full(len(p), np.inf), np.zeros((len(p), 2)), np.zeros(len(p), dtype=np.intp)
        for k in range(len(rows) - 1):
            on, end = _nearest_on(rows[k, :2], rows[k + 1, :2], float(rows[k, 2]), at)
            off = np.linalg.norm(at - on, axis=1)
            less = off < best - 1e-12
            best, foot[less] = np.where(less, off, best), on[less]
            patch = np.where(less, 2 * k + np.where(end == 0, 0, end), patch)
        inside = (at[:, 0] > rows[0, 0]) & (at[:, 0] < rows[-1, 0]) & (rho < self.radius(at[:, 0]))
        way = p[:, 1:] / np.maximum(rho, 1e-12)[:, None]
        return Near(np.where(inside, -best, best), np.column_stack((foot[:, 0], foot[:, 1:] * way)), patch)

    def _closed(self) -> Floats:
        """The chain with both faces, from the axis to the axis."""
        return np.vstack(([self.chain[0, 0], 0.0, 0.0], self.chain, [self.chain[-1, 0], 0.0, 0.0]))

    def sunk(self, by_mm: float, ease_mm: float) -> Eased:
        """Return the body with every face moved inward by so much and its creases rounded with a radius of ease_mm, or
        less where a face is narrow or an end rounded with a small radius."""
        room = [float(self.chain[:, 1].max())]
        for a, b in pairwise(self.chain):
            if (wide := float(np.linalg.norm(b[:2] - a[:2]))) > 1e-9:
                room += [wide] if a[2] == 0.0 else [wide, _circle(a[:2], b[:2], float(a[2]))[1]]
        ease = min(ease_mm, 0.3 * min(room))
        return Eased(self.shrunk(by_mm + ease), ease)

    def shrunk(self, by_mm: float) -> Round:
        """Return the body with every face moved inward by so much, which is less than any face is wide."""
        faces = [
            _Face.of(a[:2], b[:2], float(a[2]), by_mm)
            for a, b in pairwise(self._closed())
            if np.linalg.norm(b[:2] - a[:2]) > 1e-9
        ]
        corners = np.array([_meeting(one.last, one, other) for one, other in pairwise(faces)])
        bulges = [face.bulge(a, b) for face, a, b in zip(faces[1:-1], corners[:-1], corners[1:], strict=True)]
        return Round(np.column_stack((corners, [*bulges, 0.0])))

    def radius(self, x: Floats) -> Floats:
        """Return the outside radius (mm) at x (mm), that of the end faces beyond them."""
        x = np.clip(x, self.chain[0, 0], self.chain[-1, 0])
        out = np.full(np.shape(x), self.chain[-1, 1])
        for a, b in zip(self.chain[:-1], self.chain[1:], strict=True):
            here = (x >= a[0] - 1e-12) & (x <= b[0] + 1e-12)
            if b[0] - a[0] < 1e-12:
                continue
            if a[2] == 0.0:
                value = a[1] + (x - a[0]) / (b[0] - a[0]) * (b[1] - a[1])
            else:
                (cx, cy), r = _circle(a[:2], b[:2], float(a[2]))
                value = cy + np.sqrt(np.maximum(r * r - (x - cx) ** 2, 0.0))
            out = np.where(here, value, out)
        return np.asarray(out)


@dataclass(frozen=True, slots=True)
class _Face:
    """A line or arc of a chain moved inward. last: where it ended before. way: of a line, its direction; centre and
    radius of an arc, which bends by `sign` (of its bulge; 0 for a line)."""

    last: Floats
    sign: float
    way: Floats
    centre: Floats
    radius: float

    @classmethod
    def of(cls, a: Floats, b: Floats, bulge: float, by_mm: float) -> _Face:
        way = (b - a) / np.linalg.norm(b - a)
        if bulge == 0.0:
            return cls(b, 0.0, way, a - by_mm * np.array((-way[1], way[0])), 0.0)
        centre, radius = _circle(a, b, bulge)
        return cls(b, float(np.sign(bulge)), way, np.array(centre), radius + float(np.sign(bulge)) * by_mm)

    def off(self, p: Floats) -> tuple[float, Floats]:
        """Return how far in front of the face a point (2,) lies, and the way out there."""
        if self.sign == 0.0:
            out = np.array((-self.way[1], self.way[0]))
            return float((p - self.centre) @ out), out
        way = p - self.centre
        far = float(np.linalg.norm(way))
        return -self.sign * (far - self.radius), -self.sign * way / far

    def bulge(self, a: Floats, b: Floats) -> float:
        """Return the bulge of the face between its new ends."""
        if self.sign == 0.0:
            return 0.0
        half = float(np.linalg.norm(b - a)) / 2.0
        return self.sign * float(np.tan(np.arcsin(min(half / self.radius, 1.0)) / 2.0))


def _meeting(p: Floats, one: _Face, other: _Face) -> Floats:
    """Return where two faces meet that were moved a little, near p (Newton's method)."""
    for _ in range(6):
        (d1, n1), (d2, n2) = one.off(p), other.off(p)
        # Faces that go over into each other smoothly leave one way open: the shortest step is taken.
        p = p - np.linalg.lstsq(np.stack((n1, n2)), np.array((d1, d2)), rcond=1e-7)[0]
    return p


def _circle(a: Floats, b: Floats, bulge: float) -> tuple[tuple[float, float], float]:
    chord, middle = b - a, (a + b) / 2
    height = (1.0 - bulge * bulge) / (4.0 * bulge)
    return (float(middle[0] - height * chord[1]), float(middle[1] + height * chord[0])), float(
        np.linalg.norm(chord) * (1 + bulge * bulge) / (4.0 * abs(bulge))
    )


def _nearest_on(a: Floats, b: Floats, bulge: float, at: Floats) -> tuple[Floats, Ints]:
    """Return the nearest points (n, 2) on a line or arc from a to b, and where: 0 between, -1 at a, +1 at b."""
    chord = b - a
    length = float(chord @ chord)
    if length < 1e-18:
        return np.broadcast_to(a, at.shape), np.full(len(at), -1, dtype=np.intp)
    if bulge == 0.0:
        t = (at - a) @ chord / length
        on = a + np.clip(t, 0.0, 1.0)[:, None] * chord
        return on, np.where(t <= 0.0, -1, np.where(t >= 1.0, 1, 0)).astype(np.intp)
    (cx, cy), r = _circle(a, b, bulge)
    way = at - (cx, cy)
    on = (cx, cy) + r * way / np.maximum(np.linalg.norm(way, axis=1), 1e-12)[:, None]
    # On the arc's side of its chord, which is right of a to b for a positive bulge.
    side = chord[0] * (on[:, 1] - a[1]) - chord[1] * (on[:, 0] - a[0])
    inside = side * np.sign(bulge) < 0.0
    first = np.linalg.norm(at - a, axis=1) <= np.linalg.norm(at - b, axis=1)
    on = np.where(inside[:, None], on, np.where(first[:, None], a, b))
    return on, np.where(inside, 0, np.where(first, -1, 1)).astype(np.intp)


@dataclass(frozen=True, slots=True)
class Eased:
    """A body made larger all round by ease_mm, with which its creases become round."""

    core: Round
    ease_mm: float

    def near(self, points: Floats) -> Near:
        """Return the nearest places to points (n, 3)."""
        distance, foot, patch = self.core.near(points)
        away = np.where(np.abs(distance) > 1e-12, distance, 1e-12)
        out = (np.atleast_2d(points) - foot) / away[:, None]
        return Near(distance - self.ease_mm, foot + self.ease_mm * out, patch)


@dataclass(frozen=True, slots=True)
class Slab:
    """Everything behind one plane, or behind two that meet in a low ridge, such as a palm seen from the water.

    planes: (point (3,), unit normal (3,) outward) of each. Over the ridge the plane farther in front counts: of planes
    that lean by 2 degrees a ball then stands less than a thousandth of its radius too low.
    """

    planes: tuple[tuple[Floats, Floats], ...]

    def near(self, points: Floats) -> Near:
        """Return the nearest places to points (n, 3)."""
        p = np.atleast_2d(points)
        over = np.stack([(p - o) @ n for o, n in self.planes], axis=1)
        which = np.argmax(over, axis=1).astype(np.intp)
        distance = over[np.arange(len(p)), which]
        return Near(distance, p - distance[:, None] * np.array([n for _, n in self.planes])[which], which)

    def sunk(self, by_mm: float, ease_mm: float) -> Slab:
        """Return the body with every plane moved inward; its ridge is too low to need rounding."""
        return Slab(tuple((point - by_mm * normal, normal) for point, normal in self.planes))


@dataclass(frozen=True)
class Root:
    """A joint: what the part stands on, the blend's radius (mm), and (k inside it, k it must not pass)."""

    base: Any
    radius_mm: float
    reach: tuple[float, float]
    name: str
    deep: float = 1.0

    @property
    def sink_mm(self) -> float:
        """How deep the blend enters the base; `deep` times as much as usual."""
        return self.deep * min(SINK_MM, 0.01 * self.radius_mm)

    @cached_property
    def sunk(self) -> Any:
        """What the ball of the blend touches as built: the base a hair smaller, its creases a little rounded.

        A ball that turns on a sharp crease keeps its foot in one place: the blend's skin would be of no width there,
        or fold. Rounding takes less than a hundredth of a millimetre off a crease of 15 degrees, a tenth off one of 45.
        """
        return self.base.sunk(self.sink_mm, min(EASE_MM, 0.1 * self.radius_mm))


@dataclass(frozen=True, slots=True)
class Ruled:
    """The side of an arm or fin: straight lines between two parallel sections with the same pieces.

    at: the sections' frames; loops: their pieces. k along a line is 0 at the first and 1 at the second section.
    """

    at: tuple[Axes, Axes]
    loops: tuple[Sequence[Piece], Sequence[Piece]]

    def lines(self, places: Places) -> tuple[Floats, Floats, Floats, Floats]:
        """Return points and tangents (n, 3) at k = 0, and how much both change to k = 1."""
        out = []
        for frame, loop in zip(self.at, self.loops, strict=True):
            xy, way = (np.concatenate(rows) for rows in zip(*(loop[i].curve(s) for i, s in places), strict=True))
            uv = np.stack((frame.u, frame.v))
            # Tangents of one length: pieces that join smoothly at both ends then do so between them too.
            way /= np.linalg.norm(way, axis=1)[:, None]
            out.append((frame.origin + xy @ uv, way @ uv))
        (a, ta), (b, tb) = out
        return a, ta, b - a, tb - ta

    @property
    def turn(self) -> float:
        """+1 when the loops run counter-clockwise about the direction from the first section to the second, or -1."""
        one, other = self.at
        return float(np.sign(np.cross(one.u, one.v) @ (other.origin - one.origin)))


class Contact(NamedTuple):
    """The ball at n places round a root. ok (n,): it touches both; without it the rest is of no use.

    k: where along the line it touches the side; side, normal, centre, foot (n, 3): that point, the side's unit normal
    there, the ball's middle, where it touches the base; patch (n,): which part of the base.
    """

    ok: NDArray[np.bool_]
    k: Floats
    side: Floats
    normal: Floats
    centre: Floats
    foot: Floats
    patch: Ints


def roll(ruled: Ruled, base: Any, radius_mm: float, places: Places, reach: tuple[float, float]) -> Contact:
    """Return the ball of radius_mm that touches the side of an arm and its base, at n places round the section.

    reach: k inside the base and k beyond which the root may not go; the way between them leads out of the base.
    A radius of 0 gives the line in which side and base meet.
    """
    a, ta, b, tb = ruled.lines(places)
    turn = ruled.turn

    def ball(k: Floats) -> tuple[Floats, Floats, Floats]:
        side = a + k[:, None] * b
        normal = turn * np.cross(ta + k[:, None] * tb, b)
        normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-30)[:, None]
        return side, normal, side + radius_mm * normal

    def gap(k: Floats) -> Floats:
        return base.near(ball(k)[2]).distance - radius_mm

    steps = np.linspace(reach[0], reach[1], _STEPS + 1)
    # All steps at once: side and normal direction are straight in k.
    ahead = turn * np.cross(ta + steps[:, None, None] * tb, b)
    ahead /= np.maximum(np.sqrt(np.einsum("knj,knj->kn", ahead, ahead)), 1e-30)[..., None]
    middle = a + steps[:, None, None] * b + radius_mm * ahead
    over = (base.near(middle.reshape(-1, 3)).distance.reshape(len(steps), -1) - radius_mm).T > 0.0
    # The last step that still stands in the base: what comes after it is free.
    free = np.logical_and.accumulate(over[:, ::-1], axis=1)[:, ::-1]
    ok = free[:, -1] & ~free[:, 0]
    first = np.maximum(np.argmax(free, axis=1), 1)
    k = false_position(gap, steps[first - 1], steps[first], _TOUCH_MM)
    side, normal, centre = ball(k)
    near = base.near(centre)
    return Contact(ok, k, side, normal, centre, near.foot, near.patch)


# --- skins ----------------------------------------------------------------------------------------------------------
# The outside of an arm or fin with its root blends as strips of smooth surface, ready for the kernel. Numpy only.


FIT_MM = 0.002  # skins stay this near to the true surface between their stations


_ARC = 6  # degree of a blend across: within 1e-5 of its radius up to 110 degrees


_SCAN = 129  # places tried on a piece for the ball to go over a crease


_LEAST_MM = 0.4  # between two divisions of a piece


STATIONS = (5, 9, 17, 33, 65)


class SkinError(ArithmeticError):
    """The ball does not touch both sides all round: the radius does not fit. The text says where."""


@dataclass(frozen=True, slots=True)
class End:
    """One end of the part: the plane (point, unit normal) of its cap, buried in what it stands on, and its root."""

    plane: tuple[Floats, Floats]
    root: Root | None = None

    def deeper(self, deep: float) -> End:
        """Return it with a root that enters what it stands on so many times as deep as usual."""
        return self if self.root is None else replace(self, root=replace(self.root, deep=deep))


@dataclass(frozen=True, slots=True)
class Patch:
    """A patch of skin: cubic round the section (knots (m + 4,)), Bezier across; poles (m, rows, 3), mm.

    flat: it lies in a plane.
    """

    knots: Floats
    poles: Floats
    flat: bool


@dataclass(frozen=True, slots=True)
class Skin:
    """A closed skin: strips of patches from the first cap to the second, each strip once round the section."""

    strips: tuple[tuple[Patch, ...], ...]


def skin(ruled: Ruled, low: End, high: End) -> Skin:
    """Return the skin between two caps. Raises SkinError when a root's ball does not fit."""
    strips: list[list[Patch]] = []
    roots = [e.root for e in (low, high) if e.root is not None]
    for piece in range(len(ruled.loops[0])):
        if ruled.loops[0][piece].kind == "corner":
            if roots:
                raise SkinError("no ball rolls round a sharp corner: round the section's edges")
            continue
        for span in pairwise(divisions(ruled, roots, piece)):
            made = _patches(ruled, low, high, piece, span)
            strips = strips or [[] for _ in made]
            for strip, patch in zip(strips, made, strict=True):
                strip.append(patch)
    return Skin(tuple(tuple(s) for s in strips))


def _contact(ruled: Ruled, root: Root, piece: int, shares: Floats) -> Contact:
    """Return the ball of a root, sunk as built. Raises SkinError where it does not touch both sides."""
    found = roll(ruled, root.sunk, root.radius_mm, [(piece, shares)], root.reach)
    if not found.ok.all():
        raise SkinError(say("no ball of {radius} fits {name}", radius=fine_mm(root.radius_mm), name=root.name))
    return found


def divisions(ruled: Ruled, roots: Sequence[Root], piece: int) -> list[float]:
    """Return the shares at which a piece is divided, its two ends among them."""
    at = np.linspace(0.0, 1.0, _SCAN)
    found = [0.0, 1.0]
    for root in roots:
        patch = _patch_at(ruled, root, piece, at)
        for i in np.flatnonzero(np.diff(patch)):
            low, high = float(at[i]), float(at[i + 1])
            for _ in range(4):
                closer = np.linspace(low, high, 17)
                k = int(np.argmax(_patch_at(ruled, root, piece, closer) != patch[i]))
                low, high = float(closer[k - 1]), float(closer[k])
            found.append(0.5 * (low + high))
    # Patches narrower than a mesh's triangles would leave it open: what lies closer together is one division.
    way = np.cumsum(np.linalg.norm(np.diff(ruled.lines([(piece, at)])[0], axis=0), axis=1))
    room = _LEAST_MM / max(float(way[-1]), 1e-9)
    groups: list[list[float]] = []
    for share in sorted(found)[1:-1]:
        if groups and share - groups[-1][-1] <= room:
            groups[-1].append(share)
        else:
            groups.append([share])
    kept = [0.5 * (g[0] + g[-1]) for g in groups]
    return [0.0, *(share for share in kept if room < share < 1.0 - room), 1.0]


def _patch_at(ruled: Ruled, root: Root, piece: int, shares: Floats) -> NDArray[np.intp]:
    return _contact(ruled, root, piece, shares).patch


def _patches(ruled: Ruled, low: End, high: End, piece: int, span: tuple[float, float]) -> list[Patch]:
    """Return the patches of a span of a piece, one a strip, with as few stations as the fit allows."""
    for count in STATIONS:
        share = np.linspace(span[0], span[1], 2 * count - 1)
        rows = list(_rows(ruled, low, high, piece, share))
        knots, solve, middle = fit(count)
        if all(np.abs(np.tensordot(middle, row[::2], 1) - row[1::2]).max() < FIT_MM for row in rows):
            break
    out = []
    for row in rows:
        poles = np.moveaxis(np.tensordot(_TO_BEZIER[row.shape[1]], np.tensordot(solve, row[::2], 1), (1, 1)), 0, 1)
        out.append(Patch(knots, poles, row.shape[1] == 2 and _in_plane(poles)))
    return out


def _in_plane(poles: Floats) -> bool:
    flat = poles.reshape(-1, 3)
    return bool(np.linalg.svd(flat - flat.mean(axis=0), compute_uv=False)[2] < 1e-7)


def _rows(ruled: Ruled, low: End, high: End, piece: int, share: Floats) -> Iterator[Floats]:
    """Yield the points (n, rows, 3) of each strip at shares (n,) of a piece, from the first cap on."""
    a, _, b, _ = ruled.lines([(piece, share)])
    caps = [a + (((e.plane[0] - a) @ e.plane[1]) / (b @ e.plane[1]))[:, None] * b for e in (low, high)]
    touch = [None if e.root is None else _contact(ruled, e.root, piece, share) for e in (low, high)]
    if touch[0] is not None and touch[1] is not None and np.any(touch[0].k >= touch[1].k):
        raise SkinError("the two roots meet: there is no bare side between them")
    first, last = caps
    if low.root is not None and touch[0] is not None:
        arc = arc_points(low.root.radius_mm, touch[0])
        yield np.stack((caps[0], arc[:, -1]), axis=1)
        yield arc[:, ::-1]
        first = touch[0].side
    if touch[1] is not None:
        last = touch[1].side
    yield np.stack((first, last), axis=1)
    if high.root is not None and touch[1] is not None:
        arc = arc_points(high.root.radius_mm, touch[1])
        yield arc
        yield np.stack((arc[:, -1], caps[1]), axis=1)


def arc_points(radius_mm: float, touch: Contact) -> Floats:
    """Return points (n, rows, 3) on the ball, from its touch on the side to that on the base, or if it stands in the
    base to its deepest point.
    """
    start = -touch.normal
    # The ball's deepest point lies toward the foot, which is the base's nearest point.
    way = touch.foot - touch.centre
    way /= np.maximum(np.linalg.norm(way, axis=1), 1e-12)[:, None]  # a ball of no size has none
    phi = np.arccos(np.clip(np.sum(start * way, axis=1), -1.0, 1.0))[:, None, None]
    w = _NODES[None, :, None]
    unit = (np.sin((1 - w) * phi) * start[:, None] + np.sin(w * phi) * way[:, None]) / np.sin(phi)
    return np.asarray(touch.centre[:, None] + radius_mm * unit)


_NODES = 0.5 - 0.5 * np.cos(math.pi * np.arange(_ARC + 1) / _ARC)


def _bezier_matrix(nodes: Floats) -> Floats:
    n = len(nodes) - 1
    return np.linalg.inv(np.stack([math.comb(n, i) * nodes**i * (1 - nodes) ** (n - i) for i in range(n + 1)], axis=1))


_TO_BEZIER = {2: np.eye(2), _ARC + 1: _bezier_matrix(_NODES)}


# --- beads ----------------------------------------------------------------------------------------------------------
# Fillet-weld beads round a joint: where their toes lie, and a ring that holds the bead. Numpy only; mm.


BURIED_MM = 0.25  # how far a ring reaches into the parts


_WALKS = 6  # steps by which a toe is put on a curved base at just one leg's distance


class Bead(NamedTuple):
    """A bead at n places round a joint, (n, 3) each: where side and base meet, the toe on the side, that on the base;
    the unit normals of side and base; open_deg (n,): angle between the two surfaces, through the weld."""

    line: Floats
    on_side: Floats
    on_base: Floats
    side_normal: Floats
    base_normal: Floats
    open_deg: Floats
    ok: NDArray[np.bool_]


def toes(ruled: Ruled, root: Root, leg_mm: float, places: Places) -> Bead:
    """Return the bead of a leg (mm) at n places round the section. root: the joint; its radius does not matter.

    ok (n,) is False where side and base do not meet.
    """
    found = roll(ruled, root.base, 0.0, places, root.reach)
    side, normal = found.side, found.normal
    _, _, line, _ = ruled.lines(places)
    # Away from the base, at k that grows or falls.
    rise = line / np.linalg.norm(line, axis=1)[:, None] * np.sign(root.reach[1] - root.reach[0])
    # The base's normal, from a little way out, so that the bead goes over a crease without a jump.
    out = side + leg_mm * (rise + 0.5 * normal)
    up = out - root.base.near(out).foot
    up /= np.maximum(np.linalg.norm(up, axis=1), 1e-12)[:, None]
    facing = np.sum(normal * up, axis=1)[:, None]
    along_side, along_base = up - facing * normal, normal - facing * up
    along_side /= np.maximum(np.linalg.norm(along_side, axis=1), 1e-12)[:, None]
    along_base /= np.maximum(np.linalg.norm(along_base, axis=1), 1e-12)[:, None]
    across = np.sum(rise * along_side, axis=1)
    on_side = side + (leg_mm / np.where(np.abs(across) < 0.2, 0.2, across))[:, None] * rise
    way = along_base
    for _ in range(_WALKS):
        on_base = root.base.near(side + leg_mm * way).foot
        way = on_base - side
        way /= np.maximum(np.linalg.norm(way, axis=1), 1e-12)[:, None]
    open_deg = np.degrees(np.arccos(np.clip(np.sum(along_side * along_base, axis=1), -1.0, 1.0)))
    return Bead(side, on_side, on_base, normal, up, open_deg, found.ok)


@dataclass(frozen=True, slots=True)
class Ring:
    """The skin of a closed ring with three sides: face of the bead, inside the base, inside the part."""

    strips: tuple[tuple[Patch, ...], ...]


def ring(ruled: Ruled, root: Root, leg_mm: float, buried_mm: float = BURIED_MM) -> Ring:
    """Return the ring that holds the bead. Raises SkinError where side and base do not meet."""
    strips: list[list[Patch]] = [[], [], []]
    for piece in range(len(ruled.loops[0])):
        for span in pairwise(divisions(ruled, (Root(root.base, 0.0, root.reach, root.name),), piece)):
            for strip, patch in zip(strips, beads_patches(ruled, root, leg_mm, buried_mm, piece, span), strict=True):
                strip.append(patch)
    return Ring(tuple(tuple(s) for s in strips))


def beads_patches(
    ruled: Ruled, root: Root, leg_mm: float, buried_mm: float, piece: int, span: tuple[float, float]
) -> list[Patch]:
    for count in STATIONS:
        corners = _corners(ruled, root, leg_mm, buried_mm, piece, np.linspace(span[0], span[1], 2 * count - 1))
        knots, solve, middle = fit(count)
        if np.abs(np.tensordot(middle, corners[::2], 1) - corners[1::2]).max() < FIT_MM:
            break
    poles = np.tensordot(solve, corners[::2], 1)
    return [Patch(knots, poles[:, [a, b]], False) for a, b in ((0, 1), (1, 2), (2, 0))]


def _corners(ruled: Ruled, root: Root, leg_mm: float, buried_mm: float, piece: int, shares: Floats) -> Floats:
    """Return the ring's three corners (n, 3, 3): past the toe on the side, past that on the base, under the line."""
    b = toes(ruled, root, leg_mm, [(piece, shares)])
    if not b.ok.all():
        raise SkinError(f"{root.name} do not meet all round")
    face = b.on_side - b.on_base
    face /= np.linalg.norm(face, axis=1)[:, None]
    return np.stack(
        (
            b.on_side + buried_mm * face,
            b.on_base - buried_mm * face,
            b.line - buried_mm * (b.side_normal + b.base_normal),
        ),
        axis=1,
    )


# --- kind -----------------------------------------------------------------------------------------------------------
# What a kind of section is: one class, of which one object is kept under its name.


class SectionError(ValueError):
    """A section cannot be made as asked; the text says what was given and what is allowed."""


class Edges(NamedTuple):
    """How the edges of a kind are rounded. widest, plain: radius over thickness, at most, and where none is given;
    most: the widest in words; usual: in words, the radius taken where the file gives none.
    """

    widest: float
    plain: float
    most: str
    usual: Words


class SectionKind(ABC):
    """One kind of section. `loop` is all that a kind must have; the rest follows from it unless overridden.

    name: in the parameter file; about: what it is, in a few words; parts: what a file may give it to, arm or fin.
    edges: how they are rounded, None where there are none; nose: how the leading edge is, in a word. scales: every size
    is one shape drawn out along and across. thin_edges: a root's toe is not parallel to them. flat_sides: it is flat.
    shear_factors: shear area over area, force along the chord and across; the least of any kind unless the kind has its
    own.
    """

    name: ClassVar[str]
    parts: ClassVar[tuple[str, ...]] = ("arm",)
    edges: ClassVar[Edges | None] = None

    @property
    def called(self) -> str:
        """Its name as it is read."""
        return self.name.replace("_", " ")

    def led(self, edge: str) -> SectionKind:
        """Return the kind with its leading edge as the file says, round or square; most have but one."""
        return self

    # ---- its curve ----------------------------------------------------------------------------------------

    @abstractmethod
    def loop(self, section: Section) -> list[Piece]:
        """Return the smooth pieces of a section's boundary, counter-clockwise.

        An even number: the first lies across the leading edge and the middle one across the trailing edge, each half on
        either side of the chord, and what lies above the chord is the mirror image of what lies below.
        """

    # ---- its edges ----------------------------------------------------------------------------------------

    def usual_edge_mm(self, thinnest_mm: Num) -> Num:
        """Return the radius (mm) of the edges where the file gives none; thinnest_mm: the arm's least thickness."""
        return 0.0

    def edge_at(self, edge_mm: Num, thinnest_mm: Num, thickness_mm: Num) -> Num | None:
        """Return the radius (mm) of the edges where an arm is thickness_mm thick; None for a kind without edges."""
        return None

    # ---- its metal and strength ---------------------------------------------------------------------------


_KINDS: dict[str, SectionKind] = {}


def register(kind: type[SectionKind]) -> None:
    """Take in a kind of section under its name."""
    _KINDS[kind.name] = kind()


def kind_names(part: str = "arm") -> tuple[str, ...]:
    """Return the names of the kinds of section that an arm or a fin may have, in the order in which they are told."""
    return tuple(name for name, kind in _KINDS.items() if part in kind.parts)


def kind_of(name: str) -> SectionKind:
    """Return the kind of section of a name. Raises LookupError when there is none."""
    if name not in _KINDS:
        raise LookupError(f"section kind {name!r} is not known; use one of {', '.join(kind_names())}")
    return _KINDS[name]


def check(
    kind: str, chord: ArrayLike, thickness: ArrayLike, edge_radius: ArrayLike | None
) -> tuple[Floats, Floats, Floats | None]:
    """Return chord, thickness and edge radius (mm) as arrays of one shape. Raises SectionError for what is no section,
    LookupError for a kind that is not there.

    0 < thickness <= chord; an edge radius only where the kind has edges, up to the widest.
    """
    edges = kind_of(kind).edges
    if edge_radius is not None and edges is None:
        owners = " or ".join(name for name in kind_names() if kind_of(name).edges)
        raise SectionError(f"the edge radius belongs to the {owners} section, not to {kind}; leave it out")
    c, t = np.broadcast_arrays(np.asarray(chord, dtype=np.float64), np.asarray(thickness, dtype=np.float64))
    if not np.all(np.isfinite(c) & (t > 0.0) & (t <= c)):
        raise SectionError(
            say(
                "a section needs a thickness above 0 and not above its chord; chord {chord} and "
                "thickness {thickness} were given",
                chord=_range(c),
                thickness=_range(t),
            )
        )
    if edge_radius is None or edges is None:
        return c, t, None
    r = np.asarray(edge_radius, dtype=np.float64)
    if not np.all((r >= 0.0) & (r <= edges.widest * t * (1.0 + 1e-12))):
        raise SectionError(
            say(
                "the edge radius must be 0 to {most} at thickness {thickness}; {given} was given",
                most=_range(edges.widest * t),
                thickness=_range(t),
                given=_range(r),
            )
        )
    c, t, r = np.broadcast_arrays(c, t, r)
    return c, t, r


def _range(values: Floats) -> Any | Any:
    low, high = fine_mm(float(np.min(values))), fine_mm(float(np.max(values)))
    return low if low == high else say("{low} to {high}", low=low, high=high)


@dataclass(frozen=True, slots=True)
class Section:
    """One section.

    kind: the name of its kind; chord_mm: over-all length, not less than thickness_mm; edge_radius_mm: of a flat, 0 to
    half the thickness, half the thickness when None; of two arcs and of a foil's trailing edge, 0 to a tenth of the
    thickness, sharp when None. Raises SectionError for anything else.
    """

    kind: str
    chord_mm: float
    thickness_mm: float
    edge_radius_mm: float | None = None

    def __post_init__(self) -> None:
        check(self.kind, self.chord_mm, self.thickness_mm, self.edge_radius_mm)

    @property
    def edge_radius(self) -> float:
        """The edge radius in use, mm; 0 for sharp edges."""
        if self.edge_radius_mm is not None:
            return self.edge_radius_mm
        edges = kind_of(self.kind).edges
        return edges.plain * self.thickness_mm if edges else 0.0

    def loop(self) -> list[Piece]:
        """Its boundary as smooth pieces, counter-clockwise; see `SectionKind.loop`."""
        return kind_of(self.kind).loop(self)


# --- ellipse --------------------------------------------------------------------------------------------------------
# The ellipse.


_CROWD = 0.7  # how places crowd toward the sharp ends: a constant, so that two sizes pair equal places


class Ellipse(SectionKind):
    """An ellipse; all of it in closed form."""

    name = "ellipse"

    def loop(self, section: Section) -> list[Piece]:
        """Return its quarters, each across an end of an axis."""
        a, b = section.chord_mm / 2, section.thickness_mm / 2
        return [Piece("curve", partial(_quarter, a, b, k - 0.5)) for k in range(4)]


def _quarter(a: float, b: float, quarter: float, s: Floats) -> tuple[Floats, Floats]:
    w = (quarter + s) * math.pi / 2
    x, y = np.cos(w), _CROWD * np.sin(w)
    size = np.hypot(x, y)
    pace = _CROWD * math.pi / 2 / size**2  # of the eccentric angle
    return np.column_stack((a * x, b * y)) / size[:, None], (pace / size)[:, None] * np.column_stack((-a * y, b * x))


# --- flat -----------------------------------------------------------------------------------------------------------
# The flat: a plate with rounded edges.


class Flat(SectionKind):
    """A plate with rounded edges, half round when no edge radius is given."""

    name = "flat"
    edges = Edges(0.5, 0.5, "half the thickness", "half the thickness: full round edges")

    def loop(self, section: Section) -> list[Piece]:
        """Return edges and sides, and corners where the edges are not half round."""
        a, b, r = section.chord_mm / 2, section.thickness_mm / 2, section.edge_radius
        return rounded_bar(-a, a, b, r, r)

    def usual_edge_mm(self, thinnest_mm: Num) -> Num:
        """Return half the thickness."""
        return thinnest_mm / 2

    def edge_at(self, edge_mm: Num, thinnest_mm: Num, thickness_mm: Num) -> Num:
        """Return half the thickness of half-round edges, which stay so all along; another radius stays as it is."""
        half_round = np.greater_equal(edge_mm, thinnest_mm / 2 - 1e-9)
        edge: Num = np.where(half_round, thickness_mm / 2, edge_mm)[()]
        return edge


# --- thin -----------------------------------------------------------------------------------------------------------
# Sections with thin edges, which are rounded a little: two arcs all along, a foil and a plate at the trailing edge.


MAX_EDGE_RADIUS = 0.1  # of the thickness


USUAL_EDGE_MM = 2.0  # as a casting or a ground plate has them; common practice, no source


class ThinEdged(SectionKind):
    """A section with thin edges; its strength is that with sharp ones, which it holds."""

    edges = Edges(
        MAX_EDGE_RADIUS,
        0.0,
        "a tenth of the thickness",
        say("a tenth of the thickness, at most {2 mm}; common practice"),
    )

    def usual_edge_mm(self, thinnest_mm: Num) -> Num:
        """Return a tenth of the least thickness (mm), at most USUAL_EDGE_MM."""
        return np.minimum(USUAL_EDGE_MM, MAX_EDGE_RADIUS * thinnest_mm)

    def edge_at(self, edge_mm: Num, thinnest_mm: Num, thickness_mm: Num) -> Num:
        """Return one radius (mm) all along, which fits where the arm is thinnest."""
        given = np.where(np.asarray(edge_mm) > 0.0, edge_mm, self.usual_edge_mm(thinnest_mm))
        return np.minimum(given, MAX_EDGE_RADIUS * thinnest_mm)[()]


# --- foil -----------------------------------------------------------------------------------------------------------
# The foil: the symmetrical four-digit thickness form.


_HALF = Polynomial((0.0, 1.4845, -0.63, 0.0, -1.758, 0.0, 1.4215, 0.0, -0.5075))  # y/t in s


_SLOPE = _HALF.deriv()


_COEF, _SLOPE_COEF = tuple(_HALF.coef.tolist()), tuple(_SLOPE.coef.tolist())


FOIL_CROWD = 1.0  # how places crowd toward the nose: a constant, so that two sizes pair equal places


_NOSE = 0.3  # of a side, by its share, that belongs to the piece across the nose


class Tail(NamedTuple):
    """A foil that ends in a circle, whose centre lies on the chord, with straight lines from the sides to it.

    radius_mm: of the circle; end: the s at which the side goes over into its line; point: (x, y) at which the line goes
    over into the circle, mm.
    """

    radius_mm: float
    end: float
    point: tuple[float, float]


def _foil_tail(section: Section) -> Tail:
    """Return how a foil with an edge radius above 0 ends. Raises SectionError when it has none."""
    if section.edge_radius <= 0.0:
        raise SectionError("only a foil with an edge radius ends in a circle")
    sizes = (np.asarray(v) for v in (section.chord_mm, section.thickness_mm, section.edge_radius))
    end, x, y = _tail(*sizes)
    return Tail(section.edge_radius, float(end), (float(x), float(y)))


def _tail(c: Floats, t: Floats, r: Floats) -> tuple[Floats, Floats, Floats]:
    """Return (s at which the side's tangent touches the end circle of radius r, x and y of that touch).

    The hull of foil and circle: it has no hollow, so that a ball can roll along it. Sought between the greatest
    thickness, whose tangent passes the circle by, and the trailing edge, whose tangent cuts it; where even that
    passes it by, the whole side does.
    """
    c, t, r = np.broadcast_arrays(c, t, r)
    centre = r - 0.5 * c

    def normal(s: Floats) -> tuple[Floats, Floats, Floats]:
        dx, dy = -2.0 * c * s, t * _at(_SLOPE_COEF, s)
        size = np.hypot(dx, dy)
        over = ((c * (0.5 - s * s) - centre) * dy - t * _at(_COEF, s) * dx) / size
        return dy / size, -dx / size, over - r

    s = false_position(lambda s: -normal(s)[2], np.full(np.shape(c), 0.56), np.ones(np.shape(c)), 1e-13 * c)
    nx, ny, _ = normal(s)
    return s, centre + r * nx, r * ny


def _at(coefficients: tuple[float, ...], s: Floats) -> Floats:
    out: Floats = np.asarray(coefficients[-1])
    for a in coefficients[-2::-1]:
        out = out * s + a if a else out * s
    return out


class Foil(ThinEdged):
    """The symmetrical four-digit form; its strength is that of one with the square trailing edge."""

    name = "foil"
    parts = ("arm", "fin")

    def loop(self, section: Section) -> list[Piece]:
        """Return nose, sides and round tail. Raises SectionError without an edge radius."""
        tail, c = _foil_tail(section), section.chord_mm
        x, r = -c / 2 + tail.radius_mm, tail.radius_mm
        px, py = tail.point
        angle = math.atan2(py, px - x)
        sx, sy = c * (0.5 - tail.end**2), section.thickness_mm * float(_HALF(tail.end))
        side = partial(_side, c, section.thickness_mm, tail.end)
        return [
            Piece("curve", partial(side, -_NOSE, _NOSE)),
            Piece("curve", partial(side, _NOSE, 1.0)),
            line_piece(sx, sy, px, py),
            arc_piece(x, 0.0, r, r, angle, 2 * (math.pi - angle)),
            line_piece(px, -py, sx, -sy),
            Piece("curve", partial(side, -1.0, -_NOSE)),
        ]


def _side(c: float, t: float, end: float, start: float, stop: float, s: Floats) -> tuple[Floats, Floats]:
    """The side over a part of its shares; negative shares are those of the lower side, and 0 is the nose."""
    near = start + (stop - start) * s
    sign, stretch = np.where(near < 0.0, -1.0, 1.0), end / np.expm1(FOIL_CROWD)
    at = stretch * np.expm1(FOIL_CROWD * np.abs(near))
    way = sign * (stop - start) * stretch * FOIL_CROWD * np.exp(FOIL_CROWD * np.abs(near))
    return (
        np.column_stack((c * (0.5 - at**2), sign * t * _HALF(at))),
        way[:, None] * np.column_stack((-2 * c * at, sign * t * _SLOPE(at))),
    )


# --- plate ----------------------------------------------------------------------------------------------------------
# The plate of a fin: flat sides, a trailing edge cut square, a leading edge square or half round.


class SectionsPlate(ThinEdged):
    """A plate with square edges, rounded a little; its strength is that with sharp ones."""

    name = "plate"
    parts: ClassVar[tuple[str, ...]] = ("fin",)

    def led(self, edge: str) -> SectionKind:
        """Return the plate whose leading edge is round or square."""
        return kind_of(RoundNosed.name if edge == "round" else self.name)

    def nose_radius_mm(self, section: Section) -> float:
        """Return the radius (mm) of the leading edge's corners."""
        return section.edge_radius

    def loop(self, section: Section) -> list[Piece]:
        """Return edges, sides and the corners between them."""
        a, b = section.chord_mm / 2, section.thickness_mm / 2
        return rounded_bar(-a, a, b, section.edge_radius, self.nose_radius_mm(section))


class RoundNosed(SectionsPlate):
    """A plate with a half-round leading edge."""

    name = "round_nosed_plate"
    parts = ()  # a plate with its leading edge told

    def nose_radius_mm(self, section: Section) -> float:
        """Return half the thickness (mm)."""
        return section.thickness_mm / 2


# --- two arcs -------------------------------------------------------------------------------------------------------
# Two equal arcs.


class TwoArcs(ThinEdged):
    """Two equal arcs that meet at sharp edges, or in small arcs of an edge radius, tangent to the sides.

    The chord stays over all.
    """

    name = "two_arcs"

    def loop(self, section: Section) -> list[Piece]:
        """Return two edges and two sides of one radius, tangent to each other. Raises ValueError for sharp edges."""
        edge, b = section.edge_radius, section.thickness_mm / 2
        if edge <= 0:
            raise ValueError("a loop of two arcs needs an edge radius")
        reach = section.chord_mm / 2 - edge
        radius = (reach**2 + b**2 - edge**2) / (2 * (b - edge))
        half = math.atan2(reach, radius - b)  # half the turn of a side
        tip = math.pi / 2 - half  # half the turn of an edge
        return [
            arc_piece(reach, 0.0, edge, edge, -tip, 2 * tip),
            arc_piece(0.0, b - radius, radius, radius, tip, 2 * half),
            arc_piece(-reach, 0.0, edge, edge, math.pi - tip, 2 * tip),
            arc_piece(0.0, radius - b, radius, radius, math.pi + tip, 2 * half),
        ]


# --- sections -------------------------------------------------------------------------------------------------------
# Arm and fin sections: their outlines and their strength properties.


for _kind in (Flat, Ellipse, TwoArcs, SectionsPlate, RoundNosed, Foil):
    register(_kind)


# --- skeg -----------------------------------------------------------------------------------------------------------
# The skeg's fin and heel: chord at a depth and section of the fin, the stock's axis, the bore of the boss.


def chord_at(skeg: Skeg, barrel: Barrel, below_mm: float) -> tuple[float, float, float]:
    """Return (x of the leading edge, chord, thickness) in mm at a depth below the shaft line.

    Linear between the barrel's outside and the fin's lower edge, and on beyond both.
    """
    root = barrel.outside_mm / 2
    k = (below_mm - root) / (skeg.depth_mm - root)
    chord = skeg.root_forward_station_mm - skeg.root_aft_station_mm
    return (
        barrel.x(skeg.root_forward_station_mm) - k * skeg.sweep_mm,
        chord + k * (skeg.tip_chord_mm - chord),
        skeg.thickness_root_mm + k * (skeg.thickness_tip_mm - skeg.thickness_root_mm),
    )


def foot_start_mm(barrel: Barrel, skeg: Skeg, heel: Heel) -> tuple[float, float, float]:
    """Return where the middle line of the heel's foot starts, the tip of its nose, strut frame, mm."""
    tip, _, _ = chord_at(skeg, barrel, skeg.depth_mm)
    leans = skeg.sweep_mm / (skeg.depth_mm - barrel.outside_mm / 2)
    x, z = foot_start(tip, leans, skeg.depth_mm, heel.centre_mm, heel.foot_height_mm)
    return float(x), 0.0, float(z)


def foot_start(tip_mm: Num, leans: Num, depth_mm: Num, boss_mm: Sequence[Num], high_mm: Num) -> tuple[Num, Num]:
    """Return x and z of the tip of a foot's nose, mm; broadcasts. Its square end stands nowhere abaft the fin's leading
    edge, so that the fin stands on it whole, and its lower edge starts level with the fin's.

    tip_mm: x of the leading edge at the depth of the fin; leans: how far it goes forward on its way up, per mm of
    height; boss_mm: middle of the boss the foot leads to; high_mm: height of the foot.
    """
    half = high_mm / 2
    x, z = tip_mm, half - depth_mm
    for _ in range(SKEG_STEPS):
        level = np.hypot(x - boss_mm[0], boss_mm[1])
        long = np.hypot(level, z - boss_mm[2])
        up, ahead = half * level / long, half * (z - boss_mm[2]) / long * (x - boss_mm[0]) / level
        x = tip_mm + leans * half + np.maximum(leans * up + ahead, -leans * up - ahead)
    return x + _HAIR * high_mm, z


_HAIR = 0.003


SKEG_STEPS = 4


def fin_kind(skeg: Skeg) -> SectionKind:
    """Return the kind of section that the fin has."""
    return kind_of(skeg.kind).led(skeg.leading_edge)


def fin_section(skeg: Skeg, chord_mm: float, thickness_mm: float) -> Section:
    """Return the fin's section where it is as long and thick (mm), its edges as they are made. Raises SectionError."""
    kind, thinnest = fin_kind(skeg), min(skeg.thickness_root_mm, skeg.thickness_tip_mm)
    edge = kind.edge_at(kind.usual_edge_mm(thinnest), thinnest, thickness_mm)
    return Section(kind.name, chord_mm, thickness_mm, None if edge is None else float(edge))


def stock_axis(heel: Heel) -> Vector:
    """Return the unit vector (3,) up the stock."""
    return stock_direction(heel.stock_rake_deg, heel.stock_cant_deg)


def boss_bore_mm(heel: Heel) -> float:
    """Return the diameter (mm) to which the boss is bored: the running bore, and round it the bush."""
    return heel.bore_mm + 2 * heel.bush_wall_mm


# --- members --------------------------------------------------------------------------------------------------------
# Arms and the fin as ruled sides that stand on barrel and palms: their roots, what fits, and where they end.


BURIED_SHORT_MM = 0.25  # what is buried in the barrel ends so far inside its faces


_AROUND, _ALONG = 49, 9  # places on each curve and line of a section at which a root is looked at


_HALVINGS = 10  # the largest that fits is found within a thousandth of the one asked


def edge_radius_at(arm: Arm, thickness_mm: Num) -> Num | None:
    """Return the radius (mm) of an arm's edges where it is thickness_mm thick; broadcasts. None where it has none."""
    thinnest = min(arm.thickness_barrel_mm, arm.thickness_palm_mm)
    return kind_of(arm.shape).edge_at(arm.edge_radius_mm, thinnest, thickness_mm)


def arm_section(arm: Arm, chord_mm: float, thickness_mm: float) -> Section:
    """Return an arm's section of a size, its edges as they are made. Raises SectionError on sizes that make none."""
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
    """Return an arm as it stands. Raises SectionError when its section cannot be."""
    return _arm_member(strut.barrel, strut.palms[arm.palm_index], arm)


@functools.lru_cache(maxsize=64)
def _arm_member(barrel: Barrel, palm: Palm, arm: Arm) -> Member:
    axes, ends = arm_axes(arm, barrel, palm.plane), arm_ends_mm(arm, barrel, palm.plane)
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
    """Return the fin of a skeg as it stands. Raises SectionError when its section cannot be."""
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


@functools.lru_cache(maxsize=32)
def barrel_base(barrel: Barrel) -> Round:
    """Return the barrel's outside, bore filled."""
    return Round(np.array([(barrel.x(s), r, bulge) for s, r, bulge in outside_chain(barrel)]))


@functools.lru_cache(maxsize=32)
def palm_base(palm: Palm) -> Slab:
    """Return a palm as the arm sees it: everything behind its water face."""
    axes = palm_axes(palm)
    return Slab(((axes.origin - palm.thickness_mm * axes.n, -axes.n),))


def barrel_root(member: Member, barrel: Barrel, radius_mm: float) -> Root:
    """Return the root of an arm or the fin on the barrel."""
    return Root(barrel_base(barrel), radius_mm, (member.buried_k, 1.0), f"the {member.name} at the barrel")


def palm_root(member: Member, palm: Palm, radius_mm: float, base: Slab | None = None) -> Root:
    """Return the root of an arm on its palm. base: its water face where that is not plane, as on a pattern."""
    base = palm_base(palm) if base is None else base
    a, _, b, _ = member.ruled.lines(member.around())
    deepest = max(float(np.max(((point - a) @ normal) / (b @ normal))) for point, normal in base.planes)
    return Root(base, radius_mm, (deepest + 1e-3, 0.0), f"the {member.name} at the palm")


def barrel_end(member: Member, barrel: Barrel, radius_mm: float) -> End:
    """Return the end of an arm or the fin inside the barrel, its cap along the section there."""
    frame, other = member.ruled.at
    point = frame.origin + member.buried_k * (other.origin - frame.origin)
    return End(
        (point, unit(np.cross(frame.u, frame.v))),
        barrel_root(member, barrel, radius_mm) if radius_mm > 0 else None,
    )


def face_radii_mm(barrel: Barrel) -> tuple[float, float]:
    """Return the outside radius (mm) at the aft and the forward face."""
    rows = outside_chain(barrel)
    return rows[0][1], rows[-1][1]


def past_faces(member: Member, barrel: Barrel) -> tuple[bool, bool]:
    """Return whether the buried end of an arm or the fin, which leans, comes out of the barrel's aft and forward face.

    Looked at within the face's own circle; over it the root's toe keeps from the face.
    """
    a, _, b, _ = member.ruled.lines(member.around())
    points = (a + np.linspace(member.buried_k, 0.0, 33)[:, None, None] * b).reshape(-1, 3)
    around, half = np.hypot(points[:, 1], points[:, 2]), barrel.length_mm / 2 - BURIED_SHORT_MM
    x = [points[around < radius, 0] for radius in face_radii_mm(barrel)]
    return bool((x[0] < -half).any()), bool((x[1] > half).any())


def tip_end(skeg: Skeg) -> End:
    """Return the lower end of the fin."""
    return End((np.array([0.0, 0.0, -skeg.depth_mm]), np.array([0.0, 0.0, -1.0])))


class RootRoom(NamedTuple):
    """The room that roots are to have. face_mm: from a toe to a face of the barrel; bare_share: bare side between an
    arm's two roots, of its length; open_deg: between the sides of a fillet weld, and short of flat."""

    face_mm: float
    bare_share: float
    open_deg: float

    def reach_mm(self, barrel: Barrel) -> float:
        """How far from mid-barrel the toe of a root may reach."""
        return barrel.length_mm / 2 - self.face_mm


def bead_fits(member: Member, root: Root, leg_mm: float, open_deg: float, reach_mm: float | None) -> bool:
    """Return whether a bead's toes lie on side and base all round, which stand open by open_deg at least, and are as
    far from flat.

    reach_mm: how far from mid-barrel the toes of a bead on the barrel may reach.
    """
    b = toes(member.ruled, root, leg_mm, member.around())
    return (
        bool(b.ok.all())
        and bool(np.all((b.open_deg > open_deg) & (b.open_deg < 180.0 - open_deg)))
        and (reach_mm is None or float(np.abs(b.on_base[:, 0]).max()) <= reach_mm)
    )


def largest_leg_mm(member: Member, root: Root, leg_mm: float, open_deg: float, reach_mm: float | None) -> float:
    """Return the largest leg (mm) up to the one asked of a bead that fits (see `bead_fits`); 0 when none does."""
    return _largest(lambda size: bead_fits(member, root, size, open_deg, reach_mm), leg_mm)


def _largest(fits: Callable[[float], bool], asked: float) -> float:
    return asked if fits(asked) else float(bisect(fits, 0.0, asked, _HALVINGS)[0])


def buildable_mm(most_mm: float) -> float:
    """Return the size (mm) to build where most_mm is the largest that fits: a round number under it."""
    return math.floor(most_mm * 10) / 10


# --- part colours ---------------------------------------------------------------------------------------------------
# The colours of metals, rubber and welds: red, green, blue, 0 to 1.


Colour = tuple[float, float, float]


STEEL: Colour = (0.70, 0.72, 0.74)


SHELL: Colour = (0.80, 0.68, 0.32)


RUBBER: Colour = (0.15, 0.15, 0.16)


BUSH: Colour = (0.85, 0.84, 0.78)


BEAD: Colour = (0.55, 0.55, 0.52)


# --- triangles ------------------------------------------------------------------------------------------------------
# The triangles that the kernel makes of a shape: whether they meet, the volume within them, corners that are one.


COARSE = ((0.1, 0.3),)  # how a body's triangles are made to see whether they meet: chord in mm, turn in radians


SAME_MM = 1e-4  # corners of triangles that are one, of a whole solid; no wider than FUZZY_MM


class Facets(NamedTuple):
    """The triangles of a shape, face by face: corners are not shared between faces."""

    points: NDArray[np.float64]  # (n, 3) mm
    triangles: NDArray[np.int64]  # (m, 3), outward by the right hand
    owner: NDArray[np.int64]  # (m,) the face of each triangle, in the order of the shape's faces
    first: tuple[int, ...]  # of each face's points
    patches: tuple[Any, ...]  # the kernel's triangulation of each face, None where there is none


def facets(shape: Any) -> Facets:
    """Return the triangles that the kernel has made of a shape; a face without any adds none."""
    points: list[tuple[float, ...]] = []
    corners: list[tuple[int, ...]] = []
    first, patches, counts, turned = [], [], [], []
    for face in shape.Faces():
        place = TopLoc_Location()
        patch = BRep_Tool.Triangulation_s(face.wrapped, place)
        patches.append(patch)
        first.append(len(points))
        turned.append(face.wrapped.Orientation() == TopAbs_Orientation.TopAbs_REVERSED)
        if patch is None:
            counts.append(0)
            continue
        node, three = patch.Node, patch.Triangle
        numbers = range(1, patch.NbNodes() + 1)
        if place.IsIdentity():
            points += [node(i).Coord() for i in numbers]
        else:
            move = place.Transformation()
            points += [node(i).Transformed(move).Coord() for i in numbers]
        corners += [three(i).Get() for i in range(1, patch.NbTriangles() + 1)]
        counts.append(patch.NbTriangles())
    owner = np.repeat(np.arange(len(counts)), counts)
    drawn = np.array(corners, dtype=np.int64).reshape(-1, 3) + (np.array(first, dtype=np.int64)[owner] - 1)[:, None]
    back = np.array(turned, dtype=bool)[owner]
    drawn[back] = drawn[back][:, (0, 2, 1)]
    return Facets(np.array(points, dtype=float).reshape(-1, 3), drawn, owner, tuple(first), tuple(patches))


def _numbered(keys: NDArray[Any]) -> NDArray[np.int64]:
    """The number (n,) of each key (n,) among those that differ, in order."""
    return np.unique(keys, return_inverse=True)[1].reshape(-1)


def closes(solid: Solid, ways: Sequence[tuple[float, float]] = ((0.05, 0.17), (0.1, 0.3))) -> bool:
    """Return whether the faces of a solid, made triangles in each of the ways (chord in mm, turn in radians), meet edge
    to edge: some that are valid by rule do not.
    """
    return all(_closes(solid, chord, turn) for chord, turn in ways)


def _closes(solid: Solid, chord_mm: float, turn_rad: float) -> bool:
    BRepTools.Clean_s(solid.wrapped)  # a finer mesh left from before would be kept
    solid.mesh(chord_mm, turn_rad)
    cut = facets(solid)
    BRepTools.Clean_s(solid.wrapped)  # the box round a body with triangles is less exact
    # Stricter than a mesh that is written: of two ways to make a solid the one is taken that needs no such help.
    n, number = len(cut.points), np.zeros(len(cut.points), dtype=np.int64)
    for values in np.round(cut.points / SAME_MM).T:
        number = _numbered(number * n + _numbered(values))  # one number for a point: rows are sorted far more slowly
    same = number[cut.triangles]
    a, b, c = same.T
    same = same[(a != b) & (b != c) & (c != a)]
    low, high = np.sort(np.vstack((same[:, :2], same[:, 1:], same[:, ::2])), axis=1).T
    return bool((np.unique(low * n + high, return_counts=True)[1] % 2 == 0).all())


# --- kernel ---------------------------------------------------------------------------------------------------------
# The solid-modelling kernel behind plain functions.


Solid: TypeAlias = cq.Solid


Edge: TypeAlias = cq.Edge


Wire: TypeAlias = cq.Wire


Made = TypeVar("Made")


FUZZY_MM = (1e-4, 1e-3)  # far below what can be made or measured


MEND_MM = 0.01  # how far the kernel's repair may let edges miss each other


SMOOTH_RAD = 0.01  # between the faces on both sides of a smooth edge, half a degree


ENDS_MEET_MM = 1e-5  # two edges whose ends are this near hang together: above the kernel's 1e-7, below any real size


class KernelError(RuntimeError):
    """The kernel could not make a shape; the text says which operation."""


def refused(error: BaseException) -> Words:
    """Return why a shape could not be made, "" when an error is neither the kernel's nor of a shape's own rules.

    The kernel's many errors have no common ancestor in Python but their module.
    """
    if isinstance(error, KernelError | OutlineError | SectionError):
        return told(error)
    of_kernel = type(error).__module__.partition(".")[0] == "OCP"
    return f"the solid-modelling kernel gave up ({type(error).__name__})" if of_kernel else ""


def attempt(make: Callable[[], Made]) -> tuple[Made | None, Words]:
    """Return (what make returns, "") or (None, why not) when the kernel or a shape's own rules refuse.

    Any other error is a fault of the program and passes through.
    """
    try:
        return make(), ""
    except Exception as error:
        if why_not := refused(error):
            return None, why_not
        if isinstance(error, ArithmeticError):
            return None, told(error)
        if type(error) in (ValueError, RuntimeError):
            return None, f"the solid-modelling kernel gave up ({type(error).__name__})"
        raise


def _vec(p: Vector) -> Any:
    return cq.Vector(float(p[0]), float(p[1]), float(p[2]))


def line(a: Vector, b: Vector) -> Edge:
    """Return the straight edge from a to b."""
    return cq.Edge.makeLine(_vec(a), _vec(b))


def kernel_arc(a: Vector, middle: Vector, b: Vector) -> Edge:
    """Return the circular arc from a to b through middle."""
    return cq.Edge.makeThreePointArc(_vec(a), _vec(middle), _vec(b))


def _wire(edges: Sequence[Edge]) -> Wire:
    """Return the closed wire of edges given in order. Raises KernelError when they do not close."""
    made = cq.Wire.assembleEdges(list(edges))
    if not made.IsClosed():
        raise KernelError("an outline does not close")
    return made


def _outline_edges(outline: Outline, axes: Axes, height_mm: float = 0.0) -> list[Edge]:
    """Return the edges of an outline laid in the u, v plane of axes, lifted along n."""
    seg = outline.segments()
    start, end = axes.to_strut(seg.start, height_mm), axes.to_strut(seg.end, height_mm)
    chord = seg.end - seg.start
    # The middle of an arc stands off its chord by bulge times half the chord, on the right for a positive bulge.
    right = np.column_stack((chord[:, 1], -chord[:, 0]))
    middle = axes.to_strut(0.5 * (seg.start + seg.end) + 0.5 * seg.bulge[:, None] * right, height_mm)
    return [
        line(a, b) if turn == 0.0 else kernel_arc(a, m, b)
        for a, m, b, turn in zip(start, middle, end, seg.sweep_rad, strict=True)
    ]


def outline_wire(outline: Outline, axes: Axes, height_mm: float = 0.0) -> Wire:
    """Return the wire of a closed outline laid in the u, v plane of axes, lifted along n."""
    return _wire(_outline_edges(outline, axes, height_mm))


def prism(outer: Wire, along: Vector, inner: Sequence[Wire] = ()) -> Solid:
    """Return the solid swept by a plane face (outer wire less inner wires) along a vector."""
    return cq.Solid.extrudeLinear(cq.Face.makeFromWires(outer, list(inner)), _vec(along))


def revolve(profile: Outline, origin: Vector, axis: Vector, start: Vector) -> Solid:
    """Return a full revolution of a closed profile (x along the axis, y the radius, mm).

    start (3,): direction square to the axis in which the seam lies. A profile may lie against the axis.
    """
    n = np.cross(axis, start)
    made = outline_wire(profile, Axes(origin, axis, start, n))
    return cq.Solid.revolve(cq.Face.makeFromWires(made), 360.0, _vec(origin), _vec(origin + axis))


def tube_profile(radius_mm: float, wall_mm: float, length_mm: float) -> Outline:
    """Return the profile that makes a tube of an outside radius when it is revolved."""
    low, high = radius_mm - wall_mm, radius_mm
    return Outline(np.array(((0.0, low, 0.0), (length_mm, low, 0.0), (length_mm, high, 0.0), (0.0, high, 0.0))))


def cylinder(origin: Vector, axis: Vector, radius_mm: float, length_mm: float) -> Solid:
    """Return a cylinder from origin along the unit vector axis."""
    return cq.Solid.makeCylinder(radius_mm, length_mm, _vec(origin), _vec(axis))


def box(axes: Axes, half_u_mm: float, half_v_mm: float, from_n_mm: float, to_n_mm: float) -> Solid:
    """Return a block centred on the axes' origin in u and v, between two heights along n."""
    a, b = half_u_mm, half_v_mm
    outline = Outline(np.array(((-a, -b, 0.0), (a, -b, 0.0), (a, b, 0.0), (-a, b, 0.0))))
    return prism(outline_wire(outline, axes, from_n_mm), (to_n_mm - from_n_mm) * axes.n)


def _shape_list(shapes: Iterable[Any]) -> Any:
    out = TopTools_ListOfShape()
    for s in shapes:
        out.Append(s.wrapped)
    return out


def _boolean(operation: Any, name: str, body: Any, tools: Sequence[Any]) -> Any:
    operation.SetArguments(_shape_list([body]))
    operation.SetTools(_shape_list(tools))
    operation.SetRunParallel(False)
    operation.Build()
    if not operation.IsDone():
        raise KernelError(f"the solids could not be {name}")
    return cq.Shape.cast(operation.Shape())


def solids(shape: Any) -> list[Solid]:
    """Return the solids in a shape, largest first, with ties by place."""

    def key(s: Solid) -> tuple[float, ...]:
        c = s.Center()
        return (-round(s.Volume(), 3), round(c.x, 4), round(c.y, 4), round(c.z, 4))

    return sorted(shape.Solids(), key=key)


def one_solid(shape: Any) -> Solid:
    """Return the only solid in a shape. Raises KernelError when there are none or several."""
    found = shape.Solids()
    if len(found) != 1:
        raise KernelError(f"{len(found)} separate bodies where there should be one")
    return found[0]


def is_good(solid: Solid) -> bool:
    """Return whether a body on the way to a part is sound and its coarse triangles meet; asked twice, it is looked at
    once.
    """
    if solid not in _GOOD:
        _GOOD[solid] = is_sound(solid) and closes(solid, COARSE)
    return _GOOD[solid]


_GOOD: weakref.WeakKeyDictionary[Any, bool] = weakref.WeakKeyDictionary()


def drilled(body: Solid, tools: Sequence[Solid]) -> Solid:
    """Return body less all tools, still in one piece, with the same second tries as a union. Raises KernelError when it
    falls apart.
    """

    def make(fuzzy_mm: float) -> Solid:
        return one_solid(cut(body, tools, fuzzy_mm))

    made = _good_at_last(make(0.0), make, lambda made: made)
    assert made is not None
    return made


def _good_at_last(first: Made | None, make: Callable[[float], Made], solid_of: Callable[[Made], Solid]) -> Made | None:
    """Return first when its solid is good; otherwise what make returns with what lies FUZZY_MM apart taken for one, if
    that is; otherwise first."""
    for fuzzy_mm in FUZZY_MM:
        if first is not None and is_good(solid_of(first)):
            return first
        again, _ = attempt(partial(make, fuzzy_mm))
        if again is not None and is_good(solid_of(again)):
            return again
    return first


def mended(solid: Solid) -> Solid:
    """Return a solid that is not sound as the kernel's own repair leaves it, if that is sound and of the same volume;
    otherwise as it is.
    """
    repair = ShapeFix_Shape(solid.wrapped)
    repair.SetMaxTolerance(MEND_MM)  # without one the repair leaves wires that cross themselves by a hair
    repair.Perform()
    found = cq.Shape.cast(repair.Shape()).Solids()
    if (
        len(found) == 1
        and is_sound(found[0])
        and closes(found[0])
        and math.isclose(volume_mm3(found[0]), volume_mm3(solid), rel_tol=1e-5)
    ):
        return found[0]
    return solid


def smoothed(solid: Solid) -> Solid:
    """Return the solid with the edges marked over which its surface runs on without a kink: views draw them thin."""
    BRepLib.EncodeRegularity_s(solid.wrapped, SMOOTH_RAD)
    return solid


def cut(body: Any, tools: Sequence[Any], fuzzy_mm: float = 0.0) -> Any:
    """Return body less all tools: a shape of one or more solids. fuzzy_mm: what lies that near counts as one."""
    operation = BRepAlgoAPI_Cut()
    operation.SetFuzzyValue(fuzzy_mm)
    return _boolean(operation, "cut", body, tools) if tools else body


def common(body: Any, tool: Any) -> Any:
    """Return what two shapes share."""
    return _boolean(BRepAlgoAPI_Common(), "intersected", body, [tool])


def _place(edge: Edge) -> tuple[float, ...]:
    """Return a sorting key of an edge from its middle and length alone, the same in every process."""
    m = edge.positionAt(0.5)
    return (round(m.x, 4), round(m.y, 4), round(m.z, 4), round(edge.Length(), 4))


def _by_place(edges: Iterable[Edge]) -> list[Edge]:
    """Return edges in an order that depends only on where they lie."""
    return sorted(edges, key=_place)


def is_sound(solid: Solid) -> bool:
    """Return True for a valid, closed solid of positive volume."""
    return bool(solid.isValid()) and all(s.wrapped.Closed() for s in solid.Shells()) and solid.Volume() > 0


def bevel(solid: Solid, origin: Vector, normal: Vector, on_face_mm: float, off_face_mm: float) -> Solid | None:
    """Return the solid with the rim of its plane face (through origin, square to normal) bevelled, or None.

    on_face_mm: width of the bevel measured on that face; off_face_mm: its height.
    """
    faces = [
        f
        for f in solid.Faces()
        if f.geomType() == "PLANE"
        and abs(float(np.array((f.Center()).toTuple()) @ normal - origin @ normal)) < ENDS_MEET_MM
        and abs(abs(float(np.array(f.normalAt().toTuple()) @ normal)) - 1) < 1e-9
    ]
    if len(faces) != 1:
        return None
    rim = _by_place(faces[0].Edges())

    def dress() -> Any:
        builder = BRepFilletAPI_MakeChamfer(solid.wrapped)
        for e in rim:
            builder.Add(on_face_mm, off_face_mm, e.wrapped, faces[0].wrapped)
        return builder

    return _dressed(dress, solid, rim, max(on_face_mm, off_face_mm))


def _dressed(dress: Callable[[], Any], solid: Solid, edges: Sequence[Edge], size_mm: float) -> Solid | None:
    def make() -> Solid | None:
        builder = dress()
        builder.Build()
        if not builder.IsDone():
            return None
        shape = builder.Shape()
        for repaired in (False, True):
            if repaired:  # a seam or a tolerance set a hair wrong is the kernel's commonest slip after a fillet
                fix = ShapeFix_Shape(shape)
                fix.Perform()
                shape = fix.Shape()
            found = cq.Shape.cast(shape).Solids()
            if len(found) == 1 and is_sound(found[0]) and _changed_little(found[0], solid, edges, size_mm):
                return found[0]
        return None

    return attempt(make)[0]


def _changed_little(made: Solid, before: Solid, edges: Sequence[Edge], size_mm: float) -> bool:
    """Return True unless dressing blew the solid up or ate it: a sign of a surface gone astray.

    A fillet in a corner of 25 degrees fills 3.6 radius^2 over its length; more than that was never asked.
    """
    length = sum(e.Length() for e in edges) + 8 * size_mm
    return bool(abs(volume_mm3(made) - volume_mm3(before)) < 4 * length * size_mm**2)


_MASSES: weakref.WeakKeyDictionary[Any, tuple[float, tuple[float, float, float]]] = weakref.WeakKeyDictionary()


def mass_properties(shape: Any) -> tuple[float, Vector]:
    """Return (volume in mm3, centre of mass (3,) in mm).

    Adaptive to a millionth: the kernel's plain quadrature is off by 1e-4 of a body with splined fillets, which is as
    much as a weld bead weighs.
    """
    if shape not in _MASSES:
        made = GProp_GProps()
        BRepGProp.VolumeProperties_s(shape.wrapped, made, 1e-6, False, True)
        c = made.CentreOfMass()
        _MASSES[shape] = float(made.Mass()), (c.X(), c.Y(), c.Z())
    volume, middle = _MASSES[shape]
    return volume, np.array(middle)


def volume_mm3(shape: Any) -> float:
    """Return the volume of a shape, mm3, to about a millionth."""
    return mass_properties(shape)[0]


# --- barrel ---------------------------------------------------------------------------------------------------------
# The barrel: outside, bore, water slots and set-screw holes, each one revolution or prism.


X = np.array([1.0, 0.0, 0.0])


CLEAR_MM = 5.0  # how far cutters stand out of what they cut


def _profile(barrel: Barrel, rows: list[tuple[float, float, float]], inner: list[tuple[float, float]]) -> Outline:
    """Return the closed half section (x, radius) between an outside chain and inner (station, radius) points."""
    outer = [(barrel.x(s), r, bulge) for s, r, bulge in rows]
    return Outline(np.array(outer + [(barrel.x(s), r, 0.0) for s, r in reversed(inner)]))


SEAMS = 4


def seam_directions(clocks_deg: list[float]) -> list[Vector]:
    """Return directions (3,) in which the seams of revolutions may lie, the one farthest from the clock angles in use
    first, each at least 25 degrees from those before.

    None is right opposite an angle in use: where all lies in one plane of symmetry, the kernel now and then finds no
    cut between arm and barrel.
    """

    def clear(c: float, of: list[float]) -> float:
        return min((angle_between_deg(c, used) for used in of), default=180.0)

    opposite = [used + 180.0 for used in clocks_deg]
    tried = sorted(
        ((min(clear(c, clocks_deg), 18.0 * clear(c, opposite)), -abs(c), float(c)) for c in range(-175, 185, 5)),
        reverse=True,
    )
    out: list[float] = []
    for _, _, c in tried:
        if clear(c, out) >= 25.0 and len(out) < SEAMS:
            out.append(c)
    return [radial(c) for c in out]


def envelope(barrel: Barrel, seam: Vector, past_mm: tuple[float, float] = (0.0, 0.0)) -> Solid:
    """Return the barrel with its bore filled. seam (3,): direction of the seam.

    past_mm: how far it goes on beyond its aft and its forward face, as thick as it is there.
    """
    rows, ends = outside_chain(barrel), (-past_mm[0], barrel.length_mm + past_mm[1])
    if past_mm[0]:
        rows = [(ends[0], rows[0][1], 0.0), *rows[rows[0][1:] == (rows[1][1], 0.0) :]]
    if past_mm[1]:
        rows = [*rows[: len(rows) - (rows[-2][1:] == (rows[-1][1], 0.0))], (ends[1], rows[-1][1], 0.0)]
    return revolve(_profile(barrel, rows, [(s, 0.0) for s in ends]), np.zeros(3), X, seam)


def bore_cutter(barrel: Barrel, seam: Vector, past_mm: tuple[float, float] = (CLEAR_MM, CLEAR_MM)) -> Solid:
    """Return what is bored away: the bore's profile, standing out of both faces, revolved once.

    past_mm: how far out of the aft and the forward face; 0 where something stands on it.
    """
    inner = bore_points(barrel)
    aft, forward = past_mm
    stations = [*([(-aft, inner[0][1])] if aft else []), *inner]
    stations += [(barrel.length_mm + forward, inner[-1][1])] if forward else []
    rows = [(s, r, 0.0) for s, r in stations]
    profile = _profile(barrel, rows, [(-aft, 0.0), (barrel.length_mm + forward, 0.0)])
    return revolve(profile, np.zeros(3), X, seam)


def within_faces(solid: Solid, member: Member, barrel: Barrel) -> Solid:
    """Return an arm or fin less what of its buried end comes out of the barrel's faces. Raises KernelError."""
    tools = []
    for past, sign, radius in zip(past_faces(member, barrel), (-1.0, 1.0), face_radii_mm(barrel), strict=True):
        if past:
            start = sign * (barrel.length_mm / 2 - BURIED_SHORT_MM) * X
            tools.append(
                cylinder(start, sign * X, radius - BURIED_SHORT_MM, barrel.outside_mm + barrel.length_mm)
            )
    return drilled(solid, tools) if tools else solid


def screw_cutters(barrel: Barrel, screws: tuple[SetScrew, ...]) -> list[Solid]:
    """Return a tap-drill cylinder for each set screw and, where asked, the cutter of its flat.

    The flat is sunk to the depth at which it has its full diameter on the round barrel.
    """
    out = []
    for s in screws:
        axis = radial(s.clock_deg)
        centre = np.array([barrel.x(s.station_mm), 0.0, 0.0])
        top = barrel.outside_mm / 2 + CLEAR_MM
        out.append(cylinder(centre, axis, s.tap_drill_mm / 2, top))
        if s.flat_diameter_mm:
            floor = float(flat_floor_mm(barrel, s.station_mm, s.flat_diameter_mm))
            out.append(cylinder(centre + floor * axis, axis, s.flat_diameter_mm / 2, top - floor))
    return out


def slot_cutters(barrel: Barrel) -> list[Solid]:
    """Return a round-ended prism for each water slot."""
    if barrel.slots is None:
        return []
    s = barrel.slots
    shape = stadium(max(s.length_mm, s.width_mm), s.width_mm)
    out = []
    for k in range(s.count):
        n = radial(s.first_clock_deg + 360.0 * k / s.count)
        axes = Axes(np.array([barrel.x(s.centre_station_mm), 0.0, 0.0]), X, np.cross(n, X), n)
        out.append(prism(outline_wire(shape, axes), (barrel.outside_mm / 2 + CLEAR_MM) * n))
    return out


# --- skinned --------------------------------------------------------------------------------------------------------
# Solids from skins: an arm or fin with its root blends, as one closed body.


SEW_MM = 1e-5


def solid(made: Skin) -> Solid:
    """Return the closed body inside a skin, its ends capped by planes. Raises KernelError when it does not close."""
    caps = [_cap(strip, row) for strip, row in ((made.strips[0], 0), (made.strips[-1], -1))]
    return _sewn([_face(patch) for strip in made.strips for patch in strip] + caps)


def skinned_ring(made: Ring) -> Solid:
    """Return the closed ring inside a skin. Raises KernelError when it does not close."""
    return _sewn([_face(patch) for strip in made.strips for patch in strip])


def _sewn(faces: Sequence[Any]) -> Solid:
    sewing = BRepBuilderAPI_Sewing(SEW_MM)
    for face in faces:
        sewing.Add(face)
    sewing.Perform()
    shells = cq.Shape.cast(sewing.SewedShape()).Shells()
    if len(shells) != 1 or not shells[0].wrapped.Closed():
        raise KernelError("the skin of a part does not close")
    body = cq.Solid.makeSolid(shells[0])
    return body if body.Volume() > 0 else cq.Solid(body.wrapped.Reversed())


def _knots(knots: np.ndarray) -> tuple[Any, Any]:
    values, times = np.unique(knots, return_counts=True)
    real, whole = TColStd_Array1OfReal(1, len(values)), TColStd_Array1OfInteger(1, len(values))
    for i, (v, t) in enumerate(zip(values, times, strict=True)):
        real.SetValue(i + 1, float(v))
        whole.SetValue(i + 1, int(t))
    return real, whole


def _point(p: np.ndarray) -> Any:
    return gp_Pnt(*p.tolist())


def _curve(patch: Patch, row: int) -> Any:
    poles = TColgp_Array1OfPnt(1, len(patch.poles))
    for i, p in enumerate(patch.poles[:, row]):
        poles.SetValue(i + 1, _point(p))
    return Geom_BSplineCurve(poles, *_knots(patch.knots), DEGREE)


def _face(patch: Patch) -> Any:
    if patch.flat:
        return _plane(patch)
    count, rows, _ = patch.poles.shape
    grid = TColgp_Array2OfPnt(1, count, 1, rows)
    for i in range(count):
        for j in range(rows):
            grid.SetValue(i + 1, j + 1, _point(patch.poles[i, j]))
    across = _knots(np.repeat((0.0, 1.0), rows))
    round_, times = _knots(patch.knots)
    surface = Geom_BSplineSurface(grid, round_, across[0], times, across[1], DEGREE, rows - 1)
    return BRepBuilderAPI_MakeFace(surface, 1e-7).Face()


def _edge(patch: Patch, row: int) -> Any:
    ends = patch.poles[0, row], patch.poles[-1, row]
    way = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    if np.linalg.norm(np.cross(patch.poles[:, row] - ends[0], way), axis=1).max() < 1e-7:
        return line(*ends)
    return cq.Edge(BRepBuilderAPI_MakeEdge(_curve(patch, row)).Edge())


def _plane(patch: Patch) -> Any:
    """Return a flat patch as a true plane, against which later cuts and views are quick."""
    poles = patch.poles
    around = [
        _edge(patch, 0),
        line(poles[-1, 0], poles[-1, 1]),
        _edge(patch, 1),
        line(poles[0, 0], poles[0, 1]),
    ]
    return cq.Face.makeFromWires(cq.Wire.assembleEdges(around)).wrapped


def _cap(strip: tuple[Patch, ...], row: int) -> Any:
    wire = cq.Wire.assembleEdges([_edge(patch, row) for patch in strip])
    if not wire.IsClosed():
        raise KernelError("the end of a part does not close")
    return cq.Face.makeFromWires(wire).wrapped


# --- arm ------------------------------------------------------------------------------------------------------------
# The arm: a section swept or tapered along the arm axis, with or without its root blends.


def plain(strut: Strut, arm: Arm, height_mm: float) -> Solid:
    """Return the arm without blends, from inside the barrel to a height (mm) over its palm's hull face (negative: under
    it, toward the water). Raises SectionError or KernelError when it cannot be made.
    """
    member, hull = arm_member(strut, arm), palm_axes(strut.palms[arm.palm_index])
    return solid(
        skin(
            member.ruled, barrel_end(member, strut.barrel, 0.0), End((hull.origin + height_mm * hull.n, hull.n))
        )
    )


# --- hull curve -----------------------------------------------------------------------------------------------------
# A cylinder under a palm: how far it rises off the plane that touches it. Lengths mm, angles degrees.


def sagitta_mm(off_mm: Num, radius_mm: Num) -> Num:
    """Return how far a circle has left its tangent at a distance from the point of touch, at most the radius.

    Written so that a large radius loses no figures; broadcasts.
    """
    out: Num = off_mm * off_mm / (radius_mm + np.sqrt(radius_mm * radius_mm - off_mm * off_mm))
    return out


def most_off_mm(half_u_mm: Num, half_v_mm: Num, axis_deg: float) -> Num:
    """Return how far the corners of a box lie off a line through its middle; broadcasts."""
    turn = math.radians(axis_deg)
    out: Num = half_v_mm * abs(math.cos(turn)) + half_u_mm * abs(math.sin(turn))
    return out


# --- palm -----------------------------------------------------------------------------------------------------------
# The palm: its outline made thick toward the water, edges bevelled, bolt holes.


PALM_CLEAR_MM = 5.0  # how far cutters stand out of the hull face


MITRE_SHARE = 1.05  # corners up to this share of a bevel's width are mitred: the kernel leaves slivers there


def palm_plate(palm: Palm) -> Solid:
    """Return the palm without holes, its hull face in the hull-face plane or made to the hull's curve. Raises
    KernelError on a bad bevel.
    """
    axes = palm_axes(palm)
    if palm.curve is None:
        solid = prism(outline_wire(palm.outline, axes), -palm.thickness_mm * axes.n)
    else:
        top = palm.stands_out_mm + PALM_CLEAR_MM
        whole = prism(outline_wire(palm.outline, axes, top), -(palm.thickness_mm + top) * axes.n)
        solid = drilled(whole, [over_hull_face(palm, palm.curve)])
    if palm.bevel_width_mm <= 0 or palm.bevel_height_mm <= 0:
        return solid
    return bevelled(solid, palm.outline, axes, palm.thickness_mm, palm.bevel_width_mm, palm.bevel_height_mm)


def over_second_order(axes: Axes, half_mm: tuple[float, float], bends: tuple[float, float], high_mm: float) -> Solid:
    """Return what stands over a face of second order, so many mm high everywhere; its height over the origin is the
    bends (per mm) times u^2 and v^2, over a rectangle of which half the sizes are given.

    Such a face is a Bezier patch of second degree, exactly: over half a size a, b a^2 at its ends and -b a^2 between.
    """
    poles = TColgp_Array2OfPnt(1, 3, 1, 3)
    rises = [[b * a * a * way for way in (1.0, -1.0, 1.0)] for a, b in zip(half_mm, bends, strict=True)]
    for i, j in ((i, j) for i in range(3) for j in range(3)):
        along, aside = (i - 1) * half_mm[0] * axes.u, (j - 1) * half_mm[1] * axes.v
        place = axes.origin + along + aside + (rises[0][i] + rises[1][j]) * axes.n
        poles.SetValue(i + 1, j + 1, gp_Pnt(*(float(c) for c in place)))
    face = BRepBuilderAPI_MakeFace(Geom_BezierSurface(poles), 1e-7).Face()
    up = cq.Vector(*(float(c) for c in high_mm * axes.n)).wrapped
    return one_solid(cq.Shape.cast(BRepPrimAPI_MakePrism(face, up).Shape()))


def over_hull_face(palm: Palm, curve: Any) -> Solid:
    """Return what is cut away over a hull face that is made to a curve: a bar along a cylinder's axis, or the room over
    a face of second order.
    """
    axes, box = palm_axes(palm), palm.outline.bounding_box()
    half = (box.xmax - box.xmin) / 2, (box.ymax - box.ymin) / 2
    wide, long = (float(most_off_mm(*half, curve.axis_deg + more)) + PALM_CLEAR_MM for more in (0.0, 90.0))
    turn = math.radians(curve.axis_deg)
    along = math.cos(turn) * axes.u + math.sin(turn) * axes.v
    # Off the axis lies its second direction.
    own = Axes(axes.to_strut(np.array([palm.middle_mm]))[0], along, np.cross(axes.n, along), axes.n)
    if curve.second_order:
        across, lengthwise = (way.by_square for way in curve.ways)
        fall = min(across, 0.0) * wide**2 + min(lengthwise, 0.0) * long**2
        return over_second_order(own, (long, wide), (lengthwise, across), palm.stands_out_mm - fall + 2 * PALM_CLEAR_MM)
    edge, top = float(sagitta_mm(wide, curve.radius_mm)), palm.stands_out_mm + 2 * PALM_CLEAR_MM
    rise = -edge if curve.crown_to_hull else edge
    bulge = math.tan(math.asin(wide / curve.radius_mm) / 2) * (-1.0 if curve.crown_to_hull else 1.0)
    profile = Outline(np.array([(-wide, rise, bulge), (wide, rise, 0.0), (wide, top, 0.0), (-wide, top, 0.0)]))
    # The profile stands across the axis: x across, y toward the hull.
    start = Axes(own.origin - long * along, own.v, axes.n, along)
    return prism(outline_wire(profile, start), 2 * long * along)


def blamed(palm: Palm) -> str:
    """Return the path of the parameter to change where a palm's plate cannot be made."""
    return "palm.bevel.width" if palm.bevel_width_mm > 0 else "palm.outline"


def bevelled(solid: Solid, outline: Outline, axes: Axes, below_mm: float, width_mm: float, height_mm: float) -> Solid:
    """Return a plate with the rim of its water face thinned, by height_mm over width_mm.

    below_mm: depth of the water face under the axes' origin. Raises KernelError when it cannot be made.
    """
    if _mitred(outline, width_mm):
        return drilled(solid, _edge_cutters(outline, axes, below_mm, width_mm, height_mm))
    made = bevel(solid, axes.origin - below_mm * axes.n, axes.n, width_mm, height_mm)
    if made is None:
        raise KernelError(
            say("the edge cannot be thinned by {height} over {width}", height=mm(height_mm), width=mm(width_mm))
        )
    return made


def _mitred(outline: Outline, width_mm: float) -> bool:
    """Return whether a bevel is cut edge by edge, plane to plane: where corners are less round than it is wide, so that
    its planes meet in mitres. Only an outline without hollows can be cut so."""
    seg = outline.normalised().segments()
    turned = np.roll(seg.end - seg.start, -1, axis=0)
    cross = (seg.end - seg.start)[:, 0] * turned[:, 1] - (seg.end - seg.start)[:, 1] * turned[:, 0]
    bent = seg.sweep_rad > 0.0
    sharp = bool((cross[~bent & ~np.roll(bent, -1)] > 1e-6).any())
    tight = bool((seg.radius[bent] <= MITRE_SHARE * width_mm).all()) and (sharp or bool(bent.any()))
    return tight and bool((seg.bulge >= 0.0).all()) and bool((cross > -1e-6).all())


def _edge_cutters(outline: Outline, axes: Axes, below_mm: float, width_mm: float, height_mm: float) -> list[Solid]:
    """Return a block for each straight edge, on the outer side of its bevel."""
    seg = outline.normalised().segments()
    reach = 4.0 * float(np.abs(outline.vertices[:, :2]).max()) + 100.0
    out = []
    for start, end, sweep in zip(seg.start, seg.end, seg.sweep_rad, strict=True):
        if sweep != 0.0:
            continue
        along = unit((end - start)[0] * axes.u + (end - start)[1] * axes.v)
        outward = np.cross(along, axes.n)
        normal = unit(height_mm * outward - width_mm * axes.n)
        origin = axes.to_strut(start[None], height_mm - below_mm)[0]
        out.append(box(Axes(origin, along, np.cross(normal, along), normal), reach, reach, 0.0, reach))
    return out


def _hole_profile(bolt: Bolt, thickness_mm: float, out_mm: float, above_mm: float) -> Outline:
    """Return the half section of a bolt hole: (distance from the hull-face plane toward the water, radius), mm.

    out_mm: how far it is cut free the other way; above_mm: how far the head's recess is beyond the water face.
    """
    top, r = thickness_mm + above_mm, bolt.hole_mm / 2
    wall = [(thickness_mm - below, radius) for below, radius in bolt.recess]
    rows = [(-out_mm, r), *wall, (top, wall[-1][1] if wall else r)]
    if len(wall) > 1 and wall[-1][1] == wall[-2][1]:
        del rows[-2]  # no edge in the middle of a straight wall
    rows += [(top, 0.0), (-out_mm, 0.0)]
    return Outline(np.array([(x, y, 0.0) for x, y in rows]))


def hole_cutters(plate: Plate, axes: Axes, above_mm: float) -> list[Solid]:
    """Return what is drilled away at each bolt hole, square to the plate, in order of hole number.

    axes: of the plate.
    """
    profile = _hole_profile(plate.bolt, plate.thickness_mm, plate.stands_out_mm + PALM_CLEAR_MM, above_mm)
    return [
        revolve(profile, axes.to_strut(np.array([[h.u_mm, h.v_mm]]))[0], -axes.n, axes.u)
        for h in sorted(plate.holes, key=lambda h: h.number)
    ]


# --- job ------------------------------------------------------------------------------------------------------------
# What building a strut gathers on its way: parts, findings, and the cutters that bore, slot and drill them.


def arm_to(job: Job, a: Arm, height_mm: float) -> Solid | None:
    """Return an arm up to a height (mm) over its palm's hull face, its barrel end still inside the barrel."""
    return job.stage(f"the {a.called}", "arms.section.chord", partial(plain, job.strut, a, height_mm))


Cutters = tuple[str, str, list[Solid]]  # what they make, the parameter to blame, the solids


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """How a barrel is made of two parts on the way. eared: the barrel with what holds them together; opened: the body
    less the room of the other part; cutters: of the holes in the split; other: adds the other part."""

    eared: Callable[[Job, Solid], Solid]
    opened: Callable[[Job, Solid], Solid]
    cutters: Callable[[Job], list[Cutters]]
    other: Callable[[Job, Colour], None]


def _as_it_is(_job: Job, body: Solid) -> Solid:
    return body


def _none(_job: Job) -> list[Cutters]:
    return []


def _nothing(_job: Job, _colour: Colour) -> None:
    return None


WHOLE = Split(eared=_as_it_is, opened=_as_it_is, cutters=_none, other=_nothing)


def barrel_cutters(job: Job) -> list[Cutters]:
    """Return the cutters of bore, water slots and set screws."""
    barrel = job.strut.barrel
    bored_at = "barrel.steps" if barrel.steps else "barrel.bore"
    wanted: tuple[tuple[str, str, Callable[[], list[Solid]]], ...] = (
        ("the bore", bored_at, lambda: [bore_cutter(barrel, job.seam, bored_past_mm(job.strut))]),
        ("the water slots", "barrel.slots", lambda: slot_cutters(barrel)),
        ("the set-screw holes", "set_screws.positions", lambda: screw_cutters(barrel, job.strut.set_screws)),
    )
    return [(what, parameter, job.stage(what, parameter, make) or []) for what, parameter, make in wanted]


def bored_past_mm(strut: Strut) -> tuple[float, float]:
    """Return how far (mm) the bore's cutter stands out of the barrel's aft and forward face: not where a spigot stands.
    """
    flange, past = strut.flange, CLEAR_MM
    if flange is None or flange.spigot is None:
        return past, past
    return (past, 0.0) if flange.plane.looks == "forward" else (0.0, past)


def palm_cutters(job: Job, only: int | None = None) -> list[Cutters]:
    """Return the cutters of the bolt holes of all palms or of one."""
    strut = job.strut
    out: list[Cutters] = []
    for k, palm in enumerate(strut.palms):
        if only is not None and k != only:
            continue
        # A head's recess is cut free as far out as a root may stand over the water face.
        root = max((a.palm_root_mm for a in strut.arms if a.palm_index == k), default=0.0)
        above = 1.0 + min(root, palm.bolt.head_diameter_mm)
        what = f"the bolt holes of the {palm.called}"
        advice = "change bolts.size or palm.thickness"
        made = job.stage(
            what, "bolts.size", partial(hole_cutters, palm, palm_axes(palm), above), advice=advice
        )
        out.append((what, "bolts.pattern", made or []))
    return out


# --- building -------------------------------------------------------------------------------------------------------
# What building gathers: bodies, and in plain sentences what could not be made.


_MADE_OTHERWISE = {
    *("fillet_reduced", "fillet_not_made", "cut_in_pieces", "bevel_left_out", "bevel_not_made"),
    *("arm_overhangs_barrel", "arm_thicker_than_barrel", "skeg_overhangs_barrel"),
}


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
        made, why_not = attempt(make)
        if why_not:
            self.fail(code, f"{what} could not be made: {why_not}", advice or f"change {parameter}", parameter)
        return made

    def add(self, name: str, kind: str, shape: Solid | None, colour: Colour, material: str, parameter: str) -> None:
        """Take a body in; a sentence says when it is not one valid closed solid."""
        if shape is None:
            return
        shape = smoothed(shape)
        if not (is_sound(shape) and closes(shape)):
            shape = smoothed(mended(shape))
            if not (is_sound(shape) and closes(shape)):
                what = f"the {name} is not a valid closed solid"
                self.fail("solid_not_valid", what, f"change {parameter} a little", parameter)
        self.parts.append(Part(name, kind, shape, colour, material))


def cut_away(job: Job, body: Solid, groups: Sequence[Cutters]) -> Solid:
    """Return body less all cutters, still in one piece; what would take it apart is left out, and told."""
    done, _ = attempt(partial(drilled, body, [s for _, _, tools in groups for s in tools]))
    if done is not None:
        return done
    for what, parameter, tools in groups:
        advice = f"change {parameter}, so that the part stays in one piece"
        less = job.stage(what, parameter, partial(drilled, body, tools), "cut_in_pieces", advice)
        body = body if less is None else less
    return body


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


# --- arm ends -------------------------------------------------------------------------------------------------------
# How an arm ends: bevels and joints, true lengths, its blank, and where its palm stands to the trace.


LEAST_CUT_DEG = 20.0  # less would cut a long sliver off a flank that stands nearly as open as the groove anyway


def arm_ends_flank(axes: Axes, outward: Vector, side: int) -> tuple[Vector, Vector, float]:
    """Return how one flank of an arm stands on a plane: the joint's direction (3,), the way out from the arm in the
    plane (3,), and the angle (degrees) from there to the flank.

    outward: the plane's normal (3,) out of the arm's end. side: +1 the flank along axes.v, -1 the other. Of an arm that
    tapers in thickness it is the angle of its axis.
    """
    along = unit(axes.u - float(axes.u @ outward) * outward)
    out = np.cross(outward, along)
    out = out if float(out @ axes.v) * side > 0 else -out
    away = -axes.n if float(axes.n @ outward) > 0 else axes.n
    return along, out, math.degrees(math.acos(float(np.clip(out @ away, -1, 1))))


# --- bearing --------------------------------------------------------------------------------------------------------
# The fluted rubber bearing: a shell and the rubber in it.


BEARING_X = np.array([1.0, 0.0, 0.0])


def running_outline(bearing: Bearing) -> Outline:
    """Return the inside of the rubber seen along the shaft from astern, flutes included.

    Axes of the outline: first to the hull (clock 0), second to port, mm. A flute's floor is round: half a circle
    between straight sides when it is deeper than half its width, otherwise the arc through its mouth and its floor.
    """
    r, w, h = bearing.inside_mm / 2, bearing.flute_width_mm, bearing.flute_depth_mm
    if bearing.flute_count == 0:
        return circle(2 * r)
    mouth = math.sqrt(r * r - w * w / 4)
    land = math.tan((2 * math.pi / bearing.flute_count - 2 * math.asin(w / 2 / r)) / 4)
    straight = r + h - w / 2 - mouth
    local: list[tuple[float, float, float]]
    if straight > 1e-6:
        local = [
            (mouth, -w / 2, 0.0),
            (mouth + straight, -w / 2, 1.0),
            (mouth + straight, w / 2, 0.0),
            (mouth, w / 2, land),
        ]
    else:
        local = [(mouth, -w / 2, (r + h - mouth) / (w / 2)), (mouth, w / 2, land)]
    rows = []
    for k in range(bearing.flute_count):
        a = math.radians(bearing.flute_clock_deg) + 2 * math.pi * k / bearing.flute_count
        c, s = math.cos(a), math.sin(a)
        rows += [(c * x - s * y, s * x + c * y, bulge) for x, y, bulge in local]
    return Outline(np.array(rows))


def _axes(bearing: Bearing, barrel: Barrel) -> Axes:
    # First axis to the hull, second to port: their cross product runs aft, so the bearing is swept forward from aft.
    return Axes(np.array([barrel.x(bearing.aft_station_mm), 0.0, 0.0]), radial(0.0), radial(90.0), -BEARING_X)


def bearing_shell(bearing: Bearing, barrel: Barrel) -> Solid:
    """Return the shell."""
    axes = _axes(bearing, barrel)
    tube = tube_profile(bearing.outside_mm / 2, bearing.shell_mm, bearing.length_mm)
    return revolve(tube, axes.origin, BEARING_X, radial(180.0))


def bearing_rubber(bearing: Bearing, barrel: Barrel) -> Solid:
    """Return the rubber with its flutes open along the whole length."""
    axes = _axes(bearing, barrel)
    outer = outline_wire(circle(bearing.outside_mm - 2 * bearing.shell_mm), axes)
    inner = outline_wire(running_outline(bearing), axes)
    return prism(outer, bearing.length_mm * BEARING_X, [inner])


# --- skeg -----------------------------------------------------------------------------------------------------------
# The skeg under the barrel: fin, foot and heel boss, and the bush in the boss.


SKEG_X, Y, Z = np.eye(3)


SKEG_CLEAR_MM = 5.0


def skeg_fin(skeg: Skeg, barrel: Barrel, radius_mm: float = 0.0, deep: float = 1.0) -> Solid:
    """Return the fin from inside the barrel to its lower edge, with a root blend of radius_mm at the barrel (0: none).

    deep: how many times the usual depth the blend enters the barrel. Raises SectionError, SkinError or KernelError when
    it cannot be made.
    """
    member = fin_member(skeg, barrel)
    made = solid(
        skin(member.ruled, barrel_end(member, barrel, radius_mm).deeper(deep), tip_end(skeg))
    )
    return within_faces(made, member, barrel) if radius_mm > 0 else made


def skeg_boss(heel: Heel) -> Solid:
    """Return the heel boss, not yet bored."""
    up = stock_axis(heel)
    return cylinder(np.array(heel.centre_mm) - heel.height_mm / 2 * up, up, heel.outside_mm / 2, heel.height_mm)


def boss_bore(heel: Heel) -> Solid:
    """Return what is bored out of the boss and the foot."""
    up = stock_axis(heel)
    reach = heel.height_mm / 2 + heel.foot_height_mm + SKEG_CLEAR_MM
    return cylinder(np.array(heel.centre_mm) - reach * up, up, boss_bore_mm(heel) / 2, 2 * reach)


def over_boss(heel: Heel) -> list[Solid]:
    """Return what the foot must leave free over both faces of the boss: rudder and pintle go there."""
    up, middle = stock_axis(heel), np.array(heel.centre_mm)
    radius, high = heel.outside_mm / 2, heel.foot_height_mm + SKEG_CLEAR_MM
    ends = [(middle + side * heel.height_mm / 2 * up, side * up) for side in (1, -1)]
    return [cylinder(face, way, radius, high) for face, way in ends]


def skeg_foot(skeg: Skeg, heel: Heel, barrel: Barrel) -> Solid:
    """Return the bar from the fin's leading edge, along its lower edge, to the middle of the heel boss.

    Its nose is half round; its lower edge starts level with the fin's.
    """
    start = np.array(foot_start_mm(barrel, skeg, heel))
    way = np.array(heel.centre_mm) - start
    length = float(np.linalg.norm(way))
    u = unit(way)
    v = unit(np.cross(Z, u))
    b = heel.foot_thickness_mm / 2
    nose = math.tan(math.pi / 8)
    plan = Outline(np.array(((b, b, nose), (0.0, 0.0, nose), (b, -b, 0.0), (length, -b, 0.0), (length, b, 0.0))))
    axes = Axes(start, u, v, np.cross(u, v))
    return prism(outline_wire(plan, axes, -heel.foot_height_mm / 2), heel.foot_height_mm * axes.n)


def bush(heel: Heel) -> Solid:
    """Return the bush that lines the boss, as long as the boss."""
    up = stock_axis(heel)
    r, low = boss_bore_mm(heel) / 2, np.array(heel.centre_mm) - heel.height_mm / 2 * up
    wall = tube_profile(r, heel.bush_wall_mm, heel.height_mm)
    return revolve(wall, low, up, unit(np.cross(up, Y)))


# --- welds ----------------------------------------------------------------------------------------------------------
# Edge preparation of welded arms, and fillet-weld beads as bodies of their own.


def bead(ruled: Ruled, root: Root, leg_mm: float, parts: Sequence[Solid]) -> list[Solid]:
    """Return the fillet weld all round a joint: its legs reach leg_mm along side and base, its face is flat.

    ruled: the side of the arm or fin; root: the joint; parts: the solids it lies against. Raises KernelError or
    SkinError when it cannot be made.
    """
    spare: list[Solid] = []
    # A cut that goes wrong by a hair goes well with a wider tolerance, or with the ring a hair deeper or less.
    for buried, fuzzy_mm in ((1.0, 0.0), (1.0, FUZZY_MM[-1]), (0.7, 0.0), (1.4, 0.0)):
        whole = skinned_ring(ring(ruled, root, leg_mm, buried * BURIED_MM))
        found = solids(cut(whole, parts, fuzzy_mm))
        size = sum(volume_mm3(s) for s in found)
        # What is cut off on the far side of a thin edge is no bead.
        kept = [s for s in found if volume_mm3(s) > 0.01 * size]
        kept = [s if is_sound(s) else mended(s) for s in kept]
        if not kept or not all(_beside(s, root) for s in kept):
            spare = spare or kept
        elif all(is_sound(s) and closes(s) for s in kept):
            return kept
        else:
            spare = kept
    if not spare:
        raise KernelError("nothing is left of the bead beside its parts")
    return spare


def _beside(solid: Solid, root: Root) -> bool:
    """Whether the corners of a bead lie on or outside what its joint stands on: the kernel may leave a ring uncut."""
    corners = np.array([v.toTuple() for v in solid.Vertices()])
    return float(root.base.near(corners).distance.min()) > -0.1 * BURIED_MM


@dataclass(frozen=True, slots=True)
class Wedge:
    """What is ground off one flank at one end of an arm. solid is None where the flank stands open enough as it is."""

    end: Literal["barrel", "palm"]
    side: Literal["port", "starboard"]
    flank_deg: float
    solid: Solid | None


def wedges(arm: Arm, barrel: Barrel, palm: Palm, weld: Weld) -> list[Wedge]:
    """Return the four wedges that bevel an arm's flanks at both ends, leaving the root face in the middle.

    The groove opens 90 degrees less weld.prep_angle_deg to the plate or barrel, so that on an arm that stands square
    the bevel makes prep_angle_deg with the arm's side. Raises KernelError when the arm is not thicker than the root
    face.
    """
    if min(arm.thickness_barrel_mm, arm.thickness_palm_mm) <= weld.root_face_mm:
        raise KernelError(
            say("the arm is not thicker than the root face of {root_face}", root_face=mm(weld.root_face_mm))
        )
    axes = arm_axes(arm, barrel, palm.plane)
    ends = arm_ends_mm(arm, barrel, palm.plane)
    hull = palm_axes(palm)
    # The edge of the root face stands on the round barrel a little lower than the crown.
    saddle = math.sqrt((barrel.outside_mm / 2) ** 2 - (weld.root_face_mm / 2) ** 2)
    low = ends[0] * saddle / (barrel.outside_mm / 2)
    high = ends[1] - palm.thickness_mm / float(axes.n @ hull.n)
    places: tuple[tuple[Literal["barrel", "palm"], float, Vector], ...] = (
        ("barrel", low, -np.cross(axes.u, axes.v)),
        ("palm", high, hull.n),
    )
    return [
        _wedge(end, axes.origin + along * axes.n, outward, side, axes, arm, weld)
        for end, along, outward in places
        for side in (1, -1)
    ]


def _wedge(
    end: Literal["barrel", "palm"], origin: Vector, outward: Vector, side: int, axes: Axes, arm: Arm, weld: Weld
) -> Wedge:
    """Return the wedge on one side (+1 or -1 along v) of the end plane through origin, normal outward (3,)."""
    along, flank, flank_deg = arm_ends_flank(axes, outward, side)
    open_deg = 90 - weld.prep_angle_deg
    name: Literal["port", "starboard"] = "port" if side > 0 else "starboard"
    if flank_deg - open_deg < LEAST_CUT_DEG:
        return Wedge(end, name, flank_deg, None)
    reach = 2 * max(arm.thickness_palm_mm, arm.thickness_barrel_mm)
    chord = 2 * max(arm.chord_palm_mm, arm.chord_barrel_mm)
    rise = reach * math.tan(math.radians(open_deg))
    profile = Outline(np.array(((0.0, 0.0, 0.0), (0.0, -reach, 0.0), (reach, -reach, 0.0), (reach, rise, 0.0))))
    start = origin + weld.root_face_mm / 2 * flank - chord * along
    frame = Axes(start, flank, -outward, np.cross(flank, -outward))
    return Wedge(end, name, flank_deg, prism(outline_wire(profile, frame), 2 * chord * along))


# --- welded ---------------------------------------------------------------------------------------------------------
# The parts of a welded strut: barrel, arms, palms and skeg cut to each other, and the weld beads between them.


WeldedBead = tuple[Arm | None, str, Solid]  # whose it is (None: the skeg's), name, body


def welded(job: Job, split: Split = WHOLE) -> None:
    """Add the parts of a welded strut and its beads to the job; what could not be made is left out, with a finding."""
    strut, barrel, weld = job.strut, job.strut.barrel, job.strut.weld
    whole = job.stage("the barrel", "barrel.length", partial(envelope, barrel, job.seam))
    if whole is None:
        return
    tube = cut_away(job, split.opened(job, split.eared(job, whole)), [*barrel_cutters(job), *split.cutters(job)])
    job.add("barrel", "barrel", tube, STEEL, strut.material, "barrel.bore")
    split.other(job, STEEL)

    plates = [job.stage(f"the {p.called}", blamed(p), partial(palm_plate, p)) for p in strut.palms]
    made_arms: list[tuple[Arm, Solid]] = []
    beads: list[WeldedBead] = []
    for a in strut.arms:
        palm = strut.palms[a.palm_index]
        blank = arm_to(job, a, -palm.thickness_mm)
        if blank is None:
            continue
        trim = partial(_trimmed, blank, [whole, *(s for _, s in made_arms)])
        trimmed = job.stage(f"the {a.called}", "arms.position", trim)
        if trimmed is None:
            continue
        final, grooves = trimmed, list[WeldedBead]()
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
    return _piece(cut(body, tools))


def _piece(shape: object) -> Solid:
    """Return the largest body of a trimmed part. Raises KernelError when nothing is left."""
    found = solids(shape)
    if not found:
        raise KernelError("nothing is left after trimming")
    return found[0]


def _bevelled(job: Job, a: Arm, trimmed: Solid) -> tuple[Solid, list[WeldedBead]]:
    """Return an arm with its ends prepared for welding, and the filling of the grooves."""
    strut = job.strut
    grooves: list[WeldedBead] = []

    def make() -> tuple[list[Wedge], Solid]:
        made = wedges(a, strut.barrel, strut.palms[a.palm_index], strut.weld)
        for w in made:
            if w.solid is not None:
                fill = _piece(common(trimmed, w.solid))
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


def _beads(job: Job, a: Arm, blank: Solid, whole: Solid, plate: Solid | None) -> list[WeldedBead]:
    """Return the beads of an arm at the barrel and at the palm."""
    strut, palm = job.strut, job.strut.palms[a.palm_index]
    member = arm_member(strut, a)
    at_barrel, at_palm = barrel_root(member, strut.barrel, 0.0), palm_root(member, palm, 0.0)
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


def _bead(
    job: Job, owner: Arm | None, name: str, parameter: str, joint: _Joint, parts: list[Solid]
) -> list[WeldedBead]:
    """Return the bead all round a joint."""
    member, root, leg_mm, reach_mm = joint
    if leg_mm <= 0:
        return []
    fits = largest_leg_mm(member, root, leg_mm, job.room.open_deg, reach_mm)
    if fits < leg_mm:
        good = buildable_mm(fits)
        words = "the {name} was left out, as a leg of {leg} does not lie on both sides all round"
        what = say(words, name=name, leg=fine_mm(leg_mm))
        to_do = say("set {parameter} to {good} at most", parameter=parameter, good=fine_mm(good))
        job.fail("bead_not_made", what, to_do, parameter, leg_mm, good)
        return []
    advice = f"reduce {parameter}, or switch welds.beads off"
    make = partial(bead, member.ruled, root, leg_mm, parts)
    made = job.stage(f"the {name}", parameter, make, "bead_not_made", advice) or []
    return [(owner, name if k == 0 else f"{name} {k + 1}", s) for k, s in enumerate(made)]


def _welded_skeg(job: Job, whole: Solid, beads: list[WeldedBead]) -> None:
    strut = job.strut
    skeg = strut.skeg
    if skeg is None:
        return
    fin = job.stage("the skeg", "skeg.tip_chord", partial(skeg_fin, skeg, strut.barrel))
    if fin is None:
        return
    if strut.weld.beads:
        member = fin_member(skeg, strut.barrel)
        root = barrel_root(member, strut.barrel, 0.0)
        joint = _Joint(member, root, skeg.root_mm, job.room.reach_mm(strut.barrel))
        beads += _bead(job, None, "weld skeg to barrel", "welds.skeg_to_barrel_leg", joint, [fin, whole])
    heel = skeg.heel
    if heel is None:
        cut_fin = job.stage("the skeg", "skeg.root_forward", partial(_trimmed, fin, [whole]))
        job.add("skeg", "skeg", cut_fin, STEEL, strut.material, "skeg.tip_chord")
        return
    bore = job.stage("the heel bore", "skeg.heel.pintle_diameter", partial(boss_bore, heel))
    boss = job.stage("the heel boss", "skeg.heel.outside_diameter", partial(skeg_boss, heel))
    foot = job.stage("the foot", "skeg.heel.foot_height", partial(skeg_foot, skeg, heel, strut.barrel))
    if boss is None or foot is None or bore is None:
        return
    cut_fin = job.stage("the skeg", "skeg.root_forward", partial(_trimmed, fin, [whole, foot, boss]))
    cut_foot = job.stage("the foot", "skeg.heel.foot_height", partial(_trimmed, foot, [boss, *over_boss(heel)]))
    bored = job.stage("the heel boss", "skeg.heel.pintle_diameter", partial(drilled, boss, [bore]))
    job.add("skeg", "skeg", cut_fin, STEEL, strut.material, "skeg.tip_chord")
    job.add("foot", "foot", cut_foot, STEEL, strut.material, "skeg.heel.foot_height")
    job.add("heel boss", "heel boss", bored, STEEL, strut.material, "skeg.heel.outside_diameter")


def _take_beads(job: Job, beads: list[WeldedBead], made_arms: list[tuple[Arm, Solid]]) -> None:
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
            open_rad = math.radians(angle_between_deg(a.clock_deg, b.clock_deg))
            for arm in (a, b):
                open_rad -= math.asin(min(arm.thickness_barrel_mm / 2 / radius, 1.0))
            if radius * open_rad < a.barrel_root_mm + b.barrel_root_mm:
                return True
    return False


# --- assembly -------------------------------------------------------------------------------------------------------
# From a resolved strut to its solid bodies: one cast body or the parts of a welded one, and the bearings.


def _sense(job: Job) -> None:
    """Find what the kernel would build but nobody wants: roots that hang over the barrel's ends."""
    strut, barrel = job.strut, job.strut.barrel
    for a in strut.arms:
        axes = arm_axes(a, barrel, arm_plane(strut, a))
        along = arm_ends_mm(a, barrel, arm_plane(strut, a))[0]
        for sign in (1, -1):
            for at in (0.0, along):
                x = float((axes.origin + at * axes.n + sign * a.chord_barrel_mm / 2 * axes.u)[0])
                if abs(x) >= barrel.length_mm / 2:
                    where = "forward" if x > 0 else "aft"
                    words = "the root of the {arm} reaches {reach} from mid-barrel, past the {where} face"
                    what, key = say(words, arm=a.called, reach=mm(abs(x)), where=where), "arms.section.chord"
                    advice = "move arms.position or shorten arms.section.chord"
                    job.fail("arm_overhangs_barrel", what, advice, key, barrel.length_mm / 2, abs(x))
                    break
        if a.thickness_barrel_mm >= barrel.outside_mm:
            thick, key = f"the {a.called} is thicker than the barrel", "arms.section.thickness"
            advice = "make arms.section.thickness less than the barrel's outside"
            job.fail("arm_thicker_than_barrel", thick, advice, key, barrel.outside_mm, a.thickness_barrel_mm)
    s = strut.skeg
    if s is not None and (s.root_aft_station_mm < 0 or s.root_forward_station_mm > barrel.length_mm):
        past, key = "the root of the skeg reaches past a face of the barrel", "skeg.root_forward"
        advice = "keep skeg.root_aft and skeg.root_forward within the barrel"
        job.fail("skeg_overhangs_barrel", past, advice, key, barrel.length_mm, s.root_forward_station_mm)


def beside(job: Job) -> None:
    """Add what stands in the part or hangs on it, and is none of its metal."""
    _bearings(job)
    _bush(job)


def _bearings(job: Job) -> None:
    barrel = job.strut.barrel
    for k, b in enumerate(job.strut.bearings):
        tail = f" {k + 1}" if len(job.strut.bearings) > 1 else ""
        if b.plain:
            bush = job.stage("the bush", "bearing.length", partial(bearing_shell, b, barrel))
            job.add("heel bush", "heel bush", bush, BUSH, b.shell_material, "bearing.length")
            continue
        shell = job.stage("the bearing shell", "bearing.shell", partial(bearing_shell, b, barrel))
        job.add(f"bearing shell{tail}", "bearing shell", shell, SHELL, b.shell_material, "bearing.shell")
        rubber = job.stage("the bearing rubber", "bearing.flutes.width", partial(bearing_rubber, b, barrel))
        job.add(f"bearing rubber{tail}", "bearing rubber", rubber, RUBBER, "rubber", "bearing.flutes.width")


def _bush(job: Job) -> None:
    skeg = job.strut.skeg
    if skeg is None or skeg.heel is None or skeg.heel.bush_wall_mm <= 0:
        return
    heel = skeg.heel
    made = job.stage("the heel bush", "skeg.heel.bush_wall", partial(bush, heel))
    job.add("heel bush", "heel bush", made, BUSH, "bush material by choice", "skeg.heel.bush_wall")


# --- result ---------------------------------------------------------------------------------------------------------

room = RootRoom(face_mm=root_face_mm, bare_share=root_bare_share, open_deg=root_open_deg)
bodies = build(the_strut(), room, [_sense, welded, beside])
result = cq.Assembly(name="my-40-04-centre")
for body in bodies:
    result.add(body.shape, name=body.name, color=cq.Color(*body.colour))
if "show_object" in globals():
    globals()["show_object"](result)
elif sys.argv[1:] and sys.argv[1].lower().endswith((".step", ".stp")):
    result.export(sys.argv[1])
