"""Files of what was measured, on the boat or at the bench: YAML, or CSV as a spreadsheet saves it.

Each kind of file is a `Reading` group, as a parameter set is a group: units, ranges and words are told and held to in
the same way, with file, line and column. A CSV file says the same things row by row:

    units,mm
    by,J. Fitter
    instrument.scatter,1

    hull
    name,along [mm],port [mm],up [in]
    A1,120,-40,14 1/2
    A2,180,-40,14 3/8

A row is a name and its value; a dotted name stands in a group. A name alone in its row begins a table: the next row
has the heads of its columns, then come its rows, until an empty one. A head may carry a unit. The cells are parted by
commas, semicolons or tabs; with the two latter a number may have a comma for its decimal sign.
"""

from __future__ import annotations

import csv
import difflib
import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, Literal, TypeVar

from strutwright.params import strict_yaml, tables
from strutwright.params.fields import Date, Group, Person, Text, doc
from strutwright.params.loader import kind_of, model_at, model_in, split, validated
from strutwright.params.problems import ParameterError, Problem, shown
from strutwright.params.strict_yaml import Document, Path_

MAX_ROWS = 5000
EXAMPLES = Path(__file__).parent / "examples"
_HEAD = re.compile(r"(?P<name>[^\[(]+?)\s*(?:[\[(]\s*(?P<unit>[^\])]+?)\s*[\])])?\Z")
_BARE = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?\Z")
_COMMA = re.compile(r"[-+]?[0-9]*,[0-9]+(?=\D*\Z)")
_WHOLE = re.compile(r"[-+]?[0-9]{1,18}\Z")


class Reading(Group):
    """What every file of readings may say of itself."""

    units: Literal["mm", "in"] = doc("Unit of bare lengths", "mm")
    by: Person | None = doc("Who measured", left_out="left blank on the sheet")
    date: Date | None = doc("When it was measured, year-month-day", left_out="left blank on the sheet")
    remark: Text | None = doc("A line for the sheet", left_out="none")


M = TypeVar("M", bound=Reading)


@dataclass(frozen=True, slots=True)
class Measured(Generic[M]):
    """What a file of readings says, where each value stands in it, and the file's bytes."""

    said: M
    document: Document
    raw: bytes

    @property
    def sha256(self) -> str:
        """SHA-256 of the file, in hex."""
        return hashlib.sha256(self.raw).hexdigest()

    def problem(self, path: str, what: str, given: str = "", allowed: str = "", advice: str = "") -> Problem:
        """Return a fault at a dotted path (`hull[2].up`)."""
        return self.document.problem(split(path), what, given, allowed, advice)

    def no_material(self, path: str, name: str | None) -> Iterator[Problem]:
        """Return the fault of a material that no table holds; of none where none is named."""
        if name is None:
            return
        try:
            tables.material(name)
        except tables.NotInTable as error:
            yield self.problem(path, "is not in the table of materials", shown(name), f"{error.allowed}")


def examples() -> dict[str, Path]:
    """Return the shipped files of readings by name."""
    return {p.stem: p for p in sorted(EXAMPLES.glob("*")) if p.suffix in (".yaml", ".csv")}


def read(path: Path, kind: type[M]) -> Measured[M]:
    """Return the readings in a YAML or CSV file. kind: what they are of. Raises ParameterError with every fault."""
    raw, text = strict_yaml.text_of(path, "readings")
    return _measured(text, raw, str(path), kind, as_csv=path.suffix.lower() in (".csv", ".tsv", ".txt"))


def reads(text: str, kind: type[M], name: str = "<text>", *, as_csv: bool = False) -> Measured[M]:
    """As `read`, of a text; `name` is used in messages."""
    return _measured(text, text.encode(), name, kind, as_csv=as_csv)


def _measured(text: str, raw: bytes, name: str, kind: type[M], *, as_csv: bool) -> Measured[M]:
    document = csv_document(text, name, kind) if as_csv else strict_yaml.read_text(text, name)
    return Measured(validated(document, kind), document, raw)


@dataclass(frozen=True, slots=True)
class CsvRow:
    """A row of a CSV text: its line, its cells, and the character at which each begins, counted from 1."""

    line: int
    cells: tuple[str, ...]
    columns: tuple[int, ...]

    @property
    def filled(self) -> int:
        """How many cells it has up to its last that is not empty."""
        return max((k for k, cell in enumerate(self.cells, 1) if cell), default=0)


