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
