"""Vibration: natural frequencies of the strut and of the shaft in it, against shaft rate and blade rate.

The numbers, made for a batch of candidates: the arms as tapered beams built in at the hull, the barrel rigid; in the
plane square to the shaft and out of it, each by its own static shape (the barrel's turning goes with its moving). Rake
and toe are left out of them, and a skeg counts as if it were at the shaft line. `vibration_map` does one strut whole,
six ways for the barrel to move, and the shaft by beam elements. Hull and palm are taken as rigid, so true frequencies
are lower. Guidance.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from strutwright.models.arrays import Num
from strutwright.models.checks.check import of_groups
from strutwright.models.checks.metals import weights
from strutwright.models.checks.outcome import Outcome, at_least, findings_of, hint, information, source_of
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import beams
from strutwright.models.formulas import vibration as rules
from strutwright.models.inputs import WATER_KG_M3, ArmInputs, Inputs
from strutwright.models.spec import Strut
from strutwright.params.limits import Limits
from strutwright.params.words import Amount, say

GROUP = "vibration"
CHECKS = of_groups(GROUP)

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(2)
_AT = tuple(zip((0.5 * (_POINTS + 1.0)).tolist(), (0.5 * _WEIGHTS).tolist(), strict=True))


# --- the strut, for a batch of candidates ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _ArmBeam:
    """Integrals along an arm from the shaft line: bending (powers 0, 1, 2 of distance) in and out of plane, axial,
    twist; and the mass of arm and water that moves with the barrel, kg, in plane and out of it."""

    inplane: tuple[Num, Num, Num]
    outward: tuple[Num, Num, Num]
    axial: Num
    twist: Num
    inplane_kg: Num
    outward_kg: Num


def _beam(inputs: Inputs, arm: ArmInputs) -> _ArmBeam:
    m, span = inputs.strut, arm.end_mm - arm.start_mm
    stations, weights = [arm.start_mm + at * span for at, _ in _AT], [weight * span for _, weight in _AT]
    found = [arm.section_at(s) for s in stations]
    flex = beams.arm_flexibility(weights, stations, [beams.Cut.of(p) for p in found], m.modulus_mpa, m.shear_mpa)
    in_kg: Num = 0.0 * span
    out_kg = in_kg
    guided = len(inputs.arms) > 1
    for (at, _), s, ds, p in zip(_AT, stations, weights, found, strict=True):
        chord, thickness = arm.size_at(s)
        # How far the arm goes along with its barrel end: a cantilever, or in the plane of a vee a beam whose end does
        # not turn. Fore and aft the arms of a vee swing as cantilevers: only their twist resists the barrel's pitching.
        free = 1.0 - 1.5 * at + 0.5 * at**3
        moves = 1.0 - 3.0 * at**2 + 2.0 * at**3 if guided else free
        water = rules.added_mass(chord, thickness, WATER_KG_M3)
        own = m.density_kg_m3 * 1e-9 * p.area_mm2
        in_kg = in_kg + ds * moves**2 * (own + water.across_kg_mm)
        out_kg = out_kg + ds * free**2 * (own + water.along_kg_mm)
    return _ArmBeam((flex.nn, flex.tm, flex.tt), (flex.mm, -flex.cm, flex.cc), flex.aa, flex.jj, in_kg, out_kg)


def _beams(inputs: Inputs) -> list[_ArmBeam]:
    """The arms as beams. Two of the same sizes bend alike: in a study they hold the very same arrays."""
    made: dict[tuple[int, ...], _ArmBeam] = {}
    out = []
    for arm in inputs.arms:
        sizes = (
            arm.start_mm,
            arm.end_mm,
            arm.chord_barrel_mm,
            arm.thickness_barrel_mm,
            arm.chord_palm_mm,
            arm.thickness_palm_mm,
            arm.edge_radius_mm,
        )
        same = tuple(id(v) for v in sizes)
        made[same] = made.get(same) or _beam(inputs, arm)
        out.append(made[same])
    return out


def barrel_kg(inputs: Inputs) -> Num:
    """Return the mass of barrel, bearings and skeg, kg, in air; broadcasts.

    >>> round(float(barrel_kg(engineering_inputs("harbour-launch"))), 2)  # 1.711 and a bearing of 0.598
    2.31
    """
    fin = weights.skeg(inputs)
    return weights.barrel(inputs).mass_kg + weights.bearing_kg(inputs) + (0.0 if fin is None else fin.mass_kg)


def barrel_water_kg(inputs: Inputs) -> Num:
    """Return the water that moves athwart with barrel and skeg, kg; broadcasts.

    About what the barrel displaces; a fin's as of a long section of its mean chord.

    >>> round(barrel_water_kg(engineering_inputs("canal-tender")), 4)  # pi / 4 x 48^2 x 74 x 1.025e-6
    0.1373
    """
    water, s = weights.barrel_outside_mm3(inputs)[0] * WATER_KG_M3 * 1e-9, inputs.skeg
    if s is None:
        return water
    chord = (s.root_forward_x_mm - s.root_aft_x_mm + s.tip_chord_mm) / 2.0
    across = rules.added_mass(chord, s.thickness_root_mm, WATER_KG_M3).across_kg_mm
    return water + across * (s.depth_mm - inputs.barrel_outside_mm / 2.0)


def running_share_kg(inputs: Inputs) -> Num:
    """Return the mass of propeller and shaft that moves sideways with the bearing, kg; nan when not known; broadcasts.

    The shaft swings as a lever about the next bearing forward: squares of the distances.

    >>> round(running_share_kg(engineering_inputs("harbour-launch")), 1)  # 13.2 x 1.1227^2 + 0.00868 x 519
    21.1
    """
    span, overhang = inputs.bearing_span_mm, inputs.overhang_mm
    line = math.pi / 4.0 * inputs.shaft_mm**2 * (inputs.shaft.density_kg_m3 + WATER_KG_M3) * 1e-9
    return inputs.limit("propeller_entrained") * inputs.propeller_kg * ((span + overhang) / span) ** 2 + line * (
        span + overhang
    ) ** 3 / (3.0 * span**2)


def strut_frequencies_hz(inputs: Inputs) -> tuple[Num, Num, Num]:
    """Return natural frequencies of the strut, Hz: lowest and highest in the plane of its arms, and fore and aft.

    Broadcasts. Beam theory with shear; added mass of long sections in open water. The highest of a single arm is its
    stretching. In plane nan when propeller or bearing span are not known; fore and aft the barrel slides on the shaft.

    >>> [round(float(hz), 1) for hz in strut_frequencies_hz(engineering_inputs("harbour-launch"))]
    [33.2, 918.4, 366.7]
    """
    nothing: Num = 0.0
    yy = zz = yz = y_t = z_t = t_t = nothing
    xx = x_y = x_z = r_yy = r_zz = r_yz = nothing
    own, water = barrel_kg(inputs), barrel_water_kg(inputs)
    in_kg, out_kg = own + water + running_share_kg(inputs), own
    for arm, b in zip(inputs.arms, _beams(inputs), strict=True):
        clock = np.radians(arm.clock_deg)
        sin, cos = np.sin(clock), np.cos(clock)
        # In plane: along the arm (sin, cos), across it (cos, -sin), turning about the shaft.
        f0, f1, f2 = b.inplane
        det = f0 * f2 - f1**2
        across, stretch, mixed = f0 / det, 1.0 / b.axial, -f1 / det
        yy = yy + across * cos**2 + stretch * sin**2
        zz = zz + across * sin**2 + stretch * cos**2
        yz = yz + (stretch - across) * sin * cos
        y_t, z_t, t_t = y_t + mixed * cos, z_t - mixed * sin, t_t + f2 / det
        # Out of plane: along the shaft, turning about the direction across the arm, twisting about the arm.
        f0, f1, f2 = b.outward
        det = f0 * f2 - f1**2
        xx = xx + f0 / det
        x_y, x_z = x_y + f1 / det * cos, x_z - f1 / det * sin
        bend, turn = f2 / det, 1.0 / b.twist
        r_yy = r_yy + bend * cos**2 + turn * sin**2
        r_zz = r_zz + bend * sin**2 + turn * cos**2
        r_yz = r_yz + (turn - bend) * sin * cos
        in_kg, out_kg = in_kg + b.inplane_kg, out_kg + b.outward_kg
    yy, zz, yz = yy - y_t**2 / t_t, zz - z_t**2 / t_t, yz - y_t * z_t / t_t
    middle, half = (yy + zz) / 2.0, np.sqrt(((yy - zz) / 2.0) ** 2 + yz**2)
    det = r_yy * r_zz - r_yz**2
    turn_y, turn_z = (r_zz * x_y - r_yz * x_z) / det, (r_yy * x_z - r_yz * x_y) / det
    stiff = xx - turn_y * x_y - turn_z * x_z
    swing = inputs.barrel_length_mm**2 / 12.0 + (inputs.barrel_outside_mm**2 + inputs.bore_mm**2) / 16.0
    # Pitching, the barrel drags its water along; sliding along itself it does not.
    out_kg = out_kg + (own + water) * swing * (turn_y**2 + turn_z**2)
    return (
        rules.frequency_hz(middle - half, in_kg),
        rules.frequency_hz(middle + half, in_kg),
        rules.frequency_hz(stiff, out_kg),
    )


def _bowing_hz(inputs: Inputs) -> Num:
    """Return the lowest frequency at which the arms of a vee bow between barrel and hull, Hz; inf for a single arm.

    The barrel turns about the shaft and hardly moves, so that each arm is a beam pinned at the shaft line; even, with
    the section and the water of its middle. Within 8 % of beam elements, on the high side. Broadcasts.
    """
    if len(inputs.arms) < 2:
        return math.inf
    lowest: Num = math.inf
    for arm in inputs.arms:
        middle = (arm.start_mm + arm.end_mm) / 2.0
        p, (chord, thickness) = arm.section_at(middle), arm.size_at(middle)
        line = (
            inputs.strut.density_kg_m3 * 1e-9 * p.area_mm2
            + rules.added_mass(chord, thickness, WATER_KG_M3).across_kg_mm
        )
        bows = rules.pinned_built_in_hz(arm.end_mm, inputs.strut.modulus_mpa, p.ixx_mm4, line)
        lowest = np.minimum(lowest, bows)
    return lowest


# --- the shaft ------------------------------------------------------------------------------------------------------


def _shaft_line(inputs: Inputs) -> tuple[Num, Num, Num, Num]:
    """Shaft with its water, kg/mm; E I; propeller with its water, kg, and its inertia about a diameter, kg mm2."""
    area, inertia = math.pi / 4.0 * inputs.shaft_mm**2, math.pi / 64.0 * (inputs.shaft_mm**2) ** 2
    tip = inputs.limit("propeller_entrained") * inputs.propeller_kg
    return (
        area * (inputs.shaft.density_kg_m3 + WATER_KG_M3) * 1e-9,
        inputs.shaft.modulus_mpa * inertia,
        tip,
        tip * (inputs.limit("propeller_gyration") * inputs.propeller_mm) ** 2 / 2.0,
    )


# --- numbers and findings -------------------------------------------------------------------------------------------


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of vibration by code; broadcasts.

    >>> off = numbers(engineering_inputs("harbour-launch"))["strut_in_plane_blade_rate"]
    >>> round(float(off.capacity), 2)  # 33.2 Hz is so much off 3 blades x 1300 / 60
    0.49
    """
    in_plane, _, fore_aft = strut_frequencies_hz(inputs)
    bowing = _bowing_hz(inputs)
    rate = inputs.shaft_rpm / 60.0
    blade = inputs.blades * rate
    critical = 60.0 * rules.shaft_first_hz(inputs.bearing_span_mm, inputs.overhang_mm, *_shaft_line(inputs))
    out = {
        "strut_in_plane_hz": information(np.minimum(in_plane, bowing)),
        "strut_fore_aft_hz": information(fore_aft),
        "shaft_critical": at_least(critical, inputs.limit("shaft_critical") * inputs.shaft_rpm),
    }
    for code, natural, driven in (
        ("strut_in_plane_blade_rate", in_plane, blade),
        ("strut_fore_aft_blade_rate", fore_aft, blade),
        ("strut_in_plane_shaft_rate", in_plane, rate),
        ("strut_fore_aft_shaft_rate", fore_aft, rate),
    ):
        off = np.abs(natural / driven - 1.0)
        if natural is in_plane:
            off = np.minimum(off, np.abs(bowing / driven - 1.0))
        out[code] = at_least(off, np.where(np.isnan(natural), np.nan, inputs.limit("frequency_margin")))
    return out


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of vibration, and where in the running range something is met.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> found = findings(shipped("harbour-launch"), inputs, numbers(inputs))
    >>> [f.measure("mm") for f in found if f.code == "resonance_in_range"]  # 33.0 and 39.3 Hz x 60 / 3 blades
    ['660.7 rpm', '785.2 rpm']
    """
    out = findings_of(CHECKS, numbers_, inputs)
    found = vibration_map(strut, inputs.limits)
    follows = ["propeller_entrained", "propeller_gyration"]
    if math.isnan(float(inputs.idle_rpm)):
        follows.append("idle_share")
    if found is not None:
        for c in found.crossings:
            if c.inside and c.rpm < 0.999 * found.high_rpm:
                out.append(
                    hint(
                        "resonance_in_range",
                        GROUP,
                        say(
                            "{mode} ({natural}) coincides with {excitation} within the running range, at",
                            mode=c.mode,
                            natural=Amount(c.natural_hz, "Hz"),
                            excitation=c.excitation,
                        ),
                        "feel for it at the sea trial; do not linger there",
                        "duty.shaft_speed",
                        actual=c.rpm,
                        unit="rpm",
                        source=source_of("six-way frame and beam elements", inputs, *follows),
                        standing=Standing.MEMORY,
                    )
                )
    return out


# --- one strut whole ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Mode:
    """A natural frequency: what moves, Hz, and whether it is the strut's or the shaft's."""

    name: str
    natural_hz: float
    of: Literal["strut", "shaft"]


@dataclass(frozen=True, slots=True)
class Excitation:
    """A line of the map: times a turn, and its frequency (Hz) at each rpm of the map."""

    label: str
    name: str
    order: int
    hz: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where an excitation meets a mode; inside: within the running range."""

    mode: str
    natural_hz: float
    excitation: str
    rpm: float
    inside: bool


