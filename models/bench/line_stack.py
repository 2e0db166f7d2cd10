"""What the tolerances of all the housings on one shaft come to: loads of the bearings, slope of the shaft in each bore.

Each bearing's place and lean are off by what its set says of its making and fitting; a bearing of no set by how the
next bearing of a strut may be off. The shaft is the same beam as in `line_loads`, so that all is linear: worst case
and a million boats come from one table of influences.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from strutwright.models import drawn_tolerances, tolerance_chain
from strutwright.models.arrays import Floats
from strutwright.models.bench.line import Placed
from strutwright.models.formulas import tolerance_stack as rules
from strutwright.models.formulas.shaft_line import Line, bend, slopes
from strutwright.models.formulas.tolerance_stack import Tolerance
from strutwright.models.inputs import Inputs
from strutwright.params.limits import Limits

Way = Literal["as drawn and measured", "set with the shaft in place"]
WAYS: tuple[Way, ...] = ("as drawn and measured", "set with the shaft in place")
_OF_SHAFT = ("next_up", "next_port", "play_up", "play_port", "diameter")
"""What a strut's own tolerances have besides its bore: the other bearing is one of the line here."""
_AT_ONCE = 50_000
_Row = tuple[str, float, rules.Law, str]
"""A tolerance: name, half of it, law, what sets it."""


@dataclass(frozen=True, slots=True, eq=False)
class Source:
    """A tolerance of a bearing and what it does to its bore at its limit: mm up and to port, mrad of lean."""

    bearing: int
    tolerance: Tolerance
    moves: tuple[float, float]
    turns: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class At:
    """What the tolerances come to at one bearing. share: of its spans' weight that it bears, of 97.5 of 100 boats more,
    and at the worst; slope_mrad: of the shaft against its bore, of 97.5 of 100 less, and at the worst; over: how many
    of all are beyond what it takes; nan where it is no housing of a set."""

    share: float
    share_worst: float
    slope_mrad: float
    slope_worst_mrad: float
    room_mrad: float
    over: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LineStack:
    """The answers for one way of fitting. at: of each bearing, from aft. unloaded: how many boats of all have a bearing
    that bears less than the limit. first: what matters most where the slope uses most of its room, and its share of
    the variance there."""

    way: Way
    at: tuple[At, ...]
    unloaded: float
    first: str
    first_share: float


def sources(line: Sequence[Placed], way: Way, limits: Limits) -> list[Source]:
    """Return every tolerance of every bearing.

    >>> from strutwright.models.bench.line import placed
    >>> from strutwright.params.bench.line import LineBearing, ShaftLine
    >>> file = ShaftLine(bearings=[LineBearing(called=n, station=x) for n, x in (("strut", 0.0), ("gearbox", 1100.0))])
    >>> line = placed(file, (shipped("harbour-launch"), None))
    >>> found = sources(line, "as drawn and measured", standard())
    >>> [(s.tolerance.name, s.moves) for s in found if s.bearing == 1]
    [('place up', (0.5, 0.0)), ('place to port', (0.0, 0.5))]
    """
    made: list[Source] = []
    for n, one in enumerate(line):
        if one.inputs is None:
            half = limits["stack_next_bearing"].value
            for name, moves in (("place up", (half, 0.0)), ("place to port", (0.0, half))):
                made.append(Source(n, _plain(name, half, "normal", "stack_next_bearing"), moves, (0.0, 0.0)))
        elif way == "set with the shaft in place":
            made += _in_place(n, one.inputs)
        else:
            made += _as_drawn(n, one, one.inputs)
    return made


def _plain(name: str, half: float, law: rules.Law, fixed_by: str) -> Tolerance:
    return Tolerance(name=name, of="place", half=half, law=law, fixed_by=fixed_by)


def _in_place(n: int, inputs: Inputs) -> list[Source]:
    """Set to the shaft as it lies: off by what feelers round it leave at either end."""
    off = inputs.limit("stack_set")
    lean = 1000.0 * off / float(inputs.bearing_total_mm)
    return [
        Source(n, _plain(f"as set, {name}", off, "uniform", "stack_set"), moves, turns)
        for name, moves, turns in (
            ("up", (off, 0.0), (0.0, 0.0)),
            ("to port", (0.0, off), (0.0, 0.0)),
            ("lean up and down", (0.0, 0.0), (lean, 0.0)),
            ("lean sideways", (0.0, 0.0), (0.0, lean)),
        )
    ]


