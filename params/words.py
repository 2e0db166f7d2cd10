"""Text with sizes in it: a template and named quantities, rendered once, in the units of the job.

    say("the root covers {along} by {across}: enlarge {path}", along=mm(188.1), across=mm(60.1), path="palm.outline")

A size that is always the same stands in the template itself: `say("leave {2 mm} to {5 mm} between the two")`. Nothing
else may put a size into words: an f-string with ` mm` in it says millimetres to a person with an inch file.
"""

from __future__ import annotations

import math
import re
import traceback
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any, TypeAlias

from strutwright.params.quantity import INCH_MM, PSI_MPA, FileUnits, in_file_units

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Amount:
    """A value in the project's own unit (mm, deg, N, MPa, kg, kW, kn, ...; "" for a bare number).

    fine: read on a micrometer (0.001 mm, 0.0001 in), as fits are; drawn: as full-size drawings and templates are
    (0.01 mm, 0.0001 in); else as far as a rule or caliper tells. stock: what is bought or welded by a named size, in
    inches a fraction where it is one (`3/8 in`).
    """

    value: float
    unit: str
    fine: bool = False
    drawn: bool = False
    stock: bool = False

    def read(self, units: FileUnits) -> str:
        """Return the value with its unit, in the units of a file; "-" for what is no number."""
        return " ".join(filter(None, self.figure(units)))

    def figure(self, units: FileUnits) -> tuple[str, str]:
        """Return the value and its unit by themselves, the unit empty where there is none."""
        if not math.isfinite(self.value):
            return "-", ""
        shown, name = in_file_units(self.value, self.unit, units)
        if self.stock and name == "in" and abs(shown * 64 - round(shown * 64)) < 0.04:
            return _mixed(Fraction(round(shown * 64), 64)), "in"
        text = f"{shown:.{self._decimals(abs(shown), name)}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
        return "0" if text == "-0" else text, name

    def _decimals(self, size: float, name: str) -> int:
        if name == "in":
            return 4 if self.fine or self.drawn or size < 0.1 else 3
        if name == "mm" and (self.fine or self.drawn):
            return 3 if self.fine else 2
        return 3 if size < 1 else 2 if size < 10 else 1 if size < 1000 or name == "mm" else 0


@dataclass(frozen=True, slots=True)
class Taper:
    """A taper in diameter of 1 in `ratio`; with an inch file also per foot, as turners are told it."""

    ratio: float

    def read(self, units: FileUnits) -> str:
        """Return the taper in the words of a file's units."""
        per_foot = Fraction(12) / Fraction(self.ratio).limit_denominator(1000)
        foot = str(per_foot) if per_foot.denominator in (1, 2, 4, 8, 16) else f"{float(per_foot):.3f}"
        return f"1 in {self.ratio:g}" + (f" ({foot} in per foot)" if units == "in" else "")


@dataclass(frozen=True, slots=True)
class Text:
    """Words with quantities among them. Made by `say`; `read` renders it."""

    template: str
    parts: tuple[tuple[str, Part], ...] = ()

    def read(self, units: FileUnits) -> str:
        """Return the words in the units of a file. A name without a quantity stays as it stands."""
        known = dict(self.parts)

        def filled(field: re.Match[str]) -> str:
            part = known.get(field[1]) if field[1] in known else _literal(field[1])
            return (
                field[0] if part is None else part.read(units) if isinstance(part, (Amount, Taper, Text)) else str(part)
            )

        return FIELD.sub(filled, self.template)

    def amounts(self) -> Iterator[Amount]:
        """Return every quantity in it, those of the texts in it as well, in the order of the template."""
        known = dict(self.parts)
        for field in FIELD.finditer(self.template):
            part = known.get(field[1]) if field[1] in known else _literal(field[1])
            if isinstance(part, Text):
                yield from part.amounts()
            elif isinstance(part, Amount):
                yield part

    def __str__(self) -> str:
        return self.read("mm")

    def __contains__(self, words: str) -> bool:
        return words in str(self)

    def __bool__(self) -> bool:
        return bool(self.template)

    def __format__(self, spec: str) -> str:
        raise TypeError("a Text goes into another one by say(...), and to a person by read(text, units)")


Part: TypeAlias = "Amount | Taper | Text | str | int"
Words: TypeAlias = "str | Text"
"""What a person reads: plain where there is no size in it."""
FIELD = re.compile(r"\{([^{}]+)\}")
_LITERAL = re.compile(r"(-?\d+(?:\.\d+)?) (.+)")


def _mixed(value: Fraction) -> str:
    """Return a fraction as it is written on a rule: `1 3/8`."""
    whole, rest = divmod(abs(value), 1)
    return ("-" if value < 0 else "") + (f"{whole} {rest}" if whole and rest else f"{rest or whole}")


