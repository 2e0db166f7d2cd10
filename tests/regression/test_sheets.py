"""The sheets of whole struts: laid out without collision, true to the parameters, true to scale, the same every time.

References outside the project: vector algebra on the palm's plane, the CAD kernel's own hidden-line removal, PDFium's
reading of the page, ISO 2768-1 (published). Random struts come from the strategy of the property tests.
"""

from __future__ import annotations

import ctypes
import functools
import hashlib
import math
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from property.strategies import struts
from sheets_support import faults
from support import SETS, THOROUGH, codes_in, every, without_beads
from support import resolved as _resolved

from strutwright.exporters.drawing import render
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.shapes import Arc, flatten
from strutwright.exporters.drawing.sheet import Drawn, overlaps
from strutwright.exporters.sheets import (
    SheetContext,
    arrangement,
    barrel,
    common,
    render_set,
    screws,
    sheet_makers,
    tolerances,
)
from strutwright.exporters.sheets.record import inspection_record, record_rows
from strutwright.exporters.sheets.render_set import make_sheets, write_sheets
from strutwright.models import frames
from strutwright.models.resolve import resolve
from strutwright.models.solids import build
from strutwright.models.spec import Hand, PalmPlane, Strut
from strutwright.params import loader
from strutwright.params.problems import ParameterError

OWN = {
    "general-arrangement": arrangement.general_arrangement,
    "barrel-machining": barrel.barrel_machining,
    "set-screws": screws.set_screw_layout,
    "inspection-record": inspection_record,
}


def _context(name: str, hand: Hand | None = None) -> SheetContext:
    resolved = _resolved(name)
    strut = resolved.of_hand(hand or resolved.strut.identity.hand)
    digest = hashlib.sha256(loader.shipped()[name].read_bytes()).hexdigest()
    return SheetContext(resolved, strut, without_beads(strut), digest, "0.0.0")


def _kept(name: str, hand: Hand | None = None) -> SheetContext:
    """The context of a hand, with the views of its solids that were asked for."""
    return _kept_of(name, hand or _resolved(name).strut.identity.hand)


@functools.cache
def _kept_of(name: str, hand: Hand) -> SheetContext:
    return _context(name, hand)


@functools.cache
def _drawn(name: str, sheet: str, hand: Hand | None = None) -> Drawn:
    made = OWN[sheet](_kept(name, hand))
    assert made is not None
    return lay_out(made)


def _values(drawn: Drawn, view: str = "") -> list[float]:
    return [i.dim.value for i in drawn.items if i.dim is not None and (not view or i.owner == view)]


def _has(values: Iterable[float], wanted: float, within: float = 1e-6) -> bool:
    return any(abs(v - wanted) <= within for v in values)


# Layout

PICKED = every([("survey-launch", "port"), ("survey-launch", "starboard"), ("cutter-shoulder", None)], 2)


def _all_hands() -> list[tuple[str, Hand | None]]:
    return [
        (name, hand)
        for name in SETS
        for hand in ((None,) if _resolved(name).strut.identity.hand == "centre" else ("port", "starboard"))
    ]


@pytest.mark.parametrize(("name", "hand"), PICKED)
@pytest.mark.parametrize("sheet", sorted(OWN))
def test_shipped_sheets_are_clean(name: str, hand: Hand | None, sheet: str) -> None:
    page = _drawn(name, sheet, hand)
    assert faults(page) == []
    assert codes_in(" ".join(t.text for i in page.items for t in i.texts)) == []


@pytest.mark.skipif(not THOROUGH, reason="STRUTWRIGHT_THOROUGH=1 draws every sheet of every set")
@pytest.mark.parametrize(("name", "hand"), _all_hands() if THOROUGH else [])
def test_every_sheet_of_every_set_is_clean(name: str, hand: Hand | None) -> None:
    for sheet, made in make_sheets(_context(name, hand)).items():
        page = lay_out(made)
        assert faults(page) == [], sheet
        assert codes_in(" ".join(t.text for i in page.items for t in i.texts)) == [], sheet


