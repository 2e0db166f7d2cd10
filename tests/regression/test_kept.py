"""Builds of one process make again only what something else was said of, and come to the same bytes."""

from __future__ import annotations

import ast
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from command_line_support import HARBOUR

from strutwright import cli, exporters, models
from strutwright.errors import Exit
from strutwright.exporters.files.manifest import sha256
from strutwright.guard import Guard
from strutwright.kept import MOST_SOLIDS, Earlier, Kept, Solids, shape_of
from strutwright.models.resolve import resolve
from strutwright.params.loader import loads

KINDS = ("solids", "meshes", "outlines", "templates", "tables", "report")


def built(folder: Path, out: str, lent: cli.Lent | None = None) -> dict[str, str]:
    """Build, and return the SHA-256 of each output."""
    words = ["build", str(folder / "mine.yaml"), "--quiet", "--despite-failures", "--out", str(folder / out)]
    assert cli.main([*words, *(w for kind in KINDS for w in ("--only", kind))], lent) in (Exit.PASS, Exit.WARNINGS)
    return {
        p.relative_to(folder / out).as_posix(): sha256(p.read_bytes()) for p in (folder / out).rglob("*") if p.is_file()
    }


def test_what_is_kept_is_what_a_fresh_build_makes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Another power leaves the solids; a note in the file the sheets alone; a thicker palm nothing."""
    mine, kept = tmp_path / "mine.yaml", Kept()
    with Guard() as guard:
        lent = cli.Lent(guard, kept)
        mine.write_text(HARBOUR, encoding="utf-8")
        built(tmp_path, "out", lent)
        assert not kept.taken
        mine.write_text(HARBOUR.replace("power: 40 kW", "power: 41 kW"), encoding="utf-8")
        assert mine.read_text(encoding="utf-8") != HARBOUR
        out = built(tmp_path, "out", lent)
        assert kept.taken == {"solids", "meshes"}
        assert out == built(tmp_path, "fresh")
        kept.taken.clear()
        mine.write_text(mine.read_text(encoding="utf-8") + "# a note\n", encoding="utf-8")
        out = built(tmp_path, "out", lent)
        assert kept.taken == {"solids", "meshes", "outlines", "templates", "tables"}
        assert out == built(tmp_path, "fresh")
        kept.taken.clear()
        mine.write_text(HARBOUR.replace("thickness: 14\n", "thickness: 15\n"), encoding="utf-8")
        built(tmp_path, "out", lent)
        assert not kept.taken


def test_solids_and_their_measures_see_neither_duty_nor_protection() -> None:
    """What `shape_of` leaves out is read by nothing that makes, writes or measures a solid."""
    roots = [Path(next(iter(package.__path__))) for package in (models, exporters)]
    files = [
        *(roots[0] / "solids").glob("*.py"),
        *(roots[0] / "geometry").glob("*.py"),
        *(roots[0] / "checks" / "geometry").glob("clearances.py"),
        *(roots[1] / "inspect").rglob("*.py"),
        roots[1] / "files" / "step.py",
        roots[1] / "files" / "mesh.py",
    ]
    assert len(files) > 40
    seen = {
        f"{path.name}: {node.attr}"
        for path in files
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr in ("duty", "protection")
    }
    assert not seen
    strut = resolve(loads(HARBOUR)).strut
    assert strut.duty.power_kw
    assert shape_of(strut) == shape_of(replace(strut, duty=replace(strut.duty, power_kw=1.0)))
    assert shape_of(strut) != shape_of(replace(strut, construction="welded"))


def test_files_that_are_gone_or_other_ones_are_not_kept(tmp_path: Path) -> None:
    class Job:
        folder = tmp_path / "new"
        files: dict[str, str] = {}  # noqa: RUF012 - a stand-in
        findings: list[object] = []  # noqa: RUF012

    (tmp_path / "old").mkdir()
    (tmp_path / "old" / "a.csv").write_bytes(b"1,2")
    earlier = Earlier(b"key", tmp_path / "old", {"a.csv": ("table, port", sha256(b"1,2"))}, ())
    assert earlier.put(Job)  # type: ignore[arg-type]
    assert Job.files == {"a.csv": "table, port"}
    assert (tmp_path / "new" / "a.csv").read_bytes() == b"1,2"
    shutil.rmtree(tmp_path / "new")
    (tmp_path / "old" / "a.csv").write_bytes(b"1,3")
    assert not earlier.put(Job)  # type: ignore[arg-type]
    (tmp_path / "old" / "a.csv").unlink()
    assert not earlier.put(Job)  # type: ignore[arg-type]
    assert not (tmp_path / "new").exists()


def test_a_worker_keeps_the_last_solids_only(built_single: object) -> None:
    made, solids = [], Solids()

    def make() -> object:
        made.append(built_single)
        return built_single

    for k in (1, 2, 1, 3, 1, 2):
        assert solids.of(k, make) is built_single  # type: ignore[arg-type]
    assert MOST_SOLIDS == 2
    assert len(made) == 4  # 1, 2, 3, and 2 again, which 3 had put out
