"""The barrel's outside, bore and wall against plane geometry, and the one wall at a screw wherever it is told.

Sources: circle and cone (any text); the profile that solids are turned from; nothing of the code under test but that.
"""

from __future__ import annotations

import itertools
import json
import math
import subprocess
import sys
from dataclasses import asdict, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strutwright.exporters.files import data_sheets
from strutwright.exporters.files.parts_list import parts_rows
from strutwright.models.checks import geometry_checks
from strutwright.models.checks.engineering import Inputs, engineering_findings
from strutwright.models.geometry import barrel as geometry
from strutwright.models.sizing.candidates import candidates
from strutwright.models.spec import Barrel, BarrelEnd, Bearing, BoreStep, LeadIn, SetScrew
from strutwright.params import loader
from tests import checks_support

WIDE = st.floats(0.0, 1.0)


@st.composite
def barrels(draw: st.DrawFn) -> Barrel:
    """Any barrel that the schema lets by, most of them no good."""
    bore = draw(st.floats(10.0, 400.0))
    outside = bore + draw(st.floats(0.5, 300.0))
    length = draw(st.floats(20.0, 2000.0))

    def end(share: float) -> BarrelEnd:
        shape = draw(st.sampled_from(["straight", "tapered", "rounded"]))
        small = bore + draw(WIDE) * (outside - bore)
        if shape == "straight":
            return BarrelEnd(shape="straight", length_mm=0.0, end_diameter_mm=outside)
        long = max(share * length * draw(WIDE), (outside - small) / 2)
        return (
            BarrelEnd(shape=shape, length_mm=long, end_diameter_mm=small)
            if long <= share * length
            else BarrelEnd(shape="straight", length_mm=0.0, end_diameter_mm=outside)
        )

    steps = []
    for _ in range(draw(st.integers(0, 3))):
        start = draw(WIDE) * length * 0.9
        steps.append(
            BoreStep(
                kind=draw(st.sampled_from(["counterbore", "shoulder", "relief"])),
                from_station_mm=draw(st.sampled_from([0.0, start])),
                to_station_mm=min(length, start + 0.02 + draw(WIDE) * length),
                diameter_mm=bore * (0.8 + 0.5 * draw(WIDE)),
            )
        )
    lead = LeadIn(length_mm=min(draw(st.floats(0.0, 5.0)), 0.01 * length), angle_deg=30.0)
    return Barrel(
        length_mm=length,
        outside_mm=outside,
        bore_mm=bore,
        bore_upper_mm=0.03,
        bore_lower_mm=0.0,
        fit="press",
        bore_class="H7",
        shell_class="",
        aft_end=end(0.5),
        forward_end=end(0.5),
        lead_in_aft=lead,
        lead_in_forward=lead,
        steps=tuple(steps),
        slots=None,
    )


def _turned_radius(barrel: Barrel, station: float) -> float:
    """The outside by the turned profile: straight lines, and arcs by their bulge (tangent of a quarter of the turn)."""
    rows = geometry.outside_chain(barrel)
    for (s0, r0, bulge), (s1, r1, _) in itertools.pairwise(rows):
        if not s0 <= station <= s1 or s1 - s0 < 1e-9:
            continue
        if abs(bulge) < 1e-12:
            return r0 + (r1 - r0) * (station - s0) / (s1 - s0)
        half_turn = 2 * math.atan(bulge)
        chord = math.hypot(s1 - s0, r1 - r0)
        radius = abs(chord / 2 / math.sin(half_turn))
        # The arc bulges outward from its chord: its centre lies below the middle of the chord.
        deep = math.sqrt(max(radius**2 - (chord / 2) ** 2, 0.0))
        nx, ny = (r1 - r0) / chord, -(s1 - s0) / chord
        cx, cy = (s0 + s1) / 2 + deep * nx, (r0 + r1) / 2 + deep * ny
        return cy + math.sqrt(max(radius**2 - (station - cx) ** 2, 0.0))
    raise AssertionError(station)


