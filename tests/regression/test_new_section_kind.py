"""A kind of section that is given by its curve alone, of an arm or the fin, is sized, checked, built and drawn like the
kinds there are.

The kind here is a superellipse, |x/a|^n + |y/b|^n = 1. Sources of the figures: its area, with the gamma function G
4 a b G(1 + 1/n)^2 / G(1 + 2/n), is textbook mathematics; second moments are scipy's quadrature of the curve.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import get_args

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import integrate, special
from support import example_strut

from strutwright.exporters.files import pattern_templates, patterns
from strutwright.exporters.files.cut_list import skeg_blank_mm
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.skeg import skeg_sheet
from strutwright.models import frames, weights
from strutwright.models.checks import geometry_checks
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.finding import Verdict
from strutwright.models.geometry import bodies
from strutwright.models.geometry.clearances import Hull
from strutwright.models.geometry.loops import Piece, closed_curve
from strutwright.models.geometry.members import arm_member, fitting_roots, root_room
from strutwright.models.inputs import Inputs
from strutwright.models.outline import OUTLINES, SIZES
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sections import (
    Section,
    SectionError,
    SectionKind,
    any_properties,
    boundary_points,
    forget,
    kind_names,
    kind_of,
    properties,
    register,
)
from strutwright.models.shop.arm_ends import arm_lengths
from strutwright.models.shop.foundry import foundry_settings
from strutwright.models.sizing.judge import Judge
from strutwright.models.solids import Built, kernel, outer_envelope
from strutwright.models.solids import arm as arms
from strutwright.models.solids import skeg as skegs
from strutwright.models.spec import Skeg, Strut
from strutwright.params import limits, schema
from strutwright.params.loader import Loaded, load, shipped
from strutwright.params.schema_flange import FlangeOutline

Floats = NDArray[np.float64]
N = 2.4


def curve(a: float, b: float, turn: Floats) -> Floats:
    """Points of the superellipse by their direction from its middle once it is drawn out to be as thick as long."""
    c, s = np.cos(turn), np.sin(turn)
    reach = (np.abs(c) ** N + np.abs(s) ** N) ** (-1.0 / N)
    return np.column_stack((a * c * reach, b * s * reach))


class Superellipse(SectionKind):
    """Its curve and nothing more."""

    name = "superellipse"
    about = "superellipse"
    parts = ("arm", "fin")

    def loop(self, section: Section) -> list[Piece]:
        """Return the curve."""
        return closed_curve(partial(curve, section.chord_mm / 2, section.thickness_mm / 2))


class Stretched(Superellipse):
    """The same, known to be one shape drawn out."""

    scales = True


@pytest.fixture(params=[Superellipse, Stretched])
def kind(request: pytest.FixtureRequest) -> Iterator[str]:
    register(request.param)
    yield Superellipse.name
    forget(Superellipse.name)


def with_kind(name: str) -> Loaded:
    """A shipped set with an elliptical arm, its section of the new kind; the file's own list does not know it."""
    loaded = load(shipped()["day-cruiser"])
    section = loaded.said.arms.section.model_copy(update={"shape": name})
    said = loaded.said.model_copy(update={"arms": loaded.said.arms.model_copy(update={"section": section})})
    return replace(loaded, said=said)


def strut_of(name: str) -> Strut:
    s = example_strut("single")
    arm = replace(s.arms[0], shape=name, chord_barrel_mm=90.0, barrel_root_mm=6.0, edge_radius_mm=0.0)
    return replace(s, arms=(arm,))


def test_its_properties_are_those_of_its_curve(kind: str) -> None:
    a, b = 60.0, 12.0
    found = properties(kind, 2 * a, 2 * b)
    area = 4 * a * b * special.gamma(1 + 1 / N) ** 2 / special.gamma(1 + 2 / N)
    assert found.area_mm2 == pytest.approx(area, rel=1e-5)

    def over(of: object) -> float:
        return float(4 * integrate.quad(of, 0.0, 1.0, epsrel=1e-10, limit=400)[0])

    def y(x: float) -> float:
        return float((1 - x**N) ** (1 / N))

    assert found.ixx_mm4 == pytest.approx(a * b**3 * over(lambda x: y(x) ** 3 / 3), rel=1e-5)
    assert found.iyy_mm4 == pytest.approx(b * a**3 * over(lambda x: x * x * y(x)), rel=1e-5)
    assert found.zxx_mm3 == pytest.approx(a * b**2 * over(lambda x: y(x) ** 2 / 2), rel=1e-5)
    assert found.zyy_mm3 == pytest.approx(b * a**2 * over(lambda x: x * y(x)), rel=1e-5)
    assert found.centroid_x_mm == pytest.approx(0.0, abs=1e-9)
    assert found.half_thickness_mm == pytest.approx(b)


