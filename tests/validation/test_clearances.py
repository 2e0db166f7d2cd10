"""The boat in the way: least distances against closed forms, search, and the built solids.

Closed forms are textbook geometry, worked here beside the check. `tests/property/test_clearances_property.py` holds
random struts against a general mesh library.
"""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace
from typing import Any

import checks_support as trial
import numpy as np
import pytest
from checks_support import of_code, strut, verdict
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree
from support import STRUTS, example_strut

from strutwright.models import frames
from strutwright.models.checks import geometry_checks
from strutwright.models.checks.geometry import clearances
from strutwright.models.finding import Verdict
from strutwright.models.frames import unit
from strutwright.models.geometry import shapes
from strutwright.models.geometry.clearances import Hull, Round, convex_pieces, cylinder, gap_mm, under_plane_mm
from strutwright.models.geometry.shapes import propeller_plane_mm, tip_clearance_mm
from strutwright.models.resolve import resolve
from strutwright.models.solids import Built
from strutwright.models.solids.boat import AGREE_MM, SOLID, boat_findings
from strutwright.models.spec import Strut, mirrored
from strutwright.params.loader import load, loads, model_at, shipped
from strutwright.params.words import read

FEW = settings(max_examples=40, deadline=None)
numbers = st.floats(-1.0, 1.0)
ways = st.tuples(numbers, numbers, numbers).filter(lambda v: math.hypot(*v) > 0.2).map(lambda v: unit(np.array(v)))
BOX = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], dtype=float)


# --- the distance itself ----------------------------------------------------------------------------------------------


@FEW
@given(ways, ways, st.floats(0, 300), st.floats(1, 60), st.floats(1, 60))
def test_two_crossing_cylinders(a: Any, b: Any, apart: float, r: float, s: float) -> None:
    """The distance of their axes less both radii, into each other too, while the axes cross at a fair angle."""
    square = np.cross(a, b)
    if np.linalg.norm(square) < 0.5:
        return
    one, two = cylinder(-600 * a, a, 1200, r), cylinder(apart * unit(square) - 600 * b, b, 1200, s)
    assert gap_mm(one, two) == pytest.approx(apart - r - s, abs=0.02)
    if apart - r - s > 0.01:
        assert gap_mm(one, two) == pytest.approx(apart - r - s, abs=2e-5)
        assert gap_mm(one, two) <= apart - r - s + 1e-9


@FEW
@given(ways, st.floats(0, 400), st.floats(0, 400), st.floats(5, 80), st.floats(5, 80), st.floats(1, 200))
def test_two_cylinders_side_by_side_and_end_to_end(
    way: Any, along: float, across: float, r: float, s: float, long: float
) -> None:
    """Parallel axes: the flat ends' distance, the sides' distance, or both by Pythagoras between the two rims."""
    off = (
        unit(np.cross(way, [0.3, -0.5, 0.8]))
        if abs(way @ unit(np.array([0.3, -0.5, 0.8]))) < 0.99
        else unit(np.cross(way, [1.0, 0.0, 0.0]))
    )
    one, two = cylinder(np.zeros(3), way, long, r), cylinder((long + along) * way + across * off, way, long, s)
    want = math.hypot(along, max(across - r - s, 0.0))
    assert gap_mm(one, two) == pytest.approx(want, abs=0.01)


@FEW
@given(ways, st.floats(0, 300), st.floats(0, 200))
def test_a_disc_over_a_block(way: Any, high: float, radius: float) -> None:
    """A disc of normal n over a wide block: height of its middle less radius sqrt(1 - nz^2)."""
    block = Hull(BOX * [1000, 1000, 50] - [0, 0, 50])
    want = high - radius * math.sqrt(1 - float(way[2]) ** 2)
    got = gap_mm(cylinder(np.array([0, 0, high]), way, 0.0, radius), block)
    assert got == pytest.approx(want, abs=0.01)


def test_a_cylinder_under_a_leaning_plane() -> None:
    """Plane of normal (0.6, 0, 0.8) at 500: 500 - 0.6 x_forward - 0.8 r; both ends count, arrays go through."""
    n = np.array([0.6, 0.0, 0.8])
    assert under_plane_mm(500.0, n, -100.0, 50.0, 200.0) == pytest.approx(500 - 30 - 160)
    assert under_plane_mm(500.0, n * [-1, 1, 1], -100.0, 50.0, np.array([200.0, 300.0])) == pytest.approx([280, 200])


