"""Loads, arms and skeg, as found on whole struts, against published examples, a frame library, worked figures and brute
force outside the project's formulas.

Each check names its source and standing: published, from memory, calculated outside the project, reference library.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from beam_support import gauss_stations_mm, tip_flexibility
from Pynite import FEModel3D
from strength_support import inputs_of, with_arm

from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.strength import arm_beams, arms, blows, load_cases, load_paths, skeg
from strutwright.models.formulas import loads as mechanics
from strutwright.models.inputs import Inputs
from strutwright.models.metals import metal
from strutwright.models.resolve import resolve
from strutwright.models.sections import any_properties, boundary_points
from strutwright.params.loader import load, shipped

# ---- loads


def test_a_whole_blade_lost(launch: Inputs) -> None:
    # 2.0 kg at 0.12 m and 2000 rpm: 10 527.6 N (m r omega^2, calculated)
    centre = float(mechanics.blade_part(0.0, load_cases.HUB_RATIO).centre_ratio)
    one = replace(launch, blade_kg=2.0, propeller_mm=240.0 / centre, shaft_rpm=2000.0, bearing_span_mm=1e12)
    assert load_cases.still(one)["blade_loss"] == pytest.approx(10_527.6, abs=0.1)


def test_torque_of_a_seized_shaft(launch: Inputs) -> None:
    # T = 9549.3 P / n (N m, kW, rpm; textbook): 300 kW at 1050 rpm gives 2728.4 N m
    one = replace(launch, power_kw=300.0, shaft_rpm=1050.0)
    assert load_cases.amplitudes(one)["torque"] == pytest.approx(2728.4e3, abs=50.0)


def test_weight_reaches_the_strut_by_levers(launch: Inputs) -> None:
    # statics, moments about the inner bearing: 10 kg at 1.2 m on a span of 1.0 m and a massless shaft
    light = replace(launch.shaft, density_kg_m3=0.0)
    one = replace(launch, shaft=light, propeller_kg=10.0, bearing_span_mm=1000.0)
    over = float(load_paths.carry_to_hub_mm(one))
    assert load_cases.amplitudes(one)["weight"] == pytest.approx(98.0665 * (1000.0 + over) / 1000.0, rel=1e-9)
    # the bearing carries a third of its length from its aft end, which lies flush with the barrel's
    assert over == pytest.approx(140.0 / 3.0 + 25.0 + 40.0)


def test_rudder_force() -> None:
    # IACS UR S10 (from memory): aspect 1.5, K2 1.1, K3 1, 0.25 m2, 20 kn gives 16 940 N, half of it at the heel
    one = replace(inputs_of("yawl-with-heel"), rudder_m2=0.25, boat_speed_kn=20.0)
    assert load_cases.rudder_n(one) == pytest.approx(16_940.0, rel=1e-6)
    assert load_cases.amplitudes(one)["rudder"] == pytest.approx(8_470.0, rel=1e-6)


def rectangular(base: Inputs, chord: float, thickness: float, length: float) -> Inputs:
    """An upright arm of plain rectangular section that ends `length` from the shaft line."""
    return with_arm(
        base,
        shape="flat",
        edge_radius_mm=0.0,
        chord_barrel_mm=chord,
        chord_palm_mm=chord,
        thickness_barrel_mm=thickness,
        thickness_palm_mm=thickness,
        start_mm=length / 10.0,
        water_mm=length,
        end_mm=length + 1e-6,
        rake_deg=0.0,
        clock_deg=0.0,
    )


def test_plastic_hinge_of_a_rectangle(launch: Inputs) -> None:
    # t c^2 / 4 x yield / L (plastic theory): 100 x 20, 170 MPa, 300 mm gives 28 333 N along the chord; across it
    # c t^2 / 4: 5 667 N
    one = rectangular(replace(launch, strut=replace(launch.strut, yield_mpa=170.0)), 100.0, 20.0, 300.0)
    hinge = blows.hinges(one)
    assert hinge.aft_n == pytest.approx(28_333.3, rel=1e-5)
    assert hinge.side == pytest.approx(5_666.7, rel=1e-5)


# ---- arms


def test_blade_loss_on_a_foil_arm(launch: Inputs) -> None:
    # calculated example: 8.5 kN on a 350 mm arm is 3.0 kN m; on a foil 190 x 34 (17 200 mm3) 173 MPa
    one = with_arm(
        launch,
        shape="foil",
        chord_barrel_mm=190.0,
        chord_palm_mm=190.0,
        thickness_barrel_mm=34.0,
        thickness_palm_mm=34.0,
        start_mm=50.0,
        water_mm=350.0,
        end_mm=350.0,
    )
    found = load_paths.paths(one)
    assert found.beams[0].sections[-1].sxx_mm3 == pytest.approx(17_200.0, rel=0.01)
    bent = arm_beams.actions(found.beams[0], -1, found.arm_loads["side"][0])
    assert 8500.0 * abs(bent.moment_chord) == pytest.approx(3.0e6, rel=0.01)
    assert 8500.0 * arms.unit_stress(one)("side", None) == pytest.approx(173.0, rel=0.02)


def brute_stress(one: Inputs, directions: int = 360) -> float:
    """Worst von Mises stress per newton at the propeller over directions and a dense section boundary, one upright arm:
    plain beam theory, a force (0, fy, fz) ahead of or abaft the arm, the moment of its pull about the centroid in it.
    """
    arm = one.arms[0]
    worst = 0.0
    carry = float(load_paths.carry_x_mm(one))
    for s in (arm.start_mm, (arm.start_mm + arm.water_mm) / 2.0, arm.water_mm):
        chord, thick = (float(v) for v in arm.size_at(s))
        p = any_properties(arm.shape, chord, thick, arm.edge_at(thick))
        xy = boundary_points(arm.shape, chord, thick, 400)
        x, y = xy[:, 0] - float(p.centroid_x_mm), xy[:, 1]
        for turn in 2.0 * np.pi * np.arange(directions) / directions:
            fy, fz = np.sin(turn), np.cos(turn)
            off = carry - float(arm.x_mm)
            direct = -fz / p.area_mm2 - fy * s * y / p.ixx_mm4 + fz * (float(p.centroid_x_mm) - off) * x / p.iyy_mm4
            shear = abs(fy * off) * 2.0 * p.half_thickness_mm / p.j_mm4 + 1.5 * abs(fy) / p.area_mm2
            worst = max(worst, math.sqrt(np.abs(direct).max() ** 2 + 3.0 * float(shear) ** 2))
    return worst


@pytest.mark.parametrize(
    "name", ["harbour-launch", "canal-tender", "refit-two-bores", "coaster-steel", "sloop-with-skeg"]
)
def test_worst_direction_against_trying_them_all(name: str) -> None:
    # calculated outside the project: every direction by degree, four hundred points round the section
    one = inputs_of(name)
    closed = float(arms.unit_stress(one)("propeller", None))
    tried = brute_stress(one)
    # never under what trying finds, but for points of the boundary that are left out, and not much above
    assert 0.995 * tried <= closed <= 1.06 * tried


def test_movement_of_the_bearing_against_beam_tables() -> None:
    # beam tables (published): a force F on the rigid end piece of a built-in beam moves it by
    # F [(b^3 - a^3) / 3 E I + (b - a) / (k G A)], a and b the distances of barrel and hull face from the shaft, and
    # turns the bearing about an upright arm by F e (b - a) / (G J), which moves it by e times that. An even plate arm
    # has its least stiffness straight across it
    one = inputs_of("canal-tender")
    one = replace(one, hull_plate=replace(one.hull_plate, springs=(1e12, 1e18, 1e18)))  # a hull that hardly gives
    arm, e_mpa, g_mpa = one.arms[0], one.strut.modulus_mpa, one.strut.shear_mpa
    p, a, b = arm.section_at(arm.start_mm), float(arm.start_mm), float(arm.end_mm)
    off = float(load_paths.carry_x_mm(one) - arm.x_mm)
    per_n = (
        (b**3 - a**3) / (3.0 * e_mpa * p.ixx_mm4)
        + (b - a) / (p.shear_factor_across * g_mpa * p.area_mm2)
        + off**2 * (b - a) / (g_mpa * p.j_mm4)
    )
    found = arms.numbers(one)
    assert found["arm_stiffness"].demand == pytest.approx(1.0 / per_n, rel=1e-3)
    weight = float(load_cases.amplitudes(one)["weight"])
    assert found["bearing_deflection"].demand == pytest.approx(weight * per_n, rel=1e-3)
    turn = abs(off) * (b - a) / (g_mpa * p.j_mm4)
    assert found["bearing_slope"].demand == pytest.approx(1000.0 * 2.0 * weight * turn, rel=1e-3)


def test_taper_by_three_sections(launch: Inputs) -> None:
    # unit-load integrals by Simpson over three sections against twenty Gauss points (formulas.beams, itself checked
    # against closed forms): the tip of a tapered arm, lever measured from the barrel's outside
    arm = replace(launch.arms[0], start_mm=0.0, water_mm=250.0, end_mm=250.0)
    one = replace(launch, arms=(arm,))
    made = load_paths.paths(one).beams[0].flexibility
    s = gauss_stations_mm(250.0, 20)
    p = arm.section_at(s)
    fine = tip_flexibility(250.0, p.area_mm2, p.ixx_mm4, p.iyy_mm4, p.j_mm4, one.strut.modulus_mpa, one.strut.shear_mpa)
    assert made[3] == pytest.approx(fine[1, 1], rel=0.02)  # across, shear of the arm included here only
    assert made[5] == pytest.approx(fine[3, 3], rel=0.01)
    assert made[2] == pytest.approx(fine[4, 4], rel=0.01)
    assert made[6] == pytest.approx(fine[2, 2], rel=0.01)
    assert made[7] == pytest.approx(fine[5, 5], rel=0.01)


def test_rule_scantlings() -> None:
    # ABS Part 3 (from memory), d = 50 mm, legs at the limit of 530 mm: single 8 500 mm3 and 112 500 mm4, each leg of a
    # vee 3 000 mm3 and 27 500 mm4; GL (from memory) 1 100 mm2 and 22 mm
    single = with_arm(replace(inputs_of("harbour-launch"), shaft_mm=50.0), end_mm=34.0 + 530.0, start_mm=34.0)
    vee = with_arm(replace(inputs_of("pilot-vee"), shaft_mm=50.0), end_mm=65.0 + 530.0, start_mm=65.0)
    one, two = arms.numbers(single), arms.numbers(vee)
    assert one["arm_modulus"].demand == pytest.approx(8_500.0)
    assert one["arm_inertia"].demand == pytest.approx(112_500.0)
    assert two["arm_modulus"].demand == pytest.approx(3_000.0)
    assert two["arm_inertia"].demand == pytest.approx(27_500.0)
    assert two["arm_area"].demand == pytest.approx(1_100.0)
    assert two["arm_thickness"].demand == pytest.approx(22.0)


@pytest.mark.parametrize(("name", "least"), [("coaster-steel", 12.0), ("vee", 9.0)])
def test_plate_on_shell(name: str, least: float) -> None:
    # published: guidance for high-speed light craft, rule shell 6 mm: single arm 12 mm, vee 9 mm
    one = inputs_of("coaster-steel") if name != "vee" else replace(inputs_of("pilot-vee"), hull=metal("S275"))
    assert arms.numbers(replace(one, hull_mm=6.0))["arm_plate"].demand == pytest.approx(least)


# ---- a vee with a skeg as a space frame


def library_vee(one: Inputs, at: tuple[float, float, float], force: tuple[float, float, float]) -> Any:
    """The two arms, stiff links inside the barrel and to the load, in a 3-D frame library; prismatic arms."""
    model = FEModel3D()
    e, g = float(one.strut.modulus_mpa), float(one.strut.shear_mpa)
    model.add_material("metal", e, g, 0.3, 8e-6)
    model.add_section("stiff", 1e6, 1e10, 1e10, 1e10)
    model.add_node("root", float(one.arms[0].x_mm), 0.0, 0.0)
    model.add_node("load", *at)
    model.add_member("reach", "root", "load", "metal", "stiff")
    for k, arm in enumerate(one.arms):
        p = arm.section_at(arm.start_mm)
        model.add_section(f"s{k}", float(p.area_mm2), float(p.iyy_mm4), float(p.ixx_mm4), float(p.j_mm4))
        n = np.array([float(v) for v in arm.direction])
        for name, s in (("low", arm.start_mm), ("top", arm.end_mm)):
            x, y, z = np.array([float(arm.x_mm), 0.0, 0.0]) + float(s) * n
            model.add_node(f"{name}{k}", x, y, z)
        model.add_member(f"hub{k}", "root", f"low{k}", "metal", "stiff")
        model.add_member(f"arm{k}", f"low{k}", f"top{k}", "metal", f"s{k}")
        # the library's local z is the chord, so that the second moments above are the right way round
        assert abs(model.members[f"arm{k}"].T()[2, 0]) == pytest.approx(1.0)
        model.def_support(f"top{k}", True, True, True, True, True, True)
    for direction, value in zip(("FX", "FY", "FZ"), force, strict=True):
        model.add_node_load("load", direction, value)
    model.analyze_linear()
    return model


def stiff_in_shear(one: Inputs) -> Inputs:
    """The library's beams do not give in shear: let these neither (shear modulus fifty times as high)."""
    return replace(one, strut=replace(one.strut, poisson=-0.99))


