"""What a solved load case is written as: a picture (PNG), a file for viewers (VTU), a text and JSON.

VTU is the unstructured grid of VTK's XML formats: points in mm, ten-node tetrahedra, movements in mm, stresses in MPa.
Same study, same bytes; the picture's bytes may differ from one graphics driver to another.
"""

from __future__ import annotations

import json
import math
import textwrap
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from strutwright.exporters.web.picture import aim, packed, packed_numbers, save
from strutwright.models import cautions
from strutwright.models.fem.study import COARSE_SPREAD, Region, Study
from strutwright.models.guidance import GUIDANCE
from strutwright.params.quantity import in_file_units
from strutwright.params.words import Amount, joined, read

PIXELS = (1800, 1200)
BANDS = 10
_VIEWS = ((-1.0, 1.2, 0.35), (1.0, -1.2, -0.35))
"""From the port quarter a little above, and from the starboard bow a little below."""
_LIGHT = (234, 234, 229), (196, 219, 196), (138, 196, 176), (82, 164, 163)
_DARK = (46, 126, 151), (48, 86, 137), (60, 46, 112), (42, 8, 72)
_RAMP = np.array((*_LIGHT, *_DARK)) / 255
"""From light grey over teal to dark violet: its lightness falls evenly, so that the colour-blind and grey prints see
it, and dark lines show on what is hardly stressed."""
_BEYOND = (0.90, 0.35, 0.05)
_DRAWN_SHARE = 0.05
_WIDE = 110
AGREE = (0.6, 1.6)
"""Movements by finite elements over those by hand between which the two are taken to agree."""


# --- numbers --------------------------------------------------------------------------------------------------------


def nice(value: float) -> float:
    """Return the least of 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10 times a power of ten that is not below a value above 0."""
    power = 10.0 ** math.floor(math.log10(value))
    return next(float(f"{m * power:.6g}") for m in (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10) if m * power >= 0.999999 * value)


def drawn_factor(study: Study) -> float:
    """Return the number by which movements are drawn larger: a round one, so that they show but do not mislead."""
    most = float(np.linalg.norm(study.moved_mm, axis=1).max())
    size = float(np.ptp(study.mesh.points_mm, axis=0).max())
    if most <= 0:
        return 1.0
    wanted = _DRAWN_SHARE * size / most
    return max(1.0, nice(wanted / 1.5))


def doubts_about_movement(study: Study) -> list[str]:
    """Return a sentence when elements and hand formulas do not agree on how the bearing moves."""
    if not math.isfinite(study.ratio) or AGREE[0] <= study.ratio <= AGREE[1]:
        return []
    return [f"The bearing moves {study.ratio:.2f} times what the hand formulas say: find out why before using either."]


def doubts(study: Study) -> list[str]:
    """Return what a reader has to bear in mind of this result, in sentences."""
    out = doubts_about_movement(study)
    for r in study.regions:
        if r.sharp:
            out.append(
                f"{r.name}: the greatest stress lies at an inner edge without a fillet. There it grows without "
                "bound as elements get smaller: read the stress a few millimetres away, or model the fillet."
            )
        elif r.spread > COARSE_SPREAD:
            out.append(
                f"{r.name}: the elements that meet at the greatest stress differ by {r.spread * 100:.0f} %: "
                "the mesh is coarse there; a smaller mesh size gives a truer peak."
            )
    return out


def assumptions(study: Study) -> list[str]:
    """Return what was modelled, in sentences."""
    s = study.strut
    solid = (
        "One linear elastic body as cast, without the bearing."
        if s.construction == "cast"
        else "One linear elastic body: all welds taken as through and through, each bead as a hollow fillet of its leg "
        "as radius; without the bearing. Toes and roots of real welds are sharper."
    )
    hull = (
        "The whole hull face of each palm is held, as the hand formulas build the arm in at the hull; the hull "
        "does not give."
        if study.held == "face"
        else "Each palm is held on its hull face where its bolts clamp (a cone of 30 degrees from under the heads); "
        "elsewhere the palm is free to lift, and the hull does not give."
    )
    load = (
        "The load enters as a force and couple spread over the bore where the bearing sits, as a traction that "
        "varies evenly from end to end and side to side; the bearing's own stiffness and one-sided contact are not "
        "modelled."
    )
    if study.load.heel_force_n.any():
        load += " The rudder's force enters by the bore of the heel."
    hand = (
        "The hand formulas take each arm as a beam from the barrel's outside to the hull face, and the barrel as "
        "rigid: they know neither the fillets (which stiffen, and gather stress) nor the bending of the barrel's "
        "wall (which lets the bearing move more, most in a vee). Their stress at a root is that of the plain "
        "section, so that the ratio there is a stress concentration."
    )
    return [solid, hull, load, hand]


