"""What there is to know of the checks beside what they find: the rows of `checks.yaml` and `checks_geometry.yaml`."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal, TypeAlias

from strutwright.params import limits as limit_table
from strutwright.params import strict_yaml
from strutwright.params.problems import ParameterError, shown
from strutwright.params.strict_yaml import Document

TABLE = Path(__file__).parent / "checks.yaml"
GEOMETRY = Path(__file__).parent / "checks_geometry.yaml"
LimitIs: TypeAlias = Literal["at most", "at least", "information"]
BREACHES = ("warning", "failure", "none")
STANDINGS = (*limit_table.STANDINGS, "geometry")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One check as the table has it, phrases and names of several needs filled in; words are templates of `say`."""

    code: str
    group: str
    meaning: str
    unit: str
    limit_is: LimitIs
    breach: Literal["warning", "failure", "none"]
    standing: str
    source: str
    parameter: str
    advice: str = ""
    needs: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()


_COLUMNS = [f.name for f in fields(Row)]


@functools.lru_cache(maxsize=1)
def rows() -> tuple[Row, ...]:
    """Return the rows in the order of the table."""
    return _table(strict_yaml.read_file(TABLE))


@functools.lru_cache(maxsize=1)
def sources() -> Mapping[str, Row]:
    """Return by code the rows that rest on a source of their own, which can be read: not those made for load cases."""
    return MappingProxyType({row.code: row for row in rows() if "{case}" not in row.meaning})


def called(kind: Literal["limit", "check"], name: str) -> str:
    """Return the name of a limit or a check, with its kind where both are called so."""
    return f"{kind}:{name}" if name in sources() and name in limit_table.shipped() else name


def _table(document: Document) -> tuple[Row, ...]:
    """Return the rows of a whole table. Raises ParameterError when one is not as the head says."""
    data: dict[str, Any] = document.data
    faults = list(document.faults)
    if set(data) != {"title", "note", "columns", "needs", "phrases", "rows"} or data["columns"] != _COLUMNS:
        raise ParameterError([*faults, document.problem((), "is not a table of checks")])
    made: dict[str, Row] = {}
    for i, cells in enumerate(data["rows"]):
        row = _row(cells, data["needs"], data["phrases"])
        if row is None or row.code in made:
            faults.append(document.problem(("rows", i), "is not a check, or one given twice", shown(cells)))
        else:
            made[row.code] = row
    if faults:
        raise ParameterError(faults)
    return tuple(made.values())


def _row(cells: list[Any], needs: dict[str, list[str]], phrases: dict[str, str]) -> Row | None:
    words, lists = cells[:10], cells[10:]
    if not 9 <= len(cells) <= len(_COLUMNS) or not all(isinstance(w, str) for w in words):
        return None
    for name, phrase in reversed(phrases.items()):
        words = [w.replace(f"{{{name}}}", phrase) for w in words]
    several = [tuple(n for name in cell for n in needs.get(name, [name])) for cell in lists]
    given: dict[str, Any] = dict(zip(_COLUMNS, (*words, *several), strict=False))
    row = Row(**given)
    known = (
        row.breach in BREACHES and row.standing in STANDINGS and row.limit_is in ("at most", "at least", "information")
    )
    return row if known and set(row.limits) <= set(limit_table.standard()) else None


@dataclass(frozen=True, slots=True)
class Said:
    """What a finding of the geometry says: the thing, the path to change, what to do; templates of `say`."""

    what: str
    parameter: str
    advice: str


@dataclass(frozen=True, slots=True)
class GeometryRow:
    """One check of the geometry as the table has it. forms: its words by name, the usual ones under ""."""

    code: str
    group: str
    meaning: str
    limits: tuple[str, ...]
    forms: Mapping[str, Said]


@functools.lru_cache(maxsize=1)
def geometry_rows() -> Mapping[str, tuple[GeometryRow, ...]]:
    """Return the rows of the geometry by module. Raises ParameterError when the table is not as its head says."""
    document = strict_yaml.read_file(GEOMETRY)
    data: dict[str, Any] = document.data
    faults, seen = list(document.faults), set[str]()
    made: dict[str, list[GeometryRow]] = {}
    for module, rows in data["rows"].items():
        for i, (code, group, meaning, limits, *words) in enumerate(rows):
            others = {form: Said(*said) for own, form, *said in data["forms"] if own == code}
            if code in seen or len(words) != 3 or not set(limits) <= set(limit_table.standard()):
                faults.append(document.problem(("rows", module, i), "is not a check, or one given twice", shown(code)))
                continue
            seen.add(code)
            row = GeometryRow(code, group, meaning, tuple(limits), {"": Said(*words), **others})
            made.setdefault(module, []).append(row)
    if faults:
        raise ParameterError(faults)
    return {module: tuple(rows) for module, rows in made.items()}
