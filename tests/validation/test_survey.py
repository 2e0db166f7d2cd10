"""Surveys worked out: known hulls come back, stated intervals hold the truth, a slip is named.

The angles of a palm on a flat bottom follow from the project's definitions (models.frames) and, for a shaft that is
turned in plan, from vector algebra here. Coverage is that of JCGM 100:2008: 95 in 100.
"""

from __future__ import annotations

import dataclasses
import math
import os
from typing import Any

import numpy as np
import pytest
from survey_support import GRID, MID, Floats, hull_at, line_at, made, rows

from strutwright.models import frames
from strutwright.models.bench.survey import Sided, survey
from strutwright.models.bench.survey_trials import TOLD, trials
from strutwright.models.bench.survey_words import asymmetry, bedding, doubts
from strutwright.models.resolve import resolve
from strutwright.params import loader

THOROUGH = os.environ.get("STRUTWRIGHT_THOROUGH")


def one(**said: Any) -> Sided:
    """The only side of a survey as `made`."""
    return survey(made(**said)).sides[0]


def told(side: Sided) -> dict[str, float]:
    """Its figures without their uncertainty."""
    return {name: figure.value for name, figure in side.figures.items()}


def as_defined(side: int = 1) -> dict[str, float]:
    """What the project's definitions make of the hull of `made`."""
    pitch = 14.0
    tilt = frames.athwart_tilt_deg(20.0, 2.0, pitch, side)
    vertical, normal = frames.drop_factors(12.0, 2.0, pitch, tilt)
    drop = 250.0 / vertical
    return {
        "pitch_deg": pitch,
        "tilt_deg": tilt,
        "drop_mm": drop,
        "shaft_deg": 12.0,
        "run_deg": 2.0,
        "deadrise_deg": 20.0,
        "to_palm_deg": frames.shaft_to_palm_deg(pitch, tilt),
        "drop_vertical_mm": 250.0,
        "drop_square_to_hull_mm": drop * normal,
        "plan_deg": 0.0,
    }


def holds(side: Sided, wanted: dict[str, float]) -> None:
    assert {n: told(side)[n] for n in wanted} == pytest.approx(wanted, abs=2e-6)


def test_a_known_hull_comes_back() -> None:
    holds(one(), as_defined())
    flipped = GRID * [1.0, -1.0]
    holds(
        one(
            side="starboard",
            hull=rows("H", hull_at(flipped, 250.0, 2.0, 20.0) * [1, 1, 1])[:0]
            + rows("H", np.column_stack([GRID, hull_at(flipped, 250.0, 2.0, 20.0)[:, 2]])),
        ),
        as_defined(-1),
    )


def turned(slope: float, cant: float) -> Floats:
    """Axes of a straight edge that falls aft and rises to port, one a row."""
    along = np.array([math.cos(slope), 0.0, math.sin(slope)])
    port = np.array([0.0, math.cos(cant), math.sin(cant)])
    port = port - along * (along @ port)
    port /= np.linalg.norm(port)
    return np.stack([along, port, np.cross(along, port)])


