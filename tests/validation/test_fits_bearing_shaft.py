"""Fits, press fits, bearing, set screws, shaft, barrel and galvanic numbers against outside figures.

Every test names its source and standing. "Computed from" means the formula is published and the number was
worked out apart from this project.
"""

from __future__ import annotations

import math

import numpy as np
import pressfit as iso286
import pytest

from strutwright.models.formulas import bearing, corrosion, press_fit, rotor, set_screws, shaft
from strutwright.models.formulas.press_fit import Elastic
from strutwright.params import limits, tables

INCH = 25.4
PSI = 0.00689475729316836
HORSEPOWER = 0.745699872
LB_IN3 = 27679.9047102031
STEEL = Elastic(207_000.0, 0.292, 12e-6)
BRASS = Elastic(103_400.0, 0.34, 19e-6)
STEEL_PSI = Elastic(30e6, 0.3, 6.5e-6)

# ---- fits
# ----------------------------------------------------------------------------------------------------------


def test_50_h7_s6_interference() -> None:
    # 50 H7/s6: hole +25/0, shaft +59/+43 micrometres. Published (machine-design textbook example, ISO 286-1 table).
    fit = press_fit.fit_from_limits(0.0, 0.025, 0.043, 0.059)
    assert (fit.least_mm, fit.middle_mm, fit.most_mm) == pytest.approx((0.018, 0.0385, 0.059), abs=1e-12)


def test_two_inch_h7_s6_interference() -> None:
    # 2 in H7/s6: hole 2.0010/2.0000, shaft 2.0023/2.0017 in. Published (Shigley 9th ed., Ex. 7-8).
    fit = press_fit.fit_from_limits(2.0000, 2.0010, 2.0017, 2.0023)
    assert (fit.least_mm, fit.most_mm) == pytest.approx((0.0007, 0.0023), abs=1e-12)


@pytest.mark.parametrize(("size", "code", "least", "most"), [
    # Interference of H7/p6 in micrometres by size; open page of ISO 286 limits up to 80 mm (published),
    # rest memory.
    (25.0, "p6", 1, 35),
    (40.0, "p6", 1, 42),
    (66.675, "p6", 2, 51),
    (100.0, "p6", 2, 59),
    (150.0, "p6", 3, 68),
    (50.0, "g6", -50, -9),
    (50.0, "k6", -23, 18),
])  # fmt: skip
def test_fits_against_a_separate_iso_286_library(size: float, code: str, least: int, most: int) -> None:
    # The limits come from an independent, table-verified open library of ISO 286; the expected range from the page
    # above (g6 and k6: the usual preferred-fit tables, from memory).
    found = iso286.fit(f"H7/{code}", size)
    limits = (found.hole_ei_um, found.hole_es_um, found.shaft_ei_um, found.shaft_es_um)
    fit = press_fit.fit_from_limits(*(0.001 * limit for limit in limits))
    assert (1000 * fit.least_mm, 1000 * fit.most_mm) == pytest.approx((least, most), abs=1e-6)


# ---- press fit
# -----------------------------------------------------------------------------------------------------


def mises(one: float, other: float) -> float:
    """Von Mises stress of two principal stresses, by Mohr's circle: centre and radius."""
    return math.hypot((one + other) / 2, math.sqrt(3) * (one - other) / 2)


def test_lame_classic_compound_cylinder() -> None:
    # Radii 4/6/8 in, RADIAL interference 0.005 in, E 30e6 psi: classic strength-of-materials text prints 4050 psi
    # (answer from memory, recomputed 4050.9). Diametral here, so 0.010.
    p = press_fit.press_fit(0.010, 12.0, 16.0, 8.0, STEEL_PSI, STEEL_PSI).pressure_mpa
    assert p == pytest.approx(4050.9, abs=0.5)


