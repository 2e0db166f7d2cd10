"""The shipped sets, and what the reader says of files that are wrong. Expected places are counted in the texts here."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
import yaml
from support import HOUSINGS, SETS, STRUTS, built_of

from strutwright.job import run_checks
from strutwright.models.bore_steps import STEPS
from strutwright.models.checks import geometry_checks
from strutwright.models.checks.fit import barrel_bearing
from strutwright.models.finding import Verdict
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.screw_points import POINTS
from strutwright.models.spec import BoreStep, mirrored
from strutwright.params import explain
from strutwright.params.loader import load, loads, shipped
from strutwright.params.part_kinds import FAMILIES
from strutwright.params.problems import ParameterError, Problem
from strutwright.params.quantity import INCH_MM

SHIPPED = shipped()
FAILING = [name for name in SHIPPED if name not in SETS]
HARBOUR = SHIPPED["harbour-launch"].read_text(encoding="utf-8")


def problems(text: str) -> list[Problem]:
    """Return the faults of a text; fails when there is none."""
    with pytest.raises(ParameterError) as caught:
        resolve(loads(text))
    assert caught.value.problems
    return caught.value.problems


def promised(name: str) -> list[str]:
    """Return what the comments of a failing set say it produces: `#   code or path: why` lines."""
    text = SHIPPED[name].read_text(encoding="utf-8")
    return re.findall(r"^#   ([\w.\[\]]+): ", text, re.MULTILINE)


# --- shipped sets ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SETS)
def test_shipped_set_resolves_and_says_where_every_value_comes_from(name: str) -> None:
    loaded = load(SHIPPED[name])
    found = resolve(loaded)
    records = {r.path: r for r in found.records}
    assert len(records) == len(found.records) > 60
    for r in found.records:
        assert r.origin in ("given", "derived", "table")
        assert r.origin == "given" or r.note, r.path
    said = {path for path, _value, _unit in explain.leaves(found.said)}
    one = not isinstance(loaded.document.data.get("bearing"), list)
    assert {p.replace("bearing[0]", "bearing") if one else p for p in said} <= set(records)


@pytest.mark.parametrize("name", SETS)
def test_shipped_set_mirrors_twice_to_itself(name: str) -> None:
    strut = resolve(load(SHIPPED[name])).strut
    other = mirrored(strut)
    assert mirrored(other) == strut
    if strut.identity.hand != "centre":
        assert other != strut


@pytest.mark.parametrize("name", SETS)
def test_shipped_set_passes_the_checks_with_both_hands(name: str) -> None:
    strut = resolve(load(SHIPPED[name])).strut
    for s in (strut, mirrored(strut)):
        assert [f for f in geometry_checks(s) if f.verdict in (Verdict.FAIL, Verdict.NOT_CHECKED)] == []


@pytest.mark.parametrize("name", SETS)
def test_shipped_set_begins_with_one_line_for_the_list(name: str) -> None:
    first = SHIPPED[name].read_text(encoding="utf-8").split("\n")[0]
    assert first.startswith("# ")
    assert 30 < len(first) <= 120


def test_shipped_sets_cover_the_kinds_of_strut() -> None:
    struts = [resolve(load(SHIPPED[n])).strut for n in STRUTS]

    def seen(get: str) -> set[object]:
        def value(thing: object, path: list[str]) -> list[object]:
            if isinstance(thing, tuple):
                return [v for t in thing for v in value(t, path)]
            return [thing] if not path or thing is None else value(getattr(thing, path[0]), path[1:])

        return {v for s in struts for v in value(s, get.split("."))}

    assert len(STRUTS) >= 12
    assert seen("file_units") == {"mm", "in"}
    assert seen("construction") == {"cast", "welded"}
    assert seen("identity.hand") == {"port", "starboard", "centre"}
    assert seen("identity.pair") == {True, False}
    assert min(s.shaft.diameter_mm for s in struts) == 20
    assert max(s.shaft.diameter_mm for s in struts) == 150
    assert seen("arms.shape") == {"flat", "ellipse", "two_arcs", "foil"}
    assert seen("arms.aligned_with") == {"shaft", "flow"}
    assert seen("palms.axes") == {"trace", "projection"}
    assert seen("palms.bolt.kind") == {"countersunk", "counterbored", "plain"}
    assert seen("palms.bolt.head_standard") >= {"ISO 10642", "ISO 2009", "ASME B18.3", "ASME B18.6.3"}
    assert seen("barrel.fit") == {"press", "slide"}
    assert seen("barrel.steps.kind") == {"counterbore", "shoulder", "relief"}
    assert seen("barrel.aft_end.shape") | seen("barrel.forward_end.shape") == {"straight", "tapered", "rounded"}
    assert seen("skeg.kind") == {None, "plate", "foil"}
    assert {len(s.arms) for s in struts} == {1, 2} == {len(s.bearings) for s in struts}
    assert {(len(s.palms), s.identity.hand == "centre") for s in struts if len(s.arms) == 2} == {
        (1, True),
        (2, True),
        (1, False),
        (2, False),
    }
    assert any(s.barrel.slots for s in struts)
    assert any(s.skeg and s.skeg.heel for s in struts)
    said = [load(SHIPPED[n]).said for n in STRUTS]
    assert {p.palm.outline.shape for p in said} == {"rectangle", "round_ended", "oval", "tapered", "polygon"}
    assert {p.bolts.pattern.kind for p in said} == {"grid", "edge", "points"}
    assert {p.hull.drop.at for p in said} == {"mid", "aft", "forward"}
    for group in ("shaft_angle", "drop"):
        ways = {n for p in said for n, v in getattr(p.hull, group) if isinstance(v, float)}
        assert len(ways) == 3


def test_shipped_sets_of_housings_differ() -> None:
    housings = [resolve(load(SHIPPED[n])).strut for n in HOUSINGS]
    flanges = [s.flange for s in housings if s.flange is not None]
    assert len(flanges) == len(housings) >= 2
    assert {s.construction for s in housings} == {"cast", "welded"}
    assert {s.identity.pair for s in housings} == {True, False}
    assert {f.spigot.use for f in flanges if f.spigot is not None} == {"base_bore", "hose"}
    assert {f.plane.square for f in flanges} == {f.ribs is None for f in flanges} == {True, False}
    assert {f.fastener for f in flanges} == {"lag_screw", "through_bolt"}


def test_a_shipped_set_becomes_valid_solids_without_a_finding() -> None:
    built = built_of(resolve(load(SHIPPED["survey-launch"])).strut)
    assert built.findings == []
    assert all(p.shape.isValid() and p.volume_mm3 > 0 for p in built.parts)


@pytest.mark.parametrize("name", FAILING)
def test_failing_set_fails_as_its_comments_say(name: str) -> None:
    wanted = promised(name)
    assert wanted
    if name == "failing/many-faults":
        with pytest.raises(ParameterError) as caught:
            resolve(load(SHIPPED[name]))
        assert sorted(p.path for p in caught.value.problems) == sorted(wanted)
        return
    made = resolve(load(SHIPPED[name]))
    strut, found = made.strut, run_checks(made)
    broken = {f.code for f in found if f.verdict in (Verdict.FAIL, Verdict.WARN)}
    if not set(wanted) <= broken:
        found += built_of(strut).findings
        broken |= {f.code for f in found if f.fails}
    assert set(wanted) <= broken
    assert any(f.fails for f in found if f.code in wanted)


def test_one_failing_set_fails_only_in_the_solid() -> None:
    strut = resolve(load(SHIPPED["failing/barrel-cut-in-two"])).strut
    assert not any(f.fails for f in geometry_checks(strut))


def test_editor_schema_is_up_to_date_and_takes_every_set() -> None:
    for family in FAMILIES:
        assert explain.schema_file(family).read_text(encoding="utf-8") == explain.schema_text(family)
    validators = {}
    for family in FAMILIES:
        schema = json.loads(explain.schema_file(family).read_text(encoding="utf-8"))
        jsonschema.Draft202012Validator.check_schema(schema)
        validators[family] = jsonschema.Draft202012Validator(schema)
    for name, path in SHIPPED.items():
        said = yaml.safe_load(path.read_text(encoding="utf-8"))
        wrong = list(validators[said.get("part", "strut")].iter_errors(said))
        assert bool(wrong) == (name == "failing/many-faults"), name


def test_starboard_as_written_is_port_mirrored() -> None:
    text = SHIPPED["day-cruiser"].read_text(encoding="utf-8")
    port = mirrored(resolve(loads(text)).strut)
    starboard = resolve(loads(text.replace("hand: port", "hand: starboard"))).strut
    assert starboard.hull == port.hull
    assert starboard.arms == port.arms
    for a, b in zip(starboard.palms, port.palms, strict=True):
        assert a.plane == b.plane
        assert a.zero_mm == pytest.approx(b.zero_mm, abs=1e-9)
        holes = [sorted((round(h.u_mm, 6) + 0.0, round(h.v_mm, 6) + 0.0) for h in palm.holes) for palm in (a, b)]
        assert holes[0] == holes[1]


# --- units ----------------------------------------------------------------------------------------------------------


def test_same_strut_from_inches_and_millimetres() -> None:
    """Every bare length of an inch file, turned into mm by 25.4 exactly, gives the same strut."""
    loaded = load(SHIPPED["sloop-with-skeg"])
    said = yaml.safe_load(SHIPPED["sloop-with-skeg"].read_text(encoding="utf-8"))
    units = {path: unit for path, _v, unit in explain.leaves(loaded.said)}
    values = {path: v for path, v, _u in explain.leaves(loaded.said)}

    def metric(node: object, at: str) -> object:
        if isinstance(node, dict):
            return {k: metric(v, f"{at}.{k}" if at else k) for k, v in node.items()}
        if isinstance(node, list):
            return [metric(v, f"{at}[{i}]") for i, v in enumerate(node)]
        key = at.replace("bearing.", "bearing[0].")
        return f"{values[key]!r} {units[key]}" if units.get(key) else node

    text = yaml.safe_dump(metric(said, "") | {"units": "mm"})  # type: ignore[operator]
    text = text.replace("set_screws:", "set_screws:\n  thread: 5/16-18")  # the derived screw follows the file's units
    one, other = resolve(loaded).strut, resolve(loads(text)).strut
    # Derived sizes are rounded to a mm or to a sixteenth; hold them apart.
    assert replace(
        other,
        file_units="in",
        bearings=one.bearings,
        arms=one.arms,
        skeg=one.skeg,
        barrel=replace(
            other.barrel,
            aft_end=one.barrel.aft_end,
            forward_end=one.barrel.forward_end,
            lead_in_aft=one.barrel.lead_in_aft,
            lead_in_forward=one.barrel.lead_in_forward,
        ),
    ) == replace(one, file_units="in")
    for strut in (one, other):
        assert strut.shaft.diameter_mm == pytest.approx(1.25 * INCH_MM, abs=1e-9)
        assert [b.outside_mm for b in strut.bearings] == pytest.approx([1.75 * INCH_MM], abs=1e-9)
        assert [(a.chord_barrel_mm, a.thickness_palm_mm) for a in strut.arms] == [
            pytest.approx((3.25 * INCH_MM, 1.125 * INCH_MM), abs=1e-9)
        ]


# --- faults and their places ----------------------------------------------------------------------------------------


def test_every_fault_at_once_in_file_order() -> None:
    found = problems(SHIPPED["failing/many-faults"].read_text(encoding="utf-8"))
    text = SHIPPED["failing/many-faults"].read_text(encoding="utf-8").split("\n")
    assert [p.path for p in found] == [
        "identity.name",
        "materials.strut",
        "materials.strat",
        "shaft.diameter",
        "bearing.length",
        "barrel.wall",
        "arms.arrangement",
        "palm.thickness",
        "hull.deadrise",
    ]
    assert [(p.line, p.column) for p in found] == sorted((p.line, p.column) for p in found)
    for p, at in zip(
        found, ("Launch", "materials:", "strat", "35 kg", ".nan", "wall: 10", "tripod", "palm:", "95 deg"), strict=True
    ):
        assert text[p.line - 1][p.column - 1 :].startswith(at), p


@pytest.mark.parametrize(
    ("line", "instead", "path", "column", "words"),
    [
        ("  bearing_span: 1100 ", "  bearing_spam: 1100 ", "shaft.bearing_spam", 3, "write `bearing_span`"),
        ("  diameter: 35\n", "  diameter: 35 kg\n", "shaft.diameter", 13, "not a unit of length"),
        ("  diameter: 35\n", "  diameter: 5\n", "shaft.diameter", 13, "at least 12"),
        ("  diameter: 35\n", "  diameter: 35e9\n", "shaft.diameter", 13, "at most 400"),
        ("  diameter: 35\n", "  diameter: -35\n", "shaft.diameter", 13, "at least 12"),
        ("  diameter: 35\n", "  diameter: .inf\n", "shaft.diameter", 13, "not a finite number"),
        ("  diameter: 35\n", "  diameter: NaN\n", "shaft.diameter", 13, "not a finite number"),
        ("  diameter: 35\n", "  diameter: 1e999\n", "shaft.diameter", 13, "not a finite number"),
        ("  diameter: 35\n", "  diameter: 1e999 mm\n", "shaft.diameter", 13, "not a finite number"),
        ("  diameter: 35\n", "  diameter: 99999999999999999999\n", "shaft.diameter", 13, "absurdly large"),
        ("  diameter: 35\n", "  diameter: yes\n", "shaft.diameter", 13, "is not a length"),
        ("  diameter: 35\n", "  diameter: [35]\n", "shaft.diameter", 13, "is not a length"),
        ("  diameter: 35\n", "  diameter: 1 - 1/2 in\n", "shaft.diameter", 13, "is not"),
        ("  diameter: 35\n", "  diameter: 35 # one\n  diameter: 36\n", "shaft.diameter", 3, "given twice"),
        ("  hand: centre ", "  hand: middle ", "identity.hand", 9, "'centre'"),
        ("  hand: centre ", "  hand: center ", "identity.hand", 9, "write `centre`"),
        ("construction: cast\n", "construction: casted\n", "construction", 15, "write `cast`"),
        ("construction: cast\n", "construction: poured\n", "construction", 15, "choose one"),
        ("  size: M12\n", "  size: M11\n", "bolts.size", 3, "not in the table of threads"),
        ("  strut: C95800 ", "  strut: unobtainium ", "materials.strut", 3, "not in the table of materials"),
        ("units: mm ", "units: cm ", "units", 8, "'mm' or 'in'"),
    ],
)
def test_a_fault_is_told_with_its_place(line: str, instead: str, path: str, column: int, words: str) -> None:
    assert HARBOUR.count(line) == 1
    text = HARBOUR.replace(line, instead)
    expected = next(
        i for i, row in enumerate(text.split("\n"), 1) if row.startswith(instead.rstrip("\n").split("\n")[-1])
    )
    (p,) = problems(text)
    assert (p.path, p.line, p.column) == (path, expected, column)
    assert words in str(p)


@pytest.mark.parametrize(
    ("group", "words"),
    [("arms:\n", "arms: is missing"), ("hull:\n", "hull: is missing"), ("identity:\n", "identity: is missing")],
)
def test_a_missing_group_is_told(group: str, words: str) -> None:
    start = HARBOUR.index(group)
    end = re.compile(r"^\w", re.MULTILINE).search(HARBOUR, start + 1)
    assert end is not None
    (p,) = problems(HARBOUR[:start] + HARBOUR[end.start() :])
    assert words in str(p)


@pytest.mark.parametrize("name", ["a/b", "a\\b", "../up", "..", ".", "C:", "what?", "a*b", '"q"', "<b>", "a|b", "a..b"])
@pytest.mark.parametrize("key", ["name", "drawing_number"])
def test_names_that_cannot_name_a_file_are_refused(name: str, key: str) -> None:
    was = {"name": "Harbour launch strut", "drawing_number": "HL-35-01"}[key]
    (p,) = problems(HARBOUR.replace(was, json.dumps(name)))
    assert p.path == f"identity.{key}"
    assert "name of a file" in p.what


@pytest.mark.parametrize("name", ["a\tb", "a\nb", "a\x1b[31mb", "\u202eb", "x" * 81, ""])
def test_names_with_control_characters_or_out_of_bounds_are_refused(name: str) -> None:
    found = problems(HARBOUR.replace("Harbour launch strut", json.dumps(name)))
    assert [p.path for p in found] == ["identity.name"]
    assert str(found[0]).replace("\n", "").isprintable()


def test_faults_that_only_show_when_values_meet() -> None:
    text = HARBOUR.replace("  arrangement: single", "  arrangement: vee")
    assert [p.path for p in problems(text)] == ["arms.included_angle"]
    text = HARBOUR.replace("palm:\n", "palm:\n  arrangement: each_arm\n")
    assert [p.path for p in problems(text)] == ["palm.arrangement"]
    text = HARBOUR.replace("{square_to_shaft: 300}", "{at: aft}").replace("{to_waterline: 9 deg}", "{}")
    assert [p.path for p in problems(text)] == ["hull.shaft_angle", "hull.drop"]


def test_message_tells_what_where_given_allowed_and_what_to_do(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(HARBOUR.replace("  hand: centre ", "  hand: middle "), encoding="utf-8")
    with pytest.raises(ParameterError) as caught:
        load(path)
    first, *rest = str(caught.value).split("\n")
    assert first.startswith(f"{path}:7:9: identity.hand: ")
    assert [row.split(":")[0].strip() for row in rest] == ["given", "allowed", "do"]


# --- harmless differences between editors ---------------------------------------------------------------------------


@pytest.mark.parametrize("change", ["bom", "crlf", "one bearing in a list", "number as text", "spaces at ends"])
def test_how_a_file_is_saved_changes_nothing(change: str, tmp_path: Path) -> None:
    text = {
        "bom": "\ufeff" + HARBOUR,
        "crlf": HARBOUR.replace("\n", "\r\n"),
        "one bearing in a list": re.sub(
            r"bearing:.*\n  (outside_diameter: 50)\n  (length: 140)\n  (running_clearance.*)\n  (stiffness)",
            r"bearing:\n  - \1\n    \2\n    \3\n    \4",
            HARBOUR,
        ),
        "number as text": HARBOUR.replace("diameter: 35\n", 'diameter: "35"\n'),
        "spaces at ends": HARBOUR.replace("\n", "   \n"),
    }[change]
    assert text != HARBOUR
    path = tmp_path / "mine.yaml"
    path.write_bytes(text.encode("utf-8"))
    assert resolve(load(path)).strut == resolve(load(SHIPPED["harbour-launch"])).strut


def test_places_are_right_in_a_file_with_crlf_and_bom(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_bytes(("\ufeff" + HARBOUR.replace("diameter: 35\n", "diameter: 5\n")).replace("\n", "\r\n").encode())
    with pytest.raises(ParameterError) as caught:
        load(path)
    line = HARBOUR[: HARBOUR.index("  diameter: 35")].count("\n") + 1
    assert [(p.line, p.column) for p in caught.value.problems] == [(line, 13)]


def test_all_faults_are_told_at_once() -> None:
    """What does not hang on a fault is looked at in the same run: materials, barrel, hull, arms, palm, screws, skeg."""
    text = SHIPPED["sloop-with-skeg"].read_text(encoding="utf-8")
    said = yaml.safe_load(text)
    said["materials"] |= {"strut": "C90301", "hull": "hardwod"}
    said["bearing"]["shell"] = "1 in"
    said["hull"]["shaft_angle"] = {}
    said["arms"]["section"]["edge_radius"] = 0.3  # of a foil an inch thick
    said["bolts"]["size"] = "M10.5"
    said["set_screws"]["thread"] = "M77"
    said["skeg"]["depth"] = 0.5
    with pytest.raises(ParameterError) as caught:
        resolve(loads(yaml.safe_dump(said, sort_keys=False)))
    paths = [p.path for p in caught.value.problems]
    assert set(paths) >= {
        "materials.strut",
        "materials.hull",
        "bearing.shell",
        "hull.shaft_angle",
        "arms.section.edge_radius",
        "bolts.size",
        "set_screws.thread",
        "skeg.depth",
    }


def test_every_kind_that_a_file_may_say_has_its_row() -> None:
    """What differs between kinds is asked of the row; a kind without one is an error, never taken for another."""
    strut = resolve(load(shipped()["canal-tender"])).strut
    said = {"barrel.steps[].kind": STEPS, "set_screws.point": POINTS}
    for path, rows in said.items():
        assert explain.meaning(path).takes == f"one of {', '.join(rows)}", path
    with pytest.raises(KeyError, match="groove"):
        _ = BoreStep(kind="groove", from_station_mm=0.0, to_station_mm=9.0, diameter_mm=60.0).use
    with pytest.raises(KeyError, match="oval"):
        _ = replace(strut.set_screws[0], point="oval").tip
    with pytest.raises(KeyError, match="oval"):
        barrel_bearing.numbers(replace(Inputs.from_strut(strut), screw_point="oval"))
