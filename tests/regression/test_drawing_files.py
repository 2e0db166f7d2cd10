"""Sheets and cut files as they are written, DXF, PDF, SVG and PNG, read by programs that are not ours.

Standards quoted from memory are said to be so. Reference programs: PDFium for pages, the DXF
library's auditor and its own measuring of dimensions.
"""

from __future__ import annotations

import ctypes
import io
import math
import re
from collections.abc import Iterator
from pathlib import Path

import ezdxf
import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from drawing_support import TITLE, bracket_sheet
from ezdxf.document import Drawing

from strutwright.exporters.drawing import dxfout, render
from strutwright.exporters.drawing.figures import Figures
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.pdf import png_pages
from strutwright.exporters.drawing.shapes import Arc, Line, Poly, pen_moves
from strutwright.exporters.drawing.sheet import Drawn, Sheet
from strutwright.exporters.drawing.style import DASHED
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.cutfile import CutFile
from strutwright.exporters.fonts import FONT_NAME
from strutwright.exporters.web.plot import Plot
from strutwright.params.quantity import FileUnits

MM_PER_POINT = 25.4 / 72.0


# DXF


def test_auditor_finds_nothing(bracket_drawn: Drawn, bracket_document: Drawing, tmp_path: Path) -> None:
    for doc in (bracket_document, _r12(bracket_drawn, tmp_path)):
        audit = doc.audit()
        assert audit.errors == []
        assert audit.fixes == []
    assert bracket_document.header["$INSUNITS"] == 4
    assert bracket_document.header["$MEASUREMENT"] == 1
    assert _r12(bracket_drawn, tmp_path).dxfversion == "AC1009"


def _r12(drawn: Drawn, folder: Path) -> Drawing:
    path = folder / "r12.dxf"
    dxfout.save_sheet(drawn, path, "R12")
    return ezdxf.readfile(path)


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_dimensions_measure_the_part(bracket_part: object, tmp_path: Path, unit: FileUnits) -> None:
    import cadquery as cq

    figures = Figures(unit)
    drawn = lay_out(bracket_sheet(bracket_part, figures=figures, sizes=("A3", "A2")))
    path = tmp_path / "d.dxf"
    dxfout.save_sheet(drawn, path)
    doc = ezdxf.readfile(path)
    per = 1.0 if unit == "mm" else 25.4
    found = []
    for dim in doc.modelspace().query("DIMENSION"):
        lfac = doc.dimstyles.get(dim.dxf.dimstyle).dxf.dimlfac
        measured = dim.get_measurement()  # the library's own measuring of the definition points
        if dim.dimtype in (2, 5):
            assert math.degrees(dim.dxf.actual_measurement) == pytest.approx(90.0)
            assert "90°" in dim.dxf.text
            continue
        value = measured * lfac if isinstance(measured, float) else measured.magnitude * lfac
        assert dim.dxf.actual_measurement == pytest.approx(value, abs=1e-9)
        shown = re.search(r"(?:4× )?[ØR]?(\d*\.?\d+)", dim.dxf.text)
        assert shown is not None
        assert float(shown.group(1)) == pytest.approx(value, abs=0.0006 if unit == "in" else 0.006)
        found.append(value * per)
    box = bracket_part.val().BoundingBox()  # type: ignore[attr-defined]
    assert isinstance(bracket_part, cq.Workplane)
    for true in (box.xlen, box.ylen, box.zlen):
        assert min(abs(v - true) for v in found) < 1e-3
    assert doc.header["$DIMLFAC"] == pytest.approx(1.0 / drawn.scale)
    style = doc.dimstyles.get(doc.header["$DIMSTYLE"])
    for name in ("dimtxt", "dimasz", "dimexe", "dimexo", "dimgap", "dimtad"):
        assert doc.header["$" + name.upper()] == pytest.approx(style.dxf.get(name)), name


