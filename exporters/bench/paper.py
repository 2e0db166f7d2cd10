"""Sheets of one page for a piece of work on the boat or at the bench, on A4 or Letter."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

from strutwright.exporters.drawing import blocks, render
from strutwright.exporters.drawing.figures import Figures
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import SIZES_MM, Drawn, Sheet, SheetFitError, Table, TitleBlock
from strutwright.exporters.drawing.text import wrap
from strutwright.exporters.drawing.view import SCALES, View
from strutwright.models.families import drawn, plain
from strutwright.models.spec import Strut
from strutwright.params.measured import Reading
from strutwright.params.part_kinds import STRUT
from strutwright.params.quantity import FileUnits

Paper = Literal["A4", "letter"]
PAPERS: dict[Paper, str] = {"A4": "A4", "letter": "ANSI A"}
"""The papers that a work's sheet may be printed on; Letter is size A of ASME Y14.1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Imprint:
    """What every sheet of a work takes from its command, handed through whole to the title block.

    reference: program and what the sheet comes from. identification: number of the strut; called: its name; family:
    in whose words the sheet is written.
    """

    paper: Paper
    reference: str
    identification: str = ""
    called: str = ""
    family: str = STRUT

    def of(self, strut: Strut | None) -> Imprint:
        """Return the same for a strut; as it is for none."""
        if strut is None:
            return self
        return replace(self, identification=strut.identity.number, called=strut.identity.name, family=strut.family)

    def own(self, text: str) -> str:
        """Return words about a strut in those of the part that the sheet is of."""
        return text if self.family == STRUT else drawn(plain(text, self.family), self.family)


def work_sheet(
    title: str,
    said: Reading | None,
    *,
    imprint: Imprint,
    unit: FileUnits,
    views: Sequence[View] = (),
    tables: Sequence[Table] = (),
    notes: Sequence[str] = (),
    cautions: Sequence[str] = (),
    banner: str = "",
    document_type: str = "Work sheet",
    scales: tuple[float, ...] = SCALES,
    text_sizes_mm: tuple[float, ...] = (3.5, 2.5),
    caution_text_mm: float = 2.5,
    note_text_mm: float = 2.5,
) -> Sheet:
    """Return a one-page sheet of a piece of work.

    said: the readings, who took them and when; None on a blank form. The other fields as `Sheet` has them.
    """
    for view in views:
        view.in_words(imprint.own)
    block = TitleBlock(
        title=imprint.own(title),
        identification=imprint.identification,
        date=(said.date if said is not None else None) or "",
        supplementary_title=imprint.called,
        document_type=document_type,
        creator=(said.by if said is not None else None) or "",
        reference=imprint.reference,
        remark="Guidance, see cautions.",
        short=True,
    )
    return Sheet(
        block,
        views=list(views),
        tables=[table.in_words(imprint.own) for table in tables],
        notes=[imprint.own(note) for note in notes],
        cautions=[imprint.own(caution) for caution in cautions],
        sizes=(PAPERS[imprint.paper],),
        scales=scales if views else (1.0,),
        text_sizes_mm=text_sizes_mm,
        projection="first" if unit == "mm" else "third",
        figures=Figures(unit=unit),
        banner=imprint.own(banner),
        caution_text_mm=caution_text_mm,
        note_text_mm=note_text_mm,
    )


def broken(text: str, most_mm: float, text_mm: float = 2.5) -> str:
    """Return a cell's text in lines that are no wider than a column, pads counted."""
    return "\n".join(wrap(text, text_mm, most_mm - 3.0))


def packed(told: Sequence[str], most_mm: float) -> str:
    """Return a cell's figures in lines that are no wider than a column, pads counted; none broken that a line holds."""
    lines = [told[0]]
    for one in told[1:]:
        longer = f"{lines[-1]}, {one}"
        if broken(f"{longer},", most_mm) == f"{longer},":
            lines[-1] = longer
        else:
            lines[-1:] = [f"{lines[-1]},", one]
    return "\n".join(broken(line, most_mm) for line in lines)


def capital(words: str) -> str:
    """Return a clause as a sentence."""
    return f"{words[:1].upper()}{words[1:]}."


def to_sign(what: str, done: str, said: Reading) -> Table:
    """Return room for a signature. what: the part; done: which was done with it, such as "measured by"."""
    return Table(
        name="signed",
        title="",
        columns=(f"{what}, {done}", "date", "signature"),
        rows=((said.by or "", said.date or "", ""),),
        row_mm=5.0,
        written_mm=9.0,
        least_mm=(50.0, 35.0, 60.0),
        corner="top left",
    )


def first_that_fits(tried: Iterable[Sheet]) -> Sheet:
    """Return the first sheet that its page holds, of barer and barer ones. Raises SheetFitError."""
    told = ""
    for made in tried:
        try:
            lay_out(made)
            return made
        except SheetFitError as error:
            told = str(error)
    raise SheetFitError(told)


