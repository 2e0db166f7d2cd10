"""From a survey to the figures of the strut: each with its uncertainty, readings out of line named, doubts told."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Floats
from strutwright.models.bench import survey_fit as fit
from strutwright.models.bench.survey_frames import Readings, boat_points, readings_of, strut_frame
from strutwright.models.bench.survey_proof import Proof, proof_of_hull, proof_of_line
from strutwright.models.formulas import hull_curve as law
from strutwright.models.formulas import line_and_plane as lp
from strutwright.models.resolve import Resolved
from strutwright.models.spec import Hand, PalmPlane
from strutwright.params.bench.survey import Side, Survey

_AREA_STEPS = 9
_KNOWN = 0.5
"""A hull's radius that is known to no better than this share of it is no size to make a palm to."""
_IN_LINE = 0.02
"""Points whose narrow spread is less than this share of their long one lie in a line."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure and the uncertainty within which it lies in 95 % of cases; None where nothing tells that."""

    value: float
    within: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HullPoint:
    """A hull point. at_mm: (3,) in the strut's frame; uv_mm: on the palm; off_mm: from the surface that was fitted,
    square to the hull, away from the shaft positive; over_mm: likewise from the palm's plane. out: out of line and left
    out. hidden_mm: a slip that goes unnoticed may be as large; None where nothing checks the point.
    """

    name: str
    at_mm: tuple[float, float, float]
    uv_mm: tuple[float, float]
    off_mm: float
    over_mm: float
    out: bool
    hidden_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePoint:
    """A point of the shaft line. along_mm: forward of mid-barrel; off_mm: (to port, up) from the line."""

    name: str
    along_mm: float
    off_mm: tuple[float, float]
    out: bool
    hidden_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bed:
    """How the hull lies over a palm. outline_mm: (n, 2) in the palm's axes from its zero; uv_mm: (k, 2) places over it;
    over_mm: hull over the palm's plane there, away from the shaft positive. area_mm2: of the palm.
    """

    outline_mm: Floats
    uv_mm: Floats
    over_mm: Floats
    area_mm2: float

    @property
    def uneven_mm(self) -> float:
        """Most less least: the gap under a palm that just touches."""
        return float(np.ptp(self.over_mm))

    @property
    def cylinder(self) -> Cylinder | None:
        """The cylinder nearest to the hull, for a palm face made to it; None of a flat hull."""
        across, _, square = self._bent()
        if abs(across) < 1e-9:
            return None
        turn, (u, v) = math.radians(square), self.uv_mm.T / 100.0
        one = np.column_stack([np.ones(len(u)), u, v, (math.cos(turn) * u + math.sin(turn) * v) ** 2])
        found = np.linalg.lstsq(one, self.over_mm, rcond=None)[0]
        # Heights for places in hundreds of mm: h = c (x / 100)^2 = x^2 / 2 R.
        radius = -(100.0**2) / (2.0 * found[3])
        return Cylinder(float(radius), square % 180.0 - 90.0, float(np.ptp(self.over_mm - one @ found)))

    @property
    def second_order(self) -> SecondOrder | None:
        """The face of second order that the hull has there; None where it does not bend both ways."""
        across, along, square = self._bent()
        if min(abs(across), abs(along)) < 1e-9:
            return None
        radius, other = (-(100.0**2) / (2.0 * bend) for bend in (across, along))
        return SecondOrder(radius, square % 180.0 - 90.0, other)

    def _bent(self) -> tuple[float, float, float]:
        """How the hull bends most and least there, by the square of hundreds of mm, and in which direction most."""
        full = fit.design(self.uv_mm, fit.PLANE + fit.CURVED, 100.0)
        uu, uv, vv = np.linalg.lstsq(full, self.over_mm, rcond=None)[0][3:]
        across, along, square = law.principal(uu, uv, vv, hollow=bool(uu + vv >= 0.0))
        return float(across), float(along), float(square)

    @property
    def filler_mm3(self) -> float:
        """Filler under a palm that just touches."""
        return float((self.over_mm - self.over_mm.min()).mean()) * self.area_mm2


