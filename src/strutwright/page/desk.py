"""A set on the page of one window: its text, what it was before, and the file that it is kept in."""

from __future__ import annotations

import difflib
import hashlib
from dataclasses import dataclass, field
from pathlib import Path

from strutwright.errors import UserError, write_whole
from strutwright.page.answers import MOST_TEXT, set_text
from strutwright.params.edit import changed, without
from strutwright.params.fields import NOT_IN_NAMES
from strutwright.params.problems import ParameterError

_MOST_STEPS = 200
_ENDS = (".yaml", ".yml")


@dataclass(slots=True)
class Desk:
    """name: of the file, as its faults are told; home: the folder in which sets are kept; file: where it was read from
    or last kept, None for a shipped set, which has no file here yet; kept: what stands there."""

    text: str
    name: str
    home: Path
    file: Path | None = None
    kept: str = ""
    _undone: list[str] = field(default_factory=list)
    _done: list[str] = field(default_factory=list)

    def put(self, text: str) -> bool:
        """Take another text of the set; return whether it is another one. Raises UserError for one that is too long."""
        if len(text.encode("utf-8", "replace")) > MOST_TEXT:
            raise UserError(f"the set would be longer than {MOST_TEXT // 1024} kB")
        if text == self.text:
            return False
        self._done = [*self._done[-_MOST_STEPS:], self.text]
        self._undone.clear()
        self.text = text
        return True

    def with_value(self, path: str, value: str, text: str | None = None) -> str:
        """Return the text, or another one, with a value, "" to leave it to its rule. Raises UserError where it cannot
        stand there."""
        text = self.text if text is None else text
        try:
            if not value.strip():
                return without(text, path)
            return changed(text, {path: written(value)})
        except ParameterError as error:
            raise UserError("; ".join(str(p) for p in error.problems)) from None
        except (ValueError, KeyError, IndexError, TypeError, AssertionError) as error:
            raise UserError(f"{path}: cannot be changed here ({error}); change it in the text of the set") from None

    def back(self) -> bool:
        """Go back one change; return whether there was one."""
        if not self._done:
            return False
        self._undone.append(self.text)
        self.text = self._done.pop()
        return True

    def forth(self) -> bool:
        """Take back a step back."""
        if not self._undone:
            return False
        self._done.append(self.text)
        self.text = self._undone.pop()
        return True

    def differs(self) -> list[str]:
        """Return the lines in which the text differs from what is kept, "-" what was, "+" what is; none of the same."""
        lines = difflib.unified_diff(self.kept.splitlines(), self.text.splitlines(), lineterm="", n=2)
        return list(lines)[2:]  # the first two name the files

    def place(self, name: str) -> Path:
        """Return where a set of a name would be kept: in the home folder, and nowhere else. Raises UserError."""
        wrong = [c for c in name if c in NOT_IN_NAMES or not c.isprintable()]
        if not name.strip(" .") or wrong or ".." in name or name.startswith(".") or len(name) > 80:
            raise UserError(f"{name[:80]!r}: give a plain name without folders, such as my-strut.yaml")
        return self.home / (name if name.endswith(_ENDS) else f"{name}.yaml")

    def keep(self, name: str, *, over: bool = False) -> Path:
        """Write the text to a set of the home folder, in one step. over: replace a file that is not the desk's own.
        Raises UserError, and then writes nothing."""
        path = self.place(name)
        if path.is_symlink() or (path.exists() and not path.is_file()):
            raise UserError(f"{path.name}: is not a plain file; choose another name")
        if path.exists():
            if path != self.file and not over:
                raise UserError(f"{path.name}: is there already; say that it may be replaced, or choose another name")
            if path == self.file and set_text(path) not in (self.kept, self.text) and not over:
                raise UserError(f"{path.name}: was changed by someone else; say that it may be replaced")
        write_whole(path, self.text)
        self.file, self.kept, self.name = path, self.text, path.name
        return path

    @property
    def mark(self) -> str:
        """What tells this text from others."""
        return hashlib.sha256(self.text.encode("utf-8", "replace")).hexdigest()[:16]


def opened(path: Path, home: Path, *, shipped: bool = False) -> Desk:
    """Return the desk of a file, or of a shipped set, which is kept under another name. Raises UserError."""
    text = set_text(path)
    return Desk(text, path.name, home, None if shipped else path, text)


def written(value: str) -> str:
    """Return a value as a line of YAML has it: quoted where it would be read as something else.

    Raises UserError for what is no single line.
    """
    text = value.strip()
    if not text.isprintable():
        raise UserError("write one line of printable text")
    if any(c in text for c in "\"'#:{}[],&*!|>%@`") or text.startswith(("- ", "? ")):
        return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
    return text
