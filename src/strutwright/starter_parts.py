"""New sets of the parts that are no struts, from a few answers: the lightest that its check passes, commented."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

from strutwright.models.finding import Finding, Verdict, ranked
from strutwright.models.resolve import resolve
from strutwright.models.sizing.kinds import SIZED
from strutwright.models.sizing.known import SizingError
from strutwright.models.sizing.set_text import yaml_text
from strutwright.params import quantity
from strutwright.params.limits import Limits
from strutwright.params.loader import loads
from strutwright.params.problems import ParameterError
from strutwright.params.quantity import FileUnits
from strutwright.params.words import Amount
from strutwright.starter import Asked, DisagreeError, Question, Started, units_of
from strutwright.starter_set import SUCH_AS

Answers: TypeAlias = Mapping[str, str | float]
IN_HAND = "Take the bearing in hand and give outside_measured (by micrometer: the bore is made to it)."


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What starting a set has to know of a kind of part.

    default: the answer taken when none is given. known: what the answers say, as a file has it. usual: what
    is usual of the boat with these answers, for which the sizes are found; it is left open in the file. notes:
    comments to groups. group: one to try `meaning` on. tail: lines at the end of the file.
    """

    family: str
    questions: tuple[Question, ...]
    default: Callable[[Question, Answers], str]
    known: Callable[[Answers], dict[str, Any]]
    usual: Callable[[Answers], dict[str, Any]]
    notes: Callable[[Answers], dict[str, str]]
    group: str
    tail: Callable[[Answers], str]

    @property
    def asked(self) -> Asked:
        """Its questions, and the answer to each that is taken when none is given."""
        return self.questions, self.default


class _Started(Started):
    """As of a strut; which answers are behind a warning is not told."""

    def told(self, units: FileUnits) -> list[str]:
        """Return the warnings in words."""
        return [_line(f, units) for f in self.warnings]


def _line(finding: Finding, units: FileUnits) -> str:
    return f"{finding.about(units)}: {finding.measure(units)}"


def complete(part: Part, values: Answers, limits: Limits | None = None) -> Started:
    """Return a set that fails none of its own checks: the lightest for what is usual on such a boat, which the file
    leaves to be said. values: the answers of `ask`. Raises DisagreeError for answers that make no such part, or none
    that passes."""
    from strutwright.job import run_checks

    keys, units, usual = {q.key for q in part.questions[3:]}, units_of(values), part.usual(values)
    try:
        known = part.known(values)
        best = SIZED[part.family](
            {**known, **{g: {**known.get(g, {}), **own} for g, own in usual.items()}}, limits
        ).best
        data = best.make.data(best.sizes)
        for group, own in usual.items():
            data[group] = {name: value for name, value in data[group].items() if name not in own}
        text = _text(part, values, {k: v for k, v in data.items() if v != {}})
        found = ranked(run_checks(resolve(loads(text), limits), limits=limits))
    except SizingError as error:
        raise DisagreeError(f"your answers do not go together\n{error}", keys) from None
    except ParameterError as error:
        told = "\n".join(f"{p.path} {p.what}\n    do:      {p.advice}" for p in error.problems)
        raise DisagreeError(f"your answers do not go together\n{told}", keys) from None
    if failing := [f for f in found if f.fails]:
        told = "\n".join(_line(f, units) for f in failing)
        raise DisagreeError(f"no set for these answers passes its own check\n{told}", keys)
    return _Started(text, values, tuple(f for f in found if f.verdict is Verdict.WARN))


def _text(part: Part, values: Answers, data: dict[str, Any]) -> str:
    notes = {"units": "Bare numbers are in these; a quantity may carry its own unit.", **part.notes(values)}
    if not data.get("bearing"):
        notes.pop("bearing", None)
    bearing = (
        "# Sizes of bearing left out come from the example table. Take the bearing in hand and give outside_diameter\n"
        "#   (nominal), outside_measured, length, shell\n" * ("bearing" in part.notes(values))
    )
    return f"""# {values["name"]}: a parameter set for strutwright. A line `name: value` says one thing;
# what is left out is derived. `strutwright meaning {part.group} --part {part.family}` tells what a name means.
{bearing}{yaml_text(data, notes)}{part.tail(values)}"""


# --- what the kinds share -------------------------------------------------------------------------------------------


def first_questions(family: str, called: str) -> tuple[Question, Question, Question]:
    """Return the questions that every part begins with."""
    return (
        Question("name", f"What is the {called} called?", f"New {called}", part=family),
        Question("units", "Units of bare numbers?", "mm", ("mm", "in"), part=family),
        Question(
            "hand",
            "Which side of the boat? (pair: port and starboard)",
            "centre",
            ("port", "starboard", "centre", "pair"),
            "identity.hand",
            part=family,
        ),
    )


def whose(family: str, values: Answers) -> dict[str, Any]:
    """Return what those questions say, as a file has it."""
    identity = {"name": values["name"], "hand": values["hand"]}
    return {"part": family, "identity": identity, "units": values["units"]}


def exact(values: Answers, key: str) -> str:
    """Return a length that was answered, in the units of the file."""
    return exact_mm(float(values[key]), inch=units_of(values) == "in")


def exact_mm(mm: float, *, inch: bool) -> str:
    """Return a length (mm) as a file writes it, to six digits."""
    return f"{mm / quantity.INCH_MM:.6g} in" if inch else f"{mm:.6g} mm"


def rounded(mm: float, values: Answers, *, step_mm: float = 1.0) -> str:
    """Return a length (mm) up to a whole step, or an eighth of an inch, as it is answered."""
    inch = units_of(values) == "in"
    step = quantity.INCH_MM / 8 if inch else step_mm
    whole = -(-(mm - 1e-6) // step) * step
    return f"{whole / quantity.INCH_MM:g} in" if inch else f"{whole:g} mm"


def as_written(value: float, unit: str) -> str:
    """Return an amount in the project's own unit as a file writes it."""
    return Amount(value, unit).read("mm")


def by_shaft(values: Answers) -> dict[str, Any]:
    """Propeller and power that are usual on a shaft; common practice, no source: as on 30 mm, torque by the cube of
    the shaft, speed of the tips alike."""
    k = float(values["shaft"]) / 30.0
    return {
        "propeller": {
            "diameter": as_written(420 * k, "mm"),
            "blades": 3,
            "mass": as_written(9 * k**3, "kg"),
            "hub_length": as_written(80 * k, "mm"),
            "hub_gap": as_written(15 * k, "mm"),
        },
        "duty": {
            "power": as_written(18 * k**2, "kW"),
            "shaft_speed": as_written(1100 / k, "rpm"),
            "boat_speed": as_written(8.0, "kn"),
        },
    }


def on_shaft(values: Answers) -> str:
    """Return the comment to the shaft."""
    return (
        f"Measured with a micrometer, not nominal. bearing_span: such as {SUCH_AS[units_of(values)]['span']}, to the "
        "next bearing\n# forward, when it is known"
    )


def boat_lines(values: Answers) -> str:
    """Return the lines that leave propeller and duty open."""
    such = SUCH_AS[units_of(values)]
    return f"propeller: {{}}   # such as {such['propeller']}\nduty: {{}}   # such as {such['duty']}\n"
