"""The sheet of a hanger's split: the barrel seen from aft with cap, bolts, dowels and shims, and its height."""

from __future__ import annotations

import math

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.shapes import Line, P
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common, tolerances
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models import cautions, frames
from strutwright.models.spec import Palm, Strut
from strutwright.models.spec_hanger import Cap
from strutwright.params import tables


def split_sheet(ctx: SheetContext) -> Sheet | None:
    """Return the sheet of the split; None where the barrel is in one piece."""
    hanger = ctx.strut.hanger
    if hanger is None or hanger.cap is None:
        return None
    cap = hanger.cap
    return ctx.sheet(
        "Split and cap",
        "Part drawing",
        [_from_aft(ctx, cap), _in_the_split(ctx, cap)],
        tables=[_holes(ctx, cap), height_table(ctx)],
        notes=_notes(ctx, cap),
        cautions=[cautions.STRUCTURE, cautions.drilling(common.family(ctx.strut.material))],
    )


def turned_deg(strut: Strut) -> float:
    """Return how far the foot of a hanger is turned from the shaft in its own plane; 0 of every other part."""
    return 0.0 if strut.hanger is None else strut.hanger.turned_deg


def turned_length(view: View, palm: Palm, turned: float, reach_mm: float) -> None:
    """Add the length of a turned foot, u, through its zero, and the trace beside it, as seen on the free face."""
    c, s = math.cos(math.radians(turned)), math.sin(math.radians(turned))
    box = palm.outline.bounding_box()
    view.centre_line((box.xmin - 0.05 * reach_mm, 0.0), (reach_mm, 0.0))
    view.angle((0.0, 0.0), (reach_mm, 0.0), (reach_mm * c, reach_mm * s), reach_mm=0.95 * reach_mm, late=False)
    view.note((reach_mm, 0.0), ["u: the foot's length"], at_deg=-50.0 if turned > 0 else 50.0)


def _from_aft(ctx: SheetContext, cap: Cap) -> View:
    """The barrel's outline from aft, cap up, as it is machined: the split lies level."""
    b, view = ctx.strut.barrel, View("split", "front", "SEEN FROM AFT, TURNED SO THAT THE CAP LIES UP")
    r, bore, gap = b.outside_mm / 2, b.bore_mm / 2, cap.gap_mm / 2
    out, thick, bolt = cap.ear_out_mm, cap.ear_thickness_mm, cap.bolt
    view.circle((0.0, 0.0), 2 * bore, marked=False)
    foot = math.sqrt(max(r * r - thick * thick, 0.0))
    start = math.atan2(thick, foot)
    turn = np.linspace(start, math.pi - start, 61)
    for way in (1.0, -1.0):
        view.add_outline([(r * math.cos(t), way * r * math.sin(t)) for t in turn], closed=False)
        for side in (1.0, -1.0):
            view.add([Line((side * foot, way * thick), (side * out, way * thick))])
            view.add([Line((side * out, way * thick), (side * out, way * gap))])
            view.add([Line((side * out, way * gap), (side * bore, way * gap))])
    for side in (1.0, -1.0):
        view.centre_line((side * bolt.out_mm, -thick - 8.0), (side * bolt.out_mm, thick + 8.0))
        deep = -thick if bolt.engaged_mm is None else -gap - bolt.engaged_mm
        body = bolt.hole_mm if bolt.engaged_mm is None else bolt.major_mm
        for wide, low, high in ((bolt.hole_mm, gap, thick), (body, deep, -gap)):
            for x in (side * bolt.out_mm - wide / 2, side * bolt.out_mm + wide / 2):
                view.add([Line((x, low), (x, high))], "hidden")
    view.centre_line((-out - 8.0, 0.0), (out + 8.0, 0.0))
    view.centre_line((0.0, -r - 8.0), (0.0, r + 8.0))
    view.horizontal((-bolt.out_mm, -thick), (bolt.out_mm, -thick))
    view.horizontal((-out, -thick), (out, -thick))
    view.vertical((out, 0.0), (out, thick), side="right")
    view.vertical((-out, -thick), (-out, 0.0), side="left")
    view.diameter((0.0, 0.0), 2 * bore, Label(prefix="", suffix="BORE, SHIMS IN"))
    if cap.shims is not None:
        s = cap.shims
        words = [
            f"{s.count} shims {ctx.with_unit(s.thickness_mm)} each side for boring,",
            f"{s.count - s.taken_out} when the bearing is in; {s.material}",
        ]
        view.note((out, 0.0), words, at_deg=35.0)
    else:
        view.note((out, 0.0), ["cap and body meet"], at_deg=35.0)
    held = f"{bolt.size}, through"
    if bolt.engaged_mm is not None:
        held = f"{tables.tapped(bolt.size)}, {ctx.with_unit(bolt.engaged_mm)} of thread"
    view.note((-bolt.out_mm, thick), [f"{bolt.count}x {held}"], at_deg=125.0)
    view.label((0.0, (r + bore) / 2), "CAP", height_mm=3.5)
    return view


