"""Random parameter files over the whole range of the schema, not near the shipped proportions.

A file is drawn from a seeded generator, so that a number names it for ever. Sizes hang together loosely, as those a
person might try: many fail a check, some ask for what cannot be made; each must be refused with a parameter or built.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

Draw = np.random.Generator
SHAPES = ("flat", "ellipse", "two_arcs", "foil")
OUTLINES = ("rectangle", "round_ended", "oval", "tapered", "polygon")
ENDS = ("straight", "tapered", "rounded")
BOLTS = (5, 6, 8, 10, 12, 16, 20)


def draw_set(number: int) -> dict[str, Any]:
    """Return the plain data of parameter file `number`, mm and degrees."""
    rng = np.random.default_rng(number)
    d = round(float(math.exp(rng.uniform(math.log(18.0), math.log(110.0)))), 1)
    cast = bool(rng.random() < 0.6)
    vee = bool(rng.random() < 0.35)
    common = vee and bool(rng.random() < 0.4)
    hand = "centre" if vee and rng.random() < 0.7 else _one(rng, "port", "starboard")
    out: dict[str, Any] = {
        "identity": {"name": f"Random {number}", "drawing_number": f"R-{number}", "hand": hand},
        "units": "mm",
        "construction": "cast" if cast else "welded",
        "materials": {"strut": "C95800" if cast else "316L", "hull": "FRP laminate"},
        "shaft": {"diameter": d},
    }
    outside = _near(rng, d, 1.3, 1.6)
    length = _near(rng, d, 3.0, 5.0)
    out["bearing"] = {"outside_diameter": outside, "length": length}
    wall = _near(rng, d, 0.26, 0.5)
    barrel_length = round(length + rng.uniform(0.0, 0.4) * d, 1)
    ends, parallel = _ends(rng, barrel_length, outside + 2 * wall, wall)
    out["barrel"] = {"length": barrel_length, "wall": wall, "ends": ends}
    section, thick = _section(rng, d, parallel, outside + 2 * wall)
    arms: dict[str, Any] = {
        "arrangement": "vee" if vee else "single",
        "section": section,
        "rake": _one(rng, 0.0, 0.0, round(rng.uniform(-20, 20), 1)),
        "toe": _one(rng, 0.0, 0.0, round(rng.uniform(-8, 8), 1)),
        "chord_along": _one(rng, "shaft", "flow"),
    }
    if vee:
        arms["included_angle"] = round(rng.uniform(45.0, 110.0), 1)
    elif rng.random() < 0.4:
        arms["stance"] = _one(rng, "square_to_bottom", round(rng.uniform(-40, 40), 1))
    if cast and rng.random() < 0.7:
        arms["root_fillet"] = {
            "barrel": round(rng.uniform(0.15, 0.8) * thick, 1),
            "palm": round(rng.uniform(0.15, 0.8) * thick, 1),
        }
    out["arms"] = arms
    bolt = _one(rng, *[b for b in BOLTS if 0.15 * d < b < 0.6 * d] or [5])
    drop = _near(rng, d, 5.0, 11.0)
    out["palm"] = _palm(rng, d, section, arms, bolt=bolt, vee=vee, common=common, drop=drop)
    out["bolts"] = {
        "size": f"M{bolt}",
        "kind": _one(rng, "countersunk", "counterbored", "plain"),
        "pattern": {
            "kind": "edge",
            "count": int(rng.integers(4, 11)) + (6 if common else 0),
            "edge_distance": round(2.2 * bolt, 1),
        },
    }
    level = rng.random() < 0.4
    deadrise = 0.0 if level or (hand == "centre" and (common or not vee)) else float(round(rng.uniform(0.0, 40.0), 1))
    out["hull"] = {
        "shaft_angle": {"to_hull": round(rng.uniform(0.0, 16.0), 1)},
        "deadrise": deadrise,
        "run": 0,
        "drop": {"square_to_shaft": drop},
        "thickness": round(rng.uniform(0.3, 0.8) * d, 1),
    }
    if not cast:
        out["welds"] = {
            "prep": _one(rng, "none", "double_bevel"),
            "arm_to_barrel_leg": round(rng.uniform(0.25, 0.6) * thick, 1),
            "arm_to_palm_leg": round(rng.uniform(0.25, 0.6) * thick, 1),
        }
    if rng.random() < 0.3:
        out["skeg"] = _skeg(rng, d, barrel_length, ends, cast, out)
    # By numbers of their own, so that a file keeps all else that its number has drawn.
    _curves(np.random.default_rng((number, 1)), out["palm"], two=vee and not common)
    _both_ways(np.random.default_rng((number, 2)), out["palm"])
    return out


def _curves(rng: Draw, palm: dict[str, Any], *, two: bool) -> None:
    """Hull faces made to a curve: from all but flat to what the thinnest edge or the leaning edge takes, some beyond;
    of two palms the starboard one now and then its own."""
    (long, wide), thick = _over_all(palm["outline"]), palm["thickness"]
    for at in ("hull_face", "hull_face_starboard")[: 2 if two and rng.random() < 0.4 else 1]:
        if rng.random() < 0.6:
            return
        crown, axis = _one(rng, "toward_hull", "away_from_hull"), round(float(rng.uniform(-90.0, 90.0)), 1)
        off = wide / 2 * abs(math.cos(math.radians(axis))) + long / 2 * abs(math.sin(math.radians(axis)))
        most = (0.36 if crown == "toward_hull" else 1.05) * thick
        edge = math.exp(rng.uniform(math.log(0.1), math.log(most)))
        radius = round(max((off * off + edge * edge) / (2 * edge), 1.9 * off, 50.0), 1)
        palm[at] = {"radius": radius, "crown": crown, "axis": axis}


def _over_all(outline: dict[str, Any]) -> tuple[float, float]:
    """Length and width of a palm."""
    points = outline.get("points", [])
    along = max((p["forward"] for p in points), default=0) - min((p["forward"] for p in points), default=0)
    across = max((p["port"] for p in points), default=0) - min((p["port"] for p in points), default=0)
    wide = outline.get("width", max(outline.get("width_aft", 0), outline.get("width_forward", 0), across))
    return outline.get("length", along), wide


def _both_ways(rng: Draw, palm: dict[str, Any]) -> None:
    """Of hull faces made to a curve half bend along the axis too, from hardly to as much as across it, either way;
    where both go one way, each by half, so that what could be made still can."""
    long, wide = _over_all(palm["outline"])
    for at in ("hull_face", "hull_face_starboard"):
        if at in palm and rng.random() < 0.5:
            face, share = palm[at], float(rng.uniform(0.02, 1.0))
            crown, turn = _one(rng, "toward_hull", "away_from_hull"), math.radians(face["axis"])
            ahead = long / 2 * abs(math.cos(turn)) + wide / 2 * abs(math.sin(turn))
            most = (0.34 if crown == "toward_hull" else 0.98) * palm["thickness"]
            radius = max(face["radius"] / share, ahead * ahead / (2 * most))
            if crown == face["crown"]:
                face["radius"], radius = min(2 * face["radius"], 1e6), 2 * radius
            face["along"] = {"radius": round(min(radius, 1e6), 1), "crown": crown}


def _one(rng: Draw, *choices: Any) -> Any:
    return choices[int(rng.integers(len(choices)))]


def _near(rng: Draw, size: float, low: float, high: float) -> float:
    return round(size * float(rng.uniform(low, high)), 1)


def _ends(rng: Draw, length: float, outside: float, wall: float) -> tuple[dict[str, Any], float]:
    ends, parallel = {}, length
    for name in ("aft", "forward"):
        shape = _one(rng, *ENDS)
        ends[name] = {"shape": shape}
        if shape != "straight":
            far = round(float(rng.uniform(0.03, 0.28)) * length, 1)
            ends[name] |= {"length": far, "end_diameter": round(outside - 2 * float(rng.uniform(0.1, 0.6)) * wall, 1)}
            parallel -= far
    return ends, parallel


def _section(rng: Draw, d: float, parallel: float, outside: float) -> tuple[dict[str, Any], float]:
    chord = round(float(rng.uniform(0.5, 1.0)) * parallel, 1)
    thick = round(min(float(rng.uniform(0.12, 0.32)) * chord, 0.6 * outside), 1)
    section: dict[str, Any] = {"shape": _one(rng, *SHAPES), "chord": chord, "thickness": thick}
    if rng.random() < 0.6:
        section |= {
            "chord_at_palm": round(chord * float(rng.uniform(0.8, 1.4)), 1),
            "thickness_at_palm": round(thick * float(rng.uniform(0.9, 1.3)), 1),
        }
    if section["shape"] == "flat" and rng.random() < 0.6:
        least = min(thick, section.get("thickness_at_palm", thick))
        section["edge_radius"] = round(float(rng.uniform(0.08, 0.5)) * least, 2)
    return section, thick


def _palm(
    rng: Draw,
    d: float,
    section: dict[str, Any],
    arms: dict[str, Any],
    *,
    bolt: float,
    vee: bool,
    common: bool,
    drop: float,
) -> dict[str, Any]:
    chord = section.get("chord_at_palm", section["chord"])
    thick = section.get("thickness_at_palm", section["thickness"])
    length = round(chord * float(rng.uniform(1.1, 1.5)) + 7 * bolt + thick, 1)
    width = round(thick * float(rng.uniform(2.0, 3.5)) + 8 * bolt, 1)
    if common:
        half = math.radians(arms["included_angle"] / 2)
        width = round(2 * drop * math.tan(half) + 2.5 * thick / math.cos(half) + 8 * bolt, 1)
    kind = _one(rng, *OUTLINES)
    shape: dict[str, Any] = {"shape": kind}
    if kind == "oval":
        shape |= {"length": round(1.25 * length, 1), "width": round(1.25 * width, 1)}
    elif kind == "round_ended":
        shape |= {"length": round(max(length, 1.05 * width) + 0.3 * width, 1), "width": width}
    elif kind == "rectangle":
        shape |= {
            "length": length,
            "width": width,
            "corner_radius": round(float(rng.uniform(0, 0.3)) * width, 1) if width < length else 0,
        }
    elif kind == "tapered":
        shape |= {
            "length": length,
            "width_forward": round(0.85 * width, 1),
            "width_aft": width,
            "corner_radius": round(float(rng.uniform(0.02, 0.15)) * min(width, length), 1),
        }
    else:
        a, b = length / 2, width / 2
        shape |= {
            "corner_radius": 5,
            "points": [
                {"forward": round(x, 1), "port": round(y, 1)}
                for x, y in (
                    (a, -0.8 * b),
                    (1.1 * a, 0.0),
                    (a, 0.8 * b),
                    (0.0, 1.1 * b),
                    (-a, b),
                    (-a, -b),
                    (0.0, -1.1 * b),
                )
            ],
        }
    palm: dict[str, Any] = {
        "thickness": round(max(float(rng.uniform(0.3, 0.5)) * d, 0.75 * bolt + 2), 1),
        "outline": shape,
    }
    if vee:
        palm["arrangement"] = "common" if common else "each_arm"
    if rng.random() < 0.2:
        palm["bevel"] = {"width": round(0.8 * bolt, 1), "height": round(0.3 * palm["thickness"], 1)}
    return palm


def _skeg(rng: Draw, d: float, length: float, ends: dict[str, Any], cast: bool, out: dict[str, Any]) -> dict[str, Any]:
    aft = float(rng.uniform(0.02, 0.3)) * length
    fore = float(rng.uniform(0.7, 0.98)) * length
    thick = _near(rng, d, 0.25, 0.6)
    depth = _near(rng, d, 3.0, 8.0)
    skeg: dict[str, Any] = {
        "kind": _one(rng, "plate", "foil"),
        "root_aft": round(aft, 1),
        "root_forward": round(fore, 1),
        "depth": depth,
        "tip_chord": round((fore - aft) * float(rng.uniform(0.5, 1.1)), 1),
        "sweep": round(float(rng.uniform(-0.1, 0.4)) * (fore - aft), 1),
        "thickness": thick,
        "tip_thickness": round(thick * float(rng.uniform(0.6, 1.0)), 1),
        "leading_edge": _one(rng, "round", "square"),
    }
    if cast:
        skeg["root_fillet"] = round(thick * float(rng.uniform(0.1, 0.8)), 1)
    else:
        out["welds"]["skeg_to_barrel_leg"] = round(thick * float(rng.uniform(0.15, 0.6)), 1)
    if rng.random() < 0.5:
        skeg["heel"] = {
            "behind_barrel": _near(rng, d, 2.0, 6.0),
            "below_shaft": round(depth + 0.3 * d, 1),
            "stock_rake": {"from_vertical": round(float(rng.uniform(-10, 10)), 1)},
            "pintle_diameter": _near(rng, d, 0.4, 0.8),
            "bush_wall": _one(rng, 0, 4),
        }
    return skeg
