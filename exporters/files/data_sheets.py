"""Tables that go with the sheets, as CSV: holes, set screws, drill path, bevels, saddles, cut list, parts list.

CSV as in RFC 4180: UTF-8, comma, one head row, lines end with CR LF. Lengths are in the file's unit, which the head of
each column names (`u_mm` or `u_in`): mm to three, inches to four places. Angles are degrees, weights kilograms or, in
an inch file, pounds; a size of stock in a note is told as it is bought (`3/8 in`). A cell without a value is empty. A
drill path is plain coordinates in the order of travel and no machine's language.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from strutwright.exporters.drawing.dxfdoc import MM_PER_INCH
from strutwright.exporters.drawing.figures import Figures, fixed
from strutwright.exporters.files.naming import finished
from strutwright.exporters.files.outdir import slug
from strutwright.exporters.files.patterns import arm_pattern
from strutwright.exporters.files.templates import backing_outline, backing_thickness_mm
from strutwright.models.checks.fit.barrel_bearing import set_screw_length
from strutwright.models.geometry.barrel import ScrewWall, screw_wall_of
from strutwright.models.shop import development as dev
from strutwright.models.shop.bolting import least_length_mm
from strutwright.models.shop.pressing import machining_stock_mm
from strutwright.models.spec import Arm, Barrel, Bolt, Heel, Palm, SetScrew, Skeg, Strut
from strutwright.params import tables
from strutwright.params.quantity import in_file_units
from strutwright.params.words import stock_mm

FACING_MM, FACING_IN = 3.0, 1 / 8  # stock on each end of a bar for facing; common practice, no source
BORING_MM, BORING_IN = 2.0, 1 / 16  # left on a hollow bar's bore for boring after welding; common practice, no source
BAR_STEP_IN = 1 / 8  # no list of inch hollow bars is kept: the next eighths that hold the part
SADDLE_PARTS = 72

Cell = str | int | float | None


class PartLike(Protocol):
    """A built part: name, kind, material, volume in mm3."""

    @property
    def name(self) -> str: ...

    @property
    def kind(self) -> str: ...

    @property
    def material(self) -> str: ...

    @property
    def volume_mm3(self) -> float: ...


def data_files(strut: Strut, parts: Sequence[PartLike]) -> dict[str, bytes]:
    """Return all tables of the strut by part, as in the name of the file.

    parts: the built parts, for weights. A strut that has nothing to cut gets no cut list. Raises DevelopmentError when
    an arm cannot be rolled out.
    """
    made: dict[str, str] = {}
    for palm in strut.palms:
        made[f"{slug(palm.name)}-hole-table"] = hole_table(strut, palm)
        made[f"{slug(palm.name)}-drill-path"] = drill_path(strut, palm)
    for arm in strut.arms:
        made[f"{slug(arm.name)}-bevel"] = bevel_sheet(strut, arm)
        made[f"{slug(arm.name)}-saddle"] = saddle_sheet(strut, arm)
    if strut.set_screws:
        made["set-screw-table"] = set_screw_table(strut)
    cuts = cut_list(strut, parts)
    if cuts is not None:
        made["cut-list"] = cuts
    made["parts-list"] = parts_list(strut, parts)
    return {name: text.encode() for name, text in made.items()}


# --- writing ---------------------------------------------------------------------------------------------------------


class _Table:
    """Rows under a head; a column whose name ends in "@" is a length, in "#" a weight, and gets the file's unit."""

    def __init__(self, strut: Strut, columns: Sequence[str]) -> None:
        self.units, self.inch = strut.file_units, strut.file_units == "in"
        self.kinds = [c[-1] for c in columns]
        unit, heavy = ("_in", "_lb") if self.inch else ("_mm", "_kg")
        self.rows: list[list[str]] = [[c.replace("@", unit).replace("#", heavy) for c in columns]]

    def add(self, *cells: Cell) -> None:
        row = []
        for cell, kind in zip(cells, self.kinds, strict=True):
            if cell is None:
                row.append("")
            elif isinstance(cell, float):
                row.append(
                    self.length(cell)
                    if kind == "@"
                    else _plain(in_file_units(cell, "kg", self.units)[0] if kind == "#" else cell, 3)
                )
            else:
                row.append(str(cell))
        self.rows.append(row)

    def length(self, length_mm: float) -> str:
        return _plain(length_mm / MM_PER_INCH, 4) if self.inch else _plain(length_mm, 3)

    def text(self) -> str:
        stream = io.StringIO()
        csv.writer(stream, lineterminator="\r\n").writerows(self.rows)
        return stream.getvalue()