@pytest.mark.skipif(not THOROUGH, reason="the everyday run lays out random sheets in test_sheets_parts")
@given(strut=struts(), which=st.integers(0, len(OWN) - 1))
@settings(
    max_examples=50, deadline=None, suppress_health_check=list(HealthCheck), phases=(Phase.explicit, Phase.generate)
)
def test_random_struts_lay_out_without_collision(strut: Strut, which: int) -> None:
    resolved = replace(_resolved("harbour-launch"), strut=strut)
    context = SheetContext(resolved, strut, build(strut), "0" * 64, "0.0.0")
    for name, maker in sheet_makers(strut).items():
        made = maker(context)
        if made is not None:
            assert overlaps(lay_out(made)) == [], name


# Values


@pytest.mark.parametrize(("name", "hand"), PICKED)
def test_machining_dimensions_are_the_parameters(name: str, hand: Hand | None) -> None:
    strut = _kept(name, hand).strut
    b, plane = strut.barrel, strut.palms[0].plane
    section = _values(_drawn(name, "barrel-machining", hand), "section")
    wanted = [b.length_mm, b.outside_mm, b.bore_mm]
    for end in (b.aft_end, b.forward_end):
        if end.shape != "straight":
            wanted += [end.length_mm, end.end_diameter_mm]
    for step in b.steps:
        wanted += [s for s in (step.from_station_mm, step.to_station_mm) if s > 0]
    for value in wanted:
        assert _has(section, value), value
    profile = _values(_drawn(name, "barrel-machining", hand), "profile")
    # The plane z = D - x tan(theta), y = 0, at mid-barrel and at both faces.
    for x in (-b.length_mm / 2, 0.0, b.length_mm / 2):
        assert _has(profile, plane.drop_mm - x * math.tan(math.radians(plane.pitch_deg)), 1e-4), x
    assert _has(profile, plane.pitch_deg)


@pytest.mark.parametrize(("name", "hand"), PICKED)
def test_set_screw_dimensions_are_the_parameters(name: str, hand: Hand | None) -> None:
    strut = _kept(name, hand).strut
    drawn = _drawn(name, "set-screws", hand)
    for s in strut.set_screws:
        bearing = strut.bearings[s.bearing_index]
        side = _values(drawn, f"side {s.clock_deg:.1f}")
        assert _has(side, s.station_mm)
        ends = (s.station_mm - bearing.aft_station_mm, bearing.forward_station_mm - s.station_mm)
        assert _has(side, ends[0]) or _has(side, ends[1])
        assert _has(_values(drawn, "end"), abs(s.clock_deg))
        assert _has(_values(drawn, "strip"), math.pi * strut.barrel.outside_mm * abs(s.clock_deg) / 360.0)
    assert _has(_values(drawn, "detail"), strut.set_screws[0].dimple_depth_mm)
    assert _has(_values(drawn, "detail"), strut.barrel.wall_mm)


@pytest.mark.parametrize(("name", "hand"), PICKED)
def test_arrangement_dimensions_are_the_parameters(name: str, hand: Hand | None) -> None:
    strut = _kept(name, hand).strut
    drawn = _drawn(name, "general-arrangement", hand)
    hull, p = strut.hull, strut.propeller
    side = _values(drawn, "side")
    assert _has(side, strut.barrel.length_mm)
    assert _has(side, hull.drop_square_to_shaft_mm)
    assert p.diameter_mm is not None
    assert _has(side, p.diameter_mm)
    assert _has(side, p.hub_gap_mm or math.nan)
    lines = _values(drawn, "lines")
    for value in (
        hull.drop_square_to_shaft_mm,
        hull.drop_vertical_mm,
        hull.shaft_to_waterline_deg,
        hull.shaft_to_hull_deg,
    ):
        assert _has(lines, value, 1e-4), value
    if abs(strut.palms[0].plane.tilt_deg) > 0.01:
        assert _has(_values(drawn, "true"), hull.shaft_to_palm_deg, 1e-4)
        assert _has(_values(drawn, "true"), hull.drop_square_to_hull_mm, 1e-4)
        assert _has(_values(drawn, "aft"), abs(strut.palms[0].plane.tilt_deg), 1e-4)


