"""A study: two or more parameters varied over ranges, every combination held to every check.

A range is written PATH=LOW..HIGH:COUNT, values one by one PATH=VALUE,VALUE,...; values as in the file (bare numbers in
its units). Combinations whose values can be followed as arrays are judged all at once; others are resolved one by one,
and then at most ONE_BY_ONE of them.
"""
from __future__ import annotations

import copy
import itertools
import math
import typing
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import yaml
from numpy.typing import NDArray

from strutwright.models.checks import geometry_checks
from strutwright.models.engineering import engineering_findings
from strutwright.models.engineering.inputs import Inputs
from strutwright.models.engineering.weights import weight_kg
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sizing.candidates import Floats, why_not
from strutwright.models.sizing.geometry_numbers import FAILS, WARNS, WITHIN, Held
from strutwright.models.sizing.judge import CANNOT, Judge, Judged, held_of, judge_all
from strutwright.params import limits as limit_table
from strutwright.params import quantity, schema
from strutwright.params.limits import Limits
from strutwright.params.loader import Loaded, loads
from strutwright.params.problems import ParameterError
from strutwright.params.quantity import FileUnits, Kind

ONE_BY_ONE = 2000
"""Most combinations that are resolved one by one: some 50 a second."""
MOST = 20_000_000
VERDICTS = ("pass", "warning", "failure")
_KINDS = {k.name: k for k in (quantity.LENGTH, quantity.ANGLE, quantity.POWER, quantity.MASS, quantity.SPEED,
                              quantity.RATE, quantity.FORCE, quantity.STRESS, quantity.AREA, quantity.PERCENT,
                              quantity.RATIO)}


class StudyError(ValueError):
    """A study cannot be made as asked; the text says what was given and what is allowed."""


@dataclass(frozen=True, slots=True)
class Axis:
    """A varied parameter: its path, the unit its values are shown in, and its values.

    shown: values in that unit, or words. values: in mm, degrees, kW, ...; the same words.
    """

    path: str
    unit: str
    shown: tuple[float | str, ...]
    values: tuple[float | str, ...]

    @property
    def numbers(self) -> bool:
        """True when the values are numbers."""
        return not isinstance(self.values[0], str)


@dataclass(frozen=True, slots=True)
class Grid:
    """All combinations of several axes; the last one changes fastest."""

    axes: tuple[Axis, ...]

    @property
    def shape(self) -> tuple[int, ...]:
        """How many values each axis has."""
        return tuple(len(a.values) for a in self.axes)

    @property
    def count(self) -> int:
        """How many combinations there are."""
        return math.prod(self.shape)

    def places(self, start: int, stop: int) -> tuple[NDArray[np.intp], ...]:
        """Return, axis by axis, which value combinations start to stop have."""
        return np.unravel_index(np.arange(start, stop), self.shape)

    def values(self, start: int, stop: int) -> dict[str, Floats]:
        """Return the values of combinations start to stop."""
        return {a.path: np.array(a.values, dtype=float)[at] for a, at in zip(self.axes, self.places(start, stop),
                                                                            strict=True)}


@dataclass(frozen=True, slots=True, eq=False)
class Study:
    """A finished study. one_by_one: why the combinations were resolved one by one, or None.

    fixed: checks that no combination moves and that are not within their limit: (code, "warning" or "failure").
    """

    name: str
    grid: Grid
    judged: Judged
    one_by_one: str | None
    fixed: tuple[tuple[str, str], ...]

    def lightest(self) -> int | None:
        """Return the index of the lightest combination with the best verdict that there is short of failure."""
        for level in (WITHIN, WARNS):
            found = np.nonzero(self.judged.level == level)[0]
            if len(found):
                return int(found[np.argmin(self.judged.weight_kg[found])])
        return None

    def row(self, index: int) -> dict[str, float | str]:
        """Return one combination: path -> value shown, then weight_kg, verdict, governing, utilisation."""
        places = [int(p[0]) for p in self.grid.places(index, index + 1)]
        out: dict[str, float | str] = {a.path: a.shown[k] for a, k in zip(self.grid.axes, places, strict=True)}
        j = self.judged
        return out | {"weight_kg": float(j.weight_kg[index]), "verdict": VERDICTS[int(j.level[index])],
                      "governing": j.code(index), "utilisation": float(j.utilisation[index])}


# --- axes -----------------------------------------------------------------------------------------------------------

