"""The task card for the yard: how the part is fitted on the boat, on one page. What is measured there goes on the forms
of the command `installation`, where the part has one."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from strutwright.exporters.bench import installation as forms
from strutwright.exporters.bench.paper import broken
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common, flange, hanger, let_in, tolerances
from strutwright.exporters.sheets.card_form import HOLD, ROW_MM, Step, card, measured_table, steps_table
from strutwright.exporters.sheets.cards import barrel_cut, seen_flange, seen_palm
from strutwright.exporters.sheets.context import SheetContext, stands_words
from strutwright.exporters.sheets.record import record_rows
from strutwright.models import cautions
from strutwright.models.bench import installation
from strutwright.models.spec import Strut

_SENTENCE = re.compile(r"(?<=\.) (?=[A-Z])")
_WORDS_MM, _MOST_HOLES = 50.0, 24
_ON_BOAT = (cautions.STRUCTURE, cautions.LIFTING, cautions.UNDER_BOAT)


def fitting_card(ctx: SheetContext) -> Sheet:
    """Return the yard's card of a strut, a hanger, or a housing or shoe on a flange."""
    strut, views, tables, size = ctx.strut, list[View](), list[Table](), 0.0
    if strut.flange is not None:
        steps, views, notes, size = _on_flange(ctx), [seen_flange(ctx)], [flange.FACES], _size_mm(strut)
    elif strut.hanger is not None:
        steps, notes, size = _on_bed(ctx), stands_words(strut)[:2], _size_mm(strut)
        views, tables = [seen_palm(ctx, p) for p in strut.palms], [hanger.height_table(ctx)]
    else:
        steps, holes = _on_hull(), forms.hull_holes_table(strut, ctx.figures, _MOST_HOLES)
        tables = [replace(holes, title=f"HOLES OF THE HULL, {ctx.unit}")]
        notes = [
            "Holes of the hull: along its face, from the trace of the shaft's vertical plane, numbered as on the hull "
            "template. How it was fitted and how the trial went is written down on the forms of `installation`."
        ]
    return card(
        ctx,
        "Fitting on the boat",
        views,
        tables=[steps_table(steps), *map(_on_card, tables), _held_to(ctx)],
        notes=notes,
        warned=_ON_BOAT,
        extent_mm=size,
        view_mm=60.0,
    )


def _size_mm(strut: Strut) -> float:
    return max(map(tolerances.longest_mm, strut.plates))


def _on_card(table: Table) -> Table:
    """A table of the installation sheet as high as those of a card, its words in lines that leave room beside it."""
    rows = tuple(tuple(broken(cell, _WORDS_MM) for cell in row) for row in table.rows)
    return replace(table, rows=rows, row_mm=ROW_MM, corner="top left")


def _held_to(ctx: SheetContext) -> Table:
    """What the yard holds to, beside what else there is."""
    return replace(_on_card(forms.held_to_table(ctx.strut, ctx.findings, ctx.figures)), corner="top right")


def _steps(told: Iterable[str]) -> list[Step]:
    """Sentences as steps, those of a paragraph one by one."""
    return [(one.removesuffix("."), "") for words in told for one in _SENTENCE.split(words)]


def _on_hull() -> list[Step]:
    """How a strut is fitted on the hull, in the order and words of the installation sheet."""
    return _steps([*forms.DRY_FIT, *forms.BEDDING, installation.BEDDED, forms.BONDING, forms.LINING_UP])


def _on_bed(ctx: SheetContext) -> list[Step]:
    """How a hanger is fitted on its bed. Common practice, no source."""
    held = ctx.strut.hanger
    assert held is not None
    under = {
        "none": "The foot lies on its bed all round, no gap by the feeler; never pull it down to the bed",
        "shims": "Measure at each bolt what is open under the foot; one solid shim each, within the sizes below",
        "resin": "Wax the foot, dam it in, cast the chock within the sizes below; bolts only nipped until it has cured",
    }[held.under.kind]
    torque = installation.torque_words(ctx.findings, ctx.unit)
    drawn_up = f"Draw up in steps, crosswise{f', {torque}' if torque else ''}; lock the nuts"
    return [
        *_steps(
            [
                "Shaft in its other bearings and in line; the hanger hangs on it loose and takes its own place.",
                f"Drill one hole of the bed through the foot, bolt up, try the shaft, then drill the others{HOLD}.",
                f"{under}.",
                f"{drawn_up}.",
                f"Turn the shaft by hand: as free as before{HOLD}.",
                forms.LINING_UP,
            ]
        )
    ]


def _on_flange(ctx: SheetContext) -> list[Step]:
    """How a flanged housing, or a shoe under its keel, is fitted. Common practice, no source."""
    strut, own = ctx.strut, flange.own(ctx)
    torque = installation.torque_words(ctx.findings, ctx.unit)
    drawn_up = f"Draw up in steps, crosswise{f', {torque} with anti-seize' if torque else ''}"
    hose = own.spigot is not None and own.spigot.use == "hose"
    last = (
        "Turn the rudder by hand: free from stop to stop" if strut.shoe is not None else "Turn the shaft by hand: free"
    )
    return _steps(
        [
            "Offer it up dry on the shaft, or on a bar as thick: the flange lies all round without being pulled.",
            f"{flange.THROUGH}{HOLD}.",
            f"Clean both faces, seal end grain and bare laminate in the holes. {flange.bed_words(ctx)}.",
            f"{flange.fastener_words(ctx)}, with sealant under the heads.",
            f"{drawn_up}. {installation.BEDDED}",
            *(["Hose on the spigot with its clamps; look for drips once afloat."] if hose else []),
            f"{last}{HOLD}.",
            *([forms.LINING_UP] if strut.shoe is None else []),
        ]
    )


def let_in_card(ctx: SheetContext) -> Sheet:
    """Return the yard's card of a let-in housing: pressed, bedded or welded into its structure."""
    strut, it = ctx.strut, let_in.own(ctx)
    shown = re.compile(r"seat\d+\.(hole|outside)|let_in\.|lock\d")
    told = [
        f"Measure hole and housing, all seats: within the limits below, else stop{HOLD}.",
        *let_in.fitting_words(ctx),
        forms.LINING_UP,
    ]
    drawing = [words for words in told if words.startswith(("Draw it", "Jack it"))]
    family = common.family(strut.material)
    warned = {
        "pressed": [cautions.PRESS],
        "bedded": [cautions.RESIN],
        "welded": [cautions.welding(family), *cautions.pickling(family)],
    }[it.hold]
    view = View("in place", "free", "IN THE STRUCTURE, CUT ALONG THE SHAFT")
    barrel_cut(view, strut.barrel)
    let_in.structure_cut(ctx, view)
    view.arrow((0.0, 0.0), 0.0, "FWD")
    return card(
        ctx,
        {"pressed": "Housing, pressing in", "bedded": "Housing, bedding in", "welded": "Housing, welding in"}[it.hold],
        [view],
        tables=[
            steps_table(_steps([*(words for words in told if words not in drawing)])),
            measured_table(ctx, [r for r in record_rows(ctx) if shown.match(r.code)], "AND FILL IN"),
        ],
        notes=[let_in.MOUTH, common.clock_words(strut), *drawing],
        warned=[*warned, *_ON_BOAT],
        extent_mm=view.extent().width,
        view_mm=90.0,
    )
