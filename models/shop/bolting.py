"""How long the palm's bolts are, and the room they need on their way in."""

from __future__ import annotations

from strutwright.models.arrays import Num
from strutwright.models.formulas import bolts as rules
from strutwright.models.spec import Bolt, Plate, Strut
from strutwright.models.spec_hanger import Cap
from strutwright.params import tables
from strutwright.params.quantity import INCH_MM

BEDDING_MM = 2.0
"""Compound under the palm, for the length of bolts; common practice, no source."""
_NUT = 1.6
"""Nut, washers and threads beyond them in bolt diameters, where no table has the nut; safe side, no source."""

_BACKING_BEYOND_MM = {"mm": 25.0, "in": 1 * INCH_MM}
"""By the file's units; a backing plate is 25 to 50 mm larger all round, common practice, no source."""


def backing_thickness_mm(strut: Strut, palm: Plate) -> float:
    """Return the thickness (mm) of a palm's backing plate: the bolts' diameter (common practice, no source) where the
    file does not say.

    >>> backing_thickness_mm(shipped("canal-tender"), shipped("canal-tender").palms[0])  # M8
    8.0
    """
    said = strut.hull.plate.backing_mm
    return palm.bolt.major_mm if said is None else said


def backing_overhang_mm(strut: Strut) -> float:
    """Return how far (mm) the backing plate reaches beyond the palm.

    >>> backing_overhang_mm(shipped("canal-tender"))
    25.0
    """
    said = strut.hull.plate.backing_beyond_mm
    return _BACKING_BEYOND_MM[strut.file_units] if said is None else said


def least_length_mm(strut: Strut, palm: Plate) -> float | None:
    """Return the least length (mm) of the bolts of a palm or flange: over the head when countersunk, else under it.

    Palm (less a counterbore), `under_mm`, hull, backing plate, washer
    (a second one under a hexagon head), nut and three threads. None when the hull's thickness or the nut is not known.

    >>> strut = shipped("canal-tender")  # M8
    >>> least_length_mm(strut, strut.palms[0])  # 10 + 2 + 12, plate 8, washer 1.6, nut 6.8, three threads of 1.25
    44.15
    """
    ends, engaged = _ends_mm(strut, palm), engaged_mm(strut)
    if engaged is not None:
        bedding = 0.0 if strut.flange is None or strut.flange.gasket is None else strut.flange.gasket.thickness_mm
        return float(thickest_at_bolts_mm(palm) - palm.bolt.sunk_mm + bedding + engaged)
    return (
        None
        if strut.hull.thickness_mm is None or ends is None
        else float(_length(strut, palm, thickest_at_bolts_mm(palm), ends))
    )


def cap_bolt_length_mm(cap: Cap) -> float | None:
    """Return the least length (mm) of a cap bolt under its head; None of a through bolt whose nut is in no table.

    Through: both ears with the shims between them, a washer under head and nut, the nut and three threads. Tapped: to
    the end of the thread that is to be engaged, with a washer under the head.

    >>> cap_bolt_length_mm(shipped("tunnel-hanger").hanger.cap)  # M10: 2 x 18, 2 x 2, 8.4, three threads of 1.5
    52.9
    """
    bolt = cap.bolt
    try:
        nut = tables.nut_and_washer(bolt.size)
    except tables.NotInTable:
        return None
    if bolt.engaged_mm is not None:
        return cap.ear_thickness_mm + cap.gap_mm / 2 + nut.washer_thickness_mm + bolt.engaged_mm
    ears, washers = 2 * cap.ear_thickness_mm, 2 * nut.washer_thickness_mm
    return float(rules.bolt_length_mm(ears, 0.0, 0.0, 0.0, washers, nut.nut_height_mm, bolt.pitch_mm))


def under_mm(strut: Strut) -> float:
    """Return what lies between plate and base at most (mm): bedding, or the most of shims or chock under a foot.

    >>> under_mm(shipped("canal-tender")), under_mm(shipped("tunnel-hanger"))
    (2.0, 5.0)
    """
    return BEDDING_MM if strut.hanger is None else max(BEDDING_MM, strut.hanger.under.most_mm)


