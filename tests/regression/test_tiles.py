"""Paper at scale 1:1 as an independent reader sees it; templates and tables that say what they must."""

from __future__ import annotations

import csv
import hashlib
import io
import math
import re
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import Any, get_args

import ezdxf
import numpy as np
import pypdfium2 as pdfium
import pytest

from strutwright.exporters.drawing.dxfdoc import dxf_bytes
from strutwright.exporters.drawing.shapes import Arc, Box, Ellipse, Line, Poly, Shape
from strutwright.exporters.files import barrel_strips, cut_list, data_sheets, palm_templates, templates, tiles
from strutwright.exporters.files.csv_table import csv_text
from strutwright.exporters.files.cut_list import cut_rows
from strutwright.exporters.files.cutfile import CutFile
from strutwright.exporters.files.naming import finished
from strutwright.exporters.files.parts_list import parts_rows
from strutwright.models.outline import circle, rectangle
from strutwright.models.resolve import resolve
from strutwright.models.shop import development as dev
from strutwright.models.spec import Strut, mirrored
from strutwright.params import loader
from strutwright.params.quantity import FileUnits

sys.path.insert(0, str(Path(__file__).parent.parent))
from support import every, example_strut, long_run

DPI = 600
MM = 25.4 / DPI


def big_file(unit: FileUnits = "mm") -> CutFile:
    cut = CutFile("test plate", unit)
    cut.add_outline("CUT_OUTER", rectangle(520.0, 380.0, 30.0))
    cut.add_circle("DRILL", (120.0, -60.0), 40.0)
    cut.add_outline("TEMPLATE", circle(300.0))
    cut.add_text("in the middle", (-20.0, 0.0))
    return cut


def render(pdf: bytes, page: int) -> np.ndarray:
    """Darkness (0 to 1) of a page at 600 dpi, row 0 at the top."""
    document = pdfium.PdfDocument(pdf)
    image = document[page].render(scale=DPI / 72, grayscale=True).to_numpy()
    return np.asarray(1.0 - image.reshape(image.shape[:2]).astype(float) / 255.0)


def tick_places(line: np.ndarray) -> list[float]:
    """Middles (mm) of the dark stretches along a line of pixels."""
    dark = np.concatenate(([False], line > 0.2, [False]))
    edges = np.flatnonzero(dark[1:] != dark[:-1])
    return [
        float(np.average(np.arange(a, b) + 0.5, weights=line[a:b])) * MM
        for a, b in zip(edges[::2], edges[1::2], strict=True)
    ]


def bars(pdf: bytes, page: int) -> tuple[float, float]:
    """Lengths of the two check bars of a page, mm, measured between the middles of their ticks."""
    dark = render(pdf, page)
    height = dark.shape[0]
    across = dark[height - round(19.8 / MM), : round(135.0 / MM)]  # 1.2 mm below the lying bar
    up = dark[:, round(15.7 / MM)]  # 1.2 mm right of the standing bar
    found = []
    for places in (tick_places(across), tick_places(up)):
        assert len(places) == 2
        found.append(abs(places[1] - places[0]))
    return found[0], found[1]


@pytest.mark.parametrize(
    ("paper", "unit", "length"),
    every([("A4", "mm", 100.0), ("A4", "in", 101.6), ("Letter", "mm", 100.0), ("Letter", "in", 101.6)], 3),
)
def test_check_bars_are_true_in_both_directions_on_every_page(paper: tiles.Paper, unit: Any, length: float) -> None:
    pdf = tiles.tile_pdf(big_file(unit), paper)
    for page in (0, 1, len(pdfium.PdfDocument(pdf)) - 1):
        across, up = bars(pdf, page)
        assert across == pytest.approx(length, abs=0.05)
        assert up == pytest.approx(length, abs=0.05)


@pytest.mark.parametrize(("unit", "length"), every([("mm", 100.0), ("in", 101.6)], 2))
def test_roll_page_is_one_page_with_true_bars(unit: Any, length: float) -> None:
    pdf = tiles.roll_pdf(big_file(unit))
    assert len(pdfium.PdfDocument(pdf)) == 1
    assert bars(pdf, 0) == pytest.approx((length, length), abs=0.05)


