"""What sizing has to know of a hanger: its web, the foot with its bolts, and the cap where the barrel is split."""

from __future__ import annotations

import math

from strutwright.models import rules
from strutwright.models.bolt_heads import HEADS
from strutwright.models.edge_rules import EDGE_RULES
from strutwright.models.sizing.known import SizingError, begun, metal_by, shaft_by_power, value_at
from strutwright.models.sizing.one_by_one import (
    Axis,
    Draft,
    Family,
    bearing_outside_mm,
    bolt_sizes,
    bores,
    lengths,
    numbers,
    open_axes,
    stock,
)
from strutwright.models.sizing.set_text import Known
from strutwright.params import tables
from strutwright.params.limits import Limits
from strutwright.params.quantity import ANGLE, LENGTH

ALONG, CAP_ALONG = (2, 3, 4), (2, 3, 1)
"""Bolts along the foot, and on each side of a cap, that are tried."""
WALLS, WEBS, FEET = (0.2, 0.6), (0.15, 1.2), (0.25, 1.0)
"""Walls of the barrel, thicknesses of web and foot that are looked at, in shafts."""
POCKET_MM = 4.0
"""How much longer than its bearing the barrel is: its ends stand clear of the bearing; common practice."""
TURNED_DEG = 35.0
"""Turn of the cap where the foot stands beside the shaft, so that the shaft's weight does not lie in the split."""
SHIMS_MM = (0.05, 0.1, 0.2, 0.3, 0.5, 0.8)
"""Shims of the split that are to be had; common practice, no source."""
_SPARE_MM = 0.3
_NOTES = {
    "bearing": "Measure the bearing in hand and give its sizes: the bore is made to it.",
    "barrel": "Sizes that were left open: found by the search.",
    "cap": "The bore is machined with all shims in; one on each side is left out so that the cap grips the bearing.",
    "web": "Sizes that were left open: found by the search.",
    "foot": "height: shaft line over the bedding face, square to it, as measured on the boat.",
    "bolts": "Size, number and places of the bolts: what was left open found by the search.",
    "under_foot": "With it the bore is brought to its height: it makes up what bed, bore and line may be off.",
}


def with_defaults(known: Known, limits: Limits) -> Known:
    """Return what is known with the plainest assumption for what a hanger cannot do without. Raises SizingError.

    Construction and metal by the bed, as struts by their hull; the foot above the shaft; the shaft from power and
    speed.

    >>> known = {"shaft": {"diameter": 40, "bearing_span": 1500}, "line": {"aft": 1400, "water": "around"}}
    >>> known |= {"materials": {"base": "S275"}, "foot": {"height": 120}}
    >>> with_defaults(known, standard())["construction"]
    'welded'
    """
    said = begun(known, "identity materials shaft line barrel web foot bolts base duty", "Sized hanger")
    for group, name, words in (
        ("materials", "base", "what the foot is bolted to is not known: give its material (--base-material)"),
        ("foot", "height", "the height of the shaft line over the bed is not known: give it (--height)"),
        ("shaft", "bearing_span", "the distance to the next bearing forward is not known: give it (--bearing-span)"),
        ("line", "aft", "the distance to the next bearing aft is not known: give it (--span-aft)"),
        ("line", "water", "how water comes to the bearing is not known: around or fed (--water)"),
    ):
        if name not in said[group]:
            raise SizingError(words)
    said["foot"].setdefault("stands", "above")
    metals = said["materials"]
    metal_by(said, "base", "hanger", "base")
    if "diameter" not in said["shaft"]:
        said["shaft"]["diameter"] = shaft_by_power(said, limits, str(metals["hanger"]))
    return said


