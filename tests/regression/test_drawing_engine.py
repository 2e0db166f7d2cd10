"""The sheet engine, checked against published standards, plane geometry, and programs that are not ours.

Standards quoted from memory are said to be so. Reference programs: Pillow (FreeType) for text,
the CAD kernel's own properties.
"""

from __future__ import annotations

import math
import random
from dataclasses import replace
from typing import Literal

import numpy as np
import pytest
from drawing_support import TITLE, bracket_sheet
from PIL import ImageFont

from strutwright.exporters.drawing.curves import SeenCurve
from strutwright.exporters.drawing.dims import DimSizes
from strutwright.exporters.drawing.figures import Figures, Label
from strutwright.exporters.drawing.fit import place_view
from strutwright.exporters.drawing.items import Collision, Item, Stroke
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.projection import FRONT, RIGHT, TOP, Viewpoint, project, section
from strutwright.exporters.drawing.shapes import (
    Arc,
    Ellipse,
    Line,
    Poly,
    Shape,
    Text,
    between,
    bounds,
    circle,
    flatten,
    from_vertices,
    hatch,
    union,
)
from strutwright.exporters.drawing.sheet import SIZES_MM, Drawn, Sheet, SheetFitError, overlaps, scale_text
from strutwright.exporters.drawing.style import STYLES
from strutwright.exporters.drawing.symbols import projection_symbol
from strutwright.exporters.drawing.text import font_size, text_width
from strutwright.exporters.drawing.view import View
from strutwright.exporters.fonts import FONT_FILE

# Text


@pytest.mark.parametrize("text", ["Ø80 H7 (+0.030/0)", "120 ±0.2", "WATER FACE", "(10)", "4× R8", "90°"])
def test_text_width_is_what_freetype_measures(text: str) -> None:
    font = ImageFont.truetype(str(FONT_FILE), 2000, layout_engine=ImageFont.Layout.BASIC)
    high = -font.getbbox("H", anchor="ls")[1]
    # FreeType rounds each advance to whole pixels at this size: 1 in 1458 per letter.
    assert text_width(text, 3.5) == pytest.approx(font.getlength(text) * 3.5 / high, rel=2e-3)
    assert font_size(3.5) == pytest.approx(2000 * 3.5 / high, rel=1e-3)


@pytest.mark.parametrize("text", ["Ø80 H7 (+0.030/0)", "gjpqy,;()[]", "120 ±0.2 |", "WATER_FACE"])
def test_text_box_holds_the_ink_freetype_draws(text: str) -> None:
    font = ImageFont.truetype(str(FONT_FILE), 2000, layout_engine=ImageFont.Layout.BASIC)
    k = 3.5 / -font.getbbox("H", anchor="ls")[1]
    left, top, right, bottom = (v * k for v in font.getbbox(text, anchor="ls"))
    box = Text(text, (0.0, 0.0), 3.5).box()
    slack = 0.35  # brackets and slashes rise a little over the capitals; half a line gap
    assert box.x0 - 0.1 <= left
    assert box.x1 + 0.1 >= right
    assert box.y0 - slack <= -bottom
    assert box.y1 + slack >= -top


# Figures: ISO 129-1 drops trailing zeros of mm; ASME Y14.5 keeps inch zeros and drops the leading one
# (both from memory).
def test_figures() -> None:
    mm, inch = Figures(), Figures("in")
    assert mm.length(50.0) == "50"
    assert mm.length(12.5) == "12.5"
    assert inch.length(25.4) == "1.000"
    assert inch.length(12.7) == ".500"
    # ISO 286-1: 28 H7 is +21/0 micrometres (published table, nominal over 18 to 30).
    assert Label(prefix="Ø", fit="H7", deviations=(0.021, 0.0)).text(mm, 28.0) == "Ø28 H7 (+0.021/0)"
    assert Label(deviations=(0.1, -0.1)).text(mm, 45.0) == "45 ±0.1"
    assert Label(deviations=(0.2, 0.05)).text(mm, 45.0) == "45 +0.2/+0.05"
    assert Label(reference=True).text(mm, 25.4) == "(25.4)"
    assert mm.angle(12.5, (0.25, -0.25)) == "12.5° ±0.25°"
    # ASME Y14.5 (from memory): in inches size and tolerance have as many decimals; 30 micrometres are .0012 in.
    assert inch.length(50.8, (0.030, 0.0), "H7") == "2.0000 H7 (+.0012/-.0000)"
    assert inch.length(161.925, (0.254, -0.254)) == "6.375 ±.010"
    assert (mm.length(-1e-4), inch.length(-1e-4), inch.length(-2.54)) == ("0", ".000", "-.100")