@dataclass(frozen=True, slots=True)
class VibrationMap:
    """Frequency against rpm: what a picture of it needs. low_rpm to high_rpm is the running range."""

    rpm: tuple[float, ...]
    low_rpm: float
    high_rpm: float
    excitations: tuple[Excitation, ...]
    modes: tuple[Mode, ...]
    crossings: tuple[Crossing, ...]
    notes: tuple[str, ...]


def vibration_map(strut: Strut, limits: Limits | None = None) -> VibrationMap | None:
    """Return the map of a strut, or None when the file does not say the shaft speed.

    limits: as shipped when left out. Modes that need what the file does not say are left out, with a note. Only modes
    up to four times the highest excitation are kept.

    >>> found = vibration_map(shipped("harbour-launch"))
    >>> round(found.low_rpm, 1), found.high_rpm  # idle at 0.35 of full speed
    (455.0, 1300.0)
    """
    inputs = Inputs.from_strut(strut, limits=limits)
    high = float(inputs.shaft_rpm)
    if math.isnan(high):
        return None
    low, idle = float(inputs.idle_rpm), inputs.limit("idle_share")
    assumed = math.isnan(low)
    low = idle * high if assumed else min(low, high)
    blades = 0 if math.isnan(inputs.blades) else int(inputs.blades)
    orders = [(1, "shaft rate", "shaft rate")]
    orders += [(blades, "blade rate", f"blade rate ({blades} blades)")] if blades > 1 else []
    notes = [f"idle assumed at {idle:.0%} of full speed"] if assumed else []
    notes += [] if blades > 1 else ["no blade rate: propeller.blades not given"]
    modes = strut_modes(inputs)
    if math.isnan(running_share_kg(inputs)):
        notes.append("strut without propeller: propeller or shaft.bearing_span not given")
    shaft = _shaft_modes(inputs)
    notes += [] if shaft else ["shaft left out: propeller or shaft.bearing_span not given"]
    top = 4.0 * orders[-1][0] * high / 60.0
    kept = tuple(m for m in (*modes, *shaft) if m.natural_hz <= top)
    rpm = tuple(float(r) for r in rules.diagram_rpm(low, high))
    lines = tuple(Excitation(label, name, order, tuple(order * r / 60.0 for r in rpm)) for order, label, name in orders)
    crossings = tuple(
        Crossing(
            m.name, m.natural_hz, e.name, 60.0 * m.natural_hz / e.order, low <= 60.0 * m.natural_hz / e.order <= high
        )
        for m in kept
        for e in lines
        if 60.0 * m.natural_hz / e.order <= rpm[-1]
    )
    return VibrationMap(rpm, low, high, lines, kept, crossings, tuple(notes))