def engaged_mm(strut: Strut) -> float | None:
    """Return the length (mm) of a flange's fasteners that is screwed into its base; None where they go through.

    >>> engaged_mm(shipped("deadwood-cutter")), engaged_mm(shipped("canal-tender"))
    (90.0, None)
    """
    return None if strut.flange is None else strut.flange.engaged_mm


def bolt_metal(bolt: Bolt) -> str:
    """Return what a bolt is ordered in: of a metal that is named by ASTM F468, a metric one to its sister F468M.

    >>> bolt_metal(shipped("harbour-launch").palms[0].bolt), bolt_metal(shipped("sloop-with-skeg").palms[0].bolt)
    ('F468M C65100', 'F468 C65100')
    """
    metric = bolt.size.startswith("M")
    return bolt.material.replace("F468 ", "F468M ") if metric else bolt.material


def head_standard(bolt: Bolt, length_mm: float | None) -> str:
    """Return the standard of a bolt of that length: a metric hexagon head with a shank where it is long enough for one.

    Threaded to the head (ISO 4017) it would bear on its thread in the palm. ISO 4014 has shanks from some 4 diameters
    and 6 mm on; from memory.

    >>> bolt = shipped("pilot-vee").palms[0].bolt  # M24
    >>> [head_standard(bolt, length) for length in (102.0, 103.0, None)]
    ['ISO 4017', 'ISO 4014', 'ISO 4017']
    """
    shanked = length_mm is not None and length_mm > 4.0 * bolt.major_mm + 6.0
    return "ISO 4014" if bolt.head_standard == "ISO 4017" and shanked else bolt.head_standard


def thickest_at_bolts_mm(palm: Plate) -> float:
    """Return the thickness (mm) of a palm at that bolt where it is thickest.

    >>> thickest_at_bolts_mm(shipped("canal-tender").palms[0])
    10.0
    """
    return palm.thickness_mm + max(float(palm.height_mm(h.u_mm, h.v_mm)) for h in palm.holes)


def way_in_mm(strut: Strut, palm: Plate, thickness_mm: Num) -> Num:
    """Return how far (mm) a bolt and its head stand out of the palm when its tip is at the palm's water face.

    thickness_mm: of the palm, one or an array. Raises LookupError when the hull's thickness is not known.

    >>> strut = shipped("canal-tender")  # palm and bolts as in least_length_mm, the palm 2 thicker
    >>> way_in_mm(strut, strut.palms[0], 12.0)
    46.15
    """
    ends = _ends_mm(strut, palm)
    head = 0.0 if palm.bolt.head.conical else palm.bolt.major_mm
    return head + _length(strut, palm, thickness_mm, _NUT * palm.bolt.major_mm if ends is None else ends)


def _ends_mm(strut: Strut, palm: Plate) -> float | None:
    """Return what a bolt reaches past palm, hull and backing plate (mm): washers, nut and three threads."""
    try:
        nut, pitch = tables.nut_and_washer(palm.bolt.size), tables.thread(palm.bolt.size).pitch_mm
    except tables.NotInTable:
        return None
    washers = (2.0 if palm.bolt.head.washed else 1.0) * nut.washer_thickness_mm
    return float(rules.bolt_length_mm(0.0, 0.0, 0.0, 0.0, washers, nut.nut_height_mm, pitch))


def _length(strut: Strut, palm: Plate, thickness_mm: Num, ends_mm: float) -> Num:
    bolt, hull = palm.bolt, strut.hull.thickness_mm
    if hull is None:
        raise LookupError("hull.thickness")
    gripped = thickness_mm - bolt.sunk_mm
    return rules.bolt_length_mm(
        gripped,
        under_mm(strut),
        hull,
        backing_thickness_mm(strut, palm) if strut.backing_plate else 0.0,
        ends_mm,
        0.0,
        0.0,
    )