def test_layers_say_what_they_hold(bracket_document: Drawing) -> None:
    by_layer = {layer.dxf.name: layer for layer in bracket_document.layers}
    # ISO 128-2 (from memory): narrow lines are half as wide as wide ones.
    assert by_layer["OUTLINE"].dxf.lineweight == 2 * by_layer["HIDDEN"].dxf.lineweight
    assert by_layer["HIDDEN"].dxf.linetype == "DASHED"
    used = {e.dxf.layer for e in bracket_document.modelspace()}
    assert used <= set(by_layer)
    assert {"OUTLINE", "HIDDEN", "CENTRE", "HATCH", "DIMENSION", "TITLE", "TABLE", "FRAME", "TEXT"} <= used


# PDF


def _objects(pdf: bytes) -> Iterator[tuple[int, object]]:
    document = pypdfium2.PdfDocument(pdf)
    page = document[0]
    raw = pdfium.FPDFPage_CountObjects(page.raw)
    for i in range(raw):
        handle = pdfium.FPDFPage_GetObject(page.raw, i)
        yield pdfium.FPDFPageObj_GetType(handle), handle
    page.close()
    document.close()


def _segments(pdf: bytes) -> list[tuple[float, tuple[float, float], tuple[float, float]]]:
    """Straight two-point strokes of the first page: width, start and end, in mm from its lower left corner."""
    out = []
    x, y, width, at = ctypes.c_float(), ctypes.c_float(), ctypes.c_float(), pdfium.FS_MATRIX()
    for kind, handle in _objects(pdf):
        if kind != pdfium.FPDF_PAGEOBJ_PATH or pdfium.FPDFPath_CountSegments(handle) != 2:
            continue
        pdfium.FPDFPageObj_GetMatrix(handle, at)
        ends = []
        for i in range(2):
            pdfium.FPDFPathSegment_GetPoint(pdfium.FPDFPath_GetPathSegment(handle, i), x, y)
            ends.append(((at.a * x.value + at.e) * MM_PER_POINT, (at.d * y.value + at.f) * MM_PER_POINT))
        pdfium.FPDFPageObj_GetStrokeWidth(handle, width)
        out.append((width.value * at.a * MM_PER_POINT, ends[0], ends[1]))
    return out


def _bar_sheet(unit: FileUnits) -> Drawn:
    bar = View("bar", "front")
    bar.add([Line((0, 0), (180, 0)), Line((0, 0), (0, 120))])
    bar.add([Line((30, 30), (150, 30))], "hidden")
    figures = Figures(unit)
    return lay_out(Sheet(TITLE, [bar], sizes=("A3",), scales=(1.0,), figures=figures))


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_pdf_is_true_to_scale(unit: FileUnits) -> None:
    pdf = render.pdf_bytes([_bar_sheet(unit)])
    document = pypdfium2.PdfDocument(pdf)
    size = [v * MM_PER_POINT for v in document[0].get_size()]
    document.close()
    assert size == pytest.approx([420.0, 297.0], abs=0.05)
    wide = [(a, b) for w, a, b in _segments(pdf) if abs(w - 0.5) < 0.01]
    lengths = sorted(math.dist(a, b) for a, b in wide)
    assert any(abs(v - 180.0) < 0.05 for v in lengths)
    assert any(abs(v - 120.0) < 0.05 for v in lengths)


def test_dashes_have_their_length_on_paper() -> None:
    drawn, per_mm = _bar_sheet("mm"), 20.0
    line = next(s.shape for item in drawn.items for s in item.strokes if s.kind == "hidden")
    assert isinstance(line, Line)
    document = pypdfium2.PdfDocument(render.pdf_bytes([drawn]))
    picture = np.asarray(document[0].render(scale=per_mm * MM_PER_POINT, grayscale=True).to_numpy()).squeeze()
    row = picture[round(picture.shape[0] - line.a[1] * per_mm) - 1] < 128
    on = np.diff(row[round(line.a[0] * per_mm) - 4 : round(line.b[0] * per_mm)].astype(int))
    begin, end = np.flatnonzero(on > 0), np.flatnonzero(on < 0)
    assert len(begin) >= 120 / sum(DASHED) - 2
    assert np.diff(begin) / per_mm == pytest.approx(np.full(len(begin) - 1, sum(DASHED)), abs=0.11)
    assert (end[:20] - begin[:20]) / per_mm == pytest.approx(np.full(20, DASHED[0]), abs=0.11)


