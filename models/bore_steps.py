"""The kinds of step that a barrel's bore may have, by what each is for. One row each."""

from __future__ import annotations

from typing import NamedTuple


class StepKind(NamedTuple):
    """One kind. seats: wider, a bearing of its size may stand in it; stops: narrower, a bearing stops against it;
    clear: wider between two places, so that a bearing does not touch there, and no size of a seat.
    """

    seats: bool = False
    stops: bool = False
    clear: bool = False


STEPS = {"counterbore": StepKind(seats=True), "shoulder": StepKind(stops=True), "relief": StepKind(clear=True)}
"""Every kind by its name in the parameter file."""
