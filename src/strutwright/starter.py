"""A new parameter set from a few answers: the shortest file that is complete, commented for a newcomer."""
from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from strutwright.params import quantity, tables
from strutwright.params.quantity import FileUnits, Kind


@dataclass(frozen=True, slots=True)
class Question:
    """One question of the starter. choices is empty for a quantity."""

    key: str
    text: str
    default: str
    choices: tuple[str, ...] = ()
    kind: Kind | None = None


QUESTIONS = (
    Question("name", "What is the strut called?", "New strut"),
    Question("units", "Units of bare numbers?", "mm", ("mm", "in")),
    Question("hand", "Which side of the boat?", "centre", ("port", "starboard", "centre", "pair")),
    Question("construction", "Cast or welded?", "cast", ("cast", "welded")),
    Question("arms", "One arm, or two in a vee?", "single", ("single", "vee")),
    Question("shaft", "Shaft diameter?", "40 mm", kind=quantity.LENGTH),
    Question("drop", "Drop, hull face to shaft line square to the shaft at mid-barrel?", "250 mm", kind=quantity.LENGTH),
    Question("angle", "Shaft angle to the waterline?", "10 deg", kind=quantity.ANGLE),
    Question("deadrise", "Deadrise at the strut?", "0 deg", kind=quantity.ANGLE),
)


def read_answer(question: Question, text: str, units: FileUnits) -> str | float:
    """Return an answer's value (mm, degrees or the choice). Raises ValueError with what is allowed."""
    text = text.strip() or question.default
    if question.choices:
        if text not in question.choices:
            raise ValueError(f"choose one of {', '.join(question.choices)}")
        return text
    if question.kind is not None:
        try:
            return quantity.parse(text, question.kind, units)
        except quantity.QuantityError as error:
            raise ValueError(f"{text!r} {error}; allowed: {error.allowed}") from None
    if not text.isprintable() or len(text) > 80 or set(text) & set("\"\\/"):
        raise ValueError("use one line of plain text of at most 80 characters, without quotes and slashes")
    return text


def ask(answers: Mapping[str, str], prompt: Callable[[Question], str] | None) -> dict[str, str | float]:
    """Return values for every question, from `answers`, else by asking, else the default.

    Raises ValueError naming the question when an answer is not allowed.
    """
    out: dict[str, str | float] = {}
    for question in QUESTIONS:
        units: FileUnits = "in" if out.get("units") == "in" else "mm"
        text = answers.get(question.key)
        if text is None:
            text = prompt(question) if prompt else ""
        try:
            out[question.key] = read_answer(question, text, units)
        except ValueError as error:
            raise ValueError(f"{question.key}: {error}") from None
    return out


def write(values: Mapping[str, str | float]) -> str:
    """Return the YAML text of a new set made from the answers of `ask`."""
    d, drop = float(values["shaft"]), float(values["drop"])
    cast, vee = values["construction"] == "cast", values["arms"] == "vee"
    inch = values["units"] == "in"

    def size(mm: float) -> str:
        step = quantity.INCH_MM / 16 if inch else 1.0
        rounded = max(round(mm / step), 1) * step
        return f"{rounded / quantity.INCH_MM:g} in" if inch else f"{rounded:g} mm"

    def exact(mm: float) -> str:
        return f"{mm / quantity.INCH_MM:.6g} in" if inch else f"{mm:.6g} mm"

    # Proportions: older practice for a single arm is a chord of 3.2 and a thickness of 0.52 shaft diameters, for each
    # leg of a vee 2.3 and 0.37 (common practice, from memory); bolts a quarter to a third of the shaft.
    chord, thick = (2.3 * d, 0.40 * d) if vee else (3.0 * d, 0.52 * d)
    bolt = _bolt(0.32 * d, inch)
    major = tables.thread(bolt).major_mm
    head = tables.countersunk_head(bolt)
    rim = head.sharp_diameter_mm + 1.2
    fillet = max(6.0, 0.4 * thick, 0.7 * thick if not cast else 0.0)
    across = thick * 1.25 + 2 * fillet + rim + 12
    width = across + rim + 14
    pitch = max(3.4 * major, rim + 6, 0.42 * chord)
    length = max(2 * pitch + rim + 16, chord * 1.15 + 2 * fillet + 12)
    palm = max(0.36 * d, 1.6 * (rim - major * 1.1) / 2 / (0.869 if inch else 1.0))
    angle = "" if not vee else "  included_angle: 60 deg   # not a multiple of the angle between two blades\n"
    stance = "square_to_bottom" if values["hand"] != "centre" and float(values["deadrise"]) else "vertical"
    strut = "C95800" if cast else "316L"
    text = f"""# {values['name']}: a parameter set for strutwright. A line `name: value` says one thing;
# what is left out is derived. `strutwright explain arms.section` tells what a name means.
identity:
  name: "{values['name']}"
  hand: {values['hand']}
units: {values['units']}              # bare numbers; a quantity may carry its own unit
construction: {values['construction']}
materials:
  strut: {strut}
  hull: FRP laminate
shaft:
  diameter: {exact(d)}     # measured with a micrometer, not nominal
# bearing: left out, its sizes come from the example table. Measure the bearing in hand and give
#   outside_diameter, length, shell
arms:
  arrangement: {values['arms']}
{angle}  stance: {stance}
  section: {{shape: {'foil' if cast else 'flat'}, chord: {size(chord)}, thickness: {size(thick)}}}
palm:
  thickness: {size(palm)}
  outline: {{shape: rectangle, length: {size(length)}, width: {size(width)}, corner_radius: {size(0.5 * rim)}}}
bolts:
  size: {bolt}
  pattern: {{kind: grid, along: 3, across: 2, pitch_along: {size(pitch)}, pitch_across: {size(across)}}}
hull:
  shaft_angle: {{to_waterline: {float(values['angle']):g} deg}}
  deadrise: {float(values['deadrise']):g} deg
  drop: {{square_to_shaft: {exact(drop)}, at: mid}}
propeller: {{}}             # diameter, blades, mass, hub_length, hub_gap
duty: {{}}                  # power, shaft_speed, boat_speed
"""
    return text


def _bolt(wanted_mm: float, inch: bool) -> str:
    sizes = ("1/4", "5/16", "3/8", "1/2", "5/8", "3/4", "1") if inch else ("M6", "M8", "M10", "M12", "M16", "M20")
    for name in sizes:
        if tables.thread(name).major_mm >= wanted_mm - 1e-6:
            return name
    return sizes[-1]
