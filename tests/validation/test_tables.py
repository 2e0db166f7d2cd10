"""The standard tables against the identities of their standards, published examples and a reference library.

Each check names its source and its standing: published, common practice, or from memory.
"""

from __future__ import annotations

import math

import pressfit
import pytest

from strutwright.params import tables

HEAD_KEYS = {"title", "standard", "table", "edition", "standing", "confidence", "note", "units", "columns"}
IN = 25.4


@pytest.mark.parametrize("name", tables.names())
def test_every_file_has_its_head_and_full_rows(name: str) -> None:
    """The head is what lets a reader judge a value; a missing column would be read as a missing value."""
    t = tables.table(name)
    assert all(getattr(t, key) for key in HEAD_KEYS)
    assert t.standing in {"published", "common practice", "from memory"}
    assert t.confidence in {"high", "medium", "low"}
    assert set(t.units) == set(t.columns)
    assert t.rows
    assert all(tuple(row) == t.columns for row in t.rows)
    assert set(t.extra.get("from_memory", ())) <= set(t.columns)
    if t.standing == "from memory":
        assert "confirm" in t.note.lower() or "memory" in t.note.lower()


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
    assert cone == pytest.approx(head.height_mm, abs=0.001 * IN)


@pytest.mark.parametrize("size", ["1/4", "5/16", "3/8", "1/2", "5/8", "3/4"])
def test_b18_6_3_reference_height_belongs_to_the_least_head_angle(size: str) -> None:
    """Printed reference heights follow 80 degrees, the lower limit of 82 +0/-2. ASME B18.6.3, A max from memory.

    0.0015 in tells 80 from 82 degrees: the two differ by 0.005 in at 1/4 and 0.013 in at 3/4.
    """
    head = tables.countersunk_head(size, "ASME B18.6.3")
    cone = (head.sharp_diameter_mm - head.thread_diameter_mm) / (2 * math.tan(math.radians(40)))
    assert cone == pytest.approx(head.height_mm, abs=0.0015 * IN)


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
    assert tables.clearance_hole_mm("1/2", "close") == pytest.approx(17 / 32 * IN)
    assert tables.clearance_hole_mm('1/2"', "medium") == pytest.approx(9 / 16 * IN)
    assert tables.clearance_hole_mm("1/2 in", "coarse") == pytest.approx(39 / 64 * IN)


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
    assert tables.thread("1/4-20").stress_area_mm2 == pytest.approx(0.0318 * IN**2)
    assert tables.thread("1/2").stress_area_mm2 == pytest.approx(0.1419 * IN**2)


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
            top, bottom = name.split("/")
            assert row["tap_drill"] == pytest.approx(int(top) / int(bottom))


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
    assert cup.key_mm == pytest.approx(IN / 8)
    assert cup.point_diameter_mm == pytest.approx(0.132 * IN)
    dog = tables.set_screw("1/4", "dog")
    assert dog.point_diameter_mm == pytest.approx(0.156 * IN)
    assert dog.dog_length_mm == pytest.approx(0.067 * IN)
    assert tables.set_screw("1/2", "cup").point_diameter_mm == pytest.approx(0.291 * IN)
    cone = tables.set_screw("1/4", "cone")
    assert (cone.point_angle_deg, cone.short_point_angle_deg) == (90.0, 118.0)
    assert cone.full_angle_from_mm == pytest.approx(0.31 * IN)


def test_the_disagreement_on_holding_power_is_kept() -> None:
    """1/4 in cup point: 1000 lbf in a text-book table (from memory), 400 lbf in a public chart (published)."""
    screw = tables.set_screw("1/4", "cup")
    assert screw.holding_lbf == (400.0, 1000.0)
    assert screw.holding_n == pytest.approx((1779.3, 4448.2), abs=0.1)
    assert "disagree" in tables.table("set_screws_inch").note


def test_nut_corners() -> None:
    """ISO 4032 (published): least corners e >= 1.13 x least flats; the full hexagon is 2/sqrt 3 of the flats."""
    printed = {"M6": 11.05, "M8": 14.38, "M10": 17.77, "M12": 20.03, "M16": 26.75, "M20": 32.95, "M24": 39.55}
    for size, least in printed.items():
        assert least < tables.nut_and_washer(size).across_corners_mm < 1.06 * least


