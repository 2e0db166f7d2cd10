"""The strut set up on the machine and checked on a plate: views, turns of the table, heights of a test bar."""

from __future__ import annotations

import math

import numpy as np

from strutwright.exporters.drawing.figures import Label, fixed
from strutwright.exporters.drawing.projection import FRONT
from strutwright.exporters.drawing.shapes import Line, P
from strutwright.exporters.drawing.sheet import Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common, hull_face, tolerances
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.made_barrel import seats
from strutwright.exporters.sheets.plane import FROM_AFT, palm_corners, seen
from strutwright.models import frames
from strutwright.models.bench.inspection import coded, palm_code
from strutwright.models.spec import Palm, PalmPlane, Strut

BAR_OVERHANG_SHARE = 0.15  # of the barrel's length that a test bar stands out at either end


def side_view(ctx: SheetContext) -> View:
    """Return the strut in profile with the palm's basic angle and its heights over both faces."""
    strut, b = ctx.strut, ctx.strut.barrel
    palm = min(strut.palms, key=lambda p: p.zero_mm[1])  # of two the one in front, seen from starboard
    half, name = b.length_mm / 2, common.palm_label(palm, strut)
    view = View("profile", "free", "PALM TO BORE" + (f": {name.upper()}" if name else ""), scale=_scale(strut))
    view.add_projection(ctx.view("strut", common.bare_strut(ctx), FRONT), hidden=False)
    out = half + BAR_OVERHANG_SHARE * b.length_mm
    view.centre_line((-out, 0.0), (out, 0.0))
    thick = test_bar_mm(strut)
    for end, near, bar in ((-out, -half, thick[0] / 2), (out, half, thick[1] / 2)):
        view.add([*(Line((end, y), (near, y)) for y in (-bar, bar)), Line((end, -bar), (end, bar))], "phantom")
    _profile_sizes(ctx, view, palm)
    _face_symbols(ctx, view, palm)
    view.note((0.5 * (half + out), -thick[1] / 2), _bar_lines(ctx), at_deg=-60)
    return view


def _profile_sizes(ctx: SheetContext, view: View, palm: Palm) -> None:
    """The palm's angle, its drop and zero, and for reference what follows from them."""
    strut, plane, own = ctx.strut, palm.plane, palm_code(ctx.strut, palm)
    half, r = strut.barrel.length_mm / 2, strut.barrel.outside_mm / 2
    rise = math.tan(math.radians(plane.pitch_deg))

    def face(x: float) -> P:
        """The hull face in the vertical plane through the shaft."""
        return (x, plane.drop_mm - x * rise)

    fore_edge = float(palm_corners(palm)[:, 0].max())
    x0, x1 = min(float(palm_corners(palm)[:, 0].min()), -half), max(fore_edge, half)
    far = face(x1 + 0.35 * (x1 - x0))
    aside = abs(palm.zero_mm[1]) > 1.0
    # The face's trace is not seen as an edge where it is tilted or the palm stands beside the shaft.
    view.add([Line(face(x0 if abs(plane.tilt_deg) > 0.005 or aside else fore_edge), far)], "thin")
    if abs(plane.pitch_deg) > 0.005:
        start, level = face(0.0), (far[0], face(0.0)[1])
        view.add([Line(start, level)], "thin")
        view.angle(start, far, level, Label(basic=True, row=f"{own}.pitch"), reach_mm=0.93 * far[0])
    view.vertical((-half, 0.0), face(-half), Label(reference=True, suffix="AT AFT FACE"), side="left")
    view.vertical((half, 0.0), face(half), Label(reference=True, suffix="AT FORWARD FACE"), side="right")
    zero = seen(FRONT, palm.zero_mm)
    view.centre_mark(zero, 0.12 * (x1 - x0))
    near = tolerances.place_mm(ctx)
    if abs(common.palm_place_mm(strut, palm)[0]) > 0.01:
        label = Label(suffix="TO PALM'S ZERO", deviations=(near, -near), row=f"{own}.zero_forward")
        view.horizontal((-half, r), zero, label, side="above")
    # A palm beside the shaft is not where the figure is; it is that of the hull face's plane.
    drop = Label(suffix=f"DROP{', ABOVE THE SHAFT LINE' if aside else ''}", deviations=(near, -near))
    view.vertical((0.0, 0.0), face(0.0), drop, side="right")


