"""Words on patterns and templates of every shipped set: nothing runs through them, and they say what a shop needs.

The extents of a text are those of its ink, taken from the outlines of the shipped font's letters by fontTools; lines
are read back from the written DXF by ezdxf, and distances are measured by shapely. None of it is the project's own.
"""

from __future__ import annotations

import io
import math
from functools import cache
from typing import Any

import ezdxf
import ezdxf.path
import numpy as np
import pytest
import shapely
from fontTools.ttLib import TTFont
from support import HOUSINGS, SETS, STRUTS, every, hands_of, of_every_kind, templates_of

from strutwright.exporters.drawing.dxfdoc import dxf_bytes
from strutwright.exporters.files import people
from strutwright.exporters.files.cutfile import CutFile
from strutwright.exporters.files.naming import finished
from strutwright.exporters.files.patterns import pattern_files
from strutwright.exporters.fonts import FONT_FILE
from strutwright.models import frames

CLEAR_MM = 0.3
"""Least white between letters and a line: the width of a thin line and a little; common practice, no source."""
LEAST_MM = 2.5
"""ISO 3098-1: the smallest nominal height of lettering that is commonly used (value from memory)."""


WAYS = {
    "strut": ("FWD", "LEADING EDGE"),
    "shaft_hanger": ("FWD", "LEADING EDGE"),
    "flanged_housing": ("FWD", "UP"),
    "let_in_housing": ("FWD", "UP"),
    "rudder_shoe": ("DOWN", "FORWARD"),
}
"""What tells the way a file lies, by kind of part: a shoe's barrel, its boss, stands on end."""


@cache
def files(name: str) -> dict[str, tuple[CutFile, Any]]:
    """Every pattern and template file of every hand of a set, with the DXF as read back."""
    made: dict[str, tuple[CutFile, Any]] = {}
    for strut in hands_of(name):
        for kind, cuts in (("pattern", pattern_files(strut)), ("template", templates_of(strut))):
            for file, cut in cuts.items():
                made[f"{kind} {finished(strut, file)}"] = (
                    cut,
                    ezdxf.read(io.StringIO(dxf_bytes(cut.document()).decode())),
                )
    return made


@cache
def letters() -> tuple[dict[int, tuple[float, float, float, float, float]], float]:
    """Advance, left, right, low and high of every letter, and the height of a capital, in font units."""
    font = TTFont(str(FONT_FILE))
    glyphs, advance = font["glyf"], font["hmtx"].metrics
    found = {}
    for code, name in font.getBestCmap().items():
        glyph = glyphs[name]
        inked = (glyph.xMin, glyph.xMax, glyph.yMin, glyph.yMax) if glyph.numberOfContours else (math.nan,) * 4
        found[code] = (advance[name][0], *inked)
    return found, float(found[ord("H")][4])


def ink(text: Any, per_unit: float) -> Any:
    """The rectangle round a text's ink, turned as it stands, in mm."""
    table, capital = letters()
    x, rows = 0.0, []
    for c in text.dxf.text:
        step, left, right, low, high = table[ord(c)]
        rows.append((x + left, x + right, low, high))
        x += step
    x0, x1, y0, y1 = (f(np.array(rows)[:, i]) for i, f in enumerate((np.nanmin, np.nanmax, np.nanmin, np.nanmax)))
    box = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]) * (text.dxf.height / capital)
    c, s = math.cos(math.radians(text.dxf.rotation)), math.sin(math.radians(text.dxf.rotation))
    at = np.array((text.dxf.insert.x, text.dxf.insert.y))
    return shapely.Polygon((box @ np.array([(c, s), (-s, c)]) + at) * per_unit)