@settings(max_examples=200, deadline=None)
@given(barrels(), WIDE)
def test_the_outside_is_the_turned_profile(barrel: Barrel, share: float) -> None:
    station = share * barrel.length_mm
    radius = geometry.outside_radius_mm(barrel, station)
    assert radius == pytest.approx(_turned_radius(barrel, station), abs=1e-6 * barrel.outside_mm)
    start, stop = geometry.parallel_part(barrel)
    if start <= station <= stop:
        assert radius == pytest.approx(barrel.outside_mm / 2, abs=1e-9)


@settings(max_examples=200, deadline=None)
@given(barrels(), WIDE)
def test_the_bore_is_the_bored_profile(barrel: Barrel, share: float) -> None:
    station = share * barrel.length_mm
    points = geometry.bore_points(barrel)
    if min(abs(station - s) for s, _ in points) < 1e-6:
        return
    lead = max(barrel.lead_in_aft.length_mm, barrel.lead_in_forward.length_mm)
    if any(
        0 < s < lead or 0 < barrel.length_mm - s < lead
        for step in barrel.steps
        for s in (step.from_station_mm, step.to_station_mm)
    ):
        return  # a step within the chamfer is not drawn
    told = np.interp(station, *np.array(points).T)
    assert geometry.bore_radius_mm(barrel, station) == pytest.approx(told, abs=1e-9)
    within = [r for s, r in points if abs(s - station) < 7.0] + [
        np.interp(np.clip(station + d, 0, barrel.length_mm), *np.array(points).T) for d in (-7.0, 7.0)
    ]
    assert geometry.bore_radius_mm(barrel, station, 7.0) >= max(within) - 1e-6


@settings(max_examples=60, deadline=None)
@given(barrels(), WIDE, st.floats(2.0, 40.0), st.floats(0.0, 60.0), st.integers(0, 2**31))
def test_the_wall_at_a_screw_is_the_least_over_its_thread_and_arrays_say_the_same(
    barrel: Barrel, share: float, major: float, flat: float, seed: int
) -> None:
    station = share * barrel.length_mm
    screw = SetScrew(
        number=1,
        station_mm=station,
        clock_deg=90.0,
        thread="M8",
        major_mm=major,
        pitch_mm=1.25,
        tap_drill_mm=0.85 * major,
        point="cone",
        flat_diameter_mm=flat or None,
        dimple_depth_mm=1.0,
        bearing_index=0,
    )
    bearing = Bearing(
        outside_mm=barrel.bore_mm,
        outside_upper_mm=0.05,
        outside_lower_mm=0.03,
        length_mm=barrel.length_mm / 2,
        aft_station_mm=0.0,
        inside_mm=0.7 * barrel.bore_mm,
        shell_mm=3.0,
        shell_material="C46400",
        flute_count=8,
        flute_width_mm=5.0,
        flute_depth_mm=3.0,
        flute_clock_deg=0.0,
    )
    wall = geometry.screw_wall(barrel, screw, bearing)
    near = np.clip(np.linspace(station - major / 2, station + major / 2, 401), 0.0, barrel.length_mm)
    skin = geometry.outside_radius_mm(barrel, near).min()
    bore = geometry.bore_radius_mm(barrel, near).max()
    assert wall.skin_mm == pytest.approx(skin, abs=1e-9)
    assert wall.bore_mm == pytest.approx(bore, abs=1e-9) or wall.bore_mm >= bore
    assert wall.top_mm <= wall.skin_mm
    if flat and flat <= barrel.outside_mm:
        # Every point of the flat lies within the barrel's outside: nothing is left standing in the flat.
        u = np.linspace(-0.5, 0.5, 97) * flat
        at = station + u
        on = (at >= 0) & (at <= barrel.length_mm)
        outside = geometry.outside_radius_mm(barrel, at)
        rim = np.sqrt(np.maximum(outside**2 - (flat**2 / 4 - u**2), 0.0))
        assert wall.top_mm <= rim[on].min(initial=np.inf) + 2e-3 * flat
    # The same as one of an array of candidates.
    scale = np.random.default_rng(seed).uniform(0.5, 2.0, 3)
    scale[1] = 1.0
    many = replace(
        barrel,
        outside_mm=barrel.outside_mm * scale,
        length_mm=barrel.length_mm * scale,
        aft_end=replace(barrel.aft_end, end_diameter_mm=barrel.aft_end.end_diameter_mm * scale),
        forward_end=replace(barrel.forward_end, end_diameter_mm=barrel.forward_end.end_diameter_mm * scale),
    )
    all_ = geometry.screw_wall(many, replace(screw, station_mm=station * scale), bearing)
    for one, other in (
        (wall.top_mm, all_.top_mm),
        (wall.bore_mm, all_.bore_mm),
        (wall.wall_mm, all_.wall_mm),
        (wall.to_shell_mm, all_.to_shell_mm),
    ):
        assert np.broadcast_to(other, (3,))[1] == pytest.approx(one, abs=1e-9)


