"""The rows of a record set close, for a form that one page is to hold: rows that are held to the same limits, measured
with the same instrument, stand under one head, two to a line; the others have their limits behind what they are."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from strutwright.exporters.bench.blank import Asked, FormTable
from strutwright.exporters.bench.paper import broken, packed
from strutwright.exporters.drawing.sheet import JOINED, Table
from strutwright.exporters.drawing.text import text_width
from strutwright.models.bench.inspection import Row

_ONE_OF = re.compile(r"(?:(?P<side>\w+) )?(?P<of>palm|arm|screw|bearing)(?: (?P<number>\d+))?, (?P<what>.+)\Z")
_HOLE = re.compile(r"(?P<of>.+), hole (?P<number>\d+) at (?P<at>.+)\Z")
_SHORT = re.compile(r"(?:\w+ )?(\d+)(?::.*)?\Z")
_NUMBER_MM, _BLANK_MM, _FOUND_MM, PAD_MM = 6.4, 12.0, 20.0, 0.9
FOUND_CLOSE_MM = ((3.8, 3.3), (3.4, 3.2))
"""How close what was found stands, tried in order: rows, and lines within one (mm)."""
_COLUMNS = ("number", "characteristic", "measured")


@dataclass(frozen=True, slots=True)
class _Group:
    """Rows under one head: its words, and of each row its place in the record and what tells it from the others."""

    words: str
    rows: tuple[tuple[int, str], ...]


def closely(table: FormTable, rows: Sequence[Row], wide_mm: float) -> FormTable:
    """Return the table of a record's form as it is printed on so much width, each row with its number and limits."""
    what_mm = wide_mm / 2.0 - _NUMBER_MM - _BLANK_MM
    least = (_NUMBER_MM, what_mm, _BLANK_MM)
    heads = ("", "what: limits (instrument)", JOINED, JOINED, JOINED, "found")
    columns = tuple(
        Asked(name=_COLUMNS[k % 3], unit="", words="", on_paper=told, least_mm=least[k % 3], left=k % 3 == 1)
        for k, told in enumerate(heads)
    )
    cells: list[tuple[str, ...]] = []
    filled_at: dict[tuple[int, int], int] = {}
    derived: dict[str, list[str]] = {}
    for group in _groups(rows, derived_too=False):
        first, _ = group.rows[0]
        if rows[first].derived:
            derived[group.words] = [str(row + 1) for row, _ in group.rows]
        elif len(group.rows) == 1:
            filled_at[len(cells), 5] = first
            words = _broken(group.words, wide_mm - _NUMBER_MM - _BLANK_MM)
            cells.append((str(first + 1), words, JOINED, JOINED, JOINED, ""))
        else:
            cells.append((_broken(f"{group.words}:", wide_mm), *[JOINED] * 5))
            for k in range(0, len(group.rows), 2):
                line: list[str] = []
                for row, which in group.rows[k : k + 2]:
                    filled_at[len(cells), len(line) + 2] = row
                    line += [str(row + 1), _broken(which, what_mm), ""]
                cells.append((*line, *([] if len(line) == 6 else ["-", JOINED, JOINED])))
    if derived:
        told = "; ".join(f"{', '.join(numbers)} {what}" for what, numbers in derived.items())
        cells.append((_broken(f"worked out: {told}", wide_mm), *[JOINED] * 5))
    return FormTable(table.name, "", columns, tuple(cells), filled_at=filled_at)


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A row of a record with what was found, and how sure that is, both as they are written; "" where nothing tells."""

    number: int
    row: Row
    found: str
    sure: str


def found_closely(name: str, rows: Sequence[Found], wide_mm: float) -> Table:
    """Return rows of a record, each with its number, limits and what was found, as a table of so much width.

    Of rows under one head each has its number, which it is, and what was found, one after the other; where a hole lies
    stands on the drawing. How sure the readings are stands below them.
    """
    number_mm = max((text_width(str(r.number), 2.5) for r in rows), default=0.0) + 2.0 * PAD_MM
    text_mm = wide_mm - number_mm + 3.0 - 2.0 * PAD_MM
    groups = list(_groups([r.row._replace(instrument="") for r in rows], derived_too=True))
    single = [rows[g.rows[0][0]].found for g in groups if len(g.rows) == 1]
    widest = max((text_width(found, 2.5) for found in single), default=0.0) + 2.0 * PAD_MM + 0.1
    found_mm = min(max(widest, _BLANK_MM), _FOUND_MM)
    what_mm = wide_mm - number_mm - found_mm
    cells: list[tuple[str, ...]] = []
    for group in groups:
        if len(group.rows) == 1:
            one = rows[group.rows[0][0]]
            cells.append((str(one.number), _broken(group.words, what_mm), _broken(one.found, found_mm)))
        else:
            members = [(rows[k], _SHORT.sub(r"\1", which)) for k, which in group.rows]
            told = [f"{one.number} ({which}) {one.found}" for one, which in members]
            cells.append(("", _after(group.words, told, text_mm), JOINED))
    if sure := _sure(rows):
        cells.append(("", broken(f"± of the readings: {'; '.join(sure)}", text_mm), JOINED))
    return Table(
        name=name,
        title="",
        columns=("", "what is in: limits", "found"),
        rows=tuple(cells),
        left=frozenset({1}),
        least_mm=(number_mm, what_mm),
        row_mm=FOUND_CLOSE_MM[0][0],
        line_mm=FOUND_CLOSE_MM[0][1],
        pad_mm=PAD_MM,
        corner="top left",
    )


def _after(head: str, told: Sequence[str], most_mm: float) -> str:
    """Figures after what they are of, in lines that are no wider than a cell, pads counted."""
    *lines, last = broken(f"{head}:", most_mm).split("\n")
    begun = f"{last} {told[0]}"
    if broken(begun, most_mm) == begun:
        return "\n".join([*lines, packed([begun, *told[1:]], most_mm)])
    return "\n".join([*lines, last, packed(told, most_mm)])


def _sure(rows: Sequence[Found]) -> list[str]:
    """How sure readings are, each figure with the numbers of the rows that it is of."""
    of: dict[str, list[int]] = {}
    for one in rows:
        if one.sure:
            of.setdefault(one.sure, []).append(one.number)
    return [f"{sure} of {', '.join(_runs(numbers))}" for sure, numbers in of.items()]


def _runs(numbers: Sequence[int]) -> Iterator[str]:
    """Numbers in their order, those that follow each other as from and to.

    >>> list(_runs([2, 3, 4, 8, 9, 12]))
    ['2 to 4', '8', '9', '12']
    """
    for _, run in groupby(enumerate(numbers), lambda pair: pair[1] - pair[0]):
        first, *_, last = (together := [number for _, number in run]) * 2
        yield from (f"{first} to {last}",) if len(together) > 2 else map(str, together)


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
