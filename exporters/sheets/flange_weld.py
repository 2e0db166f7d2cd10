"""The weld assembly of a welded flanged housing: barrel, flange and ribs, their welds, and what they are cut from."""

from __future__ import annotations

import math

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.sheet import Sheet
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common, flange_cut, tolerances, weld
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.fabrication import cut_table
from strutwright.exporters.sheets.plane import FROM_AFT, on_clock, sides
from strutwright.models import cautions
from strutwright.models.geometry import flange as shapes
from strutwright.models.metals import metal
from strutwright.models.shop.weld_metal import FILLED, Joint, joints, weld_metal_kg
from strutwright.models.spec_flange import Flange

LEAN_DEG, STATION_MM = 0.25, 1.0
"""What the weldment keeps before machining: the flange's angles, its place along the barrel; common practice, from
memory."""


def weld_assembly(ctx: SheetContext) -> Sheet | None:
    """Return the weld assembly of a housing; None for a cast one."""
    strut, flange = ctx.strut, ctx.strut.flange
    if strut.construction != "welded" or flange is None:
        return None
    family = metal(strut.material).family
    view = _cut(ctx, flange)
    extent = view.extent()
    return ctx.sheet(
        "Weld assembly and cut list",
        "Weld assembly drawing",
        [view, _from_aft(ctx, flange)],
        mass=common.strut_mass(ctx),
        tables=[weld.weld_table(ctx), cut_table(ctx)],
        notes=_notes(ctx),
        cautions=[
            cautions.STRUCTURE,
            cautions.welding(family),
            cautions.grinding(family),
            *cautions.pickling(family),
            cautions.LIFTING,
        ],
        scales=common.no_larger(common.scales_between(max(extent.width, extent.height), 95.0, 260.0)),
        part="",
    )


def _mark(view: View, ctx: SheetContext, joint: Joint, at: tuple[float, float], way_deg: float) -> None:
    view.weld(at, "fillet", f"z{common.weld_size(ctx, joint.leg_mm)}", tail=joint.mark, at_deg=way_deg)


def _cut(ctx: SheetContext, flange: Flange) -> View:
    """The housing cut along the shaft, with the weld of the flange and what places it on the barrel."""
    barrel, found = ctx.strut.barrel, joints(ctx.strut)
    view = View("weld cut", "front", "CUT ALONG THE SHAFT, SEEN FROM STARBOARD")
    flange_cut.add_cut(ctx, view)
    half, r, sign = barrel.length_mm / 2, barrel.outside_mm / 2, 1.0 if flange.plane.looks == "forward" else -1.0
    at, end = barrel.x(flange.plane.station_mm), shapes.spigot_end_mm(flange, barrel)
    ends = [-half, half] if end is None else [min(-half, end), max(half, end)]
    view.centre_line((ends[0], 0.0), (ends[1], 0.0))
    far = -half * sign
    view.horizontal((far, -r), (at, 0.0), Label(suffix="to the finished bedding face"))
    view.horizontal((ends[0], -r), (ends[1], -r), Label(suffix="over all"))
    ribs = flange.ribs
    # Clear of a rib that the view shows whole.
    clocks = () if ribs is None else ribs.clocks_deg
    below = all(math.cos(math.radians(c)) > -0.9 for c in clocks)
    way = -1.0 if below else 1.0
    corner = shapes.face_x_mm(flange, barrel, flange.thickness_mm, 180.0 if below else 0.0, r), way * r
    _mark(view, ctx, found["flange", "barrel"], corner, way * (90.0 + 35.0 * sign))
    if abs(flange.plane.lean_deg) > 0.005:
        box = flange.outline.bounding_box()
        rise = 0.8 * box.xmax
        up = (at - rise * math.tan(math.radians(flange.plane.lean_deg)), rise)
        view.angle((at, 0.0), up, (at, rise), reach_mm=rise)
    view.arrow((ends[1], -1.3 * r), 0.0, "FWD")
    return view


