"""Struts made in code, and plain solids of them, for tests that must not lean on the loader or the builders.

The figures are invented. `plain_parts` cuts every feature straight from the frames with the kernel's
primitives, so that exporters and the re-measuring can be tried on a solid whose maker is not the project's
own.
"""

from __future__ import annotations

import math
import os
import pickle
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Literal

import numpy as np
import pytest

from strutwright.exporters.files.cutfile import CutFile
from strutwright.exporters.files.templates import template_files
from strutwright.models import frames
from strutwright.models.outline import tapered
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.shop.foundry import FoundrySpec
from strutwright.models.solids import Built, build
from strutwright.models.solids.casting import PatternSet
from strutwright.models.spec import (
    Arm,
    Barrel,
    BarrelEnd,
    Bearing,
    Bolt,
    BoreStep,
    Heel,
    Identity,
    LeadIn,
    Palm,
    PalmHole,
    PalmPlane,
    SetScrew,
    Skeg,
    Strut,
    WaterSlots,
    Weld,
)
from strutwright.models.spec_boat import Duty, HullFit, Propeller, Shaft
from strutwright.params import limits, strict_yaml
from strutwright.params.limits import Limits
from strutwright.params.loader import load, shipped
from strutwright.params.part_kinds import STRUT

Kind = Literal["single", "vee"]


def own_limits(text: str, name: str = "<text>") -> Limits:
    """The limits of a user's file with this text; `name` is used in messages."""
    return limits.changed_by(strict_yaml.read_text(text, name))


THOROUGH = os.environ.get("STRUTWRIGHT_THOROUGH") == "1"
"""Whether the long run is asked for."""


_CODE = re.compile(r"\b[a-z][a-z0-9]*(?:_[a-z0-9]+)+\b")


def codes_in(words: str) -> list[str]:
    """Return what is written as names in files and in the program are: in small letters with underscores."""
    return _CODE.findall(words)


SETS = [name for name in shipped() if not name.startswith("failing/")]
"""Names of the shipped sets that are made to pass."""


def sets_of(family: str) -> list[str]:
    """Return the names of those that describe a part of this kind."""
    return [name for name in SETS if load(shipped()[name]).said.part == family]


STRUTS, HOUSINGS, SHOES = sets_of(STRUT), sets_of("flanged_housing"), sets_of("rudder_shoe")
"""The struts among them, the flanged housings, and the rudder shoes."""


SHAFTED = [name for name in SETS if name not in SHOES]
"""What stands on a propeller shaft."""


long_run = pytest.mark.skipif(not THOROUGH, reason="takes long: STRUTWRIGHT_THOROUGH=1")


def every(values: Sequence[Any], step: int) -> Sequence[Any]:
    """Return all values in the long run, every step-th in the everyday one."""
    return values if THOROUGH else values[::step]


@dataclass(frozen=True)
class PlainPart:
    """A part as the exporters take it: name, shape (cadquery), colour (red, green, blue in 0..1), volume, blame."""

    name: str
    kind: str
    shape: Any
    colour: tuple[float, float, float]
    material: str
    volume_mm3: float
    parameter: str = ""


