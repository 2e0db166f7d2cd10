"""The founder's sheet: the rough casting at pattern size with its stock, core, parting and targets, and in figures.

Views are at pattern scale, as the pattern maker measures with a plain rule; what he checks by is in the tables.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.projection import LEFT, Viewpoint, cut_faces, project, section
from strutwright.exporters.drawing.shapes import Arc, Line, P, xy
from strutwright.exporters.drawing.sheet import Sheet
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common, founder_tables
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.founder_cap import cap_sheet
from strutwright.exporters.sheets.founder_casting import STOCK_MM, Casting, shade_stock
from strutwright.exporters.sheets.founder_words import figure_notes, founder_notes
from strutwright.exporters.sheets.plane import clipped, crossings, seen, sides
from strutwright.models import cautions, frames
from strutwright.models.geometry import flange as flanges
from strutwright.models.geometry.skeg import stock_axis
from strutwright.models.outline import Floats
from strutwright.models.shop import founder, foundry
from strutwright.models.shop.draft import DraftRow
from strutwright.models.shop.founder import Heavy, Slice
from strutwright.models.shop.split_casting import SplitCasting
from strutwright.models.solids.casting import PatternSet
from strutwright.models.spec import Arm, Barrel, Skeg
from strutwright.models.spec_flange import Flange


def founder_sheets(ctx: SheetContext, made: PatternSet, rows: Sequence[DraftRow]) -> dict[str, Sheet]:
    """Return the founder's sheets by name: the casting as it is moulded, and the pattern in figures. rows: of the draft
    of the pattern's halves."""
    it = Casting(ctx, made)
    along, met = _along(it)
    heavy, slices = _slices(it)
    heavy += met
    extent = along.extent()
    drawn = ctx.sheet(
        "Casting and pattern",
        "Founder's sheet",
        [along, _from_aft(it), *slices],
        mass=f"rough {common.mass_text(ctx, made.casting_kg)}",
        tables=[founder_tables.sizes(it), founder_tables.heavy_table(it, heavy), founder_tables.target_table(it)],
        notes=founder_notes(ctx, made, heavy, rows),
        cautions=[cautions.STRUCTURE, cautions.LIFTING],
        scales=common.no_larger(common.scales_between(max(extent.width, extent.height), 95.0, 260.0)),
    )
    figures = ctx.sheet(
        "Pattern in figures",
        "Founder's sheet",
        [],
        tables=[
            *founder_tables.ordinate_tables(it),
            founder_tables.draft_table(ctx, rows),
            founder_tables.arrival_table(it),
        ],
        notes=figure_notes(ctx, made),
        smallest=0,
    )
    sheets = {"founders-sheet": drawn, "founders-figures": figures}
    return sheets if it.split is None or not made.cap else sheets | {"founders-cap": cap_sheet(it, it.split)}


def _palm_stock(view: View, it: Casting, eye: Viewpoint, loops: Sequence[Floats]) -> list[P]:
    """The stock of the faces that are bolted down in a section, and their finished faces; a place in each."""
    right, up, origin = np.array(eye.right), np.array(eye.up), np.array(eye.origin)
    places = []
    if it.cast.flange is not None:  # what stands on its face has stock of its own
        r = it.k * _on_face_mm(it.cast.flange, it.strut.barrel)
        loops = [part for loop in loops for side in (1.0, -1.0) if len(part := clipped(loop, np.array([0.0, side]), r))]
    for palm, rough in zip(it.strut.plates, it.cast.plates, strict=True):
        stock = it.k * (rough.thickness_mm - palm.thickness_mm)
        reach = stock + 15.0 * it.k  # the draft of a hull face comes on top
        axes = frames.plate_axes(it.strut, palm)
        way = np.array([float(axes.n @ right), float(axes.n @ up)])
        long = float(np.hypot(*way))
        if long > 0.2:
            way, off = way / long, float(axes.n @ (it.k * axes.origin - origin)) / long
            shade_stock(view, loops, way, off, reach / long)
            for p, q in crossings(loops, way, off + 0.5 * stock / long):
                places.append((0.75 * q[0] + 0.25 * p[0], 0.75 * q[1] + 0.25 * p[1]))
    return places