@pytest.fixture(scope="module")
def skewed_vee() -> Inputs:
    """An off-centre vee, arms unequally long, with a rudder on a heel under it."""
    heel = inputs_of("yawl-with-heel").skeg
    vee = inputs_of("workboat-common-vee")
    longer = replace(vee.arms[1], water_mm=1.2 * vee.arms[1].water_mm, end_mm=1.2 * vee.arms[1].end_mm)
    vee = replace(vee, arms=(vee.arms[0], longer))
    return stiff_in_shear(replace(vee, skeg=heel, rudder_m2=0.25, boat_speed_kn=12.0))


WAYS: dict[blows.Way, tuple[float, float, float]] = {
    "propeller_y": (0.0, 1e4, 0.0),
    "propeller_z": (0.0, 0.0, 1e4),
    "axial": (1e4, 0.0, 0.0),
    "heel": (0.0, 1e4, 0.0),
}


@pytest.mark.parametrize("way", list(WAYS))
def test_vee_under_skew_load_against_a_frame_library(way: blows.Way, skewed_vee: Inputs) -> None:
    # reference library: 3-D frame; arms' end forces, barrel's movement, then the whole path to palm and bolts
    one = skewed_vee
    found = load_paths.paths(one)
    heel = one.skeg.heel.centre_mm if one.skeg and one.skeg.heel else (0.0, 0.0, 0.0)
    point = {"heel": heel, "axial": (float(one.arms[0].x_mm) + 60.0, 0.0, 0.0)}.get(
        way, (float(load_paths.carry_x_mm(one)), 0.0, 0.0)
    )
    model = library_vee(one, tuple(float(v) for v in point), WAYS[way])  # type: ignore[arg-type]
    root = model.nodes["root"]
    moved = [getattr(root, k)["Combo 1"] for k in ("DX", "DY", "DZ", "RX", "RY", "RZ")]
    mine = 1e4 * np.array([float(v) for v in found.motion(way)])
    assert mine == pytest.approx(moved, rel=0.01, abs=0.005 * np.abs(moved).max())
    total = np.zeros(6)
    zero = np.asarray(one.palms[0].zero_mm)
    for k, beam in enumerate(found.beams):
        node = model.nodes[f"top{k}"]
        pull = -np.array([getattr(node, f"Rxn{d}")["Combo 1"] for d in ("FX", "FY", "FZ", "MX", "MY", "MZ")])
        # the arm's load at the shaft line carried up to its hull end
        load = 1e4 * np.array([float(v) for v in found.arm_loads[way][k]])
        force, moment = (np.array([float(v) for v in beam.turned_back(tuple(part))]) for part in (load[:3], load[3:]))
        up = -float(beam.arm.end_mm) * np.array([float(v) for v in beam.along])
        mine = np.concatenate([force, moment + np.cross(up, force)])
        assert mine[:3] == pytest.approx(pull[:3], rel=0.01, abs=0.005 * np.abs(pull[:3]).max())
        assert mine[3:] == pytest.approx(pull[3:], rel=0.01, abs=0.005 * np.abs(pull[3:]).max())
        at = np.array([node.X, node.Y, node.Z])
        total += np.concatenate([pull[:3], pull[3:] + np.cross(at - zero, pull[:3])])
    # both arms stand on one palm: what the library's supports carry, in the palm's axes at its zero
    p = one.palms[0]
    turn = np.array([p.u, p.v, p.normal])
    wanted = np.concatenate([turn @ total[:3], turn @ total[3:]])
    palm_load = 1e4 * np.array([float(v) for v in load_paths.palm_load(one, found, way, 0)])
    assert palm_load == pytest.approx(wanted, rel=0.01, abs=0.005 * np.abs(wanted).max())


