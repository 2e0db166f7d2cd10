"""Templates wrapped round the barrel as DXF: the lines of arms and skeg, and all set screws. See `templates`."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from strutwright.exporters.drawing.shapes import P, xy
from strutwright.exporters.drawing.text import text_width
from strutwright.exporters.files.cutfile import CutFile, cut_file
from strutwright.exporters.files.lettering import SMALL_MM, Lettering, angle_text, finish
from strutwright.exporters.files.palm_templates import larger
from strutwright.models.families import CLOCK_ZERO
from strutwright.models.geometry.flange import face_x_mm, rib_profile, stands_mm
from strutwright.models.outline import Outline
from strutwright.models.shop import cuts, sides
from strutwright.models.shop import development as dev
from strutwright.models.spec import Arm, Barrel, Strut, WaterSlots
from strutwright.models.spec_flange import Flange
from strutwright.params import tables

_ZERO = {"hull": "the hull", "foot": "the foot", "up": "straight up", "forward": "straight forward"}
"""Where clock angles begin, in words."""
CLOCK_STEP_DEG = 15
_Print = tuple[dev.Footprint, float]
MEASURED = "the part in hand may differ: measure its outside diameter and sections before this sheet is used"


def arm_on_barrel(strut: Strut, arm: Arm) -> CutFile:
    """Return the arm's line on the barrel, rolled out at the outside surface; the seam is opposite the arm."""
    own = next(p for p in _prints(strut) if p[0].name == arm.name)
    return _strip(strut, f"{arm.name} on barrel wrap", [own], own[0].clock_deg - 180.0, screws=False)


def skeg_on_barrel(strut: Strut) -> CutFile:
    """Return the skeg's line on the barrel, rolled out at the outside surface; the seam is at the top."""
    return _strip(strut, "skeg on barrel wrap", _prints(strut)[-1:], 0.0, screws=False)


def set_screw_strip(strut: Strut) -> CutFile:
    """Return the whole barrel rolled out with set screws, bearings, and the lines of arms and skeg."""
    prints = _prints(strut)
    used = [p.clock_deg for p, _ in prints] + [s.clock_deg for s in strut.set_screws] + _slot_clocks(strut.barrel.slots)
    if strut.flange is not None and strut.flange.ribs is not None:
        used += strut.flange.ribs.clocks_deg
    if strut.let_in is not None:
        used += [lock.clock_deg for lock in strut.let_in.locking]
    return _strip(strut, "set screw strip", prints, dev.clear_clock_deg(used), screws=True)


def _prints(strut: Strut) -> list[_Print]:
    """The lines of arms and skeg on the barrel, each with how far its fillet or weld reaches out from it."""
    found = [(dev.footprint(strut.barrel, sides.arm_side(strut, arm)), arm.barrel_root_mm) for arm in strut.arms]
    if strut.skeg is not None:
        found.append((dev.footprint(strut.barrel, sides.skeg_side(strut)), strut.skeg.root_mm))
    return found


def _cut_out(cut: CutFile, shape: Outline, root_mm: float, forward_mm: float, y: float) -> None:
    """Draw what is cut out of a strip where a part stands already, and the slit by which it goes round the part."""
    hole = larger(shape, root_mm)
    cut.add_outline("PHANTOM", hole)
    edge = hole.bounding_box().xmax
    if edge < forward_mm - 1.0:
        cut.add_line("PHANTOM", (edge, y), (forward_mm, y))


def _slot_clocks(slots: WaterSlots | None) -> list[float]:
    """Clock angles of the water slots' middles, from -180 to 180 degrees."""
    if slots is None:
        return []
    return [(slots.first_clock_deg + 360.0 * k / slots.count + 180.0) % 360.0 - 180.0 for k in range(slots.count)]


def _slot_line(barrel: Barrel, slots: WaterSlots, per_deg: float) -> list[P]:
    """Return a slot's line on the barrel's outside rolled out, about its own clock angle: it is cut as a prism."""
    half, straight = slots.width_mm / 2, max(slots.length_mm - slots.width_mm, 0.0) / 2
    line = []
    for way in (1.0, -1.0):
        for angle in np.radians(np.linspace(-90.0, 90.0, 61)):
            x = slots.centre_station_mm + way * (straight + half * math.cos(angle))
            across = way * half * math.sin(angle)
            line.append((x, per_deg * math.degrees(math.asin(across / (barrel.outside_mm / 2)))))
    return line


