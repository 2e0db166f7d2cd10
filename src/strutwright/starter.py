"""A new parameter set from a few answers: the shortest file that is complete, commented for a newcomer."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from strutwright.models import frames, rules
from strutwright.models.edge_rules import EDGE_RULES
from strutwright.models.finding import Finding, Verdict, ranked
from strutwright.models.geometry.footprints import fillet_toe_mm
from strutwright.models.resolve import resolve
from strutwright.models.sections import usual_kind
from strutwright.models.spec import Strut
from strutwright.params import quantity, tables
from strutwright.params.fields import NOT_IN_NAMES
from strutwright.params.limits import Limits, standard
from strutwright.params.loader import kind_at, loads
from strutwright.params.problems import ParameterError, shown
from strutwright.params.quantity import FileUnits
from strutwright.params.schema import Bolts

HALF_VEE_DEG = (30.0, 35.0, 40.0, 50.0)
"""Half angles between the arms of a vee, tried in this order; the first is usual."""
SPARE = (0.0, 0.04, 0.08, 0.14, 0.2)
"""Shares of the chord by which the palm and its bolts stand farther from the arm, tried in this order."""


THICKER = (1.0, 1.15, 1.3, 1.5, 1.75, 2.0)
"""Times the usual thickness of the palm, tried in this order."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question of the starter. default: for a file in mm; inch: for one in inches, "" when it is the same. path:
    its place in the file. choices: all the answers that are allowed; empty for a quantity and for a name."""

    key: str
    text: str
    default: str
    choices: tuple[str, ...] = ()
    path: str = ""
    inch: str = ""


QUESTIONS = (
    Question("name", "What is the strut called?", "New strut"),
    Question("units", "Units of bare numbers?", "mm", ("mm", "in")),
    Question(
        "hand",
        "Which side of the boat? (pair: port and starboard)",
        "centre",
        ("port", "starboard", "centre", "pair"),
        "identity.hand",
    ),
    Question("construction", "Cast or welded?", "cast", ("cast", "welded"), "construction"),
    Question("arms", "One arm, or two in a vee?", "single", ("single", "vee"), "arms.arrangement"),
    Question("shaft", "Shaft diameter?", "40 mm", path="shaft.diameter", inch="1 1/4 in"),
    Question(
        "drop", "Drop, hull face to shaft line square to the shaft at mid-barrel?", "", path="hull.drop.square_to_shaft"
    ),
    Question("angle", "Shaft angle to the waterline?", "10 deg", path="hull.shaft_angle.to_waterline"),
    Question("run", "Run: rise of the bottom going aft at the strut (0 where it is level)?", "0 deg", path="hull.run"),
    Question(
        "deadrise",
        "Deadrise: rise of the bottom going outboard at the strut (0 for a strut on the keel or on a flat pad)?",
        "0 deg",
        path="hull.deadrise",
    ),
)
_WANTS_ROOM = {
    "arm_on_palm",
    "rim_to_arm_root",
    "driver_to_arm",
    "bolt_edge_distance",
    "bolt_inside_palm",
    "rim_to_edge",
    "bolt_pitch",
}
"""Checks that more palm round the arm helps."""
_WANTS_PALM = ("palm_bending_", "palm_bolts_")
"""How the codes of checks begin that a thicker palm helps: it is stiffer, and pries less at its bolts."""
_EDGE = EDGE_RULES[Bolts.model_fields["edge_rule"].default]
"""The rule for bolts of a file that names none."""
LEAST_ROOT_MM = 2.0  # a fillet or leg under this is none


@dataclass(frozen=True, slots=True)
class Made:
    """What is chosen beside the answers, each as a place in the order in which it is tried. screws: clock of the set
    screws, None for the usual one; class_: tolerance class of the bore, "" for the usual one; roots: size (mm) of the
    fillets or weld legs at barrel and palm where the usual ones do not fit; bevelled: the arms' ends are."""

    vee: int = 0
    spare: int = 0
    thicker: int = 0
    screws: float | None = None
    class_: str = ""
    roots: tuple[tuple[str, float], ...] = ()
    bevelled: bool = False


