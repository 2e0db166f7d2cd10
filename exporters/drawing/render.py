"""DXF sheets as PDF, SVG and PNG. The DXF is the only source: what it holds is what is printed, at exact size.

The paper size comes from the drawing limits, the unit from $INSUNITS (mm when it is missing). Text is set as text with
the shipped font, embedded in the PDF. Everything is black; line widths are those of the layers.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from ezdxf import units
from ezdxf.addons.drawing.backend import Backend, BkPath2d, BkPoints2d
from ezdxf.addons.drawing.config import BackgroundPolicy, ColorPolicy, Configuration
from ezdxf.addons.drawing.frontend import UniversalFrontend
from ezdxf.addons.drawing.pipeline import RenderPipeline2d
from ezdxf.addons.drawing.properties import BackendProperties, LayoutProperties, Properties, RenderContext
from ezdxf.addons.drawing.unified_text_renderer import UnifiedTextRenderer
from ezdxf.document import Drawing
from ezdxf.fonts import fonts
from ezdxf.math import Matrix44, Vec2
from ezdxf.path import Command

from strutwright.exporters.drawing.pdf import POINTS_PER_MM, font
from strutwright.exporters.drawing.text import font_size, text_width
from strutwright.exporters.fonts import FONT_FILE
from strutwright.params.quantity import INCH_MM

_LETTER = 100.0  # height of capitals in the SVG's store of letters


def _down(point: Vec2) -> str:
    return f"{point.x:.5g} {-point.y:.5g}"


class _ShippedFont(UnifiedTextRenderer):  # type: ignore[misc]
    """Measures with the shipped font, whatever fonts the machine has."""

    def __init__(self) -> None:
        super().__init__()
        self._font = fonts.sideload_ttf(FONT_FILE, 1.0)

    def get_font(self, font_face: Any) -> Any:
        return self._font

    def get_text_line_width(self, text: str, font_face: Any, cap_height: float = 1.0) -> float:
        return text_width(text, cap_height)


class _Pipeline(RenderPipeline2d):  # type: ignore[misc]
    """Hands text to the backend as text."""

    def __init__(self, backend: _Paper) -> None:
        super().__init__(backend)
        self.text_engine = _ShippedFont()
        self._paper = backend

    def draw_text(
        self, text: str, transform: Matrix44, properties: Properties, cap_height: float, dxftype: str = "TEXT"
    ) -> None:
        if text.strip():
            self._paper.write(text, transform, cap_height)


class _Paper(Backend):  # type: ignore[misc]
    """Common part of the backends: lengths in mm, everything black."""

    def __init__(self, mm_per_unit: float) -> None:
        super().__init__()
        self.mm = mm_per_unit

    def set_background(self, color: str) -> None:
        """Paper is white."""

    def draw_image(self, image_data: Any, properties: BackendProperties) -> None:
        raise NotImplementedError("sheets hold no images")

    def clear(self) -> None:
        raise NotImplementedError("a page is written once")

    def draw_point(self, pos: Vec2, properties: BackendProperties) -> None:
        self.stroke([(pos.x, pos.y), (pos.x + 0.01 / self.mm, pos.y)], properties.lineweight, round_ends=True)

    def draw_line(self, start: Vec2, end: Vec2, properties: BackendProperties) -> None:
        self.stroke([(start.x, start.y), (end.x, end.y)], properties.lineweight, round_ends=True)

    def draw_solid_lines(self, lines: Iterable[tuple[Vec2, Vec2]], properties: BackendProperties) -> None:
        # These are the dashes of a pattern: square-cut, or they would eat their gaps.
        for start, end in lines:
            self.stroke([(start.x, start.y), (end.x, end.y)], properties.lineweight, round_ends=False)

    def write(self, text: str, transform: Matrix44, cap_height: float) -> None:
        raise NotImplementedError

    def stroke(self, points: Sequence[tuple[float, float]], width_mm: float, *, round_ends: bool) -> None:
        raise NotImplementedError


class _PdfPage(_Paper):
    def __init__(self, canvas: Any, mm_per_unit: float) -> None:
        super().__init__(mm_per_unit)
        self.canvas = canvas
        self.k = mm_per_unit * POINTS_PER_MM

    def _pen(self, width_mm: float, round_ends: bool) -> None:
        self.canvas.setLineWidth(width_mm * POINTS_PER_MM)
        self.canvas.setLineCap(1 if round_ends else 0)
        self.canvas.setLineJoin(1)

    def stroke(self, points: Sequence[tuple[float, float]], width_mm: float, *, round_ends: bool) -> None:
        self._pen(width_mm, round_ends)
        (x0, y0), (x1, y1) = points
        self.canvas.line(x0 * self.k, y0 * self.k, x1 * self.k, y1 * self.k)

    def _path(self, paths: Iterable[BkPath2d]) -> Any:
        pdf, k = self.canvas.beginPath(), self.k
        for path in paths:
            if not len(path):
                continue
            start = path.start
            pdf.moveTo(start.x * k, start.y * k)
            for command in path.commands():
                if command.type == Command.LINE_TO:
                    pdf.lineTo(command.end.x * k, command.end.y * k)
                elif command.type == Command.CURVE4_TO:
                    c1, c2, e = command.ctrl1, command.ctrl2, command.end
                    pdf.curveTo(c1.x * k, c1.y * k, c2.x * k, c2.y * k, e.x * k, e.y * k)
                elif command.type == Command.CURVE3_TO:
                    s, c, e = start, command.ctrl, command.end
                    c1, c2 = s + (c - s) * (2.0 / 3.0), e + (c - e) * (2.0 / 3.0)
                    pdf.curveTo(c1.x * k, c1.y * k, c2.x * k, c2.y * k, e.x * k, e.y * k)
                else:
                    pdf.moveTo(command.end.x * k, command.end.y * k)
                start = command.end
        return pdf

    def draw_path(self, path: BkPath2d, properties: BackendProperties) -> None:
        self._pen(properties.lineweight, True)
        self.canvas.drawPath(self._path([path]), stroke=1, fill=0)

    def draw_filled_paths(self, paths: Iterable[BkPath2d], properties: BackendProperties) -> None:
        self.canvas.drawPath(self._path(paths), stroke=0, fill=1, fillMode=0)

    def draw_filled_polygon(self, points: BkPoints2d, properties: BackendProperties) -> None:
        corners = points.vertices()
        pdf = self.canvas.beginPath()
        pdf.moveTo(corners[0].x * self.k, corners[0].y * self.k)
        for corner in corners[1:]:
            pdf.lineTo(corner.x * self.k, corner.y * self.k)
        pdf.close()
        self.canvas.drawPath(pdf, stroke=0, fill=1)

    def write(self, text: str, transform: Matrix44, cap_height: float) -> None:
        origin = transform.transform((0.0, 0.0, 0.0))
        x, y = transform.transform_direction((1.0, 0.0, 0.0)), transform.transform_direction((0.0, 1.0, 0.0))
        run = self.canvas.beginText()
        run.setTextTransform(x.x, x.y, y.x, y.y, origin.x * self.k, origin.y * self.k)
        run.setFont(font(), font_size(cap_height) * self.k)
        run.textOut(text)
        self.canvas.drawText(run)


class _SvgPage(_Paper):
    """Strokes gathered by width; text as text, with the letters' outlines left to the shipped font or its likes."""

    def __init__(self, width_mm: float, height_mm: float, mm_per_unit: float) -> None:
        super().__init__(mm_per_unit)
        self.size = (width_mm, height_mm)
        self.parts: list[str] = []
        self._font = _ShippedFont()
        self._used: dict[str, int] = {}

    def _xy(self, x: float, y: float) -> str:
        return f"{round(x * self.mm, 4):g} {round(self.size[1] - y * self.mm, 4):g}"

    def stroke(self, points: Sequence[tuple[float, float]], width_mm: float, *, round_ends: bool) -> None:
        (x0, y0), (x1, y1) = points
        self._draw(f"M{self._xy(x0, y0)}L{self._xy(x1, y1)}", width_mm, round_ends)

    def _draw(self, data: str, width_mm: float, round_ends: bool) -> None:
        cap = "" if round_ends else ' stroke-linecap="butt"'
        self.parts.append(f'<path d="{data}" stroke-width="{width_mm:g}"{cap}/>')

    def _data(self, paths: Iterable[BkPath2d]) -> str:
        out: list[str] = []
        for path in paths:
            if not len(path):
                continue
            out.append("M" + self._xy(path.start.x, path.start.y))
            for command in path.commands():
                end = self._xy(command.end.x, command.end.y)
                if command.type == Command.LINE_TO:
                    out.append(f"L{end}")
                elif command.type == Command.CURVE4_TO:
                    c1, c2 = command.ctrl1, command.ctrl2
                    out.append(f"C{self._xy(c1.x, c1.y)} {self._xy(c2.x, c2.y)} {end}")
                elif command.type == Command.CURVE3_TO:
                    out.append(f"Q{self._xy(command.ctrl.x, command.ctrl.y)} {end}")
                else:
                    out.append(f"M{end}")
        return "".join(out)

    def draw_path(self, path: BkPath2d, properties: BackendProperties) -> None:
        self._draw(self._data([path]), properties.lineweight, True)

    def draw_filled_paths(self, paths: Iterable[BkPath2d], properties: BackendProperties) -> None:
        self.parts.append(f'<path class="f" d="{self._data(paths)}"/>')

    def draw_filled_polygon(self, points: BkPoints2d, properties: BackendProperties) -> None:
        corners = "L".join(self._xy(p.x, p.y) for p in points.vertices())
        self.parts.append(f'<path class="f" d="M{corners}Z"/>')

    def write(self, text: str, transform: Matrix44, cap_height: float) -> None:
        origin = transform.transform((0.0, 0.0, 0.0))
        x, y = transform.transform_direction((1.0, 0.0, 0.0)), transform.transform_direction((0.0, 1.0, 0.0))
        k = cap_height / _LETTER * self.mm
        turn = [round(v * k, 6) for v in (x.x, -x.y, -y.x, y.y)]
        at = self._xy(origin.x, origin.y)
        letters, along = [], 0.0
        for letter in text:
            if letter.strip():
                self._used.setdefault(letter, len(self._used))
                letters.append(f'<use href="#l{self._used[letter]}" x="{along:.5g}"/>')
            along += text_width(letter, _LETTER)
        matrix = " ".join(f"{v:g}" for v in turn)
        self.parts.append(f'<g class="f" transform="matrix({matrix} {at})">{"".join(letters)}</g>')

    def _letters(self) -> list[str]:
        """Outlines of the letters used, each once, capitals _LETTER high, y down."""
        out = []
        for letter, number in self._used.items():
            data = []
            for glyph in self._font.get_text_glyph_paths(letter, None, _LETTER):
                data.append(f"M{_down(glyph.start)}")
                for command in glyph.commands():
                    lead = {Command.LINE_TO: "L", Command.CURVE3_TO: "Q", Command.CURVE4_TO: "C"}.get(command.type, "M")
                    points = [command.end]
                    if lead == "Q":
                        points = [command.ctrl, command.end]
                    elif lead == "C":
                        points = [command.ctrl1, command.ctrl2, command.end]
                    data.append(lead + " ".join(_down(p) for p in points))
            out.append(f'<path id="l{number}" d="{"".join(data)}"/>')
        return out

    def text(self) -> str:
        w, h = self.size
        return "\n".join(
            [
                f'<svg xmlns="http://www.w3.org/2000/svg" width="{w:g}mm" height="{h:g}mm" viewBox="0 0 {w:g} {h:g}">',
                "<style>path{fill:none;stroke:#000;stroke-linecap:round;stroke-linejoin:round}"
                ".f,.f path,defs path{fill:#000;stroke:none;fill-rule:nonzero}</style>",
                "<defs>",
                *self._letters(),
                "</defs>",
                f'<rect width="{w:g}" height="{h:g}" fill="#fff"/>',
                *self.parts,
                "</svg>",
                "",
            ]
        )


