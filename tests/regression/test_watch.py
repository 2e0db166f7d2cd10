"""The command that checks at each save, and builds again what says something else."""

from __future__ import annotations

import argparse
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from command_line_support import HARBOUR
from support import long_run

from strutwright import cli, watch_command
from strutwright.errors import Exit


class Stood:
    """Stands in for the builds: counts them."""

    def __init__(self) -> None:
        self.started = self.looked = 0

    def start(self) -> None:
        self.started += 1

    def look(self) -> None:
        self.looked += 1


def options(*words: str) -> argparse.Namespace:
    return cli.parser().parse_args(["watch", *words])


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    path = tmp_path / "mine.yaml"
    path.write_text(HARBOUR, encoding="utf-8")
    return path


def run_through(
    monkeypatch: pytest.MonkeyPatch, path: Path, texts: list[str], *words: str
) -> Iterator[tuple[str, Stood]]:
    """Save one text after the other while the file is watched."""
    stood, waiting = Stood(), iter(texts)

    def sleep(_: float) -> None:
        text = next(waiting, None)
        if text is None:
            raise KeyboardInterrupt
        path.write_text(text, encoding="utf-8")

    monkeypatch.setattr(watch_command.time, "sleep", sleep)
    arguments = options(str(path), *words)
    with pytest.raises(KeyboardInterrupt):
        watch_command.watched(
            watch_command.files_of(arguments),
            lambda: watch_command.checked(arguments),
            stood,  # type: ignore[arg-type]
        )
    yield str(path), stood


def test_each_save_is_checked_and_only_another_strut_is_built(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], mine: Path
) -> None:
    texts = [
        HARBOUR,
        HARBOUR + "# a note\n",
        HARBOUR.replace("thickness: 14\n", "thickness: 15\n"),
        "barrel: {wall: [",
        HARBOUR.replace("thickness: 14\n", "thickness: 16\n"),
    ]
    assert len(set(texts)) == len(texts)
    for _, stood in run_through(monkeypatch, mine, texts):
        out = capsys.readouterr().out
        assert out.count("--- ") == 5  # the same bytes once more are no save
        assert out.count("checks: ") == 4
        assert "mine.yaml:" in out  # the fault of the broken one, with its place
        assert stood.started == 3  # the first, and two other thicknesses


def test_limits_and_what_was_read_are_watched_too(tmp_path: Path, mine: Path) -> None:
    arguments = options(str(mine), "--limits", str(tmp_path / "limits.yaml"), "--only", "tables", "--hand", "port")
    assert [p.name for p in watch_command.files_of(arguments)] == ["mine.yaml", "limits.yaml", "confirmations.yaml"]
    words = watch_command.build_words(arguments)
    made = cli.parser().parse_args(words)
    assert (made.only, made.hand, made.quiet, made.limits) == (["tables"], "port", True, arguments.limits)


@pytest.mark.parametrize(("name", "told"), [("harbour-launch", "--like harbour-launch"), ("nowhere.yaml", "not there")])
def test_what_nobody_saves_is_refused(capsys: pytest.CaptureFixture[str], name: str, told: str) -> None:
    assert cli.main(["watch", name, "--checks-only"]) == Exit.UNUSABLE
    assert told in capsys.readouterr().err


def watching(folder: Path, *words: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "strutwright", "watch", "mine.yaml", *words]
    return subprocess.Popen(
        command,
        cwd=folder,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),  # ignored where tests run
    )


def test_it_ends_with_ctrl_c(tmp_path: Path, mine: Path) -> None:
    process = watching(tmp_path, "--checks-only")
    assert process.stdout is not None
    assert process.stdout.readline().startswith("--- ")
    process.send_signal(signal.SIGINT)
    _, err = process.communicate(timeout=60)
    assert (process.returncode, err) == (Exit.STOPPED, "strutwright: stopped; earlier outputs are as they were\n")
    assert [p.name for p in tmp_path.iterdir()] == ["mine.yaml"]


@long_run
def test_it_builds_beside_the_file(tmp_path: Path, mine: Path) -> None:
    process = watching(tmp_path, "--only", "tables", "--out", "out")
    end = time.monotonic() + 120
    while not (tmp_path / "out" / "index.html").is_file() and time.monotonic() < end:
        time.sleep(0.1)
    time.sleep(1.0)
    process.send_signal(signal.SIGINT)
    out, _ = process.communicate(timeout=60)
    assert (tmp_path / "out" / "tables").is_dir()
    assert "building ..." in out
    assert sorted(p.name for p in tmp_path.iterdir()) == ["mine.yaml", "out"]
