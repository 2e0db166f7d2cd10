"""The kinds of pattern in which bolts of a palm or flange stand: what each needs, and where holes lie. A row each."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple, TypeAlias

import numpy as np

from strutwright.models.arrays import Floats
from strutwright.models.outline import Outline

Said: TypeAlias = Any
"""Anything with the sizes of a pattern by name, mm, as the group of the parameter file has them."""


class PatternKind(NamedTuple):
    """One kind. needs: names of the values that it must have; lay(said, outline about its own middle): the hole
    centres (n, 2), mm, raises OutlineError; centred: they are laid from the middle of the outline, else from the palm
    zero; pitched: rows and columns, whose pitches can be varied; along_edge: they follow the outline.
    """

    needs: tuple[str, ...]
    lay: Callable[[Said, Outline], Floats]
    centred: bool = True
    pitched: bool = False
    along_edge: bool = False


def _grid(said: Said, shape: Outline) -> Floats:
    us = (np.arange(said.along) - (said.along - 1) / 2) * (said.pitch_along or 0.0)
    vs = (np.arange(said.across) - (said.across - 1) / 2) * (said.pitch_across or 0.0)
    return np.stack(np.meshgrid(us, vs, indexing="ij"), axis=-1).reshape(-1, 2)


def _frame(said: Said, shape: Outline) -> Floats:
    """A grid without the holes inside it, which would come under an arm."""
    holes = _grid(said, shape).reshape(said.along, said.across, 2)
    outer = np.ones((said.along, said.across), dtype=bool)
    outer[1:-1, 1:-1] = False
    return holes[outer]


def _circle(said: Said, shape: Outline) -> Floats:
    """Equally spaced about the shaft line, clock angles from up toward port."""
    first = 180.0 / said.count if said.first is None else said.first
    clock = np.radians(first + 360.0 / said.count * np.arange(said.count))
    at: Floats = said.diameter / 2 * np.column_stack([np.cos(clock), np.sin(clock)])
    return at


def _edge(said: Said, shape: Outline) -> Floats:
    """At equal pitch on a line inside the outline, half a pitch either side of its foremost point."""
    inner = shape.inset(said.edge_distance)
    pitch = inner.perimeter_mm() / said.count
    xy, _ = inner.points_at(_along_at_forward_middle(inner) + pitch / 2 + pitch * np.arange(said.count))
    return xy


def _along_at_forward_middle(shape: Outline) -> float:
    """The distance along an outline (mm, from its first vertex) of its foremost crossing of the u axis."""
    samples = np.linspace(0.0, shape.perimeter_mm(), 4001)[:-1]
    xy, _ = shape.points_at(samples)
    crossing = np.nonzero((xy[:, 1] <= 0) & (np.roll(xy[:, 1], -1) > 0) & (xy[:, 0] > 0))[0]
    if len(crossing) == 0:
        return 0.0
    k = int(crossing[np.argmax(xy[crossing, 0])])
    low, high = float(samples[k]), float(samples[k] + shape.perimeter_mm() / 4000)
    for _ in range(60):
        mid = (low + high) / 2
        if shape.points_at(np.array([mid]))[0][0, 1] <= 0:
            low = mid
        else:
            high = mid
    return low


PATTERNS = {
    "grid": PatternKind(("along", "across", "pitch_along", "pitch_across"), _grid, pitched=True),
    "frame": PatternKind(("along", "across", "pitch_along", "pitch_across"), _frame, pitched=True),
    "edge": PatternKind(("count", "edge_distance"), _edge, along_edge=True),
    "points": PatternKind(("points",), lambda said, _: np.array([p.uv for p in said.points]), False),
    "circle": PatternKind(("count", "diameter"), _circle, False),
}
"""Every kind by its name in the parameter file."""
NEEDED = tuple(dict.fromkeys(name for kind in PATTERNS.values() for name in kind.needs))
"""Names of all values that some kind of pattern needs."""
