"""What sizing has to know of a let-in housing: a sleeve turned to its bearing, and what the structure holds it by."""

from __future__ import annotations

import math

from strutwright.models import rules
from strutwright.models.metals import ALIKE, USUAL
from strutwright.models.resolve.let_in import GAP_MM
from strutwright.models.sizing.known import SizingError, begun, family_of, shaft_by_power, value_at
from strutwright.models.sizing.one_by_one import (
    Axis,
    Draft,
    Family,
    bearing_outside_mm,
    bores,
    lengths,
    numbers,
    open_axes,
)
from strutwright.models.sizing.set_text import Known
from strutwright.params import tables
from strutwright.params.limits import Limits
from strutwright.params.quantity import LENGTH

SLEEVES = ("p6", "r6", "s6", "n6", "m6")
"""Classes of the outside of a housing that is pressed in, the usual one first."""
NONE, COUNTS = "none", (2, 3, 4, 6)
"""No locking screws, and how many are tried: as few as hold it."""
BITES = 0.25, 0.4
"""Bites of a locking screw over its thread: the least, and the most where the wall is thick enough; common practice."""
SOFT = ("timber", "composite", "")
"""Families of structures that give way under a press fit, and of those that are not known."""
LOCKING = "locking screws"
"""The axis of their number and thread."""
_WALLS, _LONGER = (0.2, 1.2), 3.0
"""Walls that are looked at, and how much longer than its bearing the housing may be, in shafts."""
_NOTES = {
    "bearing": "Measure the bearing in hand and give its sizes: the bore is made to it.",
    "barrel": "Sizes that were left open: found by the search.",
    "structure": "As measured on the boat.",
    "locking_screws": "Through the structure into the housing; as few as hold it.",
    "propeller": "As known; what is missing cannot be checked.",
}


def with_defaults(known: Known, limits: Limits) -> Known:
    """Return what is known with the plainest assumption for what a let-in housing cannot do without. Raises
    SizingError.

    Bedded in timber and laminate, welded into a tube of metal, pressed into other metal; of the structure's own kind of
    metal on steel and aluminium, else of bronze or, welded, of 316L; the shaft from power and speed.

    >>> structure = {"kind": "skeg", "thickness": 120, "depth": 150}
    >>> known = {"shaft": {"diameter": 30}, "materials": {"base": "hardwood"}, "structure": structure}
    >>> with_defaults(known, standard())["hold"]
    'bedded'
    """
    said = begun(known, "identity materials shaft structure barrel duty propeller", "Sized housing")
    metals, structure = said["materials"], said["structure"]
    if "base" not in metals:
        raise SizingError("what the housing is let into is not known: give its material (--base-material)")
    kind = structure.get("kind")
    if kind is None:
        raise SizingError("what the housing is let into is not known: skeg, keel or tube (--structure)")
    size, option = ("outside_diameter", "outside") if kind == "tube" else ("thickness", "thickness")
    if size not in structure:
        raise SizingError(f"the size of the {kind} is not known: give structure.{size} (--structure-{option})")
    if "depth" not in structure:
        raise SizingError("the depth of the hole along the shaft is not known: give it (--hole-depth)")
    family = family_of(metals["base"])
    alike = ALIKE.get(family)
    usual = "bedded" if family in SOFT else "welded" if kind == "tube" else "pressed"
    hold = str(said.setdefault("hold", usual))
    own = USUAL["welded" if hold == "welded" else "cast"]
    metals.setdefault("housing", alike["welded"] if alike else own)
    if family not in SOFT:
        metals.setdefault("anodes", True)
        if family_of(metals["housing"]) != family and hold != "welded":
            structure.setdefault("isolated", True)
    if "diameter" not in said["shaft"]:
        said["shaft"]["diameter"] = shaft_by_power(said, limits, str(metals["housing"]))
    return said


