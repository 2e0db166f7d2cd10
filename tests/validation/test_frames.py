"""Angles, drops and hole places against vector algebra done the long way round.

Every expected figure is derived by vector algebra: either worked out by hand and written below (to the digits shown),
or computed here with rotation matrices in the boat frame (x forward, y to port, z up), which is not how the project
computes it. Source: elementary vector algebra, no standard. The hull is the plane z = z0 - x tan(run) + s y
tan(deadrise) in the boat frame; the shaft falls by its angle going aft.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from strutwright.models import frames
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.spec import PalmPlane, mirrored
from strutwright.params.loader import loads

Vector = NDArray[np.float64]


@dataclass(frozen=True)
class Boat:
    """A shaft under a hull, measured in the boat frame: angles in degrees, drop square to the shaft in mm."""

    waterline: float
    run: float
    deadrise: float
    side: int
    drop: float

    @property
    def turn(self) -> Vector:
        """Rotation (3, 3) whose columns are the strut's axes in the boat frame: a turn about y, forward end up."""
        e = math.radians(self.waterline)
        return np.array([[math.cos(e), 0, -math.sin(e)], [0, 1, 0], [math.sin(e), 0, math.cos(e)]])

    @property
    def normal(self) -> Vector:
        """The hull's unit normal (3,) in the boat frame, upward."""
        t = math.tan(math.radians(self.run)), self.side * math.tan(math.radians(self.deadrise))
        n = np.array([t[0], -t[1], 1.0])
        return np.asarray(n / np.linalg.norm(n))

    @property
    def hull_point(self) -> Vector:
        """The hull point (3,) square above mid-barrel, boat frame, mid-barrel as origin."""
        return np.asarray(self.turn @ np.array([0, 0, self.drop]))

    def height_over(self, point: Vector, direction: Vector) -> float:
        """Distance (mm) from a boat-frame point to the hull along a unit direction (3,)."""
        return float((self.hull_point - point) @ self.normal / (direction @ self.normal))

    def in_strut(self, vector: Vector) -> Vector:
        """Return a boat-frame vector (3,) in the strut frame."""
        return np.asarray(self.turn.T @ vector)


def boats() -> st.SearchStrategy[Boat]:
    return st.builds(
        Boat, st.floats(0, 18), st.floats(-3, 6), st.floats(0, 35), st.sampled_from((-1, 0, 1)), st.floats(80, 1500)
    )


def project(boat: Boat) -> tuple[float, float]:
    """Return the project's (theta, phi) of a boat, degrees."""
    theta = boat.waterline + boat.run
    return theta, frames.athwart_tilt_deg(boat.deadrise, boat.run, theta, boat.side)


# --- hand-worked figures --------------------------------------------------------------------------------------------


def test_deadrise_seen_square_to_the_shaft() -> None:
    # tan(20) / cos(12) = 0.36397 / 0.97815 = 0.37210, whose angle is 20.41 degrees.
    assert frames.athwart_tilt_deg(20, 0, 12, 1) == pytest.approx(20.41, abs=0.005)
    assert frames.athwart_tilt_deg(20, 0, 12, -1) == pytest.approx(-20.41, abs=0.005)


def test_three_angles_of_a_twelve_degree_shaft_under_twenty_degrees_of_deadrise() -> None:
    # sin(gamma) = sin(12) cos(20) = 0.20791 * 0.93969 = 0.19537: gamma = 11.27 degrees.
    tilt = frames.athwart_tilt_deg(20, 0, 12, 1)
    assert frames.shaft_to_palm_deg(12, tilt) == pytest.approx(11.27, abs=0.005)
    assert frames.pitch_from_true_angle_deg(11.2665, 20, 0) == pytest.approx(12, abs=0.002)


def test_three_drops_of_a_vertical_drop_of_250() -> None:
    # Hull level fore and aft: 250 / cos(12) = 255.6 square to the shaft, 250 cos(20) = 234.9 square to the hull.
    tilt = frames.athwart_tilt_deg(20, 0, 12, 1)
    vertical, normal = frames.drop_factors(12, 0, 12, tilt)
    assert 250 / vertical == pytest.approx(255.6, abs=0.05)
    assert 250 / vertical * normal == pytest.approx(234.9, abs=0.05)


def test_trace_and_projection() -> None:
    # Port strut, theta 12, phi 20.4 degrees: the shaft's projection stands 4.16 degrees from the trace.
    assert abs(frames.trace_to_projection_deg(12, 20.4)) == pytest.approx(4.16, abs=0.005)
    assert frames.trace_to_projection_deg(12, -20.4) == -frames.trace_to_projection_deg(12, 20.4)
    assert frames.trace_to_projection_deg(12, 0) == 0


