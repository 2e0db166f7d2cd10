"""The command line as a person meets it: exit statuses, whole messages, no traceback, no file touched by mistake."""

from __future__ import annotations

import itertools
import json
import os
import random
import re
import select
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path

import pytest
from support import THOROUGH, every, long_run

from strutwright import cli, job, outputs, sizing_commands, starter
from strutwright.errors import Exit
from strutwright.exporters.files.manifest import MANIFEST_NAME, changed_files, read_manifest
from strutwright.exporters.files.step import StepError
from strutwright.models.finding import Finding, Verdict
from strutwright.models.resolve import resolve
from strutwright.params import explain, tables
from strutwright.params.loader import load, loads, shipped

HARBOUR = shipped()["harbour-launch"].read_text(encoding="utf-8")


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    """Return exit status, output and error output of a command; fails on a traceback."""
    try:
        status = cli.main(arguments)
    except SystemExit as stop:
        status = stop.code if isinstance(stop.code, int) else 1
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    assert status != Exit.INTERNAL, err
    return status, out, err


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
    assert verdicts == sorted(verdicts, key=["failure", "warning", "not checked", "ok", "hint"].index)
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
    def broken(_name: str) -> None:
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


# --- stops --------------------------------------------------------------------------------------------------------


def note(words: str = "first", kinds: str = "solids meshes sheets report") -> Callable[[outputs.OneHand], None]:
    """Return a stand-in for building one hand: one file of each kind asked for, in its folder, without the kernel."""

    def one_hand(work: outputs.OneHand) -> None:
        for kind in work.order.what:
            if kind in kinds:
                hand = work.strut.identity.hand
                work.place(f"{kind}/{hand}.txt", f"made {kind}").write_text(f"{words} {kind} {hand}", encoding="utf-8")

    return one_hand


def build(
    capsys: pytest.CaptureFixture[str], folder: Path, *arguments: str, what: str = "harbour-launch"
) -> tuple[int, str, str]:
    status, out, err = run(capsys, "build", what, "--out", str(folder), *arguments)
    return status, out, err


