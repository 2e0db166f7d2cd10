"""Loads on a propeller-shaft strut: sources, and named cases that combine them at the barrel centre.

Strut frame: x forward along the shaft, y to port, z square to the shaft toward the hull; origin at the barrel
centre. A clock angle is measured about x from z, positive toward port. Forces N, moments N mm, lengths mm,
masses
kg. All formulas take floats or numpy arrays and broadcast unless a docstring says otherwise.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from strutwright.models.formulas.arm_rules import Num, RuleValue

FloatArray = npt.NDArray[np.float64]
Vector = tuple[float, float, float]

GRAVITY_MS2 = 9.80665
KNOT_MS = 1852.0 / 3600.0

ANY_RADIAL = "any_radial"
EITHER_SIDE = "either_side"
FORE_OR_AFT = "fore_or_aft"
FREE_DIRECTIONS = (ANY_RADIAL, EITHER_SIDE, FORE_OR_AFT)
DOWN_DEG = 180.0


# ---- single sources


def weight_n(mass_kg: Num) -> Num:
    """Weight in air, N, of a mass in kg (standard gravity 9.80665 m/s2)."""
    return mass_kg * GRAVITY_MS2


def weight_in_water_n(mass_kg: Num, density_kg_m3: Num, water_kg_m3: float = 1025.0) -> Num:
    """Weight less buoyancy of a fully wetted solid, N: m g (1 - rho_water/rho). Archimedes; density > 0."""
    return mass_kg * GRAVITY_MS2 * (1.0 - water_kg_m3 / density_kg_m3)


@dataclass(frozen=True, slots=True)
class OverhungReactions:
    """Reactions of a shaft on two supports with an overhang: at the strut, at the inner support, and the
    moment
    in the shaft at the strut support. Upward reactions positive for downward loads."""

    strut_n: Num
    inner_n: Num
    moment_nmm: Num


def overhung_reactions(
    span_mm: Num, overhang_mm: Num, tip_load_n: Num, line_load_n_per_mm: Num = 0.0
) -> OverhungReactions:
    """Reactions of a simply supported beam of length span + overhang, loaded at the free end and by its own
    weight.

    ``span_mm`` distance between the inner support and the strut support (> 0), ``overhang_mm`` from the strut
    support to the propeller centre (>= 0). Statics: R = [W (l+b) + w (l+b)^2/2] / l. A radial load at the
    propeller
    is thereby magnified by (l+b)/l at the strut.
    """
    whole = span_mm + overhang_mm
    strut = (tip_load_n * whole + 0.5 * line_load_n_per_mm * whole**2) / span_mm
    inner = tip_load_n + line_load_n_per_mm * whole - strut
    moment = tip_load_n * overhang_mm + 0.5 * line_load_n_per_mm * overhang_mm**2
    return OverhungReactions(strut, inner, moment)


def propeller_mass_estimate(
    diameter_mm: Num, area_ratio: Num = 0.6, density_kg_m3: Num = 8300.0, shaft_mm: Num | None = None
) -> RuleValue:
    """Mass of a solid propeller when none is given, kg. A hint (confidence L): weigh the propeller.

    Own model: blades of expanded area ``area_ratio`` x disc, mean greatest thickness 0.0225 D and section
    fullness
    0.70; hub 0.18 D x 0.20 D less a bore of the shaft diameter (D/14 if ``shaft_mm`` is not given).
    ``blades``
    enters only through the area ratio and is kept for the record. Range: D 200 to 2000 mm, area ratio 0.35
    to 1.0.
    """
    disc = np.pi / 4.0 * diameter_mm**2
    bore = diameter_mm / 14.0 if shaft_mm is None else shaft_mm
    blade_volume = area_ratio * disc * 0.0225 * diameter_mm * 0.70
    hub_volume = np.pi / 4.0 * ((0.18 * diameter_mm) ** 2 - bore**2) * 0.20 * diameter_mm
    mass = (blade_volume + hub_volume) * density_kg_m3 * 1e-9
    return RuleValue(
        mass, "kg", "own model", "L", "volume of a plain blade and hub outline", "use the weighed mass when it is known"
    )


def blade_mass_estimate(propeller_kg: Num, blades: Num, hub_share: Num = 0.30) -> RuleValue:
    """Mass of one blade, kg: (1 - hub share) M / Z. A hint (own model, hub share 0.25 to 0.40 usual)."""
    return RuleValue((1.0 - hub_share) * propeller_kg / blades, "kg", "own model", "L", "share of the hub assumed")


@dataclass(frozen=True, slots=True)
class BladePart:
    """Part of one blade outside a radius: its share of the blade mass and its centre of gravity over R."""

    mass_share: Num
    centre_ratio: Num


def blade_part(from_ratio: Num, hub_ratio: Num = 0.18, tip_thickness_ratio: Num = 0.15) -> BladePart:
    """Mass share and centre of gravity of the part of a blade outside ``from_ratio`` x R. Own model,
    confidence L.

    Outline: half an ellipse on the radius, chord proportional to sqrt(x (1-x)) with x = r/R, cut off at the
    hub
    (``hub_ratio``); thickness falls linearly from 1 at x = 0 to ``tip_thickness_ratio`` at x = 1.
    ``from_ratio`` <= hub ratio gives the whole blade (share 1). Range 0 <= hub ratio < 1, from ratio < 1.
    """
    start = np.maximum(from_ratio, hub_ratio)
    whole_mass, _ = _blade_integrals(hub_ratio, tip_thickness_ratio)
    part_mass, part_moment = _blade_integrals(start, tip_thickness_ratio)
    return BladePart((part_mass / whole_mass)[()], (part_moment / part_mass)[()])


def _blade_integrals(start: Num, tip: Num) -> tuple[FloatArray, FloatArray]:
    """Integrals over x = start..1 of chord x thickness and of x times it; x = sin^2(a) removes the tip
    root."""
    points, weights = np.polynomial.legendre.leggauss(24)
    low = np.arcsin(np.sqrt(np.asarray(start, dtype=np.float64)))[..., None]
    half = (np.pi / 2.0 - low) / 2.0
    angle = low + half * (points + 1.0)
    x = np.sin(angle) ** 2
    slice_mass = 2.0 * (np.sin(angle) * np.cos(angle)) ** 2 * (1.0 - (1.0 - np.asarray(tip)[..., None]) * x)
    mass = np.sum(slice_mass * weights * half, axis=-1)
    moment = np.sum(slice_mass * x * weights * half, axis=-1)
    return mass, moment


def missing_tip(blade_kg: Num, propeller_mm: Num, hub_ratio: Num = 0.18) -> RuleValue:
    """(mass kg, centre radius mm) of the blade tip outside 0.9 R, from the outline of `blade_part`.

    That the tip outside 0.9 R is the design loss is published guidance for high-speed light craft; the mass
    is
    this project's own model, so the value is a hint.
    """
    part = blade_part(0.9, hub_ratio)
    return RuleValue(
        (part.mass_share * blade_kg, part.centre_ratio * propeller_mm / 2.0),
        "kg, mm",
        "own model",
        "L",
        "elliptic blade outline with linear thickness",
        "losing the tip outside 0.9 R: high-speed light craft guidance, Pt 4 Ch 2 Sec 6",
    )


def blade_loss_force_n(mass_kg: Num, radius_mm: Num, rpm: Num) -> Num:
    """Rotating force after losing a mass at a radius, N: (2 pi N/60)^2 R m.

    Mechanics; the same form is used for shaft brackets in ship rules (from memory). ``mass_kg`` lost mass,
    ``radius_mm`` radius of its centre of gravity, ``rpm`` shaft speed.
    """
    return (2.0 * np.pi * rpm / 60.0) ** 2 * (radius_mm / 1000.0) * mass_kg


def turn_acceleration_ms2(speed_kn: Num, turn_radius_m: Num) -> Num:
    """Sideways acceleration in a steady turn, m/s2: V^2/r."""
    return (speed_kn * KNOT_MS) ** 2 / turn_radius_m


def turn_side_force(mass_kg: Num, acceleration_ms2: Num, thrust: Num = 0.0, inflow_share: Num = 0.1) -> RuleValue:
    """Side force at the propeller in a turn, N: m a plus a share of the thrust for oblique inflow.

    ``mass_kg`` propeller and overhung shaft. The side force in a full-speed turn is a published design load,
    its
    size is not: the share (default 0.1) is an assumption, so the value is a hint.
    """
    return RuleValue(
        mass_kg * acceleration_ms2 + inflow_share * thrust,
        "N",
        "own model",
        "L",
        "mass x acceleration plus an assumed share of thrust",
        "editable; no published value found",
    )


def thrust_n(power_kw: Num, speed_kn: Num, efficiency: Num = 0.6) -> Num:
    """Propeller thrust from delivered power, speed of advance and open-water efficiency, N: T = P eta / V.

    Definition of efficiency. Not for standstill: ``speed_kn`` > 0 (below about 5 kn it overstates the
    thrust).
    """
    return power_kw * 1000.0 * efficiency / (speed_kn * KNOT_MS)


def blade_rate_hz(blades: Num, rpm: Num) -> Num:
    """Blade passing frequency, Hz: Z rpm / 60."""
    return blades * rpm / 60.0


def blade_rate_force(
    thrust: Num, torque_nmm: Num, propeller_mm: Num, thrust_share: Num = 0.10, torque_share: Num = 0.10
) -> RuleValue:
    """Fluctuating fore-and-aft force on the bracket at blade rate, N: a share of T plus a share of Q/D.

    Published guidance for aluminium high-speed craft says the blade pressure reaction goes as power/(rpm x
    D), that
    is Q/D, and acts fore and aft; the shares are assumptions, so the value is a hint.
    """
    return RuleValue(
        thrust_share * thrust + torque_share * torque_nmm / propeller_mm,
        "N",
        "own model",
        "L",
        "direction and proportion: Japanese guidance for aluminium high-speed craft",
        "shares assumed",
    )


def plastic_modulus_rectangle_mm3(depth_mm: Num, breadth_mm: Num) -> Num:
    """Plastic section modulus of a rectangle, mm3: breadth x depth^2 / 4, depth in the bending direction."""
    return breadth_mm * depth_mm**2 / 4.0


def plastic_modulus_ellipse_mm3(depth_mm: Num, breadth_mm: Num) -> Num:
    """Plastic section modulus of an ellipse, mm3: breadth x depth^2 / 6, depth in the bending direction."""
    return breadth_mm * depth_mm**2 / 6.0


@dataclass(frozen=True, slots=True)
class HingeLoad:
    """Force at the barrel that turns the arm root into a plastic hinge, and the hinge moment."""

    force_n: Num
    moment_nmm: Num


def hinge_load(yield_mpa: Num, plastic_modulus_mm3: Num, lever_mm: Num) -> HingeLoad:
    """Greatest load the arm can pass on when it grounds or is fouled: M = sigma_y Z_pl, P = M / L.

    Simple plastic theory with the yield given. The least yield of a standard is often passed by 1.2 to 1.5: what must
    outlast the arm wants that as reserve.
    """
    moment = yield_mpa * plastic_modulus_mm3
    return HingeLoad(moment / lever_mm, moment)


# ---- combination of sources

Direction = float | Vector | str


@dataclass(frozen=True, slots=True)
class LoadTerm:
    """One source in a case: its kind, a factor on it, and its direction.

    ``direction``: clock angle in degrees across the shaft, a vector (x, y, z) in the strut frame, or one of
    "any_radial", "either_side", "fore_or_aft" (each is tried and the worst counts).
    """

    kind: str
    factor: float
    direction: Direction


@dataclass(frozen=True, slots=True)
class LoadCase:
    """A named sum of load terms with a note for the reader."""

    name: str
    terms: tuple[LoadTerm, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class LoadSource:
    """Size of one kind of load: force (N, float or array over candidates), where it acts in the strut frame
    (mm from the barrel centre), and a couple (N mm about x, y, z) that comes with it whatever its
    direction."""

    force_n: Num
    point_mm: Vector = (0.0, 0.0, 0.0)
    couple_nmm: Vector = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class BarrelLoads:
    """Force (N) and moment (N mm) at the barrel centre, shape (combinations, *candidates, 3), strut frame."""

    force_n: FloatArray
    moment_nmm: FloatArray


DEFAULT_CASES: tuple[LoadCase, ...] = (
    LoadCase(
        "A blade loss",
        (LoadTerm("blade_loss", 1.0, ANY_RADIAL), LoadTerm("overhung_weight", 1.0, DOWN_DEG)),
        "rotating force of a lost blade or blade tip in the worst direction, with the weight",
    ),
    LoadCase(
        "B double weight",
        (LoadTerm("overhung_weight", 2.0, DOWN_DEG),),
        "twice the weight of propeller and overhung shaft: the boat slamming; own choice of factor",
    ),
    LoadCase(
        "C turn",
        (LoadTerm("turn_side", 1.0, EITHER_SIDE), LoadTerm("overhung_weight", 1.0, DOWN_DEG)),
        "side force in a turn at full speed, low confidence in its size",
    ),
    LoadCase(
        "D blade rate",
        (LoadTerm("blade_rate", 1.0, FORE_OR_AFT), LoadTerm("overhung_weight", 1.0, DOWN_DEG)),
        "fluctuating fore-and-aft force at blade rate; judge against fatigue, not yield",
    ),
    LoadCase(
        "E rudder and skeg",
        (LoadTerm("rudder", 1.0, EITHER_SIDE), LoadTerm("overhung_weight", 1.0, DOWN_DEG)),
        "heel reaction of the rudder on the skeg foot, either side",
    ),
    LoadCase(
        "F accident",
        (LoadTerm("accident", 1.0, (-1.0, 0.0, 0.0)),),
        "plastic hinge load of the arm, pushing aft: grounding or fouling; hull and bolts must survive",
    ),
)


def direction_vectors(direction: Direction, clocks: int = 36) -> FloatArray:
    """Unit vectors of a direction, shape (k, 3): k = ``clocks`` for any radial, 2 for either side or
    fore/aft, else 1.

    Raises ValueError for an unknown word or a zero vector.
    """
    if isinstance(direction, str):
        if direction == ANY_RADIAL:
            angles = np.arange(clocks) * (2.0 * np.pi / clocks)
            return np.stack([np.zeros(clocks), np.sin(angles), np.cos(angles)], axis=-1)
        if direction == EITHER_SIDE:
            return np.array([[0.0, 1.0, 0.0], [0.0, -1.0, 0.0]])
        if direction == FORE_OR_AFT:
            return np.array([[1.0, 0.0, 0.0], [-1.0, 0.0, 0.0]])
        raise ValueError(
            f"load direction {direction!r} is not known; use a clock angle in degrees, a vector "
            f"of three numbers, or one of {', '.join(FREE_DIRECTIONS)}"
        )
    if isinstance(direction, tuple):
        vector = np.asarray(direction, dtype=np.float64)
        size = float(np.linalg.norm(vector))
        if vector.shape != (3,) or size == 0.0:
            raise ValueError(f"load direction {direction!r} must be three numbers that are not all zero")
        return (vector / size)[None, :]
    angle = np.radians(direction)
    return np.array([[0.0, np.sin(angle), np.cos(angle)]])


def case_loads(case: LoadCase, sources: Mapping[str, LoadSource], clocks: int = 36) -> BarrelLoads:
    """Force and moment at the barrel centre for a case, every free direction tried in all combinations.

    ``sources`` maps kind to `LoadSource`; kinds the strut does not have (no skeg: no "rudder") must still be
    present, with force 0, so that a forgotten load cannot pass silently. Raises ValueError for a missing
    kind.
    """
    force: FloatArray = np.zeros((1, 3))
    moment: FloatArray = np.zeros((1, 3))
    shape = np.broadcast_shapes(*(np.shape(sources[term.kind].force_n) for term in case.terms if term.kind in sources))
    force = force.reshape((1,) + (1,) * len(shape) + (3,))
    moment = moment.reshape(force.shape)
    for term in case.terms:
        if term.kind not in sources:
            raise ValueError(
                f"load case {case.name!r} needs a load of kind {term.kind!r}, none was given; "
                f"given: {', '.join(sorted(sources))}"
            )
        source = sources[term.kind]
        unit = direction_vectors(term.direction, clocks)
        unit = unit.reshape((len(unit),) + (1,) * len(shape) + (3,))
        size = np.broadcast_to(np.asarray(source.force_n, dtype=np.float64), shape)[..., None]
        own_force = term.factor * size * unit
        own_moment = np.cross(np.asarray(source.point_mm), own_force) + term.factor * np.asarray(source.couple_nmm)
        force = _outer_sum(force, own_force)
        moment = _outer_sum(moment, own_moment)
    return BarrelLoads(force, moment)


def _outer_sum(first: FloatArray, second: FloatArray) -> FloatArray:
    """All sums of a row of ``first`` with a row of ``second`` (leading axis), the other axes broadcast."""
    total = first[:, None] + second[None, :]
    return total.reshape((len(first) * len(second), *total.shape[2:]))


def propeller_source(force_n: Num, span_mm: float, overhang_mm: float, bearing_point_mm: float = 0.0) -> LoadSource:
    """Radial load at the propeller as it reaches the barrel: magnified by (l+b)/l, acting where the bearing
    carries.

    ``span_mm`` inner support to the bearing's carrying point, ``overhang_mm`` carrying point to propeller
    centre,
    ``bearing_point_mm`` x of the carrying point from the barrel centre (aft negative; a worn or misaligned
    bearing
    carries at its aft end). The shaft is taken as simply supported in the bearing.
    """
    return LoadSource(overhung_reactions(span_mm, overhang_mm, force_n).strut_n, (bearing_point_mm, 0.0, 0.0))


def load_case_from_mapping(data: Mapping[str, Any]) -> LoadCase:
    """`LoadCase` from plain data {name, terms: [{kind, factor, direction}], note}, as read from YAML.

    Raises ValueError naming the field when something is missing, of the wrong type, or of an unknown
    direction.
    """
    name, terms = data.get("name"), data.get("terms")
    if not isinstance(name, str) or not name:
        raise ValueError("load case: 'name' is missing or not text")
    if not isinstance(terms, Sequence) or isinstance(terms, str) or not terms:
        raise ValueError(f"load case {name!r}: 'terms' must be a list of at least one {{kind, factor, direction}}")
    return LoadCase(name, tuple(_term_from_mapping(name, term) for term in terms), str(data.get("note", "")))


def _term_from_mapping(case_name: str, data: Any) -> LoadTerm:
    if not isinstance(data, Mapping) or not {"kind", "direction"} <= set(data):
        raise ValueError(f"load case {case_name!r}: term {data!r} needs 'kind' and 'direction'; 'factor' is optional")
    unknown = sorted(set(data) - {"kind", "factor", "direction"})
    if unknown:
        raise ValueError(f"load case {case_name!r}: term has unknown field {unknown[0]!r}")
    raw = data["direction"]
    direction: Direction = raw
    if isinstance(raw, list | tuple):
        if len(raw) != 3:
            raise ValueError(f"load case {case_name!r}: direction {raw!r} must have three numbers")
        direction = (float(raw[0]), float(raw[1]), float(raw[2]))
    elif isinstance(raw, int | float):
        direction = float(raw)
    direction_vectors(direction)
    return LoadTerm(str(data["kind"]), float(data.get("factor", 1.0)), direction)


def load_case_to_mapping(case: LoadCase) -> dict[str, Any]:
    """The plain-data form of a case, ready for YAML; `load_case_from_mapping` reads it back."""
    terms = [
        {
            "kind": term.kind,
            "factor": term.factor,
            "direction": list(term.direction) if isinstance(term.direction, tuple) else term.direction,
        }
        for term in case.terms
    ]
    return {"name": case.name, "terms": terms, "note": case.note}
