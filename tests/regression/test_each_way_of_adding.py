"""Each way of adding a thing that DEVELOPERS.md tells leads to the end, on a copy of the program that is added to.

A check of geometry is added in test_a_check_counts_everywhere; what follows from the curve of a kind of section is in
test_new_section_kind.
"""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pypdfium2
import pytest
from copies import Copy
from support import THOROUGH, long_run

RESOLVED = """
from strutwright.models.resolve import resolve
from strutwright.params.loader import load, loads, shipped

file = shipped()["harbour-launch"]
text = file.read_text(encoding="utf-8")
"""

MARKED = """
from strutwright.cli import main
from strutwright.models.spec import mirrored
from strutwright.params.problems import ParameterError

found = {}
for given in (None, "-60deg", "far off"):
    said = text if given is None else text.replace("barrel:", f"barrel:\\n  mark: {given}", 1)
    assert given is None or said != text
    try:
        made = resolve(loads(said, "mine.yaml"))
    except ParameterError as error:
        found[given] = str(error)
        continue
    record = next(r for r in made.records if r.path == "barrel.mark")
    found[given] = made.strut.barrel.mark_deg, mirrored(made.strut).barrel.mark_deg, record.origin, record.note
assert found[None] == (180.0, -180.0, "derived", "straight below"), found
assert found["-60deg"] == (-60.0, 60.0, "given", ""), found
assert "mine.yaml" in found["far off"] and "barrel.mark" in found["far off"], found
assert main(["values", "harbour-launch"]) == 0 and main(["meaning", "barrel.mark"]) == 0
"""


def test_a_parameter(tmp_path: Path) -> None:
    copy = Copy(tmp_path)
    copy.before(
        "params/schema.py", '    ends: Ends = doc("Fairing', '    mark: Clock | None = doc("Clock of the mark")\n'
    )
    copy.before(
        "models/resolve/barrel.py",
        "        fit=said.fit,\n",
        '        mark_deg=book.take("barrel.mark", 180.0, "straight below", "deg"),\n',
    )
    copy.after("models/spec.py", "    slots: WaterSlots | None = None\n", "    mark_deg: float = 180.0\n")
    copy.after(
        "models/spec.py",
        "    barrel = strut.barrel\n",
        "    barrel = replace(barrel, mark_deg=flip(barrel.mark_deg))\n",
    )
    told = copy.run(RESOLVED + MARKED)
    row = next(line for line in told.splitlines() if line.startswith("barrel.mark "))
    assert row.split() == ["barrel.mark", "180", "deg", "derived:", "straight", "below"]
    assert "Clock of the mark" in told.partition(row)[2]
    # What `python -m tests.regenerate schema` then writes.
    schema = copy.run("from strutwright.params.explain import schema_text; print(schema_text())")
    assert "Clock of the mark" in schema


LIMIT = "- [arm_stout, 2.0, d, warning, common practice, none, thickness of an arm at the barrel at least]\n"
CHECK = (
    "- [arm_stout, arms, thickness of an arm at the barrel, mm, at least, warning, common practice, none, "
    'arms.section.thickness, "thicken arms.section.thickness", [], [arm_stout]]\n'
)
NUMBER = """
    out["arm_stout"] = at_least(inputs.arms[0].thickness_barrel_mm, inputs.limit("arm_stout") * inputs.shaft_mm)
"""
HELD = """
from strutwright.models.checks.engineering import CHECKS, engineering_findings
from strutwright.models.sizing.axes import axis
from strutwright.models.sizing.study import study
from strutwright.params import limits, strict_yaml


def own_limits(text):
    return limits.changed_by(strict_yaml.read_text(text, "own.yaml"))


loaded = load(file)
made = resolve(loaded)
shaft, arm = made.strut.shaft.diameter_mm, made.strut.arms[0]
thick, chord = arm.thickness_barrel_mm, arm.chord_barrel_mm
for own, verdict, source in ((None, "warning", "none"), (0.1, "ok", limits.OWN), (3.0, "warning", limits.OWN)):
    table = limits.standard() if own is None else own_limits(f"arm_stout: {own}")
    found = next(f for f in engineering_findings(made.strut, None, table) if f.code == "arm_stout")
    assert (found.verdict.value, str(found.source), found.actual) == (verdict, source, thick), found
    assert abs(found.demanded - (own or 2.0) * shaft) < 1e-9, found
assert CHECKS["arm_stout"].limits == ("arm_stout",)
axes, warns = [axis(f"arms.section.chord={chord}..{1.1 * chord}:2", "mm")], []
for own in (0.1, 2.0):
    table = own_limits(f"arm_stout: {own}")
    warns.append(study(loaded, made, axes, limits=table, workers=1).judged.warns)
assert (warns[1] - warns[0]).tolist() == [1, 1], warns
"""


