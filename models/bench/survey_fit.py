"""The hull's surface through its points, the palm's plane on it, and what follows, for many surveys at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from strutwright.models.arrays import Floats
from strutwright.models.bench.survey_frames import (
    Readings,
    StrutFrame,
    boat_points,
    hull_plane,
    place_mm,
    strut_frame,
    strut_points,
)
from strutwright.models.formulas import hull_curve as law

Terms = tuple[tuple[int, int], ...]
"""Powers of forward and port of each term of a surface."""
PLANE: Terms = ((0, 0), (1, 0), (0, 1))
CURVED = ((2, 0), (1, 1), (0, 2))
FaceLaw = Literal["flat", "cylinder", "second order"]
CURVED_FROM = 8
"""Points from which the hull's curve is sought."""
_LEAST = 0.03
"""A term counts as seen where its column is at least so independent of the others."""
_STEPS = 4
_TIP_STEPS = np.linspace(-1.0, 1.0, 41)


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """The outline of a palm, (n, 2) from the palm zero. uv_mm: (k, 2) points over it, each for the same share of its
    area. arm_x_mm: where the arm's axis leaves the shaft line, forward of mid-barrel; arm: (3,) its direction.
    projection: whether u lies along the shaft's projection on the palm, else along the trace.
    """

    outline_mm: Floats
    uv_mm: Floats
    arm_x_mm: float
    arm: Floats
    projection: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """How a survey is worked out. terms: of the surface; scale_mm: of its coordinates; patches: where the palms lie;
    level: the palm lies level athwart, as on the keel; folded: both sides of the keel are taken as one, to port.
    barrel_mm, propeller_mm, hub_mm, hub_gap_mm: sizes where they are known. face: what the palms' hull faces are made
    to; the plane of one that is not flat touches it in the middle. face_mm: about the radius of a cylinder.
    """

    terms: Terms = PLANE
    scale_mm: float = 100.0
    patches: tuple[Patch, ...] = ()
    level: bool = False
    folded: bool = False
    barrel_mm: float | None = None
    propeller_mm: float | None = None
    hub_mm: float | None = None
    hub_gap_mm: float | None = None
    face: FaceLaw = "flat"
    face_mm: float = 0.0


def design(points: Floats, terms: Terms, scale_mm: float) -> Floats:
    """Return the columns of a surface's terms at points (..., 2 or more), scaled.

    >>> design(np.array([[200.0, 100.0]]), PLANE + CURVED, 100.0).tolist()
    [[1.0, 2.0, 1.0, 4.0, 2.0, 1.0]]
    """
    x, y = points[..., 0] / scale_mm, points[..., 1] / scale_mm
    powers = {(0, 0): np.ones_like(x), (1, 0): x, (0, 1): y}
    return np.stack(
        [powers[t] if t in powers else x * x if t[0] == 2 else x * y if t[0] else y * y for t in terms], axis=-1
    )


def terms_for(points: Floats, scale_mm: float, left_out: int = 0, spare: int = 2) -> Terms:
    """Return the terms that points (n, 2 or more) can tell, by where they lie, never by what was read there.

    left_out: how many points were left out as out of line; spare: readings that are to be left over.

    >>> grid = np.array([(x, y) for x in (-100.0, 0.0, 100.0) for y in (-60.0, 60.0)] * 2)
    >>> terms_for(grid, 100.0)  # two rows see no curve across
    ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1))
    """
    n = len(points)
    if n + left_out < CURVED_FROM:
        return PLANE
    terms = PLANE
    for term in CURVED:
        more = (*terms, term)
        columns = design(points, more, scale_mm)
        old, new = columns[:, :-1], columns[:, -1]
        rest = new - old @ np.linalg.lstsq(old, new, rcond=None)[0]
        if n - len(more) >= spare and np.linalg.norm(rest) > _LEAST * np.linalg.norm(new):
            terms = more
    return terms


