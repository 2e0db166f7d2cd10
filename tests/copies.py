"""A copy of the program in a folder of its own, to be added to as a person would who follows DEVELOPERS.md."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import strutwright
from strutwright import exporters, models, params


class Copy:
    """A copy of the program. home: its package's folder."""

    def __init__(self, folder: Path) -> None:
        self.home = folder / "strutwright"
        # Compiled modules come along, so that only what is added to is compiled; not one that is being written.
        skip = shutil.ignore_patterns("*.pyc.*", "models", "params", "exporters")
        shutil.copytree(next(iter(strutwright.__path__)), self.home, ignore=skip)
        for package in (models, params, exporters):
            name = package.__name__.rpartition(".")[2]
            shutil.copytree(next(iter(package.__path__)), self.home / name, ignore=shutil.ignore_patterns("*.pyc.*"))

    def write(self, path: str, text: str) -> None:
        """Add a file to the package."""
        (self.home / path).write_text(text, encoding="utf-8")

    def before(self, path: str, mark: str, text: str) -> None:
        """Add text to a file before the first place where the mark stands."""
        file = self.home / path
        head, found, rest = file.read_text(encoding="utf-8").partition(mark)
        assert found, f"{path} has no {mark!r}"
        file.write_text(head + text + found + rest, encoding="utf-8")

    def after(self, path: str, mark: str, text: str) -> None:
        """Add text to a file after the first place where the mark stands."""
        file = self.home / path
        head, found, rest = file.read_text(encoding="utf-8").partition(mark)
        assert found, f"{path} has no {mark!r}"
        file.write_text(head + found + text + rest, encoding="utf-8")

    def run(self, work: str, *words: str) -> str:
        """Run a program that imports the copy, in a process of its own; return what it prints."""
        done = subprocess.run(
            [sys.executable, "-c", work, *words],
            env={**os.environ, "PYTHONPATH": str(self.home.parent)},
            cwd=self.home.parent,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout
