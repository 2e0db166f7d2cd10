"""Standard tables: shafts, bearings, holes, heads, threads, set screws, limits and fits, materials,
castings, stock.

Each table is one YAML file beside this module; its head names the standard, the standing of the values
(published, common practice, from memory) and what is doubtful. A table is read when first asked for and
kept. Values stand in the files in the units of their standard; the functions here answer in mm, N, MPa
(names carry the unit).

A value that could not be vouched for is absent (``None``) rather than guessed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np

from strutwright.params.words import Words, fine_mm, say

__all__ = [
    "COUNTERSUNK",
    "BearingExample",
    "CastingGrades",
    "Head",
    "HollowBar",
    "InchFit",
    "Limits",
    "LimitsInch",
    "Material",
    "NotInTable",
    "NutAndWasher",
    "Pipe",
    "Plate",
    "Property",
    "SetScrew",
    "Shaft",
    "Table",
    "Thread",
    "as_welded",
    "bearing_example",
    "bolt_material",
    "casting_draft_deg",
    "casting_grades",
    "casting_tolerance_mm",
    "casting_tolerances",
    "clearance_hole_mm",
    "counterbore_head",
    "countersunk_head",
    "edge_distance_mm",
    "galvanic_range_v",
    "hollow_bars",
    "inch_fit",
    "iso286",
    "iso286_inch",
    "machining_allowance_mm",
    "material",
    "material_names",
    "names",
    "nearest_shaft",
    "next_plate",
    "nut_and_washer",
    "pipes",
    "set_screw",
    "table",
    "tap_drill_for_percent_mm",
    "thread",
    "tool_outside_mm",
    "weld_min_leg_mm",
]

INCH_MM = 25.4
LBF_IN_NM = 0.1129848
_HERE = Path(__file__).parent


class NotInTable(KeyError):  # noqa: N818 - reads as the sentence it prints
    """A name, size or range the tables do not hold; the text says what is valid and the near miss, `allowed` only what
    is valid."""

    def __str__(self) -> str:
        return str(self.args[0]) if self.args else ""

    @property
    def allowed(self) -> Words:
        """What would be found."""
        words: Words = self.args[-1] if self.args else ""
        return words


def _missing(what: str, given: object, valid: Iterable[object], where: str, command: str = "") -> NotInTable:
    """Say what is near and what is valid; of a long list only the command that prints it."""
    import difflib

    choices = list(dict.fromkeys(str(v) for v in valid))
    near = difflib.get_close_matches(str(given), choices, n=3 if command else 1, cutoff=0.5)
    likeness = [difflib.SequenceMatcher(None, str(given), name).ratio() for name in near]
    near = [name for name, r in zip(near, likeness, strict=True) if r > likeness[0] - 0.15]
    hint = f" Did you mean {' or '.join(near)}?" if near else ""
    told = f"{command} lists all" if command else f"Valid: {', '.join(choices)}"
    likely = f"such as {' or '.join(near)}; " if near else ""
    allowed = f"{likely}{told}" if command else ", ".join(choices)
    return NotInTable(f"{what} {given!r} is not in {where}.{hint} {told}.", allowed)


def _outside(what: str, given_mm: float, low_mm: float, high_mm: float, where: str) -> NotInTable:
    span = say("over {low} to {high}", low=fine_mm(low_mm), high=fine_mm(high_mm))
    return NotInTable(
        say(
            "{what} {given} is outside {where}. Valid: {span}.",
            what=what,
            where=where,
            given=fine_mm(given_mm),
            span=span,
        ),
        span,
    )


@dataclass(frozen=True, slots=True)
class Table:
    """One table as it stands in its file.

    ``rows`` are read-only mappings from column to value, in the units of ``units``; ``extra`` holds further
    lists of the file (stock lengths). ``standing`` is published, common practice or from memory.
    """

    name: str
    title: str
    standard: str
    table: str
    edition: str
    standing: str
    confidence: str
    note: str
    units: Mapping[str, str]
    columns: tuple[str, ...]
    rows: tuple[Mapping[str, Any], ...]
    extra: Mapping[str, Any]

    def column_standing(self, column: str) -> str:
        """Standing of one column: from memory where the file says so, else that of the whole table."""
        if column not in self.columns:
            raise _missing("Column", column, self.columns, f"table {self.name}")
        return "from memory" if column in self.extra.get("from_memory", ()) else self.standing


HEAD_KEYS = ("title", "standard", "table", "edition", "standing", "confidence", "note", "units", "columns")


def names() -> tuple[str, ...]:
    """The names of all tables, sorted."""
    return tuple(sorted(p.stem for p in _HERE.glob("*.yaml")))


@cache
def table(name: str) -> Table:
    """The table of that name (see :func:`names`). Raises :class:`NotInTable` for another name."""
    import yaml

    if name not in names():
        raise _missing("Table", name, names(), "the standard tables")
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    with (_HERE / f"{name}.yaml").open(encoding="utf-8") as stream:
        data = yaml.load(stream, Loader=loader)
    columns = tuple(data["columns"])
    rows = tuple(MappingProxyType(dict(zip(columns, row, strict=True))) for row in data["rows"])
    extra = {k: v for k, v in data.items() if k not in HEAD_KEYS and k != "rows"}
    return Table(
        name=name,
        rows=rows,
        extra=MappingProxyType(extra),
        columns=columns,
        units=MappingProxyType(data["units"]),
        **{k: data[k] for k in HEAD_KEYS if k not in ("units", "columns")},
    )


def _size(text: str) -> str:
    """Bring a size to the spelling of the tables: M12, #10, 1/2, 1 1/4."""
    t = text.strip().replace("″", '"').removesuffix('"')
    t = re.sub(r"\s*(in|inch)\.?$", "", t, flags=re.IGNORECASE)
    metric = re.fullmatch(r"[mM]\s*(\d+(?:\.\d+)?)", t)
    if metric:
        return f"M{float(metric[1]):g}"
    return re.sub(r"(?<=\d)[\s-]+(?=\d+/)", " ", t)


def _is_metric(size: str) -> bool:
    return size.startswith("M")


def _row(table_name: str, size: str) -> Mapping[str, Any]:
    t = table(table_name)
    for row in t.rows:
        if row["size"] == size:
            return row
    raise _missing("Size", size, (r["size"] for r in t.rows), f"{t.standard} ({t.title})")


def _span(table_name: str, value: float, what: str, where: str | None = None) -> Mapping[str, Any]:
    """The row whose step "over, up to and including" holds the value in mm."""
    t = table(table_name)
    for row in t.rows:
        if row["over"] < value <= row["to"]:
            return row
    raise _outside(what, value, t.rows[0]["over"], t.rows[-1]["to"], where or t.standard)


def _mm(value: float | None, unit: str) -> float | None:
    if value is None:
        return None
    return round(value * INCH_MM, 6) if unit == "in" else float(value)


def _need_mm(value: float, unit: str) -> float:
    return round(value * INCH_MM, 6) if unit == "in" else float(value)


# --- holes, heads, nuts, tools ----------------------------------------------------------------------------

_FITS = {"fine": "close", "close": "close", "medium": "normal", "normal": "normal", "coarse": "loose", "loose": "loose"}
_METRIC_FITS = {"close": "fine", "normal": "medium", "loose": "coarse"}


def clearance_hole_mm(size: str, fit: str) -> float:
    """Clearance hole diameter in mm.

    ``size`` is "M3" to "M30" (ISO 273) or "1/4" to "1" (ASME B18.2.8); ``fit`` is fine, medium, coarse or the
    equivalents close, normal, loose. Raises :class:`NotInTable`.
    """
    size = _size(size)
    if fit not in _FITS:
        raise _missing("Fit", fit, _FITS, "the clearance hole series")
    grade = _FITS[fit]
    if _is_metric(size):
        return float(_row("clearance_holes_metric", size)[_METRIC_FITS[grade]])
    return _need_mm(_row("clearance_holes_inch", size)[grade], "in")


@dataclass(frozen=True, slots=True)
class Head:
    """A screw head. For a countersunk head ``sharp_diameter_mm`` is the theoretical diameter of the sharp
    rim, ``angle_deg`` the included angle and ``height_mm`` the distance from that rim to where the cone
    meets the shank. For a cylindrical head ``angle_deg`` is 180 and ``sharp_diameter_mm`` the head diameter.
    ``head_diameter_min_mm`` is the least real head diameter, ``counterbore_diameter_mm`` the bore for a
    cylindrical head and its key.
    """

    size: str
    standard: str
    standing: str
    angle_deg: float
    sharp_diameter_mm: float
    height_mm: float
    thread_diameter_mm: float
    head_diameter_min_mm: float | None
    key_mm: float | None
    counterbore_diameter_mm: float | None


COUNTERSUNK = {
    "ISO 10642": "countersunk_iso10642",
    "ISO 2009": "countersunk_iso2009",
    "ASME B18.3": "countersunk_b18_3",
    "ASME B18.6.3": "countersunk_b18_6_3",
}
"""Table of countersunk heads by standard."""
_COUNTERBORE = {"ISO 4762": "counterbore_iso4762", "ASME B18.3": "counterbore_b18_3"}


def _pick(standard: str | None, size: str, book: Mapping[str, str], metric: str, inch: str) -> str:
    if standard is None:
        return book[metric if _is_metric(size) else inch]
    wanted = re.sub(r"[\s_]+", "", standard).upper().removeprefix("ASME")
    for name, file in book.items():
        if wanted == name.replace(" ", "").removeprefix("ASME"):
            return file
    raise _missing("Standard", standard, book, "the head tables")


