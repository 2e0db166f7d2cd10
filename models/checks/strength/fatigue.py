"""Fatigue: how much of its life the boat's use takes from the roots of arms and skeg, of a flange, a shoe or a hanger's
web, by what comes and goes there.

At blade rate: the pulses of the blades. At shaft rate: the unbalance left in the propeller. In hard turns: the side
force, and that of a rudder on the heel, from one side to the other. In waves: the weight of propeller and shaft, as
much of it as counts over once. A slower range carries the quicker ones on top (what a count by rainflow gives at most).
Loads are those of the strength, of their pulses the share that lasts; they go with the speed squared, and vibration
magnifies them as it does at the speeds of the boat's use. Welds: the toe in the arm, and the root on the throat. Cast
roots: plain metal with the notch factor of the fillet. Curves of steel stand for other metals; where such a metal is
welded, a crack grows with the strain. A bearing between two others feels what its shaft weighs, and that the hull
works, in waves; a rudder shoe the rudder from side to side. What else may come and go there is told (`_left_out`).
"""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from strutwright.models import halves, weld_sides
from strutwright.models.arrays import Num, greatest, least
from strutwright.models.checks.check import Check, of_groups, without_limits
from strutwright.models.checks.outcome import Outcome, at_least, at_most, finding_of, inform, information
from strutwright.models.checks.strength import arm_beams, arms, fatigue_advice, load_cases, skeg, welds
from strutwright.models.checks.strength.fatigue_places import RATES, Loads, Place, Rate, place_of, surroundings
from strutwright.models.checks.strength.load_cases import Term
from strutwright.models.checks.strength.root_places import housing_places
from strutwright.models.families import plain
from strutwright.models.finding import Finding, Standing, not_checked
from strutwright.models.formulas import fatigue as rules
from strutwright.models.inputs import Inputs
from strutwright.models.once import once
from strutwright.models.spec import Strut
from strutwright.models.spec_boat import Use
from strutwright.params import schema_boat, tables
from strutwright.params.limits import Limits
from strutwright.params.quantity import figure
from strutwright.params.words import Amount, Words, say

GROUP = "fatigue"
_DOUBTFUL = ("blade_rate", "turn")
"""Rates whose assumed loads are of low confidence."""
COLUMNS = (
    "place",
    "detail and curve",
    "blade rate MPa",
    "shaft rate MPa",
    "hard turn MPa",
    "waves MPa",
    "million cycles",
    "share of life used",
    "allowed",
    "lasts",
)
"""Columns of the table of fatigue: ranges at full speed, those of waves the greatest."""


def uses(inputs: Inputs) -> tuple[Use, ...]:
    """Return how the boat is run in its life: as the file says, else by its service and the limits.

    >>> uses(engineering_inputs("harbour-launch"))
    (Use(name='full speed', hours=500.0, speed=1.0), Use(name='cruising', hours=4500.0, speed=0.8))
    """
    if inputs.use:
        return inputs.use
    hours, share = (inputs.limit(f"{what}_hours_{inputs.service}") for what in ("life", "full_speed"))
    return Use("full speed", hours * share, 1.0), Use("cruising", hours * (1.0 - share), inputs.limit("cruise_speed"))


_PULSES = tuple(t for t in load_cases.POWER.terms if t.source.startswith("blade_"))
_ASSUMED: Loads = {
    "blade_rate": _PULSES,
    "shaft_rate": (Term("unbalance"),),
    "turn": (Term("turn"), Term("rudder")),
    "wave": (Term("weight"),),
}
"""What comes and goes at each rate where the file does not say it."""
_LOST = {"fatigue_tip": Term("blade_tip"), "fatigue_blade": Term("blade_loss")}
"""What turns with the shaft where something of the propeller is lost."""
_SKEG = ("fatigue_skeg", "fatigue_weld_skeg")
_SHOE = ("fatigue_shoe_boss", "fatigue_shoe_plate", "fatigue_weld_shoe")
_WORKS = 0.5
"""Of the bearing off its line, the amplitude by a hull that works: there and back again, once in its life."""
_WHEN_SHAKEN = {"fatigue_tip": "stop and change the propeller when it shakes; else "}


