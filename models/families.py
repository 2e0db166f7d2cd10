"""The kinds of part round the same barrel, and what each calls the things that they share with a strut.

Checks that look at a barrel, its bearing, bolts and metals are the same for all of them, and so are their words, which
are written for a strut; `in_own_words` says them of another part.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping
from dataclasses import replace

from strutwright.models.finding import Finding
from strutwright.models.spec import Strut
from strutwright.params.words import Part, Text, Words

CALLED: Mapping[str, str] = {
    "strut": "strut",
    "flanged_housing": "housing",
    "let_in_housing": "housing",
    "rudder_shoe": "rudder shoe",
    "shaft_hanger": "hanger",
}
"""What a part of each family is called in a sentence."""


def _whole(was: str, now: str) -> tuple[str, str]:
    """What stands in the place of whole words, which are no part of a path."""
    return rf"(?<![\w.]){was}(?!\w|\.\w)", now


_OF_HOUSINGS = (
    (r"materials\.strut", "materials.housing"),
    (r"materials\.hull", "materials.base"),
    _whole("strut bearing", "bearing"),
    _whole(r"strut(s?)", r"housing\1"),
)
"""Of both housings."""
_HOUSING = (
    *_OF_HOUSINGS,
    (r"hull\.thickness", "base.thickness"),
    (r"palm\.(thickness|outline|offset)", r"flange.\1"),
    (r"(stock)\.palm_face", r"\1.bedding_face"),
    _whole("hull face", "bedding face"),
    _whole("water face", "free face"),
    _whole(r"palm(s?)", r"flange\1"),
    _whole("hull", "base"),
)
_LET_IN = (
    *_OF_HOUSINGS,
    (r"palm\.(thickness|outline|offset)", "barrel.outside_diameter"),
    _whole("palm bolts", "screws"),
    _whole(r"palm(s?)", r"collar\1"),
    _whole("hull", "structure"),
)
_SHOE_PATHS = (
    (r"materials\.(strut|housing)", "materials.shoe"),
    (r"materials\.(hull|base)", "materials.keel"),
    (r"materials\.shaft", "materials.stock"),
    (r"(hull|base)\.thickness", "keel.thickness"),
    (r"(hull|base)\.isolated", "keel.isolated"),
    (r"(hull|base)\.density", "keel.density"),
    (r"(pattern\.stock)\.(palm_face|bedding_face)", r"\1.upper_face"),
    (r"(pattern\.stock)\.barrel_ends", r"\1.boss_ends"),
    (r"duty\.rudder_area", "rudder.area"),
    (r"barrel\.steps\[0\]\.length", "boss.floor.thickness"),
    (r"barrel\.steps\[0\]\.diameter", "boss.floor.sand_hole"),
    (r"barrel\.steps(\[0\])?", "boss.floor"),
    (r"barrel\.(ends|lead_in)\.aft", r"boss.\1.upper"),
    (r"barrel\.(ends|lead_in)\.forward", r"boss.\1.lower"),
    (r"(?<![\w.])barrel\.(?=\w)", "boss."),
    (r"(?<![\w.])bearing\.(?=\w)", "bush."),
    (r"(?<![\w.])(flange|palm)\.gasket\.thickness", "plate.bedding"),
    (r"(?<![\w.])(flange|palm)\.(?=\w)", "plate."),
    (r"(?<![\w.])shaft\.(?=\w)", "stock."),
    (r"(?<![\w.])base\.(?=\w)", "keel."),
    (r"(?<![\w.])set_screws", "locking_screws"),
)
"""What the groups of a rudder shoe's file are called in the place of those of a strut or a flanged housing."""
_SHOE = (
    *_SHOE_PATHS,
    (r"keep(s?) the water out", r"hold\1 the rudder"),
    (r"forward of mid-barrel", "below the middle of the boss"),
    (r"(barrel end|core print), aft", r"\1, upper"),
    (r"(barrel end|core print), forward", r"\1, lower"),
    (r"(aft|forward) face to bedding face, on the shaft line", r"boss's \1 face to plate's, on the axis"),
    (r"bedding face from the aft face", "plate's upper face from the boss's upper face"),
    (r"looks forward", "looks down"),
    (r"looks aft", "looks up"),
    (r"above the shaft line", "forward of the stock's axis"),
    _whole("mid-barrel", "the middle of the boss"),
    (r"barrel([ _])aft", r"boss\1upper"),
    (r"barrel([ _])forward", r"boss\1lower"),
    (r"bearing([ _])aft", r"bush\1upper"),
    (r"bearing([ _])forward", r"bush\1lower"),
    (r"(?<![\w.])up_mm", "forward_mm"),
    (r"Bedding face", "Upper face"),
    (r"Free face", "Lower face"),
    _whole("hull face", "upper face"),
    _whole("bedding face", "upper face"),
    _whole(r"(water|free) face", "lower face"),
    _whole("aft face", "upper face"),
    _whole("forward face", "lower face"),
    _whole(r"aft (end|mouth)", r"upper \1"),
    _whole(r"forward (end|mouth)", r"lower \1"),
    _whole("shaft line", "stock's axis"),
    _whole("propeller shaft", "rudder stock"),
    _whole("strut bearing", "bush"),
    _whole(r"set screw(s?)", r"locking screw\1"),
    _whole(r"Set screw(s?)", r"Locking screw\1"),
    (r", or on the spigot", ""),
    (r" and turn the spigot", ""),
    (r"0 up, positive", "0 forward, positive"),
    (r"seen from aft looking forward", "seen from above"),
    (r"positive forward", "positive downward"),
    (r"up and to port", "forward and to port"),
    (r"\+ upper edge aft", "+ forward edge up"),
    (r"\+ port edge aft", "+ port edge up"),
    (r"in plan, \+ port", "athwart, + port"),
    _whole(r"bearing(s?)", r"bush\1"),
    _whole("shaft", "stock"),
    _whole("Shaft", "Stock"),
    _whole("barrel", "boss"),
    _whole("Barrel", "Boss"),
    _whole(r"(strut|housing)(s?)", r"rudder shoe\2"),
    _whole(r"(Strut|Housing)", "Rudder shoe"),
    _whole(r"(palm|flange)(s?)", r"plate\2"),
    _whole(r"(Palm|Flange)", "Plate"),
    _whole("gasket", "bedding"),
    _whole(r"(hull|base)", "keel"),
)
_SHOE_EXACT = {
    "UP": "FORWARD",
    "FWD": "DOWN",
    "up": "forward",
    "forward": "down",
    "aft": "up",
    "Flanged stern bearing housing": "Rudder shoe",
}
_SHOE_DRAWN = (
    (r"SEEN FROM AFT AND ABOVE", "SEEN FROM ABOVE, ASLANT"),
    (r"SEEN FROM AFT", "SEEN FROM ABOVE"),
    (r"UP upward", "FORWARD ahead"),
    (r"up is up", "forward is up"),
    (r"° below", "° aft"),
    (r"shoulder (?=Ø)|shoulder(?=, diameter)", "sand hole "),
    (r"shoulder, aft end from aft face", "floor, upper side from upper face"),
    (r"sand hole , ", "sand hole, "),
    (r"bore, aft, up and down", "bore, upper end, fore and aft"),
    (r"bore, aft, athwart", "bore, upper end, athwart"),
    (r"bearing shell|bush shell", "bush"),
    (r"bore, middle, up and down", "bore, middle, fore and aft"),
    (r"bore, forward, up and down", "bore, lower end, fore and aft"),
    (r"bore, forward, athwart", "bore, lower end, athwart"),
    (r"from bearing aft end", "from bush upper end"),
    (r"from bearing fwd end", "from bush lower end"),
    (r"flange, height over all", "plate, length over all"),
    (r"gives? the place fore and aft", "gives the height"),
    (r"^TO BEDDING FACE$", "TO PLATE'S UPPER FACE"),
    (r"\bAFT FACE\b|\bBEDDING FACE\b", "UPPER FACE"),
    (r"\bFORWARD FACE\b|\bFREE FACE\b", "LOWER FACE"),
    (r"\bSET SCREW", "LOCKING SCREW"),
    (r"\bBEARING\b", "BUSH"),
    (r"\bSHAFT\b", "STOCK"),
    (r"\bBARREL\b", "BOSS"),
    (r"\bFLANGE\b", "PLATE"),
    (r"\bHOUSING\b", "RUDDER SHOE"),
    (r"\bBASE\b", "KEEL"),
    (r"\bGASKET\b", "BEDDING"),
)
_HANGER_PATHS = (
    (r"materials\.(strut|housing)", "materials.hanger"),
    (r"materials\.hull", "materials.base"),
    (r"hull\.thickness", "base.thickness"),
    (r"hull\.isolated", "base.isolated"),
    (r"hull\.drop(\.\w+)?", "foot.height"),
    (r"hull\.shaft_angle(\.\w+)?", "foot.skew"),
    (r"hull\.(backing|panel|modulus|stiffness|sandwich)(\.\w+)?", "base.thickness"),
    (r"arms\.section\.chord_at_palm", "web.length_at_foot"),
    (r"arms\.section\.thickness_at_palm", "web.thickness_at_foot"),
    (r"arms\.section\.chord", "web.length"),
    (r"arms\.section(?!\.)", "web"),
    (r"arms\.section\.", "web."),
    (r"arms\.root_fillet\.palm", "web.root_fillet.foot"),
    (r"arms\.(root_fillet|position)", r"web.\1"),
    (r"arms\.stance", "foot.skew.across"),
    (r"arms\.(rake|toe)", "web.position"),
    (r"welds\.arm_to_barrel_leg", "welds.web_to_barrel_leg"),
    (r"welds\.arm_to_palm_leg", "welds.web_to_foot_leg"),
    (r"palm\.axes", "foot.skew.turned"),
    (r"palm\.bevel", "foot.thickness"),
    (r"(?<![\w.])palm\.(?=\w)", "foot."),
)
"""What the groups of a hanger's file are called in the place of those of a strut."""
_NO_HAND = r"(?![ -](?:hand|HAND)\b)"
"""A hanger's own left and right are as seen with its foot up; its hand is the boat's."""
_HANGER = (
    *_HANGER_PATHS,
    (r"foot palm", "foot"),
    (r"hull-face", "bedding-face"),
    (r"water-face", "free-face"),
    (r"Propeller-shaft strut", "Shaft hanger"),
    (r" \(found with a plumb line and a string\)", ""),
    (r"(?i), (outboard|inboard)(?=\W|$)", ""),
    (r"vertical plane through the shaft", "plane through shaft and foot"),
    (r"in from inside the boat", "in from beyond the bed"),
    (r"TO THE INSIDE OF THE BOAT", "AWAY FROM THE BED"),
    (r"the inside of the boat may differ", "what lies beyond the bed may differ"),
    (r"from inside the hull", "from beyond the bed"),
    (r"the frames and to the hull's inside", "what lies beyond the bed"),
    (r"keep the water out", "carry the shaft"),
    (r"keeps the water out", "carries the shaft"),
    (r"[Ww]ater side", "free side"),
    _whole("hull face", "bedding face"),
    _whole("Hull face", "Bedding face"),
    _whole("water face", "free face"),
    _whole("Water face", "Free face"),
    _whole("strut bearing", "bearing"),
    _whole(r"strut(s?)", r"hanger\1"),
    _whole("Strut", "Hanger"),
    _whole("an arm", "a web"),
    _whole(r"arm(s?)", r"web\1"),
    _whole(r"Arm(s?)", r"Web\1"),
    _whole("palm", "foot"),
    _whole("Palm", "Foot"),
    _whole("hull", "bed"),
    _whole("Hull", "Bed"),
    _whole(f"starboard{_NO_HAND}", "right"),
    _whole(f"Starboard{_NO_HAND}", "Right"),
    _whole(f"port{_NO_HAND}", "left"),
    _whole(f"Port{_NO_HAND}", "Left"),
)
_HANGER_DRAWN = (
    (r"TRACE of the vertical plane$", "TRACE of the plane"),
    (r"TRACE of the vertical$", "TRACE of the plane"),
    (r"^plane through the shaft", "through shaft and foot"),
    (r"^through the shaft = its", "through shaft and foot = its"),
    (r"the shaft's vertical plane", "the plane through shaft and foot"),
    (r"\bstbd\b", "right"),
    (r"° below", "° opposite"),
    (r"VERTICAL PLANE THROUGH THE SHAFT", "PLANE THROUGH SHAFT AND FOOT"),
    (r"SEEN FROM ABOVE", "SEEN ON THE FOOT"),
    (r"SEEN FROM AFT AND BELOW", "SEEN FROM AFT AND THE SHAFT'S SIDE"),
    (r"\bHULL FACE\b", "BEDDING FACE"),
    (r"\bWATER FACE\b", "FREE FACE"),
    (r"\bARM\b", "WEB"),
    (r"\bPALM\b", "FOOT"),
    (r"\bHULL\b", "BED"),
    (r"\bSTRUT\b", "HANGER"),
    (rf"\bSTARBOARD\b{_NO_HAND}", "RIGHT"),
    (rf"\bPORT\b{_NO_HAND}", "LEFT"),
    (r", up and down$", ", toward the foot"),
    (r", athwart$", ", across"),
    (r"in the vertical plane", "in the plane through shaft and foot"),
    (r"(?<=, )vertical plane(?= \(pitch)", "in the plane through shaft and foot"),
)
_DRAWN: Mapping[str, tuple[Mapping[str, str], tuple[tuple[re.Pattern[str], str], ...]]] = {
    "rudder_shoe": (_SHOE_EXACT, tuple((re.compile(was), now) for was, now in _SHOE_DRAWN)),
    "shaft_hanger": ({}, tuple((re.compile(was), now) for was, now in _HANGER_DRAWN)),
}
"""By family, what a drawing says in the place of other words: whole texts, and within texts, before its own words."""
OWN_WORDS: Mapping[str, tuple[tuple[re.Pattern[str], str], ...]] = {
    "strut": (),
    "flanged_housing": tuple((re.compile(was), now) for was, now in _HOUSING),
    "rudder_shoe": tuple((re.compile(was), now) for was, now in _SHOE),
    "let_in_housing": tuple((re.compile(was), now) for was, now in _LET_IN),
    "shaft_hanger": tuple((re.compile(was), now) for was, now in _HANGER),
}
"""By family, what stands in the place of what."""
_OWN_PATHS = {
    "rudder_shoe": tuple((re.compile(was), now) for was, now in _SHOE_PATHS),
    "shaft_hanger": tuple((re.compile(was), now) for was, now in _HANGER_PATHS),
}
"""By family, what its groups are called in its file where those who read it call them otherwise."""
FACES: Mapping[str, tuple[str, str]] = {
    "strut": ("hull face", "water face"),
    "flanged_housing": ("bedding face", "free face"),
    "let_in_housing": ("inner face", "outer face"),
    "shaft_hanger": ("bedding face", "free face"),
    "rudder_shoe": ("upper face", "lower face"),
}
"""The two faces of what is bolted down: the one on what it is bolted to, and the other one."""
CLOCK_ZERO: Mapping[str, str] = {
    "strut": "hull",
    "flanged_housing": "up",
    "let_in_housing": "up",
    "rudder_shoe": "forward",
    "shaft_hanger": "foot",
}
"""What a part has at clock 0, in a word."""
ZERO_PARTS = ("hull", "foot")
"""Those of these words that are things, not directions."""
HALVES: Mapping[str, tuple[str, str]] = {
    "strut": ("hull half", "water half"),
    "flanged_housing": ("upper half", "lower half"),
    "let_in_housing": ("upper half", "lower half"),
    "rudder_shoe": ("forward half", "after half"),
    "shaft_hanger": ("foot half", "cap half"),
}
"""The two halves of a pattern that is parted level, the one on the positive side of the pull first."""
_FIELDS = re.compile(r"(\{[^{}]*\})")