def example_strut(kind: Kind = "single", *, units: Literal["mm", "in"] = "mm", skeg: bool = False) -> Strut:
    """Return a whole strut: "single" is a cast port strut on a V bottom, "vee" a welded one on the centre
    line.
    """
    single = kind == "single"
    waterline, run, deadrise = (10.0, 2.0, 20.0) if single else (9.0, 0.0, 12.0)
    pitch = waterline + run
    tilt = frames.athwart_tilt_deg(deadrise, run, pitch, 1 if single else 0)
    drop = 250.0 if single else 320.0
    vertical, normal = frames.drop_factors(waterline, run, pitch, tilt)
    hull = HullFit(
        shaft_to_waterline_deg=waterline,
        shaft_to_hull_deg=pitch,
        shaft_to_palm_deg=frames.shaft_to_palm_deg(pitch, tilt),
        run_deg=run,
        deadrise_deg=deadrise,
        drop_vertical_mm=drop * vertical,
        drop_square_to_shaft_mm=drop,
        drop_square_to_hull_mm=drop * normal,
        trace_to_projection_deg=frames.trace_to_projection_deg(pitch, tilt),
        thickness_mm=22.0,
        material="grp",
    )
    barrel = Barrel(
        length_mm=180.0,
        outside_mm=84.0,
        bore_mm=54.0,
        bore_upper_mm=0.030,
        bore_lower_mm=0.0,
        fit="press",
        bore_class="H7",
        shell_class="",
        aft_end=BarrelEnd(shape="tapered", length_mm=20.0, end_diameter_mm=70.0),
        forward_end=BarrelEnd(shape="straight", length_mm=0.0, end_diameter_mm=84.0),
        lead_in_aft=LeadIn(length_mm=2.0, angle_deg=30.0),
        lead_in_forward=LeadIn(length_mm=2.0, angle_deg=30.0),
    )
    bearing = Bearing(
        outside_mm=54.0,
        outside_upper_mm=0.045,
        outside_lower_mm=0.026,
        length_mm=160.0,
        aft_station_mm=10.0,
        inside_mm=38.0,
        shell_mm=3.0,
        shell_material="naval_brass",
        flute_count=8,
        flute_width_mm=6.0,
        flute_depth_mm=3.0,
        flute_clock_deg=22.5,
    )
    screws = tuple(
        SetScrew(
            number=i + 1,
            station_mm=station,
            clock_deg=90.0,
            thread="M8x1.25",
            major_mm=8.0,
            pitch_mm=1.25,
            tap_drill_mm=6.8,
            point="dog",
            flat_diameter_mm=None,
            dimple_depth_mm=1.5,
            bearing_index=0,
        )
        for i, station in enumerate((50.0, 130.0))
    )
    palms: tuple[Palm, ...]
    arms: tuple[Arm, ...]
    if single:
        arms = (_arm("arm", 0.0, "two_arcs", 0),)
        palms = (_palm("palm", PalmPlane(drop_mm=drop, pitch_deg=pitch, tilt_deg=tilt), arms[0], barrel),)
    else:
        arms = (_arm("port arm", 27.0, "flat", 0), _arm("starboard arm", -27.0, "flat", 1))
        palms = (
            _palm("port palm", PalmPlane(drop_mm=drop, pitch_deg=pitch, tilt_deg=8.0), arms[0], barrel),
            _palm("starboard palm", PalmPlane(drop_mm=drop, pitch_deg=pitch, tilt_deg=-8.0), arms[1], barrel),
        )
    fin = None
    if skeg:
        fin = Skeg(
            kind="plate",
            root_aft_station_mm=25.0,
            root_forward_station_mm=165.0,
            depth_mm=200.0,
            tip_chord_mm=90.0,
            sweep_mm=30.0,
            thickness_root_mm=16.0,
            thickness_tip_mm=16.0,
            leading_edge="round",
            root_mm=6.0,
            heel=Heel(
                centre_mm=(-95.0, 0.0, -200.0),
                stock_rake_deg=0.0,
                stock_cant_deg=0.0,
                pintle_mm=24.0,
                bore_mm=32.0,
                bush_wall_mm=4.0,
                outside_mm=52.0,
                stock_mm=30.0,
                height_mm=40.0,
                foot_height_mm=24.0,
                foot_thickness_mm=20.0,
            ),
        )
    return Strut(
        identity=Identity(
            name="Demo strut", drawing_number="SW-001", revision="A", hand="port" if single else "centre", pair=single
        ),
        file_units=units,
        construction="cast" if single else "welded",
        material="aluminium_bronze" if single else "stainless_316l",
        hull=hull,
        shaft=Shaft(diameter_mm=38.0, material="stainless_316", bearing_span_mm=1200.0),
        barrel=barrel,
        bearings=(bearing,),
        arms=arms,
        palms=palms,
        set_screws=screws,
        skeg=fin,
        weld=Weld(prep="double_bevel", prep_angle_deg=45.0, root_face_mm=2.0, beads=True, root_gap_mm=2.0),
        propeller=Propeller(
            diameter_mm=450.0, blades=4, mass_kg=18.0, hub_length_mm=100.0, hub_gap_mm=25.0, pitch_mm=380.0
        ),
        duty=Duty(
            power_kw=90.0,
            shaft_rpm=1400.0,
            idle_rpm=400.0,
            boat_speed_kn=18.0,
            waterline_length_m=9.5,
            service="pleasure",
            rudder_area_m2=0.18,
        ),
        backing_plate=True,
        edge_rule="light_craft",
    )