def solve(columns: Floats, values: Floats) -> Floats:
    """Return least-squares coefficients (b, p) for columns (b, n, p) and values (b, n).

    >>> solve(np.array([[[1.0, 0.0], [1.0, 1.0], [1.0, 2.0]]]), np.array([[1.0, 3.0, 5.0]])).round(9).tolist()
    [[1.0, 2.0]]
    """
    across = np.swapaxes(columns, 1, 2)
    return np.asarray(np.linalg.solve(across @ columns, across @ values[..., None])[..., 0])


# --- the palm's plane ------------------------------------------------------------------------------------------------


def palm_faces(surface: Floats, model: Model) -> tuple[Floats, Floats]:
    """Return the plane (b, 3) nearest over the palms' outlines to surfaces (b, p): z = a + b x + c y, not scaled; and
    of each palm (b, palms, 3) the hull face's radius, positive where it is rounded, the direction of its axis in
    degrees from u toward v, and its radius along that; not a number where the face is flat, or straight.

    With a face made to the hull's curve the plane is the one that touches the cylinder nearest to the hull along the
    line through the middle of the palm, or the face of second order in the middle.

    >>> over = np.array([(u, v) for u in (-60.0, 0.0, 60.0) for v in (-40.0, 0.0, 40.0)])
    >>> patch = Patch(outline_mm=over, uv_mm=over, arm_x_mm=0.0, arm=np.array([0.0, 0.0, 1.0]), projection=False)
    >>> palm_faces(np.array([[300.0, -20.0, 10.0]]), Model(patches=(patch,)))[0].round(6).tolist()  # a plane's own
    [[300.0, -0.2, 0.1]]
    >>> bent = np.array([[300.0, 0.0, 0.0, -0.5, 0.0, 100.0**2 / 2.0 / 5000.0]])  # of 5 m across, up at the edges
    >>> curved = {"terms": PLANE + CURVED, "patches": (patch,), "face_mm": 5000.0}
    >>> plane, face = palm_faces(bent * [1.0, 1.0, 1.0, 0.0, 1.0, 1.0], Model(face="cylinder", **curved))
    >>> abs(plane.round(3)).tolist(), (face.round(0) + 0.0).tolist()
    ([[300.0, 0.0, 0.0]], [[[-5000.0, 0.0, nan]]])
    >>> palm_faces(bent, Model(face="second order", **curved))[1].round(0).tolist()  # down along by x^2 / 2 R: 10 m
    [[[-5000.0, 0.0, 10000.0]]]
    """
    s = model.scale_mm
    plane = np.stack([surface[:, 0], surface[:, 1] / s, surface[:, 2] / s], axis=1)
    faces = np.full((len(surface), len(model.patches), 3), np.nan)
    if model.level:
        plane[:, 2] = 0.0
    for _ in range(_STEPS):
        places = [patch_places(plane, patch) for patch in model.patches]
        at = np.concatenate(places, axis=1)
        z = np.einsum("bkp,bp->bk", design(at, model.terms, s), surface)
        flat = design(at, PLANE[:2] if model.level else PLANE, s)
        count = flat.shape[-1]
        if model.face == "cylinder":
            columns, faces[:, :, 1] = _bent_columns(z, plane, model, model.face_mm)
            flat = np.concatenate([flat, columns], axis=2)
        elif model.face == "second order":
            flat = np.concatenate([flat, _second_columns(plane, model)], axis=2)
        found = solve(flat, z)
        plane = np.stack([found[:, 0], found[:, 1] / s, np.zeros(len(z)) if model.level else found[:, 2] / s], axis=1)
    if model.face == "cylinder":
        faces[:, :, 0] = -model.face_mm / found[:, count:]
    elif model.face == "second order":
        bends = found[:, count:].reshape(len(z), -1, len(CURVED))
        faces = np.stack([_second_face(bends[:, k]) for k in range(len(model.patches))], axis=1)
    return plane, faces


