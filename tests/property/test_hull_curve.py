"""A palm's hull face made to the hull's curve, over all that a file may say of it: solid, checks, sheets, survey."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from sheets_support import context, resolved
from support import PlainPart, every, long_run
from survey_support import MID, line_at, rows

from strutwright.cli import parser
from strutwright.exporters.files.curve_templates import hull_curve_templates
from strutwright.exporters.files.pattern_templates import palm_outline
from strutwright.exporters.files.step import write_assembly
from strutwright.exporters.inspect.remeasure import remeasure
from strutwright.exporters.sheets import founder_words, sheet_makers
from strutwright.exporters.sheets.record import record_rows
from strutwright.models import frames, weights
from strutwright.models.bench.survey_frames import readings_of, strut_frame
from strutwright.models.checks import geometry_checks
from strutwright.models.checks.strength import palm as strength
from strutwright.models.finding import Finding
from strutwright.models.hull_curve import HullCurve
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.shop.bolting import least_length_mm
from strutwright.models.shop.founder import pattern_sizes
from strutwright.models.shop.foundry import casting_strut, foundry_settings
from strutwright.models.shop.pressing import machining_stock_mm
from strutwright.models.solids import build, kernel
from strutwright.models.solids import palm as palms
from strutwright.models.spec import Palm, Strut, mirrored
from strutwright.params import loader
from strutwright.params.bench.survey import Survey
from strutwright.params.edit import changed
from strutwright.params.limits import standard
from strutwright.params.measured import reads
from strutwright.params.problems import ParameterError

DRAWN = ("harbour-launch", "canal-tender", "pilot-vee", "workboat-common-vee", "patrol-vee-pair", "coastal-pair")
ROUNDED, HOLLOW = "toward_hull", "away_from_hull"
OTHER = f"{{radius: 2500 mm, crown: {HOLLOW}, axis: 30 deg}}"


def said(name: str, radius_mm: float, crown: str, axis_deg: float = 0.0, **more: str) -> Resolved:
    """A shipped set with its palm made to a curve, and other values in place of its own."""
    text = loader.shipped()[name].read_text(encoding="utf-8")
    values = {"palm.hull_face.radius": f"{radius_mm} mm", "palm.hull_face.crown": crown}
    values |= {"palm.hull_face.axis": f"{axis_deg} deg", **{k.replace("__", "."): v for k, v in more.items()}}
    return resolve(loader.loads(changed(text, values)))


def along(radius_mm: float, crown: str) -> dict[str, str]:
    """What makes a face of second order of a cylinder."""
    return {"palm__hull_face__along__radius": f"{radius_mm} mm", "palm__hull_face__along__crown": crown}


def drawn(seed: int, names: Sequence[str] = DRAWN) -> Resolved:
    """A set with a curve drawn from all that can be made, as near to its bounds as they are: now a cylinder, now a face
    of second order, rounded, hollow or both."""
    rng = np.random.default_rng(seed)
    name, cylinder = names[seed % len(names)], seed % 3 == 0
    axis, palm = round(float(rng.uniform(-90.0, 90.0)), 2), resolved(name).strut.palms[0]
    box, turn = palm.outline.bounding_box(), math.radians(axis)
    halves = (box.xmax - box.xmin) / 2, (box.ymax - box.ymin) / 2
    u, v = np.meshgrid(*(np.linspace(-half, half, 81) for half in halves))
    off, ahead = v * math.cos(turn) - u * math.sin(turn), u * math.cos(turn) + v * math.sin(turn)
    bends = np.array([1.0, 0.0 if cylinder else float(rng.uniform(0.02, 1.0))]) * rng.choice([-1.0, 1.0], 2)
    height = bends[0] * off**2 + bends[1] * ahead**2
    # As much as thickness and lean take, or a good deal less; a circle rises by 7 % more than its parabola at most.
    thick, lean = palm.thickness_mm, 2.0 * float(np.hypot(bends[0] * off, bends[1] * ahead).max())
    most = (0.99 * thick / max(height.max(), 1e-9), 0.346 * thick / max(-height.min(), 1e-9), 0.497 / lean)
    least = 0.11 / float(np.abs(height).max())
    size = math.exp(rng.uniform(math.log(least), math.log((0.93 if cylinder else 1.0) * min(most))))
    crowns = [ROUNDED if bend < 0.0 else HOLLOW for bend in bends]
    radius = round(0.5 / size, 3)
    more = {} if cylinder else along(round(0.5 / size / abs(float(bends[1])), 3), crowns[1])
    return said(name, radius, crowns[0], axis, **more)


def second(name: str) -> tuple[Strut, Palm]:
    """A strut with a face of second order, its axis 30 degrees to port: hollow across that, rounded along it."""
    strut = said(name, 900.0, HOLLOW, 30.0, **along(4000.0, ROUNDED)).strut
    return strut, strut.palms[0]


def made(palm: Palm) -> Any:
    return kernel.drilled(palms.plate(palm), palms.hole_cutters(palm, frames.palm_axes(palm), 1.0))


@pytest.mark.parametrize("seed", every(range(120), 40))
def test_a_palm_has_the_face_that_it_is_made_to(seed: int) -> None:
    found = drawn(seed)
    inputs = Inputs.from_strut(found.strut, None)
    for k, palm in enumerate(found.strut.palms):
        solid, axes, curve = made(palm), frames.palm_axes(palm), palm.curve
        assert curve is not None
        assert kernel.is_good(solid)
        (face,) = (f for f in solid.Faces() if f.geomType() in ("CYLINDER", "BEZIER") and f.innerWires())
        points = np.array([p.toTuple() for e in face.outerWire().Edges() for p in e.positions([0.0, 0.3, 0.7])])
        u, v, height = axes.from_strut(points).T
        turn, (mu, mv) = math.radians(curve.axis_deg), palm.middle_mm
        off = (v - mv) * math.cos(turn) - (u - mu) * math.sin(turn)
        centre = -curve.radius_mm if curve.crown_to_hull else curve.radius_mm
        if curve.along_radius_mm is None:
            # By the circle itself: its centre is a radius off the plane of the face, over the line through the middle.
            assert np.hypot(off, height - centre) == pytest.approx(curve.radius_mm, abs=1e-5)
        else:
            ahead = (u - mu) * math.cos(turn) + (v - mv) * math.sin(turn)
            other = -curve.along_radius_mm if curve.along_crown_to_hull else curve.along_radius_mm
            assert height == pytest.approx(off**2 / 2 / centre + ahead**2 / 2 / other, abs=1e-5)
        # What the checks go by is never thicker than the palm is, nor the weight another one.
        assert float(inputs.palms[k].least_mm) <= palm.thickness_mm + min(float(height.min()), 0.0) + 1e-6
        assert float(inputs.palms[k].most_mm) >= palm.thickness_mm + float(height.max()) - 1e-6
        assert float(weights._palm(inputs, k)[0]) == pytest.approx(kernel.volume_mm3(solid), rel=4e-3)


@pytest.mark.parametrize("seed", every(range(60), 6))
def test_what_follows_from_a_face_of_second_order_is_that_of_its_heights(seed: int) -> None:
    """Least, greatest, mean height and lean over a box, against a fine grid of it; two boxes at once are as each."""
    rng = np.random.default_rng(seed)
    radius, other, (a, b) = *rng.uniform(100.0, 3000.0, 2), rng.uniform(20.0, 200.0, 2)
    turn, crowns = rng.uniform(-90.0, 90.0), [bool(c) for c in rng.integers(2, size=2)]
    curve = HullCurve(
        radius_mm=float(radius),
        axis_deg=float(turn),
        crown_to_hull=crowns[0],
        along_radius_mm=float(other),
        along_crown_to_hull=crowns[1],
    )
    u, v = np.meshgrid(np.linspace(-a, a, 301), np.linspace(-b, b, 301))
    height = np.asarray(curve.height_mm(u, v))
    low, high = curve.range_mm(a, b)
    span = float(np.ptp(height))
    assert low <= height.min() + 1e-9
    assert high >= height.max() - 1e-9
    assert (low, high) == pytest.approx((height.min(), height.max()), abs=1e-4 * span)
    slope = np.hypot(np.gradient(height, u[0], axis=1), np.gradient(height, v[:, 0], axis=0)).max()
    assert curve.lean(a, b) == pytest.approx(math.sin(math.atan(slope)), rel=0.01)
    assert curve.mean_mm(a, b, (1.0 / 3.0, 0.0, 1.0 / 3.0)) == pytest.approx(height.mean(), abs=0.01 * span)
    both = curve.range_mm(np.array([a, a / 2]), np.array([b, 1.1 * b]))
    assert [float(end[1]) for end in both] == pytest.approx([float(end) for end in curve.range_mm(a / 2, 1.1 * b)])
    assert curve.mirrored().height_mm(u, -v) == pytest.approx(height)


def again(found: Sequence[Finding], palm: Palm) -> None:
    """Nothing that was measured again is off, and the face has the sizes that are asked."""
    curve, measured = palm.curve, {f.code: f.actual for f in found}
    assert curve is not None
    assert measured["palm_face_radius"] == pytest.approx(curve.radius_mm, rel=1e-6)
    if curve.along_radius_mm is None:
        assert measured["palm_face_axis"] == pytest.approx(curve.axis_deg, abs=1e-3)
    else:
        assert measured["palm_face_along"] == pytest.approx(curve.along_radius_mm, rel=1e-6)
        assert measured["palm_face_form"] == pytest.approx(0.0, abs=1e-5)


def bare(strut: Strut) -> Strut:
    return replace(strut, palms=strut.palms[:1], arms=(), bearings=(), set_screws=())


def in_file(path: Path, strut: Strut) -> Strut:
    """Write a strut's first palm by itself; return what it is of."""
    solid = made(strut.palms[0])
    part = PlainPart(strut.palms[0].name, "palm", solid, (0.7, 0.5, 0.3), strut.material, solid.Volume())
    write_assembly(path, [part], "strut", strut.file_units)
    return bare(strut)


