"""The numbers of a cast strut's pattern: contraction, stock, draft, core, and what a founder asks. Pure numpy.

Pattern = (part + machining stock + draft) x contraction, all about the datum (the origin of the strut frame), so that
one factor serves every size. Holes for bolts and screws, slots, lead-ins and steps of the bore are machined later and
are not in the pattern. Draft only ever adds metal.

The parting plane holds the shaft line. `arm_plane`: it also holds the arm's axis, or the bisector of two arms, and the
pull is athwart, positive to port. `barrel_plane`: the pull lies along that axis, square to the shaft, positive toward
the hull.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from strutwright.models import frames
from strutwright.models.finding import Finding, Standing, Verdict, at_least, at_most, not_checked, yes_no
from strutwright.models.frames import Axes, Vector, unit
from strutwright.models.geometry.barrel import outside_radius_mm
from strutwright.models.geometry.casting import cast_tolerance_mm, casting_of
from strutwright.models.outline import Outline
from strutwright.models.resolve import Resolved
from strutwright.models.spec import Arm, Casting, Palm, Strut
from strutwright.params import tables
from strutwright.params.quantity import GRAVITY_M_S2
from strutwright.params.words import Amount, mm, read, say

Parting = Literal["arm_plane", "barrel_plane"]
GROUP = "pattern"

SOLID_BORE_MM = 25.0  # smaller bores are cast solid; common practice, no source
FULL_PRINT_MM = 76.2  # round prints as long as thick up to 3 in, then less; published foundry practice
LEAST_FILLET_MM = 6.0  # common practice, no source
FILLET_SHARE = 1 / 3  # fillets a third to half of the thinner wall; common practice, no source
HOT_SPOT_RATIO = 2.0  # thicker to thinner wall at a junction; common practice, no source
CORE_DENSITY_KG_M3 = 1600.0  # rammed dry sand; from memory
PRINT_BEARING_MPA = 0.05  # what the mould sand under a core print bears, green sand; from memory
ADDED_TILT_DEG = 5.0  # a face that would need more than this is told, not filled up: the metal would be wasted
STOCK_STEP_MM = 0.5  # stock derived here is rounded up to this
PARTING_MM = 0.25  # the kernel may leave the corners of a parting face as far off its plane
SKEW_DEG = 3.0  # see palm_split_mm
RIDGE_CLEAR_MM = 2.0  # likewise: as far as draft may stand out of a palm's faces
PALM_ALONG = math.cos(math.radians(45))  # a palm is drawn edgeways when more of the pull than this lies along it
UNDERCUT_DEG = 0.1  # less overhang is lost in the rubbing down of a pattern
SURE_DEG = 1.0  # the worst angle of a face is told of triangles known to this
UNDERCUT_MM2 = 20.0  # likewise
LOW_HEIGHT_MM = 3.0  # a face lower than this along the pull draws without draft
SEEN_MM2 = 0.01  # the normals of smaller triangles say nothing


class FoundryError(ValueError):
    """A pattern cannot be worked out; the text says what is missing and what to say in the file."""


@dataclass(frozen=True, slots=True)
class FoundrySpec:
    """What the pattern of one strut is made to. Lengths mm, angles degrees; nothing here has contraction in it.

    factor: pattern size over part size. stock_*: per face, the bore's on its radius; stock_notes says of each where it
    comes from. core_diameter_mm, print_length_mm: of the sand core, 0 when the bore is cast solid. largest_mm: the
    greatest overall size of the finished part.
    """

    alloy: str
    density_kg_m3: float
    contraction_percent: float
    contraction_note: str
    master_percent: float
    factor: float
    draft_deg: float
    parting: Parting
    stock_bore_mm: float
    stock_ends_mm: float
    stock_palm_mm: float
    stock_notes: tuple[str, str, str]
    core_diameter_mm: float
    print_length_mm: float
    largest_mm: float

    @property
    def cored(self) -> bool:
        """True when the bore is cored."""
        return self.core_diameter_mm > 0

    @property
    def double(self) -> bool:
        """True when the contraction of a metal pattern is in as well."""
        return self.master_percent > 0

    def contraction_text(self) -> str:
        """Return the contraction in words, for sheets."""
        if self.double:
            return (
                f"contraction IN, DOUBLE: {self.contraction_percent:g} % casting and {self.master_percent:g} % "
                f"metal pattern, factor {self.factor:.6f}"
            )
        if self.contraction_percent == 0:
            return "contraction NONE, factor 1"
        return f"contraction IN, SINGLE: {self.contraction_percent:g} %, factor {self.factor:.6f}"


# --- rules ----------------------------------------------------------------------------------------------------------


def contraction_factor(percent: float, master_percent: float = 0.0) -> float:
    """Return pattern size over part size: (1 + s)(1 + m).

    percent: linear contraction of the casting. master_percent: that of a metal pattern cast from this one, 0 for none.
    """
    return (1 + percent / 100) * (1 + master_percent / 100)


def percent_of_inch_per_foot(inches: float) -> float:
    """Return a pattern maker's rule in inches to the foot as per cent."""
    return inches / 12 * 100


def raw_dimension_mm(
    finished_mm: float, allowance_mm: float, tolerance_mm: float, *, faces: Literal[1, 2] = 2, inside: bool = False
) -> float:
    """Return the size to cast: R = F + faces RMA + CT/2, or F - faces RMA - CT/2 inside (ISO 8062; the rule is from
    memory, the values of the tables are published).

    finished_mm: size after machining. allowance_mm: required machining allowance of a face. tolerance_mm: total
    casting tolerance. faces: how many ends of the dimension are machined.
    """
    more = faces * allowance_mm + tolerance_mm / 2
    return finished_mm - more if inside else finished_mm + more


