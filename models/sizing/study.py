"""A study: two or more parameters varied over ranges, every combination held to every check.

A range is written PATH=LOW..HIGH:COUNT, values one by one PATH=VALUE,VALUE,...; values as in the file (bare numbers in
its units). Combinations whose values can be followed as arrays are judged all at once; others are resolved one by one,
and then at most ONE_BY_ONE of them.
"""

from __future__ import annotations

import copy
import functools
import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import yaml
from numpy.typing import NDArray

from strutwright.models.arrays import Floats
from strutwright.models.checks import geometry_checks
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.outcome import Outcome
from strutwright.models.checks.results import outcomes_of
from strutwright.models.families import CALLED
from strutwright.models.finding import FAILS, WARNS, WITHIN, Finding
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sizing.axes import Axis, Grid, StudyError, kind_of
from strutwright.models.sizing.candidates import candidates, strange, why_not
from strutwright.models.sizing.judge import CANNOT, Judge, Judged, in_processes, judge_all
from strutwright.models.sizing.sift import within
from strutwright.models.sizing.summed import Spread, Sums, Told, best_of_cells, summed
from strutwright.models.weights import weight_kg
from strutwright.params import limits as limit_table
from strutwright.params import quantity
from strutwright.params.limits import Limits
from strutwright.params.loader import Loaded, loads
from strutwright.params.problems import ParameterError
from strutwright.params.quantity import FileUnits

SAMPLE = 512
"""Combinations that are tried first, to see which checks the values move."""
ONE_BY_ONE = 2000
"""Most combinations that are resolved one by one: some 50 a second."""
MOST_ROLLED = 1000
"""Most different sets of sizes that the roots' balls are rolled for: some 50 to 100 a second."""
MOST, MOST_SIFTED, MOST_SUMMED = 20_000_000, 200_000_000, 2_000_000_000
"""Most combinations that are kept, most of which only those that pass are told of, most of which there are sums."""
MOST_CELLS = 1_000_000
"""Most combinations of the first two axes where there are sums of the others."""
VERDICTS = ("pass", "warning", "failure")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Study:
    """A finished study. units: of the file. one_by_one: why the combinations were resolved one by one, or None.

    which: the numbers of the combinations that `judged` tells of, in its order, where the others are left out: those
    that break a check, or, where there are `sums` of all, those that no picture shows; None: of all.
    fixed: checks that no combination moves and that are not within their limit: (code, "warning" or "failure"). cannot:
    why the first combination that cannot be built cannot, "" when all can; left_out: what was not looked at, or "".
    """

    name: str
    units: FileUnits
    grid: Grid
    judged: Judged
    one_by_one: str | None
    fixed: tuple[tuple[str, str], ...]
    cannot: str
    left_out: str = ""
    which: NDArray[np.intp] | None = None
    sums: Sums | None = None

    @property
    def count(self) -> int:
        """How many combinations are told of."""
        return len(self.judged.level)

    @property
    def passing(self) -> bool:
        """Whether it tells only of combinations that break no check."""
        return self.which is not None and self.sums is None

    @property
    def told(self) -> Sums:
        """How many combinations stand how, of all that were judged and not left out."""
        return Sums.of(self.judged) if self.sums is None else self.sums

    def cells(self) -> NDArray[np.intp]:
        """Return, for each cell of the first two axes, the index of its best combination. Raises ValueError where only
        those that pass are told of."""
        if self.passing:
            raise ValueError("of most cells no combination is told of")
        shape = self.grid.shape
        numbers = np.arange(self.count) if self.which is None else self.which
        return best_of_cells(numbers, self.judged, math.prod(shape[2:])).reshape(shape[:2])

    def places(self, start: int, stop: int) -> tuple[NDArray[np.intp], ...]:
        """Return, axis by axis, which value each of those from start to stop has."""
        return self.grid.places(np.arange(start, stop) if self.which is None else self.which[start:stop])

    def lightest(self) -> int | None:
        """Return the index of the lightest combination that passes every check that the values move, None when none
        does, or when every combination fails a check."""
        found = np.nonzero(self.judged.own == WITHIN)[0]
        if not len(found) or any(verdict == VERDICTS[FAILS] for _, verdict in self.fixed):
            return None
        return int(found[np.argmin(self.judged.weight_kg[found])])

    def nearest(self) -> int | None:
        """Return the index of the combination that is nearest to passing: least failures, then warnings, then weight;
        None when none can be built."""
        j = self.judged
        found = np.nonzero(np.isfinite(j.weight_kg))[0]
        for count in (j.fails, j.warns, j.weight_kg):
            if len(found):
                found = found[count[found] == count[found].min()]
        return int(found[0]) if len(found) else None

    def not_said(self, findings: Sequence[Finding]) -> list[Finding]:
        """Return those findings about the file that lack what no axis says either."""
        varied = {a.path for a in self.grid.axes}
        lacking = (replace(f, missing=tuple(p for p in f.missing if p not in varied)) for f in findings)
        return [f for f in lacking if f.missing]

    @property
    def weight_unit(self) -> str:
        """The unit weights are shown in: kg, or lb for a file in inches."""
        return quantity.MASS.bare[self.units]

    def weights(self, start: int = 0, stop: int | None = None) -> Floats:
        """Return the weights of combinations start to stop in that unit; nan of what cannot be built."""
        return self.judged.weight_kg[start:stop] / quantity.MASS.factors[self.weight_unit]

    def row(self, index: int) -> dict[str, float | str]:
        """Return one combination: path -> value shown, then weight_kg or weight_lb, verdict, governing, utilisation."""
        places = [int(p[0]) for p in self.places(index, index + 1)]
        out: dict[str, float | str] = {a.path: a.shown[k] for a, k in zip(self.grid.axes, places, strict=True)}
        out[f"weight_{self.weight_unit}"] = float(self.weights(index, index + 1)[0])
        j = self.judged
        return out | {
            "verdict": VERDICTS[int(j.level[index])],
            "governing": j.code(index),
            "utilisation": float(j.utilisation[index]),
        }