def inside(folder: Path) -> dict[str, bytes]:
    """Return everything in a folder: path -> content."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def stopping(number: int, how: str) -> Callable[[outputs.OneHand], None]:
    """Return a stand-in for building one hand in the middle of which a stop comes, and is lost in a way seen."""

    def one_hand(work: outputs.OneHand) -> None:
        note("second")(work)
        try:
            os.kill(os.getpid(), number)
            time.sleep(5)
            pytest.fail("the signal did not come")
        except KeyboardInterrupt:
            if how == "comes through":
                raise
            if how == "in an import":
                raise ImportError("initialization failed") from None
            if how == "in the kernel":
                raise StepError("cannot be written") from None
            # else a library swallowed it

    return one_hand


@pytest.mark.usefixtures("heard")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
@pytest.mark.parametrize("how", ["comes through", "in an import", "in the kernel", "swallowed"])
@pytest.mark.parametrize("earlier", [True, False])
def test_a_stop_ends_in_one_sentence_and_moves_nothing(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    number: int,
    how: str,
    earlier: bool,
) -> None:
    folder = tmp_path / "deep" / "out"
    if earlier:
        monkeypatch.setattr(job, "_one_hand", note())
        assert build(capsys, folder)[0] == Exit.PASS
    before, handlers = inside(tmp_path), [signal.getsignal(n) for n in (signal.SIGINT, signal.SIGTERM)]
    monkeypatch.setattr(job, "_one_hand", stopping(number, how))
    status, out, err = build(capsys, folder)
    # 128 and the signal's number is what a shell gives for it.
    assert (status, out, err) == (128 + number, "", "strutwright: stopped; earlier outputs are as they were\n")
    assert inside(tmp_path) == before
    assert list(tmp_path.iterdir()) == ([tmp_path / "deep"] if earlier else [])
    assert [p.name for p in tmp_path.glob("deep/*")] == (["out"] if earlier else [])
    assert [signal.getsignal(n) for n in (signal.SIGINT, signal.SIGTERM)] == handlers


@pytest.mark.usefixtures("heard")
def test_a_stop_between_the_two_moves_waits_for_the_second(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "out"
    monkeypatch.setattr(job, "_one_hand", note())
    assert build(capsys, folder)[0] == Exit.PASS
    monkeypatch.setattr(job, "_one_hand", note("second"))
    rename = Path.rename

    def stopped(self: Path, other: Path) -> Path:
        os.kill(os.getpid(), signal.SIGINT)
        return rename(self, other)

    monkeypatch.setattr(Path, "rename", stopped)
    status, _, err = build(capsys, folder)
    assert (status, err) == (130, f"strutwright: stopped; but {folder} had been written by then\n")
    assert inside(folder)["sheets/centre.txt"] == b"second sheets centre"
    assert changed_files(folder) == []
    assert list(tmp_path.iterdir()) == [folder]


def test_stops_are_heard_where_the_shell_has_them_ignored() -> None:
    """As in a script's background job: the tests of stopping pass there too, and the program itself stays as it was
    told, for a job in the background is not to die of a Ctrl-C that is meant for another."""
    tests = [
        f"{__file__}::test_a_stop_between_the_two_moves_waits_for_the_second",
        f"{__file__}::test_a_stop_ends_in_one_sentence_and_moves_nothing",
    ]
    ignored = signal.SIGINT, signal.SIGTERM, signal.SIGHUP
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:xdist", "-p", "no:cacheprovider", *tests],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).parents[2],
        preexec_fn=lambda: [signal.signal(number, signal.SIG_IGN) for number in ignored],
    )
    assert done.returncode == 0, done.stdout
    code = (
        "import os, signal, sys\nfrom strutwright.exporters.files import stop\n"
        "with stop.listening(to_the_end=True):\n    os.kill(os.getpid(), signal.SIGINT)\nsys.exit(stop.asked())"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], check=False, preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_IGN)
    )
    assert done.returncode == 0


@pytest.mark.usefixtures("heard")
@pytest.mark.parametrize(
    ("number", "status", "later_s"),
    [(signal.SIGINT, 130, 0.0), (signal.SIGINT, 130, 0.3), (signal.SIGINT, 130, 1.5), (signal.SIGTERM, 143, 1.0)],
)
def test_a_stop_of_a_real_build(tmp_path: Path, number: int, status: int, later_s: float) -> None:
    """Anywhere while it imports its libraries and builds, the program is stopped from outside."""
    process = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "strutwright",
            "build",
            "harbour-launch",
            "--only",
            "solids",
            "--only",
            "meshes",
            "--only",
            "sheets",
            "--out",
            "out",
        ],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    end = time.monotonic() + 60
    while not list(tmp_path.iterdir()) and time.monotonic() < end:
        time.sleep(0.01)
    time.sleep(later_s)
    process.send_signal(number)
    out, err = process.communicate(timeout=60)
    assert (process.returncode, out, err) == (status, "", "strutwright: stopped; earlier outputs are as they were\n")
    assert list(tmp_path.iterdir()) == []


# --- the output folder --------------------------------------------------------------------------------------------


@pytest.fixture
def stood_in(monkeypatch: pytest.MonkeyPatch) -> None:
    """Build without the kernel."""
    monkeypatch.setattr(job, "_one_hand", note())


@pytest.mark.usefixtures("stood_in")
@pytest.mark.parametrize("name", ["parameters.yaml", "sheets/centre.txt"])
def test_what_was_changed_by_hand_is_not_overwritten(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, name: str
) -> None:
    folder = tmp_path / "out"
    assert build(capsys, folder)[0] == Exit.PASS
    with (folder / name).open("a", encoding="utf-8") as out:
        out.write("# measured again on Tuesday\n")
    before = inside(tmp_path)
    for arguments in ([], ["--only", "report"]):
        status, out, err = build(capsys, folder, *arguments)
        assert (status, out) == (Exit.UNUSABLE, "")
        assert f"changed by hand since it was written, so nothing was replaced: {name};" in err
        assert inside(tmp_path) == before
    (folder / name).rename(tmp_path / "kept")
    assert build(capsys, folder)[0] == Exit.PASS


@pytest.mark.parametrize("what", [".", "sheets", "sheets/centre.txt"])
@pytest.mark.usefixtures("stood_in")
def test_a_write_protected_folder_is_left_alone(capsys: pytest.CaptureFixture[str], tmp_path: Path, what: str) -> None:
    folder = tmp_path / "out"
    assert build(capsys, folder)[0] == Exit.PASS
    mode = (folder / what).stat().st_mode & 0o777
    (folder / what).chmod(mode & 0o555)
    before = inside(tmp_path)
    status, out, err = build(capsys, folder)
    assert (status, out) == (Exit.UNUSABLE, "")
    assert "is write-protected, so nothing was replaced" in err
    assert inside(tmp_path) == before
    assert (folder / what).stat().st_mode & 0o777 == mode & 0o555
    (folder / what).chmod(mode)
    folder.chmod(0o750)
    assert build(capsys, folder)[0] == Exit.PASS
    assert folder.stat().st_mode & 0o777 == 0o750


def test_what_changes_while_a_build_runs_is_not_overwritten(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "out"
    monkeypatch.setattr(job, "_one_hand", note())
    assert build(capsys, folder)[0] == Exit.PASS

    def slow(work: outputs.OneHand) -> None:
        note("second")(work)
        (folder / "report" / "centre.txt").write_text("mine", encoding="utf-8")

    monkeypatch.setattr(job, "_one_hand", slow)
    for arguments in ([], ["--only", "sheets"]):
        status, _, err = build(capsys, folder, *arguments)
        assert status == Exit.UNUSABLE
        assert "report/centre.txt" in err
    assert inside(folder)["sheets/centre.txt"] == b"first sheets centre"


@pytest.mark.usefixtures("stood_in")
def test_only_keeps_the_other_outputs_of_the_same_parameters(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    folder = tmp_path / "out"
    assert build(capsys, folder)[0] == Exit.PASS
    whole = inside(folder)
    status, out, _ = build(capsys, folder, "--only", "report")
    assert status == Exit.PASS
    assert inside(folder) == whole  # the manifest too
    assert changed_files(folder) == []
    assert "5 files in" in out
    assert "3 of them kept from an earlier build of the same parameters" in out
    assert "nothing was measured again" in out
    status, out, _ = build(capsys, folder, "--only", "solids", "--json")
    said = json.loads(out)
    assert said["kept"] == ["meshes/centre.txt", "report/centre.txt", "sheets/centre.txt"]
    assert (said["removed"], said["measured_again"]) == ([], True)


def test_a_kind_that_could_not_be_made_again_is_kept(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(job, "_one_hand", note())
    build(capsys, tmp_path / "out")
    whole = inside(tmp_path / "out")
    monkeypatch.setattr(job, "_one_hand", note(kinds="report"))
    _, out, _ = build(capsys, tmp_path / "out", "--only", "meshes", "--only", "solids", "--only", "report", "--json")
    said = json.loads(out)
    assert (said["kept"], said["measured_again"]) == (
        ["meshes/centre.txt", "sheets/centre.txt", "solids/centre.txt"],
        False,
    )
    assert inside(tmp_path / "out") == whole


@pytest.mark.usefixtures("stood_in")
def test_only_keeps_the_other_hand(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = tmp_path / "out"
    build(capsys, folder, "--hand", "both", what="coastal-pair")
    whole = inside(folder)
    assert "sheets/starboard.txt" in whole
    build(capsys, folder, "--hand", "port", "--only", "sheets", what="coastal-pair")
    assert inside(folder) == whole
    text = shipped()["coastal-pair"].read_text(encoding="utf-8") + "# another\n"
    (tmp_path / "other.yaml").write_text(text, encoding="utf-8")
    _, out, _ = build(capsys, folder, "--hand", "port", what=str(tmp_path / "other.yaml"))
    assert "meshes of the starboard strut, report of the starboard strut" in out
    assert "sheets/starboard.txt" not in inside(folder)


@pytest.mark.usefixtures("stood_in")
@pytest.mark.parametrize("other", ["parameters", "limits", "version"])
def test_only_leaves_out_what_came_from_something_else_and_says_so(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, other: str
) -> None:
    folder, path, limits = tmp_path / "out", tmp_path / "mine.yaml", tmp_path / "limits.yaml"
    path.write_text(HARBOUR, encoding="utf-8")
    limits.write_text("{}\n", encoding="utf-8")
    build(capsys, folder, what=str(path))
    if other == "parameters":
        path.write_text(HARBOUR + "# changed\n", encoding="utf-8")
    if other == "version":
        monkeypatch.setattr(job, "__version__", "0.0.9")
    arguments = ["--limits", str(limits)] if other == "limits" else []
    status, out, _ = build(capsys, folder, "--only", "report", *arguments, what=str(path))
    assert status == Exit.PASS
    assert (
        "removed, because they came from other parameters, limits or another version of the program: "
        "meshes, sheets, solids\n" in out
    )
    assert sorted(inside(folder)) == [MANIFEST_NAME, "parameters.yaml", "report/centre.txt"]
    assert [e.path for e in read_manifest(folder / MANIFEST_NAME).files] == ["parameters.yaml", "report/centre.txt"]
    # What was made with these is kept the next time.
    status, out, _ = build(capsys, folder, "--only", "sheets", *arguments, what=str(path))
    assert "1 of them kept" in out


def test_a_file_edited_while_it_is_built_is_kept_as_it_was_read(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder, path = tmp_path / "out", tmp_path / "mine.yaml"
    path.write_text(HARBOUR, encoding="utf-8")

    def editing(work: outputs.OneHand) -> None:
        path.write_text(HARBOUR + "# changed\n", encoding="utf-8")
        note()(work)

    monkeypatch.setattr(job, "_one_hand", editing)
    build(capsys, folder, what=str(path))
    assert (folder / "parameters.yaml").read_text(encoding="utf-8") == HARBOUR


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


# --- start ----------------------------------------------------------------------------------------------------------


def answers() -> list[dict[str, str]]:
    """Every combination of the choices, each with four of fifteen shafts and bottoms; the drop is ten diameters."""
    choices = {q.key: q.choices for q in starter.QUESTIONS if q.choices}
    drops = {"20 mm": "200 mm", "1 in": "10 in", "40 mm": "400 mm", "3 in": "30 in", "110 mm": "1100 mm"}
    sizes = list(itertools.product(drops, ("0 deg", "12 deg", "20 deg")))
    shapes = [dict(zip(choices, c, strict=True)) for c in itertools.product(*choices.values())]
    return [
        {
            **shape,
            "shaft": shaft,
            "drop": drops[shaft],
            "deadrise": "0 deg" if shape["hand"] == "centre" and shape["arms"] == "single" else deadrise,
        }
        for i, shape in enumerate(shapes)
        for shaft, deadrise in sizes[i % 4 :: 4]
    ]


def test_start_makes_a_set_without_failures_from_every_answer() -> None:
    combinations = answers()
    assert len({tuple(given.values())[:4] for given in combinations}) == 2 * 4 * 2 * 2
    for given in every(combinations, 7):
        found = resolve(loads(starter.complete(starter.ask(given, None))))
        strut = found.strut
        assert [f.about("mm") for f in job.run_checks(found) if f.fails] == [], given
        assert strut.construction == given["construction"]
        assert strut.identity.pair == (given["hand"] == "pair")
        assert len(strut.arms) == (1 if given["arms"] == "single" else 2)


def plausible(rng: random.Random) -> dict[str, str]:
    """Answers as boats and yards have them, drawn wide: shafts of 14 to 200 mm, drops of 3 to 15 shafts, deadrise to 40
    degrees; about one in eight lies at an angle of shaft to hull that no strut is made for."""
    one = {q.key: rng.choice(q.choices) for q in starter.QUESTIONS if q.choices}
    common = rng.choice([20.0, 25.0, 25.4, 28.575, 30.0, 31.75, 35.0, 38.1, 40.0, 45.0, 50.0, 50.8, 60.0, 63.5, 76.2])
    shaft = rng.choice([common, rng.uniform(14, 200)])
    keel = one["hand"] == "centre" and one["arms"] == "single"
    return {
        **one,
        "shaft": f"{shaft:.5g} mm",
        "drop": f"{shaft * rng.uniform(3, 15):.5g} mm",
        "angle": f"{rng.uniform(-2, 18):.3g} deg",
        "run": f"{rng.choice([0.0, rng.uniform(-3, 7)]):.3g} deg",
        "deadrise": f"{0.0 if keel else rng.choice([0.0, rng.uniform(0, 40)]):.3g} deg",
    }


def attempt(values: starter.Values) -> tuple[str, list[Finding]]:
    """Return the set that is made, or what is told instead and the findings it names."""
    try:
        return starter.complete(values), []
    except starter.UnmetError as error:
        return str(error), error.findings


@pytest.mark.parametrize("seed", every(range(10), 10))
def test_start_makes_no_set_that_fails_its_own_check(seed: int) -> None:
    """It adjusts, or says which answer cannot be met; it does not give up where a set can be made."""
    rng, made, unmet = random.Random(seed), 0, 0
    for _ in range(25):
        given = plausible(rng)
        values = starter.ask(given, None)
        pitch = float(values["angle"]) + float(values["run"])
        text, fails = attempt(values)
        if fails:
            unmet += 1
            assert text.count("answer to change: ") == len(fails)
            codes = {f.code for f in fails}
            steep = not -2 <= pitch <= 20
            assert steep == bool(codes & {"palm_pitch", "palm_pitch_least"}), given
            crowded = given["arms"] == "vee" and (
                float(values["drop"]) < 6 * float(values["shaft"]) or float(values["deadrise"]) > 15
            )
            assert steep or (crowded and codes <= {"palms_apart", "palm_tilt"}), (given, codes)
            continue
        made += 1
        found = resolve(loads(text))
        for hand in found.hands():
            assert [f.about("mm") for f in job.run_checks(found, hand) if f.fails] == [], given
        strut = found.strut
        assert strut.shaft.diameter_mm == pytest.approx(float(values["shaft"]), rel=1e-5)
        assert strut.hull.drop_square_to_shaft_mm == pytest.approx(float(values["drop"]), rel=1e-5)
        assert strut.hull.shaft_to_hull_deg == pytest.approx(pitch, abs=1e-4)
        assert len(strut.arms) == (1 if given["arms"] == "single" else 2)
    assert made > 3 * unmet


@pytest.mark.parametrize(
    ("answers_", "told"),
    [
        ({"angle": "16 deg", "run": "6 deg"}, "angle or run"),
        ({"arms": "vee", "drop": "120 mm"}, "arms (single), or drop"),
        ({"drop": "50 mm"}, "answer to change: drop"),
    ],
)
def test_start_says_which_answer_cannot_be_met_and_writes_nothing(
    answers_: dict[str, str], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "mine.yaml"
    status, out, err = run(
        capsys, "start", str(path), *(w for k, v in answers_.items() for w in ("--answer", f"{k}={v}"))
    )
    assert (status, out) == (Exit.UNUSABLE, "")
    assert told in err
    assert "nothing was written" in err
    assert not path.exists()


def test_start_writes_loads_and_checks(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    status, out, _ = run(
        capsys, "start", str(path), "--answer", "name=My strut", "--answer", "shaft=1 1/4", "--answer", "units=in"
    )
    assert status == 0
    assert str(path) in out
    assert resolve(load(path)).strut.shaft.diameter_mm == pytest.approx(31.75, abs=1e-3)
    assert run(capsys, "check", str(path))[0] in (Exit.PASS, Exit.WARNINGS)


def test_start_like_a_shipped_set_copies_it(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    assert run(capsys, "start", str(path), "--like", "coastal-pair")[0] == 0
    assert path.read_bytes() == shipped()["coastal-pair"].read_bytes()
    status, _, err = run(capsys, "start", str(tmp_path / "other.yaml"), "--like", "costal-pair")
    assert status == Exit.UNUSABLE
    assert "coastal-pair" in err
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("arguments", [[], ["--like", "harbour-launch"]])
def test_start_never_overwrites(capsys: pytest.CaptureFixture[str], tmp_path: Path, arguments: list[str]) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text("mine", encoding="utf-8")
    status, _, err = run(capsys, "start", str(path), *arguments)
    assert status == Exit.UNUSABLE
    assert "already exists and was left as it is" in err
    assert path.read_text(encoding="utf-8") == "mine"


def test_start_does_not_follow_a_link_to_nowhere(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    link = tmp_path / "mine.yaml"
    link.symlink_to(tmp_path / "elsewhere.yaml")
    assert run(capsys, "start", str(link))[0] == Exit.UNUSABLE
    assert not (tmp_path / "elsewhere.yaml").exists()


@pytest.mark.parametrize(
    "answer",
    [
        "shaft",
        "shaft=",
        "shaft=5 mm",
        "shaft=900 mm",
        "shaft=nan",
        "shaft=-40",
        "shaft=x",
        "colour=red",
        "units=cm",
        "hand=up",
        "drop=0",
        "drop=20 mm",
        "drop=1 km",
        "deadrise=89 deg",
        "deadrise=-1",
        "angle=80 deg",
        "name=a/b",
        "name=..",
        "name=a:b",
        'name="x"',
        "name=a\nb",
        "name=" + "x" * 81,
        "=x",
    ],
)
def test_start_refuses_answers_that_make_no_strut(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, answer: str
) -> None:
    path = tmp_path / "mine.yaml"
    status, out, err = run(capsys, "start", str(path), "--answer", answer)
    if answer == "shaft=":  # an empty answer is the default
        assert status == 0
        return
    if answer == "drop=20 mm":  # it can be drawn, but the barrel stands in the hull
        assert "barrel and hull" in err
        assert "answer to change: drop" in err
    assert (status, out) == (Exit.UNUSABLE, "")
    assert err.startswith("strutwright: ")
    assert not path.exists()


@pytest.mark.parametrize("where", ["no/such/folder/mine.yaml", "a\0b", "x" * 400])
def test_start_where_nothing_can_be_written(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, where: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    status, _, err = run(capsys, "start", where)
    assert status == Exit.UNUSABLE
    assert "cannot be written" in err
    assert list(tmp_path.iterdir()) == []


def test_start_reads_answers_that_are_piped_in(tmp_path: Path) -> None:
    said = "Tern\nin\nport\nwelded\nvee\n1 1/4\n\n12 deg\n"  # the drop by default; no line for the deadrise
    done = subprocess.run(
        [sys.executable, "-m", "strutwright", "start", "mine.yaml"],
        input=said,
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    strut = resolve(load(tmp_path / "mine.yaml")).strut
    assert (strut.identity.name, strut.identity.hand, strut.construction, len(strut.arms), strut.file_units) == (
        "Tern",
        "port",
        "welded",
        2,
        "in",
    )
    assert strut.shaft.diameter_mm == pytest.approx(31.75)
    assert strut.hull.shaft_to_waterline_deg == pytest.approx(12)
    assert strut.hull.drop_square_to_shaft_mm == pytest.approx(8 * 25.4)
    assert "Shaft diameter? [1 1/4 in] 1 1/4\n" in done.stdout
    assert "defaults used: drop 8 in, run 0 deg, deadrise 0 deg;" in done.stdout


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("Tern\ncm\n", "units: choose one of mm, in"),
        ("Tern\nin\nport\ncast\nvee\n40\n", "shaft: '40' is outside what can be built; allowed: at most 15.748 in"),
    ],
)
def test_start_refuses_a_piped_answer_that_cannot_be_used(tmp_path: Path, said: str, words: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "strutwright", "start", "mine.yaml"],
        input=said,
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == Exit.UNUSABLE
    assert done.stderr == f"strutwright: {words}; nothing was written\n"
    assert list(tmp_path.iterdir()) == []


def test_start_does_not_wait_for_a_silent_pipe_and_names_the_defaults(tmp_path: Path) -> None:
    reads, writes = os.pipe()
    try:
        done = subprocess.run(
            [sys.executable, "-m", "strutwright", "start", "mine.yaml", "--answer", "units=in"],
            stdin=reads,
            cwd=tmp_path,
            capture_output=True,
            text=True,
            check=False,
            timeout=30,
        )
    finally:
        os.close(reads)
        os.close(writes)
    assert done.returncode == 0
    assert (
        "defaults used: name New strut, hand centre, construction cast, arms single, shaft 1 1/4 in, drop 8 in, "
        "angle 10 deg, run 0 deg, deadrise 0 deg; give others with --answer KEY=VALUE, or answer in a terminal"
        in done.stdout
    )


def test_start_names_no_default_when_all_is_answered(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    answer = [
        w
        for key, value in {
            "name": "a",
            "units": "mm",
            "hand": "port",
            "construction": "cast",
            "arms": "vee",
            "shaft": "40",
            "drop": "300",
            "angle": "9",
            "run": "1",
            "deadrise": "8",
        }.items()
        for w in ("--answer", f"{key}={value}")
    ]
    status, out, _ = run(capsys, "start", str(tmp_path / "mine.yaml"), *answer)
    assert status == 0
    assert "defaults used" not in out


def test_start_in_a_terminal_asks_each_question_until_its_answer_can_be_used(tmp_path: Path) -> None:
    pty = pytest.importorskip("pty")
    screen, keyboard = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "strutwright", "start", "mine.yaml"],
        stdin=keyboard,
        stdout=keyboard,
        stderr=keyboard,
        cwd=tmp_path,
    )
    os.close(keyboard)
    seen = ""
    for wanted, typed in [
        ("called? [New strut] ", "a/b"),
        ("called? [New strut] ", "Tern"),
        ("(mm | in) [mm] ", "in"),
        ("[centre] ", ""),
        ("[cast] ", "welded"),
        ("[single] ", ""),
        ("diameter? [1 1/4 in] ", "90"),
        ("diameter? [1 1/4 in] ", "1 1/2"),
        ("mid-barrel? [9.5 in] ", "900"),
        ("mid-barrel? [9.5 in] ", "11"),
        ("waterline? [10 deg] ", "80 deg"),
        ("waterline? [10 deg] ", "12"),
        ("level)? [0 deg] ", "2"),
        ("pad)? [0 deg] ", "1 in"),
        ("pad)? [0 deg] ", "0"),
    ]:
        told = ""
        while not told.endswith(wanted):
            assert select.select([screen], [], [], 30)[0], told
            told += os.read(screen, 1024).decode()
        seen += told
        os.write(screen, f"{typed}\n".encode())
    while process.poll() is None:
        time.sleep(0.02)
    os.close(screen)
    assert process.returncode == 0
    assert seen.count("allowed:") == 4
    assert "at most 196.8503 in" in seen
    assert "'80 deg' is outside what can be built; allowed: at most 30 deg" in seen
    strut = resolve(load(tmp_path / "mine.yaml")).strut
    assert strut.shaft.diameter_mm == pytest.approx(38.1)
    assert strut.hull.drop_square_to_shaft_mm == pytest.approx(11 * 25.4)
    assert (strut.hull.run_deg, strut.hull.shaft_to_hull_deg) == pytest.approx((2, 14))


def test_start_in_a_terminal_keeps_the_answers_that_make_no_strut_together(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shaft of 400 mm is in its range, but no limits are kept for so large a bearing: it alone, and what the bearing
    hangs on beside it, is asked once more."""
    asked, typed = typed_in(monkeypatch, ["Tern", "", "", "", "", "400 mm", "3 m", "", "", "", "", "60 mm"])
    status, out, err = run(capsys, "start", str(tmp_path / "mine.yaml"))
    assert (status, err, list(typed)) == (0, "", [])
    assert "Press Enter to take the answer in brackets" in out
    assert "construction (cast), shaft (400 mm): " in out
    assert [q.endswith(("[cast] ", "[400 mm] ")) for q in asked[10:]] == [True, True]
    strut = resolve(load(tmp_path / "mine.yaml")).strut
    assert (strut.identity.name, strut.shaft.diameter_mm, strut.hull.drop_square_to_shaft_mm) == ("Tern", 60.0, 3000.0)