def stock_mm(dimension_mm: float, largest_mm: float, casting: Casting, *, faces: Literal[1, 2] = 2) -> float:
    """Return the stock (mm) on each machined face of a dimension, rounded up to STOCK_STEP_MM.

    dimension_mm: the finished dimension between the faces, or from the cast face to the machined one. largest_mm: the
    greatest overall size of the part. Sizes off the tables use their nearest row. ISO 8062, published (typed copy);
    see raw_dimension_mm.
    """
    tolerance = float(cast_tolerance_mm(casting.tolerance_grade, dimension_mm))
    each = (
        raw_dimension_mm(dimension_mm, allowance_mm(casting, largest_mm), tolerance, faces=faces) - dimension_mm
    ) / faces
    return math.ceil(each / STOCK_STEP_MM - 1e-9) * STOCK_STEP_MM


def allowance_mm(casting: Casting, largest_mm: float) -> float:
    """Return the required machining allowance (mm) of a face; ISO 8062-4, published (typed copy).

    Castings over the table's greatest size (1000 mm) take its last row.
    """
    return tables.machining_allowance_mm(casting.allowance_grade, min(largest_mm, 1000.0))


def core_diameter_mm(bore_mm: float, stock_bore_mm: float) -> float:
    """Return the diameter of the core (mm): bore less twice the stock; 0 when that is small enough to cast solid."""
    core = bore_mm - 2 * stock_bore_mm
    return core if core >= SOLID_BORE_MM else 0.0


def print_length_rule_mm(core_mm: float) -> float:
    """Return the length (mm) of a round horizontal core print, each end.

    As long as the core is thick up to 3 in, then half as much again per mm (the published rule says only "relatively
    less"; the half is common practice, no source).
    """
    return min(core_mm, FULL_PRINT_MM) + max(core_mm - FULL_PRINT_MM, 0.0) / 2


def draft_offset_mm(height_mm: float, draft_deg: float) -> float:
    """Return how much a face leans out over a height along the pull (mm)."""
    return height_mm * math.tan(math.radians(draft_deg))


def casting_weight_kg(volume_mm3: float, density_kg_m3: float) -> float:
    """Return the weight of a casting from its volume without contraction."""
    return volume_mm3 * 1e-9 * density_kg_m3


def core_lift_n(core_mm: float, in_metal_mm: float, density_kg_m3: float) -> float:
    """Return the net lift (N) on a horizontal core in the liquid metal (buoyancy less its own weight).

    in_metal_mm: its length between the prints. The metal's density when solid is taken, which is on the safe side; the
    weight of the prints is left out, likewise.
    """
    volume = math.pi / 4 * core_mm**2 * in_metal_mm
    return volume * 1e-9 * (density_kg_m3 - CORE_DENSITY_KG_M3) * GRAVITY_M_S2


# --- settings -------------------------------------------------------------------------------------------------------


def foundry_settings(resolved: Resolved) -> FoundrySpec:
    """Return what the pattern is made to, from the file's `pattern` group, the alloy and the rules above.

    Raises FoundryError for a welded strut, and when neither the file nor the table knows the contraction.
    """
    strut, said = resolved.strut, resolved.said.pattern
    if strut.construction != "cast":
        raise FoundryError("a welded strut has no pattern; set construction to cast")
    metal = tables.material(strut.material)
    percent, note = said.contraction, "as said in the file"
    if percent is None:
        percent, note = metal.contraction_percent, f"table value for {metal.name}, to be confirmed by the founder"
    if percent is None:
        raise FoundryError(
            f"no contraction is known for {strut.material}; say pattern.contraction in per cent, as the "
            "founder gives it"
        )
    barrel, largest, casting = strut.barrel, largest_size_mm(strut), casting_of(strut)
    bore_least = math.ceil(casting.core_shift_mm / STOCK_STEP_MM - 1e-9) * STOCK_STEP_MM  # or a shifted core shows
    derived = (
        max(stock_mm(barrel.bore_mm, largest, casting), bore_least),
        stock_mm(barrel.length_mm, largest, casting),
        stock_mm(max((p.thickness_mm for p in strut.palms), default=0.0), largest, casting, faces=1),
    )
    given = (said.stock.bore, said.stock.barrel_ends, said.stock.palm_face)
    rule = read(
        say(
            "ISO 8062 {allowance} and {tolerance}, largest size {largest}",
            allowance=casting.allowance_grade,
            tolerance=casting.tolerance_grade,
            largest=mm(largest),
        ),
        strut.file_units,
    )
    bore, ends, palm = (d if g is None else g for g, d in zip(given, derived, strict=True))
    narrow = min([barrel.bore_mm, *(s.diameter_mm for s in barrel.steps)])
    core = core_diameter_mm(narrow, bore)
    notes = tuple("as said in the file" if g is not None else rule for g in given)
    return FoundrySpec(
        strut.material,
        metal.density_kg_m3,
        percent,
        note,
        said.master_contraction,
        contraction_factor(percent, said.master_contraction),
        said.draft,
        said.parting,
        bore,
        ends,
        palm,
        (notes[0], notes[1], notes[2]),
        core,
        print_length_rule_mm(core) if core else 0.0,
        largest,
    )


