"""The file in which a shop keeps what it read in standards, beside its parameter sets: read strictly, and added to.

It is a list of readings; of one thing the newest counts, which is the last. What stands in it is never changed.
"""

from __future__ import annotations

import difflib
import functools
import hashlib
import json
import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, cast

from strutwright.params import checks, limits, strict_yaml, tables
from strutwright.params.fields import NO_DATE, is_date
from strutwright.params.problems import ParameterError, Problem, shown
from strutwright.params.readings import KINDS, Kind, Reading, Readings
from strutwright.params.strict_yaml import Document, Path_

FILE_NAME = "confirmations.yaml"
HEAD = (
    "# What this shop has read in standards, one reading to a line; of one thing the last line counts.\n"
    "# `strutwright confirm` adds lines; nothing in here is ever changed.\n"
    "readings:\n"
)
TEXTS = ("edition", "clause", "by", "date")
LONGEST = 120
FACTOR = 10.0
"""A value read of a row lies no further from the one that is shipped: more is a slip of units."""
_KEYS = (*KINDS, "row", "columns", "value", "values", "breach", *TEXTS)
_BELONGS = {"limit": ("value", "breach"), "check": ("breach",), "table": ("row", "columns", "values")}


def read(path: Path) -> Readings:
    """Return what a file says was read. Raises ParameterError with every fault found."""
    document = strict_yaml.read_file(path)
    return _readings(document, hashlib.sha256(path.read_bytes()).hexdigest())


def read_text(text: str, name: str) -> Readings:
    """As `read`, of a text; `name` is used in messages."""
    return _readings(strict_yaml.read_text(text, name), hashlib.sha256(text.encode()).hexdigest())


def added(old: str, new: Sequence[Reading], name: str) -> str:
    """Return a text of readings with more of them at its end. old: "" for a new file.

    Raises ParameterError when the old text or a reading cannot be used, or when nothing can be added at the text's end.
    """
    before: list[Any] = []
    if old:
        read_text(old, name)
        before = cast(list[Any], strict_yaml.read_text(old, name).data.get("readings")) or []
    ending = "\r\n" if "\r\n" in old else "\n"
    text = old if old else HEAD
    if text[-1] not in "\r\n":
        text += ending
    item = re.search(r"^readings:[^\n]*\n(?:[ \t]*(?:#[^\n]*)?\r?\n)*( *)- ", text, re.MULTILINE)
    indent = "  " if item is None else item[1]
    text += "".join(f"{indent}- {written(reading)}{ending}" for reading in new)
    try:
        after: object = strict_yaml.read_text(text, name).data.get("readings")
    except ParameterError:
        after = None
    if after != [*before, *map(plain, new)]:
        lines = "\n".join(f"- {written(reading)}" for reading in new)
        raise ParameterError([_whole(name, "does not end in its list of readings", f"add by hand:\n{lines}")])
    read_text(text, name)  # what is added is held to the same rules
    return text


def written(reading: Reading) -> str:
    """Return a reading as a line of the file, after the dash."""
    return "{" + ", ".join(f"{key}: {json.dumps(v, ensure_ascii=False)}" for key, v in plain(reading).items()) + "}"


def plain(reading: Reading) -> dict[str, Any]:
    """Return a reading as plain data, as the file has it."""
    out: dict[str, Any] = {reading.kind: reading.name}
    if reading.row:
        out["row"] = reading.row
    if reading.columns:
        out["columns"] = list(reading.columns)
    if reading.values:
        out |= {"values": dict(reading.values)} if reading.kind == "table" else {"value": reading.values["value"]}
    if reading.breach:
        out["breach"] = reading.breach
    return out | {name: getattr(reading, name) for name in TEXTS}


def near(name: str, known: Iterable[str]) -> str:
    """Return what a name that is not there may have been meant for, as an advice; "" where nothing is like it."""
    found = difflib.get_close_matches(name, list(known), n=1, cutoff=0.5)
    return f"write `{found[0]}`" if found else ""


@functools.cache
def names() -> dict[Kind, tuple[str, ...]]:
    """Return what can be read, by kind: limits, checks with a source of their own, tables."""
    return {"limit": tuple(limits.shipped()), "check": tuple(checks.sources()), "table": tables.names()}


# --- reading the file -----------------------------------------------------------------------------------------------


def _whole(name: str, what: str, advice: str) -> Problem:
    return Problem(file=name, line=1, column=1, path="readings", what=what, advice=advice)


def _readings(document: Document, sha256: str) -> Readings:
    faults = list(document.faults)
    for key in document.data:
        if key != "readings":
            faults.append(document.problem((key,), "is not known here", allowed="readings", key=True))
    said = document.data.get("readings")
    if said is None:
        said = []
    if not isinstance(said, list):
        faults.append(document.problem(("readings",), "is not a list", shown(said), "a list of readings"))
        said = []
    known: dict[tuple[Kind, str, str], Reading] = {}
    for i, entry in enumerate(said):
        one = _Entry(document, ("readings", i), entry)
        made = one.reading()
        faults += one.faults
        if made is not None:
            known[made.kind, made.name, made.row] = made
    if faults:
        raise ParameterError(faults)
    return Readings(known, sha256)


