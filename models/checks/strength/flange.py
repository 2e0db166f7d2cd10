"""Strength of a flanged housing: its fasteners, the flange beside the barrel, the barrel at the flange, the weld, and
what the base is pressed with. Guidance.

The flange tips as a rigid plate on its bed (`models/flange_hold`), over the worse of its edges both ways at once; what
friction of the bedding and a spigot in its bore carry of the shear is left out, and so is the preload, on the safe
side.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Mapping

import numpy as np

from strutwright.models import flange_hold
from strutwright.models.arrays import Num, greatest, least
from strutwright.models.bolt_heads import HEADS
from strutwright.models.checks.check import of_groups
from strutwright.models.checks.outcome import Outcome, at_least, at_most, finding_of, information, resting_on, worst_of
from strutwright.models.checks.strength import load_cases, load_paths
from strutwright.models.checks.strength.every_case import by_its_worst_case
from strutwright.models.checks.strength.hull_bed import resting_on_hull
from strutwright.models.checks.strength.load_cases import Case
from strutwright.models.finding import Finding
from strutwright.models.formulas import bolts as bolting
from strutwright.models.formulas import flange as rules
from strutwright.models.formulas import palm_bed
from strutwright.models.formulas import welds as welding
from strutwright.models.hull_bed import bed_n_mm3, hull_bears
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut

GROUP = "flange strength"
CHECKS = of_groups(GROUP)
_IN_CASES = ("flange_bolts", "flange_bending", "barrel_at_flange", "weld_flange", "flange_pressing")
"""What is held in every load case, the worst of which is told."""


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of the flange by code; broadcasts.

    >>> made = numbers(engineering_inputs("deadwood-cutter"))
    >>> bool(made["flange_bolts"].utilisation < 1.0)
    True
    """
    out = {code: worst_of(list(of.values())) for code, of in _by_case(inputs).items()}
    out["flange_turning"] = information(1e-6 * flange_hold.turning_nmm(inputs, soft=True))  # N m at 0.001 rad
    flange, _ = flange_hold.own(inputs)
    if flange.fastener != "through_bolt":
        timber = inputs.hull.family == "timber"
        times = inputs.limit("engaged_timber" if timber else "engaged_metal")
        out["fastener_engaged"] = at_least(flange.engaged_mm, times * inputs.bolt_mm)
        out["base_deep_enough"] = at_least(inputs.hull_mm, flange.engaged_mm + inputs.bolt_mm)
    if flange.fastener == "lag_screw":
        out["lag_holds"] = information(lag_n(inputs))
    return out


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of the flange; of what is held in every case the worst, which it names.

    >>> inputs = engineering_inputs("deadwood-cutter")
    >>> found = findings(shipped("deadwood-cutter"), inputs, numbers(inputs))
    >>> [f.code for f in found][:2]
    ['flange_bolts', 'flange_bending']
    """
    cases, out = _by_case(inputs), []
    for check in CHECKS:
        if check.code not in numbers_:
            continue
        what, row = check.meaning, check.under(inputs.limits)
        if check.code in _IN_CASES:
            row, what = by_its_worst_case(row, cases[check.code], inputs)
        if check.code == "flange_pressing":
            row = resting_on_hull(row, inputs)
        elif check.code in ("flange_bending", "barrel_at_flange", "weld_flange"):
            row = resting_on(row, inputs.strut)
        out.append(finding_of(row, numbers_[check.code], inputs, what=what))
    return out


# --- numbers --------------------------------------------------------------------------------------------------------


def lag_n(inputs: Inputs) -> Num:
    """Return what a lag screw may be pulled with for long in wet timber, N; nan where the timber is not known.

    >>> round(float(lag_n(engineering_inputs("deadwood-cutter"))))  # 34 030 over 4.5, times 0.7
    5293
    """
    flange, _ = flange_hold.own(inputs)
    mean = rules.lag_withdrawal_n(flange.timber_kg_m3, inputs.bolt_mm, flange.engaged_mm)
    grain = inputs.limit("lag_end_grain") if flange.grain == "along" else 1.0
    return mean * grain * inputs.limit("lag_wet") / inputs.limit("lag_safety")


def _by_case(inputs: Inputs) -> dict[str, dict[str, Outcome]]:
    """Every number that is held in every load case: by code, then by the case's key; broadcasts."""
    known = load_cases.amplitudes(inputs)
    cases = [c for c in load_cases.cases(inputs) if not any(t.source == "rudder" for t in c.terms)]
    wanted: dict[str, Callable[[Inputs, Case, dict[str, Num]], Outcome]] = {
        "flange_bolts": _bolts,
        "flange_bending": _bending,
        "barrel_at_flange": _barrel,
        "flange_pressing": _pressing,
    }
    if inputs.construction == "welded":
        wanted["weld_flange"] = _weld
    return {code: {c.key: held(inputs, c, known) for c in cases} for code, held in wanted.items()}


