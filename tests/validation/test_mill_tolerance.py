"""How thick stock may come, as read in summaries and copies of the standards, and what the thinnest does to the checks.

ISO 18286 (a stockholder's summary): 0.3 mm under at any thickness; over, of plates narrower than 2.1 m, 1.15 mm below
10 mm, 1.40 below 20, 1.55 below 25, 1.80 below 50. ASTM A6/A6M Table A1.1 (typed copy): 0.3 mm under. EN 10058 Table 2
(a trade association's summary): 0.5 mm to 20 mm, 1 mm to 40 mm, 1.5 mm to 80 mm. EN 10029 and EN 10060: from memory.
"""

from __future__ import annotations

import functools
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import codes_in

from strutwright.exporters.files.cut_list import cut_rows
from strutwright.models.bench.mill import plate_findings
from strutwright.models.bench.record_back import findings_of_part
from strutwright.models.finding import Finding, Verdict
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.shop.stock import mill_of, plate_mm, thinnest
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.limits import standard
from strutwright.params.loader import load, loads, shipped

YAWL = resolve(load(shipped()["yawl-with-heel"]))
# with a palm that just bears a blow on the arm
NARROW = resolve(loads(shipped()["yawl-with-heel"].read_text().replace("width: 180", "width: 168")))


@functools.cache
def found_of(strut: Strut) -> list[Finding]:
    return findings_of_part(YAWL, strut, standard())


@pytest.mark.parametrize(
    ("thick", "family", "system", "under", "over"),
    [
        (8.0, "stainless", "metric", 0.3, 1.15),
        (10.0, "stainless", "metric", 0.3, 1.40),
        (20.0, "duplex", "metric", 0.3, 1.55),
        (40.0, "stainless", "metric", 0.3, 1.80),
        (15.0, "steel", "metric", 0.6, 1.0),
        (25.4, "stainless", "inch", 0.3, 1.0),
    ],
)
def test_plate_as_in_its_standard(thick: float, family: str, system: str, under: float, over: float) -> None:
    made = tables.plate_tolerance(thick, family, system)
    assert made is not None
    assert (made.thinner_mm, made.thicker_mm) == (under, over)


def test_bars_as_in_their_standard_and_what_no_table_says() -> None:
    flat = [tables.bar_tolerance(t, "flat") for t in (12.0, 20.0, 20.1, 40.0, 60.0)]
    assert [t.thinner_mm for t in flat if t is not None] == [0.5, 0.5, 1.0, 1.0, 1.5]
    assert tables.bar_tolerance(500.0, "round") is None
    assert tables.plate_tolerance(12.0, "bronze") is None
    assert tables.plate_tolerance(500.0, "stainless") is None


@settings(max_examples=200)
@given(st.floats(1.0, 49.0), st.booleans(), st.sampled_from(["mm", "in"]))
def test_plate_that_is_machined_is_thick_enough_at_its_thinnest(thick: float, spare: bool, units: str) -> None:
    """Where metal is taken off, the thinnest plate of that size still holds the part; else the next size is bought."""
    strut = replace(YAWL.strut, file_units=units)  # type: ignore[arg-type]
    try:
        bought = plate_mm(strut, thick, spare=spare)
    except tables.NotInTable:
        assert thick > 37.0
        return
    mill = mill_of(strut, bought)
    assert mill is not None
    assert bought >= thick - 1e-9
    if spare or bought > thick + 1e-6:
        assert bought - mill.thinner_mm >= thick - 1e-6


def test_the_checks_are_run_again_on_the_thinnest_plate() -> None:
    """Palm 25, skeg 25 and foot 40 may each come 0.3 mm thinner; the arm is machined from 40 to 32 and stays."""
    strut = NARROW.strut
    assert strut.skeg is not None
    assert strut.skeg.heel is not None
    foot = replace(strut.skeg.heel, foot_thickness_mm=39.7)
    by_hand = replace(
        strut,
        palms=tuple(replace(p, thickness_mm=24.7) for p in strut.palms),
        skeg=replace(strut.skeg, thickness_root_mm=24.7, thickness_tip_mm=24.7, heel=foot),
    )
    thin, parts = thinnest(strut, standard())
    assert thin == by_hand
    assert [p.part for p in parts] == ["palm", "skeg", "foot"]
    (told,) = plate_findings(NARROW, strut, found_of(strut), standard())
    bending = {f.code: f for f in found_of(by_hand)}["palm_bending_side_hinge"]
    assert bending.fails
    assert told.verdict is Verdict.HINT
    assert told.is_broken_hint
    assert str(bending.name) in str(told.what)
    assert codes_in(str(told.what)) == []


def test_where_nothing_is_worse_the_nearest_to_its_limit_is_told() -> None:
    (told,) = plate_findings(YAWL, YAWL.strut, found_of(YAWL.strut), standard())
    assert told.verdict is Verdict.INFORMATION
    assert str(told.what).startswith("of plate as thin as the mill may send it (palm 24.7 mm, skeg 24.7 mm")
    assert "no check stands worse; nearest to its limit is" in str(told.what)


def test_the_cut_list_has_the_mill_s_tolerance() -> None:
    rows = {r.part: r for r in cut_rows(YAWL.strut, ())}
    told = {part: (r.mill_under_mm, r.mill_over_mm, r.mill_standard) for part, r in rows.items()}
    assert told["palm"] == (0.3, 1.80, "ISO 18286")
    assert told["heel boss"] == (1.0, 1.0, "EN 10060")
    assert told["barrel"] == (None, None, "")  # a hollow bar, which is turned and bored


@pytest.mark.parametrize("name", ["harbour-launch", "canal-tender"])
def test_no_word_of_it_without_plate_as_bought(name: str) -> None:
    one: Resolved = resolve(load(shipped()[name]))
    assert plate_findings(one, one.strut, [], standard()) == []
