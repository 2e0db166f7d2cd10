"""Text for a person: findings, values, differences. Nothing here computes."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Iterable, Mapping

from strutwright.exporters.web.report import load_row
from strutwright.models.finding import Finding, Verdict, hints_lacking, lacking, ranked, tally
from strutwright.models.guidance import GUIDANCE
from strutwright.models.resolve import ValueRecord
from strutwright.params.quantity import FileUnits, show


def wide() -> int:
    """Return the width to wrap at, in characters."""
    return min(shutil.get_terminal_size((100, 24)).columns, 120)


def finding_lines(finding: Finding, units: FileUnits) -> list[str]:
    """Return one finding as text lines, in the units of the file."""
    measure = finding.measure(units)
    share = ", ".join(p for p in (measure, finding.against_limit()) if p)
    lines = [f"{finding.verdict.sign:<12}{finding.code}  {finding.about(units)}{': ' if share else ''}{share}"]
    for note in finding.notes(units):
        lines += textwrap.wrap(note, wide(), initial_indent=" " * 12, subsequent_indent=" " * 16)
    if finding.verdict is not Verdict.OK and finding.source:
        lines += textwrap.wrap(
            f"source: {finding.rests_on(units)}", wide(), initial_indent=" " * 12, subsequent_indent=" " * 16
        )
    return lines


def findings_text(findings: Iterable[Finding], units: FileUnits, *, every: bool) -> str:
    """Return findings, worst first; without `every` only those that call, and what wants inputs in two lines."""
    listed = ranked(list(findings))
    shown = [f for f in listed if every or f.calls]
    lines = [line for f in shown for line in finding_lines(f, units)]
    wanting = lacking(listed)
    if wanting is not None:
        judged = any(f.missing and f.verdict is Verdict.NOT_CHECKED for f in listed)
        lines += [
            f"{(Verdict.NOT_CHECKED if judged else Verdict.INFORMATION).sign:<12}{wanting[0]}",
            *textwrap.wrap(
                wanting[1], wide(), initial_indent=" " * 12, subsequent_indent=" " * 16, break_on_hyphens=False
            ),
        ]
    hints = hints_lacking(listed)
    if hints and not every:
        lines.append(f"{'':<12}{hints}; `strutwright check FILE --every` names them")
    lines.append(tally(listed))
    lines += textwrap.wrap(GUIDANCE, wide())
    return "\n".join(lines)


def loads_text(rows: Iterable[Mapping[str, object]], units: FileUnits) -> str:
    """Return the load cases, one value a line, in the units of the file; what is nought or not known is left out."""
    lines = []
    for row in rows:
        lines.append(str(row["case"]))
        for key, value in load_row(row, units).items():
            if key != "case" and value not in ("0", "", "-"):
                lines.append(f"    {key:<26} {value}")
    return "\n".join(lines)


def value_text(record: ValueRecord, units: FileUnits) -> str:
    """Return the value of a record in the file's units."""
    return record.value if isinstance(record.value, str) else show(float(record.value), record.unit, units)


def values_text(records: Iterable[ValueRecord], units: FileUnits) -> str:
    """Return the resolved set as a table: path, value, where it comes from."""
    rows = [(r.path, value_text(r, units), r.origin + (f": {r.note}" if r.note else "")) for r in records]
    first, second = max(len(r[0]) for r in rows), max(len(r[1]) for r in rows)
    return "\n".join(f"{path:<{first}}  {value:<{second}}  {origin}" for path, value, origin in rows)


def compare_text(first: Iterable[ValueRecord], second: Iterable[ValueRecord], units: FileUnits) -> str:
    """Return what differs between two resolved sets."""
    left, right = {r.path: r for r in first}, {r.path: r for r in second}
    lines = []
    for path in sorted(left.keys() | right.keys()):
        a, b = left.get(path), right.get(path)
        ta, tb = (value_text(r, units) if r else "not given" for r in (a, b))
        if ta != tb:
            change = ""
            if a and b and isinstance(a.value, (int, float)) and isinstance(b.value, (int, float)) and a.value:
                change = f"  ({(b.value / a.value - 1) * 100:+.1f} %)"
            lines.append(f"{path:<36}  {ta}  ->  {tb}{change}")
    return "\n".join(lines) if lines else "the two sets resolve to the same values"