def _plain(value: float, places: int) -> str:
    return fixed(value, places)


# --- palm ------------------------------------------------------------------------------------------------------------


def hole_table(strut: Strut, palm: Palm) -> str:
    """Return the holes of a palm: palm axes, distances from the aft and the starboard edge, polar, sizes, edge.

    u forward and v to port from the palm zero; the angle from u, positive toward port. The edges are the outermost
    points of the outline aft and to starboard. The edge distance is that of the hole's centre from the true outline.
    """
    table = _Table(
        strut,
        (
            "hole",
            "u@",
            "v@",
            "from_aft_edge@",
            "from_starboard_edge@",
            "from_zero@",
            "angle_deg",
            "hole_diameter@",
            "depth@",
            "head",
            "head_diameter@",
            "head_angle_deg",
            "head_depth@",
            "head_on",
            "edge_distance@",
            "bolt",
            "palm",
            "hand",
            "revision",
        ),
    )
    box, bolt = palm.outline.bounding_box(), palm.bolt
    headed = bolt.kind != "plain"
    edges = palm.outline.distance_to_boundary([(h.u_mm, h.v_mm) for h in palm.holes])
    for hole, edge in zip(palm.holes, edges.tolist(), strict=True):
        u, v = hole.u_mm, hole.v_mm
        table.add(
            hole.number,
            u,
            v,
            u - box.xmin,
            v - box.ymin,
            math.hypot(u, v),
            math.degrees(math.atan2(v, u)),
            bolt.hole_mm,
            palm.thickness_mm,
            bolt.kind,
            bolt.head_diameter_mm if headed else None,
            bolt.head_angle_deg if bolt.kind == "countersunk" else None,
            bolt.head_depth_mm if headed else None,
            "water face" if headed else "",
            edge,
            bolt.size,
            palm.name,
            strut.identity.hand,
            strut.identity.revision,
        )
    return table.text()


def drill_path(strut: Strut, palm: Palm) -> str:
    """Return the holes of a palm in the order of travel, the water face up: first all holes, then all heads back.

    x forward (u), y to starboard (-v, so that it runs up as seen on the water face), from the palm zero; z from the
    water face, negative into the metal. From hole 1 always to the nearest hole left. travel: from the place before.
    """
    table = _Table(
        strut,
        (
            "step",
            "operation",
            "hole",
            "x@",
            "y@",
            "z_top@",
            "z_bottom@",
            "diameter@",
            "travel@",
            "face_up",
            "palm",
            "hand",
        ),
    )
    left = sorted(palm.holes, key=lambda h: h.number)
    path = [left.pop(0)]
    while left:
        here = path[-1]
        path.append(min(left, key=lambda h: (round(math.hypot(h.u_mm - here.u_mm, h.v_mm - here.v_mm), 6), h.number)))
        left.remove(path[-1])
    bolt = palm.bolt
    runs = [("drill", path, -palm.thickness_mm, bolt.hole_mm)]
    if bolt.kind != "plain":
        name = "countersink" if bolt.kind == "countersunk" else "counterbore"
        runs.append((name, path[::-1], -bolt.head_depth_mm, bolt.head_diameter_mm))
    step, last = 0, None
    for operation, holes, bottom, diameter in runs:
        for hole in holes:
            step += 1
            at = (hole.u_mm, -hole.v_mm)
            table.add(
                step,
                operation,
                hole.number,
                *at,
                0.0,
                bottom,
                diameter,
                0.0 if last is None else math.dist(at, last),
                "water face",
                palm.name,
                strut.identity.hand,
            )
            last = at
    return table.text()


