"""What tolerances from hull to shaft come to, for a person, for a program, and as a picture of their shares."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from strutwright.exporters.files.csv_table import csv_text
from strutwright.exporters.web.plot import COLOURS, FAINT, INK, SOFT, Plot
from strutwright.models.formulas.tolerance_stack import SEED
from strutwright.models.tolerance_answers import Answers, Share, Stack
from strutwright.models.tolerance_chain import DRAWN
from strutwright.params.quantity import FileUnits
from strutwright.params.words import mm, read, say

_LEAST_SHARE = 0.005
"""Shares under this are left out of the picture and of the lines; the table has them all."""
HEADS = ("fitting", "worst, mrad", "root of squares", "97.5 % within", "over what the bearing takes")
SHARE_HEADS = ("share", "tolerance", "plus or minus", "set by")
_NO_LIMIT = {DRAWN: "sheets", "bearing": "running clearance"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A line of the table: a tolerance, plus or minus, and what it does at its limit."""

    fitting: str
    tolerance: str
    set_by: str
    law: str
    plus_minus_mm: float | None
    plus_minus_mrad: float | None
    vertical_mrad: float
    athwart_mrad: float
    tip_mm: float
    share_percent: float


def csv_of(found: Answers, units: FileUnits) -> str:
    """Return all tolerances, of both ways of fitting, as CSV."""
    return csv_text(
        Row, [_row(stack, share) for stack in (found.drawn, found.in_place) for share in stack.shares], units
    )


def _row(stack: Stack, share: Share) -> Row:
    t, angle = share.tolerance, share.tolerance.of in ("pitch", "yaw", "roll")
    half = float(t.half)
    return Row(
        fitting=stack.way,
        tolerance=t.name,
        set_by=_NO_LIMIT.get(t.fixed_by, t.fixed_by),
        law=t.law,
        plus_minus_mm=None if angle else half,
        plus_minus_mrad=half if angle else None,
        vertical_mrad=float(share.does.vertical_mrad),
        athwart_mrad=float(share.does.athwart_mrad),
        tip_mm=float(share.does.tip_mm),
        share_percent=100.0 * share.share,
    )


def answer_rows(found: Answers) -> list[tuple[str, ...]]:
    """Return the three answers, misalignment in mrad, by way of fitting."""
    return [
        (
            s.way,
            f"{s.worst.total_mrad:.3g}",
            f"{s.likely.total_mrad:.3g}",
            f"{s.sampled.total[2]:.3g}",
            f"{100.0 * s.sampled.over:.3g} %",
        )
        for s in (found.drawn, found.in_place)
    ]


def share_rows(found: Answers, units: FileUnits) -> list[tuple[str, ...]]:
    """Return the shares of the strut bolted down as drawn: share, tolerance, plus or minus, what sets it."""
    return [
        (
            f"{100.0 * s.share:.1f} %",
            s.tolerance.name,
            _half(s, units),
            _NO_LIMIT.get(s.tolerance.fixed_by, s.tolerance.fixed_by),
        )
        for s in found.drawn.shares
        if s.share >= _LEAST_SHARE
    ]


def _half(share: Share, units: FileUnits) -> str:
    half = float(share.tolerance.half)
    if share.tolerance.of in ("pitch", "yaw", "roll"):
        return f"{half:.3g} mrad ({math.degrees(half / 1000.0):.2g} deg)"
    return read(say("{half}", half=mm(half)), units)


def sentences(found: Answers, units: FileUnits) -> list[str]:
    """Return what is said below the figures."""
    first, drawn = found.drawn.shares[0].tolerance, found.drawn
    where = "on the sheets" if first.fixed_by == DRAWN else f"on the boat (limit {first.fixed_by})"
    out = [
        f"Angles in mrad between shaft and bore; the bearing takes {found.room_mrad:.3g} mrad (its clearance over its "
        "length).",
        f"Tighten first: {first.name}, {where}. Half as wide, the root of squares falls from "
        f"{drawn.likely.total_mrad:.3g} to {drawn.halved_mrad:.3g} mrad. Bedded or chocked with the shaft in place, "
        f"{found.in_place.likely.total_mrad:.3g} mrad are left.",
        f"With a palm that is not machined after it was cast or welded the root of squares is {found.as_made_mrad:.3g} "
        "mrad: bore and face it after.",
    ]
    if found.tip_mm == found.tip_mm:
        words = "Blade tip to hull: {tip} as drawn, {least} at the worst, {usual} or more in 97.5 % of struts."
        sizes = {"tip": mm(found.tip_mm), "least": mm(found.tip_mm - float(drawn.worst.tip_mm))}
        out.append(read(say(words, **sizes, usual=mm(found.tip_mm - drawn.sampled.tip_mm)), units))
    out.append(
        f"{found.count} struts are drawn at random from a fixed start ({SEED}): the same set gives the same answer. "
        "What hull, bedding and measuring are off is of low confidence; set your own by --limits (stack_...)."
    )
    return out


