"""A hanger along the shaft: line, cap and foot by formulas of handbooks, each check seen to hold and to break."""

from __future__ import annotations

import functools
import math
from typing import Any

import numpy as np
import pytest
import yaml
from checks_support import merged
from support import resolved

from strutwright.models.checks import geometry_checks
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.geometry import hanger as shape
from strutwright.models.checks.results import Results
from strutwright.models.checks.strength import hanger as strength
from strutwright.models.finding import Finding, Verdict
from strutwright.models.formulas import hanger as mechanics
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.spec import mirrored
from strutwright.params.loader import loads, shipped
from strutwright.params.problems import ParameterError

BASE: dict[str, Any] = yaml.safe_load(shipped()["tunnel-hanger"].read_text(encoding="utf-8"))


def found(changes: dict[str, Any]) -> dict[str, Finding]:
    """All findings of the tunnel's hanger with changes, by code."""
    one = resolve(loads(yaml.safe_dump(merged(BASE, changes)), "hanger.yaml"))
    out, inputs = Results.of(one.strut), Inputs.from_strut(one.strut, one.said.loads)
    shape.check(out)
    with np.errstate(all="ignore"):
        strong = strength.findings(one.strut, inputs, strength.numbers(inputs))
    return {f.code: f for f in [*out.findings, *strong]}


@functools.cache
def sound() -> dict[str, Finding]:
    """The findings of a chock, and of a cap held by tapped bolts, which are well."""
    chock = {"kind": "resin", "thickness": 15, "least": 12, "most": 20}
    return found({"under_foot": chock, "bolts": {"size": "M10"}}) | found({"cap": {"bolts": {"hold": "tapped"}}})


def test_a_bearing_off_the_line_by_stiffness_of_two_elements() -> None:
    """The same beam as two elements with their stiffness matrices (any textbook of the finite element method)."""
    modulus, d, a, b = 200e3, 55.0, 900.0, 2100.0
    inertia = math.pi / 64 * d**4

    def element(long: float) -> np.ndarray:
        k = modulus * inertia / long**3
        rows = [[12, 6 * long, -12, 6 * long], [6 * long, 4 * long**2, -6 * long, 2 * long**2]]
        rows += [[-12, -6 * long, 12, -6 * long], [6 * long, 2 * long**2, -6 * long, 4 * long**2]]
        return k * np.array(rows, dtype=float)

    whole = np.zeros((6, 6))
    whole[:4, :4] += element(a)
    whole[2:, 2:] += element(b)
    free = [1, 3, 5]  # turns; the ends do not move, the middle moves by 1
    turns = np.linalg.solve(whole[np.ix_(free, free)], -whole[free, 2])
    force = whole[2, 2] + whole[2, free] @ turns
    assert float(mechanics.pushed_off_line_n(modulus, d, a, b, 1.0)) == pytest.approx(force, rel=1e-9)


def test_the_frequency_of_a_span_by_finite_differences() -> None:
    """The lowest root of a chain of masses on a beam held at both ends, refined until it stands."""
    modulus, density, d, span, n = 206e3, 7850.0, 50.0, 1900.0, 300
    h = span / n
    second = np.diag(np.full(n - 1, -2.0)) + np.diag(np.ones(n - 2), 1) + np.diag(np.ones(n - 2), -1)
    stiff = modulus * math.pi / 64 * d**4 * (second @ second) / h**4  # turning freely at both ends
    mass = density * 1e-12 * math.pi / 4 * d**2
    lowest = math.sqrt(np.linalg.eigvalsh(stiff)[0] / mass) / (2 * math.pi)
    assert float(mechanics.span_hz(modulus, density, d, span)) == pytest.approx(lowest, rel=1e-4)


def test_a_soft_bearing_never_counts_as_stiffer_than_it_is() -> None:
    """Dunkerley against the exact two masses in a row on springs (any textbook of vibration)."""
    for k1, k2 in ((1e6, 2e5), (3e5, 3e6), (1e5, 1e5)):
        m1, m2 = 4.0, 7.0
        exact = np.linalg.eigvals(np.array([[(k1 + k2) / m1, -k2 / m1], [-k2 / m2, k2 / m2]])).real.min()
        by_two = mechanics.with_soft_bearing_hz(math.sqrt(k2 / m2) / (2 * math.pi), k1 / 1000.0, m1 + m2)
        assert float(by_two) <= math.sqrt(exact) / (2 * math.pi) * (1 + 1e-9)


def test_the_pull_of_bolts_by_moments_about_the_edge() -> None:
    """Pulls in proportion to their distance from the edge balance the moment (statics)."""
    places, edge = np.array([-80.0, 10.0, 70.0]), -100.0
    away = places - edge
    pulls = mechanics.pull_per_moment(places, edge) * away / away.max()
    assert float(pulls @ away) == pytest.approx(1.0)
    share = mechanics.cap_bolt_share(np.array([-40.0, 0.0, 40.0]), 12.0)
    assert 2 * 3 * (share - 12.0 * 40.0 / (2 * 2 * 40.0**2)) == pytest.approx(1.0)