@dataclass(frozen=True, slots=True)
class Cylinder:
    """The cylinder nearest to a hull over a palm. radius_mm: positive where the hull is hollow toward the shaft line;
    axis_deg: of its axis in the palm, from forward to port; leaves_mm: unevenness of the hull over it."""

    radius_mm: float
    axis_deg: float
    leaves_mm: float


@dataclass(frozen=True, slots=True)
class SecondOrder:
    """The face of second order that a hull has over a palm; words as of `Cylinder`. along_mm: its radius along the
    axis, which is the greater."""

    radius_mm: float
    axis_deg: float
    along_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """Scatter of one reading. mm: as it was taken, not a number where nothing tells it; stated: whether the file says
    it; grown: the residuals show more than was stated, and it is taken by them; dof: degrees of freedom.
    """

    mm: float
    stated: bool
    grown: bool
    dof: float
    times: float
    """By how many times the scatter in the vector of readings it counts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sided:
    """What one side of a survey says. figures: by their names in survey_fit.FIGURES. proof, line_proof: what checks
    hull points, and those of the line. tilt_free: the tilt of a hull on which the palm lies level athwart.
    """

    side: Side | None
    figures: dict[str, Figure]
    hull: tuple[HullPoint, ...]
    line: tuple[LinePoint, ...]
    scatter: Scatter
    line_scatter: Scatter
    model: fit.Model
    proof: Proof
    line_proof: Proof
    beds: tuple[Bed, ...]
    tilt_free: Figure | None
    palm_told: bool

    @property
    def plane(self) -> PalmPlane:
        """The palm's plane in the strut's frame."""
        pitch, tilt, drop = (self.figures[n].value for n in ("pitch_deg", "tilt_deg", "drop_mm"))
        return PalmPlane(drop_mm=drop, pitch_deg=pitch, tilt_deg=tilt)


@dataclass(frozen=True, slots=True, kw_only=True)
class Surveyed:
    """What a survey says. asymmetry: of a pair, port less starboard mirrored, by name."""

    said: Survey
    sides: tuple[Sided, ...]
    asymmetry: dict[str, Figure]


def survey(said: Survey, found: Resolved | None = None, *, search: bool = True, to_curve: bool = False) -> Surveyed:
    """Return what a survey says. found: the strut's set, where there is one. search: whether readings out of line are
    looked for and left out. to_curve: whether the palm's hull face is to be made to the hull's curve where a flat one
    leaves more than the bedding takes on every side, and the readings tell its radii: a cylinder where that leaves no
    more, else a face of second order; the palm's plane is then the one that touches it in the middle. Raises
    ValueError where the points determine no plane or no line.

    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, angles: {shaft: 9, run: 1, deadrise: 0}, drop: {square_to_shaft: 200, scatter: 0.5}}"
    >>> drop = survey(reads(text, Survey).said).sides[0].figures["drop_mm"]
    >>> drop.value, round(drop.within, 3)  # 1.96 times
    (200.0, 0.98)
    """
    sides = tuple(_sided(said, side, found, search=search) for side in said.sides)
    law_of = _face_of([s.beds for s in sides], said.bedding.takes) if to_curve else ("flat", 0.0)
    if law_of[0] != "flat":
        made = tuple(_sided(said, side, found, search=search, face=law_of) for side in said.sides)
        sides = made if all(_curve_is_known(s, said.bedding.takes) for s in made) else sides
    return Surveyed(said=said, sides=sides, asymmetry=_asymmetry(sides) if len(sides) == 2 else {})


def _asymmetry(sides: Sequence[Sided]) -> dict[str, Figure]:
    port, starboard = sides
    out = {}
    for name in ("pitch_deg", "tilt_deg", "drop_mm", "shaft_deg", "run_deg", "deadrise_deg", "plan_deg", "tip_mm"):
        one, other = port.figures[name], starboard.figures[name]
        mirrored = -other.value if name in ("tilt_deg", "plan_deg") else other.value
        if math.isfinite(one.value - mirrored):
            both = None if one.within is None or other.within is None else math.hypot(one.within, other.within)
            out[name] = Figure(one.value - mirrored, both)
    return out


def _sided(
    said: Survey,
    side: Side | None,
    found: Resolved | None,
    *,
    search: bool,
    face: tuple[fit.FaceLaw, float] = ("flat", 0.0),
) -> Sided:
    of = readings_of(said, side)
    model = _model(of, found, None)
    always = {s.name for s in (*said.hull, *said.line) if s.use == "always"}
    proof, line_proof = _proofs(of, model) if search else (Proof(checked=False), Proof(checked=False))
    out = [k for k in proof.named if of.hull[k] not in always]
    line_out = [k for k in line_proof.named if of.line[k] not in always]
    if out or line_out:
        used = {
            "hull": tuple(k for k in range(len(of.hull)) if k not in out),
            "line": tuple(k for k in range(len(of.line)) if k not in line_out),
        }
        of = replace(of, used=used)
        model = _model(of, found, None)
    if found is not None and of.hull and found.of_strut.arms.stance == "square_to_bottom":
        model = _model(of, found, float(fit.figures(of, of.values[None], model)[0, 1]))
    scatter, line_scatter = _hull_scatter(of, model), _line_scatter(of)
    flat = figures = _uncertain(of, model, scatter, line_scatter)
    beds = tuple(_bed(of, model, patch, flat) for patch in model.patches) if of.hull else ()
    if face[0] != "flat" and beds:
        model = replace(model, face=face[0], face_mm=face[1])
        figures = _uncertain(of, model, scatter, line_scatter)
    free = _uncertain(of, replace(model, level=False), scatter, line_scatter) if model.level and of.hull else {}
    return Sided(
        side=side,
        figures=figures,
        hull=_hull_points(of, model, proof, flat),
        line=_line_points(of, line_proof),
        scatter=scatter,
        line_scatter=line_scatter,
        model=model,
        proof=proof,
        line_proof=line_proof,
        beds=beds,
        tilt_free=free.get("tilt_deg"),
        palm_told=found is not None or said.palm.length is not None,
    )


def _face_of(sides: Sequence[Sequence[Bed]], takes_mm: float) -> tuple[fit.FaceLaw, float]:
    """What palm faces are made to, and about the radius of cylinders: flat where that does, a face of second order only
    where a cylinder leaves more than the bedding takes."""
    if not sides or not all(any(bed.uneven_mm > takes_mm for bed in beds) for beds in sides):
        return "flat", 0.0
    made = [bed.cylinder for beds in sides for bed in beds]
    fits = [m for m in made if m is not None and m.leaves_mm <= takes_mm]
    if len(fits) == len(made) and len({m.radius_mm > 0.0 for m in fits}) == 1:
        return "cylinder", max(abs(m.radius_mm) for m in fits)
    return "second order", 0.0


def _curve_is_known(side: Sided, takes_mm: float) -> bool:
    """Whether the readings tell the radii of the palms' faces; of one along the axis it is enough where what is not
    known of it stands out by less than the bedding takes."""
    for palm, bed in zip(("", "_starboard"), side.beds, strict=False):
        radius, along = (side.figures[f"face_{name}{palm}_mm"] for name in ("radius", "along"))
        if not math.isfinite(radius.value) or radius.within is None or radius.within > _KNOWN * abs(radius.value):
            return False
        if side.model.face == "second order":
            half_square = float((np.ptp(bed.outline_mm, axis=0) ** 2).sum()) / 4.0
            if along.within is None or not math.isfinite(along.value):
                return False
            if along.within > _KNOWN * abs(along.value) and along.within / along.value**2 * half_square / 2 > takes_mm:
                return False
    return True


# --- how it is worked out --------------------------------------------------------------------------------------------


def _model(of: Readings, found: Resolved | None, tilt_deg: float | None) -> fit.Model:
    """How a survey is worked out. tilt_deg: that of the palm, for an arm that stands square to the bottom."""
    said, model = of.said, fit.Model()
    told: dict[str, Any] = {
        "barrel_mm": said.barrel_length,
        "propeller_mm": said.propeller_diameter,
        "hub_mm": said.hub_length,
    }
    if found is not None:
        propeller, barrel = found.said.propeller, found.strut.barrel.length_mm
        own = {"barrel_mm": barrel, "propeller_mm": propeller.diameter, "hub_mm": propeller.hub_length}
        told = {n: own[n] if v is None else v for n, v in told.items()} | {"hub_gap_mm": propeller.hub_gap}
    folded = found is not None and of.side == 0 and len({p.plane for p in found.strut.palms}) > 1
    model = replace(model, level=of.side == 0 and not folded, folded=folded, **told)
    if not of.hull:
        return model
    x = of.values[None]
    points = fit.hull_points(of, x, strut_frame(of, x), model)[0][list(of.used["hull"])]
    around = points[:, :2] - points[:, :2].mean(axis=0)
    sizes = np.linalg.svd(around, compute_uv=False)
    if len(sizes) < 2 or sizes[1] <= max(_IN_LINE * sizes[0], 1e-6):
        raise ValueError("the hull points lie in one line and tell no plane")
    scale = float(np.abs(points[:, :2]).max())
    patches = _patches(of, points, found, tilt_deg)
    out = len(of.hull) - len(points)
    # Where the scatter is known, a slip that was left out does not make the hull a plane.
    terms = fit.terms_for(points, scale, out, spare=1 if out and of.known["hull"] else 2)
    return replace(model, terms=terms, scale_mm=scale, patches=patches)


def _patches(of: Readings, points: Floats, found: Resolved | None, tilt_deg: float | None) -> tuple[fit.Patch, ...]:
    """The palms: as the readings say, else as the set has them, else the box round the points."""
    upright = np.array([0.0, 0.0, 1.0])
    size = of.said.palm
    if size.length is not None and size.width is not None:
        half = np.array([size.length, size.width]) / 2
        return (_patch(_box(np.array([size.forward, size.port]), half), 0.0, upright, projection=False),)
    if found is None:
        low, high = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
        return (_patch(_box((low + high) / 2, (high - low) / 2), 0.0, upright, projection=False),)
    hand: Hand | None = {1: "port", -1: "starboard"}.get(of.side)  # type: ignore[assignment]
    strut, made = found.of_hand(hand) if hand is not None else found.strut, []
    square = found.of_strut.arms.stance == "square_to_bottom" and tilt_deg is not None
    planes: set[PalmPlane] = set()
    for index, palm in enumerate(strut.palms):
        if palm.plane in planes or not planes or len({p.plane for p in strut.palms}) == 1:
            arms = [a for a in strut.arms if a.palm_index == index]
            clock = sum(a.clock_deg for a in arms) / len(arms)
            if square:
                clock += -(tilt_deg or 0.0) + palm.plane.tilt_deg
            direction = frames.arm_direction(clock, arms[0].rake_deg)
            x = strut.barrel.x(arms[0].station_mm)
            made.append(_patch(palm.outline.polyline(0.5), x, direction, projection=palm.axes == "projection"))
            planes.add(palm.plane)
    return tuple(made)


def _box(middle: Floats, half: Floats) -> Floats:
    return np.asarray(middle + half * np.array([[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]]))


def _patch(outline: Floats, arm_x_mm: float, arm: Floats, *, projection: bool) -> fit.Patch:
    low, high = outline.min(axis=0), outline.max(axis=0)
    uv = fit.area_points(outline, (*low, *high), _AREA_STEPS)
    return fit.Patch(outline_mm=outline, uv_mm=uv, arm_x_mm=arm_x_mm, arm=arm, projection=projection)


# --- scatter, slips and uncertainty ----------------------------------------------------------------------------------


def _residuals(of: Readings, model: fit.Model) -> tuple[Floats, Floats, Floats]:
    """Hull points (n, 3) in the strut's frame, how far each is off the surface in z, and the scatter of that."""
    x = of.values[None]
    frame = strut_frame(of, x)
    points = fit.hull_points(of, x, frame, model)[0]
    surface = fit.surface_of(of, x, frame, model)[0]
    off = points[:, 2] - fit.design(points, model.terms, model.scale_mm) @ surface
    step = 1e-3
    rise = [
        (fit.design(points + step * np.eye(3)[k], model.terms, model.scale_mm) @ surface - (points[:, 2] - off)) / step
        for k in (0, 1)
    ]
    own = of.scatter[of.at["hull"]].reshape(-1, 3)
    return points, off, np.sqrt(own[:, 2] ** 2 + (rise[0] * own[:, 0]) ** 2 + (rise[1] * own[:, 1]) ** 2)