def test_symmetric_vee_closed_form() -> None:
    # slope-deflection of a symmetric vee in its plane (derived; rigid inside the barrel left out): arms 400 long, half
    # angle 35 degrees, E 103 400, A 1100, I 27 500 and 1000 N: 0.0026181 mm along the bisector, 0.0053397 mm across
    side = math.sqrt(12.0 * 27_500.0 / 1100.0)  # a square-edged flat of that area and weak moment
    base = stiff_in_shear(inputs_of("pilot-vee"))
    base = replace(base, strut=replace(base.strut, modulus_mpa=103_400.0), bearing_x_mm=0.0, bearing_total_mm=0.0)
    clocks = (35.0, -35.0)
    made = [
        replace(
            a,
            clock_deg=c,
            shape="flat",
            edge_radius_mm=0.0,
            chord_barrel_mm=1100.0 / side,
            chord_palm_mm=1100.0 / side,
            thickness_barrel_mm=side,
            thickness_palm_mm=side,
            start_mm=0.0,
            water_mm=400.0,
            end_mm=400.0,
            x_mm=0.0,
        )
        for a, c in zip(base.arms, clocks, strict=True)
    ]
    found = load_paths.paths(replace(base, arms=tuple(made)))
    assert 1000.0 * found.motion("propeller_z")[2] == pytest.approx(0.0026181, rel=2e-3)
    assert 1000.0 * found.motion("propeller_y")[1] == pytest.approx(0.0053397, rel=2e-3)


