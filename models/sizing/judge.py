"""Every check on a batch of candidates: level, what governs, how much of it is used, weight; on all processors.

A check is judged as its finding on one strut is: the modules themselves are asked what breaking a number means, so that
hints stay hints and warnings warnings.
"""

from __future__ import annotations

import dataclasses
import functools
import math
import multiprocessing
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from types import ModuleType
from typing import Any, NamedTuple, Protocol, TypeAlias, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Floats
from strutwright.models.checks import CHECKS as GEOMETRY_CHECKS
from strutwright.models.checks import MEASURED, OF_FAMILY, engineering, of_many
from strutwright.models.checks.engineering import CHECKS, MODULES
from strutwright.models.checks.fit import barrel_bearing
from strutwright.models.checks.geometry.clearances import FUTILE
from strutwright.models.checks.outcome import Outcome, worst_of
from strutwright.models.checks.results import Results, outcomes_of
from strutwright.models.checks.strength import load_cases
from strutwright.models.finding import FAILS, WARNS, WITHIN, Finding, Standing, Verdict, beyond
from strutwright.models.inputs import PATHS, Inputs
from strutwright.models.resolve import Resolved
from strutwright.models.sizing.candidates import candidates
from strutwright.models.struts import Struts
from strutwright.params import limits as limit_table
from strutwright.params import readings
from strutwright.params.limits import Limits
from strutwright.params.loader import Loaded

CHUNK = 8192
"""Candidates worked out at once: 64 kB to an array, so that what is in use stays in the cache."""
ENOUGH = 16
"""Candidates that a search goes on with."""
CANNOT = "cannot_be_built"
"""The code of candidates whose sizes make no strut."""
CODES = (CANNOT, *sorted({*GEOMETRY_CHECKS, *CHECKS}))
"""Every code that may govern."""
_MOST = 1e5


class Severity(NamedTuple):
    """How a strut stands by a number of the engineering that breaks its limit, and by one that cannot be worked out.

    always: the latter whatever the number, as another of the file's own load cases cannot be.
    """

    broken: int
    unknown: int
    always: bool


Severities: TypeAlias = dict[tuple[tuple[bool, ...], frozenset[str], str], dict[str, Severity]]
"""What numbers of the engineering mean, by which inputs are not known, which numbers there are, and of which module."""


class Source(Protocol):
    """Candidates that are made a piece at a time."""

    @property
    def count(self) -> int:
        """How many there are."""

    def at(self, which: NDArray[np.intp]) -> dict[str, Floats]:
        """Return the values of candidates by their numbers, path -> array, in mm, degrees, kW, ..."""


