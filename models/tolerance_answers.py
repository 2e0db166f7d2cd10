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
    ("palm's pitch to the bore", 7.6)
    """
    chain, room = tolerance_chain.chain_of(inputs), float(tolerance_chain.room_mrad(inputs))
    if not float(chain.span_mm) > 0.0:
        return None
    # Tips that are not known leave the misalignment as it is.
    known = replace(chain, overhang_mm=_or_nought(float(chain.overhang_mm)))
    made = [t if t.half == t.half else replace(t, half=0.0) for t in tolerance_chain.tolerances_of(inputs)]
    return Answers(
        drawn=_stack("bolted down as drawn", known, made, room, count),
        in_place=_stack("set with the shaft in place", known, tolerance_chain.in_place(inputs), room, count),
        room_mrad=room,
        tip_mm=float(tolerance_chain.tip_mm(inputs)),
        as_made_mrad=float(rules.root_sum_square(known, tolerance_chain.as_made(inputs)).total_mrad),
        count=count,
    )


def _or_nought(size: float) -> float:
    return size if size == size else 0.0


def _stack(way: str, chain: Chain, made: list[Tolerance], room: float, count: int) -> Stack:
    each = rules.shares(chain, made)
    rows = [Share(t, _plain(rules.moved(chain, {t.of: t.half})), float(s)) for t, s in zip(made, each, strict=True)]
    rows.sort(key=lambda row: -row.share)
    first = rows[0].tolerance
    less = [replace(t, half=t.half / 2.0) if t is first else t for t in made]
    return Stack(
        way=way,
        worst=_plain(rules.worst(chain, made)),
        likely=_plain(rules.root_sum_square(chain, made)),
        sigma=_plain(rules.standard_deviation(chain, made)),
        sampled=rules.monte_carlo(chain, made, room, count),
        shares=tuple(rows),
        halved_mrad=float(rules.root_sum_square(chain, less).total_mrad),
    )


def _plain(m: Moved) -> Moved:
    return Moved(*(float(v) for v in m))
