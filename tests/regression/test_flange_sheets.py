"""Sheets, lists and tables of flanged housings: what is cut and what is left whole, true sizes, welds, own words."""

from __future__ import annotations

import csv
import io
import math
import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from sheets_support import cells, context, laid, number, resolved, solids, texts, whole
from support import HOUSINGS, built_of, every, long_run

from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.cut_list import cut_rows
from strutwright.exporters.files.data_sheets import data_files
from strutwright.exporters.files.flange_outlines import barrel_on_free_face, rib_pattern
from strutwright.exporters.files.parts_list import parts_rows
from strutwright.exporters.files.patterns import pattern_files
from strutwright.exporters.files.templates import template_files
from strutwright.exporters.sheets import flange_cut, sheet_makers
from strutwright.exporters.sheets.barrel import barrel_machining
from strutwright.exporters.sheets.record import record_rows
from strutwright.models import frames
from strutwright.models.geometry import flange as shapes
from strutwright.models.outline import Floats, box
from strutwright.models.shop.weld_metal import FILLED, joints
from strutwright.models.solids import build
from strutwright.models.spec import Strut
from strutwright.models.spec_flange import Ribs

WELDED, CAST = "tube-end-pair", "deadwood-cutter"
RIBS = Ribs(count=4, thickness_mm=10.0, along_mm=40.0, out_mm=30.0, first_clock_deg=0.0)


def ribbed_cast() -> Strut:
    strut = resolved(CAST).strut
    assert strut.flange is not None
    return replace(strut, flange=replace(strut.flange, ribs=RIBS))


@cache
def cut_view(name: str) -> View:
    """The section along the shaft of the arrangement; `ribbed`: of the cast one with ribs."""
    if name == "ribbed":
        strut = ribbed_cast()
        made = sheet_makers(strut)["general-arrangement"](context(strut, resolved(CAST), build(strut)))
    else:
        made = whole(name, "general-arrangement")
    assert made is not None
    return next(view for view in made.views if view.name == "along")


def hatched(view: View, at: tuple[float, float]) -> int:
    """How many bodies are hatched at a place, by the even-odd rule."""
    return sum(sum(crossed(loop, at) for loop in loops) % 2 for loops, *_ in view.hatches)


def crossed(loop: Floats, at: tuple[float, float]) -> int:
    """How often a line to the right of a place crosses a polygon."""
    x, y = at
    p, q = loop, np.roll(loop, -1, axis=0)
    over = (p[:, 1] > y) != (q[:, 1] > y)
    run = p[over, 0] + (y - p[over, 1]) / (q[over, 1] - p[over, 1]) * (q[over, 0] - p[over, 0])
    return int(np.sum(run > x))


def places(strut: Strut, up: float) -> dict[str, tuple[float, float]]:
    """Places in the cut over or under the shaft line: in the barrel's wall, the flange and a rib."""
    flange, barrel = strut.flange, strut.barrel
    assert flange is not None
    wall = (barrel.bore_mm + barrel.outside_mm) / 4
    clock, far = (0.0, barrel.outside_mm / 2 + 20.0) if up > 0 else (180.0, barrel.outside_mm / 2 + 20.0)
    deep = shapes.face_x_mm(flange, barrel, flange.thickness_mm / 2, clock, far)
    free = shapes.face_x_mm(flange, barrel, flange.thickness_mm, clock, barrel.outside_mm / 2)
    # Clear of a fillet in the corner.
    rib = free - 15.0, up * (barrel.outside_mm / 2 + 9.0)
    return {"barrel": (0.0, up * wall), "flange": (deep, up * far), "rib": rib}


@pytest.mark.parametrize("name", [WELDED, pytest.param("ribbed", marks=long_run)])
@pytest.mark.parametrize("up", every((1.0, -1.0), 2))
def test_barrel_and_flange_are_hatched_on_both_sides_and_ribs_in_the_plane_are_not(name: str, up: float) -> None:
    strut = ribbed_cast() if name == "ribbed" else resolved(name).strut
    found = {what: hatched(cut_view(name), at) for what, at in places(strut, up).items()}
    assert found == {"barrel": 1, "flange": 1, "rib": 0}


def test_parts_that_touch_are_hatched_to_opposite_sides() -> None:
    slopes = {angle for _, _, angle, _ in cut_view(WELDED).hatches}
    assert slopes == {45.0, 135.0}


