"""What patterns and templates share: words put clear of all lines, arrows, check bars, and the block of facts.

Draw the geometry first; `Lettering` then finds places for words where they touch neither lines nor other words, and
`finish` adds below and beside the drawing what every full-size file must carry.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from strutwright.exporters.drawing.shapes import P, Text, along, clip, overlap, xy
from strutwright.exporters.drawing.text import text_width, wrap
from strutwright.exporters.files.cutfile import CutFile
from strutwright.exporters.files.naming import finished
from strutwright.models.families import called
from strutwright.models.outline import Floats, Outline
from strutwright.models.shop.arm_ends import OffTrace
from strutwright.models.spec import Palm, Strut
from strutwright.params.quantity import INCH_MM

SMALL_MM, TEXT_MM, LARGE_MM = 2.5, 3.5, 5.0
"""Heights of capitals: the smallest is the smallest of ISO 3098-1 in common use (value from memory)."""
ARROW_MM = 40.0

_GAP = 0.8  # white round words
_WHITE = 2.0  # white round words that must not be overlooked
_LEAST_WIDTH = 170.0  # of the block of facts
_SQUARE = 15.0  # between the facts and the check square
_ROUND = 36  # directions tried round a point
_BATCH = 36  # places tried at once

_UNIT = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])


def angle_text(angle_deg: float) -> str:
    """Return an angle in degrees, hundredths at most, without its sign when it is 0."""
    return f"{round(angle_deg, 2) + 0.0:g}"


def hand_text(strut: Strut) -> str:
    """Return the hand as it is printed. The two sides of a centre-line vee are handed, the strut is not."""
    if strut.identity.hand != "centre":
        return f"{strut.identity.hand.upper()} hand"
    return "CENTRE LINE, no hand" if len(strut.arms) < 2 else "CENTRE LINE strut"


def zero_text(strut: Strut, palm: Palm) -> str:
    """Return what a palm's zero is: on a palm of two arms it lies between them."""
    arms = [arm for arm in strut.arms if strut.palms[arm.palm_index] is palm]
    what = "the middle between the arms" if len(arms) > 1 else "the arm's axis"
    return f"zero is where {what} meets the hull face"


def off_trace_text(cut: CutFile, off: OffTrace) -> str:
    """Return how far the line through a palm's zero runs from the trace, and toward which side."""
    on_face, level = (cut.length(abs(value)) for value in (off.on_face_mm, off.level_mm))
    return (
        f"the line through zero is only PARALLEL to the shaft's trace: it runs {on_face} to {off.side.upper()} of "
        "it, measured on the hull face square to the trace; measured level athwartships from the vertical plane "
        f"through the shaft, zero is {level} to {off.side}"
    )


def add_centred(cut: CutFile, text: str, at: P, height_mm: float) -> None:
    """Add text with the middle of its base line at a point."""
    own = cut.own(text)
    cut.write(own, (at[0] - text_width(own, height_mm) / 2, at[1]), height_mm)


def add_arrow(cut: CutFile, at: P, text: str) -> None:
    """Add a plain arrow to the right from a point, longer than its text, which stands over it."""
    _arrow(cut, at, cut.own(text))


def _arrow(cut: CutFile, at: P, text: str) -> None:
    """Add the arrow of a text that is in the part's own words."""
    x, y = at
    end = x + arrow_length_mm(text)
    cut.add_line("TEXT", (x, y), (end, y))
    for side in (2.0, -2.0):
        cut.add_line("TEXT", (end - 6.0, y + side), (end, y))
    cut.write(text, (x, y + 1.5), TEXT_MM)


def arrow_length_mm(text: str) -> float:
    """Return the length of the arrow that carries a text, as it is written."""
    return max(ARROW_MM, text_width(text, TEXT_MM) + 8.0)


# --- finding a clear place -------------------------------------------------------------------------------------------