def test_a_worked_wall() -> None:
    """Flat of 24 on an outside of 100: 50 - sqrt(50^2 - 12^2) = 1.46136 deep. Elementary geometry."""
    barrel = Barrel(
        length_mm=200.0,
        outside_mm=100.0,
        bore_mm=70.0,
        bore_upper_mm=0.03,
        bore_lower_mm=0.0,
        fit="press",
        bore_class="H7",
        shell_class="",
        aft_end=BarrelEnd(shape="tapered", length_mm=40.0, end_diameter_mm=80.0),
        forward_end=BarrelEnd(shape="straight", length_mm=0.0, end_diameter_mm=100.0),
        lead_in_aft=LeadIn(length_mm=0.0, angle_deg=30.0),
        lead_in_forward=LeadIn(length_mm=0.0, angle_deg=30.0),
        steps=(
            BoreStep(kind="counterbore", from_station_mm=0.0, to_station_mm=60.0, diameter_mm=74.0),
            BoreStep(kind="relief", from_station_mm=90.0, to_station_mm=110.0, diameter_mm=73.0),
        ),
    )
    bearing = Bearing(
        outside_mm=70.0,
        outside_upper_mm=0.05,
        outside_lower_mm=0.03,
        length_mm=100.0,
        aft_station_mm=80.0,
        inside_mm=50.0,
        shell_mm=3.0,
        shell_material="C46400",
        flute_count=8,
        flute_width_mm=5.0,
        flute_depth_mm=3.0,
        flute_clock_deg=0.0,
    )
    screw = SetScrew(
        number=1,
        station_mm=150.0,
        clock_deg=90.0,
        thread="M8",
        major_mm=8.0,
        pitch_mm=1.25,
        tap_drill_mm=6.8,
        point="cone",
        flat_diameter_mm=None,
        dimple_depth_mm=1.0,
        bearing_index=0,
    )
    assert geometry.screw_wall(barrel, screw, bearing).wall_mm == pytest.approx(15.0)
    spot = geometry.screw_wall(barrel, replace(screw, flat_diameter_mm=24.0), bearing)
    assert (spot.wall_mm, spot.to_shell_mm) == pytest.approx((15.0 - 1.46136, 15.0 - 1.46136), abs=1e-4)
    relief = geometry.screw_wall(barrel, replace(screw, station_mm=100.0), bearing)
    assert (relief.wall_mm, relief.to_shell_mm) == pytest.approx((13.5, 15.0))
    # On the taper (1 in 4 on the radius) at station 20: 45 on the axis, 44 on the aft side of an M8; counterbore 37.
    fair = geometry.screw_wall(barrel, replace(screw, station_mm=20.0), bearing)
    assert (fair.skin_mm, fair.wall_mm) == pytest.approx((44.0, 7.0))
    # Half over the step's end: the wider bore counts.
    assert geometry.screw_wall(barrel, replace(screw, station_mm=63.0), bearing).bore_mm == pytest.approx(37.0)
    assert geometry.screw_wall(barrel, replace(screw, station_mm=65.0), bearing).bore_mm == pytest.approx(35.0)
    assert geometry.wall_mm(barrel, np.array([0.0, 20.0, 100.0, 150.0])) == pytest.approx([3.0, 8.0, 13.5, 15.0])


