"""How a palm's plane stands to the bore, against the drawing and the mock-up, and whether pressing mends it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from strutwright.models.bench.palm_shape import Shape

Mends = Literal["right", "pressing", "not by pressing"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToBore:
    """The angle of a palm's plane to the bore, degrees, plus where the bore nears it forward.

    measured: of the plane as it lies. pressed: what it will be when the palm is pressed flat, which brings it into the
    plane that it has over the root of the arm; the same where it is not known where the arm stands. drawing, mock_up:
    what it should be; None where that is not known. tolerance: how far it may be off. wedge_mm: what the error that
    stays comes to over the palm's length.
    """

    measured: float
    pressed: float
    drawing: float | None
    mock_up: float | None
    tolerance: float
    wedge_mm: float

    @property
    def wanted(self) -> float | None:
        """What the palm has to fit: the mock-up is the boat, where one was measured; else the drawing."""
        return self.mock_up if self.mock_up is not None else self.drawing

    @property
    def off(self) -> float | None:
        """How far the plane is off as it lies."""
        return None if self.wanted is None else self.measured - self.wanted

    @property
    def mends(self) -> Mends | None:
        """Whether the angle is right, comes right by pressing flat, or stays wrong; None where none is wanted.

        Pressing bends the palm, not the arm: the palm comes into the plane that it has at the arm, no other.
        """
        if self.wanted is None:
            return None
        if abs(self.pressed - self.wanted) > self.tolerance:
            return "not by pressing"
        return "right" if abs(self.measured - self.wanted) <= self.tolerance else "pressing"


def bar_angle_deg(aft_mm: float, forward_mm: float, apart_mm: float) -> float:
    """Return the angle of a test bar to the face over which it stands, degrees: the sine of its fall.

    >>> round(bar_angle_deg(120.0, 89.38, 200.0), 2)  # asin(30.62 / 200)
    8.81
    """
    return math.degrees(math.asin((aft_mm - forward_mm) / apart_mm))


def to_bore(
    measured_deg: float,
    shape: Shape,
    *,
    toes_mm: tuple[float, float] | None,
    drawing_deg: float | None,
    mock_up_deg: float | None,
    tolerance_deg: float,
) -> ToBore:
    """Return how a palm of a shape stands to the bore.

    The angle is measured to the plane as the palm lies, nearest to all of its face; pressed flat it comes into the
    plane over the root of the arm, between toes_mm along. A face that rises forward, toward the hull, goes away from
    the bore there.

    >>> import numpy as np
    >>> from strutwright.models.bench.palm_shape import shape
    >>> grid = np.array([[u, v, 0.01 * u] for u in (-100.0, 0, 100) for v in (-50.0, 0, 50)])
    >>> flat = shape(grid, (200.0, 100.0))
    >>> found = to_bore(9.5, flat, toes_mm=(-40, 40), drawing_deg=9.0, mock_up_deg=None, tolerance_deg=0.25)
    >>> found.mends, round(found.wedge_mm, 2)  # a flat palm: no pressing turns it; 200 x tan(0.5 degrees)
    ('not by pressing', 1.75)
    """
    pressed = measured_deg
    if toes_mm is not None:
        aft, forward = shape.profile_mm(0, toes_mm)
        at_root = (forward - aft) / (toes_mm[1] - toes_mm[0])
        pressed -= math.degrees(math.atan(at_root) - math.atan(shape.plane_mm[0]))
    wanted = mock_up_deg if mock_up_deg is not None else drawing_deg
    off = 0.0 if wanted is None else pressed - wanted
    return ToBore(
        measured=measured_deg,
        pressed=pressed,
        drawing=drawing_deg,
        mock_up=mock_up_deg,
        tolerance=tolerance_deg,
        wedge_mm=shape.size_mm[0] * math.tan(math.radians(abs(off))),
    )
