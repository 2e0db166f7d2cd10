"""The numbers of the two castings of a split hanger: body and cap, each with stock on its face of the split.

Both are moulded with a core that fills half the bore and stands out of the split: round toward the metal, with straight
sides from the shaft line to a flat beyond the face of the split, so that one box makes the cores of both. The body is
parted as other patterns are; the cap lies on a flat joint in its face of the split and is drawn away from it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strutwright.models import frames
from strutwright.models.frames import Axes, Vector
from strutwright.models.geometry.casting import casting_of
from strutwright.models.shop import foundry
from strutwright.models.shop.foundry import FoundrySpec
from strutwright.models.spec import Strut
from strutwright.models.spec_hanger import Cap

ALONG_DEG = 3.0  # a face within this of the pull gets draft


@dataclass(frozen=True, slots=True, kw_only=True)
class SplitCasting:
    """What the two castings have at the split. toward: unit vector (3,) to the cap's middle, across: square to it and
    to the shaft. stock_mm: on the body's face at its edge. rough_mm: how far that face lies beyond the shaft line as
    cast. open_mm: the same of the core's flat, and of the cap's face as cast. lean_deg: draft of the body's ears and of
    its face of the split, by what of them stands out of the barrel."""

    cap: Cap
    toward: Vector
    across: Vector
    stock_mm: float
    rough_mm: float
    open_mm: float
    lean_deg: float

    def axes(self, x_mm: float, way: float) -> Axes:
        """Return axes at a place of the shaft line: u forward, n to the middle of the cap (way 1) or of the body (-1).

        >>> found = split_casting(shipped("tunnel-hanger"), foundry.foundry_settings(resolved("tunnel-hanger")))
        >>> (found.axes(0.0, -1.0).n.round(6) + 0.0).tolist()  # the foot lies above
        [0.0, 0.0, 1.0]
        """
        n = way * self.toward
        return Axes(np.array([x_mm, 0.0, 0.0]), np.array([1.0, 0.0, 0.0]), np.cross(n, [1.0, 0.0, 0.0]), n)

    @property
    def cap_stock_mm(self) -> float:
        """Stock on the cap's face of the split."""
        return self.open_mm + self.cap.gap_mm / 2


def split_casting(strut: Strut, spec: FoundrySpec) -> SplitCasting | None:
    """Return what the castings of a split hanger have at the split; None of every other part.

    The stock is of ISO 8062, from the outer face of the ear, which stays as cast. Where the face lies along the pull
    its draft comes on top toward the joint.

    >>> one = resolved("tunnel-hanger")
    >>> found = split_casting(one.strut, foundry.foundry_settings(one))
    >>> found.stock_mm, round(found.rough_mm, 2)  # less half of three shims of 0.1
    (5.0, 4.85)
    """
    cap = None if strut.hanger is None else strut.hanger.cap
    if cap is None:
        return None
    deep = cap.ear_thickness_mm - cap.gap_mm / 2
    stock = foundry.stock_mm(deep, spec.largest_mm, casting_of(strut), faces=1)
    rough, toward = stock - cap.gap_mm / 2, frames.radial(cap.clock_deg)
    pull = foundry.parting_axes(strut, spec.parting).n
    out = max(cap.ear_out_mm, strut.barrel.outside_mm / 2)
    leans = along_pull(toward, pull) and not spec.draft.none
    lean = spec.draft.at(max(out - strut.barrel.outside_mm / 2, 1.0))
    more = foundry.draft_offset_mm(out, lean) if leans else 0.0
    return SplitCasting(
        cap=cap,
        toward=toward,
        across=np.cross(toward, [1.0, 0.0, 0.0]),
        stock_mm=stock,
        rough_mm=rough,
        open_mm=rough + more,
        lean_deg=lean,
    )


def along_pull(normal: Vector, pull: Vector) -> bool:
    """Return whether a face lies along the pull, so that it wants draft. normal, pull: unit vectors (3,).

    >>> along_pull(frames.radial(90.0), frames.radial(0.0)), along_pull(frames.radial(0.0), frames.radial(0.0))
    (True, False)
    """
    return abs(float(normal @ pull)) < math.sin(math.radians(ALONG_DEG))


def ear_face_mm(strut: Strut, spec: FoundrySpec) -> tuple[float, float]:
    """Return x of the ears' two ends as cast, at their edge: with the stock of the barrel's faces where they end there.

    >>> one = resolved("tunnel-hanger")  # ears as long as the barrel of 124
    >>> spec = foundry.foundry_settings(one)
    >>> ear_face_mm(one.strut, spec)[1] - spec.stock_ends_mm
    62.0
    """
    cap, b = strut.hanger.cap if strut.hanger is not None else None, strut.barrel
    assert cap is not None
    aft = b.x(cap.ear_from_mm) - (spec.stock_ends_mm if cap.ear_from_mm < 1e-6 else 0.0)
    fore = b.x(cap.ear_to_mm) + (spec.stock_ends_mm if cap.ear_to_mm > b.length_mm - 1e-6 else 0.0)
    return aft, fore
