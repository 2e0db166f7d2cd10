"""The command `survey`: its answer, its sheet, its form, and its figures in a set."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest
from survey_support import made

from strutwright.cli import main, parser
from strutwright.errors import Exit, UserError
from strutwright.exporters.bench.fillable import Filled, csv_of, fillable_pdf
from strutwright.exporters.bench.paper import Imprint
from strutwright.exporters.bench.survey import sheets
from strutwright.exporters.bench.survey_form import WAYS, by, form
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import overlaps
from strutwright.models.bench.survey import survey
from strutwright.models.resolve import resolve
from strutwright.params import loader
from strutwright.params.bench.survey import Survey, checked
from strutwright.params.measured import examples, read, reads

PAIR = "survey-twin-screw"
THOROUGH = os.environ.get("STRUTWRIGHT_THOROUGH")


def run(*words: str) -> int:
    """The status of the command."""
    arguments = parser().parse_args(["survey", *words])
    return int(arguments.run(arguments))


def test_a_survey_is_answered_and_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(PAIR, "--out", str(tmp_path), "--json") == Exit.WARNINGS
    said = json.loads(capsys.readouterr().out)
    record = Path(said["record"])
    assert (record / "readings.csv").read_bytes() == examples()[PAIR].read_bytes()
    assert {p.name for p in record.iterdir()} == {"readings.csv", "survey.json", "survey.pdf", "record.json"}
    port, starboard = said["sides"]
    assert [p["name"] for p in starboard["hull"] if p["out_of_line"]] == ["S9"]
    assert port["figures"]["drop_mm"]["within_95"] < 4.0
    # The starboard hull was made up 4 mm higher.
    assert said["asymmetry"]["drop_mm"]["value"] == pytest.approx(-4.1, abs=said["asymmetry"]["drop_mm"]["within_95"])
    assert said["asymmetry"]["drop_mm"]["within_95"] < 3.0
    assert any(words.startswith("S9 is out of line") for words in starboard["doubts"])
    assert any(words.startswith("port less starboard") for words in said["asymmetry_words"])


def test_the_same_readings_are_the_same_record(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("survey-old-strut", "--out", str(tmp_path)) == Exit.PASS
    text = capsys.readouterr().out
    assert "drop square to the shaft" in text
    assert "+/- 0.4" in text
    record = tmp_path / "records" / "survey-1"
    first = {p.name: p.read_bytes() for p in record.iterdir()}
    assert run("survey-old-strut", "--out", str(tmp_path)) == Exit.PASS
    assert [p.name for p in record.parent.iterdir()] == ["survey-1"]
    assert {p.name: p.read_bytes() for p in record.iterdir()} == first


def test_figures_go_into_a_copy_and_into_a_set_that_is_there(tmp_path: Path) -> None:
    path, job = tmp_path / "mine.yaml", str(tmp_path / "job")
    run(PAIR, "--set", "coastal-pair", "--out", job, "--write", str(path))
    before = loader.shipped()["coastal-pair"].read_text(encoding="utf-8")
    new = path.read_text(encoding="utf-8")
    comments = [line.partition("#")[2] for line in before.splitlines() if "#" in line]
    assert [line.partition("#")[2] for line in new.splitlines() if "#" in line] == comments
    found = resolve(loader.load(path))
    records = {r.path: r for r in found.records}
    drop = records["hull.drop.square_to_hull"]
    assert (drop.origin, drop.value) == ("measured", found.said.hull.drop.square_to_hull)
    assert drop.note == "+/- 1.1 mm, 2026-04-17, J. Fitter"
    assert found.strut.hull.conflicts == ()
    # The set says what the survey found: here the mean of both sides.
    sides = survey(checked(read(examples()[PAIR], Survey)), resolve(loader.loads(before))).sides
    plane = found.strut.palms[0].plane
    assert plane.pitch_deg == pytest.approx((sides[0].plane.pitch_deg + sides[1].plane.pitch_deg) / 2, abs=0.01)
    assert plane.tilt_deg == pytest.approx((sides[0].plane.tilt_deg - sides[1].plane.tilt_deg) / 2, abs=0.02)
    assert plane.drop_mm == pytest.approx((sides[0].plane.drop_mm + sides[1].plane.drop_mm) / 2, abs=0.15)
    # A second time into the file that is there: the same figures, nothing twice.
    run(PAIR, "--out", job, "--write", str(path))
    assert path.read_text(encoding="utf-8") == new
    # What was changed since is told as such.
    path.write_text(new.replace("427.9 mm}  ", "430}  ").replace("{square_to_hull: 427.9 mm}", "{square_to_hull: 430}"))
    changed = {r.path: r for r in resolve(loader.load(path)).records}["hull.drop.square_to_hull"]
    assert (changed.origin, changed.note) == ("given", "measured as 427.9 mm +/- 1.1 mm, 2026-04-17, J. Fitter")


@pytest.mark.parametrize("name", ["harbour-launch", "canal-tender", "refit-two-bores", "pilot-vee"])
def test_any_way_of_saying_angle_and_drop_takes_the_figures(tmp_path: Path, name: str) -> None:
    loaded = loader.load(loader.shipped()[name])
    found = resolve(loaded)
    folded = len({p.plane for p in found.strut.palms}) > 1
    said = {
        "side": found.said.identity.hand,
        "angles": {"shaft": 11.0, "run": 1.5, "deadrise": 14.0 if folded else 0.0},
        "drop": {"square_to_shaft": 333.0},
    }
    source, path = tmp_path / "a.yaml", tmp_path / "new.yaml"
    source.write_text(json.dumps(said))
    assert run(str(source), "--set", name, "--out", str(tmp_path / "job"), "--write", str(path)) == Exit.PASS
    strut = resolve(loader.load(path)).strut
    plane = strut.palms[0].plane
    assert (plane.pitch_deg, plane.drop_mm) == pytest.approx((12.5, 333.0), abs=0.06)
    assert all(abs(given - other) < 0.06 for _, given, other in strut.hull.conflicts)


def test_an_old_strut_gives_a_set_what_it_can(tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"
    job = str(tmp_path / "job")
    run("survey-old-strut", "--set", "harbour-launch", "--out", job, "--write", str(path))
    hull = resolve(loader.load(path)).strut.hull
    assert hull.run_deg == 0.0  # as the set has it
    assert hull.shaft_to_hull_deg == pytest.approx(9.15, abs=0.1)
    assert hull.drop_square_to_shaft_mm == pytest.approx(302.8, abs=0.5)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--write", "{tmp}/new.yaml"), "add --set FILE"),
        (("--set", "harbour-launch"), "of the side `pair`"),
        (("--set", "coastal-pair", "--write", "{tmp}/there.yaml"), "leave out --set"),
    ],
)
def test_what_cannot_be_is_told_and_nothing_is_written(tmp_path: Path, words: tuple[str, ...], told: str) -> None:
    there = tmp_path / "there.yaml"
    there.write_text(loader.shipped()["coastal-pair"].read_text(encoding="utf-8"))
    before = there.read_bytes()
    with pytest.raises(UserError, match=told):
        run(PAIR, "--out", str(tmp_path / "job"), *(w.format(tmp=tmp_path) for w in words))
    assert there.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["there.yaml"]


def test_a_hull_that_falls_outboard_goes_into_no_set(tmp_path: Path) -> None:
    source = tmp_path / "a.yaml"
    said = {"side": "port", "angles": {"shaft": 9, "run": 1, "deadrise": -2}, "drop": {"vertical": 300}}
    source.write_text(json.dumps(said))
    with pytest.raises(UserError, match="falls going outboard"):
        run(str(source), "--set", "coastal-pair", "--out", str(tmp_path / "job"), "--write", str(tmp_path / "b.yaml"))
    assert [p.name for p in tmp_path.iterdir()] == ["a.yaml"]


def test_measured_lines_are_held_to_the_file() -> None:
    text = loader.shipped()["harbour-launch"].read_text(encoding="utf-8")
    bad = text + "measured:\n  - {value: hull.dorp, reading: 3 mm, within: 1 mm}\n"
    with pytest.raises(Exception, match="is no size that this file gives"):
        resolve(loader.loads(bad))
    bad = text + "measured:\n  - {value: hull.run, reading: 3 mm, within: 1 mm}\n"
    with pytest.raises(Exception, match="not a unit of angle"):
        resolve(loader.loads(bad))


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("name", ["survey-old-strut", *([PAIR] if THOROUGH else [])])
def test_each_sheet_is_one_page_without_overlaps(name: str, paper: Any) -> None:
    found = survey(checked(read(examples()[name], Survey)))
    for sheet in sheets(found, imprint=Imprint(paper=paper, reference="test")):
        assert overlaps(lay_out(sheet)) == []


def test_a_sheet_of_angles_alone_in_inches() -> None:
    text = "{units: in, side: centre, angles: {shaft: 9, run: 1, deadrise: 0}, drop: {square_to_shaft: 11.5}}"
    sheet = sheets(survey(reads(text, Survey).said), imprint=Imprint(paper="letter", reference="test"))[0]
    assert overlaps(lay_out(sheet)) == []
    assert any("11.5 in" in cell for row in sheet.tables[0].rows for cell in row)


def test_the_form_says_nothing_until_it_is_filled_in() -> None:
    blank = form(None, "in")
    filled = reads(blank.csv.replace("side,\n", "side,port\n"), Survey, as_csv=True).said
    assert filled == Survey(side="port", units="in")


@pytest.mark.parametrize("way", sorted(WAYS))
@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_a_form_is_one_page_with_a_sketch_for_each_way(way: str, paper: Any, tmp_path: Path) -> None:
    blank = by(form(None, "mm" if paper == "A4" else "in"), way)
    (sheet,) = blank.sheets(Imprint(paper=paper, reference="test"))
    assert overlaps(lay_out(sheet)) == []
    (drawn,) = sheet.views
    names = {t.text for item in lay_out(sheet).items if item.owner == drawn.name for t in item.texts}
    assert names >= {"H1", "S1", "angles.shaft", "angles.run", "angles.deadrise", "drop.vertical", "up, of H3"}
    # What is not on the page is in the CSV form, and what is filled in on the page is read back.
    whole = form(None, blank.units)
    assert blank.csv.count("\n") == whole.csv.count("\n")
    said = {"single:0:side": "port", "hull:0:name": "H1", "hull:0:along": "1", "hull:0:port": "2"}
    filled = csv_of(whole, Filled(title=whole.title, units=whole.units, values=said))
    assert "side,port" in filled
    fields = fillable_pdf(blank, [sheet])
    assert b"single:0:side" in fields


def test_the_command_takes_the_ways_that_there_are() -> None:
    for way in WAYS:
        assert parser().parse_args(["survey", "--blank", "x", "--by", way]).by == way


def test_help_names_it(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["survey", "--help"])
    assert "--write FILE" in capsys.readouterr().out
    assert made().side == "port"
