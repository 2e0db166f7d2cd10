"""Sizing, against the checks of one strut and against geometry.

The yardstick is the set of scalar checks and findings, each of which is held to published figures in its own tests: a
proposal is loaded as a file and checked whole. Scaling laws are elementary mechanics.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from support import SETS, THOROUGH, every, long_run, own_limits

from strutwright import cli
from strutwright.models.checks import geometry_checks
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.results import WITHIN, outcomes_of
from strutwright.models.finding import Verdict
from strutwright.models.resolve import resolve
from strutwright.models.sizing import choices, search
from strutwright.models.sizing.kinds import SIZED
from strutwright.models.sizing.known import SizingError, with_defaults
from strutwright.params import limits
from strutwright.params.loader import load, loads, shipped
from strutwright.params.quantity import INCH_MM

CUSTOMERS: dict[str, dict[str, Any]] = {
    "25 mm, welded, single": {
        "construction": "welded",
        "shaft": {"diameter": 25, "bearing_span": 800},
        "hull": {"drop": {"square_to_shaft": 180}, "shaft_angle": {"to_hull": 11}, "thickness": 14},
    },
    "40 mm, cast, single": {
        "shaft": {"diameter": "42 mm", "bearing_span": 1200},
        "hull": {"drop": {"square_to_shaft": 290}, "shaft_angle": {"to_waterline": 10}, "run": 0},
        "propeller": {"diameter": 420, "blades": 3, "mass": 13, "hub_length": 80, "hub_gap": 20},
        "duty": {"power": 55, "shaft_speed": 1200, "boat_speed": 12},
    },
    "1 1/4 in by power, cast, single": {
        "units": "in",
        "duty": {"power": "30 hp", "shaft_speed": 1100, "boat_speed": 8},
        "hull": {"drop": {"square_to_hull": 10}, "shaft_angle": {"to_waterline": 9}, "run": 0},
        "shaft": {"bearing_span": 40},
        "propeller": {"diameter": 14, "blades": 3, "mass": "14 lb", "hub_length": 2.5, "hub_gap": 0.6},
    },
    "2 in, cast, vee, a pair": {
        "units": "in",
        "identity": {"hand": "pair", "name": "x"},
        "arms": {"arrangement": "vee"},
        "shaft": {"diameter": "2 in", "bearing_span": 60},
        "hull": {"drop": {"vertical": "15 in"}, "shaft_angle": {"to_waterline": 10}, "run": 0, "deadrise": 14},
        "propeller": {"diameter": 22, "blades": 4, "mass": "60 lb", "hub_length": 4, "hub_gap": 1.25},
    },
    "60 mm, welded, fast": {
        "construction": "welded",
        "shaft": {"diameter": 60, "bearing_span": 1600},
        "materials": {"strut": "316L", "hull": "316L"},
        "duty": {"boat_speed": 25},
        "hull": {"drop": {"square_to_shaft": 420}, "shaft_angle": {"to_waterline": 8}, "run": 0, "thickness": 10},
    },
    "100 mm, welded, vee": {
        "construction": "welded",
        "identity": {"hand": "port", "name": "x"},
        "arms": {"arrangement": "vee"},
        "shaft": {"diameter": 100, "bearing_span": 3000},
        "materials": {"strut": "S32205", "hull": "S32205"},
        "hull": {
            "drop": {"square_to_shaft": 800},
            "shaft_angle": {"to_waterline": 7},
            "run": 0,
            "deadrise": 10,
            "thickness": 12,
        },
        "propeller": {"diameter": 1100, "blades": 4, "mass": 200, "hub_length": 250, "hub_gap": 50},
    },
}


@pytest.fixture(autouse=True)
def _few_are_refined(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fewer choices are looked at closely than the command does, for time."""
    if not THOROUGH:
        monkeypatch.setattr(search, "KEPT", 3)


