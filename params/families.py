"""The kinds of part that a parameter file may describe, by the word that stands under `part`."""

from __future__ import annotations

import difflib
import importlib
from typing import TYPE_CHECKING, TypeAlias

from strutwright.params.part_kinds import FAMILIES, STRUT
from strutwright.params.problems import ParameterError, shown
from strutwright.params.schema import ParameterSet
from strutwright.params.strict_yaml import Document

if TYPE_CHECKING:
    from strutwright.params.schema_flange import FlangedSet
    from strutwright.params.schema_hanger import HangerSet
    from strutwright.params.schema_let_in import LetInSet
    from strutwright.params.schema_shoe import ShoeSet

    Root: TypeAlias = type[ParameterSet] | type[FlangedSet] | type[LetInSet] | type[ShoeSet] | type[HangerSet]
PartSet: TypeAlias = "ParameterSet | FlangedSet | LetInSet | ShoeSet | HangerSet"
"""What one file says of one part, whatever its kind."""


def root(family: str) -> Root:
    """Return the schema of a kind of part."""
    module, name = FAMILIES[family]
    found: Root = getattr(importlib.import_module(f"strutwright.params.{module}"), name)
    return found


def root_of(document: Document) -> Root:
    """Return the schema that a document is to keep. Raises ParameterError where it names a part that is not there."""
    said = document.data.get("part", STRUT)
    if said is None or (isinstance(said, str) and said in FAMILIES):
        return root(said or STRUT)
    near = difflib.get_close_matches(str(said), FAMILIES, n=1)
    advice = f"write `{near[0]}`" if near else "choose one, or remove the line for a strut"
    what, allowed = "is not one of the choices", ", ".join(FAMILIES)
    raise ParameterError([*document.faults, document.problem(("part",), what, shown(said), allowed, advice)])
