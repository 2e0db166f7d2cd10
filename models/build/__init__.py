"""The solid builders: a resolved strut in, its bodies and build findings out."""
from __future__ import annotations

from strutwright.models.build.assembly import Built, Part, build, outer_envelope

__all__ = ["Built", "Part", "build", "outer_envelope"]
