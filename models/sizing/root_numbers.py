"""How very many candidates stand against the checks of the roots (`checks.roots`).

The ball is rolled once for each set of sizes that it touches. Where those are too many, as in a search, a bound that
asks a little more than the ball does stands for the root on the barrel, and the other roots are left to the check of
the strut that is chosen.
"""

from __future__ import annotations

import numpy as np

from strutwright.models.arrays import NotYetTyped as Num
from strutwright.models.checks.geometry import roots
from strutwright.models.finding import beyond
from strutwright.models.geometry import members
from strutwright.models.geometry.members import FACE_ROOM_MM
from strutwright.models.sections import SectionError
from strutwright.models.sizing.candidates import Candidates, Floats
from strutwright.models.sizing.clearance_numbers import strut_of
from strutwright.models.sizing.footprints import OnBarrel


def root_fails(c: Candidates, on: list[OnBarrel], roll: bool) -> dict[str, Num]:
    """Return which candidates fail each check of the roots, by code.

    on: the arms' footprints on the barrel. roll: whether the ball is rolled, a hundredth of a second for each set of
    sizes; otherwise only the bound for the barrel is told.
    """
    if not roll:
        return {roots.ARM_BARREL.code: _beyond_faces(c, on)}
    _, first, back = np.unique(touched(c)[c.buildable], axis=0, return_index=True, return_inverse=True)
    which = np.flatnonzero(c.buildable)
    fit = np.array([_fit(c, int(which[n])) for n in first], dtype=bool).reshape(-1, 3)
    codes = [roots.ARM_BARREL.code, roots.ARM_PALM.code, *([roots.SKEG.code] if c.strut.skeg is not None else [])]
    out: dict[str, Num] = {}
    for column, code in enumerate(codes):
        fails = np.zeros(c.count, dtype=bool)
        fails[which] = ~fit[np.reshape(back, -1), column]
        out[code] = fails if c.count > 1 else fails[0]
    return out


def touched(c: Candidates) -> Floats:
    """Return the sizes that the ball may touch (candidates, sizes), mm."""
    i = c.inputs
    out: list[Num] = [
        i.barrel_length_mm,
        i.barrel_outside_mm,
        i.aft_end_length_mm,
        i.aft_end_diameter_mm,
        i.forward_end_length_mm,
        i.forward_end_diameter_mm,
        c.drop_mm,
    ]
    for arm in i.arms:
        out += [
            arm.x_mm,
            arm.chord_barrel_mm,
            arm.thickness_barrel_mm,
            arm.chord_palm_mm,
            arm.thickness_palm_mm,
            arm.edge_radius_mm,
            arm.barrel_root_mm,
            arm.palm_root_mm,
        ]
    for palm in i.palms:
        out += [palm.thickness_mm, *palm.zero_mm]
    return np.stack([np.broadcast_to(np.asarray(x, dtype=float), (c.count,)) for x in out], axis=1)


def _fit(c: Candidates, n: int) -> tuple[bool, bool, bool]:
    strut = strut_of(c, n)
    if strut is None:
        return True, True, True
    try:
        return tuple(members.roots_fit(strut))  # type: ignore[return-value]
    except (SectionError, ValueError, ArithmeticError, LookupError):
        return True, True, True  # as in the checks: what cannot be worked out is told there


def _beyond_faces(c: Candidates, on: list[OnBarrel]) -> Num:
    """Whether an arm's fillet or weld reaches too near to a face of the barrel: exact for an upright arm, with a little
    to spare for one that leans."""
    i = c.inputs
    cast, out = c.strut.construction == "cast", np.False_
    for k, arm in enumerate(i.arms):
        long = np.maximum(np.asarray(arm.end_mm) - i.barrel_outside_mm / 2, 1e-6)
        lean = np.radians(np.abs(c.strut.arms[k].rake_deg)) + np.arctan(
            np.abs(np.asarray(arm.chord_palm_mm) - arm.chord_barrel_mm) / 2 / long
        )
        toe = arm.barrel_root_mm * (1.0 / np.tan((np.pi / 2 - np.minimum(lean, 1.5)) / 2) if cast else 1.0)
        reach = np.maximum(on[k].forward_x_mm, -on[k].aft_x_mm) + toe
        out = out | (beyond(reach, i.barrel_length_mm / 2 - FACE_ROOM_MM, "mm") & (np.asarray(arm.barrel_root_mm) > 0))
    return out
