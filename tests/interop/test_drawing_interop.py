"""Sheets and cut files read by programs that share no code with us: LibreCAD (Debian) and npm's dxf-parser."""

from __future__ import annotations

import ctypes
import json
import math
import os
import shutil
import subprocess
from pathlib import Path

import ezdxf
import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from numpy.typing import NDArray
from support import every

from strutwright.exporters.drawing import dxfout
from strutwright.exporters.drawing.dxfdoc import new_document, save_dxf
from strutwright.exporters.drawing.figures import Figures, Label
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import Drawn, Sheet, TitleBlock
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.cutfile import CutFile

MM_PER_POINT = 25.4 / 72.0
DPI = 150


def plate_sheet() -> Drawn:
    plate = View("plate", "front")
    plate.add_outline([(0, 0), (240, 0), (240, 120), (0, 120)])
    plate.circle((60, 60), 40)
    plate.circle((180, 60), 40)
    plate.horizontal((0, 0), (240, 0), Label(deviations=(0.2, -0.2)))
    plate.horizontal((60, 60), (180, 60), Label(fit="", deviations=(0.05, 0)), side="above")
    plate.vertical((0, 0), (0, 120))
    plate.diameter((180, 60), 40, Label(prefix="2×", fit="H8", deviations=(0.039, 0)))
    plate.angle((240, 120), (0, 120), (240, 0), radius_mm=20)
    title = TitleBlock(title="Plate", identification="DEMO-0003", date="2026-01-31")
    return lay_out(Sheet(title, [plate], sizes=("A3",), scales=(0.5,), figures=Figures()))


def librecad(dxf: Path) -> bytes:
    """Print a DXF with LibreCAD on A3 at the drawing's own scale and return the PDF."""
    assert shutil.which("librecad"), "LibreCAD is needed here: apt-get install librecad"
    env = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "HOME": str(dxf.parent)}
    subprocess.run(
        ["librecad", "dxf2pdf", "-m", "-p", "420x297", dxf.name],
        cwd=dxf.parent,
        env=env,
        check=True,
        capture_output=True,
        timeout=120,
    )
    return dxf.with_suffix(".pdf").read_bytes()


def strokes(pdf: bytes) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """Straight pieces of all paths on the first page, mm."""
    document = pypdfium2.PdfDocument(pdf)
    page = document[0]
    out = []
    x, y = ctypes.c_float(), ctypes.c_float()
    matrix = pdfium.FS_MATRIX()
    for i in range(pdfium.FPDFPage_CountObjects(page.raw)):
        handle = pdfium.FPDFPage_GetObject(page.raw, i)
        if pdfium.FPDFPageObj_GetType(handle) != pdfium.FPDF_PAGEOBJ_PATH:
            continue
        pdfium.FPDFPageObj_GetMatrix(handle, matrix)
        last: tuple[float, float] | None = None
        for k in range(pdfium.FPDFPath_CountSegments(handle)):
            segment = pdfium.FPDFPath_GetPathSegment(handle, k)
            pdfium.FPDFPathSegment_GetPoint(segment, x, y)
            here = (
                (matrix.a * x.value + matrix.c * y.value + matrix.e) * MM_PER_POINT,
                (matrix.b * x.value + matrix.d * y.value + matrix.f) * MM_PER_POINT,
            )
            if last is not None and pdfium.FPDFPathSegment_GetType(segment) == pdfium.FPDF_SEGMENT_LINETO:
                out.append((last, here))
            last = here
    document.close()
    return out


def picture(pdf: bytes) -> NDArray[np.float64]:
    """Ink of the first page, 1 = black."""
    document = pypdfium2.PdfDocument(pdf)
    grey = np.asarray(document[0].render(scale=DPI / 72.0).to_pil().convert("L"), dtype=np.float64)
    document.close()
    return 1.0 - grey / 255.0


def likeness(page: NDArray[np.float64], sample: NDArray[np.float64]) -> float:
    """Greatest normalised correlation of a small picture anywhere on a page; 1 is the same ink."""
    from scipy.signal import fftconvolve

    flipped = sample[::-1, ::-1]
    zero_mean = flipped - flipped.mean()
    n = sample.size
    total = fftconvolve(page, np.ones_like(sample), mode="valid")
    square = fftconvolve(page * page, np.ones_like(sample), mode="valid")
    cross = fftconvolve(page, zero_mean, mode="valid")
    spread = np.sqrt(np.maximum(square - total * total / n, 1e-3))
    return float((cross / (spread * math.sqrt(float((zero_mean**2).sum())))).max())


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Drawn, bytes]:
    drawn = plate_sheet()
    path = tmp_path_factory.mktemp("librecad") / "sheet.dxf"
    dxfout.save_sheet(drawn, path)
    return drawn, librecad(path)


def test_librecad_prints_the_sheet_at_true_scale(printed: tuple[Drawn, bytes]) -> None:
    _, pdf = printed
    document = pypdfium2.PdfDocument(pdf)
    size = [v * MM_PER_POINT for v in document[0].get_size()]
    document.close()
    assert size == pytest.approx([420, 297], abs=0.5)  # it rounds the page to whole points
    pieces = strokes(pdf)
    level = [math.dist(a, b) for a, b in pieces if abs(a[1] - b[1]) < 0.02]
    upright = [math.dist(a, b) for a, b in pieces if abs(a[0] - b[0]) < 0.02]
    # The plate is 240 x 120 at 1 : 2; the frame of A3 is 390 x 277.
    for wanted, found in ((120.0, level), (60.0, upright), (390.0, level), (277.0, upright)):
        # It stretches the page to whole points: 1191 for 1190.55.
        assert min(abs(v - wanted) for v in found) < 0.02 + 4e-4 * wanted, wanted