def test_a_limit_and_a_check_of_the_engineering(tmp_path: Path) -> None:
    copy = Copy(tmp_path)
    copy.before("params/limits.yaml", "- [arm_taper,", LIMIT)
    copy.before("params/checks.yaml", "- [arm_taper,", CHECK)
    copy.after("models/checks/strength/arms.py", "    out |= _rules(inputs, arm_beams.beams(inputs))", NUMBER.rstrip())
    copy.run(RESOLVED + HELD)


TABLE = """title: Packing for a gland
standard: none (trade lists)
table: square packing
edition: none
standing: common practice
confidence: medium
note: Invented for a test.
units: {size: "-", side: mm}
columns: [size, side]
rows:
- [small, 6.0]
- [large, 9.0]
"""
LOOKUP = '''

def packing_mm(size: str) -> float:
    """Side of a packing, mm. Raises :class:`NotInTable`."""
    return float(row_of("packing", size)["side"])
'''
LOOKED_UP = """
from strutwright.cli import main
from strutwright.params import tables

assert (tables.table("packing").standing, tables.packing_mm("large")) == ("common practice", 9.0)
try:
    tables.packing_mm("lurge")
except tables.NotInTable as error:
    assert "large" in str(error) and "Packing for a gland" in str(error), error
assert main(["tables"]) == 0 and main(["tables", "packing"]) == 0
"""


def test_a_table(tmp_path: Path) -> None:
    copy = Copy(tmp_path)
    copy.write("params/tables/packing.yaml", TABLE)
    stock = copy.home / "params" / "tables" / "stock.py"
    text = stock.read_text(encoding="utf-8").replace(" missing, outside,", " missing, outside, row_of,")
    stock.write_text(text + LOOKUP, encoding="utf-8")
    copy.after("params/tables/__init__.py", "tables.stock import (\n", "    packing_mm,\n")
    told = copy.run(LOOKED_UP)
    assert told.count("Packing for a gland") == 2
    assert "large" in told


DIAMOND = """    "diamond": OutlineKind(
        ("length", "width"),
        lambda a: polygon(
            [(a.length / 2, 0), (0, a.width / 2), (-a.length / 2, 0), (0, -a.width / 2)], a.corner_radius
        ),
    ),
"""
DIAMOND_PALM = """
import yaml
from strutwright.exporters.files.patterns import palm_pattern
from strutwright.models.checks import geometry_checks
from strutwright.models.sizing.axes import axis
from strutwright.models.sizing.study import study
from strutwright.models.solids import kernel
from strutwright.models.solids.palm import plate
from strutwright.params import explain

shape = {"shape": "diamond", "length": 400, "width": 300}
said = yaml.safe_load(text)
said["palm"]["outline"] = shape
loaded = loads(yaml.safe_dump(said), "mine.yaml")
made = resolve(loaded)
palm = made.strut.palms[0]
assert abs(palm.outline.area_mm2() - 400 * 300 / 2) < 1e-6
assert "diamond" in explain.meaning("palm.outline.shape").takes
found = {f.code: f for f in geometry_checks(made.strut)}
assert "check_impossible" not in found and found["bolt_inside_palm"].actual > 0
left, low, right, high = palm_pattern(made.strut, palm, "hull face").extents()
assert right - left >= 400 and high - low >= 300
solid = plate(palm)
assert kernel.is_sound(solid) and abs(solid.Volume() - 400 * 300 / 2 * palm.thickness_mm) < 1
held = study(loaded, made, [axis("palm.outline.width=200..300:2", "mm")], workers=1).judged
assert held.weight_kg[0] < held.weight_kg[1]
"""


