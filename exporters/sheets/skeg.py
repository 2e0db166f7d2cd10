"""The skeg sheet: the fin in profile and from aft, its heel boss at full size, and where the heel's bore lies."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.projection import FRONT, LEFT
from strutwright.exporters.drawing.shapes import Line, P, from_vertices
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.cut_list import foot_length_mm
from strutwright.exporters.sheets import common, tolerances
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.plane import barrel_profile_mm, sides
from strutwright.models import cautions
from strutwright.models.geometry.shapes import propeller_plane_mm
from strutwright.models.geometry.skeg import boss_bore_mm, chord_at, fin_kind, foot_ahead_mm, foot_start_mm, stock_axis
from strutwright.models.solids import kernel, outer_envelope
from strutwright.models.solids import skeg as skegs
from strutwright.models.spec import Heel, Skeg, Strut

POSITION_MM, DIRECTION_DEG = 2.0, 0.25
"""Heel bore to the stock's line: zone Ø2 (1 mm off it) and direction; values from memory, common practice."""
BOSS_FIT, BORE_FIT = "H7", "H8"
"""Classes of the boss's bore for a pressed bush, and of the bore the pintle runs in; common practice, no source."""


def skeg_sheet(ctx: SheetContext) -> Sheet | None:
    """Return the skeg's sheet; None without a skeg, or when the kernel could not make one."""
    strut, skeg = ctx.strut, ctx.strut.skeg
    if skeg is None:
        return None
    body = skeg_body(ctx)
    if body is None:
        return None
    heel = skeg.heel
    views = [_side(ctx, skeg, body), _from_aft(ctx, skeg, body)]
    tables_: list[Table] = []
    if heel is not None:
        views.append(_boss(ctx, heel))
        tables_ += [_position(ctx, heel), _angles(strut, heel)]
    mass = common.mass_text(ctx, common.part_mass_kg(float(body.Volume()), strut.material))
    own, name = views[0].extent(), "Skeg" if heel is None else "Skeg and heel boss"
    return ctx.sheet(
        name,
        "Part drawing",
        views,
        face="STARBOARD SIDE",
        mass=mass,
        tables=tables_,
        notes=_notes(ctx, skeg),
        cautions=[cautions.STRUCTURE, cautions.UNDER_BOAT],
        scales=common.no_larger(common.scales_between(max(own.width, own.height), 95.0, 300.0)),
        part="",
    )


def skeg_body(ctx: SheetContext) -> Any:
    """Return fin, foot and heel boss as one shape without the barrel; None when they could not be made."""
    import cadquery as cq

    strut, skeg = ctx.strut, ctx.strut.skeg
    assert skeg is not None
    made = [p.shape for p in ctx.built.parts if p.kind in ("skeg", "foot", "heel boss")]
    if made:
        return cq.Compound.makeCompound(made)

    def grown() -> Any:
        found = kernel.solids(kernel.cut(skegs.fin(skeg, strut.barrel), [outer_envelope(strut)]))
        if not found:
            raise kernel.KernelError("the fin lies within the barrel")
        fin = min(found, key=lambda s: float(s.Center().z))
        if skeg.heel is None:
            return kernel.smoothed(fin)
        body = kernel.fuse(fin, kernel.fuse(skegs.foot(skeg, skeg.heel, strut.barrel), skegs.boss(skeg.heel))[0])[0]
        return kernel.smoothed(kernel.cut(body, [skegs.boss_bore(skeg.heel)]))

    return kernel.attempt(grown)[0]


def _stock_x(heel: Heel, z: float) -> float:
    """x of the stock's axis at a height, seen from the side."""
    return heel.centre_mm[0] - math.tan(math.radians(heel.stock_rake_deg)) * (z - heel.centre_mm[2])


