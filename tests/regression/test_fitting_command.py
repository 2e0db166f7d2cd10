"""The command `fitting`: its answer, its card, its form."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from strutwright.cli import main, parser
from strutwright.errors import Exit
from strutwright.exporters.bench import fitting as out
from strutwright.exporters.bench.paper import Imprint
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import overlaps
from strutwright.exporters.drawing.view import SCALES
from strutwright.models.bench.fitting import fit
from strutwright.models.bench.fitting_case import case_of
from strutwright.models.bench.fitting_screws import clocking, mark_out
from strutwright.models.resolve import resolve
from strutwright.params.bench.fitting import Fitting, checked
from strutwright.params.limits import standard
from strutwright.params.loader import load, shipped
from strutwright.params.measured import examples, read, reads
from strutwright.params.problems import ParameterError

EXAMPLE = "fitting-harbour-launch"
ALONE = """units: in
barrel: {length: 8, outside: 3.5, material: C95800}
bearing: {length: 8, wall: .125, inside: 2.009, material: C46400}
shaft: 2
bore: [{at: 1, upright: 2.625, level: 2.6255}, {at: 7, upright: 2.6252, level: 2.6252}]
outside: [{at: 1, upright: 2.6262}, {at: 7, upright: 2.6262}]
screws: [{at: 2, clock: 90, thread: 5/16-18}, {at: 6, clock: 90, thread: 5/16-18}]
"""


def run(*words: str) -> int:
    """The status of the command."""
    arguments = parser().parse_args(["fitting", *words])
    return int(arguments.run(arguments))


def test_a_fitting_is_answered_and_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = (EXAMPLE, "--set", "harbour-launch", "--out", str(tmp_path))
    assert run(*words, "--json") == Exit.PASS
    said = json.loads(capsys.readouterr().out)
    record = Path(said["record"])
    assert {p.name for p in record.iterdir()} == {"readings.csv", "fitting.json", "fitting.pdf", "record.json"}
    assert said["verdict"] == "go"
    first = (record / "fitting.pdf").read_bytes()
    assert run(*words) == Exit.PASS
    assert "GO: bearing in its barrel" in capsys.readouterr().out
    assert (record / "fitting.pdf").read_bytes() == first
    assert [p.name for p in record.parent.iterdir()] == ["fitting-1"]


def test_without_a_set_the_file_says_what_is_needed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(ALONE)
    assert run(str(path), "--out", str(tmp_path / "job"), "--paper", "letter") in (Exit.PASS, Exit.WARNINGS)
    told = capsys.readouterr().out
    assert "screw 1: station 2 in" in told
    assert " mm" not in told
    path.write_text(ALONE.replace("material: C95800", "material: gold"))
    assert main(["fitting", str(path), "--out", str(tmp_path / "other")]) == Exit.UNUSABLE
    assert "gold" in capsys.readouterr().err
    assert not (tmp_path / "other").exists()


def test_readings_that_do_not_go_with_the_set_are_a_fault_with_its_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = [EXAMPLE, "--set", "coaster-steel", "--out", str(tmp_path / "job")]
    assert main(["fitting", *words]) == Exit.UNUSABLE
    assert "bearing.flutes: that many flutes" in capsys.readouterr().err
    path = tmp_path / "second.csv"
    path.write_text("bearing.which,2\n" + examples()[EXAMPLE].read_text())
    assert main(["fitting", str(path), "--set", "harbour-launch", "--out", str(tmp_path / "job")]) == Exit.UNUSABLE
    assert "1:15: bearing.which: the set has no such bearing" in capsys.readouterr().err
    assert not (tmp_path / "job").exists()


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("worst", [False, True])
def test_the_card_fits_its_page(paper: Any, worst: bool) -> None:
    measured = read(examples()[EXAMPLE], Fitting)
    said = (
        measured.said if not worst else reads(ALONE.replace("2.6262", "2.632").replace("2.009", "2.004"), Fitting).said
    )
    strut = None if worst else resolve(load(shipped()["harbour-launch"])).strut
    limits = standard()
    case = case_of(said, strut, limits)
    clocked = clocking(case, limits, None)
    found = out.Answered(fit(case, limits, said.press), mark_out(case, limits, clocked), clocked)
    assert (found.fitted.verdict == "go") != worst
    card = out.card(found, said, imprint=Imprint(paper=paper, reference="test"))
    for sheet in card:
        drawn = lay_out(sheet)
        assert overlaps(drawn) == []
        assert drawn.size == {"A4": "A4", "letter": "ANSI A"}[paper]
        assert drawn.scale in SCALES
        assert sheet.banner == found.fitted.verdict.upper()
    assert [len(sheet.views) for sheet in card] == [2]
    assert any(row[0].startswith("closure of the bore") for t in card[0].tables for row in t.rows)
    (end,) = (view for sheet in card for view in sheet.views if view.name == "end")
    # Clock 90 is to port, which is to the left seen from aft.
    assert [led.point[0] < 0.0 for led in end.led if led.point[1] == pytest.approx(0.0)] == [True]


def test_a_material_that_no_table_holds_is_a_fault_among_the_others() -> None:
    text = ALONE.replace("material: C46400", "material: C464").replace("length: 8, outside", "outside")
    with pytest.raises(ParameterError) as caught:
        checked(reads(text, Fitting), has_set=False)
    assert ["barrel.length" in str(p) for p in caught.value.problems] == [True, False]
    assert "such as C46400" in str(caught.value.problems[1])


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("name", ["harbour-launch", None])
def test_the_form_is_one_page_and_says_nothing(paper: Any, name: str | None) -> None:
    found = None if name is None else resolve(load(shipped()[name]))
    form = out.form(found, "mm")
    assert len(form.sheets(Imprint(paper=paper, reference="test"))) == 1
    assert reads(form.csv, Fitting, as_csv=True).said == Fitting()
