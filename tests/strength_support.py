"""Whole struts as the checks of strength take them, and bolts worked out one by one."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.params.loader import load, shipped


def inputs_of(name: str) -> Inputs:
    return Inputs.from_strut(resolve(load(shipped()[name])).strut)


def with_arm(base: Inputs, **changes: Any) -> Inputs:
    """The same changes to every arm."""
    return replace(base, arms=tuple(replace(a, **changes) for a in base.arms))


def plain_tension(one: Inputs, load: Any) -> float:
    """Greatest bolt tension by the eccentric-load rule, bolt by bolt: pull shared, moments about the toe edges."""
    p = one.palms[0]
    u, v = np.asarray(p.holes_u_mm), np.asarray(p.holes_v_mm)
    pull = max(0.0, -load[2])
    mu, mv = load[3] + v.mean() * pull, load[4] - u.mean() * pull
    lu = u - p.aft_mm if mv > 0 else p.forward_mm - u
    lv = p.port_mm - v if mu > 0 else v - p.starboard_mm
    each = pull / len(u) + abs(mv) * lu / np.sum(lu**2) + abs(mu) * lv / np.sum(lv**2)
    return float(each.max())
