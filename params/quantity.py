"""Quantities as a person writes them: `38`, `38 mm`, `1 1/2 in`, `1-1/2"`, `0.040 in`, `12 deg`, `12deg 30min`.

A bare number is in the file's units. Values come out in the project's own units: mm, degrees, kW, kg, kn, N, MPa.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

FileUnits = Literal["mm", "in"]

# Exact by definition: inch (1959), pound, standard gravity; horsepower is the mechanical 550 ft lbf/s.
INCH_MM = 25.4
POUND_KG = 0.45359237
GRAVITY_M_S2 = 9.80665
HORSEPOWER_KW = 550 * 0.3048 * POUND_KG * GRAVITY_M_S2 / 1000
KNOT_M_S = 1852 / 3600
PSI_MPA = POUND_KG * GRAVITY_M_S2 / INCH_MM**2


class QuantityError(ValueError):
    """The text is not a quantity of the kind wanted. `allowed` says what would be."""

    def __init__(self, message: str, allowed: str) -> None:
        super().__init__(message)
        self.allowed = allowed


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity: its own unit, the bare-number unit by file units, and factors of the units it takes."""

    name: str
    unit: str
    bare: Mapping[FileUnits, str]
    factors: Mapping[str, float]
    example: str


def _kind(name: str, unit: str, mm: str, inch: str, factors: dict[str, float], example: str) -> Kind:
    return Kind(name, unit, {"mm": mm, "in": inch}, factors, example)


LENGTH = _kind(
    "length",
    "mm",
    "mm",
    "in",
    {"mm": 1, "cm": 10, "m": 1000, "in": INCH_MM, '"': INCH_MM, "inch": INCH_MM, "ft": 12 * INCH_MM, "'": 12 * INCH_MM},
    '38 mm, 1 1/2 in, 1-1/2", 0.040 in',
)
ANGLE = _kind(
    "angle",
    "deg",
    "deg",
    "deg",
    {"deg": 1, "°": 1, "degrees": 1, "degree": 1, "min": 1 / 60, "rad": 180 / math.pi},
    "12 deg, 12deg 30min",
)
POWER = _kind("power", "kW", "kW", "hp", {"kW": 1, "W": 0.001, "hp": HORSEPOWER_KW}, "75 kW, 100 hp")
MASS = _kind("mass", "kg", "kg", "lb", {"kg": 1, "g": 0.001, "lb": POUND_KG}, "12 kg, 26 lb")
SPEED = _kind("speed", "kn", "kn", "kn", {"kn": 1, "m/s": 1 / KNOT_M_S, "km/h": 1 / 1.852}, "18 kn, 9 m/s")
RATE = _kind("rotation", "rpm", "rpm", "rpm", {"rpm": 1, "1/min": 1, "1/s": 60}, "1200 rpm")
FORCE = _kind("force", "N", "N", "lbf", {"N": 1, "kN": 1000, "lbf": POUND_KG * GRAVITY_M_S2}, "2 kN, 450 lbf")
STRESS = _kind(
    "stress",
    "MPa",
    "MPa",
    "psi",
    {"MPa": 1, "N/mm2": 1, "GPa": 1000, "psi": PSI_MPA, "ksi": 1000 * PSI_MPA},
    "240 MPa, 35 ksi",
)
SPRING = _kind(
    "stiffness",
    "N/mm",
    "N/mm",
    "lbf/in",
    {"N/mm": 1, "kN/mm": 1000, "lbf/in": POUND_KG * GRAVITY_M_S2 / INCH_MM},
    "4 kN/mm, 25000 lbf/in",
)
TURNING = _kind(
    "turning stiffness",
    "kN m/rad",
    "kN m/rad",
    "lbf ft/deg",
    {
        "kN m/rad": 1,
        "kNm/rad": 1,
        "N m/deg": 0.18 / math.pi,
        "Nm/deg": 0.18 / math.pi,
        "lbf ft/deg": 0.18 / math.pi * POUND_KG * GRAVITY_M_S2 * 12 * INCH_MM / 1000,
    },
    "120 kN m/rad, 2000 N m/deg",
)
AREA = _kind("area", "m2", "m2", "ft2", {"m2": 1, "cm2": 1e-4, "ft2": 0.09290304, "in2": 0.00064516}, "0.25 m2")
PERCENT = _kind("percentage", "%", "%", "%", {"%": 1}, "1.8 %")
RATIO = _kind("number", "", "", "", {"": 1}, "0.3")
_FOOT_POUND_NM = POUND_KG * GRAVITY_M_S2 * 12 * INCH_MM / 1000
TORQUE = _kind(
    "torque",
    "N m",
    "N m",
    "lbf ft",
    {
        **{"N m": 1, "Nm": 1, "N·m": 1, "kN m": 1000, "kNm": 1000},
        **{"lbf ft": _FOOT_POUND_NM, "ft lbf": _FOOT_POUND_NM, "lbf in": _FOOT_POUND_NM / 12},
    },
    "36 N m, 27 lbf ft",
)
VIBRATION = _kind("vibration", "mm/s", "mm/s", "mm/s", {"mm/s": 1, "in/s": INCH_MM}, "2.8 mm/s, 0.11 in/s")
TEMPERATURE = _kind("temperature", "°C", "°C", "°C", {"°C": 1, "C": 1}, "45 °C")
RESISTANCE = _kind("resistance", "megohm", "megohm", "megohm", {"megohm": 1, "kilohm": 0.001, "ohm": 1e-6}, "2 megohm")
DURATION = _kind("time", "min", "min", "min", {"min": 1, "h": 60, "s": 1 / 60}, "40 min, 1.5 h")
DRIPS = _kind("rate of drips", "1/min", "a minute", "a minute", {"a minute": 1, "1/min": 1, "1/s": 60}, "4 a minute")

