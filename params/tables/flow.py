"""Suction on sections in a stream."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from strutwright.params.tables.reader import table


@cache
def section_suction(shape: str, incidence_deg: int) -> tuple[NDArray[Any], NDArray[Any]]:
    """Greatest suction (-C_p) on a kind of section against its thickness over chord, two arrays; incidence 0, 2 or 4.

    Own work by potential flow. A kind that the table does not hold is taken as flat, which has the most.
    """
    rows = table("section_suction").rows
    own = [r for r in rows if r["shape"] == shape] or [r for r in rows if r["shape"] == "flat"]
    return np.array([r["thickness"] for r in own]), np.array([r[f"at_{incidence_deg}_deg"] for r in own])