@long_run
def test_an_outline_of_a_palm(tmp_path: Path) -> None:
    copy = Copy(tmp_path)
    copy.before("models/outline/kinds.py", '    "tapered": OutlineKind(', DIAMOND)
    copy.after("params/schema.py", '    shape: Literal["rectangle", ', '"diamond", ')
    copy.run(RESOLVED + DIAMOND_PALM)


SECTION = '''"""A superellipse."""

from functools import partial

import numpy as np

from strutwright.models.arrays import Floats
from strutwright.models.geometry.loops import Piece, closed_curve
from strutwright.models.sections.kind import Section, SectionKind

N = 2.4


def _curve(a: float, b: float, turn: Floats) -> Floats:
    c, s = np.cos(turn), np.sin(turn)
    reach = (np.abs(c) ** N + np.abs(s) ** N) ** (-1.0 / N)
    return np.column_stack((a * c * reach, b * s * reach))


class Superellipse(SectionKind):
    """Between an ellipse and a plate."""

    name = "superellipse"
    about = "superellipse"
    scales = True

    def loop(self, section: Section) -> list[Piece]:
        """Return the curve."""
        return closed_curve(partial(_curve, section.chord_mm / 2, section.thickness_mm / 2))
'''
SIZED = """
import pathlib
import yaml
from strutwright.cli import main
from strutwright.errors import Exit
from strutwright.models.checks import geometry_checks
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.sizing import choices, search

weight, used = {}, {}
for shape in ("ellipse", "superellipse"):
    said = yaml.safe_load(text)
    said["arms"]["section"] = {"shape": shape, "chord": 95, "thickness": 22}
    pathlib.Path("mine.yaml").write_text(yaml.safe_dump(said))
    made = resolve(load(pathlib.Path("mine.yaml")))
    found = {f.code: f for f in (*geometry_checks(made.strut), *engineering_findings(made.strut))}
    assert not {"check_impossible", "engineering_impossible"} & set(found)
    weight[shape], used[shape] = found["strut_weight"].actual, found["arm_stress_seized"].utilisation
# It holds the ellipse of its chord and thickness.
assert weight["ellipse"] < weight["superellipse"] < 1.05 * weight["ellipse"], weight
assert 0.8 * used["ellipse"] < used["superellipse"] < used["ellipse"], used
assert main(["check", "mine.yaml"]) in (Exit.PASS, Exit.WARNINGS)

choices.ALONG, search.SPREAD = (2,), 512
known = "--construction cast --shaft 40mm --drop 280 --shaft-angle 10deg --run 0 --bearing-span 1200"
assert main(["size", *known.split(), "--section", "superellipse", "--write", "new.yaml"]) in (Exit.PASS, Exit.WARNINGS)
assert resolve(load(pathlib.Path("new.yaml"))).strut.arms[0].shape == "superellipse"
assert main(["meaning", "arms.section.shape"]) == 0
"""


@long_run
def test_a_kind_of_section(tmp_path: Path) -> None:
    copy = Copy(tmp_path)
    copy.write("models/sections/superellipse.py", SECTION)
    copy.before(
        "models/sections/__init__.py",
        "from strutwright.models.sections.thin",
        "from strutwright.models.sections.superellipse import Superellipse\n",
    )
    copy.after("models/sections/__init__.py", "for _kind in (Flat, Ellipse,", " Superellipse,")
    copy.after("params/schema.py", '    shape: Literal["flat", ', '"superellipse", ')
    copy.after("params/schema.py", '"flat: plate with rounded edges; ', "superellipse: between ellipse and plate; ")
    told = copy.run(RESOLVED + SIZED).rpartition("next: strutwright check new.yaml")[2]
    assert "superellipse: between ellipse and plate" in told


