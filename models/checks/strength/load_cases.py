"""Loads on the strut: where each comes from, how they act together, and the table of cases that a person reads.

A load acts in one of several ways: across the shaft where the bearing carries (propeller), along it, as a couple about
it, sideways at the heel, across it at mid-barrel, across an arm, or on the skeg. A case is a sum of loads, each in its
worst direction unless a clock is given. The worst of each are added, which is exact for one load and on the safe side
for several: every strength measured here (von Mises stress, bolt tension) is at most additive.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np

from strutwright.models import driven, shaft_support, shoe_hold
from strutwright.models.arrays import Num
from strutwright.models.checks.hull_words import HULL_LIMITS, limits_unused, sharing
from strutwright.models.checks.strength import blows, load_paths, skeg_blows
from strutwright.models.checks.strength.overstrength import BLOW, OVERSTRENGTHS, overstrength_limit, unused
from strutwright.models.finding import Standing
from strutwright.models.formulas import hanger as hangers
from strutwright.models.formulas import loads as mechanics
from strutwright.models.formulas import shaft as shafts
from strutwright.models.formulas import skeg_loads
from strutwright.models.inputs import NAN, Inputs, missing
from strutwright.models.once import once
from strutwright.params import schema_boat
from strutwright.params.limits import Limits
from strutwright.params.quantity import GRAVITY_M_S2
from strutwright.params.words import Words, say

Group: TypeAlias = Literal["propeller", "axial", "couple", "heel", "barrel", "side", "skeg_side", "skeg_ground"]
Reply: TypeAlias = Callable[[Group, float | None], Num]
"""What a unit load of a group does at worst (or at a clock angle, degrees)."""

HUB_RATIO = 0.18
"""Diameter of the hub over the propeller's, from which a blade is lost: the least usual, as it leaves the most blade; a
hub that is drawn or kept clear of is the largest usual."""
GROUPS: dict[str, Group] = {
    "weight": "propeller",
    "blade_loss": "propeller",
    "blade_tip": "propeller",
    "unbalance": "propeller",
    "blade_side": "propeller",
    "turn": "propeller",
    "thrust": "axial",
    "blade_rate": "axial",
    "grounding": "axial",
    "torque": "couple",
    "rudder": "heel",
    "line": "propeller",
    "force": "barrel",
    "side_hinge": "side",
    "skeg_side": "skeg_side",
    "skeg_grounding": "skeg_ground",
}
"""How each source of load acts."""
_KR = "guidance for high-speed light craft, Pt 4 Ch 2 Sec 6 (KR family)"


@dataclass(frozen=True, slots=True)
class Term:
    """One load of a case: source, factor, clock angle (degrees; None: worst), size (N) of a force of one's own."""

    source: str
    factor: float = 1.0
    clock_deg: float | None = None
    force_n: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """Loads that act together, the share of yield they may use, and what the case rests on.

    share: the limit that says what share of yield that is; "" where the file itself says it.
    needs: inputs it cannot do without. warn: breaking it warns, not fails. load_factor: on the loads where strength is
    held with a partial factor (EN 1993): that of a variable load for half of yield; accidents, which may use yield,
    have 1. limits: names of those it follows.
    """

    key: str
    name: str
    terms: tuple[Term, ...]
    share: str
    source: Words
    standing: Standing
    needs: tuple[str, ...] = ()
    warn: bool = True
    allowed_of_yield: float = NAN
    load_factor: float = 1.0
    limits: tuple[str, ...] = ()

    @property
    def is_own(self) -> bool:
        """Whether it is a case of the file's own."""
        return self.key.startswith("own_")

    def under(self, limits: Limits, given: tuple[str, ...] = ()) -> Case:
        """Return the case with what these limits say. given: names of those that the file itself says better."""
        allowed = limits[self.share].value if self.share else self.allowed_of_yield
        names = [*([self.share] if self.share else []), *(n for t in self.terms for n in _FOLLOWS.get(t.source, ()))]
        made, times = self, limits["load_weight"].value
        if self.key == "weight":
            how = "twice" if times == 2.0 else f"{times:g} times"
            made = replace(self, name=self.name.format(times=how), terms=(replace(self.terms[0], factor=times),))
            names.append("load_weight")
        if any(t.source in MAGNIFIED for t in self.terms):
            made = replace(made, source=say("{source}; {magnified}", source=self.source, magnified=_magnified(limits)))
        return replace(
            made,
            allowed_of_yield=allowed,
            load_factor=max(1.0, limits["load_factor"].value * 0.5 / allowed),
            limits=tuple(n for n in dict.fromkeys(names) if n not in given),
        )


