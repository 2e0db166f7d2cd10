"""Built solids against closed forms, quadrature by an independent library, and worked frame values.

Standing of the checks: closed-form volumes (solids of revolution, prisms, Pappus' centroid theorem) are textbook
geometry; the golden points are worked by hand with vector algebra from the plane z = D - x tan(theta) + y tan(phi).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import integrate
from support import every, example_strut

from strutwright.models import frames
from strutwright.models.geometry.barrel import outside_radius_mm
from strutwright.models.geometry.roots import SINK_MM
from strutwright.models.outline import rectangle
from strutwright.models.sections import boundary_points
from strutwright.models.solids import arm as arms
from strutwright.models.solids import barrel as barrels
from strutwright.models.solids import bearing as bearings
from strutwright.models.solids import build, kernel
from strutwright.models.solids import palm as palms
from strutwright.models.solids import skeg as skegs
from strutwright.models.solids.kernel import Solid
from strutwright.models.spec import (
    Arm,
    Barrel,
    BarrelEnd,
    BoreStep,
    LeadIn,
    Palm,
    PalmHole,
    PalmPlane,
    SetScrew,
    Strut,
    mirrored,
)

SEAM = frames.radial(100.0)
NONE = LeadIn(length_mm=0.0, angle_deg=30.0)


def frustum(r: float, s: float, h: float) -> float:
    """Volume of a cone frustum."""
    return math.pi * h / 3 * (r * r + r * s + s * s)


def tube(barrel: Barrel) -> Solid:
    """Return a barrel with its bore, before slots and screw holes."""
    return kernel.drilled(barrels.envelope(barrel, SEAM), [barrels.bore_cutter(barrel, SEAM)])


def square_strut(shape: str = "flat", **sizes: float) -> Strut:
    """A single upright arm on a level palm: every volume has a closed form."""
    s = example_strut("single")
    arm = replace(
        s.arms[0],
        shape=shape,
        chord_barrel_mm=100.0,
        chord_palm_mm=100.0,
        thickness_barrel_mm=20.0,
        thickness_palm_mm=20.0,
        edge_radius_mm=10.0 if shape == "flat" else 0.0,
        **sizes,
    )
    palm = replace(
        s.palms[0], plane=PalmPlane(drop_mm=250.0, pitch_deg=0.0, tilt_deg=0.0), zero_mm=(0.0, 0.0, 250.0), holes=()
    )
    barrel = replace(s.barrel, aft_end=BarrelEnd(shape="straight", length_mm=0.0, end_diameter_mm=84.0))
    return replace(s, arms=(arm,), palms=(palm,), barrel=barrel)


# --- barrel and bearing ---------------------------------------------------------------------------------------------


def test_tube_with_lead_ins_and_steps_is_a_sum_of_cylinders_and_frusta() -> None:
    b = replace(
        example_strut().barrel,
        aft_end=BarrelEnd(shape="straight", length_mm=0, end_diameter_mm=84),
        lead_in_aft=LeadIn(length_mm=3.0, angle_deg=30.0),
        lead_in_forward=LeadIn(length_mm=2.0, angle_deg=45.0),
        steps=(BoreStep(kind="relief", from_station_mm=60.0, to_station_mm=110.0, diameter_mm=56.0),),
    )
    gone = (
        frustum(27 + 3 * math.tan(math.pi / 6), 27, 3)
        + frustum(29, 27, 2)
        + math.pi * 28**2 * 50
        + math.pi * 27**2 * (180 - 3 - 2 - 50)
    )
    assert tube(b).Volume() == pytest.approx(math.pi * 42**2 * 180 - gone, rel=1e-9)


def test_tapered_and_rounded_ends() -> None:
    b = replace(
        example_strut().barrel,
        aft_end=BarrelEnd(shape="tapered", length_mm=20, end_diameter_mm=70),
        forward_end=BarrelEnd(shape="rounded", length_mm=15, end_diameter_mm=72),
    )
    # A circular arc tangent to the outside: centre on the section where it starts, radius (L^2 + h^2) / 2 h.
    h, length = 6.0, 15.0
    bend = (length**2 + h**2) / (2 * h)
    arc = integrate.quad(lambda x: math.pi * (42 - bend + math.sqrt(bend**2 - x**2)) ** 2, 0, length)[0]
    whole = frustum(35, 42, 20) + math.pi * 42**2 * (180 - 35) + arc
    assert barrels.envelope(b, SEAM).Volume() == pytest.approx(whole, rel=1e-9)
    for station in (0.0, 7.0, 20.0, 100.0, 165.0, 171.0, 180.0):
        inside = kernel.common(
            barrels.envelope(b, SEAM),
            kernel.cylinder(np.array([b.x(station) - 0.01 * (station > 0), 0, 0]), barrels.X, 60.0, 0.01),
        )
        assert math.sqrt(inside.Volume() / 0.01 / math.pi) == pytest.approx(outside_radius_mm(b, station), abs=0.02)


def test_bearing_shell_and_rubber_with_deep_flutes() -> None:
    s = example_strut()
    b = replace(s.bearings[0], flute_count=8, flute_width_mm=5.0, flute_depth_mm=4.0)
    assert bearings.shell(b, s.barrel).Volume() == pytest.approx(math.pi * (27**2 - 24**2) * 160, rel=1e-12)
    # A flute: straight sides and a half circle, less the circular segment of the bore over its mouth.
    r, w = 19.0, 5.0
    half = math.asin(w / 2 / r)
    mouth = r * math.cos(half)
    flute = w * (r + 4.0 - w / 2 - mouth) + math.pi * w * w / 8 - r * r * (half - math.sin(half) * math.cos(half))
    rubber = math.pi * (24**2 - r**2) - 8 * flute
    assert bearings.rubber(b, s.barrel).Volume() == pytest.approx(rubber * 160, rel=1e-9)
    shallow = replace(b, flute_width_mm=8.0, flute_depth_mm=2.0)
    half = math.asin(4 / r)
    rise = r + 2.0 - r * math.cos(half)
    floor = (16 + rise**2) / (2 * rise)
    turn = 2 * math.asin(4 / floor)
    moon = floor**2 * (turn - math.sin(turn)) / 2 - r * r * (half - math.sin(half) * math.cos(half))
    assert bearings.rubber(shallow, s.barrel).Volume() == pytest.approx(
        (math.pi * (24**2 - r**2) - 8 * moon) * 160, rel=1e-9
    )


def test_set_screw_hole_and_flat() -> None:
    s = example_strut()
    screw = SetScrew(
        number=1,
        station_mm=90.0,
        clock_deg=60.0,
        thread="M8",
        major_mm=8.0,
        pitch_mm=1.25,
        tap_drill_mm=6.8,
        point="cone",
        flat_diameter_mm=14.0,
        dimple_depth_mm=1.0,
        bearing_index=0,
    )
    hole, flat = barrels.screw_cutters(s.barrel, (screw,))
    # The flat has its full diameter where the circle of the barrel is half a flat off the middle: sqrt(R^2 - r^2).
    floor = min(
        float(np.array(f.Center().toTuple()) @ frames.radial(60.0)) for f in flat.Faces() if f.geomType() == "PLANE"
    )
    assert floor == pytest.approx(math.sqrt(42**2 - 7**2), abs=1e-9)
    bored = kernel.cut(tube(replace(s.barrel, lead_in_aft=NONE, lead_in_forward=NONE)), [hole])

    # Two cylinders crossing at right angles: the wall between their radii, by quadrature over the drill.
    def wall(r: float) -> float:
        return integrate.quad(
            lambda t: 4 * math.sqrt(3.4**2 - t * t) * math.sqrt(r * r - t * t) / 2, -3.4, 3.4, epsabs=1e-10
        )[0]

    whole = tube(replace(s.barrel, lead_in_aft=NONE, lead_in_forward=NONE)).Volume()
    assert kernel.volume_mm3(bored) == pytest.approx(whole - (wall(42.0) - wall(27.0)), rel=1e-6)


# --- palm -----------------------------------------------------------------------------------------------------------


def test_palm_with_countersunk_holes() -> None:
    p = replace(example_strut().palms[0], outline=rectangle(250, 120, 20), thickness_mm=18.0)
    plate = palms.plate(p)
    area = 250 * 120 - (4 - math.pi) * 20**2
    assert plate.Volume() == pytest.approx(area * 18, rel=1e-9)
    deep = (24 - 13) / 2  # 90 degrees: as deep as the radii differ
    hole = math.pi * 6.5**2 * (18 - deep) + frustum(6.5, 12, deep)
    drilled = kernel.cut(plate, palms.hole_cutters(p, frames.palm_axes(p), 1.0))
    assert drilled.Volume() == pytest.approx(area * 18 - 6 * hole, rel=1e-9)


def test_palm_edge_bevel_by_pappus() -> None:
    p = replace(
        example_strut().palms[0],
        outline=rectangle(250, 120, 20),
        thickness_mm=18.0,
        bevel_width_mm=6.0,
        bevel_height_mm=4.0,
    )
    # A triangle 6 x 4 swept round the edge; its centroid lies a third of its width inside.
    path = 2 * (210 + 80) + 2 * math.pi * (20 - 6 / 3)
    area = 250 * 120 - (4 - math.pi) * 20**2
    assert palms.plate(p).Volume() == pytest.approx(area * 18 - 12 * path, rel=1e-9)


# Port strut and its starboard twin: D = 350, theta = 12, phi = +/- 20.4; worked by hand.
GOLDEN_HOLES = [
    (+20.4, (-130, -50), (-130.71, -46.99, 360.31)),
    (+20.4, (130, 50), (130.71, 46.99, 339.69)),
    (-20.4, (-130, -50), (-123.61, -46.99, 393.75)),
    (-20.4, (130, 50), (123.61, 46.99, 306.25)),
]


def golden_palm(pitch: float, tilt: float, drop: float, holes: tuple[tuple[float, float], ...]) -> Palm:
    base = example_strut().palms[0]
    return replace(
        base,
        plane=PalmPlane(drop_mm=drop, pitch_deg=pitch, tilt_deg=tilt),
        zero_mm=(0.0, 0.0, drop),
        outline=rectangle(340, 150, 20),
        holes=tuple(PalmHole(number=k + 1, u_mm=u, v_mm=v) for k, (u, v) in enumerate(holes)),
    )


def hull_face_centres(palm: Palm) -> list[tuple[float, float, float]]:
    """Centres of the circles that the bolt holes leave in the hull face of the drilled plate."""
    solid = kernel.one_solid(kernel.cut(palms.plate(palm), palms.hole_cutters(palm, frames.palm_axes(palm), 1.0)))
    axes = frames.palm_axes(palm)
    return [
        c
        for e in solid.Edges()
        if e.geomType() == "CIRCLE" and abs(e.radius() - palm.bolt.hole_mm / 2) < 1e-9
        for c in [e.arcCenter().toTuple()]
        if abs((np.array(c) - axes.origin) @ axes.n) < 1e-6
    ]


@pytest.mark.parametrize(("tilt", "uv", "point"), GOLDEN_HOLES)
def test_holes_lie_at_the_worked_points(
    tilt: float, uv: tuple[float, float], point: tuple[float, float, float]
) -> None:
    (centre,) = hull_face_centres(golden_palm(12.0, tilt, 350.0, (uv,)))
    assert centre == pytest.approx(point, abs=0.006)


def test_hole_of_a_centre_line_strut() -> None:
    (centre,) = hull_face_centres(golden_palm(9.0, 0.0, 375.0, ((100, 40),)))
    assert centre == pytest.approx((98.77, 40.0, 359.36), abs=0.006)


# --- arm ------------------------------------------------------------------------------------------------------------


def golden_arm(shape: str, chord: float, thickness: float, tilt: float) -> tuple[Arm, Palm, Strut]:
    s = example_strut()
    arm = replace(
        s.arms[0],
        shape=shape,
        chord_barrel_mm=chord,
        chord_palm_mm=chord,
        thickness_barrel_mm=thickness,
        thickness_palm_mm=thickness,
        edge_radius_mm=0.0,
    )
    palm = golden_palm(12.0, tilt, 350.0, ())
    return arm, palm, replace(s, arms=(arm,), palms=(palm,))


@pytest.mark.parametrize("tilt", [20.4, -20.4])
def test_arm_edges_at_the_hull_face(tilt: float) -> None:
    arm, palm, s = golden_arm("two_arcs", 190.0, 34.0, tilt)
    # The rim of the cap at the hull face, looked at densely: its foremost and aftmost points are the chord's ends.
    rim = np.array(
        [e.positionAt(t).toTuple() for e in arms.plain(s, arm, 0.0).Edges() for t in np.linspace(0.0, 1.0, 201)]
    )
    rim = rim[np.abs(frames.palm_axes(palm).from_strut(rim)[:, 2]) < 1e-6]
    fore, aft = rim[rim[:, 0].argmax()], rim[rim[:, 0].argmin()]
    assert fore == pytest.approx((95.0, 0.0, 329.81), abs=0.02)  # of 200 points on each edge the nearest
    assert aft == pytest.approx((-95.0, 0.0, 370.19), abs=0.02)


def test_footprint_of_the_arm_is_sheared_as_well_as_stretched() -> None:
    # u = x / cos(theta) - y tan(phi) sin(theta): worked from P = (x, y, Z(x, y)) dotted with the trace.
    arm, palm, s = golden_arm("flat", 100.0, 30.0, 20.4)
    solid = arms.plain(s, arm, 0.0)
    top = np.array([v.toTuple() for v in solid.Vertices() if v.Z > 200])
    uv = frames.palm_axes(palm).from_strut(top)
    theta, phi = math.radians(12.0), math.radians(20.4)
    assert uv[:, 0] == pytest.approx(
        top[:, 0] / math.cos(theta) - top[:, 1] * math.tan(phi) * math.sin(theta), abs=1e-6
    )
    assert sorted({(round(x), round(y)) for x, y, _ in top}) == [(-50, -15), (-50, 15), (50, -15), (50, 15)]


def test_stadium_arm_between_barrel_and_palm_by_quadrature() -> None:
    s = replace(
        example_strut("single"), construction="welded", weld=replace(example_strut().weld, prep="none", beads=False)
    )
    arm = replace(
        s.arms[0],
        shape="flat",
        edge_radius_mm=10.0,
        chord_barrel_mm=110.0,
        chord_palm_mm=110.0,
        thickness_barrel_mm=20.0,
        thickness_palm_mm=20.0,
    )
    s = replace(s, arms=(arm,))
    plane, r, t = s.palms[0].plane, 42.0, 20.0
    tan_p, tan_t = math.tan(math.radians(plane.pitch_deg)), math.tan(math.radians(plane.tilt_deg))
    # The water face lies a thickness off the hull face, square to it; the section is symmetrical, so the tilts cancel.
    top = plane.drop_mm - s.palms[0].thickness_mm * math.sqrt(1 + tan_p**2 + tan_t**2)

    def width(y: float) -> float:
        return 110 - t + 2 * math.sqrt(t * t / 4 - y * y)

    volume = integrate.quad(lambda y: width(y) * (top - math.sqrt(r * r - y * y)), -t / 2, t / 2, epsabs=1e-8)[0]
    assert build(s).part("arm").volume_mm3 == pytest.approx(volume, rel=5e-6)  # skins within 0.002 mm


@pytest.mark.parametrize("shape", ["ellipse", "foil", "flat"])
def test_tapered_raked_arm_is_the_integral_of_its_sections(shape: str) -> None:
    # Sections parallel to the chord plane: volume = integral of the area over their distance, the axis' sine apart.
    s = example_strut()
    arm = replace(
        s.arms[0],
        shape=shape,
        rake_deg=12.0,
        chord_barrel_mm=90.0,
        chord_palm_mm=130.0,
        thickness_barrel_mm=18.0,
        thickness_palm_mm=26.0,
        edge_radius_mm=9.0 if shape == "flat" else 0.0,
    )
    palm = golden_palm(12.0, 20.4, 350.0, ())
    axes, ends = frames.arm_axes(arm, s.barrel, palm.plane), frames.arm_ends_mm(arm, s.barrel, palm.plane)
    spread = abs(float(np.cross(axes.u, axes.v) @ axes.n))
    # Cut to two planes of its own sections, well inside its slanting end.
    low, high = 60.0, 240.0
    n = frames.unit(np.cross(axes.u, axes.v))
    whole = arms.plain(replace(s, arms=(arm,), palms=(palm,)), arm, 0.0)
    ends_off = [
        kernel.box(frames.Axes(axes.origin + at * axes.n, axes.u, axes.v, way * n), 900.0, 900.0, 0.0, 900.0)
        for at, way in ((low, -1.0), (high, 1.0))
    ]
    solid = kernel.one_solid(kernel.cut(whole, ends_off))

    def foil(c: float, t: float) -> float:
        """Area by the shoelace formula over the boundary, trailing edge rounded."""
        ring = boundary_points("foil", c, t, 4000, 1.8)
        return 0.5 * abs(float(np.sum(ring[:, 0] * np.roll(ring[:, 1], -1) - np.roll(ring[:, 0], -1) * ring[:, 1])))

    def area(a: float) -> float:
        k = (a - ends[0]) / (ends[1] - ends[0])
        c, t = 90 + 40 * k, 18 + 8 * k
        if shape == "ellipse":
            return math.pi / 4 * c * t
        if shape == "foil":
            return foil(c, t)
        return (c - t) * t + math.pi / 4 * t * t

    volume = spread * integrate.quad(area, low, high)[0]
    # Straight lines between two foils of one tail radius run a little inside the foils between them.
    assert kernel.volume_mm3(solid) == pytest.approx(volume, rel=1.5e-3 if shape == "foil" else 2e-5)


# --- roots ----------------------------------------------------------------------------------------------------------


def test_root_fillet_at_a_level_palm_by_pappus() -> None:
    r = 8.0
    with_fillet = build(square_strut(palm_root_mm=r, barrel_root_mm=0.0))
    without = build(square_strut(palm_root_mm=0.0, barrel_root_mm=0.0))
    # Corner between a square and its quarter circle: area (1 - pi/4) r^2, centroid (10 - 3 pi)/(12 - 3 pi) r from the
    # sides; swept along two flanks of 80 and round two noses of radius 10.
    area, off = (1 - math.pi / 4) * r * r, (10 - 3 * math.pi) / (12 - 3 * math.pi) * r
    # The ball stands SINK_MM deep in the palm: that much less over its whole reach.
    growth = (area - SINK_MM * r) * (2 * 80 + 2 * math.pi * (10 + off))
    found = with_fillet.part("strut").volume_mm3 - without.part("strut").volume_mm3
    assert not with_fillet.findings
    assert found == pytest.approx(growth, rel=2e-3)


def test_weld_bead_at_a_level_palm_by_pappus() -> None:
    s = square_strut(palm_root_mm=8.0, barrel_root_mm=6.0)
    built = build(replace(s, construction="welded", weld=replace(s.weld, prep="none", beads=True)))
    # A triangle of two legs of 8, centroid a third of a leg from the arm.
    volume = 32 * (2 * 80 + 2 * math.pi * (10 + 8 / 3))
    assert built.part("weld arm to palm").volume_mm3 == pytest.approx(volume, rel=5e-3)


# --- skeg -----------------------------------------------------------------------------------------------------------


def test_heel_bore_runs_along_the_stock() -> None:
    heel = example_strut(skeg=True).skeg.heel  # type: ignore[union-attr]
    assert heel is not None
    heel = replace(heel, stock_rake_deg=8.0, stock_cant_deg=-3.0)
    bore = skegs.boss_bore(heel)
    (side,) = (f for f in bore.Faces() if f.geomType() == "CYLINDER")
    ends = np.array([f.Center().toTuple() for f in bore.Faces() if f is not side and f.geomType() == "PLANE"])
    way = ends[1] - ends[0]
    way = way / way[2]
    assert way == pytest.approx((-math.tan(math.radians(8)), math.tan(math.radians(-3)), 1.0), abs=1e-9)
    assert ends.mean(axis=0) == pytest.approx(heel.centre_mm, abs=1e-9)
    tube = skegs.bush(heel)
    outer = heel.bore_mm / 2 + heel.bush_wall_mm
    assert tube.Volume() == pytest.approx(math.pi * (outer**2 - heel.bore_mm**2 / 4) * heel.height_mm, rel=1e-9)


# --- the other hand -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "skeg"), every([("single", False), ("vee", True)], 2))
def test_the_other_hand_is_the_mirror_image(kind: str, skeg: bool) -> None:
    s = example_strut(kind, skeg=skeg)  # type: ignore[arg-type]
    one, other = build(s), build(mirrored(s))
    for p in one.parts:
        name = {"port": "starboard", "starboard": "port"}
        twin = other.part(" ".join(name.get(w, w) for w in p.name.split(" ")))
        # A bead's face is the kernel's approximation, found from one side; a fillet it leads round a sharp tip, as of
        # two arcs, in one way or another.
        bead, tips = p.kind == "weld" and "groove" not in p.name, p.kind == "strut"
        assert p.volume_mm3 == pytest.approx(twin.volume_mm3, rel=3e-4 if tips else 2e-6 if bead else 1e-7)
        assert kernel.centre(p.shape) == pytest.approx(
            kernel.centre(twin.shape) * (1, -1, 1), abs=0.03 if tips else 1e-4 if bead else 1e-5
        )
