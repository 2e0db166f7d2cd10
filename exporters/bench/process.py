"""The process sheet: the order of work with room to sign, where to stop and look, and what it comes to."""

from __future__ import annotations

from collections.abc import Sequence

from strutwright.exporters.bench.paper import Imprint, apart, broken, work_sheet
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.models import cautions
from strutwright.models.bench.process import Estimate, Operation
from strutwright.params.bench.process import ShopRates
from strutwright.params.quantity import POUND_KG, FileUnits
from strutwright.params.words import read

_TITLE, _REST = "Process sheet", "Tools, time, estimate"


def process_sheets(
    made: Sequence[Operation], found: Estimate, rates: ShopRates, *, imprint: Imprint, units: FileUnits
) -> list[Sheet]:
    """Return the process sheet of a strut."""
    work, warned = _work(made, units)
    sums = _sums(found, rates, units)
    whole = work_sheet(
        _TITLE,
        rates,
        imprint=imprint,
        unit=units,
        tables=[t for t in (work, warned, sums) if t.rows],
        cautions=(cautions.STRUCTURE,),
        document_type=_TITLE,
        text_sizes_mm=(2.5,),
    )
    # The cautions come first: they stand on the first page even where the steps go on on another.
    return apart(whole, [t for t in (warned, _short(made, units)) if t.rows], [_tools(made), sums], _REST)


def _short(made: Sequence[Operation], units: FileUnits) -> Table:
    """The order of work without tools and minutes, for a page that does not hold them."""
    told = _told(made)
    rows = [
        (
            str(number),
            broken(f"{o.what}{' (HOLD)' if o.hold else ''}", 60.0),
            broken(read(o.figures, units), 73.0),
            ", ".join(str(told.index(c) + 1) for c in o.cautions),
            "",
        )
        for number, o in enumerate(made, 1)
    ]
    return Table(
        name="work",
        title="ORDER OF WORK; AT A HOLD THE WORK STOPS UNTIL IT IS SIGNED",
        columns=("no.", "what", "figures", "caution", "signed"),
        rows=tuple(rows),
        left=frozenset({1, 2}),
        row_mm=4.4,
        least_mm=(7.0, 50.0, 56.0, 9.0, 16.0),
        corner="top left",
    )


def _tools(made: Sequence[Operation]) -> Table:
    """What each step is done with, and how long it takes."""
    return Table(
        name="tools",
        title="TOOLS AND TIME",
        columns=("no.", "what", "with", "min"),
        rows=tuple(
            (str(k), broken(o.what, 68.0), broken(o.tools, 72.0), f"{o.minutes:.0f}") for k, o in enumerate(made, 1)
        ),
        left=frozenset({1, 2}),
        row_mm=4.8,
        least_mm=(7.0, 50.0, 50.0, 9.0),
        corner="top left",
    )


def _told(made: Sequence[Operation]) -> list[str]:
    """The cautions of all steps, each once; steps name them by their place here."""
    return list(dict.fromkeys(c for o in made for c in o.cautions))


def _work(made: Sequence[Operation], units: FileUnits) -> tuple[Table, Table]:
    """The order of work, and the cautions that its steps name by number."""
    told = _told(made)
    rows = []
    for number, o in enumerate(made, 1):
        marks = ", ".join(str(told.index(c) + 1) for c in o.cautions)
        rows.append(
            (
                str(number),
                broken(f"{o.what}{' (HOLD)' if o.hold else ''}", 42.0),
                broken(o.tools, 36.0),
                broken(read(o.figures, units), 40.0),
                f"{o.minutes:.0f}",
                marks,
                "",
            )
        )
    work = Table(
        name="work",
        title="ORDER OF WORK; AT A HOLD THE WORK STOPS UNTIL IT IS SIGNED",
        columns=("no.", "what", "with", "figures", "min", "caution", "signed"),
        rows=tuple(rows),
        left=frozenset({1, 2, 3}),
        row_mm=4.8,
        least_mm=(7.0, 38.0, 30.0, 34.0, 9.0, 9.0, 14.0),
        corner="top left",
    )
    warned = Table(
        name="cautions",
        title="CAUTIONS WHERE THEY BITE (GUIDANCE)",
        columns=("no.", "caution"),
        rows=tuple((str(k), broken(c, 163.0)) for k, c in enumerate(told, 1)),
        left=frozenset({1}),
        row_mm=4.2,
        corner="top left",
    )
    return work, warned


def _sums(found: Estimate, rates: ShopRates, units: FileUnits) -> Table:
    """What the work comes to."""
    kg, unit = (found.metal_kg, "kg") if units == "mm" else (found.metal_kg / POUND_KG, "lb")
    rows = [(f"hours, {place}", f"{hours:.1f}") for place, hours in found.hours.items() if hours]
    rows.append(("metal, cast or as stock, with weld metal", f"{kg:.1f} {unit}"))
    if found.labour:
        rows.append(("labour", f"{found.labour:.0f} {rates.currency}"))
    rows.append(("metal", "no price given" if found.metal is None else f"{found.metal:.0f} {rates.currency}"))
    if found.total is not None:
        rows.append(
            (
                f"sum with {rates.overhead:g} % overhead; an estimate, no quotation",
                f"{found.total:.0f} {rates.currency}",
            )
        )
    return Table(
        name="sums",
        title="ESTIMATE",
        columns=("what", "comes to"),
        rows=tuple(rows),
        left=frozenset({0}),
        row_mm=4.8,
        corner="top left",
    )


def lines(made: Sequence[Operation], found: Estimate, rates: ShopRates, units: FileUnits) -> list[str]:
    """Return the order of work in words."""
    told = [
        f"{k:>3}. {o.what}{' (HOLD)' if o.hold else ''}: {read(o.figures, units)}; {o.tools}; {o.minutes:.0f} min"
        for k, o in enumerate(made, 1)
    ]
    return [*told, *(f"{what}: {value}" for what, value in _sums(found, rates, units).rows)]


def document(made: Sequence[Operation], found: Estimate, rates: ShopRates, units: FileUnits) -> dict[str, object]:
    """Return the same as plain data."""
    return {
        "operations": [
            {
                "number": k,
                "what": o.what,
                "place": o.place,
                "tools": o.tools,
                "figures": read(o.figures, units),
                "minutes": o.minutes,
                "hold": o.hold,
                "cautions": list(o.cautions),
            }
            for k, o in enumerate(made, 1)
        ],
        "hours": dict(found.hours),
        "metal_kg": found.metal_kg,
        "currency": rates.currency,
        "labour": found.labour,
        "metal": found.metal,
        "total": found.total,
    }
