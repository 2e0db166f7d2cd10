"""The rows of a record set close, for a form that one page is to hold: rows that are held to the same limits, measured
with the same instrument, stand under one head, two to a line; the others have their limits behind what they are."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from strutwright.exporters.bench.blank import Asked, FormTable
from strutwright.exporters.bench.paper import broken
from strutwright.exporters.drawing.sheet import JOINED
from strutwright.models.bench.inspection import Row

_ONE_OF = re.compile(r"(?:(?P<side>\w+) )?(?P<of>palm|arm|screw|bearing)(?: (?P<number>\d+))?, (?P<what>.+)\Z")
_HOLE = re.compile(r"(?P<of>.+), hole (?P<number>\d+) at (?P<at>.+)\Z")
_NUMBER_MM, _FOUND_MM, PAD_MM = 6.4, 12.0, 0.9
_COLUMNS = ("number", "characteristic", "measured")


@dataclass(frozen=True, slots=True)
class _Group:
    """Rows under one head: its words, and of each row its place in the record and what tells it from the others."""

    words: str
    rows: tuple[tuple[int, str], ...]


def closely(table: FormTable, rows: Sequence[Row], wide_mm: float) -> FormTable:
    """Return the table of a record's form as it is printed on so much width, each row with its number and limits."""
    what_mm = wide_mm / 2.0 - _NUMBER_MM - _FOUND_MM
    least = (_NUMBER_MM, what_mm, _FOUND_MM)
    heads = ("", "what: limits (instrument)", JOINED, JOINED, JOINED, "found")
    columns = tuple(
        Asked(name=_COLUMNS[k % 3], unit="", words="", on_paper=head, least_mm=least[k % 3], left=k % 3 == 1)
        for k, head in enumerate(heads)
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
            words = _broken(group.words, wide_mm - _NUMBER_MM - _FOUND_MM)
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


def run_in(rows: Sequence[tuple[int, Row, str]], wide_mm: float) -> tuple[tuple[str, str], ...]:
    """Return rows of a record that are done with, part by part in running text: each with its number, what was found,
    limits and instrument; those that are held alike share these. wide_mm: of the text."""
    parts: dict[str, list[str]] = {}
    for group in _groups([row for _, row, _ in rows], derived_too=True):
        part, _, what = group.words.partition(", ")
        if not what:
            part, what = "whole", group.words
        told = [(rows[k][0], which, rows[k][2]) for k, which in group.rows]
        if len(told) == 1:
            line = f"{told[0][0]} {what}: {told[0][2]}"
        else:
            line = f"{what}: " + ", ".join(f"{number} {which}: {found}" for number, which, found in told)
        parts.setdefault(_ALL_OF.get(part, part), []).append(line)
    return tuple((part, broken("; ".join(lines), wide_mm)) for part, lines in parts.items())


_ALL_OF = {"hand": "whole"}


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
        alone = first.derived and not derived_too
        yield _Group(told if alone else f"{told} ({first.instrument})", tuple(members))


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
