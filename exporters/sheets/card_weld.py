"""The task card for welding: joints by number, order, preparation and heat; the joints themselves are on the weld
assembly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from strutwright.exporters.drawing.projection import FRONT
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import flange_weld, weld
from strutwright.exporters.sheets.card_form import HOLD, ROW_MM, card, steps_table
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.plane import FROM_AFT, seen
from strutwright.models import cautions
from strutwright.models.arrays import Floats
from strutwright.models.geometry import flange as flanges
from strutwright.models.geometry.surfaces import surfaces
from strutwright.models.metals import metal
from strutwright.models.shop import cuts
from strutwright.models.shop.sides import arm_side, skeg_side
from strutwright.models.shop.weld_metal import joints
from strutwright.models.spec import Skeg, Strut
from strutwright.models.spec_flange import Flange

_HELD = ("tack and measure",)
"""Steps after which the work stops until it is signed for."""
_WORDS_MM = 90.0
"""Of a step, beside which the key view has room."""
_LEFT_OFF = ("weld metal", "least leg")
"""Columns of the weld assembly's tables that the welder does not work by."""
_SHOWN = frozenset({"barrel", "arm", "palm", "flange", "skeg", "foot", "heel boss", "ribs"})


def welding_card(ctx: SheetContext) -> Sheet | None:
    """Return the welder's card; None for a part that is not welded."""
    strut = ctx.strut
    if strut.construction != "welded":
        return None
    of_flange = strut.flange is not None
    steps = flange_weld.weld_steps(ctx) if of_flange else weld.weld_steps(ctx)
    told = [f"{step}{HOLD}" if step.startswith(_HELD) else step for step in steps]
    if of_flange:
        notes = [flange_weld.bead_words(ctx), flange_weld.tolerance_words(ctx), flange_weld.TESTS]
    else:
        notes = [weld.SEALED, weld.groove_words(ctx), weld.filler_words(ctx), weld.tolerance_words(ctx)]
        notes.append(weld.test_words(ctx))
    family = metal(strut.material).family
    key = _key(strut)
    box = key.extent()
    return card(
        ctx,
        "Welding",
        [key],
        tables=[
            steps_table([(step, "") for step in told]),
            _shorter(weld.weld_table(ctx), _LEFT_OFF),
            *([] if of_flange else [_shorter(weld.edge_table(ctx), ("joint", "leg"))]),
        ],
        notes=notes,
        warned=[cautions.RECORD, cautions.welding(family), cautions.grinding(family), *cautions.pickling(family)],
        extent_mm=max(box.width, box.height),
        view_mm=42.0,
        part="",
        beside=True,
        step_mm=_WORDS_MM,
    )


def _shorter(table: Table, without: Sequence[str]) -> Table:
    """A table without columns, as it stands on a card."""
    kept = [k for k, name in enumerate(table.columns) if name not in without]
    title = table.title.partition(", cut")[0]
    return replace(
        table,
        title=title,
        columns=tuple(table.columns[k] for k in kept),
        rows=tuple(tuple(row[k] for k in kept) for row in table.rows),
        left=frozenset(kept.index(k) for k in table.left if k in kept),
        row_mm=ROW_MM,
        corner="top left",
    )


def _key(strut: Strut) -> View:
    """The outlines of the parts with the numbers of the joints: from starboard, of two arms from aft."""
    eye = FROM_AFT if len(strut.arms) > 1 else FRONT
    view = View("key", "free", "JOINTS BY NUMBER")
    for part in surfaces(strut):
        if part.kind in _SHOWN or part.name in _SHOWN:
            view.add_outline(_around(np.array([seen(eye, p) for p in part.corners])))
    for mark, place in _places(strut).items():
        view.balloon(seen(eye, place), mark)
    box = view.extent()
    if eye is FROM_AFT:
        for side, x in (("PORT", box.x0), ("STBD", box.x1)):
            view.label((0.8 * x, box.y0), side, height_mm=2.5, at_deg=-90.0)
    else:
        view.arrow((box.x1, box.y0), 0.0, "FWD")
    return view


def _around(points: Floats) -> Floats:
    """The convex outline round points (n, 2), counter-clockwise (Andrew's two chains)."""
    ordered = np.unique(np.round(points, 6), axis=0)

    def chain(rows: Floats) -> list[Floats]:
        made: list[Floats] = []
        for p in rows:
            while len(made) > 1:
                (ax, ay), (bx, by) = made[-1] - made[-2], p - made[-2]
                if ax * by - ay * bx > 0.0:
                    break
                made.pop()
            made.append(p)
        return made[:-1]

    return np.array([*chain(ordered), *chain(ordered[::-1])])


def _places(strut: Strut) -> dict[str, Floats]:
    """Where each joint is, by its mark; strut frame, mm."""
    found, made = joints(strut), dict[str, Floats]()
    for arm in strut.arms:
        side = arm_side(strut, arm)
        made[found[arm.called, "barrel"].mark] = cuts.meet_barrel(strut.barrel, side).points.mean(axis=0)
        made[found[arm.called, "palm"].mark] = cuts.meet_palm(strut.palms[arm.palm_index], side).points.mean(axis=0)
    if strut.skeg is not None:
        places = {("skeg", "barrel"): cuts.meet_barrel(strut.barrel, skeg_side(strut)).points.mean(axis=0)}
        places |= _of_heel(strut, strut.skeg)
        made |= {found[parts].mark: place for parts, place in places.items()}
    if strut.flange is not None:
        made |= {found[parts].mark: place for parts, place in _of_flange(strut, strut.flange).items()}
    return made


def _of_heel(strut: Strut, skeg: Skeg) -> dict[tuple[str, str], Floats]:
    heel = skeg.heel
    if heel is None:
        return {}
    lead = strut.barrel.x(skeg.root_forward_station_mm) - skeg.sweep_mm
    x, y, z = heel.centre_mm
    return {
        ("foot", "skeg"): np.array((lead - 0.5 * skeg.tip_chord_mm, y, -skeg.depth_mm + heel.foot_height_mm)),
        ("foot", "heel boss"): np.array((x + heel.outside_mm / 2, y, z + heel.foot_height_mm / 2)),
    }


def _of_flange(strut: Strut, flange: Flange) -> dict[tuple[str, str], Floats]:
    r, ribs = strut.barrel.outside_mm / 2, flange.ribs
    x = flanges.face_x_mm(flange, strut.barrel, flange.thickness_mm, 180.0, r)
    made = {("flange", "barrel"): np.array((x, 0.0, -r))}
    if ribs is not None:
        up = np.cos(np.radians(ribs.first_clock_deg)), np.sin(np.radians(ribs.first_clock_deg))
        aft = -1.0 if flange.plane.looks == "forward" else 1.0
        along, out = x + aft * 0.4 * ribs.along_mm, r + 0.4 * ribs.out_mm
        made["each rib", "flange and barrel"] = np.array((along, out * up[1], out * up[0]))
    return made