def countersunk_head(size: str, standard: str | None = None) -> Head:
    """Countersunk head of a screw size.

    ``standard``: ISO 10642 (90 deg socket, default for metric sizes), ISO 2009 (90 deg slotted), ASME B18.3
    (82 deg socket, default for inch sizes) or ASME B18.6.3 (82 deg machine screw). Raises
    :class:`NotInTable`.
    """
    size = _size(size)
    t = table(_pick(standard, size, COUNTERSUNK, "ISO 10642", "ASME B18.3"))
    row, unit = _row(t.name, size), t.units["height"]
    return Head(
        size=size,
        standard=t.standard,
        standing=t.standing,
        angle_deg=float(row["angle"]),
        sharp_diameter_mm=_need_mm(row["sharp_diameter"], unit),
        height_mm=_need_mm(row["height"], unit),
        thread_diameter_mm=_diameter_mm(size),
        head_diameter_min_mm=_mm(row["head_diameter_min"], unit),
        key_mm=_mm(row["key"], unit),
        counterbore_diameter_mm=None,
    )


def counterbore_head(size: str, standard: str | None = None) -> Head:
    """Cylindrical socket head and its counterbore: ISO 4762 (metric) or ASME B18.3 (inch). Raises
    :class:`NotInTable`.
    """
    size = _size(size)
    t = table(_pick(standard, size, _COUNTERBORE, "ISO 4762", "ASME B18.3"))
    row, unit = _row(t.name, size), t.units["height"]
    return Head(
        size=size,
        standard=t.standard,
        standing=t.standing,
        angle_deg=180.0,
        sharp_diameter_mm=_need_mm(row["head_diameter"], unit),
        height_mm=_need_mm(row["height"], unit),
        thread_diameter_mm=_diameter_mm(size),
        head_diameter_min_mm=None,
        key_mm=_mm(row["key"], unit),
        counterbore_diameter_mm=_mm(row["counterbore_diameter"], unit),
    )


@dataclass(frozen=True, slots=True)
class NutAndWasher:
    """Hexagon nut and head across flats and across corners, their heights, and the plain washer of a size."""

    size: str
    standard: str
    across_flats_mm: float
    across_corners_mm: float
    head_across_flats_mm: float
    head_height_mm: float
    nut_height_mm: float
    washer_inside_mm: float
    washer_outside_mm: float
    washer_thickness_mm: float


def nut_and_washer(size: str) -> NutAndWasher:
    """Nut, hexagon head and plain washer of "M3" to "M30" (ISO 4032, 4017, 7089) or "1/4" to "1" (ASME
    B18.2.1, B18.2.2, B18.21.1 narrow). Corners are the full hexagon, flats/cos 30 deg. Raises
    :class:`NotInTable`.
    """
    size = _size(size)
    t = table("nuts_washers_metric" if _is_metric(size) else "nuts_washers_inch")
    row, unit = _row(t.name, size), t.units["nut_height"]
    flats = _need_mm(row["across_flats"], unit)
    return NutAndWasher(
        size=size,
        standard=t.standard,
        across_flats_mm=flats,
        across_corners_mm=flats / math.cos(math.pi / 6),
        head_across_flats_mm=_need_mm(row.get("head_across_flats", row["across_flats"]), unit),
        **{
            f"{k}_mm": _need_mm(row[k], unit)
            for k in ("head_height", "nut_height", "washer_inside", "washer_outside", "washer_thickness")
        },
    )


def tool_outside_mm(tool: str, capacity_mm: float) -> float:
    """Outside diameter in mm of a tool ("socket", "drill chuck", "hex key driver") of at least that capacity
    (across flats, shank or key in mm). Common practice. Raises :class:`NotInTable`.
    """
    rows = [r for r in table("tool_clearance").rows if r["tool"] == tool]
    if not rows:
        raise _missing("Tool", tool, (r["tool"] for r in table("tool_clearance").rows), "the tool clearances")
    for row in rows:
        if capacity_mm <= row["capacity"]:
            return float(row["outside"])
    raise _outside(f"{tool} capacity", capacity_mm, 0.0, rows[-1]["capacity"], "the tool clearances")


# --- threads and set screws -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Thread:
    """A screw thread. ``designation`` is the full one (M8x1.25, 1/4-20), ``size`` the nominal size."""

    designation: str
    size: str
    major_mm: float
    pitch_mm: float
    tap_drill_mm: float
    tap_drill_name: str
    stress_area_mm2: float
    standard: str


def _diameter_mm(size: str) -> float:
    if _is_metric(size):
        return float(size[1:])
    return _need_mm(_row("threads_inch", size)["major"], "in")


@cache
def _threads() -> Mapping[str, Thread]:
    """All threads by designation; the first row of a size (coarse) also answers to the bare size."""
    out: dict[str, Thread] = {}
    t = table("threads_metric")
    for row in t.rows:
        made = Thread(
            f"{row['size']}x{row['pitch']:g}",
            row["size"],
            row["major"],
            row["pitch"],
            row["tap_drill"],
            f"{row['tap_drill']:.1f} mm",
            row["stress_area"],
            t.standard,
        )
        out[made.designation] = made
        out.setdefault(made.size, made)
    t = table("threads_inch")
    for row in t.rows:
        made = Thread(
            f"{row['size']}-{row['tpi']}",
            row["size"],
            _need_mm(row["major"], "in"),
            INCH_MM / row["tpi"],
            _need_mm(row["tap_drill"], "in"),
            row["tap_drill_name"],
            row["stress_area"] * INCH_MM**2,
            t.standard,
        )
        out[made.designation] = made
        out.setdefault(made.size, made)
    return MappingProxyType(out)


def thread(designation: str) -> Thread:
    """The thread named "M8", "M8x1.25", "1/4" or "1/4-20" (UNC and UNF words are allowed); a bare size means
    the coarse thread. Tap drills: ISO 2306 and shop practice; stress areas: ISO 898-1 and ASME B1.1. Raises
    :class:`NotInTable`.
    """
    t = re.sub(r"\s*UN[CF]\b.*$", "", designation.strip(), flags=re.IGNORECASE)
    metric = re.fullmatch(r"[mM]\s*(\d+)\s*[xX×]\s*(\d+(?:\.\d+)?)", t)
    inch = re.fullmatch(r"(#?\d+(?:/\d+)?)\s*-\s*(\d+)", t)
    if metric:
        key = f"M{metric[1]}x{float(metric[2]):g}"
    elif inch:
        key = f"{inch[1]}-{inch[2]}"
    else:
        key = _size(t)
    if key not in _threads():
        raise _missing(
            "Thread",
            designation,
            _threads(),
            "the thread tables",
            "`strutwright tables threads_metric` or `threads_inch`",
        )
    return _threads()[key]


def tap_drill_for_percent_mm(designation: str, percent: float) -> float:
    """Hole diameter in mm for a percentage of full thread: major - 0.01299 percent pitch (the 60 degree
    thread height 0.75 H = 0.6495 P on each side). ``percent`` from 1 to 100.
    """
    if not 1.0 <= percent <= 100.0:
        raise ValueError(f"percent of thread is {percent:g}; allowed 1 to 100")
    t = thread(designation)
    return t.major_mm - 0.01299 * percent * t.pitch_mm


POINTS = ("flat", "cone", "dog", "cup")


@dataclass(frozen=True, slots=True)
class SetScrew:
    """A socket set screw.

    ``point_diameter_mm``: flat, cup or dog diameter (maximum); of a cone the flat at its tip, 0 when the
    standard (ASME B18.3) gives none. ``point_angle_deg`` is set for cones only (short screws are blunter:
    ``short_point_angle_deg``, below ``full_angle_from_mm`` where the standard says). ``holding_lbf`` holds
    every axial holding figure found, ascending (steel cup point in steel, partly from memory); tables
    disagree, so treat it as a range. Empty when none is known.
    """

    size: str
    point: str
    standard: str
    standing: str
    key_mm: float
    point_diameter_mm: float
    dog_length_mm: float | None
    point_angle_deg: float | None
    short_point_angle_deg: float | None
    full_angle_from_mm: float | None
    lengths_mm: tuple[float, ...]
    seating_torque_nm: float | None
    holding_lbf: tuple[float, ...]

    @property
    def holding_n(self) -> tuple[float, ...]:
        """``holding_lbf`` in newtons."""
        return tuple(f * 4.4482216 for f in self.holding_lbf)


_METRIC_POINTS = {"flat": "ISO 4026", "cone": "ISO 4027", "dog": "ISO 4028", "cup": "ISO 4029"}


def set_screw(size: str, point: str) -> SetScrew:
    """Socket set screw of a size ("M3" to "M24", ISO 4026 to 4029; "#10", "1/4" to "3/4", ASME B18.3) and
    point (flat, cone, dog, cup). Raises :class:`NotInTable`.
    """
    size = _size(size)
    if point not in POINTS:
        raise _missing("Point", point, POINTS, "the set screw tables")
    metric = _is_metric(size)
    t = table("set_screws_metric" if metric else "set_screws_inch")
    row, unit = _row(t.name, size), t.units["key"]
    cone = point == "cone"
    torque = row["seating_torque"]
    return SetScrew(
        size=size,
        point=point,
        standard=_METRIC_POINTS[point] if metric else t.standard,
        standing=t.column_standing(point) if point in t.columns else t.standing,
        key_mm=_need_mm(row["key"], unit),
        point_diameter_mm=_need_mm(row.get(point, 0.0), unit),
        dog_length_mm=_mm(row["dog_length"], unit) if point == "dog" else None,
        point_angle_deg=90.0 if cone else None,
        short_point_angle_deg=(120.0 if metric else 118.0) if cone else None,
        full_angle_from_mm=_mm(row.get("cone_90_from"), unit) if cone else None,
        lengths_mm=tuple(_need_mm(v, unit) for v in t.extra["stock_lengths"] if row["shortest"] <= v <= row["longest"]),
        seating_torque_nm=None if torque is None else float(torque) if metric else torque * LBF_IN_NM,
        holding_lbf=tuple(float(v) for v in row.get("holding", ())),
    )


# --- limits and fits --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Limits:
    """Deviations of a hole or shaft from its nominal size, micrometres."""

    symbol: str
    lower_um: float
    upper_um: float

    @property
    def lower_mm(self) -> float:
        """Lower deviation in mm."""
        return self.lower_um / 1000.0

    @property
    def upper_mm(self) -> float:
        """Upper deviation in mm."""
        return self.upper_um / 1000.0


