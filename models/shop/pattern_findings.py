"""What a founder asks of a pattern: stock, core, walls and fillets, contraction, draft. Findings of group "pattern"."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from functools import partial
from typing import Any

from strutwright.models import finding
from strutwright.models.finding import Finding, Standing, Verdict, not_checked
from strutwright.models.frames import Vector
from strutwright.models.geometry.casting import casting_of
from strutwright.models.shop.draft import UNDERCUT_MM2, DraftRow
from strutwright.models.shop.drafted import PALM_ALONG, palm_drawn, palm_heights_mm
from strutwright.models.shop.foundry import (
    FoundrySpec,
    allowance_mm,
    casting_strut,
    core_lift_n,
    end_radii_mm,
    half_names,
    in_metal_mm,
    parting_axes,
    print_length_rule_mm,
)
from strutwright.models.spec import Plate, Strut
from strutwright.params import limits as limit_table
from strutwright.params import tables
from strutwright.params.limits import Limits, users
from strutwright.params.words import Amount, Words, deg, mm, say

GROUP = "pattern"
_SHORT = {
    "strut": "the drop comes short when the face is machined",
    "flanged_housing": "the face will not clean up",
    "rudder_shoe": "the face will not clean up",
    "shaft_hanger": "the height comes short when the face is machined",
}

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


def _rests(limits: Limits, *names: str, source: Words, standing: Standing) -> dict[str, Any]:
    """What a demand rests on: on the user where one of these limits is his."""
    row = users(limits, *names)
    if row is None:
        return {"source": source, "standing": standing}
    return {"source": row.source, "standing": Standing.PRACTICE if row.changed else Standing.PUBLISHED}


def pattern_findings(strut: Strut, spec: FoundrySpec, limits: Limits | None = None) -> list[Finding]:
    """Return what can be told of the pattern from the numbers alone. Never raises. limits: as shipped when left out.

    >>> from dataclasses import replace
    >>> from strutwright.models.shop.foundry import Draft, foundry_settings
    >>> launch = resolved("harbour-launch")  # drafted by the heights of its faces, but for the palm's water face
    >>> strut, spec = launch.strut, foundry_settings(launch)
    >>> [f.demanded for f in pattern_findings(strut, spec) if f.verdict.value != "ok"]
    [1.9]
    >>> given = replace(spec, draft=Draft(1.5))  # less than barrel's faces, arm's edges and the palm want
    >>> [f.demanded for f in pattern_findings(strut, given) if f.verdict.value != "ok"]
    [2.2, 3.2, 1.9]
    """
    limits = limit_table.standard() if limits is None else limits
    return [
        *_stock(strut, spec),
        *_core(strut, spec, limits),
        *_walls(strut, spec, limits),
        _contraction(strut, spec),
        *_draft(strut, spec),
        *palm_findings(strut, spec, limits),
    ]


def _stock(strut: Strut, spec: FoundrySpec) -> Iterator[Finding]:
    casting = casting_of(strut)
    allowance = allowance_mm(casting, spec.largest_mm)
    for face, stock, why, key in (
        ("the bore", spec.stock_bore_mm, "the bore will not clean up", "bore"),
        ("the barrel's faces", spec.stock_ends_mm, "the faces will not clean up", "barrel_ends"),
        ("the palm's hull face", spec.stock_palm_mm, _SHORT[strut.family], "palm_face"),
    ):
        code, at = "pattern_stock_missing" if stock <= 0 else "pattern_stock_small", f"pattern.stock.{key}"
        words = "{why}; leave {parameter} out to have it derived, or say at least {allowance}"
        advice, what = say(words, why=why, parameter=at, allowance=mm(allowance)), f"machining stock on {face}"
        source = f"ISO 8062-4 required machining allowance, grade {casting.allowance_grade}"
        published = partial(_AT_LEAST, source=source, standing=Standing.PUBLISHED)
        yield published(code, what, stock, allowance, "mm", advice=advice, parameter=at)


def _core(strut: Strut, spec: FoundrySpec, limits: Limits) -> Iterator[Finding]:
    if not spec.cored:
        return
    in_bore = partial(_AT_LEAST, unit="mm", standing=Standing.PRACTICE, parameter="pattern.stock.bore")
    what, least_mm = "stock on the bore's radius to take up core shift", casting_of(strut).core_shift_mm
    advice = "with less, a shifted core leaves black skin in the bore; raise pattern.stock.bore"
    yield in_bore("pattern_core_shift_stock", what, spec.stock_bore_mm, least_mm, source="", advice=advice)
    long, rule_mm = spec.print_length_mm, print_length_rule_mm(spec.core_diameter_mm)
    source = say("pattern makers' rule, as long as thick up to {3 in}, then relatively less")
    advice = "a short print lets the core lift or tilt; lengthen it, or set chaplets"
    prints = say("length of the core prints, core {core}", core=mm(spec.core_diameter_mm))
    yield in_bore("pattern_core_print_short", prints, long, rule_mm, source=source, advice=advice)
    lift = core_lift_n(spec.core_diameter_mm, in_metal_mm(strut, spec), spec.density_kg_m3)
    area = 2 * spec.core_diameter_mm * spec.print_length_mm
    presses, what = lift / area if area > 0 else math.inf, "pressure of the core's prints on the mould while it floats"
    bears = limits["pattern_print_bearing"]
    rests = _rests(limits, bears.name, source=f"buoyancy; {bears.source}", standing=Standing.MEMORY)
    floats = partial(_AT_MOST, "pattern_core_lift", parameter="barrel.bore", **rests)
    advice = "lengthen the prints or hold the core down by chaplets"
    yield floats(what, presses, bears.value, "MPa", advice=advice)


def _walls(strut: Strut, spec: FoundrySpec, limits: Limits) -> Iterator[Finding]:
    b = strut.barrel
    advice = (
        "agree a feeder or chill with the founder, or bring the two thicknesses nearer to each other; a hot spot may "
        "shrink"
    )
    most = limits["pattern_hot_spot"]
    rests = _rests(limits, most.name, source="", standing=Standing.PRACTICE)
    hot_spot = partial(_AT_MOST, "pattern_hot_spot", advice=advice, **rests)
    in_bore = (b.wall_mm + (spec.stock_bore_mm if spec.cored else b.bore_mm / 2)) - b.wall_mm
    for arm in strut.arms:
        palm = strut.palms[arm.palm_index]
        over_palm = spec.stock_palm_mm + palm.stands_out_mm
        for what, one, other, stock, radius in (
            ("barrel", arm.thickness_barrel_mm, b.wall_mm, in_bore, arm.barrel_root_mm),
            ("palm", arm.thickness_palm_mm, palm.thickness_mm, over_palm, arm.palm_root_mm),
        ):
            where = f"thicker over thinner wall where the {arm.called} meets the {what}"
            ratio = max(one, other + stock) / min(one, other + stock)
            yield hot_spot(where, ratio, most.value, "", parameter="arms.section.thickness")
            yield _fillet(limits, arm.called, what, radius, min(one, other), f"arms.root_fillet.{what}")
    flange = strut.flange
    if flange is not None:
        wall, plate = b.wall_mm + in_bore, flange.thickness_mm + spec.stock_palm_mm
        where = "thicker over thinner wall where the flange meets the barrel"
        thickness = partial(hot_spot, parameter="flange.thickness")
        yield thickness(where, max(wall, plate) / min(wall, plate), most.value, "")
        thinner = min(b.wall_mm, flange.thickness_mm)
        yield _fillet(limits, "flange", "barrel", flange.root_mm, thinner, "flange.root_fillet")
        if flange.spigot is not None:
            thick = flange.spigot.wall_mm + spec.stock_ends_mm + in_bore
            where = "thicker over thinner wall where the spigot meets the flange"
            yield thickness(where, max(thick, plate) / min(thick, plate), most.value, "")
        if flange.ribs is not None:
            least_mm = min(wall, plate, flange.ribs.thickness_mm)
            where = "thicker over thinner wall where a rib meets flange and barrel"
            ribs = partial(hot_spot, parameter="flange.ribs.thickness")
            yield ribs(where, max(wall, plate, flange.ribs.thickness_mm) / least_mm, most.value, "")
    if strut.skeg is not None:
        skeg = strut.skeg
        thinner_mm = min(skeg.thickness_root_mm, b.wall_mm)
        yield _fillet(limits, "skeg", "barrel", skeg.root_mm, thinner_mm, "skeg.root_fillet")


def _fillet(limits: Limits, part: str, where: str, radius_mm: float, wall_mm: float, parameter: str) -> Finding:
    least, share = limits["pattern_fillet"], limits["pattern_fillet_share"]
    what, least_mm = f"fillet of the {part} at the {where}", max(least.value, share.value * wall_mm)
    source = say("a third to half of the thinner finished wall, {least} at least", least=mm(least.value))
    rests = _rests(limits, least.name, share.name, source=source, standing=Standing.PRACTICE)
    practice = partial(_AT_LEAST, parameter=parameter, **rests)
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
    usual = f"{what}, usually {low:g} to {high:g} %"
    advice = "confirm with the founder; see that contraction is neither left out nor included twice"
    numbers = {"actual": s, "demanded": low if s < low else high, "unit": "%"}
    published = partial(_YES_NO, source="published shrink rules, which disagree", standing=Standing.PUBLISHED)
    return published(code, usual, low - 1e-9 <= s <= high + 1e-9, advice=advice, parameter=at, **numbers)


def _draft(strut: Strut, spec: FoundrySpec) -> Iterator[Finding]:
    """What the draft table asks of each kind of face beside what is specified: a low face wants more."""
    cast, pull = casting_strut(strut, spec), parting_axes(strut, spec.parting).n
    advice = "leave pattern.draft out to have each face drafted by its height, or ask the founder what is wanted"
    faces = [("barrel's faces", min(end_radii_mm(strut, spec)))]
    if spec.parting == "arm_plane":
        faces += [(f"edges of the {a.called}", min(a.thickness_barrel_mm, a.thickness_palm_mm) / 2) for a in strut.arms]
    for palm in cast.plates:
        if palm_drawn(palm, pull)[1] < PALM_ALONG:
            faces.append((f"edge of the {palm.called}", min(palm_heights_mm(palm, pull))))
        else:
            faces.append((f"edges and hull face of the {palm.called}", min(palm_heights_mm(palm, pull))))
    for name, height in faces:
        yield _draft_of(name, height, spec.draft.at(height), spec.draft.note, advice)
    grows = "arm" if cast.flange is None else "barrel"
    root = say("{usual}, as the {grows}'s root stands on it", usual=deg(spec.draft.under_root_deg), grows=grows)
    by_hand = (
        f"lean this face more by hand on the pattern, away from the {grows}, or ask the founder what draft is wanted"
    )
    for palm in cast.plates:
        if not spec.draft.given and palm_drawn(palm, pull)[1] >= PALM_ALONG:
            name, height = f"water face of the {palm.called}", min(palm_heights_mm(palm, pull))
            yield _draft_of(name, height, spec.draft.under_root_deg, root, by_hand)


def _draft_of(name: str, height_mm: float, specified_deg: float, note: Words, advice: str) -> Finding:
    """A finding for a face of a height along the pull: a hint where the table asks more, as patterns draw with less."""
    asked = tables.casting_draft_deg(height_mm)
    words = "draft specified for the {name}, {height} high along the pull ({note})"
    return Finding(
        code="pattern_draft_small",
        verdict=Verdict.HINT if finding.beyond(asked, specified_deg, "deg") else Verdict.OK,
        what=say(words, name=name, height=mm(height_mm), note=note),
        demanded=asked,
        actual=specified_deg,
        unit="deg",
        limit_is="at least",
        utilisation=asked / specified_deg if specified_deg > 0 else math.inf,
        source="ISO 8062-4 Table 4, moulded by hand, fine, outside",
        standing=Standing.PUBLISHED,
        advice=advice,
        parameter="pattern.draft",
        group=GROUP,
    )


PALM_ADVICE = (
    "make the palm a loose piece with dowels, step the joint line along the palm, or mould the face flat and machine it"
)


def palm_findings(strut: Strut, spec: FoundrySpec, limits: Limits) -> list[Finding]:
    """Return a finding for each face of each palm that overhangs the pull by more than draft is added for.

    >>> from strutwright.models.shop.foundry import foundry_settings
    >>> launch = resolved("harbour-launch")  # its upright arm is drawn athwart, along its palm
    >>> found = palm_findings(launch.strut, foundry_settings(launch), limit_table.standard())
    >>> [(f.verdict.value, f.actual) for f in found]
    [('ok', 0.0)]
    """
    pull = parting_axes(strut, spec.parting).n
    halves = half_names(spec.parting, strut.family)
    return [_palm(palm, pull, halves, limits) for palm in strut.plates]


def overhangs(palm: Plate, pull: Vector, limits: Limits) -> bool:
    """Return whether a palm is tilted to the pull, a unit vector (3,), by more than draft is added for on its faces.

    >>> launch = resolved("harbour-launch")  # parted level with the shaft, its palm would lie flat
    >>> strut, limits = launch.strut, limit_table.standard()
    >>> pulls = [parting_axes(strut, parting).n for parting in ("arm_plane", "barrel_plane")]
    >>> [overhangs(strut.palms[0], pull, limits) for pull in pulls]
    [False, True]
    """
    return _palm(palm, pull, ("", ""), limits).verdict is not Verdict.OK


def _palm(palm: Plate, pull: Vector, halves: tuple[str, str], limits: Limits) -> Finding:
    tilt, most = palm_drawn(palm, pull)[2], limits["pattern_tilt"]
    what = f"tilt of the {palm.called} to the pull"
    if abs(tilt) > 1e-9:
        hull, water = halves[:: -1 if tilt > 0 else 1]
        what += f" (its hull face hangs over in the {hull}, its water face in the {water})"
    rests = _rests(limits, most.name, source=most.source, standing=Standing.GEOMETRY)
    drawn = partial(_AT_MOST, "pattern_palm_back_draft", advice=PALM_ADVICE, parameter="pattern.parting", **rests)
    return drawn(what, abs(tilt), most.value, "deg")


_MESH: dict[str, Any] = {"source": "mesh of the pattern against the pull", "standing": Standing.GEOMETRY}


def draft_findings(rows: Iterable[DraftRow], limits: Limits | None = None) -> list[Finding]:
    """Return what the draft of the finished pattern's mesh says, face by face: undercuts first, then low draft.

    limits: as shipped when left out.

    >>> areas = {"area_mm2": 900.0, "asked_deg": 1.5, "undercut_mm2": 80.0, "low_mm2": 0.0, "low_height_mm": 0.0}
    >>> row = DraftRow(half="port half", face="arm", worst_deg=-3.0, **areas)
    >>> [f.what.read("mm") for f in draft_findings([row])]
    ['undercut on the arm, port half (80 mm2 of 900 mm2)']
    """
    least = (limit_table.standard() if limits is None else limits)["pattern_low_height"]
    over, drawn = partial(_YES_NO, **_MESH), partial(_YES_NO, **_rests({least.name: least}, least.name, **_MESH))
    under, low = list[Finding](), list[Finding]()
    for row in rows:
        where = f"{row.face}, {row.half}"
        if row.undercut_mm2 > UNDERCUT_MM2:
            what = say(
                "undercut on the {where} ({undercut} of {area})",
                where=where,
                undercut=Amount(row.undercut_mm2, "mm2"),
                area=Amount(row.area_mm2, "mm2"),
            )
            worst = {"actual": row.worst_deg, "demanded": 0.0, "unit": "deg"}
            advice = _undercut_advice(row.face)
            under.append(over("pattern_undercut", what, False, advice=advice, parameter="pattern.parting", **worst))
        if row.low_height_mm > least.value and row.low_mm2 > UNDERCUT_MM2:
            what = say(
                "less draft than specified on the {where} ({area} over {height} of draw)",
                where=where,
                area=Amount(row.low_mm2, "mm2"),
                height=mm(row.low_height_mm),
            )
            worst = {"actual": max(row.worst_deg, 0.0), "demanded": row.asked_deg, "unit": "deg"}
            advice = "give this face more draft by hand, or draw the pattern with care"
            low.append(drawn("pattern_low_draft", what, False, advice=advice, parameter="pattern.draft", **worst))
    good = "every face opens along the pull"
    return [*under, *low] or [drawn("pattern_draws", good, True, advice="", parameter="pattern.parting")]


def _undercut_advice(face: str) -> str:
    if "palm" in face:
        return PALM_ADVICE
    if "rib" in face:
        return "turn the ribs (flange.ribs.first_clock) along or across the pull, or make this a loose piece"
    if "arm" in face:
        return "step the joint line along the arm's edges, core the space between two arms, or choose the other parting"
    return "step the joint line here or make this a loose piece, or choose the other pattern.parting"
