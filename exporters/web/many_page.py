"""What a job of many sets leaves beside their folders: a table as CSV and as one HTML page with pictures."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from urllib.parse import quote

from strutwright.exporters.web.job_page import PAGE
from strutwright.exporters.web.palette import opened
from strutwright.models.guidance import GUIDANCE

STANDS = {0: "within limits", 1: "warnings", 2: "a check fails", 3: "cannot be used", 4: "not built"}
_COLUMNS = ("name", "status", "stands", "governs", "used", "weight", "files", "seconds", "tries", "memory_mb", "said")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What came of a set.

    status: as of a build, a key of STANDS. stands: in one line; governs, used: the finding nearest to its limit;
    weight: with its unit; said: what went wrong, "" where nothing did. pictures: paths within the folder of all.
    tries: how often it was begun; kept: whether an earlier build stands.
    """

    name: str
    status: int
    stands: str = ""
    governs: str = ""
    used: str = ""
    weight: str = ""
    said: str = ""
    files: int = 0
    pictures: tuple[str, ...] = ()
    seconds: float = 0.0
    memory_mb: float = 0.0
    tries: int = 1
    kept: bool = False


def table(rows: Sequence[Row]) -> str:
    """Return the table as CSV, RFC 4180, a row for each set."""
    out = io.StringIO()
    made = csv.writer(out, lineterminator="\r\n")
    made.writerow(_COLUMNS)
    made.writerows([STANDS.get(r.status, "") if c == "status" else getattr(r, c) for c in _COLUMNS] for r in rows)
    return out.getvalue()


def page(rows: Sequence[Row]) -> str:
    """Return the page: a line for each set, with its picture, how it stands and the way to its own page."""
    counts = [(words, sum(r.status == status for r in rows)) for status, words in STANDS.items()]
    told = ", ".join(f"{count} {words}" for words, count in counts if count)
    title = f"{len(rows)} {'strut' if len(rows) == 1 else 'struts'}"
    out = [
        *opened(title, _STYLE),
        f"<h1>{title}</h1>",
        f"<p>{escape(told)}</p>",
        f'<p class="guidance">{escape(GUIDANCE)}</p>',
        "<table>",
        "<thead><tr><th></th><th>strut</th><th>stands</th><th>nearest to its limit</th><th>weight</th></tr></thead>",
        "<tbody>",
        *(_line(row) for row in rows),
        "</tbody>",
        "</table>",
        "</body>",
        "</html>",
    ]
    return "\n".join(out) + "\n"


def _line(row: Row) -> str:
    name = escape(row.name)
    led = f'<a href="{escape(quote(f"{row.name}/{PAGE}"))}">{name}</a>' if row.files else name
    shown = "".join(
        f'<img loading="lazy" src="{escape(quote(p))}" alt="picture of the strut {name}">' for p in row.pictures
    )
    nearest = f"<b>{escape(row.used)}</b> {escape(row.governs)}" if row.governs else ""
    said = escape(row.said).replace("\n", "<br>")
    stands = f"{escape(row.stands)} {said}".strip() or STANDS.get(row.status, "")
    return (
        f'<tr class="s{row.status}"><td class="picture">{shown}</td><td>{led}</td>'
        f"<td>{stands}</td><td>{nearest}</td><td>{escape(row.weight)}</td></tr>"
    )


_STYLE = """
:root { color-scheme: light; }
body { font: 15px/1.45 "DejaVu Sans", Verdana, sans-serif; color: INK; background: PAPER; margin: 1rem auto;
 max-width: 76rem; padding: 0 1rem; }
a { color: LINK; } a:focus-visible { outline: 3px solid LINK; outline-offset: 2px; }
.guidance { font-style: italic; }
table { border-collapse: collapse; width: 100%; background: CARD; font-size: .9rem; }
th, td { text-align: left; vertical-align: top; padding: .4rem .6rem; border-bottom: 1px solid RULE; }
.picture img { display: inline-block; width: 8rem; height: 6rem; object-fit: contain; }
.s0 td:nth-child(3) { color: GOOD; } .s1 td:nth-child(3) { color: WATCH; }
.s2 td:nth-child(3), .s3 td:nth-child(3), .s4 td:nth-child(3) { color: BAD; }
@media print { tr { break-inside: avoid; } thead { display: table-header-group; } }
"""