def _on_face_mm(flange: Flange, barrel: Barrel) -> float:
    """Radius of what stands on a flange's bedding face, mm."""
    own = 0.0 if flange.spigot is None else flange.spigot.outside_mm / 2
    return own if flanges.ends_in_face(flange.plane, barrel) else max(own, barrel.outside_mm / 2)


def _along(it: Casting) -> tuple[View, list[Heavy]]:
    """The casting cut lengthwise in the plane of shaft and arms, with stock, core and sizes; of a flange the heavy
    place at its root."""
    ctx, k, made, b = it.ctx, it.k, it.made, it.strut.barrel
    eye = it.lengthwise()
    title = "IN THE JOINT" if it.spec.parting == "arm_plane" else "ALONG THE SHAFT"
    view = View("casting", "front", f"ROUGH CASTING CUT {title}, AT PATTERN SIZE")
    cut = section(made.pattern.shape, eye)
    ctx.seconds["founder"] = cut.view.seconds
    view.add_projection(cut.view, hidden=False)
    core = it.core_loop()
    loops = [*cut.loops, *([core] if len(core) else [])]
    view.hatch([*cut.loops, it.core_loop(drawn=True)] if len(core) else loops)
    r, ends = k * b.outside_mm / 2, k * it.spec.stock_ends_mm
    places = _palm_stock(view, it, eye, loops)
    for at in places[:1] if it.strut.flange is None else [max(places, key=lambda p: p[1])]:
        plate, rough = it.strut.plates[0], it.cast.plates[0]
        where = [] if plate.curve is None else ["in the middle"]
        stock = k * (rough.thickness_mm - plate.thickness_mm)
        view.note(at, [f"STOCK {ctx.length(stock)}", *where], head="dot", at_deg=50.0)
    finished = _finished_ends(it)
    for way, (x, wide) in zip((-1.0, 1.0), finished, strict=True):  # the barrel's two faces
        shade_stock(view, loops, np.array([way, 0.0]), way * k * x, ends + 15.0 * k, within=1.05 * k * wide)
    middle = (it.spec.core_diameter_mm + b.outside_mm) / 4 * k * (1.0 if it.split is None else -1.0)
    if it.split is not None:
        _split_stock(view, it, it.split, loops)
    free = -1.0 if foundry.free_ends(it.strut)[0] else 1.0
    at = (k * finished[0 if free < 0 else 1][0] + free * 0.5 * ends, -middle)
    view.note(at, [f"STOCK {ctx.length(ends)}", "each face"], head="dot", at_deg=-90.0 + 50.0 * free)
    _bore_stock(view, it)
    _spigot_stock(view, it, loops)
    _boss_stock(view, it, eye, loops)
    view.centre_line((k * finished[0][0], 0.0), (k * finished[1][0], 0.0))
    if len(core):
        _core_sizes(view, it, core)
    (aft, _), (fore, _) = foundry.end_faces_mm(it.strut, it.spec)
    low = r if it.split is None else it.below_mm(it.split.open_mm)
    view.horizontal((k * aft, -low), (k * fore, -low))
    if it.split is not None:
        view.vertical((k * it.half, 0.0), (k * it.half, r), Label(prefix="R"), side="right")
    elif it.strut.flange is None:
        view.vertical((k * it.half, -r), (k * it.half, r), Label(prefix="Ø"), side="right")
    else:
        _flange_cut(view, it)
    view.centre_mark((0.0, 0.0), 6.0)
    view.note((0.0, 0.0), ["DATUM: all contraction", "is about this point"], at_deg=-60.0, head="dot")
    _drop(view, it)
    _targets(view, it, eye)
    box = view.extent()
    view.arrow((box.x1 - 0.2 * box.width, box.y1 + 0.04 * box.height), 0.0, "FWD")
    if it.strut.flange is None:
        return view, []
    heavy = founder.flange_junction(it.strut, it.spec, [loop / k for loop in loops])
    _circle(view, it, heavy, len(founder.walls(it.strut, it.spec)) + 1)
    return view, [heavy]


