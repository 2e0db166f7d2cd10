"""A strut on its boat: where the hull's holes go, what the yard holds to, and how it was fitted.

Common practice, no source, where nothing else stands; an engine's or gearbox's own manual comes first.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from strutwright.models import frames
from strutwright.models.finding import Finding
from strutwright.models.shop.bolting import BEDDING_MM
from strutwright.models.spec import Strut
from strutwright.params.bench.installation import AsFitted
from strutwright.params.quantity import FileUnits, in_file_units
from strutwright.params.words import Amount, Words, fine_mm, joined, mm, say

COUPLING_FACES_MM = 0.076
"""Greatest difference of the gap between the faces round the rim: 0.003 in, an engine maker's installation manual."""
INSULATION_MEGOHM = 1.0
"""Least resistance of what is to be insulated, dry (from memory)."""
HOT_C = 60.0
"""A stuffing box that is hotter than this is too tight or dry; common practice, no source."""
TORQUE_SCATTER = 0.25
"""How far a torque may be off the one worked out, which scatters as much."""
BEDDING_SPREAD_MM = 3.0
"""Bedding that is more uneven is a palm out of its angle; common practice, no source."""
BEDDED = (
    "Torque holds for bolts on metal and hard bedding; on wood and laminate stop where the surface begins to dent, and "
    "draw up again after a day."
)
LEVEL_DEG = 1.0
"""Of a smaller pitch the shaft line meets the hull too far ahead to measure from."""


class Stand(StrEnum):
    """How a figure as fitted stands."""

    OUT = "out"
    LOOK = "look again"
    IN = "in"
    NOTED = "noted"


@dataclass(frozen=True, slots=True)
class Told:
    """A figure as fitted: what it is, what was found and what it is held to, in words, and how it stands."""

    what: str
    found: Words
    limit: Words
    stand: Stand


@dataclass(frozen=True, slots=True)
class HullHole:
    """Where a hole of the palm goes on the hull, mm: aft of where the shaft line meets it, along the trace of the
    vertical plane through the shaft (None where it meets it too far ahead), ahead of the plumb below the aft face, and
    to port of the trace."""

    palm: str
    number: int
    aft_of_meeting_mm: float | None
    ahead_of_aft_face_mm: float
    to_port_mm: float


def hull_holes(strut: Strut) -> list[HullHole]:
    """Return where the holes go on the hull, taken along the hull face, palm by palm.

    The plumb is dropped square to the shaft from the barrel's aft face in the vertical plane through the shaft. Plane
    trigonometry; on a curved bottom the palm itself or the full-size template counts.

    >>> first = hull_holes(shipped("harbour-launch"))[0]  # 300 / sin 9 less 9 / cos 9 and 75 of the palm
    >>> first.number, round(first.aft_of_meeting_mm, 1), round(first.to_port_mm, 1)
    (1, 1833.6, 38.5)
    """
    made = []
    for palm in strut.palms:
        plane, rise = palm.plane, math.tan(math.radians(palm.plane.pitch_deg))
        trace = frames.plane_axes(plane.drop_mm, plane.pitch_deg, plane.tilt_deg)
        behind = -strut.barrel.length_mm / 2.0
        foot = np.array([behind, 0.0, plane.drop_mm - behind * rise])
        ahead = plane.drop_mm / rise if plane.pitch_deg >= LEVEL_DEG else None
        holes = frames.palm_axes(palm).to_strut(np.array([(h.u_mm, h.v_mm) for h in palm.holes]))
        for hole, place in zip(palm.holes, holes, strict=True):
            aft = None if ahead is None else float((np.array([ahead, 0.0, 0.0]) - place) @ trace.u)
            off = place - foot
            made.append(HullHole(palm.called, hole.number, aft, float(off @ trace.u), float(off @ trace.v)))
    return made


