"""Water past arms and skeg: vortices and what they may shake, cavitation, drag. Information with its range, hints."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from strutwright.models import frequencies, hull_stiffness
from strutwright.models.arrays import Num, Triple, greatest, least
from strutwright.models.checks.check import of_groups
from strutwright.models.checks.hull_words import HULL_ENDS
from strutwright.models.checks.outcome import Outcome, at_least, at_most, finding_of, information
from strutwright.models.checks.strength import load_cases, load_paths
from strutwright.models.finding import Finding
from strutwright.models.formulas import drag
from strutwright.models.formulas import flow as rules
from strutwright.models.input_parts import ArmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.once import once
from strutwright.models.sections import kind_of
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.quantity import KNOT_M_S
from strutwright.params.words import Amount, Words, say

GROUP = "flow"
CHECKS = of_groups(GROUP)
SIGMA_OFF = 0.30
"""How far the stream of the propeller, wake and roughness may move the cavitation number; low confidence."""
_USUAL, _MOST = 2.0, 4.0
"""How far the stream may be off where it is taken to run, degrees; low confidence."""


class Blade(NamedTuple):
    """What stands in the stream, an arm or the skeg's fin: chord, thickness and radius of the edges (mm) at its two
    ends; off_deg: how far off its chord a stream comes that runs along the shaft or the hull, least and most."""

    shape: str
    ends: tuple[tuple[Num, Num, Num], tuple[Num, Num, Num]]
    off_deg: tuple[Num, Num]


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return rates, speeds and drag by code; broadcasts.

    >>> launch = numbers(engineering_inputs("harbour-launch"))
    >>> round(float(launch["arm_shedding"].demand), 1)  # an ellipse 22 to 27 thick at 9 kn: 0.20 x 4.63 / 0.0245
    37.8
    """
    speed = inputs.boat_speed_kn * KNOT_M_S
    pulls = drag_n(inputs, speed)
    return {
        "arm_shedding": information(shedding_hz(inputs)[1]),
        "arm_lock_in": _kept_off(inputs, speed),
        "arm_lock_in_speed": information(_meets_kn(inputs)[1]),
        "arm_cavitation": information(inception_kn(inputs, _USUAL)),
        "arm_side_stream": at_most(side_mpa(inputs, speed), inputs.limit("yield_service") * inputs.strut.yield_mpa),
        "arm_drag": information(pulls),
        "arm_drag_share": information(100.0 * pulls / load_cases.thrust_n(inputs)),
    }


@once
def blades(inputs: Inputs) -> list[Blade]:
    """Return what stands in the stream, the arms and the fin of a skeg; broadcasts. Kept with the inputs.

    >>> vee = blades(engineering_inputs("pilot-vee"))  # the bottom rises 10 degrees to the shaft, 26 off plumb
    >>> [round(float(off), 2) for off in vee[0].off_deg]
    [0.0, 4.42]
    """
    out = []
    for arm in inputs.arms:
        ends = [
            (chord, thick, 0.5 * thick if (edge := arm.edge_at(thick)) is None else edge)
            for chord, thick in (
                (arm.chord_barrel_mm, arm.thickness_barrel_mm),
                (arm.chord_palm_mm, arm.thickness_palm_mm),
            )
        ]
        along, hull = (
            rules.off_chord_deg(s, *_chord_and_axis(arm, inputs.pitch_deg)) for s in _streams(inputs.pitch_deg)
        )
        out.append(Blade(arm.shape, (ends[0], ends[1]), (np.minimum(along, hull), np.maximum(along, hull))))
    if (fin := inputs.skeg) is not None:
        kind, root = kind_of(fin.section), fin.root_forward_x_mm - fin.root_aft_x_mm
        edge = kind.usual_edge_mm(np.minimum(fin.thickness_root_mm, fin.thickness_tip_mm))
        # A plate's nose counts; its tail is cut square.
        thick = (fin.thickness_root_mm, fin.thickness_tip_mm)
        nose = [t / 2.0 if kind.nose == "half round" else edge for t in thick]
        out.append(Blade(fin.section, ((root, thick[0], nose[0]), (fin.tip_chord_mm, thick[1], nose[1])), (0.0, 0.0)))
    return out


