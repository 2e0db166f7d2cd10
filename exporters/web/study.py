"""What a study leaves behind: a table (CSV, Parquet where pandas is there), a map of what governs, weight over use."""

from __future__ import annotations

import csv
import functools
import importlib
import importlib.util
import io
import math
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from strutwright.exporters.files.manifest import MANIFEST_NAME, read_manifest, write_manifest
from strutwright.exporters.files.outdir import OutputFolderError, output_folder
from strutwright.exporters.web.plot import COLOURS, FAINT, INK, SOFT, Frame, Plot, draw_frame, span
from strutwright.models.finding import FAILS, WARNS, WITHIN
from strutwright.models.guidance import GUIDANCE
from strutwright.models.sizing.axes import Axis, Grid
from strutwright.models.sizing.judge import CANNOT, Judged
from strutwright.models.sizing.study import VERDICTS, Study
from strutwright.params.quantity import MASS, FileUnits

Array: TypeAlias = NDArray[Any]
NO_PARQUET = (
    "no Parquet table: pandas with pyarrow is not installed; `.venv/bin/pip install '.[parquet]'` brings it, the CSV "
    "file holds the same table"
)
NO_PARTS = (
    "no table of every combination: pandas with pyarrow is not installed; `.venv/bin/pip install '.[parquet]'` "
    "brings it"
)
RESULTS = ("verdict", "governing", "utilisation")
PIECE = 65_536
MOST_MARKS = 4000
MOST_CELLS = 160


def columns(study: Study) -> list[str]:
    """Return the heads of the table: each parameter with its unit, then weight, verdict, governing check, its use."""
    return [
        *(a.path + (f" [{a.unit}]" if a.unit else "") for a in study.grid.axes),
        f"weight_{study.weight_unit}",
        *RESULTS,
    ]


def write_table(path: Path, study: Study) -> None:
    """Write the combinations as CSV, one to a line, in the order of the axes (the last one fastest)."""
    j = study.judged
    with path.open("w", encoding="utf-8", newline="") as out:
        rows = csv.writer(out, lineterminator="\n")
        rows.writerow(columns(study))
        for start in range(0, study.count, PIECE):
            stop = min(start + PIECE, study.count)
            shown = [[a.shown[k] for k in at] for a, at in zip(study.grid.axes, study.places(start, stop), strict=True)]
            rows.writerows(
                zip(
                    *shown,
                    [_figure(w, 4) for w in study.weights(start, stop)],
                    [VERDICTS[k] for k in j.level[start:stop]],
                    [j.codes[k] for k in j.governing[start:stop]],
                    [_figure(u, 4) for u in j.utilisation[start:stop]],
                    strict=True,
                )
            )


def _figure(value: float, digits: int) -> str:
    return "" if math.isnan(value) else "inf" if math.isinf(value) else f"{value:.{digits}f}"


def write_parquet(path: Path, study: Study) -> str | None:
    """Write the table as Parquet; return a sentence instead where pandas or pyarrow is missing."""
    if not has_parquet():
        return NO_PARQUET
    which = np.arange(study.count) if study.which is None else study.which
    path.write_bytes(parquet_of(which, study.judged, grid=study.grid, units=study.units))
    return None


def has_parquet() -> bool:
    """Whether pandas and pyarrow are there."""
    return all(importlib.util.find_spec(name) is not None for name in ("pandas", "pyarrow"))


def parquet_of(which: Array, judged: Judged, *, grid: Grid, units: FileUnits) -> bytes:
    """Return the table of combinations with these numbers as a Parquet file."""
    pandas = importlib.import_module("pandas")
    unit = MASS.bare[units]
    heads = [a.path + (f" [{a.unit}]" if a.unit else "") for a in grid.axes]
    data = {head: np.array(a.shown)[at] for head, a, at in zip(heads, grid.axes, grid.places(which), strict=True)}
    data |= {
        f"weight_{unit}": judged.weight_kg / MASS.factors[unit],
        "verdict": np.array(VERDICTS)[judged.level],
        "governing": np.array(judged.codes)[judged.governing],
        "utilisation": judged.utilisation,
    }
    out = io.BytesIO()
    pandas.DataFrame(data).to_parquet(out, index=False)
    return out.getvalue()


