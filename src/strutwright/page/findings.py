"""The findings of a set, worst first, each with its way out as a button where one was found."""

from __future__ import annotations

import asyncio

from nicegui import ui

from strutwright.page.answers import Answered, Row
from strutwright.page.ways import Way, way_out
from strutwright.page.window import Window

_WAYS = 6
"""For how many findings a way out is looked for."""
_SIGNS = {"ok": "within", "failure": "FAILURE", "warning": "WARNING", "not checked": "NOT CHECKED"}


class FindingsPanel:
    """The findings of one window."""

    def __init__(self, window: Window) -> None:
        self.window = window
        self.every = False
        self._looking: asyncio.Task[None] | None = None

    def show(self) -> None:
        """Build the panel, and let it follow the window."""
        ui.html("<h2>Findings</h2>", sanitize=False)
        self.tally = ui.label("").classes("note")
        ui.switch("show all of them", on_change=self._all).props("dense")
        self.place = ui.column().classes("w-full gap-0")
        self.window.listeners.append(self._heard)

    def _all(self, event: object) -> None:
        self.every = bool(getattr(event, "value", False))
        self._list({})

    def _heard(self, what: str) -> None:
        if what != "answer":
            return
        if self._looking is not None:
            self._looking.cancel()
        self._list({})
        if not self.window.answer.faults:
            self._looking = self.window.begin(self._look(self.window.answer))

    def _list(self, ways: dict[tuple[str, str], Way]) -> None:
        answer = self.window.answer
        self.tally.set_text(answer.tally)
        self.place.clear()
        with self.place:
            for fault in answer.faults:
                ui.label(fault).classes("fault")
            rows = answer.rows if self.every else answer.called()
            numbers = {row.key: number for number, row in enumerate(answer.called(), 1)}
            self.slots = {row.key: self._row(row, numbers.get(row.key)) for row in rows}
            if not rows and not answer.faults:
                ui.label("Nothing calls for attention.").classes("note")

    def _row(self, row: Row, number: int | None) -> ui.column:
        with ui.column().classes(f"found gap-0 {row.verdict.replace(' ', '-')}"):
            ui.label(f"{_SIGNS.get(row.verdict, row.verdict)}  {row.parameter}").classes("sign")
            ui.label(f"{number}: {row.what}" if number else row.what)
            ui.label(", ".join(p for p in (row.measure, row.used) if p)).classes("measure")
            for note in row.notes:
                ui.label(note).classes("note")
            if row.source and row.verdict != "ok":
                ui.label(row.source).classes("note")
            return ui.column().classes("gap-0")

    async def _look(self, answer: Answered) -> None:
        """Look for the ways out, one after the other, until the set is another."""
        wanted = [r for r in answer.called() if r.verdict not in ("ok", "information") and r.parameter][:_WAYS]
        for row in wanted:
            way = await self.window.workers.ask_beside(way_out, self.window.asked(answer.text), row.key)
            slot = self.slots.get(row.key)
            if self.window.gone or self.window.answer is not answer:
                return
            if way is not None and slot is not None:
                self._button(slot, way)

    def _button(self, slot: ui.column, way: Way) -> None:
        with slot:
            ui.button(f"change {way.words}", on_click=lambda: self.window.put(way.text)).props("dense no-caps outline")