_SHAFTS = ("e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s")
_HOLES = ("E", "F", "G", "H", "JS")
_GRADES = ("5", "6", "7", "8", "9", "10", "11")


def iso286(symbol: str, diameter_mm: float) -> Limits:
    """Limits of ISO 286-1 for a tolerance class such as "H7" or "p6" at a nominal diameter over 0 to 315 mm.

    Holes E F G H JS, shafts e f g h js k m n p r s, grades 5 to 11. k has its deviation for
    IT4 to IT7 and none above. Steps are "over, up to and including". Raises :class:`NotInTable`.
    """
    found = re.fullmatch(r"\s*([A-Za-z]+)\s*(\d+)\s*", symbol)
    letter, grade = (found[1], found[2]) if found else ("", "")
    if letter not in _SHAFTS + _HOLES or grade not in _GRADES:
        raise NotInTable(
            f"Tolerance class {symbol!r} is not in ISO 286-1 as kept here. Valid: holes "
            f"{' '.join(_HOLES)}, shafts {' '.join(_SHAFTS)}, grades 5 to 11 "
            "(for example H7, p6)."
        )
    steps = _span("iso286_tolerances", diameter_mm, "Diameter", "ISO 286-1 as kept here")
    width = float(steps[f"IT{grade}"])
    if letter.lower() == "js":
        return Limits(f"{letter}{grade}", -width / 2, width / 2)
    deviation = float(_span("iso286_deviations", diameter_mm, "Diameter")[letter.lower()])
    if letter == "k" and int(grade) > 7:
        deviation = 0.0
    if letter.isupper():
        return Limits(f"{letter}{grade}", -deviation + 0.0, width - deviation)
    if letter in "efgh":
        return Limits(f"{letter}{grade}", deviation - width, deviation)
    return Limits(f"{letter}{grade}", deviation, deviation + width)


@dataclass(frozen=True, slots=True)
class LimitsInch:
    """Deviations of a hole or shaft from its nominal size, inches, to 0.0001."""

    symbol: str
    lower_in: float
    upper_in: float


def iso286_inch(symbol: str, diameter_in: float) -> LimitsInch:
    """ISO 286 limits in the inch-converted form of text-books (Shigley, Tables A-13 and A-14): the steps in
    inches are the metric steps divided by 25, so that 2 in falls in the step to 50 mm, and each tabulated
    value is rounded to 0.0001 in before it is added. ``diameter_in`` over 0 to 12.6. Raises
    :class:`NotInTable`.
    """
    metric = iso286(symbol, 25.0 * diameter_in)
    width = round((metric.upper_um - metric.lower_um) / 25400.0, 4)
    if abs(metric.lower_um) <= abs(metric.upper_um):
        lower = round(metric.lower_um / 25400.0, 4)
        return LimitsInch(metric.symbol, lower, round(lower + width, 4))
    upper = round(metric.upper_um / 25400.0, 4)
    return LimitsInch(metric.symbol, round(upper - width, 4), upper)


@dataclass(frozen=True, slots=True)
class InchFit:
    """An inch fit at a basic size: limits of size of hole and shaft in mm; least and most interference on
    diameter in mm (negative = clearance).
    """

    name: str
    standard: str
    basic_mm: float
    hole_min_mm: float
    hole_max_mm: float
    shaft_min_mm: float
    shaft_max_mm: float

    @property
    def interference_min_mm(self) -> float:
        """Smallest shaft less largest hole."""
        return self.shaft_min_mm - self.hole_max_mm

    @property
    def interference_max_mm(self) -> float:
        """Largest shaft less smallest hole."""
        return self.shaft_max_mm - self.hole_min_mm


def inch_fit(name: str, diameter_mm: float) -> InchFit:
    """ASME B4.1 fit LC2, LC5, LN2, LN3, FN1 or FN2 at a basic size in mm, 0.40 to 9.85 in (10.16 to 250.19
    mm). Partly from memory: see the table's note. Raises :class:`NotInTable`.
    """
    t = table("inch_fits")
    rows = [r for r in t.rows if r["fit"] == name.strip().upper()]
    if not rows:
        raise _missing("Fit", name, (r["fit"] for r in t.rows), t.standard)
    size_in = diameter_mm / INCH_MM
    for row in rows:
        if row["over"] < size_in <= row["to"]:
            mil = INCH_MM / 1000.0
            return InchFit(
                row["fit"],
                t.standard,
                diameter_mm,
                diameter_mm,
                diameter_mm + row["hole_upper"] * mil,
                diameter_mm + row["shaft_lower"] * mil,
                diameter_mm + row["shaft_upper"] * mil,
            )
    raise _outside(
        "Diameter",
        diameter_mm,
        rows[0]["over"] * INCH_MM,
        rows[-1]["to"] * INCH_MM,
        f"{t.standard} {name} as kept here",
    )


# --- materials --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Property:
    """A number with its standing (published or from memory)."""

    value: float
    standing: str