def comings(inputs: Inputs) -> dict[Rate, tuple[Term, ...]]:
    """Return what comes and goes at each rate, to either side: the file's own load cases before what is assumed.

    >>> comings(engineering_inputs("harbour-launch"))["shaft_rate"]
    (Term(source='unbalance', factor=1.0, clock_deg=None, force_n=None),)
    """
    made: dict[Rate, tuple[Term, ...]] = dict(_ASSUMED)
    made["blade_rate"] = tuple(replace(t, factor=inputs.limit("pulses_lasting")) for t in _PULSES)
    made["wave"] = (Term("weight", inputs.limit("load_weight") - 1.0),)
    if inputs.shoe is not None:
        made = {"turn": (Term("rudder"),), "wave": made["wave"]}
    elif inputs.hanger is not None:
        made = {"wave": (*made["wave"], Term("line", _WORKS))}
    elif not _steers(inputs):
        made["turn"] = (Term("turn"),)
    for rate in RATES:
        if own := [c for c in inputs.own_cases if c.comes_and_goes == rate]:
            made[rate] = tuple(t for c in own for t in load_cases.terms_of(c))
    return made


def _following(row: Check, loads: Loads) -> Check:
    """A check with the limits that the loads follow beside its own."""
    terms = tuple(t for each in loads.values() for t in each)
    if row.code in _SKEG:
        terms = (Term("rudder"),)
    elif row.code in _SHOE:
        terms = (Term("rudder"), Term("weight"))
    elif row.code in _LOST:
        terms = (*loads.get("blade_rate", ()), _LOST[row.code])
    waves = ("load_weight",) if "wave_period" in row.limits else ()
    return replace(row, limits=(*row.limits, *load_cases.limits_of(terms), *waves))


CHECKS = tuple(_following(row, _ASSUMED) for row in of_groups(GROUP))


def _steers(inputs: Inputs) -> bool:
    """Whether the strut carries a rudder."""
    return inputs.skeg is not None and inputs.skeg.heel is not None


# --- places ---------------------------------------------------------------------------------------------------------


_ENDS: tuple[tuple[weld_sides.End, int], ...] = (("barrel", 0), ("palm", arm_beams.AT_PALM))
"""Ends of an arm, and which of its stations each is."""


def notch(inputs: Inputs, arm: int, joint: str) -> arms.Notch:
    """Return the notch factors of the cast fillet at one end of an arm: shoulders as wide as barrel or palm; of pull
    the greater of what is seen along the shaft and across it.

    >>> round(float(notch(engineering_inputs("harbour-launch"), 0, "barrel").about_chord), 3)  # 22 into 73, radius 8
    1.455
    """
    a = inputs.arms[arm]
    if joint == "barrel":
        across, along, radius = inputs.barrel_outside_mm, inputs.barrel_length_mm, a.barrel_root_mm
        thickness, chord = a.thickness_barrel_mm, a.chord_barrel_mm
    else:
        palm = inputs.palms[a.palm_index]
        across, along, radius = palm.port_mm - palm.starboard_mm, palm.forward_mm - palm.aft_mm, a.palm_root_mm
        thickness, chord = a.thickness_palm_mm, a.chord_palm_mm
    return arms.Notch(
        np.maximum(
            rules.shoulder_in_tension(along, chord, radius), rules.shoulder_in_tension(across, thickness, radius)
        ),
        rules.shoulder_in_bending(across, thickness, radius),
        rules.shoulder_in_bending(along, chord, radius),
    )


_ARM = {"barrel": "fatigue_arm_barrel", "palm": "fatigue_arm_palm"}
_WELD = {"barrel": "fatigue_weld_barrel", "palm": "fatigue_weld_palm"}


@once
def places(inputs: Inputs) -> tuple[Place, ...]:
    """Return the places that may crack, arm by arm: of a welded strut toe and root of each weld, of a cast one fillets;
    then those of a skeg that carries a rudder, or of a housing.

    >>> [p.code for p in places(engineering_inputs("canal-tender"))]
    ['fatigue_arm_barrel', 'fatigue_weld_barrel', 'fatigue_arm_palm', 'fatigue_weld_palm']
    """
    return (*_of_arms(inputs, range(len(inputs.arms))), *_beside_arms(inputs))


def _beside_arms(inputs: Inputs) -> list[Place]:
    return [*_of_skeg(inputs), *([] if inputs.arms else housing_places(inputs, comings(inputs)))]


