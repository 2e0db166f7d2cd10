"""Bolt heads, holes, threads, set screws and nuts against the identities of their standards and published examples.

Each check names its source and its standing: published, common practice, or from memory.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from strutwright.params import tables
from strutwright.params.quantity import INCH_MM

# --- heads --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", ["M3", "M4", "M5", "M6", "M8", "M10", "M12", "M14", "M16", "M20"])
def test_iso10642_head_is_a_90_degree_cone(size: str) -> None:
    """(dk - d)/2 = k for a 90 degree cone. Geometry, with ISO 10642 values (published)."""
    head = tables.countersunk_head(size)
    assert head.angle_deg == 90
    assert (head.sharp_diameter_mm - head.thread_diameter_mm) / 2 == pytest.approx(head.height_mm, abs=1e-9)


@pytest.mark.parametrize("size", ["M3", "M4", "M5", "M6", "M8", "M10"])
def test_iso2009_head_is_a_90_degree_cone(size: str) -> None:
    """(dk - d)/2 = k for a 90 degree cone. Geometry, with ISO 7721 head values (published)."""
    head = tables.countersunk_head(size, "ISO 2009")
    assert (head.sharp_diameter_mm - head.thread_diameter_mm) / 2 == pytest.approx(head.height_mm, abs=1e-9)


@pytest.mark.parametrize("size", ["1/4", "5/16", "3/8", "7/16", "1/2", "5/8", "3/4", "7/8", "1"])
def test_b18_3_flat_head_is_an_82_degree_cone(size: str) -> None:
    """H = (A - d)/(2 tan 41 deg) within 0.001 in. Geometry, with ASME B18.3 values (published)."""
    head = tables.countersunk_head(size)
    cone = (head.sharp_diameter_mm - head.thread_diameter_mm) / (2 * math.tan(math.radians(41)))
    assert head.angle_deg == 82
    assert cone == pytest.approx(head.height_mm, abs=0.001 * INCH_MM)


@pytest.mark.parametrize("size", ["1/4", "5/16", "3/8", "1/2", "5/8", "3/4"])
def test_b18_6_3_reference_height_belongs_to_the_least_head_angle(size: str) -> None:
    """Printed reference heights follow 80 degrees, the lower limit of 82 +0/-2. ASME B18.6.3, A max from memory.

    0.0015 in tells 80 from 82 degrees: the two differ by 0.005 in at 1/4 and 0.013 in at 3/4.
    """
    head = tables.countersunk_head(size, "ASME B18.6.3")
    cone = (head.sharp_diameter_mm - head.thread_diameter_mm) / (2 * math.tan(math.radians(40)))
    assert cone == pytest.approx(head.height_mm, abs=0.0015 * INCH_MM)


def test_machine_screw_heads_are_smaller_than_cap_screw_heads() -> None:
    """The two inch flat heads are different things: ASME B18.6.3 A max below B18.3 A max at every common size."""
    for row in tables.table("countersunk_b18_6_3").rows:
        cap = tables.countersunk_head(row["size"], "ASME B18.3")
        assert tables.countersunk_head(row["size"], "B18.6.3").sharp_diameter_mm < cap.sharp_diameter_mm


def test_cylindrical_heads_are_as_high_as_the_thread_and_fit_their_counterbore() -> None:
    """k = d in ISO 4762 and H = d in ASME B18.3 (published rule of both standards)."""
    for size in (*_sizes("counterbore_iso4762"), *_sizes("counterbore_b18_3")):
        head = tables.counterbore_head(size)
        assert head.height_mm == pytest.approx(head.thread_diameter_mm)
        assert head.counterbore_diameter_mm is not None
        assert head.counterbore_diameter_mm > head.sharp_diameter_mm


def _sizes(name: str) -> list[str]:
    return [row["size"] for row in tables.table(name).rows]


# --- holes and threads --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("size", "fine", "medium", "coarse"),
    [
        ("M5", 5.3, 5.5, 5.8),
        ("M6", 6.4, 6.6, 7.0),
        ("M8", 8.4, 9.0, 10.0),
        ("M10", 10.5, 11.0, 12.0),
        ("M12", 13.0, 13.5, 14.5),
        ("M16", 17.0, 17.5, 18.5),
        ("M20", 21.0, 22.0, 24.0),
    ],
)
def test_iso273_values(size: str, fine: float, medium: float, coarse: float) -> None:
    """ISO 273 (published), in particular M12 and M16, which some data sets have wrong."""
    assert [tables.clearance_hole_mm(size, f) for f in ("fine", "medium", "coarse")] == [fine, medium, coarse]
    assert [tables.clearance_hole_mm(size, f) for f in ("close", "normal", "loose")] == [fine, medium, coarse]


def test_b18_2_8_values() -> None:
    """ASME B18.2.8 (published): 1/2 in close 17/32, normal 9/16, loose 39/64."""
    assert tables.clearance_hole_mm("1/2", "close") == pytest.approx(17 / 32 * INCH_MM)
    assert tables.clearance_hole_mm('1/2"', "medium") == pytest.approx(9 / 16 * INCH_MM)
    assert tables.clearance_hole_mm("1/2 in", "coarse") == pytest.approx(39 / 64 * INCH_MM)


def test_clearance_holes_clear_the_thread_and_grow_with_the_fit() -> None:
    """fine < medium < coarse and every hole above the thread major diameter (definition of the series)."""
    for size in _sizes("clearance_holes_metric") + _sizes("clearance_holes_inch"):
        close, normal, loose = (tables.clearance_hole_mm(size, f) for f in ("close", "normal", "loose"))
        assert tables.thread(size).major_mm < close < normal < loose


@pytest.mark.parametrize("row", tables.table("threads_metric").rows, ids=lambda r: f"{r['size']}x{r['pitch']}")
def test_metric_stress_area_follows_iso898(row: dict[str, float]) -> None:
    """As = pi/4 (d - 0.9382 P)^2, ISO 898-1 (published), printed to three figures."""
    area = math.pi / 4 * (row["major"] - 0.9382 * row["pitch"]) ** 2
    assert row["stress_area"] == pytest.approx(area, rel=4e-3)


@pytest.mark.parametrize("row", tables.table("threads_inch").rows, ids=lambda r: f"{r['size']}-{r['tpi']}")
def test_inch_stress_area_follows_b1_1(row: dict[str, float]) -> None:
    """As = 0.7854 (D - 0.9743/n)^2, ASME B1.1 (published), printed to three or four figures."""
    area = 0.7854 * (row["major"] - 0.9743 / row["tpi"]) ** 2
    assert row["stress_area"] == pytest.approx(area, rel=4e-3)


def test_stress_areas_of_the_usual_bolts() -> None:
    """M8 36.6, M12 84.3 mm2 (ISO 898-1); 1/4-20 0.0318, 1/2-13 0.1419 in2 (ASME B1.1), published."""
    assert tables.thread("M8").stress_area_mm2 == 36.6
    assert tables.thread("M12x1.75").stress_area_mm2 == 84.3
    assert tables.thread("1/4-20").stress_area_mm2 == pytest.approx(0.0318 * INCH_MM**2)
    assert tables.thread("1/2").stress_area_mm2 == pytest.approx(0.1419 * INCH_MM**2)


def test_metric_tap_drill_is_diameter_less_pitch() -> None:
    """d - P, rounded to a stock drill within 0.06 mm (ISO 2306 practice); M8 6.8 is the usual 6.75 rounded up."""
    for row in tables.table("threads_metric").rows:
        assert row["tap_drill"] == pytest.approx(row["major"] - row["pitch"], abs=0.06)


def test_percent_thread_formula() -> None:
    """Hole = D - 0.01299 % / n (shop formula, from memory): of 1/4-20 drill #7 gives 75.4 %."""
    drill = tables.thread("1/4-20")
    assert drill.tap_drill_name == "#7"
    percent = (drill.major_mm - drill.tap_drill_mm) / (0.01299 * drill.pitch_mm)
    assert percent == pytest.approx(75.4, abs=0.1)


