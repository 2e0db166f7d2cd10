"""An invented bracket and a sheet of it, for tests of the sheet engine."""

from __future__ import annotations

from strutwright.exporters.drawing.figures import Figures, Label
from strutwright.exporters.drawing.projection import FRONT, TOP, Viewpoint, project, section
from strutwright.exporters.drawing.sheet import Revision, Sheet, Table, TitleBlock
from strutwright.exporters.drawing.view import View

TITLE = TitleBlock(
    title="Demonstration bracket",
    identification="DEMO-0001",
    date="2026-01-31",
    owner="Example yard",
    material="CuAl10Ni5Fe4",
    mass="1.9 kg",
    general_tolerance="ISO 2768-m",
    hand="PORT",
    face="WATER FACE",
)


def bracket() -> object:
    """A block 120 x 70 x 20 with four countersunk holes and a bored boss; invented."""
    import cadquery as cq

    part = cq.Workplane("XY").box(120, 70, 20, centered=(True, True, False)).edges("|Z").fillet(8)
    part = part.faces(">Z").workplane(origin=(0, 0, 20)).rect(96, 46, forConstruction=True).vertices()
    part = part.cskHole(9, 18, 90)
    part = part.union(cq.Workplane("XY").workplane(offset=10).circle(22).extrude(50))
    part = part.cut(cq.Workplane("XY").circle(14).extrude(70))
    return part.cut(cq.Workplane("XZ").workplane(offset=-60).center(0, 45).circle(4).extrude(120))


def bracket_sheet(
    part: object, *, projection: str = "third", figures: Figures | None = None, sizes: tuple[str, ...] = ("A3",)
) -> Sheet:
    front = View("front", "front")
    front.add_projection(project(part, FRONT))
    front.centre_line((0, 0), (0, 60))
    front.horizontal((-60, 0), (60, 0), Label(deviations=(0.2, -0.2)))
    front.vertical((-60, 0), (-60, 20))
    front.vertical((-60, 0), (-22, 60))
    front.vertical((0, 45), (60, 0), Label(deviations=(0.1, -0.1)), side="right")
    front.horizontal((-22, 60), (22, 60), Label(prefix="Ø"), side="above")
    front.horizontal((-14, 60), (14, 60), Label(prefix="Ø", fit="H7", deviations=(0.021, 0)), side="above")
    front.diameter((0, 45), 8, Label(suffix="THRU"))
    front.surface((-45, 20), "Ra 3.2")
    front.tolerance((60, 10), "perpendicularity", "0.1", ("A",))
    front.datum((40, 0), "A", toward="below")
    top = View("top", "seen from top")
    top.add_projection(project(part, TOP))
    for x in (-48.0, 48.0):
        for y in (-23.0, 23.0):
            top.centre_mark((x, y), 18)
    top.horizontal((-48, 23), (48, 23), Label(basic=True), side="above")
    top.vertical((48, -23), (48, 23), Label(basic=True), side="right")
    top.vertical((60, -35), (60, 35), side="right")
    top.diameter((-48, -23), 9, Label(prefix="4×", suffix="THRU"), extra=("CSK Ø18 × 90°",))
    top.radius((52, -27), 8, Label(prefix="4×"), at_deg=-45)
    top.cutting_plane((0, -40), (0, 40), "A", looking="left")
    top.balloon((-52, 27), "1")
    cut = View("section", "seen from right", "SECTION A-A")
    cut.add_section(section(part, Viewpoint((1, 0, 0), (0, 1, 0))))
    cut.horizontal((-35, 0), (35, 0))
    cut.vertical((35, 20), (22, 60), side="right")
    cut.weld((22, 20), "fillet", "a5")
    cut.angle((-22, 20), (-22, 60), (-35, 20), radius_mm=14)
    sheet = Sheet(TITLE, [front, top, cut], sizes=sizes, figures=figures or Figures())
    sheet.projection = "first" if projection == "first" else "third"
    rows = tuple((f"A{i}", str(x), str(y), "Ø9") for i, (x, y) in enumerate([(-48, -23), (48, -23), (48, 23)]))
    sheet.tables.append(Table(name="holes", title="HOLE TABLE", columns=("hole", "x", "y", "size"), rows=rows))
    sheet.notes += ["Remove burrs, break sharp edges 0.3 to 0.5.", "Base face is datum A."]
    sheet.cautions.append("Figures are guidance; approval rests with others.")
    sheet.revisions.append(Revision("A", "First issue", "2026-01-31"))
    return sheet