def _proofs(of: Readings, model: fit.Model) -> tuple[Proof, Proof]:
    proof = Proof(checked=False)
    if of.hull:
        points, _, scatter = _residuals(of, model)
        proof = proof_of_hull(points, scatter, model.terms, model.scale_mm, known=of.known["hull"])
    x = of.values[None]
    line = boat_points(of, x, "line")[0]
    if len(line) >= 2:
        lp.line_in_space(line)
    own = float(of.scatter[of.at["line"]].mean()) if of.known["line"] and len(line) else None
    return proof, proof_of_line(line, own)


def _hull_scatter(of: Readings, model: fit.Model) -> Scatter:
    if not of.hull:
        return Scatter(mm=math.nan, stated=False, grown=False, dof=lp.KNOWN, times=1.0)
    _, off, own = _residuals(of, model)
    used = list(of.used["hull"])
    squares, dof = float(((off / own)[used] ** 2).sum()), len(used) - len(model.terms)
    typical = float(of.scatter[of.at["hull"]].reshape(-1, 3)[:, 2].mean())
    return _taken(squares, dof, typical, known=of.known["hull"])


def _line_scatter(of: Readings) -> Scatter:
    used = list(of.used["line"])
    if len(used) < 2:
        known = of.known["line"]
        return Scatter(mm=math.nan, stated=known, grown=False, dof=lp.KNOWN, times=1.0 if known else math.nan)
    line = lp.line_in_space(boat_points(of, of.values[None], "line")[0][used])
    own = float(of.scatter[of.at["line"]].mean())
    return _taken(float((line.off**2).sum()) / own**2, line.dof, own, known=of.known["line"])


