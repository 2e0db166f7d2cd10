"""What the sheets say and where it stands: words that fit the job, figures that agree, arrows where forces act.

References are plain geometry, the parameters, the solids and the tables named.
"""

from __future__ import annotations

import math
import re
from dataclasses import asdict, replace

import numpy as np
import pytest
from sheets_support import WELDED, context, drawn, laid, number, resolved, sheet, solids, table, texts, values, whole
from support import SETS, every, long_run, own_limits

from strutwright.exporters.drawing.figures import Figures, fixed
from strutwright.exporters.drawing.shapes import Line
from strutwright.exporters.drawing.sheet import overlaps
from strutwright.exporters.files.cut_list import cut_rows, foot_length_mm
from strutwright.exporters.files.parts_list import parts_rows
from strutwright.exporters.files.patterns import arm_pattern, skeg_pattern
from strutwright.exporters.sheets import arm as arm_sheet
from strutwright.exporters.sheets import (
    arrangement,
    common,
    fabrication,
    jig,
    made_barrel,
    set_up,
    sheet_makers,
    skeg,
    weld,
    weld_joint,
)
from strutwright.exporters.sheets import barrel as barrel_sheet
from strutwright.exporters.sheets.record import record_rows
from strutwright.models import cautions, frames
from strutwright.models.geometry.skeg import chord_at, foot_start_mm
from strutwright.models.shop import arm_ends, cuts
from strutwright.models.shop.pressing import Press, machining_stock_mm, press_case
from strutwright.models.solids import kernel
from strutwright.models.solids import skeg as build_skeg
from strutwright.params import limits, tables


def pressed(name: str) -> Press:
    strut = resolved(name).strut
    return press_case(strut, strut.arms[0], limits.standard())


HAIR_MM = 0.108
"""How far the foot starts ahead of where it would only touch the fin's edge: 0.003 of the height of the yawl's."""
PRESSED = [name for name in WELDED if not pressed(name).strained_too_far]


@pytest.mark.parametrize("name", every(PRESSED, 2))
def test_the_sketch_stands_as_the_figures_say(name: str) -> None:
    """The push over the arm's line, parallels at the bolt rows, the palm as thick and wide as it is; to scale."""
    case, made = pressed(name), sheet(name, "press-card")
    assert made is not None
    side = next(v for v in made.views if v.name == "press")
    box = side.extent()
    upright = {round(s.shape.a[0], 6) for s in side.strokes if isinstance(s.shape, Line)}
    assert round(-case.line.at_mm, 6) in upright
    assert box.width == pytest.approx(case.case.size_mm[1])
    dims = [i.dim.value for i in drawn(name, "press-card").items if i.owner == "press" and i.dim is not None]
    assert dims == pytest.approx([case.span_mm])
    plan = next(v for v in made.views if v.name == "press plan").extent()
    assert (plan.width, plan.height) == pytest.approx(case.case.size_mm, abs=0.2)


@pytest.mark.parametrize("name", every(PRESSED, 2))
def test_parallels_are_asked_for_in_one_way(name: str) -> None:
    made = sheet(name, "press-card")
    assert made is not None
    said = " ".join([*made.cautions, *made.notes, *texts(drawn(name, "press-card"))]).lower()
    assert "hard parallels" not in said
    assert "parallels of mild steel at the bolts, one piece each side" in said
    assert "ground mild steel, each in one piece: never hardened, never stacked" in said


@pytest.mark.parametrize("name", WELDED)
def test_the_press_card_is_read_at_arms_length_and_has_few_steps(name: str) -> None:
    made = sheet(name, "press-card")
    assert made is not None
    assert {t.text_mm for t in made.tables} == {made.caution_text_mm} == {made.note_text_mm} == {5.0}
    steps = [t for t in made.tables if t.name == "steps"]
    assert bool(steps) == (name in PRESSED)  # a man in a hurry follows the steps: a card that forbids pressing has none
    for table_ in steps:
        assert len(table_.rows) <= 10
        assert {row[3] for row in table_.rows} == {""}
    assert overlaps(drawn(name, "press-card")) == []