def paged(whole: Sheet, rest: str = "") -> list[Sheet]:
    """Return a sheet as the fewest that hold its tables, in their order; what a page does not hold goes on on the next.

    Views, notes and cautions stand on the first. rest: title of the others, which says what they hold. Raises
    SheetFitError where not even a row fits.
    """
    bare = replace(whole, title=replace(whole.title, title=rest or whole.title.title), views=[], notes=[], cautions=[])

    def sheet(some: Sequence[Table], first: bool) -> Sheet:
        return replace(whole if first else bare, tables=list(some))

    if halved := _halved(whole):
        return [halved]
    made: list[Sheet] = []
    waiting = list(whole.tables)
    while waiting:
        first = not made
        count = next((n for n in range(len(waiting), 0, -1) if _fits(sheet(waiting[:n], first))), 0)
        if count == 0:
            waiting[:1] = _parted(waiting[0], partial(_beside, sheet, first, []))
            continue
        some = waiting[:count]
        del waiting[:count]
        # What room is left, under the others and beside them, takes the beginning of the next table.
        with suppress(SheetFitError):
            while waiting:
                if _fits(sheet([*some, waiting[0]], first)):
                    some.append(waiting.pop(0))
                    continue
                begun, left = _parted(waiting[0], partial(_beside, sheet, first, some), least=_LEAST_ROWS)
                some, waiting[:1] = [*some, begun], [left]
        made.append(sheet(some, first))
    return made


def one_page(whole: Sheet) -> Sheet | None:
    """Return a sheet as one page holds it, its longest table in two halves if need be; None where none does."""
    return whole if _fits(whole) else _halved(whole)


def _halved(whole: Sheet) -> Sheet | None:
    """The sheet with its longest table in two halves beside each other, where its page holds that and not the whole."""
    if whole.views or not whole.tables or _fits(whole):
        return None
    at, table = max(enumerate(whole.tables), key=lambda pair: len(pair[1].rows))
    if len(table.rows) < 2 * _LEAST_ROWS:
        return None
    high = blocks.row_heights(table)
    if sum(high) > 2.0 * SIZES_MM[whole.sizes[-1]][1]:
        return None
    evenly = sorted(range(1, len(high)), key=lambda r: abs(sum(high[:r]) - sum(high[r:])))
    for count in [count for count in evenly if not table.is_head(count - 1)][:3]:
        made = replace(whole, tables=[*whole.tables[:at], *_cut(table, count), *whole.tables[at + 1 :]])
        if _fits(made):
            return made
    return None


def apart(whole: Sheet, job: Sequence[Table], records: Sequence[Table], rest: str) -> list[Sheet]:
    """Return a sheet as it is where one page holds it; else the sheet of the job, and what its work does not need on a
    sheet of its own. job, records: the tables of either; rest: title of the second. Raises SheetFitError."""
    if _fits(whole):
        return [whole]
    bare = replace(whole, title=replace(whole.title, title=rest), views=[], notes=[], cautions=[])
    return [*paged(replace(whole, tables=list(job))), *paged(replace(bare, tables=list(records)))]


def _beside(
    sheet: Callable[[Sequence[Table], bool], Sheet], first: bool, others: Sequence[Table], table: Table
) -> bool:
    return _fits(sheet([*others, table], first))


def _fits(sheet: Sheet) -> bool:
    """Whether a page holds it, the parts of a table in the order of reading: from the left to the right."""
    try:
        drawn = lay_out(sheet)
    except SheetFitError:
        return False
    boxes = {item.name: item.box() for item in drawn.items}
    parts: dict[str, list[float]] = {}
    for table in sheet.tables:
        parts.setdefault(table.name.split(" ")[0], []).append(boxes[f"table {table.name}"].x0)
    begun = sheet.tables[0]
    if not sheet.views and begun.corner == "top left" and boxes[f"table {begun.name}"].x0 > drawn.frame.centre[0]:
        return False
    return all(places == sorted(places) for places in parts.values())


_MORE = ", CONTINUED"
_LEAST_ROWS = 4
"""So many rows at least begin a table at the foot of a page."""
_LAST_ROWS = 3
"""So many at least go on on the next, where a table has them."""


def _parted(table: Table, fits: Callable[[Table], bool], least: int = 1) -> tuple[Table, Table]:
    """A table in two, of which the first fits. Raises SheetFitError where not even the least count of rows does."""
    low, high = 0, len(table.rows) - (_LAST_ROWS if len(table.rows) >= least + _LAST_ROWS else 1)
    if least > 1 and high >= least and not fits(replace(table, rows=table.rows[:least])):
        high = 0
    while low < high:  # the most rows that fit
        middle = (low + high + 1) // 2
        if fits(replace(table, rows=table.rows[:middle])):
            low = middle
        else:
            high = middle - 1
    while low and table.is_head(low - 1):
        low -= 1
    if low < least:
        raise SheetFitError(f"the table {table.name} does not fit the paper")
    return _cut(table, low)


def _cut(table: Table, count: int) -> tuple[Table, Table]:
    """A table in two after so many rows."""
    title = table.title and table.title.removesuffix(_MORE) + _MORE
    first = replace(table, rows=table.rows[:count])
    return first, replace(table, name=f"{table.name} more", title=title, rows=table.rows[count:])


def numbered(sheets: Sequence[Sheet]) -> list[Drawn]:
    """Return sheets laid out and numbered through. Raises SheetFitError when one does not fit its page."""
    for number, sheet in enumerate(sheets, 1):
        sheet.title = replace(sheet.title, sheet_number=number, sheets=len(sheets))
    return [lay_out(sheet) for sheet in sheets]


def pdf_of(sheets: Sequence[Sheet], title: str) -> bytes:
    """Return sheets as one PDF, numbered through. Raises SheetFitError when one does not fit its page."""
    return render.pdf_bytes(numbered(sheets), title)
