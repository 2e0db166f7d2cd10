"""The hull under a palm: what it bears, and how stiff a bed it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.finding import STANDINGS, Standing
from strutwright.models.formulas import palm_bed
from strutwright.models.input_parts import PalmInputs
from strutwright.models.inputs import NAN, Inputs
from strutwright.models.shop.bolting import BEDDING_MM
from strutwright.params import limits as limit_table
from strutwright.params import tables


@dataclass(frozen=True, slots=True, kw_only=True)
class HullBears:
    """What a hull bears: pressure across its face, shear through it and pressure of a bolt in its hole, MPa, and its
    modulus across its thickness, MPa; standing and source of the first.

    key: the end of the names of its limits.
    """

    pressure_mpa: float = NAN
    shear_mpa: float = NAN
    pin_mpa: float = NAN
    modulus_mpa: float = NAN
    standing: Standing = Standing.LOW
    source: str = "no figure for this hull material"
    key: str = ""


def hull_bears(inputs: Inputs) -> HullBears:
    """Return what the hull bears; nan where nothing is known.

    Metals: yield, and shares of the ultimate strength in punching and under a bolt (EN 1993-1-8). Timber: across the
    grain.

    >>> hull_bears(engineering_inputs("harbour-launch")).pressure_mpa  # a laminate
    20.0
    """
    try:
        m = tables.material(inputs.hull.name)
    except tables.NotInTable:
        return HullBears()
    key = {"FRP laminate": "laminate", "plywood": "plywood"}.get(m.name, "timber" if m.family == "timber" else "")
    if key:
        pressure = limit_table.shipped()[f"hull_pressure_{key}"]
        name = {"laminate": "glass laminate", "timber": "hardwood"}.get(key, key)
        return HullBears(
            pressure_mpa=inputs.limit(f"hull_pressure_{key}"),
            shear_mpa=inputs.limit(f"hull_shear_{key}"),
            pin_mpa=inputs.limit(f"hull_pin_{key}"),
            modulus_mpa=inputs.limit(f"hull_modulus_{key}"),
            standing=STANDINGS[pressure.standing],
            source=f"{pressure.source} for {name}; shear through it from memory",
            key=key,
        )
    if m.yield_mpa is not None and m.ultimate_mpa is not None and m.modulus_mpa is not None:
        share, pin = inputs.limit("hull_shear_metal"), inputs.limit("hull_pin_metal")
        return HullBears(
            pressure_mpa=m.yield_mpa,
            shear_mpa=share * m.ultimate_mpa,
            pin_mpa=pin * m.ultimate_mpa,
            modulus_mpa=m.modulus_mpa,
            standing=Standing.MEMORY,
            source=f"yield of {m.name}; punching {share:g} of its ultimate strength (EN 1993-1-8)",
            key="metal",
        )
    return HullBears()


def bed_n_mm3(inputs: Inputs, palm: PalmInputs) -> tuple[Num, Num]:
    """Return the least and the greatest stiffness of the bed of a palm, N/mm3: hull and bedding in series, less and
    more by the limit `bed_range`. A cast chock under the foot of a hanger beds it by its own thickness.

    A hull of which the thickness is not said is taken as thick as the palm; one of which nothing is known as timber.

    >>> launch = engineering_inputs("harbour-launch")  # 16 mm of 5000 MPa and 2 mm of 2000 MPa: 238 N/mm3
    >>> [round(bed) for bed in bed_n_mm3(launch, launch.palms[0])]
    [159, 357]
    """
    known = hull_bears(inputs).modulus_mpa
    modulus = inputs.limit("hull_modulus_timber") if np.isnan(known) else known
    hull, spread = hull_thickness_mm(inputs, palm), inputs.limit("bed_range")
    soft, stiff = (
        palm_bed.bed_n_mm3(hull, modulus, thick, inputs.limit("bedding_modulus")) for thick in _bedding_mm(inputs)
    )
    return soft / spread, stiff * spread


def _bedding_mm(inputs: Inputs) -> tuple[Num, Num]:
    """What beds a palm at most and at least, mm: of a hanger on a cast chock that, else the usual."""
    if inputs.hanger is None or inputs.hanger.under.kind != "resin":
        return BEDDING_MM, BEDDING_MM
    under = inputs.hanger.under
    return np.maximum(under.most_mm, BEDDING_MM), np.maximum(under.least_mm, BEDDING_MM)


def hull_thickness_mm(inputs: Inputs, palm: PalmInputs) -> Num:
    """Return the thickness of the hull, mm; as thick as the palm where the file does not say it.

    >>> launch = engineering_inputs("harbour-launch")
    >>> float(hull_thickness_mm(launch, launch.palms[0]))
    16.0
    """
    thickness: Num = np.where(np.isnan(inputs.hull_mm), palm.thickness_mm, inputs.hull_mm)
    return thickness
