"""Checks of the boat in the way: shaft, blades, rudder stock and tools as bodies against the strut's own bodies.

Each distance is the least one between simple bodies (`geometry.bodies`), negative where they overlap. The
build holds the same bodies against the solids (`models.solids.boat`) with the same limits.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Num
from strutwright.models.checks.check import Check, rows_of
from strutwright.models.checks.geometry import clearance_bounds as bounds
from strutwright.models.checks.geometry import screws
from strutwright.models.checks.results import IMPOSSIBLE, Results, outcomes_of
from strutwright.models.finding import FAILS, WARNS, WITHIN
from strutwright.models.geometry import bodies
from strutwright.models.geometry.bodies import Part
from strutwright.models.geometry.clearances import Body, least_gap_mm
from strutwright.models.spec import Heel, Palm, PalmHole, Strut
from strutwright.models.struts import Struts
from strutwright.params.limits import Limits
from strutwright.params.words import Words, mm, say

CHECKS = (SHAFT, BLADES, TIPS, STOCK, RUDDER, TOOL, KEY, ENTRY) = rows_of("clearances")


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One thing that may stand in the way. find: what works it out on one strut; aim, hard: its limits, of the
    propeller's diameter where per_diameter; needs: dotted paths that the file must say, else `what` cannot be checked;
    there: what a strut must have, else there is nothing to check; moved: whether sizes of the strut can bring it
    nearer, so that many struts are looked at by a bound; also: a limit that its bodies follow."""

    check: Check
    find: Callable[[Results, Sequence[Part]], None]
    aim: str
    hard: str | float | None = None
    needs: tuple[str, ...] = ()
    what: str = ""
    there: Callable[[Strut], object] = lambda _: True
    per_diameter: bool = False
    moved: bool = True
    also: str = ""

    def per(self, strut: Strut) -> Num:
        """Return the size (mm) its limits are multiples of, 1 where they are in mm."""
        if not self.per_diameter:
            return 1.0
        diameter = strut.propeller.diameter_mm
        assert diameter is not None  # nothing is asked of blades that the file does not say
        return diameter

    def lacking(self, strut: Strut) -> list[str]:
        """Return the paths it needs that a strut, one or many, does not say."""
        return [path for path in self.needs if _SAID[path](strut) is None]


_SAID: Mapping[str, Callable[[Strut], object]] = {
    "propeller.diameter": lambda strut: strut.propeller.diameter_mm,
    "hull.thickness": lambda strut: strut.hull.thickness_mm,
}
"""What a way may need, and where a strut has it: None where it is not said."""


def check(out: Results) -> None:
    """Check what stands in the way of the boat: shaft, blades, rudder stock, tools.

    >>> round(found(check, "canal-tender")["blade_to_strut"].actual, 1)  # gap 12 + (74 - 56) / 2 less the weld of 6 mm
    15.0
    """
    if not out.tells:
        _many(out)
        return
    parts = bodies.strut_parts(out.strut)
    _find(out, WAYS, parts)
    _from_inside(out, parts)


def clear(out: Results, check: Check, what: Words, gap_mm: float, *, parameter: str, advice: Words) -> None:
    """Check that a gap is as wide as its limit asks, never into each other; a ratio of it would say nothing.

    >>> out = Results.of(shipped("canal-tender"))
    >>> clear(out, SHAFT, "shaft to the palm", -2.0, parameter="hull.drop", advice="")
    >>> str(out.findings[0].what)
    'shaft to the palm, overlapping by 2 mm'
    """
    way = way_of(check)
    if gap_mm < -0.001:
        what = say("{what}, overlapping by {deep}", what=what, deep=mm(-gap_mm))
    per = way.per(out.strut)
    out.least(
        check,
        gap_mm,
        way.aim,
        what=what,
        per=per,
        hard=way.hard,
        also=way.also,
        parameter=parameter,
        advice=advice,
        share=False,
    )


def _shaft(out: Results, parts: Sequence[Part]) -> None:
    """The shaft outside the barrel."""
    against = bodies.of_kind(parts, "palm", "foot", "heel boss")
    reach = max(float(b.box[1][0]) for p in against for b in p.bodies) + 1.0
    gap, part = bodies.nearest(bodies.shaft_bodies(out.strut, reach), against)
    if part is None:
        return
    need = out.value("shaft_to_strut")
    clear(
        out,
        SHAFT,
        f"shaft to the {part.name}",
        gap,
        parameter="palm.offset.forward" if part.kind == "palm" else "skeg.heel.below_shaft",
        advice=say(
            "shorten the forward end of the palm, make it thinner, or increase hull.drop, to gain {short}"
            if part.kind == "palm"
            else "make skeg.heel.below_shaft larger by {short}",
            short=mm(need - gap),
        ),
    )


