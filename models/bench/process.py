"""The order of work for a strut, cast or welded, with the job's own figures, where to stop and look, and an estimate.

Order of work, set-ups and tools: common practice, no source. Times are the shop's own paces by the job's amounts; an
estimate, no quotation.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from strutwright.models import cautions, weights
from strutwright.models.inputs import Inputs
from strutwright.models.shop import bolting
from strutwright.models.shop.pressing import press_case
from strutwright.models.shop.weld_metal import weld_metal_kg
from strutwright.models.spec import Arm, Palm, Strut
from strutwright.params import tables
from strutwright.params.bench.process import Paces, ShopRates
from strutwright.params.limits import Limits
from strutwright.params.words import Words, drawn_mm, say

Place = Literal["bench", "machine", "welding", "inspection"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One step: what is done where, with what, the job's figures, minutes. hold: work stops there until it is signed.
    cautions: those that bite here."""

    what: str
    place: Place
    tools: str
    figures: Words
    minutes: float
    hold: bool = False
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """What the work comes to: hours by place, kilograms of metal, and money; None where no price is given."""

    hours: dict[Place, float]
    metal_kg: float
    labour: float
    metal: float | None
    total: float | None


def operations(strut: Strut, limits: Limits, rates: ShopRates, rows: int, press_words: Words = "") -> list[Operation]:
    """Return the order of work. rows: of the inspection record; press_words: the force that presses the bearing in.

    >>> made = operations(shipped("harbour-launch"), standard(), ShopRates(), 50)
    >>> [o.what for o in made if o.hold]
    ['casting received', 'inspection record', 'bearing fitted']
    """
    first = _welded(strut, limits, rates) if strut.construction == "welded" else _cast(strut, rates)
    return [*first, *_machined(strut, rates), *_finished(strut, rates, rows, press_words)]


def _alike(made: Iterable[tuple[str, Operation]]) -> Iterator[Operation]:
    """Steps on one piece each, those that differ in nothing but the piece as one; {} in a step stands for its piece."""
    pieces: list[tuple[Operation, list[str]]] = []
    for piece, one in made:
        if pieces and replace(pieces[-1][0], minutes=0.0) == replace(one, minutes=0.0):
            both, names = pieces[-1]
            pieces[-1] = (replace(both, minutes=both.minutes + one.minutes), [*names, piece])
        else:
            pieces.append((one, [piece]))
    for one, names in pieces:
        yield replace(one, what=one.what.format(_called(names)))


def _called(names: Sequence[str]) -> str:
    """Pieces in a few words: port and starboard arms."""
    kinds = {name.split()[-1] for name in names}
    if len(names) == 1 or len(kinds) > 1 or any(len(name.split()) == 1 for name in names):
        return " and ".join(names)
    return f"{' and '.join(name.rpartition(' ')[0] for name in names)} {kinds.pop()}s"


def _family(strut: Strut) -> str | None:
    try:
        return str(tables.material(strut.material).family)
    except tables.NotInTable:
        return None


def _named(material: str) -> str:
    """A material by its name in the table, where it stands there."""
    try:
        return str(tables.material(material).name)
    except tables.NotInTable:
        return material.casefold()


def _cast(strut: Strut, rates: ShopRates) -> Iterator[Operation]:
    family = _family(strut)
    yield Operation(
        what="pattern and core box measured",
        place="inspection",
        tools="contraction rule, templates",
        figures=say("hand {hand}, number {number}", hand=strut.identity.hand, number=strut.identity.number),
        minutes=10 * rates.paces.row,
    )
    yield Operation(
        what="casting received",
        place="inspection",
        tools="scale, calliper, dye penetrant",
        figures=say("{material}: certificate, heat number, no cracks, no cold shuts", material=strut.material),
        minutes=15 * rates.paces.row,
        hold=True,
        cautions=(cautions.LIFTING,),
    )
    yield Operation(
        what="gates and skin ground off, marked out",
        place="bench",
        tools="grinder, marking-out plate",
        figures="centre line of the barrel, trace and zero of the palm; share high and low spots",
        minutes=60.0,
        cautions=(cautions.grinding(family),),
    )