def _within(line: Sequence[P], low: float, high: float) -> list[P]:
    """Return what of a closed line that bulges outward everywhere lies between two heights."""
    for sign, edge in ((1.0, low), (-1.0, high)):
        kept: list[P] = []
        for (x0, y0), (x1, y1) in zip(line, [*line[1:], *line[:1]], strict=True):
            a, b = sign * (y0 - edge), sign * (y1 - edge)
            if a >= 0.0:
                kept.append((x0, y0))
            if a * b < 0.0:
                kept.append((x0 + a / (a - b) * (x1 - x0), edge))
        line = kept
    return list(line)


class _Strip:
    """The barrel's outside rolled out as it is drawn: x the station, y round it from clock 0, its seam at seam_deg."""

    def __init__(self, strut: Strut, title: str, seam_deg: float) -> None:
        self.strut, self.barrel, self.seam_deg = strut, strut.barrel, seam_deg
        self.cut = cut_file(strut, title)
        self.per_deg = float(dev.round_mm(self.barrel, 1.0, dev.PAPER_MM))
        self.low, self.girth, self.length = self.per_deg * seam_deg, self.per_deg * 360.0, self.barrel.length_mm
        self.uprights = [(0.0, "AFT FACE"), (self.length, "FORWARD FACE")]
        self.marks: list[tuple[str, P, float]] = []
        self.reach = self.length  # of the strip and of marks that stand past its forward edge

    def place(self, clock_deg: float) -> float:
        return self.low + self.per_deg * ((clock_deg - self.seam_deg) % 360.0)

    def upright(self, layer: str, station: float) -> None:
        self.cut.add_line(layer, (station, self.low), (station, self.low + self.girth))

    def frame(self) -> None:
        """The edge of the strip, a line at every fifteenth degree, and where faired ends begin."""
        cut, low, length = self.cut, self.low, self.length
        cut.add_polyline("TEMPLATE", [(0.0, low), (length, low), (length, low + self.girth), (0.0, low + self.girth)])
        first = math.ceil(self.seam_deg / CLOCK_STEP_DEG - 1e-9) * CLOCK_STEP_DEG
        for clock in range(first, first + 360, CLOCK_STEP_DEG):
            y = self.per_deg * clock
            if y - low > 0.5:
                cut.add_line("ENGRAVE", (0.0, y), (length, y))
            shown = (clock + 180) % 360 - 180
            shown = 180 if shown == -180 else shown
            name = {0: f" {CLOCK_ZERO[self.strut.family]}", 90: " port", -90: " starboard", 180: " below"}.get(
                shown, ""
            )
            cut.add_text(f"{shown}°{name}", (self.reach + 3.0, y - 1.25), SMALL_MM)
        aft, forward = self.barrel.aft_end, self.barrel.forward_end
        for end, at in ((aft, aft.length_mm), (forward, length - forward.length_mm)):
            if end.length_mm > 0:
                self.upright("FOLD", at)
                self.uprights.append((at, f"{end.shape} end, {cut.length(at)}"))
        for at in sorted({s for land in self.barrel.lands for s in (land.from_station_mm, land.to_station_mm)}):
            if 1e-6 < at < length - 1e-6:
                self.upright("FOLD", at)
                self.uprights.append((at, f"edge outside, {cut.length(at)}"))

    def screws(self) -> None:
        """The ends of the bearings and the set screws."""
        for k, bearing in enumerate(self.strut.bearings):
            name = "bearing" if len(self.strut.bearings) == 1 else f"bearing {k + 1}"
            for station, which in ((bearing.aft_station_mm, "aft"), (bearing.forward_station_mm, "forward")):
                if 1e-6 < station < self.length - 1e-6:
                    self.upright("PHANTOM", station)
                self.uprights.append((station, f"{name} {which} end, {self.cut.length(station)}"))
        for screw in self.strut.set_screws:
            centre = (screw.station_mm, self.place(screw.clock_deg))
            self.cut.add_circle("DRILL", centre, screw.tap_drill_mm)
            self.centre_mark(centre, 4.0 * screw.tap_drill_mm)
            self.marks.append((f"screw {screw.number}", centre, 0.5 * screw.tap_drill_mm))
        for lock in self.strut.let_in.locking if self.strut.let_in is not None else ():
            centre = (lock.station_mm, self.place(lock.clock_deg))
            self.cut.add_circle("DRILL", centre, lock.width_mm)
            self.centre_mark(centre, 3.0 * lock.width_mm)
            self.marks.append((f"locking {lock.number}", centre, 0.5 * lock.width_mm))

    def centre_mark(self, centre: P, size_mm: float) -> None:
        self.cut.add_centre_mark(centre, size_mm)
        self.reach = max(self.reach, centre[0] + size_mm / 2)

    def slots(self) -> None:
        slots, low, girth = self.barrel.slots, self.low, self.girth
        line = [] if slots is None else _slot_line(self.barrel, slots, self.per_deg)
        for k, at_deg in enumerate(_slot_clocks(slots)):
            middle = self.place(at_deg)
            for y in (middle - girth, middle, middle + girth):  # one across the seam shows twice
                seen = _within([(sx, y + sy) for sx, sy in line], low, low + girth)
                if len(seen) > 2:
                    self.cut.add_polyline("DRILL", seen)
                    rows = np.array(seen)
                    at = (float(rows[:, 0].max() + rows[:, 0].min()) / 2, float(rows[:, 1].max()))
                    self.marks.append((f"water slot {k + 1}", at, 0.0))

    def flange(self, flange: Flange) -> None:
        """The line of the free face, and between broken ones what is taken out where flange and ribs stand already."""
        cut, barrel, ribs = self.cut, self.barrel, flange.ribs
        for station in self.flange_ends(flange):
            self.upright("PHANTOM", station)
        line = []
        for clock in np.linspace(self.seam_deg, self.seam_deg + 360.0, 73).tolist():
            x = face_x_mm(flange, barrel, flange.thickness_mm, clock, barrel.outside_mm / 2)
            line.append((self.station(x), self.low + self.per_deg * (clock - self.seam_deg)))
        cut.add_polyline("ENGRAVE", line, closed=False)
        self.uprights.append((line[-1][0], "flange, free face"))
        forward = flange.plane.looks == "forward"
        toe, away = (stands_mm(flange, barrel)[0], -1.0) if forward else (stands_mm(flange, barrel)[1], 1.0)
        if ribs is None:
            return
        for k, clock in enumerate(ribs.clocks_deg, 1):
            y, far = self.place(clock), rib_profile(flange, barrel, clock)[3][0] + away * flange.root_mm
            end, half = self.station(far), ribs.thickness_mm / 2 + flange.root_mm
            cut.add_polyline(
                "PHANTOM", [(toe, y - half), (end, y - half), (end, y + half), (toe, y + half)], closed=False
            )
            self.marks.append((f"rib {k}", ((toe + end) / 2, y), 0.0))

    def flange_ends(self, flange: Flange) -> list[float]:
        """The stations on the strip between which, or an edge, flange and root stand."""
        return [station for station in stands_mm(flange, self.barrel) if 1e-6 < station < self.length - 1e-6]

    def station(self, x_mm: float) -> float:
        """The station of an x, within the strip."""
        return min(max(x_mm + self.length / 2, 0.0), self.length)

    def prints(self, prints: Sequence[_Print]) -> None:
        """The lines of arms and skeg, and then all that is written on the strip."""
        cut, low, girth = self.cut, self.low, self.girth
        _upright_labels(cut, self.uprights, low + girth + 2.0)
        named: list[tuple[str, Outline]] = []
        edges: list[tuple[str, P, float]] = []
        for shape, root in prints:
            turns = math.floor((self.per_deg * shape.clock_deg - low) / girth) * girth
            moved = shape.outline.translate(0.0, -turns)
            cut.add_outline("TEMPLATE", moved)
            box = moved.bounding_box()
            y = self.per_deg * shape.clock_deg - turns
            cut.add_line("CENTRE", (box.xmin - 8.0, y), (box.xmax + 8.0, y))
            _cut_out(cut, moved, root, self.length, y)
            named.append((f"{shape.name}, clock {angle_text(shape.clock_deg)}°", moved))
            edges += [("LE", (box.xmax, y), 45.0), ("TE", (box.xmin, y), 135.0)]
        for y in (low, low + girth):
            cut.add_text("seam", (-3.0 - text_width("seam", SMALL_MM), y - 1.25), SMALL_MM)
        letters = Lettering(cut)
        letters.put_arrow("FWD", [(self.length / 2, low - 8.0 - k) for k in range(30)])
        for text, centre, radius in self.marks:
            letters.beside(text, centre, SMALL_MM, off_mm=radius + 1.0, way_deg=20.0 if radius else 90.0)
        for text, outline in named:
            if not letters.inside(outline, [text]):
                letters.beside(text, xy(outline.centroid()))
        for text, edge, way in edges:
            letters.beside(text, edge, SMALL_MM, off_mm=1.5, way_deg=way)


