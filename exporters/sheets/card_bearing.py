"""Task cards for the set screws and for the bearing: pressed in or fitted by hand."""

from __future__ import annotations

import re

import numpy as np

from strutwright.exporters.bench.fitting import ON_SHELL, SCREWS_OUT, TOO_HARD, WET
from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.shapes import Line
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common, hanger, screws
from strutwright.exporters.sheets.card_form import BLANK_MM, HOLD, Step, card, measured_table, steps_table
from strutwright.exporters.sheets.cards import barrel_cut
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.record import record_rows
from strutwright.models import cautions
from strutwright.models.bench.installation import press_words
from strutwright.models.geometry.barrel import screw_wall_of
from strutwright.models.shop.set_screws import stock_length_mm
from strutwright.params import tables

_DETAIL_MM = 36.0
"""How wide the wall at a screw is drawn at most."""


def screws_card(ctx: SheetContext) -> Sheet | None:
    """Return the card for the set screws; None where there are none."""
    strut = ctx.strut
    if not strut.set_screws:
        return None
    detail = screws.screw_detail(ctx, screws.unlike(strut)[0], "detail")
    detail.scale = common.one_scale(detail.extent().width, _DETAIL_MM)
    return card(
        ctx,
        "Set screws",
        [screws.screw_end(ctx, "free"), detail],
        tables=[steps_table(_screw_steps(ctx)), _places(ctx)],
        notes=[common.clock_words(strut)],
        warned=[cautions.RECORD, cautions.drilling(common.family(strut.material))],
        extent_mm=strut.barrel.outside_mm,
        view_mm=40.0,
    )


def _screw_steps(ctx: SheetContext) -> list[Step]:
    """How the holes are made, and what is done once the bearing is in."""
    strut, flutes = ctx.strut, screws.flute_words(ctx)
    kinds = sorted({(s.thread, s.tap_drill_mm) for s in strut.set_screws})
    drills = " and ".join(f"Ø{ctx.length(tap)} for {thread}" for thread, tap in kinds)
    threads = " and ".join(tables.tapped(thread) for thread, _ in kinds)
    flats = sorted({s.flat_diameter_mm for s in strut.set_screws if s.flat_diameter_mm})
    points = " and ".join(sorted({s.point for s in strut.set_screws}))
    return [
        ("mark out by station and clock, or by the full-size strip", "scriber, strip"),
        *([(f"spot-face Ø{' and Ø'.join(map(ctx.length, flats))}, square to the axis", "spot-facer")] if flats else []),
        (f"{screws.SQUARE}: drill {drills}, through the wall", "V-blocks, drill"),
        (f"tap {threads}, through", "tap, thread gauge"),
        (screws.DEBURR, "scraper, light"),
        *([(f"{flutes}{HOLD}", "eye, scriber")] if flutes else []),
        (screws.dimple_words(ctx), "drill, stop collar"),
        (f"{screws.SEAT} ({points} point). {screws.NO_TORQUE}", "key"),
        (screws.LOCK, "locking paste, filler"),
    ]


def _places(ctx: SheetContext) -> Table:
    """Where the screws are, and what they are, with blanks."""
    strut, rows = ctx.strut, []
    for s in strut.set_screws:
        bearing, wall = strut.bearings[s.bearing_index], screw_wall_of(strut, s)
        aft, fore = s.station_mm - bearing.aft_station_mm, bearing.forward_station_mm - s.station_mm
        near = f"{ctx.length(min(aft, fore))} {'aft' if aft <= fore else 'fwd'}"
        long = stock_length_mm(strut, s, ctx.limits)
        sizes = ctx.length(float(wall.wall_mm)), ctx.length(s.dimple_depth_mm)
        dimple = f"{sizes[1]} / {ctx.length(screws.dimple_width_mm(s))}"
        bought = "-" if long is None else ctx.length(long)
        clock = common.degrees(s.clock_deg, 1)
        rows.append((str(s.number), ctx.length(s.station_mm), near, clock, sizes[0], dimple, bought, "", "", ""))
    heads = ("no.", "station", "from\nbearing's end", "clock", "wall", "dimple\ndeep / wide", "screw\nlong")
    return Table(
        name="screws",
        title=f"SCREWS, STATIONS FROM THE AFT FACE, {ctx.unit}",
        columns=(*heads, "station,\nfound", "clock,\nfound", "dimple,\nfound"),
        rows=tuple(rows),
        row_mm=BLANK_MM,
        least_mm=(*(0.0,) * len(heads), 13.0, 13.0, 13.0),
        codes=tuple(f"screw{s.number}" for s in strut.set_screws),
        corner="top left",
    )