@pytest.mark.parametrize("name", [WELDED, pytest.param(CAST, marks=long_run)])
def test_a_flange_is_as_thick_as_it_is_wherever_it_is_told(name: str) -> None:
    """Seen aslant, a flange of 18 that turns 3 degrees in plan measures 17.98."""
    flange = resolved(name).strut.flange
    assert flange is not None
    told = f"{flange.thickness_mm:g}"
    for kind in every(("flange-drilling", "general-arrangement"), 2):
        said = texts(laid(name, kind))
        assert any(re.search(rf"(?<![\d.]){told}(?![\d.])", text) for text in said)
        assert not any("17.98" in text for text in said)


@pytest.mark.parametrize("name", HOUSINGS)
@pytest.mark.parametrize(
    "kind", ["flange-drilling", *(pytest.param(k, marks=long_run) for k in ("general-arrangement", "barrel-machining"))]
)
def test_a_housing_is_told_in_its_own_words(name: str, kind: str) -> None:
    said = " ".join(texts(laid(name, kind)))
    assert re.findall(r"(?i)\b(?:strut|palm|hull)s?\b", said.replace("strutwright", "")) == []


@pytest.mark.parametrize("name", every(HOUSINGS, 2))
def test_the_files_of_a_housing_are_lettered_in_its_own_words(name: str) -> None:
    strut = resolved(name).strut
    for cut in (*pattern_files(strut).values(), *template_files(strut).values()):
        said = " ".join(e.dxf.text for e in cut.document().modelspace().query("TEXT"))
        assert re.findall(r"(?i)\b(?:strut|palm|hull)s?\b", said) == [], cut.name


@long_run
def test_the_bedding_face_keeps_its_angle_to_the_bore_on_both_sheets() -> None:
    """A slanting face asks for angularity, a square one for perpendicularity, within the zone of the record."""
    for name, form in ((WELDED, "angularity"), (CAST, "perpendicularity")):
        (row,) = (r for r in record_rows(context(resolved(name).strut, resolved(name))) if r.code == "flange.true")
        assert row.what.endswith(form)
        for kind in ("general-arrangement", "barrel-machining"):
            frame = next(item for item in laid(name, kind).items if item.name == f"tolerance {form}")
            assert row.upper in [t.text for t in frame.texts]


def test_the_record_asks_for_every_hole_of_the_flange_and_for_the_spigot() -> None:
    strut = resolved(CAST).strut
    rows = {r.code: r for r in record_rows(context(strut, resolved(CAST)))}
    assert sum(code.startswith("flange.hole") and code != "flange.holes" for code in rows) == 8
    assert rows["flange.hole1"].what == "flange, hole 1 at 65.6, 27.17"  # 71 at 22.5 degrees, to port
    assert (rows["spigot.outside"].lower, rows["spigot.outside"].upper) == ("61.3", "61.5")  # into a bore of 62


def test_every_made_part_of_a_welded_housing_has_its_size_and_is_cut_from_stock_that_holds_it() -> None:
    strut, parts = resolved(WELDED).strut, solids(WELDED).parts
    sizes = {row.part: row.size for row in parts_rows(strut, parts) if row.note.startswith("made")}
    assert sizes["flange"] == "236 x 226 x 18 mm"
    assert sizes["barrel"] == "outside x bore x length 82 x 60 x 280 mm"  # 200 and the spigot of 80
    assert all(sizes.values())
    rows = {row.part: row for row in cut_rows(strut, parts)}
    assert set(rows) == {"barrel", "flange", *(f"rib {k}" for k in (1, 2, 3, 4))}
    for row in rows.values():
        assert row.net_weight_kg is not None
        assert row.stock_weight_kg is not None
        assert row.net_weight_kg < row.stock_weight_kg
    assert rows["barrel"].length_mm == 286.0  # faced by 3 on each end
    outside = rows["barrel"].stock_outside_mm
    assert outside is not None
    assert outside >= 82.0 + 2 * 1.2  # over its barbs


