"""What a palm that welding curls asks of a press, and how much thicker its plate is bought where no press will do."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strutwright.models.formulas import flattening
from strutwright.models.geometry.solve import bisect
from strutwright.models.metals import metal
from strutwright.models.shop import development as dev
from strutwright.models.shop import sides
from strutwright.models.spec import Arm, Palm, Strut
from strutwright.params.limits import Limit, Limits
from strutwright.params.quantity import FORCE

PULLING = frozenset({"stainless", "duplex", "bronze"})
"""Metals that curl more than mild steel."""
COLD = {"stainless": "press_strain", "steel": "press_strain", "duplex": "press_strain_duplex"}
"""Limit of the cold surface strain by family. Families not listed take little or none: cast tin bronze not at all,
aluminium cracks at the toe of the weld."""
SHORT_TON_N = 2000 * FORCE.factors["lbf"]
_PRESSES_N = (100e3, 200e3, 500e3, 1000e3)
_PRESSES_SHORT_TONS = (10, 20, 50, 100)


def presses_n(*, inch: bool) -> list[float]:
    """Return the presses that shops have, N: rounded in kN, or in short tons of 2000 lbf where they work in inches.

    >>> presses_n(inch=False)[0], round(presses_n(inch=True)[0])  # 100 kN, 10 tons of 2000 lbf
    (100000.0, 88964)
    """
    return [n * SHORT_TON_N for n in _PRESSES_SHORT_TONS] if inch else list(_PRESSES_N)


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """What a curled palm asks of a press, mm and N, for one arm's line on it.

    width_mm: of the palm this arm's weld curls. rows_mm: v of the two supports, port first. at_mm: v of the arm's line.
    shared: whether another arm's weld curls the rest. curl_mm: rise of the edges over the width. set_mm: its share over
    the span, which the press has to bend back. limits: those of the job.
    """

    palm: Palm
    arm: Arm
    length_mm: float
    width_mm: float
    shared: bool
    rows_mm: tuple[float, float]
    at_mm: float
    curl_mm: float
    set_mm: float
    family: str
    yield_mpa: float
    modulus_mpa: float
    limits: Limits

    def limit(self, name: str) -> float:
        """Return the value of a limit."""
        return self.limits[name].value

    @property
    def span_mm(self) -> float:
        """Distance of the two supports."""
        return self.rows_mm[0] - self.rows_mm[1]

    @property
    def bar_mm(self) -> float:
        """Breadth of each support."""
        return _bar_mm(self.width_mm, self.palm)

    @property
    def least_strip_mm(self) -> float:
        """The shortest strip worth pressing: the metal beside it is carried along, and the bar dents a shorter one."""
        return min(self.limit("press_strip") * self.palm.thickness_mm, self.length_mm)

    @property
    def press_needed_n(self) -> float:
        """The least press (N) that bends the shortest strip at the yield the plate may have, the usual share of it
        used."""
        force = flattening.plastic_force_n(
            self.limit("press_yield") * self.yield_mpa, self.least_strip_mm, self.palm.thickness_mm, self.span_mm
        )
        return float(force) / self.limit("press_share")

    @property
    def judged(self) -> bool:
        """Whether there is a set to bend back, and a yield to work it out with."""
        return self.set_mm > 0.0 and self.yield_mpa > 0.0

    @property
    def cold_strain(self) -> Limit | None:
        """The limit of the metal's surface strain; None when it is not to be pressed cold."""
        return self.limits[COLD[self.family]] if self.family in COLD else None

    @property
    def strained_too_far(self) -> bool:
        """Whether the metal does not take the expected curl cold."""
        return self.cold_strain is None or self.stroke().strain > self.cold_strain.value

    def bites(self, press_n: float, share: float) -> flattening.Bites | None:
        """Return the bites a press takes at a share of the least yield; None where its strip is too short for the
        plate."""
        made = flattening.press_bites(
            press_n,
            self.length_mm,
            share * self.yield_mpa,
            self.palm.thickness_mm,
            self.span_mm,
            self.limit("press_share"),
        )
        return None if made.width_mm < self.least_strip_mm else made

    def too_strong(self, *, inch: bool) -> bool:
        """Return whether even the largest press of the shops is too small at the yield the plate may have."""
        return self.bites(presses_n(inch=inch)[-1], self.limit("press_yield")) is None

    def stroke(self, share: float = 1.0) -> flattening.PressStroke:
        """Return force and travel for the whole length at a share of the least yield."""
        return flattening.press_stroke(
            self.set_mm, share * self.yield_mpa, self.modulus_mpa, self.length_mm, self.palm.thickness_mm, self.span_mm
        )


