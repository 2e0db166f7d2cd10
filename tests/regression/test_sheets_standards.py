"""What a sheet says of itself: the standards by which it is read, general tolerances, grid, classes of threads, places
of inch sizes, datum A; and that no line of a view is drawn twice.

Forms of the standards are from memory where they say so; the figures are worked out here.
"""

from __future__ import annotations

import itertools
import math
import re

import numpy as np
import pytest
from repeated_lines import repeated
from sheets_support import LEAST_MM, context, resolved
from support import SETS, every, few

from strutwright.exporters.drawing.blocks import frame_item, revision_item, title_block
from strutwright.exporters.drawing.figures import Figures, Label
from strutwright.exporters.drawing.items import Stroke
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.once import once
from strutwright.exporters.drawing.shapes import Arc, Line, Poly, bounds, flatten
from strutwright.exporters.drawing.sheet import Revision, TitleBlock, overlaps
from strutwright.exporters.sheets import barrel
from strutwright.exporters.sheets.record import record_rows
from strutwright.params import tables


@pytest.mark.parametrize("name", SETS)
def test_a_sheet_says_by_what_it_is_read(name: str) -> None:
    """mm by ISO 8015 and what it stands on, inches by ASME Y14.5-2018; general tolerances of lengths and angles, and
    the grade or class of what is not machined (names of the standards: handbook of the trade; classes ISO 13920)."""
    source = resolved(name)
    ctx = context(source.strut, source)
    block = ctx.sheet("Part", "Part drawing", []).title
    inch = ctx.unit == "in"
    assert ("ASME Y14.5-2018" in block.standards) is inch
    assert ("ISO 8015" in block.standards) is not inch
    told = block.general_tolerance
    if inch:
        assert re.search(r"±\.010 in, angles ±\.5°", told)
    else:
        assert "ISO 2768-1 m" in told  # lengths and angles are both in that part
    made = {"cast": r"as cast ISO 8062 CT\d+$", "welded": r"as welded ISO 13920-BF$", "turned": r"^[^;]*$"}
    assert re.search(made[ctx.strut.construction], told)


@pytest.mark.parametrize("short", [False, True])
@pytest.mark.parametrize("scale", [0.5, None])
@pytest.mark.parametrize("long", [1, 4])
def test_no_letter_of_the_title_block_is_small_or_on_another(short: bool, scale: float | None, long: int) -> None:
    title = TitleBlock(
        title="Barrel, machining " * long,
        identification="HL-35-01-P" * long,
        date="2026-01-31",
        owner="Example yard of the harbour " * long,
        supplementary_title="Harbour launch strut " * long,
        creator="A. Maker " * long,
        reference="strutwright 0.0.0, parameters 0123456789ab",
        material="CuAl10Ni5Fe4 " * long,
        mass="123.45 kg",
        finish="pickled and passivated " * long,
        general_tolerance="machined ±.010 in, angles ±.5°; as cast ISO 8062 CT13",
        standards="ISO 8015; ISO 129-1, 1101, 5459, 21920-1; welds ISO 2553 A",
        hand="STARBOARD (-S)",
        face="WATER FACE " * long,
        short=short,
    )
    block = title_block(title, (0.0, 0.0), "ANSI C", scale, "first", Figures())
    revised = revision_item([Revision("A", "First issue of the drawing " * 4 * long, "2026-01-31", "A. Maker")])
    assert min(t.height_mm for i in (block, revised) for t in i.texts) >= LEAST_MM
    boxes = [t.box() for t in block.texts]
    for k, box in enumerate(boxes):
        assert block.block is not None
        assert block.block.holds(box)
        assert not any(box.hits(other) for other in boxes[:k]), block.texts[k]
        # Nothing runs through a text either.
        for stroke in block.strokes:
            along = np.linspace(0.0, 1.0, 400)[:, None]
            steps = np.vstack([p + (q - p) * along for p, q in itertools.pairwise(flatten(stroke.shape, 0.1))])
            within = (steps > (box.x0 + 0.05, box.y0 + 0.05)) & (steps < (box.x1 - 0.05, box.y1 - 0.05))
            assert not within.all(axis=1).any(), block.texts[k]


