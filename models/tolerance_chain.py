"""The tolerances between hull, palm, bore and shaft of a strut, and the sizes they work over.

What the sheets ask for of the strut; what hull, bedding, measuring and engine bed come to by the limits. Broadcasts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from strutwright.models import drawn_tolerances
from strutwright.models.arrays import Num, Triple
from strutwright.models.formulas.tolerance_stack import Chain, Tolerance
from strutwright.models.geometry.casting import cast_tolerance_mm
from strutwright.models.input_parts import PalmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.shell_fit import running_clearance_mm
from strutwright.params import tables

DRAWN, FITTED = "drawing", "bearing"
"""What sets a tolerance, where no limit does: the sheets, and the running clearance."""
LIMITS = ("stack_hull_flat", "stack_bedding", "stack_survey_angle", "stack_survey_drop", "stack_next_bearing")
"""Limits that set the others; and of the tips:"""
TIP_LIMITS = (*LIMITS, "stack_propeller")
ANGLES = ("pitch", "yaw", "roll")
WELDED_CLASS = "B"
"""Class of ISO 13920 that a shop welds to without being asked; common practice."""


def chain_of(inputs: Inputs) -> Chain:
    """Return the sizes that tolerances work over. Two palms stand as one, as wide as both.

    >>> chain = chain_of(engineering_inputs("harbour-launch"))
    >>> float(chain.palm_length_mm), float(chain.span_mm)
    (210.0, 1100.0)
    """
    first, last = inputs.palms[0], inputs.palms[-1]
    apart = np.abs(first.zero_mm[1] - last.zero_mm[1])
    forward, port, over = ((a + b) / 2.0 for a, b in zip(_middle_mm(first), _middle_mm(last), strict=True))
    aft, pitch = forward - inputs.bearing_x_mm, np.radians(inputs.pitch_deg)
    return Chain(
        palm_length_mm=first.forward_mm - first.aft_mm,
        palm_width_mm=first.port_mm - first.starboard_mm + apart,
        span_mm=inputs.bearing_span_mm,
        bearing_mm=inputs.bearing_total_mm,
        drop_mm=np.cos(pitch) * over + np.sin(pitch) * aft,
        overhang_mm=inputs.overhang_mm,
        propeller_mm=inputs.propeller_mm,
        offset_mm=aft,
        aside_mm=port,
        lean=_over_shaft(inputs)[2],
        slant=_over_shaft(inputs)[1],
        rise=np.sin(pitch),
    )


def _middle_mm(palm: PalmInputs) -> list[Num]:
    """The middle of a palm's outline, strut frame."""
    along, across = (palm.forward_mm + palm.aft_mm) / 2.0, (palm.port_mm + palm.starboard_mm) / 2.0
    return [z + along * u + across * v for z, u, v in zip(palm.zero_mm, palm.u, palm.v, strict=True)]


def _over_shaft(inputs: Inputs) -> Triple:
    """The unit vector square to the hull over the shaft; with palms on both sides of the keel, to the keel."""
    first, last = inputs.palms[0].normal, inputs.palms[-1].normal
    if all(np.all(np.abs(np.asarray(a) - b) < 1e-9) for a, b in zip(first, last, strict=True)):
        return first
    pitch = np.radians(inputs.pitch_deg)
    return np.sin(pitch), 0.0, np.cos(pitch)


def tip_mm(inputs: Inputs) -> Num:
    """Return the distance (mm) from blade tips to hull as drawn, nan where the propeller is not known.

    >>> round(float(tip_mm(engineering_inputs("canal-tender"))), 2)  # (203.22 - 280 / 2) cos 9 + 76.5 sin 9
    74.41
    """
    n = _over_shaft(inputs)
    aft = inputs.overhang_mm - inputs.bearing_x_mm
    return inputs.drop_mm * n[2] + aft * n[0] - inputs.propeller_mm / 2.0 * np.hypot(n[1], n[2])


def room_mrad(inputs: Inputs) -> Num:
    """Return the slope that the bearing takes, mrad: the share of its clearance over its length that its limit says.

    >>> round(float(room_mrad(engineering_inputs("harbour-launch"))), 2)  # 0.0906 over 140
    0.65
    """
    return inputs.limit("bearing_slope") * 1000.0 * running_clearance_mm(inputs) / inputs.bearing_reach_mm


