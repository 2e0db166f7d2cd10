"""Fitting a bearing: Lame against finite elements at mid-length, the textbook's press force, limits that move."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from ring_elements import pressed
from support import own_limits

from strutwright.models.bench.fitting import Fitted, fit
from strutwright.models.bench.fitting_case import NotKnownError, case_of
from strutwright.models.bench.fitting_screws import clocking, mark_out
from strutwright.models.bench.fitting_words import options
from strutwright.models.formulas import bearing, press_fit
from strutwright.models.formulas.press_fit import Elastic
from strutwright.models.resolve import resolve
from strutwright.models.spec import Strut
from strutwright.params.bench.fitting import Fitting, checked
from strutwright.params.limits import Limits, standard
from strutwright.params.loader import load, shipped
from strutwright.params.measured import reads
from strutwright.params.problems import ParameterError

LAUNCH = resolve(load(shipped()["harbour-launch"])).strut


def rows(*sizes: float, length: float = 140.0) -> list[dict[str, float]]:
    """Readings along, upright."""
    return [{"at": float(a), "upright": s} for a, s in zip(np.linspace(0, length, len(sizes)), sizes, strict=True)]


def said(**more: Any) -> Fitting:
    """Readings on the launch: 0.024 of interference all along, where not said otherwise."""
    given = {"bore": rows(50.0, 50.0, 50.0), "outside": rows(50.024, 50.024, 50.024), **more}
    return checked(reads(json.dumps(given), Fitting), has_set=True)


def fitted(
    limits: Limits | None = None, strut: Strut | None = LAUNCH, press_n: float | None = 1e5, **more: Any
) -> Fitted:
    """The fit of readings."""
    held = standard() if limits is None else limits
    return fit(case_of(said(**more), strut, held), held, press_n)


def verdict(found: Fitted, name: str) -> str:
    """The verdict of one thing that is judged."""
    return next(j.verdict for j in found.judged if j.name == name)


@pytest.mark.parametrize(
    ("interface", "outside", "bore", "length", "hub", "shell"),
    [
        (50.0, 68.0, 44.0, 140.0, (114e3, 0.34), (103e3, 0.34)),
        (66.675, 92.0, 60.325, 203.2, (103.4e3, 0.34), (103.4e3, 0.34)),
        (80.0, 112.0, 72.0, 240.0, (193e3, 0.3), (22e3, 0.2)),
    ],
)
def test_lame_at_mid_length_against_rings_of_finite_elements(
    interface: float, outside: float, bore: float, length: float, hub: tuple[float, float], shell: tuple[float, float]
) -> None:
    closure, growth = pressed(
        interface=interface, outside=outside, bore=bore, length=length, hub=hub, shell=shell, interference=0.04
    )
    found = press_fit.press_fit(0.04, interface, outside, bore, Elastic(*hub, 0.0), Elastic(*shell, 0.0))
    assert found.sleeve_bore_closure_mm == pytest.approx(closure, rel=0.03)
    # Growth of the outside by Lame: 2 p d^2 D / (E (D^2 - d^2)).
    grown = 2 * found.pressure_mpa * interface**2 * outside / (hub[0] * (outside**2 - interface**2))
    assert grown == pytest.approx(growth, rel=0.03)


def test_the_closure_of_a_worked_case() -> None:
    """Outside 66.675, metal bore 60.325, barrel 92, 103.4 GPa, 0.34, interference 0.040: by Lame's formulas 0.0301."""
    metal = Elastic(103.4e3, 0.34, 0.0)
    found = press_fit.press_fit(0.04, 66.675, 92.0, 60.325, metal, metal)
    assert found.sleeve_bore_closure_mm == pytest.approx(0.0301, abs=5e-5)
    assert press_fit.press_force_n(found.pressure_mpa, 66.675, 203.2, 0.12) == pytest.approx(23.9e3, rel=0.003)