class AnswerError(ValueError):
    """An answer that is not allowed; the text says what is."""


class DisagreeError(ValueError):
    """Answers that do not go together; the text says why. answers: the keys of those to be given anew."""

    def __init__(self, text: str, answers: Set[str]) -> None:
        self.answers = answers
        super().__init__(text)


class UnmetError(DisagreeError):
    """Answers for which no set is found that passes its own check. findings: what fails whatever is tried, as it is
    with the usual proportions."""

    def __init__(self, findings: list[Finding], units: FileUnits) -> None:
        self.findings = findings
        behind = [_answers_behind(f.code, f.parameter) for f in findings]
        told = (
            f"{f.about(units)}: {f.measure(units)}\n    answer to change: {_in_words(answers)}"
            for f, answers in zip(findings, behind, strict=True)
        )
        text = "\n".join(["no set for these answers passes its own check", *told])
        super().__init__(text, {key for answers in behind for key in answers})


Values: TypeAlias = dict[str, str | float]
Prompt: TypeAlias = Callable[[Question, str, FileUnits], str]


def units_of(values: Mapping[str, str | float]) -> FileUnits:
    """Return the units of the file that answers make, mm while that has not been answered."""
    return "in" if values.get("units") == "in" else "mm"


def default_of(question: Question, values: Mapping[str, str | float]) -> str:
    """Return the answer taken when none is given, in the units answered before; the drop is six shafts or a little
    more."""
    inch = units_of(values) == "in"
    if question.key == "drop":
        step = quantity.INCH_MM / 2 if inch else 10.0
        mm = math.ceil(6.2 * float(values["shaft"]) / step) * step
        return f"{mm / quantity.INCH_MM:g} in" if inch else f"{mm:g} mm"
    return question.inch if inch and question.inch else question.default


def read_answer(question: Question, text: str, units: FileUnits) -> str | float:
    """Return an answer's value (mm, degrees or the choice). Raises AnswerError with what is allowed."""
    text = text.strip()
    if question.choices:
        if text not in question.choices:
            raise AnswerError(f"choose one of {', '.join(question.choices)}")
        return text
    if question.path:
        return _quantity(question.path, text, units)
    if (
        not text.isprintable()
        or len(text) > 80
        or set(text) & set(NOT_IN_NAMES)
        or ".." in text
        or not text.strip(" .")
    ):
        raise AnswerError(
            "use one line of plain text of at most 80 characters, without any of "
            f"{' '.join(NOT_IN_NAMES)} and without two dots in a row"
        )
    return text


def _quantity(path: str, text: str, units: FileUnits) -> float:
    """Read a quantity as a file would, ranges and all."""
    *groups, name = path.split(".")
    data: dict[str, object] = {name: text}
    for group in reversed(groups):
        data = {group: data}
    kind = kind_at((*groups, name))
    assert kind is not None
    try:
        loads(json.dumps({"units": units, **data}))
    except ParameterError as error:
        for problem in error.problems:
            if problem.path == path:
                raise AnswerError(f"{shown(text)!r} {problem.what}; allowed: {problem.allowed}") from None
    return quantity.parse(text, kind, units)


def ask(answers: Mapping[str, str], prompt: Prompt | None, earlier: Mapping[str, str] | None = None) -> Values:
    """Return values for every question, from `answers`, else by asking, else the default.

    prompt: given a question, its default and the units of bare numbers returns the answer, "" for the default.
    earlier: answers of a round before, which then stand as the defaults. Raises AnswerError naming the question when
    an answer is not allowed.
    """
    out: Values = {}
    for question in QUESTIONS:
        units = units_of(out)
        default = (earlier or {}).get(question.key) or default_of(question, out)
        text = answers.get(question.key)
        if text is None:
            text = prompt(question, default, units) if prompt else ""
        try:
            out[question.key] = read_answer(question, text.strip() or default, units)
        except AnswerError as error:
            raise AnswerError(f"{question.key}: {error}") from None
    return out


