"""Rows of a table as CSV, RFC 4180: UTF-8, comma, one head row, lines end with CR LF.

A row is a frozen dataclass, its fields the columns. Lengths (fields in `_mm`) are written in the file's unit, which the
head names (`u_mm` or `u_in`), mm to three, inches to four places; weights (`_kg`) in kilograms or pounds; other figures
to three places. A cell without a value is empty.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import fields
from typing import Any

from strutwright.exporters.drawing.figures import fixed
from strutwright.params.quantity import INCH_MM, FileUnits, in_file_units


def csv_text(row_type: type[Any], rows: Sequence[Any], units: FileUnits) -> str:
    """Return rows of one dataclass as CSV in the units of a file."""
    names = [f.name for f in fields(row_type)]
    heads = [n.replace("_mm", "_in").replace("_kg", "_lb") if units == "in" else n for n in names]
    stream = io.StringIO()
    out = csv.writer(stream, lineterminator="\r\n")
    out.writerow(heads)
    out.writerows([_cell(name, getattr(row, name), units) for name in names] for row in rows)
    return stream.getvalue()


def _cell(name: str, value: str | int | float | None, units: FileUnits) -> str:
    if not isinstance(value, float):
        return "" if value is None else str(value)
    if name.endswith("_mm"):
        return fixed(value / INCH_MM, 4) if units == "in" else fixed(value, 3)
    return fixed(in_file_units(value, "kg", units)[0] if name.endswith("_kg") else value, 3)
