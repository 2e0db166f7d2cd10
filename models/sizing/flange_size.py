"""The flanged housing of least weight for what is known: sizes over arrays, one make-up of fasteners after the other.

A round flange square to the shaft with its fasteners on a circle, as small as heads, spanner and base let it be, is
what is made where the file leaves the outline and the pattern open.
"""

from __future__ import annotations

import copy
import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from strutwright.models import rules
from strutwright.models.arrays import Floats, Num
from strutwright.models.checks.geometry.palm import edge_rule, pitch_limits, pitch_of_mm
from strutwright.models.resolve import resolve
from strutwright.models.resolve.flange import METAL_ENGAGED, TIMBER_ENGAGED
from strutwright.models.sizing.asked import bearing_and_screws
from strutwright.models.sizing.choices import bolts_between, kinds_of
from strutwright.models.sizing.judge import Judge
from strutwright.models.sizing.known import (
    SizingError,
    begun,
    family_of,
    metal_by,
    refuse_faults,
    refuse_lag_screws_in_unknown_timber,
    shaft_by_power,
    value_at,
)
from strutwright.models.sizing.proposal import Proposal, proposal_of
from strutwright.models.sizing.search import CANNOT_BE, Sized
from strutwright.models.sizing.set_text import KNOWN, Choice, Known, SetText, yaml_text
from strutwright.params import limits as limit_table
from strutwright.params import tables
from strutwright.params.limits import Limits
from strutwright.params.loader import loads
from strutwright.params.problems import ParameterError
from strutwright.params.quantity import LENGTH

FAMILY = "flanged_housing"
HEAD = "plain"
"""The kind of head where none is said."""
COUNTS = (4, 6, 8, 10, 12, 16, 20)
"""Fasteners on the circle that are tried."""
WALLS, THICKNESSES = (0.22, 1.0), (0.2, 0.9)
"""Walls of the barrel and thicknesses of the flange that are looked at, in shafts."""
COARSE, WIDER, ROUNDS = 9, (0.0, 1.0, 2.0, 4.0), 12
"""Sizes tried of each at first; steps by which the circle, and the rim beyond it, are wider than they have to be;
how often it is looked closer at most."""
KEPT = 4
"""Of how many sizes and numbers of fasteners the candidates are looked at closely."""
SLOTS, SLOT_WIDE, SLOT_LONG = 4, 0.25, 0.4
"""Water slots where none are said: how many, and their sizes in shafts."""
_NOTES = {
    "bearing": "Measure the bearing in hand and give its sizes: the bore is made to it.",
    "barrel": "Sizes that were left open: found by the search; water slots ahead of the bearing.",
    "flange": "Sizes that were left open: found by the search.",
    "bolts": "Size, number and circle of the fasteners: what was left open found by the search.",
    "base": "As measured on the boat.",
    "propeller": "As known; what is missing cannot be checked.",
}


def with_defaults(known: Known, limits: Limits) -> Known:
    """Return what is known with the plainest assumption for what a housing cannot do without. Raises SizingError.

    Construction and metal by the base, as struts by their hull; lag screws into timber, else through bolts; the shaft
    from power and speed.

    >>> known = {"shaft": {"diameter": 30}, "materials": {"base": "hardwood"}, "base": {"bore": 62, "density": 600}}
    >>> with_defaults(known, standard())["bolts"]["fastener"]
    'lag_screw'
    """
    said = begun(known, "identity materials shaft barrel flange bolts base duty propeller", "Sized housing")
    said["part"] = FAMILY
    metals, base = said["materials"], said["base"]
    if "base" not in metals:
        raise SizingError("what the flange is bolted to is not known: give its material (--base-material)")
    if "bore" not in base:
        raise SizingError("the hole in the base for spigot or shaft is not known: give its diameter (--base-bore)")
    family = metal_by(said, "base", "housing", "base")
    said["bolts"].setdefault("fastener", "lag_screw" if family == "timber" else "through_bolt")
    refuse_lag_screws_in_unknown_timber(said, family, "base")
    if "diameter" not in said["shaft"]:
        said["shaft"]["diameter"] = shaft_by_power(said, limits, str(metals["housing"]))
    return said


