"""Laws that loads, arms, bolts, palm, welds and skeg must keep: scale, order, hand, units, one against many.

Scaling laws are those of linear elasticity, plastic theory and of mass by volume; the rest is what the words mean.
"""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass, replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import own_limits

from strutwright.models import driven
from strutwright.models.checks.outcome import Outcome
from strutwright.models.checks.strength import (
    arms,
    bolt_forces,
    bolts,
    grounding,
    load_cases,
    load_table,
    palm,
    skeg,
    welds,
)
from strutwright.models.finding import Finding
from strutwright.models.formulas import palm_bed
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.spec import Strut, mirrored
from strutwright.models.spec_boat import HullPlate
from strutwright.params.loader import load, loads, shipped
from strutwright.params.schema_boat import LoadCase, Loads

OWN: tuple[Any, ...] = (arms, bolts, palm, welds, grounding, skeg)
SETS = ("harbour-launch", "coastal-pair", "yawl-with-heel", "patrol-vee-pair", "workboat-common-vee", "cutter-shoulder")
STRUTS = {name: resolve(load(shipped()[name])).strut for name in SETS}
BASES = {name: Inputs.from_strut(strut) for name, strut in STRUTS.items()}
SINGLE = [n for n in SETS if len(STRUTS[n].arms) == 1]
_POWERS = {"_mm": 1, "_mm2": 2, "_mm3": 3, "_mm4": 4, "_kg": 3}
CASES = Loads(
    cases=[
        LoadCase.model_validate(
            {
                "name": "skew",
                "terms": [{"source": "force", "force": "2 kN", "clock": 30}, {"source": "weight", "clock": -60}],
            },
            context={"units": "mm"},
        )
    ]
)


def numbers(one: Inputs) -> dict[str, Outcome]:
    out: dict[str, Outcome] = {}
    with np.errstate(all="ignore"):
        for module in OWN:
            out |= module.numbers(one)
    return out


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


def held(s: float) -> HullPlate:
    """A hull as measured (N/mm, N mm/rad), of another size."""
    return HullPlate(springs=(2e4 * s, 8e8 * s**3, 4e8 * s**3))


@settings(max_examples=20, deadline=None)
@given(name=st.sampled_from(SETS), s=st.floats(0.4, 2.5))
def test_a_strut_of_another_size(name: str, s: float) -> None:
    """Stress under weight goes with s; hinge forces with s^2, so that bolts fare alike; slope with s under weight."""
    # without the bedding, which is 2 mm under any palm
    base = replace(BASES[name], limits=own_limits("bedding_modulus: 1000000\n"), hull_plate=held(1.0))
    # a torque that bends alike goes with s^3
    one, big = numbers(base), numbers(replace(scaled(base, s), hull_plate=held(s), power_kw=s**3 * base.power_kw))
    assert big["arm_stress_weight"].demand == pytest.approx(s * one["arm_stress_weight"].demand, rel=1e-6)
    assert big["bearing_slope"].demand == pytest.approx(s * one["bearing_slope"].demand, rel=1e-6)
    assert big["bearing_deflection"].demand == pytest.approx(s**2 * one["bearing_deflection"].demand, rel=1e-6)
    assert big["arm_hinge_aft"].demand == pytest.approx(s**2 * one["arm_hinge_aft"].demand, rel=1e-6)
    for code in ("palm_bolts_side_hinge", "palm_bending_side_hinge", "palm_on_hull", "grounding_hull"):
        assert big[code].utilisation == pytest.approx(one[code].utilisation, rel=2e-3), code
    for code in ("bolt_bearing", "bolt_tear_out", "arm_modulus", "arm_inertia", "arm_taper"):
        assert big[code].utilisation == pytest.approx(one[code].utilisation, rel=1e-6), code
    for code in ("palm_bolts_skeg_side", "palm_bending_skeg_side", "barrel_skeg_blow", "skeg_grounding_hull"):
        if code in one:
            assert big[code].utilisation == pytest.approx(one[code].utilisation, rel=2e-3), code
    if "weld_palm_side_hinge" in one and BASES[name].weld_prep == "none":
        used = big["weld_palm_side_hinge"].utilisation
        assert used == pytest.approx(one["weld_palm_side_hinge"].utilisation, rel=1e-6)
    if "foot_stress" in one:  # rudder force goes with its area, which is not scaled here: stress with 1/s^2
        assert big["foot_stress"].demand == pytest.approx(one["foot_stress"].demand / s**2, rel=1e-6)