def _second_columns(plane: Floats, model: Model) -> Floats:
    """How high faces of second order rise at the places of each palm, (b, k, 3 palms), by u^2, u v and v^2 from its
    middle in hundreds of mm."""
    level = np.sqrt(1.0 + plane[:, 1] ** 2 + plane[:, 2] ** 2)
    count = sum(len(patch.uv_mm) for patch in model.patches)
    columns, at = np.zeros((count, len(CURVED) * len(model.patches))), 0
    for n, patch in enumerate(model.patches):
        here, own = slice(at, at + len(patch.uv_mm)), slice(len(CURVED) * n, len(CURVED) * (n + 1))
        at = here.stop
        columns[here, own] = design(_from_middle(patch), CURVED, 100.0)
    return np.asarray(columns[None] * level[:, None, None])


def _from_middle(patch: Patch) -> Floats:
    return np.asarray(patch.uv_mm - (patch.outline_mm.min(axis=0) + patch.outline_mm.max(axis=0)) / 2)


def _second_face(bends: Floats) -> Floats:
    """Radius, axis and radius along it (b, 3) of faces that rise by u^2, u v and v^2 (b, 3), in hundreds of mm."""
    hollow = bool(bends[0, 0] + bends[0, 2] >= 0.0)
    across, along, square = law.principal(*bends.T / 100.0**2, hollow=hollow)
    with np.errstate(divide="ignore"):
        return np.stack([-0.5 / across, _near_first(np.asarray(square) - 90.0), -0.5 / along], axis=1)


def _near_first(turn_deg: Floats) -> Floats:
    """Directions without sense, the first from -90 to 90 degrees and all others near to it."""
    first = (turn_deg[0] + 90.0) % 180.0 - 90.0
    return np.asarray(first + (turn_deg - first + 90.0) % 180.0 - 90.0)


def _bent_columns(z: Floats, plane: Floats, model: Model, face_mm: float) -> tuple[Floats, Floats]:
    """How high a cylinder of that radius rises at the places of each palm, (b, k, palms), and its axes (b, palms): in
    the direction in which the surface of second order through heights z (b, k) bends least."""
    level = np.sqrt(1.0 + plane[:, 1] ** 2 + plane[:, 2] ** 2)
    columns, axes, at = np.zeros((*z.shape, len(model.patches))), [], 0
    for n, patch in enumerate(model.patches):
        here = slice(at, at + len(patch.uv_mm))
        at = here.stop
        uv = _from_middle(patch)
        uu, across, vv = (z[:, here] @ np.linalg.pinv(design(uv, PLANE + CURVED, 100.0)).T)[:, 3:].T
        most = np.degrees(np.arctan2(across, uu - vv)) / 2 + np.where(uu + vv < 0.0, 90.0, 0.0)
        axis = _near_first(most - 90.0)
        turn = np.radians(axis)[:, None]
        off = uv[None, :, 1] * np.cos(turn) - uv[None, :, 0] * np.sin(turn)
        columns[:, here, n] = law.sagitta_mm(np.clip(off, -0.9 * face_mm, 0.9 * face_mm), face_mm) * level[:, None]
        axes.append(axis)
    return columns, np.stack(axes, axis=1)