def _taken(squares: float, dof: int, own_mm: float, *, known: bool) -> Scatter:
    """The scatter to go by. squares: sum of squares of the residuals, each over its own scatter."""
    times = math.sqrt(squares / dof) if dof > 0 else math.nan
    if not known:
        return Scatter(mm=times * own_mm, stated=False, grown=False, dof=max(dof, 0), times=times)
    if dof > 0 and squares > lp.chi_square_most(dof, 0.001):
        return Scatter(mm=times * own_mm, stated=True, grown=True, dof=dof, times=times)
    return Scatter(mm=own_mm, stated=True, grown=False, dof=lp.KNOWN, times=1.0)


def _uncertain(of: Readings, model: fit.Model, hull: Scatter, line: Scatter) -> dict[str, Figure]:
    """Every figure, and within what it lies: GUM 5.1.2, G.4.1."""
    values, changes = fit.spread(of, model)
    squares = (changes * of.scatter) ** 2
    parts = [squares[:, of.part == k].sum(axis=1) for k in range(3)]
    out = {}
    for k, name in enumerate(fit.FIGURES):
        variances, dofs = [], []
        for part, of_part in ((parts[0][k], hull), (parts[1][k], line)):
            if part > 1e-24:
                variances.append(float(part) * of_part.times**2)
                dofs.append(of_part.dof)
        variances.append(float(parts[2][k]))
        dofs.append(lp.KNOWN)
        total = sum(variances)
        sure = math.isfinite(total) and math.isfinite(float(values[k]))
        factor = lp.student_factor(lp.combined_dof(variances, dofs)) if sure and total > 0.0 else 0.0
        within = math.sqrt(total) * factor if sure and math.isfinite(factor) else None
        # A direction without sense is within 90 degrees of any other.
        out[name] = Figure(float(values[k]), min(within, 90.0) if within is not None and "axis" in name else within)
    if len(of.line) < 2 and "plan" not in of.said.angles.model_fields_set:
        out["plan_deg"] = Figure(out["plan_deg"].value, None)
    return out


