"""The command that straightens a palm: example, card, form, record, faults."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from strutwright.cli import main
from strutwright.errors import Exit
from strutwright.exporters.bench import straightening as out
from strutwright.exporters.bench.paper import Imprint
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import overlaps
from strutwright.models.bench.palm_shape import shape
from strutwright.models.bench.press_angle import to_bore
from strutwright.models.bench.press_places import grid
from strutwright.models.bench.straightening_case import NotKnownError, Straightened, case_of, straightened
from strutwright.models.hull_curve import HullCurve
from strutwright.models.resolve import resolve
from strutwright.models.spec import Strut
from strutwright.params import loader
from strutwright.params.bench.straightening import BoreSaid, Straightening
from strutwright.params.limits import standard
from strutwright.params.measured import examples, read, reads

SAID = read(examples()["straighten-palm"], Straightening).said


def found(said: Straightening = SAID, **changed: Any) -> Straightened:
    return straightened(said, replace(case_of(said, None, standard()), **changed))


def test_the_example_proposes_the_next_stroke_and_keeps_a_record(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["straighten", "straighten-palm", "--json", "--out", str(tmp_path / "job")]) == Exit.WARNINGS
    told = json.loads(capsys.readouterr().out)
    assert told["verdict"] == "push"
    assert told["next"]["travel_mm"] > told["next"]["beyond_mm"] > 0.0
    assert len(told["stages"]) == 2
    record = tmp_path / "job" / "records" / "straighten-1"
    assert (record / "straighten.pdf").stat().st_size > 1000
    assert (record / "readings.csv").read_bytes() == examples()["straighten-palm"].read_bytes()


def before(**changed: Any) -> Straightening:
    heights = [row for row in SAID.heights if row.stage == 0]
    return SAID.model_copy(update={"strokes": [], "heights": heights, **changed})


def turned() -> Straightening:
    heights = [row.model_copy(update={"reading": -row.reading}) for row in before().heights]
    return before(heights=heights, units="in")


CARDS = {
    "twist": lambda: (found(), SAID),
    "across": lambda: (found(before()), before()),
    "hollow, inch": lambda: (found(turned()), turned()),
    "flat": lambda: (found(tolerance_mm=3.0), SAID),
    "refused": lambda: (found(family="bronze"), SAID),
    "bites, off the mock-up": lambda: (found(BITES), BITES),
}
BITES = before(
    press=SAID.press.model_copy(update={"bar_length": 120.0}),
    bore=BoreSaid(height_aft=120.0, height_forward=89.38, apart=200.0, drawing=9.0, mock_up=12.0),
)


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize(("name", "one_sided"), [("harbour-launch", False), ("harbour-launch", True)])
def test_the_card_of_a_sets_palm_fits_its_paper(name: str, one_sided: bool, paper: Any) -> None:
    """Curled on both sides of the arm's root, or on one."""
    strut = resolve(loader.load(loader.shipped()[name])).strut
    said = Straightening.model_validate({"palm": {"made": "plate", "material": "316L"}})
    case = case_of(said, strut, standard())
    port, wide = case.face.roots[0].across_mm[1], case.size_mm[1] / 2.0
    rows = [
        {"along": u, "across": v, "reading": -1.2 * max((v if one_sided else abs(v)) - port, 0.0) / (wide - port)}
        for u, v in grid(case.face, 7, 7, 4.0)
    ]
    said = Straightening.model_validate({**said.model_dump(exclude_none=True), "heights": rows})
    made = straightened(said, case, strut)
    assert made.step.push is not None
    assert made.step.push.place.one_sided == one_sided
    sheet = out.sheet(made, said, imprint=Imprint(paper=paper, reference="test"))
    assert overlaps(lay_out(sheet)) == []


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("kind", CARDS)
def test_a_card_fits_its_paper_and_is_read_at_arms_length(kind: str, paper: Any) -> None:
    made, said = CARDS[kind]()
    sheet = out.sheet(made, said, imprint=Imprint(paper=paper, reference="test"))
    assert overlaps(lay_out(sheet)) == []
    assert [view.name for view in sheet.views] == ["press plan", *(["press"] if made.step.verdict == "push" else [])]
    steps = [table for table in sheet.tables if table.name == "steps"]
    assert bool(steps) == (made.step.verdict == "push")
    for table in steps:
        assert len(table.rows) <= 10
        assert table.text_mm >= 5.0


