"""The load of a study: a load case in its worst direction, and what the hand formulas say of it.

A load case says how much, not all of whereto: of the directions it leaves free the one is taken in which the hand
formulas give an arm the greatest stress.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import cast

import numpy as np

from strutwright.models.arrays import Floats, Num, Six, add, mul
from strutwright.models.checks.strength import arms, load_cases, load_paths, skeg, unit_loads
from strutwright.models.checks.strength.blows import Way
from strutwright.models.checks.strength.load_cases import Case, Term
from strutwright.models.checks.strength.load_paths import Paths
from strutwright.models.fem import FemError
from strutwright.models.fem.mesh import Ints
from strutwright.models.inputs import Inputs, missing
from strutwright.params.words import Amount, Words, say

CLOCKS = 24


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Load:
    """One load case in one direction, and what the hand formulas say of it.

    bore_force_n, bore_couple_nmm: (3,), strut frame, at the arms' root on the shaft line (root_mm). heel_force_n: (3,)
    at the heel. words: what acts and whereto. carry_mm: where the bearing carries. moved_mm: (3,) movement there.
    arm_mpa: per arm at its stations, from barrel to palm. fin_mpa: in the skeg's root, nan without a load on the heel.
    """

    case: Case
    words: tuple[Words, ...]
    bore_force_n: Floats
    bore_couple_nmm: Floats
    heel_force_n: Floats
    root_mm: Floats
    carry_mm: Floats
    moved_mm: Floats
    arm_mpa: tuple[tuple[float, ...], ...]
    fin_mpa: float


def cases(inputs: Inputs) -> tuple[Case, ...]:
    """Return all load cases of a strut that may be asked for.

    >>> [case.key for case in cases(engineering_inputs("canal-tender"))]
    ['weight', 'tip', 'blade', 'turn', 'power', 'seized', 'grounding', 'side_hinge']
    """
    return (*load_cases.cases(inputs), *load_cases.accidents(inputs))


def find_case(inputs: Inputs, name: str) -> Case:
    """Return the load case of a key, or of the name of one of the file's own. Raises FemError listing what there is.

    >>> find_case(engineering_inputs("canal-tender"), "WEIGHT").key
    'weight'
    """
    for case in cases(inputs):
        if name.casefold() in (case.key.casefold(), case.name.casefold()):
            return case
    listed = "\n".join(f"  {c.key:<12} {c.name}" for c in cases(inputs))
    raise FemError(f"{name!r} is no load case of this strut; there are\n{listed}")


def worst_load(inputs: Inputs, case: Case) -> Load:
    """Return a load case in the direction that the hand formulas find worst. Raises FemError when it is not known.

    >>> inputs = engineering_inputs("canal-tender")
    >>> load = worst_load(inputs, find_case(inputs, "seized"))  # 6 kW at 1500 rpm: 6000 / (50 pi)
    >>> load.words[0].read("mm")
    'torque 38.2 N m about the shaft, port side up'
    """
    found, known = load_paths.paths(inputs), load_cases.amplitudes(inputs)
    _must_be_known(inputs, case, known)
    terms = [(t, load_cases.GROUPS[t.source], _directions(t)) for t in case.terms]
    # Free loads of one kind act in the same direction; each kind has its own.
    free = {group: len(directions) for _, group, directions in terms if len(directions) > 1}
    ways = list(itertools.product(*(range(n) for n in free.values())))
    picks = np.array(ways, dtype=np.int64).reshape(len(ways), len(free))  # one way, without a pick, where none is free
    amounts: dict[Way, Floats] = {}
    chosen: list[Ints] = []
    for term, group, directions in terms:
        which = picks[:, list(free).index(group)] if len(directions) > 1 else np.zeros(len(picks), dtype=np.int64)
        chosen.append(which)
        for way in directions[0].shares:
            share = np.array([d.shares[way] for d in directions])[which]
            amounts[way] = amounts.get(way, np.zeros(len(picks))) + float(load_cases.size(term, known)) * share
    worst = np.max([_arm_stress(found, k, amounts) for k in range(len(found.beams))], axis=(0, 1))
    best = int(np.argmax(np.round(worst, 6)))  # rounded, so that port and starboard do not flip by a last digit
    words: list[Words] = []
    for (term, group, directions), which in zip(terms, chosen, strict=True):
        size, unit = float(load_cases.size(term, known)), "N"
        if group == "couple":
            size, unit = size / 1000.0, "N m"
        words.append(
            say(
                "{source} {amount} {way}",
                source=term.source.replace("_", " "),
                amount=Amount(size, unit),
                way=directions[which[best]].words,
            )
        )
    return _assembled(inputs, found, case, tuple(words), {way: float(a[best]) for way, a in amounts.items()})


def _must_be_known(inputs: Inputs, case: Case, known: dict[str, Num]) -> None:
    why, where = load_cases.unanswerable(case, inputs)
    lacking = missing(inputs, case.needs)
    if lacking:
        raise FemError(f"load case {case.key} needs what the file does not say: {', '.join(lacking)}")
    if why:
        raise FemError(f"load case {case.name}: {why} ({where})")
    groups = {load_cases.GROUPS[t.source] for t in case.terms}
    where = "one arm of a vee" if "side" in groups and len(inputs.arms) > 1 else ""
    where = "the skeg" if groups & {"skeg_side", "skeg_ground"} else where
    if where:
        raise FemError(
            f"load case {case.key} is a blow on {where}, which does not enter by the barrel; choose another one"
        )
    if any(math.isnan(float(load_cases.size(t, known))) for t in case.terms):
        raise FemError(
            f"load case {case.key} cannot be worked out from what the file says; `strutwright check` tells "
            "what is missing"
        )


@dataclass(frozen=True, slots=True)
class _Direction:
    """A direction that a load may have, in words and as shares of unit loads."""

    words: str
    shares: dict[Way, float]


_BOTH_WAYS: dict[str, tuple[str, str]] = {
    "axial": ("forward", "aft"),
    "couple": ("about the shaft, port side up", "about the shaft, port side down"),
    "heel": ("to port on the heel", "to starboard on the heel"),
    "side": ("across the arm, port", "across the arm, starboard"),
}


def _directions(term: Term) -> list[_Direction]:
    group = load_cases.GROUPS[term.source]
    if group in unit_loads.PAIRS:
        across, toward = unit_loads.PAIRS[group]
        given = None if term.clock_deg is None else (term.clock_deg + (180.0 if term.factor < 0 else 0.0)) % 360.0
        clocks = [given] if given is not None else [360.0 * k / CLOCKS for k in range(CLOCKS)]
        return [
            _Direction(f"at clock {c:g}", {across: math.sin(math.radians(c)), toward: math.cos(math.radians(c))})
            for c in clocks
        ]
    way = cast(Way, group)
    both = [_Direction(words, {way: sign}) for words, sign in zip(_BOTH_WAYS[group], (1.0, -1.0), strict=True)]
    return both[1:] if term.source == "grounding" else both


def _six(found: Paths, arm: int, amounts: dict[Way, Floats]) -> Six:
    """Return the load on an arm's root of amounts of unit loads."""
    parts = [[mul(found.arm_loads[way][arm][k], amount) for way, amount in amounts.items()] for k in range(6)]
    return cast(Six, tuple(add(*p) for p in parts))