# ---- skeg


def test_skeg_by_hand() -> None:
    # UR S10 sole piece (from memory): 8 470 N at 0.35 m is 2 964.5 N m, 37.06 cm3 in ordinary steel
    base = inputs_of("yawl-with-heel")
    assert base.skeg is not None
    assert base.skeg.heel is not None
    fin = replace(base.skeg, root_forward_x_mm=50.0, sweep_mm=0.0, tip_chord_mm=100.0)
    heel = replace(
        base.skeg.heel,
        centre_mm=(-50.0 - 350.0, 0.0, -300.0),
        pintle_mm=40.0,
        height_mm=30.25,
        foot_height_mm=60.0,
        foot_thickness_mm=50.0,
        bush_wall_mm=0.0,
    )
    one = replace(
        base,
        rudder_m2=0.25,
        boat_speed_kn=20.0,
        skeg=replace(fin, heel=heel),
        strut=replace(base.strut, yield_mpa=235.0),
    )
    out = skeg.numbers(one)
    assert out["rudder_force"].demand == pytest.approx(16_940.0, rel=1e-6)
    assert out["heel_reaction"].demand == pytest.approx(8_470.0, rel=1e-6)
    assert out["foot_modulus"].demand == pytest.approx(37.06, abs=0.01)
    # bending of the foot, 6 M / (h t^2), with 1.5 V / A in shear (strength of materials)
    bend, shear = 6.0 * 2_964.5e3 / (60.0 * 50.0**2), 1.5 * 8_470.0 / (60.0 * 50.0)
    assert out["foot_stress"].demand == pytest.approx(math.hypot(bend, math.sqrt(3.0) * shear), rel=1e-4)
    # published (KR, Table 4.1.6): 8 470 N on a 40 mm pin in bronze, 7 N/mm2, wants 30.25 mm
    assert out["heel_bush_length_least"].demand == pytest.approx(30.25, abs=0.01)
    assert out["heel_bush_pressure"].utilisation == pytest.approx(1.0, abs=1e-3)
    # small motor craft, 370 A V^1.3 (low confidence): 4 544 N
    assert out["rudder_force_small_craft"].demand == pytest.approx(4_544.0, rel=1e-3)