def _blades(out: Results, parts: Sequence[Part]) -> None:
    """The room swept by the blades against arms and palms; fin and foot have their own limits in `checks.skeg`."""
    strut, p = out.strut, out.strut.propeller
    swept = bodies.blades_body(strut, p)
    assert swept is not None  # the way needs the diameter
    gap, part = bodies.nearest([swept], bodies.of_kind(parts, "arm", "palm"))
    if part is None:
        return
    short = out.value("blade_to_strut", way_of(BLADES).per(strut)) - gap
    move = (
        "arms.rake so that the arm leans forward"
        if part.kind == "arm"
        else "palm.offset.forward, or shorten the palm's aft end"
    )
    clear(
        out,
        BLADES,
        f"room swept by the blades{_not_known(strut)} to the {part.name}",
        gap,
        parameter=part.parameter if part.kind == "arm" else "palm.offset.forward",
        advice=say("change {move}, or make propeller.hub_gap larger, to gain {short}", short=mm(short), move=move),
    )


def _tips(out: Results, parts: Sequence[Part]) -> None:
    """The circle of the blade tips against palms that reach aft over the blades: there a palm is the hull."""
    strut = out.strut
    found = bodies.palm_over_tips(strut, parts)
    if found is None:
        return
    gap, part = found
    clear(
        out,
        TIPS,
        f"blade tips{_not_known(strut)} to the {part.name} over them",
        gap,
        parameter="palm.offset.forward",
        advice=say(
            "move the palm forward (palm.offset.forward) or shorten its aft end, make it thinner, or increase "
            "hull.drop, to gain {short}",
            short=mm(out.value("tip_clearance", way_of(TIPS).per(strut)) - gap),
        ),
    )


def _not_known(strut: Strut) -> str:
    p = strut.propeller
    missing = [n for n, v in (("hub_gap", p.hub_gap_mm), ("hub_length", p.hub_length_mm)) if v is None]
    return f" (propeller.{' and '.join(missing)} not given, taken as 0)" if missing else ""


def _stock(out: Results, parts: Sequence[Part]) -> None:
    """The rudder stock and the tube round it, against all but the heel that carries them."""
    heel = _heel(out.strut)
    assert heel is not None  # else the way is not there
    rod, *tube = bodies.stock_bodies(out.strut, heel)
    against = bodies.of_kind(parts, "palm", "arm", "barrel", "skeg")
    (gap, part), name = bodies.nearest([rod], against), "rudder stock"
    if tube:
        other, beside = bodies.nearest(tube, against)
        if other < gap:
            gap, part, name = other, beside, "tube of the rudder stock"
    if part is None:
        return
    short = out.value("stock_to_strut") - gap
    clear(
        out,
        STOCK,
        f"{name} to the {part.name}",
        gap,
        parameter="skeg.heel.behind_barrel",
        advice=say(
            "move the stock aft (skeg.heel.behind_barrel) by about {short}"
            + (", or shorten the palm's aft end by as much" if part.kind == "palm" else ""),
            short=mm(short),
        ),
    )


def _rudder(out: Results, parts: Sequence[Part]) -> None:
    """The room swept by the blades against the rudder stock."""
    strut, heel = out.strut, _heel(out.strut)
    swept = bodies.blades_body(strut, strut.propeller)
    assert heel is not None  # else the way is not there
    assert swept is not None  # the way needs the diameter
    gap = least_gap_mm([swept], bodies.stock_bodies(strut, heel)[:1])
    short = out.value("blade_to_stock", way_of(RUDDER).per(strut)) - gap
    clear(
        out,
        RUDDER,
        f"room swept by the blades{_not_known(strut)} to the rudder stock",
        gap,
        parameter="skeg.heel.behind_barrel",
        advice=say(
            "move the stock aft (skeg.heel.behind_barrel) by about {short}, or let its upper end lean aft "
            "(skeg.heel.stock_rake)",
            short=mm(short),
        ),
    )


def _tool(out: Results, parts: Sequence[Part]) -> None:
    """The tools on the bolts against the barrel and the arms of the other palm; `checks.palm` has the palm's own."""
    strut = out.strut
    arms = bodies.of_kind(parts, "arm")

    def others(index: int) -> list[Part]:
        return bodies.of_kind(parts, "barrel") + [
            part for part, arm in zip(arms, strut.arms, strict=True) if arm.palm_index != index
        ]

    gap, hole, name = _nearest_hole(strut, lambda p, h: bodies.bolt_tool(p, h, out.value("driver_height")), others)
    if name:
        clear(
            out,
            TOOL,
            f"tool on {hole} clear of the {name}",
            gap,
            parameter="bolts.pattern",
            advice=say(
                "move the hole away from the {part} by {short}, increase hull.drop, or put the heads on the hull side",
                part=name,
                short=mm(out.value("driver_to_arm") - gap),
            ),
        )


