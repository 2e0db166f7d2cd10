"""The vibration of one strut whole: six ways for the barrel to move, the shaft by beam elements, and what excites them.

The hull gives, between a soft and a stiff end (`models/hull_stiffness`): a frequency of the strut is a range. Guidance.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from strutwright.models import frequencies, hull_stiffness
from strutwright.models.barrel_flexibility import barrel_flexibility
from strutwright.models.formulas import beams
from strutwright.models.formulas import vibration as rules
from strutwright.models.hull_stiffness import End
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.params.limits import Limits


@dataclass(frozen=True, slots=True)
class Mode:
    """A natural frequency: what moves, from soft to stiff hull (Hz), and whether it is the strut's or the shaft's."""

    name: str
    low_hz: float
    high_hz: float
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
    """Where an excitation meets a mode, from soft to stiff hull; inside: within the running range, or a part of it."""

    mode: Mode
    excitation: str
    low_rpm: float
    high_rpm: float
    inside: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class VibrationMap:
    """Frequency against rpm: what a picture of it needs. low_rpm to high_rpm is the running range."""

    rpm: tuple[float, ...]
    low_rpm: float
    high_rpm: float
    excitations: tuple[Excitation, ...]
    modes: tuple[Mode, ...]
    crossings: tuple[Crossing, ...]
    notes: tuple[str, ...]
    hull: str
    """What the hull is taken as, in words."""


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
    if math.isnan(frequencies.running_share_kg(inputs)):
        notes.append("strut without propeller: propeller or shaft.bearing_span not given")
    shaft = _shaft_modes(inputs)
    notes += [] if shaft else ["shaft left out: propeller or shaft.bearing_span not given"]
    top = 4.0 * orders[-1][0] * high / 60.0
    kept = tuple(m for m in (*strut_modes(inputs), *shaft) if m.low_hz <= top)
    rpm = tuple(float(r) for r in rules.diagram_rpm(low, high))
    lines = tuple(Excitation(label, name, order, tuple(order * r / 60.0 for r in rpm)) for order, label, name in orders)
    crossings = tuple(c for c in (_crossing(m, e, low, high) for m in kept for e in lines) if c.low_rpm <= rpm[-1])
    return VibrationMap(
        rpm=rpm,
        low_rpm=low,
        high_rpm=high,
        excitations=lines,
        modes=kept,
        crossings=crossings,
        notes=tuple(notes),
        hull=_hull_words(inputs),
    )


def _crossing(mode: Mode, e: Excitation, low: float, high: float) -> Crossing:
    first, last = 60.0 * mode.low_hz / e.order, 60.0 * mode.high_hz / e.order
    return Crossing(mode, e.name, first, last, first <= high and last >= low)


def _hull_words(inputs: Inputs) -> str:
    if math.isnan(float(hull_stiffness.all_springs(inputs)[0].low.normal_n_mm)):
        return "Hull taken as rigid, as it is not known: true frequencies are lower."
    if hull_stiffness.all_springs(inputs)[0].measured:
        return "Hull as measured."
    return "Strut from the soft to the stiff end of what is likely of the hull."


_WAYS = ("fore and aft", "athwart", "up and down", "rolling", "pitching", "yawing")


def barrel_stiffness(inputs: Inputs, hull: End) -> npt.NDArray[np.float64]:
    """Return the 6x6 stiffness of the rigid barrel at its middle on its arms, strut frame, N, mm, rad; one strut.

    hull: rigid, or the soft or stiff end of its range.

    >>> stiff = barrel_stiffness(engineering_inputs("canal-tender"), "rigid")
    >>> round(float(stiff[2, 2]), -3)  # along the arm: 193 GPa x 742 over 179.2
    799000.0
    """
    gives = [_give(inputs, k, hull) for k in range(len(inputs.palms))]
    own = len(gives) > 1
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
        stiff = beams.arm_barrel_stiffness(flex, axes, offset)
        total += _in_series(stiff, gives[arm.palm_index]) if own else stiff
    return total if own else _in_series(total, gives[0])


def _give(inputs: Inputs, palm: int, hull: End) -> npt.NDArray[np.float64]:
    """Flexibility (6, 6) at mid-barrel that the hull under a palm has."""
    out: npt.NDArray[np.float64] = np.zeros((6, 6))
    for felt, gives in hull_stiffness.give(inputs, palm, hull, (0.0, 0.0, 0.0)):
        way = np.array(felt, dtype=float)
        out = np.asarray(out + float(gives) * np.outer(way, way), dtype=np.float64)
    return out


def _in_series(stiffness: npt.NDArray[np.float64], give: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    softened = np.asarray(np.linalg.inv(np.linalg.inv(stiffness) + give), dtype=np.float64)
    return softened if give.any() else stiffness


def strut_modes(inputs: Inputs) -> tuple[Mode, ...]:
    """Return the modes of a strut, rising: six of the barrel on its arms, and the bowing of a vee's arms.

    Propeller and shaft go sideways with the bearing. From the soft to the stiff end of the hull; of a rigid one where
    nothing is known of it.

    >>> lowest = strut_modes(engineering_inputs("harbour-launch"))[0]
    >>> lowest.name, lowest.low_hz < lowest.high_hz < 33.0  # on a rigid hull 33.0
    ('strut athwart', True)
    """
    known = not math.isnan(float(hull_stiffness.all_springs(inputs)[0].low.normal_n_mm))
    ends: tuple[End, End] = ("low", "high") if known else ("rigid", "rigid")
    soft, stiff = (_modes(inputs, end) for end in ends)
    by_name = dict(stiff)
    if sorted(by_name) == sorted(name for name, _ in soft):
        stiff = [(name, by_name[name]) for name, _ in soft]
    # Where a motion has no name of its own at both ends, in their order.
    return tuple(
        Mode(name, min(low, high), max(low, high), "strut") for (name, low), (_, high) in zip(soft, stiff, strict=True)
    )


def _modes(inputs: Inputs, hull: End) -> list[tuple[str, float]]:
    """The modes of a strut at one end of the hull's range, rising."""
    arms = frequencies.arm_beams(inputs)
    shares = barrel_flexibility(inputs, [b.flexibility for b in arms], hull).shares
    vee = len(arms) > 1
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
    for arm, b, (over, along, turning, out) in zip(inputs.arms, arms, shares, strict=True):
        n = np.array(arm.direction)
        across = np.cross(n, [1.0, 0.0, 0.0])
        across = across / np.linalg.norm(across)
        outward = np.cross(across, n)
        in_kg = float(frequencies.moving_kg(b.inplane_kg, turning if vee else over))
        out_kg = float(frequencies.moving_kg(b.outward_kg, out))
        mass[:3, :3] += in_kg * np.outer(across, across) + out_kg * np.outer(outward, outward)
        # Lengthwise a third of it as it stretches, all of it where it goes along with the hull.
        mass[:3, :3] += float(b.own_kg * (1.0 + along + along**2) / 3.0) * np.outer(n, n)
    squares, shapes = np.linalg.eig(np.linalg.solve(mass, barrel_stiffness(inputs, hull)))
    found = []
    for square, shape in sorted(zip(squares.real.tolist(), shapes.real.T, strict=True), key=lambda pair: pair[0]):
        energy = shape * (mass @ shape)
        found.append((f"strut {_WAYS[int(np.argmax(energy))]}", math.sqrt(1000.0 * square) / (2.0 * math.pi)))
    if vee:
        found.append(("strut arms bowing", float(frequencies.bowing_hz(inputs, hull))))
    return sorted(found, key=lambda mode: mode[1])


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
        Mode(f"shaft bending, {word} mode", float(f), float(f), "shaft")
        for word, f in zip(("first", "second"), found, strict=False)
    )