OTHER_WEAR = ("clearance_worn_practice", "clearance_worn_groove", "clearance_worn_small_craft")
"""Limits of wear in circulation beside the one that is held to, `clearance_worn`."""
_LEAST = {"clearance_worn", *OTHER_WEAR}
"""Figures of which the least counts where there are several, and not the greatest."""


def that_count(findings: Iterable[Finding]) -> dict[str, Finding]:
    """Return findings by code; of several with one code, as of two bearings, the one on the safe side for the yard: the
    least clearance at which a bearing is worn, the greatest figure else.

    >>> from strutwright.models.checks.engineering import engineering_findings
    >>> made = engineering_findings(shipped("refit-two-bores"), None, None)
    >>> [round(f.actual) for f in made if f.code == "press_force"], round(that_count(made)["press_force"].actual)
    ([9955, 8555], 9955)
    """
    made: dict[str, Finding] = {}
    for found in findings:
        other = made.get(found.code)
        if other is not None and _counts_before(other, found):
            continue
        made[found.code] = found
    return made


def _counts_before(one: Finding, other: Finding) -> bool:
    if other.missing or math.isnan(other.actual):
        return True
    if one.missing or math.isnan(one.actual):
        return False
    return one.actual <= other.actual if one.code in _LEAST else one.actual >= other.actual


def figure(findings: Mapping[str, Finding], code: str) -> float | None:
    """Return the figure of a finding by its code, None where it is not known.

    >>> from strutwright.models.checks.engineering import engineering_findings
    >>> made = engineering_findings(shipped("harbour-launch"), None, None)
    >>> figure({f.code: f for f in made}, "bolt_length")
    62.55
    """
    found = findings.get(code)
    value = None if found is None or found.missing else found.actual
    return None if value is None or not math.isfinite(value) else float(value)


def torque_words(findings: Mapping[str, Finding], units: FileUnits) -> str:
    """Return the torque of the palm's bolts as it stands on every paper; nothing where it is not known.

    >>> from strutwright.models.checks.engineering import engineering_findings
    >>> torque_words({f.code: f for f in engineering_findings(shipped("harbour-launch"), None, None)}, "mm")
    '37 N m'
    """
    torque = figure(findings, "bolt_torque")
    if torque is None:
        return ""
    value, unit = in_file_units(torque, "N m", units)
    return f"{value:.0f} {unit}"


def press_words(findings: Mapping[str, Finding], units: FileUnits) -> str:
    """Return the force that presses a bearing in as it stands on every paper; nothing where it is not known, or for a
    bearing that is not pressed in.

    >>> from strutwright.models.checks.engineering import engineering_findings
    >>> press_words({f.code: f for f in engineering_findings(shipped("sloop-with-skeg"), None, None)}, "in")
    ''
    """
    usual, most = (figure(findings, code) for code in ("press_force", "press_force_most"))
    if usual is None or most is None:
        return ""
    places = 0 if units == "mm" else 1
    told = []
    for force in (usual, most):
        value, unit = in_file_units(force, "N", units)
        told.append(f"{value / 1000.0:.{places}f} k{unit}")
    low, high = told
    return f"{low}, {high} at the most: stop and measure if it does not move; test bar passes after"


def judge(said: AsFitted, findings: Mapping[str, Finding], hull_mm: float | None) -> list[Told]:
    """Return how a strut was fitted, figure by figure, in the order of the form.

    said: as fitted. findings: of its set, by code; hull_mm: thickness of the hull that the set says.

    >>> from strutwright.params.bench.installation import CouplingGap
    >>> gaps = [CouplingGap(at="top", gap=0.10, afloat=0.1), CouplingGap(at="bottom", gap=0.20, afloat=0.1)]
    >>> [told.stand.value for told in judge(AsFitted(coupling=gaps), {}, None)]
    ['out', 'in']
    """
    return [
        *_coupling(said),
        *_bearing(said, findings),
        *_bolts(said, findings, hull_mm),
        *_bedding(said),
        *_clear(said, findings),
        *_trial(said),
    ]


