"""Sentences with sizes in them, in millimetres."""

from __future__ import annotations

import re

Words = str
_UNIT = " mm"  # all sizes of a script are so


def say(template: str, **values: object) -> str:
    """Return a sentence with what is named in it; a fixed size stands in the braces itself.

    >>> say("a leg of {leg}, at least {2 mm}", leg=mm(4.0))
    'a leg of 4 mm, at least 2 mm'
    """
    return re.sub(r"\{(.+?)\}", lambda m: str(values.get(m[1], m[1])), template)


def mm(size: float) -> str:
    """Return a size in words.

    >>> mm(12.25)
    '12.25 mm'
    """
    return f"{size:.4g}" + _UNIT


def fine_mm(size: float) -> str:
    """Return a size in words to a thousandth.

    >>> fine_mm(0.5)
    '0.5 mm'
    """
    return f"{round(size, 3):g}" + _UNIT


def told(error: BaseException) -> str:
    """Return what an error says.

    >>> told(ValueError("too thin"))
    'too thin'
    """
    return str(error)
