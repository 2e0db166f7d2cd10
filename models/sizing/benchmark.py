"""How fast candidates go through all the checks here: time, processor time and memory for counts from a thousand up."""

from __future__ import annotations

import gc
import math
import os
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Floats
from strutwright.models.checks import OF_FAMILY as FINDERS
from strutwright.models.checks import engineering, of_many
from strutwright.models.checks.results import Results
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sizing.candidates import candidates, why_not
from strutwright.models.sizing.judge import CHUNK, Judge, judged_in_pieces, processes
from strutwright.models.sizing.sift import within as within_checks
from strutwright.params.limits import Limits
from strutwright.params.loader import Loaded
from strutwright.params.part_kinds import STRUT

SMALLEST = 1000
RANGE = 0.15
"""How far each size is varied about the file's own, as a share."""
VARIED = {
    STRUT: (
        "barrel.wall",
        "barrel.length",
        "arms.section.chord",
        "arms.section.thickness",
        "arms.section.chord_at_palm",
        "arms.section.thickness_at_palm",
        "palm.thickness",
        "palm.outline.length",
        "palm.outline.width",
        "bolts.pattern.pitch_along",
        "bolts.pattern.pitch_across",
    ),
    "flanged_housing": (
        "barrel.wall",
        "barrel.length",
        "flange.thickness",
        "flange.outline.diameter",
        "flange.outline.length",
        "flange.outline.width",
        "bolts.pattern.diameter",
        "bolts.pattern.pitch_along",
        "bolts.pattern.pitch_across",
        "bolts.engaged",
        "spigot.length",
    ),
    "let_in_housing": (
        "barrel.wall",
        "barrel.length",
        "collar.diameter",
        "collar.thickness",
        "stands_out",
        "structure.thickness",
        "structure.outside_diameter",
        "structure.depth",
        "bedded.gap",
        "welded.leg",
        "locking_screws.bite",
    ),
    "rudder_shoe": (
        "boss.wall",
        "boss.length",
        "bush.length",
        "plate.thickness",
        "plate.outline.length",
        "plate.outline.width",
        "plate.outline.width_forward",
        "plate.outline.width_aft",
        "bolts.pattern.pitch_along",
        "bolts.pattern.pitch_across",
        "keel.end",
    ),
    "shaft_hanger": (
        "barrel.wall",
        "barrel.length",
        "web.length",
        "web.thickness",
        "foot.height",
        "foot.thickness",
        "foot.outline.length",
        "foot.outline.width",
        "bolts.pattern.pitch_along",
        "bolts.pattern.pitch_across",
        "cap.ear_out",
    ),
}
"""What is varied of each kind of part, as far as a file has it."""