def test_a_bolt_on_the_wrong_axis_is_off_by_9_4_mm() -> None:
    # 2 * 130 * sin(4.16 / 2) = 9.4 mm at 130 mm from the palm zero.
    turn = math.radians(abs(frames.trace_to_projection_deg(12, 20.4)))
    assert 2 * 130 * math.sin(turn / 2) == pytest.approx(9.4, abs=0.05)


@pytest.mark.parametrize(
    ("side", "uv", "expected"),
    [
        (1, (-130, -50), (-130.71, -46.99, 360.31)),
        (1, (130, 50), (130.71, 46.99, 339.69)),
        (-1, (-130, -50), (-123.61, -46.99, 393.75)),
        (-1, (130, 50), (123.61, 46.99, 306.25)),
    ],
)
def test_hole_places_of_a_port_strut_and_its_twin(
    side: int, uv: tuple[float, float], expected: tuple[float, float, float]
) -> None:
    axes = frames.plane_axes(350, 12, side * 20.4)
    assert axes.to_strut(np.array([uv]))[0] == pytest.approx(expected, abs=0.006)


def test_axes_of_a_port_strut() -> None:
    axes = frames.plane_axes(350, 12, 20.4)
    assert axes.n == pytest.approx((0.19539, -0.34185, 0.91922), abs=6e-6)
    assert axes.u == pytest.approx((0.97815, 0, -0.20791), abs=6e-6)
    assert axes.v == pytest.approx((0.07108, 0.93975, 0.33438), abs=6e-6)
    assert axes.origin @ axes.n == pytest.approx(321.73, abs=0.006)  # square to the hull


def test_hole_place_on_the_centre_line() -> None:
    # u along (cos 9, 0, -sin 9): 100 cos 9 = 98.77, 375 - 100 sin 9 = 359.36.
    assert frames.plane_axes(375, 9, 0).to_strut(np.array([[100, 40]]))[0] == pytest.approx(
        (98.77, 40, 359.36), abs=0.006
    )


def test_arm_lands_where_the_plane_falls() -> None:
    # The plane falls 95 tan 12 = 20.19 over 95 mm.
    plane = PalmPlane(drop_mm=350, pitch_deg=12, tilt_deg=20.4)
    for x, z in ((95, 329.81), (-95, 370.19)):
        at = frames.meet_plane(plane, np.array([x, 0.0, 0.0]), np.array([0.0, 0.0, 1.0]))
        assert at == pytest.approx((x, 0, z), abs=0.006)


# --- the long way round ---------------------------------------------------------------------------------------------


@given(boats())
def test_palm_normal_is_the_hulls(boat: Boat) -> None:
    theta, phi = project(boat)
    assert frames.plane_axes(boat.drop, theta, phi).n == pytest.approx(boat.in_strut(boat.normal), abs=1e-12)


@given(boats())
def test_true_angle_is_between_shaft_and_plane(boat: Boat) -> None:
    theta, phi = project(boat)
    shaft = boat.turn[:, 0]
    true = math.degrees(math.asin(float(shaft @ boat.normal)))
    assert frames.shaft_to_palm_deg(theta, phi) == pytest.approx(true, abs=1e-9)
    if boat.side:
        assert frames.pitch_from_true_angle_deg(true, boat.deadrise, boat.run) == pytest.approx(theta, abs=1e-7)


@given(boats())
def test_drops_are_distances_in_three_directions(boat: Boat) -> None:
    theta, phi = project(boat)
    vertical, normal = frames.drop_factors(boat.waterline, boat.run, theta, phi)
    middle = np.zeros(3)
    assert vertical * boat.drop == pytest.approx(boat.height_over(middle, np.array([0.0, 0.0, 1.0])), rel=1e-12)
    assert normal * boat.drop == pytest.approx(boat.height_over(middle, boat.normal), rel=1e-12)


@given(boats())
def test_projection_is_the_shaft_less_its_part_along_the_normal(boat: Boat) -> None:
    theta, phi = project(boat)
    shaft, plumb = boat.turn[:, 0], np.cross(boat.turn[:, 1], boat.normal)
    shadow = shaft - (shaft @ boat.normal) * boat.normal
    trace = plumb if plumb @ shaft > 0 else -plumb  # in the hull and in the plumb plane of the shaft
    turn = math.atan2(float(np.cross(trace, shadow) @ boat.normal), float(trace @ shadow))
    assert frames.trace_to_projection_deg(theta, phi) == pytest.approx(math.degrees(turn), abs=1e-9)