def _finished_ends(it: Casting) -> tuple[tuple[float, float], tuple[float, float]]:
    """x and radius of the finished part's ends, aft and forward: of barrel, spigot or the flange it ends in, mm."""
    ends, flange, b = (
        [(-it.half, it.strut.barrel.outside_mm / 2), (it.half, it.strut.barrel.outside_mm / 2)],
        it.strut.flange,
        it.strut.barrel,
    )
    if flange is not None and not all(foundry.free_ends(it.strut)):
        at = flanges.spigot_end_mm(flange, b)
        here = b.x(flange.plane.station_mm)
        far = (
            (here, 0.0)
            if at is None or flange.spigot is None
            else (at, flange.spigot.outside_mm / 2 + it.spec.stock_ends_mm)
        )
        ends[1 if flange.plane.looks == "forward" else 0] = far
    return ends[0], ends[1]


def _split_stock(view: View, it: Casting, split: SplitCasting, loops: Sequence[Floats]) -> None:
    """What is machined off the body's face of the split."""
    finished = -it.below_mm(-split.cap.gap_mm / 2)
    shade_stock(view, loops, np.array([0.0, -1.0]), -finished, finished + it.below_mm(split.open_mm) + 0.1)


def _spigot_stock(view: View, it: Casting, loops: Sequence[Floats]) -> None:
    """What is turned off the spigot's outside."""
    flange, k = it.strut.flange, it.k
    if flange is None or flange.spigot is None:
        return
    way = 1.0 if flange.plane.looks == "forward" else -1.0
    x, r = k * it.strut.barrel.x(flange.plane.station_mm), k * flange.spigot.outside_mm / 2
    beyond = [clipped(loop, np.array([way, 0.0]), way * x) for loop in loops]
    rough = k * it.spec.stock_ends_mm + 0.1
    for side in (1.0, -1.0):
        shade_stock(view, beyond, np.array([0.0, side]), r, rough)


def _flange_cut(view: View, it: Casting) -> None:
    """The rough sizes of barrel, flange and spigot in the lengthwise cut."""
    flange, k, b = it.cast.flange, it.k, it.strut.barrel
    assert flange is not None
    way, r = 1.0 if flange.plane.looks == "forward" else -1.0, k * b.outside_mm / 2
    sides: tuple[Literal["left", "right"], Literal["left", "right"]] = ("left", "right")
    free, based = sides if way > 0 else sides[::-1]
    x = -way * k * 0.2 * it.half
    view.vertical((x, -r), (x, r), Label(prefix="Ø"), side=free)
    box, axes = flange.outline.bounding_box(), frames.flange_axes(flange, b)
    rim = [
        seen(it.lengthwise(), k * axes.to_strut(np.array([[box.xmax, 0.0]]), -deep)[0])
        for deep in (flange.thickness_mm, 0.0)
    ]
    view.aligned(rim[0], rim[1], Label(suffix="at the rim"), offset_mm=6.0)
    end = flanges.spigot_end_mm(flange, b)
    if end is not None and flange.spigot is not None:
        out = k * flange.spigot.outside_mm / 2
        view.vertical((k * end, -out), (k * end, out), Label(prefix="Ø"), side=based)


def _circle(view: View, it: Casting, heavy: Heavy, number: int) -> None:
    """The circle of a heavy place."""
    assert heavy.centre_mm is not None
    at = it.k * heavy.centre_mm[0], it.k * heavy.centre_mm[1]
    view.add([Arc(at, it.k * heavy.thick_mm / 2)], "phantom")
    view.centre_mark(at, 0.3 * heavy.thick_mm)
    view.note(at, [f"heavy place {number}: Ø{it.ctx.length(heavy.thick_mm)}"], head="dot", at_deg=20.0)