def _bar_mm(width_mm: float, palm: Palm) -> float:
    return max(0.05 * width_mm, 0.6 * palm.thickness_mm)


def _curl_mm(width_mm: float, arm: Arm, thickness_mm: float, family: str, limits: Limits) -> float:
    curl = float(flattening.weld_pull_up_mm(width_mm, arm.palm_root_mm, thickness_mm))
    return curl * limits["press_curl"].value if family in PULLING else curl


def press_case(strut: Strut, arm: Arm, limits: Limits) -> Press:
    """Return the press case of an arm on its palm.

    The two halves of the palm are taken to stay flat and to turn about the weld, so that the curl over the span is its
    share by distance. Supports stand under the bolt rows nearest the arm on either side that leave the toe of the weld
    clear; where there is none, half way from the arm to the edge or just clear of the toe.

    >>> strut = shipped("canal-tender")
    >>> round(press_case(strut, strut.arms[0], standard()).curl_mm, 2)  # 1.5 x 0.02 x 25.4^0.7 x 92 x 7^1.3 / 10^2
    3.33
    """
    palm = strut.palms[arm.palm_index]
    box = palm.outline.bounding_box()
    foot = dev.palm_footprint(palm, sides.arm_side(strut, arm)).bounding_box()
    middle = (foot.ymin + foot.ymax) / 2
    near = 1.5 * max(palm.bolt.head_diameter_mm, palm.bolt.hole_mm)
    sharing = sum(1 for a in strut.arms if strut.palms[a.palm_index] is palm)
    width = (box.ymax - box.ymin) / sharing
    clear = arm.palm_root_mm + _bar_mm(width, palm) / 2
    port = [h.v_mm for h in palm.holes if h.v_mm > foot.ymax + clear]
    starboard = [h.v_mm for h in palm.holes if h.v_mm < foot.ymin - clear]
    high = max((box.ymax + foot.ymax) / 2, foot.ymax + clear)
    low = min((box.ymin + foot.ymin) / 2, foot.ymin - clear)
    if port:
        high = float(np.mean([v for v in port if v <= min(port) + near]))
    if starboard:
        low = float(np.mean([v for v in starboard if v >= max(starboard) - near]))
    m = metal(strut.material)
    curl = _curl_mm(width, arm, palm.thickness_mm, m.family, limits)
    return Press(
        palm=palm,
        arm=arm,
        length_mm=box.xmax - box.xmin,
        width_mm=width,
        shared=sharing > 1,
        rows_mm=(high, low),
        at_mm=middle,
        curl_mm=curl,
        set_mm=curl * (high - low) / width,
        family=m.family,
        yield_mpa=float(m.yield_mpa),
        modulus_mpa=float(m.modulus_mpa),
        limits=limits,
    )


def alike(a: Press, b: Press) -> bool:
    """Return whether one card holds for both lines.

    >>> strut = shipped("workboat-common-vee")  # its arms stand alike on their palm
    >>> alike(*(press_case(strut, arm, standard()) for arm in strut.arms))
    True
    """
    return (
        abs(a.span_mm - b.span_mm) < 1e-6
        and abs(a.set_mm - b.set_mm) < 1e-9
        and abs(a.length_mm - b.length_mm) < 1e-6
        and a.palm.thickness_mm == b.palm.thickness_mm
    )


def machining_stock_mm(strut: Strut, palm: Palm, limits: Limits, *, inch: bool) -> float:
    """Return how much thicker (mm) the plate of a welded strut's palm is bought, to be machined on the hull face after
    welding, because the curl cannot be pressed out or the face is made to the hull's curve; 0 else, and of a casting.

    It is `press_stock` times the curl expected of the thicker plate, which curls less; and what the curve stands out.

    >>> strut = shipped("canal-tender")  # a palm of 10 that curls by 3.33
    >>> round(machining_stock_mm(strut, strut.palms[0], standard(), inch=False), 2)  # twice 3.33 x (10 / 13.6)^2
    3.6
    """
    if strut.construction != "welded":
        return 0.0
    cases = [press_case(strut, arm, limits) for arm in strut.arms if strut.palms[arm.palm_index] is palm]
    pressed_flat = not any(case.judged and (case.strained_too_far or case.too_strong(inch=inch)) for case in cases)
    if pressed_flat and palm.curve is None:
        return 0.0

    curls, out = limits["press_stock"].value, max(palm.edge_mm, 0.0)

    def short(stock: float) -> bool:
        thick = palm.thickness_mm + out + stock
        return curls * max(_curl_mm(c.width_mm, c.arm, thick, c.family, limits) for c in cases) > stock

    return out + float(bisect(short, 0.0, curls * max(case.curl_mm for case in cases), 50)[1])