def _nearest_hole(
    strut: Strut, room: Callable[[Palm, PalmHole], Body], against: Callable[[int], Sequence[Part]]
) -> tuple[float, str, str]:
    """Return the least gap (mm) of the rooms over the holes, in words which hole has it, and the name of the part it
    is to; (inf, "", "") where there is none. against: the parts that count for a palm, by its number."""
    worst: tuple[float, str, str] = (math.inf, "", "")
    for index, palm in enumerate(strut.palms):
        for hole in palm.holes:
            gap, part = bodies.nearest([room(palm, hole)], against(index), worst[0])
            if part is not None:
                worst = gap, f"hole {hole.number} of the {palm.name}", part.name
    return worst


def _key(out: Results, parts: Sequence[Part]) -> None:
    """The keys of the set screws against arms and skeg; `checks.screws` has hull and palm."""
    strut = out.strut
    against = bodies.of_kind(parts, "arm", "skeg")
    for s in strut.set_screws:
        size = screws.key_mm(s)
        rod = bodies.key_body(strut, s, size, out.value("screw_key_room", size))
        gap, part = bodies.nearest([rod], against)
        if part is None:
            return
        at = f"set_screws.positions[{s.number - 1}]"
        clear(
            out,
            KEY,
            say("{size} key on set screw {number} clear of the {part}", size=mm(size), number=s.number, part=part.name),
            gap,
            parameter=f"{at}.clock",
            advice=say(
                "turn {at}.clock away from the {part}, or move {at}.distance, to gain {short}",
                at=at,
                part=part.name,
                short=mm(out.value("driver_to_arm") - gap),
            ),
        )


def _entry(out: Results, parts: Sequence[Part]) -> None:
    """The bolts, as long as they are, on their way in from the water side, where their heads are sunk."""
    strut = out.strut
    gap, where, name = _nearest_hole(
        strut, lambda p, h: bodies.bolt_way(strut, p, h), lambda _: bodies.of_kind(parts, "barrel", "arm")
    )
    if name:
        clear(
            out,
            ENTRY,
            f"bolt put in from the water side at {where}, clear of the {name}",
            gap,
            parameter="bolts.pattern",
            advice=say(
                "move the hole away from the {part} by at least {short}",
                part=name,
                short=mm(out.value("driver_to_arm") - gap),
            ),
        )


def _from_inside(out: Results, parts: Sequence[Part]) -> None:
    """A bolt in a plain hole can come from inside as well: say which ones have to."""
    strut = out.strut
    if _sunk(strut) or way_of(ENTRY).lacking(strut):
        return
    for palm in strut.palms:
        if holes := bodies.entered_from_inside(strut, palm, parts, out.value("driver_to_arm")):
            out.inform(ENTRY, palm=palm.name, holes=bodies.numbered(holes))


def _heel(strut: Strut) -> Heel | None:
    return None if strut.skeg is None else strut.skeg.heel


def _sunk(strut: Strut) -> bool:
    return bool(strut.palms[0].bolt.head.recess)


_DIAMETER = ("propeller.diameter",)
WAYS: tuple[Way, ...] = (
    Way(check=SHAFT, find=_shaft, aim="shaft_to_strut"),
    Way(
        check=BLADES,
        find=_blades,
        aim="blade_to_strut",
        hard="blade_to_strut_hard",
        per_diameter=True,
        needs=_DIAMETER,
        what="room swept by the blades to arms and palms",
    ),
    Way(
        check=TIPS,
        find=_tips,
        aim="tip_clearance",
        hard="tip_clearance_hard",
        per_diameter=True,
        needs=_DIAMETER,
        what="blade tips to a palm over them",
    ),
    Way(check=STOCK, find=_stock, aim="stock_to_strut", hard=0.0, there=_heel),
    Way(
        check=RUDDER,
        find=_rudder,
        aim="blade_to_stock",
        hard=0.0,
        per_diameter=True,
        needs=_DIAMETER,
        what="room swept by the blades to the rudder stock",
        there=_heel,
        moved=False,
    ),
    Way(check=TOOL, find=_tool, aim="driver_to_arm", also="driver_height"),
    Way(check=KEY, find=_key, aim="driver_to_arm", there=lambda strut: strut.set_screws, also="screw_key_room"),
    Way(
        check=ENTRY,
        find=_entry,
        aim="driver_to_arm",
        needs=("hull.thickness",),
        what="bolts on their way in from the water side",
        there=_sunk,
    ),
)


