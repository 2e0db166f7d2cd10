"""What templates tell who uses them: where a palm lies off the shaft, how a gauge is held, which side is which.

Places are found again by geometry from the plane z = drop - x tan(pitch) + y tan(tilt), not by the project's axes.
"""

from __future__ import annotations

import io
import math
import re
from dataclasses import asdict
from typing import Any

import ezdxf
import numpy as np
import pytest
from support import SETS, STRUTS, every, hands_of, of_every_kind, templates_of

from strutwright.exporters.drawing.dxfdoc import dxf_bytes
from strutwright.exporters.drawing.text import text_width
from strutwright.exporters.files import barrel_strips, patterns, tiles
from strutwright.exporters.files.cut_list import cut_rows
from strutwright.exporters.files.cutfile import CutFile
from strutwright.models import frames
from strutwright.models.shop import cuts
from strutwright.models.shop import development as dev
from strutwright.models.spec import Strut

PALM_FILES = ("hull-template", "drill-jig", "backing-plate")


def made(name: str) -> list[tuple[Strut, dict[str, CutFile]]]:
    return [(strut, templates_of(strut)) for strut in hands_of(name)]


def space(cut: CutFile) -> Any:
    return ezdxf.read(io.StringIO(dxf_bytes(cut.document()).decode())).modelspace()


def texts(cut: CutFile) -> list[str]:
    return [t.text for t in cut.words()]


def said(cut: CutFile) -> str:
    return " ".join(sentence for sentence, _ in cut.facts)


def per_unit(strut: Strut) -> float:
    return 25.4 if strut.file_units == "in" else 1.0


# --- off the shaft's trace -------------------------------------------------------------------------------------------


def distance_to_trace(strut: Strut, index: int) -> tuple[float, float]:
    """Distances from a palm's zero to the vertical plane through the shaft, and to its trace in the hull face."""
    palm = strut.palms[index]
    slope = math.tan(math.radians(palm.plane.pitch_deg))
    a, b = np.array((0.0, 0.0, palm.plane.drop_mm)), np.array((1.0, 0.0, palm.plane.drop_mm - slope))
    zero = np.array(palm.zero_mm)
    way = (b - a) / np.linalg.norm(b - a)
    return abs(zero[1]), float(np.linalg.norm(np.cross(zero - a, way)))


@pytest.mark.parametrize("name", every(SETS, 2))
def test_a_line_is_called_the_shaft_s_trace_only_where_it_is(name: str) -> None:
    for strut, files in made(name):
        for index, palm in enumerate(strut.palms):
            level, on_face = distance_to_trace(strut, index)
            off = level > 0.01
            stem = palm.name.replace(" ", "-")
            cuts = [files[f"{stem}-{kind}"] for kind in PALM_FILES if f"{stem}-{kind}" in files]
            cuts += [patterns.palm_pattern(strut, palm, face) for face in ("hull face", "water face")]
            for cut in cuts:
                labels = [t for t in texts(cut) if t.startswith("parallel to the ") and "trace" in t]
                assert len(labels) == off, (name, cut.name)
                found = re.search(
                    r"it runs ([\d.]+) (mm|in) to (PORT|STARBOARD) of it.* zero is ([\d.]+) (?:mm|in) to "
                    r"(port|starboard)",
                    said(cut),
                )
                assert (found is not None) == off, (name, cut.name)
                if found is not None:
                    k = per_unit(strut)
                    assert float(found[1]) * k == pytest.approx(on_face, abs=0.006)
                    assert float(found[4]) * k == pytest.approx(level, abs=0.006)
                    assert found[3].lower() == found[5] == ("port" if palm.zero_mm[1] > 0 else "starboard")
            assert "in the vertical plane through the shaft" not in said(files[f"{stem}-hull-template"])


