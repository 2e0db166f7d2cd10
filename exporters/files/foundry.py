"""What the pattern maker and the founder get of a cast strut: solids, meshes, draft table and templates.

Everything is at pattern scale, contraction in, about the datum (the middle of the barrel on the shaft line); only the
check bars are true lengths, and the outlines of finished part and rough casting, which stand on layers of their own for
comparison.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from strutwright.exporters.drawing.dxfdoc import DxfVersion
from strutwright.exporters.files.mesh import mesh_of
from strutwright.exporters.files.naming import pattern_size
from strutwright.exporters.files.pattern_templates import template_files
from strutwright.exporters.files.step import write_part
from strutwright.models.finding import Finding
from strutwright.models.shop import draft, foundry, pattern_findings
from strutwright.models.shop.draft import DraftRow
from strutwright.models.shop.split_casting import split_casting
from strutwright.models.solids import watch
from strutwright.models.solids.casting import PatternSet
from strutwright.models.solids.job import Part

if TYPE_CHECKING:
    import trimesh

CHORD_MM = 0.05
UNDERCUT_COLOUR, LOW_COLOUR = (200, 30, 30, 255), (240, 200, 40, 255)
GOOD_COLOUR, PARTING_COLOUR = (90, 160, 90, 255), (170, 170, 175, 255)
"""Colours of the draft picture: overhanging, opening too little, good, and the parting face. Not a shop code."""


def write_foundry(
    folder: Path, made: PatternSet, rows: Sequence[DraftRow], version: DxfVersion = "R2010"
) -> dict[Path, str]:
    """Write all files of a pattern set into a folder; return what each holds, by path, in the order written.

    Solids and meshes of pattern, halves, core box and core; DXF templates; the draft of the halves as a table (CSV)
    and as a coloured mesh (PLY, mm). rows: of the draft. version: of the DXF files. Raises MeshError or StepError when
    a solid cannot be written.
    """
    import trimesh

    strut = made.strut
    files: dict[Path, str] = {}
    scale = made.spec.contraction_text()
    meshes = {part.name: mesh_of(part, CHORD_MM) for part in made.parts()}
    for part in made.parts():
        stem = pattern_size(strut, made.spec, part.name)
        product = f"{strut.identity.name}, {strut.identity.number}, {part.name} at pattern size"
        step, stl = folder / f"{stem}.step", folder / f"{stem}.stl"
        write_part(step, part, product, strut.file_units)
        files[step] = f"{part.name}, solid at pattern scale; {scale}"
        stl.write_bytes(trimesh.exchange.stl.export_stl(meshes[part.name]))
        files[stl] = f"{part.name}, mesh at pattern scale in mm; {scale}"
    with watch.step("the templates of the pattern", "pattern.parting"):
        cuts = template_files(made)
    for name, cut in cuts.items():
        path = folder / f"{pattern_size(strut, made.spec, name)}.dxf"
        cut.save(path, version)
        files[path] = f"{cut.name}, template at pattern scale; {scale}"
    drawn = [meshes[it.part.name] for it in _drawn(made)]
    if made.halves:
        draft = pattern_size(strut, made.spec, "draft")
        table, picture = folder / f"{draft}.csv", folder / f"{draft}.ply"
        table.write_text(draft_csv(rows), encoding="utf-8", newline="")
        files[table] = "draft of the pattern against the pull, by face and half"
        picture.write_bytes(_draft_ply(made, drawn, rows))
        files[picture] = "draft of the pattern as colours: red overhangs, yellow has too little draft, green is good"
    return files


# --- draft ----------------------------------------------------------------------------------------------------------


def draft_meshes(made: PatternSet) -> list[trimesh.Trimesh]:
    """Return a watertight mesh (mm, pattern scale) of each half of the pattern, and of the pattern of a split hanger's
    cap; none of one that could not be made."""
    return [mesh_of(it.part, CHORD_MM) for it in _drawn(made)]


def draft_rows(made: PatternSet) -> list[DraftRow]:
    """Return how each group of faces of the two halves, and of a cap's pattern, stands to the pull, the worst first."""
    return _rows(made, draft_meshes(made))