@pytest.mark.parametrize(("ansi", "size"), [(False, (420.0, 297.0)), (True, (558.8, 431.8))])
def test_the_grid_runs_as_its_standard_has_it(ansi: bool, size: tuple[float, float]) -> None:
    """ISO 5457: A and 1 meet in the upper left corner. ASME Y14.1: numbers go from right to left, letters from below
    up, so that they meet in the lower right one (both from memory)."""
    _, frame = frame_item(*size, ansi=ansi)
    at: dict[str, list[tuple[float, float]]] = {}
    for text in frame.texts:
        at.setdefault(text.text, []).append(text.middle())
    numbers = sorted((int(t) for t in at if t.isdigit()), key=lambda n: min(x for x, _ in at[str(n)]))
    letters = sorted((t for t in at if t.isalpha()), key=lambda t: -max(y for _, y in at[t]))
    assert numbers == sorted(numbers, reverse=ansi)
    assert letters == sorted(letters, reverse=ansi)
    assert all(len(places) == 2 for places in at.values())  # on both sides


@pytest.mark.parametrize(
    ("written", "called"),
    [
        ("M8x1.25", "M8x1.25-6H"),
        ("M8", "M8x1.25-6H"),
        ("1/4-20", "1/4-20 UNC-2B"),
        ("1/4-28", "1/4-28 UNF-2B"),
        ("5/16-18 UNC", "5/16-18 UNC-2B"),
        ("M9x1", "M9x1-6H"),
    ],
)
def test_a_tapped_hole_is_called_with_its_class(written: str, called: str) -> None:
    """ISO 965-1 and ASME B1.1, classes of common use (from memory)."""
    assert tables.tapped(written) == called


@pytest.mark.parametrize("name", [n for n in SETS if resolved(n).strut.set_screws])
def test_a_thread_on_paper_has_its_class(name: str) -> None:
    source = resolved(name)
    ctx = context(source.strut, source)
    asked = {r.code: r for r in record_rows(ctx)}["screws.thread"]
    classes = {"6H" if s.thread.startswith("M") else "2B" for s in source.strut.set_screws}
    assert asked.what.endswith(f"thread gauge {' or '.join(sorted(classes))}")


def test_an_odd_sixteenth_has_four_places_and_its_limits_with_it() -> None:
    """1/16 in is .0625 in: of limits in three places a hole .5625 +.010 would be .011 wide."""
    inch = Figures("in")
    for sixteenths in range(1, 200):
        told = inch.length(25.4 * sixteenths / 16)
        assert float(told) == pytest.approx(sixteenths / 16, abs=1e-12)
        assert len(told.partition(".")[2]) == (4 if sixteenths % 2 else 3)
    assert Label(deviations=(0.254, -0.254)).text(inch, 25.4 * 1.0625) == "1.0625 ±.0100"
    like = inch.like(25.4 * 0.5625)
    assert [like.length(25.4 * v) for v in (0.5625, 0.5725)] == [".5625", ".5725"]
    assert inch.like(25.4 * 0.5) == inch
    assert Figures("in", 3).length(25.4 * 0.0625) == ".063"  # where places are asked for, they are kept
    assert Figures().length(25.4 / 16) == "1.59"


@pytest.mark.parametrize("name", [n for n in SETS if resolved(n).strut.file_units == "in"])
def test_limits_of_the_record_are_as_far_apart_as_asked(name: str) -> None:
    """Each general limit is ten thousandths from its size, to the last place."""
    source = resolved(name)
    ctx = context(source.strut, source)
    rows = [r for r in record_rows(ctx) if r.code.endswith(".holes") or r.code == "barrel.length"]
    assert rows
    for row in rows:
        wide = 0.010 if row.code.endswith(".holes") else 0.020
        assert float(row.upper) - float(row.lower) == pytest.approx(wide, abs=1e-9), row