def _mm(value: float) -> Words:
    return say("{size}", size=fine_mm(value))


def _most(value: float) -> Words:
    return say("{size} at most", size=fine_mm(value))


def _least(value: float | None) -> Words:
    return "" if value is None else say("{size} at least", size=fine_mm(value))


def _coupling(said: AsFitted) -> list[Told]:
    made = []
    for words, gaps in (
        ("coupling faces, difference round the rim", [g.gap for g in said.coupling if g.gap is not None]),
        ("the same, turned by half", [g.half_turn for g in said.coupling if g.half_turn is not None]),
        ("the same, afloat", [g.afloat for g in said.coupling if g.afloat is not None]),
    ):
        if len(gaps) > 1:
            off = max(gaps) - min(gaps)
            stand = Stand.OUT if off > COUPLING_FACES_MM + 1e-9 else Stand.IN
            made.append(Told(words, _mm(off), _most(COUPLING_FACES_MM), stand))
    if any(g.gap is not None for g in said.coupling) and not any(g.afloat is not None for g in said.coupling):
        made.append(Told("coupling faces, afloat", "not measured", "a day or two after launching", Stand.LOOK))
    return made


def _bearing(said: AsFitted, findings: Mapping[str, Finding]) -> list[Told]:
    made = []
    least, worn = figure_least(findings, "clearance_pressed_least"), figure(findings, "clearance_worn")
    ends = {}
    for end in ("aft", "forward"):
        at = {g.at: g.gap for g in said.bearing if g.end == end and g.gap is not None}
        for one, other in (("top", "bottom"), ("port", "starboard")):
            if one in at and other in at:
                clear = at[one] + at[other]
                made.append(_clearance(f"bearing {end}, {one} and {other} together", clear, least, worn))
        if "port" in at and "starboard" in at:
            ends[end] = at["port"] - at["starboard"]
    if len(ends) == 2:
        turn = abs(ends["aft"] - ends["forward"]) / 2.0
        room = least if least is not None else worn
        stand = Stand.NOTED if room is None else Stand.LOOK if turn > room / 2.0 else Stand.IN
        limit = "" if room is None else _most(room / 2.0)
        made.append(Told("shaft athwart in the bearing, aft against forward", _mm(turn), limit, stand))
    return made


def figure_least(findings: Mapping[str, Finding], code: str) -> float | None:
    """Return what a finding demands at least, None where it is not known.

    >>> from strutwright.models.checks import geometry_checks
    >>> figure_least({f.code: f for f in geometry_checks(shipped("harbour-launch"), None)}, "tip_clearance")
    72.0
    """
    found = findings.get(code)
    value = None if found is None or found.missing else found.demanded
    return None if value is None or not math.isfinite(value) else float(value)


def _clearance(what: str, found: float, least: float | None, worn: float | None) -> Told:
    limit = joined(" to ", [_mm(v) for v in (least, worn) if v is not None])
    if least is not None and found < least - 1e-9:
        return Told(what, _mm(found), limit, Stand.OUT)
    if worn is not None and found > worn + 1e-9:
        return Told(what, _mm(found), limit, Stand.OUT)
    return Told(what, _mm(found), limit, Stand.IN if limit else Stand.NOTED)