# --- what each point and place says ----------------------------------------------------------------------------------


def _hull_points(of: Readings, model: fit.Model, proof: Proof, figures: dict[str, Figure]) -> tuple[HullPoint, ...]:
    if not of.hull:
        return ()
    points, off, _ = _residuals(of, model)
    plane = _plane(figures)
    square = 1.0 / math.sqrt(1.0 + plane[1] ** 2 + plane[2] ** 2)
    over = points[:, 2] - plane[0] - points[:, :2] @ plane[1:]
    uv = _on_palm(points, model.patches[0], figures)
    hidden = proof.hidden_mm or (None,) * len(of.hull)
    return tuple(
        HullPoint(
            name=name,
            at_mm=(float(points[k, 0]), float(points[k, 1]), float(points[k, 2])),
            uv_mm=(float(uv[k, 0]), float(uv[k, 1])),
            off_mm=float(off[k]) * square,
            over_mm=float(over[k]) * square,
            out=k not in of.used["hull"],
            hidden_mm=hidden[k],
        )
        for k, name in enumerate(of.hull)
    )


def _plane(figures: dict[str, Figure]) -> Floats:
    """The palm's plane as z = a + b x + c y."""
    pitch, tilt = (math.tan(math.radians(figures[n].value)) for n in ("pitch_deg", "tilt_deg"))
    return np.array([figures["drop_mm"].value, -pitch, tilt])


