"""STEP files read by programs that are not ours: gmsh (its own reader and integration) and steputils (no CAD
kernel).

What they must find are the sizes of solids cut with plain cylinders and boxes: follows from geometry.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from support import built_of, every, example_strut, featured_strut, plain_parts

from strutwright.exporters.files.step import ORIGIN, TIME_STAMP, write_assembly, write_part
from strutwright.exporters.inspect import written
from strutwright.exporters.inspect.agreement import failed
from strutwright.exporters.inspect.remeasure import remeasure
from strutwright.exporters.inspect.step_reader import read_step
from strutwright.models.finding import Finding, Verdict
from strutwright.models.solids import build
from strutwright.models.spec import mirrored

gmsh = pytest.importorskip("gmsh")
p21 = pytest.importorskip("steputils.p21")


@pytest.fixture
def mesher() -> Iterator[Any]:
    gmsh.initialize()
    gmsh.option.setNumber("General.Verbosity", 0)
    yield gmsh.model
    gmsh.finalize()


@functools.lru_cache(maxsize=2)
def _read(data: bytes) -> Any:
    return p21.loads(data.decode("ascii"))


def entities(path: Path, name: str) -> list[Any]:
    """All simple entities of a name, as steputils reads them."""
    found = []
    for data in _read(path.read_bytes()).data:
        for instance in data.instances.values():
            parts = [instance.entity] if hasattr(instance, "entity") else list(instance.entities)
            found += [e for e in parts if e.name == name]
    return found


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_gmsh_finds_the_same_solids(tmp_path: Path, mesher: Any, unit: Any) -> None:
    parts = plain_parts(example_strut("vee", skeg=True))
    path = tmp_path / "strut.step"
    write_assembly(path, parts, "strut", unit)
    mesher.occ.importShapes(str(path))  # its reader converts to mm
    mesher.occ.synchronize()
    volumes = [mesher.occ.getMass(3, tag) for _, tag in mesher.getEntities(3)]
    assert volumes == pytest.approx([p.volume_mm3 for p in parts], rel=1e-6)
    assert len(mesher.getEntities(2)) == sum(len(p.shape.Faces()) for p in parts)
    # The heel boss is a plain tube: 52 outside, 40 bored, 40 high.
    assert volumes[-1] == pytest.approx(math.pi / 4 * (52.0**2 - 40.0**2) * 40.0, rel=1e-9)


@pytest.mark.parametrize(("unit", "per_mm"), [("mm", 1.0), ("in", 1 / 25.4)])
def test_steputils_finds_sizes_names_and_units(tmp_path: Path, unit: Any, per_mm: float) -> None:
    strut = example_strut("vee")
    path = tmp_path / "strut.step"
    write_assembly(path, plain_parts(strut), "Demo strut, centre", unit)
    radii = {round(float(e.params[2]) / per_mm, 6) for e in entities(path, "CYLINDRICAL_SURFACE")}
    assert {27.0, 42.0, 3.4, 6.5} <= radii  # bore 54, barrel 84, tap drill 6.8, bolt hole 13
    assert {round(float(e.params[3]), 9) for e in entities(path, "CONICAL_SURFACE")} >= {round(math.pi / 4, 9)}
    names = [e.params[0] for e in entities(path, "PRODUCT")]
    assert names == ["Demo strut, centre", "barrel", "port arm", "starboard arm", "port palm", "starboard palm"]
    usages = [e.params[:2] for e in entities(path, "NEXT_ASSEMBLY_USAGE_OCCURRENCE")]
    assert [tuple(u) for u in usages] == [(str(k), n) for k, n in enumerate(names[1:], start=1)]
    converted = {e.params[0] for e in entities(path, "CONVERSION_BASED_UNIT")}
    assert converted == (set() if unit == "mm" else {"INCH"})
    if unit == "in":
        assert {
            float(e.params[0].params[0] if hasattr(e.params[0], "params") else e.params[0])
            for e in entities(path, "LENGTH_MEASURE_WITH_UNIT")
        } == {25.4}
    assert len(entities(path, "STYLED_ITEM")) == 5
    # Every edge has its curves on its two faces beside it (ISO 10303-42, surface_curve): who reads need not find them.
    edges = len(entities(path, "SURFACE_CURVE")) + len(entities(path, "SEAM_CURVE"))
    assert len(entities(path, "PCURVE")) == 2 * edges > 0


def test_header_says_who_but_not_when(tmp_path: Path) -> None:
    path = tmp_path / "strut.step"
    write_part(path, plain_parts(example_strut("vee"))[0], "Demo barrel")
    header = p21.readfile(str(path)).header
    name = header["FILE_NAME"].params
    assert name[0] == "Demo barrel"
    assert name[1] == TIME_STAMP
    assert [list(name[2]), list(name[3])] == [[ORIGIN], [ORIGIN]]
    assert list(name[4:6]) == [ORIGIN, ORIGIN]
    assert header["FILE_SCHEMA"].params[0][0].startswith("AUTOMOTIVE_DESIGN")


@pytest.mark.parametrize("name", ["it's \\ a strut", "Wellenbock Größe 40 µ", "支架", "x" * 300, "a ~ b; #12 = C('d')"])
def test_any_name_comes_back(tmp_path: Path, name: str) -> None:
    parts = plain_parts(example_strut("vee"))[:2]
    path = tmp_path / "strut.step"
    write_assembly(path, [replace(parts[0], name=name), parts[1]], name)
    assert path.read_bytes().isascii()
    assert [p.name for p in read_step(path).parts] == [name, "port arm"]
    assert len(entities(path, "PRODUCT")) == 3


def test_names_must_be_there_and_differ(tmp_path: Path) -> None:
    parts = plain_parts(example_strut("vee"))[:1]
    for wrong in ([], [*parts, *parts], [replace(parts[0], name="")]):
        with pytest.raises(ValueError, match="names of their own"):
            write_assembly(tmp_path / "strut.step", wrong, "strut")


@pytest.mark.parametrize("hand", every(["port", "starboard"], 2))
def test_a_built_strut_survives_the_way_through_the_file(tmp_path: Path, mesher: Any, hand: Any) -> None:
    strut = featured_strut()
    if hand == "starboard":
        strut = mirrored(strut)
    built = build(strut)
    path = tmp_path / "strut.step"
    write_assembly(path, built.parts, built.name, "in", curves=False)
    findings = remeasure(path, strut, built.parts)
    assert [f for f in findings if f.verdict is not Verdict.OK] == []
    assert {"bore_step", "wall", "hole_edge", "countersink_diameter"} <= {f.code for f in findings}
    mesher.occ.importShapes(str(path))
    mesher.occ.synchronize()
    volumes = [mesher.occ.getMass(3, tag) for _, tag in mesher.getEntities(3)]
    assert volumes == pytest.approx([p.volume_mm3 for p in built.parts], rel=1e-5)
    assert len(mesher.getEntities(2)) == sum(len(p.shape.Faces()) for p in built.parts)


def test_a_file_goes_without_the_curves_that_a_reader_finds_where_it_is_read_back_whole_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The curves of an edge on its faces need not stand in a file (ISO 10303-42, edge_curve)."""
    strut = example_strut()
    built = built_of(strut)
    small, large = tmp_path / "small.step", tmp_path / "large.step"
    found, curves = written.write_and_measure(small, built.parts, "strut", "mm", strut)
    assert not curves
    assert not [f for f in found if f.fails]
    assert not entities(small, "PCURVE")
    # A reader that did not find them: the file is written again, with them.
    tries: list[bool] = []

    def gap(path: Path, *_: object) -> list[Finding]:
        tries.append(bool(entities(path, "PCURVE")))
        return [] if tries[-1] else [failed("solid_closed", "strut: one closed, valid solid", "none", "barrel")]

    monkeypatch.setattr(written, "remeasure", gap)
    found, curves = written.write_and_measure(large, built.parts, "strut", "mm", strut)
    assert (found, curves, tries) == ([], True, [False, True])
    assert small.stat().st_size < 0.6 * large.stat().st_size
    # No point stands twice.
    points = [(tuple(e.params[1]),) for e in entities(small, "CARTESIAN_POINT")]
    assert len(set(points)) == len(points)
