"""The solid builders: a resolved strut in, its bodies and build findings out.

The builders are loaded when first asked for: checks read the plain shapes of `build.barrel` and `build.skeg` and must
start at once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from strutwright.models.solids.assembly import Built, build, outer_envelope
    from strutwright.models.solids.job import Part

__all__ = ["Built", "Part", "build", "outer_envelope"]


def __getattr__(name: str) -> Any:
    if name in __all__:
        from strutwright.models.solids import assembly

        return getattr(assembly, name)
    raise AttributeError(name)
