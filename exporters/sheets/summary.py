"""The summary of a job on one page, to pin to the wall: what is made, how it stands, who takes which sheet."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from strutwright.exporters.bench.paper import Imprint, Paper, broken, capital, first_that_fits, work_sheet
from strutwright.exporters.drawing.figures import fixed
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files import people
from strutwright.exporters.sheets import arrangement, common, flange
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models import cautions
from strutwright.models.finding import Finding, lacking, nearest, verdict_line
from strutwright.models.spec_let_in import LetIn
from strutwright.params.part_kinds import STRUT

_WHAT_MM, _TASK_MM, _MOST_LINES = 118.0, 100.0, 2


def summary_sheet(ctx: SheetContext, findings: Sequence[Finding], sheets: Mapping[str, int]) -> Sheet:
    """Return the summary of a job.

    findings: all of them. sheets: path of each sheet within the job's folder -> its number in the set. Raises
    SheetFitError where the page does not hold it.
    """
    drawing = ctx.resolved.said.drawing
    paper: Paper = "letter" if (drawing.paper or ("a4" if ctx.unit == "mm" else "letter")) == "letter" else "A4"
    reference = f"strutwright {ctx.version}, parameters {ctx.parameters_sha256[:12]}"
    imprint = Imprint(paper=paper, reference=reference).of(ctx.strut)
    drawn = arrangement.picture(ctx, []) if ctx.strut.family == STRUT else flange.picture(ctx)
    views = [drawn] if any(p.kind in ("strut", "barrel") for p in ctx.built.parts) else []
    first, whose = [_stands(ctx, findings), _sizes(ctx)], _people(ctx, sheets)
    briefly = replace(whose, columns=whose.columns[:2], rows=tuple(row[:2] for row in whose.rows))

    def sheet(some: Sequence[Table], shown: Sequence[View]) -> Sheet:
        made = work_sheet(
            "Summary of the job",
            None,
            imprint=imprint,
            unit=ctx.unit,
            views=shown,
            tables=some,
            notes=lacking(findings) or (),
            cautions=(cautions.STRUCTURE,),
            document_type="Summary",
            text_sizes_mm=(2.5,),
        )
        made.title = replace(made.title, revision=ctx.strut.identity.revision)
        made.least_view_mm = 25.0
        return made

    return first_that_fits(
        [sheet([*first, whose], views), sheet([*first, briefly], views), sheet([*first, whose], []), sheet(first, [])]
    )


def _table(name: str, title: str, columns: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> Table:
    return Table(
        name=name,
        title=title,
        columns=columns,
        rows=tuple(rows),
        left=frozenset(range(len(columns))),
        row_mm=4.4,
        corner="top left",
    )


def _stands(ctx: SheetContext, findings: Sequence[Finding]) -> Table:
    """The verdict in the title, then the three nearest to their limits."""
    units = ctx.strut.file_units
    rows = [(_short(f.about(units)), f.limit_used(), f.verdict.sign) for f in nearest(findings, ctx.resolved.filled_in)]
    title = verdict_line(findings).removesuffix(".").upper()
    return _table("stands", title, ("nearest to the limit", "limit used", "stands"), rows or [("-", "-", "-")])


def _short(about: str) -> str:
    """What was checked in at most two lines: its beginning, up to a comma or bracket where it is longer."""
    parts = re.split(r"(?=, | \()", about)
    kept = next(n for n in range(len(parts), 0, -1) if n == 1 or len(_lines("".join(parts[:n]))) <= _MOST_LINES)
    return "\n".join(_lines("".join(parts[:kept]))[:_MOST_LINES])


def _lines(text: str) -> list[str]:
    return broken(text, _WHAT_MM).split("\n")


def _sizes(ctx: SheetContext) -> Table:
    strut, barrel = ctx.strut, ctx.strut.barrel
    rows = [
        ("made", f"{strut.construction}, {strut.material}{_mass(ctx)}"),
        ("shaft", f"Ø{ctx.with_unit(strut.shaft.diameter_mm)}"),
    ]
    for k, b in enumerate(strut.bearings):
        name = common.bearing_name(strut, k) if len(strut.bearings) > 1 else "fluted rubber bearing"
        rows.append((name, f"Ø{ctx.length(b.outside_mm)} x {ctx.length(b.length_mm)} {ctx.unit}"))
    bore = f"Ø{ctx.length(barrel.bore_mm)}"
    rows += [
        (
            "barrel, outside x bore x length",
            f"Ø{ctx.length(barrel.outside_mm)} x {bore} x {ctx.with_unit(barrel.length_mm)}",
        ),
        *(_stance(ctx) if strut.let_in is None else _in_structure(ctx, strut.let_in)),
        *(_plates(ctx) if strut.plates else []),
    ]
    if strut.set_screws:
        rows.append(("set screws", f"{len(strut.set_screws)} x {strut.set_screws[0].thread}"))
    return _table("sizes", "MAIN SIZES", ("what", "size"), rows)


def _plates(ctx: SheetContext) -> list[tuple[str, str]]:
    """What is bolted down."""
    strut, plate = ctx.strut, ctx.strut.plates[0]
    box = plate.outline.bounding_box()
    wide = (ctx.length(box.xmax - box.xmin), ctx.length(box.ymax - box.ymin), ctx.with_unit(plate.thickness_mm))
    return [
        (
            ("palm" if strut.flange is None else "flange") + f", each of {len(strut.plates)}" * (len(strut.plates) > 1),
            " x ".join(wide),
        ),
        (
            "palm bolts" if strut.flange is None else "fasteners",
            f"{sum(len(p.holes) for p in strut.plates)} x {plate.bolt.size}, {plate.bolt.kind}",
        ),
    ]


def _in_structure(ctx: SheetContext, it: LetIn) -> list[tuple[str, str]]:
    """How it stands in its structure."""
    rows = [
        (f"{it.hold} into a {it.structure.kind} of {it.structure.material}", f"{ctx.with_unit(it.let_in_mm)} deep"),
        ("hole at the mouth", f"Ø{ctx.with_unit(it.seats[0].hole_mm)}"),
    ]
    if it.collar is not None:
        rows.append(("collar", f"Ø{ctx.length(it.collar.diameter_mm)} x {ctx.with_unit(it.collar.thickness_mm)}"))
    if it.locking:
        rows.append(("locking screws", f"{len(it.locking)} x {it.locking[0].thread}"))
    return rows


def _stance(ctx: SheetContext) -> list[tuple[str, str]]:
    """How it stands on what it is bolted to."""
    strut = ctx.strut
    if strut.flange is not None:
        lean, turn = strut.flange.plane.lean_deg, strut.flange.plane.turn_deg
        return [("flange off square, in profile and plan", f"{fixed(lean, 2)}°, {fixed(turn, 2)}°")]
    plane = strut.palms[0].plane
    return [
        ("drop, square to shaft", ctx.with_unit(strut.hull.drop_square_to_shaft_mm)),
        ("shaft to palm, pitch and tilt", f"{fixed(plane.pitch_deg, 2)}°, {fixed(plane.tilt_deg, 2)}°"),
    ]


def _mass(ctx: SheetContext) -> str:
    mass = common.strut_mass(ctx) if ctx.built.parts else ""
    return f", {mass}" if mass else ""


def _people(ctx: SheetContext, sheets: Mapping[str, int]) -> Table:
    """Which sheets of the set are whose, and what each must still measure or ask."""
    taken = people.parted(sheets, ctx.strut)
    rows = []
    for person in people.who(ctx.strut):
        numbers = sorted({sheets[path] for path in taken[person]})
        told = [broken(capital(task.what), _TASK_MM) for task in people.tasks(person, ctx.strut, "")]
        rows.append((person, ", ".join(map(str, numbers)) or "-", "\n".join(told)))
    columns = ("who", "sheets", "must still measure or ask")
    return _table("people", "WHO TAKES WHICH SHEET; ALL FILES: INDEX.HTML", columns, rows)
