"""The short form of `python -m tests.hardening`, and what its long form found."""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from random import Random

import pytest
from hardening import files, kept, kills, places, processes
from hardening.__main__ import main
from hardening.cases import KINDS, case_of
from hardening.mutations import spoiled
from hardening.report import Outcome, run_subject, write_report
from support import long_run

from strutwright import __version__, cli
from strutwright.errors import Exit, UserError, write_whole
from strutwright.exporters.bench.fillable import filled_in
from strutwright.exporters.bench.scan_file import ScanError, scan_points
from strutwright.exporters.files.outdir import OutputFolderError, added_to, output_folder
from strutwright.page.workers import Workers
from strutwright.params.loader import split

SHORT = 10
"""Cases of the everyday run."""


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to run commands in, as the process that is kept finds it."""
    for name, value in kept.SURROUNDINGS.items():
        monkeypatch.setenv(name, value)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_few_spoiled_files_are_answered_in_words_and_touch_nothing_else(here: Path) -> None:
    found = []
    (here / "scratch").mkdir()
    for number in range(SHORT):
        case = case_of(number, 4)
        if case.words[0] == "many":  # would build; in the long form it is stood in for
            continue
        kept.lay_out(here / "work", case.files)
        ran = kept.ran(case.words, here / "work", here / "scratch")
        # Time is measured where nothing else runs.
        found += [words for words in files.faults_of(case, ran) if not words.startswith("took")]
        os.chdir(here)
    assert not found


def test_a_case_is_made_again_by_its_number_and_all_kinds_are_drawn() -> None:
    assert case_of(17, 1) == case_of(17, 1)
    assert len({case_of(n, 1).kind for n in range(30)}) > len(KINDS) / 2
    raw = b"a: 1\nb: {c: 2 mm, d: 3}\n"
    assert len({spoiled(raw, Random(n)) for n in range(50)}) > 30


def test_a_process_that_is_kept_tells_what_a_command_did(tmp_path: Path) -> None:
    ran = kept.Ran(status=4, processor_s=3.0, out="x\x1b[31m", err="Traceback", changed=("a/b",), scratch=("t",))
    told = " ".join(files.faults_of(case_of(1, 1), ran))
    for words in ("ended with 4", "took 3.0 s", "prints", "made, changed or removed a/b", "left t"):
        assert words in told


def test_a_long_run_of_spoiled_files() -> None:
    outcome = run_subject("files", "", lambda it: files.run(it, count=40, seed=11, real=20))
    assert not [words for words in outcome.found if " took " not in words]
    assert sum(outcome.done.values()) >= 40


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no SIGKILL here")
def test_a_build_killed_in_its_first_second_leaves_what_stood(tmp_path: Path) -> None:
    target = tmp_path / "place" / "out"
    places.an_earlier_build(target)
    before = kills.state_of(target)
    words = ["build", "canal-tender", "--out", str(target), "--quiet"]
    ended = kills.struck(words, tmp_path, [target / "manifest.json"], 0.8, Random(3))
    assert not list(kills.faults_of_end(ended))
    assert kills.state_of(target) == before == ("00", "")
    assert ended.absent == 0
    with contextlib.suppress(OutputFolderError), output_folder(target) as new:
        (new / "half.txt").write_text("x", encoding="utf-8")
    assert [p.name for p in target.parent.iterdir()] == ["out"]


@long_run
def test_a_build_and_a_bulk_run_killed_at_some_moment() -> None:
    only = ["--only", "tables"]
    outcome = run_subject("kills", "", lambda it: kills.run(it, builds=1, bulk=1, seed=5, options=only, each=1))
    assert not outcome.found
    assert outcome.done["builds: runs to the end after kills"] == 1


def test_the_report_says_what_was_done_and_found(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    report, found = (
        tmp_path / "to" / "report.txt",
        Outcome(subject="files", asked="3 files", found=["number 2: took 9 s"]),
    )
    found.count("limits, refused", 3)
    write_report(report, [found], 7)
    told = json.loads(report.with_suffix(".json").read_text(encoding="utf-8"))
    assert (told["found"], told["seed"], told["subjects"][0]["done"]) == (1, 7, {"limits, refused": 3})
    assert told["machine"]["processors"] > 0
    assert __version__ in told["program"]
    text = report.read_text(encoding="utf-8")
    assert "limits, refused: 3" in text
    assert "FOUND: number 2: took 9 s" in text
    with pytest.raises(SystemExit):
        main(["no_such_subject"])
    assert "there are files, kills" in capsys.readouterr().err


def test_a_trial_that_fails_is_told_as_found() -> None:
    def broken(outcome: Outcome) -> None:
        raise ZeroDivisionError("made up")

    assert run_subject("x", "", broken).found == ["the trial itself failed: ZeroDivisionError: made up"]


# --- what the long form found ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "words",
    [
        ["values", "harbour-launch", "--limits", "\x1b[31mred"],
        ["start", "new.yaml", "--like", "a\x07\x9b\u202e"],
        ["no\x1b[2Jsuch"],
    ],
)
def test_nothing_that_is_said_of_a_name_commands_the_terminal(
    here: Path, capsys: pytest.CaptureFixture[str], words: list[str]
) -> None:
    with contextlib.suppress(SystemExit):
        cli.main(words)
    err = capsys.readouterr().err
    assert err
    assert "".join(err.split("\n")).isprintable()


@pytest.mark.parametrize("odd", ["\U0001f63f", "\ufffe 40 mm", "4\u03503"])
def test_an_answer_that_is_no_quantity_is_told_as_such(
    here: Path, capsys: pytest.CaptureFixture[str], odd: str
) -> None:
    assert cli.main(["start", "new.yaml", "--answer", f"shaft={odd}", "--answer", "drop=400 mm"]) == Exit.UNUSABLE
    assert "shaft: " in capsys.readouterr().err
    assert list(here.iterdir()) == []


def test_a_form_that_is_spoiled_is_refused(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from hardening.cases import form_of

    raw = form_of("fitting")
    assert filled_in(raw) is not None
    at = raw.index(b"made_as")
    for number, broken in enumerate((raw[:300], raw.replace(b"/Type /Page\n", b"/Type /Pxge\n"), raw[: at + 40])):
        (here / "form.pdf").write_bytes(broken)
        assert cli.main(["fitting", "form.pdf", "--set", "harbour-launch", "--out", "job"]) == Exit.UNUSABLE, number
        assert "form.pdf" in capsys.readouterr().err
    with (here / "form.pdf").open("wb") as out:
        out.truncate(1 << 34)  # sixteen GiB, no bytes on the disk
    assert cli.main(["fitting", "form.pdf", "--set", "harbour-launch", "--out", "job"]) == Exit.UNUSABLE
    assert "which no form is" in capsys.readouterr().err
    assert [p.name for p in here.iterdir()] == ["form.pdf"]


def test_a_scan_that_is_no_file_is_refused(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    os.mkfifo(here / "bottom.xyz")  # read, it would wait for ever
    (here / "survey.yaml").write_text(
        "side: port\npalm: {length: 240, width: 130}\nscan: {file: bottom.xyz}\n"
        "line:\n- {name: A, along: -400, port: 0, up: -77}\n- {name: B, along: 400, port: 0, up: 77}\n",
        encoding="utf-8",
    )
    assert cli.main(["survey", "survey.yaml", "--out", "job"]) == Exit.UNUSABLE
    assert "not a file" in capsys.readouterr().err


def test_a_scan_with_a_point_beyond_all_measure_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.xyz"
    path.write_text("0 0 0\n1 0 0\n1 1e30 0\n", encoding="utf-8")
    with pytest.raises(ScanError, match=r"point 3 lies over 100 km from zero"):
        scan_points(path, "mm")


@pytest.mark.parametrize("path", ["press.force [kN],50", "a[x]", "a[", "a[9999999999999]", "a[]", "[\u0663]"])
def test_a_path_that_is_none_splits_all_the_same(path: str) -> None:
    assert all(isinstance(part, str) for part in split(path))
    assert split("bolts.pattern.points[2]") == ("bolts", "pattern", "points", 2)


def full(*_: object, **__: object) -> int:
    raise OSError(28, os.strerror(28))


def test_where_nothing_could_be_written_no_empty_folder_is_left(
    here: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Path, "write_bytes", full)
    monkeypatch.setattr(Path, "write_text", full)
    assert cli.main(["repair", "--blank", "deep/forms"]) == Exit.UNUSABLE
    assert "the disk is full" in capsys.readouterr().err
    with pytest.raises(OutputFolderError, match="the disk is full"), added_to(here / "deep" / "job") as new:
        (new / "a").write_bytes(b"x")
    with pytest.raises(UserError, match="the disk is full"):
        write_whole(here / "deep" / "all" / "sets.yaml", "x")
    assert list(here.iterdir()) == []


SERVER = """
import asyncio, sys, time
from strutwright.page.workers import Workers
async def main():
    workers = Workers(2)
    both = [asyncio.create_task(workers.ask(time.sleep, 60.0)) for _ in range(2)]
    await asyncio.sleep(0.5)
    print("ready", flush=True)
    if sys.argv[1] == "closed":
        workers.close()
        await asyncio.gather(*both, return_exceptions=True)
        return
    await asyncio.gather(*both)