class _Entry:
    """One entry of the list, and what is wrong with it."""

    def __init__(self, document: Document, path: Path_, entry: object) -> None:
        self.document, self.path, self.entry = document, path, entry
        self.faults: list[Problem] = []

    def fault(self, key: str, what: str, given: str = "", allowed: str = "", advice: str = "") -> None:
        at = (*self.path, key) if key else self.path
        self.faults.append(self.document.problem(at, what, given, allowed, advice))

    def reading(self) -> Reading | None:
        """Return what it says, None when that cannot be used."""
        said = self.entry
        if not isinstance(said, dict):
            self.fault(
                "", "is not a reading", shown(said), "{limit: ..., edition: ..., clause: ..., by: ..., date: ...}"
            )
            return None
        for key in said:
            if key not in _KEYS:
                self.fault(key, "is not known here", allowed=", ".join(_KEYS), advice=near(key, _KEYS))
        kinds = [kind for kind in KINDS if kind in said]
        if len(kinds) != 1:
            self.fault("", "does not say what was read", ", ".join(kinds), "one of limit, check and table")
            return None
        kind = kinds[0]
        for key in {"row", "columns", "value", "values", "breach"} & said.keys():
            if key not in _BELONGS[kind]:
                self.fault(key, f"does not belong to a {kind}", allowed=", ".join(_BELONGS[kind]), advice="remove it")
        texts: dict[str, Any] = {name: self._text(said, name) for name in TEXTS}
        found = self._found(kind, said)
        breach = said.get("breach", "")
        if breach not in ("", *limits.BREACHES):
            self.fault("breach", "is neither warning nor failure", shown(breach), " or ".join(limits.BREACHES))
        if self.faults or found is None:
            return None
        return Reading(kind=kind, **found, **texts, breach=cast(Any, breach))

    def _text(self, said: dict[str, Any], name: str) -> str:
        text = said.get(name)
        if not isinstance(text, str) or not text.strip():
            given = "" if text is None else shown(text)
            self.fault(name if name in said else "", f"{name} is missing or no text", given, "a text in quotes")
            return ""
        if len(text) > LONGEST or not text.isprintable():
            self.fault(name, "is not one short line", shown(text), f"at most {LONGEST} characters that can be printed")
        if name == "date" and not is_date(text):
            self.fault(name, NO_DATE[0], shown(text), NO_DATE[1])
        return text

    def _found(self, kind: Kind, said: dict[str, Any]) -> dict[str, Any] | None:
        """Return what of its reading hangs on its kind."""
        name = said[kind]
        if not isinstance(name, str) or name not in names()[kind]:
            told = near(name, names()[kind]) if isinstance(name, str) else ""
            advice = told or {"table": "`strutwright tables` lists them"}.get(
                kind, f"`strutwright confirm` lists the {kind}s"
            )
            self.fault(kind, f"is not the name of a {kind}", shown(name), advice=advice)
            return None
        if kind == "table":
            return self._row(name, said)
        found: dict[str, Any] = {"name": name}
        if kind == "limit" and "value" in said:
            row, value = limits.shipped()[name], said["value"]
            if not _is_number(value) or not row.makes_sense(value):
                most = limits.MOST.get(row.unit, 1e6)
                allowed = f"a number, {row.range}, in {row.unit}, {most:g} at most; shipped is {row.value:g}"
                self.fault("value", "makes no sense as a limit", shown(value), allowed)
                return None
            found["values"] = {"value": float(value)}
        return found

    def _row(self, name: str, said: dict[str, Any]) -> dict[str, Any] | None:
        table, label = tables.shipped(name), said.get("row")
        if not isinstance(label, str) or label not in table.labels:
            told = near(str(label), table.labels) or f"`strutwright tables {name}` prints them"
            self.fault(
                "row" if "row" in said else "", f"row is not one of table {name}", shown(label or ""), advice=told
            )
            return None
        row = table.rows[table.labels.index(label)]
        columns, values = said.get("columns", []), said.get("values", {})
        if not isinstance(columns, list) or not isinstance(values, dict):
            self.fault("", "has columns that are no list, or values that are no group")
            return None
        for column in (*columns, *values):
            if column not in table.measured:
                key = "columns" if column in columns else "values"
                allowed = ", ".join(table.measured)
                self.fault(key, "is not a column of numbers", shown(column), allowed, near(str(column), table.measured))
        for column, value in values.items():
            if columns and column not in columns:
                self.fault("values", "gives a column that was not read", shown(column), ", ".join(map(shown, columns)))
            was = row.get(column)
            if not _is_number(value) or not _likely(value, was) or (table.units.get(column) == "-" and value % 1):
                about = "" if was is None else f"; shipped is {was:g}, and more than {FACTOR:g} times off is a slip"
                self.fault("values", f"makes no sense for {shown(column)}", shown(value), f"a number over 0{about}")
        found = {c: float(v) for c, v in values.items() if _is_number(v)}
        return {"name": name, "row": label, "columns": tuple(map(str, columns)), "values": found}


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _likely(value: float, was: float | None) -> bool:
    if not was:
        return 0.0 < value <= 1e6
    return was / FACTOR <= value <= was * FACTOR if was > 0 else was * FACTOR <= value <= was / FACTOR
