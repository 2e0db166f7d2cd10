"""The report of a job: checks, resolved values and weights as plain text, JSON and one HTML page.

All three say the same. They carry no clock, so equal jobs give equal bytes. The page needs nothing from outside and
prints on A4 or letter.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from html import escape
from textwrap import wrap
from typing import Any

from strutwright.exporters.web import tolerances
from strutwright.models.finding import Finding, Verdict, lacking, ranked, tally, worst
from strutwright.models.guidance import GUIDANCE
from strutwright.models.resolve.book import ValueRecord
from strutwright.models.tolerance_answers import Answers
from strutwright.params.quantity import FileUnits, figure, in_file_units, show
from strutwright.params.words import Text, read

_WIDTH = 100
_CONFIRMED = "Confirmed by the user"
_FROM_MEMORY = "Still from memory or of low confidence, by how many findings rest on it"
_MEMORY_HEADS = ("findings", "name", "value", "source")
_VALUE_HEADS = ("value", "is", "from", "note")


@dataclass(frozen=True, slots=True)
class Weight:
    """One part's weight: name, material, volume in mm3, mass in kg."""

    name: str
    material: str
    volume_mm3: float
    mass_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """All that a report says. units: of the parameter file; lengths in inches are given beside millimetres."""

    name: str
    drawing_number: str
    revision: str
    hand: str
    units: FileUnits
    version: str
    parameters_name: str
    parameters_sha256: str
    findings: tuple[Finding, ...]
    values: tuple[ValueRecord, ...]
    weights: tuple[Weight, ...]
    cautions: tuple[str, ...]
    loads: tuple[Mapping[str, object], ...] = ()
    """Rows of the table of load cases, all with the same keys."""
    fatigue: tuple[Mapping[str, object], ...] = ()
    """Rows of the table of fatigue, all with the same keys."""
    from_memory: tuple[tuple[str, str, str, str], ...] = ()
    """What findings rest on that is from memory, most used first: how many, name, value, source."""
    confirmed: tuple[tuple[str, str], ...] = ()
    """What the shop read in standards: name, against what."""
    tolerances: Answers | None = None
    """What tolerances from hull to shaft come to; None where the next bearing is not known."""

    @property
    def verdict(self) -> Verdict:
        """The worst of the findings; "not checked" when there are none."""
        return worst(list(self.findings)) if self.findings else Verdict.NOT_CHECKED

    @property
    def sentence(self) -> str:
        """The outcome in one sentence."""
        return tally(self.findings) if self.findings else "no checks were made"

    @property
    def title(self) -> str:
        """Name, drawing number, revision and hand."""
        hand = "on the centre line, no hand" if self.hand == "centre" else f"{self.hand} hand"
        return f"{self.name}, {self.drawing_number}, revision {self.revision}, {hand}"

    @property
    def mass_kg(self) -> float:
        """Weight of all parts, kg."""
        return sum(w.mass_kg for w in self.weights)


def load_row(row: Mapping[str, Any], units: FileUnits) -> dict[str, str]:
    """Return a row of a table of loads as text in the units of the file; "-" for what is not known."""
    out = {}
    for key, value in row.items():
        unit = next((u for u in ("N m", "N", "MPa") if key.endswith(f" {u}")), "")
        shown, name = in_file_units(0.0 if value is None or isinstance(value, (str, Text)) else value, unit, units)
        text = read(value, units) if isinstance(value, (str, Text)) else "-" if value is None else figure(shown)
        out[key.removesuffix(unit) + name] = text
    return out


def plain_row(row: Mapping[str, Any]) -> dict[str, Any]:
    """Return a row of a table of loads as plain data for JSON."""
    return {key: str(value) if isinstance(value, Text) else value for key, value in row.items()}


def _loads(report: Report) -> list[tuple[str, tuple[Mapping[str, object], ...]]]:
    """The tables of loads that there are, with their titles."""
    tables = (("Load cases", report.loads), ("Fatigue, ranges at full speed", report.fatigue))
    return [(title, rows) for title, rows in tables if rows]


def _mass(mass_kg: float, units: FileUnits) -> str:
    return f"{in_file_units(mass_kg, 'kg', units)[0]:.2f}"