def test_lame_open_course_example() -> None:
    # Radii 150/200/250 mm, E 200 GPa, radial 0.1 mm: inputs published in open course code, answers
    # computed.
    e = Elastic(200_000.0, 0.3, 12e-6)
    fit = press_fit.press_fit(0.2, 400.0, 500.0, 300.0, e, e)
    assert fit.pressure_mpa == pytest.approx(12.305, abs=0.001)
    # Hub hoop 56.05 at its bore; the sleeve's hoop is -43.95 at the interface and a pressure more at its bore, where
    # nothing presses. Von Mises of the plane stress by Mohr's circle.
    assert fit.hub_mises_bore_mpa == pytest.approx(mises(56.05, -12.305), abs=0.01)
    assert fit.sleeve_mises_bore_mpa == pytest.approx(43.95 + 12.305, abs=0.01)


def test_lame_solid_shaft() -> None:
    # Shaft 50 solid, hub 100, 0.040 diametral, E 207 GPa: formulas Shigley 9th ed. 7-39 to 7-48,
    # published; computed.
    fit = press_fit.press_fit(0.040, 50.0, 100.0, 0.0, STEEL, STEEL)
    assert fit.pressure_mpa == pytest.approx(62.10, rel=1e-3)
    assert fit.hub_mises_bore_mpa == pytest.approx(mises(103.5, -62.10), rel=1e-3)
    force = press_fit.press_force_n(fit.pressure_mpa, 50.0, 50.0, 0.12)
    assert force == pytest.approx(58_530.0, rel=1e-3)
    torque = press_fit.holding_torque_nmm(fit.pressure_mpa, 50.0, 50.0, 0.12)
    assert torque == pytest.approx(math.pi / 2 * 0.12 * 62.10 * 50 * 50**2, rel=1e-3)
    # A solid shaft is under equal hoop and radial pressure: von Mises equals p.
    assert fit.sleeve_mises_bore_mpa == pytest.approx(62.10, rel=1e-3)
    assert fit.sleeve_bore_closure_mm == 0.0


def test_lame_two_inch_h7_s6() -> None:
    # Solid 2 in shaft, hub 4 in, E 30e6 psi, interference 0.0007 and 0.0023 in (Shigley Ex. 7-8 sizes);
    # computed from
    # the published formula.
    for interference, expected in ((0.0007, 3937.5), (0.0023, 12_937.5)):
        p = press_fit.press_fit(interference, 2.0, 4.0, 0.0, STEEL_PSI, STEEL_PSI).pressure_mpa
        assert p == pytest.approx(expected, abs=0.1)


def test_thin_sleeve_bore_closure() -> None:
    # Sleeve 66.675/60.325 in a barrel of 92, 0.040 diametral, E 103.4 GPa, nu 0.34: computed from
    # Shigley's formulas.
    fit = press_fit.press_fit(0.040, 66.675, 92.0, 60.325, BRASS, BRASS)
    assert fit.pressure_mpa == pytest.approx(4.686, rel=5e-3)
    assert fit.sleeve_bore_closure_mm == pytest.approx(0.0301, rel=5e-3)
    # Hoop +15.05 in the hub, -46.98 in the sleeve at the interface (same formulas).
    assert fit.hub_mises_bore_mpa == pytest.approx(mises(15.05, -4.686), abs=0.01)
    assert fit.sleeve_mises_bore_mpa == pytest.approx(46.98 + 4.686, abs=0.01)
    assert press_fit.press_force_n(fit.pressure_mpa, 66.675, 203.2, 0.12) == pytest.approx(23_900, rel=5e-3)