@pytest.mark.parametrize("name", every(SETS, 2))
def test_every_line_called_shaft_trace_lies_in_the_vertical_plane_through_the_shaft(name: str) -> None:
    drawn = 0
    for strut, files in made(name):
        for palm in strut.palms:
            for kind, seen in zip(PALM_FILES, (1.0, -1.0, 1.0), strict=True):
                cut = files.get(f"{palm.name.replace(' ', '-')}-{kind}")
                if cut is None:
                    continue
                label = next((t for t in cut.words() if t.text == "shaft trace"), None)
                on_plane = []
                for line in space(cut).query('LINE[layer=="CENTRE"]'):
                    ends = np.array([(p.x, seen * p.y) for p in (line.dxf.start, line.dxf.end)]) * per_unit(strut)
                    if math.dist(*ends) > 60.0 and abs(ends[0, 0] - ends[1, 0]) > 60.0:
                        there = frames.palm_axes(palm).to_strut(ends)
                        if np.abs(there[:, 1]).max() < 1e-6:
                            on_plane.append(ends)
                assert len(on_plane) == (label is not None), (name, cut.name)
                if label is not None:
                    box = label.box()
                    near = max(on_plane[0].tolist())
                    assert math.dist(((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2), (near[0], seen * near[1])) < 25.0
                    drawn += 1
    if name in ("survey-launch", "workboat-common-vee"):
        assert drawn >= 3 * len(hands_of(name))  # zero is off the plane, and the palm lies across the trace


@pytest.mark.parametrize("name", every(STRUTS, 2))
def test_zero_of_a_palm_of_two_arms_lies_between_them(name: str) -> None:
    for strut, files in made(name):
        for palm in strut.palms:
            arms = [a for a in strut.arms if strut.palms[a.palm_index] is palm]
            want = "the middle between the arms meets" if len(arms) > 1 else "the arm's axis meets"
            cuts = [c for f, c in files.items() if f.startswith(palm.name.replace(" ", "-")) and f.endswith(PALM_FILES)]
            cuts += [patterns.palm_pattern(strut, palm, face) for face in ("hull face", "water face")]
            assert all(f"ero is where {want}" in said(c) for c in cuts)
            jig = next(c for c in cuts if "jig" in c.name)
            assert f"dashed: the {'arms' if len(arms) > 1 else 'arm'} on" in said(jig)


# --- gauges and backing plates ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", every(STRUTS, 2))
def test_gauges_say_how_they_are_held_and_speak_of_no_other(name: str) -> None:
    for strut, files in made(name):
        for palm in strut.palms:
            cut = files[f"{palm.name.replace(' ', '-')}-bevel-gauges"]
            words = said(cut) + " ".join(texts(cut))
            # Held square across the shaft, x is 0 and the face rises by tan(tilt): it is seen along the shaft.
            assert ("seen along the shaft" in words) == (abs(palm.plane.tilt_deg) > 0.05)
            assert "square to the shaft" not in words
            assert "own axes" not in words
            count = len(space(cut).query('LWPOLYLINE[layer=="CUT_OUTER"]'))
            assert ("TILT" in words) + ("PITCH" in words) == count
            assert ("each" in words or "both gauges" in words) == (count == 2)


@pytest.mark.parametrize("name", every(STRUTS, 2))
def test_backing_plate_says_its_thickness_and_a_round_overhang(name: str) -> None:
    for strut, files in made(name):
        rows = list(map(asdict, cut_rows(strut, [])))
        for palm in strut.palms:
            cut = files[f"{palm.name.replace(' ', '-')}-backing-plate"]
            unit = "in" if strut.file_units == "in" else "mm"
            row = next(r for r in rows if r["part"] == f"{palm.name} backing plate")
            thick = float(re.search(rf"thickness of the plate ([\d.]+) {unit}", said(cut), re.IGNORECASE)[1])
            per = 25.4 if unit == "in" else 1.0
            assert thick == pytest.approx(palm.bolt.major_mm / per, abs=1e-3)
            assert row["stock_thickness_mm"] / per >= thick - 1e-3
            assert "common practice" in said(cut)
            assert ("1 in larger" if unit == "in" else "25 mm larger") in said(cut)
            x0, y0, x1, y1 = cut.bounds("CUT_OUTER")
            box, over = palm.outline.bounding_box(), 25.4 if unit == "in" else 25.0
            assert x1 - x0 == pytest.approx(box.xmax - box.xmin + 2 * over, abs=0.01)
            assert y1 - y0 == pytest.approx(box.ymax - box.ymin + 2 * over, abs=0.01)


# --- words of each kind ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", of_every_kind(SETS, 2))
def test_each_kind_of_template_has_its_own_words(name: str) -> None:
    for strut, files in made(name):
        for file, cut in files.items():
            words = said(cut)
            wrapped = file.endswith(("wrap", "strip"))
            assert ("measure its outside diameter and sections" in words) == wrapped, file
            assert "differ" in words or file == "structure-hole", file  # where the hole is measured after boring
            assert "lies in a box" not in words
            if strut.construction == "cast":
                assert not re.search(r"\bweld|\bgrind|bare barrel|root gap", words), file
            elif file.endswith("end-wrap"):
                assert "grind to it" in words
        cast = strut.construction == "cast"
        for arm in strut.arms:
            words = said(patterns.arm_pattern(strut, arm))
            assert (f"a cast {arm.name.split()[-1]} is not cut to this profile" in words) == cast
            assert bool(re.search(r"Cut to the outer line.*bevel.*gap", words)) != cast


@pytest.mark.parametrize("name", every(STRUTS, 2))
def test_hand_and_side_of_a_wrap_stand_apart(name: str) -> None:
    for strut, files in made(name):
        for file, cut in files.items():
            if not file.endswith("end-wrap"):
                continue
            inside = [w for w in cut.words() if w.at[1] > cut.bounds("TEMPLATE")[1]]
            for side in (w for w in inside if w.text.endswith(" SIDE")):
                c, s = math.cos(side.turn), math.sin(side.turn)
                own = text_width(side.text, side.height_mm)
                for other in inside:
                    if other is side or abs(math.sin(other.turn - side.turn)) > 0.5:
                        continue
                    dx, dy = other.at[0] - side.at[0], other.at[1] - side.at[1]
                    along, across = dx * c + dy * s, -dx * s + dy * c
                    beside = -text_width(other.text, other.height_mm) - 20.0 < along < own + 20.0
                    assert not (beside and abs(across) < side.height_mm), (file, side.text, other.text)
            half = {w.text.split()[0]: w.at[0] > 0.0 for w in inside if w.text.endswith(" SIDE")}
            assert sorted(half) == ["PORT", "STARBOARD"]
            handed = [w for w in inside if "hand" in w.text]
            assert len(handed) == (strut.identity.hand != "centre"), file
            for w in handed:
                word = strut.identity.hand.upper()
                assert f"{word} hand" in w.text
                assert (w.at[0] > 0.0) == half[word], file


@pytest.mark.parametrize("name", every(STRUTS, 2))
def test_the_side_of_a_palm_sheet_is_large_and_clear(name: str) -> None:
    for strut, files in made(name):
        for file, cut in files.items():
            if not file.endswith(PALM_FILES):
                continue
            words = cut.words()
            first = next(k for k, w in enumerate(words) if w.text.startswith("THIS SIDE"))
            rows = []
            for w in words[first:]:
                if w.text != w.text.upper():
                    break
                rows.append(w)
            head = " ".join(w.text for w in rows)
            assert head in {
                "THIS SIDE TO THE HULL",
                "THIS SIDE AWAY FROM THE HULL",
                "THIS SIDE TO THE INSIDE OF THE BOAT",
            }, (file, head)
            part = words[first + len(rows)]
            palm = next(p for p in strut.palms if file.startswith(p.name.replace(" ", "-")))
            assert part.text.startswith(f"{palm.name}:")
            assert min(w.height_mm for w in rows) >= 3.5
            assert min(w.height_mm for w in rows) > part.height_mm
            assert rows[-1].at[1] - part.at[1] < 10.0  # they stay together
            for number in (w for w in words if w.text.isdigit()):
                for row in rows:
                    assert not row.box().grown(1.5).hits(number.box()), (file, number.text)


def test_skeg_is_told_the_right_way_up() -> None:
    for name in ("sloop-with-skeg", "yawl-with-heel"):
        cut = made(name)[0][1]["skeg-barrel-end-wrap"]
        words = " ".join(texts(cut))
        assert "below" not in words
        assert "upper edge" not in said(cut)
        assert "up in the boat" in words
        assert "the barrel is above the skeg" in said(cut)


def test_water_slots_stand_on_the_barrel_s_strips() -> None:
    strut, files = made("work-launch-vee")[0]
    slots, radius = strut.barrel.slots, strut.barrel.outside_mm / 2
    assert slots is not None
    strips = {f: c for f, c in files.items() if f.endswith(("strip", "on-barrel-wrap"))}
    assert len(strips) == 3
    for file, cut in strips.items():
        lines = [np.array(e.get_points("xy")) for e in space(cut).query('LWPOLYLINE[layer=="DRILL"]')]
        assert len(lines) == slots.count
        girth = math.pi * (2 * radius + dev.PAPER_MM)
        labels = {w.text: w for w in cut.words() if re.fullmatch(r"[-\d]+°.*", w.text)}
        clock_0 = labels["0° hull"].at[1] + 1.25
        for line in lines:
            assert np.ptp(line[:, 0]) == pytest.approx(slots.length_mm, abs=0.05)
            assert line[:, 0].mean() == pytest.approx(slots.centre_station_mm, abs=0.05)
            # A prism 16 wide through a cylinder: its edges stand asin(8 / R) from its middle.
            wide = 2 * math.asin(slots.width_mm / 2 / radius) / (2 * math.pi) * girth
            assert np.ptp(line[:, 1]) == pytest.approx(wide, abs=0.05)
        clocks = sorted(round((line[:, 1].mean() - clock_0) / girth * 360.0) % 360 for line in lines)
        assert clocks == sorted(
            round(slots.first_clock_deg + 360.0 * k / slots.count) % 360 for k in range(slots.count)
        )
        assert sum(t.startswith("water slot") for t in texts(cut)) == slots.count
        assert "16 mm wide, 32 mm long" in said(cut), file


def test_a_slot_across_the_seam_shows_at_both_edges() -> None:
    from dataclasses import replace

    strut = made("work-launch-vee")[0][0]
    slots = strut.barrel.slots
    assert slots is not None
    arm = strut.arms[0]
    turned = replace(strut, barrel=replace(strut.barrel, slots=replace(slots, first_clock_deg=arm.clock_deg + 180.0)))
    cut = barrel_strips.arm_on_barrel(turned, arm)
    _, y0, _, y1 = cut.bounds("TEMPLATE")
    lines = [np.array(e.get_points("xy")) for e in space(cut).query('LWPOLYLINE[layer=="DRILL"]')]
    assert len(lines) == slots.count + 1
    assert min(line[:, 1].min() for line in lines) == pytest.approx(y0, abs=1e-6)
    assert max(line[:, 1].max() for line in lines) == pytest.approx(y1, abs=1e-6)


@pytest.mark.parametrize("name", ["pilot-vee", "patrol-vee-pair", "workboat-common-vee", "work-launch-vee"])
def test_arms_that_part_inside_the_barrel_are_not_said_to_meet(name: str) -> None:
    strut, files = made(name)[0]
    meet = bool(cuts.cut_arm(strut, strut.arms[1]).low.coped.any())
    for file in ("set-screw-strip", f"{strut.arms[1].name.replace(' ', '-')}-on-barrel-wrap"):
        assert ("drawn whole" in said(files[file])) == meet


# --- pages -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", of_every_kind(SETS, 5))
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_drawing_that_fits_a_page_takes_one(name: str, paper: tiles.Paper) -> None:
    """Lines that fit the window of a page, with room left for the words beside them, take that page and no second."""
    short, long = sorted(tiles.PAPERS_MM[paper])
    windows = ((short - 31.0, long - 37.0), (long - 31.0, short - 37.0))
    for _, files in made(name):
        for file, cut in files.items():
            if file.endswith(("strip", "on-barrel-wrap")):
                continue  # long words stand round them
            pieces = cut.bounds("CUT_OUTER" if cut.holds("CUT_OUTER") else "TEMPLATE")
            wide, tall = pieces[2] - pieces[0], pieces[3] - pieces[1]
            words = 35.0 if file.endswith(PALM_FILES) else 25.0
            plan, _ = tiles.tiling(cut, paper)
            if any(wide + words < w and tall + words + 18.0 < h for w, h in windows):
                assert plan.printed == 1, (file, wide, tall)


def test_sentences_that_leave_the_tiles_stand_on_the_first_page() -> None:
    import pypdfium2 as pdfium

    looked: tuple[tuple[str, str, tiles.Paper], ...] = (
        ("sloop-with-skeg", "palm-drill-jig", "Letter"),
        ("canal-tender", "palm-drill-jig", "A4"),
        ("day-cruiser", "arm-palm-end-wrap", "Letter"),
        ("coaster-steel", "set-screw-strip", "A4"),
    )
    for name, file, paper in looked:
        cut = made(name)[0][1][file]
        plan, _ = tiles.tiling(cut, paper)
        assert plan.apart
        assert name == "coaster-steel" or plan.printed == 1
        document = pdfium.PdfDocument(tiles.tile_pdf(cut, paper))
        assert len(document) == plan.printed + 1
        first = re.sub(r"\s+", "", document[0].get_textpage().get_text_range())
        for sentence, _ in cut.facts:
            assert re.sub(r"\s+", "", sentence) in first, sentence
        for k in range(1, len(document)):
            page = document[k].get_textpage().get_text_range()
            assert "Read page 1" in page
            assert "revision" not in page


def test_an_inch_file_says_its_unit_as_a_word() -> None:
    cut = CutFile("inches", unit="in")
    assert (cut.unit_word, cut.length(25.4)) == ("inch", "1 in")
