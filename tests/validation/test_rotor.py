"""Whirling shafts against published worked examples, closed forms and transfer matrices; the closed form for many.

Published: Friswell, Penny, Garvey and Lees, Dynamics of Rotating Machinery, examples 5.9.1, 5.9.2 and 5.9.9. What is
calculated elsewhere was worked out by transfer matrices outside the program.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from strutwright.models.formulas.rotor import (
    Bearing,
    Disc,
    Housing,
    Mode,
    Rotor,
    Shaft,
    critical_speeds,
    rotor,
    whirl_lines,
)
from strutwright.models.formulas.whirl import BearingSpring, Overhung, shaken

PSI, INCH, POUND = 6.894757e-3, 25.4, 0.45359237
RIGID = math.inf


def whirl_modes(r: Rotor, rpm: float, count: int) -> list[Mode]:
    """The lowest whirls at one speed."""
    hz, forward = whirl_lines(r, [rpm], count)
    return [Mode(float(f), float(p)) for f, p in zip(hz[0], forward[0], strict=True)]


def ways(modes: list[Mode]) -> list[str]:
    """Which way they turn, all but 2 %."""
    return ["forward" if m.forward > 0.98 else "backward" if m.forward < 0.02 else "mixed" for m in modes]


def plate(at: float, diameter: float, thick: float = 70.0, bore: float = 50.0) -> Disc:
    """A disc of steel by its measures."""
    a, b = diameter / 2.0, bore / 2.0
    mass = 7810e-9 * math.pi * (a * a - b * b) * thick
    return Disc(at, mass, mass * (3.0 * (a * a + b * b) + thick**2) / 12.0, mass * (a * a + b * b) / 2.0)


# ---- published examples

STEEL = Shaft(length_mm=1500.0, diameter_mm=50.0, youngs_mpa=211e3, density_kg_m3=7810.0, shear_mpa=81.2e3)
TWO = [plate(500.0, 280.0), plate(1000.0, 350.0)]


def ends(x: float, y: float) -> list[Bearing]:
    return [Bearing(0.0, x, y), Bearing(1500.0, x, y)]


@pytest.mark.parametrize(("bearings", "discs", "rpm", "rates"), [
    (ends(1000.0, 1000.0), TWO, 0.0, (86.66, 86.66, 274.31, 274.31, 716.78, 716.78)),
    (ends(1000.0, 1000.0), TWO, 4000.0, (85.39, 87.80, 251.78, 294.71, 600.18, 827.08)),
    (ends(1000.0, 800.0), TWO, 0.0, (82.65, 86.66, 254.52, 274.31, 679.49, 716.79)),
    (ends(1000.0, 800.0), TWO, 4000.0, (82.33, 86.86, 239.64, 287.25, 583.49, 806.89)),
    ([Bearing(0.0, 1e4, 1e4), Bearing(1000.0, 1e4, 1e4)], [plate(1500.0, 350.0)], 0.0,
     (90.14, 90.14, 630.73, 630.73, 830.43, 830.43)),
    ([Bearing(0.0, 1e4, 1e4), Bearing(1000.0, 1e4, 1e4)], [plate(1500.0, 350.0)], 4000.0,
     (76.19, 103.91, 565.99, 634.23, 647.75, 1174.2)),
])  # fmt: skip
def test_published_rotors(bearings: list[Bearing], discs: list[Disc], rpm: float, rates: tuple[float, ...]) -> None:
    found = [2.0 * math.pi * m.hz for m in whirl_modes(rotor(STEEL, bearings, discs), rpm, 6)]
    assert found == pytest.approx(rates, rel=1e-3)


def test_published_overhung_disc_turns_as_it_says() -> None:
    # example 5.9.9: backward, forward, backward, forward, backward, forward
    found = rotor(STEEL, [Bearing(0.0, 1e4, 1e4), Bearing(1000.0, 1e4, 1e4)], [plate(1500.0, 350.0)])
    assert ways(whirl_modes(found, 4000.0, 6)) == ["backward", "forward"] * 3


# ---- a propeller on its overhang

LIGHT = Shaft(length_mm=1350.0, diameter_mm=50.0, youngs_mpa=193e3, density_kg_m3=1e-6, shear_mpa=1e12)
PROPELLER = Disc(1350.0, 25.0, 0.35e6, 0.60e6)
OVERHUNG = rotor(LIGHT, [Bearing(0.0), Bearing(1200.0)], [PROPELLER])


@pytest.mark.parametrize(("rpm", "hz"), [
    # closed form without shaft mass: 1 - a11 m w2 - a22 Q + (a11 a22 - a12^2) m w2 Q = 0, Q = I_d w^2 - I_p W w
    (0.0, (58.6691, 58.6691, 389.555, 389.555)),
    (1300.0, (51.1928, 67.0845, 379.518, 400.769)),
    (3000.0, (42.9195, 79.2398, 367.984, 417.377)),
])  # fmt: skip
def test_massless_shaft_with_a_disc(rpm: float, hz: tuple[float, ...]) -> None:
    assert [m.hz for m in whirl_modes(OVERHUNG, rpm, 4)] == pytest.approx(hz, rel=2e-5)


@pytest.mark.parametrize(("times", "rpm"), [
    (1.0, (2665.0, 6256.8, 18739.0)), (3.0, (1050.96, 1348.27)), (4.0, (808.54, 973.33)),
])  # fmt: skip
def test_speeds_at_which_a_disc_whirls_in_step(times: float, rpm: tuple[float, ...]) -> None:
    # the same closed form; synchronous: one forward speed only, as the polar inertia is the greater
    found = critical_speeds(OVERHUNG, times, len(rpm))
    assert [speed for speed, _ in found] == pytest.approx(rpm, rel=5e-5)
    assert ways([m for _, m in found[:2]]) == ["backward", "forward"]


LONG = Shaft(length_mm=1240.0, diameter_mm=35.0, youngs_mpa=193e3, density_kg_m3=7880.0, shear_mpa=1e12)


@pytest.mark.parametrize(("x", "y", "rest", "turning", "critical"), [
    # transfer matrix 8 x 8, outside the program; springs at the strut bearing, N/mm
    (RIGID, RIGID, (38.7977, 38.7977, 95.0036, 95.0036), (34.9633, 42.6974, 92.0741, 98.5172),
     (1982.1, 2826.2, 5166.0, 7247.0)),
    (1000.0, 1000.0, (30.5564, 30.5564, 47.3455, 47.3455), (28.9215, 31.8672, 45.4372, 49.4974),
     (1701.5, 1944.0, 2630.4, 3161.2)),
    (600.0, 5000.0, (25.4064, 37.7642, 44.8693, 71.6679), (25.2165, 36.6873, 46.1227, 71.6694),
     (1509.0, 2127.0, 2963.2, 4301.1)),
])  # fmt: skip
def test_shaft_on_a_strut_that_gives(
    x: float, y: float, rest: tuple[float, ...], turning: tuple[float, ...], critical: tuple[float, ...]
) -> None:
    found = rotor(LONG, [Bearing(0.0), Bearing(1100.0, x, y)], [Disc(1240.0, 12.65, 0.12e6, 0.20e6)])
    assert [m.hz for m in whirl_modes(found, 0.0, 4)] == pytest.approx(rest, rel=5e-4)
    assert [m.hz for m in whirl_modes(found, 1300.0, 4)] == pytest.approx(turning, rel=5e-4)
    assert [speed for speed, _ in critical_speeds(found)] == pytest.approx(critical, rel=5e-4)
    # with unequal springs the lowest is nearly a plane motion, and unbalance drives it
    assert (ways([critical_speeds(found)[0][1]]) == ["backward"]) == (x == y)


def test_few_modes_of_standstill_are_enough() -> None:
    bearings, tip = [Bearing(0.0), Bearing(1100.0, 600.0, 5000.0)], [Disc(1240.0, 12.65, 0.12e6, 0.20e6)]
    whole, few = (critical_speeds(rotor(LONG, bearings, tip, modes=n)) for n in (None, 12))
    assert [speed for speed, _ in few] == pytest.approx([speed for speed, _ in whole], rel=1e-4)


# ---- against transfer matrices made here


def field(length: float, stiff: float, line: float, square: float) -> np.ndarray:
    """Exact transfer of (w, slope, moment, shear) over an even beam that shakes with that w^2 (N, mm, kg)."""
    b = (line * square / 1000.0 / stiff) ** 0.25
    z = b * length
    ch, sh, c, s = math.cosh(z), math.sinh(z), math.cos(z), math.sin(z)
    k1, k2, k3, k4 = (ch + c) / 2.0, (sh + s) / 2.0, (ch - c) / 2.0, (sh - s) / 2.0
    rows = [
        [k1, k2 / b, k3 / b**2 / stiff, k4 / b**3 / stiff],
        [b * k4, k1, k2 / b / stiff, k3 / b**2 / stiff],
        [stiff * b**2 * k3, stiff * b * k4, k1, k2 / b],
        [stiff * b**3 * k2, stiff * b**2 * k3, b * k4, k1],
    ]
    return np.array(rows)


def unheld(hz: float, rpm: float, forward: bool) -> float:
    """What is left over at the free end of a pinned shaft on rubber on a strut's mass on its arms, with a propeller
    that whirls in a circle; nought at a whirl."""
    square = (2.0 * math.pi * hz) ** 2
    stiff, line = 193e3 * math.pi / 64.0 * 20.0**4, 7880e-9 * math.pi / 4.0 * 20.0**2
    rubber, arms, strut = 800.0, 300.0, 3.0
    behind = arms - strut * square / 1000.0
    spring = rubber * behind / (rubber + behind)
    at = np.eye(4)
    at[3, 0] = -spring  # the shear behind the bearing is less by what the spring pulls back
    turn = (0.01e6 - (1.0 if forward else -1.0) * 0.02e6 * (rpm / 60.0) / hz) * square / 1000.0
    tip = np.eye(4)
    tip[2, 1], tip[3, 0] = -turn, 5.0 * square / 1000.0
    whole = tip @ field(150.0, stiff, line, square) @ at @ field(900.0, stiff, line, square)
    # pinned forward: w and moment are nought there; moment and shear at the free end
    return float(np.linalg.det(whole[np.ix_([2, 3], [1, 3])]))


@pytest.mark.parametrize("rpm", [0.0, 900.0, 2500.0])
def test_circular_whirls_against_a_transfer_matrix(rpm: float) -> None:
    shaft = Shaft(length_mm=1050.0, diameter_mm=20.0, youngs_mpa=193e3, density_kg_m3=7880.0, shear_mpa=1e12)
    strut = Bearing(900.0, 800.0, 800.0, housing=Housing(3.0, 300.0, 300.0))
    found = whirl_modes(rotor(shaft, [Bearing(0.0), strut], [Disc(1050.0, 5.0, 0.01e6, 0.02e6)]), rpm, 6)
    for m in found:
        forward = m.forward > 0.5
        low, high = (unheld(f * m.hz, rpm, forward) for f in (0.9995, 1.0005))
        assert rpm == 0.0 or ways([m]) != ["mixed"]
        assert low * high < 0.0, m


def test_springs_across_are_springs_turned() -> None:
    # a pair of springs turned by an angle about the shaft has the same whirls (mechanics)
    turn, tip = 0.6, [Disc(1240.0, 12.65, 0.12e6, 0.20e6)]
    c, s = math.cos(turn), math.sin(turn)
    x, y, xy = 600.0 * c * c + 5000.0 * s * s, 600.0 * s * s + 5000.0 * c * c, (600.0 - 5000.0) * s * c
    plain = rotor(LONG, [Bearing(0.0), Bearing(1100.0, 600.0, 5000.0)], tip)
    turned = rotor(LONG, [Bearing(0.0), Bearing(1100.0, x, y, xy)], tip)
    for one, other in zip(whirl_modes(plain, 1300.0, 4), whirl_modes(turned, 1300.0, 4), strict=True):
        assert (one.hz, one.forward) == pytest.approx((other.hz, other.forward), rel=1e-6)


# ---- bare shafts


def pinned(length: float, diameter: float, youngs: float, density: float, discs: list[Disc] | None = None) -> Rotor:
    line = Shaft(length_mm=length, diameter_mm=diameter, youngs_mpa=youngs, density_kg_m3=density)
    return rotor(line, [Bearing(0.0), Bearing(length)], discs or [])


def test_textbook_shaft_alone() -> None:
    # Shigley 9th ed. Ex 7-5: 1 in steel shaft, 31 in span, 30e6 psi, 0.282 lb/in3: 520 rad/s (answer from memory;
    # 520.35 recomputed, without shear)
    found = pinned(31 * INCH, INCH, 30e6 * PSI, 0.282 * POUND / (INCH / 1000.0) ** 3)
    assert 2.0 * np.pi * found.natural_hz[0] == pytest.approx(520.35, rel=2e-3)


def test_textbook_shaft_with_two_discs() -> None:
    # Shigley 9th ed. Ex 7-5 (inputs published): 35 and 55 lbf at 7 and 20 in; Rayleigh 124.8, Dunkerley 120.4 rad/s
    # (recomputed). Theory: the true value of two discs lies between the two estimates.
    discs = [Disc(7 * INCH, 35 * POUND), Disc(20 * INCH, 55 * POUND)]
    assert 120.4 < 2.0 * np.pi * pinned(31 * INCH, INCH, 30e6 * PSI, 1e-6, discs).natural_hz[0] < 124.8


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
    assert pinned(length, d, youngs, density).natural_hz[:6:2] == pytest.approx(exact, rel=2e-3)


def test_three_supports_are_two_independent_spans() -> None:
    # symmetry: the first antisymmetric mode of two equal spans is that of one pinned span (textbook)
    line = Shaft(length_mm=2000.0, diameter_mm=40.0, youngs_mpa=193e3, density_kg_m3=7900.0)
    two = rotor(line, [Bearing(0.0), Bearing(1000.0), Bearing(2000.0)])
    assert two.natural_hz[0] == pytest.approx(pinned(1000.0, 40.0, 193e3, 7900.0).natural_hz[0], rel=1e-4)


def test_water_on_the_shaft_is_mass() -> None:
    # definition: water as heavy as the shaft lowers a slender shaft's frequency by root 2 (rotary inertia apart)
    kg = np.pi / 4 * 40.0**2 * 7900e-9
    line = Shaft(length_mm=2000.0, diameter_mm=40.0, youngs_mpa=193e3, density_kg_m3=7900.0, water_kg_mm=kg)
    wet = rotor(line, [Bearing(0.0), Bearing(2000.0)]).natural_hz[0]
    assert pinned(2000.0, 40.0, 193e3, 7900.0).natural_hz[0] / wet == pytest.approx(np.sqrt(2.0), rel=1e-3)


def test_shaft_refuses_nonsense() -> None:
    short = Shaft(length_mm=100.0, diameter_mm=20.0, youngs_mpa=2e5, density_kg_m3=7800.0)
    with pytest.raises(ValueError, match="stands 150 along"):
        rotor(short, [Bearing(150.0)])
    with pytest.raises(ValueError, match="not held"):
        rotor(short, [Bearing(50.0)])


# ---- the closed form for many


def quick(**instead: float) -> Overhung:
    # the shaft of LIGHT and LONG
    sizes = {"span_mm": 1200.0, "overhang_mm": 150.0, "diameter_mm": 50.0, "line_kg_mm": 1e-9, "youngs_mpa": 193e3}
    tip = {"propeller_kg": 25.0, "diametral_kg_mm2": 0.35e6, "polar_kg_mm2": 0.60e6}
    return Overhung(**(sizes | tip | instead))


def test_closed_form_of_an_overhung_propeller() -> None:
    # D 50 mm, span 1.2 m, overhang 0.15 m, 25 kg, E 193 GPa: 76.98 Hz massless (beam tables, 3EI / (b^2 (l + b))); with
    # 7880 kg/m3 and 0.35 kg m2: 47.46 Hz by beam elements outside the project (calculated). Neither has shear.
    bare, heavy = (
        shaken(quick(polar_kg_mm2=0.0, **more), BearingSpring(1e12, 1e12)).whirls[0].first_hz
        for more in ({"diametral_kg_mm2": 0.0}, {"line_kg_mm": math.pi / 4 * 2500.0 * 7880e-9})
    )
    # four whirls in one: it steps up to them more slowly, from below
    assert 0.98 * 76.98 <= bare <= 76.98
    assert 0.98 * 47.46 <= heavy <= 47.46


@pytest.mark.parametrize(("x", "y", "rpm"), [(1e9, 1e9, 1982.1), (1000.0, 1000.0, 1701.5), (600.0, 5000.0, 1509.0)])
def test_closed_form_on_springs(x: float, y: float, rpm: float) -> None:
    # transfer matrix, outside the program: the lowest that keeps pace
    line = math.pi / 4 * 35.0**2 * 7880e-9
    tip = {"propeller_kg": 12.65, "diametral_kg_mm2": 0.12e6, "polar_kg_mm2": 0.20e6}
    shaft = quick(span_mm=1100.0, overhang_mm=140.0, diameter_mm=35.0, line_kg_mm=line, **tip)
    found = shaken(shaft, BearingSpring(x, y)).whirls[0]
    assert 0.99 * rpm <= 60.0 * found.first_hz <= 1.001 * rpm


@pytest.mark.parametrize(("times", "rpm"), [(3.0, (1050.96, 1348.27)), (4.0, (808.54, 973.33))])
def test_closed_form_as_the_blades_drive_it(times: float, rpm: tuple[float, float]) -> None:
    # the closed form without shaft mass, above; without shear
    found = shaken(quick(), BearingSpring(RIGID, RIGID), (times,)).whirls[0]
    assert [60.0 * hz / times for hz in (found.first_hz, found.second_hz)] == pytest.approx(rpm, rel=0.01)