@pytest.mark.parametrize(("shaft_mm", "outside", "length", "kilonewton"), [
    (25, 40, 100, 14), (40, 55, 160, 18), (50, 70, 200, 20), (70, 90, 280, 27),
])  # fmt: skip
def test_press_force_is_of_the_practice_order(
    shaft_mm: float, outside: float, length: float, kilonewton: float
) -> None:
    # Planning figures, 0.03 mm interference, bronze barrel, metal shell only, friction 0.12: common
    # practice, no source.
    # Shell wall assumed 3.2 mm and barrel wall d/4, so the order only: within a third.
    fit = press_fit.press_fit(0.03, outside, outside + 0.5 * shaft_mm, outside - 6.4, BRASS, BRASS)
    force = press_fit.press_force_n(fit.pressure_mpa, outside, length, limits.standard()["press_friction"].value)
    assert force / 1000 == pytest.approx(kilonewton, rel=1 / 3)
    # "closure about 0.7 of the interference by formula" (same practice)
    assert 0.55 < fit.sleeve_bore_closure_mm / 0.03 < 0.85


def _ring_finite_elements(
    rings: list[tuple[float, float, Elastic]], interference: float, rise: float, per_ring: int = 400
) -> tuple[float, float]:
    """Axisymmetric plane-stress finite elements of two rings (inside, outside, metal): pressure, bore closure."""
    count = per_ring + 1
    size = 2 * count
    k = np.zeros((size + 1, size + 1))
    f = np.zeros(size + 1)
    for i, (inside, outside, ring) in enumerate(rings):
        r = np.linspace(inside / 2, outside / 2, count)
        e, nu, alpha = ring.youngs_mpa, ring.poisson, ring.expansion_per_k
        law = e / (1 - nu**2) * np.array([[1, nu], [nu, 1]])
        for n in range(per_ring):
            h, mid = r[n + 1] - r[n], (r[n] + r[n + 1]) / 2
            b = np.array([[-1 / h, 1 / h], [0.5 / mid, 0.5 / mid]])
            at = slice(i * count + n, i * count + n + 2)
            k[at, at] += b.T @ law @ b * mid * h
            f[at] += b.T @ law @ np.array([alpha * rise, alpha * rise]) * mid * h
    k[size, [count - 1, count]] = k[[count - 1, count], size] = (-1.0, 1.0)
    f[size] = interference / 2
    answer = np.linalg.solve(k, f)
    return -float(answer[size]) / (rings[0][1] / 2), -2 * float(answer[0])


def test_unlike_rings_in_a_warm_sea_against_finite_elements() -> None:
    # Independent method: 400 linear axisymmetric elements a ring, sea of 35 C; glass-epoxy shell (modulus and expansion
    # typical, no source) in a stainless barrel. The bore closes less what the shell itself grows by.
    glass = Elastic(18_000.0, 0.15, 14e-6)
    stainless = Elastic(193_000.0, 0.30, 15.9e-6)
    pressure, closure = _ring_finite_elements([(60.0, 70.0, glass), (70.0, 110.0, stainless)], 0.05, 15.0)
    warm = 0.05 + press_fit.warmed_mm(70.0, stainless, glass, 15.0)
    fit = press_fit.press_fit(warm, 70.0, 110.0, 60.0, stainless, glass)
    assert fit.pressure_mpa == pytest.approx(pressure, rel=1e-4)
    assert fit.sleeve_bore_closure_mm - 60.0 * 14e-6 * 15.0 == pytest.approx(closure, rel=1e-4)


def test_chilled_brass_shell() -> None:
    # A 55 mm brass shell chilled 48 C shrinks 0.05 mm: shop figure, with 19e-6 /K (typical for brass).
    plan = press_fit.free_assembly(0.05, 0.0, 55.0, BRASS, BRASS, shop_c=20.0, coldest_c=-28.0)
    assert 20.0 - plan.sleeve_c == pytest.approx(48.0, abs=0.5)
    assert plan.heat_hub_with_chill_c == pytest.approx(20.0, abs=1e-9)


