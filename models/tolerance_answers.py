"""What the tolerances from hull to shaft come to: worst case, root of squares and a million struts."""

from __future__ import annotations

from dataclasses import dataclass, replace

from strutwright.models import tolerance_chain
from strutwright.models.formulas import tolerance_stack as rules
from strutwright.models.formulas.tolerance_stack import Chain, Moved, Sampled, Tolerance
from strutwright.models.inputs import Inputs


@dataclass(frozen=True, slots=True)
class Share:
    """One tolerance and what it does at its limit: mrad in both planes, mm at the tips; share of the variance."""

    tolerance: Tolerance
    does: Moved
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """The answers for one way of fitting.

    likely: root of squares; sigma: standard deviation; shares: the greatest first; halved_mrad: likely, the first of
    them half as wide.
    """

    way: str
    worst: Moved
    likely: Moved
    sigma: Moved
    sampled: Sampled
    shares: tuple[Share, ...]
    halved_mrad: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What tolerances come to. room_mrad: what the bearing takes; tip_mm: tip clearance as drawn, nan when not known.

    as_made_mrad: likely extreme as drawn but with a palm that is not machined after it was cast or welded.
    """

    drawn: Stack
    in_place: Stack
    room_mrad: float
    tip_mm: float
    as_made_mrad: float
    count: int


def answers(inputs: Inputs, count: int = rules.SAMPLES) -> Answers | None:
    """Return the answers of one strut; None where the distance to the next bearing is not known.

    >>> found = answers(engineering_inputs("harbour-launch"), count=20_000)
    >>> found.drawn.shares[0].tolerance.name, round(float(found.drawn.likely.total_mrad), 1)
    ("palm's pitch to the bore", 7.5)
    """
    chain, room = tolerance_chain.chain_of(inputs), float(tolerance_chain.room_mrad(inputs))
    if not float(chain.span_mm) > 0.0:
        return None
    # Tips that are not known leave the misalignment as it is.
    known = replace(
        chain, overhang_mm=_or_nought(float(chain.overhang_mm)), propeller_mm=_or_nought(float(chain.propeller_mm))
    )
    made = [t if t.half == t.half else replace(t, half=0.0) for t in tolerance_chain.tolerances_of(inputs)]
    rough = tolerance_chain.as_made(inputs, made)
    return Answers(
        drawn=_stack("bolted down as drawn", known, made, room, count),
        in_place=_stack("set with the shaft in place", known, tolerance_chain.in_place(inputs), room, count),
        room_mrad=room,
        tip_mm=float(tolerance_chain.tip_mm(inputs)),
        as_made_mrad=float(rules.root_sum_square(rules.each_at_limit(known, rough)).total_mrad),
        count=count,
    )


def _or_nought(size: float) -> float:
    return size if size == size else 0.0


def _stack(way: str, chain: Chain, made: list[Tolerance], room: float, count: int) -> Stack:
    each = rules.each_at_limit(chain, made)
    parts = rules.shares(each, made)
    rows = [Share(t, _plain(m), float(part)) for t, m, part in zip(made, each, parts, strict=True)]
    rows.sort(key=lambda row: -row.share)
    half = Moved(*(0.5 * part for part in rows[0].does))
    return Stack(
        way=way,
        worst=_plain(rules.worst(each)),
        likely=_plain(rules.root_sum_square(each)),
        sigma=_plain(rules.standard_deviation(each, made)),
        sampled=rules.monte_carlo(chain, made, room, count),
        shares=tuple(rows),
        halved_mrad=float(rules.root_sum_square([half, *(row.does for row in rows[1:])]).total_mrad),
    )


def _plain(m: Moved) -> Moved:
    return Moved(*(float(v) for v in m))
