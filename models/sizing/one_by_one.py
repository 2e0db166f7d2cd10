"""Sizing set by set: the lightest set of a part whose candidates are resolved and checked one at a time.

What is open is a few axes, each with the values that may be written. The search steps along one axis after another, in
steps that halve down to one value, then along several at once by a guess: near the best set every check is taken to use
its limit by a power of each size, as bending and pull do, and the lightest sets that keep all limits by that are tried.
Other kinds and numbers of fasteners are tried in between. It is the same every time. What a kind of part adds is a
`Family`: what it takes for granted, its axes, and what follows from them.
"""

from __future__ import annotations

import copy
import itertools
import math
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from strutwright.models import rules
from strutwright.models.finding import FAILS
from strutwright.models.resolve import resolve
from strutwright.models.sizing.asked import bearing_and_screws
from strutwright.models.sizing.choices import bolts_between
from strutwright.models.sizing.judge import Judge, Severities
from strutwright.models.sizing.known import SizingError, refuse_faults, value_at
from strutwright.models.sizing.proposal import Proposal, proposal_of
from strutwright.models.sizing.search import CANNOT_BE, Sized
from strutwright.models.sizing.set_text import KNOWN, Choice, Known, SetText, yaml_text
from strutwright.models.sizing.trial import Made, Place, Trial, broken, light
from strutwright.params import limits as limit_table
from strutwright.params import tables
from strutwright.params.limits import Limits
from strutwright.params.loader import loads, of_data
from strutwright.params.problems import ParameterError
from strutwright.params.quantity import LENGTH

Value: TypeAlias = float | int | str
Rank: TypeAlias = "Callable[[Trial], Any]"
MOST, CLOSE_BY, MORE = 340, 130, 100
"""Sets that are tried at most, how many of them close by the best of each kind, and how many more where a check is
still broken by then."""
NEAREST = 220
"""Sets that are tried at most where something fails that no size mends."""
NEAR, AT_ONCE, GUESSES = 4, 3, 5
"""How many values of an axis, and of how many axes at once, the guesses look at, and how many of them are tried."""
MARGINS = (0.0, 0.01, 0.04)
"""By what share of their limits guesses keep off them, from the boldest to the most careful."""
SOON, MORE_TOGETHER = 60, 1.2
"""After how many sets it is asked what can be mended at all, and how much more sizes are taken to do together."""
CLOSER, WORTH = 3, 1.3
"""How many kinds and numbers of fasteners are looked at closely, and how much heavier they may be at first."""
KEPT = 6
"""Of how many kinds and numbers of fasteners the best set is told."""


@dataclass(frozen=True, slots=True)
class Axis:
    """What is open: path in the file, or words where it stands for more than one value there; values from the least to
    the greatest, mm where they are lengths, and the number of the one to begin with. kind: whether they are kinds or
    numbers, all of which are tried; sparing: whether fewer is better even where it weighs no less."""

    path: str
    values: tuple[Value, ...]
    first: int
    kind: bool = False
    sparing: bool = False


class Draft:
    """A set as it is made of what is known and of one value of each axis. A size that is known stays."""

    def __init__(self, said: Known, limits: Limits, chosen: Mapping[str, Value]) -> None:
        self.made: Known = copy.deepcopy(said)
        self.chosen, self.limits = chosen, limits
        self.inch = said["units"] == "in"
        self.step_mm = rules.whole_step_mm(inch=self.inch)
        self.text = SetText(said=said, choice=Choice(bolt="", along=0), section="")

    def value(self, path: str) -> Any:
        """Return what stands at a path, or None."""
        return at_path(self.made, path)

    def mm(self, path: str) -> float:
        """Return the length (mm) at a path; nan where there is none."""
        found = value_at(self.made, path, LENGTH)
        return math.nan if found is None else found

    def put(self, path: str, value: Any) -> None:
        """Put a value at a path where there is none."""
        *groups, name = path.split(".")
        at = self.made
        for group in groups:
            if not isinstance(at.get(group), dict):
                at[group] = {}
            at = at[group]
        if at.get(name) is None:
            at[name] = value

    def put_mm(self, path: str, mm: float, *, exact: bool = False) -> float:
        """Put a length, up to a whole step, at a path where there is none, and return what stands there (mm)."""
        self.put(path, self.text.exact(mm) if exact else self.text.written(self.up(mm)))
        return self.mm(path)

    def up(self, mm: float) -> float:
        """Return a length up to a whole step, mm."""
        return float(rules.up_mm(mm, self.step_mm))

    def limit(self, name: str, per: float = 1.0) -> float:
        """Return a limit, times what it is a multiple of."""
        return self.limits[name].value * per


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """What sizing has to know of a kind of part.

    known: what is known with the plainest assumptions, raises SizingError. axes: what is open. fill: puts in what
    follows from what is known and chosen. shaft: path of the diameter that sizes go by. notes: comments to groups.
    bolts: size and number of fasteners that a set is told by.
    """

    name: str
    known: Callable[[Known, Limits], Known]
    axes: Callable[[Known, Limits], tuple[Axis, ...]]
    fill: Callable[[Draft], None]
    notes: Mapping[str, str]
    bolts: Callable[[Known], tuple[str, int]]
    shaft: str = "shaft.diameter"
    bearing: bool = True