@pytest.mark.parametrize("seed", every(range(240), 94))
def test_a_curved_palm_is_measured_again_in_its_file(seed: int, tmp_path: Path) -> None:
    strut = drawn(seed).strut
    asked = in_file(tmp_path / "a.step", mirrored(strut) if seed % 2 else strut)
    found = remeasure(tmp_path / "a.step", asked)
    assert [f.what for f in found if f.fails and f.code.startswith(("palm_", "hole_", "head"))] == []
    again(found, asked.palms[0])


@long_run
@pytest.mark.parametrize("seed", range(0, 100, 5))
def test_a_strut_with_a_curved_palm_is_sound_in_its_file(seed: int, tmp_path: Path) -> None:
    strut = drawn(seed).strut
    built = build(strut)
    assert built.sound
    write_assembly(tmp_path / "a.step", built.parts, "strut", strut.file_units)
    found = remeasure(tmp_path / "a.step", strut, built.parts)
    assert [f.what for f in found if f.fails] == []
    again(found, strut.palms[-1])


def test_another_face_in_the_file_is_found_out(tmp_path: Path) -> None:
    in_file(tmp_path / "a.step", said("harbour-launch", 900.0, HOLLOW, 20.0).strut)
    in_file(tmp_path / "b.step", said("harbour-launch", 900.0, HOLLOW, 20.0, **along(3000.0, ROUNDED)).strut)
    cylinder: dict[str, str] = {}
    for file, radius, crown, axis, more, code in (
        ("a", 900.0, HOLLOW, 20.0, cylinder, ""),
        ("a", 905.0, HOLLOW, 20.0, cylinder, "palm_face_radius"),
        ("a", 900.0, HOLLOW, -20.0, cylinder, "palm_face_axis"),
        ("a", 900.0, ROUNDED, 20.0, cylinder, "palm_face_missing"),
        ("a", 900.0, HOLLOW, 20.0, along(3000.0, ROUNDED), "palm_face_missing"),
        ("b", 900.0, HOLLOW, 20.0, cylinder, "palm_face_missing"),
        ("b", 900.0, HOLLOW, 20.0, along(3000.0, ROUNDED), ""),
        ("b", 900.0, HOLLOW, 20.0, along(3050.0, ROUNDED), "palm_face_along"),
        ("b", 900.0, HOLLOW, 21.0, along(3000.0, ROUNDED), "palm_face_form"),
    ):
        asked = bare(said("harbour-launch", radius, crown, axis, **more).strut)
        found = {f.code for f in remeasure(tmp_path / f"{file}.step", asked) if f.fails and f.code.startswith("palm_")}
        assert code in found if code else not found


