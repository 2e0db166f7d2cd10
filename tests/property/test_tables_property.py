"""Properties of the standard tables that hold for any size, not only those of a printed example.

Sources: ISO 286-1 (tolerances grow with grade and size, letters keep their order), ASME B4.1, ISO 8062-3; standing
of each table as in its file. The order relations themselves are definitions.
"""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from strutwright.params import tables

DIAMETERS = st.floats(min_value=0.01, max_value=315.0, allow_nan=False)
GRADES = st.integers(5, 11)
SHAFTS_IN_ORDER = ("e", "f", "g", "h", "k", "m", "n", "p", "r", "s")


@given(DIAMETERS, DIAMETERS, GRADES)
def test_tolerance_grows_with_size(a: float, b: float, grade: int) -> None:
    """A larger diameter never has a smaller tolerance (ISO 286-1)."""
    small, large = sorted((a, b))
    assert tables.iso286(f"H{grade}", small).upper_um <= tables.iso286(f"H{grade}", large).upper_um


@given(DIAMETERS, st.integers(5, 10))
def test_tolerance_grows_with_grade(d: float, grade: int) -> None:
    """A coarser grade is wider (ISO 286-1)."""
    assert tables.iso286(f"h{grade}", d).lower_um > tables.iso286(f"h{grade + 1}", d).lower_um


@given(DIAMETERS, st.integers(0, len(SHAFTS_IN_ORDER) - 2))
def test_letters_keep_their_order(d: float, i: int) -> None:
    """From e to s the shaft zone moves up, and strictly so except h to k in the smallest step (ISO 286-1)."""
    low, high = (tables.iso286(f"{SHAFTS_IN_ORDER[j]}6", d) for j in (i, i + 1))
    assert low.lower_um < high.lower_um
    assert low.upper_um <= high.upper_um


@given(DIAMETERS, st.sampled_from("efgh"), GRADES)
def test_hole_mirrors_shaft(d: float, letter: str, grade: int) -> None:
    """EI = -es and ES = -ei for the letters A to H (ISO 286-1, general rule)."""
    hole, shaft = tables.iso286(f"{letter.upper()}{grade}", d), tables.iso286(f"{letter}{grade}", d)
    assert (hole.lower_um, hole.upper_um) == (-shaft.upper_um, -shaft.lower_um)


@given(st.sampled_from(SHAFTS_IN_ORDER), GRADES, DIAMETERS)
def test_zone_width_is_the_grade(letter: str, grade: int, d: float) -> None:
    """Every zone of a grade is as wide as the H hole of that grade (ISO 286-1)."""
    limits = tables.iso286(f"{letter}{grade}", d)
    assert limits.upper_um - limits.lower_um == tables.iso286(f"H{grade}", d).upper_um


@given(st.sampled_from(("LC2", "LC5", "LN2", "LN3", "FN1", "FN2")), st.floats(10.2, 250.1), st.floats(10.2, 250.1))
def test_inch_fits_are_ordered(name: str, a: float, b: float) -> None:
    """Limits stand in order, and the greatest interference (of LC the least clearance) never falls with size
    (ASME B4.1).
    """
    small, large = (tables.inch_fit(name, d) for d in sorted((a, b)))
    for fit in (small, large):
        assert fit.hole_min_mm < fit.hole_max_mm
        assert fit.shaft_min_mm < fit.shaft_max_mm
        assert fit.interference_min_mm < fit.interference_max_mm
    assert abs(small.interference_max_mm) <= abs(large.interference_max_mm) + 1e-9


@given(st.floats(10.2, 250.1))
def test_inch_fit_classes_are_ordered(d: float) -> None:
    """LC5 is looser than LC2, LC2 than LN2, LN2 than LN3, LN3 no tighter than FN2 (ASME B4.1)."""
    most = [tables.inch_fit(name, d).interference_max_mm for name in ("LC5", "LC2", "LN2", "LN3", "FN2")]
    assert most == sorted(most)


@given(st.sampled_from([f"CT{n}" for n in range(8, 17)]), st.floats(16.01, 1000.0), st.floats(16.01, 1000.0))
def test_casting_tolerance_grows_with_size(grade: str, a: float, b: float) -> None:
    """A larger dimension never has a smaller casting tolerance (ISO 8062-3)."""
    small, large = sorted((a, b))
    assert tables.casting_tolerance_mm(grade, small) <= tables.casting_tolerance_mm(grade, large)