def test_a_short_bar_takes_the_palm_in_bites_from_the_middle() -> None:
    """Its places are named, the middle one first; strokes say theirs."""
    made = found(BITES)
    assert made.step.push is not None
    place = made.step.push.place
    assert (place.way, place.number, place.bar_mm) == ("across", 1, pytest.approx(100.0))
    assert place.at_mm[0] == pytest.approx(0.0)
    stroke = SAID.strokes[0].model_copy(update={"place": 3})
    third = found(SAID.model_copy(update={"press": BITES.press, "strokes": [stroke]}))
    assert third.made[0].place.at_mm[0] == pytest.approx(100.0)
    with pytest.raises(NotKnownError, match="no place of this palm"):
        found(SAID.model_copy(update={"strokes": [stroke]}))


@pytest.mark.parametrize(
    ("wanted", "mends"),
    [({"drawing": 8.8}, "right"), ({"drawing": 8.8, "mock_up": 12.0}, "not by pressing"), ({}, None)],
)
def test_the_angle_to_the_bore_is_held_to_drawing_and_mock_up(wanted: dict[str, float], mends: str | None) -> None:
    """asin(30.62 / 200) is 8.81 degrees; the mock-up is the boat."""
    bore = BoreSaid(height_aft=120.0, height_forward=89.38, apart=200.0, **wanted)
    made = found(before(bore=bore)).to_bore
    assert made is not None
    assert made.measured == pytest.approx(8.8067, abs=1e-4)
    assert made.mends == mends
    assert f"{made.measured:.2f}" in out.text(found(before(bore=bore)), "mm")


@pytest.mark.parametrize(("fall", "mends"), [(0.0, "not by pressing"), (0.02, "pressing")])
def test_pressing_mends_the_angle_of_a_palm_that_is_bent_at_one_end(fall: float, mends: str) -> None:
    """The fore quarter of a palm of 300 hangs down by 0.02 a millimetre: the plane nearest to five stations leans by
    150 x 75 x 0.02 / (2 (150^2 + 75^2)) = 0.004 more than the plane over the arm, 0.229 degrees."""
    rows = [(u, v, -fall * max(u - 75.0, 0.0)) for u in (-150.0, -75.0, 0.0, 75.0, 150.0) for v in (-70.0, 0.0, 70.0)]
    seen = shape(np.array(rows), (300.0, 150.0))
    made = to_bore(9.3, seen, toes_mm=(-60.0, 60.0), drawing_deg=9.0, mock_up_deg=None, tolerance_deg=0.2)
    assert made.mends == mends
    assert made.pressed == pytest.approx(9.3 - math.degrees(0.2 * fall), abs=1e-3)


def test_depths_and_gaps_count_downward() -> None:
    depths = [row.model_copy(update={"reading": 10.0 - row.reading}) for row in SAID.heights]
    said = SAID.model_copy(update={"how": "depth", "heights": depths})
    assert found(said).shapes[0].bow_mm == pytest.approx(found().shapes[0].bow_mm, abs=1e-9)


def test_a_cast_arm_is_refused() -> None:
    arm = SAID.palm.model_copy(update={"part": "arm", "made": "casting"})
    step = found(SAID.model_copy(update={"palm": arm})).step
    assert step.verdict == "refused"
    assert "a cast arm is never straightened cold" in step.reasons


