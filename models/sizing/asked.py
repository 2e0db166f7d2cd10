"""What a search asks for beside the sizes: clearance in the bearing, its bore, and where its screws are."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Protocol

from strutwright.models.resolve import Resolved
from strutwright.models.sizing.judge import Judge, engineering_numbers
from strutwright.models.sizing.set_text import Choice, Known, SetText
from strutwright.models.spec import Strut
from strutwright.params.limits import Limits


class Makes(Protocol):
    """What makes candidates of one choice, and the text of one of them; of a strut the `Maker`."""

    choice: Choice
    d: float
    limits: Limits
    judge: Judge
    resolved: Resolved
    strut: Strut

    @property
    def writer(self) -> SetText:
        """What writes its sets."""

    def text(self, sizes: Mapping[str, float]) -> str:
        """Return a set with these sizes (mm) as the text of a file."""

    def data(self, sizes: Mapping[str, float]) -> Known:
        """Return the same as data."""


def bearing_and_screws(said: Known, make: Makes, *, bore: bool = True) -> bool:
    """Ask for what the barrel's sizes cannot mend: clearance that pressing leaves, a shell that stands it, screws
    that hold.

    said: what is known, which is changed, only where it leaves the bearing's clearance, the bore or the screws' places
    open. bore: whether the class of the bore is asked for too. Returns whether anything was asked for.

    >>> from strutwright.models.sizing.maker import Maker
    >>> make = Maker(loaded("canal-tender").document.data, Choice(bolt="M8", along=0), 20.0, standard())
    >>> bearing_and_screws({}, make)  # all of them hold
    False
    """
    numbers = engineering_numbers(make.judge.base, make.resolved, make.judge.base)
    over = {code: n for code, n in numbers.items() if n.utilisation > 1.0}
    asked = [
        _ask_clearance(said, make, [over.get(code) for code in ("clearance_pressed_least", "clearance_pressed_usual")]),
        bore and "shell_press_stress" in over and _ask_bore(said, make),
        "bearing_held" in over and _ask_screws(said, make),
    ]
    return any(asked)


def _ask_clearance(known: Known, make: Makes, pressed: list[Any]) -> bool:
    bearing = known.get("bearing")
    given = bearing is not None and not (isinstance(bearing, dict) and "running_clearance" not in bearing)
    short = [float(p.demand - p.capacity) for p in pressed if p is not None]
    if not short or given:
        return False
    own = make.strut.bearings[0]
    # A hundredth to spare for a thicker wall.
    wanted = own.inside_mm - make.d + max(short) + 0.01
    if wanted > max(make.limits["clearance_most"].value * make.d, make.limits["clearance_most_small"].value):
        return False
    sizes = bearing or make.writer.bearing(own)
    known["bearing"] = {**sizes, "running_clearance": make.writer.fine_up(wanted)}
    return True


def _ask_bore(known: Known, make: Makes) -> bool:
    barrel = known.get("barrel") or {}
    if barrel.get("fit", "press") != "press" or {"bore", "bore_class", "interference"} & barrel.keys():
        return False
    # The next wider class of bore presses a thin shell less; with a measured bearing no less than grips.
    seat = make.strut.barrel
    least = math.ceil(1000 * (seat.bore_upper_mm - seat.bore_lower_mm) / 2) / 1000
    measured = all(b.measured_mm is not None for b in make.strut.bearings)
    wanted = {"interference": make.writer.exact(least)} if measured else {"bore_class": "G7"}
    known["barrel"] = {**barrel, **wanted}
    return True


def _ask_screws(known: Known, make: Makes) -> bool:
    said = known.get("set_screws") or {}
    if "positions" in said or len(make.strut.bearings) != 1 or not make.strut.set_screws:
        return False
    clock = make.strut.set_screws[0].clock_deg
    known["set_screws"] = {**said, "positions": screws_at(make, 0.25, (clock, -clock))}
    return True


def screws_at(make: Makes, share: float, clocks_deg: tuple[float, ...]) -> list[dict[str, str]]:
    """Return places of screws as a file says them: that share of the bearing in from each of its ends, at each clock.

    >>> from strutwright.models.sizing.maker import Maker
    >>> make = Maker(loaded("canal-tender").document.data, Choice(bolt="M8", along=0), 20.0, standard())
    >>> screws_at(make, 0.25, (150.0,))[0]
    {'end': 'bearing_aft', 'distance': '20 mm', 'clock': '150 deg'}
    """
    away = make.writer.written(round(share * make.strut.bearings[0].length_mm, 1))
    return [
        {"end": end, "distance": away, "clock": f"{clock:g} deg"}
        for clock in clocks_deg
        for end in ("bearing_aft", "bearing_forward")
    ]
