"""How far the hull under a palm gives: a plate between stiffeners with the palm as a rigid core in its middle.

A range, not one figure: high, with the plate clamped at the nearer stiffeners; low, with it simply supported at the
same ones, at those farther off where the file does not say where they are. The hull's own plane, and turning in it, are
taken as rigid, as is the palm; the bulge of a bottom, which makes it stiffer, is left out.

`palm_springs(inputs, palm)` is what everything else asks.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Floats, Num, Six, Triple, cross, plus, times
from strutwright.models.formulas.plate_core import Plate, strips, table_factors
from strutwright.models.formulas.round_core import Ring, round_core
from strutwright.models.input_parts import PalmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.once import once
from strutwright.models.spec_boat import HullPlate
from strutwright.params import tables

_POISSON = 0.3
_NEAREST = 0.25
"""A stiffener whose place is not known stands clear of the palm by at least so much of its usual distance."""
_MOST_OF_PANEL = 0.95
"""A palm that is larger than its panel counts as so much of it: it bears on the stiffeners."""
_BACKING_BEYOND_MM = 25.0
"""How far a backing plate reaches beyond the palm where the file does not say; common practice, no source."""
_TOUCHES = 1e-9
"""A part that reaches the stiffeners leaves so much of the panel, so that no plate has nothing round its core."""
_SURELY_STIFF, _SURELY_SOFT = 1.08, 0.8
"""Powers of what stiffer parts make of the springs, by which no plate of finite elements was stiffer than the stiff end
nor softer than the soft one. A part that reaches everywhere needs none: it is one plate of the table."""
_TABLE_MISSES = 0.045
"""What the table of plates may miss of three plates in one."""
_STEP, _FINE_STEP = 0.1, 0.025
"""Of `_Hull.step`."""


@dataclass(frozen=True, slots=True)
class PalmSprings:
    """What the hull under a palm withstands, in the palm's axes; floats or arrays over struts.

    normal: force square to the hull. tilt_u: a moment that lifts the palm's forward end. tilt_v: one that lifts its
    side. inf: rigid; nan: not known.
    """

    normal_n_mm: Num
    tilt_u_nmm: Num
    tilt_v_nmm: Num


@dataclass(frozen=True, slots=True)
class HullRange:
    """The springs of a palm at the soft and at the stiff end of what is likely; one and the same where measured."""

    low: PalmSprings
    high: PalmSprings
    measured: bool = False


def palm_springs(inputs: Inputs, palm: int = 0) -> HullRange:
    """Return what the hull under a palm withstands; broadcasts. nan where thickness or modulus are not known.

    >>> found = palm_springs(engineering_inputs("harbour-launch"))  # 16 mm of laminate, 310 x 210 clear
    >>> soft, stiff = (float(end.tilt_v_nmm) / 1e6 for end in (found.low, found.high))  # kN m to the radian
    >>> 700 < soft < 750, 6500 < stiff < 7500  # the stiff end with a backing plate
    (True, True)
    """
    said = inputs.hull_plate
    if said.springs is not None:
        measured = PalmSprings(*said.springs)
        return HullRange(measured, measured, measured=True)
    low, high = moduli_mpa(inputs)
    own = inputs.palms[palm]
    if math.isnan(low) or np.all(np.isnan(inputs.hull_mm)):
        unknown = PalmSprings(math.nan, math.nan, math.nan)
        return HullRange(unknown, unknown)
    soft, stiff = _end(inputs, own, low, high=False), _end(inputs, own, high, high=True)
    # A ring that is stiffer is taken as round, and may by that turn the two ends about where they hardly differ.
    return HullRange(
        PalmSprings(
            np.minimum(soft.normal_n_mm, stiff.normal_n_mm),
            np.minimum(soft.tilt_u_nmm, stiff.tilt_u_nmm),
            np.minimum(soft.tilt_v_nmm, stiff.tilt_v_nmm),
        ),
        stiff,
    )


def moduli_mpa(inputs: Inputs) -> tuple[float, float]:
    """Return the least and the most that the modulus of the hull in its plane is likely to be, MPa; nan: not known.

    >>> moduli_mpa(engineering_inputs("cutter-shoulder"))  # planks along the grain
    (9000.0, 12000.0)
    """
    said = inputs.hull_plate.modulus_mpa
    if said is not None:
        return said, said
    row = _row(_kind(inputs.hull.name, inputs.hull.family))
    return (float(inputs.hull.modulus_mpa),) * 2 if row is None else (row["least"], row["most"])


def _kind(name: str, family: str) -> str:
    """The row of the table of hulls that a material has; "" for metals."""
    return "plywood" if name == "plywood" else {"timber": "timber", "composite": "laminate"}.get(family, "")


@functools.cache
def _row(kind: str) -> dict[str, float] | None:
    rows = (r for r in tables.table("hull_plates").rows if r["hull"] == kind)
    return next(({k: float(v) for k, v in r.items() if k != "hull"} for r in rows), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Hull:
    """One end of the range, but for the sizes that a study may vary. Lengths mm, moduli MPa."""

    kind: str
    modulus_mpa: float
    poisson: float
    plate: HullPlate
    beside_mm: tuple[float, float]
    """From the palm's middle to the stiffeners along and across; nan where the file does not say."""
    reach_mm: float
    """The same, usual, where it does not."""
    backing: tuple[float, float, float] | None
    """Thickness, reach beyond the palm and modulus of the backing plate."""
    clamped: bool

    def bends(self, thickness_mm: Num, solid: bool) -> tuple[Num, Num]:
        """Bending stiffness (N mm) along the palm's stiffer way and shear stiffness (N/mm) of the hull."""
        row, e, t = _row(self.kind), self.modulus_mpa, self.plate.skin_mm
        through = 1.0 / (2.0 * (1.0 + self.poisson)) if row is None else row["through_shear"]
        if t is not None and not solid:
            core = np.maximum(thickness_mm - 2.0 * t, 1e-3)
            d = core + t
            return e * (t * d**2 / 2.0 + t**3 / 6.0) / self._less(), self.plate.core_shear_mpa * d**2 / core
        return e * thickness_mm**3 / 12.0 / self._less(), 5.0 / 6.0 * through * e * thickness_mm

    def _less(self) -> float:
        row = _row(self.kind)
        return 1.0 - self.poisson**2 * (1.0 if row is None else row["across"])

    def panel(self, length_mm: Num, width_mm: Num, thickness_mm: Num) -> Plate:
        """The plate between the stiffeners, with the palm in it."""
        sides, cores = [], []
        for known, palm in zip(self.beside_mm, (length_mm, width_mm), strict=True):
            usual = np.maximum(self.reach_mm, palm / 2.0 + _NEAREST * self.reach_mm)
            side = 2.0 * (usual if math.isnan(known) else known)
            sides.append(side)
            cores.append(np.minimum(palm, _MOST_OF_PANEL * side))
        return self._plate(sides, cores, thickness_mm)

    def _plate(
        self, sides: Sequence[Num], cores: Sequence[Num], thickness_mm: Num, reach_mm: float | None = None
    ) -> Plate:
        """A plate of the hull; reach_mm: of the hull as it is out to there from the palm."""
        d, shear = self._within(thickness_mm, reach_mm, backed=False)
        row, across, mixed = _row(self.kind), d, 1.0
        if row is not None and row["across"] < 1.0:
            across = d * row["across"]
            mixed = (_POISSON * row["across"] + 2.0 * row["in_plane_shear"] * self._less()) / math.sqrt(row["across"])
            if not self.plate.planks_along:
                # Along the palm is across the grain; shear is that of the grain, less as the roots of the stiffnesses.
                d, across, shear = across, d, shear * math.sqrt(row["across"])
        if reach_mm is not None and self.backing is not None and reach_mm <= self.backing[1]:
            one, more = self._backed(d, 0.0, thickness_mm)
            two = one if across is d else self._backed(across, 0.0, thickness_mm)[0]
            bare, both = np.sqrt(d * across), np.sqrt(one * two)
            mixed = min(float((mixed * bare + both - bare) / both), 1.0)
            # The stiffer of the two ways in shear counts for both.
            shear = np.maximum(shear + more, (shear * np.sqrt(across / d) + more) * np.sqrt(one / two))
            d, across = one, two
        return Plate(
            along_mm=sides[0],
            across_mm=sides[1],
            core_along_mm=cores[0],
            core_across_mm=cores[1],
            bending_along_nmm=d,
            bending_across_nmm=across,
            shear_n_mm=shear,
            mixed=mixed,
        )

    def _reaches(self) -> list[float]:
        """How far the parts that are stiffer reach beyond the palm, from the inside out."""
        return sorted({self._solid_mm(), 0.0 if self.backing is None else self.backing[1]} - {0.0})

    @property
    def step(self) -> float:
        """Of the logarithms of palm and hull, between the places at which the factors are worked out: finer where a
        part may just reach a stiffener, or just not."""
        return _FINE_STEP if self._reaches() else _STEP

    def _solid_mm(self) -> float:
        return self.plate.solid_beyond_mm if self.plate.skin_mm is not None and self.plate.core_solid else 0.0

    def _within(self, thickness_mm: Num, reach_mm: float | None, backed: bool = True) -> tuple[Num, Num]:
        """Bending and shear stiffness, along the stiffer way, of the part out to a reach."""
        made = self.bends(thickness_mm, solid=reach_mm is not None and reach_mm <= self._solid_mm())
        if reach_mm is None or not backed or self.backing is None or reach_mm > self.backing[1]:
            return made
        return self._backed(*made, thickness_mm)

    def stiffened(self, plate: Plate, thickness_mm: Num) -> Floats:
        """Logarithms of what the parts round the palm that are stiffer make of its springs, (3, ...): at the stiff end
        the most they can, at the soft end less than what they make of a round palm's."""
        reaches = self._reaches()
        if not reaches:
            shapes = (np.shape(v) for v in (plate.core_along_mm, plate.core_across_mm, thickness_mm))
            return np.zeros((3, *np.broadcast_shapes(*shapes)))
        everywhere, behind = self._bounds(plate, reaches, thickness_mm)
        if self.clamped:
            return np.minimum(everywhere, _SURELY_STIFF * behind) + _TABLE_MISSES
        return np.minimum(_SURELY_SOFT * self._of_round(plate, reaches, thickness_mm), np.minimum(everywhere, behind))

    def _bounds(self, plate: Plate, reaches: list[float], thickness_mm: Num) -> tuple[Floats, Floats]:
        """The same by bounds from above: the innermost part reaches everywhere; or each part's rim moves as one, so
        that the parts stand one behind the other."""
        sides = plate.along_mm, plate.across_mm
        cores = palm = plate.core_along_mm, plate.core_across_mm
        everywhere = _springs(self._plate(sides, palm, thickness_mm, reaches[0]), self.clamped)
        give: Floats | float = 0.0
        for reach in reaches:
            rims = [np.minimum(own + 2.0 * reach, side) for own, side in zip(palm, sides, strict=True)]
            held = [np.minimum(core, (1.0 - _TOUCHES) * rim) for core, rim in zip(cores, rims, strict=True)]
            give = give + 1.0 / _springs(self._plate(rims, held, thickness_mm, reach), clamped=True)
            cores = rims[0], rims[1]
        outside = [np.minimum(core, (1.0 - _TOUCHES) * side) for core, side in zip(cores, sides, strict=True)]
        give = give + 1.0 / _springs(self._plate(sides, outside, thickness_mm), self.clamped)
        bare = _springs(plate, self.clamped)
        one, two = (np.log(np.maximum(most / bare, 1.0)) for most in (everywhere, 1.0 / give))
        return one, two

    def _of_round(self, plate: Plate, reaches: list[float], thickness_mm: Num) -> Floats:
        """The same of a round core in rings of the same clear width; planks drawn together as a plate alike."""
        k = (plate.bending_across_nmm / plate.bending_along_nmm) ** 0.25
        length, width = k * plate.core_along_mm, plate.core_across_mm
        gx, gy = (k * plate.along_mm - length) / 2.0, (plate.across_mm - width) / 2.0
        gap = (length + width) / (length / gy + width / gx)
        push, along = np.sqrt(length * width / math.pi), (width * length**3 / (3.0 * math.pi)) ** 0.25
        across = (length * width**3 / (3.0 * math.pi)) ** 0.25
        plain = self._within(thickness_mm, None)
        d, shear = plate.bending_across_nmm, k * k * plate.shear_n_mm
        parts = [(min(k, 1.0) * r, *self._within(thickness_mm, r)) for r in reaches]
        out = []
        for b in (push, along, across):
            outside = Ring(b + gap, d, shear, _POISSON)
            rings = [
                Ring(b + np.minimum(reach, 0.9 * gap), d * bends / plain[0], shear * shears / plain[1], _POISSON)
                for reach, bends, shears in parts
            ]
            one, two = (round_core(b, r, self.clamped) for r in ([*rings, outside], [outside]))
            first, second = (one.push_n_mm, two.push_n_mm) if b is push else (one.tilt_nmm, two.tilt_nmm)
            out.append(np.log(first / second))
        return np.stack(np.broadcast_arrays(*out))

    def _backed(self, d: Num, shear: Num, thickness_mm: Num) -> tuple[Num, Num]:
        """Bending and shear stiffness of the hull with its backing plate."""
        assert self.backing is not None
        t, _, modulus = self.backing
        less = 1.0 - _POISSON**2
        own = modulus * t**3 / 12.0 / less
        both = shear + 5.0 / 6.0 * modulus * t / 2.6
        if not self.plate.backing_bonded:
            return d + own, both
        # The hull as one layer of its thickness that bends as stiffly.
        one, two = 12.0 * d / thickness_mm**2, modulus * t / less
        lever = (thickness_mm + t) / 2.0
        return d + own + one * two / (one + two) * lever**2, both