def test_free_assembly_shares_heat_and_chill() -> None:
    # Thermal expansion: at the two temperatures given, the diameters differ by exactly the gap.
    stainless = Elastic(193_000.0, 0.30, 15.9e-6)
    plan = press_fit.free_assembly(0.12, 0.03, 70.0, stainless, BRASS, shop_c=20.0, coldest_c=-28.0)
    hub = 70.0 * (1 + 15.9e-6 * (plan.heat_hub_with_chill_c - 20.0))
    sleeve = 70.12 + 70.0 * 19e-6 * (plan.sleeve_c - 20.0)
    assert plan.sleeve_c == -28.0
    assert hub - sleeve == pytest.approx(0.03, abs=1e-9)


def test_brass_shell_loosens_in_a_stainless_barrel_in_cold_water() -> None:
    # d (a_sleeve - a_hub) dT by hand: 70 x 3.1e-6 x -20 = -0.00434.
    stainless = Elastic(193_000.0, 0.30, 15.9e-6)
    assert press_fit.warmed_mm(70.0, stainless, BRASS, -20.0) == pytest.approx(-0.00434, abs=1e-9)


# ---- bearing
# -------------------------------------------------------------------------------------------------------


def test_projected_pressure() -> None:
    # W 1500 N, d 50, L 200: computed from the definition.
    assert bearing.projected_pressure_mpa(1500, 50, 200) == pytest.approx(0.150, abs=1e-12)


def test_clearance_left_of_a_practice_example() -> None:
    # 40 mm shaft, clearance 0.15, interference 0.05, closure "about equal": 0.10 left. Common practice.
    assert bearing.clearance_after_closure_mm(40.15, 40.0, 0.05) == pytest.approx(0.10, abs=1e-9)


def test_rubber_wear_limits() -> None:
    # Half the groove depth: 46 CFR 61.20-23 (from memory). +1.0 / 1.5 / 2.0: common practice. 6 %:
    # rule of thumb.
    for diameter, plus in ((40.0, 1.0), (60.0, 1.5), (75.0, 1.5), (90.0, 2.0)):
        worn = bearing.worn_limits(diameter, 0.2, 3.0, (1.0, 1.5, 2.0), 0.06)
        assert worn.new_plus_practice_mm == pytest.approx(0.2 + plus)
        assert worn.new_plus_half_groove_mm == pytest.approx(1.7)
        assert worn.replace_hint_mm == pytest.approx(0.06 * diameter)


def test_published_bearing_size() -> None:
    # 7/8 x 1 3/8 x 3 1/2 in bearing with a 1/8 in metal shell (published reseller size): 1/8 in of rubber.
    assert bearing.rubber_thickness_mm(1.375, 0.125, 0.875) == pytest.approx(0.125, abs=1e-12)


def test_misalignment_is_of_the_practice_order() -> None:
    # "half the clearance over the length is 0.02 to 0.03 deg" for ordinary bearings: common practice.
    assert 0.02 < bearing.misalignment_allowed_deg(0.15, 160.0) < 0.03


def test_flute_clock() -> None:
    # Geometry: 8 flutes from 0; 180 is a flute centre, 22.5 a land centre; a 4 mm chord on a 40 mm bore
    # spans
    # 2 asin(0.1) = 11.478 deg.
    assert bearing.flute_clock(180.0, 8, 0.0, 4.0, 40.0).to_flute_centre_deg == pytest.approx(0.0, abs=1e-9)
    land = bearing.flute_clock(-337.5, 8, 0.0, 4.0, 40.0)
    assert land.to_flute_centre_deg == pytest.approx(22.5, abs=1e-9)
    assert land.past_flute_edge_deg == pytest.approx(22.5 - 11.4783 / 2, abs=1e-4)
    with pytest.raises(ValueError, match="do not fit"):
        bearing.flute_clock(0.0, 12, 0.0, 15.0, 40.0)


# ---- set screws
# ----------------------------------------------------------------------------------------------------

