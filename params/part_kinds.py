"""The words for kinds of part, and where the schema of each stands: read by what must start without any schema."""

STRUT = "strut"
FAMILIES = {
    STRUT: ("schema", "ParameterSet"),
    "flanged_housing": ("schema_flange", "FlangedSet"),
    "let_in_housing": ("schema_let_in", "LetInSet"),
    "rudder_shoe": ("schema_shoe", "ShoeSet"),
    "shaft_hanger": ("schema_hanger", "HangerSet"),
}
"""Every kind by its word: the module of its schema, read when a file asks for it, and the group that is the whole
file. A file without `part` is that of a strut."""
_ONE_BY_ONE = (
    "works on arrays of candidates, and those of a {kind} are worked out one by one: change its sizes by hand, hold "
    "two files together with `strutwright compare`, or let `strutwright size` seek them"
)
NOT_FOR = {
    "let_in_housing": {command: _ONE_BY_ONE.format(kind="let-in housing") for command in ("study", "benchmark")},
    "rudder_shoe": {command: _ONE_BY_ONE.format(kind="rudder shoe") for command in ("study", "benchmark")},
}
"""By kind of part, the commands that do not take it, and what to do."""
