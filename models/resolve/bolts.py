"""The bolts of the palm: the hole, and the head by its standard or by its own sizes; and where the holes lie."""

from __future__ import annotations

import math
from typing import Any

from strutwright.models.bolt_heads import HEADS, HeadKind, HeadSizes, bore, cone
from strutwright.models.bolt_patterns import NEEDED, PATTERNS
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
    kind = HEADS[said.kind]
    sizes = _by_table(book, kind, hole) if said.head is None else _by_own_sizes(book, kind, thread, hole)
    if sizes is None:
        return None
    own = {"size": said.size, "major_mm": thread.major_mm, "hole_mm": hole, "kind": said.kind, "material": material}
    return Bolt(**own, **sizes._asdict())


# --- heads of the tables --------------------------------------------------------------------------------------------


def _by_table(book: Book, kind: HeadKind, hole: float) -> HeadSizes | None:
    said: Any = book.said.bolts
    standard, what = None, kind.book
    if kind.standards is not None:
        usual = kind.standards[0 if said.size.upper().startswith("M") else 1]
        standard = book.take("bolts.head_standard", usual, "socket countersunk head of the bolt's system", "")
        what = f"{what}, {standard}"
    advice = _other_heads(said.size, kind, standard)
    sizes = book.table("bolts.size", what, kind.from_table, said.size, standard, hole, said.sunk_below, advice=advice)
    if sizes is not None and kind.conical:
        words = f"{sizes.head_standard} sharp diameter, sunk below flush"
        book.note("bolts.head_diameter", sizes.head_diameter_mm, "mm", "table", words)
    return sizes


def _other_heads(size: str, kind: HeadKind, standard: str | None) -> str:
    """What else can be done for a size whose head a table does not hold."""
    others = [n for n in tables.COUNTERSUNK if n != standard] if kind.standards else []
    ways = [f"`head_standard: {name}`" for name in others if kind.holds(size, name)]
    ways += [f"`kind: {name}`" for name, other in HEADS.items() if other is not kind and other.holds(size)]
    own = "give the head's own sizes, measured or from its maker: `head: {diameter: ..., angle: ...}`"
    return f"{own}; {' or '.join(ways)} would do for {size}" if ways else own


# --- heads by their own sizes ---------------------------------------------------------------------------------------


def _by_own_sizes(book: Book, kind: HeadKind, thread: Thread, hole: float) -> HeadSizes | None:
    said: Any = book.said.bolts
    before, at, head, own = len(book.problems), "bolts.head", said.head, "by its own sizes"
    _ask_for_head(book, kind, hole)
    if len(book.problems) > before:
        return None
    if not kind.conical:
        width = head.diameter + 1.0
        rule = say("{recess}: the head and {1 mm}; common practice", recess=kind.recess)
        book.derived("bolts.head_diameter", width, rule)
        return bore(own, width, head.height, said.sunk_below)
    angle = head.angle
    if angle is None:
        angle = 2 * math.degrees(math.atan((head.diameter - thread.major_mm) / 2 / head.height))
        book.derived(f"{at}.angle", angle, "from diameter, height and shank", "deg")
    if not 60 <= angle <= 130:
        what = "makes no usual cone with the diameter"
        advice = "measure from the sharp rim to the shank, or give `angle`"
        book.fault(f"{at}.height", what, advice, given=deg(angle), allowed="60 to 130 deg")
        return None
    sizes = cone(own, head.diameter, angle, hole, said.sunk_below)
    book.derived("bolts.head_diameter", sizes.head_diameter_mm, "sharp diameter given, sunk below flush")
    return sizes


def _ask_for_head(book: Book, kind: HeadKind, hole: float) -> None:
    """Tell what the head's own sizes lack or say twice."""
    said: Any = book.said.bolts
    at, head = "bolts.head", said.head
    if said.head_standard is not None:
        what, advice = "is given beside the head's own sizes", "remove it, or remove `head`"
        book.fault("bolts.head_standard", what, advice, given=said.head_standard)
    if not kind.recess:
        book.fault(at, f"has no meaning for a {said.kind} hole: the head stands on the palm", "remove it")
    elif not kind.conical:
        if head.angle is not None:
            book.fault(f"{at}.angle", "is for a countersunk head only", "remove it")
        if head.height is None:
            book.missing(f"{at}.height", f"a {said.kind} head")
    elif (head.angle is None) == (head.height is None):
        what, advice = "wants the angle of the cone or its height", "give the one that was measured"
        book.fault(at, what, advice, allowed="`angle`, or `height`")
    if head.diameter <= hole:
        what, advice = "is no wider than the hole", "measure it over the head"
        book.fault(f"{at}.diameter", what, advice, given=mm(head.diameter), over=mm(hole))


# --- holes ----------------------------------------------------------------------------------------------------------


def holes_of(book: Book, shape: Outline, middle: Any) -> list[tuple[float, float]]:
    """Return hole centres (u, v) in mm, numbered clockwise from the forward port corner seen on the water face; none
    where there are faults.

    shape: outline about its own middle; middle: of the outline, mm from the palm zero.

    >>> palm = shipped("harbour-launch").palms[0]  # three rows 78 apart of two 74 apart
    >>> holes_of(book("harbour-launch"), palm.outline, (0.0, 0.0))[:2]
    [(75.0, 38.5), (25.0, 38.5)]
    """
    said: Any = book.said.bolts.pattern
    kind = PATTERNS[said.kind]
    for name in NEEDED:
        path, value = f"bolts.pattern.{name}", getattr(said, name, None)
        single = name.startswith("pitch_") and getattr(said, name.removeprefix("pitch_")) == 1
        if name in kind.needs and value is None and not single:
            book.missing(path, f"the pattern `{said.kind}`")
        elif name not in kind.needs and value is not None:
            book.no_meaning(path, f"the pattern `{said.kind}`")
    if book.problems:
        return []
    try:
        laid = kind.lay(said, shape)
    except OutlineError as error:
        words = say("leaves no line for the holes: {error}", error=told(error))
        book.fault("bolts.pattern.edge_distance", words, "make it smaller")
        return []
    start = middle if kind.centred else (0.0, 0.0)
    points = [(float(u + start[0]), float(v + start[1])) for u, v in laid]

    def order(point: tuple[float, float]) -> tuple[float, float]:
        u, v = point[0] - middle[0], point[1] - middle[1]
        return round(math.atan2(v, u) % (2 * math.pi), 9), math.hypot(u, v)

    return sorted(points, key=order)