# --- arm ends --------------------------------------------------------------------------------------------------------


def bevel_sheet(strut: Strut, arm: Arm) -> str:
    """Return the bevel of an arm at its palm's water face, at the ticks of the palm-end wrap.

    along_cut: round the arm on the cut from the trailing edge. angle_deg: from the water face to the arm's side through
    the water; 90 is square. length: of the line along the side from the barrel to the water face.
    """
    table = _Table(strut, ("tick", "where", "along_cut@", "angle_deg", "kind", "length@", "arm", "hand"))
    for row in dev.bevel_table(strut, arm):
        table.add(
            row.number, row.where, row.girth_mm, row.angle_deg, row.kind, row.long_mm, arm.name, strut.identity.hand
        )
    return table.text()


def saddle_sheet(strut: Strut, arm: Arm) -> str:
    """Return the curve of an arm's barrel end: places round the arm, distance along its axis, station, clock angle.

    It is where the arm is cut: the root gap clear of the barrel, and of the first arm where that stands in the way.
    height: along the arm's axis from the shaft line, square to it. x, y, z: strut frame.
    """
    table = _Table(
        strut, ("point", "along_axis@", "height@", "station@", "clock_deg", "x@", "y@", "z@", "on", "arm", "hand")
    )
    side, cut, _ = dev.cut_arm(strut, arm)
    for k, place in enumerate(dev.parts_of(side, side.near, SADDLE_PARTS)):
        i = round(place)
        x, y, z = (float(c) for c in cut.points[i])
        on = (
            "other arm"
            if cut.coped[i]
            else "past the face"
            if cut.beyond[i]
            else "faired end"
            if cut.faired[i]
            else "barrel"
        )
        table.add(
            k,
            float(cut.along_mm[i]),
            float(cut.height_mm[i]),
            x + strut.barrel.length_mm / 2,
            math.degrees(math.atan2(y, z)),
            x,
            y,
            z,
            on,
            arm.name,
            strut.identity.hand,
        )
    return table.text()


# --- barrel ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ScrewRow:
    """A set screw with the wall it stands in, its places from the ends of its bearing and its stock length, mm (None
    where no stock length stays below the outside)."""

    screw: SetScrew
    wall: ScrewWall
    from_bearing_aft_mm: float
    from_bearing_forward_mm: float
    stock_length_mm: float | None


def screw_rows(strut: Strut) -> list[ScrewRow]:
    """Return the set screws as the table and the sheet tell them."""
    rows = []
    for s in strut.set_screws:
        bearing = strut.bearings[s.bearing_index]
        ends = (s.station_mm - bearing.aft_station_mm, bearing.forward_station_mm - s.station_mm)
        rows.append(ScrewRow(s, screw_wall_of(strut, s), *ends, _screw_mm(strut, s)))
    return rows


def set_screw_table(strut: Strut) -> str:
    """Return the set screws: where, thread, drill, depth of wall, dimple, screw.

    around: on the outside from clock 0, positive toward port. wall: at the screw, which is the depth of the tapped
    hole. screw_length: longest stock length that stays below the outside; empty where none fits.
    """
    table = _Table(
        strut,
        (
            "screw",
            "station_from_aft_face@",
            "from_forward_face@",
            "from_bearing_aft_end@",
            "from_bearing_forward_end@",
            "clock_deg",
            "around@",
            "thread",
            "tap_drill@",
            "wall@",
            "point",
            "dimple_depth@",
            "spot_face_diameter@",
            "screw_length@",
            "bearing",
            "hand",
        ),
    )
    for row in screw_rows(strut):
        s, wall = row.screw, row.wall
        table.add(
            s.number,
            s.station_mm,
            strut.barrel.length_mm - s.station_mm,
            row.from_bearing_aft_mm,
            row.from_bearing_forward_mm,
            s.clock_deg,
            wall.skin_mm * math.radians(s.clock_deg),
            s.thread,
            s.tap_drill_mm,
            wall.wall_mm,
            s.point,
            s.dimple_depth_mm,
            s.flat_diameter_mm,
            row.stock_length_mm,
            s.bearing_index + 1,
            strut.identity.hand,
        )
    return table.text()