@dataclass(frozen=True, slots=True)
class Listed:
    """Candidates that are there as arrays of one length."""

    columns: Mapping[str, Floats]

    @property
    def count(self) -> int:
        """How many there are."""
        return len(next(iter(self.columns.values())))

    def at(self, which: NDArray[np.intp]) -> dict[str, Floats]:
        """Return the values of candidates by their numbers."""
        return {path: column[which] for path, column in self.columns.items()}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Judged:
    """How candidates stand. Arrays (count,).

    level: 0 within, 1 warning, 2 failure, of all checks; own: the same of those alone that the candidates move.
    governing: index into codes of the check most used, a broken one before a kept one, among those that the candidates
    move (of all, where they move none); utilisation: of that one (nan: it has no ratio). fails, warns: how many checks
    do. weight_kg: of the finished strut, nan of one that cannot be built. unsure: those that fail because no bound
    clears them and they were not measured.
    """

    codes: tuple[str, ...]
    level: NDArray[np.int8]
    own: NDArray[np.int8]
    governing: NDArray[np.int16]
    utilisation: Floats
    fails: NDArray[np.int16]
    warns: NDArray[np.int16]
    weight_kg: Floats
    drag_n: Floats
    unsure: NDArray[np.bool_]

    def code(self, index: int) -> str:
        """Return the code of the check that governs a candidate."""
        return self.codes[int(self.governing[index])]

    def some(self, which: NDArray[np.intp]) -> Judged:
        """Return how some of the candidates stand."""
        return Judged(codes=self.codes, **{name: getattr(self, name)[which] for name in ROWS})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Judge:
    """What is needed to judge candidates of a file. base: the inputs of the file's own strut; still: checks that these
    candidates do not move, by code, and how they stand; roll: whether the ball of each root is rolled
    (`checks.geometry.roots`)."""

    loaded: Loaded
    resolved: Resolved
    base: Inputs
    limits: Limits
    still: Mapping[str, int] = field(default_factory=dict)
    roll: bool = False
    settled: dict[tuple[frozenset[str], str], dict[str, Outcome]] = field(default_factory=dict)
    """How the checks of a module stand that arrays at some paths do not move."""
    severities: Severities = field(default_factory=dict)
    """Those that are known already."""

    @classmethod
    def of(cls, loaded: Loaded, resolved: Resolved, limits: Limits | None = None) -> Judge:
        """Return the judge of a file's candidates. limits: of the checks, as shipped when left out."""
        limits = dict(limit_table.standard() if limits is None else limits)
        inputs = Inputs.from_strut(resolved.strut, resolved.said.loads, limits=limits)
        return cls(loaded=loaded, resolved=resolved, base=inputs, limits=limits)

    @property
    def measured(self) -> tuple[ModuleType, ...]:
        """The modules that look at candidates one by one where a bound does not tell; none for a part without arms."""
        own = OF_FAMILY[self.resolved.strut.family]
        return tuple(module for module in MEASURED if module in own)

    def severity(self, inputs: Inputs, codes: frozenset[str], module: str = "") -> Mapping[str, Severity]:
        """Return what the numbers of candidates with these inputs mean, by code; those that are held to nothing are
        left out. codes: of the numbers; module: whose they are, of all when left out. It follows what is known of them:
        a blade's mass that is given makes its load more than a guess."""
        known = {name: float(np.ravel(getattr(inputs, name))[0]) for name in PATHS}
        key = tuple(math.isnan(value) for value in known.values()), codes, module
        if key not in self.severities:
            one = replace(self.base, **cast(dict[str, Any], known))
            names = (module,) if module else engineering.OF_FAMILY[self.resolved.strut.family]
            self.severities[key] = _severities(self.resolved, one, names)
        return self.severities[key]

    def outcomes(
        self,
        made: Struts,
        paths: frozenset[str] = frozenset(),
        enough: int = ENOUGH,
        unsure: NDArray[np.bool_] | None = None,
    ) -> tuple[dict[str, Outcome], Any, Any]:
        """Return how candidates stand against every check, by code, their weight, kg, and the drag of their arms, N.

        paths: what varies, where all of it is arrays. Unless the balls are rolled, of many only those that do not fail
        already are held to the checks that measure, best first, until `enough` do not fail; unsure: is marked as in
        `Judged`.
        """
        out = Results(made, self.limits, tells=False, roll=self.roll)
        measured = self.measured
        for module in OF_FAMILY[self.resolved.strut.family]:
            if module not in measured:
                out.outcomes |= self._module(out, module, paths)
        numbers = engineering_numbers(made.inputs, self.resolved, self.base)
        out.outcomes |= self.held(made.inputs, numbers)
        weight = numbers["strut_weight"].demand
        drag = numbers["arm_drag"].demand if "arm_drag" in numbers else math.nan
        if self.roll or made.count == 1:
            for module in measured:
                out.outcomes |= self._module(out, module, frozenset())
        elif measured and len(best := _best_first(made, out.outcomes, self.cost_kg(weight, drag))):
            out.outcomes |= self._measured(made, best, enough, unsure)
        return out.outcomes, weight, drag

    def geometry(self, made: Struts, module: ModuleType) -> dict[str, Outcome]:
        """Return how candidates stand against the checks of a module of the geometry, by code."""
        return of_many(Results(made, self.limits, tells=False, roll=self.roll), module)

    def held(self, inputs: Inputs, numbers: Mapping[str, Outcome], *, some: bool = False) -> dict[str, Outcome]:
        """Return how candidates stand by the engineering's numbers, or some of them, by code; what is held to nothing
        is left out."""
        severities = self.severity(inputs, frozenset() if some else frozenset(numbers))
        return self._by(numbers, severities)

    def _by(self, numbers: Mapping[str, Outcome], severities: Mapping[str, Severity]) -> dict[str, Outcome]:
        apart = engineering.left_out(self.resolved.strut)
        return {
            code: _held(found, severities[code], CHECKS[code].unit)
            for code, found in numbers.items()
            if code in severities and code not in apart
        }

    def cost_kg(self, weight_kg: Any, drag_n: Any) -> Any:
        """Return what a search wants least: weight, and drag by the weight it counts as, kg. Drag that is not known
        counts as none."""
        return weight_kg + self.limits["drag_as_weight"].value * np.nan_to_num(drag_n)

    def _measured(
        self, made: Struts, which: NDArray[np.intp], enough: int, unsure: NDArray[np.bool_] | None
    ) -> dict[str, Outcome]:
        """How candidates stand against what measures them, of these alone, best first; the others count as clear."""
        some = Results(made.some(which), self.limits, tells=False, roll=False, order=range(len(which)), enough=enough)
        some.unsure = np.zeros(len(which), dtype=bool)
        found: dict[str, Outcome] = {}
        for module in self.measured:
            found |= of_many(some, module)
        if unsure is not None:
            unsure[which] = some.unsure
        return {code: _spread_over(made.count, which, held) for code, held in found.items()}

    def _module(self, out: Results, module: ModuleType, paths: frozenset[str]) -> dict[str, Outcome]:
        known = self.settled.get((paths, module.__name__))
        if known is not None:
            return known
        found = of_many(out, module)
        if paths and not any(np.ndim(h.level) or np.ndim(h.utilisation) for h in found.values()):
            self.settled[paths, module.__name__] = found
        return found

    def judge(self, values: Mapping[str, Floats | float], enough: int = ENOUGH) -> Judged:
        """Return how candidates stand. values: as for `candidates`; raises ValueError as that does. enough: as for
        `outcomes`; 0 measures none."""
        made = candidates(self.loaded, self.resolved, values, self.base)
        arrays = all(np.ndim(v) for v in values.values())
        unsure = np.zeros(made.count, dtype=bool)
        held = self.outcomes(made, frozenset(values) if arrays else frozenset(), enough, unsure)
        judged = replace(self._judged(made, *held), unsure=unsure)
        for known in (made, made.inputs):
            known.forget()
        return judged

    def own(self) -> tuple[Judged, Mapping[str, Outcome]]:
        """Return how the file's own part stands, and how it stands against every check of its kind, by code.

        >>> judged, held = Judge.of(loaded("canal-tender"), resolved("canal-tender")).own()
        >>> judged.level.tolist(), float(held["barrel_wall"].utilisation)  # 5 mm of 8
        ([0], 0.625)
        """
        made = replace(Struts.of(self.resolved.strut, self.resolved.said.loads), made_inputs=lambda: self.base)
        held, weight, drag = self.outcomes(made)
        return self._judged(made, held, weight, drag), held

    def by_group(self) -> dict[str, Callable[[], dict[str, Outcome]]]:
        """Return what tells how the file's own part stands against the checks of a group, by the names of the groups.

        >>> groups = Judge.of(loaded("canal-tender"), resolved("canal-tender")).by_group()
        >>> float(groups["barrel"]()["barrel_wall"].utilisation)  # 5 mm of 8
        0.625
        """
        made = replace(Struts.of(self.resolved.strut, self.resolved.said.loads), made_inputs=lambda: self.base)

        def geometry(module: ModuleType) -> dict[str, Outcome]:
            return self.geometry(made, module)

        def numbers(name: str) -> dict[str, Outcome]:
            found = numbers_of(name, self.base, self.resolved, self.base)
            return self._by(found, self.severity(self.base, frozenset(found), name))

        family = self.resolved.strut.family
        return {
            **{m.__name__.rpartition(".")[2]: functools.partial(geometry, m) for m in OF_FAMILY[family]},
            **{f"numbers of {name}": functools.partial(numbers, name) for name in engineering.OF_FAMILY[family]},
        }

    def _judged(self, made: Struts, held: Mapping[str, Outcome], weight_kg: Any, drag_n: Any) -> Judged:
        n = made.count
        best, code = np.full(n, -1.0), np.zeros(n, dtype=np.int16)
        used, fails, warns = np.full(n, np.nan), np.zeros(n, dtype=np.int16), np.zeros(n, dtype=np.int16)
        still: list[tuple[int, str, Outcome]] = []
        for index, name in enumerate(CODES):
            h = held.get(name)
            if h is None:
                continue
            if name in self.still or (np.ndim(h.level) == 0 and np.ndim(h.utilisation) == 0):
                still.append((index, name, h))
                continue
            broken = bool(np.any(h.level))
            if broken:
                fails += np.asarray(h.level) == FAILS
                warns += np.asarray(h.level) == WARNS
            # A use that is not known governs only where the check is broken.
            score = h.utilisation if not broken else _score(h)
            higher = score > best
            if higher.any():
                np.copyto(best, score, where=higher)
                np.copyto(code, index, where=higher)
                np.copyto(used, h.utilisation, where=higher)
        own, nothing = _level(fails, warns), best < 0
        for index, name, h in still:
            if name in self.still and np.ndim(h.level):
                own = np.where(h.level > self.still[name], np.maximum(own, h.level), own)
            fails += np.asarray(h.level) == FAILS
            warns += np.asarray(h.level) == WARNS
            if nothing.any():
                score = np.where(nothing, _score(h), -1.0)
                higher = score > best
                np.copyto(best, score, where=higher)
                np.copyto(code, index, where=higher)
                np.copyto(used, h.utilisation, where=higher)
        level = _level(fails, warns)
        bad = ~made.buildable
        level[bad], own[bad], code[bad], used[bad] = FAILS, FAILS, 0, np.nan
        weight = np.where(bad, np.nan, np.broadcast_to(weight_kg, (n,)))
        return Judged(
            codes=CODES,
            level=level.astype(np.int8),
            own=own.astype(np.int8),
            governing=code,
            utilisation=used,
            fails=fails,
            warns=warns,
            weight_kg=weight,
            drag_n=np.broadcast_to(drag_n, (n,)) + 0.0,
            unsure=np.zeros(n, dtype=bool),
        )