def axis(text: str, units: FileUnits) -> Axis:
    """Return the axis of PATH=LOW..HIGH:COUNT or PATH=VALUE,VALUE,... Raises StudyError.

    units: the file's, for bare numbers.
    """
    path, equals, rest = (p.strip() for p in text.partition("="))
    if not equals or not path or not rest:
        raise StudyError(f"{text!r}: write PATH=LOW..HIGH:COUNT or PATH=VALUE,VALUE, such as "
                         "arms.section.chord=80..140:13")
    kind = kind_of(path)
    if ".." in rest:
        if kind is None:
            raise StudyError(f"{path}: takes words or whole numbers: list them, {path}=VALUE,VALUE")
        span, colon, count_text = rest.rpartition(":")
        low_text, _, high_text = span.partition("..")
        if not colon or not count_text.strip().isdigit() or not 2 <= int(count_text) <= 100_000:
            raise StudyError(f"{text!r}: say how many values, 2 to 100000, behind a colon: "
                             f"{path}={rest.split(':')[0]}:10")
        low, high = (_value(path, t, kind, units) for t in (low_text, high_text))
        if not low < high:
            raise StudyError(f"{text!r}: the range runs from its lower to its higher end; {low:g} to {high:g} was "
                             "given")
        values: tuple[Any, ...] = tuple(float(v) for v in np.linspace(low, high, int(count_text)))
    else:
        values = tuple(t.strip() if kind is None else _value(path, t, kind, units) for t in rest.split(","))
        if len(set(values)) != len(values) or "" in values:
            raise StudyError(f"{text!r}: a value is given twice, or one is empty")
    if kind is None:
        return Axis(path, "", values, values)
    bare = kind.bare[units]
    return Axis(path, bare, tuple(float(f"{v / kind.factors[bare]:.9g}") for v in values), values)


def _value(path: str, text: str, kind: Kind, units: FileUnits) -> float:
    try:
        return quantity.parse(text.strip(), kind, units)
    except quantity.QuantityError as error:
        raise StudyError(f"{path}: {text.strip()!r} {error}; allowed: {error.allowed}") from None


def kind_of(path: str) -> Kind | None:
    """Return the kind of quantity a parameter takes, or None for words and whole numbers. Raises StudyError."""
    from strutwright.params.explain import explain
    try:
        found = explain(path)
    except KeyError as error:
        raise StudyError(str(error.args[0])) from None
    if found.members:
        raise StudyError(f"{path}: is a group; vary one of {', '.join(found.members)}")
    model: Any = schema.ParameterSet
    *groups, name = path.split(".")
    for group in groups:
        model = _model(model.model_fields[group.split("[")[0]].annotation)
    info = model.model_fields[name]
    return _kind_in(info.annotation) or _kind_in(typing.Annotated[int, *info.metadata] if info.metadata else None)


def _model(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, schema.Group):
        return annotation
    for part in typing.get_args(annotation):
        found = _model(part)
        if found is not None:
            return found
    return None


def _kind_in(annotation: Any) -> Kind | None:
    for part in (annotation, *getattr(annotation, "__metadata__", ())):
        made = getattr(part, "json_schema", None)
        if isinstance(made, dict) and made.get("x-kind") in _KINDS:
            return _KINDS[made["x-kind"]]
    for part in typing.get_args(annotation):
        found = _kind_in(part)
        if found is not None:
            return found
    return None


# --- the study ------------------------------------------------------------------------------------------------------

def study(loaded: Loaded, resolved: Resolved, axes: Sequence[Axis], limits: Limits | None = None,
          workers: int | None = None) -> Study:
    """Return the study of a file over the combinations of axes.

    workers: processes, as many as processors when left out. Raises StudyError when it cannot be made.
    """
    if not axes:
        raise StudyError("nothing is varied: give at least one PATH=LOW..HIGH:COUNT, two for a map")
    paths = [a.path for a in axes]
    if len(set(paths)) != len(paths):
        raise StudyError(f"{max(paths, key=paths.count)}: is varied twice")
    grid = Grid(tuple(axes))
    words = next((f"{a.path} takes words or whole numbers" for a in axes if not a.numbers), None)
    reason = words or why_not(resolved, paths)
    limits = limit_table.standard() if limits is None else limits
    name = resolved.strut.identity.name
    if reason is None:
        if grid.count > MOST:
            raise StudyError(f"{grid.count} combinations are too many: at most {MOST}; take fewer values")
        judge = Judge.of(loaded, resolved, limits)
        judged = judge_all(judge, grid, workers)
        fixed = {code: int(h.level) for code, h in judge.constant.items() if h.level}
        return Study(name, grid, judged, None, _told(fixed))
    if grid.count > ONE_BY_ONE:
        raise StudyError(f"{grid.count} combinations are too many here: {reason}, so they are resolved one by one, at "
                         f"most {ONE_BY_ONE}; take fewer values")
    judged, fixed = _one_by_one(loaded, grid, limits)
    return Study(name, grid, judged, reason, _told(fixed))