def csv_document(text: str, name: str, kind: type[Group]) -> Document:
    """Return what a CSV text says, as a YAML text would say it. Raises ParameterError when it cannot be read at all;
    lesser faults are left in the document."""
    strict_yaml.refuse_unreadable(text, name)
    document = Document(name, {})
    rows = list(csv_rows(text, document))
    if len(rows) > MAX_ROWS:
        raise ParameterError([document.problem((), f"has over {MAX_ROWS} rows", f"{len(rows)}", "", "split it")])
    comma = _delimiter(text) != ","
    at = 0
    while at < len(rows):
        row = rows[at]
        at += 1
        if not row.filled:
            continue
        head = _HEAD.match(row.cells[0])
        called = _called(row.cells[0] if head is None else head["name"])
        if row.filled == 1 and called not in kind.model_fields and "." not in called:
            _unknown(document, row, kind)
            while at < len(rows) and _of_no_name(kind, rows[at]):  # rows of a table that is none of this kind's
                at += 1
        elif row.filled == 1 and _is_table(kind, called):
            table = []
            while at < len(rows) and rows[at].filled:
                table.append(rows[at])
                at += 1
            _table(document, kind, called, row, table, comma=comma)
        else:
            _value(document, kind, row, comma=comma)
    return document


def _of_no_name(kind: type[Group], row: CsvRow) -> bool:
    """Whether a row is one of a table, and none that says a value of this kind of readings."""
    called = _called(row.cells[0].split("[")[0]) if row.cells else ""
    return row.filled > 1 and called.split(".")[0] not in kind.model_fields


def csv_rows(text: str, document: Document) -> Iterator[CsvRow]:
    """Yield the rows of a CSV text but for its comments; faults are left in the document."""
    delimiter = _delimiter(text)
    for number, line in enumerate(text.splitlines(), 1):
        if line.lstrip().startswith("#"):
            continue
        try:
            cells = next(csv.reader([line], delimiter=delimiter, strict=True), [])
        except csv.Error:
            document.values[("",)] = (number, 1)
            document.faults.append(document.problem(("",), "has a quote that is not closed", advice="close it"))
            continue
        yield CsvRow(number, tuple(c.strip() for c in cells), _starts(line, delimiter))


def _starts(line: str, delimiter: str) -> tuple[int, ...]:
    """The character, counted from 1, at which each cell begins."""
    starts, quoted = [1], False
    for k, c in enumerate(line, 2):
        quoted ^= c == '"'
        if c == delimiter and not quoted:
            starts.append(k)
    return tuple(starts)


def _delimiter(text: str) -> str:
    """What parts the cells: a semicolon or a tab where one stands in the first rows, else a comma."""
    first = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")][:40]
    return next((d for d in (";", "\t") if any(d in line for line in first)), ",")


def _called(cell: str) -> str:
    """A name as the schema has it: `Half breadth` is `half_breadth`."""
    return re.sub(r"[\s-]+", "_", cell.strip().lower())


def _is_table(kind: type[Group], name: str) -> bool:
    info = kind.model_fields.get(name)
    return info is not None and model_in(info.annotation) is not None and "list" in str(info.annotation)


def _put(document: Document, path: Path_, value: object, at: tuple[int, int]) -> None:
    """Put a value in its place, with the groups it stands in."""
    data: Any = document.data
    for depth, part in enumerate(path[:-1], 1):
        document.values.setdefault(path[:depth], at)
        document.keys.setdefault(path[:depth], at)
        data = data.setdefault(part, {}) if isinstance(data, dict) else data[part]
    if not isinstance(data, dict):
        return
    if path[-1] in data:
        first = document.keys[path][0]
        document.values[path] = at
        document.faults.append(
            document.problem(path, "is given twice", f"first in line {first}", "", "keep one of the two")
        )
        return
    document.keys[path] = document.values[path] = at
    data[path[-1]] = value


def _unknown(document: Document, row: CsvRow, kind: type[Group]) -> None:
    path = (shown(row.cells[0]),)
    document.values[path] = (row.line, row.columns[0])
    near = difflib.get_close_matches(_called(row.cells[0]), list(kind.model_fields), n=1, cutoff=0.5)
    advice = f"write `{near[0]}`" if near else "put the value into the next cell, or remove the row"
    allowed = ", ".join(kind.model_fields)
    document.faults.append(document.problem(path, "is not a known name", "", allowed, advice))


