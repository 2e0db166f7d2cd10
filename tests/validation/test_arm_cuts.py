"""Where arms are cut: the second arm of a narrow vee against the first, and the root gap off each end.

References: the solids of the built strut, and plane geometry. The sets are the shipped vees with their arms brought
together, welded without preparation, so that the built arm is the arm as it is cut.
"""

from __future__ import annotations

import io
import math
import re
from dataclasses import asdict, replace
from functools import cache
from itertools import product
from typing import Any

import ezdxf
import numpy as np
import pytest
from support import every, templates_of

from strutwright.exporters.drawing.dxfdoc import dxf_bytes
from strutwright.exporters.files import barrel_strips, patterns, templates
from strutwright.exporters.files.cut_list import cut_rows
from strutwright.models import frames
from strutwright.models.resolve import resolve
from strutwright.models.shop import arm_ends, cuts, sides
from strutwright.models.shop import development as dev
from strutwright.models.solids import Built, build
from strutwright.models.spec import Strut, mirrored
from strutwright.params import loader

NARROW: dict[str, tuple[float, dict[str, Any]]] = {
    # Half of the angle between the arms, and what else is changed: rake, toe.
    "pilot-vee": (12.0, {}),
    "workboat-common-vee": (9.0, {"rake_deg": 6.0}),
    "work-launch-vee": (11.0, {"toe_deg": 3.0}),
    "patrol-vee-pair": (13.0, {}),
}


@cache
def shipped(name: str) -> Strut:
    return resolve(loader.load(loader.shipped()[name])).strut


def narrow(name: str) -> Strut:
    strut = shipped(name)
    half, changes = NARROW[name]
    arms = tuple(replace(a, clock_deg=s * half, **changes) for a, s in zip(strut.arms, (1.0, -1.0), strict=True))
    return replace(
        strut, construction="welded", arms=arms, set_screws=(), weld=replace(strut.weld, prep="none", beads=False)
    )


@cache
def built(name: str) -> Built:
    return build(narrow(name))


@pytest.mark.parametrize("name", every(list(NARROW), 2))
def test_second_arm_is_cut_as_it_is_built(name: str) -> None:
    import cadquery as cq

    strut = narrow(name)
    first, second = (p.shape for p in built(name).parts if p.kind == "arm")
    side, low, high = cuts.cut_arm(strut, strut.arms[1])
    assert low.coped.sum() > 50  # the arms do meet outside the barrel
    rim = cq.Compound.makeCompound(second.Edges())
    for i in np.linspace(0, len(low.points) - 1, 120).astype(int):
        # On an edge of the solid, not only on its side: the cut is neither short nor long.
        spot = cq.Vertex.makeVertex(*(float(c) for c in low.points[i]))
        assert rim.distance(spot) < 0.01, (name, i)
        if low.coped[i]:
            assert first.distance(spot) < 0.01
        assert rim.distance(cq.Vertex.makeVertex(*(float(c) for c in high.points[i]))) < 0.01
    # The uncut line would run up to this far into the first arm: what the template once showed.
    whole = cuts.meet_barrel(strut.barrel, side)
    assert float((low.along_mm - whole.along_mm).max()) > 2.0
    # The first arm is left whole.
    assert not cuts.cut_arm(strut, strut.arms[0]).low.coped.any()


