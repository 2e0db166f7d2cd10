"""Random resolved struts inside the limits of the trade, for property tests."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from hypothesis import strategies as st

from strutwright.models import frames
from strutwright.models.outline import Outline, oval, rectangle, stadium, tapered
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

# Size, clearance hole, countersink diameter for 90 degrees, as shares of the bolt diameter: about those of ISO 10642.
HOLE, HEAD = 1.1, 2.24


def between(low: float, high: float, digits: int = 2) -> st.SearchStrategy[float]:
    """Numbers as people write them."""
    return st.floats(low, high, allow_nan=False).map(lambda x: round(x, digits))


@st.composite
def struts(draw: st.DrawFn, construction: Literal["cast", "welded"] | None = None) -> Strut:
    """A strut whose sizes hang together as those of real ones do; roots and holes may still be too large to fit."""
    d = draw(st.sampled_from([20.0, 25.4, 30.0, 38.1, 45.0, 50.0, 65.0, 80.0, 101.6]))
    cast = (construction or draw(st.sampled_from(["cast", "welded"]))) == "cast"
    two = draw(st.booleans())
    common = two and draw(st.booleans())
    hand: Literal["port", "starboard", "centre"] = "centre" if two else draw(st.sampled_from(["port", "starboard"]))
    pitch = draw(between(0, 15))
    tilt = 0.0 if two else draw(between(0, 25)) * (1 if hand == "port" else -1)
    drop = draw(between(5.5, 9)) * d
    plane = PalmPlane(drop_mm=drop, pitch_deg=pitch, tilt_deg=tilt)

    barrel = _barrel(draw, d)
    bearing = _bearing(draw, barrel, d)
    shape = draw(st.sampled_from(["flat", "ellipse", "two_arcs", "foil"]))
    chord = min(draw(between(1.8, 3.0)) * d, 0.75 * barrel.length_mm)
    thickness = draw(between(0.16, 0.28, 3)) * chord
    grow, thicken = draw(st.sampled_from([1.0, 1.1, 1.25])), draw(st.sampled_from([1.0, 1.15]))
    root_barrel, root_palm = (draw(between(0.2, 0.45)) * thickness for _ in range(2))
    half_angle = draw(between(24, 38)) if two else 0.0
    clocks = [half_angle, -half_angle] if two else [draw(st.sampled_from([0.0, -tilt]))]
    rake = draw(st.sampled_from([0.0, -6.0, 8.0]))
    toe = draw(st.sampled_from([0.0, 2.0, -3.0]))
    along = draw(st.sampled_from(["shaft", "flow"]))
    edge = thickness / 2 if draw(st.booleans()) else 0.3 * thickness
    arms, palms = [], []
    for k, clock in enumerate(clocks):
        name = ("port arm", "starboard arm")[k] if two else "arm"
        arms.append(
            Arm(
                name=name,
                clock_deg=clock,
                rake_deg=rake,
                station_mm=barrel.length_mm / 2,
                toe_deg=math.copysign(toe, toe * (1 - 2 * k)) if toe else 0.0,
                aligned_with=along,
                shape=shape,
                chord_barrel_mm=chord,
                thickness_barrel_mm=thickness,
                chord_palm_mm=chord * grow,
                thickness_palm_mm=thickness * thicken,
                edge_radius_mm=edge if shape == "flat" else 0.0,
                barrel_root_mm=root_barrel,
                palm_root_mm=root_palm,
                palm_index=0 if common else k,
            )
        )
    bolt_mm = draw(st.sampled_from([6.0, 8.0, 10.0, 12.0, 16.0]))
    thick = max(draw(between(0.3, 0.4)) * d, 0.7 * bolt_mm + 3)
    kind = draw(st.sampled_from(["countersunk", "counterbored", "plain"]))
    if common:
        outline_kind, planes = "rectangle", [plane]
        width = 2 * drop * math.tan(math.radians(half_angle)) + 8 * thickness
    else:
        outline_kind = draw(st.sampled_from(["rectangle", "stadium", "oval", "tapered"]))
        lean = half_angle * 0.6
        planes = [PalmPlane(drop_mm=drop, pitch_deg=pitch, tilt_deg=s * lean) for s in (-1, 1)] if two else [plane]
        width = thickness * 5 + 6 * bolt_mm
    bevel = draw(st.booleans())
    for k, p in enumerate(planes):
        name = "palm" if len(planes) == 1 else ("port palm", "starboard palm")[k]
        palms.append(
            _palm(
                name=name,
                plane=p,
                arm=arms[k],
                common=common,
                barrel=barrel,
                outline_kind=outline_kind,
                chord=chord * grow,
                width=width,
                thick=thick,
                bevel=bevel,
                kind=kind,
                bolt_mm=bolt_mm,
            )
        )
    skeg = _skeg(draw, barrel, d) if draw(st.integers(0, 3)) == 0 else None
    screws = tuple(
        SetScrew(
            number=n + 1,
            station_mm=bearing.aft_station_mm + share * bearing.length_mm,
            clock_deg=90.0,
            thread="M8",
            major_mm=8.0,
            pitch_mm=1.25,
            tap_drill_mm=0.85 * 0.2 * d,
            point="cone",
            flat_diameter_mm=0.35 * d if draw(st.booleans()) else None,
            dimple_depth_mm=1.0,
            bearing_index=0,
        )
        for n, share in enumerate((0.25, 0.75))
    )
    hull = HullFit(
        shaft_to_waterline_deg=pitch,
        shaft_to_hull_deg=pitch,
        shaft_to_palm_deg=frames.shaft_to_palm_deg(pitch, tilt),
        run_deg=0.0,
        deadrise_deg=abs(tilt),
        drop_vertical_mm=drop,
        drop_square_to_shaft_mm=drop,
        drop_square_to_hull_mm=drop,
        trace_to_projection_deg=frames.trace_to_projection_deg(pitch, tilt),
        thickness_mm=None,
        material="grp",
    )
    return Strut(
        identity=Identity(name="random", drawing_number="R-1", revision="A", hand=hand),
        file_units="mm",
        construction="cast" if cast else "welded",
        material="bronze",
        hull=hull,
        shaft=Shaft(diameter_mm=d, material="steel", bearing_span_mm=None),
        barrel=barrel,
        bearings=(bearing,),
        arms=tuple(arms),
        palms=tuple(palms),
        set_screws=screws,
        skeg=skeg,
        weld=Weld(
            prep=draw(st.sampled_from(["none", "double_bevel"])),
            prep_angle_deg=45.0,
            root_face_mm=2.0,
            beads=True,
            root_gap_mm=draw(st.sampled_from([0.0, 2.0, 3.5])),
        ),
        propeller=Propeller(
            diameter_mm=None, blades=None, mass_kg=None, hub_length_mm=None, hub_gap_mm=None, pitch_mm=None
        ),
        duty=Duty(
            power_kw=None,
            shaft_rpm=None,
            idle_rpm=None,
            boat_speed_kn=None,
            waterline_length_m=None,
            service="pleasure",
            rudder_area_m2=None,
        ),
        backing_plate=True,
        edge_rule="light_craft",
    )


def _barrel(draw: st.DrawFn, d: float) -> Barrel:
    bore = round(draw(between(1.35, 1.5)) * d, 1)
    outside = round(bore + 2 * draw(between(0.25, 0.4)) * d, 1)
    length = round(draw(between(4.0, 5.0)) * d, 1)

    def end() -> BarrelEnd:
        shape = draw(st.sampled_from(["straight", "tapered", "rounded"]))
        small = outside - 0.5 * (outside - bore)
        return BarrelEnd(
            shape=shape,
            length_mm=0.0 if shape == "straight" else 0.3 * d,
            end_diameter_mm=outside if shape == "straight" else small,
        )

    steps = ()
    if draw(st.booleans()):
        steps = (
            BoreStep(
                kind="relief", from_station_mm=0.4 * length, to_station_mm=0.6 * length, diameter_mm=bore + 0.04 * d
            ),
        )
    slots = None
    if draw(st.integers(0, 3)) == 0:
        slots = WaterSlots(
            count=2, width_mm=0.15 * d, length_mm=0.4 * d, centre_station_mm=0.88 * length, first_clock_deg=90.0
        )
    return Barrel(
        length_mm=length,
        outside_mm=outside,
        bore_mm=bore,
        bore_upper_mm=0.03,
        bore_lower_mm=0.0,
        fit="press",
        bore_class="H7",
        shell_class="",
        aft_end=end(),
        forward_end=end(),
        lead_in_aft=LeadIn(length_mm=0.05 * d, angle_deg=30.0),
        lead_in_forward=LeadIn(length_mm=0.05 * d, angle_deg=15.0),
        steps=steps,
        slots=slots,
    )


def _bearing(draw: st.DrawFn, barrel: Barrel, d: float) -> Bearing:
    shell = 0.25 * (barrel.bore_mm - d) / 2
    count = draw(st.integers(5, 10))
    return Bearing(
        outside_mm=barrel.bore_mm,
        outside_upper_mm=0.05,
        outside_lower_mm=0.02,
        length_mm=barrel.length_mm - 0.2 * d,
        aft_station_mm=0.1 * d,
        inside_mm=d + 0.2,
        shell_mm=shell,
        shell_material="brass",
        flute_count=count,
        flute_width_mm=draw(between(0.08, 0.18)) * d,
        flute_depth_mm=draw(between(0.3, 0.5)) * ((barrel.bore_mm - d) / 2 - shell),
        flute_clock_deg=draw(between(0, 90)),
    )


def _palm(
    *,
    name: str,
    plane: PalmPlane,
    arm: Arm,
    common: bool,
    barrel: Barrel,
    outline_kind: str,
    chord: float,
    width: float,
    thick: float,
    bevel: bool,
    kind: Literal["countersunk", "counterbored", "plain"],
    bolt_mm: float,
) -> Palm:
    axes = frames.arm_axes(arm, barrel, plane)
    # A common palm's zero lies on the line half-way between the arms.
    way = frames.arm_direction(0.0, arm.rake_deg) if common else axes.n
    x, y, z = (float(c) for c in frames.meet_plane(plane, axes.origin, way))
    length = chord / math.cos(math.radians(plane.pitch_deg)) * 1.15 + 6 * bolt_mm + 4 * arm.palm_root_mm
    if outline_kind == "rectangle":
        inside: Outline = rectangle(length, width, 0.2 * min(width, length))
    elif outline_kind == "stadium":
        inside = stadium(max(length, 1.05 * width), width)
    elif outline_kind == "oval":
        inside = oval(1.25 * max(length, width), 1.2 * width)
    else:
        inside = tapered(length, 0.84 * width, width, 0.15 * min(width, length))
    edge = 2.2 * bolt_mm
    u, v = length / 2 - edge, width / 2 - edge
    places = [(a, b) for a in (-u, 0.0, u) for b in (-v, v)]
    near = inside.distance_to_boundary(np.array(places)) * np.where(inside.contains(np.array(places)), 1, -1)
    holes = [p for p, gap in zip(places, near, strict=True) if gap > 1.3 * bolt_mm] or [places[int(np.argmax(near))]]
    head_depth = {"countersunk": bolt_mm * (HEAD - HOLE) / 2, "counterbored": 0.6 * bolt_mm, "plain": 0.0}[kind]
    bolt = Bolt(
        size="M",
        major_mm=bolt_mm,
        hole_mm=HOLE * bolt_mm,
        kind=kind,
        head_standard="ISO 10642",
        head_diameter_mm=HEAD * bolt_mm,
        head_angle_deg=90.0,
        head_depth_mm=head_depth,
        driver_diameter_mm=2 * bolt_mm,
        material="316",
    )
    return Palm(
        name=name,
        plane=plane,
        zero_mm=(x, y, z),
        axes="trace",
        axes_deg=0.0,
        thickness_mm=thick,
        outline=inside,
        bevel_width_mm=4.0 if bevel else 0.0,
        bevel_height_mm=0.3 * thick if bevel else 0.0,
        bolt=bolt,
        holes=tuple(PalmHole(number=n + 1, u_mm=a, v_mm=b) for n, (a, b) in enumerate(holes)),
    )


def _skeg(draw: st.DrawFn, barrel: Barrel, d: float) -> Skeg:
    deep = draw(between(3.5, 5)) * d
    root_aft, root_forward = 0.2 * barrel.length_mm, 0.8 * barrel.length_mm
    thick = draw(between(0.3, 0.4)) * d
    tip = draw(between(1.0, 2.0)) * d
    sweep = draw(between(0, 1.5)) * d
    heel = None
    if draw(st.booleans()):
        lead = barrel.x(root_forward) - sweep
        bore = round(0.6 * d, 1)
        heel = Heel(
            centre_mm=(lead - tip - draw(between(1.5, 3)) * d, 0.0, -deep + 0.4 * d),
            stock_rake_deg=draw(between(-12, 12)),
            stock_cant_deg=draw(st.sampled_from([0.0, 3.0])),
            pintle_mm=bore - 0.4,
            bore_mm=bore,
            bush_wall_mm=draw(st.sampled_from([0.0, 4.0])),
            outside_mm=bore + 8.0 + 0.7 * d,
            height_mm=0.8 * d,
            foot_height_mm=0.8 * d,
            foot_thickness_mm=thick,
            stock_mm=0.75 * d,
        )
    at_tip = draw(st.sampled_from([0.8, 1.0])) * thick
    return Skeg(
        kind=draw(st.sampled_from(["plate", "foil"])),
        root_aft_station_mm=root_aft,
        root_forward_station_mm=root_forward,
        depth_mm=deep,
        tip_chord_mm=tip,
        sweep_mm=sweep,
        thickness_root_mm=thick,
        thickness_tip_mm=at_tip,
        leading_edge=draw(st.sampled_from(["round", "square"])),
        root_mm=0.3 * thick,
        heel=heel,
    )