@given(boats(), st.floats(-400, 400), st.floats(-300, 300))
def test_holes_lie_in_the_hull_and_at_their_distances(boat: Boat, u: float, v: float) -> None:
    theta, phi = project(boat)
    axes = frames.plane_axes(boat.drop, theta, phi)
    place = boat.turn @ axes.to_strut(np.array([[u, v]]))[0]
    assert float((place - boat.hull_point) @ boat.normal) == pytest.approx(0, abs=1e-9)
    assert float(np.linalg.norm(place - boat.hull_point)) == pytest.approx(math.hypot(u, v), abs=1e-9)
    assert axes.from_strut(axes.to_strut(np.array([[u, v]]), 7.0))[0] == pytest.approx((u, v, 7), abs=1e-9)


@given(boats(), st.floats(-400, 400), st.floats(-300, 300))
def test_starboard_is_the_mirror_of_port(boat: Boat, u: float, v: float) -> None:
    theta, phi = project(boat)
    port = frames.plane_axes(boat.drop, theta, phi).to_strut(np.array([[u, -v]]))[0]
    starboard = frames.plane_axes(boat.drop, theta, -phi).to_strut(np.array([[u, v]]))[0]
    assert starboard == pytest.approx(port * (1, -1, 1), abs=1e-9)


# --- the same through a file ----------------------------------------------------------------------------------------

FILE = """
identity: {{name: Measured, hand: {hand}}}
construction: cast
materials: {{strut: C95800}}
shaft: {{diameter: 35}}
barrel: {{length: 150}}
arms: {{arrangement: single, section: {{shape: foil, chord: 95, thickness: 20}}}}
palm: {{thickness: 14, outline: {{shape: rectangle, length: 210, width: 110}}}}
bolts: {{size: M10, pattern: {{kind: grid, along: 3, across: 2, pitch_along: 80, pitch_across: 74}}}}
hull:
  shaft_angle: {{{angle}}}
  run: {run}
  deadrise: {deadrise}
  drop: {{{drop}}}
"""


def strut_of(angle: str, drop: str, run: float = 0, deadrise: float = 0, hand: str = "port") -> Resolved:
    return resolve(loads(FILE.format(angle=angle, drop=drop, run=run, deadrise=deadrise, hand=hand)))


ANGLES = ("to_waterline", "to_hull", "to_palm")
DROPS = ("vertical", "square_to_shaft", "square_to_hull")


@settings(max_examples=25, deadline=None)
@given(boats().filter(lambda b: b.side != 0), st.sampled_from(("mid", "aft", "forward")))
def test_every_way_to_say_angle_and_drop_gives_the_same_strut(boat: Boat, at: str) -> None:
    hand = "port" if boat.side > 0 else "starboard"
    point = boat.turn @ np.array([{"mid": 0.0, "aft": -75.0, "forward": 75.0}[at], 0, 0])
    shaft = boat.turn[:, 0]
    angle = {
        "to_waterline": boat.waterline,
        "to_hull": boat.waterline + boat.run,
        "to_palm": math.degrees(math.asin(float(shaft @ boat.normal))),
    }
    drop = {
        "vertical": boat.height_over(point, np.array([0.0, 0.0, 1.0])),
        "square_to_shaft": boat.height_over(point, boat.turn[:, 2]),
        "square_to_hull": boat.height_over(point, boat.normal),
    }
    for a, d in zip((*ANGLES, "to_palm"), (*DROPS, "vertical"), strict=True):
        if angle[a] < -1 or drop[d] <= 0:
            continue
        found = strut_of(f"{a}: {angle[a]!r}", f"{d}: {drop[d]!r}, at: {at}", boat.run, boat.deadrise, hand).strut.hull
        assert found.shaft_to_hull_deg == pytest.approx(angle["to_hull"], abs=1e-6)
        assert found.shaft_to_waterline_deg == pytest.approx(boat.waterline, abs=1e-6)
        assert found.shaft_to_palm_deg == pytest.approx(angle["to_palm"], abs=1e-6)
        assert found.drop_square_to_shaft_mm == pytest.approx(boat.drop, abs=1e-4)
        assert found.drop_vertical_mm == pytest.approx(
            boat.height_over(np.zeros(3), np.array([0.0, 0.0, 1.0])), abs=1e-4
        )
        assert found.drop_square_to_hull_mm == pytest.approx(boat.height_over(np.zeros(3), boat.normal), abs=1e-4)
        assert found.conflicts == ()