def ways() -> dict[str, dict[str, Any]]:
    """The hull of `made` measured in each of the ways that there are."""
    hull, line = hull_at(GRID, 250.0, 2.0, 20.0), line_at([-400.0, 0.0, 500.0, 1000.0, 1500.0], 12.0)
    edge = turned(math.radians(3.0), math.radians(5.0))
    zero = np.array([-300.0, 20.0, -100.0])
    from_edge = (hull - zero) @ edge.T * [1.0, 1.0, -1.0]
    e = math.radians(12.0)
    strut = np.stack([[math.cos(e), 0.0, math.sin(e)], [0.0, 1.0, 0.0], [-math.sin(e), 0.0, math.cos(e)]])
    # A plumb line from each hull point meets the string below it.
    plumb = np.column_stack([hull[:, 0] / math.cos(e), hull[:, 1], hull[:, 2] - hull[:, 0] * math.tan(e)])
    c, s = math.cos(0.7), math.sin(0.7)
    station = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    stern = np.array([-1500.0, -60.0, 40.0])
    bow_up = np.array([[math.cos(0.03), 0.0, math.sin(0.03)], [0, 1, 0], [-math.sin(0.03), 0.0, math.cos(0.03)]])

    def seen(points: Floats) -> Floats:
        return points @ station + [7000.0, -3000.0, 1500.0]

    string = {"name": "s", "way": "string"}
    marks = [
        {"what": "stern", **rows("", seen(stern[None]))[0]},
        {"what": "stem", **rows("", seen(stern[None] + [9000.0, 0.0, 0.0]))[0]},
    ]
    for mark in marks:
        del mark["name"]
    return {
        "straight edge": {
            "references": [
                dict(
                    zip(("along", "port", "up"), zero.tolist(), strict=True),
                    name="e",
                    way="straight_edge",
                    slope=3.0,
                    cant=5.0,
                    counts="down",
                )
            ],
            "hull": rows("H", from_edge, reference="e"),
        },
        "water level read down": {
            "references": [{"name": "w", "way": "water_level", "up": 900.0, "counts": "down"}],
            "hull": rows("H", (hull - [0.0, 0.0, 900.0]) * [1.0, 1.0, -1.0], reference="w"),
        },
        "square to the string": {"references": [string], "hull": rows("H", hull @ strut.T, reference="s")},
        "plumb to the string": {
            "references": [{**string, "offsets": "plumb"}],
            "hull": rows("H", plumb, reference="s"),
        },
        "total station": {
            "hull": rows("H", seen(hull)),
            "line": rows("S", seen(line)),
            "places": [*marks, {"what": "mid_barrel", "point": "S2", "scatter": 0.0}],
        },
        "bow up on the stands": {
            "attitude": {"trim": math.degrees(0.03)},
            "hull": rows("H", hull @ bow_up),
            "line": rows("S", line @ bow_up),
            "places": [{"what": "mid_barrel", "point": "S3", "distance": -500.0, "scatter": 0.0}],
        },
        "inclinometer on the string": {"angles": {"shaft": 12.0}, "line": rows("S", line[1:2])},
        "angles and a drop": {
            "hull": [],
            "line": [],
            "places": [],
            "angles": {"shaft": 12.0, "run": 2.0, "deadrise": 20.0},
            "drop": {
                "vertical": 250.0 - 100.0 * math.cos(e) * (math.tan(e) + math.tan(math.radians(2.0))),
                "at": "forward",
            },
            "barrel_length": 200.0,
        },
    }


@pytest.mark.parametrize("way", list(ways()))
def test_every_way_of_measuring_says_the_same(way: str) -> None:
    wanted = as_defined()
    found = one(**ways()[way])
    holds(found, wanted)
    assert all(found.figures[n].within is not None for n in TOLD)


def test_a_shaft_turned_in_plan_is_told_in_its_own_vertical_plane() -> None:
    side = one(line=rows("S", line_at([-400.0, 0.0, 500.0, 1000.0, 1500.0], 12.0, 3.0)))
    figures = told(side)
    c, s = math.cos(math.radians(3.0)), math.sin(math.radians(3.0))
    run, rise = math.tan(math.radians(2.0)), math.tan(math.radians(20.0))
    assert figures["plan_deg"] == pytest.approx(3.0, abs=1e-6)
    assert figures["run_deg"] == pytest.approx(math.degrees(math.atan(run * c - rise * s)), abs=1e-6)
    assert figures["deadrise_deg"] == pytest.approx(math.degrees(math.atan(run * s + rise * c)), abs=1e-6)
    assert (figures["lines_run_deg"], figures["lines_deadrise_deg"]) == pytest.approx((2.0, 20.0), abs=1e-6)


def test_an_old_strut_on_the_bench_is_a_survey() -> None:
    """Its palm and bore, lying any way, say what the boat's hull did; not how she lay to the level."""
    q, _ = np.linalg.qr(np.random.default_rng(5).normal(size=(3, 3)))
    q *= np.sign(np.linalg.det(q))
    q = q if q[:, 0] @ [1, 0, 0] > 0 else q * [-1, 1, -1]
    e = math.radians(12.0)
    straight_over = line_at([0.0], 12.0)[0] + 60.0 * np.array([-math.sin(e), 0.0, math.cos(e)])
    mark = rows("", (straight_over @ q)[None])[0]
    del mark["name"]
    line = line_at([-60.0, -30.0, 0.0, 30.0, 60.0], 12.0) @ q
    side = one(
        frame="bench",
        hull=rows("P", hull_at(GRID, 250.0, 2.0, 20.0) @ q),
        line=rows("B", line if line[-1, 0] > line[0, 0] else line[::-1]),
        places=[{"what": "mid_barrel", "point": "B3", "scatter": 0.0}, {"what": "upright", **mark}],
    )
    wanted = as_defined()
    if (line[-1] - line[0])[0] > 0:
        holds(side, {n: wanted[n] for n in ("pitch_deg", "tilt_deg", "drop_mm", "to_palm_deg")})
    assert math.isnan(side.figures["run_deg"].value)