BREAKS: tuple[tuple[str, dict[str, Any]], ...] = (
    ("hanger_water", {"line": {"water": "none"}}),
    ("split_off_load", {"foot": {"stands": "port"}}),
    ("nip", {"cap": {"shims": {"taken_out": 3}}}),
    ("cap_bolt_to_bore", {"cap": {"bolts": {"out": 36}}}),
    ("cap_bolt_edge", {"cap": {"ear_out": 66}}),
    ("cap_bolt_pitch", {"cap": {"bolts": {"on_each_side": 4, "from_end": 40}}}),
    ("cap_bolt_seat", {"cap": {"bolts": {"out": 45}}}),
    ("dowel_room", {"cap": {"dowels": {"out": 37}}}),
    ("dowel_depth", {"cap": {"dowels": {"into": 25}}}),
    ("ears_clear_of_web", {"cap": {"turned": 60}}),
    ("ears_clear_of_foot", {"foot": {"height": 59}}),
    ("cap_clear_of_foot", {"foot": {"height": 65}, "cap": {"turned": 60, "ear_out": 80}}),
    ("barrel_clear_of_foot", {"foot": {"height": 61}}),
    ("height_covered", {"under_foot": {"bed_within": 2}}),
    ("chock_thick", {"under_foot": {"kind": "resin"}}),
    ("foot_thickness", {"foot": {"thickness": 8}}),
    ("web_stress", {"web": {"length": 40, "thickness": 6}}),
    ("foot_bolts", {"bolts": {"size": "M5"}, "duty": {"power": 200}}),
    ("foot_bending", {"foot": {"thickness": 4}}),
    ("foot_pressing", {"materials": {"base": "hardwood"}, "duty": {"power": 1500}}),
    ("cap_bolts", {"cap": {"bolts": {"size": "M5"}}, "duty": {"power": 150}}),
    ("cap_bending", {"barrel": {"wall": 4.5}}),
    ("cap_ears", {"cap": {"ear_thickness": 1.2, "ear_out": 130, "bolts": {"out": 115}}}),
    ("cap_sideways", {"cap": {"dowels": {"diameter": 1.2}}}),
    ("cap_bolt_engaged", {"cap": {"bolts": {"hold": "tapped", "engaged": 8}}}),
    ("hanger_critical", {"line": {"aft": 3200}}),
    ("chock_pressure", {"under_foot": {"kind": "resin"}, "bolts": {"size": "M20"}}),
)
OWN = {"cases": [{"name": "heavy", "terms": [{"source": "force", "force": 20000}]}]}


@pytest.mark.parametrize(("code", "changes"), BREAKS, ids=[code for code, _ in BREAKS])
def test_each_check_holds_and_breaks(code: str, changes: dict[str, Any]) -> None:
    heavy = code in ("cap_bending", "cap_ears", "cap_sideways")
    own = {"loads": OWN} if heavy else {}
    broken = found(changes | own)
    assert broken[code].verdict in (Verdict.FAIL, Verdict.WARN), broken[code].utilisation
    held = sound()[code]
    assert held.verdict is Verdict.OK


def test_up_and_down_follow_the_foot_and_the_hand() -> None:
    for stands, down, other in (("above", 180.0, 180.0), ("below", 0.0, 0.0), ("port", 90.0, -90.0)):
        text = yaml.safe_dump(merged(BASE, {"foot": {"stands": stands}}))
        strut = resolve(loads(text, "hanger.yaml")).strut
        assert strut.hanger is not None
        twin = mirrored(strut).hanger
        assert twin is not None
        assert (strut.hanger.down_deg, twin.down_deg) == (down, other)


def test_the_cap_turns_to_the_left_by_its_sign() -> None:
    for turned, clock in ((20, 160.0), (-20, -160.0)):
        one = resolve(loads(yaml.safe_dump(merged(BASE, {"cap": {"turned": turned}})), "hanger.yaml")).strut.hanger
        assert one is not None
        assert one.cap is not None
        assert one.cap.clock_deg == clock


@pytest.mark.parametrize(
    ("changes", "path"),
    [
        ({"cap": {"ear_out": 30}}, "cap.ear_out"),
        ({"cap": {"shims": {"taken_out": 9}}}, "cap.shims.taken_out"),
        ({"foot": {"height": 50}}, "foot.height"),
        ({"under_foot": {"least": 4}}, "under_foot.thickness"),
        ({"web": {"root_fillet": {}}, "welds": {"prep": "none"}}, "welds"),
    ],
)
def test_what_cannot_be_built_is_told_at_its_place(changes: dict[str, Any], path: str) -> None:
    with pytest.raises(ParameterError) as told:
        resolve(loads(yaml.safe_dump(merged(BASE, changes)), "hanger.yaml"))
    assert path in str(told.value)


def test_a_shipped_hanger_is_sound_by_its_checks() -> None:
    for name in ("tunnel-hanger", "shaft-log-hanger"):
        one = resolved(name)
        assert not [f.code for f in [*geometry_checks(one.strut), *engineering_findings(one.strut)] if f.fails]