# Shapes


def test_bounds_agree_with_fine_flattening() -> None:
    rng = random.Random(7)
    for _ in range(40):
        turn, sweep = rng.uniform(0, 7), rng.uniform(0.2, math.tau)
        shapes: list[Shape] = [
            Arc((rng.uniform(-5, 5), 3.0), rng.uniform(1, 9), turn, sweep),
            Ellipse((1.0, 2.0), (rng.uniform(1, 8), rng.uniform(-5, 5)), rng.uniform(0.1, 1), turn, sweep),
        ]
        for shape in shapes:
            points, box = flatten(shape, 1e-6), bounds(shape)
            assert [box.x0, box.y0] == pytest.approx(points.min(axis=0).tolist(), abs=2e-5)
            assert [box.x1, box.y1] == pytest.approx(points.max(axis=0).tolist(), abs=2e-5)


def test_bulge_is_the_tangent_of_a_quarter_of_the_sweep() -> None:
    # DXF definition: bulge 1 is a half circle, counter-clockwise from the first point (published, DXF reference).
    half, back = from_vertices([(10, 0, 1.0), (-10, 0, 0.0)]).pieces()
    assert isinstance(half, Arc)
    assert [*half.centre, half.radius] == pytest.approx([0, 0, 10], abs=1e-12)
    assert bounds(half).y1 == pytest.approx(10)
    assert isinstance(back, Line)


def test_a_shape_is_cut_between_two_of_its_parameters() -> None:
    assert between(Line((1.0, 2.0), (1.0, 12.0)), 3.0, 5.0) == Line((1.0, 5.0), (1.0, 7.0))
    assert between(Arc((0.0, 0.0), 5.0), -0.5, 0.5) == Arc((0.0, 0.0), 5.0, math.tau - 0.5, 1.0)
    oval = Ellipse((0.0, 0.0), (5.0, 0.0), 0.4)
    assert between(oval, 1.0, 2.0) == Ellipse((0.0, 0.0), (5.0, 0.0), 0.4, 1.0, 1.0)
    square = Poly(((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)), True)
    assert between(square, 0.0, 4.0) == square
    assert between(square, 2.5, 3.5) == Poly(((5.0, 10.0), (0.0, 10.0), (0.0, 5.0)))
    assert between(square, 1.25, 1.75) == Line((10.0, 2.5), (10.0, 7.5))


def test_a_straight_curve_that_runs_back_on_itself_is_drawn_as_far_as_it_reaches() -> None:
    """A circle of 20 mm seen edge-on, from 30 degrees before its end to 30 after: the line there is 20 (1 - cos 30)
    long."""
    angle = np.linspace(-math.pi / 6.0, math.pi / 6.0, 25)
    places = np.column_stack([20.0 * np.cos(angle), np.zeros(25), 20.0 * np.sin(angle)])
    start = float(places[0, 0])
    curve = SeenCurve(places, Line((start, 0.0), (20.0, 0.0)), places[:, 0] - start)
    for first, last in ((0.0, 24.0), (6.0, 24.0), (0.0, 18.0)):
        piece = curve.piece(first, last)
        assert isinstance(piece, Line)
        assert (piece.a[0], piece.b[0]) == pytest.approx((start, 20.0))
    assert bounds(curve.piece(0.0, 6.0)).x1 == pytest.approx(20.0 * math.cos(math.pi / 12.0))


def test_an_outline_without_the_points_that_repeat() -> None:
    given = [(0, 0), (4, 0), (4, 0), (4, 3), (0, 0)]
    assert from_vertices(given).points == ((0.0, 0.0), (4.0, 0.0), (4.0, 3.0))
    assert from_vertices(given, closed=False).points == ((0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 0.0))


@pytest.mark.parametrize("angle", [0.0, 30.0, 45.0, 110.0])
def test_hatching_covers_the_area(angle: float) -> None:
    # Cavalieri: total length of equidistant lines times their distance tends to the area.
    outer, inner = flatten(circle((3, 4), 40), 1e-3)[:-1], flatten(circle((5, 2), 16), 1e-3)[:-1]
    lines = hatch([outer, inner], 0.05, angle)
    total = sum(math.dist(line.a, line.b) for line in lines) * 0.05
    assert total == pytest.approx(math.pi / 4 * (40**2 - 16**2), rel=1e-3)


