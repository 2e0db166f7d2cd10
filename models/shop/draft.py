"""How the faces of a pattern's mesh stand to the pull, and on which part of the casting each lies. Pure numpy."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strutwright.models import families, frames
from strutwright.models.frames import Vector
from strutwright.models.shop.foundry import (
    Draft,
    FoundrySpec,
    casting_strut,
    draft_offset_mm,
    end_faces_mm,
    parting_axes,
)
from strutwright.models.shop.ribs_drawn import FILLED_DEG, name_ribs
from strutwright.models.shop.split_casting import SplitCasting, split_casting
from strutwright.models.spec import Strut
from strutwright.models.spec_flange import Flange

PARTING_MM = 0.25  # the kernel may leave the corners of a parting face as far off its plane
UNDERCUT_DEG = 0.1  # less overhang is lost in the rubbing down of a pattern
SURE_DEG = 1.0  # the worst angle of a face is told of triangles known to this
UNDERCUT_MM2 = 20.0  # likewise, an overhang of more than this
SEEN_MM2 = 0.01  # the normals of smaller triangles say nothing
OPEN_PRINT = "core print along the split"
"""Prints are drawn without taper along the joint: published foundry practice."""
ROOTED = tuple(away for _, away in families.FACES.values())
"""The faces of plates on which the rest stands, whose draft does not go by their height."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftRow:
    """How one group of faces stands to the pull, on one half of the pattern; pattern scale, mm and degrees.

    worst_deg: least angle (negative: undercut). asked_deg: the draft specified for a face of this height. low_*: what
    opens less than that, without the undercut; low_height_mm along the pull.
    """

    half: str
    face: str
    area_mm2: float
    worst_deg: float
    asked_deg: float
    undercut_mm2: float
    low_mm2: float
    low_height_mm: float


def draft_angles_deg(normals: Vector, pull: Vector) -> Vector:
    """Return the angle (n,) in degrees by which triangles with outward unit normals (n, 3) open along a pull (3,).

    >>> upright, below = [1.0, 0.0, 0.0], [0.0, 0.0, -1.0]
    >>> draft_angles_deg(np.array([upright, below]), np.array([0.0, 0.0, 1.0])).tolist()
    [0.0, -90.0]
    """
    return np.asarray(np.degrees(np.arcsin(np.clip(normals @ pull, -1, 1))))


def on_parting(centres: Vector, normals: Vector, pull: Vector) -> NDArray[np.bool_]:
    """Return which triangles (centres (n, 3) mm, normals (n, 3)) lie in the parting plane, looking across it.

    >>> up = np.array([0.0, 0.0, 1.0])  # both face up, the second 9 above the plane
    >>> on_parting(np.array([[5.0, 0.0, 0.1], [5.0, 0.0, 9.0]]), np.array([up, up]), up).tolist()
    [True, False]
    """
    return np.asarray((np.abs(centres @ pull) < PARTING_MM) & (np.abs(normals @ pull) > 0.999))