def _magnified(limits: Limits) -> str:
    damping, near = (limits[name].value for name in ("damping_low", "resonance_band"))
    return (
        f"magnified by the strut's vibration (damping {damping:g}; nearer to resonance than {100.0 * near:g} % "
        "no more is counted than there)"
    )


MAGNIFIED: dict[str, Callable[[driven.Magnified], Num]] = {
    "blade_loss": lambda times: times.shaft_across,
    "blade_tip": lambda times: times.shaft_across,
    "unbalance": lambda times: times.shaft_across,
    "blade_side": lambda times: times.blade_across,
    "blade_rate": lambda times: times.blade_along,
}
"""Loads that turn or pulse, and by which figure the strut's vibration magnifies them."""
_THRUST = ("propeller_efficiency", "thrust_speed")
_SHAKEN = ("damping_low", "resonance_band", "idle_share", *HULL_LIMITS)
_ACROSS = (*shaft_support.OF_WHIRL, *shaft_support.OF_RUBBER, *_SHAKEN)
_FOLLOWS = {
    "blade_loss": ("hub_share", *_ACROSS),
    "blade_tip": ("hub_share", *_ACROSS),
    "unbalance": ("balance_grade", *_ACROSS),
    "blade_side": ("blade_rate_side", *_THRUST, *_ACROSS),
    "turn": ("turn_inflow", *_THRUST),
    "thrust": _THRUST,
    "blade_rate": ("blade_rate_thrust", "blade_rate_torque", *_THRUST, *_SHAKEN),
    "rudder": ("rudder_aspect",),
    "line": ("line_off",),
    "grounding": OVERSTRENGTHS,
    "side_hinge": (*OVERSTRENGTHS, BLOW),
    "skeg_side": OVERSTRENGTHS,
    "skeg_grounding": OVERSTRENGTHS,
}
"""Limits that the size of a load follows."""


def limits_of(terms: tuple[Term, ...]) -> tuple[str, ...]:
    """Return the limits that the sizes of loads follow, each once.

    >>> limits_of((Term("thrust"), Term("rudder")))
    ('propeller_efficiency', 'thrust_speed', 'rudder_aspect')
    """
    return tuple(dict.fromkeys(name for t in terms for name in _FOLLOWS.get(t.source, ())))