def table_of(axes: Sequence[Axis], units: FileUnits) -> Callable[[Array, Judged], bytes] | None:
    """Return what makes a Parquet file of combinations of these axes; None where pandas or pyarrow is missing."""
    return functools.partial(parquet_of, grid=Grid(tuple(axes)), units=units) if has_parquet() else None


# --- plots ----------------------------------------------------------------------------------------------------------


def _label(axis: Axis) -> str:
    return axis.path + (f", {axis.unit}" if axis.unit else "")


def _edges(axis: Axis) -> Array:
    """Return the borders of an axis' cells: half-way between its values; words stand one apart."""
    at = np.array(axis.shown, dtype=float) if axis.numbers else np.arange(len(axis.shown), dtype=float)
    if len(at) == 1:
        return np.array([at[0] - 0.5, at[0] + 0.5])
    middle = (at[1:] + at[:-1]) / 2
    return np.concatenate([[at[0] - (middle[0] - at[0])], middle, [at[-1] + (at[-1] - middle[-1])]])


def governing_map(study: Study) -> Plot:
    """Return the map of the governing check over the first two axes.

    Other axes stand at what is best in each cell: the best verdict, then the least weight. A failing cell is crossed,
    one with a warning has a dot; of the checks that the values move. Raises ValueError for fewer than two axes.
    """
    if len(study.grid.axes) < 2:
        raise ValueError("a map needs two varied parameters")
    x_axis, y_axis = study.grid.axes[:2]
    index = study.cells()
    j = study.judged
    code, level = j.governing[index], j.own[index]
    order = sorted(set(code.ravel().tolist()), key=lambda k: (-int((code == k).sum()), j.codes[k]))
    colour = {k: COLOURS[min(n, len(COLOURS) - 1)] for n, k in enumerate(order)}
    plot = Plot(760, 470, f"{study.name}: what governs")
    x_edges, y_edges = _edges(x_axis), _edges(y_axis)
    (x_low, x_high), (y_low, y_high) = ((float(e.min()), float(e.max())) for e in (x_edges, y_edges))
    frame = Frame(left=80, top=56, width=400, height=330, x_low=x_low, x_high=x_high, y_low=y_low, y_high=y_high)
    plot.text(80, 26, f"{study.name}: the check that governs", 13, bold=True)
    others = [a.path for a in study.grid.axes[2:]]
    if others:
        plot.text(80, 42, f"each cell: the best over {', '.join(others)}"[:110], 8.5, colour=SOFT)
    _cells(plot, frame, (x_edges, y_edges), np.vectorize(colour.get)(code), level)
    draw_frame(plot, frame, _label(x_axis), _label(y_axis), grid=False, x_words=_words(x_axis), y_words=_words(y_axis))
    _map_legend(plot, study, order, colour, code, level)
    plot.text(80, 458, GUIDANCE, 8, colour=SOFT)
    return plot


def _words(axis: Axis) -> tuple[str, ...]:
    return () if axis.numbers else tuple(str(v) for v in axis.shown)


