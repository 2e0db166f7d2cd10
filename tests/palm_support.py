"""Palms on an elastic bed worked out otherwise than by the project, for tests: beams with contact, grids of cells."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from strutwright.models.arrays import Floats
from strutwright.models.formulas import palm_bed
from strutwright.models.formulas.palm_bed import Plate, Row, Tipped


@dataclass(frozen=True, kw_only=True)
class Palm:
    """A palm as a beam: its length and width, modulus and thickness, bed and how much softer and stiffer it may be,
    rows of bolts from its pressed edge with how many and how stiff each, and its root, rigid from and to."""

    long: float = 110.0
    wide: float = 210.0
    modulus: float = 114_000.0
    thick: float = 14.0
    bed: float = 400.0
    soft: float = 1.0
    stiff: float = 1.0
    rows: tuple[float, ...] = (18.0, 92.0)
    each: tuple[int, ...] = (3, 3)
    bolt: float = 226_200.0
    root: tuple[float, float] = (37.0, 73.0)
    share: float = 1.0
    """Of a bolt's part of the width: the strip that it bends."""

    @property
    def bending(self) -> float:
        """E t^3 / 12."""
        return self.modulus * self.thick**3 / 12.0

    def plate(self) -> Plate:
        return Plate(
            root_mm=self.root[0],
            beyond_mm=self.root[1],
            far_mm=self.long,
            width_mm=self.wide,
            bending_nmm=self.bending,
            soft=self.soft * self.bed,
            stiff=self.stiff * self.bed,
            bolt_n_mm=self.bolt,
            strip_mm=self.share * self.wide / max(self.each),
        )

    def tipped(self) -> Tipped:
        """As the project has it."""
        rows = []
        for y, n in zip(self.rows, self.each, strict=True):
            lever = max(self.root[0] - y, y - self.root[1], 0.0)
            strip = self.wide / n if self.share == 1.0 else self.plate().strip_mm
            spring = palm_bed.on_strip_n_mm(self.bolt, lever, self.bending * strip)
            rows.append(Row(y, n, n * spring, spring))
        return palm_bed.tipped(rows, self.plate())


class Beam(NamedTuple):
    """Tension of one bolt of each row, N, greatest pressure, MPa, and moments at the pressed and the lifted side of the
    root, N mm."""

    tension: Floats
    pressure: float
    pressed: float
    lifted: float


def beam_nodes(palm: Palm, pieces: int) -> tuple[Floats, Floats, Floats, Floats]:
    """Return where the nodes of a palm as a beam are, the gaps between them, and at each the springs of bed and bolts,
    N/mm."""
    marks = sorted({0.0, palm.long, *palm.root, *palm.rows})
    x = [0.0]
    for a, b in itertools.pairwise(marks):
        n = max(2, int(np.ceil((b - a) / palm.long * pieces)))
        x += [a + (b - a) * (k + 1) / n for k in range(n)]
    at, gaps = np.array(x), np.diff(x)
    share = (np.append(gaps, 0.0) + np.insert(gaps, 0, 0.0)) / 2.0
    bolts = np.zeros(len(at))
    for y, n in zip(palm.rows, palm.each, strict=True):
        bolts[np.argmin(np.abs(at - y))] += palm.bolt * n
    bed = palm.bed * palm.wide * share
    return at, gaps, bed, bolts


def as_beam(palm: Palm, moment: float = 0.0, pull: float = 0.0, pieces: int = 60) -> Beam:
    """Beam elements with a rigid root on a bed that only pushes and bolts that only pull; contact by active sets."""
    at, gaps, bed, bolts = beam_nodes(palm, pieces)
    plate, moves = _plate_and_moves(palm, at, gaps)
    load = np.zeros(plate.shape[0])
    load[-2:] = pull, moment
    presses, pulls = at < np.mean(palm.root), at >= np.mean(palm.root)
    for _ in range(100):
        held = np.where(presses, bed, 0.0) + np.where(pulls, bolts, 0.0)
        lift = moves @ np.linalg.solve(plate + moves.T @ (held[:, None] * moves), load)
        if ((lift < 0.0) == presses).all() and (((lift > 0.0) == pulls) | (bolts == 0.0)).all():
            break
        presses, pulls = lift < 0.0, lift > 0.0
    else:
        raise AssertionError("no contact was found")
    up = bed * np.maximum(-lift, 0.0) - bolts * np.maximum(lift, 0.0)
    low, high = at < palm.root[0] - 1e-9, at > palm.root[1] + 1e-9
    return Beam(
        np.array([palm.bolt * max(lift[np.argmin(np.abs(at - y))], 0.0) for y in palm.rows]),
        float(palm.bed * np.maximum(-lift, 0.0).max()),
        float((up * (palm.root[0] - at))[low].sum()),
        float((-up * (at - palm.root[1]))[high].sum()),
    )


