"""An inspection record read back: each characteristic in, out or doubtful, with those that follow from others.

A reading shows that a limit is kept or broken only where it lies off the limit by more than its uncertainty; nearer
than that it is doubtful and is measured again. Decision rule: ISO 14253-1 (from memory; confirm against the standard).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal, NamedTuple

from strutwright.models.spec import Palm, Strut
from strutwright.params import tables
from strutwright.params.quantity import INCH_MM, FileUnits

Asks = Literal["length", "angle", "mass", "words"]

COARSE_SHARE = 0.25
"""An instrument whose uncertainty is more than this share of the tolerance is told; common practice, no source."""
_FIGURE = re.compile(r"-?(?:[0-9]+\.?[0-9]*|\.[0-9]+)")


class Row(NamedTuple):
    """A characteristic of the record as it is printed: what it is, its nominal size, what it keeps between, what it is
    measured with. code: its name in files; asks: what its reading is."""

    what: str
    nominal: str
    lower: str
    upper: str
    instrument: str
    code: str
    asks: Asks

    def limits(self, units: FileUnits) -> tuple[float | None, float | None]:
        """Return lower and upper limit as printed, mm or degrees; None where there is none."""
        return self._figure(self.lower, units), self._figure(self.upper, units)

    def _figure(self, text: str, units: FileUnits) -> float | None:
        found = _FIGURE.search(text)
        if found is None:
            return None
        return float(found.group()) * (INCH_MM if units == "in" and self.asks == "length" else 1.0)

    @property
    def derived(self) -> bool:
        """Whether it is worked out from other rows and never typed."""
        group, _, name = self.code.partition(".")
        if group.startswith("palm"):
            return name in ("pitch", "tilt", "true")
        return name in ("cylindricity", "interference")


def palm_code(strut: Strut, palm: Palm) -> str:
    """Return what the codes of a palm's rows begin with.

    >>> palm_code(shipped("pilot-vee"), shipped("pilot-vee").palms[1])
    'palm2'
    """
    return f"palm{strut.palms.index(palm) + 1}"


def coded(where: str) -> str:
    """Return a place as it stands in a code.

    >>> coded("at the aft face"), coded("aft length, forward")
    ('aft-face', 'aft-length-forward')
    """
    return where.removeprefix("at the ").removeprefix("at ").replace(", ", "-").replace(" ", "-")


class Verdict(StrEnum):
    """How a characteristic stands. Only `IN` and `NOTED` pass."""

    OUT = "out"
    DOUBTFUL = "doubtful"
    OPEN = "not measured"
    IN = "in"
    NOTED = "noted"


@dataclass(frozen=True, slots=True)
class Value:
    """A reading or what follows from some: mm, degrees or kg, with its expanded uncertainty (about 95 %)."""

    value: float
    uncertainty: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A row with what was found. number: that of the record and the drawings. said: what was written, of words."""

    number: int
    row: Row
    verdict: Verdict
    value: Value | None = None
    said: str = ""
    note: str = ""


def judged(row: Row, number: int, value: Value, units: FileUnits) -> Judged:
    """Return how a measured characteristic stands between its printed limits.

    >>> bore = Row("bore", "50", "50", "50.03", "bore gauge", "bore1.gauged", "length")
    >>> [judged(bore, 1, Value(v, 0.005), "mm").verdict.value for v in (50.015, 50.028, 50.033, 50.04)]
    ['in', 'doubtful', 'doubtful', 'out']
    """
    lower, upper = row.limits(units)
    if lower is None and upper is None:
        return Judged(number=number, row=row, verdict=Verdict.NOTED, value=value)
    over = max(-math.inf if upper is None else value.value - upper, -math.inf if lower is None else lower - value.value)
    near = value.uncertainty + 1e-9
    verdict = Verdict.OUT if over > near else Verdict.IN if over <= -near or _at_nought(row, value, over) else None
    note = ""
    if verdict is None:
        note = "within the uncertainty of a limit: measure again, with a finer instrument or more readings"
    elif lower is not None and upper is not None and value.uncertainty > COARSE_SHARE * (upper - lower):
        note = "the instrument is coarse for this tolerance"
    return Judged(number=number, row=row, verdict=verdict or Verdict.DOUBTFUL, value=value, note=note)


def _at_nought(row: Row, value: Value, over: float) -> bool:
    """Whether a deviation that cannot be under nought reads nought, within an uncertainty of half its limit."""
    return row.lower == "" and value.value == 0.0 and over <= -value.uncertainty


def judged_in_words(row: Row, number: int, said: str) -> Judged:
    """Return how a characteristic told in words stands: as demanded by the same words or "yes", else out.

    >>> hand = Row("hand", "PORT", "", "", "by eye", "hand", "words")
    >>> [judged_in_words(hand, 1, w).verdict.value for w in ("port", "yes", "starboard", "no")]
    ['in', 'in', 'out', 'out']
    """
    alike = said.strip().casefold() in (row.nominal.strip().casefold(), "yes", "true")
    return Judged(number=number, row=row, verdict=Verdict.IN if alike else Verdict.OUT, said=said)


def uncertainty_of(row: Row, own: Mapping[str, float]) -> float | None:
    """Return the expanded uncertainty of a reading of a row, mm or degrees; None where none is known.

    own: of the shop's instruments by name, in place of the table's.

    >>> bore = Row("bore", "50", "50", "50.03", "bore gauge", "bore1.gauged", "length")
    >>> uncertainty_of(bore, {}), uncertainty_of(bore, {"bore gauge": 0.002})
    (0.005, 0.002)
    """
    if row.instrument in own:
        return own[row.instrument]
    found = next((r for r in tables.table("instruments").rows if r["instrument"] == row.instrument), None)
    value = None if found is None else found["angle" if row.asks == "angle" else "length"]
    return None if value is None else float(value)