def test_length_over_palm_is_the_solid_s() -> None:
    # Reference: the kernel's own box round the welded palm.
    context = _kept("survey-launch", "port")
    part = context.part("palm")
    assert part is not None
    box = part.shape.BoundingBox()
    side = _values(_drawn("survey-launch", "general-arrangement", "port"), "side")
    aft = _values(_drawn("survey-launch", "general-arrangement", "port"), "aft")
    assert _has(side, box.xlen, 0.2)  # the rim is walked in steps
    assert _has(aft, box.ylen, 0.2)


def test_hands_are_told_apart() -> None:
    for hand in ("port", "starboard"):
        context = _kept("survey-launch", "port" if hand == "port" else "starboard")
        drawn = _drawn("survey-launch", "barrel-machining", "port" if hand == "port" else "starboard")
        texts = {t.text for i in drawn.items for t in i.texts}
        assert f"{hand.upper()} HAND" in texts
        # The fore end of the shaft lies toward the side of u x shaft in the palm: by the axes, not by the formula.
        axes = frames.palm_axes(replace(context.strut.palms[0], axes_deg=0.0))
        way = "port" if float(axes.v[0]) > 0 else "starboard"
        assert f"fore end to {way} along the trace, mm per 100" in texts


@pytest.mark.parametrize(("angle", "way"), [("first", -1), ("third", 1)])
def test_end_view_of_the_screws_stands_in_projection(angle: Literal["first", "third"], way: int) -> None:
    # ISO 5456-2 (published): seen from the port side the aft end lies to the right, and the view on that end stands to
    # the right of it in third angle, to the left in first.
    kept = _kept("cutter-shoulder")
    assert [s.clock_deg for s in kept.strut.set_screws] == [90.0, 90.0]
    made = screws.set_screw_layout(kept)
    assert made is not None
    made.projection = angle
    drawn = lay_out(made)
    middle = {
        owner: np.mean(
            [
                flatten(s.shape)[:, 0].mean()
                for i in drawn.items
                if i.owner == owner and i.name == "geometry"
                for s in i.strokes
            ]
        )
        for owner in ("side 90.0", "end")
    }
    assert way * (middle["end"] - middle["side 90.0"]) > 0


def test_bearings_are_held_against_the_bore_they_stand_in() -> None:
    # The set: bearings measured at 80.04 and 75.03, each with 0.011 to 0.041 of interference in a bore of its own.
    made = barrel.barrel_machining(_kept("refit-two-bores", "port"))
    rows = {row[0]: row[1:] for row in next(t for t in made.tables if t.name == "limits").rows}
    assert rows["aft bore"][1] == "80.029 / 79.999 mm"
    assert rows["forward bore"][1] == "75.019 / 74.989 mm"
    for k in (1, 2):
        assert rows[f"bearing {k}, interference (- = clearance)"][1] == "0.041 / 0.011 mm"
    words = {t.text for i in lay_out(made).items for t in i.texts}
    assert {"Ø80 +0.029/-0.001", "Ø75 +0.019/-0.011"} <= words
    assert "wall (15)" in words  # (110 - 80) / 2
    record = {row[0]: row[1:4] for row in record_rows(_kept("refit-two-bores", "port"))}
    assert record["aft bore, aft, athwart"] == ("80", "79.999", "80.029")
    assert record["forward bore, forward, athwart"] == ("75", "74.989", "75.019")
    assert record["bearing 1, interference (- = clearance)"][1:] == ("0.011", "0.041")
    layout = screws.set_screw_layout(_kept("refit-two-bores", "port"))
    assert layout is not None
    depth = {row[0]: row[8] for row in layout.tables[0].rows}
    assert depth == {"1": "15", "2": "15", "3": "17.5", "4": "17.5"}


