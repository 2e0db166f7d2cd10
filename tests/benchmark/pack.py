"""What a whole pack costs, and how much of it is the kernel's and the writers': python -m tests.benchmark.pack [SET].

Printed in one run: each stage with the share of the CAD kernel, of the libraries that write and draw, and of the
program with its arrays; a build by the command line in one process and in two; another wall to a new solid; the size of
the STEP file. The shares are of a run under a profiler, which makes many short calls look dearer than they are: the
program's own share is rather too high than too low. What the kernel is asked twice counts as the kernel's own.
"""

from __future__ import annotations

import cProfile
import pstats
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, replace
from pathlib import Path

from strutwright import cli, outputs
from strutwright.job import run_checks
from strutwright.models.solids import Built, build

OVER_LIBRARIES, TWO_OVER_ONE, BEYOND_KERNEL_S, STEP_KB = 1.3, 0.7, 1.5, 300.0
"""Wanted: the pack over its libraries' own time, two processes over one, a new solid beyond the kernel's own time, and
the STEP file of a single-arm strut."""
LIBRARIES = ("ezdxf", "reportlab", "fontTools", "PIL", "pypdfium2", "vtkmodules", "trimesh", "cadquery", "pypdf")
KERNEL, LIBRARY, OWN = "kernel", "libraries", "own"


@dataclass(frozen=True)
class Spent:
    """Time by owner, s."""

    kernel: float
    libraries: float
    own: float

    @property
    def all(self) -> float:
        return self.kernel + self.libraries + self.own

    def __add__(self, other: Spent) -> Spent:
        return Spent(self.kernel + other.kernel, self.libraries + other.libraries, self.own + other.own)

    def line(self, what: str) -> str:
        shares = f"kernel {self.kernel:6.2f}, libraries {self.libraries:6.2f}, own {self.own:6.2f}"
        return f"{what:24} {self.all:7.2f} s: {shares}"


def owner(file: str, function: str) -> str:
    """Whose a function is, as the profiler names it."""
    if "OCP." in function or "/OCP/" in file:
        return KERNEL
    named = f"{file} {function}"
    if any(f"/{library}" in file or f"{library}." in function for library in LIBRARIES) or "frozen importlib" in named:
        return LIBRARY
    return LIBRARY if "marshal.loads" in named or "_imp." in named else OWN


def spent(work: object) -> Spent:
    """Return what a piece of work cost, by owner. work: called without arguments."""
    profile = cProfile.Profile()
    profile.runcall(work)  # type: ignore[arg-type]
    by = {KERNEL: 0.0, LIBRARY: 0.0, OWN: 0.0}
    for (file, _, function), row in pstats.Stats(profile).stats.items():  # type: ignore[attr-defined]
        by[owner(file, function)] += row[2]
    return Spent(by[KERNEL], by[LIBRARY], by[OWN])


def by_command_line(name: str, jobs: int) -> float:
    """Return the seconds on the clock of one build."""
    with tempfile.TemporaryDirectory() as folder:
        begun = time.perf_counter()
        command = [sys.executable, "-m", "strutwright", "build", name, "--quiet", "--out", f"{folder}/out"]
        subprocess.run([*command, "--jobs", str(jobs)], stdout=subprocess.DEVNULL, check=False)
        return time.perf_counter() - begun


def main(name: str = "harbour-launch") -> int:
    """Print all and return the exit status."""
    found = cli.resolved(name)
    made: list[Built] = []
    whole = spent(lambda: made.append(build(found.strut)))
    print(whole.line("solids"))
    with tempfile.TemporaryDirectory() as out:
        folder = Path(out)
        work = outputs.OneHand(
            resolved=found,
            strut=found.strut,
            parameters_name=f"{name}.yaml",
            parameters_sha256="0" * 64,
            order=outputs.Order(out=folder, what=tuple(outputs.STAGES)),
            folder=folder,
            files={},
            findings=run_checks(found),
            progress=outputs.Telling(lambda told: None),
            guard=None,
        )
        for kind in outputs.STAGES:
            stage = spent(lambda kind=kind: outputs.make_kind(work, made[0], kind))
            print(stage.line(outputs.STAGES[kind][0]))
            whole += stage
        step_kb = max(p.stat().st_size for p in (folder / "solids").glob("*.step")) / 1000.0
    over = whole.all / (whole.kernel + whole.libraries)
    print(whole.line("whole pack"))
    print(f"over what kernel and libraries take themselves: {over:.2f} times, wanted {OVER_LIBRARIES}")
    one, two = by_command_line(name, 1), by_command_line(name, 2)
    print(f"by the command line: one process {one:.1f} s, two {two:.1f} s: {two / one:.2f}, wanted {TWO_OVER_ONE}")
    other = replace(found.strut, barrel=replace(found.strut.barrel, outside_mm=found.strut.barrel.outside_mm + 1.0))
    fresh = spent(lambda: build(other))
    beyond = fresh.libraries + fresh.own
    print(f"another wall to a new solid: {fresh.all:.2f} s, {beyond:.2f} s beyond the kernel, wanted {BEYOND_KERNEL_S}")
    print(f"STEP file {step_kb:.0f} kB, wanted {STEP_KB:g}")
    good = over <= OVER_LIBRARIES and two <= TWO_OVER_ONE * one and beyond <= BEYOND_KERNEL_S and step_kb <= STEP_KB
    return int(not good)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
