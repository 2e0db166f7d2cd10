"""Loads, arms, frames, bolts, palm plate and welds against published examples, closed forms and a frame
library.

Each check names its source and standing: published, from memory, calculated (from a stated formula),
reference
library.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from Pynite import FEModel3D
from scipy import integrate, optimize

from strutwright.models.formulas import arm_rules, beams, bolts, frames3d, loads, palm_plate, welds

FloatArray = npt.NDArray[np.float64]

E, G = 103_400.0, 38_582.0
AREA, I_CHORD, I_THICK, TORSION = 1100.0, 27_500.0, 1.2e6, 60_000.0
LENGTH, HALF_ANGLE = 400.0, np.radians(35.0)
LOAD = np.array([300.0, 400.0, 500.0, 1e4, 2e4, 3e4])


# ---- arm rules


@pytest.mark.parametrize(("kind", "inertia", "modulus"), [("V", 27_500.0, 3_000.0), ("I", 112_500.0, 8_500.0)])
def test_class_type_arm_scantlings(kind: arm_rules.ArmKind, inertia: float, modulus: float) -> None:
    # ABS Part 3 shaft struts, 50 mm shaft (coefficients from memory, medium confidence)
    assert arm_rules.abs_arm_inertia(50.0, kind).value == pytest.approx(inertia)
    assert arm_rules.abs_arm_modulus(50.0, kind).value == pytest.approx(modulus)
    assert arm_rules.leg_length_limit(50.0).value == pytest.approx(530.0)


def test_class_type_arm_scantlings_in_inches() -> None:
    # the same formulas are homogeneous: 2 in shaft gives 0.0704 in4, 0.192 in3, 0.288 in4, 0.544 in3, 21.2 in
    assert arm_rules.abs_arm_inertia(2.0, "V").value == pytest.approx(0.0704)
    assert arm_rules.abs_arm_modulus(2.0, "V").value == pytest.approx(0.192)
    assert arm_rules.abs_arm_inertia(2.0, "I").value == pytest.approx(0.288)
    assert arm_rules.abs_arm_modulus(2.0, "I").value == pytest.approx(0.544)
    assert arm_rules.leg_length_limit(2.0).value == pytest.approx(21.2)


def test_leg_angle_of_two_arm_brackets() -> None:
    # published: high-speed light craft guidance Pt 4 Ch 2 Sec 6: not less than 50 degrees
    assert not arm_rules.v_angle_accepted(49.0)
    assert arm_rules.v_angle_accepted(50.0)


def test_plate_arms_against_shell_plating() -> None:
    # published, same guidance: rule shell 6 mm gives 9 mm (two arms) and 12 mm (single arm)
    assert arm_rules.plate_arm_thickness(6.0, "V").value == 9.0
    assert arm_rules.plate_arm_thickness(6.0, "I").value == 12.0


def test_gl_arm_area_and_thickness() -> None:
    # GL I-1-1 (from memory): 50 mm shaft gives 1100 mm2 and 22 mm
    assert arm_rules.gl_arm_area(50.0).value == pytest.approx(1100.0)
    assert arm_rules.gl_arm_thickness(50.0).value == pytest.approx(22.0)


@pytest.mark.parametrize(
    ("blades", "angle", "away"), [(4, 90.0, 0.0), (3, 90.0, 30.0), (4, 70.0, 20.0), (5, 72.0, 0.0), (3, 120.0, 0.0)]
)
def test_legs_against_blades(blades: int, angle: float, away: float) -> None:
    # principle published in a boat handbook (two blades must not line up with both legs); figures by
    # arithmetic
    assert arm_rules.blade_line_up(angle, blades).value == pytest.approx(away, abs=1e-9)


def test_clear_leg_angles() -> None:
    # arithmetic: half way between multiples of 360/Z
    assert arm_rules.clear_v_angles(3).value == pytest.approx((60.0,))
    assert arm_rules.clear_v_angles(4).value == pytest.approx((45.0, 135.0))
    assert arm_rules.clear_v_angles(5).value == pytest.approx((108.0,))


def test_low_confidence_figures_are_only_hints() -> None:
    assert arm_rules.old_proportions(50.0, "I").hint_only
    assert arm_rules.modulus_strength_factor(310.0).hint_only
    assert not arm_rules.v_angle_minimum().hint_only
    # 415/U for a weaker alloy, nothing off for a stronger one (class-type wording, from memory)
    assert arm_rules.modulus_strength_factor(np.array([310.0, 585.0])).value == pytest.approx([415 / 310, 1.0])


# ---- loads


def test_blade_loss_force() -> None:
    # (2 pi N/60)^2 R m: 2 kg at 120 mm, 2000 rpm gives 10 527.6 N; 2.2 kg at 168 mm, 1450 rpm 8.5 kN
    # (calculated)
    assert loads.blade_loss_force_n(2.0, 120.0, 2000.0) == pytest.approx(10_527.6, abs=0.05)
    assert loads.blade_loss_force_n(2.2, 168.0, 1450.0) == pytest.approx(8_500.0, rel=0.005)


def test_hinge_load() -> None:
    # plastic theory: 100 x 20 rectangle on edge, yield 170, lever 300 gives 28 333 N (calculated)
    modulus = loads.plastic_modulus_rectangle_mm3(100.0, 20.0)
    assert loads.hinge_load(170.0, modulus, 300.0).force_n == pytest.approx(28_333.3, abs=0.1)


def test_plastic_modulus_of_an_ellipse_by_integration() -> None:
    # definition: first moment of the two halves, integrated
    half, _ = integrate.quad(lambda y: y * 20.0 * np.sqrt(1.0 - (y / 50.0) ** 2), 0.0, 50.0)
    assert loads.plastic_modulus_ellipse_mm3(100.0, 20.0) == pytest.approx(2.0 * half, rel=1e-7)


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
    assert found.strut_n + found.inner_n == pytest.approx(weight + 1350.0 * line, rel=1e-12)
    assert found.moment_nmm == pytest.approx(weight * 150.0 + line * 150.0 * 75.0, rel=1e-12)


def test_thrust_and_blade_rate_units() -> None:
    # thrust: P eta = T V by definition; blade rate Z n
    assert loads.thrust_n(100.0, 10.0, 0.6) * 10.0 * 1852.0 / 3600.0 == pytest.approx(60_000.0)
    assert loads.blade_rate_hz(4, 1000.0) == pytest.approx(66.667, abs=1e-3)


def test_weight_in_water() -> None:
    # Archimedes: a body of twice the density of water loses half its weight
    assert loads.weight_in_water_n(10.0, 2050.0, 1025.0) == pytest.approx(0.5 * 98.0665)


def test_case_moments_are_lever_times_force() -> None:
    # statics: a rudder force to port at a heel 200 aft, 300 below gives rolling d B and yawing -x B
    sources = {"rudder": loads.LoadSource(1000.0, (-200.0, 0.0, -300.0)), "overhung_weight": loads.LoadSource(50.0)}
    case = next(c for c in loads.DEFAULT_CASES if c.name.startswith("E"))
    found = loads.case_loads(case, sources)
    assert found.force_n[0] == pytest.approx([0.0, 1000.0, -50.0], abs=1e-9)
    assert found.moment_nmm[0] == pytest.approx([300e3, 0.0, -200e3], abs=1e-6)
    assert found.moment_nmm[1] == pytest.approx([-300e3, 0.0, 200e3], abs=1e-6)


def test_cases_round_trip_and_refuse_nonsense() -> None:
    for case in loads.DEFAULT_CASES:
        assert loads.load_case_from_mapping(loads.load_case_to_mapping(case)) == case
    with pytest.raises(ValueError, match="sideways"):
        loads.load_case_from_mapping({"name": "x", "terms": [{"kind": "turn_side", "direction": "sideways"}]})
    with pytest.raises(ValueError, match="blade_loss"):
        loads.case_loads(loads.DEFAULT_CASES[0], {"overhung_weight": loads.LoadSource(1.0)})


# ---- beams, frames


def test_symmetric_v_in_its_plane() -> None:
    # slope-deflection closed form, E 103 400, A 1100, I 27 500, L 400, 35 degrees, 1000 N (calculated,
    # verified once
    # against a separate 3-freedom stiffness matrix)
    data = (E, AREA, I_CHORD, LENGTH, HALF_ANGLE)
    assert frames3d.v_deflection_along_mm(1000.0, *data) == pytest.approx(0.0026181, rel=1e-4)
    assert frames3d.v_deflection_across_mm(1000.0, *data) == pytest.approx(0.0053397, rel=1e-4)
    assert frames3d.v_rotation_across_rad(1000.0, *data) == pytest.approx(1.64027e-5, rel=1e-4)
    assert frames3d.v_axial_forces_n(1000.0, 0.0, HALF_ANGLE)[0] == pytest.approx(610.39, abs=0.005)
    assert frames3d.v_axial_forces_n(0.0, 1000.0, HALF_ANGLE)[1] == pytest.approx(-871.72, abs=0.005)


def test_summed_arm_stiffness_equals_the_closed_v() -> None:
    flexibility = beams.tip_flexibility(LENGTH, AREA, I_CHORD, I_THICK, TORSION, E, G)
    stiffness = np.sum(
        [
            frames3d.arm_barrel_stiffness(flexibility, beams.arm_axes(side * HALF_ANGLE), np.zeros(3))
            for side in (1, -1)
        ],
        axis=0,
    )
    along = frames3d.barrel_motion(stiffness, np.array([0.0, 0.0, 1000.0, 0.0, 0.0, 0.0]))
    across = frames3d.barrel_motion(stiffness, np.array([0.0, 1000.0, 0.0, 0.0, 0.0, 0.0]))
    assert along[2] == pytest.approx(0.0026181147, rel=1e-7)
    assert across[1] == pytest.approx(0.0053397282, rel=1e-7)
    assert abs(across[3]) == pytest.approx(1.6402685e-5, rel=1e-7)


def _library_v(sections: list[tuple[float, float, float, float]]) -> dict[str, Any]:
    """Barrel motion and hull-end actions of a V by the reference frame library; sections from barrel to
    hull."""
    model = FEModel3D()
    model.add_node("barrel", 0.0, 0.0, 0.0)
    model.add_material("metal", E, G, 0.34, 8.3e-6)
    for k, (area, i_chord, i_thick, torsion) in enumerate(sections):
        model.add_section(f"s{k}", area, i_thick, i_chord, torsion)
    count = len(sections)
    for name, side in (("port", 1.0), ("starboard", -1.0)):
        previous = "barrel"
        for k in range(count):
            node = f"{name}{k}"
            reach = LENGTH * (k + 1) / count
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
    root = model.nodes[f"port{count - 1}"]
    return {
        "motion": np.array([getattr(barrel, k)["Combo 1"] for k in ("DX", "DY", "DZ", "RX", "RY", "RZ")]),
        "root": np.array([getattr(root, f"Rxn{k}")["Combo 1"] for k in ("FX", "FY", "FZ", "MX", "MY", "MZ")]),
    }


def test_v_frame_out_of_plane_against_a_frame_library() -> None:
    # reference library: 3-D frame finite elements; loads in and out of plane and all three moments
    reference = _library_v([(AREA, I_CHORD, I_THICK, TORSION)])
    flexibility = beams.tip_flexibility(LENGTH, AREA, I_CHORD, I_THICK, TORSION, E, G)
    axes = [beams.arm_axes(side * HALF_ANGLE) for side in (1.0, -1.0)]
    stiffness = np.sum([frames3d.arm_barrel_stiffness(flexibility, a, np.zeros(3)) for a in axes], axis=0)
    motion = frames3d.barrel_motion(stiffness, LOAD)
    assert motion == pytest.approx(reference["motion"], rel=1e-6)
    # section actions at the port hull end, turned back into the strut frame, are what the hull resists
    tip = frames3d.arm_tip_loads(flexibility, axes[0], np.zeros(3), motion)
    root = beams.section_forces(tip[:3], tip[3:], LENGTH)
    hull_force = axes[0].T @ np.array([root.shear_chord_n, root.shear_thick_n, root.axial_n])
    hull_moment = axes[0].T @ np.array([root.moment_chord_nmm, -root.moment_thick_nmm, root.torsion_nmm])
    assert np.concatenate([hull_force, hull_moment]) == pytest.approx(reference["root"], rel=1e-5, abs=1e-3)


def test_general_solver_against_a_frame_library() -> None:
    reference = _library_v([(AREA, I_CHORD, I_THICK, TORSION)] * 2)
    arms = [
        frames3d.FrameArm(
            (0.0, 0.0, 0.0),
            (0.0, LENGTH * np.sin(side * HALF_ANGLE), LENGTH * np.cos(HALF_ANGLE)),
            (1.0, 0.0, 0.0),
            [AREA] * 2,
            [I_CHORD] * 2,
            [I_THICK] * 2,
            [TORSION] * 2,
            E,
            G,
        )
        for side in (1.0, -1.0)
    ]
    nodes, elements, hull = frames3d.strut_frame(arms)
    force = np.zeros((len(nodes), 6))
    force[0] = LOAD
    found = frames3d.solve_frame(nodes, elements, hull, force)
    assert found.motions[0] == pytest.approx(reference["motion"], rel=1e-6)
    assert found.reactions[hull[0]] == pytest.approx(reference["root"], rel=1e-6, abs=1e-3)
    assert found.reactions.sum(axis=0)[:3] == pytest.approx(-LOAD[:3])


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
    flexibility = beams.tip_flexibility(LENGTH, *_taper(beams.gauss_stations_mm(LENGTH, 8)), E, G)
    stiffness = np.sum(
        [
            frames3d.arm_barrel_stiffness(flexibility, beams.arm_axes(side * HALF_ANGLE), np.zeros(3))
            for side in (1.0, -1.0)
        ],
        axis=0,
    )
    assert frames3d.barrel_motion(stiffness, LOAD) == pytest.approx(reference["motion"], rel=5e-4)


def test_tapered_cantilever_by_library_quadrature() -> None:
    # unit-load integral of the same taper by an adaptive quadrature library
    flexibility = beams.tip_flexibility(LENGTH, *_taper(beams.gauss_stations_mm(LENGTH, 8)), E, G)
    for (row, column), power, which in (((1, 1), 2, 1), ((1, 3), 1, 1), ((0, 0), 2, 2), ((4, 4), 0, 2)):
        exact, _ = integrate.quad(lambda s, p=power, w=which: s**p / (E * _taper(np.asarray(s))[w]), 0.0, LENGTH)
        assert flexibility[row, column] == pytest.approx(exact, rel=1e-7)


def test_uniform_cantilever_closed_forms() -> None:
    # beam tables: P L^3/3EI, P L^2/2EI; with shear P L/(G A_s)
    flexibility = beams.tip_flexibility(LENGTH, AREA, I_CHORD, I_THICK, TORSION, E, G, 1.2)
    bending = beams.cantilever_deflection_mm(1.0, LENGTH, E, I_CHORD)
    assert bending == pytest.approx(64e6 / (3 * 103_400 * 27_500))
    assert flexibility[1, 1] == pytest.approx(bending + 1.2 * LENGTH / (G * AREA), rel=1e-12)
    assert flexibility[1, 3] == pytest.approx(beams.cantilever_rotation_rad(1.0, LENGTH, E, I_CHORD), rel=1e-12)
    assert flexibility[2, 2] == pytest.approx(LENGTH / (E * AREA))
    assert flexibility[5, 5] == pytest.approx(LENGTH / (G * TORSION))


def test_offset_barrel_general_solver_agrees_with_summed_stiffness() -> None:
    # two independent routes: direct stiffness with rigid links against inverted flexibilities (Timoshenko
    # shear)
    unit = [np.array([0.0, np.sin(s * HALF_ANGLE), np.cos(HALF_ANGLE)]) for s in (1.0, -1.0)]
    arms = [
        frames3d.FrameArm(
            tuple(45.0 * d),
            tuple(400.0 * d),
            (1.0, 0.0, 0.0),
            [AREA] * 3,
            [I_CHORD] * 3,
            [I_THICK] * 3,
            [TORSION] * 3,
            E,
            G,
            1.2,
        )
        for d in unit
    ]
    nodes, elements, hull = frames3d.strut_frame(arms)
    direct = frames3d.condensed_stiffness(nodes, elements, hull, 0)
    flexibility = beams.tip_flexibility(355.0, AREA, I_CHORD, I_THICK, TORSION, E, G, 1.2)
    summed = np.sum(
        [
            frames3d.arm_barrel_stiffness(flexibility, beams.arm_axes(s * HALF_ANGLE), 45.0 * d)
            for s, d in zip((1.0, -1.0), unit, strict=True)
        ],
        axis=0,
    )
    assert direct == pytest.approx(summed, rel=1e-9, abs=1e-9 * np.abs(summed).max())


def test_loose_frame_is_refused() -> None:
    element = frames3d.FrameElement(0, 1, AREA, I_CHORD, I_THICK, TORSION, E, G, (1.0, 0.0, 0.0))
    nodes = np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 100.0]])
    with pytest.raises(ValueError, match="no length"):
        frames3d.solve_frame(np.zeros((2, 3)), [element], [1], np.zeros((2, 6)))
    along = frames3d.FrameElement(0, 1, AREA, I_CHORD, I_THICK, TORSION, E, G, (0.0, 0.0, 1.0))
    with pytest.raises(ValueError, match="along the beam"):
        frames3d.solve_frame(nodes, [along], [1], np.zeros((2, 6)))


def test_arm_stress_of_a_rectangle_by_hand() -> None:
    # strength of materials: P L/(b h^2/6), N/A, sides tension/compression as a cantilever bends
    outline = np.array([[[-50.0, -10.0], [50.0, -10.0], [50.0, 10.0], [-50.0, 10.0]]])
    figures = (np.array([2000.0]), np.array([100 * 20**3 / 12]), np.array([20 * 100**3 / 12]), np.array([13_000.0]))
    push_forward = np.array([1000.0, 0.0, 0.0])
    stress = beams.arm_stress(push_forward, np.zeros(3), np.array([300.0]), outline, *figures)
    bending = 1000.0 * 300.0 / (20 * 100**2 / 6)
    # the barrel pushed forward puts the trailing edge in tension
    assert stress.direct_mpa[0] == pytest.approx([bending, -bending, -bending, bending])
    assert stress.shear_mpa[0] == pytest.approx(1.5 * 1000.0 / 2000.0)
    push_up = np.array([0.0, 0.0, 1000.0])
    pressed = beams.arm_stress(push_up, np.zeros(3), np.array([300.0]), outline, *figures)
    assert pressed.direct_mpa[0] == pytest.approx([-0.5] * 4)


def test_published_style_arm_example() -> None:
    # 8.5 kN at the end of a 350 mm arm, root modulus 17 200 mm3: 173 MPa (calculated)
    outline = np.array([[[0.0, 17.0], [0.0, -17.0]]])
    stress = beams.arm_stress(
        np.array([0.0, 8500.0, 0.0]),
        np.zeros(3),
        np.array([350.0]),
        outline,
        np.array([4400.0]),
        np.array([17_200.0 * 17.0]),
        np.array([8e6]),
        np.array([3e4]),
    )
    assert np.abs(stress.direct_mpa).max() == pytest.approx(173.0, abs=0.1)


# ---- bolts


def test_bolt_group_published_example() -> None:
    # Shigley's Mechanical Engineering Design 9th ed. Ex 8-7: printed 21.0 and 14.8 kN (20.973, 14.789
    # recomputed)
    points = np.array([[75.0, 60.0], [75.0, -60.0], [-75.0, 60.0], [-75.0, -60.0]])
    size = np.linalg.norm(bolts.bolt_shears_n(points, 0.0, 16_000.0, 16_000.0 * 425.0), axis=-1)
    assert size.max() == pytest.approx(20_973.0, abs=1.0)
    assert size.min() == pytest.approx(14_789.0, abs=1.0)


def test_bolt_group_second_published_example() -> None:
    # open companion code of a machine-elements textbook: 10 kN, 500 mm, 200 x 150: 12 093.4 and 8 139.4 N
    points = np.array([[100.0, 75.0], [100.0, -75.0], [-100.0, 75.0], [-100.0, -75.0]])
    size = np.linalg.norm(bolts.bolt_shears_n(points, 0.0, 10_000.0, 10_000.0 * 500.0), axis=-1)
    assert size.max() == pytest.approx(12_093.4, abs=0.5)
    assert size.min() == pytest.approx(8_139.4, abs=0.5)


ROWS = np.array([[-30.0, 25.0], [30.0, 25.0], [-30.0, 150.0], [30.0, 150.0]])
BRACKET = np.array([[-50.0, 0.0], [50.0, 0.0], [50.0, 175.0], [-50.0, 175.0]])


def test_toe_hinge_published_example() -> None:
    # same companion code, Ex 7.5: 25 kN at 100 mm, rows 150 and 25 from the heel: 8 108.1 N, shear 6 250 N,
    # and the
    # printed area 98.022213 mm2 by the greatest shear stress at an allowable of 76 N/mm2
    tension = bolts.bolt_tensions_toe_n(ROWS, BRACKET, 0.0, -25_000.0 * 100.0, 0.0)
    assert tension[2:] == pytest.approx(8_108.1, abs=0.05)
    assert tension[:2] == pytest.approx(8_108.1 * 25.0 / 150.0, abs=0.05)
    shear = np.linalg.norm(bolts.bolt_shears_n(ROWS, 25_000.0, 0.0, -25_000.0 * ROWS[:, 1].mean()), axis=-1)
    assert shear == pytest.approx(6_250.0)
    assert np.hypot(tension[2] / 2.0, shear[2]) / 76.0 == pytest.approx(98.022213, abs=1e-5)


def test_contact_iteration_reaches_the_toe_hinge_on_a_stiff_bed() -> None:
    # published bracket rule is the limit of an infinitely stiff bed
    found = bolts.bolt_tensions_contact(ROWS, BRACKET, 0.0, -2.5e6, 0.0, 1e5, 1e6, across=400)
    assert found.tension_n[2:] == pytest.approx(8_108.1, rel=0.005)


def test_contact_iteration_balances_and_finds_the_published_neutral_axis() -> None:
    # a strip without tension bolts under eccentric load outside the middle third: soil-mechanics / footing
    # formula
    # (published texts): p_max = 2 N / (3 b (h/2 - e)), pressed depth 3 (h/2 - e)
    outline = np.array([[-50.0, -100.0], [50.0, -100.0], [50.0, 100.0], [-50.0, 100.0]])
    bolt_at_pressed_side = np.array([[0.0, 60.0], [10.0, 60.0]])
    load, eccentricity = 10_000.0, 60.0
    found = bolts.bolt_tensions_contact(
        bolt_at_pressed_side, outline, load, load * eccentricity, 0.0, 1e3, 1.0, across=800
    )
    assert found.tension_n == pytest.approx([0.0, 0.0], abs=1e-6)
    assert found.pressure_mpa.max() == pytest.approx(2 * load / (3 * 100.0 * (100.0 - eccentricity)), rel=0.01)
    pressed = found.cells_mm[found.pressure_mpa > 0.0, 1]
    assert pressed.max() - pressed.min() == pytest.approx(3 * (100.0 - eccentricity), rel=0.01)


def test_elastic_tensions_balance_the_load() -> None:
    # statics: sums of tension, and of tension times lever, equal the wrench
    tension = bolts.bolt_tensions_elastic_n(ROWS, -1000.0, -2.5e6, 3e5)
    assert tension.sum() == pytest.approx(1000.0)
    assert (tension * ROWS[:, 1]).sum() == pytest.approx(2.5e6)
    assert (tension * ROWS[:, 0]).sum() == pytest.approx(3e5)


def test_bolts_on_a_line_cannot_hold_a_moment_about_it() -> None:
    line = np.array([[0.0, -50.0], [0.0, 50.0]])
    with pytest.raises(ValueError, match="one line"):
        bolts.bolt_tensions_elastic_n(line, 0.0, 0.0, 1e5)


def test_m12_stainless_countersunk_example() -> None:
    # EN 1993-1-8 Table 3.4 (from memory, high confidence): M12 A4-70, d0 13.5, fu 485, t 12, countersink 6.5
    # deep
    material = bolts.BOLT_MATERIALS["A4-70"]
    bearing = bolts.bearing_resistance(
        12.0, 13.5, 12.0, 485.0, material.tensile_mpa, 25.0, 25.0, 60.0, countersink_mm=6.5
    )
    assert bearing.alpha_b == pytest.approx(0.617, abs=5e-4)
    assert bearing.k1 == pytest.approx(2.5)
    assert bearing.force_n == pytest.approx(62_870.0, abs=5.0)
    assert bolts.bolt_tension_resistance_n(material.tensile_mpa, 84.3) == pytest.approx(29_740.0, abs=5.0)
    assert bolts.bolt_shear_resistance_n(material.tensile_mpa, 84.3) == pytest.approx(23_600.0, abs=5.0)
    assert bolts.combined_utilisation(11_802.0, 20_818.7, 23_604.0, 29_741.0) == pytest.approx(1.0, abs=1e-4)


@pytest.mark.parametrize(
    ("diameter", "pitch", "area"),
    [(6, 1.0, 20.1), (8, 1.25, 36.6), (10, 1.5, 58.0), (12, 1.75, 84.3), (16, 2.0, 157.0), (20, 2.5, 245.0)],
)
def test_stress_areas(diameter: float, pitch: float, area: float) -> None:
    # ISO 898-1 table (from memory, high confidence)
    assert bolts.stress_area_mm2(diameter, pitch) == pytest.approx(area, rel=0.003)


@pytest.mark.parametrize(("size", "area", "torque"), [(8, 36.6, 13), (10, 58.0, 25), (12, 84.3, 44), (16, 157, 109)])
def test_tightening_torque_table(size: float, area: float, torque: float) -> None:
    # A4-70, 60 % of 450 N/mm2, K 0.16 (calculated table, N m)
    found = bolts.tightening_torque_nmm(bolts.preload_n(area, 450.0), size) / 1000.0
    assert found == pytest.approx(torque, abs=0.6)


def test_edge_distances() -> None:
    # AISC 360 Table J3.4 rows (from memory): 1/2 in 3/4 in, 5/8 in 7/8 in; EN 1993-1-8 Table 3.3 1.2 d0, 2.4
    # d0;
    # light-craft guidance 1.7 d and 3 d (published)
    assert bolts.edge_minimum(12.7, 13.5, "aisc").value == pytest.approx(19.05)
    assert bolts.edge_minimum(15.875, 17.0, "aisc").value == pytest.approx(22.225)
    assert bolts.edge_minimum(38.1, 40.0, "aisc").value == pytest.approx(1.25 * 38.1)
    assert bolts.edge_minimum(12.0, 13.5).value == pytest.approx(16.2)
    assert bolts.pitch_minimum(12.0, 13.5).value == pytest.approx(32.4)
    assert bolts.edge_minimum(10.0, 11.0, "light craft").value == pytest.approx(17.0)
    assert bolts.pitch_minimum(10.0, 11.0, "light craft").value == pytest.approx(30.0)


def test_backing_plate_is_the_inverse_of_the_spread_width() -> None:
    # EN 1993-1-8 6.2.5 (published): c = t sqrt(fy/(3 p))
    thickness = bolts.backing_thickness_mm(25.0, 10.0, 235.0)
    assert thickness * np.sqrt(235.0 / 30.0) == pytest.approx(25.0)
    # the strip is then just at yield: p c^2/2 = fy t^2/6
    at_yield = 235.0 * thickness**2 / 6.0
    assert at_yield == pytest.approx(10.0 * 25.0**2 / 2.0)


# ---- palm plate


@pytest.mark.parametrize("bolt", [20e3, 40e3, 80e3, 200e3])
def test_t_stub_modes_change_where_the_literature_says(bolt: float) -> None:
    # T-stub theory (published): beta = 4M/(m 2B), lambda = n/m: mode 1 to beta = 2 lambda/(1 + 2 lambda),
    # mode 3
    # from beta = 2
    m, e, length, plate, strength = 30.0, 40.0, 120.0, 14.0, 235.0
    stub = palm_plate.t_stub(length, plate, strength, bolt, m, e)
    ratio = min(e, 1.25 * m) / m
    beta = 4.0 * 0.25 * length * plate**2 * strength / (m * 2.0 * bolt)
    expected = 1 if beta < 2 * ratio / (1 + 2 * ratio) else 2 if beta < 2 else 3
    assert stub.mode == expected
    assert stub.resistance_n == pytest.approx(min(stub.mode1_n, stub.mode2_n, stub.mode3_n))


def test_prying_is_what_turns_mode_two_into_its_bolt_force() -> None:
    # equilibrium: at the mode-2 load of a T-stub the bolts carry T + Q = their resistance exactly
    m, e, length, plate, strength, bolt = 30.0, 40.0, 120.0, 14.0, 235.0, 60e3
    stub = palm_plate.t_stub(length, plate, strength, bolt, m, e)
    assert stub.mode == 2
    tension = stub.resistance_n / 2.0
    assert tension + palm_plate.prying_force_n(tension, length, plate, strength, m, e) == pytest.approx(bolt)


def test_mode_one_prying_reaches_its_greatest() -> None:
    stub = palm_plate.t_stub(120.0, 8.0, 235.0, 200e3, 30.0, 40.0)
    greatest = 0.25 * 120.0 * 64.0 * 235.0 / 37.5
    assert stub.mode == 1
    assert palm_plate.prying_force_n(stub.resistance_n / 2.0, 120.0, 8.0, 235.0, 30.0, 40.0) == pytest.approx(greatest)


def test_effective_lengths() -> None:
    # EN 1993-1-8 Table 6.4 (from memory): inner bolt min(2 pi m, 4 m + 1.25 e)
    assert palm_plate.effective_length_mm(30.0, 40.0) == pytest.approx(170.0)
    assert palm_plate.effective_length_mm(30.0, 60.0) == pytest.approx(188.496, abs=1e-3)
    assert palm_plate.effective_length_mm(30.0, 40.0, end_mm=25.0) == pytest.approx(110.0)


def test_strip_bending_by_hand() -> None:
    # 10 kN at 30 mm, head 24: width 84, 6 M/(b t^2) = 1.8e6/(84 x 256) = 83.7 MPa (strength of materials)
    strip = palm_plate.strip_bending(10_000.0, 30.0, 16.0, 24.0, 100.0, 170.0)
    assert strip.width_mm == pytest.approx(84.0)
    assert strip.stress_mpa == pytest.approx(83.7, abs=0.05)
    assert palm_plate.strip_bending(10_000.0, 30.0, 16.0, 24.0, 60.0, 170.0).width_mm == 60.0


# ---- welds


def test_weld_line_modulus_of_a_rectangle() -> None:
    # welded-structures handbook table: c t + t^2/3 = 2708.3 mm2 for 100 x 25; polar (b + d)^3/6
    line = welds.weld_rectangle(100.0, 25.0)
    assert welds.section_modulus_x_mm2(line) == pytest.approx(2_708.3, abs=0.05)
    assert line.length_mm == pytest.approx(250.0)
    assert line.polar_mm3 == pytest.approx(125.0**3 / 6.0)


def test_weld_line_tables() -> None:
    # handbook table: two lines S = b d (here length 80, gap 40), J = d (3 b^2 + d^2)/6 with length d;
    # circle S = pi d^2/4, J = pi d^3/4
    lines = welds.weld_two_lines(80.0, 40.0)
    assert welds.section_modulus_x_mm2(lines) == pytest.approx(80.0 * 40.0)
    assert lines.polar_mm3 == pytest.approx(80.0 * (3.0 * 40.0**2 + 80.0**2) / 6.0)
    circle = welds.weld_circle(60.0)
    assert circle.i_x_mm3 / 30.0 == pytest.approx(np.pi * 60.0**2 / 4.0)
    assert circle.polar_mm3 == pytest.approx(np.pi * 60.0**3 / 4.0)
    fine = welds.weld_polyline(circle.segments_mm[:, 0])
    assert fine.i_x_mm3 == pytest.approx(circle.i_x_mm3, rel=0.01)


def test_weld_stress_by_hand() -> None:
    # line method: bending M/S/a, direct F/(L a), twist M r/(J a)
    line = welds.weld_rectangle(100.0, 25.0)
    bending = welds.weld_stress(line, np.zeros(3), np.array([1e6, 0.0, 0.0]), 5.0)
    assert bending.resultant_mpa.max() == pytest.approx(1e6 / (2_708.333 * 5.0), rel=1e-6)
    direct = welds.weld_stress(line, np.array([0.0, 0.0, 1e4]), np.zeros(3), 5.0)
    assert direct.resultant_mpa == pytest.approx(1e4 / (250.0 * 5.0))
    twist = welds.weld_stress(line, np.zeros(3), np.array([0.0, 0.0, 1e6]), 5.0)
    assert twist.resultant_mpa.max() == pytest.approx(1e6 * np.hypot(50.0, 12.5) / (line.polar_mm3 * 5.0))


def test_directional_method_textbook_factors() -> None:
    # EN 1993-1-8 teaching texts (published): a fillet pair pulled square to its plane: s = t = F/(sqrt2 a L),
    # equivalent sqrt2 F/(a L); pulled along: sqrt3 F/(a L)
    lines = welds.weld_two_lines(100.0, 20.0)
    square = welds.weld_stress(lines, np.array([0.0, 0.0, 1e5]), np.zeros(3), 5.0)
    assert square.equivalent_mpa == pytest.approx(np.sqrt(2.0) * 1e5 / (200.0 * 5.0))
    assert square.normal_mpa == pytest.approx(1e5 / (np.sqrt(2.0) * 200.0 * 5.0))
    along = welds.weld_stress(lines, np.array([1e5, 0.0, 0.0]), np.zeros(3), 5.0)
    assert along.equivalent_mpa == pytest.approx(np.sqrt(3.0) * 1e5 / (200.0 * 5.0))


def test_unsymmetric_weld_balances() -> None:
    # an L of two runs has a product of inertia; the line loads must still give back the moment (statics)
    line = welds.weld_segments(np.array([[[0.0, 0.0], [80.0, 0.0]], [[0.0, 0.0], [0.0, 50.0]]]))
    moment = np.array([2e5, 1e5, 0.0])
    stress = welds.weld_stress(line, np.zeros(3), moment, 1.0)
    # out-of-plane load is linear along each run, so recover the plane from sign-free resultants at run ends
    ends = (line.segments_mm - np.asarray(line.centroid_mm)).reshape(-1, 2)
    size = stress.resultant_mpa.reshape(-1)
    inertia = np.array([[line.i_x_mm3, line.i_xy_mm3], [line.i_xy_mm3, line.i_y_mm3]])
    rates = optimize.fsolve(lambda r: inertia @ r - np.array([moment[0], -moment[1]]), np.zeros(2))
    assert size == pytest.approx(np.abs(rates[0] * ends[:, 1] + rates[1] * ends[:, 0]), rel=1e-6, abs=1e-6)


def test_single_weld_run_is_refused_for_a_moment_about_itself() -> None:
    run = welds.weld_segments(np.array([[[0.0, 0.0], [30.0, 40.0]]]))
    with pytest.raises(ValueError, match="single straight"):
        welds.weld_stress(run, np.zeros(3), np.array([3e4, 4e4, 0.0]), 5.0)
    # about the other axis it holds: M/(L^2/6)/a (beam formula)
    held = welds.weld_stress(run, np.zeros(3), np.array([-4e4, 3e4, 0.0]), 5.0)
    assert held.resultant_mpa.max() == pytest.approx(5e4 / (50.0**2 / 6.0) / 5.0)


def test_minimum_legs_and_throat() -> None:
    # AWS D1.1 minimum fillet size (from memory, high confidence): 6: 3, 12: 5, 20: 6, over: 8 mm, and beside them
    # 1/8, 3/16, 1/4 and 5/16 in, of which the lesser serves; throat 0.707 leg
    found = welds.minimum_leg(np.array([6.0, 6.1, 12.0, 12.1, 20.0, 21.0])).value
    assert found == pytest.approx(np.array([3.0, 3 / 16 * 25.4, 3 / 16 * 25.4, 6.0, 6.0, 5 / 16 * 25.4]))
    assert welds.throat_mm(10.0) == pytest.approx(7.071, abs=1e-3)


@pytest.mark.parametrize("between", [54.5, 75.0, 90.0, 104.3, 125.5, 150.0])
def test_throat_of_a_skewed_fillet(between: float) -> None:
    """Height over the long side of a triangle with both legs given: twice its area over that side (plane geometry)."""
    leg, turn = 16.0, np.radians(between)
    toes = np.array([[leg, 0.0], [leg * np.cos(turn), leg * np.sin(turn)]])
    area = abs(toes[0, 0] * toes[1, 1] - toes[0, 1] * toes[1, 0]) / 2
    assert welds.throat_mm(leg, between) == pytest.approx(2 * area / float(np.linalg.norm(toes[0] - toes[1])))


@pytest.mark.parametrize("between", [54.5, 75.0, 90.0, 104.3, 125.5, 150.0])
def test_throat_of_a_groove_on_a_skewed_joint(between: float) -> None:
    """Distance of the groove's root from the line between the toes, by coordinates (plane geometry)."""
    leg, depth, turn = 9.0, 7.0, np.radians(between)
    # The other part lies along x, the plate's side runs up from the corner; the root is under the plate.
    side = np.array([np.cos(turn), np.sin(turn)])
    root = np.array([-depth / side[1], 0.0])
    assert abs(side[0] * root[1] - side[1] * root[0]) == pytest.approx(depth)  # square to the plate's side
    toes = np.array([[leg, 0.0], leg * side])
    along = toes[1] - toes[0]
    away = abs(along[0] * (root - toes[0])[1] - along[1] * (root - toes[0])[0]) / float(np.linalg.norm(along))
    assert welds.groove_throat_mm(leg, depth, between) == pytest.approx(away)


def test_weld_limits_of_a_structural_steel() -> None:
    # EN 1993-1-8 teaching texts (published): S355, fu 490, beta 0.9: directional 435.6, simplified 251.5
    # N/mm2
    factor = welds.correlation_factor("S355").value
    assert welds.directional_limit_mpa(490.0, factor) == pytest.approx(435.6, abs=0.05)
    assert welds.simplified_limit_mpa(490.0, factor) == pytest.approx(251.5, abs=0.05)
    assert welds.normal_limit_mpa(490.0) == pytest.approx(352.8)
