"""A scan of the bottom as a survey: the hull under the palm by its cells, the shaft line by two points or a rod.

The cloud may hold more than the hull: an old palm, stands, the rod. The surface in the patch is found from many small
samples, the one with the least median of the squares (Rousseeuw 1984), then by bisquare weights; cells that lie on it
become the hull points of the survey, about as many as are taken by hand, as the errors of a scan lie beside each other.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from strutwright.models.arrays import Floats
from strutwright.models.bench import survey_fit as fit
from strutwright.models.formulas.line_and_plane import NORMAL_MEDIAN, robust
from strutwright.models.formulas.rod import rod_axis
from strutwright.models.resolve import Resolved
from strutwright.params.bench.survey import Place, Spot, Survey
from strutwright.params.words import Words, mm, say

_AXES = {"x": (1, 0, 0), "-x": (-1, 0, 0), "y": (0, 1, 0), "-y": (0, -1, 0), "z": (0, 0, 1), "-z": (0, 0, -1)}
_CELLS = 40
"""About so many cells the patch is parted into."""
_TRIES, _SAMPLE = 400, 6
_ROD_POINTS = 7
_ROD_REACH = 1.5
"""Points nearer to the axis of a rod than so many of its radii are its own."""
_STEEPEST = 0.8
"""Sine of the angle, 53 degrees, from which a line is taken to stand upright: a wrong axis is up."""
_MOST = 20_000
"""Points of a patch that are worked on; of more every second, third, ... is taken."""


class NoHullError(ValueError):
    """The scan shows no hull, or no rod, where it is looked for; the text says which."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scanned:
    """What a scan comes to. said: the survey, with its hull points and line; cloud: (n, 3) the scan in the survey's
    boat frame; patch: points in the patch; left: share of them that do not lie on the hull; apart_mm: how far apart
    its points lie there.
    """

    said: Survey
    cloud: Floats
    patch: int
    left: float
    apart_mm: float


def scanned(said: Survey, cloud: Floats, found: Resolved | None = None) -> Scanned:
    """Return the survey that a scan comes to. cloud: (n, 3) in mm, in the scan's own axes, as the survey's line is.

    Raises NoHullError where nothing is found.

    >>> from strutwright.params.measured import reads
    >>> x, y = (g.ravel() for g in np.meshgrid(np.arange(-200.0, 201.0, 10), np.arange(-150.0, 151.0, 10)))
    >>> text = "{side: centre, palm: {length: 200, width: 120}, line: [{name: A, along: -400, port: 0, up: 0}, "
    >>> text += "{name: F, along: 400, port: 0, up: 0}]}"
    >>> some = scanned(reads(text, Survey).said, np.stack([x, y, 250 - 0.1 * x], axis=1))
    >>> len(some.said.hull) > 25, some.left
    (True, 0.0)
    """
    line = np.array([[s.along, s.port, s.up] for s in said.line if s.use != "no"])
    if len(line) < 2:
        raise NoHullError("two points of the shaft line have to be marked in the scan, the aft one first")
    notes: dict[str, Any] = {}
    if said.scan.rod_radius is not None:
        line, scatter = _rod(cloud, line, said.scan.rod_radius)
        notes["instrument"] = said.instrument.model_copy(update={"line_scatter": max(scatter, 0.01)})
    axes = _axes(said, cloud, line)
    cloud, line = cloud @ axes.T, line @ axes.T
    names = [f"R{k + 1}" for k in range(len(line))] if said.scan.rod_radius is not None else [s.name for s in said.line]
    spots = [_spot(name, at) for name, at in zip(names, line, strict=False)]
    places = _places(said, spots, line, axes)
    mid = _mid(places, spots, line)
    shown = cloud if said.scan.rod_radius is None else _beside_rod(cloud, line, said.scan.rod_radius)
    low, high = _patch_box(said, found)
    cells, count, left = _cells(shown, line, mid, low, high)
    hull = [_spot(f"C{k + 1}", at) for k, at in enumerate(cells)]
    new = said.model_copy(update={**notes, "hull": hull, "line": spots, "places": places})
    apart = math.sqrt(float(np.prod(high - low)) / count)
    return Scanned(said=new, cloud=cloud, patch=count, left=left, apart_mm=apart)


