"""Two arms on a hull that gives under each: against beam elements of the test's own on springs, and what follows."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from support import THOROUGH

from strutwright.models import hull_stiffness
from strutwright.models.checks.strength import arms, bolt_forces, load_paths
from strutwright.models.formulas import palm_bed
from strutwright.models.hull_stiffness import PalmSprings, palm_springs
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.params.loader import load, shipped

Floats = NDArray[np.float64]
_FRAMES = 400 if THOROUGH else 25
_RANGES = 40 if THOROUGH else 4


@cache
def base(name: str) -> Inputs:
    return Inputs.from_strut(resolve(load(shipped()[name])).strut)


def log(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(np.log10(low), np.log10(high)).map(lambda x: float(10.0**x))


@st.composite
def vees(draw: st.DrawFn) -> Inputs:
    """A vee of any two even arms on any hull that was measured, over what a file may say."""
    one = base(draw(st.sampled_from(("pilot-vee", "patrol-vee-pair"))))
    clocks = draw(st.floats(8.0, 85.0)), -draw(st.floats(8.0, 85.0))
    made = []
    for arm, clock in zip(sorted(one.arms, key=lambda a: -a.clock_deg), clocks, strict=True):
        chord, start = draw(log(20.0, 800.0)), draw(st.floats(10.0, 200.0))
        thick = chord * draw(st.floats(0.1, 1.0))
        end = start + draw(log(50.0, 3000.0))
        made.append(
            replace(
                arm,
                clock_deg=clock,
                rake_deg=draw(st.floats(-20.0, 20.0)),
                toe_deg=draw(st.floats(-10.0, 10.0)),
                shape="ellipse",
                chord_barrel_mm=chord,
                chord_palm_mm=chord,
                thickness_barrel_mm=thick,
                thickness_palm_mm=thick,
                start_mm=start,
                water_mm=end,
                end_mm=end,
            )
        )
    springs = draw(log(1.0, 1e9)), draw(log(1e3, 1e15)), draw(log(1e3, 1e15))
    return replace(one, arms=tuple(made), hull_plate=replace(one.hull_plate, springs=springs))


def turning(arm: Floats) -> Floats:
    """From a rigid body's movement and turn at a point to those at one that lies `arm` from it."""
    out = np.eye(6)
    x, y, z = arm
    out[:3, 3:] = [[0.0, z, -y], [-z, 0.0, x], [y, -x, 0.0]]
    return out


def element(one: Inputs, k: int, found: load_paths.Paths) -> tuple[Floats, Floats, Floats]:
    """Stiffness (12, 12) of an arm as one beam with shear, strut frame, and its ends from the arms' root."""
    arm, cut = one.arms[k], found.beams[k].sections[0]
    along = np.array([float(v) for v in arm.direction])
    pitch = np.radians(one.pitch_deg)
    ahead = np.array([np.cos(pitch), 0.0, -np.sin(pitch)]) if arm.along_flow else np.array([1.0, 0.0, 0.0])
    chord = ahead - (ahead @ along) * along
    chord /= np.linalg.norm(chord)
    toe = np.radians(arm.toe_deg)
    chord = np.cos(toe) * chord + np.sin(toe) * np.cross(along, chord)
    turn = np.kron(np.eye(4), np.array([along, chord, np.cross(along, chord)]))
    e, g = float(one.strut.modulus_mpa), float(one.strut.shear_mpa)
    span, area = float(arm.end_mm - arm.start_mm), float(cut.area_mm2)
    stiff = np.zeros((12, 12))

    def both(i: int, k_: float) -> None:
        stiff[np.ix_((i, i + 6), (i, i + 6))] += k_ * np.array([[1.0, -1.0], [-1.0, 1.0]])

    both(0, e * area / span)
    both(3, g * float(cut.j_mm4) / span)
    for move, rotate, sign, inertia, share in (
        (1, 5, 1.0, cut.iyy_mm4, cut.shear_factor_along),
        (2, 4, -1.0, cut.ixx_mm4, cut.shear_factor_across),
    ):
        ei = e * float(inertia)
        soft = 12.0 * ei / (g * area * float(share) * span**2)
        a, b, c, d = 12.0, 6.0 * span, (4.0 + soft) * span**2, (2.0 - soft) * span**2
        at = (move, rotate, move + 6, rotate + 6)
        part = np.array([[a, b, -a, b], [b, c, -b, d], [-a, -b, a, -b], [b, d, -b, c]])
        signs = np.array([1.0, sign, 1.0, sign])
        stiff[np.ix_(at, at)] += ei / span**3 / (1.0 + soft) * part * np.outer(signs, signs)
    return turn.T @ stiff @ turn, float(arm.start_mm) * along, float(arm.end_mm) * along


