"""Loads, arms, frames, bolts, palm plate and welds against published examples, closed forms and a frame
library.

Each check names its source and standing: published, from memory, calculated (from a stated formula),
reference
library.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from beam_support import gauss_stations_mm, tip_flexibility
from Pynite import FEModel3D
from scipy import integrate, special
from scipy.integrate import solve_bvp
from strength_support import rectangle_weld

from strutwright.models.checks.strength.welds import weld_round
from strutwright.models.formulas import arm_rules, beams, bolts, loads, palm_plate, welds
from strutwright.models.sections import kind_of
from strutwright.params import limits, tables

FloatArray = npt.NDArray[np.float64]

E, G = 103_400.0, 38_582.0
AREA, I_CHORD, I_THICK, TORSION = 1100.0, 27_500.0, 1.2e6, 60_000.0
LENGTH, HALF_ANGLE = 400.0, np.radians(35.0)
LOAD = np.array([300.0, 400.0, 500.0, 1e4, 2e4, 3e4])


# ---- arm rules


def limit(name: str) -> float:
    return limits.standard()[name].value


@pytest.mark.parametrize(("kind", "inertia", "modulus"), [("vee", 27_500.0, 3_000.0), ("single", 112_500.0, 8_500.0)])
def test_class_type_arm_scantlings(kind: str, inertia: float, modulus: float) -> None:
    # ABS Part 3 shaft struts, 50 mm shaft (coefficients from memory, medium confidence)
    assert limit(f"arm_inertia_{kind}") * 50.0**4 == pytest.approx(inertia)
    assert limit(f"arm_modulus_{kind}") * 50.0**3 == pytest.approx(modulus)
    # a leg at the limit of 10.6 d, 530 mm, is no shorter than the rule means
    longest, least = limit("arm_length") * 50.0, limit("arm_modulus_short")
    assert arm_rules.short_leg_factor(530.0, longest, least) == pytest.approx(1.0)
    assert arm_rules.short_leg_factor(0.9 * 530.0, longest, least) == pytest.approx(0.9)
    assert arm_rules.short_leg_factor(0.5 * 530.0, longest, least) == pytest.approx(0.85)


def test_class_type_arm_scantlings_in_inches() -> None:
    # the same formulas are homogeneous: 2 in shaft gives 0.0704 in4, 0.192 in3, 0.288 in4, 0.544 in3, 21.2 in
    assert limit("arm_inertia_vee") * 2.0**4 == pytest.approx(0.0704)
    assert limit("arm_modulus_vee") * 2.0**3 == pytest.approx(0.192)
    assert limit("arm_inertia_single") * 2.0**4 == pytest.approx(0.288)
    assert limit("arm_modulus_single") * 2.0**3 == pytest.approx(0.544)
    assert arm_rules.short_leg_factor(21.2, limit("arm_length") * 2.0, limit("arm_modulus_short")) == pytest.approx(1.0)


def test_plate_arms_against_shell_plating() -> None:
    # published, same guidance: rule shell 6 mm gives 9 mm (two arms) and 12 mm (single arm)
    assert limit("arm_plate_vee") * 6.0 == 9.0
    assert limit("arm_plate_single") * 6.0 == 12.0


def test_gl_arm_area_and_thickness() -> None:
    # GL I-1-1 (from memory): 50 mm shaft gives 1100 mm2 and 22 mm
    assert limit("arm_area_vee") * 50.0**2 == pytest.approx(1100.0)
    assert limit("arm_thickness_vee") * 50.0 == pytest.approx(22.0)


@pytest.mark.parametrize(
    ("blades", "angle", "away"), [(4, 90.0, 0.0), (3, 90.0, 30.0), (4, 70.0, 20.0), (5, 72.0, 0.0), (3, 120.0, 0.0)]
)
def test_legs_against_blades(blades: int, angle: float, away: float) -> None:
    # principle published in a boat handbook (two blades must not line up with both legs); figures by
    # arithmetic
    assert arm_rules.blade_line_up(angle, blades) == pytest.approx(away, abs=1e-9)


def test_clear_leg_angles() -> None:
    # arithmetic: half way between multiples of 360/Z
    assert arm_rules.clear_v_angles(3) == pytest.approx((60.0,))
    assert arm_rules.clear_v_angles(4) == pytest.approx((45.0, 135.0))
    assert arm_rules.clear_v_angles(5) == pytest.approx((108.0,))


def test_weaker_metals_need_more_modulus() -> None:
    # 415/U for a weaker alloy, nothing off for a stronger one (class-type wording, from memory)
    assert arm_rules.modulus_strength_factor(np.array([310.0, 585.0])) == pytest.approx([415 / 310, 1.0])


# ---- loads


def test_blade_loss_force() -> None:
    # (2 pi N/60)^2 R m: 2 kg at 120 mm, 2000 rpm gives 10 527.6 N; 2.2 kg at 168 mm, 1450 rpm 8.5 kN
    # (calculated)
    assert loads.blade_loss_force_n(2.0, 120.0, 2000.0) == pytest.approx(10_527.6, abs=0.05)
    assert loads.blade_loss_force_n(2.2, 168.0, 1450.0) == pytest.approx(8_500.0, rel=0.005)


def test_hinge_force() -> None:
    # plastic theory: 100 x 20 rectangle on edge, b d^2/4, yield 170, lever 300 gives 28 333 N (calculated)
    assert loads.hinge_force_n(170.0, 20.0 * 100.0**2 / 4.0, 300.0) == pytest.approx(28_333.3, abs=0.1)


def test_blade_outline_model_against_circle_geometry() -> None:
    # a uniform half-ellipse blade is an affine circle: segment area and centroid (standard geometry,
    # published)
    part = loads.blade_part(0.9, hub_ratio=0.0, tip_thickness_ratio=1.0)
    angle = 2.0 * np.arccos(0.8)
    share = (angle - np.sin(angle)) / (2.0 * np.pi)
    centroid = 4.0 * np.sin(angle / 2.0) ** 3 / (3.0 * (angle - np.sin(angle)))
    assert part.mass_share == pytest.approx(share, rel=1e-12)
    assert part.centre_ratio == pytest.approx(0.5 + 0.5 * centroid, rel=1e-12)
    assert loads.blade_part(0.0, 0.0, 1.0).centre_ratio == pytest.approx(0.5, rel=1e-12)


def test_blade_outline_model_by_quadrature() -> None:
    # the stated outline integrated by a library
    def slice_mass(x: float) -> float:
        return float(np.sqrt(x * (1.0 - x)) * (1.0 - 0.85 * x))

    whole, _ = integrate.quad(slice_mass, 0.2, 1.0)
    tip, _ = integrate.quad(slice_mass, 0.9, 1.0)
    moment, _ = integrate.quad(lambda x: x * slice_mass(x), 0.9, 1.0)
    part = loads.blade_part(0.9, 0.2, 0.15)
    assert part.mass_share == pytest.approx(tip / whole, rel=1e-8)
    assert part.centre_ratio == pytest.approx(moment / tip, rel=1e-8)


def test_overhung_reactions_against_moment_balance() -> None:
    # statics: 25 kg propeller 150 beyond a 1200 span, 50 mm steel shaft; moments about the inner support by
    # hand
    line = np.pi / 4.0 * 50.0**2 * 7880e-9 * 9.80665
    weight = loads.weight_n(25.0)
    found = loads.overhung_reactions(1200.0, 150.0, weight, line)
    assert found.strut_n * 1200.0 == pytest.approx(weight * 1350.0 + line * 1350.0 * 675.0, rel=1e-12)
    assert found.moment_nmm == pytest.approx(weight * 150.0 + line * 150.0 * 75.0, rel=1e-12)


def test_thrust_units() -> None:
    # thrust: P eta = T V by definition
    assert loads.thrust_n(100.0, 10.0, 0.6) * 10.0 * 1852.0 / 3600.0 == pytest.approx(60_000.0)


# ---- beams, frames


def v_stiffness(flexibility: FloatArray, offset_mm: float = 0.0) -> FloatArray:
    """Stiffness of a rigid barrel on a symmetric V whose arms begin at a distance from its centre."""
    axes = [beams.arm_axes(side * HALF_ANGLE) for side in (1.0, -1.0)]
    return np.sum([beams.arm_barrel_stiffness(flexibility, a, offset_mm * a[2]) for a in axes], axis=0)


def test_symmetric_v_in_its_plane() -> None:
    # slope-deflection closed form, E 103 400, A 1100, I 27 500, L 400, 35 degrees, 1000 N (calculated, verified once
    # against a separate 3-freedom stiffness matrix)
    stiffness = v_stiffness(tip_flexibility(LENGTH, AREA, I_CHORD, I_THICK, TORSION, E, G))
    along = np.linalg.solve(stiffness, np.array([0.0, 0.0, 1000.0, 0.0, 0.0, 0.0]))
    across = np.linalg.solve(stiffness, np.array([0.0, 1000.0, 0.0, 0.0, 0.0, 0.0]))
    assert along[2] == pytest.approx(0.0026181147, rel=1e-7)
    assert across[1] == pytest.approx(0.0053397282, rel=1e-7)
    assert abs(across[3]) == pytest.approx(1.6402685e-5, rel=1e-7)


def _library_v(sections: list[tuple[float, float, float, float]], offset_mm: float = 0.0) -> FloatArray:
    """Barrel motion of a V by the reference frame library; sections from barrel to hull, stiff links inside it."""
    model = FEModel3D()
    model.add_node("barrel", 0.0, 0.0, 0.0)
    model.add_material("metal", E, G, 0.34, 8.3e-6)
    model.add_section("stiff", 1e7, 1e12, 1e12, 1e12)
    for k, (area, i_chord, i_thick, torsion) in enumerate(sections):
        model.add_section(f"s{k}", area, i_thick, i_chord, torsion)
    count = len(sections)
    for name, side in (("port", 1.0), ("starboard", -1.0)):
        previous = "barrel"
        if offset_mm:
            previous = f"{name} foot"
            model.add_node(previous, 0.0, offset_mm * np.sin(side * HALF_ANGLE), offset_mm * np.cos(HALF_ANGLE))
            model.add_member(f"{name} link", "barrel", previous, "metal", "stiff")
        for k in range(count):
            node = f"{name}{k}"
            reach = offset_mm + LENGTH * (k + 1) / count
            model.add_node(node, 0.0, reach * np.sin(side * HALF_ANGLE), reach * np.cos(HALF_ANGLE))
            model.add_member(f"m{node}", previous, node, "metal", f"s{k}")
            # the library's local z must be the chord for the section figures above to be the right way round
            assert abs(model.members[f"m{node}"].T()[2, 0]) == pytest.approx(1.0)
            previous = node
        model.def_support(previous, True, True, True, True, True, True)
    for direction, value in zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), LOAD, strict=True):
        model.add_node_load("barrel", direction, value)
    model.analyze_linear()
    barrel = model.nodes["barrel"]
    return np.array([getattr(barrel, k)["Combo 1"] for k in ("DX", "DY", "DZ", "RX", "RY", "RZ")])


def test_v_frame_out_of_plane_against_a_frame_library() -> None:
    # reference library: 3-D frame finite elements; loads in and out of plane and all three moments
    stiffness = v_stiffness(tip_flexibility(LENGTH, AREA, I_CHORD, I_THICK, TORSION, E, G))
    reference = _library_v([(AREA, I_CHORD, I_THICK, TORSION)])
    assert np.linalg.solve(stiffness, LOAD) == pytest.approx(reference, rel=1e-6)


def _taper(s: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Elliptic arm, chord 90 to 140 and thickness 22 to 34 from barrel to hull, as section figures at s."""
    chord, thick = 90.0 + 50.0 * s / LENGTH, 22.0 + 12.0 * s / LENGTH
    return (
        np.pi / 4.0 * chord * thick,
        np.pi / 64.0 * chord * thick**3,
        np.pi / 64.0 * chord**3 * thick,
        np.pi * chord**3 * thick**3 / (16.0 * (chord**2 + thick**2)),
    )


