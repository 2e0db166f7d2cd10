"""Laws that every outline and every arc fit must keep, on random shapes.

The comparisons are geometry itself (rigid motions, similarity, the definition of a parallel curve) or shapely
(open planar-geometry library) on a dense polygon of the same shape.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from support import THOROUGH

from strutwright.models import outline as ol
from strutwright.models import sections
from strutwright.models.outline import Outline, OutlineError
from strutwright.models.outline.segments import POINT_TOL_MM
from strutwright.models.sections import Section, foil_halfthickness, properties

shapely = pytest.importorskip("shapely")

QUICK = settings(max_examples=40 if THOROUGH else 20, deadline=None)
sizes = st.floats(20.0, 400.0)
parts = st.floats(0.05, 0.95)


@st.composite
def outlines(draw: st.DrawFn) -> Outline:
    a, b, f = draw(sizes), draw(sizes), draw(parts)
    long, wide = max(a, b) + 1.0, min(a, b)
    kind = draw(st.sampled_from(("rectangle", "tapered", "stadium", "oval", "polygon", "lens")))
    if kind == "rectangle":
        return ol.rectangle(long, wide, 0.5 * f * wide)
    if kind == "tapered":
        return ol.tapered(long, wide, wide * (0.4 + 0.6 * f), 0.1 * wide)
    if kind == "stadium":
        return ol.stadium(long, wide)
    if kind == "oval":
        return ol.oval(long, max(wide, 0.1 * long))
    if kind == "lens":
        return Outline(np.array(((-long / 2, 0.0, f), (long / 2, 0.0, f))))
    n = draw(st.integers(3, 8))
    turn = 2 * np.pi * (np.arange(n) + 0.4 * f) / n
    return ol.polygon(np.column_stack((long * np.cos(turn), wide * np.sin(turn))))


@QUICK
@given(outlines(), st.floats(-7.0, 7.0), st.floats(-500.0, 500.0), st.floats(0.2, 5.0))
def test_area_and_moments_under_motion_and_scale(shape: Outline, angle: float, shift: float, k: float) -> None:
    m = shape.moments()
    polar = m.ixx_mm4 + m.iyy_mm4
    for moved, factor in (
        (shape.rotate(angle), 1.0),
        (shape.translate(shift, -shift), 1.0),
        (shape.mirror("x"), 1.0),
        (shape.mirror("y"), 1.0),
        (shape.reversed(), 1.0),
        (shape.normalised(), 1.0),
        (shape.scale(k), k),
    ):
        n = moved.moments()
        assert n.area_mm2 == pytest.approx(factor**2 * m.area_mm2, rel=1e-10)
        assert n.ixx_mm4 + n.iyy_mm4 == pytest.approx(factor**4 * polar, rel=1e-9)
        assert moved.perimeter_mm() == pytest.approx(factor * shape.perimeter_mm(), rel=1e-12)
    assert shape.mirror("x").is_ccw() != shape.is_ccw()
    assert shape.reversed().reversed() == shape
    turned = shape.rotate(math.pi / 2).moments()
    assert (turned.ixx_mm4, turned.iyy_mm4) == pytest.approx((m.iyy_mm4, m.ixx_mm4), rel=1e-9)


@QUICK
@given(outlines(), st.integers(0, 2**32 - 1))
def test_distance_and_contains_agree_with_shapely(shape: Outline, seed: int) -> None:
    error = 1e-4
    ring = shapely.Polygon(shape.polyline(error))
    box = shape.bounding_box()
    unit = np.random.default_rng(seed).uniform(-0.2, 1.2, (60, 2))
    points = np.array(box[:2]) + unit * (np.array(box[2:]) - np.array(box[:2]))
    found = shape.distance_to_boundary(points)
    there = shapely.points(points)
    edge = shapely.distance(ring.exterior, there)
    assert np.max(np.abs(np.abs(found) - edge)) < 2 * error
    clear = np.abs(found) > 2 * error
    assert np.array_equal((found > 0)[clear], shapely.contains(ring, there)[clear])
    assert np.array_equal(shape.contains(points), found >= -POINT_TOL_MM)
    # a second shape of the same points, run the other way, must say the same
    assert shape.reversed().distance_to_boundary(points) == pytest.approx(found, abs=1e-9)


@QUICK
@given(outlines(), parts)
def test_points_along_lie_on_the_boundary_in_step(shape: Outline, f: float) -> None:
    total = shape.perimeter_mm()
    points, tangents = shape.points_at(total * np.linspace(0.0, 1.0, 40))
    assert np.max(np.abs(shape.distance_to_boundary(points))) < 1e-8
    assert np.hypot(*tangents.T) == pytest.approx(np.ones(40), abs=1e-12)
    assert points[0] == pytest.approx(points[-1], abs=1e-8)
    step = 1e-5
    here, direction = shape.points_at(np.array(f * total))
    ahead, _ = shape.points_at(np.array(f * total + step))
    # within one step of a corner the tangent may turn
    ends = np.cumsum(shape.segments().length)
    assume(np.min(np.abs(ends - f * total)) > 2 * step)
    assert (ahead - here) / step == pytest.approx(direction, abs=1e-4)


@QUICK
@given(outlines(), st.floats(-0.6, 0.9))
def test_inset_is_the_parallel_curve(shape: Outline, f: float) -> None:
    assume(abs(f) > 0.01)
    box = shape.bounding_box()
    x, y = np.linspace(box.xmin, box.xmax, 41), np.linspace(box.ymin, box.ymax, 41)
    probe = np.stack(np.meshgrid(x, y), axis=-1)
    d = f * float(shape.distance_to_boundary(probe).max())
    out = shape.inset(d)
    points, _ = out.points_at(out.perimeter_mm() * np.arange(300) / 300.0)
    assert np.max(np.abs(shape.distance_to_boundary(points) - d)) < 1e-4
    # and all of it: by definition a point is inside exactly when it is deep enough in the first shape
    around = probe * 1.6
    depth = shape.distance_to_boundary(around) - d
    clear = np.abs(depth) > 1e-4
    assert np.array_equal((out.distance_to_boundary(around) > 0.0)[clear], (depth > 0.0)[clear])
    assert out.is_ccw()


@QUICK
@given(outlines(), st.floats(0.001, 1.0))
def test_polyline_stays_within_its_chord_error(shape: Outline, error: float) -> None:
    points = shape.polyline(error)
    middle = 0.5 * (points + np.roll(points, -1, axis=0))
    assert np.max(np.abs(shape.distance_to_boundary(middle))) <= error * (1 + 1e-6) + 1e-9
    assert np.max(np.abs(shape.distance_to_boundary(points))) < 1e-8


def _largest_kink(shape: Outline) -> float:
    seg = shape.segments()
    delta = seg.end - seg.start
    along = np.arctan2(delta[:, 1], delta[:, 0])
    arrive, leave = along + 0.5 * seg.sweep_rad, np.roll(along - 0.5 * seg.sweep_rad, -1)
    return float(np.max(np.abs((leave - arrive + np.pi) % (2 * np.pi) - np.pi)[:-1]))


@QUICK
@given(st.floats(40.0, 800.0), st.floats(0.08, 0.45))
def test_foil_arcs_keep_the_tolerance_and_join_smoothly(chord: float, ratio: float) -> None:
    section = Section("foil", chord, chord * ratio)
    drawn = section.outline()
    s = np.linspace(0.0, 1.0, 6007)  # not the samples of the fit
    y = chord * foil_halfthickness(s**2, ratio)
    curve = np.column_stack((chord * (0.5 - s**2), y))
    assert np.max(np.abs(drawn.distance_to_boundary(curve))) <= 0.01
    assert np.max(np.abs(drawn.distance_to_boundary(curve * (1.0, -1.0)))) <= 0.01
    # and the other way: no arc strays from the curve
    on_arcs, _ = drawn.points_at(drawn.perimeter_mm() * np.linspace(0.0, 1.0, 500))
    true_edge = shapely.LinearRing(np.vstack((curve[::-1] * (1.0, -1.0), curve[1:])))
    assert np.max(shapely.distance(true_edge, shapely.points(on_arcs))) <= 0.01
    smooth = Outline(drawn.vertices[:-1], closed=False)
    assert _largest_kink(smooth) < 1e-6
    assert len(drawn.vertices) <= 80
    drawn.validate()
    assert section.outline() == drawn


@QUICK
@given(st.floats(40.0, 800.0), st.floats(0.08, 0.95))
def test_oval_arcs_keep_the_tolerance_and_join_smoothly(length: float, ratio: float) -> None:
    a, b = 0.5 * length, 0.5 * length * ratio
    drawn = ol.oval(length, length * ratio)
    t = np.linspace(0.0, 2 * np.pi, 7001)
    assert np.max(np.abs(drawn.distance_to_boundary(np.column_stack((a * np.cos(t), b * np.sin(t)))))) <= 0.01
    assert _largest_kink(drawn) < 1e-6
    assert tuple(drawn.bounding_box()) == pytest.approx((-a, -b, a, b), abs=1e-6)
    assert len(drawn.vertices) <= 100
    assert drawn.is_ccw()


@QUICK
@given(st.sampled_from(sections.kind_names()), st.floats(20.0, 500.0), st.floats(0.05, 1.0), st.floats(0.1, 10.0))
def test_section_properties_scale(kind: str, chord: float, ratio: float, k: float) -> None:
    small, large = properties(kind, chord, chord * ratio), properties(kind, k * chord, k * chord * ratio)
    powers = {"area_mm2": 2, "centroid_x_mm": 1, "half_thickness_mm": 1}
    for name, value in small._asdict().items():
        power = powers.get(name, int(name[-1]) if name.endswith(("mm3", "mm4")) else 0)
        assert getattr(large, name) == pytest.approx(k**power * float(value), rel=1e-9, abs=1e-12)
    assert small.zxx_mm3 > small.sxx_mm3 * (1 - 1e-12)
    assert small.j_mm4 < 4.05 * small.ixx_mm4  # a long thin section tends to four times


@pytest.mark.parametrize(
    "points", [((0, 0), (10, 10), (10, 0), (0, 10)), ((0, 0), (10, 0), (5, 0), (5, 8)), ((0, 0), (10, 0), (20, 0))]
)
def test_crossing_folded_and_empty_polygons_are_refused(points: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(OutlineError):
        ol.polygon(points)


def test_outlines_that_cannot_be_are_refused_with_a_reason() -> None:
    with pytest.raises(OutlineError, match="at most 30 mm"):
        ol.rectangle(100.0, 60.0, 31.0)
    with pytest.raises(OutlineError, match="nothing is left"):
        ol.rectangle(100.0, 60.0, 5.0).inset(30.5)
    with pytest.raises(OutlineError, match="several parts"):
        ol.polygon(
            (
                (0, 0),
                (40, 0),
                (40, 18),
                (60, 18),
                (60, 0),
                (100, 0),
                (100, 40),
                (60, 40),
                (60, 22),
                (40, 22),
                (40, 40),
                (0, 40),
            )
        ).inset(5.0)
    with pytest.raises(OutlineError, match="without length"):
        Outline(np.array(((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (1.0, 0.0, 0.0))))
    with pytest.raises(TypeError, match="open chain"):
        Outline(np.array(((0.0, 0.0, 0.0), (1.0, 0.0, 0.0))), closed=False).area_mm2()
    # two overlapping discs drawn in one stroke: arcs that cross
    big = math.tan(math.radians(300) / 4)
    with pytest.raises(OutlineError, match="crosses itself"):
        Outline(np.array(((0.0, 0.0, big), (5.0, 0.0, 0.0), (5.0, -1.0, big), (0.0, -1.0, 0.0)))).validate()
