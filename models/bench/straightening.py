"""Straightening a palm cold: what to do next, from the readings so far.

The first stroke is planned for the least springback that the metal may have, so that it falls short. Each stroke's
travel less the set that it left is its springback, and the yield that would spring back so far is what the next stroke
is planned with: a working figure, in which the hardening and what the press gives are in with it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.bench.palm_shape import Shape
from strutwright.models.formulas import flattening
from strutwright.models.formulas import press_bending as law
from strutwright.models.shop.pressing import COLD
from strutwright.params.limits import Limits
from strutwright.params.words import Amount, Words, say

Way = Literal["along", "across", "twist"]
WAYS: tuple[Way, ...] = ("along", "across", "twist")
_MODEL, _OTHER_WAY = 0.03, 0.12
"""How far the working yield may be off for the next stroke in the same way, and in another; common practice, no source:
they cover what simulated plates showed."""
_OVER_SHARE, _SHORT_SHARE = 0.35, 0.1
"""Share of the tolerance by which a stroke may go over at the least yield, and the first in its way stays short at the
likeliest."""
_UNREAD_SHARE = 0.1
_SIGMAS = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A palm to straighten and what there is to do it with: mm, N, MPa.

    spans_mm: distance of the supports along and across, and of the ball seats for a twist. hardening: tangent over
    elastic modulus. family: of the metal. reading_mm, setting_mm: standard deviation of a reading and of a stroke as
    set. press_n: nan where it is not known.
    """

    size_mm: tuple[float, float]
    thickness_mm: float
    spans_mm: tuple[float, float]
    yield_mpa: float
    modulus_mpa: float
    family: str
    cast: bool = False
    arm: bool = False
    tolerance_mm: float = 0.5
    hardening: float = 0.01
    reading_mm: float = 0.02
    setting_mm: float = 0.03
    press_n: float = math.nan
    ball_mm: float = 20.0
    bar_mm: float = 40.0
    limits: Limits

    def strip(self, way: Way, yield_mpa: Num) -> law.Strip:
        """The strip that is bent: the whole palm, along or across."""
        bent = 1 if way == "across" else 0
        return law.Strip(
            width_mm=self.size_mm[1 - bent],
            thickness_mm=self.thickness_mm,
            span_mm=self.spans_mm[bent],
            yield_mpa=yield_mpa,
            youngs_mpa=self.modulus_mpa,
            hardening=self.hardening,
        )

    @property
    def unread_mm(self) -> float:
        """What is kept of the tolerance for what lies between the readings."""
        return _UNREAD_SHARE * self.tolerance_mm

    @property
    def strain_most(self) -> float:
        """Surface strain of a set that the metal takes cold, a share."""
        if self.cast:
            return self.limits["press_strain_cast"].value
        return self.limits[COLD[self.family]].value if self.family in COLD else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A stroke that was made: its way, travel from touching to the end (mm), and the shape before and after."""

    way: Way
    travel_mm: float
    before: Shape
    after: Shape


@dataclass(frozen=True, slots=True, kw_only=True)
class Push:
    """The next stroke: mm, N, MPa.

    down: True with the hull face up. need_mm: the set that is wanted. beyond_mm: travel beyond flat. springback_mm,
    force_n: least, likeliest and most. contact_mpa: pressure under the bar or in the seats of the balls, at the most
    force; dents: whether that marks the plate. strain: of all sets in this way, this one with them, a share.
    """

    way: Way
    down: bool
    need_mm: float
    travel_mm: float
    beyond_mm: float
    springback_mm: tuple[float, float, float]
    force_n: tuple[float, float, float]
    yield_mpa: tuple[float, float, float]
    contact_mpa: float
    dents: bool
    strain: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What comes next: `flat`, a `push`, or `refused` with reasons and what else can be done."""

    verdict: Literal["flat", "push", "refused"]
    shape: Shape
    push: Push | None = None
    reasons: tuple[Words, ...] = ()
    instead: tuple[str, ...] = ()


def _sag_mm(case: Case, shape: Shape, way: Way) -> float:
    """Height over the supports, mm: of the middle, or of the corners that are wound down."""
    if way == "twist":
        return _alone(shape, way) * _share(case, way)
    return shape.sag_mm(WAYS.index(way), case.spans_mm[WAYS.index(way)])


def _share(case: Case, way: Way) -> float:
    """Part of a kink's or twist's height over the whole palm that it has over the supports."""
    along, across = (span / size for span, size in zip(case.spans_mm, case.size_mm, strict=True))
    return {"along": along, "across": across, "twist": along * across}[way]