def _bore_stock(view: View, it: Casting) -> None:
    """What is bored out: between core and finished bore, or all of it."""
    b, k, inner = it.strut.barrel, it.k, it.spec.core_diameter_mm / 2
    chain = [(k * x, k * r) for x, r in _finished_bore(it)]
    for side in (1.0, -1.0) if it.split is None else (1.0,):
        edge = np.array([(x, side * r) for x, r in chain])
        low = np.array([(chain[-1][0], side * k * inner), (chain[0][0], side * k * inner)])
        view.hatch([np.vstack([edge, low])], spacing_mm=STOCK_MM, angle_deg=135.0, kind="stock")
        view.add_outline(edge, "phantom", closed=False)
    if inner > 0.0:
        words = [f"STOCK {it.ctx.length(k * it.spec.stock_bore_mm)}", "on the radius"]
        view.note((-0.3 * k * it.half, 0.5 * k * (inner + b.bore_mm / 2)), words, head="dot", at_deg=130.0)


def _finished_bore(it: Casting) -> list[tuple[float, float]]:
    """x and radius along the finished bore, through flange and spigot where it goes on."""
    b, flange, (_, chain) = it.strut.barrel, it.strut.flange, flanges.half_section(it.strut)
    if flange is None or flange.spigot is not None or all(foundry.free_ends(it.strut)):
        return chain
    plain = chain[-1 if flange.plane.looks == "forward" else 0]
    more = [(b.x(flange.plane.station_mm), plain[1])]
    return [*chain, *more] if flange.plane.looks == "forward" else [*more, *chain]


def _boss_stock(view: View, it: Casting, eye: Viewpoint, loops: Sequence[Floats]) -> None:
    """What is faced off a heel boss; its bore is out of the solid."""
    skeg = it.strut.skeg
    if skeg is None or skeg.heel is None:
        return
    heel, right, up = skeg.heel, np.array(eye.right), np.array(eye.up)
    way = np.array([float(stock_axis(heel) @ right), float(stock_axis(heel) @ up)])
    way = way / float(np.hypot(*way))
    aside, middle = np.array([way[1], -way[0]]), it.k * np.array(seen(eye, np.asarray(heel.centre_mm)))
    for side in (1.0, -1.0):
        off = side * float(middle @ aside) - 0.51 * it.k * heel.outside_mm
        loops = [clipped(loop, side * aside, off) for loop in loops]
    stock, half = it.k * it.spec.stock_ends_mm, 0.5 * it.k * heel.height_mm
    for end in (1.0, -1.0):
        shade_stock(view, loops, end * way, end * float(middle @ way) + half, 1.5 * stock)
    place = middle - (half + 0.5 * stock) * way
    words = [f"STOCK {it.ctx.length(stock)}", "each face; bored from solid"]
    view.note(xy(place), words, head="dot", at_deg=-120.0)


def _core_sizes(view: View, it: Casting, core: Floats) -> None:
    """The core's lines and sizes; of a print its length, and a cross."""
    view.add([Line(xy(core[0]), xy(core[1])), Line(xy(core[2]), xy(core[3]))], "thin")
    (low, r), (high, flat) = core[3], core[1]
    view.add([Line((low, flat), (low, r)), Line((high, flat), (high, r))], "thin")
    (_, aft), (_, fore) = ((it.k * x for x in end) for end in foundry.end_faces_mm(it.strut, it.spec))
    for near, far in ((aft, low), (fore, high)):
        view.add([Line((near, flat), (far, r)), Line((near, r), (far, flat))], "thin")
    view.vertical((low, flat), (low, r), Label(prefix="core Ø" if it.split is None else "core "), side="left")
    view.horizontal((low, flat), (high, flat), Label(suffix="core over prints"))
    view.horizontal((fore, flat), (high, flat), Label(suffix="print"))
    view.note(((fore + high) / 2, 0.5 * r), ["CORE PRINT"], at_deg=60.0, head="dot")