def patch_places(plane: Floats, patch: Patch) -> Floats:
    """Return where the points of a palm on planes (b, 3) lie, (b, k, 2) forward and to port in the strut's frame.

    >>> at = np.array([[100.0, 0.0]])
    >>> patch = Patch(outline_mm=at, uv_mm=at, arm_x_mm=20.0, arm=np.array([0.0, 0.0, 1.0]), projection=False)
    >>> patch_places(np.array([[300.0, -0.75, 0.0]]), patch).round(6).tolist()  # 100 down a slope of 3 in 4
    [[[100.0, 0.0]]]
    """
    n = np.stack([-plane[:, 1], -plane[:, 2], np.ones(len(plane))], axis=1)
    n /= np.linalg.norm(n, axis=1)[:, None]
    u = np.stack([np.ones(len(plane)), np.zeros(len(plane)), plane[:, 1]], axis=1)
    if patch.projection:
        u = np.array([1.0, 0.0, 0.0]) - n[:, :1] * n
    u /= np.linalg.norm(u, axis=1)[:, None]
    v = np.cross(n, u)
    slope = plane[:, 1] * patch.arm[0] + plane[:, 2] * patch.arm[1]
    along = (plane[:, 0] + plane[:, 1] * patch.arm_x_mm) / (patch.arm[2] - slope)
    zero = np.array([patch.arm_x_mm, 0.0, 0.0]) + along[:, None] * patch.arm
    uv = patch.uv_mm
    places = zero[:, None] + uv[None, :, :1] * u[:, None] + uv[None, :, 1:] * v[:, None]
    return np.asarray(places[:, :, :2])


# --- all figures -----------------------------------------------------------------------------------------------------

FIGURES = (
    "pitch_deg",
    "tilt_deg",
    "drop_mm",
    "shaft_deg",
    "run_deg",
    "deadrise_deg",
    "to_palm_deg",
    "drop_vertical_mm",
    "drop_square_to_hull_mm",
    "plan_deg",
    "lines_run_deg",
    "lines_deadrise_deg",
    "tip_mm",
    "hub_gap_mm",
    "bearing_span_mm",
    "face_radius_mm",
    "face_axis_deg",
    "face_along_mm",
    "face_radius_starboard_mm",
    "face_axis_starboard_deg",
    "face_along_starboard_mm",
)
"""Names of the figures; pitch, tilt and drop are those of the palm's plane (models.spec.PalmPlane)."""


def figures(of: Readings, x: Floats, model: Model) -> Floats:
    """Return the figures (b, len(FIGURES)) of readings (b, n); not a number where they say nothing of one.

    >>> from strutwright.models.bench.survey_frames import readings_of
    >>> from strutwright.params.bench.survey import Survey
    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, angles: {shaft: 9, run: 1, deadrise: 0}, drop: {square_to_shaft: 200}}"
    >>> found = readings_of(reads(text, Survey).said, None)
    >>> model = Model()
    >>> figures(found, found.values[None], model)[0, [0, 2, 3, 4]].round(6).tolist()
    [10.0, 200.0, 9.0, 1.0]
    """
    frame = strut_frame(of, x)
    surface = surface_of(of, x, frame, model)
    nothing = np.full(len(x), np.nan)
    told = [nothing] * (2 * 3)
    if of.hull:
        plane, faces = palm_faces(surface, model)
        told = [*faces.reshape(len(x), -1).T, *told][: len(told)]
    else:
        plane = _told_plane(of, x, frame, model)
    theta, phi, drop = -np.arctan(plane[:, 1]), np.arctan(plane[:, 2]), plane[:, 0]
    levelled = _levelled(of)
    shaft = np.radians(frame.shaft_deg) if levelled else nothing
    run = theta - shaft
    run_or = run if levelled else np.zeros(len(x))
    side = of.side or (1 if model.folded else 0)
    rise = np.arctan(side * np.tan(phi) * np.cos(theta) / np.cos(run_or)) if side else np.zeros(len(x))
    square = np.sqrt(1.0 + np.tan(theta) ** 2 + np.tan(phi) ** 2)
    # The hull's upright in the boat's frame, for the angles of a lines plan.
    n = np.einsum("bj,bji->bi", np.stack([np.tan(theta), -np.tan(phi), np.ones(len(x))], axis=1), frame.axes)
    lines_rise = (side or 1) * np.arctan(-n[:, 1] / n[:, 2])
    return np.stack(
        [
            np.degrees(theta),
            np.degrees(phi),
            drop,
            np.degrees(shaft),
            np.degrees(run),
            np.degrees(rise),
            np.degrees(np.arcsin(np.tan(theta) / square)),
            drop * (np.cos(shaft) - np.tan(run) * np.sin(shaft)),
            drop / square,
            frame.plan_deg if levelled else nothing,
            np.degrees(np.arctan(n[:, 0] / n[:, 2])) if levelled else nothing,
            np.degrees(lines_rise) if levelled else nothing,
            _tip(of, x, frame, model, surface, plane),
            _gap(of, x, frame, model),
            _between(of, x, frame, "next_bearing"),
            *told,
        ],
        axis=1,
    )