def collisions(cut: CutFile, document: Any) -> list[str]:
    """What is nearer than CLEAR_MM to the letters of each text."""
    per_unit = 1.0 if cut.unit == "mm" else 25.4
    space = document.modelspace()
    texts = [(t.dxf.text, ink(t, per_unit)) for t in space.query("TEXT")]
    lines = [
        (
            f"{e.dxftype()} on {e.dxf.layer}",
            shapely.LineString([(p.x * per_unit, p.y * per_unit) for p in ezdxf.path.make_path(e).flattening(0.01)]),
        )
        for e in space
        if e.dxftype() != "TEXT"
    ]
    tree = shapely.STRtree([shape for _, shape in (*lines, *texts)])
    names = [*(name for name, _ in lines), *(repr(words) for words, _ in texts)]
    found = []
    for k, (words, box) in enumerate(texts):
        near = tree.query(box, predicate="dwithin", distance=CLEAR_MM)
        for other in sorted(near.tolist()):
            if other < len(lines) or other > len(lines) + k:
                found.append(f"{words!r} and {names[other]} at {box.centroid.x:.0f}, {box.centroid.y:.0f}")
    return found


@pytest.mark.parametrize("name", of_every_kind(SETS, 5))
def test_no_words_run_into_lines_or_into_each_other(name: str) -> None:
    found = [f"{file}: {what}" for file, (cut, document) in files(name).items() for what in collisions(cut, document)]
    assert not found, "\n".join(found)


@pytest.mark.parametrize("name", of_every_kind(SETS, 5))
def test_every_file_says_what_a_shop_needs(name: str) -> None:
    strut = hands_of(name)[0]
    inch = strut.file_units == "in"
    unit, insunits, bars = ("in", 1, ("4 in", "12 in")) if inch else ("mm", 4, ("100 mm", "300 mm"))
    for file, (_, document) in files(name).items():
        space = document.modelspace()
        texts = list(space.query("TEXT"))
        words = " ".join(t.dxf.text for t in texts)
        hand = next(h for h in ("port", "starboard", "centre") if f"-{h}" in file.partition("-finished-size-")[0])
        number = strut.identity.drawing_number + {"port": "-P", "starboard": "-S", "centre": ""}[hand]
        for wanted in (
            f"File {file.partition(' ')[2]}",
            f"{number}, revision {strut.identity.revision}",
            "scale 1:1",
            f"unit {unit}",
            "no allowance for contraction, kerf or machining",
            "Face: ",
            "Measure the check bars before use",
            "guidance only",
            f"{hand.upper()} hand"
            if hand != "centre"
            else "CENTRE LINE strut"
            if len(strut.arms) > 1
            else "CENTRE LINE, no hand",
        ):
            assert wanted in words, (file, wanted)
        assert document.header["$INSUNITS"] == insunits
        for bar in bars if file.startswith("pattern") else bars[:1]:
            assert sum(t.dxf.text == f"CHECK {bar}" for t in texts) == 2, (file, bar)  # lying and standing
        assert {t.dxf.layer for t in texts} <= {"TEXT", "CHECK"}, file
        assert {e.dxf.layer for e in space if e.dxftype() != "TEXT"} >= {"CHECK"}
        assert not any(
            e.closed is False
            for e in space.query("LWPOLYLINE")
            if e.dxf.layer in ("CUT_OUTER", "CUT_INNER", "TEMPLATE")
        ), file
        per_unit = 1.0 if unit == "mm" else 25.4
        assert min(t.dxf.height for t in texts) * per_unit >= LEAST_MM - 1e-9, file
        if not any(word in file for word in ("gauges", "barrel-aft-end", "-ribs")):
            assert any(way in words for way in WAYS[strut.family]), file
        if "drill-jig" in file or "hull-template" in file or "backing-plate" in file:
            assert sum(t.dxf.text == "FWD" for t in texts) == 1, file


@pytest.mark.parametrize(
    ("name", "file", "wanted"),
    [
        ("canal-tender", "template palm-hull-template", {"yard"}),
        ("canal-tender", "template set-screw-strip", {"machinist"}),
        ("deadwood-cutter", "template base-template", {"yard"}),
        ("creek-yawl", "template keel-template", {"yard"}),
        ("creek-yawl", "template locking-screw-strip", {"machinist"}),
        ("keel-sleeve-bedded", "template structure-hole", {"yard"}),
        ("shaft-log-hanger", "template foot-bed-template", {"yard"}),
        ("yole-shaft-hanger", "pattern foot-shim", {"designer", "pattern maker", "yard"}),
    ],
)
def test_a_file_goes_to_those_who_work_by_it(name: str, file: str, wanted: set[str]) -> None:
    """Who drills a hull, a bed or a keel is the yard; who drills a barrel is the machinist (common practice)."""
    kind, _, part = file.partition(" ")
    strut, folder = hands_of(name)[0], {"template": "templates", "pattern": "finished-size"}[kind]
    (own,) = (made for made in files(name) if made.endswith(f"-{part}"))
    assert set(people.takers(f"{folder}/{own.partition(' ')[2]}.dxf", strut)) == wanted


