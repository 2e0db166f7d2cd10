"""How a finding stands when what it rests on was read: the rules that README tells, each by a case worked by hand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace

import numpy as np
import pytest
from support import own_limits

from strutwright.models.checks import geometry_checks
from strutwright.models.checks.engineering import CHECKS, engineering_findings
from strutwright.models.edge_rules import EDGE_RULES
from strutwright.models.finding import Finding, Standing, Verdict
from strutwright.models.metals import metal
from strutwright.models.resolve import resolve
from strutwright.models.sizing.judge import Judge
from strutwright.models.spec import Strut
from strutwright.models.working_list import from_memory
from strutwright.params import checks, limits, readings, tables
from strutwright.params.limits import OWN, standard
from strutwright.params.loader import load, shipped
from strutwright.params.readings import Reading, Readings

ARM = ("arm_modulus_single", "arm_modulus_short", "arm_length")
"""What the modulus of a single arm rests on that is from memory."""


def strut(name: str = "harbour-launch") -> Strut:
    return resolve(load(shipped()[name])).strut


@contextmanager
def read(*names: str, breach: str = "", value: float | None = None) -> Iterator[None]:
    """Put in force that these were read, limits or `check:` and a check."""
    known = {}
    for called in names:
        kind, _, name = called.rpartition(":")
        one = Reading(
            kind="check" if kind else "limit",
            name=name,
            values={} if value is None else {"value": value},
            edition="Rules 2024",
            clause="7.1",
            by="A. Fitter",
            date="2026-03-04",
            breach=breach,  # type: ignore[arg-type]
        )
        known[one.kind, name, ""] = one
    with readings.in_force(Readings(known)):
        yield


@contextmanager
def row_read(table: str, row: str, **values: float) -> Iterator[None]:
    one = Reading(
        kind="table", name=table, row=row, values=values, edition="E", clause="T 1", by="A. Fitter", date="2026-03-04"
    )
    with readings.in_force(Readings({("table", table, row): one})):
        yield


@contextmanager
def read_too(table: str, row: str) -> Iterator[None]:
    """As `row_read`, beside what is in force."""
    before = readings.current()
    with row_read(table, row):
        both = Readings({**before.known, **readings.current().known})
    with readings.in_force(both):
        yield


def of(found: Sequence[Finding], code: str) -> Finding:
    return next(f for f in found if f.code == code)


def test_a_check_is_published_when_all_that_held_it_down_was_read() -> None:
    """The modulus rests on its coefficient, the share for short arms and the length from which one is short."""
    for n in range(3):
        with read(*ARM[:n]):
            found = of(engineering_findings(strut()), "arm_modulus")
            assert found.standing is Standing.MEMORY
            assert set(found.rests) == set(ARM[n:])
            assert ("confirmed" in str(found.source)) == (n > 0)
    with read(*ARM):
        found = of(engineering_findings(strut()), "arm_modulus")
        assert (found.standing, found.rests) == (Standing.PUBLISHED, ())
        assert str(found.source).endswith("confirmed by the user against Rules 2024, 7.1 (A. Fitter, 2026-03-04)")


def test_a_check_whose_limits_are_not_from_memory_wants_its_own_source_read() -> None:
    """46 CFR has no limit of the table behind it."""
    before = of(engineering_findings(strut()), "clearance_worn_groove")
    assert before.rests == ("clearance_worn_groove",)
    with read("check:clearance_worn_groove"):
        after = of(engineering_findings(strut()), "clearance_worn_groove")
    assert not after.rests
    assert "Rules 2024, 7.1" in str(after.source)


def test_what_was_read_is_said_once_and_a_strength_from_memory_beside_it() -> None:
    """The pressure of a bearing is made ready twice; tear-out rests on the palm's strength, 316L from memory."""
    with read("bearing_pressure"):
        found = of(engineering_findings(strut()), "bearing_pressure")
    assert str(found.source).count("confirmed by the user") == 1
    for name, standing in (("harbour-launch", Standing.PUBLISHED), ("canal-tender", Standing.MEMORY)):
        found = of(engineering_findings(strut(name)), "bolt_tear_out")
        assert found.standing is standing
        assert ("strength of 316L from memory" in str(found.source)) == (standing is Standing.MEMORY)
    with row_read("materials", "316L"), read_too("materials", "A4-70"):
        assert of(engineering_findings(strut("canal-tender")), "bolt_tear_out").standing is Standing.PUBLISHED


def test_a_hint_is_judged_when_its_doubtful_limit_was_read_and_warns_unless_it_was_told_to_fail() -> None:
    """The pressure of a launch's propeller, 0.035 MPa, held to 0.03."""
    for breach, verdict in (("", Verdict.WARN), ("warning", Verdict.WARN), ("failure", Verdict.FAIL)):
        with read("bearing_pressure", value=0.03, breach=breach):
            found = of(engineering_findings(strut()), "bearing_pressure")
        assert (found.verdict, found.standing) == (verdict, Standing.PUBLISHED)
    assert of(engineering_findings(strut()), "bearing_pressure").verdict is Verdict.HINT


def test_a_hint_that_rests_on_more_than_its_limit_stays_one() -> None:
    """A rule for steel raised for a metal that is less stiff is an assumption, whoever read its figure."""
    with read("arm_inertia_single", value=0.03):
        found = of(engineering_findings(strut()), "arm_inertia_metal")
    assert (found.verdict, found.rests) == (Verdict.HINT, ("arm_inertia_metal",))
    with read("arm_inertia_single", "check:arm_inertia_metal", value=0.03):
        found = of(engineering_findings(strut()), "arm_inertia_metal")
    assert (found.verdict, found.standing) == (Verdict.WARN, Standing.PUBLISHED)