MOVED = {"end": "barrel_aft", "clock": 90}
ONE_WALL = {
    "plain": ("single", {}),
    "spot face": ("spot", {}),
    "spot face on the taper": ("spot", {"set_screws": {"positions": [{**MOVED, "distance": 14}]}}),
    "on the taper": ("single", {"set_screws": {"positions": [{**MOVED, "distance": 12}, {**MOVED, "distance": 150}]}}),
    "on the rounding": (
        "single",
        {"set_screws": {"positions": [{"end": "barrel_forward", "distance": 7, "clock": 90}]}},
    ),
    "counterbored": ("counterbored", {}),
    "over a relief": ("steps", {"set_screws": {"positions": [{**MOVED, "distance": 100}]}}),
    "half over a relief": ("steps", {"set_screws": {"positions": [{**MOVED, "distance": 67}]}}),
    "two": ("two", {}),
    "slide": ("slide", {"set_screws": {"spot_face": 12}}),
}


@pytest.mark.parametrize("case", ONE_WALL)
def test_one_wall_at_a_screw_everywhere(case: str) -> None:
    """Check, screw table, engineering and candidates tell one wall; parts list and screw table one length."""
    variant, change = ONE_WALL[case]
    if variant == "steps" and change:
        change = {
            **change,
            "barrel": {"steps": [{"kind": "relief", "end": "barrel_aft", "start": 70, "length": 60, "diameter": 74}]},
        }
    said = checks_support.said(variant, change)
    loaded = loader.loads(json.dumps(said))
    resolved = checks_support.read(said)
    strut = resolved.strut
    walls = {s.number: float(geometry.screw_wall_of(strut, s).wall_mm) for s in strut.set_screws}
    told = {
        f.what.rsplit(" ", 1)[1]: f.actual
        for f in checks_support.of_code(geometry_checks(strut), "screw_thread_in_wall")
    }
    assert told == pytest.approx({str(n): w for n, w in walls.items()})
    rows = data_sheets.screw_rows(strut)
    assert {r.screw: r.wall_mm for r in rows} == pytest.approx(walls)
    for k in range(len(strut.bearings)):
        own = [walls[s.number] for s in strut.set_screws if s.bearing_index == k]
        assert Inputs.from_strut(strut, bearing=k).screw_wall_mm == pytest.approx(min(own))
    if len(strut.bearings) == 1 and not strut.barrel.steps:
        wall = strut.barrel.wall_mm
        made = candidates(
            loaded,
            resolved,
            {"barrel.wall": np.array([wall, 1.2 * wall])}
            if "outside_diameter" not in said["barrel"]
            else {"barrel.outside_diameter": np.array([strut.barrel.outside_mm, strut.barrel.outside_mm + 9])},
        )
        assert made.inputs.screw_wall_mm[0] == pytest.approx(min(walls.values()))
    # The parts list counts the screws of each length in the screw table; the hint names the same lengths.
    table = [r.screw_length_mm for r in rows]
    listed: list[str] = []
    for r in map(asdict, parts_rows(strut, [])):
        if r["part"].startswith("set screw"):
            listed += int(r["quantity"]) * [r["size"].rsplit(" x ", 1)[1].split()[0] if " x " in r["size"] else ""]
    assert sorted(f"{float(n):g}" if n else "" for n in listed) == sorted(f"{n:g}" if n else "" for n in table)
    hints = [f.actual for f in checks_support.of_code(engineering_findings(strut), "screw_length")]
    assert {n for n in table if n} <= set(hints)


def test_the_geometry_needs_no_kernel() -> None:
    """The module stays plain numpy, so that a check costs nothing."""
    code = (
        "import sys; import strutwright.models.geometry.barrel; "
        "sys.exit(any(m.split('.')[0] in ('OCP', 'cadquery') for m in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_a_flat_on_a_taper_reaches_to_its_own_far_rim() -> None:
    """On a taper of 45 degrees the outside falls as far as the flat goes along: its floor is the outside at its end."""
    ends = {
        "aft_end": BarrelEnd(shape="straight", length_mm=0.0, end_diameter_mm=93.0),
        "forward_end": BarrelEnd(shape="tapered", length_mm=41.5, end_diameter_mm=10.0),
    }
    with_taper = replace(checks_support.strut().barrel, length_mm=170.0, outside_mm=93.0, **ends)
    for station, flat in itertools.product(np.linspace(130.0, 150.0, 60).tolist(), (2.0, 2.3514848286880365, 3.7)):
        far = 93.0 / 2 - (station + flat / 2 - 128.5)
        assert geometry.flat_floor_mm(with_taper, station, flat) == pytest.approx(far, abs=1e-9)
