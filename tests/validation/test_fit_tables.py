"""Limits and fits against the formulas of their standards, published examples and a reference library.

Each check names its source and its standing: published, common practice, or from memory.
"""

from __future__ import annotations

import math

import pressfit
import pytest

from strutwright.params import tables
from strutwright.params.quantity import INCH_MM


def _um(symbol: str, diameter_mm: float) -> tuple[float, float]:
    limits = tables.iso286(symbol, diameter_mm)
    return limits.upper_um, limits.lower_um


def test_50_h7_s6() -> None:
    """50 H7/s6: hole +25/0, shaft +59/+43 micrometres (published machine-design example)."""
    assert _um("H7", 50) == (25, 0)
    assert _um("s6", 50) == (59, 43)


def test_34_h11() -> None:
    """34 H11 hole 34.160/34.000 mm (published, Shigley 9th ed., Example 7-7)."""
    assert _um("H11", 34) == (160, 0)


def test_2_inch_h7_s6() -> None:
    """2 in H7/s6: hole 2.0010/2.0000, shaft 2.0023/2.0017 in (published, Shigley 9th ed., Example 7-8)."""
    # Inch tables hold the metric steps divided by 25, each value rounded to 0.0001 in.
    hole, shaft = ([round(um / 25400, 4) for um in _um(symbol, 25 * 2.0)] for symbol in ("H7", "s6"))
    assert [2 + off for off in hole] == pytest.approx([2.0010, 2.0000], abs=1e-9)
    assert [2 + off for off in shaft] == pytest.approx([2.0023, 2.0017], abs=1e-9)


@pytest.mark.parametrize(("symbol", "upper", "lower"), [("H7", 30, 0), ("n6", 39, 20), ("p6", 51, 32), ("s6", 78, 59)])
def test_a_2_5_8_inch_bearing_seat(symbol: str, upper: float, lower: float) -> None:
    """66.675 mm: r and s step 65 to 80, tolerance step 50 to 80 (ISO 286 table values, published)."""
    assert _um(symbol, 66.675) == (upper, lower)


@pytest.mark.parametrize(
    ("diameter", "h7", "p6", "g6"),
    [
        (25, (21, 0), (35, 22), (-7, -20)),
        (40, (25, 0), (42, 26), (-9, -25)),
        (70, (30, 0), (51, 32), (-10, -29)),
        (100, (35, 0), (59, 37), (-12, -34)),
        (150, (40, 0), (68, 43), (-14, -39)),
        (200, (46, 0), (79, 50), (-15, -44)),
    ],
)
def test_bearing_seat_fits(diameter: float, h7: tuple[int, int], p6: tuple[int, int], g6: tuple[int, int]) -> None:
    """H7, p6 and g6 limits of ISO 286 (published to 80 mm, from memory above)."""
    assert (_um("H7", diameter), _um("p6", diameter), _um("g6", diameter)) == (h7, p6, g6)


@pytest.mark.parametrize(("grade", "factor"), [(6, 10), (7, 16), (8, 25), (9, 40), (10, 64), (11, 100)])
def test_tolerance_grades_follow_the_iso286_formula(grade: int, factor: int) -> None:
    """IT = factor x i, i = 0.45 D^(1/3) + 0.001 D, D the geometric mean of the step (ISO 286-1, published).

    Rows over 3 mm (the first row of the standard is larger than the formula). The standard rounds by hand: all but
    one row agree within 1 um or 3 %, that one within 1.2 um or 5 %.
    """
    rows = [r for r in tables.table("iso286_tolerances").rows if r["over"] >= 3]
    misses = 0
    for row in rows:
        mean = math.sqrt(row["over"] * row["to"])
        formula = factor * (0.45 * mean ** (1 / 3) + 0.001 * mean)
        misses += abs(row[f"IT{grade}"] - formula) > max(1.0, 0.03 * formula)
        assert row[f"IT{grade}"] == pytest.approx(formula, rel=0.05, abs=1.2)
    assert misses <= 1


def test_deviations_follow_their_formulas() -> None:
    """n = 5 D^0.34 and s = IT7 + 0.4 D above 50 mm within 1 um; p = IT7 + 0 to 5 um (ISO 286-1, published)."""
    main = {(50, 80), (80, 120), (120, 180), (180, 250), (250, 315)}
    for row in tables.table("iso286_deviations").rows:
        over, to = next((m for m in main if m[0] <= row["over"] and row["to"] <= m[1]), (row["over"], row["to"]))
        mean_main = math.sqrt(max(over, 1) * to)
        if over >= 10:
            assert row["n"] == pytest.approx(5 * mean_main**0.34, abs=1.0)
        it7 = tables.iso286("H7", row["to"]).upper_um
        assert -6 <= row["p"] - it7 <= 5
        if row["over"] >= 50:
            mean = math.sqrt(row["over"] * row["to"])
            assert row["s"] == pytest.approx(it7 + 0.4 * mean, abs=1.6)


