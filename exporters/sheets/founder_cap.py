"""The founder's sheet of a split hanger's cap: its casting across and along the shaft, with stock, core and joint."""

from __future__ import annotations

import math

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.projection import Viewpoint, section
from strutwright.exporters.drawing.shapes import Line
from strutwright.exporters.drawing.sheet import Sheet
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common
from strutwright.exporters.sheets.founder_casting import STOCK_MM, Casting, shade_stock
from strutwright.exporters.sheets.plane import clipped
from strutwright.models import cautions
from strutwright.models.geometry.flange import half_section
from strutwright.models.outline import Floats
from strutwright.models.shop import foundry
from strutwright.models.shop.split_casting import SplitCasting


def cap_sheet(it: Casting, split: SplitCasting) -> Sheet:
    """Return the sheet of the cap."""
    ctx, made = it.ctx, it.made
    across = _across(it, split)
    box = across.extent()
    mass = foundry.casting_weight_kg(made.cap_mm3, made.spec.density_kg_m3)
    return ctx.sheet(
        "Cap, casting and pattern",
        "Founder's sheet",
        [across, _along(it, split)],
        mass=f"rough {common.mass_text(ctx, mass)}",
        notes=_notes(it, split),
        cautions=[cautions.STRUCTURE, cautions.LIFTING],
        scales=common.no_larger(common.scales_between(max(box.width, box.height), 95.0, 200.0)),
    )


def _loops(it: Casting, eye: Viewpoint, view: View, core: Floats, within_mm: float = math.inf) -> list[Floats]:
    """The metal in a section of the cap's pattern, which is drawn and filled: all but the core. within_mm: how far it
    reaches to either side; what the print is drawn longer by for its draft is no metal."""
    cut = section(it.made.cap[0].shape, eye)
    view.add_projection(cut.view, hidden=False)
    loops = [*cut.loops, *([core] if len(core) else [])]
    for way in (1.0, -1.0) if math.isfinite(within_mm) else ():
        loops = [clipped(loop, np.array([way, 0.0]), -within_mm) for loop in loops]
    view.hatch(loops)
    return loops


def _face(view: View, it: Casting, split: SplitCasting, loops: list[Floats]) -> None:
    """The stock of the face of the split, and that face finished."""
    finished = it.k * split.cap.gap_mm / 2
    shade_stock(view, loops, np.array([0.0, -1.0]), -finished, it.k * split.cap_stock_mm + 0.1)


def _across(it: Casting, split: SplitCasting) -> View:
    """Cut square to the shaft at mid-barrel, from aft, the cap up."""
    k, r, cap = it.k, it.k * it.spec.core_diameter_mm / 2, split.cap
    x, up = np.array([1.0, 0.0, 0.0]), split.toward
    right = np.cross(x, up)
    eye = Viewpoint((-1.0, 0.0, 0.0), (float(right[0]), float(right[1]), float(right[2])))
    view = View("cap", "front", "CAP CUT AT MID-BARREL, SEEN FROM AFT, AT PATTERN SIZE")
    flat, out, thick = k * split.open_mm, k * cap.ear_out_mm, k * cap.ear_thickness_mm
    turn = np.linspace(0.0, math.pi, 61)
    arc = np.column_stack([np.cos(turn), np.sin(turn)])
    core = np.vstack([[(r, -flat)], r * arc, [(-r, -flat)]]) if it.spec.cored else np.empty((0, 2))
    loops = _loops(it, eye, view, core)
    _face(view, it, split, loops)
    bore = k * it.strut.barrel.bore_mm / 2
    ring = [np.vstack([[(bore, -flat)], bore * arc, [(-bore, -flat)]]), *([core] if len(core) else [])]
    view.hatch(ring, spacing_mm=STOCK_MM, angle_deg=135.0, kind="stock")
    view.add_outline(bore * arc, "phantom", closed=False)
    view.centre_mark((0.0, 0.0), 6.0)
    view.add([Line((-out - 12.0, -flat), (out + 12.0, -flat))], "cutting")
    view.note((-out - 8.0, -flat), ["JOINT"], at_deg=-130.0)
    view.arrow((out + 10.0, 0.4 * thick), 90.0, "PULL")
    view.horizontal((-out, -flat), (out, -flat))
    view.vertical((-out, -flat), (-out, thick), side="left")
    view.vertical((out, -flat), (out, 0.0), side="right", label=Label(suffix="shaft line"))
    if it.spec.cored:
        at = (r * math.cos(1.1), r * math.sin(1.1))
        view.note(at, [f"core, radius {it.ctx.length(r)}"], at_deg=60.0)
    view.note(
        (0.5 * (bore + out), -0.5 * flat), [f"STOCK {it.ctx.length(k * split.cap_stock_mm)}"], head="dot", at_deg=-50.0
    )
    return view