def test_curl_is_told_over_its_own_width() -> None:
    box = resolved("workboat-common-vee").strut.palms[0].outline.bounding_box()
    half = (box.ymax - box.ymin) / 2
    rows = [r[0] for r in table("workboat-common-vee", "press-card", "press").rows]
    assert f"curl ±50 %, over {half:g} mm, this arm's half" in rows
    wide = resolved("yawl-with-heel").strut.palms[0].outline.bounding_box()
    assert f"curl ±50 %, over {wide.ymax - wide.ymin:g} mm" in [
        r[0] for r in table("yawl-with-heel", "press-card", "press").rows
    ]


@pytest.mark.parametrize("name", every(PRESSED, 2))
def test_no_strip_is_pressed_that_is_short_for_the_plate(name: str) -> None:
    case = pressed(name)
    rows = table(name, "press-card", "bites").rows
    for row in rows:
        assert (row[1] == "too small") == (row[2] == "")
        assert row[2] == "" or number(row[1]) >= case.least_strip_mm - 0.1
        if row[2]:  # they cover the bar, and lie over each other only where the plate asks for longer ones
            over = number(row[1]) * int(row[2]) - case.place.bar_mm
            assert over >= -0.06 * int(row[2])
            assert over <= 0.06 * int(row[2]) or number(row[1]) <= case.least_strip_mm + 0.06
    made = sheet(name, "press-card")
    assert made is not None
    told = [n for n in made.notes if n.startswith("NO PRESS LISTED HERE")]
    assert bool(told) == (rows[-1][1] == "too small") == (name == "coaster-steel")
    if told:
        # More than the plastic hinge s b t^2 / S of a strip of 2 t, three quarters of the press used: the metal hardens
        # and the root of the arm holds it.
        thick = case.palm.thickness_mm
        hinge = 1.6 * case.case.yield_mpa * 2 * thick * thick**2 / case.span_mm / 0.75
        assert hinge < case.press_needed_n < 5.0 * hinge
        assert f"{case.press_needed_n / 1e3:.0f} kN" in told[0]
        assert "machine the hull face flat" in told[0]


@pytest.mark.parametrize("name", WELDED)
def test_a_palm_that_no_press_flattens_is_bought_thicker(name: str) -> None:
    """Card, weld sheet, palm sheet and cut list say the same: pressed, or machined from a thicker plate."""
    one = resolved(name).strut
    case = pressed(name)
    machined = case.strained_too_far or case.too_strong(inch=False)
    cut = list(map(asdict, cut_rows(one, [])))
    said = {k: " ".join(s.notes) for k in ("press-card", "palm-drilling") if (s := sheet(name, k)) is not None}
    said["weld-assembly"] = " ".join(weld.weld_notes(context(one, resolved(name))))
    said["cut-list-and-jig"] = " ".join(fabrication.fabrication_notes(context(one, resolved(name))))
    for foot in one.palms:
        row = next(r for r in cut if r["part"] == foot.name)
        bought = float(row["stock_thickness_mm"] or "inf")  # none of the table is as thick
        stock = machining_stock_mm(one, foot, limits.standard(), inch=False)
        assert bought >= foot.thickness_mm + stock
        if machined:  # twice what the thicker plate curls
            thicker = replace(one, palms=tuple(replace(p, thickness_mm=p.thickness_mm + stock) for p in one.palms))
            curls = [
                press_case(thicker, a, limits.standard()).curl_mm for a in one.arms if one.palms[a.palm_index] is foot
            ]
            assert stock == pytest.approx(2 * max(curls))
        assert ("machined off after welding" in row["note"]) == machined
    assert (" thicker (cut list)" in said["press-card"]) == machined
    assert ("add to every height" in said["cut-list-and-jig"]) == machined
    assert ("flatten as the press card says" in said["weld-assembly"]) == (not machined)
    assert ("pre-set against its curl" in said["weld-assembly"]) == (not machined)
    sizes = {r["part"]: r["size"] for r in map(asdict, parts_rows(one, solids(name).parts))}
    assert all((" thicker" in sizes[foot.name]) == machined for foot in one.palms)
    assert ("flatten as the press card says" in said["palm-drilling"]) == (not machined)
    assert machined == (name in {"canal-tender", "coaster-steel", "pilot-vee", "survey-launch"})


