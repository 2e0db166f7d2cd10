"""One reader for all standard tables: a table is read when first asked for and kept.

Values stand in the files in the units of their standard. What is not there is told with what is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from strutwright.params import readings
from strutwright.params.quantity import INCH_MM
from strutwright.params.words import Words, fine_mm, say

_HERE = Path(__file__).parent


class NotInTable(KeyError):  # noqa: N818 - reads as the sentence it prints
    """A name, size or range the tables do not hold; the text says what is valid and the near miss, `allowed` only what
    is valid."""

    def __str__(self) -> str:
        return str(self.args[0]) if self.args else ""

    @property
    def allowed(self) -> Words:
        """What would be found."""
        words: Words = self.args[-1] if self.args else ""
        return words


def missing(what: str, given: object, valid: Iterable[object], where: str, command: str = "") -> NotInTable:
    """Return the error for a name that is not there: what is near and valid, or the command that lists what is."""
    import difflib

    choices = list(dict.fromkeys(str(v) for v in valid))
    near = difflib.get_close_matches(str(given), choices, n=3 if command else 1, cutoff=0.5)
    likeness = [difflib.SequenceMatcher(None, str(given), name).ratio() for name in near]
    near = [name for name, r in zip(near, likeness, strict=True) if r > likeness[0] - 0.15]
    hint = f" Did you mean {' or '.join(near)}?" if near else ""
    told = f"{command} lists all" if command else f"Valid: {', '.join(choices)}"
    likely = f"such as {' or '.join(near)}; " if near else ""
    allowed = f"{likely}{told}" if command else ", ".join(choices)
    return NotInTable(f"{what} {given!r} is not in {where}.{hint} {told}.", allowed)


def outside(what: str, given_mm: float, low_mm: float, high_mm: float, where: str) -> NotInTable:
    """Return the error for a size beyond what a table holds."""
    span = say("over {low} to {high}", low=fine_mm(low_mm), high=fine_mm(high_mm))
    return NotInTable(
        say(
            "{what} {given} is outside {where}. Valid: {span}.",
            what=what,
            where=where,
            given=fine_mm(given_mm),
            span=span,
        ),
        span,
    )


HEAD_KEYS = ("title", "standard", "table", "edition", "standing", "confidence", "note", "units", "columns")


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table as it stands in its file.

    ``rows`` are read-only mappings from column to value, in the units of ``units``; ``extra`` holds further
    lists of the file (stock lengths). ``standing`` is published, common practice or from memory. ``standards``: of each
    of its parts, where they have one each.
    """

    name: str
    title: str
    standard: str
    table: str
    edition: str
    standing: str
    confidence: str
    note: str
    units: Mapping[str, str]
    columns: tuple[str, ...]
    rows: tuple[Mapping[str, Any], ...]
    extra: Mapping[str, Any]
    standards: Mapping[str, str]
    labels: tuple[str, ...]
    """Of each row what tells it from all others: what stands in its first column, or in as many as that takes."""
    read: Mapping[str, readings.Reading] = field(default_factory=dict)
    """What the shop read of its rows, by label."""

    def from_memory(self, row: int) -> tuple[str, ...]:
        """Columns of a row whose values are from memory and were not read: numbers, and what is not known."""
        reading, of_row = self.read.get(self.labels[row]), self.rows[row].get("published")
        doubtful = self.columns if self.standing == "from memory" else self.extra.get("from_memory", ())
        return tuple(
            c
            for c in doubtful
            if c in self.measured and (of_row is None or c not in of_row) and not (reading and reading.read(c))
        )

    @property
    def measured(self) -> tuple[str, ...]:
        """Columns of plain numbers, but for those that name a row or its step."""
        named = {"over", "to", *self.columns[: self.label_columns]}
        return tuple(c for c in self.columns if c not in named and all(_plain_or_none(r[c]) for r in self.rows))

    @property
    def label_columns(self) -> int:
        """How many columns a row's label is made of."""
        return _label_columns(self.columns, self.rows)

    def column_standing(self, column: str) -> str:
        """Standing of one column: from memory where the file says so, else that of the whole table."""
        if column not in self.columns:
            raise missing("Column", column, self.columns, f"table {self.name}")
        return "from memory" if column in self.extra.get("from_memory", ()) else self.standing


def names() -> tuple[str, ...]:
    """The names of all tables, sorted."""
    return tuple(sorted(p.stem for p in _HERE.glob("*.yaml")))


