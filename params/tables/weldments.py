"""Weldments: general tolerances of what is welded together and not machined after."""

from __future__ import annotations

from typing import Any

import numpy as np

from strutwright.params.tables.reader import missing, span_of, table


def weldment_length_tolerance_mm(grade: str, length_mm: Any) -> Any:
    """Tolerance, plus or minus, in mm of ISO 13920 class A to D for a length to 2000 mm; broadcasts.
    Published (typed copy). Raises :class:`NotInTable` for one size that is not there; of many, nan.
    """
    return _of_class("iso13920_lengths", grade, length_mm, "Length")


def weldment_angle_tolerance_deg(grade: str, shorter_leg_mm: Any) -> Any:
    """Tolerance, plus or minus, in degrees of ISO 13920 class A to D, by the angle's shorter leg in mm; broadcasts.
    Published (typed copy). Raises :class:`NotInTable` for one size that is not there; of many, nan.
    """
    return _of_class("iso13920_angles", grade, shorter_leg_mm, "Shorter leg") / 60.0


def weldment_flatness_mm(grade: str, longer_side_mm: Any) -> Any:
    """Straightness, flatness or parallelism in mm of ISO 13920 class E to H, by the longer side to 1000 mm; broadcasts.
    Published (typed copy). Raises :class:`NotInTable` for one size that is not there; of many, nan.
    """
    return _of_class("iso13920_flatness", grade, longer_side_mm, "Longer side")


def _of_class(name: str, grade: str, size_mm: Any, what: str) -> Any:
    """Return the value of a class; under the first step, where the standard says nothing, that of the first."""
    t = table(name)
    key = grade.strip().upper()
    if key not in t.columns[2:]:
        raise missing("Class", grade, t.columns[2:], f"{t.standard} ({t.title})")
    if np.ndim(size_mm) == 0:
        first = t.rows[0]
        row = first if 0.0 < size_mm <= first["to"] else span_of(name, float(size_mm), what)
        return float(row[key])
    ends = np.array([r["to"] for r in t.rows], dtype=float)
    values = np.array([*(r[key] for r in t.rows), np.nan], dtype=float)
    sizes = np.asarray(size_mm, dtype=float)
    return np.where(sizes > 0.0, values[np.searchsorted(ends, sizes)], np.nan)