def _told(fixed: Mapping[str, int]) -> tuple[tuple[str, str], ...]:
    return tuple((code, VERDICTS[level]) for code, level in sorted(fixed.items(), key=lambda p: (-p[1], p[0])))


def with_values(loaded: Loaded, values: Mapping[str, float | str]) -> Loaded:
    """Return a file with other values at dotted paths (mm, degrees, kW, ... or words). Raises ParameterError."""
    data: Any = copy.deepcopy(loaded.document.data)
    for path, value in values.items():
        at = data
        *groups, name = path.split(".")
        for group in groups:
            key, _, index = group.partition("[")
            if at.get(key) is None:
                at[key] = {}
            at = at[key] if not index else at[key][int(index[:-1])]
        kind = kind_of(path)
        at[name] = _plain(value) if kind is None else f"{value!r} {kind.unit}".strip() if kind.unit else value
        # Of two names for one size the varied one holds.
        if path in ("barrel.wall", "barrel.outside_diameter"):
            at.pop("wall" if path.endswith("outside_diameter") else "outside_diameter", None)
    return loads(yaml.safe_dump(data, sort_keys=False), loaded.document.file)


def _plain(value: float | str) -> Any:
    return int(value) if isinstance(value, str) and value.isdigit() else value


def _one_by_one(loaded: Loaded, grid: Grid, limits: Limits) -> tuple[Judged, dict[str, int]]:
    found: list[dict[str, Held] | None] = []
    weight = np.full(grid.count, np.nan)
    for n, combination in enumerate(itertools.product(*(a.values for a in grid.axes))):
        try:
            made = resolve(with_values(loaded, dict(zip((a.path for a in grid.axes), combination, strict=True))))
        except ParameterError as error:
            if len(found) == n == 0 and grid.count == 1:
                raise StudyError(str(error)) from None
            found.append(None)
            continue
        found.append(held_of([*geometry_checks(made.strut, limits),
                              *engineering_findings(made.strut, made.said.loads)]))
        with np.errstate(all="ignore"):
            weight[n] = float(weight_kg(Inputs.from_strut(made.strut, made.said.loads)))
    if all(f is None for f in found):
        raise StudyError("none of the combinations makes a strut; try `strutwright check` on the file with one of them")
    return _gathered(found, weight)


def _gathered(found: Sequence[dict[str, Held] | None], weight: Floats) -> tuple[Judged, dict[str, int]]:
    names = sorted({code for f in found if f is not None for code in f})
    level = np.full((len(names), len(found)), WITHIN)
    used = np.full((len(names), len(found)), np.nan)
    for n, held in enumerate(found):
        for k, code in enumerate(names):
            if held is not None and code in held:
                level[k, n], used[k, n] = held[code].level, held[code].utilisation
    built = np.array([f is not None for f in found])
    moves = np.array([not _same(level[k, built], used[k, built]) for k in range(len(names))])
    score = np.where(moves[:, None], level * 1e6 + np.clip(np.nan_to_num(used, nan=-0.5), -0.5, 1e5), -1.0)
    at = np.argmax(score, axis=0)
    columns = np.arange(len(found))
    governing = np.where(built & (score[at, columns] >= -0.5), at + 1, 0)
    use = np.where(governing > 0, used[at, columns], np.nan)
    whole = np.where(built, level.max(axis=0, initial=WITHIN), FAILS)
    fixed = {names[k]: int(level[k, built].max()) for k in range(len(names)) if not moves[k] and level[k, built].any()}
    judged = Judged((CANNOT, *names), whole.astype(np.int8), governing.astype(np.int16), use,
                    (level == FAILS).sum(axis=0).astype(np.int16), (level == WARNS).sum(axis=0).astype(np.int16),
                    weight)
    return judged, fixed


def _same(level: NDArray[np.int_], used: Floats) -> bool:
    return bool(np.all(level == level[0]) and np.allclose(used, used[0], rtol=1e-9, atol=0.0, equal_nan=True))