if __name__ == "__main__":
    asyncio.run(main())
"""


@pytest.mark.parametrize("how", ["killed", "closed"])
def test_the_processes_of_a_page_go_with_its_server(tmp_path: Path, how: str) -> None:
    """Also when it is killed, and at once when it closes, in the middle of an answer."""
    script = tmp_path / "server.py"
    script.write_text(SERVER, encoding="utf-8")
    server = subprocess.Popen([sys.executable, str(script), how], stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    assert server.stdout.readline() == "ready\n"
    if how == "killed":
        below = processes.below(server.pid)
        assert len(below) >= 2
        server.kill()
        assert processes.gone(below, 20.0)
    began = time.monotonic()
    server.wait(60.0)
    server.stdout.close()
    assert time.monotonic() - began < 30.0


def test_what_nobody_waits_for_leaves_half_of_the_processes_to_answers() -> None:
    async def tried() -> tuple[int, list[str]]:
        workers, order = Workers(2), list[str]()
        begun = 0

        async def ask(work: object, *what: object) -> None:  # stands in for the processes
            nonlocal begun
            begun += 1
            order.append(f"begun {what[0]}")
            await asyncio.sleep(0.05)

        workers.ask = ask  # type: ignore[method-assign, assignment]
        tasks = [asyncio.create_task(workers.ask_beside(len, k)) for k in range(3)]
        await asyncio.sleep(0.01)
        at_once = begun
        tasks[0].cancel()  # who asked is gone; the process is still at work
        tasks[1].cancel()
        await asyncio.sleep(0.01)
        assert begun == 1
        await asyncio.gather(*tasks, return_exceptions=True)
        workers.close()
        return at_once, order

    assert asyncio.run(tried()) == (1, ["begun 0", "begun 2"])