def _of_arms(inputs: Inputs, which: range) -> list[Place]:
    """The places of some of the arms."""
    beams, loads, out = arm_beams.beams(inputs), comings(inputs), list[Place]()
    for k in which:
        beam = beams[k]
        who = beam.arm.name if len(beams) > 1 else "arm"
        for joint, station in _ENDS:
            thick = beam.arm.thickness_barrel_mm if joint == "barrel" else beam.arm.thickness_palm_mm
            at = functools.partial(place_of, inputs, loads, thick)
            arm = _ARM[joint], f"{who} at the {joint}"
            if inputs.construction != "welded":
                reply = arms.reply_at(inputs, k, station, notch(inputs, k, joint))
                out.append(at(*arm, "cast fillet", reply, 1.0))
                continue
            out.append(at(*arm, "weld toe", arms.reply_at(inputs, k, station)))
            throat = welds.joint_throat_mm(inputs, joint, beam)
            # A weld right through the plate, on all sides, has no root.
            through = (throat > 0.4999 * thick) & weld_sides.goes_through(inputs, thick)
            root = welds.root_reply(inputs, k, joint)
            open_mm = np.where(through, 0.0, 1.0 / throat)[()]
            out.append(at(_WELD[joint], f"{who}, weld to the {joint}", "weld root", root, open_mm))
    return out


def _of_skeg(inputs: Inputs) -> list[Place]:
    """The root of a skeg that carries a rudder, which goes hard over to both sides in a turn."""
    fin = inputs.skeg
    if fin is None or fin.heel is None:
        return []
    loads: Loads = {"turn": (Term("rudder"),)}
    at = functools.partial(place_of, inputs, loads, fin.thickness_root_mm)
    skin, inside = (_SKEG[0], "skeg at the barrel"), (_SKEG[1], "skeg, weld to the barrel")
    stress = skeg.fin_stress_per_n(inputs, fin)
    if inputs.construction != "welded":
        fillet = rules.shoulder_in_bending(inputs.barrel_outside_mm, fin.thickness_root_mm, fin.root_mm)
        return [at(*skin, "cast fillet", lambda group, clock_deg: stress, fillet)]
    root = welds.skeg_root_per_n(inputs)
    return [
        at(*skin, "weld toe", lambda group, clock_deg: stress),
        at(*inside, "weld root", lambda group, clock_deg: root),
    ]


# --- sums -----------------------------------------------------------------------------------------------------------


def ranges_mpa(inputs: Inputs, place: Place, speed: float = 1.0) -> dict[Rate, Num]:
    """Return the range of stress of each rate at a place at a share of full speed, MPa, with its factors in it; of
    waves the most. A force of the file's own is one at full speed, and goes with the speed squared.

    >>> launch = engineering_inputs("harbour-launch")
    >>> {rate: round(float(size), 2) for rate, size in ranges_mpa(launch, places(launch)[1]).items()}  # at the palm
    {'blade_rate': 36.11, 'shaft_rate': 9.91, 'turn': 71.12, 'wave': 18.95}
    """
    known, out = load_cases.amplitudes_near(inputs, speed), dict[Rate, Num]()
    for rate in RATES:
        terms = tuple(
            replace(t, force_n=t.force_n * speed * speed) if rate != "wave" and t.force_n is not None else t
            for t in place.loads.get(rate, ())
        )
        out[rate] = 2.0 * place.factor * load_cases.worst_of_terms(terms, known, place.reply)
    return out


def used_up(inputs: Inputs, place: Place) -> Num:
    """Return Miner's sum of one place over the life of the boat.

    >>> tender = engineering_inputs("canal-tender")
    >>> round(float(used_up(tender, places(tender)[1])), 3)  # the weld at the barrel
    0.273
    """
    curve = place.curve
    total: Num = 0.0
    for use in uses(inputs):
        pulses, both, turned = _stacked(ranges_mpa(inputs, place, use.speed))
        one, two, three = (rules.damage_per_cycle(r, curve) for r in (pulses, both, turned))
        if "blade_rate" in place.loads or "shaft_rate" in place.loads:
            turns = rules.cycles(1.0, inputs.shaft_rpm * use.speed, use.hours)
            pulses_only = (inputs.blades - 1.0) * one if "blade_rate" in place.loads else 0.0
            total = total + turns * (pulses_only + two)
        if "turn" in place.loads:
            total = total + use.hours * inputs.limit("hard_turns") * three
    if "wave" not in place.loads:
        return total
    size = ranges_mpa(inputs, place)
    return total + rules.damage_by_waves(size["wave"], _waves(inputs), curve, _stacked(size)[1])