def _strip(strut: Strut, title: str, prints: Sequence[_Print], seam_deg: float, *, screws: bool) -> CutFile:
    strip = _Strip(strut, title, seam_deg)
    if screws:
        strip.screws()
    strip.frame()
    strip.slots()
    if strut.flange is not None:
        strip.flange(strut.flange)
    strip.prints(prints)
    facts = [*_strip_facts(strip, prints), *(_screw_facts(strip) if screws else ()), MEASURED]
    finish(strip.cut, strut, title, "outside of the barrel", facts)
    return strip.cut


def _strip_facts(strip: _Strip, prints: Sequence[_Print]) -> Iterator[str]:
    strut, cut, slots, cast = strip.strut, strip.cut, strip.barrel.slots, strip.strut.construction == "cast"
    yield (
        "wrap round the barrel with the print outside, its left edge on the aft face; port side up. Stations run from "
        f"the aft face; clock angles from {_ZERO[CLOCK_ZERO[strut.family]]} (0), positive toward "
        "port, for both hands"
    )
    yield (
        f"girth {cut.length(strip.girth)} for an outside diameter of "
        f"{cut.length(strut.barrel.outside_mm)} and paper "
        f"{cut.length(dev.PAPER_MM)} thick. If the ends do not meet, the barrel in hand has another "
        "diameter: do not use the strip; have it drawn again for the diameter measured"
    )
    if any(p.beyond for p, _ in prints):
        yield "A LINE REACHES PAST A FACE OF THE BARREL: there the end diameter is carried on"
    if any(p.faired for p, _ in prints):
        yield (
            "some of a line lies on a faired end, where the paper stands off: its stations and clock angles "
            "hold on the true surface"
        )
    root = "fillet" if cast else "weld"
    bare = "" if cast else "; on a bare barrel leave it whole and mark the full line"
    if strut.let_in is not None:
        yield (
            "the strip goes all round the parallel part; a step is less round and a collar more: there lay it along "
            "the marks, not round"
        )
    elif strut.flange is None:
        yield (
            f"the strip goes all round. On a barrel with the {' and the '.join(p.name for p, _ in prints)} on it, cut "
            f"out what lies inside the broken line ({'its' if len(prints) == 1 else 'their'} {root} included) and slit "
            f"the paper from there to the forward edge{bare}"
        )
    else:
        yield f"the strip goes all round. {_round_flange(strip, strut.flange, root)}{bare}"
    for arm in strut.arms[1:]:
        if cuts.cut_arm(strut, arm).low.coped.any():
            first = "" if cast else f"; the {arm.name} is cut to the {strut.arms[0].name}, which is fitted first"
            yield f"the arms meet outside the barrel. Each is drawn whole{first}"
    if slots is not None:
        clocks = ", ".join(f"{k + 1} at {angle_text(c)}°" for k, c in enumerate(_slot_clocks(slots)))
        yield (
            f"water slots, through the wall with round ends: {cut.length(slots.width_mm)} wide, "
            f"{cut.length(max(slots.length_mm, slots.width_mm))} long, their centres at station "
            f"{cut.length(slots.centre_station_mm)}; by clock angle {clocks}"
        )