def test_tapered_arms_against_a_frame_library() -> None:
    # reference library with the taper cut into 60 steps a leg; agreement is limited by the steps
    middles = LENGTH * (np.arange(60) + 0.5) / 60
    reference = _library_v(list(zip(*(figure.tolist() for figure in _taper(middles)), strict=True)))
    stiffness = v_stiffness(tip_flexibility(LENGTH, *_taper(gauss_stations_mm(LENGTH, 8)), E, G))
    assert np.linalg.solve(stiffness, LOAD) == pytest.approx(reference, rel=5e-4)


def test_tapered_cantilever_by_library_quadrature() -> None:
    # unit-load integral of the same taper by an adaptive quadrature library
    flexibility = tip_flexibility(LENGTH, *_taper(gauss_stations_mm(LENGTH, 8)), E, G)
    for (row, column), power, which in (((1, 1), 2, 1), ((1, 3), 1, 1), ((0, 0), 2, 2), ((4, 4), 0, 2)):
        exact, _ = integrate.quad(lambda s, p=power, w=which: s**p / (E * _taper(np.asarray(s))[w]), 0.0, LENGTH)
        assert flexibility[row, column] == pytest.approx(exact, rel=1e-7)


def test_uniform_cantilever_closed_forms() -> None:
    # beam tables: P L^3/3EI, P L^2/2EI; with shear P L/(G A_s)
    flexibility = tip_flexibility(LENGTH, AREA, I_CHORD, I_THICK, TORSION, E, G, shear_factor=1.2)
    bending = LENGTH**3 / (3.0 * E * I_CHORD)
    assert flexibility[1, 1] == pytest.approx(bending + 1.2 * LENGTH / (G * AREA), rel=1e-12)
    assert flexibility[1, 3] == pytest.approx(LENGTH**2 / (2.0 * E * I_CHORD), rel=1e-12)
    assert flexibility[2, 2] == pytest.approx(LENGTH / (E * AREA))
    assert flexibility[5, 5] == pytest.approx(LENGTH / (G * TORSION))


