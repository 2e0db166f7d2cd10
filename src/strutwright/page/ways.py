"""Ways out of a finding: the nearest value of its parameter with which it holds and nothing else breaks."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from strutwright.page.answers import Answered, Asked, Row, Value, answered

_STEPS = (1.02, 1.05, 1.1, 1.15, 1.25, 1.4, 1.6, 2.0, 2.6)
"""How far a value is moved at first, as a share of it."""
_HALVINGS = 3
_HOLDS = ("ok", "hint", "information")


@dataclass(frozen=True, slots=True)
class Way:
    """A change that mends a finding. path, value: what to write; words: of the button; text: the set with it."""

    path: str
    value: str
    words: str
    text: str


def way_out(asked: Asked, key: tuple[str, str]) -> Way | None:
    """Return a way out of the finding with this key (`answers.Row.key`) of a set, None where moving its parameter alone
    leads to none. It is tried: the set is answered with it."""
    before = answered(asked)
    row = next((r for r in before.rows if r.key == key), None)
    if row is None:
        return None
    value = before.values.get(row.parameter)
    if value is None:
        return None
    if value.number is None:
        return _by_name(asked, before, row, value)
    if value.number == 0.0:
        return None
    tries = _Tries(asked, before, row.code, row.parameter, value)
    held, missed = tries.first()
    if held is None:
        return None
    for _ in range(_HALVINGS):
        middle = tries.rounded((held + missed) / 2, up=held > missed)
        if middle in (held, missed):
            break
        held, missed = (middle, missed) if tries.holds(middle) else (held, middle)
    written = tries.written(held)
    made = tries.made(held)
    return None if made is None else Way(row.parameter, written, f"{row.parameter}: {value.shown} to {written}", made)


def _by_name(asked: Asked, before: Answered, row: Row, value: Value) -> Way | None:
    """The first other name, of the larger sizes or the other choices, with which a finding holds."""
    tries = _Tries(asked, before, row.code, row.parameter, replace(value, number=1.0))
    for name in _names(before, row.parameter, value.shown):
        text = tries.with_text(name)
        if text is not None and tries.holds_text(text):
            return Way(row.parameter, name, f"{row.parameter}: {value.shown} to {name}", text)
    return None


def _names(before: Answered, path: str, own: str) -> list[str]:
    """The other names that may stand at a path: of bolts and screws the larger ones, the next first."""
    from strutwright.models.sizing.choices import bolts_between
    from strutwright.page.form import field_at
    from strutwright.params import tables

    if path in ("bolts.size", "set_screws.thread"):
        major = tables.thread(own).major_mm
        found = bolts_between(major + 0.1, 3 * major, None, before.units == "in")
        return [size for size, _ in found if tables.thread(size).major_mm > major][:4]
    field = field_at(path, before.family)
    return [c for c in field.choices if c != own][:6] if field is not None else []


class _Tries:
    """Values of one parameter that are tried."""

    def __init__(self, asked: Asked, before: Answered, code: str, path: str, value: Value) -> None:
        from strutwright.models.sizing.batch import bounds

        assert value.number is not None
        self.asked, self.before, self.code, self.path = asked, before, code, path
        self.own, self.unit, self.inch = value.number, value.unit, before.units == "in"
        try:
            self.low, self.high = bounds(path, before.family)
        except (KeyError, AttributeError):
            self.low, self.high = -math.inf, math.inf
        self.most = _standing(before)
        self.broken = self._broken(before)

    def _broken(self, found: Answered) -> int:
        return sum(r.code == self.code and r.verdict not in _HOLDS for r in found.rows) or sum(
            r.code == self.code and r.calls for r in found.rows
        )

    def rounded(self, number: float, *, up: bool) -> float:
        """The next value that a shop would write."""
        step = _step(number, self.unit, inch=self.inch)
        return (math.ceil if up else math.floor)(number / step + (-1e-9 if up else 1e-9)) * step

    def written(self, number: float) -> str:
        """A value as the file has it."""
        if self.unit == "mm" and self.inch:
            inches = Fraction(number / 25.4).limit_denominator(64)
            whole, rest = divmod(inches, 1)
            return f"{int(whole)} {rest} in" if whole and rest else f"{whole or rest} in"
        return f"{number:.6g} {self.unit}".strip()

    def made(self, number: float) -> str | None:
        """The set with a value, None where it cannot be written there."""
        return self.with_text(self.written(number))

    def with_text(self, written: str) -> str | None:
        """The set with what is written at the path, None where it cannot stand there."""
        from strutwright.params.edit import changed

        try:
            return changed(self.asked.text, {self.path: written})
        except (ValueError, AssertionError, KeyError, IndexError):
            return None

    def holds(self, number: float) -> bool:
        """Whether the finding holds with a value, and nothing else broke."""
        text = self.made(number)
        return text is not None and self.holds_text(text)

    def holds_text(self, text: str) -> bool:
        """The same of a whole set."""
        found = answered(replace(self.asked, text=text))
        return not found.faults and self._broken(found) < self.broken and _standing(found) < self.most

    def _ladder(self) -> Iterator[tuple[float, float]]:
        """Values on both sides of the own, the nearer first, each with the one before it on its side."""
        last = {1: self.own, -1: self.own}
        for share in _STEPS:
            for side in (1, -1):
                up = (self.own > 0) == (side > 0)
                number = self.rounded(self.own * (share if side > 0 else 1 / share), up=up)
                if number != last[side] and self.low <= number <= self.high:
                    yield number, last[side]
                    last[side] = number

    def first(self) -> tuple[float | None, float]:
        """The first value that holds, and the one before it that does not."""
        for number, before in self._ladder():
            if self.holds(number):
                return number, before
        return None, self.own


def _standing(found: Answered) -> tuple[int, int, int]:
    """Failures, warnings, and hints that call: the fewer the better."""
    count: Callable[[str], int] = lambda verdict: sum(r.verdict == verdict for r in found.rows)  # noqa: E731
    return count("failure"), count("warning") + count("not checked"), sum(r.calls for r in found.rows)


def _step(number: float, unit: str, *, inch: bool) -> float:
    if unit == "mm":
        if inch:
            return 25.4 / (16 if abs(number) >= 6 else 64)
        return 1.0 if abs(number) >= 30 else 0.5 if abs(number) >= 3 else 0.05
    if unit == "deg":
        return 0.5
    return float(10.0 ** (math.floor(math.log10(abs(number))) - 1)) if number else 1.0
