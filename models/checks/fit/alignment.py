"""Alignment: how the shaft lies on its bearings, in the strut bearing, and how it hangs at an open coupling. Guidance.

Weights in air, the shaft level, the hull's bending as a whole left out; the barrel turns with its load on arms and
hull. Bearings forward of the strut carry at a point. Heights are as the file says; left out, all bearings stand in one
straight line with the barrel.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models import flange_hold, hull_stiffness, shaft_support
from strutwright.models.arrays import Num, greatest, least
from strutwright.models.checks.check import of_groups, without_limits
from strutwright.models.checks.hull_words import limits_unused
from strutwright.models.checks.outcome import Outcome, at_least, at_most, findings_of, inform, information
from strutwright.models.checks.strength import load_paths
from strutwright.models.finding import Finding
from strutwright.models.formulas import bearing as bearings
from strutwright.models.formulas.shaft_line import Bent, Line, bend, influence_n_mm, open_coupling, pressed
from strutwright.models.inputs import Inputs
from strutwright.models.shaft_support import line_of
from strutwright.models.shell_fit import running_clearance_mm
from strutwright.models.spec import Strut
from strutwright.params.words import Amount, Text, joined, mm, say

GROUP = "alignment"
CHECKS = of_groups(GROUP)
_WEAR = ("worn_small", "worn_medium", "worn_large")
"""Limits of wear by the class of shaft."""


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of alignment by code; broadcasts.

    >>> slope = numbers(engineering_inputs("harbour-launch"))["shaft_slope"]  # 0.09 of clearance over 140
    >>> round(float(slope.demand), 3), round(float(slope.capacity), 3)
    (0.087, 0.647)
    """
    line = line_of(inputs)
    cold = bend(line)
    barrel = _barrel_slope(inputs, cold)
    off = 1000.0 * np.abs(cold.slope - barrel)
    room = running_clearance_mm(inputs) / inputs.bearing_reach_mm
    wear = np.asarray([inputs.limit(name) for name in _WEAR])[bearings.wear_class(inputs.shaft_mm)][()]
    *others, strut = line.heights_mm
    worn = bend(replace(line, heights_mm=(*others, strut - wear)))
    hot = None if np.isnan(inputs.engine_rise_mm) else _hot(line, cold, inputs.engine_rise_mm)
    # Soft rubber lets the shaft sink and tilt, stiff rubber presses where it tilts.
    rubber, long = shaft_support.rubber(inputs), inputs.bearing_reach_mm
    held = [pressed(replace(line, bearing_slope=barrel), long, k / long) for k in (rubber.soft_n_mm, rubber.stiff_n_mm)]
    hung = open_coupling(line)
    known = 0.0 * inputs.coupling_at_mm
    return {
        "shaft_slope": at_most(off, inputs.limit("shaft_slope") * 1000.0 * room),
        "shaft_slope_ships": at_most(off, inputs.limit("shaft_slope_ships")),
        "shaft_slope_worn": information(1000.0 * np.abs(worn.slope - barrel)),
        "shaft_slope_hot": information(np.nan if hot is None else 1000.0 * np.abs(hot.slope - barrel)),
        "bearing_edge": at_most(greatest([p.peak_over_mean for p in held]), inputs.limit("bearing_edge")),
        "bearings_loaded": at_least(
            least([_least_share(line, lies) for lies in (cold, worn, hot) if lies is not None]),
            inputs.limit("bearings_loaded"),
        ),
        "coupling_sag": information(hung.sag_mm + known),
        "coupling_gap": information(np.abs(hung.slope) * inputs.coupling_mm),
    }


def _barrel_slope(inputs: Inputs, lies: Bent) -> Num:
    """The slope of the barrel under its load, against which the shaft's counts: of the hull's range the worse."""
    turns: list[Num]
    if inputs.flange is not None:
        toward = inputs.flange.toward
        turns = [toward * flange_hold.slope_per_n(inputs, soft) for soft in (True, False)]
    elif inputs.let_in is not None:
        turns = [0.0]  # in the structure it does not turn
    else:
        turns = [load_paths.paths(inputs, end).motion("propeller_z")[4] for end in hull_stiffness.ends(inputs)]
    soft, stiff = (-lies.loads_n[-1] * turn for turn in (turns[0], turns[-1]))
    return np.where(np.abs(lies.slope - soft) > np.abs(lies.slope - stiff), soft, stiff)[()]


