"""The press card: what to rest on, where to push and how far; before a palm is measured and between strokes.

One card for both: the pack's is made from the curl that welding is expected to leave, that of `straighten` from what
was read.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from strutwright.exporters.drawing.shapes import Arc, Line
from strutwright.exporters.drawing.sheet import Table
from strutwright.exporters.drawing.style import Kind
from strutwright.exporters.drawing.view import View
from strutwright.models.bench.palm_shape import Shape
from strutwright.models.bench.press_angle import ToBore
from strutwright.models.bench.press_places import Face, P, Place, grid
from strutwright.models.bench.straightening import Case, Push, places_of
from strutwright.models.formulas.press_bending import shear_share
from strutwright.params.quantity import FileUnits
from strutwright.params.words import Amount, Words, deg, drawn_mm, mm, read, say

TEXT_MM = 5.0
"""Readable at arm's length."""
_LEVEL_MM = 0.1
"""Difference of two supports from which on the higher is told."""
READ_ALONG, READ_ACROSS, READ_INSIDE_MM = 5, 5, 5.0
"""Places that are read, and how far inside the edge; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """What a card tells. push: None where nothing is pressed. made: strokes so far. wanted_deg: angle of the palm's
    plane to the bore, where it is known."""

    case: Case
    shape: Shape
    push: Push | None
    made: int = 0
    to_bore: ToBore | None = None
    wanted_deg: float | None = None


def fine(value_mm: float) -> Amount:
    """Return a reading's size."""
    return drawn_mm(float(value_mm))


def force(newton: float) -> Amount:
    """Return a force as a gauge shows it."""
    return Amount(round(newton / 1e3), "kN")


# --- the steps --------------------------------------------------------------------------------------------------------


def steps(card: Card) -> Iterator[tuple[str, str, Words]]:
    """Return what to do in order, ten at most: in a few words, what more there is to say of it, and its figure."""
    push = card.push
    assert push is not None
    yield from _set_up(card, push)
    yield "Touch, dial to 0, press by", "no further; a stop is set to it", say("{t}", t=fine(push.travel_mm))
    yield f"That is beyond {_asked(card)}", "", say("{beyond}", beyond=fine(push.beyond_mm))
    yield (
        "Force on the way",
        "stop at once above it",
        say("{least} to {most}", least=force(push.force_n[0]), most=force(push.force_n[2])),
    )
    yield "Let go, read again", "the load fully off; the same places as before; then ask again", ""
    wanted = "" if card.wanted_deg is None else say("{angle}", angle=deg(round(card.wanted_deg, 2)))
    yield (
        f"{_asked(card).capitalize()}: dye test, angle",
        "welds; angle to the bore, by heights of a test bar over the face; the bore again too",
        wanted,
    )


def _set_up(card: Card, push: Push) -> Iterator[tuple[str, str, Words]]:
    place = push.place
    if place.way == "twist":
        low = "fwd stbd, aft port" if card.shape.twist_mm > 0.0 else "fwd port, aft stbd"
        seat = "hull face up; in the countersinks, else on pads"
        yield f"Balls: {low}", seat, say("ball {ball}", ball=mm(card.case.ball_mm))
        yield "Beam on 1 and 2", "presses the two high corners alike", ""
        return
    bent = 1 if place.way == "across" else 0
    yield (
        ("Hull face up, arm free", "", "")
        if push.down
        else ("Hull face down, arm up", "the ram on blocks beside the arm's root, never on the arm", "")
        if card.case.face.roots
        else ("Hull face down", "", "")
    )
    for n, support in enumerate(place.supports):
        side = (("fwd", "aft"), ("port", "stbd"))[bent][n]
        beyond = support[bent] if n == 0 else -support[bent]
        what = "from the palm's middle to the middle of the parallel; under the bolts where there are such"
        yield f"Parallel to {side}, at", what, say("{size}", size=mm(round(beyond, 1)))
    lying = "along" if bent else "across"
    where = say("{long} long", long=mm(round(place.bar_mm, 1)))
    if card.case.face.roots and not push.down:
        yield (
            f"Blocks {lying}, beside arm",
            f"at {place.number}, as close to its root as they go; parallels alike",
            where,
        )
    else:
        yield f"Bar {lying}, over {place.number}", "and parallels alike", where


