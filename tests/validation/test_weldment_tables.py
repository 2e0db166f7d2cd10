"""General tolerances of weldments, ISO 13920:1996 (published, typed copy checked against the French edition)."""

from __future__ import annotations

import math

import numpy as np
import pytest

from strutwright.params import tables


def test_class_b_and_f_of_200_mm() -> None:
    """200 mm: class B length 2 mm and 45 minutes, class F flat within 1.5 mm (ISO 13920, Tables 1 to 3)."""
    assert tables.weldment_length_tolerance_mm("B", 200) == 2.0
    assert tables.weldment_angle_tolerance_deg("B", 200) == 0.75
    assert tables.weldment_flatness_mm("F", 200) == 1.5
    assert tables.weldment_flatness_mm("E", 600) == 1.5  # an earlier copy has 1.6


def test_angles_are_the_slopes_that_the_standard_gives_beside_them() -> None:
    """Table 2 gives each angle in minutes and, rounded, in mm a metre: two ways to print one value."""
    t = tables.table("iso13920_angles")
    for grade, slopes in t.extra["slopes"].items():
        for row, slope in zip(t.rows, slopes, strict=True):
            assert 1000 * math.tan(math.radians(row[grade] / 60)) == pytest.approx(slope, abs=0.6)


@pytest.mark.parametrize("name", ["iso13920_lengths", "iso13920_angles", "iso13920_flatness"])
def test_coarser_classes_allow_more_and_steps_join(name: str) -> None:
    """By its sense; and a step begins where the last one ended."""
    rows = tables.table(name).rows
    for row in rows:
        values = list(row.values())[2:]
        assert values == sorted(values)
    assert [r["over"] for r in rows[1:]] == [r["to"] for r in rows[:-1]]


@pytest.mark.parametrize(
    ("lookup", "grade"),
    [
        (tables.weldment_length_tolerance_mm, "C"),
        (tables.weldment_angle_tolerance_deg, "a"),
        (tables.weldment_flatness_mm, "H"),
    ],
)
def test_many_sizes_are_as_each_alone(lookup: object, grade: str) -> None:
    assert callable(lookup)
    sizes = np.array([0.5, 2.0, 30.0, 30.01, 120.0, 400.0, 401.0, 999.0, 1000.0])
    assert lookup(grade, sizes).tolist() == [lookup(grade, float(s)) for s in sizes]


def test_what_the_standard_does_not_say_is_told() -> None:
    with pytest.raises(tables.NotInTable, match="A, B, C, D"):
        tables.weldment_length_tolerance_mm("F", 200)
    with pytest.raises(tables.NotInTable, match="1000 mm"):
        tables.weldment_flatness_mm("E", 1200)
    with pytest.raises(tables.NotInTable):
        tables.weldment_angle_tolerance_deg("B", 0.0)
    assert np.isnan(tables.weldment_length_tolerance_mm("B", np.array([0.0, 3000.0]))).all()
