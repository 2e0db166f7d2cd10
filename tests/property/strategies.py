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
    Duty,
    Heel,
    HullFit,
    Identity,
    LeadIn,
    Palm,
    PalmHole,
    PalmPlane,
    Propeller,
    SetScrew,
    Shaft,
    Skeg,
    Strut,
    WaterSlots,
    Weld,
)

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
    plane = PalmPlane(drop, pitch, tilt)

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
                name,
                clock,
                rake,
                barrel.length_mm / 2,
                math.copysign(toe, toe * (1 - 2 * k)) if toe else 0.0,
                along,
                shape,
                chord,
                thickness,
                chord * grow,
                thickness * thicken,
                edge if shape == "flat" else 0.0,
                root_barrel,
                root_palm,
                0 if common else k,
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
        planes = [PalmPlane(drop, pitch, s * lean) for s in (-1, 1)] if two else [plane]
        width = thickness * 5 + 6 * bolt_mm
    bevel = draw(st.booleans())
    for k, p in enumerate(planes):
        name = "palm" if len(planes) == 1 else ("port palm", "starboard palm")[k]
        palms.append(
            _palm(name, p, arms[k], common, barrel, outline_kind, chord * grow, width, thick, bevel, kind, bolt_mm)
        )
    skeg = _skeg(draw, barrel, d) if draw(st.integers(0, 3)) == 0 else None
    screws = tuple(
        SetScrew(
            n + 1,
            bearing.aft_station_mm + share * bearing.length_mm,
            90.0,
            "M8",
            8.0,
            1.25,
            0.85 * 0.2 * d,
            "cone",
            0.35 * d if draw(st.booleans()) else None,
            1.0,
            0,
        )
        for n, share in enumerate((0.25, 0.75))
    )
    hull = HullFit(
        pitch,
        pitch,
        frames.shaft_to_palm_deg(pitch, tilt),
        0.0,
        abs(tilt),
        drop,
        drop,
        drop,
        frames.trace_to_projection_deg(pitch, tilt),
        None,
        "grp",
    )
    return Strut(
        Identity("random", "R-1", "A", hand),
        "mm",
        "cast" if cast else "welded",
        "bronze",
        hull,
        Shaft(d, "steel", None),
        barrel,
        (bearing,),
        tuple(arms),
        tuple(palms),
        screws,
        skeg,
        Weld(draw(st.sampled_from(["none", "double_bevel"])), 45.0, 2.0, True, draw(st.sampled_from([0.0, 2.0, 3.5]))),
        Propeller(None, None, None, None, None, None),
        Duty(None, None, None, None, None, "pleasure", None),
        True,
        "light_craft",
    )


def _barrel(draw: st.DrawFn, d: float) -> Barrel:
    bore = round(draw(between(1.35, 1.5)) * d, 1)
    outside = round(bore + 2 * draw(between(0.25, 0.4)) * d, 1)
    length = round(draw(between(4.0, 5.0)) * d, 1)

    def end() -> BarrelEnd:
        shape = draw(st.sampled_from(["straight", "tapered", "rounded"]))
        small = outside - 0.5 * (outside - bore)
        return BarrelEnd(shape, 0.0 if shape == "straight" else 0.3 * d, outside if shape == "straight" else small)

    steps = ()
    if draw(st.booleans()):
        steps = (BoreStep("relief", 0.4 * length, 0.6 * length, bore + 0.04 * d),)
    slots = None
    if draw(st.integers(0, 3)) == 0:
        slots = WaterSlots(2, 0.15 * d, 0.4 * d, 0.88 * length, 90.0)
    return Barrel(
        length,
        outside,
        bore,
        0.03,
        0.0,
        "press",
        "H7",
        end(),
        end(),
        LeadIn(0.05 * d, 30.0),
        LeadIn(0.05 * d, 15.0),
        steps,
        slots,
    )


def _bearing(draw: st.DrawFn, barrel: Barrel, d: float) -> Bearing:
    shell = 0.25 * (barrel.bore_mm - d) / 2
    count = draw(st.integers(5, 10))
    return Bearing(
        barrel.bore_mm,
        0.05,
        0.02,
        barrel.length_mm - 0.2 * d,
        0.1 * d,
        d + 0.2,
        shell,
        "brass",
        count,
        draw(between(0.08, 0.18)) * d,
        draw(between(0.3, 0.5)) * ((barrel.bore_mm - d) / 2 - shell),
        draw(between(0, 90)),
    )


def _palm(
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
    bolt = Bolt("M", bolt_mm, HOLE * bolt_mm, kind, "ISO 10642", HEAD * bolt_mm, 90.0, head_depth, 2 * bolt_mm, "316")
    return Palm(
        name,
        plane,
        (x, y, z),
        "trace",
        0.0,
        thick,
        inside,
        4.0 if bevel else 0.0,
        0.3 * thick if bevel else 0.0,
        bolt,
        tuple(PalmHole(n + 1, a, b) for n, (a, b) in enumerate(holes)),
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
            (lead - tip - draw(between(1.5, 3)) * d, 0.0, -deep + 0.4 * d),
            draw(between(-12, 12)),
            draw(st.sampled_from([0.0, 3.0])),
            bore - 0.4,
            bore,
            draw(st.sampled_from([0.0, 4.0])),
            bore + 8.0 + 0.7 * d,
            0.8 * d,
            0.8 * d,
            thick,
            0.75 * d,
        )
    at_tip = draw(st.sampled_from([0.8, 1.0])) * thick
    return Skeg(
        draw(st.sampled_from(["plate", "foil"])),
        root_aft,
        root_forward,
        deep,
        tip,
        sweep,
        thick,
        at_tip,
        draw(st.sampled_from(["round", "square"])),
        0.3 * thick,
        heel,
    )