def test_geometry_is_true_to_size_on_the_roll() -> None:
    # The circle's own outline, found again in the picture: 300 across, 300 high
    cut = CutFile("one circle")
    cut.add_circle("TEMPLATE", (7.0, -3.0), 300.0)
    dark = render(tiles.roll_pdf(cut), 0)
    inside = dark[: dark.shape[0] - round(28.0 / MM), round(22.0 / MM) :]  # without bars and words below
    inside = inside[round(22.0 / MM) :]
    columns, rows = np.flatnonzero(inside.max(axis=0) > 0.5), np.flatnonzero(inside.max(axis=1) > 0.5)
    line = 0.5  # the pen's width stands half on each side
    assert (columns[-1] - columns[0] + 1) * MM - line == pytest.approx(300.0, abs=0.1)
    assert (rows[-1] - rows[0] + 1) * MM - line == pytest.approx(300.0, abs=0.1)


SHAPES: dict[type[Shape], tuple[Shape, float]] = {
    Line: (Line((-30.0, 0.0), (30.0, 0.0)), 60.0),
    Arc: (Arc((0.0, 0.0), 20.0, 0.0, math.pi), math.pi * 20.0),
    Ellipse: (Ellipse((0.0, 0.0), (20.0, 0.0), 1.0), math.tau * 20.0),
    Poly: (Poly(((-20.0, 0.0), (20.0, 0.0)), closed=True, bulges=(1.0, 0.0)), math.pi * 20.0 + 40.0),
}
"""One of every kind, and how long its line is, mm: of circles, half circles and straight lines."""


@pytest.mark.parametrize("kind", get_args(Shape))
def test_every_kind_of_shape_comes_on_paper(kind: type[Shape]) -> None:
    shape, length_mm = SHAPES[kind]
    ink = []
    for more in ([], [("CUT_OUTER", shape)]):
        cut = CutFile("plate")
        cut.add_outline("CUT_OUTER", rectangle(100.0, 100.0))
        cut._items.extend(more)
        ink.append(float(render(tiles.roll_pdf(cut), 0).sum()) * MM**2)
    assert ink[1] - ink[0] == pytest.approx(length_mm * 0.5, rel=0.05)  # the pen is 0.5 mm wide


def test_an_empty_file_has_no_paper() -> None:
    for made in (tiles.tile_pdf, tiles.roll_pdf):
        with pytest.raises(ValueError, match="plate: nothing drawn"):
            made(CutFile("plate"))


@pytest.mark.parametrize(("paper", "size"), [("A4", (210.0, 297.0)), ("Letter", (215.9, 279.4))])
def test_pages_have_the_paper_s_size(paper: tiles.Paper, size: tuple[float, float]) -> None:
    document = pdfium.PdfDocument(tiles.tile_pdf(big_file(), paper))
    for page in document:
        assert sorted(s / 72 * 25.4 for s in page.get_size()) == pytest.approx(sorted(size), abs=0.01)


def test_tiles_cover_everything_and_overlap() -> None:
    plan, _ = tiles.tiling(big_file())
    windows = {(t.row, t.column): t.window for t in plan.tiles}
    assert windows[1, 1].x0 <= -260.0
    assert windows[1, 1].y0 <= -190.0
    assert windows[plan.rows, plan.columns].x1 >= 260.0
    assert windows[plan.rows, plan.columns].y1 >= 190.0
    for (row, column), w in windows.items():
        right, above = windows.get((row, column + 1)), windows.get((row + 1, column))
        if right is not None:
            assert w.x1 - right.x0 == pytest.approx(tiles.OVERLAP_MM)
        if above is not None:
            assert w.y1 - above.y0 == pytest.approx(tiles.OVERLAP_MM)
    # every joint between two neighbours has three crosses that both pages show whole
    for (row, column), w in windows.items():
        for other in ((row, column + 1), (row + 1, column)):
            if other in windows:
                o = windows[other]
                shared = Box(max(w.x0, o.x0), max(w.y0, o.y0), min(w.x1, o.x1), min(w.y1, o.y1)).grown(-3.9)
                assert sum(shared.x0 <= x <= shared.x1 and shared.y0 <= y <= shared.y1 for x, y in plan.crosses) == 3