def _spread_over(count: int, which: NDArray[np.intp], held: Outcome) -> Outcome:
    """Return what was found of some candidates as one of all."""
    level, used = np.zeros(count, dtype=np.int8), np.full(count, np.nan)
    level[which], used[which] = held.level, held.utilisation
    return Outcome.at(level, used)


def _best_first(made: Struts, held: Mapping[str, Outcome], cost_kg: Any) -> NDArray[np.intp]:
    """Return the candidates that do not fail, those with fewer warnings first, then those of less weight and drag."""
    count = made.count
    fails, warns = ~made.buildable, np.zeros(count, dtype=np.int16)
    for h in held.values():
        fails = fails | (np.asarray(h.level) == FAILS)
        warns += np.asarray(h.level) == WARNS
    which = np.flatnonzero(~fails)
    return which[np.lexsort((np.broadcast_to(cost_kg, (count,))[which], warns[which]))]


def _level(fails: NDArray[np.int16], warns: NDArray[np.int16]) -> NDArray[Any]:
    return np.where(fails > 0, FAILS, np.where(warns > 0, WARNS, WITHIN))


def _score(h: Outcome) -> Any:
    """By which the governing check is chosen: a broken one before a kept one, then by its use."""
    return h.level * (2.0 * _MOST) + np.minimum(np.nan_to_num(h.utilisation, nan=-0.5, posinf=_MOST), _MOST)


