"""The main sizes of a strut, each with the two places it is measured between, to be shown in a model of it.

Strut frame, mm. A size of an arm is shown where it holds (see `models.spec`), which may lie within the metal.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Floats
from strutwright.models.finding import Finding
from strutwright.models.frames import Axes
from strutwright.models.geometry.skeg import chord_at
from strutwright.models.outline.places import outermost
from strutwright.models.sections import boundary_points
from strutwright.models.spec import Arm, Barrel, Heel, PalmHole, Plate, Skeg, Strut
from strutwright.params.words import Words

Point = tuple[float, float, float]
_ROW_MM = 1e-6
"""Bolts are in one row when they are no farther off it than this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MainSize:
    """A size as it is asked for. name: unlike any other of the strut; start, end: where it is measured.

    measured_by: codes of the findings of measuring again that tell it, two where it lies between their values; of: what
    stands in their words.
    """

    name: str
    what: Words
    value_mm: float
    start: Point
    end: Point
    measured_by: tuple[str, ...] = ()
    of: str = ""

    def measured_mm(self, findings: Iterable[Finding]) -> float | None:
        """Return it as it was measured again, None where it was not.

        >>> outside = next(s for s in main_sizes(shipped("canal-tender")) if s.name == "barrel-outside")
        >>> outside.measured_mm([]) is None
        True
        """
        told = {f.code: f.actual for f in findings if f.code in self.measured_by and self.of in str(f.what)}
        values = [told.get(code, math.nan) for code in self.measured_by]
        if not values or any(math.isnan(v) for v in values):
            return None
        return values[-1] - (values[0] if len(values) == 2 else 0.0)


def main_sizes(strut: Strut) -> tuple[MainSize, ...]:
    """Return the main sizes of a strut, from the barrel to the heel.

    >>> [f"{s.name} {s.value_mm:.6g}" for s in main_sizes(shipped("canal-tender"))][:2]
    ['barrel-length 74', 'barrel-outside 48']
    """
    out = [*_of_barrel(strut.barrel), *_drops(strut)]
    for plate in strut.plates:
        out += _of_plate(plate, frames.plate_axes(strut, plate))
    for arm in strut.arms:
        out += _of_arm(strut, arm)
    if strut.skeg is not None:
        out += _of_skeg(strut.skeg, strut.barrel)
        if strut.skeg.heel is not None:
            out += _of_heel(strut.skeg.heel, strut.barrel)
    return tuple(out)


def _point(values: Floats | Iterable[float]) -> Point:
    x, y, z = (float(v) + 0.0 for v in values)
    return x, y, z


def _of_barrel(barrel: Barrel) -> Iterator[MainSize]:
    half = barrel.length_mm / 2
    rim = min(barrel.aft_end.end_diameter_mm, barrel.forward_end.end_diameter_mm) / 2
    yield MainSize(
        name="barrel-length",
        what="length of the barrel",
        value_mm=barrel.length_mm,
        start=(-half, 0.0, -rim),
        end=(half, 0.0, -rim),
        measured_by=("barrel_aft_face", "barrel_forward_face"),
    )
    x, radius = half - barrel.forward_end.length_mm, barrel.outside_mm / 2
    yield MainSize(
        name="barrel-outside",
        what="outside diameter of the barrel",
        value_mm=barrel.outside_mm,
        start=(x, -radius, 0.0),
        end=(x, radius, 0.0),
        measured_by=("barrel_outside",),
    )
    x, radius = barrel.x(_bore_station_mm(barrel)), barrel.bore_mm / 2
    yield MainSize(
        name="bore",
        what="diameter of the bore",
        value_mm=barrel.bore_mm,
        start=(x, 0.0, -radius),
        end=(x, 0.0, radius),
        measured_by=("bore_diameter",),
    )


def _bore_station_mm(barrel: Barrel) -> float:
    """The aftmost station at which the bore has its own diameter."""
    at = barrel.lead_in_aft.length_mm
    for step in sorted(barrel.steps, key=lambda s: s.from_station_mm):
        if step.from_station_mm <= at <= step.to_station_mm:
            at = step.to_station_mm
    return at