@pytest.mark.parametrize(
    ("radius", "crown", "words"),
    [
        (400.0, ROUNDED, "too small for the thickness"),
        (200.0, HOLLOW, "lean by more than 30 degrees"),
        (60000.0, HOLLOW, "out of flat by less than"),
    ],
)
def test_what_cannot_be_made_is_refused(radius: float, crown: str, words: str) -> None:
    with pytest.raises(ParameterError, match=words):
        said("harbour-launch", radius, crown, 90.0)


@pytest.mark.parametrize(("other", "crown", "words"), [(500.0, ROUNDED, "thinner"), (450.0, HOLLOW, "thicker")])
def test_a_face_that_bends_too_much_along_its_axis_is_refused_there(other: float, crown: str, words: str) -> None:
    with pytest.raises(ParameterError, match=f"palm.hull_face.along.radius: is too small.* {words}"):
        said("harbour-launch", 900.0, HOLLOW, 0.0, **along(other, crown))


def test_a_vee_has_each_palm_by_itself() -> None:
    one, other = said("patrol-vee-pair", 3000.0, HOLLOW, 10.0).strut.palms
    assert other.curve == one.curve  # both lie on one side of the boat
    port, starboard = said("pilot-vee", 4000.0, HOLLOW, 10.0).strut.palms
    assert port.curve is not None
    assert starboard.curve == port.curve.mirrored()
    own = {"palm__hull_face_starboard": OTHER}
    both = said("pilot-vee", 4000.0, HOLLOW, 10.0, **own).strut.palms
    assert [p.curve.radius_mm for p in both if p.curve is not None] == [4000.0, 2500.0]
    with pytest.raises(ParameterError, match="single palm"):
        said("harbour-launch", 900.0, HOLLOW, **own)


