"""The vibration of one strut whole: six ways for the barrel to move, the shaft by beam elements, and what excites them.

Hull and palm are taken as rigid, so true frequencies are lower. Guidance.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from strutwright.models import frequencies
from strutwright.models.formulas import beams
from strutwright.models.formulas import vibration as rules
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.params.limits import Limits


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
    if math.isnan(frequencies.running_share_kg(inputs)):
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
    own, water = float(frequencies.barrel_kg(inputs)), float(frequencies.barrel_water_kg(inputs))
    running = float(np.nan_to_num(frequencies.running_share_kg(inputs)))
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
        b = frequencies.arm_beam(inputs, arm)
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
        out.append(Mode("strut arms bowing", float(frequencies.bowing_hz(inputs)), "strut"))
    return tuple(sorted(out, key=lambda m: m.natural_hz))


def _shaft_modes(inputs: Inputs) -> tuple[Mode, ...]:
    """Return the first two lateral modes of the shaft by beam elements, both bearings rigid; none when not known."""
    line, _, tip, turn = (float(v) for v in frequencies.shaft_line(inputs))
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
