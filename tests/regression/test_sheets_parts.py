"""Sheets of palm, arm, skeg and weld, read back from their DXF and held against the parameters, plain geometry and
standards.

Where a reference figure comes from a standard it is named, with its standing. STRUTWRIGHT_THOROUGH=1 lays out every
sheet of every shipped set and 50 random struts; the everyday run takes a part of them.
"""

from __future__ import annotations

import hashlib
import math
import os
import re
import subprocess
import sys
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from property.strategies import struts
from sheets_support import NUMERIC, cells, context, document, drawn, faults, number, resolved, sheet, table, values
from support import SETS, STRUTS, THOROUGH

from strutwright.exporters.drawing.dxfdoc import dxf_bytes
from strutwright.exporters.drawing.dxfout import sheet_document
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import overlaps
from strutwright.exporters.files.naming import finished
from strutwright.exporters.files.patterns import pattern_files
from strutwright.exporters.files.templates import template_files
from strutwright.exporters.sheets import sheet_makers
from strutwright.models.solids import build
from strutwright.models.spec import Hand, Strut


def _cases() -> list[tuple[str, str, Hand]]:
    kinds = [*NUMERIC, "skeg", "cut-list-and-jig", "weld-assembly"]
    all_of_them = [(n, k, h) for n in STRUTS for h in resolved(n).hands() for k in kinds]
    if THOROUGH:
        return all_of_them
    few = {("palm-drilling", n) for n in STRUTS[::6]} | {("skeg", n) for n in STRUTS}
    few |= {("press-card", n) for n in STRUTS[::6]}
    few |= {("arm", n) for n in STRUTS[::6]} | {
        ("palm-drilling-2", "pilot-vee"),
        ("cut-list-and-jig", "canal-tender"),
        ("weld-assembly", "survey-launch"),
        ("weld-assembly", "yawl-with-heel"),
    }
    return [(n, k, h) for n, k, h in all_of_them if (k, n) in few and h == resolved(n).strut.identity.hand]


@pytest.mark.parametrize(("name", "kind", "hand"), _cases())
def test_shipped_sheets_have_no_overlap(name: str, kind: str, hand: Hand) -> None:
    own = None if hand == resolved(name).strut.identity.hand else hand
    if sheet(name, kind, own) is None:
        strut = resolved(name).of_hand(hand)
        assert (
            (kind == "skeg" and strut.skeg is None)
            or (kind in ("cut-list-and-jig", "weld-assembly", "press-card") and strut.construction == "cast")
            or (kind == "palm-drilling-2" and len(strut.palms) == 1)
            or (kind in ("arm-2", "press-card-2") and (len(strut.arms) == 1 or kind == "press-card-2"))
        )
        return
    assert faults(drawn(name, kind, own)) == []
    audit = document(name, kind, own).audit()
    assert audit.errors == []


