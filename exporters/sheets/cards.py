"""Task cards: a page each for the one who does one operation, with the sizes of that operation alone.

Views, sizes, steps and words are those of the large sheets. What is measured goes into the rows of the record.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import partial

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.shapes import Line
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.flange_outlines import seen_on_free_face
from strutwright.exporters.sheets import barrel as barrels
from strutwright.exporters.sheets import common, flange, made_barrel, palm_work, set_up, tolerances
from strutwright.exporters.sheets import palm as plates
from strutwright.exporters.sheets.card_form import BLANK_MM, Step, card, measured_table, steps_table
from strutwright.exporters.sheets.context import SIDES, SheetContext
from strutwright.exporters.sheets.plane import palm_axes_lines
from strutwright.exporters.sheets.record import record_rows
from strutwright.models import cautions
from strutwright.models.bench.inspection import Row, palm_code
from strutwright.models.geometry.barrel import bore_points, outside_rows
from strutwright.models.outline import Outline
from strutwright.models.shop import development as dev
from strutwright.models.shop import sides
from strutwright.models.spec import Barrel, Palm, Plate


def boring_card(ctx: SheetContext) -> Sheet:
    """Return the card for boring and facing the barrel."""
    strut = ctx.strut
    shown = re.compile(r"bore\d+\.(gauged|coaxiality)|bearing\d+\.(outside|interference)|step|barrel\.(length|wall)")
    rows = [r for r in record_rows(ctx) if shown.match(r.code)]
    return card(
        ctx,
        "Barrel, boring",
        [_cut_barrel(ctx)],
        tables=[steps_table(_boring_steps(ctx)), measured_table(ctx, rows)],
        notes=[] if strut.palms else barrels.set_up_notes(ctx),
        warned=[cautions.RECORD, cautions.LIFTING, cautions.drilling(common.family(strut.material))],
        extent_mm=strut.barrel.length_mm,
    )


def drilling_card(ctx: SheetContext, *, index: int = 0) -> Sheet:
    """Return the card for drilling one of the strut's palms, by its place in the list."""
    strut, palm = ctx.strut, ctx.strut.palms[index]
    name = "Palm" if len(strut.palms) == 1 else palm.name.capitalize()
    steps, warned = palm_work.drilling_steps(ctx, palm)
    return card(
        ctx,
        f"{name}, drilling",
        [seen_palm(ctx, palm)],
        tables=[
            steps_table([(s, _tool(s)) for s in _together(steps)]),
            _places(ctx, palm_code(strut, palm), ("u", "v"), [(h.number, h.u_mm, h.v_mm) for h in palm.holes]),
            measured_table(ctx, _of_holes(ctx, palm_code(strut, palm))),
        ],
        notes=[
            "u forward, v to PORT, from the palm's zero, as the drilling sheet and the drill jig have it. Holes square "
            f"to the hull face {plates.FACE}. {warned}",
            *palm_work.obstacles(ctx, palm),
        ],
        warned=[cautions.RECORD, cautions.drilling(common.family(strut.material))],
        extent_mm=tolerances.longest_mm(palm),
        part=palm.name if any(side in palm.name for side in SIDES) else None,
    )


def flange_card(ctx: SheetContext) -> Sheet:
    """Return the card for drilling the flange of a housing."""
    strut, own = ctx.strut, flange.own(ctx)
    port = -1.0 if own.plane.looks == "forward" else 1.0
    places = [(h.number, h.u_mm, port * h.v_mm + 0.0) for h in own.holes]
    return card(
        ctx,
        "Flange, drilling",
        [seen_flange(ctx)],
        tables=[
            steps_table([(s, _tool(s)) for s in flange.drilling_steps(ctx)]),
            _places(ctx, "flange", ("up", "to port"), places),
            measured_table(ctx, _of_holes(ctx, "flange")),
        ],
        notes=[
            f"Holes from the shaft line, up and to port in the face; square to the bedding face {flange.FACE}.",
            flange.FACES,
        ],
        warned=[cautions.RECORD, cautions.drilling(common.family(strut.material))],
        extent_mm=tolerances.longest_mm(own),
    )


def _of_holes(ctx: SheetContext, own: str) -> list[Row]:
    """The rows of a plate's holes, but for the place of each."""
    return [r for r in record_rows(ctx) if r.code in (f"{own}.holes", f"{own}.heads", f"{own}.flush")]