def bearing_card(ctx: SheetContext) -> Sheet | None:
    """Return the card for fitting the bearing; None for a part without."""
    strut = ctx.strut
    if not strut.bearings:
        return None
    pressed = strut.barrel.fit == "press"
    name = "Bearings" if len(strut.bearings) > 1 else "Bearing"
    shown = re.compile(r"bearing\d+\.(outside|interference|station)|let_in\.bore|whole\.test_bar")
    return card(
        ctx,
        f"{name}, {'pressing in' if pressed else 'fitting by hand'}",
        [_in_its_seat(ctx)],
        tables=[
            steps_table(_pressing_steps(ctx) if pressed else _sliding_steps(ctx)),
            measured_table(ctx, [r for r in record_rows(ctx) if shown.match(r.code)], "AND FILL IN"),
        ],
        notes=[common.clock_words(strut)] if any(b.flute_count for b in strut.bearings) else [],
        warned=[cautions.RECORD, *([cautions.PRESS, cautions.FREEZING] if pressed else [])],
        extent_mm=strut.barrel.length_mm,
    )


def _made_ready(ctx: SheetContext) -> list[Step]:
    """What is done before the bearing goes in, whatever the fit."""
    strut, it = ctx.strut, ctx.strut.let_in
    flutes = [b for b in strut.bearings if b.flute_count]
    clocks = " and ".join(sorted({common.degrees(b.flute_clock_deg, 1) for b in flutes}))
    shims = hanger.shim_words(ctx)
    clean = "bore and shell clean, no burr at the lead-in"
    if strut.set_screws:
        clean = f"{SCREWS_OUT}; {clean} nor where their threads enter"
    return [
        *([("housing in its place; bore measured again there", "bore gauge")] if it is not None else []),
        (
            f"measure bearing and bore: within the limits below, else stop and ask `fitting`{HOLD}",
            "micrometer, bore gauge",
        ),
        *([(f"cap: {shims}", "torque wrench")] if shims else []),
        (clean, "cloth, light"),
        *([(f"mark on the shell the middle of a flute; it goes to clock {clocks}", "scriber")] if flutes else []),
    ]


def _pressing_steps(ctx: SheetContext) -> list[Step]:
    """How a bearing is pressed in. Common practice, no source."""
    force = press_words(ctx.findings, ctx.unit)
    told = f": {force}" if force else ""
    return [
        *_made_ready(ctx),
        (ON_SHELL, "flat ring, shouldered drift"),
        (WET, "soap, water"),
        (f"press in one stroke, square{told}", "press or draw bolt"),
        (
            f"{TOO_HARD}: draw it out and measure. With less force: chill or warm as `fitting` says",
            "gauge of the press",
        ),
        *_looked_at(ctx),
    ]


def _sliding_steps(ctx: SheetContext) -> list[Step]:
    """How a bearing is fitted by hand. Common practice, no source."""
    return [
        *_made_ready(ctx),
        (WET, "soap, water"),
        ("slide it in by hand, square; if it sticks, draw it out and measure: never drive it", "by hand"),
        *_looked_at(ctx),
    ]


def _looked_at(ctx: SheetContext) -> list[Step]:
    several = len(ctx.strut.bearings) > 1
    return [
        (f"{'each' if several else 'it'} stands as drawn, its mark at its clock", "depth gauge"),
        (f"test bar passes by hand{HOLD}", "test bar"),
        *([("now the set screws, by their card", "")] if ctx.strut.set_screws else []),
    ]


def _in_its_seat(ctx: SheetContext) -> View:
    """The barrel cut along its axis with the bearing in its place."""
    b = ctx.strut.barrel
    view = View("seat", "free", "BEARING IN THE BARREL, CUT ALONG THE AXIS")
    barrel_cut(view, b)
    for bearing in ctx.strut.bearings:
        aft, fore, out = b.x(bearing.aft_station_mm), b.x(bearing.forward_station_mm), bearing.outside_mm / 2
        shell, inside = out - bearing.shell_mm, bearing.inside_mm / 2
        for way in (1.0, -1.0):
            ring = np.array([(aft, shell), (fore, shell), (fore, out), (aft, out)]) * (1.0, way)
            view.hatch([ring], spacing_mm=1.6, angle_deg=-45.0)
            view.add_outline(ring)
            view.add([Line((x, way * shell), (x, way * inside)) for x in (aft, fore)])
            view.add([Line((aft, way * inside), (fore, way * inside))])
        view.horizontal((aft, -out), (fore, -out))
        if bearing.aft_station_mm > 0.01:
            view.horizontal((-b.length_mm / 2, -b.outside_mm / 2), (aft, -out))
    first = ctx.strut.bearings[0]
    side_x = b.x(first.aft_station_mm)
    view.vertical((side_x, -first.outside_mm / 2), (side_x, first.outside_mm / 2), Label(prefix="Ø"))
    view.arrow((0.3 * b.length_mm, 0.62 * b.outside_mm), 0.0, "FWD")
    return view
