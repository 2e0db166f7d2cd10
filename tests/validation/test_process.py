"""The process sheet: its order by the trade's rules (common practice, no source), its sums by hand, and its paper."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from command_line_support import run
from support import STRUTS, built_of, every, long_run

from strutwright.errors import Exit
from strutwright.exporters.bench.paper import Imprint
from strutwright.exporters.bench.process import process_sheets
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import overlaps
from strutwright.models import cautions
from strutwright.models.bench.process import estimate, operations
from strutwright.models.resolve import resolve
from strutwright.models.shop.weld_metal import weld_metal_kg
from strutwright.params import limits
from strutwright.params.bench.process import Hours, Paces, Price, ShopRates
from strutwright.params.loader import load, shipped


@pytest.mark.parametrize("name", STRUTS)
def test_the_order_is_that_of_the_trade(name: str) -> None:
    strut = resolve(load(shipped()[name])).strut
    made = operations(strut, limits.standard(), ShopRates(), 40)
    said = [o.what for o in made]

    def at(begin: str) -> int:
        return next(k for k, what in enumerate(said) if begin in what)

    # The palm is flat before the bore is set up by it; the record is full before the bearing goes in; dimples after it.
    assert at("hull face") < at("bored and faced") < at("inspection record") < at("bearing fitted")
    if strut.set_screws:
        assert at("set-screw holes") < at("bearing fitted") < at("dimpled")
    if strut.construction == "welded":
        assert at("looked at before welding") < at("welded, in turns") < at("dye penetrant") < at("bored and faced")
        assert any(cautions.welding(None)[:7] in c for o in made if o.place == "welding" for c in o.cautions)
    else:
        assert at("casting received") == 1
    assert [o.hold for o in made if o.what in ("inspection record", "bearing fitted")] == [True, True]
    # A caution stands where it bites, and nowhere before.
    for o in made:
        assert (cautions.PRESS in o.cautions) <= ("press" in o.what or "bearing" in o.what)
        # By the tools: wherever one of these is in hand.
        for words, begin in (
            (("tacked", "welded", "plasma"), "Welding"),
            (("grinder", "blender", "plasma"), "Grinding"),
            (("drill", "boring mill", "tap "), "Drilling"),
            ((" mill", "mill "), "Lifting"),
        ):
            used = any(word in f"{o.what}; {o.tools};" for word in words)
            assert used <= any(c.startswith(begin) for c in o.cautions), (o.what, begin)


def test_the_sums_are_those_of_the_rates() -> None:
    strut = resolve(load(shipped()["canal-tender"])).strut
    rates = ShopRates(
        hours=Hours(bench=10.0, machine=20.0, welding=30.0, inspection=40.0),
        prices=[Price(material="1.4404", per_kg=5.0)],
        overhead=10.0,
    )
    made = operations(strut, limits.standard(), rates, 40)
    by_hand = sum(
        o.minutes / 60.0 * {"bench": 10.0, "machine": 20.0, "welding": 30.0, "inspection": 40.0}[o.place] for o in made
    )
    found = estimate(strut, made, rates)
    assert found.labour == pytest.approx(by_hand)
    assert found.total == pytest.approx(1.1 * (by_hand + 5.0 * found.metal_kg))
    # Boring 74 mm at 20 cm an hour and two set-ups of 40 minutes.
    (bored,) = [o for o in made if "bored and faced" in o.what]
    assert bored.minutes == pytest.approx(80.0 + 60.0 * 7.4 / 20.0)
    slower = operations(strut, limits.standard(), ShopRates(paces=Paces(set_up=60.0)), 40)
    assert sum(o.minutes for o in slower) > sum(o.minutes for o in made)


def test_weld_metal_is_that_of_its_fillets() -> None:
    # A tender's arm, 56 x 14 with round edges: legs of 6 and 7 mm, triangles between faces that the barrel's round
    # opens by asin(14 / 48), and that stand square at the palm's sides.
    strut = resolve(load(shipped()["canal-tender"])).strut
    (arm,) = strut.arms
    girth = 2.0 * (arm.chord_barrel_mm - arm.thickness_barrel_mm) + math.pi * arm.thickness_barrel_mm
    opened = math.asin(arm.thickness_barrel_mm / strut.barrel.outside_mm)
    barrel, palm = 0.5 * 6.0**2 * math.cos(opened), 0.5 * 7.0**2  # each round by its middle, a third of the leg out
    volume = barrel * (girth + 2.0 * math.pi * 2.0) + palm * (girth + 2.0 * math.pi * 7.0 / 3.0)
    assert weld_metal_kg(strut) == pytest.approx(1.3 * volume * 8.0e-6, rel=0.02)


@long_run
def test_weld_metal_is_that_of_the_beads_as_built() -> None:
    one = resolve(load(shipped()["canal-tender"])).strut
    beads = sum(p.volume_mm3 for p in built_of(one).parts if p.kind == "weld")
    assert weld_metal_kg(one) == pytest.approx(1.3 * beads * 8.0e-6, rel=0.05)


def test_weld_metal_fills_the_grooves() -> None:
    """A K joint of plate of 80 with a root face of 4, 45 degrees: two triangles of 38, half of 38 x 38 each, a gap of 2
    beside them, and the fillets on top (areas of plane figures); by these the coaster's joints at the barrel take seven
    times what their fillets do."""
    strut = resolve(load(shipped()["coaster-steel"])).strut
    assert (strut.weld.root_face_mm, strut.weld.prep_angle_deg, strut.weld.root_gap_mm) == (4.0, 45.0, 2.0)
    groove, around = 38.0 * 38.0 / 2.0 + 2.0 * 38.0, 2.0 * (460.0 + 80.0)
    volume = sum((leg * leg / 2.0 + groove) * around for leg in (15.5, 28.0))
    assert weld_metal_kg(strut) == pytest.approx(1.3 * volume * 7.85e-6, rel=0.005)
    assert groove + 15.5**2 / 2.0 > 7.0 * 15.5**2 / 2.0


def test_the_weld_of_a_skeg_is_counted() -> None:
    strut = resolve(load(shipped()["yawl-with-heel"])).strut
    skeg = strut.skeg
    assert skeg is not None
    around = 2.0 * (skeg.root_forward_station_mm - skeg.root_aft_station_mm + skeg.thickness_root_mm)
    bare, without = replace(strut, skeg=replace(skeg, heel=None)), replace(strut, skeg=None)
    fin = 1.3 * skeg.root_mm**2 / 2.0 * around * 8.0e-6
    assert weld_metal_kg(bare) - weld_metal_kg(without) == pytest.approx(fin, rel=0.08)
    assert weld_metal_kg(strut) > weld_metal_kg(bare)


@pytest.mark.parametrize(("name", "paper"), every(list(product(STRUTS, ("A4", "letter"))), 9))
def test_the_sheet_fits_its_paper(name: str, paper: Any) -> None:
    found = resolve(load(shipped()[name]))
    rates = ShopRates(currency="an unusually long name of money", prices=[])
    made = operations(found.strut, limits.standard(), rates, 60)
    sheets = process_sheets(
        made,
        estimate(found.strut, made, rates),
        rates,
        imprint=Imprint(paper=paper, reference="test", identification="X-1", called="A strut"),
        units=found.strut.file_units,
    )
    assert sum(len(t.rows) for s in sheets for t in s.tables if t.name.startswith("work")) == len(made)
    for sheet in sheets:
        assert overlaps(lay_out(sheet)) == []


def test_the_example_is_worked_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["process", "shop-rates", "--set", "work-launch-vee", "--out", str(tmp_path / "job"), "--json"]
    status, out, err = run(capsys, *words)
    assert status == Exit.PASS, err
    made = json.loads(out)
    assert made["currency"] == "EUR"
    assert made["total"] > made["labour"] > 0
    assert any("kN" in o["figures"] for o in made["operations"] if o["what"] == "bearing fitted")


def test_rates_are_asked_for_without_a_set(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, "process", "--blank", str(tmp_path))[0] == Exit.PASS
    form = (tmp_path / "process-form.csv").read_text()
    assert "paces.set_up [min]," in form
    assert "cm of length an hour" in form
    status, _, err = run(capsys, "process", "shop-rates", "--out", str(tmp_path / "job"))
    assert (status, "needs the strut" in err) == (Exit.UNUSABLE, True)
