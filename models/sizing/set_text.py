"""The text of a set that is proposed: what is known, the sizes found, and a comment to each group."""

from __future__ import annotations

import copy
import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Any

import yaml

from strutwright.models.bolt_heads import USUAL
from strutwright.models.spec import Bearing
from strutwright.params.families import root
from strutwright.params.part_kinds import FAMILIES, STRUT
from strutwright.params.quantity import INCH_MM

Known = dict[str, Any]
KNOWN = "what is known"
"""The name of the text made of what is known, in the places of its faults."""
OUTLINE, PATTERN = "rectangle", "grid"
"""The kinds of outline and of bolt pattern that are made where none is known."""
_NOTES = {
    "bearing": "Measure the bearing in hand and give its sizes: the bore is made to it.",
    "barrel": "Sizes that were left open: found by the search.",
    "arms": "Section: sizes that were left open found by the search; `..._at_palm` are at the hull.",
    "palm": "Sizes that were left open: found by the search.",
    "bolts": "Bolt size, and what was left open of their pattern: found by the search.",
    "hull": "As measured on the boat.",
    "propeller": "As known; what is missing cannot be checked.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What cannot be a number between two others: bolt size and kind, bolts along the palm, lines of them and their
    pattern, weld preparation."""

    bolt: str
    along: int
    across: int = 2
    prep: str = "none"
    kind: str = USUAL
    pattern: str = PATTERN


@dataclass(frozen=True, slots=True, kw_only=True)
class SetText:
    """Writes sets of one choice. said: what is known; section: shape of the arm where that is open."""

    said: Known
    choice: Choice
    section: str

    @property
    def inch(self) -> bool:
        """Whether the set is in inches."""
        return bool(self.said["units"] == "in")

    @property
    def welded(self) -> bool:
        """Whether the strut is welded; it is cast otherwise."""
        return bool(self.said["construction"] == "welded")

    def data(self, sizes: Mapping[str, float]) -> Known:
        """Return a whole set as data: what is known, and the sizes found."""
        made = copy.deepcopy(self.said)
        section = made["arms"].setdefault("section", {})
        if "shape" not in section:
            section["shape"] = self.section
        outline = made["palm"].setdefault("outline", {})
        outline.setdefault("shape", OUTLINE)
        made["bolts"].setdefault("size", self.choice.bolt)
        if self.choice.kind != USUAL:
            made["bolts"].setdefault("kind", self.choice.kind)
        if self.choice.along:
            pattern = made["bolts"].setdefault("pattern", {})
            pattern.setdefault("kind", self.choice.pattern)
            pattern.setdefault("along", self.choice.along)
            pattern.setdefault("across", self.choice.across)
        if self.welded:
            made["welds"] = {**(made.get("welds") or {})}
            made["welds"].setdefault("prep", self.choice.prep)
        for path, mm in sizes.items():
            at = made
            *groups, name = path.split(".")
            for group in groups:
                if at.get(group) is None:
                    at[group] = {}
                at = at[group]
            at[name] = self.written(mm)
        return made

    def written(self, mm: float) -> str:
        """Return a size (mm) as a person writes it: bare mm, or to 1/32 in."""
        if not self.inch:
            return f"{mm:g} mm"
        parts = Fraction(round(mm / INCH_MM * 32), 32)
        sign, whole, rest = "-" if parts < 0 else "", abs(parts) // 1, abs(parts) % 1
        text = f"{whole} {rest}" if whole and rest else f"{rest}" if rest else f"{whole}"
        return f"{sign}{text} in"

    def text(self, sizes: Mapping[str, float], bearing: Bearing) -> str:
        """Return a set as YAML text with a comment to each group; bearing: the one taken where none is known."""
        made = self.data(sizes)
        notes = dict(_NOTES)
        if made.get("bearing"):
            del notes["bearing"]
        else:
            made["bearing"] = self.bearing(bearing)
        if "size" in self.said["bolts"]:
            del notes["bolts"]
        for group in ("barrel", "arms", "palm"):
            if not any(path.startswith(f"{group}.") for path in sizes):
                del notes[group]
        return yaml_text(made, notes)

    def bearing(self, b: Bearing) -> Known:
        """Return the group of a bearing's sizes."""
        return {
            "outside_diameter": self.exact(b.outside_mm),
            "length": self.exact(b.length_mm),
            "shell": self.exact(b.shell_mm),
        }

    def fine_up(self, mm: float) -> str:
        """Return a clearance up to a hundredth of a mm or half a thousandth of an inch."""
        return f"{math.ceil(mm / INCH_MM * 2000) / 2000:g} in" if self.inch else f"{math.ceil(mm * 100) / 100:g} mm"

    def exact(self, mm: float) -> str:
        """Return a size (mm) to six digits, for what was measured."""
        return f"{mm / INCH_MM:.6g} in" if self.inch else f"{mm:.6g} mm"


def yaml_text(data: Known, notes: Mapping[str, str] = MappingProxyType({})) -> str:
    """Return data as the text of a parameter file, groups in their usual order under their notes, empty ones left
    out.

    >>> print(yaml_text({"shaft": {"diameter": "30 mm"}}, {"shaft": "As measured."}), end="")
    # As measured.
    shaft: {diameter: 30 mm}
    """
    lines = []
    part = data.get("part", STRUT)
    known = root(part if part in FAMILIES else STRUT).model_fields
    for name in (*known, *(n for n in data if n not in known)):
        value = data.get(name)
        if value is None or value == {} or value == []:
            continue
        if name in notes:
            lines.append(f"# {notes[name]}\n")
        # A group of plain values fits on a line of its own, one with groups in it does not.
        flat = not isinstance(value, (dict, list))
        lines.append(
            yaml.safe_dump(
                {name: value},
                sort_keys=False,
                default_flow_style=False if flat else None,
                width=110,
                allow_unicode=True,
            )
        )
    return "".join(lines)