def featured_strut(kind: Kind = "single") -> Strut:
    """Return the strut with everything else on it that is made: water slots, steps in the bore, rounded end, flats
    under the screws, raked arms with toe along the flow (foils on "single"), palm edges thinned, palm axes along the
    shaft's projection, counterbored bolts on "vee".
    """
    s = example_strut(kind)
    barrel = replace(
        s.barrel,
        slots=WaterSlots(count=4, width_mm=8.0, length_mm=20.0, centre_station_mm=150.0, first_clock_deg=45.0),
        steps=(
            BoreStep(kind="relief", from_station_mm=75.0, to_station_mm=105.0, diameter_mm=55.0),
            BoreStep(kind="counterbore", from_station_mm=145.0, to_station_mm=180.0, diameter_mm=56.0),
        ),
        forward_end=BarrelEnd(shape="rounded", length_mm=12.0, end_diameter_mm=74.0),
    )
    shape = "foil" if kind == "single" else "flat"
    arms = tuple(
        replace(a, shape=shape, rake_deg=5.0, toe_deg=2.0, aligned_with="flow", chord_barrel_mm=90.0) for a in s.arms
    )
    screws = tuple(replace(q, flat_diameter_mm=14.0) for q in s.set_screws)
    palms = []
    for arm, palm in zip(arms, s.palms, strict=True):
        axes = frames.arm_axes(arm, barrel, palm.plane)
        x, y, z = (float(c) for c in frames.meet_plane(palm.plane, axes.origin, axes.n))
        turn = frames.trace_to_projection_deg(palm.plane.pitch_deg, palm.plane.tilt_deg)
        bolt = palm.bolt
        if kind == "vee":
            bolt = replace(bolt, kind="counterbored", head_diameter_mm=22.0, head_depth_mm=8.0)
        palms.append(
            replace(
                palm,
                zero_mm=(x, y, z),
                bevel_width_mm=6.0,
                bevel_height_mm=3.0,
                axes="projection",
                axes_deg=turn,
                bolt=bolt,
            )
        )
    return replace(s, barrel=barrel, arms=arms, palms=tuple(palms), set_screws=screws)


def _arm(name: str, clock_deg: float, shape: Literal["flat", "two_arcs"], palm_index: int) -> Arm:
    return Arm(
        name=name,
        clock_deg=clock_deg,
        rake_deg=0.0,
        station_mm=90.0,
        toe_deg=0.0,
        aligned_with="shaft",
        shape=shape,
        chord_barrel_mm=110.0,
        thickness_barrel_mm=20.0,
        chord_palm_mm=130.0,
        thickness_palm_mm=24.0,
        edge_radius_mm=10.0 if shape == "flat" else 0.0,
        barrel_root_mm=8.0,
        palm_root_mm=10.0,
        palm_index=palm_index,
    )