def framed(one: Inputs, found: load_paths.Paths, load: Floats) -> tuple[Floats, list[Floats]]:
    """Movement of the barrel at the arms' root and the load on each palm, in its axes at its zero, by elements."""
    root, whole, kept = np.array([float(found.root_x_mm), 0.0, 0.0]), np.zeros((12, 12)), []
    assert one.hull_plate.springs is not None
    for k, arm in enumerate(one.arms):
        palm = one.palms[arm.palm_index]
        u, v, n, zero = (np.array([float(x) for x in w]) for w in (palm.u, palm.v, palm.normal, palm.zero_mm))
        middle = zero + float(palm.centroid_u_mm) * u + float(palm.centroid_v_mm) * v
        stiff, low, high = element(one, k, found)
        moves = np.zeros((6, 3))
        moves[:3, 0], moves[3:, 1], moves[3:, 2] = n, v, u
        both = np.zeros((12, 12))
        both[:6, :6] = turning(low)
        own = slice(6 + 3 * k, 9 + 3 * k)
        both[6:, own] = turning(root + high - middle) @ moves
        whole += both.T @ stiff @ both
        whole[own, own] += np.diag(one.hull_plate.springs)
        kept.append((stiff @ both, root + high - zero, np.array([u, v, n])))
    scale = 1.0 / np.sqrt(np.diag(whole))
    moved = scale * np.linalg.solve(whole * np.outer(scale, scale), scale * np.append(load, np.zeros(6)))
    out = []
    for forces, arm_mm, axes in kept:
        f = -(forces @ moved)[6:]
        out.append(np.concatenate([axes @ f[:3], axes @ (f[3:] + np.cross(arm_mm, f[:3]))]))
    return moved[:6], out


@settings(max_examples=_FRAMES, deadline=None)
@given(one=vees())
def test_shares_of_two_arms_against_elements_on_springs(one: Inputs) -> None:
    found = load_paths.paths(one, "low")
    reach = max(float(a.end_mm) for a in one.arms)
    for way in ("propeller_y", "propeller_z", "axial", "couple"):
        force, moment = (np.array([float(v) for v in part]) for part in found.loads[way])
        moved, loads = framed(one, found, np.concatenate([force, moment]))
        mine = np.array([float(v) for v in found.motion(way)])
        assert np.abs(mine - moved).max() <= 1e-4 * np.abs(moved).max() + 1e-18
        for k, arm in enumerate(one.arms):
            load = load_paths.palm_load(one, found, way, arm.palm_index)
            told, wanted = np.array([float(v) for v in load]), loads[k]
            for part in (slice(0, 3), slice(3, 6)):
                most = np.abs(np.concatenate([w[part] for w in loads])).max()
                floor = (np.linalg.norm(force) + np.linalg.norm(moment) / reach) * (1.0 if part.start == 0 else reach)
                assert np.abs(told[part] - wanted[part]).max() <= 1e-4 * most + 1e-5 * floor


@settings(max_examples=_FRAMES, deadline=None)
@given(one=vees())
def test_a_hull_without_give_is_a_rigid_one(one: Inputs) -> None:
    hard = replace(one, hull_plate=replace(one.hull_plate, springs=(1e15, 1e21, 1e21)))
    found, rigid = load_paths.paths(hard, "low"), load_paths.paths(one, "rigid")
    for way, loads in rigid.arm_loads.items():
        told, wanted = (np.array(x, dtype=float) for x in (found.arm_loads[way], loads))
        for part in (slice(0, 3), slice(3, 6)):
            assert np.abs(told - wanted)[:, part].max() <= 1e-5 * np.abs(wanted[:, part]).max() + 1e-9


def _between(one: Inputs, shares: list[float]) -> list[PalmSprings]:
    """Springs of each palm at a place between the soft and the stiff end."""
    out = []
    for palm, share in enumerate(shares):
        ends = palm_springs(one, palm)
        parts = ("normal_n_mm", "tilt_u_nmm", "tilt_v_nmm")
        out.append(PalmSprings(*(getattr(ends.low, p) ** (1 - share) * getattr(ends.high, p) ** share for p in parts)))
    return out


@settings(max_examples=_RANGES, deadline=None)
@given(
    name=st.sampled_from(("pilot-vee", "patrol-vee-pair")),
    shares=st.lists(st.floats(0.0, 1.0), min_size=2, max_size=2),
    modulus=st.floats(3e3, 2e5),
    hull_mm=st.floats(6.0, 60.0),
)
def test_strength_takes_the_worst_that_the_hull_may_be(
    name: str, shares: list[float], modulus: float, hull_mm: float
) -> None:
    one = replace(base(name), hull_mm=hull_mm)
    one = replace(one, hull_plate=replace(one.hull_plate, modulus_mpa=modulus))
    own = tuple(hull_stiffness.HullRange(s, s) for s in _between(one, shares))

    def replies(inputs: Inputs) -> list[Any]:
        return [arms.unit_stress(inputs), *bolt_forces.replies(inputs, palm_bed.tension_n)]

    loads = ("propeller", "axial", "couple")
    told = [float(reply(load_, None)) for reply in replies(one) for load_ in loads]
    known, hull_stiffness.all_springs = hull_stiffness.all_springs, lambda _: own  # type: ignore[assignment]
    try:
        wanted = [float(reply(load_, None)) for reply in replies(replace(one)) for load_ in loads]
    finally:
        hull_stiffness.all_springs = known
    assert all(have >= 0.98 * real for have, real in zip(told, wanted, strict=True))