def _drop(view: View, it: Casting) -> None:
    """How high the rough and the finished hull face lie over the shaft line, where one plane serves all palms."""
    if (
        not it.strut.palms
        or len({(p.plane.drop_mm, p.plane.pitch_deg) for p in it.strut.palms}) > 1
        or abs(float(it.up[1])) > 1e-9
    ):
        return
    where = "" if abs(it.strut.palms[0].zero_mm[1]) < 1.0 else " at the middle plane"
    for palm, words in ((it.cast.palms[0], f"rough hull face{where}"), (it.strut.palms[0], f"finished{where}")):
        view.vertical((0.0, 0.0), (0.0, it.k * palm.plane.drop_mm), Label(suffix=words), side="left")


def _targets(view: View, it: Casting, eye: Viewpoint) -> None:
    """Where the datum targets lie along the shaft: the pair on either side under one word."""
    pairs: dict[P, list[str]] = {}
    for target in founder.datum_targets(it.strut, it.spec):
        x, y = seen(eye, it.k * target.at)
        pairs.setdefault((round(x, 3), round(y, 3)), []).append(target.name)
    for at, names in pairs.items():
        way = -70.0 if names[0][0] == "A" else 200.0
        view.note(at, [" ".join(names)], head="dot", at_deg=way)


def _from_aft(it: Casting) -> View:
    """The pattern from aft, with the joint, the pull of both halves and the sides."""
    k, b = it.k, it.strut.barrel
    view = View("from aft", "seen from left", "PATTERN SEEN FROM AFT: JOINT AND PULL")
    shown = project(it.made.pattern.shape, LEFT, hidden=False)
    view.add_projection(shown, hidden=False)
    box = view.extent()
    axes = foundry.parting_axes(it.strut, it.spec.parting)
    along = np.array(seen(LEFT, axes.v))
    pull = np.array(seen(LEFT, axes.n))
    reach = 0.56 * (abs(along[0]) * box.width + abs(along[1]) * box.height)
    middle = np.array(box.centre)
    middle = middle - float(middle @ pull) * pull  # the joint holds the shaft line
    ends = middle - reach * along, middle + reach * along
    view.add([Line(xy(ends[0]), xy(ends[1]))], "cutting")
    view.note(xy(ends[1]), ["PARTING"], at_deg=math.degrees(math.atan2(pull[1], pull[0])) + 25.0)
    r = k * b.outside_mm / 2
    out = 0.5 * (abs(pull[0]) * box.width + abs(pull[1]) * box.height)
    for way, name in zip((1.0, -1.0), foundry.half_names(it.spec.parting, it.strut.family), strict=True):
        tail = way * max(1.6 * r, 0.45 * out) * pull - 1.9 * r * along
        turn = math.degrees(math.atan2(way * pull[1], way * pull[0]))
        view.arrow(xy(tail), turn, f"PULL, {name.upper()}")
    for target in founder.datum_targets(it.strut, it.spec):
        if target.name in ("A1", "A2", "B1", "B2"):
            pair = {"A1": "A1 A3", "A2": "A2 A4"}.get(target.name, target.name)
            view.note(seen(LEFT, k * target.at), [pair], at_deg=-50.0 if "2" in target.name else -130.0, head="dot")
    sides(view, (box.x0, 0.0), (box.x1, 0.0))
    return view


def _slices(it: Casting) -> tuple[list[Heavy], list[View]]:
    """How heavy the casting is, place by place, and the sections with the circles."""
    heavy, views = founder.walls(it.strut, it.spec), []
    planes: list[tuple[Slice, list[Arm | Skeg]]] = [
        (founder.arm_slice(it.strut, arm), [arm]) for _, arm in founder.arms_told(it.strut)
    ]
    if it.strut.skeg is not None:
        own = founder.skeg_slice(it.strut, it.strut.skeg, [plane for plane, _ in planes])
        for plane, parts in planes:
            if plane is own:
                parts.append(it.strut.skeg)
                break
        else:
            planes.append((own, [it.strut.skeg]))
    for number, (plane, parts) in enumerate(planes, 1):
        view, found = _slice_view(it, plane, parts, f"heavy {number}", len(heavy))
        heavy += found
        views.append(view)
    return heavy, views


