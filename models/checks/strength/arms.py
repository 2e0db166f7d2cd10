"""Arms: stress in every load case, scantlings by rules, taper, deflection at the bearing.

Stress is worked out at the stations of `load_paths` at points round the section, in bending about both axes, axial
load, shear and torsion, and combined by von Mises. A single arm is a cantilever, a vee a space frame.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

import numpy as np

from strutwright.models import halves
from strutwright.models.arrays import Num, Six, add, greatest, least, length, mul
from strutwright.models.checks.check import of_groups, without_limits
from strutwright.models.checks.hull_words import HULL_ENDS, ranged
from strutwright.models.checks.outcome import Outcome, at_least, at_most, collected, findings_of, information, worst_of
from strutwright.models.checks.strength import arm_beams, blows, load_cases, load_paths, load_table, unit_loads
from strutwright.models.checks.strength.arm_beams import Actions, Beam
from strutwright.models.checks.strength.every_case import case_findings, in_every_case
from strutwright.models.checks.strength.load_cases import Group, Reply
from strutwright.models.checks.strength.load_paths import Paths
from strutwright.models.finding import Finding
from strutwright.models.formulas import arm_rules
from strutwright.models.hull_stiffness import End
from strutwright.models.inputs import Inputs
from strutwright.models.once import once
from strutwright.models.spec import Strut
from strutwright.models.tolerance_chain import room_mrad

GROUP = "arms"

_ROWS = of_groups(GROUP)
_STRESS, _REST = _ROWS[0], _ROWS[1:]
CHECKS = in_every_case(_ROWS, hinges=False)


@once
def unit_stress(inputs: Inputs) -> Reply:
    """Return the worst von Mises stress in the arms, MPa, per N (or N mm) of a unit load; kept once worked out.

    A free force across the shaft: the greatest direct stress over all directions at each point (exact), with the
    greatest shear and torsion added (on the safe side).

    >>> across = unit_stress(engineering_inputs("harbour-launch"))("couple", None)
    >>> round(1e6 * float(across), 1)  # 1 kN m bends it at the barrel: over pi x 95 x 22^2 / 32
    221.5
    """
    beams = arm_beams.beams(inputs)
    places = [reply_at(inputs, k, station) for k in halves.unlike(inputs) for station in _stations(beams[k])]
    return unit_loads.kept(lambda group, clock_deg: greatest([place(group, clock_deg) for place in places]))


@once
def reply_at(inputs: Inputs, arm: int, station: int, notch: Notch | None = None) -> Reply:
    """Return the worst von Mises stress at a station of one arm, MPa, per N (or N mm) of a unit load, of all the hulls
    that strength takes; kept with the inputs.

    >>> across = reply_at(engineering_inputs("harbour-launch"), 0, 0, Notch(1.0, 2.0, 1.0))("couple", None)
    >>> round(1e6 * float(across))  # twice 221.5
    443
    """

    def squared(group: Group, clock_deg: float | None) -> Num:
        # A blow on one arm is not shared.
        tried = load_paths.shared(inputs)[: 1 if group == "side" else None]
        return greatest([_squared_at(found, arm, station, group, clock_deg, notch) for found in tried])

    return unit_loads.rooted(squared)


def _stations(beam: Beam) -> tuple[int, ...]:
    """The stations where an arm may be worst: of an even arm its ends, as its moments run straight between them."""
    last = len(beam.sections) - 1
    return (0, last) if beam.sections[0] is beam.sections[last] else tuple(range(last + 1))


@dataclass(frozen=True, slots=True, eq=False)
class Notch:
    """Factors on the nominal stress at the fillet of a root: of pull, of bending about the chord (also of twist and
    shear), and of bending along it."""

    pull: Num
    about_chord: Num
    along_chord: Num

    def on(self, a: Actions) -> Actions:
        """Return the actions on a section with the factors in them."""
        about = self.about_chord
        return Actions(
            mul(a.axial, self.pull),
            mul(a.shear_chord, about),
            mul(a.shear_across, about),
            mul(a.moment_chord, about),
            mul(a.moment_across, self.along_chord),
            mul(a.torsion, about),
        )


def _squared_at(
    found: Paths, arm: int, station: int, group: Group, clock_deg: float | None, notch: Notch | None
) -> Num:
    beam, ways = found.beams[arm], {way: loads[arm] for way, loads in found.arm_loads.items()}
    pair = group in unit_loads.PAIRS and clock_deg is None
    loads = [ways[w] for w in unit_loads.PAIRS[group]] if pair else unit_loads.directed(ways, group, clock_deg)[:1]
    acts = [arm_beams.actions(beam, station, load) for load in loads]
    if notch is not None:
        acts = [notch.on(a) for a in acts]
    if not pair:
        return _of_one(beam, station, acts[0])
    one, two = acts
    return _combined(
        beam,
        station,
        _direct_any2(beam, station, one, two),
        length(one.shear_chord, one.shear_across, two.shear_chord, two.shear_across),
        length(one.torsion, two.torsion),
    )


def station_stress(beam: Beam, station: int, load: Six) -> Num:
    """Return the greatest von Mises stress, MPa, at a station of an arm under a load on its root (arm axes).

    >>> beam = load_paths.paths(engineering_inputs("harbour-launch")).beams[0]  # 95 x 22 at the barrel
    >>> round(float(station_stress(beam, 0, (0.0, 0.0, 1e4, 0.0, 0.0, 0.0))), 2)  # 10 kN over pi / 4 x 95 x 22
    6.09
    """
    stress: Num = np.sqrt(_of_one(beam, station, arm_beams.actions(beam, station, load)))
    return stress


def _of_one(beam: Beam, station: int, a: Actions) -> Num:
    return _combined(
        beam, station, _direct2(beam, station, a), length(a.shear_chord, a.shear_across), np.abs(a.torsion)
    )


def _direct2(beam: Beam, station: int, a: Actions) -> Num:
    """Square of the greatest direct stress round the section, MPa2: even and odd parts about the chord add."""
    per = beam.cuts[station]
    even, slope = mul(a.axial, per.axial), mul(a.moment_across, per.across)
    odd = np.abs(mul(a.moment_chord, per.chord))
    worst = greatest([add(np.abs(add(even, mul(slope, x))), mul(odd, y)) for x, y in beam.points_mm[station]])
    return worst * worst


def _direct_any2(beam: Beam, station: int, one: Actions, two: Actions) -> Num:
    """Square of the greatest direct stress round the section of all directions between two unit loads, MPa2.

    At (x, +-y) the two loads give p + q and r + s, or p - q and r - s; the greatest over all directions squared is
    p2 + r2 + q2 + s2 + 2 |p q + r s|.
    """
    per = beam.cuts[station]
    even = [mul(a.axial, per.axial) for a in (one, two)]
    slope = [mul(a.moment_across, per.across) for a in (one, two)]
    odd = [mul(a.moment_chord, per.chord) for a in (one, two)]
    odd2 = add(mul(odd[0], odd[0]), mul(odd[1], odd[1]))
    found = []
    for x, y in beam.points_mm[station]:
        p, r = (add(e, mul(k, x)) for e, k in zip(even, slope, strict=True))
        both = np.abs(add(mul(p, odd[0]), mul(r, odd[1])))
        found.append(add(mul(p, p), mul(r, r), mul(y, add(mul(odd2, y), 2.0 * both))))
    return greatest(found)


def _combined(beam: Beam, station: int, direct2: Num, shear: Num, torsion: Num) -> Num:
    tau = arm_beams.shear_mpa(beam, station, shear, torsion)
    return add(3.0 * (tau * tau), direct2)


def by_case(inputs: Inputs) -> dict[str, Outcome]:
    """Return the stress in the arms in every load case, by the case's key; broadcasts.

    >>> stress = by_case(engineering_inputs("harbour-launch"))["seized"]
    >>> round(float(stress.demand), 1), float(stress.capacity)  # 293 822 N mm over 4514 mm3; all of the yield
    (65.1, 240.0)
    """
    known, reply = load_cases.amplitudes(inputs), unit_stress(inputs)
    return {
        case.key: at_most(load_cases.worst(case, known, reply), case.allowed_of_yield * inputs.strut.yield_mpa)
        for case in load_cases.cases(inputs)
    }


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of the arms by code; broadcasts.

    >>> area = numbers(engineering_inputs("harbour-launch"))["arm_end_area"]  # pi / 4 x 95 x 22 at the barrel
    >>> round(float(area.capacity)), round(float(area.demand))  # and 0.6 of the palm's end, pi / 4 x 109.2 x 26.7
    (1641, 1376)
    """
    known = load_cases.amplitudes(inputs)
    out = collected("arm_stress", by_case(inputs))
    out |= _rules(inputs, arm_beams.beams(inputs))
    out |= _movement(inputs, known)
    hinge = blows.hinges(inputs)
    out["arm_hinge_aft"] = information(hinge.aft_n)
    if len(inputs.arms) == 1:
        out["arm_hinge_side"] = information(hinge.side)
    return out


