"""The model on the job's page: the controls beside it, the list of the main sizes, and the places of the findings.

Without a script, or without WebGL, all of it stays hidden and the picture stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from pathlib import Path

from strutwright.models.families import called
from strutwright.models.finding import Finding
from strutwright.models.main_sizes import main_sizes
from strutwright.models.places import place_of
from strutwright.models.spec import Strut
from strutwright.params.words import drawn_mm, read

FOLDER = "view"
MODEL = "model that the page shows"
"""What the file of a hand's model in that folder of a job is."""
SCRIPT = f"{FOLDER}/viewer.js"
"""What shows the models."""
BUNDLE = Path(__file__).with_name("viewer") / "bundle.js"
"""The same where it is kept."""
_LOOKS = (
    ("port", "from port"),
    ("starboard", "from starboard"),
    ("aft", "from aft"),
    ("forward", "from forward"),
    ("above", "from above"),
    ("below", "from below"),
    ("home", "as at first"),
)
_CUTS = (("", "none"), ("along", "along"), ("across", "across"), ("level", "level"))


def view(strut: Strut, name: str, findings: Sequence[Finding], near: Sequence[Finding]) -> list[str]:
    """Return the lines of the model's part of the page.

    name: of the model's file. findings: all of the strut, for what was measured again. near: those that have a mark, in
    the order of their numbers.
    """
    label = (
        f"The {called(strut)} as a model, {strut.identity.stands}. Arrow keys turn it, plus and minus bring it nearer "
        "and farther, Home shows it as at first"
    )
    return [
        f'<div class="view" data-model="{escape(name)}" hidden>',
        f'<div class="stage"><canvas tabindex="0" role="img" aria-label="{escape(label)}"></canvas>'
        '<svg aria-hidden="true"></svg></div>',
        '<p class="small">Drag or arrow keys turn; + and - or, once it is clicked, the wheel bring it nearer and '
        "farther; drag with Shift moves it; Home shows it as at first.</p>",
        *_looks(),
        "<details><summary>Section, and parts on and off</summary>",
        *_section(name),
        '<fieldset class="parts"><legend>Parts shown</legend></fieldset></details>',
        *_sizes(strut, findings),
        *_marks(strut, near),
        "</div>",
    ]


def blank_view(name: str) -> str:
    """Return a view as `view` makes it, of a strut that is still to be shown by `window.strutRenew`. name: of its
    model.

    >>> 'class="sizes"' in blank_view("mine")
    True
    """
    label = "The model. Arrow keys turn it, plus and minus bring it nearer and farther, Home shows it as at first"
    lines = [
        f'<div class="shown"><div class="view" data-model="{escape(name)}" hidden>',
        f'<div class="stage"><canvas tabindex="0" role="img" aria-label="{label}"></canvas>',
        '<svg aria-hidden="true"></svg></div>',
        *_looks(),
        "<details><summary>Section, and parts on and off</summary>",
        *_section(name),
        '<fieldset class="parts"><legend>Parts shown</legend></fieldset></details>',
        '<details><summary>Main sizes: press one to light it in the model</summary><ul class="sizes"></ul></details>',
        "<details><summary>Places of the findings, by their numbers</summary>",
        '<label><input type="checkbox" data-marks checked> show their numbers in the model</label>',
        '<ul class="marks"></ul></details></div>',
        '<p class="built note">The model comes when the set is worked out; without WebGL there is none.</p></div>',
    ]
    return "".join(lines)


def _looks() -> list[str]:
    buttons = [f'<button type="button" data-look="{name}">{words}</button>' for name, words in _LOOKS]
    nearer = ['<button type="button" data-zoom="1.25">nearer</button>']
    farther = ['<button type="button" data-zoom="0.8">farther</button>']
    return ['<div class="tools" role="group" aria-label="views">', *buttons, *nearer, *farther, "</div>"]


def _section(name: str) -> list[str]:
    choices = [
        f'<label><input type="radio" name="cut-{escape(name)}" data-cut="{cut}"{"" if cut else " checked"}> {words}'
        "</label>"
        for cut, words in _CUTS
    ]
    return [
        '<fieldset class="cut"><legend>Section</legend>',
        *choices,
        '<label>place <input type="range" min="0" max="1000" value="500" data-cut-place disabled></label>',
        '<button type="button" data-cut-other disabled>the other half</button></fieldset>',
    ]