@pytest.mark.parametrize("at", [-60.0, -4.0, 0.0, 4.0, 60.0])
def test_a_joint_keeps_clear_of_a_hole(at: float) -> None:
    """A plate with room to spare on its pages: a hole that is wider than the overlap is whole on one of them."""
    cut = CutFile("test plate", "mm")
    cut.add_outline("CUT_OUTER", rectangle(330.0, 120.0, 10.0))
    hole = Box(at - 9.0, -9.0, at + 9.0, 9.0)
    cut.add_circle("DRILL", (at, 0.0), hole.width)
    plan, _ = tiles.tiling(cut)
    assert plan.printed > 1
    assert any(t.window.holds(hole) for t in plan.tiles)


def test_tiles_laid_over_each_other_give_the_one_page() -> None:
    """The pages are put together by their windows; every line of the drawing is found where it belongs."""
    cut = big_file()
    plan, _ = tiles.tiling(cut)
    pdf = tiles.tile_pdf(cut)
    used = [t for t in plan.tiles if t.used]
    assert len(pdfium.PdfDocument(pdf)) == len(used) + 1
    pictures = {id(t): render(pdf, k + 1) for k, t in enumerate(used)}

    def seen(x: float, y: float) -> bool:
        for t in used:
            w = t.window
            if w.x0 + 1 < x < w.x1 - 1 and w.y0 + 1 < y < w.y1 - 1:
                dark = pictures[id(t)]
                column, row = (21.0 + x - w.x0) / MM, dark.shape[0] - (27.0 + y - w.y0) / MM
                patch = dark[int(row) - 3 : int(row) + 4, int(column) - 3 : int(column) + 4]
                assert patch.max() > 0.5, (x, y, t.row, t.column)
                return True
        return False

    for angle in np.radians(np.arange(0, 360, 3)):
        assert seen(150.0 * math.cos(angle), 150.0 * math.sin(angle))
        assert seen(120.0 + 20.0 * math.cos(angle), -60.0 + 20.0 * math.sin(angle))
    for x in np.arange(-225.0, 226.0, 15.0):
        assert seen(x, 190.0)
        assert seen(x, -190.0)


def test_empty_tiles_are_left_out_and_said_so() -> None:
    cut = CutFile("two far corners")
    cut.add_circle("DRILL", (0.0, 0.0), 10.0)
    cut.add_circle("DRILL", (500.0, 700.0), 10.0)
    plan, _ = tiles.tiling(cut)
    assert sum(t.used for t in plan.tiles) == 2
    document = pdfium.PdfDocument(tiles.tile_pdf(cut))
    assert len(document) == 3
    assert "nothing here" in document[0].get_textpage().get_text_range()


def test_pages_carry_their_words() -> None:
    document = pdfium.PdfDocument(tiles.tile_pdf(big_file(), title="Plate SW-1, PORT"))
    pages = [page.get_textpage().get_text_range() for page in document]
    for k, text in enumerate(pages):
        assert "Plate SW-1, PORT" in text
        assert f"page {k + 1} of {len(pages)}" in text
        assert "scale 1:1" in text
        assert text.count("check 100 mm") == 2
    assert re.search(r"row 1, column 1\b", pages[1])
    assert "Guidance" in pages[0]
    assert sum("in the middle" in text for text in pages[1:]) >= 1


def test_unknown_paper_is_refused() -> None:
    with pytest.raises(ValueError, match="allowed are A4, Letter"):
        tiles.tile_pdf(big_file(), "A0")  # type: ignore[arg-type]


def test_a_page_longer_than_the_format_takes_is_refused() -> None:
    cut = CutFile("long")
    cut.add_line("TEMPLATE", (0.0, 0.0), (5200.0, 0.0))
    with pytest.raises(ValueError, match="use the tiles or the DXF"):
        tiles.roll_pdf(cut)


_CODE = """
import hashlib, sys
sys.path.insert(0, {tests!r})
from support import example_strut
from strutwright.exporters.drawing.dxfdoc import dxf_bytes
from strutwright.exporters.files import templates, tiles
made = templates.template_files(example_strut("vee", skeg=True))
all_ = hashlib.sha256()
for name, cut in made.items():
    for part in (name.encode(), dxf_bytes(cut.document()), tiles.tile_pdf(cut), tiles.roll_pdf(cut)):
        all_.update(part)
print(all_.hexdigest())
"""


@long_run
def test_same_bytes_in_every_process() -> None:
    code = _CODE.format(tests=str(Path(__file__).parent.parent))
    found = {
        subprocess.run(
            [sys.executable, "-c", code], env={"PYTHONHASHSEED": seed}, check=True, capture_output=True, text=True
        ).stdout
        for seed in ("1", "77")
    }
    assert len(found) == 1
    assert len(found.pop().strip()) == hashlib.sha256().digest_size * 2


