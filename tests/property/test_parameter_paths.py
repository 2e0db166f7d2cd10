"""A finding names the parameter to change: it must be one that a file can say."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Set
from dataclasses import replace
from itertools import product
from pathlib import Path

import checks_support as trial
import pytest
from hypothesis import HealthCheck, given, settings
from property.strategies import struts
from support import THOROUGH, every

from strutwright import exporters, models
from strutwright.cli import resolved
from strutwright.exporters.inspect.agreement import group_of
from strutwright.job import run_checks
from strutwright.models import checks
from strutwright.models.checks import engineering, geometry_checks
from strutwright.models.checks.engineering import CHECKS, MODULES, engineering_findings
from strutwright.models.checks.results import Results
from strutwright.models.families import in_own_words
from strutwright.models.finding import Finding
from strutwright.models.spec import Strut
from strutwright.models.struts import Struts
from strutwright.params import checks as check_tables
from strutwright.params import explain, limits
from strutwright.params.families import root
from strutwright.params.loader import shipped
from strutwright.params.part_kinds import FAMILIES, STRUT

OF_FAMILY = {family: set(explain.all_paths(root(family))) for family in FAMILIES}
"""What a file of each kind of part can say."""
KNOWN = set().union(*OF_FAMILY.values())
TOPS = sorted(p for p in KNOWN if "." not in p)
# A worked example in a docstring works on what is made of a file, whose names are others.
EXAMPLE = re.compile(r"^ *>>>.*$", re.MULTILINE)
# A dotted path that begins with a group of the file; * stands for what a sentence puts in while it runs.
IN_TEXT = re.compile(rf"(?<![\w./-])((?:{'|'.join(TOPS)})(?:\[[\d*]*\])?(?:\.[a-z_*]+(?:\[[\d*]*\])?)+)")
# Values that `values` prints and no file says; only resolve notes them, no finding names them.
RECORDED = {
    "arms.station",
    "barrel.bore_lower",
    "barrel.bore_upper",
    "bolts.head_diameter",
    "bolts.hole",
    "flange.station",
    "foot.square_to_shaft",
    "web.station",
    "hull.athwart_tilt",
    "hull.trace_to_projection",
}


# Codes of rows of the inspection record, which are no parameters.
CODES = {
    *("barrel.outside", "barrel.coaxiality", "spigot.outside"),
    *("flange.hole*", "flange.holes", "flange.recess", "flange.station", "flange.true"),
}


def is_parameter(path: str, known: Set[str] = KNOWN) -> bool:
    """Return whether a file can say a path; * stands for any word."""
    plain = re.sub(r"\[[\d*]*\]", "", path).rstrip(".")
    if "*" not in plain:
        return plain in known
    like = re.compile(re.escape(plain).replace(r"\*", "[a-z_.]*"))
    return any(like.fullmatch(k) for k in known)


def wrong(findings: list[Finding], family: str = STRUT) -> set[tuple[str, str]]:
    """Return (code, path) of each path of findings that no file of a kind of part can say, of parameter, advice and
    words."""
    out = set()
    for f in findings:
        for path in (
            f.parameter,
            *f.missing,
            *(m[1] for m in IN_TEXT.finditer(str(f.advice))),
            *(m[1] for m in IN_TEXT.finditer(str(f.what))),
        ):
            if not is_parameter(path, OF_FAMILY[family]):
                out.add((f.code, path))
    return out


# --- as they come out -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [n for n in shipped() if n != "failing/many-faults"])
def test_findings_of_every_shipped_set_name_parameters(name: str) -> None:
    made = resolved(name)
    for hand in made.hands():
        assert wrong(run_checks(made, hand), made.strut.family) == set()


CHANGES: list[trial.Said] = [
    {},
    {"propeller": None, "duty": None},
    {"barrel": {"outside_diameter": 90}},
    {"hull": {"drop": {"square_to_shaft": 120}}},
    {"palm": {"thickness": 7}},
]


@pytest.mark.parametrize(("variant", "change"), every(list(product(sorted(trial.VARIANTS), CHANGES)), 2))
def test_findings_of_trial_sets_name_parameters(variant: str, change: trial.Said) -> None:
    if variant == "tube":  # whose barrel has the tube's outside
        change = {k: v for k, v in change.items() if k != "barrel"}
    made = trial.read(trial.said(variant, change))
    assert wrong(run_checks(made)) == set()


@settings(max_examples=40 if THOROUGH else 20, deadline=None, suppress_health_check=list(HealthCheck))
@given(struts())
def test_findings_of_random_struts_name_parameters(strut: Strut) -> None:
    assert wrong(geometry_checks(strut)) == set()
    assert wrong(engineering_findings(strut)) == set()


@pytest.mark.parametrize("name", ["canal-tender", "deadwood-cutter"])
def test_what_cannot_be_worked_out_names_a_parameter_too(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every group of checks and every module of the engineering that looks at a kind of part, broken on purpose."""
    strut = resolved(name).strut
    family = strut.family

    def fall(*_: object) -> None:
        raise ValueError("on purpose")

    def told(findings: list[Finding]) -> list[Finding]:
        return [in_own_words(f, family) for f in findings]

    bench = Results(Struts.of(strut), limits.standard())
    for module in checks.OF_FAMILY[family]:
        bench.run(fall, module.CHECKS)
    assert len(bench.findings) == len(checks.OF_FAMILY[family])
    assert wrong(told(bench.findings), family) == set()
    for looked in MODULES.values():
        monkeypatch.setattr(looked, "numbers", fall)
    broken = engineering_findings(strut)
    assert len(broken) == len(engineering.OF_FAMILY[family])
    assert wrong(told(broken), family) == set()
    no_shape = replace(strut, barrel=replace(strut.barrel, outside_mm=0.0))
    assert wrong(told(geometry_checks(no_shape)), family) == set()