def complete(values: Mapping[str, str | float], limits: Limits | None = None) -> str:
    """Return the YAML text of a set that fails none of its own checks.

    values: the answers of `ask`. limits: those that it is to keep, as shipped when left out. Where the usual
    proportions fail, a wider vee, more palm, a thicker one, other places of the screws and a wider bore are tried.
    Raises UnmetError when nothing of it helps, DisagreeError for answers that make no strut.
    """
    from strutwright.job import run_checks

    limits = standard() if limits is None else limits
    made, tried = Made(), set[float]()
    usual: dict[str, Finding] = {}
    while True:
        text = write(values, made, limits)
        try:
            resolved = resolve(loads(text), limits)
        except ParameterError as error:
            raise _disagreement(error, values) from None
        found = [f for f in ranked(run_checks(resolved, limits=limits)) if f.verdict in (Verdict.FAIL, Verdict.WARN)]
        failing = {f.code: f for f in found if f.fails}
        tight = bool(_WANTS_ROOM & {f.code for f in found}) and made.spare + 1 < len(SPARE)
        if not failing and not tight:
            return text
        usual = usual or failing
        before = made
        if "palms_apart" in failing and made.vee + 1 < len(HALF_VEE_DEG):
            made = replace(made, vee=made.vee + 1)
        if "shell_press_stress" in failing and not made.class_:
            made = replace(made, class_="G7")
        if tight:
            made = replace(made, spare=made.spare + 1)
        if any(code.startswith(_WANTS_PALM) for code in failing) and made.thicker + 1 < len(THICKER):
            made = replace(made, thicker=made.thicker + 1)
        if failing.keys() & {"weld_lean_barrel", "weld_lean_palm"}:
            made = replace(made, bevelled=True)
        if "screw_clear_of_arm" in failing:
            clock = _free_land(resolved.strut, tried)
            if clock is not None:
                tried.add(clock)
                made = replace(made, screws=clock)
        for code, where in (("root_on_barrel", "barrel"), ("root_on_palm", "palm")):
            if code in failing and failing[code].actual >= LEAST_ROOT_MM:
                made = replace(made, roots=(*(r for r in made.roots if r[0] != where), (where, failing[code].actual)))
        if made == before:
            raise UnmetError([usual.get(code, f) for code, f in failing.items()], units_of(values))


def _free_land(strut: Strut, tried: Set[float]) -> float | None:
    """Return the clock (degrees) of a land of the bearing that is not tried yet, for the set screws: the one farthest
    from the arms of those not under the load."""
    bearing = strut.bearings[0]
    pitch = 360.0 / bearing.flute_count
    lands = [(bearing.flute_clock_deg + pitch * (k + 0.5) + 180.0) % 360.0 - 180.0 for k in range(bearing.flute_count)]
    away = {
        round(c, 3): min(frames.angle_between_deg(c, a.clock_deg) for a in strut.arms)
        for c in lands
        if frames.angle_between_deg(c, 180.0) > pitch / 2 and round(c, 3) not in tried
    }
    return max(away, key=lambda c: (round(away[c], 3), c)) if away else None


def _disagreement(error: ParameterError, values: Mapping[str, str | float]) -> DisagreeError:
    """Return the faults of the set that answers make in words of the answers: nobody has seen its lines."""
    units, told, named = units_of(values), list[str](), set[str]()
    for problem in error.problems:
        behind = _answers_behind(problem.path, problem.path)
        what = re.sub(r" \(\d+:\d+\)", "", problem.what)
        what = what if problem.path in _BEHIND else f"{problem.path} {what}".lstrip()
        answers = ", ".join(f"{q.key} ({_shown(values[q.key], q, units)})" for q in QUESTIONS if q.key in behind)
        told += [f"{answers}: {what}", f"    do:      {problem.advice}"]
        named |= behind.keys()
    return DisagreeError("\n".join(["your answers do not go together", *told]), named)


def _shown(value: str | float, question: Question, units: FileUnits) -> str:
    kind = kind_at(tuple(question.path.split("."))) if question.path else None
    if kind is None or isinstance(value, str):
        return str(value)
    return quantity.figure(*quantity.in_file_units(value, kind.unit, units))


