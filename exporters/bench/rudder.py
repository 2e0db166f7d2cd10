"""The stock's sheet: where its axis is, how the heel stands to it, shims, and how true it runs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from strutwright.exporters.bench.blank import Form, form_of
from strutwright.exporters.bench.paper import Imprint, broken, paged, work_sheet
from strutwright.exporters.drawing.figures import Figures, fixed
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.models import cautions
from strutwright.models.bench.figure import Figure
from strutwright.models.bench.heel_axis import HeelAxis
from strutwright.models.bench.rudder import Heeled, Stock
from strutwright.params.bench.rudder import RudderStock
from strutwright.params.limits import Limit
from strutwright.params.quantity import FileUnits
from strutwright.params.words import read

_TITLE = "Rudder stock"


def rows(
    found: Stock, heel: Heeled | None, said: RudderStock, units: FileUnits, measured: HeelAxis | None = None
) -> list[tuple[str, str, str, str]]:
    """Return what was found: what, figure, within or limit, how it stands."""
    f = Figures(unit=units)

    def length(figure: Figure) -> tuple[str, str]:
        within = "" if math.isnan(figure.within) else f"±{f.length(figure.within)}"
        return f"{f.length(figure.value)} {units}", within

    def angle(figure: Figure) -> tuple[str, str]:
        within = "" if math.isnan(figure.within) else f"±{fixed(figure.within, 2)}°"
        return f"{fixed(figure.value, 2)}°", within

    at = f"{f.length(found.below_mm)} {units} below the shaft line"
    made = [
        (f"axis abaft the barrel's aft face, {at}", *length(found.behind), ""),
        (f"axis to port of the shaft's plane, {at}", *length(found.port), ""),
        ("lean in profile, upper end aft", *angle(found.rake), ""),
        ("lean athwart, upper end to port", *angle(found.cant), ""),
    ]
    if measured is not None:
        made += [
            ("heel's bore abaft the barrel's aft face, there", *length(measured.behind), ""),
            ("heel's bore to port of the shaft's plane, there", *length(measured.port), ""),
            ("lean of the heel's bore in profile", *angle(measured.rake), ""),
            ("lean of the heel's bore athwart", *angle(measured.cant), ""),
        ]
        if measured.bore is not None:
            made.append(("diameter of the heel's bore", *length(measured.bore), ""))
    if heel is not None:
        made += [
            _pintle(heel, f, units),
            _held("axis aft of the heel's bore", heel.aft.value, heel.place_mm, f, units, heel.aft.within),
            _held("axis to port of the heel's bore", heel.port.value, heel.place_mm, f, units, heel.port.within),
            (
                "lean of the bore against the axis",
                f"{fixed(heel.lean.value, 2)}°",
                f"{fixed(heel.lean_most_deg, 2)}° at most",
                _stands(heel.lean.value, heel.lean_most_deg, heel.lean.within),
            ),
            _shim("shim, fore and aft, thicker", heel.shims_mm[0], ("aft", "forward"), f, units),
            _shim("shim, athwart, thicker to", heel.shims_mm[1], ("port", "starboard"), f, units),
        ]
    for turn in said.turned:
        value = turn.most - turn.least
        if heel is None:
            made.append((f"run-out, {turn.at}", f"{f.length(value)} {units}", "", ""))
        else:
            made.append(_held(f"run-out, {turn.at}", value, heel.run_out_most_mm, f, units))
    return made


def _held(
    what: str, value: float, most: float, f: Figures, units: FileUnits, within: float = 0.0
) -> tuple[str, str, str, str]:
    return what, f"{f.length(value)} {units}", f"{f.length(most)} {units} at most", _stands(value, most, within)


def _shim(what: str, size: float, ends: tuple[str, str], f: Figures, units: FileUnits) -> tuple[str, str, str, str]:
    """A shim and its thicker end: the first where the size is not minus."""
    return f"{what} {ends[size < 0.0]}", f"{f.length(abs(size))} {units}", "over the boss", ""


def _pintle(heel: Heeled, f: Figures, units: FileUnits) -> tuple[str, str, str, str]:
    """How the pintle goes into the bore; beyond the most of a new one its bush is worn, and a bore it does not enter is
    out."""
    room, most = heel.clearance, heel.clearance_most_mm
    stands = _stands(room.value, most, room.within).replace("out", "worn")
    if room.value + (0.0 if math.isnan(room.within) else room.within) <= 1e-9:
        stands = "out"
    told = f"{f.length(room.value)} {units}"
    return "clearance of the pintle in the heel", told, f"{f.length(most)} {units} at most, new", stands


def _stands(value: float, most: float, within: float) -> str:
    """In or out only where a figure is off its limit by more than what it lies within (ISO 14253-1, from memory)."""
    if math.isnan(within):
        return "measure again"
    over = abs(value) - most
    return "out" if over > within + 1e-9 else "in" if over <= 1e-9 - within else "measure again"


def stock_sheets(
    told: Sequence[tuple[str, str, str, str]],
    found: Stock,
    said: RudderStock,
    *,
    imprint: Imprint,
    units: FileUnits,
    heel: Heeled | None,
    measured: HeelAxis | None = None,
) -> list[Sheet]:
    """Return the sheet; more where there is much to tell."""
    off, doubts = found.off, found.doubts
    if measured is not None:
        off, doubts = (*off, *measured.off), (*doubts, *measured.doubts)
    f = Figures(unit=units)
    main = Table(
        name="stock",
        title="AXIS OF THE STOCK AND THE HEEL'S BORE, 95 % WITHIN",
        columns=("what", "found", "within, or at most", "stands"),
        rows=tuple((broken(what, 78.0), value, limit, stand) for what, value, limit, stand in told),
        left=frozenset({0}),
        row_mm=5.4,
        least_mm=(70.0, 24.0, 30.0, 14.0),
        corner="top left",
    )
    points = Table(
        name="points",
        title=f"POINTS OFF THE FIT, {units}",
        columns=("point", "off"),
        rows=tuple((name, f.length(away)) for name, away in off),
        left=frozenset({0}),
        row_mm=4.8,
        corner="top left",
    )
    notes = [
        *(read(doubt, units) for doubt in doubts),
        "Shim the heel or bore its bush to the axis; never spring the stock into it. A stock that runs out is "
        "straightened by who made it, or made new.",
        *(f"{limit_words(limit)}." for limit in (heel.rests_on if heel is not None else ())),
    ]

    return paged(
        work_sheet(
            _TITLE,
            said,
            imprint=imprint,
            unit=units,
            tables=[main, points],
            notes=notes,
            cautions=[cautions.STRUCTURE, cautions.UNDER_BOAT],
            document_type="Work sheet",
            text_sizes_mm=(2.5,),
        ),
        "Rudder stock: points off the fit",
    )


def limit_words(limit: Limit) -> str:
    """Return a limit with its figure and its standing.

    >>> limit_words(standard()["stock_run_out"]).partition(":")[2]
    ' 0.5 (common practice)'
    """
    standing = "the user's own" if limit.changed else limit.standing
    return f"{limit.meaning[:1].upper()}{limit.meaning[1:]}: {limit.value:g} ({standing})"


def document(
    found: Stock, heel: Heeled | None, told: Sequence[tuple[str, str, str, str]], measured: HeelAxis | None = None
) -> dict[str, object]:
    """Return the same as plain data; lengths in mm, angles in degrees."""

    def figure(value: Figure) -> dict[str, float | None]:
        return {"value": value.value, "within": None if math.isnan(value.within) else value.within}

    return {
        "stock": {
            "behind_barrel": figure(found.behind),
            "off_line": figure(found.port),
            "below_shaft": found.below_mm,
            "stock_rake": figure(found.rake),
            "stock_cant": figure(found.cant),
        },
        "points_off_mm": dict(found.off),
        "heel_measured": None
        if measured is None
        else {
            "behind_barrel": figure(measured.behind),
            "off_line": figure(measured.port),
            "below_shaft": measured.below_mm,
            "rake": figure(measured.rake),
            "cant": figure(measured.cant),
            "bore": None if measured.bore is None else figure(measured.bore),
            "points_off_mm": dict(measured.off),
        },
        "heel": None
        if heel is None
        else {
            "aft_mm": figure(heel.aft),
            "port_mm": figure(heel.port),
            "lean_deg": figure(heel.lean),
            "clearance_mm": figure(heel.clearance),
            "shims_mm": list(heel.shims_mm),
            "run_out_most_mm": heel.run_out_most_mm,
            "limits": {limit.name: limit.value for limit in heel.rests_on},
        },
        "figures": [{"what": w, "found": v, "held_to": h, "stands": s} for w, v, h, s in told],
        "doubts": [read(doubt, "mm") for doubt in (*found.doubts, *(measured.doubts if measured else ()))],
    }


NOTES = (
    "On the heel: the bore's middle line at two heights (plug or mandrel), or its wall all round at two heights, or at "
    "one height with three points on a face turned square to it. On: middle, wall, upper face, lower face.",
)
_ROW_MM = 4.8


def form(units: FileUnits) -> Form:
    """Return the blank form."""
    blank = form_of(RudderStock, _TITLE, units=units, rows={"points": 6, "heel": 8, "turned": 2})
    return replace(blank, notes=NOTES, row_mm=_ROW_MM)