# Projection and section


def test_front_view_of_the_bracket(bracket_part: object) -> None:
    seen = project(bracket_part, FRONT)
    box = union(bounds(s) for s in seen.visible)
    assert (box.x0, box.y0, box.x1, box.y1) == pytest.approx((-60, 0, 60, 60), abs=1e-3)
    circles = [s for s in seen.visible if isinstance(s, Arc) and s.full]
    assert len(circles) == 1
    assert [*circles[0].centre, circles[0].radius] == pytest.approx([0, 45, 4], abs=1e-6)
    # The bore is hidden from the front: two lines at x = +-14 over the whole height.
    hidden = {round(s.a[0], 3) for s in seen.hidden if isinstance(s, Line) and abs(s.a[0] - s.b[0]) < 1e-6}
    assert {-14.0, 14.0} <= hidden
    assert seen.seconds > 0


def test_nothing_is_drawn_twice(bracket_part: object) -> None:
    for viewpoint in (FRONT, TOP, RIGHT):
        seen = project(bracket_part, viewpoint)
        lines = [s for s in (*seen.visible, *seen.smooth, *seen.hidden) if isinstance(s, Line)]
        for i, a in enumerate(lines):
            way = np.subtract(a.b, a.a) / math.dist(a.a, a.b)
            for b in lines[:i]:
                off = [abs(float(way[0] * (p[1] - a.a[1]) - way[1] * (p[0] - a.a[0]))) for p in (b.a, b.b)]
                if max(off) > 1e-4:
                    continue
                t = sorted(float(np.dot(np.subtract(p, a.a), way)) for p in (b.a, b.b))
                overlap = min(t[1], math.dist(a.a, a.b)) - max(t[0], 0.0)
                assert overlap < 2e-3, (viewpoint, a, b)


def test_oblique_circle_is_an_ellipse_of_known_ratio() -> None:
    import cadquery as cq

    tilt = math.radians(35.0)
    solid = cq.Workplane("XY").circle(20).extrude(50)
    seen = project(solid, Viewpoint((0.0, -math.cos(tilt), math.sin(tilt)), (1.0, 0.0, 0.0)))
    ellipses = [s for s in seen.visible if isinstance(s, Ellipse) and s.sweep > 6.2]
    # A circle seen at elevation a is an ellipse with minor / major = sin a.
    assert len(ellipses) == 1
    assert math.hypot(*ellipses[0].major) == pytest.approx(20, abs=1e-6)
    assert ellipses[0].ratio == pytest.approx(math.sin(tilt), abs=1e-9)


def test_section_area_equals_the_kernel_s(bracket_part: object) -> None:
    import cadquery as cq

    cut = section(bracket_part, Viewpoint((1, 0, 0), (0, 1, 0), (3.0, 0.0, 0.0)))
    # Reference: the volume of a slice 0.01 thick about the plane, by the kernel, over its thickness.
    slab = cq.Workplane("XY").box(0.01, 400, 400).translate((3.0, 0, 0)).val()
    reference = bracket_part.val().intersect(slab).Volume() / 0.01  # type: ignore[attr-defined]
    total = 0.0
    for loop in cut.loops:
        x, y = loop[:, 0], loop[:, 1]
        total += abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2.0
    assert total == pytest.approx(reference, rel=2e-3)
    with pytest.raises(ValueError, match="does not meet"):
        section(bracket_part, Viewpoint((1, 0, 0), (0, 1, 0), (500.0, 0.0, 0.0)))


# Sheets


def test_sheet_sizes_are_those_of_the_standards() -> None:
    # ISO 5457 / ISO 216 (published): each size is half the next. ASME Y14.1 (published): 8.5 x 11 to 22 x 34 in.
    millimetres = {"A4": (210.0, 297.0), "A3": (420.0, 297.0), "A2": (594.0, 420.0), "A1": (841.0, 594.0)}
    assert {name: SIZES_MM[name] for name in millimetres} == millimetres
    inches = {"ANSI A": (8.5, 11), "ANSI B": (17, 11), "ANSI C": (22, 17), "ANSI D": (34, 22)}
    for name, (w, h) in inches.items():
        assert SIZES_MM[name] == pytest.approx((w * 25.4, h * 25.4))


