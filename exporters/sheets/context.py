"""What every sheet of one strut shares: the strut, its solids, how sheets are drawn, and views made once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, Any, Literal

from strutwright.exporters.drawing.figures import Figures
from strutwright.exporters.drawing.once import once
from strutwright.exporters.drawing.projection import Projected, Viewpoint, project
from strutwright.exporters.drawing.sheet import Revision, Sheet, Table, TitleBlock
from strutwright.exporters.drawing.view import SCALES, View
from strutwright.models.families import drawn, plain
from strutwright.models.finding import Finding
from strutwright.models.geometry.casting import casting_of
from strutwright.models.resolve import Resolved
from strutwright.models.solids.watch import Lost
from strutwright.models.spec import HAND_MARKS, Strut
from strutwright.models.tolerance_chain import WELDED_CLASS
from strutwright.params.limits import Limits, standard
from strutwright.params.quantity import FileUnits

if TYPE_CHECKING:
    from strutwright.models.solids import Built, Part

ISO_SIZES = ("A4", "A3", "A2", "A1")
ANSI_SIZES = ("ANSI A", "ANSI B", "ANSI C", "ANSI D")
SIDES = ("port", "starboard", "outboard", "inboard")
ISO_TOLERANCE, INCH_TOLERANCE = "ISO 2768-1 m", "±.010 in, angles ±.5°"
"""General tolerances of what is machined, of lengths and angles; those of inch sheets common practice, no source."""
ISO_STANDARDS = "ISO 8015; ISO 129-1, 1101, 5459, 21920-1; welds ISO 2553 A"
INCH_STANDARDS = "ASME Y14.5-2018; texture Y14.36; welds ISO 2553 A"
"""By which the sheets are read: sizes and geometric tolerances, surface texture, weld symbols (from memory; confirm
against the standards)."""


def stands_words(strut: Strut) -> list[str]:
    """Return what a sheet of a hanger says of up and down, and of how it is bored; nothing of other parts."""
    hanger = strut.hanger
    if hanger is None:
        return []
    where = {
        "above": "above",
        "below": "below",
        "port": "on the PORT HAND of",
        "starboard": "on the STARBOARD HAND of",
    }[hanger.stands]
    made = [
        "Drawn with the foot up, wherever it lies in the boat; left and right as seen from aft, looking forward, with "
        f"the foot up. In the boat the foot lies {where} the shaft."
    ]
    if len(strut.palms[0].holes) == 2:
        made.append(
            "The foot stands on two bolts: lock both nuts and look at them often. If one works loose, the foot turns "
            "about the other."
        )
    if hanger.cap is not None:
        made.append("Bore with the cap bolted down on its dowels and all the shims of the split: see its sheet.")
    return made


@dataclass(slots=True)
class SheetContext:
    """One hand of one strut on its way to paper.

    parameters_sha256: of the parameter file, so that shop and model can be matched. limits: those of the job.
    findings: what the checks found, by code, where they were made.
    seconds: hidden-line time of each view drawn so far, by name. left_out: which sheet is missing, and the step over
    which the kernel was lost.
    """

    resolved: Resolved
    strut: Strut
    built: Built
    parameters_sha256: str
    version: str
    limits: Limits = field(default_factory=standard)
    findings: Mapping[str, Finding] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)
    left_out: list[tuple[str, Lost]] = field(default_factory=list)
    _views: dict[tuple[str, Viewpoint, bool], Projected] = field(default_factory=dict)

    @property
    def unit(self) -> FileUnits:
        """The unit of the figures and of the heads of tables."""
        return self.resolved.said.drawing.units or self.strut.file_units

    @property
    def figures(self) -> Figures:
        """Number style of the sheets."""
        return Figures(unit=self.unit)

    @property
    def projection(self) -> Literal["first", "third"]:
        """First or third angle: as said, else first for mm and third for inch."""
        said = self.resolved.said.drawing.projection
        if said is not None:
            return "first" if said == "first_angle" else "third"
        return "first" if self.unit == "mm" else "third"

    @property
    def revisions(self) -> list[Revision]:
        """Lines of the revision table, oldest first."""
        return [Revision(c.revision, c.change, c.date, c.by or "") for c in self.resolved.said.drawing.revisions]

    @property
    def sizes(self) -> tuple[str, ...]:
        """Allowed sheet sizes, smallest first: as said, else of the largest, else ISO for mm and ANSI for inch."""
        said = self.resolved.said.drawing
        if said.sheets is None and said.largest_sheet is not None:
            return ISO_SIZES if said.largest_sheet in ISO_SIZES else ANSI_SIZES
        series = said.sheets or ("iso" if self.unit == "mm" else "ansi")
        return ISO_SIZES if series == "iso" else ANSI_SIZES

    @property
    def paper(self) -> tuple[str, ...]:
        """Sizes of paper that the user has, smallest first."""
        largest = self.resolved.said.drawing.largest_sheet
        return self.sizes if largest is None else self.sizes[: self.sizes.index(largest) + 1]

    @property
    def general_tolerance(self) -> str:
        """General tolerances of the title block: of what is machined, and of what stays as cast or welded."""
        machined = ISO_TOLERANCE if self.unit == "mm" else INCH_TOLERANCE
        if self.strut.construction == "turned":
            return machined
        made = (
            f"as cast ISO 8062 {casting_of(self.strut).tolerance_grade}"
            if self.strut.construction == "cast"
            else f"as welded ISO 13920-{WELDED_CLASS}F"
        )
        return f"machined {machined}; {made}"

    @property
    def standards(self) -> str:
        """The standards by which the sheets are read."""
        return ISO_STANDARDS if self.unit == "mm" else INCH_STANDARDS

    def part(self, name: str) -> Part | None:
        """Return a built part by name, or None."""
        return next((p for p in self.built.parts if p.name == name), None)

    def view(self, name: str, shape: Any, viewpoint: Viewpoint, *, hidden: bool = True) -> Projected:
        """Return the hidden-line view of a shape, worked out once. name: unique for the shape."""
        key = (name, viewpoint, hidden)
        if key not in self._views:
            self._views[key] = project(shape, viewpoint, hidden=hidden)
            self.seconds[f"{name} {len(self._views)}"] = self._views[key].seconds
        return self._views[key]

    @property
    def inch(self) -> bool:
        """Whether the sheets are in inches."""
        return self.unit == "in"

    def length(self, value_mm: float) -> str:
        """Return a length in the sheet's figures."""
        return self.figures.length(value_mm)

    def with_unit(self, value_mm: float) -> str:
        """Return a length with its unit."""
        return f"{self.figures.length(value_mm)} {self.unit}"

    def sheet(
        self,
        title: str,
        document_type: str,
        views: list[View],
        *,
        part: str | None = None,
        face: str = "",
        mass: str = "",
        tables: Sequence[Table] = (),
        notes: Sequence[str] = (),
        cautions: Sequence[str] = (),
        scales: tuple[float, ...] = SCALES,
        smallest: int = 1,
        caution_text_mm: float = 2.5,
        note_text_mm: float = 2.5,
    ) -> Sheet:
        """Return a sheet in the context's units and projection, on sizes from the n-th on (0 is A4 or ANSI A).

        part: the palm or arm that it shows, "" for another part, None for the whole strut; scales: tried in order.
        Its number is left to the set; the approving person is never filled in.
        """
        identity, drawing = self.strut.identity, self.resolved.said.drawing
        own = partial(drawn, family=self.strut.family)
        for view in views:
            view.in_words(own)
            view.strokes = once(view.strokes)
        mark = HAND_MARKS[identity.hand]
        block = TitleBlock(
            title=own(title),
            identification=identity.number,
            date=drawing.date or "",
            owner=drawing.owner or "",
            supplementary_title=identity.name,
            document_type=document_type,
            creator=drawing.creator or "",
            reference=f"strutwright {self.version}, parameters {self.parameters_sha256[:12]}",
            revision=identity.revision,
            material=self.strut.material,
            mass=mass,
            finish=drawing.finish or "",
            general_tolerance=self.general_tolerance,
            standards=self.standards,
            hand=identity.hand.upper() + (f" ({mark})" if mark else ""),
            face=own(face),
        )
        return Sheet(
            block,
            views=views,
            tables=[t.filled().in_words(own) for t in tables],
            notes=[own(plain(note, self.strut.family)) for note in [*notes, *stands_words(self.strut)]],
            cautions=[plain(caution, self.strut.family) for caution in cautions],
            sizes=self.sizes[smallest:],
            scales=scales,
            projection=self.projection,
            figures=self.figures,
            banner=self._banner(own(part) if part else part),
            caution_text_mm=caution_text_mm,
            note_text_mm=note_text_mm,
        )

    def _banner(self, part: str | None) -> str:
        """The hand in a few words, to be set large: of a part, and of a strut that is not on the centre line."""
        hand, own = self.strut.identity.hand, any(s in (part or "") for s in SIDES)
        if hand == "centre" and part is None:
            return ""
        # The strut on the centre line has no hand, but its port and starboard parts have.
        words = f"{hand.upper()} HAND" if hand != "centre" else "CENTRE LINE" if own else "CENTRE LINE, NO HAND"
        return f"{words}: {part.upper()}" if own and part else words