@pytest.mark.parametrize("who", every(list(CUSTOMERS), 9))
def test_a_sized_set_loads_and_passes_every_check(who: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(choices, "ALONG", (2, 3))  # fewer choices than the command tries, for time
    monkeypatch.setattr(search, "SPREAD", 1024)
    sized = search.size(CUSTOMERS[who])
    resolved = resolve(loads(sized.best.text))
    found = [*geometry_checks(resolved.strut), *engineering_findings(resolved.strut, resolved.said.loads)]
    assert [f.code for f in found if f.fails or (f.verdict is Verdict.NOT_CHECKED and not f.missing)] == []
    assert {f.code for f in found if f.verdict is Verdict.WARN} == {f.code for f in sized.unavoidable()}
    assert len(sized.proposals) > 1
    weights = [
        p.weight_kg for p in sized.proposals if p.passes and p.count(Verdict.WARN) == sized.best.count(Verdict.WARN)
    ]
    assert weights == sorted(weights)
    # Sizes are whole millimetres or sixteenths; weld legs halves of those.
    step = INCH_MM / 16 if CUSTOMERS[who].get("units") == "in" else 1.0
    for path, mm in sized.best.sizes.items():
        share = mm / (step / 2 if path.startswith("welds.") else step)
        plate = CUSTOMERS[who].get("construction") == "welded" and path.endswith("thickness")
        assert plate or abs(share - round(share)) < 1e-6, path


def test_bolts_in_a_frame_seal_beside_an_arm_that_leans(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each arm of a vee stands 32.5 degrees off square on a palm of its own, and the tool must pass it up to 60 mm over
    the palm: two lines of M8 stand farther apart than 8 bolts (sealing practice), and no warning need be left for
    that."""
    monkeypatch.setattr(choices, "ALONG", (3,))
    monkeypatch.setattr(search, "SPREAD", 256)
    known: dict[str, Any] = {
        "shaft": {"diameter": 32},
        "arms": {"arrangement": "vee", "included_angle": "65 deg"},
        "bolts": {"size": "M8"},
        "hull": {"drop": {"square_to_shaft": 300}, "shaft_angle": {"to_hull": 9}, "thickness": 20},
    }
    sized = search.size(known)
    assert sized.best.passes
    assert sized.unavoidable() == []
    assert sized.best.choice.pattern == "frame"


def test_the_same_data_give_the_same_set(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(choices, "ALONG", (2,))
    monkeypatch.setattr(search, "SPREAD", 256)
    first, second = (search.size(CUSTOMERS["40 mm, cast, single"]).best.text for _ in range(2))
    assert first == second


def test_more_freedom_never_weighs_more(monkeypatch: pytest.MonkeyPatch) -> None:
    """A size that is fixed far from the best one can only cost weight."""
    monkeypatch.setattr(choices, "ALONG", (2,))
    monkeypatch.setattr(search, "SPREAD", 512)
    free = search.size(CUSTOMERS["40 mm, cast, single"]).best
    held = {**CUSTOMERS["40 mm, cast, single"], "palm": {"thickness": 30}, "bolts": {"size": "M12"}}
    fixed = search.size(held).best
    assert resolve(loads(fixed.text)).strut.plates[0].thickness_mm == 30
    assert fixed.weight_kg > free.weight_kg


def test_what_is_not_known_is_asked_for() -> None:
    with pytest.raises(SizingError, match="drop"):
        search.size({"shaft": {"diameter": 40}, "hull": {"shaft_angle": {"to_waterline": 9}, "run": 0}})
    with pytest.raises(SizingError, match="power"):
        search.size({"hull": {"shaft_angle": {"to_waterline": 9}, "run": 0, "drop": {"vertical": 250}}})


def test_an_impossible_wish_names_what_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    """A propeller that reaches through the hull: no size of the strut can mend that."""
    monkeypatch.setattr(choices, "ALONG", (2,))
    monkeypatch.setattr(search, "SPREAD", 128)
    wish = {
        "shaft": {"diameter": 40},
        "hull": {"shaft_angle": {"to_waterline": 9}, "run": 0, "drop": {"square_to_shaft": 200}},
        "propeller": {"diameter": 500, "blades": 3, "hub_length": 80, "hub_gap": 20},
    }
    sized = search.size(wish)
    assert not sized.best.passes
    assert "tip_clearance" in [f.code for f in sized.blocking()]


@pytest.mark.parametrize("name", every(SETS, 5))
def test_a_shipped_set_can_be_sized(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A complete file leaves little or nothing open: it comes out as it is checked itself, never worse."""
    monkeypatch.setattr(search, "SPREAD", 256)
    loaded = load(shipped()[name])
    sized = SIZED[loaded.said.part](dict(loaded.document.data), None)
    own = resolve(loaded)
    before = outcomes_of([*geometry_checks(own.strut), *engineering_findings(own.strut, own.said.loads)])
    made = resolve(loads(sized.best.text))
    after = outcomes_of([*geometry_checks(made.strut), *engineering_findings(made.strut, made.said.loads)])
    assert max(int(h.level) for h in after.values()) <= max(int(h.level) for h in before.values())
    let_in = own.strut.let_in
    assert sized.best.bolts == len(own.strut.plates[0].holes if let_in is None else let_in.locking)
    if not sized.sought:
        assert len(sized.proposals) == 1
        clean = all(int(h.level) == WITHIN for h in before.values())
        assert (sized.tried == 1) == clean  # else larger backing plates are tried too
        assert {c: int(h.level) for c, h in after.items()} == {c: int(h.level) for c, h in before.items()}
    for path in sized.sought:
        assert not loaded.says(path)


def test_no_room_for_an_arm_is_said_in_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(choices, "ALONG", (2,))
    monkeypatch.setattr(search, "SPREAD", 128)
    hull = {"shaft_angle": {"to_waterline": 9}, "run": 0, "drop": {"square_to_shaft": 5}}
    with pytest.raises(SizingError, match="the one tried first fails barrel_clear_of_hull"):
        search.size({"shaft": {"diameter": 40}, "hull": hull})


@pytest.mark.parametrize(("shaft", "bolt"), every([(12, "M5"), (16, "M6"), (200, "M42")], 2))
def test_bolts_of_the_smallest_and_largest_shafts(shaft: int, bolt: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Limits 0.20 and 0.45 of the shaft (from memory); ISO 10642 ends at M20, ISO 4762 as kept here at M42."""
    monkeypatch.setattr(choices, "ALONG", (2,))
    monkeypatch.setattr(search, "SPREAD", 128)
    sized = search.size(
        {
            "shaft": {"diameter": shaft},
            "construction": "welded",
            "hull": {"shaft_angle": {"to_waterline": 9}, "run": 0, "drop": {"square_to_shaft": 8 * shaft}},
        }
    )
    assert bolt in {p.choice.bolt for p in sized.proposals}
    assert all(0.2 * shaft <= int(p.choice.bolt[1:]) <= 0.45 * shaft for p in sized.proposals)
    told = {f.code for f in sized.best.findings if f.verdict is Verdict.WARN}
    assert "bolt_size" not in told


def test_a_bearing_beyond_the_table_of_fits_is_said_in_a_sentence() -> None:
    """ISO 286-1 as kept here ends at 315 mm."""
    with pytest.raises(SizingError, match=r"ISO 286-1.*315 mm"):
        search.size(
            {
                "shaft": {"diameter": 300},
                "hull": {"shaft_angle": {"to_waterline": 9}, "run": 0, "drop": {"square_to_shaft": 2400}},
            }
        )


def test_what_is_known_wrongly_is_told_where_it_was_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    known = tmp_path / "known.yaml"
    known.write_text(
        "shaft: {diameter: 40}\nhull:\n  drop: {vertical: 300}\n  shaft_angle: {to_hull: 9}\n"
        "palm:\n  thicknes: 14\nbolts: {pattern: {kind: edge, count: 6, pitch_along: 70}}\n",
        encoding="utf-8",
    )
    assert cli.main(["size", str(known), "--power", "seven"]) == 3
    told = capsys.readouterr().err
    assert f"{known}:6:3: palm.thicknes: is not a known key" in told
    assert "--power seven: duty.power" in told
    known.write_text(
        known.read_text(encoding="utf-8").replace(
            "  thicknes: 14", "  thickness: 14\n  outline: {length: 200, width: 120}"
        ),
        encoding="utf-8",
    )
    assert cli.main(["size", str(known)]) == 3
    told = capsys.readouterr().err
    assert f"{known}:8:" in told
    assert "bolts.pattern.edge_distance" in told
    assert "pitch_across" not in told  # the file does not say it


def test_load_cases_left_out_are_named(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Without propeller and power neither the weight nor a seizure can be worked out (statics)."""
    monkeypatch.setattr(choices, "ALONG", (2,))
    monkeypatch.setattr(search, "SPREAD", 128)
    asked = ["size", "--shaft", "40", "--drop", "250", "--shaft-angle", "9", "--run", "0"]
    assert cli.main(asked) in (0, 1)
    told = capsys.readouterr().out
    lines = [line.lstrip("# ") for line in told.replace("\n#     ", " ").replace("\n      ", " ").splitlines()]
    for case, give in (("twice the weight", "propeller.mass"), ("shaft seized", "duty.shaft_speed")):
        assert sum(case in line and give in line for line in lines) == 2, case  # in the file and on the screen
    assert "every check that could be worked out" in told
    assert "--propeller-mass" in told
    assert "hints lack data; `strutwright check FILE --every` names them" in told
    full = search.size(CUSTOMERS["40 mm, cast, single"])
    (only,) = full.best.left_out  # what shakes and turns on a hull of which nothing is known
    assert only.give == ("hull.thickness",)


@long_run
def test_a_hull_of_aluminium_may_be_called_that(capsys: pytest.CaptureFixture[str]) -> None:
    """The usual plate of a hull, EN 485-2; bronze on it is what fails then, and is told."""
    asked = ["size", "--shaft", "40", "--drop", "250", "--shaft-angle", "9", "--run", "0"]
    assert cli.main([*asked, "--construction", "cast", "--hull-material", "aluminium"]) == 2
    assert "no bronze goes on aluminium" in " ".join(capsys.readouterr().out.split())


def test_an_option_stands_in_place_of_the_file_s_drop(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["size", "canal-tender", "--drop", "200", "--json"]) == 0
    made = json.loads(capsys.readouterr().out)
    assert loads(made["set"]).document.data["hull"]["drop"] == {"at": "forward", "square_to_shaft": 200}


@pytest.mark.parametrize(
    ("text", "blades", "degrees"), [("", 4, 65), ("", 3, 60), ("vee_angle: 75", 5, 108), ("vee_angle: 75", None, 75)]
)
def test_the_angle_of_a_vee_keeps_to_the_limits_of_the_shop(text: str, blades: int | None, degrees: float) -> None:
    """Half way between multiples of 360 / blades (exact), from `vee_angle` to `vee_angle_most`: 4 blades give 45 and
    135, which are neither; 3 give 60, 5 give 36, 108."""
    hull = {"shaft_angle": {"to_hull": 9}, "drop": {"vertical": 250}}
    known = {"shaft": {"diameter": 30}, "hull": hull, "arms": {"arrangement": "vee"}, "propeller": {"blades": blades}}
    said = with_defaults(known, own_limits(text or "{}"))
    assert said["arms"]["included_angle"] == f"{degrees} deg"


def test_shaft_from_power_is_the_next_standard_size() -> None:
    """3651 cbrt(kW SF / (S_t rpm)), S_t two thirds of 170 MPa yield (316L): worked by hand; the form is published."""
    said = with_defaults(
        {
            "duty": {"power": 55, "shaft_speed": 1200},
            "hull": {"shaft_angle": {"to_waterline": 9}, "run": 0, "drop": {"vertical": 250}},
        },
        limits.standard(),
    )
    from strutwright.params import tables

    torsion_kpa = 1000.0 * 2.0 / 3.0 * (tables.material("316L").yield_mpa or math.nan)
    need = 3651.0 * (55 * 3.0 / (torsion_kpa * 1200)) ** (1 / 3)
    series = (20, 22, 25, 28, 30, 35, 40, 45, 50, 55, 60)
    assert said["shaft"]["diameter"] == f"{min(s for s in series if s >= need)} mm"