def _places(ctx: SheetContext, own: str, ways: tuple[str, str], places: Sequence[tuple[int, float, float]]) -> Table:
    """Where the holes are, with blanks for where they are found."""
    zone = f"Ø{ctx.length(tolerances.hole_position_mm(ctx.strut))}"
    return Table(
        name="holes",
        title=f"EACH WITHIN {zone}, {ctx.unit}",
        columns=("hole", *ways, *(f"{way},\nfound" for way in ways)),
        rows=tuple((str(n), ctx.length(a), ctx.length(b), "", "") for n, a, b in places),
        row_mm=BLANK_MM,
        least_mm=(0.0, 0.0, 0.0, 13.0, 13.0),
        codes=tuple(f"{own}.hole{n}" for n, _, _ in places),
        corner="top left",
    )


def barrel_cut(view: View, b: Barrel) -> None:
    """Add to a view a barrel cut along its axis, by its own outline."""
    stations, radii = outside_rows(b, 24)
    outer = np.column_stack([[b.x(float(s)) for s in stations], radii])
    inner = np.array([(b.x(s), r) for s, r in bore_points(b)])
    for way in (1.0, -1.0):
        ring = np.vstack([outer, inner[::-1]]) * (1.0, way)
        view.hatch([ring])
        view.add_outline(ring)
    for x, r in sorted({(round(float(x), 6), round(float(r), 6)) for x, r in inner}):
        view.add([Line((x, -r), (x, r))])
    half = b.length_mm / 2
    view.centre_line((-half, 0.0), (half, 0.0))


def _cut_barrel(ctx: SheetContext) -> View:
    """The barrel cut along its axis with the sizes of the bore."""
    b = ctx.strut.barrel
    view, half = View("bore", "free", "BARREL, CUT ALONG THE BORE"), b.length_mm / 2
    barrel_cut(view, b)
    general = tolerances.general_tolerance_mm(ctx, b.length_mm)
    view.horizontal((-half, -b.outside_mm / 2), (half, -b.outside_mm / 2), Label(deviations=(general, -general)))
    barrels.seat_sizes(ctx, view)
    barrels.bore_sizes(ctx, view)
    view.arrow((0.4 * half, -0.25 * b.bore_mm), 0.0, "FWD")
    return view


def _boring_steps(ctx: SheetContext) -> list[Step]:
    """How the barrel is set up and bored. Common practice, no source."""
    strut, b = ctx.strut, ctx.strut.barrel
    least = ctx.with_unit(made_barrel.least_wall_mm(ctx))
    sizes = " and ".join(f"Ø{ctx.length(s.diameter_mm)}" for s in made_barrel.seats(strut))
    kinds = " and ".join(sorted({s.kind for s in b.steps}))
    on_bearing = any(n.measured_mm is None for n in strut.bearings)
    wanted = ", for the interference or clearance below, on the size measured" if on_bearing else ""
    split = strut.hanger is not None and strut.hanger.cap is not None
    return [
        ("measure the bearing in hand, and write it down", "micrometer"),
        *([("cap bolted down on its dowels with all the shims of the split", "torque wrench")] if split else []),
        *_set_up_steps(ctx),
        ("set zero: across, the bore's axis; along, the aft face", "edge finder"),
        ("face the aft end until it cleans up; bore rough, some way under size", "facing head, bar"),
        (f"wall all round at both ends: {least} or more, else set up again", "wall gauge"),
        *([(f"{kinds} as drawn", "bar, depth gauge")] if kinds else []),
        (f"finish {sizes} in one set-up{wanted}; light last cuts, part cold when gauged", "bar, bore gauge"),
        ("face the forward end to length; cut the lead-ins", "facing head"),
        ("gauge every length two ways, fill in below, then unclamp", "bore gauge"),
        *(
            [("test bar in, hull face down on a plate: heights as on the barrel's sheet", "bar, height gauge")]
            if strut.palms
            else []
        ),
    ]