def test_hub_bearing_and_blade_tip() -> None:
    places = [MID, {"what": "hub", "along": -150.0}, {"what": "next_bearing", "point": "S5", "distance": 20.0}]
    side = one(places=places, barrel_length=120.0, hub_length=80.0, propeller_diameter=400.0)
    figures = told(side)
    along = 150.0 / math.cos(math.radians(12.0))
    assert figures["hub_gap_mm"] == pytest.approx(along - 60.0)
    assert figures["bearing_span_mm"] == pytest.approx(1520.0)
    wanted = as_defined()
    over = wanted["drop_mm"] + (along + 40.0) * math.tan(math.radians(14.0))
    nearest = over * math.cos(math.radians(wanted["tilt_deg"])) - 200.0
    assert figures["tip_mm"] == pytest.approx(nearest, abs=0.3)  # sought in steps of 10 across
    measured = one(places=places, propeller_diameter=400.0, tip=rows("T", np.array([[-190.0, 30.0, 180.0]])))
    e = math.radians(12.0)
    up = 180.0 * math.cos(e) + 190.0 * math.sin(e)
    assert told(measured)["tip_mm"] == pytest.approx(math.hypot(30.0, up) - 200.0)


def test_a_curved_bottom_is_not_taken_for_a_plane() -> None:
    """The plane is that over the palm, which one through all points is not."""
    rng = np.random.default_rng(8)
    wide = GRID * [2.6, 2.2] + rng.uniform(-20, 20, GRID.shape) + [150.0, 40.0]
    hull = hull_at(wide, 250.0, 2.0, 20.0)
    hull[:, 2] -= wide[:, 0] ** 2 / (2 * 6000.0) + wide[:, 1] ** 2 / (2 * 4000.0)
    side = one(hull=rows("H", hull), places=[MID])
    all_through = np.linalg.lstsq(np.column_stack([np.ones(15), wide]), hull[:, 2], rcond=None)[0]
    flat = hull_at(GRID[:3], 250.0, 2.0, 20.0)
    assert flat.shape == (3, 3)
    assert abs(all_through[0] - side.figures["drop_vertical_mm"].value) > 5.0
    # Over the palm itself, by points that stand as dense as one likes.
    share = (np.arange(40) + 0.5) / 40 - 0.5
    u, v = (g.ravel() for g in np.meshgrid(share * 240.0, share * 130.0))
    plane = side.plane
    axes = frames.plane_axes(plane.drop_mm, plane.pitch_deg, plane.tilt_deg)
    at = axes.to_strut(np.column_stack([u, v]))
    e = math.radians(12.0)
    strut = np.stack([[math.cos(e), 0.0, math.sin(e)], [0.0, 1.0, 0.0], [-math.sin(e), 0.0, math.cos(e)]])
    z = at[:, 2].copy()
    for _ in range(20):
        x, y, up = (np.column_stack([at[:, :2], z]) @ strut).T
        bottom = 250.0 - x * math.tan(math.radians(2.0)) + y * math.tan(math.radians(20.0))
        z += (bottom - x**2 / 12000.0 - y**2 / 8000.0 - up) / math.cos(e)
    a, b, c = np.linalg.lstsq(np.column_stack([np.ones(len(u)), at[:, :2]]), z, rcond=None)[0]
    assert (plane.drop_mm, plane.pitch_deg) == pytest.approx((a, -math.degrees(math.atan(b))), abs=0.15)
    assert plane.tilt_deg == pytest.approx(math.degrees(math.atan(c)), abs=0.02)
    assert "uneven by" in str(bedding(side, made().bedding)[0])


