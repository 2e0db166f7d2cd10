"""How near a search comes to the best there is: every combination of a small case, one by one.

The yardstick is counting: all whole sizes of what is left open, each held to the same checks.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from support import THOROUGH, long_run, own_limits

from strutwright.models.finding import Verdict
from strutwright.models.resolve import resolve
from strutwright.models.sizing import choices, search
from strutwright.models.sizing.judge import Listed, judge_all
from strutwright.models.sizing.known import with_defaults
from strutwright.models.sizing.maker import Maker
from strutwright.params import limits
from strutwright.params.loader import loads

SMALL: dict[str, Any] = {
    "construction": "cast",
    "shaft": {"diameter": 30, "bearing_span": 1150},
    "bearing": {"outside_diameter": 45, "length": 120},
    "barrel": {"wall": 9, "length": 124},
    "arms": {"section": {"shape": "foil", "chord_at_palm": 78, "thickness_at_palm": 24}},
    "palm": {"outline": {"shape": "rectangle", "length": 196, "corner_radius": 12}, "offset": {"port": 0}},
    "bolts": {
        "size": "M10",
        "pattern": {"kind": "grid", "along": 4, "across": 2, "pitch_along": 54, "pitch_across": 76},
    },
    "hull": {
        "drop": {"square_to_shaft": 250},
        "shaft_angle": {"to_hull": "9 deg"},
        "thickness": 14,
        "panel": {"along": 400, "across": 260},
    },
    "propeller": {"diameter": 380, "blades": 3, "mass": "8 kg", "hub_length": 65, "hub_gap": 15},
    "duty": {"power": "20 kW", "shaft_speed": "1000 rpm", "boat_speed": "9 kn"},
}
"""Chord and thickness of the arm, thickness and width of the palm are open."""
NEAR = 1.02


def best_of_all(said: dict[str, Any], spans: dict[str, range]) -> tuple[float, dict[str, float]]:
    """Return the least cost of all combinations with the fewest warnings and no failure, and its sizes."""
    table = limits.standard()
    known = with_defaults(said, table)
    (choice,) = choices.choices(known, 30.0, table)
    make = Maker(known, choice, 30.0, table)
    assert make.free == set(spans)
    grid = np.array(list(itertools.product(*spans.values())), dtype=float)
    judged = judge_all(make.judge, Listed({path: grid[:, k] for k, path in enumerate(spans)}), 1)
    cost = make.judge.cost_kg(judged.weight_kg, judged.drag_n)
    least = min(int(w) for w, fails in zip(judged.warns, judged.fails, strict=True) if not fails)
    cost = np.where((judged.fails == 0) & (judged.warns == least), cost, np.inf)
    at = int(np.argmin(cost))
    return float(cost[at]), dict(zip(spans, grid[at].tolist(), strict=True))


@pytest.fixture(autouse=True)
def _few_are_refined(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fewer choices are looked at closely than the command does, for time."""
    if not THOROUGH:
        monkeypatch.setattr(search, "KEPT", 3)


@pytest.mark.parametrize("speed", ["9 kn", *(["25 kn"] if THOROUGH else [])])
def test_the_search_comes_within_two_percent_of_the_best_there_is(speed: str) -> None:
    said = {**SMALL, "duty": {**SMALL["duty"], "boat_speed": speed}}
    fine = 1 if THOROUGH else 2
    spans = {
        "arms.section.chord": range(48, 88, fine),
        "arms.section.thickness": range(14, 26),
        "palm.thickness": range(10, 18, fine),
        "palm.outline.width": range(96, 136, 2 * fine),
    }
    best, sizes = best_of_all(said, spans)
    found = search.size(said).best
    assert found.passes
    assert found.cost_kg <= NEAR * best, (found.sizes, sizes)