def _set_up_steps(ctx: SheetContext) -> list[Step]:
    """How a strut is brought to a level bore by its palm; other parts are held as their notes say."""
    strut = ctx.strut
    if not strut.palms:
        return [("hold it as the notes say, without pressing the bore out of round", "dial gauge")]
    table = set_up.turns_table(ctx)
    name = f"{strut.palms[0].name}: " if len(strut.palms) > 1 else ""
    turns = [
        f"{turn[3:]}: {degrees}°, {slope} {common.slope_unit(ctx)}, {way}" if way != "none" else f"{turn[3:]}: none"
        for _, turn, degrees, slope, way in table.rows[:2]
    ]
    return [
        (f"{name}hull face up and level, trace along the machine's bed", "level, dial gauge"),
        *((one, "sine bar or level") for one in turns),
        (f"{barrels.stands_words(strut)}; clock 0 up", "dial gauge, packing"),
        ("clamp without bending it; check that it has not moved", "clamps, dial gauge"),
    ]


def _together(steps: Sequence[str]) -> list[str]:
    """The steps with those of one hole, that are done without unclamping, in a line."""
    first = next(k for k, step in enumerate(steps) if step == "centre-drill")
    last = next(k for k, step in enumerate(steps) if step.startswith("drill "))
    return [*steps[:first], "; ".join(steps[first : last + 1]), *steps[last + 1 :]]


def _tool(step: str) -> str:
    """What a step of drilling is done with. Common practice, no source."""
    for begins, tool in (
        ("machine the hull face", "mill or planer, level"),
        ("weld, machine", "mill or planer, level"),
        ("weld, flatten", "press, by its card"),
        ("bore, and face", "boring mill"),
        ("centre-drill;", "drills, plug gauge"),
        ("bed the", "parallels, feelers"),
        ("bed it", "parallels, feelers"),
        ("mark out", "drill jig, scriber"),
        ("drill", "drill, plug gauge"),
        ("countersink", "countersink, a bolt"),
        ("counterbore", "counterbore with pilot"),
        ("spot-face", "spot-facer"),
        ("cut the seats", "cutter with pilot"),
        ("deburr", "hand countersink"),
    ):
        if step.startswith(begins):
            return tool
    return ""


def _plate(
    view: View, plate: Plate, outline: Outline, at: Callable[[float, float], tuple[float, float]], ctx: SheetContext
) -> None:
    """A plate as it lies under the drill, with its holes numbered and their size."""
    view.add_outline(outline.vertices)
    for hole in plate.holes:
        place = at(hole.u_mm, hole.v_mm)
        view.circle(place, plate.bolt.hole_mm)
        view.label(place, str(hole.number), ring_mm=plate.bolt.hole_mm / 2)
    first = plate.holes[0]
    label = Label(prefix=f"{len(plate.holes)}×", suffix="THRU")
    recess = plate.bolt.head.recess
    more = [f"{recess} Ø{ctx.length(plate.bolt.head_diameter_mm)}"] if recess else []
    view.diameter(at(first.u_mm, first.v_mm), plate.bolt.hole_mm, label, extra=more)


def seen_flange(ctx: SheetContext) -> View:
    """Return a flange on its free face, as it lies under the drill."""
    own = flange.own(ctx)
    view = View("free face", "free", "FREE FACE, SEEN SQUARE TO THE FLANGE")
    outline = seen_on_free_face(own)
    _plate(view, own, outline, lambda u, v: (v, u), ctx)
    box = outline.bounding_box()
    view.centre_mark((0.0, 0.0), 0.6 * min(box.xmax - box.xmin, box.ymax - box.ymin))
    view.arrow((0.0, 1.16 * box.ymax), 90.0, "UP")
    return view


def seen_palm(ctx: SheetContext, palm: Palm) -> View:
    """Return a palm on its water face, as it lies under the drill."""
    name = palm.name.upper() if len(ctx.strut.palms) > 1 else "PALM"
    view = View(f"water face {palm.name}", "free", f"WATER FACE, SEEN SQUARE TO THE {name}")
    _plate(view, palm, palm.outline.mirror("x"), partial(_water), ctx)
    for arm in palm_work.landing(ctx.strut, palm):
        view.add_outline(dev.palm_footprint(palm, sides.arm_side(ctx.strut, arm)).mirror("x").vertices, "phantom")
    palm_axes_lines(view, palm, -1.0)
    box = palm.outline.bounding_box()
    long = box.xmax - box.xmin
    view.arrow((box.xmin + 0.45 * long, -box.ymin + 0.08 * long), 0.0, "FWD")
    view.arrow((box.xmin + 0.05 * long, -box.ymin + 0.04 * long), 90.0, ctx.strut.identity.side("starboard").upper())
    return view


def _water(u: float, v: float) -> tuple[float, float]:
    return u, -v