def _slice_view(
    it: Casting, plane: Slice, parts: Sequence[Arm | Skeg], name: str, before: int
) -> tuple[View, list[Heavy]]:
    """A section across an arm, the skeg or both at their thickest, at pattern size, with the circles where they meet
    other parts."""
    k = it.k
    (tx, ty, tz), (rx, ry, rz), (ox, oy, oz) = (
        tuple(float(c) for c in v) for v in (plane.toward, plane.right, k * plane.origin)
    )
    eye = Viewpoint((tx, ty, tz), (rx, ry, rz), (ox, oy, oz))
    where = it.ctx.length(k * (float(plane.origin[0]) + it.half))
    called = " AND THE ".join("SKEG" if isinstance(part, Skeg) else "ARM" for part in parts)
    view = View(name, "free", f"SECTION ACROSS THE {called}, {where} FROM THE FINISHED AFT FACE: HEAVY PLACES")
    loops = list(cut_faces(it.made.pattern.shape, eye).loops)
    if it.spec.cored:
        loops += cut_faces(it.made.core[0].shape, eye).loops
    for loop in loops:
        view.add_outline(loop)
    view.hatch(loops, angle_deg=_hatch_deg(it, plane))
    _palm_stock(view, it, eye, loops)
    _bored_out(view, it, plane, loops)
    own, found = [loop / k for loop in loops], list[Heavy]()
    for part in parts:
        if isinstance(part, Skeg):
            found += founder.skeg_junctions(it.strut, it.spec, part, plane, own)
        else:
            found += founder.junctions(it.strut, it.spec, part, plane, own)
    for number, h in enumerate(found, before + 1):
        _circle(view, it, h, number)
    box = view.extent()
    view.scale = common.one_scale(max(box.width, box.height), 200.0)
    return view, found


def _hatch_deg(it: Casting, plane: Slice) -> float:
    """The slope of section lines that runs least along an arm."""
    axes = [frames.arm_axes(a, it.strut.barrel, frames.arm_plane(it.strut, a)).n for a in it.strut.arms]
    slopes = [math.degrees(math.atan2(float(n @ plane.up), float(n @ plane.right))) for n in axes]
    return max(
        (45.0, 20.0, 70.0), key=lambda deg: round(min(abs((deg - s + 90.0) % 180.0 - 90.0) for s in slopes) > 15)
    )


def _bored_out(view: View, it: Casting, plane: Slice, loops: Sequence[Floats]) -> None:
    """The stock of the bore in a section across the barrel."""
    turn = np.linspace(0.0, math.tau, 73)[:-1]
    flat = max(abs(float(plane.toward[0])), 0.2)  # a plane that leans cuts the bore in an ellipse
    foot = plane.seen(np.array([plane.origin[0], 0.0, 0.0]))
    outer = founder.bore_at_mm(it.strut, float(plane.origin[0]) + it.half) / 2
    rings = []
    for r in (outer, it.spec.core_diameter_mm / 2):
        if r > 0:
            rings.append(it.k * (foot + np.column_stack([r * np.cos(turn), r / flat * np.sin(turn)])))
    if it.split is not None:
        way = np.array([float(it.split.toward @ plane.right), float(it.split.toward @ plane.up)])
        way = way / float(np.hypot(*way))
        rings = [clipped(ring, -way, -it.k * it.split.open_mm) for ring in rings]
        shade_stock(view, loops, way, -it.k * it.split.cap.gap_mm / 2, it.k * it.split.cap_stock_mm + 0.1)
    view.hatch(rings, spacing_mm=STOCK_MM, angle_deg=135.0, kind="stock")
    view.add_outline(rings[0], "phantom")