_BLADE = ("propeller_kg", "propeller_mm", "blades", "shaft_rpm")
_ESTIMATED = "; a blade's mass is estimated, give loads.blade_mass"
WEIGHT = Case(
    key="weight",
    name="{times} the weight of propeller and shaft, in any direction (boat rolling and slamming)",
    terms=(Term("weight"),),
    share="yield_service",
    source="statics; the factor 2 is common practice",
    standing=Standing.PRACTICE,
    needs=("propeller_kg",),
    warn=False,
)
TIP = Case(
    key="tip",
    name="a blade tip outside 0.9 R missing, at the worst speed from idle to full",
    terms=(Term("blade_tip"), Term("weight")),
    share="yield_service",
    source=f"{_KR}; mass of the tip by a plain blade's outline{_ESTIMATED}",
    standing=Standing.LOW,
    needs=_BLADE,
)
BLADE = Case(
    key="blade",
    name="a whole blade lost, at the worst speed from idle to full (accident)",
    terms=(Term("blade_loss"), Term("weight")),
    share="yield_accident",
    source=f"rotating force of the lost mass (mechanics; BV and RINA bracket rules, from memory){_ESTIMATED}",
    standing=Standing.LOW,
    needs=_BLADE,
)
TURN = Case(
    key="turn",
    name="turn at full speed",
    terms=(Term("turn"), Term("weight")),
    share="yield_service",
    source=f"{_KR} names the load; its size is an assumption",
    standing=Standing.LOW,
    needs=("propeller_kg", "power_kw", "boat_speed_kn"),
)
POWER = Case(
    key="power",
    name="full power, pulses of the blades fore and aft and sideways, and the propeller out of balance",
    terms=(Term("blade_rate"), Term("blade_side"), Term("unbalance"), Term("weight")),
    share="yield_service",
    source="Japanese guidance for aluminium high-speed craft names the direction; its size is an assumption",
    standing=Standing.LOW,
    needs=("propeller_kg", "propeller_mm", "blades", "power_kw", "shaft_rpm", "boat_speed_kn"),
)
SEIZED = Case(
    key="seized",
    name="shaft seized in the bearing at full power (accident)",
    terms=(Term("torque"),),
    share="yield_accident",
    source="yacht magazine on brackets, which must outlast a seizure; torque from power and speed",
    standing=Standing.PRACTICE,
    needs=("power_kw", "shaft_rpm"),
)
RUDDER = Case(
    key="rudder",
    name="rudder hard over at full speed, half its force at the heel",
    terms=(Term("rudder"),),
    share="yield_service",
    source=say("IACS UR S10 outside its range (steel ships of {24 m} and more)"),
    standing=Standing.MEMORY,
    needs=("rudder_m2", "boat_speed_kn"),
)
OF_LINE = (
    replace(
        WEIGHT,
        name="{times} the weight of the shaft that it carries, in any direction (boat rolling and slamming)",
        needs=("bearing_span_mm",),
    ),
    Case(
        key="line",
        name="the bearing off the line of its neighbours, with the shaft's weight",
        terms=(Term("line"), Term("weight")),
        share="yield_service",
        source="beam on three bearings; how far it stands off is common practice",
        standing=Standing.PRACTICE,
        needs=("bearing_span_mm",),
        warn=False,
    ),
    SEIZED,
)
"""Those of a bearing between two others."""
BUILT_IN = (WEIGHT, TIP, BLADE, TURN, POWER, SEIZED, RUDDER)
GROUNDING = Case(
    key="grounding",
    name="grounding or fouling, force aft, that bends the arm permanently (accident)",
    terms=(Term("grounding"),),
    share="yield_accident",
    source="simple plastic theory at the arm's likely strength",
    standing=Standing.PRACTICE,
)
SIDE_HINGE = Case(
    key="side_hinge",
    name="blow from the side that bends the arm permanently (accident)",
    terms=(Term("side_hinge"),),
    share="yield_accident",
    source="simple plastic theory at the arm's likely strength; that palm, bolts, welds and hull outlast the arm is "
    "common practice",
    standing=Standing.PRACTICE,
    warn=False,
)
SKEG_GROUNDING = Case(
    key="skeg_grounding",
    name="grounding of the skeg, force aft on the lowest of it, that bends skeg or arm permanently (accident)",
    terms=(Term("skeg_grounding"),),
    share="yield_accident",
    source="simple plastic theory at the likely strength of skeg and arm",
    standing=Standing.PRACTICE,
)
SKEG_SIDE = Case(
    key="skeg_side",
    name="blow from the side on the skeg that bends skeg or arm permanently (accident)",
    terms=(Term("skeg_side"),),
    share="yield_accident",
    source="simple plastic theory at the likely strength of skeg and arm; that palm, bolts, welds and hull outlast "
    "them is common practice",
    standing=Standing.PRACTICE,
    warn=False,
)
BLOWS = (SIDE_HINGE, SKEG_SIDE)
"""Blows that palm, bolts, welds and hull must outlast."""
OUTLASTED = tuple(case.key for case in BLOWS)
TOLD_APART = (GROUNDING.key, SKEG_GROUNDING.key)
"""Cases of which `grounding` tells, as no usual palm outlasts them."""
ACCIDENTS = (GROUNDING, SIDE_HINGE, SKEG_GROUNDING, SKEG_SIDE)
_BLOW_ON_A_VEE = "blow from the side on one arm that bends it permanently (accident)"
"""What a blow from the side is on a vee, whose barrel the other arm holds."""


def cases(inputs: Inputs) -> tuple[Case, ...]:
    """Return the elastic cases that apply to a strut: built-in ones first, then the file's own.

    >>> [case.key for case in cases(engineering_inputs("harbour-launch"))]  # no rudder on it
    ['weight', 'tip', 'blade', 'turn', 'power', 'seized']
    """
    if inputs.hanger is not None:
        own = [_own_case(n, c, given=False) for n, c in enumerate(inputs.own_cases, 1)]
        return tuple(c.under(inputs.limits) for c in (*OF_LINE, *own))
    given = blade_given(inputs)
    made = [c for c in BUILT_IN if c is not RUDDER or _has_heel(inputs)]
    if given:
        made = [
            replace(c, standing=Standing.PRACTICE, source=str(c.source).removesuffix(_ESTIMATED))
            if c in (TIP, BLADE)
            else c
            for c in made
        ]
    made += [_own_case(n, c, given) for n, c in enumerate(inputs.own_cases, 1)]
    return tuple(_shared(c.under(inputs.limits, by_file(inputs)), inputs) for c in made)