def _felt(
    case: Case, known: dict[str, Num], across: Callable[[Num], Num], axial: Num, couple: Num, inputs: Inputs
) -> Num:
    """What the loads of a case come to together: across(lever) of a newton across the shaft so far from the bedding
    face, axial of one along it, couple of one N mm about it."""
    return load_cases.worst(case, known, _reply(inputs, across, axial, couple))


def _reply(inputs: Inputs, across: Callable[[Num], Num], axial: Num, couple: Num) -> load_cases.Reply:
    """What a unit load of each group comes to, by what `_felt` is given."""
    flange, _ = flange_hold.own(inputs)
    levers = {
        "propeller": np.abs(flange.face_x_mm - load_paths.carry_x_mm(inputs)),
        "barrel": np.abs(flange.face_x_mm) + 0.0 * inputs.bearing_x_mm,
    }

    def reply(group: load_cases.Group, clock_deg: float | None) -> Num:
        if group in levers:
            return across(levers[group])
        return axial if group == "axial" else couple if group == "couple" else 0.0

    return reply


@functools.lru_cache(maxsize=2)
def _pull_per_nmm(inputs: Inputs) -> Num:
    """The greatest pull of a fastener per N mm of tipping, both ways at once, without prying."""
    tips = flange_hold.tippings(inputs)
    along = [greatest([a, b]) for a, b in zip(tips[0].pulls, tips[1].pulls, strict=True)]
    across = [greatest([a, b]) for a, b in zip(tips[2].pulls, tips[3].pulls, strict=True)]
    return greatest([np.hypot(a, b) for a, b in zip(along, across, strict=True)])


@functools.lru_cache(maxsize=2)
def _lever_edge_mm(inputs: Inputs) -> tuple[Num, Num]:
    """From the fasteners to the toe of the root, the farthest, and to the edge, the nearest."""
    _, plate = flange_hold.own(inputs)
    lever = greatest(flange_hold.radii_mm(plate)) - flange_hold.root_radius_mm(inputs)
    edges = [
        gap
        for u, v in flange_hold.holes_of(plate)
        for gap in (plate.forward_mm - u, u - plate.aft_mm, plate.port_mm - v, v - plate.starboard_mm)
    ]
    edge = least(edges) - plate.edge_lost_mm
    return np.maximum(lever, 0.0), np.maximum(edge, 1e-6)