def largest_size_mm(strut: Strut) -> float:
    """Return the greatest side (mm) of the box round the finished strut, along the strut's axes."""
    b = strut.barrel
    half = np.array([b.length_mm, b.outside_mm, b.outside_mm]) / 2
    corners = [np.stack([-half, half])]
    for palm in strut.palms:
        box = palm.outline.bounding_box()
        uv = np.array([(box.xmin, box.ymin), (box.xmax, box.ymin), (box.xmax, box.ymax), (box.xmin, box.ymax)])
        axes = frames.palm_axes(palm)
        corners += [axes.to_strut(uv), axes.to_strut(uv, -palm.thickness_mm)]
    if strut.skeg is not None:
        s = strut.skeg
        lead = b.x(s.root_forward_station_mm) - s.sweep_mm
        corners.append(np.array([[lead, 0.0, -s.depth_mm], [lead - s.tip_chord_mm, 0.0, -s.depth_mm]]))
        if s.heel is not None:
            reach = np.array([s.heel.outside_mm, s.heel.outside_mm, s.heel.height_mm]) / 2
            corners += [np.asarray(s.heel.centre_mm) + k * reach[None, :] for k in (-1, 1)]
    every = np.concatenate(corners)
    return float(np.max(every.max(axis=0) - every.min(axis=0)))


# --- parting and pull -----------------------------------------------------------------------------------------------


def arm_way(strut: Strut) -> Vector:
    """Return the unit vector (3,), square to the shaft, of the arm's axis or the bisector of two arms."""
    way = sum((frames.arm_direction(a.clock_deg, a.rake_deg) for a in strut.arms), np.zeros(3))
    way[0] = 0.0
    return unit(way) if np.linalg.norm(way) > 1e-9 else frames.radial(0.0)


def parting_axes(strut: Strut, parting: Parting) -> Axes:
    """Return the axes of the parting plane: u forward along the shaft line, v away from the shaft in the plane, n the
    pull (against u x v for `arm_plane`, so that v points toward the hull and n to port).
    """
    way, x = arm_way(strut), np.array([1.0, 0.0, 0.0])
    across = np.cross(way, x)
    v, n = (way, across) if parting == "arm_plane" else (across, way)
    return Axes(np.zeros(3), x, v, n)


def half_names(parting: Parting) -> tuple[str, str]:
    """Return the names of the two halves: the one on the pull's positive side first."""
    return ("port half", "starboard half") if parting == "arm_plane" else ("hull half", "water half")


def face_draft_deg(normal: Vector, pull: Vector) -> float:
    """Return the angle (degrees) by which a face opens along the pull; negative is back-draft (overhang).

    normal: outward unit normal (3,). pull: unit vector in which the pattern leaves the mould on that side.
    """
    return math.degrees(math.asin(float(np.clip(normal @ pull, -1, 1))))


# --- drafted shapes -------------------------------------------------------------------------------------------------


class Roof(NamedTuple):
    """Two planes that meet in a ridge in the parting plane, and lean in from it by at least the draft.

    ridge_mm: place of the ridge along `outward`. tan_plus, tan_minus: lean of the two sides.
    """

    ridge_mm: float
    tan_plus: float
    tan_minus: float


def roof(points: Vector, pull: Vector, outward: Vector, draft_deg: float) -> Roof:
    """Return the least roof over the rim of a face, for a parting plane through the origin.

    points: (k, 3) of the rim, mm. pull, outward: unit vectors (3,), square to each other.
    """
    w, h = points @ pull, points @ outward
    tan = math.tan(math.radians(draft_deg))
    ridge = float(np.max(h + np.abs(w) * tan))
    sides = []
    for sign in (1.0, -1.0):
        on = sign * w > 1e-6
        sides.append(float(np.min((ridge - h[on]) / np.abs(w[on]))) if on.any() else tan)
    return Roof(ridge, sides[0], sides[1])


class _Chain(NamedTuple):
    """Half an outline over its split, from the right end over the top to the left end: (n, 3) x, y, bulge rows."""

    rows: NDArray[np.float64]


def drafted_outline(outline: Outline, pull_uv: Vector, split_mm: float, draft_deg: float) -> Outline:
    """Return a plate's outline with its edges leaned out toward the parting line, where they stand too steep.

    outline: closed. pull_uv: (2,) pull in the plane of the plate. split_mm: place of the parting line along it.
    draft_deg: least lean of the edges to the pull, 0 to below 45. Nothing is taken away. An outline that does not lie
    on both sides of the line, or crosses it more than twice, comes back as it is.
    """
    if draft_deg <= 0:
        return outline
    turn = math.pi / 2 - math.atan2(pull_uv[1], pull_uv[0])
    rows = _split_level(outline.normalised().rotate(turn).translate(0.0, -split_mm))
    at = [k for k in range(len(rows)) if rows[k, 1] == 0.0]
    if len(at) != 2:
        return outline
    first, second = at
    chains = [rows[first : second + 1], np.concatenate((rows[second:], rows[: first + 1]))]
    if chains[0][:, 1].min() < 0:
        chains.reverse()
    upper, lower = _Chain(chains[0]), _Chain(chains[1] * (-1.0, -1.0, 1.0))
    if upper.rows[:, 1].min() < 0 or lower.rows[:, 1].min() < 0:
        return outline
    lean = math.radians(draft_deg)
    right = max(_foot(upper, lean, 1), _foot(lower, lean, -1))
    left = max(_foot(upper, lean, -1), _foot(lower, lean, 1))
    top, bottom = _leaned(upper, right, left, lean), _leaned(lower, left, right, lean)
    joined = np.concatenate((top, bottom * (-1.0, -1.0, 1.0)))
    ahead = np.roll(joined, -1, axis=0)
    keep = np.hypot(*(ahead - joined)[:, :2].T) > 1e-6
    return Outline(joined[keep]).translate(0.0, split_mm).rotate(-turn)


def upper_half(outline: Outline) -> Outline:
    """Return the part of a section's closed outline above y = 0 as an open chain from its right end to its left end.

    Raises FoundryError when the outline does not cross y = 0 exactly twice.
    """
    rows = _split_level(outline.normalised())
    at = [k for k in range(len(rows)) if rows[k, 1] == 0.0]
    if len(at) == 2:
        for half in (rows[at[0] : at[1] + 1], np.concatenate((rows[at[1] :], rows[: at[0] + 1]))):
            if half[:, 1].min() >= 0:
                return Outline(half, closed=False)
    raise FoundryError("a section does not lie evenly on both sides of its chord")