@pytest.mark.parametrize("name", every(list(NARROW), 2))
def test_wrap_of_the_second_arm_has_the_cut(name: str) -> None:
    strut = narrow(name)
    side, low, _ = cuts.cut_arm(strut, strut.arms[1])
    wrap = dev.barrel_wrap(side, low, paper_mm=0.0)
    wrap.outline.validate()
    # Each generator on the wrap is as long as in space, from the cut to the square edge: at the ticks, both coped and
    # not. A wrap that is rolled out keeps it (the sides are ruled).
    places = dev.parts_of(side, side.at(wrap.reference_mm), dev.TICKS)
    for tick, at in zip(wrap.ticks, places, strict=True):
        i = round(at)
        true = math.dist(low.points[i], side.at(wrap.reference_mm)[i])
        step = float(np.abs(np.diff(low.along_mm[max(i - 1, 0) : i + 2])).max())
        assert math.dist(tick.foot, tick.head) == pytest.approx(true, abs=2 * step + 0.02)
    text = " ".join(t for t in texts(templates.arm_barrel_end(strut, strut.arms[1])))
    assert f"CUT TO THE {strut.arms[0].name.upper()}" in text
    assert "IS CUT TO THE" not in " ".join(texts(templates.arm_barrel_end(strut, strut.arms[0])))


def texts(cut: Any) -> list[str]:
    doc = ezdxf.read(io.StringIO(dxf_bytes(cut.document()).decode("utf-8")))
    return [e.dxf.text for e in doc.modelspace().query("TEXT")]


@pytest.mark.parametrize("name", ["pilot-vee", "sloop-with-skeg", "canal-tender", "harbour-launch"])
def test_strips_say_what_to_cut_out(name: str) -> None:
    # A strip that wraps the whole girth cannot go round a barrel that carries its arms: what is cut out holds the
    # part's line and its root, and a slit leads from it to the forward edge.
    strut = shipped(name)
    roots = [*strut.arms, *([strut.skeg] if strut.skeg is not None else [])]
    cut = barrel_strips.set_screw_strip(strut)
    said = " ".join(texts(cut))
    assert "cut out what lies inside" in said
    assert "slit the paper from there to the forward edge" in said
    doc = ezdxf.read(io.StringIO(dxf_bytes(cut.document()).decode("utf-8")))
    per = 25.4 if strut.file_units == "in" else 1.0

    def size(entity: Any) -> tuple[float, float]:
        from ezdxf import bbox

        box = bbox.extents([entity])
        return float(box.size.x) * per, float(box.size.y) * per

    holes = sorted(size(e) for e in doc.modelspace().query('LWPOLYLINE[layer=="PHANTOM"]'))
    feet = [dev.footprint(strut.barrel, sides.arm_side(strut, a)) for a in strut.arms]
    if strut.skeg is not None:
        feet.append(dev.footprint(strut.barrel, sides.skeg_side(strut)))
    boxes = [f.outline.bounding_box() for f in feet]
    out = [getattr(r, "barrel_root_mm", None) or getattr(r, "root_mm", 0.0) for r in roots]
    wanted = sorted((b.xmax - b.xmin + 2 * r, b.ymax - b.ymin + 2 * r) for b, r in zip(boxes, out, strict=True))
    assert len(holes) == len(wanted)
    for mine, theirs in zip(holes, wanted, strict=True):
        assert mine == pytest.approx(theirs, abs=0.1)


def test_no_template_calls_the_shaft_s_trace_a_centre_line() -> None:
    for name in ("survey-launch", "pilot-vee", "harbour-launch", "refit-two-bores"):
        for file, cut in templates_of(shipped(name)).items():
            said = texts(cut)
            assert not any("centre line" in t or re.search(r"\bCL\b", t) for t in said), (name, file)
            if "hull-template" in file or "drill-jig" in file or "backing" in file:
                assert {"shaft trace", "parallel to the shaft's trace"} & set(said), (name, file)


def test_cut_of_the_other_hand_is_the_mirror_image() -> None:
    strut = narrow("patrol-vee-pair")
    other = mirrored(strut)
    lows = [cuts.cut_arm(s, s.arms[1]).low for s in (strut, other)]
    for own, k in ((0, 1), (1, 0)):
        flipped = lows[k].points * (1.0, -1.0, 1.0)
        for p in lows[own].points[::40]:
            assert float(np.linalg.norm(flipped - p, axis=1).min()) < 0.2


def test_wide_vees_are_not_cut() -> None:
    for name in ("pilot-vee", "patrol-vee-pair"):
        strut = shipped(name)
        assert not cuts.cut_arm(strut, strut.arms[1]).low.coped.any()


