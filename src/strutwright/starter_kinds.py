"""What starting a set has to know of let-in housings, hangers and rudder shoes; and all kinds of part by their word."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from strutwright.models.sizing.known import family_of
from strutwright.models.sizing.let_in_size import SOFT
from strutwright.params import tables
from strutwright.starter import Question, units_of
from strutwright.starter_flange import BASES, FLANGED, LIGHT_TIMBER
from strutwright.starter_parts import (
    IN_HAND,
    Answers,
    Part,
    as_written,
    boat_lines,
    by_shaft,
    exact,
    first_questions,
    on_shaft,
    rounded,
    whose,
)
from strutwright.starter_set import SUCH_AS

_LET_IN, _HANGER, _SHOE = "let_in_housing", "shaft_hanger", "rudder_shoe"
_DENSITY = "Density of the timber, oven dry: oak 660, iroko 600, larch 520, Douglas fir 480"


def _plain(question: Question, values: Answers) -> str:
    return question.inch if units_of(values) == "in" and question.inch else question.default


def _soft(values: Answers) -> bool:
    return family_of(BASES[str(values["base"])]) in SOFT


def _bearing_mm(shaft_mm: float) -> float:
    """Outside diameter of the usual bearing."""
    example = tables.bearing_example(shaft_mm, tolerance_mm=math.inf)
    assert example is not None
    return example.outside_mm * shaft_mm / example.shaft_mm


# --- a let-in housing -----------------------------------------------------------------------------------------------

_LET_IN_QUESTIONS = (
    *first_questions(_LET_IN, "housing"),
    Question("base", "What is it let into?", "steel", tuple(BASES), "materials.base", part=_LET_IN),
    Question(
        "structure",
        "Into a skeg or keel with flat sides, or a round tube?",
        "skeg",
        ("skeg", "keel", "tube"),
        "structure.kind",
        part=_LET_IN,
    ),
    Question("hold", "How does it hold?", "", ("pressed", "bedded", "welded"), "hold", part=_LET_IN),
    Question("shaft", "Shaft diameter?", "40 mm", path="shaft.diameter", inch="1 1/4 in", part=_LET_IN),
    Question(
        "across",
        "Thickness of skeg or keel athwart, or outside diameter of the tube?",
        "",
        path="structure.thickness",
        part=_LET_IN,
    ),
    Question("depth", "Depth of the hole along the shaft?", "", path="structure.depth", part=_LET_IN),
)


def _let_in_default(question: Question, values: Answers) -> str:
    """Bedded in what is soft, welded into a tube; so thick that enough wall is left; so deep that the bond does."""
    if question.key == "hold":
        return "bedded" if _soft(values) else "welded" if values["structure"] == "tube" else "pressed"
    if question.key in ("across", "depth"):
        d, soft = float(values["shaft"]), _soft(values)
        if question.key == "depth":
            return rounded((7.0 if soft else 5.0) * d, values)
        hole = _bearing_mm(d) + 0.8 * d + 5.0
        return rounded((2.2 if soft else 1.5) * hole + 4.0, values)
    return _plain(question, values)


def _let_in_known(values: Answers) -> dict[str, Any]:
    size = "outside_diameter" if values["structure"] == "tube" else "thickness"
    return {
        **whose(_LET_IN, values),
        "hold": values["hold"],
        "materials": {"base": BASES[str(values["base"])]},
        "shaft": {"diameter": exact(values, "shaft")},
        "structure": {"kind": values["structure"], size: exact(values, "across"), "depth": exact(values, "depth")},
    }


def _let_in_notes(values: Answers) -> dict[str, str]:
    return {
        "shaft": on_shaft(values),
        "bearing": IN_HAND,
        "structure": "Measure it. above, below: from the shaft line to the nearest edge, cut-out or other hole.\n"
        "# water_inside: true where water is fed to the inner end from within; end: closed where the hole ends",
        "locking_screws": "Through the structure into the housing.",
    }


# --- a hanger -------------------------------------------------------------------------------------------------------

_HANGER_QUESTIONS = (
    *first_questions(_HANGER, "hanger"),
    Question("base", "What is the foot bolted to?", "laminate", tuple(BASES), "materials.base", part=_HANGER),
    Question("construction", "Cast or welded?", "cast", ("cast", "welded"), "construction", part=_HANGER),
    Question("barrel", "Barrel in one piece, or split with a cap?", "solid", ("solid", "split"), part=_HANGER),
    Question(
        "stands",
        "Where does the foot lie, seen from the shaft?",
        "above",
        ("above", "below", "port", "starboard"),
        "foot.stands",
        part=_HANGER,
    ),
    Question("shaft", "Shaft diameter?", "40 mm", path="shaft.diameter", inch="1 1/4 in", part=_HANGER),
    Question("height", "Shaft line over the bed, square to it?", "", path="foot.height", part=_HANGER),
    Question("forward", "Distance to the next bearing forward?", "", path="shaft.bearing_span", part=_HANGER),
    Question("aft", "Distance to the next bearing aft?", "", path="line.aft", part=_HANGER),
    Question("water", "How does water come to it?", "around", ("around", "fed"), "line.water", part=_HANGER),
)


def _hanger_default(question: Question, values: Answers) -> str:
    """Welded on aluminium; three shafts high; thirty shafts from bearing to bearing."""
    if question.key == "construction" and values.get("base") == "aluminium":
        return "welded"
    shafts = {"height": 3.0, "forward": 30.0, "aft": 30.0}.get(question.key)
    return _plain(question, values) if shafts is None else rounded(shafts * float(values["shaft"]), values)


def _hanger_known(values: Answers) -> dict[str, Any]:
    return {
        **whose(_HANGER, values),
        "construction": values["construction"],
        "materials": {"base": BASES[str(values["base"])]},
        "shaft": {"diameter": exact(values, "shaft"), "bearing_span": exact(values, "forward")},
        "line": {"aft": exact(values, "aft"), "water": values["water"]},
        **({"cap": {"bolts": {"hold": "through"}}} if values["barrel"] == "split" else {}),
        "foot": {"stands": values["stands"], "height": exact(values, "height")},
    }


def _hanger_notes(values: Answers) -> dict[str, str]:
    return {
        "shaft": "Measured with a micrometer, not nominal.",
        "bearing": IN_HAND,
        "cap": "The bore is machined with all shims in; one on each side is left out so that it grips.",
        "foot": "height: shaft line over the bedding face, square to it, at mid-barrel; skew: when it stands askew.",
        "under_foot": "With it the bore is brought to its height: it makes up what bed, bore and line may be off.",
    }


def _hanger_tail(values: Answers) -> str:
    such = SUCH_AS[units_of(values)]
    return (
        f"base: {{}}   # thickness: such as {such['hull']}, when it is known\nduty: {{}}   # such as {such['duty']}\n"
    )


# --- a rudder shoe --------------------------------------------------------------------------------------------------

_SHOE_QUESTIONS = (
    *first_questions(_SHOE, "rudder shoe"),
    Question("base", "What is the keel made of?", "timber", tuple(BASES), "materials.keel", part=_SHOE),
    Question("construction", "Cast or welded?", "cast", ("cast", "welded"), "construction", part=_SHOE),
    Question(
        "fastener",
        "How is it fastened?",
        "through_bolt",
        ("through_bolt", "stud", "lag_screw"),
        "bolts.fastener",
        part=_SHOE,
    ),
    Question(
        "stock", "Diameter of rudder stock or pintle?", "35 mm", path="stock.diameter", inch="1 1/2 in", part=_SHOE
    ),
    Question("end", "From the stock's axis forward to the keel's after end?", "", path="keel.end", part=_SHOE),
    Question("width", "Width of the keel's underside?", "", path="keel.width", part=_SHOE),
    Question("thick", "Thickness or depth of the keel where fasteners go?", "", path="keel.thickness", part=_SHOE),
    Question("area", "Area of one side of the rudder?", "", path="rudder.area", part=_SHOE),
    Question("speed", "Greatest speed of the boat?", "7 kn", path="duty.boat_speed", part=_SHOE),
)
_KEELS: Mapping[str, tuple[float, float]] = {
    "timber": (6.0, 8.0),
    "laminate": (5.0, 1.75),
    "steel": (5.0, 1.0),
    "aluminium": (5.0, 1.0),
}
"""Width and thickness of keels in stocks, where none is said; common practice, no source."""


_RUDDER_KG_M2 = 95.0
"""Mass of a rudder and its stock over the area of one side, for which sizes are found; common practice, no source."""


def _shoe_default(question: Question, values: Answers) -> str:
    """Welded on aluminium; the keel nearly five stocks away; a rudder by the square of the stock."""
    if question.key == "construction" and values.get("base") == "aluminium":
        return "welded"
    if question.key in ("end", "width", "thick", "area"):
        d = float(values["stock"])
        if question.key == "area":
            return f"{max(0.3 * (d / 32.0) ** 2, 0.01):.2g} m2"
        wide, thick = _KEELS[str(values["base"])]
        return rounded({"end": 4.75, "width": wide, "thick": thick}[question.key] * d, values)
    return _plain(question, values)


def _shoe_known(values: Answers) -> dict[str, Any]:
    timber = values["base"] == "timber"
    keel = {"end": exact(values, "end"), "width": exact(values, "width"), "thickness": exact(values, "thick")}
    return {
        **whose(_SHOE, values),
        "construction": values["construction"],
        "materials": {"keel": BASES[str(values["base"])]},
        "stock": {"diameter": exact(values, "stock")},
        "bolts": {"fastener": values["fastener"]},
        "keel": {**keel, **({"density": LIGHT_TIMBER} if timber else {})},
        "rudder": {"area": f"{float(values['area']):g} m2"},
        "duty": {"boat_speed": f"{float(values['speed']):g} kn"},
    }


def _shoe_notes(values: Answers) -> dict[str, str]:
    return {
        "stock": "Measured with a micrometer, over its sleeve. rake, cant: when it leans.",
        "bush": "Take the bush in hand and give outside_measured (by micrometer: the bore is made to it).",
        "keel": "end: from the stock's axis forward to the keel's after end."
        + f"\n# {_DENSITY}" * (values["base"] == "timber"),
        "rudder": "height, mass, foot_gap: when they are known.",
        "jumping_stop": "Set it so on hull or sternpost, close over a face of the rudder.",
        "duty": "displacement: when it is known, for what a grounding does.",
    }


PARTS: Mapping[str, Part] = {
    part.family: part
    for part in (
        FLANGED,
        Part(
            family=_LET_IN,
            questions=_LET_IN_QUESTIONS,
            default=_let_in_default,
            known=_let_in_known,
            usual=by_shaft,
            notes=_let_in_notes,
            group="structure",
            tail=boat_lines,
        ),
        Part(
            family=_HANGER,
            questions=_HANGER_QUESTIONS,
            default=_hanger_default,
            known=_hanger_known,
            usual=lambda values: {"duty": by_shaft(values)["duty"]},
            notes=_hanger_notes,
            group="foot",
            tail=_hanger_tail,
        ),
        Part(
            family=_SHOE,
            questions=_SHOE_QUESTIONS,
            default=_shoe_default,
            known=_shoe_known,
            usual=lambda values: {"rudder": {"mass": as_written(_RUDDER_KG_M2 * float(values["area"]), "kg")}},
            notes=_shoe_notes,
            group="plate",
            tail=lambda values: "",
        ),
    )
}
"""What starting a set has to know of every kind of part but the strut."""