@dataclass(frozen=True, slots=True, kw_only=True)
class _Text(SetText):
    """Writes housings of one choice."""

    def data(self, sizes: Mapping[str, float]) -> Known:
        made = copy.deepcopy(self.said)
        bolts, flange = made["bolts"], made["flange"]
        bolts.setdefault("size", self.choice.bolt)
        if self.choice.kind != HEAD:
            bolts.setdefault("kind", self.choice.kind)
        flange.setdefault("outline", {}).setdefault("shape", "round")
        pattern = bolts.setdefault("pattern", {})
        pattern.setdefault("kind", "circle")
        if pattern["kind"] == "circle":
            pattern.setdefault("count", self.choice.along)
        for path, mm in sizes.items():
            at = made
            *groups, name = path.split(".")
            for group in groups:
                at = at.setdefault(group, {})
            at[name] = self.written(mm)
        return made

    def text(self, sizes: Mapping[str, float], bearing: Any) -> str:
        made, notes = self.data(sizes), dict(_NOTES)
        if made.get("bearing"):
            del notes["bearing"]
        else:
            made["bearing"] = self.bearing(bearing)
        return yaml_text(made, notes)


class FlangedMaker:
    """Makes the sizes of candidates of one choice of fasteners, and the text of one of them.

    Raises ParameterError where the choice makes no housing.
    """

    def __init__(self, said: Known, choice: Choice, d: float, limits: Limits) -> None:
        self.said, self.choice, self.d, self.limits = said, choice, d, limits
        self.inch = said["units"] == "in"
        self.step_mm = rules.whole_step_mm(inch=self.inch)
        self.writer: SetText = _Text(said=said, choice=choice, section="")
        self.slots = _wants_slots(said)
        self.major_mm = tables.thread(choice.bolt).major_mm
        self.free = self.sought()
        self.still = self.settled()
        self.loaded = loads(yaml_text(self.writer.data(self.trial())), KNOWN)
        self.resolved = resolve(self.loaded, limits)
        self.strut = self.resolved.strut
        self.judge = Judge.of(self.loaded, self.resolved, limits)

    def fixed(self, path: str) -> float | None:
        """Return a length (mm) that what is known says, or None."""
        return value_at(self.said, path, LENGTH)

    def text(self, sizes: Mapping[str, float]) -> str:
        """Return a set with these sizes (mm) as the text of a file."""
        return self.writer.text({**self.still, **sizes}, self.strut.bearings[0])

    def data(self, sizes: Mapping[str, float]) -> Known:
        """Return the same as data."""
        return self.writer.data({**self.still, **sizes})

    def sought(self) -> frozenset[str]:
        """Return the paths of the sizes that are sought: left open, and of a kind that can be followed as arrays."""
        said, barrel = self.said, self.said["barrel"]
        flange, pattern = said["flange"], said["bolts"].get("pattern") or {}
        shape = (flange.get("outline") or {}).get("shape", "round")
        paths = {"flange.thickness"}
        square = not flange.get("off_square") and not barrel.get("steps") and not isinstance(said.get("bearing"), list)
        if square and not {"wall", "outside_diameter"} & barrel.keys():
            paths.add("barrel.wall")
        if square and not flange.get("position") and flange.get("looks", "forward") == "forward":
            paths.add("barrel.length")
        if shape == "round":
            paths.add("flange.outline.diameter")
        if pattern.get("kind", "circle") == "circle":
            paths.add("bolts.pattern.diameter")
        if self.slots:
            paths.add("barrel.slots.position.distance")
        return frozenset(p for p in paths if self.fixed(p) is None)

    def settled(self) -> dict[str, float]:
        """Return sizes (mm) that are not sought but follow from the fastener: its thread in the base."""
        bolts, out = self.said["bolts"], dict[str, float]()
        if bolts["fastener"] == "through_bolt" or bolts.get("engaged") is not None:
            return out
        timber = family_of(self.said["materials"]["base"]) == "timber"
        usual = float(rules.up_mm((TIMBER_ENGAGED if timber else METAL_ENGAGED) * self.major_mm, self.step_mm))
        depth = self.fixed("base.thickness")
        least = self.limits["engaged_timber" if timber else "engaged_metal"].value * self.major_mm
        if depth is not None and depth - self.major_mm < usual:  # its point stays in the base
            usual = max(
                float(rules.down_mm(depth - self.major_mm, self.step_mm)), float(rules.up_mm(least, self.step_mm))
            )
        return {"bolts.engaged": usual}

    def trial(self) -> dict[str, float]:
        """Return sizes (mm) that make a housing to start from, those that are known left out; its wall is by rule."""
        d, across = self.d, self.d * 2.6
        usual = {
            "barrel.length": 6.0 * d,
            "flange.thickness": 0.4 * d,
            "bolts.pattern.diameter": across + 8 * self.major_mm,
            "flange.outline.diameter": across + 14 * self.major_mm,
            "barrel.slots.position.distance": 1.3 * d,
        }
        made = {path: float(rules.up_mm(usual[path], self.step_mm)) for path in self.free if path in usual}
        return {**self.still, **made}

    # --- sizes of candidates ----------------------------------------------------------------------------------------

    def columns(self, walls: Floats, thicks: Floats, circles: Floats, rims: Floats) -> dict[str, Floats]:
        """Return sizes (mm) of every combination, path -> (n,). circles, rims: how much more (mm) than it has to be the
        circle of the fasteners is, and the rim beyond it."""
        wall, thick, more, rim = (np.ravel(a) for a in np.meshgrid(walls, thicks, circles, rims, indexing="ij"))
        flange, strut = self.strut.flange, self.strut
        assert flange is not None
        if "barrel.wall" not in self.free:
            wall = np.full(len(wall), strut.barrel.wall_mm)
        if "flange.thickness" not in self.free:
            thick = np.full(len(thick), flange.thickness_mm)
        root = self.root(wall, thick)
        out: dict[str, Num] = {"barrel.wall": wall, "flange.thickness": thick}
        circle: Num = 2.0 * float(np.max([np.hypot(h.u_mm, h.v_mm) for h in flange.holes]))
        if "bolts.pattern.diameter" in self.free:
            circle = rules.up_mm(2.0 * self.least_radius(wall, root), self.step_mm) + more
            out["bolts.pattern.diameter"] = circle
        out["flange.outline.diameter"] = rules.up_mm(circle + 2.0 * self.least_rim(), self.step_mm) + rim
        slot = strut.barrel.slots
        room = thick + root + self.limits["rim_to_root"].value
        bearing = strut.bearings[-1].forward_station_mm
        if slot is not None and "barrel.slots.position.distance" in self.free:
            away = rules.up_mm(room + slot.length_mm / 2, self.step_mm)
            out["barrel.slots.position.distance"] = away
            out["barrel.length"] = rules.up_mm(bearing + slot.length_mm / 2 + away, self.step_mm)
        else:
            out["barrel.length"] = rules.up_mm(np.maximum(bearing, self.past_screws() + room), self.step_mm)
        return {path: np.broadcast_to(v, wall.shape).astype(float) for path, v in out.items() if path in self.free}

    def past_screws(self) -> float:
        """Station (mm) from which on the flange and its root keep clear of the set screws."""
        ends = [s.station_mm + max(s.flat_diameter_mm or 0.0, s.major_mm) / 2 for s in self.strut.set_screws]
        return max(ends, default=0.0)

    def root(self, wall: Num, thick: Num) -> Num:
        """Return the fillet or weld leg of the flange, mm."""
        assert self.strut.flange is not None
        path = "flange.root_fillet" if self.strut.construction == "cast" else "flange.weld_leg"
        if self.loaded.says(path):
            return self.strut.flange.root_mm
        if self.strut.construction == "cast":
            return rules.up_mm(rules.fillet_mm(thick, wall, self.limits), rules.half_step_mm(inch=self.inch))
        return rules.leg_mm(thick, wall, rules.leg_share("none"), inch=self.inch)

    def least_radius(self, wall: Num, root: Num) -> Num:
        """Return the least radius (mm) of the fasteners' circle: heads clear of the root, a spanner of the barrel,
        holes of the bore of the base, and of each other."""
        flange, limits = self.strut.flange, {name: limit.value for name, limit in self.limits.items()}
        assert flange is not None
        bolt, barrel = flange.bolt, self.strut.barrel.bore_mm / 2 + wall
        apart = max(limits[name] for name in pitch_limits(self.strut)) * pitch_of_mm(self.strut)
        radii = [
            barrel + root + bolt.rim_mm / 2 + limits["rim_to_root"],
            barrel + bolt.driver_diameter_mm / 2 + limits["driver_to_arm"],
            flange.base.bore_mm / 2 + limits["hole_to_base_bore"] * bolt.major_mm,
            apart / 2 / math.sin(math.pi / len(flange.holes)),
        ]
        if flange.gasket is not None and flange.gasket.recess_mm > 0:
            radii.append(flange.gasket.recess_mm / 2 + bolt.hole_mm / 2)
        best: Num = radii[0]
        for radius in radii[1:]:
            best = np.maximum(best, radius)
        return best

    def least_rim(self) -> float:
        """Return the least distance (mm) from the circle of the fasteners to the edge of a round flange."""
        assert self.strut.flange is not None
        need = edge_rule(self.strut, self.limits)[1]
        return max(need, self.strut.flange.bolt.rim_mm / 2 + self.limits["rim_to_edge"].value)


