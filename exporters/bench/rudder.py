"""The stock's sheet: where its axis is, how the heel stands to it, shims, and how true it runs."""

from __future__ import annotations

import math
from collections.abc import Sequence

from strutwright.exporters.bench.paper import Imprint, broken, work_sheet
from strutwright.exporters.drawing.figures import Figures, fixed
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.models import cautions
from strutwright.models.bench.rudder import Figure, Heeled, Stock
from strutwright.params.bench.rudder import RudderStock
from strutwright.params.quantity import FileUnits
from strutwright.params.words import read

_TITLE = "Rudder stock"


def rows(found: Stock, heel: Heeled | None, said: RudderStock, units: FileUnits) -> list[tuple[str, str, str, str]]:
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
    if heel is not None:
        made += [
            _held("axis aft of the heel's bore", heel.aft_mm, heel.place_mm, f, units, found.behind.within),
            _held("axis to port of the heel's bore", heel.port_mm, heel.place_mm, f, units, found.port.within),
            (
                "lean of the bore against the axis",
                f"{fixed(heel.lean_deg, 2)}°",
                f"{fixed(heel.lean_most_deg, 2)}° at most",
                _stands(heel.lean_deg, heel.lean_most_deg, found.rake.within),
            ),
            ("shim, fore and aft, thicker aft", f"{f.length(heel.shims_mm[0])} {units}", "over the boss", ""),
            ("shim, athwart, thicker to port", f"{f.length(heel.shims_mm[1])} {units}", "over the boss", ""),
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


def _stands(value: float, most: float, within: float) -> str:
    """In or out only where a figure is off its limit by more than what it lies within (ISO 14253-1, from memory)."""
    if math.isnan(within):
        return "measure again"
    over = abs(value) - most
    return "out" if over > within + 1e-9 else "in" if over <= 1e-9 - within else "measure again"


def stock_sheet(
    told: Sequence[tuple[str, str, str, str]], found: Stock, said: RudderStock, *, imprint: Imprint, units: FileUnits
) -> Sheet:
    """Return the sheet."""
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
        title=f"POINTS FROM THE AXIS, {units}",
        columns=("point", "off"),
        rows=tuple((name, f.length(off)) for name, off in found.off[:40]),
        left=frozenset({0}),
        row_mm=4.8,
        corner="top left",
    )
    return work_sheet(
        _TITLE,
        said,
        imprint=imprint,
        unit=units,
        tables=[main, points],
        notes=[
            *(read(doubt, units) for doubt in found.doubts),
            "Shim the heel or bore its bush to the axis; never spring the stock into it. A stock that runs out is "
            "straightened by who made it, or made new.",
            "What a bore may be off is common practice: a quarter of the bush's clearance, and for the lean half of it "
            "over the bush.",
        ],
        cautions=[cautions.STRUCTURE, cautions.UNDER_BOAT],
        document_type="Work sheet",
        text_sizes_mm=(2.5,),
    )


def document(found: Stock, heel: Heeled | None, told: Sequence[tuple[str, str, str, str]]) -> dict[str, object]:
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
        "heel": None
        if heel is None
        else {
            "aft_mm": heel.aft_mm,
            "port_mm": heel.port_mm,
            "lean_deg": heel.lean_deg,
            "shims_mm": list(heel.shims_mm),
            "run_out_most_mm": heel.run_out_most_mm,
        },
        "figures": [{"what": w, "found": v, "held_to": h, "stands": s} for w, v, h, s in told],
        "doubts": [read(doubt, "mm") for doubt in found.doubts],
    }
