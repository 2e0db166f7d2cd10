"""How one shaft lies in the housings of a boat: loads of its bearings, its slope in each bore; as found and in line.

Beam theory; weights in air, the shaft level, housings and hull rigid: what stands off the line is then loaded more
unevenly than in a boat that gives.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from strutwright.models.bench.installation import Stand, Told
from strutwright.models.bench.line import Axis, Pair, Placed
from strutwright.models.formulas import loads as statics
from strutwright.models.formulas import shaft as shafts
from strutwright.models.formulas.shaft_line import Line, bend, slopes
from strutwright.models.inputs import Inputs
from strutwright.models.shell_fit import running_clearance_mm
from strutwright.params.bench.line import ShaftLine
from strutwright.params.limits import Limits
from strutwright.params.words import Amount, number, say


@dataclass(frozen=True, slots=True, kw_only=True)
class Borne:
    """What a bearing bears. up, port: N; share: of what half the spans beside it weigh; slope: of the shaft there, how
    it rises forward and runs to port, rad."""

    up_n: float
    port_n: float
    share: float
    slope: Pair


def shaft_of(said: ShaftLine, line: Sequence[Placed]) -> Line | None:
    """Return the shaft on straight bearings, from the foremost aft; None where no set says what it is.

    The aftmost set says how it hangs over aft, and what propeller is on it; nothing hangs there where it does not.

    >>> from strutwright.models.bench.line import placed
    >>> from strutwright.params.bench.line import LineBearing
    >>> file = ShaftLine(bearings=[LineBearing(called=n, station=x) for n, x in (("strut", 0.0), ("gearbox", 1100.0))])
    >>> shaft = shaft_of(file, placed(file, (shipped("harbour-launch"), None)))
    >>> shaft.spans_mm, shaft.aft_mm, round(shaft.aft_n, 1)  # 11 kg
    ((1100.0,), 135.0, 107.9)
    """
    known = [p.inputs for p in line if p.inputs is not None]
    if not known:
        return None
    one, last = known[0], line[0].inputs
    over = 0.0 if last is None else float(last.overhang_mm)
    hung = 0.0 if last is None else float(statics.weight_n(last.propeller_kg))
    return Line(
        spans_mm=tuple(fore.at_mm - aft.at_mm for aft, fore in pairwise(line))[::-1],
        heights_mm=(0.0,) * len(line),
        weight_n_mm=float(shafts.weight_n_per_mm(one.shaft_mm, one.shaft.density_kg_m3)),
        stiffness_nmm2=float(one.shaft.modulus_mpa * math.pi / 64.0 * one.shaft_mm**4),
        aft_mm=over if math.isfinite(over) else 0.0,
        aft_n=hung if math.isfinite(over) and math.isfinite(hung) else 0.0,
        forward_mm=said.coupling_ahead or 0.0,
        forward_n=float(statics.weight_n(said.coupling or 0.0)) if said.coupling_ahead is not None else 0.0,
    )


def propeller_known(line: Sequence[Placed]) -> bool:
    """Return whether the aftmost set says what hangs over aft.

    >>> propeller_known([Placed(called="end", at_mm=0.0, held=True, strut=None, inputs=None)])
    False
    """
    last = line[0].inputs
    return last is not None and math.isfinite(float(last.overhang_mm)) and math.isfinite(float(last.propeller_kg))


def borne(shaft: Line, off_mm: Sequence[Pair]) -> list[Borne]:
    """Return what each bearing bears, from aft forward. off_mm: of each from the line, up and to port.

    >>> shaft = Line(spans_mm=(1200.0, 1200.0), heights_mm=(0.0, 0.0, 0.0), weight_n_mm=0.151784,
    ...     stiffness_nmm2=5.92117e10, aft_mm=200.0, aft_n=300.0)
    >>> [round(b.up_n, 2) for b in borne(shaft, ((0.0, 0.0),) * 3)]  # beam elements: the same
    [464.32, 148.88, 81.44]
    >>> [round(b.port_n, 1) for b in borne(shaft, ((0.0, 0.0), (0.0, 1.0), (0.0, 0.0)))]
    [-102.8, 205.6, -102.8]
    """
    level = replace(shaft, heights_mm=tuple(up for up, _ in off_mm)[::-1])
    bare = replace(shaft, weight_n_mm=0.0, aft_n=0.0, forward_n=0.0)
    aside = replace(bare, heights_mm=tuple(port for _, port in off_mm)[::-1])
    lies, runs = bend(level), bend(aside)
    near = [(a + b) / 2.0 for a, b in zip((0.0, *shaft.spans_mm), (*shaft.spans_mm, 0.0), strict=True)]
    made = [
        Borne(up_n=float(n), port_n=float(m), share=float(n / (shaft.weight_n_mm * w)), slope=(-float(s), -float(t)))
        for n, m, w, s, t in zip(
            lies.loads_n, runs.loads_n, near, slopes(level, lies), slopes(aside, runs), strict=True
        )
    ]
    return made[::-1]


def lies(
    line: Sequence[Placed], straight: Sequence[Borne], found: Sequence[Borne] | None, axis: Axis | None, limits: Limits
) -> list[Told]:
    """Return how what the bearings bear and the shaft's slope in the bores stand: in line, and as found.

    >>> from strutwright.models.bench.line import placed
    >>> from strutwright.params.bench.line import LineBearing
    >>> file = ShaftLine(bearings=[LineBearing(called=n, station=x) for n, x in (("strut", 0.0), ("gearbox", 1100.0))])
    >>> line = placed(file, (shipped("harbour-launch"), None))
    >>> [str(told.stand) for told in lies(line, *as_found(line, shaft_of(file, line), None), None, standard())]
    ['in', 'in', 'in']
    """
    made = _told(line, straight, None, "in line", limits)
    return made if found is None else made + _told(line, found, axis, "as found", limits)


def takes_mrad(inputs: Inputs) -> float:
    """Return the slope against its bore that a bearing takes of the shaft, mrad: its clearance over its length.

    >>> round(takes_mrad(engineering_inputs("harbour-launch")), 2)  # 0.0906 over 140
    0.65
    """
    room = running_clearance_mm(inputs) / inputs.bearing_reach_mm
    return float(inputs.limit("shaft_slope") * 1000.0 * room)


def against_bore_mrad(one: Placed, its: Borne, axis: Axis | None) -> float:
    """Return the angle of the shaft against the bore of a bearing, mrad. axis: None for a bore in line; one whose lean
    was not read counts as in line too.

    >>> end = Placed(called="end", at_mm=0.0, held=True, strut=None, inputs=None)
    >>> round(against_bore_mrad(end, Borne(up_n=0.0, port_n=0.0, share=1.0, slope=(0.0003, 0.0004)), None), 3)
    0.5
    """
    leans = (axis.leans(one) if axis is not None else None) or (0.0, 0.0)
    return 1000.0 * math.hypot(*(s - b for s, b in zip(its.slope, leans, strict=True)))


def as_found(line: Sequence[Placed], shaft: Line, axis: Axis | None) -> tuple[list[Borne], list[Borne] | None]:
    """Return what the bearings bear in line, and as they were found; None for the latter where too few were read.

    >>> from strutwright.models.bench.line import placed
    >>> from strutwright.params.bench.line import LineBearing
    >>> file = ShaftLine(bearings=[LineBearing(called=n, station=x) for n, x in (("strut", 0.0), ("gearbox", 1100.0))])
    >>> line = placed(file, (shipped("harbour-launch"), None))
    >>> straight, found = as_found(line, shaft_of(file, line), None)
    >>> round(straight[0].up_n, 1), found  # (107.9 x 1235 + 93.2 x 617.5) / 1100
    (173.4, None)
    """
    straight = borne(shaft, tuple((0.0, 0.0) for _ in line))
    if axis is None:
        return straight, None
    return straight, borne(shaft, tuple(axis.off(one) or (0.0, 0.0) for one in line))


def _told(line: Sequence[Placed], bears: Sequence[Borne], axis: Axis | None, how: str, limits: Limits) -> list[Told]:
    least, made = limits["bearings_loaded"].value, []
    for one, its in zip(line, bears, strict=True):
        stand = Stand.IN if its.share >= least - 1e-9 else Stand.OUT
        found = say("{load}, {share} of its spans' weight", load=Amount(its.up_n, "N"), share=number(its.share))
        if abs(its.port_n) >= 0.5:
            side = "port" if its.port_n > 0.0 else "starboard"
            found = say("{found}, {aside} to {side}", found=found, aside=Amount(abs(its.port_n), "N"), side=side)
        held_to = say("{least} of it at least", least=number(least))
        made.append(Told(f"load {how}, {one.called}", found, held_to, stand))
    for one, its in zip(line, bears, strict=True):
        if one.inputs is None:
            continue
        angle = against_bore_mrad(one, its, axis)
        room = takes_mrad(one.inputs)
        held_to = say("{room} at most: its clearance over its length", room=Amount(room, "mrad"))
        stand = Stand.IN if angle <= room + 1e-9 else Stand.OUT
        made.append(
            Told(f"shaft against the bore {how}, {one.called}", say("{a}", a=Amount(angle, "mrad")), held_to, stand)
        )
    return made
