"""The same set gives the same bytes in whatever surroundings: hash seed, folder, language, time zone, threads, jobs."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from random import Random

from strutwright.params.loader import shipped

from .report import Outcome, Progress

PLAIN = {
    "PYTHONHASHSEED": "0",
    "LC_ALL": "C",
    "TZ": "UTC",
    "OMP_NUM_THREADS": "1",
    "OPENBLAS_NUM_THREADS": "1",
    "COLUMNS": "80",
}
LANGUAGES = ("C.utf8", "POSIX", "de_DE.UTF-8", "tr_TR.UTF-8", "ar_EG.UTF-8")
"""Those that the system does not have leave the library of C with its own."""
ZONES = ("Pacific/Kiritimati", "America/St_Johns", "Asia/Kathmandu", "UTC-14", "EST5EDT")
FOLDERS = ("a", "ä b", "deep/er/still", "ALL CAPS", "x" * 120, "%s {0}")


def surroundings(draw: Random) -> tuple[dict[str, str], str]:
    """Return other surroundings, and the name of a folder."""
    told = {
        "PYTHONHASHSEED": str(draw.randint(1, 2**32 - 1)),
        "LC_ALL": draw.choice(LANGUAGES),
        "TZ": draw.choice(ZONES),
        "OMP_NUM_THREADS": str(draw.choice((2, 3, 4, 8))),
        "OPENBLAS_NUM_THREADS": str(draw.choice((2, 3, 4))),
        "COLUMNS": str(draw.choice((40, 200))),
    }
    return told, draw.choice(FOLDERS)


def built(name: str, folder: Path, told: Mapping[str, str], jobs: int, options: Sequence[str]) -> dict[str, str]:
    """Return path -> digest of the outputs of a set that is built in a folder. Raises RuntimeError when it is not."""
    folder.mkdir(parents=True)
    done = subprocess.run(
        [sys.executable, "-m", "strutwright", "build", name, "--out", "out", "--quiet", "--jobs", str(jobs), *options],
        cwd=folder,
        env=os.environ | told,
        capture_output=True,
        check=False,
    )
    if done.returncode not in (0, 1):
        raise RuntimeError(f"ended with {done.returncode}: {done.stderr.decode(errors='replace')[-300:]}")
    out = folder / "out"
    return {
        p.relative_to(out).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in sorted(out.rglob("*"))
        if p.is_file()
    }


def run(outcome: Outcome, *, names: Sequence[str], seed: int, options: Sequence[str] = ()) -> None:
    """Build each set twice, plainly with one job and in other surroundings with two, and compare all bytes."""
    progress = Progress("bytes", len(names))
    for number, name in enumerate(names, 1):
        draw = Random(f"{seed} {name}")
        told, inner = surroundings(draw)
        with tempfile.TemporaryDirectory() as folder:
            try:
                plain = built(name, Path(folder) / "plain", PLAIN, 1, options)
                other = built(name, Path(folder) / "other" / inner, told, 2, options)
            except RuntimeError as error:
                outcome.found.append(f"{name}: {error}")
                continue
        differ = sorted(p for p in plain.keys() | other.keys() if plain.get(p) != other.get(p))
        outcome.count("sets built twice")
        outcome.count("files compared", len(plain))
        if differ:
            outcome.found.append(
                f"{name}: {len(differ)} files differ, {', '.join(differ[:3])}, in {told}, folder {inner}"
            )
        progress.step(number, outcome, name)


def every_set() -> list[str]:
    """Return the names of the shipped sets that are made to pass."""
    return [name for name in shipped() if not name.startswith("failing/")]