def screw_kinds(strut: Strut) -> dict[tuple[str, str, float | None], list[SetScrew]]:
    """Return the set screws by thread, point and stock length (mm; None where none is short enough): one line of the
    parts list each, in its order."""
    kinds: dict[tuple[str, str, float | None], list[SetScrew]] = {}
    for s in strut.set_screws:
        kinds.setdefault((s.thread, s.point, _screw_mm(strut, s)), []).append(s)
    return kinds


def _screw_mm(strut: Strut, screw: SetScrew) -> float | None:
    """The stock length of a set screw, mm; None where there is none."""
    length = set_screw_length(strut, screw)
    return None if length is None else length.stock_mm


# --- lists -----------------------------------------------------------------------------------------------------------


def density_kg_mm3(material: str) -> float | None:
    """Return a material's density in kg/mm3, None when the table does not hold it."""
    try:
        return tables.material(material).density_kg_m3 * 1e-9
    except tables.NotInTable:
        return None


def _weight(volume_mm3: float | None, material: str) -> float | None:
    density = density_kg_mm3(material)
    return None if density is None or volume_mm3 is None else volume_mm3 * density


def cut_list(strut: Strut, parts: Sequence[PartLike]) -> str | None:
    """Return what is cut from stock: size of stock, length, over-all size of the outline without kerf, weights.

    The least stock of the tables that holds the part; bars are FACING_MM longer on each end. A size the tables do not
    hold is left empty and said in the note. None when nothing is cut (a cast strut without backing plates).
    """
    table = _Table(
        strut,
        (
            "item",
            "part",
            "quantity",
            "material",
            "stock",
            "stock_thickness@",
            "stock_outside@",
            "stock_bore@",
            "length@",
            "width@",
            "outline_file",
            "net_weight#",
            "stock_weight#",
            "note",
            "hand",
        ),
    )
    hand = strut.identity.hand
    volumes = {p.name: p.volume_mm3 for p in parts}
    item = 0

    def add(
        part: str,
        form: str,
        size: Mapping[str, float | None],
        outline: str,
        net_mm3: float | None,
        note: str,
        material: str = strut.material,
    ) -> None:
        nonlocal item
        item += 1
        t, d, bore, length, width = (size.get(k) for k in ("thickness", "outside", "bore", "length", "width"))
        gross = None
        if length is not None and d is not None:
            gross = math.pi / 4 * (d**2 - (bore or 0.0) ** 2) * length
        elif length is not None and width is not None and t is not None:
            gross = length * width * t
        table.add(
            item,
            part,
            1,
            material,
            form,
            t,
            d,
            bore,
            length,
            width,
            outline,
            _weight(net_mm3, material),
            _weight(gross, material),
            note,
            hand,
        )

    def plate(
        part: str,
        thickness: float,
        length: float,
        width: float,
        outline: str,
        net_mm3: float | None,
        note: str = "",
        material: str = strut.material,
    ) -> None:
        found: float | None = None
        try:
            found = tables.next_plate(thickness, "inch" if table.inch else "metric").thickness_mm
        except tables.NotInTable:
            note = _and(note, f"over the table of plates: at least {_said(strut, thickness)} thick")
        if found is not None and found > thickness + 1e-6:
            note = _and(note, f"to be brought to {_said(strut, thickness)}")
        add(
            part,
            "plate",
            {"thickness": found, "length": length, "width": width},
            outline,
            net_mm3,
            _and(note, "outline without kerf"),
            material,
        )

    facing, boring = (MM_PER_INCH * FACING_IN, MM_PER_INCH * BORING_IN) if table.inch else (FACING_MM, BORING_MM)
    if strut.construction == "welded":
        barrel = strut.barrel
        tube = barrel.tube
        bars = _hollow_bars(table, barrel.outside_mm, barrel.bore_mm - boring)
        if tube is not None:
            form, note = (
                "tube",
                f"wall {_said(strut, tube.wall_mm)}; bore after welding; outside "
                + ("turned" if tube.turned else "left as bought"),
            )
            outside, bore = tube.outside_mm, tube.outside_mm - 2 * tube.wall_mm
        elif bars:
            form, note = (
                "hollow bar",
                "bore after welding"
                + (
                    "; next eighths of an inch, no list of inch bars is kept: ask what is in stock"
                    if table.inch
                    else ""
                ),
            )
            outside, bore = bars[0]
        else:
            form, note = "round bar", "no hollow bar of the table holds it; bore after welding"
            outside, bore = barrel.outside_mm, None
        add(
            "barrel",
            form,
            {"outside": outside, "bore": bore, "length": barrel.length_mm + 2 * facing},
            finished(strut, "barrel-half-section"),
            volumes.get("barrel"),
            _and(note, f"{_said(strut, facing)} on each end for facing"),
        )
        for arm in strut.arms:
            length, width = arm_blank_mm(strut, arm)
            shape = "" if arm.shape == "flat" else f"shaped to its section: {arm.shape.replace('_', ' ')}"
            gap = dev.root_gap_mm(strut)
            if gap > 0.0:
                shape = _and(shape, f"root gap {_said(strut, gap)} taken off at both ends")
            plate(
                arm.name,
                max(arm.thickness_barrel_mm, arm.thickness_palm_mm),
                length,
                width,
                finished(strut, f"{arm.name} profile"),
                _volume(volumes, arm.name, "arm"),
                shape,
            )
        for palm in strut.palms:
            box = palm.outline.bounding_box()
            over = machining_stock_mm(strut, palm, inch=table.inch)
            said = (
                ""
                if over == 0.0
                else (
                    f"hull face machined after welding, {_said(strut, over)} on it as the curl cannot be pressed out; "
                    f"finished thickness {_said(strut, palm.thickness_mm)}, enough where the palm is pre-set"
                )
            )
            plate(
                palm.name,
                palm.thickness_mm + over,
                box.xmax - box.xmin,
                box.ymax - box.ymin,
                finished(strut, f"{palm.name} hull-face"),
                _volume(volumes, palm.name, "palm"),
                said,
            )
        if strut.skeg is not None:
            skeg = strut.skeg
            fin = dev.skeg_side(strut)
            length, width = dev.blank_mm(fin, dev.meet_barrel(barrel, fin))
            plate(
                "skeg",
                max(skeg.thickness_root_mm, skeg.thickness_tip_mm),
                length,
                width,
                finished(strut, "skeg-profile"),
                volumes.get("skeg"),
                "down to its lower edge; cut to stand on the foot" if skeg.heel is not None else "",
            )
            if skeg.heel is not None:
                heel = skeg.heel
                plate(
                    "foot",
                    heel.foot_thickness_mm,
                    foot_length_mm(barrel, skeg, heel),
                    heel.foot_height_mm,
                    finished(strut, "skeg-profile"),
                    volumes.get("foot"),
                    "nose half round; the other end is bored with the boss",
                )
                add(
                    "heel boss",
                    "round bar",
                    {"outside": heel.outside_mm, "length": heel.height_mm + 2 * facing},
                    finished(strut, "skeg-profile"),
                    volumes.get("heel boss"),
                    f"{_said(strut, facing)} on each end for facing; bore last",
                )
    if strut.backing_plate:
        for palm in strut.palms:
            shape_ = backing_outline(strut, palm)
            box = shape_.bounding_box()
            holes = len(palm.holes) * math.pi / 4 * palm.bolt.hole_mm**2
            thick = backing_thickness_mm(palm)
            plate(
                f"{palm.name} backing plate",
                thick,
                box.xmax - box.xmin,
                box.ymax - box.ymin,
                finished(strut, f"{palm.name} backing-plate"),
                (shape_.area_mm2() - holes) * thick,
                "as thick as the bolts are wide; common practice, no source",
                _backing_material(strut),
            )
    return table.text() if item else None


