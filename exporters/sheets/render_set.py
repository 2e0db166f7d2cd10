"""The whole set of sheets of one strut on disk: each as DXF, SVG and PNG preview, all together as one PDF."""
from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from strutwright.exporters.drawing import render
from strutwright.exporters.drawing.dxfdoc import save_dxf
from strutwright.exporters.drawing.dxfout import sheet_document
from strutwright.exporters.drawing.sheet import Drawn, Sheet, lay_out
from strutwright.exporters.outdir import slug
from strutwright.exporters.sheets import sheet_makers
from strutwright.exporters.sheets.context import SheetContext

PREVIEW_DPI = 80.0


def make_sheets(context: SheetContext) -> dict[str, Sheet]:
    """Return the sheets of a strut by file name, numbered through, not yet laid out."""
    made = {name: maker(context, 1, 1) for name, maker in sheet_makers().items()}
    found = {name: sheet for name, sheet in made.items() if sheet is not None}
    for number, sheet in enumerate(found.values(), 1):
        sheet.title = replace(sheet.title, sheet_number=number, sheets=len(found))
        sheet.revisions = context.revisions
    return found


def draw_sheets(context: SheetContext) -> dict[str, Drawn]:
    """Return the sheets of a strut by file name, laid out. Raises SheetFitError when one fits no allowed sheet."""
    return {name: lay_out(sheet) for name, sheet in make_sheets(context).items()}


def write_sheets(folder: Path, context: SheetContext) -> dict[str, str]:
    """Write the sheets into a folder that exists and return what each file is, by its path within the folder.

    The same strut gives the same bytes. Raises SheetFitError when a sheet fits no allowed size.
    """
    stem = f"{slug(context.strut.identity.name)}-{context.strut.identity.hand}"
    drawn = draw_sheets(context)
    documents = {name: sheet_document(sheet) for name, sheet in drawn.items()}
    files: dict[str, str] = {}

    def place(name: str, what: str) -> Path:
        files[name] = what
        return folder / name
    pdf = render.pdf_bytes(list(documents.values()), f"{context.strut.identity.name}, {context.strut.identity.hand}")
    place(f"{stem}-sheets.pdf", f"all {len(documents)} sheets, true to scale").write_bytes(pdf)
    previews = render.png_files(pdf, folder / f"{stem}-preview", PREVIEW_DPI)
    for number, ((name, document), preview) in enumerate(zip(documents.items(), previews, strict=True), 1):
        words = f"sheet {number}, {name.replace('-', ' ')}"
        path = f"{stem}-{number:02d}-{name}"
        # The page is drawn from the fuller version: R12 has no line widths.
        version = context.resolved.said.drawing.dxf
        save_dxf(document if version == "R2010" else sheet_document(drawn[name], version), place(f"{path}.dxf", words))
        place(f"{path}.svg", words).write_text(render.svg_text(document), encoding="utf-8", newline="\n")
        preview.replace(place(f"{path}.png", f"{words}, preview"))
    return files