@pytest.mark.parametrize(("material", "limit"), [("316L", 0.02), ("S275", 0.02), ("5083", None)])
@pytest.mark.parametrize("name", every(WELDED, 2))
def test_the_stock_is_for_what_the_metal_does_not_take_cold(name: str, material: str, limit: float | None) -> None:
    """Surface strain 4 t s / S^2 of the curl's share by distance over the span, by hand."""
    one = resolved(name).strut
    thin = replace(one, material=material, palms=tuple(replace(p, thickness_mm=8.0) for p in one.palms))
    stocks = [machining_stock_mm(thin, p, limits.standard(), inch=False) for p in thin.palms]
    if limit is None:
        assert all(stock > 0.0 for stock in stocks)
    else:
        for arm in thin.arms:
            case = press_case(thin, arm, limits.standard())
            above = 2.0 * np.sqrt(np.prod([abs(row - case.line.at_mm) for row in case.line.rows_mm]))
            strain = 4.0 * 8.0 * case.curl_mm / case.width_mm / above
            assert case.strained_too_far == (strain > limit)
            assert (machining_stock_mm(thin, case.palm, limits.standard(), inch=False) > 0.0) == (strain > limit)
    assert machining_stock_mm(replace(thin, construction="cast"), thin.palms[0], limits.standard(), inch=False) == 0.0


def test_the_recheck_has_a_row_for_each_palm() -> None:
    rows = {r[0]: r[1] for r in table("pilot-vee", "press-card", "recheck").rows}
    for one in resolved("pilot-vee").strut.palms:
        skew = frames.trace_to_projection_deg(one.plane.pitch_deg, one.plane.tilt_deg)
        assert number(rows[f"{one.name}: skew of a bar to the trace, to port"]) == pytest.approx(skew, abs=0.006)
    assert number(rows["port palm: skew of a bar to the trace, to port"]) == -number(
        rows["starboard palm: skew of a bar to the trace, to port"]
    )


# --- barrel -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", every(["pilot-vee", "refit-two-bores", "coaster-steel", "cutter-shoulder"], 2))
def test_form_is_asked_of_each_seat_and_never_of_a_relief(name: str) -> None:
    strut = resolved(name).strut
    b = strut.barrel
    page = laid(name, "barrel-machining")
    ends = [i for i in page.items if i.owner == "section" and i.name == "tolerance cylindricity"]
    bodies = [i for i in page.items if i.owner == "section" and i.name == "geometry"]
    middle = bodies[0].box().centre[0]
    stations = [(i.fills[0].points[0][0] - middle) / page.scale + b.length_mm / 2 for i in ends]
    assert stations
    reliefs = [(s.from_station_mm, s.to_station_mm) for s in b.steps if s.kind == "relief"]
    assert not any(a < s < z for s in stations for a, z in reliefs)
    for seat in made_barrel.seats(strut):
        assert all(any(a < s < z for s in stations) for a, z in seat.lengths)
    if name == "pilot-vee":
        assert len(stations) == 2


@long_run
def test_the_bar_of_two_bores_is_stepped() -> None:
    strut = resolved("refit-two-bores").strut
    assert set_up.test_bar_mm(strut) == (80.0, 75.0)
    assert {"STEPPED TEST BAR", "Ø80 aft, Ø75 forward"} <= set(texts(laid("refit-two-bores", "barrel-machining")))
    made = whole("refit-two-bores", "inspection-record")
    assert made is not None
    assert "stepped test bar, Ø80 aft and Ø75 forward, that fills both bores" in made.notes[0]
    assert set_up.test_bar_mm(resolved("pilot-vee").strut) == (90.0, 90.0)
    shoulder = resolved("cutter-shoulder").strut
    assert set_up.test_bar_mm(shoulder)[1] == shoulder.barrel.steps[0].diameter_mm < shoulder.barrel.bore_mm


@pytest.mark.parametrize("name", every(SETS, 7))
def test_the_record_reads_in_order(name: str) -> None:
    page = laid(name, "inspection-record")
    boxes = {i.name: i.block for i in page.items if i.name in ("table first", "table second")}
    first, second = boxes["table first"], boxes.get("table second")
    assert first is not None
    assert second is None or first.x1 < second.x0
    if second is None:
        assert not any("CONTINUED" in t for t in texts(page))


