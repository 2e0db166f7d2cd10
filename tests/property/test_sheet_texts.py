"""Whatever the schema lets through as text fits the sheets, and no drawing program takes it for a code."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import ezdxf
import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st
from support import THOROUGH

from strutwright.exporters.drawing.dxfdoc import dxf_bytes
from strutwright.exporters.drawing.dxfout import sheet_document
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import SIZES_MM, Sheet, overlaps
from strutwright.exporters.drawing.text import drawable, text_width, wrap
from strutwright.exporters.files.cutfile import CutFile
from strutwright.exporters.files.patterns import barrel_end
from strutwright.exporters.files.tiles import roll_pdf, tile_pdf
from strutwright.exporters.sheets.common import file_words, hand_words
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models.resolve import resolve
from strutwright.params import fields, schema
from strutwright.params.loader import loads, shipped

SETS = ("harbour-launch", "day-cruiser", "patrol-vee-pair")
FIELDS: dict[str, tuple[type[Any], str]] = {
    "identity.name": (schema.Identity, "name"),
    "identity.drawing_number": (schema.Identity, "drawing_number"),
    "identity.revision": (schema.Identity, "revision"),
    "drawing.owner": (schema.Drawing, "owner"),
    "drawing.creator": (schema.Drawing, "creator"),
    "drawing.finish": (schema.Drawing, "finish"),
    "change.change": (schema.Change, "change"),
    "change.by": (schema.Change, "by"),
}
CODE = re.compile(r"%%|\^(?! |$)|\\(?! |$)")
"""What the DXF reference and common readers take for a code: control codes, carets, and MTEXT's backslashes."""


def longest(path: str) -> int:
    """Return how many characters the schema allows."""
    model, field = FIELDS[path]
    found = json.dumps(model.model_json_schema()["properties"][field])
    return int(re.findall(r'"maxLength": (\d+)', found)[0])


def words(path: str) -> st.SearchStrategy[str]:
    """Return a strategy of all texts that the schema allows in a field."""
    taken = fields.NOT_IN_NAMES if FIELDS[path][1] in ("name", "drawing_number") else ""
    letters = st.characters(codec="utf-8", exclude_characters=taken).filter(str.isprintable)
    wide = st.sampled_from(("W", "‱", "%%d", "^I", "\\P", "W ", "ﬗ-", "😴", "ii", "%%c%%u"))
    free = st.text(letters, min_size=1, max_size=longest(path))
    repeated = wide.filter(lambda w: not set(w) & set(taken)).map(lambda w: (w * 80)[: longest(path)])
    return (free | repeated).filter(lambda t: not taken or (".." not in t and bool(t.strip(" ."))))


def context(name: str, said: dict[str, str], changes: int) -> SheetContext:
    """Return a set with other texts on its way to paper, without solids."""
    data = yaml.safe_load(shipped()[name].read_text(encoding="utf-8"))
    drawing = data.setdefault("drawing", {})
    for path, text in said.items():
        group, _, key = path.partition(".")
        if group != "change":
            data[group][key] = text
    change = {
        "revision": said["identity.revision"],
        "change": said["change.change"],
        "by": said["change.by"],
        "date": "2026-01-31",
    }
    drawing["revisions"] = [change] * changes
    one = resolve(loads(json.dumps(data, ensure_ascii=False, default=str), "drawn"))
    return SheetContext(one, one.strut, SimpleNamespace(parts=()), "0" * 64, "9.9.9")  # type: ignore[arg-type]


EVERY = st.fixed_dictionaries({path: words(path) for path in FIELDS})
FULL = {path: ("W" * 80)[: longest(path)] for path in FIELDS}
CODES = {path: ("%%d^I%%%" * 10)[: longest(path)] for path in FIELDS}


