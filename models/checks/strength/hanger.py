"""Strength of a hanger: its web, its foot with the bolts and what they stand on, and its cap. Guidance.

The foot tips on an elastic bed, as a palm does, and as a rigid plate over its edges, both ways at once: the worse
counts. So do two bolts hold a moment about their own line, by the lever from them to where the bed presses. Of the
loads the worst direction is taken, and the cap has to hold all of it. Friction of the bedding and preload are left out:
they only help; so is a nut that works loose, after which a foot on two bolts turns. What shaft line and bearing do is
held here too: the bearing stands between two others, and the propeller's loads reach another bearing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import numpy as np

from strutwright.models import shaft_support
from strutwright.models.arrays import Num, add, greatest, length
from strutwright.models.checks.check import of_groups
from strutwright.models.checks.outcome import Outcome, at_least, at_most, finding_of, information, resting_on, worst_of
from strutwright.models.checks.strength import bolt_forces, bolts, load_cases, load_paths
from strutwright.models.checks.strength.every_case import by_its_worst_case
from strutwright.models.checks.strength.hull_bed import resting_on_hull
from strutwright.models.checks.strength.load_cases import Case, Reply
from strutwright.models.finding import Finding
from strutwright.models.formulas import bolts as bolting
from strutwright.models.formulas import flange as rules
from strutwright.models.formulas import hanger as mechanics
from strutwright.models.formulas import palm_bed, palm_plate
from strutwright.models.formulas import shaft as shafts
from strutwright.models.hull_bed import hull_bears
from strutwright.models.inputs import Inputs
from strutwright.models.once import once
from strutwright.models.spec import Strut
from strutwright.models.spec_hanger import Cap, Hanger
from strutwright.params.quantity import GRAVITY_M_S2

GROUP = "hanger strength"
CHECKS = of_groups(GROUP)
_ON_BED = ("foot_pressing", "foot_behind")
_ON_METAL = ("web_stress", "foot_bending", "cap_bending", "cap_ears")


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of a hanger by code.

    >>> made = numbers(engineering_inputs("tunnel-hanger"))
    >>> bool(made["web_stress"].utilisation < 1.0)
    True
    """
    hanger = _own(inputs)
    out = {code: worst_of(list(of.values())) for code, of in _by_case(inputs).items()}
    load, area = load_cases.still(inputs)["weight"], inputs.shaft_mm * inputs.bearing_total_mm
    out["hanger_load"] = information(load)
    out["hanger_pressure"] = at_most(load / area, inputs.limit("bearing_pressure"))
    stiff = 1.0 / (1.0 / web_n_mm(inputs) + 1.0 / shaft_support.rubber(inputs).soft_n_mm)
    out["hanger_stiffness"] = information(stiff)
    out["foot_spreads"] = at_most(bolt_forces.spreads_beyond_root(inputs), inputs.limit("palm_spreads"))
    out["hanger_critical"] = at_least(60.0 * critical_hz(inputs), inputs.limit("shaft_critical") * inputs.shaft_rpm)
    under = hanger.under
    if under.kind == "resin":
        palm = inputs.palms[0]
        out["chock_pressure"] = at_most(
            preload_n(inputs) * palm.bolt_count / palm.area_mm2, inputs.limit("chock_pressure")
        )
    cap = hanger.cap
    if cap is not None and cap.bolt.engaged_mm is not None:
        out["cap_bolt_engaged"] = at_least(cap.bolt.engaged_mm, inputs.limit("engaged_metal") * cap.bolt.major_mm)
    return out


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of a hanger; of what is held in every case the worst, which it names.

    >>> inputs = engineering_inputs("tunnel-hanger")
    >>> [f.code for f in findings(shipped("tunnel-hanger"), inputs, numbers(inputs))][:2]
    ['web_stress', 'foot_bolts']
    """
    cases, out = _by_case(inputs), []
    for check in CHECKS:
        if check.code not in numbers_:
            continue
        what, row = check.meaning, check.under(inputs.limits)
        if check.code in cases:
            row, what = by_its_worst_case(row, cases[check.code], inputs)
        if check.code in _ON_BED:
            row = resting_on_hull(row, inputs)
        elif check.code in _ON_METAL:
            row = resting_on(row, inputs.strut)
        out.append(finding_of(row, numbers_[check.code], inputs, what=what))
    return out


# --- line and bearing -----------------------------------------------------------------------------------------------


def _own(inputs: Inputs) -> Hanger:
    assert inputs.hanger is not None
    return inputs.hanger


def web_n_mm(inputs: Inputs) -> Num:
    """Return how stiff the web is across the shaft where it is softest, sideways, N/mm, its foot held.

    >>> round(float(web_n_mm(engineering_inputs("tunnel-hanger"))), -3)  # 3 E I / h^3, I = 88 x 24^3 / 12
    26000.0
    """
    height, (long, thick) = inputs.arms[0].end_mm, _section(inputs)
    return 3.0 * inputs.strut.modulus_mpa * long * thick**3 / 12.0 / height**3


def critical_hz(inputs: Inputs) -> Num:
    """Return the lowest critical speed of the spans beside the hanger, Hz, on rubber and web as soft as is likely.

    >>> round(float(critical_hz(engineering_inputs("tunnel-hanger"))), 1)  # below the 30.2 of the longer span by itself
    25.0
    """
    shaft, aft = inputs.shaft, _own(inputs).aft_span_mm
    longer = np.maximum(aft, inputs.bearing_span_mm)
    rigid = mechanics.span_hz(shaft.modulus_mpa, shaft.density_kg_m3, inputs.shaft_mm, longer)
    stiff = 1.0 / (1.0 / web_n_mm(inputs) + 1.0 / shaft_support.rubber(inputs).soft_n_mm)
    line = shafts.weight_n_per_mm(inputs.shaft_mm, shaft.density_kg_m3)
    moved_kg = line * (aft + inputs.bearing_span_mm) / 2.0 / GRAVITY_M_S2
    return mechanics.with_soft_bearing_hz(rigid, stiff, moved_kg)


def preload_n(inputs: Inputs) -> Num:
    """Return the preload of a bolt of the foot, N.

    >>> round(float(preload_n(engineering_inputs("tunnel-hanger"))), -2)  # share of yield over the stress area of M12
    19200.0
    """
    return inputs.limit("bolt_preload") * inputs.bolt.yield_mpa * inputs.bolt_stress_mm2


# --- what is held in every case -------------------------------------------------------------------------------------


def _by_case(inputs: Inputs) -> dict[str, dict[str, Outcome]]:
    """Every number that is held in every load case: by code, then by the case's key."""
    known = load_cases.amplitudes(inputs)
    wanted: dict[str, Callable[[Inputs, Case, dict[str, Num]], Outcome]] = {
        "web_stress": _web,
        "foot_bolts": _bolts,
        "foot_bending": _bending,
        "foot_pressing": _pressing,
        "foot_behind": _behind,
    }
    if inputs.construction == "welded":
        wanted |= {"weld_at_foot": _weld}
    if _own(inputs).cap is not None:
        wanted |= {"cap_bolts": _cap_bolts, "cap_bending": _cap_bending, "cap_ears": _ears, "cap_sideways": _sideways}
    return {code: {c.key: held(inputs, c, known) for c in _cases(inputs)} for code, held in wanted.items()}


