"""A full disk, a limit on the size of files and a second build into one folder are the user's matter, told as such."""

from __future__ import annotations

import errno
import os
import resource
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from support import long_run

from strutwright import cli, job, outputs
from strutwright.errors import Exit
from strutwright.exporters.files.manifest import changed_files
from strutwright.exporters.files.outdir import OutputFolderError, output_folder
from strutwright.exporters.files.step import StepError

COMMAND = [sys.executable, "-m", "strutwright"]
WORDS = {
    errno.ENOSPC: "the disk is full; free some room",
    errno.EDQUOT: "your share of the disk is used up",
    errno.EFBIG: "`ulimit -f unlimited`",
}


def written(work: outputs.OneHand) -> None:
    """Stand in for building one hand, without the kernel."""
    work.place("report/a.txt", "a report").write_text("first", encoding="utf-8")


def build(folder: Path) -> int:
    return cli.main(["build", "harbour-launch", "--out", str(folder)])


def inside(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def failing(number: int, how: str, monkeypatch: pytest.MonkeyPatch) -> Callable[[outputs.OneHand], None]:
    """Return a stand-in whose writing fails as the operating system, or a library that loses the reason, tells it."""
    reason = OSError(number, os.strerror(number))

    def one_hand(work: outputs.OneHand) -> None:
        written(work)
        if how == "plain":
            raise reason
        if how == "as the cause":
            raise StepError("could not be written") from reason
        if how == "in the other's place":
            try:
                raise reason
            except OSError:
                raise ValueError("cannot write") from None

        def full(self: Path, data: bytes) -> int:
            raise reason

        monkeypatch.setattr(Path, "write_bytes", full)
        raise StepError("could not be written")

    return one_hand


@pytest.mark.parametrize("number", WORDS)
@pytest.mark.parametrize("how", ["plain", "as the cause", "in the other's place", "lost"])
@pytest.mark.parametrize("earlier", [True, False])
def test_no_room_is_told_with_what_to_do_and_moves_nothing(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    number: int,
    how: str,
    earlier: bool,
) -> None:
    folder = tmp_path / "out"
    if earlier:
        monkeypatch.setattr(job, "_one_hand", written)
        assert build(folder) == Exit.PASS
    before = inside(tmp_path)
    with monkeypatch.context() as patched:
        patched.setattr(job, "_one_hand", failing(number, how, patched))
        capsys.readouterr()
        status = build(folder)
    out, err = capsys.readouterr()
    assert (status, out) == (Exit.UNUSABLE, "")
    assert WORDS[number] in err
    assert "fault of the program" not in err
    assert "Traceback" not in err
    assert inside(tmp_path) == before
    assert [p.name for p in tmp_path.iterdir()] == (["out"] if earlier else [])


def test_another_error_is_not_taken_for_a_full_disk(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(work: outputs.OneHand) -> None:
        raise ZeroDivisionError("made up")

    monkeypatch.setattr(job, "_one_hand", broken)
    assert build(tmp_path / "out") == Exit.INTERNAL
    assert "ZeroDivisionError: made up" in capsys.readouterr().err


def limited(most: int, *words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run a command in which no file may grow larger than `most` bytes."""
    return subprocess.run(
        [*COMMAND, *words],
        cwd=cwd,
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (most, most)),
    )


@pytest.mark.parametrize("most", [0, 1, 500])
def test_new_leaves_no_part_of_a_file(tmp_path: Path, most: int) -> None:
    for words in (
        ["start", "mine.yaml", "--like", "harbour-launch"],
        ["start", "mine.yaml", "--answer", "shaft=40 mm", "--answer", "drop=400 mm"],
    ):
        done = limited(most, *words, cwd=tmp_path)
        assert (done.returncode, done.stdout) == (Exit.UNUSABLE, "")
        assert done.stderr.startswith("strutwright: mine.yaml: cannot be written")
        assert WORDS[errno.EFBIG] in done.stderr
        assert list(tmp_path.iterdir()) == []


@long_run
def test_a_real_build_over_the_limit_of_the_session(tmp_path: Path) -> None:
    """The kernel writes the STEP file itself, and says nothing of the reason."""
    done = limited(30_000, "build", "canal-tender", "--only", "solids", "--out", "out", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (Exit.UNUSABLE, "")
    assert WORDS[errno.EFBIG] in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no /dev/full here")
@pytest.mark.parametrize("words", [["check", "harbour-launch"], ["values", "day-cruiser", "--json"], ["sets"]])
def test_what_is_printed_to_a_full_disk(words: list[str]) -> None:
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run([*COMMAND, *words], stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert done.returncode == Exit.UNUSABLE
    assert done.stderr.startswith("strutwright: ")
    assert done.stderr.count("\n") == 1
    assert WORDS[errno.ENOSPC] in done.stderr


# --- two builds into one folder -------------------------------------------------------------------------------------


def test_a_second_build_into_the_same_folder_is_refused(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "out"
    told: list[tuple[int, str]] = []

    def second(work: outputs.OneHand) -> None:
        if not told:
            done = subprocess.run(
                [*COMMAND, "build", "harbour-launch", "--out", str(folder)], capture_output=True, text=True, check=False
            )
            told.append((done.returncode, done.stderr))
        with pytest.raises(OutputFolderError, match="is writing to this folder"), output_folder(folder):
            pytest.fail("filled twice by one process")
        written(work)

    monkeypatch.setattr(job, "_one_hand", second)
    assert build(folder) == Exit.PASS
    ((status, err),) = told
    assert status == Exit.UNUSABLE
    assert f"another run of this program (process {os.getpid()}) is writing to this folder; wait" in err
    assert changed_files(folder) == []
    assert [p.name for p in tmp_path.iterdir()] == ["out"]
    assert build(folder) == Exit.PASS  # and then it is free again


HOLDER = """
import os, sys, time
from pathlib import Path
from strutwright.exporters.files.outdir import output_folder
with output_folder(Path(sys.argv[1])) as new:
    if os.fork() == 0:
        os.close(1)
        time.sleep(30)
        os._exit(0)
    print("ready", flush=True)
    time.sleep(60)
"""


@pytest.mark.parametrize("left", ["killed", "killed with a child", "file"])
def test_a_lock_that_is_left_behind_blocks_no_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, left: str) -> None:
    folder = tmp_path / "out"
    if left == "file":
        (tmp_path / ".out.strutwright-lock").write_text(str(os.getpid()), encoding="ascii")
    else:
        code = HOLDER if "child" in left else HOLDER.replace("os.fork() == 0", "False")
        holder = subprocess.Popen(
            [sys.executable, "-c", code, str(folder)], stdout=subprocess.PIPE, text=True, start_new_session=True
        )
        assert holder.stdout is not None
        assert holder.stdout.readline() == "ready\n"
        monkeypatch.setattr(job, "_one_hand", written)
        assert build(folder) == Exit.UNUSABLE
        holder.send_signal(signal.SIGKILL)
        holder.wait()
    try:
        monkeypatch.setattr(job, "_one_hand", written)
        assert build(folder) == Exit.PASS
        assert [p.name for p in tmp_path.iterdir()] == ["out"]
    finally:
        if "child" in left:
            os.killpg(holder.pid, signal.SIGKILL)
        if left != "file":
            holder.communicate()