def test_arms_that_begin_outside_a_rigid_barrel_against_a_frame_library() -> None:
    # reference library: links a hundred million times as stiff in bending as the arms stand for the barrel
    stiffness = v_stiffness(tip_flexibility(LENGTH, AREA, I_CHORD, I_THICK, TORSION, E, G), 45.0)
    reference = _library_v([(AREA, I_CHORD, I_THICK, TORSION)], 45.0)
    assert np.linalg.solve(stiffness, LOAD) == pytest.approx(reference, rel=1e-4)


# ---- bolts


def group(points: FloatArray, box: tuple[float, float, float, float] = (-150.0, 150.0, -100.0, 100.0)) -> Any:
    return bolts.bolt_group(*points.T.tolist(), *box)


@pytest.mark.parametrize(
    ("half_u", "half_v", "force", "lever", "share", "most"),
    [
        # Shigley's Mechanical Engineering Design 9th ed. Ex 8-7: printed 21.0 kN on the worst bolt (20.973 recomputed)
        (75.0, 60.0, 16_000.0, 425.0, 4_000.0, 20_973.0),
        # open companion code of a machine-elements textbook: 10 kN, 500 mm, 200 x 150: 12 093.4 N
        (100.0, 75.0, 10_000.0, 500.0, 2_500.0, 12_093.4),
    ],
)
def test_bolt_group_published_examples(
    half_u: float, half_v: float, force: float, lever: float, share: float, most: float
) -> None:
    four = group(np.array([[half_u, half_v], [half_u, -half_v], [-half_u, half_v], [-half_u, -half_v]]))
    straight = float(bolts.shear_n(four, (0.0, force, 0.0, 0.0, 0.0, 0.0)))
    twist = float(bolts.shear_n(four, (0.0, 0.0, 0.0, 0.0, 0.0, force * lever)))
    assert straight == pytest.approx(share)
    # the printed resultant is the vector sum at the corner that the force pushes the way the twist does
    along = twist * half_u / np.hypot(half_u, half_v)
    assert np.hypot(share + along, twist * half_v / np.hypot(half_u, half_v)) == pytest.approx(most, abs=1.0)
    # here the two are added as if along one line, on the safe side
    both = float(bolts.shear_n(four, (0.0, force, 0.0, 0.0, 0.0, force * lever)))
    assert both == pytest.approx(straight + twist)
    assert most <= both <= 1.10 * most


