"""Files spoiled at random: values, lines, cells, numbers and bytes, drawn from a source of random numbers.

The source is a `random.Random`: of a seed in the long form, of hypothesis in the tests, which can then shrink it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from random import Random

ODD_VALUES = (
    *("", "0", "-1", "1e9", "1e-9", ".nan", "-.inf", "yes", "no", "null", "~", "[]", "{}", "[1]", "{a: 1}", "x"),
    *("1/0 in", "12 deg", "5 kg", "3 in", "1 1/2", "'", '"', "&a", "*a", "!t", "|", ">", "? :", "-", "#"),
    *("single", "vee", "each_arm", "common", "press", "slide", "polygon", "edge", "points", "centre", "welded"),
    *("M10", "1", "1/2", "M64", "zz", "both", "316L", "hardwood", "nitrile rubber", "FRP laminate"),
)
"""Values that are nothing, absurd, of another kind, or right at another place."""
FACTORS = (-1, 0, 0.1, 0.3, 0.7, 0.9, 0.98, 1.02, 1.1, 1.5, 3, 10, 1000)
"""By what a number is stretched."""
_RANGES = ((32, 126), (32, 126), (0, 31), (127, 160), (0xC0, 0x17F), (0x300, 0x36F), (0x200B, 0x202E), (0x4E00, 0x4EFF))
_HIGH = ((0xE000, 0xE010), (0xFFF0, 0xFFFF), (0x1F600, 0x1F640), (0x10FFF0, 0x10FFFF))
_NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?![\w.])")


def odd_text(draw: Random, most: int) -> str:
    """Return a text of `most` characters or less: letters, controls, accents, marks without a width, other scripts."""
    ranges = (*_RANGES, *_HIGH)
    return "".join(chr(draw.randint(*draw.choice(ranges))) for _ in range(draw.randint(0, most)))


def odd_value(draw: Random) -> str:
    """Return a value as a file may have it, seldom one that belongs there."""
    kind = draw.randint(0, 3)
    if kind == 0:
        return draw.choice(ODD_VALUES)
    if kind == 1:
        return f"{draw.uniform(-1e4, 1e4):.4g}"
    if kind == 2:
        return str(draw.randint(-10, 10**7))
    return json.dumps(odd_text(draw, 20))


def _value(rows: list[str], at: int, draw: Random) -> None:
    rows[at] = f"{rows[at].split(':')[0]}: {odd_value(draw)}"


def _inner(rows: list[str], at: int, draw: Random) -> None:
    """One of the values of a line in braces."""
    parts = rows[at].split(": ")
    if len(parts) > 1:
        k = draw.randint(1, len(parts) - 1)
        tail = parts[k][parts[k].index(",") :] if "," in parts[k] else ("}" if "}" in parts[k] else "")
        parts[k] = odd_value(draw) + tail
        rows[at] = ": ".join(parts)


def _cell(rows: list[str], at: int, draw: Random) -> None:
    cells = rows[at].split(",")
    cells[draw.randint(0, len(cells) - 1)] = odd_value(draw)
    rows[at] = ",".join(cells)


def _delete(rows: list[str], at: int, draw: Random) -> None:
    del rows[at]


def _double(rows: list[str], at: int, draw: Random) -> None:
    rows.insert(at, rows[at])


def _move(rows: list[str], at: int, draw: Random) -> None:
    rows.insert(draw.randint(0, len(rows) - 1), rows.pop(at))


def _indent(rows: list[str], at: int, draw: Random) -> None:
    rows[at] = " " * draw.randint(1, 3) + rows[at]


def _key(rows: list[str], at: int, draw: Random) -> None:
    rows[at] = rows[at].replace(":", odd_text(draw, 3) + ":", 1)


def _text(rows: list[str], at: int, draw: Random) -> None:
    rows[at] = odd_text(draw, 40)


_LINES: tuple[Callable[[list[str], int, Random], None], ...] = (
    *(_value, _value, _value, _inner, _inner, _cell, _delete, _double, _move, _indent, _key, _text),
)


def spoiled_lines(text: str, draw: Random) -> str:
    """Return a text with some lines removed, doubled, moved or given other values."""
    rows = text.split("\n")
    for _ in range(draw.randint(1, 4)):
        if not rows:
            break
        draw.choice(_LINES)(rows, draw.randint(0, len(rows) - 1), draw)
    return "\n".join(rows)


def spoiled_bytes(raw: bytes, draw: Random) -> bytes:
    """Return bytes with a few of them overwritten, as many as before."""
    out = bytearray(raw)
    for _ in range(draw.randint(1, 5)):
        new = bytes(draw.randint(0, 255) for _ in range(draw.randint(1, 4)))
        at = draw.randint(0, max(len(out) - 1, 0))
        out[at : at + len(new)] = new
    return bytes(out)


def stretched(text: str, draw: Random) -> str:
    """Return a text with one to five of its numbers stretched or shrunk."""
    for _ in range(draw.choice((1, 1, 2, 5))):
        found = list(_NUMBER.finditer(text))
        if not found:
            return text
        one = draw.choice(found)
        text = f"{text[: one.start()]}{float(one[0]) * draw.choice(FACTORS):.6g}{text[one.end() :]}"
    return text


def _as_saved(raw: bytes, draw: Random) -> bytes:
    """The same file as another program may save it, or with its end lost."""
    way = draw.randint(0, 5)
    if way == 0:
        return raw[: draw.randint(0, len(raw))]
    if way == 1:
        return b"\xef\xbb\xbf" + raw
    if way == 2:
        return raw.replace(b"\n", b"\r\n")
    if way == 3:
        return raw.decode("utf-8", "replace").encode("utf-16")
    if way == 4:
        return raw.replace(b",", b";")
    return raw + raw


def spoiled(raw: bytes, draw: Random) -> bytes:
    """Return a file's bytes spoiled in one or two of these ways; those of a text that no longer is one by bytes."""
    for _ in range(draw.choice((1, 1, 2))):
        way = draw.choice(("lines", "lines", "numbers", "numbers", "numbers", "bytes", "saved"))
        try:
            text = raw.decode("utf-8")
        except UnicodeDecodeError:
            way = "bytes"
        if way == "lines":
            raw = spoiled_lines(text, draw).encode("utf-8")
        elif way == "numbers":
            raw = stretched(text, draw).encode("utf-8")
        elif way == "bytes":
            raw = spoiled_bytes(raw, draw)
        else:
            raw = _as_saved(raw, draw)
    return raw