KINDS = {
    k.name: k
    for k in (
        *(LENGTH, ANGLE, POWER, MASS, SPEED, RATE, FORCE, STRESS, SPRING, TURNING, AREA, PERCENT, RATIO),
        *(TORQUE, VIBRATION, TEMPERATURE, RESISTANCE, DURATION, DRIPS),
    )
}

_NUMBER = r"(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_TERM = re.compile(
    rf"\s*(?:(?:(?P<whole>\d+)(?: +|-))?(?P<num>\d+)\s*/\s*(?P<den>\d+)|(?P<dec>{_NUMBER}))\s*"
    rf"(?P<unit>N/mm2|k?N/mm|lbf/in|kN ?m/rad|N ?m/deg|lbf ft/deg|k?N[ ·]m|lbf ft|ft lbf|lbf in|a minute|mm/s|in/s|m/s"
    rf"|km/h|1/min|1/s|[A-Za-z%°\"'][A-Za-z]*[23]?)?\s*"
)


def parse(value: object, kind: Kind, units: FileUnits) -> float:
    """Return a quantity in the kind's own unit.

    value: a number, or text with one or several terms (`3 ft 5 in`, `12deg 30min`). units: the file's units, used for
    bare numbers. Raises QuantityError for anything else, also for NaN and infinities.
    """
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise QuantityError(f"is not {_a(kind.name)}", _allowed(kind))
    if isinstance(value, (int, float)):
        number = float(value) if abs(value) < 1e300 else math.inf
        return _finite(number * kind.factors[kind.bare[units]], kind)
    return _finite(_parse_text(value, kind, units), kind)


def _parse_text(text: str, kind: Kind, units: FileUnits) -> float:
    body = text.strip()
    if len(body) > 60:
        raise QuantityError(f"is too long for one {kind.name}", _allowed(kind))
    sign = 1.0
    if body.startswith(("+", "-")):
        sign = -1.0 if body[0] == "-" else 1.0
        body = body[1:].lstrip()
    total, at = 0.0, 0
    seen: list[str] = []
    while at < len(body):
        term = _TERM.match(body, at)
        if term is None or term.end() == at:
            point = "; the decimal sign is a point" if "," in body else ""
            raise QuantityError(f"is not {_a(kind.name)}", _allowed(kind) + point)
        unit = term["unit"] or kind.bare[units]
        if unit not in kind.factors:
            raise QuantityError(f"has the unit {unit!r}, which is not a unit of {kind.name}", _allowed(kind))
        if seen and (term["unit"] is None or kind.factors[unit] >= kind.factors[seen[-1]]):
            raise QuantityError(f"is not one {kind.name}", _allowed(kind))
        seen.append(unit)
        total += _term_value(term, kind) * kind.factors[unit]
        at = term.end()
    if not seen:
        raise QuantityError("is empty", _allowed(kind))
    return sign * total


