"""What is wrong with an input, told so that a person can mend it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One fault in a file: where, what, what was given, what is allowed, what to do."""

    file: str
    line: int
    column: int
    path: str
    what: str
    given: str = ""
    allowed: str = ""
    advice: str = ""

    def __str__(self) -> str:
        where = f"{printable(self.file)}:{self.line}:{self.column}"
        parts = [f"{where}: {self.path + ': ' if self.path else ''}{self.what}"]
        if self.given:
            parts.append(f"    given:   {self.given}")
        if self.allowed:
            parts.append(f"    allowed: {self.allowed}")
        if self.advice:
            parts.append(f"    do:      {self.advice}")
        return "\n".join(parts)


class ParameterError(ValueError):
    """A parameter set that cannot be used; `problems` holds every fault found, in file order."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = sorted(problems, key=lambda p: (p.file, p.line, p.column, p.path, p.what))
        super().__init__("\n".join(str(p) for p in self.problems))


def printable(text: str) -> str:
    """Return a text with a question mark for every control character."""
    return "".join(c if c.isprintable() else "?" for c in text)


def shown(value: object) -> str:
    """Return a given value as short text, never longer than 60 characters and without control characters."""
    text = printable(value if isinstance(value, str) else repr(value))
    return text if len(text) <= 60 else text[:57] + "..."