_WAYS = ("fore and aft", "athwart", "up and down", "rolling", "pitching", "yawing")


def barrel_stiffness(inputs: Inputs) -> npt.NDArray[np.float64]:
    """Return the 6x6 stiffness of the rigid barrel at its middle on its arms, strut frame, N, mm, rad; one strut.

    >>> stiff = barrel_stiffness(engineering_inputs("canal-tender"))
    >>> round(float(stiff[2, 2]), -3)  # along the arm: 193 GPa x 742 over 179.2
    799000.0
    """
    total = np.zeros((6, 6))
    for arm in inputs.arms:
        axes = beams.arm_axes(math.radians(arm.clock_deg), -math.radians(arm.rake_deg), math.radians(arm.toe_deg))
        length = arm.end_mm - arm.start_mm
        p = arm.section_at(arm.start_mm + beams.gauss_stations_mm(length))
        flex = beams.tip_flexibility(
            length,
            p.area_mm2,
            p.ixx_mm4,
            p.iyy_mm4,
            p.j_mm4,
            inputs.strut.modulus_mpa,
            inputs.strut.shear_mpa,
            shear_factor=1.2,
        )
        offset = np.array([arm.x_mm, 0.0, 0.0]) + arm.start_mm * axes[2]
        total += beams.arm_barrel_stiffness(flex, axes, offset)
    return total