def _arm_stress(found: Paths, arm: int, amounts: dict[Way, Floats]) -> list[Floats]:
    """Return the hand formulas' stress, MPa, at every station of an arm, from barrel to palm."""
    beam, load = found.beams[arm], _six(found, arm, amounts)
    shape = next(iter(amounts.values())).shape
    return [np.broadcast_to(arms.station_stress(beam, s, load), shape) for s in range(len(beam.sections))]


def _assembled(inputs: Inputs, found: Paths, case: Case, words: tuple[Words, ...], amounts: dict[Way, float]) -> Load:
    root, carry = np.array([found.root_x_mm, 0.0, 0.0]), np.array([found.carry_x_mm, 0.0, 0.0])
    across = np.array(found.beams[0].across, dtype=float)
    acts: dict[Way, tuple[Floats, Floats]] = {
        "propeller_y": (np.eye(3)[1], carry),
        "propeller_z": (np.eye(3)[2], carry),
        "axial": (np.eye(3)[0], root),
        "barrel_y": (np.eye(3)[1], np.zeros(3)),
        "barrel_z": (np.eye(3)[2], np.zeros(3)),
        "side": (across, np.zeros(3)),
    }
    force, couple, heel = np.zeros(3), np.zeros(3), np.zeros(3)
    for way, amount in amounts.items():
        if way == "couple":
            couple = couple + amount * np.eye(3)[0]
        elif way == "heel":
            heel = heel + amount * np.eye(3)[1]
        else:
            direction, point = acts[way]
            force = force + amount * direction
            couple = couple + np.cross(point - root, amount * direction)
    as_arrays = {way: np.array([a]) for way, a in amounts.items()}
    motion = sum((a * np.array(found.motion(way), dtype=float) for way, a in amounts.items()), np.zeros(6))
    fin = math.nan
    if heel.any():
        assert inputs.skeg is not None
        fin = float(skeg.fin_stress_per_n(inputs, inputs.skeg) * np.abs(heel[1]))
    stress = tuple(tuple(float(v[0]) for v in _arm_stress(found, k, as_arrays)) for k in range(len(found.beams)))
    return Load(
        case=case,
        words=words,
        bore_force_n=force,
        bore_couple_nmm=couple,
        heel_force_n=heel,
        root_mm=root,
        carry_mm=carry,
        moved_mm=motion[:3] + np.cross(motion[3:], carry - root),
        arm_mpa=stress,
        fin_mpa=fin,
    )
