"""The sheets that a flanged housing has of its own: its arrangement, and the drilling of its flange."""

from __future__ import annotations

import math
from functools import partial
from typing import Any, Literal

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.projection import FRONT, Viewpoint
from strutwright.exporters.drawing.shapes import Arc, Line, P, Poly, from_vertices
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.flange_outlines import barrel_on_free_face, seen_on_free_face, seen_through
from strutwright.exporters.sheets import common, flange_cut, tolerances
from strutwright.exporters.sheets import palm as plates
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.plane import FROM_AFT, seen
from strutwright.models import cautions, frames
from strutwright.models.bench.installation import torque_words
from strutwright.models.geometry import flange as shapes
from strutwright.models.geometry.bodies import HUB_SHARE
from strutwright.models.geometry.shapes import propeller_plane_mm
from strutwright.models.outline import diameter_mm
from strutwright.models.spec import Strut
from strutwright.models.spec_flange import Flange
from strutwright.models.spec_shoe import Shoe
from strutwright.params import tables

FACE, AXIS = "P", "A"
"""Datum letters: the bedding face, and the bore's axis, as on the barrel's sheet."""
FACES = "Bedding face: the flange's face on the base. Free face: the other one, with heads and barrel."
FASTENERS = {"through_bolt": "through bolt", "stud": "stud", "lag_screw": "lag screw"}


def own(ctx: SheetContext) -> Flange:
    """Return the flange of the housing."""
    flange = ctx.strut.flange
    assert flange is not None
    return flange


def arrangement(ctx: SheetContext) -> Sheet:
    """Return the arrangement of a flanged housing: cut along the shaft, seen from aft, on its base."""
    strut = ctx.strut
    views = [_along(ctx), _from_aft(ctx), picture(ctx)]
    return ctx.sheet(
        "Flanged stern bearing housing",
        "General arrangement",
        views,
        mass=common.strut_mass(ctx),
        tables=[common.parts_table(ctx), _places(ctx)],
        notes=common.general_notes(
            ctx, (common.datum_a(strut), common.clock_words(strut), common.STATION, FACES, *_on_base(ctx))
        ),
        cautions=cautions.for_strut(strut),
        scales=common.scales_between(max(v.extent().height for v in views[:2]), 70.0, 330.0),
    )


THROUGH = "Drill the base through the flange's holes, the bore lined up on the shaft"


def bed_words(ctx: SheetContext) -> str:
    """Return what the flange is bedded on."""
    gasket = own(ctx).gasket
    thick = 0.0 if gasket is None else gasket.thickness_mm
    return f"Bed the flange on {ctx.with_unit(thick)} of gasket or compound" if thick else "Bed the flange"


def fastener_words(ctx: SheetContext) -> str:
    """Return what the flange is held down with."""
    flange = own(ctx)
    engaged = "" if flange.engaged_mm is None else f", {ctx.with_unit(flange.engaged_mm)} of thread in the base"
    if engaged and flange.fastener == "stud":
        engaged += f", tapped {tables.tapped(flange.bolt.size)}"
    kind = f"{len(flange.holes)} × {FASTENERS[flange.fastener]} {flange.bolt.size}"
    return f"{kind}, {flange.bolt.material}{engaged}"


def _on_base(ctx: SheetContext) -> list[str]:
    propeller = ctx.strut.propeller
    hub = "" if propeller.diameter_mm is None or propeller.hub_length_mm is None else ", propeller's hub"
    return [
        f"{bed_words(ctx)}. {fastener_words(ctx)}. {THROUGH}.",
        f"Shaft{hub} and base are drawn in phantom lines, for reference.",
    ]