def _term_value(term: re.Match[str], kind: Kind) -> float:
    if term["num"] is not None:
        if int(term["den"]) == 0:
            raise QuantityError("divides by zero", _allowed(kind))
        return float(Fraction(int(term["whole"] or 0)) + Fraction(int(term["num"]), int(term["den"])))
    return float(term["dec"])


def _finite(number: float, kind: Kind) -> float:
    if not math.isfinite(number):
        raise QuantityError("is not a finite number", _allowed(kind))
    return round(number, 9)


def _allowed(kind: Kind) -> str:
    units = ", ".join(u for u in kind.factors if u)
    return f"{_a(kind.name)} such as {kind.example}" + (f" (units {units})" if units else "")


INCH_UNITS: Mapping[str, tuple[str, float]] = {
    "mm": ("in", INCH_MM),
    "mm2": ("in2", INCH_MM**2),
    "mm3": ("in3", INCH_MM**3),
    "cm3": ("in3", INCH_MM**3 / 1000),
    "mm4": ("in4", INCH_MM**4),
    "m2": ("ft2", AREA.factors["ft2"]),
    "MPa": ("psi", PSI_MPA),
    "GPa": ("ksi", PSI_MPA),
    "N": ("lbf", FORCE.factors["lbf"]),
    "N m": ("lbf ft", _FOOT_POUND_NM),
    "N/mm": ("lbf/in", FORCE.factors["lbf"] / INCH_MM),
    "kg": ("lb", POUND_KG),
    "kW": ("hp", HORSEPOWER_KW),
    "m": ("ft", 12 * INCH_MM / 1000),
    "m/s": ("ft/s", 12 * INCH_MM / 1000),
}
"""What a person with an inch file reads for a unit, and how many of it make one of that."""
_DECIMALS = {"mm": 3, "in": 4, "deg": 2, "kg": 3, "lb": 2, "cm3": 1}


def in_file_units(value: float, unit: str, units: FileUnits) -> tuple[float, str]:
    """Return a value and its unit as a person with such a file reads them; what has no inch unit stays as it is."""
    if unit == "C" and units == "in":
        return 1.8 * value + 32.0, "F"
    name, per = INCH_UNITS.get(unit, (unit, 1.0)) if units == "in" else (unit, 1.0)
    return value / per, name


def figure(value: float, unit: str = "") -> str:
    """Return a number as a person writes it, with its unit: lengths to a micrometre, the rest to four figures, no
    powers of ten, "-" for what is no number.
    """
    if not math.isfinite(value):
        return "-"
    least = _DECIMALS.get(unit)
    decimals = least if least is not None else max(0, 3 - math.floor(math.log10(abs(value)))) if value else 0
    text = f"{value:.{min(decimals, 6)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return f"{'0' if text == '-0' else text} {unit}".rstrip()


def show(value: float, unit: str, units: FileUnits) -> str:
    """Return a value in mm, deg, ... as text for a person; inch files show inches and pounds with mm and kg behind."""
    shown, name = in_file_units(value, unit, units)
    if name != unit:
        exact = f"{shown:.4f}" if name == "in" else f"{shown:.6g}"
        return f"{exact} {name} ({f'{value:.3f}' if unit == 'mm' else f'{value:.6g}'} {unit})"
    return f"{value:.6g} {unit}".strip()


def _a(noun: str) -> str:
    return ("an " if noun[0] in "aeiou" else "a ") + noun