ELASTIC = ("weight", "tip", "blade", "turn", "power", "seized", "rudder")


@settings(max_examples=25, deadline=None)
@given(name=st.sampled_from(SINGLE), more=st.floats(1.01, 1.6))
def test_a_thicker_arm_is_never_used_more(name: str, more: float) -> None:
    """Elastic cases only: a stronger arm asks more of its bolts once it is to bend, and that is meant."""
    base = BASES[name]
    thick = replace(
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
    one, two = numbers(base), numbers(thick)
    for key in ELASTIC:
        code = f"arm_stress_{key}"
        if code in one and not math.isnan(one[code].utilisation):
            assert two[code].utilisation <= one[code].utilisation * (1 + 1e-9), code
    for code in ("arm_modulus", "arm_inertia", "arm_modulus_metal", "bearing_slope"):
        assert two[code].utilisation <= one[code].utilisation * (1 + 1e-9), code
    assert two["palm_bolts_side_hinge"].utilisation >= one["palm_bolts_side_hinge"].utilisation


@settings(max_examples=25, deadline=None)
@given(name=st.sampled_from(SETS), more=st.floats(1.01, 2.0))
def test_more_palm_and_more_bolt_is_never_worse(name: str, more: float) -> None:
    base = BASES[name]
    one = numbers(base)
    thick = numbers(replace(base, palms=tuple(replace(p, thickness_mm=more * p.thickness_mm) for p in base.palms)))
    stronger = replace(base, bolt_stress_mm2=more * base.bolt_stress_mm2)
    strong = numbers(stronger)
    for code, demand in one.items():
        if math.isnan(demand.utilisation):
            continue
        if code.startswith("palm_bending_") or code in ("bolt_bearing", "bolt_tear_out"):
            assert thick[code].utilisation <= demand.utilisation * (1 + 1e-9), code
        if code.startswith("palm_bolts_"):
            # Stiffer bolts near the root draw more of a moment, up to half as much again for twice the area. A palm
            # that yields at the root then pries, with the pull of the hardest bolt at the lever of the farthest: on the
            # safe side, and told by the palm's own check and in what is advised. All else is never worse.
            pries = any(float(f.prying_n) > 0.0 for f in bolt_forces.forces(stronger)[code.removeprefix("palm_bolts_")])
            assert strong[code].utilisation <= demand.utilisation * (1 + 1e-9) or pries, code
            bent = strong[code.replace("bolts", "bending")].utilisation
            assert bent > 1.0 or not pries, code
            # prying falls; a palm that no longer bends tips farther in on a soft bed
            assert thick[code].utilisation <= demand.utilisation * 1.15, code


@settings(max_examples=20, deadline=None)
@given(name=st.sampled_from(SETS), more=st.floats(1.05, 3.0))
def test_stress_follows_load(name: str, more: float) -> None:
    """Twice the load is twice the stress: m r omega^2 with the square of the speed, torque with the power.

    Of the lost blade at rest: how vibration magnifies it hangs on the speed.
    """
    base = replace(BASES[name], propeller_kg=0.0, blade_kg=1.0, shaft=replace(BASES[name].shaft, density_kg_m3=0.0))
    fast = replace(base, shaft_rpm=more * base.shaft_rpm, power_kw=more**2 * base.power_kw)
    one, two = numbers(base), numbers(fast)
    at_rest = [n["arm_stress_blade"].demand / driven.magnified(i).shaft_across for n, i in ((one, base), (two, fast))]
    assert at_rest[1] == pytest.approx(more**2 * at_rest[0], rel=1e-9)
    assert two["arm_stress_seized"].demand == pytest.approx(more * one["arm_stress_seized"].demand, rel=1e-9)


@pytest.mark.parametrize("name", SETS)
def test_many_say_what_each_says(name: str) -> None:
    """A batch of candidates gives the very numbers of each alone; every kind of size varies."""
    rng, count = np.random.default_rng(11), 5
    base = replace(BASES[name], own_cases=tuple(CASES.cases))

    def spread(value: Any) -> Any:
        return value * rng.uniform(0.93, 1.07, count)

    varied = {
        n: spread(getattr(base, n))
        for n in (
            "propeller_kg",
            "shaft_mm",
            "bolt_mm",
            "bolt_stress_mm2",
            "power_kw",
            "bearing_span_mm",
            "barrel_outside_mm",
        )
    }
    chord, clock, thick = spread(1.0), rng.uniform(-3.0, 3.0, count), spread(1.0)
    plate, wide = spread(1.0), spread(1.0)

    def build(k: int | None) -> Inputs:
        def at(v: Any) -> Any:
            return v if k is None else float(v[k])

        def holes(v: Any) -> Any:
            return v * wide[:, None] if k is None else v * wide[k]

        return replace(
            base,
            **{n: at(v) for n, v in varied.items()},
            arms=tuple(
                replace(
                    a,
                    chord_palm_mm=a.chord_palm_mm * at(chord),
                    clock_deg=a.clock_deg + at(clock),
                    thickness_barrel_mm=a.thickness_barrel_mm * at(thick),
                )
                for a in base.arms
            ),
            palms=tuple(
                replace(
                    p,
                    thickness_mm=p.thickness_mm * at(plate),
                    holes_u_mm=holes(p.holes_u_mm),
                    holes_v_mm=holes(p.holes_v_mm),
                )
                for p in base.palms
            ),
        )

    batch = numbers(build(None))
    for k in range(count):
        for code, demand in numbers(build(k)).items():
            for part in ("demand", "capacity", "utilisation"):
                whole = np.broadcast_to(np.asarray(getattr(batch[code], part), float), (count,))
                assert whole[k] == pytest.approx(float(getattr(demand, part)), rel=1e-7, abs=1e-9, nan_ok=True), (
                    code,
                    part,
                )


def said(strut: Strut, given_loads: Loads | None = None) -> list[Finding]:
    one = Inputs.from_strut(strut, given_loads)
    out: list[Finding] = []
    with np.errstate(all="ignore"):
        for module in OWN:
            out += module.findings(strut, one, module.numbers(one))
    return out


@pytest.mark.parametrize("name", SETS)
def test_port_says_what_starboard_says(name: str) -> None:
    here, there = said(STRUTS[name]), said(mirrored(STRUTS[name]))
    assert [(f.code, f.verdict) for f in here] == [(f.code, f.verdict) for f in there]
    for a, b in zip(here, there, strict=True):
        assert a.actual == pytest.approx(b.actual, rel=1e-6, nan_ok=True), a.code
        assert a.utilisation == pytest.approx(b.utilisation, rel=1e-6, nan_ok=True), a.code


@settings(max_examples=20, deadline=None)
@given(clock=st.floats(-180.0, 180.0), name=st.sampled_from(SETS))
def test_no_direction_is_worse_than_the_worst(clock: float, name: str) -> None:
    one = BASES[name]
    replies = [arms.unit_stress(one), *bolt_forces.replies(one, palm_bed.tension_n), *bolt_forces.shear_replies(one)]
    for reply in replies:
        assert float(reply("propeller", clock)) <= float(reply("propeller", None)) * (1 + 1e-9)


@settings(max_examples=20, deadline=None)
@given(a=st.floats(0.0, 5.0), b=st.floats(0.0, 5.0), name=st.sampled_from(SETS))
def test_cases_add_up(a: float, b: float, name: str) -> None:
    """A case of two loads is the sum of both: more load is never less stress."""
    one = BASES[name]
    reply = arms.unit_stress(one)
    known = load_cases.amplitudes(one)

    def case(*terms: load_cases.Term) -> load_cases.Case:
        return replace(load_cases.WEIGHT, terms=terms)

    x, y = load_cases.Term("weight", a), load_cases.Term("torque", b)
    both = load_cases.worst(case(x, y), known, reply)
    assert both == pytest.approx(load_cases.worst(case(x), known, reply) + load_cases.worst(case(y), known, reply))


_FILE = """
identity: {{name: Both units, hand: port}}
units: {units}
construction: welded
materials: {{strut: 316L, bolts: A4-70, shaft: S32205, hull: FRP laminate}}
shaft: {{diameter: {d}, bearing_span: {span}}}
bearing: {{outside_diameter: {od}, outside_upper: {up}, outside_lower: {low}, length: {lb}, shell: {shell},
  shell_material: glass-epoxy shell, running_clearance: {gap}, flutes: {{count: 8, width: {fw}, depth: {fd}}}}}
barrel: {{length: {lb}, outside_diameter: {outside}, bore: {od}, bore_class: H7}}
arms:
  arrangement: vee
  included_angle: 60 deg
  section: {{shape: flat, chord: {chord}, thickness: {thick}, edge_radius: {edge}}}
palm: {{arrangement: common, thickness: {palm}, outline: {{shape: rectangle, length: {pl}, width: {pw},
  corner_radius: {root}}}}}
bolts: {{size: M12, sunk_below: {sunk}, pattern: {{kind: grid, along: 3, across: 2, pitch_along: {pa},
  pitch_across: {pc}}}}}
set_screws: {{thread: M8, dimple_depth: {dimple}, positions: [{{end: bearing_aft, distance: {screw}, clock: 0 deg}}]}}
welds: {{arm_to_barrel_leg: {leg}, arm_to_palm_leg: {leg}, skeg_to_barrel_leg: {leg}}}
skeg: {{kind: plate, root_aft: {ra}, root_forward: {rf}, depth: {depth}, tip_chord: {tip}, thickness: {leg},
  heel: {{behind_barrel: {behind}, below_shaft: {depth}, stock_rake: {{from_square_to_shaft: 0 deg}},
    pintle_diameter: {pin}, clearance: {gap}, outside_diameter: {boss}, height: {pin}, foot_height: {pin},
    foot_thickness: {thick}}}}}
hull: {{shaft_angle: {{to_hull: 9 deg}}, deadrise: 12 deg, drop: {{square_to_shaft: {drop}}}, thickness: {palm}}}
propeller: {{diameter: {prop}, blades: 4, mass: 24 kg, hub_length: {hub}, hub_gap: {hg}}}
duty: {{power: 90 kW, shaft_speed: 1150 rpm, boat_speed: 14 kn, rudder_area: 0.2 m2}}
loads: {{blade_mass: 3 kg, cases: [{{name: tow, terms: [{{source: force, force: 2 kN, clock: 90 deg}}]}}]}}
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
    "chord": 120.0,
    "thick": 28.0,
    "edge": 10.0,
    "root": 12.0,
    "palm": 18.0,
    "pl": 320.0,
    "pw": 460.0,
    "sunk": 0.5,
    "pa": 120.0,
    "pc": 400.0,
    "dimple": 1.5,
    "screw": 45.0,
    "leg": 14.0,
    "ra": 30.0,
    "rf": 160.0,
    "depth": 330.0,
    "tip": 90.0,
    "behind": 150.0,
    "pin": 40.0,
    "boss": 70.0,
    "drop": 330.0,
    "prop": 560.0,
    "hub": 95.0,
    "hg": 30.0,
}


def test_inch_file_says_what_mm_file_says() -> None:
    """The same strut written in inches (every size divided by 25.4) gives the same findings and the same table."""
    mm = resolve(loads(_FILE.format(units="mm", **_SIZES), "mm"))
    inch = resolve(loads(_FILE.format(units="in", **{k: repr(v / 25.4) for k, v in _SIZES.items()}), "in"))
    assert inch.strut.file_units == "in"
    one, other = said(mm.strut, mm.said.loads), said(inch.strut, inch.said.loads)
    assert [f.code for f in one] == [f.code for f in other]
    assert {"arm_stress_own", "arm_stress_rudder", "weld_skeg_rudder"} <= {f.code for f in one}
    for a, b in zip(one, other, strict=True):
        assert a.verdict is b.verdict, a.code
        # Near resonance a last digit counts ten times and more.
        assert a.actual == pytest.approx(b.actual, rel=1e-5, abs=1e-6, nan_ok=True), a.code
        assert a.utilisation == pytest.approx(b.utilisation, rel=1e-5, abs=1e-6, nan_ok=True), a.code
    for row, same in zip(*(load_table.load_table(r.strut, r.said.loads) for r in (mm, inch)), strict=True):
        for key, value in row.items():
            assert same[key] == (pytest.approx(value, rel=1e-5, abs=0.11) if isinstance(value, float) else value), key
