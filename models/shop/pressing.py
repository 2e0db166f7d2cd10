"""What a palm that welding curls asks of a press, and how much thicker its plate is bought where no press will do."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from strutwright.models import drawn_tolerances
from strutwright.models.bench.palm_shape import Shape, shape
from strutwright.models.bench.press_places import Face, Line, P, Place, Root
from strutwright.models.bench.straightening import COLD, Case, Step, bite_mm, places_of, step_at
from strutwright.models.formulas import weld_distortion
from strutwright.models.geometry.solve import bisect
from strutwright.models.metals import metal
from strutwright.models.shop import development as dev
from strutwright.models.shop import sides
from strutwright.models.spec import Arm, Palm, Strut
from strutwright.params.limits import Limit, Limits
from strutwright.params.quantity import FORCE

PULLING = frozenset({"stainless", "duplex", "bronze"})
"""Metals that curl more than mild steel."""
SHORT_TON_N = 2000 * FORCE.factors["lbf"]
_PRESSES_N = (100e3, 200e3, 500e3, 1000e3)
_PRESSES_SHORT_TONS = (10, 20, 50, 100)
_OUTLINE_MM = 0.05


def presses_n(*, inch: bool) -> list[float]:
    """Return the presses that shops have, N: rounded in kN, or in short tons of 2000 lbf where they work in inches.

    >>> presses_n(inch=False)[0], round(presses_n(inch=True)[0])  # 100 kN, 10 tons of 2000 lbf
    (100000.0, 88964)
    """
    return [n * SHORT_TON_N for n in _PRESSES_SHORT_TONS] if inch else list(_PRESSES_N)


def middle_mm(palm: Palm) -> P:
    """Return the middle of a palm's over-all sizes in its own axes: where places in the press count from.

    >>> middle_mm(shipped("canal-tender").palms[0])
    (0.0, 0.0)
    """
    box = palm.outline.bounding_box()
    return (box.xmin + box.xmax) / 2.0, (box.ymin + box.ymax) / 2.0


def face_of(strut: Strut, palm: Palm) -> Face:
    """Return a palm as the press sees it: its outline, its holes, and where its arms stand.

    It is bent over the line of each arm, and where the one arm is a hanger's web that the foot is turned under, the
    face is laid in the web's axes. Supports stand under the bolt rows nearest the arm on either side that leave
    the toe of the weld clear; where there is none, half way from the arm to the edge or just clear of the toe.

    >>> face = face_of(shipped("canal-tender"), shipped("canal-tender").palms[0])
    >>> face.size_mm, [round(v, 1) for v in face.lines[0].rows_mm], len(face.holes)
    ((160.0, 92.0), [25.7, -25.7], 6)
    """
    if strut.hanger is not None and abs(strut.hanger.turned_deg) > 1e-9:
        return _turned_face(strut, palm, -strut.hanger.turned_deg)
    u, v = middle_mm(palm)
    box = palm.outline.bounding_box()
    arms = [a for a in strut.arms if strut.palms[a.palm_index] is palm]
    lines, roots = [], []
    for arm in arms:
        foot = dev.palm_footprint(palm, sides.arm_side(strut, arm)).bounding_box()
        leg = arm.palm_root_mm
        roots.append(
            Root(
                along_mm=(foot.xmin - leg - u, foot.xmax + leg - u),
                across_mm=(foot.ymin - leg - v, foot.ymax + leg - v),
            )
        )
        high, low = _rows(palm, arm, (box.ymax - box.ymin) / len(arms), (foot.ymin, foot.ymax))
        lines.append(Line(at_mm=(foot.ymin + foot.ymax) / 2.0 - v, rows_mm=(high - v, low - v)))
    return Face(
        size_mm=(box.xmax - box.xmin, box.ymax - box.ymin),
        outline=tuple((float(x) - u, float(y) - v) for x, y in palm.outline.polyline(_OUTLINE_MM)),
        lines=tuple(lines),
        roots=tuple(roots),
        holes=tuple((h.u_mm - u, h.v_mm - v) for h in palm.holes),
        hole_mm=palm.bolt.hole_mm,
        seat_mm=palm.bolt.head_diameter_mm if palm.bolt.head.conical else 0.0,
    )


def _turned_face(strut: Strut, palm: Palm, turned_deg: float) -> Face:
    """The face of a foot in the axes of its web, which is turned from the foot's length by turned_deg, to port
    positive."""
    u, v = middle_mm(palm)
    turned = math.radians(-turned_deg)
    laid = palm.outline.translate(-u, -v).rotate(turned)
    c, s = math.cos(turned), math.sin(turned)
    holes = tuple(
        replace(h, u_mm=c * (h.u_mm - u) - s * (h.v_mm - v), v_mm=s * (h.u_mm - u) + c * (h.v_mm - v))
        for h in palm.holes
    )
    foot = dev.palm_footprint(palm, sides.arm_side(strut, strut.arms[0])).translate(-u, -v).rotate(turned)
    (u0, v0, u1, v1), box = foot.bounding_box(), laid.bounding_box()
    web, leg = strut.arms[0], strut.arms[0].palm_root_mm
    rows = _rows(replace(palm, outline=laid, holes=holes), web, box.ymax - box.ymin, (v0, v1))
    at = (box.xmin + box.xmax) / 2.0, (box.ymin + box.ymax) / 2.0
    return Face(
        size_mm=(box.xmax - box.xmin, box.ymax - box.ymin),
        outline=tuple((float(x) - at[0], float(y) - at[1]) for x, y in laid.polyline(_OUTLINE_MM)),
        lines=(Line(at_mm=(v0 + v1) / 2.0 - at[1], rows_mm=(rows[0] - at[1], rows[1] - at[1])),),
        roots=(Root(along_mm=(u0 - leg - at[0], u1 + leg - at[0]), across_mm=(v0 - leg - at[1], v1 + leg - at[1])),),
        holes=tuple((h.u_mm - at[0], h.v_mm - at[1]) for h in holes),
        hole_mm=palm.bolt.hole_mm,
        seat_mm=palm.bolt.head_diameter_mm if palm.bolt.head.conical else 0.0,
        turned_deg=turned_deg,
    )


def _rows(palm: Palm, arm: Arm, width_mm: float, foot_mm: P) -> P:
    """Places across of the two supports of an arm, port first."""
    box = palm.outline.bounding_box()
    near = 1.5 * max(palm.bolt.head_diameter_mm, palm.bolt.hole_mm)
    clear = arm.palm_root_mm + _bar_mm(width_mm, palm) / 2
    port = [h.v_mm for h in palm.holes if h.v_mm > foot_mm[1] + clear]
    starboard = [h.v_mm for h in palm.holes if h.v_mm < foot_mm[0] - clear]
    high = max((box.ymax + foot_mm[1]) / 2, foot_mm[1] + clear)
    low = min((box.ymin + foot_mm[0]) / 2, foot_mm[0] - clear)
    if port:
        high = float(np.mean([v for v in port if v <= min(port) + near]))
    if starboard:
        low = float(np.mean([v for v in starboard if v >= max(starboard) - near]))
    return high, low


def _bar_mm(width_mm: float, palm: Palm) -> float:
    return max(0.05 * width_mm, 0.6 * palm.thickness_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """What a curled palm asks of a press, mm and N, for one arm's line on it, before anything is measured.

    case: the palm as `straightening` takes it. place: the line of the arm, pressed over its whole length. width_mm: of
    the palm this arm's weld curls; shared: whether another arm's weld curls the rest. curl_mm: rise of the edges over
    the width. expected: the shape of the whole palm. step: what that asks of the press.
    """

    palm: Palm
    arm: Arm
    case: Case
    place: Place
    width_mm: float
    shared: bool
    curl_mm: float
    expected: Shape
    step: Step

    def limit(self, name: str) -> float:
        """Return the value of a limit."""
        return self.case.limits[name].value

    @property
    def line(self) -> Line:
        """The line that is pressed and its supports, from the palm's middle."""
        return self.case.face.lines[self.place.line]

    @property
    def span_mm(self) -> float:
        """Distance of the two supports."""
        return self.line.rows_mm[0] - self.line.rows_mm[1]

    @property
    def bar_mm(self) -> float:
        """Breadth of each support."""
        return _bar_mm(self.width_mm, self.palm)

    @property
    def set_mm(self) -> float:
        """The curl's share over the span, which the press has to bend back."""
        return self.curl_mm * self.span_mm / self.width_mm

    @property
    def judged(self) -> bool:
        """Whether there is a set to bend back, and a yield to work it out with."""
        return self.set_mm > 0.0 and self.case.yield_mpa > 0.0

    @property
    def cold_strain(self) -> Limit | None:
        """The limit of the metal's surface strain; None when it is not to be pressed cold."""
        return self.case.limits[COLD[self.case.family]] if self.case.family in COLD else None

    @property
    def strained_too_far(self) -> bool:
        """Whether the metal does not take the expected curl cold."""
        return self.step.verdict == "refused"

    @property
    def least_strip_mm(self) -> float:
        """The shortest strip worth pressing: the metal beside it is carried along, and the bar dents a shorter one."""
        return min(self.limit("press_strip") * self.palm.thickness_mm, self.place.bar_mm)

    @property
    def press_needed_n(self) -> float:
        """The least press (N) that bends the shortest strip at the yield the plate may have, the usual share of it
        used."""
        whole = self.case.force_n(self.place, self.case.yield_most_mpa, self._half_strain_mm)[1]
        low, high = 0.0, self.case.press_for(whole)
        return float(bisect(lambda n: bite_mm(self.case, self.place, n) < self.least_strip_mm, low, high, 50)[1])

    @property
    def _half_strain_mm(self) -> float:
        return self.case.strain_most / 2.0 * self.place.span_mm**2 / (4.0 * self.palm.thickness_mm)

    def bites(self, press_n: float) -> tuple[float, int] | None:
        """Return length and number of the bites that a press takes, at the yield the plate may have; None where its
        bite is too short for the plate. They lie over each other where their number alone would make them too short."""
        long = bite_mm(self.case, self.place, press_n)
        if long < self.least_strip_mm - 1e-9:
            return None
        count = math.ceil(self.place.bar_mm / long - 1e-9)
        return max(self.place.bar_mm / count, self.least_strip_mm), count

    def too_strong(self, *, inch: bool) -> bool:
        """Return whether even the largest press of the shops is too small at the yield the plate may have."""
        return self.bites(presses_n(inch=inch)[-1]) is None