def next_step(case: Case, shape: Shape, made: Sequence[Made] = ()) -> Step:
    """Return what comes next for a palm of this shape, after the strokes that were made.

    Call it in a loop: read, ask, press, read again.

    >>> import numpy as np
    >>> from strutwright.models.bench.palm_shape import shape
    >>> grid = np.array([[u, v, 1.6 - 0.032 * abs(v)] for u in (-100.0, 0, 100) for v in (-50.0, 0, 50)])
    >>> case = Case(size_mm=(200, 100), thickness_mm=12, spans_mm=(160, 80), yield_mpa=200, modulus_mpa=193e3,
    ...             family="stainless", limits=standard())
    >>> step = next_step(case, shape(grid, case.size_mm))
    >>> step.verdict, step.push.way, step.push.down
    ('push', 'across', True)
    """
    if shape.zone_mm <= case.tolerance_mm - case.unread_mm:
        return Step(verdict="flat", shape=shape)
    worst = sorted(WAYS, key=lambda w: -abs(_alone(shape, w)))
    floor = _SIGMAS * (case.reading_mm + case.setting_mm) / 2.0
    for way in worst:
        if abs(_alone(shape, way)) * _share(case, way) <= floor:
            continue
        push = _push(case, shape, way, made)
        reasons = _against(case, push)
        if reasons:
            return Step(verdict="refused", shape=shape, push=push, reasons=reasons, instead=_instead(case))
        return Step(verdict="push", shape=shape, push=push)
    return Step(
        verdict="refused",
        shape=shape,
        reasons=("what is left is neither bow nor twist: no stroke over the whole palm takes it out",),
        instead=_instead(case),
    )


def _alone(shape: Shape, way: Way) -> float:
    """The zone that a bow or the twist has by itself."""
    return shape.twist_mm if way == "twist" else shape.bow_mm[WAYS.index(way)]


def _for_set(case: Case, way: Way, yield_mpa: Num, set_mm: float) -> law.Bent:
    """What a stroke does that leaves a set, from a plate that was never bent."""
    strip = case.strip(way, yield_mpa)
    if way == "twist":
        return law.wind_for_set(strip, *case.spans_mm, set_mm)[1]
    return law.stroke_for_set(strip, set_mm)[1]


def _before_mm(case: Case, way: Way, sign: float, made: Sequence[Made]) -> float:
    """The set of earlier strokes in one way and direction: the metal goes on where it was left."""
    sets = (_sag_mm(case, m.before, way) - _sag_mm(case, m.after, way) for m in made if m.way == way)
    return sum(s for s in sets if s * sign > 0.0) * sign


def working_yield(case: Case, way: Way, made: Sequence[Made]) -> tuple[float, float, float]:
    """Return the yield to plan the next stroke with: least, likeliest, most, MPa.

    >>> case = Case(size_mm=(200, 100), thickness_mm=12, spans_mm=(160, 80), yield_mpa=200, modulus_mpa=193e3,
    ...             family="stainless", limits=standard())
    >>> [round(float(y)) for y in working_yield(case, "across", [])]  # to 1.6 times the least
    [200, 253, 320]
    """
    least, most = case.yield_mpa, case.yield_mpa * case.limits["press_yield"].value
    for number, m in enumerate(made):
        sign = math.copysign(1.0, _sag_mm(case, m.before, m.way))
        left = (_sag_mm(case, m.before, m.way) - _sag_mm(case, m.after, m.way)) * sign
        total = max(_before_mm(case, m.way, sign, made[:number]), 0.0) + max(left, 0.0)
        doubt = (1.0 if m.way == way else 2.0) * _SIGMAS * math.hypot(case.reading_mm, case.setting_mm)
        widen = 1.0 + (_MODEL if m.way == way else _OTHER_WAY)
        low = _yield_of(case, m.way, total, m.travel_mm - left - doubt) / widen
        high = _yield_of(case, m.way, total, m.travel_mm - left + doubt) * widen
        if left < doubt:  # it hardly yielded: the yield may be any higher
            high = max(high, most)
        least, most = _both((least, most), (low, high))
    return least, math.sqrt(least * most), most


def _both(a: tuple[float, float], b: tuple[float, float]) -> tuple[float, float]:
    """What two ranges have in common; the later one where that is nothing."""
    least, most = max(a[0], b[0]), min(a[1], b[1])
    return (least, most) if least < most else b