def strut_modes(inputs: Inputs) -> tuple[Mode, ...]:
    """Return the modes of a strut, rising: six of the barrel on its arms, and the bowing of a vee's arms.

    Propeller and shaft go sideways with the bearing.

    >>> lowest = strut_modes(engineering_inputs("harbour-launch"))[0]
    >>> lowest.name, round(lowest.natural_hz, 1)  # by its static shape 33.2
    ('strut athwart', 33.0)
    """
    own, water = float(barrel_kg(inputs)), float(barrel_water_kg(inputs))
    running = float(np.nan_to_num(running_share_kg(inputs)))
    length, outside, bore = inputs.barrel_length_mm, inputs.barrel_outside_mm, inputs.bore_mm
    pitch = length**2 / 12.0 + (outside**2 + bore**2) / 16.0
    spin = np.diag([own * (outside**2 + bore**2) / 8.0, (own + water) * pitch, (own + water) * pitch])
    mass = np.zeros((6, 6))
    mass[:3, :3], mass[3:, 3:] = own * np.eye(3), spin
    sideways = np.diag([0.0, 1.0, 1.0])
    at = beams.cross_matrix(np.array([float(inputs.bearing_x_mm), 0.0, 0.0]))
    mass[:3, :3] += (water + running) * sideways
    # The running mass sits at the bearing's middle, which need not be mid-barrel.
    mass[:3, 3:] -= running * sideways @ at
    mass[3:, :3] += running * at @ sideways
    mass[3:, 3:] -= running * at @ sideways @ at
    for arm in inputs.arms:
        b = _beam(inputs, arm)
        n = np.array(arm.direction)
        across = np.cross(n, [1.0, 0.0, 0.0])
        across = across / np.linalg.norm(across)
        outward = np.cross(across, n)
        own_axes = b.inplane_kg * np.outer(across, across) + b.outward_kg * np.outer(outward, outward)
        mass[:3, :3] += own_axes + b.outward_kg * np.outer(n, n)
    squares, shapes = np.linalg.eig(np.linalg.solve(mass, barrel_stiffness(inputs)))
    out = []
    for square, shape in sorted(zip(squares.real.tolist(), shapes.real.T, strict=True), key=lambda pair: pair[0]):
        energy = shape * (mass @ shape)
        out.append(
            Mode(f"strut {_WAYS[int(np.argmax(energy))]}", math.sqrt(1000.0 * square) / (2.0 * math.pi), "strut")
        )
    if len(inputs.arms) > 1:
        out.append(Mode("strut arms bowing", float(_bowing_hz(inputs)), "strut"))
    return tuple(sorted(out, key=lambda m: m.natural_hz))


def _shaft_modes(inputs: Inputs) -> tuple[Mode, ...]:
    """Return the first two lateral modes of the shaft by beam elements, both bearings rigid; none when not known."""
    line, _, tip, turn = (float(v) for v in _shaft_line(inputs))
    span, over = float(inputs.bearing_span_mm), float(inputs.overhang_mm)
    if math.isnan(span + over + tip + turn):
        return ()
    dry = math.pi / 4.0 * float(inputs.shaft_mm) ** 2 * float(inputs.shaft.density_kg_m3) * 1e-9
    found = rules.shaft_frequencies_hz(
        span + over,
        float(inputs.shaft_mm),
        float(inputs.shaft.modulus_mpa),
        float(inputs.shaft.density_kg_m3),
        [0.0, span],
        [rules.ShaftMass(span + over, tip, turn)],
        added_kg_per_mm=line - dry,
        count=2,
    )
    return tuple(
        Mode(f"shaft bending, {word} mode", float(f), "shaft")
        for word, f in zip(("first", "second"), found, strict=False)
    )
