"""out_examples/ is what the program writes today, byte for byte (pictures but for a few grey levels)."""
from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from PIL import Image

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
    regenerate().examples(folder)
    return folder


def files(folder: Path) -> set[str]:
    """Return the files below a folder as relative paths."""
    return {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}


def test_examples_are_up_to_date(fresh: Path) -> None:
    assert files(KEPT) == files(fresh), "run: python -m tests.regenerate examples"
    changed = [name for name in sorted(files(fresh)) if not name.endswith((".png", "manifest.json"))
               and (KEPT / name).read_bytes() != (fresh / name).read_bytes()]
    assert changed == [], "run: python -m tests.regenerate examples"


def test_example_pictures_show_the_same(fresh: Path) -> None:
    names = [n for n in files(fresh) if n.endswith(".png")]
    assert names
    for name in names:
        kept, new = (np.asarray(Image.open(folder / name).convert("L"), dtype=float) for folder in (KEPT, fresh))
        assert kept.shape == new.shape, name
        assert np.abs(kept - new).mean() < 1.0, name
