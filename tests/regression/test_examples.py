"""out_examples/ is what the program writes today.

On one machine the bytes are the same in any process. Another processor adds in another order, so that last digits
differ: what is not the same byte for byte must have the same words, and numbers within a ten-thousandth of a mm. Of
solids and meshes, where the kernel may then lay a surface's own net otherwise, entities, size and place are the same.
The pattern's drafted surfaces are fitted by the kernel, which may take some points more or less on another processor:
there the words are the same, and areas within a ten-thousandth of themselves.
"""

from __future__ import annotations

import importlib.util
import io
import re
import zlib
from collections import Counter
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
import trimesh
from PIL import Image
from support import long_run

ROOT = Path(__file__).resolve().parents[2]
KEPT = ROOT / "out_examples"


def regenerate() -> ModuleType:
    """Return tests/regenerate.py as a module."""
    spec = importlib.util.spec_from_file_location("regenerate", ROOT / "tests" / "regenerate.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the examples made anew."""
    folder = tmp_path_factory.mktemp("examples")
    make = regenerate()
    make.examples(folder, make.EXAMPLES)
    return folder


def files(folder: Path) -> set[str]:
    """Return the files below a folder as relative paths."""
    return {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}


NUMBER = re.compile(rb"-?(?:\d+\.\d*|\.\d+|\d+)(?:[eE][-+]?\d+)?")

NAMES = re.compile(rb"PRODUCT\('([^']*)'")
FITTED = "pattern-size/"
"""The folder of what is made of the pattern's drafted surfaces."""


def alike_fitted(kept: bytes, new: bytes, kind: str) -> bool:
    """Return whether two files of the pattern say the same, but for some points of its fitted surfaces and edges."""
    if kind in (".stl", ".ply"):
        meshes = [trimesh.load(io.BytesIO(b), file_type=kind[1:]) for b in (kept, new)]
        return bool(
            np.allclose(meshes[0].bounds, meshes[1].bounds, rtol=0, atol=0.01)
            and np.isclose(meshes[0].area, meshes[1].area, rtol=1e-4)
            and np.isclose(len(meshes[0].faces), len(meshes[1].faces), rtol=0.05)
        )
    if kind == ".step":
        kinds = [Counter(re.findall(rb"=([A-Z_0-9]+)\(", re.sub(rb"\s+", b"", b))) for b in (kept, new)]
        points = [k.pop(b"CARTESIAN_POINT") for k in kinds]
        return (
            kinds[0] == kinds[1] and NAMES.findall(kept) == NAMES.findall(new) and abs(points[0] / points[1] - 1) < 0.02
        )
    if kind == ".csv":
        numbers = [np.array(NUMBER.findall(b), dtype=float) for b in (kept, new)]
        same = NUMBER.sub(b"0", kept) == NUMBER.sub(b"0", new)
        return same and bool(np.allclose(numbers[0], numbers[1], rtol=1e-4, atol=1e-3))
    if kind == ".pdf":
        kept, new = (_streams(b) for b in (kept, new))
    lines = [Counter(NUMBER.sub(b"0", b).split(b"\n")) for b in (kept, new)]
    return ((lines[0] - lines[1]) + (lines[1] - lines[0])).total() <= 40


def alike(kept: bytes, new: bytes, kind: str) -> bool:
    """Return whether two files say the same, but for the last digits of their numbers."""
    if kept == new:
        return True
    if kind in (".stl", ".ply"):
        meshes = [trimesh.load(io.BytesIO(b), file_type=kind[1:]) for b in (kept, new)]
        return bool(
            np.allclose(meshes[0].bounds, meshes[1].bounds, rtol=0, atol=1e-3)
            and np.isclose(meshes[0].area, meshes[1].area, rtol=1e-5)
            and np.isclose(len(meshes[0].faces), len(meshes[1].faces), rtol=0.02)
        )
    if kind == ".step":
        kept, new = (re.sub(rb"\s+", b"", b) for b in (kept, new))
        counts = [len(NUMBER.findall(b)) for b in (kept, new)]
        kinds = [Counter(re.findall(rb"=([A-Z_0-9]+)\(", b)) for b in (kept, new)]
        return kinds[0] == kinds[1] and NAMES.findall(kept) == NAMES.findall(new) and counts[0] == counts[1]
    if kind == ".pdf":
        kept, new = (_streams(b) for b in (kept, new))
    if kind == ".csv":  # rows are sorted by figures that may change places
        kept, new = (b"\n".join(sorted(b.splitlines())) for b in (kept, new))
    if NUMBER.sub(b"0", kept) != NUMBER.sub(b"0", new):
        return False
    numbers = [np.array(NUMBER.findall(b), dtype=float) for b in (kept, new)]
    return bool(np.allclose(numbers[0], numbers[1], rtol=1e-6, atol=1e-4))


def _streams(pdf: bytes) -> bytes:
    """What a PDF's pages are drawn of."""
    return b"\n".join(map(_opened, re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.S)))


def _opened(stream: bytes) -> bytes:
    try:
        return zlib.decompress(stream)
    except zlib.error:
        return stream


def test_alike_sees_a_change() -> None:
    assert alike(b"10\n1.0000001\n", b"10\n1.\n", ".dxf")
    assert not alike(b"10\n1.001\n", b"10\n1.\n", ".dxf")
    assert not alike(b"#1=CIRCLE('',#2,1.);", b"#1=ELLIPSE('',#2,1.);", ".step")
    assert not alike(b"bore 38 H7", b"bore 38 H8 ", ".txt")


@long_run
def test_examples_are_up_to_date(fresh: Path) -> None:
    made = {folder.name for folder in fresh.iterdir()}
    kept = {f for f in files(KEPT) if f.partition("/")[0] in made}
    assert kept == files(fresh), "run: python -m tests.regenerate examples"
    changed = [
        name
        for name in sorted(files(fresh))
        if not name.endswith((".png", "manifest.json"))
        and not alike((KEPT / name).read_bytes(), (fresh / name).read_bytes(), Path(name).suffix)
        and not (
            FITTED in name and alike_fitted((KEPT / name).read_bytes(), (fresh / name).read_bytes(), Path(name).suffix)
        )
    ]
    assert changed == [], "run: python -m tests.regenerate examples"


@long_run
def test_example_pictures_show_the_same(fresh: Path) -> None:
    names = [n for n in files(fresh) if n.endswith(".png")]
    assert names
    for name in names:
        kept, new = (np.asarray(Image.open(folder / name).convert("L"), dtype=float) for folder in (KEPT, fresh))
        assert kept.shape == new.shape, name
        assert np.abs(kept - new).mean() < 1.0, name
