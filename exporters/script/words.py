"""What each size of a script is, in words: those of the parameter file where it has the size too."""

from __future__ import annotations

import functools
from collections.abc import Mapping

from strutwright.params.families import root
from strutwright.params.loader import model_at
from strutwright.params.part_kinds import FAMILIES

_HEEL = "skeg.heel"
FROM_FILE: Mapping[str, str] = {
    "Barrel.length_mm": "barrel.length",
    "Barrel.outside_mm": "barrel.outside_diameter",
    "Barrel.bore_mm": "barrel.bore",
    "BarrelEnd.shape": "barrel.ends.aft.shape",
    "BarrelEnd.length_mm": "barrel.ends.aft.length",
    "BarrelEnd.end_diameter_mm": "barrel.ends.aft.end_diameter",
    "LeadIn.length_mm": "barrel.lead_in.aft.length",
    "LeadIn.angle_deg": "barrel.lead_in.aft.angle",
    "WaterSlots.count": "barrel.slots.count",
    "WaterSlots.width_mm": "barrel.slots.width",
    "WaterSlots.length_mm": "barrel.slots.length",
    "WaterSlots.first_clock_deg": "barrel.slots.first_clock",
    "Bearing.outside_mm": "bearing.outside_diameter",
    "Bearing.length_mm": "bearing.length",
    "Bearing.shell_mm": "bearing.shell",
    "Bearing.shell_material": "bearing.shell_material",
    "Bearing.flute_count": "bearing.flutes.count",
    "Bearing.flute_width_mm": "bearing.flutes.width",
    "Bearing.flute_depth_mm": "bearing.flutes.depth",
    "Bearing.flute_clock_deg": "bearing.flutes.clock",
    "Arm.rake_deg": "arms.rake",
    "Arm.toe_deg": "arms.toe",
    "Arm.aligned_with": "arms.chord_along",
    "Arm.shape": "arms.section.shape",
    "Arm.chord_barrel_mm": "arms.section.chord",
    "Arm.thickness_barrel_mm": "arms.section.thickness",
    "Arm.edge_radius_mm": "arms.section.edge_radius",
    "Palm.bevel_width_mm": "palm.bevel.width",
    "Palm.bevel_height_mm": "palm.bevel.height",
    "HullCurve.radius_mm": "palm.hull_face.radius",
    "HullCurve.axis_deg": "palm.hull_face.axis",
    "HullCurve.along_radius_mm": "palm.hull_face.along.radius",
    "Bolt.kind": "bolts.kind",
    "Skeg.kind": "skeg.kind",
    "Skeg.root_aft_station_mm": "skeg.root_aft",
    "Skeg.root_forward_station_mm": "skeg.root_forward",
    "Skeg.depth_mm": "skeg.depth",
    "Skeg.tip_chord_mm": "skeg.tip_chord",
    "Skeg.sweep_mm": "skeg.sweep",
    "Skeg.thickness_root_mm": "skeg.thickness",
    "Skeg.thickness_tip_mm": "skeg.tip_thickness",
    "Skeg.leading_edge": "skeg.leading_edge",
    "Heel.stock_cant_deg": f"{_HEEL}.stock_cant",
    "Heel.bush_wall_mm": f"{_HEEL}.bush_wall",
    "Heel.outside_mm": f"{_HEEL}.outside_diameter",
    "Heel.height_mm": f"{_HEEL}.height",
    "Heel.foot_height_mm": f"{_HEEL}.foot_height",
    "Heel.foot_thickness_mm": f"{_HEEL}.foot_thickness",
    "Weld.prep": "welds.prep",
    "Weld.prep_angle_deg": "welds.prep_angle",
    "Weld.root_face_mm": "welds.root_face",
    "Weld.beads": "welds.beads",
    "FlangePlane.lean_deg": "flange.off_square.profile",
    "FlangePlane.turn_deg": "flange.off_square.plan",
    "FlangePlane.looks": "flange.looks",
    "Spigot.outside_mm": "spigot.outside_diameter",
    "Spigot.bore_mm": "spigot.bore",
    "Spigot.length_mm": "spigot.length",
    "Spigot.barb_height_mm": "spigot.barbs.height",
    "Ribs.along_mm": "flange.ribs.along",
    "Ribs.out_mm": "flange.ribs.out",
    "Ribs.first_clock_deg": "flange.ribs.first_clock",
    "LetIn.entered_from": "entered_from",
    "DrawingHoles.way": "drawing_holes.way",
    "DrawingHoles.count": "drawing_holes.count",
    "DrawingHoles.circle_mm": "drawing_holes.circle",
    "DrawingHoles.depth_mm": "drawing_holes.depth",
    "DrawingHoles.first_clock_deg": "drawing_holes.first_clock",
}
"""Where the parameter file says what a size is, by its place in the program's own records."""
OWN: Mapping[str, str] = {
    "Strut.material": "metal, in words",
    "Strut.construction": "cast or welded",
    "Arm.clock_deg": "direction seen along the shaft: 0 toward the hull, positive toward port",
    "Arm.station_mm": "where the arm's axis leaves the shaft line, from the barrel's aft face",
    "Arm.chord_palm_mm": "chord at the palm",
    "Arm.thickness_palm_mm": "thickness at the palm",
    "Arm.barrel_root_mm": "fillet radius, of a welded strut leg of the weld, at the barrel",
    "Arm.palm_root_mm": "fillet radius, of a welded strut leg of the weld, at the palm",
    "WaterSlots.centre_station_mm": "middle of the slots, from the barrel's aft face",
    "Bearing.aft_station_mm": "aft end, from the barrel's aft face",
    "Bearing.inside_mm": "bore of the bearing",
    "Palm.thickness_mm": "thickness",
    "Flange.thickness_mm": "thickness",
    "Palm.axes_deg": "turn of the palm's forward axis from the trace of the vertical plane through the shaft",
    "Palm.zero_mm": "palm zero in the strut frame: x, y, z",
    "PalmPlane.drop_mm": "hull face to shaft line at mid-barrel, square to the shaft",
    "PalmPlane.pitch_deg": "shaft to hull face in the vertical plane through the shaft",
    "PalmPlane.tilt_deg": "hull face athwart, seen along the shaft; positive when it rises to port",
    "HullCurve.crown_to_hull": "whether the hull face is rounded, else hollow",
    "HullCurve.along_crown_to_hull": "whether it is rounded along the axis too",
    "Bolt.hole_mm": "diameter of the hole",
    "Bolt.head_diameter_mm": "diameter of the head's recess at the water face",
    "Bolt.head_angle_deg": "included angle of a countersink",
    "Bolt.head_depth_mm": "depth of the recess below the water face",
    "Skeg.root_mm": "fillet radius, of a welded strut leg of the weld, at the barrel",
    "Heel.centre_mm": "middle of the boss in the strut frame: x, y, z",
    "Heel.stock_rake_deg": "lean of the rudder stock from square to the shaft, upper end aft positive",
    "Heel.bore_mm": "bore in which the pintle runs",
    "FlangePlane.station_mm": "where the bedding face meets the shaft line, from the barrel's aft face",
    "Flange.root_mm": "fillet radius, of a welded part leg of the weld, between barrel and flange",
    "Ribs.count": "how many ribs",
    "Ribs.thickness_mm": "thickness",
    "Gasket.recess_mm": "diameter of the recess for the gasket; 0 for none",
    "Gasket.recess_depth_mm": "depth of that recess",
    "Spigot.barbs": "how many rings keep a hose on",
    "DrawingHoles.tap_drill_mm": "diameter of the tapping drill",
    "DrawingHoles.pitch_mm": "pitch of the thread",
    "RootRoom.face_mm": "least from a root's toe to a face of the barrel",
    "RootRoom.bare_share": "least of an arm's length that its two roots leave bare",
    "RootRoom.open_deg": "least between the sides of a fillet weld, and short of flat",
}
"""The words for what the file says in another way or leaves to the program."""
ROWS: Mapping[str, str] = {
    "PalmHole": "; u and v in the plate's own axes",
    "SetScrew": "; stations from the barrel's aft face; flat: diameter of a spot face, or None",
    "LockingScrew": "; stations from the aft face; bite: how deep the point goes in, width: of its dimple there",
    "BoreStep": "; a length of the bore, stations from the barrel's aft face",
    "Land": "; a length of the outside, stations from the aft face, then the diameters at its two ends",
}
"""What stands behind the names of a table's columns."""


@functools.cache
def words(of: str, field: str = "") -> str:
    """Return what a field of a record is, in a few words that begin small, or what a table of records has; "" where the
    names say it all."""
    if not field:
        return ROWS.get(of, "")
    name = f"{of}.{field}"
    if name in OWN:
        return OWN[name]
    path = FROM_FILE.get(name)
    if path is None:
        return ""
    text = _described(*path.split("."))
    whole = text.rstrip(".") if ": " in text else text.split(";")[0].rstrip(".")
    return whole[:1].lower() + whole[1:] if whole[1:2].islower() else whole


def _described(*path: str) -> str:
    """Return the description of a parameter, from the first kind of file that has it."""
    whole = next(root(family) for family in FAMILIES if path[0] in root(family).model_fields)
    owner = model_at(path[:-1], whole)
    assert owner is not None
    return owner.model_fields[path[-1]].description or ""
