"""Laws of a hull that gives, over the whole range that a file may say."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import assume, given, settings
from support import STRUTS, THOROUGH

from strutwright.models import frequencies
from strutwright.models.formulas.plate_core import Plate
from strutwright.models.formulas.round_core import Ring, round_core
from strutwright.models.hull_stiffness import palm_springs
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.spec_boat import HullPlate
from strutwright.params.loader import load, shipped
from tests.plates import table

_ERR = 1.03
"""How far the table may turn a law about where two plates hardly differ: what it, drawn between places, misses."""
lengths = st.floats(30.0, 2000.0)
more = st.floats(1.1, 3.0)


@cache
def inputs(name: str) -> Inputs:
    return Inputs.from_strut(resolve(load(shipped()[name])).strut)


@st.composite
def plates(draw: st.DrawFn) -> Plate:
    core = draw(lengths), draw(lengths)
    gaps = draw(st.floats(20.0, 800.0)), draw(st.floats(20.0, 800.0))
    d = draw(st.floats(1e5, 1e9))
    # From solid plates to cores that give by shear alone, but for those beyond the table once the core grows.
    softest = 1e8 if max(gaps) < 4.0 * min(gaps) else max(2.0, 0.3 * min(gaps) ** 2)
    return Plate(
        along_mm=core[0] + 2 * gaps[0],
        across_mm=core[1] + 2 * gaps[1],
        core_along_mm=core[0],
        core_across_mm=core[1],
        bending_along_nmm=d,
        bending_across_nmm=d,
        shear_n_mm=d / 10.0 ** draw(st.floats(0.0, float(np.log10(softest)))),
    )


def three(plate: Plate, clamped: bool) -> np.ndarray[Any, Any]:
    return table.interpolated(plate, clamped)


@settings(max_examples=100 if THOROUGH else 20, deadline=None)
@given(plate=plates(), clamped=st.booleans(), k=more)
def test_a_plate_grows_stiffer_with_all_that_should_make_it_so(plate: Plate, clamped: bool, k: float) -> None:
    found = three(plate, clamped)
    assert (found > 0).all()
    assert (three(plate, False) <= _ERR * three(plate, True)).all()
    bent = replace(plate, bending_along_nmm=k * plate.bending_along_nmm)
    bent = replace(bent, bending_across_nmm=bent.bending_along_nmm)
    assert (three(bent, clamped) >= found / _ERR).all()
    assert (three(replace(plate, shear_n_mm=k * plate.shear_n_mm), clamped) >= found / _ERR).all()
    narrow = min(plate.along_mm - plate.core_along_mm, plate.across_mm - plate.core_across_mm) / 2.0
    grown = replace(plate, core_along_mm=plate.core_along_mm + narrow, core_across_mm=plate.core_across_mm + narrow)
    assert (three(grown, clamped) >= found / _ERR).all()
    wide = replace(plate, along_mm=k * plate.along_mm, across_mm=k * plate.across_mm)
    # On soft cores a supported edge that is near, and turns with the plate, holds a tilt less than what lies beyond it.
    firm = clamped or plate.bending_across_nmm <= 0.3 * narrow**2 * plate.shear_n_mm
    assert (three(wide, clamped) <= _ERR * found)[: 3 if firm else 1].all()


@settings(max_examples=60 if THOROUGH else 12, deadline=None)
@given(plate=plates(), clamped=st.booleans(), s=st.floats(0.1, 10.0))
def test_a_plate_of_another_size_and_turned_by_a_quarter(plate: Plate, clamped: bool, s: float) -> None:
    """Push goes with D / L2, tilts with D; along and across change places."""
    sizes = ("along_mm", "across_mm", "core_along_mm", "core_across_mm")
    large = replace(plate, **{n: s * getattr(plate, n) for n in sizes}, shear_n_mm=plate.shear_n_mm / s**2)
    assert three(large, clamped) * np.array([s * s, 1.0, 1.0]) == pytest.approx(three(plate, clamped), rel=1e-9)
    turned = replace(
        plate,
        along_mm=plate.across_mm,
        across_mm=plate.along_mm,
        core_along_mm=plate.core_across_mm,
        core_across_mm=plate.core_along_mm,
    )
    assert three(turned, clamped)[[0, 2, 1]] == pytest.approx(three(plate, clamped), rel=1e-9)


@settings(max_examples=100 if THOROUGH else 20, deadline=None)
@given(
    core=st.floats(20.0, 400.0),
    ring=st.floats(1.01, 2.0),
    rest=st.floats(1.05, 4.0),
    give=st.floats(1.0, 1e5),
    k=more,
    clamped=st.booleans(),
)
def test_a_ring_round_the_core_makes_it_stiffer(
    core: float, ring: float, rest: float, give: float, k: float, clamped: bool
) -> None:
    d = 1e7
    outer = Ring(core * ring * rest, d, d / give)
    plain = round_core(core, [outer], clamped)
    backed = round_core(core, [Ring(core * ring, k * d, k * d / give), outer], clamped)
    bends = round_core(core, [Ring(core * ring * rest, d, 1e6 * d)], clamped)
    for name in ("push_n_mm", "tilt_nmm"):
        one, two, thin = (float(getattr(r, name)) for r in (plain, backed, bends))
        assert one * (1 - 1e-9) <= two <= k * one * (1 + 1e-9)
        assert one <= thin * (1 + 1e-3)


_moduli = st.one_of(st.none(), st.floats(200.0, 2e5))
_clear = st.one_of(st.none(), st.floats(100.0, 3000.0))


@st.composite
def hulls(draw: st.DrawFn) -> HullPlate:
    core = draw(st.booleans())
    return HullPlate(
        modulus_mpa=draw(_moduli),
        planks_along=draw(st.booleans()),
        panel_along_mm=draw(_clear),
        panel_across_mm=draw(_clear),
        skin_mm=draw(st.floats(0.5, 2.0)) if core else None,
        core_shear_mpa=draw(st.floats(5.0, 500.0)),
        solid_beyond_mm=draw(st.floats(0.0, 200.0)),
        backing_mm=draw(st.one_of(st.none(), st.floats(2.0, 40.0))),
        backing_beyond_mm=draw(st.one_of(st.none(), st.floats(0.0, 200.0))),
        backing_bonded=draw(st.booleans()),
    )


@settings(max_examples=100 if THOROUGH else 15, deadline=None)
@given(name=st.sampled_from(STRUTS), plate=hulls(), hull_mm=st.floats(6.0, 200.0), k=more)
def test_a_softer_hull_never_raises_a_frequency(name: str, plate: HullPlate, hull_mm: float, k: float) -> None:
    one = replace(inputs(name), hull_plate=plate, hull_mm=hull_mm)
    found = palm_springs(one)
    softer, stiffer = found.low, found.high
    for low, high in zip(
        (softer.normal_n_mm, softer.tilt_u_nmm, softer.tilt_v_nmm),
        (stiffer.normal_n_mm, stiffer.tilt_u_nmm, stiffer.tilt_v_nmm),
        strict=True,
    ):
        assert 0.0 < low <= high
    springs = float(softer.normal_n_mm), float(softer.tilt_u_nmm), float(softer.tilt_v_nmm)
    hz = []
    for factor in (1.0, k, 1e9):
        measured = replace(one, hull_plate=replace(plate, springs=tuple(factor * s for s in springs)))
        hz.append([float(v) for v in frequencies.strut_frequencies_hz(measured, "low") if v == v])
        hz[-1].append(float(frequencies.bowing_hz(measured, "low")))
    for soft, stiff in ((hz[0], hz[1]), (hz[1], hz[2])):
        assert all(a <= b * (1 + 1e-9) for a, b in zip(soft, stiff, strict=True))
    rigid = [float(v) for v in frequencies.strut_frequencies_hz(one, "rigid") if v == v]
    assert hz[2][: len(rigid)] == pytest.approx(rigid, rel=1e-3)


@settings(max_examples=60 if THOROUGH else 12, deadline=None)
@given(name=st.sampled_from(STRUTS), plate=hulls(), hull_mm=st.floats(6.0, 150.0), k=st.floats(1.15, 2.0))
def test_a_thicker_hull_and_a_larger_palm_are_stiffer(name: str, plate: HullPlate, hull_mm: float, k: float) -> None:
    one = replace(inputs(name), hull_plate=plate, hull_mm=hull_mm)
    assume(plate.skin_mm is None or hull_mm > 6.0)
    thick = replace(one, hull_mm=k * hull_mm)
    for end in ("low", "high"):
        soft, stiff = (getattr(palm_springs(i), end) for i in (one, thick))
        for part in ("normal_n_mm", "tilt_u_nmm", "tilt_v_nmm"):
            assert getattr(stiff, part) >= getattr(soft, part) / _ERR


@pytest.mark.parametrize("bonded", [False, True])
def test_a_backing_plate_from_stiffener_to_stiffener_and_a_thicker_hull(bonded: bool) -> None:
    """As one plate reaches everywhere, its bending on top of the hull's is a bound that rises with the hull."""
    plate = HullPlate(backing_beyond_mm=110.0, backing_bonded=bonded)
    hulls_mm = [2.0 * 2.0**n for n in range(7)]
    made = [palm_springs(replace(inputs("harbour-launch"), hull_plate=plate, hull_mm=t)).high for t in hulls_mm]
    for part in ("normal_n_mm", "tilt_u_nmm", "tilt_v_nmm"):
        rising = [float(getattr(springs, part)) for springs in made]
        assert rising == sorted(rising), part


