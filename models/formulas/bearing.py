"""Fluted rubber bearing: load, clearance, wear, flutes, misalignment; and the bush at the heel of a
skeg.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

INCH = 25.4
GRAVITY = 9.80665
SEA_WATER_KG_M3 = 1025.0

RUBBER_PRESSURE_MPA = (0.20, 0.25)
"""Usual projected pressure on fluted rubber, 30 to 40 psi. Value from memory, low confidence: a hint
only.
"""


@dataclass(frozen=True, slots=True)
class ClearanceRule:
    """Diametral running clearance of a new bearing as a band per diameter of shaft."""

    low_per_diameter: float
    high_per_diameter: float
    source: str
    standing: str


CLEARANCE_TIGHT = ClearanceRule(
    0.001, 0.002, "common practice, no source: 0.001 to 0.002 in per inch of shaft", "hint, low confidence"
)
CLEARANCE_WIDE = ClearanceRule(
    0.002, 0.005, "ABYC P-6 as relayed: 2 in shaft, up to 0.010 in", "upper end second-hand, lower end practice"
)
CLEARANCE_BAND_SMALL_MM = (0.003 * INCH, 0.007 * INCH)
"""Total clearance for 3/4 to 1 3/4 in shafts, 0.003 to 0.007 in: ABYC P-6 as quoted by an alignment
procedure.
"""


def submerged_weight_n(mass_kg: float, density_kg_m3: float, water_kg_m3: float = SEA_WATER_KG_M3) -> float:
    """Weight of a fully submerged solid [N]: m g (1 - rho_water / rho). Broadcasts. Exact (Archimedes)."""
    return mass_kg * GRAVITY * (1.0 - water_kg_m3 / density_kg_m3)


def bearing_load_n(
    propeller_weight_n: float,
    shaft_weight_n_per_mm: float,
    span_mm: float,
    propeller_overhang_mm: float,
    shaft_overhang_mm: float,
    shaft_down_angle_deg: float = 0.0,
) -> float:
    """Static load of this bearing across the shaft [N] from propeller and shaft weight. Broadcasts.

    Statics of a beam on two simple supports (exact for that model): this bearing at its mid-length, the
    next one ``span_mm`` further forward; propeller centre of gravity ``propeller_overhang_mm`` aft of it;
    the shaft reaches ``shaft_overhang_mm`` aft and ends at the forward support. Weights in air or
    submerged, as given. Alignment, thrust offset and running loads are not in it. Raises ValueError unless
    the span is positive.
    """
    if not np.all(np.greater(span_mm, 0.0)):
        raise ValueError("span_mm must be positive")
    moment = (
        propeller_weight_n * (span_mm + propeller_overhang_mm)
        + shaft_weight_n_per_mm * (span_mm + shaft_overhang_mm) ** 2 / 2.0
    )
    load: float = moment / span_mm * np.cos(np.radians(shaft_down_angle_deg))
    return load


def projected_pressure_mpa(load_n: float, shaft_diameter_mm: float, length_mm: float) -> float:
    """Mean pressure on the projected area [MPa]: W / (d L). Broadcasts. Definition, published (any
    text).
    """
    return load_n / (shaft_diameter_mm * length_mm)


def clearance_band_mm(shaft_diameter_mm: float, rule: ClearanceRule) -> tuple[float, float]:
    """Least and greatest new running clearance by ``rule`` [mm, diametral]. Broadcasts over the shaft
    diameter.
    """
    return rule.low_per_diameter * shaft_diameter_mm, rule.high_per_diameter * shaft_diameter_mm


def least_clearance_mm(shaft_diameter_mm: float) -> float:
    """Least running clearance once pressed in [mm, diametral]: the larger of 0.001 d and 0.05. Broadcasts.

    Common practice, no source; water film and swelling need at least this.
    """
    least: float = np.maximum(0.001 * shaft_diameter_mm, 0.05)
    return least


def running_closure_mm(shell_closure_mm: float, shell_bore_mm: float, running_bore_mm: float) -> tuple[float, float]:
    """Closure of the running bore [mm, diametral]: (rubber follows the shell, rubber keeps its volume).
    Broadcasts.

    First value: rubber stiffness and squeeze neglected, the running bore loses what the shell bore loses.
    Second: incompressible rubber that cannot move lengthwise, closure times shell bore / running bore;
    open flutes relieve it, so the truth lies between. Exact for the two idealised cases.
    """
    return shell_closure_mm, shell_closure_mm * shell_bore_mm / running_bore_mm


def clearance_after_closure_mm(running_bore_mm: float, shaft_diameter_mm: float, closure_mm: float) -> float:
    """Running clearance left once the bearing is pressed in [mm, diametral]; negative = it grips.
    Broadcasts.
    """
    return running_bore_mm - shaft_diameter_mm - closure_mm


@dataclass(frozen=True, slots=True)
class WornLimits:
    """Clearances [mm, diametral] at which different authorities ask for a new bearing. They differ; show
    them all.
    """

    new_plus_practice_mm: float
    """New clearance + 1.0 (shaft to 40), + 1.5 (to 75), + 2.0 above; common practice, from memory."""
    new_plus_half_groove_mm: float
    """New clearance + half the flute depth: 46 CFR 61.20-23 for rubber (text from memory), one side
    worn.
    """
    plan_hint_mm: float
    """3 % of shaft diameter: plan it. Small-craft rule of thumb, low confidence."""
    replace_hint_mm: float
    """6 % of shaft diameter: replace it. Small-craft rule of thumb, low confidence."""


def worn_limits(shaft_diameter_mm: float, new_clearance_mm: float, flute_depth_mm: float) -> WornLimits:
    """Worn limits of a fluted rubber bearing by four authorities. Broadcasts. Standing: see
    ``WornLimits``.
    """
    steps = 1.0 + 0.5 * np.greater(shaft_diameter_mm, 40.0) + 0.5 * np.greater(shaft_diameter_mm, 75.0)
    return WornLimits(
        new_plus_practice_mm=new_clearance_mm + steps,
        new_plus_half_groove_mm=new_clearance_mm + flute_depth_mm / 2.0,
        plan_hint_mm=0.03 * shaft_diameter_mm,
        replace_hint_mm=0.06 * shaft_diameter_mm,
    )


def worn_limit_hard_mm(shaft_diameter_mm: float, machinery_aft: bool = False) -> float:
    """Clearance limit of a water-lubricated bearing without rubber [mm, diametral]. Broadcasts.

    1/4 in for shafts to 9 in, 5/16 to 12, 3/8 above, less 1/16 with machinery aft: 46 CFR 61.20-23, value
    from memory; confirm against the standard. Ship sizes; far too loose for a small craft.
    """
    sixteenths = (
        4.0
        + np.greater(shaft_diameter_mm, 9.0 * INCH)
        + np.greater(shaft_diameter_mm, 12.0 * INCH)
        - float(machinery_aft)
    )
    limit: float = sixteenths * INCH / 16.0
    return limit


def rubber_thickness_mm(outside_diameter_mm: float, shell_wall_mm: float, running_bore_mm: float) -> float:
    """Rubber on a land [mm]: (outside - bore) / 2 - shell wall. Broadcasts. Exact."""
    return (outside_diameter_mm - running_bore_mm) / 2.0 - shell_wall_mm


def flute_area_mm2(flute_count: float, flute_width_mm: float, flute_depth_mm: float) -> float:
    """Sum of the flute areas [mm2] as rectangles width x depth; the running clearance comes on top.
    Broadcasts.
    """
    return flute_count * flute_width_mm * flute_depth_mm


@dataclass(frozen=True, slots=True)
class FluteClock:
    """Where a clock angle falls among the flutes; angles in degrees, never negative."""

    to_flute_centre_deg: float
    to_land_centre_deg: float
    past_flute_edge_deg: float
    """Signed: positive on a land by this much, negative inside a flute."""


def flute_clock(
    clock_deg: float, flute_count: int, first_flute_deg: float, flute_width_mm: float, running_bore_mm: float
) -> FluteClock:
    """Distance of a clock angle from the nearest flute centre, land centre and flute edge. Broadcasts.
    Exact.

    Flutes are evenly spaced, one centred at ``first_flute_deg``, each ``flute_width_mm`` wide as a chord
    of the running bore. Raises ValueError when the flutes would overlap or the chord does not fit.
    """
    pitch = 360.0 / flute_count
    half = np.degrees(np.arcsin(np.minimum(flute_width_mm / running_bore_mm, 1.0)))
    if flute_count < 1 or not np.all((np.greater(flute_width_mm, 0.0)) & (2.0 * half < pitch)):
        raise ValueError("that many flutes of that width do not fit round the running bore")
    off = np.abs(np.mod(clock_deg - first_flute_deg + pitch / 2.0, pitch) - pitch / 2.0)
    return FluteClock(off, pitch / 2.0 - off, off - half)


def misalignment_allowed_deg(clearance_mm: float, length_mm: float, share: float = 0.5) -> float:
    """Angle between shaft and bore [deg] that uses up ``share`` of the diametral clearance over the length.

    atan(share x clearance / length); 1.0 is where the shaft touches at both ends, 0.5 the usual allowance
    (common practice, no source). Broadcasts. Exact.
    """
    angle: float = np.degrees(np.arctan(share * clearance_mm / length_mm))
    return angle


def drag_torque_nmm(load_n: float, friction: float, shaft_diameter_mm: float) -> float:
    """Torque the shaft tries to turn the bearing with [N mm]: mu W d / 2. Broadcasts. Exact statics.

    Wet running is 0.01 or less to 0.1; a dry or seized bearing may reach 0.5 to 1 (from memory).
    """
    return friction * load_n * shaft_diameter_mm / 2.0


HEEL_PRESSURE_MPA = {
    "lignum vitae": 2.5,
    "white metal": 4.5,
    "synthetic": 5.5,
    "steel": 7.0,
    "bronze": 7.0,
    "bronze-graphite": 7.0,
}
"""Allowable surface pressure of rudder-stock bearings by bush material; published in a class-type guidance
for high-speed and light craft (Pt 4 Ch 1 Sec 8, bearings of rudder stocks). White metal: oil-lubricated;
synthetic: 60 to 70 Shore D; bronze-graphite: hot-pressed."""
HEEL_LENGTH_MAX_PER_DIAMETER = 1.2
"""Greatest bush length over diameter (same guidance, published)."""
HEEL_BUSH_WALL_MIN_MM = 8.0
"""Least bush thickness, metal or synthetic (same guidance, published; a ship-size rule)."""


@dataclass(frozen=True, slots=True)
class HeelBush:
    """Pressure and limits of a heel bush."""

    pressure_mpa: float
    allowed_mpa: float
    least_area_mm2: float
    least_length_mm: float
    greatest_length_mm: float
    least_clearance_mm: float
    """d / 1000 + 1.0, metal bush: a ship-size figure, too loose for a small craft; let the user override
    it.
    """


def heel_bush(force_n: float, pin_diameter_mm: float, length_mm: float, material: str) -> HeelBush:
    """Pressure on the projected area of a skeg's heel bush and the limits for it. Broadcasts over the
    numbers.

    ``material`` is a key of ``HEEL_PRESSURE_MPA`` (ValueError otherwise). Limits published, see the
    constants.
    """
    if material not in HEEL_PRESSURE_MPA:
        raise ValueError(f"heel bush material {material!r} is not one of {', '.join(HEEL_PRESSURE_MPA)}")
    allowed = HEEL_PRESSURE_MPA[material]
    return HeelBush(
        pressure_mpa=projected_pressure_mpa(force_n, pin_diameter_mm, length_mm),
        allowed_mpa=allowed,
        least_area_mm2=force_n / allowed,
        least_length_mm=force_n / allowed / pin_diameter_mm,
        greatest_length_mm=HEEL_LENGTH_MAX_PER_DIAMETER * pin_diameter_mm,
        least_clearance_mm=pin_diameter_mm / 1000.0 + 1.0,
    )