def _rules(inputs: Inputs, beams: tuple[Beam, ...]) -> dict[str, Outcome]:
    d = inputs.shaft_mm
    vee = len(inputs.arms) > 1
    kind = "vee" if vee else "single"
    ends = [(b.sections[0], b.sections[-1]) for b in beams]
    modulus = least([s.sxx_mm3 for pair in ends for s in pair])
    inertia = least([s.ixx_mm4 for pair in ends for s in pair])
    thickness = least([2.0 * s.half_thickness_mm for pair in ends for s in pair])
    longest = greatest([a.length_mm for a in inputs.arms])
    short = arm_rules.short_leg_factor(longest, inputs.limit("arm_length") * d, inputs.limit("arm_modulus_short"))
    need = inputs.limit(f"arm_modulus_{kind}") * d**3 * short
    need_i = inputs.limit(f"arm_inertia_{kind}") * d**4
    taper = inputs.limit("arm_taper") * (1.0 - 1e-9)
    out = {
        "arm_modulus": at_least(modulus, need),
        "arm_modulus_hard": at_least(modulus, inputs.limit("arm_modulus_hard") * need),
        "arm_modulus_metal": at_least(modulus, need * arm_rules.modulus_strength_factor(inputs.strut.ultimate_mpa)),
        "arm_inertia": at_least(inertia, need_i),
        "arm_inertia_hard": at_least(inertia, inputs.limit("arm_inertia_hard") * need_i),
        "arm_inertia_metal": at_least(inertia, need_i * arm_rules.inertia_modulus_factor(inputs.strut.modulus_mpa)),
        "arm_taper": worst_of([at_least(top.sxx_mm3, low.sxx_mm3 * taper) for low, top in ends]),
    }
    if vee:
        out["arm_area"] = at_least(
            least([s.area_mm2 for pair in ends for s in pair]), inputs.limit("arm_area_vee") * d**2
        )
        out["arm_thickness"] = at_least(thickness, inputs.limit("arm_thickness_vee") * d)
    else:
        out["arm_end_area"] = at_least(ends[0][0].area_mm2, inputs.limit("arm_end_area") * ends[0][1].area_mm2)
    if inputs.construction == "welded" and inputs.hull.family in ("steel", "aluminium", "stainless", "duplex"):
        out["arm_plate"] = at_least(thickness, inputs.limit(f"arm_plate_{kind}") * inputs.hull_mm)
    return out


