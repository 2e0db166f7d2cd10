"""From places in ranges to sizes: how thin, short and narrow each part may be for its limits, and how far beyond."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

import numpy as np

from strutwright.models import rules
from strutwright.models.arrays import Floats, Num
from strutwright.models.bolt_patterns import PATTERNS
from strutwright.models.checks.geometry import palm as palm_checks
from strutwright.models.geometry.casting import casting_of, least_cast_outside_mm, widest_bore_mm
from strutwright.models.geometry.footprints import fillet_toe_mm
from strutwright.models.metals import metal
from strutwright.models.shop.bolting import way_in_mm
from strutwright.params import tables

if TYPE_CHECKING:
    from strutwright.models.sizing.maker import Maker


_ROUNDING = 0.001
"""How far from its limits a ratio of thickness to chord keeps, so that rounded sizes do not break them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stance:
    """How an arm stands on its palm: lean athwart and slope along (tangents, signed), turn of its foot (radians),
    stretch of its chord on the palm, and how far the feet of two arms on one palm stand from its middle (mm)."""

    lean: float
    turn: float
    slope: float
    stretch: float
    apart_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Root:
    """How far (mm) the fillet or weld at the palm stands out: on the side the arm leans to, the other, and along."""

    low: Num
    high: Num
    along: Num