def test_relief_and_slots_are_recorded() -> None:
    made = {
        n: {r[0]: r[1:4] for r in record_rows(context(resolved(n).strut, resolved(n), solids(n)))}
        for n in ("pilot-vee", "work-launch-vee")
    }
    relief = resolved("pilot-vee").strut.barrel.steps[0]
    rows = made["pilot-vee"]
    assert number(rows["relief, diameter"][0]) == relief.diameter_mm
    assert number(rows["relief, aft end from the aft face"][0]) == relief.from_station_mm
    assert number(rows["relief, forward end from the aft face"][0]) == relief.to_station_mm
    assert rows["barrel, least wall at the relief"][0] == "19.5"
    assert "bore, middle, athwart" not in rows  # that is in the relief
    assert rows["bore, aft length, forward, athwart"][0] == "90"
    slots = resolved("work-launch-vee").strut.barrel.slots
    assert slots is not None
    assert number(made["work-launch-vee"]["slots, centre from the aft face"][0]) == slots.centre_station_mm
    assert number(made["work-launch-vee"]["slots, width"][0]) == slots.width_mm
    words = texts(laid("pilot-vee", "barrel-machining"))
    assert {"wall (20)", "(19.5) at the relief"} <= set(words)


@pytest.mark.parametrize("name", every(["coaster-steel", "work-launch-vee", "pilot-vee"], 2))
def test_bearings_are_placed_from_the_aft_face(name: str) -> None:
    source = resolved(name)
    page = laid(name, "set-screws")
    sizes = [i.dim.value for i in page.items if i.dim is not None and i.owner.startswith("side")]
    for bearing in source.strut.bearings:
        if bearing.aft_station_mm > 0.01:
            assert min(abs(v - bearing.aft_station_mm) for v in sizes) < 1e-6


def test_slots_are_on_the_developed_outside() -> None:
    slots = resolved("work-launch-vee").strut.barrel.slots
    made = whole("work-launch-vee", "set-screws")
    assert slots is not None
    assert made is not None
    strip = next(v for v in made.views if v.name == "strip")
    round_ends = [
        s.shape
        for s in strip.strokes
        if s.kind == "visible" and abs(getattr(s.shape, "radius", 0.0) - slots.width_mm / 2) < 1e-9
    ]
    assert len(round_ends) == 2 * slots.count


# --- words that fit the job -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", every(SETS, 14))
def test_cautions_and_words_fit_the_job(name: str) -> None:
    strut = resolved(name).strut
    family = tables.material(strut.material).family
    said = []
    for kind in sheet_makers(strut):
        made = whole(name, kind)
        if made is not None:
            said += [*made.notes, *made.cautions]
    one = " ".join(said)
    steel = family in ("stainless", "duplex")
    assert ("hexavalent" in one) == ("Pickling paste" in one) == (steel and strut.construction == "welded")
    assert ("bronze chips" in one) == (family == "bronze")
    assert "aluminium" not in one or family == "aluminium"
    pressed = strut.barrel.fit == "press"
    assert ("Press work" in one) == (pressed or strut.construction == "welded")
    if strut.set_screws:
        called = "bush" if strut.family == "rudder_shoe" else "bearing"
        assert (f"{called} is pressed in" in one) == pressed
        assert (f"{called} is slid in" in one) == (not pressed)
    rows = [r[0] for r in record_rows(context(strut, resolved(name), solids(name)))]
    assert not any("pressed bearing" in r for r in rows)
    for odd in ("own size rules", "torque to catalogue", "end up short", "do not mark", "do not interchange"):
        assert odd not in one


def test_a_caution_for_an_unknown_metal_says_all() -> None:
    assert any("hexavalent" in c for c in cautions.for_construction("welded"))
    assert any("fly out" in c for c in cautions.for_construction("cast"))


@pytest.mark.parametrize("name", every([n for n in SETS if len(resolved(n).strut.arms) > 1], 2))
def test_an_arm_is_told_as_cut_only_where_it_is(name: str) -> None:
    strut = resolved(name).strut
    coped = bool(cuts.cut_arm(strut, strut.arms[1]).low.coped.any())
    for kind in ("arm", "arm-2"):
        made = sheet(name, kind)
        assert made is not None
        assert any("meet outside the barrel" in n for n in made.notes) == coped


