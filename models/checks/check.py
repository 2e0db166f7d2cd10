"""What there is to know of a check beside what it finds."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Check:
    """What there is to know of one check beside its findings.

    code: stable name, as in its findings. group: what part it looks at. meaning: one line. limits: names of the limits
    it uses; none when it follows from geometry alone.
    """

    code: str
    group: str
    meaning: str
    limits: tuple[str, ...] = ()