@dataclass(frozen=True, slots=True)
class Material:
    """A material. Strengths are minima unless ``basis`` says otherwise; ``None`` = not vouched for.

    ``potential_v_sce`` is (low, high) in flowing sea water against calomel; ``potential_v_ag_agcl`` from
    another table (do not mix the two). ``weldability`` is good, fair, poor or no; ``cast`` and ``welded``
    say whether the alloy is usual for a cast or a welded strut. ``published`` names the columns whose values
    were read in a public source; the others are from memory of ``spec``.
    """

    name: str
    aliases: tuple[str, ...]
    family: str
    spec: str
    basis: str
    ultimate_mpa: float | None
    yield_mpa: float | None
    elongation_percent: float | None
    density_kg_m3: float
    modulus_mpa: float | None
    poisson: float | None
    expansion_per_k: float | None
    contraction_percent: float | None
    cast: bool
    welded: bool
    weldability: str
    galvanic_group: str | None
    potential_v_sce: tuple[float, float] | None
    potential_v_ag_agcl: float | None
    published: frozenset[str]

    def standing(self, field: str) -> str:
        """Standing of a field by its attribute name, for example ``standing("density_kg_m3")``."""
        if field.startswith("potential"):
            return "from memory" if self.name in table("materials").extra["galvanic_by_likeness"] else "published"
        return "published" if _PROPERTY_COLUMNS.get(field) in self.published else "from memory"

    def property(self, field: str) -> Property | None:
        """A numeric field with its standing, ``None`` when the value is not known."""
        if field not in _PROPERTY_COLUMNS:
            raise _missing("Property", field, _PROPERTY_COLUMNS, "the material table")
        value: float | None = getattr(self, field)
        return None if value is None else Property(value, self.standing(field))


_PROPERTY_COLUMNS = {
    "ultimate_mpa": "ultimate",
    "yield_mpa": "yield",
    "elongation_percent": "elongation",
    "density_kg_m3": "density",
    "modulus_mpa": "modulus",
    "poisson": "poisson",
    "expansion_per_k": "expansion",
    "contraction_percent": "contraction",
}


def _plain(name: str) -> str:
    return re.sub(r"[\s\-_/]+", "", name).lower()


def galvanic_range_v(group: str) -> tuple[float, float]:
    """(low, high) potential in V against SCE in flowing sea water of a galvanic group, for example "manganese
    bronze" or "316 passive". Raises :class:`NotInTable`.
    """
    t = table("galvanic")
    for row in t.rows:
        if _plain(row["group"]) == _plain(group):
            return (row["low"], row["high"])
    raise _missing("Galvanic group", group, (r["group"] for r in t.rows), "the galvanic series")


def _float(value: float | None) -> float | None:
    return None if value is None else float(value)


@cache
def _materials() -> Mapping[str, Material]:
    out: dict[str, Material] = {}
    silver = {r["group"]: r["ag_agcl"] for r in table("galvanic").rows}
    for row in table("materials").rows:
        group = row["galvanic"]
        made = Material(
            name=row["name"],
            aliases=tuple(row["also"]),
            family=row["family"],
            spec=row["spec"],
            basis=row["basis"],
            ultimate_mpa=_float(row["ultimate"]),
            yield_mpa=_float(row["yield"]),
            elongation_percent=_float(row["elongation"]),
            density_kg_m3=float(row["density"]),
            modulus_mpa=_float(row["modulus"]),
            poisson=_float(row["poisson"]),
            expansion_per_k=None if row["expansion"] is None else row["expansion"] * 1e-6,
            contraction_percent=_float(row["contraction"]),
            cast=row["cast"],
            welded=row["welded"],
            weldability=row["weldability"],
            galvanic_group=group,
            potential_v_sce=None if group is None else galvanic_range_v(group),
            potential_v_ag_agcl=None if group is None else _float(silver[group]),
            published=frozenset(row["published"]),
        )
        for key in (made.name, *made.aliases):
            out[_plain(key)] = made
    return MappingProxyType(out)


def material_names() -> tuple[str, ...]:
    """The principal names of the materials, in table order."""
    return tuple(r["name"] for r in table("materials").rows)


def material(name: str) -> Material:
    """The material of that name or alias; case, spaces and hyphens do not matter ("C86500", "manganese
    bronze", "17-4PH H1150"). Raises :class:`NotInTable`.
    """
    found = _materials().get(_plain(name))
    if found is None:
        known = [n for r in table("materials").rows for n in (r["name"], *r["also"])]
        raise _missing("Material", name, known, "the material table", "`strutwright tables materials`")
    return found


def as_welded(name: str) -> Material:
    """The material of that name with the strengths it has beside a weld: less for aluminium that has its strength
    from a temper, the same for all others. From memory of EN 1999-1-1 Table 3.2. Raises :class:`NotInTable`.
    """
    made = material(name)
    softened = table("materials").extra["as_welded"].get(made.name)
    if softened is None:
        return made
    return replace(
        made,
        ultimate_mpa=float(softened[0]),
        yield_mpa=float(softened[1]),
        published=made.published - {"ultimate", "yield"},
    )