@FEW
@given(st.integers(0, 10**6))
def test_the_move_that_frees_two_bodies_frees_them(seed: int) -> None:
    """A ball in a block: how deep is its radius less the way of its middle to the nearest face (textbook)."""
    rng = np.random.default_rng(seed)
    half, r = rng.uniform(20, 80, 3), rng.uniform(1, 15)
    at = rng.uniform(-1, 1, 3) * half
    turns = np.linspace(0, math.pi, 41)
    ball = Round(at, unit(rng.normal(size=3)), -r * np.cos(turns), r * np.sin(turns))
    assert gap_mm(ball, Hull(BOX * half)) == pytest.approx(-(half - np.abs(at)).min() - r, abs=0.05)


def test_convex_pieces_fill_the_plate() -> None:
    """An L and a star: the pieces' areas add up to the polygon's (shoelace), and each is convex."""
    ell = np.array([(0, 0), (60, 0), (60, 20), (20, 20), (20, 50), (0, 50)], dtype=float)
    star = np.array(
        [
            (
                (1.0 if k % 2 else 0.4) * 50 * math.cos(k * math.pi / 5),
                (1.0 if k % 2 else 0.4) * 50 * math.sin(k * math.pi / 5),
            )
            for k in range(10)
        ]
    )
    for ring in (ell, ell[::-1], star):

        def area(p: Any) -> float:
            return abs(float(np.sum(p[:, 0] * np.roll(p[:, 1], -1) - np.roll(p[:, 0], -1) * p[:, 1]))) / 2

        assert sum(map(area, convex_pieces(ring))) == pytest.approx(area(ring))


# --- blade tip to hull ------------------------------------------------------------------------------------------------


def _tip_by_search(s: Strut) -> float:
    """Least distance from 20,000 points of the tip circle to the hull's plane or planes (V bottom), by vectors."""
    x, r = -propeller_plane_mm(s), s.propeller.diameter_mm / 2
    turn = np.linspace(0, 2 * math.pi, 20_001)
    points = np.column_stack([np.full_like(turn, x), r * np.sin(turn), r * np.cos(turn)])
    # Points of the hull: rows along the shaft, fine about the nearest; z = D - x tan(theta) + |y| or y times tan(phi).
    plane = shapes.hull_planes(s)
    best = math.inf
    for p, side in plane:
        t, f = math.tan(math.radians(p.pitch_deg)), math.tan(math.radians(p.tilt_deg))
        n = np.array([t, -f, 1.0]) / math.sqrt(1 + t * t + f * f)
        gap = p.drop_mm * n[2] - points @ n
        foot = points + gap[:, None] * n
        keel = np.array([1.0, 0.0, -t]) / math.hypot(1.0, t)
        rel = points - np.array([0.0, 0.0, p.drop_mm])
        to_keel = np.linalg.norm(rel - (rel @ keel)[:, None] * keel, axis=1)
        here = foot[:, 1] * side >= 0 if side else np.ones(len(foot), dtype=bool)
        best = min(best, float(np.where(here, gap, to_keel).min()))
    return best


def test_the_blade_tip_of_the_harbour_launch_is_80_85_from_the_hull() -> None:
    """Worked by hand: (300 + x tan 9) cos 9 - 240 cos 9 with x = 83 + 25 + 40 ... against 81.86 in the disc's plane."""
    s = resolve(load(shipped()["harbour-launch"])).strut
    assert tip_clearance_mm(s) == pytest.approx(80.85, abs=0.005)
    f = of_code(geometry_checks(s), "tip_clearance")[0]
    assert f.actual == pytest.approx(80.849, abs=0.001)
    assert "74.6 mm if the blades" in read(f.what, "mm")  # and what the thickness that is not known may cost


@pytest.mark.parametrize("name", STRUTS)
def test_tip_clearance_is_the_least_one(name: str) -> None:
    resolved = resolve(load(shipped()[name]))
    for s in (resolved.strut, mirrored(resolved.strut)):
        assert tip_clearance_mm(s) == pytest.approx(_tip_by_search(s), abs=1e-4)


