"""The boat's side of a resolved strut: how it sits under the hull, the shaft, the propeller, power and speeds."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class HullPlate:
    """What is known of the hull round a palm as a plate; lengths mm, moduli MPa. None where the file does not say."""

    modulus_mpa: float | None = None
    planks_along: bool = True
    """Of timber: along the palm, not across it."""
    panel_along_mm: float | None = None
    panel_across_mm: float | None = None
    """Clear between the stiffeners round the palm."""
    skin_mm: float | None = None
    """Of a sandwich; None for a hull of one material."""
    core_shear_mpa: float = 0.0
    core_solid: bool = True
    """Whether the core is solid under the palm, and how far beyond it."""
    solid_beyond_mm: float = 0.0
    backing_mm: float | None = None
    backing_beyond_mm: float | None = None
    backing_bonded: bool = False
    springs: tuple[float, float, float] | None = None
    """As measured: normal N/mm, tilt along and across N mm/rad."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HullFit:
    """How the strut sits under the boat, as measured and as derived; angles degrees, lengths mm.

    shaft_to_waterline_deg, run_deg (rise of the buttock going aft), deadrise_deg; shaft_to_hull_deg = their sum in
    the vertical plane; shaft_to_palm_deg is the true angle to the palm plane. The three drops are taken at mid-barrel.
    """

    shaft_to_waterline_deg: float
    shaft_to_hull_deg: float
    shaft_to_palm_deg: float
    run_deg: float
    deadrise_deg: float
    drop_vertical_mm: float
    drop_square_to_shaft_mm: float
    drop_square_to_hull_mm: float
    trace_to_projection_deg: float
    thickness_mm: float | None
    material: str
    conflicts: tuple[tuple[str, float, float], ...] = ()
    """Redundant inputs: (what, given, implied by the other inputs), degrees or mm."""
    isolated: bool = False
    """Whether gasket, sleeves and washers part the strut and its bolts from a metal hull."""
    plate: HullPlate = HullPlate()
    fitting: str = "in_place"
    """How the bore gets its direction: "in_place", bedded with the shaft there, or "as_drawn"."""
    run_known: bool = True
    """Whether the file says the run; else it is taken as 0, and nothing that is built or printed may rest on it."""

    @classmethod
    def of_none(cls, material: str, thickness_mm: float | None = None) -> HullFit:
        """Return what stands for a hull where there is none to sit under: what the part is bolted to or let into.

        >>> HullFit.of_none("oak", 120.0).thickness_mm
        120.0
        """
        nan = math.nan
        return cls(
            shaft_to_waterline_deg=nan,
            shaft_to_hull_deg=nan,
            shaft_to_palm_deg=nan,
            run_deg=0.0,
            deadrise_deg=0.0,
            drop_vertical_mm=nan,
            drop_square_to_shaft_mm=nan,
            drop_square_to_hull_mm=nan,
            trace_to_projection_deg=0.0,
            thickness_mm=thickness_mm,
            material=material,
        )


@dataclass(frozen=True, slots=True)
class Coupling:
    """The shaft's half of its coupling: from the middle of the strut bearing to its face, its flange, its mass."""

    distance_mm: float
    flange_mm: float
    mass_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Shaft:
    """The propeller shaft through the strut."""

    diameter_mm: float
    material: str
    bearing_span_mm: float | None
    """Distance from this bearing to the next one forward."""
    bearing_offset_mm: float = 0.0
    """Height of that bearing over the straight line through the barrel."""
    more_bearings: tuple[tuple[float, float], ...] = ()
    """Bearings forward of it: distance from the strut bearing and height, mm, from aft forward."""
    coupling: Coupling | None = None
    engine_rise_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Propeller:
    """The propeller abaft the strut; None where the file does not say."""

    diameter_mm: float | None
    blades: int | None
    mass_kg: float | None
    hub_length_mm: float | None
    hub_gap_mm: float | None
    pitch_mm: float | None


@dataclass(frozen=True, slots=True)
class Use:
    """One way in which the boat is run: hours of it in its life, and the share of shaft speed."""

    name: str
    hours: float
    speed: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """Power at the shaft and speeds; None where the file does not say."""

    power_kw: float | None
    shaft_rpm: float | None
    idle_rpm: float | None
    boat_speed_kn: float | None
    waterline_length_m: float | None
    service: str
    rudder_area_m2: float | None
    conflicts: tuple[tuple[str, float, float], ...] = ()
    """Shaft speeds given twice: (path, given and taken, as the other inputs make it), rpm."""
    use: tuple[Use, ...] = ()
    """None where the file does not say it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Protection:
    """Anodes. years: their life; water, paint, anode_metal: rows of the tables of cathodic protection; salinity: by the
    Practical Salinity Scale.

    anode_kg, face_m2: of one anode. count, bonded_m2 (bare metal beyond the strut): None where the file does not say.
    """

    years: float = 1.0
    water: str = "temperate"
    salinity: float = 35.0
    paint: str = "none"
    anode_metal: str = "zinc"
    anode_kg: float = 0.7
    face_m2: float = 0.0082
    count: int | None = None
    bonded_m2: float | None = None
