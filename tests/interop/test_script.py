"""The script of a part builds, with cadquery alone, the solids of its STEP file.

It is run in an interpreter that refuses strutwright; cadquery measures there what it makes and what it reads from the
STEP file. Sizes are held to the project's own promise: volumes within a millionth, boxes within the fineness of their
mesh, as many faces.
"""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from script_support import assert_same, ran, run_scripts, same_bodies, text_of, written
from support import SETS, resolved

from strutwright.exporters.script import flatten, modules
from strutwright.models.spec import Strut, mirrored

_COUNTS = ("count", "number", "share", "barbs")
"""What an assigned number may end in that has no unit."""


def plain(name: str) -> Strut:
    """A shipped set's part without what takes long to build and is proved elsewhere."""
    strut = resolved(name).strut
    return replace(strut, bearings=(), set_screws=(), weld=replace(strut.weld, beads=False))


@pytest.mark.parametrize("name", SETS)
def test_a_script_builds_what_the_step_file_has(tmp_path: Path, name: str) -> None:
    hands = [resolved(name).strut]
    if hands[0].identity.pair:
        hands.append(mirrored(hands[0]))
    steps = [written(tmp_path, strut) for strut in hands]
    assert all(map(same_bodies, run_scripts(tmp_path, [text_of(s) for s in hands], steps)))


def test_a_housing_is_made_and_changed_without_the_program(tmp_path: Path) -> None:
    """Its outside, changed by hand, gives what the program builds with it."""
    thin = plain("skeg-sleeve")
    ends = {end: replace(getattr(thin.barrel, end), end_diameter_mm=64.0) for end in ("aft_end", "forward_end")}
    thick = replace(thin, barrel=replace(thin.barrel, outside_mm=64.0, **ends))
    assert thick.barrel.wall_mm == thin.barrel.wall_mm + 2.0
    text = text_of(thin)
    texts = [text, changed(text, "barrel_outside_mm", "60.0", "64.0")]
    found = run_scripts(tmp_path, texts, [written(tmp_path, thin), written(tmp_path, thick)], "own.step")
    assert all(map(same_bodies, found))
    before, after = (one["parts"]["housing"]["volume"] for one in found[:2])
    assert after > 1.05 * before


def test_a_palm_is_changed_and_what_cannot_be_is_said(tmp_path: Path) -> None:
    thin = plain("canal-tender")
    thick = replace(thin, palms=(replace(thin.palms[0], thickness_mm=12.5),))
    text = text_of(thin)
    texts = [text, *(changed(text, "palm_thickness_mm", "10.0", to) for to in ("12.5", "0.0"))]
    found = run_scripts(tmp_path, texts, [written(tmp_path, thin), written(tmp_path, thick), None])
    assert all(map(same_bodies, found[:2]))
    before, after = (one["parts"]["palm"]["volume"] for one in found[:2])
    assert after > 1.2 * before
    assert found[2]["error"].startswith("CannotBuild: the palm could not be made: ")
    assert "change palm.outline" in found[2]["error"]


def changed(text: str, name: str, before: str, after: str) -> str:
    """A script in which one line of its sizes says something else."""
    assert text.count(f"\n{name} = {before} ") == 1
    return text.replace(f"\n{name} = {before} ", f"\n{name} = {after} ")


@pytest.mark.parametrize("name", SETS)
def test_the_sizes_of_a_script_are_those_of_the_part(name: str) -> None:
    assert_same(ran(text_of(resolved(name).strut))["the_strut"](), resolved(name).strut)


@pytest.mark.parametrize("name", SETS)
def test_a_script_reads_well(name: str) -> None:
    """Its sizes have units, it names nothing of the program's own modules, and no worked example is left in it."""
    text = text_of(resolved(name).strut)
    tree = ast.parse(text)
    imported = {
        n.module if isinstance(n, ast.ImportFrom) else n.names[0].name
        for n in ast.walk(tree)
        if isinstance(n, ast.Import | ast.ImportFrom)
    }
    assert {str(i).partition(".")[0] for i in imported} - sys.stdlib_module_names == {"cadquery", "numpy", "OCP"}
    head = text.partition("def the_strut")[0]
    for size, value in re.findall(r"^(\w+) = (-?[\d.e+-]+)(?:  #.*)?$", head, re.M):
        assert size.endswith(("_mm", "_deg", *_COUNTS)), (size, value)
    assert ">>>" not in text
    assert max(map(len, text.splitlines())) <= 120
    assert "Guidance only, not an approval" in head
    assert resolved(name).strut.identity.number in head


def test_odd_words_do_no_harm() -> None:
    strut = resolved("skeg-sleeve").strut
    odd = replace(strut, identity=replace(strut.identity, name='Bad """ \\ \'name\'"'), material='C95800 "as cast" \\n')
    assert "Bad '" in (ast.get_docstring(ast.parse(text_of(odd))) or "")
    assert f"\nmaterial = {odd.material!r}" in text_of(odd)


def test_the_linter_finds_nothing(tmp_path: Path) -> None:
    for name in ("canal-tender", "harbour-launch", "deadwood-cutter", "skeg-sleeve"):
        (tmp_path / f"{name}.py").write_text(text_of(resolved(name).strut), encoding="utf-8")
    rules = Path(__file__).parents[2] / "pyproject.toml"
    done = subprocess.run(
        ["ruff", "check", "--no-cache", "--config", str(rules), str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout


def test_nothing_is_asked_for_that_was_left_out(tmp_path: Path) -> None:
    """mypy reads the whole text, also what no shipped set runs: every name, member and argument is there."""
    for name in ("yawl-with-heel", "harbour-launch", "tube-end-pair", "skeg-sleeve"):
        (tmp_path / f"{name.replace('-', '_')}.py").write_text(text_of(resolved(name).strut), encoding="utf-8")
    rules = ["--config-file=", "--ignore-missing-imports", "--follow-imports=skip", f"--cache-dir={tmp_path}/cache"]
    command = [sys.executable, "-m", "mypy", *rules, str(tmp_path)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert "(checked 4 source files)" in done.stdout or "in 4 source files" in done.stdout, done.stderr
    assert not re.findall(r".*\[(?:attr-defined|union-attr|name-defined|call-arg)\]", done.stdout)


def test_the_same_part_gives_the_same_bytes() -> None:
    parts = [resolved(name).strut for name in ("work-launch-vee", "deadwood-cutter", "canal-tender")]
    first = [text_of(strut) for strut in parts]
    for kept in (modules.READ.clear, *(f.cache_clear for f in vars(flatten).values() if hasattr(f, "cache_clear"))):
        kept()  # what was read before does not count
    assert [text_of(strut) for strut in reversed(parts)] == first[::-1]