@FEW
@given(st.floats(0, 19), st.floats(0, 30), st.sampled_from(["single", "vee"]), st.floats(300, 700))
def test_tip_clearance_by_search_over_angles(angle: float, deadrise: float, variant: str, drop: float) -> None:
    """On both sorts of bottom: one plane over a strut of a side, a V over one on the centre line."""
    s = strut(
        variant,
        {"hull": {"shaft_angle": {"to_waterline": angle}, "deadrise": deadrise, "drop": {"square_to_shaft": drop}}},
    )
    assert tip_clearance_mm(s) == pytest.approx(_tip_by_search(s), abs=1e-3)


def _tip_to_palm_by_search(s: Strut) -> float:
    """Least distance from points all round the circle of the blade tips to points all over the palms' water faces."""
    assert s.propeller.diameter_mm is not None
    turn = np.linspace(-1.5, 1.5, 1501)
    x = -s.barrel.length_mm / 2 - (s.propeller.hub_gap_mm or 0.0) - (s.propeller.hub_length_mm or 0.0) / 2
    r = s.propeller.diameter_mm / 2
    circle = np.column_stack([np.full(turn.shape, x), r * np.sin(turn), r * np.cos(turn)])
    best = math.inf
    for palm, (outline, height) in itertools.chain.from_iterable(
        itertools.product(
            [p], [(p.outline, p.bevel_height_mm - p.thickness_mm), (p.outline.inset(p.bevel_width_mm), -p.thickness_mm)]
        )
        for p in s.palms
    ):
        rim = outline.polyline(0.02)
        rim = np.vstack([rim, rim[:1]])
        along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(rim, axis=0), axis=1))])
        at = np.linspace(0.0, along[-1], 300)
        ring = np.column_stack([np.interp(at, along, rim[:, k]) for k in (0, 1)])
        middle = ring.mean(axis=0)  # of an outline without hollows: shrunk copies of it fill it
        points = np.vstack([middle + k * (ring - middle) for k in np.linspace(0.0, 1.0, 60)])
        face = frames.palm_axes(palm).to_strut(points, height)
        best = min(best, float(cKDTree(face).query(circle)[0].min()))
    return best


@pytest.mark.parametrize("name", ["canal-tender", "coastal-pair", "coaster-steel", "cutter-shoulder", "day-cruiser"])
def test_a_palm_over_the_blades_counts_as_hull(name: str) -> None:
    """The palm lies on the hull over the blade tips, so that they come nearer by about its thickness."""
    s = resolve(load(shipped()[name])).strut
    found = of_code(geometry_checks(s), "tip_to_palm")
    assert [f.demanded for f in found] == [pytest.approx(0.15 * (s.propeller.diameter_mm or 0.0))]
    assert found[0].actual == pytest.approx(_tip_to_palm_by_search(s), rel=0.01)  # of the grid of points
    assert found[0].actual <= _tip_to_palm_by_search(s)
    assert found[0].actual < (tip_clearance_mm(s) or 0.0)
    ahead = replace(s, palms=tuple(replace(p, outline=p.outline.translate(2000.0, 0.0)) for p in s.palms))
    assert of_code(geometry_checks(ahead), "tip_to_palm") == []


def test_a_proud_bearing_is_what_the_hub_meets_first() -> None:
    """Gap 35 of the barrel, 3 less where the bearing stands 3 mm proud of its aft face."""
    found = geometry_checks(strut("single", {"bearing": {"position": {"distance": -3}}}))
    assert of_code(found, "hub_gap_least")[0].actual == pytest.approx(32.0)


# --- the yawl and its like --------------------------------------------------------------------------------------------


def _heel(behind: float, **more: Any) -> Strut:
    return strut("skeg", {"skeg": {"heel": {"behind_barrel": behind, **more}}})


def test_a_plumb_stock_through_a_palm_is_found() -> None:
    """The yawl as it once was shipped: boss 190 mm abaft the barrel, its plumb stock of 38 mm in the palm's aft end.

    Worked by hand in the vertical plane through the shaft: the palm's aft end stands at (-163.4, 373.0),
    the stock's forward side leans 8 degrees forward.
    """
    text = shipped()["yawl-with-heel"].read_text(encoding="utf-8")
    old = (
        text.replace("behind_barrel: 280", "behind_barrel: 190")
        .replace("depth: 324", "depth: 322")
        .replace("below_shaft: 340", "below_shaft: 338")
    )
    s = resolve(loads(old)).strut
    f = of_code(geometry_checks(s), "stock_to_strut")[0]
    assert f.verdict is Verdict.FAIL
    assert f.parameter == "skeg.heel.behind_barrel"
    up = np.array([math.sin(math.radians(8)), math.cos(math.radians(8))])
    heel, theta = np.array([-273.0, -338.0]), math.radians(8)
    ends = [np.array([-165 * math.cos(theta), 350 + 165 * math.sin(theta)])]
    ends.append(ends[0] - 20 * np.array([math.sin(theta), math.cos(theta)]))
    square = np.array([up[1], -up[0]])
    stock = 38 / 2 - min(float((e - heel) @ square) for e in ends)
    assert -f.actual == pytest.approx(stock, abs=0.02)
    assert stock == pytest.approx(9.4, abs=0.2)  # 9.3 with the 37.5 mm of 1.25 pintles
    assert verdict(geometry_checks(s), "blade_to_stock") is Verdict.FAIL