def engineering_numbers(inputs: Inputs, resolved: Resolved, base: Inputs) -> dict[str, Outcome]:
    """Return every number of the engineering by code, of the worse bearing where there are two.

    base: the inputs of the file's own strut, from which the candidates' inputs were made.

    >>> own = engineering_inputs("canal-tender")
    >>> round(float(engineering_numbers(own, resolved("canal-tender"), own)["strut_weight"].demand), 1)  # kg
    2.6
    """
    out: dict[str, Outcome] = {}
    for name in engineering.OF_FAMILY[inputs.family]:
        out |= numbers_of(name, inputs, resolved, base)
    return out


def numbers_of(name: str, inputs: Inputs, resolved: Resolved, base: Inputs) -> dict[str, Outcome]:
    """Return the numbers of one module by code, as `engineering_numbers` has those of all.

    >>> own = engineering_inputs("canal-tender")
    >>> round(float(numbers_of("weights", own, resolved("canal-tender"), own)["strut_weight"].demand), 1)  # kg
    2.6
    """
    module = MODULES[name]
    with np.errstate(all="ignore"):
        out = dict(module.numbers(inputs))
        for k in range(1, len(resolved.strut.bearings) if module is barrel_bearing else 0):
            own = Inputs.from_strut(resolved.strut, resolved.said.loads, bearing=k, limits=base.limits)
            change = {
                f.name: getattr(own, f.name)
                for f in dataclasses.fields(Inputs)
                if f.name not in ("arms", "palms", "skeg", "flange")
                and np.ndim(getattr(inputs, f.name)) == 0
                and _differ(getattr(own, f.name), getattr(base, f.name))
            }
            for code, demand in barrel_bearing.numbers(replace(inputs, **change)).items():
                if code not in barrel_bearing.OF_ALL:
                    out[code] = worst_of([out[code], demand])
    return out


