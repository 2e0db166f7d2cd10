"""The names of output files: drawing number, hand, size, part. Nobody cuts the wrong one by its name.

A file of the finished part and one at pattern size never have names that could be taken for each other, and the hand of
the strut stands before the part, so that the port half of a pattern is not taken for the pattern of the port strut.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from strutwright.exporters.files.outdir import slug
from strutwright.models.families import plain
from strutwright.params.schema import UNNUMBERED

if TYPE_CHECKING:
    from strutwright.models.shop.foundry import FoundrySpec
    from strutwright.models.spec import Identity, Strut

_HANDS = {"port": "-p-port-hand", "starboard": "-s-starboard-hand", "centre": "-centre"}


def stem(identity: Identity) -> str:
    """Return how the name of every file of one hand begins: the drawing number, or the strut's name where there is
    none, and the hand, by its letter in the number and in words."""
    numbered = identity.drawing_number != UNNUMBERED and any(
        c.isascii() and c.isalnum() for c in identity.drawing_number
    )
    return slug(identity.drawing_number if numbered else identity.name) + _HANDS[identity.hand]


def finished(strut: Strut, part: str = "") -> str:
    """Return the name (without ending) of a file that shows a part at the size it is finished to."""
    return f"{stem(strut.identity)}-finished-size" + (f"-{own_name(strut, part)}" if part else "")


def pattern_size(strut: Strut, spec: FoundrySpec, part: str) -> str:
    """Return the name (without ending) of a file at pattern scale; the contraction that is in is part of it."""
    larger = 100.0 * (spec.factor - 1.0)
    return f"{stem(strut.identity)}-pattern-size-{larger:.2f}-percent-{own_name(strut, part)}"


def own_name(strut: Strut, part: str) -> str:
    """Return a part's name in a file's name, in the words of its family, whether it is given as words or as a slug."""
    return slug(plain(slug(part).replace("-", " "), strut.family))