def _places(ctx: SheetContext) -> Table:
    strut, flange = ctx.strut, own(ctx)
    plane, rows = flange.plane, list[tuple[str, str]]()
    rows.append(("bedding face looks", plane.looks))
    rows.append(("bedding face meets the shaft line at station", ctx.length(plane.station_mm)))
    rows.append(("off square in profile, + upper edge aft", common.degrees(plane.lean_deg)))
    rows.append(("off square in plan, + port edge aft", common.degrees(plane.turn_deg)))
    if strut.shoe is not None:
        shoe = strut.shoe
        rows.append(("after end of the keel, forward of the stock", ctx.length(shoe.keel_end_mm)))
        rows.append(("stock's depth in the boss", ctx.length(shoe.entry_mm)))
        if shoe.jump_mm is not None:
            rows.append(("lift of the rudder to its jumping stop", ctx.length(shoe.jump_mm)))
    else:
        rows.append(("bore of the base", f"Ø{ctx.length(flange.base.bore_mm)}"))
    if flange.spigot is not None:
        s = flange.spigot
        rows.append(
            ("spigot, outside × bore × length", " × ".join(map(ctx.length, (s.outside_mm, s.bore_mm, s.length_mm))))
        )
        if s.hose_mm is not None:
            rows.append(("hose, inside", f"Ø{ctx.length(s.hose_mm)}"))
            rows.append(("clamps", f"{s.clamps} of {ctx.length(s.clamp_width_mm)} width"))
    if strut.shaft.bearing_span_mm is not None:
        rows.append(("next bearing forward", ctx.length(strut.shaft.bearing_span_mm)))
    title = f"PLACE ON SHAFT AND BASE, {ctx.unit}"
    return Table(name="places", title=title, columns=("what", "size"), rows=tuple(rows), left=frozenset({0}))


def _reach(strut: Strut, flange: Flange) -> tuple[float, float]:
    half, spigot = strut.barrel.length_mm / 2, flange.spigot
    at = strut.barrel.x(flange.plane.station_mm)
    ends = [-half, half, at]
    if spigot is not None:
        ends.append(at + (1.0 if flange.plane.looks == "forward" else -1.0) * spigot.length_mm)
    return min(ends), max(ends)


def _along(ctx: SheetContext) -> View:
    """The housing cut along the shaft in the vertical plane."""
    strut, flange = ctx.strut, own(ctx)
    barrel, half = strut.barrel, strut.barrel.length_mm / 2
    view = View("along", "front", "SECTION A-A")
    flange_cut.add_cut(ctx, view)
    low, high = _reach(strut, flange)
    far, d = 0.35 * (high - low), strut.shaft.diameter_mm
    x0, x1 = min([low, *_propeller(view, ctx)]) - 0.4 * far, high + far
    for y in (-d / 2, d / 2):
        view.add([Line((x0, y), (low, y)), Line((high, y), (x1, y))], "phantom")
    view.centre_line((x0, 0.0), (x1, 0.0))
    view.note((x1 - 0.2 * far, -d / 2), [f"SHAFT Ø{ctx.length(d)}"], at_deg=-60.0)
    box, at = flange.outline.bounding_box(), barrel.x(flange.plane.station_mm)
    axes, sign = frames.flange_axes(flange, barrel), 1.0 if flange.plane.looks == "forward" else -1.0
    bedding = [seen(FRONT, axes.to_strut(np.array([[u, 0.0]]))[0]) for u in (box.xmin, box.xmax)]
    free = [seen(FRONT, axes.to_strut(np.array([[u, 0.0]]), -flange.thickness_mm)[0]) for u in (box.xmin, box.xmax)]
    end = shapes.spigot_end_mm(flange, barrel)
    deep = max(0.5 * far, 0.0 if end is None else abs(end - at) + 0.15 * far)
    if strut.shoe is None:
        _base(view, flange, bedding, sign * deep)
    else:
        _keel(view, strut.shoe, bedding, sign * max(abs(deep), 0.12 * math.dist(*bedding)))
    r = barrel.outside_mm / 2
    view.horizontal((-half, -r), (half, -r))
    if abs(half * sign - at) > 0.005:
        view.horizontal((-half * sign, -r), (at, 0.0), Label(suffix="TO BEDDING FACE"))
    if abs(flange.plane.turn_deg) < 0.005:
        view.aligned(free[1], bedding[1], offset_mm=6.0)
    else:  # it turns in plan, and stands aslant to this view
        words = [f"flange {ctx.length(flange.thickness_mm)} thick,", "square to its faces"]
        view.note(free[1], words, at_deg=90.0 + 40.0 * sign)
    flange_cut.true_face(ctx, view, flange, AXIS)
    _root(ctx, view, flange, sign)
    if flange.spigot is not None and end is not None:
        s = flange.spigot
        view.horizontal((at, s.outside_mm / 2), (end, s.outside_mm / 2), side="above")
        side: Literal["left", "right"] = "right" if sign > 0 else "left"
        view.vertical((end, -s.outside_mm / 2), (end, s.outside_mm / 2), Label(prefix="Ø"), side=side)
        view.vertical((end, -s.bore_mm / 2), (end, s.bore_mm / 2), Label(prefix="Ø"), side=side)
        flange_cut.barb_note(ctx, view, flange)
    if abs(flange.plane.lean_deg) > 0.005:
        up, square = bedding[1], (at, bedding[1][1])
        view.angle((at, 0.0), up, square, reach_mm=0.8 * bedding[1][1])
    flange_cut.recess_note(ctx, view, flange)
    view.arrow((x1, 0.0), 0.0, "FWD")
    view.datum(bedding[1], FACE, toward="above")
    return view