def arm_blank_mm(strut: Strut, arm: Arm) -> tuple[float, float]:
    """Return the length along the axis and the width (mm) of an arm's flat blank: the outline of its profile, which is
    cut square through the plate and bevelled after.
    """
    x0, y0, x1, y1 = arm_pattern(strut, arm).bounds("CUT_OUTER")
    return y1 - y0, x1 - x0


def _hollow_bars(table: _Table, outside_mm: float, bore_mm: float) -> list[tuple[float, float]]:
    """Return hollow bars (outside, bore; mm) that hold the part, lightest first."""
    if not table.inch:
        return [(b.outside_mm, b.bore_mm) for b in tables.hollow_bars(outside_mm, bore_mm)]
    step = MM_PER_INCH * BAR_STEP_IN
    return [(math.ceil(outside_mm / step - 1e-6) * step, math.floor(bore_mm / step + 1e-6) * step)]


def _backing_material(strut: Strut) -> str:
    """A welded strut's own plate; a casting alloy is not rolled to plate."""
    return strut.material if strut.construction == "welded" else "to suit hull and bolts"


def _volume(volumes: Mapping[str, float], name: str, kind: str) -> float | None:
    """The volume of a part whose built name may have its kind added."""
    return volumes.get(name, volumes.get(f"{name} {kind}"))