# --- figures ----------------------------------------------------------------------------------------------------------


def test_halves_are_rounded_away_from_nought_everywhere() -> None:
    inch = Figures(unit="in")
    # The fourth place is an exact 5; a sixteenth keeps it.
    for half in range(1, 4000, 2):
        up = (half + 1) / 2000
        told = up if 16 * half % 2000 else half / 2000
        assert float(inch.length(25.4 * half / 2000)) == pytest.approx(told, abs=1e-9)
        assert float(fixed(-half / 2000, 3)) == pytest.approx(-up, abs=1e-9)
    assert inch.length(25.4 * 0.1885) == ".189"
    assert Figures().length(0.125) == "0.13"
    assert common.degrees(0.125) == "0.13°"
    assert common.degrees(2.675) == "2.68°"
    assert fixed(-0.0004, 3) == "0.000"


@pytest.mark.parametrize("name", every(SETS, 7))
def test_weights_are_of_the_finished_part_and_agree(name: str) -> None:
    source = resolved(name)
    made = whole(name, "general-arrangement")
    assert made is not None
    listed = {r[1]: r[5] for t in made.tables if t.name == "parts" for r in t.rows}
    for kind, one in (("palm-drilling", 0), ("palm-drilling-2", 1)):
        page = whole(name, kind)
        if page is None:
            continue
        if source.strut.construction == "cast":
            assert page.title.mass == ""
        else:
            label = source.strut.palms[one].name
            assert page.title.mass == "plate " + listed[label]
    for kind, one in (("arm", 0), ("arm-2", 1)):
        page = whole(name, kind)
        if page is not None and page.title.mass:
            assert page.title.mass == listed[source.strut.arms[one].called]


@pytest.mark.parametrize("name", every(WELDED, 3))
def test_the_blank_is_as_long_as_its_outline(name: str) -> None:
    strut = resolved(name).strut
    cuts = {r["part"]: r for r in map(asdict, cut_rows(strut, ()))}
    for arm, kind in zip(strut.arms, ("arm", "arm-2"), strict=False):
        x0, y0, x1, y1 = arm_pattern(strut, arm).bounds("CUT_OUTER")
        assert float(cuts[arm.name]["length_mm"]) == pytest.approx(y1 - y0, abs=6e-4)
        assert float(cuts[arm.name]["width_mm"]) == pytest.approx(x1 - x0, abs=6e-4)
        told = {r[0]: r[1] for r in table(name, kind, "lengths").rows}
        assert number(told["blank, length"]) == pytest.approx(y1 - y0, abs=6e-3)


@pytest.mark.parametrize("name", every(SETS, 7))
def test_the_parts_list_has_sizes_threads_and_standards(name: str) -> None:
    strut = resolved(name).strut
    rows = list(map(asdict, parts_rows(strut, solids(name).parts)))
    for row in rows:
        assert row["size"] or row["part"] in ("strut", "hanger", "weld metal"), row["part"]
        if "bolt" in row["part"] or row["part"] in ("nut", "washer"):
            assert row["standard"], row["part"]
        if row["part"] == "hexagon bolt":
            assert row["standard"] == ("ISO 4014" if strut.plates[0].bolt.size.startswith("M") else "ASME B18.2.1")
        if strut.file_units == "in" and ("bolt" in row["part"] or row["part"] == "nut"):
            # ASME B1.1 (published): 3/8-16, 1/2-13, 5/8-11, 3/4-10.
            turns = {"3/8": 16, "1/2": 13, "5/8": 11, "3/4": 10}[strut.plates[0].bolt.size]
            assert row["size"].startswith(f"{strut.plates[0].bolt.size}-{turns} UNC")
    cut = {r["part"]: r for r in map(asdict, cut_rows(strut, ()))}
    for one in strut.palms if strut.backing_plate else ():
        (row,) = (r for r in rows if r["part"] == f"{one.name} backing plate")
        thick = one.bolt.major_mm / (25.4 if strut.file_units == "in" else 1.0)
        assert float(row["size"].split(" x ")[2].split()[0]) == pytest.approx(thick, abs=1e-3)
        assert f"{one.name} backing plate" in cut


