"""The one 2-D shape of the project: a chain of straight lines and circular arcs. Lengths mm, angles radians."""

from strutwright.models.outline.across import width_at_mm
from strutwright.models.outline.chain import Box, Moments, Outline
from strutwright.models.outline.fit import fit_arcs
from strutwright.models.outline.kinds import OUTLINES, SIZES, OutlineKind, box, draw
from strutwright.models.outline.makers import circle, diameter_mm, join, oval, polygon, rectangle, stadium, tapered
from strutwright.models.outline.places import nearest_on, outermost
from strutwright.models.outline.segments import FIT_TOL_MM, Floats, OutlineError, Segments

__all__ = [
    "FIT_TOL_MM",
    "OUTLINES",
    "SIZES",
    "Box",
    "Floats",
    "Moments",
    "Outline",
    "OutlineError",
    "OutlineKind",
    "Segments",
    "box",
    "circle",
    "diameter_mm",
    "draw",
    "fit_arcs",
    "join",
    "nearest_on",
    "outermost",
    "oval",
    "polygon",
    "rectangle",
    "stadium",
    "tapered",
    "width_at_mm",
]
