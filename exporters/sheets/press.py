"""The press card: how the palm that welding curls is pressed flat, arm by arm."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from strutwright.exporters.drawing.figures import Label, fixed
from strutwright.exporters.drawing.shapes import Arc, Line, from_vertices, xy
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common, tolerances
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.plane import sides
from strutwright.exporters.sheets.weld import PLANE_MM
from strutwright.models import cautions, frames
from strutwright.models.formulas import flattening
from strutwright.models.shop import development as dev
from strutwright.models.shop import pressing
from strutwright.models.shop.pressing import Press, machining_stock_mm, press_case
from strutwright.models.shop.sides import arm_side
from strutwright.params.quantity import INCH_MM, in_file_units
from strutwright.params.words import spoken_share, spoken_times


def press_card(ctx: SheetContext, *, index: int = 0) -> Sheet | None:
    """Return the press card of an arm's line, by the arm's place in the list; None for a cast strut, where no pressing
    is judged, and for an arm whose case is the mirror image of an earlier one's.
    """
    strut = ctx.strut
    if strut.construction != "welded":
        return None
    case = press_case(strut, strut.arms[index], ctx.limits)
    others = {
        k: pressing.alike(case, press_case(strut, arm, ctx.limits)) for k, arm in enumerate(strut.arms) if k != index
    }
    if any(same for k, same in others.items() if k < index) or not case.judged:
        return None
    both = any(others.values())
    own = f", {case.arm.called}" if others else ""
    shown = f"{own.upper()}, THE OTHER MIRRORED" if both else ""
    sketch = _sketch(ctx, case, shown)
    return ctx.sheet(
        f"Press card{', both arms' if both else own}",
        "Press card",
        [sketch, _plan(ctx, case, shown)],
        face="HULL FACE",
        tables=[_press_table(ctx, case), _bites(ctx, case), _recheck(ctx, case, both)],
        notes=_press_notes(ctx, case, both),
        cautions=[cautions.PRESS],
        scales=common.scales_between(sketch.extent().width, 60.0, 200.0),
        part="",
        caution_text_mm=4.0,
    )


class _InPress:
    """The palm across, hull face up, seen from aft: port to the left, x = -v. Lengths in mm."""

    def __init__(self, case: Press) -> None:
        self.case, self.thick = case, case.palm.thickness_mm
        box = case.palm.outline.bounding_box()
        self.mid, self.supports = -case.at_mm, [-v for v in case.rows_mm]
        # No more of a wide palm than lies round the parallels.
        aside = 0.6 * case.span_mm
        self.left, self.right = max(-box.ymax, self.supports[0] - aside), min(-box.ymin, self.supports[1] + aside)
        self.cut_left, self.cut_right = self.left > -box.ymax, self.right < -box.ymin
        self.wide = self.right - self.left
        self.bar, self.tall = case.bar_mm, max(0.09 * self.wide, self.thick)
        self.nose = max(0.6 * self.thick, 0.04 * self.wide)
        self.past = 0.08 * self.wide  # how far the bed is drawn
        self.bed = min(self.under(x) for x in self.supports) - self.tall

    def under(self, x: float) -> float:
        """The lower face; the curl is drawn many times too large."""
        return -0.055 * self.wide * abs(x - self.mid) / max(self.mid - self.left, self.right - self.mid)


def _sketch(ctx: SheetContext, case: Press, shown: str) -> View:
    """The palm in the press. shown: which of two arms is drawn, for the title."""
    it = _InPress(case)
    cold = ": DO NOT PRESS COLD" if case.strained_too_far else ""
    view = View("press", "front", f"IN THE PRESS, SEEN FROM AFT (curl exaggerated){shown}{cold}")
    _plate(view, it)
    hang = _hanging_arm(ctx, view, it)
    _tools(view, it)
    long = 0.2 * it.wide
    top = it.thick + 2.6 * it.nose
    view.force((it.mid, top + long), (it.mid, top), "FORCE")
    for x in it.supports:
        view.force((x, it.bed - long), (x, it.bed), "REACTION")
    # From the arrows' tails, so that no extension line runs along an arrow.
    view.horizontal((it.supports[0], it.bed - long), (it.supports[1], it.bed - long), Label(suffix="span"))
    view.vertical((it.mid, 0.0), (it.mid, it.thick), side="right")
    block = (it.supports[0], (it.bed + it.under(it.supports[0])) / 2)
    view.note(block, ["mild-steel parallel at the", "bolts, one piece each side"], head="dot", at_deg=200.0)
    nose = (it.mid + it.nose, it.thick + 1.8 * it.nose)
    view.note(nose, ["bar with a round nose,", "over the arm's line"], at_deg=20.0)
    half = 0.5 * (it.left + it.mid)
    view.note((half, it.under(half) + it.thick), ["HULL FACE UP"], at_deg=120.0)
    edge, at_deg = (it.left, 220.0) if it.cut_right and not it.cut_left else (it.right, -40.0)
    broken = ", past the breaks," if it.cut_left and it.cut_right else ""
    curl = [f"edges{broken} drawn down by the weld:", f"about {ctx.with_unit(case.curl_mm)}", _over(ctx, case)]
    view.note((edge, it.under(edge)), curl, at_deg=at_deg)
    view.note(hang, ["arm hangs free", "in the gap of the bed"], at_deg=205.0)
    sides(view, (it.left - it.past, it.bed), (it.right + it.past, it.bed))
    return view


def _plate(view: View, it: _InPress) -> None:
    """The palm's plate, broken off where it is wider than the press shows."""
    low = [(it.left, it.under(it.left)), (it.mid, 0.0), (it.right, it.under(it.right))]
    plate = np.array([*low, *((x, y + it.thick) for x, y in reversed(low))])
    view.add([from_vertices(plate[:3], closed=False), from_vertices(plate[3:], closed=False)])
    for broken, ends in ((it.cut_left, plate[[0, 5]]), (it.cut_right, plate[[2, 3]])):
        a, b = xy(ends[0]), xy(ends[1])
        if broken:
            view.break_line(a, b)
        else:
            view.add([Line(a, b)])
    view.hatch([plate], spacing_mm=3.0)


