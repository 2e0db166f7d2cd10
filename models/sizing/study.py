"""A study: two or more parameters varied over ranges, every combination held to every check.

A range is written PATH=LOW..HIGH:COUNT, values one by one PATH=VALUE,VALUE,...; values as in the file (bare numbers in
its units). Combinations whose values can be followed as arrays are judged all at once; others are resolved one by one,
and then at most ONE_BY_ONE of them.
"""

from __future__ import annotations

import copy
import difflib
import itertools
import math
import re
import typing
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import yaml
from numpy.typing import NDArray
from pydantic.fields import FieldInfo

from strutwright.models.arrays import Floats
from strutwright.models.checks import geometry_checks
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.outcome import Outcome
from strutwright.models.checks.results import outcomes_of
from strutwright.models.families import CALLED
from strutwright.models.finding import FAILS, WARNS, WITHIN, Finding
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sizing.candidates import candidates, strange, why_not
from strutwright.models.sizing.judge import CANNOT, Judge, Judged, judge_all
from strutwright.models.sizing.sift import within
from strutwright.models.weights import weight_kg
from strutwright.params import limits as limit_table
from strutwright.params import quantity, tables
from strutwright.params.families import root
from strutwright.params.limits import Limits
from strutwright.params.loader import Loaded, loads, model_at
from strutwright.params.part_kinds import STRUT
from strutwright.params.problems import ParameterError, shown
from strutwright.params.quantity import FileUnits, Kind

SAMPLE = 512
"""Combinations that are tried first, to see which checks the values move."""
ONE_BY_ONE = 2000
"""Most combinations that are resolved one by one: some 50 a second."""
MOST_ROLLED = 1000
"""Most different sets of sizes that the roots' balls are rolled for: some 50 to 100 a second."""
MOST, MOST_SIFTED = 20_000_000, 200_000_000
"""Most combinations, and most of which only those that pass are told of."""
VERDICTS = ("pass", "warning", "failure")
_BY_NAME: Mapping[str, Callable[[str], object]] = {
    "bolts.size": tables.thread,
    "set_screws.thread": tables.thread,
    "barrel.bore_class": lambda name: tables.iso286(name, 50.0),
    "bearing.shell_material": tables.material,
    **{f"materials.{part}": tables.material for part in ("strut", "housing", "bolts", "shaft", "hull", "base")},
}
"""Texts that are names in a table, and how they are looked up."""


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

    def places(self, which: NDArray[np.intp]) -> tuple[NDArray[np.intp], ...]:
        """Return, axis by axis, which value combinations have, by their numbers."""
        return np.unravel_index(which, self.shape)

    def at(self, which: NDArray[np.intp]) -> dict[str, Floats]:
        """Return the values of combinations by their numbers."""
        return {
            a.path: np.array(a.values, dtype=float)[at] for a, at in zip(self.axes, self.places(which), strict=True)
        }


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Study:
    """A finished study. units: of the file. one_by_one: why the combinations were resolved one by one, or None.

    which: the numbers of the combinations that `judged` tells of, in its order, where the others, which break a check,
    are left out; None: of all.
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

    @property
    def count(self) -> int:
        """How many combinations are told of."""
        return len(self.judged.level)

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


# --- axes -----------------------------------------------------------------------------------------------------------


def axis(text: str, units: FileUnits, family: str = STRUT) -> Axis:
    """Return the axis of PATH=LOW..HIGH:COUNT or PATH=VALUE,VALUE,... Raises StudyError.

    units, family: the file's, for bare numbers and for what its parameters take.

    >>> axis("barrel.wall=8..10:3", "mm").values
    (8.0, 9.0, 10.0)
    """
    path, equals, rest = (p.strip() for p in text.partition("="))
    if not equals or not path or not rest:
        raise StudyError(
            f"{text!r}: write PATH=LOW..HIGH:COUNT or PATH=VALUE,VALUE, such as arms.section.chord=80..140:13"
        )
    kind = kind_of(path, family)
    if ".." in rest:
        if kind is None:
            raise StudyError(f"{path}: takes words or whole numbers: list them, {path}=VALUE,VALUE")
        span, colon, count_text = rest.rpartition(":")
        low_text, _, high_text = span.partition("..")
        if not colon or not count_text.strip().isdigit() or not 2 <= int(count_text) <= 100_000:
            raise StudyError(
                f"{text!r}: say how many values, 2 to 100000, behind a colon: {path}={rest.split(':')[0]}:10"
            )
        low, high = (_value(path, t, kind, units) for t in (low_text, high_text))
        if not low < high:
            raise StudyError(
                f"{text!r}: the range runs from its lower to its higher end; {low:g} to {high:g} was given"
            )
        values: tuple[Any, ...] = tuple(float(v) for v in np.linspace(low, high, int(count_text)))
    else:
        values = tuple(
            _word(path, t.strip(), units, family) if kind is None else _value(path, t, kind, units)
            for t in rest.split(",")
        )
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


def _word(path: str, text: str, units: FileUnits, family: str) -> str:
    """Return a word or whole number as a parameter takes it. Raises StudyError with what it takes."""
    found = list(_parts(_field(path, family)))
    words = (
        ["yes", "no", "true", "false"]
        if bool in found
        else [str(w) for p in found if typing.get_origin(p) is typing.Literal for w in typing.get_args(p)]
    )
    if words and text not in words:
        if path == "arms.stance":  # the one that takes an angle too
            try:
                quantity.parse(text, quantity.ANGLE, units)
                return text
            except quantity.QuantityError:
                words.append("an angle")
        near = difflib.get_close_matches(text, words, n=1, cutoff=0.4)
        raise StudyError(
            f"{path}: {shown(text)} is not one of its choices"
            + (f"; did you mean {near[0]}?" if near else "")
            + f" It takes {', '.join(words)}"
        )
    if not words and int in found:
        low = max(p.ge for p in found if hasattr(p, "ge"))
        high = min(p.le for p in found if hasattr(p, "le"))
        if not (text.isascii() and text.isdigit() and low <= int(text) <= high):
            raise StudyError(f"{path}: {shown(text)} is not a whole number from {low} to {high}")
    elif not words:
        look_up = _BY_NAME.get(re.sub(r"\[\d+\]", "", path))
        if look_up is None:
            raise StudyError(f"{path}: takes any text, which no check looks at; vary a number or a choice")
        try:
            look_up(text)
        except tables.NotInTable as error:
            raise StudyError(f"{path}: {error.args[0]}") from None
    return text


def kind_of(path: str, family: str = STRUT) -> Kind | None:
    """Return the kind of quantity a parameter takes, or None for words and whole numbers. Raises StudyError.

    >>> kind_of("duty.power").unit
    'kW'
    """
    for part in _parts(_field(path, family)):
        made = getattr(part, "json_schema", None)
        if isinstance(made, dict) and made.get("x-kind") in quantity.KINDS:
            return quantity.KINDS[made["x-kind"]]
    return None


def _field(path: str, family: str) -> FieldInfo:
    """Return the schema's field at a path. Raises StudyError."""
    from strutwright.params.explain import NoSuchPathError, meaning

    try:
        found = meaning(path, family)
    except NoSuchPathError as error:
        raise StudyError(str(error.args[0])) from None
    if found.members:
        raise StudyError(f"{path}: is a group; vary one of {', '.join(found.members)}")
    *groups, name = path.split(".")
    model = model_at(tuple(g.split("[")[0] for g in groups), root(family))
    info = None if model is None else model.model_fields.get(name)
    if info is None:
        raise StudyError(f"{path}: is a list; vary what is in it")
    return info


