"""The DXF back end: draws shapes, in documents whose bytes depend on their content only: no clock, no random
identifiers, no hash order.

Every DXF the project writes starts with `new_document` and ends with `dxf_bytes` or `save_dxf`.
"""

from __future__ import annotations

import io
import logging
import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Literal

import ezdxf
from ezdxf import units
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment

from strutwright.exporters.drawing.shapes import Arc, Ellipse, Fill, Line, P, Shape, Text, flatten
from strutwright.exporters.drawing.text import drawable
from strutwright.params.quantity import INCH_MM, FileUnits

DxfVersion = Literal["R2010", "R12"]

_ALIGN = {"left": TextEntityAlignment.LEFT, "centre": TextEntityAlignment.CENTER, "right": TextEntityAlignment.RIGHT}


@contextmanager
def _fixed_metadata() -> Iterator[None]:
    """ezdxf's switch is global: put it back, whatever happens."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def unit_factor(unit: FileUnits) -> float:
    """Return file units per millimetre: 1 for "mm", 1/25.4 for "in"."""
    if unit == "mm":
        return 1.0
    if unit == "in":
        return 1.0 / INCH_MM
    raise ValueError(f"unit: got {unit!r}, allowed are 'mm' and 'in'")


def new_document(version: DxfVersion = "R2010", unit: FileUnits = "mm") -> Drawing:
    """Return an empty DXF document with the unit in its header.

    version: "R2010" or "R12". unit: "mm" or "in"; sets both $INSUNITS and $MEASUREMENT, because some
    readers look at one of them only. R12 has neither variable: there the unit must stand in the drawing as
    text. Raises ValueError for another version or unit.
    """
    if version not in ("R2010", "R12"):
        raise ValueError(f"DXF version: got {version!r}, allowed are 'R2010' and 'R12'")
    unit_factor(unit)
    log = logging.getLogger("ezdxf")
    level = log.level
    if version == "R12":
        log.setLevel(logging.ERROR)  # it warns that R12 knows no units, even when none are asked for
    try:
        with _fixed_metadata():
            doc = ezdxf.new(version, setup=False, units=0)
    finally:
        log.setLevel(level)
    doc.header["$LUNITS"] = 2
    doc.header["$LUPREC"] = 3 if unit == "mm" else 4
    if version != "R12":
        doc.units = units.MM if unit == "mm" else units.IN
        doc.header["$MEASUREMENT"] = 1 if unit == "mm" else 0
        # Some programs take this for the plot scale; at 0 they print an empty page.
        doc.header["$PSVPSCALE"] = 1.0
    return doc


def dxf_bytes(doc: Drawing) -> bytes:
    """Return the document as DXF text in its own encoding. The same content gives the same bytes in any process."""
    if doc.dxfversion > "AC1009":
        doc.classes.add_required_classes(doc.dxfversion)
        # The library walks a set here: its order changes with the hash seed.
        doc.classes.classes = dict(sorted(doc.classes.classes.items()))
    stream = io.StringIO()
    with _fixed_metadata():
        doc.write(stream)
    return stream.getvalue().encode(doc.output_encoding, errors="dxfreplace")


def save_dxf(doc: Drawing, path: Path) -> None:
    """Write the document to `path`, bytes as from `dxf_bytes`."""
    path.write_bytes(dxf_bytes(doc))


def add_linetype(doc: Drawing, name: str, pattern: Sequence[float], unit: FileUnits, description: str) -> None:
    """Declare a dash pattern: lengths in mm, on and off in turn."""
    k = unit_factor(unit)
    signed = [v * k if i % 2 == 0 else -v * k for i, v in enumerate(pattern)]
    doc.linetypes.add(name, [sum(pattern) * k, *signed], description=description)


def draw(space: Any, shape: Shape | Text | Fill, k: float, **on: str) -> None:
    """Draw a shape in a block or the model space. k: file units per mm; on: layer, and text style.

    A circle becomes a CIRCLE, a polyline an LWPOLYLINE; in R12, which has neither, POLYLINE stands for that and for an
    ellipse.
    """

    def at(p: P) -> P:
        return (p[0] * k, p[1] * k)

    if isinstance(shape, Line):
        space.add_line(at(shape.a), at(shape.b), dxfattribs=on)
    elif isinstance(shape, Arc) and shape.full:
        space.add_circle(at(shape.centre), shape.radius * k, dxfattribs=on)
    elif isinstance(shape, Arc):
        start = math.degrees(shape.start)
        end = start + math.degrees(shape.sweep)
        space.add_arc(at(shape.centre), shape.radius * k, start % 360.0, end % 360.0, dxfattribs=on)
    elif isinstance(shape, Ellipse) and space.doc.dxfversion > "AC1009":
        end = shape.start + shape.sweep
        space.add_ellipse(at(shape.centre), at(shape.major), shape.ratio, shape.start, end, dxfattribs=on)
    elif isinstance(shape, Text):
        written = space.add_text(
            drawable(shape.text), height=shape.height_mm * k, rotation=math.degrees(shape.turn), dxfattribs=on
        )
        written.set_placement(at(shape.at), align=_ALIGN[shape.anchor])
    elif isinstance(shape, Fill):
        corners = [at(p) for p in shape.points]
        space.add_solid(corners[:2] + corners[:1:-1], dxfattribs=on)  # a SOLID takes its corners crosswise
    else:
        bulges = getattr(shape, "bulges", ())
        points = flatten(shape, 0.01).tolist() if isinstance(shape, Ellipse) else shape.points
        rows = [(*at(p), b) for p, b in zip(points, bulges, strict=True)] if bulges else [at(p) for p in points]
        add = space.add_lwpolyline if space.doc.dxfversion > "AC1009" else space.add_polyline2d
        add(rows, format="xyb" if bulges else "xy", close=getattr(shape, "closed", False), dxfattribs=on)