def _cases(inputs: Inputs) -> list[Case]:
    return [c for c in load_cases.cases(inputs) if not any(t.source == "rudder" for t in c.terms)]


def _felt(inputs: Inputs, case: Case, known: dict[str, Num], across: Num, axial: Num, couple: Num) -> Num:
    """What the loads of a case come to together: of a newton across the shaft, one along it, a N mm about it."""

    def reply(group: load_cases.Group, clock_deg: float | None) -> Num:
        return axial if group == "axial" else couple if group == "couple" else across if _across(group) else 0.0

    return load_cases.worst(case, known, reply)


def _across(group: load_cases.Group) -> bool:
    return group in ("propeller", "barrel")


def _section(inputs: Inputs) -> tuple[Num, Num]:
    """Length and thickness of the web at its weaker end; its half-round ends count as half."""
    web = inputs.arms[0]
    long = np.minimum(web.chord_barrel_mm, web.chord_palm_mm) - web.edge_radius_mm
    return long, np.minimum(web.thickness_barrel_mm, web.thickness_palm_mm)


def _eccentric_mm(inputs: Inputs, x_mm: Num) -> Num:
    """How far the load acts from a place along the shaft: the middle of the bearings, or a third from either end."""
    carry = load_paths.carry_x_mm(inputs) - inputs.bearing_x_mm
    return np.abs(inputs.bearing_x_mm - x_mm) + np.abs(carry)