# --- limits and fits ----------------------------------------------------------------------------------------


def _um(symbol: str, diameter_mm: float) -> tuple[float, float]:
    limits = tables.iso286(symbol, diameter_mm)
    return limits.upper_um, limits.lower_um


def test_50_h7_s6() -> None:
    """50 H7/s6: hole +25/0, shaft +59/+43 micrometres (published machine-design example)."""
    assert _um("H7", 50) == (25, 0)
    assert _um("s6", 50) == (59, 43)


def test_34_h11() -> None:
    """34 H11 hole 34.160/34.000 mm (published, Shigley 9th ed., Example 7-7)."""
    assert _um("H11", 34) == (160, 0)


def test_2_inch_h7_s6() -> None:
    """2 in H7/s6: hole 2.0010/2.0000, shaft 2.0023/2.0017 in (published, Shigley 9th ed., Example 7-8)."""
    # Inch tables hold the metric steps divided by 25, each value rounded to 0.0001 in.
    hole, shaft = ([round(um / 25400, 4) for um in _um(symbol, 25 * 2.0)] for symbol in ("H7", "s6"))
    assert [2 + off for off in hole] == pytest.approx([2.0010, 2.0000], abs=1e-9)
    assert [2 + off for off in shaft] == pytest.approx([2.0023, 2.0017], abs=1e-9)


@pytest.mark.parametrize(("symbol", "upper", "lower"), [("H7", 30, 0), ("n6", 39, 20), ("p6", 51, 32), ("s6", 78, 59)])
def test_a_2_5_8_inch_bearing_seat(symbol: str, upper: float, lower: float) -> None:
    """66.675 mm: r and s step 65 to 80, tolerance step 50 to 80 (ISO 286 table values, published)."""
    assert _um(symbol, 66.675) == (upper, lower)


@pytest.mark.parametrize(
    ("diameter", "h7", "p6", "g6"),
    [
        (25, (21, 0), (35, 22), (-7, -20)),
        (40, (25, 0), (42, 26), (-9, -25)),
        (70, (30, 0), (51, 32), (-10, -29)),
        (100, (35, 0), (59, 37), (-12, -34)),
        (150, (40, 0), (68, 43), (-14, -39)),
        (200, (46, 0), (79, 50), (-15, -44)),
    ],
)
def test_bearing_seat_fits(diameter: float, h7: tuple[int, int], p6: tuple[int, int], g6: tuple[int, int]) -> None:
    """H7, p6 and g6 limits of ISO 286 (published to 80 mm, from memory above)."""
    assert (_um("H7", diameter), _um("p6", diameter), _um("g6", diameter)) == (h7, p6, g6)


@pytest.mark.parametrize(("grade", "factor"), [(6, 10), (7, 16), (8, 25), (9, 40), (10, 64), (11, 100)])
def test_tolerance_grades_follow_the_iso286_formula(grade: int, factor: int) -> None:
    """IT = factor x i, i = 0.45 D^(1/3) + 0.001 D, D the geometric mean of the step (ISO 286-1, published).

    Rows over 3 mm (the first row of the standard is larger than the formula). The standard rounds by hand: all but
    one row agree within 1 um or 3 %, that one within 1.2 um or 5 %.
    """
    rows = [r for r in tables.table("iso286_tolerances").rows if r["over"] >= 3]
    misses = 0
    for row in rows:
        mean = math.sqrt(row["over"] * row["to"])
        formula = factor * (0.45 * mean ** (1 / 3) + 0.001 * mean)
        misses += abs(row[f"IT{grade}"] - formula) > max(1.0, 0.03 * formula)
        assert row[f"IT{grade}"] == pytest.approx(formula, rel=0.05, abs=1.2)
    assert misses <= 1


