"""Sheets of the welder: jig heights, joints, weld sizes, press card, against the parameters and plain geometry."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from sheets_support import WELDED, cells, document, drawn, number, resolved, sheet, table, values
from support import every

from strutwright.exporters.drawing.shapes import flatten
from strutwright.models import frames
from strutwright.models.shop import development as dev
from strutwright.models.shop import sides
from strutwright.models.shop.pressing import middle_mm, press_case
from strutwright.params import limits

JOINED = ["pilot-vee", "workboat-common-vee", "yawl-with-heel", "survey-launch"]


def test_cast_struts_have_no_welder_s_sheets() -> None:
    for kind in ("cut-list-and-jig", "weld-assembly", "press-card"):
        assert sheet("harbour-launch", kind) is None


def test_jig_heights() -> None:
    # Height of a point of the shaft over the hull face: its distance from the plane z = D - x tan(theta) + y tan(phi).
    strut = resolved("survey-launch").strut
    plane, half = strut.palms[0].plane, strut.barrel.length_mm / 2
    t, f = math.tan(math.radians(plane.pitch_deg)), math.tan(math.radians(plane.tilt_deg))
    heights = [(plane.drop_mm - x * t) / math.sqrt(1 + t * t + f * f) for x in (-half, half)]
    assert heights[0] != pytest.approx(heights[1], abs=5.0)
    rows = {row[0]: number(row[1]) for row in table("survey-launch", "cut-list-and-jig", "jig").rows}
    assert rows["shaft line over the plate, aft face"] == pytest.approx(heights[0], abs=6e-3)
    assert rows["shaft line over the plate, forward face"] == pytest.approx(heights[1], abs=6e-3)
    found = values("survey-launch", "cut-list-and-jig").values()
    for h in heights:
        assert min(abs(v - h) for v in found) < 1e-4
    # The heights fall by the sine of the true angle over the barrel: a right triangle on the sheet itself.
    fall = (heights[0] - heights[1]) / strut.barrel.length_mm
    assert rows["shaft to plate, true angle"] == pytest.approx(math.degrees(math.asin(fall)), abs=0.006)
    # The skew's sign is the hand: the projection lies to starboard of the trace on a starboard strut.
    assert rows["skew of the bar to the trace, plan, toward port"] < -1.0


def test_barrel_is_round_in_its_joint() -> None:
    # The smallest barrel beside its arm: at the toe of the weld its outside has fallen by R - sqrt(R^2 - x^2).
    strut = resolved("canal-tender").strut
    arm, r = strut.arms[0], strut.barrel.outside_mm / 2
    made = sheet("canal-tender", "weld-assembly")
    assert made is not None
    view = next(v for v in made.views if v.name == "joint barrel")
    rows = np.vstack([flatten(s.shape) for s in view.strokes])
    # The leg is the chord of the round from the arm's side: turned on by 2 asin(leg / D).
    toe = r * math.sin(math.asin(arm.thickness_barrel_mm / 2 / r) + 2 * math.asin(arm.barrel_root_mm / 2 / r))
    at = rows[np.abs(rows[:, 0] - toe) < 1e-6, 1]
    assert np.abs(at + (r - math.sqrt(r * r - toe * toe))).min() < 0.02


@pytest.mark.parametrize("name", ["canal-tender", "yawl-with-heel"])
def test_steps_of_welding_are_numbered_through(name: str) -> None:
    made = sheet(name, "weld-assembly")
    assert made is not None
    words = next(n for n in made.notes if n.startswith("Sequence: "))
    steps = [step.split(" ", 1) for step in words.removeprefix("Sequence: ").rstrip(".").split("; ")]
    assert [int(n) for n, _ in steps] == list(range(1, len(steps) + 1))
    assert len({what for _, what in steps}) == len(steps)


def throat_by_points(leg: float, between: float, depth: float, outside: float = math.inf) -> float:
    """Distance of a weld's root from the line between its toes, each a leg away from where the faces meet (plane
    geometry). between: radians; depth: of the groove, square to the plate's side; outside: diameter of what is met."""
    side = np.array([math.cos(between), math.sin(between)])  # up the plate, from where the faces meet
    drop = math.asin(leg / outside)  # the chord of a round part falls below its tangent
    toes = leg * np.array([math.cos(drop), -math.sin(drop)]), leg * side
    root = np.array([-depth / math.sin(between), 0.0])
    way = toes[1] - toes[0]
    return abs(way[0] * (root - toes[0])[1] - way[1] * (root - toes[0])[0]) / float(np.linalg.norm(way))