Answers: TypeAlias = Mapping[str, str]
"""Keys of answers to change, each with how, "" where that is open."""
_BEHIND: Mapping[str, Answers] = {
    **{q.path: {q.key: ""} for q in QUESTIONS if q.path},
    "palms_apart": {"arms": "single", "drop": "more"},
    "palm_pitch": {"angle": "", "run": "their sum"},
    "palm_pitch_least": {"angle": "", "run": "their sum"},
    "palm_tilt": {"deadrise": "less", "arms": "single"},
    "identity.hand": {"hand": "", "deadrise": ""},
}
"""By the code of a check, or by the path of a fault."""
_BEHIND_GROUPS: Mapping[str, Answers] = {
    "hull.shaft_angle": {"angle": "", "run": ""},
    "hull.drop": {"drop": ""},
    "hull.": {"deadrise": "", "angle": ""},
    "set_screws": {"arms": "", "deadrise": ""},
    "arms": {"drop": "", "arms": "", "deadrise": ""},
    "palm": {"deadrise": "", "angle": "", "shaft": ""},
    "bolts": {"deadrise": "", "angle": "", "shaft": ""},
    "": {"shaft": "", "construction": ""},
}
"""By how the path of a parameter begins."""


def _answers_behind(code: str, parameter: str) -> Answers:
    """Return which answers a failing check hangs on, or a fault of a parameter."""
    groups = (answers for start, answers in _BEHIND_GROUPS.items() if parameter.startswith(start))
    return _BEHIND.get(code) or next(groups)


def _in_words(answers: Answers) -> str:
    """Return answers to change as a sentence has them."""
    *most, last = (f"{key} ({how})" if how else key for key, how in answers.items())
    before = ", or " if any(answers[key] for key in list(answers)[:-1]) else " or "
    return f"{', '.join(most)}{before}{last}" if most else last


@dataclass(frozen=True, slots=True)
class _Rule:
    """Sizes as they would be measured off, and as they are written in the file."""

    inch: bool

    def up(self, mm: float) -> float:
        """Round up to a whole mm or sixteenth of an inch."""
        step = quantity.INCH_MM / 16 if self.inch else 1.0
        return math.ceil(abs(mm) / step - 1e-6) * math.copysign(step, mm)

    def exact(self, mm: float) -> str:
        """Return a size as it is."""
        return f"{mm / quantity.INCH_MM:.6g} in" if self.inch else f"{mm:.6g} mm"

    def size(self, mm: float) -> str:
        """Return a size rounded up."""
        return self.exact(self.up(mm))

    def root(self, mm: float) -> str:
        """Return a fillet or leg, rounded down to a half mm or a thirty-second of an inch."""
        step = quantity.INCH_MM / 32 if self.inch else 0.5
        return self.exact(math.floor(mm / step + 1e-6) * step)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sizes:
    """Sizes that the answers lead to, mm. inboard: from the palm's middle to where the arm lands; rim: of the bolt
    head's countersink; along, across: places of the bolts from the middle of their pattern; ringed: whether bolts stand
    between the two rows at the palm's ends too."""

    chord: float
    thick: float
    bolt: str
    rim: float
    palm: float
    length: float
    width: float
    inboard: float
    apart: float
    across: float
    ringed: bool
    seals: float


