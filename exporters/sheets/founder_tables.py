"""The tables of the founder's sheets."""

from __future__ import annotations

from collections.abc import Sequence

from strutwright.exporters.drawing.figures import fixed
from strutwright.exporters.drawing.sheet import Table
from strutwright.exporters.sheets import common
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.founder_casting import Casting
from strutwright.models.geometry.stations import ORDINATES, Station, arm_stations, half_thickness_mm, skeg_stations
from strutwright.models.shop import founder
from strutwright.models.shop.draft import UNDERCUT_MM2, DraftRow
from strutwright.models.shop.founder import Heavy


def sizes(it: Casting) -> Table:
    """Return the table: sizes from part to pattern."""
    f, rows = it.ctx.figures, []
    for s in founder.pattern_sizes(it.strut, it.spec):
        each = f"{s.faces} × {f.length(s.stock_mm)}".replace("-", "less ") if s.faces else "draft" if s.draft else "-"
        finished = "-" if s.finished_mm is None else f.length(s.finished_mm)
        rows.append((s.what, finished, each, f.length(s.casting_mm), f.length(s.pattern_mm)))
    return Table(
        name="sizes",
        title=f"FROM PART TO PATTERN, {it.ctx.unit}: × {it.k:.5f}",
        columns=("size", "finished", "stock", "casting", "PATTERN"),
        rows=tuple(rows),
        left=frozenset({0}),
        row_mm=4.4,
    )


def heavy_table(it: Casting, heavy: Sequence[Heavy]) -> Table:
    """Return the table: where metal is heavy."""
    f = it.ctx.figures
    rows = tuple(
        (
            str(n),
            h.where,
            ("Ø" if h.centre_mm is not None else "") + f.length(h.thick_mm),
            f.length(h.modulus_mm),
            f.length(h.feeder_mm) if h.centre_mm is not None else "-",
        )
        for n, h in enumerate(heavy, 1)
    )
    return Table(
        name="heavy",
        title=f"HEAVY PLACES OF THE CASTING, {it.ctx.unit}",
        columns=("no.", "place", "wall or circle", "modulus", "feeder modulus at least"),
        rows=rows,
        left=frozenset({1}),
        row_mm=4.4,
    )


def ordinate_tables(it: Casting) -> list[Table]:
    """Return the table: stations and ordinates of arms and fin."""
    told = [(name, arm_stations(it.strut, arm)) for name, arm in founder.arms_told(it.strut)]
    if it.strut.skeg is not None:
        told.append(("skeg", skeg_stations(it.strut, it.strut.skeg)))
    return [
        table for name, stations in told for table in (_stations(it, name, stations), _ordinates(it, name, stations))
    ]


def _stations(it: Casting, name: str, stations: Sequence[Station]) -> Table:
    """Where the sections of an arm or the fin stand, and how large they are, at pattern size."""
    f, k = it.ctx.figures, it.k
    rows = tuple(
        (
            f"{s.per_cent:g} %",
            *(f.length(k * v) for v in (s.along_mm, s.section.chord_mm, s.section.thickness_mm)),
            f.length(k * s.section.edge_radius) if s.section.edge_radius else "-",
        )
        for s in stations
    )
    return Table(
        name=f"stations {name}",
        title=f"STATIONS OF THE {name.upper()} AT PATTERN SIZE, {it.ctx.unit}",
        columns=("station", "from the shaft line", "chord", "thickness", "edge radius"),
        rows=rows,
        row_mm=4.2,
    )


def _ordinates(it: Casting, name: str, stations: Sequence[Station]) -> Table:
    """x from the leading edge along the chord and y, half the thickness, at each station, at pattern size."""
    f, k = it.ctx.figures, it.k
    half = [half_thickness_mm(s.section) for s in stations]
    rows = tuple(
        (
            fixed(share, 2),
            *(
                f.length(k * v)
                for s, h in zip(stations, half, strict=True)
                for v in (share / 100.0 * s.section.chord_mm, abs(h[n]))
            ),
        )
        for n, share in enumerate(ORDINATES)
    )
    heads = (f"{s.per_cent:g} %: {axis}" for s in stations for axis in ("x", "y"))
    return Table(
        name=f"ordinates {name}",
        title=f"ORDINATES OF THE {name.upper()} AT PATTERN SIZE, {it.ctx.unit}: x from the leading edge, y both sides",
        columns=("% of chord", *heads),
        rows=rows,
        row_mm=4.2,
    )


def target_table(it: Casting) -> Table:
    """Return the table: the datum targets."""
    f = it.ctx.figures
    rows = tuple((t.name, t.on, *(f.length(float(v)) for v in t.at)) for t in founder.datum_targets(it.strut, it.spec))
    return Table(
        name="targets",
        title=f"DATUM TARGETS ON THE CASTING, FROM THE DATUM, {it.ctx.unit}",
        columns=("target", "on", "forward", "to port", "to the hull" if it.strut.palms else "up"),
        rows=rows,
        left=frozenset({1}),
        row_mm=4.2,
    )


def draft_table(ctx: SheetContext, rows: Sequence[DraftRow]) -> Table:
    """How the faces of both halves open along the pull, as the pattern's mesh was measured."""
    faces: dict[str, dict[str, DraftRow]] = {}
    for row in rows:
        faces.setdefault(row.face, {})[row.half] = row
    halves = list(dict.fromkeys(row.half for row in sorted(rows, key=lambda r: r.half)))

    def told(row: DraftRow | None) -> tuple[str, str]:
        if row is None:
            return "-", "-"
        return common.degrees(row.asked_deg, 1), f"{common.degrees(row.worst_deg, 1)}{_draft_word(row)}"

    heads = (head for half in halves for head in (f"{half}: asked", "least"))
    listed = tuple((face, *(t for half in halves for t in told(by.get(half)))) for face, by in faces.items())
    return Table(
        name="draft",
        title="DRAFT OF THE PATTERN, out from the joint",
        columns=("face", *heads),
        rows=listed,
        left=frozenset({0}),
        row_mm=4.2,
    )


def _draft_word(row: DraftRow) -> str:
    if row.undercut_mm2 > UNDERCUT_MM2:
        return " OVERHANGS"
    return " low" if row.low_mm2 > UNDERCUT_MM2 else ""


def arrival_table(it: Casting) -> Table:
    """Return the table: what is measured when the casting arrives."""
    f = it.ctx.figures
    rows = tuple(
        (a.what, f.length(a.size_mm) + (" at most" if a.most else f" ±{f.length(a.off_mm)}"), "")
        for a in founder.arrivals(it.strut, it.spec)
    )
    return Table(
        name="arrival",
        title=f"WHAT IS MEASURED WHEN IT ARRIVES, {it.ctx.unit}",
        columns=("casting", "size", "found"),
        rows=rows,
        left=frozenset({0}),
        row_mm=5.0,
        least_mm=(0.0, 0.0, 22.0),
    )