@pytest.mark.parametrize("name", every(WELDED, 3))
def test_reference_sizes_over_the_palm_are_the_solids(name: str) -> None:
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    for part in solids(name).parts:
        if part.kind == "palm":
            BRepBndLib.AddOptimal_s(part.shape.wrapped, box, False, False)
    low, high = np.array(box.Get()[:3]), np.array(box.Get()[3:])
    rims = arrangement._rims(resolved(name).strut)
    assert rims.min(axis=0) == pytest.approx(low, abs=2e-3)
    assert rims.max(axis=0) == pytest.approx(high, abs=2e-3)


# --- views ------------------------------------------------------------------------------------------------------------


def test_the_foot_has_its_length_and_lean() -> None:
    strut = resolved("yawl-with-heel").strut
    assert strut.skeg is not None
    assert strut.skeg.heel is not None
    heel, found = strut.skeg.heel, values("yawl-with-heel", "skeg")
    # Of the bar's 18 either way, turned by 4.695 degrees; the edge leans 20 in 324 - 83 / 2.
    ahead = 18 * math.sin(math.radians(4.695)) + (18 + 18 * math.cos(math.radians(4.695))) * 20 / 282.5 + HAIR_MM
    lead = strut.barrel.x(strut.skeg.root_forward_station_mm) - strut.skeg.sweep_mm + ahead
    run, sink = lead - heel.centre_mm[0], heel.foot_height_mm / 2 - strut.skeg.depth_mm - heel.centre_mm[2]
    long = math.hypot(run, sink)  # the nose is half round from there on, inside the length
    assert min(abs(v - long) for v in found.values()) < 6e-3
    lean = abs(math.degrees(math.atan2(sink, run)))
    assert skeg.foot_angle_deg(strut, strut.skeg, heel) == pytest.approx(math.degrees(math.atan2(sink, run)))
    assert min(abs(v - lean) for v in found.values()) < 6e-3


@pytest.mark.parametrize("name", every([*WELDED, "day-cruiser", "coastal-pair"], 4))
def test_sections_are_told_along_the_axis(name: str) -> None:
    assert "from shaft line, along the axis" in table(name, "arm", "sections").columns


@pytest.mark.parametrize("name", every(SETS, 7))
def test_a_parallel_to_the_trace_is_not_called_the_trace(name: str) -> None:
    strut = resolved(name).strut
    for one, kind in zip(strut.palms, ("palm-drilling", "palm-drilling-2"), strict=False):
        # The trace is where the plane y = 0 meets the hull face: from the zero down the face's own steepest way in y.
        axes = frames.palm_axes(one)
        down = np.array((float(axes.u[1]), float(axes.v[1])))
        foot = -one.zero_mm[1] / float(down @ down) * down
        at = axes.to_strut(foot[None, :])[0]
        assert abs(float(at[1])) < 1e-9
        assert arm_ends.off_trace(one).on_face_mm == pytest.approx(
            math.copysign(math.hypot(*foot), one.zero_mm[1]), abs=1e-9
        )
        words = texts(drawn(name, kind))
        off = abs(arm_ends.off_trace(one).on_face_mm) >= 0.05
        assert any(t.startswith("PARALLEL TO THE TRACE") for t in words) == off
        if off:
            assert any(t.startswith("the trace: ") for t in words)


def test_the_drop_between_two_palms_is_told_at_the_centre_line() -> None:
    words = texts(laid("pilot-vee", "weld-assembly"))
    assert any("to the hull face, at the centre line" in t for t in words)
    assert any(t.endswith("to the hull face") for t in texts(laid("yawl-with-heel", "weld-assembly")))