def at_path(data: Any, path: str) -> Any:
    """Return what stands at a dotted path, or None.

    >>> at_path({"foot": {"height": 110}}, "foot.height"), at_path({}, "foot.height")
    (110, None)
    """
    for part in path.split("."):
        data = data.get(part) if isinstance(data, dict) else None
    return data


def open_axes(said: Known, *axes: Axis) -> tuple[Axis, ...]:
    """Return those axes that what is known leaves open.

    >>> [a.path for a in open_axes({"web": {"length": 90}}, Axis("web.length", (1.0,), 0), Axis("x", (1.0,), 0))]
    ['x']
    """
    return tuple(a for a in axes if at_path(said, a.path) is None)


def lengths(path: str, least_mm: float, most_mm: float, first_mm: float, *, inch: bool) -> Axis:
    """Return an axis of whole millimetres, or sixteenths of an inch, or of a hundredth of the least where that is more.

    >>> lengths("barrel.wall", 7.5, 10.0, 8.2, inch=False)
    Axis(path='barrel.wall', values=(8.0, 9.0, 10.0), first=1, kind=False, sparing=False)
    """
    step = rules.whole_step_mm(inch=inch)
    low = float(rules.up_mm(least_mm, step))
    apart = max(step, float(rules.down_mm(least_mm / 100, step)))
    values = tuple(low + k * apart for k in range(max(1, int((most_mm - low) / apart + 1e-9) + 1)))
    return Axis(path, values, min(range(len(values)), key=lambda k: (values[k] < first_mm - 1e-6, values[k])))


def stock(path: str, least_mm: float, most_mm: float, first_mm: float, *, inch: bool) -> Axis:
    """Return an axis of stock plates, and of whole steps beyond the thickest.

    >>> stock("foot.thickness", 11.0, 21.0, 14.0, inch=False).values
    (12.0, 15.0, 16.0, 20.0)
    """
    system = "inch" if inch else "metric"
    plates = sorted(float(r["thickness"]) for r in tables.table("plate").rows if r["system"] == system)
    beyond = lengths(path, max(least_mm, plates[-1]), max(most_mm, least_mm), first_mm, inch=inch).values
    values = tuple(sorted({p for p in plates if least_mm - 1e-6 <= p <= most_mm + 1e-6} | set(map(float, beyond))))
    values = tuple(v for v in values if v <= most_mm + 1e-6) or values[:1]
    return Axis(path, values, min(range(len(values)), key=lambda k: (values[k] < first_mm - 1e-6, values[k])))


def numbers(path: str, values: tuple[Value, ...], first: Value, *, sparing: bool = False) -> Axis:
    """Return an axis of kinds or numbers.

    >>> numbers("bolts.pattern.along", (2, 3), 3).first
    1
    """
    return Axis(path, values, values.index(first) if first in values else 0, kind=True, sparing=sparing)