def test_shear_of_a_published_bracket() -> None:
    # companion code of a machine-elements textbook, Ex 7.5: 25 kN on four bolts, 8 108.1 N of tension on the far row:
    # shear 6 250 N, and the printed area 98.022213 mm2 by the greatest shear stress at an allowable of 76 N/mm2
    rows = np.array([[-30.0, 25.0], [30.0, 25.0], [-30.0, 150.0], [30.0, 150.0]])
    four = group(rows, (-50.0, 50.0, 0.0, 175.0))
    shear = float(bolts.shear_n(four, (25_000.0, 0.0, 0.0, 0.0, 0.0, -25_000.0 * rows[:, 1].mean())))
    assert shear == pytest.approx(6_250.0)
    assert np.hypot(8_108.1 / 2.0, shear) / 76.0 == pytest.approx(98.022213, abs=1e-3)


def test_m12_stainless_countersunk_example() -> None:
    # EN 1993-1-8 Table 3.4 (from memory, high confidence): M12 A4-70, d0 13.5, fu 485, t 12, countersink 6.5 deep:
    # alpha_b 0.617, k1 2.5, 62.87 kN
    fub = tables.material("A4-70").ultimate_mpa
    assert fub is not None
    bearing = bolts.bearing_resistance_n(
        12.0,
        13.5,
        12.0 - 6.5 / 2.0,
        plate_tensile_mpa=485.0,
        bolt_tensile_mpa=fub,
        edge_mm=25.0,
        pitch_mm=60.0,
        gamma=limit("joint_partial"),
    )
    assert bearing == pytest.approx(62_870.0, abs=5.0)
    assert bearing == pytest.approx(2.5 * 0.6173 * 485.0 * 12.0 * 8.75 / 1.25, rel=1e-4)
    assert bolts.bolt_tension_resistance_n(fub, 84.3, limit("joint_partial"), True) == pytest.approx(29_740.0, abs=5.0)
    assert bolts.bolt_shear_resistance_n(fub, 84.3, limit("joint_partial")) == pytest.approx(23_600.0, abs=5.0)
    assert bolts.combined_utilisation(11_802.0, 20_818.7, 23_604.0, 29_741.0) == pytest.approx(1.0, abs=1e-4)


