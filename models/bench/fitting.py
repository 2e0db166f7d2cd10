"""Fitting a bearing: interference along the length, closure, press force with stroke, chill or warmth, and whether.

Of every range the end enters that makes the answer worse, and the answer says which. What is over its limit even at the
better end of the readings is no go, what is over it at the worse end only is doubtful.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from strutwright.models.arrays import Floats
from strutwright.models.bench.fitting_case import Case
from strutwright.models.formulas import bearing as bearings
from strutwright.models.formulas import press_fit
from strutwright.models.formulas.press_fit import PressFit
from strutwright.models.shell_fit import closes_per_mm, elastic, per_mm_of
from strutwright.params.limits import Limit, Limits

Verdict = Literal["go", "doubtful", "no go"]
ORDER: tuple[Verdict, ...] = ("go", "doubtful", "no go")
STATIONS = 121


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One thing that is held to a limit. within: as far as the readings are sure, in the same unit; end: which end of
    each range entered; limits: rows of the table of limits it follows.
    """

    name: str
    what: str
    value: float
    within: float
    limit: float
    unit: str
    at_most: bool
    verdict: Verdict
    end: str
    limits: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A way to get the bearing in, with what it asks: force (N) or temperatures (C) of bearing and barrel."""

    name: Literal["press", "draw bolt", "chill", "warm", "chill and warm"]
    verdict: Verdict
    force_n: float | None = None
    bearing_c: float | None = None
    barrel_c: float | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fitted:
    """What a fitting comes to. station_mm, interference_mm: along the length that the bearing lies in; stroke_mm,
    force_n: while it goes in. closure_mm: of the shell's bore and, at most, of the rubber's (least and most).
    bore_for_mm: least and most mean bore that this bearing would be right in, None where there is none.
    """

    case: Case
    station_mm: Floats
    interference_mm: Floats
    within_mm: float
    stroke_mm: Floats
    force_n: Floats
    closure_mm: tuple[float, float]
    closure_share: float
    clearance_mm: tuple[float, float]
    judged: tuple[Judged, ...]
    ways: tuple[Way, ...]
    bore_for_mm: tuple[float, float] | None

    @property
    def verdict(self) -> Verdict:
        """The worst of what is judged; and there has to be a way in."""
        worst = max((ORDER.index(j.verdict) for j in self.judged), default=0)
        way = min((ORDER.index(w.verdict) for w in self.ways), default=0)
        return ORDER[max(worst, way)]


def fit(case: Case, limits: Limits, press_n: float | None) -> Fitted:
    """Return what fitting comes to. press_n: force of the shop's press, None without.

    >>> found = fit(fitting_case(50.0, 50.03), standard(), None)
    >>> round(float(found.interference_mm.max()), 3), found.verdict
    (0.03, 'doubtful')
    """
    low, high = case.engaged_mm
    station = np.linspace(low, high, STATIONS)
    interference = case.outside(station - case.sits_mm) - case.bore_at(station)
    per_mm = _per_mm(case)
    most = _most_mm(case, interference)
    shell, stiff = (max(most, 0.0) * float(c) for c in (per_mm.sleeve_bore_closure_mm, _closes(case, per_mm)))
    left = [float(bearings.clearance_after_closure_mm(case.inside_mm, case.shaft_mm, c)) for c in (stiff, shell)]
    stroke, force = _stroke(case, per_mm, limits["press_friction"].value)
    judged = tuple(_judged(case, limits, interference, per_mm, left[0]))
    return Fitted(
        case=case,
        station_mm=station,
        interference_mm=interference,
        within_mm=case.within_mm,
        stroke_mm=stroke,
        force_n=force,
        closure_mm=(shell, stiff),
        closure_share=shell / most if most > 0 else float("nan"),
        clearance_mm=(left[0], left[1]),
        judged=judged,
        ways=tuple(_ways(case, limits, most, float(force.max()), press_n)) if case.press else (),
        bore_for_mm=_bore_for(case, limits, per_mm),
    )


def _per_mm(case: Case) -> PressFit:
    """What one millimetre of interference does, by the wall of shell that was measured."""
    d = case.bore.middle_mm
    bore = case.outside.middle_mm - 2.0 * case.shell_mm
    metals = elastic(case.hub), elastic(case.shell)
    return per_mm_of(d, case.barrel_outside_mm, bore, *metals, in_structure=case.in_structure)


def _most_mm(case: Case, interference: Floats) -> float:
    """The greatest interference, once the housing is in its structure as well."""
    return float(interference.max()) + case.closes_later_mm


def _stroke(case: Case, per_mm: PressFit, friction: float) -> tuple[Floats, Floats]:
    """Stroke and force on the way in, at the interference that the readings may hide and the most friction."""
    length, barrel = case.bearing_length_mm, case.barrel_length_mm
    from_aft = case.enters == "aft"

    def bore(along: Floats) -> Floats:
        return case.bore_at(along if from_aft else barrel - along)

    def outside(part: Floats) -> Floats:
        # The leading end is the forward one of a bearing that enters aft.
        return case.outside(length - part if from_aft else part) + case.within_mm + case.closes_later_mm

    # From the mouth to where its leading end stands at last.
    stroke = np.linspace(0.0, case.sits_mm + length if from_aft else barrel - case.sits_mm, 41)
    force = press_fit.stroke_force_n(
        stroke,
        bore,
        outside,
        bore_length_mm=barrel,
        sleeve_length_mm=length,
        pressure_per_mm=float(per_mm.pressure_mpa),
        friction=friction,
    )
    return stroke, force


# --- what is held to limits -------------------------------------------------------------------------------------------


def judge(value: float, within: float, row: Limit, limit: float, *, at_most: bool) -> Verdict:
    """Return how a value known within so much stands to a limit; what breaks one that only warns is doubtful.

    >>> row = standard()["clearance_floor"]
    >>> [judge(v, 0.01, row, 0.05, at_most=False) for v in (0.07, 0.055, 0.03)]
    ['go', 'doubtful', 'no go']
    """
    room = (limit - value) if at_most else (value - limit)
    if room >= within:
        return "go"
    return "no go" if room < -within and row.breach == "failure" else "doubtful"


def _row(
    limits: Limits,
    rule: str,
    *,
    name: str,
    what: str,
    value: float,
    within: float,
    end: str,
    limit: float | None = None,
    unit: str = "mm",
    at_most: bool = True,
) -> Judged:
    held = limits[rule].value if limit is None else limit
    return Judged(
        name=name,
        what=what,
        value=value,
        within=within,
        limit=held,
        unit=unit,
        at_most=at_most,
        verdict=judge(value, within, limits[rule], held, at_most=at_most),
        end=end,
        limits=(rule,),
    )


def _judged(case: Case, limits: Limits, interference: Floats, per_mm: PressFit, left: float) -> Iterator[Judged]:
    closes = _closes(case, per_mm) if _most_mm(case, interference) > -case.within_mm else 0.0
    rule = max(("clearance_least", "clearance_floor"), key=lambda n: _clearance(limits[n], case))
    for name, held in (("clearance", rule), ("clearance_usual", "clearance_usual")):
        yield _row(
            limits,
            held,
            name=name,
            what="clearance left on the shaft" if name == "clearance" else "clearance left, against the usual",
            value=left,
            within=float(np.hypot(case.clearance_within_mm, closes * case.within_mm)),
            limit=_clearance(limits[held], case),
            at_most=False,
            end="greatest interference, rubber that keeps its volume, least bore over it, greatest shaft",
        )
    yield from (_pressed if case.press else _slides)(case, limits, interference, per_mm)
    yield _row(
        limits,
        "bore_out_of_round",
        name="out_of_round",
        what="bore out of round",
        value=case.bore.out_of_round_mm,
        within=case.bore_within_mm,
        end="worst place; a mean of three directions is what presses",
    )


def _clearance(row: Limit, case: Case) -> float:
    return row.value * (case.shaft_mm if row.unit == "d" else 1.0)


def _closes(case: Case, per_mm: PressFit) -> float:
    """By how much the bore over the rubber closes for a millimetre of interference, at most."""
    shell = case.outside.middle_mm - 2.0 * case.shell_mm
    return float(closes_per_mm(per_mm, shell, case.inside_mm))


def _pressed(case: Case, limits: Limits, interference: Floats, per_mm: PressFit) -> Iterator[Judged]:
    share, shifts = limits["press_stress"].value, _by_sea(case, limits)
    most = max(_most_mm(case, interference) + max((*shifts, 0.0)), 0.0)
    for name, what, mpa, of in (
        ("barrel_stress", "stress in the barrel at its bore", per_mm.hub_mises_bore_mpa, case.hub),
        ("shell_stress", "stress in the shell at its bore", per_mm.sleeve_mises_bore_mpa, case.shell),
    ):
        yield _row(
            limits,
            "press_stress",
            name=name,
            what=what,
            value=most * float(mpa),
            within=case.within_mm * float(mpa),
            limit=share * float(of.strength_mpa),
            unit="MPa",
            end="greatest interference, coldest to warmest water; von Mises",
        )
    yield _loose(case, limits, interference)
    if shifts:
        sea = "sea_coldest" if shifts[0] <= shifts[1] else "sea_warmest"
        yield _row(
            limits,
            sea,
            name="kept",
            what="mean interference left in the sea",
            value=float(interference.mean()) + min((*shifts, 0.0)),
            within=case.within_mm,
            limit=0.0,
            at_most=False,
            end="coldest water" if sea == "sea_coldest" else "warmest water",
        )


def _by_sea(case: Case, limits: Limits) -> tuple[float, ...]:
    """What the interference gains from the shop to the coldest and to the warmest sea, mm; none where an expansion is
    not known: then the shop's temperature is all there is."""
    hub, sleeve, shop = elastic(case.hub), elastic(case.shell), limits["shop_temperature"].value
    rises = (limits[sea].value - shop for sea in ("sea_coldest", "sea_warmest"))
    found = tuple(float(press_fit.warmed_mm(case.bore.middle_mm, hub, sleeve, rise)) for rise in rises)
    return found if np.isfinite(found).all() else ()


