"""What a window shows: values at the left, the strut in the middle, findings at the right, works below."""

from __future__ import annotations

import json
from html import escape

from nicegui import ui

from strutwright.errors import UserError
from strutwright.exporters.web.palette import COLOURS, style
from strutwright.exporters.web.view_page import STYLE, blank_view
from strutwright.models.guidance import GUIDANCE
from strutwright.page.findings import FindingsPanel
from strutwright.page.values import ValuesPanel
from strutwright.page.window import Window, change_table, changes
from strutwright.page.works import WorksPanel

_LOOK = """
body { background: PAPER; color: INK; font-family: Georgia, 'Times New Roman', serif; }
.top { background: STEEL; color: PAPER; padding: .5rem 1rem; width: 100%; }
.top .name { font-size: 1.25rem; } .top .state { border: 1px solid PAPER; padding: .1rem .6rem; font-size: .95rem; }
.bench { display: grid; grid-template-columns: minmax(17rem, 23rem) minmax(20rem, 1fr) minmax(18rem, 26rem); gap: 1rem;
 width: 100%; padding: .8rem 1rem; align-items: start; }
@media (max-width: 70rem) { .bench { grid-template-columns: 1fr; } }
.sheet { background: CARD; border: 1px solid RULE; padding: .6rem .8rem; width: 100%; }
.sheet h2 { font-size: 1.05rem; margin: 0 0 .4rem; border-bottom: 1px solid RULE; }
.tall { max-height: 74vh; overflow-y: auto; } .note { color: QUIET; font-size: .85rem; }
.works { padding: 0 1rem 1rem; width: 100%; }
.found { border-left: .35rem solid RULE; padding: .1rem .6rem; margin: .45rem 0; width: 100%; }
.found.failure { border-color: BAD; } .found.warning, .found.not-checked { border-color: WATCH; }
.found.hint { border-color: STEEL; } .found.ok { border-color: GOOD; }
.found .sign { font-size: .78rem; color: QUIET; } .found .measure { font-size: .9rem; }
.from { font-size: .75rem; color: QUIET; } .mono { font-family: monospace; white-space: pre-wrap; font-size: .85rem; }
table.change { border-collapse: collapse; font-size: .9rem; width: 100%; }
table.change td, table.change th { border-bottom: 1px solid RULE; text-align: left; padding: .15rem .5rem .15rem 0;
 vertical-align: top; font-weight: normal; }
.fault { color: BAD; white-space: pre-wrap; font-family: monospace; font-size: .85rem; }
.less { color: BAD; } .more { color: GOOD; }
:focus-visible { outline: 3px solid LINK; outline-offset: 1px; }
"""


def head() -> None:
    """Put style and script into the page's head."""
    ui.colors(primary=COLOURS["STEEL"], accent=COLOURS["LIT"], positive=COLOURS["GOOD"], negative=COLOURS["BAD"])
    ui.add_head_html(f"<style>{style(STYLE + _LOOK)}</style><script src='/viewer.js'></script>")