def _as_drawn(n: int, one: Placed, inputs: Inputs) -> list[Source]:
    if inputs.arms:
        made = _of_palm(n, inputs)
    else:
        angle = 1000.0 * math.radians(drawn_tolerances.palm_angle_deg(inputs.hull.family))
        place = drawn_tolerances.place_mm(inch=inputs.inch)
        turned, drop = 1000.0 * math.radians(inputs.limit("stack_survey_angle")), inputs.limit("stack_survey_drop")
        places: list[_Row] = [
            ("place as made", place, "uniform", tolerance_chain.DRAWN),
            ("place as measured", drop, "normal", "stack_survey_drop"),
        ]
        leans: list[_Row] = [
            ("angle as made", angle, "uniform", tolerance_chain.DRAWN),
            ("angle as measured", turned, "normal", "stack_survey_angle"),
        ]
        made = []
        for way, up, port in (("up and down", 1.0, 0.0), ("sideways", 0.0, 1.0)):
            for name, half, law, by in places:
                made.append(Source(n, _plain(f"{name}, {way}", half, law, by), (half * up, half * port), (0.0, 0.0)))
            for name, half, law, by in leans:
                made.append(Source(n, _plain(f"{name}, {way}", half, law, by), (0.0, 0.0), (half * up, half * port)))
    hanger = None if one.strut is None else one.strut.hanger
    if hanger is not None:  # its file says itself what bed and bore may be off
        made = [s for s in made if s.tolerance.of != "drop"]
        for name, half in (("bed", hanger.under.bed_within_mm), ("height of the bore", hanger.under.bore_within_mm)):
            made.append(Source(n, _plain(name, half, "uniform", "under_foot"), (half, 0.0), (0.0, 0.0)))
    return made


def _of_palm(n: int, inputs: Inputs) -> list[Source]:
    """Those of a strut's palm or a hanger's foot: its chain with no other bearing, then with one a metre ahead, by
    which the lean and the place of its bore come apart."""
    chain = tolerance_chain.chain_of(inputs)
    far, near = replace(chain, span_mm=math.inf), replace(chain, span_mm=1000.0)
    made = [t for t in tolerance_chain.tolerances_of(inputs) if t.of not in _OF_SHAFT]
    return [
        Source(
            n,
            t,
            (float(b.vertical_mrad - a.vertical_mrad), float(b.athwart_mrad - a.athwart_mrad)),
            (float(a.vertical_mrad), float(a.athwart_mrad)),
        )
        for t, a, b in zip(made, rules.each_at_limit(far, made), rules.each_at_limit(near, made), strict=True)
    ]


def _influences(shaft: Line) -> tuple[Floats, Floats, Floats, Floats]:
    """Loads and slopes of a straight shaft, and what each bearing raised by 1 mm adds to them: rows by bearing, from
    aft; slopes in mrad, rising forward."""

    def both(one: Line) -> tuple[Floats, Floats]:
        bent = bend(one)
        return np.array(bent.loads_n, dtype=float)[::-1], -1000.0 * np.array(slopes(one, bent), dtype=float)[::-1]

    count = len(shaft.heights_mm)
    bare = replace(shaft, weight_n_mm=0.0, aft_n=0.0, forward_n=0.0)
    raised = [both(replace(bare, heights_mm=tuple(float(k == n) for k in range(count))[::-1])) for n in range(count)]
    loads, leans = both(shaft)
    return loads, leans, np.array([r[0] for r in raised]).T, np.array([r[1] for r in raised]).T


