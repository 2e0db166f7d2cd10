"""A barrel made of tube: the bore lies in its metal at the worst of the tube's tolerances, and papers say tube."""

from __future__ import annotations

import json
import math
from dataclasses import asdict
from typing import Any

import checks_support as trial
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from support import SHAFTED, every

from strutwright.exporters.files.cut_list import cut_rows
from strutwright.exporters.files.parts_list import parts_rows
from strutwright.exporters.sheets import SheetContext
from strutwright.exporters.sheets.barrel import _tube_words
from strutwright.exporters.sheets.made_barrel import least_wall_mm
from strutwright.exporters.sheets.weld import weld_notes
from strutwright.job import run_checks
from strutwright.models.checks import geometry_checks
from strutwright.models.checks.results import outcomes_of
from strutwright.models.finding import Verdict
from strutwright.models.geometry.tube import tube_boring_mm
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sizing.candidates import candidates
from strutwright.models.sizing.judge import Judge
from strutwright.models.solids import Built
from strutwright.params import limits, strict_yaml
from strutwright.params.loader import loads, shipped
from strutwright.params.problems import ParameterError, Problem

COAXIAL_MM = limits.standard()["tube_coaxial"].value
WELDED = [
    n
    for n in SHAFTED
    if "welded" in shipped()[n].read_text("utf-8")
    and strict_yaml.read_file(shipped()[n]).data.get("construction") == "welded"
]


def with_tube(name: str, tube: dict[str, Any], **barrel: object) -> str:
    data: Any = strict_yaml.read_file(shipped()[name]).data
    for key in ("outside_diameter", "wall"):
        data["barrel"].pop(key, None)
    data["barrel"].update({"tube": tube, **barrel})
    return json.dumps(data)


def faults(text: str) -> list[Problem]:
    try:
        resolve(loads(text))
    except ParameterError as error:
        return error.problems
    return []


@settings(max_examples=60, deadline=None)
@given(
    outside=st.floats(60, 300),
    wall=st.floats(3, 60),
    off=st.floats(0, 3),
    under=st.floats(0, 25),
    bore=st.floats(30, 200),
    seed=st.integers(0, 10**6),
)
def test_no_tube_within_its_tolerances_leaves_its_hollow_in_the_bore(
    outside: float, wall: float, off: float, under: float, bore: float, seed: int
) -> None:
    """Tubes drawn at random within the tolerances, the bore set off their outside as far as is allowed: where the check
    finds metal, every one has it all round (geometry of eccentric circles)."""
    assume(2 * wall < outside - 5)
    barrel: dict[str, object] = {
        "outside_diameter": None,
        "bore": bore,
        "ends": None,
        "lead_in": None,
        "tube": {"outside_diameter": outside, "wall": wall, "outside_tolerance": off, "wall_tolerance": under},
    }
    try:
        made = trial.strut(
            "vee",
            {
                "barrel": barrel,
                "bearing": {"outside_diameter": bore, "shell": 2, "flutes": None},
                "shaft": {"diameter": max(0.6 * bore, 12)},
            },
        )
    except ParameterError:
        assume(False)
        raise
    tube = made.barrel.tube
    assert tube is not None
    metal = tube_boring_mm(made.barrel, tube, COAXIAL_MM)
    rng = np.random.default_rng(seed)
    least = math.inf
    for _ in range(40):
        size = outside + rng.uniform(-off, off)
        thin = wall * (1 - rng.uniform(0, under) / 100)
        thick = rng.uniform(thin, wall * (1 + under / 100))  # eccentric: thin on one side, thick on the other
        hollow, shift = (size - thin - thick) / 2, (thick - thin) / 2
        turn = rng.uniform(0, 2 * math.pi)
        centre = np.array([shift * math.cos(turn), shift * math.sin(turn)]) - COAXIAL_MM / 2 * np.array([1.0, 0.0])
        least = min(least, bore / 2 - hollow - float(np.hypot(*centre)))
    assert metal <= least + 1e-9


@pytest.mark.parametrize("name", every(WELDED, 2))
def test_tube_stock_of_a_shipped_set(name: str) -> None:
    """A tube with plenty of metal passes; one that is hollow where the bore comes fails and says which wall does."""
    base = resolve(loads(shipped()[name].read_text("utf-8"))).strut
    bore, d = min([base.barrel.bore_mm, *(s.diameter_mm for s in base.barrel.steps)]), base.shaft.diameter_mm
    most = max([base.barrel.bore_mm, *(s.diameter_mm for s in base.barrel.steps)])

    def with_wall(wall: float) -> Resolved:
        made = resolve(
            loads(with_tube(name, {"outside_diameter": f"{most + d} mm", "wall": f"{wall} mm"}, ends={}, lead_in={}))
        )
        assert made.strut.barrel.outside_mm == pytest.approx(most + d)
        return made

    def found(wall: float) -> dict[str, Verdict]:
        return {f.code: f.verdict for f in run_checks(with_wall(wall)) if f.code.startswith("tube")}

    whole = (most + d - bore) / 2
    assert set(found((whole + 6) / 0.85).values()) == {Verdict.OK}
    assert found(whole - 1)["tube_holds_bore"] is Verdict.FAIL
    advice = str(next(f for f in run_checks(with_wall(whole - 1)) if f.code == "tube_holds_bore").advice)
    better = float(advice.split("about ")[1].split(" mm")[0])
    assert found(better)["tube_holds_bore"] is Verdict.OK
    assert found(better - 0.3)["tube_holds_bore"] is not Verdict.OK