def _streams(pitch_deg: Num) -> tuple[Triple, Triple]:
    """Along the shaft, and along the hull in the plane of the shaft."""
    return (1.0, 0.0, 0.0), (np.cos(np.radians(pitch_deg)), 0.0, -np.sin(np.radians(pitch_deg)))


def _chord_and_axis(arm: ArmInputs, pitch_deg: Num) -> tuple[Triple, Triple]:
    """The chord's direction after its toe, and the arm's."""
    d, (x, y, z) = arm.direction, _streams(pitch_deg)[int(arm.along_flow)]
    sin, cos = np.sin(np.radians(arm.toe_deg)), np.cos(np.radians(arm.toe_deg))
    aside = d[1] * z - d[2] * y, d[2] * x - d[0] * z, d[0] * y - d[1] * x
    kept = (1.0 - cos) * (d[0] * x + d[1] * y + d[2] * z)
    chord = [cos * f + sin * a + kept * n for f, a, n in zip((x, y, z), aside, d, strict=True)]
    return (chord[0], chord[1], chord[2]), d


# --- vortices -------------------------------------------------------------------------------------------------------


def shedding_hz(inputs: Inputs) -> tuple[Num, Num, Num]:
    """Return the least, the usual and the greatest rate at which an arm or the skeg sheds vortices at boat speed, Hz.

    Of arms that differ, and of their two ends: the least of all and the greatest. Broadcasts.

    >>> [round(float(hz), 1) for hz in shedding_hz(engineering_inputs("harbour-launch"))]
    [30.9, 37.8, 105.2]
    """
    found = [_rates_hz(blade, inputs.boat_speed_kn * KNOT_M_S) for blade in blades(inputs)]
    return least([f[0] for f in found]), least([f[1] for f in found]), greatest([f[2] for f in found])


def _rates_hz(blade: Blade, speed_m_s: Num) -> tuple[Num, Num, Num]:
    """The least, the usual and the greatest rate of one."""
    st, (low, middle, high) = _strouhal(blade), _heights_mm(blade, speed_m_s)
    return (
        rules.shedding_hz(st.low, speed_m_s, high),
        rules.shedding_hz(st.usual, speed_m_s, middle),
        rules.shedding_hz(st.high, speed_m_s, low),
    )


def _thin(blade: Blade) -> bool:
    """Whether its vortices are as small as its tail."""
    kind = kind_of(blade.shape)
    return kind.thin_edges and not kind.flat_sides


def _strouhal(blade: Blade) -> rules.Range:
    if _thin(blade):
        return rules.TAIL
    return rules.ELLIPSE if blade.shape == "ellipse" else rules.ROUND


def _heights_mm(blade: Blade, speed_m_s: Num) -> tuple[Num, Num, Num]:
    """What makes the vortices, least, in the middle and most: the thickness, or of a thin tail its own and both
    boundary layers. Two arcs meet at so wide an angle that the stream may leave them before: of these up to the
    thickness."""
    (chord, thick, edge), (other_chord, other, other_edge) = blade.ends
    most = np.maximum(thick, other)
    if not _thin(blade):
        return np.minimum(thick, other), (thick + other) / 2.0, most
    first = 2.0 * edge + 2.0 * rules.displacement_mm(speed_m_s, chord)
    second = 2.0 * other_edge + 2.0 * rules.displacement_mm(speed_m_s, other_chord)
    widest = np.maximum(first, second)
    low = np.minimum(first, second)
    return low, (first + second) / 2.0, np.maximum(widest, most) if blade.shape == "two_arcs" else widest