# --- foot, skew and toe; datum ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [n for n in SETS if (fin := resolved(n).strut.skeg) is not None and fin.heel])
def test_the_foot_is_as_long_as_it_is_built(name: str) -> None:
    """From the tip of its nose to the boss's middle, along its middle line, on the solid."""
    strut = resolved(name).strut
    assert strut.skeg is not None
    heel = strut.skeg.heel
    assert heel is not None
    start = np.array(foot_start_mm(strut.barrel, strut.skeg, heel))
    boss = np.array(heel.centre_mm)
    way = (start - boss) / np.linalg.norm(start - boss)
    bar = build_skeg.foot(strut.skeg, heel, strut.barrel)
    reach = max(float((np.array(v.toTuple()) - boss) @ way) for v in bar.Vertices())
    length = foot_length_mm(strut.barrel, strut.skeg, heel)
    assert length == pytest.approx(reach, abs=1e-6)
    told = Figures(unit=strut.file_units).length(length)
    assert any(t.startswith(told) and t.endswith("FOOT") for t in texts(laid(name, "skeg")))


@pytest.mark.parametrize("sweep", [-30.0, 0.0, 20.0, 60.0])
@pytest.mark.parametrize("boss_mm", [(-363.0, 0.0, -340.0), (-363.0, 60.0, -240.0), (-200.0, 0.0, -450.0)])
def test_a_fin_stands_on_its_foot_whole(sweep: float, boss_mm: tuple[float, float, float]) -> None:
    """The foot's square end, turned as the foot leans, is nowhere abaft the fin's edge, and all but meets it there."""
    strut = resolved("yawl-with-heel").strut
    skeg = strut.skeg
    assert skeg is not None
    assert skeg.heel is not None
    heel = replace(skeg.heel, centre_mm=boss_mm)
    skeg = replace(skeg, sweep_mm=sweep, heel=heel)
    start = np.array(foot_start_mm(strut.barrel, skeg, heel))
    way = (np.array(boss_mm) - start) / math.dist(boss_mm, start)
    up = np.cross(way, np.cross([0.0, 0.0, 1.0], way))
    rise = heel.foot_height_mm / 2 * up / np.linalg.norm(up)
    ahead = [p[0] - chord_at(skeg, strut.barrel, -p[2])[0] for p in (start + rise, start - rise)]
    assert min(ahead) == pytest.approx(HAIR_MM, abs=0.01)
    if boss_mm[1] == 0.0:
        left = kernel.solids(
            kernel.cut(build_skeg.fin(skeg, strut.barrel), [build_skeg.foot(skeg, heel, strut.barrel)])
        )
        fin = max(left, key=lambda s: float(s.Volume()))
        top = (start + rise) @ rise / np.linalg.norm(rise)
        assert min(np.array(v.toTuple()) @ rise / np.linalg.norm(rise) for v in fin.Vertices()) > top - 0.02


@pytest.mark.parametrize("name", every([n for n in SETS if common.has_skew(resolved(n).strut)], 2))
def test_the_skew_has_one_sign_on_every_sheet(name: str) -> None:
    """Toward port positive, by the palm's frame: the side on which the shaft's fore end lies of the trace."""
    strut = resolved(name).strut
    ctx = context(strut, resolved(name))
    line = "skew of the bar to the trace, toward port"
    told = {number(v) for _, what, _, v in set_up.heights_table(ctx).rows if what == line}
    wanted = {round(frames.trace_to_projection_deg(p.plane.pitch_deg, p.plane.tilt_deg), 3) for p in strut.palms}
    assert {round(v, 2) for v in told} == {round(v, 2) for v in wanted}
    if strut.construction == "welded":
        rows = {r[0]: r[1:] for r in jig.jig_table(ctx).rows}
        wanted = {round(v, 2) for v in told}
        assert {number(v) for v in rows["skew of the bar to the trace, plan, toward port"]} == wanted


@pytest.mark.parametrize("toe_deg", [1.5, -2.25, 0.0])
@pytest.mark.parametrize("hand", ["port", "starboard"])
def test_the_toe_is_told_by_the_side_it_turns_to(hand: str, toe_deg: float) -> None:
    """The side toward which the chord's fore end lies of the chord without toe, by the arm's frame."""
    strut = resolved("coastal-pair").of_hand(hand)
    turned = replace(strut.arms[0], toe_deg=toe_deg)
    plane = frames.arm_plane(strut, turned)
    chords = [frames.arm_axes(a, strut.barrel, plane).u for a in (turned, replace(turned, toe_deg=0.0))]
    aside = float((chords[0] - chords[1])[1])
    told = arm_sheet._toe(turned)
    if toe_deg == 0.0:
        assert told == "without toe"
        return
    assert told.endswith(" to port" if aside > 0 else " to starboard")
    assert fixed(abs(toe_deg), 2) in told