# Thread shear areas at Le = 1 diameter, mm2: 6H hole; bolt 6g, bolt 4g6g, nut. Published (table after
# Bickford,
# Introduction to the Design and Behavior of Bolted Joints). Limit diameters of the classes ISO 965-2 (from
# memory):
# hole minor max, screw pitch min 6g, screw major min 6g, hole pitch max.
STRIP = [
    ("M5", 5.0, 0.8, 35.366, 49.994, 4.334, 4.361, 4.826, 4.605),
    ("M6", 6.0, 1.0, 51.875, 73.145, 5.153, 5.212, 5.794, 5.500),
    ("M8", 8.0, 1.25, 97.290, 134.63, 6.912, 7.042, 7.760, 7.348),
    ("M10", 10.0, 1.5, 155.80, 214.77, 8.676, 8.862, 9.732, 9.206),
    ("M12", 12.0, 1.75, 227.72, 313.41, 10.441, 10.679, 11.701, 11.063),
    ("M16", 16.0, 2.0, 417.55, 569.12, 14.210, 14.503, 15.682, 14.913),
]


@pytest.mark.parametrize(("name", "d", "pitch", "bolt", "nut", "k", "e", "major", "en"), STRIP)
def test_thread_shear_areas_are_the_published_ones(
    name: str, d: float, pitch: float, bolt: float, nut: float, k: float, e: float, major: float, en: float
) -> None:
    assert set_screws.screw_thread_shear_area_mm2(pitch, d, k, e) == pytest.approx(bolt, rel=2e-3), name
    assert set_screws.hole_thread_shear_area_mm2(pitch, d, major, en) == pytest.approx(nut, rel=2e-3), name
    # Basic diameters: 0.75 pi D1 Le and 0.875 pi D Le (ISO 68-1 profile, exact); the published areas are a share of it.
    minor, mid = set_screws.minor_diameter_mm(d, pitch), set_screws.pitch_diameter_mm(d, pitch)
    basic = set_screws.screw_thread_shear_area_mm2(pitch, d, minor, mid)
    assert basic == pytest.approx(0.75 * math.pi * minor * d, rel=1e-12)
    assert set_screws.LIMIT_SHARE < bolt / basic < 0.85
    basic = set_screws.hole_thread_shear_area_mm2(pitch, d, d, mid)
    assert basic == pytest.approx(0.875 * math.pi * d * d, rel=1e-12)
    assert set_screws.LIMIT_SHARE < nut / basic < 0.85


def test_basic_thread_diameters() -> None:
    # ISO 724 basic diameters, published: M8 7.188 / 6.647; M12 10.863 / 10.106.
    for d, pitch, mid, minor in ((8.0, 1.25, 7.188, 6.647), (12.0, 1.75, 10.863, 10.106)):
        assert set_screws.pitch_diameter_mm(d, pitch) == pytest.approx(mid, abs=5e-4)
        assert set_screws.minor_diameter_mm(d, pitch) == pytest.approx(minor, abs=5e-4)


def test_dimples() -> None:
    # Geometry: a 90 deg cone of depth h is 2h across.
    assert set_screws.cone_width_mm(1.5) == pytest.approx(3.0, abs=1e-12)
    # M6 cup point 3.0 across (ISO 4029, published) in a 90 deg dimple 2 deep enters 0.5; in one 1.5 deep
    # just sits.
    assert set_screws.cup_reach_mm(2.0, 3.0) == pytest.approx(0.5, abs=1e-12)
    assert set_screws.cup_reach_mm(1.5, 3.0) == pytest.approx(0.0, abs=1e-12)
    assert set_screws.shell_left_mm(3.2, 1.6) == pytest.approx(1.6)


def test_screw_length_goes_down_to_stock() -> None:
    # wall + dimple - recess, rounded down (common practice); ISO 888 lengths.
    picked = set_screws.screw_length(12.5, 1.6, 1.5, [5, 6, 8, 10, 12, 16])
    assert picked.ideal_mm == pytest.approx(12.6)
    assert picked.stock_mm == 12
    assert picked.recess_mm == pytest.approx(2.1)
    assert set_screws.screw_length(4.0, 1.0, 1.0, [5, 6]).stock_mm is None
    # M8 cone point 3 long, 1.6 of it in the shell: 12.5 - 2.1 - 1.4 of full thread.
    assert set_screws.engaged_thread_mm(12.5, 2.1, 3.0, 1.6, 0.0) == pytest.approx(9.0)