def test_deviations_follow_their_formulas() -> None:
    """n = 5 D^0.34 and s = IT7 + 0.4 D above 50 mm within 1 um; p = IT7 + 0 to 5 um (ISO 286-1, published)."""
    main = {(50, 80), (80, 120), (120, 180), (180, 250), (250, 315)}
    for row in tables.table("iso286_deviations").rows:
        over, to = next((m for m in main if m[0] <= row["over"] and row["to"] <= m[1]), (row["over"], row["to"]))
        mean_main = math.sqrt(max(over, 1) * to)
        if over >= 10:
            assert row["n"] == pytest.approx(5 * mean_main**0.34, abs=1.0)
        it7 = tables.iso286("H7", row["to"]).upper_um
        assert -6 <= row["p"] - it7 <= 5
        if row["over"] >= 50:
            mean = math.sqrt(row["over"] * row["to"])
            assert row["s"] == pytest.approx(it7 + 0.4 * mean, abs=1.6)


@pytest.mark.parametrize("grade", range(5, 12))
def test_h_holes_against_pressfit(grade: int) -> None:
    """Every step and its ends against the PyPI package pressfit 0.1 (independent ISO 286 reference)."""
    for diameter in (0.5, 3, 3.01, 6, 10, 18, 18.5, 30, 45, 50, 50.8, 66.675, 80, 80.1, 120, 180, 200, 250, 315):
        reference = pressfit.fit(f"H{grade}/h6", diameter)
        assert _um(f"H{grade}", diameter) == (reference.hole_es_um, reference.hole_ei_um)


@pytest.mark.parametrize("shaft", ["e8", "f7", "g6", "h6", "js6", "js7", "k6", "k8", "m6", "n6", "p6", "s6", "s7"])
def test_shafts_against_pressfit(shaft: str) -> None:
    """Shaft limits over all steps against the PyPI package pressfit 0.1 (independent ISO 286 reference)."""
    for diameter in (2, 5, 9, 15, 25, 40, 60, 66.675, 75, 90, 110, 130, 150, 170, 190, 210, 240, 270, 300):
        reference = pressfit.fit(f"H7/{shaft}", diameter)
        assert _um(shaft, diameter) == (reference.shaft_es_um, reference.shaft_ei_um)


def test_holes_mirror_the_shafts() -> None:
    """ISO 286-1 general rule for A to H: EI = -es of the same letter (published); 40 G7 +34/+9, F8 +64/+25."""
    assert _um("G7", 40) == (34, 9)
    assert _um("F8", 40) == (64, 25)
    assert _um("JS7", 40) == (12.5, -12.5)


# Printed least and most interference, 0.001 in, ASME B4.1-1967 as reproduced in public handbook pages.
PRINTED = [
    ("LN2", 1.0, 0.0, 1.3),
    ("LN2", 1.5, 0.0, 1.6),
    ("LN2", 2.625, 0.2, 2.1),
    ("LN2", 4.0, 0.2, 2.5),
    ("LN2", 6.0, 0.2, 2.8),
    ("LN2", 8.0, 0.2, 3.2),
    ("LN3", 1.0, 0.4, 1.7),
    ("LN3", 2.625, 0.4, 2.3),
    ("LN3", 4.0, 0.6, 2.9),
    ("LN3", 6.0, 0.9, 3.5),
    ("LN3", 8.0, 1.2, 4.2),
    ("FN1", 2.0, 0.6, 1.8),
    ("FN1", 1.0, 0.3, 1.2),
    ("FN1", 2.625, 0.7, 1.9),
    ("FN1", 3.5, 0.9, 2.4),
    ("FN1", 5.0, 1.2, 2.9),
    ("FN1", 8.0, 2.3, 4.3),
    ("FN2", 0.6, 0.5, 1.6),
    ("FN2", 1.0, 0.6, 1.9),
    ("FN2", 2.0, 0.8, 2.7),
    ("FN2", 2.625, 1.0, 2.9),
    ("FN2", 3.5, 1.4, 3.7),
    ("FN2", 5.0, 1.9, 4.5),
    ("FN2", 9.0, 4.2, 7.2),
]


