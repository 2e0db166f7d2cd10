"""The command line as a person meets it, and building without the kernel, for tests of what commands do."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from strutwright import cli, outputs
from strutwright.errors import Exit
from strutwright.params.loader import shipped

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