def _springs(plate: Plate, clamped: bool) -> Floats:
    """Springs of a palm in a plate of one make, (3, ...): force, tilts along and across."""
    made = strips(plate, clamped)
    every = np.broadcast_arrays(made.normal_n_mm, made.tilt_along_nmm, made.tilt_across_nmm)
    out: Floats = np.stack(every) * np.exp(table_factors(plate, clamped))
    return out


def _end(inputs: Inputs, palm: PalmInputs, modulus: float, high: bool) -> PalmSprings:
    """One end of the range."""
    said = inputs.hull_plate
    kind = _kind(inputs.hull.name, inputs.hull.family)
    backing = None
    if inputs.backing_plate and (high or said.backing_mm is not None):
        metal = float(inputs.strut.modulus_mpa)
        beyond = _BACKING_BEYOND_MM if said.backing_beyond_mm is None else said.backing_beyond_mm
        backing = (inputs.backing_mm, beyond, metal) if not math.isnan(metal) else None
    poisson = float(inputs.hull.poisson)
    hull = _Hull(
        kind=kind,
        modulus_mpa=modulus,
        poisson=_POISSON if math.isnan(poisson) else poisson,
        plate=said,
        beside_mm=(_half(said.panel_along_mm), _half(said.panel_across_mm)),
        reach_mm=inputs.limit("hull_stiffener_near" if high else "hull_stiffener_far"),
        backing=backing,
        clamped=high,
    )
    length, width = palm.forward_mm - palm.aft_mm, palm.port_mm - palm.starboard_mm
    # Of a palm without its corners the rectangle of the same area and proportions.
    full = np.sqrt(np.minimum(palm.area_mm2 / (length * width), 1.0))
    length, width = length * full, width * full
    plate = hull.panel(length, width, inputs.hull_mm)
    base, k = strips(plate, high), np.exp(_between(hull, length, width, inputs.hull_mm))
    return PalmSprings(base.normal_n_mm * k[0], base.tilt_along_nmm * k[1], base.tilt_across_nmm * k[2])


