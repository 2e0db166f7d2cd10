"""What only looks dead: names that a library or the program itself calls by name, and ways in for the tests."""
# ruff: noqa: B018, F821

# Read by the CAD kernel's mesher, the DXF library, pydantic, Python itself; imported for what the import does.
_.Deflection
_.disabled
_.DeflectionInterior
_.AngleInterior
_.ControlSurfaceDeflection
_.ForceFaceDeflection
_.lineweight
model_config
__getattr__
vtkmodules

# Chosen by a name that is put together when it runs.
_serve

# Columns of the standard tables, whether a check reads them or not.
confidence
head_diameter_min_mm
across_flats_mm
across_corners_mm
head_height_mm
washer_inside_mm
tap_drill_name
dog_length_mm
point_angle_deg
short_point_angle_deg
full_angle_from_mm
seating_torque_nm
basic_mm
elongation_percent
potential_v_ag_agcl

# A batch that is called from Python.
trials

# Used by the tests and by tests/regenerate.
unscaled
schema_file
schema_text
changed_files
closed_curve
Listed
ixy_mm4
_.syy_fore_mm3
_.syy_aft_mm3

# Columns of the tables that are written, and groups of a file, read one after the other by their names.
length_at_foot
thickness_at_foot
ear_length
web_to_barrel_leg
web_to_foot_leg
width_top
width_bottom
weld_leg
stock_thickness_mm
stock_outside_mm
outline_file
net_weight_kg
stock_weight_kg
from_aft_edge_mm
from_starboard_edge_mm
from_zero_mm
hole_diameter_mm
head_on
edge_distance_mm
y_mm
z_mm
z_top_mm
z_bottom_mm
travel_mm
set_by
plus_minus_mm
plus_minus_mrad
share_percent
face_up
along_cut_mm
along_axis_mm
station_from_aft_face_mm
from_forward_face_mm
around_mm
spot_face_diameter_mm
running_clearance
outside_tolerance
lead_in
chord_at_palm
dimple_depth
anode_mass
anode_face
stock_diameter
foot_height
foot_thickness
tip_thickness
arm_to_barrel_leg
arm_to_palm_leg
skeg_to_barrel_leg
max_http_buffer_size
visit_AnnAssign