def _side(ctx: SheetContext, skeg: Skeg, body: Any) -> View:
    strut, barrel = ctx.strut, ctx.strut.barrel
    view = View("skeg side", "front", "SEEN FROM STARBOARD")
    view.add_projection(ctx.view("skeg body", body, FRONT))
    half, r = barrel.length_mm / 2, barrel.outside_mm / 2
    x, radius = barrel_profile_mm(barrel)
    rim = np.vstack([np.column_stack([x, -radius]), np.column_stack([x, radius])[::-1]])
    view.add([from_vertices(rim)], "phantom")
    lead, _, _ = chord_at(skeg, barrel, r)
    aft = lead - (skeg.root_forward_station_mm - skeg.root_aft_station_mm)
    tip, chord, _ = chord_at(skeg, barrel, skeg.depth_mm)
    low, heel = -skeg.depth_mm, skeg.heel
    end = -half if heel is None else min(-half, _stock_x(heel, 0.0) - 0.05 * barrel.length_mm)
    view.centre_line((end, 0.0), (half, 0.0))
    propeller = strut.propeller
    if propeller.diameter_mm is not None and (propeller.hub_gap_mm or propeller.hub_length_mm):
        at, d = -float(propeller_plane_mm(strut)), propeller.diameter_mm
        view.add([Line((at, 0.0), (at, -d / 2))], "phantom")
        view.note((at, -d * 0.3), ["centre of the propeller,", "down to its tip circle"], at_deg=-160.0)
    view.horizontal((-half, -r), (aft, -r), side="above")
    view.horizontal((-half, -r), (lead, -r), side="above")
    view.horizontal((tip - chord, low), (tip, low))
    swept = abs(tip - lead) > 0.05
    if swept:
        view.horizontal((tip, low), (lead, -r))
    view.vertical((half, 0.0), (tip, low), side="right")
    if swept:
        view.angle((lead, -r), (tip, low), (lead - chord, -r))
    on_edge = (lead + 0.35 * (tip - lead), -r + 0.35 * (low + r))
    view.note(on_edge, [f"LEADING EDGE, {fin_kind(skeg).nose}"], at_deg=-20.0)
    if strut.construction == "welded" and skeg.root_mm > 0:
        size = f"z{common.weld_size(ctx, skeg.root_mm)}"
        view.weld(((aft + lead) / 2, -r), "fillet", size, at_deg=150.0)
    if heel is not None:
        _heel_side(view, skeg, heel, (-half, 0.0), (tip, low), foot_start_mm(barrel, skeg, heel))
    view.arrow((half, r + 0.08 * skeg.depth_mm), 0.0, "FWD")
    return view


def _heel_side(view: View, skeg: Skeg, heel: Heel, aft_face: P, tip: P, foot_mm: tuple[float, float, float]) -> None:
    """Stock, boss and foot in profile. tip: the skeg's lower end of its leading edge; foot_mm: `foot_start_mm`."""
    hx, _, hz = heel.centre_mm
    top, deep = 0.12 * skeg.depth_mm, heel.foot_height_mm / 2
    view.centre_line((_stock_x(heel, hz - heel.height_mm), hz - heel.height_mm), (_stock_x(heel, top), top))
    view.horizontal((hx, hz), aft_face, Label(row="heel.abaft"))
    view.vertical((hx, hz), aft_face, Label(row="heel.below"))
    start = (foot_mm[0], foot_mm[2])
    run = math.dist(start, (hx, hz))
    way = ((hx - start[0]) / run, (hz - start[1]) / run)
    under = (-deep * way[1], deep * way[0])
    place = [start[k] + 0.55 * run * way[k] for k in (0, 1)]
    edges = [(place[0] + side * under[0], place[1] + side * under[1]) for side in (1.0, -1.0)]
    view.aligned(edges[0], edges[1], offset_mm=1e-3, late=True)
    view.vertical(tip, start, side="right")
    # The foot's length and lean, along its lower edge: from the half-round nose to the boss's middle.
    ends = [(p[0] + under[0], p[1] + under[1]) for p in (start, (hx, hz))]
    view.aligned(ends[0], ends[1], Label(suffix="LENGTH OF THE FOOT"), offset_mm=14.0, late=True)
    if abs(way[1]) > 1e-3:
        view.centre_line(start, (hx, hz))
        view.add([Line(start, (hx, start[1]))], "thin")
        view.angle(start, (hx, hz), (hx, start[1]), reach_mm=0.6 * run)
    crossing = (_stock_x(heel, 0.0), 0.0)
    view.angle(crossing, (_stock_x(heel, hz), hz), (crossing[0] + 50.0, 0.0), Label(row="heel.angle"))
    view.note((_stock_x(heel, top * 0.7), top * 0.7), ["axis of the rudder stock"], at_deg=150.0)


