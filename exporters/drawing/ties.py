"""What stands in line with a dimension line, and so is of the axis of the diameter that is dimensioned."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from strutwright.exporters.drawing import symbols
from strutwright.exporters.drawing.items import Item
from strutwright.exporters.drawing.shapes import P


@dataclass(frozen=True, slots=True)
class Tie:
    """The letter of a datum, or a tolerance frame, in line with a dimension line (ISO 5459, ISO 1101).

    tolerance: such as "Ø0.1"; datums: letters in order. row: see Label.
    """

    datum: str = ""
    characteristic: symbols.Characteristic = "coaxiality"
    tolerance: str = ""
    datums: tuple[str, ...] = ()
    row: str = ""

    def at(self, owner: str, tip: P, way: float, text_mm: float) -> Iterator[Item]:
        """Yield its forms at an end of an upright dimension line on paper, the nearest first; way: up 1, down -1."""
        for reach in (2.6, 4.0, 5.5, 7.5, 10.0, 13.0, 17.0, 22.0, 28.0):
            if self.datum:
                yield symbols.datum(
                    f"datum {self.datum}",
                    owner,
                    tip,
                    self.datum,
                    toward=(0.0, way),
                    text_mm=text_mm,
                    stem_mm=(reach - 1.6) * text_mm,
                )
                continue
            width = symbols.frame_width(self.tolerance, self.datums, text_mm)
            foot = tip[1] + way * reach * text_mm - text_mm
            for x in (tip[0] + 3.0, tip[0] - 3.0 - width):
                name = f"tolerance {self.characteristic}"
                told = self.characteristic, self.tolerance, self.datums
                made = symbols.tolerance_frame(name, owner, (x, foot), *told, tip=tip, text_mm=text_mm)
                yield replace(made, row=self.row)
