"""What a strut's findings rest on that is from memory, most used first: the list that a shop works off by reading.

Limits and checks are told by the findings themselves. A row of a standard table counts where moving its values a little
moves a finding.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from strutwright.models.finding import LEVELS, Finding
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import Resolved
from strutwright.models.spec import Strut
from strutwright.params import checks, readings, tables
from strutwright.params.limits import Limits
from strutwright.params.problems import ParameterError
from strutwright.params.quantity import INCH_MM
from strutwright.params.readings import Reading, Readings
from strutwright.params.words import Words, say

STIR = 1.03
"""By how much the values of a row are moved; more than what is read as equal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """Something from memory. name: as `confirm` takes it; value: what stands, "" of what is more than one number;
    source: where it is said to come from; governing: the finding that rests on it and is nearest to its limit, or
    beyond it."""

    name: str
    value: str
    source: Words
    count: int
    governing: Finding

    @property
    def rank(self) -> tuple[float, ...]:
        """What puts it on the list: how many findings rest on it, then how the worst of them stands."""
        return (-self.count, *_weight(self.governing))


def from_memory(findings: Sequence[Finding], table: Limits) -> list[Item]:
    """Return limits and checks that findings rest on, which are from memory or of low confidence, most used first.

    >>> from strutwright.models.checks.engineering import engineering_findings
    >>> items = from_memory(engineering_findings(shipped("harbour-launch")), standard())
    >>> {i.name: i.value for i in items}["load_factor"]
    '1.5 load'
    """
    by_name: dict[str, list[Finding]] = {}
    for f in findings:
        for name in f.rests:
            by_name.setdefault(name, []).append(f)
    return in_order([_item(name, resting, table) for name, resting in by_name.items()])


def rows_from_memory(
    strut: Strut, findings: Sequence[Finding], anew: Callable[[], tuple[Resolved, list[Finding]]]
) -> list[Item]:
    """Return rows of standard tables that are from memory and on which findings rest, most used first.

    anew: resolves the same file and checks it, by the tables as they stand then.

    >>> from strutwright.models.checks.engineering import engineering_findings
    >>> strut = shipped("canal-tender")
    >>> judged = engineering_findings(strut)
    >>> rows_from_memory(strut, judged, lambda: (resolved("canal-tender"), judged))  # nothing moves by itself
    []
    """
    wanted, now = _named(strut), readings.current()
    items = []
    for name in tables.names():
        table = tables.table(name)
        for number, label in enumerate(table.labels):
            columns = table.from_memory(number)
            if label not in wanted or not columns:
                continue
            values = {
                c: v * STIR for c in columns if (v := table.rows[number][c]) is not None and table.units[c] != "-"
            }
            stir = Reading(kind="table", name=name, row=label, values=values, edition="", clause="", by="", date="")
            with readings.in_force(Readings({**now.known, ("table", name, label): stir})):
                try:
                    moved = _moved(findings, anew()[1])
                except (ParameterError, ArithmeticError, ValueError, tables.NotInTable):
                    moved = list(findings)  # it stands on this row altogether
            if moved:
                source = f"{table.rows[number].get('spec', table.standard)}: {', '.join(columns)}"
                items.append(
                    Item(
                        name=f"{name}/{label}",
                        value="",
                        source=source,
                        count=len(moved),
                        governing=min(moved, key=_weight),
                    )
                )
    return in_order(items)


def in_order(items: Sequence[Item]) -> list[Item]:
    """Return items most used first; of those used alike, the one under the finding that stands worst.

    >>> in_order([])
    []
    """
    return sorted(items, key=lambda item: (item.rank, item.name))


def _named(strut: Strut) -> set[str]:
    """Labels of the rows that a strut names: its materials, bolts, screws and shaft."""
    inputs, shaft_mm = Inputs.from_strut(strut), strut.shaft.diameter_mm
    metals = {m.name for m in (inputs.strut, inputs.shaft, inputs.shell, inputs.bolt, inputs.hull)}
    screws = {s.thread for s in strut.set_screws}
    return metals | screws | {inputs.bolt_size, f"{shaft_mm:g}", f"{shaft_mm / INCH_MM:g}"}


def _item(name: str, resting: list[Finding], table: Limits) -> Item:
    kind, _, plain = name.rpartition(":")
    row, worst = table.get(plain), min(resting, key=_weight)
    if row is not None and kind != "check":
        told = "no source" if row.source == "none" else say(row.source)
        value, source = f"{row.value:g} {row.unit}", say("{source}: {what}", source=told, what=row.meaning)
        return Item(name=name, value=value, source=source, count=len(resting), governing=worst)
    source = say(worst.source or checks.sources()[plain].meaning)
    return Item(name=name, value="", source=source, count=len(resting), governing=worst)


def _weight(f: Finding) -> tuple[float, float]:
    used = f.utilisation if f.utilisation == f.utilisation else 0.0
    return -LEVELS.get(f.verdict, 0), -used


def _moved(before: Sequence[Finding], after: Sequence[Finding]) -> list[Finding]:
    """Return the findings whose numbers are others now, else have no like."""
    left = [_numbers(f) for f in after]
    return [f for f in before if _numbers(f) not in left]


def _numbers(f: Finding) -> tuple[str, str, str, str, str]:
    return f.code, f.verdict.value, repr(f.actual), repr(f.demanded), repr(f.utilisation)
