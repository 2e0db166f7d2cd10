"""Palms that yield, on a bed that only pushes: beams of an elastic and plastic metal, followed step by step.

Each section bends elastically up to the moment of a full plastic hinge, `b t^2 / 4` times yield, and then on at a
hundredth of its stiffness. Contact and yield are found together by Newton steps, load by load.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from palm_support import Palm, beam_nodes

from strutwright.models.arrays import Floats

HARDENS = 0.01


class Yielded(NamedTuple):
    """At a load: pull on one bolt of each row, N, and the moments beside the root, N mm, pressed and lifted side."""

    moment: float
    tension: Floats
    pressed: float
    lifted: float


def as_yielding_beam(
    palm: Palm, yield_mpa: float, moments: Floats, pull: float = 0.0, pieces: int = 60
) -> list[Yielded]:
    """Return what each of rising moments does, N mm, as far as the palm carries them; pull: with them, N per N mm."""
    at, gaps, bed, bolts = beam_nodes(palm, pieces)
    middle = np.mean(palm.root)
    turned = _rigid_root(at, palm.root, float(middle))
    stiff, hinge = palm.bending * palm.wide, 0.25 * palm.wide * palm.thick**2 * yield_mpa
    points = np.array([-1.0, 0.0, 1.0]) * np.sqrt(0.6)
    weights = np.array([5.0, 8.0, 5.0]) / 9.0
    h = gaps[:, None]
    b = np.stack(
        [6 * points / h**2, (3 * points - 1) / h, -6 * points / h**2, (3 * points + 1) / h], axis=-1
    )  # curvature of a Hermite beam at its points: (elements, 3, 4)
    dofs = (2 * np.arange(len(gaps)))[:, None] + np.arange(4)
    live = ((at[:-1] < palm.root[0] - 1e-9) | (at[1:] > palm.root[1] + 1e-9)) & ~(
        (at[:-1] >= palm.root[0] - 1e-9) & (at[1:] <= palm.root[1] + 1e-9)
    )
    plastic = np.zeros(b.shape[:2])
    z = np.zeros(turned.shape[1])
    out: list[Yielded] = []
    lifts = turned[0::2]
    for moment in moments:
        load = np.zeros(len(z))
        load[-2:] = pull * moment, moment
        good = False
        for _ in range(60):
            w = turned @ z
            k = np.einsum("epa,ea->ep", b, w[dofs])
            trial = stiff * (k - plastic)
            over = np.abs(trial) > hinge + HARDENS * stiff * np.abs(plastic)
            # Linear hardening: of what a trial is over the hinge, the plastic part.
            more = np.where(
                over, (np.abs(trial) - hinge - HARDENS * stiff * np.abs(plastic)) / (stiff * (1 + HARDENS)), 0.0
            )
            made = trial - stiff * more * np.sign(trial)
            tangent = np.where(over, stiff * HARDENS / (1 + HARDENS), stiff) * live[:, None]
            lift = lifts @ z
            held = np.where(lift < 0, bed, 0.0) + np.where(lift > 0, bolts, 0.0)
            inner = np.zeros(2 * len(at))
            np.add.at(inner, dofs, np.einsum("epa,ep->ea", b, made * live[:, None] * weights * h / 2.0))
            inner[0::2] += held * lift
            residual = load - turned.T @ inner
            if np.abs(residual).max() < 1e-7 * np.abs(load).max():
                good = True
                break
            whole = np.zeros((2 * len(at), 2 * len(at)))
            ke = np.einsum("epa,ep,epb->eab", b, tangent * weights * h / 2.0, b)
            np.add.at(whole, (dofs[:, :, None], dofs[:, None, :]), ke)
            whole[np.arange(0, 2 * len(at), 2), np.arange(0, 2 * len(at), 2)] += held
            try:
                z = z + np.linalg.solve(turned.T @ whole @ turned, residual)
            except np.linalg.LinAlgError:  # nothing holds what is past its hinges
                break
        if not good:
            break
        plastic = plastic + more * np.sign(trial)
        lift = lifts @ z
        up = bed * np.maximum(-lift, 0.0) - bolts * np.maximum(lift, 0.0)
        low, high = at < palm.root[0] - 1e-9, at > palm.root[1] + 1e-9
        out.append(
            Yielded(
                float(moment),
                np.array([palm.bolt * max(lift[np.argmin(np.abs(at - y))], 0.0) for y in palm.rows]),
                float((up * (palm.root[0] - at))[low].sum()),
                float((-up * (at - palm.root[1]))[high].sum()),
            )
        )
    return out


def _rigid_root(at: Floats, root: tuple[float, float], middle: float) -> Floats:
    """All unknowns (lift and slope of every node) by those of the free nodes and, last, lift and turn of the root."""
    rigid = (at >= root[0] - 1e-9) & (at <= root[1] + 1e-9)
    free = np.flatnonzero(~rigid)
    made = np.zeros((2 * len(at), 2 * len(free) + 2))
    for column, n in enumerate(free):
        made[2 * n, 2 * column] = made[2 * n + 1, 2 * column + 1] = 1.0
    made[2 * np.flatnonzero(rigid), -2] = 1.0
    made[2 * np.flatnonzero(rigid), -1] = at[rigid] - middle
    made[2 * np.flatnonzero(rigid) + 1, -1] = 1.0
    return made
