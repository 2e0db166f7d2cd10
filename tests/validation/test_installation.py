"""The installation sheet and the record of how a strut was fitted, against vectors worked here and the yard's rules.

Rules of the yard: common practice, no source; the faces of a coupling: 0.003 in, an engine maker's manual.
"""

from __future__ import annotations

import json
import math
import subprocess
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from command_line_support import run
from support import STRUTS, every

from strutwright.errors import Exit
from strutwright.exporters.bench.installation import installation_form, with_trial_to_the_foot
from strutwright.exporters.bench.paper import Imprint, paged, work_sheet
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import Table, overlaps
from strutwright.exporters.files.palm_templates import hull_template
from strutwright.exporters.sheets.barrel import barrel_notes
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.palm import palm_notes
from strutwright.job import run_checks
from strutwright.models import frames
from strutwright.models.bench.installation import BEDDED, hull_holes, judge, lacking, press_words, torque_words
from strutwright.models.bench.process import operations
from strutwright.models.resolve import resolve
from strutwright.models.solids import Built
from strutwright.params import limits
from strutwright.params.bench.installation import AsFitted, Bolt
from strutwright.params.bench.process import ShopRates
from strutwright.params.loader import load, shipped
from strutwright.params.measured import EXAMPLES, reads
from strutwright.params.problems import ParameterError

FITTED = (EXAMPLES / "harbour-launch-as-fitted.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", STRUTS)
def test_holes_of_the_hull_are_where_the_palm_has_them(name: str) -> None:
    """By distances in space: from the place where the shaft line meets the hull, and from the vertical plane."""
    strut = resolve(load(shipped()[name])).strut
    found = iter(hull_holes(strut))
    for palm in strut.palms:
        p, t, d = (getattr(palm.plane, f) for f in ("pitch_deg", "tilt_deg", "drop_mm"))
        rise, lean = math.tan(math.radians(p)), math.tan(math.radians(t))
        trace = np.array([1.0, 0.0, -rise]) / math.hypot(1.0, rise)
        normal = np.cross(trace, np.array([0.0, 1.0, lean]))
        normal /= np.linalg.norm(normal)
        for hole in palm.holes:
            told = next(found)
            place = frames.palm_axes(palm).to_strut(np.array([[hole.u_mm, hole.v_mm]]))[0]
            assert place[2] == pytest.approx(d - place[0] * rise + place[1] * lean, abs=1e-6)
            foot = np.array([-strut.barrel.length_mm / 2, 0.0, d + strut.barrel.length_mm / 2 * rise])
            away = place - foot
            assert told.ahead_of_aft_face_mm == pytest.approx(float(away @ trace), abs=1e-6)
            aside = np.linalg.norm(away - (away @ trace) * trace)
            assert abs(told.to_port_mm) == pytest.approx(float(aside), abs=1e-6)
            assert told.to_port_mm * place[1] >= -1e-6
            if told.aft_of_meeting_mm is not None:
                meeting = np.array([d / rise, 0.0, 0.0])
                assert math.hypot(told.aft_of_meeting_mm, told.to_port_mm) == pytest.approx(math.dist(meeting, place))


def _judged(tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str) -> tuple[int, dict[str, Any]]:
    file = tmp_path / "fitted.yaml"
    file.write_text(text)
    words = ["installation", str(file), "--set", "harbour-launch", "--out", str(tmp_path / "job"), "--json"]
    status, out, err = run(capsys, *words)
    assert out, err
    return status, json.loads(out)


def _stands(data: dict[str, Any]) -> dict[str, str]:
    return {f["what"]: f["stands"] for f in data["figures"]}


