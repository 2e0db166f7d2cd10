"""Sizing: from what the customer knows to the complete set of parameters of least weight and drag that passes every
check.

The known values are groups and names as in a parameter file. Whatever they leave open is sought: wall and length of
the barrel, section of the arm at both ends, palm, bolts (standard sizes, a grid of them), set screws, weld preparation.
Sections are as thick for their chord, and palms as large for their arm, as is usual. Sizes are whole millimetres or
sixteenths of an inch, plates of welded struts from stock. A newton of drag counts as a weight. The search is the same
every time: for each size and number of bolts candidates spread evenly over their ranges (Kronecker's sequence), then
closer and closer round the best ones, all held to the very numbers of the checks; the winner is loaded as a file and
checked whole, and with other screws where a check of these is broken.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from strutwright.models import rules
from strutwright.models.arrays import Floats
from strutwright.models.checks.geometry import screws
from strutwright.models.finding import Finding, Verdict, ranked
from strutwright.models.sizing.asked import bearing_and_screws, screws_at
from strutwright.models.sizing.choices import choices
from strutwright.models.sizing.judge import Severities
from strutwright.models.sizing.known import SizingError, refuse_faults, value_at, with_defaults
from strutwright.models.sizing.maker import Maker
from strutwright.models.sizing.proposal import Proposal, proposal_of, stops, why_not_built
from strutwright.models.sizing.ranges import Ranges
from strutwright.models.sizing.set_text import Choice, Known
from strutwright.params import limits as limit_table
from strutwright.params.limits import Limits
from strutwright.params.part_kinds import STRUT
from strutwright.params.problems import ParameterError
from strutwright.params.quantity import LENGTH, FileUnits
from strutwright.params.words import Amount

COARSE, SPREAD = 512, 2048
"""Candidates tried for each size and number of bolts at first, and for the best of them."""
CLOSER = (0.20, 0.08, 0.03)
"""How far round the best ones the later rounds look, as a share of each range."""
KEPT = 4
"""Of how many sizes and numbers of bolts the candidates are looked at closely."""
ENOUGH, ENOUGH_AT_FIRST = 4, 2
"""Candidates that a round goes on with, the best that pass what measures them; and at first."""
LEANS = math.tan(math.radians(30.0))
"""An arm that leans more on its palm is tried with its ends bevelled at first: a plain fillet does not suit it."""
GROSS = 1.5
"""A use beyond which a warning counts for more than weight."""
_A_FAILURE, _A_WARNING = 1e8, 1e6
CANNOT_BE = 1e12
"""The score of what cannot be built."""


@dataclass(frozen=True, slots=True)
class Sized:
    """Proposals, best first, how many candidates were tried, and the set's units. When none passes the first is the
    nearest. sought: paths of the sizes that were sought, none when what is known leaves none open.
    family: kind of the part. why: why the best one breaks what it does, a sentence by code, where it is known."""

    proposals: tuple[Proposal, ...]
    tried: int
    units: FileUnits
    sought: tuple[str, ...]
    family: str = STRUT
    why: Mapping[str, str] = field(default_factory=dict)

    @property
    def best(self) -> Proposal:
        """The one of least weight and drag that passes, or the nearest to passing."""
        return self.proposals[0]

    def blocking(self) -> list[Finding]:
        """Return what keeps the best proposal from passing, worst first."""
        return [f for f in ranked(list(self.best.findings)) if stops(f)]

    def unavoidable(self) -> list[Finding]:
        """Return the warnings that are left on the best proposal, worst first."""
        return [f for f in ranked(list(self.best.findings)) if f.verdict is Verdict.WARN]


def size(known: Known, limits: Limits | None = None) -> Sized:
    """Return complete sets for what is known, those of least weight and drag first.

    known: groups and names as in a file, values as written there; design sizes it says are kept. Raises SizingError
    when it is not enough or nothing can be built for it, ParameterError when it is wrong.

    >>> try:
    ...     size({"shaft": {"diameter": "30 mm"}})
    ... except SizingError as error:
    ...     print(str(error).split(":")[0])
    the drop is not known
    """
    refuse_faults(known)
    limits = limit_table.standard() if limits is None else limits
    return _Search(with_defaults(known, limits), limits).run()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Best:
    """The best candidates of a choice: how they stand, where they lie in their ranges, and their sizes."""

    make: Maker
    score: Floats
    place: Floats
    columns: dict[str, Floats]

    def sizes(self, k: int) -> dict[str, float]:
        """Return the sizes (mm) of the k-th best one."""
        return {path: float(values[k]) for path, values in self.columns.items()}

    @property
    def least(self) -> float:
        return float(self.score[0])

    def counted(self, k: int) -> tuple[int, int]:
        """Return how many checks fail and how many warn of the k-th best one, as the score has them."""
        fails, warns = divmod(int(self.score[k] // _A_WARNING), round(_A_FAILURE / _A_WARNING))
        return fails, warns

    @property
    def bolts(self) -> tuple[str, int, int]:
        """Size of the bolts, how many along and in how many lines."""
        return self.make.choice.bolt, self.make.choice.along, self.make.choice.across


def _rank(b: _Best) -> tuple[Any, ...]:
    """By which the best of choices are sorted, best first."""
    return b.least, b.make.choice.bolt, b.make.choice.along, b.make.choice.prep != "none"


def _first_of(alike: list[Maker]) -> Maker:
    """Return the maker of the same bolts that is tried first, of those that differ in how the arms' ends are."""
    bevelled = abs(alike[0].stance.lean) > LEANS
    return next((m for m in alike if (m.choice.prep != "none") == bevelled), alike[0])