def test_heel_is_recorded_as_it_is_drawn() -> None:
    record = {row[0]: row[1:4] for row in record_rows(_kept("yawl-with-heel"))}
    # ISO 286-1 (published), over 30 to 50: H7 +25/0, H8 +39/0 micrometres.
    assert record["heel, running bore"] == ("30.3", "30.3", "30.339")
    assert record["heel, boss for the bush"] == ("38.3", "38.3", "38.325")
    assert record["heel, centre below the shaft line"] == ("340", "339", "341")


@pytest.mark.parametrize("name", every(["cutter-shoulder", "survey-launch"], 2))
def test_every_sheet_asks_the_same_of_a_palm(name: str) -> None:
    context = _kept(name, None if name != "survey-launch" else "starboard")
    frames_: dict[str, set[str]] = {"flatness": set(), "position": set()}
    for kind in ("barrel-machining", "palm-drilling"):
        made = sheet_makers(context.strut)[kind](context)
        assert made is not None
        for item in lay_out(made).items:
            for what, found in frames_.items():
                # The pattern as a whole, from bore and end face, has a zone of its own; on an inch sheet the axis of
                # the barrel's outside has a position (ASME Y14.5-2018 knows no coaxiality).
                if context.inch and (kind, what) == ("barrel-machining", "position"):
                    continue
                if item.name == f"tolerance {what}" and "B" not in {t.text for t in item.texts}:
                    found.add(item.texts[0].text)
    for row in record_rows(context):
        if "flatness" in row[0]:
            frames_["flatness"].add(row[3])
        if row[0].startswith("palm, hole "):
            frames_["position"].add(row[3])
    card = sheet_makers(context.strut)["press-card"](context)
    if card is not None:
        recheck = next(t for t in card.tables if t.name == "recheck")
        frames_["flatness"].add(recheck.rows[0][1].removesuffix(" at most"))
    assert {k: len(v) for k, v in frames_.items()} == {"flatness": 1, "position": 1}, frames_


# Where the barrel lies along the palm


PLACED = ["harbour-launch", "canal-tender", "survey-launch"] if not THOROUGH else list(loader.shipped())


@functools.cache
def _of(name: str, kind: str) -> Drawn:
    ctx = _kept(name, _resolved(name).strut.identity.hand)
    made = sheet_makers(ctx.strut)[kind](ctx)
    assert made is not None
    return lay_out(made)


@pytest.mark.parametrize("name", every(PLACED, 3))
def test_barrel_is_placed_along_the_palm_on_every_sheet(name: str) -> None:
    # Vector algebra on the palm's axes: the aft end of the bore's axis, less the palm's zero.
    context = _kept(name, _resolved(name).strut.identity.hand)
    strut, palm = context.strut, context.strut.palms[0]
    half = strut.barrel.length_mm / 2
    plane = frames.plane_axes(palm.plane.drop_mm, palm.plane.pitch_deg, palm.plane.tilt_deg, palm.axes_deg)
    away = np.array((-half, 0.0, 0.0)) - np.array(palm.zero_mm)
    u, v = float(away @ plane.u), float(away @ plane.v)
    assert abs(float((np.array(palm.zero_mm) - plane.origin) @ plane.n)) < 1e-9  # the zero lies on the hull face
    along = half + palm.zero_mm[0]
    profile = _of(name, "barrel-machining")
    label = next(
        i
        for i in profile.items
        if i.dim is not None and i.owner == "profile" and any("ZERO" in t.text for t in i.texts)
    )
    assert label.dim is not None
    assert label.dim.value == pytest.approx(along, abs=1e-6)
    assert "±" in label.texts[0].text
    palm_sheet = _values(_of(name, "palm-drilling"), "water face")
    assert _has(palm_sheet, abs(u))
    if abs(v) > 0.05:
        assert _has(palm_sheet, abs(v))
    record = {row[0]: row[1:4] for row in record_rows(context)}
    word = common.palm_label(palm, strut) or "palm"
    per = 25.4 if context.unit == "in" else 1.0
    nominal, low, high = (float(c) * per for c in record[f"{word}, zero forward of the aft face, along the shaft"])
    assert nominal == pytest.approx(along, abs=0.02)
    assert low < nominal < high
    athwart = float(record[f"{word}, zero to port of the bore's axis"][0]) * per
    assert athwart == pytest.approx(palm.zero_mm[1], abs=0.02)
    if strut.construction == "welded":
        made = sheet_makers(context.strut)["cut-list-and-jig"](context)
        assert made is not None
        rows = {row[0]: row[1:] for row in next(t for t in made.tables if t.name == "jig").rows}
        assert float(rows["aft face: forward of the palm's zero (u)"][0]) * per == pytest.approx(u, abs=0.02)
        assert float(rows["aft face: to port of the palm's zero (v)"][0]) * per == pytest.approx(v, abs=0.02)
        assert _has(_values(_of(name, "cut-list-and-jig"), "jig plan"), abs(u))


