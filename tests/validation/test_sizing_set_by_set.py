"""Sizing and starting let-in housings, hangers and rudder shoes: complete sets that pass their own check, none lighter.

The yardstick is counting: every combination of a small case, each resolved as a file by itself and held to all checks.
The figures are invented.
"""

from __future__ import annotations

import itertools
import json
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from command_line_support import run
from support import THOROUGH, built_of, every

from strutwright import starter, starter_parts
from strutwright.errors import Exit
from strutwright.job import run_checks
from strutwright.models.finding import Verdict
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.sizing.hanger_size import HANGER
from strutwright.models.sizing.kinds import SIZED
from strutwright.models.sizing.known import SizingError, refuse_faults
from strutwright.models.sizing.let_in_size import LET_IN
from strutwright.models.sizing.one_by_one import MORE, MOST, Draft, Family, size_one_by_one
from strutwright.models.sizing.shoe_size import SHOE
from strutwright.models.weights import parts, whole
from strutwright.params import limits
from strutwright.params.loader import loads
from strutwright.params.part_kinds import FAMILIES, STRUT
from strutwright.params.problems import ParameterError
from strutwright.starter_kinds import PARTS

ENOUGH: dict[str, dict[str, Any]] = {
    "let_in_housing": {
        "shaft": {"diameter": 25, "bearing_span": 900},
        "bearing": {"outside_diameter": 40, "length": 100, "shell_material": "glass-epoxy shell"},
        "materials": {"base": "S275"},
        "structure": {"kind": "skeg", "thickness": 120, "above": 90, "below": 140, "depth": 150},
        "propeller": {"diameter": 360, "blades": 3, "mass": "6 kg", "hub_length": 70, "hub_gap": 14},
        "duty": {"power": "13 kW", "shaft_speed": 1200, "boat_speed": "7 kn"},
    },
    "shaft_hanger": {
        "shaft": {"diameter": 40, "bearing_span": 1600},
        "line": {"aft": 1400, "water": "around"},
        "bearing": {"outside_diameter": 60, "length": 120},
        "materials": {"base": "FRP laminate"},
        "foot": {"stands": "above", "height": 110, "skew": {"profile": "3 deg"}},
        "base": {"thickness": 18},
        "duty": {"power": "55 kW", "shaft_speed": 1200},
    },
    "rudder_shoe": {
        "stock": {"diameter": 32, "rake": "4 deg"},
        "materials": {"keel": "hardwood", "stock": "S32205"},
        "keel": {"end": 150, "width": 160, "thickness": 240, "density": 660},
        "rudder": {"area": "0.30 m2", "height": 900, "mass": "28 kg", "foot_gap": 12},
        "duty": {"boat_speed": "7 kn", "displacement": "3200 kg"},
    },
}
"""What is known of the shipped skeg-sleeve, tunnel-hanger and creek-yawl."""
OTHERS = sorted(ENOUGH)


def _stands(text: str) -> dict[str, bool]:
    """Codes of what fails or warns, and whether it fails."""
    found = run_checks(resolve(loads(text)))
    return {f.code: f.fails for f in found if f.verdict in (Verdict.FAIL, Verdict.WARN)}


def _weight_kg(text: str) -> float:
    made = resolve(loads(text))
    return float(whole(parts(Inputs.from_strut(made.strut, made.said.loads))).mass_kg)


def _without(family: str, path: str) -> dict[str, Any]:
    known: dict[str, Any] = json.loads(json.dumps(ENOUGH[family]))
    group, _, name = path.partition(".")
    del known[group][name]
    return known


# --- what is asked --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("family", "path", "option"),
    [
        ("let_in_housing", "materials.base", "--base-material"),
        ("let_in_housing", "structure.kind", "--structure"),
        ("let_in_housing", "structure.thickness", "--structure-thickness"),
        ("let_in_housing", "structure.depth", "--hole-depth"),
        ("shaft_hanger", "materials.base", "--base-material"),
        ("shaft_hanger", "foot.height", "--height"),
        ("shaft_hanger", "shaft.bearing_span", "--bearing-span"),
        ("shaft_hanger", "line.aft", "--span-aft"),
        ("shaft_hanger", "line.water", "--water"),
        ("rudder_shoe", "stock.diameter", "--stock"),
        ("rudder_shoe", "materials.keel", "--keel-material"),
        ("rudder_shoe", "keel.end", "--keel-end"),
    ],
)
def test_what_no_part_can_do_without_is_asked_for_with_its_option(
    family: str, path: str, option: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SizingError, match=rf"\({option}\)"):
        SIZED[family](_without(family, path), None)
    assert f"{option} VALUE" in run(capsys, "size", "--help")[1]


