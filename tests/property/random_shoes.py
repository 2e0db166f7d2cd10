"""Random parameter files of rudder shoes over the whole range of the schema, drawn from a seeded generator."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from property.random_sets import BOLTS, _near, _one

OUTLINES = ("rectangle", "round_ended", "oval", "tapered", "polygon")


def draw_shoe(number: int) -> dict[str, Any]:
    """Return the plain data of rudder shoe `number`, mm and degrees."""
    rng = np.random.default_rng(number)
    d = round(float(math.exp(rng.uniform(math.log(12.0), math.log(300.0)))), 1)
    cast, fluted = bool(rng.random() < 0.6), bool(rng.random() < 0.35)
    outside, long = (_near(rng, d, 1.3, 1.6) if fluted else _near(rng, d, 1.15, 1.5)), _near(rng, d, 0.6, 1.2)
    wall = _near(rng, d, 0.26, 0.5)
    across, thick = outside + 2 * wall, _near(rng, d, 0.3, 0.9)
    above = float(rng.uniform(0.0, 0.3)) * d if rng.random() < 0.5 else 0.0
    floor = float(rng.uniform(0.15, 0.4)) * d if rng.random() < 0.5 else 0.0
    # The bush stands low, or beside the plate.
    low = above + float(rng.uniform(0.0, 1.2)) * thick
    deep = max(low + long, above + thick + 0.9 * thick) + floor + 2.0
    rake = float(rng.uniform(-45, 45)) if rng.random() < 0.3 else float(rng.uniform(-12, 12))
    cant = float(rng.uniform(-25, 25)) if rng.random() < 0.2 else 0.0
    bolt = _one(rng, *[b for b in BOLTS if 0.2 * d < b < 0.6 * d] or [6 if d < 30 else 36])
    keel = _one(rng, "hardwood", "FRP laminate", "316L", "5083-H111")
    end = round(across / 2 + float(rng.uniform(0.2, 4.0)) * d, 1)
    out: dict[str, Any] = {
        "part": "rudder_shoe",
        "identity": {"name": f"Random {number}", "drawing_number": f"H-{number}", "hand": _one(rng, "centre", "port")},
        "construction": "cast" if cast else "welded",
        "materials": {"shoe": _one(rng, "C95800", "C90300") if cast else "316L", "keel": keel},
        "stock": {"diameter": d, "rake": round(rake, 1), "cant": round(cant, 1)},
        "bush": {
            "kind": "fluted_rubber" if fluted else "plain",
            "outside_diameter": outside,
            "length": long,
            "position": {"face": "upper", "distance": round(low, 1)},
        },
        "boss": {"length": round(deep, 1), "wall": wall},
        "plate": {"thickness": thick},
        "keel": {"end": end, "thickness": round(float(rng.uniform(1.5, 8.0)) * d, 1)},
        "rudder": {"area": f"{round(float(rng.uniform(0.05, 3.0)), 2)} m2", "foot_gap": 10},
        "jumping_stop": {"gap": round(float(rng.uniform(0.5, 0.4 * long)), 1)},
        "duty": {"boat_speed": f"{round(float(rng.uniform(3, 40)), 1)} kn"},
    }
    if above:
        out["plate"]["position"] = {"face": "upper", "distance": round(above, 1)}
    if floor:
        out["boss"]["floor"] = {"thickness": round(floor, 1), "sand_hole": round(float(rng.uniform(0.2, 0.7)) * d, 1)}
    out["bolts"], forward, half = _bolts(rng, bolt, end, keel)
    _outline(rng, out["plate"], across, forward, half)
    if rng.random() < 0.4:
        room = deep - floor - above - thick
        out["plate"]["ribs"] = {
            "count": int(rng.integers(1, 5)),
            "thickness": round(float(rng.uniform(0.4, 0.8)) * thick, 1),
            "along": round(max(float(rng.uniform(0.3, 0.8)) * room, 1.0), 1),
            "out": round(float(rng.uniform(0.1, 0.5)) * d, 1),
            "first_clock": round(float(rng.uniform(-90, 90)), 1),
        }
    if rng.random() < 0.4:
        clock = round(float(rng.uniform(-180, 180)), 1)
        place = {"face": "bush_lower", "distance": round(float(rng.uniform(0.1, 0.5)) * long, 1), "clock": clock}
        out["locking_screws"] = {"positions": [place]}
    return out


def _bolts(rng: np.random.Generator, bolt: int, end: float, keel: str) -> tuple[dict[str, Any], float, float]:
    """Fasteners, and how far they reach forward and to a side with their edges, mm."""
    fastener = _one(rng, "lag_screw", "through_bolt") if keel == "hardwood" else _one(rng, "stud", "through_bolt")
    made: dict[str, Any] = {"size": f"M{bolt}", "kind": _one(rng, "plain", "countersunk"), "fastener": fastener}
    along, across = int(rng.integers(2, 8)), int(rng.integers(1, 4))
    pitch, apart = (round(float(rng.uniform(low, 9.0)) * bolt, 1) for low in (3.2, 3.6))
    aftmost = round(end + float(rng.uniform(1.0, 6.0)) * bolt, 1)
    sizes = {"along": along, "across": across, "pitch_along": pitch, "pitch_across": apart, "aftmost": aftmost}
    made["pattern"] = {"kind": "grid", **sizes}
    if rng.random() < 0.3:
        us = aftmost + pitch * np.arange(along)
        points = [{"forward": round(float(u), 1), "port": round((-1) ** k * apart / 2, 1)} for k, u in enumerate(us)]
        made["pattern"] = {"kind": "points", "points": points}
        across = 2
    edge = 2.4 * bolt
    return made, aftmost + (along - 1) * pitch + edge, (across - 1) * apart / 2 + edge


def _outline(rng: np.random.Generator, plate: dict[str, Any], across: float, forward: float, half: float) -> None:
    aft = across / 2 + plate["thickness"]
    half = max(half, across / 2 + plate["thickness"])
    long, middle = round(forward + aft, 1), round((forward - aft) / 2, 1)
    shape = _one(rng, *OUTLINES)
    wide = round(2 * half, 1)
    made: dict[str, Any] = {"shape": shape, "length": long, "width": wide}
    if shape == "rectangle":
        made["corner_radius"] = round(float(rng.uniform(0.0, 0.4)) * half, 1)
    elif shape == "round_ended":
        made["length"] = round(long + half, 1)
    elif shape == "oval":
        made |= {"length": round(1.4 * long, 1), "width": round(1.4 * wide, 1)}
    elif shape == "tapered":
        made = {"shape": shape, "length": long, "width_forward": wide, "width_aft": round(2 * aft, 1)}
    elif shape == "polygon":
        corners = ((long / 2, 0.9 * half), (-long / 2, half), (-long / 2, -half), (long / 2, -0.9 * half))
        points = [{"forward": round(u, 1), "port": round(v, 1)} for u, v in corners]
        made = {"shape": shape, "points": points}
    plate["outline"], plate["offset"] = made, {"forward": middle}