def accidents(inputs: Inputs) -> tuple[Case, ...]:
    """Return the cases that by definition use the arm up, each as strong as the arm is likely to be.

    >>> [(case.key, case.terms[0].factor) for case in accidents(engineering_inputs("harbour-launch"))]
    [('grounding', 1.25), ('side_hinge', 1.25)]
    """
    if inputs.hanger is not None:
        return ()  # nothing strikes it
    own, apart = overstrength_limit(inputs), unused(inputs)
    made = []
    on_it = ACCIDENTS if inputs.skeg is not None else (GROUNDING, SIDE_HINGE)
    for case in (c.under(inputs.limits) for c in on_it):
        terms = tuple(replace(t, factor=inputs.limit(own)) for t in case.terms)
        limits = tuple(n for n in case.limits if n not in apart)
        made.append(replace(case, terms=terms, limits=limits))
    if len(inputs.arms) > 1:
        made = [replace(c, name=_BLOW_ON_A_VEE) if c.key == SIDE_HINGE.key else _shared(c, inputs) for c in made]
    return tuple(made)


def _shared(case: Case, inputs: Inputs) -> Case:
    return replace(case, limits=tuple(dict.fromkeys((*case.limits, *sharing(inputs)))))


def blade_given(inputs: Inputs) -> bool:
    """Return whether the file says a blade's mass.

    >>> blade_given(engineering_inputs("harbour-launch", blade_kg=2.0))
    True
    """
    return not missing(inputs, ("blade_kg",))


def by_file(inputs: Inputs) -> tuple[str, ...]:
    """Return the limits that are not needed, as the file says it.

    >>> by_file(engineering_inputs("harbour-launch", blade_kg=2.0))  # its blade, stiffeners and rubber
    ('hub_share', 'hull_stiffener_near', 'hull_stiffener_far', 'rubber_modulus', 'rubber_range')
    """
    stand_in = {"hub_share": "blade_kg", "idle_share": "idle_rpm"}
    known = [limit for limit, name in stand_in.items() if not missing(inputs, (name,))]
    rubber = () if shaft_support.rubber_assumed(inputs) else shaft_support.OF_RUBBER
    return (*known, *limits_unused(inputs), *rubber)


def _has_heel(inputs: Inputs) -> bool:
    """Return whether the strut has a skeg that carries a rudder."""
    return inputs.skeg is not None and inputs.skeg.heel is not None


def unanswerable(case: Case, inputs: Inputs) -> tuple[str, str]:
    """Return (why, parameter) a load case of the file's own cannot be worked out, ("", "") when it can.

    >>> unanswerable(RUDDER, engineering_inputs("harbour-launch"))
    ('a load `rudder` needs a skeg with a heel', 'skeg.heel')
    """
    if any(t.source == "force" and t.force_n is None for t in case.terms):
        return "a load `force` has no size: give its `force`", "loads.cases"
    if any(t.source == "rudder" for t in case.terms) and not _has_heel(inputs):
        return "a load `rudder` needs a skeg with a heel", "skeg.heel"
    return "", ""


def _own_case(number: int, said: schema_boat.LoadCase, given: bool) -> Case:
    """Return a load case of the file's own, the number-th; it rests on the weakest of its loads.

    given: the file says a blade's mass.
    """
    sources = {t.source for t in said.terms}
    weak = bool(sources & {"turn", "blade_rate", "thrust"}) or ("blade_loss" in sources and not given)
    standing = Standing.LOW if weak else Standing.MEMORY if "rudder" in sources else Standing.PRACTICE
    needs: tuple[str, ...] = ()
    for t in said.terms:
        needs += tuple(n for n in _NEEDS.get(t.source, ()) if n not in needs)
    return Case(
        key=f"own_{number}",
        name=said.name,
        terms=terms_of(said),
        share="",
        source="load case of the file's own",
        standing=standing,
        needs=needs,
        warn=standing is not Standing.PRACTICE,
        allowed_of_yield=said.allowed_of_yield,
    )


