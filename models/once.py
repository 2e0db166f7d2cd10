"""Answers that are worked out once and kept with what was asked about, such as the inputs of a batch of candidates.

They go when it goes, or is told to forget them: what is worked out of one batch does not lie about beside the next.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import Any, Concatenate, ParamSpec, TypeVar

P = ParamSpec("P")
Answer = TypeVar("Answer")
About = TypeVar("About", bound="KeepsAnswers")


class KeepsAnswers:
    """What can be asked by functions that are `once`."""

    __slots__ = ("_answers",)
    _answers: dict[Any, Any]

    def forget(self) -> None:
        """Let go of all answers."""
        object.__setattr__(self, "_answers", {})


def once(work: Callable[Concatenate[About, P], Answer]) -> Callable[Concatenate[About, P], Answer]:
    """Return the function with its answers kept with its first argument; by the others, which are hashable.

    >>> asked = []
    >>> twice = once(lambda about, name: asked.append(name))
    >>> about = KeepsAnswers()
    >>> twice(about, "wall"), twice(about, "wall"), asked
    (None, None, ['wall'])
    """

    def kept(about: About, /, *args: P.args, **named: P.kwargs) -> Answer:
        try:
            answers = about._answers
        except AttributeError:
            about.forget()
            answers = about._answers
        key = (work, args, *named.items())
        if key not in answers:
            answers[key] = work(about, *args, **named)
        answer: Answer = answers[key]
        return answer

    return functools.wraps(work)(kept)
