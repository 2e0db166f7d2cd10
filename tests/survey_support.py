"""Surveys for tests, of a hull and a shaft line that are known."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from strutwright.params.bench.survey import Survey

Floats = NDArray[np.float64]
GRID = np.array([(x, y) for x in (-160.0, -80.0, 0.0, 80.0, 160.0) for y in (-90.0, 0.0, 90.0)])
"""Places round mid-barrel at which the hull is measured."""


def rows(names: str, points: Floats, **more: Any) -> list[dict[str, Any]]:
    """Rows of a table of points."""
    return [
        {"name": f"{names}{k + 1}", "along": float(p[0]), "port": float(p[1]), "up": float(p[2]), **more}
        for k, p in enumerate(points)
    ]


def hull_at(places: Floats, drop_mm: float, run_deg: float, deadrise_deg: float) -> Floats:
    """Points of a flat bottom over mid-barrel at (0, 0, 0); drop plumb, rising aft and to port."""
    rise = -places[:, 0] * np.tan(np.radians(run_deg)) + places[:, 1] * np.tan(np.radians(deadrise_deg))
    return np.column_stack([places, drop_mm + rise])


def line_at(along: Sequence[float], shaft_deg: float, plan_deg: float = 0.0) -> Floats:
    """Points of a shaft line through (0, 0, 0), down going aft."""
    e, p = np.radians([shaft_deg, plan_deg])
    return np.outer(np.array(along), [np.cos(e) * np.cos(p), np.cos(e) * np.sin(p), np.sin(e)])


MID = {"what": "mid_barrel", "along": 0.0, "scatter": 0.0}


def made(**said: Any) -> Survey:
    """A survey of a flat bottom, 12 degrees of shaft, 2 of run and 20 of deadrise, 250 plumb; these fields instead."""
    usual: dict[str, Any] = {
        "side": "port",
        "instrument": {"scatter": 1.0},
        "palm": {"length": 240.0, "width": 130.0},
        "hull": rows("H", hull_at(GRID, 250.0, 2.0, 20.0)),
        "line": rows("S", line_at([-400.0, 0.0, 500.0, 1000.0, 1500.0], 12.0)),
        "places": [MID],
    }
    return Survey.model_validate({**usual, **said})
