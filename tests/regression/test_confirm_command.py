"""`confirm` records what was read beside the sets, touches nothing when it cannot, and every command goes by it."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from command_line_support import HARBOUR, run
from guard_tasks import limit_in_force

from strutwright import cli
from strutwright.confirm_command import EXAMPLE
from strutwright.errors import Exit
from strutwright.guard import Guard
from strutwright.params import readings
from strutwright.params.confirmations import FILE_NAME, read_text
from strutwright.params.readings import Readings

READ = ("--edition", "Rules 2024", "--clause", "3-2-7/5", "--by", "A. Fitter", "--date", "2026-03-04")


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    """A set in a folder of its own."""
    path = tmp_path / "mine.yaml"
    path.write_text(HARBOUR, encoding="utf-8")
    return path


def confirm(capsys: pytest.CaptureFixture[str], mine: Path, words: str) -> tuple[int, str, str]:
    """Record what the words name, as read by READ."""
    return run(capsys, "confirm", str(mine), *words.split(), *READ)


def findings(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, dict[str, dict[str, object]]]:
    """Return the exit status of a check and the last finding of each code."""
    status, out, err = run(capsys, "check", *arguments, "--json")
    assert not err
    return status, {f["code"]: f for f in json.loads(out)["findings"]}


def test_what_was_read_is_used_from_then_on(capsys: pytest.CaptureFixture[str], mine: Path) -> None:
    """A palm of 14 mm on a shaft of 35 is 0.4 of it."""
    before, found = findings(capsys, str(mine))
    palm = found["palm_thickness"]
    assert (before, palm["verdict"], palm["demanded"]) == (Exit.PASS, "ok", 8.75)
    status, out, _ = confirm(capsys, mine, "palm_thickness --value 0.41 --breach failure")
    assert status == Exit.PASS
    assert "palm_thickness: confirmed by the user against Rules 2024, 3-2-7/5 (A. Fitter, 2026-03-04)" in out
    after, found = findings(capsys, str(mine))
    palm = found["palm_thickness"]
    assert (after, palm["verdict"], palm["demanded"]) == (Exit.FAILURE, "failure", pytest.approx(14.35))
    assert palm["standing"] == "published"
    assert palm["source"] == "confirmed by the user against Rules 2024, 3-2-7/5 (A. Fitter, 2026-03-04)"
    # A file of limits that is given for one command counts before it.
    own = mine.with_name("own.yaml")
    own.write_text("palm_thickness: 0.3\n", encoding="utf-8")
    status, found = findings(capsys, str(mine), "--limits", str(own))
    assert (status, found["palm_thickness"]["demanded"]) == (Exit.PASS, pytest.approx(10.5))
    assert "limits" in str(found["palm_thickness"]["source"])


def test_sizes_left_out_follow_what_was_read(capsys: pytest.CaptureFixture[str], mine: Path) -> None:
    confirm(capsys, mine, "barrel_wall --value 0.5")
    _, out, _ = run(capsys, "values", str(mine), "--json")
    values = {r["path"]: r["value"] for r in json.loads(out)}
    assert values["barrel.wall"] >= 17.5


def test_lines_are_added_and_nothing_else_changes(capsys: pytest.CaptureFixture[str], mine: Path) -> None:
    """Comments and line ends of an existing file stay; of one thing the last line counts; same words, same bytes."""
    file = mine.with_name(FILE_NAME)
    old = (
        b"\xef\xbb\xbf# our own words\r\nreadings:\r\n    # walls\r\n"
        b'    - {limit: barrel_wall, edition: "a", clause: \'b\', by: c, date: "2026-01-01"}  # first\r\n'
    )
    file.write_bytes(old)
    confirm(capsys, mine, "barrel_wall check:bolt_attack --breach failure")
    new = file.read_bytes()
    assert new.startswith(old)
    added = new[len(old) :].decode()
    assert added.count("\r\n    - {"[2:]) == added.count("\r\n") == 2
    assert [r.called for r in read_text(new.decode("utf-8-sig"), "").listed()] == ["barrel_wall", "bolt_attack"]
    assert read_text(new.decode("utf-8-sig"), "").limits()["barrel_wall"].edition == "Rules 2024"
    file.write_bytes(old)
    confirm(capsys, mine, "barrel_wall check:bolt_attack --breach failure")
    assert file.read_bytes() == new
    assert [p.name for p in sorted(mine.parent.iterdir())] == [FILE_NAME, "mine.yaml"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["barel_wall"], "no limit or check is called so; write `barrel_wall`"),
        (["shaft_critical"], "write limit:shaft_critical or check:shaft_critical"),
        (["limit:bolt_attack"], "no limit or check is called so"),
        (["material/C95800"], "no table is called material; write `materials`"),
        (["materials"], "say which row was read, such as materials/316L"),
        (["materials/C9580"], "table materials has no row C9580; write `C95800`"),
        (["materials/C95800", "--columns", "yeld"], "given:   yeld"),
        (["materials/C95800", "--value", "yield=9999"], "materials/C95800.values: makes no sense for yield"),
        (["materials/C95800", "--value", "250"], "takes COLUMN=VALUE"),
        (["barrel_wall", "--value", "-1"], "barrel_wall.value: makes no sense as a limit"),
        (["barrel_wall", "--value", "a quarter"], "is not a plain number"),
        (["barrel_wall", "--value", "nan"], "is not a plain number"),
        (["bolt_attack", "--value", "3"], "takes no value"),
        (["barrel_wall", "--date", "4.3.2026"], "barrel_wall.date: is not a date"),
        (["barrel_wall", "--clause", "a\nb"], "barrel_wall.clause: is not one short line"),
        (["barrel_wall", "--by", ""], "give --by"),
        (["barrel_wall", "palm_thickness", "--value", "0.3"], "name one thing that it is the value of"),
    ],
)
@pytest.mark.parametrize("there", [False, True])
def test_what_cannot_be_recorded_leaves_everything_as_it_is(
    capsys: pytest.CaptureFixture[str], mine: Path, there: bool, words: list[str], told: str
) -> None:
    file = mine.with_name(FILE_NAME)
    if there:
        confirm(capsys, mine, "palm_thickness")
    before = file.read_bytes() if there else None
    names = next((k for k, word in enumerate(words) if word.startswith("--")), len(words))
    status, out, err = run(capsys, "confirm", str(mine), *words[:names], *READ, *words[names:])
    assert (status, out) == (Exit.UNUSABLE, "")
    assert told in err
    assert (file.read_bytes() if there else None) == before
    assert file.exists() is there


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("readings: []\n", "does not end in its list of readings"),
        ("readings:\n  - {limit: barrel_wal}\n", ":2:13: readings[0].limit: is not the name of a limit"),
        ("limits: {}\n", ":1:1: limits: is not known here"),
        ("readings:\n  - a\n", ":2:5: readings[0]: is not a reading"),
        ("readings: [\n", "is not YAML"),
    ],
)
def test_a_file_that_cannot_be_used_is_told_and_stays(
    capsys: pytest.CaptureFixture[str], mine: Path, text: str, told: str
) -> None:
    file = mine.with_name(FILE_NAME)
    file.write_text(text, encoding="utf-8")
    status, _, err = confirm(capsys, mine, "barrel_wall")
    assert status == Exit.UNUSABLE
    assert told in err
    assert file.read_text(encoding="utf-8") == text
    if text != "readings: []\n":  # nothing was read by it, which is no fault
        assert run(capsys, "check", str(mine))[0] == Exit.UNUSABLE


def test_nothing_is_written_beside_a_shipped_set(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    status, _, err = run(capsys, "confirm", "harbour-launch", "barrel_wall", *READ)
    assert status == Exit.UNUSABLE
    assert "name a file with --confirmations" in err
    file = tmp_path / "ours.yaml"
    named = ("--confirmations", str(file))
    run(capsys, "confirm", "harbour-launch", "barrel_wall", *READ, *named, *("--value", "0.3"))
    _, found = findings(capsys, "harbour-launch", *named)
    assert found["barrel_wall"]["demanded"] == pytest.approx(10.5)
    assert findings(capsys, "harbour-launch")[1]["barrel_wall"]["demanded"] == 8.75


def test_the_list_has_what_is_from_memory_most_used_first(capsys: pytest.CaptureFixture[str], mine: Path) -> None:
    def listed() -> tuple[list[str], list[int], list[str]]:
        status, out, _ = run(capsys, "confirm", str(mine), "--json")
        assert status == Exit.PASS
        said = json.loads(out)
        items = said["from_memory"]
        assert all(c["words"].endswith("Rules 2024, 3-2-7/5 (A. Fitter, 2026-03-04)") for c in said["confirmed"])
        return [i["name"] for i in items], [i["findings"] for i in items], [c["name"] for c in said["confirmed"]]

    names, counts, read = listed()
    assert counts == sorted(counts, reverse=True)
    assert not read
    assert {"load_factor", "propeller_entrained", "clearance_worn_groove", "materials/316L"} <= set(names)
    assert "materials/C95800" not in names  # its strength was read, and what is from memory of it moves nothing
    confirm(capsys, mine, "load_factor clearance_worn_groove materials/316L")
    left, _, read = listed()
    assert set(names) - set(left) == set(read) == {"load_factor", "clearance_worn_groove", "materials/316L"}


def test_the_example_is_the_one_of_the_readme() -> None:
    assert EXAMPLE in (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


def test_outputs_are_told_apart_by_what_was_read(tmp_path: Path) -> None:
    own = tmp_path / "own.yaml"
    own.write_text("barrel_wall: 0.3\n", encoding="utf-8")
    seen = set()
    for known in (readings.NONE, Readings({}, "a" * 64), Readings({}, "b" * 64)):
        with readings.in_force(known):
            seen |= {cli.limits_sha256(None), cli.limits_sha256(str(own))}
    assert len(seen) == 6


def test_the_kernels_process_goes_by_what_was_read(monkeypatch: pytest.MonkeyPatch) -> None:
    tests = Path(__file__).parents[1]  # where the worker finds the task
    monkeypatch.setenv("PYTHONPATH", str(tests), prepend=os.pathsep)
    text = 'readings:\n- {limit: barrel_wall, value: 0.31, edition: "a", clause: "b", by: "c", date: "2026-01-01"}\n'
    with readings.in_force(read_text(text, "")), Guard(kernel=False) as guard:
        assert guard.run(limit_in_force, lambda: ("barrel_wall",)) == 0.31