def test_projection_symbols() -> None:
    # ISO 5456-2 (published): third angle has the end view left of the cone, small end toward it; first angle the end
    # view right of the cone, beside the large end.
    for name, sign in (("third", 1), ("first", -1)):
        strokes = projection_symbol((0, 0), 10, "third" if name == "third" else "first")
        ring = next(s.shape for s in strokes if isinstance(s.shape, Arc))
        cone = flatten(next(s.shape for s in strokes if s.kind == "symbol" and not isinstance(s.shape, Arc)))
        assert sign * (float(cone[:, 0].mean()) - ring.centre[0]) > 0
        near = cone[np.abs(cone[:, 0] - ring.centre[0]) < np.abs(cone[:, 0] - ring.centre[0]).min() + 1e-6]
        height = float(np.ptp(near[:, 1]))
        assert height == pytest.approx(5.0 if name == "third" else 10.0)


def _geometry(drawn: Drawn, owner: str) -> Item:
    return next(i for i in drawn.items if i.owner == owner and i.name == "geometry")


def _outline(drawn: Drawn, owner: str) -> tuple[float, float, float, float]:
    box = union(bounds(s.shape) for s in _geometry(drawn, owner).strokes if s.kind == "visible")
    return box.x0, box.y0, box.x1, box.y1


@pytest.mark.parametrize("projection", ["first", "third"])
def test_views_stand_in_projection(bracket_part: object, projection: str) -> None:
    drawn = lay_out(bracket_sheet(bracket_part, projection=projection, sizes=("A2",)))
    front, top, side = (_outline(drawn, n) for n in ("front", "top", "section"))
    # Aligned: the top view shares the front's x, the side view its y.
    assert (top[0], top[2]) == pytest.approx((front[0], front[2]), abs=1e-6)
    assert (side[1], side[3]) == pytest.approx((front[1], front[3]), abs=1e-6)
    if projection == "third":
        assert top[1] > front[3]
        assert side[0] > front[2]
    else:
        assert top[3] < front[1]
        assert side[2] < front[0]


def test_sheet_is_clean_and_the_detector_sees_planted_faults(bracket_drawn: Drawn) -> None:
    drawn = bracket_drawn
    assert overlaps(drawn) == []
    text = next(t for i in drawn.items for t in i.texts if t.text == "120 ±0.2")
    x, y = text.box().centre
    planted = {
        "text on text": Item(name="planted", owner="test", texts=(Text("X", (x, y), 3.5),)),
        "line through text": Item(
            name="planted", owner="test", strokes=(Stroke(Line((x, y - 9), (x, y + 9)), "thin"),)
        ),
        "in block": Item(
            name="planted", owner="test", texts=(Text("X", (drawn.frame.x1 - 30, drawn.frame.y0 + 20), 3.5),)
        ),
        "outside": Item(name="planted", owner="test", strokes=(Stroke(Line((5.0, 5.0), (9.0, 5.0)), "thin"),)),
    }
    for what, item in planted.items():
        found = overlaps(replace(drawn, items=(*drawn.items, item)))
        assert what in {c.what for c in found}, what
        assert all("planted" in c.first for c in found)
    line = next(i.line for i in drawn.items if i.line is not None)
    along = Item(name="planted", owner="test", strokes=(Stroke(Line((line.a[0], line.a[1] + 0.3), line.b), "thin"),))
    assert "line on line" in {c.what for c in overlaps(replace(drawn, items=(*drawn.items, along)))}


def test_hidden_by_a_table_is_seen(bracket_drawn: Drawn) -> None:
    front = _geometry(bracket_drawn, "front").box()
    table = next(i for i in bracket_drawn.items if i.name == "table holes")
    moved = table.moved(front.centre[0] - table.box().x0, front.centre[1] - table.box().y0)
    found: list[Collision] = overlaps(
        replace(bracket_drawn, items=(*bracket_drawn.items, replace(moved, name="table moved")))
    )
    assert any(c.what == "in block" and "front" in c.second for c in found)


