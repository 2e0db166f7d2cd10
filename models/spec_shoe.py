"""The resolved members of a rudder shoe beyond boss and plate: the keel over it, the rudder in it, the jumping stop.

A shoe stands in the frame of a strut with the rudder stock in the shaft's place: x down along the stock from the
middle of the boss, y to port, z square to the stock, forward. So the barrel is the boss, its aft face the upper one;
clock 0 is forward, positive toward port; the flange is the plate, its bedding face the upper one, u forward and v to
port in it. Mirroring negates y, v and the cant.
"""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True, kw_only=True)
class Shoe:
    """What a shoe holds and is held by. keel_end_mm: from the stock's axis forward to the keel's after end, in the
    plate's upper face; rake_deg, cant_deg: lean of the stock from square to that face, upper end aft and to port
    positive; entry_mm: how far the stock goes down into the boss, from its upper face. None: the file does not say."""

    keel_end_mm: float
    keel_width_mm: float | None
    rake_deg: float
    cant_deg: float
    entry_mm: float
    rudder_height_mm: float | None = None
    rudder_kg: float | None = None
    foot_gap_mm: float | None = None
    """From the rudder's lower edge to the boss below it."""
    jump_mm: float | None = None
    """How far the rudder can be lifted before its stop holds it; None without a stop."""
    displacement_kg: float | None = None

    def mirrored(self) -> Shoe:
        """Return that of the other hand."""
        return replace(self, cant_deg=-self.cant_deg + 0.0)
