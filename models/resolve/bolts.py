"""The bolts of the palm: the hole, and the head by its standard or by its own sizes; and where the holes lie."""

from __future__ import annotations

import contextlib
import functools
import math
from collections.abc import Callable
from typing import Any

import numpy as np

from strutwright.models.outline import Outline, OutlineError
from strutwright.models.resolve.book import Book
from strutwright.models.spec import Bolt
from strutwright.params import tables
from strutwright.params.tables import Thread
from strutwright.params.words import deg, mm, say, told


def bolt_of(book: Book, material: str) -> Bolt | None:
    """Return the palm's bolt, None where its sizes are not to be had and that is told.

    >>> bolt_of(book("canal-tender"), "A4-70").hole_mm  # M8, medium: ISO 273
    9.0
    """
    said: Any = book.said.bolts
    thread = book.table("bolts.size", "threads", tables.thread, said.size)
    if thread is None:
        return None
    hole = book.table("bolts.hole_fit", "clearance holes", tables.clearance_hole_mm, said.size, said.hole_fit)
    if hole is None:
        return None
    book.note("bolts.hole", hole, "mm", "table", f"clearance hole, {said.hole_fit} series")
    own = {"size": said.size, "major_mm": thread.major_mm, "hole_mm": hole, "kind": said.kind}
    make = functools.partial(Bolt, **own, material=material)
    if said.head is not None:
        return _by_own_sizes(book, make, thread, hole)
    return {"plain": _plain, "counterbored": _counterbored, "countersunk": _countersunk}[said.kind](book, make, hole)


# --- heads of the tables --------------------------------------------------------------------------------------------


def _plain(book: Book, make: Callable[..., Bolt], hole: float) -> Bolt | None:
    size = book.said.bolts.size
    nut = book.table("bolts.size", "nuts and washers", tables.nut_and_washer, size, advice=_other_heads(size))
    if nut is None:
        return None
    tool = max(tables.tool_outside_mm("socket", nut.head_across_flats_mm), nut.washer_outside_mm)
    return make(head_standard="", head_diameter_mm=hole, head_angle_deg=0.0, head_depth_mm=0.0, driver_diameter_mm=tool)


def _counterbored(book: Book, make: Callable[..., Bolt], hole: float) -> Bolt | None:
    size = book.said.bolts.size
    head = book.table("bolts.size", "cap-screw heads", tables.counterbore_head, size, advice=_other_heads(size))
    if head is None:
        return None
    width = head.counterbore_diameter_mm or head.sharp_diameter_mm + 1.0
    return _bored(book, make, head.standard, width, head.height_mm)


def _bored(book: Book, make: Callable[..., Bolt], standard: str, width: float, height: float) -> Bolt:
    return _sunk(make, standard, width, 0.0, height + book.said.bolts.sunk_below)


def _countersunk(book: Book, make: Callable[..., Bolt], hole: float) -> Bolt | None:
    said: Any = book.said.bolts
    usual = "ISO 10642" if said.size.upper().startswith("M") else "ASME B18.3"
    standard = book.take("bolts.head_standard", usual, "socket countersunk head of the bolt's system", "")
    what, advice = f"countersunk heads, {standard}", _other_heads(said.size, standard)
    head = book.table("bolts.size", what, tables.countersunk_head, said.size, standard, advice=advice)
    if head is None:
        return None
    try:
        holder = tables.tool_outside_mm("hex key driver", head.key_mm) if head.key_mm else 0.0
    except tables.NotInTable:
        holder = 0.0  # larger keys than the table's have heads wider than their holders
    slope = math.tan(math.radians(head.angle_deg / 2))
    diameter = head.sharp_diameter_mm + 2 * said.sunk_below * slope
    book.note("bolts.head_diameter", diameter, "mm", "table", f"{standard} sharp diameter, sunk below flush")
    return _sunk(make, standard, diameter, head.angle_deg, (diameter - hole) / 2 / slope, holder)


def _sunk(
    make: Callable[..., Bolt], standard: str, diameter: float, angle: float, depth: float, holder: float = 0.0
) -> Bolt:
    return make(
        head_standard=standard,
        head_diameter_mm=diameter,
        head_angle_deg=angle,
        head_depth_mm=depth,
        driver_diameter_mm=max(holder, diameter),
    )


def _other_heads(size: str, standard: str = "") -> str:
    """What else can be done for a size whose head a table does not hold."""
    ways = []
    books: list[tuple[str, Callable[[], object]]] = [
        (f"`head_standard: {name}`", functools.partial(tables.countersunk_head, size, name))
        for name in tables.COUNTERSUNK
        if name != standard and standard
    ]
    books += [
        ("`kind: counterbored`", functools.partial(tables.counterbore_head, size)),
        ("`kind: plain`", functools.partial(tables.nut_and_washer, size)),
    ]
    for words, look_up in books:
        with contextlib.suppress(tables.NotInTable):
            look_up()
            ways.append(words)
    own = "give the head's own sizes, measured or from its maker: `head: {diameter: ..., angle: ...}`"
    return f"{own}; {' or '.join(ways)} would do for {size}" if ways else own


# --- heads by their own sizes ---------------------------------------------------------------------------------------


