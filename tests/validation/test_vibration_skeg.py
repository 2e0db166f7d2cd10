"""Vibration and skeg loads against exact modal solutions, machine-design examples and rule figures.

Each check names its source and standing: published, from memory, calculated, library.
"""

from __future__ import annotations

import numpy as np
import pytest
from beam_support import tip_flexibility
from Pynite import FEModel3D
from scipy import linalg

from strutwright.models.formulas import beams, skeg_loads, vibration

PSI = 6.894757e-3
INCH = 25.4
POUND = 0.45359237
SPAN = [0.0, 1200.0]


# ---- structures


def test_added_mass_of_water() -> None:
    # hydrodynamics texts: rho pi (c/2)^2 and rho pi (t/2)^2; c 56, t 25, 1025 kg/m3: 2.5246 and 0.5031 kg/m
    water = vibration.added_mass(56.0, 25.0, 1025.0)
    assert water.across_kg_mm * 1000.0 == pytest.approx(2.5246, abs=5e-5)
    assert water.along_kg_mm * 1000.0 == pytest.approx(0.5031, abs=5e-5)


def test_strut_on_its_arms_against_a_library_eigensolver() -> None:
    # 6x6 generalised eigenproblem by the reference linear-algebra library
    flexibility = tip_flexibility(400.0, 1100.0, 27_500.0, 1.2e6, 60_000.0, 103_400.0, 38_582.0)
    arms = [beams.arm_barrel_stiffness(flexibility, beams.arm_axes(s * 0.6), np.zeros(3)) for s in (1.0, -1.0)]
    lever = beams.cross_matrix(np.array([-30.0, 0.0, 5.0]))
    spin = np.diag([2e4, 6e4, 6e4]) - 14.0 * lever @ lever
    mass = np.block([[14.0 * np.eye(3), -14.0 * lever], [14.0 * lever, spin]])
    reference = np.sqrt(1000.0 * linalg.eigh(sum(arms), mass, eigvals_only=True)) / (2.0 * np.pi)
    assert vibration.natural_modes(sum(arms, np.zeros((6, 6))), mass)[0] == pytest.approx(reference, rel=1e-8)


def test_single_arm_lumped_equals_the_rayleigh_form() -> None:
    # vibration textbooks: sqrt(3EI/(L^3 (M + 33/140 m)))/2 pi; bronze arm E 103.4 GPa, I 27 500, L 400, 12 kg tip,
    # 3.665 kg arm: 16.20 Hz in air (calculated). A mass free to turn has three frequencies.
    flexibility = tip_flexibility(400.0, 1100.0, 27_500.0, 1.2e6, 60_000.0, 103_400.0, 38_582.0)
    stiffness = beams.arm_barrel_stiffness(flexibility, beams.arm_axes(0.0), np.zeros(3))
    moving = 12.0 + 33.0 / 140.0 * 3.665
    found = vibration.natural_modes(stiffness, np.diag([moving, moving, moving, 0.0, 0.0, 0.0]))[0]
    assert found[0] == pytest.approx(16.20, abs=0.005)
    assert found[0] == pytest.approx(vibration.frequency_hz(3.0 * 103_400.0 * 27_500.0 / 400.0**3, moving), rel=1e-9)
    assert len(found) == 3


def test_pinned_and_built_in_beam_against_its_frequency_equation() -> None:
    # vibration textbooks: tan(x) = tanh(x), first root 3.926602
    root = vibration.PINNED_BUILT_IN**0.5
    assert np.tan(root) == pytest.approx(np.tanh(root), abs=1e-5)
    assert np.pi < root < 1.5 * np.pi


# ---- skeg


def test_rudder_force_example() -> None:
    # IACS UR S10 (from memory, high confidence): lambda 1.5, K2 1.1, A 0.25 m2, 20 kn: 16 940 N
    assert skeg_loads.rudder_force_n(0.25, 20.0, 1.5) == pytest.approx(16_940.0)
    # V under 10 kn is replaced by (V + 20)/3: 4 kn counts as 8
    assert skeg_loads.rule_speed_kn(np.array([4.0, 10.0, 12.0])) == pytest.approx([8.0, 10.0, 12.0])


