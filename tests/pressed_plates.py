"""Palms of metal unknown to the planner, pressed by numbers: a second model of pressing, of finite elements.

A thin plate of bicubic elements in the palm's own outline. Under the roots of the arms it is stiff and never yields.
Its section is several parts side by side that yield one after the other at von Mises' ellipse of moments (Besseling),
and one that never does: so yielding sets in gradually, hardens, and comes earlier when the load is turned round. Bar
and frame give elastically, the bar by the shear of the plate too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solveh_banded

from strutwright.models.bench.palm_shape import Shape, shape
from strutwright.models.bench.press_places import Face, Line, Place, Root, Tools, grid, places
from strutwright.models.bench.straightening import Case, Made, Push, Step, next_step, places_of
from strutwright.models.formulas.min_zone import min_zone
from strutwright.params.limits import Limits

Array = NDArray[np.float64]
POISSON = 0.3
ELASTIC = np.array([1 / (1 - POISSON), 1 / (1 + POISSON), 0.5 / (1 + POISSON)])
"""Of the mean of the two curvatures, their half difference and twice the twist, over E t^3 / 12."""
MISES = np.array([1 / 3, 1.0, 2.0])
KNEES = np.array([1.0, 1.25, 1.7, 2.8, 6.0])
"""Curvatures, over that at first yield, at which parts of the section yield: the law of a full section in straights."""
STIFF, VOID = 30.0, 1e-3
HELD = 1e3


def parts_of(hardening: float) -> Array:
    """Shares of the section's stiffness that yield at the knees, so that its moment goes through the textbook law."""
    law = (1 - hardening) * (1.5 - 0.5 / KNEES**2) + hardening * KNEES
    slope = np.append(np.diff(law) / np.diff(KNEES), hardening)
    shares: Array = np.append(1.0, slope[:-1]) - slope
    return shares