def _differ(one: Any, other: Any) -> bool:
    return bool(one != other) and not (one != one and other != other)


def _severities(resolved: Resolved, inputs: Inputs, names: Sequence[str]) -> dict[str, Severity]:
    """Return what each number of some modules means, by code; those that never warn nor fail are left out.

    The modules are asked for the findings of numbers that are all broken twice over, then of numbers not known.
    """
    out: dict[str, Severity] = {}
    for module in (MODULES[name] for name in names):
        with np.errstate(all="ignore"):
            numbers = module.numbers(inputs)
            held = [code for code in numbers if CHECKS[code].limit_is != "information"]
            broken, unknown = (
                module.findings(resolved.strut, inputs, numbers | dict.fromkeys(held, as_if))
                for as_if in (Outcome(2.0, 1.0, 2.0), Outcome(math.nan, math.nan, math.nan))
            )
        for code in held:
            level = _broken([f for f in broken if f.code == code], code, inputs)
            lost = any(f.code == code and f.verdict is Verdict.NOT_CHECKED and not f.missing for f in unknown)
            made = Severity(level, WARNS if lost else WITHIN, lost and code.endswith(_OWN))
            if made.broken or made.unknown:
                out[code] = made
    return out


_OWN = "_own"
"""How codes end that stand for all of the file's own load cases, which are worked out one by one for a strut."""


def _broken(found: list[Finding], code: str, inputs: Inputs) -> int:
    """What breaking a number means. found: of it when broken, unless its module worked it out again; then its own row
    counts, and of the file's own load cases the gravest."""
    if found and all(f.verdict in (Verdict.HINT, Verdict.INFORMATION) for f in found):
        return WITHIN
    if not code.endswith(_OWN) and (level := int(outcomes_of(found)[code].level) if found else WITHIN):
        return level
    check = CHECKS[code].under(inputs.limits)
    if code.endswith(_OWN):
        own = [c for c in load_cases.cases(inputs) if c.is_own and c.standing is not Standing.LOW]
        return max((WARNS if c.warn else FAILS for c in own), default=WITHIN)
    return WITHIN if check.standing is Standing.LOW else WARNS if check.warn else FAILS


def _held(demand: Outcome, severity: Severity, unit: str) -> Outcome:
    level = np.zeros(np.shape(demand.utilisation), dtype=np.int8)
    if severity.broken:
        with np.errstate(all="ignore"):
            over = np.asarray(beyond(demand.demand, demand.capacity, unit))
        level = over.astype(np.int8) * np.int8(severity.broken)
    if severity.unknown:
        lost = np.isnan(demand.utilisation) | severity.always
        level = np.where(lost, np.maximum(level, np.int8(severity.unknown)), level)
    return Outcome.at(level, demand.utilisation)


# --- batches --------------------------------------------------------------------------------------------------------

Answer = TypeVar("Answer")
Part: TypeAlias = tuple[int, int]

_at_work: tuple[Callable[..., Any], Judge, Source] | None = None
"""What a worker process works on."""


def _start(work: Callable[..., Any], judge: Judge, source: Source, read: readings.Readings) -> None:
    global _at_work
    _at_work = work, judge, source
    readings.use(read)


def _work(part: Part) -> Any:
    assert _at_work is not None
    work, judge, source = _at_work
    return work(judge, source, *part)


