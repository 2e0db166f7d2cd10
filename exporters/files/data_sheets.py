"""Tables that go with the sheets, as CSV: holes, set screws, drill path, bevels, saddles; and with them the two lists.

Each table is made of rows of one kind, which sheets read as well; `csv_table` writes them. Angles are degrees. A drill
path is plain coordinates in the order of travel and no machine's language.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

from strutwright.exporters.files.csv_table import csv_text
from strutwright.exporters.files.cut_list import CutRow, cut_rows
from strutwright.exporters.files.outdir import slug
from strutwright.exporters.files.parts_list import PartRow, parts_rows
from strutwright.models.families import plain
from strutwright.models.geometry.barrel import screw_wall_of
from strutwright.models.shop import arm_ends, cuts
from strutwright.models.shop import development as dev
from strutwright.models.shop.set_screws import stock_length_mm
from strutwright.models.spec import Arm, Palm, PalmHole, Plate, Strut
from strutwright.models.spec_flange import Flange
from strutwright.params.limits import Limits, standard

if TYPE_CHECKING:
    from strutwright.models.solids.job import Part

SADDLE_PARTS = 72


def data_files(strut: Strut, parts: Sequence[Part], limits: Limits | None = None) -> dict[str, bytes]:
    """Return all tables of the strut by part, as in the name of the file.

    parts: the built parts, for weights. A strut that has nothing to cut gets no cut list. Raises DevelopmentError when
    an arm cannot be rolled out. limits: as shipped when left out.
    """
    made: dict[str, tuple[type, Sequence[object]]] = {}
    for palm in strut.palms:
        made[f"{slug(palm.name)}-hole-table"] = HoleRow, hole_rows(strut, palm)
        made[f"{slug(palm.name)}-drill-path"] = DrillRow, drill_rows(strut, palm)
    if strut.flange is not None:
        made["flange-hole-table"] = FlangeHoleRow, flange_hole_rows(strut, strut.flange)
        made["flange-drill-path"] = FlangeDrillRow, flange_drill_rows(strut, strut.flange)
    for arm in strut.arms:
        made[f"{slug(arm.name)}-bevel"] = BevelRow, bevel_rows(strut, arm)
        made[f"{slug(arm.name)}-saddle"] = SaddleRow, saddle_rows(strut, arm)
    if strut.set_screws:
        made["set-screw-table"] = ScrewRow, screw_rows(strut, limits)
    if rows := cut_rows(strut, parts, limits):
        made["cut-list"] = CutRow, rows
    made["parts-list"] = PartRow, parts_rows(strut, parts, limits)
    own = partial(plain, family=strut.family)
    return {name: own(csv_text(kind, rows, strut.file_units)).encode() for name, (kind, rows) in made.items()}


# --- palm ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleRow:
    """A hole of a palm: palm axes, distances from the aft and the starboard edge, polar, sizes, edge.

    u forward and v to port from the palm zero; the angle from u, positive toward port. The edges are the outermost
    points of the outline aft and to starboard. The edge distance is that of the hole's centre from the true outline.
    """

    hole: int
    u_mm: float
    v_mm: float
    from_aft_edge_mm: float
    from_starboard_edge_mm: float
    from_zero_mm: float
    angle_deg: float
    hole_diameter_mm: float
    depth_mm: float
    head: str
    head_diameter_mm: float | None
    head_angle_deg: float | None
    head_depth_mm: float | None
    head_on: str
    edge_distance_mm: float
    bolt: str
    palm: str
    hand: str
    revision: str


def hole_rows(strut: Strut, palm: Palm) -> list[HoleRow]:
    """Return the holes of a palm in the order of the file."""
    box, bolt = palm.outline.bounding_box(), palm.bolt
    headed = bool(bolt.head.recess)
    edges = palm.outline.distance_to_boundary([(h.u_mm, h.v_mm) for h in palm.holes])
    return [
        HoleRow(
            hole=hole.number,
            u_mm=hole.u_mm,
            v_mm=hole.v_mm,
            from_aft_edge_mm=hole.u_mm - box.xmin,
            from_starboard_edge_mm=hole.v_mm - box.ymin,
            from_zero_mm=math.hypot(hole.u_mm, hole.v_mm),
            angle_deg=math.degrees(math.atan2(hole.v_mm, hole.u_mm)),
            hole_diameter_mm=bolt.hole_mm,
            depth_mm=_through_mm(palm, hole),
            head=bolt.kind,
            head_diameter_mm=bolt.head_diameter_mm if headed else None,
            head_angle_deg=bolt.head_angle_deg if bolt.head.conical else None,
            head_depth_mm=bolt.head_depth_mm if headed else None,
            head_on="water face" if headed else "",
            edge_distance_mm=edge,
            bolt=bolt.size,
            palm=palm.name,
            hand=strut.identity.hand,
            revision=strut.identity.revision,
        )
        for hole, edge in zip(palm.holes, edges.tolist(), strict=True)
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillRow:
    """A step of the drill path of a palm, its water face up.

    x forward (u), y to starboard (-v, so that it runs up as seen on the water face), from the palm zero; z from the
    water face, negative into the metal. travel: from the place before.
    """

    step: int
    operation: str
    hole: int
    x_mm: float
    y_mm: float
    z_top_mm: float
    z_bottom_mm: float
    diameter_mm: float
    travel_mm: float
    face_up: str
    palm: str
    hand: str


def _through_mm(palm: Plate, hole: PalmHole) -> float:
    """Thickness of a plate at the middle of a hole."""
    return palm.thickness_mm + float(palm.height_mm(hole.u_mm, hole.v_mm))


def drill_rows(strut: Strut, palm: Palm) -> list[DrillRow]:
    """Return the holes of a palm in the order of travel: first all holes, from hole 1 always to the nearest one left,
    then all heads back."""
    steps = _drilled(palm, [(hole.u_mm, -hole.v_mm) for hole in palm.holes])
    return [DrillRow(**step, face_up="water face", palm=palm.name, hand=strut.identity.hand) for step in steps]


def _drilled(plate: Plate, places: Sequence[tuple[float, float]]) -> list[dict[str, Any]]:
    """The steps of a drill path. places: of the holes, as they are seen."""
    at = dict(zip((h.number for h in plate.holes), places, strict=True))
    left = sorted(plate.holes, key=lambda h: h.number)
    path = [left.pop(0)]
    while left:
        here = path[-1]
        path.append(min(left, key=lambda h: (round(math.hypot(h.u_mm - here.u_mm, h.v_mm - here.v_mm), 6), h.number)))
        left.remove(path[-1])
    bolt = plate.bolt
    steps = [("drill", hole, -_through_mm(plate, hole), bolt.hole_mm) for hole in path]
    if bolt.head.recess:
        steps += [(bolt.head.recess, hole, -bolt.head_depth_mm, bolt.head_diameter_mm) for hole in path[::-1]]
    ways = [at[hole.number] for _, hole, _, _ in steps]
    return [
        {
            "step": k + 1,
            "operation": operation,
            "hole": hole.number,
            "x_mm": ways[k][0],
            "y_mm": ways[k][1],
            "z_top_mm": 0.0,
            "z_bottom_mm": bottom_mm,
            "diameter_mm": diameter_mm,
            "travel_mm": math.dist(ways[k], ways[max(k - 1, 0)]),
        }
        for k, (operation, hole, bottom_mm, diameter_mm) in enumerate(steps)
    ]


# --- flange ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class FlangeHoleRow:
    """A hole of a flange: up and to port in its face from the shaft line, polar, sizes, edge.

    The clock angle is 0 up, positive toward port. The edge distance is that of the hole's centre from the true outline.
    """

    hole: int
    up_mm: float
    port_mm: float
    radius_mm: float
    clock_deg: float
    hole_diameter_mm: float
    depth_mm: float
    head: str
    head_diameter_mm: float | None
    head_angle_deg: float | None
    head_depth_mm: float | None
    head_on: str
    edge_distance_mm: float
    fastener: str
    bolt: str
    hand: str
    revision: str


def flange_hole_rows(strut: Strut, flange: Flange) -> list[FlangeHoleRow]:
    """Return the holes of a flange in the order of the file."""
    bolt, headed = flange.bolt, bool(flange.bolt.head.recess)
    port = -1.0 if flange.plane.looks == "forward" else 1.0
    edges = flange.outline.distance_to_boundary([(h.u_mm, h.v_mm) for h in flange.holes])
    return [
        FlangeHoleRow(
            hole=hole.number,
            up_mm=hole.u_mm,
            port_mm=port * hole.v_mm + 0.0,
            radius_mm=math.hypot(hole.u_mm, hole.v_mm),
            clock_deg=math.degrees(math.atan2(port * hole.v_mm + 0.0, hole.u_mm + 0.0)),
            hole_diameter_mm=bolt.hole_mm,
            depth_mm=flange.thickness_mm,
            head=bolt.kind,
            head_diameter_mm=bolt.head_diameter_mm if headed else None,
            head_angle_deg=bolt.head_angle_deg if bolt.head.conical else None,
            head_depth_mm=bolt.head_depth_mm if headed else None,
            head_on="free face" if headed else "",
            edge_distance_mm=edge,
            fastener=flange.fastener.replace("_", " "),
            bolt=bolt.size,
            hand=strut.identity.hand,
            revision=strut.identity.revision,
        )
        for hole, edge in zip(flange.holes, edges.tolist(), strict=True)
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlangeDrillRow:
    """A step of the drill path of a flange, its free face up, as on a `DrillRow`: x to the right and y up as seen on
    that face, up in the boat up, from the shaft line; z from the free face, negative into the metal."""

    step: int
    operation: str
    hole: int
    x_mm: float
    y_mm: float
    z_top_mm: float
    z_bottom_mm: float
    diameter_mm: float
    travel_mm: float
    face_up: str
    hand: str


def flange_drill_rows(strut: Strut, flange: Flange) -> list[FlangeDrillRow]:
    """Return the holes of a flange in the order of travel, as `drill_rows`."""
    steps = _drilled(flange, [(hole.v_mm, hole.u_mm) for hole in flange.holes])
    return [FlangeDrillRow(**step, face_up="free face", hand=strut.identity.hand) for step in steps]


# --- arm ends --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class BevelRow:
    """The bevel of an arm at its palm's water face, at a tick of the palm-end wrap.

    along_cut: round the arm on the cut from the trailing edge. angle_deg: between palm and arm on
    the weld side; 90 is square. length: of the line along the side from the barrel to the water face.
    """

    tick: int
    where: str
    along_cut_mm: float
    angle_deg: float
    kind: str
    length_mm: float
    arm: str
    hand: str


def bevel_rows(strut: Strut, arm: Arm) -> list[BevelRow]:
    """Return the bevel of an arm all round. Raises DevelopmentError when it cannot be rolled out."""
    return [
        BevelRow(
            tick=row.number,
            where=row.where,
            along_cut_mm=row.girth_mm,
            angle_deg=row.angle_deg,
            kind=row.kind,
            length_mm=row.long_mm,
            arm=arm.name,
            hand=strut.identity.hand,
        )
        for row in arm_ends.bevel_table(strut, arm)
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class SaddleRow:
    """A place on the curve of an arm's barrel end, where the arm is cut: the root gap clear of the barrel, and of the
    first arm where that stands in the way.

    height: along the arm's axis from the shaft line, square to it. x, y, z: strut frame.
    """

    point: int
    along_axis_mm: float
    height_mm: float
    station_mm: float
    clock_deg: float
    x_mm: float
    y_mm: float
    z_mm: float
    on: str
    arm: str
    hand: str


def saddle_rows(strut: Strut, arm: Arm) -> list[SaddleRow]:
    """Return the curve of an arm's barrel end. Raises DevelopmentError when it cannot be rolled out."""
    side, cut, _ = cuts.cut_arm(strut, arm)
    rows = []
    for k, place in enumerate(dev.parts_of(side, side.near, SADDLE_PARTS)):
        i = round(place)
        x, y, z = (float(c) for c in cut.points[i])
        marks = ((cut.coped, "other arm"), (cut.beyond, "past the face"), (cut.faired, "faired end"))
        rows.append(
            SaddleRow(
                point=k,
                along_axis_mm=float(cut.along_mm[i]),
                height_mm=float(cut.height_mm[i]),
                station_mm=x + strut.barrel.length_mm / 2,
                clock_deg=math.degrees(math.atan2(y, z)),
                x_mm=x,
                y_mm=y,
                z_mm=z,
                on=next((name for mark, name in marks if mark[i]), "barrel"),
                arm=arm.name,
                hand=strut.identity.hand,
            )
        )
    return rows