def draft_table(
    half: str, faces: NDArray[np.str_], triangles: Vector, pull: Vector, draft: Draft, chord_mm: float
) -> list[DraftRow]:
    """Return a row for each group of faces of one half, in order of name.

    faces: (n,) names. triangles: (n, 3, 3) corners in mm, outward normals by the right hand. pull: unit vector (3,) in
    which this half leaves the mould. chord_mm: how far the mesh may lie off the surface: the normal of a triangle is
    no better known than that over its height, nor is the height of a face, and they get the benefit. Triangles in the
    parting plane are left out.

    >>> triangle = np.array([[[0.0, 0.0, 5.0], [20.0, 0.0, 5.0], [0.0, 30.0, 5.0]]])  # lies level, faces up
    >>> row, = draft_table("hull half", np.array(["top"]), triangle, np.array([0.0, 0.0, 1.0]), Draft(2.0), 0.1)
    >>> row.area_mm2, row.worst_deg, row.undercut_mm2
    (300.0, 90.0, 0.0)
    """
    sides = np.roll(triangles, -1, axis=1) - triangles
    normal = np.cross(sides[:, 0], sides[:, 1])
    double = np.linalg.norm(normal, axis=1)
    area, longest = double / 2, np.linalg.norm(sides, axis=2).max(axis=1)
    normal = normal / np.where(double > 0, double, 1.0)[:, None]
    angle = draft_angles_deg(normal, pull)
    unsure = np.degrees(np.arctan2(chord_mm * longest, double)) + UNDERCUT_DEG
    seen = (area > SEEN_MM2) & ~on_parting(triangles.mean(axis=1), normal, pull)
    height = triangles @ pull
    rows = []
    for name in sorted(set(faces[seen].tolist())):
        mine = seen & (faces == name)
        rooted = name.endswith(ROOTED)
        asked = draft.under_root_deg if rooted else draft.at(float(np.ptp(height[mine])) + chord_mm)
        asked = 0.0 if name == OPEN_PRINT else asked
        under = mine & (angle < -unsure)
        low = mine & (angle < asked - unsure) & ~under
        rise = float(height[low].max() - height[low].min()) if low.any() else 0.0
        sure = mine & (unsure <= max(SURE_DEG, float(unsure[mine].min())))
        for found in (under, low):  # what is told of a face has its angle told too
            if area[found].sum() > UNDERCUT_MM2:
                sure |= found
        rows.append(
            DraftRow(
                half=half,
                face=name,
                area_mm2=float(area[mine].sum()),
                worst_deg=float(angle[sure].min()),
                asked_deg=asked,
                undercut_mm2=float(area[under].sum()),
                low_mm2=float(area[low].sum()),
                low_height_mm=rise,
            )
        )
    return rows


def face_names(strut: Strut, spec: FoundrySpec, centres: Vector, normals: Vector) -> NDArray[np.str_]:
    """Return the name (n,) of the part of the casting on which points lie.

    centres: (n, 3) mm in the strut frame, contraction taken out. normals: (n, 3) outward, unit.

    >>> from strutwright.models.shop.foundry import foundry_settings
    >>> launch = resolved("harbour-launch")  # a point abeam on the barrel of 68, one on the arm
    >>> at, out = np.array([[0.0, 34.0, 0.0], [9.0, 11.0, 150.0]]), np.array([[0.0, 1.0, 0.0], [0.0, 1.0, 0.0]])
    >>> face_names(launch.strut, foundry_settings(launch), at, out).tolist()
    ['barrel', 'arm']
    """
    cast, b = casting_strut(strut, spec), strut.barrel
    off = np.hypot(centres[:, 1], centres[:, 2])
    names = np.full(len(centres), "arm" if cast.flange is None else "root", dtype="<U40")
    if len(cast.arms) > 1:
        away = []
        for arm in cast.arms:
            axes = frames.arm_axes(arm, b, frames.arm_plane(cast, arm))
            away.append(np.linalg.norm(np.cross(centres - axes.origin, axes.n), axis=1))
        every = np.array([a.called for a in cast.arms], dtype="<U40")
        names = every[np.argmin(np.array(away), axis=0)]
    if cast.skeg is not None:
        names[(centres[:, 2] < 0) & (off > b.outside_mm / 2)] = "skeg"
    names[off < b.outside_mm / 2 + 0.02] = "barrel"
    flange, wide = cast.flange, b.outside_mm / 2
    _name_ribs(strut, spec, names, centres, flange)
    if flange is not None and flange.spigot is not None:
        ahead = frames.flange_axes(flange, b).from_strut(centres)[:, 2] > 0.5
        names[ahead & (off < flange.spigot.outside_mm / 2 + 0.02)] = "spigot"
        wide = max(wide, flange.spigot.outside_mm / 2)
    if (split := split_casting(strut, spec)) is not None:
        _name_ears(split, names, centres)
    for (rim, ridge), end in zip(end_faces_mm(strut, spec), ("aft", "forward"), strict=True):
        sign = math.copysign(1.0, rim)
        there = (
            (sign * centres[:, 0] > abs(rim) - 0.1 * spec.stock_ends_mm - 0.01)
            & (sign * normals[:, 0] > 0.9)
            & (off < wide)
        )
        names[there] = f"barrel end, {end}"
        if spec.cored:
            past = (sign * centres[:, 0] > abs(rim)) & (off < spec.core_diameter_mm / 2 + 0.02)
            names[past & (~there | (sign * centres[:, 0] > abs(ridge) + 0.01))] = f"core print, {end}"
    if split is not None:
        _name_split(split, names, centres, normals, spec.core_diameter_mm / 2)
    on_base, other = families.FACES[strut.family]
    for palm in cast.plates:
        axes = frames.plate_axes(cast, palm)
        local = axes.from_strut(centres)
        across = float(np.ptp(np.reshape(palm.outline.bounding_box(), (2, 2)), axis=0).max())
        lean = draft_offset_mm(across, spec.draft.at(across)) + 0.5
        near = (local[:, 2] > -palm.thickness_mm - lean) & (local[:, 2] < lean + 1.0) & (off > b.outside_mm / 2)
        inside = np.full(len(centres), -np.inf)
        inside[near] = palm.outline.distance_to_boundary(local[near, :2])
        near &= inside > -lean - 4.0
        facing = normals @ axes.n
        names[near & (inside < lean) & (np.abs(facing) < 0.8)] = f"{palm.called}, edge"
        names[near & (facing > 0.8) & (local[:, 2] > -palm.thickness_mm / 2)] = f"{palm.called}, {on_base}"
        names[near & (facing < -0.8) & (local[:, 2] < -palm.thickness_mm / 2)] = f"{palm.called}, {other}"
    return names


