"""Any survey that hangs together is answered or refused in words: figures are numbers, the sheet holds them."""

from __future__ import annotations

import json
import math
from typing import Any

import hypothesis.strategies as st
import numpy as np
from hypothesis import given, settings
from support import THOROUGH

from strutwright.exporters.bench.paper import Imprint
from strutwright.exporters.bench.survey import document, sheets, text
from strutwright.exporters.drawing.layout import lay_out
from strutwright.models.bench.survey import survey
from strutwright.params.bench.survey import Survey, checked
from strutwright.params.measured import reads
from strutwright.params.problems import ParameterError

WAYS = ("level", "water_level", "straight_edge", "string", "total_station")


@st.composite
def surveys(draw: st.DrawFn) -> dict[str, Any]:
    """A file of readings: a hull of any slope and curve, measured in any way, well or badly."""
    side = draw(st.sampled_from(["port", "starboard", "centre"]))
    rng = np.random.default_rng(draw(st.integers(0, 10**6)))
    n, m = draw(st.integers(0, 14)), draw(st.integers(0, 7))
    wide, slip = draw(st.sampled_from([0.0, 30.0, 150.0, 700.0])), draw(st.sampled_from([0.0, 0.0, 60.0]))
    way = draw(st.sampled_from(WAYS))
    shaft = math.radians(draw(st.floats(-8, 25)))
    drop, run, rise = (
        draw(st.floats(20, 2000)),
        math.radians(draw(st.floats(-10, 15))),
        math.radians(draw(st.floats(-20, 50))),
    )
    x, y = rng.uniform(-wide, wide, n), rng.uniform(-wide, wide, n) * draw(st.sampled_from([1.0, 0.02, 0.0]))
    z = drop - x * math.tan(run) + y * math.tan(rise) + rng.normal(size=n)
    if n:
        z[0] += slip
    at = np.linspace(-400.0, draw(st.sampled_from([-399.0, 300.0, 2500.0])), m)
    line = np.stack([at * math.cos(shaft), rng.normal(size=m), at * math.sin(shaft) + rng.normal(size=m)], axis=1)
    said: dict[str, Any] = {
        "side": side,
        "instrument": draw(
            st.sampled_from([{}, {"scatter": 1.0}, {"scatter": 0.01}, {"scatter": 2.0, "along_scatter": 0.0}])
        ),
        "attitude": draw(st.sampled_from([{}, {"trim": 2.0, "heel": -1.0}])),
        "references": [{"name": "r", "way": way, **({"slope": 4.0, "cant": -3.0} if way == "straight_edge" else {})}],
        "hull": [{"name": f"H{k}", "along": x[k], "port": y[k], "up": z[k], "reference": "r"} for k in range(n)],
        "line": [{"name": f"S{k}", "along": p[0], "port": p[1], "up": p[2]} for k, p in enumerate(line)],
        "places": [{"what": "mid_barrel", "along": 0.0}, {"what": "hub", "along": -150.0}],
        "angles": draw(
            st.sampled_from([{}, {"shaft": math.degrees(shaft)}, {"shaft": 9.0, "run": 1.0, "deadrise": 3.0}])
        ),
        "drop": draw(st.sampled_from([{}, {"vertical": 300.0}, {"square_to_hull": 300.0, "at": "aft"}])),
        "palm": draw(st.sampled_from([{}, {"length": 200.0, "width": 120.0}])),
        **draw(st.sampled_from([{}, {"barrel_length": 150.0, "propeller_diameter": 400.0, "hub_length": 60.0}])),
    }
    return said


@settings(max_examples=1500 if THOROUGH else 40, deadline=None)
@given(surveys())
def test_any_survey_is_answered_or_refused_in_words(said: dict[str, Any]) -> None:
    try:
        read = checked(reads(json.dumps(said), Survey))
    except ParameterError:
        return
    try:
        found = survey(read)
    except ValueError as error:
        if "points" not in str(error):
            raise
        return
    json.dumps(document(found), allow_nan=False)
    assert "nan" not in text(found).lower()
    figures = found.sides[0].figures
    for name in ("pitch_deg", "tilt_deg", "drop_mm"):
        assert math.isfinite(figures[name].value)
        assert figures[name].within is None or 0.0 <= figures[name].within < math.inf
    if THOROUGH or len(read.hull) == 9:
        for sheet in sheets(found, imprint=Imprint(paper="A4", reference="test")):
            lay_out(sheet)
