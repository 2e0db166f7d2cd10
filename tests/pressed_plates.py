"""Plates of metal unknown to the planner, pressed by numbers: a second model of pressing, of layers and stations.

Each layer of the thickness is four elements side by side that yield one after the other (Besseling), of which one never
does: so yielding sets in gradually, hardens, and comes earlier when the load is turned round. The bending moment falls
off linearly from the press to the supports; the curvature of each station is found from the stresses of its layers.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from strutwright.models.bench.palm_shape import Shape, shape
from strutwright.models.bench.straightening import WAYS, Case, Made, Push, Step, Way, next_step
from strutwright.models.formulas.min_zone import min_zone

Array = NDArray[np.float64]
LAYERS, STATIONS = 8, 17


class Layers:
    """Sections of unit width at several stations: what they remember of their layers."""

    def __init__(self, stations: int, thickness: float, elastic: float, yields: Array, shares: Array) -> None:
        """yields: of the elements; shares: of the section, what lacks to 1 stays elastic."""
        points, weights = np.polynomial.legendre.leggauss(LAYERS)
        self.z, self.w = points * thickness / 2, weights * thickness / 2
        self.elastic, self.yields, self.shares = elastic, yields, shares
        self.plastic = np.zeros((stations, LAYERS, len(yields)))
        self.curvature = np.zeros(stations)

    def _stress(self, curvature: Array) -> tuple[Array, Array]:
        strain = curvature[:, None, None] * self.z[None, :, None]
        most = self.yields / self.elastic
        bent = np.clip(strain - self.plastic, -most, most)
        stress = self.elastic * (bent * self.shares).sum(-1)
        stress += self.elastic * (1 - self.shares.sum()) * strain[..., 0]
        return stress, strain - bent

    def moment(self, curvature: Array) -> Array:
        return self._stress(curvature)[0] @ (self.z * self.w)

    def curvature_of(self, moment: Array, around: float) -> Array:
        low, high = self.curvature - around, self.curvature + around
        for _ in range(26):
            middle = (low + high) / 2
            under = self.moment(middle) < moment
            low, high = np.where(under, middle, low), np.where(under, high, middle)
        found: Array = (low + high) / 2
        return found

    def remember(self, curvature: Array) -> None:
        self.plastic = self._stress(curvature)[1]
        self.curvature = self.curvature_of(np.zeros_like(curvature), 4 * abs(curvature - self.curvature).max() + 1e-6)


@dataclass
class Plate:
    """A palm: its true form, and how it takes a stroke."""

    size: tuple[float, float]
    spans: tuple[float, float]
    thickness: float
    elastic: float
    yields: Array
    shares: Array
    curl: float
    bow: float
    twist: float
    coupling: float
    ripple: Array
    bent: dict[Way, Layers] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for way in WAYS:
            e = self.elastic if way != "twist" else self.elastic / 2.6 * 1.0
            y = self.yields if way != "twist" else self.yields / np.sqrt(3)
            self.bent[way] = Layers(STATIONS if way != "twist" else 1, self.thickness, e, y, self.shares)
        self.kinks: list[tuple[Way, Array, Array]] = []

    def heights(self, u: Array, v: Array) -> Array:
        (length, width), soft = self.size, self.thickness
        over = np.sqrt(v**2 + soft**2) - soft
        top = np.sqrt(width**2 / 4 + soft**2) - soft
        z = (
            self.curl * (1 - over / top)
            + self.bow * (1 - (2 * u / length) ** 2)
            + self.twist / 2 * 4 * u * v / (length * width)
        )
        z = z + self.ripple[0] * np.cos(7 * u / length + self.ripple[1]) * np.cos(8 * v / width + self.ripple[2])
        for way, x, drop in self.kinks:
            if way == "twist":
                z = z - drop[0] * 2 * u * v / (self.spans[0] * self.spans[1])
                continue
            at = np.abs(u if way == "along" else v)
            end = x[-1]
            z = z - np.where(
                at <= end, np.interp(at, x, drop), drop[-1] + (at - end) * (drop[-1] - drop[-2]) / (x[-1] - x[-2])
            )
            other, across = (v, width) if way == "along" else (u, length)
            z = z + self.coupling * (drop[0] - drop[-1]) * (1 - (2 * other / across) ** 2)
        return z

    def press(self, push: Push, off: float, travel: float) -> None:
        """Press one stroke of that travel, in the way in which the plate is off."""
        way, sign = push.way, np.sign(off)
        if way == "twist":
            a, b = self.spans
            section = self.bent[way]
            start = section.curvature.copy()
            # shear stress of twisting: shear strain is 2 z times the twist per area
            section.remember(start + sign * np.array([2 * travel * 2 / (a * b)]))
            self.kinks.append((way, np.zeros(1), (section.curvature - start) / 2 * a * b / 2))
            return
        span = self.spans[WAYS.index(way)]
        x = np.linspace(0, 1, STATIONS) ** 1.5 * span / 2
        section = self.bent[way]
        start = section.curvature.copy()
        inertia = self.thickness**3 / 12
        shear = 2.4 * 1.3 * (self.thickness / span) ** 2 * span**3 / (48 * self.elastic * inertia)  # mm per N/mm
        low, high = 0.0, 6 * self.yields.max() * self.thickness**2 / span
        for _ in range(24):
            force = (low + high) / 2
            k = section.curvature_of(sign * force * (span / 2 - x) / 2, 40 * travel / span**2 * 8)
            moved = abs(np.trapezoid((k - start) * (span / 2 - x), x)) + force * shear
            low, high = (force, high) if moved < travel else (low, force)
        section.remember(k)
        gained = section.curvature - start
        slope = np.concatenate([[0], np.cumsum((gained[1:] + gained[:-1]) / 2 * np.diff(x))])
        drop = np.concatenate([[0], np.cumsum((slope[1:] + slope[:-1]) / 2 * np.diff(x))])
        self.kinks.append((way, x, drop[-1] - drop))

    def true_points(self, along: int, across: int) -> Array:
        u, v = np.meshgrid(
            np.linspace(-0.5, 0.5, along) * self.size[0], np.linspace(-0.5, 0.5, across) * self.size[1], indexing="ij"
        )
        return np.column_stack([u.ravel(), v.ravel(), self.heights(u, v).ravel()])


@dataclass(frozen=True)
class Run:
    """How one plate went: pushes, whether the true face is flat at the end, the worst crown or twist turned round over
    the tolerance, and how it ended."""

    pushes: int
    zone: float
    reversed_share: float
    verdict: str


def straighten(plate: Plate, case: Case, random: np.random.Generator, most: int = 15) -> Run:
    """Straighten a plate as a shop would: read, ask, press, read again."""

    def read() -> Shape:
        points = plate.true_points(5, 5)
        points[:, 2] += random.normal(0, case.reading_mm, len(points))
        return shape(points, case.size_mm)

    def true() -> Array:
        at = shape(plate.true_points(15, 15), case.size_mm)
        return np.array([*at.bow_mm, at.twist_mm])

    first, turned = true(), 0.0
    made: list[Made] = []
    seen = read()
    step: Step = next_step(case, seen, made)
    while step.verdict == "push" and len(made) < most:
        assert step.push is not None
        off = {"along": seen.bow_mm[0], "across": seen.bow_mm[1], "twist": seen.twist_mm}[step.push.way]
        plate.press(step.push, off, max(step.push.travel_mm + random.normal(0, case.setting_mm), 0.0))
        after = read()
        made.append(Made(way=step.push.way, travel_mm=step.push.travel_mm, before=seen, after=after))
        against = -np.sign(first) * true()
        turned = max(turned, float(np.where(np.abs(first) > case.tolerance_mm / 2, against, 0.0).max()))
        seen = after
        step = next_step(case, seen, made)
    return Run(len(made), min_zone(plate.true_points(25, 25))[0], turned / case.tolerance_mm, step.verdict)


def plate_of(seed: int, case: Case) -> Plate:
    """A plate by chance: yield of 1 to 1.6 times the least, curl, bow and twist mixed."""
    random = np.random.default_rng(seed)
    strength = case.yield_mpa * random.uniform(1.0, 1.6)
    knee = random.uniform(0.05, 0.3)
    shares = np.array([0.25, 0.5, 0.25]) * (1 - random.uniform(0.003, 0.04))
    return Plate(
        size=case.size_mm,
        spans=case.spans_mm,
        thickness=case.thickness_mm,
        elastic=case.modulus_mpa * random.uniform(0.97, 1.03),
        yields=strength * np.array([1 - knee, 1.0, 1 + knee]),
        shares=shares,
        curl=random.uniform(0.6, 2.5),
        bow=random.uniform(-0.7, 0.7),
        twist=random.uniform(-1.2, 1.2),
        coupling=random.uniform(0.0, 0.1),
        ripple=np.array([random.uniform(0, 0.02), random.uniform(0, 6), random.uniform(0, 6)]),
    )
