"""Random struts and bodies beside the boat: the least distances against a general mesh library, and laws.

trimesh measures points on one body to the triangles of the other: that can only say too much, by less than the spacing
of the points, and by what a polygon of 60 sides lies inside its circle.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from property.strategies import struts
from support import THOROUGH, long_run

from strutwright.models.checks.geometry import clearances
from strutwright.models.checks.results import Results
from strutwright.models.finding import WARNS
from strutwright.models.frames import unit
from strutwright.models.geometry import bodies
from strutwright.models.geometry.clearances import Body, Hull, Round, gap_mm, least_gap_mm
from strutwright.models.resolve import resolve
from strutwright.models.sizing.benchmark import Scattered, _middle_of
from strutwright.models.sizing.candidates import candidates
from strutwright.models.spec import Strut, mirrored
from strutwright.models.struts import Struts
from strutwright.params import limits
from strutwright.params.loader import load, shipped

FEW = settings(max_examples=40, deadline=None)
STEP_MM = 2.0
SIDES = 60
ROUND_SHARE = 1 - math.cos(math.pi / SIDES)


def _mesh(body: Body, count: int) -> trimesh.Trimesh:
    points = body.sides(count).points if isinstance(body, Round) else body.points
    return trimesh.convex.convex_hull(points)


def _by_trimesh(one: Body, two: Body) -> float:
    """Least distance (mm) of points on one mesh to the other's triangles, both ways.

    The points are taken ever nearer about the best one, so that it says too much by no more than about STEP_MM.
    """
    best = math.inf
    first, second = _mesh(one, SIDES), _mesh(two, SIDES)
    for mesh, other in ((first, second), (second, first)):
        corners = mesh.triangles
        for _ in range(9):
            points, back = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
            apart = trimesh.proximity.closest_point(other, points)[1][back.reshape(-1)].reshape(-1, 3)
            best = min(best, float(apart.min()))
            size = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
            # Nothing of a triangle is nearer than its corners less its size.
            keep = (apart.min(axis=1) - size < best) & (size > STEP_MM)
            if not keep.any():
                break
            order = np.argsort(apart[keep].min(axis=1))[:60]
            a, b, c = np.moveaxis(corners[keep][order], 1, 0)
            corners = np.concatenate(
                [
                    np.stack(t, axis=1)
                    for t in (
                        (a, (a + b) / 2, (a + c) / 2),
                        (b, (b + c) / 2, (a + b) / 2),
                        (c, (a + c) / 2, (b + c) / 2),
                        ((a + b) / 2, (b + c) / 2, (a + c) / 2),
                    )
                ]
            )
    return best


@settings(FEW, max_examples=40 if THOROUGH else 4)
@given(st.integers(0, 10**6))
def test_hulls_against_a_mesh_library(seed: int) -> None:
    """Random hulls of points, cylinders and barrels: never more than the mesh's distance, and near it."""
    rng = np.random.default_rng(seed)
    one: Body = Hull(rng.normal(size=(30, 3)) * rng.uniform(10, 60, 3))
    axis = unit(rng.normal(size=3))
    two: Body = Round(
        rng.normal(size=3) * 150,
        axis,
        np.array([0.0, 20.0, 80.0, 100.0]),
        np.array([20.0, 30.0, 30.0, 15.0]) * rng.uniform(0.3, 2),
    )
    got = gap_mm(one, two)
    if got > 0:
        want = _by_trimesh(one, two)
        assert got <= want + 1e-6
        assert got == pytest.approx(want, abs=STEP_MM + ROUND_SHARE * 60)


def _with_boat(s: Strut) -> Strut:
    d = s.shaft.diameter_mm
    return replace(s, propeller=replace(s.propeller, diameter_mm=10 * d, hub_length_mm=1.8 * d, hub_gap_mm=0.4 * d))