def _propeller(view: View, ctx: SheetContext) -> list[float]:
    """Hub and the reach of the blades in phantom lines; the aftmost x that is drawn."""
    strut = ctx.strut
    p, x = strut.propeller, -float(propeller_plane_mm(strut))
    if p.diameter_mm is None or p.hub_length_mm is None:
        return []
    h, long = HUB_SHARE * p.diameter_mm / 2, p.hub_length_mm / 2
    view.add([Poly(((x - long, -h), (x + long, -h), (x + long, h), (x - long, h)), True)], "phantom")
    view.note((x, h), [f"HUB, PROPELLER Ø{ctx.length(p.diameter_mm)}"], at_deg=110.0)
    if p.hub_gap_mm:
        face = (-strut.barrel.length_mm / 2, -strut.barrel.aft_end.end_diameter_mm / 2)
        view.horizontal((x + long, -h), face, Label(suffix="GAP"))
    return [x - long]


def _root(ctx: SheetContext, view: View, flange: Flange, sign: float) -> None:
    """The fillet of a casting, or the weld, between barrel and free face; and the ribs."""
    r, barrel, ribs = ctx.strut.barrel.outside_mm / 2, ctx.strut.barrel, flange.ribs
    corner = shapes.face_x_mm(flange, barrel, flange.thickness_mm, 180.0, r), -r
    if ctx.strut.construction == "cast":
        if flange.root_mm > 0:
            off = flange.root_mm * (1.0 - math.sqrt(0.5))
            words = [f"R{ctx.length(flange.root_mm)} all round"]
            view.note((corner[0] - sign * off, -r - off), words, at_deg=-90.0 - 35.0 * sign)
    elif ribs is None:
        size = f"z{common.weld_size(ctx, flange.root_mm)}"
        view.weld(corner, "fillet", size, tail="W1", at_deg=-90.0 - 35.0 * sign)
    if ribs is None:
        return
    profile = shapes.rib_profile(flange, barrel, ribs.first_clock_deg)
    up = math.cos(math.radians(ribs.first_clock_deg))
    middle = ((profile[2][0] + profile[3][0]) / 2, up * (profile[2][1] + profile[3][1]) / 2)
    sizes = f"{ctx.length(ribs.along_mm)} along, {ctx.length(ribs.out_mm)} out"
    count = f"{ribs.count} ribs" if ribs.count > 1 else "rib"
    words = [f"{count}, {ctx.length(ribs.thickness_mm)} thick,", sizes]
    words.append(f"first at clock {common.degrees(ribs.first_clock_deg, 1)}")
    view.note(middle, words, at_deg=90.0 + 45.0 * sign if up >= 0 else -90.0 - 45.0 * sign)