# --- templates -------------------------------------------------------------------------------------------------------


def strut_of(kind: str) -> Strut:
    single = example_strut("single", skeg=True)
    return {"single": single, "starboard": mirrored(single), "vee": example_strut("vee", units="in", skeg=True)}[kind]


@pytest.mark.parametrize("kind", ["single", "starboard", "vee"])
def test_every_template_says_what_it_is(kind: str) -> None:
    strut = strut_of(kind)
    made = templates.template_files(strut)
    assert len(made) == len(set(made))
    for name, cut in made.items():
        document = ezdxf.read(io.StringIO(dxf_bytes(cut.document()).decode()))
        assert not document.audit().errors
        space = document.modelspace()
        words = " ".join(t.dxf.text for t in space.query("TEXT"))
        for wanted in (
            strut.identity.number,
            "revision A",
            "1:1",
            f"unit {cut.unit}",
            "no allowance for contraction, kerf or machining",
            "Face",
            f"File {finished(strut, name)}",
            "differ",
            "Guidance",
        ):
            assert wanted.lower() in words.lower(), (name, wanted)
        hand = strut.identity.hand
        assert (f"{hand.upper()} hand" if hand != "centre" else "CENTRE LINE") in words
        assert {e.dxf.layer for e in space.query("TEXT")} <= {"TEXT", "CHECK"}
        for shape in space.query("LWPOLYLINE"):
            if shape.dxf.layer in ("TEMPLATE", "CUT_OUTER"):
                assert shape.closed, name
        # the check bars, both ways, measured in the file
        k = 1.0 if cut.unit == "mm" else 25.4
        length = 100.0 if cut.unit == "mm" else 101.6
        lines = [(e.dxf.start, e.dxf.end) for e in space.query("LINE") if e.dxf.layer == "CHECK"]
        assert any(math.isclose((b.x - a.x) * k, length) and a.y == b.y for a, b in lines)
        assert any(math.isclose((b.y - a.y) * k, length) and a.x == b.x for a, b in lines)


def test_strip_is_as_long_as_the_barrel_is_round() -> None:
    strut = strut_of("single")
    cut = barrel_strips.set_screw_strip(strut)
    space = cut.document().modelspace()
    outer = next(e for e in space.query("LWPOLYLINE") if e.dxf.layer == "TEMPLATE")
    points = np.array(outer.get_points("xy"))
    assert np.ptp(points[:, 1]) == pytest.approx(math.pi * (84.0 + dev.PAPER_MM), abs=1e-9)
    assert np.ptp(points[:, 0]) == pytest.approx(180.0)
    lines = [e for e in space.query("LINE") if e.dxf.layer == "ENGRAVE"]
    steps = np.diff(sorted(e.dxf.start.y for e in lines))
    assert steps == pytest.approx(np.full(len(steps), math.pi * 84.1 / 24), abs=1e-9)
    screws = sorted((e.dxf.center.x, e.dxf.center.y) for e in space.query("CIRCLE"))
    quarter = math.pi * 84.1 / 4
    assert np.array(screws) == pytest.approx(np.array([(50.0, quarter), (130.0, quarter)]))


@pytest.mark.parametrize("kind", ["single", "starboard"])
def test_jig_and_hull_template_are_each_other_s_mirror_image(kind: str) -> None:
    strut = strut_of(kind)
    palm = strut.palms[0]
    holes = []
    for cut in (palm_templates.palm_jig(strut, palm), palm_templates.hull_template(strut, palm)):
        circles = [e for e in cut.document().modelspace().query("CIRCLE") if e.dxf.layer == "DRILL"]
        holes.append(sorted((round(c.dxf.center.x, 9), round(c.dxf.center.y, 9)) for c in circles))
    assert holes[1] == sorted((round(h.u_mm, 9), round(h.v_mm, 9)) for h in palm.holes)
    assert holes[0] == sorted((x, -y + 0.0) for x, y in holes[1])


