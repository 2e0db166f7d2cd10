"""The kinds of outline that a palm or a flange may have: what each needs, and how it is drawn. One row each."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any, NamedTuple, TypeAlias

from strutwright.models.outline.chain import Outline
from strutwright.models.outline.makers import circle, oval, polygon, rectangle, stadium, tapered

Sizes: TypeAlias = Any
"""Anything with the sizes of an outline by name, mm, as the group of the parameter file has them."""


class OutlineKind(NamedTuple):
    """One kind. needs: names of the sizes that it must have; make: draws it; boxed: it is a rectangle with corners of
    one radius, so that a batch can be looked at as one; full_round: that radius is half the width; round: it is
    a circle.
    """

    needs: tuple[str, ...]
    make: Callable[[Sizes], Outline]
    boxed: bool = False
    full_round: bool = False
    round: bool = False

    @property
    def sought(self) -> tuple[str, ...]:
        """Names of the sizes that may be varied with the outline still boxed."""
        return (*self.needs, *(() if self.full_round else ("corner_radius",))) if self.boxed else ()


OUTLINES = {
    "round": OutlineKind(("diameter",), lambda a: circle(a.diameter), round=True),
    "rectangle": OutlineKind(("length", "width"), lambda a: rectangle(a.length, a.width, a.corner_radius), boxed=True),
    "round_ended": OutlineKind(("length", "width"), lambda a: stadium(a.length, a.width), boxed=True, full_round=True),
    "oval": OutlineKind(("length", "width"), lambda a: oval(a.length, a.width)),
    "tapered": OutlineKind(
        ("length", "width_forward", "width_aft"),
        lambda a: tapered(a.length, a.width_forward, a.width_aft, a.corner_radius),
    ),
    "polygon": OutlineKind(("points",), lambda a: polygon([p.uv for p in a.points], a.corner_radius)),
}
SIZES = tuple(dict.fromkeys(name for kind in OUTLINES.values() for name in kind.needs))
"""Names of all sizes that some kind of outline needs."""


def box(length_mm: float, width_mm: float, radius_mm: float) -> Outline:
    """Return the outline of the boxed kind that has corners of a radius. Raises OutlineError.

    >>> len(box(100.0, 40.0, 20.0).vertices), len(box(100.0, 40.0, 10.0).vertices)  # round-ended; a rectangle
    (4, 8)
    """
    full = 2 * radius_mm >= width_mm * (1 - 1e-9) and length_mm >= width_mm
    kind = next(k for k in OUTLINES.values() if k.boxed and k.full_round == full)
    radius = min(radius_mm, width_mm / 2, length_mm / 2)
    return kind.make(SimpleNamespace(length=length_mm, width=width_mm, corner_radius=radius))


def draw(shape: str, sizes: Sizes) -> Outline:
    """Return the outline of a kind about its own middle, checked, counter-clockwise. Raises OutlineError.

    >>> from types import SimpleNamespace
    >>> draw("round_ended", SimpleNamespace(length=100.0, width=40.0)).bounding_box().xmax
    50.0
    """
    return OUTLINES[shape].make(sizes).validate().normalised()