def _base(view: View, flange: Flange, bedding: list[P], deep: float) -> None:
    """What the flange stands on, in phantom lines, with its bore."""
    (x0, y0), (x1, y1) = bedding
    out = 0.12 * abs(y1 - y0)
    slope = (x1 - x0) / (y1 - y0)

    def at(y: float) -> P:
        return (x0 + (y - y0) * slope, y)

    bore = flange.base.bore_mm / 2
    for far, near in ((y0 - out, -bore), (y1 + out, bore)):
        edge = [at(far), at(near)]
        view.add([Line(edge[0], edge[1]), Line(edge[1], (edge[1][0] + deep, edge[1][1]))], "phantom")
    top = at(y1 + out)
    view.note((top[0] + 0.4 * deep, at(y1)[1]), ["BASE"], at_deg=60.0 if deep > 0 else 120.0)


def _keel(view: View, shoe: Shoe, bedding: list[P], deep: float) -> None:
    """The keel over a rudder shoe, in phantom lines, from its after end forward."""
    (x0, y0), (x1, y1) = bedding
    slope, out = (x1 - x0) / (y1 - y0), 0.12 * abs(y1 - y0)
    near = shoe.keel_end_mm / math.hypot(1.0, slope)
    start, far = ((x0 + (y - y0) * slope, y) for y in (near, y1 + out))
    view.add([Line(start, far), Line(start, (start[0] + deep, start[1]))], "phantom")
    view.note((start[0] + 0.7 * deep, near), ["KEEL"], at_deg=-60.0 if deep > 0 else -120.0)
    view.vertical((start[0], 0.0), start, Label(suffix="KEEL'S END", reference=True), side="left")


def _from_aft(ctx: SheetContext) -> View:
    strut, flange = ctx.strut, own(ctx)
    view = View("aft", "seen from left", "SEEN FROM AFT")
    view.add_projection(ctx.view("housing", common.bare_strut(ctx), FROM_AFT), hidden=False)
    box, axes = flange.outline.bounding_box(), frames.flange_axes(flange, strut.barrel)
    corners = [seen(FROM_AFT, p) for p in axes.to_strut(flange.outline.polyline(0.5))]
    near = -flange.thickness_mm if flange.plane.looks == "forward" else 0.0  # the face that is seen
    for hole in flange.holes:
        place = axes.to_strut(np.array([[hole.u_mm, hole.v_mm]]), near)[0]
        view.centre_mark(seen(FROM_AFT, place), 1.4 * max(flange.bolt.hole_mm, flange.bolt.head_diameter_mm))
    low, high = min(corners, key=lambda p: p[1]), max(corners, key=lambda p: p[1])
    left, right = min(corners), max(corners)
    sizes = box.xmax - box.xmin, box.ymax - box.ymin
    view.centre_mark((0.0, 0.0), 1.15 * (max(sizes) if strut.shoe is None else min(sizes)))
    view.add([Arc((0.0, 0.0), strut.shaft.diameter_mm / 2)], "phantom")
    reach = 0.62 * (high[1] - low[1])
    ends = (-1.05 * reach, 1.05 * reach) if strut.shoe is None else (low[1] - 0.1 * reach, high[1] + 0.1 * reach)
    view.cutting_plane((0.0, ends[0]), (0.0, ends[1]), "A", looking="left")
    view.label((left[0] - 0.1 * reach, 0.25 * reach), strut.identity.side("port").upper())
    view.label((right[0] + 0.1 * reach, 0.25 * reach), strut.identity.side("starboard").upper())
    return view


def picture(ctx: SheetContext) -> View:
    k = 1.0 / math.sqrt(3.0)
    eye = Viewpoint((-k, -k, k), (k * math.sqrt(1.5), -k * math.sqrt(1.5), 0.0))
    view = View("picture", "free", "SEEN FROM AFT AND ABOVE")
    shells = [p.shape for p in ctx.built.parts if p.kind == "bearing shell"]
    view.add_projection(ctx.view("picture", common.compound([common.bare_strut(ctx), *shells]), eye), hidden=False)
    return view


# --- drilling -------------------------------------------------------------------------------------------------------