def _and(first: str, second: str) -> str:
    return f"{first}; {second}" if first else second


def _said(strut: Strut, length_mm: float) -> str:
    return stock_mm(length_mm).read(strut.file_units)


@dataclass(frozen=True, slots=True)
class ListedPart:
    """One line of the parts list. weight_kg: of one, None of what is bought; screws: the set screws of the line."""

    part: str
    quantity: int
    material: str
    size: str
    standard: str
    weight_kg: float | None
    note: str
    screws: tuple[SetScrew, ...] = ()


def parts_list(strut: Strut, parts: Sequence[PartLike]) -> str:
    """Return the lines of `listed_parts` as CSV."""
    table = _Table(strut, ("item", "part", "quantity", "material", "size", "standard", "weight_each#", "note", "hand"))
    for item, p in enumerate(listed_parts(strut, parts), 1):
        table.add(item, p.part, p.quantity, p.material, p.size, p.standard, p.weight_kg, p.note, strut.identity.hand)
    return table.text()


def listed_parts(strut: Strut, parts: Sequence[PartLike]) -> list[ListedPart]:
    """Return everything one strut of this hand is put together from, bought parts too, sizes told in the file's unit.

    Weights of bought parts are left to their makers. The bolt's length is the least that leaves three threads out of
    the nut (`bolting.least_length_mm`); empty where the hull's thickness is not given.
    """
    listed: list[ListedPart] = []
    inch = strut.file_units == "in"

    def add(
        part: str,
        quantity: int,
        material: str,
        size: str,
        standard: str,
        weight_kg: float | None,
        note: str,
        screws: Sequence[SetScrew] = (),
    ) -> None:
        listed.append(ListedPart(part, quantity, material, size, standard, weight_kg, note, tuple(screws)))

    for part in parts:
        if part.kind not in ("weld", "bearing shell", "bearing rubber"):
            tube = strut.barrel.tube if part.name == "barrel" else None
            stock = (
                _part_size(strut, part)
                if tube is None
                else f"tube {_said(strut, tube.outside_mm)} x {_said(strut, tube.wall_mm)}"
            )
            over = max(
                (machining_stock_mm(strut, p, inch=inch) for p in strut.palms if p.name == part.name), default=0.0
            )
            if over > 0.0:
                stock += f", plate {_said(strut, over)} thicker"
            add(
                part.name,
                1,
                part.material,
                stock,
                "",
                _weight(part.volume_mm3, part.material),
                "made; weight of the modelled solid"
                + ("; hull face machined after welding: see the cut list" if over > 0.0 else ""),
            )
    heel = strut.skeg.heel if strut.skeg is not None else None
    if heel is not None and heel.sleeve_wall_mm > 0:
        add(
            "pintle sleeve",
            1,
            "to suit pintle and bush",
            f"bore {_said(strut, heel.pintle_mm)}, outside {_said(strut, heel.running_mm)}, longer than "
            f"{_said(strut, heel.height_mm)}",
            "",
            None,
            "of the rudder; turn its outside once it is on the pintle",
        )
    for k, b in enumerate(strut.bearings):
        name = "fluted rubber bearing" if len(strut.bearings) == 1 else f"fluted rubber bearing {k + 1}"
        add(
            name,
            1,
            b.shell_material if "shell" in b.shell_material else f"shell {b.shell_material}",
            f"shaft {_said(strut, strut.shaft.diameter_mm)}, outside {_said(strut, b.outside_mm)}, length "
            f"{_said(strut, b.length_mm)}, shell {_said(strut, b.shell_mm)}",
            "",
            None,
            "bought; measure it before boring",
        )
    for (thread, point, length), screws in screw_kinds(strut).items():
        long = "length to suit" if length is None else f"x {_said(strut, length)}"
        try:
            standard = tables.set_screw(tables.thread(thread).size, point).standard
        except tables.NotInTable:
            standard = ""
        add(
            f"set screw, {point} point",
            len(screws),
            "to suit barrel and shell",
            f"{thread} {long}",
            standard,
            None,
            "bought",
            screws,
        )
    _fasteners(strut, add)
    if strut.backing_plate:
        for palm in strut.palms:
            box = backing_outline(strut, palm).bounding_box()
            add(
                f"{palm.name} backing plate",
                1,
                _backing_material(strut),
                _by(strut, box.xmax - box.xmin, box.ymax - box.ymin, backing_thickness_mm(palm)),
                "",
                None,
                "see the cut list and its template",
            )
    return listed


