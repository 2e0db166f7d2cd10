"""A laid-out sheet as DXF: one file, paper size 1:1, dimensions as real DIMENSION entities.

Coordinates are the paper's (mm, or inch on inch sheets); a view drawn at 1:2 stands there at half size, and its
dimension style carries DIMLFAC 2, so that any program measures the true size. The picture of each dimension is our own
(its anonymous block), the text holds the measured value with its tolerance, and group 42 the value. The style is copied
to the $DIM header variables too, which is what some programs read.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from ezdxf.document import Drawing

from strutwright.exporters.drawing.dxfdoc import DxfVersion, add_linetype, draw, new_document, save_dxf, unit_factor
from strutwright.exporters.drawing.items import DimData, Item
from strutwright.exporters.drawing.shapes import P
from strutwright.exporters.drawing.sheet import Drawn
from strutwright.exporters.drawing.style import LINETYPE_NAMES, STYLES
from strutwright.exporters.fonts import FONT_FILE

TEXT_STYLE = "SHEET"

_DIMTYPE = {"linear": 0, "aligned": 1, "diameter": 3, "radius": 4, "angular": 2}

_STRAIGHT, _ROUND = ("defpoint", "defpoint2", "defpoint3"), ("defpoint", "defpoint4")
_GROUPS = {
    **{"linear": _STRAIGHT, "aligned": _STRAIGHT, "diameter": _ROUND, "radius": _ROUND},
    # Two lines from the vertex: the form more programs read than the one by three points.
    "angular": ("defpoint5", "defpoint3", "defpoint", "defpoint2"),
}


class _Writer:
    def __init__(self, drawn: Drawn, version: DxfVersion) -> None:
        self.drawn = drawn
        self.version = version
        self.k = unit_factor(drawn.figures.unit)
        self.doc = new_document(version, drawn.figures.unit)
        self.space = self.doc.modelspace()

    def _at(self, p: P) -> P:
        return (p[0] * self.k, p[1] * self.k)

    def tables(self) -> None:
        doc = self.doc
        for pattern, name in LINETYPE_NAMES.items():
            if pattern:
                add_linetype(doc, name, pattern, self.drawn.figures.unit, name.lower())
        doc.styles.add(TEXT_STYLE, font=FONT_FILE.name)
        for style in STYLES.values():
            layer = doc.layers.add(style.layer, color=style.colour, linetype=LINETYPE_NAMES[style.pattern])
            if self.version != "R12":
                layer.dxf.lineweight = round(style.width_mm * 100)
        scales = sorted({i.dim.scale for i in self.drawn.items if i.dim is not None} | {self.drawn.scale})
        for scale in scales:
            self._dimstyle(scale)
        doc.dimstyles.get(self._style_name(self.drawn.scale)).copy_to_header(doc)
        doc.header["$DIMSTYLE"] = self._style_name(self.drawn.scale)
        doc.header["$DIMLFAC"] = 1.0 / self.drawn.scale
        doc.header["$LTSCALE"] = 1.0
        if self.version != "R12":
            doc.header["$LWDISPLAY"] = 1

    @staticmethod
    def _style_name(scale: float) -> str:
        return "SHEET_" + (f"{scale:g}_1" if scale >= 1.0 else f"1_{1.0 / scale:g}").replace(".", "_")

    def _dimstyle(self, scale: float) -> None:
        sizes, figures = self.drawn.sizes, self.drawn.figures
        paper = {
            "dimtxt": sizes.text_mm,
            "dimasz": sizes.arrow_mm,
            "dimexo": sizes.foot_mm,
            "dimexe": sizes.overshoot_mm,
        }
        paper |= {"dimdli": sizes.step_mm, "dimgap": sizes.gap_mm}
        values: dict[str, Any] = {name: size * self.k for name, size in paper.items()}
        values |= {"dimscale": 1.0, "dimlfac": 1.0 / scale, "dimtad": 1, "dimtih": 0, "dimtoh": 0, "dimtsz": 0.0}
        values["dimzin"] = 8 if figures.unit == "mm" else 4
        if self.version != "R12":
            values |= {"dimlunit": 2, "dimdsep": ord("."), "dimtmove": 2, "dimtxsty": TEXT_STYLE, "dimadec": 2}
            values["dimdec"] = 2 if figures.unit == "mm" else 3
        self.doc.dimstyles.new(self._style_name(scale), dxfattribs=values)

    def picture(self, target: Any, item: Item) -> None:
        for stroke in item.strokes:
            draw(target, stroke.shape, self.k, layer=STYLES[stroke.kind].layer)
        for fill in item.fills:
            draw(target, fill, self.k, layer=STYLES[fill.kind].layer)
        for text in item.texts:
            draw(target, text, self.k, layer=STYLES[text.kind].layer, style=TEXT_STYLE)

    def dimension(self, item: Item, dim: DimData) -> None:
        block = self.doc.blocks.new_anonymous_block(type_char="D")
        self.picture(block, item)
        values: dict[str, Any] = {
            "layer": STYLES["dimension"].layer,
            "dimtype": _DIMTYPE[dim.kind] + 32 + 128,
            "dimstyle": self._style_name(dim.scale if dim.kind != "angular" else self.drawn.scale),
            "geometry": block.name,
            "text": dim.text,
            "text_midpoint": self._at(dim.text_at),
        }
        for group, point in zip(_GROUPS[dim.kind], dim.points, strict=True):
            values[group] = self._at(point)
        if dim.kind == "linear":
            values["angle"] = dim.angle_deg
        if dim.kind == "angular":
            values["defpoint4"] = values["defpoint2"]
        if self.version != "R12":
            values["attachment_point"] = 5
            values["actual_measurement"] = math.radians(dim.value) if dim.kind == "angular" else dim.value * self.k
        self.space.new_entity("DIMENSION", values)

    def write(self) -> Drawing:
        self.tables()
        for item in self.drawn.items:
            if item.dim is None:
                self.picture(self.space, item)
            else:
                self.dimension(item, item.dim)
        w, h = self.drawn.width_mm * self.k, self.drawn.height_mm * self.k
        self.space.reset_extents((0.0, 0.0, 0.0), (w, h, 0.0))
        self.space.reset_limits((0.0, 0.0), (w, h))
        self.doc.set_modelspace_vport(height=h * 1.05, center=(w / 2.0, h / 2.0))
        return self.doc


def sheet_document(drawn: Drawn, version: DxfVersion = "R2010") -> Drawing:
    """Return a laid-out sheet as a DXF document. version: "R2010", or "R12" (no line widths, no true ellipses)."""
    return _Writer(drawn, version).write()


def save_sheet(drawn: Drawn, path: Path, version: DxfVersion = "R2010") -> None:
    """Write a laid-out sheet to `path` as DXF."""
    save_dxf(sheet_document(drawn, version), path)