def test_fonts_are_embedded_and_text_is_text(bracket_drawn: Drawn) -> None:
    pdf = render.pdf_bytes([bracket_drawn])
    fonts = 0
    for kind, handle in _objects(pdf):
        if kind == pdfium.FPDF_PAGEOBJ_TEXT:
            font = pdfium.FPDFTextObj_GetFont(handle)
            assert pdfium.FPDFFont_GetIsEmbedded(font) == 1
            name = ctypes.create_string_buffer(128)
            pdfium.FPDFFont_GetBaseFontName(font, name, 128)
            assert FONT_NAME in name.value.decode()
            fonts += 1
    assert fonts > 30
    opened = pypdfium2.PdfDocument(pdf)
    text = opened[0].get_textpage().get_text_range()
    for value in (
        "120 ±0.2",
        "Ø28 H7",
        "(+0.021/0)",
        "4× Ø9 THRU",
        "SECTION A-A",
        "Demonstration bracket",
        "HOLE TABLE",
    ):
        assert value in text
    opened.close()


def test_text_stands_on_paper_where_the_box_says(bracket_drawn: Drawn) -> None:
    opened = pypdfium2.PdfDocument(render.pdf_bytes([bracket_drawn]))
    page = opened[0].get_textpage()
    for wanted in ("120 ±0.2", "SECTION A-A", "Ra 3.2"):
        text = next(t for i in bracket_drawn.items for t in i.texts if t.text == wanted)
        found = page.search(wanted).get_next()
        assert found is not None
        rects = [page.get_rect(i) for i in range(page.count_rects(*found))]
        left, right = min(r[0] for r in rects) * MM_PER_POINT, max(r[2] for r in rects) * MM_PER_POINT
        box = text.box().grown(0.3)
        assert box.x0 <= left
        assert right <= box.x1
    opened.close()


def test_svg_has_the_paper_size_and_preview_pixels(bracket_drawn: Drawn) -> None:
    svg = render.svg_text(bracket_drawn)
    assert 'width="420mm" height="297mm" viewBox="0 0 420 297"' in svg
    from PIL import Image

    with Image.open(io.BytesIO(png_pages(render.pdf_bytes([bracket_drawn]), 50.0 / 72.0)[0])) as image:
        assert image.size == pytest.approx((420 / 25.4 * 50, 297 / 25.4 * 50), abs=1.5)
        assert 0.005 < np.mean(np.asarray(image.convert("L")) < 128) < 0.2


def test_the_dashes_of_an_svg_are_square_cut() -> None:
    """A rule of a style sheet beats what a path says of itself: its round ends once ate the gaps."""
    svg = render.svg_text(_bar_sheet("mm"))
    assert "<style" not in svg
    assert 'stroke-dasharray="3 0.9" stroke-linecap="butt"' in svg


# Cut files


