"""The cut list: what one strut is cut from, by the least stock of the tables that holds each part."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, Any

from strutwright.exporters.drawing.figures import Figures
from strutwright.exporters.files.naming import finished
from strutwright.exporters.files.palm_templates import backing_outline
from strutwright.exporters.files.patterns import arm_pattern
from strutwright.models.geometry.flange import off_square_deg, tube_length_mm
from strutwright.models.geometry.skeg import fin_kind, foot_start_mm
from strutwright.models.metals import mass_kg
from strutwright.models.outline import Outline
from strutwright.models.sections import SectionKind, kind_of
from strutwright.models.shop import arm_ends, cuts, sides, stock
from strutwright.models.shop.bolting import backing_thickness_mm
from strutwright.models.shop.pressing import machining_stock_mm
from strutwright.models.spec import Arm, Barrel, Heel, Palm, Skeg, Strut
from strutwright.models.spec_flange import Flange
from strutwright.params import tables
from strutwright.params.limits import Limits, standard
from strutwright.params.quantity import INCH_MM
from strutwright.params.words import stock_mm

if TYPE_CHECKING:
    from strutwright.models.solids.job import Part

FACING_MM, FACING_IN = 3.0, 1 / 8  # stock on each end of a bar for facing; common practice, no source
BORING_MM, BORING_IN = 2.0, 1 / 16  # left on a hollow bar's bore for boring after welding; common practice, no source
BAR_STEP_IN = 1 / 8  # no list of inch hollow bars is kept: the next eighths that hold the part


@dataclass(frozen=True, slots=True, kw_only=True)
class CutRow:
    """A piece that is cut from stock: size of the stock, over-all size of the outline without kerf, weights.

    A size that the tables do not hold is left empty and said in the note. mill: how far the stock may come off its
    size, by the standard that it is bought to; empty where no table says.
    """

    item: int
    part: str
    quantity: int = 1
    material: str
    stock: str
    stock_thickness_mm: float | None = None
    stock_outside_mm: float | None = None
    stock_bore_mm: float | None = None
    mill_under_mm: float | None = None
    mill_over_mm: float | None = None
    mill_standard: str = ""
    length_mm: float
    width_mm: float | None = None
    outline_file: str
    net_weight_kg: float | None
    stock_weight_kg: float | None
    note: str
    hand: str


def cut_rows(strut: Strut, parts: Sequence[Part], limits: Limits | None = None) -> list[CutRow]:
    """Return what is cut from stock; nothing for a cast strut without backing plates.

    parts: the built parts, for weights. Bars are FACING_MM longer on each end. Raises DevelopmentError when an arm
    cannot be rolled out. limits: as shipped when left out.
    """
    rows = _Cuts(strut, {p.name: p.volume_mm3 for p in parts}, standard() if limits is None else limits)
    if strut.construction == "welded":
        rows.barrel()
        for arm in strut.arms:
            rows.arm(arm)
        for palm in strut.palms:
            rows.palm(palm)
        if strut.flange is not None:
            rows.flange(strut.flange)
        if strut.skeg is not None:
            rows.skeg(strut.skeg)
    if strut.backing_plate:
        for palm in strut.palms:
            rows.backing(palm)
    return rows.rows


@dataclass
class _Cuts:
    """The rows of a strut as they come. volumes: of the built parts by name, mm3."""

    strut: Strut
    volumes: dict[str, float]
    limits: Limits
    rows: list[CutRow] = field(default_factory=list)

    @property
    def inch(self) -> bool:
        return self.strut.file_units == "in"

    @property
    def facing_mm(self) -> float:
        return INCH_MM * FACING_IN if self.inch else FACING_MM

    def said(self, length_mm: float) -> str:
        return stock_mm(length_mm).read(self.strut.file_units)

    def volume(self, name: str, kind: str = "") -> float | None:
        """The volume of a part whose built name may have its kind added."""
        return self.volumes.get(name, self.volumes.get(f"{name} {kind}"))

    def bar(
        self, part: str, form: str, outside: float, bore: float | None, length: float, file: str, note: str
    ) -> None:
        """Add a bar or tube that is `length` long when it is faced."""
        length += 2 * self.facing_mm
        gross = math.pi / 4 * (outside**2 - (bore or 0.0) ** 2) * length
        row = partial(self._add, part, form, file, self.volume(part), gross, note=note)
        mill = tables.bar_tolerance(outside, "round") if form == "round bar" else None
        row(length_mm=length, stock_outside_mm=outside, stock_bore_mm=bore, **_by_the_mill(mill))

    def _add(
        self,
        part: str,
        form: str,
        file: str,
        net_mm3: float | None,
        gross_mm3: float | None,
        *,
        note: str,
        material: str = "",
        **sizes_mm: Any,
    ) -> None:
        """Add a row with the weights of two volumes. sizes_mm: by their names in `CutRow`."""
        material = material or self.strut.material
        net, gross = (None if v is None else mass_kg(v, material) for v in (net_mm3, gross_mm3))
        row = partial(CutRow, item=len(self.rows) + 1, part=part, material=material, stock=form, note=note, **sizes_mm)
        outline, hand = finished(self.strut, file), self.strut.identity.hand
        self.rows.append(row(net_weight_kg=net, stock_weight_kg=gross, outline_file=outline, hand=hand))

    def plate(
        self,
        part: str,
        thickness: float,
        size: tuple[float, float],
        file: str,
        net_mm3: float | None,
        *notes: str,
        material: str = "",
        spare: bool = False,
    ) -> None:
        """Add a piece of plate of that thickness, size: length and width. material: where it is not the strut's.
        spare: whether more thickness may stay on it until after welding.
        """
        found: float | None = None
        said = list(notes)
        try:
            found = stock.plate_mm(self.strut, thickness, spare=spare)
        except tables.NotInTable:
            said.append(f"thicker than any plate in the table: at least {size_text(self.strut, thickness)}")
        if found is not None and found > thickness + 1e-6 and not spare:
            said.append(f"to be machined to {self.said(thickness)}")
        length, width = size
        gross = None if found is None else length * width * found
        own = found is not None and material in ("", self.strut.material)
        mill = stock.mill_of(self.strut, found) if own and found is not None else None
        note = "; ".join(n for n in (*said, "outline without kerf") if n)
        row = partial(self._add, part, "plate", file, net_mm3, gross, note=note, material=material)
        row(length_mm=length, width_mm=width, stock_thickness_mm=found, **_by_the_mill(mill))

    def barrel(self) -> None:
        barrel, tube = self.strut.barrel, self.strut.barrel.tube
        boring = INCH_MM * BORING_IN if self.inch else BORING_MM
        bars = self._hollow_bars(largest := self._largest_mm(), barrel.bore_mm - boring)
        outside, bore = largest, None
        form, note = "round bar", "no hollow bar of the table holds it; bore after welding"
        if tube is not None:
            outside, bore = tube.outside_mm, tube.outside_mm - 2 * tube.wall_mm
            turned = "turned" if tube.turned else "left as bought"
            form, mill = (
                "tube",
                f"outside ±{self.said(tube.outside_off_mm)}, wall {self.said(tube.wall_least_mm)} or more",
            )
            note = f"wall {self.said(tube.wall_mm)}; by the mill {mill}: measure; bore after welding; outside {turned}"
        elif bars:
            outside, bore = bars[0]
            form, note = "hollow bar", "bore after welding"
            if self.inch:
                note += "; next eighths of an inch, no list of inch bars is kept: ask what is in stock"
        if outside > barrel.outside_mm + 1e-6 and tube is None:
            note += f"; outside turned to {self.said(barrel.outside_mm)}"
        note += f"; {self._faced()}"
        if self.strut.flange is not None and self.strut.flange.spigot is not None:
            note += "; the spigot is one piece with it"
        self.bar("barrel", form, outside, bore, tube_length_mm(self.strut), "barrel-half-section", note)

    def _largest_mm(self) -> float:
        """Outside of the barrel, or of the spigot that is one piece with it, barbs counted."""
        spigot = None if self.strut.flange is None else self.strut.flange.spigot
        own = 0.0 if spigot is None else spigot.outside_mm + 2 * spigot.barb_height_mm
        return max(self.strut.barrel.outside_mm, own)

    def _faced(self) -> str:
        return f"{self.said(self.facing_mm)} on each end for facing"

    def _hollow_bars(self, outside_mm: float, bore_mm: float) -> list[tuple[float, float]]:
        """Return hollow bars (outside, bore; mm) that hold the part, lightest first."""
        if not self.inch:
            return [(b.outside_mm, b.bore_mm) for b in tables.hollow_bars(outside_mm, bore_mm)]
        step = INCH_MM * BAR_STEP_IN
        return [(math.ceil(outside_mm / step - 1e-6) * step, math.floor(bore_mm / step + 1e-6) * step)]

    def arm(self, arm: Arm) -> None:
        gap, kind = cuts.root_gap_mm(self.strut), kind_of(arm.shape)
        thick, net = max(arm.thickness_barrel_mm, arm.thickness_palm_mm), self.volume(arm.name, "arm")
        less = f"root gap {self.said(gap)} taken off at each end" if gap > 0.0 else ""
        self.plate(arm.name, thick, arm_blank_mm(self.strut, arm), f"{arm.name} profile", net, _shaped(kind), less)

    def palm(self, palm: Palm) -> None:
        over = machining_stock_mm(self.strut, palm, self.limits, inch=self.inch)
        finished_mm = self.said(palm.thickness_mm)
        why = (
            f"because the curl cannot be pressed out; finished thickness {finished_mm}; buy {finished_mm} if the palm "
            "is pre-set"
            if palm.curve is None
            else f"to the hull's curve; finished thickness {finished_mm} in the middle"
        )
        said = f"at least {size_text(self.strut, over)} extra on the hull face, machined off after welding {why}"
        thick, size, net = palm.thickness_mm + over, _over_all(palm.outline), self.volume(palm.name, "palm")
        self.plate(palm.name, thick, size, f"{palm.name} hull-face", net, said if over else "", spare=over > 0.0)

    def flange(self, flange: Flange) -> None:
        """Add the flange and its ribs."""
        across = self.said(self.strut.barrel.outside_mm)
        off = off_square_deg(flange.plane)
        bored = f"bored {across} for the barrel" + (
            f", {off:.2f} degrees off square to its face" if off > 0.005 else ""
        )
        over = self.facing_mm / 2
        extra = f"{self.said(over)} extra on the bedding face, machined off with the bore after welding"
        thick, size = flange.thickness_mm + over, _over_all(flange.outline)
        finished_mm = f"finished thickness {self.said(flange.thickness_mm)}"
        notes = (bored, extra, finished_mm)
        self.plate("flange", thick, size, "flange-free-face", self.volume("flange"), *notes, spare=True)
        ribs = flange.ribs
        for k in range(0 if ribs is None else ribs.count):
            assert ribs is not None
            name, size = f"rib {k + 1}", rib_blank_mm(flange)
            words = "cut to barrel and flange" + (", its own angle at the flange" if off > 0.005 else "")
            self.plate(name, ribs.thickness_mm, size, "ribs", self.volume(name), words)

    def skeg(self, skeg: Skeg) -> None:
        barrel, heel = self.strut.barrel, skeg.heel
        thick, size = max(skeg.thickness_root_mm, skeg.thickness_tip_mm), skeg_blank_mm(self.strut)
        stands = "down to its lower edge; cut to stand on the foot" if heel is not None else ""
        self.plate("skeg", thick, size, "skeg-profile", self.volume("skeg"), _shaped(fin_kind(skeg)), stands)
        if heel is None:
            return
        size, thick = (foot_length_mm(barrel, skeg, heel), heel.foot_height_mm), heel.foot_thickness_mm
        words = "nose half round; the other end is bored with the boss"
        self.plate("foot", thick, size, "skeg-profile", self.volume("foot"), words)
        note = f"{self._faced()}; bore last"
        self.bar("heel boss", "round bar", heel.outside_mm, None, heel.height_mm, "skeg-profile", note)

    def backing(self, palm: Palm) -> None:
        shape, thick = backing_outline(self.strut, palm), backing_thickness_mm(self.strut, palm)
        holes = len(palm.holes) * math.pi / 4 * palm.bolt.hole_mm**2
        metal = backing_material(self.strut)
        given = self.strut.hull.plate.backing_mm is not None
        note = "" if given else "as thick as the bolt's diameter; common practice, no source"
        net, file = (shape.area_mm2() - holes) * thick, f"{palm.name} backing-plate"
        self.plate(f"{palm.name} backing plate", thick, _over_all(shape), file, net, note, material=metal)


def _by_the_mill(mill: tables.MillTolerance | None) -> dict[str, Any]:
    if mill is None:
        return {}
    return {"mill_under_mm": mill.thinner_mm, "mill_over_mm": mill.thicker_mm, "mill_standard": mill.standard}


def _shaped(kind: SectionKind) -> str:
    """What is said of a part that is not cut from plate as it is."""
    return "" if kind.flat_sides else f"shaped to its section: {kind.called}"


def size_text(strut: Strut, *sizes_mm: float) -> str:
    """Return sizes in the figures of the sheets with their unit, as "250 x 550 x 20 mm"."""
    figures = Figures(unit=strut.file_units)
    return f"{' x '.join(figures.length(v) for v in sizes_mm)} {figures.unit}"


def rib_blank_mm(flange: Flange) -> tuple[float, float]:
    """Return the length along the barrel and the width (mm) of what a rib of a flange is cut from."""
    ribs = flange.ribs
    assert ribs is not None
    slant = math.tan(math.radians(off_square_deg(flange.plane))) * ribs.out_mm
    return ribs.along_mm + slant, ribs.out_mm


def _over_all(outline: Outline) -> tuple[float, float]:
    box = outline.bounding_box()
    return box.xmax - box.xmin, box.ymax - box.ymin


def arm_blank_mm(strut: Strut, arm: Arm) -> tuple[float, float]:
    """Return the length along the axis and the width (mm) of an arm's flat blank: the outline of its profile, which is
    cut square through the plate and bevelled after."""
    x0, y0, x1, y1 = arm_pattern(strut, arm).bounds("CUT_OUTER")
    return y1 - y0, x1 - x0


def skeg_blank_mm(strut: Strut) -> tuple[float, float]:
    """Return the length along its axis and the width (mm) of the fin's flat blank. Raises DevelopmentError when the
    strut has no skeg."""
    fin = sides.skeg_side(strut)
    return arm_ends.blank_mm(fin, cuts.meet_barrel(strut.barrel, fin))


def backing_material(strut: Strut) -> str:
    """Return the metal of a backing plate: a welded strut's own; a casting alloy is not rolled to plate."""
    return strut.material if strut.construction == "welded" else "to suit hull and bolts"


def foot_length_mm(barrel: Barrel, skeg: Skeg, heel: Heel) -> float:
    """Return the length (mm) of the heel's foot: from its half-round nose at the skeg's leading edge to the boss's
    middle."""
    return math.dist(foot_start_mm(barrel, skeg, heel), heel.centre_mm)
