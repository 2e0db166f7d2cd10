"""Every command that reads a set takes the file of a flanged housing, or says what it works on."""

import json
from pathlib import Path

import pytest
from command_line_support import run

from strutwright.cli import STRUTS_ONLY
from strutwright.errors import Exit

HOUSING, HANGER = "deadwood-cutter", "yole-shaft-hanger"
READINGS = {
    "survey": "survey-twin-screw",
    "straighten": "straighten-palm",
    "installation": "harbour-launch-as-fitted",
    "process": "shop-rates",
    "rudder": "yawl-rudder-stock",
    "repair": "repair-harbour-launch",
}


def out_to(folder: Path) -> tuple[str, str]:
    return "--out", str(folder)


@pytest.mark.parametrize("command", sorted(STRUTS_ONLY))
def test_a_strut_s_command_says_so_of_a_housing(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = (READINGS[command], "--set", HOUSING) if command in READINGS else (HOUSING,)
    status, out, err = run(capsys, command, *words, "--out", str(tmp_path / "job"))
    assert (status, out) == (Exit.UNUSABLE, "")
    assert f"{command}: works on {STRUTS_ONLY[command]}; {HOUSING} is a housing" in err
    assert not (tmp_path / "job").exists()


def test_a_survey_is_not_written_into_the_file_of_a_housing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from strutwright.params.loader import shipped

    own = tmp_path / "housing.yaml"
    own.write_bytes(before := shipped()[HOUSING].read_bytes())
    words = ("--write", str(own), "--out", str(tmp_path / "job"))
    status, _, err = run(capsys, "survey", READINGS["survey"], *words)
    assert status == Exit.UNUSABLE
    assert "survey: works on" in err
    assert own.read_bytes() == before


def test_load_cases_of_a_housing_are_told_in_its_words(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "loads", HOUSING, "--json")
    assert status == Exit.PASS
    assert json.loads(out)
    assert "strut" not in out
    assert "housing's vibration" in out


def test_a_bearing_goes_into_a_housing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    readings = tmp_path / "fit.csv"
    readings.write_text(
        "units,mm\nbearing.length,119.6\nbearing.wall,3.15\nbearing.inside,30.16\nshaft,29.985\n\n"
        "bore\nat,upright,level\n10,45.012,45.010\n110,45.018,45.013\n\n"
        "outside\nat,upright,level\n5,45.036,45.034\n110,45.038,45.036\n",
        encoding="utf-8",
    )
    status, out, _ = run(capsys, "fitting", str(readings), "--set", HOUSING, *out_to(tmp_path / "job"))
    assert status == Exit.PASS
    assert out.startswith("GO: ")


def test_the_record_of_a_housing_is_judged(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, _, _ = run(capsys, "inspection", "--set", HOUSING, "--blank", str(tmp_path))
    assert status == Exit.PASS
    form = (tmp_path / "inspection-form.csv").read_text(encoding="utf-8")
    row = next(line for line in form.splitlines() if ",bore1.gauged.aft.up-and-down," in line)
    filled = tmp_path / "filled.csv"
    measured = row.replace("45.025,,", "45.025,45.063,")
    filled.write_text(form.replace(row, measured).replace("\npart,\n", "\npart,D1\n"), encoding="utf-8")
    words = (str(filled), "--set", HOUSING, "--out", str(tmp_path / "job"))
    status, out, _ = run(capsys, "inspection", *words)
    assert status == Exit.FAILURE
    assert "bore, aft, up and down: found 45.063" in out
    assert "least interference of the bearing in the bore was within" in out


def test_a_housing_is_compared(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "compare", HOUSING, "tube-end-pair", "--json")
    assert status == Exit.PASS
    assert json.loads(out)["base.bore"] == [62, 110]


def test_what_a_housing_rests_on_can_be_confirmed(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "confirm", HOUSING)
    assert status == Exit.PASS
    assert "flange_turning" in out


def test_a_housing_is_varied(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    varied = ("--vary", "flange.thickness=6,10,14", "--vary", "flange.outline.diameter=120 mm..190 mm:8")
    status, out, err = run(capsys, "study", HOUSING, *varied, *out_to(tmp_path / "study"), "--json")
    assert status == Exit.PASS, err
    found = json.loads(out)
    assert found["combinations"] == 24
    assert found["left_out"] == ""  # all at once, and nothing that a strut's arms would ask
    # Under a quarter of the 30 mm shaft fails, so 10 mm is the lightest; an outline of 120 leaves no edge outside the
    # circle of 142.
    assert found["lightest"]["flange.thickness"] == 10
    assert found["lightest"]["flange.outline.diameter"] >= 170
    status, _, err = run(capsys, "study", HOUSING, *("--vary", "palm.thickness=8,9"), *out_to(tmp_path / "other"))
    assert status == Exit.UNUSABLE
    assert "no parameter is called palm.thickness" in err


def test_a_housing_s_words_are_varied_one_by_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    varied = ("--vary", "bolts.fastener=stud,lag_screw,through_bolt", "--out", str(tmp_path / "study"))
    status, out, _ = run(capsys, "study", HOUSING, *varied)
    assert status in (Exit.PASS, Exit.FAILURE)  # through bolts say nothing to `bolts.engaged`, so that one is not built
    assert "resolved one by one" in out


def test_a_hanger_is_varied(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """All at once, more than could be resolved one by one."""
    varied = ("--vary", "web.thickness=16,20", "--vary", "cap.ear_out=44..64:1001", "--passing")
    status, out, err = run(capsys, "study", HANGER, *varied, *out_to(tmp_path / "study"), "--json")
    assert status == Exit.PASS, err
    found = json.loads(out)
    assert found["combinations"] == 2 * 1001
    # The bolts stand 40 out and want 1.5 times their 8 mm outside them.
    assert found["lightest"]["cap.ear_out"] == 52


@pytest.mark.parametrize("name", [HOUSING, HANGER])
def test_housings_go_through_the_benchmark(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    few = ("--largest", "1000", "--workers", "1", "--json")
    status, out, _ = run(capsys, "benchmark", name, *few)
    assert status == Exit.PASS
    assert json.loads(out)[0]["checks"] > 60
