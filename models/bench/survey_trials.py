"""Made-up surveys of known hulls, worked out as real ones are: how often the stated intervals hold the truth.

    from strutwright.models.bench.survey_trials import trials
    trials(1000).covered           # {"pitch_deg": 0.95, "tilt_deg": 0.95, "drop_mm": 0.95}
    trials(1000, slip_mm=20.0)     # with one slip in each: how often the robust fit names it, and still holds the truth

The hulls are curved both ways and twisted; points lie over the palm and round it as a yard takes them, never in a grid.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from strutwright.models.arrays import Floats
from strutwright.models.bench.survey import survey
from strutwright.params.bench.survey import Survey

TOLD = ("pitch_deg", "tilt_deg", "drop_mm")
"""Figures whose intervals are held against the truth."""
_LENGTH, _WIDTH = 240.0, 130.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Trials:
    """What came of it, by figure. covered: share of surveys whose interval by all readings holds the truth; robust:
    likewise where readings out of line are looked for and left out. within: half width of the interval, on average.
    named: share in which a reading was named; rightly: in which it was the one that has the slip, and no other.
    """

    count: int
    covered: dict[str, float]
    robust: dict[str, float]
    within: dict[str, float]
    named: float
    rightly: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A made-up survey. truth: pitch, tilt and drop of the plane nearest to the true hull over the palm; slipped: name
    of the reading that has the slip, "" for none.
    """

    said: Survey
    truth: tuple[float, float, float]
    slipped: str


def trials(
    count: int, *, scatter_mm: float = 1.0, stated: bool = True, slip_mm: float = 0.0, flat: bool = False, seed: int = 1
) -> Trials:
    """Return how made-up surveys came out. stated: whether they state their scatter; slip_mm: of one hull point of
    each, up or down; flat: of hulls without curve. The same seed gives the same surveys.

    >>> some = trials(20)
    >>> some.covered["drop_mm"] > 0.7, some.named < 0.3
    (True, True)
    """
    rng = np.random.default_rng(seed)
    inside = {way: dict.fromkeys(TOLD, 0) for way in ("all", "robust")}
    width = dict.fromkeys(TOLD, 0.0)
    named = rightly = 0
    for _ in range(count):
        made = made_up(rng, scatter_mm=scatter_mm, stated=stated, slip_mm=slip_mm, flat=flat)
        side = survey(made.said).sides[0]
        out = [p.name for p in side.hull if p.out] + [p.name for p in side.line if p.out]
        plain = survey(made.said, search=False).sides[0] if out else side
        for way, of in (("all", plain), ("robust", side)):
            for name, true in zip(TOLD, made.truth, strict=True):
                figure = of.figures[name]
                within = math.inf if figure.within is None else figure.within
                inside[way][name] += abs(figure.value - true) <= within
                width[name] += within / count if way == "all" else 0.0
        named += bool(out)
        rightly += out == [made.slipped]
    share = {way: {n: inside[way][n] / count for n in TOLD} for way in inside}
    return Trials(
        count=count,
        covered=share["all"],
        robust=share["robust"],
        within=width,
        named=named / count,
        rightly=rightly / count,
    )


def made_up(
    rng: np.random.Generator, *, scatter_mm: float, stated: bool, slip_mm: float = 0.0, flat: bool = False
) -> Made:
    """Return a made-up survey of 8 to 15 hull points and 5 to 7 on the string.

    >>> made = made_up(np.random.default_rng(2), scatter_mm=1.0, stated=True)
    >>> 8 <= len(made.said.hull) <= 15, 5 <= len(made.said.line) <= 7
    (True, True)
    """
    shaft, run, rise = np.radians(rng.uniform([5.0, 0.0, 0.0], [14.0, 4.0, 22.0]))
    plan = math.radians(rng.uniform(-1.5, 1.5))
    direction = np.array([math.cos(shaft) * math.cos(plan), math.cos(shaft) * math.sin(plan), math.sin(shaft)])
    middle, over = np.array([4000.0, 600.0, -700.0]), rng.uniform(180.0, 420.0)
    curve = np.zeros(3) if flat else rng.uniform(-1.0, 1.0, 3) / np.array([6000.0, 3000.0, 8000.0])

    def hull(x: Floats, y: Floats) -> Floats:
        u, v = x - middle[0], y - middle[1]
        bent = curve[0] * u * u / 2 + curve[1] * v * v / 2 + curve[2] * u * v
        return np.asarray(middle[2] + over - math.tan(run) * u + math.tan(rise) * v + bent)

    n, m = int(rng.integers(8, 16)), int(rng.integers(5, 8))
    across = 3 if n >= 9 else 2
    grid = [((k // across) / math.ceil(n / across - 1 or 1), (k % across) / (across - 1)) for k in range(n)]
    place = (np.array(grid) - 0.5) * np.array([_LENGTH + 100.0, _WIDTH + 100.0]) + rng.uniform(-18.0, 18.0, (n, 2))
    x, y = middle[0] + place[:, 0], middle[1] + place[:, 1]
    points = np.stack([x, y, hull(x, y)], axis=1) + scatter_mm * rng.normal(size=(n, 3))
    along = np.linspace(-rng.uniform(300.0, 500.0), rng.uniform(900.0, 1800.0), m)
    line = middle + along[:, None] * direction + scatter_mm * rng.normal(size=(m, 3))
    slipped = int(rng.integers(n))
    points[slipped, 2] += slip_mm * rng.choice([-1.0, 1.0])
    said: dict[str, Any] = {
        "side": "port",
        "instrument": {"scatter": scatter_mm} if stated else {},
        "palm": {"length": _LENGTH, "width": _WIDTH},
        "hull": [_row(f"H{k + 1}", p) for k, p in enumerate(points)],
        "line": [_row(f"S{k + 1}", p) for k, p in enumerate(line)],
        "places": [{"what": "mid_barrel", "along": middle[0], "scatter": 0.0}],
    }
    truth = _truth(hull, middle, direction)
    return Made(said=Survey.model_validate(said), truth=truth, slipped=f"H{slipped + 1}" if slip_mm else "")


def _row(name: str, at: Floats) -> dict[str, Any]:
    return {"name": name, "along": float(at[0]), "port": float(at[1]), "up": float(at[2])}


def _truth(hull: Callable[[Floats, Floats], Floats], middle: Floats, direction: Floats) -> tuple[float, float, float]:
    """Pitch, tilt and drop of the plane nearest to a hull over the palm, whose zero is straight over mid-barrel."""
    port = np.cross(np.array([0.0, 0.0, 1.0]), direction)
    port /= np.linalg.norm(port)
    up = np.cross(direction, port)
    share = (np.arange(24) + 0.5) / 24 - 0.5
    u, v = (g.ravel() for g in np.meshgrid(share * _LENGTH, share * _WIDTH))
    a, b, c = 300.0, 0.0, 0.0
    for _ in range(6):
        along = np.array([1.0, 0.0, b]) / math.hypot(1.0, b)
        square = np.array([-b, -c, 1.0]) / math.sqrt(1.0 + b * b + c * c)
        across = np.cross(square, along)
        x, y = u * along[0] + v * across[0], u * along[1] + v * across[1]
        z = np.full(len(x), a)
        for _ in range(8):
            at = middle + np.outer(x, direction) + np.outer(y, port) + np.outer(z, up)
            z = z + (hull(at[:, 0], at[:, 1]) - at[:, 2]) / up[2]
        a, b, c = np.linalg.lstsq(np.stack([np.ones(len(x)), x, y], axis=1), z, rcond=None)[0]
    return -math.degrees(math.atan(b)), math.degrees(math.atan(c)), float(a)
