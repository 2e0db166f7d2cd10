"""The STEP file of a strut, written as small as it can be read back whole."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from strutwright.exporters.files.step import FileUnit, PartLike, write_assembly
from strutwright.exporters.inspect.remeasure import remeasure
from strutwright.models.finding import Finding
from strutwright.models.spec import Strut
from strutwright.params.limits import Limits


def write_and_measure(
    path: Path, parts: Sequence[PartLike], product: str, unit: FileUnit, strut: Strut, limits: Limits | None = None
) -> tuple[list[Finding], bool]:
    """Write a strut's STEP file; return what measuring it again finds, and whether edges have their curves in it.

    Arguments as of `write_assembly` and `remeasure`. The curves of the edges on their faces, more than half of a file,
    are left out where it is read back well without.
    """
    for curves in (False, True):
        write_assembly(path, parts, product, unit, curves=curves)
        found = remeasure(path, strut, parts, limits)
        if not any(f.fails for f in found):
            break
    return found, curves