def typed_in(monkeypatch: pytest.MonkeyPatch, lines: list[str]) -> tuple[list[str], Iterator[str]]:
    """Let lines be typed in a terminal; return what will have been asked, and the lines that are left."""
    asked: list[str] = []
    typed = iter(lines)

    def reply(text: str) -> str:
        asked.append(text)
        return next(typed)

    for stream in (sys.stdin, sys.stdout):
        monkeypatch.setattr(stream, "isatty", lambda: True)
    monkeypatch.setattr("builtins.input", reply)
    return asked, typed


@pytest.mark.parametrize("beforehand", [[], ["--answer", "hand=centre"]])
def test_start_in_a_terminal_asks_again_only_what_does_not_go_together(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, beforehand: list[str]
) -> None:
    """A V bottom has no flat place on the centre line for one palm; no line of the file to be is named."""
    hand = [] if beforehand else [""]
    asked, typed = typed_in(monkeypatch, ["Tern", "", *hand, "", "", "50 mm", "", "", "", "8", "port", ""])
    status, out, err = run(capsys, "start", str(tmp_path / "mine.yaml"), *beforehand)
    assert (status, err, list(typed)) == (0, "", [])
    assert "your answers do not go together\nhand (centre), deadrise (8 deg): " in out
    assert re.search(r"\d+:\d+", out) is None
    assert [q.split()[0] for q in asked[-2:]] == ["Which", "Deadrise:"]
    strut = resolve(load(tmp_path / "mine.yaml")).strut
    assert (strut.identity.hand, strut.hull.deadrise_deg, strut.shaft.diameter_mm) == ("port", 8.0, 50.0)


