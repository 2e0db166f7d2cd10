"""An inspection record read back, against vector algebra worked here and the rule of ISO 14253-1.

Decision rule of ISO 14253-1 (from memory): in is shown only a full uncertainty within the limit, out only a full one
beyond it. The palm's angles are worked out here by projecting a bar on a plane, which the program does not do.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from command_line_support import run
from hypothesis import given
from hypothesis import strategies as st
from inspection_support import filled
from support import THOROUGH, every, long_run

from strutwright.errors import Exit
from strutwright.exporters.bench.fillable import Filled, csv_of
from strutwright.exporters.bench.inspection import record_form, record_sheets, to_write_on
from strutwright.exporters.bench.paper import Imprint
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import overlaps
from strutwright.inspection_command import rows_of, sha256_of
from strutwright.models.bench.inspection import Row, Value, Verdict, derived, judged, palm_angles
from strutwright.models.bench.part_as_made import as_made
from strutwright.models.bench.record_back import Consequence, consequences, judge
from strutwright.models.bench.ways_out import ways_out
from strutwright.models.resolve import resolve
from strutwright.models.spec import Palm
from strutwright.params.bench.inspection import Inspection
from strutwright.params.loader import load, shipped
from strutwright.params.measured import examples, read


def bar_over_plane(pitch_deg: float, tilt_deg: float) -> tuple[float, float]:
    """Fall of a bar along x over the plane z = D - x tan(pitch) + y tan(tilt) per mm, and its skew (degrees)."""
    normal = np.array([math.tan(math.radians(pitch_deg)), -math.tan(math.radians(tilt_deg)), 1.0])
    normal /= np.linalg.norm(normal)
    bar = np.array([1.0, 0.0, 0.0])
    shadow = bar - (bar @ normal) * normal
    trace = np.array([math.cos(math.radians(pitch_deg)), 0.0, -math.sin(math.radians(pitch_deg))])
    port = np.cross(normal, trace)
    return float(bar @ normal), math.degrees(math.atan2(shadow @ port, shadow @ trace))


@given(st.floats(0.5, 60.0), st.floats(-60.0, 60.0), st.sampled_from((1.0, -1.0)))
def test_angles_follow_from_heights_and_skew(pitch: float, tilt: float, sign: float) -> None:
    found = palm_angles(*bar_over_plane(sign * pitch, tilt))
    assert found == pytest.approx((sign * pitch, tilt), abs=1e-6)


def test_a_bar_along_the_trace_cannot_tell_the_tilt() -> None:
    # Without pitch the bar lies level over any palm: nothing is claimed of the tilt, whatever it is.
    row = lambda code, nominal, low, high: Row(code, nominal, low, high, "", f"palm1.{code}", "angle")  # noqa: E731
    rows = [
        Row("", "", "", "", "", "palm1.height.aft-face", "length"),
        Row("", "", "", "", "", "palm1.height.forward-face", "length"),
        row("pitch", "0.00°", "-0.25°", "0.25°"),
        row("tilt", "12.00°", "11.75°", "12.25°"),
    ]
    found = {
        "palm1.height.aft-face": Value(300.0, 0.05),
        "palm1.height.forward-face": Value(300.0, 0.05),
        "palm1.skew": Value(0.0, 0.05),
        "barrel.length": Value(150.0, 0.05),
    }
    made = derived(rows, found)
    assert made["palm1.tilt"].uncertainty > 10.0
    assert judged(rows[3], 1, made["palm1.tilt"], "mm").verdict is Verdict.DOUBTFUL


@given(st.floats(-1.0, 1.0), st.floats(0.001, 0.3), st.sampled_from((("9.9", "10.1"), ("", "10.1"), ("9.9", ""))))
def test_the_rule_of_the_standard(off: float, sure: float, limits: tuple[str, str]) -> None:
    row = Row("", "10", *limits, "", "any", "length")
    verdict = judged(row, 1, Value(10.0 + off, sure), "mm").verdict
    low, high = 10.0 + off - sure, 10.0 + off + sure
    lower, upper = (float(t) if t else None for t in limits)
    inside = (lower is None or low > lower + 1e-6) and (upper is None or high < upper - 1e-6)
    outside = (lower is not None and high < lower - 1e-6) or (upper is not None and low > upper + 1e-6)
    if inside:
        assert verdict is Verdict.IN
    elif outside:
        assert verdict is Verdict.OUT
    elif abs(off) not in (0.1 - sure, 0.1 + sure):
        assert verdict in (Verdict.DOUBTFUL, Verdict.IN, Verdict.OUT)
        near = any(x is not None and low < x - 1e-6 and x + 1e-6 < high for x in (lower, upper))
        assert not near or verdict is Verdict.DOUBTFUL


def _form(name: str) -> str:
    found = resolve(load(shipped()[name]))
    return record_form(*rows_of(found, None), "0" * 64).csv


def _read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, own: Mapping[str, str]
) -> tuple[int, dict[str, Any], str]:
    file = tmp_path / "record.csv"
    file.write_text(filled(_form(name), own))
    words = ["inspection", str(file), "--set", name, "--out", str(tmp_path / "job"), "--json"]
    status, out, err = run(capsys, *words)
    return status, json.loads(out) if out else {}, err


def _stand(data: Mapping[str, Any]) -> dict[str, str]:
    return {r["code"]: r["stands"] for r in data["rows"]}


@pytest.mark.parametrize("name", every(["harbour-launch", "refit-two-bores", "survey-launch"], 2))
def test_a_part_as_drawn_is_not_out(tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    status, data, err = _read(tmp_path, capsys, name, {})
    assert data, err
    assert data["out"] == []
    open_or_doubtful = {c for c, v in _stand(data).items() if v not in ("in", "noted")}
    # What a bar cannot tell, and what the usual instrument is too coarse for, is said; nothing else.
    assert all(v == "doubtful" for c, v in _stand(data).items() if c in open_or_doubtful)
    assert status == (Exit.WARNINGS if open_or_doubtful else Exit.PASS)


def test_two_heights_that_are_in_do_not_hide_an_angle(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # 0.9 mm one way aft and the other way forward, each within 1 mm, over 146 mm: atan(1.8 / 146) = 0.71 degrees.
    own = {"palm1.height.aft-face": "308.63", "palm1.height.forward-face": "283.99"}
    status, data, _ = _read(tmp_path, capsys, "harbour-launch", own)
    stand = _stand(data)
    assert {stand[code] for code in own} == {"in"}
    assert stand["palm1.pitch"] == "out"
    assert status == Exit.FAILURE
    (pitch,) = [r for r in data["rows"] if r["code"] == "palm1.pitch"]
    assert pitch["value"] - 9.0 == pytest.approx(math.degrees(math.asin((308.63 - 283.99) / 146)) - 9.0, abs=1e-6)


def test_what_is_typed_for_a_row_that_follows_is_not_taken(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own = {
        "palm1.pitch": "9.0",
        "palm1.height.aft-face": "",
        "bore1.cylindricity": "0",
        "bearing1.interference": "0.02",
    }
    _, data, _ = _read(tmp_path, capsys, "harbour-launch", own)
    stand = _stand(data)
    assert (stand["palm1.pitch"], stand["palm1.height.aft-face"]) == ("not measured", "not measured")
    assert stand["bore1.cylindricity"] == "in"
    assert next(r for r in data["rows"] if r["code"] == "bearing1.interference")["value"] == pytest.approx(0.0215)
    assert any(note.startswith("palm, pitch") and "left aside" in note for note in data["notes"])


@pytest.mark.parametrize(
    ("measured", "told"), [("about 50", "lines[2].measured"), ("50.01 kg", "lines[2].measured"), ("nan", "measured")]
)
def test_what_is_no_reading_never_passes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], measured: str, told: str
) -> None:
    status, _, err = _read(tmp_path, capsys, "harbour-launch", {"bore1.gauged.aft.athwart": measured})
    assert status == Exit.UNUSABLE
    assert told in err
    assert "record.csv:27:" in err
    assert not (tmp_path / "job").exists()


@pytest.mark.parametrize(
    ("was", "now", "told"),
    [
        ("\n12,barrel.length", "\n13,barrel.length", "lines[11].number: is not the number of this characteristic"),
        ("\n12,barrel.length", "\n99,barrel.length", "lines[11].number: is not the number of this characteristic"),
        ("146.1,calliper", "146,1,calliper", "lines[11].instrument: is a number"),
        (",0.20000,wall gauge", ",-9,wall gauge", "lines[13].measured: is under nought, where only the amount counts"),
    ],
)
def test_lines_that_slipped_and_amounts_with_a_minus_never_pass(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], was: str, now: str, told: str
) -> None:
    text, file = examples()["harbour-launch-inspection"].read_text(), tmp_path / "record.csv"
    assert text.count(was) == 1
    file.write_text(text.replace(was, now))
    status, _, err = run(capsys, "inspection", str(file), "--set", "harbour-launch", "--out", str(tmp_path / "job"))
    assert status == Exit.UNUSABLE
    assert told in err
    assert not (tmp_path / "job").exists()


@pytest.mark.parametrize("row", ["x", "-1", "99999999"])
def test_a_form_s_field_of_no_row_is_told(row: str) -> None:
    form = record_form(*rows_of(resolve(load(shipped()["harbour-launch"])), None), "0" * 64)
    with pytest.raises(ValueError, match="does not know"):
        csv_of(form, Filled(title=form.title, units="mm", values={f"lines:{row}:measured": "146.1"}))


def test_a_row_left_out_is_open_and_never_passes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "record.csv"
    text = filled(_form("harbour-launch"))
    file.write_text("\n".join(line for line in text.splitlines() if line.split(",")[1:2] != ["barrel.length"]))
    status, out, _ = run(capsys, "inspection", str(file), "--set", "harbour-launch", "--out", str(tmp_path / "job"))
    assert status == Exit.WARNINGS
    assert "NOT MEASURED" in out
    assert "barrel, length" in out


def test_the_shipped_record_is_of_the_set_as_it_is_now() -> None:
    said = read(examples()["harbour-launch-inspection"], Inspection).said
    rows, _ = rows_of(resolve(load(shipped()["harbour-launch"])), None)
    assert said.parameters == sha256_of(rows)[:12]
    made = [(r.code, r.nominal, r.lower, r.upper) for r in rows]
    assert [(line.code, line.nominal or "", line.lower or "", line.upper or "") for line in said.lines] == made


def test_a_form_is_of_what_it_asks_for_alone() -> None:
    """What else a set says, or another version of the program words otherwise, is no reason to doubt a form."""
    rows, _ = rows_of(resolve(load(shipped()["harbour-launch"])), None)
    assert sha256_of([r._replace(what=f"the {r.what}", instrument="rule") for r in rows]) == sha256_of(rows)
    for other in ({"code": "x"}, {"nominal": "1"}, {"lower": "1"}, {"upper": "1"}):
        assert sha256_of([rows[0]._replace(**other), *rows[1:]]) != sha256_of(rows)
    assert sha256_of(rows[::-1]) != sha256_of(rows)


def test_a_form_of_another_strut_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "record.csv"
    file.write_text(filled(_form("harbour-launch")))
    _, out, err = run(capsys, "inspection", str(file), "--set", "day-cruiser", "--out", str(tmp_path / "job"))
    assert "other limits" in out or "is no characteristic" in err


def test_an_oversize_bore_is_followed_to_the_fit(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    gauged = [f"bore1.gauged.{a}.{b}" for a in ("aft", "middle", "forward") for b in ("up-and-down", "athwart")]
    _, data, _ = _read(tmp_path, capsys, "harbour-launch", dict.fromkeys(gauged, "50.20"))
    (one, *_) = data["out"]
    assert "bore_fit" in {w["code"] for w in one["worse"]}
    assert one["ways_out"] == list(ways_out("bore1.gauged.aft.athwart", "over"))
    told = " ".join(way for one in data["out"] for way in one["ways_out"])
    assert "sleeve" in told
    assert "reduce" not in told


@pytest.mark.parametrize(
    ("name", "code", "off", "check"),
    [
        ("harbour-launch", "screw2.dimple", 1.0, "dimple"),
        ("harbour-launch", "screw1.station", -30.0, "screw_inside_bearing"),
        ("harbour-launch", "bearing1.station", 30.0, "bearing_proud"),
        ("refit-two-bores", "bore1.gauged.aft.athwart", 0.5, "bore_fit"),
        ("harbour-launch", "barrel.coaxiality", 3.0, "barrel_wall_least"),
        ("harbour-launch", "palm1.zero_port", 20.0, "rim_to_arm_root"),
        ("yawl-with-heel", "heel.abaft", -50.0, "blade_to_stock"),
    ],
)
def test_what_is_out_is_followed_to_its_check(name: str, code: str, off: float, check: str) -> None:
    """Also where a check is told of each bearing or screw: that of the one that is out counts."""
    found = resolve(load(shipped()[name]))
    rows, units = rows_of(found, None)
    row = next(r for r in rows if r.code == code)
    drawn = next(v for v in reversed(row.limits(units)) if v is not None)
    (after,) = consequences(found, judge(rows, {code: Value(drawn + off, 0.001)}, {}, units), None)
    assert after.followed
    assert any(worse.code.startswith(check) for _, worse in after.worse), [w.code for _, w in after.worse]


def followed(name: str, off: Mapping[str, float]) -> list[Consequence]:
    """What follows of rows that are off their nominal size by so much, each beyond its limit."""
    found = resolve(load(shipped()[name]))
    rows, units = rows_of(found, None)
    drawn = {r.code: float(r.nominal or 0.0) for r in rows if r.code in off}
    return consequences(found, judge(rows, {c: Value(drawn[c] + by, 0.001) for c, by in off.items()}, {}, units), None)


def test_a_palm_s_height_is_followed_to_drop_and_tip_clearance() -> None:
    """A strut 7 mm short holds the shaft 7 mm nearer to the hull; what was 80.85 from blade to hull is 73.85. 15 mm
    short breaks the clearance that is asked."""
    low = followed("harbour-launch", {"palm1.height.aft-face": -7.0, "palm1.height.forward-face": -7.0})
    for one in low:
        sizes = {what: (was, now) for what, was, now in one.sizes}
        assert sizes["blade tip to hull"] == pytest.approx((80.85, 73.85), abs=0.01)
        assert sizes["drop square to the shaft at mid-barrel"] == pytest.approx(
            (300.0, 300.0 - 7.0 / math.cos(math.radians(9.0))), abs=0.01
        )
        assert "tip_clearance" in {a.code for _, a in one.nearer}
    (lower,) = followed("harbour-launch", {"palm1.height.aft-face": -15.0})
    assert "tip_clearance" in {a.code for _, a in lower.worse}


def test_a_hole_off_its_place_counts_the_way_that_is_worst() -> None:
    """The zone's diameter tells twice how far a hole is off, not where to. The corner hole stands 20.5 mm from the side
    of a palm 118 wide; half more than a bolt of 12 is asked: 18, which a zone of 5 reaches. With its neighbour, 50 mm
    away, as far off, both come nearer."""
    strut = resolve(load(shipped()["harbour-launch"])).strut

    def off(*numbers: int) -> list[Palm]:
        rows = [Row("", "0", "", "Ø0.8", "", f"palm1.hole{n}", "length") for n in numbers]
        made = as_made(strut, judge(rows, {r.code: Value(16.0, 0.01) for r in rows}, {}, "mm"), "mm")
        return [s.palms[0] for s in made]

    places = [{h.number: (h.u_mm, h.v_mm) for h in palm.holes} for palm in off(1)]
    assert min(59.0 - abs(p[1][1]) for p in places) == pytest.approx(20.5 - 8.0)
    assert min(math.hypot(*p[1]) for p in places) == pytest.approx(math.hypot(75.0, 38.5) - 8.0)
    pair = [{h.number: (h.u_mm, h.v_mm) for h in palm.holes} for palm in off(2, 3)]
    assert min(math.dist(p[2], p[3]) for p in pair) == pytest.approx(50.0 - 16.0)
    (out,) = followed("harbour-launch", {"palm1.hole1": 5.1})
    assert "bolt_edge_distance" in {a.code for _, a in out.worse}


def test_a_wide_hole_is_followed_to_the_bearing_of_its_bolt() -> None:
    (wide,) = followed("harbour-launch", {"palm1.holes": 6.0})
    assert "bolt_bearing" in {a.code for _, a in wide.nearer}


def test_a_wall_is_followed_by_what_was_measured_and_no_less() -> None:
    """A fifth of 35 mm is 7: a least wall of 7.2 that was measured keeps it, whatever castings may be; 6.9 does not."""
    kept, short = (followed("harbour-launch", {"barrel.wall": by - 9.0})[0] for by in (7.2, 6.9))
    assert "barrel_wall_least" not in {a.code for _, a in kept.worse}
    assert "barrel_wall_least" in {a.code for _, a in short.worse}


def test_a_heel_s_bore_is_followed_but_not_the_seat_of_its_bush() -> None:
    yawl = resolve(load(shipped()["yawl-with-heel"])).strut
    assert yawl.skeg is not None
    assert yawl.skeg.heel is not None
    bored, seat = yawl.skeg.heel.bore_mm + 0.5, yawl.skeg.heel.bore_mm + 2 * yawl.skeg.heel.bush_wall_mm
    row = Row("heel, bore", "30", "30", "30.1", "bore gauge", "heel.bore1", "length")
    (made,) = as_made(yawl, judge([row], {row.code: Value(bored, 0.01)}, {}, "mm"), "mm")
    assert made.skeg is not None
    assert made.skeg.heel is not None
    assert made.skeg.heel.bore_mm == bored
    assert as_made(yawl, judge([row], {row.code: Value(seat + 0.1, 0.01)}, {}, "mm"), "mm") == []


def test_every_size_has_a_way_out_that_takes_no_metal_back() -> None:
    # Too little metal cannot be machined on; what is said of it begins with use, measuring, a shim, or another part.
    for name in ("harbour-launch", "yawl-with-heel", "work-launch-vee"):
        for row in rows_of(resolve(load(shipped()[name])), None)[0]:
            for side in ("over", "under", "wrong"):
                assert ways_out(row.code, side)  # type: ignore[arg-type]
    for code in ("bore1.gauged.aft.athwart", "palm1.holes", "heel.bore1"):
        assert not any("drill to size" in w or "ream on" in w for w in ways_out(code, "over"))
    for code in ("barrel.outside", "palm1.thickness", "barrel.wall"):
        assert not any(w.startswith(("turn", "machine", "face")) for w in ways_out(code, "under"))


PAPERS = [("yawl-with-heel", "letter"), ("work-launch-vee", "A4")]


@long_run
@pytest.mark.parametrize(("name", "paper"), PAPERS if THOROUGH else PAPERS[:1])
def test_form_and_record_fit_their_paper(name: str, paper: Any) -> None:
    rows, units = rows_of(resolve(load(shipped()[name])), None)
    imprint = Imprint(paper=paper, reference="test", identification="X-1", called="A strut")
    form = to_write_on(record_form(rows, units, "0" * 64), imprint).sheets(imprint)
    wrong = {r.code: Value(1000.0, 0.01) for r in rows if not r.derived and r.asks != "words"}
    made = judge(rows, wrong, {}, units)
    said = Inspection(part="1")
    record = record_sheets(made, [], said, imprint=imprint, units=units, sha256="0" * 64)
    for sheet in (*form, *record):
        assert overlaps(lay_out(sheet)) == []
    numbers = [row[0] for sheet in form for t in sheet.tables if t.name.startswith("lines") for row in t.rows]
    assert numbers == [str(k) for k in range(1, len(rows) + 1)]
    assert sum(len(t.rows) for sheet in record for t in sheet.tables if t.name.startswith("found")) == len(rows)


@long_run
def test_several_parts_stand_between_their_limits(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # Ppk = (50.0150 - 50.0050) / (3 x 0.0015811) of 50.003 to 50.007 about 50.005 within 50 to 50.025, by hand:
    # mean 50.005, s = 0.0015811, nearer limit 50: 0.005 / 0.0047434 = 1.054.
    form = _form("harbour-launch")
    job = tmp_path / "job"
    words = ["--set", "harbour-launch", "--out", str(job), "--json"]
    for k in range(5):
        text = filled(form, {"bore1.gauged.aft.athwart": f"50.00{3 + k}"}).replace("part,", f"part,{k + 1}")
        (tmp_path / "record.csv").write_text(text)
        run(capsys, "inspection", str(tmp_path / "record.csv"), *words)
        if k == 0:
            status, _, err = run(capsys, "inspection", "--parts", *words)
            assert (status, "two at least" in err) == (Exit.UNUSABLE, True)
    status, out, err = run(capsys, "inspection", "--parts", *words)
    assert status == Exit.PASS, err
    made = json.loads(out)
    assert made["parts"] == ["1", "2", "3", "4", "5"]
    (bore,) = [c for c in made["characteristics"] if c["code"] == "bore1.gauged.aft.athwart"]
    assert bore["ppk"] == pytest.approx(1.054, abs=5e-4)
    assert bore["ppk_lower_end"] < bore["ppk"]
    assert (job / "records" / "parts-1" / "parts.svg").is_file()
    before = (job / "records" / "inspection-2" / "inspection.json").read_text()
    (job / "records" / "inspection-2" / "inspection.json").write_text(before.replace("50.004", "50.001"))
    status, _, err = run(capsys, "inspection", "--parts", *words)
    assert (status, "changed by hand" in err) == (Exit.UNUSABLE, True)