def test_weld_sizes_on_the_sheet() -> None:
    strut = resolved("canal-tender").strut
    arm, outside = strut.arms[0], strut.barrel.outside_mm
    # At the barrel the outside falls away by asin(t / D) on either side; the palm leans fore and aft by 9 degrees.
    fall, lean = math.asin(arm.thickness_barrel_mm / outside), math.radians(9.0)
    rows = cells(table("canal-tender", "weld-assembly", "welds"))
    for row, leg, more, met in zip(
        rows, (arm.barrel_root_mm, arm.palm_root_mm), (fall, lean), (outside, math.inf), strict=True
    ):
        assert row["leg"] == f"z{leg:g}"
        throat = throat_by_points(leg, math.pi / 2 + more, 0.0, met)
        assert number(row["least throat"]) == pytest.approx(throat, abs=6e-3)
        assert throat < leg / math.sqrt(2.0) - 0.3
    strut = resolved("survey-launch").strut
    arm = strut.arms[0]
    rows = cells(table("survey-launch", "weld-assembly", "welds"))
    for row, leg in zip(rows, (arm.barrel_root_mm, arm.palm_root_mm), strict=True):
        assert row["leg"] == f"z{leg:g}"
        assert number(row["least throat"]) > 1.9 * leg / math.sqrt(2.0)  # with its groove
        # AISC 360 Table J2.4M: over 19 mm at least 8 mm.
        assert number(row["least leg"]) == 8.0
    # Round a bar of small edge radius r: 2 (c + t) - (8 - 2 pi) r; the cut runs aslant, a little more.
    square = 2 * (arm.chord_palm_mm + arm.thickness_palm_mm) - (8 - 2 * math.pi) * arm.edge_radius_mm
    assert all(square <= number(row["length"]) < 1.03 * square for row in rows)
    texts = {e.dxf.text for e in document("survey-launch", "weld-assembly").modelspace().query("TEXT")}
    assert {f"z{arm.barrel_root_mm:g}", f"z{arm.palm_root_mm:g}", "W1", "W2"} <= texts
    assert f"preparation {strut.weld.prep_angle_deg:.1f}°" in texts


def test_press_card_figures() -> None:
    """Of 316L plate, by the laws of textbooks: more than the plastic hinge s b t^2 / S of the plate over the arm's
    root, less than twice that of the stiffened strip at the most yield; surface strain 4 t d / S^2 of one arc."""
    strut = resolved("yawl-with-heel").strut
    palm, arm = strut.palms[0], strut.arms[0]
    case = press_case(strut, arm, limits.standard())
    foot = dev.palm_footprint(palm, sides.arm_side(strut, arm)).bounding_box()
    long, wide = (v + 2 * arm.palm_root_mm for v in (foot.xmax - foot.xmin, foot.ymax - foot.ymin))
    steps = {row[1]: row[2] for row in table("yawl-with-heel", "press-card", "steps").rows}
    least, most = (number(n) for n in re.findall(r"([\d.]+) kN", steps["Force on the way"]))
    hinge = case.case.yield_mpa * long * palm.thickness_mm**2 / 1e3
    assert hinge / case.span_mm < least < hinge / (case.span_mm - wide) * 1.6
    assert most / least > 1.6
    push = case.step.push
    assert push is not None
    # The palm's edges fall about the toes of the arm's welds: what they fall over what the supports do.
    edge, support = case.case.size_mm[1] / 2, np.sqrt(abs(np.prod([v - case.line.at_mm for v in case.line.rows_mm])))
    assert push.need_mm == pytest.approx(case.curl_mm * (support - wide / 2) / (edge - wide / 2), rel=0.02)
    assert number(steps["Touch, dial to 0, press by"]) == pytest.approx(push.travel_mm, abs=0.006)
    assert push.need_mm < push.travel_mm < push.need_mm + push.springback_mm[1]
    rows = dict(row[:2] for row in table("yawl-with-heel", "press-card", "press").rows)
    bend = case.curl_mm * case.span_mm / case.width_mm
    strain = 100 * 4 * palm.thickness_mm * bend / case.span_mm**2
    assert number(rows["surface strain"]) == pytest.approx(strain, abs=0.006)
    assert rows["its limit (from memory)"] == "2.0 %"
    # The supports stand under bolt rows on both sides of the arm.
    assert min(abs(v - case.span_mm) for v in values("yawl-with-heel", "press-card").values()) < 6e-3


