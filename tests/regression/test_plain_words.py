"""What is wrong with a file is told in the program's own words, and blames what is to blame."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import checks_support as trial
import pytest
from support import SETS, every

from strutwright import cli
from strutwright.errors import Exit
from strutwright.job import run_checks
from strutwright.models.finding import Rests, Standing, Verdict, at_least, in_words, ranked
from strutwright.models.inputs import PATHS
from strutwright.models.outline import rectangle
from strutwright.models.resolve import resolve
from strutwright.params import explain, tables
from strutwright.params.fields import NOT_KNOWN
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError, Problem
from strutwright.params.words import reason
from strutwright.show import findings_text

# Words of the libraries behind the reader and the schema.
RAW = re.compile(
    r"input should|after validation|unable to|valid (boolean|integer|string|list|dictionary|number)|"
    r"should (match|have)|value error|assertion|unexpected|scalar|token|mapping|block end|Traceback|"
    r"fractional|\bparse\b|instance of|pydantic|pattern '\^",
    re.IGNORECASE,
)
BAD: list[Any] = [
    "",
    "x",
    "x" * 200,
    "x" * 75,
    -1e9,
    1e9,
    3.5,
    7,
    True,
    [],
    {},
    [1],
    [[1]],
    {"a": 1},
    [{"a": 1}],
    "12/3/2026",
    [{}] * 70,
    "1 parsec",
    "\u0000",
]


def problems(text: str) -> list[Problem]:
    """Return the faults that reading and resolving a text tells; none when it has none."""
    try:
        resolve(loads(text, "t"))
    except ParameterError as error:
        return error.problems
    return []


def placed(path: str, value: Any) -> str:
    """Return a whole set with a value put at a dotted path."""
    base: Any = trial.said("skeg")
    at = base
    *groups, name = path.split(".")
    for group in groups:
        if not isinstance(at.get(group), dict):
            at[group] = {}
        at = at[group]
    at[name] = value
    return json.dumps(base)


def told(found: list[Problem]) -> Iterator[str]:
    for p in found:
        yield from (p.what, p.allowed, p.advice)


@pytest.mark.parametrize("top", sorted({p.partition(".")[0] for p in explain.all_paths()}))
def test_no_wrong_value_is_told_in_the_words_of_a_library(top: str) -> None:
    """Every value and group of the schema, with everything that it does not take."""
    for path in (p for p in explain.all_paths() if p.partition(".")[0] == top):
        for value in every(BAD, 2):
            for words in told(problems(placed(path, value))):
                assert not RAW.search(words), (path, value, words)


@pytest.mark.parametrize(
    ("broken", "word"),
    [
        ("shaft:\n\tdiameter: 35", "tab"),
        ("shaft:\n  diameter: 35\n\tspan: 3", "tab"),
        ("a: 'x", "quote"),
        ('a: "x\\q"', "quote"),
        ("a: {b: 1", "brace"),
        ("a: [1, 2\nb: 3", "brace"),
        ("a: b: c", "colon"),
        ("a:\n  b: 1\n c: 2", "line up"),
        ("a: 1\nb\nc: 2", "colon"),
        ("a: 1\n---\nb: 2", "---"),
        ("%YAML 9\na: 1", ""),
        ("a: 1\n  b: 2", ""),
        ("- a\nb: 1", ""),
        ("@a: 1", ""),
        ("a: `x`", ""),
        ("? [a]\n: 1", ""),
        ("a: |x\n b", ""),
    ],
)
def test_what_is_no_yaml_is_told_plainly(broken: str, word: str) -> None:
    found = problems(broken)
    assert found
    for words in told(found[:1]):
        assert not RAW.search(words), words
    assert word in f"{found[0].what} {found[0].advice}"


@pytest.mark.parametrize(
    ("path", "value", "what", "allowed"),
    [
        ("materials.anodes", "maybe", "neither yes nor no", "yes or no"),
        ("propeller.blades", 3.5, "not a whole number", "a whole number"),
        ("propeller.blades", "three", "not a whole number", "a whole number"),
        ("identity.name", "n" * 81, "too long", "at most 80 characters"),
        ("identity.revision", "", "is empty", "at least 1 character"),
        ("drawing.date", "12/3/2026", "not a date", "2026-03-12"),
        ("bearing", [{}, {}, {}], "too many entries: 3", "at most 2"),
        ("bolts.pattern.points", [{"forward": 1, "port": 2}], "too few entries: 1", "at least 2"),
        ("arms.stance", "upright", "not an angle", "square_to_bottom"),
        ("materials.strut", "bronze", "not in the table of materials", "such as tin bronze"),
    ],
)
def test_what_is_wrong_and_what_is_allowed(path: str, value: Any, what: str, allowed: str) -> None:
    found = [p for p in problems(placed(path, value)) if p.path.startswith(path)]
    assert found
    assert what in found[0].what
    assert allowed in found[0].allowed
    assert "is not in" not in found[0].allowed


@pytest.mark.parametrize(("outside", "bore"), [(70, 80), (70, 70), (96, 96.1), (60, 120)])
@pytest.mark.parametrize("variant", ["single", "vee", "two", "slots"])
def test_a_barrel_without_a_wall_blames_nothing_else(variant: str, outside: float, bore: float) -> None:
    """Chamfers and fairings that nobody gave are not told; the message names both sizes and what would do."""
    said = trial.said(variant, {"barrel": {"outside_diameter": outside, "bore": bore, "ends": None, "lead_in": None}})
    found = problems(json.dumps(said))
    assert [p.path for p in found] == ["barrel.outside_diameter"]
    assert f"{outside:g} mm over a bore of {bore:g} mm" in found[0].given
    assert f"more than {bore + 0.2:g} mm" in found[0].allowed


@pytest.mark.parametrize("name", SETS)
@pytest.mark.parametrize("outside", [5.0, 12.0, 20.0])
def test_no_message_allows_less_than_nothing(name: str, outside: float) -> None:
    data = loads(shipped()[name].read_text(encoding="utf-8")).document.data
    said: Any = data["bush"] if "bush" in data else data["bearing"]
    bearing: Any = said if isinstance(said, list) else [said]
    for one in bearing:
        one["outside_diameter"] = f"{outside} mm"
    found = problems(json.dumps(data))
    assert found
    assert any(p.path.endswith("outside_diameter") for p in found)
    for p in found:
        assert not re.search(r"than -|most -", p.allowed), p


@pytest.mark.parametrize("text", ["11 degrees", "11 deg", "11°", "1 degree"])
def test_degrees_may_be_written_out(text: str) -> None:
    assert trial.strut(
        "single", {"hull": {"shaft_angle": {"to_waterline": text}}}
    ).hull.shaft_to_waterline_deg == pytest.approx(float(text.split("°")[0].split()[0]))


@pytest.mark.parametrize("variant", ["single", "vee", "keel"])
@pytest.mark.parametrize(
    ("value", "warns"), [(0.19, True), (-0.1, True), (0.5, True), (0.0, False), (0.7, False), (9.0, False)]
)
def test_a_rise_over_a_run_is_asked_about(variant: str, value: float, warns: bool) -> None:
    """tan 10.76 deg = 0.19. No shaft of 0.19 deg is told from one that is level: the file may mean the tangent."""
    made = trial.read(trial.said(variant, {"hull": {"shaft_angle": {"to_waterline": value}}}))
    found = [f for f in run_checks(made) if f.code == "angle_may_be_tangent"]
    assert [f.verdict for f in found] == ([Verdict.WARN] if warns else [])
    if value == 0.19:
        assert "10.8 deg" in str(found[0].advice)


@pytest.mark.parametrize("name", ["failing/thin-and-crowded", "harbour-launch", "coaster-steel"])
def test_limit_used_is_what_the_two_numbers_make(name: str) -> None:
    """4 mm against at least 8 mm use 200 % of the limit, as 20 mm against at most 10 mm do."""
    found = run_checks(resolve(load(shipped()[name])))
    text = findings_text(found, "mm", every=True)
    number = r"(-?[\d.]+)(?: [A-Za-z]\S*)?"
    words = r"(?:limit is )?(\d+) % of (?:limit|it)"
    told = re.findall(rf": {number} against at (least|most) {number}, {words}$", text, re.MULTILINE)
    assert {side for _, side, _, _ in told} == {"least", "most"}
    for actual, side, limit, percent in ((float(a), s, float(b), float(c)) for a, s, b, c in told):
        over, under = (limit, actual) if side == "least" else (actual, limit)
        assert percent * under == pytest.approx(100 * over, rel=0.01, abs=under)
    share = r"((?:over )?\d+ %) of (?:limit|it)$"
    assert re.findall(share, text, re.MULTILINE) == [u for f in ranked(found) if (u := f.limit_used())]


def test_no_share_of_a_limit_is_told_where_it_says_nothing() -> None:
    """Two values that were given for one thing are apart by so much; and nothing, or less, of what is asked for."""
    drops = trial.read(trial.said("single", {"hull": {"drop": {"vertical": 390}}}))
    (found,) = [f for f in run_checks(drops) if f.code == "hull_inputs_agree"]
    assert found.fails
    assert "also over the hard limit of" in found.about("mm")
    assert found.limit_used() == ""
    rests: Rests = {"source": "", "standing": Standing.GEOMETRY, "parameter": "", "group": ""}
    none = at_least("x", "wall", 0.0, 5.0, "mm", advice="", **rests)
    assert none.fails
    assert (none.limit_used(), replace(none, demanded=0.0, utilisation=0.0).limit_used()) == ("", "")
    assert replace(none, actual=0.1, utilisation=50.0).limit_used() == "over 999 %"


@pytest.mark.parametrize(
    ("text", "path", "advice"),
    [
        ("propeller: {diameter 500, blades: 3}", "propeller.diameter 500", "write `diameter: 500`"),
        ("duty: {powr}", "duty.powr", "write `power`"),
        ("palm:\n  bevvel:\n", "palm.bevvel", "write `bevel`"),
        ("proppeller:\n", "proppeller", "write `propeller`"),
        ("bearing: [{lenght}]", "bearing[0].lenght", "write `length`"),
        ("shaft: {diameter: 45,5}", "shaft.5", "write the decimal sign as a point, if this is the end of a number"),
    ],
)
def test_a_wrong_name_is_told_also_where_it_has_no_value(text: str, path: str, advice: str) -> None:
    (found,) = [p for p in problems(text) if p.what != "is missing"]
    assert (found.path, found.what, found.advice) == (path, "is not a known key", advice)


@pytest.mark.parametrize("text", ["duty: {power}", "palm:\n  bevel:\n", "propeller:\n"])
def test_a_right_name_without_a_value_says_nothing(text: str) -> None:
    assert [p for p in problems(text) if p.what != "is missing" and p.path != "palm"] == []


def left_out() -> dict[str, str]:
    """What `meaning` says of leaving out a value for which no default stands, by path."""
    every = [explain.meaning(path) for path in explain.all_paths()]
    return {m.path: m.left_out for m in every if not (m.members or m.required or m.default)}


def without(data: Any, names: list[str]) -> bool:
    """Take a value out of a set; return whether it was there."""
    if isinstance(data, list):
        return sum(without(one, names) for one in data) > 0
    if len(names) > 1:
        return names[0] in data and without(data[names[0]], names[1:])
    return data.pop(names[0], None) is not None


def test_what_is_told_of_leaving_a_value_out_is_so() -> None:
    """What is derived, `values` shows; what is not known, nothing puts a value to; the rest is not recorded either."""
    sets = [load(shipped()[name]).document.data for name in SETS]
    recorded: dict[str, set[str]] = {}

    def resolved(data: Any) -> set[str]:
        for r in (records := resolve(loads(json.dumps(data))).records):
            recorded.setdefault(re.sub(r"\[\d+\]", "", r.path), set()).add(r.origin)
        return {re.sub(r"\[\d+\]", "", r.path) for r in records}

    for data in sets:
        resolved(data)
    told = left_out()
    taken = 0
    for path, words in told.items():
        if recorded.get(path, set()) & {"derived", "table"} or path == "hull.run":
            continue
        for data in sets:
            less = json.loads(json.dumps(data))
            if without(less, path.split(".")):
                taken += 1
                if "must be given" in words:
                    assert problems(json.dumps(less)), (path, words)
                else:
                    assert (path in resolved(less)) == words.startswith("derived; "), (path, words)
                break
    assert taken > 20
    derived = {path for path, words in told.items() if words.startswith("derived; ")}
    assert [p for p in derived if not recorded.get(p, set()) & {"derived", "table"}] == [
        "barrel.tube.outside_tolerance"  # no shipped set has a tube
    ]
    unknown = {path for path, words in told.items() if words == NOT_KNOWN}
    assert {"hull.thickness", "shaft.bearing_span", "duty.power", "propeller.hub_gap"} <= unknown
    assert unknown - {"duty.engine_speed", "duty.gear_ratio"} <= set(PATHS.values()) | {
        "shaft.bearing_span",
        "shaft.engine_rise",
    }


def test_one_failure_is_one() -> None:
    hints = [in_words("x", v, "a thing", "", "", group="palm") for v in (Verdict.HINT, Verdict.INFORMATION)]
    failures = [in_words("y", verdict, "a thing", "", "", group="palm") for verdict in (Verdict.FAIL, Verdict.WARN)]
    assert "3 checks: 1 failure, 1 warning, 0 not checked, 0 within, 1 hint; 1 for information\n" in findings_text(
        [*hints, *failures], "mm", every=False
    )
    assert "6 checks: 2 failures, 2 warnings, 0 not checked, 0 within, 2 hints; 2 for information\n" in findings_text(
        2 * [*hints, *failures], "mm", every=False
    )


def test_engine_speed_is_known() -> None:
    assert problems(placed("duty", {"engine_speed": 2600, "gear_ratio": 2})) == []


@pytest.mark.parametrize(
    ("path", "value", "advice"),
    [
        ("engine_speed", 2600, "write it in the group `duty`"),
        ("shaft.engine_speed", 2600, "write it in the group `duty`"),
        ("duty.engine_sped", 2600, "write `engine_speed`"),
        ("duty.nonsense", 1, "remove it"),
    ],
)
def test_a_name_in_the_wrong_place_is_sent_to_the_right_one(path: str, value: float, advice: str) -> None:
    (found,) = problems(placed(path, value))
    assert (found.path, found.advice) == (path, advice)


def test_a_bottom_that_rises_asks_which_side_the_strut_stands_on() -> None:
    """One flat palm on the centre line cannot lie on a V bottom: the keel, port or starboard may be meant."""
    (found,) = problems(
        json.dumps(trial.said("single", {"identity": {"hand": "centre"}, "hull": {"deadrise": "14 deg"}}))
    )
    assert found.path == "identity.hand"
    assert "port or to starboard?" in found.what
    assert "14 deg" in found.given
    assert found.allowed.startswith("port, starboard or pair")


@pytest.mark.parametrize("command", [["build", "--only", "tables"], ["study", "--vary", "palm.thickness=20,22"]])
def test_a_file_on_the_way_to_the_output_folder_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], command: list[str]
) -> None:
    (tmp_path / "notes").write_text("a file", encoding="utf-8")
    out = tmp_path / "notes" / "2026" / "out"
    assert cli.main([command[0], "harbour-launch", *command[1:], "--out", str(out)]) == Exit.UNUSABLE
    assert f"{tmp_path / 'notes'} is not a folder" in capsys.readouterr().err


@pytest.mark.parametrize("command", [["start", "{}", "--like", "harbour-launch"], ["check", "{}"], ["build", "{}"]])
def test_the_folder_that_is_not_there_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], command: list[str]
) -> None:
    path = tmp_path / "struts" / "2026" / "mine.yaml"
    assert cli.main([word.format(path) for word in command]) == Exit.UNUSABLE
    err = capsys.readouterr().err
    assert f"{tmp_path / 'struts'} is not there" in err
    (tmp_path / "struts").write_text("a file", encoding="utf-8")
    assert cli.main([word.format(path) for word in command]) == Exit.UNUSABLE
    assert f"{tmp_path / 'struts'} is not a folder" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("fall", "words"),
    [
        (lambda: 1.0 / 0.0, ""),
        (lambda: [][3], ""),
        (lambda: {}["x"], ""),
        (lambda: __import__("math").sqrt(-1), ""),
        (lambda: __import__("numpy").zeros(3).reshape(2, 2), ""),
        (lambda: tables.thread("M11"), "'M11'"),
        (lambda: rectangle(-1, 2, 0).validate(), "above 0"),
    ],
)
def test_a_check_that_falls_over_says_only_what_a_person_understands(fall: Any, words: str) -> None:
    try:
        fall()
    except Exception as error:
        said = str(reason(error))
    assert (words in said) if words else said == ""
    assert not re.search("division|index|domain|reshape", said)


# --- a bolt head by its own sizes -----------------------------------------------------------------------------------


@pytest.mark.parametrize("variant", ["single", "vee", "keel"])
@pytest.mark.parametrize(("size", "kinds"), [("M24", {"counterbored", "plain"}), ("M30", {"counterbored", "plain"})])
def test_a_head_without_a_row_is_told_with_what_else_works(variant: str, size: str, kinds: set[str]) -> None:
    found = problems(json.dumps(trial.said(variant, {"bolts": {"size": size}})))
    assert [p.path for p in found] == ["bolts.size"]
    assert found[0].given == size
    assert "M20" in found[0].allowed
    assert "head: {diameter: ..., angle: ...}" in found[0].advice
    for kind in ("counterbored", "plain"):
        works = problems(json.dumps(trial.said(variant, {"bolts": {"size": size, "kind": kind}}))) == []
        assert (f"`kind: {kind}`" in found[0].advice) == works == (kind in kinds)


def test_a_cap_screw_without_a_row_is_told_with_every_other_kind_that_works() -> None:
    found = problems(json.dumps(trial.said("single", {"bolts": {"size": "M14", "kind": "counterbored"}})))
    assert [p.path for p in found] == ["bolts.size"]
    assert "`kind: countersunk` or `kind: plain` would do for M14" in found[0].advice
    assert problems(json.dumps(trial.said("single", {"bolts": {"size": "M14", "kind": "countersunk"}}))) == []


@pytest.mark.parametrize("variant", ["single", "vee", "keel", "bevel"])
@pytest.mark.parametrize(
    ("head", "angle"),
    [
        ({"diameter": 48, "angle": 90}, 90.0),
        ({"diameter": 48, "height": 12}, 90.0),
        ({"diameter": "1 7/8 in", "angle": 82}, 82.0),
        ({"diameter": 46, "angle": "82 deg"}, 82.0),
    ],
)
def test_a_countersunk_head_by_its_own_sizes(variant: str, head: trial.Said, angle: float) -> None:
    """Cone of a head: diameter at the face is the sharp rim's and twice the sinking times tan of half the angle."""
    import math

    bolt = trial.strut(variant, {"bolts": {"size": "M24", "head": head, "sunk_below": 1.0}}).palms[0].bolt
    sharp = 47.625 if isinstance(head["diameter"], str) else head["diameter"]
    slope = math.tan(math.radians(angle / 2))
    assert bolt.head_angle_deg == pytest.approx(angle)
    assert bolt.head_diameter_mm == pytest.approx(sharp + 2 * slope)
    assert bolt.head_depth_mm == pytest.approx((bolt.head_diameter_mm - bolt.hole_mm) / 2 / slope)