@pytest.mark.parametrize("name", every(few(), 2))
def test_datum_a_and_what_is_asked_of_an_axis_stand_in_line_with_the_size(name: str) -> None:
    """ISO 5459 and ISO 1101, ASME Y14.5 alike (from memory): a datum triangle or a frame's leader that goes on the
    dimension line is of the axis. The signs of coaxiality and symmetry are not in ASME Y14.5-2018: there it is
    position."""
    source = resolved(name)
    ctx = context(source.strut, source)
    views = [barrel._barrel_section(ctx)]
    page = lay_out(ctx.sheet("Barrel, machining", "Part drawing", views, scales=(1.0, 0.5, 0.2)))
    assert overlaps(page) == repeated(page) == []
    section = [i for i in page.items if i.owner == "section"]
    sizes = [i for i in section if i.dim is not None and i.line is not None and i.texts[0].text.count("Ø")]
    # On the part, not on a test bar.
    (letter,) = [i for i in page.items if i.name == "datum A"]
    foot = np.array(letter.fills[0].points)
    bore = next(i for i in sizes if i.row == "bore1.gauged")
    axis = np.mean([f.points[0] for f in bore.fills], axis=0)[0]
    assert foot[:, 0].mean() == pytest.approx(axis, abs=1e-6)
    ends = [f.points[0][1] for f in bore.fills]
    assert min(abs(y - e) for y in foot[:, 1] for e in ends) < 1e-6
    inch = page.figures.unit == "in"
    (frame,) = [i for i in section if i.row == "barrel.coaxiality"]
    assert frame.name == f"tolerance {'position' if inch else 'coaxiality'}"
    assert inch is not any("coaxiality" in i.name for i in page.items)
    tip = frame.fills[0].points[0]
    outside = [f.points[0] for i in sizes for f in i.fills]
    assert min(math.dist(tip, end) for end in outside) < 1e-6


def _length(strokes: list[Stroke]) -> float:
    return sum(float(np.hypot(*np.diff(flatten(s.shape, 0.01), axis=0).T).sum()) for s in strokes)


def test_what_lies_on_a_line_is_left_out() -> None:
    square = Poly(((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)), True)
    there_and_back = Poly(((0.0, 20.0), (10.0, 21.0), (0.0, 20.0)), True)
    strokes = [
        Stroke(Line((4.0, 0.0), (14.0, 0.0)), "phantom"),  # 4 of it beyond the square
        Stroke(square, "visible"),
        Stroke(square, "visible"),
        Stroke(Line((10.0, 10.0), (10.0, 0.0)), "visible"),
        Stroke(Line((0.0, 5.0), (10.0, 5.0)), "visible"),
        Stroke(there_and_back, "smooth"),
        Stroke(Arc((0.0, 0.0), 3.0), "visible"),
        Stroke(Arc((0.0, 0.0), 3.0), "hidden"),
        Stroke(Line((4.0, 0.0), (14.0, 0.0)), "centre"),  # no line of the part
    ]
    left = once(strokes)
    wanted = 4.0 + 40.0 + 10.0 + math.hypot(10.0, 1.0) + 6.0 * math.pi + 10.0
    assert _length(left) == pytest.approx(wanted, rel=1e-3)
    assert [s.kind for s in left] == ["phantom", "visible", "visible", "smooth", "visible", "centre"]
    assert bounds(left[0].shape).x0 == pytest.approx(10.0)
    assert once(left) == left


def test_the_arcs_of_an_outline_are_drawn_once_and_its_sides_where_they_are_new() -> None:
    slot = Poly(((0.0, 0.0), (20.0, 0.0), (20.0, 8.0), (0.0, 8.0)), True, (0.0, 1.0, 0.0, 1.0))
    longer = Poly(((0.0, 0.0), (30.0, 0.0), (30.0, 8.0), (0.0, 8.0)), True, (0.0, 1.0, 0.0, 1.0))
    left = once([Stroke(slot, "visible"), Stroke(slot, "visible"), Stroke(longer, "visible")])
    # Of the longer one 10 mm of either side and its far end are new.
    assert _length(left) == pytest.approx(40.0 + 8.0 * math.pi + 20.0 + 4.0 * math.pi, rel=1e-3)
    assert left[0] == Stroke(slot, "visible")
    ring = Poly(((-5.0, 0.0), (5.0, 0.0)), True, (1.0, 1.0))  # both its pieces have the same ends
    assert once([Stroke(ring, "phantom")]) == [Stroke(ring, "phantom")]


def test_lines_that_only_meet_or_lie_side_by_side_stay() -> None:
    rng = np.random.default_rng(7)
    strokes = []
    for _ in range(300):
        (x, y), turn, long = rng.uniform(-200, 200, 2), rng.uniform(0, math.tau), rng.uniform(1, 80)
        c, s = math.cos(turn), math.sin(turn)
        a, b = (x, y), (x + long * c, y + long * s)
        strokes.append(Stroke(Line(a, b), "visible"))
        strokes.append(Stroke(Line(b, (b[0] + 5 * c, b[1] + 5 * s)), "visible"))  # goes on from it
        strokes.append(Stroke(Line((a[0] - 0.3 * s, a[1] + 0.3 * c), (b[0] - 0.3 * s, b[1] + 0.3 * c)), "hidden"))
    assert once(strokes) == strokes