def steps_table(card: Card, units: FileUnits, row_mm: float) -> Table:
    """Return the steps with blanks."""
    push = card.push
    assert push is not None
    way = {"along": "BOW ALONG", "across": "BOW ACROSS", "twist": "TWIST"}[push.place.way]
    rows = tuple((str(n), what, read(figure, units), "") for n, (what, _, figure) in enumerate(steps(card), 1))
    return Table(
        name="steps",
        title=f"STROKE {card.made + 1}: {way}",
        columns=("", "do", "figure", "read"),
        rows=rows,
        left=frozenset({1}),
        row_mm=row_mm,
        text_mm=TEXT_MM,
        least_mm=(8.0, 0.0, 0.0, 18.0),
        corner="top left",
    )


def stages_table(card: Card, shapes: Sequence[Shape], units: FileUnits, row_mm: float, blanks: int) -> Table:
    """Return how the palm stands after each of the last strokes, with blanks for the next ones."""
    first = card.made - len(shapes) + 1
    told = [(str(first + k), _sizes(shape, units)) for k, shape in enumerate(shapes)]
    start = card.made + 1 if shapes else 0
    told += [(str(start + k), ("", "", "", "")) for k in range(blanks)]
    names = ("flat", "across", "along", "twist")
    return Table(
        name="stages",
        title=f"{_asked(card).upper()} WITHIN {fine(card.case.tolerance_mm).read(units)}",
        columns=("stroke", *(stage for stage, _ in told)),
        rows=tuple((name, *(sizes[k] for _, sizes in told)) for k, name in enumerate(names)),
        left=frozenset({0}),
        row_mm=row_mm,
        text_mm=TEXT_MM,
        least_mm=(0.0, *(16.0 for _ in told)),
        corner="top left",
    )


def _asked(card: Card) -> str:
    return "flat" if card.case.drawn is None else "true"


def _sizes(shape: Shape, units: FileUnits) -> tuple[str, ...]:
    values = (shape.zone_mm, shape.bow_mm[1], shape.bow_mm[0], shape.twist_mm)
    return tuple(fine(v).read(units).removesuffix(f" {units}") for v in values)


# --- what more there is to say ----------------------------------------------------------------------------------------


def remarks(card: Card) -> Iterator[Words]:
    """Return what a card says beside its steps."""
    push, turned = card.push, card.case.face.turned_deg
    if card.case.drawn is not None:
        yield "sizes are off the drawn curve"
    if turned:
        yield say(
            "along, across, forward and aft are the web's, which is turned {turned} to {side} from the foot's length "
            "(chain line)",
            turned=deg(round(abs(turned), 2)),
            side="port" if turned > 0 else "starboard",
        )
    if push is not None:
        yield from _on_the_push(card, push)
        yield from _on_the_curve(card, push)
    if card.to_bore is not None:
        yield from angle_words(card.to_bore)