def _palm(name: str, plane: PalmPlane, arm: Arm, barrel: Barrel) -> Palm:
    axes = frames.arm_axes(arm, barrel, plane)
    x, y, z = (float(c) for c in frames.meet_plane(plane, axes.origin, axes.n))
    bolt = Bolt(
        size="M12",
        major_mm=12.0,
        hole_mm=13.0,
        kind="countersunk",
        head_standard="ISO 10642",
        head_diameter_mm=24.0,
        head_angle_deg=90.0,
        head_depth_mm=5.5,
        driver_diameter_mm=16.0,
        material="stainless_316",
    )
    places = [(u, v) for u in (-95.0, 0.0, 95.0) for v in (-42.0, 42.0)]
    return Palm(
        name=name,
        plane=plane,
        zero_mm=(x, y, z),
        axes="trace",
        axes_deg=0.0,
        thickness_mm=20.0,
        outline=tapered(250.0, 120.0, 130.0, 20.0),
        bevel_width_mm=0.0,
        bevel_height_mm=0.0,
        bolt=bolt,
        holes=tuple(PalmHole(number=i + 1, u_mm=u, v_mm=v) for i, (u, v) in enumerate(places)),
    )


def built_of(strut: Strut) -> Built:
    """Return the solids of a strut, built once in a process whichever test asks; they are not to be changed."""
    key = pickle.dumps(strut)
    if key not in _built:
        _built[key] = build(strut)
    return _built[key]


_built: dict[bytes, Built] = {}


def without_beads(strut: Strut) -> Built:
    """Return the solids that sheets show; beads, which take longest to make, are never on one."""
    return built_of(strut if strut.construction == "cast" else replace(strut, weld=replace(strut.weld, beads=False)))


def pattern_without_solids(strut: Strut, spec: FoundrySpec) -> PatternSet:
    """Return a pattern set for what is drawn from its figures alone."""
    return PatternSet(
        strut=strut,
        spec=spec,
        pattern=None,  # type: ignore[arg-type]
        halves=(),
        core=(),
        core_box=(),
        casting_mm3=1.0,
        pull=np.zeros(3),
        findings=[],
        seconds=0.0,
    )


@cache
def resolved(name: str) -> Resolved:
    """Return a shipped set, read once in a process."""
    return resolve(load(shipped()[name]))


SEEN_IN_A_SET = (
    ("part", lambda s: s.family),
    ("construction", lambda s: s.construction),
    ("units", lambda s: s.file_units),
    ("arms", lambda s: len(s.arms)),
    ("section", lambda s: tuple(sorted({a.shape for a in s.arms}))),
    ("bearings", lambda s: len(s.bearings)),
    ("skeg", lambda s: s.skeg and (s.skeg.kind, s.skeg.heel is not None)),
    ("steps", lambda s: tuple(sorted({q.kind for q in s.barrel.steps}))),
    ("outline", lambda s: tuple(sorted({type(p.outline).__name__ for p in s.palms}))),
    ("fastener", lambda s: s.flange and s.flange.fastener),
)
"""What makes the parts of two shipped sets different to build and to draw."""


@cache
def few() -> tuple[str, ...]:
    """Return a few shipped sets that together have every feature: a set with a new one is in by itself."""
    features = {n: {(what, of(resolved(n).strut)) for what, of in SEEN_IN_A_SET} for n in SETS}
    left, out = set().union(*features.values()), []
    while left:
        out.append(max(SETS, key=lambda n: len(features[n] & left)))
        left -= features[out[-1]]
    return tuple(out)


def of_every_kind(names: Sequence[str], step: int) -> Sequence[str]:
    """Return what `every` does, and in the everyday run one of the `few` of each kind of part that is not among it."""
    picked = set(every(names, step))
    kinds = {resolved(n).strut.family for n in picked}
    for name in (n for n in few() if n in names):
        if (family := resolved(name).strut.family) not in kinds:
            kinds.add(family)
            picked.add(name)
    return [n for n in names if n in picked]