def test_arm_under_the_rudder_by_hand() -> None:
    # statics: the heel's force bends an upright arm by (height above the heel) and twists it by (distance abaft the
    # arm)
    one = inputs_of("yawl-with-heel")
    assert one.skeg is not None
    assert one.skeg.heel is not None
    x, _, z = one.skeg.heel.centre_mm
    found = load_paths.paths(one)
    a = arm_beams.actions(found.beams[0], -1, found.arm_loads["heel"][0])
    assert abs(a.moment_chord) == pytest.approx(float(one.arms[0].water_mm) - z, rel=1e-9)
    assert abs(a.torsion) == pytest.approx(abs(x - float(one.arms[0].x_mm)), rel=1e-9)
    assert any(
        f.code == "arm_stress_rudder" for f in engineering_findings(resolve(load(shipped()["yawl-with-heel"])).strut)
    )


def test_a_fin_is_worst_where_it_is_smallest() -> None:
    # by hand, fin of plate with a half-round nose: the foot twists it by F x lever all along; at the lower edge, 100 by
    # 12, Roark's thin rectangle W = c t^2 / 3 x (1 - 0.63 t / c), and shear 1.5 F / A; at the barrel, 130 by 25, less
    base = inputs_of("yawl-with-heel")
    assert base.skeg is not None
    slim = replace(base, skeg=replace(base.skeg, thickness_tip_mm=12.0))
    force = float(skeg.numbers(slim)["heel_reaction"].demand)
    lever = (67.0 - 20.0 - 50.0) + 363.0
    modulus, below = 100.0 * 12.0**2 / 3.0 * (1.0 - 0.63 * 0.12), 340.0 - 324.0
    twist, bends = force * lever / modulus + 1.5 * force / (100.0 * 12.0), force * below * 6.0 / (100.0 * 12.0**2)
    found = float(skeg.numbers(slim)["fin_stress"].demand)
    assert found == pytest.approx(math.sqrt(bends**2 + 3.0 * twist**2), rel=0.05)
    assert found > 3.5 * float(force * skeg.fin_stress_per_n(slim, slim.skeg))
    assert float(skeg.numbers(base)["fin_stress"].demand) < found