@pytest.mark.parametrize("grade", range(5, 12))
def test_h_holes_against_pressfit(grade: int) -> None:
    """Every step and its ends against the PyPI package pressfit 0.1 (independent ISO 286 reference)."""
    for diameter in (0.5, 3, 3.01, 6, 10, 18, 18.5, 30, 45, 50, 50.8, 66.675, 80, 80.1, 120, 180, 200, 250, 315):
        reference = pressfit.fit(f"H{grade}/h6", diameter)
        assert _um(f"H{grade}", diameter) == (reference.hole_es_um, reference.hole_ei_um)


@pytest.mark.parametrize("shaft", ["e8", "f7", "g6", "h6", "js6", "js7", "k6", "k8", "m6", "n6", "p6", "s6", "s7"])
def test_shafts_against_pressfit(shaft: str) -> None:
    """Shaft limits over all steps against the PyPI package pressfit 0.1 (independent ISO 286 reference)."""
    for diameter in (2, 5, 9, 15, 25, 40, 60, 66.675, 75, 90, 110, 130, 150, 170, 190, 210, 240, 270, 300):
        reference = pressfit.fit(f"H7/{shaft}", diameter)
        assert _um(shaft, diameter) == (reference.shaft_es_um, reference.shaft_ei_um)


def test_holes_mirror_the_shafts() -> None:
    """ISO 286-1 general rule for A to H: EI = -es of the same letter (published); 40 G7 +34/+9, F8 +64/+25."""
    assert _um("G7", 40) == (34, 9)
    assert _um("F8", 40) == (64, 25)
    assert _um("JS7", 40) == (12.5, -12.5)


# Printed least and most interference, 0.001 in, ASME B4.1-1967 as reproduced in public handbook pages.
PRINTED = [
    ("LN2", 1.0, 0.0, 1.3),
    ("LN2", 1.5, 0.0, 1.6),
    ("LN2", 2.625, 0.2, 2.1),
    ("LN2", 4.0, 0.2, 2.5),
    ("LN2", 6.0, 0.2, 2.8),
    ("LN2", 8.0, 0.2, 3.2),
    ("LN3", 1.0, 0.4, 1.7),
    ("LN3", 2.625, 0.4, 2.3),
    ("LN3", 4.0, 0.6, 2.9),
    ("LN3", 6.0, 0.9, 3.5),
    ("LN3", 8.0, 1.2, 4.2),
    ("FN1", 2.0, 0.6, 1.8),
    ("FN1", 1.0, 0.3, 1.2),
    ("FN1", 2.625, 0.7, 1.9),
    ("FN1", 3.5, 0.9, 2.4),
    ("FN1", 5.0, 1.2, 2.9),
    ("FN1", 8.0, 2.3, 4.3),
    ("FN2", 0.6, 0.5, 1.6),
    ("FN2", 1.0, 0.6, 1.9),
    ("FN2", 2.0, 0.8, 2.7),
    ("FN2", 2.625, 1.0, 2.9),
    ("FN2", 3.5, 1.4, 3.7),
    ("FN2", 5.0, 1.9, 4.5),
    ("FN2", 9.0, 4.2, 7.2),
]


@pytest.mark.parametrize(("name", "inches", "least", "most"), PRINTED)
def test_inch_fits_give_the_printed_interference(name: str, inches: float, least: float, most: float) -> None:
    """Limits recombined give the separately printed interference columns (ASME B4.1, published copies)."""
    fit = tables.inch_fit(name, inches * INCH_MM)
    assert fit.interference_min_mm / INCH_MM * 1000 == pytest.approx(least, abs=1e-6)
    assert fit.interference_max_mm / INCH_MM * 1000 == pytest.approx(most, abs=1e-6)


def test_inch_locational_clearance_fits_clear() -> None:
    """LC2 and LC5 never interfere (definition of a clearance fit, ASME B4.1)."""
    for name in ("LC2", "LC5"):
        for inches in (0.5, 1.0, 1.5, 2.625, 4.0, 6.0, 9.0):
            assert tables.inch_fit(name, inches * INCH_MM).interference_max_mm <= 1e-12
