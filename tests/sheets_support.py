"""Sheets of the shipped sets for the tests that read them: laid out once, their dimensions and texts."""

from __future__ import annotations

import io
import math
import re
from functools import cache

import ezdxf
import pytest
from ezdxf.document import Drawing
from repeated_lines import repeated
from support import STRUTS, resolved, without_beads

from strutwright.exporters.drawing.dxfdoc import dxf_bytes
from strutwright.exporters.drawing.dxfout import sheet_document
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import Drawn, Sheet, Table, overlaps
from strutwright.exporters.sheets import sheet_makers
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models.resolve import Resolved
from strutwright.models.solids import Built
from strutwright.models.spec import Hand, Strut

LEAST_MM = 2.5
"""ISO 3098-1: the smallest nominal height of lettering that is commonly used (value from memory)."""
NUMERIC = ("palm-drilling", "palm-drilling-2", "arm", "arm-2", "press-card", "press-card-2")
"""Makers that need no solids."""


def context(strut: Strut, source: Resolved, built: Built | None = None) -> SheetContext:
    return SheetContext(source, strut, built or Built("", (), [], 0.0), "0" * 64, "0")


def faults(page: Drawn) -> list[str]:
    """What is wrong with a sheet as it is laid out: collisions, letters that are too small, lines drawn twice."""
    small = {f"{t.text} {t.height_mm:.2f} mm high" for i in page.items for t in i.texts if t.height_mm < LEAST_MM}
    return [*map(str, overlaps(page)), *sorted(small), *repeated(page)]


@cache
def solids(name: str) -> Built:
    """The solids of a set as written; beads are never on a sheet, so they are not built."""
    return without_beads(resolved(name).strut)


@cache
def kept(name: str, hand: Hand) -> SheetContext:
    """The solids of a hand with all views of them that sheets have asked for."""
    source = resolved(name)
    strut = source.of_hand(hand)
    return context(strut, source, without_beads(strut))


@cache
def sheet(name: str, kind: str, hand: Hand | None = None) -> Sheet | None:
    source = resolved(name)
    strut = source.strut if hand is None else source.of_hand(hand)
    need = kind in ("weld-assembly", "cut-list-and-jig") and strut.construction == "welded"
    maker = sheet_makers(strut).get(kind)
    return None if maker is None else maker(kept(name, strut.identity.hand) if need else context(strut, source))


@cache
def drawn(name: str, kind: str, hand: Hand | None = None) -> Drawn:
    made = sheet(name, kind, hand)
    assert made is not None
    return lay_out(made)


@cache
def document(name: str, kind: str, hand: Hand | None = None) -> Drawing:
    return ezdxf.read(io.StringIO(dxf_bytes(sheet_document(drawn(name, kind, hand))).decode("utf-8")))


def values(name: str, kind: str, hand: Hand | None = None) -> dict[str, float]:
    """Texts of all dimensions and what they measure in mm or degrees, as the DXF library measures them itself."""
    doc = document(name, kind, hand)
    per = 25.4 if doc.header["$INSUNITS"] == 1 else 1.0
    found = {}
    for dim in doc.modelspace().query("DIMENSION"):
        if dim.dimtype in (2, 5):
            found[dim.dxf.text] = math.degrees(dim.dxf.actual_measurement)
            continue
        measured = dim.get_measurement()
        value = measured if isinstance(measured, float) else measured.magnitude
        value *= doc.dimstyles.get(dim.dxf.dimstyle).dxf.dimlfac
        assert dim.dxf.actual_measurement == pytest.approx(value, abs=1e-6)
        found[dim.dxf.text] = value * per
    return found


def table(name: str, kind: str, table_name: str, hand: Hand | None = None) -> Table:
    made = sheet(name, kind, hand)
    assert made is not None
    return next(t for t in made.tables if t.name == table_name)


def cells(of: Table) -> list[dict[str, str]]:
    """The rows of a table by the heads of its columns."""
    return [dict(zip(of.columns, row, strict=True)) for row in of.rows]


def number(text: str) -> float:
    found = re.search(r"-?\d*\.?\d+", text)
    assert found is not None, text
    return float(found[0])


# --- every sheet is clean ---------------------------------------------------------------------------------------------


WELDED = [n for n in STRUTS if resolved(n).strut.construction == "welded"]
CAST = [n for n in STRUTS if n not in WELDED]


@cache
def whole(name: str, kind: str) -> Sheet | None:
    """A sheet of a set with its solids."""
    strut = resolved(name).strut
    maker = sheet_makers(strut).get(kind)
    return None if maker is None else maker(kept(name, strut.identity.hand))


@cache
def laid(name: str, kind: str) -> Drawn:
    made = whole(name, kind)
    assert made is not None
    return lay_out(made)


def texts(page: Drawn) -> list[str]:
    return [t.text for i in page.items for t in i.texts]


# --- press card -------------------------------------------------------------------------------------------------------