def terms_of(said: schema_boat.LoadCase) -> tuple[Term, ...]:
    """Return the loads of a case of the file's own.

    >>> push = schema_boat.LoadCase(name="push", terms=[schema_boat.LoadTerm(source="thrust", factor=0.04)])
    >>> terms_of(push)
    (Term(source='thrust', factor=0.04, clock_deg=None, force_n=None),)
    """
    return tuple(Term(t.source, t.factor, t.clock, t.force) for t in said.terms)


_NEEDS: dict[str, tuple[str, ...]] = {
    "weight": WEIGHT.needs,
    "blade_loss": _BLADE,
    "turn": TURN.needs,
    "thrust": ("power_kw", "boat_speed_kn"),
    "torque": SEIZED.needs,
    "blade_rate": POWER.needs[1:],
    "rudder": RUDDER.needs,
}


# --- sources --------------------------------------------------------------------------------------------------------


def thrust_n(inputs: Inputs) -> Num:
    """Return the propeller's thrust, N: power x efficiency over the boat's speed, or over `thrust_speed` for a slower
    boat; nan where power or speed is not known.

    >>> round(float(thrust_n(engineering_inputs("harbour-launch"))))  # 24 kW at 9 kn
    5184
    """
    speed = np.maximum(inputs.boat_speed_kn, inputs.limit("thrust_speed"))
    return mechanics.thrust_n(inputs.power_kw, speed, inputs.limit("propeller_efficiency"))


def rudder_n(inputs: Inputs) -> Num:
    """Return the rudder force, N, by the form of IACS UR S10: foil rudder in the jet, ahead.

    >>> round(float(rudder_n(engineering_inputs("yawl-with-heel"))), 1)  # 132 x 3.5 / 3 x 1.1 x 0.25 m2 x 9^2
    3430.3
    """
    return skeg_loads.rudder_force_n(inputs.rudder_m2, inputs.boat_speed_kn, inputs.limit("rudder_aspect"))


@once
def amplitudes(inputs: Inputs) -> dict[str, Num]:
    """Return the size of every source as it loads the strut: N, or N mm for the torque; nan when not known.

    What turns or pulses is magnified by the strut's vibration, at the worst speed of the running range.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=float("nan"))
    >>> round(float(amplitudes(rigid)["blade_loss"] / still(rigid)["blade_loss"]), 3)  # at 27.3 Hz
    2.874
    """
    if _shaken_by_none(inputs):
        return still(inputs)
    return _times(still(inputs), driven.magnified(inputs))


@once
def amplitudes_near(inputs: Inputs, speed: float) -> dict[str, Num]:
    """Return the size of every source when the boat is run at a share of full speed: what goes with the square of the
    speed by that, and magnified as it is there.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=float("nan"))
    >>> round(float(amplitudes_near(rigid, 0.5)["blade_tip"] / still(rigid)["blade_tip"]), 4)  # 1.259 / 4
    0.3149
    """
    known = still(inputs)
    if _shaken_by_none(inputs):
        return known | {source: known[source] * speed * speed for source in ("torque", "rudder")}
    slower = {source: known[source] * speed * speed for source in (*MAGNIFIED, "turn", "thrust", "torque", "rudder")}
    return _times(known | slower, driven.magnified_near(inputs, speed))


def _shaken_by_none(inputs: Inputs) -> bool:
    """Whether none of its known loads turns or pulses: of a bearing between two others, and of a rudder."""
    return inputs.hanger is not None or inputs.shoe is not None


def _times(known: dict[str, Num], times: driven.Magnified) -> dict[str, Num]:
    return known | {source: known[source] * of(times) for source, of in MAGNIFIED.items()}