@dataclass(frozen=True, slots=True)
class _Moved:
    """How the bearing moves at one end of the hull's range: its slope (mrad) under the weight with its factor and under
    the rudder's force, how far it goes under each (mm), and its stiffness (N/mm)."""

    bearing_slope: Num
    bearing_deflection: Num
    arm_stiffness: Num
    bearing_slope_rudder: Num = np.nan
    bearing_deflection_rudder: Num = np.nan


_MOVED = tuple(f.name for f in fields(_Moved))


def _moved(inputs: Inputs, known: dict[str, Num], hull: End) -> _Moved:
    found = load_paths.paths(inputs, hull)
    reach = found.carry_x_mm - found.root_x_mm

    def slope(m: Six) -> tuple[Num, Num]:
        return m[4], m[5]

    def across(m: Six) -> tuple[Num, Num]:
        return add(m[1], mul(reach, m[5])), add(m[2], -mul(reach, m[4]))

    y, z = found.motion("propeller_y"), found.motion("propeller_z")
    per_n = _any_way(across(y), across(z))
    turned = 1000.0 * inputs.limit("load_weight") * known["weight"] * _any_way(slope(y), slope(z))
    weighed = turned, known["weight"] * per_n, 1.0 / per_n
    if "heel" not in found.loads:
        return _Moved(*weighed)
    heel, n = found.motion("heel"), known["rudder"]
    return _Moved(*weighed, 1000.0 * n * length(*slope(heel)), n * length(*across(heel)))


