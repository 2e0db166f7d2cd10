"""Standard shafts, and example bearings for them."""

from __future__ import annotations

from dataclasses import dataclass

from strutwright.params.tables.reader import in_mm, missing, mm_or_none, table


@dataclass(frozen=True, slots=True)
class Shaft:
    """A standard shaft diameter; the taper end (1 in 16) only where SAE J755 values are kept."""

    size: str
    standard: str
    diameter_mm: float
    small_end_min_mm: float | None
    small_end_max_mm: float | None
    taper_length_mm: float | None
    key_width_mm: float | None


def nearest_shaft(diameter_mm: float, system: str | None = None) -> Shaft:
    """The standard shaft nearest to a diameter in mm; ``system`` "inch" (SAE J755), "metric" (ISO 4566) or
    ``None`` for either. Raises :class:`NotInTable` for another system.
    """
    files = {"inch": "shafts_inch", "metric": "shafts_metric"}
    if system is not None and system not in files:
        raise missing("System", system, files, "the shaft tables")
    found = []
    for name in [files[system]] if system else files.values():
        t = table(name)
        unit = t.units["diameter"]
        found += [
            Shaft(
                r["size"],
                t.standard,
                in_mm(r["diameter"], unit),
                *(mm_or_none(r.get(c), unit) for c in ("small_end_min", "small_end_max", "taper_length", "key_width")),
            )
            for r in t.rows
        ]
    return min(found, key=lambda s: abs(s.diameter_mm - diameter_mm))


@dataclass(frozen=True, slots=True, kw_only=True)
class BearingExample:
    """An example bearing size; always confirm against the bearing in hand."""

    shaft_mm: float
    outside_mm: float
    length_mm: float
    shell_mm: float
    flutes: int
    flute_width_mm: float
    flute_depth_mm: float
    system: str
    caution: str


def bearing_example(shaft_mm: float, tolerance_mm: float = 1.0) -> BearingExample | None:
    """The example bearing whose shaft is nearest to ``shaft_mm``, or ``None`` when none lies within
    ``tolerance_mm``. The values are examples from memory, not a standard.
    """
    best = min(bearing_examples(), key=lambda b: abs(b.shaft_mm - shaft_mm))
    return best if abs(best.shaft_mm - shaft_mm) <= tolerance_mm else None


def bearing_examples() -> list[BearingExample]:
    """Every example bearing, inch first."""
    found = []
    for name, system in (("bearings_inch", "inch"), ("bearings_metric", "metric")):
        t = table(name)
        unit = t.units["shaft"]
        for r in t.rows:
            shaft, outside, length, shell = (in_mm(r[c], unit) for c in ("shaft", "outside", "length", "shell"))
            found.append(
                BearingExample(
                    shaft_mm=shaft,
                    outside_mm=outside,
                    length_mm=length,
                    shell_mm=shell,
                    flutes=r["flutes"],
                    flute_width_mm=r["flute_width"],
                    flute_depth_mm=r["flute_depth"],
                    system=system,
                    caution=t.table,
                )
            )
    return found