def _number(x: float) -> float | None:
    return float(f"{x:.6g}") if math.isfinite(x) else None


def _vector(v: NDArray[np.float64]) -> list[float]:
    # Six figures of the largest part: what is nothing but rounding becomes 0.
    most = float(np.abs(v).max())
    places = 0 if most == 0 else 5 - math.floor(math.log10(most))
    return [round(float(x), places) + 0.0 for x in v]


def _region(r: Region) -> dict[str, Any]:
    return {
        "place": r.name,
        "von_mises_mpa": _number(r.fe_mpa),
        "at_mm": _vector(np.array(r.at_mm)),
        "elements_differ": _number(r.spread),
        "inner_edge": r.sharp,
        "hand_mpa": _number(r.hand_mpa),
        "ratio": _number(r.ratio),
    }


def summary(study: Study) -> dict[str, Any]:
    """Return the result as plain data for JSON; numbers without meaning are None."""
    load = study.load
    return {
        "set": study.strut.identity.name,
        "hand": study.strut.identity.hand,
        "guidance": GUIDANCE,
        "case": {
            "key": load.case.key,
            "name": load.case.name,
            "rests_on": load.case.standing.value,
            "source": str(load.case.source),
            "loads": [str(w) for w in load.words],
            "stress_allowed_mpa": _number(load.case.allowed_of_yield * study.yield_mpa),
        },
        "load_on_bore": {
            "force_n": _vector(load.bore_force_n),
            "couple_nmm": _vector(load.bore_couple_nmm),
            "about_mm": _vector(load.root_mm),
        },
        "load_on_heel_n": _vector(load.heel_force_n),
        "reaction_of_hull_n": _vector(study.reaction_n),
        "material": {"name": study.strut.material, "modulus_mpa": study.modulus_mpa, "poisson": study.poisson},
        "mesh": {
            "element": "tetrahedron of ten nodes",
            "size_mm": _number(study.size_mm),
            "nodes": len(study.mesh.points_mm),
            "elements": len(study.mesh.tets),
        },
        "solver": study.solver,
        "held": study.held,
        "bearing": {
            "at_mm": _vector(load.carry_mm),
            "moved_mm": _vector(study.barrel_mm),
            "turned_mrad": _vector(1000 * study.barrel_rad),
            "hand_moved_mm": _vector(load.moved_mm),
            "ratio": _number(study.ratio),
        },
        "stress": [_region(r) for r in study.regions],
        "assumptions": assumptions(study),
        "doubts": doubts(study),
        "cautions": [cautions.STRUCTURE],
    }


