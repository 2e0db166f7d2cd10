"""Random parameter files of let-in housings over the whole range of the schema, drawn from a seeded generator."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from property.random_sets import BOLTS, _near, _one


def draw_let_in(number: int) -> dict[str, Any]:
    """Return the plain data of let-in housing `number`, mm and degrees."""
    rng = np.random.default_rng(number)
    d = round(float(math.exp(rng.uniform(math.log(15.0), math.log(150.0)))), 1)
    outside, length = _near(rng, d, 1.3, 1.6), _near(rng, d, 2.5, 5.0)
    wall, barrel_length = _near(rng, d, 0.26, 0.6), round(length + rng.uniform(0.1, 1.8) * d, 1)
    across, hold = round(outside + 2 * wall, 1), _one(rng, "pressed", "bedded", "welded")
    metal = _one(rng, "316L", "S275") if hold == "welded" else _one(rng, "C95800", "316L", "6082-T6")
    base = {"welded": metal, "pressed": _one(rng, "S275", "5083-H111", "C95800")}.get(
        hold, _one(rng, "FRP laminate", "hardwood", "S275")
    )
    out: dict[str, Any] = {
        "part": "let_in_housing",
        "identity": {"name": f"Random {number}", "drawing_number": f"L-{number}", "hand": _one(rng, "centre", "port")},
        "hold": hold,
        "entered_from": _one(rng, "aft", "aft", "forward"),
        "materials": {"housing": metal, "base": base},
        "shaft": {"diameter": d, "bearing_span": round(rng.uniform(15, 40) * d, 0)},
        "bearing": {"outside_diameter": outside, "length": length},
        "barrel": {"length": barrel_length, "outside_diameter": across},
        "structure": _structure(rng, across, barrel_length),
    }
    out_mm = 0.0
    if rng.random() < 0.5:
        thick = round(float(rng.uniform(0.1, 0.5)) * d, 1)
        out["collar"] = {"diameter": round(across + float(rng.uniform(0.2, 1.6)) * d, 1), "thickness": thick}
        out_mm = thick
        if rng.random() < 0.4:
            out["structure"]["counterbore"] = {
                "diameter": round(out["collar"]["diameter"] + float(rng.uniform(0.0, 4.0)), 1),
                "depth": round(float(rng.uniform(0.1, 1.2)) * thick, 1),
            }
    elif rng.random() < 0.5:
        out_mm = out["stands_out"] = round(float(rng.uniform(0.0, 0.6)) * barrel_length, 1)
    let_in = barrel_length - out_mm
    if rng.random() < 0.5:
        out["outside_steps"] = _steps(rng, across, wall, let_in)
    if rng.random() < 0.5:
        out["entry"] = {"length": round(float(rng.uniform(0.05, 0.25)) * wall, 2), "angle": _one(rng, 5, 15, 30, 45)}
    if rng.random() < 0.6:
        out["locking_screws"] = _locking(rng, d, wall, let_in, base)
    if rng.random() < 0.6:
        size = _one(rng, *[b for b in BOLTS if b < 0.7 * wall] or [4])
        way = _one(rng, "draw", "jack") if "collar" in out else "draw"
        out["drawing_holes"] = {"way": way, "thread": f"M{size}", "count": int(rng.integers(2, 9))}
        out["drawing_holes"]["first_clock"] = round(float(rng.uniform(-180, 180)), 1)
    if hold == "pressed":
        out["pressed"] = {"sleeve_class": _one(rng, "k6", "n6", "p6", "s7")}
    elif hold == "bedded":
        out["bedded"] = {"gap": round(float(rng.uniform(0.3, 8.0)), 1), "released": bool(rng.random() < 0.5)}
    elif rng.random() < 0.5:
        out["welded"] = {"leg": round(float(rng.uniform(0.2, 1.0)) * wall, 1), "inner_end": bool(rng.random() < 0.5)}
    if rng.random() < 0.3:
        out["bored_in_place"] = bool(rng.random() < 0.5)
    if rng.random() < 0.3 and out_mm > 0.3 * d and "collar" not in out:
        out["barrel"]["slots"] = {
            "count": int(rng.integers(2, 7)),
            "width": round(0.1 * across, 1),
            "length": round(0.15 * across, 1),
            "position": {"end": f"barrel_{out['entered_from']}", "distance": round(0.5 * out_mm, 1)},
        }
    return out


def _structure(rng: np.random.Generator, across: float, length: float) -> dict[str, Any]:
    made: dict[str, Any] = {
        "kind": _one(rng, "skeg", "keel", "tube"),
        "depth": round(length * float(rng.uniform(0.9, 1.4)), 1),
        "end": _one(rng, "open", "closed"),
        "water_inside": bool(rng.random() < 0.5),
        "isolated": bool(rng.random() < 0.5),
    }
    wide = round(across * float(rng.uniform(1.15, 3.0)) + 10.0, 1)
    made["outside_diameter" if made["kind"] == "tube" else "thickness"] = wide
    if made["kind"] != "tube":
        for edge in ("above", "below"):
            if rng.random() < 0.6:
                made[edge] = round(across * float(rng.uniform(0.6, 3.0)), 1)
    return made


def _steps(rng: np.random.Generator, across: float, wall: float, let_in: float) -> list[dict[str, float]]:
    count = int(rng.integers(1, 4))
    lengths = rng.uniform(0.08, 0.28, count) * let_in
    drops = np.sort(rng.uniform(0.02, 0.5, count))[::-1] * wall
    return [
        {"length": round(float(long), 1), "diameter": round(across - 2 * float(drop), 2)}
        for long, drop in zip(lengths, drops, strict=True)
    ]


def _locking(rng: np.random.Generator, d: float, wall: float, let_in: float, base: str) -> dict[str, Any]:
    size = _one(rng, *[b for b in BOLTS if 0.1 * d < b < 0.4 * d] or [4])
    places = [
        {
            "distance": round(float(rng.uniform(0.05, 0.95)) * let_in, 1),
            "clock": round(float(rng.uniform(-180, 180)), 1),
        }
        for _ in range(int(rng.integers(1, 4)))
    ]
    made: dict[str, Any] = {"thread": f"M{size}", "point": _one(rng, "dog", "cone"), "positions": places}
    if rng.random() < 0.6:
        made["bite"] = round(float(rng.uniform(0.05, 0.7)) * wall, 2)
    if base in ("FRP laminate", "hardwood"):
        made["bushed"] = bool(rng.random() < 0.5)
    return made
