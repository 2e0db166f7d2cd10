"""Files that are broken, absurd or meant to hurt: refused with every fault named, never a crash, never a file.

Random changes are seeded by hypothesis. The only outcome allowed beside a resolved strut is a ParameterError that
holds problems.
"""

from __future__ import annotations

import json
import math
import re
import tracemalloc
import typing
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hardening.mutations import FACTORS, spoiled_bytes, spoiled_lines
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from strutwright.models.checks import geometry_checks
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.spec import mirrored
from strutwright.params import strict_yaml
from strutwright.params.loader import load, loads, model_at, shipped
from strutwright.params.problems import ParameterError
from strutwright.params.schema import ParameterSet

TEXTS = {name: path.read_text(encoding="utf-8") for name, path in shipped().items()}
HARBOUR = TEXTS["harbour-launch"]
CALM = settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))


def outcome(source: str | Path) -> Resolved | ParameterError:
    """Return the strut or the refusal; anything else is a fault of the program and goes through."""
    try:
        return resolve(load(source) if isinstance(source, Path) else loads(source))
    except ParameterError as caught:
        error = caught
    assert error.problems
    for p in error.problems:
        assert p.what
        assert p.line >= 1
        assert p.column >= 1
    places = [(p.line, p.column) for p in error.problems]
    assert places == sorted(places)
    assert "".join(str(error).split("\n")).isprintable()
    return error


def sound(found: Resolved | ParameterError) -> None:
    """Assert that a resolved strut holds finite numbers only."""
    if isinstance(found, Resolved):
        assert all(math.isfinite(r.value) for r in found.records if not isinstance(r.value, str))


def refused(source: str | Path, words: str) -> ParameterError:
    found = outcome(source)
    assert isinstance(found, ParameterError)
    assert words in str(found)
    return found


# --- chosen hostilities ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "holds no parameter groups"),
        ("\n\n# nothing\n", "holds no parameter groups"),
        ("---\n", "no parameter groups"),
        ("just text", "holds no parameter groups"),
        ("- a\n- b\n", "holds no parameter groups"),
        ("5", "no parameter groups"),
        ("a: &x 1\nb: *x\n", "anchor or alias"),
        ("a: *x\n", "anchor or alias"),
        ("<<: {a: 1}\n", "not a plain word"),
        ("a: !!python/object/apply:os.system ['true']\n", "type tag"),
        ("a: !x 1\n", "type tag"),
        ("a: 1\n---\nb: 2\n", "is not YAML"),
        ("a: [1, 2\n", "is not YAML"),
        ("a: 'x\n", "is not YAML"),
        ("\ta: 1\n", "is not YAML"),
        ("a:\n\tb: 1\n", "is not YAML"),
        ("a: 1\n b: 2\n", "is not YAML"),
        ("%YAML 9.9\n---\na: 1\n", "is not YAML"),
        ("a: b: c\n", "is not YAML"),
        ("a: \x00\n", "control character"),
        ("a: 1\nb: \x07\n", "control character"),
        ("a: \ud800\n", "control character"),
        ("? [a, b]\n: 1\n", "not a plain word"),
        ("? {a: 1}\n: 1\n", "not a plain word"),
        ('"\\e[31m": 1\n', "not a known key"),
        ("\u202e: 1\n", "not a known key"),
    ],
)
def test_what_is_not_a_set_is_refused(text: str, words: str) -> None:
    refused(text, words)


def test_place_of_a_control_character() -> None:
    (p,) = refused("a: 1\nbé: \x07\n", "control").problems
    assert (p.line, p.column) == (2, 5)


@contextmanager
def at_most_memory_mb(most: float) -> Iterator[None]:
    """Fail when the block takes more memory; what is refused at once is not unfolded first."""
    tracemalloc.start()
    try:
        yield
        assert tracemalloc.get_traced_memory()[1] < most * 1e6
    finally:
        tracemalloc.stop()


def test_alias_bomb_is_refused_at_once() -> None:
    rows = ["a: &a [x, x, x, x, x, x, x, x, x]"]
    rows += [f"{b}: &{b} [{', '.join('*' + a for _ in range(9))}]" for a, b in zip("abcdefgh", "bcdefghi", strict=True)]
    with at_most_memory_mb(8):
        refused("\n".join(rows), "anchor or alias")


@pytest.mark.parametrize(
    "text",
    [
        "[" * 5000,
        "{a: " * 5000,
        "a: " + "[" * 100 + "]" * 100,
        "\n".join(" " * i + "a:" for i in range(200)),
        "- " * 3000,
    ],
)
def test_deep_nesting_is_refused(text: str) -> None:
    with at_most_memory_mb(8):
        assert isinstance(outcome(text), ParameterError)


def test_many_values_are_refused() -> None:
    refused("a: [" + "1," * 25_000 + "1]\n", "too large")


def test_huge_file_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "huge.yaml"
    with path.open("wb") as out:
        out.truncate(1 << 34)  # sixteen GiB, no bytes on the disk
    with at_most_memory_mb(8):
        refused(path, "too large")