@pytest.mark.parametrize("behind", [20.0, 60.0, 120.0, 260.0])
def test_stock_of_a_square_skeg_by_hand(behind: float) -> None:
    """A stock square to the shaft at x = -103 - behind: the room to the blades' after side and to the palm's end."""
    s = _heel(behind)
    x, r = -103.0 - behind, s.skeg.heel.stock_mm / 2  # type: ignore[union-attr]
    swept = -103.0 - 35.0 - 100.0
    got = of_code(geometry_checks(s), "blade_to_stock")[0].actual
    if swept - x - r > 0:
        assert got == pytest.approx(swept - x - r, abs=1e-3)
    else:
        assert got < 0


def test_the_tube_counts_where_it_is_given() -> None:
    wide = _heel(150.0, tube_diameter=120)
    slim = _heel(150.0)
    tube = of_code(geometry_checks(wide), "stock_to_strut")[0]
    assert read(tube.what, "mm").startswith("tube of the rudder stock")
    assert tube.actual < of_code(geometry_checks(slim), "stock_to_strut")[0].actual


def test_parameters_named_by_clearances_exist() -> None:
    said = [
        f.parameter
        for v in trial.VARIANTS
        for f in geometry_checks(strut(v))
        if f.code in {c.code for c in clearances.CHECKS}
    ]
    assert said
    for path in said:
        *groups, name = re.sub(r"\[\d+\]", "", path).split(".")
        model = model_at(tuple(groups)) if "positions" not in path else None
        assert model is None or name in model.model_fields, path


# --- the solids -------------------------------------------------------------------------------------------------------


def _told(built: Built, s: Strut) -> dict[str, list[Any]]:
    out: dict[str, list[Any]] = {}
    for f in boat_findings(s, built.parts):
        out.setdefault(f.code, []).append(f)
    return out


@pytest.mark.parametrize("kind", ["single", "vee"])
def test_solid_and_formula_agree(kind: str, built_single: Built, built_vee: Built) -> None:
    """The kernel's least distances on a cast and a welded strut, against the formula within AGREE_MM."""
    s = example_strut("single") if kind == "single" else example_strut("vee", skeg=True)
    built = built_single if kind == "single" else built_vee
    s = replace(s, propeller=replace(s.propeller, diameter_mm=400.0, hub_length_mm=60.0, hub_gap_mm=20.0))
    found = boat_findings(s, built.parts)
    assert not [f for f in found if f.verdict is Verdict.NOT_CHECKED]
    blades = [f for f in found if "blades" in read(f.what, "mm")]
    assert len(blades) == 1
    both = re.search(r": (-?[\d.]+) mm measured on the solid, (-?[\d.]+) mm by formula", read(blades[0].what, "mm"))
    assert both, blades[0].what
    assert abs(float(both[1]) - float(both[2])) <= AGREE_MM


def test_the_solid_finds_a_stock_in_its_palm(built_vee: Built) -> None:
    """The stock moved by hand into the port palm's middle and its arm: the solid says how much it cuts."""
    s = example_strut("vee", skeg=True)
    assert s.skeg is not None
    assert s.skeg.heel is not None
    palm = s.palms[0]
    x, y, _ = palm.zero_mm
    heel = replace(s.skeg.heel, centre_mm=(x, y, -300.0), stock_rake_deg=0.0, stock_cant_deg=0.0)
    told = _told(built_vee, replace(s, skeg=replace(s.skeg, heel=heel)))
    assert told["stock_to_strut"][0].verdict is Verdict.FAIL
    assert "cuts" in read(told["stock_to_strut"][0].what, "mm")