@pytest.mark.parametrize("name", every(PLACED, 3))
def test_holes_are_held_to_bore_and_end_face(name: str) -> None:
    frames_ = [[t.text for t in i.texts] for i in _of(name, "palm-drilling").items if i.name == "tolerance position"]
    assert len(frames_) == 2
    whole = next(f for f in frames_ if len(f) == 4)
    among = next(f for f in frames_ if len(f) == 2)
    assert whole[1:] == ["P", "A", "B"]  # hull face, bore's axis, barrel's aft face
    assert among[1:] == ["P"]
    assert float(whole[0].strip("Ø")) > float(among[0].strip("Ø"))
    datums = {t.text for i in _of(name, "palm-drilling").items if i.name.startswith("datum") for t in i.texts}
    assert datums == {"P"}  # no edge is a datum
    assert {"A", "B"} <= {
        t.text for i in _of(name, "barrel-machining").items if i.name.startswith("datum") for t in i.texts
    }
    ctx = _kept(name, _resolved(name).strut.identity.hand)
    made = sheet_makers(ctx.strut)["palm-drilling"](ctx)
    assert made is not None
    table = next(t for t in made.tables if t.name == "holes")
    for k, head in enumerate(table.columns):
        if "edge" in head:
            assert all(row[k].startswith("(") for row in table.rows), head


@pytest.mark.parametrize("name", every(PLACED, 3))
def test_heights_that_follow_from_drop_and_angle_are_in_brackets(name: str) -> None:
    context = _kept(name, _resolved(name).strut.identity.hand)
    palm, half = context.strut.palms[0], context.strut.barrel.length_mm / 2
    rise = math.tan(math.radians(palm.plane.pitch_deg))
    heights = {
        i.dim.value: i.texts[0].text
        for i in _of(name, "barrel-machining").items
        if i.dim is not None and i.owner == "profile" and "FACE" in i.texts[0].text
    }
    assert sorted(heights) == pytest.approx(sorted(palm.plane.drop_mm - x * rise for x in (-half, half)), abs=1e-6)
    for text in heights.values():
        assert text.startswith("("), text
        assert text.endswith("FACE)"), text  # over which face it stands


# Set-up


def _turned(v: np.ndarray[Any, Any], axis: np.ndarray[Any, Any], angle_deg: float) -> np.ndarray[Any, Any]:
    a = math.radians(angle_deg)
    return np.asarray(v * math.cos(a) + np.cross(axis, v) * math.sin(a) + axis * (axis @ v) * (1 - math.cos(a)))


@pytest.mark.parametrize(("pitch", "tilt"), [(12.0, 20.4), (12.0, -20.4), (9.0, 0.0), (-3.0, 14.0), (0.0, -8.0)])
def test_two_turns_bring_the_bore_level(pitch: float, tilt: float) -> None:
    plane = PalmPlane(drop_mm=350.0, pitch_deg=pitch, tilt_deg=tilt)
    made = common.set_up(plane)
    axes = frames.plane_axes(plane.drop_mm, pitch, tilt)
    # On the machine: table x along the trace, y to port, z up along the palm's normal.
    shaft = np.array([axes.u[0], axes.v[0], axes.n[0]])
    x, y = np.eye(3)[:2]
    once = _turned(shaft, x, made.trace_turn_deg)  # right-handed about the trace: port edge up
    assert once[1] == pytest.approx(0.0, abs=1e-12)
    twice = _turned(once, y, made.pitch_deg)  # fore end down for a positive pitch
    assert twice == pytest.approx(x, abs=1e-12)
    port_edge = _turned(y, x, made.trace_turn_deg)
    assert math.copysign(1.0, made.trace_turn_deg) * port_edge[2] >= 0.0