def test_largest_file_allowed_is_read(tmp_path: Path) -> None:
    path = tmp_path / "long.yaml"
    path.write_text(HARBOUR + "#" * (strict_yaml.MAX_BYTES - len(HARBOUR.encode())), encoding="utf-8")
    assert isinstance(outcome(path), Resolved)
    path.write_text(path.read_text(encoding="utf-8") + "#", encoding="utf-8")
    refused(path, "too large")


def test_paths_that_are_no_file(tmp_path: Path) -> None:
    refused(tmp_path, "is not a file")
    refused(tmp_path / "none.yaml", "cannot be read")
    refused(tmp_path / ("x" * 5000), "cannot be read")
    refused(Path("a\0b"), "cannot be read")
    refused(Path("/dev/zero"), "is not a file")


@pytest.mark.parametrize(
    "raw", [b"\xff\xfe\x00\x01", b"a: \xe9\n", b"\x89PNG\r\n\x1a\n", bytes(range(256)), b"\x00" * 100]
)
def test_binary_rubbish_is_refused(raw: bytes, tmp_path: Path) -> None:
    path = tmp_path / "binary.yaml"
    path.write_bytes(raw)
    assert isinstance(outcome(path), ParameterError)


def test_place_of_a_byte_that_is_not_text(tmp_path: Path) -> None:
    path = tmp_path / "latin.yaml"
    path.write_bytes(b"a: 1\nb: 2\nc: \xe9\n")
    (p,) = refused(path, "UTF-8").problems
    assert p.line == 3


@pytest.mark.parametrize("size", ["0", "-1", "1e-300", "1e300", "1e9", "999 m", "1e-9 mm", "0.0000001", "-0"])
@pytest.mark.parametrize(
    "line", ["  diameter: 35\n", "  outside_diameter: 50\n", "  length: 146\n", "  thickness: 14\n", "    chord: 95\n"]
)
def test_absurd_sizes_are_refused(line: str, size: str) -> None:
    key = line.split(":")[0]
    assert HARBOUR.count(line) == 1
    assert isinstance(outcome(HARBOUR.replace(line, f"{key}: {size}\n")), ParameterError)


# --- what a refusal says --------------------------------------------------------------------------------------------


def ranges(model: type[BaseModel], at: tuple[str, ...] = ()) -> list[tuple[tuple[str, ...], str, float]]:
    """Return (path, bound, limit) of every range in the schema, limits in mm, deg, kW ..."""
    found = []
    for name, info in model.model_fields.items():
        inner = model_at((*at, name))
        if inner is not None:
            found += ranges(inner, (*at, name))
        waiting = [info.annotation, *info.metadata]
        while waiting:
            part = waiting.pop()
            waiting += [*typing.get_args(part), *(part.metadata if isinstance(part, FieldInfo) else ())]
            found += [
                ((*at, name), key, float(getattr(part, key)))
                for key in ("gt", "ge", "lt", "le")
                if isinstance(getattr(part, key, None), (int, float))
            ]
    return found


RANGES = ranges(ParameterSet)
LISTS = (
    "barrel.steps",
    "palm.outline.points",
    "bolts.pattern.points",
    "set_screws.positions",
    "duty.use",
    "loads.cases",
    "loads.cases.terms",
    "shaft.more_bearings",
)


def allowed_at(path: tuple[str, ...], value: float, units: str) -> str:
    """Return what is told to be allowed of a number at a path, "" when it is not refused."""
    data: Any = value
    for i in range(len(path), 0, -1):
        data = {path[i - 1]: data}
        if ".".join(path[: i - 1]) in LISTS:
            data = [data]
    found = outcome(json.dumps({**data, "units": units}))
    assert isinstance(found, ParameterError)
    return "".join(p.allowed for p in found.problems if re.sub(r"\[\d+\]", "", p.path) == ".".join(path))


@pytest.mark.parametrize("units", ["mm", "in"])
def test_every_range_is_told_in_the_one_unit_of_its_field_and_what_is_told_is_allowed(units: str) -> None:
    assert len(RANGES) > 150
    seen = set()
    # NIST SP 811, appendix B.8: the inch is 25.4 mm, the pound 0.453 592 37 kg, the horsepower 745.6999 W,
    # the square foot 0.092 903 04 m2, psi 6.894 757 kPa, lbf/in 175.1268 N/m, lbf ft 1.355 818 N m.
    factors = {
        "mm": 1,
        "in": 25.4,
        "kg": 1,
        "lb": 0.45359237,
        "kW": 1,
        "hp": 0.7456999,
        "N": 1,
        "lbf": 4.448222,
        "ft2": 0.09290304,
        "psi": 0.006894757,
        "lbf/in": 0.1751268,
        "lbf ft/deg": 1.355818e-3 * 180 / math.pi,
    }
    for path, key, limit in RANGES:
        past = 300 * abs(limit) + 1e4
        allowed = allowed_at(path, round(past if key in ("le", "lt") else -past), units)
        match = re.fullmatch(r"(more than|at least|less than|at most) (-?[\d.]+) ?(.*)", allowed)
        assert match, (path, limit, allowed)
        words, number, unit = match.groups()
        seen.add(unit)
        one = factors.get(unit, 1.0)
        assert float(number) * one == pytest.approx(limit, abs=2e-4 * one + 1e-6 * abs(limit)), (path, allowed)
        if words in ("at least", "at most"):
            assert allowed_at(path, float(number) if "." in number else int(number), units) != allowed, path
    assert {"deg", "kn", "", *(("mm", "kg", "kW", "N") if units == "mm" else ("in", "lb", "hp", "lbf"))} <= seen


