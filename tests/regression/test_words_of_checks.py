"""What a rule fills into the words of its check stands in the row, and what the row has names for is filled in.

Read from the source, so that a branch that few struts reach is looked at as well.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import Any

import checks_support as trial
import pytest
from checks_broken import BREAKS
from support import SETS, THOROUGH

from strutwright.job import run_checks
from strutwright.models import checks
from strutwright.models.checks.check import Check
from strutwright.models.resolve import resolve
from strutwright.models.shop.foundry import foundry_settings
from strutwright.models.shop.pattern_findings import pattern_findings
from strutwright.params.loader import load, shipped

OPTIONS = {"also", "per", "hard", "unit", "warn", "where", "share", "demand", "source", "standing"}
OWN = {"what", "parameter", "advice"}
CALLS = [
    (module, node)
    for module in (*checks.GEOMETRY, checks.flange, checks.said)
    for node in ast.walk(ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8")))
    if isinstance(node, ast.Call)
]


def filled(module: Any, call: ast.Call) -> tuple[Check, str, set[str]] | None:
    """Return the check, the form and the names that a call fills in; None for other calls."""
    finds = isinstance(call.func, ast.Attribute) and call.func.attr in ("least", "most", "within", "holds", "inform")
    if not finds or not call.args or not isinstance(call.args[0], ast.Name):
        return None
    check = getattr(module, call.args[0].id, None)
    if not isinstance(check, Check):
        return None
    given = {k.arg: k.value for k in call.keywords if k.arg is not None}
    form = given.pop("form", ast.Constant(""))
    assert isinstance(form, ast.Constant)
    return check, str(form.value), set(given) - OPTIONS


def test_names_in_the_words_are_filled_in() -> None:
    seen = set()
    for module, call in CALLS:
        found = filled(module, call)
        if found is None:
            continue
        check, form, names = found
        said = check.forms[form]
        seen.add((check.code, form))
        texts = {"what": said.what, "parameter": said.parameter, "advice": said.advice}
        used = {n for key, text in texts.items() if key not in names for n in re.findall(r"\{([a-z_]+)\}", text)}
        assert used - {"need"} == names - OWN, (check.code, form, used ^ names)
    every = {
        (c.code, form) for m in (*checks.GEOMETRY, checks.flange, checks.said) for c in m.CHECKS for form in c.forms
    }
    worded = {(c, f) for c, f in every if any((checks.CHECKS[c].forms[f].what, checks.CHECKS[c].forms[f].advice))}
    assert worded <= seen, worded - seen


@pytest.mark.parametrize("name", [*SETS, "failing/thin-and-crowded", "failing/barrel-cut-in-two"])
def test_a_line_has_one_colon(name: str) -> None:
    """The thing, then its numbers or why there are none: `x: y: 3 mm` leaves a reader to guess what belongs to what."""
    resolved = resolve(load(shipped()[name]))
    found = run_checks(resolved)
    if resolved.strut.construction == "cast":
        found = [*found, *pattern_findings(resolved.strut, foundry_settings(resolved))]
    assert [words for f in found for words in trial.colons(f)] == []


def test_a_broken_check_has_one_colon_to_a_line() -> None:
    bare = {"propeller": None, "duty": None}
    struts = [trial.strut(variant, change) for _, variant, change, _ in BREAKS[:: 1 if THOROUGH else 3]]
    found = [f for strut in (*struts, trial.strut("single", bare)) for f in checks.geometry_checks(strut)]
    assert len(found) > 1000
    assert [words for f in found for words in trial.colons(f)] == []


def test_a_name_that_no_row_has_is_an_error() -> None:
    from support import example_strut

    from strutwright.models.checks.results import Results
    from strutwright.models.struts import Struts
    from strutwright.params import limits

    out = Results(Struts.of(example_strut("single")), limits.standard())
    with pytest.raises(TypeError, match="bearing_pocket has no words with hrad"):
        out.most(checks.bearing.POCKET, 1.0, 2.0, hrad=1.0)
