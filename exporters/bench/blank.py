"""Blank forms of readings: one to print and write on, one as CSV to fill in and read back, from the kind of readings.

    form = form_of(Survey, "Survey", rows={"hull": 12})
    form.sheets(Imprint(paper="A4", reference="strutwright 0.2.0"))
    form.csv

What the CSV form asks for, and in which unit, is what `params.measured.read` takes; an empty cell means not said.
"""

from __future__ import annotations

import csv
import io
import re
import typing
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from pydantic.fields import FieldInfo

from strutwright.exporters.bench.paper import Imprint, broken, one_page, paged, work_sheet
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.params.fields import Group
from strutwright.params.loader import kind_of, model_in
from strutwright.params.measured import Reading
from strutwright.params.quantity import FileUnits

ROWS = 12
"""Rows of a table on a form, where its kind of readings asks for no other number."""
_ROW_MM = 7.5
"""Height of a row that is written in by hand."""
_LONGEST = 58
SINGLE = "single"
"""Name of the table of what is asked once."""
_LAST_MM, _NARROW_MM = 60.0, 26.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One thing to fill in: its name in the file, its unit ("" for none), and a few words. printed: whether it stands
    on paper too. least_mm, most_mm: how wide its column is;
    longer texts are broken. left: set to the left. on_paper: its name there, where it is another."""

    name: str
    unit: str
    words: str
    printed: bool = True
    least_mm: float = 22.0
    most_mm: float = 200.0
    left: bool = False
    on_paper: str | None = None

    @property
    def head(self) -> str:
        """The name with its unit, as a file of readings has it."""
        return f"{self.name} [{self.unit}]" if self.unit else self.name

    @property
    def called(self) -> str:
        """What it is called on paper."""
        return self.name.replace("_", " ") if self.on_paper is None else self.on_paper


@dataclass(frozen=True, slots=True)
class FormTable:
    """A table to fill in. rows: what stands in it already, each as long as the columns; an empty cell is blank. right:
    whether it stands on the right of the page. printed: the same rows as they stand on paper, where that is another
    table; its columns with blank cells have their names from this one. filled_at: of a printed table whose lines hold
    several rows, the row that a blank cell is of, by line and column."""

    name: str
    words: str
    columns: tuple[Asked, ...]
    rows: tuple[tuple[str, ...], ...]
    right: bool = False
    printed: FormTable | None = None
    filled_at: Mapping[tuple[int, int], int] = field(default_factory=dict)

    @property
    def on_paper(self) -> FormTable:
        """The table as it stands on paper."""
        return self.printed or self


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """A blank form. single: what is asked once, with what is known of it; across: whether side by side. notes,
    cautions: for the sheet. row_mm: of the rows of its tables; written_mm: of those with a blank cell at least. given:
    tables of what is known already, that stand before them on paper only; views: what is drawn beside them on the
    first page. records: where the first sheet holds what is given, the notes and the cautions, the
    sheets behind it: title, names of the tables, notes."""

    title: str
    units: FileUnits
    single: tuple[tuple[Asked, str], ...]
    tables: tuple[FormTable, ...]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    row_mm: float = _ROW_MM
    written_mm: float = 0.0
    pad_mm: float = 1.5
    line_mm: float = 3.625
    across: bool = False
    given: tuple[Table, ...] = ()
    views: tuple[View, ...] = ()
    records: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...] = ()

    @property
    def csv(self) -> str:
        """The form as a file of readings with nothing in its cells."""
        out = io.StringIO()
        write = csv.writer(out, lineterminator="\n")
        out.write(f"# {self.title}: fill in the cells, leave out what was not measured\n")
        write.writerow(["units", self.units])
        for asked, known in self.single:
            out.write(f"# {asked.words}\n")
            write.writerow([asked.head, known])
        for table in self.tables:
            out.write(f"\n# {table.words}\n")
            for asked in table.columns:
                out.write(f"#   {asked.name}: {asked.words}\n")
            write.writerow([table.name])
            write.writerow([asked.head for asked in table.columns])
            write.writerows(row for row in table.rows if any(row))
        return out.getvalue()

    def on_one_page(self, imprint: Imprint) -> bool:
        """Whether one page holds it."""
        return not self.records and one_page(self._whole(imprint)) is not None

    def _whole(self, imprint: Imprint) -> Sheet:
        tables = [_drawn(table.on_paper, self) for table in self.tables if table.rows]
        tables[:0] = self._once()
        return work_sheet(
            self.title,
            None,
            imprint=imprint,
            unit=self.units,
            views=self.views,
            tables=[*(t for t in self.given if t.rows), *tables],
            notes=self.notes,
            cautions=self.cautions,
            document_type="Blank form",
            text_sizes_mm=(2.5,),
            scales=(1.0,),
        )

    def sheets(self, imprint: Imprint) -> list[Sheet]:
        """Return the form as sheets; one where it fits on one. Raises SheetFitError where a table fits none."""
        whole = self._whole(imprint)
        if not self.records:
            return paged(whole)
        behind = {name for _, names, _ in self.records for name in names}
        made = paged(replace(whole, tables=[t for t in whole.tables if t.name not in behind]))
        for title, names, notes in self.records:
            some = sorted((t for t in whole.tables if t.name in names), key=lambda t: names.index(t.name))
            titled = replace(whole.title, title=title)
            made += paged(replace(whole, title=titled, tables=some, views=[], notes=list(notes), cautions=[]))
        return made

    def _once(self) -> list[Table]:
        """What is asked once; without a column of units where nothing has one."""
        asked = [(asked.words, asked.unit, known) for asked, known in self.single if asked.printed]
        beside = self.views or self.across or self.records or any(table.right for table in self.tables)
        narrow = _NARROW_MM if beside else _LAST_MM
        if self.across:
            columns, rows = tuple(words for words, _, _ in asked), [tuple(known for _, _, known in asked)]
            least: tuple[float, ...] = (narrow,) * len(columns)
        elif any(unit for _, unit, _ in asked):
            columns, rows, least = ("what", "unit", "reading"), [*asked], (0.0, 0.0, narrow)
        else:
            columns, rows, least = ("what", "reading"), [row[::2] for row in asked], (0.0, narrow)
        table = Table(
            name=SINGLE,
            title=self.title.upper(),
            columns=columns,
            rows=tuple(rows),
            left=frozenset() if self.across else frozenset({0}),
            row_mm=self.row_mm,
            least_mm=least,
            written_mm=self.written_mm,
            corner="top left",
        )
        return [table] if asked else []


def form_of(kind: type[Reading], title: str, *, units: FileUnits = "mm", rows: Mapping[str, int] | None = None) -> Form:
    """Return the blank form of a kind of readings. rows: how many a table has, by its name (default: ROWS)."""
    single: list[tuple[Asked, str]] = []
    tables: list[FormTable] = []
    for name, info, listed in _fields(kind):
        model = model_in(info.annotation)
        if listed and model is not None:
            columns = tuple(_asked(n, f, units) for n, f in model.model_fields.items())
            blank = ("",) * len(columns)
            count = (rows or {}).get(name, ROWS)
            tables.append(FormTable(name, _short(info.description or name), columns, (blank,) * count))
        elif name != "units":
            single.append((_asked(name, info, units), ""))
    return Form(title=title, units=units, single=tuple(single), tables=tuple(tables))


def _fields(kind: type[Group], within: str = "") -> Iterator[tuple[str, FieldInfo, bool]]:
    """The fields of a kind of readings by dotted name, those of its groups in their place; whether each is a list."""
    for name, info in kind.model_fields.items():
        model = model_in(info.annotation)
        listed = "list" in str(info.annotation) or "tuple" in str(info.annotation)
        if model is not None and not listed:
            yield from _fields(model, f"{within}{name}.")
        else:
            yield f"{within}{name}", info, listed


def _asked(name: str, info: FieldInfo, units: FileUnits) -> Asked:
    kind = kind_of(info)
    words = _short(info.description or name)
    choices = _choices(info.annotation)
    if choices and len(words) + len(choices) < _LONGEST + 20:
        words = f"{words} ({choices})"
    return Asked(name=name, unit="" if kind is None else kind.bare[units], words=words)


def _choices(annotation: object) -> str:
    """The words that a field takes, parted by " / "; "" where it takes others."""
    if typing.get_origin(annotation) is typing.Literal:
        return " / ".join(str(c) for c in typing.get_args(annotation))
    for part in typing.get_args(annotation):
        if found := _choices(part):
            return found
    return ""


def _short(text: str) -> str:
    """The first clause of an explanation that fits on a form."""
    for end in (r"[.;:(]", r",", r" "):
        pieces = re.split(f"{end}", text)
        kept = pieces[0] if end != r" " else text
        if len(kept) <= _LONGEST:
            return kept.strip()
    return text[:_LONGEST].rsplit(" ", 1)[0]


def _drawn(table: FormTable, form: Form) -> Table:
    kept = [k for k, asked in enumerate(table.columns) if asked.printed]
    columns = [table.columns[k] for k in kept]
    return Table(
        name=table.name,
        title=table.words.upper(),
        columns=tuple(", ".join(w for w in (c.called, c.unit) if w) for c in columns),
        rows=tuple(tuple(broken(row[k], c.most_mm) for k, c in zip(kept, columns, strict=True)) for row in table.rows),
        left=frozenset(i for i, c in enumerate(columns) if c.left),
        row_mm=form.row_mm,
        written_mm=form.written_mm,
        pad_mm=form.pad_mm,
        line_mm=form.line_mm,
        least_mm=tuple(c.least_mm for c in columns),
        corner="top right" if table.right else "top left",
    )