def test_shear_of_a_class_8_8_bolt_as_printed() -> None:
    # EN 1993-1-8 Table 3.4, M22 of class 8.8: 0.6 x 800 x 303 / 1.25 = 116.35 kN, a printed check (typed copy). Here
    # every bolt has the 0.5 of the stainless and bronze ones.
    found = bolts.bolt_shear_resistance_n(800.0, 303.0, 1.25)
    assert found * 0.6 / 0.5 == pytest.approx(116_350.0, abs=10.0)


def test_tear_out_is_capped_by_the_bolts_bearing() -> None:
    # AISC 360 J3.10 (typed copy): 1.2 l_c t Fu, no more than 2.4 d t Fu, which governs where l_c is over two diameters
    for edge, clear in ((12.5 + 5.5, 12.5), (20.0 + 5.5, 20.0), (30.0 + 5.5, 20.0)):
        assert bolts.tear_out_n(10.0, edge, 11.0, 8.0, 500.0) == pytest.approx(1.2 * clear * 8.0 * 500.0)


@pytest.mark.parametrize(("size", "area", "torque"), [(8, 36.6, 13), (10, 58.0, 25), (12, 84.3, 44), (16, 157, 109)])
def test_tightening_torque_table(size: float, area: float, torque: float) -> None:
    # A4-70, 60 % of 450 N/mm2, K 0.16 (calculated table, N m)
    found = limit("nut_factor") * size * limit("bolt_preload") * 450.0 * area / 1000.0
    assert found == pytest.approx(torque, abs=0.6)


