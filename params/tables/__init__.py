"""Standard tables: shafts, bearings, holes, heads, threads, set screws, limits and fits, materials, castings, stock.

Each table is one YAML file beside this module; its head names the standard, the standing of the values
(published, common practice, from memory) and what is doubtful. A table is read when first asked for and
kept. Values stand in the files in the units of their standard; the functions here answer in mm, N, MPa
(names carry the unit).

A value that could not be vouched for is absent (``None``) rather than guessed.
"""

from strutwright.params.tables.bolts import (
    COUNTERSUNK,
    Head,
    NutAndWasher,
    clearance_hole_mm,
    counterbore_head,
    countersunk_head,
    nut_and_washer,
    tool_outside_mm,
)
from strutwright.params.tables.castings import (
    CastingGrades,
    casting_draft_deg,
    casting_grades,
    casting_tolerance_mm,
    casting_tolerances,
    machining_allowance_mm,
)
from strutwright.params.tables.fatigue import FatigueCurve, endurance_mpa, fatigue_class, fatigue_curve
from strutwright.params.tables.fits import InchFit, Limits, general_tolerances, inch_fit, iso286, iso286_of_many
from strutwright.params.tables.flow import section_suction
from strutwright.params.tables.materials import Material, as_welded, bolt_material, galvanic_range_v, material
from strutwright.params.tables.protection import (
    AnodeMetal,
    CurrentDensity,
    anode_metal,
    coldest_c,
    current_density,
    paint_wear,
)
from strutwright.params.tables.reader import NotInTable, Table, names, shipped, table
from strutwright.params.tables.shafts import BearingExample, Shaft, bearing_example, bearing_examples, nearest_shaft
from strutwright.params.tables.stock import (
    Filler,
    HollowBar,
    MillTolerance,
    Plate,
    bar_tolerance,
    filler,
    hollow_bars,
    next_plate,
    plate_tolerance,
    weld_min_leg_mm,
)
from strutwright.params.tables.threads import SetScrew, Thread, set_screw, tapped, tapped_class, thread
from strutwright.params.tables.weldments import (
    weldment_angle_tolerance_deg,
    weldment_flatness_mm,
    weldment_length_tolerance_mm,
)

__all__ = [
    "COUNTERSUNK",
    "AnodeMetal",
    "BearingExample",
    "CastingGrades",
    "CurrentDensity",
    "FatigueCurve",
    "Filler",
    "Head",
    "HollowBar",
    "InchFit",
    "Limits",
    "Material",
    "MillTolerance",
    "NotInTable",
    "NutAndWasher",
    "Plate",
    "SetScrew",
    "Shaft",
    "Table",
    "Thread",
    "anode_metal",
    "as_welded",
    "bar_tolerance",
    "bearing_example",
    "bearing_examples",
    "bolt_material",
    "casting_draft_deg",
    "casting_grades",
    "casting_tolerance_mm",
    "casting_tolerances",
    "clearance_hole_mm",
    "coldest_c",
    "counterbore_head",
    "countersunk_head",
    "current_density",
    "endurance_mpa",
    "fatigue_class",
    "fatigue_curve",
    "filler",
    "galvanic_range_v",
    "general_tolerances",
    "hollow_bars",
    "inch_fit",
    "iso286",
    "iso286_of_many",
    "machining_allowance_mm",
    "material",
    "names",
    "nearest_shaft",
    "next_plate",
    "nut_and_washer",
    "paint_wear",
    "plate_tolerance",
    "section_suction",
    "set_screw",
    "shipped",
    "table",
    "tapped",
    "tapped_class",
    "thread",
    "tool_outside_mm",
    "weld_min_leg_mm",
    "weldment_angle_tolerance_deg",
    "weldment_flatness_mm",
    "weldment_length_tolerance_mm",
]