def test_the_shaft_follows_from_power_and_speed_where_it_is_not_known() -> None:
    """The next standard size over what the power formula wants for pleasure, as of a strut."""
    for family in (LET_IN, HANGER):
        known = _without(family.name, "shaft.diameter")
        said = family.known({**known, "part": family.name}, limits.standard())
        assert said["shaft"]["diameter"] in ("20 mm", "25 mm", "40 mm")


@pytest.mark.parametrize("family", [*PARTS])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_every_question_has_an_answer_that_is_taken(family: str, units: str) -> None:
    part = PARTS[family]
    for base in next(q for q in part.questions if q.key == "base").choices:
        values = starter.ask({"units": units, "base": base}, None, None, part.asked)
        assert set(values) == {q.key for q in part.questions}
        refuse_faults(part.known(values))


def test_every_kind_of_part_can_be_started_and_sized() -> None:
    assert set(SIZED) == set(FAMILIES)
    assert {*PARTS, STRUT} == set(FAMILIES)


def test_what_cannot_be_held_is_refused_with_what_fails() -> None:
    """A skeg of 60 mm for a sleeve of 40 and its walls: what is left beside the hole breaks out."""
    known = json.loads(json.dumps(ENOUGH["let_in_housing"]))
    known["structure"]["thickness"] = 61
    known |= {"barrel": {"wall": 8, "length": 100, "bore_class": "H7"}, "bored_in_place": True}
    known["pressed"] = {"sleeve_class": "r6"}
    known["locking_screws"] = {"thread": "M6", "positions": [{"distance": 50, "clock": 90}]}
    sized = SIZED["let_in_housing"](known, None)
    assert sized.tried == 1  # nothing is open
    assert not sized.best.passes
    assert "wall_left" in {f.code for f in sized.blocking()}


# --- what is found --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("family", OTHERS)
def test_what_is_proposed_passes_and_keeps_what_is_known(family: str) -> None:
    sized = SIZED[family](ENOUGH[family], None)
    best = sized.best
    assert best.passes
    assert not sized.unavoidable()
    assert _stands(best.text) == {}
    assert best.weight_kg == pytest.approx(_weight_kg(best.text), rel=1e-9)
    assert sized.tried <= MOST + MORE
    assert dict(_leaves(yaml.safe_load(best.text))).items() >= dict(_leaves(ENOUGH[family])).items()
    weights = [p.weight_kg for p in sized.proposals if p.passes and not any(p.broken)]
    assert weights[0] == min(weights)