def _web(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    """Bending both ways, pull, shear and twist at the foot, added as if all had their worst at one place."""
    web, (long, thick) = inputs.arms[0], _section(inputs)
    off, high = _eccentric_mm(inputs, web.x_mm), web.end_mm
    side, along, area = long * thick**2 / 6.0, thick * long**2 / 6.0, long * thick
    twist = long * thick**2 / 3.0 * (1.0 - 0.63 * thick / long)
    across = np.hypot(high / side + off / along + 1.0 / area, math.sqrt(3.0) * (off / twist + 1.5 / area))
    axial = np.hypot(high / along, math.sqrt(3.0) * 1.5 / area)
    stress = _felt(inputs, case, known, across, axial, 1.0 / side)
    return at_most(stress, case.allowed_of_yield * inputs.strut.yield_mpa)


def _pulls(inputs: Inputs) -> tuple[Num, Num, Num]:
    """The pull of the most loaded bolt of a rigid foot over its edge, without prying: of a newton across, along, of a
    N mm about."""
    palm, off = inputs.palms[0], _foot_off_mm(inputs)
    about_u, about_v = (
        greatest([mechanics.pull_per_moment(at, edge) for edge in edges])
        for at, edges in (
            (palm.holes_v_mm, (palm.starboard_mm, palm.port_mm)),
            (palm.holes_u_mm, (palm.aft_mm, palm.forward_mm)),
        )
    )
    turn = math.radians(_own(inputs).turned_deg)
    c, s = abs(math.cos(turn)), abs(math.sin(turn))
    # A moment about the shaft, and one about the line across it, in the foot's own axes.
    about_shaft, about_across = c * about_u + s * about_v, s * about_u + c * about_v
    high = _high_mm(inputs)
    across = np.maximum(high * about_shaft, 1.0 / palm.bolt_count + off * about_across)
    both = np.hypot(high * about_shaft, 1.0 / palm.bolt_count + off * about_across)
    return np.maximum(across, both), high * about_across, about_shaft


def _high_mm(inputs: Inputs) -> Num:
    """The farthest that the foot lies from the shaft line, any corner of it."""
    palm = inputs.palms[0]
    corners = [
        palm.zero_mm[2] + a * palm.u[2] + b * palm.v[2]
        for a in (palm.aft_mm, palm.forward_mm)
        for b in (palm.starboard_mm, palm.port_mm)
    ]
    return greatest([np.abs(c) for c in corners])


def _foot_off_mm(inputs: Inputs) -> Num:
    """How far, along the shaft and across it, the load acts from the middle of the foot's bolts."""
    palm = inputs.palms[0]
    u, v = np.mean(palm.holes_u_mm, axis=-1), np.mean(palm.holes_v_mm, axis=-1)
    x, y = (palm.zero_mm[k] + u * palm.u[k] + v * palm.v[k] for k in (0, 1))
    return length(_eccentric_mm(inputs, x), y)


def _on_foot(case: Case, known: dict[str, Num], reply: Reply) -> Num:
    """What the loads of a case come to by what a unit load of each does to the foot, in its worst direction."""

    def of(group: load_cases.Group, clock_deg: float | None) -> Num:
        if group in ("axial", "couple"):
            return reply(group, None)
        return reply("propeller", None) if _across(group) else 0.0

    return load_cases.worst(case, known, of)


@once
def _tensions_n(inputs: Inputs) -> dict[str, tuple[Num, Num]]:
    """In every case, by its key, the pull of the most loaded bolt of the foot, and the same with the load factor and
    prying at most; kept with the inputs."""
    known, pulls = load_cases.amplitudes(inputs), _pulls(inputs)
    return {case.key: _tension_n(inputs, case, known, pulls) for case in _cases(inputs)}


def _tension_n(inputs: Inputs, case: Case, known: dict[str, Num], pulls: tuple[Num, Num, Num]) -> tuple[Num, Num]:
    strip, palm, factor = bolt_forces.strips(inputs)[0], inputs.palms[0], case.load_factor
    on_bed = _on_foot(case, known, bolt_forces.replies(inputs, palm_bed.tension_n)[0])
    rigid = _felt(inputs, case, known, *pulls)
    pried = palm_plate.prying_force_n(
        factor * on_bed, strip.width_mm, palm.least_mm, inputs.strut.yield_mpa, strip.lever_mm, strip.edge_mm
    )
    most = factor * rigid * (1.0 + rules.pried_share(strip.lever_mm, np.maximum(strip.edge_mm, 1e-6)))
    return np.fmax(on_bed, rigid), np.fmax(factor * on_bed + pried, most)


def _bolts(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    """Pull and shear of the most loaded bolt; the foot turns about the middle of its bolts."""
    _, tension = _tensions_n(inputs)[case.key]
    shear = _on_foot(case, known, bolt_forces.shear_replies(inputs)[0])
    resist = bolts.strength(inputs)
    used = bolting.combined_utilisation(case.load_factor * shear, tension, resist.shear_n, resist.tension_n)
    return at_most(used, 1.0)


def _bending(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    """A strip of the foot from the toe of the web's root to a bolt, and the foot toward the edge that presses."""
    palm, strip = inputs.palms[0], bolt_forces.strips(inputs)[0]
    pull, _ = _tensions_n(inputs)[case.key]
    lifted = palm_plate.strip_bending_mpa(pull, strip.lever_mm, strip.width_mm, palm.least_mm)
    pressed = _on_foot(case, known, bolt_forces.replies(inputs, palm_bed.bending_n)[0])
    stress = np.fmax(lifted, 6.0 * pressed / palm.least_mm**2)
    return at_most(stress, case.allowed_of_yield * inputs.strut.yield_mpa)


def _behind(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    """The hardest pulled bolt on what lies behind the bed: its washer, or its share of the backing plate."""
    _, pull = _tensions_n(inputs)[case.key]
    return at_most(pull / bolts.behind_mm2(inputs, inputs.palms[0]), hull_bears(inputs).pressure_mpa)


def _pressing(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    """The foot on its bed as on an elastic one, and at its edges as if nothing but the half of its box carried."""
    palm = inputs.palms[0]
    long, wide = palm.forward_mm - palm.aft_mm, palm.port_mm - palm.starboard_mm
    least = 6.0 / (palm.area_mm2 * np.minimum(long, wide))
    high, off = _high_mm(inputs), _foot_off_mm(inputs)
    across = 1.0 / palm.area_mm2 + (high + off) * least
    pressure = _felt(inputs, case, known, 2.0 * across, 2.0 * high * least, 2.0 * least)
    on_bed = _on_foot(case, known, bolt_forces.replies(inputs, palm_bed.pressure_mpa)[0])
    return at_most(case.load_factor * np.fmax(pressure, on_bed), hull_bears(inputs).pressure_mpa)


def _weld(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    """Both runs of the fillet between web and foot as lines at the web's sides."""
    web, (long, thick) = inputs.arms[0], _section(inputs)
    throat = web.palm_root_mm / math.sqrt(2.0)
    area, off, high = 2.0 * throat * long, _eccentric_mm(inputs, web.x_mm), web.end_mm
    side, along = throat * long * thick, throat * long**2 / 3.0
    across = high / side + off / along + 1.0 / area + off / side
    stress = _felt(
        inputs, case, known, math.sqrt(2.0) * across, math.sqrt(3.0) * (high / along + 1.0 / area), 1.0 / side
    )
    partial = inputs.limit("joint_partial")
    return at_most(case.load_factor * stress, inputs.strut.ultimate_mpa / math.sqrt(3.0) / partial)


# --- cap ------------------------------------------------------------------------------------------------------------


def _cap(inputs: Inputs) -> Cap:
    cap = _own(inputs).cap
    assert cap is not None
    return cap


def _lift_per_n(inputs: Inputs) -> Num:
    """The pull of the most loaded cap bolt of a newton that lifts the cap."""
    stations = [at - inputs.barrel_length_mm / 2.0 for at in _cap(inputs).bolt.stations_mm]
    middle = add(*stations) / len(stations)
    return mechanics.cap_bolt_share(stations, middle + _eccentric_mm(inputs, middle))


def _cap_preload_n(inputs: Inputs) -> Num:
    return inputs.limit("bolt_preload") * inputs.bolt.yield_mpa * _cap(inputs).bolt.stress_mm2


def _cap_bolts(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    pull = _felt(inputs, case, known, _lift_per_n(inputs), 0.0, 1.0 / (2.0 * _cap(inputs).bolt.out_mm))
    return at_most(case.load_factor * pull, _cap_preload_n(inputs))


def _cap_long_mm(cap: Cap) -> Num:
    return cap.ear_to_mm - cap.ear_from_mm


def _cap_bending(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    """The cap as a beam from bolt to bolt, loaded over the bore; that it is an arch is left out."""
    cap = _cap(inputs)
    moment = (2.0 * cap.bolt.out_mm - inputs.bore_mm / 2.0) / 4.0
    modulus = inputs.barrel_length_mm * inputs.barrel_wall_mm**2 / 6.0
    stress = _felt(inputs, case, known, moment / modulus, 0.0, 0.0)
    return at_most(stress, case.allowed_of_yield * inputs.strut.yield_mpa)


def _ears(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    """Ears bent between bolt and barrel by the load, or by the preload where shims hold them apart at the bore."""
    cap = _cap(inputs)
    lever = np.maximum(cap.bolt.out_mm - inputs.barrel_outside_mm / 2.0, 0.0)
    deep = cap.ear_thickness_mm - cap.gap_mm / 2.0
    modulus = _cap_long_mm(cap) * deep**2 / 6.0
    stress = _felt(inputs, case, known, lever * _lift_per_n(inputs) * len(cap.bolt.stations_mm) / modulus, 0.0, 0.0)
    return at_most(stress, case.allowed_of_yield * inputs.strut.yield_mpa)


def _sideways(inputs: Inputs, case: Case, known: dict[str, Num]) -> Outcome:
    """What holds the cap sideways and fore and aft: its dowels, or where there are none the friction of its bolts."""
    cap, dowels = _cap(inputs), _cap(inputs).dowels
    if dowels is None:
        held = inputs.limit("cap_friction") * cap.bolt.count * _cap_preload_n(inputs)
        load = case.load_factor * _felt(inputs, case, known, 1.0, 1.0, 0.0)
        return at_most(load / np.float64(held), 1.0)  # without friction it bears nothing
    area = math.pi / 4.0 * dowels.diameter_mm**2 * 2.0 * len(dowels.stations_mm)
    stress = _felt(inputs, case, known, 1.0 / area, 1.0 / area, 0.0)
    return at_most(stress / (inputs.bolt.yield_mpa / math.sqrt(3.0)), case.allowed_of_yield)