def _curl_mm(width_mm: float, arm: Arm, thickness_mm: float, family: str, limits: Limits) -> float:
    curl = float(weld_distortion.weld_pull_up_mm(width_mm, arm.palm_root_mm, thickness_mm))
    return curl * limits["press_curl"].value if family in PULLING else curl


def case_for(strut: Strut, palm: Palm, limits: Limits) -> Case:
    """Return a palm as `straightening` takes it, its metal the least of its kind.

    >>> case_for(shipped("canal-tender"), shipped("canal-tender").palms[0], standard()).tolerance_mm
    0.5
    """
    m, face = metal(strut.material), face_of(strut, palm)
    return Case(
        face=face,
        thickness_mm=palm.thickness_mm,
        yield_mpa=float(m.yield_mpa),
        modulus_mpa=float(m.modulus_mpa),
        family=m.family,
        cast=strut.construction == "cast",
        tolerance_mm=float(drawn_tolerances.flatness_mm(strut.construction, max(face.size_mm))),
        limits=limits,
    )


def press_case(strut: Strut, arm: Arm, limits: Limits) -> Press:
    """Return the press case of an arm on its palm, welded.

    The two halves of the palm are taken to stay flat and to turn about the weld, so that the curl over the span is its
    share by distance.

    >>> strut = shipped("canal-tender")
    >>> round(press_case(strut, strut.arms[0], standard()).curl_mm, 2)  # 1.5 x 0.02 x 25.4^0.7 x 92 x 7^1.3 / 10^2
    3.33
    """
    palm = strut.palms[arm.palm_index]
    arms = [a for a in strut.arms if strut.palms[a.palm_index] is palm]
    case = replace(case_for(strut, palm, limits), cast=False)
    width = case.size_mm[1] / len(arms)
    family = metal(strut.material).family
    curls = [_curl_mm(width, a, palm.thickness_mm, family, limits) for a in arms]
    index = next(k for k, a in enumerate(arms) if a is arm)
    place = next(p for p in places_of(case) if p.way == "across" and p.line == index)
    expected = _curled(case.face, width, curls)
    return Press(
        palm=palm,
        arm=arm,
        case=case,
        place=place,
        width_mm=width,
        shared=len(arms) > 1,
        curl_mm=curls[index],
        expected=expected,
        step=step_at(case, expected, place),
    )


