"""Shafts, bearings, materials, castings, welds and stock against the identities of their standards and
published examples.

Each check names its source and its standing: published, common practice, or from memory.
"""

from __future__ import annotations

import math

import pytest

from strutwright.params import tables
from strutwright.params.quantity import INCH_MM

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
    assert shaft.small_end_min_mm == pytest.approx(1.233 * INCH_MM)
    assert shaft.key_width_mm == pytest.approx(0.375 * INCH_MM)


def test_bearing_examples_are_long_enough_and_leave_rubber() -> None:
    """Length 4 diameters (class rules and practice, published) and at least 2 mm of rubber, flutes inside the rubber
    (common practice). One size, 7/8 x 1 3/8 x 3 1/2 in with a 1/8 shell, was read in a public listing.
    """
    for name in ("bearings_inch", "bearings_metric"):
        for row in tables.table(name).rows:
            unit = INCH_MM if name.endswith("inch") else 1.0
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


def test_nickel_aluminium_bronze_by_a_foundrys_data_sheet() -> None:
    """C95800: 0.276 lb/in3, 16 500 ksi, 9.0e-6 per degree Fahrenheit (published data sheet)."""
    made = tables.material("C95800")
    assert made.density_kg_m3 == pytest.approx(0.276 * 27679.9, rel=1e-3)
    assert made.modulus_mpa == pytest.approx(16_500 * 6.894757, rel=3e-3)
    assert made.expansion_per_k == pytest.approx(9.0e-6 * 1.8, rel=1e-3)
    fields = ("density_kg_m3", "modulus_mpa", "expansion_per_k", "yield_mpa")
    assert {made.standing(field) for field in fields} == {"published"}


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
    assert [tables.machining_allowance_mm(g, 250) for g in "EFGHJK"] == [1.4, 2, 2.8, 4, 5.5, 8]
    assert tables.machining_allowance_mm("K", 630) == 12
    with pytest.raises(tables.NotInTable, match="over 100 mm to 630 mm"):
        tables.machining_allowance_mm("K", 90)
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
    """AISC 360 Table J2.4M (published, typed copy): to 6, 13, 19 mm and over 3, 5, 6, 8 mm; AWS D1.1 (from memory): to
    6, 12, 20 mm. The larger leg of the two, so that neither is broken. AISC 360-16 J3.4 (published): 1/2 in bolt 3/4,
    5/8 in 7/8; M16 22, M24 30 mm.
    """
    for thick in (3, 6, 6.5, 12, 12.5, 13, 13.5, 19, 19.05, 19.5, 20, 20.5, 40):
        aisc = 3 if thick <= 6 else 5 if thick <= 13 else 6 if thick <= 19.05 else 8  # 3/4 in is its 19 mm
        aws = 3 if thick <= 6 else 5 if thick <= 12 else 6 if thick <= 20 else 8
        assert tables.weld_min_leg_mm(thick) == max(aisc, aws)
    assert [tables.weld_min_leg_mm(t, inch=True) for t in (6, 12, 19.05, 25)] == pytest.approx(
        [25.4 / 8, 25.4 * 3 / 16, 25.4 / 4, 25.4 * 5 / 16]
    )
    rows = tables.table("edge_distance").rows
    edge = {row["size"]: row["edge"] for row in rows}
    assert [edge[size] for size in ("1/2", "5/8")] == pytest.approx([0.75 * INCH_MM, 0.875 * INCH_MM])
    assert [edge[size] for size in ("M16", "M24")] == [22, 30]
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
        assert pipe["outside"] == pytest.approx(inches[pipe["size"]] * INCH_MM, abs=0.06)
        walls = [wall for name, wall in pipe.items() if name.startswith("wall_") and wall is not None]
        assert 0 < min(walls) <= max(walls) < pipe["outside"] / 2


def test_stock_choice() -> None:
    """The thinnest plate and the lightest hollow bar that will do (definition)."""
    assert tables.next_plate(15.2).thickness_mm == 16
    assert tables.next_plate(12.7, "inch").label == "1/2 in"
    bars = tables.hollow_bars(outside_min_mm=92, bore_max_mm=60)
    assert (bars[0].outside_mm, bars[0].bore_mm) == (100, 56)
    assert tables.tool_outside_mm("socket", 18) >= 18 / math.cos(math.pi / 6)