def _half(clear_mm: float | None) -> float:
    return math.nan if clear_mm is None else clear_mm / 2.0


def _between(hull: _Hull, *sizes: Num) -> Floats:
    """The logarithms of the factors on the strips, (3, ...): smooth functions of palm and hull, worked out at steps
    and drawn straight between, so that a study of a million costs little and finds what one strut does."""
    places = [np.log(np.clip(np.nan_to_num(v, nan=1.0), 1.0, 3000.0)) / hull.step for v in sizes]
    first = [np.floor(v) for v in places]
    spans = tuple((int(np.min(n)), int(np.max(n)) + 2) for n in first)
    out = _at_steps(hull, spans)
    # The axes that do not vary are drawn together at once.
    at = [np.asarray(v - n) for v, n in zip(places, first, strict=True)]
    index = [np.asarray(n - low, dtype=np.intp) for n, (low, _) in zip(first, spans, strict=True)]
    for axis in (2, 1, 0):
        if at[axis].ndim == 0:
            t = float(at[axis])
            out = np.take(out, 0, axis + 1) * (1.0 - t) + np.take(out, 1, axis + 1) * t
    varies = [axis for axis in range(3) if at[axis].ndim]
    return _drawn(out, [index[k] for k in varies], [at[k] for k in varies])