def _name_ribs(
    strut: Strut, spec: FoundrySpec, names: NDArray[np.str_], centres: Vector, flange: Flange | None
) -> None:
    if flange is None:
        return
    tallest = float(np.hypot(centres[:, 1], centres[:, 2]).max(initial=0.0))
    more = draft_offset_mm(tallest, spec.draft.at(tallest) + FILLED_DEG)
    radius = strut.barrel.outside_mm / 2 + 0.02
    name_ribs(names, centres, flange, radius, more, parting_axes(strut, spec.parting).n)


def _name_ears(split: SplitCasting, names: NDArray[np.str_], centres: Vector) -> None:
    beside = split.cap.ear_thickness_mm + draft_offset_mm(split.cap.ear_out_mm, split.lean_deg) + 0.5
    names[(np.abs(centres @ split.toward) < beside) & (names != "barrel")] = "ears"


def _name_split(split: SplitCasting, names: NDArray[np.str_], centres: Vector, normals: Vector, core_mm: float) -> None:
    """Name the body's face of the split, and the straight sides and the flat of the print that runs along it."""
    deep, aside = centres @ split.toward, np.abs(centres @ split.across)
    face = (deep > split.rough_mm - 0.1) & (deep < split.open_mm + 0.1) & (normals @ split.toward > 0.9)
    names[face] = "face of the split"
    names[face & (deep > split.open_mm - 0.1) & (aside < core_mm + 0.1)] = OPEN_PRINT
    sides = (np.abs(normals @ split.across) > 0.999) & (np.abs(aside - core_mm) < 0.1)
    names[sides & (np.abs(deep) < split.open_mm + 0.1)] = OPEN_PRINT


def worst_first(rows: Sequence[DraftRow]) -> list[DraftRow]:
    """Return draft rows by rising worst angle.

    >>> zeros = {"area_mm2": 9.0, "asked_deg": 1.5, "undercut_mm2": 0.0, "low_mm2": 0.0, "low_height_mm": 0.0}
    >>> worst = {"arm": 2.0, "skeg": -1.0}
    >>> rows = [DraftRow(half="hull half", face=face, worst_deg=deg, **zeros) for face, deg in worst.items()]
    >>> [row.face for row in worst_first(rows)]
    ['skeg', 'arm']
    """
    return sorted(rows, key=lambda r: (r.worst_deg, r.half, r.face))