class Screen:
    """The parts of a window's screen."""

    def __init__(self, window: Window) -> None:
        self.window = window

    def show(self) -> None:
        """Build the screen, and let it follow the window."""
        self._top()
        with ui.element("main").classes("bench"):
            with ui.element("section").classes("sheet tall").props('aria-label="values"'):
                ValuesPanel(self.window).show()
            with ui.element("section").classes("sheet").props('aria-label="strut"'):
                self._stage()
            with ui.element("section").classes("sheet tall").props('aria-label="findings"'):
                FindingsPanel(self.window).show()
        with ui.element("section").classes("works").props('aria-label="works"'):
            WorksPanel(self.window).show()
        ui.label(GUIDANCE).classes("note works")
        self.window.listeners.append(self._heard)

    def _top(self) -> None:
        with ui.row().classes("top items-center"):
            self.name = ui.label("").classes("name")
            self.hand = ui.label("")
            self.state = ui.label("working it out ...").classes("state").props('role="status"')
            ui.space()
            ui.button("back", on_click=self._back).props("flat dense color=white no-caps")
            ui.button("forth", on_click=self._forth).props("flat dense color=white no-caps")
            ui.button("keep ...", on_click=self._keep).props("outline dense color=white no-caps")

    def _stage(self) -> None:
        ui.html(blank_view(self.window.token), sanitize=False).classes("w-full")
        self.shown = ui.label("").classes("note")
        self.changed = ui.html("", sanitize=False).classes("w-full")

    def _heard(self, what: str) -> None:
        if what == "answer":
            self._answered()
        elif what == "model":
            self._modelled()

    def _answered(self) -> None:
        answer = self.window.answer
        if answer.faults:
            self.state.set_text(
                f"{len(answer.faults)} fault{'s' * (len(answer.faults) > 1)}: cannot be read as it stands"
            )
            self.shown.set_text("the strut of the last text that could be read")
            return
        self.name.set_text(answer.title)
        self.hand.set_text(answer.hand)
        self.state.set_text(answer.verdict)
        if self.window.before.rows:
            self.changed.set_content(change_table(changes(self.window.before, answer)))

    def _modelled(self) -> None:
        exact = bool(self.window.exact)
        self.shown.set_text(
            "the exact solid, as built"
            if exact
            else "a quick shape of the same curves: slots, threads and weld beads are left out"
        )
        where = f"/model/{self.window.token}/{self.window.desk.mark}.json"
        ui.run_javascript(_SHOW % {"token": json.dumps(self.window.token), "where": json.dumps(where)})

    def _back(self) -> None:
        if self.window.desk.back():
            self.window.renew()

    def _forth(self) -> None:
        if self.window.desk.forth():
            self.window.renew()

    def _keep(self) -> None:
        """Show what differs from the file, and write it when told so."""
        desk = self.window.desk
        lines = desk.differs()
        with ui.dialog() as dialog, ui.card().classes("w-full"):
            ui.label("Keep the set as a file").classes("text-lg")
            ui.label(f"in {desk.home}").classes("note")
            name = ui.input("name of the file", value=desk.name if desk.file else f"my-{desk.name}").classes("w-full")
            with ui.element("div").classes("tall w-full"):
                ui.html(_difference(lines), sanitize=False)
            over = ui.checkbox("a file of this name that is there may be replaced")
            fault = ui.label("").classes("fault")

            def write() -> None:
                try:
                    path = desk.keep(name.value or "", over=bool(over.value))
                except UserError as error:
                    fault.set_text(str(error))
                    return
                dialog.close()
                ui.notify(f"kept in {path.name}")
                self.window.tell("desk")

            with ui.row():
                ui.button("write it", on_click=write).props("no-caps")
                ui.button("not now", on_click=dialog.close).props("flat no-caps")
        dialog.open()


_SHOW = """
(async () => {
  const view = document.querySelector(`.view[data-model="${%(token)s}"]`);
  const got = await fetch(%(where)s);
  if (!view || !got.ok) return;
  const { model, rows } = await got.json();
  if (rows) for (const key of ["sizes", "marks"]) {
    const pressed = new Set([...view.querySelectorAll(`.${key} [aria-pressed=true]`)].map((b) => b.dataset.size));
    view.querySelector(`.${key}`).innerHTML = rows[key];
    for (const b of view.querySelectorAll(`.${key} [data-size]`))
      b.setAttribute("aria-pressed", String(pressed.has(b.dataset.size)));
  }
  window.strutRenew(view, model);
})();
"""


def _difference(lines: list[str]) -> str:
    if not lines:
        return '<p class="note">nothing differs from the file</p>'
    kinds = {"-": "less", "+": "more"}
    told = "\n".join(f'<span class="{kinds.get(line[:1], "")}">{escape(line)}</span>' for line in lines)
    return f'<div class="mono">{told}</div>'
