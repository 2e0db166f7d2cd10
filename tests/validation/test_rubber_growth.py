"""Rubber that grows in warm water closes the running bore: against plane finite elements, and exact limits.

Elements: scikit-fem, displacement and pressure (Taylor-Hood), so that rubber which keeps its volume under pressure does
not lock. A land is bonded to the shell, free at its sides and inside, and does not move lengthwise. How much rubber
expands and swells is from memory and decides nothing.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.sparse as sparse
import skfem
from skfem.helpers import ddot, div, sym_grad
from support import own_limits

from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.fit import barrel_bearing
from strutwright.models.finding import Verdict
from strutwright.models.formulas import bearing
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.params.loader import load, shipped


def inward(ratio: float, fine: int = 8) -> float:
    """Growth inward of the middle of a land over that of its volume; ratio: its width over its thickness."""
    across = np.linspace(0.0, ratio / 2.0, max(fine, round(fine * ratio / 2.0)) + 1)
    mesh = skfem.MeshQuad.init_tensor(across, np.linspace(0.0, 1.0, fine + 1))
    moves = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementQuad2()), intorder=4)
    pressed = moves.with_element(skfem.ElementQuad1())
    bulk = 1e4
    shear = skfem.BilinearForm(lambda u, v, _: 2.0 * (ddot(sym_grad(u), sym_grad(v)) - div(u) * div(v) / 3.0))
    both = skfem.BilinearForm(lambda u, q, _: div(u) * q).assemble(moves, pressed)
    alone = skfem.BilinearForm(lambda p, q, _: p * q / bulk).assemble(pressed)
    grows = skfem.LinearForm(lambda q, _: q).assemble(pressed)
    whole = sparse.bmat([[shear.assemble(moves), -both.T], [-both, -alone]]).tocsr()
    bonded = moves.get_dofs(lambda x: np.isclose(x[1], 0.0)).all()
    middle = moves.get_dofs(lambda x: np.isclose(x[0], 0.0)).all("u^1")
    held = np.unique(np.concatenate([bonded, middle]))
    found = skfem.solve(*skfem.condense(whole, np.concatenate([np.zeros(moves.N), -grows]), D=held))
    return float(found[moves.get_dofs(lambda x: np.isclose(x[1], 1.0)).all("u^2")].max())


def ours(ratio: float) -> float:
    """The same by the formula: lands of that width, 1 thick, in a bore of 8 lands and flutes."""
    width, flute = ratio, 0.5
    return float(bearing.rubber_growth_mm(1.0, 8.0 * (width + flute) / math.pi, 8.0, flute, 1.0)) / 2.0


@pytest.mark.parametrize("ratio", [0.25, 1.0, 2.0, 4.0, 6.0, 10.0])
def test_a_land_grows_inward_no_more_than_is_said(ratio: float) -> None:
    by_elements = inward(ratio)
    assert by_elements <= ours(ratio) <= 1.15 * by_elements


def test_a_narrow_land_grows_by_half_of_its_volume_a_sleeve_by_all() -> None:
    assert ours(1e-9) == pytest.approx(0.5)
    assert ours(100.0) == pytest.approx(1.0)
    assert float(bearing.rubber_growth_mm(4.0, 40.0, 0.0, 0.0, 0.01)) == pytest.approx(0.08)
    assert float(bearing.rubber_growth_mm(0.0, 40.0, 8.0, 4.0, 0.01)) == 0.0


def test_a_clearance_that_the_rubber_fills_is_hinted_at() -> None:
    """Worked by hand: rubber 4.45 thick in 8 lands of 8.3, 20 K and half a hundredth: 0.0182 of its volume."""
    strut = resolve(load(shipped()["harbour-launch"])).strut
    found = {f.code: f for f in engineering_findings(strut)}
    grown = 2 * 4.45 * (0.005 + 20 * 6.6e-4) * (1 - 0.5 * math.exp(-0.33 * (math.pi * 35.1 / 8 - 5.5) / 4.45))
    assert found["clearance_wet"].actual == pytest.approx(grown, rel=2e-3)
    assert found["clearance_wet"].verdict is Verdict.HINT
    assert found["clearance_wet"].utilisation > 1.0
    assert found["clearance_wet"].advice
    assert found["clearance_wet_most"].actual > 2.0 * found["clearance_wet"].actual
    inputs = Inputs.from_strut(strut, limits=own_limits("rubber_swell: 0\nrubber_warmer: 0\n"))
    assert barrel_bearing.numbers(inputs)["clearance_wet"].utilisation < 1.0