def _split_level(outline: Outline) -> NDArray[np.float64]:
    """Return the vertices of an outline with one put in wherever it crosses y = 0."""
    seg = outline.segments()
    out: list[tuple[float, float, float]] = []
    for k in range(len(seg.chord)):
        y0, y1, sweep = float(seg.start[k, 1]), float(seg.end[k, 1]), float(seg.sweep_rad[k])
        cuts: list[float] = []  # shares of the segment
        if sweep == 0.0:
            if y0 * y1 < 0:
                cuts = [y0 / (y0 - y1)]
        else:
            (cx, cy), r = seg.centre[k], float(seg.radius[k])
            if abs(cy) < r:
                begin = math.atan2(y0 - cy, float(seg.start[k, 0]) - cx)
                for angle in (math.asin(-cy / r), math.pi - math.asin(-cy / r)):
                    gone = (angle - begin) % (2 * math.pi) if sweep > 0 else (begin - angle) % (2 * math.pi)
                    cuts.append(gone / abs(sweep))
            cuts = sorted(c for c in cuts if 1e-9 < c < 1 - 1e-9)
        places = [0.0, *cuts, 1.0]
        for a, b in pairwise(places):
            x, y = _on(seg.start[k], seg.end[k], float(seg.bulge[k]), a)
            level = a > 0 or abs(y) < 1e-9
            out.append((x, 0.0 if level else y, math.tan((b - a) * sweep / 4)))
    return np.array(out)


def _on(start: Vector, end: Vector, bulge: float, share: float) -> tuple[float, float]:
    """Return the point at a share of a line or arc."""
    if abs(bulge) < 1e-12:
        x, y = start + share * (end - start)
        return float(x), float(y)
    chord = complex(*(end - start))
    half = 2 * math.atan(bulge)  # half the arc's turn: the chord turns by it from the tangent at the start
    part = share * half
    reach = chord * (math.sin(part) / math.sin(half)) * complex(math.cos(part - half), math.sin(part - half))
    return float(start[0]) + reach.real, float(start[1]) + reach.imag


def _support(chain: _Chain, lean: float, side: int) -> tuple[float, int, float]:
    """Return (how far, segment, share of it) of the chain's farthest point toward (side cos, sin) of the lean."""
    m = np.array([side * math.cos(lean), math.sin(lean)])
    rows = chain.rows
    far = rows[:, :2] @ m
    k = int(np.argmax(far))
    best = (float(far[k]), min(k, len(rows) - 2), 0.0 if k < len(rows) - 1 else 1.0)
    for i in range(len(rows) - 1):
        if rows[i, 2] <= 1e-12:  # an arc that bends the other way has no farthest point inside it
            continue
        start, end, bulge = rows[i, :2], rows[i + 1, :2], float(rows[i, 2])
        sweep = 4 * math.atan(bulge)
        chord = complex(*(end - start))
        begin = math.atan2(chord.imag, chord.real) - sweep / 2 - math.pi / 2  # direction of the normal at the start
        share = ((math.atan2(m[1], m[0]) - begin) % (2 * math.pi)) / sweep
        if 0 < share < 1:
            value = float(np.array(_on(start, end, bulge, share)) @ m)
            if value > best[0] + 1e-12:
                best = (value, i, share)
    return best


def _foot(chain: _Chain, lean: float, side: int) -> float:
    """Return how far out (mm) on y = 0 the leaned edge starts."""
    return _support(chain, lean, side)[0] / math.cos(lean)


def _leaned(chain: _Chain, right: float, left: float, lean: float) -> NDArray[np.float64]:
    """Return the chain between (right, 0) and (-left, 0) with straight edges up to where they touch it."""
    cuts = []
    for side, foot in ((1, right), (-1, left)):
        low, high = lean, math.radians(89.0)
        if foot > _foot(chain, lean, side) + 1e-9:  # the other half reaches farther out: lean more, to start with it
            for _ in range(60):
                middle = (low + high) / 2
                low, high = (middle, high) if _foot(chain, middle, side) < foot else (low, middle)
        cuts.append(_support(chain, low, side))
    rows = chain.rows
    (_, i, a), (_, j, b) = cuts
    out = [(right, 0.0, 0.0)]
    for k in range(i, j + 1):
        start = a if k == i else 0.0
        stop = b if k == j else 1.0
        if stop <= start:
            continue
        x, y = _on(rows[k, :2], rows[k + 1, :2], float(rows[k, 2]), start)
        out.append((x, y, math.tan((stop - start) * math.atan(float(rows[k, 2])))))
    x, y = _on(rows[j, :2], rows[j + 1, :2], float(rows[j, 2]), b)
    out += [(x, y, 0.0), (-left, 0.0, 0.0)]
    clean = [out[0]]
    for row in out[1:]:
        if math.dist(row[:2], clean[-1][:2]) > 1e-6:
            clean.append(row)
        else:
            clean[-1] = (clean[-1][0], clean[-1][1], row[2])
    return np.array(clean[:-1])


def palm_drawn(palm: Palm, pull: Vector) -> tuple[Vector, float, float]:
    """Return (pull in palm axes (2,), its share in the plane of the palm, tilt of the hull face to it in degrees).

    tilt: how far the hull face opens on the positive side of the pull; the same is back-draft on the other side.
    """
    axes = frames.palm_axes(palm)
    flat = np.array([pull @ axes.u, pull @ axes.v])
    return flat, float(np.hypot(*flat)), face_draft_deg(axes.n, pull)


