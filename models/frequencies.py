"""Natural frequencies of the strut and masses that shake with it, for a batch of candidates.

The arms as tapered beams on a hull that gives (`models/hull_stiffness`), the barrel rigid; in the plane square to the
shaft and out of it, each by its own static shape (the barrel's turning goes with its moving). Rake and toe are left
out, and a skeg counts as if it were at the shaft line. `models/vibration_map` does one strut whole.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from strutwright.models import flange_hold, weights
from strutwright.models.arrays import Num
from strutwright.models.barrel_flexibility import barrel_flexibility
from strutwright.models.formulas import beams
from strutwright.models.formulas import vibration as rules
from strutwright.models.hull_stiffness import End, all_springs, ends
from strutwright.models.input_parts import ArmInputs
from strutwright.models.inputs import WATER_KG_M3, Inputs
from strutwright.models.once import once

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(2)
LET_IN_MM_N = 1e-7
"""How a let-in housing gives, mm/N: as good as rigid, as a bored skeg or tube is beside rubber; common practice."""
_AT = tuple(zip((0.5 * (_POINTS + 1.0)).tolist(), (0.5 * _WEIGHTS).tolist(), strict=True))


Moves: TypeAlias = tuple[Num, Num, Num]
"""Mass (kg) that moves with an arm's barrel end: of its own bending, mixed, and of what the hull's give adds."""


@dataclass(frozen=True, slots=True)
class ArmBeam:
    """An arm's flexibility at the shaft line, its own mass (kg), and the mass of arm and water that moves with the
    barrel in the plane and out of it."""

    flexibility: beams.ArmFlexibility
    own_kg: Num
    inplane_kg: Moves
    outward_kg: Moves


def moving_kg(moves: Moves, share: Num) -> Num:
    """Return the mass that moves with the barrel where the hull has a share (0 to 1) in its movement.

    >>> moving_kg((1.0, 0.2, 0.1), 1.0)
    1.5
    """
    return moves[0] + share * (2.0 * moves[1] + share * moves[2])


def arm_beam(inputs: Inputs, arm: ArmInputs) -> ArmBeam:
    """Return one arm as a beam; broadcasts.

    >>> tender = engineering_inputs("canal-tender")
    >>> float(round(arm_beam(tender, tender.arms[0]).flexibility.aa, 9))  # 179.2 over 193 GPa x 742
    1.252e-06
    """
    m, span = inputs.strut, arm.end_mm - arm.start_mm
    stations, weights = [arm.start_mm + at * span for at, _ in _AT], [weight * span for _, weight in _AT]
    found = [arm.section_at(s) for s in stations]
    flex = beams.arm_flexibility(weights, stations, [beams.Cut.of(p) for p in found], m.modulus_mpa, m.shear_mpa)
    nothing = 0.0 * span
    total: Num = nothing
    inside: list[Num] = [nothing] * 3
    outside: list[Num] = [nothing] * 3
    guided = len(inputs.arms) > 1
    for (at, _), s, ds, p in zip(_AT, stations, weights, found, strict=True):
        chord, thickness = arm.size_at(s)
        # How far the arm goes along with its barrel end: a cantilever, or in the plane of a vee a beam whose end does
        # not turn. Fore and aft the arms of a vee swing as cantilevers: only their twist resists the barrel's pitching.
        # Where the hull gives, a straight arm tips, and that of a vee is as if pinned to the hull.
        free, straight = 1.0 - 1.5 * at + 0.5 * at**3, 1.0 - at
        held, loose = (1.0 - 3.0 * at**2 + 2.0 * at**3, 1.0 - 1.5 * at**2 + 0.5 * at**3) if guided else (free, straight)
        water = rules.added_mass(chord, thickness, WATER_KG_M3)
        own = m.density_kg_m3 * 1e-9 * p.area_mm2
        total = total + ds * own
        across, along = ds * (own + water.across_kg_mm), ds * (own + water.along_kg_mm)
        for kept, line, hard, more in ((inside, across, held, loose - held), (outside, along, free, straight - free)):
            for n, shape in enumerate((hard * hard, hard * more, more * more)):
                kept[n] = kept[n] + line * shape
    return ArmBeam(flex, total, (inside[0], inside[1], inside[2]), (outside[0], outside[1], outside[2]))


@once
def arm_beams(inputs: Inputs) -> list[ArmBeam]:
    """Return the arms as beams; kept with the inputs. Two of the same sizes bend alike: in a study they hold the
    very same arrays.

    >>> one, two = arm_beams(engineering_inputs("pilot-vee"))
    >>> one is two
    False
    """
    made: dict[tuple[int, ...], ArmBeam] = {}
    out = []
    for arm in inputs.arms:
        sizes = (
            arm.start_mm,
            arm.end_mm,
            arm.chord_barrel_mm,
            arm.thickness_barrel_mm,
            arm.chord_palm_mm,
            arm.thickness_palm_mm,
            arm.edge_radius_mm,
        )
        same = tuple(id(v) for v in sizes)
        made[same] = made.get(same) or arm_beam(inputs, arm)
        out.append(made[same])
    return out


def barrel_kg(inputs: Inputs) -> Num:
    """Return the mass of barrel, bearings and skeg, kg, in air; broadcasts.

    >>> round(float(barrel_kg(engineering_inputs("harbour-launch"))), 2)  # 1.711 and a bearing of 0.598
    2.31
    """
    fin = weights.skeg(inputs)
    return weights.barrel(inputs).mass_kg + weights.bearing_kg(inputs) + (0.0 if fin is None else fin.mass_kg)


def barrel_water_kg(inputs: Inputs) -> Num:
    """Return the water that moves athwart with barrel and skeg, kg; broadcasts.

    About what the barrel displaces; a fin's as of a long section of its mean chord.

    >>> round(barrel_water_kg(engineering_inputs("canal-tender")), 4)  # pi / 4 x 48^2 x 74 x 1.025e-6
    0.1373
    """
    water, s = weights.barrel_outside_mm3(inputs)[0] * WATER_KG_M3 * 1e-9, inputs.skeg
    if s is None:
        return water
    chord = (s.root_forward_x_mm - s.root_aft_x_mm + s.tip_chord_mm) / 2.0
    across = rules.added_mass(chord, s.thickness_root_mm, WATER_KG_M3).across_kg_mm
    return water + across * (s.depth_mm - inputs.barrel_outside_mm / 2.0)


def running_share_kg(inputs: Inputs) -> Num:
    """Return the mass of propeller and shaft that moves sideways with the bearing, kg; nan when not known; broadcasts.

    The shaft swings as a lever about the next bearing forward: squares of the distances.

    >>> round(running_share_kg(engineering_inputs("harbour-launch")), 1)  # 13.75 x 1.1227^2 + 0.00868 x 519
    21.8
    """
    return _swinging_kg(inputs, inputs.bearing_span_mm, inputs.overhang_mm)


def running_share_taken_kg(inputs: Inputs) -> Num:
    """Return it with the distances that the loads take where the file says none; broadcasts.

    >>> unsaid = engineering_inputs("harbour-launch", bearing_span_mm=math.nan)
    >>> round(float(running_share_taken_kg(unsaid)), 1)  # over 20 shafts: 13.75 x 1.1929^2 + 0.00868 x 396
    23.0
    """
    hub = inputs.hub_gap_taken_mm + inputs.hub_length_taken_mm / 2.0
    over = inputs.bearing_x_mm + inputs.barrel_length_mm / 2.0 + hub
    return _swinging_kg(inputs, inputs.bearing_span_taken_mm, over)


def _swinging_kg(inputs: Inputs, span: Num, overhang: Num) -> Num:
    line = math.pi / 4.0 * inputs.shaft_mm**2 * (inputs.shaft.density_kg_m3 + WATER_KG_M3) * 1e-9
    return inputs.limit("propeller_entrained") * inputs.propeller_kg * ((span + overhang) / span) ** 2 + line * (
        span + overhang
    ) ** 3 / (3.0 * span**2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Held:
    """The barrel on its arms and their seat as springs with masses: in the plane square to the shaft, and along it.

    Flexibilities, mm/N: athwart (yy), toward the hull (zz), between the two (yz), along the shaft. Masses kg; across_kg
    without propeller and shaft.
    """

    yy: Num
    zz: Num
    yz: Num
    across_kg: Num
    along: Num
    along_kg: Num

    @property
    def across_n_mm(self) -> tuple[Num, Num]:
        """The least and the greatest stiffness in the plane, N/mm."""
        middle = (self.yy + self.zz) / 2.0
        half = np.sqrt(((self.yy - self.zz) / 2.0) ** 2 + self.yz * self.yz)
        return 1.0 / (middle + half), 1.0 / (middle - half)

    def across_hz(self, running_kg: Num) -> tuple[Num, Num]:
        """Return the lowest and the highest natural frequency in the plane, Hz, with the mass that runs in it."""
        (soft, stiff), moving = self.across_n_mm, self.across_kg + running_kg
        return rules.frequency_hz(soft, moving), rules.frequency_hz(stiff, moving)

    @property
    def along_hz(self) -> Num:
        """The natural frequency along the shaft, Hz."""
        return rules.frequency_hz(1.0 / self.along, self.along_kg)


@once
def held(inputs: Inputs, hull: End) -> Held:
    """Return the barrel on its arms; broadcasts. Kept with the inputs, as several modules ask.

    hull: rigid, or the soft or stiff end of its range. Beam theory with shear; added mass of long sections in open
    water. Fore and aft the barrel slides on the shaft.

    >>> tender = held(engineering_inputs("canal-tender"), "rigid")
    >>> round(1.0 / float(tender.zz), -3)  # along the arm: 193 GPa x 742 over 179.2
    799000.0
    """
    arms = arm_beams(inputs)
    flex = barrel_flexibility(inputs, [b.flexibility for b in arms], hull)
    f, out = flex.inplane, flex.outward
    own, water = barrel_kg(inputs), barrel_water_kg(inputs)
    in_kg, out_kg = own + water, own
    vee = len(arms) > 1
    for arm, b, (across, along, turning, outward) in zip(inputs.arms, arms, flex.shares, strict=True):
        in_kg = in_kg + moving_kg(b.inplane_kg, turning if vee else across)
        out_kg = out_kg + moving_kg(b.outward_kg, outward)
        if vee and hull != "rigid":
            # Of a vee the hull lets the arms go lengthwise too: as much as the softest way for the barrel lies along.
            half = np.sqrt(((f.aa - f.bb) / 2.0) ** 2 + f.ab * f.ab)
            clock = np.radians(arm.clock_deg)
            sin, cos = np.sin(clock), np.cos(clock)
            skew = ((f.aa - f.bb) * (sin**2 - cos**2) / 2.0 + 2.0 * f.ab * sin * cos) / np.maximum(half, 1e-30)
            in_kg = in_kg + b.own_kg * along**2 * (1.0 + skew) / 2.0
    swing = inputs.barrel_length_mm**2 / 12.0 + (inputs.barrel_outside_mm**2 + inputs.bore_mm**2) / 16.0
    # Pitching, the barrel drags its water along; sliding along itself it does not.
    out_kg = out_kg + (own + water) * swing * (out.ab**2 + out.ac**2) / out.aa**2
    return Held(yy=f.aa, zz=f.bb, yz=f.ab, across_kg=in_kg, along=out.aa, along_kg=out_kg)


def strut_frequencies_hz(inputs: Inputs, hull: End) -> tuple[Num, Num, Num]:
    """Return natural frequencies of the strut, Hz: lowest and highest in the plane of its arms, and fore and aft.

    hull: rigid, or the soft or stiff end of its range. Broadcasts. The highest of a single arm is its stretching. In
    plane nan when propeller or bearing span are not known.

    >>> [round(float(hz), 1) for hz in strut_frequencies_hz(engineering_inputs("harbour-launch"), "rigid")]
    [32.7, 906.1, 366.7]
    """
    springs = held(inputs, hull)
    return (*springs.across_hz(running_share_kg(inputs)), springs.along_hz)


def bowing_hz(inputs: Inputs, hull: End) -> Num:
    """Return the lowest frequency at which the arms of a vee bow between barrel and hull, Hz; inf for a single arm.

    The barrel turns about the shaft and hardly moves, so that each arm is a beam pinned at the shaft line; even, with
    the section and the water of its middle. Within 8 % of beam elements, on the high side. Broadcasts.

    >>> vee, single = engineering_inputs("pilot-vee"), engineering_inputs("canal-tender")
    >>> round(float(bowing_hz(vee, "rigid")), 1), bowing_hz(single, "rigid")
    (223.5, inf)
    """
    if len(inputs.arms) < 2:
        return math.inf
    lowest: Num = math.inf
    for arm in inputs.arms:
        middle = (arm.start_mm + arm.end_mm) / 2.0
        p, (chord, thickness) = arm.section_at(middle), arm.size_at(middle)
        line = (
            inputs.strut.density_kg_m3 * 1e-9 * p.area_mm2
            + rules.added_mass(chord, thickness, WATER_KG_M3).across_kg_mm
        )
        turning: Num = math.inf
        if hull != "rigid":
            springs = all_springs(inputs)[arm.palm_index]
            # Two arms on one palm share what it withstands.
            turning = (springs.low if hull == "low" else springs.high).tilt_v_nmm / (
                len(inputs.arms) / len(inputs.palms)
            )
        bows = rules.pinned_sprung_hz(arm.end_mm, inputs.strut.modulus_mpa, p.ixx_mm4, line, turning)
        lowest = np.minimum(lowest, bows)
    return lowest


def stiffness_variants(inputs: Inputs) -> tuple[Held, ...]:
    """Return the barrel on its arms from the soft to the stiff end of the hull; on a rigid one where it is not known.

    What is driven takes the worst between the first and the last.

    >>> soft, stiff = stiffness_variants(engineering_inputs("harbour-launch"))
    >>> bool(soft.yy > stiff.yy)
    True
    """
    if inputs.flange is not None:
        return tuple(_on_flange(inputs, soft) for soft in (True, False))
    if inputs.let_in is not None:
        own = barrel_kg(inputs)
        rigid = LET_IN_MM_N + 0.0 * own
        return (Held(yy=rigid, zz=rigid, yz=0.0 * own, across_kg=own, along=rigid, along_kg=own),)
    return tuple(held(inputs, end) for end in ends(inputs))


def _on_flange(inputs: Inputs, soft: bool) -> Held:
    """The barrel of a flanged housing; all of its mass counts, though what is near the flange hardly moves."""
    give = flange_hold.give_mm_n(inputs, soft)
    own, area = barrel_kg(inputs), math.pi / 4.0 * (inputs.barrel_outside_mm**2 - inputs.bore_mm**2)
    along = flange_hold.lever_mm(inputs) / (inputs.strut.modulus_mpa * area)
    kg = own + barrel_water_kg(inputs)
    return Held(yy=give, zz=give, yz=0.0 * give, across_kg=kg, along=along, along_kg=own)
