"""A rudder stock from points, against lines drawn here; limits: common practice, no source."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from command_line_support import run
from hypothesis import given, settings
from hypothesis import strategies as st

from strutwright.errors import Exit
from strutwright.models.bench.rudder import against, stock_of
from strutwright.models.resolve import resolve
from strutwright.params.bench.rudder import RudderStock, StockPoint
from strutwright.params.loader import load, shipped
from strutwright.params.words import read

YAWL = resolve(load(shipped()["yawl-with-heel"])).strut


def _points(at: np.ndarray, way: np.ndarray, along: list[float], off: np.ndarray | None = None) -> list[StockPoint]:  # type: ignore[type-arg]
    rows = [at + t * way for t in along]
    off = np.zeros((len(rows), 3)) if off is None else off
    return [
        StockPoint(behind_barrel=-float(p[0] + o[0]), port=float(p[1] + o[1]), above_shaft=float(p[2] + o[2]))
        for p, o in zip(rows, off, strict=True)
    ]


@settings(max_examples=60, deadline=None)
@given(
    st.floats(-30.0, 30.0), st.floats(-20.0, 20.0), st.floats(100.0, 2000.0), st.floats(-300.0, 300.0),
    st.floats(100.0, 900.0),
)  # fmt: skip
def test_an_exact_line_is_found(rake: float, cant: float, behind: float, port: float, below: float) -> None:
    # Up by one, aft by tan rake, to port by tan cant: the meaning that a set gives to them.
    way = np.array([-math.tan(math.radians(rake)), math.tan(math.radians(cant)), 1.0])
    at = np.array([-behind, port, -below])
    found = stock_of(RudderStock(points=_points(at, way, [50.0, 400.0, 900.0]), scatter=1.0), below)
    assert (found.behind.value, found.port.value) == pytest.approx((behind, port), abs=1e-6)
    assert (found.rake.value, found.cant.value) == pytest.approx((rake, cant), abs=1e-6)


def test_the_truth_lies_within_what_is_told() -> None:
    # 600 surveys of 6 points with a scatter of 1 mm: 95 of 100 within, as counted, for place and lean.
    rng = np.random.default_rng(11)
    way, at = np.array([-0.1, 0.02, 1.0]), np.array([-300.0, 0.0, -340.0])
    along = [60.0, 300.0, 560.0, 820.0, 1100.0, 1350.0]
    for said in (1.0, None):
        hits = np.zeros(4)
        for _ in range(600):
            points = _points(at, way, along, rng.normal(0.0, 1.0, (6, 3)))
            found = stock_of(RudderStock(points=points, scatter=said), 340.0)
            true = (300.0, 0.0, math.degrees(math.atan(0.1)), math.degrees(math.atan(0.02)))
            told = (found.behind, found.port, found.rake, found.cant)
            hits += [abs(f.value - t) <= f.within for f, t in zip(told, true, strict=True)]
        assert (hits / 600 > 0.925).all(), (said, hits / 600)
        assert (hits / 600 < 0.985).all(), (said, hits / 600)


def test_a_slip_is_named_and_few_points_are_told() -> None:
    way, at = np.array([-0.1, 0.0, 1.0]), np.array([-300.0, 0.0, -340.0])
    off = np.zeros((6, 3))
    off[3, 1] = 15.0
    rng = np.random.default_rng(2)
    points = _points(at, way, [60.0, 300.0, 560.0, 820.0, 1100.0, 1350.0], off + rng.normal(0.0, 0.5, (6, 3)))
    found = stock_of(RudderStock(points=points, scatter=0.5), 340.0)
    assert any(read(d, "mm").startswith("point 4 lies") for d in found.doubts)
    few = stock_of(RudderStock(points=points[:3]), 340.0)
    assert any("nothing checks them" in read(d, "mm") for d in few.doubts)
    assert math.isnan(few.behind.within)
    level = [StockPoint(behind_barrel=float(x), above_shaft=0.0) for x in (0, 100, 200)]
    with pytest.raises(ValueError, match="do not lie along a rudder stock"):
        stock_of(RudderStock(points=level), 340.0)


def test_a_heel_moved_off_the_stock_is_told_by_how_much() -> None:
    assert YAWL.skeg is not None
    heel = YAWL.skeg.heel
    assert heel is not None
    way = np.array([-math.tan(math.radians(heel.stock_rake_deg)), 0.0, 1.0])
    x, y, z = heel.centre_mm
    # The set counts from the barrel's aft face: the axis 3 mm aft and 2 mm to port of the bore's middle.
    at = np.array([x + YAWL.barrel.length_mm / 2 - 3.0, y + 2.0, z])
    found = stock_of(RudderStock(points=_points(at, way, [100.0, 900.0]), scatter=0.1), -z)
    made = against(YAWL, heel, found)
    assert (made.aft_mm, made.port_mm, made.lean_deg) == pytest.approx((3.0, 2.0, 0.0), abs=1e-6)
    clearance = heel.bore_mm - heel.running_mm
    assert made.run_out_most_mm == pytest.approx(clearance / 2)
    assert made.lean_most_deg == pytest.approx(math.degrees(clearance / 2 / heel.height_mm))


def test_the_example(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["rudder", "yawl-rudder-stock", "--set", "yawl-with-heel", "--out", str(tmp_path / "job"), "--json"]
    status, out, err = run(capsys, *words)
    assert status == Exit.WARNINGS, err
    made = json.loads(out)
    # A rule of 1 mm cannot tell a quarter of a bush's clearance: that is said, and not passed.
    assert {f["stands"] for f in made["figures"]} == {"", "measure again", "in"}
    assert made["stock"]["behind_barrel"]["value"] == pytest.approx(280.0, abs=made["stock"]["behind_barrel"]["within"])