def line_stack(line: Sequence[Placed], shaft: Line, way: Way, limits: Limits, count: int = rules.SAMPLES) -> LineStack:
    """Return what the tolerances come to, at the worst and of so many boats.

    >>> from strutwright.models.bench.line import placed
    >>> from strutwright.models.bench.line_loads import shaft_of
    >>> from strutwright.params.bench.line import LineBearing, ShaftLine
    >>> file = ShaftLine(bearings=[LineBearing(called=n, station=x) for n, x in (("strut", 0.0), ("gearbox", 1100.0))])
    >>> line = placed(file, (shipped("harbour-launch"), None))
    >>> found = line_stack(line, shaft_of(file, line), "as drawn and measured", standard(), 20_000)
    >>> found.first, found.unloaded  # two bearings bear the same wherever they are
    ("palm's pitch to the bore, strut", 0.0)
    """
    made = sources(line, way, limits)
    base, leans, adds, turns = _influences(shaft)
    own = np.zeros((len(made), len(line)))
    own[np.arange(len(made)), [s.bearing for s in made]] = 1.0
    moves, tilts = (np.array([getattr(s, name) for s in made]).reshape(-1, 2) for name in ("moves", "turns"))
    # Of each source at its limit: loads up, and slope of the shaft against the bore in both planes, by bearing.
    load = (own @ adds.T) * moves[:, :1]
    slope = [(own @ turns.T) * moves[:, k : k + 1] - own * tilts[:, k : k + 1] for k in (0, 1)]
    weight = (
        shaft.weight_n_mm
        * np.array([(a + b) / 2 for a, b in zip((0.0, *shaft.spans_mm), (*shaft.spans_mm, 0.0), strict=True)])[::-1]
    )
    room = np.array([math.nan if p.inputs is None else float(tolerance_chain.room_mrad(p.inputs)) for p in line])
    shares, tilted, unloaded = _sampled(
        made, base, leans, load, slope, weight, least=limits["bearings_loaded"].value, count=count
    )
    worst = base - np.abs(load).sum(axis=0)
    most = np.hypot(np.abs(leans) + np.abs(slope[0]).sum(axis=0), np.abs(slope[1]).sum(axis=0))
    at = tuple(
        At(
            share=float(np.quantile(shares[:, n], 0.025)),
            share_worst=float(worst[n] / weight[n]),
            slope_mrad=float(np.quantile(tilted[:, n], 0.975)),
            slope_worst_mrad=float(most[n]),
            room_mrad=float(room[n]),
            over=float(np.count_nonzero(tilted[:, n] > room[n]) / count) if room[n] == room[n] else math.nan,
        )
        for n in range(len(line))
    )
    first, part = _matters_most(line, made, slope, at)
    return LineStack(way=way, at=at, unloaded=unloaded, first=first, first_share=part)


def _sampled(
    made: Sequence[Source],
    base: Floats,
    leans: Floats,
    load: Floats,
    slope: Sequence[Floats],
    weight: Floats,
    *,
    least: float,
    count: int,
) -> tuple[Floats, Floats, float]:
    """Shares and slopes of so many boats by bearing, and how many of all have a bearing under the least share."""
    random, shares, tilted, bare = np.random.Generator(np.random.PCG64(rules.SEED)), [], [], 0
    for start in range(0, count, _AT_ONCE):
        size = min(_AT_ONCE, count - start)
        drawn = np.column_stack([rules.unit(random, s.tolerance.law, size) for s in made])
        share = (base + drawn @ load) / weight
        shares.append(share)
        tilted.append(np.hypot(leans + drawn @ slope[0], drawn @ slope[1]))
        bare += int(np.count_nonzero((share < least).any(axis=1)))
    return np.concatenate(shares), np.concatenate(tilted), bare / count


def _matters_most(
    line: Sequence[Placed], made: Sequence[Source], slope: Sequence[Floats], at: Sequence[At]
) -> tuple[str, float]:
    """The tolerance with most of the variance of the slope where that uses most of what the bearing takes."""
    used = [a.slope_mrad / a.room_mrad if a.room_mrad > 0.0 else 0.0 for a in at]
    worst = int(np.argmax(used))
    spread = np.array([rules.SPREAD[s.tolerance.law] for s in made])
    parts = (slope[0][:, worst] ** 2 + slope[1][:, worst] ** 2) / spread**2
    k = int(np.argmax(parts))
    one = made[k]
    return f"{one.tolerance.name}, {line[one.bearing].called}", float(parts[k] / parts.sum())