def test_random_plates_are_laid_out_without_collision() -> None:
    rng = random.Random(2026)
    for _ in range(6):
        plate = View("plate", "front")
        w, h = rng.uniform(80, 260), rng.uniform(60, 160)
        plate.add_outline([(0, 0), (w, 0), (w, h), (0, h)])
        places = [(rng.uniform(10, w - 10), rng.uniform(10, h - 10)) for _ in range(4)]
        for i, p in enumerate(places):
            plate.circle(p, 6)
            plate.horizontal((0, 0), p, side="below" if i % 2 else "above")
            plate.vertical((0, 0), p, side="left" if i % 2 else "right")
        plate.horizontal((0, 0), (w, 0))
        plate.vertical((0, 0), (0, h))
        plate.diameter(places[0], 6, Label(prefix="4×"))
        sheet = Sheet(TITLE, [plate], sizes=("A3", "A2", "A1"))
        assert overlaps(lay_out(sheet)) == []


def test_what_cannot_fit_is_refused_with_reasons(bracket_part: object) -> None:
    with pytest.raises(SheetFitError, match=r"Demonstration bracket.*smaller scale.*A4 1 : 1"):
        lay_out(bracket_sheet(bracket_part, sizes=("A4",)))
    twice = Sheet(TITLE, [View("a"), View("a")])
    with pytest.raises(ValueError, match="used twice"):
        lay_out(twice)


def test_title_block_leaves_the_approving_person_blank(bracket_drawn: Drawn) -> None:
    block = next(i for i in bracket_drawn.items if i.name == "title block")
    assert block.box().width <= 180.0 + 1e-9  # ISO 7200: at most 180 mm (from memory)
    head = next(t for t in block.texts if t.text == "Approved by")
    cell_x, cell_y = head.at
    inside = [t for t in block.texts if abs(t.at[0] - cell_x) < 35.0 and cell_y - 7.0 < t.at[1] < cell_y]
    assert inside == []
    shown = {t.text for t in block.texts}
    for value in (TITLE.title, TITLE.identification, TITLE.date, TITLE.material, "PORT", "1 : 2", "mm", "WATER FACE"):
        assert value in shown
    # ISO 7200 mandatory fields (published list).
    for field in ("Legal owner", "Identification number", "Date of issue", "Sheet", "Title", "Approved by", "Creator",
                  "Document type"):  # fmt: skip
        assert field in shown


def test_scales_are_written_as_iso_5455() -> None:
    assert [scale_text(s) for s in (1.0, 0.5, 0.2, 2.0, 10.0, 0.02)] == [
        "1 : 1", "1 : 2", "1 : 5", "2 : 1", "10 : 1", "1 : 50"]  # fmt: skip


def test_short_centre_marks_are_drawn_through() -> None:
    # The dot of a chain line beside a hole's number would read as a decimal point.
    view = View("holes", "front")
    view.circle((0.0, 0.0), 8.0)
    view.circle((60.0, 0.0), 40.0)
    kinds = {s.kind for i in place_view(view, 1.0, DimSizes(), Figures()) for s in i.strokes}
    assert {"mark", "centre"} <= kinds
    assert not STYLES["mark"].pattern


def test_angles_keep_outside_their_reach() -> None:
    view = View("clock", "front")
    view.add([Arc((0.0, 0.0), 20.0)])
    view.label((0.0, 27.0), "in the way")
    view.angle((0.0, 0.0), (0.0, 20.0), (-20.0, 0.0), reach_mm=27.0, late=True, inward=False)
    arcs = [
        s.shape
        for i in place_view(view, 1.0, DimSizes(), Figures())
        if i.name == "angle"
        for s in i.strokes
        if isinstance(s.shape, Arc)
    ]
    assert arcs
    assert all(arc.radius > 25.0 for arc in arcs)


def test_narrow_angle_is_written_past_the_side_named() -> None:
    places = {}
    sides: tuple[Literal["first", "second"], ...] = ("first", "second")
    for outer in sides:
        view = View("narrow", "front")
        view.add([Line((0.0, 0.0), (0.0, 40.0)), Line((0.0, 0.0), (3.0, 40.0)), Line((-1.0, 35.0), (4.0, 45.0))])
        view.angle((0.0, 0.0), (3.0, 40.0), (0.0, 40.0), reach_mm=40.0, outer=outer)
        item = next(i for i in place_view(view, 1.0, DimSizes(), Figures()) if i.name == "angle")
        places[outer] = item.texts[0].box().centre[0]
    assert places["second"] < 0.0 < places["first"]


def test_font_is_free_to_ship() -> None:
    licence = FONT_FILE.with_name("DejaVuSansCondensed-LICENSE.txt").read_text(encoding="utf-8")
    assert "Permission is hereby granted, free of charge" in licence