def test_thin_edges_count_in_the_checks_and_thick_ones_in_the_bolts() -> None:
    flat, thin, thick = (
        resolved("harbour-launch").strut,
        *(said("harbour-launch", 900.0, crown).strut for crown in (ROUNDED, HOLLOW)),
    )
    land = [{f.code: f for f in geometry_checks(of)}["head_land"].actual for of in (flat, thin, thick)]
    fall = 900.0 - math.sqrt(900.0**2 - 59.0**2)
    assert land == pytest.approx([land[0], land[0] - fall, land[0]])
    numbers = [strength.numbers(Inputs.from_strut(of, None)) for of in (flat, thin, thick)]
    used = [max(float(b.utilisation) for key, b in of.items() if key.startswith("palm_bending")) for of in numbers]
    assert used[1] > 1.1 * used[0]
    assert used[2] == pytest.approx(used[0])
    rise = 900.0 - math.sqrt(900.0**2 - 38.5**2)  # at the bolts, 38.5 off the middle
    lengths = [least_length_mm(of, of.palms[0]) or 0.0 for of in (flat, thick)]
    assert lengths[1] - lengths[0] == pytest.approx(rise)


def test_it_is_cast_plain_over_its_highest_place_and_bought_thicker() -> None:
    found = said("harbour-launch", 900.0, HOLLOW)
    spec, palm = foundry_settings(found), found.strut.palms[0]
    cast = casting_strut(found.strut, spec).palms[0]
    assert cast.curve is None
    assert cast.thickness_mm == pytest.approx(palm.thickness_mm + palm.stands_out_mm + spec.stock_palm_mm)
    saddle = said("harbour-launch", 900.0, HOLLOW, **along(3000.0, ROUNDED))
    for of in (found, saddle, said("patrol-vee-pair", 4000.0, HOLLOW, 10.0, palm__hull_face_starboard=OTHER)):
        of_spec = foundry_settings(of)
        rows = [s for s in pattern_sizes(of.strut, of_spec) if s.what.endswith("palm, thickness")]
        assert len(rows) == len(of.strut.palms)  # each palm whose casting is another one
        for row, each in zip(rows, of.strut.palms, strict=True):
            assert row.finished_mm is not None
            assert row.casting_mm == pytest.approx(row.finished_mm + row.stock_mm)
            assert row.stock_mm == pytest.approx(of_spec.stock_palm_mm + each.stands_out_mm)
    told = founder_words._curve_words(context(found.strut, found), SimpleNamespace(strut=found.strut, spec=spec))  # type: ignore[arg-type]
    most = f"{spec.stock_palm_mm + palm.stands_out_mm:.2f}".rstrip("0").rstrip(".")
    assert f"highest place, {most} mm at its lowest" in told[0]
    told = founder_words._curve_words(context(saddle.strut, saddle), SimpleNamespace(strut=saddle.strut, spec=spec))  # type: ignore[arg-type]
    most = spec.stock_palm_mm + 59.0**2 / 1800.0 + 105.0**2 / 6000.0  # middle of the long edges over that of the ends
    assert f"highest place, {most:.2f} mm at its lowest" in told[0]
    words = " ".join(word.text for word in palm_outline(found.strut, spec, palm, "hull face").words())
    assert "finished hull face is a cylinder of radius 900 mm, hollow" in words
    welded, flat = said("canal-tender", 900.0, HOLLOW, 90.0).strut, resolved("canal-tender").strut
    stock = [machining_stock_mm(s, s.palms[0], standard(), inch=False) for s in (welded, flat)]
    assert stock[0] > welded.palms[0].stands_out_mm + 1.0
    assert stock[0] > stock[1]