@settings(
    max_examples=50 if THOROUGH else 2,
    deadline=None,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@given(struts())
def test_random_sheets_have_no_overlap(strut: Strut) -> None:
    strut = replace(strut, material="316L" if strut.construction == "welded" else "C95800")
    ctx = context(strut, resolved("harbour-launch"))
    kinds = [*NUMERIC, "skeg"]
    if THOROUGH and strut.construction == "welded":
        ctx.built = build(replace(strut, weld=replace(strut.weld, beads=False)))
        kinds += ["cut-list-and-jig", "weld-assembly"]
    for kind in kinds:
        maker = sheet_makers(strut).get(kind)
        made = None if maker is None else maker(ctx)
        if made is not None:
            assert faults(lay_out(made)) == [], kind


# --- palm -------------------------------------------------------------------------------------------------------------


def _hole_circles(name: str, hand: Hand | None = None) -> np.ndarray:
    """Centres (n, 2) in mm of the through holes drawn on the water face, mean taken off."""
    strut = resolved(name).strut
    doc, scale = document(name, "palm-drilling", hand), drawn(name, "palm-drilling", hand).scale
    per = 25.4 if doc.header["$INSUNITS"] == 1 else 1.0
    radius = strut.palms[0].bolt.hole_mm / 2
    at = [
        (c.dxf.center.x * per / scale, c.dxf.center.y * per / scale)
        for c in doc.modelspace().query("CIRCLE")
        if c.dxf.layer == "OUTLINE" and abs(c.dxf.radius * per / scale - radius) < 1e-6
    ]
    points = np.array(sorted(at))
    return np.asarray(points - points.mean(axis=0))


@pytest.mark.parametrize("name", ["canal-tender", "coastal-pair", "cutter-shoulder", "workboat-common-vee"])
def test_holes_are_drawn_where_the_parameters_say(name: str) -> None:
    # On the water face with forward to the right starboard is up: x = u, y = -v.
    palm = resolved(name).strut.palms[0]
    wanted = np.array([(h.u_mm, -h.v_mm) for h in palm.holes])
    wanted = wanted - wanted.mean(axis=0)
    got = _hole_circles(name)
    assert len(got) == len(wanted)
    apart = np.linalg.norm(got[:, None] - wanted[None], axis=2)
    assert apart.min(axis=1).max() < 1e-5
    assert sorted(apart.argmin(axis=1).tolist()) == list(range(len(wanted)))


def test_the_other_hand_is_the_mirror_image() -> None:
    port, starboard = (_hole_circles("coastal-pair", hand) for hand in ("port", "starboard"))
    mirrored = np.array(sorted((port * (1.0, -1.0)).tolist()))
    assert np.array(sorted(starboard.tolist())) == pytest.approx(mirrored, abs=1e-6)
    rows = {hand: table("coastal-pair", "palm-drilling", "holes", hand).rows for hand in ("port", "starboard")}
    for a, b in zip(rows["port"], rows["starboard"], strict=True):
        assert a[0] == b[0]
        assert number(a[1]) == number(b[1])
        assert number(a[2]) == -number(b[2])
    for hand in ("port", "starboard"):
        texts = {e.dxf.text for e in document("coastal-pair", "palm-drilling", hand).modelspace().query("TEXT")}
        assert f"{hand.upper()} HAND" in texts
        assert "WATER FACE" in texts


def _dense(rim: np.ndarray, step_mm: float = 0.5) -> np.ndarray:
    """Points no farther apart than a step along a closed polygon."""
    pieces = []
    for a, b in zip(rim, np.roll(rim, -1, axis=0), strict=True):
        n = max(math.ceil(math.dist(a, b) / step_mm), 1)
        pieces.append(a + np.linspace(0.0, 1.0, n, endpoint=False)[:, None] * (b - a))
    return np.vstack(pieces)


@pytest.mark.parametrize("name", SETS)
def test_hole_tables_hold_the_parameters(name: str) -> None:
    strut = resolved(name).strut
    per, tolerance = (25.4, 6e-4) if strut.file_units == "in" else (1.0, 6e-3)
    for k, palm in enumerate(strut.palms):
        rows = table(name, "palm-drilling" if k == 0 else "palm-drilling-2", "holes").rows
        heads = table(name, "palm-drilling", "holes").columns
        assert ("depth" in heads) == bool(palm.bolt.head.recess)
        rim = palm.outline.polyline(0.001)
        for hole, row in zip(palm.holes, rows, strict=True):
            u, v = hole.u_mm / per, hole.v_mm / per
            aft, side = rim[:, 0].min() / per, rim[:, 1].min() / per
            wanted = (hole.number, u, v, u - aft, v - side, math.hypot(u, v))
            assert [number(c) for c in row[:6]] == pytest.approx(wanted, abs=tolerance)
            # Radius and angle lead back to u and v: what compasses and a protractor give.
            turn = math.radians(number(row[6]))
            back = (number(row[5]) * math.cos(turn), number(row[5]) * math.sin(turn))
            assert back == pytest.approx((u, v), abs=tolerance + 1e-4 * math.hypot(u, v))
            assert number(row[7]) == pytest.approx(palm.bolt.hole_mm / per, abs=tolerance)
            # Many points along the outline are another way to the edge distance; 0.5 mm apart they miss it by 0.002.
            gap = np.hypot(*(_dense(rim) - (hole.u_mm, hole.v_mm)).T).min() / per
            assert number(row[-1]) == pytest.approx(gap, abs=0.01 / per + tolerance)
            assert row[-1].startswith("(")


@pytest.mark.parametrize("name", ["harbour-launch", "coastal-pair", "day-cruiser"])
def test_palm_sizes_on_the_sheet(name: str) -> None:
    palm = resolved(name).strut.palms[0]
    found = list(values(name, "palm-drilling").values())
    rim = palm.outline.polyline(0.001)
    bolt = palm.bolt
    # A countersink of full angle a is (D - d) / (2 tan(a/2)) deep: plane geometry.
    deep = (bolt.head_diameter_mm - bolt.hole_mm) / 2 / math.tan(math.radians(bolt.head_angle_deg / 2))
    wanted = [
        float(np.ptp(rim[:, 0])),
        float(np.ptp(rim[:, 1])),
        palm.thickness_mm,
        bolt.hole_mm,
        bolt.head_diameter_mm,
        bolt.head_angle_deg,
        deep,
        palm.thickness_mm - deep,
    ]
    if palm.bevel_width_mm:
        wanted += [palm.bevel_width_mm, palm.bevel_height_mm]
    for size in wanted:
        assert min(abs(v - size) for v in found) < 2e-3, size
    # Fixed by the head standards (published): 90 degrees for metric heads, 82 for inch ones.
    assert bolt.head_angle_deg == (82.0 if resolved(name).strut.file_units == "in" else 90.0)
    assert f"{bolt.head_angle_deg:g}°" in values(name, "palm-drilling")


@pytest.mark.parametrize("name", ["coastal-pair", "refit-two-bores", "survey-launch"])
def test_trace_and_projection_are_apart_by_the_angle_on_the_sheet(name: str) -> None:
    # From the plane z = D - x tan(theta) + y tan(phi) alone: the trace lies in y = 0, the projection is x less its part
    # along the normal.
    plane = resolved(name).strut.palms[0].plane
    t, f = math.tan(math.radians(plane.pitch_deg)), math.tan(math.radians(plane.tilt_deg))
    normal = np.array([t, -f, 1.0]) / math.sqrt(1 + t * t + f * f)
    trace = np.array([1.0, 0.0, -t]) / math.hypot(1.0, t)
    ahead = np.array([1.0, 0.0, 0.0]) - normal[0] * normal
    apart = math.degrees(math.acos(float(trace @ ahead) / float(np.linalg.norm(ahead))))
    found = values(name, "palm-drilling").values()
    assert min(abs(v - apart) for v in found) < 1e-4


# --- arm --------------------------------------------------------------------------------------------------------------


def test_true_lengths_of_an_upright_arm() -> None:
    # Plate arm, no taper, no rake, palm level athwart: a line along the leading edge at x = xs + c/2 runs from the
    # barrel's crown (z = R) to the water face, z = D - x tan(theta) - t / cos(theta). Plane geometry.
    strut = resolved("canal-tender").strut
    arm, palm = strut.arms[0], strut.palms[0]
    assert (arm.rake_deg, palm.plane.tilt_deg) == (0.0, 0.0)
    assert arm.chord_barrel_mm == arm.chord_palm_mm
    theta = math.radians(palm.plane.pitch_deg)
    xs = arm.station_mm - strut.barrel.length_mm / 2
    wanted = {}
    for edge, sign in (("leading edge", 1), ("trailing edge", -1), ("on the axis, barrel to water face", 0)):
        x = xs + sign * arm.chord_barrel_mm / 2
        wanted[edge] = (
            palm.plane.drop_mm - x * math.tan(theta) - palm.thickness_mm / math.cos(theta) - strut.barrel.outside_mm / 2
        )
    rows = {r[0]: number(r[1]) for r in table("canal-tender", "arm", "lengths").rows}
    for what, long in wanted.items():
        assert rows[what] == pytest.approx(long, abs=6e-3), what
    found = values("canal-tender", "arm").values()
    for edge in ("leading edge", "trailing edge"):
        assert min(abs(v - wanted[edge]) for v in found) < 1e-4
    # Under a palm that rises aft the long point lies round the half-round trailing edge, a little off its middle, where
    # the barrel falls away: the same length tried all round that edge.
    r, tilt = arm.thickness_barrel_mm / 2, np.linspace(0.0, math.pi / 2, 20001)
    along = xs - (arm.chord_barrel_mm / 2 - r) - r * np.cos(tilt)
    crown = np.sqrt((strut.barrel.outside_mm / 2) ** 2 - (r * np.sin(tilt)) ** 2)
    long_point = (palm.plane.drop_mm - along * math.tan(theta) - palm.thickness_mm / math.cos(theta) - crown).max()
    assert rows["long point (longest line along the side)"] == pytest.approx(long_point, abs=6e-3)


@pytest.mark.parametrize("name", ["canal-tender", "day-cruiser", "harbour-launch", "coastal-pair"])
def test_sections_on_the_arm_sheet(name: str) -> None:
    strut = resolved(name).strut
    arm = strut.arms[0]
    per = 25.4 if strut.file_units == "in" else 1.0
    rows = cells(table(name, "arm", "sections"))
    assert [r["station"] for r in rows] == ["0 %", "25 %", "50 %", "75 %", "100 %"]
    for row, share in zip(rows, (0.0, 0.25, 0.5, 0.75, 1.0), strict=True):
        c = arm.chord_barrel_mm + share * (arm.chord_palm_mm - arm.chord_barrel_mm)
        t = arm.thickness_barrel_mm + share * (arm.thickness_palm_mm - arm.thickness_barrel_mm)
        shown = 6e-3 if per == 1.0 else 6e-4  # two places in mm, three in inches
        assert number(row["chord"]) == pytest.approx(c / per, abs=shown)
        assert number(row["thickness"]) == pytest.approx(t / per, abs=shown)
        # Closed forms: bar with half-round edges, ellipse; NACA Report 460 form 0.685 c t (published polynomial
        # integrated by hand: 10 (0.2969/1.5 - 0.126/2 - 0.3516/3 + 0.2843/4 - 0.1015/5)).
        area = {
            "flat": (c - t) * t + math.pi * t * t / 4,
            "ellipse": math.pi / 4 * c * t,
            "foil": 10 * (0.2969 / 1.5 - 0.126 / 2 - 0.3516 / 3 + 0.2843 / 4 - 0.1015 / 5) * c * t,
        }[arm.shape]
        assert number(row["area " + ("in²" if per > 1.0 else "mm²")]) == pytest.approx(area / per**2, rel=2e-3)
    found = values(name, "arm").values()
    for size in (arm.chord_barrel_mm, arm.thickness_barrel_mm, arm.chord_palm_mm, arm.thickness_palm_mm):
        assert min(abs(v - size) for v in found) < 2e-3


def test_bevels_of_a_square_stance() -> None:
    # The sides of an arm square to its palm athwart stand at 90 degrees; at the edges of a half-round bar the angle is
    # 90 degrees less (forward) or plus (aft) the pitch: plane geometry.
    strut = resolved("canal-tender").strut
    pitch = strut.palms[0].plane.pitch_deg
    rows = {int(r[0]): r for r in table("canal-tender", "arm", "bevel").rows}
    assert number(rows[4][3]) == pytest.approx(90.0, abs=0.01)
    assert number(rows[8][3]) == pytest.approx(90.0 - pitch, abs=0.01)
    assert number(rows[0][3]) == pytest.approx(90.0 + pitch, abs=0.01)
    assert [rows[k][4] for k in (0, 4, 8)] == ["obtuse", "square", "acute"]


@pytest.mark.parametrize(
    ("name", "corners"),
    [
        # As the file lists them: (forward, port) of the sharp corners.
        ("survey-launch", [(190, 0), (120, 85), (-150, 85), (-150, -85), (120, -85)]),
        ("coastal-pair", [(155, 77), (-155, 87), (-155, -87), (155, -77)]),
    ],
)
def test_outline_can_be_drawn_from_the_sheet(name: str, corners: list[tuple[float, float]]) -> None:
    rows = table(name, "palm-drilling", "corners").rows
    found = {(round(number(row[1]), 2), round(number(row[2]), 2)) for row in rows}
    assert found == {(float(u), float(v)) for u, v in corners}
    box = resolved(name).strut.palms[0].outline.bounding_box()
    for row in rows:
        assert number(row[3]) - number(row[1]) == pytest.approx(-box.xmin, abs=0.02)
        assert number(row[4]) - number(row[2]) == pytest.approx(-box.ymin, abs=0.02)


def test_a_hole_over_the_edge_is_drawn_without_one() -> None:
    palm = resolved("harbour-launch").strut.palms[0]
    box = palm.outline.bounding_box()
    over = replace(palm, holes=(replace(palm.holes[0], v_mm=box.ymax + 5.0), *palm.holes[1:]))
    strut = replace(resolved("harbour-launch").strut, palms=(over,))
    made = sheet_makers(strut)["palm-drilling"](context(strut, resolved("harbour-launch")))
    assert made is not None
    done = lay_out(made)
    assert overlaps(done) == []
    words = {t.text for i in done.items for t in i.texts}
    assert "HOLE 1, CUT THROUGH: IT RUNS OUT OVER THE EDGE" in words
    assert all(i.dim is None or i.dim.value > 0 for i in done.items)


def test_simple_outlines_need_no_corners() -> None:
    for name, word in (("harbour-launch", ""), ("canal-tender", ""), ("cutter-shoulder", "ELLIPSE")):
        made = sheet(name, "palm-drilling")
        assert made is not None
        assert [t.name for t in made.tables] == ["holes", "axis"]
        words = {t.text for i in drawn(name, "palm-drilling").items for t in i.texts}
        assert ("ELLIPSE" in words) == bool(word)


# --- skeg -------------------------------------------------------------------------------------------------------------


def test_skeg_and_heel_sheet() -> None:
    strut = resolved("yawl-with-heel").strut
    skeg, barrel = strut.skeg, strut.barrel
    assert skeg is not None
    assert skeg.heel is not None
    heel = skeg.heel
    found = values("yawl-with-heel", "skeg")
    r, t = barrel.outside_mm / 2, skeg.thickness_root_mm / 2
    wanted = [
        skeg.root_aft_station_mm,
        skeg.root_forward_station_mm,
        skeg.depth_mm,
        skeg.tip_chord_mm,
        skeg.sweep_mm,
        skeg.thickness_root_mm,
        heel.foot_thickness_mm,
        heel.foot_height_mm,
        heel.outside_mm,
        heel.height_mm,
        heel.pintle_mm,
        heel.bore_mm,
        heel.bore_mm + 2 * heel.bush_wall_mm,
        -heel.centre_mm[2],
        -barrel.length_mm / 2 - heel.centre_mm[0],
        # A flat-sided fin is coped by R - sqrt(R^2 - (t/2)^2): plane geometry.
        r - math.sqrt(r * r - t * t),
    ]
    for size in wanted:
        assert min(abs(v - size) for v in found.values()) < 2e-3, size
    # ISO 286-1 (published): H7 over 30 to 50 is +25/0, H8 is +39/0 micrometres.
    assert "Ø38.3 H7 (+0.025/0)" in found
    assert "Ø30.3 H8 (+0.039/0)" in found
    rows = {row[0]: [number(c) for c in row[1:]] for row in table("yawl-with-heel", "skeg", "heel").rows}
    x, y, z = heel.centre_mm
    half = barrel.length_mm / 2
    assert rows["middle"][:6] == pytest.approx((x, y, z, -half - x, -z, y), abs=6e-3)
    assert rows["middle"][6:] == pytest.approx(
        (math.dist((x, y, z), (-half, 0, 0)), math.dist((x, y, z), (half, 0, 0))), abs=6e-3
    )
    up = np.array(rows["upper face"][:3]) - rows["lower face"][:3]
    assert float(np.linalg.norm(up)) == pytest.approx(heel.height_mm, abs=0.02)
    # The file says a plumb stock under a shaft of 8 degrees.
    angles = {row[0]: number(row[1]) for row in table("yawl-with-heel", "skeg", "stock").rows}
    assert angles["from plumb in profile, boat on her waterline (upper end aft)"] == pytest.approx(0.0, abs=0.005)
    assert angles["to the shaft line, true angle"] == pytest.approx(82.0, abs=0.005)
    assert min(abs(v - 98.0) for v in found.values()) < 1e-3


def test_no_skeg_no_sheet() -> None:
    assert sheet("harbour-launch", "skeg") is None


# --- the same bytes ---------------------------------------------------------------------------------------------------


_TWICE = """
import hashlib
from sheets_support import *
for kind in ("palm-drilling", "arm", "press-card"):
    print(hashlib.sha256(dxf_bytes(sheet_document(drawn("canal-tender", kind)))).hexdigest())
"""


def test_same_bytes_in_two_processes() -> None:
    here = os.path.dirname(__file__)
    env = {**os.environ, "PYTHONHASHSEED": "7", "PYTHONPATH": os.pathsep.join([here, os.path.dirname(here)])}
    done = subprocess.run([sys.executable, "-c", _TWICE], env=env, capture_output=True, text=True, check=True)
    mine = [
        hashlib.sha256(dxf_bytes(sheet_document(drawn("canal-tender", kind)))).hexdigest()
        for kind in ("palm-drilling", "arm", "press-card")
    ]
    assert done.stdout.split() == mine
    assert len(set(mine)) == 3


# --- hands and files --------------------------------------------------------------------------------------------------


HANDED = tuple(n for n in SETS if resolved(n).strut.identity.hand != "centre")


@pytest.mark.parametrize("kind", ["palm-drilling", "palm-drilling-2", "arm", "arm-2", "press-card", "press-card-2"])
@pytest.mark.parametrize("name", HANDED)
def test_both_hands_show_the_same_part_on_the_same_sheet_under_two_numbers(name: str, kind: str) -> None:
    port, starboard = sheet(name, kind, "port"), sheet(name, kind, "starboard")
    assert (port is None) == (starboard is None)
    if port is None or starboard is None:
        return
    assert port.title.title == starboard.title.title
    number = resolved(name).said.identity.drawing_number
    for made, hand, mark in ((port, "port", "P"), (starboard, "starboard", "S")):
        assert made.title.identification == f"{number}-{mark}"
        assert made.title.hand == f"{hand.upper()} (-{mark})"
        assert made.banner.startswith(f"{hand.upper()} HAND")
        (said,) = (n for n in made.notes if n.startswith("Hand: "))
        assert said.startswith(f"Hand: {hand.upper()}, number {number}-{mark}; {hand} is outboard. ")
        if kind.startswith(("palm", "arm")) and kind.endswith("-2"):
            assert made.banner == f"{hand.upper()} HAND: " + made.title.title.upper().removesuffix(", DRILLING")


@cache
def written(name: str) -> set[str]:
    """Return the names of the files in finished size."""
    strut = resolved(name).strut
    return {finished(strut, n) for n in (*pattern_files(strut), *template_files(strut))}


@pytest.mark.parametrize("kind", ["palm-drilling", "palm-drilling-2", "arm", "arm-2", "skeg"])
@pytest.mark.parametrize("name", SETS if THOROUGH else ["pilot-vee", "sloop-with-skeg"])
def test_true_size_files_named_on_a_sheet_are_written(name: str, kind: str) -> None:
    made = sheet(name, kind)
    if made is None:
        return
    (said,) = (n for n in made.notes if "Full-size files " in n)
    start, _, rest = said.partition("Full-size files ")[2].partition(": ")
    named = re.findall(r"[a-z0-9-]*-(?:wrap|profile|templates|template|jig)(?=[ ,.;])", rest)
    assert len(named) >= 2
    assert {start + n for n in named} <= written(name)


def test_a_view_that_does_not_fit_at_its_own_scale_is_drawn_at_another() -> None:
    """A counterbore in a bevelled palm whose sizes stand in each other's way at 1:1 (a random set once refused)."""
    strut = resolved("harbour-launch").strut
    bolt = replace(strut.palms[0].bolt, kind="counterbored", hole_mm=17.6, head_diameter_mm=35.84, head_depth_mm=9.6)
    palm_ = replace(
        strut.palms[0],
        thickness_mm=14.2,
        bevel_width_mm=4.0,
        bevel_height_mm=4.26,
        bolt=bolt,
        holes=tuple(replace(h, u_mm=0.8 * h.u_mm, v_mm=0.7 * h.v_mm) for h in strut.palms[0].holes),
    )
    ctx = context(replace(strut, palms=(palm_,)), resolved("harbour-launch"))
    made = sheet_makers(ctx.strut)["palm-drilling"](ctx)
    assert made is not None
    laid = lay_out(made)
    assert overlaps(laid) == []
    assert any("hole section" in why for why in laid.tried)