def _wants_slots(said: Known) -> bool:
    barrel, base = said["barrel"], said["base"]
    own = (barrel.get("slots") or {}).get("position") or {}
    return "distance" not in own and "end" in own and not base.get("water_inside")


def with_slots(said: Known) -> Known:
    """Return what is known with water slots, where it says neither of them nor that water is fed inside.

    >>> "slots" in with_slots({"shaft": {"diameter": "30 mm"}, "barrel": {}, "base": {}, "units": "mm"})["barrel"]
    True
    """
    if said["base"].get("water_inside") or said["barrel"].get("slots") or said["barrel"].get("steps"):
        return said
    d, inch = value_at(said, "shaft.diameter", LENGTH), said["units"] == "in"
    assert d is not None
    step = rules.whole_step_mm(inch=inch)
    text = SetText(said=said, choice=Choice(bolt="", along=0), section="")
    wide, long = (text.written(float(rules.up_mm(share * d, step))) for share in (SLOT_WIDE, SLOT_LONG))
    slots = {"count": SLOTS, "width": wide, "length": long, "position": {"end": "barrel_forward"}}
    return {**said, "barrel": {**said["barrel"], "slots": {**slots, "first_clock": "45 deg"}}}


def _choices(said: Known, d: float, limits: Limits) -> Iterator[Choice]:
    bolts, kind = said["bolts"], said["bolts"].get("kind", HEAD)
    if "size" in bolts:
        sizes = [str(bolts["size"])]
    else:
        low, high = limits["bolt_size_least"].value * d, limits["bolt_size_most"].value * d
        sizes = [size for size, _ in bolts_between(low, high, kind, said["units"] == "in")]
    pattern = bolts.get("pattern") or {}
    circle = pattern.get("kind", "circle") == "circle"
    counts = COUNTS if circle and "count" not in pattern else (pattern.get("count", 0),)
    for size, count in itertools.product(sizes, counts):
        if kind in kinds_of(size) or "head" in bolts:
            yield Choice(bolt=size, along=count, across=1, kind=kind, pattern="circle")