def _along(it: Casting, split: SplitCasting) -> View:
    """Cut in the plane of the shaft line and the cap's middle, forward to the right."""
    k, r, b = it.k, it.k * it.spec.core_diameter_mm / 2, it.strut.barrel
    x = np.array([1.0, 0.0, 0.0])
    toward = np.cross(x, split.toward)
    eye = Viewpoint((float(toward[0]), float(toward[1]), float(toward[2])), (1.0, 0.0, 0.0))
    view = View("cap along", "seen from left", "CAP CUT ALONG THE SHAFT, AT PATTERN SIZE")
    flat, (low, high) = k * split.open_mm, (k * e for e in foundry.core_ends_mm(it.strut, it.spec))
    core = np.array([(low, -flat), (high, -flat), (high, r), (low, r)]) if it.spec.cored else np.empty((0, 2))
    (low_face, _), (high_face, rough) = ([k * x for x in end] for end in foundry.end_faces_mm(it.strut, it.spec))
    loops = _loops(it, eye, view, core, rough + 1.0)
    _face(view, it, split, loops)
    ends, wide = k * it.spec.stock_ends_mm, k * b.outside_mm / 2
    for way in (-1.0, 1.0):
        shade_stock(view, loops, np.array([way, 0.0]), k * it.half, ends + 15.0 * k, within=1.05 * wide)
    chain = np.array([(k * px, k * pr) for px, pr in half_section(it.strut)[1]])
    inner = np.array([(chain[-1][0], r if it.spec.cored else 0.0), (chain[0][0], r if it.spec.cored else 0.0)])
    bored = clipped(np.vstack([chain, inner]), np.array([0.0, 1.0]), 0.0)
    view.hatch([bored], spacing_mm=STOCK_MM, angle_deg=135.0, kind="stock")
    view.add_outline(chain, "phantom", closed=False)
    view.centre_line((-k * it.half, 0.0), (k * it.half, 0.0))
    view.add([Line((low - 12.0, -flat), (high + 12.0, -flat))], "cutting")
    view.centre_mark((0.0, 0.0), 6.0)
    view.vertical((k * it.half, 0.0), (k * it.half, wide), Label(prefix="R"), side="right")
    view.horizontal((low_face, wide), (high_face, wide), side="above")
    stock = (-k * it.half - 0.5 * ends, 0.5 * (r + wide))
    view.note(stock, [f"STOCK {it.ctx.length(ends)}", "each face"], head="dot", at_deg=130.0)
    if it.spec.cored:
        view.horizontal((low, -flat), (high, -flat), Label(suffix="core over prints"))
        view.note((0.5 * (high + k * it.half), 0.5 * r), ["CORE PRINT"], at_deg=60.0, head="dot")
    box = view.extent()
    view.arrow((box.x1 - 0.2 * box.width, box.y1 + 0.06 * box.height), 0.0, "FWD")
    return view


def _notes(it: Casting, split: SplitCasting) -> list[str]:
    ctx, made = it.ctx, it.made
    each = [foundry.casting_weight_kg(v, made.spec.density_kg_m3) for v in (made.casting_mm3, made.cap_mm3)]
    body, cap = (common.mass_text(ctx, kg) for kg in each)
    core = (
        "The core is that of the body, of the same box: its flat lies in the joint, and the print runs on from end to "
        "end. "
        if made.spec.cored
        else "The bore is cast solid, no core. "
    )
    return [
        f"Views are pattern sizes: {made.spec.contraction_text()}. Red, close lines: metal that is machined away. "
        "Chain lines with two dashes: finished faces.",
        "The cap's pattern is in one piece on a flat joint in its face of the split, and is drawn away from it; its "
        f"sides draw with draft, and stand straight below the shaft line. {core}",
        f"Stock on the face of the split {ctx.with_unit(it.k * split.cap_stock_mm)} at pattern size; outer faces of "
        "the ears stay as cast but for the seats of bolt heads and nuts, which are spot-faced until clean: have the "
        "ears not thinner than drawn.",
        f"Rough casting of the cap {cap}, of the body {body}, without runners and feeders. Cast both of one melt, and "
        f"mark both {it.strut.identity.number} and the heat number: they stay a pair.",
        common.hand_words(it.strut),
    ]
