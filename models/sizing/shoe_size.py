"""What sizing has to know of a rudder shoe: the plate and its fasteners, the boss and the bush."""

from __future__ import annotations

import math

from strutwright.models import rules
from strutwright.models.bolt_heads import HEADS, HeadSizes
from strutwright.models.edge_rules import EDGE_RULES
from strutwright.models.resolve.shoe import BUSH_WALL_MM, BUSH_WALL_SHARE, SLOPE
from strutwright.models.sizing.choices import kinds_of
from strutwright.models.sizing.known import (
    SizingError,
    begun,
    family_of,
    metal_by,
    refuse_lag_screws_in_unknown_timber,
    value_at,
)
from strutwright.models.sizing.one_by_one import (
    Axis,
    Draft,
    Family,
    at_path,
    bolt_sizes,
    lengths,
    numbers,
    open_axes,
    stock,
)
from strutwright.models.sizing.set_text import Known
from strutwright.params import tables
from strutwright.params.limits import Limits
from strutwright.params.quantity import ANGLE, LENGTH

ALONG, ACROSS = tuple(range(2, 13)), (1, 2, 3, 4, 6)
"""Fasteners along the plate and in lines across it that are tried."""
BOLTS, WALLS, PLATES, BUSHES = (0.2, 0.6), (0.2, 0.6), (0.25, 1.2), (0.75, 1.2)
"""Fasteners, walls of the boss, thicknesses of the plate and lengths of the bush that are looked at, in stocks."""
WIDER = 3.0
"""How much wider than it has to be the plate is at most, in stocks."""
PITCHES = (3.0, 3.5, 4.0, 4.5, 5.0, 5.5, 6.0, 6.5, 7.0, 7.5, 8.0)
"""Pitches along the plate that are tried, in fasteners."""
PITCH, AFT, FORWARD = "pitch in fasteners", "wider aft", "wider forward"
JUMP_MM = 3.0
"""Room over the rudder to its jumping stop where none is said; common practice, no source."""
SUNK_MM = 0.5
"""How far a recessed head lies below flush where nothing is said, as the schema has it."""
_SPARE_MM = 0.3
_NOTES = {
    "bush": "Measure the bush in hand and give its sizes: the bore is made to it.",
    "boss": "Sizes that were left open: found by the search.",
    "plate": "Sizes that were left open: found by the search.",
    "bolts": "Size, number and places of the fasteners: what was left open found by the search.",
    "keel": "As measured on the boat; end: from the stock's axis forward to the keel's after end.",
    "rudder": "As known; what is missing cannot be checked.",
    "jumping_stop": "Set it so on hull or sternpost, close over a face of the rudder.",
}


def with_defaults(known: Known, limits: Limits) -> Known:
    """Return what is known with the plainest assumption for what a shoe cannot do without. Raises SizingError.

    Construction and metal by the keel, as struts by their hull; a plain bush; through bolts; a stop close over
    the rudder.

    >>> known = {"stock": {"diameter": 40}, "materials": {"keel": "FRP laminate"}, "keel": {"end": 190}}
    >>> with_defaults(known, standard())["materials"]["shoe"]
    'C95800'
    """
    said = begun(known, "identity materials stock bush boss plate bolts keel rudder duty", "Sized rudder shoe")
    for group, name, words in (
        ("stock", "diameter", "the rudder stock is not known: give its diameter (--stock)"),
        ("materials", "keel", "what the plate is bolted to is not known: give its material (--keel-material)"),
        ("keel", "end", "the keel's after end is not known: give its distance from the stock's axis (--keel-end)"),
    ):
        if name not in said[group]:
            raise SizingError(words)
    family = metal_by(said, "keel", "shoe", "keel")
    said["bolts"].setdefault("fastener", "through_bolt")
    refuse_lag_screws_in_unknown_timber(said, family, "keel")
    gap = "1/8 in" if said["units"] == "in" else f"{JUMP_MM:g} mm"
    said.setdefault("jumping_stop", {"gap": gap})
    return said