SUNK_SIZES = """def _sunk_hexagon(size: str, standard: str | None, hole_mm: float, sunk_mm: float) -> HeadSizes:
    nut = tables.nut_and_washer(size)
    wide = tables.tool_outside_mm("socket", nut.head_across_flats_mm) + 1.0
    return bore(nut.standards["head"], wide, nut.head_height_mm + nut.washer_thickness_mm, sunk_mm)


"""
SUNK_ROW = """    "sunk_hexagon": HeadKind(
        called="sunk hexagon bolt", book="nuts and washers", from_table=_sunk_hexagon, recess="spot face", washed=True
    ),
"""
SUNK_BOLTS = """
import math
import pathlib
import yaml
from strutwright.exporters.files.data_sheets import drill_rows, hole_rows
from strutwright.exporters.files.parts_list import parts_rows
from strutwright.exporters.files.patterns import palm_pattern
from strutwright.exporters.files.step import write_assembly
from strutwright.exporters.inspect.remeasure import remeasure
from strutwright.exporters.sheets import SheetContext, render_set, sheet_makers
from strutwright.models.checks import geometry_checks
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.solids import build
from strutwright.params import explain

said = yaml.safe_load(text)
said["bolts"]["size"] = "M10"
kinds = {}
for kind in ("plain", "sunk_hexagon"):
    said["bolts"]["kind"] = kind
    kinds[kind] = made = resolve(loads(yaml.safe_dump(said), "mine.yaml"))
assert "sunk_hexagon" in explain.meaning("bolts.kind").takes
strut, palm = made.strut, made.strut.palms[0]
bolt, wide, deep = palm.bolt, 25.0, 8.9  # a socket of 24 and 1; head 6.4, washer 2, sunk 0.5
assert (bolt.head_diameter_mm, bolt.head_depth_mm, bolt.sunk_mm, bolt.rim_mm) == (wide, deep, deep, wide), bolt
found = {k: {f.code: f for f in (*geometry_checks(m.strut), *engineering_findings(m.strut))} for k, m in kinds.items()}
mine = found["sunk_hexagon"]
assert not {"check_impossible", "engineering_impossible"} & set(mine)
assert abs(mine["head_land"].actual - (14.0 - deep)) < 1e-9
gone = len(palm.holes) * math.pi / 4 * (wide**2 - bolt.hole_mm**2) * deep
lighter = found["plain"]["strut_weight"].actual - mine["strut_weight"].actual
assert abs(lighter / (gone * 7640e-9) - 1) < 0.05, (lighter, gone)
assert {row.head for row in hole_rows(strut, palm)} == {"sunk_hexagon"}
assert [r.operation for r in drill_rows(strut, palm)].count("spot face") == len(palm.holes)
words = " ".join(t.text for t in palm_pattern(strut, palm, "water face").words())
assert "spot face 25 mm dia x 8.9 mm deep on the water face" in words, words

built, plain = build(strut), build(kinds["plain"].strut)
assert built.sound, built.findings
volumes = [sum(p.volume_mm3 for p in b.parts if p.kind == "strut") for b in (plain, built)]
assert abs((volumes[0] - volumes[1]) / gone - 1) < 1e-6, (volumes, gone)
row = next(r for r in parts_rows(strut, built.parts) if r.part == "sunk hexagon bolt")
assert "under the head" in row.note
write_assembly(pathlib.Path("whole.step"), built.parts, built.name)
measured = remeasure(pathlib.Path("whole.step"), strut, built.parts)
assert not [f for f in measured if f.fails], measured
depths = [f.actual for f in measured if f.code == "counterbore_depth"]
assert depths and all(abs(d - deep) < 1e-6 for d in depths), depths
makers = sheet_makers(strut)
render_set.sheet_makers = lambda strut: {"palm-drilling": makers["palm-drilling"]}
pathlib.Path("sheets").mkdir()
render_set.write_sheets(pathlib.Path("sheets"), SheetContext(made, strut, built, "0" * 64, "0.0.0"))
"""