def flange_drilling(ctx: SheetContext) -> Sheet:
    """Return the drilling sheet of the flange, seen square to its free face, from which it is drilled."""
    strut, flange = ctx.strut, own(ctx)
    return ctx.sheet(
        "Flange, drilling",
        "Drilling drawing",
        [_free_face(ctx), plates.hole_section(ctx, flange, "flange", plates.FaceNames("FREE FACE", "BEDDING FACE"))],
        face="FREE FACE",
        tables=[_hole_table(ctx), *_corner_table(ctx)],
        notes=_notes(ctx),
        cautions=[cautions.STRUCTURE, cautions.drilling(common.family(strut.material))],
        scales=common.no_larger(common.scales_between(tolerances.longest_mm(flange), 95.0, 420.0)),
        part="flange",
    )


def _seen_at(flange: Flange, u: float, v: float) -> P:
    """A place of the flange as seen on its free face, up is up: the eye looks toward the base."""
    return v, u


def _free_face(ctx: SheetContext) -> View:
    flange = own(ctx)
    view = View("free face", "front", "FREE FACE, SEEN SQUARE TO THE FLANGE")
    view.add_outline(seen_on_free_face(flange).vertices)
    box, bolt, ring = flange.outline.bounding_box(), flange.bolt, plates.ring_mm(flange)
    for hole in flange.holes:
        at = _seen_at(flange, hole.u_mm, hole.v_mm)
        view.circle(at, bolt.hole_mm, marked=False)
        if bolt.head.recess:
            view.add([Arc(at, bolt.head_diameter_mm / 2)])
        view.centre_mark(at, 2 * ring)
        view.label(at, str(hole.number), ring_mm=ring)
    _barrel_and_ribs(ctx, view, flange)
    view.centre_line((0.0, box.xmin), (0.0, box.xmax))
    view.centre_line((box.ymin, 0.0), (box.ymax, 0.0))
    said: Any = ctx.resolved.said  # of a housing with a flange
    pattern = said.bolts.pattern
    if pattern.kind == "circle":
        radius = math.hypot(flange.holes[0].u_mm, flange.holes[0].v_mm)
        view.add([Arc((0.0, 0.0), radius)], "centre")
        lowest = min(flange.holes, key=lambda h: (h.u_mm, h.v_mm))
        view.diameter((0.0, 0.0), 2 * radius, Label(basic=True), extra=["circle of holes"])
        led = _seen_at(flange, lowest.u_mm, lowest.v_mm)
    else:
        led = _seen_at(flange, flange.holes[0].u_mm, flange.holes[0].v_mm)
    label = Label(prefix=f"{len(flange.holes)}×", suffix="THRU", row="flange.holes")
    recess = bolt.head.recess
    view.diameter(
        led, bolt.hole_mm, label, extra=[f"{recess} as SECTION" if recess else "no recess", f"for {bolt.size}"]
    )
    across = diameter_mm(flange.outline)
    if across is None:
        view.horizontal((box.ymin, 0.0), (box.ymax, 0.0))
        view.vertical((0.0, box.xmin), (0.0, box.xmax))
        plates.corner_sizes(view, flange.outline, seen_on_free_face(flange), partial(_seen_at, flange))
    else:
        view.diameter((box.ymin + across / 2, box.xmin + across / 2), across, Label())
    if abs(box.xmin + box.xmax) > 0.01:
        view.vertical((0.0, box.xmin), (0.0, 0.0), side="left")
    if abs(box.ymin + box.ymax) > 0.01:
        view.horizontal((box.ymin, 0.0), (0.0, 0.0))
    view.arrow((0.0, 1.16 * box.xmax), 90.0, "UP")
    starboard = 1.0 if flange.plane.looks == "forward" else -1.0
    view.label((1.2 * box.ymax * starboard, 0.0), ctx.strut.identity.side("starboard").upper())
    return view


