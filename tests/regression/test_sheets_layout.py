"""Where things stand on a sheet: dimension lines, arrows, frames, balloons and edges that are seen."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from sheets_support import STRUTS, context, drawn, laid, resolved, sheet
from support import SETS, every

from strutwright.exporters.drawing import blocks, dims, symbols
from strutwright.exporters.drawing.dims import DimSizes
from strutwright.exporters.drawing.figures import Figures, Label
from strutwright.exporters.drawing.fit import place_view
from strutwright.exporters.drawing.items import own_lines_through_text
from strutwright.exporters.drawing.shapes import Arc, Line, Placing
from strutwright.exporters.drawing.sheet import Drawn, Table, overlaps
from strutwright.exporters.drawing.view import Setting, View
from strutwright.exporters.fonts import FONT_FILE
from strutwright.exporters.sheets import arm as arm_sheet
from strutwright.exporters.sheets import arrangement, common
from strutwright.exporters.sheets.common import one_scale
from strutwright.models.shop.set_screws import screw_kinds, set_screw_length

SHOWN = [
    ("coaster-steel", "barrel-machining"),
    ("yawl-with-heel", "weld-assembly"),
    ("day-cruiser", "general-arrangement"),
    ("canal-tender", "palm-drilling"),
    ("sloop-with-skeg", "palm-drilling"),
    ("patrol-vee-pair", "general-arrangement"),
]


@pytest.mark.parametrize(("name", "kind"), every(SHOWN, 3))
def test_no_dimension_line_runs_far_past_its_arrows(name: str, kind: str) -> None:
    page = laid(name, kind)
    assert overlaps(page) == []
    for item in page.items:
        if item.dim is not None and item.line is not None and item.dim.kind in ("linear", "aligned"):
            past = math.dist(item.line.a, item.line.b) - item.dim.value * item.dim.scale
            assert past <= dims.FAR_MM + 1e-6, item.dim.text


@pytest.mark.parametrize(("name", "kind"), every(SHOWN, 3))
def test_arrows_and_frames_keep_clear(name: str, kind: str) -> None:
    page = laid(name, kind)
    for item in page.items:
        assert item.dim is None or item.dim.kind != "angular" or not own_lines_through_text(item), item.dim.text
        if item.block is None or not item.name.startswith(("arrow", "tolerance")):
            continue
        for other in page.items:
            if other is not item and other.owner == item.owner and other.name not in ("hatching", "title"):
                own = replace(other, block=None, dim=None)
                from strutwright.exporters.drawing.items import Occupied

                taken = Occupied(0.2)
                taken.add(replace(item, block=item.block.grown(0.5), texts=(), strokes=(), fills=(), line=None))
                assert taken.against(own) == [], (item.name, other.name)


def test_text_that_finds_no_room_goes_in_two_lines_or_on_a_leader() -> None:
    on = Setting(Placing(1.0), DimSizes(), Figures())
    label = Label(suffix="AT FORWARD FACE", reference=True)
    made = {}
    for value in (30.0, 50.0, 100.0):
        (form, *_) = dims.linear_forms(
            on.said("v", "d", "linear", label, value),
            (0.0, 0.0),
            (value, 0.0),
            direction=0.0,
            base=(0.0, 10.0),
            ends=[("end", 0.0)],
            ways=[(8.0, 8.0)],
        )
        made[value] = form
        assert form.dim is not None
        assert form.dim.text == f"({value:g} AT FORWARD FACE)"
    assert [t.text for t in made[100.0].texts] == ["(100 AT FORWARD FACE)"]
    for value in (30.0, 50.0):
        assert [t.text for t in made[value].texts] == [f"({value:g})", "AT FORWARD FACE"]
        line = made[value].line
        assert line is not None
        assert math.dist(line.a, line.b) == pytest.approx(value)
    low, high = (t.at[1] for t in reversed(made[50.0].texts))
    assert low < 10.0 < high  # one over the line, one under it
    assert all(t.at[1] > 10.0 for t in made[30.0].texts)


def test_a_force_moves_its_word_and_never_its_arrow() -> None:
    view = View("v")
    view.force((0.0, 0.0), (0.0, 20.0), "FORCE")
    forms = symbols.force("f", "v", (0.0, 0.0), (0.0, 20.0), "FORCE", text_mm=3.5)
    assert len({f.texts[0].at for f in forms}) == len(forms) > 4
    assert {f.fills[0].points[0] for f in forms} == {(0.0, 20.0)}


@pytest.mark.parametrize("name", every(["yawl-with-heel", "sloop-with-skeg", "canal-tender", "patrol-vee-pair"], 3))
def test_a_frame_is_led_to_its_hole_from_its_own_side(name: str) -> None:
    page, bolt = drawn(name, "palm-drilling"), resolved(name).strut.palms[0].bolt
    for item in page.items:
        if item.name == "tolerance position" and item.owner == "water face":
            tip = item.fills[0].points[0]
            assert item.block is not None
            # No more of the leader than the half palm on its way out, and none of it across the hole.
            (hole,) = {
                c
                for c in _holes(page, bolt.hole_mm * page.scale / 2)
                if abs(math.dist(c, tip) - bolt.hole_mm * page.scale / 2) < 1e-6
            }
            out = item.block.centre
            assert (tip[0] - hole[0]) * (out[0] - hole[0]) + (tip[1] - hole[1]) * (out[1] - hole[1]) > 0


def _holes(page: Drawn, radius: float) -> list[tuple[float, float]]:
    return [
        s.shape.centre
        for i in page.items
        if i.owner == "water face" and i.name == "geometry"
        for s in i.strokes
        if abs(getattr(s.shape, "radius", 0.0) - radius) < 1e-6
    ]


@pytest.mark.parametrize("name", every(["refit-two-bores", "pilot-vee", "coaster-steel", "day-cruiser"], 2))
def test_a_balloon_points_at_a_screw_of_its_own_line(name: str) -> None:
    """The parts list has a line for each length of set screw; the balloon of each stands on a screw of that length."""
    strut = resolved(name).strut
    ctx = context(strut, resolved(name))
    rows, balloons = common.parts_table(ctx).rows, arrangement._balloons(ctx)
    lines = [r[0] for r in rows if r[1].startswith("set screw")]
    kinds = list(screw_kinds(strut, ctx.limits).values())
    assert len(lines) == len(kinds)
    at = dict(balloons)
    for line, screws in zip(lines, kinds, strict=True):
        if line in at:
            stations = [strut.barrel.x(s.station_mm) for s in screws]
            assert min(abs(at[line][0] - x) for x in stations) < 1e-6
            assert len({set_screw_length(strut, s, ctx.limits) for s in screws}) == 1


@pytest.mark.parametrize("name", ["work-launch-vee", "workboat-common-vee", "pilot-vee", "survey-launch"])
def test_the_far_edge_of_an_arm_s_end_is_seen_where_nothing_is_before_it(name: str) -> None:
    """Solid geometry: from a place on the far rim of a plane cut the way to the eye leaves the arm's side of that
    plane, and is free, where it rises along the plane's outward normal; else it runs through the arm."""
    strut = resolved(name).strut
    for arm in strut.arms:
        it = arm_sheet._Arm(strut, arm)
        outward = it.hull.n * np.sign(it.hull.n @ it.axes.n)
        free = float(outward @ -it.axes.v)  # the eye is to starboard, square to the arm's plane
        if abs(free) < 0.05:
            continue
        view = arm_sheet._side_view(it)
        middle = 0.5 * (it.ends[0] + it.ends[1]) * it.level
        hidden = [s for s in view.strokes if s.kind == "hidden" and np.mean(np.array(s.shape.points)[:, 1]) > middle]
        assert bool(hidden) is (free < 0.0), (arm.name, free)