def test_the_sheets_ask_for_the_curve_and_not_for_flat() -> None:
    found = said("canal-tender", 900.0, HOLLOW, 30.0)
    ctx = context(found.strut, found)
    sheet = sheet_makers(found.strut)["palm-drilling"](ctx)
    assert sheet is not None
    notes = " ".join(sheet.notes)
    assert "cylinder R900 mm, axis 30° from u toward port" in notes
    assert "rolled to R900 mm inside" in notes
    (table,) = (t for t in sheet.tables if t.name == "curve")
    assert ("0", "10", "0") in table.rows
    assert table.rows[0][1] == table.rows[-1][1] == "12.21"  # 10 and 900 - sqrt(900^2 - 63^2)
    whats = [row.what for row in record_rows(ctx)]
    assert "palm, profile of hull face to the hull's curve" in whats
    assert "palm, flatness of hull face" not in whats
    card = sheet_makers(found.strut)["press-card"](ctx)
    assert card is not None
    assert "of the hull face never" in " ".join(card.notes)


def test_the_sheets_of_a_face_of_second_order_have_both_sections_and_a_grid() -> None:
    found = said("canal-tender", 2000.0, HOLLOW, 30.0, **along(5000.0, ROUNDED))
    ctx = context(found.strut, found)
    sheet = sheet_makers(found.strut)["palm-drilling"](ctx)
    assert sheet is not None
    notes = " ".join(sheet.notes)
    assert "square to its axis hollow, R2000 mm, along it rounded, R5000 mm" in notes
    assert "plus the square of the way off the axis over 4000 mm, less the square of the way along the axis" in notes
    assert {"profile", "profile along"} <= {view.name for view in sheet.views}
    (table,) = (t for t in sheet.tables if t.name == "curve")
    turn, palm = math.radians(30.0), found.strut.palms[0]
    box = palm.outline.bounding_box()
    for row, v in zip(table.rows, np.linspace(box.ymax, box.ymin, 5), strict=True):
        for cell, u in zip(row[1:], np.linspace(box.xmin, box.xmax, 5), strict=True):
            du, dv = u - palm.middle_mm[0], v - palm.middle_mm[1]
            off, ahead = dv * math.cos(turn) - du * math.sin(turn), du * math.cos(turn) + dv * math.sin(turn)
            assert (cell == "-") == (max(abs(du) - 34.0, 0.0) ** 2 + dv**2 > 46.01**2)  # round ends of 46
            if cell != "-":
                assert float(cell) == pytest.approx(off**2 / 4000.0 - ahead**2 / 10000.0, abs=0.0051)