def _modes_hz(inputs: Inputs) -> list[tuple[Num, Num]]:
    """What vortices may shake, from soft to stiff hull: the strut in its plane, of a vee both ways, and bowing arms."""
    ends = [
        (*frequencies.strut_frequencies_hz(inputs, end)[:2], frequencies.bowing_hz(inputs, end)) for end in HULL_ENDS
    ]
    first = [np.minimum(f[0], f[2]) for f in ends]
    return [(first[0], first[1])] + ([(ends[0][1], ends[1][1])] if len(inputs.arms) > 1 else [])


def _kept_off(inputs: Inputs, speed_m_s: Num) -> Outcome:
    """How far all rates that are likely keep off all modes."""
    modes = _modes_hz(inputs)
    rates = [_rates_hz(blade, speed_m_s) for blade in blades(inputs)]
    off = least([off_range(*mode, low, high) for mode in modes for low, _, high in rates])
    return at_least(off, np.where(np.isnan(off), np.nan, inputs.limit("lock_in")))


def off_range(low_hz: Num, high_hz: Num, slow_hz: Num, fast_hz: Num) -> Num:
    """Return how far a range of frequencies keeps off a range of rates, as a share of the rate; 0 where they meet.

    >>> float(off_range(20.0, 24.0, 32.0, 40.0)), float(off_range(20.0, 33.0, 32.0, 40.0))
    (0.25, 0.0)
    """
    off: Num = np.maximum(np.maximum(low_hz / fast_hz - 1.0, 1.0 - high_hz / slow_hz), 0.0)
    return off


def _meets_kn(inputs: Inputs) -> tuple[Num, Num, Num]:
    """The boat speed at which vortices may first meet the lowest mode, usually meet it, and at last, kn."""
    soft, stiff = _modes_hz(inputs)[0]
    found = []
    for blade in blades(inputs):
        st, ((chord, thick, edge), (other_chord, other, other_edge)) = _strouhal(blade), blade.ends
        if not _thin(blade):
            low, high = np.minimum(thick, other), np.maximum(thick, other)
            sizes: list[tuple[Num, Num | None]] = [(low, None), ((thick + other) / 2.0, None), (high, None)]
        else:
            tails, layers = (2.0 * edge, 2.0 * other_edge), (chord, other_chord)
            sizes = [
                (np.minimum(*tails), np.minimum(*layers)),
                ((tails[0] + tails[1]) / 2.0, (chord + other_chord) / 2.0),
                (np.maximum(thick, other), None)
                if blade.shape == "two_arcs"
                else (np.maximum(*tails), np.maximum(*layers)),
            ]
        asked = zip((st.high, st.usual, st.low), (soft, soft, stiff), sizes, strict=True)
        found.append([rules.meets_m_s(number, hz, *size) / KNOT_M_S for number, hz, size in asked])
    return least([f[0] for f in found]), least([f[1] for f in found]), greatest([f[2] for f in found])


# --- cavitation and drag --------------------------------------------------------------------------------------------


def inception_kn(inputs: Inputs, beyond_deg: float, *, along_best: bool = False) -> Num:
    """Return the speed (kn) from which an arm or the skeg cavitates, lowest of all, in a stream that comes so many
    degrees further off its chord than one along the shaft or the hull, whichever is worse.

    At half the drop below the surface, as though the hull's face were the surface. along_best: whichever is better.

    >>> round(float(inception_kn(engineering_inputs("harbour-launch"), 0.0)), 1)
    36.8
    """
    suction = greatest(
        [
            _suction(blade.shape, end, float(np.max(blade.off_deg[0 if along_best else 1])) + beyond_deg)
            for blade in blades(inputs)
            for end in blade.ends
        ]
    )
    return rules.inception_kn(suction, inputs.drop_mm / 2000.0)