def test_the_least_wall_at_a_relief_takes_its_general_tolerance() -> None:
    """Ø130 and the relief Ø91 to ISO 2768-1 m, 0.5 and 0.3, and 0.5 between the axes: (129.5 - 91.3 - 0.5) / 2 = 18.85,
    told no larger than that."""
    strut = resolved("pilot-vee").strut
    assert made_barrel.least_wall_mm(context(strut, resolved("pilot-vee"))) == pytest.approx(18.8)


@pytest.mark.parametrize("name", every(["coaster-steel", "canal-tender", "pilot-vee"], 2))
def test_the_joint_at_the_barrel_shows_the_wall_as_it_is_welded(name: str) -> None:
    """A ring's part: every corner of the hatched barrel lies on its outside or on the rough bore, about one middle."""
    strut = resolved(name).strut
    view = weld_joint.joint_detail(context(strut, resolved(name)), strut.arms[0], "barrel", False)
    outside, rough = strut.barrel.outside_mm / 2, jig.mandrel_mm(strut)[0] / 2
    corners = np.vstack([np.asarray(ring) for ring in view.hatches[0][0]])
    away = np.hypot(corners[:, 0], corners[:, 1] + outside)
    assert np.minimum(np.abs(away - outside), np.abs(away - rough)).max() < 0.05
    assert away.min() == pytest.approx(rough, abs=0.05)


@pytest.mark.parametrize("name", ["refit-two-bores", "pilot-vee", "harbour-launch", "coastal-pair"])
def test_datum_a_has_one_name_on_every_sheet(name: str) -> None:
    """The bore that the machinist dimensions on the barrel sheet is the one that the other sheets refer to."""
    strut = resolved(name).strut
    drilling = sheet(name, "palm-drilling")
    assert drilling is not None
    words = " ".join((common.datum_a(strut), *drilling.notes))
    told = re.findall(r"Datum A(?: is|:)(?: the)? axis of the ([a-z ]*bore)", words)
    assert told == ["aft bore" if name == "refit-two-bores" else "bore"] * 2
    assert told[0] == made_barrel.seats(strut)[0].name


@pytest.mark.parametrize("name", ["coaster-steel", "pilot-vee", "survey-launch", "patrol-vee-pair"])
def test_what_the_heights_of_a_bar_do_not_show_is_told_by_hand_and_palms(name: str) -> None:
    strut = resolved(name).strut
    notes = " ".join(barrel_sheet.barrel_notes(context(strut, resolved(name))))
    skewed = any(abs(p.plane.tilt_deg) > 0.01 for p in strut.palms)
    centre, several = strut.identity.hand == "centre", len(strut.palms) > 1
    assert ("A strut of the wrong hand can have the right heights" in notes) == (skewed and not centre)
    assert ("Both palms have the same heights" in notes) == (skewed and centre)
    # One palm is shown: nobody is told to make the other one like it, for its tilt and place are its own.
    assert ("of the other palm are as shown; its tilt and place are in the view PALM TILT" in notes) == several


def test_the_test_bar_is_of_the_shaft_and_the_shop_s_least_clearance() -> None:
    source = resolved("canal-tender")  # a shaft of 20 mm
    ctx = replace(context(source.strut, source), limits=own_limits("clearance_floor: 0.37"))
    (bar,) = [row for row in record_rows(ctx) if "test bar" in row.what]
    assert "20.37" in bar.nominal


def test_a_fin_of_foil_section_is_shaped_and_a_plate_is_not() -> None:
    strut = resolved("yawl-with-heel").strut
    for kind, said in (("foil", True), ("plate", False)):
        skeg = replace(strut.skeg, kind=kind)
        (row,) = (r for r in cut_rows(replace(strut, skeg=skeg), ()) if r.part == "skeg")
        assert row.note.startswith("shaped to its section: foil") == said
        words = " ".join(fact for fact, _ in skeg_pattern(replace(strut, skeg=skeg), skeg).facts)
        assert f"leading edge: {'foil' if said else 'half round'}" in words
