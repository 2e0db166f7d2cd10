"""What a shop has read in standards, and what of it is in force: the tables answer by it while a command runs.

A reading says which value was read: a limit, the source of a check, or a row of a standard table; where, by whom, when,
and the values that were found there, should they be others than those shipped.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any, Literal, ParamSpec, TypeAlias, TypeVar, cast

Kind: TypeAlias = Literal["limit", "check", "table"]
KINDS: tuple[Kind, ...] = ("limit", "check", "table")
_P = ParamSpec("_P")
_R = TypeVar("_R")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading. name: of the limit, the check or the table; row: which of a table, by its label.

    values: what was read, where it is not what is shipped: of a limit under "value", of a row by column. columns: of a
    row those that were read, all of them when empty. breach: what breaking it means from now on, "" as shipped.
    """

    kind: Kind
    name: str
    row: str = ""
    values: Mapping[str, float] = field(default_factory=dict)
    columns: tuple[str, ...] = ()
    edition: str
    clause: str
    by: str
    date: str
    breach: Literal["", "warning", "failure"] = ""

    @property
    def called(self) -> str:
        """What was read, as a person names it."""
        return f"{self.name}/{self.row}" if self.kind == "table" else self.name

    @property
    def against(self) -> str:
        """Edition and clause."""
        return f"{self.edition}, {self.clause}"

    @property
    def words(self) -> str:
        """What a finding says that rests on it."""
        return f"confirmed by the user against {self.against} ({self.by}, {self.date})"

    def read(self, column: str) -> bool:
        """Return whether a column of its row was read."""
        return not self.columns or column in self.columns


@dataclass(frozen=True, slots=True, eq=False)
class Readings:
    """The newest reading of each thing. sha256: of the file they stand in."""

    known: Mapping[tuple[Kind, str, str], Reading] = field(default_factory=dict)
    sha256: str = ""

    def listed(self) -> list[Reading]:
        """Return them in the order of their names."""
        return sorted(self.known.values(), key=lambda r: (r.called, r.kind))

    def limits(self) -> dict[str, Reading]:
        """Return the readings of limits by name."""
        return {name: r for (kind, name, _), r in self.known.items() if kind == "limit"}

    def check(self, code: str) -> Reading | None:
        """Return the reading of a check's source."""
        return self.known.get(("check", code, ""))

    def rows(self, table: str) -> dict[str, Reading]:
        """Return the readings of a table's rows by label."""
        return {row: r for (kind, name, row), r in self.known.items() if kind == "table" and name == table}


NONE = Readings()
_now = NONE


def current() -> Readings:
    """Return the readings that are in force."""
    return _now


def use(known: Readings) -> None:
    """Put readings in force in this process from now on."""
    global _now
    _now = known


@contextmanager
def in_force(known: Readings) -> Iterator[None]:
    """Put readings in force for a while."""
    before = current()
    use(known)
    try:
        yield
    finally:
        use(before)


def kept(function: Callable[_P, _R]) -> Callable[_P, _R]:
    """Keep what a function answers, as functools.cache does, by the readings in force."""

    by_readings: Any = functools.lru_cache(maxsize=512)(lambda _, *args, **kwargs: function(*args, **kwargs))

    @functools.wraps(function)
    def answer(*args: _P.args, **kwargs: _P.kwargs) -> _R:
        return cast(_R, by_readings(current(), *args, **kwargs))

    return answer
