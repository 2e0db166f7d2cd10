"""The vibration of one strut whole: six ways for the barrel to move, the shaft's whirls, and what excites them.

The hull gives, between a soft and a stiff end (`models/hull_stiffness`), and so does the bearing's rubber: what answers
is a range. Guidance.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from strutwright.models import frequencies, hull_stiffness, shaft_support
from strutwright.models.arrays import Floats
from strutwright.models.barrel_flexibility import barrel_flexibility, barrel_stiffness
from strutwright.models.formulas import beams, rotor
from strutwright.models.formulas import vibration as rules
from strutwright.models.hull_stiffness import End
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.params.limits import Limits


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """What answers: a way for the strut to shake, or a whirl of the shaft, from the softest to the stiffest that is
    likely (Hz): of the hull, of a whirl of hull and bearing.

    low_hz, high_hz: at full speed. low_curve, high_curve: at each rpm of the map; none where it is the same at all.
    """

    name: str
    low_hz: float
    high_hz: float
    of: Literal["strut", "shaft"]
    low_curve: tuple[float, ...] = ()
    high_curve: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Excitation:
    """A line of the map: times a turn, and its frequency (Hz) at each rpm of the map."""

    label: str
    name: str
    order: int
    hz: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """Where an excitation meets a mode, from the softest to the stiffest; inside: within the running range, or a part
    of it."""

    mode: Mode
    excitation: str
    low_rpm: float
    high_rpm: float
    low_hz: float
    high_hz: float
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
    >>> first = next(c for c in found.crossings if c.mode.name == "shaft whirl 1" and c.excitation == "shaft rate")
    >>> round(first.low_rpm, -1), round(first.high_rpm, -1)
    (1580.0, 1630.0)
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
    rotors = _rotors(inputs)
    notes += [] if rotors else ["strut without propeller and no whirl: propeller or shaft.bearing_span not given"]
    notes += ["rubber of the bearing estimated"] if rotors and shaft_support.rubber_assumed(inputs) else []
    top = 4.0 * orders[-1][0] * high / 60.0
    rpm = rules.diagram_rpm(low, high)
    lines = tuple(Excitation(label, name, order, tuple((order * rpm / 60.0).tolist())) for order, label, name in orders)
    modes = tuple(m for m in strut_modes(inputs) if m.low_hz <= top)
    whirls = _whirls(rotors, rpm, high) if rotors else ()
    met = [(m, line, (_speed(m.low_hz, line), _speed(m.high_hz, line))) for m in modes for line in lines]
    if rotors:
        met += [found for line in lines for found in _whirls_met(rotors, whirls, line)]
    return VibrationMap(
        rpm=tuple(rpm.tolist()),
        low_rpm=low,
        high_rpm=high,
        excitations=lines,
        modes=(*modes, *(w for w in whirls if min(w.low_curve) <= top)),
        crossings=tuple(
            _crossing(mode, line, ends, (low, high))
            for mode, line, ends in sorted(met, key=lambda m: m[2])
            if ends[0] <= rpm[-1]
        ),
        notes=tuple(notes),
        hull=_hull_words(inputs),
    )


_Ends = tuple[float, float]
_Met = tuple[Mode, Excitation, _Ends]


def _speed(hz: float, line: Excitation) -> float:
    return 60.0 * hz / line.order


def _crossing(mode: Mode, line: Excitation, rpm: _Ends, running: _Ends) -> Crossing:
    return Crossing(
        mode=mode,
        excitation=line.name,
        low_rpm=rpm[0],
        high_rpm=rpm[1],
        low_hz=line.order * rpm[0] / 60.0,
        high_hz=line.order * rpm[1] / 60.0,
        inside=rpm[0] <= running[1] and rpm[1] >= running[0],
    )


def _hull_words(inputs: Inputs) -> str:
    if hull_stiffness.ends(inputs) == ("rigid",):
        return "Hull taken as rigid, as it is not known: true frequencies are lower."
    if hull_stiffness.all_springs(inputs)[0].measured:
        return "Hull as measured."
    return "From the soft to the stiff end of what is likely of the hull."


# ---- the shaft

_WHIRLS = 4


def _rotors(inputs: Inputs) -> tuple[rotor.Rotor, rotor.Rotor] | None:
    """The shaft on the softest and on the stiffest that is likely; None where the file does not say enough."""
    shaft = shaft_support.overhung(inputs)
    if math.isnan(float(shaft.span_mm + shaft.overhang_mm + shaft.propeller_kg + shaft.polar_kg_mm2)):
        return None
    holds, rubber = shaft_support.strut_holds(inputs), shaft_support.rubber(inputs)
    soft = shaft_support.shaft_rotor(inputs, holds[0], float(rubber.soft_n_mm))
    if holds[0] == holds[-1] and rubber.soft_n_mm == rubber.stiff_n_mm:
        return soft, soft
    return soft, shaft_support.shaft_rotor(inputs, holds[-1], float(rubber.stiff_n_mm))


def _whirls(rotors: tuple[rotor.Rotor, rotor.Rotor], rpm: Floats, full_rpm: float) -> tuple[Mode, ...]:
    """The lowest whirls against the shaft's speed."""
    soft, stiff = (rotor.whirl_lines(r, rpm, _WHIRLS)[0] for r in rotors)
    full = int(np.searchsorted(rpm, full_rpm))
    return tuple(
        Mode(
            name=f"shaft whirl {n + 1}",
            low_hz=float(soft[full, n]),
            high_hz=float(stiff[full, n]),
            of="shaft",
            low_curve=tuple(soft[:, n].tolist()),
            high_curve=tuple(stiff[:, n].tolist()),
        )
        for n in range(_WHIRLS)
    )


