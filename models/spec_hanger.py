"""What a hanger has beside barrel, web and foot: its split with cap, bolts, dowels and shims, and what lies under the
foot. Its web stands as the one arm of a strut, its foot as the palm.

Frame: x forward along the shaft, z from the shaft line toward the foot, y to the left seen from aft with the foot up:
port of a hanger whose foot lies above. Lengths are mm, angles degrees.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

Stands = Literal["above", "below", "port", "starboard"]
_OTHER: dict[Stands, Stands] = {"above": "above", "below": "below", "port": "starboard", "starboard": "port"}
DOWN_CLOCK_DEG: dict[Stands, float] = {"above": 180.0, "below": 0.0, "port": 90.0, "starboard": -90.0}
"""The clock angle of straight down, by where the foot lies."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CapBolt:
    """A bolt of the cap. out_mm: from the shaft line; stations_mm: of those on one side, from the barrel's aft face.
    engaged_mm: thread in the body, None of a through bolt."""

    size: str
    major_mm: float
    pitch_mm: float
    tap_drill_mm: float
    stress_mm2: float
    hole_mm: float
    head_mm: float
    out_mm: float
    stations_mm: tuple[float, ...]
    engaged_mm: float | None

    @property
    def count(self) -> int:
        """How many hold the cap."""
        return 2 * len(self.stations_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dowels:
    """Dowels of the cap, on both sides of the bore. into_mm: in either part."""

    diameter_mm: float
    out_mm: float
    stations_mm: tuple[float, ...]
    into_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SplitShims:
    """Shims on each side between cap and body."""

    count: int
    thickness_mm: float
    material: str
    taken_out: int

    @property
    def bored_mm(self) -> float:
        """How far cap and body are apart when the bore is machined."""
        return self.count * self.thickness_mm

    @property
    def nip_mm(self) -> float:
        """By how much the bore is closed across the split by those that are left out."""
        return self.taken_out * self.thickness_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Cap:
    """The cap. clock_deg: of its middle; the split lies square to that, through the shaft line. ear_out_mm: from the
    shaft line; ear_thickness_mm: of each ear from the split's middle."""

    clock_deg: float
    ear_out_mm: float
    ear_thickness_mm: float
    ear_from_mm: float
    ear_to_mm: float
    """Stations of the ears' faces."""
    bolt: CapBolt
    dowels: Dowels | None
    shims: SplitShims | None

    @property
    def gap_mm(self) -> float:
        """Between cap and body as machined."""
        return 0.0 if self.shims is None else self.shims.bored_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class UnderFoot:
    """Shims or chock under the foot; reach_mm: what they have to cover, by the places of bed, bore and line."""

    kind: Literal["none", "shims", "resin"]
    thickness_mm: float
    least_mm: float
    most_mm: float
    bed_within_mm: float
    bore_within_mm: float
    line_within_mm: float

    @property
    def reach_mm(self) -> float:
        """What has to be made up each way, every part at its worst."""
        return self.bed_within_mm + self.bore_within_mm + self.line_within_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Hanger:
    """A hanger's own members. height_mm: shaft line over the bedding face, square to it, at mid-barrel."""

    stands: Stands
    height_mm: float
    turned_deg: float
    aft_span_mm: float
    water: Literal["around", "fed", "none"]
    cap: Cap | None
    under: UnderFoot

    @property
    def down_deg(self) -> float:
        """The clock angle of straight down."""
        return DOWN_CLOCK_DEG[self.stands]

    def mirrored(self) -> Hanger:
        """Return the members of the other hand."""
        cap = self.cap
        turned = None if cap is None else replace(cap, clock_deg=-cap.clock_deg + 0.0)
        return replace(self, stands=_OTHER[self.stands], turned_deg=-self.turned_deg + 0.0, cap=turned)