@pytest.mark.parametrize(("pitch", "tilt"), [(12.0, 20.4), (12.0, -20.4), (9.0, 0.0), (-3.0, 14.0)])
def test_bar_heights_are_distances_from_the_plane(pitch: float, tilt: float) -> None:
    made = common.set_up(PalmPlane(drop_mm=350.0, pitch_deg=pitch, tilt_deg=tilt))
    axes = frames.plane_axes(350.0, pitch, tilt)
    for x in (-105.0, 0.0, 105.0):
        assert made.height_mm(x) == pytest.approx(float((axes.origin - np.array([x, 0, 0])) @ axes.n), abs=1e-9)
    fall = made.height_mm(-105.0) - made.height_mm(105.0)
    assert fall / 210.0 == pytest.approx(math.sin(math.radians(made.true_deg)), abs=1e-12)
    flat = np.array([1.0, 0, 0]) - axes.n[0] * axes.n
    assert math.tan(math.radians(made.skew_deg)) == pytest.approx(
        float(flat @ axes.v) / float(flat @ axes.u), abs=1e-12
    )


def test_general_tolerances_are_iso_2768_1_m() -> None:
    # ISO 2768-1 table 1, class m (published): over 30 to 120: 0.3; over 120 to 400: 0.5; over 6 to 30: 0.2.
    context = _kept("survey-launch", "port")
    got = [tolerances.general_tolerance_mm(context, v) for v in (6.0, 30.0, 120.0, 400.0, 1000.0, 1500.0)]
    assert got == [0.1, 0.2, 0.3, 0.5, 0.8, 1.2]


def test_strip_is_seen_from_outside() -> None:
    # With forward to the right and the eye outside, up is outward x forward.
    for clock in (0.0, 70.0, 200.0):
        up = np.cross(frames.radial(clock), np.array([1.0, 0.0, 0.0]))
        assert up == pytest.approx(frames.radial(clock + 90.0), abs=1e-12)
    context = _kept("survey-launch", "port")
    strut, drawn = context.strut, _drawn("survey-launch", "set-screws", "port")
    shapes = [s.shape for i in drawn.items if i.owner == "strip" and i.name == "geometry" for s in i.strokes]
    low = min(float(flatten(s)[:, 1].min()) for s in shapes)
    left = min(float(flatten(s)[:, 0].min()) for s in shapes)
    holes = [s for s in shapes if isinstance(s, Arc) and s.full]
    k, per = drawn.scale, math.pi * strut.barrel.outside_mm / 360.0
    zero = next(t for i in drawn.items if i.owner == "strip" for t in i.texts if t.text == "0° hull").box().centre[1]
    for s in strut.set_screws:
        x, y = left + k * s.station_mm, zero + k * per * s.clock_deg
        assert any(math.dist(h.centre, (x, y)) < 0.6 for h in holes)  # the label is centred on its line by its capitals
    assert low < zero


# Hidden lines


def _boxes_on_page(pdf: bytes) -> list[tuple[float, float]]:
    """Width and height (mm) of every path of the first page, by its points."""
    document = pypdfium2.PdfDocument(pdf)
    page = document[0]
    sizes = []
    x, y, at, mm = ctypes.c_float(), ctypes.c_float(), pdfium.FS_MATRIX(), 25.4 / 72.0
    for i in range(pdfium.FPDFPage_CountObjects(page.raw)):
        handle = pdfium.FPDFPage_GetObject(page.raw, i)
        if pdfium.FPDFPageObj_GetType(handle) != pdfium.FPDF_PAGEOBJ_PATH:
            continue
        pdfium.FPDFPageObj_GetMatrix(handle, at)
        points = []
        for k in range(pdfium.FPDFPath_CountSegments(handle)):
            pdfium.FPDFPathSegment_GetPoint(pdfium.FPDFPath_GetPathSegment(handle, k), x, y)
            points.append((at.a * x.value * mm, at.d * y.value * mm))
        size = np.ptp(np.array(points), axis=0)
        sizes.append((float(size[0]), float(size[1])))
    document.close()
    return sizes