def reach(cloud: Floats) -> Words:
    """Return how far a scan (n, 3) in mm goes along its own axes, for whoever looks for what was told wrong of it.

    >>> str(reach(np.array([[-2.0, 0.0, 1.0], [3.0, 4.0, 5.0]])))[:57]
    'in its own axes the scan runs from -2 mm to 3 mm in x, fr'
    """
    low, high = cloud.min(axis=0).round(1).tolist(), cloud.max(axis=0).round(1).tolist()
    template = (
        "in its own axes the scan runs from {x} to {X} in x, from {y} to {Y} in y and from {z} to {Z} in z: look "
    )
    ends = {name: mm(at) for name, at in zip("xyzXYZ", (*low, *high), strict=True)}
    return say(
        template + "whether `scan.unit`, `scan.up`, `scan.rod_radius` and the points of `line` go with that", **ends
    )


def _spot(name: str, at: Floats) -> Spot:
    return Spot.model_validate({"name": name, "along": float(at[0]), "port": float(at[1]), "up": float(at[2])})


def _rod(cloud: Floats, line: Floats, radius_mm: float) -> tuple[Floats, float]:
    """Points along the axis of the rod near the marked points, and the scatter of one."""
    first, last = line[0], line[-1]
    way = (last - first) / np.linalg.norm(last - first)
    along = (cloud - first) @ way
    off = np.linalg.norm(cloud - first - np.outer(along, way), axis=1)
    reach = float(np.linalg.norm(last - first))
    near = (off < 2.5 * radius_mm + 10.0) & (along > -0.2 * reach) & (along < 1.2 * reach)
    try:
        rod = rod_axis(cloud[near][:: max(1, int(near.sum()) // _MOST)], radius_mm, first, last)
    except ValueError as error:
        raise NoHullError(str(error)) from None
    steps = np.linspace(rod.from_mm, rod.to_mm, _ROD_POINTS)
    return rod.middle + np.outer(steps, rod.direction), rod.scatter_mm * math.sqrt(_ROD_POINTS * 4 / rod.count)


def _beside_rod(cloud: Floats, line: Floats, radius_mm: float) -> Floats:
    """The cloud without the rod, which where it is scanned finely has more points than the hull over it."""
    way = (line[-1] - line[0]) / np.linalg.norm(line[-1] - line[0])
    from_line = cloud - line[0]
    off = np.linalg.norm(from_line - np.outer(from_line @ way, way), axis=1)
    return np.asarray(cloud[off > _ROD_REACH * radius_mm])


def _axes(said: Survey, cloud: Floats, line: Floats) -> Floats:
    """The boat's axes in those of the scan, one a row: up as told, or the scan's axis that leads from the shaft line to
    the hull; forward along the line, where the centre line is not marked."""
    direction = (line[-1] - line[0]) / np.linalg.norm(line[-1] - line[0])
    if said.scan.up == "found":
        there = np.median(cloud, axis=0) - line.mean(axis=0)
        there = there - (there @ direction) * direction
        up = max(_AXES.values(), key=lambda axis: float(np.array(axis) @ there))
    else:
        up = _AXES[said.scan.up]
    z = np.array(up, dtype=float)
    if abs(float(direction @ z)) > _STEEPEST:
        raise NoHullError("the points of `line` lead up rather than forward")
    if any(p.what in ("stem", "stern") for p in said.places):
        x = np.eye(3)[int(np.argmin(np.abs(z)))]
    else:
        x = direction - (direction @ z) * z
    x /= np.linalg.norm(x)
    return np.stack([x, np.cross(z, x), z])


def _places(said: Survey, spots: list[Spot], line: Floats, axes: Floats) -> list[Place]:
    """The places along the shaft and the marks, in the boat's frame; mid-barrel half-way between the marked points
    where it is not told."""
    out = []
    for place in said.places:
        if place.along is not None and place.what in ("stem", "stern", "upright"):
            at = axes @ np.array([place.along, place.port, place.up])
            place = place.model_copy(update={"along": float(at[0]), "port": float(at[1]), "up": float(at[2])})
        if place.point is not None and place.point not in [s.name for s in spots]:
            # Marked near the rod: the place abreast of it on its axis.
            mark = next(s for s in said.line if s.name == place.point)
            at = axes @ np.array([mark.along, mark.port, mark.up])
            way = (line[-1] - line[0]) / np.linalg.norm(line[-1] - line[0])
            moved = float((at - line[0]) @ way) + place.distance
            place = place.model_copy(update={"point": spots[0].name, "distance": moved})
        out.append(place)
    if all(p.what != "mid_barrel" for p in out):
        half = float(np.linalg.norm(line[-1] - line[0])) / 2
        out.append(Place(what="mid_barrel", point=spots[0].name, distance=half))
    return out


def _mid(places: list[Place], spots: list[Spot], line: Floats) -> Floats:
    """Mid-barrel in the boat's frame."""
    place = next(p for p in places if p.what == "mid_barrel")
    way = (line[-1] - line[0]) / np.linalg.norm(line[-1] - line[0])
    if place.point is not None:
        start = line[[s.name for s in spots].index(place.point)]
        return np.asarray(start + place.distance * way)
    return np.asarray(line[0] + ((place.along or 0.0) - line[0][0]) / way[0] * way)


# --- the hull in the patch -------------------------------------------------------------------------------------------


def strut_axes(line: Floats) -> Floats:
    """Return the strut's axes in the boat's frame, one a row, of a line from aft forward.

    >>> strut_axes(np.array([[0.0, 0.0, 0.0], [4.0, 0.0, 3.0]])).round(6).tolist()
    [[0.8, 0.0, 0.6], [0.0, 1.0, 0.0], [-0.6, 0.0, 0.8]]
    """
    x = (line[-1] - line[0]) / np.linalg.norm(line[-1] - line[0])
    y = np.cross(np.array([0.0, 0.0, 1.0]), x)
    y /= np.linalg.norm(y)
    return np.stack([x, y, np.cross(x, y)])


def _cells(cloud: Floats, line: Floats, mid: Floats, low: Floats, high: Floats) -> tuple[Floats, int, float]:
    """Cells of the hull in the boat's frame, how many points the patch has, and the share of them that is not hull."""
    axes = strut_axes(line)
    at = (cloud - mid) @ axes.T
    inside = ((at[:, :2] >= low) & (at[:, :2] <= high)).all(axis=1) & (at[:, 2] > 0.0)
    points = at[inside]
    points = points[:: max(1, len(points) // _MOST)]
    if len(points) < 3 * _SAMPLE:
        raise NoHullError("the scan has hardly a point over the shaft where the palm is to lie")
    scale = float(np.abs(points[:, :2]).max())
    columns = fit.design(points, fit.PLANE + fit.CURVED, scale)
    on = _on_surface(columns, points[:, 2])
    step = math.sqrt(float(np.prod(high - low)) / _CELLS)
    index = np.floor((points[:, :2] - low) / step).astype(int)
    out = []
    for cell in np.unique(index, axis=0):
        here = (index == cell).all(axis=1)
        if (here & on).sum() >= max(3, 0.3 * here.sum()):
            out.append(points[here & on].mean(axis=0))
    if len(out) < fit.CURVED_FROM:
        raise NoHullError("the scan has too few places over the shaft where it shows one surface")
    return np.array(out) @ axes + mid, int(inside.sum()), float(1.0 - on.mean())


def _patch_box(said: Survey, found: Resolved | None) -> tuple[Floats, Floats]:
    """The least and most X and Y of the patch round the palm."""
    reach, size = said.scan.reach, said.palm
    if size.length is not None and size.width is not None:
        half, middle = np.array([size.length, size.width]) / 2, np.array([size.forward, size.port])
        return middle - half - reach, middle + half + reach
    if found is None:
        raise NoHullError("a scan has to be told where the palm lies: name the set, or say its sizes")
    corners = []
    for palm in found.of_hand("starboard" if said.side == "starboard" else found.strut.identity.hand).palms:
        box = palm.outline.bounding_box()
        zero = np.array(palm.zero_mm[:2])
        corners += [zero + np.array([box.xmin, box.ymin]), zero + np.array([box.xmax, box.ymax])]
    return np.min(corners, axis=0) - reach, np.max(corners, axis=0) + reach


def _on_surface(columns: Floats, z: Floats) -> Any:
    """Whether each point lies on the surface that most of them lie on."""
    # The same samples for the same scan: they start at a fixed place.
    rng = np.random.default_rng(1)
    some = np.linspace(0, len(z) - 1, min(len(z), 2000)).astype(int)
    best: Floats | None = None
    least = math.inf
    for _ in range(_TRIES):
        pick = rng.choice(len(z), _SAMPLE, replace=False)
        try:
            trial = np.linalg.solve(columns[pick], z[pick])
        except np.linalg.LinAlgError:
            continue
        median = float(np.median(np.abs(z[some] - columns[some] @ trial)))
        if median < least:
            best, least = np.asarray(trial, dtype=float), median
    if best is None:
        raise NoHullError("the scan's points over the shaft lie in lines and tell no surface")
    scale = max(1.5 * least / NORMAL_MEDIAN, 0.02)
    return robust(columns, z, "bisquare", scale=scale, start=best).weights > 0.1