@pytest.mark.parametrize("size", list(SIZES_MM))
@given(said=EVERY, name=st.sampled_from(SETS), changes=st.integers(0, 12))
@example(said=FULL, name="patrol-vee-pair", changes=12)
@example(said=CODES, name="day-cruiser", changes=1)
@settings(max_examples=4 if THOROUGH else 1, deadline=None)
def test_every_text_of_the_title_block_fits_on_every_sheet(
    size: str, said: dict[str, str], name: str, changes: int
) -> None:
    # The smallest, which no sheet with so many changes is drawn on, have room for a few.
    most = {"A4": 2, "ANSI A": 2, "A3": 6, "ANSI B": 6}
    ctx = context(name, said, min(changes, most.get(size, changes)))
    made = ctx.sheet("Outboard palm, drilling", "Drilling drawing", [], mass="123.45 kg", face="WATER FACE")
    sheet = Sheet(
        replace(made.title, sheet_number=12, sheets=12),
        notes=[hand_words(ctx.strut), file_words(ctx.strut)],
        sizes=(size,),
    )
    sheet.revisions = ctx.revisions
    drawn = lay_out(sheet)
    assert overlaps(drawn) == []
    block = next(i for i in drawn.items if i.name == "title block")
    shown = " ".join(t.text for t in sorted(block.texts, key=lambda t: -t.at[1]))
    assert all(c in shown for c in "".join(said["identity.revision"].split()))
    for text in ezdxf.read(io.StringIO(dxf_bytes(sheet_document(drawn)).decode("utf-8"))).modelspace().query("TEXT"):
        assert not CODE.search(text.dxf.text)


@given(said=EVERY, name=st.sampled_from(SETS))
@example(said=FULL, name="patrol-vee-pair")
@example(said=CODES, name="harbour-launch")
@settings(max_examples=3, deadline=None)
def test_every_text_can_stand_on_true_scale_files_and_paper(said: dict[str, str], name: str) -> None:
    strut = context(name, said, 0).strut
    cut = barrel_end(strut)
    for version in ("R12", "R2010"):
        text = dxf_bytes(cut.document(version)).decode("utf-8" if version == "R2010" else "cp1252")  # type: ignore[arg-type]
        text = re.sub(r"\\U\+[0-9A-Fa-f]{4,8}", "?", text)  # how R12 writes letters beyond its own
        for entity in ezdxf.read(io.StringIO(text)).modelspace().query("TEXT"):
            assert not CODE.search(entity.dxf.text)
    heading = f"{strut.identity.number}, revision {strut.identity.revision}: barrel aft end"
    assert tile_pdf(cut, "A4", heading).startswith(b"%PDF")
    assert roll_pdf(cut, heading).startswith(b"%PDF")


@given(st.text(max_size=80))
def test_what_is_drawable_has_no_codes_and_only_spaces_more(text: str) -> None:
    made = drawable(text)
    assert not CODE.search(made)
    assert made.replace(" ", "") == text.replace(" ", "")
    assert drawable(made) == made
    if not re.search(r"%%|\^|\\", text):
        assert made == text


@given(st.text(st.characters(codec="utf-8"), max_size=80), st.floats(15.0, 200.0))
def test_no_line_is_wider_than_it_may_be(text: str, width: float) -> None:
    lines = wrap(text, 2.5, width)
    assert all(text_width(line, 2.5) <= width for line in lines)
    assert "".join("".join(lines).split()) == "".join(drawable(text).split())


@pytest.mark.parametrize(
    ("said", "drawn"),
    [
        ("100%%d", "100% %d"),
        ("M^2", "M^ 2"),
        ("a\\Pb", "a\\ Pb"),
        ("5 %", "5 %"),
        ("\\U+00B0", "\\ U+00B0"),
        ("%%%", "% % %"),
    ],
)
def test_codes_are_taken_apart(said: str, drawn: str) -> None:
    assert drawable(said) == drawn
    cut = CutFile("codes")
    cut.add_line("CENTRE", (0, 0), (10, 0))
    cut.add_text(said, (0, 0))
    assert [t.text for t in cut.words()] == [drawn]
