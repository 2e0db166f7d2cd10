"""The rows of a record set close, for a form that one page is to hold: rows that are held to the same limits, measured
with the same instrument, stand under one head, two to a line; the others have their limits behind what they are."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from strutwright.exporters.bench.blank import Asked, FormTable
from strutwright.exporters.bench.paper import broken
from strutwright.exporters.drawing.sheet import JOINED, Table
from strutwright.models.bench.inspection import Row

_ONE_OF = re.compile(r"(?:(?P<side>\w+) )?(?P<of>palm|arm|screw|bearing)(?: (?P<number>\d+))?, (?P<what>.+)\Z")
_HOLE = re.compile(r"(?P<of>.+), hole (?P<number>\d+) at (?P<at>.+)\Z")
_NUMBER_MM, _BLANK_MM, _FOUND_MM, PAD_MM = 6.4, 12.0, 15.0, 0.9
_ROW_MM, _LINE_MM = 3.6, 3.25
_COLUMNS = ("number", "characteristic", "measured")


@dataclass(frozen=True, slots=True)
class _Group:
    """Rows under one head: its words, and of each row its place in the record and what tells it from the others."""

    words: str
    rows: tuple[tuple[int, str], ...]


def closely(table: FormTable, rows: Sequence[Row], wide_mm: float) -> FormTable:
    """Return the table of a record's form as it is printed on so much width, each row with its number and limits."""
    asked = [(k, row, None) for k, row in enumerate(rows, 1)]
    columns, cells, filled_at = _close_rows(asked, wide_mm, "what: limits (instrument)", _BLANK_MM)
    return FormTable(table.name, "", columns, cells, filled_at=filled_at)


def found_closely(name: str, rows: Sequence[tuple[int, Row, str]], wide_mm: float) -> Table:
    """Return rows of a record, each with its number, limits and what was found, as a table of so much width; how sure
    it is stands in the place of the instrument."""
    columns, cells, _ = _close_rows(rows, wide_mm, "what is in: limits (±)", _FOUND_MM)
    return Table(
        name=name,
        title="",
        columns=tuple(c.called for c in columns),
        rows=cells,
        left=frozenset(k for k, c in enumerate(columns) if c.left),
        least_mm=tuple(c.least_mm for c in columns),
        row_mm=_ROW_MM,
        line_mm=_LINE_MM,
        pad_mm=PAD_MM,
        corner="top left",
    )


def _close_rows(
    asked: Sequence[tuple[int, Row, str | None]], wide_mm: float, head: str, found_mm: float
) -> tuple[tuple[Asked, ...], tuple[tuple[str, ...], ...], dict[tuple[int, int], int]]:
    """Columns, cells, and of each blank one the row that it is of, counted from 0. asked: each row with its number and
    what was found, None where that is to be filled in; those that follow from others are then only named."""
    rows, told_all = [row for _, row, _ in asked], all(found is not None for _, _, found in asked)
    what_mm = wide_mm / 2.0 - _NUMBER_MM - found_mm
    least = (_NUMBER_MM, what_mm, found_mm)
    heads = ("", head, JOINED, JOINED, JOINED, "found")
    columns = tuple(
        Asked(name=_COLUMNS[k % 3], unit="", words="", on_paper=told, least_mm=least[k % 3], left=k % 3 == 1)
        for k, told in enumerate(heads)
    )
    cells: list[tuple[str, ...]] = []
    filled_at: dict[tuple[int, int], int] = {}
    derived: dict[str, list[str]] = {}
    for group in _groups(rows, derived_too=told_all):
        first, _ = group.rows[0]
        if rows[first].derived and not told_all:
            derived[group.words] = [str(asked[row][0]) for row, _ in group.rows]
        elif len(group.rows) == 1:
            filled_at[len(cells), 5] = first
            words = _broken(group.words, wide_mm - _NUMBER_MM - found_mm)
            cells.append((str(asked[first][0]), words, JOINED, JOINED, JOINED, asked[first][2] or ""))
        else:
            cells.append((_broken(f"{group.words}:", wide_mm), *[JOINED] * 5))
            for k in range(0, len(group.rows), 2):
                line: list[str] = []
                for row, which in group.rows[k : k + 2]:
                    filled_at[len(cells), len(line) + 2] = row
                    line += [str(asked[row][0]), _broken(which, what_mm), asked[row][2] or ""]
                cells.append((*line, *([] if len(line) == 6 else ["-", JOINED, JOINED])))
    if derived:
        told = "; ".join(f"{', '.join(numbers)} {what}" for what, numbers in derived.items())
        cells.append((_broken(f"worked out: {told}", wide_mm), *[JOINED] * 5))
    return columns, tuple(cells), filled_at


def _broken(text: str, wide_mm: float) -> str:
    return broken(text, wide_mm + 3.0 - 2.0 * PAD_MM)


def limits_in_words(row: Row) -> str:
    """Return what a row is held to on one line; the nominal size where that is all."""
    if row.lower and row.upper:
        return f"{row.lower} to {row.upper}"
    return f"{row.upper} max" if row.upper else f"{row.lower} min" if row.lower else row.nominal


def _groups(rows: Sequence[Row], *, derived_too: bool) -> Iterator[_Group]:
    """The rows in the order of the record, those that are alike with the first of them."""
    alike: dict[tuple[str, str, str], list[tuple[int, str]]] = {}
    for k, row in enumerate(rows):
        which, what = _parted(row)
        limits = "" if row.derived and not derived_too else limits_in_words(row)
        key = (what, limits, row.instrument) if which else (row.what, limits, str(k))
        alike.setdefault(key, []).append((k, which))
    for (what, limits, _), members in alike.items():
        first = rows[members[0][0]]
        told = ": ".join(t for t in (what if len(members) > 1 else first.what, limits) if t)
        tool = "" if first.derived and not derived_too else first.instrument
        yield _Group(f"{told} ({tool})" if tool else told, tuple(members))


def _parted(row: Row) -> tuple[str, str]:
    """Which of several alike a row is of, and what is measured of each; nothing where it is the only one."""
    if ".gauged." in row.code:
        what, _, which = row.what.partition(", ")
        return which, what
    if found := _HOLE.match(row.what):
        return f"{found['number']}: {found['at']}", f"{found['of']}, holes off their places"
    if (found := _ONE_OF.match(row.what)) and (found["side"] or found["number"]):
        return found["side"] or f"{found['of']} {found['number']}", f"{found['of']}s, {found['what']}"
    return "", row.what