@pytest.mark.parametrize("wide", [1.2, 1.5, 2.0, 3.0, 6.0])
def test_a_backing_plate_round_a_washer_by_its_equation(wide: float) -> None:
    """Slope of a ring plate held level at radius 1, free at its rim, pressed evenly: phi'' + phi' / r - phi / r^2 =
    -Q / D, by collocation (scipy); bending at the washer is at yield, f t^2 / 6."""
    nu = 0.3

    def bends(r: Any, y: Any) -> Any:
        return np.array([y[1], -y[1] / r + y[0] / r**2 + (wide**2 - r * r) / (2.0 * r)])

    def ends(low: Any, high: Any) -> Any:
        return np.array([low[0], high[1] + nu * high[0] / wide])

    found = solve_bvp(bends, ends, np.linspace(1.0, wide, 100), np.zeros((2, 100)), tol=1e-8)
    thickness = float(bolts.backing_thickness_mm(2.0, 2.0 * wide, 10.0, 235.0))
    assert 235.0 * thickness**2 / 6.0 == pytest.approx(10.0 * abs(float(found.sol(1.0)[1])), rel=1e-4)
    # never thinner than the strip of EN 1993-1-8 6.2.5 (published), which it comes to for a narrow rim
    strip = (wide - 1.0) * np.sqrt(3.0 * 10.0 / 235.0)
    assert strip <= thickness <= 1.45 * strip


# ---- palm plate


@pytest.mark.parametrize("bolt", [20e3, 40e3, 80e3, 200e3])
def test_t_stub_modes_change_where_the_literature_says(bolt: float) -> None:
    # T-stub theory (published): beta = 4M/(m 2B), lambda = n/m: mode 1 to beta = 2 lambda/(1 + 2 lambda),
    # mode 3
    # from beta = 2
    m, e, length, plate, strength = 30.0, 40.0, 120.0, 14.0, 235.0
    n, plastic = min(e, 1.25 * m), 0.25 * length * plate**2 * strength
    beta, ratio = 4.0 * plastic / (m * 2.0 * bolt), n / m
    modes = (4.0 * plastic / m, (2.0 * plastic + n * 2.0 * bolt) / (m + n), 2.0 * bolt)
    expected = 0 if beta < 2 * ratio / (1 + 2 * ratio) else 1 if beta < 2 else 2
    assert palm_plate.t_stub_n(length, plate, strength, bolt, m, e) == pytest.approx(modes[expected])


def test_prying_is_what_turns_mode_two_into_its_bolt_force() -> None:
    # equilibrium: at the mode-2 load of a T-stub the bolts carry T + Q = their resistance exactly
    m, e, length, plate, strength, bolt = 30.0, 40.0, 120.0, 14.0, 235.0, 60e3
    tension = palm_plate.t_stub_n(length, plate, strength, bolt, m, e) / 2.0
    assert tension + palm_plate.prying_force_n(tension, length, plate, strength, m, e) == pytest.approx(bolt)


def test_mode_one_prying_reaches_its_greatest() -> None:
    yields = palm_plate.t_stub_n(120.0, 8.0, 235.0, 200e3, 30.0, 40.0)
    greatest = 0.25 * 120.0 * 64.0 * 235.0 / 37.5
    assert palm_plate.prying_force_n(yields / 2.0, 120.0, 8.0, 235.0, 30.0, 40.0) == pytest.approx(greatest)


def test_strip_bending_by_hand() -> None:
    # 10 kN at 30 mm, head 24: width 84, 6 M/(b t^2) = 1.8e6/(84 x 256) = 83.7 MPa (strength of materials)
    width = palm_plate.strip_width_mm(30.0, 24.0, 100.0)
    assert width == pytest.approx(84.0)
    assert palm_plate.strip_bending_mpa(10_000.0, 30.0, width, 16.0) == pytest.approx(83.7, abs=0.05)
    assert palm_plate.strip_width_mm(30.0, 24.0, 60.0) == 60.0


# ---- welds


def test_weld_line_modulus_of_a_rectangle() -> None:
    # welded-structures handbook table: c t + t^2/3 = 2708.3 mm2 for 100 x 25; polar (b + d)^3/6; length 250
    line = rectangle_weld(100.0, 25.0)
    assert 1.0 / line.out_per_x == pytest.approx(2_708.3, abs=0.05)
    assert 1.0 / line.out_per_y == pytest.approx(25.0 * 100.0 + 100.0**2 / 3.0)
    assert 1.0 / line.per_force == pytest.approx(250.0)
    assert 50.0 / line.twist_y == pytest.approx(125.0**3 / 6.0)
    assert 12.5 / line.twist_x == pytest.approx(125.0**3 / 6.0)


