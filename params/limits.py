"""The limits of the checks: one table, `limits.yaml`, of which a user's file of `name: value` lines may change values.

Every limit says its unit, what breaking it means, what it rests on and where that was read.
"""

from __future__ import annotations

import difflib
import functools
import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal, TypeAlias

from strutwright.params import readings, strict_yaml
from strutwright.params.problems import ParameterError, shown
from strutwright.params.strict_yaml import Document

TABLE = Path(__file__).parent / "limits.yaml"
BREACHES = ("warning", "failure")
STANDINGS = ("published", "common practice", "from memory", "low confidence")
"""From the best to the least; what is of low confidence passes or fails nothing. A user's own is common practice."""
RANGES: Mapping[str, tuple[float, float, bool]] = {
    "any": (-math.inf, math.inf, True),
    "0 or more": (0.0, math.inf, True),
    "above 0": (0.0, math.inf, False),
    "0 to 45": (0.0, 45.0, True),
    "0 to 90": (0.0, 90.0, True),
    "0 to 1": (0.0, 1.0, True),
    "above 0 to 1": (0.0, 1.0, False),
    "above 0 to 0.5": (0.0, 0.5, False),
    "1.2 and more": (1.2, math.inf, True),
    "1.25 and more": (1.25, math.inf, True),
}
"""Values that make sense by their words: least, most, and whether the least is one of them."""
MOST = {"deg": 180.0}
"""No value is larger than this, by unit; of other units than a million."""
OWN = "set in the user's file of limits"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit. value in unit (mm, deg, kn, mV, or a length it is a multiple of); breach: what breaking it means."""

    name: str
    value: float
    unit: str
    breach: Literal["warning", "failure"]
    standing: str
    source: str
    meaning: str
    range: str = "0 or more"
    """Values that make sense, a key of RANGES."""
    changed: bool = False
    """True when a user's file of limits set the value."""
    confirmed: bool = False
    """True when the shop read it in a standard; its source then says where."""
    shipped: float = math.nan
    """The value that it has without that, nan where it is as shipped."""

    @property
    def own(self) -> bool:
        """Whether its value is the user's own: set by him, or read by him and not as shipped."""
        return self.changed or not math.isnan(self.shipped)

    def makes_sense(self, value: float) -> bool:
        """Return whether a value of this limit makes sense."""
        low, high, with_low = RANGES[self.range]
        most = MOST.get(self.unit, 1e6)
        return -most <= value <= most and low <= value <= high and (with_low or value > low)


Limits: TypeAlias = Mapping[str, Limit]
_COLUMNS = [f.name for f in fields(Limit) if f.name not in ("range", "changed", "confirmed", "shipped")]


@functools.lru_cache(maxsize=1)
def shipped() -> Limits:
    """Return the limits as shipped, by name, in the order of the table; the mapping does not change."""
    return MappingProxyType(_table(strict_yaml.read_file(TABLE)))


@readings.kept
def standard() -> Limits:
    """Return the limits as shipped, those that the shop read in a standard as it read them."""
    out = dict(shipped())
    for name, reading in readings.current().limits().items():
        value = reading.values.get("value", out[name].value)
        out[name] = replace(
            out[name],
            value=value,
            shipped=out[name].value if value != out[name].value else math.nan,
            standing="published",
            source=reading.words,
            breach=reading.breach or out[name].breach,
            confirmed=True,
        )
    return MappingProxyType(out)


def users(limits: Limits, *names: str) -> Limit | None:
    """Return the limit whose source and standing count where a figure follows these: one that the user set before one
    that he read and that is not as shipped; None where all are as shipped."""
    own = [limits[n] for n in names if limits[n].own]
    return next((row for row in own if row.changed), own[0] if own else None)


def with_changes(path: Path) -> Limits:
    """Return the limits with those of a user's YAML file (`name: value` lines, in each limit's own unit) in place.

    Raises ParameterError with every fault: a name that is not a limit, a value that is not a finite number.
    """
    return changed_by(strict_yaml.read_file(path))


def changed_by(document: Document) -> Limits:
    """As `with_changes`, of what was read of a file."""
    limits, faults = dict(standard()), list(document.faults)
    for name, value in document.data.items():
        if name not in limits:
            near = difflib.get_close_matches(name, limits, n=1, cutoff=0.5)
            faults.append(
                document.problem(
                    (name,),
                    "is not the name of a limit",
                    advice=f"write `{near[0]}`" if near else "see params/limits.yaml for the names",
                    key=True,
                )
            )
        elif isinstance(value, bool) or not isinstance(value, (int, float)):
            faults.append(
                document.problem(
                    (name,),
                    "is not a plain number",
                    shown(value),
                    f"a number in {limits[name].unit}",
                    "write the number alone",
                )
            )
        elif not limits[name].makes_sense(value):
            most = MOST.get(limits[name].unit, 1e6)
            faults.append(
                document.problem(
                    (name,),
                    "makes no sense as a limit",
                    shown(value),
                    f"{limits[name].range}, in {limits[name].unit}, {most:g} at most",
                    f"choose another value; shipped is {shipped()[name].value:g}",
                )
            )
        else:
            limits[name] = replace(
                shipped()[name], value=float(value), standing="common practice", source=OWN, changed=True
            )
    if faults:
        raise ParameterError(faults)
    return limits  # a plain mapping goes from process to process


def _table(document: Document) -> dict[str, Limit]:
    """Return the limits of a whole table. Raises ParameterError when a row is not as the head says."""
    data: dict[str, Any] = document.data
    faults = list(document.faults)
    if (
        set(data) != {"title", "note", "ranges", "columns", "rows"}
        or data["columns"] != _COLUMNS
        or not set(data["ranges"]) <= set(RANGES)
    ):
        allowed = f"title, note, ranges ({', '.join(RANGES)}), columns ({', '.join(_COLUMNS)}) and rows"
        raise ParameterError([document.problem((), "is not a table of limits", allowed=allowed)])
    ranges = {name: words for words, names in data["ranges"].items() for name in names}
    out: dict[str, Limit] = {}
    for i, row in enumerate(data["rows"]):
        good = (
            len(row) == len(_COLUMNS)
            and isinstance(row[1], (int, float))
            and row[3] in BREACHES
            and row[4] in STANDINGS
            and all(isinstance(row[k], str) and row[k] for k in (0, 2, 5, 6))
        )
        if not good or row[0] in out:
            faults.append(document.problem(("rows", i), "is not a limit, or one given twice", shown(row)))
            continue
        cells: dict[str, Any] = dict(zip(_COLUMNS, row, strict=True)) | {"value": float(row[1])}
        out[row[0]] = Limit(**cells, range=ranges.pop(row[0], "0 or more"))
    faults += [document.problem(("ranges",), "names no limit", name) for name in ranges]
    if faults:
        raise ParameterError(faults)
    return out