def test_with_a_set_the_palm_is_the_sets(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = "".join(f"0,{u},{v},{-0.02 * abs(v):g}\n" for u in (-60, 0, 60) for v in (-35, 0, 35))
    source = tmp_path / "palm.csv"
    source.write_text(f"units,mm\nheights\nstage,along,across,reading\n{rows}")
    status = main(["straighten", str(source), "--set", "canal-tender", "--json", "--out", str(tmp_path / "job")])
    assert status in (Exit.WARNINGS, Exit.FAILURE)
    assert json.loads(capsys.readouterr().out)["tolerance_mm"] == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("palm.material,316L\n", "", "palm.material"),
        ("across,1.45", "acros,1.45", "across"),
        ("0,-140,-70,", "0,-160,-70,", "lies off the palm"),
        ("0,-140,-35,", "0,-140,-70,", "is read twice"),
        ("strokes\nway,travel\nacross,1.45\n", "", "is after no stroke"),
        ("across,1.45\n", "across,1.45\ntwist,2\n", "has no reading of stage 2"),
        ("palm.thickness,14", "palm.thickness,100", "press.span_across"),
        ("palm.material,316L", "palm.material,316X", "such as 316L"),
        ("palm.material,316L", "palm.material,316L\npalm.face,curved", "name the strut's set"),
    ],
)
def test_a_fault_is_told_and_nothing_is_written(
    old: str, new: str, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = examples()["straighten-palm"].read_text()
    assert old in text
    source = tmp_path / "palm.csv"
    source.write_text(text.replace(old, new, 1))
    assert main(["straighten", str(source), "--out", str(tmp_path / "job")]) == Exit.UNUSABLE
    assert told in capsys.readouterr().err
    assert not (tmp_path / "job").exists()


def test_a_reading_off_the_palm_of_the_set_is_a_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["straighten", "straighten-palm", "--set", "canal-tender", "--out", str(tmp_path / "job")]
    text = "".join(
        line for line in examples()["straighten-palm"].open() if not line.startswith(("palm.length", "palm.width"))
    )
    (source := tmp_path / "palm.csv").write_text(text)
    assert main([words[0], str(source), *words[2:]]) == Exit.UNUSABLE
    assert "heights[0].along: lies off the palm of the set" in capsys.readouterr().err


def test_a_form_filled_in_with_nothing_says_nothing(tmp_path: Path) -> None:
    assert main(["straighten", "--blank", str(tmp_path)]) == Exit.PASS
    form = (tmp_path / "straighten-form.csv").read_text()
    assert reads(form, Straightening, as_csv=True).said == Straightening()


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_blank_form_is_one_page(units: Any, paper: Any) -> None:
    sheets = out.form(units).sheets(Imprint(paper=paper, reference="test"))
    assert len(sheets) == 1
    assert overlaps(lay_out(sheets[0])) == []


def curved(crown: bool, axis_deg: float, along_mm: float | None) -> Strut:
    strut = resolve(loader.load(loader.shipped()["harbour-launch"])).strut
    curve = HullCurve(radius_mm=900.0, axis_deg=axis_deg, crown_to_hull=crown, along_radius_mm=along_mm)
    return replace(strut, palms=(replace(strut.palms[0], curve=curve),))


@pytest.mark.parametrize(("crown", "axis_deg", "along_mm"), [(True, 0.0, None), (False, 30.0, 4000.0)])
@pytest.mark.parametrize("how", ["dial", "depth"])
def test_a_face_made_to_the_hulls_curve_is_pressed_to_it(
    how: str, crown: bool, axis_deg: float, along_mm: float | None
) -> None:
    """The drawn curve reads as none off; with a curl on it, as that curl by itself on a plane face. The heights are
    those of a circle, or of parabolas of those radii, worked out here."""
    strut = curved(crown, axis_deg, along_mm)
    said = Straightening.model_validate({"palm": {"made": "plate", "material": "316L"}, "how": how})
    case = case_of(said, strut, standard())
    turn, sign = math.radians(axis_deg), -1.0 if crown else 1.0
    for curl in (0.0, 1.2):
        rows = []
        for u, v in grid(case.face, 7, 7, 4.0):
            off = v * math.cos(turn) - u * math.sin(turn)
            z = sign * (900.0 - math.sqrt(900.0**2 - off**2))
            if along_mm is not None:
                run = u * math.cos(turn) + v * math.sin(turn)
                z = sign * off**2 / 1800.0 + run**2 / (2.0 * along_mm)
            z -= curl * abs(v) / (case.size_mm[1] / 2.0)
            rows.append({"along": u, "across": v, "reading": z if how == "dial" else -z})
        told = Straightening.model_validate({**said.model_dump(exclude_none=True), "heights": rows})
        made = straightened(told, case, strut)
        assert made.shapes[0].bow_mm[1] == pytest.approx(curl, abs=1e-6)
        assert made.step.verdict == ("push" if curl else "flat")
        assert overlaps(lay_out(out.sheet(made, told, imprint=Imprint(paper="A4", reference="test")))) == []
