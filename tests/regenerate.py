"""Write what is generated and kept in the repository: `python -m tests.regenerate [schema] [examples]`.

schema: params/strut.schema.json. examples: out_examples/, the output of two shipped sets, and the README's pictures.
Without a word, both.
"""

from __future__ import annotations

import shutil
import sys
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
EXAMPLES = ("harbour-launch", "yawl-with-heel")
PICTURED = EXAMPLES[0]
LEFT_OUT = ("meshes",)
"""Meshes are large and follow from the solids."""


def schema() -> None:
    """Write the JSON Schema of a parameter file."""
    from strutwright.params.explain import SCHEMA_FILE, schema_text

    SCHEMA_FILE.write_text(schema_text(), encoding="utf-8")


def examples(folder: Path, names: Sequence[str] = EXAMPLES) -> None:
    """Write the example outputs of sets into a folder, replacing what is there, and the README's pictures of one."""
    from strutwright.cli import WHAT, find, resolved
    from strutwright.job import build_set
    from strutwright.outputs import Order

    for name in names:
        made = build_set(
            resolved(name), find(name), Order(out=folder / name, what=tuple(w for w in WHAT if w not in LEFT_OUT))
        )
        if made.folder is None:
            why = "; ".join(f"{f.code} {f.about('mm')}: {f.to_do('mm')}" for f in made.findings if f.fails)
            raise SystemExit(f"{name}: {why}")
    if PICTURED in names:
        pictures(folder)


def pictures(folder: Path) -> None:
    """Write the README's pictures from the example outputs."""
    from strutwright.cli import resolved
    from strutwright.exporters.drawing.pdf import png_pages
    from strutwright.exporters.files.patterns import palm_pattern
    from strutwright.exporters.files.tiles import roll_pdf

    target = folder / "pictures"
    shutil.rmtree(target, ignore_errors=True)
    target.mkdir(parents=True)
    name = PICTURED
    shutil.copy(next((folder / name).glob("*.png")), target / f"{name}.png")
    strut = resolved(name).strut
    page = roll_pdf(palm_pattern(strut, strut.palms[0], "water face"), "palm, water face")
    (target / f"{name}-palm.png").write_bytes(png_pages(page, 90.0 / 72.0)[0])


def main(words: list[str]) -> None:
    """Do what the words say; everything without a word."""
    if not words or "schema" in words:
        schema()
    if not words or "examples" in words:
        examples(ROOT / "out_examples")


if __name__ == "__main__":
    main(sys.argv[1:])