def test_the_welds_of_a_housing_are_told_by_their_true_size() -> None:
    made = whole(WELDED, "weld-assembly")
    assert made is not None
    flange, ribs = cells(next(t for t in made.tables if t.name == "welds"))
    strut = resolved(WELDED).strut
    assert strut.flange is not None
    off = math.acos(math.cos(math.radians(8.0)) * math.cos(math.radians(3.0)))  # both leans together
    assert flange["leg"] == "z7.5"
    # An isosceles fillet where the parts stand widest to each other.
    assert number(flange["least throat"]) == pytest.approx(7.5 * math.cos((math.pi / 2 + off) / 2), abs=0.006)
    turn = np.linspace(0.0, 2 * math.pi, 20001)
    ellipse = np.stack([41.0 * np.cos(turn), 41.0 / math.cos(off) * np.sin(turn)])
    assert number(flange["length"]) == pytest.approx(float(np.hypot(*np.diff(ellipse)).sum()), abs=0.01)
    assert ribs["joint"] == "4 × each rib to flange and barrel"
    each = joints(strut)["each rib", "flange and barrel"]
    alone = FILLED * 7.0**2 / 2 * (2 * (44 + 36 + 10) + 2 * math.pi * 7.0 / 3)
    assert each.volume_mm3 == pytest.approx(4 * alone)


def test_a_cast_housing_has_no_weld_sheet() -> None:
    strut = resolved(CAST).strut
    assert sheet_makers(strut)["weld-assembly"](context(strut, resolved(CAST))) is None


def test_the_hole_of_a_slanting_flange_is_drawn_where_the_barrel_meets_its_free_face() -> None:
    strut = resolved(WELDED).strut
    assert strut.flange is not None
    axes, seen = frames.flange_axes(strut.flange, strut.barrel), barrel_on_free_face(strut, strut.flange).vertices
    at = axes.to_strut(np.stack([seen[:, 1], seen[:, 0]], axis=1), -strut.flange.thickness_mm)
    assert np.hypot(at[:, 1], at[:, 2]) == pytest.approx(np.full(len(at), 41.0))


def test_ribs_are_cut_to_their_own_angle() -> None:
    """The four ribs of a flange that leans and turns: as long as they reach along, and the flange's run over 36 out."""
    strut = resolved(WELDED).strut
    assert strut.flange is not None
    cut = rib_pattern(strut, strut.flange)
    outlines = [e for e in cut.document().modelspace().query("LWPOLYLINE") if e.dxf.layer == "CUT_OUTER"]
    assert len(outlines) == 4
    n = frames.face_axes(strut.flange.plane).n
    for outline, clock in zip(outlines, (0.0, 90.0, 180.0, 270.0), strict=True):
        points = np.array([p[:2] for p in outline.get_points()])
        run = -36.0 * float(frames.radial(clock) @ n) / float(n[0])
        assert float(np.ptp(points[:, 0])) == pytest.approx(44.0 + max(run, 0.0), abs=0.01)
        assert float(np.ptp(points[:, 1])) == pytest.approx(36.0, abs=0.01)


def test_the_tables_of_a_housing_tell_its_holes_and_the_way_from_one_to_the_next() -> None:
    strut = resolved(CAST).strut
    made = data_files(strut, ())
    holes = list(csv.DictReader(io.StringIO(made["flange-hole-table"].decode())))
    path = list(csv.DictReader(io.StringIO(made["flange-drill-path"].decode())))
    assert [float(h["clock_deg"]) for h in holes[:2]] == [22.5, 67.5]
    assert {h["fastener"] for h in holes} == {"lag screw"}
    assert [p["operation"] for p in path] == ["drill"] * 8 + ["countersink"] * 8
    assert {p["face_up"] for p in path} == {"free face"}
    # Port is to the left as seen on the free face from aft.
    first = next(h for h in holes if h["hole"] == path[0]["hole"])
    assert float(path[0]["x_mm"]) == pytest.approx(-float(first["port_mm"]))
    assert float(path[0]["y_mm"]) == pytest.approx(float(first["up_mm"]))


def test_the_plate_is_broken_off_on_the_sheet_of_a_boss_that_it_dwarfs() -> None:
    """A plate of 540 on a boss of 67: shown as far as one and a half outsides, the whole of it on its own sheet."""
    source = resolved("creek-yawl")
    strut = source.strut
    assert strut.flange is not None
    assert flange_cut.broken_mm(strut) == pytest.approx(1.5 * 67)
    short = replace(strut.flange, outline=box(180.0, 120.0, 0.0))
    assert flange_cut.broken_mm(replace(strut, flange=short)) is None
    assert flange_cut.broken_mm(resolved("deadwood-cutter").strut) is None
    sheet = barrel_machining(context(strut, source, built_of(strut)))
    (cut,) = (view for view in sheet.views if view.name == "section")
    high = max(float(loop[:, 1].max()) for loops, *_ in cut.hatches for loop in loops)
    assert high == pytest.approx(1.5 * 67, abs=0.01)