def _welded(strut: Strut, limits: Limits, rates: ShopRates) -> Iterator[Operation]:
    family, paces = _family(strut), rates.paces
    pieces = 1 + len(strut.arms) + len(strut.palms) + (strut.skeg is not None)
    yield Operation(
        what="stock received and cut",
        place="bench",
        tools="saw, plasma or water jet",
        figures=say("{n} pieces by the cut list; certificate and heat number on each", n=str(pieces)),
        minutes=20.0 * pieces,
        hold=True,
        # An arc that cuts gives off what one that welds does.
        cautions=(cautions.grinding(family), cautions.welding(family)),
    )
    yield from _alike((arm.called, _arm_fitted(arm, paces, family)) for arm in strut.arms)
    yield Operation(
        what="set-up looked at before welding",
        place="inspection",
        tools="test bar, height gauge",
        figures="bar heights as on the barrel's sheet; hand by the skew",
        minutes=6 * paces.row,
        hold=True,
    )
    metal = weld_metal_kg(strut)
    yield Operation(
        what="welded, in turns from side to side",
        place="welding",
        tools="set, filler by the material, extraction at the arc",
        figures=say("some {kg} kg of weld metal; interpass and preheat by the procedure", kg=f"{metal:.2g}"),
        minutes=60.0 * metal / paces.weld_metal,
        cautions=(cautions.welding(family),),
    )
    yield Operation(
        what="welds by eye and dye penetrant",
        place="inspection",
        tools="dye, weld gauge",
        figures="every toe; no cracks, legs as drawn",
        minutes=20.0 * len(strut.arms),
        hold=True,
        cautions=(cautions.PICKLING,) if family in cautions.CHROMIUM else (),
    )
    yield from _alike(_pressed(strut, limits, rates))


def _arm_fitted(arm: Arm, paces: Paces, family: str | None) -> Operation:
    return Operation(
        what="{} fitted by templates, tacked in the jig",
        place="welding",
        tools="wrap templates, jig, bevel gauges",
        figures=say(
            "legs {low} at the barrel, {high} at the palm",
            low=drawn_mm(arm.barrel_root_mm),
            high=drawn_mm(arm.palm_root_mm),
        ),
        minutes=paces.tacking,
        cautions=(cautions.grinding(family), cautions.welding(family)),
    )


def _pressed(strut: Strut, limits: Limits, rates: ShopRates) -> Iterator[tuple[str, Operation]]:
    for arm in strut.arms:
        case = press_case(strut, arm, limits)
        if case.judged:
            yield (
                arm.called,
                Operation(
                    what="palm pressed flat over {}",
                    place="bench",
                    tools="press, parallels, round-nosed bar, straight edge",
                    figures=say("span {span}; start low, by the press card", span=drawn_mm(case.span_mm)),
                    minutes=rates.paces.pressing,
                    cautions=(cautions.PRESS,),
                ),
            )


def _hull_face(strut: Strut, palm: Palm, paces: Paces) -> Operation:
    area = palm.outline.area_mm2() / 100.0
    curve, form = ("", "flatness") if palm.curve is None else (" to the hull's curve", "profile")
    if strut.construction == "welded" and palm.curve is None:
        return Operation(
            what="hull face of the {} felt on a plate, machined where it is not flat",
            place="inspection",
            tools="plate, feelers",
            figures="flatness and thickness as drawn; every other face is measured from it",
            minutes=10.0 * paces.row,
        )
    return Operation(
        what=f"hull face of the {{}} machined{curve}",
        place="machine",
        tools="mill or planer, face up and level",
        figures=f"{form} and thickness as drawn; every other face is measured from it",
        minutes=paces.set_up + 60.0 * area / paces.milling,
        cautions=(cautions.LIFTING,),
    )


def _machined(strut: Strut, rates: ShopRates) -> Iterator[Operation]:
    family, paces, barrel = _family(strut), rates.paces, strut.barrel
    drilling = (cautions.drilling(family),)
    yield from _alike((palm.called, _hull_face(strut, palm, paces)) for palm in strut.palms)
    ends = say("bore {bore} {code}", bore=drawn_mm(barrel.bore_mm), code=barrel.bore_class or "to the bearing measured")
    yield Operation(
        what="set up to the palm, bored and faced",
        place="machine",
        tools="boring mill, dial gauge, the turns of the barrel's sheet",
        figures=ends,
        minutes=2.0 * paces.set_up + 60.0 * barrel.length_mm / 10.0 / paces.boring,
        cautions=(cautions.LIFTING, *drilling),
    )
    yield from _alike((palm.called, _drilled(palm, paces, drilling, len(strut.palms) > 1)) for palm in strut.palms)
    if strut.set_screws:
        yield Operation(
            what="set-screw holes",
            place="machine",
            tools="tap drill, tap, stop collar",
            figures=say(
                "{n} of {thread}, square to the axis", n=str(len(strut.set_screws)), thread=strut.set_screws[0].thread
            ),
            minutes=paces.set_up + paces.tapped_hole * len(strut.set_screws),
            cautions=drilling,
        )
    heel = strut.skeg.heel if strut.skeg is not None else None
    if heel is not None:
        yield Operation(
            what="heel bored to the stock's axis",
            place="machine",
            tools="boring mill, the barrel's bore as datum",
            figures=say("bore {bore}", bore=drawn_mm(heel.bore_mm)),
            minutes=2.0 * paces.set_up + 60.0 * heel.height_mm / 10.0 / paces.boring,
            cautions=(cautions.LIFTING, *drilling),
        )