def test_inch_tap_drills_leave_a_usual_thread() -> None:
    """Shop charts pick drills of roughly 70 to 80 percent thread for steel and bronze (common practice)."""
    for row in tables.table("threads_inch").rows:
        percent = (row["major"] - row["tap_drill"]) * row["tpi"] / 0.01299
        assert 65 < percent < 80


def test_number_and_letter_drills() -> None:
    """Drill gauge: #7 0.201, F 0.257, U 0.368, #25 0.1495, #3 0.213, I 0.272, Q 0.332 in (ASME B94.11M, published)."""
    gauge = {"#7": 0.201, "F": 0.257, "U": 0.368, "#25": 0.1495, "#3": 0.213, "I": 0.272, "Q": 0.332, "#21": 0.159}
    for row in tables.table("threads_inch").rows:
        name = row["tap_drill_name"]
        if name in gauge:
            assert row["tap_drill"] == gauge[name]
        else:
            assert row["tap_drill"] == pytest.approx(float(sum(map(Fraction, name.split()))))


# --- set screws and nuts ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("size", "key", "flat", "dog_length", "cup"),
    [
        ("M5", 2.5, 3.5, 2.5, 2.5),
        ("M6", 3.0, 4.0, 3.0, 3.0),
        ("M8", 4.0, 5.5, 4.0, 5.0),
        ("M10", 5.0, 7.0, 5.0, 6.0),
        ("M12", 6.0, 8.5, 6.0, 8.0),
    ],
)
def test_metric_set_screws(size: str, key: float, flat: float, dog_length: float, cup: float) -> None:
    """ISO 4026, 4028 (published) and ISO 4029 cup diameters (published to M20 in a public table)."""
    assert tables.set_screw(size, "flat").point_diameter_mm == flat
    assert tables.set_screw(size, "flat").key_mm == key
    dog = tables.set_screw(size, "dog")
    assert (dog.point_diameter_mm, dog.dog_length_mm) == (flat, dog_length)
    assert tables.set_screw(size, "cup").point_diameter_mm == cup