def bolt_sizes(low_mm: float, high_mm: float, kind: str | None, *, inch: bool) -> tuple[str, ...]:
    """Return usual bolts of a range, metric ones where no inch size is thick enough.

    >>> bolt_sizes(43.0, 90.0, "plain", inch=True)
    ('M42',)
    """
    sizes = tuple(size for size, _ in bolts_between(low_mm, high_mm, kind, inch))
    if inch and all(tables.thread(size).major_mm < low_mm - 1e-6 for size in sizes):
        return tuple(size for size, _ in bolts_between(low_mm, high_mm, kind, inch=False))
    return sizes


def bearing_outside_mm(draft: Draft) -> float:
    """Return the outside diameter of the bearing, mm: as said, as measured, or as one that is left open is resolved.

    >>> bearing_outside_mm(Draft({"units": "mm", "shaft": {"diameter": 40}}, standard(), {}))
    55.0
    """
    one, d = draft.value("bearing"), draft.mm("shaft.diameter")
    own = {**draft.made, "bearing": (one[0] if isinstance(one, list) else one) or {}}
    for name in ("outside_diameter", "outside_measured"):
        said = value_at(own, f"bearing.{name}", LENGTH)
        if said is not None:
            return said
    example = tables.bearing_example(d, tolerance_mm=math.inf)
    assert example is not None
    return example.outside_mm * d / example.shaft_mm


BORES = ("H7", "H6", "G7", "G6")
"""Classes of the bore that are tried: the usual one, closer and looser ones, for thin shells; ISO 286."""


def bores(said: Known) -> tuple[Axis, ...]:
    """Return the axis of the bore's class, where a bearing that is not measured is pressed in.

    >>> [a.values for a in bores({"barrel": {}, "bearing": {"outside_diameter": "45 mm"}})]
    [('H7', 'H6', 'G7', 'G6')]
    """
    barrel, each = said.get("barrel") or {}, said.get("bearing") or {}
    measured = any("outside_measured" in b for b in (each if isinstance(each, list) else [each]))
    if measured or barrel.get("fit", "press") != "press" or {"bore", "interference", "slide_clearance"} & barrel.keys():
        return ()
    return (numbers("barrel.bore_class", BORES, BORES[0], sparing=True),)