class Ranges:
    """The sizes of candidates of one choice at places (n, DIMENSIONS) in the unit cube."""

    DIMENSIONS: ClassVar[int] = 11

    def __init__(self, make: Maker, places: Floats) -> None:
        self.make, self.strut, self.limits, self.stance = make, make.strut, make.limits, make.stance
        self.u = [places[:, k] for k in range(places.shape[1])]
        self.out: dict[str, Floats] = {}

    def columns(self) -> dict[str, Floats]:
        """Return the sizes (mm) that are sought, path -> (n,)."""
        wall, length = self.barrel()
        chord, thick, least_thick = self.section(length)
        palm = self.plate()
        root = self.roots(wall, thick, least_thick, palm)
        low, high = self.beside_arm(chord, thick, palm, root)
        self.pattern(low, high, (chord, thick), palm, root)
        return self.out

    def take(self, path: str, found: Callable[[], Num]) -> Floats:
        """Return the size that is known at a path, or what is found for it; kept where it is sought."""
        said, count = self.make.fixed(path), len(self.u[0])
        value = np.full(count, said) if said is not None else np.broadcast_to(found(), (count,)) + 0.0
        if path in self.make.free:
            self.out[path] = value
        return value

    def up(self, value_mm: Num) -> Num:
        return rules.up_mm(value_mm, self.make.step_mm)

    def near(self, value_mm: Num) -> Num:
        return rules.near_mm(value_mm, self.make.step_mm)

    def plates_mm(self) -> Floats:
        system = "inch" if self.make.inch else "metric"
        return np.array([float(r["thickness"]) for r in tables.table("plate").rows if r["system"] == system])

    def plate_under(self, wanted_mm: Num) -> Num:
        """Return the stock plate that is no thicker, or the size itself rounded to whole steps beyond the stock."""
        plates = self.plates_mm()
        at = np.searchsorted(plates, np.asarray(wanted_mm) + 1e-9) - 1
        return np.where((at >= 0) & (wanted_mm <= plates[-1]), plates[np.maximum(at, 0)], self.near(wanted_mm))

    def stock(self, wanted_mm: Num) -> Num:
        """Return the next stock plate, or the size itself rounded up where stock ends."""
        plates = self.plates_mm()
        at = np.searchsorted(plates, np.asarray(wanted_mm) - 1e-9)
        return np.where(at < len(plates), plates[np.minimum(at, len(plates) - 1)], self.up(wanted_mm))

    # --- barrel, arm, plate -----------------------------------------------------------------------------------------

    def barrel(self) -> tuple[Floats, Num]:
        """Return wall and length of the barrel (mm)."""
        strut, d, u = self.strut, self.make.d, self.u
        length: Num = strut.barrel.length_mm
        wall = np.full(len(u[0]), strut.barrel.wall_mm)
        if "barrel.wall" in self.make.free:
            screw = max((s.major_mm for s in strut.set_screws), default=0.0)
            thread = rules.screw_share(metal(strut.material).family, self.limits) / rules.SCREW_SPARE
            least = max(self.limits["barrel_wall"].value * d, thread * screw)
            if strut.construction == "cast":
                at_worst = least_cast_outside_mm(
                    float(widest_bore_mm(strut.barrel)),
                    self.limits["barrel_wall_hard"].value * d,
                    casting_of(strut),
                    self.limits["bore_coaxial_cast"].value,
                )
                least = max(least, (at_worst - strut.barrel.bore_mm) / 2)
            wall = self.take("barrel.wall", lambda: self.up(least * (1.0 + 0.35 * u[0] ** 3)))
        if "barrel.length" in self.make.free:
            length = self.take("barrel.length", lambda: self.up(strut.bearings[0].length_mm + 8.0 * u[1] ** 3))
        return wall, length

    def section(self, barrel_mm: Num) -> tuple[Floats, Floats, Floats]:
        """Return chord and thickness at the palm, and the lesser thickness of both ends (mm)."""
        d, u, ends = self.make.d, self.u, self.strut.barrel
        room = np.maximum(barrel_mm - (ends.aft_end.length_mm + ends.forward_end.length_mm) - 4.0, 1.3 * d)
        widest = np.minimum(4.5 * d, room)
        chord = self.take("arms.section.chord", lambda: self.near(1.1 * d + (widest - 1.1 * d) * u[2]))
        low, high = self.ratio_band()
        ratio = low + (high - low) * u[3]
        most = rules.down_mm(chord * high, self.make.step_mm)
        snap = self.plate_under if self.make.welded else lambda mm: np.minimum(self.near(mm), most)
        thick = self.take("arms.section.thickness", lambda: snap(chord * ratio))
        if self.make.welded:
            return chord, thick, thick
        chord_palm = self.take("arms.section.chord_at_palm", lambda: self.near(chord * (0.9 + 0.6 * u[4])))
        thick_palm = self.take(
            "arms.section.thickness_at_palm",
            lambda: np.minimum(
                self.up(thick * (1.0 + 0.6 * u[5] ** 2)), rules.down_mm(chord_palm * high, self.make.step_mm)
            ),
        )
        return chord_palm, thick_palm, np.minimum(thick, thick_palm)

    def ratio_band(self) -> tuple[float, float]:
        """Return the ratios of thickness to chord that are tried: those usual, within the limits of the check."""
        least, most = (self.limits[f"arm_thickness_ratio_{n}"].value for n in ("least", "most"))
        usual_least, usual_most = (self.limits[f"sought_ratio_{n}"].value for n in ("least", "most"))
        low, high = max(least, min(usual_least, most)), min(most, max(usual_most, least))
        return low + _ROUNDING, max(low, high - _ROUNDING)

    def plate(self) -> Floats:
        """Return the thickness of the palm (mm)."""
        sunk = self.strut.palms[0].bolt.head_depth_mm
        least = max(
            self.limits["palm_thickness"].value * self.make.d,
            self.limits["sought_palm_thickness"].value * self.make.d,
            sunk / self.limits["countersink_share"].value,
            sunk + self.limits["countersink_land"].value,
        )
        snap = self.stock if self.make.welded else self.up
        return self.take("palm.thickness", lambda: snap(least * (1.0 + 1.6 * self.u[6] ** 2)))

    def roots(self, wall: Floats, thick: Floats, least_thick: Floats, palm: Floats) -> _Root:
        """Return how far the root at the palm stands out; weld legs are sought."""
        if self.make.welded:
            root: Num | None = self.make.fixed("welds.arm_to_palm_leg")
            if root is None:
                root = self.leg("arm_to_palm_leg", thick, palm)
                self.leg("arm_to_barrel_leg", thick, wall)
            return _Root(low=root, high=root, along=root)
        root = self.make.fixed("arms.root_fillet.palm")
        if root is None:
            root = rules.fillet_mm(least_thick, palm, self.limits) + 0.5
        square, lean, slope = math.pi / 2, math.atan(abs(self.stance.lean)), math.atan(abs(self.stance.slope))
        low, high, along = (fillet_toe_mm(root, square - a) for a in (lean, -lean, slope))
        return _Root(low=low, high=high, along=along)

    def leg(self, name: str, thick: Floats, other: Floats) -> Floats:
        """Return a weld leg (mm), no less than the thicker part wants."""
        heavy = tables.weld_min_leg_mm(np.maximum(thick, other), inch=self.make.inch)
        least = np.maximum(heavy, rules.leg_share(self.make.choice.prep) * np.minimum(thick, other))
        step = rules.half_step_mm(inch=self.make.inch)
        return self.take(f"welds.{name}", lambda: rules.up_mm(least * (1.0 + 0.6 * self.u[10] ** 2), step))

    # --- palm and bolts ---------------------------------------------------------------------------------------------

    def beside_arm(self, chord: Floats, thick: Floats, palm: Floats, root: _Root) -> tuple[Num, Num]:
        """Return how far athwart (mm) bolts stand from the arm's foot for heads and tools, on the low and high side."""
        lim, lean, bolt = self.limits, self.stance.lean, self.strut.palms[0].bolt
        rim, tool, reach = bolt.rim_mm, bolt.driver_diameter_mm / 2, lim["driver_height"].value
        to_arm = lim["driver_to_arm"].value
        half = thick / 2 * math.sqrt(1 + lean * lean) + chord / 2 * math.tan(self.stance.turn)
        beside = max(rim / 2 + lim["rim_to_root"].value, tool + to_arm) + 0.3
        low = np.maximum(half + root.low + beside, half + reach * abs(lean) + tool + to_arm + 0.3)
        if self.strut.hull.thickness_mm is not None and bolt.head.recess:
            way = way_in_mm(self.strut, self.strut.palms[0], palm)
            low = np.maximum(low, half + way * abs(lean) + rim / 2 * math.sqrt(1 + lean * lean) + to_arm + 0.3)
        high = half + root.high + beside
        if len(self.strut.palms) < len(self.strut.arms):
            low = high = np.maximum(low, high) + self.stance.apart_mm
        return low, high

    def pattern(self, low: Num, high: Num, foot: tuple[Num, Num], palm: Floats, root: _Root) -> None:
        """Bolts and outline: as near round the arm's foot (chord, thickness) as the limits and what is usual let them,
        and wider from there."""
        chord, thick = foot
        u, lim, stance = self.u, self.limits, self.stance
        bolt, bevel = self.strut.palms[0].bolt, self.strut.palms[0].bevel_width_mm
        across, rows = self.bolt_lines(low, high)
        edge = max(palm_checks.edge_rule(self.strut, lim)[1], bolt.rim_mm / 2 + lim["rim_to_edge"].value)
        edge = max(edge + 0.3, bolt.rim_mm / 2 + bevel + lim["rim_to_bevel"].value)
        corners = 2 * (self.make.fixed("palm.outline.corner_radius") or 0.0)
        usual_width = lim["sought_palm_width"].value * thick + 2 * stance.apart_mm
        narrowest = np.maximum(np.maximum(across + 2 * edge * (1.0 + 0.5 * u[9] ** 3), corners), usual_width)
        width = self.take("palm.outline.width", lambda: self.up(narrowest))
        stands = chord * stance.stretch + 2 * root.along + 2 * bevel + 2 * abs(stance.slope) * palm + 1.0
        # Long fore and aft, as the water flows: common practice.
        usual_length = lim["sought_palm_length"].value * chord
        longest = functools.reduce(np.maximum, [rows + 2 * edge, stands, width, usual_length])
        self.take("palm.outline.length", lambda: self.up(longest))
        step = self.make.step_mm
        self.take("palm.outline.corner_radius", lambda: np.minimum(np.floor(edge / step) * step, width / 2))
        single = len(self.strut.palms) == len(self.strut.arms)
        if abs(stance.lean) > 1e-9 and "palm.offset.port" in self.make.free and single:
            shift = -stance.lean * palm - math.copysign(1.0, stance.lean) * (low - high) / 2
            self.out["palm.offset.port"] = np.round(shift / step) * step + np.zeros_like(u[0])

    def bolt_lines(self, low: Num, high: Num) -> tuple[Num, Num]:
        """Return how far apart (mm) the outermost bolts are, across the palm and along it."""
        u, bolt, said = self.u, self.strut.palms[0].bolt, self.make.resolved.of_strut
        pattern, offset = said.bolts.pattern, said.palm.offset
        if not PATTERNS[pattern.kind].pitched:
            holes = self.strut.palms[0].holes
            across = np.full_like(u[7], 2 * max(abs(h.v_mm - offset.port) for h in holes))
            return across, np.full_like(u[8], 2 * max(abs(h.u_mm - offset.forward) for h in holes))
        along, athwart = (max((n or 1) - 1, 0) for n in (pattern.along, pattern.across))
        apart = max(self.least_pitch_mm(), bolt.rim_mm + 1.0)
        seal = max(self.limits["bolt_pitch_sealing"].value * bolt.major_mm, apart)
        beside = (low + high) / max(athwart, 1)
        across = self.take("bolts.pattern.pitch_across", lambda: self.up(beside * (1.0 + 0.7 * u[7] ** 2)))
        rows = self.take("bolts.pattern.pitch_along", lambda: self.up(apart + (seal - apart) * u[8]))
        return athwart * across, along * rows

    def least_pitch_mm(self) -> float:
        most = max(self.limits[name].value for name in palm_checks.pitch_limits(self.strut))
        return most * palm_checks.pitch_of_mm(self.strut) + 0.1