def axes(said: Known, limits: Limits) -> tuple[Axis, ...]:
    """Return what is open: boss, bush, plate and its widths, fasteners.

    >>> known = {"stock": {"diameter": 40}, "materials": {"keel": "FRP laminate"}, "keel": {"end": 190}}
    >>> [a.path for a in axes(with_defaults(known, standard()), standard())][:3]
    ['boss.wall', 'bush.length', 'plate.thickness']
    """
    d, inch = value_at(said, "stock.diameter", LENGTH), said["units"] == "in"
    assert d is not None
    plate = stock if said["construction"] == "welded" else lengths
    wall = max(limits["barrel_wall"].value, WALLS[0]) * d
    kind = said["bolts"].get("kind")
    sizes = bolt_sizes(BOLTS[0] * d, BOLTS[1] * d, kind, inch=inch)
    most = float(rules.down_mm(limits["heel_bush_length"].value * d, rules.half_step_mm(inch=inch)))
    least = min(max(BUSHES[0], limits["heel_entry"].value) * d, most)
    long = lengths("bush.length", least, most, 0.95 * most, inch=inch)
    out = [
        lengths("boss.wall", WALLS[0] * d, max(WALLS[1] * d, 2 * wall), 1.2 * wall, inch=inch),
        long,
        plate("plate.thickness", PLATES[0] * d, PLATES[1] * d, 0.6 * d, inch=inch),
    ]
    if "outside_diameter" in said["boss"]:
        out = out[1:]
    if not said["plate"].get("outline"):
        out += [lengths(path, 0.0, WIDER * d, 0.8 * d, inch=inch) for path in (AFT, FORWARD)]
    out.append(numbers("bolts.size", sizes, sizes[len(sizes) // 2]))
    if not said["bolts"].get("pattern"):
        out += [
            Axis("bolts.pattern.along", ALONG, 2),
            numbers("bolts.pattern.across", ACROSS, 2),
            Axis(PITCH, PITCHES, len(PITCHES) // 2),
        ]
    return open_axes(said, *out)


def fill(draft: Draft) -> None:
    """Put in what follows: the bush and its screw, the boss below the plate, the plate from the boss to the foremost
    fasteners.

    >>> known = {"stock": {"diameter": 40}, "materials": {"keel": "FRP laminate"}, "keel": {"end": 190}}
    >>> known |= {"bush": {"length": 40}, "boss": {"wall": 12}, "plate": {"thickness": 20}, "bolts": {"size": "M12"}}
    >>> draft = Draft(with_defaults(known, standard()), standard(), {"pitch in fasteners": 6.0})
    >>> draft.put("bolts.pattern.along", 4)
    >>> fill(draft)
    >>> draft.made["bolts"]["pattern"]["aftmost"], draft.made["plate"]["outline"]["shape"]
    ('220 mm', 'tapered')
    """
    d = draft.mm("stock.diameter")
    measured = draft.mm("bush.outside_measured")
    draft.put_mm("bush.outside_diameter", _bush_outside_mm(draft, d) if math.isnan(measured) else measured)
    boss = draft.mm("boss.outside_diameter")
    if math.isnan(boss):
        boss = draft.mm("bush.outside_diameter") + 2 * draft.mm("boss.wall")
    tilts = [math.radians(abs(value_at(draft.made, f"stock.{n}", ANGLE) or 0.0)) for n in ("rake", "cant")]
    off = math.atan(math.hypot(*map(math.tan, tilts)))
    root = _root_mm(draft)
    reach = root / math.tan((math.pi / 2 - off) / 2)
    _boss(draft, d, boss, off, reach)
    _plate(draft, boss / 2 / math.cos(off) + reach + 1.0)


def _bush_outside_mm(draft: Draft, d: float) -> float:
    """As a bush that is left open is resolved; of a fluted one in proportion to the example table."""
    if draft.value("bush.kind") == "fluted_rubber":
        example = tables.bearing_example(d, tolerance_mm=math.inf)
        assert example is not None
        return example.outside_mm * d / example.shaft_mm
    play = draft.mm("bush.running_clearance")
    if math.isnan(play):
        play = max(0.1, SLOPE * d, rules.heel_clearance_least_mm(d, draft.limits)) + 0.005
    return d + play + 2 * max(BUSH_WALL_MM, BUSH_WALL_SHARE * d, draft.limit("heel_bush_wall"))


def _root_mm(draft: Draft) -> float:
    """The fillet or the weld's leg between boss and plate, as it will be."""
    thick, wall = draft.mm("plate.thickness"), draft.mm("boss.wall")
    if math.isnan(wall):
        wall = (draft.mm("boss.outside_diameter") - draft.mm("bush.outside_diameter")) / 2
    cast = draft.value("construction") == "cast"
    said = draft.mm("plate.root_fillet" if cast else "plate.weld_leg")
    if not math.isnan(said):
        return said
    if cast:
        return float(rules.up_mm(rules.fillet_mm(thick, wall, draft.limits), draft.step_mm / 2))
    return float(rules.leg_mm(thick, wall, rules.leg_share("none"), inch=draft.inch))


def _boss(draft: Draft, d: float, boss: float, off: float, reach: float) -> None:
    """The boss down to where its locking screw is clear of the plate and of the end of the bush."""
    thread = draft.value("locking_screws.thread") or rules.screw_thread(d, inch=draft.inch)
    major = tables.thread(str(thread)).major_mm
    slant = boss / 2 * math.tan(off)
    at = 0.0
    if off > 1e-9:
        draft.put("plate.position.face", "upper")
        at = draft.put_mm("plate.position.distance", slant + 0.5)
    elif draft.value("plate.position.face") == "upper":
        at = draft.mm("plate.position.distance")
    low = at + draft.mm("plate.thickness") / math.cos(off) + slant + reach
    long = draft.mm("bush.length")
    below = draft.up(max(draft.limit("screw_bearing_end", major), draft.limit("screw_barrel_end", major)))
    screw = low + (math.tan(off) * reach) + draft.limit("rim_to_root") + major / 2 + _SPARE_MM
    ends = max(low + 1.0, screw + below, at + long)
    floor = draft.mm("boss.floor.thickness")
    floor = 0.0 if math.isnan(floor) else floor
    if draft.value("boss.length") is None:
        draft.put("bush.position.face", "upper")
        start = draft.put_mm("bush.position.distance", max(ends - long, 0.0))
        draft.put_mm("boss.length", start + long + floor)
    if at_path(draft.made, "locking_screws.positions") is None:
        place = {"face": "bush_lower", "distance": draft.text.written(below), "clock": 180}
        draft.put("locking_screws.positions", [place])


def _plate(draft: Draft, round_boss: float) -> None:
    """The fasteners forward of the keel's end, the outline round them and the boss."""
    size = str(draft.value("bolts.size"))
    hole = tables.clearance_hole_mm(size, str(draft.value("bolts.hole_fit") or "medium"))
    kind, head = _head(draft, size, hole)
    rim = head.head_diameter_mm if HEADS[kind].recess else head.driver_diameter_mm
    major = tables.thread(size).major_mm
    rule = EDGE_RULES[str(draft.value("bolts.edge_rule") or "practice")]
    pitch = max(draft.limit(name) for name in (rule.along, rule.across)) * rule.of_mm(major, hole)
    edge = max(rule.edge_mm(size, major, hole, draft.limits)[1], rim / 2 + draft.limit("rim_to_edge")) + _SPARE_MM
    timber = family_of(draft.value("materials.keel")) == "timber"
    to_side = draft.limit("keel_edge_timber" if timber else "keel_edge_other", major)
    draft.put("bolts.kind", kind)
    draft.put("bolts.pattern.kind", "grid")
    if draft.value("bolts.pattern.kind") != "grid" or draft.value("plate.outline") is not None:
        return
    aftmost = draft.put_mm("bolts.pattern.aftmost", draft.mm("keel.end") + to_side)
    along, lines = int(draft.value("bolts.pattern.along") or 2), int(draft.value("bolts.pattern.across") or 1)
    asked = float(draft.chosen.get(PITCH, PITCHES[0])) * major
    most = rules.down_mm(draft.limit("bolt_pitch_sealing", major), draft.step_mm)
    each = draft.mm("bolts.pattern.pitch_along")
    if math.isnan(each):
        each = min(max(draft.up(asked), draft.up(pitch)), float(most))
        draft.put("bolts.pattern.pitch_along", draft.text.written(each))
    foremost = aftmost + (along - 1) * each
    long = draft.up(round_boss + foremost + edge)
    aft = draft.up(round_boss)
    apart = draft.up(pitch) if lines > 1 else 0.0
    wide_aft = draft.up(2 * round_boss) + float(draft.chosen.get(AFT, 0.0))
    wide_forward = draft.up(apart * (lines - 1) + 2.2 * edge) + float(draft.chosen.get(FORWARD, 0.0))
    draft.put("plate.outline.shape", "tapered")
    draft.put_mm("plate.outline.length", long)
    draft.put_mm("plate.outline.width_aft", wide_aft)
    draft.put_mm("plate.outline.width_forward", wide_forward)
    draft.put("plate.outline.corner_radius", draft.text.written(float(rules.down_mm(0.8 * edge, draft.step_mm))))
    draft.put("plate.offset.forward", draft.text.exact((long - 2 * aft) / 2))
    if lines > 1:
        slope = (wide_aft - wide_forward) / 2 / long
        clear = edge * math.hypot(1.0, slope)
        half = min(wide_aft / 2 - slope * (aft + u) for u in (aftmost, foremost)) - clear
        keel = draft.mm("keel.width")
        if not math.isnan(keel):
            half = min(half, keel / 2 - to_side)
        room = float(rules.down_mm(2 * half / (lines - 1), draft.step_mm))
        draft.put("bolts.pattern.pitch_across", draft.text.written(max(room, apart)))


def _head(draft: Draft, size: str, hole_mm: float) -> tuple[str, HeadSizes]:
    """The head that is said, else the first that the plate is thick enough for, and its sizes."""
    said, thick, sunk = draft.value("bolts.kind"), draft.mm("plate.thickness"), draft.mm("bolts.sunk_below")
    sunk = SUNK_MM if math.isnan(sunk) else sunk
    kinds = [str(said)] if said else [*kinds_of(size), "plain"]
    for kind in kinds:
        standards = HEADS[kind].standards
        standard = draft.value("bolts.head_standard") or (standards and standards[0 if size.upper()[0] == "M" else 1])
        head = HEADS[kind].from_table(size, standard or None, hole_mm, sunk)
        land = thick - head.head_depth_mm
        deep = head.head_depth_mm / draft.limit("countersink_share") > thick or land < draft.limit("countersink_land")
        if not (HEADS[kind].recess and deep):
            break
    return kind, head


def _bolts(made: Known) -> tuple[str, int]:
    return str(made["bolts"]["size"]), 0


SHOE = Family(
    name="rudder_shoe",
    known=with_defaults,
    axes=axes,
    fill=fill,
    notes=_NOTES,
    bolts=_bolts,
    shaft="stock.diameter",
    bearing=False,
)
