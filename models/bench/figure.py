"""A figure with what it lies within."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure and what it lies within in 95 of 100 cases; nan where nothing tells."""

    value: float
    within: float