def _by(strut: Strut, *sizes_mm: float) -> str:
    """Sizes over all, as "250 x 550 x 20 mm"."""
    figures = Figures(unit="inch" if strut.file_units == "in" else "mm")
    return f"{' x '.join(figures.length(v) for v in sizes_mm)} {strut.file_units}"


def _part_size(strut: Strut, part: PartLike) -> str:
    """The size of a made part: of a round one outside by bore by length, of a flat one length by width by thickness."""
    barrel, skeg = strut.barrel, strut.skeg
    if part.name == "barrel":
        return f"outside x bore x length {_by(strut, barrel.outside_mm, barrel.bore_mm, barrel.length_mm)}"
    for arm in strut.arms:
        if part.kind == "arm" and part.name in (arm.name, f"{arm.name} arm"):
            return _by(strut, *arm_blank_mm(strut, arm), max(arm.thickness_barrel_mm, arm.thickness_palm_mm))
    for palm in strut.palms:
        if part.kind == "palm" and part.name in (palm.name, f"{palm.name} palm"):
            box = palm.outline.bounding_box()
            return _by(strut, box.xmax - box.xmin, box.ymax - box.ymin, palm.thickness_mm)
    if skeg is not None and part.name == "skeg":
        fin = dev.skeg_side(strut)
        return _by(
            strut, *dev.blank_mm(fin, dev.meet_barrel(barrel, fin)), max(skeg.thickness_root_mm, skeg.thickness_tip_mm)
        )
    if skeg is not None and skeg.heel is not None:
        heel = skeg.heel
        if part.name == "foot":
            return _by(strut, foot_length_mm(barrel, skeg, heel), heel.foot_height_mm, heel.foot_thickness_mm)
        bored = heel.bore_mm + 2 * heel.bush_wall_mm
        if part.name == "heel boss":
            return f"outside x bore x height {_by(strut, heel.outside_mm, bored, heel.height_mm)}"
        if part.name == "heel bush":
            return f"outside x bore x height {_by(strut, bored, heel.bore_mm, heel.height_mm)}"
    return ""