def test_the_palm_of_a_set_is_where_its_arm_meets_the_hull() -> None:
    found = resolve(loader.load(loader.shipped()["coastal-pair"]))
    side = survey(made(palm={}), found).sides[0]
    palm = found.strut.palms[0]
    assert side.beds[0].area_mm2 == pytest.approx(palm.outline.area_mm2(), rel=0.02)
    assert side.model.patches[0].arm_x_mm == pytest.approx(found.strut.barrel.x(found.strut.arms[0].station_mm))
    holds(side, {n: v for n, v in as_defined().items() if n in TOLD})


@pytest.mark.parametrize(("radius", "turn", "shape"), [(900.0, 25.0, "rounded"), (-1500.0, -40.0, "hollow")])
def test_a_cylinder_under_the_palm_is_found(radius: float, turn: float, shape: str) -> None:
    """A hull that is one, over a level shaft, so that the palm's axes are the boat's."""
    a = math.radians(turn)
    across = -math.sin(a) * GRID[:, 0] + math.cos(a) * GRID[:, 1]
    hull = np.column_stack([GRID, 250.0 - across**2 / (2 * radius)])
    side = one(hull=rows("H", hull), line=rows("S", line_at([-400.0, 0.0, 500.0, 1000.0, 1500.0], 0.0)))
    made_to = side.beds[0].cylinder
    assert made_to is not None
    assert (made_to.radius_mm, made_to.axis_deg) == pytest.approx((radius, turn), rel=1e-3)
    assert made_to.leaves_mm < 0.02 < 2.0 < side.beds[0].uneven_mm
    assert f"a palm face {shape} to a radius of {abs(radius):g} mm" in str(bedding(side, made().bedding)[1])
    assert "which the bedding takes" in str(bedding(side, made().bedding)[1])


BOTH_WAYS = ((-1.0, 900.0, 2400.0), (1.0, 1200.0, 3000.0), (-1.0, 1500.0, -2000.0))


@pytest.mark.parametrize("turn", [0.0, 35.0, -70.0])
@pytest.mark.parametrize(("way", "radius", "along"), BOTH_WAYS)
def test_a_bottom_that_curves_both_ways_is_given_a_face_of_second_order(
    way: float, radius: float, along: float, turn: float
) -> None:
    """Over a level shaft a face that rises by x^2 / 2 R each way: across an axis and along it, rounded, hollow or one
    of each. What the best cylinder leaves is L^2 / 8 R along its axis over a palm of length L."""
    a = math.radians(turn)
    off, ahead = GRID @ np.array([-math.sin(a), math.cos(a)]), GRID @ np.array([math.cos(a), math.sin(a)])
    hull = np.column_stack([GRID, 250.0 + way * (off**2 / (2 * radius) + ahead**2 / (2 * along))])
    line = rows("S", line_at([-400.0, 0.0, 500.0, 1000.0, 1500.0], 0.0))
    said = made(hull=rows("H", hull), line=line, bedding={"takes": 0.5}, instrument={"scatter": 0.3})
    side = survey(said, to_curve=True).sides[0]
    made_to, found = side.beds[0].cylinder, {name: f.value for name, f in side.figures.items()}
    assert made_to is not None
    if turn == 0.0:
        long = float(np.ptp(side.beds[0].uv_mm[:, 0]))
        assert made_to.leaves_mm == pytest.approx(long**2 / 8 / abs(along), rel=0.1)
    assert made_to.leaves_mm > said.bedding.takes
    assert side.model.face == "second order"
    assert found["face_radius_mm"] == pytest.approx(-way * radius, rel=1e-4)
    assert found["face_along_mm"] == pytest.approx(-way * along, rel=1e-4)
    assert found["face_axis_deg"] == pytest.approx(turn, abs=0.01)
    assert (found["pitch_deg"], found["tilt_deg"]) == pytest.approx((0.0, 0.0), abs=1e-6)
    assert found["drop_mm"] == pytest.approx(250.0)  # the plane touches in the middle, which lies over the barrel
    assert "leaves none" in str(bedding(side, said.bedding)[1])


# --- uncertainty and slips --------------------------------------------------------------------------------------------


