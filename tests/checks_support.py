"""Invented struts and housings for the tests of the checks, written as parameter files: the whole way in is walked.

`single` is a cast strut on the port side of a V bottom; every value that a rule would fill in is given, so that it
passes everything and does not move when a rule does.
"""

from __future__ import annotations

import copy
import json
import re
from typing import Any

import yaml

from strutwright.models.finding import Finding, Verdict
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.spec import Strut
from strutwright.params import loader
from strutwright.params.words import read as read_words

Said = dict[str, Any]

SINGLE: Said = {
    "identity": {"name": "Trial strut", "hand": "port"},
    "units": "mm",
    "construction": "cast",
    "materials": {"strut": "C95800", "bolts": "F468 C65100", "shaft": "316L", "hull": "FRP laminate"},
    "shaft": {"diameter": 50, "bearing_span": 1500},
    "bearing": {
        "outside_diameter": 70,
        "outside_upper": 0.051,
        "outside_lower": 0.032,
        "length": 200,
        "shell": 4,
        "shell_material": "C46400",
        "running_clearance": 0.15,
        "flutes": {"count": 8, "width": 6, "depth": 3, "clock": 157.5},
        "position": {"end": "barrel_aft", "distance": 0},
    },
    "barrel": {
        "length": 206,
        "outside_diameter": 96,
        "bore": 70,
        "bore_class": "H7",
        "ends": {
            "aft": {"shape": "tapered", "length": 20, "end_diameter": 80},
            "forward": {"shape": "rounded", "length": 8, "end_diameter": 84},
        },
        "lead_in": {"aft": {"length": 3, "angle": 20}, "forward": {"length": 1, "angle": 45}},
    },
    "arms": {
        "arrangement": "single",
        "position": {"end": "barrel_aft", "distance": 109},
        "section": {"shape": "foil", "chord": 140, "thickness": 28, "chord_at_palm": 150, "thickness_at_palm": 30},
        "root_fillet": {"barrel": 8, "palm": 8},
    },
    "palm": {"thickness": 18, "outline": {"shape": "rectangle", "length": 250, "width": 140, "corner_radius": 25}},
    "bolts": {
        "size": "M12",
        "pattern": {"kind": "grid", "along": 3, "across": 2, "pitch_along": 95, "pitch_across": 95},
    },
    "set_screws": {
        "thread": "M8",
        "dimple_depth": 2,
        "positions": [
            {"end": "bearing_aft", "distance": 50, "clock": 90},
            {"end": "bearing_forward", "distance": 50, "clock": 90},
        ],
    },
    "hull": {
        "shaft_angle": {"to_waterline": 10},
        "run": 0,
        "deadrise": 15,
        "drop": {"square_to_shaft": 400},
        "thickness": 10,
    },
    "propeller": {"diameter": 600, "blades": 4, "hub_length": 100, "hub_gap": 35},
    "duty": {"boat_speed": 12},
}