def _drilled(palm: Palm, paces: Paces, warned: tuple[str, ...], several: bool) -> Operation:
    recess, each = palm.bolt.head.recess, " in each palm" if several else ""
    return Operation(
        what="holes of the {}",
        place="machine",
        tools=f"drill jig, drill{', ' + recess + ' cutter' if recess else ''}, a bolt to try",
        figures=say("{n} of {size}" + each, n=str(len(palm.holes)), size=drawn_mm(palm.bolt.hole_mm)),
        minutes=paces.set_up + paces.hole * len(palm.holes),
        cautions=warned,
    )


def _finished(strut: Strut, rates: ShopRates, rows: int, press: Words) -> Iterator[Operation]:
    family, paces, pressed = _family(strut), rates.paces, strut.barrel.fit == "press"
    yield Operation(
        what="edges broken, faired, marked",
        place="bench",
        tools="files, blender, stamps",
        figures=say(
            "number {number}, revision {revision}, hand {hand}",
            number=strut.identity.number,
            revision=strut.identity.revision,
            hand=strut.identity.hand,
        ),
        minutes=45.0,
        cautions=(cautions.grinding(family),),
    )
    yield Operation(
        what="inspection record",
        place="inspection",
        tools="test bar, plate, gauges",
        figures=say("{n} rows; read back by the command `inspection`", n=str(rows)),
        minutes=paces.row * rows,
        hold=True,
    )
    yield Operation(
        what="bearing fitted",
        place="bench",
        tools="press or screw, drift on the shell, never on the rubber" if pressed else "by hand",
        figures=press or "flutes clear of the screws; test bar passes after",
        minutes=45.0 * len(strut.bearings),
        hold=True,
        cautions=(cautions.PRESS, cautions.FREEZING) if pressed else (),
    )
    if strut.set_screws:
        yield Operation(
            what="shell dimpled through the tapped holes, screws seated",
            place="bench",
            tools="tap drill with stop collar, key",
            figures=say("{deep} deep, never through the shell", deep=drawn_mm(strut.set_screws[0].dimple_depth_mm)),
            minutes=8.0 * len(strut.set_screws),
            cautions=(cautions.drilling(family),),
        )
    length = bolting.least_length_mm(strut, strut.palms[0])
    bolts = "" if length is None else say(", bolts {length} or more", length=drawn_mm(length))
    yield Operation(
        what="packed with bolts, screws, templates and papers",
        place="bench",
        tools="parts list",
        figures=say("record and certificate with it{bolts}", bolts=bolts),
        minutes=20.0,
    )


def estimate(strut: Strut, made: list[Operation], rates: ShopRates) -> Estimate:
    """Return what the operations and the metal come to.

    >>> work = Operation(what="", place="bench", tools="", figures="", minutes=90.0)
    >>> from strutwright.params.bench.process import Hours
    >>> estimate(shipped("canal-tender"), [work], ShopRates(hours=Hours(bench=50.0))).labour
    75.0
    """
    places: tuple[Place, ...] = ("bench", "machine", "welding", "inspection")
    hours = {p: sum(o.minutes for o in made if o.place == p) / 60.0 for p in places}
    cost = rates.hours
    costs = {"bench": cost.bench, "machine": cost.machine, "welding": cost.welding, "inspection": cost.inspection}
    labour = sum(hours[p] * costs[p] for p in places)
    metal_kg = float(weights.stock_kg(Inputs.from_strut(strut))) + weld_metal_kg(strut)
    price = next((p.per_kg for p in rates.prices if _named(p.material) == _named(strut.material)), None)
    metal = None if price is None else price * metal_kg
    total = None if metal is None else (labour + metal) * (1.0 + rates.overhead / 100.0)
    return Estimate(hours=hours, metal_kg=metal_kg, labour=labour, metal=metal, total=total)