def _drawn(grid: Floats, index: list[NDArray[np.intp]], at: list[Floats]) -> Floats:
    """Values between the steps of the axes after the first, each at its own place."""
    if not index:
        return grid
    total: Floats | float = 0.0
    for corner in np.ndindex(*(2,) * len(index)):
        weight: Floats | float = 1.0
        for side, t in zip(corner, at, strict=True):
            weight = weight * (t if side else 1.0 - t)
        total = total + weight * grid[(slice(None), *(i + side for i, side in zip(index, corner, strict=True)))]
    return np.asarray(total)


@functools.lru_cache(maxsize=64)
def _at_steps(hull: _Hull, spans: tuple[tuple[int, int], ...]) -> Floats:
    length, width = np.meshgrid(*(np.exp(hull.step * np.arange(*s)) for s in spans[:2]), indexing="ij")
    out = []
    for thickness in np.exp(hull.step * np.arange(*spans[2])).tolist():
        plate = hull.panel(length, width, thickness)
        out.append(table_factors(plate, hull.clamped) + hull.stiffened(plate, thickness))
    return np.stack(out, axis=-1)


End = Literal["rigid", "low", "high"]
"""Of the hull: rigid, or the soft or the stiff end of its range."""
Give: TypeAlias = tuple[tuple[Six, Num], ...]
"""How a palm gives: of each part what it feels of force and moment (x, y, z each) at a point, and its give for one."""


