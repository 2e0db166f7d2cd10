"""What a customer knows: checked as far as it goes, with the plainest assumption for what no strut can do without."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from strutwright.models.formulas import arm_rules
from strutwright.models.formulas import shaft as shaft_rules
from strutwright.models.metals import ALIKE, USUAL, metal
from strutwright.models.sizing.set_text import KNOWN, Known, yaml_text
from strutwright.params import tables
from strutwright.params.limits import Limits
from strutwright.params.loader import loads, without_empty
from strutwright.params.problems import ParameterError
from strutwright.params.quantity import INCH_MM, POWER, RATE, FileUnits, Kind, QuantityError, parse
from strutwright.params.words import Amount, read, say


class SizingError(ValueError):
    """What is known is not enough, or makes no strut; the text says what to give."""


def parsed(path: str, value: Any, kind: Kind, units: FileUnits) -> float:
    """Return a value (in the unit of its kind) as a file writes it. Raises SizingError with what is allowed.

    >>> round(parsed("duty.power", "10 hp", POWER, "mm"), 2)  # kW
    7.46
    """
    try:
        return parse(value, kind, units)
    except QuantityError as error:
        raise SizingError(f"{path}: {value!r} {error}; allowed: {error.allowed}") from None


def value_at(said: Known, path: str, kind: Kind) -> float | None:
    """Return a value that what is known says at a dotted path, or None. Raises SizingError.

    >>> value_at({"units": "mm", "duty": {"power": "12 kW"}}, "duty.power", POWER)
    12.0
    """
    at: Any = said
    for part in path.split("."):
        at = at.get(part) if isinstance(at, dict) else None
    return None if at is None else parsed(path, at, kind, said["units"])


def refuse_faults(known: Known) -> None:
    """Raise ParameterError for what is wrong with what is known by itself, whatever is still missing.

    >>> try:
    ...     refuse_faults({"shaft": {"diameter": "30 kg"}})
    ... except ParameterError as error:
    ...     error.problems[0].what
    "has the unit 'kg', which is not a unit of length"
    """
    try:
        loads(yaml_text(known), KNOWN)
    except ParameterError as error:
        wrong = [p for p in error.problems if p.what != "is missing"]
        if wrong:
            raise ParameterError(wrong) from None


def with_defaults(known: Known, limits: Limits) -> Known:
    """Return what is known with the plainest assumption for what a strut cannot do without. Raises SizingError.

    Construction and material by the hull: welded of the hull's own kind of metal on steel and aluminium, with anodes,
    else cast nickel-aluminium bronze or welded 316L; the shaft from power and speed, the next standard size up; the
    angle of a vee clear of the blades.

    >>> hull = {"drop": {"square_to_shaft": 250}, "shaft_angle": {"to_hull": "9 deg"}}
    >>> with_defaults({"shaft": {"diameter": 30}, "hull": hull}, standard())["materials"]["strut"]
    'C95800'
    """
    said: Known = without_empty(known)
    for group in ("identity", "materials", "shaft", "arms", "hull", "bolts", "palm", "duty", "propeller"):
        if not isinstance(said.setdefault(group, {}), dict):
            raise SizingError(f"{group}: is not a group of values")
    said["identity"].setdefault("name", "Sized strut")
    said["identity"].setdefault("hand", "centre")
    said.setdefault("units", "mm")
    alike = ALIKE.get(family_of(said["materials"].get("hull")), {})
    said.setdefault("construction", "welded" if "welded" in alike else "cast")
    made = str(said["construction"])
    own = alike.get(made, USUAL.get(made, USUAL["welded"]))
    said["materials"].setdefault("strut", own)
    if alike:
        said["materials"].setdefault("anodes", True)
    said["arms"].setdefault("arrangement", "single")
    hull = said["hull"]
    if not hull.get("drop"):
        raise SizingError("the drop is not known: give the distance from the hull face to the shaft line (--drop)")
    if not hull.get("shaft_angle"):
        raise SizingError(
            "the shaft angle is not known: give it to the waterline or to the hull (--shaft-angle, --shaft-to-hull)"
        )
    angle = hull["shaft_angle"]
    if isinstance(angle, dict) and "to_waterline" in angle and "to_hull" not in angle and "run" not in hull:
        raise SizingError(
            "the run of the bottom is not known, and the palm lies at the shaft's angle to the waterline "
            "plus the run: give it (--run); 0 deg is an answer"
        )
    if "diameter" not in said["shaft"]:
        said["shaft"]["diameter"] = shaft_by_power(said, limits, str(said["materials"]["strut"]))
    if said["arms"]["arrangement"] == "vee" and "included_angle" not in said["arms"]:
        said["arms"]["included_angle"] = _vee_angle(said["propeller"].get("blades"), limits)
    if "stance" not in said["arms"] and said["identity"]["hand"] != "centre" and hull.get("deadrise"):
        said["arms"]["stance"] = "square_to_bottom"
    return said


def begun(known: Known, names: str, called: str) -> Known:
    """Return what is known with groups, name, hand and units there. names: of the groups, parted by blanks; called: the
    part where it has no name. Raises SizingError where one is no group.

    >>> begun({}, "shaft identity", "Sized housing")["identity"]
    {'name': 'Sized housing', 'hand': 'centre'}
    """
    said: Known = without_empty(known)
    for name in names.split():
        if not isinstance(said.setdefault(name, {}), dict):
            raise SizingError(f"{name}: is not a group of values")
    said["identity"].setdefault("name", called)
    said["identity"].setdefault("hand", "centre")
    said.setdefault("units", "mm")
    return said


def metal_by(said: Known, under: str, part: str, beside: str) -> str:
    """Choose construction and metal by what the part stands on, as struts by their hull; return its family.

    under, part: names of the two in materials; beside: the group that says whether they are kept apart.

    >>> said = {"materials": {"base": "S275"}, "base": {}}
    >>> metal_by(said, "base", "housing", "base"), said["construction"]
    ('steel', 'welded')
    """
    metals = said["materials"]
    family = family_of(metals[under])
    alike: Mapping[str, str] = ALIKE.get(family, {})
    said.setdefault("construction", "welded" if "welded" in alike else "cast")
    made = str(said["construction"])
    metals.setdefault(part, alike.get(made, USUAL.get(made, USUAL["welded"])))
    if alike:
        metals.setdefault("anodes", True)
        if family_of(metals[part]) != family:
            said[beside].setdefault("isolated", True)
    return family


def refuse_lag_screws_in_unknown_timber(said: Known, family: str, group: str) -> None:
    """Raise SizingError where lag screws hold in timber of which the group does not say the density.

    >>> said = {"bolts": {"fastener": "lag_screw"}, "base": {"density": 600}}
    >>> refuse_lag_screws_in_unknown_timber(said, "timber", "base")
    """
    if said["bolts"]["fastener"] == "lag_screw" and family == "timber" and "density" not in said[group]:
        raise SizingError(
            "lag screws hold by the density of the timber: give it (--timber-density), or other fasteners"
        )


def family_of(material: Any) -> str:
    """Return the family of a material; "" where it is not said or not known.

    >>> family_of("hardwood"), family_of(None)
    ('timber', '')
    """
    try:
        return tables.material(str(material)).family
    except tables.NotInTable:
        return ""


def shaft_by_power(said: Known, limits: Limits, own: str) -> str:
    """Return the next standard shaft for power and speed, as a file writes it. own: the metal of the part. Raises
    SizingError.

    >>> known = {"duty": {"power": "30 kW", "shaft_speed": "1200 rpm"}, "materials": {}, "units": "mm"}
    >>> shaft_by_power(known, standard(), "316L")
    '35 mm'
    """
    power, speed = value_at(said, "duty.power", POWER), value_at(said, "duty.shaft_speed", RATE)
    if power is None or speed is None:
        raise SizingError(
            "the shaft is not known: give its diameter (--shaft), or power and shaft speed (--power, --shaft-speed)"
        )
    strut = metal(own)
    name = said["materials"].setdefault("shaft", "S32205" if strut.family == "duplex" else "316L")
    if math.isnan(metal(str(name)).yield_mpa):
        raise SizingError(
            f"the shaft is not known, and {name} has no yield strength in the table of materials to work "
            "it out with: give its diameter (--shaft) or another materials.shaft"
        )
    service = f"shaft_safety_{said['duty'].get('service', 'pleasure')}"
    safety = limits.get(service, limits["shaft_safety_pleasure"]).value
    torsion_mpa = shaft_rules.TORSION_YIELD_OF_TENSILE * metal(str(name)).yield_mpa
    need = float(shaft_rules.diameter_by_power_mm(power, safety, torsion_mpa, speed))
    inch = said["units"] == "in"
    rows = [
        (str(r["size"]), tables.nearest_shaft(_row_mm(r, inch), "inch" if inch else "metric").diameter_mm)
        for r in tables.table("shafts_inch" if inch else "shafts_metric").rows
    ]
    for size_, mm in sorted(rows, key=lambda r: r[1]):
        if mm >= need - 1e-9:
            return f"{size_} in" if inch else f"{mm:g} mm"
    raise SizingError(
        read(
            say(
                "power and speed want a shaft of {need}, beyond the standard sizes; give its diameter (--shaft)",
                need=Amount(need, "mm"),
            ),
            said["units"],
        )
    )


def _row_mm(row: Mapping[str, Any], inch: bool) -> float:
    return float(row["diameter"]) * (INCH_MM if inch else 1.0)


def _vee_angle(blades: Any, limits: Limits) -> str:
    least, most = limits["vee_angle"].value, limits["vee_angle_most"].value
    if isinstance(blades, int) and 2 <= blades <= 9:
        clear = [a for a in arm_rules.clear_v_angles(blades) if least <= a <= most]
        if clear:
            return f"{min(clear, key=lambda a: abs(a - 70.0)):g} deg"
    return f"{min(max(65.0, least), most):g} deg"
