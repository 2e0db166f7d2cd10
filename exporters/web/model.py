"""The model of one hand that the job's page turns about: light triangles, the solid's own edges, sizes and places.

A classic script, which a page may load from a disk: it enters the model under its name in `window.strutModels`. Corners
are whole numbers of 16 bits over the box of their part. The kernel is imported inside the functions, as it is slow to
load.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from strutwright.exporters.drawing.curves import sampled
from strutwright.exporters.files.mesh import CHORD_MM, mesh_of
from strutwright.exporters.files.step import PartLike
from strutwright.exporters.web.palette import body
from strutwright.exporters.web.quick import about, packed
from strutwright.models.solids import watch
from strutwright.models.spec import Strut


class BodyLike(PartLike, Protocol):
    """What a model needs of a part besides."""

    @property
    def kind(self) -> str: ...

    @property
    def material(self) -> str: ...


def write_model(path: Path, name: str, strut: Strut, parts: Sequence[BodyLike]) -> None:
    """Write the model of a strut. name: that the page calls it by. Raises MeshError where a part has no closed mesh."""
    model = about(strut) | {"parts": [_part(part) for part in parts]}
    text = json.dumps(model, separators=(",", ":"), ensure_ascii=True)
    script = f"(window.strutModels=window.strutModels||{{}})[{json.dumps(name)}]={text};\n"
    path.write_text(script, encoding="ascii", newline="\n")


def _part(part: BodyLike) -> dict[str, Any]:
    mesh = mesh_of(part, CHORD_MM)
    with watch.step(f"the edges of the {part.name}", part.parameter):
        edges = _edges(part.shape)
    return {
        "name": part.name,
        "material": part.material,
        "colour": body(part.kind, part.colour),
        **packed(np.asarray(mesh.vertices, dtype=float), mesh.faces, edges),
    }


def _edges(shape: Any) -> list[tuple[NDArray[np.float64], bool]]:
    """The edges of a solid as places (n, 3) along them, and whether the surface runs on smoothly over each; without
    the seams of round faces, which are no edges of the body."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.GeomAbs import GeomAbs_C0

    seams = {edge.hashCode() for face in shape.Faces() for edge in face.Edges() if _is_seam(edge, face)}
    found = []
    for edge in shape.Edges():
        if edge.hashCode() in seams or BRep_Tool.Degenerated_s(edge.wrapped):
            continue
        at = sampled(BRepAdaptor_Curve(edge.wrapped), CHORD_MM)
        found.append((np.round(at, 9) + 0.0, BRep_Tool.MaxContinuity_s(edge.wrapped) != GeomAbs_C0))
    return sorted(found, key=lambda one: (one[0].round(4).tolist(), one[1]))


def _is_seam(edge: Any, face: Any) -> bool:
    from OCP.BRep import BRep_Tool

    return bool(BRep_Tool.IsClosed_s(edge.wrapped, face.wrapped))
