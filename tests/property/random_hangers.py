"""Random parameter files of hangers over the whole range of the schema, drawn from a seeded generator."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from property.random_sets import BOLTS, ENDS, _near, _one


def draw_hanger(number: int) -> dict[str, Any]:
    """Return the plain data of hanger `number`, mm and degrees."""
    rng = np.random.default_rng(number)
    d = round(float(math.exp(rng.uniform(math.log(15.0), math.log(200.0)))), 1)
    cast, split = bool(rng.random() < 0.6), bool(rng.random() < 0.65)
    outside, length = _near(rng, d, 1.3, 1.6), _near(rng, d, 2.0, 5.0)
    wall, long = _near(rng, d, 0.26, 0.5), round(length + rng.uniform(0.0, 1.0) * d, 1)
    across = outside + 2 * wall
    thickness, bolt = _near(rng, d, 0.26, 0.6), _one(rng, *[b for b in BOLTS if 0.15 * d < b < 0.5 * d] or [5])
    web = {"length": round(rng.uniform(0.4, 0.9) * long, 1), "thickness": _near(rng, d, 0.25, 0.7)}
    web["length"] = max(web["length"], web["thickness"])
    # Two bolts beside the web, or ahead of it and abaft it; or rows on both sides.
    rows, lines = _one(rng, (1, 2), (2, 1), (2, 2), (2, 2), (3, 2), (3, 2))
    box = [round(web["length"] + 2 * thickness + (8 if lines == 1 else 0) * bolt + rng.uniform(5, 9) * bolt, 1)]
    box.append(round(web["thickness"] + 2 * thickness + rng.uniform(9, 14) * bolt, 1))
    pitches = {"pitch_along": round((box[0] - 4 * bolt) / (1 if lines == 1 else 2), 1)} if rows > 1 else {}
    if lines > 1:
        pitches["pitch_across"] = round(box[1] - 4 * bolt, 1)
    out: dict[str, Any] = {
        "part": "shaft_hanger",
        "identity": {"name": f"Random {number}", "drawing_number": f"H-{number}", "hand": _one(rng, "centre", "port")},
        "construction": "cast" if cast else "welded",
        "materials": {"hanger": "C95800" if cast else "316L", "base": _one(rng, "hardwood", "FRP laminate", "S275")},
        "shaft": {"diameter": d, "bearing_span": round(rng.uniform(15, 45) * d, 0)},
        "line": {"aft": round(rng.uniform(15, 45) * d, 0), "water": _one(rng, "around", "fed", "none")},
        "bearing": {"outside_diameter": outside, "length": length},
        "barrel": {"length": long, "wall": wall},
        "web": web,
        "foot": {
            "stands": _one(rng, "above", "below", "port", "starboard"),
            "height": round(across / 2 + thickness + rng.uniform(0.1, 4.0) * d, 1),
            "thickness": thickness,
            "outline": {"shape": _one(rng, "rectangle", "oval"), "length": box[0], "width": box[1]},
            "skew": {
                "profile": round(float(rng.uniform(-12, 12)), 1) if rng.random() < 0.5 else 0,
                "across": round(float(rng.uniform(-12, 12)), 1) if rng.random() < 0.4 else 0,
                "turned": round(float(rng.uniform(-45, 45)), 1) if rng.random() < 0.4 else 0,
            },
        },
        "bolts": {
            "size": f"M{bolt}",
            "backing_plate": bool(rng.random() < 0.7),
            "pattern": {"kind": "grid", "along": rows, "across": lines, **pitches},
        },
        "under_foot": {"kind": _one(rng, "shims", "resin"), "thickness": 15, "least": 10, "most": 25},
    }
    if rng.random() < 0.3 and not split:
        out["barrel"]["ends"] = {"aft": {"shape": _one(rng, *ENDS)}}
    if split:
        out["cap"] = _cap(rng, across, long, bolt)
    return out


def _cap(rng: np.random.Generator, across: float, long: float, bolt: int) -> dict[str, Any]:
    thread = _one(rng, *[b for b in BOLTS if b <= bolt])
    far = round(across / 2 + rng.uniform(0.9, 2.0) * thread, 1)
    cap: dict[str, Any] = {
        "ear_out": round(far + rng.uniform(1.4, 2.5) * thread, 1),
        "ear_thickness": round(float(rng.uniform(0.1, 0.35)) * across, 1),
        "turned": round(float(rng.uniform(-50, 50)), 1) if rng.random() < 0.5 else 0,
        "bolts": {
            "size": f"M{thread}",
            "on_each_side": int(rng.integers(1, 4)),
            "out": far,
            "hold": _one(rng, "through", "tapped"),
        },
    }
    if rng.random() < 0.5:
        cap["ear_length"] = round(float(rng.uniform(0.5, 1.0)) * long, 1)
    if rng.random() < 0.6:
        cap["dowels"] = {"diameter": round(0.7 * thread, 1), "on_each_side": int(rng.integers(1, 3))}
    if rng.random() < 0.7:
        cap["shims"] = {"count": int(rng.integers(1, 5)), "thickness": _one(rng, 0.05, 0.1, 0.5)}
    return cap


def draw_whole_hanger(number: int) -> dict[str, Any]:
    """Return hanger `number` with what else a file may say of one: taper, roots, offsets, other outlines and patterns,
    heads, screws, steps, a second bearing, inches, load cases of its own."""
    out, rng = draw_hanger(number), np.random.default_rng((number, 1))
    web, foot, bolt, d = out["web"], out["foot"], out["bolts"], out["shaft"]["diameter"]
    size = float(bolt["size"][1:])
    if rng.random() < 0.4:
        web["length_at_foot"] = round(rng.uniform(0.8, 1.4) * web["length"], 1)
        web["thickness_at_foot"] = round(rng.uniform(0.6, 1.0) * web["thickness"], 1)
    if rng.random() < 0.3:
        thin = min(web["thickness"], web.get("thickness_at_foot", web["thickness"]))
        web["edge_radius"] = round(rng.uniform(0.1, 0.5) * thin, 2)
    if rng.random() < 0.3:
        off = round(rng.uniform(0.4, 0.6) * out["barrel"]["length"], 1)
        web["position"] = {"end": _one(rng, "barrel_aft", "barrel_forward"), "distance": off}
    _joints(rng, out)
    if rng.random() < 0.4:
        foot["offset"] = {"forward": round(rng.uniform(-0.3, 0.3) * d, 1), "port": round(rng.uniform(-0.2, 0.2) * d, 1)}
    _outline_and_pattern(rng, foot["outline"], bolt, size)
    bolt["kind"] = _one(rng, "plain", "countersunk", "counterbored")
    bolt["edge_rule"] = _one(rng, "practice", "practice", "ec3", "aisc")
    _bored(rng, out, d)
    if rng.random() < 0.5:
        out["duty"] = {"power": round(float(rng.uniform(1.0, 4.0)) * d, 1), "shaft_speed": int(rng.integers(300, 1500))}
    if rng.random() < 0.5:
        out["base"] = {"thickness": round(rng.uniform(0.3, 1.5) * d, 1)}
    if rng.random() < 0.3:
        rate = {"comes_and_goes": _one(rng, "wave", "turn")} if rng.random() < 0.5 else {}
        force = {"source": "force", "force": int(rng.integers(100, 5000)), "clock": int(rng.integers(-180, 180))}
        out["loads"] = {"cases": [{"name": "own", "terms": [force, {"source": "weight"}], **rate}]}
    if rng.random() < 0.2:
        out["under_foot"] = {"kind": "none"}
    return out


def _joints(rng: np.random.Generator, out: dict[str, Any]) -> None:
    """Roots that the file says, and how the web's ends are prepared."""
    legs = {at: round(rng.uniform(0.2, 0.6) * out["web"]["thickness"], 1) for at in ("barrel", "foot")}
    said = {at: leg for at, leg in legs.items() if rng.random() < 0.4}
    if out["construction"] == "cast":
        out["web"]["root_fillet"] = said
        return
    out["welds"] = {f"web_to_{at}_leg": leg for at, leg in said.items()} | {"prep": _one(rng, "none", "double_bevel")}


