"""What fails, and what comes of it: the checks whose breach is a failure, from the tables of limits and checks."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from strutwright.models.checks.engineering import CHECKS
from strutwright.params import checks, limits
from strutwright.params.words import read

WHY = MappingProxyType(
    {
        "barrel": "the barrel cracks or wears through",
        "bearing": "the shaft seizes or hammers in its bearing",
        "fit": "barrel or shell give way, or the bearing comes loose",
        "set screws": "the bearing is not held, or the screw cannot be put in",
        "shaft": "the shaft breaks",
        "duty": "one of two figures is wrong",
        "arms": "the arm breaks, or cannot be made",
        "bolts": "the strut comes off, or its bolts cannot be drawn tight",
        "palm": "the palm gives way and lets water in",
        "flange": "the flange or its root cannot be made, or water gets in",
        "spigot": "it does not go into its bore",
        "flange strength": "the housing comes off, breaks or leaks",
        "rudder shoe": "the rudder loses its lower bearing, or the keel is torn",
        "plate": "the plate, or the boss in it, cannot be fitted",
        "bush": "the rudder binds or hammers",
        "boss": "the stock is not carried, or sand stays in the bore",
        "rudder": "the rudder jumps out of its lower bearing",
        "structure": "the structure that holds the housing cracks, or the bearing runs dry",
        "let in": "the housing comes loose, or structure or bearing give way",
        "locking screws": "the housing turns or creeps out, or its wall gives way",
        "drawing holes": "the housing cannot be drawn out again",
        "collar": "the collar does not seat, or breaks off",
        "hanger": "the bearing runs dry, or the barrel touches its foot",
        "cap": "the cap comes off, or the bearing turns in it",
        "under foot": "the hanger cannot be brought into line",
        "hanger strength": "the hanger breaks or comes off, and the shaft whips",
        "welds": "the joint opens, or cannot be welded",
        "hull": "parts touch, or a figure is wrong",
        "propeller": "the blades strike or starve",
        "fatigue": "it cracks through in its life",
        "skeg": "the fin comes off or cannot be made, or the blades strike",
    }
)
"""What comes of it where a check fails, by its group."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Failing:
    """Checks that fail alike. asked: what is asked; at: the limit; rests: its standing; comes_of_it: or else."""

    codes: tuple[str, ...]
    asked: str
    at: str
    rests: str
    comes_of_it: str


def failing() -> list[Failing]:
    """Return what fails, geometry first, then the engineering.

    >>> next(f for f in failing() if "barrel_wall_least" in f.codes).at
    '0.2 d'
    """
    standard = limits.standard()
    rows: dict[tuple[str, str, str, str], list[str]] = {}
    for row in (row for rows in checks.geometry_rows().values() for row in rows):
        for limit in (standard[name] for name in row.limits):
            if limit.breach == "failure":
                at = (limit.meaning, f"{limit.value:g} {limit.unit}", limit.standing, WHY[row.group])
                rows.setdefault(at, []).append(row.code)
    for number in checks.rows():
        if number.breach == "failure":
            words = number.meaning.replace("{case}", "each load case")
            if number.code in CHECKS:
                words = read(CHECKS[number.code].under(standard).meaning, "mm")
            rows.setdefault((words, number.limit_is, number.standing, WHY[number.group]), []).append(number.code)
    return [
        Failing(codes=tuple(codes), asked=asked, at=at, rests=rests, comes_of_it=why)
        for (asked, at, rests, why), codes in rows.items()
    ]