def test_uncertainty_follows_the_scatter() -> None:
    fine, coarse, none = (one(instrument=i) for i in ({"scatter": 0.5}, {"scatter": 1.0}, {}))
    for name in TOLD:
        assert coarse.figures[name].within == pytest.approx(2 * (fine.figures[name].within or 0.0))
        assert none.figures[name].within == pytest.approx(0.0, abs=1e-6)  # no residual, no scatter
    few = one(instrument={}, hull=rows("H", hull_at(GRID[[0, 2, 12]], 250.0, 2.0, 20.0)))
    assert few.figures["drop_mm"].within is None
    assert any("how sure it is nothing tells" in str(words) for words in doubts(few))


@pytest.mark.parametrize("stated", [True, False])
def test_stated_intervals_hold_the_truth(stated: bool) -> None:
    count = 1000 if THOROUGH else 60
    found = trials(count, stated=stated)
    low, high = (0.93, 0.97) if THOROUGH else (0.87, 1.0)
    assert all(low <= share <= high for share in found.covered.values()), found
    assert all(low - 0.015 <= share <= high + 0.01 for share in found.robust.values()), found
    assert found.named <= (0.05 if THOROUGH else 0.12)


def test_a_slip_is_named_and_does_no_harm() -> None:
    count = 1000 if THOROUGH else 25
    found = trials(count, slip_mm=20.0)
    assert found.rightly >= 0.9, found
    assert all(share >= 0.9 for share in found.robust.values()), found
    flat = trials(count, slip_mm=25.0, stated=False, flat=True)
    assert flat.rightly >= 0.85, flat


def test_the_reading_that_slipped_is_named() -> None:
    rng = np.random.default_rng(11)
    hull = hull_at(GRID, 250.0, 2.0, 20.0) + rng.normal(size=(15, 3))
    line = line_at([-400.0, 0.0, 500.0, 1000.0, 1500.0], 12.0) + rng.normal(size=(5, 3))
    hull[4, 2] += 15.0
    line[3, 1] -= 15.0
    said = {"hull": rows("H", hull), "line": rows("S", line)}
    side = one(**said)
    assert [p.name for p in side.hull if p.out] == ["H5"]
    assert [p.name for p in side.line if p.out] == ["S4"]
    words = [str(w) for w in doubts(side)]
    assert any(w.startswith("H5 is out of line") for w in words)
    assert any(w.startswith("S4 is out of line") for w in words)
    for name, value in as_defined().items():
        figure = side.figures[name]
        assert abs(figure.value - value) < 1.5 * (figure.within or 0.0)
    said["hull"][4]["use"] = "always"
    kept = one(**said)
    assert [p.name for p in kept.hull if p.out] == []
    assert any("kept as the file asks" in str(w) for w in doubts(kept))
    said["hull"][4]["use"] = "no"
    assert "H5" not in [p.name for p in one(**said).hull]


def test_few_points_are_said_to_check_nothing() -> None:
    words = [
        str(w)
        for w in doubts(
            one(
                hull=rows("H", hull_at(GRID[[0, 2, 7, 12, 14]], 250.0, 2.0, 20.0)), line=made().model_dump()["line"][:3]
            )
        )
    ]
    assert any("5 hull points: nothing checks them" in w for w in words)
    assert any("3 points on the shaft line: nothing checks them" in w for w in words)
    assert any("taken as flat" in w for w in words)


@pytest.mark.parametrize(
    ("places", "said"),
    [
        (GRID * [1.0, 0.15], "nearly in one line"),
        (GRID * [0.3, 0.3], "beyond the points"),
        (
            np.repeat(GRID[[0, 2, 12, 14]], 3, axis=0) + np.tile([[0, 0], [4, 3], [-3, 4]], (4, 1)),
            "12 points lie in 4 clusters",
        ),
    ],
)
def test_points_that_stand_badly_are_told(places: Floats, said: str) -> None:
    side = one(hull=rows("H", hull_at(places, 250.0, 2.0, 20.0)))
    assert any(said in str(words) for words in doubts(side)), [str(w) for w in doubts(side)]
    assert not any(said in str(words) for words in doubts(one()))


def test_many_points_side_by_side_are_no_cluster() -> None:
    dense = np.array([(x, y) for x in np.linspace(-160, 160, 9) for y in np.linspace(-90, 90, 6)])
    side = one(hull=rows("H", hull_at(dense, 250.0, 2.0, 20.0)))
    assert not any("clusters" in str(words) for words in doubts(side))


