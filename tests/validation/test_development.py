"""Rolled-out ends and footprints against closed forms, a special-function library and the solid modeller.

Closed forms are plain geometry of cylinder, plane and ellipse (worked here or in any plane-trigonometry text); figures
marked "worked example" were calculated by hand with them.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

import numpy as np
import pytest
from scipy import integrate, special

from strutwright.models import frames
from strutwright.models.shop import arm_ends, cuts, sides
from strutwright.models.shop import development as dev
from strutwright.models.spec import Arm, BarrelEnd, PalmPlane, Strut

sys.path.insert(0, str(Path(__file__).parent.parent))
from support import example_strut


def with_arm(radius_mm: float, plane: PalmPlane | None = None, ends: BarrelEnd | None = None, **changes: Any) -> Strut:
    """Return a strut with one arm changed; without taper unless asked."""
    strut = example_strut("single")
    arm = replace(strut.arms[0], **changes)
    end = ends or BarrelEnd(shape="straight", length_mm=0.0, end_diameter_mm=2 * radius_mm)
    barrel = replace(strut.barrel, outside_mm=2 * radius_mm, aft_end=end, forward_end=end)
    strut = replace(strut, barrel=barrel, arms=(arm,))
    if plane is not None:
        axes = frames.arm_axes(arm, barrel, plane)
        x, y, z = (float(c) for c in frames.meet_plane(plane, axes.origin, axes.n))
        strut = replace(strut, palms=(replace(strut.palms[0], plane=plane, zero_mm=(x, y, z)),))
    return strut


def straight(chord: float, thickness: float) -> dict[str, Any]:
    return {
        "chord_barrel_mm": chord,
        "chord_palm_mm": chord,
        "thickness_barrel_mm": thickness,
        "thickness_palm_mm": thickness,
    }


def round_tube(alpha_deg: float, r: float) -> dict[str, Any]:
    """A round tube at an angle to the barrel: sections along the shaft are ellipses, drawn out by 1/sin(alpha)."""
    return {
        "shape": "ellipse",
        "rake_deg": 90.0 - alpha_deg,
        "clock_deg": 0.0,
        **straight(2 * r / math.sin(math.radians(alpha_deg)), 2 * r),
    }


def right_section(strut: Strut, arm: Arm) -> tuple[sides.Side, np.ndarray, np.ndarray, np.ndarray]:
    """Return the side, and x (forward, square to the axis), y and height of the cut."""
    side = sides.arm_side(strut, arm)
    cut = cuts.meet_barrel(strut.barrel, side)
    a = side.axes
    forward = frames.unit(a.u - float(a.u @ a.n) * a.n)
    p = cut.points - a.origin
    return side, p @ forward, p @ a.v, cut.height_mm


@pytest.mark.parametrize(("radius", "thickness", "saddle"), [(49.0, 30.0, 2.35), (45.0, 20.0, 1.13)])
def test_flat_sided_arm_square_to_the_barrel(radius: float, thickness: float, saddle: float) -> None:
    # R - sqrt(R^2 - (t/2)^2); the two decimals are a worked example
    strut = with_arm(radius, shape="flat", edge_radius_mm=2.0, **straight(100.0, thickness))
    cut = cuts.meet_barrel(strut.barrel, sides.arm_side(strut, strut.arms[0]))
    depth = float(np.ptp(cut.height_mm))
    assert depth == pytest.approx(radius - math.sqrt(radius**2 - (thickness / 2) ** 2), abs=1e-12)
    assert depth == pytest.approx(saddle, abs=0.005)


# Worked example: R 45, r 20, 80 degrees, at 0, 45 ... 315 degrees round the tube from its obtuse side.
TUBE = (42.17, 40.89, 40.93, 45.87, 49.22, 45.87, 40.93, 40.89)


def test_round_tube_on_the_barrel_worked_example() -> None:
    strut = with_arm(45.0, **round_tube(80.0, 20.0))
    _, x, y, w = right_section(strut, strut.arms[0])
    phi = np.degrees(np.arctan2(y, x)) % 360.0
    order = np.argsort(phi)
    at = np.interp(np.arange(8) * 45.0, phi[order], w[order], period=360.0)
    assert at == pytest.approx(TUBE, abs=0.006)


def test_tube_wrap_has_the_tube_s_girth_and_the_closed_curve() -> None:
    strut = with_arm(45.0, **round_tube(80.0, 20.0))
    side = sides.arm_side(strut, strut.arms[0])
    wrap = dev.barrel_wrap(side, cuts.meet_barrel(strut.barrel, side), paper_mm=0.0)
    # The far edge is an oblique section too: its run to the right is the girth of the round tube, 125.66.
    across = wrap.outline.bounding_box()
    assert across.xmax - across.xmin == pytest.approx(2 * math.pi * 20.0, abs=2e-3)
    # Every point of the drawn edge against the closed form, rolled out: phi = x / r from the leading edge.
    points = wrap.edge.polyline(0.001)
    phi = points[:, 0] / 20.0
    alpha = math.radians(80.0)
    x, y = 20.0 * np.cos(phi), 20.0 * np.sin(phi)
    w = (np.sqrt(45.0**2 - y**2) - x * math.cos(alpha)) / math.sin(alpha)
    # y = 0 is where the leading edge meets the reference section
    zero = wrap.reference_mm - 20.0 / math.tan(alpha)
    assert np.abs(points[:, 1] + zero - w).max() < 0.03


@pytest.mark.parametrize("alpha_deg", [65.0, 80.0, 90.0, 97.0])
@pytest.mark.parametrize("radius", [30.0, 45.0])
def test_elliptical_arm_against_the_closed_form(radius: float, alpha_deg: float) -> None:
    # w = (sqrt(R^2 - y^2) - x cos(alpha)) / sin(alpha), x aft-leaning axis forward positive, exact
    strut = with_arm(radius, shape="ellipse", rake_deg=90.0 - alpha_deg, clock_deg=0.0, **straight(90.0, 26.0))
    _, x, y, w = right_section(strut, strut.arms[0])
    a = math.radians(alpha_deg)
    assert w == pytest.approx((np.sqrt(radius**2 - y**2) - x * math.cos(a)) / math.sin(a), abs=1e-9)


def test_footprint_goes_round_the_outside_by_the_arc() -> None:
    # distance round = R asin(y / R) on paper without thickness, (R + p/2) asin(y / R) on paper p thick
    strut = with_arm(45.0, shape="flat", edge_radius_mm=3.0, clock_deg=0.0, **straight(100.0, 20.0))
    side = sides.arm_side(strut, strut.arms[0])
    for paper in (0.0, 0.1):
        box = dev.footprint(strut.barrel, side, paper).outline.bounding_box()
        assert box.ymax == pytest.approx((45.0 + paper / 2) * math.asin(10.0 / 45.0), abs=1e-6)
        assert box.xmax - box.xmin == pytest.approx(100.0, abs=1e-6)
    assert float(dev.round_mm(strut.barrel, 360.0, 0.1)) == pytest.approx(math.pi * (90.0 + 0.1))


@pytest.mark.parametrize(("chord", "thickness"), [(90.0, 20.0), (120.0, 36.0), (60.0, 60.0)])
def test_girth_of_an_ellipse_is_the_elliptic_integral(chord: float, thickness: float) -> None:
    # perimeter = 4 a E(1 - b^2/a^2); scipy.special.ellipe. Paper adds pi times its thickness round any convex section.
    strut = with_arm(60.0, shape="ellipse", **straight(chord, thickness))
    side = sides.arm_side(strut, strut.arms[0])
    a, b = chord / 2, thickness / 2
    exact = 4 * a * special.ellipe(1 - (b / a) ** 2)
    cut = cuts.meet_barrel(strut.barrel, side)
    assert dev.barrel_wrap(side, cut, 0.0).girth_mm == pytest.approx(exact, abs=1e-3)
    assert dev.barrel_wrap(side, cut, 0.2).girth_mm == pytest.approx(exact + 0.2 * math.pi, abs=1e-3)


@pytest.mark.parametrize("shape", ["flat", "two_arcs", "foil"])
def test_paper_adds_pi_times_its_thickness_round_corners_too(shape: str) -> None:
    # Steiner's formula for the parallel curve of a convex outline
    strut = with_arm(60.0, shape=shape, edge_radius_mm=2.0 if shape == "flat" else 0.0, **straight(100.0, 20.0))
    side = sides.arm_side(strut, strut.arms[0])
    girths = [dev.barrel_wrap(side, cuts.meet_barrel(strut.barrel, side), p).girth_mm for p in (0.0, 0.3)]
    assert girths[1] - girths[0] == pytest.approx(0.3 * math.pi, abs=1e-4 if shape != "foil" else 1e-3)


def test_a_cone_rolls_out_to_a_sector() -> None:
    # A round cone of half angle q rolls out to a sector of angle 2 pi sin(q); circles at slant s to arcs of radius s
    slant = 300.0
    q = math.radians(6.0)
    phi = np.linspace(0.0, 2 * math.pi, 1441)
    ring = np.column_stack((math.sin(q) * np.cos(phi), math.sin(q) * np.sin(phi), np.full_like(phi, math.cos(q))))
    low, high = dev.unroll(slant * ring, (slant + 60.0) * ring)
    first, last = high[0] - low[0], high[-1] - low[-1]
    turned = math.atan2(first[0] * last[1] - first[1] * last[0], float(first @ last))
    assert -turned == pytest.approx(2 * math.pi * math.sin(q), abs=1e-5)
    apex = low[0] - first / 60.0 * slant
    assert np.hypot(*(low - apex).T) == pytest.approx(np.full(len(phi), slant), abs=1e-3)


def test_tapered_flat_arm_lies_flat_with_its_true_widths() -> None:
    # A plate's faces are planes: on the wrap the distance between two points of one face is the one in space
    strut = with_arm(
        45.0,
        shape="flat",
        edge_radius_mm=2.0,
        chord_barrel_mm=100.0,
        chord_palm_mm=140.0,
        thickness_barrel_mm=20.0,
        thickness_palm_mm=20.0,
    )
    side = sides.arm_side(strut, strut.arms[0])
    cut = cuts.meet_barrel(strut.barrel, side)
    low, high = dev.unroll(cut.points, side.at(120.0))
    face = max(side.pieces, key=lambda p: float(np.linalg.norm(side.near[p[1]] - side.near[p[0]])))
    for i, j in ((face[0], face[1]), (face[0] + 10, face[1] - 40)):
        flat = math.dist(low[i], high[j])
        true = float(np.linalg.norm(cut.points[i] - side.at(120.0)[j]))
        assert flat == pytest.approx(true, abs=1e-9)


@pytest.mark.parametrize(
    ("shape", "radius_at_x"),
    [
        # outside radius at strut x within the last 40 of 180 on a 90 outside, 60 at the face
        ("tapered", lambda inset: 30.0 + 15.0 * inset / 40.0),
        # the arc from the face that meets the outside tangent: radius (40^2 + 15^2) / 30
        ("rounded", lambda inset: 45.0 - (1825 / 30 - math.sqrt((1825 / 30) ** 2 - (40.0 - inset) ** 2))),
    ],
)
def test_faired_ends_are_met_on_their_true_surface(
    shape: Literal["tapered", "rounded"], radius_at_x: Callable[[float], float]
) -> None:
    end = BarrelEnd(shape=shape, length_mm=40.0, end_diameter_mm=60.0)
    strut = with_arm(45.0, ends=end, shape="ellipse", rake_deg=12.0, **straight(140.0, 24.0))
    cut = cuts.meet_barrel(strut.barrel, sides.arm_side(strut, strut.arms[0]))
    inset = 90.0 - np.abs(cut.points[:, 0])
    wanted = np.array([45.0 if d >= 40.0 else radius_at_x(d) for d in inset])
    assert cut.faired.any()
    assert not cut.faired.all()
    assert np.hypot(cut.points[:, 1], cut.points[:, 2]) == pytest.approx(wanted, abs=1e-9)


def test_palm_bevel_of_a_flat_arm_is_the_angle_of_two_planes() -> None:
    # Pitch 0: the side of an upright plate and a palm tilted by phi meet at 90 - phi on the side the palm falls to
    strut = with_arm(
        45.0,
        PalmPlane(drop_mm=250.0, pitch_deg=0.0, tilt_deg=18.0),
        shape="flat",
        edge_radius_mm=2.0,
        clock_deg=0.0,
        **straight(100.0, 20.0),
    )
    rows = arm_ends.bevel_table(strut, strut.arms[0])
    # The palm rises to port: toward starboard it comes down to the arm's side.
    assert rows[4].where == "starboard side"
    assert rows[4].angle_deg == pytest.approx(72.0, abs=1e-9)
    assert rows[4].kind == "acute"
    assert rows[12].angle_deg == pytest.approx(108.0, abs=1e-9)
    assert rows[12].kind == "obtuse"
    assert rows[0].angle_deg == pytest.approx(90.0, abs=1e-9)
    assert rows[8].angle_deg == pytest.approx(90.0, abs=1e-9)
    # With pitch, the ends of the chord lie in the plane of the pitch.
    plane = PalmPlane(drop_mm=250.0, pitch_deg=10.0, tilt_deg=0.0)
    strut = with_arm(45.0, plane, shape="ellipse", clock_deg=0.0, **straight(100.0, 20.0))
    rows = arm_ends.bevel_table(strut, strut.arms[0])
    # The hull rises aft from the shaft, so the water under it opens aft.
    assert rows[0].angle_deg == pytest.approx(100.0, abs=1e-9)
    assert rows[8].angle_deg == pytest.approx(80.0, abs=1e-9)
    assert [r.angle_deg for r in rows[1:8]] == pytest.approx([r.angle_deg for r in rows[15:8:-1]], abs=1e-9)


def test_lengths_of_an_upright_flat_arm() -> None:
    # Plane and cylinder: at x the water face is at drop - t/cos - x tan(pitch); the sides start at sqrt(R^2 - (t/2)^2)
    plane = PalmPlane(drop_mm=250.0, pitch_deg=10.0, tilt_deg=0.0)
    strut = with_arm(45.0, plane, shape="flat", edge_radius_mm=0.0, clock_deg=0.0, **straight(100.0, 20.0))
    q = math.radians(10.0)
    thickness = strut.palms[0].thickness_mm
    middle = 250.0 - thickness / math.cos(q)
    side = math.sqrt(45.0**2 - 10.0**2)
    made = arm_ends.arm_lengths(strut, strut.arms[0])
    assert made.axis_mm == pytest.approx(middle - 45.0, abs=1e-9)
    assert made.to_hull_face_mm == pytest.approx(205.0, abs=1e-9)
    assert made.longest_mm == pytest.approx(middle + 50 * math.tan(q) - side, abs=1e-9)
    # the shortest line starts at the top of the barrel, in the middle of the leading edge
    assert made.shortest_mm == pytest.approx(middle - 50 * math.tan(q) - 45.0, abs=1e-9)


def test_girth_of_the_footprint_by_quadrature() -> None:
    # A round arm square to the barrel, on the barrel rolled out: x = r cos t, y = R asin(r sin t / R)
    big, r = 50.0, 22.0
    strut = with_arm(big, **round_tube(90.0, r))
    shape = dev.footprint(strut.barrel, sides.arm_side(strut, strut.arms[0]), 0.0)

    def speed(t: float) -> float:
        return math.hypot(r * math.sin(t), r * math.cos(t) / math.sqrt(1 - (r * math.sin(t) / big) ** 2))

    exact, _ = integrate.quad(speed, 0.0, 2 * math.pi)
    assert shape.outline.perimeter_mm() == pytest.approx(exact, abs=2 * dev.FIT_MM)  # arcs within FIT_MM of it


def test_an_arm_as_thick_as_the_barrel_is_told() -> None:
    strut = with_arm(30.0, shape="ellipse", **straight(100.0, 62.0))
    with pytest.raises(sides.DevelopmentError, match="passes by the barrel"):
        cuts.meet_barrel(strut.barrel, sides.arm_side(strut, strut.arms[0]))


def test_the_modeller_finds_the_same_saddle() -> None:
    """The edge in which the modelled arm meets the modelled barrel, cut by the kernel, lies on our curve."""
    import cadquery as cq

    from strutwright.models.solids import arm as arms
    from strutwright.models.solids import barrel as barrels
    from strutwright.models.solids import kernel

    strut = with_arm(
        42.0,
        shape="ellipse",
        rake_deg=6.0,
        toe_deg=4.0,
        clock_deg=8.0,
        chord_barrel_mm=100.0,
        chord_palm_mm=120.0,
        thickness_barrel_mm=22.0,
        thickness_palm_mm=28.0,
    )
    arm = strut.arms[0]
    side = sides.arm_side(strut, arm)
    cut = cuts.meet_barrel(strut.barrel, side)
    whole = barrels.envelope(strut.barrel, frames.radial(180.0))
    _, roots = kernel.fuse(whole, arms.plain(strut, arm, 0.0))
    found = np.array([e.positionAt(s).toTuple() for e in roots for s in np.linspace(0.0, 1.0, 25)])
    found = found[found[:, 2] > 0.0]
    assert len(found) >= 50
    ring = cq.Wire.makePolygon([cq.Vector(*p) for p in cut.points[::4]], close=True)
    gaps = [ring.distance(cq.Vertex.makeVertex(*p)) for p in found]
    assert max(gaps) < 0.01