def test_start_without_a_terminal_names_the_answers_that_do_not_go_together(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    status, out, err = run(capsys, "start", str(tmp_path / "mine.yaml"), "--answer", "deadrise=8")
    assert (status, out) == (Exit.UNUSABLE, "")
    assert "hand (centre), deadrise (8 deg): does the strut stand" in err
    assert err.endswith("nothing was written\n")


@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_new_set_shows_how_what_it_leaves_open_is_written(units: str) -> None:
    """The examples in its comments make a set in which nothing is left out over them."""
    text = starter.complete(starter.ask({"units": units}, None))
    text = re.sub(r"^(\w+): \{\}   # such as (\{.*\})$", r"\1: \2", text, flags=re.MULTILINE)
    text = re.sub(r"^  # (\w+: )", r"  \1", text, flags=re.MULTILINE)
    strut = resolve(loads(text)).strut
    assert None not in (strut.shaft.bearing_span_mm, strut.hull.thickness_mm, strut.propeller.hub_gap_mm)
    assert [f.about("mm") for f in job.run_checks(resolve(loads(text))) if f.missing] == []


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


def test_start_asks_nothing_for_a_file_that_is_there(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "mine.yaml").write_text("mine", encoding="utf-8")
    for stream in (sys.stdin, sys.stdout):
        monkeypatch.setattr(stream, "isatty", lambda: True)
    monkeypatch.setattr("builtins.input", lambda text: pytest.fail(f"asked: {text}"))
    assert run(capsys, "start", str(tmp_path / "mine.yaml"))[0] == Exit.UNUSABLE


@pytest.mark.parametrize(
    "shaft",
    [
        "20 mm",
        "25 mm",
        "30 mm",
        "40 mm",
        "50 mm",
        "60 mm",
        "80 mm",
        "1 in",
        "1 1/4 in",
        "1 1/2 in",
        "1 3/4 in",
        "2 in",
        "3 in",
    ][:: 1 if THOROUGH else 6],
)
def test_start_makes_sets_without_warnings_for_what_is_common(shaft: str) -> None:
    mm = 25.4 * float(sum(map(Fraction, shaft.split()[:-1]))) if shaft.endswith("in") else float(shaft.split()[0])
    for units, hand, construction, arms in itertools.product(
        ("mm", "in"), ("centre", "port"), ("cast", "welded"), ("single", "vee")
    ):
        given = {
            "units": units,
            "hand": hand,
            "construction": construction,
            "arms": arms,
            "shaft": shaft,
            "drop": f"{8 * mm} mm",
            "deadrise": "0 deg" if hand == "centre" else "12 deg",
        }
        found = job.run_checks(resolve(loads(starter.complete(starter.ask(given, None)))))
        # What needs the propeller or the power waits for them.
        assert [
            f"{f.code}: {f.about('mm')}"
            for f in found
            if not f.missing and f.verdict in (Verdict.WARN, Verdict.FAIL, Verdict.NOT_CHECKED)
        ] == [], given


@long_run
def test_a_pair_tells_the_hand_of_each_finding(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = tmp_path / "pair"
    _, out, _ = run(
        capsys, "build", "coastal-pair", "--only", "report", "--hand", "both", "--out", str(folder), "--json"
    )
    told = [f["what"].partition(":")[0] for f in json.loads(out)["findings"]]
    assert {told.count("port"), told.count("starboard")} == {len(told) // 2}
    for hand in ("port", "starboard"):
        report = json.loads(next((folder / "report").glob(f"*-{hand}-hand.json")).read_text(encoding="utf-8"))
        assert report["hand"] == hand
        assert len(report["findings"]) == len(told) // 2


def test_a_folder_with_the_name_of_a_set_hides_it_not(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As it is left by a build into a folder of that name."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "day-cruiser").mkdir()
    status, out, err = run(capsys, "check", "day-cruiser")
    assert (status, err) == (Exit.PASS, "")
    assert "0 failures" in out