def _hanging_arm(ctx: SheetContext, view: View, it: _InPress) -> tuple[float, float]:
    """The arm broken off under the palm, with its fillets; return a place on its port side."""
    case = it.case
    axes, hull = frames.arm_axes(case.arm, ctx.strut.barrel, case.palm.plane), frames.palm_axes(case.palm)
    lean = float(axes.n @ hull.v) / float(axes.n @ hull.n)  # toward port per mm toward the hull
    wide, deep, leg = case.arm.thickness_palm_mm, 0.42 * it.wide, case.arm.palm_root_mm
    skewed = [(it.mid + s * wide / 2 - lean * y, y) for s, y in ((-1, 0.0), (-1, -deep), (1, -deep), (1, 0.0))]
    view.add([Line(skewed[0], skewed[1]), Line(skewed[3], skewed[2])])
    view.break_line(skewed[1], skewed[2])
    for (x, _), s in ((skewed[0], -1.0), (skewed[3], 1.0)):
        view.add([Line((x + s * leg, it.under(x + s * leg)), (x + lean * leg, -leg))])
    return xy((np.array(skewed[1]) + np.array(skewed[0])) / 2)


def _tools(view: View, it: _InPress) -> None:
    """The parallels on the bed, and the bar with its round nose."""
    bed, bar = it.bed, it.bar
    for x in it.supports:
        over = it.under(x)
        block = np.array([(x - bar / 2, bed), (x + bar / 2, bed), (x + bar / 2, over), (x - bar / 2, over)])
        view.add_outline(block)
        view.hatch([block], spacing_mm=2.0, angle_deg=135.0)
    for x0, x1 in ((it.left - it.past, it.supports[0] + bar), (it.supports[1] - bar, it.right + it.past)):
        view.add([Line((x0, bed), (x1, bed))])
    low, top = it.thick + it.nose, it.thick + 2.6 * it.nose
    view.add([Arc((it.mid, low), it.nose, math.pi, math.pi)])
    view.add([Line((x, low), (x, top)) for x in (it.mid - it.nose, it.mid + it.nose)])
    view.add([Line((it.mid - it.nose, top), (it.mid + it.nose, top))])


def _over(ctx: SheetContext, case: Press) -> str:
    """The width over which the curl is told."""
    width = ctx.with_unit(case.width_mm)
    return f"over {width}, this arm's half of the palm" if case.shared else f"over the whole width, {width}"


def _plan(ctx: SheetContext, case: Press, shown: str) -> View:
    """The palm from above, hull face up: supports, arm's line, bites from the middle outwards. shown: as in _sketch."""
    palm = case.palm
    box = palm.outline.bounding_box()
    view = View("press plan", "free", "SEEN FROM ABOVE, HULL FACE UP" + shown, share=0.7)
    view.add_outline(palm.outline.vertices)
    for arm in ctx.strut.arms:
        if ctx.strut.palms[arm.palm_index] is palm:
            view.add_outline(dev.palm_footprint(palm, arm_side(ctx.strut, arm)).vertices, "hidden")
    long = box.xmax - box.xmin
    over, bar = 0.05 * long, case.bar_mm
    for y in (v + s * bar for v in case.rows_mm for s in (-0.5, 0.5)):
        view.add([Line((box.xmin - over, y), (box.xmax + over, y))], "phantom")
    for hole in palm.holes:
        view.circle((hole.u_mm, hole.v_mm), palm.bolt.hole_mm)
    view.centre_line((box.xmin, case.at_mm), (box.xmax, case.at_mm))
    view.vertical((box.xmin, case.rows_mm[1]), (box.xmin, case.rows_mm[0]))
    view.note((box.xmax - 0.2 * long, case.at_mm), ["line of the ram"], at_deg=30.0)
    view.arrow((box.xmin + 0.5 * long, box.ymax + 0.07 * long), 0.0, "FWD")
    view.arrow((box.xmin + 0.05 * long, box.ymax + 0.05 * long), 90.0, "PORT")
    return view