def drilled(document: Any, per_unit: float) -> dict[int, tuple[float, float]]:
    """Where the hole of each number is: the number's nearest drilled circle."""
    space = document.modelspace()
    centres = [(c.dxf.center.x * per_unit, c.dxf.center.y * per_unit) for c in space.query('CIRCLE[layer=="DRILL"]')]
    found = {}
    for text in space.query("TEXT"):
        if text.dxf.text.isdigit():
            middle = ink(text, per_unit).centroid
            found[int(text.dxf.text)] = min(centres, key=lambda c: math.dist(c, (middle.x, middle.y)))
    assert len(set(found.values())) == len(centres)
    return found


@pytest.mark.parametrize("name", HOUSINGS)
def test_a_hole_of_a_flange_is_the_same_on_its_face_and_on_the_base(name: str) -> None:
    """Both are seen with up upward: from aft port is to the left."""
    made = files(name)
    for strut in hands_of(name):
        flange = strut.flange
        assert flange is not None
        assert flange.plane.looks == "forward"
        holes = {h.number: pytest.approx((h.v_mm, h.u_mm), abs=1e-6) for h in flange.holes}
        for file in (f"pattern {finished(strut, 'flange')}-free-face", f"template {finished(strut, 'base')}-template"):
            assert drilled(made[file][1], 1.0) == holes
            texts = {t.dxf.text: ink(t, 1.0).centroid for t in made[file][1].modelspace().query("TEXT")}
            port, starboard = (strut.identity.side(s).upper() for s in ("port", "starboard"))
            assert texts[port].x < 0.0 < texts[starboard].x


@pytest.mark.parametrize("name", every(STRUTS, 5))
def test_a_hole_s_number_means_the_same_hole_on_every_face_and_mirrored_on_the_other_hand(name: str) -> None:
    """Seen from the hull with forward to the right, port is up; from the water it is down (right-handed axes)."""
    by_hand: list[dict[int, tuple[float, float]]] = []
    for strut in hands_of(name):
        made = files(name)
        per_unit = 1.0 if strut.file_units == "mm" else 25.4
        for palm in strut.palms:
            axes = frames.palm_axes(palm)
            # u forward, v to port, n up into the hull: the view against n has u to the right and v up
            assert axes.u[0] > 0.0
            assert axes.v[1] > 0.0
            assert np.cross(axes.u, axes.v) == pytest.approx(axes.n)
            stem = finished(strut, palm.name)
            hull = {h.number: (h.u_mm, h.v_mm) for h in palm.holes}
            for file, side in (
                ("pattern {}-hull-face", 1.0),
                ("pattern {}-water-face", -1.0),
                ("template {}-hull-template", 1.0),
                ("template {}-drill-jig", -1.0),
                ("template {}-backing-plate", 1.0),
            ):
                if (found := made.get(file.format(stem))) is None:
                    assert "backing" in file
                    continue
                places = drilled(found[1], per_unit)
                assert sorted(places) == sorted(hull)
                for number, (u, v) in hull.items():
                    assert places[number] == pytest.approx((u, side * v), abs=1e-6), (file, number)
                texts = {t.dxf.text: ink(t, per_unit).centroid for t in found[1].modelspace().query("TEXT")}
                port, starboard = {
                    "centre": ("PORT", "STARBOARD"),
                    "port": ("PORT, OUTBOARD", "STARBOARD, INBOARD"),
                    "starboard": ("PORT, INBOARD", "STARBOARD, OUTBOARD"),
                }[strut.identity.hand]
                assert (texts[port].y - texts[starboard].y) * side > 0.0
        by_hand.append({h.number: (h.u_mm, h.v_mm) for h in strut.palms[0].holes})
    if len(by_hand) == 2 and len(hands_of(name)[0].palms) == 1:
        assert by_hand[1] == {n: pytest.approx((u, -v)) for n, (u, v) in by_hand[0].items()}
