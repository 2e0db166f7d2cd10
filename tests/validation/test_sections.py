"""Sections against published ordinates, exact geometry and a finite-element section library."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy import integrate, optimize, special
from support import every, long_run

from strutwright.models import sections
from strutwright.models.outline import Outline, circle, oval, polygon, rectangle, stadium
from strutwright.models.sections import Section, SectionError, foil_halfthickness, properties

# NACA 0012: x and y in % of chord. Published table (Abbott and von Doenhoff, Theory of Wing Sections,
# appendix on thickness forms); typed from memory, and equal to the printed polynomial to the last digit.
NACA_0012 = (
    (1.25, 1.894),
    (2.5, 2.615),
    (5.0, 3.555),
    (10.0, 4.683),
    (20.0, 5.738),
    (30.0, 6.002),
    (40.0, 5.803),
    (50.0, 5.294),
    (60.0, 4.563),
    (70.0, 3.664),
    (80.0, 2.623),
    (90.0, 1.448),
    (95.0, 0.807),
    (100.0, 0.126),
)


@pytest.mark.parametrize(("x", "y"), NACA_0012)
def test_foil_ordinates_are_the_published_ones(x: float, y: float) -> None:
    assert 100.0 * foil_halfthickness(x / 100.0, 0.12) == pytest.approx(y, abs=0.0006)


def test_foil_nose_radius_is_the_published_one() -> None:
    # NACA Report 460: leading edge radius 1.1019 (t/c)^2 c; in the limit it is y^2 / 2x
    x = 1e-10
    assert float(foil_halfthickness(x, 0.12)) ** 2 / (2 * x) == pytest.approx(1.1019 * 0.12**2, rel=1e-4)


def test_foil_properties_equal_quadrature_of_the_published_polynomial() -> None:
    # scipy.integrate.quad on the polynomial as printed, typed here anew
    def y(x: float) -> float:
        return 5 * 0.12 * (0.2969 * math.sqrt(x) - 0.1260 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)

    def over(f: Callable[[float], float]) -> float:
        return float(integrate.quad(f, 0.0, 1.0, epsabs=1e-15, epsrel=1e-13, limit=400)[0])

    area = over(lambda x: 2 * y(x))
    mean = over(lambda x: 2 * x * y(x)) / area
    p = properties("foil", 1.0, 0.12)
    assert p.area_mm2 == pytest.approx(area, rel=1e-9)
    assert p.ixx_mm4 == pytest.approx(over(lambda x: 2 / 3 * y(x) ** 3), rel=1e-9)
    assert p.iyy_mm4 == pytest.approx(over(lambda x: 2 * (x - mean) ** 2 * y(x)), rel=1e-9)
    assert p.centroid_x_mm == pytest.approx(0.5 - mean, rel=1e-9)
    assert p.zxx_mm3 == pytest.approx(over(lambda x: y(x) ** 2), rel=1e-9)

    def surplus(x: float) -> float:
        return float(integrate.quad(lambda a: 2 * y(a), 0, x, epsrel=1e-13)[0]) - 0.5 * area

    cut = float(optimize.brentq(surplus, 0.1, 0.6, xtol=1e-14))
    plastic = integrate.quad(lambda x: 2 * abs(x - cut) * y(x), 0, 1, points=[cut], epsrel=1e-12)[0]
    assert p.zyy_mm3 == pytest.approx(plastic, rel=1e-9)


def test_foil_properties_are_the_recomputed_constants() -> None:
    # constants of the open form, recomputed from the printed polynomial; the approximation A = 0.685 t c is
    # the published one (textbooks of aerofoil structures)
    p = properties("foil", 100.0, 12.0)
    assert p.area_mm2 == pytest.approx(0.68508 * 1200, rel=1e-5)
    assert p.ixx_mm4 == pytest.approx(6.8096e-5 * 100**4, rel=1e-5)
    assert p.iyy_mm4 == pytest.approx(0.037820 * 12 * 100**3, rel=2e-5)
    assert 50.0 - p.centroid_x_mm == pytest.approx(42.044, abs=1e-3)
    assert p.syy_aft_mm3 == pytest.approx(0.065255 * 12 * 100**2, rel=2e-5)
    # greatest ordinate 6.0017 % at 30 % of chord, so the modulus is a little below I / (t/2)
    assert p.sxx_mm3 == pytest.approx(p.ixx_mm4 / 6.00173, rel=1e-5)


def test_ellipse_is_exact() -> None:
    # standard plane geometry: pi a b, pi a b^3 / 4, plastic modulus 4 a b^2 / 3, J = pi a^3 b^3 / (a^2 + b^2)
    a, b = 60.0, 11.0
    p = properties("ellipse", 2 * a, 2 * b)
    assert p.area_mm2 == pytest.approx(math.pi * a * b, rel=1e-12)
    assert p.ixx_mm4 == pytest.approx(math.pi * a * b**3 / 4, rel=1e-12)
    assert p.iyy_mm4 == pytest.approx(math.pi * b * a**3 / 4, rel=1e-12)
    assert p.zxx_mm3 == pytest.approx(4 * a * b**2 / 3, rel=1e-12)
    assert p.zyy_mm3 == pytest.approx(4 * b * a**2 / 3, rel=1e-12)
    assert p.j_mm4 == pytest.approx(math.pi * a**3 * b**3 / (a**2 + b**2), rel=1e-12)


def test_stadium_is_exact() -> None:
    # half discs of radius t/2 at the ends of a rectangle: textbook geometry, written out
    c, t = 100.0, 25.0
    s, r = c - t, t / 2
    p = properties("flat", c, t)
    assert p.area_mm2 == pytest.approx(s * t + math.pi * r**2, rel=1e-12)
    assert p.ixx_mm4 == pytest.approx(s * t**3 / 12 + math.pi * t**4 / 64, rel=1e-12)
    own = (math.pi / 8 - 8 / (9 * math.pi)) * r**4
    far = math.pi * t**2 / 8 * (s / 2 + 2 * t / (3 * math.pi)) ** 2
    assert p.iyy_mm4 == pytest.approx(t * s**3 / 12 + 2 * (own + far), rel=1e-12)
    assert p.area_mm2 == pytest.approx(2365.874, abs=1e-3)
    assert p.ixx_mm4 == pytest.approx(116831.0, abs=0.1)
    assert p.iyy_mm4 == pytest.approx(1783684.9, abs=0.1)


def test_square_edged_flat_is_a_rectangle() -> None:
    # b h^3 / 12, b h^2 / 4; torsion factor of a 2:1 rectangle 0.229 (Timoshenko, Theory of Elasticity)
    p = properties("flat", 80.0, 40.0, edge_radius_mm=0.0)
    assert p.ixx_mm4 == pytest.approx(80 * 40**3 / 12, rel=1e-12)
    assert p.iyy_mm4 == pytest.approx(40 * 80**3 / 12, rel=1e-12)
    assert p.zxx_mm3 == pytest.approx(80 * 40**2 / 4, rel=1e-12)
    assert p.j_mm4 == pytest.approx(0.229 * 80 * 40**3, rel=0.01)


def test_round_bar_torsion() -> None:
    # pi d^4 / 32: a flat as thick as wide, with round edges, is a round bar
    assert properties("flat", 30.0, 30.0).j_mm4 == pytest.approx(math.pi * 30**4 / 32, rel=0.01)


def test_lens_is_exact() -> None:
    # two circular segments, textbook geometry: R = (c^2/4 + h^2) / 2h, A = R^2 (2 q - sin 2q), sin q = c / 2R
    c, h = 100.0, 12.5
    big_r = (c**2 / 4 + h**2) / (2 * h)
    q = math.asin(c / (2 * big_r))
    p = properties("two_arcs", c, 2 * h)
    assert big_r == 106.25
    assert p.area_mm2 == pytest.approx(big_r**2 * (2 * q - math.sin(2 * q)), rel=1e-12)
    assert p.area_mm2 == pytest.approx(1687.318, abs=1e-3)
    assert p.ixx_mm4 == pytest.approx(60750.1, abs=0.1)
    assert p.iyy_mm4 == pytest.approx(855808.9, abs=0.1)
    # thin limits: 2/3 c t and 4/105 c t^3 (parabola)
    thin = properties("two_arcs", 1000.0, 0.01)
    assert thin.area_mm2 == pytest.approx(2 / 3 * 1000 * 0.01, rel=1e-8)
    assert thin.ixx_mm4 == pytest.approx(4 / 105 * 1000 * 0.01**3, rel=1e-8)


SHAPES: list[tuple[str, float, float, float | None]] = [
    ("flat", 100.0, 25.0, None),
    ("flat", 90.0, 12.0, 3.0),
    ("flat", 90.0, 30.0, 0.0),
    ("ellipse", 140.0, 30.0, None),
    ("two_arcs", 120.0, 20.0, None),
    ("two_arcs", 100.0, 42.0, None),
    ("foil", 160.0, 30.0, None),
    ("foil", 100.0, 8.0, None),
    ("foil", 100.0, 40.0, None),
]


@pytest.mark.parametrize("shape", SHAPES, ids=lambda s: f"{s[0]}-{s[1]:g}x{s[2]:g}")
def test_outline_has_the_properties_of_the_section(shape: tuple[str, float, float, float | None]) -> None:
    # two ways that share nothing: integrals of the section's curve, and those of its arcs in the drawing
    kind, c, t, r = shape
    p = properties(kind, c, t, r)
    drawn = Section(kind, c, t, r).outline(tolerance_mm=0.001)
    m = drawn.moments()
    tol = 1e-12 if kind in ("flat", "two_arcs") else 2e-3 * drawn.perimeter_mm() / (c * t)
    assert m.area_mm2 == pytest.approx(float(p.area_mm2), rel=tol)
    assert m.ixx_mm4 == pytest.approx(float(p.ixx_mm4), rel=3 * tol)
    assert m.iyy_mm4 == pytest.approx(float(p.iyy_mm4), rel=3 * tol)
    assert m.centroid_x_mm == pytest.approx(float(p.centroid_x_mm), abs=max(tol, 1e-9) * c)
    box = drawn.bounding_box()
    assert (box.xmin, box.xmax) == pytest.approx((-c / 2, c / 2), abs=1e-9)
    assert box.ymax == pytest.approx(float(p.half_thickness_mm), abs=0.001)
    assert box.ymax == pytest.approx(t / 2, rel=0.0011)


@long_run
@pytest.mark.parametrize("shape", every(SHAPES, 20), ids=lambda s: f"{s[0]}-{s[1]:g}x{s[2]:g}")
@pytest.mark.filterwarnings("ignore")
def test_against_the_finite_element_section_library(shape: tuple[str, float, float, float | None]) -> None:
    # sectionproperties (open library, warping by finite elements); its mesh error here is about 0.1 %
    pre = pytest.importorskip("sectionproperties.pre")
    analysis = pytest.importorskip("sectionproperties.analysis")
    shapely = pytest.importorskip("shapely")
    kind, c, t, r = shape
    p = properties(kind, c, t, r)
    ring = sections.boundary_points(kind, c, t, 160, r)
    geometry = pre.Geometry(shapely.Polygon(ring))
    geometry.create_mesh([c * t / 250.0])
    library = analysis.Section(geometry)
    library.calculate_geometric_properties()
    library.calculate_warping_properties()
    library.calculate_plastic_properties()
    ixx, iyy, _ = library.get_ic()
    assert library.get_area() == pytest.approx(float(p.area_mm2), rel=2e-3)
    assert library.get_c()[0] == pytest.approx(float(p.centroid_x_mm), abs=2e-3 * c)
    assert ixx == pytest.approx(float(p.ixx_mm4), rel=4e-3)
    assert iyy == pytest.approx(float(p.iyy_mm4), rel=4e-3)
    plastic = library.get_s()
    assert plastic[0] == pytest.approx(float(p.zxx_mm3), rel=4e-3)
    assert plastic[1] == pytest.approx(float(p.zyy_mm3), rel=4e-3)
    assert library.get_j() == pytest.approx(float(p.j_mm4), rel=0.015)
    along, across = library.get_as()
    assert along / library.get_area() == pytest.approx(float(p.shear_factor_along), rel=0.06)
    assert across / library.get_area() == pytest.approx(float(p.shear_factor_across), rel=0.08)


@pytest.mark.parametrize("kind", [*sections.kind_names(), "plate", "round_nosed_plate"])
def test_boundary_points_lie_on_the_outline(kind: str) -> None:
    section = Section(kind, 130.0, 28.0)
    for n in (40, 42):
        points = sections.boundary_points(kind, 130.0, 28.0, n)
        assert len(points) == n + (kind in {"foil", "plate", "round_nosed_plate"})
        assert np.max(np.abs(section.outline(0.001).distance_to_boundary(points))) < 0.0011
        assert points[:, 1].max() == pytest.approx(float(section.properties().half_thickness_mm), rel=0.01)
        assert (points[:, 0].min(), points[:, 0].max()) == pytest.approx((-65.0, 65.0))
        assert Outline(np.column_stack((points, np.zeros(len(points))))).is_ccw()


def test_many_sections_at_once_equal_one_by_one() -> None:
    chord = np.array([[60.0], [90.0]])
    thickness = np.array([10.0, 12.0, 20.0])
    for kind in sections.kind_names():
        all_at_once = properties(kind, chord, thickness)
        one = properties(kind, 90.0, 12.0)
        for many, single in zip(all_at_once, one, strict=True):
            assert many.shape == (2, 3)
            assert many[1, 1] == pytest.approx(float(single), rel=1e-14)


@pytest.mark.parametrize(
    ("args", "word"),
    [
        (("foil", 100.0, 0.0), "thickness"),
        (("flat", 20.0, 30.0), "chord"),
        (("flat", 90.0, 20.0, 11.0), "edge radius"),
        (("ellipse", 90.0, 20.0, 2.0), "leave it out"),
        (("foil", 90.0, 20.0, 2.1), "edge radius"),
    ],
)
def test_wrong_sections_are_refused_with_a_reason(args: tuple[object, ...], word: str) -> None:
    with pytest.raises(SectionError, match=word):
        Section(*args)  # type: ignore[arg-type]
    with pytest.raises(SectionError, match=word):
        properties(*args)  # type: ignore[arg-type]


def test_a_kind_that_is_not_there_is_a_slip_of_the_program() -> None:
    for make in (Section, properties):
        with pytest.raises(LookupError, match="two_arcs"):
            make("wing", 90.0, 20.0)


def test_ellipse_perimeter_against_the_elliptic_integral() -> None:
    # 4 a E(1 - b^2/a^2), scipy.special.ellipe
    a, b = 150.0, 50.0
    exact = 4 * a * special.ellipe(1 - (b / a) ** 2)
    assert oval(2 * a, 2 * b, 0.001).perimeter_mm() == pytest.approx(exact, rel=1e-5)


def test_plain_outlines_against_geometry() -> None:
    # textbook plane geometry
    box = rectangle(100.0, 60.0, 10.0)
    assert box.area_mm2() == pytest.approx(6000 - (4 - math.pi) * 100, rel=1e-13)
    assert box.perimeter_mm() == pytest.approx(2 * (80 + 40) + 2 * math.pi * 10, rel=1e-13)
    assert tuple(circle(10.0, (3.0, 4.0)).bounding_box()) == pytest.approx((-2.0, -1.0, 8.0, 9.0))
    assert circle(10.0).moments().ixx_mm4 == pytest.approx(math.pi * 10**4 / 64, rel=1e-13)
    quarter = Outline(np.array(((0.0, 0.0, 0.0), (6.0, 0.0, math.tan(math.pi / 8)), (0.0, 6.0, 0.0))))
    m = quarter.moments()
    assert m.centroid_x_mm == pytest.approx(4 * 6 / (3 * math.pi), rel=1e-13)
    assert m.ixx_mm4 == pytest.approx((math.pi / 16 - 4 / (9 * math.pi)) * 6**4, rel=1e-13)
    assert m.ixy_mm4 == pytest.approx((1 / 8 - 4 / (9 * math.pi)) * 6**4, rel=1e-12)
    triangle = polygon(((0, 0), (9, 0), (0, 6))).moments()
    assert triangle.ixx_mm4 == pytest.approx(9 * 6**3 / 36, rel=1e-13)
    assert triangle.ixy_mm4 == pytest.approx(-(9**2) * 6**2 / 72, rel=1e-13)


def test_inset_of_a_stadium_is_a_stadium() -> None:
    # parallel curves of a round-ended bar are round-ended bars
    for d in (-4.0, 1.0, 9.0):
        grown = stadium(80.0, 20.0).inset(d)
        same = stadium(80.0 - 2 * d, 20.0 - 2 * d)
        assert grown.area_mm2() == pytest.approx(same.area_mm2(), rel=1e-12)
        assert tuple(grown.bounding_box()) == pytest.approx(tuple(same.bounding_box()))


@pytest.mark.parametrize(("chord", "thickness"), [(130.0, 25.0), (60.0, 20.0), (40.0, 40.0)])
def test_a_round_nosed_plate_is_as_strong_as_it_is_shaped(chord: float, thickness: float) -> None:
    """Moments of its outline, flattened finely to a polygon; the square-nosed plate is stronger by some per cent."""
    made = sections.any_properties("round_nosed_plate", chord, thickness)
    x, y = Section("round_nosed_plate", chord, thickness, 0.0).outline().polyline(1e-5).T
    u, v = np.roll(x, -1), np.roll(y, -1)
    cross = x * v - u * y
    area = cross.sum() / 2
    middle = ((x + u) * cross).sum() / (6 * area)
    assert float(made.area_mm2) == pytest.approx(area, rel=1e-5)
    assert float(made.centroid_x_mm) == pytest.approx(middle, rel=1e-4, abs=1e-4)
    assert float(made.ixx_mm4) == pytest.approx(((y * y + y * v + v * v) * cross).sum() / 12, rel=1e-5)
    across = ((x * x + x * u + u * u) * cross).sum() / 12 - area * middle**2
    assert float(made.iyy_mm4) == pytest.approx(across, rel=1e-4)
    # A plastic modulus is the first moment of the halves: strips across the chord, then along it.
    at = np.linspace(-chord / 2, chord / 2, 200001)
    round_off = np.maximum(at - (chord / 2 - thickness / 2), 0.0)
    wide = 2 * np.sqrt((thickness / 2) ** 2 - np.minimum(round_off, thickness / 2) ** 2)
    step = at[1] - at[0]
    assert float(made.zxx_mm3) == pytest.approx((wide**2 / 4).sum() * step, rel=1e-4)
    even = np.interp(area / 2, np.cumsum(wide) * step, at)
    assert float(made.zyy_mm3) == pytest.approx((wide * np.abs(at - even)).sum() * step, rel=1e-3)
    square = sections.any_properties("plate", chord, thickness)
    assert float(made.sxx_mm3) < float(square.sxx_mm3)
    assert float(made.j_mm4) < float(square.j_mm4)
