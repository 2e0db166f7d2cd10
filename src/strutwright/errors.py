"""Exit statuses and the one error that the front door shows."""
from __future__ import annotations

from enum import IntEnum


class Exit(IntEnum):
    """What the command's exit status tells."""

    PASS = 0
    WARNINGS = 1
    FAILURE = 2
    UNUSABLE = 3
    INTERNAL = 4
    STOPPED = 130
    """By Ctrl-C; by another signal it is 128 and the signal's number."""


class UserError(Exception):
    """Something the user can mend; the text says what, where and what to do."""

    status = Exit.UNUSABLE


class NotSoundError(UserError):
    """The strut cannot be built as asked."""

    status = Exit.FAILURE