@settings(max_examples=25, deadline=None)
@given(boats().filter(lambda b: b.side != 0 and b.deadrise > 0.5), st.sampled_from(("mid", "aft", "forward")))
def test_palms_on_both_sides_of_the_keel_lie_at_the_angle_and_drop_measured(boat: Boat, at: str) -> None:
    # A vee on the centre line of a V bottom, a palm on each arm: each lies on its own side of the bottom, so the true
    # angle and the distance square to the hull are those of that side. Source: vector algebra in the boat frame.
    one = replace(boat, side=1)
    point = one.turn @ np.array([{"mid": 0.0, "aft": -75.0, "forward": 75.0}[at], 0, 0])
    true = math.degrees(math.asin(float(one.turn[:, 0] @ one.normal)))
    square = one.height_over(point, one.normal)
    if true < -1 or square <= 0:
        return
    vee = FILE.replace("arrangement: single", "arrangement: vee, included_angle: 60 deg")
    found = resolve(
        loads(
            vee.format(
                angle=f"to_palm: {true!r}",
                drop=f"square_to_hull: {square!r}, at: {at}",
                run=one.run,
                deadrise=one.deadrise,
                hand="centre",
            )
        )
    ).strut
    assert found.hull.shaft_to_hull_deg == pytest.approx(one.waterline + one.run, abs=1e-6)
    assert found.hull.drop_square_to_shaft_mm == pytest.approx(one.drop, abs=1e-4)
    for palm, side in zip(found.palms, (1, -1), strict=True):
        normal = one.in_strut(replace(one, side=side).normal)
        axes = frames.palm_axes(palm)
        assert axes.n == pytest.approx(normal, abs=1e-9)
        assert found.hull.shaft_to_palm_deg == pytest.approx(math.degrees(math.asin(float(axes.n[0]))), abs=1e-9)
        assert found.hull.drop_square_to_hull_mm == pytest.approx(float(axes.origin @ axes.n), abs=1e-4)


def test_drop_moves_sixteen_millimetres_over_half_a_barrel() -> None:
    # 75 tan(12) = 15.94 mm between mid-barrel and the aft face; going aft the hull is farther from the shaft.
    mid = strut_of("to_hull: 12", "square_to_shaft: 250").strut.hull.drop_square_to_shaft_mm
    aft = strut_of("to_hull: 12", "square_to_shaft: 250, at: aft").strut.hull.drop_square_to_shaft_mm
    forward = strut_of("to_hull: 12", "square_to_shaft: 250, at: forward").strut.hull.drop_square_to_shaft_mm
    assert (mid, mid - aft, forward - mid) == pytest.approx((250, 15.94, 15.94), abs=0.005)


def test_inputs_that_differ_are_kept_as_conflicts() -> None:
    hull = strut_of("to_waterline: 10, to_hull: 13.5", "vertical: 250, square_to_shaft: 262", run=3).strut.hull
    # Shaft to hull governs; to the waterline it implies 13.5 - 3 = 10.5. A vertical 250 over a bottom rising 3 degrees
    # implies 250 / (cos(10.5) - tan(3) sin(10.5)) = 256.75 square to the shaft.
    said = {path: (given, implied) for path, given, implied in hull.conflicts}
    assert said["hull.drop.square_to_shaft"] == pytest.approx((262, 256.75), abs=0.005)
    assert said["hull.shaft_angle.to_waterline"] == pytest.approx((10, 10.5), abs=1e-9)


def test_run_follows_from_two_angles() -> None:
    hull = strut_of("to_waterline: 10, to_hull: 13", "square_to_shaft: 250").strut.hull
    assert hull.run_deg == pytest.approx(0)  # the file says run: 0
    said = FILE.format(
        angle="to_waterline: 10, to_hull: 13", drop="square_to_shaft: 250", run=0, deadrise=0, hand="port"
    ).replace("  run: 0\n", "")
    found = resolve(loads(said)).strut.hull
    assert (found.run_deg, found.shaft_to_waterline_deg) == pytest.approx((3, 10))
    assert found.conflicts == ()


def test_square_arm_meets_the_palm_at_right_angles() -> None:
    strut = resolve(
        loads(
            FILE.format(angle="to_hull: 12", drop="square_to_shaft: 250", run=0, deadrise=20, hand="port").replace(
                "single,", "single, stance: square_to_bottom,"
            )
        )
    ).strut
    for s in (strut, mirrored(strut)):
        arm = frames.arm_direction(s.arms[0].clock_deg, 0)
        palm = frames.palm_axes(s.palms[0])
        assert arm[1:] / np.linalg.norm(arm[1:]) == pytest.approx(palm.n[1:] / np.linalg.norm(palm.n[1:]), abs=1e-12)
