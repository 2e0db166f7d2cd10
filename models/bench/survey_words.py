"""What a survey has to say beside its figures: doubts, readings out of line, and how the hull meets the palm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from strutwright.models.arrays import Floats
from strutwright.models.bench.survey import Bed, HullPoint, Sided, Surveyed
from strutwright.models.bench.survey_fit import CURVED_FROM, PLANE
from strutwright.models.bench.survey_proof import LEAST_SLIP_MM, LINE_FROM
from strutwright.params.bench.survey import Bedding
from strutwright.params.words import Amount, Words, deg, fine_mm, joined, mm, say

_NARROW = 0.5
"""Points that reach less far across than this share of the palm's width tell its tilt badly."""
_NEAR = 0.12
"""Points nearer to each other than this share of their reach count as one place."""
_PLACES = 15
"""More places than that no survey needs."""
_LEVEL_DEG = 0.5
"""A hull on the keel that is out of level by more is told also where nothing says how sure that is."""
_RARE_DEG = 1.0
"""Angles that have the rarer sign by more are told."""
_ALONE = 0.9
"""A point of more leverage than this holds the fit up alone."""


def doubts(side: Sided) -> tuple[Words, ...]:
    """Return what to doubt about one side of a survey.

    >>> from strutwright.models.bench.survey import survey
    >>> from strutwright.params.bench.survey import Survey
    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, angles: {shaft: 9, run: 1, deadrise: 0, plan: 0}, drop: {vertical: 200}}"
    >>> [str(words) for words in doubts(survey(reads(text, Survey).said).sides[0])]
    ['the angles and the drop were read once: nothing checks them']
    """
    if not side.hull:
        return ("the angles and the drop were read once: nothing checks them", *_plan(side))
    return (*_out(side), *_unchecked(side), *_scattered(side), *_placed(side), *_level(side), *_turned(side))


def _names(points: Sequence[str]) -> str:
    return ", ".join(points)


def _out(side: Sided) -> Iterator[Words]:
    for points, proof, what in (
        (side.hull, side.proof, "the others"),
        (side.line, side.line_proof, "the line of the others"),
    ):
        out = [p for p in points if p.out]
        kept = [points[k].name for k in proof.named if not points[k].out]
        if len(out) == 1:
            by = out[0].off_mm if isinstance(out[0], HullPoint) else math.hypot(*out[0].off_mm)
            template = "{name} is out of line with {what} by {by} and was left out: measure it again"
            yield say(template, name=out[0].name, what=what, by=mm(abs(by)))
        elif out:
            template = (
                "{names} are out of line with {what} and were left out: more than one slip is beyond what is checked"
            )
            yield say(template + "; measure them all again", names=_names([p.name for p in out]), what=what)
        if kept:
            yield say("{names}: out of line, and kept as the file asks", names=_names(kept))


def _unchecked(side: Sided) -> Iterator[Words]:
    hull = [p for p in side.hull if not p.out]
    if not side.proof.checked:
        yield say("{n} hull points: nothing checks them; {least} or more do", n=len(hull), least=CURVED_FROM)
    else:
        alone = [p.name for p in hull if p.hidden_mm is None]
        if len(alone) == len(hull):
            yield "nothing checks the hull points but themselves: state the instrument's scatter, or measure more"
        elif alone:
            yield say("nothing checks {names}: measure points near by", names=_names(alone))
        else:
            worst = max(hull, key=lambda p: p.hidden_mm or 0.0)
            slip = max(worst.hidden_mm or 0.0, LEAST_SLIP_MM)
            yield say("a slip of under {slip} at {name} may go unnoticed", slip=mm(slip), name=worst.name)
    if side.line and not side.line_proof.checked:
        template = "{n} points on the shaft line: nothing checks them; {least} or more do"
        yield say(template, n=len(side.line), least=LINE_FROM)
    elif not side.line:
        yield "the shaft line was not measured by points: nothing checks it"
        yield from _plan(side)


def _plan(side: Sided) -> Iterator[Words]:
    plan = side.figures["plan_deg"]
    if math.isfinite(plan.value) and plan.within is None and not side.line:
        yield "the shaft is taken to lie along the centre line in plan, which was not measured: say angles.plan"