@once
def all_springs(inputs: Inputs) -> tuple[HullRange, ...]:
    """Return the springs of all palms; kept with the inputs, as several modules ask.

    >>> len(all_springs(engineering_inputs("pilot-vee")))
    2
    """
    return tuple(palm_springs(inputs, k) for k in range(len(inputs.palms)))


@once
def ends(inputs: Inputs) -> tuple[End, ...]:
    """Return what the hull is taken as, from soft to stiff; rigid alone where nothing is known of it.

    >>> ends(engineering_inputs("canal-tender")), ends(engineering_inputs("canal-tender", hull_mm=math.nan))
    (('low', 'high'), ('rigid',))
    """
    unknown = np.all(np.isnan(all_springs(inputs)[0].low.normal_n_mm))
    return ("rigid",) if unknown else ("low", "high")


def give(inputs: Inputs, palm: int, end: End, at_mm: Triple) -> Give:
    """Return how a palm gives under force and moment at a point of the strut frame; nothing under a rigid hull.

    The movement there is the sum over its parts of the part's share of each, times what it feels, times how it gives.

    >>> (push, pitches, rolls) = give(engineering_inputs("harbour-launch"), 0, "low", (0.0, 0.0, 0.0))
    >>> round(float(rolls[0][1]))  # a force athwart at the shaft line tips the palm by its distance, 300 mm cos 9
    296
    """
    if end == "rigid":
        return ()
    found = all_springs(inputs)[palm]
    own, springs = inputs.palms[palm], found.low if end == "low" else found.high
    middle = plus(own.zero_mm, plus(times(own.centroid_u_mm, own.u), times(own.centroid_v_mm, own.v)))
    arm = plus(at_mm, times(-1.0, middle))
    return (
        ((*own.normal, 0.0, 0.0, 0.0), 1.0 / springs.normal_n_mm),
        ((*cross(own.v, arm), *own.v), 1.0 / springs.tilt_u_nmm),
        ((*cross(own.u, arm), *own.u), 1.0 / springs.tilt_v_nmm),
    )