def test_holding_power_range() -> None:
    # 1/4 in: 1000 lbf (textbook table, from memory) against 400 lbf (another public chart), steel on steel.
    # On a yellow-metal shell: nothing, or half of 4448.2 N at most.
    assert set_screws.cup_holding_range_n([400.0, 1000.0], 0.5) == pytest.approx((0.0, 2224.1), abs=0.1)


def test_dimple_holds_by_its_weaker_part() -> None:
    # By hand: 3 mm x 1.5 mm cone in a shell of 140 MPa: 140 x 2.25 = 315 N; point pi/4 x 9 x 260 = 1838 N. A dog of the
    # same size bears on twice as much.
    assert set_screws.dimple_hold_n(3.0, 1.5, 260.0, 140.0, True) == pytest.approx(315.0)
    assert set_screws.dimple_hold_n(3.0, 1.5, 260.0, 140.0, False) == pytest.approx(630.0)
    assert set_screws.dimple_hold_n(3.0, 1.5, 26.0, 140.0, True) == pytest.approx(183.8, abs=0.1)


def test_weaker_thread_strips() -> None:
    # Steel screw in bronze at one diameter of M8: the bronze goes first though its area is larger, and the estimate
    # stays a little below the published nut area 134.63 mm2 (same table).
    force = set_screws.stripping_force_n(8.0, 1.25, 8.0, 260.0, 100.0)
    assert 0.90 < force / (100.0 * 134.63) <= 1.0
    # Shear strength equal: the screw goes first, below the published 97.29 mm2.
    force = set_screws.stripping_force_n(8.0, 1.25, 8.0, 100.0, 100.0)
    assert 0.90 < force / (100.0 * 97.29) <= 1.0


# ---- shaft
# ---------------------------------------------------------------------------------------------------------


def test_shaft_by_power() -> None:
    # Boat systems handbook worked examples (published 1.74 in and 44.2 mm, recomputed).
    assert shaft.diameter_by_power_mm(403 * HORSEPOWER, 3, 70_000 * PSI, 1050) / INCH == pytest.approx(1.741, abs=0.005)
    assert shaft.diameter_by_power_mm(300, 3, 482, 1050) == pytest.approx(44.23, abs=0.05)
    # Electric-boat notes (published): 42 hp, SF 3, 20000 psi, 2000 rpm, "one inch".
    assert shaft.diameter_by_power_mm(42 * HORSEPOWER, 3, 20_000 * PSI, 2000) / INCH == pytest.approx(1.0037, abs=0.001)


def test_shaft_by_rules() -> None:
    # IACS UR M68 (from memory), computed.
    assert shaft.diameter_ur_m68_mm(300, 1000, 560) == pytest.approx(77.57, abs=0.02)
    assert shaft.diameter_ur_m68_mm(300, 1000, 600) == pytest.approx(76.18, abs=0.02)
    assert shaft.diameter_ur_m68_mm(300, 1000, 930) == pytest.approx(76.18, abs=0.02)
    # Canadian Fishing Vessel Safety Regulations s. 19(2) (formula published), computed.
    assert shaft.diameter_fishing_vessel_mm(300, 1000, 414, 760, True) == pytest.approx(77.96, abs=0.02)
    assert shaft.diameter_fishing_vessel_mm(300, 1000, 700, 760, True) == pytest.approx(66.75, abs=0.02)
    assert shaft.diameter_fishing_vessel_mm(5, 2000, 414, 300, True) == 32.0
    with pytest.raises(ValueError, match="372"):
        shaft.diameter_fishing_vessel_mm(300, 1000, 300, 760, True)