def test_an_arm_is_as_thick_for_its_chord_and_a_palm_as_large_for_its_arm_as_is_usual(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(choices, "ALONG", (3,))
    monkeypatch.setattr(search, "SPREAD", 512)
    said = {k: v for k, v in SMALL.items() if k not in ("arms", "palm", "bolts", "barrel")}
    best = search.size(said).best
    strut = resolve(loads(best.text)).strut
    arm, palm = strut.arms[0], strut.palms[0]
    low, high = (limits.standard()[f"sought_ratio_{n}"].value for n in ("least", "most"))
    for chord, thick in ((arm.chord_barrel_mm, arm.thickness_barrel_mm), (arm.chord_palm_mm, arm.thickness_palm_mm)):
        assert low - 1e-9 <= thick / chord <= high + 1e-9
    left, low_v, right, high_v = palm.outline.bounding_box()
    assert right - left >= limits.standard()["sought_palm_length"].value * arm.chord_palm_mm
    assert high_v - low_v >= limits.standard()["sought_palm_width"].value * arm.thickness_palm_mm
    assert right - left >= high_v - low_v
    assert palm.thickness_mm >= limits.standard()["sought_palm_thickness"].value * strut.shaft.diameter_mm
    assert not [f.code for f in best.findings if f.verdict is Verdict.WARN]


def test_drag_counts_as_weight_in_the_search() -> None:
    """At speed a shop that counts drag dearly gets an arm of less drag, and pays for it in weight."""
    said = {**SMALL, "duty": {**SMALL["duty"], "boat_speed": "25 kn"}}
    cheap, dear = (search.size(said, own_limits(f"drag_as_weight: {kg}\n")).best for kg in (0.0, 2.0))
    assert dear.drag_n < cheap.drag_n
    assert dear.weight_kg > cheap.weight_kg
    assert math.isclose(dear.cost_kg, dear.weight_kg + 2.0 * dear.drag_n)


@pytest.mark.parametrize(
    ("hull", "construction", "material"),
    [("S275", "welded", "S275"), ("5083", "welded", "5083-H111"), ("FRP laminate", "cast", "C95800")],
)
def test_a_strut_is_made_of_what_the_hull_stands(
    hull: str, construction: str, material: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(choices, "ALONG", (2,))
    monkeypatch.setattr(search, "SPREAD", 256)
    said = {
        "shaft": {"diameter": 30},
        "materials": {"hull": hull},
        "hull": {"drop": {"square_to_shaft": 250}, "shaft_angle": {"to_hull": "9 deg"}},
    }
    known = with_defaults(said, limits.standard())
    assert (known["construction"], known["materials"]["strut"]) == (construction, material)
    if hull != "S275" and not THOROUGH:
        return
    best = search.size(said).best
    assert not {f.code for f in best.findings if f.verdict is Verdict.WARN} & {"strut_on_hull", "couple_strut_shaft"}


@long_run
def test_screws_are_moved_where_a_check_of_theirs_is_broken(monkeypatch: pytest.MonkeyPatch) -> None:
    """A long taper takes away the barrel under the usual place of the aft screw."""
    monkeypatch.setattr(search, "SPREAD", 256)
    tapered = {**SMALL["barrel"], "ends": {"aft": {"shape": "tapered", "length": 32}}}
    best = search.size({**SMALL, "barrel": tapered}).best
    bad = [f.code for f in best.findings if f.group == "set screws" and f.verdict in (Verdict.WARN, Verdict.FAIL)]
    assert bad == []
    assert "positions" in loads(best.text).document.data["set_screws"]


def test_a_bearing_that_is_to_have_no_screws_is_sized_without() -> None:
    best = search.size({**SMALL, "set_screws": {"positions": []}}).best
    assert resolve(loads(best.text)).strut.set_screws == ()


@pytest.fixture
def _few_are_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, count in (("COARSE", 64), ("SPREAD", 128), ("KEPT", 1)):
        monkeypatch.setattr(search, name, count)


@pytest.mark.usefixtures("_few_are_tried")
def test_a_proposal_and_its_candidate_count_broken_checks_alike() -> None:
    """Both by checks: a check that tells of two arms, or of two screws, is one."""
    said = {**SMALL, "duty": {"power": "60 kW", "shaft_speed": "1000 rpm", "boat_speed": "9 kn"}}
    best = search.size(said).best
    alone = replace(best.make.judge, roll=True).judge({path: np.array([mm]) for path, mm in best.sizes.items()})
    assert (int(alone.fails[0]), int(alone.warns[0])) == best.broken
    assert best.broken > (0, 0)


@pytest.mark.usefixtures("_few_are_tried")
def test_a_larger_backing_plate_is_tried_where_the_hull_is_weak() -> None:
    """Under a palm alone plywood bears too little; the plate's area is what the file says of it."""
    said = {**SMALL, "materials": {"hull": "plywood"}, "palm": {"outline": {"shape": "rectangle", "length": 196}}}
    plain = search.size({**said, "hull": {**SMALL["hull"], "backing": {"bonded": False}}}).best
    found = search.size(said).best
    warned = {f.code for f in plain.findings if f.verdict is Verdict.WARN}
    assert "backing_area" in warned
    assert "backing_area" not in {f.code for f in found.findings if f.verdict is Verdict.WARN}
    assert "beyond_palm" in found.text
    assert found.broken < plain.broken