def _waves(inputs: Inputs) -> float:
    """How many waves it meets in its life."""
    return max(hours_of_life(inputs) * 3600.0 / inputs.limit("wave_period"), 10.0)


def _stacked(size: Mapping[Rate, Num]) -> tuple[Num, Num, Num]:
    """The ranges of the pulses alone, with what turns with the shaft, and with a hard turn."""
    both = size["blade_rate"] + size["shaft_rate"]
    return size["blade_rate"], both, both + size["turn"]


def hours_of_life(inputs: Inputs) -> float:
    """Return the hours that the boat is run in its life.

    >>> hours_of_life(engineering_inputs("harbour-launch"))
    5000.0
    """
    return math.fsum(use.hours for use in uses(inputs))


def _hours_with(inputs: Inputs, place: Place, lost: Term) -> Num:
    """How many hours at full speed a place lasts under a force that turns with the shaft and the blades' pulses."""
    pulses, turning = ranges_mpa(inputs, place)["blade_rate"], _turning_mpa(inputs, place, lost)
    each = (inputs.blades - 1.0) * rules.damage_per_cycle(pulses, place.curve)
    a_turn = each + rules.damage_per_cycle(pulses + turning, place.curve)
    return 1.0 / rules.cycles(a_turn, inputs.shaft_rpm, 1.0)


def _turning_mpa(inputs: Inputs, place: Place, lost: Term) -> Num:
    """The range of stress by a force that turns with the shaft, MPa."""
    known = load_cases.amplitudes_near(inputs, 1.0)
    return 2.0 * place.factor * load_cases.worst_of_terms((lost,), known, place.reply)


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of fatigue by code; broadcasts.

    >>> tip = numbers(engineering_inputs("coaster-steel"))["fatigue_tip"]
    >>> tip.demand, round(float(tip.capacity), 1)  # hours that it should last, and lasts
    (100.0, 7.6)
    """
    sums: dict[str, list[Num]] = {}
    on_arms = _of_arms(inputs, halves.unlike(inputs)) if inputs.arms else []
    looked_at = [*on_arms, *_beside_arms(inputs)]
    for place in looked_at:
        sums.setdefault(place.code, []).append(used_up(inputs, place))
    allowed = {place.code: inputs.limit(place.allowed) for place in looked_at}
    out = {code: at_most(greatest(each), allowed[code]) for code, each in sums.items()}
    if not on_arms or inputs.hanger is not None:
        return out
    tip, blade = (least([_hours_with(inputs, p, lost) for p in on_arms]) for lost in _LOST.values())
    out["fatigue_tip"] = at_least(tip, inputs.limit("tip_missing_hours"))
    out["fatigue_blade"] = information(60.0 * blade)
    return out


# --- what a person reads --------------------------------------------------------------------------------------------


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of fatigue: hints, unless steel has load cases of the file's own at blade rate and in turns.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> found = {f.code: f for f in findings(shipped("harbour-launch"), inputs, numbers(inputs))}
    >>> found["fatigue_arm_palm"].verdict.value
    'hint'
    """
    why, where = next(filter(any, (load_cases.unanswerable(c, inputs) for c in _own(inputs))), ("", ""))
    out, tried = [], fatigue_advice.Tried(inputs, numbers)
    for row in _rows(inputs):
        if row.code not in numbers_:
            continue
        if why:
            out.append(not_checked(row.code, row.meaning, why, parameter=where, group=GROUP))
            continue
        check, outcome = _resting(row, inputs), numbers_[row.code]
        made = finding_of(check, outcome, inputs, what=_words(check, inputs))
        if inputs.family == "strut" and check.limit_is != "information" and outcome.utilisation > 1.0:
            advice, parameter = tried.advised(row.code, float(outcome.utilisation))
            made = replace(made, advice=_WHEN_SHAKEN.get(row.code, "") + advice, parameter=parameter)
        out.append(made)
    return out + _left_out(inputs) + (_of_metal(inputs) if out else [])


