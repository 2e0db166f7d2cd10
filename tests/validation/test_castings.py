"""What sizes as cast may come to, and the wall they leave.

Sources: SFSA Supplement 3, Table 3.1 (ISO 8062:1994) and ISO 8062-4:2017, published, read as typed copies; the sums
are arithmetic. A fifth of the shaft as the least wall of a boss: class-type, from memory.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import every

from strutwright.models import rules
from strutwright.models.checks import geometry_checks
from strutwright.models.finding import Finding, Verdict
from strutwright.models.geometry import casting
from strutwright.models.geometry.barrel import screw_wall_of
from strutwright.models.resolve import resolve
from strutwright.models.shop import foundry, pattern_findings
from strutwright.models.shop.set_screws import set_screw_length
from strutwright.models.spec import BoreStep, Casting
from strutwright.params import tables
from strutwright.params.limits import standard
from strutwright.params.loader import load, shipped
from tests import checks_support

GRADES = [f"CT{n}" for n in range(8, 17)]


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(GRADES), st.floats(1.0, 3000.0))
def test_cast_tolerance_is_the_tables_and_never_less_beyond_it(grade: str, size: float) -> None:
    found = casting.cast_tolerance_mm(grade, size)
    if 16 < size <= 1000:
        assert found == tables.casting_tolerance_mm(grade, size)
    assert found >= tables.casting_tolerance_mm(grade, min(max(size, 16.01), 1000.0))
    assert casting.cast_tolerance_mm(grade, np.array([size, size]))[1] == found


def test_a_worked_least_wall() -> None:
    """Outside 96 cast to CT13, 9 in all: 91.5; bore 70.030; half of 1 mm off the middle: 10.735 - 0.5 = 10.235.

    With 0.5 mm of stock on the bore and a core shifted by 2 the bore follows by 1.5 more. A grade of CT11 (4.4): 93.8.
    """
    barrel = checks_support.strut().barrel
    assert barrel.bore_upper_mm == 0.03
    assert casting.least_cast_wall_mm(
        barrel, Casting(tolerance_grade="CT13", allowance_grade="F"), 1.0
    ) == pytest.approx(10.235)
    assert casting.least_cast_wall_mm(
        barrel, Casting(tolerance_grade="CT13", allowance_grade="F", core_shift_mm=2.0, stock_bore_mm=0.5), 1.0
    ) == pytest.approx(8.735)
    assert casting.least_cast_wall_mm(
        barrel, Casting(tolerance_grade="CT11", allowance_grade="F"), 1.0
    ) == pytest.approx(11.385)


@settings(max_examples=100, deadline=None)
@given(
    st.floats(10.0, 400.0),
    st.floats(1.0, 100.0),
    st.sampled_from(GRADES),
    st.floats(0.0, 20.0),
    st.one_of(st.none(), st.floats(0.0, 30.0)),
)
def test_the_outside_asked_for_leaves_the_wall(
    bore: float, wall: float, grade: str, shift: float, stock: float | None
) -> None:
    """The advice holds: a barrel made as it says passes (bore without its upper limit)."""
    made = Casting(tolerance_grade=grade, allowance_grade="F", core_shift_mm=shift, stock_bore_mm=stock)
    outside = casting.least_cast_outside_mm(bore, wall, made, 1.0)
    barrel = replace(checks_support.strut().barrel, bore_mm=bore, outside_mm=outside, bore_upper_mm=0.0, steps=())
    barrel = replace(
        barrel,
        aft_end=replace(barrel.aft_end, end_diameter_mm=outside),
        forward_end=replace(barrel.forward_end, end_diameter_mm=outside),
    )
    assert casting.least_cast_wall_mm(barrel, made, 1.0) == pytest.approx(wall, abs=1e-6)


CASES = {
    # variant, change, verdict of the least wall
    "copper, plain sand": ("single", {}, Verdict.OK),
    "copper, a thin wall": ("single", {"barrel": {"outside_diameter": 94}}, Verdict.FAIL),
    "the same from a finer foundry": (
        "single",
        {"barrel": {"outside_diameter": 94}, "pattern": {"tolerance_grade": "CT10"}},
        Verdict.OK,
    ),
    "a coarse foundry": ("single", {"pattern": {"tolerance_grade": "CT15"}}, Verdict.FAIL),
    "too little stock for the core's shift": (
        "single",
        {"pattern": {"core_shift": 4, "stock": {"bore": 1}}},
        Verdict.FAIL,
    ),
    "a wide counterbore": ("counterbored", {"barrel": {"outside_diameter": 96}}, Verdict.FAIL),
    "stainless": ("single", {"materials": {"strut": "CF3M"}}, Verdict.OK),
}


@pytest.mark.parametrize("case", CASES)
def test_the_least_wall_is_checked_with_the_casting(case: str) -> None:
    variant, change, verdict = CASES[case]
    strut = checks_support.strut(variant, change)
    (found,) = checks_support.of_code(geometry_checks(strut), "barrel_wall_least")
    assert found.verdict is verdict
    assert found.actual == pytest.approx(casting.least_cast_wall_mm(strut.barrel, strut.casting, 1.0))
    assert found.demanded == pytest.approx(0.2 * strut.shaft.diameter_mm)


def test_a_welded_strut_has_no_casting() -> None:
    strut = checks_support.strut("vee")
    assert strut.casting is None
    assert not checks_support.of_code(geometry_checks(strut), "barrel_wall_least")


@pytest.mark.parametrize("relief_mm", [21.0, 44.0, 119.0, 240.0, 390.0])
def test_a_relief_takes_its_general_tolerance_from_the_least_wall(relief_mm: float) -> None:
    """ISO 2768-1 class m (published): over 6 to 30 mm 0.2, to 120 0.3, to 400 0.5; on inch sheets .010 in where that is
    more. A relief under the bore's own upper limit takes nothing."""
    made = Casting(tolerance_grade="CT13", allowance_grade="H")
    plain = replace(
        checks_support.strut().barrel,
        bore_mm=relief_mm - 1.0,
        bore_upper_mm=0.03,
        steps=(),
        length_mm=200.0,
        outside_mm=1.6 * relief_mm,
    )
    deep = replace(
        plain, steps=(BoreStep(kind="relief", from_station_mm=80.0, to_station_mm=120.0, diameter_mm=relief_mm),)
    )
    limit = max({21.0: 0.2, 44.0: 0.3, 119.0: 0.3}.get(relief_mm, 0.5), 0.010 * 25.4)
    lost = casting.least_cast_wall_mm(plain, made, 1.0) - casting.least_cast_wall_mm(deep, made, 1.0)
    assert lost == pytest.approx((1.0 + limit - 0.03) / 2)
    shallow = replace(plain, bore_upper_mm=2.0, steps=deep.steps)
    assert casting.least_cast_wall_mm(shallow, made, 1.0) == casting.least_cast_wall_mm(
        replace(shallow, steps=()), made, 1.0
    )