_TWO = {
    "bearing": [
        {**SINGLE["bearing"], "length": 100},
        {**SINGLE["bearing"], "length": 100, "position": {"end": "barrel_forward", "distance": 0}},
    ],
    "barrel": {"length": 204},
    "set_screws": {
        "positions": [{"end": f"bearing_{e}", "distance": 25, "bearing": b} for b in (1, 2) for e in ("aft", "forward")]
    },
}
_SKEG = {
    "skeg": {
        "kind": "plate",
        "root_aft": 35,
        "root_forward": 185,
        "depth": 420,
        "tip_chord": 120,
        "sweep": 30,
        "thickness": 16,
        "root_fillet": 8,
        "heel": {
            "behind_barrel": 260,
            "below_shaft": 410,
            "stock_rake": {"from_square_to_shaft": 0},
            "pintle_diameter": 40,
            "height": 40,
            "foot_height": 40,
        },
    }
}
_VEE = {
    "identity": {"hand": "centre"},
    "construction": "welded",
    "materials": {"strut": "316L", "bolts": "A4-70"},
    "bearing": {"shell_material": "glass-epoxy shell"},
    "arms": {
        "arrangement": "vee",
        "included_angle": 60,
        "root_fillet": None,
        "section": {"shape": "flat", "chord": 140, "thickness": 20, "chord_at_palm": 140, "thickness_at_palm": 20},
    },
    "welds": {"prep": "double_bevel", "arm_to_palm_leg": 7},
    "bolts": {"pattern": {"pitch_across": 94}},
    "hull": {"deadrise": 0},
    "propeller": {"blades": 3},
}
_SLOTS = {
    "barrel": {
        "slots": {
            "count": 4,
            "width": 10,
            "length": 24,
            "first_clock": 45,
            "position": {"end": "barrel_forward", "distance": 50},
        }
    }
}
_STEPS = {
    "barrel": {
        "steps": [
            {"kind": "relief", "end": "barrel_aft", "start": 70, "length": 60, "diameter": 71},
            {"kind": "shoulder", "end": "barrel_forward", "length": 6, "diameter": 58},
        ]
    }
}
_SLEEVE = {"skeg": {**_SKEG["skeg"], "heel": {**_SKEG["skeg"]["heel"], "sleeve_wall": 3}}}  # type: ignore[dict-item]
_TUBE = {
    **_VEE,
    "barrel": {
        "outside_diameter": 102,
        "ends": {"forward": {"length": 10}},
        "tube": {"outside_diameter": 102, "wall": 20.5},
    },
}
_TURNED = {
    **_VEE,
    "barrel": {"ends": {"forward": {"length": 15}}, "tube": {"outside_diameter": 108, "wall": 25, "outside": "turned"}},
}
VARIANTS: dict[str, Said] = {
    "single": {},
    "two": _TWO,
    "skeg": _SKEG,
    "sleeve": _SLEEVE,
    "tube": _TUBE,
    "turned": _TURNED,
    "vee": _VEE,
    "slots": _SLOTS,
    "steps": _STEPS,
    "keel": {"identity": {"hand": "centre"}, "hull": {"deadrise": 0}},
    "slide": {
        "barrel": {"fit": "slide", "slide_clearance": 0.3, "bore": 70.3},
        "bearing": {"outside_upper": 0.0, "outside_lower": -0.03},
    },
    "flat": {"arms": {"section": {"shape": "flat"}}},
    "counterbored": {
        "bearing": {"outside_diameter": 72},
        "barrel": {
            "outside_diameter": 98,
            "steps": [{"kind": "counterbore", "end": "barrel_aft", "length": 203, "diameter": 72}],
        },
    },
    "over": {"palm": {"outline": {"length": 450}}, "hull": {"drop": {"square_to_shaft": 430}}},
    "bevel": {"palm": {"bevel": {"width": 6, "height": 6}}},
    "spot": {"set_screws": {"spot_face": 10}},
    "inclined": {"arms": {"stance": -15}},
    "aluminium": {
        "materials": {"strut": "5083-H111", "hull": "5083-H111"},
        "construction": "welded",
        "arms": {"root_fillet": None},
    },
}