def _axes(patch: fit.Patch, figures: dict[str, Figure]) -> frames.Axes:
    """The axes of a palm, its zero as origin."""
    pitch, tilt = figures["pitch_deg"].value, figures["tilt_deg"].value
    plane = PalmPlane(drop_mm=figures["drop_mm"].value, pitch_deg=pitch, tilt_deg=tilt)
    turn = frames.trace_to_projection_deg(pitch, tilt) if patch.projection else 0.0
    axes = frames.plane_axes(plane.drop_mm, pitch, tilt, turn)
    zero = frames.meet_plane(plane, np.array([patch.arm_x_mm, 0.0, 0.0]), patch.arm)
    return frames.Axes(zero, axes.u, axes.v, axes.n)


def _on_palm(points: Floats, patch: fit.Patch, figures: dict[str, Figure]) -> Floats:
    return _axes(patch, figures).from_strut(points)[:, :2]


def _line_points(of: Readings, proof: Proof) -> tuple[LinePoint, ...]:
    if len(of.line) < 2:
        return ()
    x = of.values[None]
    frame = strut_frame(of, x)
    start = (frame.into(boat_points(of, x, "line")))[0]
    hidden = proof.hidden_mm or (None,) * len(of.line)
    return tuple(
        LinePoint(
            name=name,
            along_mm=float(start[k, 0]),
            off_mm=(float(start[k, 1]), float(start[k, 2])),
            out=k not in of.used["line"],
            hidden_mm=hidden[k],
        )
        for k, name in enumerate(of.line)
    )


def _bed(of: Readings, model: fit.Model, patch: fit.Patch, figures: dict[str, Figure]) -> Bed:
    x = of.values[None]
    surface = fit.surface_of(of, x, strut_frame(of, x), model)
    plane = _plane(figures)
    at = fit.patch_places(plane[None], patch)[0]
    z = fit.design(at, model.terms, model.scale_mm) @ surface[0]
    over = (z - plane[0] - at @ plane[1:]) / math.sqrt(1.0 + plane[1] ** 2 + plane[2] ** 2)
    u, v = patch.outline_mm.T
    area = abs(float(u @ np.roll(v, -1) - v @ np.roll(u, -1))) / 2
    return Bed(outline_mm=patch.outline_mm, uv_mm=patch.uv_mm, over_mm=over, area_mm2=area)