def _mm_per_unit(doc: Drawing) -> float:
    return INCH_MM if doc.header.get("$INSUNITS", 0) == units.IN else 1.0


def paper_size_mm(doc: Drawing) -> tuple[float, float]:
    """Return width and height of the sheet in mm from the drawing limits. Raises ValueError when they are empty."""
    mm = _mm_per_unit(doc)
    low, high = doc.modelspace().dxf.limmin, doc.modelspace().dxf.limmax
    width, height = (high[0] - low[0]) * mm, (high[1] - low[1]) * mm
    if not (width > 0.0 and height > 0.0):
        raise ValueError("the drawing has no limits, so its paper size is not known")
    return width, height


def _run(doc: Drawing, backend: _Paper) -> None:
    if not fonts.font_manager.has_font(FONT_FILE.name):
        # A machine without any fonts would stop the library before our own is asked for.
        fonts.font_manager.scan_folder(FONT_FILE.parent)
    config = Configuration(
        color_policy=ColorPolicy.BLACK,
        background_policy=BackgroundPolicy.WHITE,
        max_flattening_distance=0.005 / backend.mm,
        min_dash_length=0.1 / backend.mm,
        lineweight_scaling=1.0,
    )
    space = doc.modelspace()
    frontend = UniversalFrontend(RenderContext(doc), _Pipeline(backend), config)
    properties = LayoutProperties.modelspace()
    properties.set_colors("#ffffff")
    frontend.draw_layout(space, finalize=True, layout_properties=properties)


