"""What a file has to say of the hull before anything is built on it: the side, the run; and which input won."""

from __future__ import annotations

import itertools
import math
import re
from typing import Any

import checks_support as trial
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import STRUTS

from strutwright import cli
from strutwright.exporters.sheets import arrangement, skeg
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models import frames
from strutwright.models.checks import geometry_checks
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sizing import search
from strutwright.models.sizing.known import SizingError
from strutwright.models.solids import Built
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError, Problem

SHIPPED = shipped()
ONE_PALM = ("harbour-launch", "sloop-with-skeg", "yawl-with-heel", "canal-tender", "work-launch-vee")


def problems(text: str) -> list[Problem]:
    with pytest.raises(ParameterError) as caught:
        resolve(loads(text))
    return caught.value.problems


def with_hull(name: str, line: str, hand: str | None = None) -> str:
    """Return the text of a shipped set with a line of the hull put in or in the place of what it says."""
    text = SHIPPED[name].read_text(encoding="utf-8")
    key = line.split(":")[0]
    text = re.sub(rf"^  {key}:.*\n", "", text, flags=re.M)
    if hand is not None:
        text = re.sub(r"^  hand:.*$", f"  hand: {hand}", text, flags=re.M)
    return text.replace("\nhull:\n", f"\nhull:\n  {line}\n" if line.split(":")[1].strip() else "\nhull:\n")


# --- the side -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ONE_PALM)
@pytest.mark.parametrize("deadrise", ["15 deg", "0.5 deg"])
def test_one_palm_on_the_centre_line_of_a_bottom_with_deadrise_is_asked_about(name: str, deadrise: str) -> None:
    text = with_hull(name, f"deadrise: {deadrise}", "centre")
    (fault,) = problems(text)
    lines = text.split("\n")
    assert fault.path == "identity.hand"
    assert lines[fault.line - 1][fault.column - 1 :].startswith("hand:")
    at = re.search(r"hull\.deadrise \((\d+):(\d+)\)", fault.what)
    assert at is not None
    assert lines[int(at[1]) - 1][int(at[2]) - 1 :].startswith("deadrise:")
    for word in ("keel", "port", "starboard"):
        assert word in fault.what
    assert "deadrise: 0" in fault.advice
    assert ("each_arm" in fault.advice) == (name == "work-launch-vee")


@pytest.mark.parametrize("name", ONE_PALM)
def test_on_the_keel_or_with_a_side_it_is_built_as_said(name: str) -> None:
    keel = resolve(loads(with_hull(name, "deadrise: 0", "centre"))).strut
    assert [p.plane.tilt_deg for p in keel.palms] == [0.0]
    for hand, sign in (("port", 1), ("starboard", -1), ("pair", 1)):
        strut = resolve(loads(with_hull(name, "deadrise: 15 deg", hand))).strut
        assert strut.palms[0].plane.tilt_deg * sign == pytest.approx(15, abs=0.5)


@pytest.mark.parametrize("deadrise", [1.0, 10.0, 22.0])
def test_a_palm_on_each_side_of_the_keel_has_deadrise_and_no_hand(deadrise: float) -> None:
    strut = resolve(loads(with_hull("pilot-vee", f"deadrise: {deadrise} deg"))).strut
    port, starboard = (p.plane.tilt_deg for p in strut.palms)
    assert port == -starboard > 0.9 * deadrise


@settings(max_examples=60, deadline=None)
@given(
    hand=st.sampled_from(["centre", "port", "starboard", "pair"]),
    deadrise=st.sampled_from([0.0]) | st.floats(0.01, 40),
    vee=st.booleans(),
    arrangement_=st.sampled_from(["common", "each_arm"]),
)
def test_no_palm_is_laid_flat_against_what_the_file_says(
    hand: str, deadrise: float, vee: bool, arrangement_: str
) -> None:
    """Either each palm's plane is tilted by the deadrise, or the file is refused with a question."""
    change: dict[str, Any] = {
        "identity": {"hand": hand},
        "hull": {"deadrise": deadrise},
        "palm": {"arrangement": arrangement_ if vee else None},
    }
    variant = "vee" if vee else "single"
    if hand == "centre" and deadrise > 0 and not (vee and arrangement_ == "each_arm"):
        with pytest.raises(ParameterError, match="keel, to port or to starboard"):
            trial.strut(variant, change)
        return
    strut = trial.strut(variant, change)
    for palm in strut.palms:
        expected = frames.athwart_tilt_deg(deadrise, 0.0, strut.hull.shaft_to_hull_deg, 1)
        assert abs(palm.plane.tilt_deg) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("arms", ["single", "vee"])