def _sizes(values: Mapping[str, str | float], made: Made, rule: _Rule, limits: Limits) -> _Sizes:
    # Proportions: older practice for a single arm is a chord of 3.2 and a thickness of 0.52 shaft diameters, for each
    # leg of a vee 2.3 and 0.37 (common practice, from memory); the class-type second moment of 0.018 d^4 asks 0.54 of
    # a foil of 3.0; bolts a quarter to a third of the shaft.
    d, cast, vee = float(values["shaft"]), values["construction"] == "cast", values["arms"] == "vee"
    asked = {name: limit.value for name, limit in limits.items()}
    chord = rules.arm_chord_mm(d, vee=vee)
    thick = max(0.37, asked["arm_thickness_vee"]) * d if vee else (0.55 if cast else 0.52) * d
    bolt = _bolt(max(0.32, asked["bolt_size_least"]) * d, rule.inch)
    major, hole = tables.thread(bolt).major_mm, tables.clearance_hole_mm(bolt, "medium")
    rim = tables.countersunk_head(bolt).sharp_diameter_mm + 1.2
    sunk = (rim - major * 1.1) / 2 / (0.869 if rule.inch else 1.0)
    palm = THICKER[made.thicker] * max(
        0.36 * d,
        asked["palm_thickness"] * d,
        1.067 * sunk / asked["countersink_share"],
        sunk + asked["countersink_land"],
    )
    stood = _stood(values, made, chord, thick, palm, limits, rim)
    edge = max(_EDGE.edge_mm(bolt, major, hole, limits)[1], rim / 2 + asked["rim_to_edge"]) + 2
    pitch = max(asked[_EDGE.along], asked[_EDGE.across]) * _EDGE.of_mm(major, hole)
    apart = max(3.4 * major, pitch, rim + 6, 0.42 * chord)
    # Bolts seal so far apart. Where the two rows stand farther apart there is one more between them at each end, clear
    # of the arm's edges, and the rows grow to reach it.
    seals = max((asked["bolt_pitch_sealing"] - 0.1) * major, pitch)
    across = stood.low + stood.high
    if ringed := rule.up(across) > seals:
        apart = max(apart, 0.05 * chord + 0.5 * stood.foot + stood.root + rim / 2 + asked["rim_to_root"] + 3)
    return _Sizes(
        chord=chord,
        thick=thick,
        bolt=bolt,
        rim=rim,
        palm=palm,
        length=max(2 * apart + 2 * edge, 0.1 * chord + stood.foot + 2 * stood.root + 12),
        width=across + 2 * edge,
        inboard=palm * math.tan(stood.lean) + (stood.low - stood.high) / 2,
        apart=apart,
        across=across,
        ringed=ringed,
        seals=seals,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stood:
    """How the arm stands on its palm, mm. lean: from square to it, radians; foot: its length along; root: how far its
    root reaches along beyond that; low, high: from the arm's middle to the bolts on the side it leans to and on the
    other."""

    lean: float
    foot: float
    root: float
    low: float
    high: float


def _stood(
    values: Mapping[str, str | float], made: Made, chord: float, thick: float, palm: float, limits: Limits, rim: float
) -> _Stood:
    # An arm that leans on its palm: its root is longer on the low side, and a tool there has to clear the arm.
    inch, spare = values["units"] == "in", SPARE[made.spare] * chord
    lean, turn = _foot(values, HALF_VEE_DEG[made.vee])
    pitch = math.radians(float(values["angle"]) + float(values["run"]))
    if values["construction"] == "cast":
        root = rules.fillet_mm(thick, palm, limits)
        corners = (math.pi / 2 + turned for turned in (-lean, lean, -abs(pitch)))
        low_root, high_root, end_root = (float(fillet_toe_mm(root, corner)) for corner in corners)
    else:
        low_root = high_root = end_root = float(rules.leg_mm(thick, palm, rules.leg_share("none"), inch=inch))
    half = thick / 2 / math.cos(lean) + chord / 2 * math.tan(turn)
    beside = half + rim / 2 + spare
    clear, height = limits["rim_to_root"].value + 2, limits["driver_height"].value + 5
    return _Stood(
        lean=lean,
        foot=chord / math.cos(pitch) + 2 * spare,
        root=max(low_root, end_root),
        low=beside + max(low_root + clear, height * math.tan(lean) + limits["driver_to_arm"].value + 3.5),
        high=beside + high_root + clear,
    )


def _pattern(s: _Sizes, rule: _Rule, vee: bool) -> str:
    if not s.ringed:
        pitches = f"pitch_along: {rule.size(s.apart)}, pitch_across: {rule.size(s.across)}"
        return f"{{kind: grid, along: 3, across: 2, {pitches}}}"
    gaps = max(2, math.ceil(2 * rule.up(s.apart) / s.seals))
    along = [rule.up(s.apart) * (1 - 2 * n / gaps) for n in range(gaps + 1)]
    middle = rule.up(-s.inboard) if vee else 0.0
    points = [(u, v) for n, u in enumerate(along) for v in (1, 0, -1) if v or n in (0, gaps)]
    rows = (
        f"    {{forward: {rule.exact(u)}, port: {rule.exact(middle + v * rule.up(s.across) / 2)}}}" for u, v in points
    )
    return "{kind: points, points: [\n" + ",\n".join(rows) + "]}"


def _bearing_lines(values: Mapping[str, str | float], made: Made, rule: _Rule, limits: Limits) -> str:
    d = float(values["shaft"])
    lines = ""
    if values["construction"] != "cast" and (least := _clearance_left_mm(d, limits)):
        lines = f"bearing: {{running_clearance: {rule.exact(least)}}}   # order it so: pressing it in closes it\n"
    if made.class_:
        lines += f"barrel: {{bore_class: {made.class_}}}   # presses the thin shell less\n"
    return lines


def _screw_lines(values: Mapping[str, str | float], made: Made, rule: _Rule) -> str:
    if made.screws is None:
        return ""
    place = f"distance: {rule.size(float(values['shaft']))}, clock: {made.screws:g} deg"
    return "set_screws:     # on a land of the rubber, clear of the arms\n  positions:\n" + "".join(
        f"    - {{end: bearing_{end}, {place}}}\n" for end in ("aft", "forward")
    )


def write(values: Mapping[str, str | float], made: Made, limits: Limits) -> str:
    """Return the YAML text of a new set made from the answers of `ask`, whether it passes its check or not."""
    cast, vee = values["construction"] == "cast", values["arms"] == "vee"
    rule = _Rule(values["units"] == "in")
    s = _sizes(values, made, rule, limits)
    offset = f"  offset: {{port: {rule.size(-s.inboard)}}}   # the arm lands inboard of the middle\n" if vee else ""
    outline = ", ".join(
        f"{name}: {rule.size(mm)}"
        for name, mm in (("length", s.length), ("width", s.width), ("corner_radius", 0.5 * s.rim))
    )
    half_vee = HALF_VEE_DEG[made.vee]
    angle = (
        f"  included_angle: {2 * half_vee:g} deg   # not a multiple of the angle between two blades\n" if vee else ""
    )
    stance = "square_to_bottom" if values["hand"] != "centre" and float(values["deadrise"]) else "vertical"
    roots = ", ".join(f"{where if cast else f'arm_to_{where}_leg'}: {rule.root(mm)}" for where, mm in made.roots)
    fillets = f"  root_fillet: {{{roots}}}   # as large as fits\n" if roots and cast else ""
    joints = [*([roots] if roots else []), *(["prep: double_bevel"] if made.bevelled else [])]
    fits = "   # legs as large as fit" if roots else "   # too far from square for a plain fillet"
    welds = f"welds: {{{', '.join(joints)}}}{fits}\n" if joints and not cast else ""
    such = _SUCH_AS[units_of(values)]
    return f"""# {values["name"]}: a parameter set for strutwright. A line `name: value` says one thing;
# what is left out is derived. `strutwright meaning arms.section` tells what a name means.
identity:
  name: "{values["name"]}"
  hand: {values["hand"]}
units: {values["units"]}              # bare numbers; a quantity may carry its own unit
construction: {values["construction"]}
materials:
  strut: {"C95800" if cast else "316L"}
  hull: FRP laminate
shaft:
  diameter: {rule.exact(float(values["shaft"]))}     # measured with a micrometer, not nominal
  # bearing_span: {such["span"]}     # to the next bearing forward, when it is known
# bearing: sizes left out come from the example table. Take the bearing in hand and give outside_diameter (nominal),
#   outside_measured (by micrometer: the bore is made to it), length, shell
{_bearing_lines(values, made, rule, limits)}arms:
  arrangement: {values["arms"]}
{angle}  stance: {stance}
  section: {{shape: {usual_kind(cast=cast)}, chord: {rule.size(s.chord)}, thickness: {rule.size(s.thick)}}}
{fillets}palm:
  thickness: {rule.size(s.palm)}
{offset}  outline: {{shape: rectangle, {outline}}}
bolts:
  size: {s.bolt}
  pattern: {_pattern(s, rule, vee)}
{_screw_lines(values, made, rule)}{welds}hull:
  shaft_angle: {{to_waterline: {float(values["angle"]):g} deg}}
  run: {float(values["run"]):g} deg       # rise of the bottom going aft: the palm lies at the angle plus the run
  deadrise: {float(values["deadrise"]):g} deg
  drop: {{square_to_shaft: {rule.exact(float(values["drop"]))}, at: mid}}
  # thickness: {such["hull"]}     # of the hull under the palm, when it is known
propeller: {{}}   # such as {such["propeller"]}
duty: {{}}   # such as {such["duty"]}
"""


_SUCH_AS: Mapping[FileUnits, Mapping[str, str]] = {
    "mm": {
        "span": "1200 mm",
        "hull": "16 mm",
        "propeller": "{diameter: 500 mm, blades: 3, mass: 14 kg, hub_length: 90 mm, hub_gap: 25 mm}",
        "duty": "{power: 40 kW, shaft_speed: 1300 rpm, boat_speed: 9 kn}",
    },
    "in": {
        "span": "48 in",
        "hull": "5/8 in",
        "propeller": "{diameter: 20 in, blades: 3, mass: 31 lb, hub_length: 3 1/2 in, hub_gap: 1 in}",
        "duty": "{power: 54 hp, shaft_speed: 1300 rpm, boat_speed: 9 kn}",
    },
}
"""How what the file leaves open is written, to show it in comments."""


def _clearance_left_mm(shaft_mm: float, limits: Limits) -> float:
    """Return the running clearance that leaves the least allowed when a shell of the example table is pressed into a
    bore H7 at the tightest, 0 where the usual one does."""
    example = tables.bearing_example(shaft_mm, tolerance_mm=math.inf)
    assert example is not None
    outside = example.outside_mm * shaft_mm / example.shaft_mm
    try:
        pressed = rules.usual_interference_mm(outside)
    except tables.NotInTable:
        return 0.0  # nothing is assumed of so large a shell: its limits have to be given
    least = math.ceil((rules.least_clearance_mm(shaft_mm, limits) + pressed[1]) * 100) / 100
    return least if least > rules.running_clearance_mm(shaft_mm, pressed, limits) else 0.0


def _foot(values: Mapping[str, str | float], half_vee: float) -> tuple[float, float]:
    """Return how far an arm stands from square to its palm and how far its foot is turned on it, radians."""
    run, deadrise = float(values["run"]), float(values["deadrise"])
    pitch = float(values["angle"]) + run
    vee, off = values["arms"] == "vee", values["hand"] != "centre"
    tilt = frames.athwart_tilt_deg(deadrise, run, pitch, 1 if vee or off else 0)
    axes = frames.plane_axes(0.0, pitch, tilt)
    found = []
    for lean_out in (half_vee, -half_vee) if vee and off else (half_vee,) if vee else (0.0,):
        arm = frames.arm_direction(lean_out - (tilt if off else 0.0), 0.0)
        chord = np.array([1.0, 0.0, 0.0]) - axes.n[0] / float(arm @ axes.n) * arm
        found.append(
            (
                math.atan2(abs(float(arm @ axes.v)), float(arm @ axes.n)),
                abs(math.atan2(float(chord @ axes.v), float(chord @ axes.u))),
            )
        )
    return max(f[0] for f in found), max(f[1] for f in found)


def _bolt(wanted_mm: float, inch: bool) -> str:
    sizes = ("1/4", "5/16", "3/8", "1/2", "5/8", "3/4", "1") if inch else ("M6", "M8", "M10", "M12", "M16", "M20")
    for name in sizes:
        if tables.thread(name).major_mm >= wanted_mm - 1e-6:
            return name
    return sizes[-1]