def test_a_metal_that_cracks_is_not_pressed() -> None:
    rows = dict(row[:2] for row in table("survey-launch", "press-card", "press").rows)  # aluminium
    assert rows["cold pressing"] == "NO"
    made = sheet("survey-launch", "press-card")
    assert made is not None
    assert any("DO NOT PRESS THIS METAL COLD" in note for note in made.notes)
    assert not any("press from" in note or "Press before" in note for note in made.notes)
    allowed = sheet("yawl-with-heel", "press-card")
    assert allowed is not None
    assert any("press from" in note for note in allowed.notes)
    assert any("fly out" in caution for caution in made.cautions)


# --- joints -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", every([*JOINED, "canal-tender"], 2))
def test_joints_stand_as_they_are(name: str) -> None:
    # Vector algebra: the arm's two flanks hold its axis and its chord; their angles to the palm's water face.
    strut = resolved(name).strut
    prepared = strut.weld.prep == "double_bevel"
    rows = {(row["joint"], row["side"]): row for row in cells(table(name, "weld-assembly", "edges"))}
    for arm in strut.arms:
        palm = strut.palms[arm.palm_index]
        assert arm.thickness_barrel_mm == arm.thickness_palm_mm
        axes, hull = frames.arm_axes(arm, strut.barrel, palm.plane), frames.palm_axes(palm)
        flank = np.cross(axes.n, axes.u)
        flank = flank / np.linalg.norm(flank)
        flank = flank if flank[1] > 0 else -flank
        label = arm.name if "arm" in arm.name else f"{arm.name} arm"
        for side, out in (("port", flank), ("starboard", -flank)):
            true = math.degrees(math.acos(float(out @ hull.n)))
            row = rows[f"{label} to palm", side]
            throat, gauge = row["throat"], row["gauge"]
            assert number(row["between the parts"]) == pytest.approx(true, abs=0.06)
            leg, half = arm.palm_root_mm, arm.thickness_palm_mm / 2
            # A gauge reads how far the toe on the arm stands off the palm.
            assert number(gauge) == pytest.approx(leg * math.sin(math.radians(true)), abs=6e-3)
            if not prepared:
                assert number(throat) == pytest.approx(throat_by_points(leg, math.radians(true), 0.0), abs=6e-3)
            elif true < 60.0:
                # Too sharp for a cut: a fillet less the gap, and less what is not reached (AWS D1.1, from memory).
                assert row["groove"] == "as it stands"
                assert row["preparation"] == "no cut"
                plain = throat_by_points(leg - strut.weld.root_gap_mm, math.radians(true), 0.0)
                assert number(throat) == pytest.approx(plain - 3.0, abs=6e-3)
            else:
                deep = throat_by_points(leg, math.radians(true), half - strut.weld.root_face_mm / 2)
                assert number(throat) == pytest.approx(min(deep, half), abs=6e-3)
                # The groove opens by the same angle on either side; what is ground off is the rest.
                groove, preparation = row["groove"], row["preparation"]
                assert number(groove) == pytest.approx(90.0 - strut.weld.prep_angle_deg, abs=0.06)
                assert number(groove) + number(preparation) == pytest.approx(true, abs=0.11)
            # At the barrel the outside falls away by asin(t / D) on either side of a square arm.
            fall = math.degrees(math.asin(arm.thickness_barrel_mm / strut.barrel.outside_mm))
            assert number(rows[f"{label} to barrel", side]["between the parts"]) == pytest.approx(90.0 + fall, abs=0.06)
    # The picture shows the angles of the table: of the arm that is drawn.
    doc = drawn(name, "weld-assembly")
    shown = sorted(i.dim.value for i in doc.items if (i.owner, i.name) == ("joint palm", "angle") and i.dim is not None)
    first = strut.arms[0].name if "arm" in strut.arms[0].name else f"{strut.arms[0].name} arm"
    wanted = sorted(number(rows[f"{first} to palm", side]["between the parts"]) for side in ("port", "starboard"))
    assert shown == pytest.approx(wanted, abs=0.06)
    words = {t.text for i in doc.items if i.owner in ("joint palm", "joint barrel") for t in i.texts}
    assert any("groove" in w for w in words) == prepared
    assert any("preparation" in w for w in words) == prepared
    assert any("root gap" in w for w in words) == prepared


