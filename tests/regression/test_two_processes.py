"""A build by two processes is that of one: the same bytes and findings, whatever is lost, refused or stopped."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from support import long_run

from strutwright import cli, guard, job, one_hand, outputs
from strutwright.models.finding import Finding, Verdict, in_words
from strutwright.one_hand import LAST, shared
from strutwright.outputs import STAGES, Stand
from strutwright.params.words import read, say

posix = pytest.mark.skipif(os.name != "posix", reason="faults are made by signals")
ALL = tuple(STAGES)
SOME = ("solids", "meshes", "outlines", "templates", "tables", "picture", "report")
QUICK = "skeg-sleeve"


def failing(code: str) -> Finding:
    return in_words(code, Verdict.FAIL, say("what"), say("advice"), "arms.section", group="build")


def at_work(folder: Path, files: dict[str, str], *findings: Finding) -> outputs.OneHand:
    """Return the job of a hand at work in a folder."""
    found = cli.resolved(QUICK)
    return outputs.OneHand(
        resolved=found,
        strut=found.strut,
        parameters_name="x.yaml",
        parameters_sha256="0" * 64,
        order=outputs.Order(out=folder, what=ALL),
        folder=folder,
        files=files,
        findings=list(findings),
        progress=outputs.Telling(print),
        guard=None,
    )


@pytest.mark.parametrize("cast", [True, False])
def test_both_processes_have_about_the_same_to_do(cast: bool) -> None:
    aside = shared(ALL, cast)
    here = [kind for kind in ALL if kind not in aside]
    assert LAST in here
    there_s, here_s = (
        sum(one_hand._LONG.get(k, 0.0) for k in kinds if cast or k != "foundry") for kinds in (aside, here)
    )
    assert 0.75 < there_s / here_s < 1.34


@pytest.mark.parametrize("stages", [(), ("report",), ("tables", "report"), ("sheets",), ("solids", "outlines")])
def test_a_second_process_is_not_started_for_little(stages: tuple[str, ...]) -> None:
    assert shared(stages, cast=True) == ()


def test_what_was_made_stands_in_the_order_of_the_stages_up_to_the_first_that_ends_the_build(tmp_path: Path) -> None:
    """Whichever process was first: as when one process makes a stage after the other."""
    start = Stand((), {"early.txt": "hand before"}, [failing("early")])
    made = one_hand._Made()
    made.note(
        start, Stand(("", "sheets"), {**start.files, "sheets/a.pdf": "sheet"}, [*start.findings, failing("late")])
    )
    assert made.failing() == "sheets"
    solids = Stand(("", "solids"), {"solids/a.step": "solid"}, [failing("middle")])
    made.note(Stand(("",), {}, []), solids)
    made.note(Stand((), {}, []), Stand(("",), {}, []))
    assert made.failing() == "solids"
    work = at_work(tmp_path, {"gone.txt": "not made"}, failing("not told"))
    made.put(work, start, made.failing())
    assert [f.code for f in work.findings] == ["early", "middle"]
    assert work.files == {"early.txt": "hand before", "solids/a.step": "solid"}
    made.put(work, start, None)
    assert [f.code for f in work.findings] == ["early", "middle", "late"]


def test_clearing_up_after_a_loss_leaves_what_the_other_process_made(tmp_path: Path) -> None:
    kept, gone = tmp_path / outputs.ASIDE / "sheets" / "a.pdf", tmp_path / "meshes" / "half.stl"
    for path in (kept, gone):
        path.parent.mkdir(parents=True)
        path.write_text("x", encoding="utf-8")
    work = at_work(tmp_path, {})
    work.stand_at(Stand((), {}, []))
    assert kept.exists()
    assert not gone.parent.exists()


@pytest.mark.parametrize("said", ["0", "-1", "two", "1.5"])
def test_a_number_of_processes_that_is_none_is_told(
    said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv(cli.JOBS_VARIABLE, said)
    assert cli.main(["build", QUICK]) == cli.Exit.UNUSABLE
    assert f"{cli.JOBS_VARIABLE}={said}: at least 1" in capsys.readouterr().err


# --- whole builds ---------------------------------------------------------------------------------------------------


def built(name: str, folder: Path, jobs: int, what: tuple[str, ...] = SOME, hand: str = "as_written") -> job.Outcome:
    """Build a shipped set by so many processes."""
    order = outputs.Order(out=folder, what=what, hand=hand)
    return job.build_set(cli.resolved(name), cli.find(name), order, jobs=jobs)


def told(made: job.Outcome) -> list[str]:
    return [f"{f.code}: {read(f.what, 'mm')} {f.left_out} {f.lost_at}" for f in made.findings]


def inside(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@pytest.mark.parametrize(
    ("name", "hand"), [(QUICK, "as_written"), pytest.param("coastal-pair", "both", marks=long_run)]
)
def test_the_same_bytes_and_findings_by_one_process_and_by_two(name: str, hand: str, tmp_path: Path) -> None:
    one, two = (built(name, tmp_path / str(jobs), jobs, hand=hand) for jobs in (1, 2))
    assert inside(tmp_path / "1") == inside(tmp_path / "2")
    assert told(one) == told(two)
    assert one.files == two.files
    assert not [p for p in inside(tmp_path / "2") if outputs.ASIDE in p]


@posix
@pytest.mark.parametrize("steps", [("the templates", "the full-size DXF"), ("the solids",)])
def test_what_is_lost_in_either_process_is_told_as_by_one(
    steps: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Lost aside, lost here, and lost with the solids themselves, which ends both."""
    assert "templates" in shared(SOME, cast=False)
    assert "outlines" not in shared(SOME, cast=False)
    monkeypatch.setenv(guard.FAULT_VARIABLE, ";".join(f"segv:{step}" for step in steps))
    one, two = (built(QUICK, tmp_path / str(jobs), jobs) for jobs in (1, 2))
    assert told(one) == told(two)
    assert {f.lost_at for f in two.findings} >= set(steps)
    assert one.files == two.files
    assert (one.folder is None) == (two.folder is None) == ("the solids" in steps)


@posix
@pytest.mark.parametrize("after_s", [0.0, pytest.param(6.0, marks=long_run)])
def test_a_stop_ends_both_and_leaves_nothing(after_s: float, tmp_path: Path) -> None:
    out = tmp_path / "out"
    with subprocess.Popen(
        [sys.executable, "-m", "strutwright", "build", "harbour-launch", "--jobs", "2", "--out", str(out), "--quiet"],
        stderr=subprocess.PIPE,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),  # ignored where tests run
    ) as process:
        workers = list[str]()
        while len(workers) < 2 and process.poll() is None:
            time.sleep(0.05)
            workers = subprocess.run(["pgrep", "-P", str(process.pid)], capture_output=True, text=True).stdout.split()
        time.sleep(after_s)
        process.send_signal(signal.SIGINT)
        said = process.communicate(timeout=60)[1].decode()
    assert process.returncode != 0
    assert "Traceback" not in said
    assert not list(tmp_path.iterdir())
    assert len(workers) == 2
    end = time.monotonic() + 20.0
    while any(Path(f"/proc/{pid}").exists() for pid in workers) and time.monotonic() < end:
        time.sleep(0.05)
    assert not any(Path(f"/proc/{pid}").exists() for pid in workers)