@pytest.mark.parametrize(
    "name", every(["coaster-steel", "cutter-shoulder", "workboat-common-vee", "harbour-launch"], 4)
)
def test_a_number_stands_by_its_own_hole(name: str) -> None:
    """On both faces the hole nearest to a number is the one of that number, by far."""
    page, holes = laid(name, "palm-drilling"), resolved(name).strut.palms[0].holes
    for face, side in (("water face", -1.0), ("hull face", 1.0)):
        shown = [i for i in page.items if i.owner == face]
        marks = {
            s.shape.centre
            for i in shown
            if i.name == "geometry"
            for s in i.strokes
            if isinstance(s.shape, Arc) and s.shape.sweep > 6.28
        }
        spots = sorted({(round(x, 6), round(y, 6)) for x, y in marks})
        written = {
            i.texts[0].text: i.texts[0] for i in shown if i.name.startswith("label ") and i.texts[0].text.isdigit()
        }
        assert len(written) == len(holes)
        found = {}
        for number, text in written.items():
            middle = np.mean(text.corners(0.0), axis=0)
            near = sorted(spots, key=lambda at, m=middle: math.dist(at, m))
            if math.dist(near[0], middle) * 1.3 > math.dist(near[1], middle):
                pytest.fail(f"{face}: {number} stands between two holes")
            found[int(number)] = near[0]
        first, last = holes[0], holes[len(holes) // 2]
        scale = math.dist(found[first.number], found[last.number]) / math.dist(
            (first.u_mm, first.v_mm), (last.u_mm, last.v_mm)
        )
        for hole in holes:
            shift = np.subtract(found[hole.number], found[first.number])
            assert shift == pytest.approx(
                (scale * (hole.u_mm - first.u_mm), side * scale * (hole.v_mm - first.v_mm)), abs=1e-3
            )


def test_a_label_with_a_side_of_its_own_goes_further_out_before_it_changes_sides() -> None:
    view = View("v")
    view.add([Line((0.0, 0.0), (3.0, 0.0))])
    view.label((0.0, 0.0), "0 %", at_deg=0.0)
    on = Setting(Placing(1.0), DimSizes(), Figures())
    (kept,) = (i for i in place_view(view, 1.0, on.sizes, on.figures) if i.name == "label 0 %")
    box = kept.texts[0].box()
    assert box.x0 > 3.0
    assert box.y0 < 0.0 < box.y1


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("canal-tender", "weld-assembly"),
        *((n, k) for n in every(SETS, 3) for k in ("palm-drilling", "arm", "set-screws", "press-card")),
    ],
)
def test_no_column_holds_but_dashes(name: str, kind: str) -> None:
    page = sheet(name, kind)
    for table in page.tables if page is not None else ():
        for head, *column in zip(table.columns, *table.rows, strict=True):
            assert set(column) != {"-"}, (table.name, head)


