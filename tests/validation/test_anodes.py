"""Anodes against hand work by DNV-RP-B401 (published, typed copies of the prints), and against a sum month by month."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any, get_args

import numpy as np
import pytest
from strength_support import inputs_of
from support import built_of, every

from strutwright.models import wetted
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.metals import anodes
from strutwright.models.finding import Finding, Standing, Verdict
from strutwright.models.formulas import cathodic_protection as rules
from strutwright.models.formulas.seawater import practical_salinity, resistivity_ohm_m
from strutwright.models.resolve import resolve
from strutwright.params import tables
from strutwright.params.loader import load, shipped
from strutwright.params.schema_boat import Protection

BARE_M2, PAINTED_M2, YEARS = 0.89, 0.60, 2.0
ZINC, USED = 780.0, 0.80


def asked(water: str) -> tuple[float, float, float, float]:
    """Initial, mean and final current, A, and zinc, kg, of the metal above under paint of category II."""
    density, share = tables.current_density(water), rules.bare_share(*tables.paint_wear("II"), YEARS)
    pairs = ((density.initial_a_m2, share.initial), (density.mean_a_m2, share.mean), (density.final_a_m2, share.final))
    first, mean, last = (float(rules.current_a(d, BARE_M2, PAINTED_M2, s)) for d, s in pairs)
    return first, mean, last, float(rules.mass_kg(mean, YEARS, ZINC, USED))


def test_currents_and_mass_by_hand() -> None:
    """Temperate water, two years: 0.100 (0.89 + 0.075 x 0.60) A, 1638.12 A h over 780 x 0.80."""
    first, mean, last, zinc = asked("temperate")
    assert (first, mean, last) == pytest.approx((0.1840, 0.0935, 0.1235), abs=5e-5)
    assert mean * 8760 * YEARS == pytest.approx(1638.12, abs=0.005)
    assert zinc == pytest.approx(2.6252, abs=5e-5)
    assert rules.whole(zinc / 0.70) == 4


@pytest.mark.parametrize(("water", "kg"), [("tropical", 1.8376), ("subtropical", 2.1002), ("arctic", 3.1502)])
def test_mass_by_climate(water: str, kg: float) -> None:
    assert asked(water)[3] == pytest.approx(kg, abs=5e-5)


def test_a_year_of_bare_metal() -> None:
    """0.3388 m2 at 0.100 A/m2: 0.4756 kg of zinc a year."""
    assert rules.mass_kg(0.3388 * 0.100, 1.0, ZINC, USED) == pytest.approx(0.4756, abs=1e-3)


@pytest.mark.parametrize("paint", ["I", "II", "III", "IV", "none"])
@pytest.mark.parametrize("years", [0.5, 2.0, 12.0, 40.0])
def test_mean_share_is_that_of_small_steps(paint: str, years: float) -> None:
    start, per_year = tables.paint_wear(paint)
    steps = (np.arange(200_000) + 0.5) / 200_000 * years
    mean = np.minimum(start + per_year * steps, 1.0).mean()
    assert rules.bare_share(start, per_year, years).mean == pytest.approx(mean, rel=1e-6)


def test_one_anode_gives() -> None:
    """A face of 0.008 m2 in water of 0.30 ohm m: 1.0565 ohm, 0.1893 A at the 0.20 V of zinc."""
    ohm = float(rules.resistance_ohm(0.30, 0.008))
    assert ohm == pytest.approx(1.0565, abs=5e-5)
    assert tables.anode_metal("zinc").drives_v / ohm == pytest.approx(0.1893, abs=5e-5)


def test_resistance_lies_between_bodies_of_potential_theory() -> None:
    """A whole sphere of the area in open water has 1 / (4 sqrt(pi) ...) = 0.282, a half one on a wall 0.399."""
    sphere = 1.0 / (4.0 * np.pi * np.sqrt(1.0 / (4.0 * np.pi)))
    half = 1.0 / (2.0 * np.pi * np.sqrt(1.0 / (2.0 * np.pi)))
    assert sphere < rules.resistance_ohm(1.0, 1.0) < half


def test_capacity_is_under_faradays() -> None:
    """96485 C/mol, zinc 2, aluminium 3, magnesium 2 to the atom; half of magnesium goes without giving any."""
    for name, charges, grams in (("zinc", 2, 65.38), ("aluminium", 3, 26.98), ("magnesium", 2, 24.31)):
        most = 96_485.332 * charges / grams / 3.6
        assert 0.49 * most < tables.anode_metal(name).capacity_ah_kg < most


def test_every_word_of_the_schema_has_its_row() -> None:
    fields = Protection.model_fields
    for water in get_args(fields["water"].annotation):
        tables.current_density(water)
    for paint in get_args(fields["paint"].annotation):
        tables.paint_wear(paint)
    for metal in get_args(fields["anode_metal"].annotation):
        tables.anode_metal(metal)


@pytest.mark.parametrize("look", [tables.current_density, tables.paint_wear, tables.anode_metal])
def test_other_names_are_told(look: Any) -> None:
    with pytest.raises(tables.NotInTable, match="Valid"):
        look("ebony")


# --- findings --------------------------------------------------------------------------------------------------------


def found(name: str, **said: Any) -> dict[str, Finding]:
    strut = resolve(load(shipped()[name])).strut
    return {
        f.code: f
        for f in engineering_findings(replace(strut, protection=replace(strut.protection, **said)))
        if f.code.startswith("anode")
    }


def under_pressure(ratio: float, celsius: float, decibar: float) -> float:
    """Conductivity over that of salinity 35 at the same temperature and the surface, of one over that at 15 C.

    UNESCO 1983, equations 3 and 4 with their constants: what pressure and temperature do.
    """
    up = 1.0 + decibar * (2.070e-5 + decibar * (-6.370e-10 + decibar * 3.989e-15)) / (
        1.0 + celsius * (3.426e-2 + 4.464e-4 * celsius) + (4.215e-1 - 3.107e-3 * celsius) * ratio
    )
    warm = np.polyval([1.0031e-9, -6.9698e-7, 1.104259e-4, 2.00564e-2, 0.6766097], celsius)
    return ratio / float(up * warm)


@pytest.mark.parametrize(
    ("ratio", "celsius", "decibar", "salinity"),
    [(1.0, 15.0, 0.0, 35.0), (1.2, 20.0, 2000.0, 37.245628), (0.65, 5.0, 1500.0, 27.995347)],
)
def test_salinity_is_that_of_the_published_check_values(
    ratio: float, celsius: float, decibar: float, salinity: float
) -> None:
    """UNESCO Technical Papers in Marine Science 44 (1983). What Hill and others take off is 1e-5 at most."""
    found = practical_salinity(under_pressure(ratio, celsius, decibar), celsius)
    assert found == pytest.approx(salinity, abs=1e-5)


def test_resistivity_of_the_sea_and_of_potassium_chloride() -> None:
    """Salinity 35 at 15 C has the conductivity of the scale's KCl solution, 4.2914 S/m."""
    assert 1.0 / resistivity_ohm_m(35.0, 15.0) == pytest.approx(4.2914, rel=1e-8)
    assert resistivity_ohm_m(35.0, 10.0) == pytest.approx(1.0 / 3.81, rel=2e-3)  # oceanographers' tables, 38.1 mS/cm