@pytest.mark.parametrize(("lean_deg", "hull_mm"), [(0.0, 20.0), (12.0, 20.0), (25.0, 60.0), (-18.0, 35.0)])
def test_a_bolt_put_in_beside_a_leaning_arm(lean_deg: float, hull_mm: float) -> None:
    """The room of a round rod beside a plane: the nearer end's distance less r times the sine of the angle between
    rod and normal (solid geometry). The rod is as long as what the bolt goes through, its washer and nut (ISO 7089,
    ISO 4032: M12 2.5 and 10.8 mm) and three threads of 1.75 mm."""
    s = example_strut("single")
    plane = replace(s.palms[0].plane, pitch_deg=0.0, tilt_deg=0.0)
    lean = math.radians(lean_deg)
    arm = replace(
        s.arms[0],
        clock_deg=lean_deg,
        rake_deg=0.0,
        toe_deg=0.0,
        aligned_with="shaft",
        shape="flat",
        edge_radius_mm=2.0,
        chord_barrel_mm=150.0,
        chord_palm_mm=150.0,
        thickness_barrel_mm=20.0,
        thickness_palm_mm=20.0,
        barrel_root_mm=0.0,
        palm_root_mm=0.0,
    )
    zero = (0.0, plane.drop_mm * math.tan(lean), plane.drop_mm)
    bolt = replace(s.palms[0].bolt, size="M12", major_mm=12.0, kind="countersunk", head_diameter_mm=26.0)
    holes = (replace(s.palms[0].holes[0], u_mm=0.0, v_mm=60.0), replace(s.palms[0].holes[0], u_mm=10.0, v_mm=-60.0))
    palm = replace(s.palms[0], plane=plane, zero_mm=zero, bolt=bolt, holes=holes, thickness_mm=16.0)
    s = replace(
        s, arms=(arm,), palms=(palm,), skeg=None, backing_plate=False, hull=replace(s.hull, thickness_mm=hull_mm)
    )
    long = 16.0 + 2.0 + hull_mm + 2.5 + 10.8 + 3 * 1.75
    across = np.array([math.cos(lean), -math.sin(lean)])  # of the arm, in y and z
    if abs(lean_deg) < 1e-9:
        across = np.array([1.0, 0.0])
    ends = np.array([[y, plane.drop_mm - 16.0 - h] for y in (zero[1] + 60.0, zero[1] - 60.0) for h in (0.0, long)])
    wanted = float(np.min(np.abs(ends @ across))) - 13.0 * math.cos(lean) - 10.0
    found = next(f for f in geometry_checks(s) if f.code == "bolt_entry")
    assert found.actual == pytest.approx(wanted, abs=1e-3)
    assert found.fails is False
    assert (found.verdict is Verdict.WARN) == (wanted < 0.5)


def test_a_plain_bolt_that_an_arm_is_over_is_put_in_from_inside() -> None:
    """The pilot launch's arms lean over two bolts a palm: information names them, and the drilling sheet says it."""
    s = resolve(load(shipped()["pilot-vee"])).strut
    found = [f for f in geometry_checks(s) if f.code == "bolt_entry"]
    assert [f.verdict for f in found] == [Verdict.INFORMATION] * 2
    assert all("holes 5 and 6" in read(f.what, "mm") for f in found)
    upright = replace(s, palms=tuple(replace(p, holes=p.holes[:1]) for p in s.palms))
    assert not [f for f in geometry_checks(upright) if f.code == "bolt_entry"]


def test_a_tool_in_the_arm_is_found_by_the_solid(built_single: Built) -> None:
    """A hole moved to the middle of the arm's foot: common room with the solid, whatever the formula says."""
    s = example_strut("single")
    palm = s.palms[0]
    moved = replace(palm, holes=(replace(palm.holes[0], u_mm=0.0, v_mm=0.0), *palm.holes[1:]))
    told = _told(built_single, replace(s, palms=(moved,)))
    assert told["tool_to_strut"][0].verdict is Verdict.WARN
    assert "cuts" in read(told["tool_to_strut"][0].what, "mm")
    away = replace(palm, bolt=replace(palm.bolt, driver_diameter_mm=6.0), holes=palm.holes[:1])
    clean = _told(built_single, replace(s, palms=(away,)))
    assert SOLID.code in clean
    assert "tool_to_strut" not in clean