def test_rudder_force_unit_by_dynamic_pressure() -> None:
    # physics: 1/2 rho V^2 A with V in knots is 136 A V^2, so the rule's 132 belongs to knots, not m/s
    dynamic = 0.5 * 1025.0 * (20.0 * 1852.0 / 3600.0) ** 2 * 1.0
    plate = skeg_loads.rudder_force_n(1.0, 20.0, 1.0) / skeg_loads.FOIL_FACTOR
    assert plate == pytest.approx(dynamic, rel=0.04)


def test_sole_piece_example() -> None:
    # IACS UR S10 (from memory): C_R 16 940, l 0.35 m: 8 470 N, 2 964.5 N m, 37.06 cm3
    heel = skeg_loads.heel_reaction_n(16_940.0)
    assert heel == 8_470.0
    assert skeg_loads.sole_piece_modulus_cm3(heel, 0.35, 1.0) == pytest.approx(37.06, abs=0.005)


def test_material_factor_of_castings_and_forgings() -> None:
    # UR S10 (caps read in a public copy of a rule that follows it, powers from memory): power 1 to 235 N/mm2 and 0.75
    # above, yield to 0.7 tensile or 450 at most; the hull steels of UR S4, 0.78 at 315 and 0.72 at 355, lie just under
    assert skeg_loads.material_factor(235.0) == 1.0
    assert skeg_loads.material_factor(170.0) == pytest.approx(235.0 / 170.0)
    for strength, hull_steel in ((315.0, 0.78), (355.0, 0.72)):
        assert skeg_loads.material_factor(strength) == pytest.approx(hull_steel, rel=0.035)
    assert skeg_loads.material_factor(725.0) == skeg_loads.material_factor(450.0)
    assert skeg_loads.material_factor(400.0, 500.0) == pytest.approx((235.0 / 350.0) ** 0.75)


def test_small_craft_force_order_of_magnitude() -> None:
    # ISO 12215-8 form (from memory, low confidence): A 0.25, V 20: 4 544 N
    assert skeg_loads.small_craft_rudder_force_n(0.25, 20.0) == pytest.approx(4_544.0, abs=1.0)


def test_heel_bush_example() -> None:
    # published ship-size rule: pin 40, 8 470 N on bronze (7.0): length 30.25
    check = skeg_loads.heel_bush(8_470.0, 40.0, 40.0, 7.0)
    assert check.least_length_mm == pytest.approx(30.25)
    assert check.pressure_mpa == pytest.approx(5.29375)


def test_skeg_actions_by_statics() -> None:
    # force 1000 N at 200 aft, 300 below: the fin bends over the depth outside the barrel and twists by the lever aft
    found = skeg_loads.skeg_actions(1000.0, 200.0, 300.0, 50.0, 120.0)
    assert found.fin_bending_nmm == pytest.approx(250e3)
    assert found.fin_twist_nmm == pytest.approx(200e3)
    assert found.foot_bending_nmm == pytest.approx(120e3)


def test_skeg_flexibility_against_a_frame_library() -> None:
    # reference library: fin and foot as a 3-D frame built in at the barrel
    e, g = 103_400.0, 38_582.0
    fin, foot = (2400.0, 90_000.0, 4e6, 300_000.0), (900.0, 60_000.0, 60_000.0, 100_000.0)
    model = FEModel3D()
    model.add_material("metal", e, g, 0.34, 8.3e-6)
    for name, (area, across, along, torsion) in (("fin", fin), ("foot", foot)):
        model.add_section(name, area, along, across, torsion)
    for name, x, z in (("barrel", 0.0, 0.0), ("corner", 0.0, -250.0), ("heel", -180.0, -250.0)):
        model.add_node(name, x, 0.0, z)
    model.add_member("fin", "barrel", "corner", "metal", "fin")
    model.add_member("foot", "corner", "heel", "metal", "foot")
    model.def_support("barrel", True, True, True, True, True, True)
    model.add_node_load("heel", "FY", 1000.0)
    model.analyze_linear()
    parts = skeg_loads.skeg_flexibility_mm_n(
        180.0, foot[1], 250.0, fin[1], fin[3], youngs_mpa=e, shear_mpa=g, foot_lever_mm=180.0
    )
    assert 1000.0 * parts == pytest.approx(model.nodes["heel"].DY["Combo 1"], rel=1e-6)