@pytest.mark.parametrize("enters", ["aft", "forward"])
def test_an_even_fit_has_the_textbooks_force(enters: str) -> None:
    """Shigley 7-48: the whole length at the pressure of the interference, which the readings may hide more of."""
    found = fitted(enters=enters, bearing={"length": 140.0})
    hub, shell = (Elastic(m.modulus_mpa, m.poisson, 0.0) for m in (found.case.hub, found.case.shell))
    one = press_fit.press_fit(0.024 + found.within_mm, 50.0, 68.0, 50.024 - 6.0, hub, shell)
    whole = press_fit.press_force_n(one.pressure_mpa, 50.0, 140.0, standard()["press_friction"].value)
    assert found.force_n.max() == pytest.approx(whole, rel=0.01)
    assert found.force_n[len(found.force_n) // 2] == pytest.approx(
        found.force_n[-1] / 2, rel=0.05 if enters == "aft" else 0.1
    )


def test_a_tapered_bore_presses_at_its_narrow_end_only() -> None:
    """The bore opens from 50 to 50.06: the aft 56 of 140 mm hold, and a bearing that enters aft is tight at once."""
    found = fitted(bore=rows(50.0, 50.06), outside=rows(50.024, 50.024))
    loose = next(j for j in found.judged if j.name == "loose")
    assert loose.value == pytest.approx(1 - 56 / 140, abs=0.02)
    assert (loose.verdict, found.verdict) == ("no go", "no go")
    assert found.interference_mm[0] == pytest.approx(0.024)
    other = fitted(bore=rows(50.0, 50.06), outside=rows(50.024, 50.024), enters="forward")
    middle = len(found.force_n) // 2
    assert found.force_n[middle] > 2 * other.force_n[middle]


def test_unlike_temperatures_are_brought_to_that_of_the_shop() -> None:
    """A bearing read at 30 C is larger by 10 K of brass: 50 x 10 x alpha."""
    case = case_of(said(bearing={"celsius": 30.0}), LAUNCH, standard())
    alpha = float(case.shell.expansion_per_k)
    assert case.outside.middle_mm == pytest.approx(50.024 * (1 - 10 * alpha), abs=1e-9)


def test_stress_is_that_of_the_water_in_which_the_fit_is_tightest() -> None:
    """Brass in a barrel of steel gains d (alpha_s - alpha_h) 15 K of interference in water of 35 C, and the stress goes
    with it (free expansion; Lame is linear)."""
    one = fitted(outside=rows(50.024))
    two = fitted(outside=rows(50.024), barrel={"material": "S275"})
    at_shop = fitted(
        own_limits("sea_coldest: 20\nsea_warmest: 20\n"), outside=rows(50.024), barrel={"material": "S275"}
    )
    gains = 50.0 * 15.0 * (two.case.shell.expansion_per_k - two.case.hub.expansion_per_k)
    assert gains > 0.005
    assert one.case.hub.name != two.case.hub.name
    for name in ("barrel_stress", "shell_stress"):
        warm, shop = (next(j.value for j in f.judged if j.name == name) for f in (two, at_shop))
        assert warm / shop == pytest.approx((0.024 + gains) / 0.024, rel=1e-6)


@pytest.mark.parametrize(
    ("name", "good", "doubtful", "bad"),
    [
        ("clearance", {"bearing": {"inside": 35.16}}, {"bearing": {"inside": 35.09}}, {"bearing": {"inside": 35.01}}),
        ("shell_stress", {}, None, {"outside": rows(50.2)}),
        ("loose", {}, {"outside": rows(50.005)}, {"outside": rows(49.98)}),
        ("out_of_round", {}, {"bore": [{"at": 70, "upright": 50.0, "level": 50.06}]}, None),
    ],
)
def test_each_is_go_doubtful_or_no_go(name: str, good: Any, doubtful: Any, bad: Any) -> None:
    assert verdict(fitted(**good), name) == "go"
    for case, told in ((doubtful, "doubtful"), (bad, "no go")):
        if case is not None:
            found = fitted(**case)
            assert verdict(found, name) == told
            assert found.verdict != "go"
            assert list(options(found))


@pytest.mark.parametrize(
    ("text", "moves"),
    [
        ("clearance_floor: 0.2", "clearance"),
        ("press_stress: 0.1", "shell_stress"),
        ("fitting_loose: 1.0", "loose"),
        ("bore_out_of_round: 0.2", "out_of_round"),
    ],
)
def test_a_limit_of_the_shop_moves_its_verdict(text: str, moves: str) -> None:
    case: dict[str, Any] = {"bore": [{"at": 70, "upright": 50.0, "level": 50.06}], "bearing": {"inside": 35.13}}
    assert verdict(fitted(**case), moves) != verdict(fitted(own_limits(text + "\n"), **case), moves)