@pytest.mark.parametrize(("name", "inches", "least", "most"), PRINTED)
def test_inch_fits_give_the_printed_interference(name: str, inches: float, least: float, most: float) -> None:
    """Limits recombined give the separately printed interference columns (ASME B4.1, published copies)."""
    fit = tables.inch_fit(name, inches * IN)
    assert fit.interference_min_mm / IN * 1000 == pytest.approx(least, abs=1e-6)
    assert fit.interference_max_mm / IN * 1000 == pytest.approx(most, abs=1e-6)


def test_inch_locational_clearance_fits_clear() -> None:
    """LC2 and LC5 never interfere (definition of a clearance fit, ASME B4.1)."""
    for name in ("LC2", "LC5"):
        for inches in (0.5, 1.0, 1.5, 2.625, 4.0, 6.0, 9.0):
            assert tables.inch_fit(name, inches * IN).interference_max_mm <= 1e-12


# --- shafts, bearings ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "row", [r for r in tables.table("shafts_inch").rows if r["taper_length"]], ids=lambda r: r["size"]
)
def test_j755_small_end_is_the_diameter_less_a_sixteenth_of_the_taper(row: dict[str, float]) -> None:
    """Small end = d - L/16 lies inside the printed limits (SAE J755, published)."""
    assert row["small_end_min"] <= row["diameter"] - row["taper_length"] / 16 <= row["small_end_max"]


def test_j755_one_and_a_half_inch() -> None:
    """1 1/2 in: taper 4 1/4 long, small end 1.233 to 1.235, key 3/8 (SAE J755, published)."""
    shaft = tables.nearest_shaft(38.1, "inch")
    assert shaft.size == "1 1/2"
    assert shaft.small_end_min_mm == pytest.approx(1.233 * IN)
    assert shaft.key_width_mm == pytest.approx(0.375 * IN)


def test_bearing_examples_are_long_enough_and_leave_rubber() -> None:
    """Length 4 diameters (class rules and practice, published) and at least 2 mm of rubber, flutes inside the rubber
    (common practice). One size, 7/8 x 1 3/8 x 3 1/2 in with a 1/8 shell, was read in a public listing.
    """
    for name in ("bearings_inch", "bearings_metric"):
        for row in tables.table(name).rows:
            unit = IN if name.endswith("inch") else 1.0
            example = tables.bearing_example(row["shaft"] * unit)
            assert example is not None
            assert "confirm against the bearing in hand" in example.caution
            assert example.length_mm == pytest.approx(4 * example.shaft_mm)
            rubber = (example.outside_mm - example.shaft_mm) / 2 - example.shell_mm
            assert rubber >= 2.0
            assert example.flute_depth_mm < rubber
            assert example.flutes * example.flute_width_mm < 0.6 * math.pi * example.shaft_mm
    listed = tables.bearing_example(22.225)
    assert listed is not None
    assert (listed.outside_mm, listed.length_mm, listed.shell_mm) == pytest.approx((34.925, 88.9, 3.175))
    assert tables.bearing_example(500.0) is None


# --- materials ----------------------------------------------------------------------------------------------


def test_manganese_bronze_density() -> None:
    """C86500: 0.301 lb/in3 (published alloy sheet) is 8332 kg/m3."""
    assert tables.material("C86500").density_kg_m3 == pytest.approx(0.301 * 0.45359237 / 0.0254**3, abs=0.7)
    assert tables.material("C86500").standing("density_kg_m3") == "published"
    assert tables.material("C86500").standing("yield_mpa") == "from memory"


@pytest.mark.parametrize(
    ("name", "ksi", "yield_ksi"),
    [
        ("C86500", 65, 25),
        ("C95800", 85, 35),
        ("C87300", 45, 18),
        ("C90300", 40, 18),
        ("C85700", 40, 14),
        ("F468 C65100", 70, 55),
        ("F468 C65500", 50, 20),
    ],
)
def test_copper_alloy_minima(name: str, ksi: float, yield_ksi: float) -> None:
    """Minima of ASTM B584, B148 and F468 in ksi (published for C95800, C87300, C65100; others from memory)."""
    made = tables.material(name)
    assert made.ultimate_mpa == pytest.approx(ksi * 6.894757, rel=0.015)
    assert made.yield_mpa == pytest.approx(yield_ksi * 6.894757, rel=0.015)