def test_every_number_of_the_engineering_names_a_parameter() -> None:
    for number in CHECKS.values():
        assert is_parameter(number.parameter), number.code
        assert [m[1] for m in IN_TEXT.finditer(number.advice) if not is_parameter(m[1])] == [], number.code


# --- as they stand in the source ------------------------------------------------------------------------------------


def sources() -> list[Path]:
    roots = [Path(str(m.__path__[0])) for m in (models, exporters)]
    # Work at the bench names what its file of readings says.
    return sorted(p for root in roots for p in root.rglob("*.py") if p.parent.name != "bench")


def said(node: ast.AST | None) -> str | None:
    """Return a text as it stands, * for what is put in while it runs; None for what is no text."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(str(v.value) if isinstance(v, ast.Constant) else "*" for v in node.values)
    return None


def named(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Yield (line, path) of every text that is given where a function or a table takes `parameter`."""
    takers = {"Finding": 11}
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            names = [a.arg for a in node.args.args]
            if "parameter" in names:
                takers[node.name] = names.index("parameter") - (names[0] == "self")
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        name = (
            node.func.id
            if isinstance(node.func, ast.Name)
            else node.func.attr
            if isinstance(node.func, ast.Attribute)
            else ""
        )
        at = takers.get(name)
        given_ = [k.value for k in node.keywords if k.arg == "parameter"]
        if at is not None and at < len(node.args):
            given_.append(node.args[at])
        for value in given_:
            options = [value.body, value.orelse] if isinstance(value, ast.IfExp) else [value]
            for option in options:
                text = said(option)
                if text is not None:
                    yield node.lineno, text


def test_every_path_in_the_source_is_a_parameter() -> None:
    """Every text given as `parameter`, and every dotted path in any other text of checks, numbers and builders."""
    bad, seen = [], 0
    for file in sources():
        tree = ast.parse(file.read_text(encoding="utf-8"))
        for line, path in named(tree):
            seen += 1
            if not is_parameter(path):
                bad.append(f"{file.name}:{line}: {path or 'no path'}")
        pieces = {id(v) for n in ast.walk(tree) if isinstance(n, ast.JoinedStr) for v in n.values}
        for node in ast.walk(tree):
            text = said(node) if id(node) not in pieces else None
            for found in IN_TEXT.finditer(EXAMPLE.sub("", text or "")):
                path = found[1].rstrip(".")
                if (
                    not is_parameter(path)
                    and not (file.parent.name == "resolve" and (path in RECORDED or path == "hull.drop.*_at_*"))
                    and "palm.holes" not in path
                    and not (file.parent.name == "sheets" and path in CODES)
                ):
                    bad.append(f"{file.name}:{getattr(node, 'lineno', 0)}: {path}")
    assert bad == []
    assert seen > 40


def test_every_path_in_the_tables_of_checks_is_a_parameter() -> None:
    """The path of each row, where it is not filled in whole, and every dotted path in its words."""
    bad, seen = [], 0
    texts = [(r.code, r.parameter, (r.meaning, r.advice)) for r in check_tables.rows()]
    texts += [
        (r.code, said_.parameter, (said_.what, said_.advice))
        for rows in check_tables.geometry_rows().values()
        for r in rows
        for said_ in r.forms.values()
    ]
    for code, parameter, words in texts:
        path = re.sub(r"\{[a-z_]+\}", "*", parameter)
        if path not in ("", "*") and not path.startswith("*."):
            seen += 1
            if not is_parameter(path):
                bad.append((code, parameter))
        for text in words:
            found = [m[1].rstrip(".") for m in IN_TEXT.finditer(re.sub(r"\{[a-z_]+\}", "*", text))]
            bad += [(code, path) for path in found if not is_parameter(path)]
    assert bad == []
    assert seen > 150


@pytest.mark.parametrize(
    ("part", "group"),
    [
        ("barrel", "barrel"),
        ("strut", "barrel"),
        ("port arm", "arms"),
        ("palm", "palm"),
        ("skeg", "skeg"),
        ("bead of arm and palm", "arms"),
    ],
)
def test_a_part_that_is_measured_again_is_named_by_its_group(part: str, group: str) -> None:
    assert group_of(part) == group
    assert is_parameter(group_of(part))