_FLANGED: Said = {
    "part": "flanged_housing",
    **{key: SINGLE[key] for key in ("identity", "units", "construction", "shaft", "bearing", "propeller", "duty")},
    "materials": {"housing": "C95800", "bolts": "F468 C65100", "shaft": "316L", "base": "hardwood"},
    "barrel": {
        **{**SINGLE["barrel"], "length": 300},
        "ends": {"aft": {"shape": "tapered", "length": 20, "end_diameter": 80}, "forward": {"shape": "straight"}},
        "lead_in": {"aft": {"length": 3, "angle": 20}},
        "slots": {
            "count": 4,
            "width": 10,
            "length": 24,
            "first_clock": 45,
            "position": {"end": "barrel_forward", "distance": 70},
        },
    },
    "set_screws": SINGLE["set_screws"],
    "flange": {
        "thickness": 16,
        "outline": {"shape": "round", "diameter": 250},
        "root_fillet": 8,
        "gasket": {"thickness": 2, "recess": {"diameter": 130, "depth": 3}},
    },
    "bolts": {"fastener": "lag_screw", "size": "M12", "engaged": 100, "pattern": {"kind": "circle", "count": 8}},
    "base": {"bore": 97, "thickness": 180, "density": 660},
    "spigot": {"use": "base_bore", "outside_diameter": 96, "bore": 70, "length": 40},
}
_FLANGED["bolts"]["pattern"]["diameter"] = 200
_HOSED = {
    "construction": "welded",
    "materials": {"housing": "316L", "bolts": "A4-70", "base": "FRP laminate"},
    "bearing": {"shell_material": "glass-epoxy shell"},
    "barrel": {"slots": None},
    "flange": {
        "root_fillet": None,
        "weld_leg": 8,
        "gasket": {"recess": None},
        "off_square": {"profile": 5, "plan": 2},
        "ribs": {"count": 4, "thickness": 10, "along": 40, "out": 30, "first_clock": 0},
    },
    "bolts": {"fastener": "through_bolt", "engaged": None, "pattern": {"first": 22.5}},
    "base": {"bore": 110, "thickness": 30, "density": None, "water_inside": True},
    "spigot": {
        "use": "hose",
        "outside_diameter": 96,
        "hose_inside": 95,
        "length": 80,
        "barbs": {"count": 2, "height": 1},
        "clamps": {"count": 2, "width": 14},
    },
}
_THROUGH = {
    "spigot": None,
    "barrel": {"slots": None},
    "flange": {"position": {"end": "barrel_forward", "distance": 60}},
    "base": {"water_inside": True},
}
_LET_IN: Said = {
    "part": "let_in_housing",
    **{key: SINGLE[key] for key in ("identity", "units", "shaft", "bearing", "propeller", "duty")},
    "hold": "pressed",
    "materials": {"housing": "C95800", "bolts": "F468 C65100", "shaft": "316L", "base": "S275"},
    "barrel": {**SINGLE["barrel"], "length": 250, "ends": {"aft": {"shape": "straight"}}},
    "set_screws": SINGLE["set_screws"],
    "structure": {"kind": "skeg", "thickness": 190, "above": 150, "below": 180, "depth": 260, "isolated": True},
    "outside_steps": [{"length": 80, "diameter": 95}],
    "entry": {"length": 4, "angle": 15},
    "locking_screws": {
        "thread": "M12",
        "bite": 4,
        "positions": [{"distance": 100, "clock": 0}, {"distance": 100, "clock": -90}],
    },
    "drawing_holes": {"thread": "M6", "count": 4, "first_clock": 45},
}
_LAID = {
    "hold": "bedded",
    "entered_from": "forward",
    "materials": {"base": "hardwood"},
    "structure": {"kind": "keel", "thickness": 220, "isolated": None, "end": "closed", "water_inside": True},
    "outside_steps": None,
    "locking_screws": {"bushed": True},
}
_COLLARED = {
    "barrel": {"length": 270},
    "structure": {"kind": "tube", "thickness": None, "above": None, "below": None, "outside_diameter": 190},
    "outside_steps": None,
    "collar": {"diameter": 140, "thickness": 20},
    "drawing_holes": {"way": "jack", "thread": "M10"},
}
_COLLARED["structure"]["counterbore"] = {"diameter": 141, "depth": 8}  # type: ignore[index]
_SLOTTED = {
    "barrel": {
        "length": 330,
        "slots": {
            "count": 4,
            "width": 10,
            "length": 24,
            "first_clock": 45,
            "position": {"end": "barrel_forward", "distance": 60},
        },
    },
    "entered_from": "forward",
    "structure": {"end": "closed"},
    "stands_out": 90,
    "outside_steps": None,
}
_FUSED = {
    "hold": "welded",
    "materials": {"housing": "S275", "bolts": None},
    "bearing": {"shell_material": "glass-epoxy shell"},
    "outside_steps": None,
    "entry": None,
    "locking_screws": None,
    "welded": {"leg": 9, "clearance": 0.3},
}
HOUSINGS: dict[str, Said] = {
    **{"flanged": {}, "hosed": _HOSED, "through": _THROUGH},
    **{"let in": {}, "laid": _LAID, "collared": _COLLARED, "slotted": _SLOTTED, "fused": _FUSED},
}
"""Variants of a flanged housing, and of one that is let in."""
_LET_INS = ("let in", "laid", "collared", "slotted", "fused")
_SHOE: Said = {
    "part": "rudder_shoe",
    "identity": {"name": "Trial shoe", "drawing_number": "T-5", "hand": "centre"},
    "construction": "cast",
    "materials": {"shoe": "C95800", "bolts": "F468 C65100", "stock": "S32205", "keel": "hardwood"},
    "stock": {"diameter": 32, "rake": 4},
    "bush": {
        "outside_diameter": 45,
        "outside_upper": 0.04,
        "outside_lower": 0.03,
        "length": 38,
        "shell_material": "C90300",
        "position": {"face": "upper", "distance": 22},
    },
    "boss": {"length": 76, "wall": 11, "floor": {"thickness": 10, "sand_hole": 20}},
    "plate": {
        "position": {"face": "upper", "distance": 4},
        "thickness": 22,
        "outline": {"shape": "round_ended", "length": 540, "width": 120},
        "offset": {"forward": 215},
        "root_fillet": 8,
    },
    "bolts": {"size": "M12", "pattern": {"kind": "grid", "along": 4, "across": 2, "pitch_along": 70}},
    "keel": {"end": 150, "width": 160, "thickness": 240, "density": 660},
    "locking_screws": {"positions": [{"face": "bush_lower", "distance": 12, "clock": 180}]},
    "rudder": {"area": "0.30 m2", "height": 900, "mass": 28, "foot_gap": 12},
    "jumping_stop": {"gap": 4},
    "duty": {"boat_speed": 7, "displacement": 3200},
}
_SHOE["bolts"]["pattern"] |= {"pitch_across": 54, "aftmost": 200}
SHOES: dict[str, Said] = {"shoe": {}}
"""Variants of a rudder shoe."""
HANGERS: dict[str, Said] = {
    "hanger": {},
    "resin": {"under_foot": {"kind": "resin", "thickness": 14, "least": 11, "most": 17}},
    "screwed": {
        "set_screws": {"positions": [{"end": f"bearing_{e}", "distance": 40, "clock": 140} for e in ("aft", "forward")]}
    },
}
"""Variants of a hanger: of the shipped one with a split barrel."""


