"""Vibration and skeg loads against exact modal solutions, machine-design examples and rule figures.

Each check names its source and standing: published, from memory, calculated, library.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import linalg, optimize

from strutwright.models.formulas import beams, frames3d, skeg_loads, vibration

PSI = 6.894757e-3
INCH = 25.4
POUND = 0.45359237


# ---- arms


def test_cantilever_frequency_coefficients() -> None:
    # vibration textbooks: (beta L)^2 = 3.51602 with no tip mass; 1.557298 and 0.756937 at mass ratio 1 and 5
    # (calculated from the frequency equation, once outside this project)
    found = vibration.cantilever_coefficient(np.array([0.0, 1.0, 5.0]))
    assert found == pytest.approx([3.51602, 1.557298, 0.756937], abs=1e-5)


def test_rayleigh_coefficients() -> None:
    # textbook 33/140: 3.5675, 1.558122, 0.756960 (calculated): unit E I, L, arm mass, so f 2 pi is the
    # coefficient
    for ratio, coefficient in ((0.0, 3.5675), (1.0, 1.558122), (5.0, 0.756960)):
        frequency = vibration.cantilever_frequency_rayleigh_hz(1e-3, 1.0, 1.0, ratio, 1.0)
        assert 2.0 * np.pi * frequency == pytest.approx(coefficient, abs=5e-5)


def test_arm_with_tip_mass_example() -> None:
    # bronze arm E 103.4 GPa, I 27 500, L 400, 12 kg tip, 3.665 kg arm: 16.20 Hz in air, 16.05 Hz with 1.01
    # kg of water
    air = vibration.cantilever_frequency_rayleigh_hz(103_400.0, 27_500.0, 400.0, 12.0, 3.665)
    water = vibration.cantilever_frequency_rayleigh_hz(103_400.0, 27_500.0, 400.0, 12.0, 3.665 + 1.01)
    assert air == pytest.approx(16.20, abs=0.005)
    assert water == pytest.approx(16.05, abs=0.005)


def test_added_mass_of_water() -> None:
    # hydrodynamics texts: rho pi (c/2)^2 and rho pi (t/2)^2; c 56, t 25, 1025 kg/m3: 2.5246 and 0.5031 kg/m
    water = vibration.added_mass(56.0, 25.0)
    assert water.across_kg_mm * 1000.0 == pytest.approx(2.5246, abs=5e-5)
    assert water.along_kg_mm * 1000.0 == pytest.approx(0.5031, abs=5e-5)


def test_arm_elements_reach_the_exact_modes() -> None:
    # textbook coefficients of a cantilever: 3.51602, 22.0345, 61.6972
    count = 24
    length, youngs, inertia, area, line = 500.0, 103_400.0, 27_500.0, 1100.0, 0.009
    found = vibration.arm_frequencies_hz(
        [length / count] * count, [area] * count, [inertia] * count, [line] * count, youngs, 4e4, 0.0
    )
    unit = np.sqrt(1000.0 * youngs * inertia / (line * length**4)) / (2.0 * np.pi)
    assert found / unit == pytest.approx([3.51602, 22.0345, 61.6972], rel=1e-4)


def test_arm_elements_with_tip_body_against_the_frequency_equation() -> None:
    # exact Euler beam with tip mass, rotary inertia and offset: the 4x4 boundary determinant, solved by a
    # library
    length, youngs, inertia, line = 400.0, 103_400.0, 27_500.0, 0.009
    tip, gyration, offset = 9.0, 9.0 * 60.0**2, 45.0
    stiffness = youngs * inertia

    def determinant(omega: float) -> float:
        b = (line * omega**2 / (1000.0 * stiffness)) ** 0.25
        x = b * length
        # shape a (cosh - cos) + c (sinh - sin), built in at 0
        w = np.array([np.cosh(x) - np.cos(x), np.sinh(x) - np.sin(x)])
        d1 = b * np.array([np.sinh(x) + np.sin(x), np.cosh(x) - np.cos(x)])
        d2 = b**2 * np.array([np.cosh(x) + np.cos(x), np.sinh(x) + np.sin(x)])
        d3 = b**3 * np.array([np.sinh(x) - np.sin(x), np.cosh(x) + np.cos(x)])
        inertial = omega**2 / 1000.0
        shear = stiffness * d3 + inertial * tip * (w + offset * d1)
        moment = stiffness * d2 - inertial * ((gyration + tip * offset**2) * d1 + tip * offset * w)
        return float(shear[0] * moment[1] - shear[1] * moment[0])

    count = 20
    found = vibration.arm_frequencies_hz(
        [length / count] * count,
        [1100.0] * count,
        [inertia] * count,
        [line] * count,
        youngs,
        4e4,
        tip,
        gyration,
        offset,
        count=2,
    )
    for frequency in found:
        omega = 2.0 * np.pi * float(frequency)
        exact = optimize.brentq(determinant, 0.98 * omega, 1.02 * omega, xtol=1e-10)
        assert omega == pytest.approx(exact, rel=1e-5)


def test_strut_on_its_arms_against_a_library_eigensolver() -> None:
    # 6x6 generalised eigenproblem by the reference linear-algebra library
    flexibility = beams.tip_flexibility(400.0, 1100.0, 27_500.0, 1.2e6, 60_000.0, 103_400.0, 38_582.0)
    stiffness = np.sum(
        [frames3d.arm_barrel_stiffness(flexibility, beams.arm_axes(s * 0.6), np.zeros(3)) for s in (1.0, -1.0)], axis=0
    )
    mass = vibration.rigid_mass_matrix(14.0, np.diag([2e4, 6e4, 6e4]), np.array([-30.0, 0.0, 5.0]))
    reference = np.sqrt(1000.0 * linalg.eigh(stiffness, mass, eigvals_only=True)) / (2.0 * np.pi)
    assert vibration.strut_frequencies_hz(stiffness, mass) == pytest.approx(reference, rel=1e-8)


def test_single_arm_lumped_equals_the_rayleigh_form() -> None:
    # independent form of the same physics: a pure tip mass free to turn swings at sqrt(3EI/L^3/m)
    flexibility = beams.tip_flexibility(400.0, 1100.0, 27_500.0, 1.2e6, 60_000.0, 103_400.0, 38_582.0)
    stiffness = frames3d.arm_barrel_stiffness(flexibility, beams.arm_axes(0.0), np.zeros(3))
    moving = 12.0 + vibration.arm_share_kg(3.665)
    mass = vibration.rigid_mass_matrix(float(moving), np.zeros((3, 3)), np.zeros(3))
    found = vibration.strut_frequencies_hz(stiffness, mass)
    assert found[0] == pytest.approx(
        vibration.cantilever_frequency_rayleigh_hz(103_400.0, 27_500.0, 400.0, 12.0, 3.665), rel=1e-9
    )
    assert len(found) == 3


def test_parallel_axis() -> None:
    # Steiner: a 2 kg body 100 below the centre has 2e4 kg mm2 more about x and y
    matrix = vibration.rigid_mass_matrix(2.0, np.zeros((3, 3)), np.array([0.0, 0.0, -100.0]))
    assert np.diag(matrix) == pytest.approx([2.0, 2.0, 2.0, 2e4, 2e4, 0.0])


# ---- shaft


def test_overhang_frequency_example() -> None:
    # beam tables: 50 mm shaft, 1.2 m span, 0.15 m overhang, 25 kg, E 193 GPa: 76.98 Hz (calculated)
    inertia = np.pi / 64.0 * 50.0**4
    assert vibration.overhang_frequency_hz(1200.0, 150.0, 193_000.0, inertia, 25.0) == pytest.approx(76.98, abs=0.005)
    supports = [vibration.ShaftSupport(0.0), vibration.ShaftSupport(1200.0)]
    light = vibration.shaft_frequencies_hz(1350.0, 50.0, 193_000.0, 1e-6, supports, [vibration.ShaftMass(1350.0, 25.0)])
    assert light[0] == pytest.approx(76.98, abs=0.005)


def test_overhang_with_shaft_mass_and_disc_inertia() -> None:
    # separate beam finite-element calculation outside the project: 47.46 Hz (calculated, no gyroscopic
    # effect)
    supports = [vibration.ShaftSupport(0.0), vibration.ShaftSupport(1200.0)]
    found = vibration.shaft_frequencies_hz(
        1350.0, 50.0, 193_000.0, 7880.0, supports, [vibration.ShaftMass(1350.0, 25.0, 0.35e6)]
    )
    assert found[0] == pytest.approx(47.46, abs=0.01)


def test_textbook_shaft_alone() -> None:
    # Shigley 9th ed. Ex 7-5: 1 in steel shaft, 31 in span, 30e6 psi, 0.282 lb/in3: 520 rad/s (answer from memory;
    # 520.35 recomputed)
    density = 0.282 * POUND / (INCH / 1000.0) ** 3
    found = vibration.shaft_frequencies_hz(
        31 * INCH, INCH, 30e6 * PSI, density, [vibration.ShaftSupport(0.0), vibration.ShaftSupport(31 * INCH)]
    )
    assert 2.0 * np.pi * found[0] == pytest.approx(520.35, abs=0.05)


def test_textbook_shaft_with_two_discs() -> None:
    # Shigley 9th ed. Ex 7-5 (inputs published): 35 and 55 lbf at 7 and 20 in. Influence coefficients
    # 2.061e-4,
    # 3.534e-4, 2.224e-4 in/lbf; Rayleigh 124.8, Dunkerley 120.4 rad/s (recomputed)
    youngs, inertia = 30e6 * PSI, np.pi / 64.0 * INCH**4

    def inches_per_pound(a: float, b: float) -> float:
        per_newton = vibration.influence_mm_per_n(a * INCH, b * INCH, 31 * INCH, youngs, inertia)
        return float(per_newton) / INCH * POUND * 9.80665

    assert inches_per_pound(7, 7) == pytest.approx(2.061e-4, rel=5e-4)
    assert inches_per_pound(20, 20) == pytest.approx(3.534e-4, rel=5e-4)
    assert inches_per_pound(7, 20) == pytest.approx(2.224e-4, rel=5e-4)
    found = vibration.disc_criticals([7 * INCH, 20 * INCH], [35 * POUND, 55 * POUND], 31 * INCH, youngs, inertia)
    assert found.rayleigh_rad_s == pytest.approx(124.8, abs=0.1)
    assert found.dunkerley_rad_s == pytest.approx(120.4, abs=0.1)
    # theory: the true value of two discs lies between the two estimates
    true = (
        2.0
        * np.pi
        * vibration.shaft_frequencies_hz(
            31 * INCH,
            INCH,
            youngs,
            1e-6,
            [vibration.ShaftSupport(0.0), vibration.ShaftSupport(31 * INCH)],
            [vibration.ShaftMass(7 * INCH, 35 * POUND), vibration.ShaftMass(20 * INCH, 55 * POUND)],
        )[0]
    )
    assert found.dunkerley_rad_s < true < found.rayleigh_rad_s


def test_pinned_shaft_modes_with_shear_and_rotary_inertia() -> None:
    # Timoshenko's exact frequency equation of a simply supported beam (published):
    # EI k^4 - rA w^2 - rI (1 + E/kG) k^2 w^2 + r^2 I/(kG) w^4 = 0, lower root
    length, d, youngs, density, poisson = 600.0, 80.0, 206_000.0, 7850.0, 0.3
    area, inertia = np.pi / 4 * d**2, np.pi / 64 * d**4
    r, shear = density * 1e-9 / 1000.0, 0.9 * youngs / (2.0 * (1.0 + poisson))
    exact = []
    for n in (1, 2, 3):
        k = n * np.pi / length
        roots = np.roots(
            [r**2 * inertia / shear, -(r * area + r * inertia * (1 + youngs / shear) * k**2), youngs * inertia * k**4]
        )
        exact.append(np.sqrt(roots.min()) / (2 * np.pi))
    found = vibration.shaft_frequencies_hz(
        length,
        d,
        youngs,
        density,
        [vibration.ShaftSupport(0.0), vibration.ShaftSupport(length)],
        timoshenko=True,
        element_mm=length / 60,
        poisson=poisson,
        count=3,
    )
    assert found == pytest.approx(exact, rel=2e-3)
    plain = vibration.shaft_frequencies_hz(
        length, d, youngs, density, [vibration.ShaftSupport(0.0), vibration.ShaftSupport(length)], count=3
    )
    euler = [n**2 * np.pi * np.sqrt(youngs * inertia / (r * area)) / (2 * length**2) for n in (1, 2, 3)]
    assert plain == pytest.approx(euler, rel=1e-4)


def test_three_supports_are_two_independent_spans() -> None:
    # symmetry: the first antisymmetric mode of two equal spans is that of one pinned span (textbook)
    one = vibration.shaft_frequencies_hz(
        1000.0, 40.0, 193_000.0, 7900.0, [vibration.ShaftSupport(0.0), vibration.ShaftSupport(1000.0)]
    )
    two = vibration.shaft_frequencies_hz(
        2000.0, 40.0, 193_000.0, 7900.0, [vibration.ShaftSupport(x) for x in (0.0, 1000.0, 2000.0)]
    )
    assert two[0] == pytest.approx(one[0], rel=1e-5)


def test_stiff_shaft_on_springs() -> None:
    # rigid body on two springs (textbook): bounce sqrt(2k/m), pitch sqrt(6k/m) for a uniform bar held at its
    # ends
    length, d, spring = 500.0, 100.0, 10.0
    mass = np.pi / 4 * d**2 * length * 7.85e-6
    found = vibration.shaft_frequencies_hz(
        length, d, 206_000.0, 7850.0, [vibration.ShaftSupport(0.0, spring), vibration.ShaftSupport(length, spring)]
    )
    expected = [np.sqrt(1000.0 * f * spring / mass) / (2 * np.pi) for f in (2.0, 6.0)]
    assert found[:2] == pytest.approx(expected, rel=1e-4)


def test_shaft_refuses_nonsense() -> None:
    with pytest.raises(ValueError, match="off the shaft"):
        vibration.shaft_frequencies_hz(100.0, 20.0, 2e5, 7800.0, [vibration.ShaftSupport(150.0)])
    with pytest.raises(ValueError, match="not held"):
        vibration.shaft_frequencies_hz(100.0, 20.0, 2e5, 7800.0, [vibration.ShaftSupport(50.0)])


def test_speed_margins() -> None:
    # arithmetic: 4 blades at 1000 rpm pass at 66.67 Hz; a 66.67 Hz strut is inside 800-1200 rpm, shaft rate
    # 4000 rpm
    rate, blade = vibration.speed_margins([200.0 / 3.0], 800.0, 1200.0, 4)
    assert rate.critical_rpm == pytest.approx(4000.0)
    assert rate.margin == pytest.approx(4000.0 / 1200.0 - 1.0)
    assert rate.clear()
    assert blade.critical_rpm == pytest.approx(1000.0)
    assert blade.margin == 0.0
    assert not blade.clear()
    diagram = vibration.speed_diagram([200.0 / 3.0], 800.0, 1200.0, 4)
    at = int(np.flatnonzero(diagram.rpm == 1200.0)[0])
    assert diagram.excitation_hz[:, at] == pytest.approx([20.0, 80.0])


# ---- skeg


def test_rudder_force_example() -> None:
    # IACS UR S10 (from memory, high confidence): lambda 1.5, K2 1.1, A 0.25 m2, 20 kn: 16 940 N
    assert skeg_loads.rudder_force(0.25, 20.0, 1.5).value == pytest.approx(16_940.0)
    # V under 10 kn is replaced by (V + 20)/3: 4 kn counts as 8
    assert skeg_loads.rule_speed_kn(np.array([4.0, 10.0, 12.0])) == pytest.approx([8.0, 10.0, 12.0])


def test_rudder_force_unit_by_dynamic_pressure() -> None:
    # physics: 1/2 rho V^2 A with V in knots is 136 A V^2, so the rule's 132 belongs to knots, not m/s
    dynamic = 0.5 * 1025.0 * (20.0 * 1852.0 / 3600.0) ** 2 * 1.0
    assert skeg_loads.rudder_force(1.0, 20.0, 1.0, profile=1.0).value == pytest.approx(dynamic, rel=0.04)


def test_rudder_torque_lever() -> None:
    # UR S10: r = c (alpha - k) ahead 0.33, at least 0.1 c; astern 0.66
    assert skeg_loads.rudder_torque_nmm(1000.0, 500.0, 0.10) == pytest.approx(1000.0 * 500.0 * 0.23)
    assert skeg_loads.rudder_torque_nmm(1000.0, 500.0, 0.30) == pytest.approx(1000.0 * 50.0)
    assert skeg_loads.rudder_torque_nmm(1000.0, 500.0, 0.10, ahead=False) == pytest.approx(1000.0 * 500.0 * 0.56)


def test_sole_piece_example() -> None:
    # IACS UR S10 (from memory): C_R 16 940, l 0.35 m: 8 470 N, 2 964.5 N m, 37.06 cm3, 176.5 mm2
    heel = skeg_loads.heel_reaction_n(16_940.0)
    assert heel == 8_470.0
    sole = skeg_loads.sole_piece(heel, 0.35)
    assert sole.moment_nm == pytest.approx(2_964.5)
    assert sole.modulus_cm3 == pytest.approx(37.06, abs=0.005)
    assert sole.shear_area_mm2 == pytest.approx(176.5, abs=0.05)
    assert sole.equivalent_limit_mpa == 115.0


def test_material_factor_of_castings_and_forgings() -> None:
    # UR S10 (caps read in a public copy of a rule that follows it, powers from memory): power 1 to 235 N/mm2 and 0.75
    # above, yield to 0.7 tensile or 450 at most; the hull steels of UR S4, 0.78 at 315 and 0.72 at 355, lie just under
    assert skeg_loads.material_factor(235.0).value == 1.0
    assert skeg_loads.material_factor(170.0).value == pytest.approx(235.0 / 170.0)
    for strength, hull_steel in ((315.0, 0.78), (355.0, 0.72)):
        assert skeg_loads.material_factor(strength).value == pytest.approx(hull_steel, rel=0.035)
    assert skeg_loads.material_factor(725.0).value == skeg_loads.material_factor(450.0).value
    assert skeg_loads.material_factor(400.0, 500.0).value == pytest.approx((235.0 / 350.0) ** 0.75)


def test_sole_spring_is_a_steel_cantilever() -> None:
    # UR S10: 6.18 I/l^3 = 2 882.8 kN/m at 20 cm4, 0.35 m; the same number as 3EI/l^3 with E = 206 GPa
    spring = skeg_loads.sole_spring_kn_m(20.0, 0.35)
    assert spring == pytest.approx(2_882.8, abs=0.05)
    assert spring == pytest.approx(3.0 * 206_000.0 * 20e4 / 350.0**3, rel=1e-9)


def test_small_craft_force_order_of_magnitude() -> None:
    # ISO 12215-8 form (from memory, low confidence): A 0.25, V 20: 4 544 N; a hint only
    found = skeg_loads.small_craft_rudder_force(0.25, 20.0)
    assert found.value == pytest.approx(4_544.0, abs=1.0)
    assert found.hint_only


def test_heel_bush_example() -> None:
    # published ship-size rule: pin 40, 8 470 N on bronze (7.0): length 30.25 to 48, clearance 1.04 mm
    check = skeg_loads.heel_bush(8_470.0, 40.0, 40.0, skeg_loads.BUSH_PRESSURE["bronze"].value)
    assert check.least_length_mm == pytest.approx(30.25)
    assert check.greatest_length_mm == pytest.approx(48.0)
    assert check.metal_clearance_mm == pytest.approx(1.04)
    assert check.pressure_mpa == pytest.approx(5.29375)


def test_skeg_actions_by_statics() -> None:
    # force 1000 N to port at 200 aft, 300 below: roll d B, yaw -x B; fin bends over the depth outside the
    # barrel
    found = skeg_loads.skeg_actions(1000.0, 200.0, 300.0, 50.0, 120.0)
    assert found.barrel_moment_nmm == pytest.approx([300e3, 0.0, -200e3])
    assert found.fin_bending_nmm == pytest.approx(250e3)
    assert found.fin_twist_nmm == pytest.approx(200e3)
    assert found.foot_bending_nmm == pytest.approx(120e3)


def test_heel_spring_against_the_frame_solver() -> None:
    # the unit-load sum against the direct stiffness method: arm, fin and foot as one frame
    e, g = 103_400.0, 38_582.0
    arm = (3000.0, 200_000.0, 3e6, 500_000.0)
    fin = (2400.0, 90_000.0, 4e6, 300_000.0)
    foot = (900.0, 60_000.0, 60_000.0, 100_000.0)
    nodes = np.array([[0.0, 0, 0], [0, 0, 350.0], [0, 0, -250.0], [-180.0, 0, -250.0]])

    def element(
        a: int, b: int, s: tuple[float, float, float, float], y: tuple[float, float, float]
    ) -> frames3d.FrameElement:
        return frames3d.FrameElement(a, b, *s, e, g, y)

    elements = [element(0, 1, arm, (1.0, 0, 0)), element(0, 2, fin, (1.0, 0, 0)), element(2, 3, foot, (0, 0, 1.0))]
    force = np.zeros((4, 6))
    force[3, 1] = 1.0
    whole = frames3d.solve_frame(nodes, elements, [1], force).motions[3, 1]
    flexibility = beams.tip_flexibility(350.0, *arm, e, g)
    stiffness = frames3d.arm_barrel_stiffness(flexibility, beams.arm_axes(0.0), np.zeros(3))
    parts = skeg_loads.skeg_flexibility_mm_n(180.0, foot[1], 250.0, fin[1], fin[3], e, g)
    assert parts + skeg_loads.barrel_share_mm_n(stiffness, 180.0, 250.0) == pytest.approx(whole, rel=1e-9)


def test_profile_factors() -> None:
    # UR S10 Table (from memory): foil 1.10 ahead, 0.80 astern
    assert skeg_loads.profile_factor("foil").value == 1.10
    assert skeg_loads.profile_factor("foil", astern=True).value == 0.80
    with pytest.raises(ValueError, match="flat side"):
        skeg_loads.profile_factor("round")
