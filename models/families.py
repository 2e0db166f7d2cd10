"""The kinds of part round the same barrel, and what each calls the things that they share with a strut.

Checks that look at a barrel, its bearing, bolts and metals are the same for all of them, and so are their words, which
are written for a strut; `in_own_words` says them of another part.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from strutwright.models.finding import Finding
from strutwright.models.spec import Strut
from strutwright.params.words import Part, Text, Words

CALLED: Mapping[str, str] = {"strut": "strut", "flanged_housing": "housing", "shaft_hanger": "hanger"}
"""What a part of each family is called in a sentence."""
_HOUSING = (
    (r"materials\.strut", "materials.housing"),
    (r"materials\.hull", "materials.base"),
    (r"hull\.thickness", "base.thickness"),
    (r"palm\.(thickness|outline|offset)", r"flange.\1"),
    (r"stock\.palm_face", "stock.bedding_face"),
    (r"(?<![\w.])hull face(?!\w|\.\w)", "bedding face"),
    (r"(?<![\w.])water face(?!\w|\.\w)", "free face"),
    (r"(?<![\w.])strut bearing(?!\w|\.\w)", "bearing"),
    (r"(?<![\w.])strut(?!\w|\.\w)", "housing"),
    (r"(?<![\w.])palm(?!\w|\.\w)", "flange"),
    (r"(?<![\w.])hull(?!\w|\.\w)", "base"),
)
_HANGER = (
    (r"materials\.strut", "materials.hanger"),
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
    (r"(?<![\w.])palm\.", "foot."),
    (r"stock\.palm_face", "stock.palm_face"),
    (r"foot palm", "foot"),
    (r"Propeller-shaft strut", "Shaft hanger"),
    (r" \(found with a plumb line and a string\)", ""),
    (r"(?i), (outboard|inboard)(?=\W|$)", ""),
    (r"vertical plane through the shaft", "plane through shaft and foot"),
    (r"VERTICAL PLANE THROUGH THE SHAFT", "PLANE THROUGH SHAFT AND FOOT"),
    (r"in from inside the boat", "in from beyond the bed"),
    (r"keep the water out", "carry the shaft"),
    (r"SEEN FROM ABOVE", "SEEN ON THE FOOT"),
    (r"SEEN FROM AFT AND BELOW", "SEEN FROM AFT AND THE CAP'S SIDE"),
    (r"[Ww]ater side", "free side"),
    (r"(?<![\w.])hull face(?!\w|\.\w)", "bedding face"),
    (r"(?<![\w.])water face(?!\w|\.\w)", "free face"),
    (r"(?<![\w.])strut bearing(?!\w|\.\w)", "bearing"),
    (r"(?<![\w.])strut(?!\w|\.\w)", "hanger"),
    (r"(?<![\w.])an arm(?!\w|\.\w)", "a web"),
    (r"(?<![\w.])arm(s?)(?!\w|\.\w)", r"web\1"),
    (r"(?<![\w.])palm(?!\w|\.\w)", "foot"),
    (r"(?<![\w.])hull(?!\w|\.\w)", "bed"),
    (r"(?<![\w.])starboard(?!\w|\.\w)", "right"),
    (r"(?<![\w.])port(?!\w|\.\w)", "left"),
    (r"(?<![\w.])HULL FACE(?!\w)", "BEDDING FACE"),
    (r"(?<![\w.])Hull face(?!\w)", "Bedding face"),
    (r"(?<![\w.])WATER FACE(?!\w)", "FREE FACE"),
    (r"(?<![\w.])Water face(?!\w)", "Free face"),
    (r"(?<![\w.])ARM(?!\w)", "WEB"),
    (r"(?<![\w.])Arm(?!\w)", "Web"),
    (r"(?<![\w.])PALM(?!\w)", "FOOT"),
    (r"(?<![\w.])Palm(?!\w)", "Foot"),
    (r"(?<![\w.])HULL(?!\w)", "BED"),
    (r"(?<![\w.])Hull(?!\w)", "Bed"),
    (r"(?<![\w.])STRUT(?!\w)", "HANGER"),
    (r"(?<![\w.])Strut(?!\w)", "Hanger"),
    (r"(?<![\w.])STARBOARD(?!\w)", "RIGHT"),
    (r"(?<![\w.])Starboard(?!\w)", "Right"),
    (r"(?<![\w.])PORT(?!\w)", "LEFT"),
    (r"(?<![\w.])Port(?!\w)", "Left"),
)
OWN_WORDS: Mapping[str, tuple[tuple[re.Pattern[str], str], ...]] = {
    "strut": (),
    "flanged_housing": tuple((re.compile(was), now) for was, now in _HOUSING),
    "shaft_hanger": tuple((re.compile(was), now) for was, now in _HANGER),
}
"""By family, what stands in the place of what."""
FACES: Mapping[str, tuple[str, str]] = {
    "strut": ("hull face", "water face"),
    "flanged_housing": ("bedding face", "free face"),
    "shaft_hanger": ("bedding face", "free face"),
}
"""The two faces of what is bolted down: the one on what it is bolted to, and the other one."""
CLOCK_ZERO: Mapping[str, str] = {"strut": "hull", "flanged_housing": "up", "shaft_hanger": "foot"}
"""What a part has at clock 0, in a word."""
HALVES: Mapping[str, tuple[str, str]] = {
    "strut": ("hull half", "water half"),
    "flanged_housing": ("upper half", "lower half"),
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


def plain(text: str, family: str) -> str:
    """Return plain words about a strut in those of a family.

    >>> plain("A strut and its palm.", "flanged_housing")
    'A housing and its flange.'
    """
    for was, now in OWN_WORDS[family]:
        text = was.sub(now, text)
    return text


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