def pdf_bytes(documents: Sequence[Drawing], title: str = "") -> bytes:
    """Return a PDF with one page for each DXF sheet, at exact size, font embedded.

    documents: from `dxfout.sheet_document` or read from a file; each needs its limits set. title: of the PDF's
    properties. No date and no random identifier is written, so the same sheets give the same bytes.
    """
    from reportlab.pdfgen.canvas import Canvas

    stream = io.BytesIO()
    canvas = Canvas(stream, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setCreator("strutwright")
    canvas.setAuthor("")
    canvas.setSubject("")
    for doc in documents:
        width, height = paper_size_mm(doc)
        canvas.setPageSize((width * POINTS_PER_MM, height * POINTS_PER_MM))
        canvas.setFillColorRGB(0, 0, 0)
        canvas.setStrokeColorRGB(0, 0, 0)
        _run(doc, _PdfPage(canvas, _mm_per_unit(doc)))
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def svg_text(doc: Drawing) -> str:
    """Return one DXF sheet as SVG, size in mm, letters as outlines."""
    width, height = paper_size_mm(doc)
    page = _SvgPage(width, height, _mm_per_unit(doc))
    _run(doc, page)
    return page.text()


def png_files(pdf: bytes, stem: Path, dpi: float = 110.0) -> list[Path]:
    """Write each page of a PDF as PNG and return the files: stem.png, or stem_1.png and so on for several pages."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    files = []
    try:
        for i in range(len(document)):
            name = stem.name if len(document) == 1 else f"{stem.name}_{i + 1}"
            path = stem.with_name(f"{name}.png")
            document[i].render(scale=dpi / 72.0).to_pil().save(path)
            files.append(path)
    finally:
        document.close()
    return files