def test_shaft_by_propeller() -> None:
    # Boat systems handbook, published: 24 in propeller, 1.71 in.
    assert 24.0 / limits.standard()["propeller_per_shaft"].value == pytest.approx(1.71, abs=0.005)


# SAE J755: shaft, small end least, greatest, taper length, in. Three open pages agree (published).
J755 = [
    (0.75, 0.624, 0.626, 2.0), (0.875, 0.726, 0.728, 2.375), (1.0, 0.827, 0.829, 2.75), (1.125, 0.929, 0.931, 3.125),
    (1.25, 1.030, 1.032, 3.5), (1.375, 1.132, 1.134, 3.875), (1.5, 1.233, 1.235, 4.25), (1.75, 1.437, 1.439, 5.0),
    (2.0, 1.640, 1.642, 5.75), (2.25, 1.843, 1.845, 6.5), (2.5, 2.046, 2.048, 7.25), (2.75, 2.257, 2.259, 7.875),
    (3.0, 2.460, 2.462, 8.625),
]  # fmt: skip


@pytest.mark.parametrize(("diameter", "least", "most", "length"), J755)
def test_j755_small_ends(diameter: float, least: float, most: float, length: float) -> None:
    # The table has the printed limits, and they are the taper of 1:16 over the printed length, but for rounding.
    row = tables.nearest_shaft(diameter * INCH, "inch")
    assert row.small_end_min_mm is not None
    assert row.small_end_max_mm is not None
    assert row.taper_length_mm is not None
    told = (row.small_end_min_mm / INCH, row.small_end_max_mm / INCH, row.taper_length_mm / INCH)
    assert told == pytest.approx((least, most, length), abs=5e-4)
    assert least - 0.0005 <= diameter - length / shaft.TAPER_SAE <= most + 0.0005


@pytest.mark.parametrize(("diameter", "rpm", "span", "modulus", "density"), [
    # Critical span of the boat systems handbook, sqrt(3.21 d / N) (E / w)^(1/4) ft, published: 1 in, 2000 rpm, E 16e6
    # psi, 0.304 lb/in3: 3 ft 5 in.
    (INCH, 2000, 41 * INCH, 16e6 * PSI, 0.304 * LB_IN3),
    # The same formula worked elsewhere, stainless shaft.
    (25, 1200, 1560, 193_000, 8000), (50, 1500, 1970, 193_000, 8000), (75, 600, 3800, 193_000, 8000),
])  # fmt: skip
def test_critical_span_runs_at_its_own_speed(
    diameter: float, rpm: float, span: float, modulus: float, density: float
) -> None:
    bare = rotor.Shaft(length_mm=span, diameter_mm=diameter, youngs_mpa=modulus, density_kg_m3=density)
    found = rotor.rotor(bare, [rotor.Bearing(0.0), rotor.Bearing(span)]).natural_hz[0]
    assert 60 * found == pytest.approx(rpm, rel=0.02)  # the spans are rounded to one part in a hundred


def test_shaft_stress_closes_the_power_formula() -> None:
    # The handbook formula sizes for torsional yield / safety: 44.23 mm, 300 kW, 1050 rpm gives 482 / 3 = 160.7 MPa.
    torque = shaft.torque_nmm(300, 1050)
    assert torque / 1000 == pytest.approx(2728.4, abs=0.5)  # 9549.3 x kW / rpm, N m
    assert shaft.mises_mpa(44.23, torque) == pytest.approx(math.sqrt(3) * 482 / 3, rel=2e-3)
    # Mohr: bending 60, shear 40 gives von Mises sqrt(3600 + 4800); thrust adds to the bending.
    section, area = math.pi * 50.0**3 / 32, math.pi * 50.0**2 / 4
    assert shaft.mises_mpa(50.0, 40.0 * 2 * section, 60.0 * section) == pytest.approx(math.sqrt(8400.0), rel=1e-12)
    both = shaft.mises_mpa(50.0, 40.0 * 2 * section, 50.0 * section, 10.0 * area)
    assert both == pytest.approx(math.sqrt(8400.0), rel=1e-12)