def _yield_of(case: Case, way: Way, total_mm: float, springback_mm: float) -> float:
    """The yield with which a stroke that brings the set to a total springs back so far."""
    tried = case.yield_mpa * np.geomspace(0.2, 5.0, 161)
    back = _for_set(case, way, tried, total_mm).springback_mm
    return float(np.exp(np.interp(springback_mm, np.asarray(back), np.log(tried))))


def _push(case: Case, shape: Shape, way: Way, made: Sequence[Made]) -> Push:
    off, share = _alone(shape, way), _share(case, way)  # a round bow is pressed as a kink: its ends come level
    need, sign = abs(off) * share, math.copysign(1.0, off)
    before = max(_before_mm(case, way, sign, made), 0.0)
    yields = working_yield(case, way, made)
    bents = [_for_set(case, way, y, before + need) for y in yields]
    over = max(_OVER_SHARE * case.tolerance_mm * share - case.setting_mm, 0.0)
    short = 0.0 if any(m.way == way for m in made) else _SHORT_SHARE * case.tolerance_mm * share
    likely = need - short + float(bents[1].springback_mm)
    safe = need + over + float(_for_set(case, way, yields[0], before + need + over).springback_mm)
    travel = min(likely, safe)
    back = tuple(float(b.springback_mm) for b in bents)
    force = tuple(float(b.force_n) for b in bents)
    contact, dents = _contact(case, way, force[2], yields[0])
    return Push(
        way=way,
        down=off > 0.0 or way == "twist",
        need_mm=need,
        travel_mm=travel,
        beyond_mm=travel - abs(_sag_mm(case, shape, way)),
        springback_mm=(back[0], back[1], back[2]),
        force_n=(force[0], force[1], force[2]),
        yield_mpa=yields,
        contact_mpa=contact,
        dents=dents,
        strain=_strain(case, way, before + need),
    )


def _strain(case: Case, way: Way, set_mm: float) -> float:
    """Surface strain of a set, spread over the span, or of the twist."""
    if way != "twist":
        return float(flattening.set_strain(set_mm, case.thickness_mm, case.strip(way, 1.0).span_mm))
    return float(2.0 * case.thickness_mm * set_mm / (case.spans_mm[0] * case.spans_mm[1]) / math.sqrt(3.0))


def _contact(case: Case, way: Way, force_n: float, yield_mpa: float) -> tuple[float, bool]:
    """Pressure of the bar, or of a ball in its countersink of 90 degrees, and whether it marks the plate.

    A ball touches a cone on a ring, which is taken as a bar of the ball's radius around it; a line contact yields at
    1.8 times the yield (Johnson, Contact Mechanics, from memory).
    """
    if way == "twist":
        ring = math.pi * case.ball_mm * math.cos(math.radians(45.0))
        pressure = float(
            law.bar_pressure_mpa(force_n / math.sin(math.radians(45.0)), ring, case.ball_mm, case.modulus_mpa)
        )
    else:
        pressure = float(law.bar_pressure_mpa(force_n, case.strip(way, 1.0).width_mm, case.bar_mm, case.modulus_mpa))
    return pressure, pressure > 1.8 * yield_mpa


def _against(case: Case, push: Push) -> tuple[Words, ...]:
    """Why a stroke is not to be made."""
    reasons: list[Words] = []
    if case.cast and case.arm:
        reasons.append("a cast arm is never straightened cold")
    elif case.strain_most <= 0.0:
        reasons.append("this metal is not straightened cold: it takes little bending or none")
    elif push.strain > case.strain_most:
        reasons.append(
            say(
                "the set strains the surface by {strain} %, all strokes together; the metal takes {most} % cold",
                strain=f"{100 * push.strain:.2g}",
                most=f"{100 * case.strain_most:.2g}",
            )
        )
    room = case.limits["press_share"].value * case.press_n
    force = push.force_n[2] * (2.0 if push.way == "twist" else 1.0)
    if force > room:
        needed, used = (Amount(round(n / 1e3), "kN") for n in (force, room))
        reasons.append(
            say("the press is too small: up to {needed} may be needed, {used} are used", needed=needed, used=used)
        )
    return tuple(reasons)


def _instead(case: Case) -> tuple[str, ...]:
    ways = ["machine the hull face flat, if the palm stays thick enough", "shim or bed the palm to its shape"]
    if not case.cast and case.family == "steel":
        ways.append("have it annealed, then straighten it")
    if case.cast:
        ways.append("ask the founder whether the alloy may be annealed and straightened warm")
    return tuple(ways)