def _in_the_split(ctx: SheetContext, cap: Cap) -> View:
    """The body's face of the split, seen square to it: ears, bore and holes."""
    b, view = ctx.strut.barrel, View("face", "below", "SPLIT OF THE BODY, CAP AND SHIMS TAKEN OFF")
    x0, x1, out, bore = b.x(cap.ear_from_mm), b.x(cap.ear_to_mm), cap.ear_out_mm, b.bore_mm / 2
    half, r = b.length_mm / 2, b.outside_mm / 2

    def at(x: float, v: float) -> P:
        return x, v

    view.add_outline([at(x0, -out), at(x1, -out), at(x1, out), at(x0, out)])
    for side in (1.0, -1.0):
        view.add([Line(at(-half, side * bore), at(half, side * bore))])
        if x0 > -half + 0.01:
            for x, end in ((x0, -half), (x1, half)):
                view.add([Line(at(x, side * r), at(end, side * r)), Line(at(end, side * r), at(end, side * bore))])
    view.centre_line(at(-half - 8.0, 0.0), at(half + 8.0, 0.0))
    bolt = cap.bolt
    wide = bolt.hole_mm if bolt.engaged_mm is None else bolt.tap_drill_mm
    for s in bolt.stations_mm:
        for side in (1.0, -1.0):
            view.circle(at(b.x(s), side * bolt.out_mm), wide)
    first = at(b.x(bolt.stations_mm[0]), -bolt.out_mm)
    view.horizontal(at(x0, -out), first)
    for one, other in zip(bolt.stations_mm, bolt.stations_mm[1:], strict=False):
        view.horizontal(at(b.x(one), -bolt.out_mm), at(b.x(other), -bolt.out_mm))
    view.horizontal(at(x0, -out), at(x1, -out))
    view.vertical(at(x0, -bolt.out_mm), at(x0, bolt.out_mm), side="left")
    view.vertical(at(x1, -out), at(x1, out), side="right")
    if cap.dowels is not None:
        d = cap.dowels
        for s in d.stations_mm:
            for side in (1.0, -1.0):
                view.circle(at(b.x(s), side * d.out_mm), d.diameter_mm)
        words = [f"dowels Ø{ctx.length(d.diameter_mm)}, {ctx.with_unit(d.into_mm)} into either part,"]
        view.note(at(b.x(d.stations_mm[0]), d.out_mm), [*words, "drilled and reamed together"], at_deg=60.0)
    view.arrow((half, 0.0), 0.0, "FWD")
    return view


def _holes(ctx: SheetContext, cap: Cap) -> Table:
    b, rows, codes = ctx.strut.barrel, [], []
    bolt, dowels = cap.bolt, cap.dowels
    for what, code, out, stations, wide in (
        ("cap bolt", "split.bolts", bolt.out_mm, bolt.stations_mm, bolt.hole_mm),
        *([] if dowels is None else [("dowel", "split.dowels", dowels.out_mm, dowels.stations_mm, dowels.diameter_mm)]),
    ):
        codes += [code, *[""] * (len(stations) - 1)]
        for s in stations:
            rows.append((what, ctx.length(s), ctx.length(b.x(s)), f"±{ctx.length(out)}", f"Ø{ctx.length(wide)}"))
    columns = ("hole", "station", "from mid-barrel", "from the shaft line", "size")
    title = "HOLES OF THE SPLIT"
    return Table(name="holes of the split", title=title, columns=columns, rows=tuple(rows), codes=tuple(codes))


def height_table(ctx: SheetContext) -> Table:
    """Return how high the shaft line stands over foot and bed, and what lies between these."""
    hanger = ctx.strut.hanger
    assert hanger is not None
    under = hanger.under
    kinds = {"none": "nothing", "shims": "solid shims", "resin": "cast resin chock"}
    rows = [
        ("shaft line over the foot's face, at mid-barrel", ctx.length(hanger.height_mm)),
        ("under the foot", kinds[under.kind]),
        ("its thickness as drawn", ctx.length(under.thickness_mm)),
        ("its least and most", f"{ctx.length(under.least_mm)} / {ctx.length(under.most_mm)}"),
        ("shaft line over the bed", ctx.length(hanger.height_mm + under.thickness_mm)),
        ("bed, bore and line may be off together, each way", ctx.length(under.reach_mm)),
    ]
    return Table(name="height", title="HEIGHT OF THE SHAFT LINE", columns=("what", "size"), rows=tuple(rows))


def _notes(ctx: SheetContext, cap: Cap) -> list[str]:
    off = frames.angle_between_deg(cap.clock_deg, 180.0)
    lie = "straight opposite the foot" if off < 0.005 else f"at clock {common.degrees(cap.clock_deg)}"
    more = [
        f"The cap's middle lies {lie}. Machine both faces of the split, drill and tap, bolt the cap down on all its "
        "shims, drill and ream the dowel holes together, then bore: cap and body are a pair, with one number on both.",
        f"Faces of the split {tolerances.texture(ctx, tolerances.FACE_RA)}, and flat to a feeler of "
        f"{ctx.with_unit(tolerances.SPLIT_FLAT_MM)} with the cap bolted down without shims; seats of "
        "bolt heads and nuts faced square to the split.",
        "Never file the faces of the split, and never run with shims on one side only.",
    ]
    if words := shim_words(ctx):
        more.append(f"Fitting the bearing: {words}")
    return common.general_notes(ctx, more)


def shim_words(ctx: SheetContext) -> str:
    """Return what is done with the shims of a split when the bearing is fitted; nothing where none is taken out."""
    cap = None if ctx.strut.hanger is None else ctx.strut.hanger.cap
    shims = None if cap is None else cap.shims
    if shims is None or not shims.taken_out:
        return ""
    return (
        f"take out {shims.taken_out} on each side; the bore closes by {ctx.with_unit(shims.nip_mm)} across the split. "
        "Turn the shaft by hand after tightening; if it is stiff, put one back on each side."
    )