def palm_split_mm(palm: Palm, pull: Vector) -> float:
    """Return where the edges' draft changes sides, along the pull in the palm's plane (mm from the palm zero).

    That is where the parting plane cuts the middle of the thickness. A palm tilted a little to the pull has it just
    past the plane instead, all through its thickness: two edges that cross at a hair's angle confuse the kernel.
    """
    axes = frames.palm_axes(palm)
    _, share, tilt = palm_drawn(palm, pull)

    def at(height_mm: float) -> float:
        return -float(pull @ (axes.origin + height_mm * axes.n)) / share

    if 1e-6 < abs(tilt) < SKEW_DEG:
        return max(at(RIDGE_CLEAR_MM), at(-palm.thickness_mm - RIDGE_CLEAR_MM)) + 0.1
    return at(-palm.thickness_mm / 2)


def drafted_palm_outline(palm: Palm, pull: Vector, draft_deg: float) -> Outline:
    """Return a palm's outline with draft on its edges; as it is where the pull does not lie along the palm."""
    flat, share, _ = palm_drawn(palm, pull)
    if share < PALM_ALONG:
        return palm.outline
    lean = math.degrees(math.asin(math.sin(math.radians(draft_deg)) / share))
    return drafted_outline(palm.outline, flat / share, palm_split_mm(palm, pull), lean)


def casting_strut(strut: Strut, spec: FoundrySpec) -> Strut:
    """Return the strut with stock on the palms' hull faces and the heel boss's two faces; the water faces stay.

    The barrel is left alone: its stock goes on as collars, so that its fairings keep their place. Arms keep their
    taper and are carried on into the stock.
    """
    palms = []
    for palm in strut.palms:
        n = frames.palm_axes(palm).n
        zero = np.asarray(palm.zero_mm) + spec.stock_palm_mm * n
        plane = replace(palm.plane, drop_mm=palm.plane.drop_mm + spec.stock_palm_mm / float(n[2]))
        palms.append(
            replace(
                palm,
                plane=plane,
                zero_mm=(float(zero[0]), float(zero[1]), float(zero[2])),
                thickness_mm=palm.thickness_mm + spec.stock_palm_mm,
            )
        )
    arms = []
    for arm in strut.arms:
        ends = frames.arm_ends_mm(arm, strut.barrel, strut.palms[arm.palm_index].plane)
        end = frames.arm_ends_mm(arm, strut.barrel, palms[arm.palm_index].plane)[1]
        chord, thickness = frames.arm_size_at(arm, ends, end)
        arms.append(replace(arm, chord_palm_mm=chord, thickness_palm_mm=thickness))
    skeg = strut.skeg
    if skeg is not None and skeg.heel is not None:
        skeg = replace(skeg, heel=replace(skeg.heel, height_mm=skeg.heel.height_mm + 2 * spec.stock_ends_mm))
    return replace(strut, palms=tuple(palms), arms=tuple(arms), skeg=skeg)


# --- where things lie along the shaft --------------------------------------------------------------------------------


def end_faces_mm(strut: Strut, spec: FoundrySpec) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return ((x of the cast face at its rim, x at the parting plane) aft, the same forward) in mm, no contraction.

    At the rim the face holds the stock; toward the parting plane the draft comes on top.
    """
    b = strut.barrel
    out = []
    for sign, station in ((-1, 0.0), (1, b.length_mm)):
        radius = float(outside_radius_mm(b, station))
        rim = b.length_mm / 2 + spec.stock_ends_mm
        out.append((sign * rim, sign * (rim + draft_offset_mm(radius, spec.draft_deg))))
    return out[0], out[1]


def core_ends_mm(strut: Strut, spec: FoundrySpec) -> tuple[float, float]:
    """Return x of the core's two ends (mm, no contraction): print_length beyond the cast faces at the parting plane."""
    aft, fore = end_faces_mm(strut, spec)
    return aft[1] - spec.print_length_mm, fore[1] + spec.print_length_mm


# --- draft of a mesh ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class DraftRow:
    """How one group of faces stands to the pull, on one half of the pattern; pattern scale, mm and degrees.

    worst_deg: least angle (negative: undercut). low_*: what opens less than the draft asked, without the undercut;
    low_height_mm along the pull.
    """

    half: str
    face: str
    area_mm2: float
    worst_deg: float
    undercut_mm2: float
    low_mm2: float
    low_height_mm: float


def draft_angles_deg(normals: Vector, pull: Vector) -> Vector:
    """Return the angle (n,) in degrees by which triangles with outward unit normals (n, 3) open along a pull (3,)."""
    return np.asarray(np.degrees(np.arcsin(np.clip(normals @ pull, -1, 1))))


def on_parting(centres: Vector, normals: Vector, pull: Vector) -> NDArray[np.bool_]:
    """Return which triangles (centres (n, 3) mm, normals (n, 3)) lie in the parting plane, looking across it."""
    return np.asarray((np.abs(centres @ pull) < PARTING_MM) & (np.abs(normals @ pull) > 0.999))