def _whirls_met(rotors: tuple[rotor.Rotor, rotor.Rotor], whirls: tuple[Mode, ...], line: Excitation) -> list[_Met]:
    """Where an excitation meets the whirls, which it drives forward and, on what gives unevenly, backward."""
    soft, stiff = (rotor.critical_speeds(r, float(line.order), _WHIRLS) for r in rotors)
    return [
        (whirl, line, (low_rpm, high_rpm))
        for whirl, (low_rpm, _), (high_rpm, _) in zip(whirls, soft, stiff, strict=False)
    ]


# ---- the strut

_WAYS = ("fore and aft", "athwart", "up and down", "rolling", "pitching", "yawing")


def strut_modes(inputs: Inputs) -> tuple[Mode, ...]:
    """Return the modes of a strut, rising: six of the barrel on its arms, and the bowing of a vee's arms.

    Propeller and shaft go sideways with the bearing. From the soft to the stiff end of the hull; of a rigid one where
    nothing is known of it.

    >>> lowest = strut_modes(engineering_inputs("harbour-launch"))[0]
    >>> lowest.name, lowest.low_hz < lowest.high_hz < 33.0  # on a rigid hull 33.0
    ('strut athwart', True)
    """
    ends = hull_stiffness.ends(inputs)
    soft, stiff = _modes(inputs, ends[0]), _modes(inputs, ends[-1])
    by_name = dict(stiff)
    if sorted(by_name) == sorted(name for name, _ in soft):
        stiff = [(name, by_name[name]) for name, _ in soft]
    # Where a motion has no name of its own at both ends, in their order.
    return tuple(
        Mode(name=name, low_hz=min(low, high), high_hz=max(low, high), of="strut")
        for (name, low), (_, high) in zip(soft, stiff, strict=True)
    )


def _modes(inputs: Inputs, hull: End) -> list[tuple[str, float]]:
    """The modes of a strut at one end of the hull's range, rising."""
    arms = frequencies.arm_beams(inputs)
    bend = [b.flexibility for b in arms]
    shares, stiff = barrel_flexibility(inputs, bend, hull).shares, barrel_stiffness(inputs, bend, hull)
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
    squares, shapes = np.linalg.eig(np.linalg.solve(mass, stiff))
    found = []
    for square, shape in sorted(zip(squares.real.tolist(), shapes.real.T, strict=True), key=lambda pair: pair[0]):
        energy = shape * (mass @ shape)
        found.append((f"strut {_WAYS[int(np.argmax(energy))]}", math.sqrt(1000.0 * square) / (2.0 * math.pi)))
    if vee:
        found.append(("strut arms bowing", float(frequencies.bowing_hz(inputs, hull))))
    return sorted(found, key=lambda mode: mode[1])