def _on_the_push(card: Card, push: Push) -> Iterator[Words]:
    place, case = push.place, card.case
    yield say(
        "a set of {need} is wanted; springback {least} to {most}, likeliest {likely}",
        need=fine(push.need_mm),
        least=fine(push.springback_mm[0]),
        most=fine(push.springback_mm[2]),
        likely=fine(push.springback_mm[1]),
    )
    if place.way == "twist":
        along, across = (mm(round(s, 1)) for s in place.spans_mm)
        yield say(
            "corners {along} by {across} apart; press of {press} at least; balls {contact}{dents}",
            along=along,
            across=across,
            press=force(push.press_n),
            contact=_pressure(push.contact_mpa),
            dents=": they mark their seats, lay soft steel between" if push.dents else "",
        )
    else:
        share = float(shear_share(case.thickness_mm, place.span_mm))
        yield say(
            "press of {press} at least; bar {contact}, parallels {under}{dents}; {shear} % of the springback is shear",
            press=force(push.press_n),
            contact=_pressure(push.contact_mpa),
            under=_pressure(push.parallels_mpa),
            dents=": the plate is marked, lay soft steel between" if push.dents else "",
            shear=f"{100 * share / (1 + share):.0f}",
        )
    if place.one_sided:
        bent = 1 if place.way == "across" else 0
        nearer = min((0, 1), key=lambda n: math.dist(place.at_mm, place.supports[n]))
        side = (("forward", "aft"), ("to port", "to starboard"))[bent][nearer]
        at = place.supports[1 - nearer][bent]
        under = any(a < at < b for a, b in ((r.across_mm if bent else r.along_mm) for r in case.face.roots))
        parted = "; the parallel under the root in two, beside the arm" if under else ""
        template = "over the edge of the arm's root: only the plate {side} bends{parted}"
        yield say(template, side=side, parted=parted)
    elif len(alike := _alike(case, place)) > 1:
        yield say("{count} places, one by one by their numbers", count=str(len(alike)))


def _on_the_curve(card: Card, push: Push) -> Iterator[Words]:
    """How the tools bear on a hull face made to a curve; the water face is plane."""
    curve, place = card.case.drawn, push.place
    if curve is None or place.way == "twist":
        return
    if push.down:
        yield "the bar bears on the curve: cut one to it"
        return
    one, other = (float(curve.height_mm(*at)) for at in place.supports)
    side = (("forward", "aft"), ("to port", "to starboard"))[1 if place.way == "across" else 0][int(one > other)]
    lift = say("; that {side} {by} higher, to lie level", side=side, by=fine(abs(one - other)))
    template = "cut the parallels to the curve, each in one piece{lift}"
    yield say(template, lift=lift if abs(one - other) > _LEVEL_MM else "")


def _alike(case: Case, place: Place) -> list[Place]:
    """The places over the lines, of its way, which are numbered."""
    return [p for p in places_of(case) if p.way == place.way and not p.one_sided]


def _pressure(value_mpa: float) -> Amount:
    return Amount(round(value_mpa, -1), "MPa")


def angle_words(found: ToBore) -> Iterator[Words]:
    """Return how the palm stands to the bore, and whether pressing mends it."""
    told = say("the palm's plane stands at {angle} to the bore", angle=deg(round(found.measured, 2)))
    parts = [
        say("{what} {angle}, off {off}", what=what, angle=deg(round(one, 2)), off=deg(round(found.measured - one, 2)))
        for what, one in (("drawing", found.drawing), ("mock-up", found.mock_up))
        if one is not None
    ]
    yield say(
        "{told}" + "".join(f"; {{p{k}}}" for k in range(len(parts))),
        told=told,
        **{f"p{k}": p for k, p in enumerate(parts)},
    )
    if found.mends == "pressing":
        yield say("pressed flat it comes to {angle}: that mends it", angle=deg(round(found.pressed, 2)))
    elif found.mends == "not by pressing":
        yield say(
            "pressing does not mend that, flat it is {angle}: machine the face to the angle, bed it on a wedge of "
            "{wedge} over the palm, or have the arm set anew; never press the arm",
            angle=deg(round(found.pressed, 2)),
            wedge=fine(found.wedge_mm),
        )


# --- the sketch -------------------------------------------------------------------------------------------------------


def views(card: Card, shown: str = "") -> list[View]:
    """Return the palm from above, hull face up, and in the press from the side, to scale. shown: for the titles."""
    made = [_plan(card, shown)]
    if card.push is not None:
        made.append(_side(card, card.push))
    return made