def _round_flange(strip: _Strip, flange: Flange, root: str) -> str:
    """How a strip goes on a barrel on which the flange stands already."""
    notched = "" if flange.ribs is None else ", and notch it for the ribs"
    if len(strip.flange_ends(flange)) > 1:
        how = "cut out what lies between the two broken lines and lay both pieces on one clock line"
    elif flange.plane.looks == "forward":
        how = "cut it off along the broken line"
    else:
        how = "cut it off along the broken line and lay its right edge on the forward face"
    return f"With the flange on, {how} ({root} included){notched}"


def _screw_facts(strip: _Strip) -> Iterator[str]:
    for s in strip.strut.set_screws:
        yield (
            f"screw {s.number}: {tables.tapped(s.thread)}, tap drill {strip.cut.length(s.tap_drill_mm)}, station "
            f"{strip.cut.length(s.station_mm)}, clock {angle_text(s.clock_deg)}°"
        )


def _upright_labels(cut: CutFile, marks: Sequence[tuple[float, str]], y: float) -> None:
    """Write upright labels over upright lines, pushed apart where lines are close."""
    grouped: dict[float, list[str]] = {}
    for x, text in sorted(marks):
        grouped.setdefault(round(x, 3), []).append(text)
    last = -math.inf
    for x, texts in grouped.items():
        place = max(x, last + 1.7 * SMALL_MM)
        if place > x + 0.1:
            cut.add_line("TEXT", (x, y - 1.0), (place, y + 2.0))
        cut.add_text("; ".join(texts), (place + SMALL_MM / 2, y + 3.0), SMALL_MM, turn=math.pi / 2)
        last = place