def _face_symbols(ctx: SheetContext, view: View, palm: Palm) -> None:
    """Form and surface of the hull face, on its upper edge as seen."""
    rim = frames.palm_axes(palm).to_strut(palm.outline.polyline(0.2))

    def edge(share: float) -> P:
        """The upper edge of the hull face as seen, at a share of its length."""
        x = float(rim[:, 0].min()) + share * float(np.ptp(rim[:, 0]))
        ahead = np.roll(rim, -1, axis=0)
        span = ahead[:, 0] - rim[:, 0]
        part = np.divide(x - rim[:, 0], span, out=np.full(len(rim), -1.0), where=np.abs(span) > 1e-9)
        height = np.where((part >= 0.0) & (part <= 1.0), rim[:, 2] + part * (ahead[:, 2] - rim[:, 2]), -np.inf)
        return (x, float(height.max()))

    zone, flat = tolerances.angularity_mm(ctx.strut, palm), tolerances.flatness_mm(ctx.strut, palm)
    own = palm_code(ctx.strut, palm)
    angle, flatness = (tolerances.tolerance_words(ctx, v) for v in (zone, flat))
    view.tolerance(edge(0.15), "angularity", angle, ("A",), at_deg=110, row=f"{own}.true")
    view.tolerance(edge(0.8), hull_face.form(palm), flatness, at_deg=60, row=f"{own}.flatness")
    texture = tolerances.texture(ctx, tolerances.PALM_RA)
    view.surface(edge(0.5), texture, turn_deg=-palm.plane.pitch_deg, late=True)


def test_bar_mm(strut: Strut) -> tuple[float, float]:
    """Return the diameters (mm) of the test bar where it stands out aft and forward.

    It fills the bore, or each of two bores; where a shoulder stands before the end, it is turned down to pass that.
    """
    made, b = seats(strut), strut.barrel
    mouths = [
        next((s.diameter_mm for s in b.steps if s.from_station_mm <= station <= s.to_station_mm), b.bore_mm)
        for station in (0.0, b.length_mm)
    ]
    return min(made[0].diameter_mm, mouths[0]), min(made[-1].diameter_mm, mouths[1])


def _bar_lines(ctx: SheetContext) -> list[str]:
    """What the test bar is called on a view."""
    aft, forward = test_bar_mm(ctx.strut)
    if aft == forward:
        return ["TEST BAR"]
    return ["STEPPED TEST BAR", f"Ø{ctx.length(aft)} aft, Ø{ctx.length(forward)} forward"]


def bar_words(ctx: SheetContext) -> str:
    """Return what the test bar is, for a note: "test bar in the bore"."""
    made = seats(ctx.strut)
    aft, forward = test_bar_mm(ctx.strut)
    if len(made) > 1:
        sizes = f"Ø{ctx.length(made[0].diameter_mm)} aft and Ø{ctx.length(made[-1].diameter_mm)} forward"
        return f"stepped test bar, {sizes}, that fills both bores"
    if aft == forward:
        return "test bar in the bore"
    return (
        f"test bar in the bore, Ø{ctx.length(made[0].diameter_mm)}, turned down to Ø{ctx.length(min(aft, forward))} "
        "where it passes the shoulder"
    )


def _scale(strut: Strut) -> float:
    return common.scales_between(strut.palms[0].plane.drop_mm + strut.barrel.outside_mm, 55.0, 150.0)[0]


def end_view(ctx: SheetContext) -> View:
    """Return the strut from aft with the palms' basic tilt."""
    strut, out = ctx.strut, 0.65 * ctx.strut.barrel.outside_mm
    view = View("tilt", "free", "PALM TILT, SEEN FROM AFT", scale=_scale(strut))
    view.add_projection(ctx.view("strut", common.bare_strut(ctx), FROM_AFT), hidden=False)
    view.centre_line((-out, 0.0), (out, 0.0))
    view.centre_line((0.0, -out), (0.0, out))
    for palm in strut.palms:
        if abs(palm.plane.tilt_deg) > 0.005:
            zero, near = seen(FROM_AFT, palm.zero_mm), tolerances.place_mm(ctx)
            if abs(zero[0]) > 0.05:
                row = f"{palm_code(strut, palm)}.zero_port"
                label = Label(suffix="TO PALM'S ZERO", deviations=(near, -near), row=row)
                view.horizontal((0.0, 0.0), zero, label, side="above")
            _tilt(view, palm, palm.plane, f"{palm_code(strut, palm)}.tilt")
    return view