def _by_own_sizes(book: Book, make: Callable[..., Bolt], thread: Thread, hole: float) -> Bolt | None:
    said: Any = book.said.bolts
    before, at, head, own = len(book.problems), "bolts.head", said.head, "by its own sizes"
    _ask_for_head(book, hole)
    if len(book.problems) > before:
        return None
    if said.kind == "counterbored":
        width = head.diameter + 1.0
        book.derived("bolts.head_diameter", width, say("counterbore: the head and {1 mm}; common practice"))
        return _bored(book, make, own, width, head.height)
    if head.angle is not None:
        slope = math.tan(math.radians(head.angle / 2))
    else:
        slope = (head.diameter - thread.major_mm) / 2 / head.height
        book.derived(f"{at}.angle", 2 * math.degrees(math.atan(slope)), "from diameter, height and shank", "deg")
    angle = 2 * math.degrees(math.atan(slope))
    if not 60 <= angle <= 130:
        what = "makes no usual cone with the diameter"
        advice = "measure from the sharp rim to the shank, or give `angle`"
        book.fault(f"{at}.height", what, advice, given=deg(angle), allowed="60 to 130 deg")
        return None
    diameter = head.diameter + 2 * said.sunk_below * slope
    book.derived("bolts.head_diameter", diameter, "sharp diameter given, sunk below flush")
    return _sunk(make, own, diameter, angle, (diameter - hole) / 2 / slope)


def _ask_for_head(book: Book, hole: float) -> None:
    """Tell what the head's own sizes lack or say twice."""
    said: Any = book.said.bolts
    at, head = "bolts.head", said.head
    if said.head_standard is not None:
        what, advice = "is given beside the head's own sizes", "remove it, or remove `head`"
        book.fault("bolts.head_standard", what, advice, given=said.head_standard)
    if said.kind == "plain":
        book.fault(at, "has no meaning for a plain hole: the head stands on the palm", "remove it")
    elif said.kind == "counterbored":
        if head.angle is not None:
            book.fault(f"{at}.angle", "is for a countersunk head only", "remove it")
        if head.height is None:
            book.missing(f"{at}.height", "a counterbored head")
    elif (head.angle is None) == (head.height is None):
        what, advice = "wants the angle of the cone or its height", "give the one that was measured"
        book.fault(at, what, advice, allowed="`angle`, or `height`")
    if head.diameter <= hole:
        what, advice = "is no wider than the hole", "measure it over the head"
        book.fault(f"{at}.diameter", what, advice, given=mm(head.diameter), over=mm(hole))


# --- holes ----------------------------------------------------------------------------------------------------------

_WANTED = {
    "grid": ("along", "across", "pitch_along", "pitch_across"),
    "edge": ("count", "edge_distance"),
    "points": ("points",),
}


def holes_of(book: Book, shape: Outline, middle: Any) -> list[tuple[float, float]]:
    """Return hole centres (u, v) in mm, numbered clockwise from the forward port corner seen on the water face; none
    where there are faults.

    shape: outline about its own middle; middle: of the outline, mm from the palm zero.

    >>> palm = shipped("harbour-launch").palms[0]  # three rows 78 apart of two 74 apart
    >>> holes_of(book("harbour-launch"), palm.outline, (0.0, 0.0))[:2]
    [(78.0, 37.0), (0.0, 37.0)]
    """
    said: Any = book.said.bolts.pattern
    for name in dict.fromkeys(n for names in _WANTED.values() for n in names):
        path, value = f"bolts.pattern.{name}", getattr(said, name)
        single = name.startswith("pitch_") and getattr(said, name.removeprefix("pitch_")) == 1
        if name in _WANTED[said.kind] and value is None and not single:
            book.missing(path, f"the pattern `{said.kind}`")
        elif name not in _WANTED[said.kind] and value is not None:
            book.no_meaning(path, f"the pattern `{said.kind}`")
    if book.problems:
        return []
    if said.kind == "grid":
        us = (np.arange(said.along) - (said.along - 1) / 2) * (said.pitch_along or 0.0)
        vs = (np.arange(said.across) - (said.across - 1) / 2) * (said.pitch_across or 0.0)
        points = [(float(u + middle[0]), float(v + middle[1])) for u in us for v in vs]
    elif said.kind == "edge":
        points = [(float(u + middle[0]), float(v + middle[1])) for u, v in _along_edge(book, shape)]
    else:
        points = [(p.forward, p.port) for p in said.points]

    def order(point: tuple[float, float]) -> tuple[float, float]:
        u, v = point[0] - middle[0], point[1] - middle[1]
        return round(math.atan2(v, u) % (2 * math.pi), 9), math.hypot(u, v)

    return sorted(points, key=order)


def _along_edge(book: Book, shape: Outline) -> Any:
    """Holes (n, 2) at equal pitch on a line inside the outline, half a pitch either side of its foremost point."""
    said: Any = book.said.bolts.pattern
    try:
        inner = shape.inset(said.edge_distance)
    except OutlineError as error:
        words = say("leaves no line for the holes: {error}", error=told(error))
        book.fault("bolts.pattern.edge_distance", words, "make it smaller")
        return []
    pitch = inner.perimeter_mm() / said.count
    xy, _ = inner.points_at(_along_at_forward_middle(inner) + pitch / 2 + pitch * np.arange(said.count))
    return xy


def _along_at_forward_middle(shape: Outline) -> float:
    """The distance along an outline (mm, from its first vertex) of its foremost crossing of the u axis."""
    samples = np.linspace(0.0, shape.perimeter_mm(), 4001)[:-1]
    xy, _ = shape.points_at(samples)
    crossing = np.nonzero((xy[:, 1] <= 0) & (np.roll(xy[:, 1], -1) > 0) & (xy[:, 0] > 0))[0]
    if len(crossing) == 0:
        return 0.0
    k = int(crossing[np.argmax(xy[crossing, 0])])
    low, high = float(samples[k]), float(samples[k] + shape.perimeter_mm() / 4000)
    for _ in range(60):
        mid = (low + high) / 2
        if shape.points_at(np.array([mid]))[0][0, 1] <= 0:
            low = mid
        else:
            high = mid
    return low