def test_paper_is_true_to_scale() -> None:
    # The developed outside is a rectangle, barrel length by pi times the outside: as good as a scale bar, both ways.
    context = _kept("survey-launch", "port")
    made = screws.set_screw_layout(context)
    assert made is not None
    made.sizes, made.scales = ("A2",), (0.5,)
    drawn = lay_out(made)
    assert (drawn.width_mm, drawn.height_mm) == (594.0, 420.0)
    sizes = _boxes_on_page(render.pdf_bytes([drawn]))
    b = context.strut.barrel
    wanted = (b.length_mm * drawn.scale, math.pi * b.outside_mm * drawn.scale)
    assert any(abs(w - wanted[0]) < 0.05 and abs(h - wanted[1]) < 0.05 for w, h in sizes)


@pytest.mark.skipif(not THOROUGH, reason="the other sheet tests hold the two writers every day")
def test_revisions_and_old_dxf_by_choice(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """ISO 7200 leaves the revisions to a table of their own; R12 is $ACADVER AC1009, audited by ezdxf."""
    import ezdxf

    text = loader.shipped()["harbour-launch"].read_text(encoding="utf-8") + (
        "\ndrawing: {dxf: R12, revisions: [{revision: '0', change: Draft, date: 2026-10-01, by: AD},"
        " {revision: A, change: 'Palm 14 mm thick, was 12', date: 2026-11-25, by: AD}]}\n"
    )
    resolved = resolve(loader.loads(text))
    kept = _kept("harbour-launch")
    context = SheetContext(resolved, resolved.strut, kept.built, "0" * 64, "0.0.0")
    drawn = lay_out(make_sheets(context)["palm-drilling"])
    assert overlaps(drawn) == []
    made = make_sheets(context)
    few = dict(every(list(made.items()), 3))
    monkeypatch.setattr(render_set, "make_sheets", lambda _: few)
    files = write_sheets(tmp_path, context)
    names = [n for n in files if n.endswith(".dxf")]
    assert len(names) == len(few)
    for ending in (".svg", ".png"):
        assert sum(n.endswith(ending) for n in files) == len(names)
    (pdf,) = (n for n in files if n.endswith(".pdf"))
    assert len(pypdfium2.PdfDocument((tmp_path / pdf).read_bytes())) == len(names)
    for name in names:
        doc = ezdxf.readfile(tmp_path / name)
        assert doc.dxfversion == "AC1009"
        assert not doc.audit().has_errors
        words = [e.dxf.text for e in doc.modelspace().query("TEXT")]
        assert {"Palm 14 mm thick, was 12", "Draft", "2026-10-01"} <= set(words), name
    with pytest.raises(ParameterError, match=r"not the last of drawing\.revisions"):
        resolve(loader.loads(text.replace("revision: A, change", "revision: B, change")))


def test_inch_sheets_tell_slopes_per_foot_and_welds_in_fractions() -> None:
    inch, metric = (replace(_kept("survey-launch", "port")) for _ in range(2))
    said = inch.resolved.said
    inch = replace(
        inch,
        resolved=replace(
            inch.resolved, said=said.model_copy(update={"drawing": said.drawing.model_copy(update={"units": "in"})})
        ),
    )
    # 3/4 in per foot is 3.576 degrees: atan(0.75 / 12)
    assert (common.slope(3.5763, inch), common.slope_unit(inch)) == ("0.750", "in per foot")
    assert (common.slope(3.5763, metric), common.slope_unit(metric)) == ("6.25", "mm per 100")
    assert [common.weld_size(inch, 25.4 * leg) for leg in (0.25, 0.3125, 1.125)] == ["1/4", "5/16", "1 1/8"]
    assert common.weld_size(metric, 6.0) == "6"