def draft_table(
    half: str, faces: NDArray[np.str_], triangles: Vector, pull: Vector, draft_deg: float, chord_mm: float
) -> list[DraftRow]:
    """Return a row for each group of faces of one half, in order of name.

    faces: (n,) names. triangles: (n, 3, 3) corners in mm, outward normals by the right hand. pull: unit vector (3,) in
    which this half leaves the mould. chord_mm: how far the mesh may lie off the surface: the normal of a triangle is
    no better known than that over its height, and it gets the benefit. Triangles in the parting plane are left out.
    """
    sides = np.roll(triangles, -1, axis=1) - triangles
    normal = np.cross(sides[:, 0], sides[:, 1])
    double = np.linalg.norm(normal, axis=1)
    area, longest = double / 2, np.linalg.norm(sides, axis=2).max(axis=1)
    normal = normal / np.where(double > 0, double, 1.0)[:, None]
    angle = draft_angles_deg(normal, pull)
    unsure = np.degrees(np.arctan2(chord_mm * longest, double)) + UNDERCUT_DEG
    seen = (area > SEEN_MM2) & ~on_parting(triangles.mean(axis=1), normal, pull)
    height = triangles @ pull
    rows = []
    for name in sorted(set(faces[seen].tolist())):
        mine = seen & (faces == name)
        under = mine & (angle < -unsure)
        low = mine & (angle < draft_deg - unsure) & ~under
        rise = float(height[low].max() - height[low].min()) if low.any() else 0.0
        sure = mine & (unsure <= max(SURE_DEG, float(unsure[mine].min())))
        for found in (under, low):  # what is told of a face has its angle told too
            if area[found].sum() > UNDERCUT_MM2:
                sure |= found
        rows.append(
            DraftRow(
                half,
                name,
                float(area[mine].sum()),
                float(angle[sure].min()),
                float(area[under].sum()),
                float(area[low].sum()),
                rise,
            )
        )
    return rows


def face_names(strut: Strut, spec: FoundrySpec, centres: Vector, normals: Vector) -> NDArray[np.str_]:
    """Return the name (n,) of the part of the casting on which points lie.

    centres: (n, 3) mm in the strut frame, contraction taken out. normals: (n, 3) outward, unit.
    """
    cast = casting_strut(strut, spec)
    b = strut.barrel
    off = np.hypot(centres[:, 1], centres[:, 2])
    names = np.full(len(centres), "arm", dtype="<U40")
    if len(cast.arms) > 1:
        away = []
        for arm in cast.arms:
            axes = frames.arm_axes(arm, b, frames.arm_plane(cast, arm))
            away.append(np.linalg.norm(np.cross(centres - axes.origin, axes.n), axis=1))
        every = np.array([_arm_name(a) for a in cast.arms], dtype="<U40")
        names = every[np.argmin(np.array(away), axis=0)]
    if cast.skeg is not None:
        names[(centres[:, 2] < 0) & (off > b.outside_mm / 2)] = "skeg"
    names[off < b.outside_mm / 2 + 0.02] = "barrel"
    for (rim, ridge), end in zip(end_faces_mm(strut, spec), ("aft", "forward"), strict=True):
        sign = math.copysign(1.0, rim)
        there = (
            (sign * centres[:, 0] > b.length_mm / 2 + 0.9 * spec.stock_ends_mm - 0.01)
            & (sign * normals[:, 0] > 0.9)
            & (off < b.outside_mm / 2)
        )
        names[there] = f"barrel end, {end}"
        if spec.cored:
            beyond = (sign * centres[:, 0] > abs(rim)) & (off < spec.core_diameter_mm / 2 + 0.02)
            names[beyond & (~there | (sign * centres[:, 0] > abs(ridge) + 0.01))] = f"core print, {end}"
    for palm in cast.palms:
        axes = frames.palm_axes(palm)
        local = axes.from_strut(centres)
        box = palm.outline.bounding_box()
        lean = draft_offset_mm(max(box.ymax - box.ymin, box.xmax - box.xmin), spec.draft_deg) + 0.5
        near = (local[:, 2] > -palm.thickness_mm - lean) & (local[:, 2] < lean + 1.0) & (off > b.outside_mm / 2)
        inside = np.full(len(centres), -np.inf)
        inside[near] = palm.outline.distance_to_boundary(local[near, :2])
        near &= inside > -lean - 4.0
        facing = normals @ axes.n
        called = palm.name if "palm" in palm.name else f"{palm.name} palm"
        names[near & (inside < lean) & (np.abs(facing) < 0.8)] = f"{called}, edge"
        names[near & (facing > 0.8) & (local[:, 2] > -palm.thickness_mm / 2)] = f"{called}, hull face"
        names[near & (facing < -0.8) & (local[:, 2] < -palm.thickness_mm / 2)] = f"{called}, water face"
    return names


def _arm_name(arm: Arm) -> str:
    return arm.name if "arm" in arm.name else f"{arm.name} arm"


# --- findings -------------------------------------------------------------------------------------------------------

_CONTRACTION_ROW = {
    "manganese bronze": "manganese bronze",
    "nickel-aluminium bronze": "aluminium bronze",
    "silicon bronze": "silicon bronze",
    "tin bronze": "tin bronze and brass",
    "aluminium bronze and naval brass": "tin bronze and brass",
    "mild steel": "steel",
    "316 passive": "austenitic stainless",
    "aluminium": "aluminium",
}


def pattern_findings(strut: Strut, spec: FoundrySpec) -> list[Finding]:
    """Return what can be told of the pattern from the numbers alone. Never raises."""
    out: list[Finding] = []
    _say_stock(out, strut, spec)
    _say_core(out, strut, spec)
    _say_walls(out, strut, spec)
    _say_contraction(out, strut, spec)
    _say_draft(out, strut, spec)
    out += palm_findings(strut, spec)
    return out