@settings(max_examples=40 if THOROUGH else 3, deadline=None)
@given(name=st.sampled_from(STRUTS), plate=hulls(), data=st.data())
def test_many_struts_at_once_are_each_as_alone(name: str, plate: HullPlate, data: st.DataObject) -> None:
    base = replace(inputs(name), hull_plate=plate)
    palm = base.palms[0]
    k = np.array(data.draw(st.lists(st.floats(0.7, 1.4), min_size=4, max_size=4)))
    hull = 12.0 * np.array(data.draw(st.lists(st.floats(0.7, 3.0), min_size=4, max_size=4)))

    def of(scale: Any, thick: Any) -> Inputs:
        own = replace(
            palm, aft_mm=scale * palm.aft_mm, forward_mm=scale * palm.forward_mm, area_mm2=scale * palm.area_mm2
        )
        return replace(base, palms=(own, *base.palms[1:]), hull_mm=thick)

    many = palm_springs(of(k, hull))
    for n in range(4):
        alone = palm_springs(of(float(k[n]), float(hull[n])))
        for end in ("low", "high"):
            for part in ("normal_n_mm", "tilt_u_nmm", "tilt_v_nmm"):
                one, other = getattr(getattr(many, end), part), getattr(getattr(alone, end), part)
                assert np.broadcast_to(one, (4,))[n] == pytest.approx(other, rel=1e-9)
