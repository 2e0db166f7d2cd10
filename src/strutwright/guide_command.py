"""The command `guide`: the user guide as pages of text, and as a site where the generator of sites is installed."""

from __future__ import annotations

import argparse
import importlib.util
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strutwright.errors import Exit, UserError, no_place, refuse_existing

if TYPE_CHECKING:
    from strutwright.exporters.guide.pages import Command

_SHEET = re.compile(r".+-\d\d-(?P<name>\D+)\.png\Z")


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    command = add("guide", run, "write the user guide: a worked job for each person, parameters, limits, sources")
    command.add_argument("folder", metavar="FOLDER", help="a new folder for it")
    command.add_argument(
        "--pictures", metavar="BUILD", nargs="+", default=[], help="folders of builds whose pictures it shows"
    )
    command.add_argument(
        "--site", action="store_true", help="make a site of it too (`.venv/bin/pip install '.[guide]'`)"
    )


def run(arguments: argparse.Namespace) -> int:
    """Write the guide to a new folder, whole or not at all."""
    from strutwright.exporters.files.outdir import lacking_of, no_room, remove_empty
    from strutwright.exporters.guide.pages import pages, site
    from strutwright.models.checks.what_fails import failing

    folder = Path(arguments.folder)
    refuse_existing(folder)
    if arguments.site and importlib.util.find_spec("material") is None:
        raise UserError("guide: --site needs the generator of sites; `.venv/bin/pip install '.[guide]'` brings it")
    pictures = dict(_pictures(arguments.pictures))
    rows = [(", ".join(f"`{c}`" for c in f.codes), f.asked, f.at, f.rests, f.comes_of_it) for f in failing()]
    made = pages(list(commands()), rows, list(pictures))
    new, lacking = folder.with_name(f".{folder.name}.strutwright-new-{os.getpid()}"), lacking_of(folder.parent)
    try:
        for name, text in made.items():
            path = new / "docs" / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        for name, source in pictures.items():
            (new / "docs" / "pictures").mkdir(exist_ok=True)
            shutil.copyfile(source, new / "docs" / "pictures" / name)
        (new / "mkdocs.yml").write_text(site(), encoding="utf-8")
        if arguments.site:
            _site(new)
        new.rename(folder)
    except OSError as error:
        words = no_room(error, str(folder)) or f"{folder}: cannot be written ({no_place(folder, error)})"
        raise UserError(words) from None
    finally:
        shutil.rmtree(new, ignore_errors=True)
        remove_empty(lacking)
    begin = folder / ("site/index.html" if arguments.site else "docs/index.md")
    print(f"{len(made)} pages and {len(pictures)} pictures; begin with {begin}")
    return Exit.PASS


def commands() -> Iterator[Command]:
    """Yield the commands of the program, by its own parser."""
    from strutwright.cli import parser
    from strutwright.exporters.guide.pages import Command

    top = parser()
    subs = next(a for a in top._actions if isinstance(a, argparse._SubParsersAction))
    for name, sub in subs.choices.items():
        takes = tuple(
            (f"`{', '.join(a.option_strings) or a.metavar or a.dest}`", a.help % {**vars(a), "prog": sub.prog})
            for a in sub._actions
            if a.help and a.dest != "help"
        )
        yield Command(name, sub.description or "", sub.format_usage().removeprefix("usage: ").strip(), takes)


def _pictures(builds: Sequence[str]) -> Iterator[tuple[str, Path]]:
    """Pictures of builds by the names that pages have for them; of the same of several builds the first."""
    seen = set[str]()
    for build in map(Path, builds):
        if not build.is_dir():
            raise UserError(f"{build}: is no folder of a build")
        found = [("picture.png", path) for path in sorted(build.glob("*.png"))]
        found += [(f"{m['name']}.png", p) for p in sorted(build.glob("sheets/*.png")) if (m := _SHEET.match(p.name))]
        for name, path in found:
            if name not in seen:
                seen.add(name)
                yield name, path


def _site(folder: Path) -> None:
    """Make the site in a folder. Raises UserError where the generator refuses."""
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet", "--config-file", "mkdocs.yml"]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    if done.returncode:
        raise UserError(f"guide: the site could not be made: {' '.join((done.stderr or done.stdout).split())[-300:]}")