def _loose(case: Case, limits: Limits, interference: Floats) -> Judged:
    """The share of the length that is loose; the readings may hide more or less of it."""
    row = limits["fitting_loose"]
    best, value, worst = (float(np.mean(interference + w <= 0.0)) for w in (case.within_mm, 0.0, -case.within_mm))
    verdict: Verdict = "go" if worst <= row.value else "doubtful"
    if best > row.value and row.breach == "failure":
        verdict = "no go"
    return Judged(
        name="loose",
        what="share of the length that is loose",
        value=value,
        within=worst - value,
        limit=row.value,
        unit="",
        at_most=True,
        verdict=verdict,
        end="least bearing in the widest bore that the readings allow",
        limits=("fitting_loose",),
    )


def _slides(case: Case, limits: Limits, interference: Floats, per_mm: PressFit) -> Iterator[Judged]:
    yield _row(
        limits,
        "slide_clearance",
        name="slide",
        what="clearance of the slide fit",
        value=-float(interference.min()),
        within=case.within_mm,
        end="least bearing in the widest bore",
    )
    yield _row(
        limits,
        "chilled_gap",
        name="slides",
        what="room to slide in",
        value=-_most_mm(case, interference),
        within=case.within_mm,
        at_most=False,
        end="greatest bearing in the narrowest bore",
    )