@pytest.mark.parametrize("name", every(JOINED, 2))
def test_root_gap_is_drawn_in_the_joint(name: str) -> None:
    strut = resolved(name).strut
    gap = strut.weld.root_gap_mm if strut.weld.prep == "double_bevel" else 0.0
    made = sheet(name, "weld-assembly")
    assert made is not None
    view = next(v for v in made.views if v.name == "joint palm")
    rows = [flatten(s.shape) for s in view.strokes if s.kind == "visible"]
    body = max((r for r in rows if len(r) > 3), key=lambda r: float(np.ptp(r[:, 1])))
    assert float(-body[:, 1].max()) == pytest.approx(gap, abs=1e-6)  # the palm's water face is at 0, the arm below it
    gaps = [row[4] for row in table(name, "weld-assembly", "welds").rows if "arm" in row[1]]
    assert all((number(g) == gap) if gap else g == "-" for g in gaps)


@pytest.mark.parametrize("name", JOINED)
def test_jig_mandrel_fills_the_bore(name: str) -> None:
    strut = resolved(name).strut
    rows = [row[0] for row in table(name, "cut-list-and-jig", "jig").rows]
    assert not any("shaft size" in what for what in rows)
    rough = strut.barrel.bore_mm - 2.0  # what is left for boring last
    assert sum(f"rough bore, Ø{rough:g}" in what for what in rows) == 2
    assert sum(f"finished bore, Ø{strut.barrel.bore_mm:g}" in what for what in rows) == 2
    found = {row[0]: number(row[1]) for row in table(name, "cut-list-and-jig", "jig").rows}
    line = found["shaft line over the plate, aft face"]
    top = found[f"top of a bar in the finished bore, Ø{strut.barrel.bore_mm:g}, aft face"]
    tilt = math.radians(found["shaft to plate, true angle"])
    # The highest line of a leaning bar stands radius times the cosine over its axis.
    assert top - line == pytest.approx(strut.barrel.bore_mm / 2 * math.cos(tilt), abs=0.02)


@pytest.mark.parametrize("name", WELDED)
@pytest.mark.parametrize("leg_mm", [6.0, 18.0, 40.0])
def test_a_parallel_leaves_the_weld_clear(name: str, leg_mm: float) -> None:
    """Its inner edge lies outside the toe of the weld at the arm's foot on either side, whatever the leg."""
    strut = resolved(name).strut
    strut = replace(strut, arms=tuple(replace(arm, palm_root_mm=leg_mm) for arm in strut.arms))
    for arm in strut.arms:
        case = press_case(strut, arm, limits.standard())
        v = [p[1] for p in dev.palm_footprint(case.palm, sides.arm_side(strut, arm)).polyline(0.05)]
        port, starboard = (row + middle_mm(case.palm)[1] for row in case.line.rows_mm)
        assert port - case.bar_mm / 2 >= max(v) + leg_mm - 1e-6
        assert starboard + case.bar_mm / 2 <= min(v) - leg_mm + 1e-6
