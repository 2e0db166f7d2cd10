"""The model of a strut that the pages turn about, made without the CAD kernel, and how any such model is written.

Corners are whole numbers of 16 bits over the box of their part.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strutwright.exporters.web.palette import COLOURS, body
from strutwright.models.arrays import Floats
from strutwright.models.geometry.surfaces import surfaces
from strutwright.models.main_sizes import main_sizes
from strutwright.models.part_colours import BRONZE, RUBBER, STEEL
from strutwright.models.places import places
from strutwright.models.spec import Strut

_MOST = 65535
_SHOWN = ("INK", "QUIET", "CARD", "LIT")
_LOOKS = {"bearing rubber": (RUBBER, "rubber"), "set screw": (STEEL, "set screws")}
"""Kinds of part of another metal than the strut's."""


def quick_model(strut: Strut) -> str:
    """Return the text (JSON) of a strut's model as `models.geometry.surfaces` has it.

    >>> from strutwright.models.resolve import resolve
    >>> from strutwright.params.loader import load, shipped
    >>> model = json.loads(quick_model(resolve(load(shipped()["canal-tender"])).strut))
    >>> [part["name"] for part in model["parts"]]
    ['barrel', 'bearing', 'arm', 'palm', 'set screws']
    """
    own = BRONZE if strut.construction == "cast" else STEEL
    parts = []
    for part in surfaces(strut):
        colour, metal = _LOOKS.get(part.kind, (own, strut.material))
        named = {"name": part.name, "material": metal, "colour": body(part.kind, colour)}
        parts.append(named | packed(part.corners, part.triangles, part.edges))
    return json.dumps(about(strut) | {"parts": parts}, separators=(",", ":"), ensure_ascii=True)


def about(strut: Strut) -> dict[str, Any]:
    """Return what a model has beside its parts."""
    return {
        "hand": strut.identity.stands,
        "colours": {key.lower(): COLOURS[key] for key in _SHOWN},
        "sizes": {size.name: [_short(size.start), _short(size.end)] for size in main_sizes(strut)},
        "places": {place: _short(at) for place, at in places(strut).items()},
    }


def _short(at: Sequence[float]) -> list[float]:
    return [round(c, 3) + 0.0 for c in at]


def packed(corners: Floats, triangles: ArrayLike, edges: Sequence[tuple[Floats, bool]]) -> dict[str, Any]:
    """Return a part's corners (n, 3), triangles (m, 3) and edges in whole numbers over its box."""
    places_ = np.concatenate([corners, *(at for at, _ in edges)])
    low, high = places_.min(axis=0), places_.max(axis=0)
    step = np.maximum(high - low, 1e-9) / _MOST

    def whole(points: Floats) -> str:
        return _base64(np.round((points - low) / step).astype("<u2"))

    wide = len(corners) > _MOST
    return {
        "low": [float(c) for c in np.round(low, 6)],
        "step": [float(c) for c in np.round(step, 12)],
        "corners": whole(corners),
        "wide": wide,
        "triangles": _base64(np.asarray(triangles).astype("<u4" if wide else "<u2")),
        "edges": whole(np.concatenate([at for at, _ in edges])) if edges else "",
        "lengths": [len(at) for at, _ in edges],
        "smooth": [int(smooth) for _, smooth in edges],
    }


def _base64(values: NDArray[Any]) -> str:
    return base64.b64encode(np.ascontiguousarray(values).tobytes()).decode("ascii")