def _from_aft(ctx: SheetContext, flange: Flange) -> View:
    strut, ribs = ctx.strut, flange.ribs
    view = View("weld end", "seen from left", "SEEN FROM AFT")
    view.add_projection(ctx.view("housing", common.bare_strut(ctx), FROM_AFT), hidden=False)
    r = strut.barrel.outside_mm / 2
    view.centre_mark((0.0, 0.0), 2.2 * r)
    if ribs is not None:
        joint = joints(strut)["each rib", "flange and barrel"]
        clock = ribs.first_clock_deg
        on = on_clock(clock, r + 0.5 * ribs.out_mm)
        across = np.array(on_clock(clock + 90.0, 0.5 * ribs.thickness_mm))
        _mark(view, ctx, joint, (on[0] + float(across[0]), on[1] + float(across[1])), 140.0)
        if ribs.count > 1:
            view.angle(
                (0.0, 0.0), on_clock(clock, 1.0), on_clock(clock + 360.0 / ribs.count, 1.0), reach_mm=r + ribs.out_mm
            )
        if abs(clock) > 0.005:
            view.angle((0.0, 0.0), (0.0, 1.0), on_clock(clock, 1.0), reach_mm=0.7 * (r + ribs.out_mm))
    box = view.extent()
    sides(view, (box.x0, 0.0), (box.x1, 0.0))
    return view


def weld_steps(ctx: SheetContext) -> list[str]:
    """Return what is done from the barrel on its mandrel to the last hole, in order."""
    strut, flange = ctx.strut, ctx.strut.flange
    assert flange is not None
    place = "square to the barrel"
    if not flange.plane.square:
        lean, turn = common.degrees(flange.plane.lean_deg), common.degrees(flange.plane.turn_deg)
        place = f"off square {lean} in profile, + upper edge aft, and {turn} in plan, + port edge aft"
    stainless = metal(strut.material).family in ("stainless", "duplex")
    return [
        "barrel rough-bored, on a heavy mandrel that fills the bore",
        f"flange on the barrel, {place}, by square or template on both sides of it",
        *(["ribs set by their clock angles"] if flange.ribs is not None else []),
        "tack and measure again",
        "short balanced runs on opposite sides of the barrel",
        "cool on the mandrel; measure",
        "pickle" if stainless else "clean",
        "bore, face the bedding face and turn the spigot in one set-up; drill the flange last",
    ]


def bead_words(ctx: SheetContext) -> str:
    """Return how the beads run, and how warm."""
    strut, flange = ctx.strut, ctx.strut.flange
    assert flange is not None
    family = metal(strut.material).family
    heat = "Preheat by plate thickness and filler" if family == "steel" else "Filler and preheat by the alloy"
    if family in ("stainless", "duplex"):
        heat = f"Interpass below {'300 °F' if ctx.inch else '150 °C'}; matching filler"
    corner = (
        " The inner corner of each rib is nipped off, so that the weld of the flange goes round under it; each rib is "
        "welded on both sides and round its ends."
        if flange.ribs is not None
        else ""
    )
    return (
        "Flange to barrel on its free face, all round, sealed and without a stop; toes ground to a smooth "
        f"hollow.{corner} {heat}."
    )


def tolerance_words(ctx: SheetContext) -> str:
    """Return what the weldment keeps before it is machined."""
    square = tolerances.tolerance_words(ctx, STATION_MM)
    return (
        f"Tolerances after welding, before machining: flange's angles ±{ctx.figures.angle(LEAN_DEG)}, its place along "
        f"the barrel ±{square}."
    )


TESTS = "Tests: all welds by eye; dye penetrant on the root run and again after machining."


def _notes(ctx: SheetContext) -> list[str]:
    strut = ctx.strut
    return [
        "Weld symbols ISO 2553 (system A), quality ISO 5817 level C unless class asks for B. z leg; a least throat, "
        "where the parts stand widest to each other; least leg for the thicker part, AISC 360 and AWS D1.1. Legs of "
        "ribs are common practice, no source.",
        bead_words(ctx),
        f"Sequence: {'; '.join(f'{k} {step}' for k, step in enumerate(weld_steps(ctx), 1))}.",
        tolerance_words(ctx),
        f"Weld metal in all some {common.mass_text(ctx, weld_metal_kg(strut))}, fillets with {FILLED:g} times their "
        "flat section; what the process loses comes on top. Filler, preheat and interpass: to the welding procedure.",
        "Stock is the next size of stockholders' usual lists (common practice): ask what is in stock, and measure it. "
        "Certificate and heat number go with each piece.",
        TESTS,
        common.hand_words(strut),
    ]