def _plan(card: Card, shown: str) -> View:
    """Seen on the hull face: forward to the right, port up; supports dashed under it, what is pushed numbered."""
    case, face = card.case, card.case.face
    view = View("press plan", "free", f"FROM ABOVE{shown}", corner="bottom left")
    view.add_outline([(u, v) for u, v in face.outline])
    for root in face.roots:
        (u0, u1), (v0, v1) = root.along_mm, root.across_mm
        view.add_outline([(u0, v0), (u1, v0), (u1, v1), (u0, v1)], "hidden")
    for hole in face.holes:
        view.circle(hole, face.hole_mm, marked=False)
    cross = min(0.012 * face.size_mm[0], READ_INSIDE_MM)
    for u, v in read_at(face):
        view.add([Line((u - cross, v), (u + cross, v)), Line((u, v - cross), (u, v + cross))], "thin")
    long, wide = face.size_mm
    view.arrow((-0.1 * long, 0.5 * wide + 0.04 * long), 0.0, "FWD" if not face.turned_deg else "ALONG THE WEB, FWD")
    if face.turned_deg:  # the foot's own length, from its middle
        way = math.radians(-face.turned_deg)
        near, far = ((reach * long * math.cos(way), reach * long * math.sin(way)) for reach in (0.1, 0.4))
        view.centre_line(near, far)
    if card.push is not None:
        _touched(view, card, card.push)
        one_sided = card.push.place.one_sided  # the bar is drawn where it lies, beside the root: no number fits there
        spots = [] if one_sided else [(str(p.number), p.at_mm) for p in _alike(case, card.push.place)]
        if card.push.place.way == "twist":
            spots = [(str(n), p) for n, p in enumerate(_corners(card, card.push.place)[1], 1)]
        for text, (u, v) in spots:
            view.label((u, v), text, ring_mm=cross, height_mm=TEXT_MM)
    return view


def read_at(face: Face) -> list[P]:
    """Return the places that are read: a grid on the palm, more where several arms bend it."""
    return grid(face, READ_ALONG, READ_ACROSS + len(face.lines) - 1, READ_INSIDE_MM)


def _corners(card: Card, place: Place) -> tuple[tuple[P, ...], tuple[P, ...]]:
    """Where the balls lie and where the beam presses: the other way round for the other twist."""
    pair: tuple[tuple[P, ...], tuple[P, ...]] = place.supports, place.pushed
    return pair if card.shape.twist_mm > 0.0 else pair[::-1]


def _touched(view: View, card: Card, push: Push) -> None:
    place, case = push.place, card.case
    if place.way == "twist":
        balls, beam = _corners(card, place)
        for u, v in balls:
            view.add([Arc((u, v), case.ball_mm / 2.0)], "hidden")
        view.add([Line(beam[0], beam[1])], "phantom")
        return
    half, bent = place.bar_mm / 2.0, 1 if place.way == "across" else 0

    def strip(at: P, wide: float) -> list[P]:
        u, v = at
        if bent:
            return [(u - half, v - wide), (u + half, v - wide), (u + half, v + wide), (u - half, v + wide)]
        return [(u - wide, v - half), (u + wide, v - half), (u + wide, v + half), (u - wide, v + half)]

    centre = place.at_mm[1 - bent]
    for u, v in place.supports:
        view.add_outline(strip((centre, v) if bent else (u, centre), _support(case, place)), "hidden")
    view.add_outline(strip(place.at_mm, case.bar_mm / 4.0), "phantom")


def _support(case: Case, place: Place) -> float:
    """Half the breadth of a parallel as it is drawn."""
    return max(0.3 * case.thickness_mm, 0.03 * place.span_mm)