def table(name: str) -> Table:
    """The table of that name (see :func:`names`), rows that the shop read in a standard as it read them. Raises
    :class:`NotInTable` for another name."""
    known = readings.current()
    return shipped(name) if known is readings.NONE else _as_read(name, known)


@lru_cache(maxsize=512)
def _as_read(name: str, known: readings.Readings) -> Table:
    found, read = shipped(name), known.rows(name)
    if not read:
        return found
    rows = []
    for row, label in zip(found.rows, found.labels, strict=True):
        new = dict(row)
        if label in read:
            values = read[label].values.items()
            new.update((c, int(v) if isinstance(row[c], int) and v == int(v) else v) for c, v in values)
            if "published" in new:
                new["published"] = [c for c in found.columns if c in row["published"] or read[label].read(c)]
        rows.append(MappingProxyType(new))
    return replace(found, rows=tuple(rows), read=MappingProxyType(read))


@cache
def shipped(name: str) -> Table:
    """The table of that name as shipped. Raises :class:`NotInTable` for another name."""
    import yaml

    if name not in names():
        raise missing("Table", name, names(), "the standard tables")
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    with (_HERE / f"{name}.yaml").open(encoding="utf-8") as stream:
        data = yaml.load(stream, Loader=loader)
    columns = tuple(data["columns"])
    rows = tuple(MappingProxyType(dict(zip(columns, row, strict=True))) for row in data["rows"])
    extra = {k: v for k, v in data.items() if k not in HEAD_KEYS and k != "rows"}
    told = data["standard"]
    standards = told if isinstance(told, dict) else {}
    count = _label_columns(columns, rows)
    return Table(
        name=name,
        labels=tuple(" ".join(_cell(row[c]) for c in columns[:count]) for row in rows),
        standard=", ".join(f"{one} ({part})" for part, one in standards.items()) or told,
        standards=MappingProxyType(standards),
        rows=rows,
        extra=MappingProxyType(extra),
        columns=columns,
        units=MappingProxyType(data["units"]),
        **{k: data[k] for k in HEAD_KEYS if k not in ("units", "columns", "standard")},
    )


def _label_columns(columns: tuple[str, ...], rows: tuple[Mapping[str, Any], ...]) -> int:
    counts = range(1, len(columns) + 1)
    return next(n for n in counts if len({tuple(_cell(r[c]) for c in columns[:n]) for r in rows}) == len(rows))


def _cell(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


def _plain_or_none(value: object) -> bool:
    return value is None or (isinstance(value, int | float) and not isinstance(value, bool))


def plain_size(text: str) -> str:
    """Return a size brought to the spelling of the tables: M12, #10, 1/2, 1 1/4."""
    t = text.strip().replace("″", '"').removesuffix('"')
    t = re.sub(r"\s*(in|inch)\.?$", "", t, flags=re.IGNORECASE)
    metric = re.fullmatch(r"[mM]\s*(\d+(?:\.\d+)?)", t)
    if metric:
        return f"M{float(metric[1]):g}"
    return re.sub(r"(?<=\d)[\s-]+(?=\d+/)", " ", t)


def is_metric(size: str) -> bool:
    """Return whether a size, spelt as in the tables, is a metric one."""
    return size.startswith("M")


def row_of(table_name: str, size: str) -> Mapping[str, Any]:
    """Return the row of a size, spelt as in the tables. Raises :class:`NotInTable`."""
    t = table(table_name)
    for row in t.rows:
        if row["size"] == size:
            return row
    raise missing("Size", size, (r["size"] for r in t.rows), f"{t.standard} ({t.title})")


def span_of(table_name: str, value: float, what: str, where: str | None = None) -> Mapping[str, Any]:
    """Return the row whose step "over, up to and including" holds a value in mm. Raises :class:`NotInTable`."""
    t = table(table_name)
    for row in t.rows:
        if row["over"] < value <= row["to"]:
            return row
    raise outside(what, value, t.rows[0]["over"], t.rows[-1]["to"], where or t.standard)


def in_mm(value: float, unit: str) -> float:
    """Return a size of a table in mm; unit: "in", or anything else for mm."""
    return round(value * INCH_MM, 6) if unit == "in" else float(value)


def mm_or_none(value: float | None, unit: str) -> float | None:
    """Return a size of a table in mm, None where the table holds none."""
    return None if value is None else in_mm(value, unit)