@once
def still(inputs: Inputs) -> dict[str, Num]:
    """Return the size of every source as it reaches the strut, vibration left out: N, or N mm for the torque.

    Loads of the propeller are magnified by the shaft's leverage on all its bearings: (span + overhang) / span on two.

    >>> round(still(engineering_inputs("harbour-launch"))["torque"] / 1000.0, 1)  # 9549.3 x 40 kW / 1300 rpm, N m
    293.8
    """
    if inputs.hanger is not None:
        return _between(inputs, inputs.hanger.aft_span_mm)
    if inputs.shoe is not None:
        force = skeg_loads.heel_reaction_n(shoe_hold.rudder_n(inputs))
        return dict.fromkeys(GROUPS, NAN) | {"rudder": force, "weight": shoe_hold.weight_n(inputs)}
    over = load_paths.carry_to_hub_mm(inputs)
    line = shafts.weight_n_per_mm(inputs.shaft_mm, inputs.shaft.density_kg_m3)
    weight, lever = shaft_support.carried_from_hub_n(inputs, over)
    whole = mechanics.blade_part(0.0, HUB_RATIO)
    tip = mechanics.blade_part(0.9, HUB_RATIO)
    blade = np.where(
        np.isnan(inputs.blade_kg),
        mechanics.blade_mass_estimate_kg(inputs.propeller_kg, inputs.blades, inputs.limit("hub_share")),
        inputs.blade_kg,
    )
    radius = inputs.propeller_mm / 2.0
    thrust, torque = thrust_n(inputs), shafts.torque_nmm(inputs.power_kw, inputs.shaft_rpm)
    overhung_kg = inputs.propeller_kg + line * over / GRAVITY_M_S2
    side = mechanics.turn_side_force_n(
        overhung_kg, inputs.side_acceleration_g * GRAVITY_M_S2, thrust, inputs.limit("turn_inflow")
    )
    hinge, ahead = blows.hinges(inputs), skeg_blows.from_ahead(inputs)
    return {
        "weight": weight,
        "blade_loss": lever * mechanics.blade_loss_force_n(blade, whole.centre_ratio * radius, inputs.shaft_rpm),
        "blade_tip": lever
        * mechanics.blade_loss_force_n(blade * tip.mass_share, tip.centre_ratio * radius, inputs.shaft_rpm),
        "unbalance": lever
        * mechanics.unbalance_force_n(inputs.propeller_kg, inputs.limit("balance_grade"), inputs.shaft_rpm),
        "blade_side": lever * inputs.limit("blade_rate_side") * thrust,
        "turn": lever * side,
        "thrust": thrust,
        "torque": torque,
        "blade_rate": mechanics.blade_rate_force_n(
            thrust, torque, inputs.propeller_mm, inputs.limit("blade_rate_thrust"), inputs.limit("blade_rate_torque")
        ),
        "rudder": skeg_loads.heel_reaction_n(rudder_n(inputs)) if _has_heel(inputs) else NAN,
        "grounding": hinge.aft_n,
        "side_hinge": hinge.side,
        "skeg_side": skeg_blows.hardest_n(inputs) if ahead is not None else NAN,
        "skeg_grounding": ahead.least_n if ahead is not None else NAN,
    }


def _between(inputs: Inputs, aft_mm: float) -> dict[str, Num]:
    """The sizes of the sources at a bearing between two others; the propeller's reach another."""
    line, ahead = shafts.weight_n_per_mm(inputs.shaft_mm, inputs.shaft.density_kg_m3), inputs.bearing_span_mm
    off = inputs.limit("line_off")
    pushed = hangers.pushed_off_line_n(inputs.shaft.modulus_mpa, inputs.shaft_mm, aft_mm, ahead, off)
    own = {
        "weight": line * (aft_mm + ahead) / 2.0,
        "line": pushed,
        "torque": shafts.torque_nmm(inputs.power_kw, inputs.shaft_rpm),
    }
    return dict.fromkeys(GROUPS, NAN) | own


def size(term: Term, known: dict[str, Num]) -> Num:
    """Return the size of a term, N or N mm, never negative; nan for a force of one's own that has no size.

    >>> size(Term("weight", -2.0), {"weight": 150.0})
    300.0
    """
    own = term.force_n if term.force_n is not None else NAN
    return abs(term.factor) * (own if term.source == "force" else known[term.source])


def worst(case: Case, known: dict[str, Num], reply: Reply) -> Num:
    """Return what a case does at worst: the sum of its terms' sizes times what a unit load of each does.

    >>> worst(SEIZED, {"torque": 3e5}, lambda group, clock_deg: 2e-4)  # 300 N m at 0.2 MPa per N m
    60.0
    """
    return worst_of_terms(case.terms, known, reply)


def worst_of_terms(terms: tuple[Term, ...], known: dict[str, Num], reply: Reply) -> Num:
    """Return what loads that act together do at worst, as `worst` of a case.

    >>> worst_of_terms((Term("torque"), Term("torque", -0.5)), {"torque": 3e5}, lambda group, clock_deg: 2e-4)
    90.0
    """
    total: Num = 0.0
    for term in terms:
        clock = term.clock_deg
        if clock is not None and term.factor < 0:
            clock += 180.0
        amount = size(term, known)
        unknown = np.ndim(amount) == 0 and math.isnan(amount)
        total = total + (NAN if unknown else amount * reply(GROUPS[term.source], clock))
    return total
