"""The kinds of value that a parameter file takes: quantities with units, names, lines of text, and their ranges."""

import datetime
import re
from collections.abc import Callable
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationInfo, WithJsonSchema
from pydantic_core import PydanticCustomError

from strutwright.params import quantity
from strutwright.params.quantity import Kind


def _reader(kind: Kind) -> Callable[[object, ValidationInfo], float]:
    def read(value: object, info: ValidationInfo) -> float:
        units = (info.context or {}).get("units", "mm")
        try:
            return quantity.parse(value, kind, units)
        except quantity.QuantityError as error:
            raise PydanticCustomError("quantity", "{what}", {"what": str(error), "allowed": error.allowed}) from None

    return read


def _quantity(kind: Kind) -> Any:
    return Annotated[
        float,
        BeforeValidator(_reader(kind)),
        WithJsonSchema({"type": ["number", "string"], "x-kind": kind.name, "examples": kind.example.split(", ")}),
    ]


Length = _quantity(quantity.LENGTH)
Angle = _quantity(quantity.ANGLE)
Power = _quantity(quantity.POWER)
Mass = _quantity(quantity.MASS)
Speed = _quantity(quantity.SPEED)
Rate = _quantity(quantity.RATE)
Force = _quantity(quantity.FORCE)
Stress = _quantity(quantity.STRESS)
Spring = _quantity(quantity.SPRING)
Turning = _quantity(quantity.TURNING)
Area = _quantity(quantity.AREA)
Percent = _quantity(quantity.PERCENT)
Ratio = _quantity(quantity.RATIO)
Torque = _quantity(quantity.TORQUE)
Vibration = _quantity(quantity.VIBRATION)
Temperature = _quantity(quantity.TEMPERATURE)
Resistance = _quantity(quantity.RESISTANCE)
Duration = _quantity(quantity.DURATION)
Drips = _quantity(quantity.DRIPS)


def _text(value: object) -> object:
    """Let a bare number stand where text is wanted (a revision 2, a drawing number 1001)."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return str(value)
    if isinstance(value, str) and not all(c.isprintable() for c in value):
        raise PydanticCustomError(
            "text", "{what}", {"what": "holds control characters", "allowed": "one line of printable text"}
        )
    return value


NOT_IN_NAMES = '/\\:*?"<>|'


def _name(value: object) -> object:
    """Refuse what cannot stand in the name of a file: names end up in the names of the outputs."""
    value = _text(value)
    if isinstance(value, str) and (set(value) & set(NOT_IN_NAMES) or ".." in value or not value.strip(" .")):
        raise PydanticCustomError(
            "text",
            "{what}",
            {
                "what": "cannot be used in the name of a file",
                "allowed": f"one line of text without any of {' '.join(NOT_IN_NAMES)} and without two dots in a row",
            },
        )
    return value


def _editor(longest: int) -> WithJsonSchema:
    """What an editor is to let through for a text: a bare number too."""
    return WithJsonSchema({"type": ["string", "number"], "minLength": 1, "maxLength": longest})


def _line(longest: int) -> Any:
    return Annotated[str, BeforeValidator(_text), Field(min_length=1, max_length=longest), _editor(longest)]


Text = _line(80)
Person = _line(40)
Name = Annotated[str, BeforeValidator(_name), Field(min_length=1, max_length=80), _editor(80)]
BoltSize = _line(12)
ScrewThread = _line(12)
Revision = _line(12)
Clock = Annotated[Angle, Field(ge=-360, le=360)]


def up_to(hi: float) -> Any:
    """A length of at least a hundredth and at most hi mm; thinner is a slip of the unit."""
    return Annotated[Length, Field(ge=0.01, le=hi)]


def offset_to(hi: float) -> Any:
    """A length of at most hi mm to either side."""
    return Annotated[Length, Field(ge=-hi, le=hi)]


def tilt(lo: float, hi: float) -> Any:
    """An angle of lo to hi degrees."""
    return Annotated[Angle, Field(ge=lo, le=hi)]


_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
NO_DATE = ("is not a date", "year-month-day, such as 2026-03-12")
"""What is wrong with a text that is no date, and what may stand there."""


def is_date(text: str) -> bool:
    """Return whether a text is a day of the calendar, as ISO 8601 writes it with its hyphens."""
    try:
        return _DATE.fullmatch(text) is not None and bool(datetime.date.fromisoformat(text))
    except ValueError:
        return False


def _date(value: object) -> object:
    if not isinstance(value, str) or not is_date(value):
        what, allowed = NO_DATE
        raise PydanticCustomError("date", "{what}", {"what": what, "allowed": allowed})
    return value


Date = Annotated[
    str,
    BeforeValidator(_date),
    WithJsonSchema({"type": "string", "format": "date", "pattern": r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}),
]


NOT_KNOWN = "not known; checks that need it are not made"
BY_KIND = "must be given where the kind of thing asks for it"
AS_MEANT = "as its meaning says"


def doc(text: str, default: Any = None, *, left_out: str = "") -> Any:
    """A field with its explanation. left_out: in place of its group's."""
    return Field(default, description=text, json_schema_extra={"x-left-out": left_out} if left_out else None)


def must(text: str) -> Any:
    """A field that has to be given, with its explanation."""
    return Field(description=text)


class Group(BaseModel):
    """A group of parameters: unknown keys are refused, values do not change."""

    left_out: ClassVar[str] = "derived; `strutwright values FILE` shows by which rule"

    def __init_subclass__(cls, left_out: str = "", **others: Any) -> None:
        """left_out: what it means to leave out a value for which no default stands, where none is derived."""
        super().__init_subclass__(**others)
        if left_out:
            cls.left_out = left_out

    model_config = ConfigDict(extra="forbid", frozen=True)


def _stance(value: object, info: ValidationInfo) -> object:
    if isinstance(value, str) and value in ("vertical", "square_to_bottom"):
        return value
    try:
        return quantity.parse(value, quantity.ANGLE, "mm")
    except quantity.QuantityError as error:
        raise PydanticCustomError(
            "text", "{what}", {"what": str(error), "allowed": f"vertical, square_to_bottom, or {error.allowed}"}
        ) from None


Stance = Annotated[
    Literal["vertical", "square_to_bottom"] | Annotated[float, Field(ge=-80, le=80)],
    BeforeValidator(_stance),
    WithJsonSchema(
        {"anyOf": [{"enum": ["vertical", "square_to_bottom"]}, {"type": ["number", "string"], "x-kind": "angle"}]}
    ),
]