def _suction(shape: str, end: tuple[Num, Num, Num], incidence_deg: float) -> Num:
    """The greatest suction at one end; of a bar by its corners, of two arcs by their edges."""
    chord, thick, edge = end
    bar = kind_of(shape).flat_sides
    found: Num = np.interp(thick / chord, *tables.section_suction("flat" if bar else shape, incidence_deg))
    if bar and not np.all((roundness := 2.0 * edge / thick) >= 1.0 - 1e-9):
        found = found * rules.corner(roundness)
    if shape == "two_arcs":
        found = found + rules.sharper(thick / chord, edge / thick, incidence_deg)
    return found


def side_mpa(inputs: Inputs, speed_m_s: Num) -> Num:
    """Return the stress at the palm of the arm that a stream bends most sideways, MPa, as much off its chord as may be.

    A single arm stands out from the hull; one of a vee is held at the barrel too, which turns: w L^2 / 8. Broadcasts.

    >>> round(float(side_mpa(engineering_inputs("coastal-pair"), 17.0 * 0.51444)), 1)
    13.6
    """
    worst = []
    beams = load_paths.paths(inputs, hull_stiffness.ends(inputs)[0]).beams
    for blade, arm, beam in zip(blades(inputs), inputs.arms, beams, strict=False):
        chord = (arm.chord_barrel_mm + arm.chord_palm_mm) / 2.0
        line = rules.lift_n_mm(chord, blade.off_deg[1] + _MOST, speed_m_s)
        bends = line * (arm.water_mm - arm.start_mm) ** 2 / (2.0 if len(inputs.arms) == 1 else 8.0)
        worst.append(bends / beam.sections[-1].sxx_mm3)
    return greatest(worst)


def drag_n(inputs: Inputs, speed_m_s: Num) -> Num:
    """Return the drag of the arms in the water with their ends, N, at a speed; broadcasts.

    Of an arm's middle section along its length from barrel to palm, whatever its rake.

    >>> round(float(drag_n(engineering_inputs("harbour-launch"), 4.63)), 2)
    9.82
    """
    total: Num = 0.0
    for arm in inputs.arms:
        chord = (arm.chord_barrel_mm + arm.chord_palm_mm) / 2.0
        thickness = (arm.thickness_barrel_mm + arm.thickness_palm_mm) / 2.0
        total = total + drag.section_n_mm(arm.shape, chord, thickness, speed_m_s) * (arm.water_mm - arm.start_mm)
        total = total + drag.junction_n(arm.chord_barrel_mm, arm.thickness_barrel_mm, speed_m_s)
        total = total + drag.junction_n(arm.chord_palm_mm, arm.thickness_palm_mm, speed_m_s)
    return total


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return what there is to say of the water past the arms, with how far it may be off.

    >>> launch = engineering_inputs("harbour-launch")
    >>> found = {f.code: f for f in findings(shipped("harbour-launch"), launch, numbers(launch))}
    >>> str(found["arm_shedding"].what)
    'rate at which an arm or the skeg sheds vortices at boat speed (30.9 Hz to 105.2 Hz)'
    """
    spread = {
        "arm_shedding": _between(*shedding_hz(inputs)[::2], "Hz"),
        "arm_lock_in_speed": _between(*_meets_kn(inputs)[::2], "kn"),
        "arm_cavitation": _cavitates(inputs),
    }
    out = []
    for check in CHECKS:
        outcome = numbers_[check.code]
        known = check.code in spread and not math.isnan(outcome.demand)
        what = say("{what} ({spread})", what=check.meaning, spread=spread[check.code]) if known else ""
        out.append(finding_of(check, outcome, inputs, what=what))
    return out


def _between(low: Num, high: Num, unit: str) -> Words:
    return say("{low} to {high}", low=Amount(float(low), unit), high=Amount(float(high), unit))


def _cavitates(inputs: Inputs) -> Words:
    """From that with the stream 4 degrees further off and a cavitation number that much lower, to that with the stream
    as it suits best and one as much higher."""
    low = inception_kn(inputs, _MOST) * math.sqrt(1.0 - SIGMA_OFF)
    return _between(low, inception_kn(inputs, 0.0, along_best=True) * math.sqrt(1.0 + SIGMA_OFF), "kn")