# --- barrel ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewRow:
    """A set screw: where, thread, drill, depth of wall, dimple, screw.

    around: on the outside from clock 0, positive toward port. wall: at the screw, which is the depth of the tapped
    hole. screw_length: longest stock length that stays below the outside; empty where none fits.
    """

    screw: int
    station_from_aft_face_mm: float
    from_forward_face_mm: float
    from_bearing_aft_end_mm: float
    from_bearing_forward_end_mm: float
    clock_deg: float
    around_mm: float
    thread: str
    tap_drill_mm: float
    wall_mm: float
    point: str
    dimple_depth_mm: float
    spot_face_diameter_mm: float | None
    screw_length_mm: float | None
    bearing: int
    hand: str


def screw_rows(strut: Strut, limits: Limits | None = None) -> list[ScrewRow]:
    """Return the set screws in the order of the file."""
    barrel, rows = strut.barrel, []
    for s in strut.set_screws:
        bearing, wall = strut.bearings[s.bearing_index], screw_wall_of(strut, s)
        rows.append(
            ScrewRow(
                screw=s.number,
                station_from_aft_face_mm=s.station_mm,
                from_forward_face_mm=barrel.length_mm - s.station_mm,
                from_bearing_aft_end_mm=s.station_mm - bearing.aft_station_mm,
                from_bearing_forward_end_mm=bearing.forward_station_mm - s.station_mm,
                clock_deg=s.clock_deg,
                around_mm=float(wall.skin_mm) * math.radians(s.clock_deg),
                thread=s.thread,
                tap_drill_mm=s.tap_drill_mm,
                wall_mm=float(wall.wall_mm),
                point=s.point,
                dimple_depth_mm=s.dimple_depth_mm,
                spot_face_diameter_mm=s.flat_diameter_mm,
                screw_length_mm=stock_length_mm(strut, s, standard() if limits is None else limits),
                bearing=s.bearing_index + 1,
                hand=strut.identity.hand,
            )
        )
    return rows