def axes(said: Known, limits: Limits) -> tuple[Axis, ...]:
    """Return what is open: wall, web, foot, the bolts of the foot, the ears of a cap and its bolts.

    >>> known = {"shaft": {"diameter": 40, "bearing_span": 1500}, "line": {"aft": 1400, "water": "around"}}
    >>> known |= {"materials": {"base": "S275"}, "foot": {"height": 120}}
    >>> [a.path for a in axes(with_defaults(known, standard()), standard())][:3]
    ['barrel.wall', 'web.length', 'web.thickness']
    """
    d, inch = value_at(said, "shaft.diameter", LENGTH), said["units"] == "in"
    assert d is not None
    long = value_at(said, "barrel.length", LENGTH) or _bearing_mm(said, d, limits) + POCKET_MM
    plate = stock if said["construction"] == "welded" else lengths
    least_foot = max(limits["palm_thickness"].value, limits["foot_thickness"].value, FEET[0] / 2) * d
    kind = said["bolts"].get("kind", "plain")
    low, high = limits["bolt_size_least"].value * d, limits["bolt_size_most"].value * d
    sizes = bolt_sizes(low, high, kind, inch=inch)
    wall = max(limits["barrel_wall"].value, WALLS[0]) * d
    out = [
        lengths("barrel.wall", WALLS[0] * d, max(WALLS[1] * d, 2 * wall), 1.2 * wall, inch=inch),
        lengths("web.length", 0.35 * long, 0.98 * long, 0.7 * long, inch=inch),
        plate("web.thickness", WEBS[0] * d, WEBS[1] * d, 0.5 * d, inch=inch),
        plate("foot.thickness", least_foot, max(FEET[1] * d, 2 * least_foot), 1.3 * least_foot, inch=inch),
        numbers("bolts.size", sizes, sizes[len(sizes) // 2]),
    ]
    if (said["bolts"].get("pattern") or {}).get("kind", "grid") == "grid":
        out.append(numbers("bolts.pattern.along", ALONG, ALONG[0]))
    if "outside_diameter" in said["barrel"]:
        out = out[1:]
    if said.get("cap"):
        small = bolt_sizes(low, high, "plain", inch=inch)
        out += [
            lengths("cap.ear_thickness", 0.15 * d, 0.7 * d, 0.4 * d, inch=inch),
            numbers("cap.bolts.size", small, small[len(small) // 2]),
            numbers("cap.bolts.on_each_side", CAP_ALONG, CAP_ALONG[0]),
        ]
    return open_axes(said, *out, *bores(said))


def _bearing_mm(said: Known, d: float, limits: Limits) -> float:
    one = said.get("bearing")
    each = one if isinstance(one, list) else [one or {}]
    usual = rules.bearing_length_shafts(limits) * d
    found = [value_at({**said, "bearing": b}, "bearing.length", LENGTH) or usual for b in each]
    return sum(found) + 3.0 * (len(found) - 1)


def fill(draft: Draft) -> None:
    """Put in what follows: length of the barrel, foot and bolts round the web, shims under the foot, the cap.

    >>> known = {"shaft": {"diameter": 40, "bearing_span": 1500}, "line": {"aft": 1400, "water": "around"}}
    >>> known |= {"materials": {"base": "S275"}, "foot": {"height": 120, "thickness": 16}}
    >>> known |= {"web": {"length": 100, "thickness": 20}, "bolts": {"size": "M12", "pattern": {"along": 2}}}
    >>> draft = Draft(with_defaults(known, standard()), standard(), {})
    >>> fill(draft)
    >>> draft.made["foot"]["outline"]["shape"], draft.made["under_foot"]["kind"]
    ('rectangle', 'shims')
    """
    d = draft.mm("shaft.diameter")
    draft.put_mm("barrel.length", _bearing_mm(draft.made, d, draft.limits) + POCKET_MM)
    _foot(draft)
    if not draft.made.get("under_foot"):
        off = ("bed_within", 1.0), ("bore_within", 0.2), ("line_within", 0.5)
        reach = sum(mm for _, mm in off)
        least = draft.put_mm("under_foot.least", 1.0)
        thick = draft.put_mm("under_foot.thickness", least + reach)
        draft.put_mm("under_foot.most", thick + reach)
        draft.put("under_foot.kind", "shims")
        for name, mm in off:
            draft.put_mm(f"under_foot.{name}", mm, exact=True)
    if draft.made.get("cap"):
        _cap(draft, d)


def _foot(draft: Draft) -> None:
    """The bolts as near round the web's foot as heads and tools let them, the foot round both."""
    size, kind = str(draft.value("bolts.size")), str(draft.value("bolts.kind") or "plain")
    hole = tables.clearance_hole_mm(size, str(draft.value("bolts.hole_fit") or "medium"))
    head = HEADS[kind].from_table(size, None, hole, 0.0)
    major = tables.thread(size).major_mm
    rim = head.head_diameter_mm if HEADS[kind].recess else head.driver_diameter_mm
    rule = EDGE_RULES[str(draft.value("bolts.edge_rule") or "practice")]
    pitch = max(draft.limit(name) for name in (rule.along, rule.across)) * rule.of_mm(major, hole)
    edge = max(rule.edge_mm(size, major, hole, draft.limits)[1], rim / 2 + draft.limit("rim_to_edge")) + _SPARE_MM
    turned, across, profile = (
        math.radians(abs(value_at(draft.made, f"foot.skew.{n}", ANGLE) or 0.0)) for n in ("turned", "across", "profile")
    )
    long, thick = (_at_foot(draft, name) for name in ("length", "thickness"))
    root = _root_mm(draft, thick)
    low, ends = root / math.tan((math.pi / 2 - across) / 2), root / math.tan((math.pi / 2 - profile) / 2)
    half = thick / 2 / math.cos(across)
    tool = draft.limit("driver_height") * math.tan(across) + head.driver_diameter_mm / 2 + draft.limit("driver_to_arm")
    beside = half + max(low + rim / 2 + draft.limit("rim_to_root"), tool) + _SPARE_MM
    beside = beside * math.cos(turned) + long / 2 * math.sin(turned)
    draft.put("bolts.kind", kind)
    draft.put("bolts.pattern.kind", "grid")
    draft.put("bolts.pattern.across", 2)
    apart = draft.put_mm("bolts.pattern.pitch_across", max(2 * beside, pitch))
    stands = (long / math.cos(profile) / 2 + ends) * math.cos(turned) + (half + low) * math.sin(turned) + 1.0
    rows = max(int(draft.value("bolts.pattern.along") or 2) - 1, 1)
    each = draft.put_mm("bolts.pattern.pitch_along", max(pitch, 2 * (stands - edge) / rows))
    draft.put("foot.outline.shape", "rectangle")
    draft.put_mm("foot.outline.length", max(rows * each + 2 * edge, 2 * stands))
    draft.put_mm("foot.outline.width", apart + 2 * edge)
    if draft.value("foot.outline.shape") == "rectangle":
        radius = float(rules.down_mm(edge - _SPARE_MM, draft.step_mm))
        draft.put("foot.outline.corner_radius", draft.text.written(radius))


def _at_foot(draft: Draft, name: str) -> float:
    own = draft.mm(f"web.{name}_at_foot")
    return draft.mm(f"web.{name}") if math.isnan(own) else own


def _root_mm(draft: Draft, thick: float) -> float:
    """The fillet or the weld's leg at the foot, as it will be."""
    foot = draft.mm("foot.thickness")
    cast = draft.value("construction") == "cast"
    said = draft.mm("web.root_fillet.foot" if cast else "welds.web_to_foot_leg")
    if not math.isnan(said):
        return said
    if cast:
        return float(rules.up_mm(rules.fillet_mm(thick, foot, draft.limits), draft.step_mm / 2))
    share = rules.leg_share(str(draft.value("welds.prep") or "none"))
    return float(rules.leg_mm(thick, foot, share, inch=draft.inch))


def _cap(draft: Draft, d: float) -> None:
    """Bolts as near to the bore as hole and seat let them, ears round them, shims that make the cap grip."""
    size = str(draft.value("cap.bolts.size"))
    major, hole = tables.thread(size).major_mm, tables.clearance_hole_mm(size, "medium")
    nut = tables.nut_and_washer(size)
    head = max(nut.washer_outside_mm, nut.across_corners_mm)
    bore = bearing_outside_mm(draft)
    near = max(
        bore / 2 + hole / 2 + draft.limit("cap_bolt_wall", major),
        bore / 2 + head / 2 + draft.limit("barrel_wall_hard", d),
        bore / 2 + draft.mm("barrel.wall") + 1.0,
    )
    out = draft.put_mm("cap.bolts.out", near + _SPARE_MM)
    draft.put_mm("cap.ear_out", out + max(draft.limit("cap_bolt_edge", major), hole) + _SPARE_MM)
    if draft.value("foot.stands") in ("port", "starboard"):
        draft.put("cap.turned", f"{TURNED_DEG:g} deg")
    least, most = draft.limit("nip_least", bore), draft.limit("nip_most", bore)
    if draft.value("cap.shims") is None:
        thick = min(SHIMS_MM, key=lambda mm: abs(mm - (least + 0.4 * (most - least))))
        draft.put("cap.shims.count", 2)
        draft.put_mm("cap.shims.thickness", thick, exact=True)
        draft.put("cap.shims.taken_out", 1)


def _bolts(made: Known) -> tuple[str, int]:
    return str(made["bolts"]["size"]), 0


HANGER = Family(name="shaft_hanger", known=with_defaults, axes=axes, fill=fill, notes=_NOTES, bolts=_bolts)