def size_rows(strut: Strut, findings: Sequence[Finding]) -> list[str]:
    """Return a row with a button for each main size: asked, and as it was measured again."""
    rows = []
    for size in main_sizes(strut):
        again = size.measured_mm(findings)
        told = "" if again is None else f", measured {drawn_mm(again).read(strut.file_units)}"
        figure = drawn_mm(size.value_mm).read(strut.file_units)
        rows.append(
            f'<li><button type="button" data-size="{escape(size.name)}" aria-pressed="false">'
            f"{escape(read(size.what, strut.file_units))} <b>{escape(figure)}</b>{escape(told)}</button></li>"
        )
    return rows


def _sizes(strut: Strut, findings: Sequence[Finding]) -> list[str]:
    return [
        "<details><summary>Main sizes: press one to light it in the model</summary>",
        '<ul class="sizes">',
        *size_rows(strut, findings),
        "</ul></details>",
    ]


def mark_rows(strut: Strut, near: Sequence[Finding]) -> list[str]:
    """Return a row with a button for each finding that has a place, by the number of its row in the table."""
    rows = []
    for number, finding in enumerate(near, 1):
        place = place_of(finding.parameter, strut)
        if place:
            words = escape(finding.about(strut.file_units))
            rows.append(
                f'<li><button type="button" data-place="{escape(place)}" aria-pressed="false"><b>{number}</b> {words}'
                f" <small>{escape(place)}</small></button></li>"
            )
    return rows


def _marks(strut: Strut, near: Sequence[Finding]) -> list[str]:
    rows = mark_rows(strut, near)
    if not rows:
        return []
    return [
        "<details><summary>Places of the findings, by their numbers below</summary>",
        '<label><input type="checkbox" data-marks checked> show their numbers in the model</label>',
        '<ul class="marks">',
        *rows,
        "</ul></details>",
    ]


STYLE = """
.stage { position: relative; width: 100%; aspect-ratio: 4 / 3; background: CARD; border: 1px solid RULE; }
.stage canvas { display: block; width: 100%; height: 100%; touch-action: pan-y; cursor: grab; }
.stage canvas:focus-visible { outline: 3px solid LINK; outline-offset: 2px; }
.stage svg { position: absolute; inset: 0; width: 100%; height: 100%; pointer-events: none; }
.stage line { stroke-linecap: round; } .stage .arrow { stroke: LINK; stroke-width: 3; fill: none; }
.stage text { font-size: 14px; fill: INK; } .stage .word { font-weight: bold; fill: LINK; }
.stage rect.figure { fill: CARD; stroke: LIT; }
.stage text.figure { font-weight: bold; fill: LIT; text-anchor: middle; }
.stage .size { stroke: LIT; stroke-width: 2.5; }
.stage .mark { stroke: STEEL; fill: CARD; } .stage text.mark { fill: INK; stroke: none; text-anchor: middle; }
.stage .mark.lit { stroke: LIT; stroke-width: 2.5; } .stage text.mark.lit { fill: LIT; stroke: none; }
.view button { font: inherit; font-size: .88rem; color: INK; background: PAPER; border: 1px solid QUIET;
 padding: .2rem .6rem; cursor: pointer; } .view button:disabled { color: QUIET; border-color: RULE; cursor: default; }
.view button[aria-pressed="true"] { border-color: LIT; box-shadow: inset .3rem 0 LIT; }
.view button:focus-visible, .view summary:focus-visible { outline: 3px solid LINK; outline-offset: 2px; }
.tools { display: flex; flex-wrap: wrap; gap: .3rem; margin: .3rem 0; }
.view fieldset { border: 1px solid RULE; margin: .5rem 0; padding: .3rem .6rem; font-size: .88rem; }
.view fieldset label { display: inline-block; margin-right: .9rem; }
.cut input[type="range"] { vertical-align: middle; }
.view summary { cursor: pointer; font-size: .95rem; padding: .2rem 0; } .view details label { font-size: .88rem; }
.view ul { list-style: none; padding: 0; } .view li button { width: 100%; text-align: left; margin: .1rem 0; }
[hidden] { display: none !important; }
"""