@dataclass(frozen=True, slots=True, eq=False)
class _Tried:
    """The best of some candidates of a maker: how it stands, where it lies, how far apart those were that were tried,
    and its sizes."""

    make: FlangedMaker
    rank: tuple[float, float, float]
    place: tuple[float, ...]
    gaps: tuple[float, ...]
    sizes: dict[str, float]


class _Search:
    def __init__(self, said: Known, limits: Limits) -> None:
        d = value_at(said, "shaft.diameter", LENGTH)
        assert d is not None
        self.said, self.limits, self.d, self.tried = said, limits, d, 0
        self.step = rules.whole_step_mm(inch=said["units"] == "in")

    def run(self) -> Sized:
        makers = self.makers()
        if bearing_and_screws(self.said, makers[0]):
            makers = self.makers()
        found = sorted((self.coarse(make) for make in makers), key=lambda t: t.rank)
        best = sorted((self.fine(t) for t in found[:KEPT]), key=lambda t: t.rank)
        proposals = [proposal_of(t.make, t.sizes, self.limits) for t in best if t.rank[0] < CANNOT_BE]
        if not proposals:
            raise SizingError(f"no candidate can be built: {self.fault(best[0])}")
        proposals.sort(key=_order)
        return Sized(tuple(proposals), self.tried, self.said["units"], tuple(sorted(makers[0].free)), FAMILY)

    def makers(self) -> list[FlangedMaker]:
        """Return a maker for every choice that makes a housing at all. Raises ParameterError when none does."""
        out, faults = [], list[ParameterError]()
        shared: dict[Any, Any] = {}
        for choice in _choices(self.said, self.d, self.limits):
            try:
                make = FlangedMaker(self.said, choice, self.d, self.limits)
            except ParameterError as error:
                faults.append(error)
                continue
            make.judge = replace(make.judge, severities=shared)
            out.append(make)
        if not out and faults:
            raise faults[0]
        if not out:
            raise SizingError("no bolt of the tables has a head of this kind; give bolts.size, or another bolts.kind")
        return out

    def coarse(self, make: FlangedMaker) -> _Tried:
        """Try sizes all over their ranges."""
        wide = max(self.step, float(rules.up_mm(self.d / 25, self.step)))
        ranges = [np.linspace(low * self.d, high * self.d, COARSE) for low, high in (WALLS, THICKNESSES)]
        axes = [np.unique(rules.up_mm(values, self.step)) for values in ranges] + 2 * [wide * np.array(WIDER)]
        sought = ("barrel.wall", "flange.thickness", "bolts.pattern.diameter", "flange.outline.diameter")
        places = [axis if path in make.free else axis[:1] for axis, path in zip(axes, sought, strict=True)]
        gaps = tuple(float(np.max(np.diff(p))) if len(p) > 1 else 0.0 for p in places)
        return self.at(make, places, gaps)

    def fine(self, best: _Tried) -> _Tried:
        """Try sizes closer and closer round the best one, to a whole step at last, while that makes it better."""
        gaps = best.gaps
        for _ in range(ROUNDS if any(gaps) else 0):
            gaps = tuple(max(self.step, float(rules.near_mm(gap / 3, self.step))) if gap else 0.0 for gap in gaps)
            near = (
                own + gap * np.arange(-3, 4) if gap else np.array([own])
                for own, gap in zip(best.place, gaps, strict=True)
            )
            places = [
                np.maximum(values, floor) for values, floor in zip(near, (self.step, self.step, 0.0, 0.0), strict=True)
            ]
            closer = self.at(best.make, [np.unique(values) for values in places], gaps)
            better = closer.rank < best.rank
            best = closer if better else best
            if not better and max(gaps) <= self.step + 1e-9:
                break
        return best

    def at(self, make: FlangedMaker, places: Sequence[Floats], gaps: tuple[float, ...]) -> _Tried:
        """Judge the candidates at every combination of these places, and return the best of them."""
        columns, count = make.columns(*places), math.prod(len(p) for p in places)
        # Where what is known leaves nothing open there is one candidate, the file itself.
        judged = make.judge.judge(columns or {"set_screws.dimple_depth": make.judge.base.dimple_mm})
        self.tried += count
        bad = np.isnan(judged.weight_kg)
        fails, weight = np.where(bad, CANNOT_BE, judged.fails), np.where(bad, np.inf, judged.weight_kg)
        n = int(np.lexsort((weight, judged.warns, fails))[0])
        where = np.unravel_index(n, tuple(len(p) for p in places))
        place = tuple(float(values[k]) for values, k in zip(places, where, strict=True))
        rank = (float(fails[n]), float(judged.warns[n]), float(weight[n]))
        return _Tried(make, rank, place, gaps, {path: float(values[n]) for path, values in columns.items()})

    def fault(self, tried: _Tried) -> str:
        """Why a candidate cannot be built."""
        try:
            resolve(loads(tried.make.text(tried.sizes), KNOWN), self.limits)
        except ParameterError as error:
            return f"{error.problems[0].path} {error.problems[0].what}"
        return "its sizes leave the flange beyond an end of the barrel"


def _order(p: Proposal) -> tuple[Any, ...]:
    return (not p.passes, *p.broken, round(p.weight_kg, 6), p.text)


def size_flanged(known: Known, limits: Limits | None = None) -> Sized:
    """Return complete housings for what is known, the lightest first; as `search.size` of a strut.

    >>> try:
    ...     size_flanged({"part": "flanged_housing", "shaft": {"diameter": "30 mm"}})
    ... except SizingError as error:
    ...     print(str(error).split(":")[0])
    what the flange is bolted to is not known
    """
    refuse_faults({**known, "part": FAMILY})
    limits = limit_table.standard() if limits is None else limits
    return _Search(with_slots(with_defaults(known, limits)), limits).run()
