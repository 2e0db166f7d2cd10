"""Sections with thin edges, which are rounded a little: two arcs all along, a foil and a plate at the trailing edge."""

from __future__ import annotations

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.sections.kind import Edges, SectionKind
from strutwright.params.words import say

MAX_EDGE_RADIUS = 0.1  # of the thickness
USUAL_EDGE_MM = 2.0  # as a casting or a ground plate has them; common practice, no source


class ThinEdged(SectionKind):
    """A section with thin edges; its strength is that with sharp ones, which it holds."""

    edges = Edges(
        MAX_EDGE_RADIUS,
        0.0,
        "a tenth of the thickness",
        say("a tenth of the thickness, at most {2 mm}; common practice"),
    )
    thin_edges = True

    def usual_edge_mm(self, thinnest_mm: Num) -> Num:
        """Return a tenth of the least thickness (mm), at most USUAL_EDGE_MM."""
        return np.minimum(USUAL_EDGE_MM, MAX_EDGE_RADIUS * thinnest_mm)

    def edge_at(self, edge_mm: Num, thinnest_mm: Num, thickness_mm: Num) -> Num:
        """Return one radius (mm) all along, which fits where the arm is thinnest."""
        given = np.where(np.asarray(edge_mm) > 0.0, edge_mm, self.usual_edge_mm(thinnest_mm))
        return np.minimum(given, MAX_EDGE_RADIUS * thinnest_mm)[()]