def _barrel_and_ribs(ctx: SheetContext, view: View, flange: Flange) -> None:
    """What stands on the free face, in phantom lines: the barrel, on a slant an oval, and the ribs."""
    strut, ribs = ctx.strut, flange.ribs
    view.add([from_vertices(barrel_on_free_face(strut, flange).vertices, True)], "phantom")
    radius = strut.barrel.outside_mm / 2
    (below,) = seen_through(strut, flange, np.array([[0.0, 0.0, -radius]]), flange.thickness_mm)
    view.note(below, [f"BARREL Ø{ctx.length(2 * radius)}"], at_deg=-100.0, head="dot")
    for clock in () if ribs is None else ribs.clocks_deg:
        assert ribs is not None
        out, aside = frames.radial(clock), 0.5 * ribs.thickness_mm * frames.radial(clock + 90.0)
        ends = [radius * out + aside, (radius + ribs.out_mm) * out + aside]
        ends += [(radius + ribs.out_mm) * out - aside, radius * out - aside]
        view.add([Poly(tuple(seen_through(strut, flange, np.array(ends), flange.thickness_mm)), False)], "phantom")


def _corner_table(ctx: SheetContext) -> list[Table]:
    """The corners of an outline that its sizes over all do not give, from the shaft line."""
    flange, f = own(ctx), ctx.figures
    sign = -1.0 if flange.plane.looks == "forward" else 1.0
    rows = tuple(
        (f"V{k}", f.length(c.at[0]), f.length(sign * c.at[1]), f.length(c.radius_mm))
        for k, c in enumerate(plates.sharp_corners(flange.outline) or (), 1)
    )
    title = f"OUTLINE, SHARP CORNERS, {ctx.unit}"
    return (
        [Table(name="corners", title=title, columns=("corner", "up", "to port", "radius"), rows=rows)] if rows else []
    )


def _hole_table(ctx: SheetContext) -> Table:
    f, flange = ctx.figures, own(ctx)
    bolt, sign = flange.bolt, -1.0 if flange.plane.looks == "forward" else 1.0
    gaps = flange.outline.distance_to_boundary([(h.u_mm, h.v_mm) for h in flange.holes])
    rows = tuple(
        (
            str(h.number),
            f.length(h.u_mm),
            f.length(sign * h.v_mm),
            f.length(math.hypot(h.u_mm, h.v_mm)),
            common.degrees(math.degrees(math.atan2(sign * h.v_mm + 0.0, h.u_mm + 0.0))),
            f"Ø{f.length(bolt.hole_mm)} thru",
            f"({f.length(gap)})",
        )
        for h, gap in zip(flange.holes, gaps.tolist(), strict=True)
    )
    columns = ("hole", "up", "to port", "radius", "clock", "hole", "edge")
    title = f"HOLE TABLE, FLANGE, {ctx.strut.identity.number}, {ctx.unit}"
    codes = tuple(f"flange.hole{h.number}" for h in flange.holes)
    return Table(name="holes", title=title, columns=columns, rows=rows, codes=codes)


def drilling_steps(ctx: SheetContext) -> list[str]:
    """Return what is done to the flange, in order."""
    return [
        f"bore, and face the bedding face {FACE} in the same set-up",
        "bed it on parallels, free face up",
        "mark out or set the jig",
        "drill",
        *(["cut the seats of the heads from the FREE FACE"] if own(ctx).bolt.recess else []),
        "deburr both sides",
    ]


def _notes(ctx: SheetContext) -> list[str]:
    strut, flange = ctx.strut, own(ctx)
    torque = torque_words(ctx.findings, ctx.unit)
    count = len(flange.holes)
    tight = [f"{count} × {flange.bolt.size}, torque {torque} with anti-seize."] if torque else []
    return common.general_notes(
        ctx,
        [
            f"Holes from the shaft line, datum {AXIS}, the axis of the {common.datum_axis(strut)}; up and to port in "
            f"the face. Position of the holes within Ø{ctx.length(tolerances.hole_position_mm(strut))} of each other, "
            f"and square to the bedding face {FACE}.",
            f"Sequence: {'; '.join(drilling_steps(ctx))}.",
            FACES,
            *tight,
            f"{common.file_words(strut)}flange-free-face and gasket; template of the base beside them.",
        ],
    )