def _plate_and_moves(palm: Palm, at: Floats, gaps: Floats) -> tuple[Floats, Floats]:
    """Stiffness of the plate beside a rigid root, whose lift and turn come last, and the lift of every node by them."""
    rigid = (at >= palm.root[0] - 1e-9) & (at <= palm.root[1] + 1e-9)
    free = np.flatnonzero(~rigid)
    turned = np.zeros((2 * len(at), 2 * len(free) + 2))
    for k, i in enumerate(free):
        turned[2 * i, 2 * k] = turned[2 * i + 1, 2 * k + 1] = 1.0
    for i in np.flatnonzero(rigid):
        turned[2 * i, -2:] = 1.0, at[i] - np.mean(palm.root)
        turned[2 * i + 1, -1] = 1.0
    whole = np.zeros((2 * len(at),) * 2)
    for k, h in enumerate(gaps):
        if rigid[k] and rigid[k + 1]:
            continue
        e = np.array([[12, 6 * h, -12, 6 * h], [6 * h, 4 * h * h, -6 * h, 2 * h * h], [-12, -6 * h, 12, -6 * h]])
        e = np.vstack([e, [6 * h, 2 * h * h, -6 * h, 4 * h * h]])
        whole[2 * k : 2 * k + 4, 2 * k : 2 * k + 4] += palm.bending * palm.wide / h**3 * e
    return turned.T @ whole @ turned, turned[0::2]


@dataclass(frozen=True, slots=True)
class ContactResult:
    """Bolt tensions (bolts,), N, and contact pressure, MPa, at the cells of `outline_cells`."""

    tension_n: Floats
    pressure_mpa: Floats


def outline_cells(outline_mm: Floats, across: int) -> tuple[Floats, float]:
    """Centres (n, 2) and equal area (mm2) of square cells whose centre lies in a closed outline (n, 2).

    The cell area is scaled so that the cells add up to the outline's area (shoelace).
    """
    outline = np.asarray(outline_mm, dtype=np.float64)
    low, high = outline.min(axis=0), outline.max(axis=0)
    side = float((high - low).max()) / across
    counts = np.maximum(np.round((high - low) / side).astype(int), 1)
    axes = [low[k] + (np.arange(counts[k]) + 0.5) * (high[k] - low[k]) / counts[k] for k in range(2)]
    grid = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 2)
    following = np.roll(outline, -1, axis=0)
    inside = np.zeros(len(grid), dtype=bool)
    for (u0, v0), (u1, v1) in zip(outline, following, strict=True):
        crosses = (v0 > grid[:, 1]) != (v1 > grid[:, 1])
        if v0 != v1:
            inside ^= crosses & (grid[:, 0] < u0 + (grid[:, 1] - v0) / (v1 - v0) * (u1 - u0))
    area = 0.5 * abs(float(np.sum(outline[:, 0] * following[:, 1] - outline[:, 1] * following[:, 0])))
    cells = grid[inside]
    return cells, area / len(cells)


def bolt_tensions_contact(
    points_mm: Floats,
    outline_mm: Floats,
    fn_n: float,
    mu_nmm: float,
    mv_nmm: float,
    bolt_stiffness_n_mm: float,
    bed_stiffness_mpa_mm: float,
    across: int,
) -> ContactResult:
    """Tensions with the palm lifting off and bearing on an elastic bed: the neutral axis is found by iteration.

    Rigid palm; bolts (n, 2) pull only (stiffness E A / grip, N/mm), the bed under ``outline_mm`` (n, 2), in cells
    ``across`` its longer side, pushes only (stiffness per area, MPa/mm: hull modulus / thickness). One load at a time.
    Preload is not modelled: it keeps the joint shut but does not change the load at which it parts. Solved as the
    minimum of a convex energy by Newton steps on the active set. Raises ValueError when the load cannot be held (bolts
    on one line and no bed to react).
    """
    points = np.asarray(points_mm, dtype=np.float64)
    cells, cell_area = outline_cells(outline_mm, across)
    scale = float(np.abs(np.asarray(outline_mm)).max())
    bolt_basis = np.column_stack([np.ones(len(points)), points / scale])
    cell_basis = np.column_stack([np.ones(len(cells)), cells / scale])
    want = np.array([-fn_n, mv_nmm / scale, -mu_nmm / scale])
    bed = bed_stiffness_mpa_mm * cell_area

    def energy(trial: Floats) -> float:
        lift, press = np.maximum(bolt_basis @ trial, 0.0), np.minimum(cell_basis @ trial, 0.0)
        return float(0.5 * bolt_stiffness_n_mm * lift @ lift + 0.5 * bed * press @ press - want @ trial)

    plane: Floats = np.zeros(3)  # the gap: w0 + a u + b v, positive where the palm lifts
    bolts_on, cells_on = np.ones(len(points), dtype=bool), np.ones(len(cells), dtype=bool)
    for _ in range(200):
        hessian = (
            bolt_stiffness_n_mm * bolt_basis[bolts_on].T @ bolt_basis[bolts_on]
            + bed * cell_basis[cells_on].T @ cell_basis[cells_on]
        )
        gradient = hessian @ plane - want
        step = np.linalg.lstsq(hessian, -gradient, rcond=1e-13)[0]
        factor, here = 1.0, energy(plane)
        while energy(plane + factor * step) > here + 1e-4 * factor * float(gradient @ step) and factor > 1e-9:
            factor *= 0.5
        plane = plane + factor * step
        bolts_on, cells_on = bolt_basis @ plane > 0.0, cell_basis @ plane < 0.0
        tension = bolt_stiffness_n_mm * np.maximum(bolt_basis @ plane, 0.0)
        push = bed * np.minimum(cell_basis @ plane, 0.0)
        residual = bolt_basis.T @ tension + cell_basis.T @ push - want
        if np.abs(residual).max() <= 1e-9 * max(1.0, float(np.abs(want).max())):
            return ContactResult(tension, -push / cell_area)
    raise ValueError("the bolts and the bed under the palm cannot hold this load")