def test_advance_ratio_and_weight() -> None:
    # Definition: 10 kn = 5.1444 m/s, 600 rpm, 0.6 m: J = 5.1444 / 6. Weight: steel 50 mm is 15.41 kg/m
    # (stock tables).
    assert shaft.advance_ratio(10, 600, 600) == pytest.approx(0.85741, abs=1e-5)
    assert shaft.weight_n_per_mm(50, 7850) * 1000 / 9.80665 == pytest.approx(15.41, abs=0.01)


# ---- barrel
# --------------------------------------------------------------------------------------------------------


def test_water_opening() -> None:
    # Definition: an opening that just passes 8 flutes of 5 x 2.5 round a 50 shaft has a ring area of 100
    # mm2.
    area = bearing.flute_area_mm2(8, 5.0, 2.5)
    opening = bearing.least_opening_diameter_mm(50.0, area)
    assert area == 100.0
    assert bearing.opening_area_mm2(opening, 50.0) == pytest.approx(100.0, rel=1e-12)


# ---- corrosion
# -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("first", "second", "gap_mv", "level"), [
    # Flowing sea water, V vs SCE, published galvanic series; limit 200 mV (published yacht table).
    ((-0.34, -0.26), (-0.10, 0.00), 250.0, "protect"),  # manganese bronze, 316 passive
    ((-0.22, -0.14), (-0.10, 0.00), 130.0, "doubtful"),  # nickel-aluminium bronze, 316 passive: far ends 220
    ((-1.00, -0.76), (-0.29, -0.25), 610.0, "protect"),  # aluminium, silicon bronze
    ((-0.29, -0.25), (-0.32, -0.24), 10.0, "compatible"),  # silicon bronze, tin bronze
])  # fmt: skip
def test_couples(first: tuple[float, float], second: tuple[float, float], gap_mv: float, level: str) -> None:
    pair = corrosion.couple(corrosion.Potential(*first), corrosion.Potential(*second))
    assert pair.difference_mv == pytest.approx(gap_mv, abs=1e-9)
    assert pair.level(limits.standard()["galvanic"].value) == level
    assert pair.anode_is_first is (sum(first) < sum(second))


def test_alloy_notes() -> None:
    # General corrosion knowledge: manganese bronze is a high-zinc brass; low-carbon grades escape weld
    # decay.
    assert any("zinc" in note for note in corrosion.alloy_notes("bronze", "manganese bronze"))
    assert not any("zinc" in note for note in corrosion.alloy_notes("bronze", "silicon bronze"))
    welded = corrosion.alloy_notes("stainless", "316 passive", welded=True, low_carbon=False)
    assert any("weld decay" in note for note in welded)
    assert not any("weld decay" in n for n in corrosion.alloy_notes("stainless", "316 passive", welded=True))
    assert corrosion.alloy_notes("timber") == ()


# ---- arrays
# --------------------------------------------------------------------------------------------------------


def test_arrays_broadcast_to_the_scalar_answers() -> None:
    # Same published formulas, called with arrays.
    interference = np.array([-0.01, 0.0, 0.02, 0.04])
    fit = press_fit.press_fit(interference, 66.675, 92.0, np.array([[0.0], [60.325]]), BRASS, BRASS)
    assert np.asarray(fit.sleeve_mises_bore_mpa).shape == (2, 4)
    for i, bore in enumerate((0.0, 60.325)):
        for j, delta in enumerate(interference):
            one = press_fit.press_fit(float(delta), 66.675, 92.0, bore, BRASS, BRASS)
            assert np.asarray(fit.sleeve_mises_bore_mpa)[i, j] == pytest.approx(one.sleeve_mises_bore_mpa, rel=1e-12)
            assert np.asarray(fit.hub_mises_bore_mpa)[i, j] == pytest.approx(one.hub_mises_bore_mpa, rel=1e-12)