def foot_start_mm(barrel: Barrel, skeg: Skeg, heel: Heel) -> tuple[float, float, float]:
    """Return where the middle line of the heel's foot starts, the tip of its nose: at the skeg's leading edge, strut
    frame, mm."""
    return barrel.x(skeg.root_forward_station_mm) - skeg.sweep_mm, 0.0, heel.foot_height_mm / 2 - skeg.depth_mm


def foot_length_mm(barrel: Barrel, skeg: Skeg, heel: Heel) -> float:
    """Return the length (mm) of the heel's foot: from its half-round nose at the skeg's leading edge to the boss's
    middle.
    """
    return math.dist(foot_start_mm(barrel, skeg, heel), heel.centre_mm)


class _Add(Protocol):
    def __call__(
        self, part: str, quantity: int, material: str, size: str, standard: str, weight: float | None, note: str, /
    ) -> None: ...


def _fasteners(strut: Strut, add: _Add) -> None:
    groups: dict[tuple[Bolt, float], list[Palm]] = {}
    for palm in strut.palms:
        groups.setdefault((palm.bolt, palm.thickness_mm), []).append(palm)
    for (bolt, _), palms in groups.items():
        size, kind, material, count = bolt.size, bolt.kind, bolt.material, sum(len(p.holes) for p in palms)
        try:
            nut = tables.nut_and_washer(size)
        except tables.NotInTable:
            nut = None
        head = {"countersunk": "countersunk bolt", "counterbored": "cylinder-head bolt"}.get(kind, "hexagon bolt")
        thread = _thread(size)
        text, note = thread, "bought"
        long = least_length_mm(strut, palms[0])
        if long is not None:
            step = MM_PER_INCH / 16 if strut.file_units == "in" else 1.0
            text = f"{thread} x at least {_said(strut, math.ceil(long / step - 1e-9) * step)}"
            note = "bought; length over the head" if kind == "countersunk" else "bought; length under the head"
        standard = bolt.head_standard
        if kind == "plain" and nut is not None:
            standard = _standard(nut.standard, "head")
        add(head, count, material, text, standard, None, note)
        if nut is not None:
            material = material.removeprefix("F468 ")  # a standard of bolts: nuts and washers are of its alloy
            add("nut", count, material, thread, _standard(nut.standard, "nut"), None, "bought")
            washers = 2 * count if kind == "plain" else count  # a hexagon head has one on the water face too
            add(
                "washer",
                washers,
                material,
                f"{size}, outside {_said(strut, nut.washer_outside_mm)}",
                _standard(nut.standard, "washer"),
                None,
                "bought",
            )


def _thread(size: str) -> str:
    """A bolt's size with its thread: of an inch one the turns to the inch, coarse; a metric one is coarse unsaid."""
    if size.startswith("M"):
        return size
    try:
        return f"{tables.thread(size).designation} UNC"
    except tables.NotInTable:
        return size


def _standard(told: str, what: str) -> str:
    """The standard of one part out of a list such as "ISO 4032 (nut), ISO 7089 (washer)"."""
    mine = [one.removesuffix(f" ({what})") for one in told.split(", ") if one.endswith(f" ({what})")]
    return mine[0] if mine else told