def test_the_example_has_one_bolt_too_hard(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, data = _judged(tmp_path, capsys, FITTED)
    assert status == Exit.FAILURE
    assert {k for k, v in _stands(data).items() if v in ("out", "look again")} == {"bolt in hole 4, torque"}
    assert data["not_measured"] == []


@pytest.mark.parametrize(
    ("change", "what"),
    [
        (("{at: bottom, gap: 0.15", "{at: bottom, gap: 0.19"), "coupling faces, difference round the rim"),
        (("afloat: 0.14", "afloat: 0.20"), "the same, afloat"),
        (("at: top, gap: 0.10}", "at: top, gap: 0.03}"), "bearing aft, top and bottom together"),
        (("at: top, gap: 0.10}", "at: top, gap: 1.2}"), "bearing aft, top and bottom together"),
        (("hull: 16.5, length: 70, torque: 36", "hull: 16.5, length: 60, torque: 36"), "bolt in hole 1, length"),
        # 62.55 by a hull of 16; one of 26 asks for 10 more, a bed of 12 for as much
        (("hull: 16.5, length: 70, torque: 36", "hull: 26, length: 70, torque: 36"), "bolt in hole 1, length"),
        (("at: fore end, thickness: 2.5", "at: fore end, thickness: 12"), "bolt in hole 1, length"),
        (("tip: 79", "tip: 60"), "blade tip to hull"),
        (("hub: 24", "hub: 5"), "bearing to propeller hub"),
        (("hub: 24", "hub: 24, insulation: 0.2"), "insulation, dry"),
        (("stuffing_box: 38", "stuffing_box: 70"), "stuffing box at 1300 rpm"),
    ],
)
def test_what_is_out_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], change: tuple[str, str], what: str
) -> None:
    assert change[0] in FITTED
    _, data = _judged(tmp_path, capsys, FITTED.replace("torque: 52", "torque: 36").replace(*change, 1))
    assert _stands(data)[what] == "out"


def test_heads_carry_the_units_that_the_form_shows_and_all_faults_are_told() -> None:
    text = """units,{units}
bolts
hole,length,torque{torque}
1,60,25

trial
speed [1/min],vibration [mm/s],stuffing_box [°C],drips [a minute]
800,2.5,45,3
"""
    said = reads(text.format(units="mm", torque=" [N m]"), AsFitted, as_csv=True).said
    assert (said.bolts[0].torque, said.trial[0].vibration) == (25.0, 2.5)
    assert (said.trial[0].stuffing_box, said.trial[0].drips) == (45.0, 3.0)
    in_pounds = reads(text.format(units="mm", torque=" (lbf ft)"), AsFitted, as_csv=True).said.bolts[0].torque
    assert in_pounds == pytest.approx(25 * 1.355818, rel=1e-6)  # NIST SP 811
    # What the form of an inch job shows bare, as its sheet tells the torque in lbf ft.
    assert reads(text.format(units="in", torque=""), AsFitted, as_csv=True).said.bolts[0].torque == in_pounds
    with pytest.raises(ParameterError) as caught:
        reads(text.format(units="mm", torque=" [MPa]").replace("25", "-25\n2,sixty,many"), AsFitted, as_csv=True)
    # A number whose unit is not known is held to no range; all else is told.
    assert [p.path for p in caught.value.problems] == ["bolts.torque [MPa]", "bolts[1].length", "bolts[1].torque"]


def test_what_was_left_out_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, data = _judged(tmp_path, capsys, "clearances: {tip: 79}\n")
    assert status == Exit.WARNINGS
    assert data["not_measured"] == [
        "gaps of the coupling",
        "gaps of the shaft at both ends of the bearing",
        "torque of 8 of 8 bolts",
        "the trial",
    ]


def test_bolts_of_two_palms_are_counted_palm_by_palm() -> None:
    strut = resolve(load(shipped()["pilot-vee"])).strut
    one = [Bolt(hole=h.number, torque=282.0) for h in strut.palms[0].holes]
    for bolts, left in ((one, 6), (2 * one, 0), (3 * one[:4], 4)):
        words = f"torque of {left} of 12 bolts"
        assert (words in lacking(AsFitted(bolts=bolts), strut)) is (left > 0)


@pytest.mark.parametrize(("name", "paper"), every(list(product(STRUTS, ("A4", "letter"))), 9))
def test_the_sheet_fits_and_its_form_says_nothing_of_itself(name: str, paper: Any) -> None:
    found = resolve(load(shipped()[name]))
    form = installation_form(found.strut, {f.code: f for f in run_checks(found)}, found.strut.file_units)
    for sheet in form.sheets(Imprint(paper=paper, reference="test")):
        assert overlaps(lay_out(sheet)) == []
    titles = [t.title for s in form.sheets(Imprint(paper=paper, reference="test")) for t in s.tables]
    assert {"THE YARD HOLDS TO", "SPARE PARTS"} <= set(titles)
    said = reads(form.csv, AsFitted, as_csv=True).said
    assert judge(said, {}, None) == []
    assert len(said.bolts) == sum(len(p.holes) for p in found.strut.palms)