@pytest.mark.parametrize(
    ("barrel", "path"),
    [
        ({"tube": {"outside_diameter": 102, "wall": 51}}, "barrel.tube.wall"),
        ({"tube": {"outside_diameter": 90, "wall": 15}}, "barrel.outside_diameter"),
        (
            {"tube": {"outside_diameter": 102, "wall": 20}, "outside_diameter": None, "wall": 12, "ends": None},
            "barrel.wall",
        ),
    ],
)
def test_what_contradicts_a_tube_is_told(barrel: trial.Said, path: str) -> None:
    assert path in [p.path for p in faults(json.dumps(trial.said("vee", {"barrel": barrel})))]


def test_a_casting_has_no_tube() -> None:
    found = faults(json.dumps(trial.said("single", {"barrel": {"tube": {"outside_diameter": 96, "wall": 18}}})))
    assert [p.path for p in found] == ["barrel.tube"]


def context(made: Resolved) -> SheetContext:
    return SheetContext(made, made.strut, Built("", (), [], 0.0), "0" * 64, "0")


@pytest.mark.parametrize(
    ("variant", "words", "stock"),
    [
        ("tube", ["tube Ø102 × 20.5", "left as bought, ±1.02", "17.94 or more"], "left as bought"),
        ("turned", ["tube Ø108 × 25", "turned after welding"], "turned"),
    ],
)
def test_papers_say_tube(variant: str, words: list[str], stock: str) -> None:
    made = trial.read(trial.said(variant))
    row = next(map(asdict, cut_rows(made.strut, ())))
    tube = made.strut.barrel.tube
    assert tube is not None
    assert (row["part"], row["stock"]) == ("barrel", "tube")
    assert float(row["stock_outside_mm"]) == pytest.approx(tube.outside_mm)
    assert float(row["stock_bore_mm"]) == pytest.approx(tube.outside_mm - 2 * tube.wall_mm)
    assert stock in row["note"]
    told = " ".join(_tube_words(context(made)))
    for word in words:
        assert word in told
    assert "cut from tube Ø" in " ".join(weld_notes(context(made)))
    assert "rough-bored" in " ".join(weld_notes(context(trial.read(trial.said("vee")))))
    assert _tube_words(context(trial.read(trial.said("vee")))) == []


def test_the_least_wall_on_the_sheet_is_that_of_the_tube() -> None:
    made = trial.read(trial.said("tube"))
    barrel = made.strut.barrel
    # (102 - 1.02 - 70 - bore's upper limit - 1 off centre) / 2, down to a tenth.
    by_hand = (102 - 1.02 - 70 - barrel.bore_upper_mm - 1.0) / 2
    assert least_wall_mm(context(made)) == pytest.approx(math.floor(by_hand * 10) / 10)


def test_the_parts_list_names_the_tube() -> None:
    made = trial.strut("tube")

    class Made:
        name, kind, material, volume_mm3 = "barrel", "barrel", "316L", 1e6

    rows = list(map(asdict, parts_rows(made, [Made()])))  # type: ignore[list-item]
    assert rows[0]["size"] == "tube 102 mm x 20.5 mm"


@pytest.mark.parametrize("variant", ["tube", "turned"])
def test_candidates_are_judged_by_the_same_tube(variant: str) -> None:
    text = json.dumps(trial.said(variant))
    loaded = loads(text)
    made = resolve(loaded)
    judge = Judge.of(loaded, made)
    plain = outcomes_of(geometry_checks(made.strut))
    judged = judge.judge({"palm.thickness": np.array([18.0, 19.0])})
    codes = [c for c in judge.outcomes(candidates(loaded, made, {}))[0] if c.startswith("tube")]
    assert sorted(codes) == sorted(c for c in plain if c.startswith("tube"))
    assert judged.level.tolist() == [judged.level[0]] * 2
    if variant == "tube":  # no other outside than the tube's can be built
        other = judge.judge({"barrel.outside_diameter": np.array([100.0, 102.0])})
        assert other.code(0) == "cannot_be_built"
        assert other.code(1) != "cannot_be_built"
