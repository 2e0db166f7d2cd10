"""The fabricator's sheet and the angle gauges, held to the solids: cut sizes, weights, jig places, angles of faces."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from sheets_support import WELDED, cells, context, number, resolved, solids, table
from support import every, long_run

from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import overlaps
from strutwright.exporters.files import arm_gauges
from strutwright.exporters.files.cut_list import FACING_MM, cut_rows
from strutwright.exporters.files.mesh import triangles
from strutwright.exporters.sheets import fabrication, sheet_makers, weld
from strutwright.models import frames
from strutwright.models.shop import cuts
from strutwright.models.spec import Arm, Strut
from strutwright.params import tables

FEW = every(WELDED, 3)


def corners(name: str, part: str) -> np.ndarray:
    """Places (n, 3) all over a solid, by another mesher than the sheet's plane geometry."""
    (found,) = [p for p in solids(name).parts if p.name == part]
    return np.asarray(triangles(found.shape, part, 0.05, 0.1).vertices)


def built_as(name: str, arm: Arm) -> str:
    return next(p.name for p in solids(name).parts if p.name in (arm.called, arm.name))


def stock(name: str) -> dict[str, dict[str, str]]:
    return {row["part"]: row for row in cells(table(name, "cut-list-and-jig", "cut list"))}


@pytest.mark.parametrize("name", FEW)
def test_cut_sizes_hold_the_solids(name: str) -> None:
    strut, rows = resolved(name).strut, stock(name)
    barrel = corners(name, "barrel")
    assert number(rows["barrel"]["cut length"]) == pytest.approx(np.ptp(barrel[:, 0]) + 2 * FACING_MM, abs=0.02)
    bar = number(rows["barrel"]["stock"].partition("Ø")[2])
    assert bar >= 2 * np.hypot(barrel[:, 1], barrel[:, 2]).max() - 0.02
    for palm in strut.palms:
        found = frames.palm_axes(palm).from_strut(corners(name, palm.called))
        sizes = np.ptp(found, axis=0)
        row = rows[palm.name]
        assert [number(row["cut length"]), number(row["width"])] == pytest.approx(sizes[:2].tolist(), abs=0.06)
        if "thicker than any plate" not in row["note"].replace("\n", " "):
            thick = number(row["stock"])
            assert thick >= sizes[2] - 0.01
            assert thick in [r["thickness"] for r in tables.table("plate").rows]
    for arm in strut.arms:
        axes, gap = frames.arm_axes(arm, strut.barrel, strut.palms[arm.palm_index].plane), cuts.root_gap_mm(strut)
        long = float(np.ptp(corners(name, built_as(name, arm)) @ np.cross(axes.u, axes.v))) - 2 * gap
        blank = number(rows[arm.name]["cut length"])
        if strut.weld.prep == "none":
            assert blank == pytest.approx(long, abs=0.1)
        else:  # the solid's ends are prepared already
            assert long - 0.1 < blank < long + arm.thickness_palm_mm


@pytest.mark.parametrize("name", FEW)
def test_weights_are_volume_times_density(name: str) -> None:
    strut, rows = resolved(name).strut, stock(name)
    density = tables.material(strut.material).density_kg_m3
    for part in solids(name).parts:
        row = next((r for key, r in rows.items() if key in (part.name, part.name.removesuffix(" arm"))), None)
        if row is not None and part.kind in ("barrel", "arm", "palm", "skeg"):
            assert number(row["part kg"]) == pytest.approx(part.volume_mm3 * density * 1e-9, abs=0.006)
            assert row["stock kg"] == "-" or number(row["stock kg"]) > number(row["part kg"])
    told = [number(r["part kg"]) for key, r in rows.items() if key != "in all" and r["part kg"] != "-"]
    assert number(rows["in all"]["part kg"]) == pytest.approx(sum(told), abs=0.006 * len(told))


@pytest.mark.parametrize("name", FEW)
def test_jig_places_are_on_the_parts(name: str) -> None:
    """Turned back from the jig to the strut, each place lies where its part has it, the root gap away."""
    strut = resolved(name).strut
    palm = strut.palms[0]
    axes, box = frames.palm_axes(palm), palm.outline.bounding_box()
    rows = cells(table(name, "cut-list-and-jig", "places"))
    back = {
        r["point"]: axes.to_strut(
            np.array([(number(r["X"]) + box.xmin, number(r["Y"]) + box.ymin)]), -number(r["height"])
        )[0]
        for r in rows
    }
    half, gap = strut.barrel.length_mm / 2, cuts.root_gap_mm(strut)
    assert back["bore's axis, aft face"] == pytest.approx([-half, 0.0, 0.0], abs=0.02)
    assert back["bore's axis, forward face"] == pytest.approx([half, 0.0, 0.0], abs=0.02)
    for arm in strut.arms:
        own = strut.palms[arm.palm_index]
        part = corners(name, built_as(name, arm))
        for edge in ("leading", "trailing"):
            low, high = (back[f"{arm.called}, {edge} edge at the {end}"] for end in ("barrel", "palm"))
            up = float(frames.palm_axes(own).from_strut(high[None, :])[0, 2])
            assert -up == pytest.approx(own.thickness_mm + gap, abs=0.03)
            if abs(low[0]) < half - 30.0:  # on the parallel part; a coped edge stands farther out
                assert math.hypot(low[1], low[2]) >= strut.barrel.outside_mm / 2 + gap - 0.03
            way = frames.unit(high - low)
            for share in (0.25, 0.5, 0.75):  # the straight edge lies on the solid
                at = low + share * (high - low)
                off = part - at
                near = np.linalg.norm(off - (off @ way)[:, None] * way, axis=1).min()
                assert near < 1.0  # between the mesh's corners


