"""A rudder stock from points, against lines drawn here; limits: common practice, no source."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from command_line_support import run
from hypothesis import given, settings
from hypothesis import strategies as st
from support import THOROUGH, every, own_limits

from strutwright.errors import Exit
from strutwright.exporters.bench import rudder as out
from strutwright.exporters.bench.paper import Imprint
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import overlaps
from strutwright.models.bench.heel_axis import heel_axis
from strutwright.models.bench.rudder import against, stock_of
from strutwright.models.resolve import resolve
from strutwright.params.bench.rudder import HeelPoint, RudderStock, StockPoint, Turned
from strutwright.params.limits import standard
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
    made = against(YAWL, heel, found, standard())
    assert (made.aft.value, made.port.value, made.lean.value) == pytest.approx((3.0, 2.0, 0.0), abs=1e-6)
    clearance = heel.bore_mm - heel.running_mm
    assert made.run_out_most_mm == pytest.approx(clearance / 2)
    assert made.lean_most_deg == pytest.approx(math.degrees(clearance / 2 / heel.height_mm))


def _on_heel(
    at: np.ndarray,
    way: np.ndarray,
    kinds: dict[str, int],
    off: Any = None,
    bore: float = 30.0,
    high: float = 40.0,  # type: ignore[type-arg]
) -> list[HeelPoint]:
    """Points on a heel, `kinds` of each at both ends of the bore, off by what is drawn for each."""
    way = way / np.linalg.norm(way)
    across = np.cross(way, [0.0, 1.0, 0.2])
    across /= np.linalg.norm(across)
    other, made = np.cross(way, across), []
    for kind, count in kinds.items():
        for k in range(count):
            turn, end = 2.0 * math.pi * k / count + 0.3, (-0.5 if k % 2 else 0.5) * high
            out = math.cos(turn) * across + math.sin(turn) * other
            if kind == "middle":
                p = at + end * way
            elif kind == "wall":
                p = at + end * way + bore / 2.0 * out
            else:
                p = at + (0.5 if kind == "upper face" else -0.5) * high * way + 0.9 * bore * out
            p = p + (np.zeros(3) if off is None else off(3))
            made.append(HeelPoint(on=kind, behind_barrel=-p[0], port=p[1], above_shaft=p[2]))  # type: ignore[arg-type]
    return made


WAYS = ({"middle": 4}, {"wall": 8}, {"wall": 4, "upper face": 4}, {"middle": 2, "upper face": 3, "lower face": 3})


@pytest.mark.parametrize("kinds", WAYS)
@settings(max_examples=25, deadline=None)
@given(
    st.floats(-30.0, 30.0), st.floats(-20.0, 20.0), st.floats(50.0, 2000.0), st.floats(-300.0, 300.0),
    st.floats(50.0, 900.0), st.floats(8.0, 150.0),
)  # fmt: skip
def test_an_exact_bore_of_a_heel_is_found(
    kinds: dict[str, int], rake: float, cant: float, behind: float, port: float, below: float, bore: float
) -> None:
    way = np.array([-math.tan(math.radians(rake)), math.tan(math.radians(cant)), 1.0])
    points = _on_heel(np.array([-behind, port, -below]), way, kinds, bore=bore, high=1.5 * bore)
    found = heel_axis(points, 0.1, below)
    assert (found.behind.value, found.port.value) == pytest.approx((behind, port), abs=1e-5)
    assert (found.rake.value, found.cant.value) == pytest.approx((rake, cant), abs=1e-5)
    assert (found.bore is None) == ("wall" not in kinds)
    assert found.bore is None or found.bore.value == pytest.approx(bore, abs=1e-5)


@pytest.mark.parametrize("kinds", every(WAYS, 3))
def test_the_truth_of_a_heel_lies_within_what_is_told(kinds: dict[str, int]) -> None:
    rng = np.random.default_rng(5)
    way, at = np.array([0.14, 0.03, 1.0]), np.array([-280.0, 1.0, -340.0])
    true = (280.0, 1.0, math.degrees(math.atan(-0.14)), math.degrees(math.atan(0.03)))
    trials = 400 if THOROUGH else 60
    for said in (0.05, None):
        hits = np.zeros(4)
        for _ in range(trials):
            found = heel_axis(_on_heel(at, way, kinds, lambda n: rng.normal(0.0, 0.05, n)), said, 340.0)
            told = (found.behind, found.port, found.rake, found.cant)
            hits += [abs(f.value - t) <= f.within for f, t in zip(told, true, strict=True)]
        assert (hits / trials > (0.92 if THOROUGH else 0.86)).all(), (said, hits / trials)


def test_a_slip_on_the_heel_is_named_and_what_tells_no_axis_is_refused() -> None:
    way, at = np.array([0.14, 0.03, 1.0]), np.array([-280.0, 1.0, -340.0])
    rng = np.random.default_rng(3)
    points = _on_heel(at, way, {"wall": 8, "upper face": 4}, lambda n: rng.normal(0.0, 0.03, n))
    assert heel_axis(points, None, 340.0).doubts == ()
    points[5] = points[5].model_copy(update={"port": points[5].port + 1.5})
    assert any("heel point 6 lies" in read(d, "mm") for d in heel_axis(points, None, 340.0).doubts)
    few = heel_axis(_on_heel(at, way, {"middle": 2}), None, 340.0)
    assert math.isnan(few.behind.within)
    assert any("nothing checks them" in read(d, "mm") for d in few.doubts)
    for kinds in ({"wall": 3}, {"middle": 1}, {"wall": 3, "upper face": 2}, {"upper face": 5}):
        with pytest.raises(ValueError, match=r"do not tell its axis|points of the bore"):
            heel_axis(_on_heel(at, way, kinds), 0.1, 340.0)


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_sheets_hold_as_many_points_as_there_are(paper: Any) -> None:
    assert YAWL.skeg is not None
    assert YAWL.skeg.heel is not None
    rng = np.random.default_rng(3)
    way, at = np.array([0.14, 0.03, 1.0]), np.array([-280.0, 1.0, -340.0])
    points = _points(at, way, [10.0 * k for k in range(1, 31)], rng.normal(0.0, 1.0, (30, 3)))
    turned = [Turned(at=f"a place with a long name {k}", least=0.0, most=0.1) for k in range(12)]
    said = RudderStock(
        points=points, heel=_on_heel(at, way, {"wall": 20}, lambda n: rng.normal(0.0, 0.1, n)), turned=turned
    )
    stock, heel = stock_of(said, 340.0), heel_axis(said.heel, None, 340.0)
    held = against(YAWL, YAWL.skeg.heel, stock, standard(), None, heel)
    told = out.rows(stock, held, said, "mm", heel)
    imprint = Imprint(paper=paper, reference="test")
    sheets = out.stock_sheets(told, stock, said, imprint=imprint, units="mm", heel=held, measured=heel)
    assert [overlaps(lay_out(s)) for s in sheets] == [[] for _ in sheets]
    assert sum(len(t.rows) for s in sheets for t in s.tables) == len(told) + 50
    assert len(out.form("mm").sheets(imprint)) == 1


def test_a_heel_as_measured_counts_before_the_drawn_one() -> None:
    assert YAWL.skeg is not None
    heel = YAWL.skeg.heel
    assert heel is not None
    x, y, z = heel.centre_mm
    drawn = np.array([-math.tan(math.radians(heel.stock_rake_deg)), 0.0, 1.0])
    at = np.array([x + YAWL.barrel.length_mm / 2, y, z])
    stock = stock_of(RudderStock(points=_points(at, drawn, [100.0, 900.0]), scatter=0.01), -z)
    leaning = np.array([drawn[0] + 0.02, 0.0, 1.0])
    bore = heel.bore_mm + 0.25
    points = _on_heel(at + np.array([1.0, -2.0, 0.0]), leaning, {"wall": 8, "upper face": 4}, bore=bore)
    made = against(YAWL, heel, stock, standard(), None, heel_axis(points, 0.01, -z))
    assert (made.aft.value, made.port.value) == pytest.approx((1.0, 2.0), abs=1e-5)
    assert made.shims_mm[0] == pytest.approx(-(leaning[0] - drawn[0]) * -heel.outside_mm, abs=1e-5)
    # A new bush of this pintle has at most 0.5 mm; what is worn beyond it gives a stock no more room to run out.
    assert made.clearance.value == pytest.approx(bore - heel.running_mm, abs=1e-6)
    assert made.clearance_most_mm == pytest.approx(0.5)
    assert made.run_out_most_mm == pytest.approx(0.25)
    stands = {what: stand for what, *_, stand in out.rows(stock, made, RudderStock(), "mm")}
    assert stands["clearance of the pintle in the heel"] == "worn"


def test_what_a_heel_may_be_off_follows_the_table_of_limits() -> None:
    """A quarter, half and half of the pintle's clearance as shipped; a shop's own figures count in their place."""
    assert YAWL.skeg is not None
    heel = YAWL.skeg.heel
    assert heel is not None
    up = np.array([-math.tan(math.radians(heel.stock_rake_deg)), 0.0, 1.0])
    at = np.array([heel.centre_mm[0] + YAWL.barrel.length_mm / 2, 0.0, heel.centre_mm[2]])
    stock, room = stock_of(RudderStock(points=_points(at, up, [100.0, 900.0]), scatter=0.01), 340.0), 0.3
    for own, shares in (
        (standard(), (0.25, 0.5, 0.5)),
        (own_limits("heel_off_stock: 0.1\nheel_lean: 0.2\nstock_run_out: 0.3\n"), (0.1, 0.2, 0.3)),
    ):
        made = against(YAWL, heel, stock, own)
        told = (made.place_mm, math.radians(made.lean_most_deg) * heel.height_mm, made.run_out_most_mm)
        assert told == pytest.approx([share * room for share in shares], abs=1e-3)
        assert [limit.value for limit in made.rests_on] == list(shares)


def test_a_bore_that_the_pintle_does_not_enter_is_out() -> None:
    assert YAWL.skeg is not None
    heel = YAWL.skeg.heel
    assert heel is not None
    up, z = np.array([0.0, 0.0, 1.0]), heel.centre_mm[2]
    tight = _on_heel(np.array([-280.0, 0.0, z]), up, {"wall": 8}, bore=heel.running_mm - 0.5)
    stock = stock_of(RudderStock(points=_points(np.array([-280.0, 0.0, z]), up, [100.0, 900.0]), scatter=0.01), -z)
    made = against(YAWL, heel, stock, standard(), None, heel_axis(tight, 0.01, -z))
    stands = {what: stand for what, *_, stand in out.rows(stock, made, RudderStock(), "mm")}
    assert stands["clearance of the pintle in the heel"] == "out"


def test_the_example(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["rudder", "yawl-rudder-stock", "--set", "yawl-with-heel", "--out", str(tmp_path / "job"), "--json"]
    status, out, err = run(capsys, *words)
    assert status == Exit.FAILURE, err
    made = json.loads(out)
    # A rule of 1 mm cannot tell a quarter of a bush's clearance: that is said, and not passed.
    assert {f["stands"] for f in made["figures"]} == {"", "measure again", "in", "out"}
    heel = made["heel_measured"]
    assert heel["rake"]["value"] == pytest.approx(-7.0, abs=heel["rake"]["within"])
    assert heel["bore"]["value"] == pytest.approx(30.3, abs=heel["bore"]["within"])
    assert made["stock"]["behind_barrel"]["value"] == pytest.approx(280.0, abs=made["stock"]["behind_barrel"]["within"])


def test_a_dial_read_the_wrong_way_round_is_a_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    points = [{"behind_barrel": 300.0 - z / 10.0, "above_shaft": z} for z in (-280.0, 200.0, 900.0)]
    file = tmp_path / "turned.yaml"
    file.write_text(json.dumps({"points": points, "turned": [{"at": "pintle", "least": 0.5, "most": 0.1}]}))
    status, _, err = run(capsys, "rudder", str(file), "--out", str(tmp_path / "job"))
    assert status == Exit.UNUSABLE
    assert "turned[0].least: is over the greatest" in err