# --- the study ------------------------------------------------------------------------------------------------------


def study(
    loaded: Loaded,
    resolved: Resolved,
    axes: Sequence[Axis],
    limits: Limits | None = None,
    workers: int | None = None,
    *,
    passing: bool = False,
    summed_by: Spread | None = None,
    tell: Told | None = None,
    told: Callable[[bytes], None] = lambda written: None,
) -> Study:
    """Return the study of a file over the combinations of axes.

    workers: processes, as many as processors when left out. passing: only those that break no check that they move are
    told of; each of the others is left at the first check that it breaks, which takes a fraction of the time. Of more
    than MOST, and where summed_by says who works them out, only sums and the best are kept; tell, told: as for
    `summed`. Raises StudyError when it cannot be made.

    >>> from strutwright.models.sizing.axes import axis
    >>> walls = axis("barrel.wall=3,8,9", "mm")
    >>> study(loaded("canal-tender"), resolved("canal-tender"), [walls]).lightest()  # a wall of 3 mm fails
    1
    """
    grid, reason = _grid_of(loaded, resolved, axes)
    limits = limit_table.standard() if limits is None else limits
    name, units = resolved.strut.identity.name, resolved.said.units
    left_out, which, sums = "", None, None
    if reason is None:
        judge, fixed, left_out = _judge_of(loaded, resolved, grid, limits, MOST_SIFTED if passing else MOST_SUMMED)
        if passing:
            which, judged = within(judge, grid, workers)
        elif summed_by is not None or grid.count > MOST:
            spread = summed_by or functools.partial(in_processes, workers=workers)
            which, judged, sums = summed(judge, grid, _inner(grid), spread, told, tell)
        else:
            judged = judge_all(judge, grid, workers)
    else:
        judged, fixed = _one_by_one(loaded, grid, limits, reason)
        if passing:
            which = np.flatnonzero(judged.own == WITHIN)
            judged = judged.some(which)
    return Study(
        name=name,
        units=units,
        grid=grid,
        judged=judged,
        one_by_one=reason,
        fixed=_told(fixed),
        cannot="" if passing else _cannot(loaded, grid, judged, limits, which),
        left_out=left_out,
        which=which,
        sums=sums,
    )


def _grid_of(loaded: Loaded, resolved: Resolved, axes: Sequence[Axis]) -> tuple[Grid, str | None]:
    """Return the combinations of axes, and why they have to be resolved one by one, if so. Raises StudyError."""
    if not axes:
        raise StudyError("nothing is varied: give at least one PATH=LOW..HIGH:COUNT, two for a map")
    paths = [a.path for a in axes]
    if len(set(paths)) != len(paths):
        raise StudyError(f"{max(paths, key=paths.count)}: is varied twice")
    if (reason := strange(resolved, paths)) and "construction" not in paths:
        raise StudyError(reason)
    words = next((f"{a.path} takes words or whole numbers" for a in axes if not a.numbers), None)
    for path in paths:
        _place(copy.deepcopy(loaded.document.data), path)
    return Grid(tuple(axes)), words or why_not(resolved, paths)


def _inner(grid: Grid) -> int:
    """Return how many combinations a cell of the map has. Raises StudyError for too many cells."""
    cells = math.prod(grid.shape[:2])
    if cells > MOST_CELLS:
        raise StudyError(
            f"the first two parameters have {cells} combinations, and of {grid.count} in all a map of at most "
            f"{MOST_CELLS} cells is kept; give first those with fewer values"
        )
    return math.prod(grid.shape[2:])


