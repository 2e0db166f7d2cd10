"""Scans are read: meshes and clouds of points, as points in mm."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
UNITS_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
MESHES = (".stl", ".ply", ".obj")
CLOUDS = (".xyz", ".txt", ".csv", ".pts", ".asc")
MAX_BYTES = 600 * 1024 * 1024
_STEP_MM, _MOST_STEPS, _MOST_POINTS = 8.0, 200, 4_000_000


class ScanError(ValueError):
    """The file is no scan that can be read; the text says why."""


def scan_points(path: Path, unit: str) -> Floats:
    """Return the points (n, 3) of a scan in mm; faces of a mesh are sown with points no further apart than 8 mm.

    unit: of the file, a key of UNITS_MM. Raises ScanError.
    """
    kind = path.suffix.lower()
    if kind not in (*MESHES, *CLOUDS):
        raise ScanError(
            f"{path.name}: is neither a mesh nor a cloud of points; {', '.join((*MESHES, *CLOUDS))} are read"
        )
    try:
        if path.stat().st_size > MAX_BYTES:
            raise ScanError(f"{path.name}: is over 600 MB; cut it to the bottom round the strut")
        points = (_mesh if kind in MESHES else _cloud)(path, UNITS_MM[unit])
    except OSError as error:
        raise ScanError(f"{path.name}: cannot be read ({error.strerror or error})") from None
    if len(points) < 3 or not np.isfinite(points).all():
        raise ScanError(f"{path.name}: holds no points, or some that are no numbers")
    return points


def _mesh(path: Path, per_mm: float) -> Floats:
    import trimesh

    try:
        loaded = trimesh.load(path, process=False)
    except (ValueError, KeyError, IndexError, TypeError, AttributeError) as error:
        raise ScanError(f"{path.name}: cannot be read as {path.suffix[1:].upper()} ({error})") from None
    if isinstance(loaded, trimesh.Scene):
        loaded = loaded.to_mesh()
    points = np.asarray(loaded.vertices, dtype=float) * per_mm
    faces = np.asarray(getattr(loaded, "faces", np.zeros((0, 3), dtype=int)))
    return np.vstack([points, _sown(points[faces])]) if len(faces) else points


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
    with path.open(encoding="utf-8", errors="replace") as lines:
        for count, line in enumerate(lines, 1):
            cells = line.replace(",", " ").replace(";", " ").split()
            try:
                rows.append((float(cells[0]), float(cells[1]), float(cells[2])))
            except (ValueError, IndexError):
                if rows and cells and not line.startswith("#"):
                    raise ScanError(f"{path.name}:{count}: is no line of three numbers") from None
    return np.array(rows, dtype=float).reshape(-1, 3) * per_mm
