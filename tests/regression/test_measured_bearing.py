"""A bearing that was measured: its bore is made to that size and not to another fit on top of it.

Reference: bore limits of ISO 286-2 H7 and p6 at 50 mm, 0/+25 and +26/+42 um (published; S41 of the handbook for H7).
"""

from __future__ import annotations

import re
from itertools import product
from typing import Any

import checks_support as trial
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import SHAFTED, every

from strutwright.exporters.sheets import barrel
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.record import record_rows
from strutwright.models.checks import geometry_checks, said_findings
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.finding import Verdict
from strutwright.models.geometry.barrel import bearing_seat_mm, seat_limits_mm
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.solids import Built
from strutwright.params import tables
from strutwright.params.loader import loads, shipped
from strutwright.params.problems import ParameterError, Problem

SHIPPED = shipped()


def problems(data: dict[str, Any]) -> list[Problem]:
    with pytest.raises(ParameterError) as caught:
        trial.read(data)
    return caught.value.problems


def bores(found: Resolved) -> list[tuple[float, float]]:
    """Return the limits of size (mm) of the seat of each bearing."""
    barrel = found.strut.barrel
    return [
        (
            bearing_seat_mm(barrel, b) + seat_limits_mm(barrel, b)[0],
            bearing_seat_mm(barrel, b) + seat_limits_mm(barrel, b)[1],
        )
        for b in found.strut.bearings
    ]


def harbour(line: str) -> Resolved:
    return resolve(
        loads(
            SHIPPED["harbour-launch"]
            .read_text(encoding="utf-8")
            .replace("  outside_diameter: 50\n", f"  outside_diameter: 50\n  {line}\n")
        )
    )


def test_the_bore_of_a_50_mm_bearing_that_measures_50_03() -> None:
    """By hand: the middle of H7/p6 at 50 is (26 + 42 - 25) / 2 = 21.5 um of interference; H7 is 25 um wide."""
    (bore,) = bores(harbour("outside_measured: 50.03"))
    assert bore == pytest.approx((50.03 - 0.0215 - 0.0125, 50.03 - 0.0215 + 0.0125), abs=0.0006)
    nominal = harbour("shell: 3").strut.barrel
    assert (nominal.bore_mm, nominal.bore_lower_mm, nominal.bore_upper_mm) == pytest.approx((50, 0, 0.025))


@pytest.mark.parametrize(("name", "off_mm"), every(list(product(SHAFTED, (-0.06, 0.0, 0.031, 0.1))), 3))
def test_every_shipped_set_gets_the_wanted_fit_whatever_its_bearing_measures(name: str, off_mm: float) -> None:
    """The interference or clearance does not move with the measured size; the sheet and the record tell that size."""
    plain = resolve(loads(SHIPPED[name].read_text(encoding="utf-8")))
    if len(plain.strut.bearings) > 1:
        return
    size = plain.strut.bearings[0].outside_mm + off_mm
    text = SHIPPED[name].read_text(encoding="utf-8")
    text = re.sub(r"^  (outside_(upper|lower|measured)|bore_class):.*\n", "", text, flags=re.M)
    found = resolve(
        loads(
            text.replace("\nbearing:", f"\nbearing:\n  outside_measured: {size!r} mm\n#", 1)
            if "\nbearing:" in text
            else text + f"\nbearing: {{outside_measured: {size!r} mm}}\n"
        )
    )
    ((low, high),) = bores(found)
    width = (tables.iso286("H7", found.strut.barrel.bore_mm).upper_um) / 1000
    assert high - low == pytest.approx(width, abs=1e-6)
    if found.strut.barrel.fit == "press":
        wanted = next(r.value for r in found.records if r.path == "barrel.interference")
        assert size - (low + high) / 2 == pytest.approx(wanted, abs=0.0011)
        assert size - high > 0
    else:
        assert low - size == pytest.approx(0.012 * 25.4, abs=0.0006)
    fits = [f for f in geometry_checks(found.strut) if f.code.startswith("bore_fit")]
    assert [f.verdict for f in fits] == [Verdict.OK] * len(fits)
    context = SheetContext(found, found.strut, Built("", (), [], 0.0), "0" * 64, "0")
    told = [row for row in barrel._limits_table(context).rows if "bearing" in row[0]]
    in_mm = f"{size:.3f}"
    assert in_mm in told[0][2]
    assert told[0][1] == "measured"
    rows = [r for r in record_rows(context) if r[0].startswith("bearing, outside")]
    figure = f"{size:.3f}".rstrip("0").rstrip(".") if found.said.units == "mm" else f"{size / 25.4:.4f}"
    assert [r[0] for r in rows] == ["bearing, outside, as measured"]
    assert figure.rstrip("0").rstrip(".") in rows[0][1]


@settings(max_examples=60, deadline=None)
@given(
    nominal=st.integers(20, 200),
    off=st.integers(-300, 300),
    interference=st.integers(5, 60) | st.none(),
    slide=st.booleans(),
    gap=st.integers(50, 700),
)
def test_the_bore_follows_any_measured_size(
    nominal: int, off: int, interference: int | None, slide: bool, gap: int
) -> None:
    """Interference wanted lies in the middle of a press fit; the clearance wanted is the least of a slide fit."""
    size = nominal + off / 1000
    fit = (
        {"fit": "slide", "slide_clearance": gap / 1000}
        if slide
        else {"interference": interference / 1000 if interference else None}
    )
    data = trial.said(
        "single",
        {
            "shaft": {"diameter": max(12, 0.6 * nominal)},
            "bearing": {
                "outside_diameter": nominal,
                "outside_measured": size,
                "outside_upper": None,
                "outside_lower": None,
                "shell": 0.05 * nominal,
                "flutes": None,
                "running_clearance": None,
            },
            "barrel": {
                "bore": None,
                "bore_class": None,
                "outside_diameter": 1.6 * nominal + 6,
                "ends": None,
                "lead_in": None,
                **fit,
            },
        },
    )
    found = trial.read(data)
    ((low, high),) = bores(found)
    if slide:
        assert low - size == pytest.approx(gap / 1000, abs=0.0006)
    else:
        wanted = (
            interference / 1000
            if interference
            else next(float(r.value) for r in found.records if r.path == "barrel.interference")
        )
        assert size - (low + high) / 2 == pytest.approx(wanted, abs=0.0006)


