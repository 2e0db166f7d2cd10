"""Laws that the engineering of bearing, fit, shaft, vibration and weight must keep: scale, order, hand, units.

Scaling laws are those of linear elasticity and of mass by volume; the rest is what the words mean. No tables here.
"""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass, replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strutwright.models import frequencies, weights
from strutwright.models.checks.engineering import CHECKS, MODULES, engineering_findings
from strutwright.models.checks.fit import barrel_bearing
from strutwright.models.checks.strength import shaft
from strutwright.models.checks.vibration import vibration
from strutwright.models.finding import Finding
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.spec import Strut, mirrored
from strutwright.params.loader import load, loads, shipped

OWN = {
    "barrel and bearing": barrel_bearing,
    "shaft": shaft,
    "vibration": vibration,
    "corrosion": MODULES["corrosion"],
    "weights": MODULES["weights"],
}
SETS = ("harbour-launch", "pilot-vee", "sloop-with-skeg", "yawl-with-heel", "workboat-common-vee")
STRUTS = {name: resolve(load(shipped()[name])).strut for name in SETS}
BASES = {name: Inputs.from_strut(strut) for name, strut in STRUTS.items()}
_POWERS = {"_mm": 1, "_mm2": 2, "_mm3": 3, "_mm4": 4, "_kg": 3}


def scaled(value: Any, s: float) -> Any:
    """Every length times s, areas, volumes and masses to match; angles, materials and counts as they are."""
    changes: dict[str, Any] = {}
    for f in fields(value):
        held = getattr(value, f.name)
        power = next((p for end, p in _POWERS.items() if f.name.endswith(end)), None)
        if power is not None:
            changes[f.name] = tuple(v * s**power for v in held) if isinstance(held, tuple) else held * s**power
        elif isinstance(held, tuple) and held and is_dataclass(held[0]):
            changes[f.name] = tuple(scaled(v, s) for v in held)
        elif is_dataclass(held) and f.name in ("skeg", "heel"):
            changes[f.name] = scaled(held, s)
    return replace(value, **changes)


