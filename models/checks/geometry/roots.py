"""Checks of the roots: that each fillet's ball and each weld's bead fits where it is asked for. What fails here, the
solids cannot have as asked; what holds, they have.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from strutwright.models.checks.check import Check, rows_of
from strutwright.models.checks.results import Results
from strutwright.models.finding import FAILS, SIZES_CAUSE, WARNS, WITHIN, Standing, beyond
from strutwright.models.geometry import footprints, members
from strutwright.models.geometry.members import Member, RootRoom, root_room
from strutwright.models.geometry.roots import Root
from strutwright.models.spec import Strut
from strutwright.models.struts import Struts
from strutwright.params.limits import OWN
from strutwright.params.words import fine_mm, say

CHECKS = (ARM_BARREL, ARM_PALM, SKEG) = rows_of("roots")


def check(out: Results) -> None:
    """Check that the roots fit as asked.

    >>> found(check, "harbour-launch")["root_on_barrel"].verdict.value
    'ok'
    """
    if not out.tells:
        _many(out)
    elif out.strut.construction == "cast":
        _fillets(out)
    else:
        _beads(out)


def _fillets(out: Results) -> None:
    strut = out.strut
    fits = members.fitting_roots(strut, root_room(out.limits))
    for arm, radii in zip(strut.arms, fits.arms, strict=True):
        for check, where, asked, most in (
            (ARM_BARREL, "barrel", arm.barrel_root_mm, radii.barrel_mm),
            (ARM_PALM, "palm", arm.palm_root_mm, radii.palm_mm),
        ):
            _fits(
                out,
                check,
                f"fillet of the {arm.name} at the {where}",
                asked,
                most,
                f"arms.root_fillet.{where}",
                "its ball must touch both sides all round, clear of the barrel's faces and of the next root",
            )
    if strut.skeg is not None:
        _fits(
            out,
            SKEG,
            "fillet of the skeg at the barrel",
            strut.skeg.root_mm,
            fits.skeg_mm,
            "skeg.root_fillet",
            "its ball must touch both sides all round, clear of the barrel's faces and of the arms' roots",
        )


def _beads(out: Results) -> None:
    strut, reach = out.strut, root_room(out.limits).reach_mm(out.strut.barrel)
    for arm in strut.arms:
        member = members.arm_member(strut, arm)
        _bead(
            out,
            ARM_BARREL,
            f"weld of the {arm.name} at the barrel",
            member,
            members.barrel_root(member, strut.barrel, 0.0),
            leg_mm=arm.barrel_root_mm,
            reach_mm=reach,
            parameter="welds.arm_to_barrel_leg",
        )
        _bead(
            out,
            ARM_PALM,
            f"weld of the {arm.name} at the palm",
            member,
            members.palm_root(member, strut.palms[arm.palm_index], 0.0),
            leg_mm=arm.palm_root_mm,
            reach_mm=None,
            parameter="welds.arm_to_palm_leg",
        )
    if strut.skeg is not None:
        fin = members.fin_member(strut.skeg, strut.barrel)
        _bead(
            out,
            SKEG,
            "weld of the skeg at the barrel",
            fin,
            members.barrel_root(fin, strut.barrel, 0.0),
            leg_mm=strut.skeg.root_mm,
            reach_mm=reach,
            parameter="welds.skeg_to_barrel_leg",
        )


def _bead(
    out: Results,
    check: Check,
    what: str,
    member: Member,
    root: Root,
    *,
    leg_mm: float,
    reach_mm: float | None,
    parameter: str,
) -> None:
    _fits(
        out,
        check,
        what,
        leg_mm,
        members.largest_leg_mm(member, root, leg_mm, out.value("weld_open"), reach_mm),
        parameter,
        "its legs must lie on both sides all round, clear of the barrel's faces",
    )


def _fits(out: Results, check: Check, what: str, asked_mm: float, most_mm: float, parameter: str, why: str) -> None:
    """A fillet or leg of 0 is none, and fits. What fits has no share of a limit: larger ones are not tried."""
    cast = out.strut.construction == "cast"
    follows = (n for n in check.limits if n != ("weld_open" if cast else "root_bare_arm"))
    own = next((n for n in follows if out.limits[n].changed), "")
    if most_mm >= asked_mm:
        rests: dict[str, Any] = {"source": OWN, "standing": Standing.PRACTICE} if own else {}
        out.holds(check, True, what=f"{what} fits", parameter=parameter, advice="", **rests)
        return
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