def _parts(of: Any) -> Iterator[Any]:
    """Yield what a field's type is made of, with the notes that stand beside it."""
    yield of
    if isinstance(of, FieldInfo):
        inner: tuple[Any, ...] = (of.annotation, *of.metadata)
    else:
        inner = () if typing.get_origin(of) is typing.Literal else typing.get_args(of)
    for part in inner:
        yield from _parts(part)


# --- the study ------------------------------------------------------------------------------------------------------


def study(
    loaded: Loaded,
    resolved: Resolved,
    axes: Sequence[Axis],
    limits: Limits | None = None,
    workers: int | None = None,
    *,
    passing: bool = False,
) -> Study:
    """Return the study of a file over the combinations of axes.

    workers: processes, as many as processors when left out. passing: only those that break no check that they move are
    told of; each of the others is left at the first check that it breaks, which takes a fraction of the time. Raises
    StudyError when it cannot be made.

    >>> walls = axis("barrel.wall=3,8,9", "mm")
    >>> study(loaded("canal-tender"), resolved("canal-tender"), [walls]).lightest()  # a wall of 3 mm fails
    1
    """
    if not axes:
        raise StudyError("nothing is varied: give at least one PATH=LOW..HIGH:COUNT, two for a map")
    paths = [a.path for a in axes]
    if len(set(paths)) != len(paths):
        raise StudyError(f"{max(paths, key=paths.count)}: is varied twice")
    if (reason := strange(resolved, paths)) and "construction" not in paths:
        raise StudyError(reason)
    grid = Grid(tuple(axes))
    words = next((f"{a.path} takes words or whole numbers" for a in axes if not a.numbers), None)
    for path in paths:
        _place(copy.deepcopy(loaded.document.data), path)
    reason = words or why_not(resolved, paths)
    limits = limit_table.standard() if limits is None else limits
    name, units = resolved.strut.identity.name, resolved.said.units
    left_out, which = "", None
    if reason is None:
        judge, fixed, left_out = _judge_of(loaded, resolved, grid, limits, MOST_SIFTED if passing else MOST)
        if passing:
            which, judged = within(judge, grid, workers)
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
        cannot="" if passing else _cannot(loaded, grid, judged, limits),
        left_out=left_out,
        which=which,
    )


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


def _cannot(loaded: Loaded, grid: Grid, judged: Judged, limits: Limits) -> str:
    """Return why the first combination that cannot be built cannot, "" when all can."""
    found = np.nonzero(np.isnan(judged.weight_kg))[0]
    if not len(found):
        return ""
    places = [int(p[0]) for p in grid.places(found[:1])]
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