@pytest.mark.parametrize("version", ["R2010", "R12"])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_cut_file(tmp_path: Path, unit: FileUnits, version: str) -> None:
    cut = CutFile("plate", unit)
    # A rectangle 100 x 50 with a half circle on its right end, closed by a repeated first point.
    cut.add_polyline("CUT_OUTER", [(0, 0, 0), (100, 0, 1), (100, 50, 0), (0, 50, 0), (0, 0, 0)])
    cut.add_circle("DRILL", (20, 25), 10.5)
    cut.add_check_bar((0, -20))
    cut.add_text("PORT, WATER FACE", (0, 60))
    assert cut.bounds() == pytest.approx((0, -22.5, 125, 50))
    path = tmp_path / "cut.dxf"
    cut.save(path, "R12" if version == "R12" else "R2010")
    doc = ezdxf.readfile(path)
    audit = doc.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    per = 1.0 if unit == "mm" else 25.4
    outer = doc.modelspace().query("LWPOLYLINE POLYLINE")[0]
    assert outer.dxf.layer == "CUT_OUTER"
    assert outer.is_closed
    from ezdxf.path import make_path

    points = np.array([(p.x, p.y) for p in make_path(outer).flattening(1e-4)]) * per
    x, y = points[:, 0], points[:, 1]
    area = abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2.0
    # The library draws arcs as cubic curves, good to 3e-4 of the radius.
    assert area == pytest.approx(100 * 50 + math.pi / 2 * 25**2, rel=1e-4)
    hole = doc.modelspace().query("CIRCLE")[0]
    assert 2 * hole.dxf.radius * per == pytest.approx(10.5)
    bar = max(
        (e for e in doc.modelspace().query("LINE") if e.dxf.layer == "CHECK"),
        key=lambda e: (e.dxf.end - e.dxf.start).magnitude,
    )
    length = (bar.dxf.end - bar.dxf.start).magnitude
    assert length == pytest.approx(100.0 if unit == "mm" else 4.0)
    texts = {e.dxf.text for e in doc.modelspace().query("TEXT")}
    assert texts == {"PORT, WATER FACE", "CHECK 100 mm" if unit == "mm" else "CHECK 4 in"}
    if version == "R2010":
        assert doc.header["$INSUNITS"] == (4 if unit == "mm" else 1)
    kinds = {e.dxftype() for e in doc.modelspace()}
    assert kinds <= {"LINE", "CIRCLE", "TEXT", "LWPOLYLINE", "POLYLINE"}


def test_cut_file_refuses_bad_geometry() -> None:
    cut = CutFile("plate")
    with pytest.raises(ValueError, match="not declared"):
        cut.add_circle("NOWHERE", (0, 0), 5)
    with pytest.raises(ValueError, match="diameter"):
        cut.add_circle("DRILL", (0, 0), 0)
    with pytest.raises(ValueError, match="finite"):
        cut.add_polyline("CUT_OUTER", [(0, 0), (1, math.nan), (2, 2)])
    with pytest.raises(ValueError, match="no length"):
        cut.add_line("CHECK", (1, 1), (1, 1))
    with pytest.raises(ValueError, match="nothing drawn"):
        cut.bounds()


@pytest.mark.parametrize("bulge", [0.4, -0.4])
def test_a_line_round_an_outline_is_one_stroke_and_closed(bulge: float) -> None:
    """Else its dashes begin anew at every arc, and a cut line has a notch where it begins."""
    corners = ((0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (0.0, 20.0))
    for bulges in ((), (bulge,) * 4, (0.0, bulge, 0.0, bulge)):
        letters = [letter for letter, _ in pen_moves([Poly(corners, True, bulges)])]
        assert letters.count("M") == letters.count("Z") == 1
        assert (letters[0], letters[-1]) == ("M", "Z")
        way = [points[-1] for _, points in pen_moves([Poly(corners, False, bulges)])]
        near = [c for p in way for c in corners if math.dist(p, c) < 1e-9]
        assert near == list(corners)
    assert [letter for letter, _ in pen_moves([Arc((0.0, 0.0), 5.0)])][-1] == "Z"
    assert list(pen_moves([Poly((), True), Poly(((1.0, 1.0),))])) == []


def test_letters_that_no_reader_has_are_written_in_a_plot() -> None:
    plot = Plot(200, 100, "Łódź")
    plot.text(20, 50, "Łódź", 12)
    document = pypdfium2.PdfDocument(plot.pdf())
    assert "Łódź" in document[0].get_textpage().get_text_range()
    document.close()
