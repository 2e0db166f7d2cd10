"""Checks of the roots: that each fillet's ball and each weld's bead fits where it is asked for. What fails here, the
solids cannot have as asked; what holds, they have.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from strutwright.models.checks.check import Check, rows_of
from strutwright.models.checks.results import Results
from strutwright.models.finding import FAILS, SIZES_CAUSE, STANDINGS, WARNS, WITHIN, beyond
from strutwright.models.geometry import footprints, members
from strutwright.models.geometry.members import RootRoom, root_room
from strutwright.models.spec import Strut
from strutwright.models.struts import Struts
from strutwright.params.limits import users
from strutwright.params.words import fine_mm, say

CHECKS = (ARM_BARREL, ARM_PALM, SKEG) = rows_of("roots")


def check(out: Results) -> None:
    """Check that the roots fit as asked.

    >>> found(check, "harbour-launch")["root_on_barrel"].verdict.value
    'ok'
    """
    if not out.tells:
        _many(out)
        return
    strut, room = out.strut, root_room(out.limits)
    most = None if all(members.roots_fit(strut, room)) else members.largest_roots(strut, room)
    cast = strut.construction == "cast"
    for k, arm in enumerate(strut.arms):
        for check, where in ((ARM_BARREL, "barrel"), (ARM_PALM, "palm")):
            asked = arm.barrel_root_mm if check is ARM_BARREL else arm.palm_root_mm
            parameter = f"arms.root_fillet.{where}" if cast else f"welds.arm_to_{where}_leg"
            fits = asked if most is None else getattr(most.arms[k], f"{where}_mm")
            _told(out, check, f"the {arm.name} at the {where}", parameter, asked, fits)
    if strut.skeg is not None:
        asked, parameter = strut.skeg.root_mm, "skeg.root_fillet" if cast else "welds.skeg_to_barrel_leg"
        _told(out, SKEG, "the skeg at the barrel", parameter, asked, asked if most is None else most.skeg_mm)


def _told(out: Results, check: Check, where: str, parameter: str, asked_mm: float, most_mm: float) -> None:
    """A fillet or leg of 0 is none, and fits. What fits has no share of a limit: larger ones are not tried."""
    cast = out.strut.construction == "cast"
    what = f"{'fillet' if cast else 'weld'} of {where}"
    follows = (n for n in check.limits if n != ("weld_open" if cast else "root_bare_arm"))
    row = users(out.limits, *follows)
    own = "" if row is None else row.name
    if most_mm >= asked_mm:
        rests: dict[str, Any] = {"source": row.source, "standing": STANDINGS[row.standing]} if row else {}
        out.holds(check, True, what=f"{what} fits", parameter=parameter, advice="", **rests)
        return
    why = "its legs must lie on both sides all round, clear of the barrel's faces"
    if cast:
        next_root = "the arms' roots" if check is SKEG else "the next root"
        why = f"its ball must touch both sides all round, clear of the barrel's faces and of {next_root}"
    good = members.buildable_mm(most_mm)
    advice = say("none fits, as {why}; change arms.section, arms.position or the barrel", why=why)
    if good > 0:
        advice = say("{parameter} of {most} fits; {why}", parameter=parameter, most=fine_mm(good), why=why)
    out.least(check, good, asked_mm, what=f"largest {what} that fits", parameter=parameter, advice=advice, also=own)


# --- many struts ----------------------------------------------------------------------------------------------------


def _many(out: Results) -> None:
    """The ball is rolled once for each set of sizes that it touches, a hundredth of a second each.

    Where those are too many, as in a search, a bound that asks a little more than the ball does stands for the root on
    the barrel, and the other roots are left to the check of the strut that is chosen.
    """
    c = out.struts
    if not out.roll:
        out.keep(ARM_BARREL, np.where(_beyond_faces(c, out.value("root_to_face")), FAILS, WITHIN), np.nan)
        return
    levels, room = np.full((c.count, 3), WITHIN, dtype=np.int8), root_room(out.limits)
    for strut, which in c.alike:
        levels[which] = _root_levels(strut, room)
    checks = [ARM_BARREL, ARM_PALM, *([SKEG] if c.own.skeg is not None else [])]
    for column, check in enumerate(checks):
        level = levels[:, column]
        out.keep(check, level if c.count > 1 else level[0], np.nan)


def _root_levels(strut: Strut, room: RootRoom) -> list[int]:
    """How the roots of one of many stand; what cannot be worked out on its sizes is a warning, as of one strut."""
    try:
        return [WITHIN if fits else FAILS for fits in members.roots_fit(strut, room)]
    except SIZES_CAUSE:
        return [WARNS] * 3


def _beyond_faces(c: Struts, face_mm: float) -> NDArray[np.bool_]:
    """Whether an arm's fillet or weld reaches too near to a face of the barrel, by a bound on the safe side."""
    out, room = np.zeros((), dtype=bool), c.inputs.barrel_length_mm / 2 - face_mm
    for k, arm in enumerate(c.inputs.arms):
        out = out | (beyond(footprints.root_reach_mm(c, k), room, "mm") & (np.asarray(arm.barrel_root_mm) > 0))
    return out
