"""Random flanged housings on paper: all sheets lay out, of cast ones the founder's too, and all tables are written."""

from __future__ import annotations

import pytest
import yaml
from property.random_flanges import draw_flanged
from sheets_support import context
from support import long_run

from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.files import foundry as files
from strutwright.exporters.files.data_sheets import data_files
from strutwright.exporters.files.pattern_templates import template_files as pattern_templates
from strutwright.exporters.files.patterns import pattern_files
from strutwright.exporters.files.templates import template_files
from strutwright.exporters.sheets import sheet_makers
from strutwright.exporters.sheets.founder import founder_sheets
from strutwright.models.resolve import resolve
from strutwright.models.shop.foundry import foundry_settings
from strutwright.models.solids import build
from strutwright.models.solids.casting import build_pattern
from strutwright.params import loader


@long_run
@pytest.mark.parametrize("number", range(12))
def test_a_random_housing_lies_on_its_sheets(number: int) -> None:
    source = resolve(loader.loads(yaml.safe_dump(draw_flanged(number)), f"random-{number}.yaml"))
    strut = source.strut
    built = build(strut)
    ctx = context(strut, source, built)
    sheets = [made for make in sheet_makers(strut).values() if (made := make(ctx)) is not None]
    if strut.construction == "cast":
        pattern = build_pattern(strut, foundry_settings(source))
        assert pattern is not None
        assert [f for f in pattern.findings if f.fails] == []
        assert pattern_templates(pattern)
        sheets += founder_sheets(ctx, pattern, files.draft_rows(pattern)).values()
    for sheet in sheets:
        lay_out(sheet)
    assert pattern_files(strut)
    assert template_files(strut)
    assert data_files(strut, built.parts)
