"""Palm planes, drops, footprints and distances that the checks of geometry stand on, against hand working and brute
force.

The source and the standing of a figure stand beside it: published, common practice, from memory, calculated.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from checks_support import of_code, strut

from strutwright.models import frames
from strutwright.models.checks import geometry_checks
from strutwright.models.checks.geometry.screws import run_to_hull_mm
from strutwright.models.finding import Verdict
from strutwright.models.geometry import members, shapes
from strutwright.models.geometry.polygons import distance_to_polygon
from strutwright.models.outline import polygon
from strutwright.models.spec import PalmPlane, Strut
from strutwright.models.struts import Struts


def tilted(tilt_deg: float) -> frames.Axes:
    """Palm axes of the strut worked by hand: drop 350, shaft to hull 12, athwart tilt 20.4 degrees."""
    return frames.plane_axes(350.0, 12.0, tilt_deg)


@pytest.mark.parametrize("side", [1, -1])
def test_palm_plane_worked_by_hand(side: int) -> None:
    """Calculated by hand from z = D - x tan(theta) + y tan(phi); five figures."""
    a = tilted(20.4 * side)
    assert a.n == pytest.approx([0.19539, -0.34185 * side, 0.91922], abs=1e-5)
    assert a.u == pytest.approx([0.97815, 0.0, -0.20791], abs=1e-5)
    assert a.v == pytest.approx([0.07108 * side, 0.93975, 0.33438 * side], abs=1e-5)
    assert frames.shaft_to_palm_deg(12.0, 20.4 * side) == pytest.approx(11.267, abs=5e-4)
    assert 350.0 * frames.drop_factors(12.0, 0.0, 12.0, 20.4)[1] == pytest.approx(321.73, abs=5e-3)
    assert abs(frames.trace_to_projection_deg(12.0, 20.4 * side)) == pytest.approx(4.16, abs=5e-3)


@pytest.mark.parametrize(
    ("side", "hole", "point"),
    [
        (1, (-130, -50), (-130.71, -46.99, 360.31)),
        (1, (130, 50), (130.71, 46.99, 339.69)),
        (-1, (-130, -50), (-123.61, -46.99, 393.75)),
        (-1, (130, 50), (123.61, 46.99, 306.25)),
    ],
)
def test_hole_positions_worked_by_hand(side: int, hole: tuple[float, float], point: tuple[float, ...]) -> None:
    """Calculated by hand: P = O + u e1 + v e2."""
    assert tilted(20.4 * side).to_strut(np.array([hole]))[0] == pytest.approx(point, abs=6e-3)


@pytest.mark.parametrize(("aft", "forward"), [(4.0, 8.0), (10.0, 40.0), (60.0, 30.0)])
def test_what_is_advised_of_uneven_screws_ends_every_finding_of_their_places(aft: float, forward: float) -> None:
    """M8 screws stand at least 12 mm inside their bearing (1.5 of the screw; common practice, no source)."""

    def placed(aft_mm: float, forward_mm: float) -> Strut:
        ends = (("bearing_aft", aft_mm), ("bearing_forward", forward_mm))
        where = [{"end": end, "distance": mm, "clock": 90} for end, mm in ends]
        return strut("single", {"set_screws": {"positions": where}})

    (uneven,) = of_code(geometry_checks(placed(aft, forward)), "screws_symmetric")
    advised = float(uneven.to_do("mm").partition("about ")[2].partition(" mm")[0])
    assert uneven.verdict is Verdict.WARN
    assert advised == max(12.0, (aft + forward) / 2)
    after = geometry_checks(placed(advised, advised))
    for code in ("screws_symmetric", "screw_inside_bearing"):
        assert {f.verdict for f in of_code(after, code)} == {Verdict.OK}


def test_centre_line_hole_worked_by_hand() -> None:
    """Calculated: shaft to hull 9, drop 375, hole (100, 40)."""
    axes = frames.plane_axes(375.0, 9.0, 0.0)
    assert axes.to_strut(np.array([[100.0, 40.0]]))[0] == pytest.approx((98.77, 40.00, 359.36), abs=5e-3)


def test_arm_edges_at_the_palm() -> None:
    """An upright arm's edges at x = +95 and -95 meet the palm at z = 329.81 and 370.19 (calculated)."""
    for x, z in ((95.0, 329.81), (-95.0, 370.19)):
        met = frames.meet_plane(
            PalmPlane(drop_mm=350.0, pitch_deg=12.0, tilt_deg=20.4), np.array([x, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
        )
        assert met[2] == pytest.approx(z, abs=5e-3)


def test_starboard_palm_is_the_mirror_of_the_port_one() -> None:
    """S(u, v) is the mirror image of P(u, -v) (follows from geometry)."""
    u, v = 87.0, -33.0
    port, starboard = tilted(20.4), tilted(-20.4)
    assert starboard.to_strut(np.array([[u, v]]))[0] == pytest.approx(
        port.to_strut(np.array([[u, -v]]))[0] * (1, -1, 1), abs=1e-12
    )


def test_three_drops_and_deadrise_square_to_the_shaft() -> None:
    """12 degrees down, no run, 20 deadrise, 250 plumb: 255.6 square to the shaft, 234.9 to the hull; 20 seen as 20.41
    (calculated)."""
    s = strut(
        "single",
        {
            "hull": {
                "shaft_angle": {"to_waterline": 12},
                "deadrise": 20,
                "drop": {"square_to_shaft": None, "vertical": 250},
            }
        },
    )
    hull = s.hull
    assert hull.drop_vertical_mm == pytest.approx(250.0)
    assert hull.drop_square_to_shaft_mm == pytest.approx(255.6, abs=0.05)
    assert hull.drop_square_to_hull_mm == pytest.approx(234.9, abs=0.05)
    assert s.palms[0].plane.tilt_deg == pytest.approx(20.41, abs=5e-3)


def test_drop_moves_along_the_barrel() -> None:
    """Over half of a 150 mm barrel at 12 degrees the drop moves 16 mm (calculated)."""
    hull = {"shaft_angle": {"to_waterline": 12}, "deadrise": 0}
    aft, mid = (
        strut(
            "single",
            {
                "hull": {**hull, "drop": {"at": at}},
                "barrel": {"length": 150},
                "bearing": {"length": 150},
                "arms": {"position": {"distance": 75}},
            },
        ).hull.drop_square_to_shaft_mm
        for at in ("aft", "mid")
    )
    assert mid - aft == pytest.approx(16.0, abs=0.1)


@pytest.mark.parametrize("angle", [50.0, 60.0, 90.0])
def test_leg_length_of_a_vee_off_the_centre_line(angle: float) -> None:
    """Bisector square to the bottom: both legs D cos(phi) / cos(psi / 2), palms psi / 2 off square (calculated)."""
    s = strut(
        "vee",
        {
            "identity": {"hand": "port"},
            "hull": {"deadrise": 15},
            "arms": {"included_angle": angle, "stance": "square_to_bottom"},
        },
    )
    phi = math.radians(s.palms[0].plane.tilt_deg)
    want = s.hull.drop_square_to_shaft_mm * math.cos(phi) / math.cos(math.radians(angle / 2))
    # The arms leave the shaft line x forward of mid-barrel, where the hull is nearer by x tan(theta).
    x = s.barrel.x(s.arms[0].station_mm)
    want *= 1 - x * math.tan(math.radians(s.hull.shaft_to_hull_deg)) / s.hull.drop_square_to_shaft_mm
    for arm in s.arms:
        assert frames.arm_ends_mm(arm, s.barrel, frames.arm_plane(s, arm))[1] == pytest.approx(want, abs=1e-9)
    for f in of_code(geometry_checks(s), "palm_tilt"):
        assert f.actual == pytest.approx(angle / 2, abs=1e-9)


def test_footprint_is_a_shear_and_a_stretch() -> None:
    """A point (x, y) of an upright arm of even section lands at u = x/cos(theta) - y tan(phi) sin(theta), v = P . e2
    (calculated from the plane's equation)."""
    s = strut(
        "single",
        {
            "hull": {"shaft_angle": {"to_waterline": 12}, "deadrise": 20},
            "arms": {"section": {"shape": "ellipse", "chord_at_palm": 140, "thickness_at_palm": 28}},
        },
    )
    foot = shapes.arm_footprints(s, s.arms[0], [0.0])[0]
    theta, phi = math.radians(s.palms[0].plane.pitch_deg), math.radians(s.palms[0].plane.tilt_deg)
    along = np.array([1 / math.cos(theta), -math.tan(phi) * math.sin(theta)])
    across = np.array([[1, 0, -math.tan(theta)], [0, 1, math.tan(phi)]]) @ frames.palm_axes(s.palms[0]).v
    xy = np.linalg.solve(np.stack([along, across]), foot.T)
    assert (xy[0] / 70) ** 2 + (xy[1] / 14) ** 2 == pytest.approx(1.0, abs=1e-9)
    assert np.ptp(xy, axis=1) == pytest.approx([140, 28], rel=1e-3)


def test_fillet_reaches_further_in_the_sharp_corner() -> None:
    """A fillet ends r / tan(a/2) from the corner: r tan 60 in a corner of 60 degrees, r tan 30 in one of 120
    (tangent length of an arc between two lines; any handbook of geometry)."""
    s = strut(
        "flat",
        {
            "identity": {"hand": "port"},
            "hull": {"deadrise": 0, "shaft_angle": {"to_waterline": 0}},
            "arms": {"stance": 30, "section": {"thickness": 30, "chord_at_palm": 140}},
        },
    )
    foot = shapes.arm_footprints(s, s.arms[0], [s.palms[0].thickness_mm])[0]
    toe = members.palm_toe(s, s.arms[0])
    sides = np.abs(toe[:, 0] - foot[:, 0].mean()) < 20
    port = toe[:, 1] > foot[:, 1].mean()
    # Its palm end lies to port, so below the palm the arm hangs over the starboard side: there the corner is sharp.
    assert foot[:, 1].min() - toe[sides & ~port, 1] == pytest.approx(8 * math.tan(math.radians(60)), abs=1e-6)
    assert toe[sides & port, 1] - foot[:, 1].max() == pytest.approx(8 * math.tan(math.radians(30)), abs=1e-6)
    leg = strut("vee")
    away = distance_to_polygon(
        members.palm_toe(leg, leg.arms[0]), shapes.arm_footprints(leg, leg.arms[0], [leg.palms[0].thickness_mm])[0]
    )
    assert away == pytest.approx(7.0, abs=0.2)  # the footprint is a polygon


def test_distance_to_a_polygon() -> None:
    """Against the outline's own exact distance, of the other sign."""
    corners = np.array([(0.0, 0.0), (40.0, -5.0), (60.0, 30.0), (25.0, 18.0), (-10.0, 33.0)])
    points = np.random.default_rng(7).uniform(-40, 90, (200, 2))
    want = -polygon([tuple(c) for c in corners]).distance_to_boundary(points)
    assert distance_to_polygon(points, corners) == pytest.approx(want, abs=1e-9)


def test_room_above_a_screw_by_steps() -> None:
    """The run to the hull found by walking until above the plane (follows from geometry)."""
    s = strut("single", {"hull": {"drop": {"square_to_shaft": 250}}})
    plane, out = s.palms[0].plane, frames.radial(-60.0)
    start = np.array([-90.0, 0.0, 0.0]) + s.barrel.outside_mm / 2 * out
    screw = replace(s.set_screws[0], clock_deg=-60.0, station_mm=s.barrel.length_mm / 2 - 90.0)
    t = np.arange(0.0, 2000.0, 0.01)
    p = start + t[:, None] * out
    above = p[:, 2] > plane.drop_mm - p[:, 0] * math.tan(math.radians(plane.pitch_deg)) + p[:, 1] * math.tan(
        math.radians(plane.tilt_deg)
    )
    assert run_to_hull_mm(Struts.of(s), screw, 0.0) == pytest.approx(float(t[above][0]), abs=0.02)
