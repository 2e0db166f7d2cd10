"""The resolved members of a let-in housing: its seats in the structure, collar, locking screws and drawing holes.

Frame as of a strut (`models.spec`): x forward along the shaft from mid-barrel, y to port, z up; clock 0 up, positive
toward port. The outer end is the one it is pushed in from; the mouth is the structure's face there. Stations run from
the aft face of the housing, as those of its barrel. Mirroring negates clock angles.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from strutwright.models.arrays import Num

Hold = Literal["pressed", "bedded", "welded"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
    """A length of the outside inside the structure, and the hole round it. Limits are above the nominal sizes, mm."""

    from_station_mm: float
    to_station_mm: float
    outside_mm: float
    outside_lower_mm: float
    outside_upper_mm: float
    hole_mm: float
    hole_lower_mm: float
    hole_upper_mm: float
    path: str
    """Where the file says its diameter."""

    @property
    def length_mm(self) -> float:
        """Along the axis."""
        return self.to_station_mm - self.from_station_mm

    @property
    def gap_mm(self) -> float:
        """Between the nominal sizes of hole and housing, on the radius."""
        return (self.hole_mm - self.outside_mm) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Structure:
    """What the housing is let into. thickness_mm: athwart, of a skeg or keel; outside_mm: of a tube. above_mm and
    below_mm: to its nearest edges, None where not known. depth_mm: of the hole; open_end: whether the hole goes on
    beyond it."""

    kind: Literal["skeg", "keel", "tube"]
    material: str
    thickness_mm: float | None
    outside_mm: float | None
    above_mm: float | None
    below_mm: float | None
    depth_mm: float
    open_end: bool
    off_line_mm: float
    counterbore_mm: float
    counterbore_depth_mm: float
    water_inside: bool
    isolated: bool

    @property
    def reaches_mm(self) -> tuple[tuple[str, float], ...]:
        """How far it reaches from the shaft line, by where: half its thickness or outside, and to its edges."""
        if self.outside_mm is not None:
            return (("all round", self.outside_mm / 2),)
        found = [("at the sides", 0.0 if self.thickness_mm is None else self.thickness_mm / 2)]
        for where, size in (("above", self.above_mm), ("below", self.below_mm)):
            if size is not None:
                found.append((where, size))
        return tuple(found)

    def reach_at_mm(self, clock_deg: float) -> Num:
        """How far it reaches from the shaft line at a clock angle; infinite toward an edge that is not known."""
        if self.outside_mm is not None:
            return self.outside_mm / 2
        up, side = math.cos(math.radians(clock_deg)), abs(math.sin(math.radians(clock_deg)))
        edge = self.above_mm if up > 0 else self.below_mm
        toward_edge = math.inf if edge is None or abs(up) < 1e-9 else edge / abs(up)
        half = 0.0 if self.thickness_mm is None else self.thickness_mm / 2
        reach: Num = np.minimum(toward_edge, half / side if side > 1e-9 else math.inf)[()]
        return reach


@dataclass(frozen=True, slots=True, kw_only=True)
class Collar:
    """A round flange at the outer end."""

    diameter_mm: float
    thickness_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LockingScrew:
    """One screw from outside, its point so deep (bite_mm) in the housing's outside; width_mm: of its dimple there."""

    number: int
    station_mm: float
    from_mouth_mm: float
    clock_deg: float
    thread: str
    major_mm: float
    pitch_mm: float
    tap_drill_mm: float
    stress_area_mm2: float
    point: Literal["cone", "dog"]
    bite_mm: float
    width_mm: float
    bushed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingHoles:
    """Tapped holes in the outer face, to draw the housing out, or through its collar, to jack it out."""

    way: Literal["draw", "jack"]
    thread: str
    major_mm: float
    pitch_mm: float
    tap_drill_mm: float
    stress_area_mm2: float
    count: int
    circle_mm: float
    depth_mm: float
    """Of full thread."""
    first_clock_deg: float

    @property
    def clocks_deg(self) -> tuple[float, ...]:
        """Their clock angles."""
        return tuple(self.first_clock_deg + 360.0 * k / self.count for k in range(self.count))

    @property
    def drilled_mm(self) -> float:
        """Depth of a blind hole: three pitches beyond the full thread; common practice, no source."""
        return self.depth_mm + 3.0 * self.pitch_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class LetIn:
    """How a housing is let into its structure. seats: the outermost first. entry_mm, entry_deg: chamfer at the inner
    end. weld_leg_mm: at the mouth, and at the inner end where inner_weld says so; 0 without a weld.

    bond_mpa: shear strength of the resin as said; None where it is not. press_n: of the press at hand.
    """

    hold: Hold
    entered_from: Literal["aft", "forward"]
    stands_out_mm: float
    mouth_mm: float
    """Station of the mouth of the hole."""
    inner_mm: float
    """Station of the inner end."""
    seats: tuple[Seat, ...]
    structure: Structure
    collar: Collar | None
    entry_mm: float
    entry_deg: float
    weld_leg_mm: float
    inner_weld: bool
    bored_in_place: bool
    released: bool
    bond_mpa: float | None
    press_n: float | None
    screw_material: str
    locking: tuple[LockingScrew, ...] = ()
    drawing: DrawingHoles | None = None
    hole_class: str = ""
    sleeve_class: str = ""

    @property
    def inward(self) -> float:
        """+1 where inward is forward, -1 where it is aft."""
        return 1.0 if self.entered_from == "aft" else -1.0

    @property
    def let_in_mm(self) -> float:
        """How much of its length is in the structure."""
        return abs(self.inner_mm - self.mouth_mm)

    def mirrored(self) -> LetIn:
        """Return that of the other hand."""
        drawing = self.drawing
        return replace(
            self,
            locking=tuple(replace(s, clock_deg=-s.clock_deg + 0.0) for s in self.locking),
            drawing=None if drawing is None else replace(drawing, first_clock_deg=-drawing.first_clock_deg + 0.0),
        )
