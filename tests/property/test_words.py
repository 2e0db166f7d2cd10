"""Every sentence in the units of the job: no millimetre in an inch file, no inch in a metric one, and the same size in
both. Definitions of the units: see test_quantities. Names keep their own units: M10, a 1 1/2 in shaft of SAE J755.
"""

from __future__ import annotations

import ast
import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from support import every

from strutwright.job import run_checks
from strutwright.models.checks import geometry_checks
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.finding import Finding
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.spec import Strut
from strutwright.params import loader
from strutwright.params.problems import ParameterError
from strutwright.params.words import Text, read
from tests.property.strategies import struts

ROOT = Path(__file__).resolve().parents[2]
SETS = {p.stem: p for p in [*loader.shipped().values(), *(ROOT / "params" / "sets" / "failing").glob("*.yaml")]}
METRIC = re.compile(r"\d ?(mm[234]?|cm3?|m|MPa|GPa|N|kN|N m|N/mm2?|kg|kW|C)\b(?![/\w])")
INCH = re.compile(r"\d ?(in[234]?|ft2?|psi|ksi|lbf|lb|hp|F)\b(?! (?:\d|a |the |inches))|\d\"")
NAMED_IN_INCHES = {"shaft_end_inch", "bolt_edge_distance", "fit_inch"}  # SAE J755 sizes, the row of an AISC table
BARE = re.compile(
    r"\b(stations?|centre|bore|radius|leg|wall|shell|depth|chord|length|about|between|by) "
    r"-?\d+(\.\d+)?(?=,|;|\.$|$| and \d| to \d+(\.\d+)?(,|;|$))"
)


def resolved(name: str) -> Resolved | None:
    try:
        return resolve(loader.load(SETS[name]))
    except ParameterError:
        return None


def texts(f: Finding) -> list[Text | str]:
    return [f.what, f.advice, f.limit_is, f.source]


def look_at(f: Finding) -> None:
    """Hold one finding to the rules."""
    shown = {
        u: [*(read(w, u) for w in texts(f)), f.measure(u), f.rests_on(u), f.about(u), f.to_do(u)] for u in ("mm", "in")
    }
    for text in shown["in"]:
        assert not METRIC.search(text), (f.code, text)
    for text in shown["mm"]:
        assert f.code in NAMED_IN_INCHES or not INCH.search(text), (f.code, text)
    for text in (*shown["mm"], *shown["in"]):
        assert not re.search(r"[{}]|\bnan\b|\binf\b", text), (f.code, text)
        assert not BARE.search(text), (f.code, text)
    for words in texts(f):
        for amount in words.amounts() if isinstance(words, Text) else ():
            assert amount.read("mm") in read(words, "mm")
            assert amount.read("in") in read(words, "in")
    assert str(f.what) == f.about("mm") == f.as_dict()["what"]


@pytest.mark.parametrize("name", every(sorted(SETS), 2))
def test_every_finding_of_a_set_is_said_in_the_units_of_the_job(name: str) -> None:
    made = resolved(name)
    for hand in made.hands() if made else ():
        for f in run_checks(made, hand):  # type: ignore[arg-type]
            look_at(f)


@settings(max_examples=15, deadline=None)
@given(strut=struts())
def test_every_finding_of_any_strut_is_said_in_the_units_of_the_job(strut: Strut) -> None:
    for f in (*geometry_checks(strut), *engineering_findings(strut, None)):
        look_at(f)


def test_the_root_on_the_palm_is_told_in_one_unit() -> None:
    # The sentence that once said `the root covers 188.1 by 2.3661 in`.
    strut = resolve(loader.load(SETS["harbour-launch"])).strut
    arm = replace(strut.arms[0], palm_root_mm=60.0)
    found = next(f for f in geometry_checks(replace(strut, arms=(arm,))) if f.code == "arm_on_palm")
    sizes = [float(n) for n in re.findall(r"([\d.]+) in\b", found.to_do("in"))]
    metric = [float(n) for n in re.findall(r"([\d.]+) mm\b", found.to_do("mm"))]
    assert len(sizes) == len(metric) == 4
    assert [25.4 * s for s in sizes] == pytest.approx(metric, abs=0.07)


FAULTS = {  # what a file may say wrong, and a size the message names
    "flutes too deep": ("bearing", {"flutes": {"depth": "2 in"}}),
    "no wall": ("barrel", {"outside_diameter": "1 in"}),
    "edge": ("palm", {"outline": {"shape": "rectangle", "length": "7 in", "width": "4 in", "corner_radius": "5 in"}}),
    "bevel": ("palm", {"bevel": {"width": "1 in", "height": "4 in"}}),
    "section": ("arms", {"section": {"shape": "ellipse", "chord": "1 in", "thickness": "3 in"}}),
    "lead-in": ("barrel", {"lead_in": {"aft": {"length": "40 in"}}}),
}


@pytest.mark.parametrize("fault", sorted(FAULTS))
def test_faults_of_an_inch_file_are_told_in_inches(fault: str) -> None:
    import yaml

    data = yaml.safe_load(SETS["day-cruiser"].read_text(encoding="utf-8"))
    group, change = FAULTS[fault]
    at = data[group][0] if isinstance(data[group], list) else data[group]
    for key, value in change.items():
        at[key] = {**at[key], **value} if isinstance(at.get(key), dict) and key != "outline" else value
    with pytest.raises(ParameterError) as caught:
        resolve(loader.loads(yaml.safe_dump(data), "changed"))
    assert re.search(r"\d in\b", str(caught.value)), str(caught.value)
    assert not METRIC.search(str(caught.value)), str(caught.value)


def test_what_values_are_taken_from_is_told_in_the_units_of_the_file() -> None:
    for name in SETS:
        made = resolved(name)
        for record in made.records if made else ():
            assert not (METRIC if made and made.said.units == "in" else INCH).search(record.note), (name, record)


def test_no_size_is_put_into_words_by_hand() -> None:
    """An f-string with a number and ` mm` behind it cannot follow the units of the job; `say` can.

    Where both units stand side by side in one choice (`... mm" if ... else ... in"`) the writer has minded them.
    """
    found = []
    for folder in ("models", "params", "src", "exporters"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            minded = {id(n) for choice in ast.walk(tree) if isinstance(choice, ast.IfExp) for n in ast.walk(choice)}
            minded |= {
                id(n)
                for function in ast.walk(tree)
                if isinstance(function, ast.FunctionDef) and function.name in MINDED
                for n in ast.walk(function)
            }
            for node in ast.walk(tree):
                if isinstance(node, ast.JoinedStr) and id(node) not in minded:
                    for one, after in zip(node.values, node.values[1:], strict=False):
                        if (
                            isinstance(one, ast.FormattedValue)
                            and isinstance(after, ast.Constant)
                            and METRIC.match("1" + str(after.value))
                        ):
                            found.append(f"{path.relative_to(ROOT)}:{node.lineno}")
    assert not found


MINDED = {
    "written",  # sizing.set_text: after `if not self.inch`
    "both_units",
    "_limits_table",  # exporters.sheets: fits, in mm and in inches beside each other
    "text",  # exporters.drawing.render: the size of an SVG
    "_threads",  # params.tables: the name of a tap drill
}  # a fault of the program, never of a user's file
