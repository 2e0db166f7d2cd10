"""Checks of the roots: that each fillet's ball and each weld's bead fits where it is asked for. What fails here, the
solids cannot have as asked; what holds, they have.
"""

from __future__ import annotations

from strutwright.models.checks.bench import Bench
from strutwright.models.checks.check import Check
from strutwright.models.geometry import members
from strutwright.models.geometry.members import Member
from strutwright.models.geometry.roots import Root
from strutwright.params.words import fine_mm, say

_GROUP = "arms"
ARM_BARREL = Check("root_on_barrel", _GROUP, "the arm's fillet or weld fits on the barrel all round")
ARM_PALM = Check("root_on_palm", _GROUP, "the arm's fillet or weld fits on its palm all round")
SKEG = Check("skeg_root", "skeg", "the skeg's fillet or weld fits on the barrel all round")
CHECKS = (ARM_BARREL, ARM_PALM, SKEG)


def check(bench: Bench) -> None:
    """Find on the roots."""
    if bench.strut.construction == "cast":
        _fillets(bench)
    else:
        _beads(bench)


def _fillets(bench: Bench) -> None:
    strut = bench.strut
    fits = members.fitting_roots(strut)
    for arm, radii in zip(strut.arms, fits.arms, strict=True):
        for check, where, asked, most in (
            (ARM_BARREL, "barrel", arm.barrel_root_mm, radii.barrel_mm),
            (ARM_PALM, "palm", arm.palm_root_mm, radii.palm_mm),
        ):
            _fits(
                bench,
                check,
                f"fillet of the {arm.name} at the {where}",
                asked,
                most,
                f"arms.root_fillet.{where}",
                "its ball must touch both sides all round, clear of the barrel's faces and of the next root",
            )
    if strut.skeg is not None:
        _fits(
            bench,
            SKEG,
            "fillet of the skeg at the barrel",
            strut.skeg.root_mm,
            fits.skeg_mm,
            "skeg.root_fillet",
            "its ball must touch both sides all round, clear of the barrel's faces and of the arms' roots",
        )


def _beads(bench: Bench) -> None:
    strut, half = bench.strut, bench.strut.barrel.length_mm / 2
    for arm in strut.arms:
        member = members.arm_member(strut, arm)
        _bead(
            bench,
            ARM_BARREL,
            f"weld of the {arm.name} at the barrel",
            member,
            members.barrel_root(member, strut.barrel, 0.0),
            arm.barrel_root_mm,
            half,
            "welds.arm_to_barrel_leg",
        )
        _bead(
            bench,
            ARM_PALM,
            f"weld of the {arm.name} at the palm",
            member,
            members.palm_root(member, strut.palms[arm.palm_index], 0.0),
            arm.palm_root_mm,
            None,
            "welds.arm_to_palm_leg",
        )
    if strut.skeg is not None:
        fin = members.fin_member(strut.skeg, strut.barrel)
        _bead(
            bench,
            SKEG,
            "weld of the skeg at the barrel",
            fin,
            members.barrel_root(fin, strut.barrel, 0.0),
            strut.skeg.root_mm,
            half,
            "welds.skeg_to_barrel_leg",
        )


def _bead(
    bench: Bench,
    check: Check,
    what: str,
    member: Member,
    root: Root,
    leg_mm: float,
    half_mm: float | None,
    parameter: str,
) -> None:
    _fits(
        bench,
        check,
        what,
        leg_mm,
        members.largest_leg_mm(member, root, leg_mm, half_mm),
        parameter,
        "its legs must lie on both sides all round, clear of the barrel's faces",
    )


def _fits(bench: Bench, check: Check, what: str, asked_mm: float, most_mm: float, parameter: str, why: str) -> None:
    """A fillet or leg of 0 is none, and fits. What fits has no share of a limit: larger ones are not tried."""
    if most_mm >= asked_mm:
        bench.holds(check, f"{what} fits", True, parameter=parameter, advice="")
        return
    good = members.buildable_mm(most_mm)
    advice = say("none fits: {why}; change arms.section, arms.position or the barrel", why=why)
    if good > 0:
        advice = say("{parameter} of {most} fits: {why}", parameter=parameter, most=fine_mm(good), why=why)
    bench.least(check, f"largest {what} that fits", good, asked_mm, parameter=parameter, advice=advice)