@pytest.mark.parametrize(
    ("name", "ultimate", "yielding"),
    [
        ("316L", 485, 170),
        ("S31803", 620, 450),
        ("2205", 655, 450),
        ("17-4PH H1150", 930, 725),
        ("XM-19", 690, 380),
        ("A4-50", 500, 210),
        ("A4-70", 700, 450),
        ("A4-80", 800, 600),
        ("S275", 410, 275),
        ("5083-H111", 275, 125),
        ("6061-T6", 290, 240),
    ],
)
def test_stainless_steel_and_aluminium_minima(name: str, ultimate: float, yielding: float) -> None:
    """ASTM A276, A479, A564, ISO 3506-1, EN 10025-2, EN 485-2, ASTM B209 minima, MPa (from memory of each)."""
    made = tables.material(name)
    assert (made.ultimate_mpa, made.yield_mpa) == (ultimate, yielding)


@pytest.mark.parametrize(
    ("name", "middle"),
    [
        ("manganese bronze", -0.30),
        ("316 passive", -0.05),
        ("nickel-aluminium bronze", -0.18),
        ("aluminium", -0.88),
        ("silicon bronze", -0.27),
    ],
)
def test_galvanic_mid_points(name: str, middle: float) -> None:
    """Mid-points of the published galvanic series in flowing sea water, V against SCE."""
    low, high = tables.galvanic_range_v(name)
    assert (low + high) / 2 == pytest.approx(middle, abs=1e-9)


def test_galvanic_differences_of_common_pairs() -> None:
    """Mn bronze to 316 passive 250 mV, Ni-Al bronze to 316 130 mV, Al to Si bronze 610 mV (same series)."""

    def middle(name: str) -> float:
        pair = tables.material(name).potential_v_sce
        assert pair is not None
        return sum(pair) / 2

    assert middle("316L") - middle("C86500") == pytest.approx(0.25)
    assert middle("316L") - middle("C95800") == pytest.approx(0.13)
    assert middle("C65500") - middle("5083-H111") == pytest.approx(0.61)


def test_every_metal_has_a_potential() -> None:
    """A metal without one would pass every couple unseen; those that the published series leaves out say so."""
    for name in (row["name"] for row in tables.table("materials").rows):
        made = tables.material(name)
        if made.family not in ("composite", "timber", "rubber"):
            assert made.potential_v_sce is not None, name
    assert tables.material("S32205").standing("potential_v_sce") == "from memory"
    assert tables.material("316L").standing("potential_v_sce") == "published"


@pytest.mark.parametrize(
    ("name", "proof", "ultimate"),
    [("6061-T6", 115, 175), ("6082-T6", 125, 185), ("5083-H111", 125, 275), ("316L", 170, 485)],
)
def test_strength_beside_a_weld(name: str, proof: float, ultimate: float) -> None:
    """EN 1999-1-1 Table 3.2 heat-affected zone (6061-T6 read in a public copy, 6082-T6 from memory); the others have
    no temper to lose, and keep theirs."""
    made = tables.as_welded(name)
    assert made.yield_mpa == proof
    assert made.ultimate_mpa is not None
    assert 0.9 * ultimate < made.ultimate_mpa <= ultimate


def test_contraction_is_the_pattern_makers_fraction() -> None:
    """7/32, 3/16, 1/4 and 5/32 in a foot as percent (published foundry table)."""
    for row in tables.table("casting_contraction").rows:
        assert row["low"] <= row["percent"] <= row["high"]
        if row["inch_per_foot"] is not None:
            assert row["percent"] == pytest.approx(row["inch_per_foot"] / 12 * 100, abs=0.01)
    assert tables.material("C86500").contraction_percent == pytest.approx(7 / 32 / 12 * 100, abs=0.01)


def test_materials_are_physical() -> None:
    """Yield below ultimate, 0 < Poisson < 0.5, sound speed of metals 3 to 5.5 km/s (physics)."""
    for name in (row["name"] for row in tables.table("materials").rows):
        made = tables.material(name)
        if made.yield_mpa is not None:
            assert made.ultimate_mpa is not None
            assert made.yield_mpa < made.ultimate_mpa
        if made.poisson is not None:
            assert 0 < made.poisson < 0.5
        if made.yield_mpa is not None and made.modulus_mpa is not None:
            assert 3000 < math.sqrt(made.modulus_mpa * 1e6 / made.density_kg_m3) < 5500