@pytest.mark.parametrize("name", FEW)
def test_gauges_have_the_angles_of_the_solids_faces(name: str) -> None:
    """Flat faces of the arm's solid against the palm's water face, and their corner on the paper."""
    strut = resolved(name).strut
    for arm in strut.arms:
        axes, hull = (
            frames.arm_axes(arm, strut.barrel, frames.arm_plane(strut, arm)),
            frames.palm_axes(strut.palms[arm.palm_index]),
        )
        part = next(p for p in solids(name).parts if p.name == built_as(name, arm))
        flat = sorted((f for f in part.shape.Faces() if f.geomType() == "PLANE"), key=lambda f: -f.Area())
        gauges = {g.mark: g for g in arm_gauges.gauges(strut, arm)}
        for mark, sign in (("H-P", 1.0), ("H-S", -1.0)):
            normals = (np.array(f.normalAt().toTuple()) for f in flat)
            flank = next(n for n in normals if sign * float(n @ axes.v) > 0.9)
            between = math.degrees(math.acos(float(np.clip(flank @ hull.n, -1.0, 1.0))))
            assert gauges[mark].angle_deg == pytest.approx(between, abs=0.02)
        for cut in arm_gauges.arm_gauges(strut, arm):
            shapes = [s for layer, s in cut.items if layer == "CUT_OUTER"]
            wanted = arm_gauges.gauges(strut, arm) if "angle" in cut.name else arm_gauges.preparations(strut, arm)
            assert len(shapes) == len(wanted)
            for shape, gauge in zip(shapes, wanted, strict=True):
                points = np.asarray(shape.points)  # type: ignore[union-attr]
                off = gauge.leg_mm + arm_gauges.CLEAR_MM if gauge.leg_mm else 0.0
                edge = points[-2] - points[-1] if off else points[-1] - points[0]
                way = edge / np.linalg.norm(edge)
                assert math.degrees(math.atan2(way[1], way[0])) == pytest.approx(gauge.angle_deg, abs=0.01)
                corner = points[-1] - off * way if off else points[0]  # where the parts meet, cut off
                if math.isfinite(gauge.round_mm):  # the hollow foot is the barrel's outside, which meets it there
                    middle = corner - (0.0, gauge.round_mm)
                    foot = points[: len(points) - 4]
                    assert np.linalg.norm(foot - middle, axis=1) == pytest.approx(gauge.round_mm, abs=1e-6)
                    assert np.linalg.norm(foot - corner, axis=1).min() == pytest.approx(off, abs=1e-6)
                else:
                    assert points[0][1] == pytest.approx(points[1][1], abs=1e-9)
                    assert points[0] - corner == pytest.approx([off, 0.0], abs=1e-9)


@pytest.mark.parametrize(
    ("name", "filler"),  # from memory: AWS A5.9, ISO 14343; A5.18
    [("yawl-with-heel", "ER316L"), ("pilot-vee", "ER2209"), ("coaster-steel", "ER70S-6")],
)
def test_the_weld_sheet_tells_filler_finish_and_how_it_is_lifted(name: str, filler: str) -> None:
    strut = resolved(name).strut
    told = " ".join(weld.weld_notes(context(strut, resolved(name))))
    assert f"Filler {filler}" in told
    assert ("pickled and passivated" in told) == (strut.material != "S275")
    assert "soft slings round the arm below the palm" in told
    own = replace(strut, material="C86500")  # no row of the table has it
    assert "to the welding procedure" in " ".join(weld.weld_notes(context(own, resolved(name))))


def test_steel_is_preheated_from_a_thickness_on() -> None:
    steel = resolved("coaster-steel").strut
    for thick, told in ((20.0, "no preheat"), (40.0, "preheat 100 °C")):
        own = replace(steel, palms=tuple(replace(p, thickness_mm=thick) for p in steel.palms))
        own = replace(own, arms=tuple(replace(a, thickness_barrel_mm=20.0) for a in own.arms))
        assert told in " ".join(weld.weld_notes(context(own, resolved("coaster-steel"))))


def test_a_cast_strut_has_no_gauges_and_no_cut_list() -> None:
    strut = resolved("harbour-launch").strut
    assert arm_gauges.arm_gauges(strut, strut.arms[0]) == []
    assert fabrication.fabrication(context(strut, resolved("harbour-launch"))) is None


def test_stock_is_the_next_size() -> None:
    """Of the user's system: 14 mm is cut from 15 mm plate, 9/16 in from 5/8 in."""
    one = resolved("canal-tender").strut
    (arm,) = [r for r in cut_rows(one, []) if r.part == "arm"]
    assert fabrication.stock_size(one, arm) == "plate 15"
    inches: Strut = replace(
        one, file_units="in", arms=(replace(one.arms[0], thickness_barrel_mm=14.2875, thickness_palm_mm=14.2875),)
    )
    (arm,) = [r for r in cut_rows(inches, []) if r.part == "arm"]
    assert fabrication.stock_size(inches, arm) == "plate 5/8 in"


@long_run
@pytest.mark.parametrize("name", WELDED)
def test_every_welded_set_has_its_sheet(name: str) -> None:
    one = resolved(name)
    made = sheet_makers(one.strut)["cut-list-and-jig"](context(one.strut, one, solids(name)))
    assert made is not None
    assert overlaps(lay_out(made)) == []
