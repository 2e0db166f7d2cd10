"""A study of two parameters for the page: a picture of cells, one for each pair of values, to be clicked on."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from strutwright.page.answers import Asked

MOST_CELLS = 900
WIDE, HIGH, MARGIN = 700, 430, 104
"""Pixels of the picture and of the room left and below for its scales."""


@dataclass(frozen=True, slots=True)
class Map:
    """A study drawn. svg: over a white ground of WIDE by HIGH; across, up: the values of its columns and rows, as the
    file has them; cells: (verdict, governing check, share used, weight) by row, column."""

    svg: str
    paths: tuple[str, str]
    across: tuple[str, ...]
    up: tuple[str, ...]
    cells: tuple[tuple[tuple[str, str, float, float], ...], ...]
    says: str

    def at(self, x: float, y: float) -> tuple[int, int] | None:
        """Return the row and column under a place of the picture, None beside the cells."""
        column = (x - MARGIN) / (WIDE - MARGIN - 8) * len(self.across)
        row = (HIGH - MARGIN - y) / (HIGH - MARGIN - 8) * len(self.up)
        if 0 <= column < len(self.across) and 0 <= row < len(self.up):
            return int(row), int(column)
        return None


def studied(asked: Asked, first: str, second: str) -> Map | str:
    """Return the map of two ranges (`barrel.wall=6..12:13`), the first across; or why it cannot be made, in words."""
    from strutwright.cli import limits_in
    from strutwright.errors import UserError
    from strutwright.models.resolve import resolve
    from strutwright.models.sizing.axes import StudyError, axis
    from strutwright.models.sizing.study import study
    from strutwright.params.loader import loads
    from strutwright.params.problems import ParameterError

    try:
        limits = limits_in(asked.limits)
        loaded = loads(asked.text, asked.name)
        resolved = resolve(loaded, limits)
        axes = [axis(text, loaded.said.units, loaded.said.part) for text in (first, second)]
        count = len(axes[0].values) * len(axes[1].values)
        if count > MOST_CELLS:
            return f"{count} pairs are more than a picture shows: ask for at most {MOST_CELLS}"
        found = study(loaded, resolved, axes, limits, workers=1)
    except StudyError as error:
        return str(error)
    except (ParameterError, UserError) as error:
        return str(error)
    rows = [found.row(k) for k in range(count)]
    wide, high = len(axes[0].values), len(axes[1].values)
    weight = f"weight_{found.weight_unit}"
    cells = tuple(
        tuple(
            (str(r["verdict"]), str(r["governing"]), float(r["utilisation"]), float(r[weight]))
            for r in (rows[c * high + k] for c in range(wide))
        )
        for k in range(high)
    )
    written = tuple(tuple(f"{v} {a.unit}".strip() for v in a.shown) for a in axes)
    best = found.lightest()
    says = "no pair is within every limit that these values move"
    if best is not None:
        named = {k: v for k, v in found.row(best).items() if k in (axes[0].path, axes[1].path, weight)}
        says = f"lightest within all: {', '.join(f'{k} {v:.6g}' for k, v in named.items())}"
    made = Map("", (axes[0].path, axes[1].path), written[0], written[1], cells, says)
    return Map(_drawn(made), made.paths, made.across, made.up, cells, says)


_COLOURS = {"pass": "#d5e3cf", "warning": "#efd9a4", "failure": "#e3b1a6"}
_SIGNS = {"pass": "", "warning": "!", "failure": "x"}


def _drawn(made: Map) -> str:
    """The picture: a cell's colour and sign tell how it stands, a ring the lightest that is within."""
    n, m = len(made.across), len(made.up)
    w, h = (WIDE - MARGIN - 8) / n, (HIGH - MARGIN - 8) / m
    out = [f'<rect x="0" y="0" width="{WIDE}" height="{HIGH}" fill="#ffffff"/>']
    within = [(cell[3], k, c) for k, row in enumerate(made.cells) for c, cell in enumerate(row) if cell[0] == "pass"]
    for k, row in enumerate(made.cells):
        for c, (verdict, *_) in enumerate(row):
            x, y = MARGIN + c * w, HIGH - MARGIN - (k + 1) * h
            out.append(
                f'<rect x="{x:.1f}" y="{y:.1f}" width="{w:.2f}" height="{h:.2f}" fill="{_COLOURS[verdict]}" '
                'stroke="#ffffff" stroke-width="0.6"/>'
            )
            if _SIGNS[verdict] and min(w, h) > 9:
                out.append(_text(x + w / 2, y + h / 2 + 4, _SIGNS[verdict], size=11))
    if within:
        _, k, c = min(within)
        x, y = MARGIN + (c + 0.5) * w, HIGH - MARGIN - (k + 0.5) * h
        out.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{min(w, h) / 2.6:.1f}" fill="none" stroke="#8a1f6a" '
            'stroke-width="2.5"/>'
        )
    step = max(1, -(-n // 8))
    out += [_text(MARGIN + (c + 0.5) * w, HIGH - MARGIN + 16, made.across[c]) for c in range(0, n, step)]
    step = max(1, -(-m // 12))
    out += [_text(MARGIN - 6, HIGH - MARGIN - (k + 0.5) * h + 4, made.up[k], anchor="end") for k in range(0, m, step)]
    out.append(_text(MARGIN + (WIDE - MARGIN) / 2, HIGH - 22, made.paths[0], size=12))
    out.append(
        f'<text transform="translate(16 {(HIGH - MARGIN) / 2}) rotate(-90)" font-size="12" text-anchor="middle" '
        f'font-family="sans-serif" fill="#1d2327">{escape(made.paths[1])}</text>'
    )
    return "".join(out)


def _text(x: float, y: float, words: str, *, size: int = 10, anchor: str = "middle") -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}" font-family="sans-serif" '
        f'fill="#1d2327">{escape(words)}</text>'
    )