def _cells(plot: Plot, frame: Frame, edges: tuple[Array, Array], colour: Array, level: Array) -> None:
    """Draw the cells, those of one colour in a column as one, and a mark on each that is not within.

    Of more than MOST_CELLS in a row only some get a mark, so that the colours stay visible.
    """
    apart = [max(1, math.ceil(n / (MOST_CELLS // 4))) for n in level.shape]
    for a in range(level.shape[0]):
        x0, x1 = sorted((frame.x(float(edges[0][a])), frame.x(float(edges[0][a + 1]))))
        start = 0
        for b in range(level.shape[1]):
            if b + 1 == level.shape[1] or colour[a, b + 1] != colour[a, b]:
                bottom, top = frame.y(float(edges[1][start])), frame.y(float(edges[1][b + 1]))
                plot.box(x0, top, x1 - x0, bottom - top, str(colour[a, b]))
                start = b + 1
    for a in range(0, level.shape[0], apart[0]):
        for b in range(0, level.shape[1], apart[1]):
            x = frame.x(float(edges[0][a] + edges[0][a + 1]) / 2)
            y = frame.y(float(edges[1][b] + edges[1][b + 1]) / 2)
            size = min(frame.width / level.shape[0] * apart[0], frame.height / level.shape[1] * apart[1], 14.0) * 0.25
            if level[a, b] == FAILS:
                _cross(plot, x, y, max(size, 1.2), INK)
            elif level[a, b] == WARNS:
                plot.dot(x, y, max(size * 0.5, 0.8), INK)


def _cross(plot: Plot, x: float, y: float, r: float, colour: str) -> None:
    plot.line([(x - r, y - r), (x + r, y + r)], colour, 0.7)
    plot.line([(x - r, y + r), (x + r, y - r)], colour, 0.7)


def _map_legend(plot: Plot, study: Study, order: list[int], colour: dict[int, str], code: Array, level: Array) -> None:
    x, y = 505.0, 66.0
    shown = order if len(order) <= len(COLOURS) else order[: len(COLOURS) - 1]
    for k in shown:
        plot.box(x, y - 9, 11, 11, colour[k], INK)
        share = 100.0 * float((code == k).mean())
        words = study.judged.codes[k] if study.judged.codes[k] != CANNOT else "cannot be built"
        plot.text(x + 17, y, f"{words.replace('_', ' ')}, {share:.0f} %", 9)
        y += 17
    if len(shown) < len(order):
        plot.box(x, y - 9, 11, 11, COLOURS[-1], INK)
        plot.text(x + 17, y, f"{len(order) - len(shown)} others", 9)
        y += 17
    y += 6
    for mark, words in ((FAILS, "failure"), (WARNS, "warning"), (WITHIN, _within(study))):
        plot.box(x, y - 9, 11, 11, FAINT)
        if mark == FAILS:
            _cross(plot, x + 5.5, y - 3.5, 3, INK)
        elif mark == WARNS:
            plot.dot(x + 5.5, y - 3.5, 1.7, INK)
        plot.text(x + 17, y, f"{words}, {100.0 * float((level == mark).mean()):.0f} %", 9)
        y += 17
    for name, verdict in study.fixed[:4]:
        plot.text(x, y + 6, f"{_every(verdict)}: {name.replace('_', ' ')}"[:54], 8, colour=SOFT)
        y += 12


def _every(verdict: str) -> str:
    """Return how every combination stands to a check that the values do not move."""
    return f"every combination {'fails' if verdict == VERDICTS[FAILS] else 'warns'}"


def weight_plot(study: Study) -> Plot:
    """Return the plot of weight over the use of the governing check, with the lightest that passes.

    Marked by the checks that the values move. Of a great many combinations the first in a fine raster are drawn.
    """
    j, weight = study.judged, study.weights()
    good = np.isfinite(weight) & np.isfinite(j.utilisation)
    use = 100.0 * np.minimum(j.utilisation, 3.0)
    at = np.nonzero(good)[0]
    plot = Plot(760, 470, f"{study.name}: weight and use")
    plot.text(80, 26, f"{study.name}: weight against how much of the governing check is used", 13, bold=True)
    if not len(at):
        plot.text(80, 60, "no combination has both a weight and a use", 10)
        return plot
    (x_low, x_high), (y_low, y_high) = span(use[at]), span(weight[at])
    frame = Frame(left=80, top=56, width=480, height=330, x_low=x_low, x_high=x_high, y_low=y_low, y_high=y_high)
    use_label = "use of the governing check, % (over 100: beyond its limit; 300 stands for more)"
    draw_frame(plot, frame, use_label, f"weight of the strut, {study.weight_unit}")
    x100 = frame.x(100.0)
    if frame.left < x100 < frame.left + frame.width:
        plot.line([(x100, frame.top), (x100, frame.top + frame.height)], INK, 1.0, (4, 3))
    for level in (FAILS, WARNS, WITHIN):
        for k in _thinned(at[j.own[at] == level], use, weight, frame):
            _mark(plot, frame.x(float(use[k])), frame.y(float(weight[k])), level)
    best = study.lightest()
    if best is not None and good[best]:
        x, y = frame.x(float(use[best])), frame.y(float(weight[best]))
        plot.line([(x, y - 7), (x + 7, y), (x, y + 7), (x - 7, y), (x, y - 7)], INK, 1.4)
    y = 66.0
    verdicts = ((WITHIN, _within(study)), (WARNS, "warning"), (FAILS, "failure"))
    for level, words in verdicts[:1] if study.passing else verdicts:
        _mark(plot, 583, y - 3, level)
        plot.text(595, y, f"{words}: {study.told.own[level]}", 9)
        y += 17
    if best is None:
        plot.text(583, y, "none passes", 9)
        y += 14
    if best is not None:
        plot.line([(583, y - 9), (588, y - 4), (583, y + 1), (578, y - 4), (583, y - 9)], INK, 1.2)
        plot.text(595, y, f"lightest that passes: {weight[best]:.3g} {study.weight_unit}", 9)
        y += 14
        row = study.row(best)
        for a in study.grid.axes:
            value = row[a.path]
            words = f"{value:g} {a.unit}".strip() if isinstance(value, float) else str(value)
            plot.text(583, y, f"{a.path}: {words}"[:40], 8, colour=SOFT)
            y += 12
    for name, verdict in study.fixed[:4]:
        plot.text(583, y + 6, f"{_every(verdict)}:", 8, colour=SOFT)
        plot.text(583, y + 16, f"  {name.replace('_', ' ')}"[:40], 8, colour=SOFT)
        y += 24
    plot.text(80, 458, GUIDANCE, 8, colour=SOFT)
    return plot


def _within(study: Study) -> str:
    return "all else within" if study.fixed else "all within"


def _thinned(at: Array, use: Array, weight: Array, frame: Frame) -> Array:
    """Return the first combination in each cell of a raster fine enough for the eye, when there are very many."""
    if len(at) <= MOST_MARKS // 3:
        return at
    x = ((use[at] - frame.x_low) / (frame.x_high - frame.x_low) * 120).astype(int)
    y = ((weight[at] - frame.y_low) / (frame.y_high - frame.y_low) * 90).astype(int)
    return at[np.unique(x * 1000 + y, return_index=True)[1]]


def _mark(plot: Plot, x: float, y: float, level: int) -> None:
    if level == WITHIN:
        plot.dot(x, y, 2.1, COLOURS[0])
    elif level == WARNS:
        plot.line([(x, y - 2.4), (x + 2.3, y + 1.7), (x - 2.3, y + 1.7), (x, y - 2.4)], COLOURS[1], 1.1)
    else:
        _cross(plot, x, y, 1.8, SOFT)


# --- the folder -----------------------------------------------------------------------------------------------------

NAMES = ("study", "map", "weight", "summary")
"""Of the files of a study, without their endings."""
PARTS = "study.parquet"
"""The table as Parquet: a file, or a folder of its pieces."""


class Parts:
    """The pieces of a table, written as they come."""

    def __init__(self, folder: Path) -> None:
        """folder: of the pieces, made with the first."""
        self._folder = folder
        self.names: list[str] = []

    def __call__(self, piece: bytes) -> None:
        """Write the next piece."""
        self._folder.mkdir(exist_ok=True)
        self.names.append(f"part-{len(self.names):05d}.parquet")
        (self._folder / self.names[-1]).write_bytes(piece)


def write_study(
    folder: Path, make: Callable[[Parts], Study], *, parameters_sha256: str, limits_sha256: str = "", version: str
) -> tuple[Study, dict[str, str], list[str]]:
    """Make a study, and write table and plots to a folder in one step; return the study, (file -> what it is), and
    sentences on what is missing.

    make: returns the study; of one that keeps only sums it hands the pieces to the `Parts` it is given.
    parameters_sha256: of the parameter file; version: of the program. Raises OutputFolderError when the folder cannot
    be used.
    """
    files: dict[str, str] = {}
    said: list[str] = []
    if (folder / MANIFEST_NAME).is_file():
        others = [e.path for e in read_manifest(folder / MANIFEST_NAME).files if e.path.partition(".")[0] not in NAMES]
        if others:
            raise OutputFolderError(f"{folder}: holds other outputs ({others[0]}); name another folder for the study")
    with output_folder(folder) as new:

        def put(name: str, what: str, write: Callable[[Path], object]) -> None:
            write(new / name)
            files[name] = what

        parts = Parts(new / PARTS)
        study = make(parts)
        told = (
            "every combination that passes"
            if study.passing
            else "every combination"
            if study.sums is None
            else "the best combination of each cell of the map, and some of all"
        )
        put("study.csv", told, lambda path: write_table(path, study))
        missing = None if study.sums is not None and has_parquet() else write_parquet(new / PARTS, study)
        if missing is not None:
            said.append(missing if study.sums is None else NO_PARTS)
        elif study.sums is None:
            files[PARTS] = told
        files |= dict.fromkeys((f"{PARTS}/{name}" for name in parts.names), "combinations, a piece of the table")
        plots = [("weight", "weight against use", weight_plot(study))]
        if len(study.grid.axes) >= 2 and not study.passing:
            plots.insert(0, ("map", "map of the governing check", governing_map(study)))
        for name, what, plot in plots:
            for ending in ("svg", "pdf", "png"):
                put(f"{name}.{ending}", what, plot.write)
        put(
            "summary.txt",
            "what was varied, and the lightest that passes",
            lambda path: path.write_text(summary(study), encoding="utf-8", newline="\n"),
        )
        write_manifest(new, files, version=version, parameters_sha256=parameters_sha256, limits_sha256=limits_sha256)
    return study, files, said


def summary(study: Study) -> str:
    """Return the study in a few lines for a person."""
    out, j = io.StringIO(), study.judged
    print(f"{study.name}: {_counted(study.grid.count, 'combination')}", file=out)
    for a in study.grid.axes:
        first, last = a.shown[0], a.shown[-1]
        if isinstance(first, float) and isinstance(last, float):
            print(f"  {a.path}: {_counted(len(a.values), 'value')}, {first:g} to {last:g} {a.unit}".rstrip(), file=out)
        else:
            print(f"  {a.path}: {', '.join(str(v) for v in a.shown)}", file=out)
    if study.one_by_one:
        print(f"resolved one by one: {study.one_by_one}", file=out)
    if not study.passing:
        print(", ".join(f"{words}: {study.told.level[k]}" for k, words in enumerate(VERDICTS)), file=out)
    else:
        print(f"break no check that the values move: {study.count}; the others are left out", file=out)
    for code, verdict in study.fixed:
        print(f"{_every(verdict)}: {code}", file=out)
    if study.left_out:
        print(study.left_out, file=out)
    if study.cannot:
        print(f"cannot be built: {study.told.cannot}; the first: {study.cannot}", file=out)
    best, near = study.lightest(), study.nearest()
    if best is not None:
        _tell(out, study, best, f"lightest that passes every {'other ' if study.fixed else ''}check")
    elif study.passing:
        print("no combination passes; without --passing the map and the table tell what each one breaks", file=out)
    else:
        print("no combination passes; the checks that govern most often:", file=out)
        count = study.told.governing
        for k in np.argsort(-count, kind="stable")[:5]:
            if count[k]:
                print(f"  {j.codes[k]}: {_counted(int(count[k]), 'combination')}", file=out)
        if near is not None:
            off = f"{_counted(int(j.fails[near]), 'failure')}, {_counted(int(j.warns[near]), 'warning')}"
            _tell(out, study, near, f"nearest to passing ({off})")
    print(GUIDANCE, file=out)
    return out.getvalue()


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _tell(out: io.StringIO, study: Study, index: int, words: str) -> None:
    """Print one combination: weight, what governs, its values."""
    row = study.row(index)
    used = float(row["utilisation"])
    print(
        f"{words}: {study.weights(index, index + 1)[0]:.3f} {study.weight_unit}, governed by {row['governing']}"
        + (f" at {100 * used:.0f} %" if math.isfinite(used) else ""),
        file=out,
    )
    for a in study.grid.axes:
        value = row[a.path]
        print(f"  {a.path}: " + (f"{value:g} {a.unit}".strip() if isinstance(value, float) else str(value)), file=out)