def test_arms_in_each_other_are_told() -> None:
    strut = narrow("pilot-vee")
    arms = tuple(replace(a, clock_deg=s) for a, s in zip(strut.arms, (0.5, -0.5), strict=True))
    with pytest.raises(sides.DevelopmentError, match="open the angle"):
        cuts.cut_arm(replace(strut, arms=arms), arms[1])


# --- root gap ---------------------------------------------------------------------------------------------------------


WITH_GAPS = ("workboat-common-vee", "survey-launch", "yawl-with-heel", "canal-tender")


@pytest.mark.parametrize(("name", "gap"), every(list(product(WITH_GAPS, (0.0, 2.0, 3.5))), 2))
def test_root_gap_is_taken_off_everywhere(name: str, gap: float) -> None:
    strut = replace(shipped(name), set_screws=())
    strut = replace(strut, weld=replace(strut.weld, prep="double_bevel", root_gap_mm=gap))
    arm = strut.arms[-1]
    palm, axes = strut.palms[arm.palm_index], frames.palm_axes(strut.palms[arm.palm_index])
    side, low, high = cuts.cut_arm(strut, arm)
    # Plane geometry: every point of the cut stands the gap off the barrel and off the palm's water face.
    off = np.hypot(low.points[:, 1], low.points[:, 2]) - strut.barrel.outside_mm / 2
    assert off == pytest.approx(np.full(len(off), gap), abs=1e-9)
    depth = (axes.origin - high.points) @ axes.n - palm.thickness_mm
    assert depth == pytest.approx(np.full(len(depth), gap), abs=1e-9)
    # Cut list, lengths, bevel table and profile: shorter by as much as the two planes and the cylinder say.
    none = replace(strut, weld=replace(strut.weld, prep="none"))
    lean = float(side.axes.n @ axes.n)
    taken = gap + gap / lean  # along the axis: square to the barrel, at an angle to the palm
    assert arm.rake_deg == 0.0
    lengths = [arm_ends.arm_lengths(s, arm) for s in (none, strut)]
    assert lengths[0].axis_mm - lengths[1].axis_mm == pytest.approx(taken, abs=1e-9)
    assert lengths[0].to_hull_face_mm == lengths[1].to_hull_face_mm
    rows = [next(r for r in map(asdict, cut_rows(s, [])) if r["part"] == arm.name) for s in (none, strut)]
    assert float(rows[0]["length_mm"]) - float(rows[1]["length_mm"]) == pytest.approx(
        gap + gap / lean, abs=0.12 * gap + 2e-3
    )
    assert ("root gap" in rows[1]["note"]) == (gap > 0)
    boxes = [templates_box(patterns.arm_pattern(s, arm), "CUT_OUTER") for s in (none, strut)]
    assert boxes[0] - boxes[1] == pytest.approx(gap + gap / lean, abs=0.12 * gap + 0.03)
    wraps = [dev.barrel_wrap(side, cuts.cut_arm(s, arm).low) for s in (none, strut)]
    at = [w.reference_mm - math.dist(w.ticks[8].foot, w.ticks[8].head) for w in wraps]
    assert at[1] - at[0] == pytest.approx(gap, abs=0.03 * gap + 1e-6)  # the leading edge stands on the crown
    for end in (templates.arm_barrel_end, templates.arm_palm_end):
        said = "is taken off at this end" if gap > 0 else "no root gap is taken off"
        assert said in " ".join(texts(end(strut, arm))).lower()


def templates_box(cut: Any, layer: str) -> float:
    """Height of what lies on a layer, mm."""
    doc = ezdxf.read(io.StringIO(dxf_bytes(cut.document()).decode("utf-8")))
    from ezdxf import bbox

    box = bbox.extents(doc.modelspace().query(f'*[layer=="{layer}"]'))
    return float(box.size.y)