class Mesh:
    """Bicubic elements between lines along and across: at a node the value, both slopes and the twist."""

    def __init__(self, x: Array, y: Array) -> None:
        self.x, self.y = x, y
        points, weights = np.polynomial.legendre.leggauss(3)
        nx, ny = len(x) - 1, len(y) - 1
        self.dofs = np.zeros((nx * ny, 16), dtype=int)
        self.b, self.weight = np.zeros((nx * ny, 9, 3, 16)), np.zeros((nx * ny, 9))
        self.at = np.zeros((nx * ny, 9, 2))
        t = (points + 1) / 2
        for i in range(nx):
            for j in range(ny):
                e, hx, hy = i * ny + j, x[i + 1] - x[i], y[j + 1] - y[j]
                self.dofs[e] = [
                    4 * ((i + a // 2) * (ny + 1) + j + b // 2) + a % 2 + 2 * (b % 2) for a in range(4) for b in range(4)
                ]
                (fx, sx, bx), (fy, sy, by) = hermite(t, hx), hermite(t, hy)
                for p in range(3):
                    for q in range(3):
                        g = 3 * p + q
                        kx, ky = np.outer(bx[:, p], fy[:, q]).ravel(), np.outer(fx[:, p], by[:, q]).ravel()
                        self.b[e, g] = (
                            (kx + ky) / np.sqrt(2),
                            (ky - kx) / np.sqrt(2),
                            2 * np.outer(sx[:, p], sy[:, q]).ravel(),
                        )
                        self.weight[e, g] = weights[p] * weights[q] * hx * hy / 4
                        self.at[e, g] = x[i] + t[p] * hx, y[j] + t[q] * hy
        self.count = 4 * len(x) * len(y)
        self.band = 4 * (ny + 2) + 4
        row, column = self.dofs[:, :, None], self.dofs[:, None, :]
        upper = (column >= row) & np.ones_like(row + column, dtype=bool)
        self.upper = upper
        self.flat = ((self.band + row - column) * self.count + column)[upper]

    def node(self, u: float, v: float) -> int:
        """Value at the node nearest to a point."""
        i, j = np.abs(self.x - u).argmin(), np.abs(self.y - v).argmin()
        return 4 * int(i * len(self.y) + j)

    def heights(self, w: Array, points: Array) -> Array:
        i = np.clip(np.searchsorted(self.x, points[:, 0]) - 1, 0, len(self.x) - 2)
        j = np.clip(np.searchsorted(self.y, points[:, 1]) - 1, 0, len(self.y) - 2)
        hx, hy = self.x[i + 1] - self.x[i], self.y[j + 1] - self.y[j]
        fx = hermite((points[:, 0] - self.x[i]) / hx, hx)[0]
        fy = hermite((points[:, 1] - self.y[j]) / hy, hy)[0]
        found: Array = np.einsum("an,bn,nab->n", fx, fy, w[self.dofs[i * (len(self.y) - 1) + j]].reshape(-1, 4, 4))
        return found


def hermite(t: Array, h: float | Array) -> tuple[Array, Array, Array]:
    """Values, slopes and curvatures of the four cubics."""
    value = np.array([1 - 3 * t**2 + 2 * t**3, h * (t - 2 * t**2 + t**3), 3 * t**2 - 2 * t**3, h * (t**3 - t**2)])
    slope = np.array([-6 * t + 6 * t**2, h * (1 - 4 * t + 3 * t**2), 6 * t - 6 * t**2, h * (3 * t**2 - 2 * t)]) / h
    bend = np.array([-6 + 12 * t, h * (-4 + 6 * t), 6 - 12 * t, h * (6 * t - 2)]) / h**2
    return value, slope, bend


def lines(low: float, high: float, needed: Sequence[float], apart: float) -> Array:
    """Lines of a mesh through the places that are needed, no farther apart than told, none very near another."""
    kept = [low, high]
    for x in needed:
        if min(abs(x - k) for k in kept) > 0.15 * apart and low < x < high:
            kept.append(x)
    kept.sort()
    out = [kept[0]]
    for a, b in pairwise(kept):
        out += list(np.linspace(a, b, max(1, int(np.ceil((b - a) / apart - 1e-9))) + 1)[1:])
    return np.array(out)


@dataclass
class Metal:
    """How the plate really is: E, yield, hardening; how much press and bar give over the plate's own shear."""

    elastic: float
    yield_mpa: float
    hardening: float
    gives: float


@dataclass
class Bends:
    """What a palm is bent by before it is pressed, mm."""

    curls: tuple[float, ...]
    bow: float
    twist: float
    ripple: Array


class Palm:
    """A palm: its true form, and how it takes a stroke."""

    def __init__(self, case: Case, metal: Metal, bends: Bends) -> None:
        self.case, self.metal, self.bends, face = case, metal, bends, case.face
        spots = places_of(case)
        xs = [p.at_mm[0] for p in spots] + [q[0] for p in spots for q in (*p.supports, *p.pushed)]
        xs += [e for p in spots if p.way == "across" for e in (p.at_mm[0] - p.bar_mm / 2, p.at_mm[0] + p.bar_mm / 2)]
        ys = [v for line in face.lines for v in (line.at_mm, *line.rows_mm)]
        ys += [q[1] for p in spots if p.way == "twist" for q in (*p.supports, *p.pushed)]
        xs += [u for root in face.roots for u in root.along_mm]
        ys += [v for root in face.roots for v in root.across_mm]
        (long, wide) = face.size_mm
        self.mesh = Mesh(lines(-long / 2, long / 2, xs, long / 8), lines(-wide / 2, wide / 2, ys, wide / 6))
        at = self.mesh.at.reshape(-1, 2)
        inside = face.holds(map(tuple, at))
        stiff = np.zeros(len(at), dtype=bool)
        for root in face.roots:
            stiff |= np.all(
                (at > [root.along_mm[0], root.across_mm[0]]) & (at < [root.along_mm[1], root.across_mm[1]]), 1
            )
        drilled = np.zeros(len(at), dtype=bool)
        for hole in face.holes:
            drilled |= np.hypot(*(at - hole).T) < face.hole_mm / 2
        shape_of = self.mesh.weight.shape
        self.rigidity = (
            metal.elastic * case.thickness_mm**3 / 12 * np.where(stiff, STIFF, np.where(inside & ~drilled, 1.0, VOID))
        )
        self.rigidity = self.rigidity.reshape(shape_of)
        self.yields = ~(stiff | ~inside | drilled).reshape(shape_of)
        shares = parts_of(metal.hardening)
        first = metal.yield_mpa * case.thickness_mm**2 / 6
        self.shares, self.limits = shares, shares * first * KNEES
        self.plastic = np.zeros((*shape_of, len(KNEES), 3))
        self.w = np.zeros(self.mesh.count)
        self.form = np.zeros(self.mesh.count)
        self.form = self._bent_before(3.0)

    def _bent_before(self, marks: float) -> Array:
        """The form that welds, a fall and the like leave: that of presses the other way, each as far as is wanted."""
        case, bends, mesh = self.case, self.bends, self.mesh
        points = np.array(grid(case.face, 9, 9, 1.0))
        kinks = tuple(n.at_mm for n in case.face.lines)

        def read(w: Array) -> Array:
            found = shape(np.column_stack([points, mesh.heights(w, points)]), case.size_mm, kinks_mm=kinks)
            share = found.round_mm[1] / len(kinks)
            return np.array([found.bow_mm[0], found.twist_mm, *(c + share for c in found.kinked_mm[1])])

        wanted = np.array([bends.bow, bends.twist, *bends.curls])
        if not wanted.any():
            return np.zeros_like(self.w)
        forms = []
        whole = [p for p in places(case.face, case.thickness_mm, Tools()) if p.whole or p.number == 1]
        for place in (*(p for p in whole if p.way != "across"), *(p for p in whole if p.way == "across")):
            travel = marks * float(np.asarray(case.springback_mm(place, self.metal.yield_mpa, 0.01)))
            self.press(place, travel, down=True, wound=1.0)
            forms.append(self.w)
            self.w, self.plastic = np.zeros_like(self.w), np.zeros_like(self.plastic)
        weights = np.linalg.lstsq(np.column_stack([read(w) for w in forms]), wanted, rcond=None)[0]
        made: Array = sum(w * form for w, form in zip(weights, forms, strict=True))
        return made

    @property
    def _local(self) -> float:
        return HELD * float(self.metal.elastic * self.case.thickness_mm**3 / 12 / min(self.case.size_mm) ** 2)

    def _three(self) -> list[int]:
        long, wide = self.case.size_mm
        return [self.mesh.node(u, v) for u, v in ((0.0, 0.0), (0.3 * long, 0.0), (0.0, 0.3 * wide))]

    # --- the plate under load

    def _section(self, k: Array) -> tuple[Array, Array, Array]:
        """Moments, tangents and plastic curvatures of every point at curvatures (elements, 9, 3)."""
        stiff = self.rigidity[..., None, None] * self.shares[:, None] * ELASTIC
        trial = stiff * (k[..., None, :] - self.plastic)
        grows = MISES * stiff
        gamma = np.zeros(trial.shape[:-1])
        limit = self.limits**2 / 3
        over = (0.5 * (MISES * trial**2).sum(-1) > limit * (1 + 1e-6)) & self.yields[..., None]
        t, g, most = trial[over], grows[over], np.broadcast_to(limit, over.shape)[over]
        step = np.zeros(len(t))
        for _ in range(25):
            by = 1 / (1 + step[:, None] * g)
            m = t * by
            f = 0.5 * (MISES * m**2).sum(-1) - most
            step = step - f / -(MISES * m**2 * g * by).sum(-1)
            if len(f) == 0 or np.abs(f / most).max() < 1e-9:
                break
        gamma[over] = step
        by = 1 / (1 + gamma[..., None] * grows)
        moment = trial * by
        xi = stiff * by
        n = xi * MISES * moment
        below = (MISES * moment * n).sum(-1)
        tangent = np.zeros((*k.shape, 3))
        diagonal = xi.sum(-2) + self.rigidity[..., None] * (1 - self.shares.sum()) * ELASTIC
        tangent[..., range(3), range(3)] = diagonal
        out = np.where(over, 1 / np.where(below == 0, 1, below), 0.0)
        tangent -= np.einsum("egpi,egpj,egp->egij", n, n, out)
        total = moment.sum(-2) + self.rigidity[..., None] * (1 - self.shares.sum()) * ELASTIC * k
        return total, tangent, k[..., None, :] - moment / stiff

    def _balance(self, w: Array, springs: list[tuple[int, float, float]]) -> tuple[Array, Array]:
        """Deflection at rest with springs (unknown, stiffness, place they pull to), and the plastic curvatures."""
        mesh = self.mesh
        nodes, stiff, to = (np.array(v) for v in zip(*springs, strict=True))
        w, residual, size = w.copy(), np.inf, 0.0
        for _ in range(25):
            k = np.einsum("egia,ea->egi", mesh.b, w[mesh.dofs])
            moment, tangent, plastic = self._section(k)
            weighed = moment * mesh.weight[..., None]
            inner = np.bincount(mesh.dofs.ravel(), np.einsum("egia,egi->ea", mesh.b, weighed).ravel(), mesh.count)
            pull = np.bincount(nodes, stiff * (to - w[nodes]), mesh.count)
            residual = np.abs(pull - inner).max()
            size = max(np.abs(pull).max(), size)
            if residual < 1e-5 * max(size, 1.0):
                break
            db = np.matmul(tangent * mesh.weight[..., None, None], mesh.b).reshape(len(mesh.dofs), 27, 16)
            ke = np.matmul(mesh.b.reshape(len(mesh.dofs), 27, 16).transpose(0, 2, 1), db)
            banded = np.bincount(mesh.flat, ke[mesh.upper], (mesh.band + 1) * mesh.count).reshape(mesh.band + 1, -1)
            np.add.at(banded[-1], nodes, stiff)
            w = w + solveh_banded(banded, pull - inner, check_finite=False)
        return w, plastic

    def press(self, place: Place, travel: float, *, down: bool, wound: float) -> float:
        """Press one stroke of that travel; return the greatest force. down: hull face up. wound: which way the palm is
        twisted."""
        sign = -1.0 if down else 1.0
        held, pushed = self._touched(place), self._bar(place)
        if place.way == "twist":
            held, pushed = (held, pushed) if wound > 0 else (pushed, held)
            sign = -1.0
        soft = self._soft(place, len(pushed))
        local = self._local
        w, force = self.w, 0.0
        for share in np.linspace(0, 1, 9)[1:]:
            springs = [(n, local, self.w[n]) for n in held]
            springs += [(n, s, self.w[n] + sign * share * travel) for n, s in zip(pushed, soft, strict=True)]
            w, plastic = self._balance(w, springs)
            force = sum(s * abs(self.w[n] + sign * share * travel - w[n]) for n, s in zip(pushed, soft, strict=True))
            self.plastic = plastic
        self.w, self.plastic = self._balance(w, [(n, local, w[n]) for n in self._three()])
        return float(force)

    def _touched(self, place: Place) -> list[int]:
        mesh, face = self.mesh, self.case.face
        if place.way == "twist":
            return [mesh.node(*p) for p in place.supports]
        if place.way == "across":
            return [mesh.node(u, p[1]) for p in place.supports for u in self._under_bar(place)]
        out = []
        for p in place.supports:
            low, high = face.reach(1, p[0])
            out += [mesh.node(p[0], v) for v in mesh.y if low - 1 <= v <= high + 1]
        return out

    def _under_bar(self, place: Place) -> list[float]:
        near = 0.3 * self.case.size_mm[0] / 9
        within = [u for u in self.mesh.x if abs(u - place.at_mm[0]) <= place.bar_mm / 2 + near]
        return [float(u) for u in within] or [place.at_mm[0]]

    def _bar(self, place: Place) -> list[int]:
        mesh = self.mesh
        if place.way == "twist":
            return [mesh.node(*p) for p in place.pushed]
        if place.way == "across":
            return [mesh.node(u, place.at_mm[1]) for u in self._under_bar(place)]
        (u, v), half = place.at_mm, place.bar_mm / 2 + 1
        return [mesh.node(u, y) for y in mesh.y if abs(y - v) <= half]

    def _soft(self, place: Place, count: int) -> list[float]:
        """Springs between bar and plate: the shear of the plate, and what bar and frame give."""
        case, shear = self.case, self.metal.elastic / (2 * (1 + POISSON))
        if place.way == "twist":
            along, across = place.spans_mm
            own = 4 * shear * case.thickness_mm**3 / (6 * along * across)
            return [20 * own / self.metal.gives] * count
        whole = shear * place.bar_mm * case.thickness_mm / (0.3 * place.span_mm) / self.metal.gives
        return [whole / count] * count

    # --- its form

    def heights(self, points: Array) -> Array:
        (long, wide), (u, v), bends = self.case.size_mm, points.T, self.bends
        z = bends.ripple[0] * np.cos(7 * u / long + bends.ripple[1]) * np.cos(8 * v / wide + bends.ripple[2])
        found: Array = z + self.mesh.heights(self.form + self.w, points)
        return found

    def points(self, along: int, across: int, inside: float) -> Array:
        """Places to read, by the palm's outline, with the heights there."""
        at = np.array(grid(self.case.face, along, across, inside))
        return np.column_stack([at, self.heights(at)])


@dataclass(frozen=True)
class Run:
    """How one plate went: pushes, whether the true face is flat at the end, the worst crown or twist turned round over
    the tolerance, and how it ended."""

    pushes: int
    zone: float
    reversed_share: float
    verdict: str


def straighten(
    palm: Palm, random: np.random.Generator, most: int = 15, told: list[tuple[Push, float, Shape]] | None = None
) -> Run:
    """Straighten a palm as a shop would: read, ask, press, read again."""
    case = palm.case
    kinks = tuple(line.at_mm for line in case.face.lines)

    def look(noise: float, along: int = 7, across: int = 4 + len(kinks)) -> Shape:
        points = palm.points(along, across, 4.0)
        points[:, 2] += random.normal(0, noise, len(points)) if noise else 0.0
        return shape(points, case.size_mm, kinks_mm=kinks)

    def true() -> Array:
        at = look(0.0, 15, 15)
        return np.array([*at.bow_mm, at.twist_mm])

    first, turned = true(), 0.0
    made: list[Made] = []
    seen = look(case.reading_mm)
    step: Step = next_step(case, seen, made)
    while step.verdict == "push" and len(made) < most:
        assert step.push is not None
        travel = max(step.push.travel_mm + random.normal(0, case.setting_mm), 0.0)
        force = palm.press(step.push.place, travel, down=step.push.down, wound=seen.twist_mm)
        after = look(case.reading_mm)
        made.append(Made(place=step.push.place, travel_mm=step.push.travel_mm, before=seen, after=after))
        if told is not None:
            told.append((step.push, force, after))
        against = -np.sign(first) * true()
        turned = max(turned, float(np.where(np.abs(first) > case.tolerance_mm / 2, against, 0.0).max()))
        seen = after
        step = next_step(case, seen, made)
    return Run(len(made), min_zone(palm.points(25, 25, 0.0))[0], turned / case.tolerance_mm, step.verdict)


METALS = {"stainless": (170.0, 205.0, 240.0), "steel": (235.0, 275.0, 355.0), "duplex": (450.0,)}


def case_by_chance(random: np.random.Generator, face: Face, limits: Limits, *, short: bool) -> Case:
    """A palm of a form as that face has it, larger or smaller, of plate of its least yield. short: with bar, bed or
    press too short or too small for the whole palm."""
    along, across = random.uniform(0.85, 1.3, 2)
    face = scaled(face, along, across)
    span = min(line.rows_mm[0] - line.rows_mm[1] for line in face.lines)
    family = random.choice(list(METALS))
    tools = Tools()
    if short:
        bar, bed = (0.45, np.inf) if random.random() < 0.5 else (np.inf, 0.45)
        tools = Tools(
            bar_mm=bar * face.size_mm[0] if bar < 1 else np.inf, bed_mm=max(bed * face.size_mm[0], 1.01 * span)
        )
    return Case(
        face=face,
        thickness_mm=float(max(random.uniform(0.14, 0.28) * span, 8.0)),
        yield_mpa=float(random.choice(METALS[family])),
        modulus_mpa=195e3,
        family=family,
        tools=tools,
        limits=limits,
    )


def scaled(face: Face, along: float, across: float) -> Face:
    """A face drawn out both ways."""

    def point(p: tuple[float, float]) -> tuple[float, float]:
        return p[0] * along, p[1] * across

    return replace(
        face,
        size_mm=point(face.size_mm),
        outline=tuple(map(point, face.outline)),
        holes=tuple(map(point, face.holes)),
        roots=tuple(
            Root(
                along_mm=(r.along_mm[0] * along, r.along_mm[1] * along),
                across_mm=(r.across_mm[0] * across, r.across_mm[1] * across),
            )
            for r in face.roots
        ),
        lines=tuple(
            Line(at_mm=n.at_mm * across, rows_mm=(n.rows_mm[0] * across, n.rows_mm[1] * across)) for n in face.lines
        ),
    )


def palm_by_chance(random: np.random.Generator, case: Case) -> Palm:
    """Yield of 1 to 1.6 times the least, hardening unknown; curl, bow and twist mixed, none beyond what is pressed."""
    (long, wide), thick = case.size_mm, case.thickness_mm
    metal = Metal(
        elastic=case.modulus_mpa * random.uniform(0.97, 1.03),
        yield_mpa=case.yield_mpa * random.uniform(1.0, 1.6),
        hardening=random.uniform(0.003, 0.03),
        gives=random.uniform(1.0, 1.6),
    )
    most = [
        0.7 * case.strain_most * p.span_mm**2 / (4 * thick) * p.lever(wide / 2)
        for p in places(case.face, thick, Tools())
        if p.way == "across" and p.whole
    ]
    bow = min(0.002 * long, 0.3 * case.strain_most * long**2 / (4 * thick))
    return Palm(
        case,
        metal,
        Bends(
            curls=tuple(random.uniform(0.3, 1.0) * min(m, 0.014 * wide) / len(most) for m in most),
            bow=random.uniform(-bow, bow),
            twist=random.uniform(-1, 1) * 0.008 * wide,
            ripple=np.array([random.uniform(0, 0.02), random.uniform(0, 6), random.uniform(0, 6)]),
        ),
    )