class _Search:
    def __init__(self, family: Family, said: Known, limits: Limits) -> None:
        self.family, self.said, self.limits = family, said, limits
        d = value_at(said, family.shaft, LENGTH)
        assert d is not None
        self.d = d
        self.axes = family.axes(said, limits)
        self.seen: dict[Place, Trial] = {}
        self.first: list[str] = []
        self.apart: set[str] = set()
        self.lost = False
        self.most = MOST
        self.heaviest_kg = math.inf
        self.severities: Severities = {}
        self.notes = dict(family.notes)
        if family.bearing and said.get("bearing"):
            self.notes.pop("bearing", None)

    # --- one set ----------------------------------------------------------------------------------------------------

    def draft(self, place: Place) -> Known:
        chosen = {a.path: a.values[k] for a, k in zip(self.axes, place, strict=True)}
        draft = Draft(self.said, self.limits, chosen)
        for path, value in chosen.items():
            if " " not in path:
                draft.put(path, draft.text.written(value) if isinstance(value, float) else value)
        self.family.fill(draft)
        return draft.made

    def made(self, place: Place) -> Made:
        """Return the set at a place. Raises ParameterError."""
        own = self.draft(place)
        loaded = of_data(own, KNOWN)
        resolved = resolve(loaded, self.limits, recorded=False)
        judge = replace(Judge.of(loaded, resolved, self.limits), severities=self.severities)
        bolt, count = self.family.bolts(own)
        choice = Choice(bolt=bolt, along=count)
        writer = SetText(said=self.said, choice=choice, section="")
        return Made(
            choice=choice,
            d=self.d,
            limits=self.limits,
            judge=judge,
            resolved=resolved,
            strut=resolved.strut,
            writer=writer,
            own=own,
            notes=self.notes,
        )

    def kinds(self, place: Place) -> Place:
        """Return the numbers of the kinds that are chosen at a place."""
        return tuple(k for a, k in zip(self.axes, place, strict=True) if a.kind)

    def trial(self, place: Place) -> Trial:
        """Return the set at a place as far as it was held to the checks; the same one is not made again."""
        if place not in self.seen:
            spared = self.spared(place)
            try:
                self.seen[place] = Trial.of(place, spared, self.made(place), self.apart)
            except ParameterError as error:
                self.seen[place] = Trial.of_none(place, spared, len(error.problems))
        return self.seen[place]

    def at(self, place: Place) -> Trial:
        """Return how the set at a place stands by every check."""
        return self.trial(place).hold_to_all()

    def spared(self, place: Place) -> int:
        """Return how much more than the least there is of what should be spared."""
        return sum(k for a, k in zip(self.axes, place, strict=True) if a.sparing)

    def better(self, place: Place, best: Trial, rank: Rank) -> Trial | None:
        """Return how the set at a place stands where it ranks before the best. It is held to no more checks than show
        that it does not, those first that showed it last."""
        one = self.trial(place)
        while rank(one) < rank(best) and one.weight_kg <= self.heaviest_kg:
            if not one.waiting:
                return one
            group = next(g for g in (*self.first, *one.waiting) if g in one.waiting)
            one.hold(group)
            if rank(one) >= rank(best):
                self.first = [group, *(g for g in self.first if g != group)]
        return None

    # --- the way to the lightest ------------------------------------------------------------------------------------

    def run(self) -> Sized:
        self.begin(tuple(a.first for a in self.axes))
        self.axes = self.family.axes(self.said, self.limits)
        start = tuple(a.first for a in self.axes)
        self.most = SOON
        best = self.descend(self.at(start), coarse=True)
        self.part_from(best)
        most = NEAREST if self.lost else MOST
        self.most = most - CLOSE_BY
        best = self.other_kinds(self.descend(best, coarse=True))
        self.most = most
        best = self.together(best)
        for one in self.of_each_kind()[:CLOSER]:
            if one.light[:3] == best.light[:3] and one.weight_kg <= WORTH * best.weight_kg:
                best = min(best, self.descend(one, coarse=False), key=light)
        alike = self.of_each_kind()
        if not alike:
            raise SizingError(f"no candidate can be built: {self.fault(best.place)}")
        proposed = [(self.proposal(one), one) for one in alike[:KEPT]]
        proposed.sort(key=lambda both: (not both[0].passes, *both[0].broken))
        found = [proposal for proposal, _ in proposed]
        sought = tuple(sorted(a.path for a in self.axes))
        why = self.reasons(proposed[0][1])
        return Sized(tuple(found), len(self.seen), self.said["units"], sought, self.family.name, why)

    def of_each_kind(self) -> list[Trial]:
        """Return the best set of each kind and number of fasteners that was tried and can be built, best first."""
        alike: dict[Place, Trial] = {}
        for one in sorted(self.seen.values(), key=light):
            if one.whole:
                alike.setdefault(self.kinds(one.place), one)
        return list(alike.values())

    def begin(self, start: Place) -> None:
        """Take the bearing of the table where none is known, and ask for clearance and screws that it needs."""
        if not self.family.bearing:
            return
        try:
            made = self.made(start)
        except ParameterError:
            made = None
        if made is None:
            return
        if not self.said.get("bearing"):
            self.said["bearing"] = made.writer.bearing(made.strut.bearings[0])
        bearing_and_screws(self.said, made, bore=False)
        self.severities.clear()

    def descend(self, best: Trial, *, coarse: bool) -> Trial:
        """Return the best set that steps along the axes lead to. coarse: in large steps at first, and without guesses
        once nothing is broken."""
        rank = broken if not best.clean else light
        steps = [max(1, len(a.values) // 8) if coarse else 1 for a in self.axes]
        while len(self.seen) < self.most:
            better = self.along(best, steps, rank)
            if rank(better) < rank(best):
                best = better
                continue
            if max(steps, default=1) > 1:
                steps = [max(1, s // 2) for s in steps]
                continue
            if coarse and best.clean:
                break
            better = self.across(best, rank)
            if rank(better) < rank(best):
                best = better
                continue
            if rank is light:
                break
            rank = light  # what is broken still cannot be mended: the lightest that breaks no more
        return best

    def part_from(self, best: Trial) -> None:
        """Count no more what is broken and what is open does not mend, as what follows from a distance that is given:
        what all sizes do to it from end to end, each by itself, and all kinds and numbers, is less than it is over."""
        left = {code: best.logs[code] for code in best.levels}
        if not left:
            return
        for k, axis in enumerate(self.axes):
            ends = range(len(axis.values)) if axis.kind else (0, len(axis.values) - 1)
            ways = [self.at((*best.place[:k], to, *best.place[k + 1 :])) for to in ends]
            for code in left:
                least = min((one.logs.get(code, -math.inf) for one in ways if one.whole), default=math.inf)
                left[code] -= MORE_TOGETHER * max(best.logs[code] - least, 0.0)
        # What fails is counted on all the same: the nearest to passing is proposed.
        lost = {code for code, over in left.items() if over > 0.0}
        self.apart |= {code for code in lost if best.levels[code] < FAILS}
        self.lost = bool(lost - self.apart)
        for one in self.seen.values():
            one.count()

    def along(self, best: Trial, steps: list[int], rank: Rank, held: int | None = None) -> Trial:
        """Step along each axis as far as that helps; where a kind is held, along those of sizes alone."""
        for k, axis in enumerate(self.axes):
            for way in (-steps[k], steps[k]) if held is None or not (k == held or axis.kind) else ():
                while len(self.seen) < self.most:
                    to = min(max(best.place[k] + way, 0), len(axis.values) - 1)
                    if to == best.place[k]:
                        break
                    one = self.better((*best.place[:k], to, *best.place[k + 1 :]), best, rank)
                    if one is None:
                        break
                    best = one
        return best

    def across(self, best: Trial, rank: Rank) -> Trial:
        """Step along several axes at once to the lightest sets that keep every limit by what one step does to each."""
        ways: dict[tuple[int, int], Trial] = {}
        for k, axis in enumerate(self.axes):
            for way in (-1, 1):
                if not axis.kind and 0 <= (to := best.place[k] + way) < len(axis.values):
                    ways[k, way] = self.at((*best.place[:k], to, *best.place[k + 1 :]))
        built = {key: one for key, one in ways.items() if one.fails < CANNOT_BE}
        moves = self.moves(best, {k for k, _ in built})
        if not len(moves):
            return best
        codes = sorted({code for one in built.values() for code, x in one.logs.items() if code in best.logs})
        start = np.array([best.logs[code] for code in codes])
        used, weight = np.tile(start, (len(moves), 1)), np.full(len(moves), best.weight_kg)
        for (k, way), one in built.items():
            times = np.maximum(way * moves[:, k], 0)
            used += times[:, None] * np.array([one.logs.get(code, 1.0) for code in codes] - start)
            weight += times * (one.weight_kg - best.weight_kg)
        off = np.any(
            [np.sign(moves[:, k]) == way for k in range(len(self.axes)) for way in (-1, 1) if (k, way) not in built],
            axis=0,
        )
        for margin in MARGINS:
            keeps = ~off & (weight < best.weight_kg - 1e-9) & np.all(used <= np.maximum(start, -margin) + 1e-9, axis=1)
            order = np.flatnonzero(keeps)[np.argsort(weight[keeps], kind="stable")]
            for n in order[:GUESSES]:
                if len(self.seen) >= self.most:
                    return best
                found = self.better(tuple(int(x) for x in np.array(best.place) + moves[n]), best, rank)
                if found is not None:
                    return found
        return best

    def moves(self, best: Trial, along: set[int]) -> NDArray[np.int_]:
        """Return steps along these axes, a few of them at once, that stay on the axes: (n, axes)."""
        steps = {
            k: [s for s in range(-NEAR, NEAR + 1) if s and 0 <= best.place[k] + s < len(self.axes[k].values)]
            for k in sorted(along)
        }
        found = []
        for count in range(2, AT_ONCE + 1):
            for some in itertools.combinations(steps, count):
                grid = np.array(list(itertools.product(*(steps[k] for k in some))), dtype=int).reshape(-1, count)
                rows = np.zeros((len(grid), len(self.axes)), dtype=int)
                rows[:, some] = grid
                found.append(rows)
        return np.concatenate(found) if found else np.zeros((0, len(self.axes)), dtype=int)

    def other_kinds(self, best: Trial) -> Trial:
        """Try every other kind and number of fasteners, the sizes as they are found at each."""
        for k, axis in enumerate(self.axes):
            if not axis.kind:
                continue
            for to in range(len(axis.values)):
                more = axis.sparing and to > best.place[k] and best.clean
                if to == best.place[k] or more or len(self.seen) >= self.most:
                    continue
                one = self.trial((*best.place[:k], to, *best.place[k + 1 :]))
                self.heaviest_kg = WORTH * best.weight_kg if best.clean else math.inf
                if one.fails < CANNOT_BE and one.weight_kg <= self.heaviest_kg:
                    near = self.along(self.at(one.place), [max(1, len(a.values) // 16) for a in self.axes], broken, k)
                    best = min(best, near, key=light)
                self.heaviest_kg = math.inf
        return best

    def together(self, best: Trial) -> Trial:
        """Where a check is still broken, try kinds and numbers of fasteners together, the sizes as they are found at
        the nearest to breaking none."""
        if best.clean or self.lost or not best.whole:
            return best
        self.most = max(self.most, len(self.seen)) + MORE
        nearest = min((one for one in self.seen.values() if one.whole), key=broken).place
        choices = [range(len(a.values)) if a.kind else (nearest[k],) for k, a in enumerate(self.axes)]
        places = [p for p in itertools.product(*choices) if p != best.place][: MORE // 3]
        for one in sorted((self.at(p) for p in places), key=broken)[:CLOSER]:
            near = one
            for part in (8, 16, 64):
                near = self.along(near, [max(1, len(a.values) // part) for a in self.axes], broken)
            best = min(best, near, key=light)
        return best

    # --- what is told -----------------------------------------------------------------------------------------------

    def proposal(self, one: Trial) -> Proposal:
        made = self.made(one.place)
        sizes = {
            a.path: float(a.values[k])
            for a, k in zip(self.axes, one.place, strict=True)
            if isinstance(a.values[k], float) and " " not in a.path
        }
        return proposal_of(made, sizes, self.limits, made.judge.own()[0])

    def reasons(self, best: Trial) -> dict[str, str]:
        """Return why the best set breaks what it does, by code: in the light of all that was tried."""
        out = {}
        whole = [one for one in self.seen.values() if one.whole]
        for code in best.levels:
            keep = [one for one in whole if code in one.logs and code not in one.levels]
            others = Counter(other for one in keep for other in one.levels if other not in best.levels)
            if len(whole) == 1:
                out[code] = "no other set that can be built was tried"
            elif code in self.apart and not keep:
                out[code] = "what each size left open does to it from end to end is together too little to mend it"
            elif not keep:
                out[code] = f"none of the {len(whole)} sets that were held to it keeps it; what was given asks too much"
            elif others:
                out[code] = f"sets that keep it break {', '.join(c for c, _ in others.most_common(3))}"
            else:
                out[code] = "it is kept only where other checks that are told here are further over their limits"
        return out

    def fault(self, place: Place) -> str:
        """Why the set at a place cannot be built."""
        try:  # as a text, whose faults come in its order
            resolve(loads(yaml_text(self.draft(place)), KNOWN), self.limits)
        except ParameterError as error:
            p = error.problems[0]
            allowed = f" (allowed: {p.allowed.rstrip('.')})" if p.allowed else ""
            return f"{p.path} {p.what}{allowed}; {p.advice}"
        return "its sizes leave no part"


def size_one_by_one(family: Family, known: Known, limits: Limits | None = None) -> Sized:
    """Return complete sets of a kind of part for what is known, the lightest first; as `search.size` of a strut.

    Raises SizingError when what is known is not enough or nothing can be built for it, ParameterError when it is wrong.

    >>> from strutwright.models.sizing.let_in_size import LET_IN
    >>> try:
    ...     size_one_by_one(LET_IN, {"shaft": {"diameter": "30 mm"}})
    ... except SizingError as error:
    ...     print(str(error).split(":")[0])
    what the housing is let into is not known
    """
    refuse_faults({**known, "part": family.name})
    limits = limit_table.standard() if limits is None else limits
    return _Search(family, family.known({**known, "part": family.name}, limits), limits).run()