def _weight_heads(units: FileUnits) -> tuple[str, str, str, str]:
    volume, mass = (in_file_units(0.0, unit, units)[1] for unit in ("cm3", "kg"))
    return "part", "material", f"volume {volume}", f"weight {mass}"


def _weight_rows(report: Report) -> list[tuple[str, ...]]:
    """The parts with volume and weight; last the weight of all."""
    units = report.units
    volumes = (f"{in_file_units(w.volume_mm3 / 1000, 'cm3', units)[0]:.1f}" for w in report.weights)
    rows = [(w.name, w.material, v, _mass(w.mass_kg, units)) for w, v in zip(report.weights, volumes, strict=True)]
    return [*rows, ("all", "", "", _mass(report.mass_kg, units))]


def _value_rows(report: Report) -> list[tuple[str, str, str, str]]:
    values = sorted(report.values, key=lambda v: v.path)
    return [(v.path, _value(v, report.units), v.origin, v.note) for v in values]


def _value(v: ValueRecord, units: FileUnits) -> str:
    return v.value if isinstance(v.value, str) else show(float(v.value), v.unit, units)


def report_text(report: Report) -> str:
    """Return the report as plain text, lines of at most 100 characters where words allow, ending in a newline."""
    lines = [
        report.title,
        f"from {report.parameters_name} (SHA-256 {report.parameters_sha256[:16]}), strutwright {report.version}",
        "",
        *wrap(report.sentence, _WIDTH),
        *(line for told in lacking(report.findings) or () for line in wrap(told, _WIDTH)),
        *wrap(GUIDANCE, _WIDTH),
    ]
    lines += _titled("Checks, what calls for attention first, then nearest to the limit")
    for f in ranked(list(report.findings)):
        measure, share = f.measure(report.units), f.against_limit()
        head = [f.verdict.sign, f"[{f.group}]", f.about(report.units) + (":" if measure else ""), measure]
        lines += _paragraph(" ".join(p for p in head if p) + (f" ({share})" if share else ""), 2)
        for note in f.notes(report.units):
            lines += _paragraph(note, 6)
        if f.source:
            lines += _paragraph(f"basis: {f.rests_on(report.units)}", 6)
    if report.confirmed:
        lines += _titled(_CONFIRMED)
        lines += [line for name, words in report.confirmed for line in _paragraph(f"{name}: {words}", 2)]
    if report.from_memory:
        lines += _titled(_FROM_MEMORY)
        for count, name, value, source in report.from_memory:
            lines += _paragraph(f"{count:>3}  {name}{f', {value}' if value else ''}: {source}", 2)
    for title, rows in _loads(report):
        lines += _titled(title)
        for row in rows:
            said = load_row(row, report.units)
            lines += _paragraph("; ".join(f"{k} {v}" for k, v in said.items() if v not in ("0", "", "-")), 2)
    if report.tolerances is not None:
        lines += _titled("Tolerances from hull to shaft")
        lines += [*_columns([tolerances.HEADS, *tolerances.answer_rows(report.tolerances)]), ""]
        shares = tolerances.share_rows(report.tolerances, report.units)
        lines += [*_columns([tolerances.SHARE_HEADS, *shares]), ""]
        for sentence in tolerances.sentences(report.tolerances, report.units):
            lines += _paragraph(sentence, 2)
    if report.weights:
        lines += _titled("Weights")
        lines += _columns([_weight_heads(report.units), *_weight_rows(report)], right=(2, 3))
    if report.values:
        lines += _titled("Values used")
        lines += _columns([_VALUE_HEADS, *_value_rows(report)])
    if report.cautions:
        lines += _titled("Cautions")
        for caution in report.cautions:
            lines += _paragraph(caution, 2)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _titled(title: str) -> list[str]:
    return ["", title, "-" * len(title)]


def _paragraph(text: str, indent: int) -> list[str]:
    return wrap(text, _WIDTH, initial_indent=" " * indent, subsequent_indent=" " * (indent + 4))


