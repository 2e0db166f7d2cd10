"""Exit statuses and what commands print: whole messages, no traceback."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from command_line_support import HARBOUR, run

from strutwright import cli, sizing_commands
from strutwright.errors import Exit
from strutwright.models.resolve import resolve
from strutwright.params import explain, tables
from strutwright.params.loader import load, shipped

# --- exit statuses --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "status"),
    [
        ("harbour-launch", Exit.PASS),
        ("day-cruiser", Exit.PASS),
        ("canal-tender", Exit.PASS),
        ("work-launch-vee", Exit.WARNINGS),
        ("failing/thin-and-crowded", Exit.FAILURE),
        ("failing/many-faults", Exit.UNUSABLE),
    ],
)
def test_check_tells_by_its_exit_status(capsys: pytest.CaptureFixture[str], name: str, status: Exit) -> None:
    got, out, err = run(capsys, "check", name)
    assert got == status
    assert bool(err) == (status is Exit.UNUSABLE)
    assert ("Guidance only" in out) == (status is not Exit.UNUSABLE)


def test_check_as_json_agrees_with_its_exit_status(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "check", "failing/thin-and-crowded", "--json")
    said = json.loads(out)
    assert said["exit"] == status == Exit.FAILURE
    verdicts = [f["verdict"] for f in said["findings"]]
    assert verdicts.count("failure") >= 4
    # Hints over their limit stand before what is within, the others after it.
    over = [
        f["verdict"] == "hint" and f["limit_is"] != "text" and (f["utilisation"] is None or f["utilisation"] > 1.0)
        for f in said["findings"]
    ]
    order = ["failure", "warning", "not checked", "over", "ok", "hint", "information"]
    places = [order.index("over" if o else v) for v, o in zip(verdicts, over, strict=True)]
    assert places == sorted(places)
    assert any(over)
    assert "approved" not in out.lower()


def test_faults_of_a_file_are_told_all_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, "check", "failing/many-faults")
    assert (status, out) == (Exit.UNUSABLE, "")
    assert err.startswith("strutwright: 9 faults in failing/many-faults; nothing was written\n")
    assert err.count("many-faults.yaml:") == 9


@pytest.mark.parametrize("command", ["check", "values", "build", "compare"])
@pytest.mark.parametrize("what", ["missing", "folder", "binary", "empty", "nul", "long", "device"])
def test_what_is_no_set_is_told_plainly(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: str, what: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "binary").write_bytes(bytes(range(256)))
    (tmp_path / "empty").write_bytes(b"")
    (tmp_path / "folder").mkdir()
    name = {"nul": "a\0b", "long": "x" * 5000, "device": "/dev/zero"}.get(what, what)
    before = sorted(tmp_path.rglob("*"))
    status, out, err = run(capsys, command, name, *(["harbour-launch"] if command == "compare" else []))
    assert (status, out) == (Exit.UNUSABLE, "")
    assert err.startswith("strutwright: ")
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_unreadable_file(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(HARBOUR, encoding="utf-8")
    path.chmod(0)
    status, _, err = run(capsys, "check", str(path))
    assert status == Exit.UNUSABLE
    assert "cannot be read" in err


def test_unreadable_file_whoever_runs(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(HARBOUR, encoding="utf-8")

    def denied(self: Path) -> bytes:
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(Path, "read_bytes", denied)
    status, _, err = run(capsys, "check", str(path))
    assert status == Exit.UNUSABLE
    assert "cannot be read (Permission denied)" in err


def test_near_miss_of_a_shipped_name(capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = run(capsys, "check", "harbor-launch")
    assert status == Exit.UNUSABLE
    assert "did you mean harbour-launch?" in err


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["chek", "x"],
        ["check"],
        ["build", "x", "--only", "nothing"],
        ["check", "harbour-launch", "--evry"],
        ["build", "harbour-launch", "--out"],
        ["sets", "x"],
    ],
)
def test_wrong_words_on_the_command_line(capsys: pytest.CaptureFixture[str], arguments: list[str]) -> None:
    status, out, err = run(capsys, *arguments)
    assert (status, out) == (Exit.UNUSABLE, "")  # 2 would say that a check fails
    assert "usage: strutwright" in err


def test_program_faults_are_told_as_such(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("made up")

    monkeypatch.setattr(cli, "resolved", broken)
    assert cli.main(["check", "harbour-launch"]) == Exit.INTERNAL
    out, err = capsys.readouterr()
    assert out == ""
    assert "a fault of the program" in err
    assert "ZeroDivisionError: made up" in err
    assert "Traceback" not in err


def test_a_terminal_without_the_degree_sign_stops_nothing() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "strutwright", "meaning", "arms.rake"],
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONIOENCODING": "ascii", "LC_ALL": "C"},
        text=True,
        encoding="ascii",
    )
    assert done.returncode == 0
    assert "units" in done.stdout or "deg" in done.stdout
    assert done.stderr == ""


# --- meaning, values, compare, sets, tables -------------------------------------------------------------------------


def test_meaning_knows_every_path(capsys: pytest.CaptureFixture[str]) -> None:
    paths = explain.all_paths()
    assert len(paths) > 200
    for path in ("", *paths):
        status, out, err = run(capsys, "meaning", path)
        assert (status, err) == (0, "")
        first, *rest = out.split("\n")
        assert first.startswith(f"{path or 'a parameter file'}: ")
        assert len(first) > len(path) + 4, path
        assert rest


@pytest.mark.parametrize(
    ("path", "near"),
    [
        ("barrel.wal", "barrel.wall"),
        ("hull.deadrize", "hull.deadrise"),
        ("nonsense", ""),
        ("shaft.diameter.x", ""),
        ("\x1b[31m", ""),
        ("[", ""),
    ],
)
def test_meaning_of_what_is_not_there(capsys: pytest.CaptureFixture[str], path: str, near: str) -> None:
    status, out, err = run(capsys, "meaning", path)
    assert (status, out) == (Exit.UNUSABLE, "")
    assert near in err
    assert err.replace("\n", "").isprintable()


@pytest.mark.parametrize("name", [n for n in shipped() if n != "failing/many-faults"])
def test_values_print_every_record(capsys: pytest.CaptureFixture[str], name: str) -> None:
    records = resolve(load(shipped()[name])).records
    status, out, _ = run(capsys, "values", name)
    assert status == 0
    assert [row.split()[0] for row in out.strip().split("\n")] == [r.path for r in records]
    status, out, _ = run(capsys, "values", name, "--json")
    assert [(r["path"], r["value"]) for r in json.loads(out)] == [(r.path, r.value) for r in records]


def test_values_of_an_inch_file_show_both_units(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "values", "day-cruiser")
    row = next(r for r in out.split("\n") if r.startswith("shaft.diameter "))
    assert "1.0000 in (25.400 mm)" in row


def test_compare_shows_what_differs_and_only_that(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(HARBOUR.replace("  thickness: 16\n", "  thickness: 20\n"), encoding="utf-8")
    status, out, _ = run(capsys, "compare", "harbour-launch", str(path))
    assert status == 0
    (row,) = out.strip().split("\n")
    assert row.split() == ["hull.thickness", "16", "mm", "->", "20", "mm", "(+25.0", "%)"]
    _, out, _ = run(capsys, "compare", "harbour-launch", str(path), "--json")
    assert json.loads(out) == {"hull.thickness": [16.0, 20.0]}
    _, out, _ = run(capsys, "compare", "harbour-launch", "harbour-launch")
    assert out.strip() == "the two sets resolve to the same values"


def test_sets_lists_all_with_their_first_line(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "sets")
    assert status == 0
    assert [row.split()[0] for row in out.strip().split("\n")] == list(shipped())
    assert all(len(row.split(maxsplit=1)[1]) > 30 for row in out.strip().split("\n"))
    _, out, _ = run(capsys, "sets", "--json")
    assert list(json.loads(out)) == list(shipped())


def test_tables_print(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "tables")
    assert [row.split()[0] for row in out.strip().split("\n")] == list(tables.names())
    for name in tables.names():
        assert run(capsys, "tables", name)[0] == 0
        _, out, _ = run(capsys, "tables", name, "--json")
        assert len(json.loads(out)["rows"]) == len(tables.table(name).rows)
    status, _, err = run(capsys, "tables", "thread_metric")
    assert status == Exit.UNUSABLE
    assert "threads_metric" in err


def test_size_that_is_told_nothing_shows_how_to_say_it(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, "size")
    assert (status, out) == (Exit.UNUSABLE, "")
    assert err.startswith(f"strutwright: say what is known, for example: {sizing_commands.SIZE_EXAMPLE}; ")
    assert sizing_commands.SIZE_EXAMPLE in (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["hull.athwart_tilt", "arms.station", "barrel.bore_upper"])
def test_a_name_that_only_values_tells_is_no_unknown_one(capsys: pytest.CaptureFixture[str], name: str) -> None:
    assert f"\n{name} " in run(capsys, "values", "harbour-launch")[1]
    status, _, err = run(capsys, "meaning", name)
    assert status == Exit.UNUSABLE
    assert err.startswith(f"strutwright: {name} is worked out by the program and cannot be given; ")


def test_a_folder_with_the_name_of_a_set_hides_it_not(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As it is left by a build into a folder of that name."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "day-cruiser").mkdir()
    status, out, err = run(capsys, "check", "day-cruiser")
    assert (status, err) == (Exit.PASS, "")
    assert "0 failures" in out
