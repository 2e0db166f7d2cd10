"""A sleeve on the rudder's pintle: what runs in the bush is the sleeve, in sizes, checks, sheet and parts list."""

from __future__ import annotations

import json
from dataclasses import asdict

import checks_support as trial
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import every

from strutwright.exporters.files.parts_list import parts_rows
from strutwright.exporters.sheets import SheetContext
from strutwright.exporters.sheets.skeg import _notes
from strutwright.job import run_checks
from strutwright.models.finding import Finding, Verdict
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.spec import Heel, Strut
from strutwright.params import strict_yaml
from strutwright.params.loader import loads, shipped

DUTY = {"rudder_area": "0.3 m2", "boat_speed": 8}


def sleeved(**heel: object) -> Resolved:
    return trial.read(trial.said("skeg", {"duty": DUTY, "skeg": {"heel": heel}}))


def heel_of(strut: Strut) -> Heel:
    assert strut.skeg is not None
    assert strut.skeg.heel is not None
    return strut.skeg.heel


def one(made: Resolved, code: str) -> Finding:
    return next(f for f in run_checks(made) if f.code == code)


@settings(max_examples=40, deadline=None)
@given(pintle=st.floats(8, 120), sleeve=st.floats(0, 12), bush=st.floats(0, 12))
def test_the_bore_goes_over_the_sleeve(pintle: float, sleeve: float, bush: float) -> None:
    """A pintle with a sleeve is, for bush and boss, a pintle as thick as the sleeve's outside."""
    size = {"height": None, "foot_height": None}
    with_sleeve = heel_of(sleeved(pintle_diameter=pintle, sleeve_wall=sleeve, bush_wall=bush, **size).strut)
    thick = heel_of(sleeved(pintle_diameter=pintle + 2 * sleeve, bush_wall=bush, **size).strut)
    assert with_sleeve.running_mm == pytest.approx(thick.pintle_mm)
    assert with_sleeve.pintle_mm == pytest.approx(pintle)
    for name in ("bore_mm", "outside_mm", "height_mm", "bush_wall_mm"):
        assert getattr(with_sleeve, name) == pytest.approx(getattr(thick, name)), name
    most = 0.2 + 0.004 * with_sleeve.running_mm
    assert most - 0.1 - 1e-6 < with_sleeve.bore_mm - with_sleeve.running_mm < most + 1e-6  # down to a tenth


@pytest.mark.parametrize(("units", "bush"), every([("mm", 0), ("mm", 4), ("in", 0), ("in", 4)], 3))
def test_checks_take_the_sleeve_for_the_pintle(units: str, bush: float) -> None:
    wide, plain = sleeved(sleeve_wall="3 mm", bush_wall=bush), sleeved(bush_wall=bush)
    thick = sleeved(pintle_diameter=46, bush_wall=bush)
    for code in ("heel_bush_pressure", "heel_clearance", "heel_bush_length"):
        assert one(wide, code).actual == pytest.approx(one(thick, code).actual), code
        assert one(wide, code).demanded == pytest.approx(one(thick, code).demanded), code
    assert one(wide, "heel_bush_pressure").actual == pytest.approx(one(plain, "heel_bush_pressure").actual * 40 / 46)


@pytest.mark.parametrize(("wall", "verdict"), [(0.8, Verdict.WARN), (1.5, Verdict.OK), (4.0, Verdict.OK)])
def test_a_thin_sleeve_warns(wall: float, verdict: Verdict) -> None:
    """1.5 mm: common practice, no source."""
    assert one(sleeved(sleeve_wall=wall), "pintle_sleeve_wall").verdict is verdict
    assert not [f for f in run_checks(sleeved()) if f.code == "pintle_sleeve_wall"]


def rows(strut: Strut) -> dict[str, dict[str, str]]:
    return {r["part"]: r for r in map(asdict, parts_rows(strut, ()))}


def test_the_parts_list_has_the_sleeve() -> None:
    assert "pintle sleeve" not in rows(sleeved().strut)
    row = rows(sleeved(sleeve_wall=3).strut)["pintle sleeve"]
    assert "bore 40 mm, outside 46 mm" in row["size"]
    data = strict_yaml.read_file(shipped()["yawl-with-heel"]).data
    data["skeg"]["heel"]["sleeve_wall"] = "0.1 in"  # type: ignore[index,call-overload]
    yawl = resolve(loads(json.dumps(data))).strut
    assert "outside 35.08 mm" in rows(yawl)["pintle sleeve"]["size"]


def test_the_sheet_tells_sleeve_and_clearance() -> None:
    made = sleeved(sleeve_wall=3, bush_wall=4)
    context = SheetContext(made, made.strut, None, "0" * 64, "0")  # type: ignore[arg-type]
    assert made.strut.skeg is not None
    words = " ".join(_notes(context, made.strut.skeg))
    assert "over the sleeve, Ø46, on a pintle of Ø40" in words
    assert "clearance 0.3 on the diameter" in words
    assert "Sleeve on the pintle: wall 3" in words