def _bolts(said: AsFitted, findings: Mapping[str, Finding], hull_mm: float | None) -> list[Told]:
    made = []
    drawn, torque = figure(findings, "bolt_length"), figure(findings, "bolt_torque")
    bed = max([0.0, *(b.thickness - BEDDING_MM for b in said.bedding)])
    for bolt in said.bolts:
        name = f"bolt in hole {bolt.hole}" + (f" of the {bolt.palm}" if bolt.palm else "")
        stand, limit = Stand.NOTED, _least(None)
        if bolt.length is not None:
            if drawn is not None:
                whose = "the hull of the set" if bolt.hull is None or hull_mm is None else "the hull as measured"
                hull = 0.0 if bolt.hull is None or hull_mm is None else bolt.hull - hull_mm
                least = drawn + hull + bed
                stand = Stand.OUT if bolt.length < least - 1e-9 else Stand.IN
                limit = say("{size} at least, by " + whose, size=mm(least))
            made.append(Told(f"{name}, length", _mm(bolt.length), limit, stand))
        if bolt.torque is not None:
            stand, limit = Stand.NOTED, _least(None)
            if torque is not None:
                low, high = (1.0 - TORQUE_SCATTER) * torque, (1.0 + TORQUE_SCATTER) * torque
                stand = Stand.OUT if bolt.torque > high else Stand.LOOK if bolt.torque < low else Stand.IN
                limit = say("{size}; less where the hull would dent", size=Amount(round(torque), "N m"))
            made.append(Told(f"{name}, torque", say("{size}", size=Amount(bolt.torque, "N m")), limit, stand))
    return made


def _bedding(said: AsFitted) -> list[Told]:
    if len(said.bedding) < 2:
        return []
    sizes = [b.thickness for b in said.bedding]
    off = max(sizes) - min(sizes)
    stand = Stand.LOOK if off > BEDDING_SPREAD_MM else Stand.IN
    return [Told("bedding, thickest less thinnest", _mm(off), _most(BEDDING_SPREAD_MM), stand)]


def _clear(said: AsFitted, findings: Mapping[str, Finding]) -> list[Told]:
    made = []
    for words, value, code in (
        ("blade tip to hull", said.clearances.tip, "tip_clearance"),
        ("bearing to propeller hub", said.clearances.hub, "hub_gap_least"),
    ):
        least = figure_least(findings, code)
        if value is not None:
            stand = Stand.NOTED if least is None else Stand.OUT if value < least - 1e-9 else Stand.IN
            made.append(Told(words, _mm(value), _least(least), stand))
    if said.clearances.insulation is not None:
        value = said.clearances.insulation
        stand = Stand.OUT if value < INSULATION_MEGOHM else Stand.IN
        made.append(Told("insulation, dry", f"{value:g} megohm", f"{INSULATION_MEGOHM:g} megohm at least", stand))
    return made


def _trial(said: AsFitted) -> list[Told]:
    made = []
    shaken = [r for r in said.trial if r.vibration is not None]
    for run in said.trial:
        if run.stuffing_box is not None:
            stand = Stand.OUT if run.stuffing_box > HOT_C else Stand.IN
            what = f"stuffing box at {run.speed:.0f} rpm"
            made.append(Told(what, f"{run.stuffing_box:g} °C", f"{HOT_C:g} °C at most", stand))
    if shaken:
        worst = max(shaken, key=lambda r: r.vibration or 0.0)
        what = f"vibration, the most of the trial, at {worst.speed:.0f} rpm"
        made.append(Told(what, f"{worst.vibration:g} mm/s", "", Stand.NOTED))
    return made


def lacking(said: AsFitted, strut: Strut) -> Sequence[str]:
    """Return what of the form was left out, in words.

    >>> lacking(AsFitted(), shipped("harbour-launch"))[2]
    'torque of 8 of 8 bolts'
    """
    told = Counter(b.hole for b in said.bolts if b.torque is not None)
    there = Counter(h.number for p in strut.palms for h in p.holes)  # every palm counts its own holes
    count, bolts = there.total(), (told & there).total()
    return [
        *([] if any(g.gap is not None for g in said.coupling) else ["gaps of the coupling"]),
        *(
            []
            if {g.end for g in said.bearing if g.gap is not None} == {"aft", "forward"}
            else ["gaps of the shaft at both ends of the bearing"]
        ),
        *([] if bolts == count else [f"torque of {count - bolts} of {count} bolts"]),
        *([] if said.clearances.tip is not None else ["blade tip to hull"]),
        *([] if said.trial else ["the trial"]),
    ]
