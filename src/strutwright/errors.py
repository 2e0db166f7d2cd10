"""Exit statuses and the one error that the front door shows."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from enum import IntEnum
from pathlib import Path


class Exit(IntEnum):
    """What the command's exit status tells."""

    PASS = 0
    WARNINGS = 1
    FAILURE = 2
    UNUSABLE = 3
    INTERNAL = 4
    STOPPED = 130
    """By Ctrl-C; by another signal it is 128 and the signal's number."""


def no_place(path: Path, error: Exception) -> str:
    """Return why a path cannot be read or written: the first folder on the way that is not there, by name."""
    with contextlib.suppress(OSError, ValueError):
        for folder in reversed(path.absolute().parents):
            if not folder.is_dir():
                return f"{folder} is {'not a folder' if folder.exists() else 'not there'}"
    return str(getattr(error, "strerror", None) or error)


class UserError(Exception):
    """Something the user can mend; the text says what, where and what to do."""

    status = Exit.UNUSABLE


class NotSoundError(UserError):
    """The strut cannot be built as asked."""

    status = Exit.FAILURE


@contextlib.contextmanager
def faults_of(name: str) -> Iterator[None]:
    """Turn the faults of a parameter or limits file into one UserError. name: as the user gave it."""
    from strutwright.params.problems import ParameterError

    try:
        yield
    except ParameterError as error:
        count = len(error.problems)
        raise UserError(f"{count} fault{'s' if count > 1 else ''} in {name}; nothing was written\n{error}") from None


def refuse_existing(path: Path) -> None:
    """Raise UserError when something lies at a path already, even a link to nowhere."""
    if os.path.lexists(path):
        raise UserError(f"{path}: already exists and was left as it is; choose another name")


def write_whole(path: Path, text: str) -> None:
    """Write a text to a file, in the place of what it held, in one step; its folder is made when missing. Raises
    UserError."""
    from strutwright.exporters.files.outdir import lacking_of, no_room, remove_empty

    new, lacking = path.with_name(f".{path.name}.new"), lacking_of(path.parent)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        new.write_text(text, encoding="utf-8", newline="")
        os.replace(new, path)
    except OSError as error:
        with contextlib.suppress(OSError):
            new.unlink()
        remove_empty(lacking)
        raise UserError(no_room(error, str(path)) or f"{path}: cannot be written ({no_place(path, error)})") from None


def write_new(path: Path, text: str) -> None:
    """Write a text to a file that must not exist yet. Raises UserError, and then leaves no part of it behind."""
    from strutwright.exporters.files.outdir import no_room

    refuse_existing(path)
    try:
        out = path.open("x", encoding="utf-8", newline="\n")
    except (OSError, ValueError) as error:
        raise UserError(no_room(error, str(path)) or f"{path}: cannot be written ({no_place(path, error)})") from None
    try:
        with out:
            out.write(text)
    except OSError as error:
        with contextlib.suppress(OSError):
            path.unlink()
        raise UserError(no_room(error, str(path)) or f"{path}: cannot be written ({no_place(path, error)})") from None
