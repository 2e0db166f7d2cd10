"""The resolved members of a flanged housing: the flange, its fasteners, the spigot ahead of it, ribs and gasket.

Frame as of a strut (`models.spec`): x forward along the shaft from mid-barrel, y to port, z square to the shaft in the
vertical plane through it, up. Flange axes: u up in the bedding face, v athwart, n toward the base; v is to starboard
where the face looks forward, to port where it looks aft. Mirroring negates y, v and the turn.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from strutwright.models.spec import Plate

Looks = Literal["forward", "aft"]
Fastener = Literal["through_bolt", "stud", "lag_screw"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlangePlane:
    """The bedding face. station_mm: where it meets the shaft line, from the barrel's aft face. lean_deg: off square to
    the shaft in profile, positive with the upper edge aft; turn_deg: in plan, positive with the port edge aft."""

    station_mm: float
    lean_deg: float
    turn_deg: float
    looks: Looks

    @property
    def square(self) -> bool:
        """Whether it stands square to the shaft."""
        return self.lean_deg == 0.0 and self.turn_deg == 0.0

    def mirrored(self) -> FlangePlane:
        """Return the plane of the other hand."""
        return replace(self, turn_deg=-self.turn_deg + 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spigot:
    """A tube along the shaft line beyond the bedding face, into the bore of the base or for a hose.

    length_mm: from where the bedding face meets the shaft line. barbs: rings that keep a hose on, of barb_height_mm
    over the outside, or none; seats: places for clamps.
    """

    use: Literal["base_bore", "hose"]
    outside_mm: float
    bore_mm: float
    length_mm: float
    barbs: int = 0
    barb_height_mm: float = 0.0
    hose_mm: float | None = None
    """Inside diameter of the hose."""
    clamp_width_mm: float = 0.0
    clamps: int = 0

    @property
    def wall_mm(self) -> float:
        """Its wall."""
        return (self.outside_mm - self.bore_mm) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Ribs:
    """Plates between barrel and flange, equally spaced round the barrel from first_clock_deg.

    along_mm: from the flange's free face along the barrel; out_mm: from the barrel's outside along the flange.
    """

    count: int
    thickness_mm: float
    along_mm: float
    out_mm: float
    first_clock_deg: float

    @property
    def clocks_deg(self) -> tuple[float, ...]:
        """Their clock angles."""
        return tuple(self.first_clock_deg + 360.0 * k / self.count for k in range(self.count))


@dataclass(frozen=True, slots=True, kw_only=True)
class Gasket:
    """What seals the bedding face: its thickness as fitted, and the recess for it, a round one about the shaft line."""

    thickness_mm: float
    recess_mm: float
    recess_depth_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Base:
    """What the flange is bolted to. bore_mm: of the hole in it, for spigot or shaft; thickness_mm: in the fasteners'
    way, None where the file does not say. density_kg_m3: of timber, None for other materials."""

    material: str
    bore_mm: float
    thickness_mm: float | None
    density_kg_m3: float | None
    grain: Literal["across", "along"]
    water_inside: bool = False
    isolated: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Flange(Plate):
    """The flange of a housing. root_mm: fillet radius (cast) or weld leg (welded) between barrel and its free face."""

    plane: FlangePlane
    root_mm: float
    base: Base
    fastener: Fastener
    engaged_mm: float | None = None
    """Length of thread in the base, of a stud or a lag screw."""
    spigot: Spigot | None = None
    ribs: Ribs | None = None
    gasket: Gasket | None = None

    def mirrored(self) -> Flange:
        """Return the flange of the other hand."""
        ribs = self.ribs
        return replace(
            self,
            plane=self.plane.mirrored(),
            outline=self.outline.mirror("x"),
            holes=tuple(replace(h, v_mm=-h.v_mm + 0.0) for h in self.holes),
            ribs=None if ribs is None else replace(ribs, first_clock_deg=-ribs.first_clock_deg + 0.0),
        )