def test_new_asks_for_the_side(arms: str, tmp_path: Any, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "mine.yaml"
    status = cli.main(
        ["start", str(target), "--answer", "hand=centre", "--answer", f"arms={arms}", "--answer", "deadrise=14 deg"]
    )
    if arms == "single":
        assert status == 3
        assert "keel, to port or to starboard" in capsys.readouterr().err
        assert not target.exists()
    else:
        assert status == 0


def test_size_asks_for_the_side(capsys: pytest.CaptureFixture[str]) -> None:
    status = cli.main(
        ["size", "--shaft", "35", "--drop", "300", "--shaft-angle", "9 deg", "--run", "0", "--deadrise", "15 deg"]
    )
    assert status == 3
    assert "keel, to port or to starboard" in capsys.readouterr().err


# --- the run --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", STRUTS)
def test_an_angle_to_the_waterline_or_a_plumb_drop_wants_the_run(name: str) -> None:
    text = with_hull(name, "run:")
    said = loads(SHIPPED[name].read_text(encoding="utf-8")).said.hull
    plumb = said.shaft_angle.to_waterline is not None or said.drop.vertical is not None
    if not plumb or (said.shaft_angle.to_waterline is not None and said.shaft_angle.to_hull is not None):
        hull = resolve(loads(text)).strut.hull
        assert hull.run_known == plumb
        return
    (fault,) = problems(text)
    assert fault.path == "hull.run"
    assert fault.line == text[: text.index("\nhull:\n")].count("\n") + 3
    assert "0 for a bottom that runs level" in fault.allowed
    if said.shaft_angle.to_waterline is not None:
        level, rising = (
            resolve(loads(with_hull(name, f"run: {run}"))).strut.palms[0].plane.pitch_deg for run in (0, 3)
        )
        assert rising - level == pytest.approx(3, abs=1e-9)


@pytest.mark.parametrize(("hull", "skeg_"), [({"drop": {"square_to_shaft": None, "vertical": 400}}, False), ({}, True)])
def test_what_is_measured_from_plumb_wants_the_run_too(hull: dict[str, Any], skeg_: bool) -> None:
    """A vertical drop and a rudder stock raked from the vertical stand on the waterline, and so on the run."""
    change: dict[str, Any] = {"hull": {**hull, "shaft_angle": {"to_waterline": None, "to_hull": 10}, "run": None}}
    if skeg_:
        change["skeg"] = {"heel": {"stock_rake": {"from_square_to_shaft": None, "from_vertical": 5}}}
    variant = "skeg" if skeg_ else "single"
    with pytest.raises(ParameterError) as caught:
        trial.strut(variant, change)
    assert [p.path for p in caught.value.problems] == ["hull.run"]
    assert trial.strut(variant, trial.merged(change, {"hull": {"run": 0}})).hull.run_known


def test_a_run_that_is_not_said_is_told_nowhere() -> None:
    """10 degrees to the hull may be 10 to the waterline or 7: neither values nor sheets say one."""
    open_ = {"hull": {"shaft_angle": {"to_waterline": None, "to_hull": 10}, "run": None}}
    for change, told in ((open_, False), ({"hull": {"run": 0}}, True)):
        found = trial.read(trial.said("skeg", change))
        paths = {r.path for r in found.records}
        for path in ("hull.run", "hull.shaft_angle.to_waterline", "hull.drop.vertical"):
            assert (path in paths) == told, path
        context = SheetContext(found, found.strut, Built("", (), [], 0.0), "0" * 64, "0")
        rows = [r[0] for t in (arrangement._angles(context), arrangement._drops(context)) for r in t.rows]
        assert any("waterline" in r for r in rows) == told
        assert any("vertical" in r and "plane" not in r for r in rows) == told
        heel = found.strut.skeg.heel if found.strut.skeg else None
        assert heel is not None
        assert any("plumb" in k for k in skeg.stock_angles_deg(found.strut, heel)) == told


def test_size_asks_for_the_run(capsys: pytest.CaptureFixture[str]) -> None:
    status = cli.main(["size", "--shaft", "35", "--drop", "300", "--shaft-angle", "9 deg"])
    assert status == 3
    assert "--run" in capsys.readouterr().err
    with pytest.raises(SizingError, match="run of the bottom is not known"):
        search.size(
            {"shaft": {"diameter": 40}, "hull": {"shaft_angle": {"to_waterline": 9}, "drop": {"square_to_shaft": 300}}}
        )


# --- two inputs for one thing ---------------------------------------------------------------------------------------


def records(found: Resolved) -> dict[str, Any]:
    return {r.path: r for r in found.records}


DROPS = ("vertical", "square_to_shaft", "square_to_hull")
OFF = {"vertical": 0.0, "square_to_shaft": 2.5, "square_to_hull": -4.0}


@pytest.mark.parametrize(("first", "second"), list(itertools.combinations(DROPS, 2)))
@pytest.mark.parametrize("at", ["mid", "aft", "forward"])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_worked_out_drop_is_not_called_given(first: str, second: str, at: str, units: str) -> None:
    right = trial.read(trial.said("single", {"hull": {"drop": {"at": at}}})).strut.hull
    fall = {"mid": 0.0, "aft": -103.0, "forward": 103.0}[at] * math.tan(math.radians(right.shaft_to_hull_deg))
    true = {
        "vertical": right.drop_vertical_mm,
        "square_to_shaft": right.drop_square_to_shaft_mm,
        "square_to_hull": right.drop_square_to_hull_mm,
    }
    there = {n: v * (1 - fall / true["square_to_shaft"]) for n, v in true.items()}
    given_ = {first: there[first], second: there[second] + OFF[second]}
    found = trial.read(
        trial.said(
            "single",
            {"hull": {"drop": {"square_to_shaft": None, **{n: f"{v!r} mm" for n, v in given_.items()}, "at": at}}},
        )
    )
    tail = "" if at == "mid" else f"_at_{at}"
    won, lost = (records(found)[f"hull.drop.{n}{tail}"] for n in (first, second))
    assert (won.origin, won.value) == ("given", pytest.approx(given_[first], abs=1e-6))
    assert (lost.origin, lost.value) == ("derived", pytest.approx(there[second], abs=1e-4))
    assert f"from {first}, which governs" in lost.note
    assert f"{abs(OFF[second]):g} mm {'more' if OFF[second] > 0 else 'less'}" in lost.note
    assert [c[0] for c in found.strut.hull.conflicts] == [f"hull.drop.{second}"]
    conflict = trial.of_code(geometry_checks(found.strut), "hull_inputs_agree")[0]
    assert conflict.actual == pytest.approx(abs(OFF[second]), abs=1e-4)


def test_a_worked_out_angle_is_not_called_given() -> None:
    found = trial.read(trial.said("single", {"hull": {"run": 3, "shaft_angle": {"to_waterline": 10, "to_hull": 13.5}}}))
    angle = records(found)["hull.shaft_angle.to_waterline"]
    assert (angle.origin, angle.value) == ("derived", pytest.approx(10.5))
    assert angle.note == "from to_hull, which governs; given as 10 deg, 0.5 deg less"


@pytest.mark.parametrize("name", sorted(SHIPPED))
def test_every_value_called_given_is_the_one_in_the_file(name: str) -> None:
    """Held against the file itself, by its path, for every number of every shipped set."""
    try:
        found = resolve(load(SHIPPED[name]))
    except ParameterError:
        return
    for record in found.records:
        value: Any = found.said
        try:
            for part in record.path.replace("[", ".[").split("."):
                value = value[int(part[1:-1])] if part.startswith("[") else getattr(value, part)
        except (AttributeError, TypeError, IndexError):
            continue
        if record.origin == "given" and isinstance(value, float) and isinstance(record.value, float):
            assert record.value == pytest.approx(value, abs=1e-6), record.path
