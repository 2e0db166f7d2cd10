"""The rules for how far bolts stand from an edge and from each other: which limits each has, and of what diameter."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from strutwright.params import tables
from strutwright.params.limits import Limits


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeRule:
    """One rule. called: its name in words.

    edge, along, across: its limits for hole centre to edge and for pitches along and across the palm, as
    multiples of the hole's diameter where `of_hole`, else of the bolt's. edge_small: the limit for bolts smaller than
    the table of edge distances begins, "" where the rule has no such table."""

    called: str
    edge: str
    along: str
    across: str
    of_hole: bool = False
    edge_small: str = ""

    def of_mm(self, major_mm: float, hole_mm: float) -> float:
        """Return the diameter (mm) that its limits are multiples of."""
        return hole_mm if self.of_hole else major_mm

    def edge_mm(self, size: str, major_mm: float, hole_mm: float, limits: Limits) -> tuple[str, float]:
        """Return the limit's name and the least distance (mm) from hole centre to edge."""
        large = limits[self.edge]
        by_limit = large.value * self.of_mm(major_mm, hole_mm)
        if not self.edge_small:
            return self.edge, by_limit
        rows = [
            (r["diameter"], r["edge"])
            for r in tables.table("edge_distance").rows
            if str(r["size"]).startswith("M") == size.upper().startswith("M")
        ]
        if major_mm < min(d for d, _ in rows) - 1e-6:
            return self.edge_small, limits[self.edge_small].value * major_mm
        # A shop's own figure counts for all sizes; else between two rows of the table the larger bolt's distance is
        # safe.
        by_table = (e for d, e in sorted(rows) if d >= major_mm - 1e-6 and not large.own)
        return self.edge, next(by_table, by_limit)


EDGE_RULES: Mapping[str, EdgeRule] = {
    "practice": EdgeRule(
        called="practice", edge="bolt_edge_practice", along="bolt_pitch_practice", across="bolt_pitch_practice"
    ),
    "aisc": EdgeRule(
        called="AISC 360",
        edge="bolt_edge_aisc_large",
        along="bolt_pitch_aisc",
        across="bolt_pitch_aisc",
        edge_small="bolt_edge_aisc_small",
    ),
    "ec3": EdgeRule(
        called="EN 1993-1-8",
        edge="bolt_edge_ec3",
        along="bolt_pitch_ec3_along",
        across="bolt_pitch_ec3_across",
        of_hole=True,
    ),
    "light_craft": EdgeRule(
        called="engine seats of light craft",
        edge="bolt_edge_light_craft",
        along="bolt_pitch_light_craft",
        across="bolt_pitch_light_craft",
    ),
    "aerospace": EdgeRule(
        called="aerospace", edge="bolt_edge_aerospace", along="bolt_pitch_aerospace", across="bolt_pitch_aerospace"
    ),
}
"""By the name that `bolts.edge_rule` has."""
BESIDE = ("practice", "ec3", "aisc")
"""The rules of which a palm is told beside the one that it is held to."""