def _value(document: Document, kind: type[Group], row: CsvRow, *, comma: bool) -> None:
    head = _HEAD.match(row.cells[0])
    named, unit = (head["name"], head["unit"]) if head is not None else (row.cells[0], None)
    path = split(".".join(_called(part) for part in named.split(".")))
    if not path or len(path) > strict_yaml.MAX_DEPTH:
        _unknown(document, row, kind)
        return
    texts = [c for c in row.cells[1:] if c]
    if len(texts) > 1:
        document.values[path] = (row.line, row.columns[2])
        fault = "has more than one value"
        advice = "keep one; where its text has a comma, put it in quotes"
        document.faults.append(document.problem(path, fault, shown(", ".join(texts)), "", advice))
        return
    column = row.columns[1] if len(row.columns) > 1 else row.columns[0]
    owner = model_at(path[:-1], kind)
    info = owner.model_fields.get(str(path[-1])) if owner is not None else None
    quantity = info is not None and kind_of(info) is not None
    _put(document, path, _cell(texts[0] if texts else "", unit, comma=comma, quantity=quantity), (row.line, column))


def _table(document: Document, kind: type[Group], name: str, title: CsvRow, rows: list[CsvRow], *, comma: bool) -> None:
    model = model_in(kind.model_fields[name].annotation)
    assert model is not None
    place = (title.line, title.columns[0])
    if not rows:
        _put(document, (name,), [], place)
        return
    heads: list[tuple[int, str, str | None]] = []
    unsure: set[str] = set()
    for k, cell in enumerate(rows[0].cells):
        if not cell:
            continue
        match = _HEAD.match(cell)
        column = _called(match["name"] if match is not None else cell)
        path = (name, shown(cell))
        document.values[path] = (rows[0].line, rows[0].columns[k])
        if column not in model.model_fields:
            near = difflib.get_close_matches(column, list(model.model_fields), n=1, cutoff=0.5)
            advice = f"write `{near[0]}`" if near else "remove the column"
            allowed = ", ".join(model.model_fields)
            document.faults.append(document.problem(path, "is no column of this table", "", allowed, advice))
            continue
        if column in [h[1] for h in heads]:
            document.faults.append(document.problem(path, "is the head of two columns", "", "", "keep one"))
            continue
        unit = match["unit"] if match is not None else None
        if unit and not _unit_fits(document, path, model, column, unit):
            unit = None
            unsure.add(column)
        heads.append((k, column, unit))
    headed = {k for k, cell in enumerate(rows[0].cells) if cell}
    made: list[object] = []
    _put(document, (name,), made, place)
    for row in rows[1:]:
        document.unsure |= {(name, len(made), column) for column in unsure}
        _table_row(document, model, name, heads, headed, row, made, comma=comma)


def _unit_fits(document: Document, path: Path_, model: type[Group], column: str, unit: str) -> bool:
    quantity = kind_of(model.model_fields[column])
    if quantity is not None and unit in quantity.factors:
        return True
    allowed = "no unit" if quantity is None else ", ".join(u for u in quantity.factors if u)
    document.faults.append(
        document.problem(path, "has a unit that does not belong there", unit, allowed, "write the unit of its readings")
    )
    return False


def _table_row(
    document: Document,
    model: type[Group],
    name: str,
    heads: list[tuple[int, str, str | None]],
    headed: set[int],
    row: CsvRow,
    made: list[object],
    *,
    comma: bool,
) -> None:
    at = (name, len(made))
    document.values[at] = (row.line, row.columns[0])
    said: dict[str, object] = {}
    made.append(said)
    for k, column, unit in heads:
        text = row.cells[k] if k < len(row.cells) else ""
        path = (*at, column)
        document.keys[path] = document.values[path] = (row.line, row.columns[min(k, len(row.columns) - 1)])
        if text:
            said[column] = _cell(text, unit, comma=comma, quantity=kind_of(model.model_fields[column]) is not None)
    over = [c for k, c in enumerate(row.cells) if c and k not in headed]
    if over:
        given = shown(", ".join(over))
        document.faults.append(document.problem(at, "has a cell in a column without a head", given, "", "remove it"))


def _cell(text: str, unit: str | None, *, comma: bool, quantity: bool) -> object:
    """A cell as YAML would have it: a number, a word, or a text that the schema reads."""
    if comma and quantity and _COMMA.match(text):
        text = text.replace(",", ".", 1)
    if text.lower() in ("yes", "true", "no", "false"):
        return text.lower() in ("yes", "true")
    if not text:
        return None
    if unit and _bare(text):
        return f"{text} {unit}"
    if _WHOLE.match(text):
        return int(text)
    return float(text) if _BARE.match(text) and len(text) < 40 else text


def _bare(text: str) -> bool:
    return not re.search(r"[A-Za-z%°\"']", text)
