"""Random askings of `size` over the whole range that may be asked: refused in words, or a set that loads again, that
`check` finds as it was told, and whose broken checks have a reason.

Sources: none is needed; the program is held against itself.
"""

from __future__ import annotations

import pytest
from property.random_askings import KINDS, draw_asking
from support import THOROUGH

from strutwright.job import run_checks
from strutwright.models.finding import Verdict
from strutwright.models.resolve import resolve
from strutwright.models.sizing.kinds import SIZED
from strutwright.models.sizing.known import SizingError
from strutwright.models.sizing.proposal import stops
from strutwright.params.loader import loads
from strutwright.params.problems import ParameterError

SHORT = {"let_in_housing": (0, 2, 7), "shaft_hanger": (10, 14), "rudder_shoe": (3, 4)}
"""What once broke, and is quick."""
LONG = {family: range(40 if family == "flanged_housing" else 60) for family in KINDS}


@pytest.mark.parametrize(
    ("family", "number"), [(f, n) for f, all_of in (LONG if THOROUGH else SHORT).items() for n in all_of]
)
def test_what_is_asked_is_refused_in_words_or_told_as_it_stands(family: str, number: int) -> None:
    refused = ""
    try:
        sized = SIZED[family](draw_asking(family, number), None)
    except (SizingError, ParameterError) as error:
        refused = str(error)
    if refused:
        assert "nan" not in refused
        return
    best = sized.best
    found = {f.code: f for f in run_checks(resolve(loads(best.text))) if stops(f) or f.verdict is Verdict.WARN}
    assert set(found) == {f.code for f in (*sized.blocking(), *sized.unavoidable())}
    assert best.passes == (not any(map(stops, found.values())))
    if family != "flanged_housing":
        assert set(sized.why) >= set(found) - _NOT_SIZED
    for code in found:
        assert code in best.text  # told at its head


_NOT_SIZED = {"bearing_span"}
