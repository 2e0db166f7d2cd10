"""The whole set of sheets of one strut on disk: each as DXF, SVG and PNG preview, all together as one PDF."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from strutwright.exporters.drawing import render
from strutwright.exporters.drawing.dxfout import save_sheet
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.parted import on_paper
from strutwright.exporters.drawing.pdf import png_pages
from strutwright.exporters.drawing.record_numbers import table_with_numbers, with_numbers
from strutwright.exporters.drawing.sheet import Drawn, Sheet, SheetFitError
from strutwright.exporters.files.naming import own_name, pattern_size
from strutwright.exporters.files.naming import stem as stem_of
from strutwright.exporters.files.outdir import slug
from strutwright.exporters.sheets import Maker, sheet_makers
from strutwright.exporters.sheets.card_form import fitted, is_card
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.founder import founder_sheets
from strutwright.exporters.sheets.record import record_rows
from strutwright.models.shop.draft import DraftRow
from strutwright.models.solids import watch
from strutwright.models.solids.casting import PatternSet
from strutwright.models.solids.watch import LostError

PREVIEW_DPI = 80.0
CONTINUED = "continued-"
"""Begins the name of a sheet that stands behind another, with how many it is behind it."""


def make_sheets(context: SheetContext) -> dict[str, Sheet]:
    """Return the sheets of a strut by file name, numbered through, not yet laid out; one over which the kernel was
    lost is left out."""
    found: dict[str, Sheet] = {}
    for name, maker in sheet_makers(context.strut).items():
        try:
            with watch.step(f"the sheet {name.replace('-', ' ')}", maker.blame):
                made = maker(context)
        except LostError as error:
            context.left_out.append((f"sheet {name.replace('-', ' ')}", error.lost))
        else:
            found |= {} if made is None else {name: made}
    if context.left_out and not found:
        raise LostError(context.left_out[0][1])
    for number, sheet in enumerate(found.values(), 1):
        sheet.title = replace(sheet.title, sheet_number=number, sheets=len(found))
        sheet.revisions = context.revisions
    return found


def draw_sheets(context: SheetContext) -> dict[str, Drawn]:
    """Return the sheets of a strut by file name, laid out. Raises SheetFitError when one fits no allowed sheet."""
    numbers = {row.code: k for k, row in enumerate(record_rows(context), 1)}
    sheets = make_sheets(context)
    for sheet in sheets.values():
        sheet.tables = [table_with_numbers(table, numbers) for table in sheet.tables]
    drawn = {}
    for name, sheet in on_the_paper_there_is(sheets, context).items():
        watch.beat()
        drawn[name], _ = with_room_for_numbers(sheet, numbers)
    return drawn


def with_room_for_numbers(sheet: Sheet, numbers: Mapping[str, int]) -> tuple[Drawn, tuple[str, ...]]:
    """Return a sheet laid out, with the numbers of the record beside what they are of, and the codes for which there is
    no room: on the next size of paper where the first has none for all. Raises SheetFitError."""
    before = lay_out(sheet)
    if is_card(sheet):  # its tables have the numbers
        return before, ()
    drawn, lost = with_numbers(before, numbers)
    larger = sheet.sizes[sheet.sizes.index(before.size) + 1 :][:1]
    if lost and larger:
        try:
            wide, still = with_numbers(lay_out(replace(sheet, sizes=larger)), numbers)
        except SheetFitError:
            return drawn, lost
        if len(still) < len(lost):
            return wide, still
    return drawn, lost


def on_the_paper_there_is(sheets: dict[str, Sheet], context: SheetContext) -> dict[str, Sheet]:
    """Return the sheets with those behind them, by file name and numbered through: cards on the smallest paper that
    holds them, and each so that it goes on the paper that the user has if it can."""
    found: dict[str, Sheet] = {}
    for name, sheet in sheets.items():
        parts = [sheet]
        if is_card(sheet):  # it has the revision's letter; its page is for the work
            watch.beat()
            parts = fitted(replace(sheet, revisions=[]))
        if context.paper != context.sizes:
            parts = [page for part in parts for page in on_paper(part, context.paper, watch.beat)]
        for k, part in enumerate(parts):
            found[f"{CONTINUED}{k}-{name}" if k else name] = part
    for number, sheet in enumerate(found.values(), 1):
        sheet.title = replace(sheet.title, sheet_number=number, sheets=len(found))
    return found


def write_sheets(folder: Path, context: SheetContext) -> dict[str, str]:
    """Write the sheets into a folder that exists and return what each file is, by its path within the folder.

    The same strut gives the same bytes. Raises SheetFitError when a sheet fits no allowed size.
    """
    stem = stem_of(context.strut.identity)
    drawn = draw_sheets(context)
    watch.beat()
    files: dict[str, str] = {}
    makers = sheet_makers(context.strut)

    def place(name: str, what: str) -> Path:
        files[name] = what
        return folder / name

    pdf = render.pdf_bytes(list(drawn.values()), f"{context.strut.identity.name}, {context.strut.identity.number}")
    place(f"{stem}-sheets.pdf", f"all {len(drawn)} sheets, true to scale").write_bytes(pdf)
    previews = png_pages(pdf, PREVIEW_DPI / 72.0)
    for number, ((name, sheet), preview) in enumerate(zip(drawn.items(), previews, strict=True), 1):
        watch.beat()
        behind, own = _behind(name)
        named = behind + own_name(context.strut, _with_part(makers, own, [n for n in drawn if n in makers]))
        words = f"sheet {number}, {named.replace('-', ' ')}{_too_large(sheet, context)}"
        path = f"{stem}-{number:02d}-{named}"
        save_sheet(sheet, place(f"{path}.dxf", words), context.resolved.said.drawing.dxf)
        place(f"{path}.svg", words).write_text(render.svg_text(sheet), encoding="utf-8", newline="\n")
        place(f"{path}.png", f"{words}, preview").write_bytes(preview)
    return files


def write_founder_sheets(
    folder: Path, context: SheetContext, made: PatternSet, rows: Sequence[DraftRow]
) -> dict[str, str]:
    """Write the founder's sheets of a pattern set into its folder and return what each file is, by its name. rows: of
    the draft of its halves.

    Raises SheetFitError when one fits no allowed size.
    """
    sheets = founder_sheets(context, made, rows)
    for number, sheet in enumerate(sheets.values(), 1):
        sheet.title = replace(sheet.title, sheet_number=number, sheets=len(sheets))
        sheet.revisions = context.revisions
    drawn: dict[str, Drawn] = {}
    for name, sheet in on_the_paper_there_is(sheets, context).items():
        watch.beat()
        drawn[pattern_size(context.strut, made.spec, name)] = lay_out(sheet)
    identity, files = context.strut.identity, {}
    pdf = render.pdf_bytes(list(drawn.values()), f"{identity.name}, {identity.number}")
    first = next(iter(drawn))
    (folder / f"{first}.pdf").write_bytes(pdf)
    files[f"{first}.pdf"] = "the founder's sheets, true to scale"
    previews = png_pages(pdf, PREVIEW_DPI / 72.0)
    for number, ((stem, page), preview) in enumerate(zip(drawn.items(), previews, strict=True), 1):
        words = f"sheet {number}, {page.title.title.lower()}, {page.title.document_type.lower()}"
        words += _too_large(page, context)
        save_sheet(page, folder / f"{stem}.dxf", context.resolved.said.drawing.dxf)
        (folder / f"{stem}.png").write_bytes(preview)
        files |= {f"{stem}.dxf": words, f"{stem}.png": f"{words}, preview"}
    return files


def _too_large(sheet: Drawn, context: SheetContext) -> str:
    return "" if sheet.size in context.paper or context.paper == context.sizes else f" ({sheet.size}: goes on no less)"


def _behind(name: str) -> tuple[str, str]:
    """Part the name of a sheet into what says that it stands behind another, and the name of that."""
    if not name.startswith(CONTINUED):
        return "", name
    number, _, own = name.removeprefix(CONTINUED).partition("-")
    return f"{CONTINUED}{number}-", own


def _with_part(makers: dict[str, Maker], name: str, drawn: Collection[str]) -> str:
    """Return the name of a sheet, with the part it shows where another sheet shows another such part."""
    kind = makers[name].kind
    if all(n == kind for n in drawn if makers[n].kind == kind):
        return name
    return f"{slug(makers[name].part)}-{kind.removeprefix('palm-').removeprefix('arm')}".rstrip("-")