@pytest.mark.parametrize("relief", [False, True])
@pytest.mark.parametrize("shaft", every([20, 30, 45, 70, 110, 160, 210], 3))
def test_a_wall_left_out_is_one_that_passes(shaft: float, relief: bool) -> None:
    """Nobody who leaves the barrel's wall out gets one that the check of the casting refuses."""
    change = {
        "shaft": {"diameter": shaft},
        "set_screws": None,
        "bearing": {
            "outside_diameter": 1.4 * shaft,
            "length": 4 * shaft,
            "outside_upper": None,
            "outside_lower": None,
            "shell": None,
            "flutes": None,
        },
        "barrel": {"length": None, "outside_diameter": None, "bore": None, "ends": None, "lead_in": None},
    }
    if relief:
        change["barrel"]["steps"] = [
            {
                "kind": "relief",
                "end": "barrel_aft",
                "start": 1.8 * shaft,
                "length": 0.4 * shaft,
                "diameter": 1.4 * shaft + 1.3,
            }
        ]
    for grade in (None, "CT11", "CT15"):
        more = {**change, "pattern": {"tolerance_grade": grade} if grade else None}
        strut = checks_support.strut("single", more)
        (found,) = checks_support.of_code(geometry_checks(strut), "barrel_wall_least")
        assert found.verdict is Verdict.OK