class _Search:
    def __init__(self, said: Known, limits: Limits) -> None:
        self.said, self.limits = said, limits
        self.inch = said["units"] == "in"
        d = value_at(said, "shaft.diameter", LENGTH)
        assert d is not None
        self.d = d
        self.tried = 0
        self.severities: dict[tuple[str, str, str], Severities] = {}

    def run(self) -> Sized:
        makers = self.makers()
        if bearing_and_screws(self.said, makers[0]):
            makers = self.makers()
        proposals = self.searched(makers)
        if any(any(p.broken) for p in proposals[:1]):
            proposals = sorted([*proposals, *self.in_frames()], key=_order)
        if proposals:
            proposals = sorted([*self.with_other_screws(proposals[0]), *proposals], key=_order)
            proposals = sorted([*self.with_backing(proposals[0]), *proposals], key=_order)
        # Of the same bolts the best one only: the others differ by a millimetre or by a bevel.
        different: dict[tuple[str, int, int, str, str], Proposal] = {}
        for p in proposals:
            different.setdefault((p.choice.bolt, p.choice.along, p.choice.across, p.choice.kind, p.choice.pattern), p)
        return Sized(tuple(different.values()), self.tried, self.said["units"], tuple(sorted(makers[0].free)))

    def searched(self, makers: list[Maker]) -> list[Proposal]:
        """Return the best sets of these choices, best first. Raises SizingError where none can be built."""
        by_bolts: dict[tuple[str, int, int], list[Maker]] = {}
        for make in makers:
            by_bolts.setdefault((make.choice.bolt, make.choice.along, make.choice.across), []).append(make)
        coarse = _spread(COARSE, Ranges.DIMENSIONS)
        found = [self.tried_at(_first_of(alike), coarse, ENOUGH_AT_FIRST) for alike in by_bolts.values()]
        if all(b.least >= CANNOT_BE for b in found):
            raise SizingError(why_not_built(found[0].make, found[0].sizes(0), self.limits))
        best = [m for b in sorted(found, key=_rank)[:KEPT] for m in by_bolts[b.bolts]]
        # Where nothing is free there is one candidate, and it has been tried.
        known = {id(b.make): b for b in found if not b.make.free}
        spread = _spread(SPREAD, Ranges.DIMENSIONS)
        found = sorted((known.get(id(make)) or self.tried_at(make, spread) for make in best), key=_rank)
        return sorted((p for b in found[:KEPT] for p in self.proposals(self.refined(b))), key=_order)

    def in_frames(self) -> list[Proposal]:
        """Return the best sets with their bolts in a frame, none where the pattern is said or a frame has no room.

        Beside an arm that is thick, or leans, two lines of bolts stand far apart, and a frame seals between them.
        """
        if {"kind", "across", "points", "count"} & (self.said["bolts"].get("pattern") or {}).keys():
            return []
        try:
            return self.searched(self.makers(frames=True))
        except (ParameterError, SizingError):
            return []

    def makers(self, *, frames: bool = False) -> list[Maker]:
        """Return a maker for every choice that makes a strut at all. Raises ParameterError when none does."""
        out, faults = [], list[ParameterError]()
        for choice in choices(self.said, self.d, self.limits, frames=frames):
            try:
                out.append(self.maker(self.said, choice))
            except ParameterError as error:
                faults.append(error)
        if out:
            return out
        if faults:
            raise self.told(faults[0])
        raise SizingError("no bolt of the tables has a head of this kind; give bolts.size, or another bolts.kind")

    def maker(self, said: Known, choice: Choice) -> Maker:
        """Return the maker of a choice. What a broken check means is the same for all sizes and numbers of bolts."""
        make = Maker(said, choice, self.d, self.limits)
        shared = self.severities.setdefault((choice.kind, choice.prep, choice.pattern), {})
        make.judge = replace(make.judge, severities=shared)
        return make

    def told(self, fault: ParameterError) -> Exception:
        """Return the fault itself, or a sentence where it is not of what was said but of what follows from it."""
        for p in fault.problems:
            if p.path == "barrel.bore_class" and "bore_class" not in (self.said.get("barrel") or {}):
                shaft = Amount(self.d, "mm").read(self.said["units"])
                return SizingError(
                    f"a shaft of {shaft} has a bearing too large for the table of fits, ISO 286-1: "
                    f"{p.allowed.rstrip('.')}. If the bearing in hand is smaller, give its outside diameter "
                    "(--bearing-outside)"
                )
        return fault

    def with_other_screws(self, proposal: Proposal) -> list[Proposal]:
        """Return a proposal again with its screws elsewhere or thinner, where a check of the screws is broken on it."""
        broken = {f.code for f in proposal.findings if (stops(f) or f.verdict is Verdict.WARN)} & _SCREW_CODES
        said = self.said.get("set_screws") or {}
        own, out = proposal.make.strut.set_screws, list[Proposal]()
        if not broken or not own or len(proposal.make.strut.bearings) != 1:
            return out
        threads = [said.get("thread")] if "thread" in said else [None, *_thinner(own[0].thread, inch=self.inch)]
        pitch = 360.0 / proposal.make.strut.bearings[0].flute_count
        clocks = [tuple(dict.fromkeys(s.clock_deg + turn for s in own)) for turn in (0.0, pitch, -pitch)]
        places = [None] if "positions" in said else [(n, c) for n in (0.25, 0.2, 0.3) for c in clocks]
        for thread in threads:
            for place in places:
                asked = dict(said) if thread is None else {**said, "thread": thread}
                if place is not None:
                    asked["positions"] = screws_at(proposal.make, *place)
                if asked == said:
                    continue
                try:
                    make = self.maker({**self.said, "set_screws": asked}, proposal.choice)
                except ParameterError:
                    continue
                self.tried += 1
                out.append(proposal_of(make, proposal.sizes, self.limits))
        return out

    def with_backing(self, proposal: Proposal) -> list[Proposal]:
        """Return a proposal again with larger and thicker backing plates, where it warns or fails and the file leaves
        them open: such a plate spreads the pull of the bolts and makes the hull stiffer."""
        hull = self.said["hull"]
        if not any(proposal.broken) or hull.get("backing") or not self.said["bolts"].get("backing_plate", True):
            return []
        out, text = [], proposal.make.writer
        bolt = proposal.make.strut.plates[0].bolt.major_mm
        for thick, beyond in itertools.product((1.0, 1.5), (0.5, 1.0)):
            step = rules.whole_step_mm(inch=self.inch)
            backing = {
                "thickness": text.written(float(rules.up_mm(thick * bolt, step))),
                "beyond_palm": text.written(float(rules.up_mm(beyond * self.d, step))),
            }
            make = self.maker({**self.said, "hull": {**hull, "backing": backing}}, proposal.choice)
            self.tried += 1
            out.append(proposal_of(make, proposal.sizes, self.limits))
        return out

    def refined(self, best: _Best) -> _Best:
        for share in CLOSER if best.make.free else ():
            around = best.place[:ENOUGH]
            steps = (_spread(SPREAD // len(around), Ranges.DIMENSIONS) - 0.5) * 2.0 * share
            places = np.concatenate([np.clip(a + steps, 0.0, 1.0) for a in around] + [best.place])
            best = self.tried_at(best.make, places)
        return best

    def tried_at(self, make: Maker, places: Floats, enough: int = ENOUGH) -> _Best:
        """Judge the candidates at these places (n, dimensions) of the ranges and keep the best ones; enough: so many of
        which are measured."""
        columns = make.columns(places)
        judged = make.judge.judge(columns, enough)
        self.tried += len(judged.level)
        over = np.nan_to_num(np.where(judged.level > 0, judged.utilisation, 0.0), nan=1.0, posinf=1e3)
        score = np.where(
            np.isnan(judged.weight_kg),
            CANNOT_BE,
            judged.fails * _A_FAILURE
            + judged.warns * _A_WARNING
            + np.where(judged.fails > 0, np.minimum(over, 1e3), np.clip(over - GROSS, 0.0, 90.0)) * 1e4
            + np.nan_to_num(make.judge.cost_kg(judged.weight_kg, judged.drag_n), nan=1e5),
        )
        order = np.argsort(score, kind="stable")
        if columns:
            # Different places often round to the same sizes.
            rows = np.stack([columns[p] for p in sorted(columns)], axis=1)[order]
            _, first = np.unique(np.round(rows, 6), axis=0, return_index=True)
            order = order[np.sort(first)][:16]
        kept = {path: values[order] for path, values in columns.items()}
        return _Best(make=make, score=score[order], place=places[order], columns=kept)

    def proposals(self, best: _Best) -> list[Proposal]:
        """Return the best set of a choice, loaded as a file and checked whole; where more is broken of it than was seen
        in the search the next one too."""
        out: list[Proposal] = []
        for k in range(min(2, len(best.score))):
            if best.score[k] < CANNOT_BE and (not out or out[0].broken > best.counted(0)):
                out.append(proposal_of(best.make, best.sizes(k), self.limits))
        return out


def _order(p: Proposal) -> tuple[Any, ...]:
    """By which proposals are sorted, best first."""
    return (
        not p.passes,
        *p.broken,
        any(p.broken) and p.utilisation > GROSS,
        round(p.cost_kg, 6),
        p.choice.prep != "none",
        p.text,
    )


_SCREW_CODES = {c.code for c in screws.CHECKS} | {"bearing_held", "screw_engaged"}
"""Checks that other screws may keep."""


def _thinner(thread: str, *, inch: bool) -> list[str]:
    """The next thinner usual thread of set screws, if there is one."""
    sizes = [rules.screw_thread(d, inch=inch) for d in (20.0, 40.0, 70.0, 100.0, 200.0)]
    at = sizes.index(thread) if thread in sizes else 0
    return sizes[at - 1 : at] if at else []


def _spread(count: int, dimensions: int) -> Floats:
    """Return points (count, dimensions) spread evenly over the unit cube: Kronecker's sequence with the roots of
    x^(n+1) = x + 1 (the golden ratio for one dimension)."""
    root = 2.0
    for _ in range(60):
        root = (1.0 + root) ** (1.0 / (dimensions + 1))
    steps = (1.0 / root) ** np.arange(1, dimensions + 1)
    return np.asarray((0.5 + np.outer(np.arange(1, count + 1), steps)) % 1.0)