def processes(workers: int | None) -> int:
    """Return how many processes are meant: as many as there are processors when left out. Raises ValueError under 1.

    >>> processes(2)
    2
    """
    if workers is not None and workers < 1:
        raise ValueError(f"{workers} processes cannot work: at least 1")
    return workers if workers is not None else os.cpu_count() or 1


def in_processes(
    work: Callable[[Judge, Source, int, int], Answer],
    judge: Judge,
    source: Source,
    parts: Sequence[Part],
    workers: int | None = None,
) -> Iterator[Answer]:
    """Yield what comes of each part of a source, (start, stop), in order, worked out in several processes.

    work: a function of a module, or `functools.partial` of one. workers: as many as there are processors when left
    out, none for a single part. Raises ValueError for fewer than 1.

    >>> judge, walls = Judge.of(loaded("canal-tender"), resolved("canal-tender")), Listed({"barrel.wall": np.ones(3)})
    >>> list(in_processes(lambda judge, source, start, stop: stop - start, judge, walls, [(0, 2), (2, 3)], workers=1))
    [2, 1]
    """
    workers = min(processes(workers), len(parts))
    if workers <= 1:
        for part in parts:
            yield work(judge, source, *part)
        return
    # Forked workers share what is loaded; where there is no fork they load it themselves.
    context = multiprocessing.get_context("fork" if "fork" in multiprocessing.get_all_start_methods() else "spawn")
    with ProcessPoolExecutor(
        workers, mp_context=context, initializer=_start, initargs=(work, judge, source, readings.current())
    ) as pool:
        yield from pool.map(_work, parts, chunksize=1 + len(parts) // (64 * workers))


def _judged_part(judge: Judge, source: Source, start: int, stop: int) -> Judged:
    return judge.judge(source.at(np.arange(start, stop)), enough=0)


def judged_in_pieces(judge: Judge, source: Source, workers: int | None = None) -> Iterator[Judged]:
    """Yield how candidates stand, piece by piece in order; none of them is measured. workers: as for `in_processes`.

    >>> judge = Judge.of(loaded("canal-tender"), resolved("canal-tender"))
    >>> pieces = judged_in_pieces(judge, Listed({"barrel.wall": np.array([8.0, 3.0])}))
    >>> [(p.level.tolist(), p.unsure.tolist()) for p in pieces]  # a wall of 3 mm fails, one of 8 mm may pass
    [([2, 2], [True, False])]
    """
    parts = [(start, min(start + CHUNK, source.count)) for start in range(0, source.count, CHUNK)]
    return in_processes(_judged_part, judge, source, parts, workers)


def judge_all(judge: Judge, source: Source, workers: int | None = None) -> Judged:
    """Return how all the candidates of a source stand.

    >>> judge = Judge.of(loaded("canal-tender"), resolved("canal-tender"))
    >>> judge_all(judge, Listed({"barrel.wall": np.array([8.0, 3.0])})).level.tolist()  # a wall of 3 mm fails
    [0, 2]
    """
    pieces = list(judged_in_pieces(judge, source, workers))
    joined = {name: np.concatenate([getattr(p, name) for p in pieces]) for name in ROWS}
    made = Judged(codes=CODES, **joined)
    best = to_measure(judge, made)
    if made.unsure[best].any():
        sure = judge.judge(source.at(best))
        for name in ROWS:
            joined[name][best] = getattr(sure, name)
    return made


ROWS = tuple(f.name for f in dataclasses.fields(Judged) if f.name != "codes")
"""The arrays of `Judged`."""


def to_measure(judge: Judge, made: Judged) -> NDArray[np.intp]:
    """Return the best of all candidates that may pass, as many as it takes to find ENOUGH or to give them up.

    >>> judge = Judge.of(loaded("canal-tender"), resolved("canal-tender"))
    >>> to_measure(judge, judge_all(judge, Listed({"barrel.wall": np.array([3.0, 9.0, 8.0])}))).tolist()
    [2, 1]
    """
    may = np.flatnonzero((made.level < FAILS) | made.unsure)
    cost = judge.cost_kg(made.weight_kg, made.drag_n)
    return may[np.lexsort((cost[may], made.warns[may]))][: ENOUGH * (1 + FUTILE)]