@pytest.mark.parametrize(("metal", "fit", "not_fit"), [
    ("zinc", 18.0, 17.0), ("aluminium", 0.5, 0.3), ("magnesium", 0.5, 0.6),
])  # fmt: skip
def test_each_anode_metal_has_its_water(metal: str, fit: float, not_fit: float) -> None:
    for salinity, verdict in ((fit, Verdict.OK), (not_fit, Verdict.WARN)):
        told = found("coaster-steel", anode_metal=metal, salinity=salinity)["anode_water"]
        assert told.verdict is verdict
        assert metal in told.about("mm")


def test_less_salt_takes_more_anodes_and_is_an_assumption() -> None:
    sea, brackish, lake = (found("coaster-steel", salinity=s) for s in (35.0, 8.0, 0.2))
    counts = [float(f["anode_count"].actual) for f in (sea, brackish, lake)]
    assert counts[0] <= counts[1] < counts[2]
    assert sea["anode_current_final"].standing is Standing.PUBLISHED
    assert lake["anode_current_final"].standing is Standing.PRACTICE
    assert "made for sea water" in str(lake["anode_current_final"].source)


@pytest.mark.parametrize(("code", "few"), [
    ("anode_mass", {"count": 7}),
    ("anode_current_initial", {"face_m2": 0.0001}),
    ("anode_current_final", {"face_m2": 0.0001}),
])  # fmt: skip
def test_too_few_or_too_small_anodes_warn(code: str, few: dict[str, Any]) -> None:
    """The shipped eight of 2.3 kg hold 16.3 kg; seven do not, nor do faces of a square centimetre give the current."""
    assert found("coaster-steel")[code].verdict is Verdict.OK
    assert found("coaster-steel", **few)[code].verdict is Verdict.WARN