_UNKNOWN = {
    "shaft_hanger": (
        "fatigue by what turns with the shaft: no load that turns is known here; a bent shaft, a coupling out of true "
        "and the propeller's share are left out, as are bolts and cap; give one that was measured (comes_and_goes)",
        "loads.cases",
    ),
    "rudder_shoe": (
        "fatigue by what shakes the rudder: its pulses in the propeller's jet, small movements of steering, flutter "
        "and the sea that strikes it are not known and left out, as are the fasteners; only helm from side to side and "
        "the rudder's weight in waves are counted, in the hours that the service or the file says (duty.use)",
        "duty.use",
    ),
    "flanged_housing": (
        "fatigue of the fasteners, the spigot and the ends of ribs is left out; fasteners that are drawn tight and "
        "stay so feel little of what comes and goes",
        "bolts.size",
    ),
    "let_in_housing": (
        "fatigue where the housing leaves its hole: that it rubs there is left out, and no figure for it is known; "
        "only a weld at the mouth is looked at",
        "hold",
    ),
}
"""What is left out of the fatigue of each kind of part, and which value it stands beside."""


def _left_out(inputs: Inputs) -> list[Finding]:
    """What fatigue leaves out, as information."""
    if inputs.family not in _UNKNOWN:
        return []
    what, parameter = _UNKNOWN[inputs.family]
    return [inform("fatigue_left_out", GROUP, what, "", parameter, standing=Standing.PRACTICE)]


def _of_metal(inputs: Inputs) -> list[Finding]:
    """What is known of a metal that is no steel of the curves."""
    name = inputs.strut.name
    if inputs.strut.family == "steel":
        return []
    endures = tables.endurance_mpa(name)
    if endures is None:
        what = f"no figure of what {name} endures in sea water could be read; curves of steel stand for it"
        return [inform("fatigue_metal", GROUP, what, "", "materials.strut", standing=Standing.LOW)]
    what = (
        f"amplitude that polished {name} endures in air; none for sea water could be read, curves of steel stand for it"
    )
    source = f"{tables.table('endurance').standard}; second-hand"
    return [
        inform(
            "fatigue_metal",
            GROUP,
            what,
            "",
            "materials.strut",
            actual=endures,
            unit="MPa",
            source=source,
            standing=Standing.LOW,
        )
    ]


def _own(inputs: Inputs) -> list[load_cases.Case]:
    """The load cases of the file's own that come and go."""
    said = {f"own_{n}" for n, c in enumerate(inputs.own_cases, 1) if c.comes_and_goes}
    return [c for c in load_cases.cases(inputs) if c.key in said]


def _own_rates(inputs: Inputs) -> set[str]:
    return {c.comes_and_goes for c in inputs.own_cases if c.comes_and_goes}


def _rows(inputs: Inputs) -> tuple[Check, ...]:
    """The checks with the limits that play a part: not those of other services, nor of what the file says itself."""
    own, out = _own_rates(inputs), list[str]()
    services = ("light", "pleasure", "long_range", "patrol", "passenger")
    other = [s for s in services if inputs.use or s != inputs.service]
    out += [f"{what}_hours_{s}" for s in other for what in ("life", "full_speed")]
    if inputs.use:
        out.append("cruise_speed")
    if "wave" in own:
        out.append("load_weight")
    if "blade_rate" in own:
        out.append("pulses_lasting")
    if load_cases.blade_given(inputs):
        out.append("hub_share")
    rows = tuple(_following(row, comings(inputs)) for row in of_groups(GROUP))
    if inputs.hanger is not None and not own - {"wave"}:
        # By waves alone the hours count, not how fast they are run.
        out += [f"full_speed_hours_{inputs.service}", "cruise_speed", "pulses_lasting", "hard_turns"]
        rows = tuple(replace(row, needs=("bearing_span_mm",)) for row in rows)
    return without_limits(rows, *out)


def _resting(row: Check, inputs: Inputs) -> Check:
    """The check by what it rests on: a hint, unless curve and loads are known."""
    unknown = row.code in (*_SKEG, *_SHOE) or inputs.hanger is not None
    if unknown or inputs.strut.family != "steel" or not set(_DOUBTFUL) <= _own_rates(inputs):
        return row
    if row.code in ("fatigue_tip", "fatigue_blade") and not load_cases.blade_given(inputs):
        return row
    source = "curve of DNV-RP-C203, published (typed copy); load cases of the file's own"
    return replace(row, standing=Standing.PRACTICE, source=source)