def test_many_at_once_are_as_one_by_one(kind: str) -> None:
    chord, thickness = np.array([[60.0], [90.0]]), np.array([10.0, 12.0, 20.0])
    many, one = any_properties(kind, chord, thickness), properties(kind, 90.0, 12.0)
    for row, single in zip(many, one, strict=True):
        assert row.shape == (2, 3)
        assert row[1, 1] == pytest.approx(float(single), rel=1e-9)
    assert boundary_points(kind, chord, thickness, 40).shape == (2, 3, 40, 2)


def test_its_points_outline_and_girth_agree(kind: str) -> None:
    a, b = 65.0, 14.0
    points = boundary_points(kind, 2 * a, 2 * b, 40)
    assert (np.abs(points / (a, b)) ** N).sum(axis=1) == pytest.approx(np.ones(40), abs=1e-9)
    drawn = Section(kind, 2 * a, 2 * b).outline(0.001)
    assert np.max(np.abs(drawn.distance_to_boundary(points))) < 0.0011
    assert drawn.area_mm2() == pytest.approx(float(properties(kind, 2 * a, 2 * b).area_mm2), rel=1e-4)
    assert kind_of(kind).perimeter_mm(2 * a, 2 * b) == pytest.approx(drawn.perimeter_mm(), rel=0.01)
    upper = np.array(kind_of(kind).extremes(2 * a, 2 * b, 0.0))
    assert (np.abs(upper / (a, b)) ** N).sum(axis=1) == pytest.approx(np.ones(len(upper)), abs=1e-9)


def test_a_file_with_it_is_resolved_checked_and_sized(kind: str) -> None:
    loaded = with_kind(kind)
    resolved: Resolved = resolve(loaded)
    assert [a.shape for a in resolved.strut.arms] == [kind] * len(resolved.strut.arms)
    # A superellipse of this power is stouter than the ellipse of its sizes: nothing that held then may fail.
    ellipse = resolve(load(shipped()["day-cruiser"]))

    def fails(strut: Strut) -> set[str]:
        found = geometry_checks(strut) + engineering_findings(strut)
        return {f.code for f in found if f.verdict is Verdict.FAIL}

    assert fails(resolved.strut) <= fails(ellipse.strut)
    judge = Judge.of(loaded, resolved)
    judged = judge.judge({"arms.section.chord": np.array([60.0, 95.0, 130.0])})
    plain = Judge.of(load(shipped()["day-cruiser"]), ellipse).judge(
        {"arms.section.chord": np.array([60.0, 95.0, 130.0])}
    )
    assert np.all(np.isfinite(judged.weight_kg))
    assert np.all(judged.weight_kg >= plain.weight_kg)
    assert np.all(np.diff(judged.weight_kg) > 0.0)


def test_an_edge_radius_is_refused_for_a_kind_without_edges(kind: str) -> None:
    with pytest.raises(SectionError, match="leave it out"):
        Section(kind, 90.0, 20.0, 2.0)


def test_its_solid_is_sound_and_as_large_as_its_section_makes_it(kind: str) -> None:
    s = strut_of(kind)
    arm = s.arms[0]
    radii = fitting_roots(s, root_room(limits.standard())).arms[0]
    assert radii.barrel_mm > 0.0
    assert radii.palm_mm > 0.0
    assert kernel.is_sound(arms.rooted(s, arm, tuple(radii)))
    # A prism between two planes that are parallel: by its section and their distance.
    even = replace(arm, chord_palm_mm=arm.chord_barrel_mm, thickness_palm_mm=arm.thickness_barrel_mm)
    s = replace(s, arms=(even,))
    low, high = (arms.plain(s, even, h) for h in (-60.0, -20.0))
    assert kernel.is_sound(high)
    at = arm_member(s, even).ruled.at
    way = at[1].origin - at[0].origin
    way = way / np.linalg.norm(way)
    rise = float(way @ frames.palm_axes(s.palms[0]).n)
    square = float(np.cross(at[0].u, at[0].v) @ way)
    area = float(properties(kind, even.chord_barrel_mm, even.thickness_barrel_mm).area_mm2)
    assert high.Volume() - low.Volume() == pytest.approx(area * square * 40.0 / rise, rel=1e-4)