_PRIMES = (2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One count: seconds on the clock and of processors, microseconds of one processor to a candidate, most memory of
    the process and of the largest of its workers (MB), checks, how many candidates are surely within all of them, and
    the seconds on the clock in which these alone are found."""

    count: int
    wall_s: float
    cpu_s: float
    per_candidate_us: float
    memory_mb: float
    checks: int
    within: int
    sifted_s: float

    def as_dict(self) -> dict[str, float]:
        """Return plain data for JSON."""
        return asdict(self)

    def line(self) -> str:
        """Return the row of the table."""
        return (
            f"{self.count:>11}  {self.wall_s:>8.2f}  {self.cpu_s:>11.2f}  {self.per_candidate_us:>8.1f}  "
            f"{self.memory_mb:>6.0f}  {self.checks:>6}  {self.within:>6}  {self.sifted_s:>14.2f}"
        )


@dataclass(frozen=True, slots=True)
class Scattered:
    """Candidates spread evenly about a file's own sizes, made as they are asked for (Kronecker's sequence)."""

    middle: dict[str, float]
    count: int

    def at(self, which: NDArray[np.intp]) -> dict[str, Floats]:
        """Return the values of candidates by their numbers."""
        n = which.astype(np.float64) + 1.0
        return {
            path: mm * (1.0 - RANGE + 2.0 * RANGE * ((0.5 + n * math.sqrt(prime)) % 1.0))
            for (path, mm), prime in zip(self.middle.items(), _PRIMES, strict=False)
        }


def _middle_of(resolved: Resolved) -> dict[str, float]:
    """Return the sizes of a file that the benchmark varies, path -> mm."""
    records = {r.path: r.value for r in resolved.records}
    found: dict[str, float] = {}
    for path in VARIED.get(resolved.strut.family, ()):
        value = records.get(path)
        if isinstance(value, float) and value > 0 and why_not(resolved, (*found, path)) is None:
            found[path] = value
    return found


def run(
    loaded: Loaded,
    largest: int,
    workers: int | None = None,
    say: Callable[[str], None] | None = None,
    limits: Limits | None = None,
) -> list[Row]:
    """Return a row for each count from SMALLEST to largest, by tens.

    workers: processes, as many as processors when left out; ValueError for fewer than 1. say: is given each line of a
    table as it is known. limits: as shipped when left out.

    >>> run(loaded("canal-tender"), 999)  # fewer than the smallest count
    []
    """
    resolved = resolve(loaded, limits)
    judge = Judge.of(loaded, resolved, limits)
    middle, checks = _middle_of(resolved), len(judge.outcomes(candidates(loaded, resolved, {}, judge.base))[0])
    rows: list[Row] = []
    if say:
        say(
            f"{resolved.strut.identity.name}: {len(middle)} sizes varied by {RANGE:.0%} either way, "
            f"{processes(workers)} processes"
        )
        say(
            f"{'candidates':>11}  {'seconds':>8}  {'processor s':>11}  {'us each':>8}  {'MB':>6}  {'checks':>6}  "
            f"{'within':>6}  found alone, s"
        )
    count = SMALLEST
    while count <= largest:
        rows.append(_row(judge, Scattered(middle, count), checks, workers))
        if say:
            say(rows[-1].line())
        count *= 10
    if say:
        r = rows[-1]
        say(
            f"measured here: {r.count} candidates through {r.checks} checks in {r.wall_s:.2f} s on the clock, "
            f"{r.cpu_s:.2f} s of processor time; those within alone found in {r.sifted_s:.2f} s"
        )
    return rows


def _row(judge: Judge, source: Scattered, checks: int, workers: int | None) -> Row:
    """Return what one count of candidates takes."""
    gc.collect()
    started, used = time.perf_counter(), _processor_s()
    found = sum(int((piece.level == 0).sum()) for piece in judged_in_pieces(judge, source, workers))
    wall, cpu = time.perf_counter() - started, _processor_s() - used
    memory = _memory_mb(workers)
    started = time.perf_counter()
    within_checks(judge, source, workers)
    return Row(
        count=source.count,
        wall_s=wall,
        cpu_s=cpu,
        per_candidate_us=1e6 * cpu / source.count,
        memory_mb=memory,
        checks=checks,
        within=found,
        sifted_s=time.perf_counter() - started,
    )


def stages(loaded: Loaded, limits: Limits | None = None) -> dict[str, float]:
    """Return where the time of one full piece of candidates goes: stage -> microseconds of processor time to each.

    What several groups of the engineering ask for is worked out once and counted with the first that asks; "ranking and
    the rest" is the whole less all the others, 0.0 where that is less than the clock tells. limits: as shipped when
    left out.

    >>> list(stages(loaded("canal-tender")))[:2]
    ['candidates made', 'geometry checks']
    """
    resolved = resolve(loaded, limits)
    judge = Judge.of(loaded, resolved, limits)
    source = Scattered(_middle_of(resolved), CHUNK)
    judge.judge(source.at(np.arange(CHUNK)), enough=0)  # tables are read, modules loaded
    clock = time.process_time
    started = clock()
    judge.judge(source.at(np.arange(CHUNK)), enough=0)
    whole = clock() - started
    times: dict[str, float] = {}
    started = clock()
    made = candidates(loaded, resolved, source.at(np.arange(CHUNK)), judge.base)
    times["candidates made"] = clock() - started
    started = clock()
    out = Results(made, judge.limits, tells=False, roll=False)
    for module in FINDERS[resolved.strut.family]:
        if module not in judge.measured:
            of_many(out, module)
    times["geometry checks"] = clock() - started
    with np.errstate(all="ignore"):
        for name in engineering.OF_FAMILY[resolved.strut.family]:
            started = clock()
            engineering.MODULES[name].numbers(made.inputs)
            times[name] = clock() - started
    times["ranking and the rest"] = max(0.0, whole - sum(times.values()))
    return {name: 1e6 * seconds / CHUNK for name, seconds in times.items()}


def _processor_s() -> float:
    """Processor seconds of this process and of the children that have ended."""
    t = os.times()
    return t.user + t.system + t.children_user + t.children_system


def _memory_mb(workers: int | None = None) -> float:
    """Return the most memory so far, MB: this process, and its largest child times the workers; nan where the system
    does not say.

    Forked workers share what they do not change, so the true sum is less.
    """
    try:
        import resource
    except ImportError:
        return math.nan
    unit = 1024.0 if os.uname().sysname == "Linux" else 1024.0 * 1024.0
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    child = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    return (own + child * processes(workers)) / unit
