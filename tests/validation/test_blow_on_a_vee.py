"""A blow across one arm of a vee, against a frame that is loaded until its hinges make it a mechanism.

Independent of the program's formulas: elastic beams in the plane of the arms on a stiff barrel, solved by stiffness,
hinge after hinge, hit all along where a blow counts. What comes to palms and welds on the way there is no more than the
program holds them to.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
import yaml
from support import every

from strutwright.models import halves
from strutwright.models.arrays import Six
from strutwright.models.checks.strength import arm_beams, blows, bolt_forces, load_paths, unit_loads
from strutwright.models.checks.strength import arms as arms_check
from strutwright.models.checks.strength.arm_beams import Beam
from strutwright.models.formulas import bolts, palm_bed
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.params.loader import loads, shipped

Vector = np.ndarray[Any, np.dtype[np.float64]]


@dataclass
class _Piece:
    """A piece of an arm between two joints: its ends (mm), stiffness in pull (N) and bending (N mm2), the moments that
    its ends bear, which of them have become hinges, and what it feels."""

    joints: tuple[int, int]
    ends: Vector
    stretch: float
    bend: float
    strength: tuple[float, float]

    def __post_init__(self) -> None:
        self.hinged = [False, False]
        self.felt = np.zeros(6)

    def stiffness(self) -> Vector:
        """Force and moment at either end per movement and turn, in the plane."""
        along = self.ends[1] - self.ends[0]
        length = float(np.hypot(*along))
        c, s = along / length
        ea, ei = self.stretch / length, self.bend
        k = np.zeros((6, 6))
        k[np.ix_((0, 3), (0, 3))] = ea * np.array([[1.0, -1.0], [-1.0, 1.0]])
        four = np.array(
            [
                [12.0, 6.0 * length, -12.0, 6.0 * length],
                [6.0 * length, 4.0 * length**2, -6.0 * length, 2.0 * length**2],
                [-12.0, -6.0 * length, 12.0, -6.0 * length],
                [6.0 * length, 2.0 * length**2, -6.0 * length, 4.0 * length**2],
            ]
        )
        k[np.ix_((1, 2, 4, 5), (1, 2, 4, 5))] = ei / length**3 * four
        for end, hinged in zip((2, 5), self.hinged, strict=True):
            if hinged and k[end, end] > 1e-9 * ei / length:
                k = k - np.outer(k[:, end], k[end]) / k[end, end]
        turn = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
        both = np.kron(np.eye(2), turn)
        return np.asarray(both.T @ k @ both)


def _frame(inputs: Inputs, hit: int, share: float) -> tuple[list[_Piece], Vector]:
    """The vee with one arm hit at a share of its length from the foot: its pieces, and the blow's direction.

    Joints: 0 the shaft line; 1, 2, 3 the foot of the arm that is hit, where it is hit, its end on the barrel; 4, 5 the
    other arm's foot and end. The barrel is a thousand times as stiff as the arms.
    """
    beams = load_paths.paths(inputs).beams
    y, e = inputs.strut.yield_mpa, inputs.strut.modulus_mpa
    pieces = []
    for k, beam in enumerate(beams):
        assert abs(beam.along[0]) < 1e-9  # the arms lie square to the shaft
        along, cut = np.array(beam.along[1:]), beam.sections[arm_beams.STATIONS.index(0.5)]
        stretch, bend = e * float(cut.area_mm2), e * float(cut.ixx_mm4)
        stations = [float(s) for s in beam.stations_mm]
        low, high = stations[0], stations[-1]
        at = high - share * (high - low)
        places, names = ([high, at, low], [1, 2, 3]) if k == hit else ([high, low], [4, 5])
        bears = np.interp(places, stations, [y * float(s.zxx_mm3) for s in beam.sections])
        for n in range(len(places) - 1):
            ends = np.outer(places[n : n + 2], along)
            pieces.append(_Piece((names[n], names[n + 1]), ends, stretch, bend, (bears[n], bears[n + 1])))
        ends = np.outer([low, 0.0], along)
        pieces.append(_Piece((names[-1], 0), ends, 1e3 * stretch, 1e3 * bend, (np.inf, np.inf)))
    return pieces, np.array(beams[hit].across[1:])


_FREE = [3 * j + d for j in (0, 2, 3, 5) for d in range(3)]


def _bent(inputs: Inputs, hit: int, share: float) -> list[list[Vector]]:
    """What each piece feels at its ends as each hinge forms, to the mechanism."""
    pieces, across = _frame(inputs, hit, share)
    places = [[3 * j + d for j in p.joints for d in range(3)] for p in pieces]
    stages: list[list[Vector]] = []
    while True:
        whole, load = np.zeros((18, 18)), np.zeros(18)
        for p, at in zip(pieces, places, strict=True):
            whole[np.ix_(at, at)] += p.stiffness()
        load[6:8] = across
        free = whole[np.ix_(_FREE, _FREE)]
        scale = 1.0 / np.sqrt(np.maximum(np.diag(free), 1e-9))
        even = free * np.outer(scale, scale)
        if np.linalg.eigvalsh(even)[0] < 1e-9:
            return stages
        moved = np.zeros(18)
        moved[_FREE] = scale * np.linalg.solve(even, scale * load[_FREE])
        per = [p.stiffness() @ moved[at] for p, at in zip(pieces, places, strict=True)]
        rooms = [
            ((np.copysign(p.strength[k], q[3 * k + 2]) - p.felt[3 * k + 2]) / q[3 * k + 2], n, k)
            for n, (p, q) in enumerate(zip(pieces, per, strict=True))
            for k in (0, 1)
            if not p.hinged[k] and abs(q[3 * k + 2]) > 1e-6
        ]
        more, n, k = min(rooms)
        for p, q in zip(pieces, per, strict=True):
            p.felt = p.felt + more * q
        pieces[n].hinged[k] = True
        stages.append([p.felt for p in pieces])


def _on_the_way(inputs: Inputs, hit: int, share: float) -> list[tuple[list[Six], list[Six]]]:
    """The load on the root of each arm, in its axes, as its foot and as its end on the barrel feel it, as each hinge
    forms."""
    beams, made = load_paths.paths(inputs).beams, list[tuple[list[Six], list[Six]]]()
    for stage in _bent(inputs, hit, share):
        one, two = (stage[i] for i in ((0, 1) if hit == 0 else (2, 3)))
        other = stage[3 if hit == 0 else 0]
        felt = [(-one[:3], two[3:]), (-other[:3], other[3:])][:: 1 if hit == 0 else -1]
        both = [[_at_root(b, s, f[n]) for b, f in zip(beams, felt, strict=True)] for n, s in ((0, -1), (1, 0))]
        made.append((both[0], both[1]))
    return made


def _at_root(beam: Beam, station: int, felt: Vector) -> Six:
    """The load on an arm's root that a station of it feels so: force in the plane, and moment."""
    across, along = (float(felt[:2] @ np.array(way[1:])) for way in (beam.across, beam.along))
    return 0.0, across, along, float(felt[2] - beam.stations_mm[station] * across), 0.0, 0.0