def _movement(inputs: Inputs, known: dict[str, Num]) -> dict[str, Outcome]:
    """By the soft hull, and of slopes by the worse of its two ends."""
    soft, stiff = (_moved(inputs, known, end) for end in HULL_ENDS)
    room = room_mrad(inputs)
    out = {
        "bearing_slope": at_most(np.maximum(soft.bearing_slope, stiff.bearing_slope), room),
        "bearing_deflection": information(soft.bearing_deflection),
        "arm_stiffness": information(soft.arm_stiffness),
    }
    if inputs.skeg is not None and inputs.skeg.heel is not None:
        worse = np.maximum(soft.bearing_slope_rudder, stiff.bearing_slope_rudder)
        out["bearing_slope_rudder"] = at_most(worse, room)
        out["bearing_deflection_rudder"] = information(soft.bearing_deflection_rudder)
    return out


def _any_way(one: tuple[Num, Num], two: tuple[Num, Num]) -> Num:
    """Return the greatest length of one sin t + two cos t over all t, of two plane vectors: a singular value; exact."""
    (a, c), (b, d) = one, two
    total, turn = add(mul(a, a), mul(b, b), mul(c, c), mul(d, d)), add(mul(a, d), -mul(b, c))
    return np.sqrt((total + np.sqrt(np.maximum(total * total - 4.0 * turn * turn, 0.0))) / 2.0)


def findings(strut: Strut, inputs: Inputs, numbers: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings about the arms of one strut.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> found = {f.code: f for f in findings(shipped("harbour-launch"), inputs, numbers(inputs))}
    >>> found["arm_stress_seized"].measure("mm")  # 293 822 N mm over 4514 mm3, C95800
    '65.09 MPa against at most 240 MPa'
    """
    found = case_findings(_STRESS, inputs, numbers, by_case)
    other = "single" if len(inputs.arms) > 1 else "vee"
    unused = [f"arm_{what}_{other}" for what in ("modulus", "inertia", "plate")]
    rest = without_limits(_REST, *unused)
    known = load_cases.amplitudes(inputs)
    soft, stiff = (_moved(inputs, known, end) for end in HULL_ENDS)
    for check in rest:
        if check.code in _MOVED and check.code in numbers:
            low, high = (float(getattr(end, check.code)) for end in (soft, stiff))
            found.append(ranged(check, numbers[check.code], inputs, low, high, check.unit))
        else:
            found += findings_of((check,), numbers, inputs)
    return found + load_table.assumed(inputs, GROUP)