@cache
def hands_of(name: str) -> tuple[Strut, ...]:
    """Return a shipped set's strut of every hand."""
    source = resolved(name)
    return tuple(source.of_hand(hand) for hand in source.hands())


def templates_of(strut: Strut) -> dict[str, CutFile]:
    """Return the templates of a strut, made once in a process whichever test asks; they are not to be changed."""
    key = pickle.dumps(strut)
    if key not in _templates:
        _templates[key] = template_files(strut)
    return _templates[key]


_templates: dict[bytes, dict[str, CutFile]] = {}


def plain_parts(strut: Strut) -> list[PlainPart]:
    """Return plain solids of a strut: a cast one as one part, a welded one as barrel, arms and palms.

    Arms are straight-sided, of rectangular sections, between barrel and palm; no fillets. Made once in a process
    whichever test asks; they are not to be changed.
    """
    key = pickle.dumps(strut)
    if key not in _plain:
        _plain[key] = _plain_parts(strut)
    return list(_plain[key])


_plain: dict[bytes, list[PlainPart]] = {}


def _plain_parts(strut: Strut) -> list[PlainPart]:
    bronze, steel = (0.72, 0.58, 0.32), (0.62, 0.64, 0.68)
    colour = bronze if strut.construction == "cast" else steel
    tube, holes = _barrel(strut)
    named: list[tuple[str, str, Any]] = [("barrel", "barrel", tube.cut(*holes))]
    core = _cylinder((-2000.0, 0.0, 0.0), (1.0, 0.0, 0.0), strut.barrel.outside_mm / 2, 4000.0)
    for arm in strut.arms:
        named.append((arm.name, "arm", _plain_arm(strut, arm).cut(core)))
    for palm in strut.palms:
        named.append((palm.name, "palm", _plain_palm(palm)))
    if strut.skeg is not None and strut.skeg.heel is not None:
        named.append(("skeg", "skeg", _plain_heel(strut.skeg.heel)))
    if strut.construction == "cast":
        whole = named[0][2]
        for _name, kind, shape in named[1:]:
            if kind != "skeg":
                whole = whole.fuse(shape)
        rest = [n for n in named if n[1] == "skeg"]
        named = [("strut", "casting", whole), *rest]
    return [
        PlainPart(name, kind, _one_solid(shape), colour, strut.material, shape.Volume()) for name, kind, shape in named
    ]


def _one_solid(shape: Any) -> Any:
    (solid,) = shape.Solids()
    return solid


def _vec(v: Any) -> Any:
    import cadquery as cq

    return cq.Vector(*(float(c) for c in v))


def _cylinder(base: Any, direction: Any, radius_mm: float, height_mm: float) -> Any:
    import cadquery as cq

    return cq.Solid.makeCylinder(radius_mm, height_mm, _vec(base), _vec(direction))


def _barrel(strut: Strut) -> tuple[Any, list[Any]]:
    import cadquery as cq

    b = strut.barrel
    x0, half, r, bore = -b.length_mm / 2, b.length_mm / 2, b.outside_mm / 2, b.bore_mm / 2
    mouth = b.lead_in_aft.length_mm * math.tan(math.radians(b.lead_in_aft.angle_deg))
    points = [
        (x0, bore + mouth),
        (x0, b.aft_end.end_diameter_mm / 2),
        (x0 + b.aft_end.length_mm, r),
        (half, r),
        (half, bore + mouth),
        (half - b.lead_in_forward.length_mm, bore),
        (x0 + b.lead_in_aft.length_mm, bore),
    ]
    tube = cq.Workplane("XY").polyline(points).close().revolve(360.0, (0, 0, 0), (1, 0, 0)).val()
    holes = [
        _cylinder((b.x(s.station_mm), 0.0, 0.0), frames.radial(s.clock_deg), s.tap_drill_mm / 2, r + 5)
        for s in strut.set_screws
    ]
    return tube, holes