def _from_aft(ctx: SheetContext, skeg: Skeg, body: Any) -> View:
    barrel = ctx.strut.barrel
    view = View("skeg end", "seen from left", "SEEN FROM AFT")
    view.add_projection(ctx.view("skeg body", body, LEFT, hidden=False))
    view.circle((0.0, 0.0), barrel.outside_mm, "phantom")
    t, r = skeg.thickness_root_mm / 2, barrel.outside_mm / 2
    foot = -math.sqrt(max(r * r - t * t, 0.0))
    low = -skeg.depth_mm
    heel = skeg.heel
    bottom = low if heel is None else min(low, heel.centre_mm[2] - heel.height_mm / 2)
    view.centre_line((0.0, 0.0), (0.0, bottom))
    view.horizontal((-t, foot), (t, foot), side="above")
    view.vertical((0.0, -r), (t, foot), Label(suffix="saddle"), side="right")
    if heel is None:
        view.horizontal((-skeg.thickness_tip_mm / 2, low), (skeg.thickness_tip_mm / 2, low))
    else:
        hy, hz = -heel.centre_mm[1], heel.centre_mm[2]
        view.horizontal((hy - heel.outside_mm / 2, hz), (hy + heel.outside_mm / 2, hz), Label(prefix="Ø"))
        wide, top = heel.foot_thickness_mm / 2, low + heel.foot_height_mm
        view.horizontal((-wide, top), (wide, top), Label(suffix="WIDE (foot)"))
        if abs(heel.stock_cant_deg) > 0.05:
            lean = -math.tan(math.radians(heel.stock_cant_deg))
            far = 0.6 * skeg.depth_mm
            view.centre_line((hy - lean * heel.height_mm, hz - heel.height_mm), (hy + lean * far, hz + far))
            view.angle((hy, hz), (hy + lean * far, hz + far), (hy, hz + far))
    sides(view, (-r, 0.0), (r, 0.0))
    return view


def _fit(symbol: str, size_mm: float, row: str) -> Label:
    """row: see Label."""
    deviations = tolerances.class_limits_mm(symbol, size_mm)
    fit = "" if deviations is None else symbol
    return Label(prefix="Ø", fit=fit, deviations=deviations, row=row)


def bores(heel: Heel) -> list[tuple[str, str, float]]:
    """Return the bores of a heel boss: what, class, diameter (mm)."""
    running = ("heel, running bore", BORE_FIT, heel.bore_mm)
    return [("heel, boss for the bush", BOSS_FIT, boss_bore_mm(heel)), running] if heel.bush_wall_mm > 0 else [running]


def foot_angle_deg(strut: Strut, skeg: Skeg, heel: Heel) -> float:
    """Return the lean of the foot's middle line in profile, degrees, positive sinking aft."""
    lead, _, high = foot_start_mm(strut.barrel, skeg, heel)
    return math.degrees(math.atan2(high - heel.centre_mm[2], lead - heel.centre_mm[0]))


def stock_angle_deg(heel: Heel) -> float:
    """Return the true angle of the rudder stock to the shaft line, degrees."""
    return math.degrees(math.acos(float(np.clip(stock_axis(heel)[0], -1.0, 1.0))))


