"""What a file says twice, or does not say: engine and shaft speed, and checks that want an input."""

from __future__ import annotations

import json
from pathlib import Path

import checks_support as trial
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import SETS, SHAFTED, every, of_every_kind, sets_of

from strutwright import cli, show
from strutwright.errors import Exit
from strutwright.exporters.web import report
from strutwright.job import run_checks
from strutwright.models import rules
from strutwright.models.finding import Finding, Verdict, lacking, worst
from strutwright.models.resolve import Resolved, resolve
from strutwright.params import strict_yaml
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError


def without(name: str, *groups: str) -> Resolved:
    """Return a shipped set with whole groups, or `group.value`, taken out."""
    data = strict_yaml.read_file(shipped()[name]).data
    for path in groups:
        at, _, key = path.rpartition(".")
        (data.get(at, {}) if at else data).pop(key, None)  # type: ignore[union-attr]
    return resolve(loads(json.dumps(data)))


# --- shaft speed by engine and gear ---------------------------------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(engine=st.floats(1, 12000), ratio=st.floats(0.3, 12))
def test_the_shaft_turns_as_engine_and_gear_make_it(engine: float, ratio: float) -> None:
    """One turn of the shaft is `gear_ratio` turns of the engine (definition)."""
    made = trial.read(trial.said("single", {"duty": {"engine_speed": engine, "gear_ratio": ratio}}))
    assert made.strut.duty.shaft_rpm == pytest.approx(engine / ratio, rel=1e-6)
    record = next(r for r in made.records if r.path == "duty.shaft_speed")
    assert (record.origin, record.unit) == ("derived", "rpm")


@pytest.mark.parametrize(
    ("duty", "third", "value"),
    [
        ({"shaft_speed": 1300, "engine_speed": 2600}, "duty.gear_ratio", 2.0),
        ({"shaft_speed": 1300, "gear_ratio": "2.5"}, "duty.engine_speed", 3250.0),
    ],
)
def test_the_third_of_the_speeds_is_worked_out(duty: dict[str, object], third: str, value: float) -> None:
    made = trial.read(trial.said("single", {"duty": duty}))
    assert next(r for r in made.records if r.path == third).value == pytest.approx(value)
    assert made.strut.duty.shaft_rpm == 1300


@pytest.mark.parametrize(
    ("given_", "asked"), [({"engine_speed": 2600}, "gear_ratio"), ({"gear_ratio": 2}, "engine_speed")]
)
def test_half_of_engine_and_gear_is_told(given_: dict[str, float], asked: str) -> None:
    with pytest.raises(ParameterError) as told:
        trial.read(trial.said("single", {"duty": given_}))
    assert [p.path for p in told.value.problems] == [f"duty.{asked}"]
    assert "shaft_speed" in told.value.problems[0].advice


@pytest.mark.parametrize("name", every(SHAFTED, 4))
@pytest.mark.parametrize(
    ("off", "verdict"), [(1.0, Verdict.OK), (1.005, Verdict.OK), (0.98, Verdict.WARN), (1.2, Verdict.FAIL)]
)
def test_two_shaft_speeds_that_disagree_are_told(name: str, off: float, verdict: Verdict) -> None:
    """Limits: 1 % and 5 %, common practice, no source. The speed given is the one that is taken."""
    data = strict_yaml.read_file(shipped()[name]).data
    speed = resolve(loads(json.dumps(data))).strut.duty.shaft_rpm
    assert speed is not None
    data["duty"].update({"engine_speed": 2.5 * speed * off, "gear_ratio": 2.5})  # type: ignore[union-attr]
    made = resolve(loads(json.dumps(data)))
    found = [f for f in run_checks(made) if f.code == "shaft_speed_agrees"]
    assert [f.verdict for f in found] == [verdict]
    assert made.strut.duty.shaft_rpm == speed
    if verdict is not Verdict.OK:
        assert "which is used" in found[0].what
        assert "gear_ratio" in found[0].advice


