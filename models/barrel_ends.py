"""The kinds of end that a barrel may have: how each is faired, and what can be built. One class each."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models import rules
from strutwright.models.arrays import Num, Truth

LEAD_IN_SHARE = 0.6
"""A chamfer at the mouth of the bore takes at most so much of the wall."""


class EndKind:
    """A straight end, and what any other says otherwise. Lengths mm; drop_mm: of the radius from the outside to the
    face; inset_mm: from the face inward.

    share: usual length of the fairing over the outside diameter, 0 where there is none.
    """

    share = 0.0

    @property
    def faired(self) -> bool:
        """Whether it is narrower at the face."""
        return self.share > 0.0

    def length_mm(self, outside_mm: Num, step_mm: float) -> Num:
        """Return the usual length (mm) of the fairing.

        >>> ENDS["tapered"].length_mm(68.0, 1.0)  # 0.4 x 68 = 27.2
        27.0
        """
        return rules.near_mm(self.share * outside_mm, step_mm) if self.faired else 0.0

    def face_mm(self, bore_mm: Num, outside_mm: Num, length_mm: Num) -> Num:
        """Return the usual diameter (mm) at the face: it leaves a third to half of the wall.

        >>> round(ENDS["tapered"].face_mm(50.0, 68.0, 27.0), 3)  # a wall of 9: 50 + 2 x 0.35 x 9
        56.3
        """
        return outside_mm

    def between(self, bore_mm: Num, outside_mm: Num, face_mm: Num) -> Truth:
        """Return whether a diameter at the face lies between bore and outside.

        >>> bool(ENDS["tapered"].between(50.0, 68.0, 50.0))
        False
        """
        return np.logical_and(np.less(bore_mm, face_mm), np.less_equal(face_mm, outside_mm))[()]

    def least_length_mm(self, drop_mm: Num) -> Num:
        """Return the least length (mm) in which it drops so far.

        >>> ENDS["rounded"].least_length_mm(8.0), ENDS["tapered"].least_length_mm(8.0)
        (8.0, 0.0)
        """
        return 0.0

    def long_enough(self, length_mm: Num, drop_mm: Num) -> Truth:
        """Return whether a fairing can be made.

        >>> bool(ENDS["rounded"].long_enough(7.0, 8.0))
        False
        """
        return np.greater_equal(length_mm, self.least_length_mm(drop_mm) - 1e-9)[()]

    def lost_mm(self, length_mm: Num, drop_mm: Num, inset_mm: Num) -> Num:
        """Return how far (mm) the end lies inside the full radius. 0 inward of the fairing; past the face the drop goes
        on.

        >>> float(ENDS["tapered"].lost_mm(20.0, 5.0, 10.0))  # halfway along
        2.5
        """
        return 0.0

    def bend_mm(self, length_mm: Num, drop_mm: Num) -> Num | None:
        """Return the radius (mm) of its bend, None where it has none.

        >>> float(ENDS["rounded"].bend_mm(10.0, 10.0))  # a quarter of a circle
        10.0
        """
        return None

    def bulge(self, length_mm: float, drop_mm: float) -> float:
        """Return how far it bulges out of its chord, as the outlines have it: tangent of a quarter of its turn.

        >>> ENDS["rounded"].bulge(10.0, 10.0) == math.tan(math.pi / 8)
        True
        """
        return 0.0


class Tapered(EndKind):
    """A cone."""

    share = 0.4

    def face_mm(self, bore_mm: Num, outside_mm: Num, length_mm: Num) -> Num:
        """Return the usual diameter (mm) at the face."""
        wall = (outside_mm - bore_mm) / 2
        return rules.as_given(bore_mm + 2 * np.maximum(0.35 * wall, np.minimum(3.0, 0.8 * wall)))

    def lost_mm(self, length_mm: Num, drop_mm: Num, inset_mm: Num) -> Num:
        """Return how far (mm) it lies inside the full radius."""
        left = np.clip(length_mm - inset_mm, 0.0, length_mm)
        return drop_mm * left / np.where(np.asarray(length_mm) > 0, length_mm, 1.0)


class Rounded(EndKind):
    """A circular arc from the face to the outside, tangent to the outside."""

    share = 0.15

    def face_mm(self, bore_mm: Num, outside_mm: Num, length_mm: Num) -> Num:
        """Return the usual diameter (mm) at the face."""
        return rules.as_given(outside_mm - 2 * np.minimum(length_mm, 0.5 * ((outside_mm - bore_mm) / 2)))

    def least_length_mm(self, drop_mm: Num) -> Num:
        """Return the least length (mm) in which it drops so far: a quarter of a circle."""
        return drop_mm

    def lost_mm(self, length_mm: Num, drop_mm: Num, inset_mm: Num) -> Num:
        """Return how far (mm) it lies inside the full radius."""
        left = np.clip(length_mm - inset_mm, 0.0, length_mm)
        bend = self.bend_mm(length_mm, drop_mm)
        return np.where(np.asarray(drop_mm) > 0, bend - np.sqrt(np.maximum(bend**2 - left**2, 0.0)), 0.0)[()]

    def bend_mm(self, length_mm: Num, drop_mm: Num) -> Num:
        """Return the radius (mm) of the arc."""
        return (length_mm**2 + drop_mm**2) / np.maximum(2.0 * drop_mm, 1e-9)

    def bulge(self, length_mm: float, drop_mm: float) -> float:
        """Return its bulge: the chord makes half the arc's turn with the tangent at its inner end."""
        return math.tan(math.atan2(drop_mm, length_mm) / 2)


ENDS: dict[str, EndKind] = {"straight": EndKind(), "tapered": Tapered(), "rounded": Rounded()}
"""Every kind by its name in the parameter file."""


def lead_in_fits(length_mm: float, angle_deg: float, bore_mm: Num, outside_mm: Num) -> Truth:
    """Return whether a chamfer at the mouth of the bore leaves enough of the wall.

    >>> bool(lead_in_fits(6.0, 45.0, 50.0, 68.0))  # of a wall of 9
    False
    """
    cut = length_mm * math.tan(math.radians(angle_deg))
    return np.less_equal(cut, LEAD_IN_SHARE * ((outside_mm - bore_mm) / 2))[()]
