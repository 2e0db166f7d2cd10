"""Write what is generated and kept here: `python -m tests.regenerate [schema] [readme] [viewer] [examples]`.

schema: params/strut.schema.json. readme: the README's table of what fails. viewer: exporters/web/viewer/bundle.js, the
script of the job's page with the library it stands on, and that library's licence (needs npm and a network). examples:
out_examples/, the output of two shipped sets, and the README's pictures. Without a word, all.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
EXAMPLES = ("harbour-launch", "yawl-with-heel")
PICTURED = EXAMPLES[0]
LEFT_OUT = ("meshes", "view")
"""Meshes and models are large and follow from the solids."""


def schema() -> None:
    """Write the JSON Schema of a parameter file."""
    from strutwright.params.explain import schema_file, schema_text
    from strutwright.params.part_kinds import FAMILIES

    for family in FAMILIES:
        schema_file(family).write_text(schema_text(family), encoding="utf-8")


FAILS = "<!-- what fails: written by `python -m tests.regenerate readme` -->\n", "<!-- end of what fails -->\n"
"""What stands before and after the README's table."""


def fails_table() -> str:
    """Return the table of what fails."""
    from strutwright.exporters.guide.pages import table
    from strutwright.models.checks.what_fails import failing

    heads = ("check", "what is asked", "limit", "rests on", "or else")
    return table(
        heads, [(", ".join(f"`{c}`" for c in f.codes), f.asked, f.at, f.rests, f.comes_of_it) for f in failing()]
    )


def readme() -> None:
    """Write the README's table of what fails."""
    path = ROOT / "README.md"
    before, _, rest = path.read_text(encoding="utf-8").partition(FAILS[0])
    _, _, after = rest.partition(FAILS[1])
    path.write_text(before + FAILS[0] + fails_table() + FAILS[1] + after, encoding="utf-8")


VIEWER = ROOT / "exporters" / "web" / "viewer"
LICENCE = "three-LICENSE.txt"


def bundled() -> dict[str, bytes]:
    """Return what `viewer` writes, by name: the versions are those of the lock file beside the source."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        for name in ("package.json", "package-lock.json", "viewer.js", "body.js"):
            shutil.copy(VIEWER / name, folder / name)
        subprocess.run(["npm", "ci", "--silent", "--no-audit", "--no-fund"], cwd=folder, check=True)
        licence = (folder / "node_modules" / "three" / "LICENSE").read_text(encoding="utf-8")
        version = json.loads((folder / "package-lock.json").read_text(encoding="utf-8"))["packages"][
            "node_modules/three"
        ]
        banner = f"/* Made of viewer.js and three.js {version['version']}, whose licence is:\n\n{licence}*/"
        how = ["--bundle", "--minify", "--format=iife", "--legal-comments=none", f"--banner:js={banner}"]
        program = str(folder / "node_modules" / ".bin" / "esbuild")
        done = subprocess.run([program, "viewer.js", *how], cwd=folder, check=True, capture_output=True)
        return {"bundle.js": done.stdout, LICENCE: licence.encode("utf-8")}


def viewer() -> None:
    """Write the script of the job's page."""
    for name, data in bundled().items():
        (VIEWER / name).write_bytes(data)


def examples(folder: Path, names: Sequence[str] = EXAMPLES) -> None:
    """Write the example outputs of sets into a folder, replacing what is there, and the README's pictures of one."""
    from strutwright.cli import WHAT, find, resolved
    from strutwright.job import build_set
    from strutwright.outputs import Order

    for name in names:
        shutil.rmtree(folder / name, ignore_errors=True)  # a build keeps what it does not make again
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
    """Do what the words say; all without a word."""
    if not words or "schema" in words:
        schema()
    if not words or "readme" in words:
        readme()
    if not words or "viewer" in words:
        viewer()
    if not words or "examples" in words:
        examples(ROOT / "out_examples")


if __name__ == "__main__":
    main(sys.argv[1:])