def _say_stock(out: list[Finding], strut: Strut, spec: FoundrySpec) -> None:
    casting = casting_of(strut)
    allowance = allowance_mm(casting, spec.largest_mm)
    for face, stock, why, parameter in (
        ("the bore", spec.stock_bore_mm, "the bore will not clean up", "pattern.stock.bore"),
        ("the barrel's faces", spec.stock_ends_mm, "the faces will not clean up", "pattern.stock.barrel_ends"),
        (
            "the palm's hull face",
            spec.stock_palm_mm,
            "the drop comes short when the face is machined",
            "pattern.stock.palm_face",
        ),
    ):
        code = "pattern_stock_missing" if stock <= 0 else "pattern_stock_small"
        out.append(
            at_least(
                code,
                f"machining stock on {face}",
                stock,
                allowance,
                "mm",
                source=f"ISO 8062-4 required machining allowance, grade {casting.allowance_grade}",
                standing=Standing.PUBLISHED,
                advice=say(
                    "{why}; leave {parameter} out to have it derived, or say at least {allowance}",
                    why=why,
                    parameter=parameter,
                    allowance=mm(allowance),
                ),
                parameter=parameter,
                group=GROUP,
                warn=True,
            )
        )


def _say_core(out: list[Finding], strut: Strut, spec: FoundrySpec) -> None:
    if not spec.cored:
        return
    bore = spec.stock_bore_mm
    out.append(
        at_least(
            "pattern_core_shift_stock",
            "stock on the bore's radius to take up core shift",
            bore,
            casting_of(strut).core_shift_mm,
            "mm",
            source="",
            standing=Standing.PRACTICE,
            advice="with less, a shifted core leaves black skin in the bore; raise pattern.stock.bore",
            parameter="pattern.stock.bore",
            group=GROUP,
            warn=True,
        )
    )
    wanted = print_length_rule_mm(spec.core_diameter_mm)
    out.append(
        at_least(
            "pattern_core_print_short",
            say("length of the core prints, core {core}", core=mm(spec.core_diameter_mm)),
            spec.print_length_mm,
            wanted,
            "mm",
            source=say("pattern makers' rule: as long as thick up to {3 in}, then relatively less"),
            standing=Standing.PRACTICE,
            advice="a short print lets the core lift or tilt; lengthen it, or set chaplets",
            parameter="pattern.stock.bore",
            group=GROUP,
            warn=True,
        )
    )
    lift = core_lift_n(spec.core_diameter_mm, strut.barrel.length_mm + 2 * spec.stock_ends_mm, spec.density_kg_m3)
    area = 2 * spec.core_diameter_mm * spec.print_length_mm
    out.append(
        at_most(
            "pattern_core_lift",
            "pressure of the core's prints on the mould while it floats",
            lift / area if area > 0 else math.inf,
            PRINT_BEARING_MPA,
            "MPa",
            source="buoyancy; green-sand strength",
            standing=Standing.MEMORY,
            advice="lengthen the prints or hold the core down by chaplets",
            parameter="barrel.bore",
            group=GROUP,
            warn=True,
        )
    )


def _say_walls(out: list[Finding], strut: Strut, spec: FoundrySpec) -> None:
    b = strut.barrel
    cast_wall = b.wall_mm + (spec.stock_bore_mm if spec.cored else b.bore_mm / 2)
    for arm in strut.arms:
        name, palm = _arm_name(arm), strut.palms[arm.palm_index]
        for what, one, other, stock, radius, parameter in (
            (
                "barrel",
                arm.thickness_barrel_mm,
                b.wall_mm,
                cast_wall - b.wall_mm,
                arm.barrel_root_mm,
                "arms.root_fillet.barrel",
            ),
            (
                "palm",
                arm.thickness_palm_mm,
                palm.thickness_mm,
                spec.stock_palm_mm,
                arm.palm_root_mm,
                "arms.root_fillet.palm",
            ),
        ):
            thin, thick = min(one, other + stock), max(one, other + stock)
            out.append(
                at_most(
                    "pattern_hot_spot",
                    f"thicker over thinner wall where the {name} meets the {what}",
                    thick / thin,
                    HOT_SPOT_RATIO,
                    "",
                    source="",
                    standing=Standing.PRACTICE,
                    advice="a hot spot that may shrink: agree a feeder or chill with the founder, or bring "
                    "the two thicknesses nearer to each other",
                    parameter="arms.section.thickness",
                    group=GROUP,
                    warn=True,
                )
            )
            out.append(
                at_least(
                    "pattern_fillet",
                    f"fillet of the {name} at the {what}",
                    radius,
                    max(LEAST_FILLET_MM, FILLET_SHARE * min(one, other)),
                    "mm",
                    source=say("a third to half of the thinner finished wall, {6 mm} at least"),
                    standing=Standing.PRACTICE,
                    advice=f"a sharp corner tears hot; enlarge {parameter}",
                    parameter=parameter,
                    group=GROUP,
                    warn=True,
                )
            )
    if strut.skeg is not None:
        out.append(
            at_least(
                "pattern_fillet",
                "fillet of the skeg at the barrel",
                strut.skeg.root_mm,
                max(LEAST_FILLET_MM, FILLET_SHARE * min(strut.skeg.thickness_root_mm, b.wall_mm)),
                "mm",
                source=say("a third to half of the thinner finished wall, {6 mm} at least"),
                standing=Standing.PRACTICE,
                advice="a sharp corner tears hot; enlarge skeg.root_fillet",
                parameter="skeg.root_fillet",
                group=GROUP,
                warn=True,
            )
        )


def _say_contraction(out: list[Finding], strut: Strut, spec: FoundrySpec) -> None:
    metal = tables.material(strut.material)
    row = next(
        (
            r
            for r in tables.table("casting_contraction").rows
            if r["alloy"] == _CONTRACTION_ROW.get(metal.galvanic_group or "", "")
        ),
        None,
    )
    if row is None:
        out.append(
            not_checked(
                "pattern_contraction_usual",
                f"contraction of {strut.material}",
                "no usual range is known for this alloy; take the founder's figure",
                parameter="pattern.contraction",
                group=GROUP,
            )
        )
        return
    low, high, s = float(row["low"]), float(row["high"]), spec.contraction_percent
    out.append(
        yes_no(
            "pattern_contraction_usual",
            f"contraction of {strut.material}: {s:g} %, usually {low:g} to {high:g} %",
            low - 1e-9 <= s <= high + 1e-9,
            source="published shrink rules, which disagree",
            standing=Standing.PUBLISHED,
            advice="confirm with the founder; see that contraction is neither left out nor in twice",
            parameter="pattern.contraction",
            group=GROUP,
            warn=True,
            actual=s,
            demanded=low if s < low else high,
            unit="%",
        )
    )