def called(strut: Strut) -> str:
    """Return what a part is called in a sentence.

    >>> called(shipped("canal-tender")), called(shipped("deadwood-cutter"))
    ('strut', 'housing')
    """
    return CALLED[strut.family]


def own_groups(family: str) -> bool:
    """Return whether the groups of a family's file have names of their own.

    >>> own_groups("rudder_shoe"), own_groups("strut")
    (True, False)
    """
    return family in _OWN_PATHS


@functools.lru_cache(maxsize=8192)
def file_path(path: str, family: str) -> str:
    """Return the path of a value in the file of a family. path: as those who read a strut or a housing call it.

    >>> file_path("barrel.ends.aft.length", "rudder_shoe"), file_path("barrel.wall", "strut")
    ('boss.ends.upper.length', 'barrel.wall')
    """
    for was, now in _OWN_PATHS.get(family, ()):
        path = was.sub(now, path)
    return path


@functools.lru_cache(maxsize=8192)
def plain(text: str, family: str) -> str:
    """Return plain words about a strut in those of a family.

    >>> plain("A strut and its palm.", "flanged_housing")
    'A housing and its flange.'
    """
    for was, now in OWN_WORDS[family]:
        text = was.sub(now, text)
    return text


def drawn(text: str, family: str) -> str:
    """Return what stands on a drawing in the words of a family; those that have none of their own for it keep it.

    >>> drawn("SHAFT", "rudder_shoe"), drawn("FWD", "rudder_shoe"), drawn("FWD", "strut")
    ('STOCK', 'DOWN', 'FWD')
    """
    if family not in _DRAWN:
        return text
    exact, within = _DRAWN[family]
    if text in exact:
        return exact[text]
    for was, now in within:
        text = was.sub(now, text)
    return plain(text, family)