def as_data(found: Answers) -> dict[str, Any]:
    """Return the answers as plain data for JSON."""
    return {
        "bearing_takes_mrad": round(found.room_mrad, 6),
        "as_made_likely_mrad": round(found.as_made_mrad, 6),
        "tip_mm": None if math.isnan(found.tip_mm) else round(found.tip_mm, 3),
        "struts": found.count,
        "start": SEED,
        "fittings": [_stack_data(s) for s in (found.drawn, found.in_place)],
    }


def _stack_data(s: Stack) -> dict[str, Any]:
    return {
        "fitting": s.way,
        "worst_mrad": round(float(s.worst.total_mrad), 6),
        "standard_deviation_mrad": round(float(s.sigma.total_mrad), 6),
        "likely_mrad": round(float(s.likely.total_mrad), 6),
        "within_mrad": {
            share: round(value, 6)
            for share, value in zip(("50 %", "95 %", "97.5 %", "99 %"), s.sampled.total, strict=True)
        },
        "over_bearing": round(s.sampled.over, 6),
        "worst_tip_loss_mm": round(float(s.worst.tip_mm), 4),
        "tolerances": [
            {"name": r.tolerance.name, "set_by": r.tolerance.fixed_by, "share": round(r.share, 6)} for r in s.shares
        ],
    }


def picture(name: str, found: Answers) -> Plot:
    """Return the shares as bars, the greatest first, and below them the three answers."""
    shown = [s for s in found.drawn.shares if s.share >= _LEAST_SHARE]
    left, top, wide, step = 250.0, 64.0, 380.0, 21.0
    low = top + step * len(shown) + 14.0
    plot = Plot(760, low + 88.0, f"{name}: tolerances from hull to shaft")
    plot.text(30, 28, f"{name}: which tolerance turns the bore off the shaft", 13, bold=True)
    plot.text(30, 46, "Share of the variance of the angle between shaft and bore, bolted down as drawn", 9, colour=SOFT)
    whole = shown[0].share
    for k, s in enumerate(shown):
        y, drawn = top + step * k, s.tolerance.fixed_by == DRAWN
        plot.box(left, y, max(wide * s.share / whole, 0.8), 14.0, COLOURS[0] if drawn else COLOURS[1])
        plot.text(left - 8, y + 10.5, s.tolerance.name, 9, "right")
        plot.text(left + wide * s.share / whole + 6, y + 10.5, f"{100.0 * s.share:.1f} %", 9)
    plot.line([(left, top - 4), (left, low - 10)], INK, 0.8)
    for x, colour, words in (
        (30.0, COLOURS[0], "set by the sheets"),
        (170.0, COLOURS[1], "of hull, fitting and bearing"),
    ):
        plot.box(x, low, 10.0, 10.0, colour)
        plot.text(x + 15, low + 8.5, words, 9)
    plot.line([(30, low + 20), (730, low + 20)], FAINT, 0.7)
    for k, way in enumerate((found.drawn, found.in_place)):
        words = (
            f"{way.way}: worst {way.worst.total_mrad:.3g} mrad, root of squares {way.likely.total_mrad:.3g}, "
            f"97.5 % of struts within {way.sampled.total[2]:.3g}"
        )
        plot.text(30, low + 36 + 14 * k, words, 9)
    plot.text(30, low + 66, f"the bearing takes {found.room_mrad:.3g} mrad", 9, bold=True)
    plot.text(30, low + 80, "Guidance only, not an approval.", 8, colour=SOFT)
    return plot