def _bolts(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    _, plate = flange_hold.own(inputs)
    flange, _ = flange_hold.own(inputs)
    count, pull = plate.bolt_count, _pull_per_nmm(inputs)
    pry = 1.0 + rules.pried_share(*_lever_edge_mm(inputs))
    tension = _felt(case, known, lambda lever: lever * pull, 1.0 / count, 0.0, inputs)
    radius = flange_hold.mean(flange_hold.radii_mm(plate))
    shear = _felt(case, known, lambda lever: 1.0 / count + 0.0 * lever, 0.0, 1.0 / (count * radius), inputs)
    fub, area, partial = inputs.bolt.ultimate_mpa, inputs.bolt_stress_mm2, inputs.limit("joint_partial")
    conical = HEADS[inputs.bolt_kind].conical
    in_shear = bolting.bolt_shear_resistance_n(fub, area, partial)
    in_tension = bolting.bolt_tension_resistance_n(fub, area, partial, countersunk=conical)
    steel = bolting.combined_utilisation(
        case.load_factor * shear, case.load_factor * tension * pry, in_shear, in_tension
    )
    held = [at_most(steel, 1.0)]
    if flange.fastener == "lag_screw":
        held.append(at_most(tension * pry / lag_n(inputs), 1.0))
    return worst_of(held)


def _bending(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    """A strip of the flange at each fastener, from the toe of the root."""
    stress = load_cases.worst(case, known, bending_reply(inputs))
    return at_most(stress, case.allowed_of_yield * inputs.strut.yield_mpa)


def bending_reply(inputs: Inputs) -> load_cases.Reply:
    """Return the stress in the flange at the toe of its root, MPa per N and N mm of a unit load.

    >>> pushed = bending_reply(engineering_inputs("deadwood-cutter"))("axial", None)
    >>> round(1e3 * float(pushed), 3)  # of a kN an eighth, 31.5 from the toe, in a strip of 55.76 by 14
    2.162
    """
    _, plate = flange_hold.own(inputs)
    lever, width, pull = _lever_edge_mm(inputs)[0], _strip_mm(inputs), _pull_per_nmm(inputs)
    per_n = 6.0 * lever / (width * plate.thickness_mm * plate.thickness_mm)
    return _reply(inputs, lambda arm: arm * pull * per_n, per_n / plate.bolt_count, 0.0)


def _strip_mm(inputs: Inputs) -> Num:
    """Width of the flange that a fastener bends: as wide as 45 degrees spread it, or a pitch."""
    _, plate = flange_hold.own(inputs)
    pitch = 2.0 * math.pi * flange_hold.mean(flange_hold.radii_mm(plate)) / plate.bolt_count
    width: Num = np.minimum(inputs.bolt_head_mm + 2.0 * _lever_edge_mm(inputs)[0], pitch)
    return width


def _barrel(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    flange, plate = flange_hold.own(inputs)
    bent, turned = rules.tube_modulus_mm3(inputs.barrel_outside_mm, inputs.bore_mm, flange.slots_mm)
    normal = _felt(case, known, lambda lever: np.maximum(lever - plate.thickness_mm, 0.0) / bent, 0.0, 0.0, inputs)
    area = math.pi / 4.0 * (inputs.barrel_outside_mm**2 - inputs.bore_mm**2)
    shear = _felt(case, known, lambda lever: 2.0 / area + 0.0 * lever, 0.0, 1.0 / turned, inputs)
    return at_most(np.sqrt(normal**2 + 3.0 * shear**2), case.allowed_of_yield * inputs.strut.yield_mpa)


def barrel_reply(inputs: Inputs) -> load_cases.Reply:
    """Return the stress in the barrel at the flange's free face (von Mises), MPa per N and N mm of a unit load.

    >>> turned = barrel_reply(engineering_inputs("deadwood-cutter"))("couple", None)
    >>> round(1e6 * float(turned), 1)  # of a kN m: root 3 over pi / 16 (67^4 - 45^4) / 67, less slots
    47.7
    """
    flange, plate = flange_hold.own(inputs)
    bent, turned = rules.tube_modulus_mm3(inputs.barrel_outside_mm, inputs.bore_mm, flange.slots_mm)
    area = math.pi / 4.0 * (inputs.barrel_outside_mm**2 - inputs.bore_mm**2)

    def across(lever: Num) -> Num:
        return np.hypot(np.maximum(lever - plate.thickness_mm, 0.0) / bent, math.sqrt(3.0) * 2.0 / area)

    return _reply(inputs, across, 1.0 / area, math.sqrt(3.0) / turned)


def round_weld(inputs: Inputs) -> welding.WeldLine:
    """Return the weld round the barrel as a line.

    >>> round(1.0 / float(round_weld(engineering_inputs("tube-end-pair")).per_force), 1)  # round 82
    257.6
    """
    radius = inputs.barrel_outside_mm / 2.0
    second, round_mm = math.pi * radius**3, 2.0 * math.pi * radius
    return welding.weld_line(round_mm, second, second, radius, radius)


def _flanks_deg(inputs: Inputs) -> tuple[Num, Num]:
    """The angles between barrel and flange where they stand sharpest and widest."""
    flange, _ = flange_hold.own(inputs)
    return 90.0 - flange.off_square_deg, 90.0 + flange.off_square_deg


def least_throat_mm(inputs: Inputs) -> Num:
    """Return the least throat of the fillet round the barrel, on the flank that stands open.

    >>> pair = engineering_inputs("tube-end-pair")  # the leg times the cosine of half of 98.5 degrees
    >>> round(float(least_throat_mm(pair) / pair.flange.root_mm), 4)
    0.6525
    """
    flange, _ = flange_hold.own(inputs)
    sharp, wide = (welding.throat_mm(flange.root_mm, angle) for angle in _flanks_deg(inputs))
    return np.minimum(sharp, wide)


def weld_line_reply(inputs: Inputs) -> load_cases.Reply:
    """Return the nominal force in the fillet round the barrel, N per mm and unit load, that its root feels.

    >>> pushed = weld_line_reply(engineering_inputs("tube-end-pair"))("axial", None)
    >>> round(1e3 * float(pushed), 2)  # a kN round 82
    3.88
    """
    _, plate = flange_hold.own(inputs)
    felt = functools.partial(welding.whole_at_corner, round_weld(inputs))
    none = (0.0, 0.0, 0.0)
    return _reply(
        inputs,
        lambda lever: felt((1.0, 0.0, 0.0), (np.maximum(lever - plate.thickness_mm, 0.0), 0.0, 0.0)),
        felt((0.0, 0.0, 1.0), none),
        felt(none, (0.0, 0.0, 1.0)),
    )


def _weld(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    """The fillet round the barrel at the free face as a line; nothing is counted on at the bedding face."""
    flange, plate = flange_hold.own(inputs)
    line = round_weld(inputs)
    # On a slant the flank that stands sharp or open has less throat.
    flanks = tuple(welding.flank(welding.throat_mm(flange.root_mm, a), a) for a in _flanks_deg(inputs))
    beta_w = welding.CORRELATION["S275" if inputs.strut.family == "steel" else "stainless"]

    def stress(forces: tuple[Num, Num, Num], moments: tuple[Num, Num, Num]) -> Num:
        return welding.weld_stress_mpa(line, forces, moments, sides=flanks, ends=flanks, beta_w=beta_w)

    across = _felt(
        case,
        known,
        lambda lever: stress((1.0, 0.0, 0.0), (np.maximum(lever - plate.thickness_mm, 0.0), 0.0, 0.0)),
        stress((0.0, 0.0, 1.0), (0.0, 0.0, 0.0)),
        stress((0.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
        inputs,
    )
    limit = welding.directional_limit_mpa(inputs.strut.ultimate_mpa, beta_w, inputs.limit("joint_partial"))
    return at_most(case.load_factor * across, limit)


def _pries_mpa(inputs: Inputs) -> Num:
    """Pressure of the edge beyond a fastener per N of its pull, MPa."""
    _, plate = flange_hold.own(inputs)
    bends = palm_bed.plate_bending_nmm(inputs.strut.modulus_mpa, plate.thickness_mm)
    spread = palm_bed.spread_mm(bends, bed_n_mm3(inputs, plate)[1])
    return palm_bed.pried_mpa(1.0, _lever_edge_mm(inputs)[0], _strip_mm(inputs), spread)


def _pressing(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    tips = flange_hold.tippings(inputs, soft=False)
    along = greatest([tips[0].edge_n_mm / tips[0].width_mm, tips[1].edge_n_mm / tips[1].width_mm])
    across = greatest([tips[2].edge_n_mm / tips[2].width_mm, tips[3].edge_n_mm / tips[3].width_mm])
    flange, plate = flange_hold.own(inputs)
    net = np.maximum(plate.area_mm2 - math.pi / 4.0 * flange.base_bore_mm**2, 1.0)
    # Beyond a fastener that pulls the edge pries, whether the flange tips or is drawn off.
    pries = _pries_mpa(inputs)
    per = np.maximum(np.hypot(along, across), pries * _pull_per_nmm(inputs))
    axial = np.maximum(1.0 / net, pries / plate.bolt_count)
    pressure = _felt(case, known, lambda lever: lever * per, axial, 0.0, inputs)
    return at_most(case.load_factor * pressure, hull_bears(inputs).pressure_mpa)