# --- castings, welds, edges, stock --------------------------------------------------------------------------


def test_iso8062_boss() -> None:
    """Boss 92 mm machined outside, largest dimension 400: RMA G 3.5, CT11 4.4, raw 92 + 2 x 3.5 + 4.4/2 = 101.2 mm;
    F and CT13 2.5 and 9: 101.5 (values published, SFSA Supplement 3 and ISO 8062-4; the rule from memory).
    """
    allowance = tables.machining_allowance_mm("G", 400)
    tolerance = tables.casting_tolerance_mm("CT11", 92)
    assert 92 + 2 * allowance + tolerance / 2 == pytest.approx(101.2)
    assert tables.casting_tolerance_mm("DCTG 11", 92) == tolerance
    assert 92 + 2 * tables.machining_allowance_mm("F", 400) + tables.casting_tolerance_mm("CT13", 92) / 2 == 101.5


def test_iso8062_coarse_grades_and_ends_of_the_table() -> None:
    """SFSA Supplement 3, Table 3.1 (ISO 8062:1994), published, typed copy: CT14 to CT16, and the end rows."""
    assert [tables.casting_tolerance_mm(f"CT{g}", 92) for g in range(8, 17)] == [1.6, 2.2, 3.2, 4.4, 6, 9, 11, 14, 18]
    assert [tables.casting_tolerance_mm(g, 630) for g in ("CT14", "CT15", "CT16")] == [18, 22, 28]
    assert [tables.casting_tolerance_mm(g, 20) for g in ("CT8", "CT13", "CT16")] == [1.2, 6, 12]
    assert [tables.casting_tolerance_mm(g, 1000) for g in ("CT8", "CT13", "CT16")] == [2.8, 16, 32]
    for name in ("iso8062_tolerances", "iso8062_machining"):
        assert tables.table(name).standing == "published"


@pytest.mark.parametrize(
    ("material", "grades"),
    [
        ("C95800", ("CT13", "CT15", "F", "H")),
        ("C87300", ("CT13", "CT15", "F", "H")),
        ("CF3M", ("CT13", "CT14", "G", "K")),
        ("cast steel", ("CT13", "CT14", "G", "K")),
        ("6061-T6", ("CT11", "CT13", "F", "H")),
    ],
)
def test_grades_of_a_single_sand_casting(material: str, grades: tuple[str, ...]) -> None:
    """ISO 8062-4 Annexes B and C, moulded by hand, clay-bonded, short series (published, typed copy): copper 13 to
    15, steel 13 to 14, light metal 11 to 13; allowance copper F to H, steel G to K.
    """
    made = tables.casting_grades(material)
    assert (made.finest, made.coarsest, made.allowance, made.allowance_most) == grades


def test_draft_by_height() -> None:
    """ISO 8062-4 Table 4, moulded by hand, fine, outside (published, typed copy)."""
    assert [tables.casting_draft_deg(h) for h in (4, 20, 25, 63, 100, 101, 5000)] == [6.9, 2.6, 2.6, 1.9, 1.4, 1.0, 0.5]


def test_iso8062_grades_step_by_about_root_two() -> None:
    """From grade to grade the tolerance grows by about the square root of 2 (ISO 8062, construction of the table)."""
    for row in tables.table("iso8062_tolerances").rows:
        for low, high in (
            ("CT8", "CT9"),
            ("CT9", "CT10"),
            ("CT10", "CT11"),
            ("CT11", "CT12"),
            ("CT12", "CT13"),
            ("CT13", "CT14"),
            ("CT14", "CT15"),
            ("CT15", "CT16"),
        ):
            assert 1.15 < row[high] / row[low] < 1.56