def test_two_lines_of_the_handbook_are_a_flat_rectangle() -> None:
    # handbook table: two lines near each other S = b d about their own direction, J = d (3 b^2 + d^2)/6 with length d
    # and gap b; their joining ends are as good as nothing where the gap is small
    length, gap = 1000.0, 0.1
    line = rectangle_weld(length, gap)
    assert 1.0 / line.out_per_x == pytest.approx(length * gap, rel=1e-3)
    assert length / 2.0 / line.twist_y == pytest.approx(length * (3.0 * gap**2 + length**2) / 6.0, rel=1e-3)


def test_weld_line_of_a_circle() -> None:
    # welded-structures handbook table: length pi d, S = pi d^2/4, J = pi d^3/4; a full round flat and an ellipse as
    # thick as long are circles
    for kind in ("flat", "ellipse"):
        line = weld_round(kind_of(kind).girth(40.0, 40.0, None))
        assert 1.0 / float(line.per_force) == pytest.approx(math.pi * 40.0, rel=2e-3)
        assert [1.0 / float(v) for v in (line.out_per_x, line.out_per_y)] == pytest.approx(
            [400.0 * math.pi] * 2, rel=2e-3
        )
        assert 20.0 / float(line.twist_y) == pytest.approx(math.pi * 40.0**3 / 4.0, rel=2e-3)


@pytest.mark.parametrize("share", [0.06, 0.2, 0.45, 0.9])
def test_weld_line_of_an_ellipse_by_integration(share: float) -> None:
    # length by the complete elliptic integral, second moments by quadrature of y^2 ds and x^2 ds
    a, b = 50.0, 50.0 * share
    made = kind_of("ellipse").girth(2.0 * a, 2.0 * b, None)

    def round_it(part: Callable[[float], float]) -> float:
        pace = lambda w: part(w) * math.hypot(a * math.sin(w), b * math.cos(w))  # noqa: E731
        return float(4.0 * integrate.quad(pace, 0.0, math.pi / 2.0)[0])

    assert made.length_mm == pytest.approx(4.0 * a * special.ellipe(1.0 - share**2), rel=3e-3)
    assert made.ixx_mm3 == pytest.approx(round_it(lambda w: (b * math.sin(w)) ** 2), rel=3e-3)
    assert made.iyy_mm3 == pytest.approx(round_it(lambda w: (a * math.cos(w)) ** 2), rel=3e-3)


def test_weld_round_a_foil_takes_half_of_that_round_a_rectangle() -> None:
    # bending about the chord: by sums over the profile of NACA Report 460 (20 % thick), y = 5 t (0.2969 root x - ...)
    x = np.linspace(0.0, 1.0, 20_001) ** 2
    y = 5.0 * 20.0 * (0.2969 * np.sqrt(x) - 0.1260 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)
    each = np.hypot(100.0 * np.diff(x), np.diff(y))
    side = 2.0 * float(np.sum(((y[1:] + y[:-1]) / 2.0) ** 2 * each)) + 2.0 / 3.0 * float(y[-1]) ** 3
    line = weld_round(kind_of("foil").girth(100.0, 20.0, None))
    assert 1.0 / float(line.out_per_x) == pytest.approx(side / 10.0, rel=3e-3)
    assert 1.85 < float(line.out_per_x) / float(rectangle_weld(100.0, 20.0).out_per_x) < 1.95


def test_minimum_legs_and_throat() -> None:
    # AISC 360 Table J2.4M (published, typed copy) 6: 3, 13: 5, 19: 6, over: 8 mm; AWS D1.1 (from memory) has 12 and 20;
    # the larger leg; and beside them 1/8, 3/16, 1/4 and 5/16 in, of which the lesser serves; throat 0.707 leg
    found = welds.minimum_leg_mm(np.array([6.0, 6.1, 12.0, 12.1, 19.0, 19.1, 20.0]))
    inch = 25.4 / 16
    assert found == pytest.approx(np.array([3.0, 3 * inch, 3 * inch, 6.0, 6.0, 5 * inch, 5 * inch]))
    assert welds.throat_mm(10.0) == pytest.approx(7.071, abs=1e-3)


def test_weld_limits_of_a_structural_steel() -> None:
    # EN 1993-1-8 teaching texts (published): S355, fu 490, beta 0.9: 435.6 N/mm2
    assert welds.directional_limit_mpa(490.0, 0.9, limit("joint_partial")) == pytest.approx(435.6, abs=0.05)