def bolt_material(name: str, diameter_mm: float) -> Material:
    """The material of that name with the strengths of a bolt of a thread diameter in mm: less where its standard gives
    them up to a size only (ISO 3506-1 classes 70 and 80 over M24, ASTM F468 C65100 over M20). From memory. Raises
    :class:`NotInTable`.
    """
    made = material(name)
    large = table("materials").extra["over_size"].get(made.name)
    if large is None or diameter_mm <= large[0] + 1e-9:
        return made
    return replace(
        made, ultimate_mpa=float(large[1]), yield_mpa=float(large[2]), published=made.published - {"ultimate", "yield"}
    )


# --- shafts and bearings ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Shaft:
    """A standard shaft diameter; the taper end (1 in 16) only where SAE J755 values are kept."""

    size: str
    standard: str
    diameter_mm: float
    small_end_min_mm: float | None
    small_end_max_mm: float | None
    taper_length_mm: float | None
    key_width_mm: float | None


def nearest_shaft(diameter_mm: float, system: str | None = None) -> Shaft:
    """The standard shaft nearest to a diameter in mm; ``system`` "inch" (SAE J755), "metric" (ISO 4566) or
    ``None`` for either. Raises :class:`NotInTable` for another system.
    """
    files = {"inch": "shafts_inch", "metric": "shafts_metric"}
    if system is not None and system not in files:
        raise _missing("System", system, files, "the shaft tables")
    found = []
    for name in [files[system]] if system else files.values():
        t = table(name)
        unit = t.units["diameter"]
        found += [
            Shaft(
                r["size"],
                t.standard,
                _need_mm(r["diameter"], unit),
                *(_mm(r.get(c), unit) for c in ("small_end_min", "small_end_max", "taper_length", "key_width")),
            )
            for r in t.rows
        ]
    return min(found, key=lambda s: abs(s.diameter_mm - diameter_mm))


@dataclass(frozen=True, slots=True)
class BearingExample:
    """An example bearing size; always confirm against the bearing in hand."""

    shaft_mm: float
    outside_mm: float
    length_mm: float
    shell_mm: float
    flutes: int
    flute_width_mm: float
    flute_depth_mm: float
    system: str
    caution: str


def bearing_example(shaft_mm: float, tolerance_mm: float = 1.0) -> BearingExample | None:
    """The example bearing whose shaft is nearest to ``shaft_mm``, or ``None`` when none lies within
    ``tolerance_mm``. The values are examples from memory, not a standard.
    """
    found = []
    for name, system in (("bearings_inch", "inch"), ("bearings_metric", "metric")):
        t = table(name)
        unit = t.units["shaft"]
        for r in t.rows:
            shaft, outside, length, shell = (_need_mm(r[c], unit) for c in ("shaft", "outside", "length", "shell"))
            found.append(
                BearingExample(
                    shaft, outside, length, shell, r["flutes"], r["flute_width"], r["flute_depth"], system, t.table
                )
            )
    best = min(found, key=lambda b: abs(b.shaft_mm - shaft_mm))
    return best if abs(best.shaft_mm - shaft_mm) <= tolerance_mm else None


# --- castings, welds, edges, stock ------------------------------------------------------------------------


def casting_tolerance_mm(grade: str, dimension_mm: float) -> float:
    """Total casting tolerance in mm of ISO 8062 grade CT8 to CT16 for a raw dimension over 16 to 1000 mm.
    Published (typed copy). Raises :class:`NotInTable`.
    """
    return float(_span("iso8062_tolerances", dimension_mm, "Dimension")[_casting_column(grade)])


def casting_tolerances(grade: str) -> tuple[tuple[float, float], ...]:
    """The whole column of a grade: (up to and including, total tolerance) in mm, from the least size up. Raises
    :class:`NotInTable`.
    """
    key = _casting_column(grade)
    return tuple((float(r["to"]), float(r[key])) for r in table("iso8062_tolerances").rows)


def general_tolerances() -> tuple[tuple[float, float], ...]:
    """ISO 2768-1 class m (published): (up to and including, tolerance plus or minus) in mm, from the least size up."""
    return tuple((float(r["to"]), float(r["m"])) for r in table("iso2768_lengths").rows)


def _casting_column(grade: str) -> str:
    columns = table("iso8062_tolerances").columns[2:]
    key = grade.strip().upper().replace("DCTG", "CT").replace(" ", "")
    if key not in columns:
        raise _missing("Casting grade", grade, columns, "ISO 8062-3")
    return key


def machining_allowance_mm(grade: str, largest_mm: float) -> float:
    """Machining allowance per side in mm, grade E to H of ISO 8062-4, chosen by the largest overall
    dimension of the casting (up to 1000 mm). Published (typed copy). Raises :class:`NotInTable`.
    """
    columns = table("iso8062_machining").columns[2:]
    key = grade.strip().upper().removeprefix("RMAG").removeprefix("RMA").strip()
    if key not in columns:
        raise _missing("Machining allowance grade", grade, columns, "ISO 8062-3")
    return float(_span("iso8062_machining", largest_mm, "Largest dimension")[key])


