"""Sizing and starting a flanged housing: complete sets that pass their own check, and none lighter by much.

Sources: a search of every combination of sizes, each resolved as a file by itself; weights of the built solids.
"""

from __future__ import annotations

import itertools
from pathlib import Path
from typing import Any

import pytest
import yaml
from command_line_support import run
from support import THOROUGH, built_of, every, long_run

from strutwright import starter, starter_flange, starter_parts
from strutwright.errors import Exit
from strutwright.job import run_checks
from strutwright.models.finding import Verdict
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.sizing.flange_size import size_flanged
from strutwright.models.sizing.known import SizingError
from strutwright.models.weights import parts, whole
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError

KNOWN: dict[str, Any] = {
    "part": "flanged_housing",
    "shaft": {"diameter": 30, "bearing_span": 900},
    "bearing": {"outside_diameter": 45, "length": 120, "running_clearance": 0.12},
    "materials": {"base": "hardwood"},
    "base": {"bore": 62, "thickness": 140, "density": 660},
    "spigot": {"use": "base_bore", "length": 40},
    "propeller": {"diameter": 420, "blades": 3, "mass": "9 kg", "hub_length": 80, "hub_gap": 15},
    "duty": {"power": "18 kW", "shaft_speed": 1100, "boat_speed": "7 kn"},
}


def _stands(text: str) -> set[str]:
    return {f.code for f in run_checks(resolve(loads(text))) if f.verdict in (Verdict.FAIL, Verdict.WARN)}


def test_the_housing_proposed_passes_and_none_of_its_kind_is_lighter() -> None:
    """One size and number of fasteners; wall, thickness, circle and rim by whole mm, slots and length as found."""
    known = {**KNOWN, "bolts": {"size": "M10", "pattern": {"kind": "circle", "count": 8}}}
    best = size_flanged(known).best
    assert best.passes
    assert not _stands(best.text)
    data = yaml.safe_load(best.text)
    reach = range(-2, 1) if THOROUGH else range(-1, 1)
    lightest = best.weight_kg
    for wall, thick, circle, rim in itertools.product(reach, repeat=4):
        one = yaml.safe_load(best.text)
        sizes = best.sizes
        one["barrel"]["wall"] = f"{sizes['barrel.wall'] + wall} mm"
        one["flange"]["thickness"] = f"{sizes['flange.thickness'] + thick} mm"
        one["bolts"]["pattern"]["diameter"] = f"{sizes['bolts.pattern.diameter'] + circle} mm"
        one["flange"]["outline"]["diameter"] = f"{sizes['flange.outline.diameter'] + rim} mm"
        text = yaml.safe_dump(one)
        try:
            made = resolve(loads(text))
        except ParameterError:
            continue
        if not _stands(text):
            lightest = min(lightest, float(whole(parts(Inputs.from_strut(made.strut, made.said.loads))).mass_kg))
    assert best.weight_kg <= 1.02 * lightest
    assert data["base"]["bore"] == 62  # what is known stays


@long_run
def test_a_size_is_proposed_on_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    known = tmp_path / "known.yaml"
    known.write_text(yaml.safe_dump({**KNOWN, "bolts": {"size": "M10"}}), encoding="utf-8")
    new = tmp_path / "new.yaml"
    status, out, err = run(capsys, "size", str(known), *("--spigot-length", "30", "--write", str(new)))
    assert status == Exit.PASS, err
    assert "x M10" in out
    assert yaml.safe_load(new.read_text(encoding="utf-8"))["spigot"]["length"] == 30
    status, out, _ = run(capsys, "check", str(new))
    assert status == Exit.PASS
    short = ("--part", "flanged_housing", "--shaft", "30 mm", "--base-material", "S275")
    status, _, err = run(capsys, "size", *short)
    assert status == Exit.UNUSABLE
    assert "(--base-bore)" in err


def test_lag_screws_want_the_density_of_the_timber() -> None:
    with pytest.raises(SizingError, match="density of the timber"):
        size_flanged({**KNOWN, "base": {"bore": 62}})


ANSWERS = [
    {"shaft": shaft, "base": base, "construction": construction, "fastener": fastener, "units": units}
    for shaft, base, construction, fastener, units in itertools.product(
        ("15 mm", "22 mm", "40 mm", "65 mm", "100 mm", "150 mm"),
        starter_flange.BASES,
        ("cast", "welded"),
        ("through_bolt", "stud", "lag_screw"),
        ("mm", "in"),
    )
    if fastener != "lag_screw" or base == "timber"
]


@pytest.mark.parametrize("answers", every(ANSWERS, len(ANSWERS)), ids=lambda a: "-".join(a.values()))
def test_what_is_started_passes_its_own_check(answers: dict[str, str]) -> None:
    values = starter.ask(answers, None, None, starter_flange.FLANGED.asked)
    made = starter_parts.complete(starter_flange.FLANGED, values)
    assert all(f.verdict is Verdict.WARN for f in made.warnings)
    assert _stands(made.text) == {f.code for f in made.warnings}
    assert not made.warnings or (answers["base"], answers["construction"]) == ("aluminium", "welded")
    assert made.text.count("# ") > 8  # it is commented


def test_start_writes_a_housing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    new = tmp_path / "new.yaml"
    words = ("--part", "flanged_housing", "--answer", "base=laminate", "--answer", "shaft=25 mm")
    status, out, err = run(capsys, "start", str(new), *words)
    assert status == Exit.PASS, err
    assert "fastener through_bolt" in out  # by default, and said
    status, _, _ = run(capsys, "check", str(new))
    assert status != Exit.FAILURE
    wrong = ("--part", "flanged_housing", "--answer", "fastener=lag_screw", "--answer", "base=steel")
    status, _, err = run(capsys, "start", str(tmp_path / "x.yaml"), *wrong)
    assert status == Exit.UNUSABLE
    assert "lag screws" in err or "timber" in err


def _weighs_what_is_built(name: str) -> None:
    found = resolve(load(shipped()[name]))
    made = built_of(found.strut)
    solids = [p for p in made.parts if not p.name.startswith("bearing")]
    volume = sum(p.shape.Volume() for p in solids)
    own = whole(parts(Inputs.from_strut(found.strut, found.said.loads)))
    assert float(own.volume_mm3) == pytest.approx(volume, rel=0.01)


@long_run
@pytest.mark.parametrize("name", ["deadwood-cutter", "tube-end-pair", "failing/flange-too-thin"])
def test_housings_weigh_what_is_built(name: str) -> None:
    _weighs_what_is_built(name)