def _plain_arm(strut: Strut, arm: Arm) -> Any:
    import cadquery as cq

    plane = frames.arm_plane(strut, arm)
    palm = strut.palms[arm.palm_index]
    a = frames.arm_axes(arm, strut.barrel, plane)
    low, high = frames.arm_ends_mm(arm, strut.barrel, plane)
    top = high + 200.0
    growth = (
        (arm.chord_palm_mm - arm.chord_barrel_mm) / (high - low),
        (arm.thickness_palm_mm - arm.thickness_barrel_mm) / (high - low),
    )
    sizes = [
        (arm.chord_barrel_mm + growth[0] * (s - low), arm.thickness_barrel_mm + growth[1] * (s - low))
        for s in (0.0, top)
    ]
    work = cq.Workplane(cq.Plane(_vec(a.origin), _vec(a.u), _vec(a.n)))
    prism = work.rect(*sizes[0]).workplane(offset=top).rect(*sizes[1]).loft(ruled=True).val()
    f = frames.palm_axes(palm)
    floor = f.origin - palm.thickness_mm * f.n
    above = cq.Workplane(cq.Plane(_vec(floor), _vec(f.u), _vec(f.n))).rect(2000, 2000).extrude(600.0).val()
    return prism.cut(above)


def _plain_palm(palm: Palm) -> Any:
    import cadquery as cq

    f = frames.palm_axes(palm)
    rows = palm.outline.vertices
    work = cq.Workplane(cq.Plane(_vec(f.origin), _vec(f.u), _vec(f.n))).moveTo(*rows[0, :2])
    seg = palm.outline.segments()
    for k in range(len(rows)):
        end = seg.end[k]
        if seg.sweep_rad[k] == 0.0:
            work = work.lineTo(*end)
        else:
            mid = 0.5 * (seg.start[k] + end)
            out = np.array((end[1] - seg.start[k][1], -(end[0] - seg.start[k][0]))) / 2 * seg.bulge[k]
            work = work.threePointArc(tuple(mid + out), tuple(end))
    plate = work.close().extrude(-palm.thickness_mm).val()
    cutters = []
    for h in palm.holes:
        p = f.to_strut(np.array([[h.u_mm, h.v_mm]]))[0]
        cutters.append(_cylinder(p + 5 * f.n, -f.n, palm.bolt.hole_mm / 2, palm.thickness_mm + 10))
        if palm.bolt.kind == "countersunk":
            r, depth = palm.bolt.head_diameter_mm / 2, palm.bolt.head_diameter_mm / 2
            grow = 1.0
            half = math.tan(math.radians(palm.bolt.head_angle_deg / 2))
            base = p - (palm.thickness_mm + grow) * f.n
            cutters.append(cq.Solid.makeCone(r + grow * half, 0.0, depth / half + grow, _vec(base), _vec(f.n)))
        elif palm.bolt.kind == "counterbored":
            base = p - (palm.thickness_mm + 1.0) * f.n
            cutters.append(_cylinder(base, f.n, palm.bolt.head_diameter_mm / 2, palm.bolt.head_depth_mm + 1.0))
    return plate.cut(*cutters)


def _plain_heel(heel: Heel) -> Any:
    d = frames.stock_direction(heel.stock_rake_deg, heel.stock_cant_deg)
    base = np.asarray(heel.centre_mm) - heel.height_mm / 2 * d
    boss = _cylinder(base, d, heel.outside_mm / 2, heel.height_mm)
    return boss.cut(_cylinder(base - d, d, heel.bore_mm / 2 + heel.bush_wall_mm, heel.height_mm + 2))


def with_palm(strut: Strut, index: int = 0, **changes: Any) -> Strut:
    """Return the strut with fields of one palm replaced."""
    palms = list(strut.palms)
    palms[index] = replace(palms[index], **changes)
    return replace(strut, palms=tuple(palms))