def _curled(face: Face, width_mm: float, curls_mm: list[float]) -> Shape:
    """The shape that welds leave: kinked over each arm's line, so that the edges of its part of the palm rise."""
    kinks = tuple(line.at_mm for line in face.lines)
    stations = sorted({*np.linspace(-0.5, 0.5, 5 + len(kinks)) * face.size_mm[1], *kinks})
    u, v = (a.ravel() for a in np.meshgrid(np.array([-0.5, 0.0, 0.5]) * face.size_mm[0], stations, indexing="ij"))
    z = -sum(2.0 * curl / width_mm * np.abs(v - at) for at, curl in zip(kinks, curls_mm, strict=True))
    return shape(np.column_stack([u, v, z]), face.size_mm, kinks_mm=kinks)


def alike(a: Press, b: Press) -> bool:
    """Return whether one card holds for both lines.

    >>> strut = shipped("workboat-common-vee")  # its arms stand alike on their palm
    >>> alike(*(press_case(strut, arm, standard()) for arm in strut.arms))
    True
    """
    return (
        abs(a.span_mm - b.span_mm) < 1e-6
        and abs(a.set_mm - b.set_mm) < 1e-9
        and abs(a.case.size_mm[0] - b.case.size_mm[0]) < 1e-6
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

    curls, out = limits["press_stock"].value, palm.stands_out_mm

    def short(stock: float) -> bool:
        thick = palm.thickness_mm + out + stock
        return curls * max(_curl_mm(c.width_mm, c.arm, thick, c.case.family, limits) for c in cases) > stock

    return out + float(bisect(short, 0.0, curls * max(case.curl_mm for case in cases), 50)[1])