def _literal(field: str) -> Amount | None:
    found = _LITERAL.fullmatch(field)
    if found is None:
        return None
    unit, per = {"in": ("mm", INCH_MM), "psi": ("MPa", PSI_MPA)}.get(found[2], (found[2], 1.0))
    return Amount(float(found[1]) * per, unit, fine=found[2] == "in")


def say(template: Words, /, **parts: Part) -> Text:
    """Return words with their quantities; of a Text, one with more of its names filled in.

    A part is a quantity, another text, a name or a whole number. Raises TypeError for a bare float: say what it is.
    """
    if bare := [name for name, part in parts.items() if isinstance(part, float)]:
        raise TypeError(f"{', '.join(bare)}: a number in a text needs its kind, such as mm(...) or number(...)")
    if isinstance(template, Text):
        return Text(template.template, (*((n, p) for n, p in template.parts if n not in parts), *parts.items()))
    return Text(template, tuple(parts.items()))


def joined(separator: str, texts: Iterable[Part]) -> Text:
    """Return several texts or quantities as one, such as a list with commas."""
    named = {f"_{i}": text for i, text in enumerate(texts)}
    return say(separator.join(f"{{{name}}}" for name in named), **named)


_IN_BRACKETS = re.compile(r" ?\([^()]*\)")


def brief(words: Words) -> Words:
    """Return words without what stands in brackets, and those in them likewise."""
    if not isinstance(words, Text):
        return _IN_BRACKETS.sub("", words)
    parts = tuple((name, brief(part) if isinstance(part, Text) else part) for name, part in words.parts)
    return Text(_IN_BRACKETS.sub("", words.template), parts)


def told(error: Exception) -> Words:
    """Return what an error says, with its sizes where it was raised with a text."""
    text = error.args[0] if error.args else ""
    return text if isinstance(text, Text) else str(error)


def reason(error: Exception) -> Words:
    """Return what an error of the program's own says, in brackets; "" for a library's, whose words tell a person
    nothing (a division by nought, shapes of arrays)."""
    ours = _passed(error)[-1:] == _own(error)[-1:] != []
    words = told(error)
    plain = type(error).__module__ == "builtins" and not isinstance(error, ValueError)
    return "" if not ours or plain or str(words).startswith("math ") else say(" ({words})", words=words)


def raised_in(error: Exception) -> str:
    """Return the name of the program's own module that an error comes from; "" where it has none."""
    return next(iter(_own(error)[-1:]), "")


def _passed(error: Exception) -> list[str]:
    """The modules that an error came through, the one that raised it last."""
    return [str(frame.f_globals.get("__name__", "")) for frame, _ in traceback.walk_tb(error.__traceback__)]


def _own(error: Exception) -> list[str]:
    return [name for name in _passed(error) if name.startswith("strutwright")]


def read(words: Words, units: FileUnits) -> str:
    """Return words as a person with such a file reads them."""
    return words.read(units) if isinstance(words, Text) else words


Figure: TypeAlias = "float | NDArray[np.floating[Any]]"
"""What has an amount: a number, or an array of many struts at once."""


def _plain(value: Any) -> Any:
    """A float; arrays, of many struts at once, stay as they are: nobody reads their words."""
    return float(value) if getattr(value, "ndim", 0) == 0 else value


def spoken_share(share: float) -> str:
    """Return a share of something in words, such as "a quarter", else in per cent."""
    return {0.2: "a fifth", 0.25: "a quarter", 0.75: "three quarters"}.get(share, f"{100.0 * share:g} %")


def spoken_times(times: float) -> str:
    """Return a multiple in words: "twice", else "3 times"."""
    return {2.0: "twice"}.get(times, f"{times:g} times")


def mm(value: Figure) -> Amount:
    """Return a length (mm), as a rule or caliper reads it."""
    return Amount(_plain(value), "mm")


def fine_mm(value: Figure) -> Amount:
    """Return a length (mm), as a micrometer reads it."""
    return Amount(_plain(value), "mm", fine=True)


def drawn_mm(value: Figure) -> Amount:
    """Return a length (mm), as it stands on a full-size drawing or template."""
    return Amount(_plain(value), "mm", drawn=True)


def kg(value: Figure) -> Amount:
    """Return a mass (kg)."""
    return Amount(_plain(value), "kg")


def stock_mm(value: Figure) -> Amount:
    """Return a length (mm) of stock, a weld's leg and the like: in inches a fraction where it is one."""
    return Amount(_plain(value), "mm", fine=True, stock=True)


def deg(value: Figure) -> Amount:
    """Return an angle (degrees)."""
    return Amount(_plain(value), "deg")


def number(value: Figure) -> Amount:
    """Return a bare number, such as a ratio."""
    return Amount(_plain(value), "")