def way_of(check: Check) -> Way:
    """Return the row of a check.

    >>> way_of(SHAFT).aim
    'shaft_to_strut'
    """
    return next(w for w in WAYS if w.check is check)


BOUNDS: Mapping[Check, Callable[[Struts, Limits], Num]] = {
    SHAFT: bounds.shaft,
    BLADES: bounds.blades,
    TIPS: bounds.tips,
    STOCK: bounds.stock,
    TOOL: bounds.tools,
    KEY: bounds.keys,
    ENTRY: bounds.entries,
}
"""What never says more than the true distance, mm, of many struts at once."""
AT_MOST: Mapping[Check, Callable[[Struts], Num]] = {BLADES: bounds.blades_at_most, TIPS: bounds.tips_at_most}
"""What never says less."""


# --- many struts ----------------------------------------------------------------------------------------------------

FUTILE = 6
"""How many more than enough are measured before the others are given up."""


def _many(out: Results) -> None:
    """A bound that never says more than the true distance clears nearly all struts; what it cannot clear is measured.

    `out.order`: those that are measured, best first, all when left out; the others count as clear. `out.enough`: so
    many of them that do not fail are enough, and FUTILE times as many measured in vain; those after them that no bound
    clears count as failing, and are marked in `out.unsure`.
    """
    c = out.struts
    ways = [w for w in WAYS if w.there(c.own) and not w.lacking(c.strut)]
    level: dict[str, NDArray[np.int8]] = {}
    unknown: dict[str, NDArray[np.bool_]] = {}
    for way in ways:
        level[way.check.code], unknown[way.check.code] = _by_bound(out, way)
    order = np.asarray(range(c.count) if out.order is None or c.count == 1 else out.order)
    good = measured = 0
    for at, n in enumerate(order.tolist()):
        if out.enough is not None and (good >= out.enough or measured >= FUTILE * out.enough):
            for code, open_ in unknown.items():
                left = order[at:][open_[order[at:]]]
                level[code][left] = FAILS
                if out.unsure is not None:
                    out.unsure[left] = True
            break
        asked = [w for w in ways if unknown[w.check.code][n]]
        measured += bool(asked)
        for code, found in _measured(out, c.one(n) if asked else None, asked).items():
            level[code][n] = found
        good += all(level[w.check.code][n] < FAILS for w in ways)
    for way in ways:
        found_here = level[way.check.code]
        out.keep(way.check, found_here if c.count > 1 else found_here[0], np.nan)


def _by_bound(out: Results, way: Way) -> tuple[NDArray[np.int8], NDArray[np.bool_]]:
    """Level by the bounds, and where these do not tell."""
    c = out.struts
    level = np.zeros(c.count, dtype=np.int8)
    if c.count == 1:
        return level, np.array([True])
    if not way.moved:
        level[:] = _measured(out, c.own, [way])[way.check.code]
        return level, np.zeros(c.count, dtype=bool)
    per = way.per(c.strut)
    least, aim = BOUNDS[way.check](c, out.limits), out.value(way.aim, per)
    wanted = np.maximum(aim, out.value(way.hard, per)) if isinstance(way.hard, str) else aim
    clear = np.broadcast_to(np.asarray(least >= wanted), (c.count,)) | ~c.buildable
    if way.check in AT_MOST:
        hard, most = out.value(str(way.hard), per), AT_MOST[way.check](c)
        clear = clear | ((least >= hard) & (most < aim)) | (most < hard)
        level = np.where(most < hard, np.int8(FAILS), np.where((least < aim) & (most < aim), np.int8(WARNS), level))
    return level, ~clear


def _measured(out: Results, strut: Strut | None, ways: Sequence[Way]) -> dict[str, int]:
    """How a strut stands by the bodies themselves; what cannot be worked out clears nothing."""
    codes = [w.check.code for w in ways]
    if strut is None:
        return dict.fromkeys(codes, WITHIN)
    one = Results.of(strut, out.limits)
    one.run(lambda each: _find(each, ways, bodies.strut_parts(strut)), CHECKS)
    held = {code: int(outcome.level) for code, outcome in outcomes_of(one.findings).items()}
    least = held.get(IMPOSSIBLE, WITHIN)
    return {code: max(held.get(code, WITHIN), least) for code in codes}


def _find(out: Results, ways: Sequence[Way], parts: Sequence[Part]) -> None:
    for way in ways:
        if not way.there(out.strut):
            continue
        if lacking := way.lacking(out.strut):
            out.without(way.check, way.what, *lacking)
        else:
            way.find(out, parts)