def test_gauges_rise_by_the_tangent() -> None:
    strut = strut_of("single")
    plane = strut.palms[0].plane
    cut = palm_templates.bevel_gauges(strut, strut.palms[0])
    assert cut is not None
    rises = []
    for shape in cut.document().modelspace().query('LWPOLYLINE[layer=="CUT_OUTER"]'):
        points = np.array(shape.get_points("xy"))
        assert np.ptp(points[:, 0]) == pytest.approx(300.0)
        rises.append(float(np.ptp(points[:, 1])) / 300.0)
    assert np.degrees(np.arctan(rises)) == pytest.approx([plane.pitch_deg, abs(plane.tilt_deg)])


# --- tables ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Made:
    name: str
    kind: str
    material: str
    volume_mm3: float


def rows_of(rows: Sequence[object], strut: Strut) -> list[dict[str, str]]:
    text = csv_text(type(rows[0]), rows, strut.file_units)
    assert "\r\n" in text
    assert "\n" not in text.replace("\r\n", "")
    return list(csv.DictReader(io.StringIO(text)))


def test_hole_table_gives_each_hole_five_ways() -> None:
    strut = strut_of("single")
    palm = strut.palms[0]
    rows = rows_of(data_sheets.hole_rows(strut, palm), strut)
    assert [int(r["hole"]) for r in rows] == [h.number for h in palm.holes]
    for row, hole in zip(rows, palm.holes, strict=True):
        u, v = float(row["u_mm"]), float(row["v_mm"])
        assert (u, v) == (hole.u_mm, hole.v_mm)
        # the outline is 250 long, 130 wide aft and 120 forward, its corners rounded to 20: the box stops short of 65
        assert float(row["from_aft_edge_mm"]) == pytest.approx(u + 125.0, abs=1e-3)
        assert float(row["from_zero_mm"]) == pytest.approx(math.hypot(u, v), abs=1e-3)
        polar = math.radians(float(row["angle_deg"]))
        assert math.cos(polar) * math.hypot(u, v) == pytest.approx(u, abs=1e-2)
        # distance to the slanting side of a trapezium, or to its end
        half = 62.5 - 5.0 * u / 250.0
        side = (half - abs(v)) * 250.0 / math.hypot(250.0, 5.0)
        assert float(row["edge_distance_mm"]) == pytest.approx(min(side, 125.0 - abs(u)), abs=1e-3)
        assert row["head_on"] == "water face"
    other = rows_of(data_sheets.hole_rows(mirrored(strut), mirrored(strut).palms[0]), strut)
    assert [float(r["v_mm"]) for r in other] == [-float(r["v_mm"]) for r in rows]


def test_drill_path_visits_every_hole_once_and_then_sinks_it() -> None:
    strut = strut_of("single")
    palm = strut.palms[0]
    rows = rows_of(data_sheets.drill_rows(strut, palm), strut)
    numbers = sorted(h.number for h in palm.holes)
    drill, sink = ([r for r in rows if r["operation"] == op] for op in ("drill", "countersink"))
    assert len(drill) + len(sink) == len(rows)
    assert sorted(int(r["hole"]) for r in drill) == numbers
    assert sorted(int(r["hole"]) for r in sink) == numbers
    for row in rows:
        hole = next(h for h in palm.holes if h.number == int(row["hole"]))
        assert (float(row["x_mm"]), float(row["y_mm"])) == (hole.u_mm, -hole.v_mm)
    places = [(float(r["x_mm"]), float(r["y_mm"])) for r in rows]
    assert [float(r["travel_mm"]) for r in rows[1:]] == pytest.approx(
        [math.dist(a, b) for a, b in pairwise(places)], abs=1e-3
    )


def test_inch_files_have_inch_tables() -> None:
    strut = strut_of("vee")
    rows = rows_of(data_sheets.screw_rows(strut), strut)
    assert float(rows[0]["station_from_aft_face_in"]) == pytest.approx(50.0 / 25.4, abs=1e-4)
    # a bearing 160 long from station 10: the screw at 50 is 40 from its aft and 120 from its forward end
    assert float(rows[0]["from_bearing_aft_end_in"]) == pytest.approx(40.0 / 25.4, abs=1e-4)
    assert float(rows[0]["from_bearing_forward_end_in"]) == pytest.approx(120.0 / 25.4, abs=1e-4)
    assert float(rows[0]["wall_in"]) == pytest.approx(15.0 / 25.4, abs=1e-4)
    assert float(rows[0]["around_in"]) == pytest.approx(math.pi * 84.0 / 4 / 25.4, abs=1e-4)