def _leaves(data: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Every value of a set by its path, as it is written."""
    if isinstance(data, dict):
        for name, value in data.items():
            yield from _leaves(value, f"{path}.{name}")
    else:
        yield path, str(data)


SMALL: dict[str, tuple[Family, dict[str, Any], dict[str, range]]] = {
    "hanger": (
        HANGER,
        {
            **ENOUGH["shaft_hanger"],
            "barrel": {"wall": 12, "bore_class": "H7"},
            "bolts": {"size": "M10", "pattern": {"along": 2}},
        },
        {"web.length": range(44, 118), "web.thickness": range(8, 30), "foot.thickness": range(10, 14)},
    ),
    "let-in": (
        LET_IN,
        {**ENOUGH["let_in_housing"], "materials": {"base": "FRP laminate"}, "barrel": {"bore_class": "H7"}},
        {"barrel.wall": range(5, 16), "barrel.length": range(100, 151)},
    ),
}


@pytest.mark.parametrize("case", [*SMALL])
def test_no_combination_is_over_two_percent_lighter(case: str) -> None:
    """All whole sizes of what is open; in the short form every eighth length of a web. What is larger in every way than
    what was found is heavier, and not counted."""
    family, known, spans = SMALL[case]
    sized = SIZED[family.name](known, None)
    best = sized.best
    assert best.passes
    assert not sized.unavoidable()
    said, table = family.known({**known, "part": family.name}, limits.standard()), limits.standard()
    said["bearing"] = known["bearing"]
    own = [best.sizes[path] for path in spans]
    coarse = {path: 1 if THOROUGH or len(span) < 60 else 8 for path, span in spans.items()}
    counted, lightest = 0, best.weight_kg
    for sizes in itertools.product(*(span[:: coarse[path]] for path, span in spans.items())):
        if all(a >= b - 1e-9 for a, b in zip(sizes, own, strict=True)):
            continue
        draft = Draft(said, table, {})
        for path, mm in zip(spans, sizes, strict=True):
            draft.put(path, f"{mm} mm")
        family.fill(draft)
        text = json.dumps(draft.made)
        try:
            weight = _weight_kg(text)
        except ParameterError:
            continue
        counted += 1
        if weight < lightest and not _stands(text):
            lightest = weight
    assert counted > 50
    assert best.weight_kg <= 1.02 * lightest


def _drawn(family: str, seed: int) -> dict[str, str]:
    """Answers as boats have them, drawn wide: shafts and stocks of 12 to 300 mm, mm and inches, all that is asked."""
    rng, part = random.Random(f"{family} {seed}"), PARTS[family]
    given = {q.key: rng.choice(q.choices) for q in part.questions if q.choices}
    given.pop("hold", None)
    if given.get("fastener") == "lag_screw" and given["base"] != "timber":
        given["fastener"] = "stud"
    across = 12.1 * 24.7 ** rng.random()
    given["stock" if family == "rudder_shoe" else "shaft"] = f"{across:.4g} mm"
    usual = starter.ask(given, None, None, part.asked)
    spread = {"height": (0.85, 2.0), "across": (0.97, 2.0), "area": (0.5, 1.3)}
    for key in ("across", "depth", "height", "forward", "aft", "end", "width", "thick", "area"):
        if key in usual:
            value = float(usual[key]) * rng.uniform(*spread.get(key, (0.85, 1.3)))
            given[key] = f"{value:.5g} {'m2' if key == 'area' else 'mm'}"
    return given


@pytest.mark.parametrize(("family", "seed"), [(f, n) for f in OTHERS for n in range(20 if THOROUGH else 2)])
def test_what_is_started_over_the_whole_range_passes_or_is_refused(family: str, seed: int) -> None:
    part = PARTS[family]
    values = starter.ask(_drawn(family, seed), None, None, part.asked)
    try:
        made = starter_parts.complete(part, values)
    except starter.DisagreeError as error:
        told = str(error)
    else:
        told = ""
    if told:
        assert told.count("\n") >= 1  # what it is, and of what
        assert "against" in told or ":" in told
        return
    assert _stands(made.text) == dict.fromkeys((f.code for f in made.warnings), False)
    assert made.text.count("# ") > 8  # it is commented


@pytest.mark.parametrize("family", every(OTHERS, 3))
def test_what_is_proposed_can_be_built_and_weighs_what_is_said(family: str) -> None:
    """The kernel's volume of all but the bearing, against the weight by formula."""
    found = resolve(loads(SIZED[family](ENOUGH[family], None).best.text))
    made = built_of(found.strut)
    volume = sum(p.shape.Volume() for p in made.parts if not p.name.startswith(("bearing", "bush")))
    own = whole(parts(Inputs.from_strut(found.strut, found.said.loads)))
    assert float(own.volume_mm3) == pytest.approx(volume, rel=0.02)
    assert not [f for f in made.findings if f.fails]


def test_a_hanger_is_proposed_on_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    new = tmp_path / "new.yaml"
    words = ("--base-material", "FRP laminate", "--height", "70 mm", "--shaft", "20 mm", "--bearing-span", "700 mm")
    more = ("--span-aft", "600 mm", "--water", "fed", "--base-thickness", "12 mm", "--write", str(new))
    status, out, err = run(capsys, "size", "--part", "shaft_hanger", *words, *more)
    assert status in (Exit.PASS, Exit.WARNINGS), err
    assert "web, mm" in out
    status, out, _ = run(capsys, "check", str(new))
    assert status != Exit.FAILURE


def test_the_fasteners_of_a_large_shoe_outlast_its_plate() -> None:
    """More of them, larger and in more lines, under a plate that is no thicker than it has to be."""
    known = {
        "stock": {"diameter": 130},
        "materials": {"keel": "S275"},
        "keel": {"end": 390, "thickness": 32},
        "rudder": {"area": "4.95 m2", "height": 3640, "mass": "1877 kg"},
        "duty": {"boat_speed": "8 kn"},
    }
    found = size_one_by_one(SHOE, known)
    assert found.best.passes
    assert [f.code for f in found.unavoidable()] == []
