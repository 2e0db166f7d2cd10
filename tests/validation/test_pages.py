"""The sheet of each work is one page, on A4 and on Letter, for every shipped strut and for struts drawn by chance."""

from __future__ import annotations

import re
from typing import Any

import pytest
import yaml
from property.random_sets import draw_set
from support import SETS, STRUTS, THOROUGH

from strutwright.exporters.bench.fillable import fillable_pdf, filled_in
from strutwright.exporters.bench.inspection import figures, record_form, record_sheets, to_write_on
from strutwright.exporters.bench.installation import as_fitted_sheets, installation_form, with_trial_to_the_foot
from strutwright.exporters.bench.paper import Imprint, numbered
from strutwright.exporters.bench.process import process_sheets
from strutwright.exporters.bench.survey import sheets as survey_sheets
from strutwright.exporters.drawing.sheet import Sheet
from strutwright.inspection_command import rows_of
from strutwright.job import run_checks
from strutwright.models.bench.inspection import Value, Verdict, uncertainty_of
from strutwright.models.bench.installation import judge, lacking, press_words, that_count
from strutwright.models.bench.process import estimate, operations
from strutwright.models.bench.record_back import judge as judge_record
from strutwright.models.bench.survey import survey
from strutwright.models.resolve import Resolved, resolve
from strutwright.params import limits
from strutwright.params.bench.inspection import Inspection
from strutwright.params.bench.installation import AsFitted, Bolt
from strutwright.params.bench.process import ShopRates
from strutwright.params.bench.survey import Survey
from strutwright.params.loader import load, loads, shipped
from strutwright.params.measured import examples, read
from strutwright.params.problems import ParameterError

PAPERS = ("A4", "letter")
_LEAST_TEXT_MM = 1.8
"""Of the heads of a title block; what is read on the sheet has 2.5."""


def _imprint(found: Resolved, paper: Any) -> Imprint:
    return Imprint(paper=paper, reference="strutwright 0.0.0, readings 0123456789ab").of(found.strut)


def _one_page_each(sheets: list[Sheet]) -> None:
    titles = [s.title.title for s in sheets]
    assert len(titles) == len(set(titles)), titles
    for drawn in numbered(sheets):
        for item in drawn.items:
            least = _LEAST_TEXT_MM if item.name == "title block" else 2.5
            assert all(text.height_mm >= least for text in item.texts), item.name


def _of_the_job(found: Resolved, paper: Any, work_pages: int = 1) -> None:
    strut, imprint = found.strut, _imprint(found, paper)
    by_code = that_count(run_checks(found))
    rates = ShopRates(currency="a long name of money")
    made = operations(strut, limits.standard(), rates, 80, press_words(by_code, strut.file_units))
    comes_to = estimate(strut, made, rates)
    work = process_sheets(made, comes_to, rates, imprint=imprint, units=strut.file_units)
    _one_page_each(work[work_pages - 1 :])
    form = installation_form(strut, by_code, strut.file_units)
    _one_page_each(with_trial_to_the_foot(form, imprint).sheets(imprint))


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", STRUTS)
def test_installation_and_process_are_a_page_each(name: str, paper: Any) -> None:
    _of_the_job(resolve(load(shipped()[name])), paper)


@pytest.mark.parametrize("number", range(40 if THOROUGH else 20))
def test_those_of_a_strut_by_chance_are_too(number: int) -> None:
    try:
        found = resolve(loads(yaml.safe_dump(draw_set(number)), "drawn.yaml"))
    except ParameterError:
        pytest.skip("the reader refuses it")
    # Of the first one the order of work goes on on a second page of the lower paper.
    _of_the_job(found, PAPERS[number % 2], work_pages=2 if number == 1 else 1)