def tolerances_of(inputs: Inputs) -> list[Tolerance]:
    """Return every tolerance from hull to shaft, with what sets it.

    >>> made = tolerances_of(engineering_inputs("harbour-launch"))
    >>> made[0].name, round(made[0].half, 3), made[0].fixed_by  # 0.25 degrees, bedded in resin
    ("palm's pitch to the bore", 4.363, 'drawing')
    """
    palm, chain = inputs.palms[0], chain_of(inputs)
    angle = 1000.0 * math.radians(drawn_tolerances.palm_angle_deg(inputs.hull.family))
    longest = np.maximum(chain.palm_length_mm, palm.port_mm - palm.starboard_mm)
    flat = drawn_tolerances.flatness_mm(inputs.construction, longest)
    place = drawn_tolerances.place_mm(inch=inputs.inch)
    play = running_clearance_mm(inputs) / 2.0
    hull, bed, turned, drop, next_one, screw = (inputs.limit(name) for name in TIP_LIMITS)
    survey = 1000.0 * math.radians(turned)
    size, hull_flat = screw / 100.0 * inputs.propeller_mm, "stack_hull_flat"
    rows: list[Tolerance] = [
        Tolerance(name="palm's pitch to the bore", of="pitch", half=angle, law="uniform", fixed_by=DRAWN),
        Tolerance(name="palm's skew to the bore", of="yaw", half=angle, law="uniform", fixed_by=DRAWN),
        Tolerance(name="palm's tilt along the bore", of="roll", half=angle, law="uniform", fixed_by=DRAWN),
        Tolerance(name="flatness of the palm along", of="along", half=flat, law="triangular", fixed_by=DRAWN),
        Tolerance(name="flatness of the palm across", of="across", half=flat, law="triangular", fixed_by=DRAWN),
        Tolerance(name="drop as made", of="drop", half=place, law="uniform", fixed_by=DRAWN),
        Tolerance(name="place athwart as made", of="place", half=place, law="uniform", fixed_by=DRAWN),
        Tolerance(name="flatness of the hull along", of="along", half=hull, law="triangular", fixed_by=hull_flat),
        Tolerance(name="flatness of the hull across", of="across", half=hull, law="triangular", fixed_by=hull_flat),
        Tolerance(name="angle as measured", of="pitch", half=survey, law="normal", fixed_by="stack_survey_angle"),
        Tolerance(name="skew as set", of="yaw", half=survey, law="normal", fixed_by="stack_survey_angle"),
        Tolerance(name="drop as measured", of="drop", half=drop, law="normal", fixed_by="stack_survey_drop"),
        Tolerance(name="next bearing's height", of="next_up", half=next_one, law="normal", fixed_by=LIMITS[-1]),
        Tolerance(name="next bearing athwart", of="next_port", half=next_one, law="normal", fixed_by=LIMITS[-1]),
        Tolerance(name="play in the bearing, up and down", of="play_up", half=play, law="uniform", fixed_by=FITTED),
        Tolerance(name="play in the bearing, sideways", of="play_port", half=play, law="uniform", fixed_by=FITTED),
        Tolerance(name="propeller's diameter", of="diameter", half=size, law="uniform", fixed_by="stack_propeller"),
    ]
    beds = (("aft end", "aft_low"), ("forward end", "forward_low"), ("port side", "port_low"))
    for where, of in (*beds, ("starboard side", "starboard_low")):
        name = f"bedding under the {where}"
        rows.append(Tolerance(name=name, of=of, half=bed, law="uniform", fixed_by="stack_bedding"))  # type: ignore[arg-type]
    return rows


def in_place(inputs: Inputs) -> list[Tolerance]:
    """Return the tolerances that are left where the palm is bedded or chocked with the shaft in place.

    The bed takes up what palm, hull and measuring are off, and where the next bearing is.

    >>> [t.name for t in in_place(engineering_inputs("harbour-launch"))][:2]
    ['shaft as set in the bearing, up and down', 'shaft as set in the bearing, sideways']
    """
    off = 1000.0 * inputs.limit("stack_set") / inputs.bearing_total_mm
    left = [t for t in tolerances_of(inputs) if t.fixed_by == FITTED]
    set_, name = "stack_set", "shaft as set in the bearing"
    return [
        Tolerance(name=f"{name}, up and down", of="pitch", half=off, law="uniform", fixed_by=set_),
        Tolerance(name=f"{name}, sideways", of="yaw", half=off, law="uniform", fixed_by=set_),
        *left,
    ]


def as_made_mrad(inputs: Inputs) -> Num:
    """Return how far, plus or minus, the palm lies off its angle to the bore where it is not machined after.

    Welded: ISO 13920 class B by the shorter of arm and palm. Cast: ISO 8062, half of the total of the drop at either
    end of the palm, opposite ways.

    >>> round(float(as_made_mrad(engineering_inputs("canal-tender"))), 2)  # 45 minutes
    13.09
    """
    length = inputs.palms[0].forward_mm - inputs.palms[0].aft_mm
    if inputs.construction == "welded":
        leg = np.minimum(length, inputs.arms[0].length_mm)
        angle: Num = 1000.0 * np.radians(tables.weldment_angle_tolerance_deg(WELDED_CLASS, leg))
        return angle
    return 1000.0 * cast_tolerance_mm(inputs.casting_grade, inputs.drop_mm) / length


def as_made(inputs: Inputs, made: Sequence[Tolerance]) -> list[Tolerance]:
    """Return the tolerances of a strut, `made` where its palm is machined, without that.

    >>> tender = engineering_inputs("canal-tender")
    >>> [round(float(t.half), 2) for t in as_made(tender, tolerances_of(tender))[:3]]
    [13.09, 13.09, 13.09]
    """
    angle = as_made_mrad(inputs)
    return [replace(t, half=angle) if t.fixed_by == DRAWN and t.of in ANGLES else t for t in made]