@pytest.mark.parametrize(
    ("text", "way"),
    [
        ("rubber_coldest: -60", "chill"),
        ("fitting_warmest: 120", "warm"),
        ("fitting_no_press: 100", "draw bolt"),
        ("press_share: 0.01", "press"),
    ],
)
def test_a_limit_of_the_shop_opens_or_closes_a_way_in(text: str, way: str) -> None:
    ways = [{w.name: w.verdict for w in fitted(held).ways} for held in (standard(), own_limits(text + "\n"))]
    assert ways[0][way] != ways[1][way]  # type: ignore[index]


def test_in_the_bore_that_is_told_the_bearing_goes() -> None:
    tight = fitted(bearing={"inside": 35.17}, outside=rows(50.05))
    assert tight.verdict != "go"
    assert tight.bore_for_mm is not None
    for bore in (tight.bore_for_mm[0] + 2e-4, tight.bore_for_mm[1] - 2e-4):
        again = fitted(bearing={"inside": 35.17}, outside=rows(50.05), bore=rows(bore))
        held = ("clearance", "clearance_usual", "barrel_stress", "shell_stress", "loose", "kept")
        assert {verdict(again, n) for n in held} == {"go"}
    wider = fitted(bearing={"inside": 35.17}, outside=rows(50.05), bore=rows(tight.bore_for_mm[0] - 0.003))
    assert wider.verdict != "go"


def test_screws_follow_the_bearing_and_keep_off_its_flutes() -> None:
    case = case_of(said(sits=-4.0, bearing={"length": 120.0, "wall_least": 2.0}), LAUNCH, standard())
    clocked = clocking(case, standard(), None)
    marked = mark_out(case, standard(), clocked)
    assert [m.from_ends_mm[0] / 120.0 for m in marked] == pytest.approx([0.25, 0.75])
    assert marked[0].station_mm == pytest.approx(-4.0 + 30.0)
    # Dimple 0.6 of the least shell at most; the collar: wall 9 and the dimple.
    assert marked[0].dimple_mm == pytest.approx(1.2)
    assert marked[0].collar_mm == pytest.approx(9.0 + 1.2)
    assert all(m.to_flute_edge_deg is not None and m.to_flute_edge_deg > 0 for m in marked)
    over = clocking(case, standard(), marked[0].screw.clock_deg)
    assert "over a flute" in mark_out(case, standard(), over)[0].faults
    near = case_of(said(sits=60.0, bearing={"length": 60.0}), LAUNCH, standard())
    near = replace(near, screws=(replace(near.screws[0], of_bearing=0.05),))
    assert "too near an end of the bearing" in mark_out(near, standard(), clocked)[0].faults


@pytest.mark.parametrize("count", [5, 6, 8, 13])
def test_flutes_stand_as_far_from_screws_as_they_can(count: int) -> None:
    """Against trial of every tenth of a degree."""
    clocks = [90.0, 212.5, 180.0]
    best = bearing.clearest_flute_deg(clocks, count)

    def off(first: float) -> float:
        return min(float(bearing.flute_clock(c, count, first, 2.0, 40.0).to_flute_centre_deg) for c in clocks)

    assert off(best) == pytest.approx(max(off(k / 10) for k in range(0, 3600 // count)), abs=0.1)


def test_what_cannot_be_is_told() -> None:
    with pytest.raises(NotKnownError, match="does not fit in the shell"):
        fitted(bearing={"inside": 46.0})
    with pytest.raises(NotKnownError, match="flutes of that width do not fit") as all_told:
        fitted(bearing={"inside": 46.0, "flutes": 30, "flute_width": 9.0})
    assert [where for where, _ in all_told.value.faults] == ["bearing.inside", "bearing.flutes"]
    with pytest.raises(ParameterError, match=r"barrel\.outside") as told:
        checked(reads(json.dumps({"bore": rows(50.0), "outside": []}), Fitting), has_set=False)
    assert "outside: has no reading" in str(told.value)
    with pytest.raises(ParameterError, match="far from the others"):
        said(bore=rows(50.0, 50.0, 5.0))