def _form_of_a_record(found: Resolved, paper: Any) -> None:
    """One page with a blank of its own for each row that is measured, beside the row's number, and with the numbers of
    those that are worked out."""
    rows, units = rows_of(found, None)
    imprint = _imprint(found, paper)
    form = to_write_on(record_form(rows, units, "0" * 64), imprint)
    sheets = form.sheets(imprint)
    _one_page_each(sheets)
    assert len(sheets) == 1
    lines = [row for t in sheets[0].tables if t.name.startswith("lines") for row in t.rows]
    # A blank has its row's number before it: in the same third of a close line, else at the line's beginning.
    beside = [
        next(int(line[k]) for k in (at // 3 * 3, 0) if line[k].isdigit())
        for line in lines
        for at, cell in enumerate(line)
        if cell == ""
    ]
    assert sorted(beside) == [k for k, row in enumerate(rows, 1) if not row.derived]
    told = " ".join(cell for row in lines for cell in row if "" not in row or cell.isdigit())
    assert all(re.search(rf"\b{k}\b", told) for k in range(1, len(rows) + 1))
    made_as = filled_in(fillable_pdf(form, sheets))
    assert made_as is not None
    assert "lines:0:code" in made_as.values
    fields = re.findall(rb"lines:(\d+):measured", fillable_pdf(form, sheets))
    assert sorted({int(k) + 1 for k in fields}) == sorted(beside)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", SETS)
def test_a_record_s_form_is_a_page(name: str, paper: Any) -> None:
    """Rows to write in are 4.4 mm high at least, letters 2.5 mm; up to some eighty rows stand on a page then."""
    _form_of_a_record(resolve(load(shipped()[name])), paper)


@pytest.mark.parametrize("number", [46, 26, 20])
def test_the_longest_by_chance_are_too(number: int) -> None:
    """Of 60 struts drawn by chance these are among those with the most rows, 73 to 77."""
    for paper in PAPERS[number % 4 // 2 :]:
        _form_of_a_record(resolve(loads(yaml.safe_dump(draw_set(number)), "drawn.yaml")), paper)


@pytest.mark.parametrize("paper", PAPERS)
def test_that_of_sixteen_bolts_is_a_page_with_each_bolt_s_figures(paper: Any) -> None:
    found = resolve(load(shipped()["coaster-steel"]))
    said = read(examples()["harbour-launch-as-fitted"], AsFitted).said
    bolts = [Bolt(hole=k, hull=20.0 + k / 4, length=150.0 + k, torque=300.0 + k) for k in range(1, 17)]
    said = said.model_copy(update={"bolts": bolts})
    told = judge(said, that_count(run_checks(found)), found.strut.hull.thickness_mm)
    lacks, imprint = lacking(said, found.strut), _imprint(found, paper)
    (sheet,) = as_fitted_sheets(told, lacks, said, imprint=imprint, units="mm")
    _one_page_each([sheet])
    cells = " ".join(cell for t in sheet.tables for row in t.rows for cell in row).replace("\n", " ")
    assert all(f"{300 + k} N m" in cells for k in range(1, 17))


def _record_that_is_well(found: Resolved, paper: Any) -> list[Sheet]:
    """The record of a part measured with the usual instruments whose every size lies between its limits. Each row is on
    it with its own number and reading."""
    rows, units = rows_of(found, None)
    read_as = {}
    for row in rows:
        least, most = row.limits(units)
        sure = uncertainty_of(row, {}) or 0.002
        if least is not None and most is not None:
            at = (least + most) / 2.0
            read_as[row.code] = Value(at, min(sure, 0.39 * (most - least)))
        elif most is not None:
            read_as[row.code] = Value(0.1 * most, min(sure, 0.8 * most))
        elif least is not None:
            read_as[row.code] = Value(least + 1.0, sure)
        elif row.asks != "words":
            read_as[row.code] = Value(12.0, 0.0)
    said = {r.code: "yes" for r in rows if r.asks == "words"}
    made = judge_record(rows, read_as, said, units)
    assert sum(r.verdict is Verdict.IN for r in made) >= 0.9 * len(rows)
    one = Inspection(part="1", by="J. Fitter", date="2026-05-12")
    sheets = record_sheets(made, [], one, imprint=_imprint(found, paper), units=units, sha256="0" * 64)
    _one_page_each(sheets[:1])
    lines = [line for s in sheets for t in s.tables if t.name != "signed" for line in t.rows]
    for row in made:
        value = figures(row, units)[0] or "-"
        own = [
            line for line in lines if line[0] == str(row.number) and value in (cell.replace("\n", "") for cell in line)
        ]
        under = re.compile(rf"(?<![\d.]){row.number} \([^()]+\) {re.escape(value)}(?![\d.])")
        told = " ".join(cell.replace("\n", " ") for line in lines if not line[0] for cell in line[1:])
        assert len(own) + len(under.findall(told)) == 1, (row.number, value)
    return sheets


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", SETS)
def test_the_record_of_a_part_that_is_well_is_a_page(name: str, paper: Any) -> None:
    """What is in stands close, in two columns, with letters of 2.5 mm: up to some seventy rows."""
    assert len(_record_that_is_well(resolve(load(shipped()[name])), paper)) == 1


@pytest.mark.parametrize(("number", "paper", "most"), [(46, "letter", 2), (54, "letter", 2)])
def test_the_longest_records_by_chance_go_on_on_a_second_page_at_most(number: int, paper: Any, most: int) -> None:
    """Two palms with holes in each, 77 and 79 rows: closer than letters of 2.5 mm allow no page holds the latter beside
    the room to sign, what is warned of and the hash."""
    found = resolve(loads(yaml.safe_dump(draw_set(number)), "drawn.yaml"))
    assert len(_record_that_is_well(found, paper)) <= most


@pytest.mark.parametrize("paper", PAPERS)
def test_the_survey_of_two_sides_is_a_page(paper: Any) -> None:
    said = read(examples()["survey-twin-screw"], Survey).said
    found = survey(said, resolve(load(shipped()["coastal-pair"])))
    sheets = survey_sheets(found, imprint=_imprint(resolve(load(shipped()["coastal-pair"])), paper))
    _one_page_each(sheets)
    assert [t.columns for t in sheets[0].tables if t.name == "figures"] == [
        ("what", "port", "within", "starboard", "within")
    ]
    assert len(sheets[0].views) == 2


def test_a_form_that_no_page_holds_goes_on_on_a_second() -> None:
    """Forty holes in each of two palms: 150 rows with a blank of their own take more than a page at any height that can
    be written in."""
    found = resolve(load(shipped()["patrol-vee-pair"]))
    rows, units = rows_of(found, None)
    hole = next(k for k, row in enumerate(rows) if row.code == "palm1.hole1")
    more = [rows[hole]._replace(code=f"palm1.hole{k}", what=f"palm, hole {k} at {k}, 0") for k in range(20, 100)]
    imprint = _imprint(found, "A4")
    sheets = to_write_on(record_form([*rows, *more], units, "0" * 64), imprint).sheets(imprint)
    assert len(sheets) > 1
    for k, drawn in enumerate(numbered(sheets), 1):
        block = next(item for item in drawn.items if item.name == "title block")
        assert f"{k} of {len(sheets)}" in {text.text for text in block.texts}


@pytest.mark.parametrize("paper", PAPERS)
def test_the_record_of_how_a_strut_was_fitted_is_a_page(paper: Any) -> None:
    found = resolve(load(shipped()["harbour-launch"]))
    said = read(examples()["harbour-launch-as-fitted"], AsFitted).said
    told = judge(said, that_count(run_checks(found)), found.strut.hull.thickness_mm)
    lacks, imprint = lacking(said, found.strut), _imprint(found, paper)
    sheets = as_fitted_sheets(told, lacks, said, imprint=imprint, units=found.strut.file_units)
    assert len(sheets) == 1
    assert sum(len(t.rows) for t in sheets[0].tables if t.name == "as-fitted") == len(told)