def test_the_stock_derived_takes_up_the_cores_shift() -> None:
    for change in ({}, {"pattern": {"core_shift": 7}}, {"pattern": {"tolerance_grade": "CT8", "allowance_grade": "E"}}):
        resolved = checks_support.read(checks_support.said("single", change))
        assert foundry.foundry_settings(resolved).stock_bore_mm >= resolved.said.pattern.core_shift


def drafts(pattern: dict[str, object]) -> list[Finding]:
    resolved = checks_support.read(checks_support.said("single", {"pattern": pattern}))
    found = pattern_findings.pattern_findings(resolved.strut, foundry.foundry_settings(resolved))
    return [f for f in found if f.code == "pattern_draft_small"]


ASKED = {"arm_plane": [2.2, 3.2, 1.9], "barrel_plane": [2.2, 2.6]}
"""ISO 8062-4 Table 4, moulded by hand, outside (published, typed copy): the barrel's faces, 40 mm from the parting, 2.2
degrees; edges of the arm, 14 mm, 3.2; of a palm drawn along it, 63 mm to both sides, 1.9; of one that lies flat, 18 mm
and the stock on its hull face, 2.6."""


@pytest.mark.parametrize(("draft", "verdict"), [(1.0, Verdict.HINT), (7.0, Verdict.OK)])
@pytest.mark.parametrize("parting", ["arm_plane", "barrel_plane"])
def test_less_draft_than_the_table_asks_is_told(draft: float, verdict: Verdict, parting: str) -> None:
    found = drafts({"draft": draft, "parting": parting})
    assert [(f.actual, f.demanded, f.verdict) for f in found] == [(draft, d, verdict) for d in ASKED[parting]]


@pytest.mark.parametrize("parting", ["arm_plane", "barrel_plane"])
def test_a_draft_left_out_is_the_larger_of_the_usual_and_the_tables(parting: str) -> None:
    """The usual 1.5 degrees (common practice, no source) is less than the table's on low faces, more on high ones."""
    found = drafts({"parting": parting})
    root = found[len(ASKED[parting]) :]
    of_height = found[: len(ASKED[parting])]
    assert [(f.actual, f.demanded) for f in of_height] == [(max(1.5, d), d) for d in ASKED[parting]]
    assert all(f.verdict is Verdict.OK and "1.5 deg at least" in f.what.read("mm") for f in of_height)
    # The palm's water face keeps the usual draft, as the arm's root stands on it: both figures are told.
    told = [(1.5, 1.9, Verdict.HINT)] if parting == "arm_plane" else []
    assert [(f.actual, f.demanded, f.verdict) for f in root] == told


@settings(max_examples=200, deadline=None)
@given(st.floats(1e-3, 3000.0), st.floats(1e-3, 3000.0))
def test_a_higher_face_never_asks_more_draft(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert rules.draft_deg(low) >= rules.draft_deg(high) >= 1.5
    assert rules.draft_deg(low) >= tables.casting_draft_deg(low)


@pytest.mark.parametrize(
    "name", ["harbour-launch", "day-cruiser", "work-launch-vee", "patrol-vee-pair", "refit-two-bores"]
)
def test_a_set_screw_stands_proud_nowhere_on_a_casting(name: str) -> None:
    """Seated in its dimple where the outside came short by half its tolerance and the core lay off its place: the
    screw, down to the shell and the dimple's depth into it, ends below the outside. Arithmetic; only walls thinner
    than nominal ask for a shorter screw, so without a casting's tolerances it is as long or longer."""
    s = resolve(load(shipped()[name])).strut
    assert s.casting is not None
    barrel, shift = s.barrel, casting.off_centre_mm(s.casting, 1.0)
    short = casting.cast_tolerance_mm(s.casting.tolerance_grade, barrel.outside_mm) / 4 + barrel.bore_upper_mm / 2
    lengths = []
    for screw in s.set_screws:
        found = set_screw_length(s, screw, standard())
        assert found is not None
        deep = screw_wall_of(s, screw).to_shell_mm + screw.dimple_depth_mm
        long = found.stock_mm if found.stock_mm is not None else found.ideal_mm
        assert long <= deep - short - shift + 1e-6
        lengths.append(long)
        loose = set_screw_length(replace(s, casting=None), screw, standard())
        assert loose is not None
        assert found.ideal_mm < loose.ideal_mm
    assert lengths