def _columns(rows: Sequence[Sequence[str]], right: Sequence[int] = ()) -> list[str]:
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    return [
        "  " + "  ".join(row[k].rjust(w) if k in right else row[k].ljust(w) for k, w in enumerate(widths))
        for row in rows
    ]


def report_json(report: Report) -> str:
    """Return the report as JSON text (UTF-8, one space of indent), ending in a newline."""
    values, head = ("path", "value", "unit", "origin", "note"), ("name", "drawing_number", "revision", "hand", "units")
    data = {
        **{key: getattr(report, key) for key in (*head, "version")},
        "parameters": {"name": report.parameters_name, "sha256": report.parameters_sha256},
        "verdict": report.verdict.value,
        "summary": report.sentence,
        "not_said": list(lacking(report.findings) or ()),
        "guidance": GUIDANCE,
        "findings": [f.as_dict() for f in ranked(list(report.findings))],
        "values": [
            {key: getattr(v, key) for key in values}
            | {"value": v.value if isinstance(v.value, str) else round(v.value, 9)}
            for v in sorted(report.values, key=lambda v: v.path)
        ],
        "confirmed": [{"name": name, "words": words} for name, words in report.confirmed],
        "from_memory": [dict(zip(_MEMORY_HEADS, row, strict=True)) for row in report.from_memory],
        "loads": [plain_row(row) for row in report.loads],
        "fatigue": [plain_row(row) for row in report.fatigue],
        "tolerances": None if report.tolerances is None else tolerances.as_data(report.tolerances),
        "weights": [
            asdict(w) | {"volume_mm3": round(w.volume_mm3, 3), "mass_kg": round(w.mass_kg, 6)} for w in report.weights
        ],
        "mass_kg": round(report.mass_kg, 6),
        "cautions": list(report.cautions),
    }
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


_STYLE = """
:root { color-scheme: light; }
body { font: 15px/1.45 "DejaVu Sans", Verdana, sans-serif; color: #1d2327; background: #fbfaf7; margin: 2rem auto;
 max-width: 62rem; padding: 0 1rem; }
h1 { font-size: 1.5rem; margin: 0; } h2 { font-size: 1.1rem; margin: 2rem 0 .5rem; }
p { margin: .4rem 0; } .where { color: #5b646b; }
.outcome { font-size: 1.1rem; border-left: .5rem solid #5f7f5a; padding: .3rem .8rem; background: #fff; }
.outcome.failure { border-color: #a23b2a; } .outcome.warning { border-color: #b98a1c; }
.guidance { font-style: italic; }
table { border-collapse: collapse; width: 100%; background: #fff; font-size: .9rem; }
th, td { text-align: left; vertical-align: top; padding: .3rem .5rem; border-bottom: 1px solid #d9d5cb; }
th { border-bottom: 2px solid #8a8576; } td.n, th.n { text-align: right; white-space: nowrap; }
td small { display: block; color: #5b646b; }
.mark { white-space: nowrap; font-weight: bold; }
tr.failure .mark { color: #a23b2a; } tr.warning .mark, tr.not-checked .mark { color: #8a6410; }
tr.ok .mark { color: #41643c; } tr.over .mark { color: #8a6410; }
td.bars { width: 24%; } .bar { display: block; height: .8rem; background: #0072b2; }
@media print { body { background: #fff; margin: 0; max-width: none; font-size: 10pt; padding: 0; }
 tr { break-inside: avoid; } h2 { break-after: avoid; } thead { display: table-header-group; } }
"""