def test_each_bearing_of_two_has_its_own_bore() -> None:
    text = SHIPPED["refit-two-bores"].read_text(encoding="utf-8")
    before = bores(resolve(loads(text)))
    after = bores(resolve(loads(text.replace("outside_measured: 80.04", "outside_measured: 80.09"))))
    assert after[0] == pytest.approx((before[0][0] + 0.05, before[0][1] + 0.05), abs=1e-6)
    assert after[1] == before[1]
    half = bores(resolve(loads(text.replace("outside_measured: 80.04, ", ""))))
    assert half[0] == pytest.approx((80.0 + half[1][0] - 75, 80.0 + half[1][1] - 75), abs=1e-6) or half[
        0
    ] == pytest.approx((80.0, 80.030), abs=1e-6)


def test_only_the_nominal_size_is_derived_from_what_is_measured() -> None:
    for measured, nominal in ((69.97, 70.0), (70.12, 70.1)):
        found = trial.read(
            trial.said(
                "single",
                {
                    "bearing": {
                        "outside_diameter": None,
                        "outside_measured": measured,
                        "outside_upper": None,
                        "outside_lower": None,
                    },
                    "barrel": {"bore": None, "bore_class": None},
                },
            )
        )
        assert found.strut.bearings[0].outside_mm == pytest.approx(nominal, abs=1e-9)
        assert found.strut.barrel.bore_mm == pytest.approx(nominal, abs=1e-9)
        assert [f.parameter for f in said_findings(found)] == []


MEASURED = {
    "bearing": {"outside_measured": 70.03, "outside_upper": None, "outside_lower": None},
    "barrel": {"bore_class": None},
}


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"barrel": {"bore_class": "H7"}}, "barrel.bore_class"),
        ({"bearing": {"outside_upper": 0.03}}, "bearing.outside_upper"),
        ({"bearing": {"outside_measured": 70.9}}, "bearing.outside_measured"),
        ({"barrel": {"bore": 68}}, "barrel.bore"),
        ({"barrel": {"fit": "slide", "interference": 0.02}}, "barrel.interference"),
        ({"bearing": {"outside_measured": None}, "barrel": {"interference": 0.02}}, "barrel.interference"),
        ({"bearing": {"outside_measured": None, "outside_diameter": 70.03}}, "bearing.outside_diameter"),
    ],
)
def test_two_ways_to_place_the_bore_are_asked_about(change: dict[str, Any], path: str) -> None:
    found = problems(trial.merged(trial.said("single", MEASURED), change))
    assert path in [p.path for p in found]
    for p in found:
        assert p.advice
        assert p.line > 0


@pytest.mark.parametrize("size", [50.03, 49.98, 50.05, 1.9712, 65.017])
def test_a_measured_size_in_the_place_of_the_nominal_one_is_asked_about(size: float) -> None:
    units = "in" if size < 10 else "mm"
    found = problems(
        trial.said(
            "single",
            {
                "bearing": {
                    "outside_diameter": f"{size} {units}",
                    "outside_upper": None,
                    "outside_lower": None,
                    "shell": 2,
                    "flutes": None,
                },
                "shaft": {"diameter": 30},
                "barrel": {"bore": None},
            },
        )
    )
    assert [p.path for p in found] == ["bearing.outside_diameter"]
    assert "outside_measured" in str(found[0])


@pytest.mark.parametrize("size", ["50", "63.5", "2 in", "1 3/8 in", "2.625 in", "66.675", "1.30 in", "50.8", "41.28"])
def test_a_size_that_is_ordered_by_is_no_measured_one(size: str) -> None:
    trial.read(
        trial.said(
            "single",
            {
                "bearing": {
                    "outside_diameter": size,
                    "outside_upper": None,
                    "outside_lower": None,
                    "shell": 2,
                    "flutes": None,
                },
                "shaft": {"diameter": 25},
                "barrel": {"bore": None},
            },
        )
    )


def test_advice_on_the_fit_of_a_measured_bearing_names_what_moves_the_bore() -> None:
    tight = trial.merged(MEASURED, {"barrel": {"interference": 0.2}})
    strut = trial.strut("single", tight)
    told = [
        f
        for f in [*geometry_checks(strut), *engineering_findings(strut)]
        if f.verdict in (Verdict.WARN, Verdict.FAIL) and "interference" in str(f.advice)
    ]
    assert told
    for f in told:
        assert "barrel.bore" not in (f.parameter, *str(f.advice).replace("(", " ").replace(")", " ").split())
    eased = trial.strut("single", trial.merged(MEASURED, {"barrel": {"interference": 0.02}}))
    assert max(f.actual for f in geometry_checks(eased) if f.code == "bore_fit_greatest") < max(
        f.actual for f in geometry_checks(strut) if f.code == "bore_fit_greatest"
    )