@pytest.mark.skipif(not THOROUGH, reason="the other ways of adding stand for it every day")
def test_a_kind_of_bolt_head(tmp_path: Path) -> None:
    copy = Copy(tmp_path)
    copy.before("models/bolt_heads.py", "HEADS = {", SUNK_SIZES)
    copy.before("models/bolt_heads.py", '    "plain": HeadKind(', SUNK_ROW)
    copy.after("params/schema.py", '    kind: Literal["countersunk", ', '"sunk_hexagon", ')
    copy.run(RESOLVED + SUNK_BOLTS)
    sheet = next((tmp_path / "sheets").glob("*palm-drilling.dxf"))
    words = " ".join(e.plain_text() for e in ezdxf.readfile(sheet).query("TEXT MTEXT"))
    assert "spot face as SECTION" in words
    assert "spot face from the WATER FACE" in words


PATTERN = """    "staggered": PatternKind(
        ("along", "pitch_along", "pitch_across"),
        lambda a, _: np.array([(k * a.pitch_along, (-1) ** k * a.pitch_across / 2) for k in range(a.along)])
        - (a.pitch_along * (a.along - 1) / 2, 0.0),
    ),
"""
END = '''

class Blunt(Tapered):
    """A short cone."""

    share = 0.1


ENDS["blunt"] = Blunt()
'''
LAID = """
import yaml
from strutwright.models.checks import geometry_checks
from strutwright.models.geometry.barrel import outside_chain
from strutwright.models.sizing.axes import axis
from strutwright.models.sizing.study import study

said = yaml.safe_load(text)
said["bolts"]["pattern"] = {"kind": "staggered", "along": 3, "pitch_along": 78, "pitch_across": 74}
said["barrel"]["ends"]["aft"] = {"shape": "blunt"}
loaded = loads(yaml.safe_dump(said), "mine.yaml")
made = resolve(loaded)
strut = made.strut
assert sorted((h.u_mm, h.v_mm) for h in strut.palms[0].holes) == [(-78, 37), (0, -37), (78, 37)]
assert strut.barrel.aft_end.length_mm == 7.0 and outside_chain(strut.barrel)[1][0] == 7.0  # a tenth of 68
assert "check_impossible" not in {f.code for f in geometry_checks(strut)}
held = study(loaded, made, [axis("barrel.wall=9..12:2", "mm")], workers=1)
assert held.one_by_one is None and held.judged.weight_kg[0] < held.judged.weight_kg[1]
assert study(loaded, made, [axis("bolts.pattern.pitch_along=70..78:2", "mm")], workers=1).one_by_one
"""


def test_a_pattern_of_bolts_and_an_end_of_the_barrel(tmp_path: Path) -> None:
    copy = Copy(tmp_path)
    copy.before("models/bolt_patterns.py", '    "points": PatternKind(', PATTERN)
    copy.after("params/schema.py", '    kind: Literal["grid", ', '"staggered", ')
    ends = copy.home / "models" / "barrel_ends.py"
    ends.write_text(ends.read_text(encoding="utf-8") + END, encoding="utf-8")
    copy.after("params/schema.py", '    shape: Literal["straight", ', '"blunt", ')
    copy.run(RESOLVED + LAID)