def _side(card: Card, push: Push) -> View:
    """The palm's edge in the press, flat, as it lies there: seen from aft, a push along from starboard. Hull face up
    port is to the left; hull face down it is turned over, the arm up, and blocks beside the arm take the ram."""
    place, case = push.place, card.case
    bent = 0 if place.way == "along" else 1
    over = not push.down and place.way != "twist"
    sign = (-1.0 if bent else 1.0) * (-1.0 if over else 1.0)
    seen = "FROM AFT" if bent else "FROM STARBOARD"
    view = View("press", "free", seen, corner="top right")
    half, thick = case.size_mm[bent] / 2.0, case.thickness_mm
    view.add_outline([(-half, 0.0), (half, 0.0), (half, thick), (-half, thick)])
    deep, tall, top = 0.35 * case.size_mm[1], max(0.12 * case.size_mm[1], thick), 0.25 * case.size_mm[1]
    arms = []
    for root in case.face.roots:
        a, b = sorted(sign * end for end in (root.across_mm if bent else root.along_mm))
        arms.append((a + 0.25 * (b - a), b - 0.25 * (b - a)))
    at = sign * place.at_mm[bent]
    blocks = _blocks(at, case.bar_mm, arms, behind=not bent) if over else []
    pressed_at = thick + 0.7 * deep  # on top of the blocks; of an arm behind them no more is shown
    end = -deep if not over else pressed_at if blocks and not bent else thick + deep
    foot = thick if over else 0.0
    for low, high in arms:
        # From starboard the blocks stand before the arm.
        kind: Kind = "hidden" if blocks and not bent else "visible"
        view.add([Line((low, foot), (low, end)), Line((high, foot), (high, end))], kind)
        if kind == "visible":
            view.break_line((low, end), (high, end))
    _supports(view, card, push, sign=sign, bent=bent, tall=tall)
    if place.way == "twist":
        base = thick + tall / 2.0
        spots = [(sign * p[bent], base) for p in _corners(card, place)[1]]
        ends = sorted(x for x, _ in spots)
        beyond = 0.5 * tall
        view.add_outline(_box(ends[0] - beyond, ends[1] + beyond, thick, base))
    elif blocks:
        for low, high in blocks:
            view.add_outline(_box(low, high, thick, pressed_at))
        spots = [((low + high) / 2.0, pressed_at) for low, high in blocks]
    else:
        view.add([Arc((at, thick + case.bar_mm / 2.0), case.bar_mm / 2.0)])
        spots = [(at, thick + case.bar_mm)]
    for x, y in sorted({(round(x, 6), y) for x, y in spots}):
        view.force((x, y + top), (x, y), "PUSH")
    return view


def _box(left: float, right: float, low: float, high: float) -> list[P]:
    return [(left, low), (right, low), (right, high), (left, high)]


def _blocks(
    at: float, bar_mm: float, arms: Sequence[tuple[float, float]], *, behind: bool
) -> list[tuple[float, float]]:
    """What presses in the bar's stead, from where to where: beside the arm that stands in its way, on both sides of it,
    or on that where the bar lies; empty where none does. behind: the arm stands behind the blocks."""
    half = bar_mm / 2.0
    for low, high in arms:
        if low < at + half and at - half < high:
            if behind:
                return [(at - half, at + half)]
            sides = {"left": (low - half, low), "right": (high, high + half)}
            return [sides["left"]] if at < low else [sides["right"]] if at > high else list(sides.values())
    return []


def _supports(view: View, card: Card, push: Push, *, sign: float, bent: int, tall: float) -> None:
    """Parallels or balls under the palm."""
    place, case = push.place, card.case
    if place.way == "twist":
        for p in _corners(card, place)[0]:
            view.add([Arc((sign * p[bent], -case.ball_mm / 2.0), case.ball_mm / 2.0)])
        return
    wide = _support(case, place)
    for p in place.supports:
        x = sign * p[bent]
        view.add_outline(_box(x - wide, x + wide, -tall, 0.0))
    left, right = sorted(sign * p[bent] for p in place.supports)
    view.horizontal((left, -tall), (right, -tall), side="below")