def _say_draft(out: list[Finding], strut: Strut, spec: FoundrySpec) -> None:
    """A hint for each kind of face that the draft table asks more of: a low face wants more draft than a high one."""
    barrel = ("barrel's faces", strut.barrel.outside_mm / 2)
    if spec.parting == "arm_plane":
        faces = [
            barrel,
            *(
                (f"edges of the {_arm_name(a)}", min(a.thickness_barrel_mm, a.thickness_palm_mm) / 2)
                for a in strut.arms
            ),
        ]
    else:
        faces = [
            barrel,
            *(
                (f"edge of the {p.name}" if "palm" in p.name else f"edge of the {p.name} palm", p.thickness_mm)
                for p in strut.palms
            ),
        ]
    for name, height in faces:
        asked = tables.casting_draft_deg(height)
        if spec.draft_deg < asked - 1e-9:
            out.append(
                Finding(
                    "pattern_draft_small",
                    Verdict.HINT,
                    say("draft on the {name}, {height} high along the pull", name=name, height=mm(height)),
                    asked,
                    spec.draft_deg,
                    "deg",
                    "at least",
                    asked / spec.draft_deg if spec.draft_deg > 0 else math.inf,
                    "ISO 8062-4 Table 4, moulded by hand, fine, outside",
                    Standing.PUBLISHED,
                    "ease these faces on the pattern, or ask the founder what draft he wants for pattern.draft",
                    "pattern.draft",
                    GROUP,
                )
            )


PALM_ADVICE = (
    "make the palm a loose piece with dowels, step the joint line along the palm, or mould the face flat and machine it"
)


def palm_findings(strut: Strut, spec: FoundrySpec) -> list[Finding]:
    """Return a finding for each face of each palm that overhangs the pull by more than draft is added for."""
    axes = parting_axes(strut, spec.parting)
    out = []
    for palm in strut.palms:
        tilt = palm_drawn(palm, axes.n)[2]
        called = palm.name if "palm" in palm.name else f"{palm.name} palm"
        plus, minus = half_names(spec.parting)
        hull, water = (minus, plus) if tilt > 0 else (plus, minus)
        what = (
            f"tilt of the {called} to the pull: its hull face hangs over in the {hull}, its water face in the {water}"
            if abs(tilt) > 1e-9
            else f"tilt of the {called} to the pull"
        )
        out.append(
            at_most(
                "pattern_palm_back_draft",
                what,
                abs(tilt),
                ADDED_TILT_DEG,
                "deg",
                source="more would be filled with metal to be cut away",
                standing=Standing.GEOMETRY,
                advice=PALM_ADVICE,
                parameter="pattern.parting",
                group=GROUP,
                warn=True,
            )
        )
    return out


def draft_findings(rows: Iterable[DraftRow], spec: FoundrySpec) -> list[Finding]:
    """Return what the draft of the finished pattern's mesh says, face by face: undercuts first, then low draft."""
    under, low = list[Finding](), list[Finding]()
    for row in rows:
        where = f"{row.face}, {row.half}"
        if row.undercut_mm2 > UNDERCUT_MM2:
            under.append(
                yes_no(
                    "pattern_undercut",
                    say(
                        "undercut on the {where}: {undercut} of {area}",
                        where=where,
                        undercut=Amount(row.undercut_mm2, "mm2"),
                        area=Amount(row.area_mm2, "mm2"),
                    ),
                    False,
                    source="mesh of the pattern against the pull",
                    standing=Standing.GEOMETRY,
                    advice=_undercut_advice(row.face),
                    parameter="pattern.parting",
                    group=GROUP,
                    warn=True,
                    actual=row.worst_deg,
                    demanded=0.0,
                    unit="deg",
                )
            )
        if row.low_height_mm > LOW_HEIGHT_MM and row.low_mm2 > UNDERCUT_MM2:
            low.append(
                yes_no(
                    "pattern_low_draft",
                    say(
                        "less draft than asked on the {where}: {area} over {height} of draw",
                        where=where,
                        area=Amount(row.low_mm2, "mm2"),
                        height=mm(row.low_height_mm),
                    ),
                    False,
                    source="mesh of the pattern against the pull",
                    standing=Standing.GEOMETRY,
                    advice="ease this face on the pattern by hand, or draw it with care",
                    parameter="pattern.draft",
                    group=GROUP,
                    warn=True,
                    actual=max(row.worst_deg, 0.0),
                    demanded=spec.draft_deg,
                    unit="deg",
                )
            )
    found = under + low
    if not found:
        found.append(
            yes_no(
                "pattern_draws",
                "every face opens along the pull",
                True,
                source="mesh of the pattern against the pull",
                standing=Standing.GEOMETRY,
                advice="",
                parameter="pattern.parting",
                group=GROUP,
                warn=True,
            )
        )
    return found


def _undercut_advice(face: str) -> str:
    if "palm" in face:
        return PALM_ADVICE
    if "arm" in face:
        return "step the joint line along the arm's edges, core the space between two arms, or choose the other parting"
    return "step the joint line here or make this a loose piece, or choose the other pattern.parting"


def worst_first(rows: Sequence[DraftRow]) -> list[DraftRow]:
    """Return draft rows by rising worst angle."""
    return sorted(rows, key=lambda r: (r.worst_deg, r.half, r.face))
