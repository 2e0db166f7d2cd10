"""Suction on sections in a stream."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from strutwright.params.readings import kept
from strutwright.params.tables.reader import table


@kept
def section_suction(shape: str, incidence_deg: float) -> tuple[NDArray[Any], NDArray[Any]]:
    """Greatest suction (-C_p) on a kind of section against its thickness over chord, two arrays; incidence 0 to 16.

    Own work by potential flow. Between its incidences the greatest speed is read on a straight line, which lies over
    it; beyond the last they are taken as that. Of a kind that the table does not hold the most of all kinds is taken.
    """
    found = table("section_suction")
    at = [column for column in found.columns if column.startswith("at_")]
    degrees = [float(column.split("_")[1]) for column in at]
    ratios = sorted({float(row["thickness"]) for row in found.rows})
    own = [row for row in found.rows if row["shape"] == shape] or found.rows
    fastest = [
        max(
            np.interp(incidence_deg, degrees, [(1.0 + row[c]) ** 0.5 for c in at])
            for row in own
            if row["thickness"] == r
        )
        for r in ratios
    ]
    return np.array(ratios), np.square(fastest) - 1.0
