"""A table of variations of one set: a row is a set, a column a parameter, by its dotted path; CSV or YAML.

    name;barrel.wall;hull.drop.square_to_shaft          light: {barrel.wall: 8 mm}
    light;8 mm;300                                      heavy: {barrel.wall: 10 mm}
    heavy;10 mm;

A cell is written as in the set's file; an empty one leaves what the file says. Comma, semicolon or tab as a
spreadsheet saves it; a semicolon or tab lets a comma be in a cell.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from strutwright.params import edit, measured, strict_yaml
from strutwright.params.problems import ParameterError, Problem
from strutwright.params.strict_yaml import Document

NAME = "name"
MOST = 10_000
"""Rows of a table."""


@dataclass(frozen=True, slots=True)
class Variation:
    """A row of a table. values: dotted path -> as the file is to have it."""

    name: str
    values: Mapping[str, str]


def read(path: Path) -> Document:
    """Return a table as a document, name -> path -> value. Raises ParameterError when it cannot be read at all."""
    text = strict_yaml.text_of(path, "variations")[1]
    if path.suffix.lower() in (".yaml", ".yml"):
        return strict_yaml.read_text(text, str(path))
    return _from_csv(text, str(path))


def variations(document: Document) -> list[Variation]:
    """Return the rows of a table. Raises ParameterError with every fault.

    >>> said = strict_yaml.read_text("light: {barrel.wall: 8 mm}", "table.yaml")
    >>> [(v.name, dict(v.values)) for v in variations(said)]
    [('light', {'barrel.wall': '8 mm'})]
    """
    faults = [*document.faults, *_faults(document)]
    if faults:
        raise ParameterError(faults)
    return [
        Variation(name, {path: str(value) for path, value in said.items() if value not in (None, "")})
        for name, said in document.data.items()
        if isinstance(said, dict)
    ]


def text_of(base: str, one: Variation, document: Document) -> str:
    """Return the text of a set with the values of a row. Raises ParameterError that shows the row.

    base: the text of the set.
    """
    text = base
    for path, value in one.values.items():
        try:
            text = edit.changed(text, {path: value})
        except (ParameterError, ValueError, KeyError, TypeError) as error:
            why = error.problems[0].what if isinstance(error, ParameterError) else str((*error.args, error)[0])
            told = document.problem((one.name, path), f"cannot be put into the set ({why})", value)
            raise ParameterError([told]) from None
    return text


def _faults(document: Document) -> Iterator[Problem]:
    if not document.data:
        yield document.problem((), "has no rows", advice=f"give a head with {NAME} and paths, and a row for each set")
    if len(document.data) > MOST:
        yield document.problem((), f"has over {MOST} rows", f"{len(document.data)}", "", "split it")
    for name, said in document.data.items():
        if not isinstance(said, dict):
            yield document.problem((name,), "is no group of paths and values", allowed="such as {barrel.wall: 9 mm}")
            continue
        for path, value in said.items():
            if isinstance(value, (dict, list)):
                yield document.problem((name, path), "is no single value", advice="name the value itself by its path")


def _from_csv(text: str, name: str) -> Document:
    strict_yaml.refuse_unreadable(text, name)
    document = Document(name, {})
    rows = [row for row in measured.csv_rows(text, document) if row.filled]
    heads = rows[0].cells[: rows[0].filled] if rows else ()
    if NAME not in heads:
        document.values[("",)] = (rows[0].line if rows else 1, 1)
        raise ParameterError(
            [document.problem(("",), f"has no column {NAME}", advice=f"head the first column {NAME}; it names the set")]
        )
    for k, head in enumerate(heads):
        if not head or head in heads[:k]:
            document.values[("", head)] = (rows[0].line, rows[0].columns[k])
            what = "stands twice" if head else "a column has no head"
            document.faults.append(document.problem(("", head), what, head))
    for row in rows[1:]:
        cells = dict(zip(heads, row.cells, strict=False))
        called = cells.pop(NAME, "")
        document.values[(called,)] = (row.line, row.columns[0])
        if not called or called in document.data:
            what = "a set of this name stands twice" if called else "a row has no name"
            document.faults.append(document.problem((called,), what, called))
            continue
        if row.filled > len(heads):
            document.faults.append(document.problem((called,), "has more cells than the head", f"{row.filled}"))
        document.data[called] = dict(cells)
        for path, start in zip(heads, row.columns, strict=False):
            document.values[(called, path)] = (row.line, start)
    return document