def test_own_sizes_agree_with_the_table_they_were_read_from() -> None:
    """ISO 10642 M12: sharp diameter 26.88, 90 deg (table of the project): the same bolt either way."""
    by_table = trial.strut().palms[0].bolt
    own = trial.strut("single", {"bolts": {"head": {"diameter": by_table.head_diameter_mm - 1.0, "angle": 90}}})
    assert own.palms[0].bolt.head_depth_mm == pytest.approx(by_table.head_depth_mm)
    assert own.palms[0].bolt.head_diameter_mm == pytest.approx(by_table.head_diameter_mm)


def test_a_cylinder_head_by_its_own_sizes() -> None:
    bolt = (
        trial.strut(
            "single",
            {
                "bolts": {
                    "size": "M30",
                    "kind": "counterbored",
                    "sunk_below": 0.5,
                    "head": {"diameter": 45, "height": 30},
                },
                "palm": {"thickness": 50},
            },
        )
        .palms[0]
        .bolt
    )
    assert (bolt.head_diameter_mm, bolt.head_depth_mm) == (46.0, 30.5)


@pytest.mark.parametrize(
    ("bolts", "path"),
    [
        ({"head": {"diameter": 48}}, "bolts.head"),
        ({"head": {"diameter": 48, "angle": 90, "height": 12}}, "bolts.head"),
        ({"head": {"diameter": 20, "angle": 90}}, "bolts.head.diameter"),
        ({"head": {"diameter": 48, "height": 50}}, "bolts.head.height"),
        ({"head": {"diameter": 48, "angle": 90}, "kind": "plain"}, "bolts.head"),
        ({"head": {"diameter": 36, "angle": 90}, "kind": "counterbored"}, "bolts.head.angle"),
        ({"head": {"diameter": 48, "angle": 90}, "head_standard": "ISO 10642"}, "bolts.head_standard"),
    ],
)
def test_a_head_that_cannot_be_is_told(bolts: trial.Said, path: str) -> None:
    found = problems(json.dumps(trial.said("single", {"bolts": {"size": "M24", **bolts}})))
    assert path in [p.path for p in found]
    assert all(p.path.startswith("bolts.head") for p in found)