def words_of(words: Words, family: str) -> Words:
    """Return words about a strut, sizes and all, in those of a family.

    >>> words_of("the strut's weight", "flanged_housing")
    "the housing's weight"
    """
    if isinstance(words, str):
        return plain(words, family)

    def part(it: Part) -> Part:
        return words_of(it, family) if isinstance(it, (str, Text)) else it

    # The names of what is filled in stay as they are.
    pieces = _FIELDS.split(words.template)
    template = "".join(piece if piece.startswith("{") else plain(piece, family) for piece in pieces)
    return Text(template, tuple((name, part(one)) for name, one in words.parts))


def in_own_words(found: Finding, family: str) -> Finding:
    """Return a finding in the words of a family: its parameters, and what its members are called.

    >>> from strutwright.models.finding import Verdict, in_words
    >>> told = in_words("x", Verdict.WARN, "bolts in the palm", "thicken palm.thickness", "palm.thickness", group="")
    >>> mine = in_own_words(told, "flanged_housing")
    >>> mine.what, mine.parameter
    ('bolts in the flange', 'flange.thickness')
    """
    if not OWN_WORDS[family]:
        return found
    return replace(
        found,
        what=words_of(found.what, family),
        why=words_of(found.why, family),
        advice=words_of(found.advice, family),
        parameter=plain(found.parameter, family),
        missing=tuple(plain(path, family) for path in found.missing),
    )