def summary_text(study: Study) -> str:
    """Return the result for a person."""
    load, strut = study.load, study.strut
    name = strut.identity.name if strut.identity.hand == "centre" else f"{strut.identity.name}, {strut.identity.hand}"
    allowed = load.case.allowed_of_yield * study.yield_mpa
    fe, hand = float(np.linalg.norm(study.barrel_mm)), float(np.linalg.norm(load.moved_mm))
    units = strut.file_units
    (mm, mm_), (mpa, mpa_) = (in_file_units(1.0, unit, units) for unit in ("mm", "MPa"))
    places, form = (0, ".4g") if units == "mm" else (2, ".0f")
    lines = [
        f"Stress picture of {name}",
        f"load case {load.case.key}: {load.case.name}",
        f"  {joined(' + ', load.words).read(units)}",
        f"  rests on: {read(load.case.source, units)} ({load.case.standing.value})",
        f"material {strut.material}: modulus {Amount(study.modulus_mpa, 'MPa').read(units)}, Poisson's ratio "
        f"{study.poisson:g}",
        f"mesh: {len(study.mesh.tets)} ten-node tetrahedra, {len(study.mesh.points_mm)} nodes, at most "
        f"{Amount(study.size_mm, 'mm').read(units)}, finer in the roots; solved by {study.solver}",
        "",
        f"{f'movement, {mm_}':<32}{'elements':>10}{'by hand':>10}{'ratio':>8}",
        f"{'bearing, where it carries':<32}{fe * mm:>10.4g}{hand * mm:>10.4g}{_cell(study.ratio, '.2f'):>8}",
        "",
        f"{f'von Mises stress, {mpa_}':<32}{'elements':>10}{'by hand':>10}{'ratio':>8}  at x, y, z {mm_}",
    ]
    for r in study.regions:
        at = ", ".join(f"{c * mm + 0.0:.{places}f}" for c in r.at_mm)
        mark = "  inner edge" if r.sharp else "  coarse" if r.spread > COARSE_SPREAD else ""
        values = f"{_cell(r.fe_mpa * mpa, form):>10}{_cell(r.hand_mpa * mpa, form):>10}{_cell(r.ratio, '.2f'):>8}"
        lines.append(f"{r.name:<32}{values}  {at}{mark}")
    lines += [
        "",
        f"The hand formulas' stress may use {load.case.allowed_of_yield:g} of yield here: "
        f"{Amount(allowed, 'MPa').read(units)}.",
        "",
    ]
    for heading, sentences in (
        ("Bear in mind", doubts(study)),
        ("Modelled", assumptions(study)),
        ("Cautions", [GUIDANCE, cautions.STRUCTURE]),
    ):
        if sentences:
            lines.append(f"{heading}:")
        for sentence in sentences:
            lines += textwrap.wrap(sentence, _WIDE, initial_indent="  ", subsequent_indent="  ")
    return "\n".join(lines) + "\n"


def _cell(value: float, form: str) -> str:
    return format(value, form) if math.isfinite(value) else "-"


