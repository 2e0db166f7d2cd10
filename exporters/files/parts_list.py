"""The parts list: everything one strut of this hand is put together from, bought parts too."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from strutwright.exporters.files.cut_list import (
    arm_blank_mm,
    backing_material,
    foot_length_mm,
    rib_blank_mm,
    size_text,
    skeg_blank_mm,
)
from strutwright.exporters.files.palm_templates import backing_outline
from strutwright.models.geometry.flange import tube_length_mm
from strutwright.models.metals import mass_kg
from strutwright.models.outline import diameter_mm
from strutwright.models.shop.bolting import (
    backing_thickness_mm,
    bolt_metal,
    cap_bolt_length_mm,
    head_standard,
    least_length_mm,
)
from strutwright.models.shop.pressing import machining_stock_mm
from strutwright.models.shop.set_screws import screw_kinds
from strutwright.models.spec import Bolt, Heel, Plate, Strut
from strutwright.params import tables
from strutwright.params.limits import Limits, standard
from strutwright.params.quantity import INCH_MM
from strutwright.params.words import stock_mm

if TYPE_CHECKING:
    from strutwright.models.solids.job import Part


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """A part and how many of it there are. Weights of bought parts are left to their makers."""

    item: int
    part: str
    quantity: int
    material: str
    size: str
    standard: str
    weight_each_kg: float | None
    note: str
    hand: str


_Line = tuple[str, int, str, str, str, str]
_LINE = ("part", "quantity", "material", "size", "standard", "note")


def parts_rows(strut: Strut, parts: Sequence[Part], limits: Limits | None = None) -> list[PartRow]:
    """Return the parts list of a strut: made parts, then bought ones, then backing plates, then what is welded on.

    The bolt's length is the least that leaves three threads out of the nut (`bolting.least_length_mm`); empty where the
    hull's thickness is not given. limits: as shipped when left out.
    """
    limits = standard() if limits is None else limits
    made = [p for p in parts if p.kind not in ("weld", "bearing shell", "bearing rubber")]
    lines = [(_made(strut, p, limits), mass_kg(p.volume_mm3, p.material)) for p in made]
    lines += [
        (line, None)
        for line in (
            *_bought(strut, limits),
            *_of_let_in(strut),
            *_of_cap(strut),
            *_fasteners(strut),
            *_under_foot(strut),
            *_backing(strut),
        )
    ]
    if beads := [p for p in parts if p.kind == "weld"]:
        lines.append((_weld_metal(strut), mass_kg(sum(p.volume_mm3 for p in beads), beads[0].material)))
    rows = []
    for k, (line, kg) in enumerate(lines, start=1):
        said: dict[str, Any] = dict(zip(_LINE, line, strict=True))
        rows.append(PartRow(item=k, **said, weight_each_kg=kg, hand=strut.identity.hand))
    return rows


def _weld_metal(strut: Strut) -> _Line:
    grooved = "; in grooves it is counted in the parts" if strut.weld.prep != "none" else ""
    note = f"weight of the modelled beads{grooved}: weld sheet"
    return "weld metal", 1, "matching filler", "", "", note


def _said(strut: Strut, length_mm: float) -> str:
    return stock_mm(length_mm).read(strut.file_units)


def _made(strut: Strut, part: Part, limits: Limits) -> _Line:
    tube = strut.barrel.tube if part.name == "barrel" else None
    sizes = () if tube is None else (_said(strut, tube.outside_mm), _said(strut, tube.wall_mm))
    stock = f"tube {' x '.join(sizes)}" if sizes else _part_size(strut, part)
    note = "made; weight of the modelled solid"
    inch, palms = strut.file_units == "in", [p for p in strut.palms if p.name == part.name]
    over = max((machining_stock_mm(strut, p, limits, inch=inch) for p in palms), default=0.0)
    if over > 0.0:
        stock += f", plate at least {size_text(strut, over)} thicker"
        note += "; hull face machined after welding: see the cut list"
    return part.name, 1, part.material, stock, "", note


def _part_size(strut: Strut, part: Part) -> str:
    """The size of a made part: of a round one outside by bore by length, of a flat one length by width by thickness."""
    barrel, skeg = strut.barrel, strut.skeg
    if part.kind == "heel bush" and strut.shoe is not None:
        b = strut.bearings[0]
        return f"outside x bore x length {size_text(strut, b.outside_mm, b.inside_mm, b.length_mm)}"
    if part.kind == "strut" and strut.flange is not None:
        return f"flange {_plate_size(strut, strut.flange)}, {size_text(strut, tube_length_mm(strut))} long"
    if part.kind == "strut" and strut.let_in is not None:
        collar = strut.let_in.collar
        wide = barrel.outside_mm if collar is None else max(barrel.outside_mm, collar.diameter_mm)
        return f"outside x bore x length {size_text(strut, wide, barrel.bore_mm, barrel.length_mm)}"
    if part.name == "barrel":
        return f"outside x bore x length {size_text(strut, barrel.outside_mm, barrel.bore_mm, tube_length_mm(strut))}"
    for arm in strut.arms:
        if part.kind == "arm" and part.name in (arm.name, f"{arm.name} arm"):
            return size_text(strut, *arm_blank_mm(strut, arm), max(arm.thickness_barrel_mm, arm.thickness_palm_mm))
    if strut.flange is not None and strut.flange.ribs is not None and part.name.startswith("rib "):
        return size_text(strut, *rib_blank_mm(strut.flange), strut.flange.ribs.thickness_mm)
    if strut.flange is not None and part.kind == "palm":
        return _plate_size(strut, strut.flange)
    for palm in strut.plates:
        if part.kind == "palm" and part.name in (palm.name, f"{palm.name} palm"):
            return _plate_size(strut, palm)
    if skeg is not None and part.name == "skeg":
        return size_text(strut, *skeg_blank_mm(strut), max(skeg.thickness_root_mm, skeg.thickness_tip_mm))
    if skeg is not None and skeg.heel is not None:
        if part.name == "foot":
            long = foot_length_mm(barrel, skeg, skeg.heel)
            return size_text(strut, long, skeg.heel.foot_height_mm, skeg.heel.foot_thickness_mm)
        return _heel_size(strut, part.name, skeg.heel)
    return ""


def _plate_size(strut: Strut, plate: Plate) -> str:
    box, across = plate.outline.bounding_box(), diameter_mm(plate.outline)
    if across is not None:
        return f"diameter x thickness {size_text(strut, across, plate.thickness_mm)}"
    return size_text(strut, box.xmax - box.xmin, box.ymax - box.ymin, plate.thickness_mm)


def _heel_size(strut: Strut, name: str, heel: Heel) -> str:
    bored = heel.bore_mm + 2 * heel.bush_wall_mm
    for round_part, outside, bore in (("heel boss", heel.outside_mm, bored), ("heel bush", bored, heel.bore_mm)):
        if name == round_part:
            return f"outside x bore x height {size_text(strut, outside, bore, heel.height_mm)}"
    return ""


def _bought(strut: Strut, limits: Limits) -> Iterator[_Line]:
    """The pintle's sleeve, the bearings and the set screws."""

    def said(length_mm: float) -> str:
        return _said(strut, length_mm)

    heel = strut.skeg.heel if strut.skeg is not None else None
    if heel is not None and heel.sleeve_wall_mm > 0:
        size = f"bore {said(heel.pintle_mm)}, outside {said(heel.running_mm)}, longer than {said(heel.height_mm)}"
        note = "of the rudder; turn its outside once it is on the pintle"
        yield "pintle sleeve", 1, "to suit pintle and bush", size, "", note
    for k, b in enumerate(strut.bearings):
        if b.plain:  # it is made, and listed with the parts
            continue
        name = "fluted rubber bearing" if len(strut.bearings) == 1 else f"fluted rubber bearing {k + 1}"
        material = b.shell_material if "shell" in b.shell_material else f"shell {b.shell_material}"
        size = (
            f"shaft {said(strut.shaft.diameter_mm)}, outside {said(b.outside_mm)}, length {said(b.length_mm)}, shell "
            f"{said(b.shell_mm)}"
        )
        yield name, 1, material, size, "", "bought; measure it before boring"
    for (thread, point, length), screws in screw_kinds(strut, limits).items():
        long = "length to suit" if length is None else f"x {said(length)}"
        try:
            standard = tables.set_screw(tables.thread(thread).size, point).standard
        except tables.NotInTable:
            standard = ""
        name, material = f"set screw, {point} point", "to suit barrel and shell"
        yield name, len(screws), material, f"{thread} {long}", standard, "bought"