def _outline_and_pattern(rng: np.random.Generator, outline: dict[str, Any], bolt: dict[str, Any], size: float) -> None:
    long, wide = outline["length"], outline["width"]
    shape = _one(rng, "rectangle", "rectangle", "round_ended", "tapered", "oval")
    if shape == "tapered":
        outline |= {"width_forward": wide, "width_aft": round(0.8 * wide, 1)}
        del outline["width"]
    elif shape == "round_ended":
        outline |= {"length": max(long, wide), "width": min(long, wide)}
    elif shape == "rectangle":
        outline["corner_radius"] = round(rng.uniform(0.0, 0.3) * min(long, wide), 1)
    outline["shape"] = shape
    kind = _one(rng, "as it is", "as it is", "edge", "points", "frame")
    u, v = round(long / 2 - 2 * size, 1), round(wide / 2 - 2 * size, 1)
    if kind == "edge":
        bolt["pattern"] = {"kind": "edge", "count": int(rng.integers(3, 9)), "edge_distance": round(2 * size, 1)}
    elif kind == "points":
        places = [(u, v), (u, -v), (-u, 0.0)]
        bolt["pattern"] = {"kind": "points", "points": [{"forward": f, "port": p} for f, p in places]}
    elif kind == "frame":
        bolt["pattern"] = {"kind": "frame", "along": 3, "across": 3, "pitch_along": u, "pitch_across": v}


def _bored(rng: np.random.Generator, out: dict[str, Any], d: float) -> None:
    """Ends, screws, steps, the fit, and now and then two bearings."""
    barrel, bearing = out["barrel"], out["bearing"]
    if rng.random() < 0.3:
        barrel["ends"] = {end: {"shape": _one(rng, *ENDS)} for end in ("aft", "forward")}
    if rng.random() < 0.3:
        places = [
            {"end": _one(rng, "bearing_aft", "bearing_forward", "barrel_aft", "barrel_forward"), "clock": int(clock)}
            for clock in rng.integers(-180, 180, 2)
        ]
        out["set_screws"] = {
            "positions": [place | {"distance": round(float(rng.uniform(0.3, 1.2)) * d, 1)} for place in places]
        }
    if rng.random() < 0.15:
        barrel["fit"] = "slide"
    if rng.random() < 0.15:
        wider = round(bearing["outside_diameter"] + 0.1 * d, 1)
        barrel["steps"] = [{"kind": "counterbore", "length": round(0.3 * d, 1), "diameter": wider}]
    if rng.random() < 0.1:
        out["bearing"] = [bearing, dict(bearing)]
        barrel["length"] = round(2.2 * bearing["length"], 1)
