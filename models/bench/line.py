"""The housings on one shaft: whether they are of one shaft, where their bores lie, and what brings them to one line.

Stations count forward from the middle of the aftmost bearing, heights up from the line of sight, athwart to port; mm
and radians. The line is laid down by the bearings that cannot be moved; the least squares of all where none is held.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from strutwright.models.bench.installation import Stand, Told
from strutwright.models.formulas.line_and_plane import KNOWN, student_factor
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.models.tolerance_chain import room_mrad
from strutwright.params.bench.line import ShaftLine, Wire
from strutwright.params.limits import Limits
from strutwright.params.quantity import GRAVITY_M_S2
from strutwright.params.words import Amount, Words, deg, fine_mm, mm, say

STEEL_KG_M3 = 7850.0
"""Density of a steel wire; from memory."""
LIMITS = ("line_span", "conflict_speed", "conflict_speed_hard", "conflict_angle", "conflict_angle_hard")
"""Limits by which sets are held to be of one shaft."""
_SURE = student_factor(KNOWN)
Pair = tuple[float, float]
"""Up and to port."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A bearing in its place. held: cannot be moved. aft, forward: middles of the ends of its bore as read, off the
    straight line of sight, mm; None where they were not read. strut, inputs: of its set, None without one."""

    called: str
    at_mm: float
    held: bool
    strut: Strut | None
    inputs: Inputs | None
    aft: Pair | None = None
    forward: Pair | None = None

    @property
    def long_mm(self) -> float:
        """Length of the bore, nought where none is known."""
        return 0.0 if self.strut is None else self.strut.barrel.length_mm

    @property
    def ends_mm(self) -> Pair:
        """Stations of the ends of its bore."""
        middle = self.at_mm - (0.0 if self.inputs is None else float(self.inputs.bearing_x_mm))
        return middle - self.long_mm / 2.0, middle + self.long_mm / 2.0

    @property
    def slope(self) -> Pair | None:
        """How its bore rises forward, and runs to port; None where one end alone was read."""
        if self.aft is None or self.forward is None or not self.long_mm:
            return None
        up, port = ((f - a) / self.long_mm for a, f in zip(self.aft, self.forward, strict=True))
        return up, port

    @property
    def middle(self) -> Pair | None:
        """Where the middle of its bearing lies; None where nothing was read."""
        read = [end for end in (self.aft, self.forward) if end is not None]
        if not read:
            return None
        off = 0.0 if self.inputs is None else float(self.inputs.bearing_x_mm)
        slope = self.slope or (0.0, 0.0)
        up, port = (
            sum(values) / len(read) + off * lean for values, lean in zip(zip(*read, strict=True), slope, strict=True)
        )
        return up, port


def wire_sag_mm(wire: Wire, at_mm: float) -> float:
    """Return how far a stretched wire hangs below the straight line between its ends, mm: w x (l - x) / 2 H.

    Parabola; the rope of even weight (any text on statics), within 1e-6 of it where the sag is under a thousandth.

    >>> wire = Wire(diameter=0.5, pull=150.0, aft=-500.0, forward=5500.0)
    >>> round(wire_sag_mm(wire, 2500.0), 4)  # 7.85e-6 kg/mm3, 0.0151 N/m, (6 m)^2 / 8 / 150 N
    0.4535
    """
    weight: float = STEEL_KG_M3 * 1e-9 * math.pi / 4.0 * wire.diameter**2 * GRAVITY_M_S2
    sag: float = weight * (at_mm - wire.aft) * (wire.forward - at_mm) / (2.0 * wire.pull)
    return sag


def placed(said: ShaftLine, sets: Sequence[Strut | None], limits: Limits | None = None) -> list[Placed]:
    """Return the bearings from aft forward, readings freed of the sag of a wire. sets: of each as the file has them.

    >>> from strutwright.params.bench.line import LineBearing
    >>> ends = (("fore", 900.0), ("aft", 0.0))
    >>> two = [LineBearing(called=name, station=at, aft_up=0.1, aft_port=0.0) for name, at in ends]
    >>> [(p.called, p.middle) for p in placed(ShaftLine(bearings=two), (None, None))]
    [('aft', (0.1, 0.0)), ('fore', (0.1, 0.0))]
    """
    made = []
    for one, strut in zip(said.bearings, sets, strict=True):
        inputs = None if strut is None else Inputs.from_strut(strut, limits=limits)
        half = 0.0 if strut is None else strut.barrel.length_mm / 2.0
        middle = one.station - (0.0 if inputs is None else float(inputs.bearing_x_mm))
        ends = [
            _straight(said.wire, middle + way * half, up, port)
            for way, up, port in ((-1.0, one.aft_up, one.aft_port), (1.0, one.forward_up, one.forward_port))
        ]
        made.append(
            Placed(
                called=one.called,
                at_mm=one.station,
                held=one.place == "fixed",
                strut=strut,
                inputs=inputs,
                aft=ends[0],
                forward=ends[1],
            )
        )
    return sorted(made, key=lambda p: p.at_mm)


def _straight(wire: Wire | None, at_mm: float, up: float | None, port: float | None) -> Pair | None:
    if up is None or port is None:
        return None
    return up - (0.0 if wire is None else wire_sag_mm(wire, at_mm)), port


@dataclass(frozen=True, slots=True)
class Axis:
    """The line that the bores are to lie on: where it is at station nought and how it rises, up and to port."""

    at: Pair
    rise: Pair

    def off(self, one: Placed) -> Pair | None:
        """Return how far the middle of a bearing lies off it; None where nothing was read."""
        if one.middle is None:
            return None
        up, port = (m - a - r * one.at_mm for m, a, r in zip(one.middle, self.at, self.rise, strict=True))
        return up, port

    def leans(self, one: Placed) -> Pair | None:
        """Return how the bore of a bearing leans against it, rad; None where one end alone was read."""
        if one.slope is None:
            return None
        up, port = (s - r for s, r in zip(one.slope, self.rise, strict=True))
        return up, port


def axis_of(line: Sequence[Placed]) -> Axis | None:
    """Return the line that bearings are brought to; None where fewer than two were read.

    Through those that are held: their least squares where they are two or more, through the one and nearest to the
    others where it is one. Through all where none is.

    >>> read = {"strut": None, "inputs": None}
    >>> line = [Placed(called=n, at_mm=x, held=x != 500.0, aft=(up, 0.0), **read) for n, x, up in
    ...     (("a", 0.0, 0.0), ("b", 500.0, 0.9), ("c", 1000.0, 1.0))]
    >>> round(axis_of(line).off(line[1])[0], 9)
    0.4
    """
    read = [p for p in line if p.middle is not None]
    if len(read) < 2:
        return None
    held = [p for p in read if p.held]
    through = held[0] if len(held) == 1 else None
    count = held if len(held) > 1 else read
    x = np.array([p.at_mm for p in count])
    y = np.array([p.middle for p in count], dtype=float)
    x0, y0 = (x.mean(), y.mean(axis=0)) if through is None else (through.at_mm, np.array(through.middle))
    along = x - x0
    rise = along @ (y - y0) / (along @ along)
    at = y0 - rise * x0
    return Axis((float(at[0]), float(at[1])), (float(rise[0]), float(rise[1])))


def agreement(said: ShaftLine, line: Sequence[Placed], limits: Limits) -> list[Told]:
    """Return how the sets of one shaft agree about it: diameter, metal, speed, power, hand, angle, spans.

    >>> launch = shipped("harbour-launch")
    >>> from strutwright.params.bench.line import LineBearing
    >>> two = [LineBearing(called=name, station=at) for name, at in (("aft", 0.0), ("fore", 1100.0))]
    >>> file = ShaftLine(bearings=two)
    >>> [str(told.stand) for told in agreement(file, placed(file, (launch, None)), standard())]
    ['in']
    """
    known = [(p, p.strut) for p in line if p.strut is not None]
    made = list(_spans(line, limits))
    if not known:
        return made
    first = known[0][1]
    for one, strut in known[1:]:
        made += _alike(one.called, strut, first, limits)
    made += _hands(said, [strut for _, strut in known])
    angles = [s.hull.shaft_to_waterline_deg for _, s in known if math.isfinite(s.hull.shaft_to_waterline_deg)]
    if len(angles) > 1:
        apart = max(angles) - min(angles)
        most, hard = (limits[name].value for name in ("conflict_angle", "conflict_angle_hard"))
        what = "angle of the shaft to the waterline, sets apart by"
        made.append(Told(what, _size(deg(apart)), say("{size} at most", size=deg(most)), _stand(apart, most, hard)))
    return made


def _stand(value: float, most: float, hard: float) -> Stand:
    return Stand.IN if value <= most + 1e-9 else Stand.LOOK if value <= hard + 1e-9 else Stand.OUT


def _alike(name: str, strut: Strut, first: Strut, limits: Limits) -> Iterator[Told]:
    """What a set says of the shaft, against what the aftmost one says."""
    here, there = strut.shaft, first.shaft
    same = abs(here.diameter_mm - there.diameter_mm) < 1e-3
    held_to = say("{size}, as the aftmost set says", size=fine_mm(there.diameter_mm))
    found = _size(fine_mm(here.diameter_mm))
    yield Told(f"diameter of the shaft, {name}", found, held_to, Stand.IN if same else Stand.OUT)
    metal = Stand.IN if here.material == there.material else Stand.OUT
    yield Told(f"metal of the shaft, {name}", here.material, there.material, metal)
    for what, unit, mine, its in (
        ("speed of the shaft", "rpm", strut.duty.shaft_rpm, first.duty.shaft_rpm),
        ("power", "kW", strut.duty.power_kw, first.duty.power_kw),
    ):
        if mine is None or its is None:
            continue
        apart = abs(mine - its) / its
        stand = _stand(apart, limits["conflict_speed"].value, limits["conflict_speed_hard"].value)
        yield Told(f"{what}, {name}", _size(Amount(mine, unit)), _size(Amount(its, unit)), stand)


def _size(amount: Amount) -> Words:
    return say("{size}", size=amount)


def _hands(said: ShaftLine, struts: Sequence[Strut]) -> Iterator[Told]:
    for strut in struts:
        hand = strut.identity.hand
        if strut.identity.pair or said.hand == hand or (strut.hanger is not None and hand == "centre"):
            continue
        yield Told(f"hand of {strut.identity.name}", hand, f"{said.hand}, as the shaft", Stand.OUT)


def _spans(line: Sequence[Placed], limits: Limits) -> Iterator[Told]:
    """The spans that sets say, against the stations."""
    share = limits["line_span"].value
    for aft, fore in pairwise(line):
        span = fore.at_mm - aft.at_mm
        says = [] if aft.strut is None else [(aft.called, "ahead of it", aft.strut.shaft.bearing_span_mm)]
        if fore.strut is not None and fore.strut.hanger is not None:
            says.append((fore.called, "abaft it", fore.strut.hanger.aft_span_mm))
        for name, way, size in says:
            if size is None or not math.isfinite(size):
                continue
            off, most = abs(size - span), share * span
            held_to = say("{size} here, within {most}", size=mm(span), most=mm(most))
            yield Told(
                f"next bearing {way}, {name}", _size(mm(size)), held_to, Stand.IN if off <= most + 1e-9 else Stand.OUT
            )


def bores(said: ShaftLine, line: Sequence[Placed], axis: Axis) -> list[Told]:
    """Return how each bore lies to the line, and what brings it there.

    >>> from strutwright.params.bench.line import LineBearing
    >>> launch = shipped("harbour-launch")
    >>> ends = {"aft_up": 0.0, "aft_port": 0.0, "forward_up": 0.5, "forward_port": 0.0}
    >>> file = ShaftLine(scatter=0.02, bearings=[LineBearing(called="aft", station=0.0, **ends),
    ...     LineBearing(called="gearbox", station=1100.0, aft_up=0.0, aft_port=0.0, place="fixed")])
    >>> line = placed(file, (launch, None))
    >>> [str(told.stand) for told in bores(file, line, axis_of(line)) if "leans" in told.what]
    ['out']
    """
    made: list[Told] = []
    for one in line:
        off, leans = axis.off(one), axis.leans(one)
        if off is None:
            made.append(Told(f"bore, {one.called}", "not measured", "counts as on the line", Stand.LOOK))
            continue
        if not one.held:
            made += _moves(one, off)
        elif max(map(abs, off)) > 1e-9:
            found = say("{up} up, {port} to port", up=fine_mm(off[0]), port=fine_mm(off[1]))
            made.append(Told(f"off the line of all that are held, {one.called}", found, "", Stand.NOTED))
        if leans is None or one.inputs is None:
            continue
        if not one.held:
            made.append(_turn(one, leans))
        angle, room = 1000.0 * math.hypot(*leans), float(room_mrad(one.inputs))
        sure = 1000.0 * _SURE * said.scatter * math.sqrt(2.0) / one.long_mm
        stand = Stand.IN if angle + sure <= room else Stand.OUT if angle - sure > room else Stand.LOOK
        found = say("{angle}, ±{sure}", angle=Amount(angle, "mrad"), sure=Amount(sure, "mrad"))
        held_to = say("{room} at most: its clearance over its length", room=Amount(room, "mrad"))
        made.append(Told(f"bore leans against the line, {one.called}", found, held_to, stand))
    return made


def _by(up: float, port: float) -> Words:
    way, side = "up" if up >= 0.0 else "down", "port" if port >= 0.0 else "starboard"
    return say("{up} {way}, {port} to {side}", up=fine_mm(abs(up)), way=way, port=fine_mm(abs(port)), side=side)


def _turn(one: Placed, leans: Pair) -> Told:
    words = _by(-leans[0] * one.long_mm, -leans[1] * one.long_mm)
    return Told(f"then turn it, forward end against the after end, {one.called}", words, "along the line", Stand.NOTED)


def _moves(one: Placed, off: Pair) -> Iterator[Told]:
    up, port = -off[0], -off[1]
    yield Told(f"move its middle, {one.called}", _by(up, port), "onto the line", Stand.NOTED)
    thick = under_foot_mm(one, off)
    if thick is None or one.strut is None or one.strut.hanger is None:
        return
    under = one.strut.hanger.under
    fits = under.least_mm - 1e-9 <= thick <= under.most_mm + 1e-9
    held_to = say("{least} to {most}", least=mm(under.least_mm), most=mm(under.most_mm))
    stand = Stand.IN if fits else Stand.OUT
    yield Told(f"thickness under its foot, {one.called}", _size(fine_mm(thick)), held_to, stand)


def under_foot_mm(one: Placed, off: Pair) -> float | None:
    """Return how thick shims or chock under a hanger's foot become when it is moved to the line, mm; None without any.

    It was read with them as thick as drawn. off: of its middle from the line.

    >>> hung = Placed(called="hanger", at_mm=0.0, held=False, strut=shipped("tunnel-hanger"), inputs=None)
    >>> under_foot_mm(hung, (-0.5, 0.0))  # under a roof: half a millimetre up takes as much from 3
    2.5
    """
    hanger = None if one.strut is None else one.strut.hanger
    if hanger is None or hanger.under.kind == "none":
        return None
    toward = {"above": -off[0], "below": off[0], "port": -off[1], "starboard": off[1]}[hanger.stands]
    return hanger.under.thickness_mm - toward
