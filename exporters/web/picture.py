"""A shaded picture of the built parts, drawn off screen by VTK (which the CAD kernel's package brings with it)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from strutwright.exporters.files.mesh import triangles
from strutwright.exporters.files.step import PartLike
from strutwright.models.solids import watch

VIEWS = {
    "port quarter": (-1.0, 1.35, 0.55),
    "below": (-0.9, 1.1, -0.9),
    "side": (0.0, 1.0, 0.0),
    "aft": (-1.0, 0.0, 0.0),
}
"""Directions to look from, strut frame."""
_MARGIN = 1.06


def write_picture(
    path: Path,
    parts: Sequence[PartLike],
    view: str = "port quarter",
    size_px: tuple[int, int] = (1200, 900),
    chord_mm: float = 0.05,
) -> None:
    """Write a PNG of the parts.

    view: a name from VIEWS. size_px: width and height. chord_mm: greatest distance of the mesh from the surface.
    Raises KeyError for an unknown view.
    """
    import vtkmodules.vtkRenderingOpenGL2  # noqa: F401 - registers the renderer
    from vtkmodules.vtkRenderingCore import vtkLight, vtkRenderer

    direction = VIEWS[view]
    scene = vtkRenderer()
    scene.SetBackground(1.0, 1.0, 1.0)
    corners = np.concatenate([_add(scene, part, chord_mm) for part in parts])
    for place, strength in (((0.3, 0.8, 1.0), 0.85), ((-1.0, 0.2, 0.3), 0.45), ((0.6, -0.6, -0.4), 0.25)):
        light = vtkLight()
        light.SetLightTypeToCameraLight()
        light.SetPosition(*place)
        light.SetIntensity(strength)
        scene.AddLight(light)
    aim(scene, corners, direction, size_px[0] / size_px[1])
    save(path, (scene,), size_px)


def aim(scene: Any, points: NDArray[np.float64], direction: tuple[float, float, float], aspect: float) -> None:
    """Point the camera of a VTK renderer along a direction (strut frame) so that points (n, 3) fill its view.

    aspect: width over height of the view. Parallel projection, strut z upward.
    """
    back = np.array(direction) / np.linalg.norm(direction)
    right = np.cross((0.0, 0.0, 1.0), back)
    right /= np.linalg.norm(right)
    turn = np.stack([right, np.cross(back, right), back], axis=1)
    seen = points @ turn
    low, high = seen.min(axis=0), seen.max(axis=0)
    middle = turn @ ((low + high) / 2)
    camera = scene.GetActiveCamera()
    camera.SetFocalPoint(*middle)
    camera.SetPosition(*(middle + back * (high[2] - low[2] + 100.0)))
    camera.SetViewUp(0, 0, 1)
    camera.ParallelProjectionOn()
    span = high - low
    camera.SetParallelScale(_MARGIN * max(span[1], span[0] / aspect) / 2)
    scene.ResetCameraClippingRange()


def save(path: Path, scenes: Sequence[Any], size_px: tuple[int, int]) -> None:
    """Draw VTK renderers off screen into one PNG of a width and height."""
    import vtkmodules.vtkRenderingOpenGL2  # noqa: F401 - registers the renderer
    from vtkmodules.vtkCommonCore import vtkLogger
    from vtkmodules.vtkIOImage import vtkPNGWriter
    from vtkmodules.vtkRenderingCore import vtkRenderWindow, vtkWindowToImageFilter

    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_ERROR)  # it warns when there is no screen, which it does without
    window = vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(8)
    window.SetSize(*size_px)
    for scene in scenes:
        window.AddRenderer(scene)
    window.Render()
    image = vtkWindowToImageFilter()
    image.SetInput(window)
    image.ReadFrontBufferOff()
    image.Update()
    writer = vtkPNGWriter()
    writer.SetWriteToMemory(True)  # to a file it would not say when the disk is full
    writer.SetInputConnection(image.GetOutputPort())
    writer.Write()
    path.write_bytes(memoryview(writer.GetResult()))
    window.Finalize()


def packed(values: NDArray[Any]) -> Any:
    """Return an array (n,) or (n, k) as VTK takes it, a copy."""
    from vtkmodules.util import numpy_support

    support: Any = numpy_support
    return support.numpy_to_vtk(np.ascontiguousarray(values), deep=True)


def packed_numbers(values: NDArray[Any]) -> Any:
    """Return an array of whole numbers, flat, as VTK takes it for cells, a copy."""
    from vtkmodules.util import numpy_support

    support: Any = numpy_support
    return support.numpy_to_vtkIdTypeArray(np.ascontiguousarray(values, dtype=np.int64).ravel(), deep=True)


def _add(scene: Any, part: PartLike, chord_mm: float) -> NDArray[np.float64]:
    """Put a part into the scene; return its points (n, 3), mm."""
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
    from vtkmodules.vtkFiltersCore import vtkFeatureEdges, vtkPolyDataNormals
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    with watch.step(f"the picture of the {part.name}", part.parameter):
        mesh = triangles(part.shape, part.name, chord_mm, math.radians(8))
    points, cells, data = vtkPoints(), vtkCellArray(), vtkPolyData()
    points.SetData(packed(mesh.vertices))
    faces = mesh.faces
    cells.SetData(3, packed_numbers(faces))
    data.SetPoints(points)
    data.SetPolys(cells)
    normals = vtkPolyDataNormals()
    normals.SetInputData(data)
    normals.SetFeatureAngle(25)
    surface = vtkPolyDataMapper()
    surface.SetInputConnection(normals.GetOutputPort())
    surface.ScalarVisibilityOff()
    body = vtkActor()
    body.SetMapper(surface)
    look = body.GetProperty()
    look.SetColor(*part.colour[:3])
    look.SetAmbient(0.22)
    look.SetDiffuse(0.75)
    look.SetSpecular(0.18)
    look.SetSpecularPower(25)
    scene.AddActor(body)
    edges = vtkFeatureEdges()
    edges.SetInputData(data)
    edges.SetFeatureAngle(25)
    edges.BoundaryEdgesOff()
    edges.NonManifoldEdgesOff()
    edges.ColoringOff()
    lines = vtkPolyDataMapper()
    lines.SetInputConnection(edges.GetOutputPort())
    lines.SetResolveCoincidentTopologyToPolygonOffset()
    drawn = vtkActor()
    drawn.SetMapper(lines)
    drawn.GetProperty().SetColor(0.12, 0.12, 0.14)
    drawn.GetProperty().SetLineWidth(1.6)
    scene.AddActor(drawn)
    return np.asarray(mesh.vertices, dtype=float)