def test_standing_follows_the_metal() -> None:
    """Made for steel: published there, an assumption for bronze."""
    steel, bronze = found("coaster-steel"), found("harbour-launch", count=2)
    assert steel["anode_mass"].standing is Standing.PUBLISHED
    assert bronze["anode_mass"].standing is Standing.PRACTICE
    assert "an assumption for C95800" in str(bronze["anode_mass"].source)
    assert "assumption" not in str(steel["anode_mass"].source)
    assert bronze["anode_current_final"].standing is Standing.PRACTICE


def test_without_a_number_of_anodes_the_need_is_told() -> None:
    told = found("harbour-launch")
    assert {f.verdict for f in told.values()} == {Verdict.INFORMATION}
    assert told["anode_mass"].actual == pytest.approx(0.667, abs=2e-3)


def test_the_number_needed_satisfies_all_three() -> None:
    for name in ("coaster-steel", "harbour-launch", "survey-launch"):
        for years in (0.2, 1.0, 15.0):
            need = int(found(name, years=years)["anode_count"].actual)
            enough = found(name, years=years, count=need)
            assert {f.verdict for f in enough.values()} <= {Verdict.OK, Verdict.INFORMATION}
            if need > 1:
                fewer = found(name, years=years, count=need - 1)
                assert Verdict.WARN in {f.verdict for f in fewer.values()}


def test_bonded_metal_said_stands_for_shaft_and_propeller() -> None:
    """A boat whose shaft is not bonded: the strut's own 51965 mm2 at 0.1 A/m2."""
    inputs = inputs_of("canal-tender")
    alone = anodes.numbers(replace(inputs, protection=replace(inputs.protection, bonded_m2=0.0)))
    assert float(alone["anode_current_mean"].demand) == pytest.approx(51965e-6 * 0.1, rel=1e-4)


@pytest.mark.parametrize("name", every(["canal-tender", "yawl-with-heel", "pilot-vee"], 3))
def test_the_strut_in_the_water_is_no_larger_than_what_is_counted(name: str) -> None:
    """Against the solid: all of its surface but the palms' hull faces and the bore, which no water moves past."""
    strut = resolve(load(shipped()[name])).strut
    inputs = inputs_of(name)
    shapes = [p.shape for p in built_of(strut).parts if "bearing" not in p.kind and p.kind not in ("weld", "heel bush")]
    own = sum(s.Area() for s in shapes)
    hidden = sum(p.outline.area_mm2() for p in strut.palms) + math.pi * strut.barrel.bore_mm * strut.barrel.length_mm
    counted = float(wetted.strut_mm2(inputs))
    assert 0.85 * (own - hidden) < counted
    if strut.construction == "cast":
        assert counted > 0.97 * (own - hidden)


def test_an_unknown_propeller_is_asked_for() -> None:
    strut = resolve(load(shipped()["coaster-steel"])).strut
    bare = replace(strut, propeller=replace(strut.propeller, diameter_mm=None))
    told = {f.code: f for f in engineering_findings(bare)}
    assert told["anode_mass"].verdict is Verdict.NOT_CHECKED
    assert told["anode_mass"].missing == ("propeller.diameter",)