def test_a_point_from_memory_says_so() -> None:
    """ISO 4027 cone tips are from memory, ISO 4028 dogs published."""
    assert tables.set_screw("M8", "cone").standing == "from memory"
    assert tables.set_screw("M8", "dog").standing == "published"
    assert tables.table("countersunk_iso10642").column_standing("key") == "from memory"


def test_flat_of_a_metric_cone_goes_with_the_thread() -> None:
    """ISO 4027 dt max: a tenth of the thread to M5, a quarter from M6 (public copies of the table to M10: 0.3, 0.4,
    0.5, 1.5, 2, 2.5; larger ones from memory)."""
    for size in _sizes("set_screws_metric"):
        thread = float(size[1:])
        assert tables.set_screw(size, "cone").point_diameter_mm == pytest.approx(thread / (10 if thread < 6 else 4))


def test_cup_is_smaller_than_flat_on_metric_screws() -> None:
    """ISO 4029 dz < ISO 4026 dp at every size (published); a data set that repeats the flat value fails here."""
    for size in _sizes("set_screws_metric"):
        cup, flat = (tables.set_screw(size, p).point_diameter_mm for p in ("cup", "flat"))
        assert cup < flat


def test_inch_set_screws() -> None:
    """ASME B18.3-2003 public table: 1/4 key 1/8, cup 0.132, half dog 0.156 x 0.067; 1/2 cup 0.291 in."""
    cup = tables.set_screw("1/4", "cup")
    assert cup.key_mm == pytest.approx(INCH_MM / 8)
    assert cup.point_diameter_mm == pytest.approx(0.132 * INCH_MM)
    dog = tables.set_screw("1/4", "dog")
    assert dog.point_diameter_mm == pytest.approx(0.156 * INCH_MM)
    assert dog.dog_length_mm == pytest.approx(0.067 * INCH_MM)
    assert tables.set_screw("1/2", "cup").point_diameter_mm == pytest.approx(0.291 * INCH_MM)
    cone = tables.set_screw("1/4", "cone")
    assert (cone.point_angle_deg, cone.short_point_angle_deg) == (90.0, 118.0)
    assert cone.full_angle_from_mm == pytest.approx(0.31 * INCH_MM)


def test_the_disagreement_on_holding_power_is_kept() -> None:
    """1/4 in cup point: 1000 lbf in a text-book table (from memory), 400 lbf in a public chart (published)."""
    screw = tables.set_screw("1/4", "cup")
    assert screw.holding_lbf == (400.0, 1000.0)
    assert "disagree" in tables.table("set_screws_inch").note


def test_nut_corners() -> None:
    """ISO 4032 (published): least corners e >= 1.13 x least flats; the full hexagon is 2/sqrt 3 of the flats."""
    printed = {"M6": 11.05, "M8": 14.38, "M10": 17.77, "M12": 20.03, "M16": 26.75, "M20": 32.95, "M24": 39.55}
    for size, least in printed.items():
        assert least < tables.nut_and_washer(size).across_corners_mm < 1.06 * least