class Lettering:
    """Puts words on a file where they are clear of all that is drawn, by the true extents of the shipped font."""

    def __init__(self, cut: CutFile) -> None:
        self.cut = cut

    def first_clear(self, corners: Sequence[P], places: Iterable[P]) -> P | None:
        """Return the first place at which a rectangle touches nothing drawn or written; None when there is none.

        corners: of the rectangle at the place (0, 0), in order (mm).
        """
        box = np.asarray(corners)
        along, up = box[1] - box[0], box[3] - box[0]
        frame = np.column_stack((along / (along @ along), up / (up @ up)))
        pieces = (self.cut.pieces() - box[0]) @ frame  # at (0, 0) the rectangle is the unit square now
        low, high = pieces.min(axis=1), pieces.max(axis=1)
        words = [np.asarray(word.corners()) for word in self.cut.words()]
        for some in _batches(places):
            moves = np.array(some)
            shifts = moves @ frame
            near = ((low <= shifts.max(axis=0) + 1.0) & (high >= shifts.min(axis=0))).all(axis=1)
            moved = pieces[near] - shifts[:, None, None]
            for k in np.flatnonzero(~_enters(_UNIT, moved).any(axis=1)).tolist():
                if not any(overlap(box + moves[k], word) for word in words):
                    return some[k]
        return None

    def put(self, text: str, places: Iterable[P], height_mm: float = TEXT_MM, *, turn: float = 0.0) -> bool:
        """Write text with its middle on the first clear one of the places; False when none is. turn in radians."""
        return self._put(self.cut.own(text), places, height_mm, turn)

    def _put(self, text: str, places: Iterable[P], height_mm: float, turn: float = 0.0) -> bool:
        w, h = text_width(text, height_mm) / 2, height_mm / 2
        at = (math.sin(turn) * h - math.cos(turn) * w, -math.sin(turn) * w - math.cos(turn) * h)
        place = self.first_clear(Text(text, at, height_mm, turn=turn).corners(_GAP), places)
        if place is not None:
            self.cut.write(text, (place[0] + at[0], place[1] + at[1]), height_mm, turn=turn)
        return place is not None

    def put_arrow(self, text: str, places: Iterable[P]) -> bool:
        """Draw an arrow with its text, its middle on the first clear one of the places; False when none is clear."""
        return self._put_arrow(self.cut.own(text), places)

    def _put_arrow(self, text: str, places: Iterable[P]) -> bool:
        half, low, high = arrow_length_mm(text) / 2, -2.0 - _GAP, 1.5 + TEXT_MM + _GAP
        place = self.first_clear([(-half, low), (half, low), (half, high), (-half, high)], places)
        if place is not None:
            _arrow(self.cut, (place[0] - half, place[1]), text)
        return place is not None

    def beside(
        self, text: str, target: P, height_mm: float = TEXT_MM, *, off_mm: float = 2.0, way_deg: float = 0.0
    ) -> None:
        """Write text beside a point, off_mm from it, as near to the direction way_deg as is clear.

        Where no direction is clear it is written smaller, and then farther off with a line to the
        point. The point should be the end of a line that is drawn already, or free.
        """
        turns = sorted((360.0 / _ROUND * k for k in range(_ROUND)), key=lambda a: (min(a, 360.0 - a), a))
        ways = [math.radians(way_deg + turn) for turn in turns]
        heights, text = [height_mm, *(h for h in (3.0, SMALL_MM) if h < height_mm)], self.cut.own(text)
        for height in heights:
            if self._put(
                text,
                (_out(text, target, height, off_mm + far, way)[0] for far in (0.0, 1.0, 2.0, 3.5) for way in ways),
                height,
            ):
                return
        height = heights[-1]
        for far in (6.0, 9.0, 12.0, 16.0, 20.0, 26.0, 34.0, 44.0, 60.0, 80.0, 120.0, 200.0):
            for way in ways:
                middle, end = _out(text, target, height, off_mm + far, way)
                if self._line_is_clear(target, end) and self._put(text, [middle], height):
                    self.cut.add_line("TEXT", target, end)
                    return
        right = self.cut.extents()[2] + 2.0 * _GAP + text_width(text, height) / 2
        self._put(text, [(right, target[1])], height)  # beyond all else

    def number_holes(self, numbers: Sequence[int], places: Sequence[P], radius_mm: float) -> None:
        """Write the number of each hole beside its outer circle, toward zero where that is clear."""
        for number, place in zip(numbers, places, strict=True):
            ways = {a: math.radians(a) for a in (45.0, 135.0, 225.0, 315.0)}
            inward = {a: round(place[0] * math.cos(way) + place[1] * math.sin(way), 6) for a, way in ways.items()}
            slant = min(ways, key=lambda a: (inward[a], a))
            self.beside(str(number), place, off_mm=radius_mm + 1.0, way_deg=slant)

    def _line_is_clear(self, start: P, end: P) -> bool:
        """True when a line runs through no words."""
        piece = np.array([[start, end]])
        return not any(_enters(np.asarray(word.corners(_GAP / 2)), piece).any() for word in self.cut.words())

    def inside(self, outline: Outline, lines: Sequence[str], arrow: str = "") -> bool:
        """Write lines of text, and an arrow to the right over them, inside an outline, as near its middle as is clear.

        So that the piece still says what it is when it has been cut out. What finds no room is left out, and then the
        answer is False; the block of facts says it as well.
        """
        places, lines, arrow = [xy(p) for p in _grid(outline)], list(map(self.cut.own, lines)), self.cut.own(arrow)
        for height in (TEXT_MM, SMALL_MM):
            if self._block(places, [(line, height) for line in lines], arrow):
                return True
        done = not arrow or self._put_arrow(arrow, places)
        for line in lines:
            rows = wrap(line, SMALL_MM, 0.7 * text_width(line, SMALL_MM))
            done = (
                any(self._put(line, places, height) for height in (TEXT_MM, SMALL_MM))
                or self._block(places, [(row, SMALL_MM) for row in rows], "")
            ) and done
        return done

    def headed(self, outline: Outline, head: str, lines: Sequence[str], arrow: str) -> None:
        """Write words that must not be overlooked inside an outline, larger than the lines that stay under them.

        They are broken into rows rather than made small; where the outline has no room at all they stand over the
        drawing. The arrow stands over them, or where it finds room.
        """
        head, *lines = map(self.cut.own, (head, *lines))
        inner, arrow = [xy(p) for p in _grid(outline)], self.cut.own(arrow)
        x0, _, x1, top = self.cut.extents()
        beyond = [((x0 + x1) / 2, top + up) for up in range(5, 60)]
        for places in (inner, beyond):
            for high, low in ((LARGE_MM, TEXT_MM), (LARGE_MM, SMALL_MM), (TEXT_MM, SMALL_MM)):
                for count in (1, 2, 3):
                    longest = max(text_width(word, high) for word in head.split())
                    rows = wrap(head, high, text_width(head, high) / count + (longest / 2 if count > 1 else 0.1))
                    block = [*((row, high) for row in rows), *((line, low) for line in lines)]
                    if self._block(places, block, arrow, _WHITE):
                        return
                    if self._block(places, block, "", _WHITE):
                        self._put_arrow(arrow, [*inner, *beyond])
                        return

    def _block(self, places: Sequence[P], rows: Sequence[tuple[str, float]], arrow: str, gap_mm: float = _GAP) -> bool:
        """Write rows of text and height under each other, and an arrow over them, where all have room together."""
        over = 1.7 * rows[0][1] + TEXT_MM + 1.0 if arrow else 0.0
        widths = [text_width(line, height) for line, height in rows] + [arrow_length_mm(arrow)] * bool(arrow)
        wide = max(widths) / 2 + gap_mm
        tall = (sum(1.7 * height for _, height in rows) + over) / 2 + gap_mm
        place = self.first_clear([(-wide, -tall), (wide, -tall), (wide, tall), (-wide, tall)], places)
        if place is None:
            return False
        x, y = place[0] - wide + gap_mm, place[1] + tall - gap_mm
        if arrow:
            _arrow(self.cut, (x, y - TEXT_MM - 1.5), arrow)
        y -= over
        for line, height in rows:
            y -= 1.7 * height
            self.cut.write(line, (x, y + 0.35 * height), height)
        return True