def _words(check: Check, inputs: Inputs) -> Words:
    """What a finding says: the check, how long the place lasts, at which ranges; "" where there is no more to say."""
    if check.code in _LOST:
        return _lost_words(check, inputs)
    mine = [p for p in places(inputs) if p.code == check.code]
    worst = max(mine, key=lambda p: float(used_up(inputs, p)))
    sizes, used = ranges_mpa(inputs, worst), float(used_up(inputs, worst))
    if math.isnan(used):
        return ""
    what = check.under(inputs.limits).meaning
    if float(worst.factor) == 0.0:
        return say("{what}, none, as the weld goes right through the plate", what=what)
    pulsing = "blade_rate" in worst.loads
    ranges = "range at full speed " + (
        "{pulses} at blade rate, {all} with unbalance and a hard turn" if pulsing else "{all}"
    )
    if not set(RATES[:3]) & set(worst.loads):
        ranges, sizes = "greatest range in waves {all}", {**sizes, "blade_rate": sizes["wave"]}
    return say(
        "{what} in {life} h of use, lasts {hours}; " + ranges + "; {curve}",
        what=what,
        life=_rounded(hours_of_life(inputs)),
        hours=_hours(hours_of_life(inputs) / used if used else math.inf),
        all=Amount(float(sum(sizes[r] for r in RATES[:3])), "MPa"),
        curve=_curve(inputs, worst),
        **({"pulses": Amount(float(sizes["blade_rate"]), "MPa")} if pulsing else {}),
    )


def _lost_words(check: Check, inputs: Inputs) -> Words:
    """What is said of a propeller that lost something: where it cracks the strut and at which range."""
    lost = _LOST[check.code]
    worst = min((p for p in places(inputs) if p.code not in _SKEG), key=lambda p: float(_hours_with(inputs, p, lost)))
    size = float(_turning_mpa(inputs, worst, lost))
    if math.isnan(size):
        return ""
    return say(
        "{what}, {place} first; range {size}; {curve}",
        what=check.under(inputs.limits).meaning,
        place=worst.name,
        size=Amount(size, "MPa"),
        curve=_curve(inputs, worst),
    )


def _curve(inputs: Inputs, place: Place) -> str:
    taken = "" if inputs.strut.family == "steel" else f", taken for {inputs.strut.name}"
    return f"{place.detail}, curve {place.curve.name} of {surroundings(inputs)} steel in sea water{taken}"


def _hours(hours: float) -> str:
    """Hours as a person says them."""
    if hours >= 1e6:
        return "over a million h"
    return f"{_rounded(hours)} h" if hours >= 1.0 else f"{_rounded(60.0 * hours)} min"


def _rounded(value: float) -> str:
    """Three figures are more than fatigue tells."""
    return figure(float(f"{value:.3g}"))


def fatigue_table(
    strut: Strut, loads: schema_boat.Loads | None = None, limits: Limits | None = None
) -> list[dict[str, Any]]:
    """Return what fatigue does at each place of a part as plain rows (COLUMNS as keys); none where it is not known.

    >>> [row["place"] for row in fatigue_table(shipped("harbour-launch"))]
    ['arm at the barrel', 'arm at the palm']
    """
    inputs = Inputs.from_strut(strut, loads, limits=limits)
    with np.errstate(all="ignore"):
        made = [(place, float(used_up(inputs, place))) for place in places(inputs)]
        return [_row(inputs, place, used) for place, used in made if math.isfinite(used)]


def _row(inputs: Inputs, place: Place, used: float) -> dict[str, Any]:
    sizes = (round(float(size), 1) for size in ranges_mpa(inputs, place).values())
    count: Num = inputs.limit("hard_turns") * hours_of_life(inputs)
    if not set(RATES[:3]) & set(place.loads):
        count = _waves(inputs)
    if "blade_rate" in place.loads:
        rpm = inputs.blades * inputs.shaft_rpm
        count = sum(rules.cycles(1.0, float(rpm) * use.speed, use.hours) for use in uses(inputs))
    life = _hours(hours_of_life(inputs) / used if used else math.inf)
    sums = _rounded(float(count) / 1e6), _rounded(used), _rounded(inputs.limit(place.allowed))
    return dict(
        zip(COLUMNS, (plain(place.name, inputs.family), _curve(inputs, place), *sizes, *sums, life), strict=True)
    )
