"""How a measured value is written: unit, decimals, tolerance, fit. The value itself always comes from the geometry."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal

from strutwright.params.quantity import INCH_MM, FileUnits

Deviations = tuple[float, float]


def fixed(value: float, places: int) -> str:
    """Return a number with so many places, halves rounded away from zero and minus nought as nought.

    Every figure on a sheet and in its tables is rounded here: 3/16 in is .188 wherever it stands. What the arithmetic
    left six places further on does not count.
    """
    exact = Decimal(f"{value:.{places + 6}f}")
    text = f"{exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP):f}"
    return text if text.strip("-0.") else text.lstrip("-")


@dataclass(frozen=True, slots=True)
class Figures:
    """Number style of a sheet.

    unit: unit of the figures. decimals: most decimals for mm (default 2) or the fixed count for in (default 3);
    None takes the default, in inches with one more for an odd sixteenth, which three do not hold. Millimetres drop
    trailing zeros (ISO 129-1); inches keep them and drop the leading zero (ASME Y14.5).
    """

    unit: FileUnits = "mm"
    decimals: int | None = None

    @property
    def _places(self) -> int:
        return self.decimals if self.decimals is not None else 2 if self.unit == "mm" else 3

    def like(self, value_mm: float) -> Figures:
        """Return the figures of what goes with a size in mm, such as its limits: with as many places as it has."""
        return replace(self, decimals=self._places + 1) if self._sixteenth(value_mm) else self

    def _sixteenth(self, value_mm: float) -> bool:
        """Whether a size is an odd number of sixteenths of an inch, and the places are the default ones."""
        sixteenths = 16.0 * value_mm / INCH_MM
        whole = round(sixteenths)
        return self.unit == "in" and self.decimals is None and whole % 2 == 1 and abs(sixteenths - whole) < 1e-6

    def _one(self, value_mm: float, extra: int = 0) -> str:
        if self.unit == "mm":
            text = fixed(value_mm, self._places + extra)
            return text.rstrip("0").rstrip(".") if "." in text else text
        extra = max(extra, int(self._sixteenth(value_mm)))
        text = fixed(value_mm / INCH_MM, self._places + extra)
        return text.replace("0.", ".", 1) if text.lstrip("-").startswith("0.") else text

    def _extra(self, deviations: Deviations) -> int:
        """Decimals beyond the usual: one for deviations in mm, in inches only when one of them needs it."""
        if self.unit == "mm":
            return 1
        inches, places = [d / INCH_MM for d in deviations], self._places
        return int(any(abs(round(d, places) - round(d, places + 1)) > 1e-9 for d in inches))

    def _deviation(self, value_mm: float, extra: int, nought: str) -> str:
        if value_mm == 0.0:
            return "0" if self.unit == "mm" else nought + self._one(0.0, extra)
        return ("+" if value_mm > 0 else "-") + self._one(abs(value_mm), extra)

    def length(self, value_mm: float, deviations: Deviations | None = None, fit: str = "") -> str:
        """Return a length as text. value_mm and deviations (upper, lower) in mm; fit such as "H7"."""
        named = f" {fit}" if fit else ""
        if deviations is None:
            return self._one(value_mm) + named
        (upper, lower), extra = deviations, max(self._extra(deviations), int(self._sixteenth(value_mm)))
        # In inches size and tolerance have as many decimals (ASME Y14.5).
        size = self._one(value_mm, extra if self.unit == "in" else 0) + named
        if abs(upper + lower) < 1e-12 and not fit:
            return f"{size} ±{self._one(abs(upper), extra)}"
        pair = f"{self._deviation(upper, extra, '+')}/{self._deviation(lower, extra, '-')}"
        return f"{size} ({pair})" if fit else f"{size} {pair}"

    def angle(self, value_deg: float, deviations: Deviations | None = None) -> str:
        """Return an angle as text. value_deg and deviations (upper, lower) in degrees."""

        def plain(value: float) -> str:
            return fixed(value, 2).rstrip("0").rstrip(".")

        text = f"{plain(value_deg)}°"
        if deviations is None:
            return text
        upper, lower = deviations
        return f"{text} ±{plain(abs(upper))}°" if abs(upper + lower) < 1e-12 else f"{text} {upper:+g}°/{lower:+g}°"


@dataclass(frozen=True, slots=True)
class Label:
    """What goes with the measured value. It never replaces it.

    prefix: before the value, such as "4×" or "Ø". deviations: upper and lower in mm (degrees for angles).
    fit: tolerance class such as "H7". suffix: after it, such as "THRU". reference: in round brackets, not a
    requirement. basic: framed, theoretically exact. row: code of the row of the inspection record that asks for it.
    """

    prefix: str = ""
    deviations: Deviations | None = None
    fit: str = ""
    suffix: str = ""
    reference: bool = False
    basic: bool = False
    row: str = ""

    def text(self, figures: Figures, value: float, sign: str = "", *, angle: bool = False) -> str:
        """Return the full text. value in mm or degrees; sign: "Ø", "R" or nothing, set before the value."""
        core = figures.angle(value, self.deviations) if angle else figures.length(value, self.deviations, self.fit)
        first = f"{self.prefix} " if self.prefix and self.prefix[-1] not in "ØR□S-" else self.prefix
        core = f"{first}{sign}{core}"
        if self.suffix:
            core = f"{core} {self.suffix}"
        return f"({core})" if self.reference else core

    def lines(self, figures: Figures, value: float) -> list[str]:
        """Return the text of a length in two lines where it can be: the size, and its suffix or its deviations."""
        whole = self.text(figures, value)
        size = replace(self, suffix="").text(figures, value)
        if self.suffix:
            return [size, self.suffix]
        plain = replace(self, deviations=None).text(figures, value)
        inner = size[1:-1] if self.reference else size
        bare = plain[1:-1] if self.reference else plain
        if self.deviations is None or self.basic or not inner.startswith(bare):
            return [whole]
        return [plain, inner[len(bare) :].strip()]


PLAIN = Label()
