"""A new parameter set from a few answers: the shortest file that is complete, commented for a newcomer."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass, replace
from typing import TypeAlias

from strutwright.models import frames
from strutwright.models.bolt_heads import USUAL
from strutwright.models.finding import Finding, Verdict, ranked
from strutwright.models.resolve import resolve
from strutwright.models.spec import Strut
from strutwright.params import quantity
from strutwright.params.families import root
from strutwright.params.fields import NOT_IN_NAMES
from strutwright.params.limits import Limits, standard
from strutwright.params.loader import kind_at, loads
from strutwright.params.part_kinds import STRUT
from strutwright.params.problems import ParameterError, shown
from strutwright.params.quantity import FileUnits
from strutwright.starter_set import (
    BEYOND,
    FEW_ROWS,
    HALF_VEE_DEG,
    HULLS,
    LONGER,
    LOOSER,
    MORE_ROWS,
    SLIMMER,
    SPARE,
    STEEPEST_DEG,
    THICK,
    THICKER,
    TIGHTER,
    Made,
    bolt_of,
    first_tried,
    lean_deg,
    write,
)


@dataclass(frozen=True, slots=True)
class Question:
    """One question of the starter. default: for a file in mm; inch: for one in inches, "" when it is the same. path:
    its place in the file of such a part. choices: all the answers that are allowed; empty for a quantity and a name."""

    key: str
    text: str
    default: str
    choices: tuple[str, ...] = ()
    path: str = ""
    inch: str = ""
    part: str = STRUT


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
    Question("hull", "What is the hull made of at the strut?", "laminate", tuple(HULLS), "materials.hull"),
    Question("construction", "Cast or welded?", "cast", ("cast", "welded"), "construction"),
    Question("arms", "One arm, or two in a vee?", "single", ("single", "vee"), "arms.arrangement"),
    Question("shaft", "Shaft diameter?", "40 mm", path="shaft.diameter", inch="1 1/4 in"),
    Question("angle", "Shaft angle to the waterline?", "10 deg", path="hull.shaft_angle.to_waterline"),
    Question("run", "Run: rise of the bottom going aft at the strut (0 where it is level)?", "0 deg", path="hull.run"),
    Question(
        "deadrise",
        "Deadrise: rise of the bottom going outboard at the strut (0 for a strut on the keel or on a flat pad)?",
        "0 deg",
        path="hull.deadrise",
    ),
    Question(
        "drop", "Drop, hull face to shaft line square to the shaft at mid-barrel?", "", path="hull.drop.square_to_shaft"
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
_THIN = {"palm_on_hull", "palm_spreads"}
"""Checks that a thicker palm helps, whether they fail or warn."""
SMALL_SHAFT_MM = 30.0
"""Up to which a vee takes a longer drop when none is given."""
SHAFTS_AWAY, MOST_SMALL = 11.3, 8.8
"""So many shafts from the hull along the arm of a vee, or of a small one so great a drop: more has arms longer than is
usual."""
LEAST_ROOT_MM = 2.0  # a fillet or leg under this is none


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


_NO_WAY = {
    "palm_spreads": "the arms of a vee on a bottom so steep lean so far on their palms that bolts stand far off for a "
    "wrench to pass, and no palm that can be made is stiff enough out there: a pad that turns each palm square to its "
    "arm, less deadrise or a single arm has none of it",
    "arm_length": "a vee on a bottom that rises to either side reaches farther the farther its feet stand apart, and "
    "nearer together they leave no room for palms that hold: only less drop or deadrise shortens it",
    "palm_on_hull": "plywood bears little across its grain, and no palm that can be made spreads that much: let in a "
    "pad of laminate or hardwood, or take it to the frames",
}
"""Why no proportions keep a check, where it is known."""


Values: TypeAlias = dict[str, str | float]
Prompt: TypeAlias = Callable[[Question, str, FileUnits], str]
Asked: TypeAlias = tuple[tuple[Question, ...], Callable[[Question, Mapping[str, str | float]], str]]
"""Questions, and the answer to each that is taken when none is given."""


def units_of(values: Mapping[str, str | float]) -> FileUnits:
    """Return the units of the file that answers make, mm while that has not been answered."""
    return "in" if values.get("units") == "in" else "mm"


def default_of(question: Question, values: Mapping[str, str | float]) -> str:
    """Return the answer taken when none is given, in the units answered before. Of an aluminium hull the strut is
    welded. The drop is six shafts or a little more, of a vee on a small shaft eight, and more where the bottom rises
    to either side of it: with less its feet come too near to each other for palms that hold."""
    inch = units_of(values) == "in"
    if question.key == "construction" and values.get("hull") == "aluminium":
        return "welded"
    if question.key == "drop":
        step = quantity.INCH_MM / 4 if inch else 5.0
        shaft_mm = float(values["shaft"])
        small = values["arms"] == "vee" and shaft_mm <= SMALL_SHAFT_MM
        shafts = 8.0 if small else 6.2
        if values["arms"] == "vee" and values["hand"] == "centre":
            rise = math.radians(float(values["deadrise"]))
            longest = max(SHAFTS_AWAY * math.cos(rise + math.radians(HALF_VEE_DEG[0])) / math.cos(rise), shafts)
            shafts = min(shafts * (1.0 + 0.8 * math.tan(rise)), MOST_SMALL if small else longest)
        mm = math.ceil(shafts * shaft_mm / step) * step
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
        return _quantity(question, text, units)
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


def _quantity(question: Question, text: str, units: FileUnits) -> float:
    """Read a quantity as a file would, ranges and all."""
    path = question.path
    *groups, name = path.split(".")
    data: dict[str, object] = {name: text}
    for group in reversed(groups):
        data = {group: data}
    kind = kind_at((*groups, name), root(question.part))
    assert kind is not None
    try:
        loads(json.dumps({"part": question.part, "units": units, **data}, ensure_ascii=False))
    except ParameterError as error:
        for problem in error.problems:
            if problem.path == path:
                raise AnswerError(f"{shown(text)!r} {problem.what}; allowed: {problem.allowed}") from None
    try:
        return quantity.parse(text, kind, units)
    except quantity.QuantityError as error:  # the text has what no file may have, which is told of the whole file
        raise AnswerError(f"{shown(text)!r} {error}; allowed: {error.allowed}") from None


def ask(
    answers: Mapping[str, str],
    prompt: Prompt | None,
    earlier: Mapping[str, str] | None = None,
    kind: Asked | None = None,
) -> Values:
    """Return values for every question, from `answers`, else by asking, else the default. kind: the questions of
    another kind of part than a strut, and their defaults.

    prompt: given a question, its default and the units of bare numbers returns the answer, "" for the default.
    earlier: answers of a round before, which then stand as the defaults. Raises AnswerError naming the question when
    an answer is not allowed.
    """
    out: Values = {}
    questions, usual = kind or (QUESTIONS, default_of)
    for question in questions:
        units = units_of(out)
        default = (earlier or {}).get(question.key) or usual(question, out)
        text = answers.get(question.key)
        if text is None:
            text = prompt(question, default, units) if prompt else ""
        try:
            out[question.key] = read_answer(question, text.strip() or default, units)
        except AnswerError as error:
            raise AnswerError(f"{question.key}: {error}") from None
    return out


@dataclass(frozen=True, slots=True)
class Started:
    """A new set: its text, the warnings that none was found without, and the answers that it was made by."""

    text: str
    answers: Mapping[str, str | float]
    warnings: tuple[Finding, ...] = ()

    def told(self, units: FileUnits) -> list[str]:
        """Return the warnings in words, each with the answers behind it."""
        return [
            f"{f.about(units)}: {f.measure(units)}{self._why(f.code)}; "
            f"answer behind it: {_in_words(_answers_behind(f.code, f.parameter))}"
            for f in self.warnings
        ]

    def _why(self, code: str) -> str:
        steep = (
            self.answers["arms"] == "vee" and self.answers["hand"] == "centre" and float(self.answers["deadrise"]) > 0.0
        )
        known = self.answers["hull"] == "plywood" if code == "palm_on_hull" else steep
        return f"; {_NO_WAY[code]}" if known and code in _NO_WAY else ""


def complete(values: Mapping[str, str | float], limits: Limits | None = None) -> Started:
    """Return a set that fails none of its own checks, with as few warnings as are found.

    values: the answers of `ask`. limits: those that it is to keep, as shipped when left out. Where the usual
    proportions fail or warn, a wider or narrower vee, more palm, a thicker one, larger and more bolts, longer welds,
    other places of the screws and a wider bore are tried. Raises UnmetError when nothing of it helps, DisagreeError for
    answers that make no strut.
    """
    limits = standard() if limits is None else limits
    best: Started | None = None
    unmet: DisagreeError | None = None
    for made in first_tried(values):
        try:
            found = _from(made, values, limits)
        except DisagreeError as error:
            unmet = unmet or error
            continue
        if best is None or len(found.warnings) < len(best.warnings):
            best = found
        if not best.warnings:
            break
    if best is None:
        assert unmet is not None
        raise unmet
    return best


def _from(made: Made, values: Mapping[str, str | float], limits: Limits) -> Started:
    """Return the set with the fewest warnings on the way from what is chosen at first."""
    from strutwright.job import run_checks

    tried = set[float]()
    usual: dict[str, Finding] = {}
    best: Started | None = None
    while True:
        text = write(values, made, limits)
        try:
            resolved = resolve(loads(text), limits)
        except ParameterError as error:
            if best is not None:
                return best
            raise _disagreement(error, values) from None
        found = [f for f in ranked(run_checks(resolved, limits=limits)) if f.verdict in (Verdict.FAIL, Verdict.WARN)]
        failing = {f.code: f for f in found if f.fails}
        if not failing and (best is None or len(found) < len(best.warnings)):
            best = Started(text, values, tuple(found))
        if not found:
            return Started(text, values)
        usual = usual or failing
        before = made
        made = _mended(made, {f.code: f for f in found}, failing, values, limits)
        if "screw_clear_of_arm" in failing:
            clock = _free_land(resolved.strut, tried)
            if clock is not None:
                tried.add(clock)
                made = replace(made, screws=clock)
        if made == before:
            if best is not None:
                return best
            raise UnmetError([usual.get(code, f) for code, f in failing.items()], units_of(values))


def _mended(
    made: Made,
    found: Mapping[str, Finding],
    failing: Mapping[str, Finding],
    values: Mapping[str, str | float],
    limits: Limits,
) -> Made:
    """Return what is chosen with what may mend the checks that fail; where none does, those that warn."""
    wider = made.vee + 1
    if "palms_apart" in failing and wider < len(HALF_VEE_DEG) and lean_deg(values, wider) <= STEEPEST_DEG:
        made = replace(made, vee=wider)
    if not made.class_ and ("shell_press_stress" in failing or "fit_kept" in found):
        made = replace(made, class_=LOOSER if "shell_press_stress" in failing else TIGHTER)
    room = _WANTS_ROOM & found.keys() or ("palm_on_hull" in found and made.spare < made.thicker)
    if room and made.spare + 1 < len(SPARE):
        made = replace(made, spare=made.spare + 1)
    if "backing_area" in found and made.beyond + 1 < len(BEYOND):
        made = replace(made, beyond=made.beyond + 1)
    made = _stronger(made, (failing.keys() | (_THIN & found.keys())) or found.keys(), values, limits)
    if any(code.startswith(("weld_lean_", "weld_barrel_")) for code in failing):
        made = replace(made, bevelled=True)
    for code, where in (("root_on_barrel", "barrel"), ("root_on_palm", "palm")):
        if code in failing and failing[code].actual >= LEAST_ROOT_MM:
            made = replace(made, roots=(*(r for r in made.roots if r[0] != where), (where, failing[code].actual)))
    return made


def _stronger(made: Made, broken: Set[str], values: Mapping[str, str | float], limits: Limits) -> Made:
    """Return what is chosen with larger or more bolts, a thicker palm (it bends less, and pries less at its bolts) or a
    longer weld, where one of these is broken."""
    bent, pressed, torn, welded, far = (
        any(code.startswith(part) for code in broken)
        for part in ("palm_bending_", ("palm_on_", "palm_spreads"), "palm_bolts_", "weld_palm_", "bolt_pitch_sealing")
    )
    if torn or "bolt_size" in broken:
        more = _more_bolts(made, values, limits)
        bent = bent or more == made
        made = more
    elif far and made.rows < MORE_ROWS:
        made = replace(made, rows=made.rows + 1)
    if bent and values["arms"] == "vee" and made.thicker >= THICK and made.slim + 1 < len(SLIMMER):
        made, bent = replace(made, slim=made.slim + 1), False
    if (bent or pressed) and made.thicker + 1 < len(THICKER):
        made = replace(made, thicker=made.thicker + 1)
    if welded and made.longer + 1 < len(LONGER):
        made = replace(made, longer=made.longer + 1)
    return made


def _more_bolts(made: Made, values: Mapping[str, str | float], limits: Limits) -> Made:
    """Return what is chosen with larger bolts while their heads stay flush, then a few more, then larger ones that are
    sunk in a bore, then more."""
    own, larger = (bolt_of(values, m, limits) for m in (made, replace(made, larger=made.larger + 1)))
    fits = larger != own and larger.major_mm <= limits["bolt_size_most"].value * float(values["shaft"])
    if fits and (larger.kind == own.kind == USUAL or made.rows >= FEW_ROWS):
        return replace(made, larger=made.larger + 1)
    return replace(made, rows=made.rows + 1) if made.rows < MORE_ROWS else made


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