def _tilt(view: View, palm: Palm, plane: PalmPlane, row: str) -> None:
    """A level line from the palm's lower edge outward beneath the face, on the rising side, and the angle to it."""
    athwart = palm_corners(palm)[:, 1]
    port, starboard = float(athwart.max()), float(athwart.min())
    wide, up = port - starboard, math.copysign(1.0, plane.tilt_deg)
    low, high = (starboard, port) if up > 0 else (port, starboard)
    level = plane.drop_mm - palm.zero_mm[0] * math.tan(math.radians(plane.pitch_deg))

    def at(y: float) -> P:
        return (-y, level + y * math.tan(math.radians(plane.tilt_deg)))

    start, end = at(low), at(high + up * 0.7 * wide)
    flat = (end[0], start[1])
    view.add([Line(at(high), end), Line(start, flat)], "thin")
    view.angle(start, end, flat, Label(basic=True, row=row), reach_mm=0.95 * abs(end[0] - start[0]))


def turns_table(ctx: SheetContext) -> Table:
    """Return the two turns of the set-up, one line for each palm and turn."""
    rows = []
    for palm in ctx.strut.palms:
        made, name = common.set_up(palm.plane), common.palm_label(palm, ctx.strut) or "palm"
        for turn, value, up, down in (
            ("1. turn about the trace", made.trace_turn_deg, "port edge up", "port edge down"),
            ("2. tip until the bore is level", made.pitch_deg, "palm's fore end down", "palm's fore end up"),
        ):
            way = "none" if abs(value) <= 5e-4 else up if value > 0 else down
            rows.append((name, turn, fixed(abs(value), 3), common.slope(abs(value), ctx), way))
    title = "SET-UP: FROM LEVEL PALM TO LEVEL BORE, HULL FACE UP"
    columns = ("palm", "turn", "degrees", common.slope_unit(ctx), "which way")
    return Table(name="turns", title=title, columns=columns, rows=tuple(rows), left=frozenset({0, 1, 4}))


def bar_stations(strut: Strut) -> tuple[tuple[str, float], ...]:
    """Return where a test bar's height is checked: name and x (mm, strut frame)."""
    half = strut.barrel.length_mm / 2
    return (("at the aft face", -half), ("at mid-barrel", 0.0), ("at the forward face", half))


def heights_table(ctx: SheetContext) -> Table:
    """Return the heights of a test bar over a plate that the hull face lies on, and how the bar lies over each palm."""
    strut, f = ctx.strut, ctx.figures
    half = strut.barrel.length_mm / 2
    rows, codes = [], []
    for palm in strut.palms:
        made, name = common.set_up(palm.plane), common.palm_label(palm, strut) or "palm"
        rows += [(name, where, f.length(half + x), f.length(made.height_mm(x))) for where, x in bar_stations(strut)]
        own = palm_code(strut, palm)
        codes += [f"{own}.height.{coded(where)}" for where, _ in bar_stations(strut)]
        codes += [f"{own}.{name}" for name in ("zero_forward", "zero_port", "skew")]
        forward, port = common.palm_place_mm(strut, palm)
        skew = made.skew_deg
        rows.append((name, "palm's zero forward of the aft face, along the shaft", "", f.length(forward)))
        rows.append((name, "palm's zero to port of the bore's axis", "", f.length(port)))
        rows.append((name, "skew of the bar to the trace, toward port", "", common.degrees(skew, 3)))
        if abs(skew) > 5e-4:
            side = "to port" if skew > 0 else "to starboard"
            told = f"fore end {side} along the trace, {common.slope_unit(ctx)}"
            rows.append((name, told, "", common.slope(abs(skew), ctx)))
            codes.append("")
    title, columns = f"CHECK: HEIGHT OF A TEST BAR, HULL FACE DOWN ON A PLATE, {ctx.unit}", ("palm", "where", "station")
    return Table(
        name="heights",
        title=title,
        columns=(*columns, "height of bar's centre, or distance"),
        rows=tuple(rows),
        left=frozenset({0, 1}),
        codes=tuple(codes),
    )
