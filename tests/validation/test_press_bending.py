"""Elastic-plastic bending against integration through the thickness and against finite elements; minimum zone against
linear programming."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import linprog

from strutwright.models.formulas.min_zone import min_zone
from strutwright.models.formulas.press_bending import (
    Strip,
    curve_of,
    mid_deflection_ratio,
    moment_ratio,
    set_strain,
    stroke,
    yield_deflection_mm,
    yield_force_n,
)

E_MPA = 200e3


def through_the_thickness(k: float, h: float) -> float:
    """Moment over that at first yield, by adding up the stresses of the layers."""
    z = (np.arange(4000) + 0.5) / 4000
    strain = k * z  # in yield strains, surface at 1
    stress = np.where(strain < 1.0, strain, 1.0 + h * (strain - 1.0))
    return float(3.0 * np.mean(stress * z))


@pytest.mark.parametrize("h", [0.0, 0.01, 0.1, 1.0])
@pytest.mark.parametrize("k", [0.4, 1.0, 1.7, 6.0, 40.0])
def test_moment_is_that_of_the_layers(k: float, h: float) -> None:
    assert float(moment_ratio(k, h)) == pytest.approx(through_the_thickness(k, h), rel=1e-6)


@pytest.mark.parametrize("h", [0.0, 0.02, 0.2])
@pytest.mark.parametrize("k", [0.7, 1.3, 4.0, 30.0])
def test_deflection_is_that_of_the_curvatures(k: float, h: float) -> None:
    top = float(moment_ratio(k, h))
    curvature = np.linspace(0.0, k, 200_001)
    x = np.array(moment_ratio(curvature, h)) / top  # place along half the span
    added = np.trapezoid(curvature * x, x)
    assert float(mid_deflection_ratio(k, h)) == pytest.approx(3.0 * added, rel=1e-6)


def test_without_hardening_it_is_the_perfectly_plastic_law() -> None:
    for force, deflection in ((1.1, 1.101528), (1.2, 1.212982), (1.3, 1.349373), (1.4, 1.547072), (1.45, 1.708816)):
        k = 1.0 / np.sqrt(3.0 - 2.0 * force)
        assert float(mid_deflection_ratio(k, 0.0)) == pytest.approx(deflection, abs=1e-6)
    assert float(mid_deflection_ratio(1e7, 0.0)) == pytest.approx(20.0 / 9.0, abs=1e-6)


# The same by finite elements, plane stress, 24 by 10 quadratic elements to a half span (CalculiX):
# span, thickness, yield, tangent over elastic modulus, stroke of the middle line -> force, N (a width of 1 mm); set.
BY_ELEMENTS: list[tuple[float, ...]] = [
    (100.0, 16.0, 280.0, 0.01, 0.6, 803.45, 0.3370),
    (120.0, 12.0, 280.0, 0.03, 1.5, 418.04, 0.9634),
    (130.0, 20.0, 500.0, 0.02, 1.2, 1734.70, 0.5646),
    (300.0, 20.0, 250.0, 0.005, 3.0, 355.44, 1.4838),
]


def deck(span_mm: float, thickness_mm: float, yield_mpa: float, hardening: float, stroke_mm: float) -> str:
    """The input of CalculiX: half a strip, its end held up over the thickness, its middle section pressed, let go."""
    along, high = 24, 10
    nodes, elements, ids = [], [], {}
    for i in range(2 * along + 1):
        for j in range(2 * high + 1):
            if i % 2 and j % 2:
                continue
            ids[i, j] = len(ids) + 1
            x = span_mm / 2 * (i / (2 * along)) ** 1.3
            nodes.append(f"{ids[i, j]},{x:.6f},{thickness_mm * (j / (2 * high) - 0.5):.6f},0.")
    for i in range(0, 2 * along, 2):
        for j in range(0, 2 * high, 2):
            around = ((0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1))
            elements.append(",".join(map(str, [len(elements) + 1, *(ids[i + a, j + b] for a, b in around)])))
    middle = [str(n) for (i, _), n in ids.items() if i == 0]
    end = [str(n) for (i, _), n in ids.items() if i == 2 * along]
    tangent = hardening * E_MPA / (1.0 - hardening)
    wide = ["*NODE,NSET=ALL", *nodes, "*ELEMENT,TYPE=CPS8,ELSET=STRIP", *elements]
    wide += [
        "*NSET,NSET=MID",
        ",\n".join(middle),
        "*NSET,NSET=END",
        ",\n".join(end),
        f"*NSET,NSET=AXIS\n{ids[0, high]}",
    ]
    metal = ["*MATERIAL,NAME=M", "*ELASTIC", f"{E_MPA},0.3", "*PLASTIC", f"{yield_mpa},0.", f"{yield_mpa + tangent},1."]
    held = ["*BOUNDARY", "MID,1,1", "END,2,2"]
    told = ["*NODE PRINT,NSET=MID,TOTALS=ONLY", "RF", "*NODE PRINT,NSET=AXIS", "U", "*END STEP"]
    press = ["*STEP,INC=200", "*STATIC", "0.1,1.,1e-5,0.1", "*BOUNDARY", f"MID,2,2,{-stroke_mm}", *told]
    # let go: the middle is moved back until no force is left, found between two places, which springback is linear in
    back = ["*STEP,INC=200", "*STATIC", "0.5,1.", "*BOUNDARY", f"MID,2,2,{-stroke_mm * 0.9}", *told]
    return "\n".join([*wide, *metal, "*SOLID SECTION,ELSET=STRIP,MATERIAL=M", "1.", *held, *press, *back]) + "\n"


def by_elements(folder: Path, *case: float) -> tuple[float, float]:
    """Force and set by CalculiX."""
    (folder / "strip.inp").write_text(deck(*case))
    subprocess.run(["ccx", "strip"], cwd=folder, check=True, capture_output=True, timeout=300)
    (force, eased) = _last_of_steps((folder / "strip.dat").read_text())
    moved = 0.1 * case[4]
    springback = moved * force / (force - eased)
    return 2.0 * force, case[4] - springback


def _last_of_steps(told: str) -> list[float]:
    """Force on the half at the end of each step."""
    found = re.findall(r"total force.*time\s+(\S+)\s*\n\s*\n(.*)\n", told)
    at = {float(time): abs(float(line.split()[1])) for time, line in found}
    return [at[1.0], at[2.0]]


@pytest.mark.parametrize("case", BY_ELEMENTS)
def test_force_and_set_are_those_of_finite_elements(case: tuple[float, ...], tmp_path: Path) -> None:
    span, thick, yield_mpa, hardening, pressed, force, left = case
    if os.environ.get("STRUTWRIGHT_THOROUGH") and shutil.which("ccx"):
        assert by_elements(tmp_path, *case[:5]) == pytest.approx((force, left), rel=2e-3, abs=2e-3)
    strip = Strip(
        width_mm=1.0, thickness_mm=thick, span_mm=span, yield_mpa=yield_mpa, youngs_mpa=E_MPA, hardening=hardening
    )
    bent = stroke(strip, pressed)
    assert float(bent.force_n) == pytest.approx(force, rel=0.03)
    assert float(bent.set_mm) == pytest.approx(left, abs=0.03)


def strip_of(width: float, thick: float, span: float, yield_mpa: float, hardening: float = 0.0) -> Strip:
    return Strip(
        width_mm=width, thickness_mm=thick, span_mm=span, yield_mpa=yield_mpa, youngs_mpa=193e3, hardening=hardening
    )


def test_a_set_and_its_stroke_belong_together() -> None:
    for h in (0.0, 0.01, 0.05):
        strip = strip_of(200, 16, 120, 280.0, h)
        curve = curve_of([strip])
        for wanted in (0.05, 0.4, 1.5):
            pressed = wanted + float(curve.springback(280.0, wanted))
            if h > 0.0 or wanted < 0.7 * float(strip.yield_deflection_mm):
                bent = stroke(strip, pressed)
                assert float(bent.set_mm) == pytest.approx(wanted, abs=2e-3)
                assert float(curve.force(280.0, wanted)) == pytest.approx(float(bent.force_n), rel=2e-3)


@pytest.mark.parametrize(("yield_mpa", "b", "t", "span", "plastic_kn", "back"), [
    # Shop figures, common practice, computed elsewhere without shear: 316L (yield 280) 16 and 12 thick, steel 350,
    # duplex 500.
    (280, 250, 16, 100, 179, 0.23), (280, 280, 12, 110, 103, 0.37), (350, 350, 20, 130, 377, 0.38),
    (500, 350, 20, 130, 538, 0.55),
])  # fmt: skip
def test_shop_press_figures(yield_mpa: float, b: float, t: float, span: float, plastic_kn: float, back: float) -> None:
    strip = strip_of(b, t, span, yield_mpa)
    curve = curve_of([strip])
    assert float(curve.force(yield_mpa, 0.7 * strip.yield_deflection_mm)) / 1000 == pytest.approx(plastic_kn, rel=0.01)
    shear = 1.0 + 2.4 * 1.3 * (t / span) ** 2
    assert float(curve.springback(yield_mpa, 1.0)) == pytest.approx(back * shear, rel=0.03)


def test_worked_plate() -> None:
    # 150 x 20 on 300, 250 MPa, E 200 GPa: computed from the published formulas; 4 t s / S^2 of 2 mm on 100, 16 thick.
    assert yield_force_n(250, 150, 20, 300) == pytest.approx(33_333.3, rel=1e-4)
    assert yield_deflection_mm(250, 200_000, 20, 300) == pytest.approx(0.9375, rel=1e-12)
    radius = 100**2 / (8 * 2.0) + 1.0
    assert set_strain(2.0, 16.0, 100.0) == pytest.approx(16.0 / (2 * radius), rel=2e-3)


def by_programming(points: NDArray[np.float64]) -> float:
    """Least vertical distance of two parallel planes."""
    ones = np.ones((len(points), 1))
    over = np.hstack([-points[:, :2], -ones, -ones])
    under = np.hstack([points[:, :2], ones, -ones])
    found = linprog(
        [0, 0, 0, 2.0],
        A_ub=np.vstack([over, under]),
        b_ub=np.concatenate([-points[:, 2], points[:, 2]]),
        bounds=[(None, None)] * 3 + [(0, None)],
    )
    return float(found.fun)


@pytest.mark.parametrize("seed", range(12))
def test_minimum_zone_is_that_of_linear_programming(seed: int) -> None:
    random = np.random.default_rng(seed)
    grid = np.stack(np.meshgrid(np.linspace(0, 300, 3 + seed % 4), np.linspace(0, 150, 3 + seed % 3)), -1).reshape(
        -1, 2
    )
    height = random.normal(0, 0.3, len(grid)) + 0.02 * random.normal() * grid[:, 0]
    points = np.column_stack([grid, np.round(height, 2 if seed % 2 else 6)])
    zone, normal = min_zone(points)
    assert zone == pytest.approx(by_programming(points) * normal[2], rel=2e-4, abs=1e-9)
    assert zone == pytest.approx(float(np.ptp(points @ normal)), abs=1e-9)


def test_minimum_zone_of_known_shapes() -> None:
    """Four points as a saddle: the whole height; the five points of a public data set: 0.067262."""
    saddle = np.array([[0, 0, 0.0], [9, 0, 1], [0, 9, 1], [9, 9, 0]])
    assert min_zone(saddle)[0] == pytest.approx(1.0, rel=0.02)
    five = np.array([[11.5, 7, 1.1], [18.5, 6.9, 1.03], [4.5, 13, 1.02], [25.5, 30, 1.03], [11.5, 37.5, 1.02]])
    assert min_zone(five)[0] == pytest.approx(0.067262, abs=1e-6)
    with pytest.raises(ValueError, match="on one line"):
        min_zone(np.array([[0.0, 0, 0], [1, 1, 0], [2, 2, 1]]))