def _drops(strut: Strut) -> Iterator[MainSize]:
    """The drop of each palm; once where all have the same."""
    same = len({palm.plane.drop_mm for palm in strut.palms}) == 1
    for palm in strut.palms[: 1 if same else None]:
        yield MainSize(
            name=f"drop-{palm.name}".replace(" ", "-"),
            what="drop, square to the shaft at mid-barrel"
            if same
            else f"drop of the {palm.called}, square to the shaft",
            value_mm=palm.plane.drop_mm,
            start=(0.0, 0.0, 0.0),
            end=(0.0, 0.0, palm.plane.drop_mm),
            measured_by=("palm_drop",),
            of=palm.name,
        )


# --- palm or flange --------------------------------------------------------------------------------------------------


def _on_face(plate: Plate, axes: Axes, u_mm: float, v_mm: float, below_mm: float = 0.0) -> Point:
    """A place of a plate's face on what it is bolted to, or as far below it."""
    height = float(plate.height_mm(np.array(u_mm), np.array(v_mm)))
    return _point(axes.to_strut(np.array([[u_mm, v_mm]]), height - below_mm)[0])


def _of_plate(palm: Plate, axes: Axes) -> Iterator[MainSize]:
    key = palm.name.replace(" ", "-")
    for which, (a, b) in (("length", _across(palm, 0)), ("width", _across(palm, 1))):
        yield MainSize(
            name=f"{key}-{which}",
            what=f"greatest {which} of the {palm.called}",
            value_mm=float(np.linalg.norm(b - a)),
            start=_on_face(palm, axes, *a),
            end=_on_face(palm, axes, *b),
        )
    u, v = palm.middle_mm
    if palm.curve is None:  # a curved one is as thick in its middle only
        v = edge_from_mm(palm, (u, v), (0.0, 1.0))[1] - palm.bevel_width_mm
    yield MainSize(
        name=f"{key}-thickness",
        what=f"thickness of the {palm.called}" + ("" if palm.curve is None else ", in the middle"),
        value_mm=palm.thickness_mm,
        start=_on_face(palm, axes, u, v),
        end=_on_face(palm, axes, u, v, palm.thickness_mm),
        measured_by=("palm_thickness",),
        of=palm.name,
    )
    for way, (first, second) in _pitches(palm):
        yield MainSize(
            name=f"{key}-pitch-{way}".replace(" ", "-"),
            what=f"pitch of the bolts {way}" + ("" if palm.called in ("palm", "flange") else f", {palm.called}"),
            value_mm=math.hypot(second.u_mm - first.u_mm, second.v_mm - first.v_mm),
            start=_on_face(palm, axes, first.u_mm, first.v_mm),
            end=_on_face(palm, axes, second.u_mm, second.v_mm),
        )


def _across(palm: Plate, k: int) -> tuple[Floats, Floats]:
    """Both ends, u and v, of the outline's greatest size along u (0) or v (1), square across it."""
    outline, way = palm.outline, np.eye(2)[k]
    ends = [outermost(outline, s * way) for s in (-1.0, 1.0)]
    other = 1 - k
    for at in (palm.middle_mm[other], float(ends[0][other]), float(ends[1][other])):
        pair = np.array([end.copy() for end in ends])
        pair[:, other] = at
        if np.abs(outline.distance_to_boundary(pair)).max() < 1e-3:
            return pair[0], pair[1]
    pair = np.array(ends)
    pair[:, other] = palm.middle_mm[other]
    return pair[0], pair[1]


def edge_from_mm(palm: Plate, inside: tuple[float, float], way: tuple[float, float]) -> tuple[float, float]:
    """Return where a line from a place inside a plate first leaves its outline, u and v in mm. way: unit vector.

    >>> palm = shipped("harbour-launch").palms[0]  # a rectangle 118 wide
    >>> [round(c, 3) for c in edge_from_mm(palm, palm.middle_mm, (0.0, 1.0))][1]
    59.0
    """
    at = np.asarray(inside, dtype=float)
    for _ in range(200):  # as far as the edge is away in any direction, it is not passed
        room = float(palm.outline.distance_to_boundary(at))
        if room < 1e-9:
            break
        at = at + room * np.asarray(way)
    return float(at[0]), float(at[1])


