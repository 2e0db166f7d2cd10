"""Sizing by kind of part: how the lightest set of each is sought."""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping

from strutwright.models.sizing.flange_size import FAMILY, size_flanged
from strutwright.models.sizing.hanger_size import HANGER
from strutwright.models.sizing.let_in_size import LET_IN
from strutwright.models.sizing.one_by_one import size_one_by_one
from strutwright.models.sizing.search import Sized, size
from strutwright.models.sizing.set_text import Known
from strutwright.models.sizing.shoe_size import SHOE
from strutwright.params.limits import Limits
from strutwright.params.part_kinds import STRUT

SIZED: Mapping[str, Callable[[Known, Limits | None], Sized]] = {
    STRUT: size,
    FAMILY: size_flanged,
    **{family.name: functools.partial(size_one_by_one, family) for family in (LET_IN, SHOE, HANGER)},
}
"""By the word of the part: what returns complete sets for what is known, those of least weight and drag first."""
