"""The fabricator's sheet: what a welded strut is cut from, and where its parts stand in the jig."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.text import wrap
from strutwright.exporters.files.cut_list import CutRow, cut_rows
from strutwright.exporters.sheets import common, hull_face, jig
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models import cautions, frames
from strutwright.models.bench.mill import CODE
from strutwright.models.frames import Vector
from strutwright.models.metals import metal
from strutwright.models.sections import kind_of
from strutwright.models.shop import cuts
from strutwright.models.shop.pressing import machining_stock_mm
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.quantity import POUND_KG
from strutwright.params.words import stock_mm

NOTE_MM = 88.0
"""Width of the notes of the cut list, on paper."""


def fabrication(ctx: SheetContext) -> Sheet | None:
    """Return the fabricator's sheet; None for a cast strut."""
    strut = ctx.strut
    if strut.construction != "welded":
        return None
    family, level = metal(strut.material).family, jig.level_view(ctx)
    return ctx.sheet(
        "Cut list and jig",
        "Fabrication sheet",
        [level, jig.plan_view(ctx)],
        mass=common.strut_mass(ctx),
        tables=[cut_table(ctx), jig.jig_table(ctx), places_table(ctx)],
        notes=fabrication_notes(ctx),
        cautions=[cautions.STRUCTURE, cautions.grinding(family), cautions.LIFTING],
        scales=(level.own_scale(1.0),),
        part="",
    )


# --- cut list -------------------------------------------------------------------------------------------------------


def cut_table(ctx: SheetContext) -> Table:
    """Return what the strut is cut from, with the weights of stock and part."""
    rows = cut_rows(ctx.strut, ctx.built.parts, ctx.limits)
    said = [
        (
            str(r.item),
            r.part,
            str(r.quantity),
            r.material,
            stock_size(ctx.strut, r),
            mill_words(ctx, r),
            ctx.length(r.length_mm),
            "-" if r.width_mm is None else ctx.length(r.width_mm),
            _weight(ctx, r.net_weight_kg),
            _weight(ctx, r.stock_weight_kg),
            "\n".join(wrap(r.note, 2.5, NOTE_MM)),
        )
        for r in rows
    ]
    known = [r.stock_weight_kg for r in rows if r.stock_weight_kg is not None]
    net = [r.net_weight_kg for r in rows if r.net_weight_kg is not None]
    total = (_weight(ctx, sum(net)), _weight(ctx, sum(known)))
    said.append(("", "in all", str(sum(r.quantity for r in rows)), "", "", "", "", "", *total, ""))
    unit = "kg" if ctx.unit == "mm" else "lb"
    columns = (
        "item",
        "part",
        "no.",
        "material",
        "stock",
        "by the mill",
        "cut length",
        "width",
        f"part {unit}",
        f"stock {unit}",
        "note",
    )
    title = f"CUT LIST, {ctx.unit}: sizes of the stock to be bought, lengths with facing, outlines without kerf"
    return Table(name="cut list", title=title, columns=columns, rows=tuple(said), left=frozenset({1, 4, 10}))


def mill_words(ctx: SheetContext, row: CutRow) -> str:
    """Return how far the stock may come off its size; "measure" where no table says."""
    if row.mill_under_mm is None or row.mill_over_mm is None:
        return "measure"
    under, over = ctx.length(row.mill_under_mm), ctx.length(row.mill_over_mm)
    return f"±{under}" if under == over else f"-{under} +{over}"


def stock_size(strut: Strut, row: CutRow) -> str:
    """Return what is bought, by the sizes it is bought by."""

    def said(length_mm: float) -> str:
        return stock_mm(length_mm).read(strut.file_units).removesuffix(" mm")

    if row.stock_outside_mm is not None:
        inside = "" if row.stock_bore_mm is None else f" × bore {said(row.stock_bore_mm)}"
        return f"{row.stock} Ø{said(row.stock_outside_mm)}{inside}"
    return row.stock if row.stock_thickness_mm is None else f"{row.stock} {said(row.stock_thickness_mm)}"


def _weight(ctx: SheetContext, kg: float | None) -> str:
    if kg is None:
        return "-"
    return f"{kg:.2f}" if ctx.unit == "mm" else f"{kg / POUND_KG:.2f}"


# --- jig ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Place:
    """A point that is set up in the jig: what it is, and where, in the strut frame (3,), mm."""

    what: str
    at: Vector


def places(strut: Strut) -> Iterator[Place]:
    """Yield the points by which palm, barrel, arms and skeg are set up; those of arms as they are cut, with their root
    gaps."""
    for palm in strut.palms:
        own = f"{palm.called}, " if len(strut.palms) > 1 else "palm, "
        ends = (palm.holes[0], palm.holes[-1])
        spots = [("zero", 0.0, 0.0), *((f"hole {h.number}", h.u_mm, h.v_mm) for h in ends)]
        for word, u, v in spots:
            yield Place(own + word, frames.palm_axes(palm).to_strut(np.array([(u, v)]))[0])
    half = strut.barrel.length_mm / 2
    for face, x in (("aft", -half), ("forward", half)):
        yield Place(f"bore's axis, {face} face", np.array([x, 0.0, 0.0]))
    for arm in strut.arms:
        side, low, high = cuts.cut_arm(strut, arm)
        for end, cut in (("barrel", low), ("palm", high)):
            for edge, k in (("leading", side.leading), ("trailing", 0)):
                yield Place(f"{arm.called}, {edge} edge at the {end}", cut.points[k])
    skeg = strut.skeg
    if skeg is not None:
        lead = strut.barrel.x(skeg.root_forward_station_mm) - skeg.sweep_mm
        yield Place("skeg, leading edge at its foot", np.array([lead, 0.0, -skeg.depth_mm]))
        yield Place("skeg, trailing edge at its foot", np.array([lead - skeg.tip_chord_mm, 0.0, -skeg.depth_mm]))
        if skeg.heel is not None:
            yield Place("heel boss, middle", np.asarray(skeg.heel.centre_mm))


