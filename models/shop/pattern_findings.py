"""What a founder asks of a pattern: stock, core, walls and fillets, contraction, draft. Findings of group "pattern"."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from functools import partial

from strutwright.models import finding
from strutwright.models.finding import Finding, Standing, Verdict, not_checked
from strutwright.models.geometry.casting import casting_of
from strutwright.models.shop.draft import UNDERCUT_MM2, DraftRow
from strutwright.models.shop.drafted import palm_drawn
from strutwright.models.shop.foundry import (
    FoundrySpec,
    allowance_mm,
    core_lift_n,
    half_names,
    parting_axes,
    print_length_rule_mm,
)
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.words import Amount, mm, say

GROUP = "pattern"
LEAST_FILLET_MM = 6.0  # common practice, no source
FILLET_SHARE = 1 / 3  # fillets a third to half of the thinner wall; common practice, no source
HOT_SPOT_RATIO = 2.0  # thicker to thinner wall at a junction; common practice, no source
PRINT_BEARING_MPA = 0.05  # what the mould sand under a core print bears, green sand; from memory
ADDED_TILT_DEG = 5.0  # a face that would need more than this is told, not filled up: the metal would be wasted
LOW_HEIGHT_MM = 3.0  # a face lower than this along the pull draws without draft

_CONTRACTION_ROW = {
    "manganese bronze": "manganese bronze",
    "nickel-aluminium bronze": "aluminium bronze",
    "silicon bronze": "silicon bronze",
    "tin bronze": "tin bronze and brass",
    "aluminium bronze and naval brass": "tin bronze and brass",
    "mild steel": "steel",
    "316 passive": "austenitic stainless",
    "aluminium": "aluminium",
}
_AT_LEAST = partial(finding.at_least, group=GROUP, warn=True)
_AT_MOST = partial(finding.at_most, group=GROUP, warn=True)
_YES_NO = partial(finding.yes_no, group=GROUP, warn=True)


def pattern_findings(strut: Strut, spec: FoundrySpec) -> list[Finding]:
    """Return what can be told of the pattern from the numbers alone. Never raises.

    >>> from strutwright.models.shop.foundry import foundry_settings
    >>> launch = resolved("harbour-launch")  # barrel's faces and arm's edges are low, and want more draft
    >>> [f.code for f in pattern_findings(launch.strut, foundry_settings(launch)) if f.verdict.value != "ok"]
    ['pattern_draft_small', 'pattern_draft_small']
    """
    return [
        *_stock(strut, spec),
        *_core(strut, spec),
        *_walls(strut, spec),
        _contraction(strut, spec),
        *_draft(strut, spec),
        *palm_findings(strut, spec),
    ]


def _stock(strut: Strut, spec: FoundrySpec) -> Iterator[Finding]:
    casting = casting_of(strut)
    allowance = allowance_mm(casting, spec.largest_mm)
    for face, stock, why, key in (
        ("the bore", spec.stock_bore_mm, "the bore will not clean up", "bore"),
        ("the barrel's faces", spec.stock_ends_mm, "the faces will not clean up", "barrel_ends"),
        ("the palm's hull face", spec.stock_palm_mm, "the drop comes short when the face is machined", "palm_face"),
    ):
        code, at = "pattern_stock_missing" if stock <= 0 else "pattern_stock_small", f"pattern.stock.{key}"
        words = "{why}; leave {parameter} out to have it derived, or say at least {allowance}"
        advice, what = say(words, why=why, parameter=at, allowance=mm(allowance)), f"machining stock on {face}"
        source = f"ISO 8062-4 required machining allowance, grade {casting.allowance_grade}"
        published = partial(_AT_LEAST, source=source, standing=Standing.PUBLISHED)
        yield published(code, what, stock, allowance, "mm", advice=advice, parameter=at)


def _core(strut: Strut, spec: FoundrySpec) -> Iterator[Finding]:
    if not spec.cored:
        return
    in_bore = partial(_AT_LEAST, unit="mm", standing=Standing.PRACTICE, parameter="pattern.stock.bore")
    what, least_mm = "stock on the bore's radius to take up core shift", casting_of(strut).core_shift_mm
    advice = "with less, a shifted core leaves black skin in the bore; raise pattern.stock.bore"
    yield in_bore("pattern_core_shift_stock", what, spec.stock_bore_mm, least_mm, source="", advice=advice)
    long, rule_mm = spec.print_length_mm, print_length_rule_mm(spec.core_diameter_mm)
    source = say("pattern makers' rule: as long as thick up to {3 in}, then relatively less")
    advice = "a short print lets the core lift or tilt; lengthen it, or set chaplets"
    prints = say("length of the core prints, core {core}", core=mm(spec.core_diameter_mm))
    yield in_bore("pattern_core_print_short", prints, long, rule_mm, source=source, advice=advice)
    lift = core_lift_n(spec.core_diameter_mm, strut.barrel.length_mm + 2 * spec.stock_ends_mm, spec.density_kg_m3)
    area = 2 * spec.core_diameter_mm * spec.print_length_mm
    presses, what = lift / area if area > 0 else math.inf, "pressure of the core's prints on the mould while it floats"
    floats = partial(_AT_MOST, source="buoyancy; green-sand strength", standing=Standing.MEMORY)
    advice = "lengthen the prints or hold the core down by chaplets"
    yield floats("pattern_core_lift", what, presses, PRINT_BEARING_MPA, "MPa", advice=advice, parameter="barrel.bore")


def _walls(strut: Strut, spec: FoundrySpec) -> Iterator[Finding]:
    b = strut.barrel
    advice = (
        "a hot spot that may shrink: agree a feeder or chill with the founder, or bring the two thicknesses nearer to "
        "each other"
    )
    rests = {"source": "", "standing": Standing.PRACTICE}
    hot_spot = partial(_AT_MOST, "pattern_hot_spot", advice=advice, parameter="arms.section.thickness", **rests)
    in_bore = (b.wall_mm + (spec.stock_bore_mm if spec.cored else b.bore_mm / 2)) - b.wall_mm
    for arm in strut.arms:
        palm = strut.palms[arm.palm_index]
        for what, one, other, stock, radius in (
            ("barrel", arm.thickness_barrel_mm, b.wall_mm, in_bore, arm.barrel_root_mm),
            ("palm", arm.thickness_palm_mm, palm.thickness_mm, spec.stock_palm_mm, arm.palm_root_mm),
        ):
            where = f"thicker over thinner wall where the {arm.called} meets the {what}"
            yield hot_spot(where, max(one, other + stock) / min(one, other + stock), HOT_SPOT_RATIO, "")
            yield _fillet(arm.called, what, radius, min(one, other), f"arms.root_fillet.{what}")
    if strut.skeg is not None:
        skeg = strut.skeg
        yield _fillet("skeg", "barrel", skeg.root_mm, min(skeg.thickness_root_mm, b.wall_mm), "skeg.root_fillet")


def _fillet(part: str, where: str, radius_mm: float, wall_mm: float, parameter: str) -> Finding:
    what, least_mm = f"fillet of the {part} at the {where}", max(LEAST_FILLET_MM, FILLET_SHARE * wall_mm)
    source = say("a third to half of the thinner finished wall, {6 mm} at least")
    practice = partial(_AT_LEAST, source=source, standing=Standing.PRACTICE, parameter=parameter)
    advice = f"a sharp corner tears hot; enlarge {parameter}"
    return practice("pattern_fillet", what, radius_mm, least_mm, "mm", advice=advice)


def _contraction(strut: Strut, spec: FoundrySpec) -> Finding:
    group = _CONTRACTION_ROW.get(tables.material(strut.material).galvanic_group or "", "")
    row = next((r for r in tables.table("casting_contraction").rows if r["alloy"] == group), None)
    code, what, at = "pattern_contraction_usual", f"contraction of {strut.material}", "pattern.contraction"
    if row is None:
        why, advice = "no usual range is known for this alloy", "take the founder's figure"
        return not_checked(code, what, why, advice, parameter=at, group=GROUP)
    low, high, s = float(row["low"]), float(row["high"]), spec.contraction_percent
    usual = f"{what}: {s:g} %, usually {low:g} to {high:g} %"
    advice = "confirm with the founder; see that contraction is neither left out nor included twice"
    numbers = {"actual": s, "demanded": low if s < low else high, "unit": "%"}
    published = partial(_YES_NO, source="published shrink rules, which disagree", standing=Standing.PUBLISHED)
    return published(code, usual, low - 1e-9 <= s <= high + 1e-9, advice=advice, parameter=at, **numbers)


def _draft(strut: Strut, spec: FoundrySpec) -> Iterator[Finding]:
    """A hint for each kind of face that the draft table asks more of: a low face wants more draft than a high one."""
    faces = [("barrel's faces", strut.barrel.outside_mm / 2)]
    if spec.parting == "arm_plane":
        faces += [(f"edges of the {a.called}", min(a.thickness_barrel_mm, a.thickness_palm_mm) / 2) for a in strut.arms]
    else:
        faces += [(f"edge of the {p.called}", p.thickness_mm) for p in strut.palms]
    for name, height in faces:
        asked = tables.casting_draft_deg(height)
        if spec.draft_deg < asked - 1e-9:
            yield Finding(
                code="pattern_draft_small",
                verdict=Verdict.HINT,
                what=say("draft on the {name}, {height} high along the pull", name=name, height=mm(height)),
                demanded=asked,
                actual=spec.draft_deg,
                unit="deg",
                limit_is="at least",
                utilisation=asked / spec.draft_deg if spec.draft_deg > 0 else math.inf,
                source="ISO 8062-4 Table 4, moulded by hand, fine, outside",
                standing=Standing.PUBLISHED,
                advice="give these faces more draft on the pattern, or ask the founder what draft is wanted for "
                "pattern.draft",
                parameter="pattern.draft",
                group=GROUP,
            )


PALM_ADVICE = (
    "make the palm a loose piece with dowels, step the joint line along the palm, or mould the face flat and machine it"
)


def palm_findings(strut: Strut, spec: FoundrySpec) -> list[Finding]:
    """Return a finding for each face of each palm that overhangs the pull by more than draft is added for.

    >>> from strutwright.models.shop.foundry import foundry_settings
    >>> launch = resolved("harbour-launch")  # its upright arm is drawn athwart, along its palm
    >>> [(f.verdict.value, f.actual) for f in palm_findings(launch.strut, foundry_settings(launch))]
    [('ok', 0.0)]
    """
    axes = parting_axes(strut, spec.parting)
    source = "more would be filled with metal to be cut away"
    drawn = partial(_AT_MOST, "pattern_palm_back_draft", source=source, standing=Standing.GEOMETRY)
    out = []
    for palm in strut.palms:
        tilt = palm_drawn(palm, axes.n)[2]
        what = f"tilt of the {palm.called} to the pull"
        if abs(tilt) > 1e-9:
            hull, water = half_names(spec.parting)[:: -1 if tilt > 0 else 1]
            what += f": its hull face hangs over in the {hull}, its water face in the {water}"
        out.append(drawn(what, abs(tilt), ADDED_TILT_DEG, "deg", advice=PALM_ADVICE, parameter="pattern.parting"))
    return out


_MESH = partial(_YES_NO, source="mesh of the pattern against the pull", standing=Standing.GEOMETRY)


def draft_findings(rows: Iterable[DraftRow], spec: FoundrySpec) -> list[Finding]:
    """Return what the draft of the finished pattern's mesh says, face by face: undercuts first, then low draft.

    >>> from strutwright.models.shop.foundry import foundry_settings
    >>> areas = {"area_mm2": 900.0, "undercut_mm2": 80.0, "low_mm2": 0.0, "low_height_mm": 0.0}
    >>> row = DraftRow(half="port half", face="arm", worst_deg=-3.0, **areas)
    >>> [f.what.read("mm") for f in draft_findings([row], foundry_settings(resolved("harbour-launch")))]
    ['undercut on the arm, port half: 80 mm2 of 900 mm2']
    """
    under, low = list[Finding](), list[Finding]()
    for row in rows:
        where = f"{row.face}, {row.half}"
        if row.undercut_mm2 > UNDERCUT_MM2:
            what = say(
                "undercut on the {where}: {undercut} of {area}",
                where=where,
                undercut=Amount(row.undercut_mm2, "mm2"),
                area=Amount(row.area_mm2, "mm2"),
            )
            worst = {"actual": row.worst_deg, "demanded": 0.0, "unit": "deg"}
            advice = _undercut_advice(row.face)
            under.append(_MESH("pattern_undercut", what, False, advice=advice, parameter="pattern.parting", **worst))
        if row.low_height_mm > LOW_HEIGHT_MM and row.low_mm2 > UNDERCUT_MM2:
            what = say(
                "less draft than specified on the {where}: {area} over {height} of draw",
                where=where,
                area=Amount(row.low_mm2, "mm2"),
                height=mm(row.low_height_mm),
            )
            worst = {"actual": max(row.worst_deg, 0.0), "demanded": spec.draft_deg, "unit": "deg"}
            advice = "give this face more draft by hand, or draw the pattern with care"
            low.append(_MESH("pattern_low_draft", what, False, advice=advice, parameter="pattern.draft", **worst))
    good = "every face opens along the pull"
    return [*under, *low] or [_MESH("pattern_draws", good, True, advice="", parameter="pattern.parting")]


def _undercut_advice(face: str) -> str:
    if "palm" in face:
        return PALM_ADVICE
    if "arm" in face:
        return "step the joint line along the arm's edges, core the space between two arms, or choose the other parting"
    return "step the joint line here or make this a loose piece, or choose the other pattern.parting"