@settings(max_examples=25, deadline=None)
@given(name=st.sampled_from(SETS), s=st.floats(0.3, 3.0))
def test_a_strut_twice_the_size(name: str, s: float) -> None:
    """Weights go with s^3, centres with s, frequencies with 1/s, pressures of the same relative fit stay."""
    base = BASES[name]
    big = scaled(base, s)
    one, other = weights.whole(weights.parts(base)), weights.whole(weights.parts(big))
    assert other.mass_kg == pytest.approx(s**3 * one.mass_kg, rel=1e-9)
    assert np.asarray(other.centre_mm, float) == pytest.approx(s * np.asarray(one.centre_mm, float), abs=1e-6)
    assert np.array(frequencies.strut_frequencies_hz(big, "rigid"), float) * s == pytest.approx(
        np.array(frequencies.strut_frequencies_hz(base, "rigid"), float), rel=1e-9
    )
    rigid = (replace(i, hull_mm=math.nan) for i in (base, big))  # the panel under the palm stays as it is
    whirl = [vibration.numbers(i)["shaft_critical"].capacity for i in rigid]
    assert whirl[1] * s == pytest.approx(whirl[0], rel=1e-9)
    fit = [barrel_bearing.numbers(i) for i in (base, big)]
    # weight over projected area grows with s
    assert fit[1]["bearing_pressure"].demand == pytest.approx(s * fit[0]["bearing_pressure"].demand, rel=1e-9)
    if base.fit == "press":
        for code, power in (("press_pressure", 0), ("barrel_press_stress", 0), ("press_force", 2), ("bore_closure", 1)):
            assert fit[1][code].demand == pytest.approx(s**power * fit[0][code].demand, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(name=st.sampled_from(SETS), more=st.floats(1.0, 1.6))
def test_more_metal_never_makes_it_worse(name: str, more: float) -> None:
    """A thicker wall, a longer bearing, a larger shaft, a thicker arm: what each is for does not get worse."""
    base = BASES[name]
    outside = base.bore_mm + more * (base.barrel_outside_mm - base.bore_mm)
    before, after = (barrel_bearing.numbers(i) for i in (base, replace(base, barrel_outside_mm=outside)))
    if base.fit == "press":
        assert after["barrel_press_stress"].utilisation <= before["barrel_press_stress"].utilisation * (1 + 1e-12)
    long = barrel_bearing.numbers(replace(base, bearing_total_mm=more * base.bearing_total_mm))
    assert long["bearing_pressure"].utilisation <= before["bearing_pressure"].utilisation
    thick = shaft.numbers(replace(base, shaft_mm=more * base.shaft_mm))
    for code, demand in shaft.numbers(base).items():
        if code in ("shaft_by_power", "shaft_by_class"):
            assert thick[code].utilisation <= demand.utilisation * (1 + 1e-12)
    stiff = replace(
        base,
        arms=tuple(
            replace(
                a,
                thickness_barrel_mm=min(more * a.thickness_barrel_mm, a.chord_barrel_mm),
                thickness_palm_mm=min(more * a.thickness_palm_mm, a.chord_palm_mm),
            )
            for a in base.arms
        ),
    )
    if len(base.arms) == 1:  # of a vee the in-plane mode is the arms' stretching: mass and stiffness both grow
        assert frequencies.strut_frequencies_hz(stiff, "rigid")[0] >= frequencies.strut_frequencies_hz(base, "rigid")[0]
    assert weights.weight_kg(stiff) >= weights.weight_kg(base)


@settings(max_examples=30, deadline=None)
@given(name=st.sampled_from(SETS), interference=st.floats(0.0, 0.2), wider=st.floats(1.0, 2.0))
def test_fit_is_linear_and_closes_less_than_it_bites(name: str, interference: float, wider: float) -> None:
    base = replace(BASES[name], fit="press", bore_upper_mm=0.0, bore_lower_mm=0.0)
    base = replace(base, bearing_outside_mm=base.seat_mm, bearing_upper_mm=interference, bearing_lower_mm=interference)
    found = barrel_bearing.numbers(base)
    assert 0.0 <= found["bore_closure"].demand <= interference + 1e-12
    twice = barrel_bearing.numbers(
        replace(base, bearing_upper_mm=wider * interference, bearing_lower_mm=wider * interference)
    )
    assert twice["press_force"].demand == pytest.approx(wider * found["press_force"].demand, abs=1e-6)
    assert twice["clearance_pressed"].capacity <= found["clearance_pressed"].capacity + 1e-12


@pytest.mark.parametrize("name", SETS)
def test_arrays_say_what_single_struts_say(name: str) -> None:
    """A batch of candidates gives the very numbers of each alone."""
    base, rng = BASES[name], np.random.default_rng(7)
    count = 6

    def spread(value: float) -> Any:
        return value * rng.uniform(0.95, 1.05, count)

    varied = {
        "barrel_outside_mm": spread(base.barrel_outside_mm),
        "shaft_mm": spread(base.shaft_mm),
        "propeller_kg": spread(base.propeller_kg),
        "bearing_span_mm": spread(base.bearing_span_mm),
    }
    chord = spread(base.arms[0].chord_barrel_mm)
    many = replace(base, **varied, arms=tuple(replace(a, chord_barrel_mm=chord) for a in base.arms))
    for module in OWN.values():
        batch = module.numbers(many)
        for k in range(count):
            one = replace(
                base,
                **{n: float(v[k]) for n, v in varied.items()},
                arms=tuple(replace(a, chord_barrel_mm=float(chord[k])) for a in base.arms),
            )
            for code, demand in module.numbers(one).items():
                for part in ("demand", "capacity", "utilisation"):
                    whole = np.broadcast_to(np.asarray(getattr(batch[code], part), float), (count,))
                    assert whole[k] == pytest.approx(float(getattr(demand, part)), rel=1e-9, nan_ok=True), (code, part)


def test_a_bore_wider_than_the_barrel_is_never_good() -> None:
    base = BASES["harbour-launch"]
    bad = replace(base, barrel_outside_mm=np.array([base.barrel_outside_mm, base.bore_mm - 1.0]))
    used = barrel_bearing.numbers(bad)["barrel_press_stress"].utilisation
    assert np.isfinite(used[0])
    assert np.isinf(used[1])


def _said(found: list[Finding]) -> list[tuple[Any, ...]]:
    """What findings say, without names of sides and signs of places athwart."""
    rows = []
    for f in found:
        if f.code in ("part_weight",):
            continue
        actual = f.actual if not math.isnan(f.actual) else None
        rows.append(
            (
                f.code,
                f.verdict.value,
                None if actual is None else round(actual, 6),
                None if math.isnan(f.utilisation) else round(f.utilisation, 6),
            )
        )
    return sorted(rows, key=repr)


OWN_CODES = {n.code for m in OWN.values() for n in m.CHECKS} | {
    "fit_limits",
    "fit_inch",
    "fit_assembly",
    "screw_length",
    "screw_holding_tables",
    "resonance_in_range",
    "alloy_note",
    "bearing_weight",
    "part_weight",
    "shaft_end_inch",
    "shaft_end_metric",
    "shaft_end_none",
}


def own(strut: Strut) -> list[Finding]:
    return [f for f in engineering_findings(strut) if f.code in OWN_CODES]


@pytest.mark.parametrize("name", SETS)
def test_port_says_what_starboard_says(name: str) -> None:
    strut = STRUTS[name]
    other = mirrored(strut)
    assert _said(own(strut)) == _said(own(other))
    here, there = (
        weights.whole(weights.parts(Inputs.from_strut(strut))),
        weights.whole(weights.parts(Inputs.from_strut(other))),
    )
    x, y, z = (float(c) for c in here.centre_mm)
    assert [float(c) for c in there.centre_mm] == pytest.approx([x, -y, z], abs=1e-9)


_FILE = """
identity: {{name: Both units, hand: port}}
units: {units}
construction: cast
materials: {{strut: C95800, bolts: F468 C65100, shaft: S32205, hull: FRP laminate}}
shaft: {{diameter: {d}, bearing_span: {span}}}
bearing: {{outside_diameter: {od}, outside_upper: {up}, outside_lower: {low}, length: {lb}, shell: {shell},
  shell_material: C46400, running_clearance: {gap}, flutes: {{count: 8, width: {fw}, depth: {fd}}}}}
barrel: {{length: {lb}, outside_diameter: {outside}, bore: {od}, bore_class: H7,
  lead_in: {{aft: {{length: {lead}, angle: 20 deg}}, forward: {{length: {lead}, angle: 45 deg}}}}}}
arms:
  arrangement: single
  section: {{shape: ellipse, chord: {chord}, thickness: {thick}}}
  root_fillet: {{barrel: {root}, palm: {root}}}
palm: {{thickness: {palm}, outline: {{shape: rectangle, length: {pl}, width: {pw}, corner_radius: {root}}}}}
bolts: {{size: M12, sunk_below: {sunk}, pattern: {{kind: grid, along: 3, across: 2, pitch_along: {pa},
  pitch_across: {pc}}}}}
set_screws: {{thread: M8, dimple_depth: {dimple}, positions: [{{end: bearing_aft, distance: {screw}, clock: 90 deg}}]}}
hull: {{shaft_angle: {{to_hull: 9 deg}}, deadrise: 12 deg, drop: {{square_to_shaft: {drop}}}, thickness: {palm}}}
propeller: {{diameter: {prop}, blades: 4, mass: 24 kg, hub_length: {hub}, hub_gap: {hg}}}
duty: {{power: 90 kW, shaft_speed: 1150 rpm, idle_speed: 400 rpm, boat_speed: 14 kn}}
"""
_SIZES = {
    "d": 45.0,
    "span": 1500.0,
    "od": 65.0,
    "up": 0.051,
    "low": 0.032,
    "lb": 190.0,
    "shell": 3.0,
    "gap": 0.14,
    "fw": 7.0,
    "fd": 3.0,
    "outside": 92.0,
    "lead": 3.0,
    "chord": 120.0,
    "thick": 28.0,
    "root": 12.0,
    "palm": 18.0,
    "pl": 260.0,
    "pw": 150.0,
    "sunk": 0.5,
    "pa": 100.0,
    "pc": 105.0,
    "dimple": 1.5,
    "screw": 45.0,
    "drop": 330.0,
    "prop": 560.0,
    "hub": 95.0,
    "hg": 30.0,
}


def test_inch_file_says_what_mm_file_says() -> None:
    """The same strut written in inches (every size divided by 25.4) gives the same findings."""
    mm = resolve(loads(_FILE.format(units="mm", **_SIZES))).strut
    inch = resolve(loads(_FILE.format(units="in", **{k: repr(v / 25.4) for k, v in _SIZES.items()}))).strut
    assert inch.file_units == "in"
    one, other = own(mm), own(inch)
    assert [f.code for f in one] == [f.code for f in other]
    for a, b in zip(one, other, strict=True):
        assert a.verdict is b.verdict, a.code
        assert a.actual == pytest.approx(b.actual, rel=1e-6, abs=1e-6, nan_ok=True), a.code
        assert a.utilisation == pytest.approx(b.utilisation, rel=1e-6, abs=1e-6, nan_ok=True), a.code


def test_every_number_is_known_once() -> None:
    codes = [n.code for m in MODULES.values() for n in m.CHECKS]
    assert len(codes) == len(set(codes)) == len(CHECKS)