def summary_json(study: Study) -> str:
    """Return the result as JSON text."""
    return json.dumps(summary(study), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


# --- VTU ------------------------------------------------------------------------------------------------------------


def write_vtu(path: Path, study: Study) -> None:
    """Write mesh, movements (mm) and stresses (MPa) as a VTK unstructured grid, XML with packed data."""
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import VTK_QUADRATIC_TETRA, vtkCellArray, vtkUnstructuredGrid
    from vtkmodules.vtkIOXML import vtkXMLUnstructuredGridWriter

    grid, points, cells = vtkUnstructuredGrid(), vtkPoints(), vtkCellArray()
    points.SetData(packed(study.mesh.points_mm))
    tets = study.mesh.tets
    cells.SetData(packed_numbers(np.arange(0, tets.size + 1, 10)), packed_numbers(tets))
    grid.SetPoints(points)
    grid.SetCells(VTK_QUADRATIC_TETRA, cells)
    for name, values, parts in (
        ("movement_mm", study.moved_mm, "x y z"),
        ("von_mises_mpa", study.stress.mises_mpa, ""),
        ("stress_mpa", study.stress.six_mpa, "xx yy zz xy yz xz"),
        ("elements_differ", study.stress.spread, ""),
    ):
        made = packed(values.astype(np.float32))
        made.SetName(name)
        for k, part in enumerate(parts.split()):
            made.SetComponentName(k, part)
        grid.GetPointData().AddArray(made)
    grid.GetPointData().SetActiveScalars("von_mises_mpa")
    writer = vtkXMLUnstructuredGridWriter()
    writer.SetFileName(str(path))
    writer.SetInputData(grid)
    writer.SetDataModeToAppended()
    writer.EncodeAppendedDataOn()
    if not writer.Write():
        raise OSError(f"{path} could not be written")


# --- picture --------------------------------------------------------------------------------------------------------


def write_stress_picture(path: Path, study: Study) -> None:
    """Write a PNG: the deformed strut from two sides, coloured by von Mises stress, with its scale and numbers."""
    # Before the first actor: what is made earlier has no renderer and stays invisible.
    import vtkmodules.vtkRenderingFreeType
    import vtkmodules.vtkRenderingOpenGL2  # noqa: F401 - registers the renderer
    from vtkmodules.vtkRenderingCore import vtkRenderer

    factor, top = drawn_factor(study), _top_mpa(study)
    table = _colours(top)
    moved = study.mesh.points_mm + factor * study.moved_mm
    scenes = []
    width, low, high = 0.44, 0.19, 0.89
    aspect = width * PIXELS[0] / ((high - low) * PIXELS[1])
    for k, direction in enumerate(_VIEWS):
        scene = vtkRenderer()
        scene.SetBackground(1.0, 1.0, 1.0)
        scene.SetViewport(k * width, low, (k + 1) * width, high)
        _surface(scene, study, moved, table)
        _outline(scene, study, study.mesh.points_mm, (0.55, 0.55, 0.58), 1.2)
        aim(scene, np.concatenate([moved, study.mesh.points_mm]), direction, aspect)
        scenes.append(scene)
    sheet = vtkRenderer()
    sheet.SetBackground(1.0, 1.0, 1.0)
    sheet.SetLayer(0)
    _words(sheet, study, factor)
    per, unit = in_file_units(1.0, "MPa", study.strut.file_units)
    _scale(sheet, _colours(top * per), unit, beyond=float(study.stress.mises_mpa[study.mesh.surface_nodes].max()) > top)
    save(path, (sheet, *scenes), PIXELS)


def _top_mpa(study: Study) -> float:
    """Return the end of the colour scale: round, above all roots that are no sharp edges, else above nearly all."""
    sure = [r.fe_mpa for r in study.regions if not r.sharp]
    most = max(sure) if sure else float(np.quantile(study.stress.mises_mpa[study.mesh.surface_nodes], 0.995))
    per = in_file_units(1.0, "MPa", study.strut.file_units)[0]
    return nice(most * per) / per if most > 0 else 1.0 / per


def _colours(top_mpa: float) -> Any:
    from vtkmodules.vtkCommonCore import vtkLookupTable

    table = vtkLookupTable()
    table.SetNumberOfTableValues(BANDS)
    at = np.linspace(0, 1, BANDS)
    for k, colour in enumerate(np.column_stack([np.interp(at, np.linspace(0, 1, len(_RAMP)), c) for c in _RAMP.T])):
        table.SetTableValue(k, [*colour.tolist(), 1.0])
    table.SetTableRange(0.0, top_mpa)
    table.SetUseAboveRangeColor(True)
    table.SetAboveRangeColor(*_BEYOND, 1.0)
    return table


def _poly(study: Study, points_mm: NDArray[np.float64]) -> Any:
    """Return the surface with its stress."""
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData

    points, cells, data = vtkPoints(), vtkCellArray(), vtkPolyData()
    points.SetData(packed(points_mm))
    cells.SetData(3, packed_numbers(study.mesh.facets))
    data.SetPoints(points)
    data.SetPolys(cells)
    stress = packed(study.stress.mises_mpa)
    stress.SetName("von_mises_mpa")
    data.GetPointData().SetScalars(stress)
    return data


def _surface(scene: Any, study: Study, points_mm: NDArray[np.float64], table: Any) -> None:
    from vtkmodules.vtkFiltersCore import vtkPolyDataNormals
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    normals = vtkPolyDataNormals()
    normals.SetInputData(_poly(study, points_mm))
    normals.SetFeatureAngle(40)
    mapper = vtkPolyDataMapper()
    mapper.SetInputConnection(normals.GetOutputPort())
    mapper.SetLookupTable(table)
    mapper.UseLookupTableScalarRangeOn()
    mapper.InterpolateScalarsBeforeMappingOn()
    body = vtkActor()
    body.SetMapper(mapper)
    look = body.GetProperty()
    look.SetAmbient(0.5)
    look.SetDiffuse(0.55)
    look.SetSpecular(0.0)
    scene.AddActor(body)
    _outline(scene, study, points_mm, (0.1, 0.1, 0.12), 1.4)


def _outline(
    scene: Any, study: Study, points_mm: NDArray[np.float64], colour: tuple[float, float, float], width_px: float
) -> None:
    from vtkmodules.vtkFiltersCore import vtkFeatureEdges
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    edges = vtkFeatureEdges()
    edges.SetInputData(_poly(study, points_mm))
    edges.SetFeatureAngle(38)
    edges.BoundaryEdgesOff()
    edges.NonManifoldEdgesOff()
    edges.ColoringOff()
    lines = vtkPolyDataMapper()
    lines.SetInputConnection(edges.GetOutputPort())
    lines.ScalarVisibilityOff()
    lines.SetResolveCoincidentTopologyToPolygonOffset()
    drawn = vtkActor()
    drawn.SetMapper(lines)
    drawn.GetProperty().SetColor(*colour)
    drawn.GetProperty().SetLineWidth(width_px)
    drawn.GetProperty().SetLighting(False)
    scene.AddActor(drawn)


def _words(sheet: Any, study: Study, factor: float) -> None:
    strut, load = study.strut, study.load
    name = strut.identity.name if strut.identity.hand == "centre" else f"{strut.identity.name}, {strut.identity.hand}"
    _text(sheet, 0.02, 0.955, f"{name}: stress, load case {load.case.key}", 34, bold=True)
    units = strut.file_units
    first = joined(" + ", load.words).read(units)
    (mm, mm_), (mpa, mpa_) = (in_file_units(1.0, unit, units) for unit in ("mm", "MPa"))
    form = ".3g" if units == "mm" else ".0f"
    _text(sheet, 0.02, 0.915, textwrap.shorten(f"{load.case.name}: {first}", 140, placeholder=" ..."), 22)
    rows = [
        f"{r.name}: {r.fe_mpa * mpa:{form}} {mpa_}"
        + (f" (hand {r.hand_mpa * mpa:{form}})" if math.isfinite(r.hand_mpa) else "")
        + (" at an inner edge" if r.sharp else "")
        for r in study.regions
    ]
    half = (len(rows) + 1) // 2
    for column, part in enumerate((rows[:half], rows[half:])):
        for k, row in enumerate(part):
            _text(sheet, 0.02 + 0.42 * column, 0.165 - 0.026 * k, row, 22)
    drawn = "as it is" if factor == 1.0 else f"{factor:g} times as large"
    fe, hand = float(np.linalg.norm(study.barrel_mm)), float(np.linalg.norm(load.moved_mm))
    held = "hull face held" if study.held == "face" else "palm held at its bolts"
    moves = f"Bearing moves {fe * mm:.3g} {mm_} (hand {hand * mm:.3g}). Movement drawn {drawn}; grey lines: unloaded."
    _text(sheet, 0.02, 0.047, f"{moves} Linear elastic, {held}, {study.solver}.", 22)
    _text(sheet, 0.02, 0.018, GUIDANCE, 22)


def _text(sheet: Any, x: float, y: float, words: str, size_px: int, bold: bool = False) -> None:
    from vtkmodules.vtkRenderingCore import vtkTextActor

    actor = vtkTextActor()
    actor.SetInput(words)
    look = actor.GetTextProperty()
    look.SetFontSize(size_px)
    look.SetColor(0.05, 0.05, 0.07)
    look.SetBold(bold)
    actor.GetPositionCoordinate().SetCoordinateSystemToNormalizedViewport()
    actor.SetPosition(x, y)
    sheet.AddViewProp(actor)


def _scale(sheet: Any, table: Any, unit: str, *, beyond: bool) -> None:
    from vtkmodules.vtkRenderingAnnotation import vtkScalarBarActor

    bar = vtkScalarBarActor()
    bar.SetLookupTable(table)
    bar.SetNumberOfLabels(BANDS // 2 + 1)
    bar.SetMaximumNumberOfColors(BANDS)
    bar.SetLabelFormat("%.0f" if unit == "psi" else "%.4g")
    bar.SetUnconstrainedFontSize(True)
    for look, size in ((bar.GetLabelTextProperty(), 22), (bar.GetTitleTextProperty(), 22)):
        look.SetColor(0.05, 0.05, 0.07)
        look.SetFontSize(size)
        look.SetItalic(False)
        look.SetShadow(False)
        look.SetBold(False)
    bar.SetTitle(f"von Mises\nstress, {unit}\n ")
    bar.SetPosition(0.895, 0.22)
    bar.SetWidth(0.09)
    bar.SetHeight(0.66)
    bar.SetDrawAboveRangeSwatch(beyond)
    bar.SetAboveRangeAnnotation(" ")
    if beyond:
        _text(sheet, 0.905, 0.195, "orange: more", 22)
    sheet.AddViewProp(bar)