def _boss(ctx: SheetContext, heel: Heel) -> View:
    """The heel boss cut along the stock's axis, which stands upright here; full size while it fits a sheet."""
    outside, bored, runs = heel.outside_mm / 2, boss_bore_mm(heel) / 2, heel.bore_mm / 2
    h, pin, over = heel.height_mm / 2, heel.pintle_mm / 2, heel.running_mm / 2
    scale = min(1.0, common.one_scale(heel.outside_mm, 150.0))
    view = View("heel boss", "free", "HEEL BOSS, CUT ALONG THE STOCK'S AXIS", scale=scale)
    for sign in (1.0, -1.0):
        wall = np.array([(sign * bored, -h), (sign * outside, -h), (sign * outside, h), (sign * bored, h)])
        view.add_outline(wall)
        view.hatch([wall], spacing_mm=2.5)
        if heel.bush_wall_mm > 0:
            bush = np.array([(sign * runs, -h), (sign * bored, -h), (sign * bored, h), (sign * runs, h)])
            view.add_outline(bush)
            view.hatch([bush], spacing_mm=1.5, angle_deg=135.0)
        view.add([Line((sign * x, -h * 1.25), (sign * x, h * 1.25)) for x in sorted({pin, over})], "phantom")
    for z in (-h, h):
        view.add([Line((-runs, z), (runs, z))])
    view.centre_line((0.0, -h * 1.25), (0.0, h * 1.25))
    view.horizontal((-outside, -h), (outside, -h), Label(prefix="Ø"))
    if heel.bush_wall_mm > 0:
        view.horizontal((-bored, -h), (bored, -h), _fit(BOSS_FIT, 2 * bored, "heel.bore1"))
    view.horizontal((-runs, h), (runs, h), _fit(BORE_FIT, 2 * runs, f"heel.bore{len(bores(heel))}"), side="above")
    if heel.sleeve_wall_mm > 0:
        view.horizontal((-over, h), (over, h), Label(prefix="over sleeve Ø", reference=True), side="above")
    view.horizontal((-pin, h), (pin, h), Label(prefix="pintle Ø", reference=True), side="above")
    view.vertical((outside, -h), (outside, h), side="right")
    view.tolerance((bored, 0.0), "position", f"Ø{ctx.length(POSITION_MM)}", ("A",), at_deg=20.0)
    if heel.bush_wall_mm > 0:
        view.note((-(runs + bored) / 2, 0.4 * h), ["bush"], head="dot", at_deg=160.0)
    return view


def _position(ctx: SheetContext, heel: Heel) -> Table:
    half, up, centre = ctx.strut.barrel.length_mm / 2, stock_axis(heel), np.array(heel.centre_mm)
    rows = []
    for name, along in (("upper face", heel.height_mm / 2), ("middle", 0.0), ("lower face", -heel.height_mm / 2)):
        x, y, z = (float(c) for c in centre + along * up)
        tapes = [math.dist((x, y, z), (end, 0.0, 0.0)) for end in (-half, half)]
        rows.append((name, *(ctx.length(v) for v in (x, y, z, -half - x, -z, y, *tapes))))
    places = ("point", "x", "y", "z", "abaft aft face", "below shaft line", "to port")
    columns = (*places, "from aft-face centre", "from fore-face centre")
    return Table(
        name="heel",
        title=f"HEEL BORE ON THE STOCK'S AXIS, {ctx.unit}",
        columns=columns,
        rows=tuple(rows),
        left=frozenset({0}),
    )


def stock_angles_deg(strut: Strut, heel: Heel) -> dict[str, float]:
    """Return the angles of the stock in degrees by what they are measured from; from plumb only where that is known.

    In profile a strut's z axis leans aft by the shaft's slope, so the stock's lean from plumb is its rake and
    that slope.
    """
    angles = {
        "from square to the shaft, in profile (upper end aft)": heel.stock_rake_deg,
        "athwartships (upper end to port)": heel.stock_cant_deg,
        "to the shaft line, true angle": stock_angle_deg(heel),
    }
    if strut.hull.run_known:
        angles["from plumb in profile, boat on her waterline (upper end aft)"] = (
            heel.stock_rake_deg + strut.hull.shaft_to_waterline_deg
        )
    return angles


def _angles(strut: Strut, heel: Heel) -> Table:
    rows = tuple((name, common.degrees(v)) for name, v in stock_angles_deg(strut, heel).items())
    return Table(name="stock", title="RUDDER STOCK", columns=("angle", "degrees"), rows=rows, left=frozenset({0}))


