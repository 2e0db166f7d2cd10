"""Weld distortion against outside figures."""

from __future__ import annotations

import pytest

from strutwright.models.formulas import weld_distortion as fl


def test_weld_distortion_formulas() -> None:
    # Classic welded-structures handbook formulas, inches, from memory; examples computed: 4 in wide with 1/4 in legs on
    # 1/2 in, 8 in with 5/16 in; a deposit of 0.2 in2 in 1/2 in plate.
    inch = 25.4
    assert fl.weld_pull_up_mm(4 * inch, 0.25 * inch, 0.5 * inch) / inch == pytest.approx(0.0528, abs=1e-4)
    assert fl.weld_pull_up_mm(8 * inch, 0.3125 * inch, 0.5 * inch) / inch == pytest.approx(0.1411, abs=1e-4)
    assert fl.weld_shrinkage_mm(0.2 * inch**2, 0.5 * inch) / inch == pytest.approx(0.040, abs=1e-9)