def _of_let_in(strut: Strut) -> Iterator[_Line]:
    """The locking screws of a let-in housing."""
    it = strut.let_in
    if it is not None and it.locking:
        one = it.locking[0]
        size = f"{one.thread}, length to suit the structure"
        yield f"locking screw, {one.point} point", len(it.locking), it.screw_material, size, "", "bought"


def _of_cap(strut: Strut) -> Iterator[_Line]:
    """The bolts of a hanger's cap with nuts and washers, its dowels, and the shims of the split."""
    cap = None if strut.hanger is None else strut.hanger.cap
    if cap is None:
        return
    bolt, dowels, shims = cap.bolt, cap.dowels, cap.shims
    own, through = strut.palms[0].bolt, bolt.engaged_mm is None
    long, text, note = cap_bolt_length_mm(cap), _thread(bolt.size), "bought; length under the head"
    if long is not None:
        step = INCH_MM / 16 if strut.file_units == "in" else 1.0
        text += f" x {'at least ' if through else ''}{_said(strut, math.ceil(long / step - 1e-9) * step)}"
    nut = tables.nut_and_washer(bolt.size)
    alike = replace(own, size=bolt.size, major_mm=bolt.major_mm, head_standard=nut.standards["head"])
    yield "cap bolt", bolt.count, bolt_metal(alike), text, head_standard(alike, long), note
    material = own.material.removeprefix("F468 ")
    if through:
        yield "cap bolt nut", bolt.count, material, _thread(bolt.size, inside=True), nut.standards["nut"], "bought"
    count = (2 if through else 1) * bolt.count
    size = f"{bolt.size}, outside {_said(strut, nut.washer_outside_mm)}"
    yield "cap bolt washer", count, material, size, nut.standards["washer"], "bought"
    if dowels is not None:
        size = f"diameter x length {size_text(strut, dowels.diameter_mm, 2 * dowels.into_mm + cap.gap_mm)}"
        yield "dowel", 2 * len(dowels.stations_mm), own.material, size, "", "bought, or turned to the reamed holes"
    if shims is not None:
        long, wide = cap.ear_to_mm - cap.ear_from_mm, cap.ear_out_mm - strut.barrel.bore_mm / 2
        note = f"full size as DXF; {shims.taken_out} on each side are taken out when the bearing is in"
        size = size_text(strut, long, wide, shims.thickness_mm)
        yield "shim of the split", 2 * shims.count, shims.material, size, "", note