@pytest.mark.parametrize(("behind", "tip"), [(4.0, 8.0), (12.0, 10.0), (60.0, 12.0), (4.0, 14.0)])
def test_a_slender_fin_may_be_worst_above_its_lower_edge(behind: float, tip: float) -> None:
    # tried every hundredth of the fin; the heel close behind its middle, so that it is bent more than twisted
    base = inputs_of("yawl-with-heel")
    assert base.skeg is not None
    assert base.skeg.heel is not None
    middle = (base.skeg.root_forward_x_mm + base.skeg.root_aft_x_mm) / 2.0
    at = (middle - behind, 0.0, -base.skeg.depth_mm - 15.0)
    slim = replace(base.skeg, thickness_tip_mm=tip, sweep_mm=15.0, heel=replace(base.skeg.heel, centre_mm=at))
    one = replace(base, skeg=slim)
    found = skeg.numbers(one)
    each = [float(skeg.fin_stress_per_n(one, slim, share)) for share in np.linspace(0.0, 1.0, 101).tolist()]
    most = float(found["heel_reaction"].demand) * max(each)
    assert 0.97 * most <= float(found["fin_stress"].demand) <= most * (1 + 1e-9)


@pytest.mark.parametrize("grows", [(1.0, 1.6), (2.0, 2.0), (1.5, 2.0), (1.0, 3.0)])
def test_an_arm_that_grows_fast_is_worst_above_the_barrel(launch: Inputs, grows: tuple[float, float]) -> None:
    # an ellipse in bending, 32 F s / (pi c t^2) (beam theory), tried every hundredth of the arm
    (a,) = launch.arms
    chord, thick = grows
    arm = replace(a, chord_palm_mm=chord * a.chord_barrel_mm, thickness_palm_mm=thick * a.thickness_barrel_mm)
    share = np.linspace(0.0, 1.0, 101)
    s = arm.start_mm + share * (arm.water_mm - arm.start_mm)
    c, t = arm.size_at(s)
    most = float(np.max(32.0 * s / (np.pi * c * t**2)))
    found = float(arms.unit_stress(replace(launch, arms=(arm,)))("side", None))
    assert 0.97 * most <= found <= 1.06 * most


def test_a_foot_that_slopes_is_as_long_as_it_is() -> None:
    """From its middle line's start at the fin's leading edge the boss lies as far down as aft: 45 degrees, root 2."""
    base = inputs_of("yawl-with-heel")
    assert base.skeg is not None
    assert base.skeg.heel is not None
    fin, heel = base.skeg, base.skeg.heel
    leading = float(fin.root_forward_x_mm - fin.sweep_mm)
    start = float(fin.depth_mm - heel.foot_height_mm / 2.0)
    asked = []
    for fall in (0.0, leading - float(heel.centre_mm[0])):
        sloped = replace(heel, centre_mm=(heel.centre_mm[0], 0.0, -start - fall))
        asked.append(skeg.numbers(replace(base, skeg=replace(fin, heel=sloped)))["foot_modulus"].demand)
    assert asked[1] / asked[0] == pytest.approx(math.sqrt(2.0))