def _scattered(side: Sided) -> Iterator[Words]:
    for scatter, what in ((side.scatter, "hull points"), (side.line_scatter, "points on the shaft line")):
        if scatter.grown:
            template = "the {what} scatter by {scatter}, more than was stated; the uncertainties go by that"
            yield say(template, what=what, scatter=fine_mm(scatter.mm))
    if side.line and not math.isfinite(side.line_scatter.mm):
        yield "nothing tells how sure the shaft line is: state instrument.line_scatter, or measure more points of it"
    if not math.isfinite(side.scatter.mm):
        yield "the hull points just determine the plane and no scatter is stated: how sure it is nothing tells"


def _placed(side: Sided) -> Iterator[Words]:
    used = [p for p in side.hull if not p.out]
    uv = np.array([p.uv_mm for p in used])
    if side.model.terms == PLANE and len(used) < CURVED_FROM:
        yield "with so few points the hull is taken as flat; on a curved bottom drop and angles may be well off"
    elif len(side.model.terms) < len(PLANE) + 3:
        yield "the points lie in so few rows that some of the hull's curve cannot be seen"
    if not side.palm_told:
        yield "no palm is told: the plane is that over the box round the points; name the set, or say its sizes"
    bed = side.beds[0]
    low, high = bed.outline_mm.min(axis=0), bed.outline_mm.max(axis=0)
    around = uv - uv.mean(axis=0)
    _, _, axes = np.linalg.svd(around, full_matrices=False)
    narrow = float(np.ptp(around @ axes[1]))
    if narrow < _NARROW * float((high - low).min()):
        template = "the points lie nearly in one line ({narrow} across): the tilt across it is badly known"
        yield say(template, narrow=mm(narrow))
    reach = float(np.ptp(around @ axes[0]))
    clusters = _clusters(uv, _NEAR * reach)
    if len(used) > 3 and clusters < max(4, math.ceil(0.6 * min(len(used), _PLACES))):
        template = "{n} points lie in {clusters} clusters: spread them over the palm and a hand's breadth round it"
        yield say(template, n=len(used), clusters=clusters)
    beyond = float(np.mean(np.logical_not(_within(bed.uv_mm, uv))))
    if beyond > 0.15:
        yield say(
            "{share} of the palm lies beyond the points: its plane there is a guess", share=Amount(100 * beyond, "%")
        )


def _clusters(points: Floats, near_mm: float) -> int:
    """How many places are left when of those nearer than that to each other one counts."""
    left, count = points, 0
    while len(left):
        left, count = left[np.hypot(*(left - left[0]).T) >= near_mm], count + 1
    return count


def _within(places: Floats, points: Floats) -> Floats:
    """Whether places lie within the convex hull of points, by every direction in steps of 5 degrees."""
    turn = np.radians(np.arange(0.0, 360.0, 5.0))
    ways = np.stack([np.cos(turn), np.sin(turn)])
    return np.asarray(((places @ ways) <= (points @ ways).max(axis=0) + 1e-9).all(axis=1))


def _turned(side: Sided) -> Iterator[Words]:
    """Signs that few boats have, and that a line taken from the wrong end or a wrong side gives."""
    for name, what in (("shaft_deg", "the shaft rises going aft"), ("deadrise_deg", "the bottom falls going outboard")):
        value = side.figures[name].value
        if math.isfinite(value) and value < -_RARE_DEG:
            template = (
                "{what}, by {by}, as on few boats: look whether side, up and the order of the line's points are right"
            )
            yield say(template, what=what, by=deg(-value))


def _level(side: Sided) -> Iterator[Words]:
    free = side.tilt_free
    if free is None or abs(free.value) <= (_LEVEL_DEG if free.within is None else free.within):
        return
    within: Words = "how sure nothing tells" if free.within is None else say("+/- {w}", w=deg(free.within))
    template = "athwart the hull is {tilt} out of level ({within}); the palm is taken as level, bed it so"
    yield say(template, tilt=deg(abs(free.value)), within=within)