def merged(base: Said, change: Said) -> Said:
    """Return base with change laid over it, group by group; None takes a key away."""
    out = copy.deepcopy(base)
    for key, value in change.items():
        if value is None:
            out.pop(key, None)
        elif isinstance(value, dict) and isinstance(out.get(key), dict):
            out[key] = merged(out[key], value)
        else:
            out[key] = copy.deepcopy(value)
    return out


def said(variant: str = "single", change: Said | None = None) -> Said:
    """Return the parameters of a variant with a change laid over it."""
    base = _LET_IN if variant in _LET_INS else _FLANGED if variant in HOUSINGS else SINGLE
    base = _SHOE if variant in SHOES else base
    if variant in HANGERS:
        base = yaml.safe_load(loader.shipped()["tunnel-hanger"].read_text(encoding="utf-8"))
    whole = merged(base, {**VARIANTS, **HOUSINGS, **SHOES, **HANGERS}[variant])
    return merged(whole, change or {})


def read(data: Said) -> Resolved:
    """Return the resolved strut of parameters (JSON is YAML)."""
    return resolve(loader.loads(json.dumps(data)))


def strut(variant: str = "single", change: Said | None = None) -> Strut:
    """Return the strut of a variant with a change laid over it."""
    return read(said(variant, change)).strut


def of_code(findings: list[Finding], code: str) -> list[Finding]:
    """Return the findings of one code."""
    return [f for f in findings if f.code == code]


_ORDER = [Verdict.OK, Verdict.INFORMATION, Verdict.HINT, Verdict.NOT_CHECKED, Verdict.WARN, Verdict.FAIL]


def verdict(findings: list[Finding], code: str) -> Verdict:
    """Return the worst verdict under a code; fails the test when there is no such finding."""
    found = of_code(findings, code)
    assert found, f"no finding {code}"
    return max((f.verdict for f in found), key=_ORDER.index)


SETTING = re.compile(r"\b(?:[a-z_]+\.)*[a-z_]+: (?:true|open|cast|welded|double_bevel)\b")
"""What an advice quotes from a file, colon and all."""


def colons(finding: Finding) -> list[str]:
    """Return what a reader meets with two colons in one line: a line has one, before its numbers or its reason."""
    what, numbers = finding.about("mm"), finding.measure("mm")
    said = [f"{what}: {numbers}" if numbers else what]
    # These stand behind a word and a colon: why, do, source.
    said += [f"-: {read_words(w, 'mm')}" for w in (finding.why, finding.advice, finding.source)]
    return [s for s in said if SETTING.sub("", s).count(":") > 1]