def test_lists_weigh_stock_and_part() -> None:
    strut = replace(strut_of("single"), construction="welded", material="316L")
    made = [Made("barrel", "barrel", "316L", 500_000.0), Made("weld arm to barrel", "weld", "316L", 1000.0)]
    rows = {r["part"]: r for r in rows_of(cut_rows(strut, made), strut)}
    barrel = rows["barrel"]
    outside, bore, length = (float(barrel[k]) for k in ("stock_outside_mm", "stock_bore_mm", "length_mm"))
    assert outside >= 84.0
    assert bore <= 54.0 - cut_list.BORING_MM
    assert length == pytest.approx(180.0 + 2 * cut_list.FACING_MM)
    # 316L weighs 8.0 kg/dm3 (EN 10088-1)
    assert float(barrel["net_weight_kg"]) == pytest.approx(0.5 * 8.0, rel=0.01)
    assert float(barrel["stock_weight_kg"]) == pytest.approx(
        math.pi / 4 * (outside**2 - bore**2) * length * 8.0e-6, rel=0.01
    )
    palm = rows["palm"]
    assert (float(palm["length_mm"]), float(palm["stock_thickness_mm"])) == (250.0, 20.0)
    parts = [r["part"] for r in rows_of(parts_rows(strut, made), strut)]
    assert "weld arm to barrel" not in parts
    assert {"barrel", "fluted rubber bearing", "nut", "washer", "countersunk bolt"} <= set(parts)


def test_saddle_table_lies_on_the_barrel() -> None:
    strut = strut_of("single")
    rows = rows_of(data_sheets.saddle_rows(strut, strut.arms[0]), strut)
    for row in rows:
        assert math.hypot(float(row["y_mm"]), float(row["z_mm"])) == pytest.approx(42.0, abs=1e-3)
        assert float(row["station_mm"]) == pytest.approx(float(row["x_mm"]) + 90.0, abs=1e-3)
    assert rows[0]["x_mm"] == rows[-1]["x_mm"]


def test_all_tables_of_a_strut() -> None:
    strut = strut_of("vee")
    made = data_sheets.data_files(strut, [])
    for content in made.values():
        table = list(csv.reader(io.StringIO(content.decode("utf-8"))))
        assert len(table) > 1
        assert len({len(row) for row in table}) == 1


@pytest.mark.parametrize("name", ["day-cruiser", "patrol-vee-pair", "coaster-steel", "work-launch-vee"])
def test_tables_of_an_inch_file_are_in_inches_and_pounds(name: str) -> None:
    """The same strut, written in either unit: the heads name it, weights are the same, bars go by eighths."""
    metric = replace(resolve(loader.load(loader.shipped()[name])).strut, file_units="mm")
    inch = replace(metric, file_units="in")
    kinds = {"barrel": "barrel", **{p.name: "palm" for p in metric.palms}}
    parts = [Made(n, kind, metric.material, 5e5) for n, kind in kinds.items()]
    there, here = data_sheets.data_files(inch, parts), data_sheets.data_files(metric, parts)
    assert there.keys() == here.keys()
    for text in there.values():
        assert not re.search(r"_mm|_kg|\d mm\b|\d kg\b", text.decode())
    for text in here.values():
        assert not re.search(r"_in,|_lb|\d in\b(?! list)|\d lb\b", text.decode())
    for table in ("parts-list", "cut-list"):
        rows, same = (
            list(csv.DictReader(io.StringIO(d[table].decode(), newline=""))) if table in d else []
            for d in (there, here)
        )
        for a, b in zip(rows, same, strict=True):
            if "backing plate" in a["part"]:  # 1 in larger all round in the one, 25 mm in the other
                continue
            for column in (c for c in a if c.endswith("_lb") and "stock" not in c and a[c]):
                assert float(a[column]) * 0.45359237 == pytest.approx(float(b[column.replace("_lb", "_kg")]), abs=1e-3)
    for row in csv.DictReader(io.StringIO(there.get("cut-list", b"").decode(), newline="")):
        if row["stock"] == "hollow bar":
            outside, bore = float(row["stock_outside_in"]), float(row["stock_bore_in"])
            assert 8 * outside == int(8 * outside)
            assert 8 * bore == int(8 * bore)
            assert 25.4 * outside >= metric.barrel.outside_mm
            assert 25.4 * (bore + cut_list.BORING_IN) <= metric.barrel.bore_mm + 1e-6
