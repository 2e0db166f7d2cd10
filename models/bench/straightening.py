"""Straightening a palm cold: what to do next, from the readings so far.

The first stroke is planned for the least springback that the metal may have, so that it falls short. Each stroke's
travel less the set that it left is its springback, and the yield that would spring back so far is what the next stroke
is planned with: a working figure, in which the hardening and what the press gives are in with it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.bench.palm_shape import Shape
from strutwright.models.bench.press_places import ANY, CARRIED, Face, P, Place, Tools, Way, places
from strutwright.models.formulas import press_bending as law
from strutwright.models.formulas.min_zone import Points, min_zone
from strutwright.models.hull_curve import HullCurve
from strutwright.params.limits import Limits
from strutwright.params.words import Amount, Words, say

COLD = {"stainless": "press_strain", "steel": "press_strain", "duplex": "press_strain_duplex"}
"""Limit of the cold surface strain by family. Families not listed take little or none: cast tin bronze not at all,
aluminium cracks at the toe of the weld."""
_MODEL, _TURNED = 0.03, 0.6
"""How far the working yield may be off for the next stroke, and the least share of it when metal is bent back, which
yields earlier then. Common practice, no source: they cover what plates by finite elements showed."""
_OVER_SHARE, _SHORT_SHARE = 0.35, 0.1
"""Share of the tolerance by which a stroke may go over at the least yield, and the first in its way stays short at the
likeliest."""
_UNREAD_SHARE, _UNREAD_ROOTED = 0.15, 0.25
"""Share of the tolerance that is kept for what lies between the readings; more with roots of arms under the plate,
which stays as it was beside them; by finite elements."""
_ALIKE, _WORTH = 0.8, 0.02
"""Share of the best from which a place that comes before it goes first; share of the tolerance that a stroke is to gain
at least."""
_SIGMAS = 2.0
_WIDE = 1.155
"""Force of a plate that is held flat the other way over that of a strip: 2 / sqrt(3), von Mises."""
_ROOT_FORCE, _ROOT_TWIST = {"along": 2.3, "across": 1.8}, 8.0
"""The same with roots of arms under the plate, and what a twist takes more per share of the plate that is root: what
palms by finite elements took at most."""
_FAR, _EARLY = 1.4, 0.8
"""With the bar over a toe: springback over that of the nearer plate alone, which finite elements showed at least; force
over that of the whole width bending, at least, as it starts to bend beside the root."""
_DENTS = 1.8
"""Pressure of a line contact that yields under the face, over the yield (Johnson, Contact Mechanics, from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A palm to straighten and what there is to do it with: mm, N, MPa.

    hardening: tangent over elastic modulus. family: of the metal. reading_mm, setting_mm: standard deviation of a
    reading and of a stroke as set. press_n: nan where it is not known. ball_mm, bar_mm: diameters. drawn: what the hull
    face is made to; its shapes are then what it departs from that by, its tolerance the zone about it.
    """

    face: Face
    thickness_mm: float
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
    tools: Tools = ANY
    drawn: HullCurve | None = None
    limits: Limits

    @property
    def size_mm(self) -> P:
        """Over-all sizes of the palm."""
        return self.face.size_mm

    @property
    def unread_mm(self) -> float:
        """What is kept of the tolerance for what lies between the readings."""
        return (_UNREAD_ROOTED if self.face.roots else _UNREAD_SHARE) * self.tolerance_mm

    @property
    def strain_most(self) -> float:
        """Surface strain of a set that the metal takes cold, a share."""
        if self.cast:
            return self.limits["press_strain_cast"].value
        return self.limits[COLD[self.family]].value if self.family in COLD else 0.0

    @property
    def yield_most_mpa(self) -> float:
        """The yield that the plate may have."""
        return self.yield_mpa * self.limits["press_yield"].value

    def curve(self, way: Way, free: tuple[P, ...]) -> law.Curve:
        """What strokes do to plate of such free widths and spans."""
        return _curve(way, free, self.thickness_mm, self.yield_mpa, self.modulus_mpa, self.hardening)

    def springback_mm(self, place: Place, yield_mpa: Num, set_mm: Num) -> Num:
        """Springback of the stroke that leaves a set: half way from that of bare plate to that of plate that bends
        only where the roots leave it free; with the bar over a toe the farther side gives too."""
        bare, free = (self.curve(place.way, widths) for widths in (place.bare, place.free))
        back: Num = (bare.springback(yield_mpa, set_mm) + free.springback(yield_mpa, set_mm)) / 2.0
        return back * _FAR if place.one_sided else back

    def force_n(self, place: Place, yield_mpa: float, set_mm: float) -> tuple[float, float]:
        """Least and greatest force of the ram of a stroke that leaves a set."""
        least = float(self.curve(place.way, place.free).force(yield_mpa, set_mm))
        most = float(self.curve(place.way, place.carried).force(yield_mpa, set_mm)) * self._held(place)
        return least * _rams(place) * (_EARLY if place.one_sided else 1.0), most * _rams(place)

    def _held(self, place: Place) -> float:
        if not self.face.roots:
            return _WIDE
        if place.way != "twist":
            return _ROOT_FORCE[place.way]
        return _WIDE + _ROOT_TWIST * (1.0 - place.free[0][0] / place.bare[0][0])

    def press_for(self, force_n: float) -> float:
        """The least press that is used to its usual share."""
        return force_n / self.limits["press_share"].value


def _rams(place: Place) -> float:
    """Force of the ram over that on one corner of a twist, or over that in the middle of a strip."""
    if place.one_sided:  # half of it at the nearer support, of what the lever leaves
        return 0.5 / place.share
    return 2.0 if place.way == "twist" else 1.0


@lru_cache(maxsize=256)
def _curve(way: Way, free: tuple[P, ...], thick: float, strength: float, modulus: float, hard: float) -> law.Curve:
    strips = [
        law.Strip(
            width_mm=wide, thickness_mm=thick, span_mm=span, yield_mpa=strength, youngs_mpa=modulus, hardening=hard
        )
        for wide, span in free
    ]
    return law.twist_curve(strips[0], *free[0]) if way == "twist" else law.curve_of(strips)


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A stroke that was made: its place, travel from touching to the end (mm), and the shape before and after."""

    place: Place
    travel_mm: float
    before: Shape
    after: Shape


@dataclass(frozen=True, slots=True, kw_only=True)
class Push:
    """The next stroke: mm, N, MPa.

    down: True with the hull face up. need_mm: the set that is wanted. beyond_mm: travel beyond flat. springback_mm,
    force_n: least, likeliest and most, of the ram. press_n: the least press that is used to its usual share.
    contact_mpa: pressure under the bar or in the seats of the balls, at the most force; parallels_mpa: under each
    parallel, spread over it; dents: whether either marks the plate. strain: of all sets at this place, this one with
    them, a share.
    """

    place: Place
    down: bool
    need_mm: float
    travel_mm: float
    beyond_mm: float
    springback_mm: tuple[float, float, float]
    force_n: tuple[float, float, float]
    press_n: float
    yield_mpa: tuple[float, float, float]
    contact_mpa: float
    parallels_mpa: float
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


# --- how far a face is off at a place ---------------------------------------------------------------------------------


def _kinked_mm(shape: Shape, place: Place) -> float:
    """How far the face falls over half the palm from the line that is pressed, as a kink."""
    way = 1 if place.way == "across" else 0
    if way == 1 and not place.whole:
        return shape.kink_near(1, place.line, place.at_mm[0])
    kinks = shape.kinked_mm[way]
    return kinks[place.line] + shape.round_mm[way] / len(kinks)


def _need_mm(shape: Shape, place: Place) -> float:
    """Set over the supports that is wanted; positive with the hull face up. A round bow is pressed as a kink: its ends
    come level."""
    if place.way == "twist":
        return shape.twist_mm * place.spans_mm[0] * place.spans_mm[1] / (shape.size_mm[0] * shape.size_mm[1])
    if place.toes_mm is not None:  # the end turns about this place: as far as it falls from the line of the root
        fall, reach = _end_mm(shape, place)
        return fall / reach * place.span_mm / (2.0 if place.one_sided else 4.0)
    if place.way == "along" and not place.whole:
        return _over_mm(shape, place)
    return _kinked_mm(shape, place) / place.lever(shape.size_mm[1 if place.way == "across" else 0] / 2.0)


def _alone(shape: Shape, place: Place) -> float:
    """The zone that this bow or the twist has by itself."""
    if place.way == "twist":
        return shape.twist_mm
    way = 1 if place.way == "across" else 0
    long, at = shape.size_mm[way], place.at_mm[way]
    if place.toes_mm is not None:
        return _end_mm(shape, place)[0] / 2.0
    if place.way == "along" and not place.whole:
        return _over_mm(shape, place) * long / place.span_mm * (1.0 - (2.0 * at / long) ** 2)
    if place.way == "along":
        at = 0.0
    return _kinked_mm(shape, place) * (1.0 - (2.0 * at / long) ** 2)


def _end_mm(shape: Shape, place: Place) -> P:
    """How far the palm's end falls from the line of the root, and how far that end lies from the place."""
    assert place.toes_mm is not None
    way = 1 if place.way == "across" else 0
    end = math.copysign(shape.size_mm[way] / 2.0, place.at_mm[way] - sum(place.toes_mm) / 2.0)
    if place.one_sided:
        falls = shape.falls_mm(way, place.toes_mm)
        return falls[1 if end > 0.0 else 0], abs(end - place.at_mm[way])
    near, far = sorted(place.toes_mm, key=lambda toe: abs(toe - end))
    at_end, at_near, at_far = shape.profile_mm(0, (end, near, far))
    return at_near + (at_near - at_far) / (near - far) * (end - near) - at_end, abs(end - place.at_mm[0])


def _over_mm(shape: Shape, place: Place) -> float:
    """Height of the palm at a place along over the supports on either side."""
    at, half = place.at_mm[0], place.span_mm / 2.0
    middle, one, other = shape.profile_mm(0, (at, at - half, at + half))
    return middle - (one + other) / 2.0


# --- the next stroke --------------------------------------------------------------------------------------------------


def places_of(case: Case) -> list[Place]:
    """Return where a palm can be pushed with the press there is; a press that is too small for a whole line takes it in
    bites.

    >>> case = Case(face=Face.bare((300.0, 150.0)), thickness_mm=14, yield_mpa=170, modulus_mpa=193e3,
    ...             family="stainless", limits=standard())
    >>> from dataclasses import replace
    >>> [len(places_of(replace(case, press_n=n))) for n in (500e3, 100e3)]
    [3, 5]
    """
    made = places(case.face, case.thickness_mm, case.tools)
    if not case.press_n > 0.0:
        return made
    most = min((bite_mm(case, p, case.press_n) for p in made if p.way == "across"), default=math.inf)
    longest = max((p.bar_mm for p in made if p.way == "across"), default=0.0)
    if most >= longest * (1.0 - 1e-9) or most < case.limits["press_strip"].value * case.thickness_mm:
        return made
    bar = Tools(span_along_mm=case.tools.span_along_mm, bed_mm=case.tools.bed_mm, bar_mm=most)
    bites = [p for p in places(case.face, case.thickness_mm, bar) if p.way == "across"]
    return [*bites, *(p for p in made if p.way != "across")]


def bite_mm(case: Case, place: Place, press_n: float) -> float:
    """Return the longest bite of a line that a press bends, by all the strain that the metal takes, at the yield that
    it may have; as long as the place where the whole goes.

    >>> case = Case(face=Face.bare((300.0, 150.0)), thickness_mm=14, yield_mpa=170, modulus_mpa=193e3,
    ...             family="stainless", limits=standard())
    >>> round(bite_mm(case, places_of(case)[0], 100e3))  # 0.75 x 100 kN over some 700 N a millimetre
    106
    """
    set_mm = case.strain_most * place.span_mm**2 / (4.0 * case.thickness_mm)
    whole = case.force_n(place, case.yield_most_mpa, set_mm)[1]
    stiffest = min(place.free, key=lambda strip: strip[1])
    bite = replace(place, free=(stiffest,), carried=(stiffest,))
    per_mm = max(case.force_n(bite, case.yield_most_mpa, set_mm)[1] / stiffest[0], whole / place.bar_mm)
    room = case.limits["press_share"].value * press_n
    if whole <= room:
        return place.bar_mm
    bends = min(room / per_mm, place.bar_mm)
    alone = bends - CARRIED * place.span_mm  # of what bends the rest is plate beside the bite
    return alone if alone >= case.limits["press_strip"].value * case.thickness_mm else bends


def next_step(case: Case, shape: Shape, made: Sequence[Made] = ()) -> Step:
    """Return what comes next for a palm of this shape, after the strokes that were made.

    Call it in a loop: read, ask, press, read again.

    >>> import numpy as np
    >>> from strutwright.models.bench.palm_shape import shape
    >>> grid = np.array([[u, v, 1.6 - 0.032 * abs(v)] for u in (-100.0, 0, 100) for v in (-50.0, 0, 50)])
    >>> case = Case(face=Face.bare((200.0, 100.0)), thickness_mm=12, yield_mpa=200, modulus_mpa=193e3,
    ...             family="stainless", limits=standard())
    >>> step = next_step(case, shape(grid, case.size_mm))
    >>> step.verdict, step.push.place.way, step.push.down
    ('push', 'across', True)
    """
    if shape.zone_mm <= case.tolerance_mm - case.unread_mm:
        return Step(verdict="flat", shape=shape)
    if _stuck(case, shape, made):
        return Step(verdict="refused", shape=shape, reasons=(_STUCK_WORDS,), instead=_instead(case))
    floor = _SIGMAS * (case.reading_mm + case.setting_mm) / 2.0
    able = [p for p in places_of(case) if abs(_need_mm(shape, p)) > floor]
    order = _by_worth(case, shape, able)
    if order:
        steps = (step_at(case, shape, place, made) for place in order)
        first = next(steps)
        return next((step for step in (first, *steps) if step.verdict == "push"), first)
    if shape.zone_mm <= case.tolerance_mm:  # no stroke would better it
        return Step(verdict="flat", shape=shape)
    return Step(
        verdict="refused",
        shape=shape,
        reasons=("what is left is neither bow nor twist that the supports reach: no stroke takes it out",),
        instead=_instead(case),
    )


_LAST, _MOST_MORE = 3, 10
_STUCK_WORDS = (
    "at the rate of the last three strokes it would take over ten more: what stands under the palm holds it, and more "
    "strokes only harden it"
)


def _stuck(case: Case, shape: Shape, made: Sequence[Made]) -> bool:
    """Whether too many strokes are still needed at the rate of the last ones; common practice, no source. Of 122
    plates by finite elements that came flat none was that slow."""
    if len(made) < _LAST:
        return False
    gained = made[-_LAST].before.zone_mm - shape.zone_mm
    return gained * _MOST_MORE < _LAST * (shape.zone_mm - case.tolerance_mm)


def _by_worth(case: Case, shape: Shape, able: Sequence[Place]) -> list[Place]:
    """The places that better the face, the best first. Of those that do alike, the first: the whole line before one
    side of it; and of bites that are off alike, the one nearest the middle."""
    off = _off_mm(shape.points)
    left = {p: _off_after_mm(shape, p) for p in able}
    worth = sorted((p for p in able if left[p] <= off - _WORTH * case.tolerance_mm), key=lambda p: left[p])
    if not worth:
        return []
    near = [p for p in able if p in worth and off - left[p] >= _ALIKE * (off - left[worth[0]])]
    if (first := near[0]).way == "across" and not (first.whole or first.one_sided):
        bites = [p for p in able if p.way == "across" and not p.one_sided]
        worst = max(abs(_alone(shape, p)) for p in bites)
        near = [p for p in bites if abs(_alone(shape, p)) >= _ALIKE * worst]
    return [*near, *(p for p in worth if p not in near)]


def _off_mm(points: Points) -> float:
    """How far a face is off, as a zone: half by its zone, which is what counts, half by the mean of the squares about
    its plane, as one stroke alone may better only that. An even spread has a zone of sqrt(12) deviations."""
    plane = np.column_stack([np.ones(len(points)), points[:, :2]])
    left = points[:, 2] - plane @ np.linalg.lstsq(plane, points[:, 2], rcond=None)[0]
    return (min_zone(points)[0] + math.sqrt(12.0 * float(np.mean(left**2)))) / 2.0


def _off_after_mm(shape: Shape, place: Place) -> float:
    """How far it would be off if a stroke at a place took out all that it can."""
    points, way = np.array(shape.points), 1 if place.way == "across" else 0
    if place.way == "twist":
        points[:, 2] -= shape.own_mm[2]
        return _off_mm(points)
    x, at, half = points[:, way], place.at_mm[way], shape.size_mm[way] / 2.0
    if place.toes_mm is not None:
        fall, reach = _end_mm(shape, place)
        outward = math.copysign(1.0, at - sum(place.toes_mm) / 2.0)
        points[:, 2] += fall / reach * np.maximum(outward * (x - at), 0.0)
    elif place.way == "along" and not place.whole:
        points[:, 2] += _over_mm(shape, place) / place.span_mm * 2.0 * np.abs(x - at)
    else:
        turns = np.maximum(np.abs(x - at) - place.stiff_mm, 0.0) / (half - place.stiff_mm)
        beside = np.maximum(np.abs(points[:, 1 - way] - place.at_mm[1 - way]) - place.bar_mm / 2.0, 0.0)
        fades = 1.0 if place.whole else np.maximum(1.0 - beside / place.span_mm, 0.0)
        points[:, 2] += _kinked_mm(shape, place) * turns * fades
    return _off_mm(points)


def step_at(case: Case, shape: Shape, place: Place, made: Sequence[Made] = ()) -> Step:
    """Return the next stroke at a place, or why it is not to be made.

    >>> import numpy as np
    >>> from strutwright.models.bench.palm_shape import shape
    >>> grid = np.array([[u, v, 9.0 - 0.18 * abs(v)] for u in (-100.0, 0, 100) for v in (-50.0, 0, 50)])
    >>> case = Case(face=Face.bare((200.0, 100.0)), thickness_mm=12, yield_mpa=200, modulus_mpa=193e3,
    ...             family="stainless", limits=standard())
    >>> step_at(case, shape(grid, case.size_mm), places_of(case)[0]).verdict  # 9 mm over 100: more than 2 %
    'refused'
    """
    push = _push(case, shape, place, made)
    reasons = _against(case, push)
    if reasons:
        return Step(verdict="refused", shape=shape, push=push, reasons=reasons, instead=_instead(case))
    return Step(verdict="push", shape=shape, push=push)


def _share_of(one: Place, place: Place) -> float:
    """What a set at one place counts as at another whose metal it bent: all of it at the same, its part at one toe
    where the whole line was pressed, else nothing."""
    if place.one_sided and one.whole and one.line == place.line:
        return place.span_mm / 2.0 / (one.span_mm / 2.0 - one.stiff_mm)
    return 1.0 if one.line == place.line and math.dist(one.at_mm, place.at_mm) < 1.0 else 0.0


def _before_mm(place: Place, sign: float, made: Sequence[Made]) -> float:
    """The set of earlier strokes at one place in one direction: the metal goes on where it was left."""
    sets = [
        (_need_mm(m.before, m.place) - _need_mm(m.after, m.place)) * _share_of(m.place, place)
        for m in made
        if m.place.way == place.way
    ]
    return sum(s for s in sets if s * sign > 0.0) * sign


def working_yield(case: Case, way: Way, made: Sequence[Made]) -> tuple[float, float, float]:
    """Return the yield to plan the next stroke with: least, likeliest, most, MPa.

    >>> case = Case(face=Face.bare((200.0, 100.0)), thickness_mm=12, yield_mpa=200, modulus_mpa=193e3,
    ...             family="stainless", limits=standard())
    >>> [round(float(y)) for y in working_yield(case, "across", [])]  # to 1.6 times the least
    [200, 253, 320]
    """
    least, most = case.yield_mpa, case.yield_most_mpa
    for number, m in enumerate(made):
        if m.place.way != way:
            continue
        off = _need_mm(m.before, m.place)
        sign = math.copysign(1.0, off)
        left = (off - _need_mm(m.after, m.place)) * sign
        total = max(_before_mm(m.place, sign, made[:number]), 0.0) + max(left, 0.0)
        doubt = _SIGMAS * math.hypot(case.reading_mm, case.setting_mm)
        back = m.travel_mm / m.place.share - left
        low = _yield_of(case, m.place, total, back - doubt) / (1.0 + _MODEL)
        high = _yield_of(case, m.place, total, back + doubt) * (1.0 + _MODEL)
        if left < doubt:  # it hardly yielded: the yield may be any higher
            high = max(high, most)
        least, most = _both((least, most), (low, high))
    return least, math.sqrt(least * most), most


def _both(a: P, b: P) -> P:
    """What two ranges have in common; the later one where that is nothing."""
    least, most = max(a[0], b[0]), min(a[1], b[1])
    return (least, most) if least < most else b


def _yield_of(case: Case, place: Place, total_mm: float, springback_mm: float) -> float:
    """The yield with which a stroke that brings the set to a total springs back so far."""
    tried = case.yield_mpa * np.geomspace(0.2, 5.0, 161)
    back = case.springback_mm(place, tried, total_mm)
    return float(np.exp(np.interp(springback_mm, np.asarray(back), np.log(tried))))


def _push(case: Case, shape: Shape, place: Place, made: Sequence[Made]) -> Push:
    off, way = _need_mm(shape, place), place.way
    need, sign = abs(off), math.copysign(1.0, off)
    share = need / max(abs(_alone(shape, place)), 1e-9)
    before = max(_before_mm(place, sign, made), 0.0)
    own = [m for m in made if m.place.way == way]
    yields = working_yield(case, way, made)
    if own and _need_mm(own[-1].before, own[-1].place) * sign < 0.0:
        yields = (_TURNED * yields[0], math.sqrt(_TURNED) * yields[1], yields[2])

    def back(strength: float, set_mm: float) -> float:
        return float(case.springback_mm(place, strength, set_mm))

    def springs(strength: float) -> float:
        return back(strength, before + need) * place.share

    over = max(_OVER_SHARE * case.tolerance_mm * share - case.setting_mm / place.share, 0.0)
    short = 0.0 if own else _SHORT_SHARE * case.tolerance_mm * share
    likely = need - short + back(yields[1], before + need)
    least_back = back(yields[0], before + need + over)
    if not own:  # how far the roots stiffen the plate is not known yet
        least_back = float(case.curve(way, place.free).springback(yields[0], need + over))
    safe = need + over + least_back
    travel = min(likely, safe)
    least, most = (case.force_n(place, yields[k], before + need)[k // 2] for k in (0, 2))
    middle = sum(case.force_n(place, yields[1], before + need)) / 2.0
    contact, parallels, dents = _contact(case, place, most, yields[0])
    return Push(
        place=place,
        down=off > 0.0 or way == "twist",
        need_mm=need * place.share,
        travel_mm=travel * place.share,
        beyond_mm=(travel - need) * place.share,
        springback_mm=(springs(yields[0]), springs(yields[1]), springs(yields[2])),
        force_n=(least, middle, most),
        press_n=case.press_for(most),
        yield_mpa=yields,
        contact_mpa=contact,
        parallels_mpa=parallels,
        dents=dents,
        strain=_strain(case, place, before + need),
    )


def _strain(case: Case, place: Place, set_mm: float) -> float:
    """Surface strain of a set, spread over the span, or of the twist. The limits are of a set whose plate turns under
    the bar; as it turns at the toes of a root, the set of the same fall at the edges counts."""
    if place.way != "twist":
        way = 1 if place.way == "across" else 0
        long, span = case.size_mm[way], place.span_mm
        falls = set_mm * place.lever(long / 2.0)
        if place.toes_mm is not None and place.one_sided:
            span = math.dist(*place.supports)
            falls = set_mm * (long / 2.0 - abs(place.at_mm[way])) / (place.span_mm / 2.0)
        return float(law.set_strain(falls * span / long, case.thickness_mm, span))
    return float(2.0 * case.thickness_mm * set_mm / (place.spans_mm[0] * place.spans_mm[1]) / math.sqrt(3.0))


def _contact(case: Case, place: Place, force_n: float, yield_mpa: float) -> tuple[float, float, bool]:
    """Pressure of the bar, or of a ball in its countersink of 90 degrees; under a parallel; and whether either marks
    the plate.

    A ball touches a cone on a ring, which is taken as a bar of the ball's radius around it. A parallel bears with half
    the force on a strip as broad as the plate is thick, as the plate tilts on it.
    """
    if place.way == "twist":
        seat = force_n / 2.0 / math.sin(math.radians(45.0))
        ring = math.pi * case.ball_mm * math.cos(math.radians(45.0))
        pressure = float(law.bar_pressure_mpa(seat, ring, case.ball_mm, case.modulus_mpa))
        return pressure, 0.0, pressure > _DENTS * yield_mpa
    pressure = float(law.bar_pressure_mpa(force_n, place.bar_mm, case.bar_mm, case.modulus_mpa))
    under = force_n / 2.0 / (place.bar_mm * case.thickness_mm)
    return pressure, under, pressure > _DENTS * yield_mpa or under > yield_mpa


def _against(case: Case, push: Push) -> tuple[Words, ...]:
    """Why a stroke is not to be made."""
    reasons: list[Words] = []
    if case.cast and case.arm:
        reasons.append("a cast arm is never straightened cold")
    elif case.strain_most <= 0.0:
        reasons.append("this metal is not straightened cold: it takes little bending or none")
    elif push.strain > case.strain_most * (1.0 + 1e-9):
        reasons.append(
            say(
                "the set strains the surface by {strain} %, all strokes together; the metal takes {most} % cold",
                strain=f"{100 * push.strain:.2g}",
                most=f"{100 * case.strain_most:.2g}",
            )
        )
    if push.press_n > case.press_n:
        needed, has = (Amount(round(n / 1e3), "kN") for n in (push.press_n, case.press_n))
        reasons.append(say("the press is too small: it takes one of {needed}, this has {has}", needed=needed, has=has))
    return tuple(reasons)


def _instead(case: Case) -> tuple[str, ...]:
    ways = ["machine the hull face flat, if the palm stays thick enough", "shim or bed the palm to its shape"]
    if case.cast:
        ways.append("ask the founder whether the alloy may be annealed and straightened warm")
    elif case.family == "steel":
        ways.append("have it annealed, then straighten it")
    elif case.family == "stainless":
        ways.append("have it solution-annealed, which warps it anew, then straighten it")
    elif case.family == "duplex":
        ways.append("do not anneal it in the shop: duplex turns brittle between 600 and 950 degrees C")
    return tuple(ways)