def _on_palms(inputs: Inputs, loads: list[Six]) -> list[Six]:
    """What loads on the arms' roots are to each palm at its zero, in its axes."""
    found = load_paths.paths(inputs)
    made = []
    for k, palm in enumerate(inputs.palms):
        axes = np.array([palm.u, palm.v, palm.normal], dtype=float)
        force, moment = np.zeros(3), np.zeros(3)
        for beam, load in zip(found.beams, loads, strict=True):
            if beam.arm.palm_index == k:
                own = np.array([beam.chord, beam.across, beam.along], dtype=float)
                force, moment = force + np.array(load[:3]) @ own, moment + np.array(load[3:]) @ own
        lever = np.array([found.root_x_mm, 0.0, 0.0]) - np.array(palm.zero_mm, dtype=float)
        made.append((*(axes @ force), *(axes @ (moment + np.cross(lever, force)))))
    return made


VEES: list[tuple[str, dict[str, Any], dict[str, Any]]] = [
    ("pilot-vee", {}, {}),
    ("patrol-vee-pair", {}, {}),
    ("workboat-common-vee", {}, {}),
    ("pilot-vee", {"included_angle": "75 deg"}, {"thickness_at_palm": 38}),
    ("work-launch-vee", {"included_angle": "84 deg"}, {"thickness_at_palm": 26}),
    ("patrol-vee-pair", {"included_angle": "45 deg"}, {}),
    ("workboat-common-vee", {"included_angle": "100 deg"}, {"thickness": 24, "thickness_at_palm": 20}),
]


def _vee(name: str, arms: dict[str, Any], section: dict[str, Any]) -> Inputs:
    text = yaml.safe_load(shipped()[name].read_text(encoding="utf-8"))
    text["arms"] |= arms
    text["arms"]["section"] |= section
    return Inputs.from_strut(resolve(loads(yaml.safe_dump(text))).strut)


@pytest.mark.parametrize(("name", "arms", "section"), every(VEES, 3))
def test_a_blow_anywhere_brings_no_joint_more_than_it_is_held_to(
    name: str, arms: dict[str, Any], section: dict[str, Any]
) -> None:
    one = _vee(name, arms, section)
    size, nearest = float(blows.hinges(one).side), one.limit("blow_from_end")
    of_palm = (palm_bed.tension_n, palm_bed.bending_n, palm_bed.pressure_mpa)
    held = [[size * float(r("side", None)) for r in bolt_forces.replies(one, m)] for m in of_palm]
    sheared = [size * float(r("side", None)) for r in bolt_forces.shear_replies(one)]
    beams = load_paths.paths(one).beams
    ways = [unit_loads.arm_ways(one, k, "barrel")[0] for k in (0, 1)]
    at_barrel = [
        size * max(float(arms_check.station_stress(beam, 0, way[w])) for w in blows.BLOWS)
        for beam, way in zip(beams, ways, strict=True)
    ]
    used: dict[str, float] = {}

    def use(what: str, share: float) -> None:
        used[what] = max(used.get(what, 0.0), share)

    for hit, share in itertools.product((0, 1), np.linspace(nearest, 1.0 - nearest, 9)):
        for at_foot, at_end in _on_the_way(one, hit, float(share)):
            on_palms = list(zip(halves.unlike_palms(one), _on_palms(one, at_foot), strict=False))
            for k, load in on_palms:
                hold = bolt_forces.holds(one)[k]
                for m, bounds in zip(of_palm, held, strict=True):
                    for pressed in palm_bed.both_ways(hold, load):
                        use(m.__name__, float(m(hold, pressed)) / bounds[k])
                use("shear", float(bolts.shear_n(bolt_forces.groups(one)[k], load)) / sheared[k])
            for k, load in enumerate(at_end):
                use("barrel", float(arms_check.station_stress(beams[k], 0, load)) / at_barrel[k])
    assert max(used.values()) < 1.02, used
    # on palms it is what comes, no more; one palm under both arms bears the blow whole
    assert min(used[m.__name__] for m in of_palm) > 0.98, used
    assert used["shear"] > 0.9, used