def _force(ctx: SheetContext, force_n: float) -> str:
    value, unit = in_file_units(force_n, "N", ctx.unit)
    return f"{fixed(value / 1e3, 0)} kN" if unit == "N" else f"{value:,.0f} lbf"


def _yield(ctx: SheetContext, yield_mpa: float) -> str:
    value, unit = in_file_units(yield_mpa, "MPa", ctx.unit)
    return f"{fixed(value, 0)} MPa" if unit == "MPa" else f"{value:,.0f} psi"


def _small(ctx: SheetContext, size_mm: float) -> str:
    return f"{fixed(size_mm, 2)} mm" if ctx.unit == "mm" else f"{fixed(size_mm / INCH_MM, 3)} in"


def _press_table(ctx: SheetContext, case: Press) -> Table:
    f, stronger = ctx.figures, case.limit("press_yield")
    low, high = case.stroke(), case.stroke(stronger)
    t, s = case.palm.thickness_mm, case.span_mm
    limit = case.cold_strain
    verdict = "NO" if case.strained_too_far else "within the limit"
    shown = "little or none" if limit is None else f"{fixed(100 * limit.value, 1)} %"
    rests = "from memory" if limit is None else "the shop's own" if limit.changed else limit.standing

    def forces(law: Callable[..., Any]) -> tuple[str, str]:
        least, most = (float(law(share * case.yield_mpa, case.length_mm, t, s)) for share in (1.0, stronger))
        return _force(ctx, least), _force(ctx, most)

    rows = [
        ("yield", _yield(ctx, case.yield_mpa), _yield(ctx, stronger * case.yield_mpa)),
        ("palm pressed: length × thickness", f"{f.length(case.length_mm)} × {f.length(t)}", "same"),
        ("span between the parallels", f.length(s), "same"),
        ("fillet leg at the palm", common.weld_size(ctx, case.arm.palm_root_mm), "same"),
        (f"expected curl {_over(ctx, case)} (±50 %)", _small(ctx, case.curl_mm), "same"),
        ("permanent bend to take out over the span", _small(ctx, case.set_mm), "same"),
        ("force at first yield, whole length", *forces(flattening.yield_force_n)),
        ("greatest force, whole length", *forces(flattening.plastic_force_n)),
        ("spring-back", _small(ctx, low.spring_back_mm), _small(ctx, high.spring_back_mm)),
        (
            "stroke after contact: permanent bend plus spring-back",
            _small(ctx, low.stroke_mm),
            _small(ctx, high.stroke_mm),
        ),
        ("surface strain", f"{fixed(100 * low.strain, 2)} %", "same"),
        (f"limit of surface strain ({rests})", shown, "same"),
    ]
    rows.insert(0 if case.strained_too_far else len(rows), ("cold pressing", verdict, verdict))
    title = "PRESSING FLAT (estimate; control the stroke, not the force)"
    if case.strained_too_far:
        title = "DO NOT PRESS COLD (estimate of what it would take)"
    return Table(
        name="press",
        title=title,
        columns=("what", "least yield", f"{stronger:g} × yield"),
        rows=tuple(rows),
        left=frozenset({0}),
    )


def _bites(ctx: SheetContext, case: Press) -> Table:
    rows, stronger = [], case.limit("press_yield")
    for press in pressing.presses_n(inch=ctx.inch):
        cells: list[str] = []
        for share in (1.0, stronger):
            made = case.bites(press, share)
            cells += ("too small", "-") if made is None else (ctx.length(round(made.width_mm)), str(made.count))
        told = f"{_force(ctx, press)} (about {fixed(press / 9806.65, 0)} t)"
        if ctx.inch:
            told = f"{fixed(press / pressing.SHORT_TON_N, 0)} short tons"
        rows.append((told, *cells))
    columns = ("press", "length of a bite, least yield", "bites", f"length of a bite, {stronger:g} × yield", "bites ")
    return Table(
        name="bites",
        title=f"BITES ALONG THE PALM, at {spoken_share(case.limit('press_share'))} of the press's capacity",
        columns=columns,
        rows=tuple(rows),
    )