@given(st.floats(40.01, 1000.0), st.floats(40.01, 1000.0))
def test_machining_allowance_grows(a: float, b: float) -> None:
    """Allowance grows with the casting and with the grade letter (ISO 8062-3)."""
    small, large = sorted((a, b))
    for grade, coarser in zip("EFG", "FGH", strict=True):
        assert tables.machining_allowance_mm(grade, small) <= tables.machining_allowance_mm(grade, large)
        assert tables.machining_allowance_mm(grade, small) < tables.machining_allowance_mm(coarser, small)


@given(st.floats(1.0, 50.0), st.sampled_from(("metric", "inch")))
def test_next_plate_is_the_least_that_will_do(thickness: float, system: str) -> None:
    """Never thinner than asked for, and no thinner stock plate would do (definition)."""
    plate = tables.next_plate(thickness, system)
    assert plate.thickness_mm >= thickness - 1e-6
    assert not [
        r
        for r in tables.table("plate").rows
        if r["system"] == system and thickness <= r["thickness"] < plate.thickness_mm
    ]


@given(st.floats(0.0, 220.0), st.floats(20.0, 150.0))
def test_hollow_bars_fit_and_come_lightest_first(outside: float, bore: float) -> None:
    """Each bar holds the outside and the bore, in order of section area (definition)."""
    bars = tables.hollow_bars(outside, bore)
    assert all(b.outside_mm >= outside and b.bore_mm <= bore for b in bars)
    areas = [b.outside_mm**2 - b.bore_mm**2 for b in bars]
    assert areas == sorted(areas)


@given(st.floats(15.0, 170.0), st.sampled_from(("inch", "metric", None)))
def test_nearest_shaft_is_nearest(diameter: float, system: str | None) -> None:
    """No other shaft of the tables lies nearer (definition)."""
    chosen = tables.nearest_shaft(diameter, system)
    names = {"inch": ("shafts_inch",), "metric": ("shafts_metric",), None: ("shafts_inch", "shafts_metric")}
    for name in names[system]:
        unit = 25.4 if name == "shafts_inch" else 1.0
        for row in tables.table(name).rows:
            assert abs(chosen.diameter_mm - diameter) <= abs(row["diameter"] * unit - diameter) + 1e-6


def test_sizes_grow_down_every_fastener_table() -> None:
    """Head, key, nut, washer, hole and screw dimensions never fall from one size to the next (the standards named).

    Left out: flutes follow the rubber, not the shaft; the 1/2 in machine screw head of ASME B18.6.3 is lower than the
    3/8 in one.
    """
    for name in (
        "clearance_holes_metric",
        "clearance_holes_inch",
        "countersunk_iso10642",
        "countersunk_iso2009",
        "countersunk_b18_3",
        "countersunk_b18_6_3",
        "counterbore_iso4762",
        "counterbore_b18_3",
        "nuts_washers_metric",
        "nuts_washers_inch",
        "set_screws_metric",
        "set_screws_inch",
        "bearings_inch",
        "bearings_metric",
        "shafts_inch",
        "shafts_metric",
        "weld_min_leg",
    ):
        t = tables.table(name)
        for column in t.columns:
            numbers = [r[column] for r in t.rows if isinstance(r[column], int | float)]
            if not column.startswith("flute") and (name, column) != ("countersunk_b18_6_3", "height"):
                assert numbers == sorted(numbers), (name, column)


def test_a_bare_size_is_the_coarse_thread() -> None:
    """The coarse pitch is the largest pitch of its size (ISO 261, ASME B1.1)."""
    for name in ("threads_metric", "threads_inch"):
        for row in tables.table(name).rows:
            pitch = row["pitch"] if name == "threads_metric" else 25.4 / row["tpi"]
            assert tables.thread(row["size"]).pitch_mm >= pitch - 1e-9


@given(
    st.sampled_from(
        [r["size"] for n in ("clearance_holes_metric", "clearance_holes_inch") for r in tables.table(n).rows]
    )
)
def test_spelling_of_a_size_does_not_matter(size: str) -> None:
    """Small m, inch marks and blanks give the same answer (our reading of the shop's spellings)."""
    spelled = f" {size.lower()} " if size.startswith("M") else f'{size}"'
    assert tables.clearance_hole_mm(spelled, "medium") == tables.clearance_hole_mm(size, "normal")
