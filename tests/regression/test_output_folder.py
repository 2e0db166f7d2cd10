"""What `build` does to its folder: a stop moves nothing, no file of a person is lost, other outputs are kept."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from command_line_support import HARBOUR, build, inside, note
from support import every, long_run

from strutwright import job, outputs
from strutwright.errors import Exit
from strutwright.exporters.files import outdir
from strutwright.exporters.files.manifest import MANIFEST_NAME, changed_files, read_manifest, sha256
from strutwright.exporters.files.step import StepError
from strutwright.exporters.web.job_page import PAGE
from strutwright.params.loader import shipped

# --- stops --------------------------------------------------------------------------------------------------------


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
    monkeypatch.setattr(outdir, "_exchanged", lambda one, other: False)  # as where the system cannot exchange
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


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux exchanges two folders in one step")
@pytest.mark.usefixtures("stood_in")
def test_a_folder_is_never_absent_while_another_takes_its_place(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "out"
    assert build(capsys, folder)[0] == Exit.PASS

    def moved(self: Path, other: Path) -> Path:
        raise AssertionError(f"{self} was moved")

    monkeypatch.setattr(Path, "rename", moved)
    (folder / "note.txt").write_text("mine", encoding="utf-8")
    assert build(capsys, folder)[0] == Exit.PASS
    assert (folder / "note.txt").read_text(encoding="utf-8") == "mine"
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
    every(
        [(signal.SIGINT, 130, 0.3), (signal.SIGINT, 130, 0.0), (signal.SIGINT, 130, 1.5), (signal.SIGTERM, 143, 1.0)], 3
    ),
)
def test_a_stop_of_a_real_build(tmp_path: Path, number: int, status: int, later_s: float) -> None:
    """Anywhere while it imports its libraries and builds, the program is stopped from outside."""
    process = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "strutwright",
            "build",
            "--quiet",
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
    assert "6 files in" in out
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
    only = [w for kind in ("meshes", "solids", "report") for w in ("--only", kind)]
    _, out, _ = build(capsys, tmp_path / "out", *only, "--json")
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
    after = inside(folder)
    assert b"Built earlier, from the same parameters" in after.pop(PAGE)
    assert {p for p, data in whole.items() if after.get(p) != data} == {PAGE, MANIFEST_NAME}
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
    assert sorted(inside(folder)) == [PAGE, MANIFEST_NAME, "parameters.yaml", "report/centre.txt"]
    listed = [e.path for e in read_manifest(folder / MANIFEST_NAME).files]
    assert listed == [PAGE, "parameters.yaml", "report/centre.txt"]
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


@long_run
def test_a_pair_tells_the_hand_of_each_finding(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = tmp_path / "pair"
    _, out, _ = build(capsys, folder, "--only", "report", "--hand", "both", "--json", what="coastal-pair")
    told = [f["what"].partition(":")[0] for f in json.loads(out)["findings"]]
    assert {told.count("port"), told.count("starboard")} == {len(told) // 2}
    for hand in ("port", "starboard"):
        report = json.loads(next((folder / "report").glob(f"*-{hand}-hand.json")).read_text(encoding="utf-8"))
        assert report["hand"] == hand
        assert len(report["findings"]) == len(told) // 2


@long_run
def test_a_build_takes_the_limits_of_the_shop_along(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Nothing stood in: they go to the process with the kernel too."""
    folder, own = tmp_path / "out", tmp_path / "limits.yaml"
    own.write_text("clearance_floor: 0.08\n", encoding="utf-8")
    status, _, _ = build(capsys, folder, "--only", "tables", "--limits", str(own), what="canal-tender")
    assert status in (Exit.PASS, Exit.WARNINGS)
    assert read_manifest(folder / MANIFEST_NAME).limits_sha256 == sha256(own.read_bytes())