def test_weld_and_edge_minima() -> None:
    """AWS D1.1 (from memory): 1/4 in plate 1/8 leg, 1/2 in plate 3/16, over 3/4 in 5/16. AISC 360-16 J3.4 (published):
    1/2 in bolt 3/4, 5/8 in 7/8; M16 22, M24 30 mm.
    """
    assert [tables.weld_min_leg_mm(t) for t in (6, 12, 20, 25)] == [3, 5, 6, 8]
    assert [tables.weld_min_leg_mm(t, inch=True) for t in (6, 12, 20, 25)] == pytest.approx(
        [25.4 / 8, 25.4 * 3 / 16, 25.4 / 4, 25.4 * 5 / 16]
    )
    rows = tables.table("edge_distance").rows
    edge = {row["size"]: row["edge"] for row in rows}
    assert [edge[size] for size in ("1/2", "5/8", "M16", "M24")] == pytest.approx([0.75 * IN, 0.875 * IN, 22, 30])
    for row in rows:
        assert row["edge"] >= 1.25 * row["diameter"] - 1e-9


def test_pipe_outside_diameters() -> None:
    """ASME B36.10M (published): NPS 2 is 2.375 in, NPS 3 is 3.500 in, NPS 4 is 4.500 in, to 0.1 mm."""
    inches = {
        "1 1/2": 1.9,
        "2": 2.375,
        "2 1/2": 2.875,
        "3": 3.5,
        "3 1/2": 4.0,
        "4": 4.5,
        "5": 5.563,
        "6": 6.625,
        "8": 8.625,
    }
    for pipe in tables.table("pipe").rows:
        assert pipe["outside"] == pytest.approx(inches[pipe["size"]] * IN, abs=0.06)
        walls = [wall for name, wall in pipe.items() if name.startswith("wall_") and wall is not None]
        assert 0 < min(walls) <= max(walls) < pipe["outside"] / 2


def test_stock_choice() -> None:
    """The thinnest plate and the lightest hollow bar that will do (definition)."""
    assert tables.next_plate(15.2).thickness_mm == 16
    assert tables.next_plate(12.7, "inch").label == "1/2 in"
    bars = tables.hollow_bars(outside_min_mm=92, bore_max_mm=60)
    assert (bars[0].outside_mm, bars[0].bore_mm) == (100, 56)
    assert tables.tool_outside_mm("socket", 18) >= 18 / math.cos(math.pi / 6)


# --- unknown names ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: tables.material("C8650"), "Did you mean C86500?"),
        (lambda: tables.clearance_hole_mm("M13", "fine"), "Valid: M3, M4"),
        (lambda: tables.clearance_hole_mm("M12", "tight"), "fine, close"),
        (lambda: tables.thread("M8x2"), "M8x1.25"),
        (lambda: tables.countersunk_head("M24"), "ISO 10642"),
        (lambda: tables.countersunk_head("M8", "ISO 1"), "Valid: ISO 10642"),
        (lambda: tables.set_screw("M8", "cupp"), "Did you mean cup?"),
        (lambda: tables.iso286("H12", 50), "grades 5 to 11"),
        (lambda: tables.iso286("H7", 400), "over 0 mm to 315 mm"),
        (lambda: tables.inch_fit("LN9", 50), "LN2"),
        (lambda: tables.inch_fit("LN2", 5), "Valid: over"),
        (lambda: tables.next_plate(80), "Valid"),
        (lambda: tables.tool_outside_mm("hammer", 5), "socket"),
        (lambda: tables.table("thread_metric"), "Did you mean threads_metric?"),
        (lambda: tables.nearest_shaft(50, "cubit"), "inch, metric"),
        (lambda: tables.galvanic_range_v("manganese"), "manganese bronze"),
        (lambda: tables.casting_tolerance_mm("CT3", 50), "CT8"),
        (lambda: tables.machining_allowance_mm("G", 5000), "1000 mm"),
    ],
)
def test_what_is_not_there_is_named_with_what_is(ask: object, says: str) -> None:
    """The text for an unknown name lists what is valid and the near miss."""
    assert callable(ask)
    with pytest.raises(tables.NotInTable) as caught:
        ask()
    assert says in str(caught.value)
    assert isinstance(caught.value, KeyError)