@pytest.mark.parametrize(("name", "paper"), [("pilot-vee", "letter"), ("yawl-with-heel", "A4")])
def test_the_trial_has_the_room_that_is_left_and_each_bolt_its_palm(name: str, paper: Any) -> None:
    found, imprint = resolve(load(shipped()[name])), Imprint(paper=paper, reference="test")
    form = installation_form(found.strut, {}, "mm")
    longer = with_trial_to_the_foot(form, imprint)
    sheets = longer.sheets(imprint)
    assert len(sheets) == len(form.sheets(imprint))
    trial = [t for t in sheets[-1].tables if t.name == "trial"]
    assert sum(len(t.rows) for t in trial) > 12
    assert trial[0].columns == ("speed, rpm", "vibration, mm/s", "stuffing box, °C", "drips, a minute", "heard")
    assert reads(longer.csv, AsFitted, as_csv=True).said.trial == []
    palms = [b.palm for b in reads(longer.csv, AsFitted, as_csv=True).said.bolts]
    several = len(found.strut.palms) > 1
    assert palms == [p.called if several else None for p in found.strut.palms for _ in p.holes]
    named = judge(AsFitted(bolts=[Bolt(palm="port palm", hole=2, torque=5.0)]), {}, None)
    assert [t.what for t in named] == ["bolt in hole 2 of the port palm, torque"]


def test_no_table_goes_on_with_a_row_or_two() -> None:
    rows = tuple((str(k),) for k in range(1, 62))
    for count in range(20, 62, 3):
        table = Table(name="long", title="LONG", columns=("row",), rows=rows[:count], row_mm=5.4, corner="top left")
        imprint = Imprint(paper="A4", reference="test")
        made = paged(work_sheet("Long", None, imprint=imprint, unit="mm", tables=[table]))
        parts = [len(t.rows) for s in made for t in s.tables]
        assert sum(parts) == count
        assert min(parts) >= 3


def test_the_blank_form_goes_by_the_shop_s_own_limits(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own = tmp_path / "own.yaml"
    own.write_text("wear_limit: 0.5\n")
    words = ["--blank", str(tmp_path), "--set", "harbour-launch", "--limits", str(own)]
    status, _, err = run(capsys, "installation", *words)
    assert status == 0, err
    told = ["pdftotext", "-layout", str(tmp_path / "installation-form.pdf"), "-"]
    page = subprocess.run(told, capture_output=True, text=True, check=True).stdout
    (line,) = (row for row in page.splitlines() if "renew when worn to" in row)
    assert "0.5 mm" in line


@pytest.mark.parametrize("name", every(STRUTS, 4))
def test_torque_and_press_force_stand_where_they_are_used(name: str) -> None:
    """On drawings and template the same figures as on the installation sheet and the process sheet."""
    found = resolve(load(shipped()[name]))
    strut, units = found.strut, found.strut.file_units
    by_code = {f.code: f for f in run_checks(found)}
    torque, force = torque_words(by_code, units), press_words(by_code, units)
    # T = K d F: nut factor, diameter, preload, by the finding itself.
    newton_metres = by_code["bolt_torque"].actual
    assert torque == (f"{newton_metres:.0f} N m" if units == "mm" else f"{newton_metres / 1.3558179:.0f} lbf ft")
    form = installation_form(strut, by_code, units)
    assert torque in {cell for table in form.given for row in table.rows for cell in row}
    context = SheetContext(found, strut, Built("", (), [], 0.0), "0" * 64, "0", findings=by_code)
    palm, barrel = " ".join(palm_notes(context, strut.palms[0])), " ".join(barrel_notes(context))
    template = " ".join(text for text, _ in hull_template(strut, strut.palms[0], torque).facts)
    for paper in (palm, template):
        assert f"torque {torque} with anti-seize" in paper
        assert BEDDED in paper
    assert bool(force) == (strut.barrel.fit == "press")
    if force:
        assert force in barrel
        work = operations(strut, limits.standard(), ShopRates(), 40, force)
        assert force in next(str(o.figures) for o in work if o.what == "bearing fitted")
    else:
        assert "pressed in" not in barrel
