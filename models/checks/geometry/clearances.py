"""Checks of the boat in the way: shaft, blades, rudder stock and tools as bodies against the strut's own bodies.

Each distance is the least one between simple bodies (`geometry.bodies`), negative where they stand in each other. The
build holds the same bodies against the solids (`models.solids.boat`) with the same limits.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from strutwright.models.checks.bench import Bench
from strutwright.models.checks.check import Check
from strutwright.models.checks.geometry import screws
from strutwright.models.geometry import bodies
from strutwright.models.geometry.bodies import Part
from strutwright.models.geometry.clearances import Body, least_gap_mm
from strutwright.models.spec import Palm, PalmHole, Strut
from strutwright.params.words import Words, mm, say

SHAFT = Check(
    "shaft_to_strut", "hull", "the shaft outside the barrel is clear of palms, foot and heel boss", ("shaft_to_strut",)
)
BLADES = Check(
    "blade_to_strut",
    "propeller",
    "the room swept by the blades is clear of arms and palms",
    ("blade_to_strut", "blade_to_strut_hard"),
)
TIPS = Check(
    "tip_to_palm",
    "propeller",
    "blade tips are as clear of a palm that reaches over them as of the hull",
    ("tip_clearance", "tip_clearance_hard"),
)
STOCK = Check(
    "stock_to_strut", "skeg", "rudder stock and its tube are clear of palms, arms, barrel and fin", ("stock_to_strut",)
)
RUDDER = Check(
    "blade_to_stock", "skeg", "the room swept by the blades is clear of the rudder stock", ("blade_to_stock",)
)
TOOL = Check(
    "tool_to_strut",
    "bolts",
    "the tool on a bolt is clear of the barrel and of the arm of another palm",
    ("driver_to_arm", "driver_height"),
)
KEY = Check(
    "key_to_strut",
    "set screws",
    "the key on a set screw is clear of arms and skeg and their roots",
    ("driver_to_arm", "screw_key_room"),
)
ENTRY = Check(
    "bolt_entry", "bolts", "a bolt can be put in from the water side, past barrel and arms", ("driver_to_arm",)
)
CHECKS = (SHAFT, BLADES, TIPS, STOCK, RUDDER, TOOL, KEY, ENTRY)


def check(bench: Bench) -> None:
    """Find on what stands in the way."""
    parts = bodies.strut_parts(bench.strut)
    for _, find in FINDERS:
        find(bench, parts)


def of_kind(parts: Sequence[Part], *kinds: str) -> list[Part]:
    """Return the parts of some kinds."""
    return [p for p in parts if p.kind in kinds]


def nearest(group: Sequence[Body], parts: Sequence[Part], enough_mm: float = math.inf) -> tuple[float, Part | None]:
    """Return the least gap (mm) between bodies and parts and the part that has it, or (inf, None).

    enough_mm: no gap of this much or more is looked for.
    """
    best, which = enough_mm, None
    for part in parts:
        gap = least_gap_mm(group, part.bodies, best)
        if gap < best:
            best, which = gap, part
    return (math.inf if which is None else best), which


def clear(
    bench: Bench,
    check: Check,
    what: Words,
    gap_mm: float,
    aim: str | float,
    *,
    per: float = 1.0,
    hard: str | float | None = None,
    parameter: str,
    advice: Words,
) -> None:
    """Find whether a gap is as wide as its limit asks, never into each other; a ratio of it would say nothing."""
    if gap_mm < -0.001:
        what = say("{what}: they stand {deep} in each other", what=what, deep=mm(-gap_mm))
    bench.least(check, what, gap_mm, aim, per=per, hard=hard, parameter=parameter, advice=advice)
    bench.findings[-1] = replace(bench.findings[-1], utilisation=math.nan)


def shaft(bench: Bench, parts: Sequence[Part]) -> None:
    """The shaft outside the barrel."""
    against = of_kind(parts, "palm", "foot", "heel boss")
    reach = max(float(b.box[1][0]) for p in against for b in p.bodies) + 1.0
    gap, part = nearest(bodies.shaft_bodies(bench.strut, reach), against)
    if part is None:
        return
    need = bench.value("shaft_to_strut")
    clear(
        bench,
        SHAFT,
        f"shaft to the {part.name}",
        gap,
        "shaft_to_strut",
        parameter="palm.offset.forward" if part.kind == "palm" else "skeg.heel.below_shaft",
        advice=say(
            "shorten the forward end of the palm, make it thinner, or increase hull.drop: {short} is wanting"
            if part.kind == "palm"
            else "make skeg.heel.below_shaft larger by {short}",
            short=mm(need - gap),
        ),
    )


def blades(bench: Bench, parts: Sequence[Part]) -> None:
    """The room swept by the blades against arms and palms; fin and foot have their own limits in `checks.skeg`."""
    strut, p = bench.strut, bench.strut.propeller
    swept = bodies.blades_body(strut, p)
    if swept is None or p.diameter_mm is None:
        bench.without(BLADES, "room swept by the blades to arms and palms", "propeller.diameter")
        return
    gap, part = nearest([swept], of_kind(parts, "arm", "palm"))
    if part is None:
        return
    short = bench.value("blade_to_strut", p.diameter_mm) - gap
    move = (
        "arms.rake so that the arm leans forward"
        if part.kind == "arm"
        else "palm.offset.forward, or shorten the palm's aft end"
    )
    clear(
        bench,
        BLADES,
        f"room swept by the blades{_not_known(strut)} to the {part.name}",
        gap,
        "blade_to_strut",
        per=p.diameter_mm,
        hard="blade_to_strut_hard",
        parameter=part.parameter if part.kind == "arm" else "palm.offset.forward",
        advice=say("{short} is wanting: change {move}, or make propeller.hub_gap larger", short=mm(short), move=move),
    )


def tips(bench: Bench, parts: Sequence[Part]) -> None:
    """The circle of the blade tips against palms that reach aft over the blades: there a palm is the hull."""
    strut, p = bench.strut, bench.strut.propeller
    if p.diameter_mm is None:
        bench.without(TIPS, "blade tips to a palm over them", "propeller.diameter")
        return
    found = palm_over_tips(strut, parts)
    if found is None:
        return
    gap, part = found
    clear(
        bench,
        TIPS,
        f"blade tips{_not_known(strut)} to the {part.name} over them",
        gap,
        "tip_clearance",
        per=p.diameter_mm,
        hard="tip_clearance_hard",
        parameter="palm.offset.forward",
        advice=say(
            "{short} is wanting: move the palm forward (palm.offset.forward) or shorten its aft end, make it "
            "thinner, or increase hull.drop",
            short=mm(bench.value("tip_clearance", p.diameter_mm) - gap),
        ),
    )


def palm_over_tips(strut: Strut, parts: Sequence[Part]) -> tuple[float, Part] | None:
    """Return the least gap (mm) from the circle of the blade tips to a palm that reaches aft of the hub's forward end,
    and that palm; None without a diameter or such a palm.
    """
    circle = bodies.tip_circle(strut, strut.propeller)
    start = bodies.hub_start_mm(strut, strut.propeller)
    over = [p for p in of_kind(parts, "palm") if min(float(b.box[0][0]) for b in p.bodies) < start]
    if circle is None or not over:
        return None
    gap, part = nearest([circle], over)
    return None if part is None else (gap, part)


def _not_known(strut: Strut) -> str:
    p = strut.propeller
    missing = [n for n, v in (("hub_gap", p.hub_gap_mm), ("hub_length", p.hub_length_mm)) if v is None]
    return f" (propeller.{' and '.join(missing)} not given: taken as nothing)" if missing else ""


def stock(bench: Bench, parts: Sequence[Part]) -> None:
    """The rudder stock and the tube round it, against all but the heel that carries them."""
    skeg = bench.strut.skeg
    if skeg is None or skeg.heel is None:
        return
    heel = skeg.heel
    rod, *tube = bodies.stock_bodies(bench.strut, heel)
    against = of_kind(parts, "palm", "arm", "barrel", "skeg")
    (gap, part), name = nearest([rod], against), "rudder stock"
    if tube:
        other, beside = nearest(tube, against)
        if other < gap:
            gap, part, name = other, beside, "tube of the rudder stock"
    if part is None:
        return
    short = bench.value("stock_to_strut") - gap
    clear(
        bench,
        STOCK,
        f"{name} to the {part.name}",
        gap,
        "stock_to_strut",
        hard=0.0,
        parameter="skeg.heel.behind_barrel",
        advice=say(
            "move the stock aft (skeg.heel.behind_barrel) by about {short}"
            + (", or shorten the palm's aft end by as much" if part.kind == "palm" else ""),
            short=mm(short),
        ),
    )


def rudder(bench: Bench, parts: Sequence[Part]) -> None:
    """The room swept by the blades against the rudder stock."""
    strut, p, skeg = bench.strut, bench.strut.propeller, bench.strut.skeg
    swept = bodies.blades_body(strut, p)
    if skeg is None or skeg.heel is None:
        return
    if swept is None or p.diameter_mm is None:
        bench.without(RUDDER, "room swept by the blades to the rudder stock", "propeller.diameter")
        return
    gap = least_gap_mm([swept], bodies.stock_bodies(strut, skeg.heel)[:1])
    short = bench.value("blade_to_stock", p.diameter_mm) - gap
    clear(
        bench,
        RUDDER,
        f"room swept by the blades{_not_known(strut)} to the rudder stock",
        gap,
        "blade_to_stock",
        per=p.diameter_mm,
        hard=0.0,
        parameter="skeg.heel.behind_barrel",
        advice=say(
            "move the stock aft (skeg.heel.behind_barrel) by about {short}, or let its upper end lean aft "
            "(skeg.heel.stock_rake)",
            short=mm(short),
        ),
    )


def tool(bench: Bench, parts: Sequence[Part]) -> None:
    """The tools on the bolts against the barrel and the arms of the other palm; `checks.palm` has the palm's own."""
    strut = bench.strut
    arms = of_kind(parts, "arm")

    def others(index: int) -> list[Part]:
        return of_kind(parts, "barrel") + [
            part for part, arm in zip(arms, strut.arms, strict=True) if arm.palm_index != index
        ]

    gap, hole, name = _nearest_hole(strut, lambda p, h: bodies.bolt_tool(p, h, bench.value("driver_height")), others)
    if name:
        clear(
            bench,
            TOOL,
            f"tool on {hole} clear of the {name}",
            gap,
            "driver_to_arm",
            parameter="bolts.pattern",
            advice=say(
                "move the hole away from the {part} by {short}, increase hull.drop, or put the heads on the hull side",
                part=name,
                short=mm(bench.value("driver_to_arm") - gap),
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
            gap, part = nearest([room(palm, hole)], against(index), worst[0])
            if part is not None:
                worst = gap, f"hole {hole.number} of the {palm.name}", part.name
    return worst


def key(bench: Bench, parts: Sequence[Part]) -> None:
    """The keys of the set screws against arms and skeg; `checks.screws` has hull and palm."""
    strut = bench.strut
    against = of_kind(parts, "arm", "skeg")
    for s in strut.set_screws:
        size = screws.key_mm(s)
        rod = bodies.key_body(strut, s, size, bench.value("screw_key_room", size))
        gap, part = nearest([rod], against)
        if part is None:
            return
        at = f"set_screws.positions[{s.number - 1}]"
        clear(
            bench,
            KEY,
            say("{size} key on set screw {number} clear of the {part}", size=mm(size), number=s.number, part=part.name),
            gap,
            "driver_to_arm",
            parameter=f"{at}.clock",
            advice=say(
                "turn {at}.clock away from the {part}, or move {at}.distance: {short} is wanting",
                at=at,
                part=part.name,
                short=mm(bench.value("driver_to_arm") - gap),
            ),
        )


def entry(bench: Bench, parts: Sequence[Part]) -> None:
    """The bolts, as long as they are, on their way in from the water side.

    A bolt in a plain hole can come from inside as well: there it is said which ones have to.
    """
    strut = bench.strut
    plain = strut.palms[0].bolt.kind == "plain"
    if strut.hull.thickness_mm is None:
        if not plain:
            bench.without(ENTRY, "bolts on their way in from the water side", "hull.thickness")
        return
    if plain:
        for palm in strut.palms:
            if holes := entered_from_inside(strut, palm, parts, bench.value("driver_to_arm")):
                bench.hint(
                    ENTRY,
                    f"{palm.name}: an arm is in the way of the bolts at {numbered(holes)} on the water side",
                    parameter="bolts.pattern",
                    advice="put them in from inside, their nuts under the palm, or move the holes",
                )
        return
    gap, where, name = _nearest_hole(
        strut, lambda p, h: bodies.bolt_way(strut, p, h), lambda _: of_kind(parts, "barrel", "arm")
    )
    if name:
        clear(
            bench,
            ENTRY,
            f"bolt put in from the water side at {where}, clear of the {name}",
            gap,
            "driver_to_arm",
            parameter="bolts.pattern",
            advice=say(
                "move the hole away from the {part} by at least {short}",
                part=name,
                short=mm(bench.value("driver_to_arm") - gap),
            ),
        )


def entered_from_inside(strut: Strut, palm: Palm, parts: Sequence[Part], room_mm: float) -> list[int]:
    """Return the numbers of a palm's holes whose bolts cannot be put in from the water side with room_mm beside them.

    Raises LookupError when the hull's thickness is not known.
    """
    against = of_kind(parts, "barrel", "arm")
    return [
        hole.number
        for hole in palm.holes
        if nearest([bodies.bolt_way(strut, palm, hole)], against, room_mm)[1] is not None
    ]


def numbered(holes: Sequence[int]) -> str:
    """Return "hole 5" or "holes 5 and 6"."""
    if len(holes) == 1:
        return f"hole {holes[0]}"
    return f"holes {', '.join(map(str, holes[:-1]))} and {holes[-1]}"


FINDERS: tuple[tuple[Check, Callable[[Bench, Sequence[Part]], None]], ...] = (
    (SHAFT, shaft),
    (BLADES, blades),
    (TIPS, tips),
    (STOCK, stock),
    (RUDDER, rudder),
    (TOOL, tool),
    (KEY, key),
    (ENTRY, entry),
)
