"""The works below the strut: what if, a study, exact solid and pack, readings, sheets, the text of the set."""

from __future__ import annotations

import asyncio
from html import escape
from typing import Any

from nicegui import events, ui

from strutwright.errors import UserError
from strutwright.page.answers import Answered, answered
from strutwright.page.builds import SOLID, Job
from strutwright.page.desk import opened
from strutwright.page.studies import HIGH, WIDE, Map, studied
from strutwright.page.window import Window, change_table, changes
from strutwright.params.loader import shipped

READINGS = {
    "survey": "survey: hull and shaft line",
    "fitting": "fitting: bore, bearing and shaft",
    "straighten": "straightening: a palm under the press",
    "inspection": "inspection: the record filled in",
    "repair": "repair: wear and damage",
    "rudder": "rudder: the stock's axis",
}


class WorksPanel:
    """The works of one window."""

    def __init__(self, window: Window) -> None:
        self.window = window
        self.map: Map | None = None

    def show(self) -> None:
        """Build the panel, and let it follow the window."""
        with ui.tabs().props("no-caps align=left inline-label") as tabs:
            names = ["Build", "What if", "Study", "Readings", "Sheets", "Text", "Another set"]
            made = {name: ui.tab(name) for name in names}
        with ui.tab_panels(tabs, value=made["Build"]).classes("sheet"):
            for name, fill in zip(
                names,
                (self._build, self._what_if, self._study, self._readings, self._sheets, self._text, self._another),
                strict=True,
            ):
                with ui.tab_panel(made[name]):
                    fill()
        self.window.listeners.append(self._heard)

    def _heard(self, what: str) -> None:
        if what == "job":
            self._job()
        elif what == "desk" and self.text.value != self.window.desk.text:
            self.text.set_value(self.window.desk.text)
        elif what == "answer":
            self._paths()

    # --- build ------------------------------------------------------------------------------------------------------

    def _build(self) -> None:
        with ui.row().classes("items-center"):
            ui.button("exact solid", on_click=lambda: self._start(SOLID)).props("no-caps")
            ui.button("whole pack", on_click=lambda: self._start(())).props("no-caps")
            self.stop = ui.button("stop", on_click=self.window.bench.stop).props("no-caps outline")
            self.take = ui.link("take the pack (zip)", f"/pack/{self.window.token}.zip")
        self.stop.disable()
        self.take.set_visibility(False)
        self.bar = ui.linear_progress(0, show_value=False).props('aria-label="progress of the build"')
        self.line = ui.label("Nothing is being built.").props('role="status"')
        self.said = ui.html("", sanitize=False)

    async def _start(self, only: tuple[str, ...]) -> None:
        window = self.window
        if window.answer.faults:
            ui.notify("the set cannot be read as it stands")
            return
        asked, mark = window.asked(), window.desk.mark
        self.stop.enable()
        job = await window.bench.build(asked, mark, only, lambda: window.tell("job"))
        self.stop.disable()
        if job.built or job.status == 2:
            model = await asyncio.to_thread(window.bench.model)
            if model and window.desk.mark == mark:
                window.exact = f'{{"model":{model},"rows":null}}'
                window.tell("model")
        self._pages()

    def _job(self) -> None:
        job = self.window.bench.job
        if job is None:
            return
        self.bar.set_value(job.share)
        self.line.set_text(_how(job))
        told = "\n".join(job.said[-14:]) if job.status is not None else ""
        self.said.set_content(f'<div class="mono">{escape(told)}</div>')

    # --- what if ----------------------------------------------------------------------------------------------------

    def _what_if(self) -> None:
        ui.label("Move one value and see what it does; nothing is changed until you keep it.").classes("note")
        self.path = ui.select([], label="value", with_input=True, on_change=self._chosen).classes("w-96")
        self.slider = ui.slider(min=0, max=1, step=0.01, value=0, on_change=self._moved).props("label")
        self.told = ui.label("")
        self.effect = ui.html("", sanitize=False)
        ui.button("keep this value", on_click=self._keep).props("no-caps outline")
        self.trial, self._busy, self._behind = "", False, False

    def _paths(self) -> None:
        numbers = sorted(p for p, v in self.window.answer.values.items() if v.number and not p.endswith("]"))
        if numbers and numbers != self.path.options:
            self.path.set_options(numbers)
            for entry in (self.first, self.second):
                entry.set_options(numbers)

    def _chosen(self) -> None:
        value = self.window.answer.values.get(self.path.value or "")
        if value is None or not value.number:
            return
        own, size = value.number, abs(value.number)
        step = 0.5 if value.unit in ("mm", "deg") and size >= 3 else size / 50
        self.slider._props.update(min=round(own - 0.5 * size, 6), max=round(own + 0.8 * size, 6), step=step)
        self.slider.set_value(own)
        self.slider.update()

    async def _moved(self) -> None:
        """Answer the value under the slider; while one answer is on its way only the newest waits."""
        self._behind = True
        if self._busy:
            return
        self._busy = True
        try:
            while self._behind and not self.window.gone:
                self._behind = False
                await self._tried()
        finally:
            self._busy = False

    async def _tried(self) -> None:
        window, path = self.window, self.path.value
        value = window.answer.values.get(path or "")
        if value is None:
            return
        written = f"{float(self.slider.value):.6g} {value.unit}".strip()
        try:
            self.trial = window.desk.with_value(path, written)
        except UserError as error:
            self.told.set_text(str(error))
            return
        found: Answered = await window.workers.ask(answered, window.asked(self.trial))
        self.told.set_text(f"{path}: {value.shown} -> {written}: {found.verdict or 'cannot be built so'}")
        faults = "".join(f'<div class="fault">{escape(f)}</div>' for f in found.faults)
        self.effect.set_content(faults or _table(changes(window.answer, found)))

    def _keep(self) -> None:
        if self.trial:
            self.window.put(self.trial)

    # --- study ------------------------------------------------------------------------------------------------------

    def _study(self) -> None:
        ui.label("Two values over ranges: each cell is a pair. Click a cell to take its values.").classes("note")
        with ui.row().classes("items-end"):
            self.first = ui.select([], label="across", with_input=True, value=None).classes("w-72")
            self.second = ui.select([], label="up", with_input=True, value=None).classes("w-72")
            self.spread = ui.number("range, % either way", value=30, min=1, max=80).classes("w-40")
            self.count = ui.number("values each", value=11, min=2, max=30).classes("w-32")
            ui.button("work it out", on_click=self._studied).props("no-caps")
        self.study_says = ui.label("").props('role="status"')
        self.picture = ui.interactive_image(size=(WIDE, HIGH), on_mouse=self._clicked, sanitize=False).classes(
            "w-[700px]"
        )

    def _range(self, path: str) -> str:
        value = self.window.answer.values[path]
        own, share = value.number or 0.0, float(self.spread.value or 30) / 100
        low, high = sorted((own * (1 - share), own * (1 + share)))
        return f"{path}={low:.6g} {value.unit}..{high:.6g} {value.unit}:{int(self.count.value or 11)}"

    async def _studied(self) -> None:
        one, two = self.first.value, self.second.value
        if not one or not two or one == two:
            self.study_says.set_text("choose two different values")
            return
        self.study_says.set_text("working it out ...")
        made = await self.window.workers.ask(studied, self.window.asked(), self._range(one), self._range(two))
        if isinstance(made, str):
            self.study_says.set_text(made)
            return
        self.map = made
        self.picture.set_content(made.svg)
        self.study_says.set_text(made.says)

    def _clicked(self, event: events.MouseEventArguments) -> None:
        at = None if self.map is None else self.map.at(event.image_x, event.image_y)
        if at is None or self.map is None:
            return
        row, column = at
        verdict, code, used, _ = self.map.cells[row][column]
        try:
            text = self.window.desk.text
            desk = self.window.desk
            for path, value in zip(self.map.paths, (self.map.across[column], self.map.up[row]), strict=True):
                text = desk.with_value(path, value, text)
            self.window.put(text)
        except UserError as error:
            self.study_says.set_text(str(error))
            return
        self.study_says.set_text(
            f"{self.map.across[column]} and {self.map.up[row]}: {verdict}, {code}, {used:.0%} used"
        )

    # --- readings ---------------------------------------------------------------------------------------------------

    def _readings(self) -> None:
        ui.label("Paste the readings of a job, YAML or CSV as from a spreadsheet, and have them worked out.").classes(
            "note"
        )
        with ui.row().classes("items-end"):
            self.work = ui.select(READINGS, value="survey", label="what was measured").classes("w-96")
            ui.button("work it out", on_click=self._worked).props("no-caps")
        self.pasted = ui.textarea("readings").classes("w-full mono").props("outlined rows=10")
        self.result = ui.html("", sanitize=False)

    async def _worked(self) -> None:
        text = str(self.pasted.value or "")
        if not text.strip():
            return
        csv = text.lstrip().splitlines()[0].count(",") > 0 and ":" not in text.lstrip().splitlines()[0]
        window = self.window
        job = await window.bench.work(str(self.work.value), window.asked(), text, csv, lambda: window.tell("job"))
        sheets = sorted(p for p in job.folder.rglob("*.pdf"))
        links = "".join(
            f'<li><a target="_blank" href="/files/{window.token}/{escape(str(p.relative_to(window.bench.folder)))}">'
            f"{escape(p.name)}</a></li>"
            for p in sheets
        )
        told = escape("\n".join(job.said))
        self.result.set_content(f'<div class="mono">{told}</div><ul>{links}</ul>')

    # --- sheets, text, another set ----------------------------------------------------------------------------------

    def _sheets(self) -> None:
        self.sheets_say = ui.label("Build the whole pack first; its page with every sheet stands here then.")
        self.frame = ui.element("iframe").classes("w-full").style("height: 75vh; border: 0").props('title="the pack"')
        self.frame.set_visibility(False)

    def _pages(self) -> None:
        there = self.window.file("pack/index.html") is not None
        self.take.set_visibility(there)
        self.frame.set_visibility(there)
        if there:
            job = self.window.bench.job
            old = job is None or job.mark != self.window.desk.mark
            self.sheets_say.set_text("of an earlier text of the set" if old else "")
            stamp = self.window.desk.mark
            self.frame.props(f'src="/files/{self.window.token}/pack/index.html?{stamp}"')

    def _text(self) -> None:
        ui.label("The whole set as its file has it; lists are edited here.").classes("note")
        self.text: Any = ui.codemirror(self.window.desk.text, language="YAML", line_wrapping=True).classes("w-full")
        self.text.style("height: 60vh")
        ui.button("take this text", on_click=self._taken).props("no-caps outline")

    def _taken(self) -> None:
        try:
            self.window.put(str(self.text.value or ""))
        except UserError as error:
            ui.notify(str(error))

    def _another(self) -> None:
        ui.label("A shipped set, or one of the folder in which sets are kept.").classes("note")
        home = sorted(p.name for p in self.window.desk.home.glob("*.y*ml") if p.is_file())
        self.other = ui.select([*home, *shipped()], label="set", with_input=True).classes("w-96")
        ui.button("open it", on_click=self._open).props("no-caps outline")

    def _open(self) -> None:
        name, desk = str(self.other.value or ""), self.window.desk
        sets = shipped()
        try:
            path = sets[name] if name in sets else desk.place(name)
            new = opened(path, desk.home, shipped=name in sets)
            desk.file, desk.kept, desk.name = new.file, new.kept, new.name
            self.window.put(new.text)
        except UserError as error:
            ui.notify(str(error))


def _how(job: Job) -> str:
    if job.stopped:
        return f"{job.what}: stopped"
    if job.status is None:
        return f"{job.what}: {job.line}"
    return f"{job.what}: {'done' if job.built else 'done, with failures' if job.status == 2 else 'not done'}"


def _table(rows: list[tuple[str, str, str]]) -> str:
    return change_table(rows) or '<p class="note">nothing else changes</p>'