@pytest.mark.parametrize(
    ("name", "near"), [("C9580", "such as C95800"), ("bronz", "tin bronze or silicon bronze"), ("zz", "")]
)
def test_an_unknown_material_is_told_with_what_is_near_and_where_the_list_is(name: str, near: str) -> None:
    (p,) = refused(HARBOUR.replace("strut: C95800", f"strut: {name}"), "is not in the table of materials").problems
    assert near in p.allowed
    assert "`strutwright tables materials`" in p.allowed
    assert len(p.allowed) < 200


def test_an_unknown_thread_is_told_briefly() -> None:
    (p,) = refused(HARBOUR.replace("size: M12", "size: M11"), "is not in the table of threads").problems
    assert "M10" in p.allowed
    assert len(p.allowed) < 200


# --- random hostilities ---------------------------------------------------------------------------------------------


@settings(CALM, max_examples=400)
@given(st.sampled_from(sorted(TEXTS)), st.randoms(use_true_random=False))
def test_spoiled_sets_resolve_or_are_refused(name: str, draw: Random) -> None:
    sound(outcome(spoiled_lines(TEXTS[name], draw)))


def numbers(node: object, at: tuple[object, ...] = ()) -> list[tuple[object, ...]]:
    """Return the places of all numbers and quantities in plain data."""
    if isinstance(node, dict):
        return [p for k, v in node.items() for p in numbers(v, (*at, k))]
    if isinstance(node, list):
        return [p for i, v in enumerate(node) for p in numbers(v, (*at, i))]
    return [at] if isinstance(node, (int, float)) and not isinstance(node, bool) else []


PLAIN = {
    name: load(path).said.model_dump(exclude_none=True)
    for name, path in shipped().items()
    if name != "failing/many-faults"
}


@settings(CALM, max_examples=150)
@given(st.sampled_from(sorted(PLAIN)), st.data())
def test_stretched_sets_resolve_to_finite_numbers_or_are_refused(name: str, data: st.DataObject) -> None:
    """Every number of a set, defaults too, stretched or shrunk within what the reader lets through."""
    plain = json.loads(json.dumps(PLAIN[name] | {"units": "mm"}))
    places = numbers(plain)
    for place in data.draw(st.lists(st.sampled_from(places), min_size=1, max_size=5)):
        node = plain
        for part in place[:-1]:
            node = node[part]
        factor = data.draw(st.sampled_from(FACTORS))
        value = node[place[-1]] * factor
        node[place[-1]] = round(value) if isinstance(node[place[-1]], int) else value
    found = outcome(json.dumps(plain))
    sound(found)
    if isinstance(found, Resolved):
        assert mirrored(mirrored(found.strut)) == found.strut
        assert geometry_checks(found.strut)


@CALM
@given(st.sampled_from(sorted(TEXTS)), st.randoms(use_true_random=False))
def test_spoiled_bytes_resolve_or_are_refused(
    tmp_path_factory: pytest.TempPathFactory, name: str, draw: Random
) -> None:
    raw = spoiled_bytes(TEXTS[name].encode("utf-8"), draw)
    folder = tmp_path_factory.mktemp("bytes")
    path = folder / "spoiled.yaml"
    path.write_bytes(raw)
    sound(outcome(path))
    assert [p.name for p in folder.iterdir()] == ["spoiled.yaml"]
    assert path.read_bytes() == raw


@CALM
@given(st.text(max_size=200))
def test_any_text_is_refused(text: str) -> None:
    assert isinstance(outcome(text), ParameterError)


values = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=12)),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=6), inner, max_size=3)),
    max_leaves=12,
)


@CALM
@given(
    st.dictionaries(
        st.sampled_from(
            [
                "identity",
                "units",
                "construction",
                "materials",
                "shaft",
                "bearing",
                "barrel",
                "arms",
                "palm",
                "bolts",
                "set_screws",
                "skeg",
                "welds",
                "hull",
                "propeller",
                "duty",
                "loads",
                "pattern",
                "drawing",
            ]
        ),
        values,
        min_size=1,
    )
)
def test_any_values_under_known_keys_are_refused(data: dict[str, object]) -> None:
    assert isinstance(outcome(json.dumps(data)), ParameterError)