@pytest.mark.parametrize("name", SETS)
def test_a_record_is_not_continued_for_a_row_or_two(name: str) -> None:
    page = sheet(name, "inspection-record")
    assert page is not None
    lengths = [len(t.rows) for t in page.tables]
    assert max(lengths) - min(lengths) <= 1


@pytest.mark.parametrize("name", every(STRUTS, 3))
def test_numbers_of_the_hull_face_stand_within_the_palm(name: str) -> None:
    """On some 80 mm of paper the middle of each number lies inside the palm's outline."""
    made = sheet(name, "palm-drilling")
    assert made is not None
    view = next(v for v in made.views if v.name == "hull face")
    palm, scale = resolved(name).strut.palms[0], one_scale(view.extent().width, 100.0)
    for item in place_view(view, scale, DimSizes(3.5, 3.0), made.figures):
        if item.name.startswith("label "):
            (text,) = item.texts
            corners = np.array(text.corners())
            assert palm.outline.contains(corners.mean(axis=0) / scale, 0.0), item.name


@pytest.mark.parametrize("row_mm", [3.4, 3.6, 3.8, 3.9, 4.4, 7.5])
def test_tails_of_letters_keep_off_the_line_below(row_mm: float) -> None:
    from fontTools.ttLib import TTFont

    font = TTFont(FONT_FILE)
    shapes, names = font["glyf"], font.getBestCmap()
    high = shapes[names[ord("H")]].yMax
    tail, head = -shapes[names[ord("g")]].yMin / high, shapes[names[ord("b")]].yMax / high
    table = Table(name="a", title="", columns=("g",), rows=(("g",), ("g\ng",)), row_mm=row_mm, line_mm=3.25)
    item = blocks.table_item(table)
    lines = [stroke.shape.a[1] for stroke in item.strokes if isinstance(stroke.shape, Line)] + [0.0]
    for text in item.texts:
        foot, top = text.at[1] - tail * text.height_mm, text.at[1] + head * text.height_mm
        assert not [y for y in lines if foot - 1e-9 < y < top], (row_mm, text)