def surface_of(of: Readings, x: Floats, frame: StrutFrame, model: Model) -> Floats:
    """Return the surface's coefficients (b, p); nothing of it where no hull points were measured.

    >>> from strutwright.models.bench.survey_frames import readings_of
    >>> from strutwright.params.bench.survey import Survey
    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, angles: {shaft: 9, run: 1, deadrise: 0}, drop: {square_to_shaft: 200}}"
    >>> found = readings_of(reads(text, Survey).said, None)
    >>> model = Model()
    >>> surface_of(found, found.values[None], strut_frame(found, found.values[None]), model).shape
    (1, 0)
    """
    if not of.hull:
        return np.zeros((len(x), 0))
    points = hull_points(of, x, frame, model)[:, list(of.used["hull"])]
    return solve(design(points, model.terms, model.scale_mm), points[:, :, 2])


def hull_points(of: Readings, x: Floats, frame: StrutFrame, model: Model) -> Floats:
    """Return all hull points (b, n, 3) in the strut's frame, of both sides of a keel as of one.

    >>> from strutwright.models.bench.survey_frames import readings_of
    >>> from strutwright.params.bench.survey import Survey
    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, references: [{name: s, way: string}], hull: "
    >>> found = readings_of(reads(text + "[{name: a, along: 0, port: -5, up: 9, reference: s}]}", Survey).said, None)
    >>> model = Model(folded=True)
    >>> hull_points(found, found.values[None], strut_frame(found, found.values[None]), model).tolist()
    [[[0.0, 5.0, 9.0]]]
    """
    points = strut_points(of, x, frame, "hull")
    if model.folded:
        points[:, :, 1] = np.abs(points[:, :, 1])
    return points


def _levelled(of: Readings) -> bool:
    """Whether the readings say how the shaft lies to the level."""
    told = "shaft" in of.said.angles.model_fields_set and of.said.angles.shaft is not None
    return of.said.frame == "boat" and (len(of.line) >= 2 or told)


def _told_plane(of: Readings, x: Floats, frame: StrutFrame, model: Model) -> Floats:
    """The palm's plane by the angles and the drop that were measured."""
    forward, port = hull_plane(of, x, frame)
    if model.level:
        port = np.zeros(len(x))
    drop, said = of.of_kind(x, "drop")[:, 0], of.said.drop
    shaft, run = np.radians(frame.shaft_deg), -np.arctan(forward) - np.radians(frame.shaft_deg)
    if said.vertical is not None:
        drop = drop / (np.cos(shaft) - np.tan(run) * np.sin(shaft))
    elif said.square_to_hull is not None:
        drop = drop * np.sqrt(1.0 + forward**2 + port**2)
    half = (model.barrel_mm or 0.0) / 2
    there = {"mid": 0.0, "aft": -half, "forward": half}[said.at]
    return np.stack([drop - forward * there, forward, port], axis=1)


def _between(of: Readings, x: Floats, frame: StrutFrame, name: str) -> Floats:
    """How far forward of mid-barrel a place is; not a number where it was not measured."""
    if of.at[name].stop == of.at[name].start:
        return np.full(len(x), np.nan)
    line = boat_points(of, x, "line")
    return place_mm(of, x, name, line, frame.start, frame.axes[:, 0]) - frame.mid


