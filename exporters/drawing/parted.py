"""A sheet on paper no larger than the user's: what does not go beside its views goes on a sheet behind it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from strutwright.exporters.drawing.layout import Made, lay_out, size_of_paper
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import SCALES

LEAST_ROWS = 12
"""With fewer rows of a longer table on a sheet it is a leaf of a pad: larger paper is better. Common practice, no
source."""


def on_paper(sheet: Sheet, sizes: Sequence[str], beat: Callable[[], None]) -> list[Sheet]:
    """Return a sheet and those behind it that go on the given sizes of paper, smallest first.

    Tables go behind one by one, the last first, then the notes, then the cautions, and the sheet says so. Views are at
    most one step of ISO 5455 smaller. A sheet whose views alone do not go on these sizes takes the next larger. beat:
    called at each try. Raises SheetFitError when it goes on none of its own sizes either.
    """
    own = lay_out(sheet)
    beat()
    if own.size in sizes:
        return [replace(sheet, sizes=(own.size,))]
    scales = (own.scale, *sorted((s for s in SCALES if s < own.scale), reverse=True)[:1])
    larger = [s for s in sheet.sizes if s not in sizes]
    for paper in (tuple(sizes), *((s,) for s in larger[: larger.index(own.size)])):
        for late in (False, True):
            parted = _parted(replace(sheet, sizes=paper, scales=scales), beat, late)
            if parted is not None:
                first, rest = parted
                if rest is None:
                    return [first]
                return [first, *on_paper(replace(rest, sizes=(*sizes, *larger)), sizes, beat)]
    return [replace(sheet, sizes=(own.size,))]


def _parted(sheet: Sheet, beat: Callable[[], None], late: bool) -> tuple[Sheet, Sheet | None] | None:
    """Return a sheet that goes on its paper with what stands behind it, or None; late: see `size_of_paper`."""
    made: Made = {}

    def size(tried: Sheet) -> str | None:
        beat()
        return size_of_paper(tried, made, late=late)

    for first, rest in _parts(sheet, size):
        if (found := size(first)) is not None:
            return replace(first, sizes=(found,)), rest
    return None


def _parts(sheet: Sheet, size: Callable[[Sheet], str | None]) -> Iterator[tuple[Sheet, Sheet | None]]:
    """Yield a sheet with less and less on it, each with the sheet behind it."""
    yield sheet, None
    tables, notes, cautions = sheet.tables, sheet.notes, sheet.cautions
    shorter = [tables[first:] for first in range(len(tables) - 1, -1 if sheet.views else 0, -1)]
    if sheet.views:
        # What a view is read with goes last.
        yield from (behind(sheet, some, [], []) for some in shorter)
        if notes:
            yield behind(sheet, tables, notes, [])
        if cautions:
            yield behind(sheet, tables, notes, cautions)
    elif tables:
        if notes:
            yield behind(sheet, [], notes, [])
        if cautions:
            yield behind(sheet, [], notes, cautions)
        yield from (behind(sheet, some, notes, cautions) for some in shorter)
        yield from _rows(sheet, size)


def behind(sheet: Sheet, tables: Sequence[Table], notes: Sequence[str], cautions: Sequence[str]) -> tuple[Sheet, Sheet]:
    """Return a sheet without tables, and without its notes and cautions where they are given, and the sheet behind it
    that has them."""
    names = [*(t.title or t.columns[0] for t in tables), *(["NOTES"] if notes else [])]
    names += ["CAUTIONS: read them first"] if cautions else []
    kept = [] if notes else sheet.notes
    first = replace(
        sheet,
        tables=[t for t in sheet.tables if t not in tables],
        notes=[*kept, f"On the sheet behind this: {', '.join(names)}."],
        cautions=[] if cautions else sheet.cautions,
    )
    return first, _continued(sheet, tables=list(tables), notes=list(notes), cautions=list(cautions))


def _continued(sheet: Sheet, tables: list[Table], notes: list[str], cautions: list[str]) -> Sheet:
    title = sheet.title.title.removesuffix(", continued")
    return replace(
        sheet,
        title=replace(sheet.title, title=f"{title}, continued"),
        views=[],
        tables=tables,
        notes=notes,
        cautions=cautions,
        banner="",
    )


def _rows(sheet: Sheet, size: Callable[[Sheet], str | None]) -> Iterator[tuple[Sheet, Sheet | None]]:
    """Yield a sheet with as many rows of its first table as go on the paper by themselves, the rest and all else on the
    sheet behind it; nothing where those are few."""
    table, *others = sheet.tables

    def parted(kept: int) -> tuple[Sheet, Sheet]:
        first, rest = (
            replace(table, rows=table.rows[own], codes=table.codes[own]) for own in (slice(kept), slice(kept, None))
        )
        more = replace(rest, title=f"{table.title.removesuffix(', CONTINUED')}, CONTINUED")
        return (
            replace(sheet, tables=[first], notes=[], cautions=[]),
            _continued(sheet, [more, *others], sheet.notes, sheet.cautions),
        )

    low, high = 0, len(table.rows) - 1
    while low < high:  # the most rows that go
        middle = (low + high + 1) // 2
        low, high = (middle, high) if size(parted(middle)[0]) else (low, middle - 1)
    while low and table.is_head(low - 1):  # a head stands over its rows
        low -= 1
    if low >= LEAST_ROWS:
        yield parted(low)
