"""What the page shows of a set, worked out from its text in a process of its own: plain data, of one text alone."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

MOST_TEXT = 256 * 1024
"""Bytes of a set that the page takes."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A set's text, the name that its faults are told by, and files of limits and of what was read in standards."""

    text: str
    name: str
    limits: str | None = None
    confirmations: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A finding as it stands on the page. code, what: which; calls: whether it is shown without asking."""

    code: str
    what: str
    verdict: str
    measure: str
    used: str
    utilisation: float
    notes: tuple[str, ...]
    source: str
    parameter: str
    calls: bool

    @property
    def key(self) -> tuple[str, str]:
        """What tells it from others, whatever the sizes."""
        return self.code, self.what


@dataclass(frozen=True, slots=True)
class Value:
    """A value of the set: as shown, where it comes from, and the rule."""

    shown: str
    origin: str
    note: str
    number: float | None
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """What follows from a text. faults: where it cannot be read or built, and then nothing else. rows: worst first.
    key_figures: a few numbers by their words."""

    text: str
    faults: tuple[str, ...] = ()
    family: str = ""
    title: str = ""
    hand: str = ""
    units: str = "mm"
    verdict: str = ""
    kind: str = ""
    tally: str = ""
    rows: tuple[Row, ...] = ()
    values: Mapping[str, Value] = field(default_factory=dict)
    key_figures: Mapping[str, str] = field(default_factory=dict)

    def called(self) -> list[Row]:
        """The findings that a person is told without asking, and those that are near their limit."""
        return [r for r in self.rows if r.calls or (r.used and r.utilisation >= 0.8)]


def ready() -> None:
    """Load what answers need, at the start of a process, so that the first one does not wait for it."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    from strutwright.params.loader import shipped

    first = next(iter(sorted(shipped().items())))
    answered(Asked(first[1].read_text(encoding="utf-8"), first[0]))


def answered(asked: Asked) -> Answered:
    """Return what follows from a text. It never raises for what a person may write."""
    from strutwright.cli import limits_in
    from strutwright.confirm_command import in_force
    from strutwright.errors import UserError
    from strutwright.params.problems import ParameterError

    if len(asked.text.encode("utf-8", "replace")) > MOST_TEXT:
        return Answered(text="", faults=(f"the set is longer than {MOST_TEXT // 1024} kB",))
    try:
        with in_force(asked.confirmations, None):
            return _answered(asked, limits_in(asked.limits))
    except ParameterError as error:
        return Answered(text=asked.text, faults=tuple(str(p) for p in error.problems))
    except UserError as error:
        return Answered(text=asked.text, faults=(str(error),))


def _answered(asked: Asked, limits: Any) -> Answered:
    from strutwright.job import run_checks
    from strutwright.models.finding import ranked, tally, verdict_line, worst
    from strutwright.models.resolve import resolve
    from strutwright.params.loader import loads
    from strutwright.show import value_text

    resolved = resolve(loads(asked.text, asked.name), limits)
    strut = resolved.strut
    units = strut.file_units
    findings = ranked(run_checks(resolved, limits=limits))
    rows = tuple(
        Row(
            code=f.code,
            what=f.about(units),
            verdict=f.verdict.value,
            measure=f.measure(units),
            used=f.against_limit(),
            utilisation=f.utilisation,
            notes=tuple(f.notes(units)),
            source=f.rests_on(units),
            parameter=f.parameter,
            calls=f.calls,
        )
        for f in findings
    )
    values = {
        r.path: Value(
            value_text(r, units), r.origin, r.note, None if isinstance(r.value, str) else float(r.value), r.unit
        )
        for r in resolved.records
    }
    wanted = {"strut_weight": "weight", "lowest_frequency": "lowest frequency", "arm_drag": "drag of the arms"}
    by_code = {r.code: r for r in reversed(rows)}
    figures = {words: by_code[code].measure for code, words in wanted.items() if code in by_code}
    return Answered(
        text=asked.text,
        family=strut.family,
        title=strut.identity.name,
        hand=strut.identity.stands,
        units=units,
        verdict=verdict_line(findings),
        kind=worst(findings).value if findings else "not checked",
        tally=tally(findings),
        rows=rows,
        values=values,
        key_figures={k: v for k, v in figures.items() if v},
    )


def quick(asked: Asked) -> str:
    """Return what the page's model shows of a set, as JSON text: the quick model, and the rows of its main sizes and of
    the places of findings; "" where the set cannot be read."""
    import json

    from strutwright.cli import limits_in
    from strutwright.confirm_command import in_force
    from strutwright.errors import UserError
    from strutwright.exporters.web.job_page import near
    from strutwright.exporters.web.quick import quick_model
    from strutwright.exporters.web.view_page import mark_rows, size_rows
    from strutwright.job import run_checks
    from strutwright.models.resolve import resolve
    from strutwright.params.loader import loads
    from strutwright.params.problems import ParameterError

    try:
        with in_force(asked.confirmations, None):
            limits = limits_in(asked.limits)
            resolved = resolve(loads(asked.text, asked.name), limits)
            findings = run_checks(resolved, limits=limits)
    except (ParameterError, UserError):
        return ""
    rows = {"sizes": size_rows(resolved.strut, ()), "marks": mark_rows(resolved.strut, near(findings))}
    told = json.dumps({key: "".join(lines) for key, lines in rows.items()})
    return f'{{"model":{quick_model(resolved.strut)},"rows":{told}}}'


def set_text(path: Path) -> str:
    """Return the text of a set's file, as its bytes say. Raises UserError where it cannot be read."""
    from strutwright.errors import UserError, no_place

    try:
        data = path.read_bytes()
        if len(data) > MOST_TEXT:
            raise UserError(f"{path}: is longer than {MOST_TEXT // 1024} kB")
        return data.decode("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise UserError(f"{path}: cannot be read ({no_place(path, error)})") from None