@pytest.mark.parametrize(("name", "rpm", "metres"), [("harbour-launch", 1300.0, 0.48)])
def test_tip_speed_is_a_hint(name: str, rpm: float, metres: float) -> None:
    """pi D n: 32.67 m/s for 0.48 m at 1300 a minute; a usual limit from memory never passes or fails."""
    found = next(f for f in run_checks(without(name)) if f.code == "tip_speed")
    assert found.actual == pytest.approx(3.14159265 * metres * rpm / 60, rel=1e-6)
    assert found.actual == pytest.approx(32.67, abs=0.01)
    assert (found.verdict, found.unit) == (Verdict.HINT, "m/s")
    assert "low confidence" in found.standing.value
    assert "32.67" not in found.measure("in")  # an inch file reads feet a second
    assert "107.2 ft/s" in found.measure("in")


# --- what cannot be judged ------------------------------------------------------------------------------------------


def said_to_want(findings: list[Finding]) -> set[str]:
    """Return the paths of the two lines."""
    told = lacking(findings)
    if told is None:
        return set()
    return {
        f"{group}.{name}"
        for part in told[1].split("; ")
        for group, names in [part.split(": ")]
        for name in names.split(", ")
    }


@pytest.mark.parametrize("name", of_every_kind(SHAFTED, 4))
def test_what_could_not_be_judged_is_counted_and_named(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without power and propeller nothing that needs them passes: it is counted, and the status is not 0.

    A hanger carries no propeller, and between two bearings its file has to say their span: it lacks the shaft's speed.
    """
    hanger = name in sets_of("shaft_hanger")
    span = () if hanger else ("shaft.bearing_span",)
    whole, bare = run_checks(without(name)), run_checks(without(name, "propeller", "duty", *span))
    told = (Verdict.HINT, Verdict.INFORMATION)
    codes = {f.code for f in whole if f.verdict not in (*told, Verdict.NOT_CHECKED)}
    not_made = [f for f in bare if f.verdict is Verdict.NOT_CHECKED]
    assert len(not_made) >= (1 if hanger else 10)
    assert all(f.missing and f.parameter == f.missing[0] and "not given" in f.what for f in not_made)
    # What was judged with the inputs is, without them, judged still or not checked: it never goes over to the hints.
    assert {f.code for f in bare if f.missing and f.verdict in told} & codes == set()
    assert codes - {f.code for f in bare} == set()
    wanted = {"duty.shaft_speed"} | (set() if hanger else {"propeller.diameter", "duty.power", *span})
    assert wanted <= said_to_want(bare)
    path = tmp_path / "bare.yaml"
    data = strict_yaml.read_file(shipped()[name]).data
    data.pop("propeller", None)
    data.pop("duty")
    path.write_text(json.dumps(data), encoding="utf-8")
    status = cli.main(["check", str(path)])
    out = capsys.readouterr().out
    assert status == Exit.WARNINGS
    assert out.count("NOT CHECKED") == 1, out
    assert " 0 not checked" not in out
    assert out.count("propeller:") == (not hanger)
    capsys.readouterr()
    assert cli.main(["check", str(path), "--json"]) == Exit.WARNINGS
    said = json.loads(capsys.readouterr().out)
    assert any(("duty.shaft_speed" if hanger else "propeller.mass") in f["missing"] for f in said["findings"])
    assert said["exit"] == 1
    assert len(said["not_said"]) == 2


@pytest.mark.parametrize("name", every(SETS, 2))
def test_shipped_sets_want_for_nothing(name: str) -> None:
    assert [f.what for f in run_checks(without(name)) if f.missing or f.verdict is Verdict.NOT_CHECKED] == []


def test_the_two_lines_are_two_at_the_usual_width(monkeypatch: pytest.MonkeyPatch) -> None:
    from strutwright import show

    monkeypatch.setattr(show, "wide", lambda: 120)
    bare = run_checks(without("harbour-launch", "propeller", "duty", "shaft.bearing_span", "hull.thickness"))
    lines = show.findings_text(bare, "mm", every=False).splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("NOT CHECKED"))
    assert lines[at].endswith("because the file does not say")
    assert "duty: boat_speed, power, shaft_speed; hull: thickness; propeller:" in " ".join(lines[at + 1 : at + 3])
    told = next(i for i, line in enumerate(lines) if "hints lack data; `strutwright check FILE --every`" in line)
    assert told in (at + 2, at + 3)
    assert " checks: " in lines[told + 1]
    assert "lack data;" not in show.findings_text(bare, "mm", every=True)
    every = show.findings_text(bare, "mm", every=True)
    assert every.count("NOT CHECKED") > 10  # one by one where everything is asked for


def test_figures_alone_that_want_an_input_do_not_change_the_status(tmp_path: Path) -> None:
    """The least bolt length is information: without the hull's thickness it is told as wanting, and nothing fails."""
    data = strict_yaml.read_file(shipped()["harbour-launch"]).data
    del data["hull"]["thickness"]  # type: ignore[attr-defined]
    measured = {"normal": "90 kN/mm", "tilt_along": "1500 kN m/rad", "tilt_across": "600 kN m/rad"}
    data["hull"]["stiffness"] = measured  # type: ignore[index]     # by which it moves, however thick it is
    data["bolts"]["kind"] = "plain"  # type: ignore[index]     # of others it is checked whether they can be put in
    data["bolts"]["size"] = "M10"  # type: ignore[index]     # under plain heads as strong as M12 sunk ones
    path = tmp_path / "thin.yaml"
    path.write_text(json.dumps(data), encoding="utf-8")
    resolved = resolve(load(path))
    found = [f for f in run_checks(resolved) if f.code != "grounding_hull"]  # which does want it
    assert worst(found) is Verdict.OK
    text = show.findings_text(found, "mm", every=False)
    assert "1 figure not worked out, because the file does not say\n            hull: thickness" in text


def test_the_report_names_what_is_wanting() -> None:
    bare = run_checks(without("coastal-pair", "propeller", "duty"))
    made = report.Report(
        name="n",
        drawing_number="d",
        revision="A",
        hand="port",
        units="mm",
        version="0",
        parameters_name="f",
        parameters_sha256="0" * 64,
        findings=tuple(bare),
        values=(),
        weights=(),
        cautions=(),
    )
    count = sum(f.verdict is Verdict.NOT_CHECKED for f in bare)
    assert made.verdict in (Verdict.WARN, Verdict.FAIL)
    for text in (report.report_text(made), report.report_html(made)):
        assert f"{count} checks could not be made" in " ".join(text.split())
        assert "propeller: blades, diameter" in " ".join(text.split())
    assert json.loads(report.report_json(made))["not_said"] == list(lacking(bare) or ())


def test_an_own_load_case_that_cannot_be_answered_does_not_pass() -> None:
    made = trial.read(trial.said("single", {"loads": {"cases": [{"name": "rope", "terms": [{"source": "force"}]}]}}))
    found = [f for f in run_checks(made) if "own load case rope" in f.what]
    assert found
    assert {f.verdict for f in found} == {Verdict.NOT_CHECKED}
    assert all("give its `force`" in f.why for f in found)


# --- faults of the program ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("bolt", ["M12", "M7"], ids=["sound", "faulty"])
@pytest.mark.parametrize("bug", [KeyError, ZeroDivisionError, ValueError, AttributeError])
def test_a_bug_in_a_rule_is_never_told_as_a_fault_of_the_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, bug: type[Exception], bolt: str
) -> None:
    """Neither in a sound file nor in one with a fault of its own (no table has an M7)."""

    def broken(*_: object) -> None:
        raise bug("made up")

    data = strict_yaml.read_file(shipped()["harbour-launch"]).data
    data["bolts"]["size"] = bolt  # type: ignore[call-overload,index]
    file = tmp_path / "set.yaml"
    file.write_text(json.dumps(data), encoding="utf-8")
    assert (cli.main(["check", str(file)]) == Exit.UNUSABLE) is (bolt == "M7")
    monkeypatch.setattr(rules, "fillet_mm", broken)
    capsys.readouterr()
    assert cli.main(["check", str(file)]) == Exit.INTERNAL
    assert "a fault of the program" in capsys.readouterr().err


def test_a_fault_that_takes_a_part_away_still_lets_the_others_be_told() -> None:
    """No wall, so no barrel; bolts, skeg and hull are looked at all the same."""
    data = strict_yaml.read_file(shipped()["yawl-with-heel"]).data
    data["barrel"] = {"bore": 60, "outside_diameter": 50}
    data["bolts"]["size"] = "M7"  # type: ignore[call-overload,index]
    data["skeg"]["root_forward"] = 0.5  # type: ignore[call-overload,index]
    del data["hull"]["drop"]["square_to_shaft"]  # type: ignore[call-overload,index]
    with pytest.raises(ParameterError) as caught:
        resolve(loads(json.dumps(data)))
    told = {p.path for p in caught.value.problems}
    assert told >= {"barrel.outside_diameter", "bolts.size", "skeg.root_forward", "hull.drop"}