def test_templates_of_the_curve_are_full_size() -> None:
    strut = said("harbour-launch", 900.0, HOLLOW, 30.0).strut
    palm = strut.palms[0]
    cut = hull_curve_templates(strut, palm)
    assert cut is not None
    loops = [shape for layer, shape in cut.items if layer == "CUT_OUTER"]
    assert len(loops) == 3  # along, across, and square to the axis
    for shape, share in zip(loops, (0.5, math.cos(math.radians(30.0)), 1.0), strict=True):
        edge = np.array(shape.points)[:-2]  # type: ignore[union-attr]
        off = edge[:, 0] * share
        assert edge[:, 1] - edge[:, 1].min() == pytest.approx(900.0 - np.sqrt(900.0**2 - off**2), abs=5e-3)
    both = hull_curve_templates(*second("harbour-launch"))
    assert both is not None
    loops = [shape for layer, shape in both.items if layer == "CUT_OUTER"]
    for shape, deg in zip(loops, (-30.0, 60.0, 90.0, 0.0), strict=True):  # along, across, square to the axis, along it
        edge, turn = np.array(shape.points)[:-2], math.radians(deg)  # type: ignore[union-attr]
        off, ahead = edge[:, 0] * math.sin(turn), edge[:, 0] * math.cos(turn)
        rise = off**2 / 1800.0 - ahead**2 / 8000.0
        assert np.ptp(edge[:, 1] - rise) < 5e-3
    straight = said("harbour-launch", 900.0, HOLLOW, 0.0).strut
    one = hull_curve_templates(straight, straight.palms[0])
    assert one is not None
    assert any("straight edge serves" in text for text, _ in one.facts)


def surveyed(
    folder: Path,
    radius_mm: float,
    axis_deg: float,
    way: float,
    scatter_mm: float,
    seed: int,
    along_mm: float = math.inf,
) -> Palm:
    """The palm of a set after a survey of a hull of known curve; the points lie on its face within the scatter.
    along_mm: radius along the axis, of the same sense where it is positive."""
    rng = np.random.default_rng(seed)
    places = np.array([(x, y) for x in np.linspace(-140.0, 140.0, 5) for y in np.linspace(-80.0, 80.0, 5)])
    turn, rise = math.radians(axis_deg), math.radians(12.0)
    off = places[:, 1] * math.cos(turn) - places[:, 0] * math.sin(turn)
    ahead = places[:, 0] * math.cos(turn) + places[:, 1] * math.sin(turn)
    bent = way * (radius_mm - np.sqrt(radius_mm**2 - off**2) + ahead**2 / 2 / along_mm)
    up = 300.0 - places[:, 0] * math.tan(math.radians(2.0)) + places[:, 1] * math.tan(rise) + bent
    points = np.column_stack([places, up]) + scatter_mm * rng.normal(size=(len(places), 3))
    data = {
        "side": "port",
        "instrument": {"scatter": max(scatter_mm, 0.05)},
        "hull": rows("H", points),
        "line": rows("S", line_at([-400.0, 0.0, 500.0, 1000.0, 1500.0], 9.0)),
        "places": [MID],
    }
    text = str(data).replace("'", '"')
    (folder / "readings.yaml").write_text(text)
    of = loader.shipped()["harbour-launch"].read_text(encoding="utf-8")
    (folder / "own.yaml").write_text(changed(of, {"identity.hand": "port", "palm.thickness": "30 mm"}))
    named = [str(folder / name) for name in ("readings.yaml", "own.yaml", "job")]
    arguments = parser().parse_args(["survey", named[0], "--write", named[1], "--out", named[2]])
    assert int(arguments.run(arguments)) == 0
    new = resolve(loader.load(folder / "own.yaml"))
    palm = new.strut.palms[0]
    said_ = readings_of(reads(text, Survey).said, None)
    local = frames.palm_axes(palm).from_strut(strut_frame(said_, said_.values[None]).into(points[None])[0])
    inside = palm.outline.contains(local[:, :2])
    gap = local[inside, 2] - np.asarray(palm.height_mm(local[inside, 0], local[inside, 1]))
    left = 2.0 if math.isfinite(along_mm) and (palm.curve is None or palm.curve.along_radius_mm is None) else 0.0
    # What the bedding takes of a hull that bends both ways, and half a mm for what is neither in a tilted plane.
    assert np.abs(gap).max() < 3.0 * scatter_mm + 0.5 + left
    if palm.curve is not None:
        origins = {r.path: r.origin for r in new.records}
        assert origins["palm.hull_face.radius"] == origins["palm.hull_face.axis"] == "measured"
    return palm