@dataclass(frozen=True, slots=True)
class CastingGrades:
    """Grades of a single casting moulded by hand: the finest and coarsest tolerance, and machining allowances."""

    finest: str
    coarsest: str
    allowance: str
    allowance_most: str


def casting_grades(material_name: str) -> CastingGrades:
    """The usual grades of a single or short-series sand casting of a metal; ISO 8062-4, published (typed copy).

    A metal that the table of materials does not hold is taken for a copper alloy.
    """
    try:
        family = material(material_name).family
    except NotInTable:
        family = "bronze"
    metal = {"aluminium": "aluminium", "steel": "steel", "stainless": "steel", "duplex": "steel"}.get(family, "copper")
    row = next(r for r in table("casting_grades").rows if r["metal"] == metal)
    return CastingGrades(row["finest"], row["coarsest"], row["allowance"], row["allowance_most"])


def casting_draft_deg(height_mm: float) -> float:
    """Draft in degrees for an outside face of a height along the pull, moulded by hand; ISO 8062-4, published
    (typed copy). Heights over the table's last row take it. Raises :class:`NotInTable` for 0 or less.
    """
    last = float(table("iso8062_draft").rows[-1]["to"])
    return float(_span("iso8062_draft", min(height_mm, last), "Height")["draft"])


def weld_min_leg_mm(thickness_mm: Any, *, inch: bool = False) -> Any:
    """Minimum fillet leg in mm for a base metal thickness in mm, or for an array of them (AWS D1.1, from memory).

    inch: the standard's inch figure instead of its metric one. Raises :class:`NotInTable` for a thickness of 0 or less;
    in an array such a one takes the least leg.
    """
    rows = table("weld_min_leg").rows
    if np.ndim(thickness_mm) == 0:
        row = _span("weld_min_leg", float(thickness_mm), "Thickness")
        return INCH_MM * float(row["leg_inch"]) if inch else float(row["leg"])
    legs = np.array([INCH_MM * r["leg_inch"] if inch else r["leg"] for r in rows], dtype=float)
    return legs[np.searchsorted([r["to"] for r in rows[:-1]], thickness_mm)]


def edge_distance_mm(size: str) -> float:
    """Minimum distance in mm from hole centre to edge, AISC 360 Table J3.4 ("1/2" to "1 1/4") and J3.4M
    ("M16" to "M36"). Smaller sizes are not in the table. Raises :class:`NotInTable`.
    """
    return float(_row("edge_distance", _size(size))["edge"])


@dataclass(frozen=True, slots=True)
class Pipe:
    """A pipe size and schedule; ``wall_min_mm`` is 12.5 % under nominal."""

    size: str
    schedule: str
    outside_mm: float
    wall_mm: float

    @property
    def wall_min_mm(self) -> float:
        """Least wall allowed by the pipe tolerance."""
        return 0.875 * self.wall_mm

    @property
    def bore_mm(self) -> float:
        """Nominal bore."""
        return self.outside_mm - 2.0 * self.wall_mm


def pipes() -> tuple[Pipe, ...]:
    """All pipe sizes and schedules kept, by outside diameter, then wall."""
    schedules = ("40", "80", "160", "xxs")
    made = [
        Pipe(r["size"], s, float(r["outside"]), float(r[f"wall_{s}"]))
        for r in table("pipe").rows
        for s in schedules
        if r[f"wall_{s}"] is not None
    ]
    return tuple(sorted(made, key=lambda p: (p.outside_mm, p.wall_mm)))


@dataclass(frozen=True, slots=True)
class HollowBar:
    """A hollow bar for machining."""

    outside_mm: float
    bore_mm: float


def hollow_bars(outside_min_mm: float = 0.0, bore_max_mm: float = math.inf) -> tuple[HollowBar, ...]:
    """Hollow bars with at least that outside and at most that bore, mm, lightest first (least area)."""
    made = [
        HollowBar(float(r["outside"]), float(r["bore"]))
        for r in table("hollow_bar").rows
        if r["outside"] >= outside_min_mm and r["bore"] <= bore_max_mm
    ]
    return tuple(sorted(made, key=lambda b: (b.outside_mm**2 - b.bore_mm**2, b.outside_mm)))


@dataclass(frozen=True, slots=True)
class Plate:
    """A stock plate."""

    label: str
    system: str
    thickness_mm: float


def next_plate(thickness_mm: float, system: str = "metric") -> Plate:
    """The thinnest stock plate not under ``thickness_mm``; ``system`` "metric" or "inch". Raises
    :class:`NotInTable` above the series.
    """
    t = table("plate")
    rows = [r for r in t.rows if r["system"] == system]
    if not rows:
        raise _missing("System", system, (r["system"] for r in t.rows), "the plate table")
    for row in rows:
        if row["thickness"] >= thickness_mm - 1e-9:
            return Plate(row["label"], system, float(row["thickness"]))
    raise _outside("Thickness", thickness_mm, 0.0, rows[-1]["thickness"], "the plate table")