def bedding(side: Sided, limits: Bedding) -> tuple[Words, ...]:
    """Return how a flat palm meets the hull, and what takes it up.

    >>> from strutwright.models.bench.survey_trials import made_up
    >>> from strutwright.models.bench.survey import survey
    >>> made = made_up(np.random.default_rng(2), scatter_mm=1.0, stated=True)
    >>> str(bedding(survey(made.said).sides[0], made.said.bedding)[0])[:45]
    'the hull under the palm is uneven by 1.21 mm:'
    """
    out: list[Words] = []
    if side.model.terms == PLANE:
        return ("what curve the hull has under the palm, these points do not tell",) if side.hull else ()
    for bed in side.beds:
        uneven = bed.uneven_mm
        what = (
            "the bedding takes it"
            if uneven <= limits.takes
            else "pad it with filler, or spot-face the bolts' seats"
            if uneven <= limits.pads
            else "a flat palm does not suit: fair the hull, take a smaller palm, or make its face to the hull's curve"
        )
        if side.model.face != "flat" and uneven > limits.takes:
            what = (
                "its face is made to the hull's curve; drop and angles are those of the plane that touches its middle"
            )
        filler = Amount(bed.filler_mm3 / 1000.0, "cm3")
        template = (
            "the hull under the palm is uneven by {uneven}: {what}; filler under a palm that just touches {filler}"
        )
        out.append(say(template, uneven=mm(uneven), what=what, filler=filler))
        made = bed.cylinder
        if uneven > limits.takes and made is not None:
            shape = "rounded" if made.radius_mm > 0.0 else "hollow"
            template = (
                "a palm face {shape} to a radius of {radius} about an axis {turn} to port of forward "
                "leaves {left}{more}"
            )
            radius, turn = mm(float(round(abs(made.radius_mm)))), deg(round(made.axis_deg, 1))
            more = ", which the bedding takes" if made.leaves_mm <= limits.takes else _both_ways(side, bed, limits)
            left = mm(round(made.leaves_mm, 2))
            out.append(say(template, shape=shape, radius=radius, turn=turn, left=left, more=more))
    return tuple(out)


def _both_ways(side: Sided, bed: Bed, limits: Bedding) -> Words:
    """What is said where a cylinder is not enough: a face of second order, which bends along the axis too, leaves
    nothing of the surface through the points."""
    face = bed.second_order
    if face is None:
        return say(", more than the {takes} that the bedding takes; pad it with filler", takes=mm(limits.takes))
    radius, along = (mm(float(round(abs(r)))) for r in (face.radius_mm, face.along_mm))
    shape, other = ("rounded" if r > 0.0 else "hollow" for r in (face.radius_mm, face.along_mm))
    template = (
        ", more than the {takes} that the bedding takes; a face of second order, {shape} to {radius} and along an axis "
        "{turn} to port of forward {other} to {along}, leaves none{so}"
    )
    so = "" if side.model.face == "second order" else "; a set is given it by `--write` where the points tell its radii"
    turn = deg(round(face.axis_deg, 1))
    return say(template, takes=mm(limits.takes), shape=shape, radius=radius, turn=turn, other=other, along=along, so=so)


def asymmetry(found: Surveyed) -> tuple[Words, ...]:
    """Return how the two sides of a pair differ where that is more than the readings' own uncertainty.

    >>> from strutwright.models.bench.survey import survey
    >>> from strutwright.params.bench.survey import Survey
    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, angles: {shaft: 9, run: 1, deadrise: 0}, drop: {square_to_shaft: 200}}"
    >>> asymmetry(survey(reads(text, Survey).said))
    ()
    """
    words = {"pitch_deg": "shaft to hull", "tilt_deg": "tilt athwart", "drop_mm": "drop", "plan_deg": "shaft in plan"}
    more = []
    for name, what in words.items():
        figure = found.asymmetry.get(name)
        if figure is not None and figure.within is not None and abs(figure.value) > figure.within:
            unit = mm if name.endswith("_mm") else deg
            parts = say("{what} {by} (+/- {within})", what=what, by=unit(figure.value), within=unit(figure.within))
            more.append(parts)
    if not more:
        return ("port and starboard are alike as far as the readings tell",) if found.asymmetry else ()
    return (
        say(
            "port less starboard: {list}; one drawing mirrored suits both only if the bedding takes that",
            list=joined(", ", more),
        ),
    )