def _notes(ctx: SheetContext, skeg: Skeg) -> list[str]:
    strut, f = ctx.strut, ctx.figures
    across = strut.barrel.outside_mm
    saddle = across / 2 - math.sqrt(max(across**2 - skeg.thickness_root_mm**2, 0.0)) / 2
    welded = strut.construction == "welded"
    files = f"skeg-barrel-end-wrap{' (root saddle)' if welded else ''}, skeg-on-barrel-wrap, skeg-profile"
    notes = [
        f"Strut frame: origin on the shaft line at mid-length of the barrel, x forward, y to port, z toward the hull. "
        f"Root from station {f.length(skeg.root_aft_station_mm)} to {f.length(skeg.root_forward_station_mm)} from the "
        "barrel's aft face.",
        f"The root {'is coped to' if welded else 'follows'} the barrel and is {f.length(saddle)} deeper at its sides. "
        f"{common.file_words(strut)}: {files}.",
    ]
    kind = fin_kind(skeg)
    if not kind.flat_sides:
        notes.append(
            f"Sections are {kind.shaped}, {f.length(skeg.thickness_root_mm)} thick at the root and "
            f"{f.length(skeg.thickness_tip_mm)} at the lower edge."
        )
    if welded:
        notes.append(
            f"Weld all round, leg {f.length(skeg.root_mm)}; weld the skeg before the barrel is bored, for it "
            "bends the bore."
        )
    else:
        notes.append(f"Cast in one with the barrel; root fillet R{f.length(skeg.root_mm)}.")
    if skeg.heel is not None:
        notes += _heel_notes(ctx, skeg, skeg.heel)
    notes.append("A skeg may carry the boat when she takes the ground: settle with the designer what gives first.")
    notes.append(common.hand_words(strut))
    return notes


def _heel_notes(ctx: SheetContext, skeg: Skeg, heel: Heel) -> list[str]:
    f, barrel = ctx.figures, ctx.strut.barrel
    stands = " The skeg is cut to stand on the foot's upper face and welded to it as the weld sheet says."
    pressed = f"Boss bored Ø{f.length(boss_bore_mm(heel))} {BOSS_FIT} for the bush, pressed in; then the running "
    sleeve = f"the sleeve, Ø{f.length(heel.running_mm)}, on " if heel.sleeve_wall_mm > 0 else ""
    notes = [
        f"Foot: bar {f.length(heel.foot_thickness_mm)} wide and {f.length(heel.foot_height_mm)} high, its nose half "
        f"round and flush with the leading edge that stands on it, {f.length(foot_length_mm(barrel, skeg, heel))} long "
        f"to the centre of the boss, at {common.degrees(foot_angle_deg(ctx.strut, skeg, heel))} to the shaft line "
        f"(+ sinks aft). Its centre line starts {f.length(heel.foot_height_mm / 2)} above the lower end of the skeg's "
        "leading edge and "
        f"{f.length(foot_ahead_mm(barrel, skeg, heel))} ahead of it."
        + (stands if ctx.strut.construction == "welded" else ""),
        f"{pressed if heel.bush_wall_mm > 0 else 'Running '}bore Ø{f.length(heel.bore_mm)}: clearance "
        f"{f.length(heel.bore_mm - heel.running_mm)} on the diameter over {sleeve}a pintle of "
        f"Ø{f.length(heel.pintle_mm)}. Plastics swell: keep to the bush maker's clearance where it is more.",
    ]
    if sleeve:
        notes.append(
            f"Sleeve on the pintle: wall {f.length(heel.sleeve_wall_mm)}, longer than the boss is high, at each end; "
            f"shrink or press it on, then turn it to Ø{f.length(heel.running_mm)}. Its metal suits pintle and bush; "
            "seal its ends against water."
        )
    notes.append(
        f"Bore the heel last, on the stock's line taken on the boat; direction within {f.angle(DIRECTION_DEG)}. Drill "
        "a hole at the bottom of a blind bush to let sand out; fit a stop to keep the rudder from lifting."
    )
    return notes