# --- what follows from other rows -------------------------------------------------------------------------------------


def derived(rows: Sequence[Row], found: Mapping[str, Value]) -> dict[str, Value]:
    """Return what follows from readings, by the code of its row; what lacks a reading is left out.

    found: the readings by code. Cylindricity: half the spread of the diameters, less than which the bore cannot have.
    Interference: the bearing's outside less the widest and the narrowest diameter of its bore. The palm's angles:
    `palm_angles`.

    >>> codes = "bore1.gauged.aft", "bore1.gauged.forward", "bore1.cylindricity"
    >>> rows = [Row("", "", "", "", "", code, "length") for code in codes]
    >>> found = {codes[0]: Value(50.010, 0.0), codes[1]: Value(50.016, 0.0)}
    >>> round(derived(rows, found)["bore1.cylindricity"].value, 6)
    0.003
    """
    made: dict[str, Value] = {}
    for row in rows:
        group, _, name = row.code.partition(".")
        if name == "cylindricity":
            made |= _cylindricity(row.code, _gauged(rows, group), found)
        elif name == "interference":
            made |= _interference(row.code, rows, found)
        elif name == "pitch":
            made |= _angles(group, rows, found)
    return made


def _gauged(rows: Sequence[Row], bore: str) -> list[str]:
    return [row.code for row in rows if row.code.startswith(f"{bore}.gauged.")]


def _cylindricity(code: str, gauged: Sequence[str], found: Mapping[str, Value]) -> dict[str, Value]:
    if not gauged or not all(c in found for c in gauged):
        return {}
    sizes = [found[c].value for c in gauged]
    # The difference of two readings is less certain than either.
    sure = max(found[c].uncertainty for c in gauged) * math.sqrt(2.0) / 2.0
    return {code: Value((max(sizes) - min(sizes)) / 2.0, sure)}


def _interference(code: str, rows: Sequence[Row], found: Mapping[str, Value]) -> dict[str, Value]:
    """Of the bore whose nominal size is the nearest to the bearing's."""
    outside = found.get(code.replace("interference", "outside"))
    if outside is None:
        return {}
    bores = {row.code.partition(".")[0] for row in rows if ".gauged." in row.code}
    whole = [g for g in (_gauged(rows, b) for b in sorted(bores)) if all(c in found for c in g)]
    if len(whole) < len(bores) or not whole:
        return {}
    sizes = min(([found[c].value for c in g] for g in whole), key=lambda s: abs(sum(s) / len(s) - outside.value))
    gauged = next(g for g in whole if [found[c].value for c in g] == sizes)
    spread = (max(sizes) - min(sizes)) / 2.0
    sure = math.hypot(outside.uncertainty, max(found[c].uncertainty for c in gauged)) + spread
    return {code: Value(outside.value - (max(sizes) + min(sizes)) / 2.0, sure)}


def _angles(palm: str, rows: Sequence[Row], found: Mapping[str, Value]) -> dict[str, Value]:
    heights = [found[r.code] for r in rows if r.code.startswith(f"{palm}.height.") and r.code in found]
    long = found.get("barrel.length")
    skew = found.get(f"{palm}.skew")
    if len(heights) < 2 or long is None:
        return {}
    asked = [r.code for r in rows if r.code.startswith(f"{palm}.height.")]
    if len(heights) < len(asked):
        return {}
    # Heights stand at the aft face, mid-barrel where asked, and the forward face.
    slope = (heights[-1].value - heights[0].value) / long.value
    sure = math.hypot(heights[0].uncertainty, heights[-1].uncertainty) / long.value
    true = Value(math.degrees(math.asin(min(max(-slope, -1.0), 1.0))), math.degrees(sure))
    made = {f"{palm}.true": true}
    if skew is not None:
        pitch, tilt = palm_angles(-slope, skew.value)
        moved = [
            palm_angles(-slope + ds, skew.value + dk)
            for ds in (-sure, 0.0, sure)
            for dk in (-skew.uncertainty, 0.0, skew.uncertainty)
        ]
        for name, mid, k in (("pitch", pitch, 0), ("tilt", tilt, 1)):
            made[f"{palm}.{name}"] = Value(mid, max(abs(m[k] - mid) for m in moved))
    return made


def palm_angles(fall: float, skew_deg: float) -> tuple[float, float]:
    """Return pitch and tilt (degrees) of a palm from how a bar in the bore lies over it.

    fall: how much the bar's height over the hull face falls per mm forward (the sine of the true angle, with the
    pitch's sign). skew_deg: from the trace to the bar's projection, positive toward port. With a pitch near nought the
    bar hardly tells the tilt: a small change of the skew then changes it much, and what is reckoned from this has that
    uncertainty. Vector algebra on the plane z = D - x tan(pitch) + y tan(tilt): tan(tilt) = tan(skew) / fall.

    >>> from strutwright.models import frames
    >>> skew = frames.trace_to_projection_deg(11.0, 21.0)
    >>> fall = math.sin(math.radians(frames.shaft_to_palm_deg(11.0, 21.0)))
    >>> [round(a, 9) for a in palm_angles(fall, skew)]
    [11.0, 21.0]
    """
    fall, skew = min(max(fall, -1.0), 1.0), math.radians(skew_deg)
    pitch = math.asin(min(math.hypot(fall, math.sqrt(1.0 - fall * fall) * math.sin(skew)), 1.0))
    tilt = math.atan2(math.tan(skew) * math.copysign(1.0, fall), abs(fall)) if skew else 0.0
    return math.degrees(math.copysign(pitch, fall)), math.degrees(tilt)
