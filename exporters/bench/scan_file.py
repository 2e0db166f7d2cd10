"""Scans are read: meshes and clouds of points, as points in mm."""

from __future__ import annotations

import logging
import re
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
UNITS_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
MESHES = (".stl", ".ply", ".obj")
CLOUDS = (".xyz", ".txt", ".csv", ".pts", ".asc")
MAX_BYTES = 600 * 1024 * 1024
_FARTHEST_MM = 1e8
_STEP_MM, _MOST_STEPS, _MOST_POINTS = 8.0, 200, 4_000_000


class ScanError(ValueError):
    """The file is no scan that can be read; the text says why."""


def scan_points(path: Path, unit: str) -> Floats:
    """Return the points (n, 3) of a scan in mm; faces of a mesh are sown with points some 8 mm apart, on faces of over
    1.6 m and where that would be over four million further.

    unit: of the file, a key of UNITS_MM. Raises ScanError.
    """
    kind = path.suffix.lower()
    if kind not in (*MESHES, *CLOUDS):
        raise ScanError(
            f"{path.name}: is neither a mesh nor a cloud of points; {', '.join((*MESHES, *CLOUDS))} are read"
        )
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise ScanError(f"{path.name}: is {'a folder, ' if path.is_dir() else ''}not a file")
        if size > MAX_BYTES:
            raise ScanError(f"{path.name}: is over 600 MB; cut it to the bottom round the strut")
        points = (_mesh if kind in MESHES else _cloud)(path, UNITS_MM[unit])
    except OSError as error:
        raise ScanError(f"{path.name}: cannot be read ({error.strerror or error})") from None
    return points


def _sound(path: Path, points: Floats) -> Floats:
    """The points, once there are some and all are numbers."""
    if len(points) < 3:
        kind = path.suffix[1:].upper()
        raise ScanError(f"{path.name}: holds no points that can be read: it is empty, cut short or no {kind} file")
    numbers = np.isfinite(points).all(axis=1)
    if not numbers.all():
        count, first = len(points) - int(numbers.sum()), int(np.argmin(numbers)) + 1
        raise ScanError(
            f"{path.name}: of its {len(points)} points {count} are no numbers or endless, first point {first}"
        )
    far = np.abs(points).max(axis=1) > _FARTHEST_MM
    if far.any():
        raise ScanError(
            f"{path.name}: point {int(np.argmax(far)) + 1} lies over {_FARTHEST_MM / 1e6:g} km from zero: the file is "
            "spoiled, or its unit is another"
        )
    return points


def _mesh(path: Path, per_mm: float) -> Floats:
    import trimesh

    log = logging.getLogger("trimesh")
    log.disabled = True  # what it would say of a spoiled file is told below, in plain words
    try:
        # Materials would have files read that the mesh names.
        loaded = trimesh.load(path, process=False, skip_materials=True)
    except (ValueError, KeyError, IndexError, TypeError, AttributeError):
        kind = path.suffix[1:].upper()
        raise ScanError(
            f"{path.name}: cannot be read as {kind}: it is cut short, no {kind} file, or its faces name points that it "
            "does not have"
        ) from None
    finally:
        log.disabled = False
    if isinstance(loaded, trimesh.Scene):
        loaded = loaded.to_mesh()
    points = _sound(path, np.asarray(loaded.vertices, dtype=float).reshape(-1, 3) * per_mm)
    faces = np.asarray(getattr(loaded, "faces", np.zeros((0, 3), dtype=int)))
    wrong = ((faces < 0) | (faces >= len(points))).any(axis=1)
    if wrong.any():
        raise ScanError(
            f"{path.name}: face {int(np.argmax(wrong)) + 1} names a point that is not there; the file has {len(points)}"
        )
    # STL has a corner once for each face round it: each counts once, in one order whatever the file has.
    once = points[trimesh.grouping.unique_rows(points)[0]]
    return np.vstack([once, _sown(points[faces])]) if len(faces) else once


def _sown(triangles: Floats) -> Floats:
    """Points over triangles (n, 3, 3), a few mm apart; on small ones their middle."""
    edges = np.linalg.norm(triangles - np.roll(triangles, 1, axis=1), axis=2).max(axis=1)
    steps = np.clip(np.ceil(edges / _STEP_MM).astype(int), 1, _MOST_STEPS)
    coarser = max(1.0, float((steps.astype(float) ** 2).sum()) / _MOST_POINTS) ** 0.5
    steps = np.maximum(1, (steps / coarser).astype(int))
    out = []
    for n in np.unique(steps):
        share = (np.arange(n) + 1.0 / 3.0) / n
        u, v = (g.ravel() for g in np.meshgrid(share, share))
        kept = u + v < 1.0
        u, v = u[kept], v[kept]
        some = triangles[steps == n]
        corner, one, other = some[:, :1], some[:, 1:2], some[:, 2:]
        grown = corner + u[:, None] * (one - corner) + v[:, None] * (other - corner)
        out.append(grown.reshape(-1, 3))
    return np.vstack(out)


def _cloud(path: Path, per_mm: float) -> Floats:
    """The first three numbers of each line; lines that do not begin with three numbers at the head are passed over."""
    rows: list[tuple[float, float, float]] = []
    decimal_comma = re.compile(r"\s*[-+]?\d+,\d+[;\s]+[-+]?\d+,\d+[;\s]+[-+]?\d+,\d+")
    with path.open(encoding="utf-8", errors="replace") as lines:
        for count, line in enumerate(lines, 1):
            if "," in line and decimal_comma.match(line):
                raise ScanError(f"{path.name}:{count}: its numbers have a decimal comma; write them with a point")
            cells = line.replace(",", " ").replace(";", " ").split()
            try:
                rows.append((float(cells[0]), float(cells[1]), float(cells[2])))
            except (ValueError, IndexError):
                if rows and cells and not line.startswith("#"):
                    raise ScanError(f"{path.name}:{count}: is no line of three numbers") from None
    return _sound(path, np.array(rows, dtype=float).reshape(-1, 3) * per_mm)