def _judge_of(
    loaded: Loaded, resolved: Resolved, grid: Grid, limits: Limits, most: int
) -> tuple[Judge, dict[str, int], str]:
    """Return who judges the combinations all at once, what none of them changes, and what is left out. Raises
    StudyError for more than `most`."""
    if grid.count > most:
        raise StudyError(
            f"{grid.count} combinations are too many: at most {most}; take fewer values"
            + (f", or only those that pass (--passing, at most {MOST_SIFTED})" if most < MOST_SIFTED else "")
        )
    judge = Judge.of(loaded, resolved, limits)
    rolled = _differing(judge, grid)
    judge = replace(judge, roll=rolled <= MOST_ROLLED)
    left_out = (
        ""
        if judge.roll
        else f"{rolled} combinations differ in what fillets and welds touch, at most {MOST_ROLLED} are worked out: "
        "where roots end on barrel and palm is held to bounds on the safe side, whether they fit is not looked "
        "at otherwise; check the one that you take"
    )
    still = _still(judge, grid)
    return replace(judge, still=still), still, left_out


def _differing(judge: Judge, grid: Grid) -> int:
    """Return how many sets of sizes that a root touches there are at most among the combinations."""
    out = 1
    for a in grid.axes if judge.measured else ():
        made = candidates(judge.loaded, judge.resolved, {a.path: np.array(a.values, dtype=float)}, judge.base)
        out *= len(np.unique(made.touched(), axis=0))
    return out


def _still(judge: Judge, grid: Grid) -> dict[str, int]:
    """Return the checks that the axes do not seem to move, and how they stand: alike in a sample of combinations."""
    at = np.linspace(0, grid.count - 1, min(grid.count, SAMPLE)).astype(int)
    # An odd step, so that every axis is met at many of its values.
    at = np.unique(np.concatenate([at, at * 7919 % grid.count]))
    places = np.unravel_index(at, grid.shape)
    made = candidates(
        judge.loaded,
        judge.resolved,
        {a.path: np.array(a.values, dtype=float)[k] for a, k in zip(grid.axes, places, strict=True)},
        judge.base,
    )
    out: dict[str, int] = {}
    if made.buildable.any():
        for code, h in judge.outcomes(made)[0].items():
            level, used = (np.broadcast_to(x, (len(at),))[made.buildable] for x in (h.level, h.utilisation))
            if _same(level, used):
                out[code] = int(level[0])
    return out


def _cannot(loaded: Loaded, grid: Grid, judged: Judged, limits: Limits, which: NDArray[np.intp] | None = None) -> str:
    """Return why the first combination that cannot be built cannot, "" when all can."""
    found = np.nonzero(np.isnan(judged.weight_kg))[0][:1]
    if not len(found):
        return ""
    places = [int(p[0]) for p in grid.places(found if which is None else which[found])]
    axes = list(zip(grid.axes, places, strict=True))
    here = ", ".join(
        f"{a.path} = {a.shown[k]:g} {a.unit}".rstrip() if isinstance(a.shown[k], float) else f"{a.path} = {a.shown[k]}"
        for a, k in axes
    )
    try:
        resolve(with_values(loaded, {a.path: a.values[k] for a, k in axes}), limits)
    except ParameterError as error:
        return f"{here}: {_first(error)}"
    return f"{here}: leaves no arm between barrel and palm"


def _first(error: ParameterError) -> str:
    """Return the first fault in one line."""
    worst = error.problems[0]
    return f"{worst.path} {worst.what}" + (f" (allowed: {worst.allowed})" if worst.allowed else "")


def _told(fixed: Mapping[str, int]) -> tuple[tuple[str, str], ...]:
    return tuple((code, VERDICTS[level]) for code, level in sorted(fixed.items(), key=lambda p: (-p[1], p[0])) if level)


def _place(data: Any, path: str) -> tuple[Any, str]:
    """Return the group of a file's data that a path leads into, made where it is missing, and the last name.

    Raises StudyError where the path takes a list for a group, or asks for what is not in a list.
    """
    *groups, name = path.split(".")
    at, here = data, ""
    for group in groups:
        key, bracket, rest = group.partition("[")
        here = f"{here}.{key}".lstrip(".")
        if at.get(key) is None:
            at[key] = [] if bracket else {}
        at = at[key]
        if isinstance(at, list):
            index = rest.removesuffix("]")
            if not index.isdecimal() or int(index) >= len(at):
                raise StudyError(
                    f"{path}: {here} is a list of {len(at)} in this file"
                    + (f"; write {here}[0]" + (f" to {here}[{len(at) - 1}]" if len(at) > 1 else "") if at else "")
                )
            at = at[int(index)]
        elif bracket:
            raise StudyError(f"{path}: {here} is not a list in this file; write it without {bracket}{rest}")
    return at, name