@long_run
@settings(FEW, max_examples=8)
@given(struts(), st.integers(0, 10**6))
def test_random_struts_against_a_mesh_library(s: Strut, pick: int) -> None:
    """Shaft, blades, stock or tool beside one of the bodies of a random strut, by trimesh too."""
    s = _with_boat(s)
    swept = bodies.blades_body(s, s.propeller)
    assert swept is not None
    rods: list[Round] = [
        swept,
        bodies.shaft_bodies(s, 2000.0)[0],
        bodies.bolt_tool(s.palms[0], s.palms[0].holes[0], 60.0),
    ]
    if s.skeg is not None and s.skeg.heel is not None:
        rods += bodies.stock_bodies(s, s.skeg.heel)[:1]
    held = [body for part in bodies.strut_parts(s) for body in part.bodies]
    rod, body = rods[pick % len(rods)], held[pick // 7 % len(held)]
    got = gap_mm(rod, body)
    if got > 0:
        want = _by_trimesh(rod, body)
        assert got <= want + 1e-6
        assert got == pytest.approx(want, abs=STEP_MM + ROUND_SHARE * (float(rod.radii.max()) + 150))


@settings(FEW, max_examples=8)
@given(struts())
def test_both_hands_have_the_same_clearances(s: Strut) -> None:
    s = _with_boat(s)
    rows = limits.standard()
    told = []
    for one in (s, mirrored(s)):
        bench = Results(Struts.of(one), rows)
        clearances.check(bench)
        told.append([(f.code, f.verdict, round(f.actual, 2)) for f in bench.findings])
    assert [c for c, *_ in told[0]] == [c for c, *_ in told[1]]
    for one_, other in zip(*told, strict=True):
        assert one_[2] == pytest.approx(other[2], abs=0.1, nan_ok=True)


@settings(FEW, max_examples=8)
@given(struts(), st.floats(1, 40))
def test_a_thicker_stock_never_has_more_room(s: Strut, more: float) -> None:
    if s.skeg is None or s.skeg.heel is None:
        return
    gaps = []
    for extra in (0.0, more):
        heel = replace(s.skeg.heel, stock_mm=s.skeg.heel.stock_mm + extra)
        palms = [b for p in s.palms for b in bodies.palm_bodies(p)]
        gaps.append(least_gap_mm(bodies.stock_bodies(s, heel), palms))
    assert gaps[1] <= gaps[0] + 0.02


@settings(FEW, max_examples=5)
@given(st.sampled_from(["harbour-launch", "coaster-steel", "pilot-vee", "canal-tender"]), st.integers(0, 10**4))
def test_what_bounds_tell_of_many_the_bodies_tell_of_each(name: str, start: int) -> None:
    loaded = load(shipped()[name])
    resolved = resolve(loaded)
    spread = Scattered(_middle_of(resolved), start + 10)
    made = candidates(loaded, resolved, spread.at(np.arange(start, start + 10)))
    out = Results(made, limits.standard(), tells=False, roll=False)
    for way in clearances.WAYS:
        if not way.there(made.own) or way.lacking(made.strut) or not way.moved:
            continue
        with np.errstate(all="ignore"):
            level, unknown = clearances._by_bound(out, way)
        for n in np.flatnonzero(made.buildable & ~unknown).tolist():
            strut = made.one(n)
            if strut is not None:
                assert clearances._measured(out, strut, [way])[way.check.code] == level[n], (way.check.code, n)


def test_blade_tips_too_near_to_the_palm_need_no_bodies() -> None:
    loaded = load(shipped()["harbour-launch"])
    resolved = resolve(loaded)
    made = candidates(loaded, resolved, Scattered(_middle_of(resolved), 200).at(np.arange(200)))
    way = clearances.way_of(clearances.TIPS)
    level, unknown = clearances._by_bound(Results(made, limits.standard(), tells=False, roll=False), way)
    assert np.count_nonzero(unknown) < 10
    assert np.count_nonzero(level == WARNS) > 50
