"""The page that a job's folder opens with: how the strut stands, and for each person the files that are theirs.

One HTML page that needs nothing but the files beside it, carries no clock, and prints its first page and the findings
that are near their limits; the rest by a tick at its head. Without a script it lacks the models and shows the pictures.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import PurePosixPath
from urllib.parse import quote

from strutwright.exporters.files import people
from strutwright.exporters.web import view_page
from strutwright.exporters.web.palette import opened
from strutwright.models.families import called
from strutwright.models.finding import Finding, Verdict, lacking, nearest, ranked, tally, verdict_line, worst
from strutwright.models.guidance import GUIDANCE
from strutwright.models.spec import Strut

PAGE = "index.html"
NEAR = 0.8
"""Share of a limit from which a finding is printed with the page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OneHand:
    """One hand on the page. findings: all that were made of it; earlier: whether its files are of an earlier build, so
    that what was found at its solid stands in its report alone; filled_in: paths of values that a rule filled in."""

    strut: Strut
    findings: tuple[Finding, ...]
    filled_in: frozenset[str] = frozenset()
    earlier: bool = False

    @property
    def name(self) -> str:
        """Of the hand, in words."""
        return self.strut.identity.stands


def near(findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings that a person is told without asking, and those at NEAR of their limit and more, as
    `ranked`.

    >>> near([])
    []
    """
    return [f for f in ranked(list(findings)) if f.calls or (f.limit_used() != "" and f.utilisation >= NEAR)]


def page(hands: Sequence[OneHand], files: Mapping[str, str], *, set_name: str = "parameters.yaml") -> str:
    """Return the page of a job.

    hands: of the job, one or two. files: path within the folder -> what it is, the hand last. set_name: the file of
    parameters in the folder, for the commands that are named.
    """
    identity = hands[0].strut.identity
    title = f"{identity.name}, {identity.number}, revision {identity.revision}"
    out = [
        *opened(title, view_page.STYLE + _STYLE, _scripts(files)),
        '<a class="skip" href="#files">to the files</a>',
        f"<header><h1>{escape(identity.name)}</h1><p>{_facts(hands)}</p></header>",
        f'<p class="guidance">{escape(GUIDANCE)}</p>',
        *_choices(),
        "<main>",
        *_abreast([_cover(h, files) for h in hands], "covers"),
        *_doors(hands, files, set_name),
        *_findings(hands),
        "</main>",
        "</body>",
        "</html>",
    ]
    return "\n".join(out) + "\n"


def _scripts(files: Mapping[str, str]) -> list[str]:
    """The models, and last what shows them; nothing of them stands in the page itself."""
    models = [path for path, what in sorted(files.items()) if what.startswith(view_page.MODEL)]
    return [f'<script defer src="{_link(path)}"></script>' for path in (*models, view_page.SCRIPT)] if models else []


def _facts(hands: Sequence[OneHand]) -> str:
    numbers = " and ".join(h.strut.identity.number for h in hands)
    told = [numbers, f"revision {hands[0].strut.identity.revision}", " and ".join(h.name for h in hands)]
    return " &middot; ".join(f"<b>{escape(t)}</b>" if k == 0 else escape(t) for k, t in enumerate(told))


def _choices() -> list[str]:
    """What is shown, or goes on paper, beside the first page and the findings near their limits."""
    return [
        '<form class="more">',
        '<label><input type="checkbox" id="all-findings"> show and print all findings</label>',
        '<label><input type="checkbox" id="paper-files"> print the files of each person too</label></form>',
    ]


def _abreast(columns: Sequence[Sequence[str]], called: str) -> list[str]:
    if len(columns) == 1:
        return [*columns[0]]
    return [f'<div class="abreast {called}">', *(line for c in columns for line in c), "</div>"]


def _own(hand: OneHand, files: Mapping[str, str]) -> dict[str, str]:
    """The files of a hand, with what they are but for the hand; those of no hand go with each."""
    own = {}
    for path, what in files.items():
        words, _, of = what.rpartition(", ")
        if of == hand.strut.identity.hand:
            own[path] = words
        elif of not in ("port", "starboard", "centre"):
            own[path] = what
    return own


def _cover(hand: OneHand, files: Mapping[str, str]) -> list[str]:
    own = _own(hand, files)
    picture = next((p for p, what in own.items() if what.startswith("picture of the whole ")), None)
    out = ['<section class="cover">', f"<h2>{escape(hand.name.capitalize())}</h2>"]
    shown: list[str] = []
    if picture is not None:
        of = escape(f"picture of the {called(hand.strut)}, {hand.name}")
        shown.append(f'<img class="built" src="{_link(picture)}" alt="{of}">')
    model = next((p for p, what in own.items() if what == view_page.MODEL), None)
    if model is not None:
        shown += view_page.view(hand.strut, PurePosixPath(model).stem, hand.findings, near(hand.findings))
    if shown:
        out += ['<div class="shown">', *shown, "</div>"]
    out.append('<div class="told">')
    units = hand.strut.file_units
    kind = worst(list(hand.findings)).value.replace(" ", "-") if hand.findings else "not-checked"
    out.append(f'<p class="verdict {kind}">{escape(verdict_line(hand.findings))}</p>')
    if hand.earlier:
        out.append("<p>Built earlier, from the same parameters: what was found at the solid stands in its report.</p>")
    if rows := nearest(hand.findings, hand.filled_in):
        out.append("<p>Nearest to the limit:</p><ol>")
        out += [
            f"<li><b>{escape(f.limit_used())}</b> {escape(f.about(units))}"
            f"{'' if f.verdict is Verdict.OK else f' ({escape(f.verdict.value)})'}</li>"
            for f in rows
        ]
        out.append("</ol>")
    out += [
        f'<p class="small">{escape(f.about(units).capitalize())}: {escape(f.measure(units))}</p>'
        for f in hand.findings
        if f.code == "strut_weight"
    ]
    out.append(f'<p class="small">{escape(tally(hand.findings))}</p>')
    out += [f'<p class="small">{escape(told)}</p>' for told in lacking(hand.findings) or ()]
    links = [
        f'<a href="{_link(path)}">{words}</a>'
        for ending, words in (("-summary.pdf", "summary to pin up (PDF)"), (".html", "whole report"))
        for path in own
        if path.startswith("report/") and path.endswith(ending)
    ]
    if links:
        out.append(f'<p class="links">{" &middot; ".join(links)}</p>')
    return [*out, "</div></section>"]


# --- the doors ------------------------------------------------------------------------------------------------------

_GROUPS = {
    "sheets": "Sheets",
    "solids": "Solids",
    "finished-size": "Outlines of the finished part, full size",
    "pattern-size": "At pattern size: the contraction is in, do not add it again",
    "templates": "Templates, full size",
    "tables": "Tables",
    "meshes": "Meshes",
    "report": "Report",
    "": "Pictures and parameters",
}
_KINDS = {"STEP": "STEP", "HTML": "page", "TXT": "text", "YAML": "YAML", "PNG": "picture", "SVG": "SVG", "PY": "Python"}


def _doors(hands: Sequence[OneHand], files: Mapping[str, str], set_name: str) -> list[str]:
    shown = people.who(hands[0].strut)
    links = " ".join(f'<a href="#{_anchor(p)}">{escape(p)}</a>' for p in shown)
    out = ['<section class="files" id="files">', f'<nav aria-label="people">For the {links}</nav>']
    for person in shown:
        out.append(f'<section class="door" id="{_anchor(person)}"><h2>For the {escape(person)}</h2>')
        columns = []
        for hand in hands:
            own = _own(hand, files)
            taken = {p: own[p] for p in people.parted(sorted(own), hand.strut)[person]}
            head = [f"<h3>{escape(hand.name.capitalize())}</h3>"] if len(hands) > 1 else []
            columns.append(["<div>", *head, *_files(taken, own), "</div>"])
        out += _abreast(columns, "lists")
        strut = hands[0].strut
        out += ["<h3>Still to measure or ask</h3>", "<ul>"]
        for task in people.tasks(person, strut, set_name):
            command = f"<br><code>{escape(task.command)}</code>" if task.command else ""
            out.append(f"<li>{escape(task.what[:1].upper() + task.what[1:])}.{command}</li>")
        out += ["</ul>", "<h3>Cautions</h3>", '<ul class="cautions">']
        out += [f"<li>{escape(c)}</li>" for c in people.warned(person, strut)]
        out += ["</ul>", "</section>"]
    return [*out, "</section>"]


def _anchor(person: str) -> str:
    return f"for-{person.replace(' ', '-')}"


def _link(path: str) -> str:
    return escape(quote(path))


def _files(taken: Mapping[str, str], own: Mapping[str, str]) -> list[str]:
    """The files of a person, group by group: sheets as thumbnails, others by what they show with a link for each
    kind of file."""
    if not taken:
        return ["<p>Nothing of theirs was written.</p>"]
    pictures = _thumbnails(taken, own)
    seen = {path for one in pictures for path in one.paths}
    out = ['<div class="sheets">', *(one.html for one in pictures), "</div>"] if pictures else []
    for folder, title in _GROUPS.items():
        rows: dict[str, list[str]] = {}
        for path, what in taken.items():
            top, slash, _ = path.partition("/")
            if path not in seen and (top if slash else "") == folder:
                rows.setdefault(_label(folder, what), []).append(path)
        if rows:
            out += [f"<h4>{escape(title)}</h4>", '<ul class="list">']
            for label, paths in rows.items():
                links = " ".join(f'<a href="{_link(p)}">{_kind(p)}</a>' for p in paths)
                out.append(f"<li>{escape(label)} <span>{links}</span></li>")
            out.append("</ul>")
    return out


def _label(folder: str, what: str) -> str:
    """What a file shows, alike for all the kinds of file that show it."""
    if folder in ("templates", "finished-size", "tables"):
        return what.rpartition(": ")[2]
    if folder == "pattern-size":
        shown = what.partition("; ")[0]
        return re.sub(r", (solid|mesh|template) at pattern scale( in mm)?$", "", shown)
    return what


def _kind(path: str) -> str:
    place = PurePosixPath(path)
    ending = place.suffix.lstrip(".").upper()
    paper = place.parent.name if place.parts[0] == "templates" and ending == "PDF" else ""
    paper = {"a4": "A4", "letter": "Letter"}.get(paper, paper)
    return f"PDF, {paper}" if paper else _KINDS.get(ending, ending)


@dataclass(frozen=True, slots=True)
class _Thumbnail:
    html: str
    paths: tuple[str, ...]


def _thumbnails(taken: Mapping[str, str], own: Mapping[str, str]) -> list[_Thumbnail]:
    """The sheets among a person's files: the preview leads to its page in the PDF of all."""
    out = []
    for path, what in sorted(taken.items(), key=lambda one: (not one[0].startswith("sheets/"), one[0])):
        told = re.fullmatch(r"sheet (\d+), (.*), preview", what)
        if told is None:
            continue
        number, words = told.groups()
        stem = path.removesuffix(".png")
        pdf = next((p for p, w in own.items() if _same_folder(p, path) and "sheets, true to scale" in w), None)
        page_of = f"{_link(pdf)}#page={number}" if pdf is not None else _link(path)
        kinds = [p for p in (f"{stem}.dxf", f"{stem}.svg") if p in taken]
        links = [f'<a href="{page_of}">PDF</a>'] if pdf is not None else []
        links += [f'<a href="{_link(p)}">{_kind(p)}</a>' for p in kinds]
        html = (
            f'<figure><a href="{page_of}"><img loading="lazy" src="{_link(path)}" '
            f'alt="sheet {number}, {escape(words)}"></a>'
            f"<figcaption>{escape(words)} <span>{' '.join(links)}</span></figcaption></figure>"
        )
        out.append(_Thumbnail(html, (path, *kinds)))
    return out


def _same_folder(one: str, other: str) -> bool:
    return PurePosixPath(one).parent == PurePosixPath(other).parent


# --- findings -------------------------------------------------------------------------------------------------------


def _findings(hands: Sequence[OneHand]) -> list[str]:
    out: list[str] = []
    for hand in hands:
        close = near(hand.findings)
        rest = [f for f in ranked(list(hand.findings)) if f not in close]
        of = f", {hand.name}" if len(hands) > 1 else ""
        out += [
            f'<section class="findings"><h2>Findings that call, or stand at {NEAR:.0%} of their limit and more'
            f"{escape(of)}</h2>",
            *_table(close, hand, 1),
            f'<div class="all"><h2>All the others{escape(of)}</h2>',
            *_table(rest, hand, 1 + len(close)),
            "</div></section>",
        ]
    return out


def _table(findings: Sequence[Finding], hand: OneHand, first: int) -> list[str]:
    """The rows of findings, numbered from the first one's number on."""
    if not findings:
        return ["<p>None.</p>"]
    units = hand.strut.file_units
    rows = []
    for number, f in enumerate(findings, first):
        notes = "".join(f"<small>{escape(n)}</small>" for n in f.notes(units))
        kind = f.verdict.value.replace(" ", "-") + (" over" if f.is_broken_hint else "")
        rows.append(
            f'<tr class="{kind}"><td class="n">{number}</td><td class="how">{escape(f.verdict.sign)}</td>'
            f"<td>{escape(f.about(units))}{notes}</td><td>{escape(f.measure(units))}</td>"
            f'<td class="n">{escape(f.limit_used())}</td></tr>'
        )
    head = (
        "<thead><tr><th>no.</th><th>stands</th><th>check</th><th>found and asked</th><th>limit used</th></tr></thead>"
    )
    return ["<table>", head, "<tbody>", *rows, "</tbody>", "</table>"]


_STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { font: 16px/1.5 "DejaVu Sans", Verdana, sans-serif; color: INK; background: PAPER; margin: 0 auto;
 max-width: 76rem; padding: 1rem; }
a { color: LINK; } a:focus-visible, input:focus-visible { outline: 3px solid LINK;
 outline-offset: 2px; }
.skip { position: absolute; left: -99rem; } .skip:focus { left: 1rem; top: .5rem; background: CARD; padding: .3rem; }
h1 { font-size: 1.7rem; margin: 0; line-height: 1.2; } header p { margin: .2rem 0; font-size: 1.05rem; }
h2 { font-size: 1.2rem; margin: 1.6rem 0 .5rem; } h3 { font-size: 1rem; margin: 1rem 0 .3rem; }
h4 { font-size: .95rem; margin: .8rem 0 .2rem; color: QUIET; }
p { margin: .4rem 0; } ol, ul { margin: .3rem 0; padding-left: 1.4rem; }
code { font-size: .85rem; word-break: break-word; }
.guidance { font-style: italic; max-width: 60rem; } .small { font-size: .85rem; color: QUIET; }
.abreast { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 24rem), 1fr)); gap: 1.5rem; }
.cover { background: CARD; padding: 1rem 1.2rem; border: 1px solid RULE; border-top: .4rem solid STEEL; }
.cover h2 { margin-top: 0; } .shown { min-width: 0; }
.built { display: block; width: 100%; max-height: 24rem; object-fit: contain; }
@media (min-width: 52rem) { main > .cover { display: grid; grid-template-columns: 3fr 2fr; gap: 0 1.5rem; } }
main > .cover h2 { grid-column: 1 / -1; }
.verdict { font-size: 1.15rem; font-weight: bold; padding: .3rem .8rem; border-left: .5rem solid GOOD; }
.verdict.failure { border-color: BAD; color: BAD; } .verdict.warning, .verdict.not-checked { border-color: WATCH; }
nav { position: sticky; top: 0; background: PAPER; padding: .6rem 0; border-bottom: 1px solid RULE; z-index: 1; }
nav a { display: inline-block; margin: .1rem .2rem; padding: .2rem .6rem; background: CARD; border: 1px solid RULE; }
.door { scroll-margin-top: 4rem; border-bottom: 1px solid RULE; padding-bottom: 1rem; }
.sheets { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(100%, 15rem), 1fr)); gap: .8rem; }
figure { margin: 0; background: CARD; border: 1px solid RULE; padding: .4rem; }
figure img { display: block; width: 100%; height: 10.5rem; object-fit: contain; background: #fff; }
figcaption { font-size: .9rem; } figcaption span, .list span { white-space: nowrap; }
figcaption span a, .list span a { margin-left: .4rem; }
.list { list-style: none; padding: 0; columns: 24rem 2; column-gap: 2rem; font-size: .92rem; }
.lists .list { columns: 1; } .list li { break-inside: avoid; padding: .12rem 0; border-bottom: 1px dotted RULE;
 display: flex; justify-content: space-between; gap: .8rem; flex-wrap: wrap; }
.cautions { font-size: .88rem; max-width: 60rem; }
table { border-collapse: collapse; width: 100%; background: CARD; font-size: .88rem; }
th, td { text-align: left; vertical-align: top; padding: .3rem .5rem; border-bottom: 1px solid RULE; }
td small { display: block; color: QUIET; } .n { text-align: right; white-space: nowrap; }
td:nth-child(4) { min-width: 11rem; } .how { white-space: nowrap; font-weight: bold; } tr.failure .how { color: BAD; }
tr.warning .how, tr.not-checked .how, tr.over .how { color: WATCH; } tr.ok .how { color: GOOD; }
.more { font-size: .88rem; color: QUIET; } .more label { display: inline-block; margin-right: 1.2rem; }
.findings { margin-top: 1rem; } .all { display: none; } body:has(#all-findings:checked) .all { display: block; }
@media (max-width: 40rem) { body { padding: .6rem; } table, tbody, tr, td { display: block; } thead { display: none; }
 td { border: 0; padding: .1rem .4rem; } tr { border-bottom: 1px solid RULE; padding: .3rem 0; }
 .n { text-align: left; } }
@media print { body { background: #fff; max-width: none; font-size: 9.5pt; padding: 0; }
 nav, .skip, .more, .files { display: none; } body:has(#paper-files:checked) .files { display: block; }
 .cover { border: 0; padding: 0; break-inside: avoid; } .built { max-height: 85mm; }
 .door, .findings { break-before: page; } tr, li, figure { break-inside: avoid; }
 thead { display: table-header-group; } a { color: inherit; text-decoration: none; } .view { display: none; }
 .built[hidden] { display: block !important; } }
"""