def axes(said: Known, limits: Limits) -> tuple[Axis, ...]:
    """Return what is open: wall, length, the class of a press fit, locking screws.

    >>> structure = {"kind": "skeg", "thickness": 120, "depth": 150}
    >>> known = {"shaft": {"diameter": 30}, "materials": {"base": "S275"}, "structure": structure}
    >>> [a.path for a in axes(with_defaults(known, standard()), standard())]
    ['barrel.wall', 'barrel.length', 'pressed.sleeve_class', 'bored_in_place', 'locking screws', 'barrel.bore_class']
    """
    d, inch = value_at(said, "shaft.diameter", LENGTH), said["units"] == "in"
    assert d is not None
    least = max(limits["barrel_wall_hard"].value, 0.1) * d
    first = max(limits["barrel_wall"].value, _WALLS[0]) * d
    bearing = _bearing_mm(said, d, limits)
    out = [
        lengths("barrel.wall", least, max(_WALLS[1] * d, 2 * first), 1.2 * first, inch=inch),
        lengths("barrel.length", bearing, bearing + _LONGER * d, bearing, inch=inch),
    ]
    if "outside_diameter" in said["barrel"]:
        out = out[1:]
    if said["hold"] == "pressed":
        out.append(numbers("pressed.sleeve_class", SLEEVES, SLEEVES[0]))
        out.append(numbers("bored_in_place", (False, True), False, sparing=True))
    if said["hold"] != "welded" and not said.get("locking_screws"):
        threads = tuple(dict.fromkeys(rules.screw_thread(k * d, inch=inch) for k in (1.0, 1.6)))
        out.append(numbers(LOCKING, (NONE, *(f"{n} {t}" for n in COUNTS for t in threads)), NONE, sparing=True))
    return open_axes(said, *out, *bores(said))


def _bearing_mm(said: Known, d: float, limits: Limits) -> float:
    """The length of the bearing, or of both."""
    one = said.get("bearing")
    if isinstance(one, list):
        return sum(value_at({**said, "bearing": b}, "bearing.length", LENGTH) or 4.0 * d for b in one) + 3.0
    return value_at(said, "bearing.length", LENGTH) or rules.bearing_length_shafts(limits) * d


def fill(draft: Draft) -> None:
    """Put in what follows: how far it stands out, collar, chamfer, places of locking screws.

    >>> draft = Draft({"units": "mm", "hold": "pressed", "structure": {"depth": 100}}, standard(), {})
    >>> draft.put("barrel.length", "130 mm")
    >>> fill(draft)
    >>> draft.made["stands_out"]
    '30 mm'
    """
    d, long, deep = draft.mm("shaft.diameter"), draft.mm("barrel.length"), draft.mm("structure.depth")
    if draft.value("collar") is not None:
        _collar(draft, d)
    elif long > deep + 1e-9:
        draft.put_mm("stands_out", long - deep)
    count, _, thread = str(draft.chosen.get(LOCKING, NONE)).partition(" ")
    if count != NONE:
        _locking(draft, int(count), thread, d)


def _collar(draft: Draft, d: float) -> None:
    draft.put_mm("collar.thickness", draft.limit("collar_thickness", d))
    outside = draft.mm("barrel.outside_diameter")
    if math.isnan(outside):
        outside = bearing_outside_mm(draft) + 2 * draft.mm("barrel.wall")
    gap = draft.mm("bedded.gap") if draft.value("hold") == "bedded" else 0.5
    hole = outside + 2 * (GAP_MM if math.isnan(gap) else gap)
    draft.put_mm("collar.diameter", hole + 2 * draft.limit("collar_seat"))


def _locking(draft: Draft, count: int, thread: str, d: float) -> None:
    """Screws from both sides, in rows that share the length in the structure evenly."""
    major = tables.thread(thread).major_mm
    draft.put("locking_screws.thread", thread)
    if family_of(draft.value("materials.base")) in SOFT:
        draft.put("locking_screws.bushed", True)
    least, most = (share * major for share in BITES)
    spare = draft.mm("barrel.wall") - draft.limit("locking_wall", d)
    if spare > least:
        draft.put("locking_screws.bite", draft.text.written(float(rules.down_mm(min(most, spare), draft.step_mm / 2))))
    outer = (draft.mm("stands_out"), draft.mm("collar.thickness"), 0.0)
    in_structure = draft.mm("barrel.length") - next(x for x in outer if not math.isnan(x))
    edge = draft.limit("locking_clear", major) + 0.5 * major
    rows = math.ceil(count / 2)
    apart = (in_structure - 2 * edge) / max(rows - 1, 1)
    first = edge if rows > 1 else in_structure / 2
    draft.put(
        "locking_screws.positions",
        [
            {
                "distance": draft.text.written(float(rules.near_mm(first + (n // 2) * apart, draft.step_mm))),
                "clock": 90 if n % 2 == 0 else -90,
            }
            for n in range(count)
        ],
    )


def _screws(made: Known) -> tuple[str, int]:
    screws = made.get("locking_screws") or {}
    places = screws.get("positions") or ()
    return (str(screws.get("thread")), len(places)) if places else ("no screw", 0)


LET_IN = Family(name="let_in_housing", known=with_defaults, axes=axes, fill=fill, notes=_NOTES, bolts=_screws)