def test_an_angle_in_plan_that_was_not_measured_is_not_sure() -> None:
    said = {"shaft": 12.0, "run": 2.0, "deadrise": 20.0}
    only = {"hull": [], "line": [], "places": [], "drop": {"vertical": 250.0}}
    silent, told = one(**only, angles=said), one(**only, angles={**said, "plan": 0.0})
    assert silent.figures["plan_deg"].within is None
    assert any("in plan" in str(words) for words in doubts(silent))
    assert told.figures["plan_deg"].within == pytest.approx(0.196, abs=1e-3)
    assert not any("in plan" in str(words) for words in doubts(told))


def test_points_in_one_line_are_refused() -> None:
    with pytest.raises(ValueError, match="in one line"):
        one(hull=rows("H", hull_at(GRID * [1.0, 0.0], 250.0, 2.0, 20.0)))


def test_more_scatter_than_stated_counts() -> None:
    hull = hull_at(GRID, 250.0, 2.0, 20.0)
    hull[:, 2] += 8.0 * np.cos(2.3 * np.arange(15) ** 1.5)
    side = one(hull=rows("H", hull))
    assert side.scatter.grown
    assert side.scatter.mm > 3.0
    assert any("more than was stated" in str(words) for words in doubts(side))


def test_two_sides_at_once_and_their_asymmetry() -> None:
    port, line = hull_at(GRID, 250.0, 2.0, 20.0), line_at([-400.0, 0.0, 500.0, 1000.0, 1500.0], 12.0, 1.0)
    over = np.array([0.0, 900.0, 0.0])

    def pair(more_mm: float) -> Any:
        star = port * [1.0, -1.0, 1.0] + [0.0, 0.0, more_mm]
        hull = [*rows("P", port + over, side="port"), *rows("S", star - over, side="starboard")]
        lines = [*rows("p", line + over, side="port"), *rows("s", line * [1, -1, 1] - over, side="starboard")]
        return survey(made(side="pair", hull=hull, line=lines))

    same, other = pair(0.0), pair(6.0)
    assert {n: f.value for n, f in same.asymmetry.items() if n != "tip_mm"} == pytest.approx(
        dict.fromkeys((n for n in same.asymmetry if n != "tip_mm"), 0.0), abs=1e-6
    )
    assert other.asymmetry["drop_mm"].value == pytest.approx(-6.0 / (250.0 / as_defined()["drop_mm"]), abs=0.3)
    assert "alike" in str(asymmetry(same)[0])
    assert str(asymmetry(other)[0]).startswith("port less starboard: drop -")


def test_a_palm_on_the_keel_is_level_and_says_what_is_not() -> None:
    hull = hull_at(GRID, 250.0, 2.0, 3.0)
    side = one(side="centre", hull=rows("H", hull))
    assert (side.plane.tilt_deg, side.figures["deadrise_deg"].value) == (0.0, 0.0)
    assert side.tilt_free is not None
    assert side.tilt_free.value == pytest.approx(3.0, abs=0.1)
    assert any("out of level" in str(words) for words in doubts(side))
    unsure = one(side="centre", hull=rows("H", hull), instrument={}, line=rows("S", line_at([-400.0, 500.0], 12.0)))
    assert any("out of level (how sure nothing tells)" in str(words) for words in doubts(unsure))


def test_two_palms_on_a_keel_take_both_sides_as_one() -> None:
    shipped = {n: resolve(loader.load(p)) for n, p in loader.shipped().items() if not n.startswith("failing/")}
    found = next(r for r in shipped.values() if len({p.plane for p in r.strut.palms}) == 2)
    wide = np.array([(x, s * y) for x in (-150.0, 0.0, 150.0) for y in (60.0, 180.0, 300.0) for s in (1.0, -1.0)])
    hull = hull_at(np.abs(wide) * [1, 1] * np.sign(np.column_stack([wide[:, 0] + 0.1, np.ones(18)])), 250.0, 2.0, 15.0)
    hull[:, 1] = wide[:, 1]
    side = survey(made(side="centre", palm={}, hull=rows("H", hull)), found).sides[0]
    assert side.model.folded
    assert side.figures["deadrise_deg"].value == pytest.approx(15.0, abs=1e-6)
    assert dataclasses.astuple(side.plane)[1] == pytest.approx(14.0, abs=1e-6)