def _pitches(palm: Plate) -> Iterator[tuple[str, tuple[PalmHole, PalmHole]]]:
    """Neighbours along and across; where no two stand in a row, the two that are nearest."""
    pairs = list(itertools.combinations(palm.holes, 2))
    rows = {
        "along": [p for p in pairs if abs(p[0].v_mm - p[1].v_mm) < _ROW_MM],
        "across": [p for p in pairs if abs(p[0].u_mm - p[1].u_mm) < _ROW_MM],
    }
    if not any(rows.values()):
        rows = {"from one to the next": pairs}
    for way, found in rows.items():
        if found:
            yield way, min(found, key=lambda p: math.hypot(p[0].u_mm - p[1].u_mm, p[0].v_mm - p[1].v_mm))


# --- arms and skeg --------------------------------------------------------------------------------------------------


def _of_arm(strut: Strut, arm: Arm) -> Iterator[MainSize]:
    plane = frames.arm_plane(strut, arm)
    axes, ends = frames.arm_axes(arm, strut.barrel, plane), frames.arm_ends_mm(arm, strut.barrel, plane)
    for where, along in zip(("barrel", "palm"), ends, strict=True):
        chord, thick = frames.arm_size_at(arm, ends, along)
        rim = boundary_points(arm.shape, chord, thick, 400, None)
        wide = float(rim[np.argmax(np.abs(rim[:, 1])), 0])
        low, high = float(rim[:, 0].min()), float(rim[:, 0].max())
        for which, value, (a, b) in (
            ("chord", chord, ((low, 0.0), (high, 0.0))),
            ("thickness", thick, ((wide, -thick / 2), (wide, thick / 2))),
        ):
            start, end = axes.to_strut(np.array([a, b]), along)
            yield MainSize(
                name=f"{arm.name}-{which}-{where}".replace(" ", "-"),
                what=f"{which} of the {arm.called} at the {where}",
                value_mm=value,
                start=_point(start),
                end=_point(end),
            )


def _of_skeg(skeg: Skeg, barrel: Barrel) -> Iterator[MainSize]:
    lead, chord, _ = chord_at(skeg, barrel, skeg.depth_mm)
    x = lead - chord / 2
    yield MainSize(
        name="skeg-depth",
        what="depth of the skeg below the shaft line",
        value_mm=skeg.depth_mm,
        start=(x, 0.0, 0.0),
        end=(x, 0.0, -skeg.depth_mm),
    )


def _of_heel(heel: Heel, barrel: Barrel) -> Iterator[MainSize]:
    x, y, z = heel.centre_mm
    aft = -barrel.length_mm / 2
    yield MainSize(
        name="heel-behind-barrel",
        what="heel's bore abaft the barrel" if x < aft else "heel's bore ahead of the barrel's aft face",
        value_mm=abs(aft - x),
        start=(aft, y, z),
        end=_point((x, y, z)),
    )
    yield MainSize(
        name="heel-below-shaft",
        what="heel's bore below the shaft line, at mid-height",
        value_mm=-z,
        start=(x, y, 0.0),
        end=_point((x, y, z)),
    )
    yield MainSize(
        name="heel-bore",
        what="heel's boss, bored for the bush",
        value_mm=heel.bore_mm + 2 * heel.bush_wall_mm,
        start=_point(np.array((x, y, z)) - _half_bore(heel)),
        end=_point(np.array((x, y, z)) + _half_bore(heel)),
        measured_by=("heel_bore",),
    )


def _half_bore(heel: Heel) -> Floats:
    """From the boss's centre to its bore's wall, in the plane of the shaft line."""
    up = frames.stock_direction(heel.stock_rake_deg, heel.stock_cant_deg)
    across = frames.unit(frames.cross(np.array([0.0, 1.0, 0.0]), up))
    return (heel.bore_mm / 2 + heel.bush_wall_mm) * across