def report_html(report: Report) -> str:
    """Return the report as one HTML page with its style inside; it refers to nothing outside."""
    e = escape
    title = report.title
    out = [
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width">',
        f"<title>{e(title)}</title>",
        f"<style>{_STYLE}</style>",
        "</head>",
        "<body>",
        f"<h1>{e(title)}</h1>",
        f'<p class="where">from {e(report.parameters_name)} (SHA-256 {e(report.parameters_sha256[:16])}), '
        f"strutwright {e(report.version)}</p>",
        f'<p class="outcome {_row_class(report.verdict)}">{e(report.sentence)}</p>',
        *(f"<p>{e(told)}</p>" for told in lacking(report.findings) or ()),
        f'<p class="guidance">{e(GUIDANCE)}</p>',
    ]
    out += _checks(report)
    out += _table(_CONFIRMED, ("what", "against"), [_row(row) for row in report.confirmed])
    out += _table(_FROM_MEMORY, _MEMORY_HEADS, [_row(row, (0,)) for row in report.from_memory], right=(0,))
    for title, loads in _loads(report):
        said = [load_row(row, report.units) for row in loads]
        out += _table(title, tuple(said[0]), [_row(tuple(row.values())) for row in said])
    if report.tolerances is not None:
        out += _tolerances(report.tolerances, report.units)
    if report.weights:
        *parts, whole = _weight_rows(report)
        rows = [*(_row(part, (2, 3)) for part in parts), _row(whole, (3,))]
        out += _table("Weights", _weight_heads(report.units), rows, right=(2, 3))
    if report.values:
        out += _table("Values used", _VALUE_HEADS, [_row(row) for row in _value_rows(report)])
    if report.cautions:
        out += ["<h2>Cautions</h2>", "<ul>", *(f"<li>{e(c)}</li>" for c in report.cautions), "</ul>"]
    return "\n".join([*out, "</body>", "</html>"]) + "\n"


def _checks(report: Report) -> list[str]:
    e = escape
    rows = []
    for f in ranked(list(report.findings)):
        notes = f.notes(report.units)
        if f.source:
            notes.append(f"basis: {f.rests_on(report.units)}")
        small = "".join(f"<small>{e(n)}</small>" for n in notes)
        row_class = _row_class(f.verdict) + (" over" if f.is_broken_hint else "")
        rows.append(
            f'<tr class="{row_class}"><td class="mark">{e(f.verdict.sign)}</td><td>{e(f.group)}</td>'
            f"<td>{e(f.about(report.units))}{small}</td><td>{e(f.measure(report.units))}</td>"
            f'<td class="n">{e(f.limit_used())}</td></tr>'
        )
    heads = ("outcome", "group", "check", "found and asked", "share")
    return _table("Checks, what calls for attention first, then nearest to the limit", heads, rows, right=(4,))


def _tolerances(found: Answers, units: FileUnits) -> list[str]:
    answers = [_row(row, (1, 2, 3, 4)) for row in tolerances.answer_rows(found)]
    out = _table("Tolerances from hull to shaft", tolerances.HEADS, answers, right=(1, 2, 3, 4))
    heads = _row(("", *tolerances.SHARE_HEADS), tag="th")
    rows = []
    for (share, *others), part in zip(tolerances.share_rows(found, units), found.drawn.shares, strict=False):
        wide = 100.0 * part.share / found.drawn.shares[0].share
        bar = f'<span class="bar" style="width:{wide:.1f}%"></span>'
        cells = "".join(f"<td>{escape(cell)}</td>" for cell in others)
        rows.append(f'<tr><td class="bars">{bar}</td><td class="n">{escape(share)}</td>{cells}</tr>')
    out += ["<table>", f"<thead>{heads}</thead>", "<tbody>", *rows, "</tbody>", "</table>"]
    return [*out, *(f"<p>{escape(sentence)}</p>" for sentence in tolerances.sentences(found, units))]


def _row_class(verdict: Verdict) -> str:
    """The class of a row on the page by how it stands."""
    return verdict.value.replace(" ", "-")


def _row(cells: Sequence[str], right: Sequence[int] = (), tag: str = "td") -> str:
    """A row of a table on the page; right: cells with figures."""
    marks = (' class="n"' if k in right else "" for k in range(len(cells)))
    shown = (f"<{tag}{mark}>{escape(cell)}</{tag}>" for cell, mark in zip(cells, marks, strict=True))
    return f"<tr>{''.join(shown)}</tr>"


def _table(title: str, heads: Sequence[str], rows: Sequence[str], right: Sequence[int] = ()) -> list[str]:
    if not rows:
        return []
    head = [f"<h2>{escape(title)}</h2>", "<table>", f"<thead>{_row(heads, right, 'th')}</thead>", "<tbody>"]
    return [*head, *rows, "</tbody>", "</table>"]