def _gap(of: Readings, x: Floats, frame: StrutFrame, model: Model) -> Floats:
    """From the barrel's aft face to the propeller's hub."""
    return -_between(of, x, frame, "hub") - (np.nan if model.barrel_mm is None else model.barrel_mm / 2)


def _tip(of: Readings, x: Floats, frame: StrutFrame, model: Model, surface: Floats, plane: Floats) -> Floats:
    """Blade tip to hull: to the nearest point that was measured there, else to the surface or plane drawn out."""
    if model.propeller_mm is None:
        return np.full(len(x), np.nan)
    radius = model.propeller_mm / 2
    if of.tip:
        points = strut_points(of, x, frame, "tip")
        return np.asarray(np.hypot(points[:, :, 1], points[:, :, 2]).min(axis=1) - radius)
    hub = _between(of, x, frame, "hub")
    if np.isnan(hub[0]) and model.hub_gap_mm is not None and model.barrel_mm is not None:
        hub = np.full(len(x), -model.barrel_mm / 2 - model.hub_gap_mm)
    at = hub - (model.hub_mm or 0.0) / 2
    across = radius * _TIP_STEPS
    if model.folded:
        across = np.abs(across)
    places = np.stack(np.broadcast_arrays(at[:, None], across[None]), axis=-1)
    of_surface = (surface, model.terms, model.scale_mm) if surface.shape[1] else (plane, PLANE, 1.0)
    z = np.einsum("bkp,bp->bk", design(places, *of_surface[1:]), of_surface[0])
    return np.asarray(np.hypot(across, z).min(axis=1) - radius)


def spread(of: Readings, model: Model, step: float = 1e-3) -> tuple[Floats, Floats]:
    """Return the figures (k,), and by how much each changes with each reading, (k, n) per unit of it.

    >>> from strutwright.models.bench.survey_frames import readings_of
    >>> from strutwright.params.bench.survey import Survey
    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, angles: {shaft: 9, run: 1, deadrise: 0}, drop: {square_to_shaft: 200}}"
    >>> found = readings_of(reads(text, Survey).said, None)
    >>> model = Model()
    >>> _, changes = spread(found, model)
    >>> changes[FIGURES.index("pitch_deg"), found.at["angles"]].round(4).tolist()
    [1.0, 1.0, 0.0, 0.0]
    """
    n = len(of.values)
    moving = [k for k in range(n) if of.scatter[k] > 0.0]
    changed = np.tile(of.values, (len(moving) + 1, 1))
    changed[np.arange(1, len(moving) + 1), moving] += step
    found = figures(of, changed, model)
    out = np.zeros((found.shape[1], n))
    out[:, moving] = ((found[1:] - found[0]) / step).T
    return found[0], out


def area_points(inside: Floats, box: Sequence[float], count: int = 13) -> Floats:
    """Return points (k, 2) evenly over a polygon (n, 2) within a box (least u, least v, most u, most v).

    >>> square = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    >>> area_points(square, (0.0, 0.0, 10.0, 10.0), 2).tolist()
    [[2.5, 2.5], [7.5, 2.5], [2.5, 7.5], [7.5, 7.5]]
    """
    share = (np.arange(count) + 0.5) / count
    u, v = box[0] + share * (box[2] - box[0]), box[1] + share * (box[3] - box[1])
    grid = np.stack([g.ravel() for g in np.meshgrid(u, v)], axis=1)
    a, b = inside, np.roll(inside, -1, axis=0)
    crosses = (a[:, 1] > grid[:, 1:]) != (b[:, 1] > grid[:, 1:])
    rise = np.where(a[:, 1] == b[:, 1], 1.0, b[:, 1] - a[:, 1])
    left = grid[:, :1] < a[:, 0] + (grid[:, 1:] - a[:, 1]) / rise * (b[:, 0] - a[:, 0])
    return np.asarray(grid[(crosses & left).sum(axis=1) % 2 == 1])