BUILDER = '''"""A ring ahead of the barrel."""

import numpy as np

from strutwright.models.solids import kernel
from strutwright.models.solids.kernel import Solid
from strutwright.models.spec import Barrel

THICK_MM = 10.0


def ring(barrel: Barrel) -> Solid:
    """Return a ring as wide as the barrel's wall, a little ahead of it."""
    x = np.array([1.0, 0.0, 0.0])
    start = (barrel.length_mm / 2 + 2.0) * x
    outer, inner = (kernel.cylinder(start, x, d / 2, THICK_MM) for d in (barrel.outside_mm, barrel.bore_mm))
    return kernel.one_solid(kernel.cut(outer, [inner]))
'''
ADDED = """    made = job.stage("the ring", "barrel.length", partial(rings.ring, job.strut.barrel))
    job.add("ring", "ring", made, BUSH, job.strut.material, "barrel.length")
"""
MEASURED = """

def _ring(read: Read, strut: Strut) -> list[Finding]:
    box = next(p.shape.BoundingBox() for p in read.parts if p.name == "ring")
    return [length("ring_station", "aft face of the ring", box.xmin, strut.barrel.x(0.0) * -1 + 2.0, "barrel")]
"""
SHEET = '''"""The ring's sheet."""

from strutwright.exporters.drawing.projection import FRONT
from strutwright.exporters.drawing.sheet import Sheet
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common
from strutwright.exporters.sheets.context import SheetContext


def ring_sheet(ctx: SheetContext) -> Sheet | None:
    """Return the ring's sheet; None without a ring."""
    part = ctx.part("ring")
    if part is None:
        return None
    view = View("ring side", "front", "SEEN FROM STARBOARD")
    view.add_projection(ctx.view("ring", part.shape, FRONT))
    half, r = ctx.strut.barrel.length_mm / 2, ctx.strut.barrel.outside_mm / 2
    view.horizontal((half + 2.0, -r), (half + 12.0, -r))
    view.vertical((half + 12.0, -r), (half + 12.0, r), side="right")
    mass = common.part_mass(ctx, "ring")
    return ctx.sheet("Ring", "Part drawing", [view], mass=mass, notes=["Break all edges."], part="")
'''
BUILT = """
import pathlib
import runpy
from strutwright.exporters.files.step import write_assembly
from strutwright.exporters.inspect.remeasure import remeasure
from strutwright.exporters.script.write import script
from strutwright.exporters.sheets import SheetContext, render_set, sheet_makers
from strutwright.models.solids import build
from strutwright.params.limits import standard

made = resolve(load(file))
built = build(made.strut)
assert built.sound, built.findings
barrel = made.strut.barrel
ring = built.part("ring")
area = 3.141592653589793 / 4 * (barrel.outside_mm**2 - barrel.bore_mm**2)
assert abs(ring.volume_mm3 / (10 * area) - 1) < 1e-9, ring.volume_mm3
pathlib.Path("again.py").write_text(script(made.strut, standard(), "harbour-launch.yaml", "0"))
again = {body.name: body.shape for body in runpy.run_path("again.py")["bodies"]}
assert abs(again["ring"].Volume() / ring.volume_mm3 - 1) < 1e-9, again
write_assembly(pathlib.Path("whole.step"), built.parts, built.name)
found = remeasure(pathlib.Path("whole.step"), made.strut, built.parts)
assert not [f for f in found if f.fails], found
assert [f.actual for f in found if f.code == "ring_station"] == [barrel.length_mm / 2 + 2.0]
makers = sheet_makers(made.strut)
assert list(makers)[-2:] == ["ring", "inspection-record"]
render_set.sheet_makers = lambda strut: {"ring": makers["ring"]}  # the others would take their time
pathlib.Path("sheets").mkdir()
render_set.write_sheets(pathlib.Path("sheets"), SheetContext(made, made.strut, built, "0" * 64, "0.0.0"))
"""


@long_run
def test_a_part_and_its_sheet(tmp_path: Path) -> None:
    copy = Copy(tmp_path)
    copy.write("models/solids/ring.py", BUILDER)
    copy.after("models/solids/assembly.py", "    _bush(job)\n", ADDED)
    copy.before(
        "models/solids/assembly.py",
        "from strutwright.models.solids import skeg",
        "from strutwright.models.solids import ring as rings\n",
    )
    copy.after(
        "exporters/inspect/remeasure.py",
        "        out += palm_findings(read, strut, bore)\n",
        "        out += _ring(read, strut)\n",
    )
    remeasure = copy.home / "exporters" / "inspect" / "remeasure.py"
    remeasure.write_text(remeasure.read_text(encoding="utf-8") + MEASURED, encoding="utf-8")
    copy.write("exporters/sheets/ring.py", SHEET)
    copy.after("exporters/sheets/__init__.py", "        record,\n", "        ring,\n")
    copy.before(
        "exporters/sheets/__init__.py",
        '        Maker("inspection-record"',
        '        Maker("ring", ring.ring_sheet, "barrel.length"),\n',
    )
    copy.run(RESOLVED + BUILT)
    folder, stem = tmp_path / "sheets", "hl-35-01-centre"
    words = [e.plain_text() for e in ezdxf.readfile(folder / f"{stem}-01-ring.dxf").query("TEXT MTEXT")]
    assert any("Break all edges." in w for w in words)
    with pypdfium2.PdfDocument(folder / f"{stem}-sheets.pdf") as document:
        assert len(document) == 1