def places_table(ctx: SheetContext) -> Table:
    """X and Y in the jig of the points that are set up, and their heights over the plate on which the first palm lies
    with its finished hull face."""
    palm = ctx.strut.palms[0]
    axes, box = frames.palm_axes(palm), palm.outline.bounding_box()
    rows = []
    for place in places(ctx.strut):
        u, v, up = (float(c) for c in axes.from_strut(place.at[None, :])[0])
        rows.append((place.what, *(ctx.length(c) for c in (u - box.xmin, v - box.ymin, -up))))
    on = f"hull face of the {palm.called} down" if len(ctx.strut.palms) > 1 else "hull face down"
    return Table(
        name="places",
        title=f"SET UP IN THE JIG, {on}, {ctx.unit}",
        columns=("point", "X", "Y", "height"),
        rows=tuple(rows),
        left=frozenset({0}),
        row_mm=4.4,
    )


def fabrication_notes(ctx: SheetContext) -> list[str]:
    """Return the notes of the fabricator's sheet."""
    strut, name = ctx.strut, ctx.strut.palms[0].called
    ends = [f"{a.name.replace(' ', '-')}-{what}" for a in strut.arms for what in ("barrel-end-wrap", "palm-end-wrap")]
    kinds = ["angle-gauges", *(["preparation-gauges"] if strut.weld.prep == "double_bevel" else [])]
    gauges = [f"{a.name.replace(' ', '-')}-{kind}" for a in strut.arms for kind in kinds]
    return [
        f"X: forward along u from the aftmost edge of the {name}; Y: to port along v from its starboard edge; height: "
        "square over the plate, from the finished hull face. The hull face lies down, so from above port is on the "
        "other side: see the view. Arms are told as they are cut, the root gaps open.",
        *_bought(ctx),
        *(
            ["Only one palm lies on the plate at a time; the other hangs over its edge."]
            if len(strut.palms) > 1
            else []
        ),
        "Stock is the next size of stockholders' usual lists (common practice): ask what is in stock, and measure it. "
        "Certificate and heat number go with each piece.",
        *_mill_notes(ctx),
        f"Full-size paper and DXF: {', '.join(ends)}; angles to hold against the joint: {', '.join(gauges)}, and the "
        "palm's bevel gauges. Joints, preparation and welds: sheet WELD ASSEMBLY.",
        common.hand_words(strut),
    ]


def _mill_notes(ctx: SheetContext) -> list[str]:
    """By which standards the mill may send stock off its size, and what the thinnest does to the checks."""
    rows = cut_rows(ctx.strut, ctx.built.parts, ctx.limits)
    standards = list(dict.fromkeys(r.mill_standard for r in rows if r.mill_standard))
    if not standards:
        return []
    told = [f"By the mill: {', '.join(standards)}{_flat_bar(ctx, rows)}."]
    if (found := ctx.findings.get(CODE)) is not None:
        words, advice = found.about(ctx.unit), found.to_do(ctx.unit).partition(" [")[0]
        told.append(f"{words[:1].upper()}{words[1:]}.{f' {advice[:1].upper()}{advice[1:]}.' if advice else ''}")
    return told


def _flat_bar(ctx: SheetContext, rows: list[CutRow]) -> str:
    """What flat bar has instead, where an arm with flat sides may be cut from it."""
    arms = [r for r in rows if r.part.endswith("arm") and r.stock_thickness_mm is not None]
    flat = [a for a in ctx.strut.arms if kind_of(a.shape).flat_sides]
    if ctx.inch or not arms or not flat:
        return ""
    mill = tables.bar_tolerance(max(r.stock_thickness_mm or 0.0 for r in arms), "flat")
    return (
        "" if mill is None else f"; an arm cut from flat bar instead, ±{ctx.length(mill.thinner_mm)}, {mill.standard}"
    )


def _bought(ctx: SheetContext) -> list[str]:
    """What is said of palms that are bought thicker."""
    strut, f = ctx.strut, ctx.figures
    bought: dict[tuple[str, str, str, bool], list[str]] = {}  # by thickness, extra metal, both, whether it is flat
    for palm in strut.palms:
        finished, stock = palm.thickness_mm, machining_stock_mm(strut, palm, ctx.limits, inch=ctx.inch)
        if stock > 0.0:
            sizes = f.length(finished), f.length(stock), f.length(finished + stock), palm.curve is None
            bought.setdefault(sizes, []).append(palm.name)
    said = [
        f"Buy the plate of the {' and of the '.join(names)} at least {both} thick: the extra {extra} is on the "
        f"hull face and is machined off after welding, {why}. The jig heights are measured from the finished hull "
        f"face{middle}. As long as the extra metal is on, add to every height what the plate in hand measures over "
        f"{thick} ({extra} or more).{preset}"
        for (thick, extra, both, flat), names in bought.items()
        for why, middle, preset in [_machined_words(thick, flat)]
    ]
    return [*said, *sorted({hull_face.rolled_words(ctx, palm) for palm in strut.palms if palm.curve is not None})]


def _machined_words(thick: str, flat: bool) -> tuple[str, str, str]:
    """Why a hull face is machined after welding, where its heights are counted from, and what does instead."""
    if not flat:
        return "to the hull's curve", " in the middle of the palm", ""
    instead = (
        f" If the palm is pre-set instead, buy the plate {thick} thick, add nothing to the heights and do not machine "
        "the hull face."
    )
    return "because the curl cannot be pressed out", "", instead