@pytest.mark.parametrize(("breach", "verdict"), [("", Verdict.WARN), ("failure", Verdict.FAIL)])
def test_a_limit_of_the_geometry_breaks_as_it_did_unless_the_reader_says_otherwise(
    breach: str, verdict: Verdict
) -> None:
    with read("palm_thickness", value=0.6, breach=breach):
        found = of(geometry_checks(strut(), standard()), "palm_thickness")
    assert (found.verdict, found.standing, found.demanded) == (verdict, Standing.PUBLISHED, pytest.approx(21.0))


def test_a_limit_that_the_user_sets_for_a_job_counts_before_one_that_was_read() -> None:
    with read(*ARM, value=0.1):
        own = own_limits("arm_modulus_single: 0.08")
        assert own["arm_modulus_single"].value == 0.08
        assert not own["arm_modulus_single"].confirmed
        found = of(engineering_findings(strut(), limits=own), "arm_modulus")
    assert (found.source, found.standing) == (OWN, Standing.PRACTICE)


def test_many_struts_stand_as_one_does() -> None:
    """What is read counts for the candidates of a study too."""
    loaded = load(shipped()["harbour-launch"])
    with read("bearing_pressure", value=0.03, breach="failure"):
        judge = replace(Judge.of(loaded, resolve(loaded)), roll=True)
        held = judge.judge({"palm.thickness": np.array([14.0, 15.0])})
        assert held.level.tolist() == [2, 2]
    judge = replace(Judge.of(loaded, resolve(loaded)), roll=True)
    assert judge.judge({"palm.thickness": np.array([14.0, 15.0])}).level.tolist() == [0, 0]


def test_a_row_that_was_read_is_published_and_its_values_count() -> None:
    """The naval brass of a shell: yield 138 from memory."""
    before = of(engineering_findings(strut()), "shell_press_stress")
    assert before.standing is Standing.MEMORY
    with row_read("materials", "C46400", **{"yield": 150.0}):
        assert metal("C46400").yield_mpa == 150.0
        after = of(engineering_findings(strut()), "shell_press_stress")
    assert (after.demanded, after.standing) == (150.0, Standing.PUBLISHED)
    assert "strength of C46400 confirmed by the user against E, T 1" in str(after.source)
    assert metal("C46400").yield_mpa == 138.0
    with row_read("weld_min_leg", "6", leg=6.0):
        assert tables.weld_min_leg_mm(10.0) == 6.0
    assert tables.weld_min_leg_mm(10.0) == 5.0


def test_a_value_that_was_read_counts_for_all_sizes_as_one_that_is_set() -> None:
    """AISC has a table by size; a figure of the reader's own stands in its place."""
    rule = EDGE_RULES["aisc"]
    name = "bolt_edge_aisc_large"
    for value, edge in ((1.25, 22.0), (2.0, 32.0)):  # M16, as shipped and as read
        with read(name, value=value):
            assert rule.edge_mm("M16", 16.0, 17.5, standard())[1] == edge


def test_each_thing_on_the_list_leaves_it_when_it_is_read() -> None:
    """Every name that a finding says it rests on can be read, and nothing then rests on it any more."""
    found = [f for name in ("harbour-launch", "work-launch-vee", "yawl-with-heel") for f in everything(strut(name))]
    names = {item.name for item in from_memory(found, standard())}
    assert len(names) > 40
    assert {"limit:tip_speed", "arm_length", "clearance_worn_groove"} <= names
    plain = [n.removeprefix("limit:") for n in names]
    told = [n if n in limits.shipped() or ":" in n else f"check:{n}" for n in plain]
    assert {n.removeprefix("check:") for n in told if n not in limits.shipped()} <= set(checks.sources())
    with read(*told):
        assert not [f.rests for n in ("harbour-launch", "work-launch-vee") for f in everything(strut(n)) if f.rests]


def numbers(f: Finding) -> tuple[str, ...]:
    return f.code, repr(f.actual), repr(f.demanded), repr(f.utilisation), f.parameter


def everything(one: Strut) -> list[Finding]:
    return [*geometry_checks(one, standard()), *engineering_findings(one)]


@pytest.mark.parametrize("name", ["harbour-launch", "work-launch-vee", "yawl-with-heel"])
def test_reading_the_limits_lifts_no_check_that_rests_on_an_assumption(name: str) -> None:
    """A lost blade's mass, a grounding, a rule of practice: what is assumed there stands in no table of limits."""
    one = strut(name)
    before = {f.code: f for f in engineering_findings(one)}
    with read(*limits.shipped(), breach="failure"):
        after = engineering_findings(one)
    plain = checks.sources()
    for f in after:
        old = before[f.code]
        if f.code not in plain or plain[f.code].standing in ("common practice", "geometry"):
            assert f.standing is old.standing
            assert (f.verdict is Verdict.HINT) == (old.verdict is Verdict.HINT)
        elif f.standing is Standing.PUBLISHED and old.standing is not Standing.PUBLISHED:
            assert not f.rests
    assert sum(f.standing is Standing.PUBLISHED for f in after) > sum(
        f.standing is Standing.PUBLISHED for f in before.values()
    )


def test_reading_all_as_it_stands_changes_no_number() -> None:
    """A confirmation without another value lifts what a finding rests on, never what it found."""
    one, before = strut(), everything(strut())
    with read(*limits.shipped(), *(f"check:{code}" for code in checks.sources())):
        after = everything(one)
        assert {c.code for c in CHECKS.values()} == {c.code for c in CHECKS.values() if c.under(standard())}
    for old, new in zip(before, after, strict=True):
        assert numbers(old) == numbers(new)
        assert not (old.standing is Standing.PUBLISHED and new.standing is not Standing.PUBLISHED)