def with_values(loaded: Loaded, values: Mapping[str, float | str]) -> Loaded:
    """Return a file with other values at dotted paths (mm, degrees, kW, ... or words). Raises ParameterError.

    >>> with_values(loaded("canal-tender"), {"barrel.wall": 9.0}).document.data["barrel"]["wall"]
    '9.0 mm'
    """
    data: Any = copy.deepcopy(loaded.document.data)
    for path, value in values.items():
        at, name = _place(data, path)
        kind = kind_of(path, loaded.said.part)
        at[name] = _plain(value) if kind is None else f"{value!r} {kind.unit}".strip() if kind.unit else value
        # Of two names for one size the varied one holds.
        if path in ("barrel.wall", "barrel.outside_diameter", "boss.wall", "boss.outside_diameter"):
            at.pop("wall" if path.endswith("outside_diameter") else "outside_diameter", None)
    return loads(yaml.safe_dump(data, sort_keys=False), loaded.document.file)


def _plain(value: float | str) -> Any:
    return int(value) if isinstance(value, str) and value.isdigit() else value


def _one_by_one(loaded: Loaded, grid: Grid, limits: Limits, reason: str) -> tuple[Judged, dict[str, int]]:
    if grid.count > ONE_BY_ONE:
        raise StudyError(
            f"{grid.count} combinations are too many here: {reason}, so they are resolved one by one, at "
            f"most {ONE_BY_ONE}; take fewer values"
        )
    found: list[dict[str, Outcome] | None] = []
    weight = np.full(grid.count, np.nan)
    first: ParameterError | None = None
    for n, combination in enumerate(itertools.product(*(a.values for a in grid.axes))):
        try:
            made = resolve(
                with_values(loaded, dict(zip((a.path for a in grid.axes), combination, strict=True))), limits
            )
        except ParameterError as error:
            first = first or error
            found.append(None)
            continue
        found.append(
            outcomes_of(
                [*geometry_checks(made.strut, limits), *engineering_findings(made.strut, made.said.loads, limits)]
            )
        )
        with np.errstate(all="ignore"):
            weight[n] = float(weight_kg(Inputs.from_strut(made.strut, made.said.loads, limits=limits)))
    if first is not None and all(f is None for f in found):
        raise StudyError(
            f"none of the combinations makes a {CALLED[loaded.said.part]}; of the first one: {_first(first)}"
        )
    return _gathered(found, weight)


def _gathered(found: Sequence[dict[str, Outcome] | None], weight: Floats) -> tuple[Judged, dict[str, int]]:
    names = sorted({code for f in found if f is not None for code in f})
    level = np.full((len(names), len(found)), WITHIN)
    used = np.full((len(names), len(found)), np.nan)
    for n, held in enumerate(found):
        for k, code in enumerate(names):
            if held is not None and code in held:
                level[k, n], used[k, n] = held[code].level, held[code].utilisation
    built = np.array([f is not None for f in found])
    moves = np.array([not _same(level[k, built], used[k, built]) for k in range(len(names))])
    # Where the values move none of them, the one most used of all.
    seen = moves if moves.any() else ~moves
    score = np.where(seen[:, None], level * 1e6 + np.clip(np.nan_to_num(used, nan=-0.5), -0.5, 1e5), -1.0)
    at = np.argmax(score, axis=0)
    columns = np.arange(len(found))
    governing = np.where(built & (score[at, columns] >= -0.5), at + 1, 0)
    use = np.where(governing > 0, used[at, columns], np.nan)
    whole = np.where(built, level.max(axis=0, initial=WITHIN), FAILS)
    fixed = {names[k]: int(level[k, built].max()) for k in range(len(names)) if not moves[k] and level[k, built].any()}
    own = np.where(built, level[moves].max(axis=0, initial=WITHIN), FAILS)
    judged = Judged(
        codes=(CANNOT, *names),
        level=whole.astype(np.int8),
        own=own.astype(np.int8),
        governing=governing.astype(np.int16),
        utilisation=use,
        fails=(level == FAILS).sum(axis=0).astype(np.int16),
        warns=(level == WARNS).sum(axis=0).astype(np.int16),
        weight_kg=weight,
        drag_n=np.full(len(found), np.nan),
        unsure=np.zeros(len(found), dtype=bool),
    )
    return judged, fixed


def _same(level: NDArray[np.int_], used: Floats) -> bool:
    return bool(np.all(level == level[0]) and np.allclose(used, used[0], rtol=1e-9, atol=0.0, equal_nan=True))