def _under_foot(strut: Strut) -> Iterator[_Line]:
    """What lies between a hanger's foot and its bed."""
    if strut.hanger is None or strut.hanger.under.kind == "none":
        return
    under, palm = strut.hanger.under, strut.palms[0]
    box = palm.outline.bounding_box()
    size = size_text(strut, box.xmax - box.xmin, box.ymax - box.ymin, under.thickness_mm)
    ends = f"from {_said(strut, under.least_mm)} to {_said(strut, under.most_mm)} as measured in place"
    if under.kind == "shims":
        yield "foot shim", 1, "solid metal, as the bed or the hanger", size, "", f"made to fit, {ends}; outline as DXF"
    else:
        yield "foot chock", 1, "chocking resin", size, "", f"cast in place, {ends}, by its maker's instructions"


def _fasteners(strut: Strut) -> Iterator[_Line]:
    """The bolts of the palms, or the fasteners of a flange, with their nuts and washers."""
    groups: dict[tuple[Bolt, float], list[Plate]] = {}
    for palm in strut.plates:
        groups.setdefault((palm.bolt, palm.thickness_mm), []).append(palm)
    for (bolt, _), palms in groups.items():
        size, head, count = bolt.size, bolt.head, sum(len(p.holes) for p in palms)
        try:
            nut = tables.nut_and_washer(size)
        except tables.NotInTable:
            nut = None
        thread = _thread(size)
        text, note = thread, "bought"
        long = least_length_mm(strut, palms[0])
        if long is not None:
            step = INCH_MM / 16 if strut.file_units == "in" else 1.0
            text = f"{thread} x at least {_said(strut, math.ceil(long / step - 1e-9) * step)}"
            note = f"bought; length {head.measured_from} the head"
        fastener = "through_bolt" if strut.flange is None else strut.flange.fastener
        name = head.called if fastener == "through_bolt" else fastener.replace("_", " ")
        standard = head_standard(bolt, long) if fastener == "through_bolt" else bolt.head_standard
        yield name, count, bolt_metal(bolt), text, standard, note
        if nut is not None and fastener != "lag_screw":
            material = bolt.material.removeprefix("F468 ")  # a standard of bolts: nuts and washers are of its alloy
            yield "nut", count, material, _thread(size, inside=True), nut.standards["nut"], "bought"
            washers = 2 * count if head.washed else count  # a hexagon head has one on the water face too
            text = f"{size}, outside {_said(strut, nut.washer_outside_mm)}"
            yield "washer", washers, material, text, nut.standards["washer"], "bought"


def _thread(size: str, inside: bool = False) -> str:
    """A bolt's size with its thread: of an inch one turns to the inch, coarse, and class (2A, inside 2B; ASME B1.1 from
    memory); a metric one is coarse, and its class that of its standard, unsaid."""
    if size.startswith("M"):
        return size
    try:
        return f"{tables.thread(size).designation} UNC-{'2B' if inside else '2A'}"
    except tables.NotInTable:
        return size


def _backing(strut: Strut) -> Iterator[_Line]:
    for palm in strut.palms if strut.backing_plate else ():
        box = backing_outline(strut, palm).bounding_box()
        size = size_text(strut, box.xmax - box.xmin, box.ymax - box.ymin, backing_thickness_mm(strut, palm))
        yield f"{palm.name} backing plate", 1, backing_material(strut), size, "", "see the cut list and its template"
