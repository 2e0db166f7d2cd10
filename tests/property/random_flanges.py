"""Random parameter files of flanged housings over the whole range of the schema, drawn from a seeded generator."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from property.random_sets import BOLTS, ENDS, _near, _one

OUTLINES = ("round", "rectangle", "round_ended", "oval", "tapered", "polygon")


def draw_flanged(number: int) -> dict[str, Any]:
    """Return the plain data of flanged housing `number`, mm and degrees."""
    rng = np.random.default_rng(number)
    d = round(float(math.exp(rng.uniform(math.log(15.0), math.log(150.0)))), 1)
    cast = bool(rng.random() < 0.6)
    outside, length = _near(rng, d, 1.3, 1.6), _near(rng, d, 2.5, 5.0)
    wall, barrel_length = _near(rng, d, 0.26, 0.5), round(length + rng.uniform(0.1, 1.8) * d, 1)
    across = outside + 2 * wall
    looks = _one(rng, "forward", "forward", "aft")
    thickness = _near(rng, d, 0.26, 0.6)
    out: dict[str, Any] = {
        "part": "flanged_housing",
        "identity": {"name": f"Random {number}", "drawing_number": f"F-{number}", "hand": _one(rng, "centre", "port")},
        "construction": "cast" if cast else "welded",
        "materials": {"housing": "C95800" if cast else "316L", "base": _one(rng, "hardwood", "FRP laminate", "316L")},
        "shaft": {"diameter": d, "bearing_span": round(rng.uniform(15, 40) * d, 0)},
        "bearing": {"outside_diameter": outside, "length": length},
        "barrel": {"length": barrel_length, "wall": wall, "ends": {"aft": _end(rng, barrel_length, across, wall)}},
    }
    flange = _flange(rng, d, across, thickness, looks, barrel_length)
    out["flange"] = flange
    bolt = _one(rng, *[b for b in BOLTS if 0.15 * d < b < 0.5 * d] or [5])
    reach = across / 2 + 0.9 * thickness + 2.4 * bolt
    out["bolts"], size = _bolts(rng, bolt, reach, out["materials"]["base"])
    flange["outline"] = _outline(rng, size)
    out["base"] = {
        "bore": round(across + rng.uniform(0.0, 0.3) * d, 1),
        "thickness": round(rng.uniform(1.0, 6.0) * d, 1),
    }
    if rng.random() < 0.6:
        out["spigot"] = _spigot(rng, outside, across, d, out["base"]["bore"])
        flange["position"] = {"end": f"barrel_{looks}", "distance": 0}
    if rng.random() < 0.4:
        out["barrel"]["slots"] = {
            "count": int(rng.integers(2, 7)),
            "width": round(0.12 * across, 1),
            "length": round(0.2 * across, 1),
            "position": {"end": "barrel_forward", "distance": round(float(rng.uniform(0.2, 0.5)) * barrel_length, 1)},
        }
    return out


def _end(rng: np.random.Generator, length: float, across: float, wall: float) -> dict[str, Any]:
    shape = _one(rng, *ENDS)
    if shape == "straight":
        return {"shape": shape}
    return {
        "shape": shape,
        "length": round(rng.uniform(0.05, 0.15) * length, 1),
        "end_diameter": round(across - rng.uniform(0.3, 0.8) * wall, 1),
    }


def _flange(
    rng: np.random.Generator, d: float, across: float, thickness: float, looks: str, barrel_length: float
) -> dict[str, Any]:
    flange: dict[str, Any] = {"thickness": thickness, "looks": looks}
    if rng.random() < 0.5 or looks == "aft":
        inward = float(rng.uniform(0.0, 0.6)) * (barrel_length - 1.5 * thickness)
        flange["position"] = {"end": f"barrel_{looks}", "distance": round(inward, 1)}
    if rng.random() < 0.5:
        lean = float(rng.uniform(-40, 40)) if rng.random() < 0.4 else float(rng.uniform(-15, 15))
        flange["off_square"] = {"profile": round(lean, 1), "plan": round(float(rng.uniform(-12, 12)), 1)}
    if rng.random() < 0.4:
        flange["ribs"] = {
            "count": int(rng.integers(1, 7)),
            "thickness": round(rng.uniform(0.5, 0.9) * thickness, 1),
            "along": round(rng.uniform(0.4, 1.2) * d, 1),
            "out": round(rng.uniform(0.3, 0.7) * d, 1),
            "first_clock": round(float(rng.uniform(-90, 90)), 1),
        }
    if rng.random() < 0.3:
        flange["gasket"] = {"thickness": 2, "recess": {"diameter": round(1.25 * across, 1), "depth": 2}}
    return flange


def _bolts(rng: np.random.Generator, bolt: int, reach: float, base: str) -> tuple[dict[str, Any], float]:
    """Fasteners, and how far their centres reach from the shaft line at most, mm."""
    kind = _one(rng, "circle", "circle", "frame", "edge")
    fastener = _one(rng, "lag_screw", "through_bolt") if base == "hardwood" else _one(rng, "stud", "through_bolt")
    made: dict[str, Any] = {"size": f"M{bolt}", "kind": _one(rng, "plain", "countersunk"), "fastener": fastener}
    if kind == "circle":
        made["pattern"] = {"kind": kind, "count": int(rng.integers(4, 13)), "diameter": round(2 * reach, 1)}
    elif kind == "frame":
        along, across = int(rng.integers(2, 5)), int(rng.integers(2, 4))
        made["pattern"] = {
            "kind": kind,
            "along": along,
            "across": across,
            "pitch_along": round(2 * reach / (along - 1), 1),
            "pitch_across": round(2 * reach / (across - 1), 1),
        }
        reach *= math.sqrt(2.0)
    else:
        made["pattern"] = {"kind": kind, "count": int(rng.integers(6, 13)), "edge_distance": round(2.2 * bolt, 1)}
    return made, reach + 2.3 * bolt


def _outline(rng: np.random.Generator, size: float) -> dict[str, Any]:
    shape = _one(rng, *OUTLINES)
    long, wide = round(2 * size * rng.uniform(1.0, 1.3), 1), round(2 * size, 1)
    if shape == "round":
        return {"shape": shape, "diameter": long}
    if shape == "tapered":
        return {
            "shape": shape,
            "length": long,
            "width_top": round(wide * 1.2, 1),
            "width_bottom": wide,
            "corner_radius": 8,
        }
    if shape == "polygon":
        a, b = long / 2, wide / 2
        corners = ((a, 0.8 * b), (0.6 * a, b), (-a, b), (-a, -b), (0.6 * a, -b), (a, -0.8 * b))
        points = [{"up": round(u, 1), "port": round(v, 1)} for u, v in corners]
        return {"shape": shape, "points": points, "corner_radius": 6}
    return {"shape": shape, "length": long, "width": wide, **({"corner_radius": 10} if shape == "rectangle" else {})}


def _spigot(rng: np.random.Generator, outside: float, across: float, d: float, bore: float) -> dict[str, Any]:
    made: dict[str, Any] = {"use": _one(rng, "base_bore", "hose"), "length": round(rng.uniform(0.4, 2.0) * d, 1)}
    if made["use"] == "hose":
        made["hose_inside"] = round(across, 1)
        made["length"] = round(made["length"] + 60.0, 1)
        if rng.random() < 0.5:
            made["barbs"] = {"count": int(rng.integers(1, 4)), "height": round(float(rng.uniform(0.6, 2.0)), 1)}
    else:
        made["outside_diameter"] = round(min(bore, across) - 0.6, 1)
    if rng.random() < 0.3:
        made["bore"] = round(outside - rng.uniform(0.02, 0.1) * d, 1)
    return made
