"""The values of a set as a form: what is given, what a rule or table fills in, with unit, help and origin."""

from __future__ import annotations

import re
from typing import Any

from nicegui import ui

from strutwright.errors import UserError
from strutwright.page.form import Field, Section, form
from strutwright.page.window import Window

_ORIGINS = {"given": "given", "measured": "measured", "derived": "by a rule", "table": "from a table"}


class ValuesPanel:
    """The form of one window. A group is filled when it is opened."""

    def __init__(self, window: Window) -> None:
        self.window = window
        self.rows: dict[str, tuple[Field, Any, Any]] = {}
        self.family = ""

    def show(self) -> None:
        """Build the panel, and let it follow the window."""
        ui.html("<h2>Values</h2>", sanitize=False)
        ui.label("An empty field is left to its rule. A bare number is in the units of the set.").classes("note")
        self.filter = ui.input("find a value", on_change=self._sought).classes("w-full").props("dense clearable")
        self.fault = ui.label("").classes("fault").props('role="alert"')
        self.place = ui.column().classes("w-full gap-0")
        self.window.listeners.append(self._heard)

    def _heard(self, what: str) -> None:
        answer = self.window.answer
        if what == "answer" and answer.family and answer.family != self.family:
            self.family = answer.family
            self._groups(self.filter.value or "")
        if what in ("answer", "desk"):
            self._follow()

    def _sought(self) -> None:
        if self.family:
            self._groups(self.filter.value or "")

    def _groups(self, words: str) -> None:
        """The groups that hold what is sought, opened; without words all of them, closed."""
        self.rows.clear()
        self.place.clear()
        wanted = words.lower().split()
        with self.place:
            for section in form(self.family):
                fields = [f for f in section.fields if all(w in f"{f.path} {f.text}".lower() for w in wanted)]
                if fields:
                    self._group(section, fields, bool(wanted))

    def _group(self, section: Section, fields: list[Field], opened: bool) -> None:
        with ui.expansion(section.called, caption=_first(section.text)).classes("w-full") as group:
            inside = ui.column().classes("w-full gap-1")
        filled = False

        def fill() -> None:
            nonlocal filled
            if filled:
                return
            filled = True
            said = {f.path: self.window.said(f.path) for f in fields}
            first = [f for f in fields if said[f.path] is not None or f.required or opened]
            rest = [f for f in fields if f not in first]
            with inside:
                for field in first:
                    self._row(field, said[field.path])
                if rest:
                    with ui.expansion(f"{len(rest)} more that are not given").classes("w-full").props("dense"):
                        for field in rest:
                            self._row(field, None)
            self._follow()

        group.on_value_change(lambda event: fill() if event.value else None)
        if opened:
            group.open()
            fill()

    def _row(self, field: Field, said: str | None) -> None:
        label = field.called if field.path.count(".") else field.path.replace("_", " ")
        told = f"{field.text}. Takes {field.takes}. Left out: {field.left_out or 'not known'}"
        with ui.column().classes("w-full gap-0"):
            if field.choices:
                entry: Any = ui.select(
                    {"": "(left to its rule)"} | {c: c for c in field.choices},
                    value=said if said in field.choices else "",
                    label=label,
                    on_change=lambda event: self._put(field, event.value or ""),
                )
            else:
                entry = ui.input(label, value=said or "")
                if field.unit:
                    entry.props(f'suffix="{field.unit}"')
                entry.on("keydown.enter", lambda: self._put(field, entry.value or ""))
                entry.on("blur", lambda: self._put(field, entry.value or ""))
            entry.classes("w-full").props(f'dense stack-label aria-label="{field.path}"')
            entry.tooltip(told).props("max-width=24rem")
            origin = ui.label("").classes("from")
        self.rows[field.path] = (field, entry, origin)

    def _put(self, field: Field, value: str) -> None:
        own = self.window.said(field.path) or ""
        if value.strip() == own:
            return
        try:
            text = self.window.desk.with_value(field.path, value)
            self.fault.set_text("")
            self.window.put(text)
        except UserError as error:
            self.fault.set_text(str(error))

    def _follow(self) -> None:
        """Let the fields say what the set says; one that is being written in keeps what is written."""
        values = self.window.answer.values
        for path, (field, entry, origin) in self.rows.items():
            said = self.window.said(path)
            value = said or ""
            if entry.value != value and (not field.choices or value in ("", *field.choices)):
                entry.set_value(value)
            record = values.get(path)
            if record is None:
                origin.set_text("" if said is not None else "not given")
                continue
            note = f": {record.note}" if record.note else ""
            origin.set_text(f"{record.shown}, {_ORIGINS.get(record.origin, record.origin)}{note}")


def _first(text: str) -> str:
    """The first sentence of what a group is, without what stands in brackets."""
    return re.split(r"[.(:]", " ".join(text.split()), maxsplit=1)[0].strip()