def _hot(line: Line, cold: Bent, rise_mm: float) -> Bent:
    """How the shaft lies when the engine, coupled up cold without strain, has risen: a rigid coupling held level."""
    level = tuple(0.0 for _ in line.heights_mm)
    bare = replace(line, heights_mm=level, weight_n_mm=0.0, aft_n=0.0, forward_n=0.0)
    more = bend(replace(bare, held=True, forward_height_mm=rise_mm))
    loads = tuple(a + b for a, b in zip(cold.loads_n, more.loads_n, strict=True))
    return Bent(loads, cold.slope_forward + more.slope_forward, cold.slope + more.slope, cold.tilting_nmm)


def _least_share(line: Line, lies: Bent) -> Num:
    """The least load of a bearing, over the weight of half the spans beside it."""
    near = zip((0.0, *line.spans_mm), (*line.spans_mm, 0.0), strict=True)
    return least([n / (line.weight_n_mm * (a + b) / 2.0) for n, (a, b) in zip(lies.loads_n, near, strict=True)])


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of alignment, and what raising each bearing does where the file says more than one.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> found = findings(shipped("harbour-launch"), inputs, numbers(inputs))
    >>> [str(f.what) for f in found if f.code == "coupling_not_said"]
    ["sag and gap of the coupling and what the engine's rise does are not worked out, as shaft.coupling is not given"]
    """
    known = tuple(c for c in CHECKS if c.code not in _LEFT_OUT or not np.isnan(numbers_[c.code].demand))
    known = without_limits(known, *limits_unused(inputs))
    return [*findings_of(known, numbers_, inputs), *_not_said(inputs), *_influence(inputs)]


_LEFT_OUT = ("shaft_slope_hot", "coupling_sag", "coupling_gap")
"""What needs what few files say: told in one line where it is not worked out."""


def _not_said(inputs: Inputs) -> list[Finding]:
    what, path = "what the engine's rise does is not worked out, as shaft.engine_rise is not given", "shaft.engine_rise"
    if np.isnan(inputs.coupling_at_mm):
        path = "shaft.coupling"
        what = f"sag and gap of the coupling and what the engine's rise does are not worked out, as {path} is not given"
    elif not np.isnan(inputs.engine_rise_mm):
        return []
    return [inform("coupling_not_said", GROUP, what, f"give {path} to have it worked out", path)]


def _influence(inputs: Inputs) -> list[Finding]:
    """What raising each bearing does to the loads of all of them; two bearings know no heights."""
    line = line_of(inputs)
    if np.isnan(np.asarray(line.spans_mm[0] + line.aft_mm + line.aft_n, dtype=float)):
        return []
    code, path = "bearing_influence", "shaft.more_bearings"
    if len(line.spans_mm) == 1:
        what = "loads of the bearings do not hang on their heights, as the file says of two only"
        return [inform(code, GROUP, what, "give the bearings forward of the next one, if there are any", path)]
    loads = [float(n) for n in bend(line).loads_n][::-1]
    out = [
        inform(code, GROUP, say("loads of the bearings from the strut forward {loads}", loads=_forces(loads)), "", path)
    ]
    places = [0.0, float(inputs.bearing_span_mm), *(at for at, _ in inputs.more_bearings_mm)]
    for at, row in zip(places, influence_n_mm(line)[::-1], strict=True):
        name = say("the bearing {at} forward of the strut", at=mm(at)) if at else "the strut bearing"
        more = _forces([0.1 * float(n) for n in row][::-1])
        words = "raising {name} by {step} adds to the loads of the bearings from the strut forward {more}"
        out.append(inform(code, GROUP, say(words, name=name, step=mm(0.1), more=more), "", path))
    return out


def _forces(loads: list[float]) -> Text:
    return joined(", ", [Amount(n, "N") for n in loads])