def test_it_is_drawn_and_rolled_out(kind: str) -> None:
    s = strut_of(kind)
    cut = patterns.section_templates(s, s.arms[0])
    left, _, right, _ = cut.extents()
    assert right - left > s.arms[0].chord_barrel_mm
    lengths = arm_lengths(s, s.arms[0])
    assert 0.0 < lengths[2] <= lengths[1]


def strut_with_fin(name: str) -> tuple[Resolved, Strut, Skeg]:
    """A shipped set whose fin is of the new kind and as long and thick at its lower edge as at the root."""
    loaded = load(shipped()["yawl-with-heel"])
    said = loaded.said.skeg
    assert said is not None
    fin = said.model_copy(update={"kind": name, "sweep": 0.0, "tip_chord": said.root_forward - said.root_aft})
    resolved = resolve(replace(loaded, said=loaded.said.model_copy(update={"skeg": fin})))
    assert resolved.strut.skeg is not None
    assert resolved.strut.skeg.kind == name
    return resolved, resolved.strut, resolved.strut.skeg


def test_a_fin_of_it_is_checked(kind: str) -> None:
    _, strut, skeg = strut_with_fin(kind)
    chord, t = skeg.tip_chord_mm, skeg.thickness_root_mm
    found = {f.code: f for f in geometry_checks(strut) + engineering_findings(strut)}
    assert found["fin_modulus"].actual == pytest.approx(float(properties(kind, chord, t).sxx_mm3) / 1000)
    # What stands beside it is measured from its own section, here at its lower edge.
    points = np.vstack([b.points for b in bodies.fin_bodies(strut, skeg) if isinstance(b, Hull)])
    low = points[points[:, 2] < -skeg.depth_mm + 1e-6, :2]
    middle = strut.barrel.x(skeg.root_forward_station_mm) - chord / 2
    assert (np.abs((low - (middle, 0.0)) / (chord / 2, t / 2)) ** N).sum(axis=1) == pytest.approx(np.ones(len(low)))


def test_a_fin_of_it_is_as_heavy_as_its_solid(kind: str) -> None:
    _, strut, skeg = strut_with_fin(kind)
    bare = replace(strut, skeg=replace(skeg, heel=None, root_mm=0.0))
    part = weights.skeg(Inputs.from_strut(bare))
    assert part is not None
    solid = kernel.cut(skegs.fin(skeg, strut.barrel), [outer_envelope(strut)])
    assert kernel.is_sound(solid)
    assert float(part.volume_mm3) == pytest.approx(solid.Volume(), rel=1e-3)
    # A plate of its sizes with square edges is heavier, by the share of its corners that the curve leaves out.
    square = replace(bare, skeg=replace(skeg, kind="plate", leading_edge="square", heel=None, root_mm=0.0))
    plate = weights.skeg(Inputs.from_strut(square))
    assert plate is not None
    share = special.gamma(1 + 1 / N) ** 2 / special.gamma(1 + 2 / N)
    assert part.volume_mm3 / plate.volume_mm3 == pytest.approx(share, rel=0.01)


def test_a_fin_of_it_is_drawn_and_cut(kind: str) -> None:
    resolved, strut, skeg = strut_with_fin(kind)
    spec = foundry_settings(resolve(load(shipped()["sloop-with-skeg"])))
    cut = pattern_templates.skeg_templates(strut, spec, skeg)
    left, _, right, _ = cut.extents()
    assert right - left > spec.factor * skeg.tip_chord_mm
    long, wide = skeg_blank_mm(strut)
    assert long > skeg.depth_mm - strut.barrel.outside_mm / 2
    assert wide == pytest.approx(skeg.tip_chord_mm, rel=1e-3)
    made = skeg_sheet(SheetContext(resolved, strut, Built("", (), [], 0.0), "0" * 64, "0"))
    assert made is not None
    assert any(note.startswith("Sections are of the shape superellipse, ") for note in made.notes)


def test_the_kinds_of_section_and_outline_are_those_of_the_file() -> None:
    shape = schema.Section.model_fields["shape"]
    assert get_args(shape.annotation) == kind_names()
    assert shape.description == "; ".join(kind_of(name).about for name in kind_names())
    assert get_args(schema.Skeg.model_fields["kind"].annotation) == kind_names("fin")
    assert get_args(FlangeOutline.model_fields["shape"].annotation) == tuple(OUTLINES)
    palms = tuple(name for name, kind in OUTLINES.items() if not kind.round)
    assert get_args(schema.Outline.model_fields["shape"].annotation) == palms
    assert set(SIZES) <= {*schema.Outline.model_fields, *FlangeOutline.model_fields}