@pytest.mark.parametrize("text", every(["240 ±0.2", "120 +0.05/0"], 2))
def test_librecad_shows_the_dimension_values(printed: tuple[Drawn, bytes], tmp_path: Path, text: str) -> None:
    """LibreCAD draws letters as strokes, so its page is searched for the picture of the value, which it is asked to
    draw by itself as plain text; a wrong value must be found less well than the right one.
    """
    _, pdf = printed
    page = picture(pdf)
    found = {}
    for wanted in (text, text.replace("0", "8", 1)):
        doc = new_document()
        doc.styles.add(dxfout.TEXT_STYLE, font="none.ttf")
        space = doc.modelspace()
        space.add_text(wanted, height=3.5, dxfattribs={"style": dxfout.TEXT_STYLE}).set_placement((150.3, 100.2))
        path = tmp_path / "sample.dxf"
        space.reset_limits((0, 0), (420, 297))
        save_dxf(doc, path)
        ink = picture(librecad(path))
        rows, columns = np.flatnonzero(ink.max(axis=1) > 0.3), np.flatnonzero(ink.max(axis=0) > 0.3)
        assert len(rows), "LibreCAD drew no sample"
        sample = ink[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
        found[wanted] = likeness(page, sample)
    right, wrong = found.values()
    assert right > 0.75, found
    assert right > wrong + 0.05, found


def test_librecad_prints_a_cut_file_at_true_scale(tmp_path: Path) -> None:
    cut = CutFile("plate")
    cut.add_polyline("CUT_OUTER", [(20, 20), (220, 20), (220, 120), (20, 120)])
    cut.add_check_bar((20, 10))
    path = tmp_path / "cut.dxf"
    cut.save(path)
    lengths = [math.dist(a, b) for a, b in strokes(librecad(path))]
    for wanted in (200.0, 100.0, 5.0):
        assert min(abs(v - wanted) for v in lengths) < 0.02 + 4e-4 * wanted, wanted


# npm's dxf-parser


@pytest.fixture(scope="module")
def parser(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with dxf-parser installed and a script that prints a DXF as JSON."""
    assert shutil.which("npm"), "Node.js with npm is needed here: apt-get install npm"
    folder = tmp_path_factory.mktemp("npm")
    subprocess.run(
        ["npm", "install", "--silent", "--no-audit", "--no-fund", "--prefix", str(folder), "dxf-parser@1"],
        check=True,
        capture_output=True,
        timeout=300,
    )
    (folder / "read.js").write_text(
        "const found = require('dxf-parser'); const fs = require('fs');\n"
        "const DxfParser = found.DxfParser || found.default || found;\n"
        "const dxf = new DxfParser().parseSync(fs.readFileSync(process.argv[2], 'utf8'));\n"
        "console.log(JSON.stringify({header: dxf.header, entities: dxf.entities, layers: dxf.tables.layer.layers}));\n",
        encoding="utf-8",
    )
    return folder


def parse(parser: Path, dxf: Path) -> dict[str, object]:
    done = subprocess.run(
        ["node", "read.js", str(dxf)], cwd=parser, check=True, capture_output=True, text=True, timeout=60
    )
    data: dict[str, object] = json.loads(done.stdout)
    return data


@pytest.mark.parametrize("version", ["R2010", "R12"])
def test_dxf_parser_reads_a_cut_file(parser: Path, tmp_path: Path, version: str) -> None:
    cut = CutFile("plate")
    cut.add_polyline("CUT_OUTER", [(0, 0, 0), (100, 0, 1), (100, 50, 0), (0, 50, 0)])
    cut.add_circle("DRILL", (20, 25), 10.5)
    cut.add_check_bar((0, -20))
    cut.add_text("PORT", (0, 60))
    path = tmp_path / "cut.dxf"
    cut.save(path, "R12" if version == "R12" else "R2010")
    data = parse(parser, path)
    entities = data["entities"]
    assert isinstance(entities, list)
    by_type = {e["type"]: e for e in entities}
    outer = by_type["LWPOLYLINE" if version == "R2010" else "POLYLINE"]
    assert outer["layer"] == "CUT_OUTER"
    assert outer["shape"] is True
    corners = [(v["x"], v["y"], v.get("bulge", 0)) for v in outer["vertices"]]
    assert corners == [(0, 0, 0), (100, 0, 1), (100, 50, 0), (0, 50, 0)]
    assert by_type["CIRCLE"]["radius"] == pytest.approx(5.25)
    assert by_type["CIRCLE"]["center"]["x"] == pytest.approx(20)
    assert {e["text"] for e in entities if e["type"] == "TEXT"} == {"PORT", "CHECK 100 mm"}
    if version == "R2010":
        header = data["header"]
        assert isinstance(header, dict)
        assert header["$INSUNITS"] == 4
    layers = data["layers"]
    assert isinstance(layers, dict)
    assert {"CUT_OUTER", "DRILL", "CHECK", "TEXT"} <= set(layers)


def test_dxf_parser_reads_the_dimensions_of_a_sheet(parser: Path, tmp_path: Path) -> None:
    path = tmp_path / "sheet.dxf"
    dxfout.save_sheet(plate_sheet(), path)
    entities = parse(parser, path)["entities"]
    assert isinstance(entities, list)
    values = {e["text"]: e["actualMeasurement"] for e in entities if e["type"] == "DIMENSION"}
    assert values["240 ±0.2"] == pytest.approx(240)
    assert values["120 +0.05/0"] == pytest.approx(120)
    assert values["2× Ø40 H8 (+0.039/0)"] == pytest.approx(40)
    assert values["90°"] == pytest.approx(math.pi / 2)  # DXF keeps angles of dimensions in radians
    assert len(ezdxf.readfile(path).modelspace().query("DIMENSION")) == len(values)
