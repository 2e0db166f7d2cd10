"""What is kept while a file is resolved: where each value comes from, and every fault that is found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias, TypeVar

from strutwright.models import rules
from strutwright.models.families import file_path, own_groups, words_of
from strutwright.params import explain, quantity, tables
from strutwright.params.limits import Limits
from strutwright.params.loader import Loaded, kind_at, split
from strutwright.params.part_kinds import STRUT
from strutwright.params.problems import ParameterError, Problem
from strutwright.params.words import Amount, Part, Text, Words, fine_mm, read, say

Origin = Literal["given", "measured", "derived", "table"]
T = TypeVar("T")
Size: TypeAlias = "float | Part"
"""A size in a fault: mm, told as finely as a micrometer reads, or words of its own."""
_OWN = ("strut", "housing", "hanger")
"""What the metal of the part itself is called, by kind of part."""
_BOUNDS = {
    "at_most": "at most {size}",
    "at_least": "at least {size}",
    "over": "more than {size}",
    "under": "less than {size}",
    "about": "about {size}",
    "or_more": "{size} or more",
}


@dataclass(frozen=True, slots=True)
class ValueRecord:
    """One value of the resolved set: dotted path, value (mm, deg, kg, kW, kn or text), where it comes from."""

    path: str
    value: float | str
    unit: str
    origin: Origin
    note: str


class MissingPartError(Exception):
    """A part is wanted that could not be worked out, because of faults of the file that are told already."""


class Book:
    """The records and faults of one file. limits: those that its derived sizes keep. recorded: whether the records are
    for a person: every value, and each with its rule in words. whole_mm, half_mm: the steps of sizes (see rules)."""

    def __init__(self, loaded: Loaded, limits: Limits, *, recorded: bool = True) -> None:
        self.loaded, self.limits, self.recorded = loaded, limits, recorded
        self.said: Any = loaded.said
        self.records: dict[str, ValueRecord] = {}
        self.problems: list[Problem] = []
        self.inch = self.said.units == "in"
        self.whole_mm, self.half_mm = rules.whole_step_mm(inch=self.inch), rules.half_step_mm(inch=self.inch)

    # --- faults -----------------------------------------------------------------------------------------------------

    def fault(
        self, path: str, what: Words, advice: Words, *, given: Size = "", allowed: Part = "", **bound: Size
    ) -> None:
        """Tell a fault at a path. bound: in place of allowed, one of at_most, at_least, over, under, about, or_more."""
        for name, size in bound.items():
            allowed = say(_BOUNDS[name], size=_part(size))
        words = (self.read(w) for w in (what, _part(given), allowed, advice))
        self.problems.append(self.loaded.problem(file_path(path, self.said.part), *words))

    def missing(self, path: str, of: str) -> None:
        """Tell that a value is missing for a kind of something, such as "the pattern `grid`"."""
        self.fault(path, f"is missing for {of}", f"add `{path.rpartition('.')[2]}`")

    def no_meaning(self, path: str, of: str) -> None:
        """Tell that a value says nothing for a kind of something."""
        self.fault(path, f"has no meaning for {of}", "remove it")

    def stop_if_faulty(self, since: int = 0) -> None:
        """Stop when there are faults beyond the first `since` of them. Raises ParameterError."""
        if len(self.problems) > since:
            raise ParameterError(self.problems)

    def stage(self, make: Callable[[], T]) -> T | None:
        """Return make(), or None where it fails after a fault was reported.

        Whatever else make raises is a fault of the program, and goes through.
        """
        try:
            return make()
        except (ParameterError, MissingPartError):
            return None

    def need(self, part: T | None) -> T:
        """Return a part that has to be there. Raises MissingPartError where a fault that is told took it away."""
        if part is None:
            if not self.problems:
                raise AssertionError("a part is missing and no fault is told")
            raise MissingPartError
        return part

    # --- records ----------------------------------------------------------------------------------------------------

    def note(self, path: str, value: T, unit: str, origin: Origin, note: Words) -> T:
        """Record a value; return it."""
        path = file_path(path, self.said.part)
        words = self.read(note) if self.recorded else ""
        self.records[path] = ValueRecord(path, value, unit, origin, words)  # type: ignore[arg-type]
        return value

    def given(self, path: str, value: T, unit: str = "mm", said_at: str = "") -> T:
        """Record a value that the file says, or the default it leaves standing by not saying it; return it."""
        said = self.loaded.says(file_path(said_at or path, self.said.part))
        return self.note(path, value, unit, "given" if said else "derived", "" if said else "default")

    def derived(self, path: str, value: T, rule: Words, unit: str = "mm") -> T:
        """Record a value that follows by a rule; return it."""
        return self.note(path, value, unit, "derived", rule)

    def said_at(self, path: str) -> Any:
        """Return what the file says at a path, or the schema's default; None where there is neither."""
        at: Any = self.said
        for part in split(file_path(path, self.said.part)):
            at = at[part] if isinstance(part, int) else getattr(at[0] if isinstance(at, list) else at, part)
        return at

    def take(self, path: str, otherwise: T, rule: Words, unit: str = "mm", origin: Origin = "derived") -> T:
        """Return the value the file says at a path; where it says none, another one, recorded with its rule."""
        said: T | None = self.said_at(path)
        return self.note(path, otherwise, unit, origin, rule) if said is None else said

    def table(self, path: str, what: str, get: Callable[..., T], *args: Any, advice: str = "") -> T | None:
        """Return what a standard table holds of a name; None, and a fault at the path, where it does not."""
        try:
            return get(*args)
        except tables.NotInTable as error:
            to_do = advice or "choose one of these names"
            self.fault(path, f"is not in the table of {what}", to_do, given=str(args[0]), allowed=error.allowed)
            return None

    def closed(self) -> None:
        """Record what is left when all is worked out. Raises ParameterError with every fault found."""
        self.stop_if_faulty()
        if self.recorded:
            self._record_the_rest()
        self._mark_measured()
        self.stop_if_faulty()

    def _record_the_rest(self) -> None:
        """Record every value not recorded yet: as the file gives it, or the schema's default."""
        one = self.bearing_at(0)
        for path, value, unit in explain.leaves(self.said):
            at = path.replace("bearing[0]", one)
            if at not in self.records:
                self.given(at, ("yes" if value else "no") if isinstance(value, bool) else value, unit)

    def _mark_measured(self) -> None:
        """Say of the values that the file says were measured how sure they are."""
        for k, row in enumerate(self.said.measured):
            at, kind = f"measured[{k}]", kind_at(split(row.value), type(self.said))
            if kind is None or not self.loaded.says(row.value):
                advice = "write its place in the file, or remove the line"
                self.fault(f"{at}.value", "is no size that this file gives", advice, given=row.value)
                continue
            try:
                read_then = quantity.parse(row.reading, kind, self.said.units)
                quantity.parse(row.within, kind, self.said.units)
            except quantity.QuantityError as error:
                self.fault(at, str(error), "write it in one of these units", allowed=error.allowed)
                continue
            record = self.records.get(row.value)
            if record is None or record.origin != "given":
                continue
            when = "".join(f", {word}" for word in (row.date, row.by) if word)
            sure = f"+/- {row.within}{when}"
            if isinstance(record.value, float) and abs(record.value - read_then) <= 1e-6:
                self.note(row.value, record.value, record.unit, "measured", sure)
            else:
                self.note(row.value, record.value, record.unit, "given", f"measured as {row.reading} {sure}")

    # --- the file ---------------------------------------------------------------------------------------------------

    def limit(self, name: str) -> float:
        """Return the value of a limit, in its own unit."""
        return self.limits[name].value

    def read(self, words: Part) -> str:
        """Return words or a size as the writer of the file reads them, in the words of its part."""
        if own_groups(self.said.part) and isinstance(words, (str, Text)):
            words = words_of(words, self.said.part)
        return read(words if isinstance(words, (str, Text)) else say("{it}", it=words), self.said.units)

    def bearing_at(self, index: int) -> str:
        """Return the path of a bearing as the file has it: one group, or a list of them."""
        return f"bearing[{index}]" if isinstance(self.loaded.document.data.get("bearing"), list) else "bearing"

    @property
    def cast(self) -> bool:
        """Whether the strut is cast; it is welded otherwise."""
        return bool(self.said.construction == "cast")

    @property
    def own_metal(self) -> str:
        """Path of the metal that the part itself is made of."""
        return file_path("materials.strut" if self.said.part == STRUT else "materials.housing", self.said.part)

    @property
    def base_metal(self) -> str:
        """Path of the material that it is bolted to."""
        return file_path("materials.hull" if self.said.part == STRUT else "materials.base", self.said.part)

    @property
    def palm_on_each_arm(self) -> bool:
        """Whether each arm has a palm of its own, as those of a vee have where the file does not say."""
        arrangement = self.said.palm.arrangement
        return bool(arrangement == "each_arm" if arrangement else self.said.arms.arrangement == "vee")


def _part(size: Size) -> Part:
    return fine_mm(size) if isinstance(size, float) else size


def off_by(difference: float, unit: str) -> Amount:
    """Return how far two inputs for one thing are apart.

    >>> off_by(11.5 - 12.0, "deg").read("mm")
    '0.5 deg'
    """
    return Amount(abs(difference), unit, fine=True)