def _batches(places: Iterable[P]) -> Iterator[list[P]]:
    rest = iter(places)
    while some := list(islice(rest, _BATCH)):
        yield some


def _grid(outline: Outline) -> Floats:
    """Places inside an outline on a grid, those nearest to its middle first."""
    box = outline.bounding_box()
    x, y = np.meshgrid(np.linspace(box.xmin, box.xmax, 41), np.linspace(box.ymin, box.ymax, 41))
    points = np.column_stack((x.ravel(), y.ravel()))
    points = points[outline.contains(points)]
    off = points - (np.array((box.xmin + box.xmax, box.ymin + box.ymax)) / 2)
    return np.asarray(points[np.argsort(np.round(np.hypot(off[:, 0], 2.0 * off[:, 1]), 6), kind="stable")])


def _out(text: str, target: P, height_mm: float, off_mm: float, way: float) -> tuple[P, P]:
    """The middle of a text whose rectangle begins off_mm from a point in a direction, and where a line to it ends."""
    half_w, half_h = text_width(text, height_mm) / 2, height_mm / 2
    c, s = max(abs(math.cos(way)), 1e-9), max(abs(math.sin(way)), 1e-9)
    reach = off_mm + min(half_w / c, half_h / s)
    end = max(reach - min((half_w + 2 * _GAP) / c, (half_h + 2 * _GAP) / s), 1.0)
    return along(target, way, reach), along(target, way, end)