def findings(made: PatternSet, rows: Sequence[DraftRow]) -> list[Finding]:
    """Return everything there is to say of a pattern set: its numbers, its building and its draft (group "pattern").
    rows: of the draft."""
    told = pattern_findings.pattern_findings(made.strut, made.spec, made.limits)
    return [*told, *made.findings, *pattern_findings.draft_findings(rows, made.limits)]


class _Drawn(NamedTuple):
    """What is drawn from the sand in one piece: its name, the way it is drawn, and where its joint lies on that way."""

    part: Part
    name: str
    pull: NDArray[np.float64]
    joint_mm: float = 0.0


def _drawn(made: PatternSet) -> list[_Drawn]:
    names, ways = foundry.half_names(made.spec.parting, made.strut.family), (made.pull, -made.pull)
    found = [_Drawn(*it) for it in zip(made.halves, names, ways, strict=bool(made.halves))]
    split = split_casting(made.strut, made.spec)
    if split is not None:
        found += [_Drawn(cap, "cap", split.toward, -made.spec.factor * split.open_mm) for cap in made.cap]
    return found


def _rows(made: PatternSet, meshes: Sequence[trimesh.Trimesh]) -> list[DraftRow]:
    rows: list[DraftRow] = []
    for mesh, it in zip(meshes, _drawn(made), strict=True):
        faces = _face_names(made, mesh)
        corners = np.asarray(mesh.triangles) - it.joint_mm * it.pull
        rows += draft.draft_table(it.name, faces, corners, it.pull, made.spec.draft, CHORD_MM)
    return draft.worst_first(rows)


def _face_names(made: PatternSet, mesh: trimesh.Trimesh) -> NDArray[np.str_]:
    """Return the part of the casting (n,) on which each triangle of a half lies."""
    centres, normals = mesh.triangles_center / made.spec.factor, np.asarray(mesh.face_normals)
    return draft.face_names(made.strut, made.spec, centres, normals)


def draft_csv(rows: Sequence[DraftRow]) -> str:
    """Return draft rows as comma-separated text with a heading line; areas mm2, angles degrees, pattern scale."""
    text = io.StringIO()
    out = csv.writer(text, lineterminator="\r\n")
    names = ["half", "face", "area_mm2", "worst_angle_deg", "asked_angle_deg"]
    out.writerow([*names, "undercut_mm2", "low_draft_mm2", "low_draft_height_mm"])
    for r in rows:
        angles = [f"{r.worst_deg + 0.0:.2f}", f"{r.asked_deg:.2f}"]
        low = [f"{r.low_mm2:.1f}", f"{r.low_height_mm:.2f}"]
        out.writerow([r.half, r.face, f"{r.area_mm2:.1f}", *angles, f"{r.undercut_mm2:.1f}", *low])
    return text.getvalue()


def _draft_ply(made: PatternSet, meshes: Sequence[trimesh.Trimesh], rows: Sequence[DraftRow]) -> bytes:
    import trimesh

    for mesh, (_, half, pull, joint) in zip(meshes, _drawn(made), strict=True):
        of_face = {r.face: r.asked_deg for r in rows if r.half == half}
        asked = np.array([of_face.get(face, 0.0) for face in _face_names(made, mesh).tolist()])
        normals = np.asarray(mesh.face_normals)
        angle = draft.draft_angles_deg(normals, pull)
        colours = np.tile(np.array(GOOD_COLOUR, dtype=np.uint8), (len(angle), 1))
        colours[angle < asked - draft.UNDERCUT_DEG] = LOW_COLOUR
        colours[angle < -draft.UNDERCUT_DEG] = UNDERCUT_COLOUR
        colours[draft.on_parting(np.asarray(mesh.triangles_center) - joint * pull, normals, pull)] = PARTING_COLOUR
        mesh.visual = trimesh.visual.ColorVisuals(mesh, face_colors=colours)
    whole = trimesh.util.concatenate(list(meshes))
    return bytes(trimesh.exchange.ply.export_ply(whole, vertex_normal=False))