@pytest.mark.parametrize(
    ("radius", "axis", "way", "scatter"),
    every([(900.0, 60.0, 1.0, 0.1), (1500.0, -80.0, -1.0, 0.2), (1300.0, 45.0, 1.0, 0.0), (1000.0, 88.0, 1.0, 0.3)], 2),
)
def test_a_survey_writes_the_curve_and_the_face_lies_on_its_points(
    tmp_path: Path, radius: float, axis: float, way: float, scatter: float
) -> None:
    palm = surveyed(tmp_path, radius, axis, way, scatter, seed=3)
    assert palm.curve is not None
    assert palm.curve.crown_to_hull is (way < 0)
    assert palm.curve.radius_mm == pytest.approx(radius, rel=0.12)
    assert palm.curve.axis_deg == pytest.approx(axis, abs=8.0)
    solid = palms.plate(palm)
    assert kernel.is_good(solid)


@pytest.mark.parametrize(("radius", "along_mm", "way"), [(700.0, 1700.0, 1.0), (600.0, -1900.0, -1.0)])
def test_a_survey_writes_a_face_of_second_order_where_a_cylinder_leaves_too_much(
    tmp_path: Path, radius: float, along_mm: float, way: float
) -> None:
    palm = surveyed(tmp_path, radius, 10.0, way, 0.1, seed=5, along_mm=along_mm)
    curve = palm.curve
    assert curve is not None
    assert curve.along_radius_mm == pytest.approx(abs(along_mm), rel=0.15)
    assert curve.radius_mm == pytest.approx(radius, rel=0.15)
    assert (curve.crown_to_hull, curve.along_crown_to_hull) == (way < 0, way * along_mm < 0)
    assert kernel.is_good(palms.plate(palm))


def test_a_survey_of_a_hull_that_is_as_good_as_flat_writes_none(tmp_path: Path) -> None:
    assert surveyed(tmp_path, 20000.0, 0.0, 1.0, 0.1, seed=4).curve is None


@long_run
def test_many_surveys_of_curved_hulls(tmp_path: Path) -> None:
    rng = np.random.default_rng(7)
    for k in range(40):
        folder = tmp_path / str(k)
        folder.mkdir()
        radius, axis, way = rng.uniform(1300.0, 2000.0), rng.uniform(50.0, 130.0), rng.choice([-1.0, 1.0])
        other = math.inf if k % 2 else float(rng.uniform(1500.0, 4000.0) * rng.choice([-1.0, 1.0]))
        surveyed(folder, float(radius), float((axis + 90.0) % 180.0 - 90.0), float(way), 0.2, seed=k, along_mm=other)