def _enters(corners: Floats, pieces: Floats) -> NDArray[np.bool_]:
    """Which straight pieces, (..., 2 ends, 2), enter or touch a rectangle, given by its corners in order."""
    first, last = clip(corners, pieces.reshape(-1, 4))
    return np.asarray(first <= last).reshape(pieces.shape[:-2])


# --- what every file carries -----------------------------------------------------------------------------------------


def finish(cut: CutFile, strut: Strut, part: str, face: str, facts: Sequence[str], *, long_bars: bool = False) -> None:
    """Add what every full-size file carries: check bars both ways, a check square, and what it is.

    part, face: what is shown, and which side of it. facts: sentences of its own. long_bars: also bars of 300 mm or
    12 in where the drawing itself does not reach so far. All stands below and left of what is drawn and written.
    """
    x0, y0, x1, y1 = cut.extents()
    cut.begin_facts()
    step = 100.0 if cut.unit == "mm" else 4 * INCH_MM
    side = 50.0 if cut.unit == "mm" else 2 * INCH_MM
    across = long_bars or x1 - x0 >= 3 * step
    width = max(x1 - x0, 3 * step if long_bars else 0.0, _LEAST_WIDTH)
    y = y0 - 12.0
    for bar in (step, 3 * step)[: 1 + across]:
        cut.add_check_bar((x0, y), bar)
        y -= 10.0
    room = width - side - _SQUARE
    square = room >= (_LEAST_WIDTH if long_bars else 1.5 * _LEAST_WIDTH)
    if square:
        cut.add_check_square((x0 + width - side, y - side))
        width = room
    low = y - side if square else math.inf
    y -= 3.0
    allowed = f"{cut.length(step / 500)} over {cut.length(3 * step)}"
    who, own = strut.identity, cut.own
    part, face, facts = own(part), own(face), [own(fact) for fact in facts]
    lines = [
        f"{who.name}, {who.number}, revision {who.revision}",
        f"face: {face}; scale 1:1, unit {cut.unit_word}, no allowance for contraction, kerf or machining included. "
        f"File {finished(strut, cut.name)}",
        *facts,
        f"measure the check bars before use, in both directions: they may be out by at most {allowed}; guidance only, "
        f"not an approval: a {called(strut)} {own('keeps the water out')}, so have it approved by "
        "class, flag or a surveyor",
    ]
    if cut.holds("CUT_OUTER"):
        left, bottom, right, top = cut.bounds("CUT_OUTER")
        lines.insert(2, f"over-all size of the outline: {cut.length(right - left)} x {cut.length(top - bottom)}")
    for text, height in [(f"{part}: {hand_text(strut)}", LARGE_MM), *((line, TEXT_MM) for line in lines)]:
        y -= height
        sentence = text[0].upper() + text[1:]
        cut.facts.append((sentence, height))
        for row in wrap(sentence, height, width):
            cut.write(row, (x0, y), height)
            y -= 1.6 * height
        y += height if height != TEXT_MM else 0.8 * height
    low = min(low, y)
    for k, bar in enumerate((step, 3 * step)[: 1 + (long_bars or y1 - low >= 3 * step)]):
        cut.add_check_bar((x0 - 10.0 - 10.0 * k, low), bar, vertical=True)