def _recheck(ctx: SheetContext, case: Press, both: bool) -> Table:
    """What is measured again, of each palm that the card holds for."""
    strut = ctx.strut
    half = strut.barrel.length_mm / 2
    rows: list[tuple[str, str]] = []
    for palm in strut.palms if both else [case.palm]:
        up = common.set_up(palm.plane)
        name = f"{palm.name}: " if both and len(strut.palms) > 1 else ""
        late = machining_stock_mm(strut, palm, ctx.limits, inch=ctx.inch) > 0.0
        over = "over the finished hull face" if late else "over the hull face"
        flat = f"{ctx.length(tolerances.flatness_mm(strut, palm))} at most"
        face = "hull face flat" if palm.curve is None else "water face flat, before the hull face is made to its curve"
        rows += [
            (f"{name}{face}, feeler all round", flat),
            (f"{name}shaft line {over}, aft", ctx.length(up.height_mm(-half))),
            (f"{name}shaft line {over}, forward", ctx.length(up.height_mm(half))),
            (f"{name}skew of a bar to the trace, to port", common.degrees(up.skew_deg)),
        ]
    rows += [("arm plane through the axis", f"±{ctx.length(PLANE_MM)}"), ("welds, dye penetrant", "no crack")]
    return Table(
        name="recheck",
        title="RE-CHECK, fill in",
        columns=("what", "wanted", "before", "bite 1", "bite 2", "end", "by"),
        rows=tuple((*r, "", "", "", "", "") for r in rows),
        left=frozenset({0}),
        row_mm=6.0,
        least_mm=(0.0, 0.0, 16.0, 16.0, 16.0, 16.0, 14.0),
    )


def _press_notes(ctx: SheetContext, case: Press, both: bool) -> list[str]:
    f, notes = ctx.figures, []
    flat = "flat" if case.palm.curve is None else "to the hull's curve"
    if case.cold_strain is None:
        notes.append(
            "DO NOT PRESS THIS METAL COLD: it takes little bending or none, and cracks at the toe of the weld. Pre-set "
            f"the palm, or machine the hull face {flat}."
        )
    elif case.strained_too_far:
        notes.append(
            "THE EXPECTED CURL IS MORE THAN THIS METAL TAKES COLD: pre-set the palm or clamp two struts back to back "
            f"in welding, use a smaller leg, or machine the hull face {flat}."
        )
    elif case.too_strong(inch=ctx.inch):
        notes.append(
            "NO PRESS LISTED HERE IS LARGE ENOUGH if the plate is as strong as it may be: at least "
            f"{_force(ctx, case.press_needed_n)} is needed. Have it pressed where there is such a press, or machine "
            f"the hull face {flat} after welding."
        )
    if case.palm.curve is not None:
        notes.append(
            "This card is for the plate before its hull face is machined to the hull's curve: flat is asked of the "
            "water face then, and of the hull face never. Once it is machined, do not press the palm by this card."
        )
    if not case.strained_too_far:  # a card that forbids pressing tells nobody how to press
        notes += _how_to_press(ctx, case, both)
    notes.append(
        "The curl is a handbook estimate for mild steel"
        + (f", times {case.limit('press_curl'):g} for this metal" if case.family in pressing.PULLING else "")
        + "; measure the palm first and use what you measure. Use the certificate's yield where there is one."
    )
    stock = machining_stock_mm(ctx.strut, case.palm, ctx.limits, inch=ctx.inch)
    if stock > 0.0:
        times = spoken_times(case.limit("press_stock"))
        bought = f"For machining the plate is bought {f.length(stock)} thicker (cut list), {times} the curl that the "
        curved = case.palm.curve is not None
        preset = "" if curved else " A palm that is to be pre-set is bought at its finished thickness."
        out = " and what the hull's curve stands out" if case.palm.edge_mm > 0.0 else ""
        notes.insert(
            1,
            f"{bought}thicker plate is expected to have{out}; the card is for the finished thickness. Take it off the "
            f"hull face only.{preset}",
        )
    return [*notes, common.hand_words(ctx.strut)]


def _how_to_press(ctx: SheetContext, case: Press, both: bool) -> list[str]:
    notes = [
        "Press before the countersinks are cut. Where they are cut already, fill each with a turned plug of mild "
        "steel, so that the parallel does not mark the bolt's seat."
        if case.palm.bolt.head.conical
        else "Press before the holes are drilled: holes in the bend go oval.",
        "Press from the middle outward, a bite at a time. First stroke: short of flat plus spring-back. Measure. "
        f"Then add {ctx.length(0.1)} to {ctx.length(0.2)} a stroke. Never press the arm.",
    ]
    if len(ctx.strut.arms) > 1:
        mirrored = "; the card is for both arms, which are mirror images" if both else ""
        notes.append(f"Press along one arm at a time, with its own parallels{mirrored}.")
    return notes