# --- how it gets in, and the bore that it would be right in -----------------------------------------------------------


def _ways(case: Case, limits: Limits, most: float, force_n: float, press_n: float | None) -> Iterator[Way]:
    """Every way in, the force at most friction, the temperatures at the greatest interference the readings allow."""
    if press_n is not None:
        share = limits["press_share"].value
        at_ease, enough = force_n <= share * press_n, force_n <= press_n
        yield Way(
            name="press",
            verdict="go" if at_ease else "doubtful" if enough else "no go",
            force_n=force_n,
            why="" if at_ease else f"over {100 * share:g} % of the press" if enough else "more than the press has",
        )
    drawn = force_n <= 1000.0 * limits["fitting_no_press"].value
    why = "" if drawn else "more than a draw bolt is trusted with"
    yield Way(name="draw bolt", verdict="go" if drawn else "no go", force_n=force_n, why=why)
    hub, sleeve = elastic(case.hub), elastic(case.shell)
    if not np.isfinite(float(hub.expansion_per_k) + float(sleeve.expansion_per_k)):
        return
    shop, floor, ceiling = (limits[n].value for n in ("shop_temperature", "rubber_coldest", "fitting_warmest"))

    def free(coldest: float) -> tuple[float, float]:
        made = press_fit.free_assembly(
            most + case.within_mm, limits["chilled_gap"].value, case.bore.middle_mm, hub, sleeve, shop, coldest
        )
        return float(made.sleeve_c), float(made.heat_hub_with_chill_c)

    cold, _ = free(-273.0)
    why = "" if cold >= floor else "colder than the rubber may be"
    yield Way(name="chill", verdict="no go" if why else "go", bearing_c=cold, barrel_c=shop, why=why)
    _, warm = free(shop)
    why = "" if warm <= ceiling else "warmer than the rubber may meet"
    yield Way(name="warm", verdict="no go" if why else "go", bearing_c=shop, barrel_c=warm, why=why)
    cold, warm = free(floor)
    if cold <= floor:
        why = "" if warm <= ceiling else "warmer than the rubber may meet"
        yield Way(name="chill and warm", verdict="no go" if why else "go", bearing_c=cold, barrel_c=warm, why=why)


def _bore_for(case: Case, limits: Limits, per_mm: PressFit) -> tuple[float, float] | None:
    """Least and most mean bore in which this bearing would be go by clearance, stress and hold."""
    outside, unsure = case.outside.mean_mm, case.within_mm
    if not case.press:
        least = float(outside.max()) + limits["chilled_gap"].value + unsure + case.closes_later_mm
        widest = float(outside.min()) + limits["slide_clearance"].value - unsure
        return (least, widest) if least <= widest else None
    usual = max(_clearance(limits[n], case) for n in ("clearance_least", "clearance_floor", "clearance_usual"))
    closes = _closes(case, per_mm)
    room = case.inside_mm - case.shaft_mm - usual - float(np.hypot(case.clearance_within_mm, closes * unsure))
    share, shifts = limits["press_stress"].value, _by_sea(case, limits)
    gains, loses = max((*shifts, 0.0)), -min((*shifts, 0.0))
    most = min(
        room / closes,
        share * float(case.hub.strength_mpa) / float(per_mm.hub_mises_bore_mpa) - unsure - gains,
        share * float(case.shell.strength_mpa) / float(per_mm.sleeve_mises_bore_mpa) - unsure - gains,
    )
    least, widest = float(outside.max()) + case.closes_later_mm - most, float(outside.min()) - unsure - loses
    return (least, widest) if least <= widest else None
